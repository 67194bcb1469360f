/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Bias, limits of agreement, shares, repeats and standards: against published figures, against sums done
 * another way, and with data that give them nothing to stand on. */
#define MATHLIB_STANDALONE
#include <Rmath.h>
#include <stdio.h>

#include "stats/agree.h"
#include "unit/agree_hand.h"

#define NEAR(got, want, within) ck_assert_double_eq_tol(got, want, within)
#define LENGTH(a) ((int)(sizeof(a) / sizeof((a)[0])))

static struct agree_hand hand;

static void holds(enum side_figure which, double value, double low, double high, double within)
{
    const struct figure *f = &hand.said.side[SIDE_SYSTOLIC].figure[which];
    ck_assert_msg(f->lack == LACK_NONE && f->limits_lack == LACK_NONE, "%s lacks: %s", SIDE_FIGURES[which].id,
                  LACK_WORDS[f->lack != LACK_NONE ? f->lack : f->limits_lack]);
    NEAR(f->value, value, within);
    NEAR(f->low, low, within);
    NEAR(f->high, high, within);
}

static void is_lacking(enum side_figure which, enum lack lack, enum lack limits_lack)
{
    const struct figure *f = &hand.said.side[SIDE_SYSTOLIC].figure[which];
    ck_assert_msg(f->lack == lack && f->limits_lack == limits_lack, "%s: %s / %s", SIDE_FIGURES[which].id,
                  LACK_WORDS[f->lack], LACK_WORDS[f->limits_lack]);
}

/* ---- published figures: Bland and Altman 1986 (peak flow, l/min), and 1999 ---- */

static const int WRIGHT_1[] = {494, 395, 516, 434, 476, 557, 413, 442, 650,
                               433, 417, 656, 267, 478, 178, 423, 427},
                 WRIGHT_2[] = {490, 397, 512, 401, 470, 611, 415, 431, 638,
                               429, 420, 633, 275, 492, 165, 372, 421},
                 MINI_1[] = {512, 430, 520, 428, 500, 600, 364, 380, 658,
                             445, 432, 626, 260, 477, 259, 350, 451},
                 MINI_2[] = {525, 415, 508, 444, 500, 625, 460, 390, 642,
                             432, 420, 605, 227, 467, 268, 370, 443};

START_TEST(one_reading_each_gives_the_figures_of_1986)
{
    agree_hand_begin(&hand, NULL);
    for (int i = 0; i < LENGTH(WRIGHT_1); i++)
        agree_hand_add(&hand, i, WRIGHT_1[i], MINI_1[i]);
    agree_hand_close(&hand);
    const struct figure *f = hand.said.side[SIDE_SYSTOLIC].figure;
    holds(FIGURE_BIAS, -2.1176, -22.05, 17.81, 0.01);
    NEAR(f[FIGURE_SD].value, 38.7651, 5e-5);
    NEAR(f[FIGURE_LOWER].value, -78.097, 2e-3);
    NEAR(f[FIGURE_UPPER].value, 73.862, 2e-3);
    /* Student's t of 16 degrees is 2.1199; root of three in the place of this factor is the paper's own,
     * coarser way. */
    const double half = 2.1199 * 38.7651 * sqrt(1.0 / 17.0 + 1.95996 * 1.95996 / 32.0);
    NEAR(f[FIGURE_LOWER_APPROX].low, f[FIGURE_LOWER].value - half, 2e-3);
    NEAR(f[FIGURE_UPPER_APPROX].high, f[FIGURE_UPPER].value + half, 2e-3);
    is_lacking(FIGURE_REPEAT_MEASURER, LACK_REPEATS, LACK_REPEATS);
    is_lacking(FIGURE_LOWER_LINKED, LACK_REPEATS, LACK_REPEATS);
    ck_assert_int_eq(hand.said.subjects, 17);
}
END_TEST

