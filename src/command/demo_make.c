/* SPDX-License-Identifier: GPL-3.0-or-later */
/** @file demo_make.c  Makes an invented sitting by giving its events to the engine, signs it, and has it reviewed. */
#include "command/demo_make.h"

#include <stdarg.h>
#include <stdio.h>
#include <string.h>

#include "command/kit.h"
#include "command/session.h"
#include "guide/first_run.h"
#include "terminal/clock.h"

#define USUAL_RATE_X10 25 /* the middle of what is usual */
#define HASTY_MS 20000    /* after the last air is out: too soon for the next reading */

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

static void open_it(struct maker *m, const struct demo_sitting *s, const struct protocol *p)
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
    act(m, 0, "purpose %s", s->witness ? "assessment" : s->is_practice ? "practice" : "service");
    act(m, 0, "place \"booth 2\"");
}

static void prepare_it(struct maker *m, const struct demo_sitting *s, int32_t due)
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

/* What is refused is kept beside the sitting, and the demo goes on. */
static void try_after(struct maker *m, int64_t wait_ms, const char *words)
{
    struct refusal why = { 0 };
    if (m->status != ST_OK)
        return;
    m->now_ms += wait_ms;
    try_line(m, words, &why);
}

static void rest_it(struct maker *m, const struct demo_sitting *s, const struct protocol *p)
{
    int64_t rest_ms = protocol_ms(p, KEY_REST_S), early_ms = s->tries_to_skip ? rest_ms / 3 : 0;
    act(m, 2000, "rest begin");
    if (early_ms)
        try_after(m, early_ms, "rest end");
    act(m, rest_ms - early_ms - 40000, "pulse regular %d", s->pulse);
    act(m, 41000, "rest end");
    m->rest_seq = m->x.seq;
}

static void palpate_it(struct maker *m, const struct demo_sitting *s, const struct protocol *p)
{
    act(m, 5000, "inflate palpate");
    for (int mmhg = p->value[KEY_PALPATE_START_MMHG]; mmhg <= s->felt_to; mmhg += p->value[KEY_PALPATE_STEP_MMHG])
        act(m, 1500, "palpate felt %d", mmhg);
    act(m, 1500, "palpate gone %d", s->gone);
    act(m, 4000, "empty");
}

/* Pressed on the moment, at the rate at which the air goes: 7 s of pumping, and on for 10 mmHg after the last sound. */
static void let_air_out(struct maker *m, const struct demo_reading *r, int target)
{
    int rate_x10 = r->rate_x10 ? r->rate_x10 : USUAL_RATE_X10;
    int fall[] = { 0, target - r->first, r->first - r->last };
    static const char *const MARKS[] = { "release", "first", "last" };
    int64_t wait_ms = 7000;
    for (size_t i = 0; i < ARRAY_LEN(fall); i++) {
        wait_ms += (int64_t)fall[i] * 10000 / rate_x10;
        if (!r->rate_x10)
            continue;
        act(m, wait_ms, "mark %s", MARKS[i]);
        wait_ms = 0;
    }
    act(m, wait_ms + (int64_t)10 * 10000 / rate_x10, "empty");
}

static void listen_once(struct maker *m, const struct protocol *p, const struct demo_reading *r)
{
    int target = sitting_floor_mmhg(&m->x.sitting, p, NULL);
    int64_t from_ms = sitting_inflate_from_ms(&m->x.sitting, p, INFLATION_LISTEN);
    if (r->is_hasty && from_ms - m->now_ms > HASTY_MS)
        try_after(m, HASTY_MS, "inflate listen");
    if (from_ms > m->now_ms)
        m->now_ms = from_ms;
    act(m, 4000, "inflate listen");
    if (r->listener)
        act(m, 0, "listener %s", r->listener);
    let_air_out(m, r, target);
    act(m, 3000, "target %d", target);
    act(m, 2000, "value first %d", r->first);
    act(m, 2000, "value last %d", r->last);
    if (r->listener) {
        act(m, 5000, "pair first %d", r->pair_first);
        act(m, 2000, "pair last %d", r->pair_last);
    }
    act(m, 1000, "done");
}

static bool is_heard_enough(const struct maker *m, const struct demo_sitting *s, const struct protocol *p)
{
    return s->enough_after && m->x.sitting.reading_count >= s->enough_after &&
           sitting_readings_lack(&m->x.sitting, p) == RULE_NONE;
}

static void end_it(struct maker *m, const struct demo_sitting *s)
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
static enum status review_it(struct store *store, const struct maker *m, const struct demo_sitting *s, struct err *e)
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

enum status demo_make(struct workplace *w, const struct demo_sitting *s, const struct demo_people *people, int32_t due,
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
    for (int i = 0; i < DEMO_READINGS_MAX && s->readings[i].last && !is_heard_enough(&m, s, p); i++)
        listen_once(&m, p, &s->readings[i]);
    end_it(&m, s);
    return m.status == ST_OK ? review_it(w->store, &m, s, e) : m.status;
}
