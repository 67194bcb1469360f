/* SPDX-License-Identifier: GPL-3.0-or-later */
/** @file agree.h  What the parts of the agreement figures give each other. Private to stats; pure. */
#ifndef STILLARM_AGREE_H
#define STILLARM_AGREE_H

#include <stdbool.h>
#include <stdint.h>

#include "stillarm/agreement.h"

/** Moments of the pairs in mmHg, divisor n - 1, each from an exact integer: nothing cancels at any offset.
 *  Below two pairs the variances are 0; below one all is. */
struct moments {
    double n, mean_a, mean_b, mean_d; /* d is a less b */
    double var_a, var_b, cov, var_d;
    bool is_a_constant, is_b_constant, is_d_constant; /* decided in integers; true below two pairs */
};
void stats_moments(const struct pair_sums *s, struct moments *out);

/** Nothing can be said; need is the count that it takes, with LACK_PAIRS and LACK_DIGITS. */
struct figure stats_lack(enum lack lack, int64_t need);
/** A figure that has no limits and never will: a chance, a chi-square. */
struct figure stats_plain(double value);
/** The share x of n with its limits by Clopper and Pearson; LACK_PAIRS while n is 0. */
struct figure stats_share(int64_t x, int64_t n);

/** The six forms for two judges, from exact sums. */
void stats_icc(const struct pair_sums *s, struct figure out[6]);
struct figure stats_concordance(const struct pair_sums *s);
struct figure stats_correlation(const struct pair_sums *s);

/** Fill FIGURE_DIGIT_CHI to FIGURE_ODD. */
void stats_digits(const struct digit_tally *t, struct figure side[SIDE_FIGURE_COUNT]);
/** Fill FIGURE_IDENTICAL to FIGURE_BELOW_P. */
void stats_repeats(const struct repeat_tally *r, const struct boundary_tally *b,
                   struct figure side[SIDE_FIGURE_COUNT]);
/** Fill FIGURE_KAPPA to FIGURE_KAPPA_QUADRATIC. */
void stats_kappas(const struct agree_tally *t, struct figure joint[JOINT_FIGURE_COUNT]);

/** The p-quantile of the non-central t distribution, to about 1e-12, where it is above 0; df >= 1, ncp > 0.
 */
double stats_noncentral_t(double p, double df, double ncp);

/** Fill FIGURE_BIAS to FIGURE_UPPER_APPROX. */
void stats_limits(const struct moments *m, struct figure side[SIDE_FIGURE_COUNT]);

/** What the cells of a tally say, in mmHg: how values scatter within them, and how their means differ. */
struct cells {
    double cells, n; /* how many; their pairs */
    double df;       /* within: pairs of the repeated cells less those cells; 0 without repeats */
    double within_a, within_b, within_d;
    double mean_reciprocal; /* of the cells' sizes */
    double mean_size; /* the size that the component between cells goes with, as one-way analysis has it */
    double mean_d, between_d; /* mean of the cells' mean differences, and sum of squares about it */
};
void stats_cells(const struct replicate_sums *r, struct cells *out);
/** Fill FIGURE_SD_LINKED to FIGURE_UPPER_APART and the SDs of repeats. */
void stats_replicates(const struct cells *c, const struct moments *m, struct figure side[SIDE_FIGURE_COUNT]);

/** Hold one side against the published standards. */
void stats_standards(const int64_t near[AGREE_NEAR_COUNT], const struct moments *m, const struct cells *c,
                     struct agreement_side *out);

#endif
