/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The acts beside the plain way: barred arms, what was recent, very high and low values, silent gaps, standing. */
#include <stdlib.h>

#include "guide_hand.h"

static struct hand h;
static struct protocol own; /* the shipped one, with what a case needs changed */

static void begin(void)
{
    hand_begin(&h, "us-adult");
    own = *h.known;
    h.known = &own;
}

/* To the listening page: the pulse goes at `gone`. */
static void prepare_at(bool is_return, const char *arm_key, const char *gone)
{
    if (is_return)
        open_return(&h);
    else
        open_new(&h);
    ready(&h);
    take_arm(&h, arm_key);
    rest_with_kit(&h);
    feel(&h, gone);
    pass(&h, 35);
}

/* Squeeze, let out, and be asked for the figures. */
static void squeeze(void)
{
    ck_page(&h, "listening-before");
    press(&h, " ");
    pass(&h, 60);
    press(&h, " ");
    ck_page(&h, "entry");
}

/* ---- an arm that may not be used ---- */

START_TEST(barred_arm_offers_the_other_one)
{
    open_new(&h);
    ready(&h);
    ck_page(&h, "arm-choice");
    press(&h, "x");
    ck_page(&h, "arm-barred");
    press(&h, "5");
    ck_assert_int_eq(h.sitting.given[EV_BARRED], 0); /* which arm? The reason waits for it. */
    ck_assert(page_says(&h.page, "5 is marked"));
    press(&h, "l");
    ck_assert_int_eq(h.sitting.is_barred[ARM_LEFT], 1);
    ck_page(&h, "arm-choice");
    ck_assert(page_says(&h.page, "The left arm may not be used: take the right arm."));
    ck_assert(!page_offers(&h.page, "l"));
    press(&h, "\n");
    ck_assert_int_eq(h.sitting.arm, ARM_RIGHT);
}
END_TEST

/* Whoever sits there, or stands behind, reads along. */
START_TEST(barred_page_is_quiet_and_exposes_no_body)
{
    static const char *const EXPOSING[] = { "breast", "nodes", "wasted", "paralysed", "fistula", "shunt", "rash", "wound" };

    open_new(&h);
    ready(&h);
    press(&h, "x");
    ck_assert(page_says(&h.page, "Ask quietly"));
    for (size_t i = 0; i < ARRAY_LEN(EXPOSING); i++)
        ck_assert_msg(!page_says(&h.page, EXPOSING[i]), "%s", EXPOSING[i]);
}
END_TEST

START_TEST(barred_other_arm_is_said_where_this_one_goes_on)
{
    prepare_at(false, "l", "130");
    press(&h, "dbr6");
    ck_assert_int_eq(h.sitting.is_barred[ARM_RIGHT], 1);
    ck_page(&h, "listening-before");
    ck_assert(page_says(&h.page, "The right arm is left out: the left arm goes on."));
}
END_TEST

START_TEST(barred_arm_is_enough_with_the_other_alone)
{
    open_new(&h);
    ready(&h);
    press(&h, "xl5\n");
    ck_page(&h, "arm-items");
    press(&h, "yy31\n\ny");
    rest_with_kit(&h);
    feel(&h, "130");
    pass(&h, 35);
    listen(&h, "160", "124", "78");
    pass(&h, 70);
    listen(&h, "160", "122", "78");
    finish(&h);
    ck_assert_int_eq(h.sitting.phase, PHASE_SEALED);
    ck_assert_int_eq(h.refused, 0);
}
END_TEST

START_TEST(barred_arm_in_use_leaves_it)
{
    open_return(&h);
    ready(&h);
    press(&h, "\n");
    ck_page(&h, "arm-items");
    press(&h, "x");
    ck_assert(page_says(&h.page, "The left arm may not be used"));
    press(&h, "tbandaged since Monday\n");
    ck_assert_int_eq(h.sitting.arm, ARM_NONE);
    ck_page(&h, "arm-choice");
}
END_TEST

