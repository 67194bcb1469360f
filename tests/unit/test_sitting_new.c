/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Alarms at the entry, arms that may not be used, gaps, bladders and zero: what the engine answers when
 * asked. */
#include "sitting_hand.h"

#include "stillarm/text.h"

/* ---- very high and low values ---- */

START_TEST(alarm_follows_the_value_and_goes_with_it)
{
    prepare("visit return");
    begin_reading();
    ck_assert_int_eq(sitting_alarm(&s, &p), ALARM_NONE);
    no(100, "symptoms none", RULE_READING_NONE);
    no(100, "acted \"asked\"", RULE_READING_NONE);
    value("first", 182);
    ck_assert_int_eq(sitting_alarm(&s, &p), ALARM_HIGH);
    ck_assert_int_eq(s.alarm_reading, 1);
    ck_assert(s.is_severe_open);
    value("first", 128);
    ck_assert_int_eq(s.alarm_reading, 0);
    ck_assert(!s.is_severe_open);
}
END_TEST

START_TEST(alarm_waits_for_the_muffling_where_the_last_is_zero)
{
    p.value[KEY_LOW_DIASTOLIC_MMHG] = 60;
    prepare("visit return");
    begin_reading();
    value("first", 150);
    value("last", 0);
    ck_assert_int_eq(sitting_alarm(&s, &p), ALARM_NONE);
    value("muffling", 124);
    ck_assert_int_eq(sitting_alarm(&s, &p), ALARM_HIGH);
}
END_TEST

START_TEST(acted_during_the_entry_holds_at_done_and_at_correct)
{
    prepare("visit return");
    begin_reading();
    value("first", 182);
    ok(100, "acted \"asked, no symptoms\"");
    value("last", 90);
    ok(100, "done");
    ck_assert_int_eq(s.severe_reading, 1);
    ck_assert(!s.is_severe_open);
    ok(100, "correct first 128 \"misread\"");
    ck_assert_int_eq(s.severe_reading, 0);
    ck_assert_int_eq(s.alarm_reading, 0);
    ok(100, "correct first 182 \"it was right\"");
    ck_assert_int_eq(s.severe_reading, 1);
    ck_assert(!s.is_severe_open);
}
END_TEST

START_TEST(an_answer_owed_for_an_earlier_reading_outlives_a_later_slip)
{
    prepare("visit return");
    read_pressure(182, 90);
    begin_reading();
    value("first", 190);
    value("first", 130);
    ck_assert_int_eq(s.alarm_reading, 1);
    ck_assert(s.is_severe_open);
}
END_TEST

START_TEST(acted_between_two_slips_answers_what_came_before)
{
    prepare("visit return");
    read_pressure(182, 90);
    begin_reading();
    value("first", 190);
    ok(100, "acted \"asked\"");
    value("first", 130);
    ck_assert(!s.is_severe_open);
}
END_TEST

START_TEST(a_very_high_value_then_interrupted_stays_owed)
{
    prepare("visit return");
    ok(60000, "inflate listen");
    PLAY("target 220", "value first 190", "interrupt \"the door\"", "empty");
    ck_assert(s.is_severe_open);
    ck_assert_int_eq(sitting_alarm(&s, &p), ALARM_HIGH);
    ck_assert(sitting_wants_repeat(&s, &p));
    ok(100, "acted \"asked\"");
    ck_assert(!s.is_severe_open);
}
END_TEST

START_TEST(symptoms_keep_the_alarm_and_ask_for_an_answer)
{
    prepare("visit return");
    begin_reading();
    value("first", 182);
    ok(100, "acted \"asked\"");
    ok(100, "symptoms present");
    ck_assert(s.is_severe_open);
    value("first", 128);
    ck_assert_int_eq(s.alarm_reading, 1);
    value("last", 80);
    ok(100, "done");
    read_pressure(128, 80);
    seal(RULE_SEVERE_OPEN);
    ok(100, "acted \"called for help\"");
    ok(100, "seal");
    ck_assert_uint_ne(sitting_remarks(&s, &p) & REMARK_SYMPTOMS, 0);
}
END_TEST

