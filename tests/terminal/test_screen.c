/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The live screen and the line-by-line one, through a pseudo-terminal and through pipes. */
#include <check.h>
#include <signal.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/wait.h>
#include <unistd.h>

#include "screen_kit.h"

static const char *const DEMO[] = {TEST_DEMO_PROGRAM, NULL};
static struct kit k;

static void start(const struct kit_options *o)
{
    struct kit_options with = *o;

    with.argv = with.argv != NULL ? with.argv : DEMO;
    ck_assert(kit_start(&k, &with));
}

static void start_ready(const struct kit_options *o)
{
    start(o);
    ck_assert_msg(kit_wait(&k, "ready", KIT_WAIT_MS), "no first page:\n%s", kit_screen(&k));
}

START_TEST(screen_draws_the_whole_page)
{
    char row[512];

    start_ready(&(struct kit_options){0});
    ck_assert(k.is_alternate);
    kit_row(&k, 0, row, sizeof row);
    ck_assert_str_eq(row, " S-001   left arm                                                 booth   14:06");
    kit_row(&k, 23, row, sizeof row);
    ck_assert_str_eq(row, " space next   Q leave   ? why");
    ck_assert(kit_has(&k, " > second now"));
    ck_assert(kit_has(&k, "> wide \xe5\xbf\x83\xe8\x87\x93 and accents \xc3\xa9"));
    ck_assert(kit_has(&k, "\xe2\x96\x88\xe2\x96\x88"));
    kit_type(&k, "Q");
    ck_assert_int_eq(kit_stop(&k, KIT_WAIT_MS), 0);
    ck_assert(!k.is_alternate);
    ck_assert(k.is_cursor_visible);
    ck_assert_int_eq(k.keystrokes, 1);
}
END_TEST

static const struct {
    const char *send;
    const char *expect;
} KEYS[] = {
    {"a", "key 1: a"},
    {"\r", "key 1: enter"},
    {"\n", "key 1: enter"},
    {"\x1b", "key 1: escape"},
    {"\x7f", "key 1: backspace"},
    {"\b", "key 1: backspace"},
    {"\t", "key 1: tab"},
    {"\x1bOA", "key 1: up"},
    {"\x1bOB", "key 1: down"},
    {"\xc3\xa9", "key 1: \xc3\xa9"},
    {"\xe5\xbf\x83", "key 1: \xe5\xbf\x83"},
    {"\xff", "key 1: \xef\xbf\xbd"},
    {"  ", "key 2:"}, /* a blank itself is not to be seen */
};

START_TEST(screen_reads_each_key)
{
    start_ready(&(struct kit_options){0});
    kit_paste(&k, KEYS[_i].send, strlen(KEYS[_i].send));
    ck_assert_msg(kit_wait(&k, KEYS[_i].expect, KIT_WAIT_MS), "row %d:\n%s", _i, kit_screen(&k));
    kit_type(&k, "Q");
    ck_assert_int_eq(kit_stop(&k, KIT_WAIT_MS), 0);
}
END_TEST

START_TEST(screen_assembles_a_character_that_comes_in_pieces)
{
    start_ready(&(struct kit_options){0});
    kit_paste(&k, "\xe5", 1);
    kit_settle(&k, 60);
    kit_paste(&k, "\xbf\x83", 2);
    ck_assert(kit_wait(&k, "key 1: \xe5\xbf\x83", KIT_WAIT_MS));
    kit_type(&k, "Q");
    ck_assert_int_eq(kit_stop(&k, KIT_WAIT_MS), 0);
}
END_TEST

START_TEST(screen_takes_pasted_kilobytes)
{
    static char paste[20001];

    memset(paste, 'a', sizeof paste - 1);
    start_ready(&(struct kit_options){0});
    kit_paste(&k, paste, sizeof paste - 1);
    ck_assert_msg(kit_wait(&k, "key 20000: a", KIT_WAIT_MS), "%s", kit_screen(&k));
    kit_type(&k, "Q");
    ck_assert_int_eq(kit_stop(&k, KIT_WAIT_MS), 0);
}
END_TEST

