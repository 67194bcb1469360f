/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What stands behind the record: statements with who made them and how long it was looked at, the result, what is owed. */
#include "timeline_hand.h"

static const struct timeline_statement NOTHING = { .word = "", .person = "", .standing = "", .verdict = "", .at = "", .said = "", .key_short = "" };

static struct timeline_statement countersign(int64_t open_ms)
{
    struct timeline_statement s = NOTHING;

    s.word = "countersign";
    s.person = "ina";
    s.standing = "self-declared";
    s.verdict = "reviewed";
    s.at = "2031-03-03T09:01:02+01:00";
    s.open_ms = open_ms;
    s.key_short = "aa11 bb22";
    return s;
}

/* What there is to look at, runs folded. */
static int acts(void)
{
    int n = 0;

    for (int i = 0; i < fed.t.told.event_rows; i++)
        n += fed.t.rows[i].is_stop && timeline_is_shown(&fed.t, i, 0);
    return n;
}

/* ---- statements ---- */

START_TEST(a_countersignature_shows_who_how_and_by_which_key)
{
    struct timeline_statement s = countersign(300000);
    int row;

    fed_named("whole-first-us", NO_CLOCK);
    timeline_statement(&fed.t, &s);
    row = fed_row("countersigned by ina", 0);
    ck_assert_int_gt(row, 0);
    ck_assert(fed.t.rows[row].is_stop);
    ck_assert_str_eq(fed.t.rows[row].value, "aa11 bb22");
    ck_assert_int_eq(strncmp(fed.t.rows[row].text, "09:01:02", 8), 0);
    ck_row("reviewed the record, on 3 Mar 2031");
    ck_row("ina: self-declared");
    ck_row("was open for 5:00");
    ck_no_row("less than a look");
}
END_TEST

START_TEST(a_signature_after_four_seconds_is_seen_as_such)
{
    struct timeline_statement s = countersign(4000);
    int row;

    fed_named("whole-first-us", NO_CLOCK);
    ck_assert_int_gt(acts(), 20);
    timeline_statement(&fed.t, &s);
    row = fed_row("was open for 4 s", 0);
    ck_assert_int_gt(row, 0);
    ck_assert_ptr_nonnull(strstr(fed.t.rows[row].text, "less than a look at each takes"));
    ck_assert_str_eq(fed.t.rows[row].value, "quick");
}
END_TEST

START_TEST(the_border_is_one_look_an_act)
{
    for (int more = 0; more < 2; more++) {
        struct timeline_statement s;

        fed_named("whole-first-us", NO_CLOCK);
        s = countersign(1000 * acts() - 1 + more);
        timeline_statement(&fed.t, &s);
        ck_assert_str_eq(fed.t.rows[fed.t.row_count - 1].value, more ? "" : "quick");
    }
}
END_TEST

START_TEST(the_day_is_said_only_where_it_is_another)
{
    struct timeline_statement s = countersign(300000);

    s.at = "2031-03-02T14:40:00+01:00";
    fed_named("whole-first-us", NO_CLOCK);
    timeline_statement(&fed.t, &s);
    ck_row("14:40:00 countersigned by ina aa11 bb22 reviewed the record ina:");
}
END_TEST

START_TEST(what_is_sent_back_stands_below_the_act_it_is_about_and_behind_the_record)
{
    struct timeline_statement s = countersign(60000);
    int rest, row;

    s.word = "return";
    s.verdict = "";
    s.said = "Was the door shut?";
    fed_named("whole-first-us", NO_CLOCK);
    rest = fed_row("rest ends", 0);
    s.event = fed.t.rows[rest].seq;
    timeline_statement(&fed.t, &s);
    ck_assert_ptr_nonnull(strstr(fed.t.rows[rest + 1].text, "ina: Was the door shut?"));
    ck_assert_str_eq(fed.t.rows[rest + 1].value, "sent back");
    row = fed_row("sent back by ina", 0);
    ck_assert_int_ge(row, fed.t.told.event_rows);
    ck_row("about: rest ends 14:09:14, on 3 Mar 2031");
    ck_row("why: Was the door shut?");
    for (int i = 1; i < fed.t.told.event_rows; i++)
        ck_assert_int_ge(fed.t.rows[i].seq, fed.t.rows[i - 1].seq);
}
END_TEST

START_TEST(two_comments_on_one_act_keep_their_order)
{
    struct timeline_statement s = countersign(0);
    int rest;

    s.word = "comment";
    s.said = "one";
    fed_named("whole-first-us", NO_CLOCK);
    rest = fed_row("rest ends", 0);
    s.event = fed.t.rows[rest].seq;
    timeline_statement(&fed.t, &s);
    s.said = "two";
    timeline_statement(&fed.t, &s);
    ck_assert_ptr_nonnull(strstr(fed.t.rows[rest + 1].text, "one"));
    ck_assert_ptr_nonnull(strstr(fed.t.rows[rest + 2].text, "two"));
    ck_assert_ptr_nonnull(strstr(fed.t.rows[rest + 3].text, "pulse"));
}
END_TEST

