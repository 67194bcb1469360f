/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "oracle.h"

#include <stdio.h>
#include <string.h>

#include "oracle_kit.h"

void oracle_init(struct oracle *o)
{
    memset(o, 0, sizeof *o);
    o->rest_began = o->rest_ended = o->last_empty = -1;
    o->gauge = -1;
    for (int arm = 0; arm < ARM_COUNT; arm++) {
        o->palpate_empty[arm] = o->listen_empty[arm] = -1;
    }
}

static int arm_of(const char *word)
{
    return strcmp(word, "left") == 0 ? ARM_LEFT : ARM_RIGHT;
}

static int point_of(const char *word)
{
    static const char *const WORDS[POINT_COUNT] = {"target", "first", "silent", "return", "muffling", "last"};
    if (strcmp(word, "release") == 0) {
        return POINT_TARGET;
    }
    for (int i = 0; i < POINT_COUNT; i++) {
        if (strcmp(word, WORDS[i]) == 0) {
            return i;
        }
    }
    return -1;
}

static struct oracle_reading *latest(struct oracle *o)
{
    return o->reading_count > 0 ? &o->readings[o->reading_count - 1] : NULL;
}

static bool same(const char *a, const char *b)
{
    return strcmp(a, b) == 0;
}

/* ---- what must be in order when a listening inflation begins ---- */

static const char *fault_of_items(const struct oracle *o, const struct protocol *p)
{
    for (int i = 0; i < p->item_count; i++) {
        bool is_open = o->item[i] == ITEM_OPEN || (o->item[i] == ITEM_WAIVED && !p->items[i].is_waivable);
        if (is_open && p->items[i].step != STEP_CLOSING) {
            return p->items[i].id;
        }
    }
    return NULL;
}

static int64_t later(int64_t a, int64_t b)
{
    return a > b ? a : b;
}

/* ---- standing ---- */

static bool counts(const struct oracle_reading *r)
{
    return r->is_judged && !r->is_broken && r->voids == 0 && r->fault[0] == '\0';
}

/* On the latest stand, whether or not the subject lies again. */
static int counted_standing(const struct oracle *o)
{
    int n = 0;
    for (int i = 0; o->stand > 0 && i < o->reading_count; i++) {
        n += o->readings[i].stand == o->stand && counts(&o->readings[i]);
    }
    return n;
}

static bool stands_too_short(const struct oracle *o, const struct protocol *p, int64_t t)
{
    int64_t due = counted_standing(o) == 0 ? p->value[KEY_STANDING_FIRST_S] : p->value[KEY_STANDING_SECOND_S];
    return o->is_standing && t - o->stood < 1000 * due;
}

static bool is_witnessed(const struct oracle *o)
{
    return o->is_assessment && o->has_witness;
}

static bool fits_or_passed(const struct oracle *o)
{
    return o->wrapped_fits || (o->wrapped_small && o->rule_waived[RULE_CUFF_TOO_SMALL]) ||
           (o->wrapped_large && o->rule_waived[RULE_CUFF_TOO_LARGE]);
}

static const char *fault_at(const struct oracle *o, const struct protocol *p, int64_t t)
{
    const char *item = fault_of_items(o, p);
    if (item != NULL && !is_witnessed(o)) { /* before a witness an item may be answered afterwards */
        return item;
    }
    if (o->arm == ARM_NONE) {
        return "no arm";
    }
    if (o->is_barred[o->arm]) {
        return "a barred arm";
    }
    if (oracle_gauge_failed(o, p)) {
        return "a gauge that failed its check";
    }
    if (stands_too_short(o, p, t)) {
        return "not long enough on the feet";
    }
    if (o->wrapped[0] == '\0' || !fits_or_passed(o)) {
        return "no fitting cuff";
    }
    if (o->rest_ended < 0) {
        return "no full rest";
    }
    if (t - later(o->rest_ended, o->last_empty) > 1000 * (int64_t)p->value[KEY_REST_VALID_S]) {
        return "stale rest";
    }
    if (o->estimate.gone == 0 && o->estimate.usual == 0 && !o->estimate.is_waived) {
        return "no estimate";
    }
    if (o->estimate.usual != 0 && is_witnessed(o)) {
        return "the usual systolic in an assessment";
    }
    if (o->palpate_empty[o->arm] >= 0 &&
        t - o->palpate_empty[o->arm] < 1000 * (int64_t)p->value[KEY_SETTLE_S]) {
        return "no settling";
    }
    if (o->listen_empty[o->arm] >= 0 &&
        t - o->listen_empty[o->arm] < 1000 * (int64_t)p->value[KEY_INTERVAL_MIN_S]) {
        return "no interval";
    }
    return NULL;
}