START_TEST(screen_survives_a_resize_at_each_key)
{
    static const int SIZES[][2] = {{20, 60}, {50, 200}, {19, 59}, {2, 5}, {24, 80}, {120, 320}, {150, 400}};

    start_ready(&(struct kit_options){0});
    for (int i = 0; i < 70; i++) {
        const int *size = SIZES[i % 7];
        kit_resize(&k, size[0], size[1]);
        kit_type(&k, "a");
        kit_pump(&k, 5);
    }
    kit_resize(&k, 24, 80);
    ck_assert_msg(kit_wait(&k, "key 70: resized", KIT_WAIT_MS) || kit_has(&k, "key 70: a"), "%s",
                  kit_screen(&k));
    ck_assert(kit_wait(&k, "Q leave", KIT_WAIT_MS));
    kit_type(&k, "Q");
    ck_assert_int_eq(kit_stop(&k, KIT_WAIT_MS), 0);
}
END_TEST

START_TEST(screen_says_when_it_is_too_small_and_comes_back)
{
    start_ready(&(struct kit_options){0});
    kit_resize(&k, 19, 59);
    ck_assert_msg(kit_wait(&k, "59 by 19", KIT_WAIT_MS), "%s", kit_screen(&k));
    ck_assert(kit_has(&k, "needs 60 by"));
    ck_assert(!kit_has(&k, "Q leave"));
    kit_resize(&k, 20, 60);
    ck_assert(kit_wait(&k, "Q leave", KIT_WAIT_MS));
    ck_assert(kit_has(&k, "Pages to try"));
    kit_type(&k, "Q");
    ck_assert_int_eq(kit_stop(&k, KIT_WAIT_MS), 0);
}
END_TEST

START_TEST(screen_shows_a_cursor_only_where_one_types)
{
    start_ready(&(struct kit_options){0});
    ck_assert(!k.is_cursor_visible);
    kit_type(&k, "F");
    ck_assert(kit_wait(&k, "typed  _", KIT_WAIT_MS));
    ck_assert(k.is_cursor_visible);
    kit_type(&k, "12");
    ck_assert(kit_wait(&k, "typed  12_", KIT_WAIT_MS));
    kit_signal(&k, SIGTERM);
    ck_assert_int_eq(kit_stop(&k, KIT_WAIT_MS), 7);
}
END_TEST

START_TEST(screen_scrolls_a_list_without_a_cursor_itself)
{
    start_ready(&(struct kit_options){0});
    kit_type(&k, "L");
    ck_assert(kit_wait(&k, "(more below)", KIT_WAIT_MS));
    ck_assert(!kit_has(&k, "row 49"));
    for (int i = 0; i < 10; i++)
        kit_press(&k, KIT_PAGE_DOWN);
    ck_assert_msg(kit_wait(&k, "row 49", KIT_WAIT_MS), "%s", kit_screen(&k));
    ck_assert(kit_has(&k, "(more above)"));
    ck_assert(!kit_has(&k, "(more below)"));
    kit_type(&k, "Q");
    ck_assert_int_eq(kit_stop(&k, KIT_WAIT_MS), 0);
}
END_TEST

