/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The acts beside the plain way: barred arms, what was recent, cuffs; and every shipped protocol to its seal. */
#include "guide_acts.h"

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
    const TTest *const tests[] = {
        barred_arm_offers_the_other_one,
        barred_page_is_quiet_and_exposes_no_body,
        barred_other_arm_is_said_where_this_one_goes_on,
        barred_arm_is_enough_with_the_other_alone,
        barred_arm_in_use_leaves_it,
        barred_arm_can_be_said_from_the_item_that_is_not_so,
        barred_arms_both_end_the_sitting_politely,
        barred_arm_is_freed_where_it_was_barred,
        recent_is_written_down_and_asks_for_nothing,
        cuff_page_says_the_bladder_in_figures,
        cuff_bladder_that_cannot_be_does_not_hold_up_the_sitting,
        cuff_on_a_shared_border_is_the_larger,
        cuff_of_two_that_reach_as_far_is_the_one_that_begins_later,
        arm_that_looks_like_inches_is_asked_about,
        arm_that_is_thin_is_taken_with_its_unit,
        arm_of_few_inches_is_no_centimetres,
        cuff_gap_is_closed_by_the_larger,
        cuff_that_is_wrong_is_passed_over_with_its_published_size,
        irregular_pulse_says_how_many_readings,
        pregnancy_names_its_protocol,
    };

    return run_acts("guide acts", tests, (int)ARRAY_LEN(tests), shipped_protocols_lead_to_the_seal, 4 * (int)ARRAY_LEN(SHIPPED));
}
