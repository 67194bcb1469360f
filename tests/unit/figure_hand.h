/* SPDX-License-Identifier: GPL-3.0-or-later */
/** @file figure_hand.h  Pairs made by hand, and what every figure must be. */
#ifndef STILLARM_FIGURE_HAND_H
#define STILLARM_FIGURE_HAND_H

#include <check.h>
#include <math.h>

#include "stillarm/agreement.h"

#define NEAR(got, want) ck_assert_double_eq_tol(got, want, 1e-10 * fmax(1.0, fabs(want)))

/* Whole mmHg. */
static inline struct pair_sums sums_of(const int *a, const int *b, int n)
{
    struct pair_sums s = {0};
    for (int i = 0; i < n; i++)
        pair_sums_add(&s, (int64_t)a[i] * AGREE_UNIT, (int64_t)b[i] * AGREE_UNIT);
    return s;
}

static inline void figure_is(const struct figure *f, double value, double low, double high)
{
    ck_assert_int_eq(f->lack, LACK_NONE);
    ck_assert_int_eq(f->limits_lack, LACK_NONE);
    NEAR(f->value, value);
    NEAR(f->low, low);
    NEAR(f->high, high);
}

static inline void figure_is_without_limits(const struct figure *f, double value, enum lack why)
{
    ck_assert_int_eq(f->lack, LACK_NONE);
    ck_assert_int_eq(f->limits_lack, why);
    NEAR(f->value, value);
}

/* Words stand for what is lacking, and what is not lacking is a number in its order. */
static inline void figure_is_sound(const struct figure *f)
{
    ck_assert_int_ge(f->lack, 0);
    ck_assert_int_lt(f->lack, LACK_COUNT);
    ck_assert_int_ge(f->limits_lack, 0);
    ck_assert_int_lt(f->limits_lack, LACK_COUNT);
    if (f->lack != LACK_NONE) {
        ck_assert_ptr_nonnull(LACK_WORDS[f->lack]);
        ck_assert_str_ne(LACK_WORDS[f->lack], "");
        ck_assert_int_eq(f->need > 0, f->lack == LACK_PAIRS || f->lack == LACK_DIGITS);
        return;
    }
    ck_assert(isfinite(f->value));
    if (f->limits_lack != LACK_NONE) {
        ck_assert_ptr_nonnull(LACK_WORDS[f->limits_lack]);
        ck_assert_str_ne(LACK_WORDS[f->limits_lack], "");
        ck_assert_int_eq(f->need > 0, f->limits_lack == LACK_PAIRS);
        return;
    }
    ck_assert(isfinite(f->low));
    ck_assert(isfinite(f->high));
    ck_assert_double_le(f->low, f->high);
}

#endif