START_TEST(barred_arm_can_be_said_from_the_item_that_is_not_so)
{
    open_return(&h);
    ready(&h);
    press(&h, "\n");
    press(&h, "nnx");
    ck_page(&h, "arm-barred");
    press(&h, "1");
    ck_assert_int_eq(h.sitting.is_barred[ARM_LEFT], 1);
}
END_TEST

START_TEST(barred_arms_both_end_the_sitting_politely)
{
    open_new(&h);
    ready(&h);
    press(&h, "xl5xr6");
    ck_page(&h, "no-arm");
    ck_assert_str_eq(h.page.title, "Not measured today");
    press(&h, "\n");
    ck_page(&h, "stop-sure");
    ck_assert(page_says(&h.page, "neither arm may be used"));
    press(&h, "y");
    ck_assert_int_eq(h.sitting.phase, PHASE_STOPPED);
}
END_TEST

START_TEST(barred_arm_is_freed_where_it_was_barred)
{
    open_new(&h);
    ready(&h);
    press(&h, "xl5xr6");
    press(&h, "flf");
    ck_page(&h, "reason");
    press(&h, "it was the other side\n");
    ck_assert_int_eq(h.sitting.is_barred[ARM_LEFT], 0);
    ck_page(&h, "arm-choice");
    press(&h, "\n");
    ck_assert_int_eq(h.sitting.arm, ARM_LEFT);
}
END_TEST

/* ---- what was recent ---- */

START_TEST(recent_is_written_down_and_asks_for_nothing)
{
    open_new(&h);
    press(&h, "r");
    ck_page(&h, "recent");
    press(&h, "3");
    ck_page(&h, "reason");
    press(&h, "one tablet at 7\n");
    ck_page(&h, "readiness-items");
    ck_assert_int_eq(h.sitting.given[EV_RECENT], 1);
    ck_assert(page_says(&h.page, "is written down: 1"));
    ready(&h);
    take_arm(&h, "l");
    press(&h, "dr2beer at noon\n");
    ck_assert_int_eq(h.sitting.given[EV_RECENT], 2);
    ck_page(&h, "posture-items");
}
END_TEST

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

/* ---- every protocol that is shipped ---- */

/* What a hand does on a page that needs nothing else than to go on. */
static const struct { const char *page, *keys; int seconds; } ON[] = {
    { "opening", "\n\n", 1 },           { "arm-choice", "\n", 1 },
    { "arm-measure", "31\n", 1 },       { "cuff-choice", "\n", 1 },
    { "readiness-items", "y", 1 },      { "arm-items", "y", 1 },
    { "cuff-items", "y", 1 },           { "posture-items", "y", 1 },
    { "rest-before", " ", 1 },          { "rest", "\nyyy72r", 301 },
    { "kit", "\ny", 1 },                { "pulse", "72r", 1 },
    { "estimate-before", " ", 25 },     { "palpating", " ", 1 },
    { "estimate-entry", "140", 1 },     { "listening-wait", "", 5 },
    { "listening-before", " ", 45 },    { "listening", " ", 1 },
    { "stand", " ", 1 },                { "read-back", "y", 1 },
    { "result", "tyyf", 1 },
};

static void go_on(int32_t apart)
{
    char keys[32];

    if (strcmp(h.page.id, "arm-choice") == 0 && !page_offers(&h.page, "enter")) {
        press(&h, "l");
        return;
    }
    if (strcmp(h.page.id, "entry") == 0) {
        snprintf(keys, sizeof keys, "180%d78", 124 + (h.sitting.arm == ARM_RIGHT ? apart : 0));
        press(&h, keys);
        return;
    }
    for (size_t i = 0; i < ARRAY_LEN(ON); i++)
        if (strcmp(h.page.id, ON[i].page) == 0) {
            press(&h, ON[i].keys);
            pass(&h, ON[i].seconds);
            return;
        }
    ck_abort_msg("no hand for %s", h.page.id);
}

static const char *const SHIPPED[] = { "us-adult", "europe-adult", "uk-adult", "international-adult", "irregular-adult",
                                       "pregnancy", "standing-adult" };

