/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What a reading's values and moments make of it, at done and again at correct. */
#include "core/engine.h"

struct reading *reading_latest(struct sitting *s)
{
    return &s->readings[s->reading_count > 0 ? s->reading_count - 1 : 0];
}

const struct reading *reading_latest_const(const struct sitting *s)
{
    return s->reading_count > 0 ? &s->readings[s->reading_count - 1] : NULL;
}

const struct reading *reading_at_hand(const struct sitting *s)
{
    return s->last_inflation == INFLATION_LISTEN ? reading_latest_const(s) : NULL;
}

const struct reading *sitting_current(const struct sitting *s)
{
    const struct reading *r = reading_at_hand(s);
    return r && !r->is_done ? r : NULL;
}

int32_t palpated_or_usual_mmhg(const struct sitting *s)
{
    if (s->estimate == ESTIMATE_PALPATED)
        return s->gone_mmhg;
    return s->estimate == ESTIMATE_USUAL ? s->usual_mmhg : 0;
}

int sitting_floor_mmhg(const struct sitting *s, const struct protocol *p, bool *is_capped)
{
    const int margin = p->value[KEY_MARGIN_MMHG];
    const int estimate = palpated_or_usual_mmhg(s);
    int floor = 0;
    if (is_capped)
        *is_capped = false;
    if (estimate > 0)
        floor = estimate + margin;
    else if (s->waived_rules[RULE_ESTIMATE_MISSING])
        floor = p->value[KEY_NO_ESTIMATE_FLOOR_MMHG];
    if (floor == 0)
        return 0;
    if (s->heard_mmhg > 0 && s->heard_mmhg + margin > floor)
        floor = s->heard_mmhg + margin;
    if (s->gauge_top_mmhg > 0 && floor > s->gauge_top_mmhg) {
        if (is_capped)
            *is_capped = true;
        floor = s->gauge_top_mmhg;
    }
    return floor;
}

/* The pressure that a first sound should not lie far below. A pulse that was felt says so even where the estimate was
 * then passed over; 0 where no pulse was palpated, or the usual systolic stands for it. */
static int32_t gap_reference_mmhg(const struct sitting *s, const struct protocol *p)
{
    if (s->estimate == ESTIMATE_USUAL)
        return 0;
    /* Standing, a fall below what was felt lying is what is looked for, not a silence. */
    if (s->palpated_stand != stand_now(s))
        return 0;
    if (s->felt_mmhg > 0)
        return s->felt_mmhg;
    return s->estimate == ESTIMATE_PALPATED ? s->gone_mmhg - p->value[KEY_PALPATE_STEP_MMHG] : 0;
}

void reading_began(struct sitting *s, const struct protocol *p, int64_t now_ms)
{
    const struct reading *before = reading_latest_const(s);
    bool is_capped = false;
    uint32_t notes = 0;
    if (before && before->arm_epoch == s->arm_epoch && before->stand == stand_now(s) && before->is_empty &&
        now_ms - before->empty_ms > protocol_ms(p, KEY_INTERVAL_MAX_S))
        notes = NOTE_INTERVAL_LONG;
    /* The array starts zeroed and readings are only ever added, so a fresh slot is a zeroed one. */
    struct reading *r = &s->readings[s->reading_count++];
    r->arm = s->arm;
    r->arm_epoch = s->arm_epoch;
    r->inflate_ms = now_ms;
    r->top_mmhg = s->gauge_top_mmhg;
    r->floor_mmhg = sitting_floor_mmhg(s, p, &is_capped);
    r->is_capped = is_capped;
    r->gap_from_mmhg = gap_reference_mmhg(s, p);
    r->notes = notes;
    reading_began_standing(s, p, r);
}

/* Tenths of mmHg/s between two points, where both moments and both values are there. */
static int rate_between(const struct reading *r, enum point from, enum point to, const struct protocol *p)
{
    if (!r->has_mark[from] || !r->has_mark[to] || !r->has_value[from] || !r->has_value[to])
        return 0;
    return release_rate_x10(r->value_mmhg[from] - r->value_mmhg[to], r->mark_ms[to] - r->mark_ms[from],
                            p->value[KEY_RELEASE_SPAN_MMHG]);
}

