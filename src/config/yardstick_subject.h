/* SPDX-License-Identifier: GPL-3.0-or-later */
/** @file yardstick_subject.h  What a yardstick can ask for, and its numbers as files write them. Private to config. */
#ifndef STILLARM_CONFIG_YARDSTICK_SUBJECT_H
#define STILLARM_CONFIG_YARDSTICK_SUBJECT_H

#include "config/fields.h"
#include "stillarm/yardstick.h"

/* ---- numbers: whole millionths, so that no bound is rounded before it is compared ---- */

#define ONE INT64_C(1000000)

struct bounds {
    int64_t low, high; /* millionths; both ends fit */
    bool is_whole;
};

struct text;
/** `0.05`, `400`, as a file has it. */
void say_millionths(int64_t v, struct text *t);
double as_double(int64_t millionths);

/** The number in a field; false, and the fault told, where it is none or does not fit. */
bool yardstick_number(struct fields *x, int field, const struct bounds *b, int64_t *out);

/* ---- the learning curve's numbers ---- */

enum plan_part { /* the first six in the order of plan_origin */
    PLAN_ADEQUATE, PLAN_INADEQUATE, PLAN_REACH, PLAN_LOSE, PLAN_HORIZON, PLAN_RIGHT_WITHIN,
    PLAN_FALSE_REACH, PLAN_FALSE_LOSS, PLAN_COUNT
};
#define PLAN_NONE PLAN_COUNT

struct plan_row {
    const char *name;
    struct bounds bounds;
    enum plan_part instead; /* stands in place of this one */
};
extern const struct plan_row PLAN_PARTS[PLAN_COUNT];

/** PLAN_NONE where there is no such number. */
enum plan_part plan_part_named(const char *name);

/* ---- what a criterion can be about ---- */

/** What values such a thing can have; and whether limits belong to it. */
struct unit_row {
    const char *unit;
    struct bounds bounds;
    bool has_limits;
};
const struct unit_row *unit_row_of(const struct criterion *c);
bool has_limits(const struct criterion *c);

/** Index of a word; false where it is none of them. */
bool find_word(const char *word, const char *const *words, int count, int32_t *out);

/** Set about and which by the word of `of`; false where it is none. */
bool find_about(const char *word, struct criterion *c);

#endif