/* What lies far from the cursor can be read, too; a key that means something leads back to it. */
START_TEST(screen_pages_a_list_with_a_cursor_until_another_key)
{
    start_ready(&(struct kit_options){0});
    kit_type(&k, "C");
    ck_assert(kit_wait(&k, "(more below)", KIT_WAIT_MS));
    for (int i = 0; i < 10; i++)
        kit_press(&k, KIT_PAGE_DOWN);
    ck_assert_msg(kit_wait(&k, "row 49", KIT_WAIT_MS), "%s", kit_screen(&k));
    ck_assert(!kit_has(&k, "accents"));
    kit_press(&k, KIT_PAGE_UP);
    ck_assert_msg(kit_wait_gone(&k, "row 49", KIT_WAIT_MS), "%s", kit_screen(&k));
    kit_press(&k, KIT_DOWN);
    ck_assert_msg(kit_wait(&k, "accents", KIT_WAIT_MS), "%s", kit_screen(&k));
    ck_assert_msg(kit_wait(&k, "key 2", KIT_WAIT_MS), "%s", kit_screen(&k)); /* the arrow was the program's */
    kit_type(&k, "Q");
    ck_assert_int_eq(kit_stop(&k, KIT_WAIT_MS), 0);
}
END_TEST

static const struct {
    int number;
    int status;
    const char *why;
} SIGNALS[] = {
    {SIGTERM, 7, "leaves in order"},   {SIGHUP, 7, "leaves in order"},    {SIGINT, 7, "leaves in order"},
    {SIGABRT, 128 + SIGABRT, "crash"}, {SIGQUIT, 128 + SIGQUIT, "crash"}, {SIGFPE, 128 + SIGFPE, "crash"},
};

START_TEST(screen_gives_the_terminal_back_on_a_signal)
{
    int status;

    start_ready(&(struct kit_options){0});
    ck_assert(k.is_alternate);
    kit_signal(&k, SIGNALS[_i].number);
    status = kit_stop(&k, KIT_WAIT_MS);
    /* A sanitizer turns a deadly signal into its own exit status. */
    ck_assert_msg(status == SIGNALS[_i].status || (SIGNALS[_i].status > 128 && status == 1),
                  "%d: status %d (%s)", SIGNALS[_i].number, status, SIGNALS[_i].why);
    ck_assert(!k.is_alternate);
    ck_assert(k.is_cursor_visible);
}
END_TEST

START_TEST(screen_gives_the_terminal_back_after_an_abort)
{
    start_ready(&(struct kit_options){0});
    kit_type(&k, "A");
    ck_assert_int_ne(kit_stop(&k, KIT_WAIT_MS), 0);
    ck_assert(!k.is_alternate);
    ck_assert(k.is_cursor_visible);
}
END_TEST

START_TEST(screen_gives_the_terminal_back_at_an_exit_from_within)
{
    start_ready(&(struct kit_options){0});
    kit_type(&k, "X");
    ck_assert_int_eq(kit_stop(&k, KIT_WAIT_MS), 5);
    ck_assert(!k.is_alternate);
}
END_TEST

START_TEST(screen_ends_when_its_window_is_closed)
{
    start_ready(&(struct kit_options){0});
    kit_hang_up(&k);
    ck_assert_int_eq(kit_stop(&k, KIT_WAIT_MS), 7);
}
END_TEST

static const struct {
    const char *term;
    const char *says;
} UNUSABLE[] = {
    {"dumb", "cannot place text"},
    {"", "TERM is not set"},
    {"nosuchterminal", "does not know the terminal"},
};

START_TEST(screen_refuses_a_terminal_it_cannot_use)
{
    int status;

    start(&(struct kit_options){.term = UNUSABLE[_i].term});
    ck_assert_msg(kit_wait(&k, "--plain", KIT_WAIT_MS), "%s", kit_screen(&k));
    ck_assert_msg(kit_has(&k, UNUSABLE[_i].says), "%s", kit_screen(&k));
    ck_assert(!k.is_alternate);
    status = kit_stop(&k, KIT_WAIT_MS);
    ck_assert_int_eq(status, 3);
}
END_TEST

/* The same words on every kind of terminal; only the blocks differ where there is no UTF-8. */
static void screen_of(const struct kit_options *o, char *out, size_t cap)
{
    start_ready(o);
    kit_type(&k, "R");
    ck_assert(kit_wait(&k, "not yet: this is a refusal.", KIT_WAIT_MS));
    snprintf(out, cap, "%s", kit_screen(&k));
    kit_type(&k, "Q");
    ck_assert_int_eq(kit_stop(&k, KIT_WAIT_MS), 0);
}

