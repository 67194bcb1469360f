/* SPDX-License-Identifier: GPL-3.0-or-later */
/**
 * @file learning.h  Has a skill been reached, and is it kept? Two running sums over right and wrong answers in their order:
 * the learning curve (LC-CUSUM, Biau and Porcher 2010) signals that the skill is there; after that the keeping curve
 * (CUSUM) signals that it is lost. How often each errs is computed exactly, and stands beside every verdict. Pure.
 */
#ifndef STILLARM_LEARNING_H
#define STILLARM_LEARNING_H

#include <stdbool.h>
#include <stdint.h>

#define LEARNING_HORIZON_MAX 400

struct learning_plan {
    double adequate;    /* share of wrong answers that is good enough, 0 < adequate < inadequate */
    double inadequate;  /* share that is not, < 1 */
    double reach;       /* the learning curve signals at this height, > 0 */
    double lose;        /* the keeping curve signals at this height, > 0 */
    int32_t horizon;    /* answers over which the error rates are said, 1 to LEARNING_HORIZON_MAX */
    int32_t right_within_mmhg; /* a pair is right when both sides differ by at most this */
};

/** Weights of one answer. Learning: a right one raises, a wrong one lowers. Keeping: the other way round. */
struct learning_weights { double reach_right, reach_wrong, lose_right, lose_wrong; };
void learning_weights(const struct learning_plan *p, struct learning_weights *out);

struct learning_state {
    struct learning_weights weights; /* of the plan, from the first answer on: they take logarithms */
    int64_t answers, wrong;
    double height;      /* of the curve that runs now, from 0 */
    int64_t reached_at; /* the answer at which the skill was last signalled, from 1; 0: not yet, or lost since */
    int64_t lost_at;    /* the answer at which it was last signalled lost; 0: never. Then the learning curve begins anew */
};
void learning_begin(struct learning_state *s);
/** One more answer; all of a state by one plan. Nothing is signalled twice. */
void learning_take(struct learning_state *s, const struct learning_plan *p, bool is_right);
/** The fewest right answers in a row that bring the learning curve from this height (0 at the beginning) to its signal. */
int64_t learning_least_right(const struct learning_plan *p, double height);

/** Exact chances, by summing over all ways the curve can go. */
struct learning_rates {
    double false_reach;  /* somebody inadequate signalled as there within the horizon */
    double true_reach;   /* somebody adequate signalled as there within the horizon */
    int32_t usual_reach; /* median number of answers to the signal when adequate; 0: beyond the horizon */
    double false_loss;   /* somebody adequate signalled as lost within the horizon */
    double true_loss;    /* somebody inadequate signalled as lost within the horizon */
};
void learning_rates(const struct learning_plan *p, struct learning_rates *out);
/** Chance that a curve of these steps (their sizes, both > 0), held at 0 from below, comes to `height` within n answers, at
 *  most LEARNING_HORIZON_MAX, that are up-steps with chance p_up; median_at (may be NULL): the answer at which that chance
 *  passes one half, 0 where it does not. */
double learning_chance(double up, double down, double height, double p_up, int32_t n, int32_t *median_at);
/** Lowest height at which that chance is at most `chance` over n answers, to 1e-6 above the true one. */
double learning_height_for(double up, double down, double p_up, int32_t n, double chance);

/** Classical CUSUM for comparison with what is published: s and h of p0, p1, alpha, beta. */
void cusum_chart(double p0, double p1, double alpha, double beta, double *s, double *h_low, double *h_high);

#endif