START_TEST(symptoms_are_asked_anew_for_each_reading)
{
    prepare("visit return");
    read_pressure(182, 90);
    ok(100, "symptoms present");
    read_pressure(184, 90);
    ck_assert_int_eq(s.symptoms, SYMPTOMS_NOT_ASKED);
    ck_assert(s.has_symptoms);
}
END_TEST

START_TEST(low_owes_nothing_without_symptoms_and_high_wins)
{
    p.value[KEY_LOW_SYSTOLIC_MMHG] = 90;
    p.value[KEY_LOW_DIASTOLIC_MMHG] = 60;
    prepare("visit return");
    begin_reading();
    value("first", 90);
    ck_assert_int_eq(sitting_alarm(&s, &p), ALARM_NONE);
    value("first", 88);
    ck_assert_int_eq(sitting_alarm(&s, &p), ALARM_LOW);
    ck_assert(!s.is_severe_open);
    ok(100, "symptoms present");
    ck_assert(s.is_severe_open);
    ok(100, "acted \"lay down\"");
    ck_assert(!s.is_severe_open);
    value("first", 182);
    value("last", 58);
    ck_assert_int_eq(sitting_alarm(&s, &p), ALARM_HIGH);
    ck_assert(s.is_severe_open);
}
END_TEST

START_TEST(a_very_high_value_wants_a_repeat_on_its_arm)
{
    prepare("visit first");
    read_pressure(182, 90);
    ck_assert(sitting_wants_repeat(&s, &p));
    ck_assert_int_eq(sitting_arm_to_read(&s, &p), ARM_LEFT);
    ck_assert_uint_ne(sitting_remarks(&s, &p) & REMARK_SEVERE_ALONE, 0);
    read_pressure(184, 90); /* very high as well: it is the repeat */
    ck_assert(!sitting_wants_repeat(&s, &p));
    ck_assert_int_eq(sitting_arm_to_read(&s, &p), ARM_RIGHT);
    ck_assert_uint_eq(sitting_remarks(&s, &p) & REMARK_SEVERE_ALONE, 0);
}
END_TEST

START_TEST(each_arm_repeats_its_own_very_high_value)
{
    prepare("visit first");
    read_pressure(182, 90);
    take_arm("right");
    palpate();
    read_pressure(128, 80);
    ck_assert(sitting_wants_repeat(&s, &p)); /* the other arm says nothing of this one */
    ck_assert_int_eq(sitting_arm_to_read(&s, &p), ARM_LEFT);
    read_pressure(182, 90);
    ck_assert_int_eq(sitting_arm_to_read(&s, &p), ARM_RIGHT); /* both stand alone: the arm in use first */
}
END_TEST

START_TEST(a_void_reading_repeats_nothing_and_symptoms_want_no_repeat)
{
    prepare("visit return");
    read_pressure(182, 90);
    read_pressure(80, 60); /* far below the pulse felt: void */
    ck_assert_uint_ne(s.readings[1].voids, 0);
    ck_assert(sitting_wants_repeat(&s, &p));
    ok(100, "symptoms present");
    ck_assert(!sitting_wants_repeat(&s, &p));
}
END_TEST

/* ---- arms ---- */

START_TEST(a_barred_arm_is_given_up_and_refused)
{
    struct missing first;
    prepare("visit first");
    read_pressure(128, 80);
    ok(100, "barred left \"a line\"");
    ck_assert_int_eq(s.arm, ARM_NONE);
    ck_assert_int_eq(s.wrapped, -1);
    ck_assert_int_eq(s.estimate, ESTIMATE_OPEN);
    ck_assert_int_eq(s.reading_count, 1);
    ck_assert_int_eq(sitting_arm_to_read(&s, &p), ARM_RIGHT);
    no(100, "arm left", RULE_ARM_BARRED);
    ok(100, "barred right \"a rash\"");
    ck_assert_int_eq(sitting_arm_to_read(&s, &p), ARM_NONE);
    no(100, "arm right", RULE_ARM_BARRED);
    ck_assert_int_ge(sitting_missing(&s, &p, now_ms, &first, 1), 1);
    ck_assert_str_eq(first.what, "arm");
    ok(100, "freed right \"the other one was meant\"");
    take_arm("right");
    palpate();
    read_pressure(128, 80);
    read_pressure(126, 80);
    seal(RULE_NONE); /* a barred arm lifts arms.few */
    ck_assert_uint_ne(sitting_remarks(&s, &p) & REMARK_ARM_BARRED, 0);
}
END_TEST

