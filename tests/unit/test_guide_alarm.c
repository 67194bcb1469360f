/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Very high and low values, and the reading that repeats one. */
#include "guide_acts.h"

/* ---- very high and low ---- */

static void high(void)
{
    prepare_at(false, "l", "180");
    squeeze();
    press(&h, "220186");
}

START_TEST(very_high_comes_with_the_value_that_shows_it)
{
    high();
    ck_page(&h, "very-high");
    ck_assert_int_eq(h.sitting.readings[0].has_value[POINT_LAST], 0);
    ck_assert(page_says(&h.page, "first sound 186"));
    ck_assert(page_says(&h.page, "chest pain"));
    ck_assert(page_says(&h.page, "One reading is no diagnosis. Your site's procedure and licensed practice come first."));
}
END_TEST

START_TEST(very_high_slip_is_one_key_from_its_field)
{
    high();
    press(&h, "u");
    ck_page(&h, "entry");
    press(&h, "16878");
    ck_assert_int_eq(h.sitting.readings[0].value_mmhg[POINT_FIRST], 168);
    ck_page(&h, "read-back");
}
END_TEST

START_TEST(very_high_slip_left_as_it_is_comes_back_to_its_page)
{
    high();
    press(&h, "u\n");
    ck_page(&h, "very-high");
}
END_TEST

START_TEST(very_high_without_symptoms_is_repeated_on_the_same_arm)
{
    high();
    press(&h, "n");
    ck_page(&h, "very-high");
    ck_assert(page_says(&h.page, "wait at least a minute"));
    ck_assert(page_says(&h.page, "on the same arm, the left arm"));
    press(&h, "\n98y");
    ck_page(&h, "listening-wait");
    ck_assert(page_says(&h.page, "take it again on the same arm"));
    pass(&h, 70);
    squeeze();
    press(&h, "22017898y");
    ck_page(&h, "arm-choice"); /* and only then the other one */
}
END_TEST

START_TEST(very_high_twice_goes_to_the_procedure)
{
    high();
    press(&h, "n\n98y");
    pass(&h, 70);
    squeeze();
    press(&h, "220188");
    ck_page(&h, "very-high");
    press(&h, "n");
    ck_assert(page_says(&h.page, "taken again already"));
}
END_TEST

START_TEST(very_high_on_an_arm_barred_since_is_not_asked_for_again)
{
    high();
    press(&h, "n\n98y");
    ck_page(&h, "listening-wait");
    press(&h, "db1\n");
    ck_page(&h, "arm-items");
    press(&h, "yy31\n\ny");
    feel(&h, "130");
    pass(&h, 35);
    listen(&h, "160", "128", "78");
    pass(&h, 70);
    ck_assert(!page_says(&h.page, "very high"));
    listen(&h, "160", "126", "78");
    ck_page(&h, "result");
    ck_assert(page_says(&h.page, "(severe.alone)"));
}
END_TEST

START_TEST(very_high_repeat_beyond_the_rules_can_be_passed)
{
    prepare_at(true, "\n", "180");
    squeeze();
    press(&h, "22017898y");
    pass(&h, 70);
    squeeze();
    press(&h, "220182n\n98y");
    ck_page(&h, "listening-wait");
    press(&h, "t");
    ck_page(&h, "result");
}
END_TEST

START_TEST(very_high_with_symptoms_shows_the_sites_procedure)
{
    text_copy(h.booth.procedure_high, sizeof h.booth.procedure_high, "Call the person in charge.\n\nStay with the subject.");
    text_copy(h.booth.procedure_path, sizeof h.booth.procedure_path, "somewhere/very-high.txt");
    high();
    press(&h, "p");
    ck_page(&h, "very-high");
    ck_assert_int_eq(h.sitting.symptoms, SYMPTOMS_PRESENT);
    ck_assert(page_says(&h.page, "Call the person in charge."));
    ck_assert(page_says(&h.page, "Stay with the subject."));
    ck_assert(page_says(&h.page, "somewhere/very-high.txt"));
    press(&h, "acalled the person in charge\n");
    ck_assert_int_eq(h.sitting.is_severe_open, 0);
    ck_page(&h, "entry");
}
END_TEST

