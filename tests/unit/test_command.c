/* SPDX-License-Identifier: GPL-3.0-or-later */
/** @file test_command.c  The table of verbs, and the small parsers that verbs share. */
#include <check.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "command/command.h"
#include "command/demo_data.h"
#include "command/workplace.h"
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
    ck_assert_int_eq(rows, 14);
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
    ck_assert_int_eq(counts[PHASE_SEALED], 4);
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
