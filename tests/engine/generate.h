/* SPDX-License-Identifier: GPL-3.0-or-later */
/** @file generate.h  Events for random walks, plausible and implausible. The same seed walks the same way
 * everywhere. */
#ifndef STILLARM_TEST_GENERATE_H
#define STILLARM_TEST_GENERATE_H

#include "stillarm/sitting.h"

struct dice {
    uint64_t x;
}; /* never 0 */

uint32_t roll(struct dice *d, uint32_t sides);

/** Parts of an event of that kind: an item it takes (p may be NULL where the kind lists its words), its
 * values. */
const char *item_for(struct dice *d, const struct event_form *form, enum event_kind kind,
                     const struct protocol *p);
int64_t value_for(struct dice *d, enum event_kind kind);
int64_t value2_for(struct dice *d, enum event_kind kind);

/** Any event at all; and one of those that come while listening, so that walks get there more than now and
 * then. */
struct event any_event(struct dice *d, const struct sitting *s, const struct protocol *p);
struct event listening_event(struct dice *d, const struct sitting *s);

#endif
