/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "check_state.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

struct event make_event(int64_t t_ms, enum event_kind kind, const char *item, int64_t value, int64_t value2,
                        const char *text)
{
    struct event ev;
    memset(&ev, 0, sizeof ev);
    ev.t_ms = t_ms;
    ev.kind = kind;
    ev.value = value;
    ev.value2 = value2;
    (void)snprintf(ev.item, sizeof ev.item, "%s", item == NULL ? "" : item);
    (void)snprintf(ev.text, sizeof ev.text, "%s", text == NULL ? "" : text);
    return ev;
}

static bool is_even_in_range(int32_t mmhg, int32_t top)
{
    return mmhg >= 0 && mmhg <= top && mmhg % 2 == 0;
}

bool values_hold(const struct sitting *s, char *why, size_t cap)
{
    for (int i = 0; i < s->reading_count; i++) {
        const struct reading *r = &s->readings[i];
        int32_t above = 300;
        for (int point = POINT_TARGET; point < POINT_COUNT; point++) {
            if (!r->has_value[point]) {
                continue;
            }
            int32_t v = r->value_mmhg[point];
            bool is_strict = point == POINT_RETURN && r->has_value[POINT_SILENT];
            if (!is_even_in_range(v, 300) || v > above || (is_strict && v >= r->value_mmhg[POINT_SILENT])) {
                (void)snprintf(why, cap, "reading %d holds %d at point %d, below %d", i + 1, (int)v, point,
                               (int)above);
                return false;
            }
            above = v;
        }
        bool has_both = r->has_value[POINT_FIRST] && r->has_value[POINT_LAST];
        if (has_both && r->value_mmhg[POINT_FIRST] <= r->value_mmhg[POINT_LAST]) {
            (void)snprintf(why, cap, "reading %d: first is not above last", i + 1);
            return false;
        }
        if (reading_is_counted(r) && (!has_both || !r->has_value[POINT_TARGET])) {
            (void)snprintf(why, cap, "reading %d counts without its values", i + 1);
            return false;
        }
    }
    return true;
}

void average_by_hand(enum average_of which, const int32_t *sys, const int32_t *dia, int n, int *out_n,
                     int *out_sys, int *out_dia)
{
    int from = 0, to = n;
    if (which == AVERAGE_LAST_TWO && n > 2) {
        from = n - 2;
    } else if (which == AVERAGE_WITHOUT_FIRST && n > 1) {
        from = 1;
    } else if (which == AVERAGE_LOWER_OF_LAST_TWO) {
        from = n - 1;
        if (n > 1 && (sys[n - 2] < sys[n - 1] || (sys[n - 2] == sys[n - 1] && dia[n - 2] < dia[n - 1]))) {
            from = n - 2;
        }
        to = from + 1;
    }
    *out_n = to - from;
    *out_sys = *out_dia = 0;
    for (int i = from; i < to; i++) {
        *out_sys += sys[i];
        *out_dia += dia[i];
    }
}

static int diastolic(const struct reading *r)
{
    int last = r->value_mmhg[POINT_LAST];
    return last == 0 ? r->value_mmhg[POINT_MUFFLING] : last;
}

bool averages_hold(const struct sitting *s, const struct protocol *p, char *why, size_t cap)
{
    for (int arm = ARM_LEFT; arm <= ARM_RIGHT; arm++) {
        struct average a;
        if (!sitting_average(s, p, (enum arm)arm, &a)) {
            continue;
        }
        int32_t sys[READINGS_CAP], dia[READINGS_CAP];
        int n = 0, in = 0, sys_sum = 0, dia_sum = 0;
        for (int i = 0; i < s->reading_count; i++) {
            const struct reading *r = &s->readings[i];
            if (r->arm == arm && r->is_entered && r->voids == 0 && !r->is_standing) {
                sys[n] = r->value_mmhg[POINT_FIRST];
                dia[n++] = diastolic(r);
            }
        }
        average_by_hand((enum average_of)p->value[KEY_AVERAGE], sys, dia, n, &in, &sys_sum, &dia_sum);
        if (n == 0 || a.n != in || a.systolic_sum_mmhg != sys_sum || a.diastolic_sum_mmhg != dia_sum) {
            (void)snprintf(why, cap,
                           "%s average is %d/%d over %d; from the counted readings alone %d/%d over %d",
                           ARM_WORDS[arm], (int)a.systolic_sum_mmhg, (int)a.diastolic_sum_mmhg, (int)a.n,
                           sys_sum, dia_sum, in);
            return false;
        }
    }
    return true;
}

