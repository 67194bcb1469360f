/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Student's t, two variables at once, and how sure a category is. */
#define MATHLIB_STANDALONE
#include <Rmath.h>
#include <math.h>

#include "stats/stats.h"

#define HALF_PI 1.57079632679489661923
#define NODES 10   /* of a Gauss-Legendre rule of 20 points: the positive ones */
#define Z_FAR 38.0 /* beyond it a normal tail is below the smallest double */

double worth_effective_df(const double *contribution, const double *df, int n)
{
    double variance = 0.0, lost = 0.0;
    for (int i = 0; i < n; i++) {
        if (isfinite(contribution[i]))
            variance += contribution[i] * contribution[i];
    }
    if (variance <= 0.0)
        return (double)INFINITY;
    for (int i = 0; i < n; i++) {
        if (!isfinite(contribution[i]) || isinf(df[i]))
            continue;
        /* Shares, not fourth powers: they neither overflow nor vanish. */
        const double share = contribution[i] * contribution[i] / variance;
        lost += share * share / (df[i] > 0.0 ? df[i] : 1.0);
    }
    return lost > 0.0 ? 1.0 / lost : (double)INFINITY;
}

double worth_coverage_factor(double coverage, double df)
{
    if (!(coverage > 0.0))
        return 0.0;
    if (coverage >= 1.0 || !(df > 0.0))
        return (double)INFINITY;
    return qt(0.5 + coverage / 2.0, df, 1, 0);
}

double stats_t_above(double x, double df)
{
    return isinf(df) ? pnorm(x, 0.0, 1.0, 0, 0) : pt(x, df, 0, 0);
}

/* ---- the bivariate normal ---- */

struct corner {
    double h, k;
};

/* What the joint chance grows by, per radian of the correlation's arc sine. */
static double growth(struct corner c, double angle)
{
    const double cosine = cos(angle);
    const double square = c.h * c.h + c.k * c.k - 2.0 * c.h * c.k * sin(angle);
    return exp(-square / (2.0 * cosine * cosine));
}

static double integrate(struct corner c, double from, double to)
{
    static const double NODE[NODES][2] = {
        {0.9931285991850949, 0.0176140071391521}, {0.9639719272779138, 0.0406014298003869},
        {0.9122344282513259, 0.0626720483341091}, {0.8391169718222188, 0.0832767415767047},
        {0.7463319064601508, 0.1019301198172404}, {0.6360536807265150, 0.1181945319615184},
        {0.5108670019508271, 0.1316886384491766}, {0.3737060887154195, 0.1420961093183820},
        {0.2277858511416451, 0.1491729864726037}, {0.0765265211334973, 0.1527533871307258}};
    const double middle = (from + to) / 2.0, half = (to - from) / 2.0;
    double sum = 0.0;
    for (int i = 0; i < NODES; i++)
        sum += NODE[i][1] * (growth(c, middle - half * NODE[i][0]) + growth(c, middle + half * NODE[i][0]));
    return half * sum;
}

/*
 * Sheppard's single integral over the arc sine of the correlation, from independence up. Near a right angle
 * the integrand falls off ever more steeply, so the pieces shrink with what is left to it: each is then
 * equally smooth.
 */
static double both_above_positive(struct corner c, double rho)
{
    const double end = asin(rho);
    double at = 0.0, sum = 0.0;
    while (at < end) {
        const double next = fmin(end, at + (HALF_PI - at) / 2.0);
        if (!(next > at))
            break;
        sum += integrate(c, at, next);
        at = next;
    }
    return pnorm(c.h, 0.0, 1.0, 0, 0) * pnorm(c.k, 0.0, 1.0, 0, 0) + sum / (4.0 * HALF_PI);
}

double stats_both_above(double h, double k, double rho)
{
    if (rho >= 0.0)
        return fmin(1.0, both_above_positive((struct corner){h, k}, rho));
    /* P(X > h, Y > k) = P(X > h) - P(X > h, -Y > -k), and X and -Y go together. */
    return fmax(0.0, pnorm(h, 0.0, 1.0, 0, 0) - both_above_positive((struct corner){h, -k}, -rho));
}

