/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The six intraclass correlations: against Shrout and Fleiss's table and R's psych, and where there is
 * nothing to say. */
#include "unit/figure_hand.h"

#include <stdlib.h>

#include "stats/agree.h"

#define FORMS 6
#define LEN(a) ((int)(sizeof(a) / sizeof *(a)))

static struct figure form[FORMS];

static void forms_are(const double want[FORMS][3])
{
    for (int i = 0; i < FORMS; i++)
        figure_is(&form[i], want[i][0], want[i][1], want[i][2]);
}

/* Pairs as a table of two columns; its mean squares. */
static struct icc_squares squares_of_pairs(const int *a, const int *b, int n)
{
    int64_t value[64];
    for (int i = 0; i < n; i++) {
        value[2 * i] = (int64_t)a[i] * AGREE_UNIT;
        value[2 * i + 1] = (int64_t)b[i] * AGREE_UNIT;
    }
    struct icc_squares q;
    ck_assert(icc_squares_of(value, n, 2, &q));
    return q;
}

/* ---- published and outside values ---- */

static const int64_t TABLE_1979[6 * 4] = {9, 2, 5, 8, 6,  1, 3, 2, 8, 4, 6, 8,
                                          7, 1, 2, 6, 10, 5, 6, 9, 6, 2, 4, 7};

static struct icc_squares squares_1979(int64_t offset)
{
    int64_t value[6 * 4];
    for (int i = 0; i < 6 * 4; i++)
        value[i] = TABLE_1979[i] * AGREE_UNIT + offset;
    struct icc_squares q;
    ck_assert(icc_squares_of(value, 6, 4, &q));
    return q;
}

START_TEST(table_of_1979_gives_its_mean_squares)
{
    const struct icc_squares q = squares_1979(0);
    ck_assert_double_eq_tol(q.between, 11.2417, 5e-5);
    ck_assert_double_eq_tol(q.within, 6.2639, 5e-5);
    ck_assert_double_eq_tol(q.judges, 32.4861, 5e-5);
    ck_assert_double_eq_tol(q.residual, 1.0194, 5e-5);
}
END_TEST

START_TEST(table_of_1979_gives_its_six_forms_with_the_limits_of_psych)
{
    static const double WANT[FORMS][3] = {
        {0.165741768405, -0.132932324875, 0.722560062328}, {0.289763779528, 0.0187865133747, 0.761084369649},
        {0.714840714841, 0.342464765034, 0.945858259955},  {0.442797133679, -0.884442155238, 0.912415420341},
        {0.620050547599, 0.0711368153025, 0.927232040168}, {0.909315542377, 0.675674713816, 0.985891678169}};
    const struct icc_squares q = squares_1979(0);
    icc_of(&q, form);
    forms_are(WANT);
}
END_TEST

START_TEST(offset_of_a_table_changes_no_digit)
{
    const struct icc_squares plain = squares_1979(0), far = squares_1979(INT64_C(999999999000));
    ck_assert_mem_eq(&plain.between, &far.between, sizeof plain.between);
    ck_assert_mem_eq(&plain.within, &far.within, sizeof plain.within);
    ck_assert_mem_eq(&plain.judges, &far.judges, sizeof plain.judges);
    ck_assert_mem_eq(&plain.residual, &far.residual, sizeof plain.residual);
}
END_TEST

static const int A[] = {118, 122, 130, 136, 141, 126, 152, 110, 128, 144, 134, 120};
static const int B[] = {120, 121, 134, 134, 146, 128, 150, 114, 126, 150, 136, 118};

START_TEST(twelve_pairs_give_the_forms_and_limits_of_psych)
{
    static const double WANT[FORMS][3] = {
        {0.965981393698, 0.891300045882, 0.989959939515}, {0.966039072781, 0.886595880195, 0.990108415972},
        {0.969326088061, 0.897342775039, 0.991072161151}, {0.982696374233, 0.942526330312, 0.994954641907},
        {0.982726219591, 0.939889553987, 0.995029625548}, {0.984424158028, 0.945894212521, 0.995516064649}};
    const struct pair_sums s = sums_of(A, B, LEN(A));
    stats_icc(&s, form);
    forms_are(WANT);
}
END_TEST

START_TEST(sums_of_pairs_give_what_their_table_gives)
{
    const struct pair_sums s = sums_of(A, B, LEN(A));
    const struct icc_squares q = squares_of_pairs(A, B, LEN(A));
    struct figure other[FORMS];
    stats_icc(&s, form);
    icc_of(&q, other);
    for (int i = 0; i < FORMS; i++)
        figure_is(&form[i], other[i].value, other[i].low, other[i].high);
}
END_TEST

START_TEST(negative_single_forms_keep_their_limits)
{
    static const int LOW[] = {120, 124, 122, 126, 120, 121}, HIGH[] = {125, 121, 124, 120, 126, 123};
    const struct pair_sums s = sums_of(LOW, HIGH, LEN(LOW));
    stats_icc(&s, form);
    figure_is(&form[0], -0.932203389831, -0.988348085072, -0.60664296203);
    figure_is(&form[1], -1.2265625, -1.31707317073, -0.460691736514);
    figure_is(&form[2], -0.940119760479, -0.991399431643, -0.638582267289);
    figure_is(&form[3], -27.5, -169.645606092, -3.08443934376);
    figure_is(&form[5], -31.4, -230.542771251, -3.53376278745);
    ck_assert_int_eq(form[4].lack,
                     LACK_BETWEEN); /* the formula gives 10.8, which no share of variance can be */
}
END_TEST

