/* SPDX-License-Identifier: GPL-3.0-or-later */
/** @file test_command.c  The table of verbs, and the small parsers that verbs share. */
#include <check.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "command/command.h"
#include "command/demo_data.h"
#include "command/workplace.h"
#include "guide/first_run.h"
#include "guide/form.h"
#include "guide/home.h"

static const struct {
    const char *typed, *meant, *why;
} NEAR[] = {
    { "replya", "replay", "two letters swapped" },
    { "verfy", "verify", "one left out" },
    { "pople", "people", "one left out" },
    { "kits", "kit", "one too many" },
    { "ver", "verify", "a beginning" },
    { "frobnicate", NULL, "nothing like it" },
    { "", NULL, "nothing typed" },
    { "a-word-far-longer-than-any-verb-could-be", NULL, "longer than any verb" },
};

START_TEST(command_near_names_the_verb_meant)
{
    const char *near = command_near(NEAR[_i].typed);
    if (NEAR[_i].meant)
        ck_assert_msg(near && strcmp(near, NEAR[_i].meant) == 0, "%s: %s", NEAR[_i].typed, NEAR[_i].why);
    else
        ck_assert_msg(!near, "%s gives %s: %s", NEAR[_i].typed, near, NEAR[_i].why);
}
END_TEST

START_TEST(command_table_says_everything_of_each_verb)
{
    int rows = 0;
    for (const struct command_row *row = COMMANDS; row->name; row++, rows++) {
        ck_assert_msg(row->arguments && row->summary && row->help && row->examples && row->run, "%s", row->name);
        ck_assert_msg(strstr(row->examples, row->name), "no example of %s uses it", row->name);
        ck_assert_int_le(row->words_min, row->words_max);
        for (const struct command_row *other = COMMANDS; other < row; other++)
            ck_assert_str_ne(other->name, row->name);
    }
    ck_assert_int_eq(rows, 20);
}
END_TEST

static const struct {
    const char *typed;
    int64_t id; /* 0: refused */
} SITTINGS[] = {
    { "S-014", 14 }, { "s-1", 1 }, { "14", 14 }, { "007", 7 }, { "S-1000", 1000 }, { "0", 0 },   { "S-", 0 },
    { "-3", 0 },     { "S-x", 0 }, { "", 0 },    { "1.5", 0 }, { "99999999999999999999", 0 },    { "14 ", 0 },
};

START_TEST(parse_sitting_takes_each_way_to_say_it)
{
    struct err e = { 0 };
    int64_t id = -1;
    enum status status = parse_sitting(SITTINGS[_i].typed, &id, &e);
    if (SITTINGS[_i].id) {
        ck_assert_int_eq(status, ST_OK);
        ck_assert_int_eq(id, SITTINGS[_i].id);
    } else {
        ck_assert_int_eq(status, ST_USAGE);
        ck_assert_int_eq(id, -1);
        ck_assert_ptr_nonnull(strstr(e.text, "names no sitting"));
    }
}
END_TEST

START_TEST(day_after_months_ends_on_a_day_that_exists)
{
    ck_assert_int_eq(day_after_months(20260831, 6), 20270228);
    ck_assert_int_eq(day_after_months(20270831, 6), 20280229);
    ck_assert_int_eq(day_after_months(20261125, 6), 20270525);
    ck_assert_int_eq(day_after_months(20261231, 12), 20271231);
    ck_assert_int_eq(day_after_months(20261215, 1), 20270115);
}
END_TEST

START_TEST(days_between_counts_over_leap_days_and_backwards)
{
    ck_assert_int_eq(days_between(20280228, 20280301), 2);
    ck_assert_int_eq(days_between(20270228, 20270301), 1);
    ck_assert_int_eq(days_between(19991231, 20000101), 1);
    ck_assert_int_eq(days_between(20000101, 20010101), 366);
    ck_assert_int_eq(days_between(21000228, 21000301), 1);
    ck_assert_int_eq(days_between(20261125, 20261116), -9);
}
END_TEST

static enum form_answer type(struct form *f, const char *s)
{
    enum form_answer answer = FORM_EDITING;
    for (; *s; s++) {
        struct key k = { .code = *s == '\n' ? KEY_ENTER : *s == '\b' ? KEY_BACKSPACE : KEY_CHARACTER,
                         .character = (unsigned char)*s };
        answer = form_key(f, &k);
    }
    return answer;
}

