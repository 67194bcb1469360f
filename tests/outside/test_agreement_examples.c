/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Published examples of coefficients, tables of critical values, end digits and running sums, to the digits
 * printed. */
#define MATHLIB_STANDALONE
#include <Rmath.h>
#include <check.h>
#include <math.h>

#include "outside/agree_kit.h"
#include "outside/outside.h"

#define ROWS(table) ((int)(sizeof(table) / sizeof(table)[0]))

static void printed(enum founded how, const char *source, const char *what, double got, double want,
                    int decimals)
{
    outside_near(how, source, what, got, want, 0.5000001 * pow(10, -decimals));
}

/* Where a share of its size is printed. */
static void to_three_figures(const char *source, const char *what, double got, double want)
{
    outside_near(CALCULATED, source, what, got, want, 0.5000001 * pow(10, floor(log10(want)) - 2));
}

/* ---- Shrout and Fleiss 1979 ---- */

#define SHROUT "Shrout and Fleiss 1979, Psychol Bull 86:420"

static struct icc_squares shrout_squares(void)
{
    static const int64_t MARKS[6][4] = {{9, 2, 5, 8}, {6, 1, 3, 2},  {8, 4, 6, 8},
                                        {7, 1, 2, 6}, {10, 5, 6, 9}, {6, 2, 4, 7}};
    int64_t table[6 * 4];
    struct icc_squares q;
    for (int i = 0; i < 6 * 4; i++)
        table[i] = MARKS[i / 4][i % 4] * AGREE_UNIT;
    ck_assert(icc_squares_of(table, 6, 4, &q));
    return q;
}

START_TEST(mean_squares_of_six_targets_and_four_judges)
{
    struct icc_squares q = shrout_squares();
    ck_assert_int_eq(q.n, 6);
    ck_assert_int_eq(q.k, 4);
    printed(FROM_MEMORY, SHROUT, "between targets", q.between, 11.2417, 4);
    printed(FROM_MEMORY, SHROUT, "within", q.within, 6.2639, 4);
    printed(FROM_MEMORY, SHROUT, "between judges", q.judges, 32.4861, 4);
    printed(FROM_MEMORY, SHROUT, "residual", q.residual, 1.0194, 4);
}
END_TEST

START_TEST(six_forms_of_the_intraclass_correlation)
{
    static const double FOUR[6] = {.1657, .2898, .7148, .4428, .6201, .9093},
                        TWO[6] = {.17, .29, .71, .44, .62, .91};
    struct icc_squares q = shrout_squares();
    struct figure icc[6];
    icc_of(&q, icc);
    for (int i = 0; i < 6; i++) {
        ck_assert_int_eq(icc[i].lack, LACK_NONE);
        printed(FROM_MEMORY, SHROUT, "intraclass correlation", icc[i].value, FOUR[i], 4);
        printed(FROM_MEMORY, SHROUT, "intraclass correlation, as published", icc[i].value, TWO[i], 2);
    }
}
END_TEST

/* ---- Cohen 1968 ---- */

#define COHEN "Cohen 1968, Psychol Bull 70:213"

static const int64_t COHEN_COUNTS[9] = {88, 14, 18, 10, 40, 10, 2, 6, 12};

static double cohens_weight(int i, int j, int k)
{
    static const double WEIGHTS[3][3] = {{0, 1, 3}, {1, 0, 6}, {3, 6, 0}};
    (void)k;
    return WEIGHTS[i][j];
}

static double linear_weight(int i, int j, int k)
{
    return fabs((double)(i - j)) / (k - 1);
}

static double quadratic_weight(int i, int j, int k)
{
    return linear_weight(i, j, k) * linear_weight(i, j, k);
}

START_TEST(kappa_of_two_hundred_by_four_weights)
{
    static const struct {
        const char *what;
        kappa_weight_fn weight;
        double want;
    } KAPPAS[] = {{"kappa", NULL, .49153},
                  {"weighted kappa", cohens_weight, .34783},
                  {"kappa, linear weights", linear_weight, .47368},
                  {"kappa, quadratic weights", quadratic_weight, .45455}};
    for (int i = 0; i < ROWS(KAPPAS); i++) {
        struct figure f = kappa_of(COHEN_COUNTS, 3, 3, KAPPAS[i].weight);
        ck_assert_int_eq(f.lack, LACK_NONE);
        printed(FROM_MEMORY, COHEN, KAPPAS[i].what, f.value, KAPPAS[i].want, 5);
    }
}
END_TEST

