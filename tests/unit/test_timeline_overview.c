/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The overview before the first act: enough for an ordinary sitting, and where to look in an odd one. */
#include "terminal/layout.h"
#include "timeline_hand.h"

#define ROWS_MOST 8

static int overview_count(void)
{
    int n = 0;

    while (n < fed.t.row_count && fed_row("opened: ", 0) != n)
        n++;
    return n;
}

/* What it answers under this label; "" where it has none. */
static const char *answer(const char *label)
{
    static char out[2000];
    char padded[16];
    int n = overview_count();

    out[0] = '\0';
    (void)snprintf(padded, sizeof padded, "%-12s", label);
    for (int i = 0; i < n; i++) {
        if (strncmp(fed.t.rows[i].text, padded, 12) != 0)
            continue;
        add_words(out, sizeof out, "%s", fed.t.rows[i].text + 12);
        while (++i < n && fed.t.rows[i].text[0] == ' ')
            add_words(out, sizeof out, " %s", fed.t.rows[i].text + 12);
        break;
    }
    return out;
}

static void ended(const char *name)
{
    fed_named(name, NO_CLOCK);
    timeline_end(&fed.t);
}

#define ck_answer(label, words) ck_assert_msg(strstr(answer(label), (words)) != NULL, "%s: %s", label, answer(label))

START_TEST(an_ordinary_sitting_is_told_in_a_few_rows)
{
    ended("whole-return-us");
    ck_answer("result", "left arm 125/77, average of 2 readings");
    ck_answer("category", "elevated (US 2017/2025)");
    ck_answer("rest", "5:00 of 5:00, settled 30 s of 30 s");
    ck_answer("interval", "60 s of 60 s to 2:00");
    ck_answer("looks", "the quickest ");
    ck_assert_int_le(overview_count(), ROWS_MOST);
    for (int i = 0; i < overview_count(); i++)
        ck_assert_int_eq(fed.t.rows[i].is_stop, i == 0);
}
END_TEST

START_TEST(where_nothing_is_odd_that_is_said)
{
    ended("whole-return-us");
    ck_assert_int_gt(fed.t.quick_count, 0); /* the script's looks are quick */
    ck_assert_str_eq(answer("otherwise"), "");
    ck_answer("looks", " quick: ");
    fed_named("whole-return-us", NO_CLOCK);
    fed.t.quick_count = 0;
    fed.t.told.over[OVER_NOTED].count = 0; /* it notes that time went by */
    timeline_end(&fed.t);
    ck_answer("otherwise", "all as asked");
}
END_TEST

START_TEST(what_was_passed_over_has_its_reason_and_its_time)
{
    fed_named("waived-cuff", NO_CLOCK);
    FEED("9000.000 stop \"enough\"");
    timeline_end(&fed.t);
    ck_answer("passed over", "wrong way round (14:04:15)");
    ck_answer("changed", "stopped here, because: enough");
    ck_assert_str_eq(answer("otherwise"), "");
}
END_TEST

START_TEST(what_was_tried_too_soon_is_told_with_what_there_was)
{
    fed_named("rest.short", NO_CLOCK);
    FEED("9000.000 stop \"enough\"");
    timeline_end(&fed.t);
    ck_answer("too soon", "rest ends after 299.999 s (14:10:49)");
}
END_TEST

START_TEST(a_rest_that_was_not_whole_is_said)
{
    fed_begin(NO_CLOCK);
    fed_script(TEST_SOURCE_DIR "/tests/engine/scripts/common/open-us-first.part", 0);
    FEED("9000.000 stop \"enough\"");
    timeline_end(&fed.t);
    ck_answer("rest", "none that was whole");
    ck_answer("result", "none: too few readings count");
    ck_assert_str_eq(answer("otherwise"), "");
}
END_TEST

START_TEST(readings_that_do_not_count_have_their_reasons)
{
    fed_named("several-reasons", NO_CLOCK);
    if (fed.s.phase == PHASE_OPEN)
        FEED("90000.000 stop \"enough\"");
    timeline_end(&fed.t);
    ck_answer("not counted", "reading 1: ");
}
END_TEST

START_TEST(a_correction_and_a_gap_of_the_program_are_told)
{
    fed_named("corrected", NO_CLOCK);
    FEED("90000.000 stop \"enough\"");
    timeline_end(&fed.t);
    ck_answer("changed", "corrected: first sound 128, because: read");
    fed_named("resumed", NO_CLOCK);
    FEED("90000.000 stop \"enough\"");
    timeline_end(&fed.t);
    ck_answer("changed", "the program was away for 30 s");
}
END_TEST

START_TEST(a_pair_is_told_with_its_difference)
{
    fed_begin(NO_CLOCK);
    fed_script(TEST_SOURCE_DIR "/tests/engine/scripts/common/estimated-us.part", 0);
    FEED("+1.000 inflate listen", "+1.000 listener ben", "+45.000 empty", "+1.000 target 160", "+1.000 value first 136",
         "+1.000 value last 78", "+1.000 pair first 128", "+1.000 pair last 76", "+1.000 done", "+1.000 stop \"enough\"");
    timeline_end(&fed.t);
    ck_answer("pairs", "reading 1 ben -8/-2, further apart");
}
END_TEST

START_TEST(a_witnessed_sitting_says_how_it_came_out)
{
    ended("witnessed-six");
    ck_answer("watched", "by ina: not passed; lapses 6");
    ended("witnessed-strike");
    ck_answer("watched", "by ina: passed; lapses 0");
    ck_answer("changed", "taken back: number 1, because: the wrong key");
}
END_TEST