static int32_t floor_now(const struct oracle *o, const struct protocol *p)
{
    const struct oracle_estimate *e = &o->estimate;
    int32_t from = e->gone != 0 ? e->gone : e->usual;
    if (from == 0 && !e->is_waived) {
        return 0; /* only before a witness, and then it does not count */
    }
    int32_t margin = p->value[KEY_MARGIN_MMHG];
    int32_t lowest = from != 0 ? from + margin : p->value[KEY_NO_ESTIMATE_FLOOR_MMHG];
    for (int i = 0; i < o->reading_count; i++) {
        const struct oracle_reading *r = &o->readings[i];
        bool is_heard = r->use == o->use && r->is_judged && (r->voids & VOID_FIRST_AT_TARGET) != 0;
        if (is_heard && r->mmhg[POINT_FIRST] + margin > lowest) {
            lowest = r->mmhg[POINT_FIRST] + margin;
        }
    }
    return lowest > o->gauge_top ? o->gauge_top : lowest;
}

static void take_listen(struct oracle *o, const struct protocol *p, int64_t t)
{
    if (o->reading_count == READINGS_CAP) {
        return;
    }
    const char *fault = fault_at(o, p, t);
    struct oracle_reading *r = &o->readings[o->reading_count];
    *r = (struct oracle_reading){.arm = o->arm, .use = o->use, .inflate_ms = t, .empty_ms = -1};
    r->stand = o->is_standing ? o->stand : 0;
    r->stood_for = o->is_standing ? t - o->stood : 0;
    (void)snprintf(r->fault, sizeof r->fault, "%s", fault == NULL ? "" : fault);
    r->floor = floor_now(o, p);
    const struct oracle_estimate *e = &o->estimate;
    if (o->palpated_stand != r->stand) {
        r->gap_from = 0; /* a fall on standing is no silence: what was felt lying says nothing of it */
    } else if (e->felt != 0) {
        r->gap_from = e->felt;
    } else if (e->gone != 0) {
        r->gap_from = e->gone - p->value[KEY_PALPATE_STEP_MMHG];
    }
    o->reading_count++;
}

/* ---- the verdict ---- */

static bool is_fast(const struct oracle_reading *r, const struct protocol *p, int from, int to)
{
    if (!r->marked[from] || !r->marked[to] || !r->has[from] || !r->has[to]) {
        return false;
    }
    int64_t drop = r->mmhg[from] - r->mmhg[to], ms = r->mark_ms[to] - r->mark_ms[from];
    if (drop < p->value[KEY_RELEASE_SPAN_MMHG] || ms <= 0) {
        return false;
    }
    int64_t rate_x10 = (20000 * drop + ms) / (2 * ms); /* halves up */
    return rate_x10 > p->value[KEY_RELEASE_VOID_X10];
}

static uint32_t verdict(const struct oracle *o, const struct protocol *p, struct oracle_reading *r)
{
    uint32_t voids = 0;
    int32_t target = r->mmhg[POINT_TARGET], first = r->mmhg[POINT_FIRST], last = r->mmhg[POINT_LAST];
    if (target < r->floor) {
        voids |= VOID_TARGET_LOW;
    }
    if (target - first <= p->value[KEY_FIRST_CLEAR_MMHG]) {
        voids |= VOID_FIRST_AT_TARGET;
    }
    if (is_fast(r, p, POINT_TARGET, POINT_FIRST) || is_fast(r, p, POINT_FIRST, POINT_LAST)) {
        voids |= VOID_RELEASE_FAST;
    }
    if ((r->empty_ms - r->inflate_ms) * p->value[KEY_RELEASE_VOID_X10] < (int64_t)(target - last) * 10000) {
        voids |= VOID_READING_BRIEF;
    }
    r->has_gap = r->gap_from != 0 && r->gap_from - first > p->value[KEY_GAP_SUSPECT_MMHG];
    bool has_earlier = false;
    for (const struct oracle_reading *q = o->readings; q < r; q++) {
        has_earlier = has_earlier || (q->has_gap && q->arm == r->arm && q->is_judged);
    }
    if (r->has_gap && !has_earlier) {
        voids |= VOID_GAP_SUSPECT;
    }
    return voids;
}

