/* SPDX-License-Identifier: GPL-3.0-or-later */
/* How many readings there are, how many are needed, and what they average to. */
#include "core/engine.h"

const char *const SITTING_REMARK_WORDS[SITTING_REMARK_COUNT] = {"clock.back", "arms.differ", "arm.other",
                                                                "readings.unsettled", "standing.drop",
                                                                "severe.alone", "bladder.small", "cuff.gap", "arms.barred",
                                                                "symptoms", "symptoms.unasked"};

enum arm arm_other(enum arm arm)
{
    return arm == ARM_LEFT ? ARM_RIGHT : ARM_LEFT;
}

/* The nth counted reading on an arm, from 0, or NULL. Readings standing are compared with these and are none of them. */
static const struct reading *counted_at(const struct sitting *s, enum arm arm, int nth)
{
    for (int i = 0; i < s->reading_count; i++) {
        const struct reading *r = &s->readings[i];
        if (r->arm == (int32_t)arm && !r->is_standing && reading_is_counted(r) && nth-- == 0)
            return r;
    }
    return NULL;
}

int sitting_counted(const struct sitting *s, enum arm arm)
{
    int n = 0;
    while (counted_at(s, arm, n))
        n++;
    return n;
}

int arm_done_readings(const struct sitting *s, enum arm arm)
{
    int n = 0;
    for (int i = 0; i < s->reading_count; i++)
        n += s->readings[i].arm == (int32_t)arm && !s->readings[i].is_standing && s->readings[i].is_done;
    return n;
}

static int apart(int a, int b)
{
    return a > b ? a - b : b - a;
}

static int systolics_apart(const struct reading *a, const struct reading *b)
{
    return apart(reading_systolic_mmhg(a), reading_systolic_mmhg(b));
}

/* A first reading so low that, with a regular pulse, the protocol asks for no other. */
static bool is_enough_alone(const struct sitting *s, const struct protocol *p, const struct reading *first)
{
    return first && !s->is_irregular && reading_systolic_mmhg(first) < p->value[KEY_ALONE_BELOW_SYSTOLIC_MMHG] &&
           reading_diastolic_mmhg(first) < p->value[KEY_ALONE_BELOW_DIASTOLIC_MMHG];
}

/* How many readings, and the number of the protocol that asks for the last of them. */
static int needed(const struct sitting *s, const struct protocol *p, enum arm arm, enum protocol_key *by)
{
    *by = KEY_READINGS_MIN;
    if (s->is_irregular && p->value[KEY_READINGS_IRREGULAR] > p->value[KEY_READINGS_MIN])
        *by = KEY_READINGS_IRREGULAR;
    int need = p->value[*by];
    const struct reading *a = counted_at(s, arm, 0), *b = counted_at(s, arm, 1);
    const int over = p->value[KEY_EXTRA_OVER_MMHG];
    if (is_enough_alone(s, p, a))
        return 1;
    if (a && b && (systolics_apart(a, b) > over ||
                   apart(reading_diastolic_mmhg(a), reading_diastolic_mmhg(b)) > over)) {
        if (sitting_counted(s, arm) >= need)
            *by = KEY_EXTRA_OVER_MMHG;
        need += p->value[KEY_EXTRA_READINGS];
    }
    return need;
}

int sitting_needed(const struct sitting *s, const struct protocol *p, enum arm arm)
{
    enum protocol_key by;
    return needed(s, p, arm, &by);
}

enum protocol_key needed_by(const struct sitting *s, const struct protocol *p, enum arm arm)
{
    enum protocol_key by;
    (void)needed(s, p, arm, &by);
    return by;
}

static bool is_at_maximum(const struct sitting *s, const struct protocol *p, enum arm arm)
{
    return arm_done_readings(s, arm) >= p->value[KEY_READINGS_MAX];
}

bool arm_suffices(const struct sitting *s, const struct protocol *p, enum arm arm)
{
    return sitting_counted(s, arm) >= sitting_needed(s, p, arm) || is_at_maximum(s, p, arm);
}

