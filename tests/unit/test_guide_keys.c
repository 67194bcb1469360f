/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Any key, on any page: nothing breaks, nothing is lost, and the words stay calm. */
#include <stdlib.h>

#include "guide_hand.h"

#define SNAPSHOTS_MAX 64

static struct hand h, probe;
static struct hand *snapshots;
static int snapshot_count;

static void begin(void)
{
    hand_begin(&h, "us-adult");
}

/* ---- what holds for every page ---- */

static void check_words(const struct hand *at, const char *text)
{
    static const char *const UNKIND[] = { "severe", "trainee", "lapse", "crisis", "competent", "mistake", "wrong" };
    char lower[512];
    size_t n = 0;

    ck_assert_msg(utf8_length(text) >= 0, "%s: a text that is no UTF-8", at->page.id);
    for (; text[n] != '\0' && n < sizeof lower - 1; n++)
        lower[n] = text[n] >= 'A' && text[n] <= 'Z' ? (char)(text[n] - 'A' + 'a') : text[n];
    lower[n] = '\0';
    /* What a command takes is an id, to be typed as it is. */
    if (strstr(lower, "stillarm why ") != NULL)
        *strstr(lower, "stillarm why ") = '\0';
    for (size_t i = 0; i < ARRAY_LEN(UNKIND); i++)
        ck_assert_msg(strstr(lower, UNKIND[i]) == NULL, "%s says '%s'", at->page.id, text);
}

static void check_page(const struct hand *at)
{
    const struct page *pg = &at->page;

    check_words(at, pg->title);
    check_words(at, pg->big_note);
    check_words(at, pg->left);
    for (int i = 0; i < pg->line_count; i++)
        check_words(at, pg->lines[i].text);
    for (int i = 0; i < pg->key_count; i++)
        check_words(at, pg->keys[i].label);
    for (const char *c = pg->big; *c != '\0'; c++)
        ck_assert_msg(strchr("0123456789:/-+ ", *c) != NULL, "%s: '%s' in large", pg->id, pg->big);
    ck_assert_msg(pg->key_count > 0, "%s names no key", pg->id);
    ck_assert_msg(pg->key_count < PAGE_KEYS_MAX, "%s names too many keys", pg->id);
    ck_assert_msg(pg->line_count < PAGE_LINES_MAX - 1, "%s is too long", pg->id);
    ck_assert(utf8_length(pg->refusal) >= 0);
}

static void keep(const struct hand *at)
{
    check_page(at);
    for (int i = 0; i < snapshot_count; i++)
        if (strcmp(snapshots[i].page.id, at->page.id) == 0)
            return;
    ck_assert_int_lt(snapshot_count, SNAPSHOTS_MAX);
    snapshots[snapshot_count++] = *at;
}

/* ---- every page once ---- */

static void walk_overlays(void)
{
    press(&h, "?\033do\033dzdoor\n"); /* why, menu, reopen, a noise */
    press(&h, "sno\n\033");
    press(&h, "c1\033");
    press(&h, "dp72r");
    press(&h, "dtnote\n");
}

static void walk_first_visit(void)
{
    hand_begin(&h, "us-adult");
    open_new(&h);
    press(&h, "nn\033");
    ready(&h);
    take_arm(&h, "l");
    rest_with_kit(&h);
    feel(&h, "130");
    pass(&h, 31);
    listen(&h, "160", "124", "78");
    walk_overlays();
    take_arm(&h, "\n");
    feel(&h, "130");
    pass(&h, 31);
    listen(&h, "160", "126", "78");
    pass(&h, 70);
    listen(&h, "160", "126", "78");
    walk_overlays();
    press(&h, "b\033");
    finish(&h);
}