uint32_t release_remark(int rate_x10, int pulse_bpm, const struct protocol *p)
{
    const int slack = p->value[KEY_RELEASE_SLACK_X10];
    if (rate_x10 == 0)
        return 0;
    if (rate_x10 > p->value[KEY_RELEASE_HIGH_X10] + slack)
        return NOTE_RELEASE_QUICK;
    /* With a slow pulse a slow release is right: it is the drop per beat that blurs the reading. */
    return rate_x10 < p->value[KEY_RELEASE_LOW_X10] - slack &&
                   release_drop_per_beat_x100(rate_x10, pulse_bpm) < p->value[KEY_RELEASE_BEAT_X100]
               ? NOTE_RELEASE_SLOW
               : 0;
}

static void judge_release(struct reading *r, const struct sitting *s, const struct protocol *p)
{
    r->rate_x10[0] = rate_between(r, POINT_TARGET, POINT_FIRST, p);
    r->rate_x10[1] = rate_between(r, POINT_FIRST, POINT_LAST, p);
    for (int i = 0; i < 2; i++) {
        if (r->rate_x10[i] > p->value[KEY_RELEASE_VOID_X10])
            r->voids |= VOID_RELEASE_FAST;
        r->notes |= release_remark(r->rate_x10[i], s->pulse_bpm, p);
    }
}

static void judge_target(struct reading *r, const struct protocol *p)
{
    const int target = r->value_mmhg[POINT_TARGET];
    if (target < r->floor_mmhg)
        r->voids |= VOID_TARGET_LOW;
    if (r->floor_mmhg > 0 && target > r->floor_mmhg + p->value[KEY_TARGET_HIGH_MMHG])
        r->notes |= NOTE_TARGET_HIGH;
    if (r->is_capped)
        r->notes |= NOTE_TARGET_CAPPED;
    if (target - r->value_mmhg[POINT_FIRST] <= p->value[KEY_FIRST_CLEAR_MMHG])
        r->voids |= VOID_FIRST_AT_TARGET;
}

static void judge_length(struct reading *r, const struct protocol *p)
{
    const int64_t drop = r->value_mmhg[POINT_TARGET] - r->value_mmhg[POINT_LAST];
    if ((r->empty_ms - r->inflate_ms) * p->value[KEY_RELEASE_VOID_X10] < drop * 10000)
        r->voids |= VOID_READING_BRIEF;
}

static void judge_gap(struct reading *r, const struct sitting *s, const struct protocol *p)
{
    r->has_gap = r->gap_from_mmhg > 0 &&
                 r->value_mmhg[POINT_FIRST] < r->gap_from_mmhg - p->value[KEY_GAP_SUSPECT_MMHG];
    if (!r->has_gap)
        return;
    for (int i = 0; i < s->reading_count - 1; i++) {
        if (s->readings[i].arm == r->arm && s->readings[i].has_gap) {
            r->notes |= NOTE_GAP_NOTED; /* palpated again and found again: it is the arm, not the hand */
            return;
        }
    }
    r->voids |= VOID_GAP_SUSPECT;
}

static bool is_further(int a, int b, int limit)
{
    return (a > b ? a - b : b - a) > limit;
}

/* Two listeners of one fall. Nothing is corrected. */
static void judge_pair(struct reading *r, const struct protocol *p)
{
    const int most = p->value[KEY_PAIR_OVER_MMHG];
    if (r->listener[0] == '\0')
        return;
    const struct reading theirs = reading_of_pair(r);
    if (is_further(reading_systolic_mmhg(r), reading_systolic_mmhg(&theirs), most) ||
        is_further(reading_diastolic_mmhg(r), reading_diastolic_mmhg(&theirs), most))
        r->notes |= NOTE_PAIR_DIFFERS;
}

