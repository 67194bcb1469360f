/* SPDX-License-Identifier: GPL-3.0-or-later */
#include <check.h>
#include <stdlib.h>

#include "stillarm/average.h"
#include "stillarm/err.h"

struct row {
    enum average_of which;
    int32_t sys[4], dia[4];
    int n, in, sys_sum, dia_sum;
    const char *why;
};

static const struct row ROWS[] = {
    {AVERAGE_ALL, {126}, {78}, 1, 1, 126, 78, "one reading is its own mean"},
    {AVERAGE_ALL, {126, 124, 130}, {78, 76, 80}, 3, 3, 380, 234, "all three"},
    {AVERAGE_LAST_TWO, {126}, {78}, 1, 1, 126, 78, "the last two of one are that one"},
    {AVERAGE_LAST_TWO, {126, 124}, {78, 76}, 2, 2, 250, 154, "the last two of two are both"},
    {AVERAGE_LAST_TWO,
     {126, 124, 130, 132},
     {78, 76, 80, 82},
     4,
     2,
     262,
     162,
     "the first two of four stay out"},
    {AVERAGE_WITHOUT_FIRST, {126}, {78}, 1, 1, 126, 78, "a single reading is not thrown away"},
    {AVERAGE_WITHOUT_FIRST, {126, 124}, {78, 76}, 2, 1, 124, 76, "the second of two"},
    {AVERAGE_WITHOUT_FIRST, {126, 124, 130}, {78, 76, 80}, 3, 2, 254, 156, "the first of three stays out"},
    {AVERAGE_LOWER_OF_LAST_TWO, {126}, {78}, 1, 1, 126, 78, "one reading"},
    {AVERAGE_LOWER_OF_LAST_TWO,
     {126, 124},
     {76, 78},
     2,
     1,
     124,
     78,
     "the whole reading with the lower systolic"},
    {AVERAGE_LOWER_OF_LAST_TWO,
     {100, 130, 140},
     {60, 80, 70},
     3,
     1,
     130,
     80,
     "a lower first one does not matter"},
    {AVERAGE_LOWER_OF_LAST_TWO,
     {130, 130},
     {84, 80},
     2,
     1,
     130,
     80,
     "equal systolics: the lower diastolic, second"},
    {AVERAGE_LOWER_OF_LAST_TWO,
     {130, 130},
     {80, 84},
     2,
     1,
     130,
     80,
     "equal systolics: the lower diastolic, first"},
};

START_TEST(average_of_takes_what_its_rule_says)
{
    const struct row *r = &ROWS[_i];
    struct average a = average_of(r->which, r->sys, r->dia, r->n);
    ck_assert_msg(a.n == r->in && a.systolic_sum_mmhg == r->sys_sum && a.diastolic_sum_mmhg == r->dia_sum,
                  "%s: %d/%d over %d", r->why, (int)a.systolic_sum_mmhg, (int)a.diastolic_sum_mmhg, (int)a.n);
}
END_TEST

START_TEST(average_x100_rounds_halves_up)
{
    ck_assert_int_eq(average_x100(0, 1), 0);
    ck_assert_int_eq(average_x100(250, 2), 12500);
    ck_assert_int_eq(average_x100(380, 3), 12667); /* 126.666.. */
    ck_assert_int_eq(average_x100(379, 3), 12633); /* 126.333.. */
    ck_assert_int_eq(average_x100(1, 8), 13);      /* 0.125: a half goes up */
    ck_assert_int_eq(average_x100(1001, 8), 12513);
}
END_TEST

START_TEST(average_mmhg_rounds_halves_up)
{
    ck_assert_int_eq(average_mmhg(0, 3), 0);
    ck_assert_int_eq(average_mmhg(251, 2), 126); /* 125.5 */
    ck_assert_int_eq(average_mmhg(379, 3), 126); /* 126.33 */
    ck_assert_int_eq(average_mmhg(380, 3), 127); /* 126.67 */
    ck_assert_int_eq(average_mmhg(505, 4), 126); /* 126.25 */
    ck_assert_int_eq(average_mmhg(506, 4), 127); /* 126.5 */
}
END_TEST

START_TEST(average_of_holds_the_largest_sums)
{
    int32_t sys[64], dia[64];
    for (int i = 0; i < 64; i++) {
        sys[i] = 300;
        dia[i] = 298;
    }
    struct average a = average_of(AVERAGE_ALL, sys, dia, 64);
    ck_assert_int_eq(average_x100(a.systolic_sum_mmhg, a.n), 30000);
    ck_assert_int_eq(average_x100(a.diastolic_sum_mmhg, a.n), 29800);
}
END_TEST

int main(void)
{
    Suite *suite = suite_create("average");
    TCase *t = tcase_create("average");
    tcase_add_loop_test(t, average_of_takes_what_its_rule_says, 0, (int)ARRAY_LEN(ROWS));
    tcase_add_test(t, average_x100_rounds_halves_up);
    tcase_add_test(t, average_mmhg_rounds_halves_up);
    tcase_add_test(t, average_of_holds_the_largest_sums);
    suite_add_tcase(suite, t);
    SRunner *runner = srunner_create(suite);
    srunner_run_all(runner, CK_NORMAL);
    int failed = srunner_ntests_failed(runner);
    srunner_free(runner);
    return failed == 0 ? EXIT_SUCCESS : EXIT_FAILURE;
}
