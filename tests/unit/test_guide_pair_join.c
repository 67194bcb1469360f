/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Two listeners of one fall: who joins and when, in which order they type, and what is said of both at the end. */
#include "pair_hand.h"

/* ---- who, and in which order ---- */

START_TEST(pair_is_typed_first_by_the_measurer_then_by_the_listener)
{
    squeeze_with("ben");
    ck_assert(page_says(&h.page, "ana types"));
    press(&h, "16412678");
    ck_page(&h, "hand-over");
    ck_assert(page_says(&h.page, "ben"));
    press(&h, "\n");
    ck_page(&h, "hand-over"); /* a habit hands nothing over */
    press(&h, " ");
    ck_assert(page_says(&h.page, "ben types"));
    ck_assert_int_eq(current()->has_pair[POINT_FIRST], 0);
    press(&h, "132");
    ck_assert_int_eq(current()->pair_mmhg[POINT_FIRST], 132);
    ck_assert_int_eq(current()->value_mmhg[POINT_FIRST], 126);
    press(&h, "84");
    ck_page(&h, "pair-read-back");
    press(&h, "\n");
    ck_page(&h, "pair-read-back"); /* nor does it end it */
    ck_assert_int_eq(current()->is_done, 0);
    press(&h, "y");
    ck_assert_int_eq(current()->is_entered, 1);
}
END_TEST

START_TEST(pair_heard_down_to_zero_asks_each_for_the_muffling)
{
    squeeze_with("ben");
    press(&h, "1641260\n");
    ck_page(&h, "entry");
    press(&h, "78");
    ck_page(&h, "hand-over");
    press(&h, " 1320\n");
    ck_page(&h, "pair-entry");
    press(&h, "82");
    ck_page(&h, "pair-read-back");
    press(&h, "y");
    ck_assert_int_eq(current()->pair_mmhg[POINT_MUFFLING], 82);
    ck_assert(page_says(&h.page, "ana 126/78/0, ben 132/82/0: apart by 6 and 4"));
}
END_TEST

static void ck_named(const char *keys, const char *id)
{
    press(&h, keys);
    if (h.page.id[0] == 'l' && h.sitting.inflation == INFLATION_NONE) {
        press(&h, " ");
        pass(&h, 40);
    }
    ck_assert_msg(strcmp(current()->listener, id) == 0, "'%s' named '%s' on %s: %s", keys, current()->listener, h.page.id, h.page.refusal);
}

START_TEST(listener_is_named_before_the_squeeze_by_typing)
{
    prepare_at(true, "\n", "130");
    ck_named("lruth.7\n", "ruth.7");
}
END_TEST

START_TEST(listener_is_picked_from_the_people)
{
    prepare_at(true, "\n", "130");
    press(&h, "l");
    ck_assert(page_says(&h.page, "Ben Tal"));
    hand_code(&h, KEY_DOWN_ARROW); /* the one who measures is not among them */
    ck_named("\n", "ben");
}
END_TEST

START_TEST(listener_is_named_while_listening)
{
    prepare_at(true, "\n", "130");
    press(&h, " ");
    ck_named("lben\n", "ben");
    ck_page(&h, "listening");
}
END_TEST

START_TEST(listener_is_named_by_who_keeps_the_marks)
{
    prepare_at(true, "\n", "130");
    press(&h, "2 ");
    ck_page(&h, "marks");
    ck_named("lben\n", "ben");
    ck_page(&h, "marks");
}
END_TEST

START_TEST(air_goes_out_while_the_listener_is_being_named)
{
    prepare_at(true, "\n", "130");
    press(&h, " lbe");
    pass(&h, 40);
    press(&h, " ");
    ck_assert_int_eq(h.sitting.inflation, INFLATION_NONE);
    ck_page(&h, "entry");
}
END_TEST

START_TEST(listener_is_named_on_the_entry_page_before_the_first_value)
{
    prepare_at(true, "\n", "130");
    squeeze();
    press(&h, "164\033lben\n");
    ck_assert_str_eq(current()->listener, "ben");
    ck_page(&h, "entry");
    ck_assert(!page_says(&h.page, "164"));
}
END_TEST

START_TEST(listener_cannot_join_once_a_value_was_to_be_seen)
{
    prepare_at(true, "\n", "130");
    squeeze();
    press(&h, "164126\033");
    ck_assert(!page_offers(&h.page, "l"));
    press(&h, "l");
    ck_page(&h, "entry");
    ck_assert_str_ne(h.page.refusal, "");
    ck_assert_str_eq(current()->listener, "");
}
END_TEST