/* Both visits, arms alike and arms far apart. */
START_TEST(shipped_protocols_lead_to_the_seal)
{
    int32_t apart = _i % 2 == 0 ? 2 : 24;

    hand_begin(&h, SHIPPED[_i / 4]);
    h.is_seen_before = _i / 2 % 2 == 1;
    for (int n = 0; n < 400 && h.sitting.phase != PHASE_SEALED; n++)
        go_on(apart);
    ck_assert_msg(h.sitting.phase == PHASE_SEALED, "%s stays at %s (%s)", SHIPPED[_i / 4], h.page.id, h.page.refusal);
}
END_TEST

/* ---- a silent gap ---- */

START_TEST(gap_is_asked_where_the_first_sound_lies_far_below_the_pulse)
{
    prepare_at(true, "\n", "150");
    squeeze();
    press(&h, "18011478");
    ck_page(&h, "gap");
    press(&h, "y");
    ck_assert_int_eq(h.sitting.readings[0].gap_answer, GAP_HEARD);
    ck_page(&h, "entry");
    ck_assert(page_says(&h.page, "The very first one, above the silence"));
    press(&h, "142130114");
    ck_page(&h, "read-back");
    ck_assert_int_eq(h.sitting.readings[0].value_mmhg[POINT_FIRST], 142);
    ck_assert_int_eq(h.sitting.readings[0].value_mmhg[POINT_SILENT], 130);
    ck_assert_int_eq(h.sitting.readings[0].value_mmhg[POINT_RETURN], 114);
    press(&h, "y");
    ck_assert_uint_eq(h.sitting.readings[0].notes & NOTE_GAP_HEARD, NOTE_GAP_HEARD);
    ck_assert_uint_eq(h.sitting.readings[0].voids, 0);
}
END_TEST

START_TEST(gap_is_asked_once)
{
    prepare_at(true, "\n", "150");
    squeeze();
    press(&h, "18011478n");
    ck_page(&h, "read-back");
    press(&h, "u180");
    ck_page(&h, "read-back");
    ck_assert_int_eq(h.sitting.given[EV_GAP], 1);
}
END_TEST

START_TEST(gap_heard_can_be_left_without_figures)
{
    prepare_at(true, "\n", "150");
    squeeze();
    press(&h, "18011478y\n\n");
    ck_page(&h, "read-back");
    press(&h, "y");
    ck_assert_uint_eq(h.sitting.readings[0].notes & NOTE_GAP_HEARD, NOTE_GAP_HEARD);
}
END_TEST

START_TEST(gap_with_both_figures_is_not_asked)
{
    prepare_at(true, "\n", "150");
    squeeze();
    press(&h, "18014278");
    ck_page(&h, "read-back");
    press(&h, "x");
    press(&h, "130110");
    ck_page(&h, "read-back");
}
END_TEST

START_TEST(gap_with_one_figure_is_asked)
{
    prepare_at(true, "\n", "150");
    squeeze();
    press(&h, "18014278x");
    press(&h, "130\n\n");
    ck_page(&h, "gap");
    press(&h, "n");
    ck_page(&h, "read-back");
}
END_TEST

START_TEST(gap_is_not_asked_near_the_pulse)
{
    prepare_at(true, "\n", "130");
    squeeze();
    press(&h, "16012478");
    ck_page(&h, "read-back");
}
END_TEST

/* ---- standing ---- */

static void stand_protocol(void)
{
    own.value[KEY_STANDING_READINGS] = 2;
    own.value[KEY_STANDING_FIRST_S] = 60;
    own.value[KEY_STANDING_SECOND_S] = 180;
    own.value[KEY_STANDING_LATE_S] = 60;
    own.value[KEY_DROP_SYSTOLIC_MMHG] = 20;
    own.value[KEY_DROP_DIASTOLIC_MMHG] = 10;
    own.is_waivable[RULE_STANDING_FEW] = true;
    prepare_at(true, "\n", "130");
    listen(&h, "160", "124", "78");
    pass(&h, 70);
    listen(&h, "160", "122", "78");
    ck_page(&h, "stand");
}

