/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Data that hardly are any: every figure is finite or says in words what it lacks, and too few never pass. */
#include <check.h>
#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "outside/agree_kit.h"
#include "outside/outside.h"

#define MANY 1000

static struct kit_pair pairs[MANY];
static struct agreement out;

static const struct category_scheme *ladder(void)
{
    static const int BOUNDS[][SIDE_COUNT] = {{0, 0}, {120, 80}, {130, 85}, {140, 90}};
    static struct category_scheme scheme;
    kit_scheme(&scheme, BOUNDS, 4);
    return &scheme;
}

static void tell(int n, bool has_scheme)
{
    struct agree_frame f = {.scheme = has_scheme ? ladder() : NULL, .plan = kit_plan()};
    kit_agreement(pairs, n, &f, &out);
}

static const struct figure *figure(enum side_figure which)
{
    return &out.side[SIDE_SYSTOLIC].figure[which];
}

static void is_sound(const char *id, const struct figure *f)
{
    ck_assert_msg((int)f->lack >= 0 && f->lack < LACK_COUNT && f->limits_lack < LACK_COUNT,
                  "%s lacks what there is no word for", id);
    if (f->lack != LACK_NONE) {
        ck_assert_msg(LACK_WORDS[f->lack] != NULL && LACK_WORDS[f->lack][0] != '\0',
                      "%s lacks without a word", id);
        ck_assert_msg((f->lack != LACK_PAIRS && f->lack != LACK_DIGITS) || f->need > 0,
                      "%s does not say how many it takes", id);
        return;
    }
    ck_assert_msg(isfinite(f->value), "%s is no number", id);
    if (f->limits_lack == LACK_NONE)
        ck_assert_msg(isfinite(f->low) && isfinite(f->high) && f->low <= f->high, "%s lies between %g and %g",
                      id, f->low, f->high);
    else
        ck_assert_msg(LACK_WORDS[f->limits_lack][0] != '\0', "limits of %s lack without a word", id);
}

/* Everything that is told of these pairs, with categories and without. */
static void all_sound(int n)
{
    for (int has_scheme = 1; has_scheme >= 0; has_scheme--) {
        tell(n, has_scheme);
        ck_assert_int_eq(out.n, n);
        for (int side = 0; side < SIDE_COUNT; side++) {
            for (int i = 0; i < SIDE_FIGURE_COUNT; i++)
                is_sound(SIDE_FIGURES[i].id, &out.side[side].figure[i]);
            ck_assert(isfinite(out.side[side].criterion_2_sd) && isfinite(out.side[side].criterion_2_limit));
        }
        for (int i = 0; i < JOINT_FIGURE_COUNT; i++)
            is_sound(JOINT_FIGURES[i].id, &out.joint[i]);
        ck_assert(isfinite(out.learning.height));
    }
}

static void no_standard_is_answered(void)
{
    for (int side = 0; side < SIDE_COUNT; side++) {
        const struct agreement_side *s = &out.side[side];
        for (int i = 0; i < STANDARDS_MAX && STANDARDS[i].id != NULL; i++)
            ck_assert_msg(s->standard[i] == YARD_TOO_FEW, "%s is answered", STANDARDS[i].id);
        ck_assert_int_eq(s->grade, '-');
        ck_assert_int_eq(s->criterion_1, YARD_TOO_FEW);
        ck_assert_int_eq(s->criterion_2, YARD_TOO_FEW);
    }
}

static void lacks(enum side_figure which, enum lack want, int64_t need)
{
    ck_assert_msg(figure(which)->lack == want, "%s: %s", SIDE_FIGURES[which].id,
                  LACK_WORDS[figure(which)->lack]);
    ck_assert_msg(need == 0 || figure(which)->need == need, "%s takes %d", SIDE_FIGURES[which].id,
                  (int)figure(which)->need);
}

static void has_no_limits(enum side_figure which, enum lack want, int64_t need)
{
    ck_assert_msg(figure(which)->lack == LACK_NONE, "%s has no value", SIDE_FIGURES[which].id);
    ck_assert_msg(figure(which)->limits_lack == want, "%s: %s", SIDE_FIGURES[which].id,
                  LACK_WORDS[figure(which)->limits_lack]);
    ck_assert_msg(need == 0 || figure(which)->need == need, "%s takes %d", SIDE_FIGURES[which].id,
                  (int)figure(which)->need);
}

