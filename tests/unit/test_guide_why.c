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

/* ---- what is not the source's ---- */

static struct protocol changed; /* what a sitting goes by instead of the shipped one */

START_TEST(why_credits_no_source_with_a_value_of_the_protocols_own)
{
    changed = *h.known;
    changed.value[KEY_REST_S] = 120;
    h.known = &changed;
    open_return(&h);
    ready(&h);
    take_arm(&h, "\n");
    press(&h, "yy ?");
    ck_page(&h, "why");
    ck_assert_int_ge(line_of(&h.page, "rest before the first reading: 120 s (this protocol's own; REST-1 says 300 s)"), 0);
    ck_assert_int_eq(line_of(&h.page, "REST-1, published"), -1);
}
END_TEST

START_TEST(why_says_of_our_own_choices_whose_they_are_and_why)
{
    open_return(&h);
    ready(&h);
    take_arm(&h, "\n");
    press(&h, "yy ?");
    ck_page(&h, "why");
    int at = line_of(&h.page, "gap in the sitting after which a new rest is asked for: 120 s (judgement: our own choice; no "
                              "published source is known)");
    ck_assert_int_ge(at, 0);
    ck_assert_ptr_nonnull(strstr(h.page.lines[at + 1].text, protocol_why_ours(KEY_RENEW_AFTER_GAP_S)));
}
END_TEST

START_TEST(why_after_a_failed_check_tells_the_key_that_objected)
{
    static const struct {
        enum protocol_key key;
        const char *source;
    } ROWS[] = { { KEY_COMPARISON_MAX_MMHG, "GAU-1, published" }, { KEY_ZERO_MAX_MMHG, "GAU-12, published" } };
    struct refusal why = { .rule = RULE_KIT_FAILED, .key = (int32_t)ROWS[_i].key + 1 };

    open_return(&h);
    guide_applied(&h.guide, &h.sitting, h.protocol, 0, &why);
    press(&h, "?");
    ck_page(&h, "why");
    ck_assert(strstr(h.page.lines[0].text, ground_find("kit.failed")->says) != NULL);
    ck_assert_msg(strstr(h.page.lines[2].text, PROTOCOL_KEYS[ROWS[_i].key].meaning) != NULL, "%s", h.page.lines[2].text);
    ck_assert_msg(strstr(h.page.lines[2].text, ROWS[_i].source) != NULL, "%s", h.page.lines[2].text);
    ck_assert_int_eq(line_of(&h.page, PROTOCOL_KEYS[KEY_LEAK_MAX_MMHG_PER_MIN].meaning), -1);
}
END_TEST

/* ---- very high and low ---- */

/* As after the values went in, by the sitting's own rules. */
static void give_values(int32_t systolic, int32_t diastolic)
{
    struct reading *r = &h.sitting.readings[0];

    open_return(&h);
    ready(&h);
    take_arm(&h, "\n");
    h.sitting.reading_count = 1;
    r->arm = ARM_LEFT;
    r->has_value[POINT_FIRST] = r->has_value[POINT_LAST] = 1;
    r->value_mmhg[POINT_FIRST] = systolic;
    r->value_mmhg[POINT_LAST] = diastolic;
    r->is_done = 1;
    h.sitting.alarm_reading = 1;
    hand_look(&h);
}

START_TEST(why_on_a_very_high_value_tells_its_thresholds_and_what_is_asked)
{
    give_values(188, 96);
    ck_page(&h, "very-high");
    press(&h, "?");
    ck_page(&h, "why");
    ck_assert_str_eq(h.page.title, "Why: very high");
    ck_assert_int_ge(line_of(&h.page, "Very high: systolic above 180, or diastolic above 120, mmHg."), 0);
    ck_assert_int_ge(line_of(&h.page, "180 mmHg (SEV-1, published)"), 0);
    ck_assert_int_ge(line_of(&h.page, "Symptoms are asked about first"), 0);
    ck_assert_int_ge(line_of(&h.page, "SEV-7, from memory"), 0);
    ck_assert_int_ge(line_of(&h.page, "Your site's own text"), 0);
    ck_assert_int_eq(line_of(&h.page, "Slow enough to hear"), -1);
}
END_TEST

