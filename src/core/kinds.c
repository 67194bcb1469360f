/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What each kind of event does once the rules agree. The table at the end is the one list of kinds. */
#include <string.h>

#include "core/handlers.h"
#include "stillarm/text.h"

enum point point_named(const char *word)
{
    static const char *const WORDS[POINT_COUNT] = {"target", "first", "silent", "return", "muffling", "last"};
    for (int i = 0; i < POINT_COUNT; i++) {
        if (strcmp(word, WORDS[i]) == 0)
            return (enum point)i;
    }
    return POINT_TARGET; /* `release`, as a mark */
}

enum arm arm_named(const char *word)
{
    for (int i = ARM_LEFT; i < ARM_COUNT; i++) {
        if (strcmp(word, ARM_WORDS[i]) == 0)
            return (enum arm)i;
    }
    return ARM_NONE;
}

#define HANDLER(name) static EVENT_HANDLER(name)

HANDLER(write_down)
{
    IGNORE(s);
    IGNORE(p);
    IGNORE(ev);
}

HANDLER(take_protocol)
{
    IGNORE(p);
    s->phase = PHASE_OPEN;
    text_copy(s->protocol, sizeof s->protocol, ev->item);
}

HANDLER(take_date)
{
    IGNORE(p);
    if (parse_timestamp(ev->text, &s->date, NULL) != ST_OK)
        s->date = 0; /* cannot be: the rules parsed it */
}

HANDLER(take_measurer)
{
    IGNORE(p);
    text_copy(s->measurer, sizeof s->measurer, ev->item);
}

HANDLER(take_subject)
{
    IGNORE(p);
    text_copy(s->subject, sizeof s->subject, ev->item);
}

HANDLER(take_visit)
{
    IGNORE(p);
    s->is_return = is_word(ev, "return");
}

HANDLER(take_prior_arm)
{
    IGNORE(p);
    s->prior_arm = (int32_t)arm_named(ev->item);
}

HANDLER(take_purpose)
{
    IGNORE(p);
    s->purpose = is_word(ev, "practice")  ? PURPOSE_PRACTICE
                 : is_word(ev, "service") ? PURPOSE_SERVICE
                                          : PURPOSE_ASSESSMENT;
}

HANDLER(take_help)
{
    IGNORE(p);
    s->help = is_word(ev, "steps") ? HELP_STEPS : is_word(ev, "none") ? HELP_NONE : HELP_FULL;
}

static void lift_items(struct sitting *s, const struct protocol *p, enum step step)
{
    for (int i = 0; i < p->item_count; i++) {
        if (p->items[i].step == step)
            s->items[i] = ITEM_OPEN;
    }
}

static void forget_estimate(struct sitting *s)
{
    s->estimate = ESTIMATE_OPEN;
    s->felt_mmhg = 0;
    s->gone_mmhg = 0;
    s->usual_mmhg = 0;
    s->palpated_stand = 0;
    s->estimate_version++;
    s->thing_lapse[THING_ESTIMATE] = 0;
}

/* Another arm has its own skin, size and pressure: whatever was seen on the first says nothing of it. */
static void leave_arm(struct sitting *s, const struct protocol *p)
{
    s->arm = ARM_NONE;
    lie_down(s); /* what is compared with standing was read on the arm before */
    lift_items(s, p, STEP_ARM);
    lift_items(s, p, STEP_CUFF);
    lift_items(s, p, STEP_ESTIMATE);
    s->waived_rules[RULE_CUFF_TOO_SMALL] = 0;
    s->waived_rules[RULE_CUFF_TOO_LARGE] = 0;
    s->waived_rules[RULE_ESTIMATE_MISSING] = 0;
    s->wrapped = -1;
    s->arm_mm = 0;
    s->is_pulse_absent = 0;
    s->heard_mmhg = 0;
    s->thing_lapse[THING_CUFF] = 0;
    forget_estimate(s);
    if (s->last_inflation == INFLATION_PALPATE)
        s->last_inflation = INFLATION_NONE;
}

