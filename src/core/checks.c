/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Why an event may be refused: one function per class of rules, asked in the order of docs/event-log.md. The first
 * class that objects gives the rule. None of them changes anything. */
#include <string.h>

#include "core/question.h"
#include "stillarm/text.h"

static bool is_listening_up(const struct sitting *s)
{
    return s->inflation == INFLATION_LISTEN;
}

bool is_listen(const struct event *ev)
{
    return ev->kind == EV_INFLATE && strcmp(ev->item, "listen") == 0;
}

bool is_on_item(const struct event *ev)
{
    return ev->kind == EV_CONFIRM || ev->kind == EV_REOPEN || ev->kind == EV_WAIVE || ev->kind == EV_LAPSE ||
           ev->kind == EV_UNSEEN;
}

/* 1 and 2 */
static enum rule ask_ended(struct question *q)
{
    if (q->s->phase == PHASE_SEALED || q->s->phase == PHASE_STOPPED)
        return object_have_need(q, RULE_CLOSED, q->s->phase == PHASE_SEALED ? "sealed" : "stopped", "open");
    return RULE_NONE;
}

static enum rule ask_time(struct question *q)
{
    if (q->ev->t_ms >= q->s->now_ms)
        return RULE_NONE;
    say_seconds(q->have, q->ev->t_ms);
    say_words(q->need, "%lld.%03d s or later", (long long)(q->s->now_ms / 1000), (int)(q->s->now_ms % 1000));
    return RULE_TIME_BACK;
}

/* 3 */
static enum rule ask_opening(struct question *q)
{
    if (q->s->phase == PHASE_EMPTY && q->ev->kind != EV_PROTOCOL)
        return object_have_need(q, RULE_OPENING_FIRST, event_form(q->ev->kind)->word, "protocol");
    if ((q->kind->traits & ONCE) && q->s->given[q->ev->kind])
        return object_have_need(q, RULE_OPENING_AGAIN, event_form(q->ev->kind)->word, "given once");
    return RULE_NONE;
}

/* 4 */
static enum rule ask_known(struct question *q)
{
    const struct event *ev = q->ev;
    if (ev->kind == EV_PROTOCOL && (!q->p || strcmp(q->p->id, ev->item) != 0))
        return object_have_need(q, RULE_PROTOCOL_UNKNOWN, ev->item, "a protocol that is loaded");
    if (is_on_item(ev) && q->item < 0 &&
        !(ev->kind == EV_WAIVE && rule_named(ev->item) != RULE_NONE))
        return object_have_need(q, RULE_ITEM_UNKNOWN, ev->item, "an item of the protocol");
    if ((ev->kind == EV_WRAP || ev->kind == EV_BLADDER) && cuff_index(q->s, ev->item) == q->s->cuff_count)
        return object_have_need(q, RULE_CUFF_UNKNOWN, ev->item, "a cuff at hand");
    return RULE_NONE;
}

static enum step step_of(const struct question *q)
{
    if (!is_on_item(q->ev))
        return q->kind->step;
    return q->item < 0 ? STEP_NONE : q->p->items[q->item].step;
}

/* What belongs to an inflation that has begun is not asked for its step again. */
static bool is_under_way(const struct question *q)
{
    const struct sitting *s = q->s;
    if (q->kind->traits & NEEDS_READING)
        return reading_at_hand(s) != NULL;
    if (q->ev->kind == EV_PALPATE)
        return s->last_inflation == INFLATION_PALPATE;
    return q->ev->kind == EV_NOPULSE && s->inflation == INFLATION_PALPATE;
}

/* For `inflate`: everything but the rest and the estimate themselves, which have rules of their own. */
static enum rule ask_inflate_needs(struct question *q)
{
    static const enum step NEEDS[] = {STEP_KIT, STEP_CUFF, STEP_POSTURE};
    for (size_t i = 0; i < ARRAY_LEN(NEEDS); i++) {
        struct missing first;
        enum step lacking = NEEDS[i];
        if (step_is_done(q->s, q->p, NEEDS[i], q->ev->t_ms))
            continue;
        steps_needed_are_done(q->s, q->p, NEEDS[i], q->ev->t_ms, &lacking);
        if (!step_lacks(q->s, q->p, lacking, q->ev->t_ms, 0, &first))
            text_copy(first.what, sizeof first.what, "not done");
        say_words(q->have, "%s: %s", step_word(lacking), first.what);
        say_words(q->need, "%s", step_word(NEEDS[i]));
        return RULE_STEP_NEEDS;
    }
    return q->s->pulse_bpm ? RULE_NONE : object_have_need(q, RULE_STEP_NEEDS, "rest: pulse", "pulse");
}

