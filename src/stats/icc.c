/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The six intraclass correlations of Shrout and Fleiss (1979) with their limits, from mean squares. */
#define MATHLIB_STANDALONE
#include <Rmath.h>
#include <math.h>

#include "stats/agree.h"
#include "stats/products.h"

#define FORMS 6
#define JUDGES_MAX 8
#define TAIL ((1.0 - AGREE_COVERAGE) / 2.0)
/* Below so few degrees of freedom the quantile of F leaves what a double holds, and libRmath prints a
 * warning. */
#define DF_LEAST 0.05

enum form { ONE_1, TWO_1, THREE_1, ONE_K, TWO_K, THREE_K };

/* A ratio beyond what a double holds has no ground either. */
static struct figure without_limits(double value, enum lack why)
{
    return isfinite(value) ? (struct figure){.limits_lack = why, .value = value}
                           : stats_lack(LACK_BETWEEN, 0);
}

static struct figure with_limits(double value, double low, double high)
{
    struct figure f = without_limits(value, isfinite(low) && isfinite(high) ? LACK_NONE : LACK_BETWEEN);
    if (f.lack == LACK_NONE && f.limits_lack == LACK_NONE) {
        f.low = low;
        f.high = high;
    }
    return f;
}

/* Single and mean form of models one and three: both rest on one ratio, of the mean square between to
 * `within`. */
static void forms_of_ratio(const struct icc_squares *q, double within, double df_within,
                           struct figure *single, struct figure *mean)
{
    const double more = q->k - 1.0, df = (double)q->n - 1.0, over = q->between - within;
    if (q->between <= 0.0) {
        *single = without_limits(-1.0 / more, LACK_BETWEEN);
        *mean = stats_lack(LACK_BETWEEN, 0);
        return;
    }
    const double value = over / (q->between + more * within), of_mean = over / q->between;
    if (within <= 0.0) {
        *single = without_limits(value, LACK_SPREAD);
        *mean = without_limits(of_mean, LACK_SPREAD);
        return;
    }
    const double ratio = q->between / within;
    const double low = ratio / qf(TAIL, df, df_within, 0, 0), high = ratio * qf(TAIL, df_within, df, 0, 0);
    *single = with_limits(value, (low - 1.0) / (low + more), (high - 1.0) / (high + more));
    *mean = with_limits(of_mean, 1.0 - 1.0 / low, 1.0 - 1.0 / high);
}

/* Degrees of freedom after Satterthwaite, as Shrout and Fleiss give them; times residual^2 above and below,
 * which leaves the value as it is and divides by nothing when the residual is small. */
static double df_of_two(const struct icc_squares *q, double icc)
{
    const double n = (double)q->n, k = q->k;
    const double judges = k * icc * q->judges, rest = q->residual * (n * (1.0 + (k - 1.0) * icc) - k * icc);
    return (k - 1.0) * (n - 1.0) * (judges + rest) * (judges + rest) /
           ((n - 1.0) * judges * judges + rest * rest);
}

/* Limits of model two, single; false where there are none. */
static bool limits_of_two(const struct icc_squares *q, double icc, double *low, double *high)
{
    const double n = (double)q->n, k = q->k, df = df_of_two(q, icc);
    if (!(df >= DF_LEAST))
        return false;
    const double other = k * q->judges + (k * n - k - n) * q->residual;
    const double f_low = qf(TAIL, n - 1.0, df, 0, 0), f_high = qf(TAIL, df, n - 1.0, 0, 0);
    *low = n * (q->between - f_low * q->residual) / (f_low * other + n * q->between);
    *high = n * (f_high * q->between - q->residual) / (other + n * f_high * q->between);
    return isfinite(*low) && isfinite(*high);
}

/* The mean form divides by `between + (judges - residual) / n`, an estimate that noise can take to nought and
 * below; past that the ratio would come out above one. */