START_TEST(barred_waits_for_the_cuff_and_the_entry)
{
    prepare("visit first");
    ok(60000, "inflate listen");
    no(100, "barred left \"a rash\"", RULE_INFLATION_OPEN);
    ok(60000, "empty");
    no(100, "barred left \"a rash\"", RULE_READING_OPEN);
    no(100, "freed left \"none\"", RULE_READING_OPEN);
}
END_TEST

START_TEST(arms_far_apart_are_both_read_again)
{
    p.value[KEY_ARMS_REPEAT] = 1;
    prepare("visit first");
    read_pressure(140, 80);
    take_arm("right");
    palpate();
    read_pressure(126, 80);
    ck_assert_int_eq(sitting_readings_lack(&s, &p), RULE_ARMS_FEW);
    ck_assert_int_eq(sitting_arm_to_read(&s, &p), ARM_RIGHT);
    read_pressure(130, 80);
    ck_assert_int_eq(sitting_readings_lack(&s, &p), RULE_ARMS_FEW);
    ck_assert_int_eq(sitting_arm_to_read(&s, &p), ARM_LEFT);
    ck_assert_uint_ne(sitting_remarks(&s, &p) & REMARK_ARMS_DIFFER, 0);
    take_arm("left");
    palpate();
    read_pressure(136, 80); /* the second ones lie 6 apart */
    ck_assert_int_eq(sitting_readings_lack(&s, &p), RULE_NONE);
    ck_assert_uint_eq(sitting_remarks(&s, &p) & REMARK_ARMS_DIFFER, 0);
}
END_TEST

/* The origin that the refusal of this event names. */
static const char *refused_by(enum event_kind kind, const char *item, enum rule rule)
{
    static struct refusal why;
    struct event ev = {.t_ms = now_ms, .kind = kind};
    text_copy(ev.item, sizeof ev.item, item);
    ck_assert(!sitting_would_accept(&s, &p, &ev, &why));
    ck_assert_int_eq(why.rule, rule);
    return why.source;
}

START_TEST(a_refusal_names_the_source_of_the_number_that_objects)
{
    p.value[KEY_READINGS_IRREGULAR] = 4;
    p.value[KEY_EXTRA_OVER_MMHG] = 5;
    prepare("visit return");
    ck_assert_str_eq(refused_by(EV_SEAL, "", RULE_READINGS_FEW), p.origin[KEY_READINGS_MIN].source);
    read_pressure(140, 80);
    read_pressure(130, 80);
    ck_assert_str_eq(refused_by(EV_SEAL, "", RULE_READINGS_FEW), p.origin[KEY_EXTRA_OVER_MMHG].source);
    ok(1000, "pulse irregular 70");
    ck_assert_str_eq(refused_by(EV_SEAL, "", RULE_READINGS_FEW), p.origin[KEY_READINGS_IRREGULAR].source);
    ok(1000, "check comparison 9 20310101");
    ck_assert_str_eq(refused_by(EV_INFLATE, "listen", RULE_KIT_FAILED), p.origin[KEY_COMPARISON_MAX_MMHG].source);
}
END_TEST

static void seal_needs(const char *want)
{
    struct refusal why;
    const struct event seal = {.t_ms = now_ms, .kind = EV_SEAL};
    ck_assert(!sitting_would_accept(&s, &p, &seal, &why));
    ck_assert_int_eq(why.rule, RULE_ARMS_FEW);
    ck_assert_str_eq(why.need, want);
}