START_TEST(very_high_with_symptoms_comes_back_after_the_entry)
{
    high();
    press(&h, "p\n98y");
    ck_page(&h, "very-high");
    press(&h, "\n");
    ck_page(&h, "arm-choice");
}
END_TEST

START_TEST(very_high_procedure_of_its_own_names_no_file)
{
    text_copy(h.booth.procedure_high, sizeof h.booth.procedure_high, "Call the person in charge.");
    text_copy(h.booth.procedure_path, sizeof h.booth.procedure_path, "somewhere/very-high.txt");
    h.booth.is_high_own = true; /* and the low one is not */
    high();
    press(&h, "p");
    ck_assert(!page_says(&h.page, "somewhere"));
}
END_TEST

START_TEST(very_high_procedure_of_its_own_says_how_long_to_wait)
{
    text_copy(h.booth.procedure_high, sizeof h.booth.procedure_high, "Take it again after 5 minutes.");
    h.booth.is_high_own = true;
    high();
    press(&h, "n");
    ck_assert(page_says(&h.page, "after 5 minutes"));
    ck_assert(!page_says(&h.page, "at least a minute"));
}
END_TEST

START_TEST(very_high_is_not_passed_by_the_enter_of_habit)
{
    high();
    press(&h, "\n");
    ck_page(&h, "very-high");
    ck_assert_ptr_nonnull(strstr(h.page.refusal, "Ask quietly first"));
    press(&h, "\n");
    ck_page(&h, "very-high");
    ck_assert_ptr_nonnull(strstr(h.page.refusal, "not yet: ask quietly first; n none, p present"));
    press(&h, "l");
    ck_page(&h, "entry");
}
END_TEST

START_TEST(very_high_is_not_passed_by_typing_on)
{
    prepare_at(false, "l", "180");
    squeeze();
    press(&h, "220\n188\n96\n");
    ck_page(&h, "very-high");
    ck_assert_ptr_nonnull(strstr(h.page.refusal, "The figure typed here was not taken"));
    ck_assert_int_eq(h.guide.has_second, 0);
    press(&h, "n");
    ck_page(&h, "very-high");
    press(&h, "98");
    ck_page(&h, "very-high");
    ck_assert_ptr_nonnull(strstr(h.page.refusal, "not taken"));
    press(&h, "\n98y");
    ck_assert_int_eq(h.sitting.readings[0].value_mmhg[POINT_LAST], 98);
}
END_TEST

START_TEST(very_high_put_off_is_said_until_it_is_asked)
{
    high();
    press(&h, "l98y");
    ck_page(&h, "listening-wait");
    ck_assert(page_says(&h.page, "Reading 1: how the subject feels is still to be asked"));
    pass(&h, 70);
    ck_page(&h, "listening-before");
    ck_assert(page_says(&h.page, "still to be asked"));
    ck_assert(page_offers(&h.page, "a"));
    press(&h, "a");
    ck_page(&h, "very-high");
    press(&h, "l");
    ck_page(&h, "listening-before");
    press(&h, "an");
    ck_page(&h, "very-high");
    ck_assert(page_says(&h.page, "No symptoms"));
    press(&h, "\n");
    ck_page(&h, "listening-before");
    ck_assert(!page_says(&h.page, "still to be asked"));
    squeeze();
    press(&h, "22017898y");
    ck_page(&h, "arm-choice");
    ck_assert(page_says(&h.page, "what was done is not written yet"));
    press(&h, "aarepeated it\n");
    ck_page(&h, "arm-choice");
    ck_assert(!page_says(&h.page, "not written yet"));
}
END_TEST

START_TEST(very_high_put_off_is_still_asked_at_the_result)
{
    prepare_at(true, "\n", "180");
    squeeze();
    press(&h, "220188l98y");
    pass(&h, 70);
    listen(&h, "220", "180", "98");
    ck_page(&h, "listening-wait"); /* the two lie apart */
    pass(&h, 70);
    listen(&h, "220", "178", "98");
    ck_page(&h, "result");
    ck_assert(page_says(&h.page, "Reading 1: how the subject feels is still to be asked"));
    press(&h, "ap");
    ck_page(&h, "very-high");
    ck_assert(page_says(&h.page, "There are symptoms"));
    ck_assert(!page_offers(&h.page, "u")); /* another reading came after it */
    press(&h, "\n");
    ck_page(&h, "result");
    press(&h, "acalled the person in charge\n");
    ck_assert_int_eq(h.sitting.is_severe_open, 0);
}
END_TEST

