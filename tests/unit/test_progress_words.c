/* SPDX-License-Identifier: GPL-3.0-or-later */
/** @file test_progress_words.c  What is said of a record: verdict first, who says so, what has changed, in which order. */
#include <check.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "guide/progress.h"
#include "stillarm/ground.h"
#include "stillarm/text.h"

static char said[20000];
static enum line_role first_role;
static int lines;

static struct progress_lines to;
static void take(void *user, enum line_role role, const char *text)
{
    ck_assert_ptr_eq(user, said);
    ck_assert_msg(utf8_length(text) >= 0 && utf8_length(text) <= to.columns, "%s", text);
    if (lines++ == 0)
        first_role = role;
    strncat(said, text, sizeof said - strlen(said) - 2);
    strcat(said, "\n");
}

static struct progress_lines to = { take, said, PROGRESS_LINE_COLUMNS };

static void setup(void)
{
    said[0] = '\0';
    lines = 0;
}

/* Where lines are folded is of no matter here. */
static void holds(const char *text)
{
    static char folded[sizeof said];
    size_t n = 0;
    for (const char *at = said; *at; at++)
        if ((*at != ' ' && *at != '\n') || (n > 0 && folded[n - 1] != ' '))
            folded[n++] = *at == '\n' ? ' ' : *at;
    folded[n] = '\0';
    ck_assert_msg(strstr(folded, text), "no `%s` in:\n%s", text, said);
}

static void lacks(const char *text)
{
    ck_assert_msg(!strstr(said, text), "`%s` in:\n%s", text, said);
}

static struct yardstick yardstick_of(void)
{
    struct yardstick y = { .id = "trainee", .title = "A trainee", .is_preceptor_only = true, .criterion_count = 4,
                           .plan = { .adequate = 0.10, .inadequate = 0.25, .reach = 3, .lose = 3, .horizon = 100, .right_within_mmhg = 5 } };
    y.criteria[0] = (struct criterion){ .id = "pairs", .say = "pairs heard together", .about = ABOUT_RECORD, .which = RECORD_PAIRS,
                                        .bound = 29, .origin = { "", STANDING_JUDGEMENT } };
    y.criteria[1] = (struct criterion){ .id = "near", .say = "values within 5 mmHg, by the lower limit", .about = ABOUT_SIDE,
                                        .which = FIGURE_NEAR_5, .by = BY_LOW, .bound = 0.75, .origin = { "OBS-5", STANDING_PUBLISHED } };
    y.criteria[2] = (struct criterion){ .id = "bias", .say = "on average too high or too low by", .about = ABOUT_SIDE, .which = FIGURE_BIAS,
                                        .by = BY_SIZE, .is_at_most = true, .bound = 2, .origin = { "", STANDING_JUDGEMENT } };
    y.criteria[3] = (struct criterion){ .id = "learned", .say = "signal of the learning curve", .about = ABOUT_REACHED,
                                        .origin = { "LEARN-1", STANDING_PUBLISHED } };
    return y;
}

START_TEST(verdict_comes_first_and_says_whose_it_is)
{
    const struct yardstick y = yardstick_of();
    const struct readiness_result r = { .answer = READY_TOO_FEW, .of = { { .missing = 17 } }, .missing_pairs = 17 };
    static const struct record rec;
    say_readiness(&y, &r, &rec, &to);
    ck_assert_int_eq(first_role, LINE_INSTRUCTION);
    ck_assert_int_eq(strncmp(said, "too few: at least 17 more pairs, by the yardstick trainee; a preceptor decides\n", 79), 0);
    holds("it certifies nobody");
    lacks("competent");
}
END_TEST

START_TEST(what_is_short_is_named_by_what_is_counted)
{
    struct yardstick y = yardstick_of();
    struct readiness_result r = { .answer = READY_TOO_FEW, .of = { { .missing = 3 }, { .missing = 2 }, { .missing = 8 } } };
    static const struct record rec;
    y.criteria[0].which = RECORD_SUBJECTS;
    say_readiness(&y, &r, &rec, &to);
    holds("too few: at least 3 more people, 8 more pairs, by the yardstick");
    setup();
    r.of[0].missing = 1;
    r.of[1].answer = r.of[2].answer = READY_NOT_YET;
    say_readiness(&y, &r, &rec, &to);
    holds("too few: at least 1 more person, by the yardstick");
}
END_TEST