START_TEST(mean_form_has_no_limits_where_the_single_one_falls_below_its_least)
{
    static const int ONE[] = {120, 124, 122}, OTHER[] = {122, 121, 126};
    const struct pair_sums s = sums_of(ONE, OTHER, LEN(ONE));
    stats_icc(&s, form);
    figure_is(&form[1], -0.260869565217, -1.97054875405, 0.945829059763);
    figure_is_without_limits(&form[4], -0.705882352941, LACK_BETWEEN);
}
END_TEST

/* ---- where there is nothing to say ---- */

START_TEST(fewer_than_two_pairs_say_how_many_it_takes)
{
    for (int n = 0; n < 2; n++) {
        const struct pair_sums s = sums_of(A, B, n);
        stats_icc(&s, form);
        for (int i = 0; i < FORMS; i++) {
            ck_assert_int_eq(form[i].lack, LACK_PAIRS);
            ck_assert_int_eq(form[i].need, 2);
        }
    }
}
END_TEST

START_TEST(two_pairs_are_enough)
{
    static const int ONE[] = {120, 124}, OTHER[] = {121, 122};
    const struct pair_sums s = sums_of(ONE, OTHER, 2);
    stats_icc(&s, form);
    figure_is(&form[0], 0.666666666667, -0.77014838522, 0.99949981243);
    figure_is(&form[1], 0.615384615385, -8.26518743836, 0.999411087763);
    figure_is_without_limits(&form[4], 0.761904761905, LACK_BETWEEN);
}
END_TEST

START_TEST(perfect_agreement_is_one_without_limits)
{
    const struct pair_sums s = sums_of(A, A, LEN(A));
    stats_icc(&s, form);
    for (int i = 0; i < FORMS; i++)
        figure_is_without_limits(&form[i], 1.0, LACK_SPREAD);
}
END_TEST

START_TEST(constant_offset_leaves_limits_to_the_form_that_counts_it_as_error)
{
    int over[LEN(A)];
    for (int i = 0; i < LEN(A); i++)
        over[i] = A[i] + 4;
    const struct pair_sums s = sums_of(A, over, LEN(A));
    stats_icc(&s, form);
    ck_assert_int_eq(form[0].limits_lack, LACK_NONE);
    ck_assert_int_eq(form[1].limits_lack, LACK_SPREAD);
    ck_assert_double_lt(form[1].value, 1.0);
    figure_is_without_limits(&form[2], 1.0, LACK_SPREAD);
    figure_is_without_limits(&form[5], 1.0, LACK_SPREAD);
}
END_TEST

START_TEST(equal_values_have_no_form)
{
    static const int SAME[] = {120, 120, 120}, OTHER[] = {124, 124, 124};
    const struct pair_sums alike = sums_of(SAME, SAME, 3), apart = sums_of(SAME, OTHER, 3);
    stats_icc(&alike, form);
    for (int i = 0; i < FORMS; i++)
        ck_assert_int_eq(form[i].lack, LACK_RANGE);
    stats_icc(&apart, form);
    for (int i = 0; i < FORMS; i++)
        ck_assert_int_eq(form[i].lack, LACK_RANGE);
}
END_TEST

START_TEST(mirrored_pairs_have_no_mean_form)
{
    static const int UP[] = {120, 124, 126}, DOWN[] = {126, 122, 120};
    const struct pair_sums s = sums_of(UP, DOWN, 3);
    stats_icc(&s, form);
    figure_is_without_limits(&form[0], -1.0, LACK_BETWEEN);
    figure_is_without_limits(&form[2], -1.0, LACK_BETWEEN);
    for (int i = 3; i < FORMS; i++)
        ck_assert_int_eq(form[i].lack, LACK_BETWEEN);
}
END_TEST

START_TEST(constant_judge_gives_the_values_of_psych)
{
    static const int ONE[] = {120, 124, 122, 130}, LEVEL[] = {121, 121, 121, 121};
    const struct pair_sums s = sums_of(ONE, LEVEL, 4);
    stats_icc(&s, form);
    figure_is(&form[0], -0.104, -0.84957653755, 0.849123410326);
    figure_is(&form[1], 0.0, -0.611638645534, 0.854214194346);
    figure_is(&form[2], 0.0, -0.87833944816, 0.87833944816);
}
END_TEST

START_TEST(every_small_table_is_told_in_numbers_or_words)
{
    /* every table of three pairs of values 0 to 2 */
    for (int code = 0; code < 729; code++) {
        int a[3], b[3];
        for (int i = 0, rest = code; i < 3; i++, rest /= 9) {
            a[i] = rest % 3;
            b[i] = rest / 3 % 3;
        }
        for (int n = 0; n <= 3; n++) {
            const struct pair_sums s = sums_of(a, b, n);
            stats_icc(&s, form);
            for (int i = 0; i < FORMS; i++) {
                figure_is_sound(&form[i]);
                if (form[i].lack == LACK_NONE)
                    ck_assert_double_le(form[i].value, 1.0);
            }
        }
    }
}
END_TEST

