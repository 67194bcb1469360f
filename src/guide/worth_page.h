/* SPDX-License-Identifier: GPL-3.0-or-later */
/** @file worth_page.h  Pure: what a reading or an average is worth, in lines, for pages and for plain text. */
#ifndef STILLARM_WORTH_PAGE_H
#define STILLARM_WORTH_PAGE_H

#include "guide/page.h"
#include "stillarm/worth.h"

/**
 * Append the whole budget: a table for systolic and one for diastolic, what was observed or assumed, the least sure
 * boundary, one more reading, and the pulls that nothing corrects. Only lines are added, none wider than 75 columns
 * in the tables; title, keys and the rest of the page stay the caller's.
 */
void guide_worth_lines(const struct worth *w, const struct sitting *s, const struct protocol *p, struct page *out);

/** An interval in whole mmHg, or with one decimal, its ends rounded outward: never narrower than it is. */
void guide_say_interval(const struct worth_budget *b, int decimals, char *out, size_t cap);

/** Append a line for each very high or low reading with how symptoms were answered, and that something was done. */
void guide_alarm_lines(const struct sitting *s, const struct protocol *p, struct page *out);

/** Append the category by each scheme, behind before, or why there is none, and that one visit is no diagnosis. Nothing where the arm has no
 *  average. */
void guide_category_lines(const struct sitting *s, const struct protocol *p, enum arm arm, const char *before, struct page *out);

/** Append the result of one arm in few words: categories, how exact. Nothing where the arm has no average. */
void guide_result_head_lines(const struct sitting *s, const struct protocol *p, enum arm arm, struct page *out);

/** Append the chance over the least sure boundary. */
void guide_result_edge_line(const struct sitting *s, const struct protocol *p, enum arm arm, struct page *out);

/** Append what may stand further down: the gain of one more reading, visit to visit, the first pulls. */
void guide_result_rest_lines(const struct sitting *s, const struct protocol *p, enum arm arm, struct page *out);

/** All of these as plain text, for which `category: ` stands before the category. */
void guide_result_lines(const struct sitting *s, const struct protocol *p, enum arm arm, struct page *out);

/** Append how a sitting before a witness came out by the protocol's own data, and what was noted. Nothing for any other. For whoever
 *  may know it: the witness, and everybody once it is released. */
void guide_witnessed_lines(const struct sitting *s, const struct protocol *p, struct page *out);

/** The arm whose average is the result: the one in use, else the first that has an average; ARM_NONE without any. */
enum arm guide_result_arm(const struct sitting *s, const struct protocol *p);

/** Append each departure of the protocol from what its sources say, or nothing. */
void guide_deviation_lines(const struct protocol *p, struct page *out);

#endif