START_TEST(each_criterion_says_what_there_is_what_is_asked_and_who_says_so)
{
    const struct yardstick y = yardstick_of();
    struct readiness_result r = { .answer = READY_NOT_YET };
    struct record rec = { .count = { [RECORD_PAIRS] = 12 } };
    r.of[0] = (struct criterion_result){ .answer = READY_TOO_FEW, .side = -1, .has_value = true, .value = 12, .missing = 17 };
    r.of[1] = (struct criterion_result){ .answer = READY_NOT_YET, .side = SIDE_DIASTOLIC, .has_value = true, .value = 0.614 };
    r.of[2] = (struct criterion_result){ .answer = READY_YES, .side = SIDE_SYSTOLIC, .has_value = true, .value = 1.25 };
    r.of[3] = (struct criterion_result){ .answer = READY_YES, .side = -1, .has_value = true, .value = 31 };
    rec.agreement.learning.reached_at = 31;
    rec.agreement.side[SIDE_SYSTOLIC].figure[FIGURE_NEAR_5] = (struct figure){ .value = 0.9, .low = 0.764 };
    rec.agreement.side[SIDE_DIASTOLIC].figure[FIGURE_BIAS] = (struct figure){ .lack = LACK_PAIRS };
    say_readiness(&y, &r, &rec, &to);
    holds("not yet, by the yardstick trainee; a preceptor decides");
    holds("too few pairs heard together: 12; at least 17 more pairs; asked: at least 29 (judgement)");
    holds("not yet values within 5 mmHg, by the lower limit: 61.4 % diastolic, the worse side; systolic 76.4 %; asked: lower limit at least 75.0 % (OBS-5, published)");
    holds("met on average too high or too low by: 1.2 mmHg systolic, the worse side; diastolic not known yet; asked: at most 2.0");
    holds("met signal of the learning curve: signalled at pair 31; asked: one that was not lost since (LEARN-1");
}
END_TEST

START_TEST(the_title_of_the_yardstick_stands_below_the_verdict)
{
    struct yardstick y = yardstick_of();
    const struct readiness_result r = { .answer = READY_NOT_YET };
    static const struct record rec;
    (void)snprintf(y.title, sizeof y.title, "Our course, first year");
    say_readiness(&y, &r, &rec, &to);
    holds("a preceptor decides Yardstick trainee: Our course, first year");
}
END_TEST

START_TEST(a_bound_of_judgement_stands_beside_what_its_source_publishes)
{
    struct yardstick y = yardstick_of();
    const struct readiness_result r = { .answer = READY_NOT_YET };
    static const struct record rec;
    y.criteria[1].origin.standing = STANDING_JUDGEMENT;
    y.criteria[1].has_published = true;
    y.criteria[1].published_bound = 0.9;
    say_readiness(&y, &r, &rec, &to);
    holds("at least 75.0 % (judgement; OBS-5 has 90.0 %)");
}
END_TEST

START_TEST(a_bias_of_the_other_side_is_said_by_its_size)
{
    const struct yardstick y = yardstick_of();
    struct readiness_result r = { .answer = READY_NOT_YET };
    static struct record rec;
    r.of[2] = (struct criterion_result){ .answer = READY_NOT_YET, .side = SIDE_SYSTOLIC, .has_value = true, .value = 3 };
    rec.agreement.side[SIDE_DIASTOLIC].figure[FIGURE_BIAS] = (struct figure){ .value = -1.5 };
    say_readiness(&y, &r, &rec, &to);
    holds("3.0 mmHg systolic, the worse side; diastolic 1.5 mmHg");
}
END_TEST

START_TEST(sides_that_are_alike_are_said_once)
{
    const struct yardstick y = yardstick_of();
    struct readiness_result r = { .answer = READY_NOT_YET };
    static struct record rec;
    r.of[2] = (struct criterion_result){ .answer = READY_YES, .side = SIDE_SYSTOLIC, .has_value = true, .value = 1.5 };
    rec.agreement.side[SIDE_DIASTOLIC].figure[FIGURE_BIAS] = (struct figure){ .value = -1.5 };
    say_readiness(&y, &r, &rec, &to);
    holds("1.5 mmHg on both sides; asked");
}
END_TEST

