/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What a witness's finger noted by mistake is seen in a list, and taken back with a reason, by keys alone. */
#include "guide_acts.h"

static void begin_witnessed(void)
{
    begin();
    own.value[KEY_LAPSES_MAX] = 6;
    own.value[KEY_UNSEEN_MAX] = 60;
    text_copy(h.booth.default_purpose, sizeof h.booth.default_purpose, "assessment");
    h.is_seen_before = true;
    guide_begin(&h.guide, &h.booth);
    hand_watch = NULL;
    press(&h, "k7-031\n\nina\n");
    ck_page(&h, "witness");
}

static const struct lapse *lapse(int number)
{
    ck_assert_int_ge(h.sitting.lapse_count, number);
    return &h.sitting.lapses[number - 1];
}

/* The cursor's row holds these words. */
static void ck_current(const char *words, const char *value)
{
    for (int i = 0; i < h.page.line_count; i++) {
        if (!h.page.lines[i].is_current)
            continue;
        ck_assert_msg(strstr(h.page.lines[i].text, words) != NULL, "'%s' is no part of '%s'", words, h.page.lines[i].text);
        ck_assert_str_eq(h.page.lines[i].value, value);
        return;
    }
    ck_abort_msg("no row is the current one, expected %s", words);
}

START_TEST(list_begins_at_the_latest_and_the_arrows_go_through_it)
{
    press(&h, "t");
    press(&h, "ncoffee\n-");
    ck_page(&h, "witness-noted");
    ck_current("coffee", "noted");
    hand_code(&h, KEY_DOWN_ARROW);
    ck_current("coffee", "noted");
    hand_code(&h, KEY_UP_ARROW);
    ck_current("told, readings so far", "noted");
    hand_code(&h, KEY_ESCAPE);
    ck_page(&h, "witness");
}
END_TEST

START_TEST(stray_told_is_taken_back_with_a_reason_and_asked_again)
{
    press(&h, "t-x");
    ck_page(&h, "reason");
    ck_assert(page_says(&h.page, "told, readings so far"));
    press(&h, "\n");
    ck_page(&h, "reason"); /* no reason, no taking back */
    ck_assert_int_eq(lapse(1)->is_struck, 0);
    press(&h, "wrong key\n");
    ck_page(&h, "witness");
    ck_assert_int_eq(lapse(1)->is_struck, 1);
    ck_assert_str_eq(lapse(1)->why, "wrong key");
    ck_assert_int_eq(h.sitting.given[EV_TOLD], 0);
    press(&h, "-");
    ck_current("told", "taken back");
    ck_assert(page_says(&h.page, "because: wrong key"));
}
END_TEST

START_TEST(what_is_taken_back_is_not_taken_back_again)
{
    press(&h, "t-xwrong key\n-x");
    ck_page(&h, "witness-noted");
    ck_assert_msg(strstr(h.page.refusal, "taken back already") != NULL, "%s", h.page.refusal);
    ck_assert_int_eq(h.refused, 0);
}
END_TEST

START_TEST(item_taken_back_is_under_the_cursor_for_its_answer)
{
    int item = protocol_find_item(h.protocol, "ready.caffeine");

    press(&h, "ncoffee\nyyy-xnot hers\n");
    ck_assert_int_eq(h.sitting.items[item], ITEM_OPEN);
    press(&h, "y");
    ck_assert_int_eq(h.sitting.items[item], ITEM_CONFIRMED);
    ck_assert_int_eq(lapse(1)->is_struck, 1);
}
END_TEST

START_TEST(esc_from_the_reason_takes_nothing_back)
{
    press(&h, "t-xwro");
    hand_code(&h, KEY_ESCAPE);
    ck_page(&h, "witness");
    ck_assert_int_eq(h.sitting.struck_count, 0);
}
END_TEST

START_TEST(empty_list_says_so)
{
    press(&h, "-");
    ck_assert(page_says(&h.page, "Nothing so far"));
    press(&h, "x\n");
    ck_page(&h, "witness-noted");
    ck_assert_int_eq(h.refused, 0);
}
END_TEST

static void answer_all(void)
{
    press(&h, "al");
    for (int i = 0; i < h.protocol->item_count; i++)
        press(&h, "u");
}

START_TEST(finish_shows_what_was_noted_and_enter_goes_on)
{
    press(&h, "t");
    press(&h, "f");
    ck_page(&h, "witness"); /* something is not answered: that comes first */
    answer_all();
    press(&h, "f");
    ck_page(&h, "witness-noted");
    ck_assert_int_eq(h.sitting.phase, PHASE_OPEN);
    hand_code(&h, KEY_ESCAPE);
    ck_page(&h, "witness");
    press(&h, "f\n");
    ck_assert_int_eq(h.sitting.phase, PHASE_SEALED);
}
END_TEST

START_TEST(finish_without_anything_noted_shows_no_list)
{
    answer_all();
    press(&h, "f");
    ck_assert_int_eq(h.sitting.phase, PHASE_SEALED);
}
END_TEST

/* More than the page has rows: the cursor's row is among those shown. */
START_TEST(long_list_follows_the_cursor)
{
    for (int i = 0; i < 14; i++)
        press(&h, "alk\np e-");
    for (int i = 0; i < h.sitting.lapse_count + 2; i++) {
        int current = 0;

        for (int n = 0; n < h.page.line_count; n++)
            current += h.page.lines[n].is_current;
        ck_assert_int_eq(current, 1);
        ck_assert_int_le(h.page.line_count, 13);
        hand_code(&h, KEY_UP_ARROW);
    }
    ck_current("0:", "noted");
}
END_TEST

int main(void)
{
    const TTest *const TESTS[] = {
        list_begins_at_the_latest_and_the_arrows_go_through_it, stray_told_is_taken_back_with_a_reason_and_asked_again,
        what_is_taken_back_is_not_taken_back_again, item_taken_back_is_under_the_cursor_for_its_answer,
        esc_from_the_reason_takes_nothing_back, empty_list_says_so, finish_shows_what_was_noted_and_enter_goes_on,
        finish_without_anything_noted_shows_no_list, long_list_follows_the_cursor,
    };

    return run_acts_from(begin_witnessed, "guide: what a witness noted", TESTS, (int)ARRAY_LEN(TESTS), NULL, 0);
}
