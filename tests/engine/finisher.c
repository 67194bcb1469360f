/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "finisher.h"

#include <stdio.h>
#include <string.h>

#include "check_state.h"

#define DRIVE_MAX 1500

static struct event say(const struct sitting *s, int64_t after_ms, enum event_kind kind, const char *item,
                        int64_t value, int64_t value2, const char *text)
{
    return make_event(s->now_ms + after_ms, kind, item, value, value2, text);
}

static bool try_opening(const struct sitting *s, const struct protocol *p, struct event *out)
{
    static const struct {
        enum event_kind kind;
        const char *item, *text;
    } FIRST[] = {
        {EV_DATE, NULL, "2031-03-02T14:04:10+01:00"},
        {EV_MEASURER, "ana", NULL},
        {EV_SUBJECT, "k7-031", NULL},
        {EV_VISIT, "return", NULL},
        {EV_PURPOSE, "service", NULL},
        {EV_PLACE, NULL, "booth 2"},
    };
    if (s->phase == PHASE_EMPTY) {
        *out = say(s, 0, EV_PROTOCOL, p->id, 0, 0, NULL);
        return true;
    }
    if (s->given[EV_PURPOSE] == 0 && s->witness[0] != '\0' && p->value[KEY_LAPSES_MAX] >= 0) {
        *out = say(s, 100, EV_PURPOSE, "assessment", 0, 0, NULL);
        return true;
    }
    for (size_t i = 0; i < ARRAY_LEN(FIRST); i++) {
        if (s->given[FIRST[i].kind] == 0) {
            bool is_witness = FIRST[i].kind == EV_MEASURER && strcmp(FIRST[i].item, s->witness) == 0;
            *out = say(s, 100, FIRST[i].kind, is_witness ? "ina" : FIRST[i].item, 0, 0, FIRST[i].text);
            return true;
        }
    }
    if (s->is_return && p->value[KEY_PRIOR_ARM] && s->given[EV_PRIOR_ARM] == 0) {
        *out = say(s, 100, EV_PRIOR_ARM, "unknown", 0, 0, NULL);
        return true;
    }
    return false;
}

/* Open items of one step. */
static bool try_items(const struct sitting *s, const struct protocol *p, enum step step, struct event *out)
{
    for (int i = 0; i < p->item_count; i++) {
        if (p->items[i].step == step && s->items[i] == ITEM_OPEN) {
            *out = say(s, 500, EV_CONFIRM, p->items[i].id, 0, 0, NULL);
            return true;
        }
    }
    return false;
}

static int even(int mmhg)
{
    return mmhg - mmhg % 2;
}

static int value_of(const struct reading *r, int point, int otherwise)
{
    return r->has_value[point] ? r->value_mmhg[point] : otherwise;
}

/* Highest of the values given from a point down, and lowest from a point up. */
static int highest_from(const struct reading *r, int point)
{
    int most = 0;
    for (; point < POINT_COUNT; point++) {
        most = r->has_value[point] && r->value_mmhg[point] > most ? r->value_mmhg[point] : most;
        most = r->has_pair[point] && r->pair_mmhg[point] > most ? r->pair_mmhg[point] : most;
    }
    return most;
}

static int lowest_to(const struct reading *r, int point)
{
    int least = 300;
    for (; point >= POINT_TARGET; point--) {
        least = r->has_value[point] && r->value_mmhg[point] < least ? r->value_mmhg[point] : least;
    }
    return least;
}

static int at_least(int v, int least)
{
    return v < least ? least : v;
}

static int at_most(int v, int most)
{
    return v > most ? most : v;
}

static bool pair_is_due(const struct reading *r, int point)
{
    if (point == POINT_MUFFLING && r->value_mmhg[POINT_LAST] != 0 && !r->has_pair[point]) {
        return false;
    }
    return !r->has_pair[point] || r->pair_mmhg[point] != value_of(r, point, r->value_mmhg[POINT_LAST]);
}

/* The second listener's values are made those of the first: from above, or where that is in the way, from
 * below. */
static struct event finish_pair(const struct sitting *s, const struct reading *r, int tries)
{
    static const struct {
        int point;
        const char *word;
    } POINTS[] = {
        {POINT_FIRST, "first"},
        {POINT_MUFFLING, "muffling"},
        {POINT_LAST, "last"},
    };
    for (size_t i = 0; i < ARRAY_LEN(POINTS); i++) {
        size_t k = tries == 1 ? ARRAY_LEN(POINTS) - 1 - i : i;
        int point = POINTS[k].point;
        if (pair_is_due(r, point)) {
            return say(s, 500, EV_PAIR, POINTS[k].word, value_of(r, point, r->value_mmhg[POINT_LAST]), 0,
                       NULL);
        }
    }
    return say(s, 500, EV_DONE, NULL, 0, 0, NULL);
}