/* By the values as they stand, given in whatever order. */
static bool is_very_high(const struct oracle_reading *r, const struct protocol *p)
{
    int at = p->value[KEY_SEVERE_WHEN] == SEVERE_AT ? 0 : 1;
    int below = r->mmhg[POINT_LAST] == 0 ? POINT_MUFFLING : POINT_LAST;
    return (r->has[POINT_FIRST] && r->mmhg[POINT_FIRST] - at >= p->value[KEY_SEVERE_SYSTOLIC_MMHG]) ||
           (r->has[POINT_LAST] && r->has[below] &&
            r->mmhg[below] - at >= p->value[KEY_SEVERE_DIASTOLIC_MMHG]);
}

/* A value that makes a reading very high asks for an answer; put right, it leaves open whether another one
 * does. */
static void watch_value(struct oracle *o, const struct protocol *p, bool was_high)
{
    bool is_high = latest(o) != NULL && is_very_high(latest(o), p);
    if (is_high && !was_high && !latest(o)->is_answered) {
        o->must_answer = true;
        o->has_symptoms_now = false;
    } else if (was_high && !is_high && !o->has_symptoms_now) {
        o->must_answer = false;
    }
}

static void judge(struct oracle *o, const struct protocol *p)
{
    struct oracle_reading *r = latest(o);
    if (r == NULL) {
        return;
    }
    bool was_gap_void = r->is_gap_void;
    r->voids = verdict(o, p, r);
    r->is_judged = true;
    r->is_gap_void = (r->voids & VOID_GAP_SUSPECT) != 0;
    if (o->is_estimate_newer) {
        return;
    }
    if (r->is_gap_void && !was_gap_void) {
        r->before = o->estimate;
        o->estimate = (struct oracle_estimate){.felt = 0};
    } else if (!r->is_gap_void && was_gap_void && o->estimate.gone == 0 && o->estimate.usual == 0 &&
               !o->estimate.is_waived) {
        o->estimate = r->before;
    }
}

/* ---- events ---- */

static void take_item(struct oracle *o, const struct protocol *p, const char *id, int32_t state)
{
    int i = protocol_find_item(p, id);
    if (i >= 0) {
        o->item[i] = state;
    } else if (rule_named(id) == RULE_ESTIMATE_MISSING) {
        o->estimate.is_waived = true;
        o->is_estimate_newer = true;
    } else {
        o->rule_waived[rule_named(id)] = true;
    }
}

static void open_arm(struct oracle *o, const struct protocol *p, int arm)
{
    o->arm = arm;
    o->use++;
    o->is_standing = false;
    o->arm_mm = 0;
    o->wrapped[0] = '\0';
    o->is_estimate_newer = true;
    o->estimate = (struct oracle_estimate){.felt = 0};
    o->rule_waived[RULE_CUFF_UNMEASURED] = o->rule_waived[RULE_CUFF_TOO_SMALL] = false;
    o->rule_waived[RULE_CUFF_TOO_LARGE] = false;
    for (int i = 0; i < p->item_count; i++) {
        if (p->items[i].step == STEP_ARM || p->items[i].step == STEP_CUFF) {
            o->item[i] = ITEM_OPEN;
        }
    }
}

static void take_arm(struct oracle *o, const struct protocol *p, int arm)
{
    if (arm != o->arm) {
        open_arm(o, p, arm);
    }
}

static void take_barred(struct oracle *o, const struct protocol *p, int arm)
{
    o->is_barred[arm] = true;
    if (arm == o->arm) {
        open_arm(o, p, ARM_NONE);
    }
}

static void take_rest(struct oracle *o, const struct protocol *p, const struct event *ev)
{
    if (same(ev->item, "begin")) {
        o->rest_began = ev->t_ms;
        o->rest_ended = -1;
        o->is_standing = false;
        return;
    }
    bool is_full = o->rest_began >= 0 && ev->t_ms - o->rest_began >= 1000 * (int64_t)p->value[KEY_REST_S];
    o->rest_ended = is_full ? ev->t_ms : -1;
    o->rest_began = -1;
}