static void has_limits(enum side_figure which)
{
    ck_assert_msg(figure(which)->lack == LACK_NONE && figure(which)->limits_lack == LACK_NONE, "%s lacks",
                  SIDE_FIGURES[which].id);
}

/* ---- no pair, one, two ---- */

START_TEST(nothing_is_said_of_no_pair)
{
    all_sound(0);
    for (int i = 0; i < SIDE_FIGURE_COUNT; i++)
        ck_assert_msg(figure((enum side_figure)i)->lack != LACK_NONE, "%s of no pair", SIDE_FIGURES[i].id);
    for (int i = 0; i < JOINT_FIGURE_COUNT; i++)
        ck_assert_msg(out.joint[i].lack != LACK_NONE, "%s of no pair", JOINT_FIGURES[i].id);
    lacks(FIGURE_BIAS, LACK_PAIRS, 1);
    no_standard_is_answered();
}
END_TEST

START_TEST(one_pair_has_a_difference_and_shares)
{
    pairs[0] = kit_both_sides(0, 122, 120);
    all_sound(1);
    has_no_limits(FIGURE_BIAS, LACK_PAIRS, 2);
    lacks(FIGURE_SD, LACK_PAIRS, 2);
    lacks(FIGURE_LOWER, LACK_PAIRS, 2);
    lacks(FIGURE_ICC_2_1, LACK_PAIRS, 2);
    has_limits(FIGURE_NEAR_5);
    no_standard_is_answered();
}
END_TEST

START_TEST(two_pairs_have_a_spread)
{
    pairs[0] = kit_both_sides(0, 122, 120);
    pairs[1] = kit_both_sides(1, 140, 144);
    all_sound(2);
    has_limits(FIGURE_BIAS);
    has_limits(FIGURE_SD);
    has_limits(FIGURE_LOWER);
    has_no_limits(FIGURE_CONCORDANCE, LACK_PAIRS, 3);
    no_standard_is_answered();
}
END_TEST

START_TEST(a_correlation_has_limits_from_four_pairs_on)
{
    static const int VALUES[4][EAR_COUNT] = {{120, 124}, {130, 128}, {142, 146}, {116, 120}};
    for (int i = 0; i < 4; i++)
        pairs[i] = kit_both_sides(i, VALUES[i][EAR_MEASURER], VALUES[i][EAR_LISTENER]);
    all_sound(3);
    has_no_limits(FIGURE_CORRELATION, LACK_PAIRS, 4);
    all_sound(4);
    has_limits(FIGURE_CORRELATION);
}
END_TEST

/* ---- no variance ---- */

START_TEST(all_values_equal)
{
    for (int i = 0; i < 30; i++)
        pairs[i] = kit_both_sides(i, 120, 120);
    all_sound(30);
    has_no_limits(FIGURE_SD, LACK_SPREAD, 0);
    lacks(FIGURE_LOWER, LACK_SPREAD, 0);
    lacks(FIGURE_ICC_1_1, LACK_RANGE, 0);
    lacks(FIGURE_CORRELATION, LACK_RANGE, 0);
    tell(30, true);
    ck_assert_int_eq(out.joint[FIGURE_KAPPA].lack, LACK_CATEGORIES);
}
END_TEST

START_TEST(all_differences_equal)
{
    for (int i = 0; i < 30; i++)
        pairs[i] = kit_both_sides(i / 2, 100 + 2 * i, 104 + 2 * i);
    all_sound(30);
    has_no_limits(FIGURE_SD, LACK_SPREAD, 0);
    has_no_limits(FIGURE_ICC_3_1, LACK_SPREAD, 0);
    has_limits(FIGURE_ICC_1_1);
    ck_assert_double_eq_tol(figure(FIGURE_ICC_3_1)->value, 1, 1e-15);
    ck_assert_double_eq_tol(figure(FIGURE_BIAS)->value, -4, 1e-15);
    ck_assert_double_eq_tol(figure(FIGURE_SD)->value, 0, 1e-15);
}
END_TEST

START_TEST(perfect_agreement_of_people_who_differ)
{
    for (int i = 0; i < 30; i++)
        pairs[i] = kit_both_sides(i, 100 + 2 * i, 100 + 2 * i);
    all_sound(30);
    for (int i = FIGURE_ICC_1_1; i <= FIGURE_ICC_3_K; i++) {
        has_no_limits((enum side_figure)i, LACK_SPREAD, 0);
        ck_assert_double_eq_tol(figure((enum side_figure)i)->value, 1, 1e-15);
    }
    ck_assert_double_eq_tol(figure(FIGURE_CONCORDANCE)->value, 1, 1e-15);
    ck_assert_double_eq_tol(figure(FIGURE_CORRELATION)->value, 1, 1e-15);
}
END_TEST