static bool items_hold(const struct sitting *s, const struct protocol *p, char *why, size_t cap)
{
    for (int i = 0; i < p->item_count; i++) {
        const struct protocol_item *item = &p->items[i];
        bool is_by_witness = s->items[i] == ITEM_LAPSED || s->items[i] == ITEM_UNSEEN;
        if (s->items[i] == ITEM_CONFIRMED || (s->items[i] == ITEM_WAIVED && item->is_waivable) ||
            (is_by_witness && sitting_is_witnessed(s))) {
            continue;
        }
        (void)snprintf(why, cap, "sealed with %s neither confirmed nor rightly waived", item->id);
        return false;
    }
    return true;
}

/* Of the readings lying (or sitting) on an arm. */
static int on_arm(const struct sitting *s, int arm, bool counted_only)
{
    int n = 0;
    for (int i = 0; i < s->reading_count; i++) {
        const struct reading *r = &s->readings[i];
        n += r->arm == arm && !r->is_standing && (!counted_only || reading_is_counted(r));
    }
    return n;
}

/* What an arm needs at the least: one where its first counted reading lies below both bounds, else the
 * minimum. */
static int least_on_arm(const struct sitting *s, const struct protocol *p, int arm)
{
    const struct reading *first = NULL;
    for (int i = s->reading_count - 1; i >= 0; i--) {
        const struct reading *r = &s->readings[i];
        first = r->arm == arm && !r->is_standing && reading_is_counted(r) ? r : first;
    }
    bool is_alone = first != NULL && !s->is_irregular &&
                    first->value_mmhg[POINT_FIRST] < p->value[KEY_ALONE_BELOW_SYSTOLIC_MMHG] &&
                    diastolic(first) < p->value[KEY_ALONE_BELOW_DIASTOLIC_MMHG];
    return is_alone ? 1 : p->value[KEY_READINGS_MIN];
}

static bool arm_has_counted_enough(const struct sitting *s, const struct protocol *p, int arm)
{
    return on_arm(s, arm, true) >= least_on_arm(s, p, arm);
}

static bool arm_has_enough(const struct sitting *s, const struct protocol *p, int arm)
{
    return arm_has_counted_enough(s, p, arm) || on_arm(s, arm, false) >= p->value[KEY_READINGS_MAX];
}

static int on_any(const struct sitting *s, int arm)
{
    int n = 0;
    for (int i = 0; i < s->reading_count; i++) {
        n += s->readings[i].arm == arm;
    }
    return n;
}

/* Inflations on the latest stand. */
static int on_latest_stand(const struct sitting *s, bool counted_only)
{
    int n = 0;
    for (int i = 0; i < s->reading_count; i++) {
        const struct reading *r = &s->readings[i];
        bool is_latest = r->is_standing && r->stand == s->given[EV_STAND];
        n += is_latest && (!counted_only || reading_is_counted(r));
    }
    return n;
}

