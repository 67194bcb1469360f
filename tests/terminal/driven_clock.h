/* SPDX-License-Identifier: GPL-3.0-or-later */
/** @file driven_clock.h  The file through which a test moves the time of a running program by hand. */
#ifndef STILLARM_DRIVEN_CLOCK_H
#define STILLARM_DRIVEN_CLOCK_H

#include <stdatomic.h>
#include <stdint.h>

#define DRIVEN_CLOCK_VARIABLE "STILLARM_TEST_CLOCK"

struct driven_clock {
    _Atomic int64_t boot_ms, awake_ms, unix_ms;
    _Atomic int64_t slices; /* grows each time the program has waited a moment and nothing came */
};

#endif