static const struct { double p; const char *said; } CHANCES[] = {
    { 1.07e-07, "less than 1 in 1,000 diastolic" }, { 0.001, "1 in 1,000 diastolic" }, { 0.00996, "1 in 101 diastolic" },
    { 0.01, "1 in 100 diastolic" }, { 0.025, "1 in 40 diastolic" }, { 0.5, "5 in 10 diastolic" }, { 1.0, "more than 9 in 10 diastolic" },
};

START_TEST(a_chance_is_said_as_one_in_so_many)
{
    struct yardstick y = yardstick_of();
    struct readiness_result r = { .answer = READY_NOT_YET };
    static struct record rec;
    y.criteria[2] = (struct criterion){ .id = "zeros", .say = "zeros", .about = ABOUT_SIDE, .which = FIGURE_ZERO_P, .bound = 0.01 };
    r.of[2] = (struct criterion_result){ .answer = READY_NOT_YET, .side = SIDE_DIASTOLIC, .has_value = true, .value = CHANCES[_i].p };
    rec.agreement.side[SIDE_SYSTOLIC].figure[FIGURE_ZERO_P] = (struct figure){ .value = 0.2 };
    say_readiness(&y, &r, &rec, &to);
    holds(CHANCES[_i].said);
    holds("systolic 2 in 10; asked: at least 1 in 100");
}
END_TEST

static const char thin[] = "It takes 29, all of them right, to show that at most 10 % are wrong (95 % sure).";

START_TEST(a_yardstick_that_asks_for_fewer_pairs_than_can_show_it_is_said_to)
{
    struct yardstick y = yardstick_of();
    static const struct readiness_result r;
    static const struct record rec;
    say_readiness(&y, &r, &rec, &to);
    lacks("It takes");
    y.criteria[0].bound = 1;
    say_readiness(&y, &r, &rec, &to);
    holds("This yardstick asks for no more than 1 pair.");
    holds(thin);
}
END_TEST

START_TEST(a_yardstick_that_asks_for_no_pairs_is_said_to)
{
    struct yardstick y = yardstick_of();
    static const struct readiness_result r;
    static const struct record rec;
    y.criterion_count = 0;
    say_readiness(&y, &r, &rec, &to);
    holds("This yardstick asks for no number of pairs.");
    holds(thin);
}
END_TEST

START_TEST(releases_outside_the_band_are_said_in_words)
{
    static struct progress p = { .release_low_x10 = 20, .release_high_x10 = 30, .releases_observed = 60, .releases_quick = 57, .releases_slow = 1 };
    say_slips(&p, &to);
    holds("57 of 60 releases quicker than 3.0 mmHg/s");
    holds("1 of 60 releases slower than 2.0 mmHg/s");
    holds("systolic reads low, diastolic high (DEFL-5)");
    lacks("by more than");
    p.release_slack_x10 = 5;
    say_slips(&p, &to);
    holds("quicker than 3.0 mmHg/s by more than 0.5");
}
END_TEST

START_TEST(items_that_were_open_are_named)
{
    static struct progress p = { .open_items = { { "close.sit", 1, 0 }, { "posture.legs", 2, 1 }, { "posture.quiet", 0, 3 } }, .open_item_count = 3 };
    p.refused[RULE_ITEM_OPEN] = 3;
    say_slips(&p, &to);
    holds("(item.open) 2 x posture.legs, 1 x close.sit");
    lacks("posture.quiet");
    setup();
    p.refused[RULE_ITEM_OPEN] = 0;
    p.lapsed[RULE_ITEM_OPEN] = 4;
    say_slips(&p, &to);
    holds("(item.open) 3 x posture.quiet, 1 x posture.legs");
}
END_TEST

