/* SPDX-License-Identifier: GPL-3.0-or-later */
/** @file test_learning.c  The learning and the keeping curve: sequences worked from the published formulas, signals, and what their chances must be. */
#include <check.h>
#include <math.h>
#include <stdlib.h>

#include "stillarm/err.h"
#include "stillarm/learning.h"

#define PRINTED 5e-5 /* four decimals */

static const struct learning_plan PLAN = {
    .adequate = 0.10, .inadequate = 0.25, .reach = 1.25, .lose = 2.0, .horizon = 50, .right_within_mmhg = 5};

static void near(double got, double want, double tolerance, const char *what)
{
    ck_assert_msg(fabs(got - want) <= tolerance, "%s is %.12g, not %.12g", what, got, want);
}

/* R: right, W: wrong. */
static struct learning_state taken(const struct learning_plan *p, const char *answers)
{
    struct learning_state s;
    learning_begin(&s);
    for (; *answers; answers++)
        learning_take(&s, p, *answers == 'R');
    return s;
}

START_TEST(weights_are_log_ratios_and_mirror_each_other)
{
    struct learning_weights w;
    learning_weights(&PLAN, &w);
    near(w.reach_right, 0.182322, 5e-7, "a right answer");
    near(w.reach_wrong, -0.916291, 5e-7, "a wrong answer");
    near(w.lose_right, -w.reach_right, 0, "a right answer of the keeping curve");
    near(w.lose_wrong, -w.reach_wrong, 0, "a wrong answer of the keeping curve");
}
END_TEST

START_TEST(the_learning_curve_goes_through_the_worked_heights)
{
    static const double HEIGHT[] = {.1823, .3646, 0, .1823, .3646, .5470, .7293, .9116, 1.0939};
    const char *answers = "RRWRRRRRR";
    struct learning_state s;
    learning_begin(&s);
    for (size_t i = 0; i < ARRAY_LEN(HEIGHT); i++) {
        learning_take(&s, &PLAN, answers[i] == 'R');
        near(s.height, HEIGHT[i], PRINTED, "height");
        ck_assert_int_eq(s.reached_at, 0);
    }
    learning_take(&s, &PLAN, true);
    ck_assert_int_eq(s.reached_at, 10);
    ck_assert_int_eq(s.answers, 10);
    ck_assert_int_eq(s.wrong, 1);
}
END_TEST

START_TEST(seven_right_from_the_start_suffice_and_six_do_not)
{
    ck_assert_int_eq(taken(&PLAN, "RRRRRR").reached_at, 0);
    ck_assert_int_eq(taken(&PLAN, "RRRRRRR").reached_at, 7);
}
END_TEST

START_TEST(the_least_right_answers_are_those_that_taking_them_takes)
{
    static const double REACH[] = {1.25, 4.37572, 0.01};
    for (size_t i = 0; i < ARRAY_LEN(REACH); i++) {
        struct learning_plan p = PLAN;
        p.reach = REACH[i];
        for (int before = 0; before < 3; before++) { /* right ones already */
            struct learning_state now = taken(&p, &"RR"[2 - before]);
            int64_t took = 0;
            if (now.reached_at > 0)
                continue;
            const int64_t least = learning_least_right(&p, now.height);
            for (; now.reached_at == 0; took++)
                learning_take(&now, &p, true);
            ck_assert_int_eq(least, took);
        }
    }
    struct learning_plan exact = PLAN;
    exact.reach = 7 * taken(&PLAN, "R").height;
    ck_assert_int_eq(learning_least_right(&exact, 0.0), 7);
}
END_TEST

START_TEST(a_signal_is_not_given_twice)
{
    struct learning_state s = taken(&PLAN, "RRRRRRR");
    for (int i = 0; i < 100; i++) {
        learning_take(&s, &PLAN, true);
        ck_assert_int_eq(s.reached_at, 7);
        ck_assert_int_eq(s.lost_at, 0);
        near(s.height, 0, 0, "the keeping curve while all is right");
    }
}
END_TEST