static bool standing_holds(const struct sitting *s, const struct protocol *p, char *why, size_t cap)
{
    bool is_owed = p->value[KEY_STANDING_READINGS] > on_latest_stand(s, true);
    bool is_max =
        on_latest_stand(s, false) >= p->value[KEY_READINGS_MAX] || on_any(s, s->arm) >= INFLATIONS_PER_ARM;
    if (!is_owed || s->waived_rules[RULE_STANDING_FEW]) {
        return true;
    }
    if (!is_max || (sitting_remarks(s, p) & REMARK_READINGS_UNSETTLED) == 0) {
        (void)snprintf(why, cap, "sealed with %d of %d readings standing%s", on_latest_stand(s, true),
                       (int)p->value[KEY_STANDING_READINGS],
                       is_max ? ", at the maximum, without the remark readings.unsettled" : "");
        return false;
    }
    return true;
}

/* The fall on standing, in whole numbers: lying sum - n times the reading, against n times the protocol's
 * mark. */
static bool drop_holds(const struct sitting *s, const struct protocol *p, char *why, size_t cap)
{
    bool is_fall = false;
    for (int i = 0; i < s->reading_count; i++) {
        const struct reading *r = &s->readings[i];
        struct average a;
        if (!r->is_standing || r->stand != s->given[EV_STAND] || !reading_is_counted(r) ||
            !sitting_average(s, p, (enum arm)r->arm, &a)) {
            continue;
        }
        is_fall = is_fall ||
                  a.systolic_sum_mmhg - a.n * r->value_mmhg[POINT_FIRST] >=
                      a.n * p->value[KEY_DROP_SYSTOLIC_MMHG] ||
                  a.diastolic_sum_mmhg - a.n * diastolic(r) >= a.n * p->value[KEY_DROP_DIASTOLIC_MMHG];
    }
    if (is_fall != ((sitting_remarks(s, p) & REMARK_STANDING_DROP) != 0)) {
        (void)snprintf(why, cap, "standing.drop is %sremarked, by the sums it is %sa fall",
                       is_fall ? "not " : "", is_fall ? "" : "not ");
        return false;
    }
    return true;
}

/* Sealed after first readings too far apart: each arm was read twice, or as often as the protocol tries. */
static bool arms_again_hold(const struct sitting *s, const struct protocol *p, char *why, size_t cap)
{
    int first[ARM_COUNT] = {0};
    for (int i = s->reading_count - 1; i >= 0; i--) {
        const struct reading *r = &s->readings[i];
        if (!r->is_standing && reading_is_counted(r)) {
            first[r->arm] = r->value_mmhg[POINT_FIRST];
        }
    }
    bool is_apart = first[ARM_LEFT] > 0 && first[ARM_RIGHT] > 0 &&
                    abs(first[ARM_LEFT] - first[ARM_RIGHT]) > p->value[KEY_ARMS_OVER_MMHG];
    for (int arm = ARM_LEFT; is_apart && p->value[KEY_ARMS_REPEAT] && arm <= ARM_RIGHT; arm++) {
        if (on_arm(s, arm, true) < 2 && on_arm(s, arm, false) < p->value[KEY_READINGS_MAX]) {
            (void)snprintf(why, cap, "first readings %d and %d apart, sealed with one on the %s arm",
                           first[ARM_LEFT], first[ARM_RIGHT], ARM_WORDS[arm]);
            return false;
        }
    }
    return true;
}

static bool has_noted(const struct sitting *s, enum rule rule, bool is_struck_too)
{
    for (int i = 0; i < s->lapse_count && i < LAPSES_MAX; i++) {
        if (s->lapses[i].rule == (int32_t)rule && (is_struck_too || !s->lapses[i].is_struck)) {
            return true;
        }
    }
    return s->lapse_count > LAPSES_MAX; /* nobody can tell */
}

static bool has_lapse(const struct sitting *s, enum rule rule)
{
    return has_noted(s, rule, false);
}

static bool counted_critical_holds(const struct sitting *s, const struct protocol *p)
{
    int critical = 0, struck = 0;
    for (int i = 0; i < s->lapse_count && i < LAPSES_MAX; i++) {
        const struct lapse *l = &s->lapses[i];
        struck += l->is_struck;
        if ((l->why[0] != '\0') != (l->is_struck != 0)) {
            return false;
        }
        critical += !l->is_struck && (p->is_critical[l->rule] ||
                     (l->rule == RULE_ITEM_OPEN && l->item > 0 && p->items[l->item - 1].is_critical));
    }
    if (struck != s->struck_count) {
        return false;
    }
    return s->lapse_count <= LAPSES_MAX ? critical == s->critical_count : critical <= s->critical_count;
}

