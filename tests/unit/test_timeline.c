/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What the timeline says of an act: times, looks, waits, the fall of the needle, pairs, corrections. */
#include "timeline_hand.h"

#define OPENED INT64_C(1930222000000) /* some moment; with one hour of offset 13:46:40 at the place */

/* ---- times ---- */

START_TEST(times_are_the_places_own_by_the_openings_stamp)
{
    fed_named("whole-first-us", NO_CLOCK);
    ck_assert_int_eq(fed.t.offset_min, 60);
    ck_assert_int_eq(strncmp(fed.t.rows[0].text, "14:04:10  opened: protocol us-adult, on 2 Mar 2031", 50), 0);
    ck_row("14:09:14 rest ends");
}
END_TEST

START_TEST(times_follow_the_wall_clock_where_it_is_known)
{
    char want[16];

    fed_named("whole-first-us", OPENED);
    ck_assert_int_eq(fed.t.opened_unix_ms, OPENED);
    say_wall(&fed.t, 0, want);
    ck_assert_str_eq(want, "13:46:40");
    ck_assert_int_eq(strncmp(fed.t.rows[0].text, want, 8), 0);
    ck_row("13:51:44 rest ends");
}
END_TEST

START_TEST(times_count_from_the_opening_while_no_clock_is_known)
{
    fed_begin(NO_CLOCK);
    FEED("0.000 protocol us-adult", "3725.000 note \"late\"");
    ck_assert_int_eq(strncmp(fed.t.rows[0].text, "+0:00:00", 8), 0);
    ck_row("+1:02:05 note: late");
}
END_TEST

START_TEST(a_mad_clock_does_no_harm)
{
    char out[16];

    fed_begin(NO_CLOCK);
    FEED("0.000 protocol us-adult");
    fed.t.opened_unix_ms = INT64_MAX;
    say_wall(&fed.t, EVENT_TIME_MAX_MS, out);
    ck_assert_uint_eq(strlen(out), 8);
    fed.t.opened_unix_ms = INT64_MIN + 1;
    say_wall(&fed.t, EVENT_TIME_MAX_MS, out);
    ck_assert_uint_eq(strlen(out), 8);
}
END_TEST

/* ---- looks ---- */

/* Up to the first look, at 1 s. */
static void open_and_look(void)
{
    fed_begin(NO_CLOCK);
    fed_script(TEST_SOURCE_DIR "/tests/engine/scripts/common/open-us-first.part", 0);
    FEED("5.000 confirm ready.caffeine");
}

START_TEST(items_of_one_press_are_told_in_one_row_with_the_time_they_took)
{
    int row;

    open_and_look();
    FEED("6.000 note \"the door\"", "25.000 confirm ready.tobacco", "25.000 confirm ready.exercise", "25.000 confirm ready.toilet");
    row = fed_row("readiness: 3 looked at together", 0);
    ck_assert_int_gt(row, 0);
    ck_assert_str_eq(fed.t.rows[row].value, "19 s after");
    ck_assert_int_eq(fed.t.rows[row].seq, fed.count - 2);
    ck_assert_ptr_nonnull(strstr(fed.t.rows[row + 1].text, "tobacco, exercise, toilet"));
    ck_assert_int_eq(fed.t.quick_count, 0);
}
END_TEST

START_TEST(a_look_quicker_than_the_protocols_least_is_marked_and_counted)
{
    static const struct { const char *second; int quick; const char *value, *run, *named; } ROWS[] = {
        { "5.999 confirm ready.tobacco", 1, "0.9 s, quick", "1 quick, 0.9 s", "caffeine, tobacco (quick) " },
        { "6.000 confirm ready.tobacco", 0, "1.0 s after", "quickest 1.0 s", "caffeine, tobacco 14" },
    };

    for (size_t i = 0; i < ARRAY_LEN(ROWS); i++) {
        open_and_look();
        ck_assert_int_eq(fed.p.value[KEY_LOOK_MIN_X10], 10);
        (void)fed_event(ROWS[i].second);
        ck_assert_str_eq(fed.t.rows[fed.t.row_count - 1].value, ROWS[i].value);
        ck_assert_str_eq(fed.t.rows[fed_row("readiness: 2 looked at, ", 0)].value, ROWS[i].run);
        ck_row(ROWS[i].named);
        ck_assert_int_eq(fed.t.quick_count, ROWS[i].quick);
    }
    timeline_end(&fed.t);
    ck_no_row("(quick)");
}
END_TEST

