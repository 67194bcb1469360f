/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Cohen's kappa, plain and weighted (1960, 1968), with the large-sample variance of Fleiss, Cohen and Everitt
 * (1969). */
#define MATHLIB_STANDALONE
#include <Rmath.h>
#include <math.h>

#include "stats/agree.h"

#define ROUNDED_OFF 1e-20 /* what rounding leaves of no variance at all; one pair that differs of ten million is 1e-7 */

/* A table as shares of its count. */
struct shares {
    int k;
    double n;
    double cell[CATEGORY_BANDS_MAX][CATEGORY_BANDS_MAX], row[CATEGORY_BANDS_MAX], column[CATEGORY_BANDS_MAX];
    double weight[CATEGORY_BANDS_MAX][CATEGORY_BANDS_MAX];
};

static double weight_plain(int i, int j, int k)
{
    (void)k;
    return i == j ? 0.0 : 1.0;
}

static double weight_linear(int i, int j, int k)
{
    return fabs((double)(i - j)) / (k - 1.0);
}

static double weight_quadratic(int i, int j, int k)
{
    const double step = weight_linear(i, j, k);
    return step * step;
}

/* How many rows, or columns, hold anything. */
static int filled_lines(const int64_t *counts, int k, int across, int along)
{
    int filled = 0;
    for (int i = 0; i < k; i++) {
        bool is_filled = false;
        for (int j = 0; j < k; j++)
            is_filled = is_filled || counts[i * across + j * along] > 0;
        filled += is_filled;
    }
    return filled;
}

static int64_t count_all(const int64_t *counts, int k, int stride)
{
    int64_t n = 0;
    for (int i = 0; i < k; i++) {
        for (int j = 0; j < k; j++)
            n += counts[i * stride + j];
    }
    return n;
}

static void fill_shares(const int64_t *counts, int stride, kappa_weight_fn weight, struct shares *t)
{
    for (int i = 0; i < t->k; i++) {
        for (int j = 0; j < t->k; j++) {
            t->cell[i][j] = (double)counts[i * stride + j] / t->n;
            t->weight[i][j] = weight(i, j, t->k);
            t->row[i] += t->cell[i][j];
            t->column[j] += t->cell[i][j];
        }
    }
}

/* The variance of 1969 in disagreement: that of (mean weight of row i + of column j) seen - weight expected,
 * over the cells, by n expected^4. About its mean, so that it can't come out below 0. */
static double variance_of(const struct shares *t, double seen, double expected)
{
    double of_row[CATEGORY_BANDS_MAX] = {0}, of_column[CATEGORY_BANDS_MAX] = {0};
    for (int i = 0; i < t->k; i++) {
        for (int j = 0; j < t->k; j++) {
            of_row[i] += t->column[j] * t->weight[i][j];
            of_column[j] += t->row[i] * t->weight[i][j];
        }
    }
    double sum = 0.0;
    for (int i = 0; i < t->k; i++) {
        for (int j = 0; j < t->k; j++) {
            const double about = (of_row[i] + of_column[j] - expected) * seen - t->weight[i][j] * expected;
            sum += t->cell[i][j] * about * about;
        }
    }
    return sum / (t->n * expected * expected * expected * expected);
}

struct figure kappa_of(const int64_t *counts, int k, int stride, kappa_weight_fn weight)
{
    if (k < 2 || k > CATEGORY_BANDS_MAX)
        return stats_lack(LACK_CATEGORIES, 0);
    const int64_t n = count_all(counts, k, stride);
    if (n < 2)
        return stats_lack(LACK_PAIRS, 2);
    const int rows = filled_lines(counts, k, stride, 1), columns = filled_lines(counts, k, 1, stride);
    if (rows == 1 && columns == 1)
        return stats_lack(LACK_CATEGORIES, 0);

    struct shares t = {.k = k, .n = (double)n};
    fill_shares(counts, stride, weight ? weight : weight_plain, &t);
    double seen = 0.0, expected = 0.0;
    for (int i = 0; i < k; i++) {
        for (int j = 0; j < k; j++) {
            seen += t.cell[i][j] * t.weight[i][j];
            expected += t.row[i] * t.column[j] * t.weight[i][j];
        }
    }
    if (!(expected > 0.0) || !isfinite(seen / expected))
        return stats_lack(LACK_CATEGORIES, 0);
    if (rows == 1 || columns == 1) /* then seen is expected, whatever the other says */
        return (struct figure){.limits_lack = LACK_CATEGORIES, .value = 0.0};
    struct figure f = {.value = 1.0 - seen / expected};
    if (!(seen > 0.0)) {
        f.limits_lack = LACK_SCATTER;
        return f;
    }
    const double variance = variance_of(&t, seen, expected);
    if (!(variance * t.n > ROUNDED_OFF)) { /* as where each takes the other's place */
        f.limits_lack = LACK_SCATTER;
        return f;
    }
    const double half = qnorm((1.0 - AGREE_COVERAGE) / 2.0, 0.0, 1.0, 0, 0) * sqrt(variance);
    f.low = fmax(f.value - half, fmin(f.value, -1.0));
    f.high = fmin(f.value + half, 1.0);
    return f;
}

void stats_kappas(const struct agree_tally *t, struct figure joint[JOINT_FIGURE_COUNT])
{
    static const kappa_weight_fn WEIGHTS[] = {weight_plain, weight_linear, weight_quadratic};
    for (int i = 0; i < 3; i++)
        joint[FIGURE_KAPPA + i] =
            kappa_of(&t->category[0][0], t->category_count, CATEGORY_BANDS_MAX, WEIGHTS[i]);
}
