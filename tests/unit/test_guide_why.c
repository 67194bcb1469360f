/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Who says so: the page of reasons, what slipped in plain names, and departures before a protocol is chosen. */
#include <stdlib.h>

#include "guide_hand.h"
#include "stillarm/ground.h"

static struct hand h;

static void begin(void)
{
    hand_begin(&h, "us-adult");
}

static int line_of(const struct page *pg, const char *words)
{
    for (int i = 0; i < pg->line_count; i++)
        if (strstr(pg->lines[i].text, words) != NULL)
            return i;
    return -1;
}

static void rest_too_short(void)
{
    open_return(&h);
    ready(&h);
    take_arm(&h, "\n");
    press(&h, "yy ");
    ck_page(&h, "rest");
    pass(&h, 20);
    press(&h, "e");
    if (h.last_refusal != RULE_REST_SHORT)
        press(&h, " ");
    ck_assert_int_eq(h.last_refusal, RULE_REST_SHORT);
}

START_TEST(why_begins_with_the_ground_of_the_refusal_that_stood)
{
    const struct ground *ground = ground_find("rest.short");

    rest_too_short();
    press(&h, "?");
    ck_page(&h, "why");
    ck_assert(strstr(h.page.lines[0].text, ground->says) != NULL);
    ck_assert_str_eq(h.page.lines[1].text, ground->because);
    ck_assert_msg(strstr(h.page.lines[2].text, "300 s (REST-1, published)") != NULL, "%s", h.page.lines[2].text);
    ck_assert_int_gt(line_of(&h.page, "stillarm why rest.short"), 0);
    ck_assert_int_gt(line_of(&h.page, "needs minutes to come down"), 3);
}
END_TEST

START_TEST(why_after_another_key_tells_the_step_alone)
{
    rest_too_short();
    press(&h, "h?");
    ck_page(&h, "why");
    ck_assert_int_eq(line_of(&h.page, "stillarm why"), -1);
    ck_assert_int_eq(line_of(&h.page, "needs minutes to come down"), 0);
}
END_TEST

START_TEST(why_keeps_the_ground_while_it_is_read)
{
    rest_too_short();
    press(&h, "?");
    hand_code(&h, KEY_DOWN_ARROW);
    hand_code(&h, KEY_DOWN_ARROW);
    ck_assert(h.page.lines[2].is_current);
    ck_assert_int_gt(line_of(&h.page, "stillarm why rest.short"), 0);
    press(&h, "\033?");
    ck_assert_int_eq(line_of(&h.page, "stillarm why"), -1);
}
END_TEST

START_TEST(why_names_the_source_of_a_ground_that_has_no_number)
{
    const struct ground *ground = ground_find("waive.barred");

    /* Down to the first thing that nobody may pass over. */
    for (int down = 1; down < PROTOCOL_ITEMS_MAX && h.last_refusal != RULE_WAIVE_BARRED; down++) {
        begin();
        open_return(&h);
        ck_page(&h, "readiness-items");
        for (int i = 0; i < down; i++)
            hand_code(&h, KEY_DOWN_ARROW);
        press(&h, "w");
    }
    ck_assert_int_eq(h.last_refusal, RULE_WAIVE_BARRED);
    press(&h, "?");
    ck_page(&h, "why");
    ck_assert(strstr(h.page.lines[0].text, ground->says) != NULL);
    ck_assert_int_eq(line_of(&h.page, "who says so: judgement"), 2);
}
END_TEST

START_TEST(debrief_names_what_was_tried_in_words_with_the_id_behind)
{
    struct page pg;
    char wanted[240];

    rest_too_short();
    page_init(&pg, PAGE_OPEN, "finished");
    guide_debrief(&h.sitting, h.protocol, &h.guide.attempts, &pg);
    snprintf(wanted, sizeof wanted, "tried before its time, 1 x: %s (rest.short)", ground_find("rest.short")->says);
    ck_assert_int_ge(line_of(&pg, wanted), 0);
}
END_TEST

START_TEST(reason_for_passing_a_rule_over_names_it_in_words_with_the_id_beside)
{
    open_return(&h);
    ready(&h);
    ck_page(&h, "arm-choice");
    press(&h, "\nyy");
    ck_page(&h, "arm-measure");
    press(&h, "45\n");
    ck_page(&h, "cuff-choice");
    press(&h, "1");
    ck_assert_int_eq(h.last_refusal, RULE_CUFF_TOO_SMALL);
    press(&h, "w");
    ck_page(&h, "reason");
    ck_assert_int_eq(line_of(&h.page, ground_find("cuff.too-small")->says), 0);
    ck_assert_str_eq(h.page.lines[0].value, "cuff.too-small");
}
END_TEST