/* `step.needs` speaks of what the record shows to be missing, never of an item: that is for the witness to say. */
static bool has_own_words(const struct lapse *l)
{
    static const char *const THINGS[] = {"kit: gauge", "rest: pulse", "cuff: wrap"};
    bool is_thing = false;
    for (size_t i = 0; i < ARRAY_LEN(THINGS); i++) {
        is_thing = is_thing || strcmp(l->have, THINGS[i]) == 0;
    }
    return (l->item > 0) == (l->rule == RULE_ITEM_OPEN) && is_thing == (l->rule == RULE_STEP_NEEDS);
}

static bool lacks_thing(const struct sitting *s, const char *have)
{
    for (int i = 0; i < s->lapse_count && i < LAPSES_MAX; i++) {
        if (!s->lapses[i].is_struck && s->lapses[i].rule == RULE_STEP_NEEDS && strcmp(s->lapses[i].have, have) == 0) {
            return true;
        }
    }
    return s->lapse_count > LAPSES_MAX; /* nobody can tell */
}

/* What a witness notes: only before one, each of it sound, in the order of time; no reading counts that it spoils. */
static bool lapses_hold(const struct sitting *s, const struct protocol *p, char *why, size_t cap)
{
    int64_t before = 0;
    for (int i = 0; i < s->reading_count; i++) {
        if ((s->readings[i].voids & VOID_LAPSE) != 0 && s->lapse_count == 0) {
            (void)snprintf(why, cap, "reading %d is void for a lapse, and there is none", i + 1);
            return false;
        }
    }
    for (int i = 0; i < s->lapse_count && i < LAPSES_MAX; i++) {
        const struct lapse *l = &s->lapses[i];
        const struct reading *r = l->reading > 0 ? &s->readings[l->reading - 1] : NULL;
        bool is_sound = l->rule > RULE_NONE && l->rule < RULE_COUNT && rule_may_lapse((enum rule)l->rule) &&
                        l->item >= 0 && l->item <= p->item_count && l->reading >= 0 &&
                        l->reading <= s->reading_count && l->t_ms >= before && l->t_ms <= s->now_ms &&
                        l->need[0] != '\0' && has_own_words(l);
        before = l->t_ms;
        if (!is_sound || !sitting_is_witnessed(s) || (r != NULL && (r->voids & VOID_LAPSE) == 0)) {
            (void)snprintf(why, cap, "lapse %d is not sound: %s item %d reading %d (%s; %s)", i + 1,
                           rule_id((enum rule)l->rule), (int)l->item, (int)l->reading, l->have, l->need);
            return false;
        }
    }
    for (int i = s->lapse_count; i < LAPSES_MAX; i++) {
        static const struct lapse NONE;
        if (memcmp(&s->lapses[i], &NONE, sizeof NONE) != 0) {
            (void)snprintf(why, cap, "behind the last lapse something is left over");
            return false;
        }
    }
    if (!counted_critical_holds(s, p)) {
        (void)snprintf(why, cap, "of %d lapses %d are said to be critical, %d struck", (int)s->lapse_count,
                       (int)s->critical_count, (int)s->struck_count);
        return false;
    }
    return true;
}