START_TEST(a_seal_says_whether_the_other_arm_or_both_again_are_owed)
{
    p.value[KEY_ARMS_REPEAT] = 1;
    p.value[KEY_READINGS_MIN] = 1;
    prepare("visit first");
    read_pressure(140, 80);
    seal_needs("both arms");
    take_arm("right");
    palpate();
    read_pressure(126, 80);
    seal_needs("both arms read again");
}
END_TEST

START_TEST(alone_below_needs_both_values_below_and_a_regular_pulse)
{
    static const struct {
        int first, last, needed;
        const char *pulse;
    } ROWS[] = {
        {128, 84, 1, "pulse regular 72"},
        {130, 84, 2, "pulse regular 72"},
        {128, 86, 2, "pulse regular 72"},
        {128, 84, 3, "pulse irregular 72"},
    };
    p.value[KEY_ALONE_BELOW_SYSTOLIC_MMHG] = 130;
    p.value[KEY_ALONE_BELOW_DIASTOLIC_MMHG] = 85;
    prepare("visit return");
    ok(100, ROWS[_i].pulse);
    ck_assert_int_gt(sitting_needed(&s, &p, ARM_LEFT), 1);
    read_pressure(ROWS[_i].first, ROWS[_i].last);
    ck_assert_int_eq(sitting_needed(&s, &p, ARM_LEFT), ROWS[_i].needed);
}
END_TEST

/* ---- gaps, bladders, zero ---- */

START_TEST(gap_is_answered_until_done)
{
    prepare("visit return");
    no(100, "gap heard", RULE_READING_NONE);
    begin_reading();
    ok(100, "gap heard");
    ck_assert_uint_ne(s.readings[0].notes & NOTE_GAP_HEARD, 0);
    ok(100, "gap none");
    ck_assert_uint_eq(s.readings[0].notes & NOTE_GAP_HEARD, 0);
    value("first", 130);
    value("last", 80);
    ok(100, "done");
    ck_assert_uint_eq(s.readings[0].notes & NOTE_GAP_HEARD, 0);
    no(100, "gap heard", RULE_READING_NONE);
    begin_reading();
    ok(100, "gap none");
    value("first", 130);
    value("silent", 120);
    value("return", 110);
    value("last", 80);
    ok(100, "done");
    ck_assert_uint_ne(s.readings[1].notes & NOTE_GAP_HEARD, 0); /* the values say so */
}
END_TEST

START_TEST(bladder_is_remarked_by_width_and_length)
{
    static const struct {
        const char *bladder;
        unsigned notes;
    } ROWS[] = {{"bladder adult 120 240", 0},
                {"bladder adult 119 240", CUFF_NOTE_NARROW},
                {"bladder adult 120 239", CUFF_NOTE_SHORT},
                {"bladder adult 100 200", CUFF_NOTE_NARROW | CUFF_NOTE_SHORT}};
    open_sitting("visit return");
    take_arm("left");
    ck_assert_uint_eq(sitting_cuff_notes(&s, &p), 0);
    ok(100, ROWS[_i].bladder);
    ck_assert_uint_eq(sitting_cuff_notes(&s, &p), ROWS[_i].notes);
    ck_assert_int_eq((sitting_remarks(&s, &p) & REMARK_BLADDER_SMALL) != 0, ROWS[_i].notes != 0);
    ok(100, "circumference 280");
    ck_assert_uint_eq(sitting_cuff_notes(&s, &p), 0); /* none is on */
    ck_assert_int_eq((sitting_remarks(&s, &p) & REMARK_BLADDER_SMALL) != 0, ROWS[_i].notes != 0);
    ok(100, "cuff adult 261 401");
    ck_assert_uint_eq(sitting_remarks(&s, &p) & REMARK_BLADDER_SMALL, 0); /* another range, another bladder */
}
END_TEST

START_TEST(bladder_must_be_possible)
{
    open_sitting("visit return");
    no(100, "bladder large 120 240", RULE_CUFF_UNKNOWN);
    no(100, "bladder adult 29 240", RULE_VALUE_RANGE);
    no(100, "bladder adult 120 701", RULE_VALUE_RANGE);
    no(100, "bladder adult 240 240", RULE_VALUE_ORDER);
    no(100, "bladder adult 120 401", RULE_VALUE_ORDER);
    ok(100, "bladder adult 120 400");
}
END_TEST

