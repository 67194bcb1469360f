/* SPDX-License-Identifier: GPL-3.0-or-later */
/** @file kit.h  Checking and wording of kit that the verb and the kit page share. */
#ifndef STILLARM_KIT_H
#define STILLARM_KIT_H

#include "command/workplace.h"

#define KIT_DUE_SOON_DAYS 30 /* a month is time enough to send a gauge away: judgement */

/** Fill from what was typed; ST_USAGE names the first part that will not do. name may be "". */
enum status kit_check_gauge(struct gauge *g, const char *id, const char *name, const char *top, const char *due,
                            struct err *e) MUST_USE;
enum status kit_check_cuff(struct stored_cuff *c, const char *id, const char *name, const char *low, const char *high,
                           struct err *e) MUST_USE;

/** `calibration due 2031-09-01, in 9 days`. Pure. */
void kit_due_words(int32_t due, int32_t today, char *out, size_t cap);
/** The latest checks, "" when there are none. Pure. */
void kit_checks_words(const struct gauge *g, char *out, size_t cap);
/** `27.0 to 34.0 cm`. Pure. */
void kit_range_words(int32_t low_mm, int32_t high_mm, char *out, size_t cap);

#endif
