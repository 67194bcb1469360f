/* SPDX-License-Identifier: GPL-3.0-or-later */
/** @file sitting_hand.h  A sitting played event by event, on a protocol as a file from before the younger keys. */
#ifndef STILLARM_SITTING_HAND_H
#define STILLARM_SITTING_HAND_H

#include <check.h>
#include <inttypes.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "config/protocols.h"
#include "stillarm/sitting.h"

static struct protocol p;
static struct sitting s;
static int64_t now_ms;

static inline void load(void)
{
    static struct protocols ps;
    if (ps.count == 0)
        ck_assert_int_eq(protocols_load(TEST_SOURCE_DIR "/assets/protocols", &ps, NULL), ST_OK);
    p = *protocols_find(&ps, "us-adult");
    for (int key = KEY_ALONE_BELOW_SYSTOLIC_MMHG; key < KEY_COUNT; key++)
        p.value[key] = PROTOCOL_KEYS[key].absent; /* as a file from before these keys */
    sitting_init(&s);
    now_ms = 0;
}

/* The event so much later than the last one: the rule that refuses it, or RULE_NONE. A refusal must change
 * nothing. */
static inline enum rule at(int64_t after_ms, const char *what)
{
    static struct sitting before;
    char line[EVENT_LINE_CAP];
    struct event ev;
    struct refusal why = {.rule = RULE_NONE};
    now_ms += after_ms;
    (void)snprintf(line, sizeof line, "%" PRId64 ".%03d %s", now_ms / 1000, (int)(now_ms % 1000), what);
    ck_assert_msg(event_parse(line, strlen(line), &ev, NULL) == PARSED_EVENT, "%s", line);
    before = s;
    if (sitting_apply(&s, &p, &ev, &why))
        return RULE_NONE;
    ck_assert(sitting_equal(&before, &s));
    return why.rule;
}

static inline void ok(int64_t after_ms, const char *what)
{
    const enum rule rule = at(after_ms, what);
    ck_assert_msg(rule == RULE_NONE, "%s: %s", what, rule_id(rule));
}

static inline void no(int64_t after_ms, const char *what, enum rule want)
{
    const enum rule rule = at(after_ms, what);
    ck_assert_msg(rule == want, "%s: %s, expected %s", what, rule_id(rule), rule_id(want));
}

static inline void confirm(enum step step)
{
    for (int i = 0; i < p.item_count; i++) {
        char what[64];
        (void)snprintf(what, sizeof what, "confirm %s", p.items[i].id);
        if (p.items[i].step == step)
            ok(100, what);
    }
}

static inline void play(const char *const lines[], int n)
{
    for (int i = 0; i < n; i++)
        ok(100, lines[i]);
}
#define PLAY(...)                                                                                            \
    play((const char *const[]){__VA_ARGS__},                                                                 \
         (int)(sizeof((const char *const[]){__VA_ARGS__}) / sizeof(char *)))

static inline void open_sitting(const char *visit)
{
    PLAY("protocol us-adult", "date \"2031-03-02T14:04:10+01:00\"", "measurer ana", "subject K7", visit);
    if (s.is_return)
        ok(0, "prior-arm unknown");
    PLAY("purpose practice", "place \"booth 2\"", "gauge g2 300 20310401", "cuff small 200 260",
         "cuff adult 261 400");
    confirm(STEP_KIT);
    confirm(STEP_READINESS);
}

static inline void take_arm(const char *arm)
{
    char what[32];
    (void)snprintf(what, sizeof what, "arm %s", arm);
    ok(100, what);
    confirm(STEP_ARM);
    PLAY("circumference 300", "wrap adult");
    confirm(STEP_CUFF);
}

static inline void rest(void)
{
    ok(100, "rest begin");
    ok(p.value[KEY_REST_S] * 1000, "rest end");
    ok(100, "pulse regular 72");
}

static inline void palpate(void)
{
    ok(100, "inflate palpate");
    PLAY("palpate felt 110", "palpate gone 120", "empty");
    now_ms += 30000;
}

/* Up to the first reading on the left arm. */
static inline void prepare(const char *visit)
{
    open_sitting(visit);
    take_arm("left");
    confirm(STEP_POSTURE);
    rest();
    palpate();
}

/* A reading that is void for nothing but, perhaps, its first sound. Leaves the interval behind it. */
static inline void begin_reading(void)
{
    ok(60000, "inflate listen");
    ok(60000, "empty");
    ok(100, "target 220");
}

static inline void value(const char *which, int mmhg)
{
    char what[32];
    (void)snprintf(what, sizeof what, "value %s %d", which, mmhg);
    ok(100, what);
}

static inline void read_pressure(int first, int last)
{
    begin_reading();
    value("first", first);
    value("last", last);
    ok(100, "done");
}

static inline void seal(enum rule want)
{
    confirm(STEP_CLOSING);
    ok(100, "told");
    if (want == RULE_NONE)
        ok(100, "seal");
    else
        no(100, "seal", want);
}

#endif