/* Sealed before a witness: each thing that the seal would have asked for elsewhere is there, or noted. */
static bool seen_seal_holds(const struct sitting *s, const struct protocol *p, char *why, size_t cap)
{
    const struct {
        bool is_lacking, is_noted;
        const char *what;
    } rows[] = {
        {sitting_readings_lack(s, p) != RULE_NONE,
         has_lapse(s, RULE_READINGS_FEW) || has_lapse(s, RULE_ARMS_FEW), "readings"},
        {p->value[KEY_TOLD] && s->given[EV_TOLD] == 0, has_lapse(s, RULE_TOLD_MISSING), "telling"},
        {s->is_severe_open, has_lapse(s, RULE_SEVERE_OPEN), "an answer"},
        {s->given[EV_GAUGE] == 0, lacks_thing(s, "kit: gauge"), "gauge"},
        {s->pulse_bpm == 0, lacks_thing(s, "rest: pulse"), "pulse"},
        {s->worn == 0, lacks_thing(s, "cuff: wrap"), "cuff"},
        {s->given[EV_REST] == 0, has_lapse(s, RULE_REST_MISSING), "rest"},
    };
    for (size_t i = 0; i < ARRAY_LEN(rows); i++) {
        if (rows[i].is_lacking && !rows[i].is_noted) {
            (void)snprintf(why, cap, "sealed without %s, and no lapse says so", rows[i].what);
            return false;
        }
    }
    struct assessment a;
    if (!sitting_assess(s, p, &a) || a.lapses != s->lapse_count - s->struck_count ||
        a.has_passed != (s->critical_count == 0 && a.lapses <= p->value[KEY_LAPSES_MAX] &&
                         a.unseen <= p->value[KEY_UNSEEN_MAX])) {
        (void)snprintf(why, cap, "the result does not follow from its numbers");
        return false;
    }
    return true;
}

/* Arms that may not be used: none of them is in use, but where a witness noted that; with both barred none is
 * offered. */
static bool barred_holds(const struct sitting *s, const struct protocol *p, char *why, size_t cap)
{
    enum arm to_read = sitting_arm_to_read(s, p);
    bool is_noted = sitting_is_witnessed(s) && has_noted(s, RULE_ARM_BARRED, true);
    if (s->phase == PHASE_OPEN && ((s->is_barred[s->arm] && !is_noted) || s->is_barred[to_read])) {
        (void)snprintf(why, cap, "barred, and yet: %s in use, %s to read", ARM_WORDS[s->arm],
                       ARM_WORDS[to_read]);
        return false;
    }
    return true;
}

bool seal_holds(const struct sitting *s, const struct protocol *p, char *why, size_t cap)
{
    if (s->phase != PHASE_SEALED) {
        return true;
    }
    if (!items_hold(s, p, why, cap)) {
        return false;
    }
    if (sitting_is_witnessed(s)) {
        return seen_seal_holds(s, p, why, cap);
    }
    if (!arm_has_enough(s, p, ARM_LEFT) && !arm_has_enough(s, p, ARM_RIGHT)) {
        (void)snprintf(why, cap, "sealed with too few readings");
        return false;
    }
    bool is_few = !arm_has_counted_enough(s, p, ARM_LEFT) && !arm_has_counted_enough(s, p, ARM_RIGHT);
    if (is_few && (sitting_remarks(s, p) & REMARK_READINGS_UNSETTLED) == 0) {
        (void)snprintf(why, cap, "sealed at the maximum without the remark readings.unsettled");
        return false;
    }
    bool needs_both = !s->is_return && p->value[KEY_FIRST_ARMS] == FIRST_ARMS_BOTH &&
                      !s->waived_rules[RULE_ARMS_FEW] && !s->is_barred[ARM_LEFT] && !s->is_barred[ARM_RIGHT];
    for (int arm = ARM_LEFT; needs_both && arm <= ARM_RIGHT; arm++) {
        if (on_arm(s, arm, true) == 0 && on_arm(s, arm, false) < p->value[KEY_READINGS_MAX]) {
            (void)snprintf(why, cap, "a first visit sealed without the %s arm", ARM_WORDS[arm]);
            return false;
        }
    }
    if (needs_both && !arms_again_hold(s, p, why, cap)) {
        return false;
    }
    if (!standing_holds(s, p, why, cap)) {
        return false;
    }
    if (p->value[KEY_TOLD] && s->given[EV_TOLD] == 0) {
        (void)snprintf(why, cap, "sealed untold");
        return false;
    }
    if (s->is_severe_open) {
        (void)snprintf(why, cap, "sealed with a severe value unanswered");
        return false;
    }
    return true;
}