static void forms_of_two(const struct icc_squares *q, struct figure *single, struct figure *mean)
{
    const double n = (double)q->n, k = q->k, over = q->between - q->residual;
    const double divisor = q->between + (k - 1.0) * q->residual + k * (q->judges - q->residual) / n;
    const double of_mean = q->between + (q->judges - q->residual) / n;
    if (!(divisor > 0.0)) {
        *single = *mean = stats_lack(LACK_BETWEEN, 0);
        return;
    }
    const double icc = over / divisor;
    double low = 0.0, high = 0.0;
    enum lack lack = LACK_NONE;
    if (q->residual <= 0.0)
        lack = LACK_SPREAD;
    else if (q->between <= 0.0 || !limits_of_two(q, icc, &low, &high))
        lack = LACK_BETWEEN;
    *single = lack == LACK_NONE ? with_limits(icc, low, high) : without_limits(icc, lack);

    if (!(of_mean > 0.0)) {
        *mean = stats_lack(LACK_BETWEEN, 0);
        return;
    }
    const double shrink_low = 1.0 + low * (k - 1.0), shrink_high = 1.0 + high * (k - 1.0);
    if (lack == LACK_NONE && (!(shrink_low > 0.0) || !(shrink_high > 0.0)))
        lack = LACK_BETWEEN;
    *mean = lack == LACK_NONE ? with_limits(over / of_mean, low * k / shrink_low, high * k / shrink_high)
                              : without_limits(over / of_mean, lack);
}

static void all_lack(struct figure out[FORMS], enum lack lack, int64_t need)
{
    for (int i = 0; i < FORMS; i++)
        out[i] = stats_lack(lack, need);
}

void icc_of(const struct icc_squares *q, struct figure out[FORMS])
{
    if (q->n < 2 || q->k < 2) {
        all_lack(out, LACK_PAIRS, 2);
        return;
    }
    if (q->between <= 0.0 && q->residual <= 0.0) { /* every judge gives everybody the same */
        all_lack(out, LACK_RANGE, 0);
        return;
    }
    const double n = (double)q->n, more = q->k - 1.0;
    forms_of_ratio(q, q->within, n * more, &out[ONE_1], &out[ONE_K]);
    forms_of_ratio(q, q->residual, (n - 1.0) * more, &out[THREE_1], &out[THREE_K]);
    forms_of_two(q, &out[TWO_1], &out[TWO_K]);
}

/* No sum of the table passes the square of this. */
#define TABLE_SPAN_MAX INT64_C(0x7fffffffffffffff)

/* Values about the first of them, which changes no mean square: false when their sums could leave 128 bits.
 */
static bool is_in_range(const int64_t *value, int64_t cells)
{
    const int64_t most = TABLE_SPAN_MAX / cells;
    for (int64_t i = 0; i < cells; i++) {
        const agree_wide off = (agree_wide)value[i] - value[0];
        if (off > most || off < -most)
            return false;
    }
    return true;
}

bool icc_squares_of(const int64_t *value, int64_t n, int32_t k, struct icc_squares *out)
{
    if (n < 2 || k < 2 || k > JUDGES_MAX || n > TABLE_SPAN_MAX / k || !is_in_range(value, n * k))
        return false;
    agree_wide all = 0, squares = 0, rows = 0, columns = 0, column[JUDGES_MAX] = {0};
    for (int64_t i = 0; i < n; i++) {
        agree_wide row = 0;
        for (int32_t j = 0; j < k; j++) {
            const agree_wide x = (agree_wide)value[i * k + j] - value[0];
            row += x;
            column[j] += x;
            squares += x * x;
        }
        all += row;
        rows += row * row;
    }
    for (int32_t j = 0; j < k; j++)
        columns += column[j] * column[j];

    /* n k times the sums of squares */
    const agree_wide total = all * all, wide_n = n, wide_k = k;
    const agree_wide between = wide_n * rows - total, judges = wide_k * columns - total;
    const agree_wide within = wide_n * (wide_k * squares - rows), residual = within - judges;
    const double unit = 1.0 / ((double)n * k * AGREE_UNIT * AGREE_UNIT), df = (double)n - 1.0, more = k - 1.0;
    *out = (struct icc_squares){.n = n,
                                .k = k,
                                .between = (double)between * unit / df,
                                .within = (double)within * unit / ((double)n * more),
                                .judges = (double)judges * unit / more,
                                .residual = (double)residual * unit / (df * more)};
    return true;
}

void stats_icc(const struct pair_sums *s, struct figure out[FORMS])
{
    if (s->n < 2) {
        all_lack(out, LACK_PAIRS, 2);
        return;
    }
    struct products p;
    stats_products(s, &p);
    const double n = (double)s->n, unit = p.unit / (2.0 * n), df = n - 1.0;
    const double apart = (double)(s->a - s->b) / AGREE_UNIT;
    const double judges = apart * apart / (2.0 * n), residual = (double)p.dd * unit;
    const struct icc_squares q = {.n = s->n,
                                  .k = 2,
                                  .between = (double)p.ss * unit / df,
                                  .within = (residual + judges) / n,
                                  .judges = judges,
                                  .residual = residual / df};
    icc_of(&q, out);
}
