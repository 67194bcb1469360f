/* SPDX-License-Identifier: GPL-3.0-or-later */
/* A sitting with a second listener, through the real program: no screen holds a figure of either before both are final, also
 * line by line, where the terminal would echo what is typed, and after a crash in between. The record holds both. */
#include <check.h>
#include <signal.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "booth_kit.h"
#include "sitting_tour.h"
#include "stillarm/text.h"
#include "tour_parts.h"

static struct kit k;

static const struct tour_move UNTIL_LISTENING[] = {
    {0, "Who is here?", "\r"},      {0, "Enter opens the sitting", "\r"}, READY, ONE_ARM("Which arm?", "l", "31"),
    POSTURE_AND_REST, PALPATION("130"),
};

static const struct tour_move NAMED[] = {
    {30000, "Pump to", "l"}, {0, "Who listens too", "ben\r"}, {0, "ben listens too", " "}, {50000, "listening", " "},
    {2000, "ana types", ""},
};

/* ---- what may not be seen ---- */

static const char *const SECRET[] = {"164", "163", "126", "127", "78", "77", "132", "84", NULL};

static bool holds_figure(const char *screen, const char *figure)
{
    const size_t len = strlen(figure);
    for (const char *at = screen; (at = strstr(at, figure)) != NULL; at++)
        if ((at == screen || at[-1] < '0' || at[-1] > '9') && (at[len] < '0' || at[len] > '9'))
            return true;
    return false;
}

static void nothing_shown(void)
{
    const char *screen = kit_screen(&k);
    for (int i = 0; SECRET[i] != NULL; i++)
        ck_assert_msg(!holds_figure(screen, SECRET[i]), "%s is on the screen:\n%s", SECRET[i], screen);
}

static void see(const char *text)
{
    ck_assert_msg(kit_has(&k, text) || kit_wait(&k, text, KIT_WAIT_MS), "'%s' did not come:\n%s", text, kit_screen(&k));
}

/* Key by key, or as one line; looked at after each. */
static void type_unseen(const char *keys, bool is_plain)
{
    if (is_plain) {
        kit_type(&k, keys);
        kit_type(&k, "\r");
        kit_sync(&k);
        nothing_shown();
        return;
    }
    for (char one[2] = ""; *keys != '\0'; keys++) {
        one[0] = *keys;
        kit_type(&k, one);
        kit_sync(&k);
        nothing_shown();
    }
}

static void start(bool is_plain)
{
    const char *argv[] = {TEST_DRIVEN_PROGRAM, "--db", booth_db, "sit", is_plain ? "--plain" : NULL, NULL};
    ck_assert(kit_start(&k, &(struct kit_options){.argv = argv, .rows = is_plain ? 60 : 24, .cols = is_plain ? 200 : 80}));
}

static void go_to_entry(bool is_plain)
{
    start(is_plain);
    (is_plain ? tour_drive_lines : tour_drive)(&k, UNTIL_LISTENING, ARRAY_LEN(UNTIL_LISTENING));
    (is_plain ? tour_drive_lines : tour_drive)(&k, NAMED, ARRAY_LEN(NAMED) - 1);
    clock_advance(2000);
    kit_sync(&k);
    see("ana types");
}

/* Nor by a verb in another window. */
static void nothing_told(void)
{
    static const char *const VERBS[] = {"print S-001", "worth S-001"};
    static const char *const HELD[] = {"not told just now: ana and ben listen to the same fall", NULL};
    char out[4096];
    for (size_t i = 0; i < ARRAY_LEN(VERBS); i++) {
        ck_assert_int_eq(booth_run(TEST_DRIVEN_PROGRAM, VERBS[i], out, sizeof out), 3);
        booth_must_hold(out, HELD);
    }
}

/* What a shell does with the terminal meanwhile, the program cannot take back. */
static bool ignores_suspend(void)
{
    char path[64], line[200];
    unsigned long long ignored = 0;
    snprintf(path, sizeof path, "/proc/%d/status", (int)k.pid);
    FILE *f = fopen(path, "r");
    ck_assert_ptr_nonnull(f);
    while (fgets(line, sizeof line, f))
        if (strncmp(line, "SigIgn:", 7) == 0)
            ignored = strtoull(line + 7, NULL, 16);
    fclose(f);
    return ignored >> (SIGTSTP - 1) & 1;
}