START_TEST(listener_is_not_the_measurer_and_has_the_form_of_an_id)
{
    static const char *const BAD[] = { "ana\n", "b n\n", "n\xc3\xa4m\n", "0123456789012345678901234567890123\n" };

    prepare_at(true, "\n", "130");
    for (size_t i = 0; i < ARRAY_LEN(BAD); i++) {
        press(&h, "l");
        press(&h, BAD[i]);
        ck_page(&h, "listener");
        ck_assert_msg(strncmp(h.page.refusal, "not yet:", 8) == 0, "%s", BAD[i]);
        press(&h, "\033");
    }
    ck_assert_str_eq(h.guide.listener, "");
}
END_TEST

START_TEST(listener_named_before_can_be_left_out_again)
{
    prepare_at(true, "\n", "130");
    press(&h, "lben\n");
    ck_assert(page_says(&h.page, "ben listens too"));
    press(&h, "l\n ");
    ck_assert_str_eq(current()->listener, "");
}
END_TEST

START_TEST(listener_left_empty_is_asked_for_in_words)
{
    prepare_at(true, "\n", "130");
    press(&h, "l\n");
    ck_page(&h, "listener");
    ck_assert_ptr_nonnull(strstr(h.page.refusal, "choose one with the arrows"));
    press(&h, "\033 l\n");
    ck_page(&h, "listener");
    ck_assert_ptr_nonnull(strstr(h.page.refusal, "choose one with the arrows"));
}
END_TEST

START_TEST(listener_left_empty_where_nobody_else_is_known_is_to_be_typed)
{
    prepare_at(true, "\n", "130");
    h.booth.person_count = 0;
    press(&h, "l\n");
    ck_page(&h, "listener");
    ck_assert_ptr_nonnull(strstr(h.page.refusal, "nobody else is known here"));
}
END_TEST

START_TEST(listener_of_the_last_reading_is_offered_for_the_next)
{
    squeeze_with("ruth");
    give_both();
    press(&h, "y ");
    pass(&h, 70);
    press(&h, "l");
    hand_code(&h, KEY_DOWN_ARROW);
    press(&h, "\n ");
    ck_assert_int_eq(h.sitting.reading_count, 2);
    ck_assert_str_eq(current()->listener, "ruth");
}
END_TEST

/* ---- the verdict ---- */

static void compare(int limit, const char *theirs, bool is_apart)
{
    own.value[KEY_PAIR_OVER_MMHG] = limit;
    squeeze_with("ben");
    press(&h, "16412678 ");
    press(&h, theirs);
    ck_page(&h, "pair-read-back");
    press(&h, "y");
    ck_assert_int_eq((current()->notes & NOTE_PAIR_DIFFERS) != 0, is_apart);
    ck_assert_int_eq(page_says(&h.page, "more than the limit"), is_apart);
    ck_assert_int_eq(page_says(&h.page, "within the limit"), !is_apart);
    ck_assert_int_eq(reading_is_counted(current()), 1);
    ck_assert_int_eq(current()->value_mmhg[POINT_FIRST], 126);
}

START_TEST(pair_within_four_is_said)
{
    compare(4, "13082", false);
    ck_assert(page_says(&h.page, "ana 126/78, ben 130/82: apart by 4 and 4, within the limit of 4"));
}
END_TEST

START_TEST(pair_beyond_four_is_said_and_nothing_is_corrected)
{
    compare(4, "13278", true);
    ck_assert(page_says(&h.page, "ana 126/78, ben 132/78: apart by 6 and 0, more than the limit of 4"));
}
END_TEST

START_TEST(pair_six_apart_is_within_six)
{
    compare(6, "12072", false);
}
END_TEST

START_TEST(pair_diastolic_beyond_six_is_said)
{
    compare(6, "12686", true);
}
END_TEST

START_TEST(pair_of_a_reading_that_does_not_count_is_compared_all_the_same)
{
    squeeze_with("ben");
    press(&h, "14012678");
    ck_page(&h, "hand-over");
    press(&h, " 12678y");
    ck_assert_int_ne(current()->voids, 0);
    ck_assert(page_says(&h.page, "does not count"));
    ck_assert(page_says(&h.page, "ana 126/78, ben 126/78: apart by 0 and 0"));
}
END_TEST

START_TEST(pair_is_covered_with_the_other_figures)
{
    squeeze_with("ben");
    give_both();
    h.guide.is_hidden = 1;
    press(&h, "y");
    ck_assert(page_says(&h.page, "further apart than the limit"));
    ck_assert(!page_holds(&h.page, "132"));
    ck_assert(!page_holds(&h.page, "126"));
}
END_TEST

START_TEST(pair_stands_with_the_result)
{
    squeeze_with("ben");
    give_both();
    press(&h, "y\n1");
    ck_page(&h, "pair-shown"); /* neither a habit nor a hand that types on leads past it */
    press(&h, " ");
    pass(&h, 70);
    listen(&h, "160", "124", "76");
    ck_page(&h, "result");
    ck_assert(page_says(&h.page, "reading 1: ana 126/78, ben 132/84"));
}
END_TEST

/* ---- very high ---- */