START_TEST(quick_looks_are_counted_by_presses_at_the_end)
{
    open_and_look();
    FEED("5.200 confirm ready.tobacco", "5.200 confirm ready.exercise", "5.300 confirm ready.toilet");
    ck_assert_int_eq(fed.t.quick_count, 2);
    timeline_end(&fed.t);
    ck_row("confirmed less than 1.0 s after the act before (quick): 2");
}
END_TEST

/* ---- runs ---- */

static int shown_rows(int32_t unfolded, int from, int to)
{
    int n = 0;

    for (int i = from; i < to; i++)
        n += timeline_is_shown(&fed.t, i, unfolded);
    return n;
}

START_TEST(looks_at_one_step_are_one_row_until_it_is_unfolded)
{
    int head;

    open_and_look();
    FEED("7.500 confirm ready.tobacco", "12.000 confirm ready.exercise", "20.000 confirm ready.toilet");
    head = fed_row("readiness: 4 looked at, 19 s", 0);
    ck_assert_int_gt(head, 0);
    ck_assert_str_eq(fed.t.rows[head].value, "quickest 2.5 s");
    ck_assert_ptr_nonnull(strstr(fed.t.rows[head + 1].text, "caffeine, tobacco, exercise, toilet"));
    ck_assert_int_eq(shown_rows(0, head, fed.t.row_count), 2);
    ck_assert_int_eq(shown_rows(fed.t.rows[head].seq, head, fed.t.row_count), 5);
    for (int i = 0; i < 4; i++) {
        ck_assert_int_eq(fed.t.rows[head + 2 + i].seq, fed.count - 3 + i);
        ck_assert(fed.t.rows[head + 2 + i].is_stop);
        ck_assert_int_eq(timeline_head(&fed.t, head + 2 + i), head);
    }
}
END_TEST

/* Whatever is told between two looks keeps its place. */
START_TEST(anything_between_ends_a_run)
{
    static const char *const BETWEEN[] = { "7.000 note \"the door\"", "7.000 waive ready.toilet \"no time\"", "7.000 value first 130",
                                           "7.000 reopen ready.caffeine \"a cup\"" };

    for (size_t i = 0; i < ARRAY_LEN(BETWEEN); i++) {
        open_and_look();
        FEED("6.500 confirm ready.tobacco");
        FEED(BETWEEN[i], "8.000 confirm ready.exercise", "10.000 confirm ready.calm");
        ck_assert_int_gt(fed_row("readiness: 2 looked at, 3 s", 1), 0);
    }
}
END_TEST

START_TEST(another_step_begins_another_run)
{
    int at;

    fed_named("whole-return-us", NO_CLOCK);
    at = fed_row("readiness: 8 looked at", 0);
    ck_assert_int_gt(at, 0);
    ck_assert_int_gt(fed_row("posture: 4 looked at", at), at);
}
END_TEST

START_TEST(cuffs_and_their_bladders_are_one_row)
{
    int head;

    open_and_look();
    FEED("6.000 cuff small 220 260", "6.000 bladder small 100 220", "6.000 cuff adult 254 406", "6.000 bladder adult 130 300");
    head = fed_row("cuffs at hand: 2, bladders of 2", 0);
    ck_assert_int_gt(head, 0);
    ck_assert_ptr_nonnull(strstr(fed.t.rows[head + 1].text, "small 22 to 26 cm, adult 25.4 to 40.6 cm"));
    ck_assert_int_eq(shown_rows(0, head, fed.t.row_count), 2);
    ck_assert_int_eq(shown_rows(fed.t.rows[head].seq, head, fed.t.row_count), 5);
    ck_row("bladder of adult 13 cm by 30 cm");
}
END_TEST

