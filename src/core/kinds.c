/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What each kind of event does once the rules agree. The table at the end is the one list of kinds. */
#include <string.h>

#include "core/engine.h"
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

static bool is_word(const struct event *ev, const char *word)
{
    return strcmp(ev->item, word) == 0;
}

#define HANDLER(name)                                                                                        \
    static void name(struct sitting *s, const struct protocol *p, const struct event *ev)
/* Handlers share one signature so that the table can hold them; not each needs every argument. */
#define IGNORE(x) (void)(x)

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

int gauge_index(const struct sitting *s, const char *id)
{
    int at = 0;
    while (at < s->gauge_count && strcmp(s->gauges[at].id, id) != 0)
        at++;
    return at;
}

HANDLER(take_gauge)
{
    IGNORE(p);
    s->gauge_at = gauge_index(s, ev->item);
    if (s->gauge_at == s->gauge_count)
        text_copy(s->gauges[s->gauge_count++].id, ITEM_CAP, ev->item);
    text_copy(s->gauge, sizeof s->gauge, ev->item);
    s->gauge_top_mmhg = (int32_t)ev->value;
    s->gauge_due = (int32_t)ev->value2;
}

HANDLER(take_check)
{
    IGNORE(p);
    struct checked_gauge *gauge = &s->gauges[s->gauge_at];
    struct gauge_check *check = is_word(ev, "leak") ? &gauge->leak : &gauge->comparison;
    if (check->is_given && check->date > ev->value2)
        return; /* an older check, told late: the newest decides */
    check->is_given = true;
    check->value = (int32_t)ev->value;
    check->date = (int32_t)ev->value2;
}

HANDLER(take_cuff)
{
    IGNORE(p);
    int at = 0;
    while (at < s->cuff_count && strcmp(s->cuffs[at].id, ev->item) != 0)
        at++;
    struct cuff *c = &s->cuffs[at];
    if (at == s->cuff_count)
        s->cuff_count++;
    else if (s->wrapped == at && (c->low_mm != ev->value || c->high_mm != ev->value2))
        s->wrapped = -1;
    text_copy(c->id, sizeof c->id, ev->item);
    c->low_mm = (int32_t)ev->value;
    c->high_mm = (int32_t)ev->value2;
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
    s->estimate_version++;
}

/* Another arm has its own skin, size and pressure: whatever was seen on the first says nothing of it. */
HANDLER(take_arm)
{
    const enum arm arm = arm_named(ev->item);
    if (s->is_return && s->prior_arm != ARM_NONE && s->prior_arm != (int32_t)arm)
        s->is_arm_other = 1;
    if (s->arm == (int32_t)arm)
        return;
    s->arm = (int32_t)arm;
    s->arm_epoch++;
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
    forget_estimate(s);
    if (s->last_inflation == INFLATION_PALPATE)
        s->last_inflation = INFLATION_NONE;
}

HANDLER(confirm_item)
{
    s->items[protocol_find_item(p, ev->item)] = ITEM_CONFIRMED;
}

HANDLER(reopen_item)
{
    s->items[protocol_find_item(p, ev->item)] = ITEM_OPEN;
}

HANDLER(waive_item)
{
    const int item = protocol_find_item(p, ev->item);
    if (item >= 0) {
        s->items[item] = ITEM_WAIVED;
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

HANDLER(wrap_cuff)
{
    for (int i = 0; i < s->cuff_count; i++) {
        if (strcmp(s->cuffs[i].id, ev->item) == 0)
            s->wrapped = i;
    }
    const int index = protocol_find_item(p, "cuff.index");
    if (index >= 0)
        s->items[index] = ITEM_OPEN; /* read off this wrapping, not the one before */
}

HANDLER(take_rest)
{
    IGNORE(p);
    if (is_word(ev, "begin")) {
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

HANDLER(begin_inflation)
{
    s->inflation = is_word(ev, "palpate") ? INFLATION_PALPATE : INFLATION_LISTEN;
    s->last_inflation = s->inflation;
    s->inflate_ms = ev->t_ms;
    if (s->inflation == INFLATION_LISTEN)
        reading_began(s, p, ev->t_ms);
    else
        forget_estimate(s);
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
    IGNORE(p);
    set_value(reading_latest(s), point_named(ev->item), ev->value);
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
        s->rest = REST_NONE;
    if (s->inflation == INFLATION_LISTEN)
        spoil_reading(s, VOID_INTERRUPTED);
}

HANDLER(take_moved)
{
    take_interrupt(s, p, ev);
    s->rest = REST_NONE;
}

HANDLER(take_acted)
{
    IGNORE(p);
    IGNORE(ev);
    s->is_severe_open = 0;
}

HANDLER(take_resume)
{
    if (ev->value < 0)
        s->is_clock_back = 1;
    if (s->rest == REST_RUNNING)
        s->rest = REST_NONE;
    if (s->inflation == INFLATION_LISTEN) {
        spoil_reading(s, VOID_RESUMED);
        empty_cuff(s, p, ev->t_ms);
    } else if (s->inflation == INFLATION_PALPATE) {
        empty_cuff(s, p, ev->t_ms);
        forget_estimate(s);
        s->last_inflation = INFLATION_NONE;
    }
    if (ev->value > protocol_ms(p, KEY_RENEW_AFTER_GAP_S) && sitting_readings_lack(s, p) != RULE_NONE)
        s->rest = REST_NONE;
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
    [EV_BLADDER] = {STEP_KIT, 0, 30, 700, write_down},
    [EV_BARRED] = {STEP_NONE, NOT_WHILE_UP | NOT_UNENTERED, 0, 0, write_down},
    [EV_FREED] = {STEP_NONE, NOT_WHILE_UP | NOT_UNENTERED, 0, 0, write_down},
    [EV_RECENT] = {STEP_NONE, 0, 0, 0, write_down},
    [EV_STAND] = {STEP_LISTENING, NOT_WHILE_UP | NOT_UNENTERED, 0, 0, write_down},
    [EV_SYMPTOMS] = {STEP_NONE, 0, 0, 0, write_down},
    [EV_GAP] = {STEP_LISTENING, NEEDS_READING, 0, 0, write_down},
};

const struct kind_row *kind_row(enum event_kind kind)
{
    return &KINDS[kind];
}
