/* SPDX-License-Identifier: GPL-3.0-or-later */
/** @file demo_data.c  Invented data: nobody in it exists. Sittings are made by giving events to the engine. */
#include "command/demo_data.h"

#include <stdarg.h>
#include <stdio.h>
#include <string.h>

#include "command/demo_people.h"
#include "command/kit.h"
#include "command/session.h"
#include "guide/first_run.h"
#include "stillarm/text.h"
#include "terminal/clock.h"

/* One sitting to be made. Readings alternate first and last sound; a last of 0 ends them. */
struct story {
    int days_ago, minute_of_day;
    const char *measurer, *subject, *arm;
    int arm_mm, pulse, felt_to, gone;
    int readings[3][2];
    const char *stop; /* NULL: sealed */
    bool tries_to_skip;
    const char *witness; /* NULL: none */
    bool is_owed;        /* not signed at its end */
    struct demo_review { enum statement_kind kind; const char *word, *said; } reviews[2]; /* by the preceptor; SAYS_KEY: none */
};

static const struct story STORIES[] = {
    { 6, 9 * 60 + 12, "ana", "m4-118", "left", 305, 72, 120, 130, { { 124, 78 }, { 122, 76 } },
      .reviews = { { SAYS_COUNTERSIGN, "reviewed", NULL } } },
    { 6, 10 * 60 + 5, "ben", "m4-119", "right", 288, 66, 110, 120, { { 116, 72 }, { 114, 74 } }, .tries_to_skip = true,
      .reviews = { { SAYS_COUNTERSIGN, "present", NULL } } },
    { 3, 14 * 60 + 41, "ben", "m4-118", "left", 305, 80, 130, 140, { { 138, 86 }, { 130, 84 }, { 132, 84 } },
      .tries_to_skip = true,
      .reviews = { { SAYS_COMMENT, NULL, "Good that the whole rest was kept in the end." },
                   { SAYS_RETURN, NULL, "You wanted to end the rest after a third of it. What had happened? Please add a line." } } },
    { 1, 11 * 60 + 30, "ana", "m4-122", "right", 352, 76, 140, 150, { { 146, 92 } }, .stop = "called away by the pharmacy",
      .is_owed = true },
    { 0, 8 * 60 + 20, "ana", "m4-123", "left", 318, 70, 110, 120, { { 118, 76 }, { 116, 76 } },
      .stop = NULL },
    { 0, 9 * 60 + 5, "ben", "m4-124", "right", 296, 74, 120, 130, { { 122, 78 }, { 120, 78 } }, .witness = "dora",
      .reviews = { { SAYS_RELEASE, NULL, NULL } } },
};

struct maker {
    struct session x;
    struct moment opened;
    int64_t now_ms;
    int32_t rest_seq; /* the event that ends the rest: what a preceptor comments on */
    const struct demo_people *people;
    bool is_owed;
    enum status status;
    struct err *e;
};

/* Never later than now: what is invented is over. */
static void stamp_of(const struct maker *m, int64_t later_ms, char out[40])
{
    int64_t unix_ms = m->opened.unix_ms + m->now_ms + later_ms, now_ms = clock_unix_ms();
    clock_stamp(unix_ms < now_ms ? unix_ms : now_ms, out, 40);
}

static enum session_answer try_event(struct maker *m, const struct event *ev, const struct moment *at, struct refusal *why)
{
    char stamp[40];
    if (!session_is_end(ev))
        return session_try_at(&m->x, ev, at, why, m->e);
    stamp_of(m, 0, stamp);
    return session_end(&m->x, ev, m->is_owed ? NULL : demo_signer(m->people, session_keeper(&m->x)), at, stamp, why, m->e);
}

/* One line of the log's text form at the time it is now; after a failure nothing more happens. */
static void act(struct maker *m, int64_t wait_ms, const char *format, ...) __attribute__((format(printf, 3, 4)));
static bool try_line(struct maker *m, const char *words, struct refusal *why)
{
    char line[EVENT_LINE_CAP];
    struct event ev;
    struct moment at = m->opened;
    at.unix_ms += m->now_ms;
    at.boot_ms += m->now_ms;
    snprintf(line, sizeof line, "%lld.%03d %s", (long long)(m->now_ms / 1000), (int)(m->now_ms % 1000), words);
    if (event_parse(line, strlen(line), &ev, NULL) != PARSED_EVENT) {
        m->status = err_set(m->e, ST_SYNTAX, "The demo's data hold a line that does not parse: %.100s", line);
        return false;
    }
    enum session_answer answer = try_event(m, &ev, &at, why);
    if (answer == SESSION_FAILED)
        m->status = m->e->code;
    return answer == SESSION_ACCEPTED;
}

