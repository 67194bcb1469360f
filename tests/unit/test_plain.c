/* SPDX-License-Identifier: GPL-3.0-or-later */
/** @file test_plain.c  Line by line on a terminal whose echo can be turned off, and on one that goes on showing what is typed. */
#include <check.h>
#include <dlfcn.h>
#include <errno.h>
#include <fcntl.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <termios.h>
#include <unistd.h>

#include "stillarm/text.h"
#include "terminal/clock.h"
#include "terminal/renderer.h"

#define SOON_MS 300
#define OPEN "This terminal would show what is typed here"

/* ---- a terminal that does as it likes ---- */

static enum { DOES_IT, REFUSES, SAYS_IT_DID } terminal;

int tcsetattr(int fd, int when, const struct termios *modes)
{
    int (*real)(int, int, const struct termios *) = NULL;
    if (terminal == REFUSES)
        errno = EIO;
    if (terminal != DOES_IT)
        return terminal == REFUSES ? -1 : 0;
    *(void **)&real = dlsym(RTLD_NEXT, "tcsetattr");
    return real(fd, when, modes);
}

static int hand = -1; /* where somebody types, and sees what the terminal shows */
static struct plain *plain;
static char said_path[] = "/tmp/stillarm-test-XXXXXX";

static void hear(void)
{
    const int fd = mkstemp(said_path);
    struct err e;
    ck_assert_int_ge(fd, 0);
    ck_assert_int_ge(dup2(fd, STDOUT_FILENO), 0);
    close(fd);
    ck_assert_int_eq(plain_open(&plain, &e), ST_OK);
}

static void at_a_terminal(void)
{
    hand = posix_openpt(O_RDWR | O_NOCTTY);
    ck_assert_int_ge(hand, 0);
    ck_assert_int_eq(grantpt(hand) | unlockpt(hand), 0);
    const int there = open(ptsname(hand), O_RDWR | O_NOCTTY);
    ck_assert_int_ge(there, 0);
    ck_assert_int_ge(dup2(there, STDIN_FILENO), 0);
    hear();
}

static void at_a_pipe(void)
{
    int ends[2];
    ck_assert_int_eq(pipe(ends), 0);
    ck_assert_int_ge(dup2(ends[0], STDIN_FILENO), 0);
    hand = ends[1];
    hear();
}

static void leave(void)
{
    terminal = DOES_IT;
    plain_close(plain);
    unlink(said_path);
}

static void types(const char *line)
{
    ck_assert_int_eq(write(hand, line, strlen(line)), (ssize_t)strlen(line));
}

static const char *read_some(int fd)
{
    static char out[8192];
    const ssize_t n = read(fd, out, sizeof out - 1);
    out[n > 0 ? n : 0] = '\0';
    return out;
}

/* All that was said since the beginning. */
static int times_said(const char *words)
{
    int n = 0;
    const int fd = open(said_path, O_RDONLY);
    const char *all = read_some(fd);
    close(fd);
    for (const char *at = all; (at = strstr(at, words)) != NULL; at++)
        n++;
    return n;
}

static void show(bool is_blind)
{
    struct page pg;
    page_init(&pg, PAGE_OPEN, is_blind ? "pin" : "name");
    pg.is_blind = is_blind;
    page_line(&pg, LINE_FIELD, "%s", is_blind ? "PIN" : "name");
    page_key(&pg, "enter", "go on");
    page_key(&pg, "esc", "back");
    plain_draw(plain, &pg);
}

static struct key pressed(void)
{
    return plain_key(plain, clock_boot_ms() + SOON_MS);
}

/* ---- */

START_TEST(a_terminal_that_shows_what_is_typed_takes_no_pin)
{
    at_a_terminal();
    terminal = _i ? SAYS_IT_DID : REFUSES;
    show(true);
    ck_assert_int_eq(times_said(OPEN), 1);
    types("walnut 4711\n");
    ck_assert_int_eq(pressed().code, KEY_NONE);
    ck_assert_int_eq(times_said(OPEN), 2);
    types("\n");
    ck_assert_int_eq(pressed().code, KEY_NONE);
    types("esc\n");
    ck_assert_int_eq(pressed().code, KEY_ESCAPE);
    show(false);
    types("w\n");
    ck_assert_int_eq(pressed().character, 'w');
    ck_assert_int_eq(times_said(OPEN), 3);
    leave();
}
END_TEST

START_TEST(a_terminal_that_can_be_silent_takes_it_unseen)
{
    at_a_terminal();
    show(true);
    types("walnut 4711\n");
    ck_assert_int_eq(pressed().character, 'w');
    ck_assert_int_eq(times_said(OPEN), 0);
    ck_assert_ptr_null(strstr(read_some(hand), "walnut"));
    leave();
}
END_TEST

START_TEST(each_of_two_keys_in_one_entry_is_taken_by_its_name)
{
    struct page pg;
    at_a_pipe();
    page_init(&pg, PAGE_WIDE, "leaves");
    page_key(&pg, "n right", "next leaf");
    page_key(&pg, "p left", "before");
    plain_draw(plain, &pg);
    types("right\n");
    ck_assert_int_eq(pressed().code, KEY_RIGHT_ARROW);
    types("left\n");
    ck_assert_int_eq(pressed().code, KEY_LEFT_ARROW);
    types("n\n");
    ck_assert_int_eq(pressed().character, 'n');
    types("righ\n");
    ck_assert_int_eq(pressed().character, 'r');
    leave();
}
END_TEST

START_TEST(a_pipe_shows_nothing_and_is_taken)
{
    at_a_pipe();
    show(true);
    types("walnut 4711\n");
    ck_assert_int_eq(pressed().character, 'w');
    ck_assert_int_eq(times_said(OPEN), 0);
    leave();
}
END_TEST

int main(void)
{
    Suite *s = suite_create("plain");
    TCase *t = tcase_create("echo");
    suite_add_tcase(s, t);
    tcase_add_loop_test(t, a_terminal_that_shows_what_is_typed_takes_no_pin, 0, 2);
    tcase_add_test(t, a_terminal_that_can_be_silent_takes_it_unseen);
    tcase_add_test(t, a_pipe_shows_nothing_and_is_taken);
    tcase_add_test(t, each_of_two_keys_in_one_entry_is_taken_by_its_name);
    SRunner *r = srunner_create(s);
    srunner_run_all(r, CK_NORMAL);
    int failed = srunner_ntests_failed(r);
    srunner_free(r);
    return failed ? EXIT_FAILURE : EXIT_SUCCESS;
}