static bool nothing_goes(const struct sitting *s, const struct protocol *p, char *why, size_t cap)
{
    static const char *const ITEMS[] = {"",        "x",     "left",  "kit.zero", "listen",
                                        "palpate", "begin", "first", "g1"};
    for (int kind = 0; kind < EV_COUNT; kind++) {
        for (size_t i = 0; i < ARRAY_LEN(ITEMS); i++) {
            struct event ev = make_event(s->now_ms, (enum event_kind)kind, ITEMS[i], 100, 200, "x");
            struct refusal no;
            if (sitting_would_accept(s, p, &ev, &no) || no.rule != RULE_CLOSED) {
                (void)snprintf(why, cap, "after the end `%s %s` is not refused closed",
                               event_form((enum event_kind)kind)->word, ITEMS[i]);
                return false;
            }
        }
    }
    return true;
}

bool stop_holds(const struct sitting *s, const struct protocol *p, char *why, size_t cap)
{
    struct average a;
    if (s->phase == PHASE_SEALED || s->phase == PHASE_STOPPED) {
        bool has_average = sitting_average(s, p, ARM_LEFT, &a) || sitting_average(s, p, ARM_RIGHT, &a);
        if (s->phase == PHASE_STOPPED && has_average) {
            (void)snprintf(why, cap, "an average after stop");
            return false;
        }
        return nothing_goes(s, p, why, cap);
    }
    struct event stop = make_event(s->now_ms, EV_STOP, NULL, 0, 0, "must go");
    struct refusal no;
    if (!sitting_would_accept(s, p, &stop, &no)) {
        (void)snprintf(why, cap, "stop is refused %s", rule_id(no.rule));
        return false;
    }
    return true;
}

static bool is_wait(enum rule rule)
{
    return rule == RULE_SETTLE_SHORT || rule == RULE_INTERVAL_SHORT || rule == RULE_STANDING_EARLY;
}

/* Before a witness it goes early all the same, is noted, and does not count. */
static bool early_is_noted(const struct sitting *s, const struct protocol *p, const struct event *early)
{
    static struct sitting then;
    then = *s;
    if (!sitting_apply(&then, p, early, NULL)) {
        return true; /* for another reason */
    }
    bool is_void = strcmp(early->item, "listen") != 0 ||
                   (then.readings[then.reading_count - 1].voids & VOID_LAPSE) != 0;
    return is_void && then.lapse_count > s->lapse_count;
}

/* What is told of waiting is what is asked for: one millisecond before it no inflation begins, at it none
 * waits. */
static bool waits_hold(const struct sitting *s, const struct protocol *p, char *why, size_t cap)
{
    static const char *const WORDS[] = {[INFLATION_PALPATE] = "palpate", [INFLATION_LISTEN] = "listen"};
    for (int kind = INFLATION_PALPATE; kind <= INFLATION_LISTEN; kind++) {
        int64_t from = sitting_inflate_from_ms(s, p, (enum inflation_phase)kind);
        int64_t on_feet = kind == INFLATION_LISTEN ? sitting_standing_from_ms(s, p) : 0;
        bool is_later_stand = kind == INFLATION_LISTEN && s->is_standing && on_feet == 0; /* none is owed */
        from = on_feet > from ? on_feet : from;
        struct event at = make_event(from, EV_INFLATE, WORDS[kind], 0, 0, NULL);
        struct event early = make_event(from - 1, EV_INFLATE, WORDS[kind], 0, 0, NULL);
        struct refusal no = {.rule = RULE_NONE};
        if (s->phase != PHASE_OPEN || from <= s->now_ms) {
            continue;
        }
        if (sitting_is_witnessed(s)) {
            if (!early_is_noted(s, p, &early)) {
                (void)snprintf(why, cap, "%s before the time told for it is not noted", WORDS[kind]);
                return false;
            }
            continue;
        }
        if (sitting_would_accept(s, p, &early, NULL)) {
            (void)snprintf(why, cap, "%s goes before the time told for it", WORDS[kind]);
            return false;
        }
        if (!is_later_stand && !sitting_would_accept(s, p, &at, &no) && is_wait(no.rule)) {
            (void)snprintf(why, cap, "%s is refused %s at the time told for it", WORDS[kind],
                           rule_id(no.rule));
            return false;
        }
    }
    return true;
}