START_TEST(standing_counts_down_to_its_readings)
{
    stand_protocol();
    ck_assert(page_says(&h.page, "Dizzy, faint or unsteady"));
    press(&h, " ");
    ck_page(&h, "listening-wait");
    ck_assert_str_eq(h.page.big, "1:00");
    ck_assert_ptr_nonnull(strstr(h.page.left, "standing"));
    pass(&h, 60);
    listen(&h, "160", "112", "74");
    ck_page(&h, "listening-wait");
    pass(&h, 70);
    ck_page(&h, "listening-wait"); /* the interval is over; three minutes of standing are not */
    pass(&h, 5);
    listen(&h, "160", "110", "74");
    ck_assert_int_eq(sitting_standing_counted(&h.sitting), 2);
    ck_assert(page_says(&h.page, "The subject may sit or lie down again."));
    finish(&h);
    ck_assert_int_eq(h.sitting.phase, PHASE_SEALED);
    ck_assert_int_eq(h.refused, 0);
}
END_TEST

START_TEST(standing_squeeze_too_early_is_refused_until_its_time)
{
    stand_protocol();
    pass(&h, 70);
    press(&h, " ");
    pass(&h, 50);
    press(&h, " ");
    ck_assert_int_eq(h.last_refusal, RULE_STANDING_EARLY);
    ck_assert_ptr_nonnull(strstr(h.page.refusal, "not yet"));
    pass(&h, 10);
    ck_page(&h, "listening-before");
    ck_assert_str_eq(h.page.refusal, "");
}
END_TEST

START_TEST(standing_can_be_passed_over)
{
    stand_protocol();
    press(&h, "wcannot stand\n");
    ck_page(&h, "result");
}
END_TEST

START_TEST(standing_faint_lies_down_or_stops)
{
    stand_protocol();
    press(&h, " f");
    ck_page(&h, "faint");
    press(&h, "\033");
    ck_page(&h, "listening-wait");
    press(&h, "fy");
    ck_page(&h, "rest-before");
    ck_assert_int_eq(h.sitting.is_standing, 0);
}
END_TEST

START_TEST(standing_faint_with_the_cuff_up_lets_the_air_out)
{
    stand_protocol();
    press(&h, " ");
    pass(&h, 60);
    press(&h, " ");
    ck_page(&h, "listening");
    ck_assert(page_offers(&h.page, "f"));
    pass(&h, 10);
    press(&h, "f");
    ck_assert_int_eq(h.sitting.inflation, INFLATION_NONE);
    ck_page(&h, "faint");
    press(&h, "y");
    ck_page(&h, "entry");
    ck_assert_int_eq(h.sitting.is_standing, 0);
}
END_TEST

START_TEST(standing_faint_is_a_key_of_the_entry_too)
{
    stand_protocol();
    press(&h, " ");
    pass(&h, 60);
    squeeze();
    press(&h, "16011f");
    ck_page(&h, "faint");
    press(&h, "\033");
    ck_page(&h, "entry");
    press(&h, "11274");
    ck_page(&h, "read-back");
    press(&h, "fy");
    ck_page(&h, "read-back");
    ck_assert_int_eq(h.sitting.is_standing, 0);
}
END_TEST

START_TEST(standing_low_value_begins_with_sitting_down)
{
    own.value[KEY_LOW_SYSTOLIC_MMHG] = 90;
    own.value[KEY_LOW_DIASTOLIC_MMHG] = 60;
    stand_protocol();
    press(&h, " ");
    pass(&h, 60);
    squeeze();
    press(&h, "16084");
    ck_page(&h, "low");
    ck_assert(page_says(&h.page, "First let the subject sit or lie down"));
    press(&h, "n");
    ck_assert(!page_says(&h.page, "take it again"));
    press(&h, "f");
    ck_page(&h, "faint");
}
END_TEST

