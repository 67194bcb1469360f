/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Silent gaps, and readings standing. */
#include "guide_acts.h"

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

int main(void)
{
    const TTest *const tests[] = {
        gap_is_asked_where_the_first_sound_lies_far_below_the_pulse,
        gap_is_asked_once,
        gap_heard_can_be_left_without_figures,
        gap_with_both_figures_is_not_asked,
        gap_with_one_figure_is_asked,
        gap_is_not_asked_near_the_pulse,
        standing_counts_down_to_its_readings,
        standing_squeeze_too_early_is_refused_until_its_time,
        standing_can_be_passed_over,
        standing_faint_lies_down_or_stops,
        standing_faint_with_the_cuff_up_lets_the_air_out,
        standing_faint_is_a_key_of_the_entry_too,
        standing_low_value_begins_with_sitting_down,
        standing_protocol_begins_with_lying_down,
        standing_faint_stops_with_its_reason,
        standing_faint_can_end_the_standing_alone,
    };

    return run_acts("guide standing", tests, (int)ARRAY_LEN(tests), NULL, 0);
}
