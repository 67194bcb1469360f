/* SPDX-License-Identifier: GPL-3.0-or-later */
/** @file test_command_worth.c  The verb `worth`: the whole budget, or why there is none. */
#include <check.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "command/command.h"
#include "command/outcome.h"
#include "command_run.h"
#include "config/protocols.h"

START_TEST(worth_prints_readings_category_and_every_part)
{
    static const char *const HOLDS[] = { "S-001", "1        left   124/78       counts", "2        left   122/76       counts",
                                         "average left arm: 123/77 mmHg, from 2 readings (all)",
                                         "category: elevated (US 2017/2025); normal (ESH 2023)\nOne visit is no diagnosis.",
                                         "gauge", "graduation", "beat", "arm height", "spread", "combined",
                                         "effective df", "expanded", "that this sitting's true mean reaches",
                                         "One more reading", "VAR-1", NULL };
    run_fill_store(NULL);
    must_print("$S --db s.db worth S-001", HOLDS);
}
END_TEST

START_TEST(worth_of_a_stopped_sitting_says_why_there_is_no_average)
{
    static const char *const HOLDS[] = { "stopped", "146/92",
                                         "no average of the right arm: The sitting was stopped, so nothing is averaged.", NULL };
    run_fill_store(NULL);
    must_print("$S --db s.db worth 4", HOLDS);
}
END_TEST

/* Begun on the plain screens and left at once. */
START_TEST(worth_of_a_sitting_without_readings_says_so)
{
    static const char *const HOLDS[] = { "open", "no average: Nothing was read yet.", NULL };
    run_fill_store(NULL);
    must("printf '\\n\\nq\\n' | $S --db s.db sit --plain >/dev/null; true");
    must_print("$S --db s.db worth 7", HOLDS);
}
END_TEST

static const struct run_row LINES[] = {
    { "$S worth", EXIT_USAGE, "worth needs more" },
    { "$S worth S-x", EXIT_USAGE, "names no sitting" },
    { "$S --db s.db worth 1", EXIT_FILES, "s.db" },
    { "$S worth 1 2", EXIT_USAGE, "does not know what to do with" },
};

START_TEST(worth_ends_as_documented)
{
    run_check(&LINES[_i]);
}
END_TEST

START_TEST(worth_of_a_sitting_that_is_not_there_is_refused)
{
    char out[8000];
    run_fill_store(NULL);
    ck_assert_int_eq(run("$S --db s.db worth 99", out, sizeof out), EXIT_FILES);
    ck_assert_ptr_nonnull(strstr(out, "99"));
}
END_TEST

/* ---- outcome, on a sitting made by hand ---- */

static char written[4000];

static const char *remarks_of(const struct sitting *s)
{
    struct err e = { 0 };
    struct protocols ps;
    ck_assert_msg(protocols_load(TEST_SOURCE_DIR "/assets/protocols", &ps, &e) == ST_OK, "%s", e.text);
    FILE *out = fmemopen(written, sizeof written, "w");
    ck_assert_ptr_nonnull(out);
    outcome_remarks(s, protocols_find(&ps, "us-adult"), "# ", out);
    fclose(out);
    protocols_free(&ps);
    return written;
}

static void give(struct reading *r, enum point point, int32_t mmhg)
{
    r->has_value[point] = 1;
    r->value_mmhg[point] = mmhg;
}

START_TEST(outcome_says_a_silent_gap_with_its_range)
{
    static struct sitting s;
    sitting_init(&s);
    s.reading_count = 4;
    for (int i = 0; i < 4; i++)
        s.readings[i] = (struct reading){ .arm = ARM_LEFT, .is_done = 1, .is_entered = 1, .notes = NOTE_GAP_HEARD };
    give(&s.readings[0], POINT_SILENT, 164);
    give(&s.readings[0], POINT_RETURN, 140);
    give(&s.readings[1], POINT_SILENT, 160);
    s.readings[3].has_gap = 1;
    s.readings[3].gap_from_mmhg = 170;
    give(&s.readings[3], POINT_FIRST, 140);
    const char *text = remarks_of(&s);
    ck_assert_ptr_nonnull(strstr(text, "# reading 1: silent gap from 164 to 140 mmHg\n"));
    ck_assert_ptr_nonnull(strstr(text, "# reading 2: silent gap from 160 mmHg, its other end not given\n"));
    ck_assert_ptr_nonnull(strstr(text, "# reading 3: silent gap heard, its range not given\n"));
    ck_assert_ptr_nonnull(strstr(text, "# reading 4: first sound at 140 mmHg, the pulse was felt at 170\n"));
    ck_assert_ptr_nonnull(strstr(text, "# reading 1, gap.heard: A silent gap"));
}
END_TEST