/* What the reading being entered still lacks; values already there are kept where their order lets us. */
static struct event finish_entry(const struct sitting *s, const struct reading *r, int tries)
{
    int top = s->gauge_top_mmhg;
    if (tries == 2) {
        return say(s, 500, EV_VOID, NULL, 0, 0, "does not add up");
    }
    if (!r->has_value[POINT_TARGET]) {
        return say(s, 500, EV_TARGET, NULL,
                   at_most(even(at_least(r->floor_mmhg, highest_from(r, POINT_FIRST))), top), 0, NULL);
    }
    if (!r->has_value[POINT_FIRST] && r->has_value[POINT_LAST] && r->value_mmhg[POINT_LAST] >= top) {
        return say(s, 500, EV_VALUE, "last", top - 2, 0, NULL); /* a first sound must fit above it */
    }
    if (!r->has_value[POINT_FIRST]) {
        int first =
            at_least(at_most(even(r->value_mmhg[POINT_TARGET] - 34), 128), highest_from(r, POINT_SILENT));
        bool touches = r->has_value[POINT_LAST] && first <= r->value_mmhg[POINT_LAST];
        first = touches ? r->value_mmhg[POINT_LAST] + 2 : at_least(first, 2);
        bool is_above = first > r->value_mmhg[POINT_TARGET];
        return is_above ? say(s, 500, EV_TARGET, NULL, first, 0, NULL)
                        : say(s, 500, EV_VALUE, "first", first, 0, NULL);
    }
    if (r->value_mmhg[POINT_FIRST] == 0) {
        return say(s, 500, EV_VALUE, "first", at_most(120, r->value_mmhg[POINT_TARGET]), 0, NULL);
    }
    if (!r->has_value[POINT_LAST]) {
        int most = at_most(lowest_to(r, POINT_MUFFLING), r->value_mmhg[POINT_FIRST] - 2);
        return say(s, 500, EV_VALUE, "last", at_most(78, even(most)), 0, NULL);
    }
    if (r->value_mmhg[POINT_LAST] == 0 && !r->has_value[POINT_MUFFLING]) {
        return say(s, 500, EV_VALUE, "muffling", at_most(60, even(lowest_to(r, POINT_RETURN))), 0, NULL);
    }
    if (r->listener[0] != '\0') {
        return finish_pair(s, r, tries);
    }
    return say(s, 500, EV_DONE, NULL, 0, 0, NULL);
}

static bool try_inflation(const struct sitting *s, int tries, struct event *out)
{
    if (s->inflation != INFLATION_NONE) {
        int64_t up = s->now_ms - s->inflate_ms;
        *out = say(s, up < 50000 ? 50000 - up : 0, EV_EMPTY, NULL, 0, 0, NULL);
        return true;
    }
    const struct reading *r = sitting_current(s);
    if (r != NULL) {
        *out = finish_entry(s, r, tries);
        return true;
    }
    return false;
}

/* A cuff for this arm: one at hand, or one more; when the shelf is full, one that is there is marked anew. */
static struct event find_cuff(const struct sitting *s, int32_t arm_mm)
{
    for (int i = 0; i < s->cuff_count; i++) {
        if (arm_mm >= s->cuffs[i].low_mm && arm_mm <= s->cuffs[i].high_mm) {
            return say(s, 500, EV_WRAP, s->cuffs[i].id, 0, 0, NULL);
        }
    }
    char id[ITEM_CAP];
    (void)snprintf(id, sizeof id, "found-%d", s->cuff_count);
    return say(s, 500, EV_CUFF, s->cuff_count == CUFFS_MAX ? s->cuffs[0].id : id, 100, 700, NULL);
}

/* Readings standing that the seal would ask for. */
static bool owes_standing(const struct sitting *s, const struct protocol *p)
{
    int standing = 0, on_arm = 0;
    for (int i = 0; i < s->reading_count; i++) {
        const struct reading *r = &s->readings[i];
        standing += r->is_standing && r->stand == s->given[EV_STAND] && r->is_done;
        on_arm += r->arm == s->arm;
    }
    return sitting_standing_counted(s) < p->value[KEY_STANDING_READINGS] &&
           standing < p->value[KEY_READINGS_MAX] && on_arm < INFLATIONS_PER_ARM &&
           !s->waived_rules[RULE_STANDING_FEW];
}

static bool owes_readings(const struct sitting *s, const struct protocol *p)
{
    return sitting_readings_lack(s, p) != RULE_NONE || owes_standing(s, p);
}

