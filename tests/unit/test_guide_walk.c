/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Whole sittings through the guide and the engine, by keys alone. */
#include <stdlib.h>

#include "guide_hand.h"

static struct hand h;

static void begin(void)
{
    hand_begin(&h, "us-adult");
}

START_TEST(guide_return_visit_takes_at_most_60_keys)
{
    prepare(&h, true, "\n");
    listen(&h, "160", "124", "78");
    pass(&h, 70);
    listen(&h, "160", "126", "76");
    finish(&h);
    printf("keystrokes, return visit, one arm, alone: %d (at most 60)\n", h.keys);
    ck_assert_int_le(h.keys, 60);
    ck_assert_int_eq(h.sitting.phase, PHASE_SEALED);
    ck_assert_int_eq(h.refused, 0);
    press(&h, "\n");
    ck_assert_int_eq(h.finished, 1);
}
END_TEST

static void both_arms(const char *first_on_right)
{
    prepare(&h, false, "l");
    listen(&h, "160", "124", "78");
    take_arm(&h, "\n");
    feel(&h, "130");
    pass(&h, 35);
    listen(&h, "160", first_on_right, "76");
}

START_TEST(guide_first_visit_takes_at_most_90_keys)
{
    both_arms("130");
    pass(&h, 70);
    listen(&h, "160", "128", "78");
    finish(&h);
    printf("keystrokes, first visit, both arms, alone: %d (at most 90)\n", h.keys);
    ck_assert_int_le(h.keys, 90);
    ck_assert_int_eq(h.sitting.phase, PHASE_SEALED);
    ck_assert_int_eq(h.refused, 0);
}
END_TEST

START_TEST(guide_first_visit_back_on_the_first_arm_takes_at_most_90_keys)
{
    both_arms("118");
    take_arm(&h, "\n");
    feel(&h, "130");
    pass(&h, 70);
    listen(&h, "160", "126", "78");
    finish(&h);
    printf("keystrokes, first visit, back on the first arm: %d (at most 90)\n", h.keys);
    ck_assert_int_le(h.keys, 90);
    ck_assert_int_eq(h.sitting.phase, PHASE_SEALED);
}
END_TEST

static void listen_with_marks(const char *values)
{
    ck_page(&h, "listening-before");
    press(&h, " ");
    ck_page(&h, "marks");
    pass(&h, 8);
    press(&h, " "); /* release */
    pass(&h, 12);
    press(&h, " "); /* first */
    pass(&h, 20);
    press(&h, " "); /* last */
    pass(&h, 4);
    press(&h, " "); /* air out */
    ck_page(&h, "entry");
    press(&h, values);
    ck_page(&h, "read-back");
    press(&h, "\n"); /* the Enter of habit */
    ck_page(&h, "read-back");
    press(&h, "\n");
}

START_TEST(guide_second_person_marks_each_step_and_moment)
{
    open_return(&h);
    ready(&h);
    take_arm(&h, "\n");
    rest_with_kit(&h);
    press(&h, "2 ");
    ck_page(&h, "palpating-steps");
    ck_assert_str_eq(h.page.big, "70");
    press(&h, "     g"); /* felt at 70, 80, 90, 100, 110; gone at 120 */
    ck_assert_int_eq(h.sitting.gone_mmhg, 120);
    press(&h, " ");
    ck_page(&h, "listening-wait");
    pass(&h, 31);
    ck_assert_str_eq(h.page.big, "150");
    listen_with_marks("15012478");
    ck_page(&h, "listening-wait");
    ck_assert(h.sitting.readings[0].rate_x10[0] > 0);
    ck_assert_uint_eq(h.sitting.readings[0].voids, 0);
    pass(&h, 65);
    listen_with_marks("15012276");
    finish(&h);
    ck_assert_int_eq(h.sitting.phase, PHASE_SEALED);
}
END_TEST

