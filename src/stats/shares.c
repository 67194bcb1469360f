/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Limits of a share after Clopper and Pearson (1934). */
#define MATHLIB_STANDALONE
#include <Rmath.h>

#include "stats/agree.h"

void share_limits(int64_t x, int64_t n, double coverage, double *low, double *high)
{
    *low = 0.0;
    *high = 1.0;
    if (n < 1 || x < 0 || x > n || !(coverage > 0.0 && coverage < 1.0))
        return;
    const double tail = (1.0 - coverage) / 2.0, seen = (double)x, rest = (double)(n - x);
    if (x > 0)
        *low = qbeta(tail, seen, rest + 1.0, 1, 0);
    if (x < n)
        *high = qbeta(tail, seen + 1.0, rest, 0, 0);
}
