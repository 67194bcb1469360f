/* SPDX-License-Identifier: GPL-3.0-or-later */
/** @file guide_hand.h  A hand at the guide: presses keys, applies what they ask for to the engine, counts. No terminal. */
#ifndef STILLARM_GUIDE_HAND_H
#define STILLARM_GUIDE_HAND_H

#include <check.h>
#include <stdio.h>
#include <string.h>

#include "config/protocols.h"
#include "guide/guide.h"
#include "stillarm/text.h"

struct hand {
    struct guide guide;
    struct guide_booth booth;
    struct sitting sitting;
    const struct protocol *known; /* what the booth has */
    const struct protocol *protocol; /* NULL until the sitting has it */
    struct page page;
    int64_t now_ms;
    int keys;
    int accepted, refused, left, finished;
    enum rule last_refusal;
    bool is_seen_before;
};

static struct protocols hand_protocols;
/* Called after each key, where a test wants to look at every page on the way. */
static void (*hand_watch)(const struct hand *h);

static inline const struct protocol *hand_protocol(const char *id)
{
    struct err e = { .text = "" };

    if (hand_protocols.count == 0)
        ck_assert_msg(protocols_load(TEST_SOURCE_DIR "/assets/protocols", &hand_protocols, &e) == ST_OK, "%s", e.text);
    ck_assert_ptr_nonnull(protocols_find(&hand_protocols, id));
    return protocols_find(&hand_protocols, id);
}

static inline void hand_look(struct hand *h)
{
    guide_page(&h->guide, &h->booth, &h->sitting, h->protocol, h->now_ms, &h->page);
    if (hand_watch != NULL)
        hand_watch(h);
}

static inline void hand_begin(struct hand *h, const char *protocol)
{
    memset(h, 0, sizeof *h);
    h->known = hand_protocol(protocol);
    sitting_init(&h->sitting);
    text_copy(h->booth.measurer, sizeof h->booth.measurer, "ana");
    text_copy(h->booth.place, sizeof h->booth.place, "booth 2");
    text_copy(h->booth.default_protocol, sizeof h->booth.default_protocol, protocol);
    text_copy(h->booth.default_gauge, sizeof h->booth.default_gauge, "g2");
    text_copy(h->booth.next_code, sizeof h->booth.next_code, "k7-032");
    text_copy(h->booth.stamp, sizeof h->booth.stamp, "2031-03-02T14:04:10+01:00");
    text_copy(h->booth.wall, sizeof h->booth.wall, "14:04");
    h->booth.preceptor_count = 2;
    text_copy(h->booth.preceptors[0], ITEM_CAP, "eva");
    text_copy(h->booth.preceptors[1], ITEM_CAP, "ina");
    h->booth.today = 20310302;
    h->booth.gauge_count = 1;
    text_copy(h->booth.gauges[0].id, ITEM_CAP, "g2");
    h->booth.gauges[0].top_mmhg = 300;
    h->booth.gauges[0].due = 20310801;
    h->booth.cuff_count = 2;
    text_copy(h->booth.cuffs[0].id, ITEM_CAP, "adult");
    h->booth.cuffs[0].low_mm = 254;
    h->booth.cuffs[0].high_mm = 406;
    text_copy(h->booth.cuffs[1].id, ITEM_CAP, "small");
    h->booth.cuffs[1].low_mm = 180;
    h->booth.cuffs[1].high_mm = 260;
    h->booth.protocol_count = 1;
    text_copy(h->booth.protocols[0].id, ITEM_CAP, protocol);
    guide_begin(&h->guide, &h->booth);
    hand_look(h);
}

/* As the caller does it: in order, until one is refused; a refusal leaves the state equal. */
static inline void hand_apply(struct hand *h, const struct guide_action *a)
{
    static struct sitting before;
    struct refusal why;
    int n = 0;
    bool is_ok = true;

    for (; n < a->count; n++) {
        struct event ev = a->events[n];
        const struct protocol *p = h->protocol != NULL ? h->protocol : ev.kind == EV_PROTOCOL ? h->known : NULL;

        ev.t_ms = h->now_ms;
        ck_assert_msg(event_is_well_formed(&ev), "malformed %s on %s", event_form(ev.kind)->word, h->page.id);
        before = h->sitting;
        is_ok = sitting_apply(&h->sitting, p, &ev, &why);
        if (!is_ok) {
            ck_assert(sitting_equal(&before, &h->sitting));
            h->refused++;
            h->last_refusal = why.rule;
            break;
        }
        h->protocol = p;
        h->accepted++;
    }
    guide_applied(&h->guide, &h->sitting, h->protocol, n, is_ok ? NULL : &why);
}