START_TEST(guide_take_back_gives_the_latest_mark_again)
{
    prepare(&h, true, "\n");
    press(&h, "2 ");
    pass(&h, 5);
    press(&h, " ");
    pass(&h, 5);
    press(&h, " ");
    ck_assert_int_eq(h.sitting.readings[0].has_mark[POINT_FIRST], 1);
    press(&h, "u");
    ck_assert(page_says(&h.page, "again"));
    pass(&h, 3);
    press(&h, " ");
    ck_assert_int_eq((int)(h.sitting.readings[0].mark_ms[POINT_FIRST] - h.sitting.readings[0].inflate_ms), 13000);
    ck_assert_int_eq(h.sitting.readings[0].has_mark[POINT_LAST], 0);
}
END_TEST

START_TEST(guide_sound_after_the_last_turns_it_into_a_silence)
{
    prepare(&h, true, "\n");
    press(&h, "2 ");
    pass(&h, 5);
    press(&h, "  ");
    pass(&h, 5);
    press(&h, " ");
    pass(&h, 5);
    press(&h, "x");
    ck_assert_int_eq(h.sitting.readings[0].has_mark[POINT_SILENT], 1);
    ck_assert_int_eq(h.sitting.readings[0].has_mark[POINT_LAST], 0);
    pass(&h, 10);
    press(&h, "  ");
    press(&h, "16014080");
    ck_page(&h, "entry"); /* the silence is asked for, as it was marked */
    press(&h, "120110y");
    ck_assert_int_eq(h.sitting.readings[0].is_entered, 1);
}
END_TEST

START_TEST(guide_zero_asks_for_the_muffling)
{
    prepare(&h, true, "\n");
    press(&h, " ");
    pass(&h, 60);
    press(&h, " 1601420\n");
    ck_page(&h, "entry");
    ck_assert(page_says(&h.page, "muffled"));
    press(&h, "66y");
    ck_assert_int_eq(reading_diastolic_mmhg(&h.sitting.readings[0]), 66);
}
END_TEST

START_TEST(guide_low_target_is_said_at_once)
{
    prepare(&h, true, "\n");
    press(&h, " ");
    pass(&h, 45);
    press(&h, " 150");
    ck_assert(page_says(&h.page, "will not count"));
    press(&h, "12478y");
    ck_page(&h, "listening-wait");
    ck_assert(page_says(&h.page, "does not count"));
}
END_TEST

START_TEST(guide_correct_changes_a_value_with_a_reason)
{
    prepare(&h, true, "\n");
    listen(&h, "160", "124", "78");
    press(&h, "c");
    ck_page(&h, "correct");
    press(&h, "276");
    ck_page(&h, "reason");
    press(&h, "misread the line\n");
    ck_assert_int_eq(h.sitting.readings[0].value_mmhg[POINT_LAST], 76);
    ck_assert_uint_eq(h.sitting.readings[0].notes & NOTE_CORRECTED, NOTE_CORRECTED);
}
END_TEST

START_TEST(guide_very_high_value_brings_its_own_calm_page)
{
    prepare(&h, true, "\n");
    press(&h, "p");
    pass(&h, 30);
    press(&h, " 180");
    pass(&h, 35);
    press(&h, " ");
    pass(&h, 60);
    press(&h, " 220192");
    ck_page(&h, "very-high"); /* as soon as the value is in, and the symptoms first */
    ck_assert_str_eq(h.page.title, "Very high");
    ck_assert_str_eq(h.page.big, "");
    press(&h, "a");
    ck_page(&h, "very-high");
    press(&h, "na");
    ck_page(&h, "reason");
    press(&h, "\n");
    ck_page(&h, "reason"); /* nothing is filled in for them */
    press(&h, "no symptoms, repeating\n");
    ck_assert_int_eq(h.sitting.is_severe_open, 0);
    press(&h, "98y");
    ck_page(&h, "listening-wait");
}
END_TEST