START_TEST(two_readings_each_give_the_repeatability_of_1986)
{
    agree_hand_begin(&hand, NULL);
    for (int i = 0; i < LENGTH(WRIGHT_1); i++) {
        agree_hand_add(&hand, i, WRIGHT_1[i], MINI_1[i]);
        agree_hand_add(&hand, i, WRIGHT_2[i], MINI_2[i]);
    }
    agree_hand_close(&hand);
    NEAR(hand.said.side[SIDE_SYSTOLIC].figure[FIGURE_REPEAT_MEASURER].value, 15.31, 5e-3);
    NEAR(hand.said.side[SIDE_SYSTOLIC].figure[FIGURE_REPEAT_LISTENER].value, 19.91, 5e-3);
    is_lacking(FIGURE_REPEAT_MEASURER, LACK_NONE, LACK_NONE);
    is_lacking(FIGURE_SD_APART, LACK_NONE, LACK_LIMITS);
}
END_TEST

/* The absolute differences of the first readings of two observers, 1999: 0 (36), 2 (44), 4 (4), 12 (1), signs
 * free. */
START_TEST(two_observers_of_85_people_meet_the_standards)
{
    agree_hand_begin(&hand, NULL);
    for (int i = 0; i < 85; i++)
        agree_hand_add(&hand, i,
                       100 + i +
                           (i < 36   ? 0
                            : i < 80 ? (i % 2 ? 2 : -2)
                            : i < 84 ? 4
                                     : 12),
                       100 + i);
    agree_hand_close(&hand);
    const struct agreement_side *s = &hand.said.side[SIDE_SYSTOLIC];
    NEAR(s->figure[FIGURE_NEAR_5].value, 84.0 / 85.0, 1e-15);
    NEAR(s->figure[FIGURE_NEAR_5].low, 0.9362, 5e-5);
    NEAR(s->figure[FIGURE_NEAR_5].high, 0.9997, 5e-5);
    for (int i = 0; STANDARDS[i].id != NULL; i++)
        ck_assert_int_eq(s->standard[i], YARD_MET);
    ck_assert_int_eq(s->grade, 'A');
    ck_assert_int_eq(s->criterion_1, YARD_MET);
    ck_assert_int_eq(s->criterion_2, YARD_MET);
}
END_TEST

/* ---- limits of the limits, another way ---- */

/* Chance of a non-central t at most t: Simpson's rule over X itself, with the gamma function, in long double.
 */
static double chance_below(double t, double df, double ncp)
{
    const long double n = (long double)df, sd = 1.0L / sqrtl(2.0L * n),
                      far = n > 60.0L ? 14.0L * sd : fmaxl(14.0L * sd, 4.0L);
    const long double log_c = logl(2.0L) + n / 2.0L * logl(n / 2.0L) - lgammal(n / 2.0L);
    const long double from = fmaxl(0.0L, 1.0L - 14.0L * sd), at = (long double)t, less = (long double)ncp;
    const int steps = 1500;
    const long double h = (1.0L + far - from) / steps;
    long double sum = 0.0L;
    for (int i = 0; i <= steps; i++) {
        const long double x = from + h * i, factor = i == 0 || i == steps ? 1.0L : i % 2 ? 4.0L : 2.0L;
        const long double density = x > 0.0L ? expl(log_c + (n - 1.0L) * logl(x) - n * x * x / 2.0L) : 0.0L;
        sum += factor * density * erfcl((less - at * x) / sqrtl(2.0L)) / 2.0L;
    }
    return (double)(sum * h / 3.0L);
}

static const double PAIRS[] = {5, 8, 12, 17, 30, 85, 200, 368, 369, 500, 1000, 10000, 100000, 1000000};

START_TEST(a_quantile_is_where_an_independent_quadrature_has_it)
{
    const double z = qnorm(0.975, 0.0, 1.0, 1, 0), n = PAIRS[_i % LENGTH(PAIRS)];
    const double p = _i < LENGTH(PAIRS) ? 0.025 : 0.975, ncp = z * sqrt(n);
    const double t = stats_noncentral_t(p, n - 1.0, ncp);
    /* In units of the value: the slope turns a chance into a place. */
    const double slope =
        (chance_below(t * 1.00001, n - 1.0, ncp) - chance_below(t * 0.99999, n - 1.0, ncp)) / 0.00002;
    const double off = (chance_below(t, n - 1.0, ncp) - p) / slope;
    printf("n %.0f, p %.3f: %.10f root n, off by %.1e; ", n, p, t / sqrt(n), off);
    if (n < 85.0) /* beyond, it speaks to standard error */
        printf("qnt differs by %.1e", qnt(p, n - 1.0, ncp, 1, 0) / t - 1.0);
    printf("\n");
    NEAR(off, 0.0, 1e-10);
}
END_TEST

