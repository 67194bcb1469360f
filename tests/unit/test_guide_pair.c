/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Two listeners of one fall: what each types is on no page and in no refusal before both are final, whatever comes between. */
#include "guide_acts.h"

/* ---- what may not be seen: the figures typed, as words of their own on a page ---- */

static const char *const *secrets;
static int pages_seen;

static bool holds_figure(const char *text, const char *figure)
{
    size_t len = strlen(figure);

    for (const char *at = text; (at = strstr(at, figure)) != NULL; at++) {
        bool is_begun = at > text && at[-1] >= '0' && at[-1] <= '9';

        if (!is_begun && !(at[len] >= '0' && at[len] <= '9'))
            return true;
    }
    return false;
}

static bool page_holds(const struct page *pg, const char *figure)
{
    const char *const parts[] = { pg->left, pg->right, pg->banner, pg->title, pg->big, pg->big_note, pg->refusal };

    for (size_t i = 0; i < ARRAY_LEN(parts); i++)
        if (holds_figure(parts[i], figure))
            return true;
    for (int i = 0; i < pg->line_count; i++)
        if (holds_figure(pg->lines[i].text, figure) || holds_figure(pg->lines[i].value, figure))
            return true;
    for (int i = 0; i < pg->key_count; i++)
        if (holds_figure(pg->keys[i].label, figure))
            return true;
    return false;
}

static void watch(const struct hand *hand)
{
    for (const char *const *figure = secrets; figure != NULL && *figure != NULL; figure++)
        ck_assert_msg(!page_holds(&hand->page, *figure), "page %s shows %s (%s)", hand->page.id, *figure, hand->page.refusal);
    pages_seen += secrets != NULL;
}

static void keep_secret(const char *const *figures)
{
    secrets = figures;
    hand_watch = figures != NULL ? watch : NULL;
}

/* What is typed below, and its beginnings: none of it stands on these pages for another reason. */
static const char *const TYPED[] = { "164", "16", "126", "127", "12", "78", "77", "7", "132", "13", "84", "8", NULL };

/* ---- the way ---- */

static void squeeze_with(const char *listener)
{
    prepare_at(true, "\n", "130");
    ck_page(&h, "listening-before");
    press(&h, "l");
    ck_page(&h, "listener");
    press(&h, listener);
    press(&h, "\n");
    ck_page(&h, "listening-before");
    press(&h, " ");
    ck_page(&h, "listening");
    pass(&h, 50);
    press(&h, " ");
    ck_page(&h, "entry");
}

static const struct reading *current(void)
{
    return &h.sitting.readings[h.sitting.reading_count - 1];
}

static void give_both(void)
{
    press(&h, "16412678");
    ck_page(&h, "hand-over");
    press(&h, " ");
    ck_page(&h, "pair-entry");
    press(&h, "13284");
    ck_page(&h, "pair-read-back");
}

static void begin_anew(void)
{
    guide_begin(&h.guide, &h.booth);
    hand_look(&h);
}

static void begin_unwatched(void)
{
    keep_secret(NULL);
    begin();
    text_copy(h.booth.people[0].id, ITEM_CAP, "ana");
    text_copy(h.booth.people[1].id, ITEM_CAP, "ben");
    text_copy(h.booth.people[1].name, sizeof h.booth.people[1].name, "Ben Tal");
    text_copy(h.booth.people[2].id, ITEM_CAP, "eva");
    h.booth.person_count = 3;
}

/* ---- blind ---- */

START_TEST(pair_shows_no_digit_before_both_are_final)
{
    squeeze_with("ben");
    keep_secret(TYPED);
    pages_seen = 0;
    /* Each figure odd first, so that it is refused, and then out of order; mended, given again, looked at from every page. */
    press(&h, "163\b4127\b\b\b126\033?\033\033d\03377\b8");
    ck_page(&h, "hand-over");
    press(&h, "7\n2?\033d\033u");
    ck_page(&h, "entry");
    press(&h, "\n");
    ck_page(&h, "hand-over");
    press(&h, " 13");
    ck_page(&h, "pair-entry");
    press(&h, "1\b2\033?\03385\b4");
    ck_page(&h, "pair-read-back");
    press(&h, "8\n?\033d\033o132u");
    ck_page(&h, "entry");
    press(&h, "\n");
    ck_page(&h, "pair-read-back");
    ck_assert_int_gt(pages_seen, 50);
    keep_secret(NULL);
    press(&h, "hy");
    press(&h, "h");
    ck_assert_int_eq(current()->is_entered, 1);
    ck_assert_int_eq(current()->pair_mmhg[POINT_FIRST], 132);
}
END_TEST

START_TEST(pair_hides_how_many_digits_there_are)
{
    char one[80];

    squeeze_with("ben");
    press(&h, "1");
    text_copy(one, sizeof one, h.page.lines[0].value);
    ck_assert_str_ne(one, "");
    press(&h, "6");
    ck_assert_str_eq(h.page.lines[0].value, one);
    press(&h, "4");
    ck_assert_str_ne(h.page.lines[0].value, "");
    press(&h, "12678");
    press(&h, " 9");
    ck_assert_str_eq(h.page.lines[0].value, one);
    press(&h, "\b13");
    ck_assert_str_eq(h.page.lines[0].value, one);
}
END_TEST