/* Whoever stands up does so on an arm whose readings suffice. */
static enum arm arm_to_stand_with(const struct sitting *s, const struct protocol *p)
{
    struct average a;
    for (int arm = ARM_LEFT; arm <= ARM_RIGHT; arm++) {
        if (!s->is_barred[arm] && s->arm != arm && sitting_average(s, p, (enum arm)arm, &a)) {
            return (enum arm)arm;
        }
    }
    return ARM_NONE;
}

static bool try_arm(const struct sitting *s, const struct protocol *p, int tries, struct event *out)
{
    enum arm to_read = sitting_arm_to_read(s, p);
    bool suffice = sitting_readings_lack(s, p) == RULE_NONE;
    if (s->is_barred[ARM_LEFT] && s->is_barred[ARM_RIGHT]) {
        *out =
            say(s, 500, EV_FREED, to_read == ARM_RIGHT ? "right" : "left", 0, 0, "it may be used after all");
        return true;
    }
    if (suffice && tries > 0 && owes_standing(s, p) && !s->is_standing && s->arm != ARM_NONE) {
        to_read = arm_to_stand_with(s, p);
        suffice = false;
    }
    if (s->arm == ARM_NONE && to_read == ARM_NONE) {
        to_read = s->is_barred[ARM_LEFT] ? ARM_RIGHT : ARM_LEFT;
    }
    if (s->arm == ARM_NONE || (!suffice && to_read != ARM_NONE && to_read != (enum arm)s->arm)) {
        *out = say(s, 500, EV_ARM, to_read == ARM_RIGHT ? "right" : "left", 0, 0, NULL);
        return true;
    }
    if (try_items(s, p, STEP_ARM, out)) {
        return true;
    }
    if (p->value[KEY_CUFF_BY] == CUFF_BY_CIRCUMFERENCE && s->arm_mm == 0) {
        *out = say(s, 500, EV_CIRCUMFERENCE, NULL, 300, 0, NULL);
        return true;
    }
    if (s->wrapped < 0) {
        *out = find_cuff(s, s->arm_mm);
        return true;
    }
    return try_items(s, p, STEP_CUFF, out);
}

static bool try_rest(const struct sitting *s, const struct protocol *p, struct event *out)
{
    if (s->pulse_bpm == 0) {
        *out = say(s, 500, EV_PULSE, "regular", 70, 0, NULL);
        return true;
    }
    int64_t ahead = owes_standing(s, p) ? 1000 * (int64_t)(p->value[KEY_STANDING_SECOND_S] + 10) : 70000;
    if (!owes_readings(s, p) || sitting_rest_is_good(s, p, s->now_ms + ahead)) {
        return false;
    }
    if (s->rest == REST_RUNNING) {
        int64_t left = s->rest_began_ms + protocol_ms(p, KEY_REST_S) - s->now_ms;
        *out = say(s, left > 0 ? left : 0, EV_REST, "end", 0, 0, NULL);
    } else {
        /* A rest about to go stale is let go stale, and taken again. */
        bool is_good = sitting_rest_is_good(s, p, s->now_ms);
        *out = say(s, is_good ? ahead + 10000 : 500, EV_REST, "begin", 0, 0, NULL);
    }
    return true;
}

static bool has_failed(const struct sitting *s, const struct protocol *p)
{
    const struct checked_gauge *gauge = &s->gauges[s->gauge_at];
    return (gauge->zero.is_given && gauge->zero.value > p->value[KEY_ZERO_MAX_MMHG]) ||
           (gauge->leak.is_given && gauge->leak.value > p->value[KEY_LEAK_MAX_MMHG_PER_MIN]) ||
           (gauge->comparison.is_given && gauge->comparison.value > p->value[KEY_COMPARISON_MAX_MMHG]);
}

/* Another gauge; where the sitting holds no more, this one is checked again. */
static struct event find_gauge(const struct sitting *s, const struct protocol *p)
{
    char id[ITEM_CAP];
    if (s->gauge_count < GAUGES_MAX) {
        (void)snprintf(id, sizeof id, "spare-%d", (int)s->given[EV_GAUGE]);
        return say(s, 500, EV_GAUGE, id, 300, 29991231, NULL);
    }
    const struct checked_gauge *gauge = &s->gauges[s->gauge_at];
    bool leaks = gauge->leak.is_given && gauge->leak.value > p->value[KEY_LEAK_MAX_MMHG_PER_MIN];
    bool is_off_zero = gauge->zero.is_given && gauge->zero.value > p->value[KEY_ZERO_MAX_MMHG];
    if (is_off_zero) {
        return say(s, 500, EV_CHECK, "zero", 0, gauge->zero.date, NULL);
    }
    return say(s, 500, EV_CHECK, leaks ? "leak" : "comparison", 0,
               leaks ? gauge->leak.date : gauge->comparison.date, NULL);
}

