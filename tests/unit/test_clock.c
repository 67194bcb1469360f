/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The real clock: waits, speed, and how a moment is written down. */
#include <check.h>
#include <signal.h>
#include <stdlib.h>
#include <string.h>
#include <time.h>
#include <unistd.h>

#include "terminal/clock.h"

START_TEST(clock_wait_returns_at_once_when_something_is_there)
{
    int ends[2];
    int64_t from = clock_boot_ms();

    ck_assert_int_eq(pipe(ends), 0);
    ck_assert_int_eq(write(ends[1], "x", 1), 1);
    ck_assert(clock_wait(ends[0], from + 5000));
    ck_assert(clock_wait(ends[0], INT64_MAX));
    ck_assert(clock_wait(ends[0], from - 1000));
    ck_assert_int_lt(clock_boot_ms() - from, 4000);
}
END_TEST

START_TEST(clock_wait_is_not_early)
{
    int ends[2];
    int64_t until = clock_boot_ms() + 30;

    ck_assert_int_eq(pipe(ends), 0);
    ck_assert(!clock_wait(ends[0], until));
    ck_assert_int_ge(clock_boot_ms(), until);
    ck_assert(!clock_wait(ends[0], until));
}
END_TEST

START_TEST(clock_wait_sees_the_end_of_a_pipe)
{
    int ends[2];

    ck_assert_int_eq(pipe(ends), 0);
    close(ends[1]);
    ck_assert(clock_wait(ends[0], INT64_MAX));
}
END_TEST

static void on_signal(int number)
{
    (void)number;
}

START_TEST(clock_wait_lets_a_held_back_signal_in)
{
    struct sigaction action = {.sa_handler = on_signal};
    sigset_t held;
    int ends[2];
    int64_t from = clock_boot_ms();

    ck_assert_int_eq(pipe(ends), 0);
    sigaction(SIGUSR1, &action, NULL);
    sigemptyset(&held);
    sigaddset(&held, SIGUSR1);
    sigprocmask(SIG_BLOCK, &held, NULL);
    raise(SIGUSR1); /* before the wait begins: it must not be slept over */
    ck_assert(!clock_wait(ends[0], from + 5000));
    ck_assert_int_lt(clock_boot_ms() - from, 4000);
}
END_TEST

START_TEST(clock_set_speed_scales_all_clocks_from_now_on)
{
    int64_t boot = clock_boot_ms(), awake = clock_awake_ms(), wall = clock_unix_ms();
    int ends[2];
    struct timespec before, after;

    clock_set_speed(1000);
    ck_assert_int_lt(clock_boot_ms() - boot, 60000);
    ck_assert_int_eq(pipe(ends), 0);
    clock_gettime(CLOCK_MONOTONIC, &before);
    ck_assert(!clock_wait(ends[0], boot + 300000));
    clock_gettime(CLOCK_MONOTONIC, &after);
    ck_assert_int_le(after.tv_sec - before.tv_sec, 4);
    ck_assert_int_ge(clock_boot_ms() - boot, 300000);
    ck_assert_int_ge(clock_awake_ms() - awake, 290000);
    ck_assert_int_ge(clock_unix_ms() - wall, 290000);
    boot = clock_boot_ms();
    clock_set_speed(1);
    ck_assert_int_ge(clock_boot_ms(), boot); /* never back */
}
END_TEST

static const struct {
    const char *tz;
    int64_t unix_ms;
    const char *stamp;
    int32_t day;
    const char *hhmm;
} MOMENTS[] = {
    {"UTC0", INT64_C(1930226400000), "2031-03-02T14:00:00+00:00", 20310302, "14:00"},
    {"TST-1", INT64_C(1930226450999), "2031-03-02T15:00:50+01:00", 20310302, "15:00"},
    {"TST+9:30", INT64_C(1930226400000), "2031-03-02T04:30:00-09:30", 20310302, "04:30"},
    {"TST-14", INT64_C(1930226400000), "2031-03-03T04:00:00+14:00", 20310303, "04:00"},
    {"UTC0", INT64_C(-1), "1969-12-31T23:59:59+00:00", 19691231, "23:59"},
    {"UTC0", INT64_C(1709164800000), "2024-02-29T00:00:00+00:00", 20240229, "00:00"},
};

START_TEST(clock_stamp_writes_local_time_with_its_offset)
{
    char stamp[40], hhmm[8], cut[11];

    setenv("TZ", MOMENTS[_i].tz, 1);
    tzset();
    clock_stamp(MOMENTS[_i].unix_ms, stamp, sizeof stamp);
    clock_hhmm(MOMENTS[_i].unix_ms, hhmm);
    ck_assert_str_eq(stamp, MOMENTS[_i].stamp);
    ck_assert_str_eq(hhmm, MOMENTS[_i].hhmm);
    ck_assert_int_eq(clock_day(MOMENTS[_i].unix_ms), MOMENTS[_i].day);
    clock_stamp(MOMENTS[_i].unix_ms, cut, sizeof cut);
    ck_assert_uint_eq(strlen(cut), 10);
}
END_TEST

START_TEST(clock_boot_id_stays_the_same)
{
    char first[40], second[40];

    clock_boot_id(first);
    clock_boot_id(second);
    ck_assert_str_eq(first, second);
    ck_assert(strchr(first, '\n') == NULL);
}
END_TEST

int main(void)
{
    Suite *s = suite_create("clock");
    TCase *t = tcase_create("clock");
    SRunner *r = srunner_create(s);
    int failed;

    tcase_set_timeout(t, 30);
    tcase_add_test(t, clock_wait_returns_at_once_when_something_is_there);
    tcase_add_test(t, clock_wait_is_not_early);
    tcase_add_test(t, clock_wait_sees_the_end_of_a_pipe);
    tcase_add_test(t, clock_wait_lets_a_held_back_signal_in);
    tcase_add_test(t, clock_set_speed_scales_all_clocks_from_now_on);
    tcase_add_loop_test(t, clock_stamp_writes_local_time_with_its_offset, 0,
                        sizeof MOMENTS / sizeof MOMENTS[0]);
    tcase_add_test(t, clock_boot_id_stays_the_same);
    suite_add_tcase(s, t);
    srunner_run_all(r, CK_NORMAL);
    failed = srunner_ntests_failed(r);
    srunner_free(r);
    return failed == 0 ? EXIT_SUCCESS : EXIT_FAILURE;
}