/* What is typed and refused, by the last digit or by Enter, is named by no refusal. */
static const char *const REFUSED[] = { "163\n", "999\n", "164127", "164" "170", "16412677", "164126130", "1x4\n", "\n" };

START_TEST(pair_refusal_names_no_figure)
{
    static const char *const FIGURES[] = { "163", "999", "164", "127", "130", "170", "126", "77", "1x4", NULL };

    squeeze_with("ben");
    press(&h, REFUSED[_i]);
    ck_assert_str_ne(h.page.refusal, "");
    for (int i = 0; FIGURES[i] != NULL; i++)
        ck_assert_msg(!page_holds(&h.page, FIGURES[i]), "%s: %s", FIGURES[i], h.page.refusal);
}
END_TEST

START_TEST(pair_turns_the_echo_off_while_it_is_typed)
{
    squeeze_with("ben");
    ck_assert(h.page.is_blind);
    press(&h, "16412678");
    ck_assert(h.page.is_blind); /* a hand that types on */
    press(&h, " ");
    ck_assert(h.page.is_blind);
    press(&h, "\033v");
    ck_page(&h, "reason");
    ck_assert(!h.page.is_blind); /* words are to be seen */
    press(&h, "\03313284y");
    ck_assert(!h.page.is_blind);
}
END_TEST

START_TEST(alone_nothing_is_hidden)
{
    prepare_at(true, "\n", "130");
    squeeze();
    ck_assert(!h.page.is_blind);
    press(&h, "16412");
    ck_assert(page_says(&h.page, "164"));
    press(&h, "678");
    ck_page(&h, "read-back");
    ck_assert(page_says(&h.page, "126"));
}
END_TEST

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
    press(&h, "222178" "88 ");
    press(&h, "194");
    ck_page(&h, "pair-entry"); /* no page before both are in */
    press(&h, "88");
    ck_page(&h, "pair-read-back");
    ck_assert(!page_says(&h.page, "very high"));
    press(&h, "y");
    ck_assert(page_says(&h.page, "What ben heard is very high: ask quietly"));
}
END_TEST

/* ---- given up, disturbed, stopped ---- */

static const char *const GIVEN_UP[] = { "\033vno time\n", "164\033vno time\n", "164126\033vno time\n", "16412678vno time\n",
                                        "16412678 \033vno time\n", "16412678 132\033vno time\n" };

START_TEST(pair_can_be_given_up_until_both_are_in)
{
    squeeze_with("ben");
    keep_secret(TYPED);
    press(&h, GIVEN_UP[_i]);
    ck_assert_msg(current()->voids == VOID_GIVEN_UP, "'%s' on %s: %s", GIVEN_UP[_i], h.page.id, h.page.refusal);
    ck_page(&h, "listening-wait");
    press(&h, "c");
    press(&h, "\033");
    pass(&h, 60);
}
END_TEST

START_TEST(pair_that_is_stopped_shows_nobodys_figures)
{
    static const char *const STOPPED[] = { "16412678s", "16412678 \033s", "16412678 13284s" };

    squeeze_with("ben");
    keep_secret(TYPED);
    press(&h, STOPPED[_i]);
    press(&h, "called away\ny");
    ck_page(&h, "stopped");
}
END_TEST

START_TEST(pair_goes_on_after_somebody_spoke)
{
    squeeze_with("ben");
    press(&h, "16412678di");
    ck_page(&h, "hand-over");
    ck_assert_int_gt(h.sitting.given[EV_INTERRUPT], 0);
    press(&h, " 13284di");
    ck_page(&h, "pair-read-back");
    press(&h, "y");
    ck_assert_int_eq(current()->is_entered, 1);
}
END_TEST

START_TEST(reading_that_is_broken_off_asks_no_listener)
{
    prepare_at(true, "\n", "130");
    press(&h, "lben\n i");
    ck_assert_int_ne(current()->voids, 0);
    press(&h, " ");
    ck_assert_int_eq(h.sitting.inflation, INFLATION_NONE);
    ck_page(&h, "listening-wait");
}
END_TEST

/* ---- begun anew in between ---- */

static const struct { const char *keys, *page; } POINTS[] = {
    { "", "entry" },          { "164", "entry" },         { "164126", "entry" },           { "16412678", "hand-over" },
    { "16412678 ", "hand-over" }, { "16412678 132", "pair-entry" }, { "16412678 13284", "pair-read-back" },
};

START_TEST(pair_begun_anew_lands_at_the_same_page)
{
    static const char *const REST[] = { "16412678 13284y", "12678 13284y", "78 13284y", " 13284y", " 13284y", "84y", "y" };

    squeeze_with("ben");
    keep_secret(TYPED);
    press(&h, POINTS[_i].keys);
    begin_anew();
    ck_page(&h, POINTS[_i].page);
    keep_secret(NULL);
    press(&h, REST[_i]);
    ck_assert_int_eq(current()->is_entered, 1);
    ck_assert_int_eq(current()->value_mmhg[POINT_LAST], 78);
    ck_assert_int_eq(current()->pair_mmhg[POINT_LAST], 84);
}
END_TEST