START_TEST(checks_are_one_row_but_for_one_above_its_most)
{
    int head;

    fed_begin(NO_CLOCK);
    fed_script(TEST_SOURCE_DIR "/tests/engine/scripts/common/ready-us.part", 0);
    FEED("+1.000 check leak 3 20310302", "+1.000 check zero 0 20310302", "+1.000 check leak 30 20310302", "+1.000 check zero 0 20310302");
    head = fed_row("checked: 2, none above what is asked", 0);
    ck_assert_int_gt(head, 0);
    ck_assert_ptr_nonnull(strstr(fed.t.rows[head + 1].text, "leak 3, on 2 Mar 2031, zero 0"));
    head = fed_row("checked: leak 30", head);
    ck_assert_int_gt(head, 0);
    ck_assert_int_eq(fed.t.rows[head].when, ROW_ALWAYS);
    ck_assert_int_eq(strncmp(fed.t.rows[head].value, "above", 5), 0);
    ck_row("checked: zero 0, on 2 Mar 2031");
}
END_TEST

/* ---- required against actual ---- */

START_TEST(waits_are_told_with_what_was_asked)
{
    int row;

    fed_named("whole-first-us", NO_CLOCK);
    row = fed_row("rest ends", 0);
    ck_assert_str_eq(fed.t.rows[row].value, "5:00 of 5:00");
    ck_row("settled: 30 s of 30 s");
    ck_row("interval: 60 s of 60 s to 2:00");
    ck_row("asked: pump to 160, the pulse gone at 130");
    ck_row("pumped to 160 of 160 asked");
}
END_TEST

START_TEST(a_cuff_is_told_with_its_range_and_the_arm)
{
    int row;

    fed_named("whole-first-us", NO_CLOCK);
    row = fed_row("cuff adult, 25.4 to 40.6 cm, arm 30 cm", 0);
    row = row >= 0 ? row : fed_row("cuff adult, 25.4 to 40.6 cm", 0);
    ck_assert_str_eq(fed.t.rows[row].value, "fits");
    fed_named("waived-cuff", NO_CLOCK);
    row = fed_row("cuff adult, 25.4 to 40.6 cm", 0);
    ck_assert_str_eq(fed.t.rows[row].value, "too small");
}
END_TEST

START_TEST(what_is_passed_over_has_its_reason_and_its_cost)
{
    int row;

    fed_named("waived-cuff", NO_CLOCK);
    row = fed_row("passed over: ", 0);
    ck_assert_str_eq(fed.t.rows[row].value, "passed over");
    ck_row("because: no larger one here");
    ck_row("A cuff too small reads 2 to 11 mmHg high");
}
END_TEST

START_TEST(pressures_at_which_the_pulse_was_felt_stand_in_one_row)
{
    fed_begin(NO_CLOCK);
    fed_script(TEST_SOURCE_DIR "/tests/engine/scripts/common/ready-us.part", 0);
    FEED("+1.000 inflate palpate", "+1.000 palpate felt 80", "+1.000 palpate felt 90", "+1.000 palpate felt 100", "+1.000 palpate gone 110");
    ck_row("pulse felt at 80, 90, 100, gone at 110");
}
END_TEST

/* ---- refused attempts ---- */

START_TEST(attempts_stand_below_the_act_before_skips_apart_from_slips)
{
    int rest, skip, slip;

    fed_named("rest.short", NO_CLOCK);
    rest = fed_row("rest begins", 0);
    skip = fed_row("tried 14:10:49: rest ends (299.999 s; asked 300 s)", 0);
    ck_assert_int_gt(skip, rest);
    ck_assert_str_eq(fed.t.rows[skip].value, "not yet");
    ck_assert_int_eq(fed.t.rows[skip].seq, fed.t.rows[rest].seq);
    ck_assert(!fed.t.rows[skip].is_stop);
    fed_named("value.odd", NO_CLOCK);
    slip = fed_row("tried ", 0);
    ck_assert_str_eq(fed.t.rows[slip].value, "typing slip");
    ck_assert_int_gt(fed.t.told.slips, 0);
    timeline_end(&fed.t);
    ck_row("typing slips: ");
}
END_TEST