START_TEST(a_quantile_of_few_pairs_is_that_of_libRmath)
{
    const double z = qnorm(0.975, 0.0, 1.0, 1, 0);
    for (double n = 2.0; n < 80.0; n += n < 12.0 ? 1.0 : 7.0) {
        for (int i = 0; i < 2; i++) {
            const double p = i == 0 ? 0.025 : 0.975;
            NEAR(stats_noncentral_t(p, n - 1.0, z * sqrt(n)) / qnt(p, n - 1.0, z * sqrt(n), 1, 0), 1.0,
                 1e-10);
        }
    }
}
END_TEST

START_TEST(exact_limits_of_twelve_pairs_use_the_known_quantile)
{
    static const int D[] = {-6, -3, -4, 1, 2, -2, 0, -1, -5, 3, -1, 0};
    agree_hand_begin(&hand, NULL);
    for (int i = 0; i < LENGTH(D); i++)
        agree_hand_add(&hand, i, 120 + 3 * i + D[i], 120 + 3 * i);
    agree_hand_close(&hand);
    const struct figure *f = hand.said.side[SIDE_SYSTOLIC].figure;
    /* 12.2229980972851: the 0.975 quantile for df 11 and ncp 1.96 root 12 (1.96 itself, hence the tolerance).
     */
    NEAR((f[FIGURE_UPPER].high - f[FIGURE_BIAS].value) / f[FIGURE_SD].value * sqrt(12.0), 12.22299809, 5e-4);
    NEAR(f[FIGURE_UPPER].high - f[FIGURE_BIAS].value, f[FIGURE_BIAS].value - f[FIGURE_LOWER].low, 1e-12);
    NEAR(f[FIGURE_UPPER].low - f[FIGURE_BIAS].value, f[FIGURE_BIAS].value - f[FIGURE_LOWER].high, 1e-12);
}
END_TEST

START_TEST(exact_and_approximate_limits_come_together_with_many_pairs)
{
    uint64_t seed = 5;
    agree_hand_begin(&hand, NULL);
    for (int i = 0; i < 20000; i++)
        agree_hand_add(&hand, i % HAND_SUBJECTS, 120 + (int)agree_hand_random(&seed, 9), 124);
    agree_hand_close(&hand);
    const struct figure *f = hand.said.side[SIDE_SYSTOLIC].figure;
    NEAR(f[FIGURE_LOWER].low, f[FIGURE_LOWER_APPROX].low, 1e-3);
    NEAR(f[FIGURE_UPPER].low, f[FIGURE_UPPER_APPROX].low, 1e-3);
    ck_assert(f[FIGURE_LOWER].low < f[FIGURE_LOWER].value && f[FIGURE_LOWER].value < f[FIGURE_LOWER].high);
}
END_TEST

/* ---- shares ---- */

START_TEST(shares_have_the_limits_of_clopper_and_pearson)
{
    static const struct {
        int64_t x, n;
        double low, high;
    } ROWS[] = {{0, 10, 0.0, 0.3085},     {8, 10, 0.4439, 0.9748},  {10, 10, 0.6915, 1.0},
                {18, 20, 0.6830, 0.9877}, {20, 20, 0.8316, 1.0},    {22, 24, 0.7300, 0.9897},
                {24, 24, 0.8575, 1.0},    {45, 50, 0.7819, 0.9667}, {84, 85, 0.9362, 0.9997}};
    const struct figure f = stats_share(ROWS[_i].x, ROWS[_i].n);
    NEAR(f.low, ROWS[_i].low, 5e-5);
    NEAR(f.high, ROWS[_i].high, 5e-5);
}
END_TEST