static bool try_kit(const struct sitting *s, const struct protocol *p, struct event *out)
{
    if (s->gauge[0] == '\0' || has_failed(s, p)) {
        *out = find_gauge(s, p);
        return true;
    }
    if (s->cuff_count == 0) {
        *out = say(s, 500, EV_CUFF, "adult", 254, 406, NULL);
        return true;
    }
    return try_items(s, p, STEP_KIT, out);
}

static struct event try_listen(const struct sitting *s, const struct protocol *p, bool is_new_palpation)
{
    bool has_estimate = !is_new_palpation && sitting_step_state(s, p, STEP_ESTIMATE, s->now_ms) == STEP_DONE;
    if (!is_new_palpation && !has_estimate && s->last_inflation == INFLATION_PALPATE &&
        s->estimate == ESTIMATE_OPEN && s->gone_mmhg == 0 && s->felt_mmhg < s->gauge_top_mmhg) {
        return say(s, 500, EV_PALPATE, "gone", at_least(130, s->felt_mmhg + 2), 0, NULL);
    }
    enum inflation_phase kind = has_estimate ? INFLATION_LISTEN : INFLATION_PALPATE;
    int64_t from = sitting_inflate_from_ms(s, p, kind), on_feet = sitting_standing_from_ms(s, p);
    from = kind == INFLATION_LISTEN && on_feet > from ? on_feet : from;
    int64_t wait = from > s->now_ms ? from - s->now_ms : 0;
    return say(s, wait, EV_INFLATE, has_estimate ? "listen" : "palpate", 0, 0, NULL);
}

struct event finisher_next(const struct sitting *s, const struct protocol *p, int tries)
{
    struct event ev;
    bool is_new_palpation = tries > 0 && s->inflation == INFLATION_NONE && sitting_current(s) == NULL;
    if (try_opening(s, p, &ev) || try_inflation(s, tries, &ev) || try_kit(s, p, &ev) ||
        try_items(s, p, STEP_READINESS, &ev) || try_items(s, p, STEP_POSTURE, &ev) ||
        try_arm(s, p, tries, &ev) || try_rest(s, p, &ev)) {
        return ev;
    }
    if (s->is_standing && sitting_readings_lack(s, p) != RULE_NONE) {
        return say(s, 500, EV_MOVED, NULL, 0, 0, "lay down: one more lying is asked for");
    }
    if (sitting_readings_lack(s, p) == RULE_NONE && owes_standing(s, p) && !s->is_standing) {
        bool is_ready = tries == 0 && sitting_step_state(s, p, STEP_ESTIMATE, s->now_ms) == STEP_DONE;
        return is_ready ? say(s, 500, EV_STAND, NULL, 0, 0, NULL)
                        : try_listen(s, p, tries > 1 && is_new_palpation);
    }
    if (owes_readings(s, p)) {
        return try_listen(s, p, is_new_palpation);
    }
    if (try_items(s, p, STEP_CLOSING, &ev)) {
        return ev;
    }
    if (p->value[KEY_TOLD] && s->given[EV_TOLD] == 0) {
        return say(s, 500, EV_TOLD, NULL, 0, 0, NULL);
    }
    if (s->is_severe_open) {
        return say(s, 500, EV_ACTED, NULL, 0, 0, "asked for symptoms, none");
    }
    return say(s, 500, EV_SEAL, NULL, 0, 0, NULL);
}

bool finisher_drive(const struct sitting *from, const struct protocol *p, struct sitting *end, int *steps,
                    char *why, size_t cap)
{
    memcpy(end, from, sizeof *end);
    int refused = 0;
    struct refusal no = {.rule = RULE_NONE};
    for (*steps = 0; *steps < DRIVE_MAX; (*steps)++) {
        if (end->phase == PHASE_SEALED) {
            return true;
        }
        struct event ev = finisher_next(end, p, refused);
        if (sitting_apply(end, p, &ev, &no)) {
            refused = 0;
            continue;
        }
        if (++refused > 3) {
            char line[EVENT_LINE_CAP];
            (void)event_print(&ev, line);
            (void)snprintf(why, cap, "no way on after %d events: `%.200s` is refused %s: have %s, need %s",
                           *steps, line, rule_id(no.rule), no.have, no.need);
            return false;
        }
    }
    (void)snprintf(why, cap, "not sealed after %d events; %d readings, lacking %s", DRIVE_MAX,
                   (int)end->reading_count, rule_id(sitting_readings_lack(end, p)));
    return false;
}