HANDLER(take_arm)
{
    const enum arm arm = arm_named(ev->item);
    if (s->is_return && s->prior_arm != ARM_NONE && s->prior_arm != (int32_t)arm)
        s->is_arm_other = 1;
    if (s->arm == (int32_t)arm)
        return;
    leave_arm(s, p);
    s->arm = (int32_t)arm;
    s->arm_epoch++;
}

HANDLER(bar_arm)
{
    const enum arm arm = arm_named(ev->item);
    s->is_barred[arm] = 1;
    if (s->arm == (int32_t)arm)
        leave_arm(s, p);
}

HANDLER(free_arm)
{
    IGNORE(p);
    s->is_barred[arm_named(ev->item)] = 0;
}

static void answer_item(struct sitting *s, const struct protocol *p, int item, enum item_state state)
{
    if (state != ITEM_LAPSED)
        lapse_take_back(s, p, item);
    s->items[item] = (int32_t)state;
}

HANDLER(confirm_item)
{
    answer_item(s, p, protocol_find_item(p, ev->item), ITEM_CONFIRMED);
}

HANDLER(reopen_item)
{
    answer_item(s, p, protocol_find_item(p, ev->item), ITEM_OPEN);
}

HANDLER(waive_item)
{
    const int item = protocol_find_item(p, ev->item);
    if (item >= 0) {
        answer_item(s, p, item, ITEM_WAIVED);
        return;
    }
    s->waived_rules[rule_named(ev->item)] = 1;
}

HANDLER(measure_arm)
{
    IGNORE(p);
    s->arm_mm = (int32_t)ev->value;
    s->wrapped = -1;
}

/* Who stood lies down again for the next rest. */
static void lose_rest(struct sitting *s)
{
    s->rest = REST_NONE;
    lie_down(s);
}

HANDLER(take_rest)
{
    IGNORE(p);
    if (is_word(ev, "begin")) {
        lose_rest(s);
        s->thing_lapse[THING_REST] = 0;
        s->rest = REST_RUNNING;
        s->rest_began_ms = ev->t_ms;
        return;
    }
    s->rest = REST_ENDED;
    s->rest_ended_ms = ev->t_ms;
}

HANDLER(take_pulse)
{
    IGNORE(p);
    s->pulse_bpm = (int32_t)ev->value;
    s->is_irregular = is_word(ev, "irregular");
}

/* Only before a witness: a squeeze, or standing up, ends a rest at whatever length. */
static void end_running_rest(struct sitting *s, int64_t now_ms)
{
    if (s->rest != REST_RUNNING)
        return;
    s->rest = REST_ENDED;
    s->rest_ended_ms = now_ms;
}

HANDLER(begin_inflation)
{
    s->inflation = is_word(ev, "palpate") ? INFLATION_PALPATE : INFLATION_LISTEN;
    s->last_inflation = s->inflation;
    s->inflate_ms = ev->t_ms;
    end_running_rest(s, ev->t_ms);
    if (s->inflation == INFLATION_LISTEN) {
        reading_began(s, p, ev->t_ms);
        return;
    }
    forget_estimate(s);
    s->palpated_stand = stand_now(s);
}

/* All that follows from an empty cuff, at the time it was empty. */
static void empty_cuff(struct sitting *s, const struct protocol *p, int64_t at_ms)
{
    struct reading *r = reading_latest(s);
    s->has_emptied = 1;
    s->last_empty_ms = at_ms;
    if (s->inflation == INFLATION_LISTEN) {
        r->is_empty = 1;
        r->empty_ms = at_ms;
        if (at_ms - r->inflate_ms > protocol_ms(p, KEY_INFLATION_LONG_S))
            r->notes |= NOTE_INFLATION_LONG;
        s->has_listened[s->arm] = 1;
        s->listen_empty_ms[s->arm] = at_ms;
    } else {
        s->has_settle[s->arm] = 1;
        s->palpate_empty_ms[s->arm] = at_ms;
    }
    s->inflation = INFLATION_NONE;
}

