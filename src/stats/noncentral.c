/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Quantiles of the non-central t distribution, by one sum and Newton's method.
 * libRmath's qnt goes over to an approximation above a non-centrality of 37.6 (here above 368 pairs), where
 * it is off by up to 5e-4 of the value, and it writes to standard error from 85 pairs on. This is as good for
 * any number of pairs. */
#define MATHLIB_STANDALONE
#include <Rmath.h>
#include <math.h>

#include "stats/agree.h"

#define NODES_MAX 512
#define STEP_MAX 0.1
#define STEP_SDS 0.3 /* in standard deviations of the logarithm */
#define WEIGHT_LOG_LEAST (-40.0)

/*
 * The chance of (Z + ncp)/X at most t is the mean of Phi(t X - ncp), X^2 being chi-square over its degrees of
 * freedom. Over the logarithm of X the density is smooth and dies away on both sides, so that equal steps sum
 * it to the last digits; the weights are divided by their own sum: no gamma function, nothing large taken
 * from something large.
 */
struct nodes {
    double x[NODES_MAX], weight[NODES_MAX];
    int n;
};

static void lay_nodes(struct nodes *s, double df)
{
    const double step = fmin(STEP_MAX, STEP_SDS / sqrt(2.0 * df));
    double sum = 0.0;
    s->n = 0;
    for (int way = -1; way <= 1; way += 2) {
        for (int i = way < 0 ? 1 : 0; s->n < NODES_MAX; i++) {
            const double u = way * i * step, log_weight = df * (u - expm1(2.0 * u) / 2.0);
            if (log_weight < WEIGHT_LOG_LEAST)
                break;
            s->x[s->n] = exp(u);
            s->weight[s->n] = exp(log_weight);
            sum += s->weight[s->n++];
        }
    }
    for (int i = 0; i < s->n; i++)
        s->weight[i] /= sum;
}

static double chance_below(const struct nodes *s, double t, double ncp, double *slope)
{
    double chance = 0.0;
    *slope = 0.0;
    for (int i = 0; i < s->n; i++) {
        const double y = t * s->x[i] - ncp;
        chance += s->weight[i] * pnorm(y, 0.0, 1.0, 1, 0);
        *slope += s->weight[i] * s->x[i] * M_1_SQRT_2PI * exp(-y * y / 2.0);
    }
    return chance;
}

/* About where the quantile lies: X taken as normal about 1 with variance 1/(2 df), as from some 20 pairs on
 * it nearly is. */
static double guess(double p, double df, double ncp)
{
    const double z = qnorm(p, 0.0, 1.0, 1, 0), rest = 1.0 - z * z / (2.0 * df);
    const double under = 1.0 - z * z / (2.0 * df) + ncp * ncp / (2.0 * df);
    return rest > 0.5 ? (ncp + z * sqrt(under)) / rest : ncp;
}

double stats_noncentral_t(double p, double df, double ncp)
{
    struct nodes s;
    double t = guess(p, df, ncp), low = 0.0, high = (double)INFINITY;
    lay_nodes(&s, df);
    for (int i = 0; i < 100; i++) {
        double slope = 0.0;
        const double over = chance_below(&s, t, ncp, &slope) - p, next = t - over / slope;
        if (fabs(next - t) <= 2e-13 * t) /* less is rounding: it may point anywhere, out of the bracket too */
            return next;
        if (over < 0.0)
            low = t;
        else
            high = t;
        if (next > low && next < high)
            t = next;
        else /* outside what is known, or no slope at all */
            t = isinf(high) ? 2.0 * t : (low + high) / 2.0;
    }
    return t;
}