START_TEST(screen_says_the_same_in_every_colour)
{
    static const char *const NO_COLOR[] = {"NO_COLOR=1", NULL};
    static const struct kit_options MODES[] = {{.term = "xterm"},
                                               {.term = "vt100"},
                                               {.env = NO_COLOR},
                                               {.term = "linux"},
                                               {.term = "screen-256color"}};
    static char first[20000], other[20000];

    screen_of(&(struct kit_options){0}, first, sizeof first);
    screen_of(&MODES[_i], other, sizeof other);
    ck_assert_str_eq(first, other);
}
END_TEST

START_TEST(screen_respects_no_color)
{
    static const char *const NO_COLOR[] = {"NO_COLOR=1", NULL};
    VTermScreenCell cell;

    start_ready(&(struct kit_options){.env = NO_COLOR});
    for (int row = 0; row < 24; row++)
        for (int col = 0; col < 80; col++) {
            ck_assert(kit_cell(&k, row, col, &cell));
            ck_assert_msg(VTERM_COLOR_IS_DEFAULT_FG(&cell.fg), "colour at %d,%d", row, col);
        }
    kit_type(&k, "Q");
    ck_assert_int_eq(kit_stop(&k, KIT_WAIT_MS), 0);
}
END_TEST

START_TEST(screen_uses_colour_where_there_is_one)
{
    VTermScreenCell cell;
    int row;

    start_ready(&(struct kit_options){0});
    ck_assert(kit_find(&k, "> second", &row));
    ck_assert(kit_cell(&k, row, 3, &cell));
    ck_assert(!VTERM_COLOR_IS_DEFAULT_FG(&cell.fg));
    ck_assert(cell.attrs.bold);
    kit_type(&k, "Q");
    ck_assert_int_eq(kit_stop(&k, KIT_WAIT_MS), 0);
}
END_TEST

START_TEST(screen_is_ascii_without_utf8)
{
    static char text[20000];

    screen_of(&(struct kit_options){.lc_all = "C"}, text, sizeof text);
    for (const char *s = text; *s != '\0'; s++)
        ck_assert_msg((unsigned char)*s < 0x80, "byte %02x", (unsigned char)*s);
    ck_assert_ptr_nonnull(strstr(text, "##"));
    ck_assert_ptr_nonnull(strstr(text, "accents e"));
}
END_TEST

START_TEST(screen_takes_the_real_size_not_a_shells)
{
    static const char *const LIES[] = {"LINES=10", "COLUMNS=40", NULL};

    start_ready(&(struct kit_options){.env = LIES});
    ck_assert(!kit_has(&k, "needs 60"));
    kit_type(&k, "Q");
    ck_assert_int_eq(kit_stop(&k, KIT_WAIT_MS), 0);
}
END_TEST

/* Run the demonstration line by line; returns its exit status. */
static int run_plain(const char *input, char *out, size_t cap)
{
    char command[4096];
    FILE *pipe;
    size_t n;

    snprintf(command, sizeof command, "printf '%s' | LC_ALL=C.UTF-8 '%s' plain 2>&1", input,
             TEST_DEMO_PROGRAM);
    pipe = popen(command, "r");
    ck_assert_ptr_nonnull(pipe);
    n = fread(out, 1, cap - 1, pipe);
    out[n] = '\0';
    n = (size_t)pclose(pipe);
    return WIFEXITED((int)n) ? WEXITSTATUS((int)n) : -1;
}

START_TEST(plain_says_a_page_once)
{
    static char out[20000];

    ck_assert_int_eq(run_plain("Q\\n", out, sizeof out), 0);
    ck_assert_str_eq(
        out, "S-001   left arm   booth   14:06\nfirst done, > second now\nPages to try\n4:37\nready\n"
             "> wide \xe5\xbf\x83\xe8\x87\x93 and accents \xc3\xa9\n[space] next  [Q] leave  [?] why\n"
             "ended after 1 keys\n");
}
END_TEST

