/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Levels of help: `steps` leaves the names of steps, fields, figures and refusals, `none` the clock, fields and refusals. */
#include "guide_acts.h"

enum { TABS_STEPS = 1, TABS_NONE = 2 };

static int pages_seen;

static bool is_always_whole(const char *id)
{
    static const char *const IDS[] = { "opening", "very-high", "low", "no-arm", "faint", "stop-sure", "why", "worth", "finished", "stopped" };

    for (size_t i = 0; i < ARRAY_LEN(IDS); i++)
        if (is_same_text(id, IDS[i]))
            return true;
    return false;
}

static void check_page(const struct hand *at)
{
    const struct page *pg = &at->page;

    if (at->sitting.help == HELP_FULL || is_always_whole(pg->id))
        return;
    pages_seen++;
    for (int i = 0; i < pg->line_count; i++) {
        enum line_role role = pg->lines[i].role;

        ck_assert_msg(role != LINE_INSTRUCTION && role != LINE_COST && role != LINE_NOTE, "%s still says '%s'", pg->id, pg->lines[i].text);
    }
    if (pg->form == PAGE_STEPS)
        ck_assert_msg((pg->rail_count > 0) == (at->sitting.help == HELP_STEPS), "%s: %d in the rail", pg->id, pg->rail_count);
}

static void open_with(int tabs)
{
    press(&h, "k7-031\n");
    for (int i = 0; i < tabs; i++)
        hand_code(&h, KEY_TAB);
    press(&h, "\n");
    ck_assert_int_eq(h.sitting.help, tabs == TABS_STEPS ? HELP_STEPS : HELP_NONE);
    ck_page(&h, "readiness-items");
}

static void begin_help(void)
{
    begin();
    h.is_seen_before = true;
    pages_seen = 0;
    hand_watch = check_page;
}

/* All pages of a sitting and those that lie over them. */
static void walk(void)
{
    press(&h, "nn\033r1soup\nyyyy");
    press(&h, "xt\033\033ln\033x\033yy");
    press(&h, "31\n\n1y");
    press(&h, "yy ");
    pass(&h, 60);
    press(&h, "\nyy");
    pass(&h, 200);
    press(&h, "72r");
    pass(&h, 41);
    ck_page(&h, "estimate-before");
    press(&h, "v\033d\033do\033dc\033dg\033dp\033?\033 ");
    pass(&h, 20);
    press(&h, " 130");
    ck_page(&h, "listening-wait");
    pass(&h, 31);
    ck_page(&h, "listening-before");
    press(&h, "2 ");
    pass(&h, 8);
    press(&h, " ");
    pass(&h, 10);
    press(&h, " ");
    pass(&h, 20);
    press(&h, "  ");
    ck_page(&h, "entry");
    press(&h, "160124\033l\033\n78");
    ck_page(&h, "read-back");
    press(&h, "y2c1\033\033");
    pass(&h, 70);
    press(&h, " ");
    pass(&h, 40);
    press(&h, " 1608878n\n");
    press(&h, "78n");
    press(&h, "y");
    pass(&h, 70);
    press(&h, "sunwell\n\033");
}

static void check_walk(void)
{
    walk();
    ck_assert_int_gt(pages_seen, 100);
    ck_assert_int_eq(h.sitting.phase, PHASE_OPEN);
}

START_TEST(help_steps_says_no_more_than_steps_fields_figures_and_refusals)
{
    open_with(TABS_STEPS);
    check_walk();
}
END_TEST

START_TEST(help_none_says_no_more_than_clock_fields_and_refusals)
{
    open_with(TABS_NONE);
    check_walk();
}
END_TEST

START_TEST(help_is_shown_in_full_unless_asked_otherwise)
{
    press(&h, "k7-031\n");
    ck_assert(page_offers(&h.page, "tab"));
    press(&h, "\n");
    ck_assert_int_eq(h.sitting.help, HELP_FULL);
    ck_assert_int_eq(h.sitting.given[EV_HELP], 0);
    ck_assert(page_says(&h.page, "Caffeine shortly before"));
}
END_TEST

