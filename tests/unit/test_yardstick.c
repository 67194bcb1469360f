/* SPDX-License-Identifier: GPL-3.0-or-later */
/** @file test_yardstick.c  How a record stands to a yardstick: what is ready, what lacks data, and what is not yet so. */
#include <check.h>
#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "stillarm/err.h"
#include "stillarm/yardstick.h"

static struct yardstick y;
static struct record r;

static void setup(void)
{
    memset(&y, 0, sizeof y);
    memset(&r, 0, sizeof r);
    y.plan = (struct learning_plan){
        .adequate = 0.10, .inadequate = 0.25, .reach = 1.25, .lose = 2.0, .horizon = 50, .right_within_mmhg = 5};
}

static struct criterion *ask(enum criterion_about about, int which)
{
    struct criterion *c = &y.criteria[y.criterion_count++];
    c->about = about;
    c->which = which;
    return c;
}

static void at_least(enum criterion_about about, int which, enum criterion_by by, double bound)
{
    struct criterion *c = ask(about, which);
    c->by = by;
    c->bound = bound;
}

static void at_most(enum criterion_about about, int which, enum criterion_by by, double bound)
{
    at_least(about, which, by, bound);
    y.criteria[y.criterion_count - 1].is_at_most = true;
}

static struct figure share(int64_t x, int64_t n)
{
    struct figure f = {.value = (double)x / (double)n};
    share_limits(x, n, AGREE_COVERAGE, &f.low, &f.high);
    return f;
}

static void set_near_5(int64_t systolic, int64_t diastolic, int64_t n)
{
    r.agreement.n = r.count[RECORD_PAIRS] = n;
    r.agreement.side[SIDE_SYSTOLIC].figure[FIGURE_NEAR_5] = share(systolic, n);
    r.agreement.side[SIDE_DIASTOLIC].figure[FIGURE_NEAR_5] = share(diastolic, n);
}

static void set_both(enum side_figure which, struct figure systolic, struct figure diastolic)
{
    r.agreement.side[SIDE_SYSTOLIC].figure[which] = systolic;
    r.agreement.side[SIDE_DIASTOLIC].figure[which] = diastolic;
}

static struct figure of_value(double v)
{
    return (struct figure){.value = v, .low = v - 1, .high = v + 1};
}

static struct readiness_result judged(void)
{
    struct readiness_result out;
    memset(&out, 0x5A, sizeof out);
    yardstick_judge(&y, &r, &out);
    return out;
}

static void must(struct criterion_result got, enum readiness answer, int64_t missing)
{
    ck_assert_str_eq(READINESS_WORDS[got.answer], READINESS_WORDS[answer]);
    ck_assert_int_eq(got.missing, missing);
}

START_TEST(words_are_there_for_every_value)
{
    for (int i = 0; i < RECORD_COUNT; i++)
        ck_assert_ptr_nonnull(RECORD_WORDS[i]);
    for (int i = 0; i < CRITERION_BY_COUNT; i++)
        ck_assert_ptr_nonnull(CRITERION_BY_WORDS[i]);
    ck_assert_str_eq(READINESS_WORDS[READY_TOO_FEW], "too few");
    ck_assert_str_eq(READINESS_WORDS[READY_NOT_YET], "not yet");
    ck_assert_str_eq(READINESS_WORDS[READY_YES], "ready");
}
END_TEST

START_TEST(a_yardstick_that_asks_nothing_makes_nobody_ready)
{
    ck_assert_int_eq(judged().answer, READY_TOO_FEW);
}
END_TEST

START_TEST(a_count_below_its_bound_is_too_few_by_the_difference)
{
    at_least(ABOUT_RECORD, RECORD_PAIRS, BY_VALUE, 29);
    r.count[RECORD_PAIRS] = 28;
    struct readiness_result out = judged();
    must(out.of[0], READY_TOO_FEW, 1);
    ck_assert_int_eq(out.missing_pairs, 1);
    ck_assert_int_eq(out.of[0].side, -1);
    ck_assert(out.of[0].has_value && fabs(out.of[0].value - 28) < 1e-12);
    r.count[RECORD_PAIRS] = 29;
    out = judged();
    must(out.of[0], READY_YES, 0);
    ck_assert_int_eq(out.answer, READY_YES);
    ck_assert_int_eq(out.missing_pairs, 0);
}
END_TEST

