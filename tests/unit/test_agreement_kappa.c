/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Kappa, plain and weighted: against Cohen's example of 1968 and R, and where there is nothing to say.
 * Weighted limits are those of 1969 written out in R: psych 2.2.9 takes another sum for the mean weights of
 * the rows. */
#include "unit/figure_hand.h"

#include <stdlib.h>

#include "stats/agree.h"

#define SCALE 1000000
#define STEP 1000

static const int64_t COHEN_1968[9] = {88, 14, 18, 10, 40, 10, 2, 6, 12};

static double weight_1968(int i, int j, int k)
{
    static const double WEIGHT[3][3] = {{0, 1, 3}, {1, 0, 6}, {3, 6, 0}};
    ck_assert_int_eq(k, 3);
    return WEIGHT[i][j];
}

static struct agree_tally tally;
static struct figure joint[JOINT_FIGURE_COUNT];

/* The three kappas of a table of k bands. */
static void take(const int64_t *counts, int k)
{
    agree_begin(&tally, &(struct agree_frame){0});
    tally.category_count = k;
    for (int i = 0; i < k; i++) {
        for (int j = 0; j < k; j++)
            tally.category[i][j] = counts[i * k + j];
    }
    stats_kappas(&tally, joint);
}

static void kappas_lack(enum lack lack, int64_t need)
{
    for (int i = FIGURE_KAPPA; i <= FIGURE_KAPPA_QUADRATIC; i++) {
        ck_assert_int_eq(joint[i].lack, lack);
        ck_assert_int_eq(joint[i].need, need);
    }
}

START_TEST(example_of_1968_gives_kappa_and_both_weights)
{
    take(COHEN_1968, 3);
    figure_is(&joint[FIGURE_KAPPA], 0.491525423729, 0.391563702054, 0.591487145404);
    figure_is(&joint[FIGURE_KAPPA_LINEAR], 0.473684210526, 0.366998844943, 0.58036957611);
    figure_is(&joint[FIGURE_KAPPA_QUADRATIC], 0.454545454545, 0.324298631987, 0.584792277104);
}
END_TEST

START_TEST(weights_of_1968_give_what_was_published)
{
    const struct figure f = kappa_of(COHEN_1968, 3, 3, weight_1968);
    ck_assert_double_eq_tol(f.value, 0.348, 5e-4);
    figure_is(&f, 0.347826086957, 0.199840936369, 0.495811237544);
}
END_TEST

START_TEST(four_bands_give_the_values_of_r)
{
    static const int64_t COUNTS[16] = {20, 4, 1, 0, 3, 15, 5, 1, 0, 4, 12, 3, 0, 0, 2, 10};
    take(COUNTS, 4);
    figure_is(&joint[FIGURE_KAPPA], 0.610582010582, 0.476053773125, 0.745110248039);
    figure_is(&joint[FIGURE_KAPPA_LINEAR], 0.734254584108, 0.632113862439, 0.836395305778);
    figure_is(&joint[FIGURE_KAPPA_QUADRATIC], 0.838664812239, 0.759841029294, 0.917488595184);
}
END_TEST

/* Kappa of the table, finely divided, once a cell holds so much more. */
static double moved(int cell, int64_t by)
{
    int64_t more[9];
    for (int i = 0; i < 9; i++)
        more[i] = COHEN_1968[i] * SCALE + (i == cell ? by : 0);
    return kappa_of(more, 3, 3, weight_1968).value;
}

START_TEST(weighted_limits_are_those_of_the_slopes)
{
    double mean = 0.0, square = 0.0, n = 0.0;
    for (int i = 0; i < 9; i++)
        n += (double)COHEN_1968[i];
    for (int i = 0; i < 9; i++) {
        const double share = (double)COHEN_1968[i] / n,
                     slope = (moved(i, STEP) - moved(i, -STEP)) * SCALE / STEP * n / 2.0;
        mean += share * slope;
        square += share * slope * slope;
    }
    const struct figure f = kappa_of(COHEN_1968, 3, 3, weight_1968);
    ck_assert_double_eq_tol(f.value - f.low, 1.959963985 * sqrt((square - mean * mean) / n), 1e-6);
}
END_TEST

START_TEST(limits_end_at_minus_one)
{
    static const int64_t COUNTS[4] = {1, 8, 9, 2};
    take(COUNTS, 2);
    figure_is(&joint[FIGURE_KAPPA], -0.7, -1.0, -0.38858768822);
}
END_TEST