START_TEST(guide_rest_tried_too_early_is_refused_in_words)
{
    open_return(&h);
    ready(&h);
    take_arm(&h, "\n");
    press(&h, "yy ");
    pass(&h, 130);
    press(&h, " ");
    ck_page(&h, "rest");
    ck_assert_int_eq(h.last_refusal, RULE_REST_SHORT);
    ck_assert(strncmp(h.page.refusal, "not yet:", 8) == 0);
    ck_assert_int_eq(h.guide.attempts.by_rule[RULE_REST_SHORT], 1);
    ck_assert_str_eq(h.page.big, "2:50");
}
END_TEST

START_TEST(guide_interrupted_rest_begins_again)
{
    open_return(&h);
    ready(&h);
    take_arm(&h, "\n");
    press(&h, "yy ");
    pass(&h, 130);
    press(&h, "i");
    ck_page(&h, "rest-before");
    ck_assert(page_says(&h.page, "did not hold"));
}
END_TEST

START_TEST(guide_stop_asks_for_a_reason_and_once_more)
{
    prepare(&h, true, "\n");
    press(&h, "s");
    ck_page(&h, "reason");
    press(&h, "feels unwell\n");
    ck_page(&h, "stop-sure");
    ck_assert_int_eq(h.sitting.phase, PHASE_OPEN);
    press(&h, "y");
    ck_page(&h, "stopped");
    ck_assert_int_eq(h.sitting.phase, PHASE_STOPPED);
}
END_TEST

START_TEST(guide_stop_can_be_thought_over)
{
    prepare(&h, true, "\n");
    press(&h, "sno\n\033");
    ck_page(&h, "listening-before");
    ck_assert_int_eq(h.sitting.phase, PHASE_OPEN);
}
END_TEST

START_TEST(guide_one_more_reading_can_follow_enough)
{
    prepare(&h, true, "\n");
    listen(&h, "160", "124", "78");
    pass(&h, 70);
    listen(&h, "160", "126", "76");
    press(&h, "+");
    ck_page(&h, "listening-wait");
    pass(&h, 70);
    listen(&h, "160", "124", "78");
    ck_page(&h, "result");
    ck_assert_int_eq(h.sitting.reading_count, 3);
}
END_TEST

START_TEST(guide_result_shows_the_average_in_large)
{
    prepare(&h, true, "\n");
    listen(&h, "160", "124", "78");
    pass(&h, 70);
    listen(&h, "160", "126", "76");
    ck_assert_str_eq(h.page.big, "125/77");
    press(&h, "h");
    ck_assert_str_eq(h.page.big, "");
    ck_assert(!page_says(&h.page, "124/78"));
}
END_TEST

START_TEST(guide_earlier_readings_are_covered_during_entry)
{
    prepare(&h, true, "\n");
    listen(&h, "160", "124", "78");
    pass(&h, 70);
    press(&h, " ");
    ck_assert(!page_says(&h.page, "124"));
    pass(&h, 45);
    press(&h, " 160");
    ck_assert(!page_says(&h.page, "124"));
    ck_assert(!page_says(&h.page, "78"));
}
END_TEST

START_TEST(guide_no_pulse_leads_to_the_passed_over_estimate)
{
    open_return(&h);
    ready(&h);
    take_arm(&h, "\n");
    rest_with_kit(&h);
    press(&h, "n");
    ck_page(&h, "estimate-before");
    press(&h, "wweak pulse at both wrists\n");
    ck_page(&h, "listening-before");
    ck_assert_str_eq(h.page.big, "180");
}
END_TEST

START_TEST(guide_usual_value_may_stand_for_the_estimate_on_a_return_visit)
{
    open_return(&h);
    ready(&h);
    take_arm(&h, "\n");
    rest_with_kit(&h);
    press(&h, "v");
    ck_page(&h, "usual");
    press(&h, "128");
    ck_page(&h, "listening-before");
    ck_assert_str_eq(h.page.big, "158");
}
END_TEST