START_TEST(missing_pairs_are_the_most_that_any_criterion_lacks)
{
    at_least(ABOUT_RECORD, RECORD_PAIRS, BY_VALUE, 29);
    at_least(ABOUT_RECORD, RECORD_SUBJECTS, BY_VALUE, 20);
    at_least(ABOUT_RECORD, RECORD_SITTINGS, BY_VALUE, 500);
    r.count[RECORD_PAIRS] = 20;
    r.count[RECORD_SUBJECTS] = 7;
    struct readiness_result out = judged();
    must(out.of[2], READY_TOO_FEW, 500);
    ck_assert_int_eq(out.missing_pairs, 13); /* a sitting takes no pair */
}
END_TEST

START_TEST(days_since_a_pair_fail_when_too_many_and_lack_without_a_pair)
{
    at_most(ABOUT_RECORD, RECORD_DAYS_SINCE_PAIR, BY_VALUE, 183);
    must(judged().of[0], READY_TOO_FEW, 1);
    r.count[RECORD_PAIRS] = 1;
    r.count[RECORD_DAYS_SINCE_PAIR] = 183;
    must(judged().of[0], READY_YES, 0);
    r.count[RECORD_DAYS_SINCE_PAIR] = 184;
    must(judged().of[0], READY_NOT_YET, 0);
}
END_TEST

START_TEST(the_clean_share_is_of_the_sittings)
{
    at_least(ABOUT_RECORD, RECORD_CLEAN_SHARE, BY_VALUE, 0.8);
    must(judged().of[0], READY_TOO_FEW, 1);
    ck_assert_int_eq(judged().missing_pairs, 0);
    r.count[RECORD_SITTINGS] = 10;
    r.count[RECORD_CLEAN_SHARE] = 8;
    must(judged().of[0], READY_YES, 0);
    r.count[RECORD_CLEAN_SHARE] = 7;
    must(judged().of[0], READY_NOT_YET, 0);
    ck_assert(fabs(judged().of[0].value - 0.7) < 1e-12);
}
END_TEST

START_TEST(a_share_by_value_is_met_at_its_bound_on_both_sides)
{
    at_least(ABOUT_SIDE, FIGURE_NEAR_5, BY_VALUE, 0.90);
    set_near_5(18, 20, 20);
    must(judged().of[0], READY_YES, 0);
    set_near_5(20, 17, 20);
    struct readiness_result out = judged();
    must(out.of[0], READY_NOT_YET, 0);
    ck_assert_int_eq(out.of[0].side, SIDE_DIASTOLIC);
    ck_assert(fabs(out.of[0].value - 0.85) < 1e-12);
    set_near_5(17, 16, 20);
    ck_assert_int_eq(judged().of[0].side, SIDE_DIASTOLIC); /* the one that is further off */
    set_near_5(16, 17, 20);
    ck_assert_int_eq(judged().of[0].side, SIDE_SYSTOLIC);
}
END_TEST

/* low95(n of n) is 0.025^(1/n): 0.75 takes 13; 12 right of 12 show 0.7353. */
static const struct {
    int64_t right, n, missing;
    enum readiness answer;
    const char *why;
} BY_LIMIT[] = {
    {12, 12, 1, READY_TOO_FEW, "all right, one too few"},
    {13, 13, 0, READY_YES, "the least that can show it"},
    {1, 1, 12, READY_TOO_FEW, "one pair proves nothing, right"},
    {0, 1, 0, READY_TOO_FEW, "or wrong"},
    {18, 20, 0, READY_TOO_FEW, "9 in 10, but it could be chance"},
    {14, 20, 0, READY_NOT_YET, "enough to see that it is not so"},
    {0, 100, 0, READY_NOT_YET, "never"},
    {27, 29, 0, READY_YES, "two of 29 wrong"},
    {26, 29, 0, READY_TOO_FEW, "three of 29 wrong"},
};