/* Agreement seen and agreement by chance are not told, so they are put together from the table: po .70, pe
 * .41. */
START_TEST(kappa_is_what_po_and_pe_make_of_it)
{
    struct figure f = kappa_of(COHEN_COUNTS, 3, 3, NULL);
    outside_near(FROM_MEMORY, COHEN, "kappa of .70 and .41", f.value, (.70 - .41) / (1 - .41), 1e-12);
}
END_TEST

START_TEST(kappa_takes_the_part_of_a_table_that_its_stride_says)
{
    int64_t wide[3 * 5] = {0};
    for (int i = 0; i < 9; i++)
        wide[i / 3 * 5 + i % 3] = COHEN_COUNTS[i];
    printed(FROM_MEMORY, COHEN, "kappa", kappa_of(wide, 3, 5, NULL).value, .49153, 5);
}
END_TEST

/* ---- Clopper and Pearson ---- */

#define CLOPPER "exact limits of a share after Clopper and Pearson"

static const struct {
    int x, n;
    double low, high;
} SHARES[] = {
    {0, 10, 0, .3085},      {8, 10, .4439, .9748},  {10, 10, .6915, 1},
    {18, 20, .6830, .9877}, {84, 85, .9362, .9997}, {20, 20, .8316, 1},
    {22, 24, .7300, .9897}, {24, 24, .8575, 1},     {45, 50, .7819, .9667},
};

START_TEST(limits_of_a_share_are_the_tables)
{
    double low, high;
    share_limits(SHARES[_i].x, SHARES[_i].n, AGREE_COVERAGE, &low, &high);
    printed(CALCULATED, CLOPPER, "lower", low, SHARES[_i].low, 4);
    printed(CALCULATED, CLOPPER, "upper", high, SHARES[_i].high, 4);
}
END_TEST

/* An end that cannot lie elsewhere is there, and not a rounding beside it. */
START_TEST(none_and_all_have_their_own_end_as_limit)
{
    double low, high;
    share_limits(0, 10, AGREE_COVERAGE, &low, &high);
    outside(CALCULATED, CLOPPER, low <= 0 && low >= 0, "none of ten begins at %g", low);
    share_limits(10, 10, AGREE_COVERAGE, &low, &high);
    outside(CALCULATED, CLOPPER, high >= 1 && high <= 1, "ten of ten end at %g", high);
}
END_TEST

/* The chance of x or more out of n, added up. */
static double tail_from(int x, int n, double p)
{
    double sum = 0;
    for (int i = x; i <= n; i++)
        sum += exp(lgamma(n + 1) - lgamma(i + 1) - lgamma(n - i + 1) + i * log(p) + (n - i) * log1p(-p));
    return sum;
}

/* What defines them: at the lower limit so many or more have a chance of 2.5 %, at the upper one so few or
 * fewer. */
START_TEST(limits_of_a_share_leave_a_fortieth_on_either_side)
{
    static const int COUNTS[] = {1, 2, 3, 7, 20, 24, 60, 85, 200};
    double low, high;
    for (int i = 0; i < ROWS(COUNTS); i++)
        for (int x = 0; x <= COUNTS[i]; x++) {
            share_limits(x, COUNTS[i], AGREE_COVERAGE, &low, &high);
            if (x > 0)
                outside_near(CALCULATED, CLOPPER, "tail at the lower", tail_from(x, COUNTS[i], low), .025,
                             1e-12);
            if (x < COUNTS[i])
                outside_near(CALCULATED, CLOPPER, "tail at the upper",
                             tail_from(COUNTS[i] - x, COUNTS[i], 1 - high), .025, 1e-12);
        }
}
END_TEST

/* ---- critical values of the library that the figures go by ---- */

#define TABLES "tables of critical values, NIST/SEMATECH"

