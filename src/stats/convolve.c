/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * The sum of rectangular parts and a scaled Student's t, by convolution.
 * A coverage factor from t by the effective degrees of freedom takes the whole sum for a t. It is none:
 * against draws that factor was up to 6 % too wide where limits outweigh the spread, and up to 10 % too
 * narrow where five readings' own spread goes with limits as large. JCGM 100 (G.1.4) names convolution as the
 * way to the exact interval; for parts as few and simple as these it costs little.
 */
#define MATHLIB_STANDALONE
#include <Rmath.h>
#include <math.h>

#include "stats/stats.h"

#define PI 3.14159265358979323846
#define CELLS 64      /* into which the boxes' reach is cut, for the mixture */
#define HARMONICS 256 /* of the boxes' density, where they stand alone */
#define STEPS_MAX 80

void boxes_add(struct boxes *b, double half)
{
    if (half > 0.0 && isfinite(half) && b->n < BOXES_MAX)
        b->half[b->n++] = half;
}

/* Everything about the sum that does not depend on where it is asked. */
struct sum {
    double reach; /* the boxes' sum never lies beyond */
    double scale, df;
    bool is_boxes_alone;
    double wave[HARMONICS]; /* characteristic function at PI k / reach, from k = 1 */
    double weight[CELLS];   /* chance that the boxes' sum lies in a cell */
};

static double cell_middle(const struct sum *sum, int cell)
{
    return sum->reach * ((2.0 * cell + 1.0) / CELLS - 1.0);
}

static double wave_at(const struct boxes *b, double u)
{
    double product = 1.0;
    for (int i = 0; i < b->n; i++)
        product *= sin(u * b->half[i]) / (u * b->half[i]);
    return product;
}

/* P(|boxes| <= x): their density has bounded reach, so its Fourier series over that reach is exact. */
static double boxes_within(const struct sum *sum, double x)
{
    if (x >= sum->reach)
        return 1.0;
    double p = x / sum->reach;
    for (int k = 1; k <= HARMONICS; k++)
        p += 2.0 * sum->wave[k - 1] * sin(PI * k * x / sum->reach) / (PI * k);
    return p;
}

static double within(const struct sum *sum, double x)
{
    if (sum->is_boxes_alone)
        return boxes_within(sum, x);
    double p = 0.0;
    for (int i = 0; i < CELLS; i++)
        p += sum->weight[i] * (1.0 - 2.0 * stats_t_above((x - cell_middle(sum, i)) / sum->scale, sum->df));
    return p;
}

static void prepare(struct sum *sum, const struct boxes *b, double scale, double df)
{
    *sum = (struct sum){.scale = scale, .df = df};
    for (int i = 0; i < b->n; i++)
        sum->reach += b->half[i];
    /* A t much narrower than a cell would make steps of the sum; it hardly widens it, see below. */
    sum->is_boxes_alone = scale < 1.6 * sum->reach / CELLS;
    for (int k = 1; k <= HARMONICS; k++)
        sum->wave[k - 1] = wave_at(b, PI * k / sum->reach);
    double before = 0.0;
    for (int i = CELLS / 2; i < CELLS; i++) { /* from the middle out, and the same on the other side */
        const double inside = boxes_within(sum, cell_middle(sum, i) + sum->reach / CELLS);
        sum->weight[i] = sum->weight[CELLS - 1 - i] = (inside - before) / 2.0;
        before = inside;
    }
}

/* The x within which coverage lies, between 0 and high: false position, halving a stale end. */
static double solve(const struct sum *sum, double high, double coverage)
{
    double low = 0.0, f_low = -coverage, f_high = within(sum, high) - coverage;
    int stale = 0;
    for (int i = 0; i < STEPS_MAX && high - low > 1e-9 * high && f_high > f_low; i++) {
        const double x = (low * f_high - high * f_low) / (f_high - f_low), f = within(sum, x) - coverage;
        if (fabs(f) < 1e-13)
            return x;
        if (f < 0.0) {
            low = x;
            f_low = f;
            f_high *= stale == -1 ? 0.5 : 1.0;
            stale = -1;
        } else {
            high = x;
            f_high = f;
            f_low *= stale == 1 ? 0.5 : 1.0;
            stale = 1;
        }
    }
    return (low + high) / 2.0;
}

static double boxes_variance(const struct boxes *b)
{
    double sum = 0.0;
    for (int i = 0; i < b->n; i++)
        sum += b->half[i] * b->half[i] / 3.0;
    return sum;
}

double stats_half_width(const struct boxes *b, double scale, double df, double coverage)
{
    if (!(coverage > 0.0 && coverage < 1.0) || !(df > 0.0))
        return 0.0;
    if (!(scale > 0.0) || !isfinite(scale))
        scale = 0.0;
    if (b->n == 0)
        return scale > 0.0 ? scale * worth_coverage_factor(coverage, df) : 0.0;
    struct sum sum;
    prepare(&sum, b, scale, df);
    if (sum.is_boxes_alone) /* the little that t adds, as variances add */
        return solve(&sum, sum.reach, coverage) * sqrt(1.0 + scale * scale / boxes_variance(b));
    return solve(&sum, sum.reach + scale * worth_coverage_factor(coverage, df), coverage);
}