/* ---- t margins ---- */

/* The normal score that has the same chance above it as a has under a scaled t. */
static double score_of(double a, double location, double scale, double df)
{
    const double t = (a - location) / scale;
    if (isinf(t))
        return t > 0.0 ? Z_FAR : -Z_FAR;
    const double log_tail = isinf(df) ? pnorm(fabs(t), 0.0, 1.0, 0, 1) : pt(fabs(t), df, 0, 1);
    const double z = fmin(Z_FAR, qnorm(log_tail, 0.0, 1.0, 0, 1));
    return t < 0.0 ? -z : z;
}

static bool is_scale(double scale, double df)
{
    return isfinite(scale) && scale > 0.0 && df > 0.0;
}

double worth_chance_either(double a, double location_a, double scale_a, double df_a, double b,
                           double location_b, double scale_b, double df_b, double rho)
{
    if (isnan(a) || isnan(b) || !isfinite(location_a) || !isfinite(location_b) ||
        !(rho > -1.0 && rho < 1.0) || !is_scale(scale_a, df_a) || !is_scale(scale_b, df_b))
        return 0.5;
    const double z_a = score_of(a, location_a, scale_a, df_a), z_b = score_of(b, location_b, scale_b, df_b);
    const double above_a = pnorm(z_a, 0.0, 1.0, 0, 0), above_b = pnorm(z_b, 0.0, 1.0, 0, 0);
    return fmin(1.0, fmax(0.0, above_a + above_b - stats_both_above(z_a, z_b, rho)));
}

/* ---- the least sure boundary ---- */

/* From where on a value alone brings this band or a higher one. */
static int32_t bound_at(const struct category_scheme *c, int band, enum side side)
{
    for (; band < c->band_count; band++) {
        const struct category_band *b = &c->bands[band];
        const int32_t from = side == SIDE_SYSTOLIC ? b->systolic_from_mmhg : b->diastolic_from_mmhg;
        if (from != CATEGORY_NO_BOUND)
            return from;
    }
    return CATEGORY_NO_BOUND;
}

static double bound_or_never(int32_t from)
{
    return from == CATEGORY_NO_BOUND ? (double)INFINITY : (double)from;
}

/* Only the arm's height moves both values by one and the same amount. */
static double correlation(const struct worth *w)
{
    const struct worth_budget *s = &w->side[SIDE_SYSTOLIC], *d = &w->side[SIDE_DIASTOLIC];
    const double rho =
        s->row[WORTH_HEIGHT].contribution * d->row[WORTH_HEIGHT].contribution / (s->combined * d->combined);
    return fmin(rho, 0.999999);
}

void stats_edge(const struct protocol *p, struct worth *w)
{
    const struct category_scheme *c = &p->schemes[0];
    const struct worth_budget *s = &w->side[SIDE_SYSTOLIC], *d = &w->side[SIDE_DIASTOLIC];
    if (p->scheme_count < 1 || !is_scale(s->combined, s->df) || !is_scale(d->combined, d->df))
        return;
    for (int band = 1; band < c->band_count; band++) {
        struct worth_edge e = {.is_known = true,
                               .band = band,
                               .systolic_from_mmhg = bound_at(c, band, SIDE_SYSTOLIC),
                               .diastolic_from_mmhg = bound_at(c, band, SIDE_DIASTOLIC)};
        const double a = bound_or_never(e.systolic_from_mmhg), b = bound_or_never(e.diastolic_from_mmhg);
        e.chance[SIDE_SYSTOLIC] = stats_t_above((a - s->value - s->shift) / s->combined, s->df);
        e.chance[SIDE_DIASTOLIC] = stats_t_above((b - d->value - d->shift) / d->combined, d->df);
        e.chance_either = worth_chance_either(a, s->value + s->shift, s->combined, s->df, b,
                                              d->value + d->shift, d->combined, d->df, correlation(w));
        if (!w->edge.is_known || fabs(e.chance_either - 0.5) < fabs(w->edge.chance_either - 0.5))
            w->edge = e;
    }
}