START_TEST(standing_protocol_begins_with_lying_down)
{
    own.value[KEY_STANDING_READINGS] = 2;
    open_return(&h);
    ck_page(&h, "readiness-items");
    ck_assert_str_eq(h.page.title, "Before lying down");
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

START_TEST(standing_faint_stops_with_its_reason)
{
    stand_protocol();
    press(&h, " fsy");
    ck_assert_int_eq(h.sitting.phase, PHASE_STOPPED);
}
END_TEST

START_TEST(standing_faint_can_end_the_standing_alone)
{
    stand_protocol();
    press(&h, " fw");
    ck_page(&h, "result");
}
END_TEST

/* ---- the cuff ---- */

START_TEST(cuff_page_says_the_bladder_in_figures)
{
    h.booth.cuffs[0].bladder_width_mm = 120;
    h.booth.cuffs[0].bladder_length_mm = 230;
    own.value[KEY_BLADDER_WIDTH_PCT] = 40;
    own.value[KEY_BLADDER_LENGTH_PCT] = 80;
    open_return(&h);
    ready(&h);
    press(&h, "\nyy33\n");
    ck_page(&h, "cuff-choice");
    ck_assert(page_says(&h.page, "bladder 36 % of the arm wide, 40 % asked for"));
    ck_assert(page_says(&h.page, "bladder 69 % of the arm long, 80 % asked for"));
    press(&h, "\n");
    ck_page(&h, "cuff-items");
    ck_assert_int_eq(h.sitting.cuffs[h.sitting.wrapped].bladder_width_mm, 120);
}
END_TEST

START_TEST(cuff_bladder_that_cannot_be_does_not_hold_up_the_sitting)
{
    h.booth.cuffs[0].bladder_width_mm = 300;
    h.booth.cuffs[0].bladder_length_mm = 230;
    open_return(&h);
    ready(&h);
    press(&h, "\nyy33\n\n");
    ck_page(&h, "cuff-items");
    ck_assert_int_eq(h.refused, 0);
}
END_TEST

START_TEST(cuff_on_a_shared_border_is_the_larger)
{
    h.booth.cuffs[1].high_mm = 254;
    open_return(&h);
    ready(&h);
    press(&h, "\nyy25.4\n");
    ck_assert(page_says(&h.page, "the larger goes on"));
    press(&h, "\n");
    ck_assert_str_eq(h.sitting.cuffs[h.sitting.wrapped].id, "adult");
}
END_TEST

START_TEST(cuff_of_two_that_reach_as_far_is_the_one_that_begins_later)
{
    h.booth.cuffs[0].low_mm = 261;
    h.booth.cuffs[0].high_mm = 340;
    h.booth.cuffs[1].low_mm = 270;
    h.booth.cuffs[1].high_mm = 340;
    open_return(&h);
    ready(&h);
    press(&h, "\nyy31\n");
    ck_page(&h, "cuff-choice");
    ck_assert(page_says(&h.page, "the larger goes on"));
    ck_assert(h.page.lines[2].is_current);
    press(&h, "\n");
    ck_assert_str_eq(h.sitting.cuffs[h.sitting.wrapped].id, "small");
}
END_TEST

START_TEST(arm_that_looks_like_inches_is_asked_about)
{
    open_return(&h);
    ready(&h);
    press(&h, "\nyy12\n");
    ck_page(&h, "arm-measure");
    ck_assert_int_eq(h.sitting.arm_mm, 0);
    ck_assert_ptr_nonnull(strstr(h.page.refusal, "12 cm, or 12 inches, which are 30.5 cm"));
    press(&h, "in\n");
    ck_assert_int_eq(h.sitting.arm_mm, 305);
    ck_page(&h, "cuff-choice");
}
END_TEST

START_TEST(arm_that_is_thin_is_taken_with_its_unit)
{
    open_return(&h);
    ready(&h);
    press(&h, "\nyy21.5\n");
    ck_assert_int_eq(h.sitting.arm_mm, 0);
    press(&h, "cm\n");
    ck_assert_int_eq(h.sitting.arm_mm, 215);
}
END_TEST

START_TEST(arm_of_few_inches_is_no_centimetres)
{
    open_return(&h);
    ready(&h);
    press(&h, "\nyy9\n");
    ck_assert_ptr_nonnull(strstr(h.page.refusal, "9 cm is too little for an arm"));
    press(&h, "\b31\n");
    ck_assert_int_eq(h.sitting.arm_mm, 310);
}
END_TEST

START_TEST(cuff_gap_is_closed_by_the_larger)
{
    own.value[KEY_CUFF_GAP_MM] = 10;
    h.booth.cuffs[0].low_mm = 270;
    open_return(&h);
    ready(&h);
    press(&h, "\nyy26.5\n");
    ck_assert(page_says(&h.page, "between two marked ranges"));
    press(&h, "\n");
    ck_page(&h, "cuff-items");
    ck_assert_str_eq(h.sitting.cuffs[h.sitting.wrapped].id, "adult");
}
END_TEST

START_TEST(cuff_that_is_wrong_is_passed_over_with_its_published_size)
{
    open_return(&h);
    ready(&h);
    press(&h, "\nyy30\n2");
    ck_assert_int_eq(h.last_refusal, RULE_CUFF_TOO_SMALL);
    press(&h, "w");
    ck_page(&h, "reason");
    ck_assert(page_says(&h.page, "2 to 11 mmHg high"));
}
END_TEST

/* ---- what else is said ---- */

START_TEST(irregular_pulse_says_how_many_readings)
{
    open_return(&h);
    ready(&h);
    take_arm(&h, "\n");
    press(&h, "yy \nyy72i");
    ck_assert(page_says(&h.page, "at least 3 readings"));
    pass(&h, 301);
    ck_assert(page_says(&h.page, "at least 3 readings"));
}
END_TEST

START_TEST(pregnancy_names_its_protocol)
{
    h.booth.protocol_count = 2;
    text_copy(h.booth.protocols[1].id, ITEM_CAP, "pregnancy");
    text_copy(h.booth.protocols[1].title, sizeof h.booth.protocols[1].title, "Pregnancy and after birth");
    open_return(&h);
    ck_page(&h, "readiness-items");
    for (int i = 0; i < own.item_count && !is_same_text(own.items[h.guide.cursor].id, "ready.not-pregnant"); i++)
        hand_code(&h, KEY_DOWN_ARROW);
    press(&h, "n");
    ck_page(&h, "item-not-so");
    ck_assert(page_says(&h.page, "the protocol pregnancy"));
}
END_TEST

int main(void)
{
    Suite *suite = suite_create("guide acts");
    TCase *tc = tcase_create("acts");
    SRunner *runner;
    int failed;

    tcase_add_checked_fixture(tc, begin, NULL);
    tcase_add_test(tc, barred_arm_offers_the_other_one);
    tcase_add_test(tc, barred_page_is_quiet_and_exposes_no_body);
    tcase_add_test(tc, barred_other_arm_is_said_where_this_one_goes_on);
    tcase_add_test(tc, very_high_is_not_passed_by_typing_on);
    tcase_add_test(tc, very_high_put_off_is_said_until_it_is_asked);
    tcase_add_test(tc, very_high_put_off_is_still_asked_at_the_result);
    tcase_add_test(tc, very_high_recalls_symptoms_of_an_earlier_reading);
    tcase_add_test(tc, very_high_says_why_with_its_own_threshold);
    tcase_add_test(tc, more_says_its_arm_and_leads_back_to_the_result);
    tcase_add_test(tc, more_is_gone_from_the_page_once_it_is_read);
    tcase_add_test(tc, more_goes_back_to_the_arm_of_the_result);
    tcase_add_test(tc, arm_is_read_again_because_of_its_very_high_value);
    tcase_add_test(tc, standing_faint_with_the_cuff_up_lets_the_air_out);
    tcase_add_test(tc, standing_faint_is_a_key_of_the_entry_too);
    tcase_add_test(tc, standing_low_value_begins_with_sitting_down);
    tcase_add_test(tc, standing_protocol_begins_with_lying_down);
    tcase_add_test(tc, stopped_page_shows_a_first_sound_alone);
    tcase_add_test(tc, cuff_of_two_that_reach_as_far_is_the_one_that_begins_later);
    tcase_add_test(tc, arm_that_looks_like_inches_is_asked_about);
    tcase_add_test(tc, arm_that_is_thin_is_taken_with_its_unit);
    tcase_add_test(tc, arm_of_few_inches_is_no_centimetres);
    tcase_add_test(tc, barred_arm_is_enough_with_the_other_alone);
    tcase_add_test(tc, barred_arm_in_use_leaves_it);
    tcase_add_test(tc, barred_arm_can_be_said_from_the_item_that_is_not_so);
    tcase_add_test(tc, barred_arms_both_end_the_sitting_politely);
    tcase_add_test(tc, barred_arm_is_freed_where_it_was_barred);
    tcase_add_test(tc, recent_is_written_down_and_asks_for_nothing);
    tcase_add_test(tc, very_high_comes_with_the_value_that_shows_it);
    tcase_add_test(tc, very_high_slip_is_one_key_from_its_field);
    tcase_add_test(tc, very_high_slip_left_as_it_is_comes_back_to_its_page);
    tcase_add_test(tc, very_high_without_symptoms_is_repeated_on_the_same_arm);
    tcase_add_test(tc, very_high_twice_goes_to_the_procedure);
    tcase_add_test(tc, very_high_on_an_arm_barred_since_is_not_asked_for_again);
    tcase_add_test(tc, very_high_repeat_beyond_the_rules_can_be_passed);
    tcase_add_test(tc, very_high_with_symptoms_shows_the_sites_procedure);
    tcase_add_test(tc, very_high_with_symptoms_comes_back_after_the_entry);
    tcase_add_test(tc, very_high_procedure_of_its_own_names_no_file);
    tcase_add_test(tc, very_high_procedure_of_its_own_says_how_long_to_wait);
    tcase_add_test(tc, very_high_is_not_passed_by_the_enter_of_habit);
    tcase_add_test(tc, very_high_procedure_that_could_not_be_taken_is_told);
    tcase_add_test(tc, very_high_procedure_in_one_long_line_is_whole);
    tcase_add_test(tc, very_high_with_symptoms_can_stop_at_once);
    tcase_add_test(tc, very_high_follows_the_protocols_own_threshold);
    tcase_add_test(tc, very_high_covers_its_figures);
    tcase_add_test(tc, refusals_of_typed_figures_are_covered_with_them);
    tcase_add_test(tc, result_covered_does_not_tell_that_one_low_reading_sufficed);
    tcase_add_test(tc, low_value_asks_whether_the_subject_is_unwell);
    tcase_add_test(tc, gap_is_asked_where_the_first_sound_lies_far_below_the_pulse);
    tcase_add_test(tc, gap_is_asked_once);
    tcase_add_test(tc, gap_heard_can_be_left_without_figures);
    tcase_add_test(tc, gap_with_both_figures_is_not_asked);
    tcase_add_test(tc, gap_with_one_figure_is_asked);
    tcase_add_test(tc, gap_is_not_asked_near_the_pulse);
    tcase_add_test(tc, standing_counts_down_to_its_readings);
    tcase_add_test(tc, standing_squeeze_too_early_is_refused_until_its_time);
    tcase_add_test(tc, standing_can_be_passed_over);
    tcase_add_test(tc, standing_faint_lies_down_or_stops);
    tcase_add_test(tc, standing_faint_stops_with_its_reason);
    tcase_add_test(tc, standing_faint_can_end_the_standing_alone);
    tcase_add_test(tc, cuff_page_says_the_bladder_in_figures);
    tcase_add_test(tc, cuff_bladder_that_cannot_be_does_not_hold_up_the_sitting);
    tcase_add_test(tc, cuff_on_a_shared_border_is_the_larger);
    tcase_add_test(tc, cuff_gap_is_closed_by_the_larger);
    tcase_add_test(tc, cuff_that_is_wrong_is_passed_over_with_its_published_size);
    tcase_add_test(tc, irregular_pulse_says_how_many_readings);
    tcase_add_test(tc, pregnancy_names_its_protocol);
    tcase_add_test(tc, very_high_page_is_there_after_a_restart);
    tcase_add_loop_test(tc, shipped_protocols_lead_to_the_seal, 0, 4 * (int)ARRAY_LEN(SHIPPED));
    suite_add_tcase(suite, tc);
    runner = srunner_create(suite);
    srunner_run_all(runner, CK_NORMAL);
    failed = srunner_ntests_failed(runner);
    srunner_free(runner);
    return failed == 0 ? EXIT_SUCCESS : EXIT_FAILURE;
}
