/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Before a witness: what an act lacked is gathered before it is done, and noted with it. The questions are those that
 * refuse it elsewhere. */
#include <string.h>

#include "core/handlers.h"
#include "core/question.h"
#include "stillarm/text.h"

#define BIT(n) (1u << (n))
/* Without these no reading counts. */
#define SPOILING (BIT(THING_REST) | BIT(THING_ARM) | BIT(THING_CUFF) | BIT(THING_KIT) | BIT(THING_ESTIMATE))

static void find(struct look *look, const struct question *q, enum rule rule, enum lapse_thing thing, int item)
{
    if (look->count == LOOK_MAX)
        return; /* cannot be: no act is asked so much */
    struct lapse *l = &look->found[look->count];
    *l = (struct lapse){.rule = (int32_t)rule, .item = item + 1, .t_ms = q->ev->t_ms};
    text_copy(l->have, sizeof l->have, q->have);
    text_copy(l->need, sizeof l->need, q->need);
    look->things[look->count++] = (int32_t)thing;
}

/* One thing is one lapse until something is done about it. is_anew: this act is such a doing. */
static bool look_at(struct look *look, const struct question *q, enum rule rule, enum lapse_thing thing, bool is_anew)
{
    if (rule == RULE_NONE) {
        look->things_good |= BIT(thing);
        return false;
    }
    look->things_bad |= BIT(thing);
    if (is_anew || thing == THING_NONE || q->s->thing_lapse[thing] == 0)
        find(look, q, rule, thing, -1);
    return true;
}

/* ---- acts ---- */

/* What an act lacks is only what the record itself shows to be missing by then. An item has its own answer, written when
 * the witness's eyes are free: until the seal it is no departure that nothing is said of it. */

static bool look_at_cuff(struct look *look, struct question *q)
{
    const struct sitting *s = q->s;
    const enum rule against = (enum rule)s->worn_against;
    if (s->wrapped < 0) {
        const enum rule rule = object_have_need(q, RULE_STEP_NEEDS, "cuff: wrap", "cuff");
        return look_at(look, q, rule, THING_CUFF, false);
    }
    if (against == RULE_NONE || s->waived_rules[against])
        return look_at(look, q, RULE_NONE, THING_CUFF, false);
    return look_at(look, q, object_have_need(q, against, s->cuffs[s->wrapped].id, "a cuff that fits"), THING_CUFF, false);
}

static bool look_at_rest(struct look *look, struct question *q)
{
    const struct sitting *s = q->s;
    if (s->rest == REST_RUNNING)
        return look_at(look, q, ask_rest_length(q), THING_REST, true);
    const enum rule rule = ask_rest(q);
    look->is_stale = rule == RULE_REST_STALE;
    return look_at(look, q, rule, THING_REST, false);
}

/* The usual systolic is none where it may not be used. */
static enum rule lacks_estimate(struct question *q)
{
    if (q->s->estimate == ESTIMATE_USUAL)
        return object_have_need(q, RULE_USUAL_BARRED, "not allowed here", "palpate");
    return ask_estimate(q);
}

static void look_at_counting(struct look *look, struct question *q)
{
    const enum rule rule =
        q->s->pulse_bpm == 0 ? object_have_need(q, RULE_STEP_NEEDS, "rest: pulse", "rest") : RULE_NONE;
    look_at(look, q, rule, THING_PULSE, false);
}

static void look_at_inflate(struct look *look, struct question *q)
{
    look_at_counting(look, q);
    look->spoils = look_at(look, q, object_arm(q, (enum arm)q->s->arm), THING_ARM, false);
    look->spoils |= look_at_cuff(look, q);
    look->spoils |= look_at(look, q, ask_kit(q), THING_KIT, false);
    look->spoils |= look_at_rest(look, q);
    if (is_listen(q->ev))
        look->spoils |= look_at(look, q, lacks_estimate(q), THING_ESTIMATE, false);
    look->spoils |= look_at(look, q, ask_settle(q), THING_NONE, true);
    look->spoils |= look_at(look, q, ask_interval(q), THING_NONE, true);
    look->spoils |= look_at(look, q, ask_stood(q), THING_NONE, true);
}

