/* SPDX-License-Identifier: GPL-3.0-or-later */
/** @file random_pairs.h  Seeded sets of pairs of many shapes, and files of them for another program to read.
 */
#ifndef TESTS_OUTSIDE_RANDOM_PAIRS_H
#define TESTS_OUTSIDE_RANDOM_PAIRS_H

#include <stdint.h>

#include "outside/agree_kit.h"

#define SETS 200
#define SET_PAIRS_MAX 800

enum shape {
    SHAPE_CLINIC,        /* one reading of each person, even values */
    SHAPE_REPEATS,       /* so many of each */
    SHAPE_UNEQUAL,       /* one to five of each: some are missing */
    SHAPE_TIES,          /* three values in all */
    SHAPE_LISTENER_FLAT, /* the listener always says the same */
    SHAPE_MEASURER_FLAT,
    SHAPE_BOTH_FLAT,
    SHAPE_SHIFTED, /* all differences are the same */
    SHAPE_PERFECT,
    SHAPE_TINY,        /* a few thousandths */
    SHAPE_HUGE_SPREAD, /* 0 to 500 mmHg, and up to a thousand million, with ordinary differences */
    SHAPE_HUGE_OFFSET, /* ordinary differences, a thousand million mmHg up */
    SHAPE_FAR_BELOW,   /* the same below zero */
    SHAPE_DECIMALS,    /* thousandths */
    SHAPE_ONE_SUBJECT,
    SHAPE_OPPOSED,    /* where one goes up the other goes down */
    SHAPE_NOISE,      /* nothing to do with each other */
    SHAPE_ZEROS,      /* the measurer likes zeros */
    SHAPE_SAME_AGAIN, /* the measurer writes the same again */
    SHAPE_BOUNDARIES, /* values about the bounds of categories */
    SHAPE_OUTLIERS,
    SHAPE_ODD,    /* every line of a gauge graduated by one */
    SHAPE_NEARLY, /* but for one pair all differences are the same */
    SHAPE_SMALL,  /* two to five pairs */
    SHAPE_MANY,   /* hundreds */
    PAIR_SHAPES
};

struct random_set {
    enum shape shape;
    int scheme; /* 0, 1: which ladder; -1: none */
    int n;
    struct kit_pair pairs[SET_PAIRS_MAX];
};

/** The set of this number, the same in every run. */
void random_set_of(int number, struct random_set *out);

/** Ladder 0 is that of ACC/AHA 2017, ladder 1 that of ESH 2023; -1 gives NULL. */
const struct category_scheme *random_scheme(int which);

/** All sets as lines `set scheme subject a b a b`, systolic first, thousandths; false where that cannot be
 * written. */
bool random_sets_write(const char *path);

#endif