START_TEST(guide_cuff_that_does_not_fit_is_refused_and_can_be_passed_over)
{
    open_return(&h);
    ready(&h);
    press(&h, "\nyy31\n2");
    ck_page(&h, "cuff-choice");
    ck_assert_int_eq(h.last_refusal, RULE_CUFF_TOO_SMALL);
    ck_assert(page_offers(&h.page, "w"));
    press(&h, "wno other one here\n2");
    ck_page(&h, "cuff-items");
    ck_assert_int_eq(h.sitting.waived_rules[RULE_CUFF_TOO_SMALL], 1);
}
END_TEST

START_TEST(guide_overdue_gauge_is_refused_and_can_be_passed_over)
{
    h.booth.gauges[0].due = 20310301;
    open_return(&h);
    ready(&h);
    take_arm(&h, "\n");
    press(&h, "yy \n");
    ck_assert_int_eq(h.last_refusal, RULE_KIT_OVERDUE);
    press(&h, "wcompared this morning\n\n");
    ck_assert_int_eq(h.sitting.given[EV_GAUGE], 1);
}
END_TEST

START_TEST(guide_gauge_that_failed_its_check_is_refused_at_the_squeeze)
{
    h.booth.gauges[0].leak = (struct gauge_check){ .is_given = true, .value = 9, .date = 20310101 };
    open_return(&h);
    ready(&h);
    take_arm(&h, "\n");
    rest_with_kit(&h);
    press(&h, " ");
    ck_assert_int_eq(h.last_refusal, RULE_KIT_FAILED);
    ck_page(&h, "estimate-before");
    text_copy(h.booth.gauges[0].id, ITEM_CAP, "g3");
    h.booth.gauges[0].leak.is_given = false;
    press(&h, "dg1 ");
    ck_page(&h, "palpating");
}
END_TEST

START_TEST(guide_asks_which_of_several_gauges)
{
    h.booth.gauge_count = 2;
    h.booth.gauges[1] = h.booth.gauges[0];
    text_copy(h.booth.gauges[1].id, ITEM_CAP, "g3");
    h.booth.default_gauge[0] = '\0';
    open_return(&h);
    ready(&h);
    take_arm(&h, "\n");
    press(&h, "yy \n");
    ck_assert_int_eq(h.sitting.given[EV_GAUGE], 0);
    press(&h, "2");
    ck_assert_str_eq(h.sitting.gauge, "g3");
}
END_TEST

START_TEST(guide_item_not_so_says_what_to_do)
{
    open_return(&h);
    press(&h, "n");
    ck_assert(page_says(&h.page, "Which one?"));
    press(&h, "n");
    ck_page(&h, "item-not-so");
    ck_assert(page_says(&h.page, "Caffeine shortly before"));
    press(&h, "wone cup at noon\n");
    ck_assert_int_eq(h.sitting.items[0], ITEM_WAIVED);
    ck_page(&h, "readiness-items");
}
END_TEST

START_TEST(guide_quiet_items_are_asked_quietly)
{
    open_return(&h);
    ck_assert(!page_says(&h.page, "Ask quietly."));
    press(&h, "yy");
    ck_assert(page_says(&h.page, "Ask quietly."));
}
END_TEST

START_TEST(guide_reopened_item_is_asked_again)
{
    prepare(&h, true, "\n");
    press(&h, "do");
    ck_page(&h, "reopen");
    press(&h, "\ncoffee after all\n");
    ck_page(&h, "readiness-items");
}
END_TEST

START_TEST(guide_cuff_that_came_off_is_looked_at_again)
{
    prepare(&h, true, "\n");
    press(&h, "dk");
    ck_page(&h, "cuff-items");
    press(&h, "y");
    ck_page(&h, "rest-before");
}
END_TEST

START_TEST(guide_other_cuff_can_go_on_later)
{
    h.booth.cuffs[1].high_mm = 320;
    prepare(&h, true, "\n");
    ck_assert_str_eq(h.sitting.cuffs[h.sitting.wrapped].id, "adult");
    press(&h, "dc");
    ck_page(&h, "cuff-choice");
    press(&h, "2");
    ck_assert_str_eq(h.sitting.cuffs[h.sitting.wrapped].id, "small");
    press(&h, "dcc30\n");
    ck_page(&h, "cuff-choice");
    ck_assert_int_eq(h.sitting.arm_mm, 300);
}
END_TEST

