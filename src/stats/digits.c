/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Which end digits somebody writes down: five even ones should come alike often. */
#define MATHLIB_STANDALONE
#include <Rmath.h>

#include "stats/agree.h"

#define EVEN_DIGITS 5

static int64_t even_values(const int64_t even[EVEN_DIGITS])
{
    int64_t n = 0;
    for (int i = 0; i < EVEN_DIGITS; i++)
        n += even[i];
    return n;
}

bool digit_chi_square(const int64_t even[EVEN_DIGITS], double *chi, double *p)
{
    const int64_t n = even_values(even);
    if (n <= 0)
        return false;
    agree_wide squares = 0; /* the sum of (seen - n/5)^2 / (n/5) is (5 sum of seen^2 - n^2) / n */
    for (int i = 0; i < EVEN_DIGITS; i++)
        squares += (agree_wide)even[i] * even[i];
    *chi = (double)(EVEN_DIGITS * squares - (agree_wide)n * n) / (double)n;
    *p = pchisq(*chi, EVEN_DIGITS - 1.0, 0, 0);
    return true;
}

void stats_digits(const struct digit_tally *t, struct figure side[SIDE_FIGURE_COUNT])
{
    const int64_t n = even_values(t->even), whole = n + t->odd;
    double chi = 0.0, p = 0.0;
    if (n >= DIGITS_EVEN_MIN && digit_chi_square(t->even, &chi, &p)) {
        side[FIGURE_DIGIT_CHI] = stats_plain(chi);
        side[FIGURE_DIGIT_P] = stats_plain(p);
    } else {
        side[FIGURE_DIGIT_CHI] = side[FIGURE_DIGIT_P] = stats_lack(LACK_DIGITS, DIGITS_EVEN_MIN);
    }
    if (n > 0) { /* the binomial chance is exact for any number of values */
        side[FIGURE_ZERO] = stats_share(t->even[0], n);
        side[FIGURE_ZERO_P] =
            stats_plain(pbinom((double)t->even[0] - 1.0, (double)n, 1.0 / EVEN_DIGITS, 0, 0));
    } else {
        side[FIGURE_ZERO] = side[FIGURE_ZERO_P] = stats_lack(LACK_DIGITS, 1);
    }
    side[FIGURE_ODD] = whole > 0 ? stats_share(t->odd, whole) : stats_lack(LACK_DIGITS, 1); /* pairs there may be */
}