START_TEST(one_listener_never_moves)
{
    for (int ear = 0; ear < EAR_COUNT; ear++) {
        for (int i = 0; i < 30; i++)
            pairs[i] =
                kit_both_sides(i, ear == EAR_MEASURER ? 120 : 100 + i, ear == EAR_MEASURER ? 100 + i : 120);
        all_sound(30);
        lacks(FIGURE_CORRELATION, LACK_RANGE, 0);
        has_limits(FIGURE_ICC_2_1);
    }
}
END_TEST

/* ---- subjects ---- */

START_TEST(one_subject_read_many_times)
{
    for (int i = 0; i < 30; i++)
        pairs[i] = kit_both_sides(0, 120 + 2 * (i % 4), 120 + 2 * (i % 3));
    all_sound(30);
    ck_assert_int_eq(out.subjects, 1);
    lacks(FIGURE_SD_LINKED, LACK_SUBJECTS, 0);
    lacks(FIGURE_SD_APART, LACK_SUBJECTS, 0);
    has_limits(FIGURE_REPEAT_MEASURER);
    ck_assert_int_eq(out.side[SIDE_SYSTOLIC].criterion_2, YARD_TOO_FEW);
}
END_TEST

START_TEST(nobody_is_read_twice)
{
    for (int i = 0; i < 30; i++)
        pairs[i] = kit_both_sides(i, 120 + 2 * (i % 4), 120 + 2 * (i % 3));
    all_sound(30);
    for (int i = FIGURE_SD_LINKED; i <= FIGURE_UPPER_APART; i++)
        lacks((enum side_figure)i, LACK_REPEATS, 0);
    lacks(FIGURE_REPEAT_MEASURER, LACK_REPEATS, 0);
    lacks(FIGURE_REPEAT_LISTENER, LACK_REPEATS, 0);
    lacks(FIGURE_IDENTICAL, LACK_REPEATS, 0);
    lacks(FIGURE_IDENTICAL_P, LACK_REPEATS, 0);
}
END_TEST

/* ---- digits and categories ---- */

START_TEST(values_without_an_even_digit)
{
    for (int i = 0; i < 30; i++)
        pairs[i] = kit_both_sides(i, 101 + 2 * i, 121);
    all_sound(30);
    lacks(FIGURE_DIGIT_CHI, LACK_DIGITS, 25);
    ck_assert(figure(FIGURE_ZERO)->lack != LACK_NONE);
    ck_assert_double_eq_tol(figure(FIGURE_ODD)->value, 1, 1e-15);
}
END_TEST

START_TEST(no_value_near_a_boundary)
{
    for (int i = 0; i < 30; i++)
        pairs[i] = kit_both_sides(i, 100 + i % 3, 100);
    all_sound(30);
    tell(30, true);
    lacks(FIGURE_BELOW, LACK_NEAR, 0);
    lacks(FIGURE_BELOW_P, LACK_NEAR, 0);
    tell(30, false);
    for (int i = FIGURE_KAPPA; i <= FIGURE_KAPPA_QUADRATIC; i++)
        ck_assert_int_eq(out.joint[i].lack, LACK_CATEGORIES);
}
END_TEST

/* ---- the ends of what can be told ---- */

START_TEST(the_largest_values_there_are)
{
    for (int i = 0; i < MANY; i++) {
        pairs[i].subject = i / 3;
        for (int side = 0; side < SIDE_COUNT; side++) {
            pairs[i].pair.value[side][EAR_MEASURER] = i % 2 == 0 ? AGREE_VALUE_MAX : -AGREE_VALUE_MAX;
            pairs[i].pair.value[side][EAR_LISTENER] = i % 3 == 0 ? AGREE_VALUE_MAX : -AGREE_VALUE_MAX;
        }
    }
    all_sound(MANY);
    has_limits(FIGURE_SD);
    ck_assert_double_eq_tol(figure(FIGURE_BIAS)->value, 2e9 * (500 - 334) / MANY, 1e-6);
}
END_TEST