START_TEST(pairs_that_no_preceptor_signed_are_said)
{
    static struct progress p = { .pairs_unread = 12, .pairs_unsigned = 3 };
    struct yardstick y = yardstick_of();
    say_counts(&p, &y, &to);
    holds("Of these pairs 12 in sittings that no preceptor has countersigned, 3 in sittings whose signature is owed");
}
END_TEST

/* take() holds every line to its width. */
START_TEST(lines_are_folded_to_the_width_that_there_is)
{
    const struct yardstick y = yardstick_of();
    const struct readiness_result r = { .answer = READY_TOO_FEW, .missing_pairs = 17 };
    static const struct learning_rates rates;
    static const struct record rec;
    static struct progress p;
    for (int i = 0; i < RULE_COUNT; i++)
        p.refused[i] = 1;
    to.columns = 40;
    say_readiness(&y, &r, &rec, &to);
    say_rates(&y, &rates, &to);
    say_slips(&p, &to);
    holds("by the yardstick trainee; a preceptor decides");
    ck_assert_ptr_nonnull(strstr(said, "\n         ")); /* what hangs over is set in */
}
END_TEST

START_TEST(what_is_not_known_is_said_so)
{
    const struct yardstick y = yardstick_of();
    const struct readiness_result r = { .answer = READY_TOO_FEW,
                                        .of = { { .side = -1 }, { .side = -1, .missing = 1 }, { .side = -1 }, { .side = -1 } } };
    static const struct record rec;
    say_readiness(&y, &r, &rec, &to);
    holds("not known yet; at least 1 more pair; asked");
    holds("not signalled so far");
    lacks("nan");
}
END_TEST

START_TEST(rates_stand_in_words)
{
    const struct yardstick y = yardstick_of();
    const struct learning_rates r = { .false_reach = 0.0487, .true_reach = 0.871, .usual_reach = 41, .false_loss = 0.05, .true_loss = 0.99 };
    say_rates(&y, &r, &to);
    holds("within 100 pairs");
    holds("4.87 % of those who hear 25 % wrong");
    holds("87.10 % of those who hear 10 % wrong");
    holds("pair 41");
    holds("more than 5 mmHg");
}
END_TEST

START_TEST(refusals_stand_by_frequency_with_their_id_and_cost_and_slips_apart)
{
    static struct progress p;
    p.refused[RULE_REST_SHORT] = 2;
    p.refused[RULE_INTERVAL_SHORT] = 7;
    p.refused[RULE_VALUE_ODD] = 9;
    p.lapsed[RULE_CUFF_UNMEASURED] = 1;
    p.voids[2] = 3;
    p.waived = 1;
    say_slips(&p, &to);
    const char *interval = strstr(said, "   7 x "), *rest = strstr(said, "   2 x "), *odd = strstr(said, "   9 x ");
    ck_assert(interval && rest && odd && interval < rest && rest < odd);
    holds("(interval.short)");
    holds("A rest cut short reads 4 to 12 mmHg high. (Kallioinen 2017, published)");
    holds("(value.odd)");
    holds("(release.fast)");
    holds("(cuff.unmeasured)");
    holds("Passed over: 1 item or rule");
    ck_assert_ptr_eq(strstr(strstr(said, "(interval.short)") + 1, "(interval.short)"), NULL);
}
END_TEST

START_TEST(nothing_refused_is_said_so)
{
    static struct progress p;
    say_slips(&p, &to);
    ck_assert_str_eq(said, "Nothing was refused, noted by a witness, void or passed over.\n");
}
END_TEST

START_TEST(every_rule_has_words_that_fit)
{
    static struct progress p;
    for (int rule = RULE_NONE + 1; rule < RULE_COUNT; rule++)
        p.refused[rule] = p.lapsed[rule] = 1000 + rule;
    for (int bit = 0; bit < VOID_REASON_COUNT; bit++)
        p.voids[bit] = 1;
    say_slips(&p, &to);
    for (int rule = RULE_NONE + 1; rule < RULE_COUNT; rule++) {
        char id[60];
        snprintf(id, sizeof id, "(%s)", rule_id((enum rule)rule));
        holds(id);
    }
}
END_TEST