START_TEST(critical_values_are_those_of_the_tables)
{
    static const struct {
        double p, df, want;
    } CHI[] = {{.95, 1, 3.8415},  {.95, 2, 5.9915},  {.95, 3, 7.8147},   {.95, 4, 9.4877},
               {.95, 9, 16.9190}, {.99, 1, 6.6349},  {.99, 2, 9.2103},   {.99, 3, 11.3449},
               {.99, 4, 13.2767}, {.99, 9, 21.6660}, {.999, 1, 10.8276}, {.999, 4, 18.4668}},
      T[] = {{.975, 4, 2.7764},  {.975, 9, 2.2622},  {.975, 14, 2.1448}, {.975, 16, 2.1199},
             {.975, 19, 2.0930}, {.975, 24, 2.0639}, {.975, 29, 2.0452}, {.975, 49, 2.0096},
             {.975, 84, 1.9886}, {.975, 99, 1.9842}};
    for (int i = 0; i < ROWS(CHI); i++)
        printed(CALCULATED, TABLES, "chi-square", qchisq(CHI[i].p, CHI[i].df, 1, 0), CHI[i].want, 4);
    for (int i = 0; i < ROWS(T); i++)
        printed(CALCULATED, TABLES, "t", qt(T[i].p, T[i].df, 1, 0), T[i].want, 4);
    printed(CALCULATED, TABLES, "z", qnorm(.975, 0, 1, 1, 0), 1.95996, 5);
}
END_TEST

/* ---- end digits ---- */

#define DIGITS "chi-square and binomial of even end digits"

/* Measurer's values with these even end digits, listener's all the same. */
static struct agreement of_digits(const int counts[5])
{
    struct kit_pair pairs[200];
    struct agree_frame f = {.scheme = NULL, .plan = kit_plan()};
    struct agreement out;
    int n = 0;
    for (int d = 0; d < 5; d++)
        for (int i = 0; i < counts[d]; i++) {
            pairs[n] = kit_both_sides(n, 120 + 2 * d, 120);
            n++;
        }
    kit_agreement(pairs, n, &f, &out);
    return out;
}

static double value_of(const struct agreement *a, enum side_figure which)
{
    struct figure f = a->side[SIDE_DIASTOLIC].figure[which];
    ck_assert_msg(f.lack == LACK_NONE, "%s lacks: %s", SIDE_FIGURES[which].id, LACK_WORDS[f.lack]);
    return f.value;
}

static const struct {
    int counts[5];
    double chi, p, zero_p;
} DIGIT_ROWS[] = {
    {{35, 15, 17, 16, 17}, 14.2, .00668, .000336},
    {{24, 18, 20, 19, 19}, 1.1, .8943, .1891},
    {{28, 18, 18, 18, 18}, 4.0, .4060, .0342},
    {{60, 10, 10, 10, 10}, 100, 9.8e-21, 2.5e-18},
};

START_TEST(end_digits_give_the_chi_square_of_the_table)
{
    int64_t even[5];
    double chi, p;
    for (int d = 0; d < 5; d++)
        even[d] = DIGIT_ROWS[_i].counts[d];
    ck_assert(digit_chi_square(even, &chi, &p));
    outside_near(CALCULATED, DIGITS, "chi-square", chi, DIGIT_ROWS[_i].chi, 1e-12);
    if (DIGIT_ROWS[_i].p < 1e-10)
        outside_near(CALCULATED, DIGITS, "its tail", p, DIGIT_ROWS[_i].p, 0.05e-21);
    else
        to_three_figures(DIGITS, "its tail", p, DIGIT_ROWS[_i].p);
}
END_TEST

START_TEST(readings_with_these_end_digits_give_the_same)
{
    struct agreement a = of_digits(DIGIT_ROWS[_i].counts);
    outside_near(CALCULATED, DIGITS, "chi-square", value_of(&a, FIGURE_DIGIT_CHI), DIGIT_ROWS[_i].chi, 1e-12);
    outside_near(CALCULATED, DIGITS, "its tail", value_of(&a, FIGURE_DIGIT_P), DIGIT_ROWS[_i].p,
                 DIGIT_ROWS[_i].p < 1e-10 ? 0.05e-21 : 0.5000001e-4);
    outside_near(CALCULATED, DIGITS, "share of zeros", value_of(&a, FIGURE_ZERO),
                 DIGIT_ROWS[_i].counts[0] / 100.0, 1e-15);
    if (DIGIT_ROWS[_i].zero_p < 1e-10)
        outside_near(CALCULATED, DIGITS, "chance of so many zeros", value_of(&a, FIGURE_ZERO_P),
                     DIGIT_ROWS[_i].zero_p, 0.05e-18);
    else
        to_three_figures(DIGITS, "chance of so many zeros", value_of(&a, FIGURE_ZERO_P),
                         DIGIT_ROWS[_i].zero_p);
}
END_TEST

