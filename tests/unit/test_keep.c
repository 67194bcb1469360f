/* SPDX-License-Identifier: GPL-3.0-or-later */
/** @file test_keep.c  What is kept is blank, apart from all else, and stays. */
#include <check.h>
#include <stdint.h>
#include <stdlib.h>
#include <string.h>

#include "command/keep.h"

static int bytes_other_than(const unsigned char *at, size_t size, int byte)
{
    int other = 0;
    for (size_t i = 0; i < size; i++)
        other += at[i] != byte;
    return other;
}

START_TEST(things_of_any_size_begin_blank_and_stay_apart)
{
    enum { THINGS = 20000 }; /* over several blocks */
    static struct { unsigned char *at; size_t size; } things[THINGS];
    struct keep k = { NULL };
    for (int i = 0; i < THINGS; i++) {
        things[i].size = (size_t)(i % 1000 == 999 ? 60000 : 1 + i % 300);
        things[i].at = keep_more(&k, things[i].size);
        ck_assert_ptr_nonnull(things[i].at);
        ck_assert_uint_eq((uintptr_t)things[i].at % 16, 0);
        ck_assert_int_eq(bytes_other_than(things[i].at, things[i].size, 0), 0);
        memset(things[i].at, 1 + i % 255, things[i].size);
    }
    for (int i = 0; i < THINGS; i++)
        ck_assert_int_eq(bytes_other_than(things[i].at, things[i].size, 1 + i % 255), 0);
    keep_free(&k);
    keep_free(&k);
}
END_TEST

START_TEST(what_is_large_is_blank_too)
{
    static const size_t SIZES[] = { 1, 100000, (size_t)1 << 21, ((size_t)1 << 21) + 1, (size_t)5 << 20 };
    for (size_t i = 0; i < sizeof SIZES / sizeof SIZES[0]; i++) {
        unsigned char *at = keep_blank(SIZES[i]);
        ck_assert_ptr_nonnull(at);
        ck_assert_int_eq(bytes_other_than(at, SIZES[i], 0), 0);
        memset(at, 1, SIZES[i]);
        free(at);
    }
}
END_TEST

int main(void)
{
    Suite *suite = suite_create("keep");
    TCase *c = tcase_create("memory");
    tcase_set_timeout(c, 60);
    tcase_add_test(c, things_of_any_size_begin_blank_and_stay_apart);
    tcase_add_test(c, what_is_large_is_blank_too);
    suite_add_tcase(suite, c);
    SRunner *runner = srunner_create(suite);
    srunner_run_all(runner, CK_NORMAL);
    const int failed = srunner_ntests_failed(runner);
    srunner_free(runner);
    return failed == 0 ? EXIT_SUCCESS : EXIT_FAILURE;
}
