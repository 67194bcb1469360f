/* SPDX-License-Identifier: GPL-3.0-or-later */
/** @file outcome.h  How a sitting came out, in lines of text that `print` and `worth` share. */
#ifndef STILLARM_OUTCOME_H
#define STILLARM_OUTCOME_H

#include <stdio.h>

#include "command/workplace.h"
#include "guide/page.h"
#include "stillarm/sitting.h"

/** Run a verb whose word is a sitting: open the store to read, find it, let say print; not one that its witness holds. @return the exit status */
typedef enum status (*outcome_say_fn)(struct workplace *w, const struct sitting_head *head, struct err *e);
int outcome_of(const struct command_line *line, outcome_say_fn say);

/** ST_OK: to be told. ST_PERMISSION: two listen to one fall, and until both have typed nobody sees a figure of either. */
enum status outcome_check_pair(const struct sitting *s, int64_t id, struct err *e) MUST_USE;

/** Write a page's lines, each behind prefix; with_heads: an empty line before every instruction. */
void outcome_lines(const struct page *pg, const char *prefix, bool with_heads, FILE *out);

/** `average left arm: 124/77, all of 2 readings`; false, and why not, where the arm has none. */
bool outcome_average(const struct sitting *s, const struct protocol *p, enum arm arm, const char *prefix, FILE *out);

/** Was anything read on this arm? */
bool outcome_has_readings(const struct sitting *s, enum arm arm);

/** Why no average can be said, in words; "" where the readings suffice. */
const char *outcome_lack(const struct sitting *s, const struct protocol *p);

/** Remarks, silent gaps with their range, and what standing did. */
void outcome_remarks(const struct sitting *s, const struct protocol *p, const char *prefix, FILE *out);

#endif