static void walk_second_person(void)
{
    hand_begin(&h, "us-adult");
    h.booth.is_seen = true;
    open_return(&h);
    ready(&h);
    take_arm(&h, "\n");
    rest_with_kit(&h);
    press(&h, "v\033");
    press(&h, "2     g ");
    pass(&h, 40);
    press(&h, " ");
    pass(&h, 9);
    press(&h, " ");
    pass(&h, 9);
    press(&h, " ");
    pass(&h, 20);
    press(&h, "xxm  ");
    press(&h, "15012478120110y");
    pass(&h, 30);
    press(&h, "sunwell\ny");
}

/* The rest is over and stale, so that kit and pulse come on pages of their own; and a very high value. */
static void walk_kit_alone(void)
{
    hand_begin(&h, "us-adult");
    open_return(&h);
    ready(&h);
    take_arm(&h, "\n");
    press(&h, "yy ");
    pass(&h, 301);
    press(&h, " ");
    press(&h, "\nyy");
    press(&h, "i72i");
    feel(&h, "180");
    pass(&h, 40);
    press(&h, " ");
    pass(&h, 60);
    press(&h, " 220192n\n98y");
}

static struct protocol lying; /* one that lets the subject stand up after, and knows low values */

static void walk_acts(void)
{
    lying = *hand_protocol("us-adult");
    lying.value[KEY_STANDING_READINGS] = 1;
    lying.value[KEY_LOW_SYSTOLIC_MMHG] = 90;
    lying.is_waivable[RULE_STANDING_FEW] = true;
    hand_begin(&h, "us-adult");
    h.known = &lying;
    open_return(&h);
    press(&h, "r1soup at noon\n");
    ready(&h);
    press(&h, "xl1xr2");
    press(&h, "flfhealed\n");
    take_arm(&h, "\n");
    rest_with_kit(&h);
    feel(&h, "130");
    pass(&h, 35);
    press(&h, " ");
    pass(&h, 50);
    press(&h, " 1608878n\n");
    press(&h, "78n");
    ck_page(&h, "read-back");
    press(&h, "y");
    pass(&h, 70);
    feel(&h, "130");
    pass(&h, 35);
    for (int i = 0; i < 2; i++) {
        listen(&h, "160", "124", "78");
        pass(&h, 70);
    }
    press(&h, " f\033");
}

static void walk_all(void)
{
    if (snapshots == NULL)
        snapshots = calloc(SNAPSHOTS_MAX, sizeof *snapshots);
    ck_assert_ptr_nonnull(snapshots);
    hand_watch = keep;
    walk_first_visit();
    walk_second_person();
    walk_kit_alone();
    walk_acts();
    hand_watch = check_page;
}

START_TEST(guide_every_page_can_be_reached)
{
    static const char *const PAGES[] = {
        "opening", "readiness-items", "arm-choice", "arm-items", "arm-measure", "cuff-choice", "cuff-items", "posture-items",
        "rest-before", "rest", "kit", "pulse", "estimate-before", "palpating", "palpating-steps", "estimate-entry", "usual",
        "listening-wait", "listening-before", "listening", "marks", "entry", "read-back", "very-high", "result", "finished",
        "stopped", "item-not-so", "reason", "stop-sure", "correct", "correct-value", "happened", "reopen", "why",
        "arm-barred", "no-arm", "recent", "low", "gap", "stand", "faint", "worth",
    };

    walk_all();
    for (size_t i = 0; i < ARRAY_LEN(PAGES); i++) {
        bool is_there = false;

        for (int j = 0; j < snapshot_count; j++)
            is_there = is_there || strcmp(snapshots[j].page.id, PAGES[i]) == 0;
        ck_assert_msg(is_there, "no walk comes to %s", PAGES[i]);
    }
    ck_assert_int_eq(snapshot_count, (int)ARRAY_LEN(PAGES));
}
END_TEST

/* ---- any key anywhere ---- */

