/* SPDX-License-Identifier: GPL-3.0-or-later */
/** @file test_relay.c  Blocks come whole, in their order, and all of them, whichever side is slower. */
#include <check.h>
#include <pthread.h>
#include <stdlib.h>
#include <time.h>

#include "command/relay.h"

enum { NUMBERS = 50 };

struct seen {
    int blocks, numbers;      /* that came as they should */
    long rest_us;             /* after each block */
    pthread_t by;
};

static void rest(long us)
{
    const struct timespec so_long = { .tv_nsec = us * 1000 };
    if (us > 0)
        (void)nanosleep(&so_long, NULL);
}

/* A block holds its number, and so many of them as its number says. */
static size_t size_of(int block)
{
    return (size_t)(block * 7 % (NUMBERS + 1));
}

static void take(void *user, const void *block, size_t count)
{
    struct seen *s = user;
    const int *numbers = block;
    rest(s->rest_us); /* whoever wrote into it now would be seen */
    if (count == size_of(s->blocks))
        for (size_t i = 0; i < count; i++)
            s->numbers += numbers[i] == s->blocks;
    s->blocks++;
    s->by = pthread_self();
}

static int fill(struct relay *r, int blocks, long rest_us)
{
    int numbers = 0;
    for (int b = 0; b < blocks; b++) {
        int *block = relay_block(r);
        for (size_t i = 0; i < size_of(b); i++, numbers++)
            block[i] = b;
        ck_assert_ptr_eq(relay_block(r), block);
        rest(rest_us);
        relay_pass(r, size_of(b));
    }
    return numbers;
}

static void check_run(bool is_apart, int blocks, long give_us, long take_us)
{
    struct seen s = { .rest_us = take_us };
    struct relay *r = relay_open(NUMBERS * sizeof(int), is_apart, take, &s);
    ck_assert_ptr_nonnull(r);
    const int numbers = fill(r, blocks, give_us);
    relay_close(r);
    ck_assert_int_eq(s.blocks, blocks);
    ck_assert_int_eq(s.numbers, numbers);
    ck_assert_int_eq(pthread_equal(s.by, pthread_self()) == 0, is_apart);
}

START_TEST(blocks_come_in_order_by_another_thread)
{
    check_run(true, 20000, 0, 0);
}
END_TEST

START_TEST(who_takes_slowly_still_gets_all)
{
    check_run(true, 60 * RELAY_BLOCKS, 0, 200);
}
END_TEST

START_TEST(who_gives_slowly_is_waited_for)
{
    check_run(true, 60 * RELAY_BLOCKS, 200, 0);
}
END_TEST

START_TEST(what_was_passed_is_taken_before_closing_returns)
{
    check_run(true, RELAY_BLOCKS - 1, 0, 5000);
}
END_TEST

START_TEST(without_a_thread_a_block_is_taken_at_once)
{
    struct seen s = { .blocks = 0 };
    struct relay *r = relay_open(NUMBERS * sizeof(int), false, take, &s);
    ck_assert_ptr_nonnull(r);
    for (int b = 0; b < 3; b++) {
        relay_pass(r, 0);
        ck_assert_int_eq(s.blocks, b + 1);
    }
    relay_close(r);
    check_run(false, 1000, 0, 0);
}
END_TEST

START_TEST(closing_takes_nothing_that_was_not_passed)
{
    for (int is_apart = 0; is_apart <= 1; is_apart++) {
        struct seen s = { .blocks = 0 };
        struct relay *r = relay_open(NUMBERS * sizeof(int), is_apart == 1, take, &s);
        ck_assert_ptr_nonnull(relay_block(r));
        relay_close(r);
        ck_assert_int_eq(s.blocks, 0);
    }
    relay_close(NULL);
}
END_TEST

int main(void)
{
    Suite *suite = suite_create("relay");
    TCase *c = tcase_create("blocks");
    tcase_set_timeout(c, 60);
    tcase_add_test(c, blocks_come_in_order_by_another_thread);
    tcase_add_test(c, who_takes_slowly_still_gets_all);
    tcase_add_test(c, who_gives_slowly_is_waited_for);
    tcase_add_test(c, what_was_passed_is_taken_before_closing_returns);
    tcase_add_test(c, without_a_thread_a_block_is_taken_at_once);
    tcase_add_test(c, closing_takes_nothing_that_was_not_passed);
    suite_add_tcase(suite, c);
    SRunner *runner = srunner_create(suite);
    srunner_run_all(runner, CK_NORMAL);
    const int failed = srunner_ntests_failed(runner);
    srunner_free(runner);
    return failed == 0 ? EXIT_SUCCESS : EXIT_FAILURE;
}
