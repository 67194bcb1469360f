/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Concordance and correlation: against published values and R, and where there is nothing to say. */
#include "unit/figure_hand.h"

#include <stdlib.h>

#include "stats/agree.h"

#define LEN(a) ((int)(sizeof(a) / sizeof *(a)))

static struct figure concordance, correlation;

static void take(const int *a, const int *b, int n)
{
    const struct pair_sums s = sums_of(a, b, n);
    concordance = stats_concordance(&s);
    correlation = stats_correlation(&s);
}

static const int A[] = {118, 122, 130, 136, 141, 126, 152, 110, 128, 144, 134, 120};
static const int B[] = {120, 121, 134, 134, 146, 128, 150, 114, 126, 150, 136, 118};

START_TEST(twelve_pairs_give_the_values_of_r)
{
    take(A, B, LEN(A));
    figure_is(&concordance, 0.963065744992, 0.880944713901, 0.988876940578);
    figure_is(&correlation, 0.969974730123, 0.89340484999, 0.991781354815);
}
END_TEST

START_TEST(peak_flow_of_1986_gives_its_concordance_and_correlation)
{
    static const int WRIGHT[] = {494, 395, 516, 434, 476, 557, 413, 442, 650,
                                 433, 417, 656, 267, 478, 178, 423, 427};
    static const int MINI[] = {512, 430, 520, 428, 500, 600, 364, 380, 658,
                               445, 432, 626, 260, 477, 259, 350, 451};
    take(WRIGHT, MINI, LEN(WRIGHT));
    ck_assert_double_eq_tol(concordance.value, 0.94274, 5e-6);
    ck_assert_double_eq_tol(correlation.value, 0.9433, 5e-5);
}
END_TEST

START_TEST(discordant_pairs_give_the_values_of_r)
{
    static const int ONE[] = {120, 124, 122, 126, 120, 121}, OTHER[] = {125, 121, 124, 120, 126, 123};
    take(ONE, OTHER, LEN(ONE));
    figure_is(&concordance, -0.848648648649, -0.999005385436, 0.861799412778);
}
END_TEST

START_TEST(uncorrelated_pairs_have_limits_on_both_sides_of_nought)
{
    static const int ONE[] = {120, 120, 124, 124, 122}, OTHER[] = {118, 126, 118, 126, 130};
    take(ONE, OTHER, LEN(ONE));
    ck_assert_double_eq_tol(concordance.value, 0.0, 1e-15);
    ck_assert_int_eq(concordance.limits_lack, LACK_NONE);
    ck_assert_double_lt(concordance.low, 0.0);
    NEAR(concordance.low, -concordance.high);
}
END_TEST

START_TEST(offset_of_all_values_changes_no_digit)
{
    struct pair_sums near = {0}, far = {0};
    for (int i = 0; i < LEN(A); i++) {
        pair_sums_add(&near, (int64_t)A[i] * AGREE_UNIT, (int64_t)B[i] * AGREE_UNIT);
        pair_sums_add(&far, AGREE_VALUE_MAX - (int64_t)A[i] * AGREE_UNIT,
                      AGREE_VALUE_MAX - (int64_t)B[i] * AGREE_UNIT);
    }
    const struct figure one = stats_concordance(&near), other = stats_concordance(&far);
    ck_assert_mem_eq(&one.value, &other.value, sizeof one.value);
    ck_assert_mem_eq(&one.low, &other.low, sizeof one.low);
    ck_assert_mem_eq(&one.high, &other.high, sizeof one.high);
}
END_TEST

/* ---- where there is nothing to say ---- */

START_TEST(fewer_than_two_pairs_say_how_many_it_takes)
{
    for (int n = 0; n < 2; n++) {
        take(A, B, n);
        ck_assert_int_eq(concordance.lack, LACK_PAIRS);
        ck_assert_int_eq(concordance.need, 2);
        ck_assert_int_eq(correlation.lack, LACK_PAIRS);
        ck_assert_int_eq(correlation.need, 2);
    }
}
END_TEST

START_TEST(limits_say_how_many_pairs_they_take)
{
    take(A, B, 2);
    ck_assert_int_eq(concordance.limits_lack, LACK_PAIRS);
    ck_assert_int_eq(concordance.need, 3);
    take(A, B, 3);
    ck_assert_int_eq(concordance.limits_lack, LACK_NONE);
    ck_assert_int_eq(correlation.limits_lack, LACK_PAIRS);
    ck_assert_int_eq(correlation.need, 4);
    take(A, B, 4);
    ck_assert_int_eq(correlation.limits_lack, LACK_NONE);
}
END_TEST