START_TEST(limits_of_a_share_leave_their_tails_of_the_binomial)
{
    static const int64_t SIZES[] = {1, 2, 29, 85, 1000, 99999, 10000000};
    const double n = (double)SIZES[_i];
    for (int i = 0; i <= 20; i++) {
        const double x = floor(n * i / 20.0);
        double low, high;
        share_limits((int64_t)x, SIZES[_i], 0.95, &low, &high);
        ck_assert(low >= 0.0 && low <= x / n && x / n <= high && high <= 1.0);
        if (x > 0.0)
            NEAR(pbinom(x - 1.0, n, low, 0, 0), 0.025, 1e-8);
        if (x < n)
            NEAR(pbinom(x, n, high, 1, 0), 0.025, 1e-8);
    }
}
END_TEST

START_TEST(no_share_is_guessed_from_nothing)
{
    double low = 0.5, high = 0.5;
    share_limits(0, 0, 0.95, &low, &high);
    ck_assert(!(low > 0.0) && !(high < 1.0));
    ck_assert_int_eq(stats_share(0, 0).lack, LACK_PAIRS);
}
END_TEST

/* ---- repeats ---- */

#define CELLS 9
#define PER_CELL 7

/* The two corrections straight from their definitions, in long double, from the values. */
static void variances(const int size[CELLS], long double v[CELLS][PER_CELL][2], long double *linked,
                      long double *apart)
{
    long double n = 0, n2 = 0, sum = 0, df = 0, ss[3] = {0}, reciprocal = 0, mean[CELLS], mean_sum = 0, b = 0,
                spread = 0;
    for (int i = 0; i < CELLS; i++) {
        long double m[3] = {0};
        for (int j = 0; j < size[i]; j++) {
            m[0] += v[i][j][0] / size[i];
            m[1] += v[i][j][1] / size[i];
            sum += v[i][j][0] - v[i][j][1];
        }
        m[2] = m[0] - m[1];
        for (int j = 0; j < size[i]; j++) {
            ss[0] += powl(v[i][j][0] - m[0], 2);
            ss[1] += powl(v[i][j][1] - m[1], 2);
            ss[2] += powl(v[i][j][0] - v[i][j][1] - m[2], 2);
        }
        n += size[i];
        n2 += (long double)size[i] * size[i];
        df += size[i] - 1;
        reciprocal += 1.0L / size[i] / CELLS;
        mean[i] = m[2];
        mean_sum += m[2] / CELLS;
    }
    for (int i = 0; i < CELLS; i++) {
        b += size[i] * powl(mean[i] - sum / n, 2) / (CELLS - 1);
        spread += powl(mean[i] - mean_sum, 2) / (CELLS - 1);
    }
    *linked = ss[2] / df + fmaxl(0, (b - ss[2] / df) / ((n - n2 / n) / (CELLS - 1)));
    *apart = spread + (1 - reciprocal) * (ss[0] + ss[1]) / df;
}

START_TEST(repeats_widen_the_limits_as_their_definition_says)
{
    static const int SIZE[CELLS] = {1, 3, 2, 7, 1, 4, 3, 6, 2};
    static long double v[CELLS][PER_CELL][2];
    uint64_t seed = (uint64_t)_i + 1;
    long double linked = 0, apart = 0;
    agree_hand_begin(&hand, NULL);
    for (int i = 0; i < CELLS; i++) {
        const int64_t mean = 120000 + agree_hand_random(&seed, 40000),
                      bias = agree_hand_random(&seed, _i < 4 ? 9000 : 1);
        for (int j = 0; j < SIZE[i]; j++) {
            const int64_t a = mean + bias + agree_hand_random(&seed, 9000),
                          b = mean + agree_hand_random(&seed, 9000);
            v[i][j][0] = a / 1000.0L;
            v[i][j][1] = b / 1000.0L;
            agree_hand_exact(&hand, i, a, b, 0);
        }
    }
    const struct figure *f = agree_hand_close(&hand);
    variances(SIZE, v, &linked, &apart);
    NEAR(f[FIGURE_SD_LINKED].value, (double)sqrtl(linked), 1e-11);
    NEAR(f[FIGURE_SD_APART].value, (double)sqrtl(apart), 1e-11);
    NEAR(f[FIGURE_UPPER_LINKED].value, f[FIGURE_BIAS].value + 1.959963984540054 * f[FIGURE_SD_LINKED].value,
         1e-10);
    NEAR(f[FIGURE_UPPER_APART].value - f[FIGURE_LOWER_APART].value,
         2 * 1.959963984540054 * f[FIGURE_SD_APART].value, 1e-10);
}
END_TEST

