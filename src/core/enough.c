/* SPDX-License-Identifier: GPL-3.0-or-later */
/* How many readings there are, how many are needed, and what they average to. */
#include "core/engine.h"

const char *const SITTING_REMARK_WORDS[SITTING_REMARK_COUNT] = {"clock.back", "arms.differ", "arm.other",
                                                                "readings.unsettled", "standing.drop",
                                                                "severe.alone", "bladder.small", "cuff.gap", "arms.barred",
                                                                "symptoms"};

enum arm arm_other(enum arm arm)
{
    return arm == ARM_LEFT ? ARM_RIGHT : ARM_LEFT;
}

/* The nth counted reading on an arm, from 0, or NULL. */
static const struct reading *counted_at(const struct sitting *s, enum arm arm, int nth)
{
    for (int i = 0; i < s->reading_count; i++) {
        const struct reading *r = &s->readings[i];
        if (r->arm == (int32_t)arm && reading_is_counted(r) && nth-- == 0)
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
        n += s->readings[i].arm == (int32_t)arm && s->readings[i].is_done;
    return n;
}

static int apart(int a, int b)
{
    return a > b ? a - b : b - a;
}

int sitting_needed(const struct sitting *s, const struct protocol *p, enum arm arm)
{
    int need = p->value[KEY_READINGS_MIN];
    if (s->is_irregular && p->value[KEY_READINGS_IRREGULAR] > need)
        need = p->value[KEY_READINGS_IRREGULAR];
    const struct reading *a = counted_at(s, arm, 0), *b = counted_at(s, arm, 1);
    const int over = p->value[KEY_EXTRA_OVER_MMHG];
    if (a && b && (apart(reading_systolic_mmhg(a), reading_systolic_mmhg(b)) > over ||
                   apart(reading_diastolic_mmhg(a), reading_diastolic_mmhg(b)) > over))
        need += p->value[KEY_EXTRA_READINGS];
    return need;
}

static bool is_at_maximum(const struct sitting *s, const struct protocol *p, enum arm arm)
{
    return arm_done_readings(s, arm) >= p->value[KEY_READINGS_MAX];
}

bool arm_suffices(const struct sitting *s, const struct protocol *p, enum arm arm)
{
    return sitting_counted(s, arm) >= sitting_needed(s, p, arm) || is_at_maximum(s, p, arm);
}

/* Does the rule of both arms hold in this sitting? */
static bool asks_both_arms(const struct sitting *s, const struct protocol *p)
{
    return p->value[KEY_FIRST_ARMS] == FIRST_ARMS_BOTH && s->given[EV_VISIT] && !s->is_return &&
           !s->waived_rules[RULE_ARMS_FEW];
}

/* An arm on which nothing counted by the maximum has had its chance; the other then decides alone. */
static bool arm_has_had_its_reading(const struct sitting *s, const struct protocol *p, enum arm arm)
{
    return counted_at(s, arm, 0) || is_at_maximum(s, p, arm);
}

/* The arm with the higher first counted systolic; ARM_NONE when equal or when neither has one. */
static enum arm higher_arm(const struct sitting *s)
{
    const struct reading *l = counted_at(s, ARM_LEFT, 0), *r = counted_at(s, ARM_RIGHT, 0);
    if (!l || !r)
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
    if (!either)
        return RULE_READINGS_FEW;
    if (!arm_has_had_its_reading(s, p, ARM_LEFT) || !arm_has_had_its_reading(s, p, ARM_RIGHT))
        return RULE_ARMS_FEW;
    const enum arm higher = higher_arm(s);
    if (higher != ARM_NONE && !arm_suffices(s, p, higher))
        return RULE_READINGS_FEW;
    return RULE_NONE;
}

enum arm sitting_arm_to_read(const struct sitting *s, const struct protocol *p)
{
    if (!asks_both_arms(s, p))
        return (enum arm)s->arm;
    if (s->arm == ARM_NONE)
        return ARM_NONE;
    if (!arm_has_had_its_reading(s, p, (enum arm)s->arm))
        return (enum arm)s->arm;
    if (!arm_has_had_its_reading(s, p, arm_other((enum arm)s->arm)))
        return arm_other((enum arm)s->arm);
    const enum arm higher = higher_arm(s);
    return higher == ARM_NONE ? (enum arm)s->arm : higher;
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
            const enum arm higher = higher_arm(s);
            if (!asks_both_arms(s, p) || higher == ARM_NONE || higher == (enum arm)arm)
                return false;
        }
    }
    return true;
}

unsigned sitting_remarks(const struct sitting *s, const struct protocol *p)
{
    unsigned remarks = 0;
    if (!p)
        return s->is_clock_back ? REMARK_CLOCK_BACK : 0;
    const struct reading *l = counted_at(s, ARM_LEFT, 0), *r = counted_at(s, ARM_RIGHT, 0);
    if (s->is_clock_back)
        remarks |= REMARK_CLOCK_BACK;
    if (l && r && apart(reading_systolic_mmhg(l), reading_systolic_mmhg(r)) > p->value[KEY_ARMS_OVER_MMHG])
        remarks |= REMARK_ARMS_DIFFER;
    if (s->is_arm_other)
        remarks |= REMARK_ARM_OTHER;
    if (is_unsettled(s, p))
        remarks |= REMARK_READINGS_UNSETTLED;
    return remarks;
}