/* The least number of further right pairs, found by trying each in turn. */
static int64_t tried(int64_t right, int64_t n, double bound)
{
    for (int64_t k = 1;; k++)
        if (share(right + k, n + k).low >= bound)
            return k;
}

START_TEST(a_share_by_its_lower_limit_tells_too_few_from_not_yet)
{
    const int64_t right = BY_LIMIT[_i].right, n = BY_LIMIT[_i].n;
    at_least(ABOUT_SIDE, FIGURE_NEAR_5, BY_LOW, 0.75);
    set_near_5(right, n, n);
    const struct criterion_result got = judged().of[0];
    ck_assert_msg(got.answer == BY_LIMIT[_i].answer, "%s: %s", BY_LIMIT[_i].why, READINESS_WORDS[got.answer]);
    ck_assert_int_eq(got.missing, got.answer == READY_TOO_FEW ? tried(right, n, 0.75) : 0);
    if (BY_LIMIT[_i].missing)
        ck_assert_int_eq(got.missing, BY_LIMIT[_i].missing);
}
END_TEST

START_TEST(the_pairs_that_are_missing_would_do)
{
    at_least(ABOUT_SIDE, FIGURE_NEAR_5, BY_LOW, 0.9);
    for (int64_t n = 1; n < 60; n++) {
        set_near_5(n, n, n);
        const struct criterion_result now = judged().of[0];
        if (now.answer == READY_YES)
            break;
        set_near_5(n + now.missing, n + now.missing, n + now.missing);
        must(judged().of[0], READY_YES, 0);
        set_near_5(n + now.missing - 1, n + now.missing - 1, n + now.missing - 1);
        must(judged().of[0], READY_TOO_FEW, 1);
    }
}
END_TEST

START_TEST(a_bound_that_no_number_of_pairs_shows_names_none)
{
    at_least(ABOUT_SIDE, FIGURE_NEAR_5, BY_LOW, 1.0);
    set_near_5(50, 50, 50);
    must(judged().of[0], READY_TOO_FEW, 0);
}
END_TEST

START_TEST(a_size_is_judged_without_its_sign)
{
    at_most(ABOUT_SIDE, FIGURE_BIAS, BY_SIZE, 2);
    set_both(FIGURE_BIAS, of_value(-2), of_value(2));
    must(judged().of[0], READY_YES, 0);
    set_both(FIGURE_BIAS, of_value(-2.5), of_value(0));
    must(judged().of[0], READY_NOT_YET, 0);
    ck_assert(fabs(judged().of[0].value - 2.5) < 1e-12);
    ck_assert_int_eq(judged().of[0].side, SIDE_SYSTOLIC);
}
END_TEST

START_TEST(a_limit_that_misses_while_the_value_meets_lacks_pairs_of_unknown_number)
{
    at_most(ABOUT_SIDE, FIGURE_BIAS, BY_HIGH, 2);
    set_both(FIGURE_BIAS, of_value(1.5), of_value(0.5));
    must(judged().of[0], READY_TOO_FEW, 0);
    ck_assert_int_eq(judged().of[0].side, SIDE_SYSTOLIC);
    set_both(FIGURE_BIAS, of_value(2.5), of_value(0.5));
    must(judged().of[0], READY_NOT_YET, 0);
}
END_TEST

START_TEST(a_lack_is_never_ready_whatever_the_value_holds)
{
    for (int lack = LACK_NONE + 1; lack < LACK_COUNT; lack++)
        for (int by = 0; by < CRITERION_BY_COUNT; by++) {
            setup();
            at_least(ABOUT_SIDE, FIGURE_CORRELATION, (enum criterion_by)by, -1000);
            struct figure f = of_value(0);
            f.lack = (enum lack)lack;
            set_both(FIGURE_CORRELATION, of_value(0), f);
            const struct readiness_result out = judged();
            ck_assert_int_eq(out.answer, READY_TOO_FEW);
            ck_assert_int_eq(out.of[0].side, SIDE_DIASTOLIC);
            ck_assert(!out.of[0].has_value);
        }
}
END_TEST