START_TEST(form_key_lets_typing_replace_a_suggestion)
{
    struct form f = { .field_count = 2, .fields = { { .label = "a", .entry = "g1" }, { .label = "b", .entry = "300" } } };
    ck_assert_int_eq(type(&f, "x2\n"), FORM_EDITING);
    ck_assert_str_eq(f.fields[0].entry, "x2");
    ck_assert_int_eq(type(&f, "\b\n"), FORM_READY);
    ck_assert_str_eq(f.fields[1].entry, "30");
}
END_TEST

static enum status check_even(const struct form *f, int field, struct err *e)
{
    const char *entry = f->fields[field].entry;
    if (entry[0] && (entry[strlen(entry) - 1] - '0') % 2 == 0)
        return ST_OK;
    return err_set(e, ST_USAGE, "not yet: `%s` is not even", entry);
}

START_TEST(form_key_checks_a_field_when_it_is_left_and_stays_there)
{
    struct form f = { .field_count = 2, .check = check_even, .fields = { { .label = "a" }, { .label = "b", .entry = "2" } } };
    struct key down = { .code = KEY_DOWN_ARROW };
    ck_assert_int_eq(type(&f, "3\n"), FORM_EDITING);
    ck_assert_int_eq(f.at, 0);
    ck_assert_str_eq(f.refusal, "not yet: `3` is not even");
    form_key(&f, &down);
    ck_assert_int_eq(f.at, 0);
    ck_assert_int_eq(type(&f, "4\n"), FORM_EDITING); /* typing replaced what was refused */
    ck_assert_str_eq(f.fields[0].entry, "4");
    ck_assert_int_eq(f.at, 1);
    ck_assert_int_eq(type(&f, "\n"), FORM_READY);
}
END_TEST

START_TEST(form_key_comes_back_to_a_field_that_typing_replaces)
{
    struct form f = { .field_count = 2, .check = check_even, .fields = { { .label = "a" }, { .label = "b", .entry = "2" } } };
    struct key up = { .code = KEY_UP_ARROW };
    type(&f, "24\n7");
    form_key(&f, &up); /* back is free, whatever stands there */
    ck_assert_int_eq(f.at, 0);
    type(&f, "6");
    ck_assert_str_eq(f.fields[0].entry, "6");
    ck_assert_int_eq(type(&f, "\n\n"), FORM_EDITING); /* the 7 left behind is refused in its place */
    ck_assert_int_eq(f.at, 1);
    ck_assert_ptr_nonnull(strstr(f.refusal, "`7`"));
}
END_TEST

START_TEST(form_ready_goes_to_the_first_field_that_will_not_do)
{
    struct form f = { .field_count = 2, .check = check_even, .at = 1, .fields = { { .label = "a", .entry = "1" },
                                                                                  { .label = "b", .entry = "2" } } };
    ck_assert_int_eq(type(&f, "\n"), FORM_EDITING);
    ck_assert_int_eq(f.at, 0);
}
END_TEST

START_TEST(form_key_empties_a_field_by_control_u_and_says_so)
{
    struct form f = { .id = "f", .title = "F", .field_count = 1, .fields = { { .label = "a", .entry = "booth" } } };
    struct key clear = { .code = KEY_CHARACTER, .character = 0x15 };
    struct page pg;
    bool is_erase = false, is_clear = false;
    form_key(&f, &clear);
    ck_assert_str_eq(f.fields[0].entry, "");
    ck_assert_str_eq(f.refusal, "");
    form_page(&f, &pg);
    for (int i = 0; i < pg.key_count; i++) {
        is_erase = is_erase || strcmp(pg.keys[i].name, "backspace") == 0;
        is_clear = is_clear || strcmp(pg.keys[i].name, "ctrl-u") == 0;
    }
    ck_assert(is_erase && is_clear);
}
END_TEST

START_TEST(list_key_goes_from_no_row_to_the_first)
{
    static struct list l;
    struct key down = { .code = KEY_DOWN_ARROW }, up = { .code = KEY_UP_ARROW };
    first_run_protocol_list(&l);
    l.row_count = 3;
    ck_assert_int_eq(l.at, -1);
    list_key(&l, &down);
    ck_assert_int_eq(l.at, 0);
    l.at = -1;
    list_key(&l, &up);
    ck_assert_int_eq(l.at, 0);
}
END_TEST

static bool page_says(const struct page *pg, const char *words)
{
    for (int i = 0; i < pg->line_count; i++)
        if (strstr(pg->lines[i].text, words))
            return true;
    return false;
}