START_TEST(smallest_number_of_zeros_that_is_too_many)
{
    static const struct {
        int n, zeros;
    } LEAST[] = {{25, 10}, {50, 17}, {100, 29}, {200, 52}};
    for (int i = 0; i < ROWS(LEAST); i++) {
        int zeros = 0;
        double p = 1;
        while (p > .025 && ++zeros <= LEAST[i].n) {
            struct agreement a = of_digits((int[5]){zeros, LEAST[i].n - zeros, 0, 0, 0});
            p = value_of(&a, FIGURE_ZERO_P);
        }
        outside(CALCULATED, DIGITS, zeros == LEAST[i].zeros, "%d zeros of %d, not %d", zeros, LEAST[i].n,
                LEAST[i].zeros);
    }
}
END_TEST

/* Five expected in a cell is the usual floor, so 25 values. */
START_TEST(the_test_of_end_digits_takes_twenty_five_values)
{
    struct agreement few = of_digits((int[5]){6, 6, 4, 4, 4}), enough = of_digits((int[5]){6, 6, 5, 4, 4});
    struct figure lacking = few.side[SIDE_SYSTOLIC].figure[FIGURE_DIGIT_CHI];
    outside(COMMON_PRACTICE, DIGITS, lacking.lack == LACK_DIGITS, "24 values lack nothing");
    outside(COMMON_PRACTICE, DIGITS, lacking.need == 25, "it takes %d", (int)lacking.need);
    outside(COMMON_PRACTICE, DIGITS, enough.side[SIDE_SYSTOLIC].figure[FIGURE_DIGIT_CHI].lack == LACK_NONE,
            "25 are too few");
}
END_TEST

/* ---- criterion 2 of the device rule ---- */

static const double CRITERION_2[] = {
    6.95, 6.95, 6.94, 6.94, 6.94, 6.93, 6.92, 6.91, 6.90, 6.89, 6.87, 6.86, 6.84, 6.82, 6.80, 6.78, 6.76,
    6.73, 6.71, 6.68, 6.65, 6.62, 6.58, 6.55, 6.51, 6.47, 6.43, 6.39, 6.34, 6.30, 6.25, 6.20, 6.14, 6.09,
    6.03, 5.97, 5.91, 5.84, 5.78, 5.71, 5.64, 5.56, 5.49, 5.41, 5.33, 5.24, 5.16, 5.07, 4.99, 4.90, 4.81};

START_TEST(criterion_2_is_the_sd_that_keeps_85_of_100_within_ten)
{
    printed(CALCULATED, "criterion 2 by its definition", "limit", criterion_2_limit_of(_i / 10.0),
            CRITERION_2[_i], 2);
    printed(CALCULATED, "criterion 2 by its definition", "limit", criterion_2_limit_of(-_i / 10.0),
            CRITERION_2[_i], 2);
}
END_TEST

START_TEST(criterion_2_is_about_what_the_standard_prints)
{
    static const struct {
        double mean, limit;
    } PRINTED[] = {{.2, 6.95},  {.3, 6.95},  {.4, 6.93},  {.5, 6.92},  {.6, 6.91},  {.7, 6.90},
                   {.8, 6.89},  {.9, 6.88},  {3.6, 5.89}, {3.7, 5.83}, {3.8, 5.77}, {3.9, 5.70},
                   {4.5, 5.25}, {4.7, 5.08}, {4.8, 5.01}, {5.0, 4.79}};
    for (int i = 0; i < ROWS(PRINTED); i++)
        outside_near(FROM_MEMORY, "table of ISO 81060-2", "limit", criterion_2_limit_of(PRINTED[i].mean),
                     PRINTED[i].limit, .03);
}
END_TEST

/* ---- running sums ---- */

#define CUSUM "CUSUM with two error rates, Williams 1992, as reported"
#define LC_CUSUM "LC-CUSUM, Biau and Porcher 2010, Stat Med 29:1900, as reported"