START_TEST(the_keeping_curve_begins_at_nought_and_right_answers_lower_it)
{
    struct learning_state s = taken(&PLAN, "RRRRRRRW");
    near(s.height, .9163, PRINTED, "one wrong answer");
    learning_take(&s, &PLAN, true);
    near(s.height, .7340, PRINTED, "and a right one");
    ck_assert_int_eq(s.lost_at, 0);
}
END_TEST

START_TEST(what_was_lost_is_learnt_anew_from_nought)
{
    struct learning_state s = taken(&PLAN, "RRRRRRRWWW");
    ck_assert_int_eq(s.lost_at, 10);
    ck_assert_int_eq(s.reached_at, 0);
    near(s.height, 0, 0, "the learning curve after a loss");
    for (int i = 0; i < 6; i++) {
        learning_take(&s, &PLAN, true);
        ck_assert_int_eq(s.reached_at, 0);
    }
    learning_take(&s, &PLAN, true);
    ck_assert_int_eq(s.reached_at, 17);
    ck_assert_int_eq(s.lost_at, 10); /* that it was lost once stays known */
    ck_assert_int_eq(s.wrong, 3);
}
END_TEST

START_TEST(a_height_that_is_a_sum_of_steps_is_reached_whatever_rounding_does)
{
    struct learning_weights w;
    struct learning_plan p = PLAN;
    learning_weights(&p, &w);
    for (int n = 1; n <= 40; n++) {
        struct learning_state s;
        p.reach = n * w.reach_right;
        learning_begin(&s);
        while (s.reached_at == 0)
            learning_take(&s, &p, true);
        ck_assert_int_eq(s.reached_at, n);
        near(learning_chance(w.reach_right, -w.reach_wrong, p.reach, 1.0, n, NULL), 1, 1e-12, "chance of it");
        near(learning_chance(w.reach_right, -w.reach_wrong, p.reach, 1.0, n - 1, NULL), 0, 0, "chance before it");
    }
}
END_TEST

/* ---- chances ---- */

static const struct {
    double adequate, inadequate, reach, when_adequate, when_not;
} WORKED_CHANCES[] = {
    {.10, .20, 1.25, .9719, .6531},
    {.10, .20, 2.0, .8014, .2343},
    {.10, .30, 2.0, .9987, .6229},
};

START_TEST(chances_within_fifty_answers_are_those_of_the_facts)
{
    const struct learning_plan p = {.adequate = WORKED_CHANCES[_i].adequate,
                                    .inadequate = WORKED_CHANCES[_i].inadequate,
                                    .reach = WORKED_CHANCES[_i].reach, .lose = 2, .horizon = 50};
    struct learning_rates r;
    learning_rates(&p, &r);
    near(r.true_reach, WORKED_CHANCES[_i].when_adequate, PRINTED, "the chance when adequate");
    near(r.false_reach, WORKED_CHANCES[_i].when_not, PRINTED, "the chance when not");
}
END_TEST

/* All 2^n ways the answers can go, one by one. */
static double counted(double up, double down, double height, double p_up, int n)
{
    double sum = 0.0;
    for (unsigned way = 0; way < 1u << n; way++) {
        double s = 0.0, chance = 1.0;
        bool is_there = false;
        for (int i = 0; i < n; i++) {
            const bool is_up = (way >> i & 1u) != 0;
            s = fmax(0.0, s + (is_up ? up : -down));
            chance *= is_up ? p_up : 1.0 - p_up;
            is_there = is_there || s > height - 1e-9;
        }
        sum += is_there ? chance : 0.0;
    }
    return sum;
}