/* Things within a step that must come in order. */
static enum rule ask_within_step(struct question *q, enum step step)
{
    const struct event *ev = q->ev;
    const bool is_of_arm = step == STEP_ARM || step == STEP_CUFF || step == STEP_ESTIMATE;
    if (is_of_arm && is_on_item(ev) && q->s->arm == ARM_NONE) /* an answer given before would be lifted with the arm's choice */
        return object_have_need(q, RULE_STEP_NEEDS, "no arm chosen", "arm");
    if (ev->kind == EV_CONFIRM && strcmp(ev->item, "cuff.index") == 0 && q->s->wrapped < 0)
        return object_have_need(q, RULE_STEP_NEEDS, "no cuff wrapped", "wrap");
    if (ev->kind == EV_CHECK && !q->s->given[EV_GAUGE])
        return object_have_need(q, RULE_STEP_NEEDS, "no gauge chosen", "gauge");
    return RULE_NONE;
}

/* Before a witness, what was done or seen out of its order was all the same. The record still needs its opening, and a
 * squeeze its arm and its gauge. */
static enum rule ask_step_seen(struct question *q, enum step step)
{
    static const struct {
        enum event_kind kind;
        bool needs_gauge;
    } ON_ARM[] = {{EV_CIRCUMFERENCE, false}, {EV_WRAP, false}, {EV_NOPULSE, false}, {EV_USUAL, true}, {EV_INFLATE, true}};
    struct missing first;
    if ((step != STEP_NONE || q->ev->kind == EV_INFLATE) && step != STEP_OPENING &&
        step_lacks(q->s, q->p, STEP_OPENING, q->ev->t_ms, 0, &first)) {
        say_words(q->have, "opening: %s", first.what);
        say_words(q->need, "opening");
        return RULE_STEP_NEEDS;
    }
    for (size_t i = 0; i < ARRAY_LEN(ON_ARM); i++) {
        if (ON_ARM[i].kind != q->ev->kind)
            continue;
        if (q->s->arm == ARM_NONE)
            return object_have_need(q, RULE_STEP_NEEDS, "no arm chosen", "arm");
        if (ON_ARM[i].needs_gauge && !q->s->given[EV_GAUGE])
            return object_have_need(q, RULE_STEP_NEEDS, "no gauge chosen", "gauge");
    }
    return ask_within_step(q, step);
}

/* 5 */
static enum rule ask_step(struct question *q)
{
    const enum step step = step_of(q);
    enum step lacking = STEP_NONE;
    struct missing first;
    if (is_under_way(q))
        return RULE_NONE;
    if (sitting_is_witnessed(q->s))
        return ask_step_seen(q, step);
    if (q->ev->kind == EV_INFLATE)
        return q->s->inflation == INFLATION_NONE ? ask_inflate_needs(q) : RULE_NONE;
    if (step == STEP_NONE || steps_needed_are_done(q->s, q->p, step, q->ev->t_ms, &lacking))
        return ask_within_step(q, step);
    const enum step named = lacking;
    /* Name the thing itself, not the step that waits for it. */
    while (step != STEP_CLOSING && !steps_needed_are_done(q->s, q->p, lacking, q->ev->t_ms, &lacking)) {
    }
    say_words(q->need, "%s", step_word(named));
    if (step_lacks(q->s, q->p, lacking, q->ev->t_ms, 0, &first))
        say_words(q->have, "%s: %s", step_word(lacking), first.what);
    else
        say_words(q->have, "%s not done", step_word(lacking));
    return RULE_STEP_NEEDS;
}

static enum rule ask_inflation(struct question *q)
{
    const struct sitting *s = q->s;
    const struct event *ev = q->ev;
    const bool is_rest_end = ev->kind == EV_REST && strcmp(ev->item, "end") == 0;
    if ((q->kind->traits & NOT_WHILE_UP) && !is_rest_end && s->inflation != INFLATION_NONE)
        return object_have_need(q, RULE_INFLATION_OPEN, "the cuff is up", "cuff empty");
    if (ev->kind == EV_EMPTY && s->inflation == INFLATION_NONE)
        return object_have_need(q, RULE_INFLATION_NONE, "the cuff is empty", "inflate");
    if (ev->kind == EV_PALPATE && s->last_inflation != INFLATION_PALPATE)
        return object_have_need(q, RULE_INFLATION_NONE, "no palpation under way", "inflate palpate");
    if ((q->kind->traits & NOT_UNENTERED) && s->inflation == INFLATION_NONE && sitting_current(s))
        return object_have_need(q, RULE_READING_OPEN, "values not entered", "done");
    return RULE_NONE;
}

