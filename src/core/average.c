/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "stillarm/average.h"

static struct average sum_of(const int32_t *systolic, const int32_t *diastolic, int from, int n)
{
    struct average a = {.n = n - from};
    for (int i = from; i < n; i++) {
        a.systolic_sum_mmhg += systolic[i];
        a.diastolic_sum_mmhg += diastolic[i];
    }
    return a;
}

/* The reading with the lower systolic as a whole: mixing one's systolic with the other's diastolic was never read. */
static int lower_of(const int32_t *systolic, const int32_t *diastolic, int a, int b)
{
    if (systolic[a] != systolic[b])
        return systolic[a] < systolic[b] ? a : b;
    return diastolic[a] <= diastolic[b] ? a : b;
}

struct average average_of(enum average_of which, const int32_t *systolic_mmhg, const int32_t *diastolic_mmhg, int n)
{
    int from = 0;
    if (which == AVERAGE_LAST_TWO && n > 2)
        from = n - 2;
    if (which == AVERAGE_WITHOUT_FIRST && n > 1)
        from = 1;
    if (which == AVERAGE_LOWER_OF_LAST_TWO && n > 1) {
        from = lower_of(systolic_mmhg, diastolic_mmhg, n - 2, n - 1);
        return sum_of(systolic_mmhg, diastolic_mmhg, from, from + 1);
    }
    return sum_of(systolic_mmhg, diastolic_mmhg, from, n);
}

int32_t average_x100(int32_t sum, int32_t n)
{
    return (2 * 100 * sum + n) / (2 * n);
}

int32_t average_mmhg(int32_t sum, int32_t n)
{
    return (2 * sum + n) / (2 * n);
}
