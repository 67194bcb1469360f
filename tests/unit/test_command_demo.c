/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The demo's invented course: three people, and what the yardstick that comes with the program says of each. */
#include "command_run.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

#include "stillarm/err.h"

static char out[400000];

static const char *printed(const char *line)
{
    int status = run(line, out, sizeof out);
    ck_assert_msg(status == 0, "%s: status %d; %s", line, status, out);
    return out;
}

/* The number behind these words. */
static double number_after(const char *text, const char *words)
{
    double number = 0;
    const char *at = strstr(text, words);
    ck_assert_msg(at && sscanf(at + strlen(words), "%lf", &number) == 1, "no number behind `%s`: %s", words, text);
    return number;
}

START_TEST(course_verifies)
{
    run_fill_course();
    ck_assert_ptr_nonnull(strstr(printed("$S --db s.db verify"), "Every chain, signature, state and reading is as recorded."));
}
END_TEST

static const struct { const char *line, *answer; } ANSWERS[] = {
    { "$S --db s.db progress mira", "\nready, by the yardstick trainee" },
    { "$S --db s.db progress joss", "\nnot yet, by the yardstick trainee" },
    { "$S --db s.db progress tilo", "\ntoo few: at least " },
};

START_TEST(course_comes_out_as_told)
{
    run_fill_course();
    ck_assert_msg(strstr(printed(ANSWERS[_i].line), ANSWERS[_i].answer), "%s: %s", ANSWERS[_i].line, out);
}
END_TEST

/* 25 right answers from the first on would do. */
START_TEST(who_is_ready_had_stumbled_first)
{
    run_fill_course();
    ck_assert_double_ge(number_after(printed("$S --db s.db progress mira"), "signalled at pair "), 30);
}
END_TEST

START_TEST(who_is_ready_had_a_bias_that_shrank)
{
    static const char *const THEN_AND_NOW[] = { "bias, systolic: ", " mmHg, now " };
    run_fill_course();
    const char *text = strstr(printed("$S --db s.db progress mira"), THEN_AND_NOW[0]);
    ck_assert_ptr_nonnull(text);
    ck_assert_double_gt(fabs(number_after(text, THEN_AND_NOW[0])), fabs(number_after(text, THEN_AND_NOW[1])));
}
END_TEST

START_TEST(who_is_not_yet_ready_shows_why)
{
    static const char *const WHY[] = { "mmHg lower than the listener, seldom by chance alone.",
                                       "More zeros at the end than chance brings", "(rest.short)", "(interval.short)",
                                       "(release.fast)", NULL };
    run_fill_course();
    must_print("$S --db s.db progress joss", WHY);
}
END_TEST

static const char *const EVERYBODY[] = { "mira", "joss", "tilo" };

START_TEST(somebody_listens_who_is_no_preceptor)
{
    char line[80];
    run_fill_course();
    snprintf(line, sizeof line, "$S --db s.db progress %s --json", EVERYBODY[_i]);
    ck_assert_double_ge(number_after(printed(line), "\"other_listener\":"), 1);
}
END_TEST

START_TEST(every_release_has_its_rate)
{
    char line[80];
    run_fill_course();
    snprintf(line, sizeof line, "$S --db s.db progress %s --json", EVERYBODY[_i]);
    int rates = 0;
    for (const char *at = printed(line); (at = strstr(at, "\"rate\":")); at++)
        rates++;
    ck_assert_int_eq(rates, (int)number_after(out, "\"taken\":"));
}
END_TEST

/* What waits for a preceptor is what the rest of the demo is about. */
START_TEST(course_leaves_nothing_to_review)
{
    static const char *const WAITING[] = { "review: 1 waits for a preceptor, 1 sent back to ben, 1 signature owed by ana", NULL };
    must_print("$S demo --plain", WAITING);
}
END_TEST

int main(void)
{
    TCase *t = run_case_new("demo", 300);
    tcase_add_test(t, course_verifies);
    tcase_add_loop_test(t, course_comes_out_as_told, 0, (int)ARRAY_LEN(ANSWERS));
    tcase_add_test(t, who_is_ready_had_stumbled_first);
    tcase_add_test(t, who_is_ready_had_a_bias_that_shrank);
    tcase_add_test(t, who_is_not_yet_ready_shows_why);
    tcase_add_loop_test(t, somebody_listens_who_is_no_preceptor, 0, (int)ARRAY_LEN(EVERYBODY));
    tcase_add_loop_test(t, every_release_has_its_rate, 0, (int)ARRAY_LEN(EVERYBODY));
    tcase_add_test(t, course_leaves_nothing_to_review);
    return run_case(t);
}
