/* SPDX-License-Identifier: GPL-3.0-or-later */
/** @file test_agreement_words.c  An agreement in lines: what a figure reads like, what the words say, and that all of it fits. */
#include <check.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "guide/progress.h"

static const struct { const struct figure_row *row; struct figure figure; const char *says; } FIGURES[] = {
    { &SIDE_FIGURES[FIGURE_BIAS], { .value = 1.234, .low = -0.31, .high = 2.68 }, "+1.2 (-0.3 to 2.7) mmHg" },
    { &SIDE_FIGURES[FIGURE_BIAS], { .value = -0.04, .low = -0.049, .high = 0.04 }, "0.0 (0.0 to 0.0) mmHg" },
    { &SIDE_FIGURES[FIGURE_LOWER_APART], { .value = 3, .limits_lack = LACK_LIMITS }, "+3.0 mmHg" },
    { &SIDE_FIGURES[FIGURE_SD], { .value = 3.05, .low = 2.9, .high = 3.3 }, "3.0 (2.9 to 3.3) mmHg" },
    { &SIDE_FIGURES[FIGURE_NEAR_5], { .value = 0.8333, .low = 0.698, .high = 1 }, "83.3 % (69.8 to 100.0)" },
    { &SIDE_FIGURES[FIGURE_ICC_2_1], { .value = 0.8712, .low = -0.0004, .high = 0.9234 }, "0.871 (0.000 to 0.923)" },
    { &SIDE_FIGURES[FIGURE_ZERO_P], { .value = 0.0004, .limits_lack = LACK_LIMITS }, "< 0.001" },
    { &SIDE_FIGURES[FIGURE_ZERO_P], { .value = 0.034, .limits_lack = LACK_LIMITS }, "0.034" },
    { &SIDE_FIGURES[FIGURE_SD], { .lack = LACK_PAIRS, .limits_lack = LACK_PAIRS, .need = 2 }, "too few pairs, it takes 2" },
    { &SIDE_FIGURES[FIGURE_BIAS], { .value = 2, .limits_lack = LACK_SPREAD }, "+2.0 mmHg; no limits: all differences are the same" },
    { &JOINT_FIGURES[FIGURE_KAPPA], { .lack = LACK_CATEGORIES }, "no categories, or a listener stays in one of them" },
};

START_TEST(a_figure_reads_as_it_should)
{
    char said[200];
    say_figure(&FIGURES[_i].figure, FIGURES[_i].row, said, sizeof said);
    ck_assert_str_eq(said, FIGURES[_i].says);
}
END_TEST

/* ---- whole agreements ---- */

static char lines[200][300];
static enum line_role roles[200];
static int line_count;

static void keep_line(void *user, enum line_role role, const char *text)
{
    ck_assert_ptr_eq(user, lines);
    ck_assert_int_lt(line_count, 200);
    snprintf(lines[line_count], sizeof lines[0], "%s", text);
    roles[line_count++] = role;
}

static bool has_line(const char *part)
{
    for (int i = 0; i < line_count; i++)
        if (strstr(lines[i], part))
            return true;
    return false;
}

/* Pairs in thousandths: systolic a, b; diastolic a, b; each its own subject, or all of one. */
static void say_pairs(int64_t (*pairs)[4], int count, bool is_one_subject)
{
    static struct agree_tally t;
    static struct agreement a;
    const struct agree_frame frame = { .plan = { .adequate = 0.1, .inadequate = 0.25, .reach = 4, .lose = 4, .horizon = 100,
                                                 .right_within_mmhg = 5 } };
    struct agree_subject s = { 0 };
    agree_begin(&t, &frame);
    for (int i = 0; i < count; i++) {
        const struct agree_pair p = { .value = { { pairs[i][0], pairs[i][1] }, { pairs[i][2], pairs[i][3] } } };
        agree_add(&t, &s, &frame, &p);
        if (!is_one_subject || i == count - 1) {
            agree_close_subject(&t, &s);
            memset(&s, 0, sizeof s);
        }
    }
    agreement_of(&t, &a);
    line_count = 0;
    say_agreement(&a, keep_line, lines);
}

enum { MANY = 40 };

static int64_t many[MANY][4];

enum shape { SHAPE_NONE, SHAPE_ONE, SHAPE_TWO, SHAPE_EQUAL, SHAPE_OFFSET, SHAPE_EXTREME, SHAPE_ZEROS, SHAPE_REPEATS, SHAPE_COUNT };

static void say_shape(enum shape shape)
{
    const int count = shape == SHAPE_NONE ? 0 : shape == SHAPE_ONE ? 1 : shape == SHAPE_TWO ? 2 : MANY;
    for (int i = 0; i < count; i++) {
        const int64_t systolic = 1000 * (110 + 2 * (i * 7 % 20)), diastolic = 1000 * (70 + 2 * (i * 3 % 10));
        const int64_t off = shape == SHAPE_EQUAL ? 0 : shape == SHAPE_OFFSET ? 4000 : 2000 * (i * 5 % 7 - 2);
        const int64_t pair[4] = { systolic + off, systolic, diastolic - off, diastolic };
        static const int64_t wide[2][4] = { { 0, 999999, 0, 999999 }, { 999999, 0, 1, 0 } };
        memcpy(many[i], shape == SHAPE_EXTREME ? wide[i % 2] : pair, sizeof pair);
        if (shape == SHAPE_ZEROS)
            many[i][0] = systolic / 10000 * 10000;
    }
    say_pairs(many, count, shape == SHAPE_REPEATS);
}