static void settle_estimate(struct sitting *s)
{
    const bool is_known = s->gone_mmhg > 0 && s->inflation == INFLATION_NONE;
    s->estimate = is_known ? ESTIMATE_PALPATED : ESTIMATE_OPEN;
    s->estimate_version++;
}

HANDLER(take_empty)
{
    const bool was_palpation = s->inflation == INFLATION_PALPATE;
    empty_cuff(s, p, ev->t_ms);
    if (was_palpation)
        settle_estimate(s);
}

HANDLER(take_palpate)
{
    IGNORE(p);
    if (is_word(ev, "felt")) {
        s->felt_mmhg = (int32_t)ev->value;
        s->gone_mmhg = 0;
    } else {
        s->gone_mmhg = (int32_t)ev->value;
    }
    settle_estimate(s);
}

HANDLER(take_nopulse)
{
    IGNORE(p);
    IGNORE(ev);
    s->is_pulse_absent = 1;
}

HANDLER(take_usual)
{
    IGNORE(p);
    forget_estimate(s);
    s->estimate = ESTIMATE_USUAL;
    s->usual_mmhg = (int32_t)ev->value;
    if (s->last_inflation == INFLATION_PALPATE)
        s->last_inflation = INFLATION_NONE; /* the palpation before it is over */
}

static void set_value(struct reading *r, enum point point, int64_t mmhg)
{
    r->has_value[point] = 1;
    r->value_mmhg[point] = (int32_t)mmhg;
}

HANDLER(take_target)
{
    IGNORE(p);
    set_value(reading_latest(s), POINT_TARGET, ev->value);
}

HANDLER(take_value)
{
    struct reading *r = reading_latest(s);
    set_value(r, point_named(ev->item), ev->value);
    note_gap_heard(r);
    alarm_follow(s, r, p);
}

HANDLER(take_gap)
{
    IGNORE(p);
    struct reading *r = reading_latest(s);
    r->gap_answer = is_word(ev, "heard") ? GAP_HEARD : GAP_NOT_HEARD;
    note_gap_heard(r);
}

HANDLER(take_mark)
{
    IGNORE(p);
    struct reading *r = reading_latest(s);
    const enum point point = point_named(ev->item);
    if (point == POINT_RETURN && r->has_mark[POINT_LAST]) {
        /* Sounds came back: what was marked as the last was the beginning of a silence. */
        r->has_mark[POINT_SILENT] = 1;
        r->mark_ms[POINT_SILENT] = r->mark_ms[POINT_LAST];
    }
    r->has_mark[point] = 1;
    r->mark_ms[point] = ev->t_ms;
    for (int i = (int)point + 1; i < POINT_COUNT; i++) {
        r->has_mark[i] = 0;
        r->mark_ms[i] = 0;
    }
}

HANDLER(take_listener)
{
    IGNORE(p);
    struct reading *r = reading_latest(s);
    text_copy(r->listener, sizeof r->listener, ev->item);
    memset(r->has_pair, 0, sizeof r->has_pair); /* another person's ears, another person's values */
    memset(r->pair_mmhg, 0, sizeof r->pair_mmhg);
}

HANDLER(take_pair)
{
    IGNORE(p);
    struct reading *r = reading_latest(s);
    r->has_pair[point_named(ev->item)] = 1;
    r->pair_mmhg[point_named(ev->item)] = (int32_t)ev->value;
}

static void spoil_reading(struct sitting *s, enum void_reason reason)
{
    struct reading *r = reading_latest(s);
    r->voids |= (uint32_t)reason;
    r->is_done = 1;
}

HANDLER(give_up)
{
    IGNORE(p);
    IGNORE(ev);
    spoil_reading(s, VOID_GIVEN_UP);
}

HANDLER(finish_entry)
{
    IGNORE(ev);
    verdict_on_done(s, p);
}

HANDLER(correct_value)
{
    verdict_on_correct(s, p, point_named(ev->item), (int32_t)ev->value);
}

HANDLER(take_interrupt)
{
    IGNORE(p);
    IGNORE(ev);
    if (s->rest == REST_RUNNING)
        lose_rest(s);
    if (s->inflation == INFLATION_LISTEN)
        spoil_reading(s, VOID_INTERRUPTED);
}

