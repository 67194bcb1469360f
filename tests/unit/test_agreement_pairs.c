/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Pairs are tallied exactly: sums and their moments, near ones, digits, repeats, boundaries, categories. */
#include "stats/agree.h"
#include "unit/agree_hand.h"

#define NEAR(got, want, within) ck_assert_double_eq_tol(got, want, within)
#define SAME(got, want) ck_assert_mem_eq(&(got), &(want), sizeof(double))

static struct agree_hand hand;

static void three_pairs(struct pair_sums *s, int64_t offset_a, int64_t offset_b)
{
    static const int64_t PAIR[3][2] = {{120000, 118001}, {131000, 137000}, {99500, 97000}};
    memset(s, 0, sizeof *s);
    for (int i = 0; i < 3; i++)
        pair_sums_add(s, PAIR[i][0] + offset_a, PAIR[i][1] + offset_b);
}

/* ---- moments ---- */

START_TEST(moments_are_those_worked_out_by_hand)
{
    struct pair_sums s;
    struct moments m;
    three_pairs(&s, 0, 0);
    stats_moments(&s, &m);
    NEAR(m.mean_a, 116.833333333333333, 1e-13);
    NEAR(m.mean_b, 117.333666666666667, 1e-13);
    NEAR(m.mean_d, -0.500333333333333, 1e-15);
    NEAR(m.var_a, 255.583333333333333, 1e-12);
    NEAR(m.var_b, 400.334000333333333, 1e-12);
    NEAR(m.cov, 316.584916666666667, 1e-12);
    NEAR(m.var_d, 22.747500333333333, 1e-13);
    ck_assert(!m.is_a_constant && !m.is_b_constant && !m.is_d_constant);
}
END_TEST

START_TEST(no_offset_changes_a_digit_of_a_spread)
{
    struct pair_sums s, far;
    struct moments m, n;
    three_pairs(&s, 0, 0);
    three_pairs(&far, AGREE_VALUE_MAX - 200000, -AGREE_VALUE_MAX);
    stats_moments(&s, &m);
    stats_moments(&far, &n);
    SAME(m.var_a, n.var_a);
    SAME(m.var_b, n.var_b);
    SAME(m.cov, n.cov);
    SAME(m.var_d, n.var_d);
    NEAR(n.mean_d, m.mean_d + 1999999800.0, 1e-6);
}
END_TEST

START_TEST(one_thousandth_in_a_million_is_no_constant)
{
    struct pair_sums s = {0};
    struct moments m;
    const int64_t far = AGREE_VALUE_MAX - 1;
    for (int i = 0; i < 999999; i++)
        pair_sums_add(&s, far, 120000);
    stats_moments(&s, &m);
    ck_assert(m.is_a_constant && m.is_b_constant && m.is_d_constant);
    ck_assert(!(m.var_a > 0.0) && !(m.var_d > 0.0));
    pair_sums_add(&s, far + 1, 120000);
    stats_moments(&s, &m);
    ck_assert(!m.is_a_constant && m.is_b_constant && !m.is_d_constant);
    NEAR(m.var_a, 1e-12, 1e-26); /* of one 1 among zeros: 1/n, thousandths squared */
    NEAR(m.var_d, 1e-12, 1e-26);
}
END_TEST

START_TEST(ten_million_pairs_of_the_largest_values_stay_exact)
{
    const int64_t n = 10000000;
    const agree_wide squares = (agree_wide)AGREE_VALUE_MAX * AGREE_VALUE_MAX * n;
    const struct pair_sums s = {.n = n, .aa = squares, .bb = squares, .ab = -squares};
    struct pair_sums odd = s, both = {0};
    struct moments m;
    stats_moments(&s, &m); /* half of them at each end, the listener at the other */
    NEAR(m.var_a / 1e18, (double)n / (double)(n - 1), 1e-15);
    NEAR(m.cov / 1e18, -(double)n / (double)(n - 1), 1e-15);
    NEAR(m.var_d / 4e18, (double)n / (double)(n - 1), 1e-15);
    odd.a = (agree_wide)AGREE_VALUE_MAX * n; /* all at one end, the listener at the other */
    odd.b = -odd.a;
    stats_moments(&odd, &m);
    ck_assert(m.is_a_constant && m.is_b_constant && m.is_d_constant);
    NEAR(m.mean_d, 2e9, 1e-9);
    pair_sums_merge(&both, &odd);
    ck_assert_mem_eq(&both, &odd, sizeof both);
}
END_TEST