void note_gap_heard(struct reading *r)
{
    if (r->gap_answer == GAP_HEARD || r->has_value[POINT_SILENT] || r->has_value[POINT_RETURN])
        r->notes |= NOTE_GAP_HEARD;
    else
        r->notes &= ~(uint32_t)NOTE_GAP_HEARD;
}

static void judge(struct reading *r, const struct sitting *s, const struct protocol *p)
{
    const uint32_t kept = NOTE_INTERVAL_LONG | NOTE_INFLATION_LONG | NOTE_CORRECTED | NOTE_GAP_HEARD | NOTE_STANDING_LATE;
    r->voids &= VOID_LAPSE; /* what it was taken with does not change with its values */
    r->notes &= kept;
    judge_target(r, p);
    judge_length(r, p);
    judge_gap(r, s, p);
    judge_release(r, s, p);
    judge_pair(r, p);
}

/* A silent gap means that the palpation missed the true pressure: palpate again, and no waiver given before stands. */
static void open_estimate(struct sitting *s, struct reading *r)
{
    r->opened_estimate = 1;
    r->saved_estimate = s->estimate;
    s->estimate = ESTIMATE_OPEN;
    if (r->waiver_at_done)
        s->waived_rules[RULE_ESTIMATE_MISSING] = 0;
    s->estimate_version++;
}

static void let_heard_follow(struct sitting *s, const struct reading *r)
{
    if ((r->voids & VOID_FIRST_AT_TARGET) && r->value_mmhg[POINT_FIRST] > s->heard_mmhg)
        s->heard_mmhg = r->value_mmhg[POINT_FIRST];
}

void verdict_on_done(struct sitting *s, const struct protocol *p)
{
    struct reading *r = reading_latest(s);
    r->is_done = 1;
    r->is_entered = 1;
    r->heard_before_mmhg = s->heard_mmhg;
    r->waiver_at_done = s->waived_rules[RULE_ESTIMATE_MISSING];
    r->severe_before = s->severe_reading;
    judge(r, s, p);
    let_heard_follow(s, r);
    if (r->voids & VOID_GAP_SUSPECT)
        open_estimate(s, r);
    r->estimate_version_after = s->estimate_version;
    if (reading_is_severe(r, p))
        s->severe_reading = s->reading_count;
    alarm_follow(s, r, p);
}

/* Undo what the old verdict did to the estimate, then do what the new one asks. An estimate or a waiver that came in
 * between stands: it would have come after the new verdict too. */
static void let_estimate_follow(struct sitting *s, struct reading *r)
{
    const bool is_gap = (r->voids & VOID_GAP_SUSPECT) != 0;
    if (s->estimate_version != r->estimate_version_after || is_gap == (r->opened_estimate != 0))
        return;
    if (is_gap) {
        open_estimate(s, r);
    } else {
        s->estimate = r->saved_estimate;
        s->waived_rules[RULE_ESTIMATE_MISSING] |= r->waiver_at_done;
        r->opened_estimate = 0;
        s->estimate_version++;
    }
    r->estimate_version_after = s->estimate_version;
}

static void let_severe_follow(struct sitting *s, struct reading *r, const struct protocol *p)
{
    if (s->severe_reading == s->reading_count)
        s->severe_reading = r->severe_before;
    if (reading_is_severe(r, p))
        s->severe_reading = s->reading_count;
    alarm_follow(s, r, p);
}

void verdict_on_correct(struct sitting *s, const struct protocol *p, enum point point, int32_t mmhg)
{
    struct reading *r = reading_latest(s);
    r->has_value[point] = 1;
    r->value_mmhg[point] = mmhg;
    judge(r, s, p);
    r->notes |= NOTE_CORRECTED;
    if (r->arm_epoch == s->arm_epoch) {
        s->heard_mmhg = r->heard_before_mmhg;
        let_heard_follow(s, r);
    }
    let_estimate_follow(s, r);
    let_severe_follow(s, r, p);
}