START_TEST(what_was_said_of_it_is_told)
{
    const struct timeline_statement s = { .word = "return", .person = "ina", .standing = "", .verdict = "", .key_short = "",
                                          .at = "2031-03-02T15:00:00+01:00", .said = "Was the door shut?", .event = 9 };

    fed_named("whole-return-us", NO_CLOCK);
    timeline_statement(&fed.t, &s);
    timeline_end(&fed.t);
    ck_answer("said of it", "sent back by ina: Was the door shut?");
}
END_TEST

static void said_by(const char *word, const char *person, const char *said)
{
    timeline_statement(&fed.t, &(struct timeline_statement){ .word = word, .person = person, .standing = "", .verdict = "",
                                                             .key_short = "", .at = "2031-03-03T09:00:00+01:00", .said = said });
}

START_TEST(what_was_added_since_comes_first_with_who_added_it)
{
    fed_named("whole-return-us", NO_CLOCK);
    said_by("return", "ina", "Was the door shut?");
    said_by("amend", "ana", "It was, from the rest on.");
    timeline_end(&fed.t);
    ck_assert_ptr_nonnull(strstr(fed.t.rows[0].text, "added       by ana: It was, from the rest on."));
    ck_answer("said of it", "sent back by ina: Was the door shut?");
}
END_TEST

START_TEST(what_was_added_and_then_countersigned_is_new_no_longer)
{
    fed_named("whole-return-us", NO_CLOCK);
    said_by("amend", "ana", "The door was shut.");
    said_by("countersign", "ina", "");
    timeline_end(&fed.t);
    ck_assert_str_eq(answer("added"), "");
    ck_answer("said of it", "by ana: The door was shut.");
}
END_TEST

/* While it goes on, two listeners may not have compared yet, and whoever looks on may be heard. */
START_TEST(an_open_sitting_has_none)
{
    ended("arm-first");
    ck_assert_int_eq(fed.s.phase, PHASE_OPEN);
    ck_assert_int_eq(overview_count(), 0);
}
END_TEST

START_TEST(the_oddest_sitting_has_no_more_rows_and_names_what_is_left)
{
    const struct timeline_statement s = { .word = "comment", .person = "ina", .standing = "", .verdict = "", .key_short = "",
                                          .at = "2031-03-02T15:00:00+01:00", .said = "Much went on here." };

    fed_named("corrected", NO_CLOCK);
    for (int i = 0; i < 400; i++) {
        char line[700];
        int kind = i % 3;

        (void)snprintf(line, sizeof line, kind == 0 ? "+1.000 note \"%0300d\"" : kind == 1 ? "+1.000 noise \"%d\"" : "+1.000 resume %d000", i);
        FEED(line);
        if (i % 5 == 0)
            FEED("+1.000 rest end");
    }
    FEED("+1.000 stop \"enough\"");
    timeline_statement(&fed.t, &s);
    timeline_end(&fed.t);
    ck_assert_int_le(overview_count(), ROWS_MOST);
    ck_answer("and more", "noted");
    ck_answer("changed", " .. (1");
    for (int i = 0; i < overview_count(); i++)
        ck_assert_int_le(utf8_length(fed.t.rows[i].text), 75);
}
END_TEST

/* The first page: who, what it came to, all of the overview, and the first act under it. */
START_TEST(an_ordinary_sitting_is_judged_from_one_screen)
{
    static struct grid g;
    static struct page pg;
    static char text[30000];
    struct timeline_view v = { .can_sign = true, .can_return = true, .can_comment = true, .can_amend = true, .has_next = true };

    ended("whole-return-us");
    timeline_page(&fed.t, &v, &pg);
    layout_page(&pg, 24, 80, false, NULL, &g);
    layout_text(&g, text, sizeof text);
    for (int i = 0; i < overview_count(); i++)
        ck_assert_msg(strstr(text, fed.t.rows[i].text) != NULL, "not in view: %s", fed.t.rows[i].text);
    ck_assert_ptr_nonnull(strstr(text, "opened: "));
}
END_TEST

int main(void)
{
    Suite *suite = suite_create("timeline's overview");
    TCase *t = tcase_create("overview");

    if (fed_protocol("us-adult") == NULL)
        return EXIT_FAILURE;
    tcase_add_test(t, an_ordinary_sitting_is_told_in_a_few_rows);
    tcase_add_test(t, where_nothing_is_odd_that_is_said);
    tcase_add_test(t, what_was_passed_over_has_its_reason_and_its_time);
    tcase_add_test(t, what_was_tried_too_soon_is_told_with_what_there_was);
    tcase_add_test(t, a_rest_that_was_not_whole_is_said);
    tcase_add_test(t, readings_that_do_not_count_have_their_reasons);
    tcase_add_test(t, a_correction_and_a_gap_of_the_program_are_told);
    tcase_add_test(t, a_pair_is_told_with_its_difference);
    tcase_add_test(t, a_witnessed_sitting_says_how_it_came_out);
    tcase_add_test(t, what_was_said_of_it_is_told);
    tcase_add_test(t, what_was_added_since_comes_first_with_who_added_it);
    tcase_add_test(t, what_was_added_and_then_countersigned_is_new_no_longer);
    tcase_add_test(t, an_open_sitting_has_none);
    tcase_add_test(t, the_oddest_sitting_has_no_more_rows_and_names_what_is_left);
    tcase_add_test(t, an_ordinary_sitting_is_judged_from_one_screen);
    suite_add_tcase(suite, t);
    SRunner *runner = srunner_create(suite);
    srunner_run_all(runner, CK_NORMAL);
    int failed = srunner_ntests_failed(runner);
    srunner_free(runner);
    return failed == 0 ? EXIT_SUCCESS : EXIT_FAILURE;
}
