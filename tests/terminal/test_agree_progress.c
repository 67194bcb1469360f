/* SPDX-License-Identifier: GPL-3.0-or-later */
/** @file test_agree_progress.c  A large CSV file on a terminal: one line of progress after a second, wiped at the end. */
#include <check.h>
#include <fcntl.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

#include "screen_kit.h"

#define HEADER "measurer,subject,measurer_systolic,measurer_diastolic,listener_systolic,listener_diastolic\n"
#define ROW "ana,s1,120,80,122,80\n"

static char folder[64], path[100];

static void setup(void)
{
    char clock[100];
    snprintf(folder, sizeof folder, "/tmp/stillarm-progress-XXXXXX");
    ck_assert_ptr_nonnull(mkdtemp(folder));
    snprintf(path, sizeof path, "%s/p.csv", folder);
    snprintf(clock, sizeof clock, "%s/clock", folder);
    ck_assert(clock_create(clock));
}

static void teardown(void)
{
    char command[100];
    snprintf(command, sizeof command, "rm -r '%s'", folder);
    ck_assert_int_eq(system(command), 0);
}

/* What it prints goes elsewhere; behind it stands how it ended. */
static void start(struct kit *k, const char *options)
{
    static char command[500];
    static const char *argv[] = { "/bin/sh", "-c", command, NULL };
    const struct kit_options o = { .argv = argv };
    snprintf(command, sizeof command, "STILLARM_PROTOCOLS=%s/assets/protocols %s agree %s %s >%s/out; echo status $?", TEST_SOURCE_DIR,
             TEST_DRIVEN_PROGRAM, path, options, folder);
    ck_assert(kit_start(k, &o));
}

static void put_rows(FILE *f, int count)
{
    for (int i = 0; i < count; i++)
        ck_assert_int_ge(fputs(ROW, f), 0);
    ck_assert_int_eq(fflush(f), 0);
}

static FILE *open_fifo(void)
{
    FILE *f = fopen(path, "w"); /* returns once the program reads it, and so knows when it began */
    ck_assert_ptr_nonnull(f);
    ck_assert_int_ge(fputs(HEADER, f), 0);
    return f;
}

START_TEST(a_pipe_shows_its_rows_after_a_second_and_wipes_them)
{
    struct kit k;
    ck_assert_int_eq(mkfifo(path, 0600), 0);
    start(&k, "");
    FILE *f = open_fifo();
    clock_advance(1500);
    put_rows(f, 4096); /* so many go by between two looks at the clock */
    ck_assert_msg(kit_wait(&k, "4096 rows", KIT_WAIT_MS), "%s", kit_screen(&k));
    clock_advance(1500);
    put_rows(f, 4096);
    ck_assert_msg(kit_wait(&k, "8192 rows", KIT_WAIT_MS), "%s", kit_screen(&k));
    ck_assert(!kit_has(&k, "%"));
    ck_assert_int_eq(fclose(f), 0);
    ck_assert_msg(kit_wait(&k, "status 0", KIT_WAIT_MS), "%s", kit_screen(&k));
    ck_assert_msg(!kit_has(&k, "rows"), "%s", kit_screen(&k));
    ck_assert_int_eq(kit_stop(&k, KIT_WAIT_MS), 0);
}
END_TEST

START_TEST(a_file_shows_its_share)
{
    struct kit k;
    FILE *f = fopen(path, "w");
    ck_assert_ptr_nonnull(f);
    ck_assert_int_ge(fputs(HEADER, f), 0);
    put_rows(f, 400000);
    ck_assert_int_eq(fclose(f), 0);
    start(&k, "");
    bool is_shown = false;
    while (!is_shown && kit_pump(&k, 1) && !kit_has(&k, "status")) {
        clock_advance(400);
        is_shown = kit_has(&k, " rows, ") && kit_has(&k, " %");
    }
    ck_assert_msg(is_shown, "%s", kit_screen(&k));
    ck_assert_msg(kit_wait(&k, "status 0", KIT_WAIT_MS), "%s", kit_screen(&k));
    ck_assert_msg(!kit_has(&k, " %"), "%s", kit_screen(&k));
    ck_assert_int_eq(kit_stop(&k, KIT_WAIT_MS), 0);
}
END_TEST

/* The line must not stand before what is wrong. */
START_TEST(a_bad_row_is_said_on_a_clean_line)
{
    struct kit k;
    ck_assert_int_eq(mkfifo(path, 0600), 0);
    start(&k, "");
    FILE *f = open_fifo();
    clock_advance(1500);
    put_rows(f, 5000);
    ck_assert_msg(kit_wait(&k, "4096 rows", KIT_WAIT_MS), "%s", kit_screen(&k));
    ck_assert_int_ge(fputs("ana,s1,x,80,122,80\n", f), 0);
    ck_assert_int_eq(fclose(f), 0);
    ck_assert_msg(kit_wait(&k, "status 2", KIT_WAIT_MS), "%s", kit_screen(&k));
    ck_assert_msg(!kit_has(&k, "4096 rows") && kit_has(&k, "stillarm: /tmp"), "%s", kit_screen(&k));
    ck_assert_int_eq(kit_stop(&k, KIT_WAIT_MS), 0);
}
END_TEST

START_TEST(a_short_file_shows_nothing)
{
    struct kit k;
    FILE *f = fopen(path, "w");
    ck_assert_ptr_nonnull(f);
    ck_assert_int_ge(fputs(HEADER, f), 0);
    put_rows(f, 50000);
    ck_assert_int_eq(fclose(f), 0);
    start(&k, "");
    ck_assert_msg(kit_wait(&k, "status 0", KIT_WAIT_MS), "%s", kit_screen(&k));
    ck_assert_int_eq(strncmp(kit_screen(&k), "status 0\n", 9), 0);
    ck_assert_int_eq(kit_stop(&k, KIT_WAIT_MS), 0);
}
END_TEST

int main(void)
{
    Suite *s = suite_create("progress of agree");
    TCase *t = tcase_create("progress of agree");
    tcase_set_timeout(t, 120);
    tcase_add_checked_fixture(t, setup, teardown);
    tcase_add_test(t, a_pipe_shows_its_rows_after_a_second_and_wipes_them);
    tcase_add_test(t, a_file_shows_its_share);
    tcase_add_test(t, a_bad_row_is_said_on_a_clean_line);
    tcase_add_test(t, a_short_file_shows_nothing);
    suite_add_tcase(s, t);
    SRunner *r = srunner_create(s);
    srunner_run_all(r, CK_NORMAL);
    int failed = srunner_ntests_failed(r);
    srunner_free(r);
    return failed ? EXIT_FAILURE : EXIT_SUCCESS;
}
