/* SPDX-License-Identifier: GPL-3.0-or-later */
/** @file held.h  A witnessed sitting whose result the witness has not given: nobody else sees its figures. */
#ifndef STILLARM_HELD_H
#define STILLARM_HELD_H

#include "store/signed.h"

/** Is it one that its witness signs, and may hold? By what the store keeps of it. */
bool held_is_witnessed(const char *witness, const char *purpose);
/** Of a row of a queue. */
bool held_is(const struct queue_entry *q);
/** ST_OK: to be shown. ST_PERMISSION: held, and by whom, in words. */
enum status held_check(struct store *store, int64_t id, struct err *e) MUST_USE;
/** Where its review stands, as pages and lists say it: a result that was given is `given`. */
const char *held_word(enum review review);
/** Who signs its end: the measurer, of a witnessed sitting the witness; "" where nobody was named. */
const char *held_keeper(const struct kept_sitting *k);

#endif