START_TEST(plain_says_only_what_is_new)
{
    static char out[20000];
    const char *after;

    ck_assert_int_eq(run_plain("a\\nQ\\n", out, sizeof out), 0);
    after = strstr(out, "[?] why\n");
    ck_assert_ptr_nonnull(after);
    ck_assert_str_eq(after, "[?] why\nkey 1: a\nended after 2 keys\n");
}
END_TEST

START_TEST(plain_repeats_a_refusal_that_comes_again)
{
    static char out[20000];
    const char *first, *second;

    ck_assert_int_eq(run_plain("R\\nR\\nQ\\n", out, sizeof out), 0);
    first = strstr(out, "not yet: this is a refusal.");
    ck_assert_ptr_nonnull(first);
    second = strstr(first + 1, "not yet: this is a refusal.");
    ck_assert_ptr_nonnull(second);
}
END_TEST

static const struct {
    const char *input;
    int status;
    const char *says;
    const char *why;
} LINES_IN[] = {
    {"yes\\nQ\\n", 0, "key 1: y\n", "the first character alone where there is no field"},
    {"yes\\nQ\\n", 0, "ended after 2 keys", "and nothing else of the line"},
    {"\\nQ\\n", 0, "key 1: enter\n", "an empty line is enter"},
    {"space\\nQ\\n", 0, "key 1:  \n", "a key by its name"},
    {"sp\\nQ\\n", 0, "key 1: s\n", "not by half its name"},
    {"esc\\nQ\\n", 0, "key 1: \xef\xbf\xbd\n", "of a key that is not offered no letter is taken"},
    {"esc\\nQ\\n", 0, "ended after 2 keys", "nor the key itself"},
    {"F\\nesc\\n", 7, "ended after 6 keys", "in a field it is a word like any other"},
    {"Q\\r\\n", 0, "ended after 1 keys\n", "a line from a serial terminal"},
    {"F\\nab\\n", 7, "ended after 5 keys", "letters into a field, one by one"},
    {"F\\nab\\n", 7, "key 4: enter\n", "and enter after them"},
    {"", 7, "by hangup", "end of input"},
    {"Q", 0, "ended after 1 keys", "a last line without its end"},
    {"\\377\\nQ\\n", 0, "key 1: \xef\xbf\xbd\n", "no UTF-8"},
};

START_TEST(plain_reads_each_line)
{
    static char out[20000];

    ck_assert_msg(run_plain(LINES_IN[_i].input, out, sizeof out) == LINES_IN[_i].status, "%s:\n%s",
                  LINES_IN[_i].why, out);
    ck_assert_msg(strstr(out, LINES_IN[_i].says) != NULL, "%s:\n%s", LINES_IN[_i].why, out);
}
END_TEST

START_TEST(plain_says_a_countdown_sparsely)
{
    static char out[20000], input[1000];

    strcpy(input, "T\\n");
    for (int i = 0; i < 130; i++)
        strcat(input, "t\\n");
    strcat(input, "Q\\n");
    ck_assert_int_eq(run_plain(input, out, sizeof out), 0);
    ck_assert_ptr_nonnull(strstr(out, "\n2:10\n"));
    ck_assert_str_eq(strstr(out, "[?] why\n2:00"), "[?] why\n2:00\n1:00\n0:10\nended after 132 keys\n");
}
END_TEST

START_TEST(plain_takes_a_line_of_kilobytes)
{
    static char out[60000];
    char command[1024];
    FILE *pipe;

    snprintf(command, sizeof command, "(echo F; head -c 200000 /dev/zero | tr '\\0' 'a'; echo) | '%s' plain",
             TEST_DEMO_PROGRAM);
    pipe = popen(command, "r");
    ck_assert_ptr_nonnull(pipe);
    out[fread(out, 1, sizeof out - 1, pipe)] = '\0';
    ck_assert_int_eq(WEXITSTATUS(pclose(pipe)), 7);
    ck_assert_ptr_nonnull(strstr(out, "ended after 4099 keys"));
}
END_TEST