START_TEST(a_limit_that_lacks_is_not_ready_where_the_limit_is_judged)
{
    struct figure f = of_value(1);
    f.limits_lack = LACK_SPREAD;
    set_both(FIGURE_ICC_2_1, f, f);
    at_least(ABOUT_SIDE, FIGURE_ICC_2_1, BY_LOW, 0.5);
    at_least(ABOUT_SIDE, FIGURE_ICC_2_1, BY_VALUE, 0.5);
    const struct readiness_result out = judged();
    must(out.of[0], READY_TOO_FEW, 1);
    must(out.of[1], READY_YES, 0);
}
END_TEST

START_TEST(a_figures_need_is_what_is_missing_less_the_pairs_there_are)
{
    const struct figure f = {.lack = LACK_DIGITS, .limits_lack = LACK_DIGITS, .need = 25};
    at_least(ABOUT_SIDE, FIGURE_ZERO_P, BY_VALUE, 0.01);
    set_both(FIGURE_ZERO_P, f, f);
    r.agreement.n = 20;
    must(judged().of[0], READY_TOO_FEW, 5);
    ck_assert_int_eq(judged().missing_pairs, 5);
    r.agreement.n = 40; /* odd values among them: at least one more */
    must(judged().of[0], READY_TOO_FEW, 1);
}
END_TEST

START_TEST(a_joint_share_counts_pairs_that_are_right_on_both_sides)
{
    at_least(ABOUT_JOINT, FIGURE_RIGHT, BY_LOW, 0.75);
    r.agreement.n = 12;
    r.agreement.joint[FIGURE_RIGHT] = share(12, 12);
    must(judged().of[0], READY_TOO_FEW, 1);
    ck_assert_int_eq(judged().of[0].side, -1);
}
END_TEST

/* ---- the learning curve ---- */

static void answer(const char *answers)
{
    learning_begin(&r.agreement.learning);
    r.agreement.has_learning = true;
    for (; *answers; answers++)
        learning_take(&r.agreement.learning, &y.plan, *answers == 'R');
}

static const struct {
    const char *answers;
    enum readiness answer;
    int64_t missing;
} LEARNT[] = {
    {"", READY_TOO_FEW, 7},           {"RRRRRR", READY_TOO_FEW, 1},    {"RRRRRRR", READY_YES, 0},
    {"W", READY_TOO_FEW, 7},          {"RWRWRW", READY_TOO_FEW, 7},    {"RWRWRWRW", READY_NOT_YET, 0},
    {"RRRRRRRWWW", READY_NOT_YET, 0}, {"RRRRRRRWWWR", READY_NOT_YET, 0}, {"RRRRRRRWWWRRRRRRR", READY_YES, 0},
};

START_TEST(a_skill_is_reached_not_yet_or_too_few_answers_tell)
{
    ask(ABOUT_REACHED, 0);
    answer(LEARNT[_i].answers);
    must(judged().of[0], LEARNT[_i].answer, LEARNT[_i].missing);
}
END_TEST

START_TEST(answers_of_several_measurers_have_no_curve)
{
    ask(ABOUT_REACHED, 0);
    answer("RRRRRRR");
    r.agreement.has_learning = false;
    must(judged().of[0], READY_TOO_FEW, 0);
}
END_TEST

/* ---- all together ---- */

START_TEST(what_fails_outweighs_a_figure_that_lacks)
{
    at_most(ABOUT_SIDE, FIGURE_BIAS, BY_SIZE, 2);
    at_least(ABOUT_SIDE, FIGURE_ICC_2_1, BY_VALUE, 0.9);
    set_both(FIGURE_ICC_2_1, (struct figure){.lack = LACK_RANGE, .limits_lack = LACK_RANGE}, of_value(1));
    set_both(FIGURE_BIAS, of_value(0), of_value(0));
    ck_assert_int_eq(judged().answer, READY_TOO_FEW);
    set_both(FIGURE_BIAS, of_value(3), of_value(0));
    ck_assert_int_eq(judged().answer, READY_NOT_YET);
}
END_TEST