START_TEST(a_gap_between_ranges_is_remarked_as_it_was_when_the_cuff_went_on)
{
    p.value[KEY_CUFF_GAP_MM] = 10;
    open_sitting("visit return");
    ok(100, "cuff adult 270 400");
    ok(100, "arm left");
    confirm(STEP_ARM);
    ok(100, "circumference 265");
    no(100, "wrap small", RULE_CUFF_TOO_SMALL);
    ok(100, "wrap adult");
    ck_assert_uint_eq(sitting_cuff_notes(&s, &p), CUFF_NOTE_GAP);
    ok(100, "cuff between 260 268");
    ck_assert_uint_eq(sitting_remarks(&s, &p) & REMARK_CUFF_GAP, REMARK_CUFF_GAP);
    no(100, "wrap adult", RULE_CUFF_TOO_LARGE);
}
END_TEST

START_TEST(a_gauge_off_zero_fails_at_the_squeeze)
{
    p.value[KEY_ZERO_MAX_MMHG] = 2;
    prepare("visit return");
    ok(100, "check zero 2 20310301");
    ok(60000, "inflate palpate");
    ok(100, "empty");
    ok(100, "check zero 3 20310302");
    no(100, "inflate palpate", RULE_KIT_FAILED);
    ok(100, "check leak 0 20310302");
    no(100, "inflate palpate", RULE_KIT_FAILED); /* another check does not answer for zero */
    ok(100, "check zero 0 20310302");
    ok(100, "inflate palpate");
}
END_TEST

int main(void)
{
    Suite *suite = suite_create("sitting_new");
    TCase *t = tcase_create("sitting_new");
    suite_add_tcase(suite, t);
    tcase_add_checked_fixture(t, load, NULL);
    tcase_add_test(t, alarm_follows_the_value_and_goes_with_it);
    tcase_add_test(t, alarm_waits_for_the_muffling_where_the_last_is_zero);
    tcase_add_test(t, acted_during_the_entry_holds_at_done_and_at_correct);
    tcase_add_test(t, an_answer_owed_for_an_earlier_reading_outlives_a_later_slip);
    tcase_add_test(t, acted_between_two_slips_answers_what_came_before);
    tcase_add_test(t, a_very_high_value_then_interrupted_stays_owed);
    tcase_add_test(t, symptoms_keep_the_alarm_and_ask_for_an_answer);
    tcase_add_test(t, symptoms_are_asked_anew_for_each_reading);
    tcase_add_test(t, low_owes_nothing_without_symptoms_and_high_wins);
    tcase_add_test(t, a_very_high_value_wants_a_repeat_on_its_arm);
    tcase_add_test(t, each_arm_repeats_its_own_very_high_value);
    tcase_add_test(t, a_void_reading_repeats_nothing_and_symptoms_want_no_repeat);
    tcase_add_test(t, a_barred_arm_is_given_up_and_refused);
    tcase_add_test(t, barred_waits_for_the_cuff_and_the_entry);
    tcase_add_test(t, arms_far_apart_are_both_read_again);
    tcase_add_loop_test(t, alone_below_needs_both_values_below_and_a_regular_pulse, 0, 4);
    tcase_add_test(t, gap_is_answered_until_done);
    tcase_add_loop_test(t, bladder_is_remarked_by_width_and_length, 0, 4);
    tcase_add_test(t, bladder_must_be_possible);
    tcase_add_test(t, a_refusal_names_the_source_of_the_number_that_objects);
    tcase_add_test(t, a_seal_says_whether_the_other_arm_or_both_again_are_owed);
    tcase_add_test(t, a_gap_between_ranges_is_remarked_as_it_was_when_the_cuff_went_on);
    tcase_add_test(t, a_gauge_off_zero_fails_at_the_squeeze);
    SRunner *runner = srunner_create(suite);
    srunner_run_all(runner, CK_NORMAL);
    int failed = srunner_ntests_failed(runner);
    srunner_free(runner);
    return failed == 0 ? EXIT_SUCCESS : EXIT_FAILURE;
}
