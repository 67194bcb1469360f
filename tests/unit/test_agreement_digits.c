/* SPDX-License-Identifier: GPL-3.0-or-later */
/* End digits, repeats, boundaries and shares: against published vectors and R, and where there is nothing to
 * say. */
#include "unit/figure_hand.h"

#include <stdlib.h>

#include "stats/agree.h"

static struct figure side[SIDE_FIGURE_COUNT];

static void take(const struct digit_tally *t)
{
    stats_digits(t, side);
}

static void all_sound(int from, int to)
{
    for (int i = from; i <= to; i++)
        figure_is_sound(&side[i]);
}

/* ---- shares ---- */

static const struct share_row {
    int64_t x, n;
    double low, high;
} SHARES[] = {
    {0, 10, 0, 0.308497107819},
    {8, 10, 0.443904537692, 0.974789273673},
    {10, 10, 0.691502892181, 1},
    {18, 20, 0.683017285981, 0.98765147283},
    {20, 20, 0.831566529017, 1},
    {22, 24, 0.730027198442, 0.989743658719},
    {24, 24, 0.857526402277, 1},
    {45, 50, 0.781864633566, 0.966724906411},
    {84, 85, 0.936187121446, 0.99970218779},
    {8123456, 10000000, 0.812103469334, 0.812587549812},
};

START_TEST(share_has_the_limits_of_clopper_and_pearson)
{
    const struct share_row *row = &SHARES[_i];
    double low, high;
    share_limits(row->x, row->n, AGREE_COVERAGE, &low, &high);
    NEAR(low, row->low);
    NEAR(high, row->high);
}
END_TEST

START_TEST(limits_of_a_share_keep_their_coverage)
{
    for (int64_t n = 1; n <= 40; n++) {
        for (int64_t x = 0; x <= n; x++) {
            double low, high, mirrored_low, mirrored_high;
            share_limits(x, n, 0.9, &low, &high);
            share_limits(n - x, n, 0.9, &mirrored_low, &mirrored_high);
            ck_assert_double_le(low, (double)x / (double)n);
            ck_assert_double_ge(high, (double)x / (double)n);
            NEAR(mirrored_low, 1.0 - high);
            NEAR(mirrored_high, 1.0 - low);
        }
    }
}
END_TEST

START_TEST(share_of_nothing_may_be_anything)
{
    static const int64_t BAD[][2] = {{0, 0}, {1, 0}, {-1, 5}, {6, 5}, {0, -1}};
    for (size_t i = 0; i < sizeof BAD / sizeof *BAD; i++) {
        double low, high;
        share_limits(BAD[i][0], BAD[i][1], AGREE_COVERAGE, &low, &high);
        ck_assert(low <= 0.0);
        ck_assert(high >= 1.0);
    }
}
END_TEST

/* ---- digits ---- */

static const struct digit_row {
    struct digit_tally tally;
    double chi, p, zero_p, low, high;
} DIGITS[] = {
    {{{35, 15, 17, 16, 17}, 0, 0}, 14.2, 0.00668334987845, 0.000336087161636, 0.257293778531, 0.451849361824},
    {{{24, 18, 20, 19, 19}, 0, 0}, 1.1, 0.89427220609, 0.189087207714, 0.160224613171, 0.335735489271},
    {{{28, 18, 18, 18, 18}, 0, 0}, 4.0, 0.40600584971, 0.0341516296391, 0.194793627491, 0.378667004717},
    {{{60, 10, 10, 10, 10}, 0, 0},
     100.0,
     9.83662422462e-21,
     2.51581919953e-18,
     0.497209150422,
     0.696705231297},
};

START_TEST(hundred_even_digits_give_the_published_values)
{
    const struct digit_row *row = &DIGITS[_i];
    take(&row->tally);
    figure_is_without_limits(&side[FIGURE_DIGIT_CHI], row->chi, LACK_LIMITS);
    figure_is_without_limits(&side[FIGURE_DIGIT_P], row->p, LACK_LIMITS);
    figure_is_without_limits(&side[FIGURE_ZERO_P], row->zero_p, LACK_LIMITS);
    ck_assert_double_eq_tol(side[FIGURE_DIGIT_P].value / row->p, 1.0, 1e-9);
    ck_assert_double_eq_tol(side[FIGURE_ZERO_P].value / row->zero_p, 1.0, 1e-9);
    figure_is(&side[FIGURE_ZERO], (double)row->tally.even[0] / 100.0, row->low, row->high);
}
END_TEST