static const struct {
    double up, down, height, p_up;
} WAYS[] = {
    {.1823, .9163, .7, .75}, {.9163, .1823, 2.5, .1}, {1, 1, 3, .5},      {1, 1, 1, .3},    {1, 3, 4, .8},
    {.5, .3, 2.2, .45},      {3, 1, 5, .2},           {.1, .7, 1.15, .9}, {1, .01, 4, .25}, {1, 1, 100, .5},
};

START_TEST(chances_are_those_of_all_ways_counted)
{
    for (int n = 1; n <= 14; n++)
        near(learning_chance(WAYS[_i].up, WAYS[_i].down, WAYS[_i].height, WAYS[_i].p_up, n, NULL),
             counted(WAYS[_i].up, WAYS[_i].down, WAYS[_i].height, WAYS[_i].p_up, n), 1e-13, "the chance");
}
END_TEST

START_TEST(chances_rise_with_answers_and_fall_with_height)
{
    double by_height = 1.0;
    for (double height = 0.05; height < 8; height += 0.05) {
        const double now = learning_chance(.1823, .9163, height, .75, 100, NULL);
        ck_assert(now >= 0 && now <= by_height + 1e-12);
        by_height = now;
    }
    double by_answers = 0.0;
    for (int n = 1; n <= LEARNING_HORIZON_MAX; n++) {
        const double now = learning_chance(.1823, .9163, 4.4, .75, n, NULL);
        ck_assert(now >= by_answers - 1e-12 && now <= 1);
        by_answers = now;
    }
    ck_assert(by_answers > 0.1);
}
END_TEST

START_TEST(rates_are_ordered_as_they_must_be)
{
    struct learning_plan p = PLAN;
    struct learning_rates r, before = {1, 1, 0, 1, 1};
    for (p.reach = p.lose = 0.5; p.reach < 6; p.reach = p.lose = p.reach + 0.25) {
        learning_rates(&p, &r);
        ck_assert(r.false_reach <= r.true_reach && r.false_loss <= r.true_loss);
        ck_assert(r.false_reach <= before.false_reach && r.true_reach <= before.true_reach);
        ck_assert(r.false_loss <= before.false_loss && r.true_loss <= before.true_loss);
        before = r;
    }
}
END_TEST

START_TEST(the_median_is_the_first_answer_at_which_one_half_is_passed)
{
    int32_t at = 0;
    const double whole = learning_chance(.1823, .9163, 1.25, .9, 100, &at);
    ck_assert(whole > 0.5);
    ck_assert_int_gt(at, 1);
    ck_assert(learning_chance(.1823, .9163, 1.25, .9, at, NULL) >= 0.5);
    ck_assert(learning_chance(.1823, .9163, 1.25, .9, at - 1, NULL) < 0.5);
    (void)learning_chance(.1823, .9163, 1.25, .9, at - 1, &at);
    ck_assert_int_eq(at, 0);
}
END_TEST

START_TEST(no_answers_signal_nothing_and_more_than_fit_are_as_many_as_fit)
{
    ck_assert(learning_chance(1, 1, 1, .5, 0, NULL) <= 0);
    ck_assert(learning_chance(1, 1, 1, .5, -1, NULL) <= 0);
    near(learning_chance(1, 1, 30, .5, LEARNING_HORIZON_MAX + 1, NULL),
         learning_chance(1, 1, 30, .5, LEARNING_HORIZON_MAX, NULL), 0, "the chance beyond the horizon");
}
END_TEST

static const struct {
    double p_up, chance;
    int n;
} HEIGHTS[] = {{.75, .05, 100}, {.75, .01, 100}, {.75, .05, 400}, {.9, .2, 30}, {.1, .05, 100}, {.5, .5, 1}};

START_TEST(a_height_is_the_lowest_that_keeps_the_chance)
{
    const double p_up = HEIGHTS[_i].p_up, most = HEIGHTS[_i].chance;
    const double height = learning_height_for(.1823, .9163, p_up, HEIGHTS[_i].n, most);
    ck_assert(learning_chance(.1823, .9163, height, p_up, HEIGHTS[_i].n, NULL) <= most);
    ck_assert(height <= 1.1e-6 || learning_chance(.1823, .9163, height - 1e-6, p_up, HEIGHTS[_i].n, NULL) > most);
}
END_TEST