START_TEST(very_high_recalls_symptoms_of_an_earlier_reading)
{
    high();
    press(&h, "p\n98y\n");
    ck_page(&h, "arm-choice");
    ck_assert(page_says(&h.page, "Reading 1: there were symptoms"));
    press(&h, "\n");
    press(&h, "yy31\n\ny");
    feel(&h, "180");
    pass(&h, 35);
    ck_assert(page_says(&h.page, "Reading 1: there were symptoms"));
    squeeze();
    press(&h, "220188");
    ck_page(&h, "very-high");
    ck_assert(page_says(&h.page, "Reading 1: there were symptoms"));
    ck_assert(page_offers(&h.page, "n"));
}
END_TEST

START_TEST(very_high_says_why_with_its_own_threshold)
{
    high();
    press(&h, "?");
    ck_page(&h, "why");
    ck_assert_str_eq(h.page.title, "Why: very high");
    ck_assert(page_says(&h.page, "180 mmHg"));
    ck_assert(page_says(&h.page, "SEV-1"));
    press(&h, "\033");
    ck_page(&h, "very-high");
}
END_TEST

/* ---- one more reading ---- */

/* A first visit, the left arm higher: its average is the result. The arm in use then becomes the right one. */
static void result_of_the_left(void)
{
    own.is_waivable[RULE_ARMS_FEW] = true;
    prepare_at(false, "l", "130");
    listen(&h, "160", "128", "78");
    take_arm(&h, "\n");
    feel(&h, "130");
    pass(&h, 35);
    listen(&h, "160", "118", "76");
    take_arm(&h, "\n");
    feel(&h, "130");
    pass(&h, 70);
    listen(&h, "160", "126", "78");
    ck_page(&h, "result");
}

START_TEST(more_says_its_arm_and_leads_back_to_the_result)
{
    result_of_the_left();
    press(&h, "+");
    ck_page(&h, "listening-wait");
    ck_assert(page_says(&h.page, "One more reading, on the left arm"));
    press(&h, "t");
    ck_page(&h, "result");
    finish(&h);
    ck_assert_int_eq(h.sitting.phase, PHASE_SEALED);
}
END_TEST

START_TEST(more_is_gone_from_the_page_once_it_is_read)
{
    result_of_the_left();
    press(&h, "+");
    pass(&h, 70);
    listen(&h, "160", "126", "78");
    ck_page(&h, "result");
    ck_assert_int_eq(h.sitting.reading_count, 4);
}
END_TEST

/* The arm in use has no average of its own: read once because it is on the record as the lower one. */
static void result_of_the_other_arm(void)
{
    result_of_the_left();
    press(&h, "+");
    pass(&h, 70);
    press(&h, "t");
    ck_page(&h, "result");
}

START_TEST(more_goes_back_to_the_arm_of_the_result)
{
    struct event ev = { .kind = EV_ARM };
    struct refusal why;

    result_of_the_other_arm();
    text_copy(ev.item, sizeof ev.item, "right");
    ev.t_ms = h.now_ms;
    ck_assert(sitting_apply(&h.sitting, h.protocol, &ev, &why));
    hand_look(&h);
    press(&h, "yy31\n\ny");
    ck_page(&h, "result");
    press(&h, "+");
    ck_page(&h, "arm-choice");
    ck_assert(page_says(&h.page, "One more reading, on the left arm: the result shows its average."));
    press(&h, "t");
    ck_page(&h, "result");
    press(&h, "+r"); /* the arm in use, as the measurer says so */
    ck_page(&h, "estimate-before");
    ck_assert_int_eq(h.sitting.arm, ARM_RIGHT);
    ck_assert(page_says(&h.page, "One more reading, on the right arm"));
    press(&h, "t+\n");
    ck_assert_int_eq(h.sitting.arm, ARM_LEFT);
    ck_page(&h, "arm-items");
    press(&h, "t");
    ck_page(&h, "arm-items");
    ck_assert(page_says(&h.page, "then the result is there"));
    press(&h, "yy31\n\ny");
    ck_page(&h, "result");
}
END_TEST