START_TEST(what_is_said_about_one_of_a_run_is_seen_while_it_is_folded)
{
    struct timeline_statement s = countersign(0);
    int head, row;

    s.word = "comment";
    s.said = "which one?";
    fed_named("whole-first-us", NO_CLOCK);
    head = fed_row("posture: ", 0);
    row = fed_row("  feet", head);
    ck_assert_int_eq(fed.t.rows[row].when, ROW_UNFOLDED);
    s.event = fed.t.rows[row].seq;
    timeline_statement(&fed.t, &s);
    row = fed_row("ina on feet: which one?", head);
    ck_assert_int_gt(row, head);
    ck_assert(timeline_is_shown(&fed.t, row, 0));
    s.event = fed.t.rows[head].seq; /* of the first: of all of it */
    timeline_statement(&fed.t, &s);
    ck_assert_int_eq(fed_row("ina: which one?", head), head + 2);
}
END_TEST

START_TEST(every_word_that_is_signed_is_told)
{
    static const struct { const char *word, *told; } ROWS[] = {
        { "seal", "signed as finished by" }, { "stop", "signed as stopped by" }, { "countersign", "countersigned by" },
        { "return", "sent back by" },        { "comment", "comment by" },        { "amend", "added by" },
        { "release", "result given by" },    { "unheard", "unheard ina" },
    };

    for (size_t i = 0; i < ARRAY_LEN(ROWS); i++) {
        struct timeline_statement s = countersign(1);

        s.word = ROWS[i].word;
        fed_named("whole-first-us", NO_CLOCK);
        timeline_statement(&fed.t, &s);
        ck_row(ROWS[i].told);
    }
}
END_TEST

START_TEST(a_statement_with_a_stamp_that_is_none_has_no_time)
{
    struct timeline_statement s = countersign(1);

    s.at = "yesterday";
    s.event = 99999;
    fed_named("whole-first-us", NO_CLOCK);
    timeline_statement(&fed.t, &s);
    ck_row("sealed countersigned by ina aa11 bb22 about: sealed 14:15:54, reviewed the record ina:");
}
END_TEST

/* ---- the end ---- */

START_TEST(the_end_tells_average_category_worth_and_remarks)
{
    fed_named("whole-first-us", NO_CLOCK);
    timeline_end(&fed.t);
    ck_row("right arm: 131/81, mean of all readings that count (2)");
    ck_row("stage 1 (US 2017/2025)");
    ck_row("in 95 of 100 such sittings");
    ck_row("One visit is no diagnosis.");
    fed_named("standing.drop", NO_CLOCK);
    timeline_end(&fed.t);
    ck_row("standing, lower than lying by 20.0/0.0");
    ck_row("remarked: Standing, the pressure lay lower than lying");
}
END_TEST

START_TEST(an_open_sitting_tells_what_is_still_to_do)
{
    fed_named("arm-first", NO_CLOCK);
    timeline_end(&fed.t);
    ck_assert_int_eq(fed.s.phase, PHASE_OPEN);
    ck_row("no result yet");
    ck_row("still to do: ");
}
END_TEST

START_TEST(a_finished_sitting_owes_nothing)
{
    fed_named("whole-first-us", NO_CLOCK);
    timeline_end(&fed.t);
    ck_no_row("still");
}
END_TEST

/* ---- before a witness ---- */

START_TEST(a_witnessed_sitting_ends_in_its_result_with_each_lapse)
{
    struct assessment a;
    char counts[120];
    int row, told = 0, critical = 0;

    fed_named("witnessed-six", NO_CLOCK);
    timeline_end(&fed.t);
    ck_assert(sitting_assess(&fed.s, &fed.p, &a));
    ck_assert_int_eq(a.lapses, 6);
    ck_assert(!a.has_passed);
    row = fed_row("watched by ina", fed.t.told.event_rows);
    ck_assert_int_gt(row, 0);
    ck_assert_str_eq(fed.t.rows[row].value, "not passed");
    for (int i = row; i < fed.t.row_count; i++) {
        told += strcmp(fed.t.rows[i].value, "lapse") == 0 || strcmp(fed.t.rows[i].value, "critical") == 0;
        critical += strcmp(fed.t.rows[i].value, "critical") == 0;
    }
    ck_assert_int_eq(told, a.lapses);
    ck_assert_int_eq(critical, a.critical);
    (void)snprintf(counts, sizeof counts, "lapses %d, at most %d; critical %d, at most 0; not seen %d, at most %d", a.lapses,
                   (int)fed.p.value[KEY_LAPSES_MAX], a.critical, a.unseen, (int)fed.p.value[KEY_UNSEEN_MAX]);
    ck_row(counts);
    ck_row("The rest is not over: 200 s, asked 300 s; reading 1 does not count");
}
END_TEST

