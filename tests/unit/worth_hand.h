/* SPDX-License-Identifier: GPL-3.0-or-later */
/** @file worth_hand.h  A sitting and a protocol made by hand, with just what worth looks at. */
#ifndef STILLARM_WORTH_HAND_H
#define STILLARM_WORTH_HAND_H

#include "stillarm/worth.h"

struct worth_hand {
    struct sitting s;
    struct protocol p;
};

/* Pulse 50; every reading counts; the values that stand where a protocol leaves them out. */
static inline void worth_hand_init(struct worth_hand *h, enum average_of average)
{
    *h = (struct worth_hand){.s.pulse_bpm = 50, .s.wrapped = -1, .s.phase = PHASE_OPEN, .s.arm = ARM_LEFT};
    int32_t *value = h->p.value;
    value[KEY_AVERAGE] = (int32_t)average;
    value[KEY_READINGS_MIN] = 1;
    value[KEY_READINGS_MAX] = INFLATIONS_PER_ARM;
    value[KEY_EXTRA_OVER_MMHG] = 300;
    value[KEY_RELEASE_LOW_X10] = 20;
    value[KEY_RELEASE_HIGH_X10] = 30;
    value[KEY_GAUGE_LIMIT_MMHG] = 3;
    value[KEY_ARM_HEIGHT_MM] = 25;
    value[KEY_WITHIN_SYSTOLIC_SD_X10] = 62;
    value[KEY_WITHIN_DIASTOLIC_SD_X10] = 62;
    value[KEY_WITHIN_SD_DF] = 17;
    value[KEY_VISIT_SD_X10] = 135;
}

/* A counted reading on the left arm, let down at rate_x10 (0: not observed) all the way. */
static inline struct reading *worth_hand_read(struct worth_hand *h, int systolic, int diastolic, int rate_x10)
{
    struct reading *r = &h->s.readings[h->s.reading_count++];
    *r = (struct reading){.arm = ARM_LEFT, .is_empty = 1, .is_done = 1, .is_entered = 1};
    r->has_value[POINT_FIRST] = r->has_value[POINT_LAST] = 1;
    r->value_mmhg[POINT_FIRST] = systolic;
    r->value_mmhg[POINT_LAST] = diastolic;
    r->rate_x10[0] = r->rate_x10[1] = rate_x10;
    return r;
}

#endif