static void look_at_arm(struct look *look, struct question *q)
{
    look_at(look, q, ask_arm_barred(q), THING_ARM, q->s->arm != (int32_t)arm_named(q->ev->item));
}

static void look_at_wrap(struct look *look, struct question *q)
{
    look->against = ask_kit(q);
    look_at(look, q, look->against, THING_CUFF, q->s->wrapped != cuff_index(q->s, q->ev->item));
}

static void look_at_resting(struct look *look, struct question *q)
{
    if (strcmp(q->ev->item, "end") == 0)
        look_at(look, q, ask_rest_length(q), THING_REST, true);
}

/* An overdue gauge named again with the same date is no second one. */
static void look_at_gauge(struct look *look, struct question *q)
{
    const struct sitting *s = q->s;
    const bool is_same = s->given[EV_GAUGE] && strcmp(s->gauge, q->ev->item) == 0 && s->gauge_due == q->ev->value2;
    if (!is_same)
        look_at(look, q, ask_kit(q), THING_NONE, true);
}

static void look_at_usual(struct look *look, struct question *q)
{
    look_at(look, q, ask_usual(q), THING_ESTIMATE, true);
}

static void look_at_telling(struct look *look, struct question *q)
{
    look_at(look, q, ask_enough(q), THING_READINGS, false);
}

static void look_at_seal(struct look *look, struct question *q)
{
    const struct sitting *s = q->s;
    if (!s->given[EV_GAUGE])
        look_at(look, q, object_have_need(q, RULE_STEP_NEEDS, "kit: gauge", "kit"), THING_NONE, true);
    look_at_counting(look, q);
    if (s->worn == 0)
        look_at_cuff(look, q);
    if (!s->given[EV_REST])
        look_at(look, q, ask_rest(q), THING_REST, false);
    look_at(look, q, ask_enough(q), THING_READINGS, false);
    look_at(look, q, ask_standing(q), THING_NONE, true);
    look_at(look, q, ask_told(q), THING_NONE, true);
    look_at(look, q, ask_answered(q), THING_NONE, true);
}

static void look_at_item(struct look *look, struct question *q)
{
    const int item = q->item;
    if (q->s->items[item] == ITEM_LAPSED)
        return;
    say_words(q->have, "%s", q->ev->text);
    say_words(q->need, "%s", q->p->items[item].say);
    find(look, q, RULE_ITEM_OPEN, THING_NONE, item);
}

void witness_look(struct question *q, struct look *look)
{
    static void (*const LOOKS[EV_COUNT])(struct look *, struct question *) = {
        [EV_GAUGE] = look_at_gauge,     [EV_ARM] = look_at_arm,     [EV_WRAP] = look_at_wrap,
        [EV_REST] = look_at_resting,    [EV_USUAL] = look_at_usual, [EV_INFLATE] = look_at_inflate,
        [EV_TOLD] = look_at_telling,    [EV_SEAL] = look_at_seal,   [EV_LAPSE] = look_at_item,
    };
    look->count = 0;
    look->things_bad = look->things_good = 0;
    look->spoils = look->is_stale = false;
    look->against = RULE_NONE;
    if (LOOKS[q->ev->kind])
        LOOKS[q->ev->kind](look, q);
}

/* ---- noting ---- */

const struct protocol_item *lapse_item(const struct lapse *l, const struct protocol *p)
{
    return l->item > 0 ? &p->items[l->item - 1] : NULL;
}

bool lapse_is_critical(const struct lapse *l, const struct protocol *p)
{
    const struct protocol_item *item = lapse_item(l, p);
    return p->is_critical[l->rule] || (item && item->is_critical);
}

int sitting_lapses_kept(const struct sitting *s)
{
    return s->lapse_count < LAPSES_MAX ? s->lapse_count : LAPSES_MAX;
}