/* Does the rule of both arms hold in this sitting? Not where one of them may not be used. */
static bool asks_both_arms(const struct sitting *s, const struct protocol *p)
{
    return p->value[KEY_FIRST_ARMS] == FIRST_ARMS_BOTH && s->given[EV_VISIT] && !s->is_return &&
           !s->waived_rules[RULE_ARMS_FEW] && !s->is_barred[ARM_LEFT] && !s->is_barred[ARM_RIGHT];
}

/* The first readings lie so far apart that the protocol wants both arms read again before one is preferred. */
static bool asks_both_again(const struct sitting *s, const struct protocol *p)
{
    const struct reading *l = counted_at(s, ARM_LEFT, 0), *r = counted_at(s, ARM_RIGHT, 0);
    return p->value[KEY_ARMS_REPEAT] && asks_both_arms(s, p) && l && r &&
           systolics_apart(l, r) > p->value[KEY_ARMS_OVER_MMHG];
}

/* An arm on which nothing counted by the maximum has had its chance; the other then decides alone. */
static bool arm_has_had(const struct sitting *s, const struct protocol *p, enum arm arm, int readings)
{
    return sitting_counted(s, arm) >= readings || is_at_maximum(s, p, arm);
}

/* The pair of readings by which the arms are compared, and whether there is one. */
static bool arms_compared(const struct sitting *s, bool by_second, const struct reading **l, const struct reading **r)
{
    *l = counted_at(s, ARM_LEFT, 1);
    *r = counted_at(s, ARM_RIGHT, 1);
    if (by_second && *l && *r)
        return true;
    *l = counted_at(s, ARM_LEFT, 0);
    *r = counted_at(s, ARM_RIGHT, 0);
    return *l && *r;
}

/* The arm with the higher counted systolic; ARM_NONE when equal or when neither has one. */
static enum arm higher_arm(const struct sitting *s, const struct protocol *p)
{
    const struct reading *l, *r;
    if (!arms_compared(s, asks_both_again(s, p), &l, &r))
        return l ? ARM_LEFT : r ? ARM_RIGHT : ARM_NONE;
    if (reading_systolic_mmhg(l) == reading_systolic_mmhg(r))
        return ARM_NONE;
    return reading_systolic_mmhg(l) > reading_systolic_mmhg(r) ? ARM_LEFT : ARM_RIGHT;
}

enum rule sitting_readings_lack(const struct sitting *s, const struct protocol *p)
{
    const bool either = arm_suffices(s, p, ARM_LEFT) || arm_suffices(s, p, ARM_RIGHT);
    if (!asks_both_arms(s, p))
        return either ? RULE_NONE : RULE_READINGS_FEW;
    if (asks_both_again(s, p) && !(arm_has_had(s, p, ARM_LEFT, 2) && arm_has_had(s, p, ARM_RIGHT, 2)))
        return RULE_ARMS_FEW;
    if (!either)
        return RULE_READINGS_FEW;
    if (!arm_has_had(s, p, ARM_LEFT, 1) || !arm_has_had(s, p, ARM_RIGHT, 1))
        return RULE_ARMS_FEW;
    const enum arm higher = higher_arm(s, p);
    if (higher != ARM_NONE && !arm_suffices(s, p, higher))
        return RULE_READINGS_FEW;
    return RULE_NONE;
}

/* On a first visit: each arm once, or twice where they lie far apart, the one in use first; then the higher. */
static enum arm arm_of_both(const struct sitting *s, const struct protocol *p)
{
    const enum arm in_use = (enum arm)s->arm;
    const int rounds = asks_both_again(s, p) ? 2 : 1;
    if (in_use == ARM_NONE)
        return ARM_NONE;
    if (!arm_has_had(s, p, in_use, rounds))
        return in_use;
    if (!arm_has_had(s, p, arm_other(in_use), rounds))
        return arm_other(in_use);
    const enum arm higher = higher_arm(s, p);
    return higher == ARM_NONE ? in_use : higher;
}