static void take_empty(struct oracle *o, int64_t t)
{
    o->last_empty = t;
    if (o->inflation == INFLATION_LISTEN) {
        o->listen_empty[o->arm] = t;
        if (latest(o) != NULL) {
            latest(o)->empty_ms = t;
        }
    } else {
        o->palpate_empty[o->arm] = t;
    }
    o->inflation = INFLATION_NONE;
}

static void break_reading(struct oracle *o)
{
    if (latest(o) != NULL) {
        latest(o)->is_broken = true;
    }
}

static void take_disturbance(struct oracle *o, bool is_move)
{
    if (o->inflation == INFLATION_LISTEN) {
        break_reading(o);
    }
    o->rest_began = -1;
    if (is_move) {
        o->rest_ended = -1;
        o->is_standing = false;
    }
}

static void take_resume(struct oracle *o, const struct protocol *p, const struct event *ev,
                        const struct sitting *before)
{
    static struct sitting then; /* the inflation that was under way is one of those that were tried */
    then = *before;
    if (o->inflation == INFLATION_LISTEN && then.reading_count > 0) {
        then.readings[then.reading_count - 1].is_done = 1;
        then.readings[then.reading_count - 1].voids |= VOID_RESUMED;
    }
    o->rest_began = -1;
    if (ev->value > 1000 * (int64_t)p->value[KEY_RENEW_AFTER_GAP_S] &&
        sitting_readings_lack(&then, p) != RULE_NONE) {
        o->rest_ended = -1;
        o->is_standing = false;
    }
    if (o->inflation == INFLATION_LISTEN) {
        break_reading(o);
        take_empty(o, ev->t_ms);
    } else if (o->inflation == INFLATION_PALPATE) {
        o->estimate = (struct oracle_estimate){.is_waived = o->estimate.is_waived};
        take_empty(o, ev->t_ms);
    }
}

static void take_palpate(struct oracle *o, const struct event *ev)
{
    if (same(ev->item, "felt")) {
        o->estimate.felt = (int32_t)ev->value;
        if (o->estimate.gone != 0 && ev->value >= o->estimate.gone) {
            o->estimate.gone = 0;
        }
    } else {
        o->estimate.gone = (int32_t)ev->value;
        o->estimate.usual = 0;
    }
}

static void take_mark(struct oracle *o, const struct event *ev)
{
    struct oracle_reading *r = latest(o);
    int point = point_of(ev->item);
    if (r == NULL || point < 0) {
        return;
    }
    if (point == POINT_RETURN && r->marked[POINT_LAST]) {
        r->marked[POINT_SILENT] = true;
        r->mark_ms[POINT_SILENT] = r->mark_ms[POINT_LAST];
        r->marked[POINT_LAST] = false;
    }
    for (int later_point = point + 1; later_point < POINT_COUNT; later_point++) {
        r->marked[later_point] = false;
    }
    r->marked[point] = true;
    r->mark_ms[point] = ev->t_ms;
}

static void take_value(struct oracle *o, int point, const struct event *ev)
{
    if (latest(o) != NULL && point >= 0) {
        latest(o)->has[point] = true;
        latest(o)->mmhg[point] = (int32_t)ev->value;
    }
}

static void take_squeeze(struct oracle *o, const struct protocol *p, const struct event *ev)
{
    if (same(ev->item, "listen")) {
        take_listen(o, p, ev->t_ms);
        o->inflation = INFLATION_LISTEN;
        return;
    }
    o->estimate = (struct oracle_estimate){.is_waived = o->estimate.is_waived};
    o->palpated_stand = o->is_standing ? o->stand : 0;
    o->inflation = INFLATION_PALPATE;
}

/* Only before a witness: a squeeze, or standing up, ends a rest at whatever length. */
static void end_running_rest(struct oracle *o, const struct protocol *p, int64_t t)
{
    if (o->rest_began >= 0) {
        bool is_full = t - o->rest_began >= 1000 * (int64_t)p->value[KEY_REST_S];
        o->rest_ended = is_full ? t : -1;
        o->rest_began = -1;
    }
}