static const struct key ODD_KEYS[] = {
    { KEY_ENTER, 0 }, { KEY_ESCAPE, 0 }, { KEY_BACKSPACE, 0 }, { KEY_UP_ARROW, 0 }, { KEY_DOWN_ARROW, 0 }, { KEY_LEFT_ARROW, 0 }, { KEY_RIGHT_ARROW, 0 }, { KEY_TAB, 0 },
    { KEY_RESIZED, 0 }, { KEY_NONE, 0 }, { KEY_HANGUP, 0 }, { KEY_CHARACTER, 0 }, { KEY_CHARACTER, 7 },
    { KEY_CHARACTER, KEY_ERASE_ALL }, { KEY_CHARACTER, 0x9B },
    { KEY_CHARACTER, 0xE4 }, { KEY_CHARACTER, 0x202E }, { KEY_CHARACTER, 0xD800 }, { KEY_CHARACTER, 0x1F600 },
    { KEY_CHARACTER, 0x110000 }, { KEY_CHARACTER, 0xFFFFFFFF },
};

static struct key nth_key(uint32_t n)
{
    if (n < 95)
        return (struct key){ KEY_CHARACTER, 32 + n };
    return ODD_KEYS[(n - 95) % ARRAY_LEN(ODD_KEYS)];
}

#define KEYS_ALL (95 + (uint32_t)ARRAY_LEN(ODD_KEYS))

START_TEST(guide_takes_every_key_on_every_page)
{
    walk_all();
    for (int i = 0; i < snapshot_count; i++)
        for (uint32_t n = 0; n < KEYS_ALL; n++) {
            probe = snapshots[i];
            hand_key(&probe, nth_key(n));
            hand_key(&probe, (struct key){ KEY_ENTER, 0 });
            hand_key(&probe, nth_key(n));
        }
}
END_TEST

START_TEST(guide_survives_any_sequence_of_keys)
{
    walk_all();
    hand_seed = (uint32_t)_i * 7919u + 1;
    for (int i = 0; i < snapshot_count; i++) {
        probe = snapshots[i];
        for (int n = 0; n < 100; n++) {
            hand_key(&probe, nth_key(random_below(KEYS_ALL)));
            if (random_below(4) == 0)
                pass(&probe, random_below(40));
        }
    }
}
END_TEST

/* Like a hurried hand: only keys that the page names, so that it comes far. What was sealed must have been earned. */
START_TEST(guide_named_keys_lead_on)
{
    int sealed = 0;

    hand_seed = (uint32_t)_i * 104729u + 3;
    hand_watch = check_page;
    hand_begin(&h, "us-adult");
    for (int n = 0; n < 1500 && h.sitting.phase != PHASE_SEALED && h.sitting.phase != PHASE_STOPPED; n++) {
        const char *name = h.page.keys[random_below((uint32_t)h.page.key_count)].name;

        if (strcmp(name, "enter") == 0)
            press(&h, "\n");
        else if (strcmp(name, "space") == 0)
            press(&h, " ");
        else if (strcmp(name, "esc") == 0)
            press(&h, "\033");
        else if (strlen(name) == 1 && name[0] != 's')
            press(&h, name);
        else
            hand_char(&h, '0' + random_below(10));
        pass(&h, random_below(60));
    }
    sealed += h.sitting.phase == PHASE_SEALED;
    if (sealed > 0)
        ck_assert_int_eq(sitting_readings_lack(&h.sitting, h.protocol), RULE_NONE);
}
END_TEST

/* ---- bad input ---- */

static void at_entry(void)
{
    hand_watch = check_page;
    prepare(&h, true, "\n");
    press(&h, " ");
    pass(&h, 45);
    press(&h, " ");
    ck_page(&h, "entry");
}

static const char *const BAD_NUMBERS[] = { "", "abc", "12a", "-4", "1.5", "12,5", "+8", "1 2", "0x1f", "007", "77", "301",
                                           "-1000000000000000000000000000000", "0999999999999" };