START_TEST(plain_works_on_a_dumb_terminal)
{
    static const char *const PLAIN[] = {TEST_DEMO_PROGRAM, "plain", NULL};

    start_ready(&(struct kit_options){.argv = PLAIN, .term = "dumb"});
    ck_assert(!k.is_alternate);
    kit_type(&k, "Q\n");
    ck_assert_int_eq(kit_stop(&k, KIT_WAIT_MS), 0);
}
END_TEST

static void tidy(void)
{
    if (k.pid > 0)
        kit_stop(&k, 0);
}

int main(void)
{
    Suite *s = suite_create("screen");
    TCase *screen = tcase_create("screen"), *plain = tcase_create("plain");
    SRunner *r = srunner_create(s);
    int failed;

    tcase_set_timeout(screen, 120);
    tcase_set_timeout(plain, 120);
    tcase_add_checked_fixture(screen, NULL, tidy);
    tcase_add_checked_fixture(plain, NULL, tidy);
    tcase_add_test(screen, screen_draws_the_whole_page);
    tcase_add_loop_test(screen, screen_reads_each_key, 0, sizeof KEYS / sizeof KEYS[0]);
    tcase_add_test(screen, screen_assembles_a_character_that_comes_in_pieces);
    tcase_add_test(screen, screen_takes_pasted_kilobytes);
    tcase_add_test(screen, screen_survives_a_resize_at_each_key);
    tcase_add_test(screen, screen_says_when_it_is_too_small_and_comes_back);
    tcase_add_test(screen, screen_shows_a_cursor_only_where_one_types);
    tcase_add_test(screen, screen_scrolls_a_list_without_a_cursor_itself);
    tcase_add_test(screen, screen_pages_a_list_with_a_cursor_until_another_key);
    tcase_add_loop_test(screen, screen_gives_the_terminal_back_on_a_signal, 0,
                        sizeof SIGNALS / sizeof SIGNALS[0]);
    tcase_add_test(screen, screen_gives_the_terminal_back_after_an_abort);
    tcase_add_test(screen, screen_gives_the_terminal_back_at_an_exit_from_within);
    tcase_add_test(screen, screen_ends_when_its_window_is_closed);
    tcase_add_loop_test(screen, screen_refuses_a_terminal_it_cannot_use, 0,
                        sizeof UNUSABLE / sizeof UNUSABLE[0]);
    tcase_add_loop_test(screen, screen_says_the_same_in_every_colour, 0, 5);
    tcase_add_test(screen, screen_respects_no_color);
    tcase_add_test(screen, screen_uses_colour_where_there_is_one);
    tcase_add_test(screen, screen_is_ascii_without_utf8);
    tcase_add_test(screen, screen_takes_the_real_size_not_a_shells);
    tcase_add_test(plain, plain_says_a_page_once);
    tcase_add_test(plain, plain_says_only_what_is_new);
    tcase_add_test(plain, plain_repeats_a_refusal_that_comes_again);
    tcase_add_loop_test(plain, plain_reads_each_line, 0, sizeof LINES_IN / sizeof LINES_IN[0]);
    tcase_add_test(plain, plain_says_a_countdown_sparsely);
    tcase_add_test(plain, plain_takes_a_line_of_kilobytes);
    tcase_add_test(plain, plain_works_on_a_dumb_terminal);
    suite_add_tcase(s, screen);
    suite_add_tcase(s, plain);
    srunner_run_all(r, CK_NORMAL);
    failed = srunner_ntests_failed(r);
    srunner_free(r);
    return failed == 0 ? EXIT_SUCCESS : EXIT_FAILURE;
}
