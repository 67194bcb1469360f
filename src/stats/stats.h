/* SPDX-License-Identifier: GPL-3.0-or-later */
/** @file stats.h  What the files of stats share. Private to stats; pure. */
#ifndef STILLARM_STATS_H
#define STILLARM_STATS_H

#include "stillarm/worth.h"

#define COVERAGE 0.95
#define BOXES_MAX                                                                                            \
    (2 + 2 * (INFLATIONS_PER_ARM + 1)) /* gauge, height; graduation and beat of each reading and one more */

/** Independent rectangular parts about zero, in mmHg of the result. */
struct boxes {
    double half[BOXES_MAX];
    int n;
};

/** Add a part; one of no width is left out. */
void boxes_add(struct boxes *b, double half);

/**
 * Half-width about zero that holds `coverage` of the sum of the boxes and scale times Student's t of df
 * degrees of freedom (scale 0: the boxes alone). 0 when there is nothing at all.
 */
double stats_half_width(const struct boxes *b, double scale, double df, double coverage);

/** P(X > h, Y > k) of the standard bivariate normal of correlation rho, -1 < rho < 1. */
double stats_both_above(double h, double k, double rho);

/** Student's t beyond x; x may be infinite. */
double stats_t_above(double x, double df);

/** The counted readings that go into a result, as indices into s->readings. */
struct taken {
    enum arm arm;
    int index[INFLATIONS_PER_ARM];
    int n;
    double value[SIDE_COUNT]; /* the exact mean */
    int of_counted;           /* how many there were to choose from */
    bool is_lowest;           /* one was taken because it was the lower */
};

/** The budget of one side over the readings taken. */
void stats_budget(const struct sitting *s, const struct protocol *p, const struct taken *taken,
                  enum side side, struct worth_budget *out);

/** Expanded uncertainty of a budget like this one, had n_after readings gone in. */
double stats_expanded_after(const struct worth_budget *now, int n_now, int n_after, const struct protocol *p,
                            enum side side);

/** Find the least sure boundary; both budgets are filled. */
void stats_edge(const struct protocol *p, struct worth *w);

/** List the pulls that are known to bear on these readings. */
void stats_pulls(const struct sitting *s, const struct protocol *p, const struct taken *taken,
                 struct worth *w);

#endif
