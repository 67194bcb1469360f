/* SPDX-License-Identifier: GPL-3.0-or-later */
/** @file category.h  Named bands of blood pressure, from an exact average.  Pure value, integers only. */
#ifndef STILLARM_CATEGORY_H
#define STILLARM_CATEGORY_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#include "stillarm/err.h"
#include "stillarm/event.h"
#include "stillarm/standing.h"

#define CATEGORY_BANDS_MAX 10
#define CATEGORY_FLAGS_MAX 4
#define CATEGORY_NO_BOUND (-1) /* this value alone never brings the band */

/**
 * One rung of the ladder, from low to high. A band is reached by a mean at or over either lower bound, and the higher
 * band wins; the mean is not rounded first, so 129.5 lies in the band that files write as `120 to 129`.
 */
struct category_band {
    char id[ITEM_CAP], say[80];
    int32_t systolic_from_mmhg, diastolic_from_mmhg; /* 0 in the lowest band; CATEGORY_NO_BOUND */
    struct origin origin;
};

/** Said beside the band, or in place of it: low, isolated systolic ... */
struct category_flag {
    char id[ITEM_CAP], say[80];
    int32_t systolic_from_mmhg, systolic_below_mmhg;   /* CATEGORY_NO_BOUND where it does not matter */
    int32_t diastolic_from_mmhg, diastolic_below_mmhg;
    bool is_either;  /* systolic's or diastolic's bounds suffice; else both must hold */
    int32_t replaces; /* index of the band it stands in for; -1: said beside any */
    struct origin origin;
};

struct category_scheme {
    char id[ITEM_CAP], title[80];
    struct category_band bands[CATEGORY_BANDS_MAX];
    int32_t band_count;
    struct category_flag flags[CATEGORY_FLAGS_MAX];
    int32_t flag_count;
};

/** Where an average of n >= 1 readings lies. */
struct category {
    int32_t band;      /* index */
    uint32_t flags;    /* bits */
};

/** Sums in mmHg over n >= 1 readings, scheme with at least one band. Exact: compares sums with bounds times n. */
struct category category_of(const struct category_scheme *c, int32_t systolic_sum, int32_t diastolic_sum, int32_t n);

/** In words: the band's, or that of the flag in its place, and the others behind it, each after a comma:
 *  the brackets that may follow hold whose category it is. */
void category_say(const struct category_scheme *c, struct category where, char *out, size_t cap);

/** Would the average, rounded to whole mmHg (halves up), seem to lie in another category than it does? */
bool category_rounding_contradicts(const struct category_scheme *c, int32_t systolic_sum, int32_t diastolic_sum, int32_t n);

/** `140/89`, or with one decimal, cut not rounded (139.9), where a rounded one would contradict any of the schemes. */
void category_say_average(const struct category_scheme *schemes, int count, int32_t systolic_sum, int32_t diastolic_sum,
                          int32_t n, char *out, size_t cap);

/**
 * Sound? At least one band, the first from 0, bounds rising (or CATEGORY_NO_BOUND, never both), flags that can hold and
 * that name a band there is. The first word of every text is the id that it is about: loaders find its line by it.
 */
enum status category_check(const struct category_scheme *c, struct err *e) MUST_USE;

#endif