static struct reading entered(int32_t first, int32_t last)
{
    struct reading r = { .arm = ARM_LEFT, .arm_epoch = 1, .is_empty = 1, .is_done = 1, .is_entered = 1 };
    give(&r, POINT_FIRST, first);
    give(&r, POINT_LAST, last);
    return r;
}

START_TEST(outcome_says_the_fall_on_standing_and_remarks_on_it)
{
    static struct sitting s;
    sitting_init(&s);
    s.phase = PHASE_OPEN;
    s.arm = ARM_LEFT;
    s.is_return = 1;
    s.reading_count = 3;
    s.readings[0] = entered(130, 80);
    s.readings[1] = entered(130, 80);
    s.readings[2] = entered(110, 84);
    s.readings[2].is_standing = 1;
    s.readings[2].inflate_ms = 700000;
    s.readings[2].stood_for_ms = 60000;
    const char *text = remarks_of(&s);
    ck_assert_msg(strstr(text, "# standing: systolic fall of 20.00, diastolic rise of 4.00 mmHg from the average lying\n"), "%s", text);
    ck_assert_msg(strstr(text, "# remark standing.drop: "), "%s", text);
}
END_TEST

START_TEST(outcome_says_very_high_and_low_readings_and_what_came_of_them)
{
    static struct sitting s;
    sitting_init(&s);
    s.phase = PHASE_STOPPED;
    s.reading_count = 2;
    s.readings[0] = entered(190, 96);
    s.readings[1] = entered(186, 94);
    s.readings[1].alarm_before = 1;
    s.alarm_reading = 2;
    s.symptoms = SYMPTOMS_NONE;
    s.given[EV_SYMPTOMS] = s.given[EV_ACTED] = 1;
    const char *text = remarks_of(&s);
    ck_assert_msg(strstr(text, "# reading 1: very high; symptoms not asked\n# reading 2: very high; asked for symptoms: none\n"
                               "# What was done is written on the record once.\n"), "%s", text);
    s.readings[1] = entered(86, 54);
    s.readings[1].alarm_before = 1;
    text = remarks_of(&s);
    ck_assert_msg(strstr(text, "# reading 2: low; asked for symptoms: none\n"), "%s", text);
    s.readings[0].had_symptoms = 1;
    text = remarks_of(&s);
    ck_assert_msg(strstr(text, "# reading 1: very high; asked for symptoms: present\n"), "%s", text);
}
END_TEST

START_TEST(outcome_says_why_a_reading_does_not_count)
{
    static struct sitting s;
    sitting_init(&s);
    s.reading_count = 1;
    s.readings[0] = (struct reading){ .arm = ARM_LEFT, .is_done = 1, .is_entered = 1,
                                      .voids = VOID_TARGET_LOW | VOID_RELEASE_FAST };
    const char *text = remarks_of(&s);
    ck_assert_ptr_nonnull(strstr(text, "# reading 1 does not count, target.low: The cuff was not pumped as far as asked.\n"));
    ck_assert_ptr_nonnull(strstr(text, "# reading 1 does not count, release.fast: "));
}
END_TEST

START_TEST(outcome_lines_stay_comments_behind_their_prefix)
{
    struct page pg;
    char text[400];
    page_init(&pg, PAGE_OPEN, "t");
    page_line(&pg, LINE_INSTRUCTION, "a");
    page_line(&pg, LINE_ROW, "b");
    FILE *out = fmemopen(text, sizeof text, "w");
    outcome_lines(&pg, "# ", false, out);
    fclose(out);
    ck_assert_str_eq(text, "# a\n# b\n");
    out = fmemopen(text, sizeof text, "w");
    outcome_lines(&pg, "", true, out);
    fclose(out);
    ck_assert_str_eq(text, "\na\nb\n");
}
END_TEST

int main(void)
{
    TCase *t = run_case_new("command worth", 60);
    tcase_add_test(t, worth_prints_readings_category_and_every_part);
    tcase_add_test(t, worth_of_a_stopped_sitting_says_why_there_is_no_average);
    tcase_add_test(t, worth_of_a_sitting_without_readings_says_so);
    tcase_add_test(t, worth_of_a_sitting_that_is_not_there_is_refused);
    tcase_add_loop_test(t, worth_ends_as_documented, 0, (int)ARRAY_LEN(LINES));
    tcase_add_test(t, outcome_says_a_silent_gap_with_its_range);
    tcase_add_test(t, outcome_says_the_fall_on_standing_and_remarks_on_it);
    tcase_add_test(t, outcome_says_very_high_and_low_readings_and_what_came_of_them);
    tcase_add_test(t, outcome_says_why_a_reading_does_not_count);
    tcase_add_test(t, outcome_lines_stay_comments_behind_their_prefix);
    return run_case(t);
}