START_TEST(repeats_without_any_difference_leave_no_crumb)
{
    static const int64_t APART[] = {0, 1000000, 100000000000, 999999000000}; /* thousandths */
    agree_hand_begin(&hand, NULL);
    for (int i = 0; i < 7; i++) {
        for (int j = 0; j < 3; j++) /* a mean of a third and more: not whole in any unit */
            agree_hand_exact(&hand, i, 120000 + 7 * i + j % 2 + 1, 120000 + 7 * i + 1 - APART[_i], 0);
    }
    const struct figure *f = agree_hand_close(&hand);
    NEAR(hand.said.side[SIDE_SYSTOLIC].criterion_2_sd, 0.0, 1e-300);
    NEAR(f[FIGURE_SD_APART].value, f[FIGURE_REPEAT_MEASURER].value * sqrt(2.0 / 3.0), 1e-12);
    is_lacking(FIGURE_REPEAT_LISTENER, LACK_NONE, LACK_SCATTER);
}
END_TEST

START_TEST(one_subject_says_what_it_can)
{
    agree_hand_begin(&hand, NULL);
    agree_hand_add(&hand, 0, 120, 122);
    agree_hand_add(&hand, 0, 124, 122);
    agree_hand_close(&hand);
    is_lacking(FIGURE_SD_LINKED, LACK_SUBJECTS, LACK_SUBJECTS);
    is_lacking(FIGURE_UPPER_APART, LACK_SUBJECTS, LACK_SUBJECTS);
    is_lacking(FIGURE_REPEAT_MEASURER, LACK_NONE, LACK_NONE);
    is_lacking(FIGURE_REPEAT_LISTENER, LACK_NONE, LACK_SCATTER);
}
END_TEST

/* ---- standards ---- */

START_TEST(criterion_2_has_the_limit_that_its_definition_gives)
{
    static const struct {
        double mean, limit;
    } ROWS[] = {{0.0, 6.95}, {0.5, 6.93}, {1.0, 6.87}, {1.9, 6.68}, {2.5, 6.47},
                {3.0, 6.25}, {3.6, 5.91}, {4.0, 5.64}, {4.5, 5.24}, {5.0, 4.81}};
    const double limit = criterion_2_limit_of(ROWS[_i].mean);
    NEAR(limit, ROWS[_i].limit, 5.01e-3);
    NEAR(criterion_2_limit_of(-ROWS[_i].mean), limit, 1e-12);
    NEAR(pnorm(10.0, ROWS[_i].mean, limit, 1, 0) - pnorm(-10.0, ROWS[_i].mean, limit, 1, 0), 0.85, 1e-13);
}
END_TEST

START_TEST(criterion_2_has_no_limit_beyond_what_it_tolerates)
{
    ck_assert(!(criterion_2_limit_of(10.0) > 0.0) && !(criterion_2_limit_of(-1e300) > 0.0));
    ck_assert(!(criterion_2_limit_of((double)NAN) > 0.0));
    ck_assert(criterion_2_limit_of(9.999) > 0.0);
}
END_TEST

/* n pairs of as many people, so many of them off by 7, 12 and 20 mmHg. */
static const struct agreement_side *people(int n, int off_7, int off_12, int off_20)
{
    agree_hand_begin(&hand, NULL);
    for (int i = 0; i < n; i++) {
        const int off = i < off_20 ? 20 : i < off_20 + off_12 ? 12 : i < off_20 + off_12 + off_7 ? 7 : 0;
        agree_hand_add(&hand, i, 120 + (i % 2 ? off : -off), 120);
    }
    agree_hand_close(&hand);
    return &hand.said.side[SIDE_SYSTOLIC];
}