START_TEST(home_page_says_that_the_usual_protocol_is_gone)
{
    struct home_view v = { .place = "booth 1", .protocol = "ours", .is_protocol_gone = true };
    struct page pg;
    home_page(&v, &pg);
    ck_assert(page_says(&pg, "ours, is not offered any more"));
    v.is_protocol_gone = false;
    home_page(&v, &pg);
    ck_assert(page_says(&pg, "booth 1, ours"));
    ck_assert(!page_says(&pg, "not offered"));
}
END_TEST

START_TEST(home_page_says_that_the_booth_has_no_place)
{
    struct home_view v = { .protocol = "us-adult" };
    struct page pg;
    home_page(&v, &pg);
    ck_assert(page_says(&pg, "this booth: no place named yet, us-adult"));
    v.is_protocol_gone = true;
    home_page(&v, &pg);
    ck_assert(page_says(&pg, "this booth: no place named yet, no usual protocol now"));
}
END_TEST

START_TEST(home_page_names_the_faults_as_long_as_there_are_some)
{
    struct home_view v = { .fault_count = 16 };
    struct page pg;
    home_page(&v, &pg);
    ck_assert(page_says(&pg, "f       16 faults"));
    v.fault_count = 0;
    home_page(&v, &pg);
    ck_assert(!page_says(&pg, "f       "));
}
END_TEST

START_TEST(home_fault_rows_lose_no_word)
{
    static struct list l;
    char fault[400], joined[500] = "";
    home_faults_list(&l);
    snprintf(fault, sizeof fault, "ours.protocol:7: %s %0150d \xE2\x82\xAC and the end", "a word then one without a blank", 7);
    ck_assert(home_fault_rows(&l, fault));
    for (int i = 0; i < l.row_count; i++) {
        ck_assert_uint_le(strlen(l.rows[i]), 72);
        strcat(joined, l.rows[i]);
    }
    for (const char *a = fault, *b = joined; *a || *b;) {
        a += strspn(a, " ");
        b += strspn(b, " ");
        ck_assert_int_eq(*a, *b);
        a += *a != '\0';
        b += *b != '\0';
    }
}
END_TEST

START_TEST(home_fault_rows_say_when_there_are_more_than_fit)
{
    static struct list l;
    int taken = 0;
    home_faults_list(&l);
    while (taken < 1000 && home_fault_rows(&l, "ours.protocol:7: wrong"))
        taken++;
    ck_assert_int_eq(taken, LIST_ROWS_MAX - 1);
    ck_assert_int_eq(l.row_count, LIST_ROWS_MAX);
    ck_assert_ptr_nonnull(strstr(l.rows[LIST_ROWS_MAX - 1], "and more"));
}
END_TEST

START_TEST(form_key_says_when_a_field_is_full_and_keeps_it_whole)
{
    struct form f = { .field_count = 1, .fields = { { .label = "a" } } };
    for (int i = 0; i < 5000; i++) {
        struct key k = { .code = KEY_CHARACTER, .character = 0x20AC };
        form_key(&f, &k);
    }
    ck_assert_uint_eq(strlen(f.fields[0].entry), 198); /* 66 characters of three bytes */
    ck_assert_ptr_nonnull(strstr(f.refusal, "holds no more"));
    ck_assert_int_eq(type(&f, "\b"), FORM_EDITING);
    ck_assert_uint_eq(strlen(f.fields[0].entry), 195);
    struct key control = { .code = KEY_CHARACTER, .character = 0x1B };
    form_key(&f, &control);
    ck_assert_uint_eq(strlen(f.fields[0].entry), 195);
}
END_TEST

START_TEST(ago_words_are_in_the_largest_unit)
{
    char words[40];
    ago_words(59, words, sizeof words);
    ck_assert_str_eq(words, "just now");
    ago_words(60, words, sizeof words);
    ck_assert_str_eq(words, "1 minute ago");
    ago_words(7200, words, sizeof words);
    ck_assert_str_eq(words, "2 hours ago");
    ago_words(86400 * 3, words, sizeof words);
    ck_assert_str_eq(words, "3 days ago");
}
END_TEST