START_TEST(observers_of_1999_show_no_digit_preference)
{
    const struct digit_tally t = {{103, 91, 105, 103, 106}, 2, 0};
    take(&t);
    ck_assert_double_eq_tol(side[FIGURE_DIGIT_CHI].value, 1.4488, 5e-5);
    ck_assert_double_eq_tol(side[FIGURE_DIGIT_P].value, 0.8357, 5e-5);
    NEAR(side[FIGURE_ODD].value, 2.0 / 510.0);
}
END_TEST

/* Facts: the smallest number of zeros whose upper tail is .025 or less. */
static const struct {
    int64_t zeros, n;
} FLAGGED[] = {{10, 25}, {17, 50}, {29, 100}, {52, 200}};

START_TEST(zeros_are_flagged_from_the_count_on_that_chance_hardly_reaches)
{
    struct digit_tally t = {{FLAGGED[_i].zeros, FLAGGED[_i].n - FLAGGED[_i].zeros, 0, 0, 0}, 0, 0};
    take(&t);
    ck_assert_double_le(side[FIGURE_ZERO_P].value, 0.025);
    t.even[0]--;
    t.even[1]++;
    take(&t);
    ck_assert_double_gt(side[FIGURE_ZERO_P].value, 0.025);
}
END_TEST

START_TEST(chi_square_needs_twenty_five_even_values)
{
    struct digit_tally t = {{5, 5, 5, 5, 4}, 40, 3};
    take(&t);
    ck_assert_int_eq(side[FIGURE_DIGIT_CHI].lack, LACK_DIGITS);
    ck_assert_int_eq(side[FIGURE_DIGIT_P].lack, LACK_DIGITS);
    ck_assert_int_eq(side[FIGURE_DIGIT_P].need, 25);
    ck_assert_int_eq(side[FIGURE_ZERO].lack, LACK_NONE);
    t.even[4]++;
    take(&t);
    figure_is_without_limits(&side[FIGURE_DIGIT_CHI], 0.0, LACK_LIMITS);
    figure_is_without_limits(&side[FIGURE_DIGIT_P], 1.0, LACK_LIMITS);
}
END_TEST

START_TEST(values_on_no_line_count_as_odd_and_fractions_as_neither)
{
    struct digit_tally t = {0};
    static const int64_t VALUES[] = {120000, 124000, 121000, 119000, 120500, 0};
    for (int i = 0; i < 6; i++)
        digit_tally_add(&t, VALUES[i]);
    take(&t);
    NEAR(side[FIGURE_ZERO].value, 2.0 / 3.0);
    NEAR(side[FIGURE_ODD].value, 2.0 / 5.0);
}
END_TEST

START_TEST(fractions_alone_lack_digits_and_not_pairs)
{
    const struct digit_tally t = {.not_whole = 30};
    take(&t);
    ck_assert_int_eq(side[FIGURE_ODD].lack, LACK_DIGITS);
    ck_assert_int_eq(side[FIGURE_ODD].need, 1);
}
END_TEST

START_TEST(any_digits_are_told_in_numbers_or_words)
{
    static const int64_t SIZE[] = {0, 1, 24, 25, 10000000};
    for (int code = 0; code < 3125 * 5; code++) {
        struct digit_tally t = {{0}, SIZE[code / 3125], 7};
        for (int i = 0, rest = code % 3125; i < 5; i++, rest /= 5)
            t.even[i] = SIZE[rest % 5];
        take(&t);
        all_sound(FIGURE_DIGIT_CHI, FIGURE_ODD);
    }
}
END_TEST

START_TEST(no_even_value_leaves_no_chi_square)
{
    static const int64_t NONE[5] = {0};
    double chi = 7.0, p = 7.0;
    ck_assert(!digit_chi_square(NONE, &chi, &p));
    const struct digit_tally t = {{0}, 3, 0};
    take(&t);
    ck_assert_int_eq(side[FIGURE_ZERO].lack, LACK_DIGITS);
    ck_assert_int_eq(side[FIGURE_ZERO_P].lack, LACK_DIGITS);
    NEAR(side[FIGURE_ODD].value, 1.0);
}
END_TEST

/* ---- repeats and boundaries ---- */

START_TEST(repeats_of_one_ear_alone_are_weighed_at_one_half)
{
    const struct repeat_tally r = {.repeats = 20, .same = {9, 3}, .only = {7, 1}};
    stats_repeats(&r, &(struct boundary_tally){0}, side);
    NEAR(side[FIGURE_IDENTICAL].value, 0.45);
    NEAR(side[FIGURE_IDENTICAL_LISTENER].value, 0.15);
    figure_is_without_limits(&side[FIGURE_IDENTICAL_P], 0.03515625, LACK_LIMITS); /* 9 of 256 */
}
END_TEST