START_TEST(the_classical_chart_has_these_weights)
{
    double s, low, high;
    cusum_chart(.10, .20, .10, .10, &s, &low, &high);
    printed(CALCULATED, CUSUM, "success", s, .145244, 6);
    printed(CALCULATED, CUSUM, "failure", 1 - s, .854756, 6);
    printed(CALCULATED, CUSUM, "upper line", high, 2.709511, 6);
    printed(CALCULATED, CUSUM, "lower line", low, -2.709511, 6);
    outside(CALCULATED, CUSUM, -18 * s > low && -19 * s <= low,
            "it does not take 19 successes to pass the lower line");
    printed(CALCULATED, CUSUM, "19 successes", -19 * s, -2.759643, 6);
    cusum_chart(.05, .15, .10, .10, &s, &low, &high);
    printed(CALCULATED, CUSUM, "success of 5 and 15 %", s, .091934, 6);
    printed(CALCULATED, CUSUM, "line of 5 and 15 %", high, 1.816131, 6);
}
END_TEST

START_TEST(six_answers_on_the_classical_chart)
{
    double s, low, high;
    cusum_chart(.10, .20, .10, .10, &s, &low, &high);
    printed(CALCULATED, CUSUM, "after one failure", 1 - s, .8548, 4);
    printed(CALCULATED, CUSUM, "and four successes", 1 - s - 4 * s, .2738, 4);
    printed(CALCULATED, CUSUM, "and a failure", 2 * (1 - s) - 4 * s, 1.1285, 4);
}
END_TEST

START_TEST(the_learning_curve_has_these_weights)
{
    struct learning_plan plan = kit_plan();
    struct learning_weights w;
    learning_weights(&plan, &w);
    printed(CALCULATED, LC_CUSUM, "a right answer", w.reach_right, .182322, 6);
    printed(CALCULATED, LC_CUSUM, "a wrong answer", w.reach_wrong, -.916291, 6);
    /* Keeping takes the same ratio the other way round. */
    printed(CALCULATED, LC_CUSUM, "a wrong answer when keeping", w.lose_wrong, .916291, 6);
    printed(CALCULATED, LC_CUSUM, "a right answer when keeping", w.lose_right, -.182322, 6);
}
END_TEST

START_TEST(ten_answers_bring_the_learning_curve_to_its_height)
{
    static const struct {
        char answer;
        double height;
    } STEPS[] = {{'S', .1823}, {'S', .3646}, {'F', 0},     {'S', .1823}, {'S', .3646},
                 {'S', .5470}, {'S', .7293}, {'S', .9116}, {'S', 1.0939}};
    struct learning_plan plan = kit_plan();
    struct learning_state state;
    learning_begin(&state);
    for (int i = 0; i < ROWS(STEPS); i++) {
        learning_take(&state, &plan, STEPS[i].answer == 'S');
        printed(CALCULATED, LC_CUSUM, "height", state.height, STEPS[i].height, 4);
        outside(CALCULATED, LC_CUSUM, state.reached_at == 0, "signalled at answer %d", i + 1);
    }
    learning_take(&state, &plan, true);
    outside(CALCULATED, LC_CUSUM, state.reached_at == 10, "signalled at %d, not at answer 10",
            (int)state.reached_at);
    ck_assert_int_eq(state.answers, 10);
    ck_assert_int_eq(state.wrong, 1);
}
END_TEST

/* The tenth height itself, 1.2763, is seen where the signal lies higher. */
START_TEST(ten_answers_come_to_this_height)
{
    struct learning_plan plan = kit_plan();
    struct learning_state state;
    plan.reach = 2;
    learning_begin(&state);
    for (const char *answer = "SSFSSSSSSS"; *answer != '\0'; answer++)
        learning_take(&state, &plan, *answer == 'S');
    printed(CALCULATED, LC_CUSUM, "height", state.height, 1.2763, 4);
}
END_TEST

START_TEST(so_many_right_answers_from_the_start_suffice)
{
    static const struct {
        double inadequate, reach;
        int answers;
    } RUNS[] = {{.25, 1.25, 7}, {.20, 2.0, 17}};
    for (int i = 0; i < ROWS(RUNS); i++) {
        struct learning_plan plan = kit_plan();
        struct learning_state state;
        plan.inadequate = RUNS[i].inadequate;
        plan.reach = RUNS[i].reach;
        learning_begin(&state);
        for (int k = 0; k < 50; k++)
            learning_take(&state, &plan, true);
        outside(CALCULATED, LC_CUSUM, state.reached_at == RUNS[i].answers, "signalled at %d, not %d",
                (int)state.reached_at, RUNS[i].answers);
    }
}
END_TEST