START_TEST(help_key_goes_through_all_three_and_round)
{
    static const char *const LEVELS[] = { "full", "steps", "none", "full" };

    press(&h, "k7-031\n");
    for (int i = 0; i < 4; i++) {
        ck_assert_msg(page_says(&h.page, LEVELS[i]), "%d: not %s", i, LEVELS[i]);
        hand_code(&h, KEY_TAB);
    }
}
END_TEST

START_TEST(help_of_the_booth_stands_there_for_a_practice)
{
    text_copy(h.booth.default_help, sizeof h.booth.default_help, "steps");
    guide_begin(&h.guide, &h.booth);
    press(&h, "k7-031\n\n");
    ck_assert_int_eq(h.sitting.help, HELP_STEPS);
}
END_TEST

START_TEST(help_is_no_question_of_a_service)
{
    text_copy(h.booth.default_help, sizeof h.booth.default_help, "steps");
    text_copy(h.booth.default_purpose, sizeof h.booth.default_purpose, "service");
    guide_begin(&h.guide, &h.booth);
    press(&h, "k7-031\n");
    ck_assert(!page_offers(&h.page, "tab"));
    ck_assert(!page_says(&h.page, "help on the screen"));
    press(&h, "\n");
    ck_assert_int_eq(h.sitting.help, HELP_FULL);
}
END_TEST

START_TEST(help_none_keeps_refusals_and_the_clock)
{
    open_with(TABS_NONE);
    press(&h, "yyyylyy31\n\n");
    ck_page(&h, "cuff-choice");
    ck_assert(strncmp(h.page.refusal, "not yet: ", 9) == 0);
    press(&h, "1yyy ");
    pass(&h, 100);
    press(&h, " ");
    ck_assert_int_eq(h.last_refusal, RULE_REST_SHORT);
    ck_assert(strncmp(h.page.refusal, "not yet: ", 9) == 0);
    ck_assert_str_eq(h.page.big, "3:20");
    press(&h, "\nyy7");
    ck_assert_str_eq(h.page.lines[h.page.line_count - 1].value, "7");
}
END_TEST

START_TEST(help_steps_keeps_the_figure_to_pump_to)
{
    open_with(TABS_STEPS);
    press(&h, "yyyylyy31\n1yyy ");
    pass(&h, 60);
    press(&h, "\nyy72r");
    pass(&h, 241);
    press(&h, " ");
    pass(&h, 20);
    press(&h, " 130");
    pass(&h, 31);
    ck_page(&h, "listening-before");
    ck_assert_str_eq(h.page.big, "160");
}
END_TEST

START_TEST(help_none_leaves_a_very_high_value_its_words)
{
    open_with(TABS_NONE);
    press(&h, "yyyylyy31\n1yyy ");
    pass(&h, 60);
    press(&h, "\nyy72r");
    pass(&h, 241);
    press(&h, " ");
    pass(&h, 20);
    press(&h, " 180");
    pass(&h, 31);
    press(&h, " ");
    pass(&h, 50);
    press(&h, " 220192");
    ck_page(&h, "very-high");
    ck_assert_int_gt(h.page.line_count, 2);
}
END_TEST

int main(void)
{
    const TTest *const tests[] = {
        help_steps_says_no_more_than_steps_fields_figures_and_refusals,
        help_none_says_no_more_than_clock_fields_and_refusals,
        help_is_shown_in_full_unless_asked_otherwise,
        help_key_goes_through_all_three_and_round,
        help_of_the_booth_stands_there_for_a_practice,
        help_is_no_question_of_a_service,
        help_none_keeps_refusals_and_the_clock,
        help_steps_keeps_the_figure_to_pump_to,
        help_none_leaves_a_very_high_value_its_words,
    };

    return run_acts_from(begin_help, "guide help", tests, (int)ARRAY_LEN(tests), NULL, 0);
}