START_TEST(moments_below_two_pairs_are_nothing_that_varies)
{
    struct pair_sums s = {0};
    struct moments m;
    stats_moments(&s, &m);
    ck_assert(m.is_a_constant && m.is_b_constant && m.is_d_constant && !(m.n > 0.0));
    pair_sums_add(&s, 120000, 118000);
    stats_moments(&s, &m);
    ck_assert(m.is_a_constant && m.is_b_constant && m.is_d_constant && !(m.var_d > 0.0));
    NEAR(m.mean_d, 2.0, 1e-15);
}
END_TEST

/* ---- counts ---- */

START_TEST(shares_and_right_pairs_take_in_their_very_bound)
{
    static const struct {
        int64_t d;
        int near_5, near_10, near_15, right;
    } ROWS[] = {{5000, 1, 1, 1, 1},   {-5000, 1, 1, 1, 1}, {5001, 0, 1, 1, 0},
                {-5001, 0, 1, 1, 0},  {10000, 0, 1, 1, 0}, {10001, 0, 0, 1, 0},
                {-15000, 0, 0, 1, 0}, {15001, 0, 0, 0, 0}, {0, 1, 1, 1, 1}};
    agree_hand_begin(&hand, NULL);
    agree_hand_exact(&hand, 0, 120000 + ROWS[_i].d, 120000, 40000);
    const int64_t *near = hand.tally.near[SIDE_DIASTOLIC];
    ck_assert_int_eq(near[0], ROWS[_i].near_5);
    ck_assert_int_eq(near[1], ROWS[_i].near_10);
    ck_assert_int_eq(near[2], ROWS[_i].near_15);
    ck_assert_int_eq(hand.tally.right, ROWS[_i].right);
    ck_assert_int_eq(hand.tally.learning.answers, 1);
    ck_assert_int_eq(hand.tally.learning.wrong, 1 - ROWS[_i].right);
}
END_TEST

START_TEST(a_pair_is_right_on_both_sides_only)
{
    const struct agree_pair off = {{{120000, 120000}, {86000, 80000}}};
    agree_hand_begin(&hand, NULL);
    agree_add(&hand.tally, &hand.subject[0], &hand.frame, &off);
    ck_assert_int_eq(hand.tally.near[SIDE_SYSTOLIC][0], 1);
    ck_assert_int_eq(hand.tally.right, 0);
}
END_TEST

START_TEST(end_digits_go_where_they_belong)
{
    struct digit_tally t = {0};
    static const int64_t VALUES[] = {120000, -120000, 0,      122000, 94000, 96000, 98000,
                                     -98000, 121000,  -99000, 120500, -1,    120001};
    for (size_t i = 0; i < sizeof VALUES / sizeof VALUES[0]; i++)
        digit_tally_add(&t, VALUES[i]);
    ck_assert_int_eq(t.even[0], 3);
    ck_assert_int_eq(t.even[1], 1);
    ck_assert_int_eq(t.even[2], 1);
    ck_assert_int_eq(t.even[3], 1);
    ck_assert_int_eq(t.even[4], 2);
    ck_assert_int_eq(t.odd, 2);
    ck_assert_int_eq(t.not_whole, 3);
}
END_TEST

