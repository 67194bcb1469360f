/* SPDX-License-Identifier: GPL-3.0-or-later */
/** @file yardstick_asks.h  What a source publishes for a criterion or a number of the learning curve: [asks SUBJECT SOURCE].
 *  Private to config. */
#ifndef STILLARM_CONFIG_YARDSTICK_ASKS_H
#define STILLARM_CONFIG_YARDSTICK_ASKS_H

#include "config/fields.h"

#define ASKS_MAX 200

struct ask {
    char subject[ITEM_CAP], source[ITEM_CAP];
    bool is_number;  /* of the learning curve: no criterion */
    bool has_bound;  /* not where it is so or not: reached */
    bool is_at_most; /* else at least; of no use for a number of the curve */
    int64_t bound;   /* millionths */
};

/** The list is one file's; *count: how many there were before, and are then. A row of an earlier file stays, and one that says
 *  otherwise is a fault. */
void asks_parse(const char *text, const struct known *known, struct ask list[ASKS_MAX], int *count, struct faults *f);

/** NULL where the source is not known to publish anything about it. */
const struct ask *asks_find(const struct known *known, const char *subject, const char *source);

/** `at least 0.9`, `5`; "" without a bound. */
void ask_say(const struct ask *a, char *out, size_t cap);

#endif
