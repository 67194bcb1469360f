/* SPDX-License-Identifier: GPL-3.0-or-later */
/** @file average.h  Averages of counted readings as exact integers.  Pure. */
#ifndef STILLARM_AVERAGE_H
#define STILLARM_AVERAGE_H

#include <stdint.h>

#include "stillarm/protocol.h"

struct average {
    int32_t n; /* readings that went in */
    int32_t systolic_sum_mmhg, diastolic_sum_mmhg;
};

/**
 * Average of n >= 1 readings in the order taken.
 * LOWER_OF_LAST_TWO takes, of the last two, the whole reading with the lower systolic (the lower diastolic if equal).
 * WITHOUT_FIRST of a single reading is that reading.
 */
struct average average_of(enum average_of which, const int32_t *systolic_mmhg, const int32_t *diastolic_mmhg, int n);

/** sum/n in hundredths, halves up, for n > 0 and sum >= 0. */
int32_t average_x100(int32_t sum, int32_t n);
/** sum/n as whole mmHg, halves up, for n > 0 and sum >= 0. */
int32_t average_mmhg(int32_t sum, int32_t n);

#endif