static void both_type(bool is_plain)
{
    type_unseen("163", is_plain);
    see("not yet:");
    type_unseen("164", is_plain);
    type_unseen("126", is_plain);
    type_unseen("78", is_plain);
    see("Hand over to ben");
    nothing_told();
    type_unseen("78", is_plain); /* a hand that types on */
    type_unseen(is_plain ? "space" : " ", is_plain);
    see("ben types");
    type_unseen("132", is_plain);
    type_unseen("84", is_plain);
    see("Both have typed");
    nothing_told();
}

static void compare(bool is_plain)
{
    kit_type(&k, is_plain ? "y\r" : "y");
    kit_sync(&k);
    see("ana 126/78, ben 132/84: apart by 6 and 6, more");
    kit_type(&k, is_plain ? "space\r" : " ");
    kit_sync(&k);
    see("Now the other arm");
}

static void leave(bool is_plain)
{
    kit_type(&k, is_plain ? "q\r" : "q");
    ck_assert_int_eq(kit_stop(&k, KIT_WAIT_MS), 1);
}

static void record_holds_both(void)
{
    static const char *const REPLAYED[] = {"reading\t1\tleft\t126\t-\t78\tcounted\t-\tpair.differs\n", NULL};
    static const char *const PRINTED[] = {" listener ben\n", " value first 126\n", " pair first 132\n", " pair last 84\n",
                                          "reading 1: ana 126/78, ben 132/84: apart by 6 and 6, more than the limit of 4\n", NULL};
    static char log[65536];
    char path[96], words[120];
    ck_assert_int_eq(booth_run(TEST_DRIVEN_PROGRAM, "print S-001", log, sizeof log), 0);
    booth_must_hold(log, PRINTED);
    snprintf(path, sizeof path, "%s/s.log", booth_folder);
    booth_write(path, log);
    snprintf(words, sizeof words, "replay %s", path);
    booth_run(TEST_DRIVEN_PROGRAM, words, log, sizeof log); /* its status tells that the sitting is open */
    booth_must_hold(log, REPLAYED);
    ck_assert_int_eq(booth_run(TEST_DRIVEN_PROGRAM, "verify", log, sizeof log), 0);
}

/* ---- tests ---- */

START_TEST(no_screen_holds_a_figure_before_both_are_in)
{
    go_to_entry(false);
    both_type(false);
    compare(false);
    leave(false);
    record_holds_both();
}
END_TEST

START_TEST(line_by_line_the_terminal_does_not_echo_them)
{
    go_to_entry(true);
    ck_assert(ignores_suspend());
    both_type(true);
    compare(true);
    ck_assert(!ignores_suspend());
    leave(true);
    record_holds_both();
}
END_TEST

/* A window that is closed in between, at either's turn. */
START_TEST(after_a_crash_the_same_page_comes_back)
{
    go_to_entry(false);
    type_unseen("16412678", false);
    see("Hand over to ben");
    kit_signal(&k, SIGKILL);
    kit_stop(&k, KIT_WAIT_MS);
    start(false);
    see("Hand over to ben");
    nothing_shown();
    type_unseen(" 132", false);
    kit_signal(&k, SIGKILL);
    kit_stop(&k, KIT_WAIT_MS);
    start(false);
    see("ben types");
    nothing_shown();
    type_unseen("84", false);
    see("Both have typed");
    compare(false);
    leave(false);
    record_holds_both();
}
END_TEST

int main(void)
{
    Suite *s = suite_create("two listeners");
    TCase *tc = tcase_create("pair");
    tcase_set_timeout(tc, 180);
    tcase_add_checked_fixture(tc, booth_open, booth_close);
    tcase_add_test(tc, no_screen_holds_a_figure_before_both_are_in);
    tcase_add_test(tc, line_by_line_the_terminal_does_not_echo_them);
    tcase_add_test(tc, after_a_crash_the_same_page_comes_back);
    suite_add_tcase(s, tc);
    SRunner *sr = srunner_create(s);
    srunner_run_all(sr, CK_NORMAL);
    const int failed = srunner_ntests_failed(sr);
    srunner_free(sr);
    return failed != 0;
}