START_TEST(entry_answers_a_bad_number_with_a_sentence)
{
    struct sitting before;

    at_entry();
    before = h.sitting;
    press(&h, BAD_NUMBERS[_i]);
    press(&h, "\n");
    ck_page(&h, "entry");
    ck_assert_msg(strncmp(h.page.refusal, "not yet: ", 9) == 0, "%s: '%s'", BAD_NUMBERS[_i], h.page.refusal);
    ck_assert(sitting_equal(&before, &h.sitting));
}
END_TEST

START_TEST(entry_takes_a_figure_with_blanks_round_it)
{
    at_entry();
    press(&h, " 160");
    ck_assert_int_eq(h.sitting.readings[0].value_mmhg[POINT_TARGET], 160);
    press(&h, "124 78");
    ck_assert_int_eq(h.sitting.readings[0].value_mmhg[POINT_LAST], 78);
    ck_page(&h, "read-back");
}
END_TEST

START_TEST(entry_takes_a_short_figure_with_a_blank_after_it)
{
    at_entry();
    press(&h, "24 \n");
    ck_assert_int_eq(h.sitting.readings[0].value_mmhg[POINT_TARGET], 24);
}
END_TEST

/* A number is in with the last digit that a pressure can have; what follows is the next field's and is refused there. */
START_TEST(entry_refuses_the_rest_of_a_number_without_end)
{
    at_entry();
    press(&h, "1000000000000000000000000000000\n");
    ck_page(&h, "entry");
    ck_assert(strncmp(h.page.refusal, "not yet: ", 9) == 0);
    ck_assert_int_eq(h.sitting.readings[0].has_value[POINT_FIRST], 0);
    hand_code(&h, KEY_UP_ARROW);
    press(&h, "16012478y");
    ck_assert_int_eq(h.sitting.readings[0].value_mmhg[POINT_TARGET], 160);
}
END_TEST

START_TEST(entry_keeps_what_was_typed_after_a_refusal)
{
    at_entry();
    press(&h, "161");
    ck_assert_int_eq(h.last_refusal, RULE_VALUE_ODD);
    ck_assert(page_says(&h.page, "161"));
    press(&h, "\b0");
    ck_assert_int_eq(h.sitting.readings[0].value_mmhg[POINT_TARGET], 160);
}
END_TEST

START_TEST(entry_goes_back_to_a_value_and_gives_it_again)
{
    at_entry();
    press(&h, "160124");
    hand_code(&h, KEY_UP_ARROW);
    press(&h, "126");
    ck_assert_int_eq(h.sitting.readings[0].value_mmhg[POINT_FIRST], 126);
    press(&h, "78u");
    ck_page(&h, "entry");
    press(&h, "\n");
    ck_page(&h, "read-back");
}
END_TEST

START_TEST(entry_takes_enter_after_each_number_too)
{
    at_entry();
    press(&h, "160\n124\n78\n");
    ck_page(&h, "read-back");
    press(&h, "\n");
    ck_assert_int_eq(h.sitting.readings[0].is_entered, 1);
}
END_TEST

START_TEST(circumference_takes_centimetres_and_inches)
{
    static const struct { const char *typed; int32_t mm; } ROWS[] = { { "31", 310 }, { "31.5", 315 }, { "12.25in", 311 } };

    open_return(&h);
    ready(&h);
    press(&h, "\nyy");
    press(&h, ROWS[_i].typed);
    press(&h, "\n");
    ck_assert_int_eq(h.sitting.arm_mm, ROWS[_i].mm);
}
END_TEST

START_TEST(circumference_answers_bad_input_with_a_sentence)
{
    static const char *const BAD[] = { "", "x", "-31", "5", "1e9", "9999999999999999999999999999", "31 m" };

    open_return(&h);
    ready(&h);
    press(&h, "\nyy");
    press(&h, BAD[_i]);
    press(&h, "\n");
    ck_page(&h, "arm-measure");
    ck_assert(h.page.refusal[0] != '\0');
    ck_assert_int_eq(h.sitting.arm_mm, 0);
}
END_TEST