static void take_inflate(struct oracle *o, const struct protocol *p, const struct event *ev)
{
    end_running_rest(o, p, ev->t_ms);
    bool is_stale = o->rest_ended >= 0 && ev->t_ms - later(o->rest_ended, o->last_empty) >
                                              1000 * (int64_t)p->value[KEY_REST_VALID_S];
    take_squeeze(o, p, ev);
    if (is_stale) {
        o->rest_ended = -1; /* begun on an old rest: from here on there is none */
    }
}

/* Events about a reading; false when the kind is none of them. */
static bool take_reading_event(struct oracle *o, const struct protocol *p, const struct event *ev)
{
    bool was_high = latest(o) != NULL && is_very_high(latest(o), p);
    switch ((int)ev->kind) {
    case EV_TARGET:
        take_value(o, POINT_TARGET, ev);
        return true;
    case EV_VALUE:
        take_value(o, point_of(ev->item), ev);
        watch_value(o, p, was_high);
        return true;
    case EV_MARK:
        take_mark(o, ev);
        return true;
    case EV_VOID:
        break_reading(o);
        return true;
    case EV_DONE:
        o->is_estimate_newer = false;
        judge(o, p);
        return true;
    case EV_CORRECT:
        take_value(o, point_of(ev->item), ev);
        judge(o, p);
        watch_value(o, p, was_high);
        return true;
    case EV_INFLATE:
        take_inflate(o, p, ev);
        return true;
    case EV_EMPTY:
        take_empty(o, ev->t_ms);
        return true;
    case EV_PALPATE:
        take_palpate(o, ev);
        return true;
    case EV_USUAL:
        o->estimate = (struct oracle_estimate){.usual = (int32_t)ev->value, .is_waived = o->estimate.is_waived};
        o->is_estimate_newer = true;
        return true; /* the latest holds */
    default:
        return false;
    }
}

/* A lapse of an item taken back: with no later one of it, nothing is said of the item any more. */
static void take_strike(struct oracle *o, const struct protocol *p, const struct sitting *before, int number)
{
    const int32_t item = before->lapses[number - 1].item;
    bool is_latest = item > 0;
    for (int i = number; i < before->lapse_count && i < LAPSES_MAX; i++) {
        is_latest = is_latest && before->lapses[i].item != item;
    }
    if (is_latest && before->items[item - 1] == ITEM_LAPSED) {
        take_item(o, p, p->items[item - 1].id, ITEM_OPEN);
    }
}

void oracle_take(struct oracle *o, const struct protocol *p, const struct event *ev,
                 const struct sitting *before)
{
    if (take_reading_event(o, p, ev)) {
        return;
    }
    switch ((int)ev->kind) {
    case EV_GAUGE:
        oracle_take_gauge(o, ev);
        break;
    case EV_CHECK:
        oracle_take_check(o, ev);
        break;
    case EV_BARRED:
        take_barred(o, p, arm_of(ev->item));
        break;
    case EV_FREED:
        o->is_barred[arm_of(ev->item)] = false;
        break;
    case EV_SYMPTOMS:
        o->has_symptoms_now = same(ev->item, "present");
        o->has_symptoms = o->has_symptoms || o->has_symptoms_now;
        o->must_answer = o->must_answer || same(ev->item, "present");
        break;
    case EV_ACTED:
        o->must_answer = false;
        if (latest(o) != NULL && is_very_high(latest(o), p)) {
            latest(o)->is_answered = true;
        }
        break;
    case EV_PURPOSE:
        o->is_assessment = same(ev->item, "assessment");
        break;
    case EV_WITNESS:
        o->has_witness = true;
        break;
    case EV_LAPSE:
        take_item(o, p, ev->item, ITEM_LAPSED);
        break;
    case EV_UNSEEN:
        take_item(o, p, ev->item, ITEM_UNSEEN);
        break;
    case EV_STRIKE:
        take_strike(o, p, before, (int)ev->value);
        break;
    case EV_STAND:
        end_running_rest(o, p, ev->t_ms);
        o->is_standing = true;
        o->stood = ev->t_ms;
        o->stand++;
        break;
    case EV_CUFF:
        oracle_take_cuff(o, ev);
        break;
    case EV_ARM:
        take_arm(o, p, arm_of(ev->item));
        break;
    case EV_CONFIRM:
        take_item(o, p, ev->item, ITEM_CONFIRMED);
        break;
    case EV_REOPEN:
        take_item(o, p, ev->item, ITEM_OPEN);
        break;
    case EV_WAIVE:
        take_item(o, p, ev->item, ITEM_WAIVED);
        break;
    case EV_CIRCUMFERENCE:
        o->arm_mm = (int32_t)ev->value;
        o->wrapped[0] = '\0';
        break;
    case EV_WRAP:
        oracle_take_wrap(o, p, ev);
        break;
    case EV_REST:
        take_rest(o, p, ev);
        break;
    case EV_INTERRUPT:
        take_disturbance(o, false);
        break;
    case EV_MOVED:
        take_disturbance(o, true);
        break;
    case EV_RESUME:
        take_resume(o, p, ev, before);
        break;
    default:
        break;
    }
}