START_TEST(pair_that_nobody_looked_at_is_shown_after_a_restart)
{
    squeeze_with("ben");
    give_both();
    press(&h, "y");
    begin_anew();
    ck_page(&h, "pair-shown");
    ck_assert(page_says(&h.page, "ana 126/78, ben 132/84"));
    press(&h, " ");
    ck_page(&h, "listening-wait");
}
END_TEST

START_TEST(pair_is_shown_with_a_correction_of_the_measurers)
{
    squeeze_with("ben");
    give_both();
    press(&h, "yc1130\nmisread\n");
    ck_page(&h, "pair-shown");
    ck_assert(page_says(&h.page, "ana 130/78, ben 132/84: apart by 2 and 6"));
}
END_TEST

/* ---- any keys ---- */

START_TEST(pair_shows_no_digit_whatever_is_pressed)
{
    static const char KEYS[] = "123467890\n\033\b ulxvohid?amkfyq";
    static const char *const FEW[] = { "164", "126", "78", "132", "84", NULL };

    hand_seed = 41u + (uint32_t)_i;
    squeeze_with("ben");
    press(&h, "16412678");
    if (_i % 2)
        press(&h, " 13284");
    keep_secret(FEW);
    for (int n = 0; n < 400 && h.sitting.reading_count == 1 && !current()->is_done; n++) {
        char one[2] = { KEYS[random_below((uint32_t)strlen(KEYS))], '\0' };

        /* What is typed into a reason, or as a name, is the typist's own words. */
        if ((h.page.id[0] == 'r' || h.page.id[0] == 'l') && one[0] >= '0' && one[0] <= '9')
            continue;
        if (one[0] == 'y' && is_same_text(h.page.id, "pair-read-back"))
            continue;
        press(&h, one);
    }
}
END_TEST

#define LOOP(tc, test, array) tcase_add_loop_test(tc, test, 0, (int)ARRAY_LEN(array))

int main(void)
{
    const TTest *const TESTS[] = {
        pair_shows_no_digit_before_both_are_final, pair_hides_how_many_digits_there_are, pair_turns_the_echo_off_while_it_is_typed,
        alone_nothing_is_hidden, pair_is_typed_first_by_the_measurer_then_by_the_listener,
        pair_heard_down_to_zero_asks_each_for_the_muffling, listener_is_named_before_the_squeeze_by_typing,
        listener_is_picked_from_the_people, listener_is_named_while_listening, listener_is_named_by_who_keeps_the_marks,
        air_goes_out_while_the_listener_is_being_named, listener_is_named_on_the_entry_page_before_the_first_value,
        listener_cannot_join_once_a_value_was_to_be_seen, listener_is_not_the_measurer_and_has_the_form_of_an_id,
        listener_named_before_can_be_left_out_again, listener_of_the_last_reading_is_offered_for_the_next, pair_within_four_is_said,
        pair_beyond_four_is_said_and_nothing_is_corrected, pair_six_apart_is_within_six, pair_diastolic_beyond_six_is_said,
        pair_of_a_reading_that_does_not_count_is_compared_all_the_same, pair_is_covered_with_the_other_figures,
        pair_stands_with_the_result, very_high_value_asks_at_once_and_shows_no_figure,
        very_high_value_with_symptoms_leads_to_the_procedure_at_once, very_high_value_of_the_listener_alone_asks_once_both_are_in,
        pair_that_nobody_looked_at_is_shown_after_a_restart, pair_is_shown_with_a_correction_of_the_measurers,
        pair_goes_on_after_somebody_spoke, reading_that_is_broken_off_asks_no_listener,
    };
    Suite *suite = suite_create("guide: two listeners");
    TCase *tc = tcase_create("pair");
    SRunner *runner;
    int failed;

    tcase_add_checked_fixture(tc, begin_unwatched, NULL);
    for (size_t i = 0; i < ARRAY_LEN(TESTS); i++)
        tcase_add_test(tc, TESTS[i]);
    LOOP(tc, pair_refusal_names_no_figure, REFUSED);
    LOOP(tc, pair_can_be_given_up_until_both_are_in, GIVEN_UP);
    tcase_add_loop_test(tc, pair_that_is_stopped_shows_nobodys_figures, 0, 3);
    LOOP(tc, pair_begun_anew_lands_at_the_same_page, POINTS);
    tcase_add_loop_test(tc, pair_shows_no_digit_whatever_is_pressed, 0, 40);
    suite_add_tcase(suite, tc);
    runner = srunner_create(suite);
    srunner_run_all(runner, CK_NORMAL);
    failed = srunner_ntests_failed(runner);
    srunner_free(runner);
    return failed == 0 ? EXIT_SUCCESS : EXIT_FAILURE;
}