START_TEST(shares_are_met_at_their_very_bound)
{
    ck_assert_int_eq(people(20, 2, 1, 0)->standard[0], YARD_MET); /* 17 and 19 of 20 */
    ck_assert_int_eq(hand.said.side[SIDE_SYSTOLIC].standard[1], YARD_NOT_MET);
    ck_assert_int_eq(people(20, 3, 1, 0)->standard[0], YARD_NOT_MET);
    ck_assert_int_eq(people(20, 1, 1, 0)->standard[1], YARD_MET);
    ck_assert_int_eq(people(20, 0, 2, 0)->standard[1], YARD_NOT_MET);
    ck_assert_int_eq(people(19, 0, 0, 0)->standard[1], YARD_TOO_FEW);
}
END_TEST

START_TEST(grades_ask_for_all_three_shares)
{
    ck_assert_int_eq(people(100, 25, 10, 5)->grade, 'A'); /* 60, 85, 95 */
    ck_assert_int_eq(people(100, 26, 10, 5)->grade, 'B'); /* 59 */
    ck_assert_int_eq(people(100, 0, 16, 0)->grade, 'B');  /* 84 within 10 */
    ck_assert_int_eq(people(100, 0, 0, 6)->grade, 'B');   /* 94 within 15 */
    ck_assert_int_eq(people(100, 25, 20, 15)->grade, 'C');
    ck_assert_int_eq(people(100, 0, 0, 16)->grade, 'D');
    ck_assert_int_eq(people(84, 0, 0, 0)->grade, '-');
}
END_TEST

START_TEST(rules_for_devices_ask_for_85_people)
{
    const struct agreement_side *s = people(84, 0, 0, 0);
    ck_assert_int_eq(s->criterion_1, YARD_TOO_FEW);
    ck_assert_int_eq(s->criterion_2, YARD_TOO_FEW);
    s = people(85, 0, 0, 0);
    ck_assert_int_eq(s->criterion_1, YARD_MET);
    ck_assert_int_eq(s->criterion_2, YARD_MET);
    s = people(100, 0, 0, 18); /* SD 8.5 */
    ck_assert_int_eq(s->criterion_1, YARD_NOT_MET);
    ck_assert_int_eq(s->criterion_2, YARD_NOT_MET);
    NEAR(s->criterion_2_limit, 6.95, 5e-3);
}
END_TEST

/* ---- nothing to stand on ---- */

static void check_figure(const struct figure *f, const struct figure_row *row, int shape)
{
    ck_assert_msg(f->lack < LACK_COUNT && f->limits_lack < LACK_COUNT, "%s, %d", row->id, shape);
    ck_assert_msg(f->lack != LACK_NONE || isfinite(f->value), "%s, %d: %g", row->id, shape, f->value);
    if (f->lack == LACK_NONE && f->limits_lack == LACK_NONE) {
        ck_assert_msg(isfinite(f->low) && isfinite(f->high), "%s, %d: %g to %g", row->id, shape, f->low,
                      f->high);
        ck_assert_msg(f->low <= f->value && f->value <= f->high, "%s, %d: %.17g not in %.17g to %.17g",
                      row->id, shape, f->value, f->low, f->high);
    }
    ck_assert_msg((f->need > 0) == (f->lack == LACK_PAIRS || f->lack == LACK_DIGITS ||
                                    f->limits_lack == LACK_PAIRS || f->limits_lack == LACK_DIGITS),
                  "%s, %d: need %d", row->id, shape, (int)f->need);
}

static void check_all(int shape)
{
    agree_hand_close(&hand);
    for (int side = 0; side < SIDE_COUNT; side++) {
        for (int i = 0; i < SIDE_FIGURE_COUNT; i++)
            check_figure(&hand.said.side[side].figure[i], &SIDE_FIGURES[i], shape);
        ck_assert(isfinite(hand.said.side[side].criterion_2_sd) &&
                  isfinite(hand.said.side[side].criterion_2_limit));
    }
    for (int i = 0; i < JOINT_FIGURE_COUNT; i++)
        check_figure(&hand.said.joint[i], &JOINT_FIGURES[i], shape);
}