START_TEST(pulse_answers_bad_input_with_a_sentence)
{
    static const char *const BAD[] = { "7x", "9", "999", "99999999999999999999" };

    open_return(&h);
    ready(&h);
    take_arm(&h, "\n");
    press(&h, "yy \nyy");
    press(&h, BAD[_i]);
    press(&h, "r");
    ck_assert(h.page.refusal[0] != '\0');
    ck_assert_int_eq(h.sitting.pulse_bpm, 0);
    ck_assert_int_eq(h.sitting.rest, REST_RUNNING);
}
END_TEST

START_TEST(reason_takes_a_paste_of_kilobytes_up_to_its_end)
{
    prepare(&h, true, "\n");
    press(&h, "s");
    for (int i = 0; i < 8000; i++)
        hand_char(&h, 'a' + (uint32_t)(i % 26));
    ck_assert(h.page.refusal[0] != '\0');
    press(&h, "\n");
    ck_page(&h, "stop-sure");
    press(&h, "y");
    ck_assert_int_eq(h.sitting.phase, PHASE_STOPPED);
}
END_TEST

START_TEST(reason_leaves_out_what_cannot_be_in_a_text)
{
    static const uint32_t BAD[] = { 0, 7, 10, 27, 0x7F, 0x9B, 0x2028, 0x202E, 0xD800, 0x110000, 0xFFFD };

    prepare(&h, true, "\n");
    press(&h, "dtab");
    hand_char(&h, BAD[_i]);
    ck_page(&h, "reason");
    ck_assert(h.page.refusal[0] != '\0');
    press(&h, "c");
    ck_assert(page_says(&h.page, "abc"));
}
END_TEST

START_TEST(reason_of_blanks_is_none)
{
    prepare(&h, true, "\n");
    press(&h, "s   \n");
    ck_page(&h, "reason");
    ck_assert(h.page.refusal[0] != '\0');
}
END_TEST

START_TEST(reason_takes_letters_of_any_script)
{
    prepare(&h, true, "\n");
    press(&h, "dt");
    for (int i = 0; i < 80; i++)
        hand_char(&h, 0x1F600);
    hand_char(&h, 0xE4);
    press(&h, "\n");
    ck_assert_int_eq(h.sitting.given[EV_NOTE], 1);
}
END_TEST

START_TEST(opening_answers_a_name_instead_of_a_code)
{
    press(&h, "a person\n");
    ck_page(&h, "opening");
    ck_assert(h.page.refusal[0] != '\0');
    ck_assert_int_eq(h.sitting.phase, PHASE_EMPTY);
    press(&h, "\b\b\b\b\b\b\b\b");
    press(&h, "k7-031\n\n");
    ck_page(&h, "readiness-items");
}
END_TEST

START_TEST(control_u_empties_what_was_typed)
{
    press(&h, "a person");
    hand_char(&h, KEY_ERASE_ALL);
    ck_assert_str_eq(h.guide.fields[0], "");
    press(&h, "k7-031\n\n");
    ck_page(&h, "readiness-items");
    ck_assert_str_eq(h.sitting.subject, "k7-031");
}
END_TEST

START_TEST(opening_records_nothing_before_all_is_answered)
{
    press(&h, "k7-031\n");
    ck_assert_int_eq(h.accepted, 0);
    press(&h, "\n");
    ck_assert_int_eq(h.accepted, 7); /* no prior arm on a first visit */
}
END_TEST

START_TEST(opening_changes_an_answer_before_it_is_recorded)
{
    h.is_seen_before = true;
    press(&h, "k7-031\n");
    hand_code(&h, KEY_DOWN_ARROW); /* visit */
    hand_code(&h, KEY_DOWN_ARROW); /* prior arm */
    press(&h, " ");
    hand_code(&h, KEY_DOWN_ARROW); /* purpose */
    press(&h, " ");
    hand_code(&h, KEY_DOWN_ARROW); /* place */
    press(&h, "hall 1\n");
    ck_page(&h, "readiness-items");
    ck_assert_int_eq(h.sitting.prior_arm, ARM_RIGHT);
    ck_assert_int_eq(h.sitting.purpose, PURPOSE_SERVICE);
}
END_TEST