START_TEST(guide_whole_rest_says_what_is_owed_now)
{
    open_return(&h);
    ready(&h);
    take_arm(&h, "\n");
    press(&h, "yy ");
    ck_assert(page_says(&h.page, "Meanwhile: which gauge?"));
    ck_assert(page_says(&h.page, "left of 5:00"));
    pass(&h, 301);
    ck_page(&h, "rest");
    ck_assert(page_says(&h.page, "Now: which gauge?"));
    ck_assert(page_says(&h.page, "whole 5:00"));
    ck_assert(!page_says(&h.page, "left of"));
    press(&h, "\n");
    ck_assert(page_says(&h.page, "Now: look at the kit"));
    press(&h, "yy");
    ck_assert(page_says(&h.page, "Now: count the pulse"));
}
END_TEST

START_TEST(guide_refusal_has_its_brackets_before_the_stop)
{
    prepare(&h, true, "\n");
    press(&h, " ");
    pass(&h, 45);
    press(&h, " 160");
    press(&h, "124");
    press(&h, "77\n");
    ck_assert_msg(strstr(h.page.refusal, " (77). ") != NULL, "%s", h.page.refusal);
    ck_assert_ptr_null(strstr(h.page.refusal, ". ("));
}
END_TEST

START_TEST(guide_refused_cuff_keeps_its_number)
{
    open_return(&h);
    ready(&h);
    press(&h, "\nyy31\n");
    ck_page(&h, "cuff-choice");
    press(&h, "2");
    ck_assert_int_eq((int)h.last_refusal, RULE_CUFF_TOO_SMALL);
    ck_assert_str_eq(h.sitting.cuffs[0].id, "small");
    press(&h, "2");
    ck_page(&h, "cuff-choice");
    ck_assert_int_eq(h.refused, 2);
    ck_assert_int_eq((int)h.last_refusal, RULE_CUFF_TOO_SMALL);
    press(&h, "1");
    ck_assert_str_eq(h.sitting.cuffs[h.sitting.wrapped].id, "adult");
}
END_TEST

START_TEST(guide_second_person_can_say_that_somebody_moved)
{
    prepare(&h, true, "\n");
    press(&h, "2 ");
    pass(&h, 5);
    ck_page(&h, "marks");
    ck_assert(page_offers(&h.page, "o"));
    press(&h, "o");
    ck_assert_int_eq(h.sitting.given[EV_MOVED], 1);
    ck_assert((h.sitting.readings[0].voids & VOID_INTERRUPTED) != 0);
    ck_assert_int_eq(h.sitting.readings[0].has_mark[POINT_MUFFLING], 0);
}
END_TEST

START_TEST(guide_second_listener_types_blind_values)
{
    prepare(&h, true, "\n");
    press(&h, " ");
    pass(&h, 45);
    press(&h, " \033l");
    ck_page(&h, "listener");
    press(&h, "ben\n16012478");
    ck_page(&h, "hand-over");
    press(&h, " 12676");
    ck_page(&h, "pair-read-back");
    press(&h, "y");
    ck_assert_int_eq(h.sitting.readings[0].pair_mmhg[POINT_FIRST], 126);
    ck_assert_int_eq(h.sitting.readings[0].is_entered, 1);
}
END_TEST

START_TEST(guide_other_arm_can_be_left_out_with_a_reason)
{
    prepare(&h, false, "l");
    listen(&h, "160", "124", "78");
    ck_page(&h, "arm-choice");
    press(&h, "wfistula on that side\n");
    ck_page(&h, "listening-wait");
}
END_TEST

/* The view follows from the sitting: a guide begun anew lands on the same page. */
static void restart(void)
{
    char id[32];

    text_copy(id, sizeof id, h.page.id);
    guide_begin(&h.guide, &h.booth);
    hand_look(&h);
    ck_page(&h, id);
}