static enum rule ask_reading(struct question *q)
{
    const struct sitting *s = q->s;
    const enum event_kind kind = q->ev->kind;
    const struct reading *r = sitting_current(s), *last = reading_at_hand(s);
    if (kind == EV_SYMPTOMS && sitting_alarm(s, q->p) == ALARM_NONE)
        return object_have_need(q, RULE_READING_NONE, "no very high or low value", "a very high or low value");
    if (kind == EV_ACTED && s->severe_reading == 0 && s->alarm_reading == 0)
        return object_have_need(q, RULE_READING_NONE, "no very high value", "a very high value");
    if (!(q->kind->traits & NEEDS_READING))
        return RULE_NONE;
    if (kind == EV_CORRECT)
        return last && last->is_entered ? RULE_NONE
                                        : object_have_need(q, RULE_READING_NONE, "no reading done", "a reading done");
    if (!r || (kind == EV_MARK && !is_listening_up(s)))
        return object_have_need(q, RULE_READING_NONE, "no reading under way", "inflate listen");
    if (kind == EV_PAIR && r->listener[0] == '\0')
        return object_have_need(q, RULE_READING_NONE, "no second listener", "listener");
    return RULE_NONE;
}

static enum rule ask_marks(struct question *q)
{
    /* A second listener who does not come to it would keep the reading open for good. */
    if (q->ev->kind == EV_VOID && !reading_lacks_pair(sitting_current(q->s))) {
        const struct reading *r = sitting_current(q->s);
        for (int i = POINT_FIRST; i < POINT_COUNT; i++) {
            if (r->has_value[i])
                return object_have_need(q, RULE_VOID_LATE, "a value is entered", "no value entered");
        }
    }
    if (q->ev->kind != EV_MARK)
        return RULE_NONE;
    const struct reading *r = sitting_current(q->s);
    const enum point point = point_named(q->ev->item);
    if (r->has_mark[point] || point == POINT_RETURN)
        return point == POINT_RETURN && !r->has_mark[point] && !r->has_mark[POINT_LAST] && r->has_mark[POINT_MUFFLING]
                   ? object_have_need(q, RULE_MARK_ORDER, "muffling is marked", "return before muffling")
                   : RULE_NONE;
    for (int i = (int)point + 1; i < POINT_COUNT; i++) {
        if (r->has_mark[i])
            return object_have_need(q, RULE_MARK_ORDER, "a later moment is marked", "marks in their order");
    }
    return RULE_NONE;
}

enum rule object_arm(struct question *q, enum arm arm)
{
    const enum arm other = arm_other(arm);
    if (!q->s->is_barred[arm])
        return RULE_NONE;
    return object_have_need(q, RULE_ARM_BARRED, ARM_WORDS[arm],
                            q->s->is_barred[other] ? "an arm that may be used; here only stop is left" : ARM_WORDS[other]);
}

static enum rule ask_stand(struct question *q)
{
    const struct sitting *s = q->s;
    if (q->ev->kind != EV_STAND)
        return RULE_NONE;
    if (q->p->value[KEY_STANDING_READINGS] == 0)
        return object_have_need(q, RULE_STAND_BARRED, "no readings standing here", "a protocol that has them");
    if (s->is_standing)
        return object_have_need(q, RULE_STAND_BARRED, "standing already", "lying");
    return arm_suffices(s, q->p, (enum arm)s->arm)
               ? RULE_NONE
               : object_numbers(q, RULE_STAND_BARRED, sitting_counted(s, (enum arm)s->arm), "lying first, at least ",
                                sitting_needed(s, q->p, (enum arm)s->arm));
}

enum rule ask_arm_barred(struct question *q)
{
    return q->ev->kind == EV_ARM ? object_arm(q, arm_named(q->ev->item)) : RULE_NONE;
}

enum rule ask_usual(struct question *q)
{
    const struct sitting *s = q->s;
    if (q->ev->kind == EV_USUAL &&
        (!q->p->value[KEY_USUAL] || s->purpose == PURPOSE_ASSESSMENT || !s->is_return || s->arm_epoch > 1))
        return object_have_need(q, RULE_USUAL_BARRED, "not allowed here",
                                "a return visit, the first arm, no assessment");
    return RULE_NONE;
}