static const struct {
    double reach, difference, adequate, inadequate;
} CHANCES[] = {{1.25, .10, .9719, .6531}, {2.0, .10, .8014, .2343}, {2.0, .20, .9987, .6229}};

START_TEST(chance_of_a_signal_within_fifty_answers)
{
    struct learning_plan plan = kit_plan();
    struct learning_rates rates;
    plan.reach = CHANCES[_i].reach;
    plan.inadequate = plan.adequate + CHANCES[_i].difference;
    learning_rates(&plan, &rates);
    printed(CALCULATED, LC_CUSUM, "truly adequate", rates.true_reach, CHANCES[_i].adequate, 4);
    printed(CALCULATED, LC_CUSUM, "truly inadequate", rates.false_reach, CHANCES[_i].inadequate, 4);
}
END_TEST

START_TEST(the_same_chance_of_its_steps_alone)
{
    double p0 = .10, p1 = p0 + CHANCES[_i].difference, up = log((1 - p0) / (1 - p1)), down = log(p1 / p0);
    printed(CALCULATED, LC_CUSUM, "truly adequate",
            learning_chance(up, down, CHANCES[_i].reach, 1 - p0, 50, NULL), CHANCES[_i].adequate, 4);
    printed(CALCULATED, LC_CUSUM, "truly inadequate",
            learning_chance(up, down, CHANCES[_i].reach, 1 - p1, 50, NULL), CHANCES[_i].inadequate, 4);
}
END_TEST

int main(void)
{
    Suite *suite = suite_create("agreement, published examples");
    TCase *c = tcase_create("coefficients"), *d = tcase_create("digits"), *l = tcase_create("running sums");
    tcase_add_test(c, mean_squares_of_six_targets_and_four_judges);
    tcase_add_test(c, six_forms_of_the_intraclass_correlation);
    tcase_add_test(c, kappa_of_two_hundred_by_four_weights);
    tcase_add_test(c, kappa_is_what_po_and_pe_make_of_it);
    tcase_add_test(c, kappa_takes_the_part_of_a_table_that_its_stride_says);
    tcase_add_loop_test(c, limits_of_a_share_are_the_tables, 0, ROWS(SHARES));
    tcase_add_test(c, none_and_all_have_their_own_end_as_limit);
    tcase_add_test(c, limits_of_a_share_leave_a_fortieth_on_either_side);
    tcase_add_test(c, critical_values_are_those_of_the_tables);
    tcase_add_loop_test(c, criterion_2_is_the_sd_that_keeps_85_of_100_within_ten, 0, ROWS(CRITERION_2));
    tcase_add_test(c, criterion_2_is_about_what_the_standard_prints);
    tcase_add_loop_test(d, end_digits_give_the_chi_square_of_the_table, 0, ROWS(DIGIT_ROWS));
    tcase_add_loop_test(d, readings_with_these_end_digits_give_the_same, 0, ROWS(DIGIT_ROWS));
    tcase_add_test(d, smallest_number_of_zeros_that_is_too_many);
    tcase_add_test(d, the_test_of_end_digits_takes_twenty_five_values);
    tcase_add_test(l, the_classical_chart_has_these_weights);
    tcase_add_test(l, six_answers_on_the_classical_chart);
    tcase_add_test(l, the_learning_curve_has_these_weights);
    tcase_add_test(l, ten_answers_bring_the_learning_curve_to_its_height);
    tcase_add_test(l, ten_answers_come_to_this_height);
    tcase_add_test(l, so_many_right_answers_from_the_start_suffice);
    tcase_add_loop_test(l, chance_of_a_signal_within_fifty_answers, 0, ROWS(CHANCES));
    tcase_add_loop_test(l, the_same_chance_of_its_steps_alone, 0, ROWS(CHANCES));
    suite_add_tcase(suite, c);
    suite_add_tcase(suite, d);
    suite_add_tcase(suite, l);
    return outside_run(suite);
}