START_TEST(a_number_that_is_short_outweighs_what_fails_and_that_what_is_met)
{
    at_least(ABOUT_RECORD, RECORD_PAIRS, BY_VALUE, 10);
    at_most(ABOUT_SIDE, FIGURE_BIAS, BY_SIZE, 2);
    at_least(ABOUT_RECORD, RECORD_SUBJECTS, BY_VALUE, 5);
    r.count[RECORD_PAIRS] = 10;
    r.count[RECORD_SUBJECTS] = 5;
    ck_assert_int_eq(judged().answer, READY_YES);
    r.count[RECORD_SUBJECTS] = 4;
    ck_assert_int_eq(judged().answer, READY_TOO_FEW);
    set_both(FIGURE_BIAS, of_value(3), of_value(0));
    ck_assert_int_eq(judged().answer, READY_TOO_FEW);
    ck_assert_int_eq(judged().of[1].answer, READY_NOT_YET);
    ck_assert_int_eq(judged().missing_pairs, 1);
    r.count[RECORD_SUBJECTS] = 5;
    ck_assert_int_eq(judged().answer, READY_NOT_YET);
    ck_assert_int_eq(judged().missing_pairs, 0);
}
END_TEST

int main(void)
{
    Suite *suite = suite_create("yardstick");
    TCase *core = tcase_create("core");
    tcase_add_checked_fixture(core, setup, NULL);
    tcase_add_test(core, words_are_there_for_every_value);
    tcase_add_test(core, a_yardstick_that_asks_nothing_makes_nobody_ready);
    tcase_add_test(core, a_count_below_its_bound_is_too_few_by_the_difference);
    tcase_add_test(core, missing_pairs_are_the_most_that_any_criterion_lacks);
    tcase_add_test(core, days_since_a_pair_fail_when_too_many_and_lack_without_a_pair);
    tcase_add_test(core, the_clean_share_is_of_the_sittings);
    tcase_add_test(core, a_share_by_value_is_met_at_its_bound_on_both_sides);
    tcase_add_loop_test(core, a_share_by_its_lower_limit_tells_too_few_from_not_yet, 0, (int)ARRAY_LEN(BY_LIMIT));
    tcase_add_test(core, the_pairs_that_are_missing_would_do);
    tcase_add_test(core, a_bound_that_no_number_of_pairs_shows_names_none);
    tcase_add_test(core, a_size_is_judged_without_its_sign);
    tcase_add_test(core, a_limit_that_misses_while_the_value_meets_lacks_pairs_of_unknown_number);
    tcase_add_test(core, a_lack_is_never_ready_whatever_the_value_holds);
    tcase_add_test(core, a_limit_that_lacks_is_not_ready_where_the_limit_is_judged);
    tcase_add_test(core, a_figures_need_is_what_is_missing_less_the_pairs_there_are);
    tcase_add_test(core, a_joint_share_counts_pairs_that_are_right_on_both_sides);
    tcase_add_loop_test(core, a_skill_is_reached_not_yet_or_too_few_answers_tell, 0, (int)ARRAY_LEN(LEARNT));
    tcase_add_test(core, answers_of_several_measurers_have_no_curve);
    tcase_add_test(core, what_fails_outweighs_a_figure_that_lacks);
    tcase_add_test(core, a_number_that_is_short_outweighs_what_fails_and_that_what_is_met);
    suite_add_tcase(suite, core);
    SRunner *runner = srunner_create(suite);
    srunner_run_all(runner, CK_NORMAL);
    int failed = srunner_ntests_failed(runner);
    srunner_free(runner);
    return failed == 0 ? EXIT_SUCCESS : EXIT_FAILURE;
}