START_TEST(guide_begun_anew_lands_at_the_same_step)
{
    open_return(&h);
    restart();
    press(&h, "y");
    restart();
    press(&h, "yyy");
    restart();
    press(&h, "\n");
    restart();
    press(&h, "yy");
    restart();
    press(&h, "31\n");
    restart();
    press(&h, "\n");
    restart();
    press(&h, "y");
    rest_with_kit(&h);
    restart();
    press(&h, " ");
    restart();
    pass(&h, 20);
    press(&h, " ");
    restart();
    press(&h, "130");
    restart();
    pass(&h, 31);
    restart();
    press(&h, " ");
    restart();
    pass(&h, 45);
    press(&h, " 160");
    restart();
    press(&h, "12478");
    restart();
    press(&h, "y");
    restart();
}
END_TEST

START_TEST(guide_resume_says_what_was_lost)
{
    struct sitting before;
    struct event ev = { .kind = EV_RESUME, .value = 20000 };

    prepare(&h, true, "\n");
    press(&h, " ");
    pass(&h, 20);
    before = h.sitting;
    ev.t_ms = h.now_ms;
    ck_assert(sitting_apply(&h.sitting, h.protocol, &ev, NULL));
    guide_begin(&h.guide, &h.booth);
    guide_resumed(&h.guide, &before, &h.sitting, 20000);
    hand_look(&h);
    ck_assert(page_says(&h.page, "does not count"));
    press(&h, "h");
    ck_assert(!page_says(&h.page, "Taken up again"));
}
END_TEST

START_TEST(guide_help_none_keeps_the_clock_and_the_refusals)
{
    text_copy(h.booth.default_help, sizeof h.booth.default_help, "none");
    guide_begin(&h.guide, &h.booth);
    open_return(&h);
    ck_assert_int_eq(h.sitting.help, HELP_NONE);
    for (int i = 0; i < h.page.line_count; i++)
        ck_assert(h.page.lines[i].role != LINE_COST && h.page.lines[i].role != LINE_INSTRUCTION);
    ready(&h);
    press(&h, "\nyy31\n\n");
    ck_page(&h, "cuff-choice"); /* no cuff is suggested */
    ck_assert(!page_says(&h.page, "fits"));
    press(&h, "1y");
    press(&h, "yy ");
    pass(&h, 10);
    press(&h, " ");
    ck_assert_str_eq(h.page.big, "4:50");
    ck_assert(h.page.refusal[0] != '\0');
}
END_TEST

START_TEST(guide_help_none_does_not_say_how_far_to_pump)
{
    prepare(&h, true, "\n");
    ck_assert_str_eq(h.page.big, "160");
    h.sitting.help = HELP_NONE;
    hand_look(&h);
    ck_assert(!page_says(&h.page, "160"));
}
END_TEST

START_TEST(guide_help_steps_leaves_out_costs_and_instructions)
{
    open_return(&h);
    h.sitting.help = HELP_STEPS;
    hand_look(&h);
    ck_assert(page_says(&h.page, "No caffeine in the last 30 minutes"));
    ck_assert(!page_says(&h.page, "Caffeine shortly before"));
    ck_assert_int_gt(h.page.rail_count, 0);
}
END_TEST

START_TEST(guide_pace_band_is_off_by_default_and_never_in_an_assessment)
{
    prepare(&h, true, "\n");
    press(&h, " ");
    ck_assert_int_eq(h.page.pace, -1);
    press(&h, " ");
    h.sitting.purpose = PURPOSE_ASSESSMENT;
    h.guide.is_pacing = 1;
    hand_look(&h);
    ck_assert_int_eq(h.page.pace, -1);
}
END_TEST