enum arm sitting_arm_to_read(const struct sitting *s, const struct protocol *p)
{
    if (s->is_barred[ARM_LEFT] || s->is_barred[ARM_RIGHT])
        return !s->is_barred[ARM_LEFT] ? ARM_LEFT : !s->is_barred[ARM_RIGHT] ? ARM_RIGHT : ARM_NONE;
    if (s->is_standing)
        return (enum arm)s->arm;
    const enum arm repeat = arm_to_repeat(s, p);
    if (repeat != ARM_NONE && !is_at_maximum(s, p, repeat))
        return repeat;
    return asks_both_arms(s, p) ? arm_of_both(s, p) : (enum arm)s->arm;
}

bool sitting_average(const struct sitting *s, const struct protocol *p, enum arm arm, struct average *out)
{
    int32_t systolic[INFLATIONS_PER_ARM], diastolic[INFLATIONS_PER_ARM];
    const int n = sitting_counted(s, arm);
    if (n == 0 || s->phase == PHASE_STOPPED || !arm_suffices(s, p, arm))
        return false;
    for (int i = 0; i < n; i++) {
        systolic[i] = reading_systolic_mmhg(counted_at(s, arm, i));
        diastolic[i] = reading_diastolic_mmhg(counted_at(s, arm, i));
    }
    *out = average_of((enum average_of)p->value[KEY_AVERAGE], systolic, diastolic, n);
    return true;
}

/* Closed by the maximum although the arm that decides has too few that count. */
static bool is_unsettled(const struct sitting *s, const struct protocol *p)
{
    if (s->phase == PHASE_STOPPED || sitting_readings_lack(s, p) != RULE_NONE)
        return false;
    for (int arm = ARM_LEFT; arm < ARM_COUNT; arm++) {
        if (sitting_counted(s, (enum arm)arm) >= sitting_needed(s, p, (enum arm)arm)) {
            const enum arm higher = higher_arm(s, p);
            if (!asks_both_arms(s, p) || higher == ARM_NONE || higher == (enum arm)arm)
                return false;
        }
    }
    return true;
}

static bool arms_differ(const struct sitting *s, const struct protocol *p)
{
    const struct reading *l, *r;
    return arms_compared(s, p->value[KEY_ARMS_REPEAT], &l, &r) && systolics_apart(l, r) > p->value[KEY_ARMS_OVER_MMHG];
}

unsigned sitting_remarks(const struct sitting *s, const struct protocol *p)
{
    if (!p)
        return s->is_clock_back ? REMARK_CLOCK_BACK : 0;
    const unsigned worn = worn_cuff_notes(s, p);
    const bool is_ended = s->phase == PHASE_STOPPED;
    const struct {
        bool holds;
        unsigned remark;
    } rows[] = {
        {s->is_clock_back, REMARK_CLOCK_BACK},
        {arms_differ(s, p), REMARK_ARMS_DIFFER},
        {s->is_arm_other, REMARK_ARM_OTHER},
        {is_unsettled(s, p) || (!is_ended && standing_is_unsettled(s, p)), REMARK_READINGS_UNSETTLED},
        {drop_is_remarkable(s, p), REMARK_STANDING_DROP},
        {sitting_wants_repeat(s, p), REMARK_SEVERE_ALONE},
        {(worn & (CUFF_NOTE_NARROW | CUFF_NOTE_SHORT)) != 0, REMARK_BLADDER_SMALL},
        {(worn & CUFF_NOTE_GAP) != 0, REMARK_CUFF_GAP},
        {s->is_barred[ARM_LEFT] || s->is_barred[ARM_RIGHT], REMARK_ARM_BARRED},
        {s->has_symptoms, REMARK_SYMPTOMS},
        {sitting_alarm(s, p) != ALARM_NONE && s->symptoms == SYMPTOMS_NOT_ASKED, REMARK_SYMPTOMS_UNASKED},
    };
    unsigned remarks = 0;
    for (size_t i = 0; i < ARRAY_LEN(rows); i++)
        remarks |= rows[i].holds ? rows[i].remark : 0;
    return remarks;
}