/* Values of the two ears by the digits of `shape` in base 5: all ways to choose so few from so few. */
START_TEST(every_figure_of_the_smallest_tables_lacks_or_is_finite)
{
    static const int64_t VALUE[5] = {0, 120000, 120001, AGREE_VALUE_MAX, -AGREE_VALUE_MAX};
    const int pairs = _i / 2, ways = pairs == 0 ? 1 : pairs == 1 ? 25 : 625;
    for (int shape = 0; shape < ways; shape++) {
        agree_hand_begin(&hand, &AGREE_HAND_SCHEME);
        for (int i = 0, rest = shape; i < pairs; i++, rest /= 25)
            agree_hand_exact(&hand, _i % 2 ? 0 : i, VALUE[rest % 5], VALUE[rest / 5 % 5], 0);
        check_all(shape);
    }
}
END_TEST

START_TEST(every_figure_of_a_degenerate_table_lacks_or_is_finite)
{
    static const int64_t SCALE[] = {1, 1000, 30000, AGREE_VALUE_MAX / 4};
    uint64_t seed = 1;
    for (int shape = 0; shape < 300; shape++) {
        const int pairs = 1 + (int)agree_hand_random(&seed, 40),
                  subjects = 1 + (int)agree_hand_random(&seed, 6);
        const int64_t scale = SCALE[agree_hand_random(&seed, 4)], a_kinds = 1 + agree_hand_random(&seed, 3),
                      b_kinds = 1 + agree_hand_random(&seed, 3), tie = agree_hand_random(&seed, 3);
        agree_hand_begin(&hand, agree_hand_random(&seed, 2) ? &AGREE_HAND_SCHEME : NULL);
        for (int i = 0; i < pairs; i++) {
            const int64_t a = 120000 + agree_hand_random(&seed, a_kinds) * scale;
            const int64_t free_b = 120000 + agree_hand_random(&seed, b_kinds) * scale;
            const int64_t b = tie == 0   ? free_b
                              : tie == 1 ? a + scale
                                         : 240000 - a; /* free, in step, against */
            agree_hand_exact(&hand, i % subjects, a, b, 40000);
        }
        check_all(shape);
    }
}
END_TEST

START_TEST(with_no_pair_nothing_is_said)
{
    agree_hand_begin(&hand, &AGREE_HAND_SCHEME);
    check_all(0);
    for (int i = 0; i < SIDE_FIGURE_COUNT; i++)
        ck_assert_msg(hand.said.side[SIDE_DIASTOLIC].figure[i].lack != LACK_NONE, "%s", SIDE_FIGURES[i].id);
    for (int i = 0; i < JOINT_FIGURE_COUNT; i++)
        ck_assert_msg(hand.said.joint[i].lack != LACK_NONE, "%s", JOINT_FIGURES[i].id);
    ck_assert_int_eq(hand.said.side[SIDE_SYSTOLIC].grade, '-');
    ck_assert_int_eq(hand.said.side[SIDE_SYSTOLIC].figure[FIGURE_BIAS].need, 1);
}
END_TEST

START_TEST(equal_differences_have_a_bias_and_no_limits)
{
    agree_hand_begin(&hand, NULL);
    for (int i = 0; i < 30; i++)
        agree_hand_add(&hand, i, 122 + i, 120 + i);
    agree_hand_close(&hand);
    is_lacking(FIGURE_BIAS, LACK_NONE, LACK_SPREAD);
    is_lacking(FIGURE_SD, LACK_NONE, LACK_SPREAD);
    is_lacking(FIGURE_LOWER, LACK_SPREAD, LACK_SPREAD);
    is_lacking(FIGURE_UPPER_APPROX, LACK_SPREAD, LACK_SPREAD);
    NEAR(hand.said.side[SIDE_SYSTOLIC].figure[FIGURE_BIAS].value, 2.0, 1e-15);
}
END_TEST

START_TEST(one_pair_has_a_bias_and_wants_a_second)
{
    agree_hand_begin(&hand, NULL);
    agree_hand_add(&hand, 0, 122, 120);
    agree_hand_close(&hand);
    is_lacking(FIGURE_BIAS, LACK_NONE, LACK_PAIRS);
    is_lacking(FIGURE_SD, LACK_PAIRS, LACK_PAIRS);
    ck_assert_int_eq(hand.said.side[SIDE_SYSTOLIC].figure[FIGURE_LOWER].need, 2);
}
END_TEST

/* ---- what they are called ---- */