START_TEST(no_scheme_and_no_pairs_are_told_apart)
{
    static const int64_t NONE[9] = {0}, ONE[9] = {0, 0, 0, 0, 1};
    take(NONE, 0);
    kappas_lack(LACK_CATEGORIES, 0);
    take(NONE, 1);
    kappas_lack(LACK_CATEGORIES, 0);
    take(NONE, 3);
    kappas_lack(LACK_PAIRS, 2);
    take(ONE, 3);
    kappas_lack(LACK_PAIRS, 2);
}
END_TEST

START_TEST(one_filled_cell_says_nothing)
{
    for (int cell = 0; cell < 9; cell++) {
        int64_t counts[9] = {0};
        counts[cell] = 12;
        take(counts, 3);
        kappas_lack(LACK_CATEGORIES, 0);
    }
}
END_TEST

START_TEST(one_filled_row_or_column_is_no_better_than_chance)
{
    static const int64_t ROW[9] = {0, 0, 0, 7, 3, 2}, COLUMN[9] = {0, 1, 0, 0, 7, 0, 0, 4, 0};
    take(ROW, 3);
    for (int i = FIGURE_KAPPA; i <= FIGURE_KAPPA_QUADRATIC; i++)
        figure_is_without_limits(&joint[i], 0.0, LACK_CATEGORIES);
    take(COLUMN, 3);
    for (int i = FIGURE_KAPPA; i <= FIGURE_KAPPA_QUADRATIC; i++)
        figure_is_without_limits(&joint[i], 0.0, LACK_CATEGORIES);
}
END_TEST

START_TEST(perfect_agreement_is_one_without_limits)
{
    static const int64_t COUNTS[9] = {4, 0, 0, 0, 9, 0, 0, 0, 3};
    take(COUNTS, 3);
    for (int i = FIGURE_KAPPA; i <= FIGURE_KAPPA_QUADRATIC; i++)
        figure_is_without_limits(&joint[i], 1.0, LACK_SCATTER);
}
END_TEST

START_TEST(the_other_way_round_is_minus_one_without_limits)
{
    static const int64_t TWO[4] = {0, 7, 7, 0}, THREE[9] = {0, 0, 5, 0, 0, 0, 5, 0, 0};
    take(TWO, 2);
    figure_is_without_limits(&joint[FIGURE_KAPPA], -1.0, LACK_SCATTER);
    take(THREE, 3);
    for (int i = FIGURE_KAPPA; i <= FIGURE_KAPPA_QUADRATIC; i++)
        figure_is_without_limits(&joint[i], -1.0, LACK_SCATTER);
}
END_TEST

START_TEST(every_small_table_is_told_in_numbers_or_words)
{
    for (int code = 0; code < 19683; code++) { /* nine cells of 0, 1 or 5 */
        static const int64_t SIZE[3] = {0, 1, 5};
        int64_t counts[9];
        for (int i = 0, rest = code; i < 9; i++, rest /= 3)
            counts[i] = SIZE[rest % 3];
        take(counts, 3);
        for (int i = FIGURE_KAPPA; i <= FIGURE_KAPPA_QUADRATIC; i++) {
            figure_is_sound(&joint[i]);
            if (joint[i].lack == LACK_NONE)
                ck_assert_double_le(fabs(joint[i].value), 1.0 + 1e-12);
        }
    }
}
END_TEST

int main(void)
{
    Suite *s = suite_create("agreement_kappa");
    TCase *values = tcase_create("values"), *lacks = tcase_create("lacks");
    tcase_set_timeout(lacks, 60);
    tcase_add_test(values, example_of_1968_gives_kappa_and_both_weights);
    tcase_add_test(values, weights_of_1968_give_what_was_published);
    tcase_add_test(values, four_bands_give_the_values_of_r);
    tcase_add_test(values, weighted_limits_are_those_of_the_slopes);
    tcase_add_test(values, limits_end_at_minus_one);
    tcase_add_test(lacks, no_scheme_and_no_pairs_are_told_apart);
    tcase_add_test(lacks, one_filled_cell_says_nothing);
    tcase_add_test(lacks, one_filled_row_or_column_is_no_better_than_chance);
    tcase_add_test(lacks, perfect_agreement_is_one_without_limits);
    tcase_add_test(lacks, the_other_way_round_is_minus_one_without_limits);
    tcase_add_test(lacks, every_small_table_is_told_in_numbers_or_words);
    suite_add_tcase(s, values);
    suite_add_tcase(s, lacks);
    SRunner *r = srunner_create(s);
    srunner_run_all(r, CK_NORMAL);
    const int failed = srunner_ntests_failed(r);
    srunner_free(r);
    return failed == 0 ? EXIT_SUCCESS : EXIT_FAILURE;
}
