/* SPDX-License-Identifier: GPL-3.0-or-later */
/** @file positions.h  What a source publishes for a key: [says KEY SOURCE]. */
#ifndef STILLARM_CONFIG_POSITIONS_H
#define STILLARM_CONFIG_POSITIONS_H

#include "config/fields.h"

#define POSITIONS_MAX 600

/** Open a section. @param names  `KEY SOURCE`; @return false where they are none, and the fault is told */
bool position_open(struct fields *x, const struct known *known, int line, const char *names, struct position *out);

/** Read its fields into out. False where they are unsound. */
bool position_close(struct fields *x, struct position *out);

/** NULL where the source is not known to say anything about the key. */
const struct position *positions_find(const struct position *list, int count, int key, const char *source);

/** What all sources publish for a key that are not known from memory only. */
void positions_published(const struct known *known, int key, struct published *out);

/** Parse a list. *list is malloc'ed (NULL when empty), the caller frees. */
void positions_parse(const char *text, const struct known *known, struct position **list, int *count, struct faults *f);

#endif