static void add_lapse(struct sitting *s, const struct protocol *p, const struct lapse *l, int32_t thing)
{
    if (s->lapse_count < LAPSES_MAX)
        s->lapses[s->lapse_count] = *l;
    s->lapse_count++;
    s->critical_count += lapse_is_critical(l, p);
    if (thing != THING_NONE)
        s->thing_lapse[thing] = s->lapse_count;
}

static void spoil(struct sitting *s, const struct look *look)
{
    reading_latest(s)->voids |= VOID_LAPSE;
    for (int thing = THING_NONE + 1; thing < THING_COUNT; thing++) {
        const int32_t at = s->thing_lapse[thing];
        if ((look->things_bad & SPOILING & BIT(thing)) && at > 0 && at <= LAPSES_MAX && s->lapses[at - 1].reading == 0)
            s->lapses[at - 1].reading = s->reading_count;
    }
}

void witness_note(struct sitting *s, const struct protocol *p, const struct event *ev, const struct look *look)
{
    for (int thing = THING_NONE + 1; thing < THING_COUNT; thing++) {
        if (look->things_good & BIT(thing))
            s->thing_lapse[thing] = 0;
    }
    const bool is_spoiled = look->spoils && is_listen(ev);
    for (int i = 0; i < look->count; i++) {
        struct lapse l = look->found[i];
        const bool is_of_this_reading = l.rule == RULE_SETTLE_SHORT || l.rule == RULE_INTERVAL_SHORT ||
                                        l.rule == RULE_STANDING_EARLY;
        if (is_spoiled && is_of_this_reading)
            l.reading = s->reading_count;
        add_lapse(s, p, &l, look->things[i]);
    }
    if (ev->kind == EV_WRAP)
        s->worn_against = (int32_t)look->against;
    if (is_spoiled)
        spoil(s, look);
    if (look->is_stale)
        s->rest = REST_NONE; /* an empty cuff would make it look fresh again */
}

/* The witness's latest word on an item stands. Past what is kept one by one nothing is taken back. */
void lapse_take_back(struct sitting *s, const struct protocol *p, int item)
{
    if (s->items[item] != ITEM_LAPSED || s->lapse_count > LAPSES_MAX)
        return;
    int at = s->lapse_count - 1;
    while (at >= 0 && s->lapses[at].item != item + 1)
        at--;
    if (at < 0)
        return;
    s->critical_count -= lapse_is_critical(&s->lapses[at], p);
    s->lapse_count--;
    memmove(&s->lapses[at], &s->lapses[at + 1], (size_t)(s->lapse_count - at) * sizeof s->lapses[0]);
    memset(&s->lapses[s->lapse_count], 0, sizeof s->lapses[0]);
    for (int thing = THING_NONE + 1; thing < THING_COUNT; thing++)
        s->thing_lapse[thing] -= s->thing_lapse[thing] > at + 1;
}

static bool is_latest_on_item(const struct sitting *s, int at)
{
    for (int i = at + 1; i < sitting_lapses_kept(s); i++) {
        if (s->lapses[i].item == s->lapses[at].item)
            return false;
    }
    return true;
}

/* Whatever it spoke of is asked again: were it silent now, what is really missing later would never be noted. A telling
 * that came too soon counts as none. */
static void forget_thing(struct sitting *s, int at)
{
    if (s->thing_lapse[THING_READINGS] == at + 1)
        s->given[EV_TOLD] = 0;
    for (int thing = THING_NONE + 1; thing < THING_COUNT; thing++) {
        if (s->thing_lapse[thing] == at + 1)
            s->thing_lapse[thing] = 0;
    }
}

/* A slip of the witness's own finger. It stays in its place, and so does what it made void. */
void lapse_strike(struct sitting *s, const struct protocol *p, int at, const char *why)
{
    struct lapse *l = &s->lapses[at];
    l->is_struck = 1;
    text_copy(l->why, sizeof l->why, why);
    s->struck_count++;
    s->critical_count -= lapse_is_critical(l, p);
    if (l->item > 0 && s->items[l->item - 1] == ITEM_LAPSED && is_latest_on_item(s, at))
        s->items[l->item - 1] = ITEM_OPEN;
    forget_thing(s, at);
}