HANDLER(take_moved)
{
    take_interrupt(s, p, ev);
    lose_rest(s);
}

HANDLER(take_stand)
{
    IGNORE(p);
    end_running_rest(s, ev->t_ms);
    s->is_standing = 1;
    s->stood_ms = ev->t_ms;
}

HANDLER(take_symptoms)
{
    IGNORE(p);
    alarm_take_symptoms(s, is_word(ev, "present"));
}

HANDLER(take_acted)
{
    IGNORE(ev);
    alarm_answer(s, p);
}

HANDLER(take_resume)
{
    if (ev->value < 0)
        s->is_clock_back = 1;
    if (s->rest == REST_RUNNING)
        lose_rest(s);
    if (s->inflation == INFLATION_LISTEN) {
        spoil_reading(s, VOID_RESUMED);
        empty_cuff(s, p, ev->t_ms);
    } else if (s->inflation == INFLATION_PALPATE) {
        empty_cuff(s, p, ev->t_ms);
        forget_estimate(s);
        s->last_inflation = INFLATION_NONE;
    }
    if (ev->value > protocol_ms(p, KEY_RENEW_AFTER_GAP_S) && sitting_readings_lack(s, p) != RULE_NONE)
        lose_rest(s);
}

HANDLER(stop_sitting)
{
    IGNORE(p);
    IGNORE(ev);
    s->phase = PHASE_STOPPED;
}

HANDLER(seal_sitting)
{
    IGNORE(p);
    IGNORE(ev);
    s->phase = PHASE_SEALED;
}

HANDLER(take_witness)
{
    IGNORE(p);
    text_copy(s->witness, sizeof s->witness, ev->item);
}

HANDLER(note_lapse)
{
    answer_item(s, p, protocol_find_item(p, ev->item), ITEM_LAPSED);
}

HANDLER(leave_unseen)
{
    answer_item(s, p, protocol_find_item(p, ev->item), ITEM_UNSEEN);
}

HANDLER(strike_lapse)
{
    lapse_strike(s, p, (int)ev->value - 1, ev->text);
}