bool oracle_agrees(const struct oracle *o, const struct protocol *p, const struct sitting *s, char *why,
                   size_t cap)
{
    if (o->reading_count != s->reading_count) {
        (void)snprintf(why, cap, "%d listening inflations seen, the state holds %d", o->reading_count,
                       s->reading_count);
        return false;
    }
    bool is_any_high = false;
    for (int i = 0; i < o->reading_count; i++) {
        is_any_high = is_any_high || is_very_high(&o->readings[i], p);
    }
    if ((o->must_answer && !s->is_severe_open) || (s->is_severe_open && !is_any_high && !o->has_symptoms)) {
        (void)snprintf(why, cap, "an answer is %sowed, by the rules it is %s",
                       s->is_severe_open ? "" : "not ", o->must_answer ? "" : "not");
        return false;
    }
    if (s->phase == PHASE_OPEN && (s->arm != o->arm || (s->is_standing != 0) != o->is_standing)) {
        (void)snprintf(why, cap, "in use is arm %s, standing %d; by the rules %s, %d", ARM_WORDS[s->arm],
                       (int)s->is_standing, ARM_WORDS[o->arm], o->is_standing);
        return false;
    }
    for (int i = 0; i < o->reading_count; i++) {
        const struct oracle_reading *mine = &o->readings[i];
        const struct reading *its = &s->readings[i];
        if ((same(mine->fault, "a barred arm") && !is_witnessed(o)) || (mine->stand != 0) != (its->is_standing != 0) ||
            mine->stood_for != its->stood_for_ms) {
            (void)snprintf(why, cap, "reading %d: %s; %s for %d ms, by the rules %s for %d ms", i + 1,
                           mine->fault[0] != '\0' ? mine->fault : "an arm that may be used",
                           its->is_standing ? "standing" : "lying", (int)its->stood_for_ms,
                           mine->stand != 0 ? "standing" : "lying", (int)mine->stood_for);
            return false;
        }
        if (reading_is_counted(its) && (mine->fault[0] != '\0' || mine->is_broken || !mine->is_judged)) {
            (void)snprintf(why, cap, "reading %d counts, but: %s", i + 1,
                           mine->fault[0] != '\0' ? mine->fault : "broken off or without a verdict");
            return false;
        }
        uint32_t voids = mine->voids | (mine->fault[0] != '\0' && is_witnessed(o) ? VOID_LAPSE : 0);
        if (mine->is_judged && !mine->is_broken && voids != its->voids) {
            (void)snprintf(why, cap, "reading %d: void bits %#x, by the rules %#x (%s)", i + 1,
                           (unsigned)its->voids, (unsigned)voids, mine->fault);
            return false;
        }
        if ((its->voids & VOID_LAPSE) != (voids & VOID_LAPSE)) {
            (void)snprintf(why, cap, "reading %d is %sspoiled by a lapse, by the rules it has: %s", i + 1,
                           (its->voids & VOID_LAPSE) != 0 ? "" : "not ", mine->fault);
            return false;
        }
        if (mine->is_broken && reading_is_counted(its)) {
            (void)snprintf(why, cap, "reading %d was broken off and counts", i + 1);
            return false;
        }
    }
    if (sitting_standing_counted(s) != counted_standing(o)) {
        (void)snprintf(why, cap, "%d readings standing count, by the rules %d", sitting_standing_counted(s),
                       counted_standing(o));
        return false;
    }
    return true;
}
