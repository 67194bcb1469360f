/* SPDX-License-Identifier: GPL-3.0-or-later */
/** @file finisher.h  The straightforward measurer: from any open state, the next event on the way to the
 * seal. */
#ifndef STILLARM_TEST_FINISHER_H
#define STILLARM_TEST_FINISHER_H

#include "stillarm/sitting.h"

/** The next event; tries says how often in a row the last ones were refused, so that another way is taken. */
struct event finisher_next(const struct sitting *s, const struct protocol *p, int tries);

/** Drive a copy to its seal; false with what stood in the way. steps receives how many events it took. */
bool finisher_drive(const struct sitting *from, const struct protocol *p, struct sitting *end, int *steps,
                    char *why, size_t cap);

#endif
