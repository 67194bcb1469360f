/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Lin's concordance (1989, variance as corrected in 2000) and Pearson's correlation, both with limits by the
 * z transform. */
#define MATHLIB_STANDALONE
#include <Rmath.h>
#include <math.h>

#include "stats/agree.h"
#include "stats/products.h"

#define CONCORDANCE_PAIRS 3 /* its variance divides by n - 2 */
#define CORRELATION_PAIRS 4 /* by n - 3 */

/* From z = atanh(value), given as 1 + value and 1 - value: near one the difference would not be exact. */
static void z_limits(double above, double below, double se, struct figure *f)
{
    const double z = 0.5 * log(above / below),
                 half = qnorm((1.0 - AGREE_COVERAGE) / 2.0, 0.0, 1.0, 0, 0) * se;
    f->low = tanh(z - half);
    f->high = tanh(z + half);
}

struct figure stats_concordance(const struct pair_sums *s)
{
    if (s->n < 2)
        return stats_lack(LACK_PAIRS, 2);
    struct products p;
    stats_products(s, &p);
    if (p.aa == 0 && p.bb == 0)
        return stats_lack(LACK_RANGE, 0);

    /* n^2 times variances of divisor n and the squared difference of the means, mmHg^2 */
    const double n = (double)s->n, apart = (double)(s->a - s->b) / AGREE_UNIT, offset = apart * apart;
    const double var_a = (double)p.aa * p.unit, var_b = (double)p.bb * p.unit;
    const double whole = var_a + var_b + offset;
    struct figure f = {.value = 2.0 * (double)p.ab * p.unit / whole};
    if (s->n < CONCORDANCE_PAIRS) {
        f.limits_lack = LACK_PAIRS;
        f.need = CONCORDANCE_PAIRS;
        return f;
    }
    if (p.aa == 0 || p.bb == 0) {
        f.limits_lack = LACK_RANGE;
        return f;
    }
    const double below = ((double)p.dd * p.unit + offset) / whole,
                 above = ((double)p.ss * p.unit + offset) / whole;
    if (!(below > 0.0) || !(above > 0.0)) {
        f.limits_lack = LACK_SCATTER;
        return f;
    }
    /* Lin's variance with c / r, the bias correction, written as such: it holds where r is 0 too. */
    const double sd_ab = sqrt(var_a) * sqrt(var_b), c = f.value, r = (double)p.ab * p.unit / sd_ab;
    const double correction = 2.0 * sd_ab / whole, shift = offset / sd_ab, left = below * above;
    const double variance = ((1.0 - r * r) * correction * correction / left +
                             2.0 * c * c * correction * below * shift / (left * left) -
                             correction * correction * c * c * shift * shift / (2.0 * left * left)) /
                            (n - 2.0);
    z_limits(above, below, sqrt(fmax(variance, 0.0)), &f);
    return f;
}

struct figure stats_correlation(const struct pair_sums *s)
{
    if (s->n < 2)
        return stats_lack(LACK_PAIRS, 2);
    struct products p;
    stats_products(s, &p);
    if (p.aa == 0 || p.bb == 0)
        return stats_lack(LACK_RANGE, 0);
    const bool is_in_line = products_are_in_line(&p);
    const double r = (double)p.ab / (sqrt((double)p.aa) * sqrt((double)p.bb));
    struct figure f = {.value = is_in_line ? (p.ab > 0 ? 1.0 : -1.0) : fmax(-1.0, fmin(1.0, r))};
    const double above = 1.0 + f.value, below = 1.0 - f.value;
    if (s->n < CORRELATION_PAIRS) {
        f.limits_lack = LACK_PAIRS;
        f.need = CORRELATION_PAIRS;
    } else if (is_in_line || !(above > 0.0) || !(below > 0.0)) {
        f.limits_lack = LACK_SCATTER;
    } else {
        z_limits(above, below, 1.0 / sqrt((double)s->n - 3.0), &f);
    }
    return f;
}