/* The promise of src/terminal/clock.h: whoever else could speed the clock could forge a rest. */
START_TEST(demo_alone_can_speed_the_clock)
{
    char line[200];
    int files = 0;
    FILE *p = popen("grep -rl clock_set_speed '" TEST_SOURCE_DIR "/src' '" TEST_SOURCE_DIR "/include' | sort", "r");
    ck_assert_ptr_nonnull(p);
    while (fgets(line, sizeof line, p)) {
        files++;
        ck_assert_msg(strstr(line, "/src/command/demo.c") || strstr(line, "/src/terminal/clock."), "%s", line);
    }
    pclose(p);
    ck_assert_int_eq(files, 3);
}
END_TEST

static bool count_phase(void *user, const struct sitting_head *h)
{
    int *counts = user;
    counts[h->phase]++;
    counts[PHASE_STOPPED + 1] += h->attempt_count;
    return true;
}

START_TEST(demo_fill_makes_sittings_that_the_engine_accepts)
{
    char folder[64] = "/tmp/stillarm-test-XXXXXX", command[80], path[80];
    const char *value[OPTION_COUNT] = { [OPTION_PROTOCOL_DIR] = TEST_SOURCE_DIR "/assets/protocols", [OPTION_DB] = path };
    struct command_line line = { 0 };
    struct workplace w;
    struct err e = { 0 };
    int counts[PHASE_STOPPED + 2] = { 0 };
    ck_assert_ptr_nonnull(mkdtemp(folder));
    snprintf(path, sizeof path, "%s/s.db", folder);
    memcpy(line.value, value, sizeof value);
    ck_assert_msg(workplace_open(&w, &line, STORE_WRITE, WORKPLACE_STORE_AND_PROTOCOLS, &e) == ST_OK, "%s", e.text);
    ck_assert_msg(demo_fill(&w, &e) == ST_OK, "%s", e.text);
    ck_assert_int_eq(store_sittings(w.store, count_phase, counts, &e), ST_OK);
    workplace_close(&w);
    ck_assert_int_eq(counts[PHASE_SEALED], 5);
    ck_assert_int_eq(counts[PHASE_STOPPED], 1);
    ck_assert_int_eq(counts[PHASE_OPEN], 0);
    ck_assert_int_eq(counts[PHASE_STOPPED + 1], 2); /* the two who tried to skip the rest */
    snprintf(command, sizeof command, "rm -r %s", folder);
    ck_assert_int_eq(system(command), 0);
}
END_TEST

int main(void)
{
    Suite *s = suite_create("command");
    TCase *t = tcase_create("command");
    tcase_add_loop_test(t, command_near_names_the_verb_meant, 0, (int)ARRAY_LEN(NEAR));
    tcase_add_test(t, command_table_says_everything_of_each_verb);
    tcase_add_loop_test(t, parse_sitting_takes_each_way_to_say_it, 0, (int)ARRAY_LEN(SITTINGS));
    tcase_add_test(t, day_after_months_ends_on_a_day_that_exists);
    tcase_add_test(t, days_between_counts_over_leap_days_and_backwards);
    tcase_add_test(t, form_key_lets_typing_replace_a_suggestion);
    tcase_add_test(t, form_key_checks_a_field_when_it_is_left_and_stays_there);
    tcase_add_test(t, form_key_comes_back_to_a_field_that_typing_replaces);
    tcase_add_test(t, form_ready_goes_to_the_first_field_that_will_not_do);
    tcase_add_test(t, form_key_empties_a_field_by_control_u_and_says_so);
    tcase_add_test(t, list_key_goes_from_no_row_to_the_first);
    tcase_add_test(t, home_page_says_that_the_usual_protocol_is_gone);
    tcase_add_test(t, home_page_says_that_the_booth_has_no_place);
    tcase_add_test(t, home_page_names_the_faults_as_long_as_there_are_some);
    tcase_add_test(t, home_fault_rows_lose_no_word);
    tcase_add_test(t, home_fault_rows_say_when_there_are_more_than_fit);
    tcase_add_test(t, form_key_says_when_a_field_is_full_and_keeps_it_whole);
    tcase_add_test(t, ago_words_are_in_the_largest_unit);
    tcase_add_test(t, demo_alone_can_speed_the_clock);
    tcase_add_test(t, demo_fill_makes_sittings_that_the_engine_accepts);
    suite_add_tcase(s, t);
    SRunner *r = srunner_create(s);
    srunner_run_all(r, CK_NORMAL);
    int failed = srunner_ntests_failed(r);
    srunner_free(r);
    return failed ? EXIT_FAILURE : EXIT_SUCCESS;
}