START_TEST(arm_is_read_again_because_of_its_very_high_value)
{
    high();
    press(&h, "n\n98y");
    ck_page(&h, "listening-wait");
    press(&h, "dbl1"); /* and back: the arm in use is lost on the way */
    press(&h, "\n");
    ck_assert_int_eq(h.sitting.arm, ARM_RIGHT);
    press(&h, "dblf");
    press(&h, "it was the other side\n");
    ck_page(&h, "arm-choice");
    ck_assert(page_says(&h.page, "Back to the left arm: its very high value is to be taken again."));
}
END_TEST

START_TEST(very_high_procedure_that_could_not_be_taken_is_told)
{
    text_copy(h.booth.procedure_path, sizeof h.booth.procedure_path, "somewhere/very-high.txt");
    text_copy(h.booth.procedure_fault, sizeof h.booth.procedure_fault, "somewhere/very-high.txt is not used: it is empty.");
    high();
    press(&h, "p");
    ck_assert(page_says(&h.page, "somewhere/very-high.txt is not used: it is empty."));
}
END_TEST

START_TEST(very_high_procedure_in_one_long_line_is_whole)
{
    struct text t;

    text_init(&t, h.booth.procedure_high, sizeof h.booth.procedure_high);
    for (int i = 0; i < 100; i++)
        text_addf(&t, "word%02d ", i);
    high();
    press(&h, "p");
    for (int i = 0; i < 100; i++) {
        char word[16];

        snprintf(word, sizeof word, "word%02d", i);
        ck_assert(page_says(&h.page, word));
    }
}
END_TEST

START_TEST(very_high_with_symptoms_can_stop_at_once)
{
    high();
    press(&h, "psunwell\ny");
    ck_assert_int_eq(h.sitting.phase, PHASE_STOPPED);
}
END_TEST

START_TEST(very_high_follows_the_protocols_own_threshold)
{
    own.value[KEY_SEVERE_SYSTOLIC_MMHG] = 160;
    own.value[KEY_SEVERE_DIASTOLIC_MMHG] = 110;
    own.value[KEY_SEVERE_WHEN] = SEVERE_AT;
    prepare_at(true, "\n", "160");
    squeeze();
    press(&h, "200158110");
    ck_page(&h, "very-high");
    press(&h, "u");
    ck_page(&h, "entry"); /* the last sound shows it: that is the field */
    press(&h, "108");
    ck_page(&h, "read-back");
    press(&h, "y");
    pass(&h, 70);
    squeeze();
    press(&h, "200160");
    ck_page(&h, "very-high");
}
END_TEST

START_TEST(very_high_covers_its_figures)
{
    high();
    press(&h, "h");
    ck_page(&h, "very-high");
    ck_assert(!page_says(&h.page, "186"));
    ck_assert_str_eq(h.page.title, "A value to answer");
    press(&h, "nh");
    ck_assert_str_eq(h.page.title, "Very high");
}
END_TEST

START_TEST(refusals_of_typed_figures_are_covered_with_them)
{
    prepare_at(true, "\n", "130");
    squeeze();
    press(&h, "\x1bh\n161");
    ck_assert(h.page.refusal[0] != '\0');
    ck_assert_msg(strstr(h.page.refusal, "161") == NULL, "%s", h.page.refusal);
}
END_TEST

START_TEST(result_covered_does_not_tell_that_one_low_reading_sufficed)
{
    own.value[KEY_ALONE_BELOW_SYSTOLIC_MMHG] = 130;
    own.value[KEY_ALONE_BELOW_DIASTOLIC_MMHG] = 85;
    prepare_at(true, "\n", "130");
    squeeze();
    press(&h, "16011876y");
    ck_page(&h, "result");
    ck_assert_ptr_nonnull(strstr(h.page.big_note, "below 130/85 it suffices"));
    press(&h, "h");
    ck_assert_ptr_null(strstr(h.page.big_note, "130"));
}
END_TEST