START_TEST(perfect_agreement_is_one_without_limits)
{
    take(A, A, LEN(A));
    figure_is_without_limits(&concordance, 1.0, LACK_SCATTER);
    figure_is_without_limits(&correlation, 1.0, LACK_SCATTER);
}
END_TEST

START_TEST(values_in_line_correlate_by_exactly_one)
{
    int up[LEN(A)], down[LEN(A)];
    for (int i = 0; i < LEN(A); i++) {
        up[i] = 3 * A[i] + 7;
        down[i] = 500 - 2 * A[i];
    }
    take(A, up, LEN(A));
    ck_assert(correlation.value >= 1.0 && correlation.value <= 1.0);
    ck_assert_int_eq(correlation.limits_lack, LACK_SCATTER);
    ck_assert_int_eq(concordance.limits_lack, LACK_NONE);
    take(A, down, LEN(A));
    ck_assert(correlation.value >= -1.0 && correlation.value <= -1.0);
}
END_TEST

START_TEST(values_next_to_a_line_are_not_on_it)
{
    struct pair_sums s = {0};
    for (int64_t i = 0; i < 1000; i++)
        pair_sums_add(&s, i * 1000000000, i * 1000000000 + (i == 500));
    const struct figure f = stats_correlation(&s);
    ck_assert_int_eq(f.lack, LACK_NONE);
    ck_assert_double_le(f.value, 1.0);
    figure_is_sound(&f);
}
END_TEST

START_TEST(constant_listener_leaves_nothing_to_correlate)
{
    static const int LEVEL[LEN(A)] = {126, 126, 126, 126, 126, 126, 126, 126, 126, 126, 126, 126};
    take(A, LEVEL, LEN(A));
    figure_is_without_limits(&concordance, 0.0, LACK_RANGE);
    ck_assert_int_eq(correlation.lack, LACK_RANGE);
    take(LEVEL, LEVEL, LEN(A));
    ck_assert_int_eq(concordance.lack, LACK_RANGE);
    ck_assert_int_eq(correlation.lack, LACK_RANGE);
}
END_TEST

START_TEST(every_small_table_is_told_in_numbers_or_words)
{
    for (int code = 0; code < 6561; code++) { /* four pairs of values 0 to 2 */
        int a[4], b[4];
        for (int i = 0, rest = code; i < 4; i++, rest /= 9) {
            a[i] = rest % 3;
            b[i] = rest / 3 % 3;
        }
        for (int n = 0; n <= 4; n++) {
            take(a, b, n);
            figure_is_sound(&concordance);
            figure_is_sound(&correlation);
            ck_assert_double_le(fabs(concordance.value), 1.0);
            ck_assert_double_le(fabs(correlation.value), 1.0);
        }
    }
}
END_TEST

int main(void)
{
    Suite *s = suite_create("agreement_concordance");
    TCase *values = tcase_create("values"), *lacks = tcase_create("lacks");
    tcase_set_timeout(lacks, 60);
    tcase_add_test(values, twelve_pairs_give_the_values_of_r);
    tcase_add_test(values, peak_flow_of_1986_gives_its_concordance_and_correlation);
    tcase_add_test(values, discordant_pairs_give_the_values_of_r);
    tcase_add_test(values, uncorrelated_pairs_have_limits_on_both_sides_of_nought);
    tcase_add_test(values, offset_of_all_values_changes_no_digit);
    tcase_add_test(lacks, fewer_than_two_pairs_say_how_many_it_takes);
    tcase_add_test(lacks, limits_say_how_many_pairs_they_take);
    tcase_add_test(lacks, perfect_agreement_is_one_without_limits);
    tcase_add_test(lacks, values_in_line_correlate_by_exactly_one);
    tcase_add_test(lacks, values_next_to_a_line_are_not_on_it);
    tcase_add_test(lacks, constant_listener_leaves_nothing_to_correlate);
    tcase_add_test(lacks, every_small_table_is_told_in_numbers_or_words);
    suite_add_tcase(s, values);
    suite_add_tcase(s, lacks);
    SRunner *r = srunner_create(s);
    srunner_run_all(r, CK_NORMAL);
    const int failed = srunner_ntests_failed(r);
    srunner_free(r);
    return failed == 0 ? EXIT_SUCCESS : EXIT_FAILURE;
}