START_TEST(repeats_are_of_the_same_subject_however_others_come_between)
{
    agree_hand_begin(&hand, NULL);
    agree_hand_add(&hand, 0, 120, 122);
    agree_hand_add(&hand, 1, 120, 122); /* somebody else: no repeat */
    agree_hand_add(&hand, 0, 120, 124); /* the measurer alone */
    agree_hand_add(&hand, 1, 120, 122); /* both */
    agree_hand_add(&hand, 0, 118, 124); /* the listener alone */
    agree_hand_add(&hand, 0, 120, 122); /* neither: only the reading just before counts */
    const struct repeat_tally *r = &hand.tally.repeats[SIDE_SYSTOLIC];
    ck_assert_int_eq(r->repeats, 4);
    ck_assert_int_eq(r->same[EAR_MEASURER], 2);
    ck_assert_int_eq(r->same[EAR_LISTENER], 2);
    ck_assert_int_eq(r->only[EAR_MEASURER], 1);
    ck_assert_int_eq(r->only[EAR_LISTENER], 1);
}
END_TEST

START_TEST(values_near_a_boundary_are_counted_on_their_side_of_it)
{
    static const struct {
        int64_t value;
        int below, from;
    } ROWS[] = {{117999, 0, 0}, {118000, 1, 0}, {119999, 1, 0}, {120000, 0, 1},
                {121999, 0, 1}, {122000, 0, 0}, {128000, 1, 0}, {141999, 0, 1},
                {0, 0, 0},      {-1000, 0, 0},  {1000, 0, 0}};
    const struct agree_pair p = {{{ROWS[_i].value, 200000}, {50000, 50000}}};
    agree_hand_begin(&hand, &AGREE_HAND_SCHEME);
    agree_add(&hand.tally, &hand.subject[0], &hand.frame, &p);
    ck_assert_int_eq(hand.tally.boundary[SIDE_SYSTOLIC].below[EAR_MEASURER], ROWS[_i].below);
    ck_assert_int_eq(hand.tally.boundary[SIDE_SYSTOLIC].from[EAR_MEASURER], ROWS[_i].from);
    ck_assert_int_eq(hand.tally.boundary[SIDE_SYSTOLIC].below[EAR_LISTENER], 0);
    ck_assert_int_eq(hand.tally.boundary[SIDE_DIASTOLIC].below[EAR_MEASURER], 0);
}
END_TEST

START_TEST(a_pair_lies_in_the_bands_that_category_of_names)
{
    int pairs = 0;
    for (int systolic = 110; systolic <= 150; systolic++) {
        for (int diastolic = 70; diastolic <= 95; diastolic++) {
            const struct agree_pair p = {
                {{(int64_t)systolic * 1000, 300000}, {(int64_t)diastolic * 1000, 10000}}};
            const int band = (int)category_of(&AGREE_HAND_SCHEME, systolic, diastolic, 1).band;
            agree_hand_begin(&hand, &AGREE_HAND_SCHEME);
            agree_add(&hand.tally, &hand.subject[0], &hand.frame, &p);
            ck_assert_int_eq(hand.tally.category[band][3], 1);
            pairs++;
        }
    }
    ck_assert_int_eq(pairs, 41 * 26);
    ck_assert_int_eq(hand.tally.category_count, 4);
}
END_TEST

START_TEST(without_a_scheme_there_are_no_categories)
{
    agree_hand_begin(&hand, NULL);
    agree_hand_add(&hand, 0, 120, 122);
    ck_assert_int_eq(hand.tally.category_count, 0);
    ck_assert_int_eq(hand.tally.category[0][0], 0);
    ck_assert_int_eq(hand.tally.boundary[SIDE_SYSTOLIC].from[EAR_MEASURER], 0);
}
END_TEST