static void squares_are_sound(const struct icc_squares *q)
{
    icc_of(q, form);
    for (int i = 0; i < FORMS; i++) {
        const bool has = form[i].lack == LACK_NONE, has_limits = has && form[i].limits_lack == LACK_NONE;
        ck_assert(!has || isfinite(form[i].value));
        ck_assert(!has_limits || (isfinite(form[i].low) && isfinite(form[i].high)));
    }
}

START_TEST(any_mean_squares_are_told_in_numbers_or_words)
{
    static const double SIZE[] = {0.0, 1e-300, 1e-3, 1.0, 7.0, 1e6, 1e150};
    static const int64_t COUNT[] = {-1, 1, 2, 3, 1000, 10000000};
    static const int32_t JUDGES[] = {0, 1, 2, 3, 8};
    const int sizes = LEN(SIZE);
    for (int c = 0; c < LEN(COUNT) * LEN(JUDGES); c++) {
        struct icc_squares q = {.n = COUNT[c / LEN(JUDGES)], .k = JUDGES[c % LEN(JUDGES)]};
        for (int i = 0; i < sizes * sizes * sizes; i++) {
            q.between = SIZE[i % sizes];
            q.judges = SIZE[i / sizes % sizes];
            q.residual = SIZE[i / sizes / sizes];
            q.within = q.n > 1 ? (q.judges + q.residual * ((double)q.n - 1.0)) / (double)q.n : q.residual;
            squares_are_sound(&q);
        }
    }
}
END_TEST

START_TEST(millions_of_the_largest_pairs_are_still_numbers)
{
    struct pair_sums s = {0};
    for (int i = 0; i < 4; i++)
        pair_sums_add(&s, i < 2 ? AGREE_VALUE_MAX : -AGREE_VALUE_MAX,
                      i % 2 ? AGREE_VALUE_MAX : -AGREE_VALUE_MAX);
    while (s.n < 8000000) {
        const struct pair_sums half = s;
        pair_sums_merge(&s, &half);
    }
    stats_icc(&s, form);
    for (int i = 0; i < FORMS; i++)
        figure_is_sound(&form[i]);
    NEAR(form[2].value, 0.0);
}
END_TEST

START_TEST(table_beyond_its_limits_is_refused)
{
    static const int64_t WIDE[4] = {INT64_MIN, INT64_MAX, 0, 1};
    int64_t nine[18] = {0};
    struct icc_squares q;
    ck_assert(!icc_squares_of(TABLE_1979, 1, 4, &q));
    ck_assert(!icc_squares_of(TABLE_1979, 6, 1, &q));
    ck_assert(!icc_squares_of(nine, 2, 9, &q));
    ck_assert(!icc_squares_of(WIDE, 2, 2, &q));
}
END_TEST

int main(void)
{
    Suite *s = suite_create("agreement_icc");
    TCase *values = tcase_create("values"), *lacks = tcase_create("lacks");
    tcase_set_timeout(lacks, 60);
    tcase_add_test(values, table_of_1979_gives_its_mean_squares);
    tcase_add_test(values, table_of_1979_gives_its_six_forms_with_the_limits_of_psych);
    tcase_add_test(values, offset_of_a_table_changes_no_digit);
    tcase_add_test(values, twelve_pairs_give_the_forms_and_limits_of_psych);
    tcase_add_test(values, sums_of_pairs_give_what_their_table_gives);
    tcase_add_test(values, negative_single_forms_keep_their_limits);
    tcase_add_test(values, mean_form_has_no_limits_where_the_single_one_falls_below_its_least);
    tcase_add_test(lacks, fewer_than_two_pairs_say_how_many_it_takes);
    tcase_add_test(lacks, two_pairs_are_enough);
    tcase_add_test(lacks, perfect_agreement_is_one_without_limits);
    tcase_add_test(lacks, constant_offset_leaves_limits_to_the_form_that_counts_it_as_error);
    tcase_add_test(lacks, equal_values_have_no_form);
    tcase_add_test(lacks, mirrored_pairs_have_no_mean_form);
    tcase_add_test(lacks, constant_judge_gives_the_values_of_psych);
    tcase_add_test(lacks, every_small_table_is_told_in_numbers_or_words);
    tcase_add_test(lacks, any_mean_squares_are_told_in_numbers_or_words);
    tcase_add_test(lacks, millions_of_the_largest_pairs_are_still_numbers);
    tcase_add_test(lacks, table_beyond_its_limits_is_refused);
    suite_add_tcase(s, values);
    suite_add_tcase(s, lacks);
    SRunner *r = srunner_create(s);
    srunner_run_all(r, CK_NORMAL);
    const int failed = srunner_ntests_failed(r);
    srunner_free(r);
    return failed == 0 ? EXIT_SUCCESS : EXIT_FAILURE;
}