static const struct kind_row KINDS[EV_COUNT] = {
    [EV_PROTOCOL] = {STEP_OPENING, ONCE, 0, 0, take_protocol},
    [EV_DATE] = {STEP_OPENING, ONCE, 0, 0, take_date},
    [EV_MEASURER] = {STEP_OPENING, ONCE, 0, 0, take_measurer},
    [EV_SUBJECT] = {STEP_OPENING, ONCE, 0, 0, take_subject},
    [EV_VISIT] = {STEP_OPENING, ONCE, 0, 0, take_visit},
    [EV_PRIOR_ARM] = {STEP_OPENING, ONCE, 0, 0, take_prior_arm},
    [EV_PURPOSE] = {STEP_OPENING, ONCE, 0, 0, take_purpose},
    [EV_PLACE] = {STEP_OPENING, ONCE, 0, 0, write_down},
    [EV_HELP] = {STEP_OPENING, ONCE, 0, 0, take_help},
    [EV_GAUGE] = {STEP_KIT, NOT_WHILE_UP | NOT_UNENTERED, 200, 300, take_gauge},
    [EV_CHECK] = {STEP_KIT, 0, 0, 100, take_check},
    [EV_CUFF] = {STEP_KIT, 0, 100, 700, take_cuff},
    [EV_ARM] = {STEP_ARM, NOT_WHILE_UP | NOT_UNENTERED, 0, 0, take_arm},
    [EV_CONFIRM] = {STEP_NONE, 0, 0, 0, confirm_item},
    [EV_REOPEN] = {STEP_NONE, 0, 0, 0, reopen_item},
    [EV_WAIVE] = {STEP_NONE, 0, 0, 0, waive_item},
    [EV_CIRCUMFERENCE] = {STEP_CUFF, NOT_WHILE_UP, 100, 700, measure_arm},
    [EV_WRAP] = {STEP_CUFF, NOT_WHILE_UP, 0, 0, wrap_cuff},
    [EV_REST] = {STEP_REST, NOT_WHILE_UP, 0, 0, take_rest},
    [EV_PULSE] = {STEP_REST, 0, 20, 250, take_pulse},
    [EV_INFLATE] = {STEP_NONE, NOT_WHILE_UP | NOT_UNENTERED, 0, 0, begin_inflation},
    [EV_EMPTY] = {STEP_NONE, 0, 0, 0, take_empty},
    [EV_PALPATE] = {STEP_ESTIMATE, PRESSURE, 0, 0, take_palpate},
    [EV_NOPULSE] = {STEP_ESTIMATE, 0, 0, 0, take_nopulse},
    [EV_USUAL] = {STEP_ESTIMATE, NOT_WHILE_UP | NOT_UNENTERED | PRESSURE, 2, 0, take_usual}, /* 0 is no pressure that anyone usually has */
    [EV_TARGET] = {STEP_LISTENING, NEEDS_READING | PRESSURE, 0, 0, take_target},
    [EV_MARK] = {STEP_LISTENING, NEEDS_READING, 0, 0, take_mark},
    [EV_VALUE] = {STEP_LISTENING, NEEDS_READING | PRESSURE, 0, 0, take_value},
    [EV_LISTENER] = {STEP_LISTENING, NEEDS_READING, 0, 0, take_listener},
    [EV_PAIR] = {STEP_LISTENING, NEEDS_READING | PRESSURE, 0, 0, take_pair},
    [EV_VOID] = {STEP_LISTENING, NEEDS_READING, 0, 0, give_up},
    [EV_DONE] = {STEP_LISTENING, NEEDS_READING | NOT_WHILE_UP, 0, 0, finish_entry},
    [EV_CORRECT] = {STEP_LISTENING, NEEDS_READING | NOT_UNENTERED | PRESSURE, 0, 0, correct_value},
    [EV_NOISE] = {STEP_NONE, 0, 0, 0, write_down},
    [EV_INTERRUPT] = {STEP_NONE, 0, 0, 0, take_interrupt},
    [EV_MOVED] = {STEP_NONE, 0, 0, 0, take_moved},
    [EV_TOLD] = {STEP_CLOSING, 0, 0, 0, write_down},
    [EV_ACTED] = {STEP_NONE, 0, 0, 0, take_acted},
    [EV_NOTE] = {STEP_NONE, 0, 0, 0, write_down},
    [EV_RESUME] = {STEP_NONE, 0, 0, 0, take_resume},
    [EV_STOP] = {STEP_NONE, 0, 0, 0, stop_sitting},
    [EV_SEAL] = {STEP_NONE, NOT_WHILE_UP | NOT_UNENTERED, 0, 0, seal_sitting},
    [EV_BLADDER] = {STEP_KIT, 0, 30, 700, take_bladder},
    [EV_BARRED] = {STEP_NONE, NOT_WHILE_UP | NOT_UNENTERED, 0, 0, bar_arm},
    [EV_FREED] = {STEP_NONE, NOT_WHILE_UP | NOT_UNENTERED, 0, 0, free_arm},
    [EV_RECENT] = {STEP_NONE, 0, 0, 0, write_down},
    [EV_STAND] = {STEP_LISTENING, NOT_WHILE_UP | NOT_UNENTERED, 0, 0, take_stand},
    [EV_SYMPTOMS] = {STEP_NONE, 0, 0, 0, take_symptoms},
    [EV_GAP] = {STEP_LISTENING, NEEDS_READING, 0, 0, take_gap},
    [EV_WITNESS] = {STEP_OPENING, ONCE, 0, 0, take_witness},
    [EV_LAPSE] = {STEP_NONE, 0, 0, 0, note_lapse},
    [EV_UNSEEN] = {STEP_NONE, 0, 0, 0, leave_unseen},
    [EV_STRIKE] = {STEP_NONE, 0, 0, 0, strike_lapse},
};

const struct kind_row *kind_row(enum event_kind kind)
{
    return &KINDS[kind];
}