static enum rule ask_waive(struct question *q)
{
    const struct sitting *s = q->s;
    const struct event *ev = q->ev;
    if (ev->kind != EV_WAIVE)
        return RULE_NONE;
    const enum rule rule = rule_named(ev->item);
    if (q->item >= 0 ? !q->p->items[q->item].is_waivable : !q->p->is_waivable[rule])
        return object_have_need(q, RULE_WAIVE_BARRED, ev->item, "one that the protocol lets be passed over");
    if (rule == RULE_ESTIMATE_MISSING && !s->is_pulse_absent)
        return object_have_need(q, RULE_WAIVE_BARRED, "pulse not looked for", "nopulse on this arm");
    return RULE_NONE;
}

/* Who watches is somebody else, and is there before anything is judged. */
static enum rule ask_witness(struct question *q)
{
    const struct sitting *s = q->s;
    const struct event *ev = q->ev;
    const bool has_such = q->p->value[KEY_LAPSES_MAX] >= 0;
    if (ev->kind == EV_WITNESS && !has_such)
        return object_have_need(q, RULE_WITNESS_MISSING, "no sitting before a witness under this protocol",
                                "a protocol that says what passes (lapses_max)");
    if ((ev->kind == EV_WITNESS && strcmp(ev->item, s->measurer) == 0) ||
        (ev->kind == EV_MEASURER && strcmp(ev->item, s->witness) == 0))
        return object_have_need(q, RULE_WITNESS_SELF, ev->item, "a witness who is not the measurer");
    if (ev->kind == EV_PURPOSE && strcmp(ev->item, "assessment") == 0 && has_such && s->witness[0] == '\0')
        return object_have_need(q, RULE_WITNESS_MISSING, "no witness", "witness");
    if ((ev->kind == EV_LAPSE || ev->kind == EV_UNSEEN || ev->kind == EV_STRIKE) && !sitting_is_witnessed(s))
        return object_have_need(q, RULE_WITNESS_ONLY, "nobody watches", "an assessment before a witness");
    return RULE_NONE;
}

static enum rule ask_capacity(struct question *q)
{
    if (is_listen(q->ev)) {
        int n = 0;
        for (int i = 0; i < q->s->reading_count; i++)
            n += q->s->readings[i].arm == q->s->arm;
        if (n >= INFLATIONS_PER_ARM)
            return object_numbers(q, RULE_READINGS_FULL, n, "below ", INFLATIONS_PER_ARM);
    }
    if (q->ev->kind == EV_GAUGE && gauge_index(q->s, q->ev->item) >= GAUGES_MAX)
        return object_numbers(q, RULE_KIT_FULL, q->s->gauge_count, "at most ", GAUGES_MAX);
    if (q->ev->kind == EV_CUFF && cuff_index(q->s, q->ev->item) >= CUFFS_MAX)
        return object_numbers(q, RULE_KIT_FULL, q->s->cuff_count, "below ", CUFFS_MAX);
    return RULE_NONE;
}

/* 7 */
static enum rule ask_even(struct question *q)
{
    const bool is_even_kind = (q->kind->traits & PRESSURE) || q->ev->kind == EV_GAUGE;
    if (is_even_kind && q->ev->value % 2 != 0) {
        say_words(q->have, "%lld", (long long)q->ev->value);
        say_words(q->need, "an even number");
        return RULE_VALUE_ODD;
    }
    return RULE_NONE;
}

static enum rule object_range(struct question *q, int64_t value, int64_t low, int64_t high)
{
    say_words(q->have, "%lld", (long long)value);
    say_words(q->need, "%lld to %lld", (long long)low, (long long)high);
    return RULE_VALUE_RANGE;
}

/* 8 */
static enum rule ask_range(struct question *q)
{
    const struct event *ev = q->ev;
    int64_t low = q->kind->low, high = q->kind->high;
    if (q->kind->traits & PRESSURE)
        high = ev->kind == EV_CORRECT ? reading_at_hand(q->s)->top_mmhg : q->s->gauge_top_mmhg;
    if (((q->kind->traits & PRESSURE) || high != 0) && (ev->value < low || ev->value > high))
        return object_range(q, ev->value, low, high);
    if ((ev->kind == EV_CUFF || ev->kind == EV_BLADDER) && (ev->value2 < low || ev->value2 > high))
        return object_range(q, ev->value2, low, high);
    if (ev->kind == EV_CUFF && ev->value >= ev->value2)
        return object_numbers(q, RULE_VALUE_RANGE, ev->value2, "above ", ev->value);
    if ((ev->kind == EV_GAUGE || ev->kind == EV_CHECK) && !date_exists(ev->value2))
        return object_numbers(q, RULE_VALUE_RANGE, ev->value2, "a date that exists, not ", ev->value2);
    if (ev->kind == EV_DATE && parse_timestamp(ev->text, NULL, NULL) != ST_OK)
        return object_have_need(q, RULE_VALUE_RANGE, ev->text, "a date and time with its offset, such as 2031-03-02T14:04+01:00");
    return RULE_NONE;
}