static void act(struct maker *m, int64_t wait_ms, const char *format, ...)
{
    char words[400];
    struct refusal why = { 0 };
    va_list args;
    if (m->status != ST_OK)
        return;
    va_start(args, format);
    vsnprintf(words, sizeof words, format, args);
    va_end(args);
    m->now_ms += wait_ms;
    if (!try_line(m, words, &why) && m->status == ST_OK)
        m->status = err_set(m->e, ST_CONFLICT, "The demo's data do not pass the engine at `%.60s`: %.200s", words,
                            why.sentence);
}

/* Before a witness the first thing of a step is not as it should be. */
static void witness_items(struct maker *m, enum step step)
{
    const struct protocol *p = session_protocol(&m->x);
    const char *first = NULL;
    for (int i = 0; p && i < p->item_count; i++) {
        if (p->items[i].step != step)
            continue;
        if (!first)
            act(m, 1500, "lapse %s \"only after a word of mine\"", p->items[i].id);
        else
            act(m, 1500, "confirm %s", p->items[i].id);
        first = first ? first : p->items[i].id;
    }
}

static void confirm_items(struct maker *m, enum step step)
{
    const struct protocol *p = session_protocol(&m->x);
    for (int i = 0; p && i < p->item_count; i++)
        if (p->items[i].step == step && strcmp(p->items[i].id, "cuff.index") != 0)
            act(m, 1500, "confirm %s", p->items[i].id);
}

static void open_it(struct maker *m, const struct story *s, const struct protocol *p)
{
    char stamp[40];
    clock_stamp(m->opened.unix_ms, stamp, sizeof stamp);
    act(m, 0, "protocol %s", p->id);
    act(m, 0, "date \"%s\"", stamp);
    act(m, 0, "measurer %s", s->measurer);
    act(m, 0, "subject %s", s->subject);
    act(m, 0, "visit return");
    if (p->value[KEY_PRIOR_ARM])
        act(m, 0, "prior-arm %s", s->arm);
    if (s->witness)
        act(m, 0, "witness %s", s->witness);
    act(m, 0, "purpose %s", s->witness ? "assessment" : "service");
    act(m, 0, "place \"booth 2\"");
}

static void prepare_it(struct maker *m, const struct story *s, int32_t due)
{
    confirm_items(m, STEP_READINESS);
    act(m, 3000, "arm %s", s->arm);
    confirm_items(m, STEP_ARM);
    for (int i = 0; i < USUAL_CUFF_COUNT; i++)
        act(m, 0, "cuff %s %d %d", USUAL_CUFFS[i].id, USUAL_CUFFS[i].low_mm, USUAL_CUFFS[i].high_mm);
    act(m, 9000, "circumference %d", s->arm_mm);
    for (int i = 0; i < USUAL_CUFF_COUNT; i++)
        if (s->arm_mm >= USUAL_CUFFS[i].low_mm && s->arm_mm <= USUAL_CUFFS[i].high_mm)
            act(m, 12000, "wrap %s", USUAL_CUFFS[i].id);
    confirm_items(m, STEP_CUFF);
    if (s->witness)
        witness_items(m, STEP_POSTURE);
    else
        confirm_items(m, STEP_POSTURE);
    act(m, 2000, "gauge g1 300 %d", (int)due);
    confirm_items(m, STEP_KIT);
}

static void rest_it(struct maker *m, const struct story *s, const struct protocol *p)
{
    struct refusal why = { 0 };
    int64_t rest_ms = protocol_ms(p, KEY_REST_S), early_ms = s->tries_to_skip ? rest_ms / 3 : 0;
    act(m, 2000, "rest begin");
    if (early_ms && m->status == ST_OK) {
        m->now_ms += early_ms;
        try_line(m, "rest end", &why);
    }
    act(m, rest_ms - early_ms - 40000, "pulse regular %d", s->pulse);
    act(m, 41000, "rest end");
    m->rest_seq = m->x.seq;
}

static void palpate_it(struct maker *m, const struct story *s, const struct protocol *p)
{
    act(m, 5000, "inflate palpate");
    for (int mmhg = p->value[KEY_PALPATE_START_MMHG]; mmhg <= s->felt_to; mmhg += p->value[KEY_PALPATE_STEP_MMHG])
        act(m, 1500, "palpate felt %d", mmhg);
    act(m, 1500, "palpate gone %d", s->gone);
    act(m, 4000, "empty");
}

static void listen_once(struct maker *m, const struct story *s, const struct protocol *p, const int values[2])
{
    int target = s->gone + p->value[KEY_MARGIN_MMHG];
    int64_t from_ms = sitting_inflate_from_ms(&m->x.sitting, p, INFLATION_LISTEN);
    if (from_ms > m->now_ms)
        m->now_ms = from_ms;
    act(m, 4000, "inflate listen");
    /* at 2.5 mmHg a second, the middle of what is usual, after seven seconds of pumping */
    act(m, 7000 + (int64_t)(target - values[1] + 10) * 400, "empty");
    act(m, 3000, "target %d", target);
    act(m, 2000, "value first %d", values[0]);
    act(m, 2000, "value last %d", values[1]);
    act(m, 1000, "done");
}