START_TEST(opening_asks_where_the_usual_protocol_is_gone)
{
    h.booth.default_protocol[0] = '\0';
    h.booth.is_protocol_gone = true;
    guide_begin(&h.guide, &h.booth);
    press(&h, "k7-031\n\n");
    ck_page(&h, "opening");
    ck_assert_int_eq(h.accepted, 0);
    ck_assert_msg(strstr(h.page.refusal, "which protocol?"), "%s", h.page.refusal);
    press(&h, " \n");
    ck_page(&h, "readiness-items");
}
END_TEST

START_TEST(opening_lets_one_leave)
{
    press(&h, "k7\033q");
    ck_assert_int_eq(h.left, 1);
}
END_TEST

START_TEST(guide_hangup_leaves_the_sitting_open)
{
    prepare(&h, true, "\n");
    hand_code(&h, KEY_HANGUP);
    ck_assert_int_eq(h.left, 1);
    ck_assert_int_eq(h.sitting.phase, PHASE_OPEN);
}
END_TEST

int main(void)
{
    Suite *suite = suite_create("guide: any key");
    TCase *tc = tcase_create("keys");
    SRunner *runner;
    int failed;

    tcase_add_checked_fixture(tc, begin, NULL);
    tcase_set_timeout(tc, 300);
    tcase_add_test(tc, guide_every_page_can_be_reached);
    tcase_add_test(tc, guide_takes_every_key_on_every_page);
    tcase_add_loop_test(tc, guide_survives_any_sequence_of_keys, 0, 2);
    tcase_add_loop_test(tc, guide_named_keys_lead_on, 0, 4);
    tcase_add_loop_test(tc, entry_answers_a_bad_number_with_a_sentence, 0, (int)ARRAY_LEN(BAD_NUMBERS));
    tcase_add_test(tc, entry_refuses_the_rest_of_a_number_without_end);
    tcase_add_test(tc, entry_keeps_what_was_typed_after_a_refusal);
    tcase_add_test(tc, entry_takes_a_figure_with_blanks_round_it);
    tcase_add_test(tc, entry_takes_a_short_figure_with_a_blank_after_it);
    tcase_add_test(tc, entry_goes_back_to_a_value_and_gives_it_again);
    tcase_add_test(tc, entry_takes_enter_after_each_number_too);
    tcase_add_loop_test(tc, circumference_takes_centimetres_and_inches, 0, 3);
    tcase_add_loop_test(tc, circumference_answers_bad_input_with_a_sentence, 0, 7);
    tcase_add_loop_test(tc, pulse_answers_bad_input_with_a_sentence, 0, 4);
    tcase_add_test(tc, reason_takes_a_paste_of_kilobytes_up_to_its_end);
    tcase_add_loop_test(tc, reason_leaves_out_what_cannot_be_in_a_text, 0, 11);
    tcase_add_test(tc, reason_of_blanks_is_none);
    tcase_add_test(tc, reason_takes_letters_of_any_script);
    tcase_add_test(tc, opening_answers_a_name_instead_of_a_code);
    tcase_add_test(tc, control_u_empties_what_was_typed);
    tcase_add_test(tc, opening_records_nothing_before_all_is_answered);
    tcase_add_test(tc, opening_changes_an_answer_before_it_is_recorded);
    tcase_add_test(tc, opening_asks_where_the_usual_protocol_is_gone);
    tcase_add_test(tc, opening_lets_one_leave);
    tcase_add_test(tc, guide_hangup_leaves_the_sitting_open);
    suite_add_tcase(suite, tc);
    runner = srunner_create(suite);
    srunner_run_all(runner, CK_NORMAL);
    failed = srunner_ntests_failed(runner);
    srunner_free(runner);
    return failed == 0 ? EXIT_SUCCESS : EXIT_FAILURE;
}