static enum rule ask_struck(struct question *q)
{
    const struct sitting *s = q->s;
    const int64_t last = sitting_lapses_kept(s);
    if (last == 0)
        return object_have_need(q, RULE_VALUE_RANGE, "nothing noted", "a lapse that was noted");
    if (q->ev->value < 1 || q->ev->value > last)
        return object_range(q, q->ev->value, 1, last);
    if (s->lapses[q->ev->value - 1].is_struck)
        return object_have_need(q, RULE_VALUE_RANGE, "taken back already", "one that still counts");
    return RULE_NONE;
}

#define KIND(kind) (UINT64_C(1) << (kind))
#define ON_ITEMS (KIND(EV_CONFIRM) | KIND(EV_REOPEN) | KIND(EV_WAIVE) | KIND(EV_LAPSE) | KIND(EV_UNSEEN))
#define ON_VALUES (KIND(EV_VALUE) | KIND(EV_TARGET) | KIND(EV_CORRECT) | KIND(EV_PAIR))
#define ALL (~UINT64_C(0))
_Static_assert(EV_COUNT <= 64, "the kinds that a class is about are the bits of one number");

/* In the order of docs/event-log.md. A class is asked only about the kinds that it may object to. */
static const struct {
    enum rule (*ask)(struct question *q);
    uint64_t kinds;
    bool is_seen; /* it speaks of what happened: before a witness no refusal but a lapse */
} CLASSES[] = {
    {ask_ended, ALL, false},
    {ask_time, ALL, false},
    {ask_opening, ALL, false},
    {ask_known, KIND(EV_PROTOCOL) | ON_ITEMS | KIND(EV_WRAP) | KIND(EV_BLADDER), false},
    {ask_step, ALL, false},
    {ask_inflation, ALL, false},
    {ask_reading, ALL, false},
    {ask_marks, KIND(EV_VOID) | KIND(EV_MARK), false},
    {ask_stand, KIND(EV_STAND), false},
    {ask_arm_barred, KIND(EV_ARM), true},
    {ask_usual, KIND(EV_USUAL), true},
    {ask_waive, KIND(EV_WAIVE), false},
    {ask_witness,
     KIND(EV_WITNESS) | KIND(EV_MEASURER) | KIND(EV_PURPOSE) | KIND(EV_LAPSE) | KIND(EV_UNSEEN) | KIND(EV_STRIKE), false},
    {ask_capacity, KIND(EV_INFLATE) | KIND(EV_GAUGE) | KIND(EV_CUFF), false},
    {ask_even, ALL, false},
    {ask_range, ALL, false},
    {ask_struck, KIND(EV_STRIKE), false},
    {ask_order, ON_VALUES | KIND(EV_BLADDER) | KIND(EV_PALPATE), false},
    {ask_kit, KIND(EV_GAUGE) | KIND(EV_WRAP) | KIND(EV_INFLATE), true},
    {ask_rest_event, KIND(EV_REST), false},
    {ask_rest_length, KIND(EV_REST), true},
    {ask_rest, KIND(EV_INFLATE), true},
    {ask_estimate, KIND(EV_INFLATE), true},
    {ask_settle, KIND(EV_INFLATE), true},
    {ask_interval, KIND(EV_INFLATE), true},
    {ask_stood, KIND(EV_INFLATE), true},
    {ask_done, KIND(EV_DONE) | KIND(EV_CORRECT), false},
    {ask_record, KIND(EV_SEAL), false},
    {ask_enough, KIND(EV_SEAL), true},
    {ask_standing, KIND(EV_SEAL), true},
    {ask_told, KIND(EV_SEAL), true},
    {ask_answered, KIND(EV_SEAL), true},
};

enum rule rules_ask(struct question *q)
{
    const uint64_t kind = KIND(q->ev->kind);
    const bool is_witnessed = sitting_is_witnessed(q->s);
    for (size_t i = 0; i < ARRAY_LEN(CLASSES); i++) {
        if (!(CLASSES[i].kinds & kind) || (is_witnessed && CLASSES[i].is_seen))
            continue;
        const enum rule rule = CLASSES[i].ask(q);
        if (rule != RULE_NONE)
            return rule;
    }
    return RULE_NONE;
}
