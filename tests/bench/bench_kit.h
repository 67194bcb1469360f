/* SPDX-License-Identifier: GPL-3.0-or-later */
/** @file bench_kit.h  What the benches of the screen share: times, medians, a furnished and a full store, a
 * way to the rest. */
#ifndef STILLARM_BENCH_KIT_H
#define STILLARM_BENCH_KIT_H

#include <stddef.h>

#include "screen_kit.h"

double now_us(void);
/** Sorts; share 0.5 is the median, 0.99 the 99th percentile. */
double percentile(double *values, int count, double share);
void stop_if(int failed, const char *what);

/** A store of this many finished sittings of ten events each, as a booth has after years; made once, then
 * found again. */
void full_store(const char *path, int sittings);
/** Start the program on a store, with one word or two (NULL: none) after the store. */
void start_program(struct kit *k, const char *store, const char *verb);
/** Go through a first visit on the real clock up to the countdown of the rest. */
void drive_to_rest(struct kit *k);
/** A number from /proc/PID/status, such as "VmHWM:"; -1 when it is not there. */
long process_status(const struct kit *k, const char *name);

#endif