START_TEST(a_line_that_does_not_parse_is_told_as_it_stands)
{
    const struct timeline_attempt a = { .after_seq = 1, .t_ms = 1000, .is_slip = true, .rule = "syntax", .have = "", .need = "",
                                        .line = "1.000 value first \xff 12\x07" };

    fed_begin(NO_CLOCK);
    FEED("0.000 protocol us-adult");
    timeline_attempt(&fed.t, &a);
    ck_row("tried +0:00:01: \"1.000 value first ? 12?\" (asked syntax)");
}
END_TEST

/* ---- the fall of the needle ---- */

static int drawn_rows(int *first)
{
    int n = 0;

    *first = -1;
    for (int i = 0; i < fed.t.row_count; i++)
        if (strncmp(fed.t.rows[i].text, "  |", 3) == 0) {
            *first = *first < 0 ? i : *first;
            n++;
        }
    return n;
}

START_TEST(a_fall_is_drawn_from_the_target_to_the_empty_cuff)
{
    int first;

    fed_named("release.quick", NO_CLOCK);
    ck_assert_int_eq(drawn_rows(&first), 10);
    ck_assert_ptr_nonnull(strstr(fed.t.rows[first].text, "  |o"));
    ck_assert_ptr_nonnull(strstr(fed.t.rows[first].text, "160 release 0:00"));
    ck_assert_int_gt(fed_row("130 first   0:08", first), first);
    ck_assert_int_gt(fed_row(" 80 last    0:28", first), first);
    ck_assert_ptr_nonnull(strstr(fed.t.rows[first + 9].text, "o   0 empty   0:48"));
    for (int i = first; i < first + 10; i++) {
        ck_assert_int_le(utf8_length(fed.t.rows[i].text), LINE_WIDTH);
        for (const char *c = fed.t.rows[i].text; *c != '\0'; c++)
            ck_assert(*c >= ' ' && *c <= '~');
        ck_assert_str_eq(fed.t.rows[i].value, "");
    }
    ck_row("dots: a fall of 2.0 mmHg/s to 3.0 mmHg/s");
}
END_TEST

START_TEST(labels_keep_their_order_where_two_fall_in_one_row)
{
    int last;

    fed_begin(NO_CLOCK);
    fed_script(TEST_SOURCE_DIR "/tests/engine/scripts/common/estimated-us.part", 0);
    FEED("+1.000 inflate listen", "+7.000 mark release", "+9.000 mark first", "+25.000 mark muffling", "+25.000 mark last",
         "+9.000 empty", "+1.000 target 180", "+1.000 value first 158", "+1.000 value muffling 80", "+1.000 value last 0", "+1.000 done");
    last = fed_row("  0 last    0:59", 0);
    ck_assert_int_gt(last, 0);
    ck_assert_int_eq(fed_row("  0 empty   1:08", 0), last + 1);
}
END_TEST

/* In the column of the last sound the line lies above the band where the air went out slowly, below it where quickly. */
static int band_against_line(const char *script)
{
    int first, above = 0, below = 0;

    fed_named(script, NO_CLOCK);
    ck_assert_int_eq(drawn_rows(&first), 10);
    for (int i = first; i < first + 10; i++) {
        const char *dot = strchr(fed.t.rows[i].text, '.'), *line = strpbrk(fed.t.rows[i].text + 3, "o\\_");

        if (dot == NULL || line == NULL || dot - fed.t.rows[i].text > 35 || line - fed.t.rows[i].text > 35)
            continue;
        above += dot > line;
        below += dot < line;
    }
    return above - below; /* dots right of the line: the band falls later, so the line was quicker */
}

START_TEST(the_band_lies_behind_a_quick_fall_and_before_a_slow_one)
{
    ck_assert_int_gt(band_against_line("release.fast"), 0);
    ck_assert_int_lt(band_against_line("release.slow"), 0);
}
END_TEST