bool state_holds(const struct sitting *s, const struct protocol *p, char *why, size_t cap)
{
    if (!values_hold(s, why, cap) || !averages_hold(s, p, why, cap) || !seal_holds(s, p, why, cap) ||
        !stop_holds(s, p, why, cap) || !barred_holds(s, p, why, cap) || !drop_holds(s, p, why, cap) ||
        !waits_hold(s, p, why, cap) || !lapses_hold(s, p, why, cap)) {
        return false;
    }
    int64_t wake = 0;
    if (sitting_next_wake(s, p, s->now_ms, &wake) && wake <= s->now_ms) {
        (void)snprintf(why, cap, "the next wake is not later than now");
        return false;
    }
    struct event seal = make_event(s->now_ms, EV_SEAL, NULL, 0, 0, NULL);
    bool goes = s->phase == PHASE_OPEN && sitting_would_accept(s, p, &seal, NULL);
    if (goes != sitting_is_sealable(s, p, s->now_ms)) {
        (void)snprintf(why, cap, "sealable says %d, seal would %sbe accepted", !goes, goes ? "" : "not ");
        return false;
    }
    return true;
}

static bool refusal_is_whole(const struct refusal *no, char *why, size_t cap)
{
    if (no->rule <= RULE_NONE || no->rule >= RULE_COUNT || rule_named(rule_id(no->rule)) != no->rule) {
        (void)snprintf(why, cap, "rule %d does not come back from its id", (int)no->rule);
        return false;
    }
    if (no->have[0] == '\0' || no->need[0] == '\0' || no->sentence[0] == '\0' || no->remedy[0] == '\0') {
        (void)snprintf(why, cap, "refusal %s lacks words: have '%s' need '%s' sentence '%s' remedy '%s'",
                       rule_id(no->rule), no->have, no->need, no->sentence, no->remedy);
        return false;
    }
    if (no->standing < 0 || no->standing >= STANDING_COUNT ||
        (no->standing != STANDING_JUDGEMENT && no->standing != STANDING_COMMON && no->source[0] == '\0')) {
        (void)snprintf(why, cap, "refusal %s names no source for what it calls published", rule_id(no->rule));
        return false;
    }
    return true;
}

bool apply_watched(struct sitting *s, const struct protocol *p, const struct event *ev, bool *accepted,
                   struct refusal *no, struct sitting *before, char *why, size_t cap)
{
    struct sitting copy;
    memcpy(&copy, s, sizeof copy);
    struct refusal guess;
    memset(no, 0, sizeof *no);
    memset(&guess, 0, sizeof guess);
    bool would = sitting_would_accept(s, p, ev, &guess);
    *accepted = sitting_apply(s, p, ev, no);
    if (before != NULL) {
        memcpy(before, &copy, sizeof copy);
    }
    if (would != *accepted || (!would && guess.rule != no->rule)) {
        (void)snprintf(why, cap, "would_accept and apply do not answer alike");
        return false;
    }
    if (*accepted) {
        return true;
    }
    if (memcmp(&copy, s, sizeof copy) != 0 || !sitting_equal(&copy, s)) {
        (void)snprintf(why, cap, "refused %s, and the state has changed", rule_id(no->rule));
        return false;
    }
    return refusal_is_whole(no, why, cap);
}