START_TEST(only_what_changed_is_said)
{
    struct progress_row before = { .sittings = 3, .clean = 3, .pairs = 10, .has_bias = true, .bias = { 1.0, -2.0 } }, now = before;
    now.pairs = 14;
    now.bias[SIDE_DIASTOLIC] = -1.5;
    now.readiness = READY_NOT_YET;
    say_changes(&before, &now, 20310302, &to);
    holds("Changed since 2031-03-02");
    holds("pairs: 10, now 14");
    holds("bias, diastolic: -2.0 mmHg, now -1.5 mmHg");
    holds("by the yardstick: too few, now not yet");
    lacks("systolic: +");
    lacks("sittings:");
    setup();
    say_changes(&now, &now, 20310302, &to);
    holds("Nothing has changed of what is compared");
    holds("Of these, what is not named has not changed; the rest is not compared.");
}
END_TEST

START_TEST(counts_say_what_is_left_out_and_why)
{
    static struct progress p;
    struct yardstick y = yardstick_of();
    p = (struct progress){ .sealed = 4, .clean = 3, .held = 2, .open = 1, .unjudged = 1, .unsigned_count = 1, .pairs_other = 5, .pairs_void = 1,
                           .digits = { { .even = { 5, 1, 1, 1, 2 } }, { .even = { 2, 2, 2, 2, 2 } } } };
    say_counts(&p, &y, &to);
    holds("4 sealed (3 clean)");
    holds("2 held by their witness");
    holds("stillarm verify says why");
    holds("5 with listeners who are");
    holds("left out");
    holds("50 % systolic, 20 % diastolic");
}
END_TEST

static struct progress_row row(const char *person, int sittings, int clean, double bias, double near, enum readiness ready)
{
    struct progress_row r = { .sittings = sittings, .clean = clean, .has_bias = true, .bias = { bias, 0 }, .has_near = true,
                              .near_5 = { near, 1.0 }, .readiness = ready };
    text_copy(r.person, sizeof r.person, person);
    return r;
}

START_TEST(rows_that_need_looking_at_come_first_and_what_was_before_stays_beside_them)
{
    static const char *const FIRST[ORDER_COUNT] = { [ORDER_PERSON] = "ana", [ORDER_SITTINGS] = "dora", [ORDER_CLEAN] = "ben",
                                                    [ORDER_BIAS] = "cara", [ORDER_NEAR] = "ben", [ORDER_ZERO] = "ana", [ORDER_READY] = "ben" };
    for (int order = 0; order < ORDER_COUNT; order++) {
        struct progress_row now[4] = { row("cara", 8, 8, -4.5, 0.9, READY_YES), row("ben", 8, 2, 1.0, 0.7, READY_NOT_YET),
                                       row("ana", 9, 9, 1.0, 0.95, READY_TOO_FEW), row("dora", 0, 0, 0, 0, READY_TOO_FEW) };
        now[3].has_bias = now[3].has_near = false;
        now[2].has_zero = true;
        struct progress_row before[4] = { now[0], now[1], now[2], now[3] };
        progress_sort(now, before, 4, (enum progress_order)order);
        ck_assert_msg(strcmp(now[0].person, FIRST[order]) == 0, "%s: %s", ORDER_WORDS[order], now[0].person);
        for (int i = 0; i < 4; i++)
            ck_assert_str_eq(now[i].person, before[i].person);
        if (order == ORDER_BIAS || order == ORDER_NEAR || order == ORDER_CLEAN)
            ck_assert_str_eq(now[3].person, "dora"); /* nothing is known */
    }
}
END_TEST

START_TEST(a_row_fits_under_its_columns)
{
    struct progress_row r = row("a-very-long-short-name-of-32-let", 99999, 88888, -123.4, 1.0, READY_NOT_YET);
    char out[PROGRESS_ROW_CAP];
    r.has_zero = true;
    r.pairs = 99999;
    r.bias[SIDE_DIASTOLIC] = -123.4;
    say_progress_row(&r, WIDTH_USUAL, out);
    ck_assert_msg(strlen(out) <= 78, "%s", out);
    ck_assert_uint_le(strlen(PROGRESS_COLUMNS[WIDTH_USUAL]), 78);
    ck_assert_uint_le(strlen(PROGRESS_COLUMNS[WIDTH_NARROW]), 58);
    r = (struct progress_row){ .person = "ben" };
    say_progress_row(&r, WIDTH_USUAL, out);
    ck_assert_ptr_nonnull(strstr(out, "too few"));
    ck_assert_ptr_null(strstr(out, "0.0"));
    r = row("a-very-long-short-name-of-32-let", 999, 888, -23.4, 1.0, READY_NOT_YET);
    say_progress_row(&r, WIDTH_NARROW, out);
    ck_assert_msg(strlen(out) <= 58 && strstr(out, "a-very-~"), "%s", out);
}
END_TEST

