/* SPDX-License-Identifier: GPL-3.0-or-later */
/** @file test_pairs_words.c  Which pairs look mistyped, and what is said of measurers that are told together. */
#include <check.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "guide/pairs_words.h"

/* The quick look at every row, and what counts by kind, mean the same: over each value at and beside each bound. */
START_TEST(whoever_looks_quickly_sees_what_is_counted)
{
    static const int64_t EDGES[] = { 0, 29999, 30000, 30001, 70000, 70001, 110001, 120000, 160000, 160001, 299999, 300000, 300001, 999999 };
    enum { EDGE_COUNT = ARRAY_LEN(EDGES) };
    for (int i = 0; i < EDGE_COUNT * EDGE_COUNT * EDGE_COUNT * EDGE_COUNT; i++) {
        const struct agree_pair p = { .value = { { EDGES[i % EDGE_COUNT], EDGES[i / EDGE_COUNT % EDGE_COUNT] },
                                                 { EDGES[i / EDGE_COUNT / EDGE_COUNT % EDGE_COUNT],
                                                   EDGES[i / EDGE_COUNT / EDGE_COUNT / EDGE_COUNT] } } };
        struct pair_doubts d = { .rows = 0 };
        pair_doubts_add(&d, &p, 1, "ana");
        ck_assert_msg(pair_has_doubt(&p) == (d.of[DOUBT_ORDER] + d.of[DOUBT_LOW] + d.of[DOUBT_HIGH] + d.of[DOUBT_APART] > 0), "%d", i);
    }
}
END_TEST

static char said[1000];

static void keep_line(void *user, enum line_role role, const char *text)
{
    size_t len = strlen(said);
    (void)role;
    ck_assert_ptr_null(user);
    ck_assert_msg(strlen(text) <= 78, "%s", text);
    snprintf(said + len, sizeof said - len, "%s\n", text);
}

START_TEST(nothing_is_said_where_nothing_looks_mistyped)
{
    const struct pair_doubts none = { .rows = 0 };
    said[0] = '\0';
    say_pair_doubts(&none, keep_line, NULL);
    ck_assert_str_eq(said, "");
}
END_TEST

START_TEST(large_counts_fit_their_lines)
{
    const struct pair_told longest = { .line = 10000001, .measurer = "a-name-that-is-cut-off", .is_odd = { true, true },
                                       .pair = { .value = { { 999999, 999999 }, { 999999, 999999 } } } };
    const struct pair_doubts many = { .rows = 10000000, .of = { 10000000, 10000000, 10000000, 10000000 },
                                      .told = { longest, longest, longest, longest, longest } };
    const struct pair_pool pool = { .measurers = 100000, .least = { -999.999, -999.999 }, .most = { 999.999, 999.999 } };
    said[0] = '\0';
    say_pair_doubts(&many, keep_line, NULL);
    say_pair_pool(&pool, keep_line, NULL);
    ck_assert_ptr_nonnull(strstr(said, "\n  line 10000001, a-name-that-is~: 999.999/999.999, listener 999.999/999.999\n  and 9999995 more\n"));
}
END_TEST

START_TEST(biases_of_a_pool_lie_from_the_least_to_the_most)
{
    static const int64_t LESS[] = { -4000, 1000, -500 };
    struct pair_pool pool = { .measurers = 0 };
    for (size_t i = 0; i < ARRAY_LEN(LESS); i++) {
        static struct agree_tally t; /* large */
        t.side[SIDE_SYSTOLIC] = (struct pair_sums){ .n = 2, .a = 240000 + 2 * LESS[i], .b = 240000 };
        t.side[SIDE_DIASTOLIC] = (struct pair_sums){ .n = 2, .a = 160000, .b = 160000 };
        pair_pool_add(&pool, &t);
    }
    said[0] = '\0';
    say_pair_pool(&pool, keep_line, NULL);
    ck_assert_str_eq(said, "What follows pools 3 measurers: good and bad ones are mixed in it.\n"
                           "  Their systolic biases lie from -4.0 to +1.0 mmHg, 5.0 apart.\n"
                           "  Their diastolic biases lie from 0.0 to 0.0 mmHg, 0.0 apart.\n");
}
END_TEST

int main(void)
{
    Suite *s = suite_create("pairs in words");
    TCase *t = tcase_create("words");
    tcase_add_test(t, whoever_looks_quickly_sees_what_is_counted);
    tcase_add_test(t, nothing_is_said_where_nothing_looks_mistyped);
    tcase_add_test(t, large_counts_fit_their_lines);
    tcase_add_test(t, biases_of_a_pool_lie_from_the_least_to_the_most);
    suite_add_tcase(s, t);
    SRunner *r = srunner_create(s);
    srunner_run_all(r, CK_NORMAL);
    int failed = srunner_ntests_failed(r);
    srunner_free(r);
    return failed ? EXIT_FAILURE : EXIT_SUCCESS;
}