START_TEST(guide_pace_band_steps_once_a_graduation)
{
    prepare(&h, true, "\n");
    press(&h, "b ");
    ck_assert_int_eq(h.page.pace, 0);
    h.now_ms += 799;
    hand_look(&h);
    ck_assert_int_eq(h.page.pace, 0);
    h.now_ms += 1;
    hand_look(&h);
    ck_assert_int_eq(h.page.pace, 1); /* 2 mmHg at 2.5 mmHg/s */
}
END_TEST

START_TEST(guide_wakes_at_most_once_a_second_in_the_rest)
{
    int64_t wake = 0;
    int wakes = 0;

    open_return(&h);
    ready(&h);
    take_arm(&h, "\n");
    press(&h, "yy ");
    h.now_ms += 137;
    for (int64_t until = h.now_ms + 10000; h.now_ms < until; h.now_ms = wake, wakes++) {
        ck_assert(guide_next_wake(&h.guide, &h.sitting, h.protocol, h.now_ms, &wake));
        ck_assert_int_gt((int)(wake - h.now_ms), 0);
    }
    ck_assert_int_le(wakes, 11);
}
END_TEST

START_TEST(guide_debrief_names_what_slipped_with_its_cost)
{
    prepare(&h, true, "\n");
    press(&h, " ");
    pass(&h, 45);
    press(&h, " 15012478y");
    press(&h, " "); /* too soon */
    pass(&h, 70);
    listen(&h, "160", "124", "78");
    pass(&h, 70);
    listen(&h, "160", "126", "76");
    finish(&h);
    ck_assert(page_says(&h.page, "interval.short"));
    ck_assert(page_says(&h.page, "1 to 2 minutes apart"));
    ck_assert(page_says(&h.page, "to practise: Pump to the figure shown"));
}
END_TEST

START_TEST(guide_debrief_of_a_stop_praises_nothing_that_was_not_done)
{
    static struct page pg;

    open_return(&h);
    press(&h, "sunwell\n");
    press(&h, "y");
    ck_assert_int_eq(h.sitting.phase, PHASE_STOPPED);
    page_init(&pg, PAGE_OPEN, "sitting");
    guide_debrief(&h.sitting, h.protocol, &h.guide.attempts, &pg);
    ck_assert(!page_says(&pg, "good:"));
    ck_assert(!page_says(&pg, "nothing slipped"));
    ck_assert(page_says(&pg, "until the stop: no arm chosen"));
    ck_assert(page_says(&pg, "on the log"));
}
END_TEST

START_TEST(guide_debrief_of_a_stop_says_how_far_it_went)
{
    static struct page pg;

    prepare(&h, true, "\n");
    press(&h, "sunwell\n");
    press(&h, "y");
    ck_assert_int_eq(h.sitting.phase, PHASE_STOPPED);
    page_init(&pg, PAGE_OPEN, "sitting");
    guide_debrief(&h.sitting, h.protocol, &h.guide.attempts, &pg);
    ck_assert(page_says(&pg, "good: the whole rest of 5 minutes was kept"));
    ck_assert(page_says(&pg, "a cuff put on, the rest ended, the pulse counted, the pulse felt for"));
    ck_assert(!page_says(&pg, "listened"));
}
END_TEST

START_TEST(guide_why_names_sources)
{
    open_return(&h);
    ready(&h);
    take_arm(&h, "\n");
    press(&h, "yy?");
    ck_page(&h, "why");
    ck_assert(page_says(&h.page, "REST-1, published"));
    ck_assert(page_says(&h.page, "judgement"));
    press(&h, "\033");
    ck_page(&h, "rest-before");
}
END_TEST