static void end_it(struct maker *m, const struct story *s)
{
    if (s->stop) {
        act(m, 20000, "stop \"%s\"", s->stop);
        return;
    }
    confirm_items(m, STEP_CLOSING);
    act(m, 20000, "told");
    act(m, 5000, "seal");
}

/* What the preceptor said of it afterwards. */
static enum status review_it(struct store *store, const struct maker *m, const struct story *s, struct err *e)
{
    enum status status = ST_OK;
    for (size_t i = 0; i < ARRAY_LEN(s->reviews) && status == ST_OK; i++) {
        const struct demo_review *r = &s->reviews[i];
        char at[40];
        stamp_of(m, (int64_t)(i + 1) * 3600000, at);
        const bool is_on_event = r->kind == SAYS_COMMENT || r->kind == SAYS_RETURN;
        const struct act a = { .kind = r->kind, .sitting = m->x.id, .word = r->word, .said = r->said, .at = at,
                               .event = is_on_event ? m->rest_seq : 0, .open_ms = r->kind == SAYS_COMMENT ? 0 : 148000 };
        if (r->kind != SAYS_KEY)
            status = store_act(store, &a, demo_signer(m->people, DEMO_PRECEPTOR), e);
    }
    return status;
}

static enum status make_sitting(struct workplace *w, const struct story *s, const struct demo_people *people, int32_t due,
                                struct err *e)
{
    static struct maker m; /* large, and one at a time */
    const struct protocol *p = protocols_find(&w->protocols, "us-adult");
    int64_t now_ms = clock_unix_ms(), ago_ms;
    if (!p)
        p = w->protocols.list[0];
    if (s->witness && p->value[KEY_LAPSES_MAX] < 0)
        return ST_OK; /* that protocol knows no witnessed sittings */
    m = (struct maker){ .e = e, .people = people, .is_owed = s->is_owed };
    /* so many days ago at that minute of the day, in whole days of UTC: near enough for invented data */
    ago_ms = (int64_t)s->days_ago * 86400000 + now_ms % 86400000 - (int64_t)s->minute_of_day * 60000;
    m.opened.unix_ms = now_ms - (ago_ms > 1200000 ? ago_ms : 1200000);
    session_begin(&m.x, w->store, &w->protocols);
    open_it(&m, s, p);
    prepare_it(&m, s, due);
    rest_it(&m, s, p);
    palpate_it(&m, s, p);
    for (int i = 0; i < 3 && s->readings[i][1]; i++)
        listen_once(&m, s, p, s->readings[i]);
    end_it(&m, s);
    return m.status == ST_OK ? review_it(w->store, &m, s, e) : m.status;
}

static enum status fill_kit(struct store *store, int32_t today, int32_t *due, struct err *e)
{
    struct gauge near = { .id = "g1", .name = "desk gauge", .top_mmhg = 300 };
    struct gauge later = { .id = "g2", .name = "wall gauge", .top_mmhg = 300, .due = day_after_months(today, 5) };
    /* soon enough that home warns of it, and not on a day that does not exist */
    near.due = today % 100 <= 19 ? today + 9 : day_after_months(today - today % 100 + 1, 1) + 5;
    *due = near.due;
    enum status status = store_gauge_add(store, &near, e);
    if (status == ST_OK)
        status = store_gauge_add(store, &later, e);
    if (status == ST_OK)
        status = store_gauge_check(store, "g1", "leak", 2, today, e);
    for (int i = 0; status == ST_OK && i < USUAL_CUFF_COUNT; i++) {
        struct stored_cuff c = { .low_mm = USUAL_CUFFS[i].low_mm, .high_mm = USUAL_CUFFS[i].high_mm };
        text_copy(c.id, sizeof c.id, USUAL_CUFFS[i].id);
        text_copy(c.name, sizeof c.name, USUAL_CUFFS[i].name);
        status = store_cuff_add(store, &c, e);
    }
    return status;
}

enum status demo_fill(struct workplace *w, struct err *e)
{
    static const struct { const char *name, *value; } SETTINGS[] = {
        { "measurer", "ana" }, { "place", "booth 2" }, { "protocol", "us-adult" }, { "gauge", "g2" }
    };
    struct demo_people people = { .count = 0 };
    int32_t due = 0;
    enum status status = fill_kit(w->store, clock_day(clock_unix_ms()), &due, e);
    if (status == ST_OK)
        status = demo_people_add(w->store, &people, e);
    for (size_t i = 0; status == ST_OK && i < ARRAY_LEN(SETTINGS); i++)
        status = store_setting_set(w->store, SETTINGS[i].name, SETTINGS[i].value, e);
    for (size_t i = 0; status == ST_OK && i < ARRAY_LEN(STORIES); i++)
        status = make_sitting(w, &STORIES[i], &people, due, e);
    demo_people_done(&people);
    return status;
}