START_TEST(very_high_value_asks_at_once_and_shows_no_figure)
{
    static const char *const SHY[] = { "222", "194", "192", "19", "96", "98", NULL };

    squeeze_with("ben");
    keep_secret(SHY);
    press(&h, "222194");
    ck_page(&h, "very-high");
    ck_assert_int_eq(current()->has_value[POINT_LAST], 0);
    press(&h, "9?\033n");
    ck_assert_int_eq(h.sitting.symptoms, SYMPTOMS_NONE);
    press(&h, "\n98");
    ck_page(&h, "hand-over");
    press(&h, " 192");
    ck_page(&h, "pair-entry");
    press(&h, "96");
    ck_page(&h, "pair-read-back");
    keep_secret(NULL);
    press(&h, "y");
    ck_assert_int_eq(current()->is_entered, 1);
}
END_TEST

START_TEST(very_high_value_with_symptoms_leads_to_the_procedure_at_once)
{
    static const char *const SHY[] = { "222", "194", NULL };

    text_copy(h.booth.procedure_high, sizeof h.booth.procedure_high, "Call the person in charge.");
    squeeze_with("ben");
    keep_secret(SHY);
    press(&h, "222194p");
    ck_assert(page_says(&h.page, "Call the person in charge."));
    press(&h, "acalled\n");
    press(&h, "\033ssent on\ny");
    ck_page(&h, "stopped");
}
END_TEST

START_TEST(very_high_value_of_the_listener_alone_asks_once_both_are_in)
{
    squeeze_with("ben");
    press(&h, "22217888 ");
    press(&h, "194");
    ck_page(&h, "pair-entry"); /* no page before both are in */
    press(&h, "88");
    ck_page(&h, "pair-read-back");
    ck_assert(!page_says(&h.page, "very high"));
    press(&h, "y");
    ck_assert(page_says(&h.page, "What ben heard is very high: ask quietly"));
}
END_TEST

/* ---- before a witness ---- */

static void open_witnessed(void)
{
    text_copy(h.booth.default_purpose, sizeof h.booth.default_purpose, "assessment");
    guide_begin(&h.guide, &h.booth);
    h.is_seen_before = true;
    press(&h, "k7-031\n\nina\n");
    ck_page(&h, "witness");
    press(&h, "alk\n");
}

START_TEST(pair_before_a_witness_is_unseen_too)
{
    static const char *const FEW[] = { "164", "126", "78", "132", "84", NULL };

    open_witnessed();
    press(&h, "2eva\nl");
    ck_page(&h, "marks");
    ck_assert_str_eq(current()->listener, "eva");
    keep_secret(FEW);
    pass(&h, 50);
    press(&h, "e16412678");
    ck_page(&h, "hand-over");
    press(&h, "\033");
    ck_page(&h, "witness");
    press(&h, "v 13284");
    ck_page(&h, "pair-read-back");
    keep_secret(NULL);
    press(&h, "y");
    ck_page(&h, "witness");
    ck_assert(page_says(&h.page, "ana 126/78, eva 132/84: apart by 6 and 6"));
}
END_TEST

START_TEST(pair_before_a_witness_may_be_the_witness)
{
    open_witnessed();
    press(&h, "l2ina\ne16412678 13284y");
    ck_assert(page_says(&h.page, "ana 126/78, ina 132/84"));
}
END_TEST

int main(void)
{
    const TTest *const TESTS[] = {
        pair_is_typed_first_by_the_measurer_then_by_the_listener, pair_heard_down_to_zero_asks_each_for_the_muffling,
        listener_is_named_before_the_squeeze_by_typing, listener_is_picked_from_the_people,
        listener_is_named_while_listening, listener_is_named_by_who_keeps_the_marks,
        air_goes_out_while_the_listener_is_being_named, listener_is_named_on_the_entry_page_before_the_first_value,
        listener_cannot_join_once_a_value_was_to_be_seen, listener_is_not_the_measurer_and_has_the_form_of_an_id,
        listener_named_before_can_be_left_out_again, listener_left_empty_is_asked_for_in_words,
        listener_left_empty_where_nobody_else_is_known_is_to_be_typed, listener_of_the_last_reading_is_offered_for_the_next,
        pair_within_four_is_said, pair_beyond_four_is_said_and_nothing_is_corrected, pair_six_apart_is_within_six,
        pair_diastolic_beyond_six_is_said, pair_of_a_reading_that_does_not_count_is_compared_all_the_same,
        pair_is_covered_with_the_other_figures, pair_stands_with_the_result,
        very_high_value_asks_at_once_and_shows_no_figure, very_high_value_with_symptoms_leads_to_the_procedure_at_once,
        very_high_value_of_the_listener_alone_asks_once_both_are_in, pair_before_a_witness_is_unseen_too,
        pair_before_a_witness_may_be_the_witness,
    };

    return run_acts_from(begin_unwatched, "guide: a second listener joins", TESTS, (int)ARRAY_LEN(TESTS), NULL, 0);
}