START_TEST(every_line_fits_and_is_a_number_or_words)
{
    say_shape((enum shape)_i);
    for (int i = 0; i < line_count; i++) {
        ck_assert_msg(strlen(lines[i]) <= 78, "%zu: %s", strlen(lines[i]), lines[i]);
        ck_assert_msg(!strstr(lines[i], "nan") && !strstr(lines[i], "inf ") && !strstr(lines[i], "-0.0 "), "%s", lines[i]);
        ck_assert_msg(!strstr(lines[i], "competent") && !strstr(lines[i], "diagnos"), "%s", lines[i]);
    }
    if (_i == SHAPE_NONE) {
        ck_assert_int_eq(line_count, 1);
        ck_assert(has_line("No pairs: there is nothing to say yet."));
        return;
    }
    ck_assert_int_eq(roles[line_count - 1], LINE_CAUTION);
    ck_assert(has_line("It certifies nobody; a preceptor decides."));
}
END_TEST

START_TEST(words_come_before_figures)
{
    say_shape(SHAPE_REPEATS);
    int words = 0, figures = 0;
    for (int i = line_count - 1; i >= 0; i--) {
        words = strncmp(lines[i], "  On average ", 13) == 0 ? i : words;
        figures = strncmp(lines[i], "  bias ", 7) == 0 ? i : figures;
    }
    ck_assert_int_gt(words, 0);
    ck_assert_int_lt(words, figures);
}
END_TEST

START_TEST(the_bias_is_told_with_its_direction_and_what_chance_does)
{
    say_shape(SHAPE_OFFSET);
    ck_assert(has_line("On average 4.0 mmHg higher than the listener."));
    ck_assert(has_line("On average 4.0 mmHg lower than the listener."));
    say_shape(SHAPE_EQUAL);
    ck_assert(has_line("On average as high as the listener."));
    say_shape(SHAPE_REPEATS);
    ck_assert(has_line("higher than the listener, which chance alone may do.") || has_line("higher than the listener, seldom by chance"));
}
END_TEST

START_TEST(zeros_are_told_where_chance_does_not_bring_them)
{
    say_shape(SHAPE_ZEROS);
    ck_assert(has_line("More zeros at the end than chance brings once in a hundred times."));
    say_shape(SHAPE_OFFSET);
    ck_assert(!has_line("More zeros"));
}
END_TEST

START_TEST(standards_stand_with_their_source_and_answer)
{
    say_shape(SHAPE_OFFSET);
    ck_assert(has_line("[OBS-5]") && has_line("systolic met, diastolic met"));
    ck_assert(has_line("[GRADE-1]") && has_line("[DEV-1]") && has_line("too few (the rules ask for 85 people)"));
    say_shape(SHAPE_TWO);
    ck_assert(has_line("too few, diastolic too few (from 20 pairs on)") && has_line("So few pairs prove little"));
}
END_TEST

/* A group that has nothing says so once, not in each of its rows. */
START_TEST(an_empty_group_gives_its_reason_once)
{
    int said = 0;
    say_shape(SHAPE_TWO);
    for (int i = 0; i < line_count; i++)
        said += strstr(lines[i], "nobody was read twice") != NULL;
    ck_assert_int_eq(said, 3);
}
END_TEST

static int lines_with(const char *part)
{
    int n = 0;
    for (int i = 0; i < line_count; i++)
        n += strstr(lines[i], part) != NULL;
    return n;
}

/* Columns stay columns: a cell has a word, and why stands once below. */
START_TEST(with_few_pairs_cells_hold_a_word_and_the_reason_stands_once)
{
    say_shape(SHAPE_ONE);
    ck_assert(has_line("  bias                  0.0, no limits") || has_line("  bias                  -4.0, no limits"));
    ck_assert(has_line("  lower limit           too few                    too few"));
    ck_assert_int_eq(lines_with("  too few pairs, it takes 2"), 2);
    ck_assert_int_eq(lines_with("sys: "), 0);
}
END_TEST

START_TEST(figures_of_the_trade_are_told_in_words)
{
    say_shape(SHAPE_OFFSET);
    ck_assert(has_line("quote ICC(2,1) where any listener may stand in for another"));
    ck_assert(has_line("Bland and Altman's approximate limits"));
    ck_assert(has_line("did not hear the same inflations"));
    ck_assert(has_line("the same category beyond chance"));
}
END_TEST

int main(void)
{
    Suite *s = suite_create("agreement in words");
    TCase *t = tcase_create("words");
    tcase_add_loop_test(t, a_figure_reads_as_it_should, 0, ARRAY_LEN(FIGURES));
    tcase_add_loop_test(t, every_line_fits_and_is_a_number_or_words, 0, SHAPE_COUNT);
    tcase_add_test(t, words_come_before_figures);
    tcase_add_test(t, the_bias_is_told_with_its_direction_and_what_chance_does);
    tcase_add_test(t, zeros_are_told_where_chance_does_not_bring_them);
    tcase_add_test(t, standards_stand_with_their_source_and_answer);
    tcase_add_test(t, an_empty_group_gives_its_reason_once);
    tcase_add_test(t, with_few_pairs_cells_hold_a_word_and_the_reason_stands_once);
    tcase_add_test(t, figures_of_the_trade_are_told_in_words);
    suite_add_tcase(s, t);
    SRunner *r = srunner_create(s);
    srunner_run_all(r, CK_NORMAL);
    int failed = srunner_ntests_failed(r);
    srunner_free(r);
    return failed ? EXIT_FAILURE : EXIT_SUCCESS;
}