START_TEST(rates_stand_against_the_band)
{
    int row;

    fed_named("release.quick", NO_CLOCK);
    row = fed_row("release to first sound: 3.6 a second", 0);
    ck_assert_int_gt(row, 0);
    ck_assert_ptr_nonnull(strstr(fed.t.rows[row].text, "2.0 to 3.0 asked"));
    ck_assert_str_eq(fed.t.rows[row].value, "quicker");
    row = fed_row("first to last sound: 2.5 a second", 0);
    ck_assert_str_eq(fed.t.rows[row].value, "within");
    fed_named("release-slow-pulse", NO_CLOCK);
    row = fed_row("release to first sound: 1.4 a second (2.1 a beat)", 0);
    ck_assert_int_gt(row, 0);
    ck_assert_str_eq(fed.t.rows[row].value, "slow, as the pulse");
}
END_TEST

START_TEST(alone_nothing_is_drawn_and_that_is_said)
{
    int first;

    fed_named("whole-first-us", NO_CLOCK);
    ck_assert_int_eq(drawn_rows(&first), 0);
    ck_row("how fast the air went out was not observed");
}
END_TEST

START_TEST(moments_that_cross_after_a_second_mark_draw_no_nonsense)
{
    int first, rows;

    fed_named("mark-silent-again", NO_CLOCK);
    rows = drawn_rows(&first);
    ck_assert(rows == 0 || rows == 10);
    for (int i = 0; i < fed.t.row_count; i++)
        ck_assert_int_lt(utf8_length(fed.t.rows[i].text), TIMELINE_ROW_CAP);
}
END_TEST

/* ---- the verdict ---- */

START_TEST(a_reading_that_does_not_count_has_all_its_reasons)
{
    int row;

    fed_named("several-reasons", NO_CLOCK);
    for (int i = 0; i < fed.s.reading_count; i++)
        for (int bit = 0; bit < VOID_REASON_COUNT; bit++)
            if (fed.s.readings[i].is_entered && (fed.s.readings[i].voids & (1u << bit)))
                ck_row(say_void(bit));
    row = fed_row("reading 1, left arm: ", 0);
    ck_assert_str_eq(fed.t.rows[row].value, "does not count");
}
END_TEST

START_TEST(a_correction_tells_old_and_new_and_what_it_changed)
{
    fed_named("corrected", NO_CLOCK);
    ck_row("pumped to 158, was 160, because: it was less");
    ck_row("now 128/78, and it counted before");
    ck_row("pumped to 160, was 158");
    ck_row("now 128/78, and it did not count before");
}
END_TEST

START_TEST(a_gap_of_the_program_and_a_clock_gone_back_are_told)
{
    fed_named("resumed", NO_CLOCK);
    ck_row("the program was away for 30 s");
    fed_begin(NO_CLOCK);
    FEED("0.000 protocol us-adult", "1.000 resume -5000");
    ck_row("the program was started anew; the machine's clock had gone back");
}
END_TEST

/* ---- two listeners ---- */

START_TEST(values_of_two_listeners_are_told_only_when_both_are_in)
{
    const struct reading *r;
    char figure[16];

    fed_begin(NO_CLOCK);
    fed_script(TEST_SOURCE_DIR "/tests/engine/scripts/common/estimated-us.part", 0);
    FEED("+1.000 inflate listen", "+1.000 listener ben", "+45.000 empty", "+1.000 target 160", "+1.000 value first 134",
         "+1.000 value first 136", "+1.000 value last 78", "+1.000 pair first 128", "+1.000 pair last 77", "+1.000 pair last 76");
    r = sitting_current(&fed.s);
    ck_assert_ptr_nonnull(r);
    ck_assert_int_eq(r->has_pair[POINT_LAST], 1);
    for (int i = 0; i < 4; i++) {
        (void)snprintf(figure, sizeof figure, "%d", (int[]){ 134, 136, 128, 76 }[i]);
        ck_no_row(figure);
    }
    FEED("+1.000 done");
    ck_row("measurer typed: first sound 134, first sound 136, last sound 78");
    ck_row("second listener typed: first sound 128, last sound 76");
    ck_row("second listener ben: 128/76, differs by -8/-2, up to 4 asked");
    ck_assert_str_eq(fed.t.rows[fed_row("second listener ben:", 0)].value, "further apart");
    ck_assert(fed.s.readings[0].notes & NOTE_PAIR_DIFFERS);
}
END_TEST

