/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Bias, limits of agreement and SDs of repeats, each with its own limits; figures that lack something. */
#define MATHLIB_STANDALONE
#include <Rmath.h>
#include <math.h>

#include "stats/agree.h"

#define TAIL ((1.0 - AGREE_COVERAGE) / 2.0)

struct figure stats_lack(enum lack lack, int64_t need)
{
    return (struct figure){.lack = lack, .limits_lack = lack, .need = need};
}

struct figure stats_plain(double value)
{
    return (struct figure){.limits_lack = LACK_LIMITS, .value = value};
}

/* Nothing varies: the SD is known to be nothing, and how far that holds is not. */
static struct figure no_spread(enum lack why)
{
    return (struct figure){.limits_lack = why};
}

static struct figure about(double value, double half)
{
    return (struct figure){.value = value, .low = value - half, .high = value + half};
}

/* ---- shares ---- */

struct figure stats_share(int64_t x, int64_t n)
{
    if (n < 1)
        return stats_lack(LACK_PAIRS, 1);
    struct figure f = {.value = (double)x / (double)n};
    share_limits(x, n, AGREE_COVERAGE, &f.low, &f.high);
    return f;
}

/* ---- standard deviations ---- */

static struct figure spread(double square_sum, double df)
{
    const double sd = sqrt(square_sum / df);
    if (square_sum <= 0.0)
        return no_spread(LACK_SCATTER);
    return (struct figure){.value = sd,
                           .low = sqrt(square_sum / qchisq(TAIL, df, 0, 0)),
                           .high = sqrt(square_sum / qchisq(TAIL, df, 1, 0))};
}

/* ---- limits of agreement ---- */

/* Where the limit lies whose place in units of s from the mean is t(p) over root n; way -1: mirrored. */
static struct figure exact_limit(const struct moments *m, double sd, double z, int way, const double from[2])
{
    const double near = from[0] * sd / sqrt(m->n), far = from[1] * sd / sqrt(m->n);
    struct figure f = {.value = m->mean_d + way * z * sd};
    f.low = m->mean_d + (way < 0 ? -far : near);
    f.high = m->mean_d + (way < 0 ? -near : far);
    return f;
}

void stats_limits(const struct moments *m, struct figure side[SIDE_FIGURE_COUNT])
{
    const bool has_two = m->n >= 2.0;
    const double z = qnorm(1.0 - TAIL, 0.0, 1.0, 1, 0), sd = sqrt(m->var_d), df = m->n - 1.0;
    for (int i = FIGURE_BIAS; i <= FIGURE_UPPER_APPROX; i++)
        side[i] = has_two ? stats_lack(LACK_SPREAD, 0) : stats_lack(LACK_PAIRS, 2);
    side[FIGURE_BIAS].need = has_two ? 0 : m->n < 1.0 ? 1 : 2;
    if (m->n >= 1.0) {
        side[FIGURE_BIAS].lack = LACK_NONE;
        side[FIGURE_BIAS].value = m->mean_d;
    }
    if (!has_two)
        return;
    if (m->is_d_constant) {
        side[FIGURE_SD] = no_spread(LACK_SPREAD);
        return;
    }
    const double t = qt(1.0 - TAIL, df, 1, 0);
    const double from[2] = {stats_noncentral_t(TAIL, df, z * sqrt(m->n)),
                            stats_noncentral_t(1.0 - TAIL, df, z * sqrt(m->n))};
    const double approximate = t * sd * sqrt(1.0 / m->n + z * z / (2.0 * df));
    side[FIGURE_BIAS] = about(m->mean_d, t * sd / sqrt(m->n));
    side[FIGURE_SD] = spread(m->var_d * df, df);
    side[FIGURE_LOWER] = exact_limit(m, sd, z, -1, from);
    side[FIGURE_UPPER] = exact_limit(m, sd, z, 1, from);
    side[FIGURE_LOWER_APPROX] = about(m->mean_d - z * sd, approximate);
    side[FIGURE_UPPER_APPROX] = about(m->mean_d + z * sd, approximate);
}

/* ---- repeats ---- */

/* The SD from its variance and the limits about a centre, in three rows that follow each other. None has
 * limits of its own: the paper that they are from gives none for repeats. */
static void tell_limits(double centre, double variance, struct figure row[3])
{
    const double z = qnorm(1.0 - TAIL, 0.0, 1.0, 1, 0), sd = sqrt(variance);
    row[0] = stats_plain(sd);
    for (int i = 1; i <= 2; i++)
        row[i] = sd > 0.0 ? stats_plain(centre + (i == 1 ? -z : z) * sd) : stats_lack(LACK_SPREAD, 0);
}

static double linked_variance(const struct cells *c, const struct moments *m)
{
    const double within = c->within_d / c->df;
    const double between = (m->var_d * (m->n - 1.0) - c->within_d) / (c->cells - 1.0);
    return within + fmax(0.0, between - within) / c->mean_size;
}

static double apart_variance(const struct cells *c)
{
    return c->between_d / (c->cells - 1.0) + (1.0 - c->mean_reciprocal) * (c->within_a + c->within_b) / c->df;
}

void stats_replicates(const struct cells *c, const struct moments *m, struct figure side[SIDE_FIGURE_COUNT])
{
    const bool has_repeats = c->df >= 1.0, has_subjects = c->cells >= 2.0;
    side[FIGURE_REPEAT_MEASURER] = has_repeats ? spread(c->within_a, c->df) : stats_lack(LACK_REPEATS, 0);
    side[FIGURE_REPEAT_LISTENER] = has_repeats ? spread(c->within_b, c->df) : stats_lack(LACK_REPEATS, 0);
    if (has_repeats && has_subjects) {
        /* All differences the same: whatever else the sums leave is rounding. */
        tell_limits(m->mean_d, m->is_d_constant ? 0.0 : linked_variance(c, m), &side[FIGURE_SD_LINKED]);
        tell_limits(c->mean_d, apart_variance(c), &side[FIGURE_SD_APART]);
        return;
    }
    for (int i = FIGURE_SD_LINKED; i <= FIGURE_UPPER_APART; i++)
        side[i] = stats_lack(has_repeats ? LACK_SUBJECTS : LACK_REPEATS, 0);
}
