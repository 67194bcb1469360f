/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Whether somebody writes down what was there before, or stays clear of a boundary. */
#define MATHLIB_STANDALONE
#include <Rmath.h>

#include "stats/agree.h"

/* Chance of x or more out of n at one half. */
static struct figure half_or_more(int64_t x, int64_t n)
{
    return stats_plain(n > 0 ? pbinom((double)x - 1.0, (double)n, 0.5, 0, 0) : 1.0);
}

static void fill_identical(const struct repeat_tally *r, struct figure side[SIDE_FIGURE_COUNT])
{
    if (r->repeats <= 0) {
        side[FIGURE_IDENTICAL] = side[FIGURE_IDENTICAL_LISTENER] = side[FIGURE_IDENTICAL_P] =
            stats_lack(LACK_REPEATS, 0);
        return;
    }
    side[FIGURE_IDENTICAL] = stats_share(r->same[EAR_MEASURER], r->repeats);
    side[FIGURE_IDENTICAL_LISTENER] = stats_share(r->same[EAR_LISTENER], r->repeats);
    /* Where both ears repeat, the arm may have: only what one ear repeats alone tells them apart. */
    side[FIGURE_IDENTICAL_P] =
        half_or_more(r->only[EAR_MEASURER], r->only[EAR_MEASURER] + r->only[EAR_LISTENER]);
}

void stats_repeats(const struct repeat_tally *r, const struct boundary_tally *b,
                   struct figure side[SIDE_FIGURE_COUNT])
{
    fill_identical(r, side);
    const int64_t below = b->below[EAR_MEASURER], near = below + b->from[EAR_MEASURER];
    if (near <= 0) {
        side[FIGURE_BELOW] = side[FIGURE_BELOW_P] = stats_lack(LACK_NEAR, 0);
        return;
    }
    side[FIGURE_BELOW] = stats_share(below, near);
    /* Boundaries end in zero or five, where digits gather: that pulls up, so only too many below is told. */
    side[FIGURE_BELOW_P] = half_or_more(below, near);
}