/* All of them right: of one person too few for the rules for devices, then one pair too few for shares. */
START_TEST(too_few_never_pass)
{
    for (int i = 0; i < 100; i++)
        pairs[i] = kit_both_sides(i < 84 ? i : 83, 120 + 2 * (i % 2), 120);
    tell(100, true);
    ck_assert_int_eq(out.subjects, 84);
    ck_assert_int_eq(out.side[SIDE_SYSTOLIC].criterion_1, YARD_TOO_FEW);
    ck_assert_int_eq(out.side[SIDE_SYSTOLIC].criterion_2, YARD_TOO_FEW);
    pairs[99].subject = 84;
    tell(100, true);
    ck_assert_int_eq(out.side[SIDE_SYSTOLIC].criterion_1, YARD_MET);
    ck_assert_int_eq(out.side[SIDE_SYSTOLIC].criterion_2, YARD_MET);
    for (int i = 0; STANDARDS[i].id != NULL; i++) {
        tell((int)STANDARDS[i].n_min - 1, true);
        ck_assert_int_eq(out.side[SIDE_SYSTOLIC].standard[i], YARD_TOO_FEW);
        tell((int)STANDARDS[i].n_min, true);
        ck_assert_int_eq(out.side[SIDE_SYSTOLIC].standard[i], YARD_MET);
    }
}
END_TEST

START_TEST(tallies_of_nothing_put_together)
{
    struct agree_frame f = {.scheme = ladder(), .plan = kit_plan()};
    struct agree_tally all, none;
    agree_begin(&all, &f);
    agree_begin(&none, &f);
    agree_merge(&all, &none);
    agreement_of(&all, &out);
    ck_assert_int_eq(out.n, 0);
    ck_assert(!out.has_learning);
    for (int i = 0; i < SIDE_FIGURE_COUNT; i++)
        is_sound(SIDE_FIGURES[i].id, figure((enum side_figure)i));
    no_standard_is_answered();
}
END_TEST

/* ---- the parts alone ---- */

START_TEST(tables_too_small_for_mean_squares)
{
    static const int64_t TABLE[4] = {120000, 122000, 130000, 128000};
    struct icc_squares q;
    ck_assert(!icc_squares_of(TABLE, 1, 4, &q));
    ck_assert(!icc_squares_of(TABLE, 4, 1, &q));
    ck_assert(!icc_squares_of(TABLE, 0, 2, &q));
    ck_assert(icc_squares_of(TABLE, 2, 2, &q));
}
END_TEST

START_TEST(mean_squares_of_nothing)
{
    struct icc_squares q = {.n = 5, .k = 3};
    struct figure icc[6];
    icc_of(&q, icc);
    for (int i = 0; i < 6; i++) {
        is_sound("icc", &icc[i]);
        ck_assert_int_ne(icc[i].lack, LACK_NONE);
    }
}
END_TEST

START_TEST(kappa_of_no_counts_and_of_one_cell)
{
    int64_t counts[9] = {0};
    struct figure f = kappa_of(counts, 3, 3, NULL);
    is_sound("kappa", &f);
    ck_assert_int_ne(f.lack, LACK_NONE);
    counts[4] = 17;
    f = kappa_of(counts, 3, 3, NULL);
    ck_assert_int_eq(f.lack, LACK_CATEGORIES);
}
END_TEST

START_TEST(digits_of_no_values)
{
    double chi, p;
    ck_assert(!digit_chi_square((int64_t[5]){0, 0, 0, 0, 0}, &chi, &p));
}
END_TEST

int main(void)
{
    Suite *suite = suite_create("agreement, degenerate data");
    TCase *tc = tcase_create("all");
    static const TTest *const *const TESTS[] = {
        &nothing_is_said_of_no_pair,
        &one_pair_has_a_difference_and_shares,
        &two_pairs_have_a_spread,
        &a_correlation_has_limits_from_four_pairs_on,
        &all_values_equal,
        &all_differences_equal,
        &perfect_agreement_of_people_who_differ,
        &one_listener_never_moves,
        &one_subject_read_many_times,
        &nobody_is_read_twice,
        &values_without_an_even_digit,
        &no_value_near_a_boundary,
        &the_largest_values_there_are,
        &too_few_never_pass,
        &tallies_of_nothing_put_together,
        &tables_too_small_for_mean_squares,
        &mean_squares_of_nothing,
        &kappa_of_no_counts_and_of_one_cell,
        &digits_of_no_values,
    };
    for (size_t i = 0; i < sizeof TESTS / sizeof TESTS[0]; i++)
        tcase_add_test(tc, *TESTS[i]);
    suite_add_tcase(suite, tc);
    return outside_run(suite);
}