START_TEST(repeats_that_both_ears_share_prove_nothing)
{
    const struct repeat_tally r = {.repeats = 12, .same = {12, 12}};
    stats_repeats(&r, &(struct boundary_tally){0}, side);
    figure_is_without_limits(&side[FIGURE_IDENTICAL_P], 1.0, LACK_LIMITS);
}
END_TEST

START_TEST(too_many_below_a_boundary_are_unlikely_and_too_few_are_not_told)
{
    const struct boundary_tally many = {.below = {7, 0}, .from = {1, 0}},
                                few = {.below = {1, 9}, .from = {7, 0}};
    stats_repeats(&(struct repeat_tally){0}, &many, side);
    NEAR(side[FIGURE_BELOW].value, 0.875);
    figure_is_without_limits(&side[FIGURE_BELOW_P], 0.03515625, LACK_LIMITS);
    stats_repeats(&(struct repeat_tally){0}, &few, side);
    NEAR(side[FIGURE_BELOW].value, 0.125);
    figure_is_without_limits(&side[FIGURE_BELOW_P], 255.0 / 256.0, LACK_LIMITS);
}
END_TEST

START_TEST(nothing_repeated_and_nothing_near_a_boundary_is_said)
{
    stats_repeats(&(struct repeat_tally){0}, &(struct boundary_tally){.below = {0, 4}}, side);
    ck_assert_int_eq(side[FIGURE_IDENTICAL].lack, LACK_REPEATS);
    ck_assert_int_eq(side[FIGURE_IDENTICAL_LISTENER].lack, LACK_REPEATS);
    ck_assert_int_eq(side[FIGURE_IDENTICAL_P].lack, LACK_REPEATS);
    ck_assert_int_eq(side[FIGURE_BELOW].lack, LACK_NEAR);
    ck_assert_int_eq(side[FIGURE_BELOW_P].lack, LACK_NEAR);
    all_sound(FIGURE_IDENTICAL, FIGURE_BELOW_P);
}
END_TEST

START_TEST(any_repeats_are_told_in_numbers_or_words)
{
    for (int64_t n = 0; n <= 12; n++) {
        for (int64_t x = 0; x <= n; x++) {
            const struct repeat_tally r = {.repeats = n, .same = {x, n - x}, .only = {x, n - x}};
            const struct boundary_tally b = {.below = {x, 0}, .from = {n - x, 0}};
            stats_repeats(&r, &b, side);
            all_sound(FIGURE_IDENTICAL, FIGURE_BELOW_P);
        }
    }
}
END_TEST

int main(void)
{
    Suite *s = suite_create("agreement_digits");
    TCase *shares = tcase_create("shares"), *digits = tcase_create("digits"),
          *repeats = tcase_create("repeats");
    tcase_set_timeout(digits, 60);
    tcase_add_loop_test(shares, share_has_the_limits_of_clopper_and_pearson, 0,
                        sizeof SHARES / sizeof *SHARES);
    tcase_add_test(shares, limits_of_a_share_keep_their_coverage);
    tcase_add_test(shares, share_of_nothing_may_be_anything);
    tcase_add_loop_test(digits, hundred_even_digits_give_the_published_values, 0,
                        sizeof DIGITS / sizeof *DIGITS);
    tcase_add_test(digits, observers_of_1999_show_no_digit_preference);
    tcase_add_loop_test(digits, zeros_are_flagged_from_the_count_on_that_chance_hardly_reaches, 0,
                        sizeof FLAGGED / sizeof *FLAGGED);
    tcase_add_test(digits, chi_square_needs_twenty_five_even_values);
    tcase_add_test(digits, values_on_no_line_count_as_odd_and_fractions_as_neither);
    tcase_add_test(digits, fractions_alone_lack_digits_and_not_pairs);
    tcase_add_test(digits, any_digits_are_told_in_numbers_or_words);
    tcase_add_test(digits, no_even_value_leaves_no_chi_square);
    tcase_add_test(repeats, repeats_of_one_ear_alone_are_weighed_at_one_half);
    tcase_add_test(repeats, repeats_that_both_ears_share_prove_nothing);
    tcase_add_test(repeats, too_many_below_a_boundary_are_unlikely_and_too_few_are_not_told);
    tcase_add_test(repeats, nothing_repeated_and_nothing_near_a_boundary_is_said);
    tcase_add_test(repeats, any_repeats_are_told_in_numbers_or_words);
    suite_add_tcase(s, shares);
    suite_add_tcase(s, digits);
    suite_add_tcase(s, repeats);
    SRunner *r = srunner_create(s);
    srunner_run_all(r, CK_NORMAL);
    const int failed = srunner_ntests_failed(r);
    srunner_free(r);
    return failed == 0 ? EXIT_SUCCESS : EXIT_FAILURE;
}