START_TEST(debrief_names_a_rule_passed_over_in_words_with_its_cost)
{
    struct page pg;
    char wanted[240];

    h.sitting.waived_rules[RULE_CUFF_TOO_SMALL] = 1;
    page_init(&pg, PAGE_OPEN, "finished");
    guide_debrief(&h.sitting, h.known, NULL, &pg);
    snprintf(wanted, sizeof wanted, "passed over: %s (cuff.too-small)", ground_find("cuff.too-small")->says);
    ck_assert_int_ge(line_of(&pg, wanted), 0);
    ck_assert_int_eq(line_of(&pg, "A cuff too small reads 2 to 11 mmHg high"), line_of(&pg, wanted) + 1);
    ck_assert_int_eq(line_of(&pg, "nothing slipped"), -1);
}
END_TEST

/* ---- the opening ---- */

static void to_protocol_field(void)
{
    press(&h, "\n");
    for (int i = 0; i < 12 && line_of(&h.page, "protocol") >= 0 && !h.page.lines[line_of(&h.page, "protocol")].is_current; i++)
        hand_code(&h, KEY_DOWN_ARROW);
    ck_assert(h.page.lines[line_of(&h.page, "protocol")].is_current);
}

START_TEST(opening_says_how_often_and_where_first_a_protocol_goes_its_own_way)
{
    h.booth.protocols[0].deviation_count = 3;
    text_copy(h.booth.protocols[0].deviation, sizeof h.booth.protocols[0].deviation, "rest_s is 240 s; REST-1 says 300 s");
    hand_look(&h);
    ck_assert_int_ge(line_of(&h.page, "us-adult departs from its sources in 3 places: rest_s is 240 s; REST-1 says 300 s ..."), 0);
}
END_TEST

START_TEST(opening_of_a_protocol_without_departures_says_nothing_of_them)
{
    ck_assert_int_eq(line_of(&h.page, "departs"), -1);
}
END_TEST

START_TEST(opening_shows_each_of_more_protocols_than_fit)
{
    const int count = (int)ARRAY_LEN(h.booth.protocols);
    char id[ITEM_CAP];

    for (int i = 1; i < count; i++) {
        snprintf(id, sizeof id, "site-%d", i);
        text_copy(h.booth.protocols[i].id, sizeof h.booth.protocols[i].id, id);
        text_copy(h.booth.protocols[i].title, sizeof h.booth.protocols[i].title, "Invented");
    }
    h.booth.protocol_count = count;
    hand_look(&h);
    to_protocol_field();
    for (int i = 1; i <= count; i++) {
        char picked[64];

        press(&h, " ");
        snprintf(id, sizeof id, "site-%d", i);
        snprintf(picked, sizeof picked, "* %s", i < count ? id : "us-adult");
        ck_assert_msg(line_of(&h.page, picked) >= 0, "%s is not shown", picked);
        snprintf(picked, sizeof picked, "%d of %d", i < count ? i + 1 : 1, count);
        ck_assert_int_ge(line_of(&h.page, picked), 0);
    }
}
END_TEST

int main(void)
{
    Suite *suite = suite_create("guide why");
    TCase *tc = tcase_create("why");
    SRunner *runner;
    int failed;

    tcase_add_checked_fixture(tc, begin, NULL);
    tcase_add_test(tc, why_begins_with_the_ground_of_the_refusal_that_stood);
    tcase_add_test(tc, why_after_another_key_tells_the_step_alone);
    tcase_add_test(tc, why_keeps_the_ground_while_it_is_read);
    tcase_add_test(tc, why_names_the_source_of_a_ground_that_has_no_number);
    tcase_add_test(tc, debrief_names_what_was_tried_in_words_with_the_id_behind);
    tcase_add_test(tc, debrief_names_a_rule_passed_over_in_words_with_its_cost);
    tcase_add_test(tc, reason_for_passing_a_rule_over_names_it_in_words_with_the_id_beside);
    tcase_add_test(tc, opening_says_how_often_and_where_first_a_protocol_goes_its_own_way);
    tcase_add_test(tc, opening_of_a_protocol_without_departures_says_nothing_of_them);
    tcase_add_test(tc, opening_shows_each_of_more_protocols_than_fit);
    suite_add_tcase(suite, tc);
    runner = srunner_create(suite);
    srunner_run_all(runner, CK_NORMAL);
    failed = srunner_ntests_failed(runner);
    srunner_free(runner);
    return failed == 0 ? EXIT_SUCCESS : EXIT_FAILURE;
}