START_TEST(what_was_taken_back_is_told_with_its_reason_and_fails_nothing)
{
    int act, row;

    fed_named("witnessed-strike", NO_CLOCK);
    timeline_end(&fed.t);
    act = fed_row("taken back: number 1, because: ", 0);
    ck_assert_int_gt(fed_row("noted: There are too few readings that count: 1, asked at least 2", act), act);
    row = fed_row("watched by ina", fed.t.told.event_rows);
    ck_assert_str_eq(fed.t.rows[row].value, "passed");
    for (row++; row < fed.t.row_count && strcmp(fed.t.rows[row].value, "taken back") != 0;)
        row++;
    ck_assert_int_lt(row, fed.t.row_count);
    ck_assert_int_gt(fed_row("the wrong key, nobody spoke", row - 2), 0);
}
END_TEST

START_TEST(items_not_seen_are_named)
{
    int told = 0, unseen = 0;

    fed_named("witnessed-unseen", NO_CLOCK);
    timeline_end(&fed.t);
    for (int i = 0; i < fed.p.item_count; i++)
        unseen += fed.s.items[i] == ITEM_UNSEEN;
    for (int i = fed.t.told.event_rows; i < fed.t.row_count; i++)
        told += strcmp(fed.t.rows[i].value, "not seen") == 0;
    ck_assert(fed.s.phase == PHASE_OPEN || told == unseen);
    ck_assert_int_gt(unseen, 0);
}
END_TEST

/* Whoever sits there may look on: until the seal no row speaks of lapses. */
START_TEST(while_it_goes_on_nothing_is_called_a_lapse)
{
    static const char *const NAMES[] = { "witnessed-arm", "witnessed-cuff", "witnessed-rest", "witnessed-steps", "lapse" };
    int open = 0;

    for (size_t n = 0; n < ARRAY_LEN(NAMES); n++) {
        fed_named(NAMES[n], NO_CLOCK);
        timeline_end(&fed.t);
        for (int i = 0; i < (fed.s.phase == PHASE_OPEN ? fed.t.row_count : fed.t.told.event_rows); i++) {
            ck_assert_msg(strstr(fed.t.rows[i].text, "lapse") == NULL, "%s: %s", NAMES[n], fed.t.rows[i].text);
            ck_assert_msg(strstr(fed.t.rows[i].value, "lapse") == NULL, "%s: %s", NAMES[n], fed.t.rows[i].text);
            ck_assert_msg(strstr(fed.t.rows[i].text, "trainee") == NULL, "%s: %s", NAMES[n], fed.t.rows[i].text);
        }
        open += fed.s.phase == PHASE_OPEN;
    }
    ck_assert_int_gt(open, 0);
    ck_row("watched by ina: not so, up to now ");
}
END_TEST

START_TEST(a_departure_is_told_with_the_act_that_shows_it)
{
    int rest, row;

    fed_named("lapse", NO_CLOCK);
    rest = fed_row("rest ends", 0);
    row = fed_row("The rest is not over: 299.999 s, asked 300 s", 0);
    ck_assert_int_eq(row, rest + 1);
    ck_assert_str_eq(fed.t.rows[row].value, "not so");
    ck_assert_int_eq(fed.t.rows[row].seq, fed.t.rows[rest].seq);
}
END_TEST

int main(void)
{
    Suite *suite = suite_create("timeline's end");
    TCase *signed_ = tcase_create("statements"), *end = tcase_create("end"), *witness = tcase_create("witness");

    if (fed_protocol("us-adult") == NULL)
        return EXIT_FAILURE;
    tcase_add_test(signed_, a_countersignature_shows_who_how_and_by_which_key);
    tcase_add_test(signed_, a_signature_after_four_seconds_is_seen_as_such);
    tcase_add_test(signed_, the_border_is_one_look_an_act);
    tcase_add_test(signed_, the_day_is_said_only_where_it_is_another);
    tcase_add_test(signed_, what_is_sent_back_stands_below_the_act_it_is_about_and_behind_the_record);
    tcase_add_test(signed_, two_comments_on_one_act_keep_their_order);
    tcase_add_test(signed_, what_is_said_about_one_of_a_run_is_seen_while_it_is_folded);
    tcase_add_test(signed_, every_word_that_is_signed_is_told);
    tcase_add_test(signed_, a_statement_with_a_stamp_that_is_none_has_no_time);
    tcase_add_test(end, the_end_tells_average_category_worth_and_remarks);
    tcase_add_test(end, an_open_sitting_tells_what_is_still_to_do);
    tcase_add_test(end, a_finished_sitting_owes_nothing);
    tcase_add_test(witness, a_witnessed_sitting_ends_in_its_result_with_each_lapse);
    tcase_add_test(witness, what_was_taken_back_is_told_with_its_reason_and_fails_nothing);
    tcase_add_test(witness, items_not_seen_are_named);
    tcase_add_test(witness, while_it_goes_on_nothing_is_called_a_lapse);
    tcase_add_test(witness, a_departure_is_told_with_the_act_that_shows_it);
    suite_add_tcase(suite, signed_);
    suite_add_tcase(suite, end);
    suite_add_tcase(suite, witness);
    SRunner *runner = srunner_create(suite);
    srunner_run_all(runner, CK_NORMAL);
    int failed = srunner_ntests_failed(runner);
    srunner_free(runner);
    return failed == 0 ? EXIT_SUCCESS : EXIT_FAILURE;
}