START_TEST(why_on_a_very_high_value_says_at_where_the_protocol_begins_there)
{
    changed = *h.known;
    changed.value[KEY_SEVERE_WHEN] = SEVERE_AT;
    h.known = &changed;
    give_values(180, 96);
    press(&h, "?");
    ck_assert_int_ge(line_of(&h.page, "Very high: systolic 180 or more, or diastolic 120 or more, mmHg."), 0);
    ck_assert_int_ge(line_of(&h.page, "at (this protocol's own; SEV-1 says above)"), 0);
}
END_TEST

START_TEST(why_on_a_low_value_tells_its_thresholds)
{
    give_values(86, 56);
    press(&h, "?");
    ck_assert_str_eq(h.page.title, "Why: low");
    ck_assert_int_ge(line_of(&h.page, "Low: systolic below 90 mmHg."), 0);
    ck_assert_int_ge(line_of(&h.page, "60 mmHg (LOW-1, published)"), 0);
    ck_assert_int_eq(line_of(&h.page, "Very high:"), -1);
}
END_TEST

START_TEST(why_on_a_covered_value_does_not_tell_which_it_was)
{
    give_values(188, 96);
    press(&h, "h?");
    ck_assert_str_eq(h.page.title, "Why: a value to answer");
    ck_assert_int_ge(line_of(&h.page, "Very high:"), 0);
    ck_assert_int_ge(line_of(&h.page, "Low: systolic"), 0);
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

/* What is picked departs in three places: from its source, from its base, and in what it leaves out. */
static struct protocol departing(void)
{
    struct protocol p = *h.known;

    memcpy(p.base_value, p.value, sizeof p.value);
    text_copy(p.copied_from, sizeof p.copied_from, "a-base");
    p.has_base = 1;
    p.value[KEY_REST_S] = 240;
    p.base_value[KEY_REST_S] = 240;
    p.value[KEY_READINGS_MAX]--;
    text_copy(p.left_out[p.left_out_count++], ITEM_CAP, "posture.legs");
    return p;
}

START_TEST(opening_says_how_often_and_where_first_a_protocol_goes_its_own_way)
{
    static struct protocol own;

    own = departing();
    h.booth.protocols[0].whole = &own;
    hand_look(&h);
    ck_assert_int_ge(line_of(&h.page, "us-adult departs from its sources in 3 places (esc, then ? shows all): rest before the first "
                                      "reading (rest_s) is 240 s; REST-1 says 300 s ..."), 0);
}
END_TEST

/* All rows of a small screen: fields, list, and that the picked one departs. */
START_TEST(opening_with_the_list_holds_no_more_lines_than_a_small_screen)
{
    static struct protocol own;

    own = departing();
    for (int i = 0; i < 7; i++) {
        snprintf(h.booth.protocols[i].id, ITEM_CAP, "site-%d", i);
        h.booth.protocols[i].whole = &own;
    }
    h.booth.protocol_count = 7;
    text_copy(h.guide.fields[7], sizeof h.guide.fields[7], "site-3");
    text_copy(h.guide.fields[1], sizeof h.guide.fields[1], "return");
    h.guide.scratch[3] = 2; /* looked up, and not found */
    h.guide.field = 7;
    hand_look(&h);
    ck_assert_int_ge(line_of(&h.page, "4 of 7"), 0);
    ck_assert_int_ge(line_of(&h.page, "departs from its sources in 3 places: ? shows all"), 0);
    ck_assert_int_le(h.page.line_count, 24 - 7); /* top, title, their gaps, refusal and keys */
}
END_TEST

START_TEST(opening_shows_all_departures_by_a_key_and_goes_back_to_what_was_typed)
{
    static struct protocol own;

    own = departing();
    h.booth.protocols[0].whole = &own;
    press(&h, "k7-1\033?");
    ck_page(&h, "why");
    ck_assert_int_ge(line_of(&h.page, "It departs from its sources in 3 places:"), 0);
    ck_assert_int_ge(line_of(&h.page, "rest before the first reading (rest_s) is 240 s; REST-1 says 300 s"), 0);
    ck_assert_int_ge(line_of(&h.page, "(readings_max) is 4; a-base has 5"), 0);
    ck_assert_int_ge(line_of(&h.page, "leaves out posture.legs of a-base"), 0);
    press(&h, "\033");
    ck_page(&h, "opening");
    ck_assert_str_eq(h.guide.fields[0], "k7-1");
}
END_TEST

START_TEST(opening_of_a_protocol_without_departures_says_nothing_of_them)
{
    ck_assert_int_eq(line_of(&h.page, "departs"), -1);
}
END_TEST

START_TEST(opening_lists_what_each_protocol_asks_for)
{
    static struct protocol other;

    other = *h.known;
    other.value[KEY_READINGS_MIN] = 3;
    other.value[KEY_AVERAGE] = AVERAGE_LAST_TWO;
    text_copy(h.booth.protocols[0].title, sizeof h.booth.protocols[0].title, "Adult, one");
    text_copy(h.booth.protocols[1].title, sizeof h.booth.protocols[1].title, "Adult, other");
    text_copy(h.booth.protocols[1].id, sizeof h.booth.protocols[1].id, "other");
    h.booth.protocols[0].whole = h.known;
    h.booth.protocols[1].whole = &other;
    h.booth.protocol_count = 2;
    hand_look(&h);
    to_protocol_field();
    ck_assert_int_ge(line_of(&h.page, "* Adult, one: 2 readings, mean of all"), 0);
    ck_assert_int_ge(line_of(&h.page, "  Adult, other: 3 readings, mean of the last two"), 0);
    text_copy(h.booth.protocols[1].title, sizeof h.booth.protocols[1].title, "Adult, one"); /* a copy that kept its title */
    hand_look(&h);
    ck_assert_int_ge(line_of(&h.page, "* us-adult: 2 readings"), 0);
    ck_assert_int_ge(line_of(&h.page, "  other: 3 readings"), 0);
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
    text_copy(h.booth.protocols[0].title, sizeof h.booth.protocols[0].title, "Adult");
    h.booth.protocol_count = count;
    hand_look(&h);
    to_protocol_field();
    for (int i = 1; i <= count; i++) {
        char picked[64];

        press(&h, " ");
        snprintf(id, sizeof id, "site-%d", i);
        snprintf(picked, sizeof picked, "* %s", i < count ? id : "Adult");
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
    tcase_add_test(tc, why_credits_no_source_with_a_value_of_the_protocols_own);
    tcase_add_test(tc, why_says_of_our_own_choices_whose_they_are_and_why);
    tcase_add_loop_test(tc, why_after_a_failed_check_tells_the_key_that_objected, 0, 2);
    tcase_add_test(tc, why_on_a_very_high_value_tells_its_thresholds_and_what_is_asked);
    tcase_add_test(tc, why_on_a_very_high_value_says_at_where_the_protocol_begins_there);
    tcase_add_test(tc, why_on_a_low_value_tells_its_thresholds);
    tcase_add_test(tc, why_on_a_covered_value_does_not_tell_which_it_was);
    tcase_add_test(tc, opening_says_how_often_and_where_first_a_protocol_goes_its_own_way);
    tcase_add_test(tc, opening_shows_all_departures_by_a_key_and_goes_back_to_what_was_typed);
    tcase_add_test(tc, opening_with_the_list_holds_no_more_lines_than_a_small_screen);
    tcase_add_test(tc, opening_lists_what_each_protocol_asks_for);
    tcase_add_test(tc, opening_of_a_protocol_without_departures_says_nothing_of_them);
    tcase_add_test(tc, opening_shows_each_of_more_protocols_than_fit);
    suite_add_tcase(suite, tc);
    runner = srunner_create(suite);
    srunner_run_all(runner, CK_NORMAL);
    failed = srunner_ntests_failed(runner);
    srunner_free(runner);
    return failed == 0 ? EXIT_SUCCESS : EXIT_FAILURE;
}