int main(void)
{
    Suite *suite = suite_create("guide: whole sittings");
    TCase *tc = tcase_create("walk");
    SRunner *runner;
    int failed;

    tcase_add_checked_fixture(tc, begin, NULL);
    tcase_add_test(tc, guide_return_visit_takes_at_most_60_keys);
    tcase_add_test(tc, guide_first_visit_takes_at_most_90_keys);
    tcase_add_test(tc, guide_first_visit_back_on_the_first_arm_takes_at_most_90_keys);
    tcase_add_test(tc, guide_second_person_marks_each_step_and_moment);
    tcase_add_test(tc, guide_take_back_gives_the_latest_mark_again);
    tcase_add_test(tc, guide_sound_after_the_last_turns_it_into_a_silence);
    tcase_add_test(tc, guide_zero_asks_for_the_muffling);
    tcase_add_test(tc, guide_low_target_is_said_at_once);
    tcase_add_test(tc, guide_correct_changes_a_value_with_a_reason);
    tcase_add_test(tc, guide_very_high_value_brings_its_own_calm_page);
    tcase_add_test(tc, guide_rest_tried_too_early_is_refused_in_words);
    tcase_add_test(tc, guide_interrupted_rest_begins_again);
    tcase_add_test(tc, guide_stop_asks_for_a_reason_and_once_more);
    tcase_add_test(tc, guide_stop_can_be_thought_over);
    tcase_add_test(tc, guide_one_more_reading_can_follow_enough);
    tcase_add_test(tc, guide_result_shows_the_average_in_large);
    tcase_add_test(tc, guide_earlier_readings_are_covered_during_entry);
    tcase_add_test(tc, guide_no_pulse_leads_to_the_passed_over_estimate);
    tcase_add_test(tc, guide_usual_value_may_stand_for_the_estimate_on_a_return_visit);
    tcase_add_test(tc, guide_cuff_that_does_not_fit_is_refused_and_can_be_passed_over);
    tcase_add_test(tc, guide_overdue_gauge_is_refused_and_can_be_passed_over);
    tcase_add_test(tc, guide_gauge_that_failed_its_check_is_refused_at_the_squeeze);
    tcase_add_test(tc, guide_asks_which_of_several_gauges);
    tcase_add_test(tc, guide_item_not_so_says_what_to_do);
    tcase_add_test(tc, guide_quiet_items_are_asked_quietly);
    tcase_add_test(tc, guide_reopened_item_is_asked_again);
    tcase_add_test(tc, guide_cuff_that_came_off_is_looked_at_again);
    tcase_add_test(tc, guide_other_cuff_can_go_on_later);
    tcase_add_test(tc, guide_second_listener_types_blind_values);
    tcase_add_test(tc, guide_other_arm_can_be_left_out_with_a_reason);
    tcase_add_test(tc, guide_begun_anew_lands_at_the_same_step);
    tcase_add_test(tc, guide_resume_says_what_was_lost);
    tcase_add_test(tc, guide_help_none_keeps_the_clock_and_the_refusals);
    tcase_add_test(tc, guide_help_none_does_not_say_how_far_to_pump);
    tcase_add_test(tc, guide_help_steps_leaves_out_costs_and_instructions);
    tcase_add_test(tc, guide_pace_band_is_off_by_default_and_never_in_an_assessment);
    tcase_add_test(tc, guide_pace_band_steps_once_a_graduation);
    tcase_add_test(tc, guide_wakes_at_most_once_a_second_in_the_rest);
    tcase_add_test(tc, guide_debrief_names_what_slipped_with_its_cost);
    tcase_add_test(tc, guide_whole_rest_says_what_is_owed_now);
    tcase_add_test(tc, guide_refusal_has_its_brackets_before_the_stop);
    tcase_add_test(tc, guide_refused_cuff_keeps_its_number);
    tcase_add_test(tc, guide_second_person_can_say_that_somebody_moved);
    tcase_add_test(tc, guide_debrief_of_a_stop_praises_nothing_that_was_not_done);
    tcase_add_test(tc, guide_debrief_of_a_stop_says_how_far_it_went);
    tcase_add_test(tc, guide_why_names_sources);
    suite_add_tcase(suite, tc);
    runner = srunner_create(suite);
    srunner_run_all(runner, CK_NORMAL);
    failed = srunner_ntests_failed(runner);
    srunner_free(runner);
    return failed == 0 ? EXIT_SUCCESS : EXIT_FAILURE;
}
