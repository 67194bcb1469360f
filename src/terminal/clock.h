/* SPDX-License-Identifier: GPL-3.0-or-later */
/** @file clock.h  The only place that asks what time it is. Tests link another implementation of this header.
 */
#ifndef STILLARM_CLOCK_H
#define STILLARM_CLOCK_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

int64_t clock_boot_ms(void);      /* goes on through suspend, cannot be set */
int64_t clock_awake_ms(void);     /* stands still in suspend: the difference shows one */
int64_t clock_unix_ms(void);      /* wall clock; only ever written down */
void clock_boot_id(char out[40]); /* this boot's id, "" when the system has none */
/** ISO 8601 with the local offset, seconds: 2031-03-02T14:04:10+01:00 */
void clock_stamp(int64_t unix_ms, char *out, size_t cap);
int32_t clock_day(int64_t unix_ms); /* local yyyymmdd */
void clock_hhmm(int64_t unix_ms, char out[8]);

/** Wait until fd is readable or clock_boot_ms() reaches until_ms (INT64_MAX: for ever). true: readable. EINTR
 * returns false. */
bool clock_wait(int fd, int64_t until_ms);

/** The demo's speed: 1 is real. Nothing but command/demo.c calls it. */
void clock_set_speed(int factor);

#endif