START_TEST(low_value_asks_whether_the_subject_is_unwell)
{
    own.value[KEY_LOW_SYSTOLIC_MMHG] = 90;
    own.value[KEY_LOW_DIASTOLIC_MMHG] = 60;
    text_copy(h.booth.procedure_low, sizeof h.booth.procedure_low, "Offer a chair and water.");
    text_copy(h.booth.procedure_path, sizeof h.booth.procedure_path, "somewhere/very-high.txt");
    prepare_at(true, "\n", "100");
    squeeze();
    press(&h, "14088");
    ck_page(&h, "low");
    ck_assert_str_eq(h.page.title, "Low");
    ck_assert(page_says(&h.page, "unwell, or faint?"));
    press(&h, "n");
    ck_assert(page_says(&h.page, "Offer a chair and water."));
    ck_assert(page_says(&h.page, "somewhere/low.txt"));
    press(&h, "\n");
    ck_page(&h, "entry");
    press(&h, "58");
    ck_page(&h, "read-back");
    press(&h, "y");
    ck_assert_int_eq(h.sitting.is_severe_open, 0);
    ck_page(&h, "listening-wait");
}
END_TEST

START_TEST(very_high_page_is_there_after_a_restart)
{
    high();
    guide_begin(&h.guide, &h.booth);
    hand_look(&h);
    ck_page(&h, "very-high");
    press(&h, "p");
    guide_begin(&h.guide, &h.booth);
    hand_look(&h);
    ck_page(&h, "very-high");
    ck_assert(page_says(&h.page, "There are symptoms"));
}
END_TEST

START_TEST(stopped_page_shows_a_first_sound_alone)
{
    high();
    press(&h, "psunwell\ny");
    ck_page(&h, "stopped");
    ck_assert(page_says(&h.page, "186"));
}
END_TEST

START_TEST(what_was_done_is_typed_at_once_where_it_is_asked_for)
{
    high();
    press(&h, "p\n98y"); /* symptoms, then the rest of the reading */
    if (is_same_text(h.page.id, "very-high"))
        press(&h, "\n");
    press(&h, "atold the pharmacist\n");
    ck_assert_int_eq(h.sitting.given[EV_ACTED], 1);
    ck_assert_int_eq(h.sitting.given[EV_MOVED], 0);
}
END_TEST

int main(void)
{
    const TTest *const tests[] = {
        what_was_done_is_typed_at_once_where_it_is_asked_for,
        stopped_page_shows_a_first_sound_alone,
        very_high_comes_with_the_value_that_shows_it,
        very_high_slip_is_one_key_from_its_field,
        very_high_slip_left_as_it_is_comes_back_to_its_page,
        very_high_without_symptoms_is_repeated_on_the_same_arm,
        very_high_twice_goes_to_the_procedure,
        very_high_on_an_arm_barred_since_is_not_asked_for_again,
        very_high_repeat_beyond_the_rules_can_be_passed,
        very_high_with_symptoms_shows_the_sites_procedure,
        very_high_with_symptoms_comes_back_after_the_entry,
        very_high_procedure_of_its_own_names_no_file,
        very_high_procedure_of_its_own_says_how_long_to_wait,
        very_high_is_not_passed_by_the_enter_of_habit,
        very_high_is_not_passed_by_typing_on,
        very_high_put_off_is_said_until_it_is_asked,
        very_high_put_off_is_still_asked_at_the_result,
        very_high_recalls_symptoms_of_an_earlier_reading,
        very_high_says_why_with_its_own_threshold,
        more_says_its_arm_and_leads_back_to_the_result,
        more_is_gone_from_the_page_once_it_is_read,
        more_goes_back_to_the_arm_of_the_result,
        arm_is_read_again_because_of_its_very_high_value,
        very_high_procedure_that_could_not_be_taken_is_told,
        very_high_procedure_in_one_long_line_is_whole,
        very_high_with_symptoms_can_stop_at_once,
        very_high_follows_the_protocols_own_threshold,
        very_high_covers_its_figures,
        refusals_of_typed_figures_are_covered_with_them,
        result_covered_does_not_tell_that_one_low_reading_sufficed,
        low_value_asks_whether_the_subject_is_unwell,
        very_high_page_is_there_after_a_restart,
    };

    return run_acts("guide alarm", tests, (int)ARRAY_LEN(tests), NULL, 0);
}