START_TEST(a_slip_of_a_listener_does_not_show_the_figure)
{
    fed_begin(NO_CLOCK);
    fed_script(TEST_SOURCE_DIR "/tests/engine/scripts/common/estimated-us.part", 0);
    FEED("+1.000 inflate listen", "+1.000 listener ben", "+45.000 empty", "+1.000 target 160", "+1.000 value first 135");
    ck_row("a value, unseen (asked an even number)");
    ck_no_row("135");
}
END_TEST

START_TEST(values_kept_back_are_told_when_the_sitting_stops_first)
{
    fed_begin(NO_CLOCK);
    fed_script(TEST_SOURCE_DIR "/tests/engine/scripts/common/estimated-us.part", 0);
    FEED("+1.000 inflate listen", "+1.000 listener ben", "+45.000 empty", "+1.000 target 160", "+1.000 value first 136",
         "+1.000 stop \"fire alarm\"");
    ck_no_row("136");
    timeline_end(&fed.t);
    ck_row("measurer typed: first sound 136");
}
END_TEST

/* ---- odd input ---- */

START_TEST(an_event_that_cannot_follow_is_said_and_nothing_changes)
{
    struct sitting before;
    struct event ev = { .t_ms = 5000, .kind = EV_SEAL };
    int row;

    fed_begin(NO_CLOCK);
    FEED("0.000 protocol us-adult");
    before = fed.t.sitting;
    ck_assert(!timeline_event(&fed.t, &ev, 2, NO_CLOCK));
    ck_assert(sitting_equal(&before, &fed.t.sitting));
    row = fed_row("sealed: does not follow from the acts before it", 0);
    row = row >= 0 ? row : fed_row("sealed: does not", 0);
    ck_assert_int_gt(row, 0);
    ev.kind = EV_COUNT;
    ck_assert(!timeline_event(&fed.t, &ev, 3, NO_CLOCK));
}
END_TEST

START_TEST(the_longest_text_is_told_whole)
{
    static char line[EVENT_TEXT_CAP + 60];
    size_t len = (size_t)snprintf(line, sizeof line, "1.000 note \"");
    int told = 0;

    for (int i = 0; i < EVENT_TEXT_MAX; i++)
        len += (size_t)snprintf(line + len, sizeof line - len, "%s", i % 11 == 10 ? " " : "\xf0\x9f\xab\x80");
    (void)snprintf(line + len, sizeof line - len, "\"");
    fed_begin(NO_CLOCK);
    FEED("0.000 protocol us-adult");
    ck_assert(fed_event(line));
    for (int i = 1; i < fed.t.row_count; i++) {
        ck_assert_int_ge(utf8_length(fed.t.rows[i].text), 0);
        for (const char *c = fed.t.rows[i].text; (c = strstr(c, "\xf0\x9f\xab\x80")) != NULL; c++)
            told++;
    }
    ck_assert_int_eq(told, EVENT_TEXT_MAX - EVENT_TEXT_MAX / 11);
}
END_TEST

START_TEST(a_record_longer_than_fits_says_so_and_still_tells_its_end)
{
    const struct timeline_statement seal = { .word = "stop", .person = "ana", .standing = "", .verdict = "", .said = "",
                                             .at = "2031-03-02T14:21:30+01:00", .key_short = "7f3a 91c2" };
    fed_begin(NO_CLOCK);
    FEED("0.000 protocol us-adult");
    for (int i = 0; i < 2000; i++) {
        char line[60];

        (void)snprintf(line, sizeof line, "%d.000 note \"number %d\"", i + 1, i);
        (void)fed_event(line);
    }
    FEED("9000.000 stop \"enough\"");
    timeline_statement(&fed.t, &seal);
    timeline_end(&fed.t);
    ck_assert(fed.t.is_cut);
    ck_assert_int_lt(fed.t.row_count, TIMELINE_ROWS_MAX);
    ck_row("signed as stopped by ana");
    ck_row("More acts than fit here");
    ck_row("no result");
    ck_assert_int_eq(fed.t.sitting.phase, PHASE_STOPPED);
}
END_TEST

