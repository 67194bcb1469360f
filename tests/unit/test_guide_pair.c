/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Two listeners of one fall: what each types is on no page and in no refusal before both are final, whatever comes between. */
#include "pair_hand.h"

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
static const char *const REFUSED[] = { "163\n", "999\n", "164127", "164170", "16412677", "164126130", "1x4\n", "\n" };

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

static void begin_anew(void)
{
    guide_begin(&h.guide, &h.booth);
    hand_look(&h);
}

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
        pair_shows_no_digit_before_both_are_final, pair_hides_how_many_digits_there_are,
        pair_turns_the_echo_off_while_it_is_typed, alone_nothing_is_hidden,
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
