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
    ck_assert_int_eq(h.sitting.given[EV_BARRED], 0); /* which arm? */
    press(&h, "l5");
    ck_assert_int_eq(h.sitting.is_barred[ARM_LEFT], 1);
    ck_page(&h, "arm-choice");
    ck_assert(page_says(&h.page, "The left arm may not be used: take the right arm."));
    ck_assert(!page_offers(&h.page, "l"));
    press(&h, "\n");
    ck_assert_int_eq(h.sitting.arm, ARM_RIGHT);
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

START_TEST(very_high_is_not_passed_by_the_enter_of_habit)
{
    high();
    press(&h, "\n");
    ck_page(&h, "very-high");
    ck_assert_ptr_nonnull(strstr(h.page.refusal, "enter once more puts it off"));
    press(&h, "\n");
    ck_page(&h, "entry");
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