int main(void)
{
    Suite *suite = suite_create("timeline");
    TCase *acts = tcase_create("acts"), *readings = tcase_create("readings"), *odd = tcase_create("odd");

    if (fed_protocol("us-adult") == NULL)
        return EXIT_FAILURE;
    tcase_add_test(acts, times_are_the_places_own_by_the_openings_stamp);
    tcase_add_test(acts, times_follow_the_wall_clock_where_it_is_known);
    tcase_add_test(acts, times_count_from_the_opening_while_no_clock_is_known);
    tcase_add_test(acts, a_mad_clock_does_no_harm);
    tcase_add_test(acts, items_of_one_press_are_told_in_one_row_with_the_time_they_took);
    tcase_add_test(acts, a_look_quicker_than_the_protocols_least_is_marked_and_counted);
    tcase_add_test(acts, quick_looks_are_counted_by_presses_at_the_end);
    tcase_add_test(acts, looks_at_one_step_are_one_row_until_it_is_unfolded);
    tcase_add_test(acts, anything_between_ends_a_run);
    tcase_add_test(acts, another_step_begins_another_run);
    tcase_add_test(acts, cuffs_and_their_bladders_are_one_row);
    tcase_add_test(acts, checks_are_one_row_but_for_one_above_its_most);
    tcase_add_test(acts, waits_are_told_with_what_was_asked);
    tcase_add_test(acts, pressures_at_which_the_pulse_was_felt_stand_in_one_row);
    tcase_add_test(acts, a_cuff_is_told_with_its_range_and_the_arm);
    tcase_add_test(acts, what_is_passed_over_has_its_reason_and_its_cost);
    tcase_add_test(acts, attempts_stand_below_the_act_before_skips_apart_from_slips);
    tcase_add_test(acts, a_gap_of_the_program_and_a_clock_gone_back_are_told);
    tcase_add_test(readings, a_fall_is_drawn_from_the_target_to_the_empty_cuff);
    tcase_add_test(readings, labels_keep_their_order_where_two_fall_in_one_row);
    tcase_add_test(readings, the_band_lies_behind_a_quick_fall_and_before_a_slow_one);
    tcase_add_test(readings, rates_stand_against_the_band);
    tcase_add_test(readings, alone_nothing_is_drawn_and_that_is_said);
    tcase_add_test(readings, moments_that_cross_after_a_second_mark_draw_no_nonsense);
    tcase_add_test(readings, a_reading_that_does_not_count_has_all_its_reasons);
    tcase_add_test(readings, a_correction_tells_old_and_new_and_what_it_changed);
    tcase_add_test(readings, values_of_two_listeners_are_told_only_when_both_are_in);
    tcase_add_test(readings, a_slip_of_a_listener_does_not_show_the_figure);
    tcase_add_test(readings, values_kept_back_are_told_when_the_sitting_stops_first);
    tcase_add_test(odd, a_line_that_does_not_parse_is_told_as_it_stands);
    tcase_add_test(odd, an_event_that_cannot_follow_is_said_and_nothing_changes);
    tcase_add_test(odd, the_longest_text_is_told_whole);
    tcase_add_test(odd, a_record_longer_than_fits_says_so_and_still_tells_its_end);
    suite_add_tcase(suite, acts);
    suite_add_tcase(suite, readings);
    suite_add_tcase(suite, odd);
    SRunner *runner = srunner_create(suite);
    srunner_run_all(runner, CK_NORMAL);
    int failed = srunner_ntests_failed(runner);
    srunner_free(runner);
    return failed == 0 ? EXIT_SUCCESS : EXIT_FAILURE;
}
