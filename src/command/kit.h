/* SPDX-License-Identifier: GPL-3.0-or-later */
/** @file kit.h  Checking and wording of kit that the verb, the kit page and the first run share. */
#ifndef STILLARM_KIT_H
#define STILLARM_KIT_H

#include "command/workplace.h"

#define KIT_DUE_SOON_DAYS 30 /* a month is time enough to send a gauge away: judgement */
#define KIT_SAID_CAP 300     /* bytes of a sentence that says what was noted */

/* ---- kit_parse.c: what was typed; ST_USAGE names the first part that will not do. name may be "" ---- */
enum status kit_check_gauge(struct gauge *g, const char *id, const char *name, const char *top, const char *due,
                            struct err *e) MUST_USE;
/** A short name, as it stands in logs. */
enum status kit_check_id(const char *id, struct err *e) MUST_USE;
/** The highest number on a dial. */
enum status kit_parse_top(const char *typed, int32_t *mmhg, struct err *e) MUST_USE;
/** bladder may be "". */
enum status kit_check_cuff(struct stored_cuff *c, const char *id, const char *name, const char *low, const char *high,
                           const char *bladder, struct err *e) MUST_USE;
/** `16x30`, `16 x 30 cm`, `6.3x11.8in` into millimetres. */
enum status kit_parse_bladder(const char *typed, int32_t *width_mm, int32_t *length_mm, struct err *e) MUST_USE;
/** `50=50 100=102 ...`, blanks between; 2 to CHECK_POINTS_MAX of them. */
enum status kit_parse_points(const char *typed, struct check_point out[CHECK_POINTS_MAX], int *count, struct err *e) MUST_USE;
/** 1 to 24: what is published, half a year, and room on both sides (judgement). */
enum status kit_parse_months(const char *typed, int32_t *months, struct err *e) MUST_USE;
/** A day that is over or today: what was done cannot lie ahead. */
enum status kit_parse_past(const char *typed, int32_t *day, struct err *e) MUST_USE;
/** The day a calibration ends: on + months, or the day itself where next names one (on may then be ""). */
enum status kit_parse_due(const char *on, const char *next, int32_t *due, struct err *e) MUST_USE;

/** As a form says it: `not yet: ` and the sentence. Hands the status on. */
enum status kit_not_yet(enum status status, struct err *e);

/* ---- kit_check.c: the checks of a gauge ---- */
/**
 * Store a check and say what it means under p (NULL: no protocol, no limit).
 * @param what    leak, zero, comparison
 * @param result  one number, or for a comparison points
 */
enum status kit_note_check(struct store *store, const struct protocol *p, const char *gauge, const char *what,
                           const char *result, int32_t day, char said[KIT_SAID_CAP], struct err *e) MUST_USE;
/** Store a calibration made that day for so many months, and say until when it holds. */
enum status kit_note_calibration(struct store *store, const char *gauge, int32_t day, int32_t months,
                                 char said[KIT_SAID_CAP], struct err *e) MUST_USE;
/** The usual protocol of this store among those loaded, or NULL. */
const struct protocol *kit_usual_protocol(struct store *store, const struct protocols *ps);
/** The name of the check that bars the gauge under p, "" when none does. p may be NULL. Pure. */
const char *kit_failed_check(const struct protocol *p, const struct gauge_check *leak, const struct gauge_check *zero,
                             const struct gauge_check *comparison);

/* ---- wording, pure ---- */
/** `calibration due 2031-09-01, in 9 days`. */
void kit_due_words(int32_t due, int32_t today, char *out, size_t cap);
/** The latest checks, "" when there are none. */
void kit_checks_words(const struct gauge *g, char *out, size_t cap);
/** `27.0 to 34.0 cm`. */
void kit_range_words(int32_t low_mm, int32_t high_mm, char *out, size_t cap);
/** `bladder 16.0 x 30.0 cm`; "" when it is not known. */
void kit_bladder_words(const struct stored_cuff *c, char *out, size_t cap);
/** What is published about a site's interval. */
void kit_interval_words(int32_t months, char *out, size_t cap);

#endif