START_TEST(a_bias_that_rounds_to_nothing_has_no_sign)
{
    char out[PROGRESS_ROW_CAP];
    for (int width = 0; width < WIDTH_COUNT; width++) {
        struct progress_row r = row("ben", 4, 4, 0.04, 1.0, READY_TOO_FEW);
        r.bias[SIDE_DIASTOLIC] = -0.3;
        say_progress_row(&r, (enum progress_width)width, out);
        ck_assert_msg(strstr(out, "  0.0 -0.3") != NULL, "%s", out);
    }
}
END_TEST

START_TEST(a_row_of_a_record_has_no_figure_that_is_lacking)
{
    static struct progress p;
    struct progress_row r;
    p.record.agreement.side[SIDE_SYSTOLIC].figure[FIGURE_BIAS] = (struct figure){ .value = 1.5 };
    p.record.agreement.side[SIDE_DIASTOLIC].figure[FIGURE_BIAS] = (struct figure){ .lack = LACK_PAIRS, .value = 99 };
    progress_row_of(&p, &r);
    ck_assert(!r.has_bias);
    ck_assert(!r.has_zero);
    p.record.agreement.side[SIDE_DIASTOLIC].figure[FIGURE_BIAS].lack = LACK_NONE;
    progress_row_of(&p, &r);
    ck_assert(r.has_bias);
    ck_assert_double_eq_tol(r.bias[SIDE_DIASTOLIC], 99, 1e-9);
}
END_TEST

int main(void)
{
    const TTest *const tests[] = {
        verdict_comes_first_and_says_whose_it_is, what_is_short_is_named_by_what_is_counted,
        each_criterion_says_what_there_is_what_is_asked_and_who_says_so,
        what_is_not_known_is_said_so, rates_stand_in_words, refusals_stand_by_frequency_with_their_id_and_cost_and_slips_apart,
        nothing_refused_is_said_so, every_rule_has_words_that_fit, only_what_changed_is_said, counts_say_what_is_left_out_and_why,
        rows_that_need_looking_at_come_first_and_what_was_before_stays_beside_them, a_row_fits_under_its_columns,
        a_bias_that_rounds_to_nothing_has_no_sign, lines_are_folded_to_the_width_that_there_is,
        the_title_of_the_yardstick_stands_below_the_verdict,
        a_bound_of_judgement_stands_beside_what_its_source_publishes,
        a_row_of_a_record_has_no_figure_that_is_lacking, a_bias_of_the_other_side_is_said_by_its_size, sides_that_are_alike_are_said_once,
        a_yardstick_that_asks_for_fewer_pairs_than_can_show_it_is_said_to, a_yardstick_that_asks_for_no_pairs_is_said_to,
        releases_outside_the_band_are_said_in_words, items_that_were_open_are_named, pairs_that_no_preceptor_signed_are_said,
    };
    Suite *suite = suite_create("progress");
    TCase *t = tcase_create("words");
    tcase_add_checked_fixture(t, setup, NULL);
    for (size_t i = 0; i < ARRAY_LEN(tests); i++)
        tcase_add_test(t, tests[i]);
    tcase_add_loop_test(t, a_chance_is_said_as_one_in_so_many, 0, (int)ARRAY_LEN(CHANCES));
    suite_add_tcase(suite, t);
    SRunner *r = srunner_create(suite);
    srunner_run_all(r, CK_NORMAL);
    int failed = srunner_ntests_failed(r);
    srunner_free(r);
    return failed ? EXIT_FAILURE : EXIT_SUCCESS;
}