/* ---- CUSUM by its published formulas ---- */

START_TEST(the_charts_constants_are_those_of_the_formulas)
{
    double s = 0, low = 0, high = 0;
    cusum_chart(.10, .20, .10, .10, &s, &low, &high);
    near(s, .145244, 5e-7, "s");
    near(high, 2.709511, 5e-7, "h");
    near(low, -2.709511, 5e-7, "the lower h");
    ck_assert(-18 * s > low && -19 * s < low); /* 19 successes in a row pass it */
    near(-19 * s, -2.759643, 1e-6, "19 successes");
    cusum_chart(.05, .15, .10, .10, &s, &low, &high);
    near(s, .091934, 5e-7, "s at 5 and 15 %");
    near(high, 1.816131, 5e-7, "h at 5 and 15 %");
}
END_TEST

START_TEST(the_chart_goes_through_the_worked_sequence)
{
    double s = 0, low = 0, high = 0, sum = 0;
    cusum_chart(.10, .20, .10, .10, &s, &low, &high);
    sum += 1 - s;
    near(sum, .8548, PRINTED, "after the first");
    sum -= 4 * s;
    near(sum, .2738, PRINTED, "after the fifth");
    sum += 1 - s;
    near(sum, 1.1285, PRINTED, "after the sixth");
}
END_TEST

int main(void)
{
    Suite *suite = suite_create("learning");
    TCase *curve = tcase_create("curve"), *chance = tcase_create("chance"), *chart = tcase_create("chart");
    tcase_add_test(curve, weights_are_log_ratios_and_mirror_each_other);
    tcase_add_test(curve, the_learning_curve_goes_through_the_worked_heights);
    tcase_add_test(curve, seven_right_from_the_start_suffice_and_six_do_not);
    tcase_add_test(curve, the_least_right_answers_are_those_that_taking_them_takes);
    tcase_add_test(curve, a_signal_is_not_given_twice);
    tcase_add_test(curve, the_keeping_curve_begins_at_nought_and_right_answers_lower_it);
    tcase_add_test(curve, what_was_lost_is_learnt_anew_from_nought);
    tcase_add_test(curve, a_height_that_is_a_sum_of_steps_is_reached_whatever_rounding_does);
    suite_add_tcase(suite, curve);
    tcase_add_loop_test(chance, chances_within_fifty_answers_are_those_of_the_facts, 0,
                        (int)ARRAY_LEN(WORKED_CHANCES));
    tcase_add_loop_test(chance, chances_are_those_of_all_ways_counted, 0, (int)ARRAY_LEN(WAYS));
    tcase_add_test(chance, chances_rise_with_answers_and_fall_with_height);
    tcase_add_test(chance, rates_are_ordered_as_they_must_be);
    tcase_add_test(chance, the_median_is_the_first_answer_at_which_one_half_is_passed);
    tcase_add_test(chance, no_answers_signal_nothing_and_more_than_fit_are_as_many_as_fit);
    tcase_add_loop_test(chance, a_height_is_the_lowest_that_keeps_the_chance, 0, (int)ARRAY_LEN(HEIGHTS));
    suite_add_tcase(suite, chance);
    tcase_add_test(chart, the_charts_constants_are_those_of_the_formulas);
    tcase_add_test(chart, the_chart_goes_through_the_worked_sequence);
    suite_add_tcase(suite, chart);
    SRunner *runner = srunner_create(suite);
    srunner_run_all(runner, CK_NORMAL);
    int failed = srunner_ntests_failed(runner);
    srunner_free(runner);
    return failed == 0 ? EXIT_SUCCESS : EXIT_FAILURE;
}