static void check_row(const struct figure_row *row)
{
    ck_assert_ptr_nonnull(row->id);
    ck_assert(row->say != NULL && row->unit != NULL && row->source != NULL);
    ck_assert(strspn(row->id, "abcdefghijklmnopqrstuvwxyz0123456789-") == strlen(row->id) &&
              row->id[0] != '\0');
    ck_assert(strlen(row->say) > 0 && strlen(row->say) <= 40);
}

START_TEST(every_figure_lack_and_standard_has_its_words)
{
    for (int i = 0; i < SIDE_FIGURE_COUNT; i++) {
        check_row(&SIDE_FIGURES[i]);
        for (int j = 0; j < i; j++)
            ck_assert_str_ne(SIDE_FIGURES[i].id, SIDE_FIGURES[j].id);
    }
    for (int i = 0; i < JOINT_FIGURE_COUNT; i++) {
        check_row(&JOINT_FIGURES[i]);
        for (int j = 0; j < SIDE_FIGURE_COUNT; j++)
            ck_assert_str_ne(JOINT_FIGURES[i].id, SIDE_FIGURES[j].id);
    }
    for (int i = LACK_NONE + 1; i < LACK_COUNT; i++)
        ck_assert_msg(LACK_WORDS[i] != NULL && LACK_WORDS[i][0] != '\0', "lack %d has no words", i);
    int standards = 0;
    for (; STANDARDS[standards].id != NULL; standards++)
        ck_assert(STANDARDS[standards].n_min > 0 && STANDARDS[standards].source != NULL);
    ck_assert_int_ge(standards, 1);
    ck_assert_int_le(standards, STANDARDS_MAX);
}
END_TEST

int main(void)
{
    Suite *suite = suite_create("agreement limits");
    TCase *t = tcase_create("agreement limits");
    tcase_set_timeout(t, 120);
    tcase_add_test(t, one_reading_each_gives_the_figures_of_1986);
    tcase_add_test(t, two_readings_each_give_the_repeatability_of_1986);
    tcase_add_test(t, two_observers_of_85_people_meet_the_standards);
    tcase_add_loop_test(t, a_quantile_is_where_an_independent_quadrature_has_it, 0, 2 * LENGTH(PAIRS));
    tcase_add_test(t, a_quantile_of_few_pairs_is_that_of_libRmath);
    tcase_add_test(t, exact_limits_of_twelve_pairs_use_the_known_quantile);
    tcase_add_test(t, exact_and_approximate_limits_come_together_with_many_pairs);
    tcase_add_loop_test(t, shares_have_the_limits_of_clopper_and_pearson, 0, 9);
    tcase_add_loop_test(t, limits_of_a_share_leave_their_tails_of_the_binomial, 0, 7);
    tcase_add_test(t, no_share_is_guessed_from_nothing);
    tcase_add_loop_test(t, repeats_widen_the_limits_as_their_definition_says, 0, 8);
    tcase_add_loop_test(t, repeats_without_any_difference_leave_no_crumb, 0, 4);
    tcase_add_test(t, one_subject_says_what_it_can);
    tcase_add_loop_test(t, criterion_2_has_the_limit_that_its_definition_gives, 0, 10);
    tcase_add_test(t, criterion_2_has_no_limit_beyond_what_it_tolerates);
    tcase_add_test(t, shares_are_met_at_their_very_bound);
    tcase_add_test(t, grades_ask_for_all_three_shares);
    tcase_add_test(t, rules_for_devices_ask_for_85_people);
    tcase_add_loop_test(t, every_figure_of_the_smallest_tables_lacks_or_is_finite, 0, 6);
    tcase_add_test(t, every_figure_of_a_degenerate_table_lacks_or_is_finite);
    tcase_add_test(t, with_no_pair_nothing_is_said);
    tcase_add_test(t, equal_differences_have_a_bias_and_no_limits);
    tcase_add_test(t, one_pair_has_a_bias_and_wants_a_second);
    tcase_add_test(t, every_figure_lack_and_standard_has_its_words);
    suite_add_tcase(suite, t);
    SRunner *runner = srunner_create(suite);
    srunner_run_all(runner, CK_NORMAL);
    int failed = srunner_ntests_failed(runner);
    srunner_free(runner);
    return failed == 0 ? EXIT_SUCCESS : EXIT_FAILURE;
}