static inline void hand_key(struct hand *h, struct key k)
{
    static struct guide_action a;
    static const struct key NONE = { .code = KEY_NONE };

    guide_key(&h->guide, &h->booth, &h->sitting, h->protocol, h->now_ms, &k, &a);
    h->keys++;
    if (a.wish == GUIDE_LOOKUP) {
        text_copy(h->booth.seen_subject, sizeof h->booth.seen_subject, a.subject);
        h->booth.is_seen = h->is_seen_before;
        text_copy(h->booth.seen_arm, sizeof h->booth.seen_arm, h->is_seen_before ? "left" : "");
        guide_key(&h->guide, &h->booth, &h->sitting, h->protocol, h->now_ms, &NONE, &a);
    }
    if (a.wish == GUIDE_APPLY)
        hand_apply(h, &a);
    h->left += a.wish == GUIDE_LEAVE;
    h->finished += a.wish == GUIDE_FINISHED;
    hand_look(h);
}

static inline void hand_code(struct hand *h, enum key_code code)
{
    hand_key(h, (struct key){ .code = code });
}

static inline void hand_char(struct hand *h, uint32_t c)
{
    hand_key(h, (struct key){ .code = KEY_CHARACTER, .character = c });
}

/* `\n` is Enter, ESC (\033) Esc, \b backspace. */
static inline void press(struct hand *h, const char *keys)
{
    for (; *keys != '\0'; keys++) {
        if (*keys == '\n')
            hand_code(h, KEY_ENTER);
        else if (*keys == '\033')
            hand_code(h, KEY_ESCAPE);
        else if (*keys == '\b')
            hand_code(h, KEY_BACKSPACE);
        else
            hand_char(h, (unsigned char)*keys);
    }
}

static inline void pass(struct hand *h, int64_t seconds)
{
    h->now_ms += seconds * 1000;
    hand_look(h);
}

/* The same keys on every machine. */
static uint32_t hand_seed;

static inline uint32_t random_below(uint32_t n)
{
    hand_seed = hand_seed * 1664525u + 1013904223u;
    return (hand_seed >> 8) % n;
}

/* Not strcmp: inlined, gcc warns of a literal that is longer than the array it is held against. */
static inline bool is_same_text(const char *a, const char *b)
{
    size_t len = strlen(a);

    return len == strlen(b) && memcmp(a, b, len) == 0;
}

#define ck_page(h, name) ck_assert_msg(is_same_text((h)->page.id, (name)), "page %s, not %s (%s)", (h)->page.id, (name), (h)->page.refusal)

static inline bool page_says(const struct page *pg, const char *words)
{
    for (int i = 0; i < pg->line_count; i++)
        if (strstr(pg->lines[i].text, words) != NULL || strstr(pg->lines[i].value, words) != NULL)
            return true;
    return strstr(pg->title, words) != NULL || strstr(pg->big_note, words) != NULL || strstr(pg->refusal, words) != NULL ||
           is_same_text(pg->big, words);
}

static inline bool page_offers(const struct page *pg, const char *key)
{
    for (int i = 0; i < pg->key_count; i++)
        if (strcmp(pg->keys[i].name, key) == 0)
            return true;
    return false;
}

/* ---- parts of a sitting with us-adult, alone ---- */

static inline void open_new(struct hand *h)
{
    press(h, "\n\n");
}

static inline void open_return(struct hand *h)
{
    h->is_seen_before = true;
    press(h, "k7-031\n\n");
}

static inline void ready(struct hand *h)
{
    ck_page(h, "readiness-items");
    press(h, "yyyy");
}

static inline void take_arm(struct hand *h, const char *key)
{
    ck_page(h, "arm-choice");
    press(h, key);
    ck_page(h, "arm-items");
    press(h, "yy");
    ck_page(h, "arm-measure");
    press(h, "31\n");
    ck_page(h, "cuff-choice");
    press(h, "\n");
    ck_page(h, "cuff-items");
    press(h, "y");
}

static inline void rest_with_kit(struct hand *h)
{
    ck_page(h, "posture-items");
    press(h, "yy");
    ck_page(h, "rest-before");
    press(h, " ");
    ck_page(h, "rest");
    pass(h, 60);
    press(h, "\nyy");
    pass(h, 200);
    press(h, "72r");
    pass(h, 40);
}

static inline void feel(struct hand *h, const char *gone)
{
    ck_page(h, "estimate-before");
    press(h, " ");
    ck_page(h, "palpating");
    pass(h, 25);
    press(h, " ");
    ck_page(h, "estimate-entry");
    press(h, gone);
    ck_page(h, "listening-wait");
}

static inline void listen(struct hand *h, const char *target, const char *first, const char *last)
{
    ck_page(h, "listening-before");
    press(h, " ");
    ck_page(h, "listening");
    pass(h, 45);
    press(h, " ");
    ck_page(h, "entry");
    press(h, target);
    press(h, first);
    press(h, last);
    ck_page(h, "read-back");
    press(h, "y");
}

/* To the first reading, on the arm of this key. */
static inline void prepare(struct hand *h, bool is_return, const char *arm_key)
{
    if (is_return)
        open_return(h);
    else
        open_new(h);
    ready(h);
    take_arm(h, arm_key);
    rest_with_kit(h);
    feel(h, "130");
    pass(h, 35);
}

static inline void finish(struct hand *h)
{
    ck_page(h, "result");
    press(h, "tyf");
    ck_page(h, "finished");
}

#endif