START_TEST(marks_change_nothing_but_the_time)
{
    static struct agree_hand plain, marked;
    uint64_t seed = 5;
    agree_hand_begin(&plain, _i ? &AGREE_HAND_SCHEME : NULL);
    agree_hand_begin(&marked, plain.frame.scheme);
    agree_frame_mark(&marked.frame);
    for (int i = 0; i < 20000; i++) {
        const int64_t unit = i % 3 == 0 ? 1 : AGREE_UNIT, top = 400 * AGREE_UNIT / unit;
        const int64_t a = unit * (agree_hand_random(&seed, top) - top / 10),
                      b = a + unit * agree_hand_random(&seed, 9);
        const int64_t lower = unit * agree_hand_random(&seed, 60);
        agree_hand_exact(&plain, i % HAND_SUBJECTS, a, b, lower);
        agree_hand_exact(&marked, i % HAND_SUBJECTS, a, b, lower);
    }
    agree_hand_exact(&plain, 0, INT64_C(4294967296) + 120 * AGREE_UNIT, AGREE_VALUE_MAX, AGREE_VALUE_MAX);
    agree_hand_exact(&marked, 0, INT64_C(4294967296) + 120 * AGREE_UNIT, AGREE_VALUE_MAX, AGREE_VALUE_MAX);
    ck_assert_int_gt(plain.tally.digits[SIDE_SYSTOLIC][EAR_MEASURER].not_whole, 0);
    ck_assert_mem_eq(&plain.tally, &marked.tally, sizeof plain.tally);
}
END_TEST

START_TEST(spreads_within_subjects_are_the_same_far_from_zero)
{
    static struct agree_hand near, far;
    uint64_t seed = 6;
    const int64_t offset = AGREE_VALUE_MAX / 2;
    agree_hand_begin(&near, NULL);
    agree_hand_begin(&far, NULL);
    for (int i = 0; i < 1000; i++) {
        const int64_t a = agree_hand_random(&seed, 200000), b = agree_hand_random(&seed, 200000);
        agree_hand_exact(&near, i % 7, a, b, 0);
        agree_hand_exact(&far, i % 7, a + offset, b + offset, 0);
    }
    agree_hand_close(&near);
    agree_hand_close(&far);
    ck_assert(near.tally.replicates[SIDE_SYSTOLIC].within_a.whole > 0);
    ck_assert_mem_eq(near.tally.replicates, far.tally.replicates, sizeof near.tally.replicates);
}
END_TEST

int main(void)
{
    Suite *suite = suite_create("agreement pairs");
    TCase *t = tcase_create("agreement pairs");
    tcase_add_test(t, moments_are_those_worked_out_by_hand);
    tcase_add_test(t, no_offset_changes_a_digit_of_a_spread);
    tcase_add_test(t, one_thousandth_in_a_million_is_no_constant);
    tcase_add_test(t, ten_million_pairs_of_the_largest_values_stay_exact);
    tcase_add_test(t, moments_below_two_pairs_are_nothing_that_varies);
    tcase_add_loop_test(t, shares_and_right_pairs_take_in_their_very_bound, 0, 9);
    tcase_add_test(t, a_pair_is_right_on_both_sides_only);
    tcase_add_test(t, end_digits_go_where_they_belong);
    tcase_add_test(t, repeats_are_of_the_same_subject_however_others_come_between);
    tcase_add_loop_test(t, values_near_a_boundary_are_counted_on_their_side_of_it, 0, 11);
    tcase_add_test(t, a_pair_lies_in_the_bands_that_category_of_names);
    tcase_add_test(t, without_a_scheme_there_are_no_categories);
    tcase_add_loop_test(t, marks_change_nothing_but_the_time, 0, 2);
    tcase_add_test(t, spreads_within_subjects_are_the_same_far_from_zero);
    suite_add_tcase(suite, t);
    SRunner *runner = srunner_create(suite);
    srunner_run_all(runner, CK_NORMAL);
    int failed = srunner_ntests_failed(runner);
    srunner_free(runner);
    return failed == 0 ? EXIT_SUCCESS : EXIT_FAILURE;
}
