/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Where a PIN must not be: screen, command line, environment, files, memory after use, a core. And what it costs to guess. */
#include <check.h>
#include <ftw.h>
#include <signal.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/prctl.h>
#include <sys/resource.h>
#include <sys/stat.h>
#include <sys/wait.h>
#include <termios.h>
#include <unistd.h>

#include "booth_kit.h"
#include "command/pin.h"
#include "guide/page.h"
#include "sitting_tour.h"
#include "stillarm/err.h"
#include "stillarm/text.h"

#define PIN "walnut 4711 quay"
#define OTHER "cinder 9022 moss"
#define PREFIX_SEEN 4 /* so many of its characters together are not there by chance */
#define PIECE (1 << 20)
#define REGION_MAX ((unsigned long)1 << 32) /* a sanitizer's shadow is larger, and sparse */
#define LEFT_OPEN 1
#define USAGE_STATUS 2

static struct kit k;
static char output[65536];

/* ---- looking for it ---- */

/* As it is typed, as characters of 32 bits, as keys: the three forms that a program holds text in. */
struct forms {
    char text[64], wide[4 * 64], keys[sizeof(struct key) * 64];
    size_t text_len, wide_len, keys_len;
};

static void forms_of(const char *pin, struct forms *f)
{
    const size_t n = strlen(pin);
    memset(f, 0, sizeof *f);
    for (size_t i = 0; i < n; i++) {
        const uint32_t c = (unsigned char)pin[i];
        const struct key key = {.code = KEY_CHARACTER, .character = c};
        f->text[i] = pin[i];
        memcpy(f->wide + 4 * i, &c, sizeof c);
        memcpy(f->keys + sizeof key * i, &key, sizeof key);
    }
    f->text_len = n;
    f->wide_len = 4 * n;
    f->keys_len = sizeof(struct key) * n;
}

static const char *found_in(const char *at, size_t len, const struct forms *f)
{
    if (memmem(at, len, f->text, f->text_len) != NULL)
        return "as text";
    if (memmem(at, len, f->wide, f->wide_len) != NULL)
        return "as characters of 32 bits";
    return memmem(at, len, f->keys, f->keys_len) != NULL ? "as keys" : NULL;
}

/* The parts overlap, so that nothing hides on a border. */
static const char *found_in_region(FILE *mem, unsigned long from, unsigned long to, const struct forms *f)
{
    static char piece[PIECE];
    const char *how = NULL;
    for (unsigned long at = from; at < to && how == NULL; at += PIECE - f->keys_len) {
        const size_t want = to - at < PIECE ? to - at : PIECE;
        if (fseeko(mem, (off_t)at, SEEK_SET) != 0)
            return NULL;
        how = found_in(piece, fread(piece, 1, want, mem), f);
    }
    memset(piece, 0, sizeof piece); /* else this test would find its own copy */
    return how;
}

static unsigned long searched_bytes;

/* Of any memory that the process can read; NULL: nowhere, or it cannot be looked into (searched_bytes is 0 then). */
static const char *found_in_memory(pid_t pid, const struct forms *f)
{
    char path[64], line[512];
    const char *how = NULL;
    unsigned long from, to;
    snprintf(path, sizeof path, "/proc/%d/maps", (int)pid);
    FILE *maps = fopen(path, "r");
    snprintf(path, sizeof path, "/proc/%d/mem", (int)pid);
    FILE *mem = fopen(path, "r");
    searched_bytes = 0;
    while (maps != NULL && mem != NULL && how == NULL && fgets(line, sizeof line, maps) != NULL) {
        char rights[8];
        if (sscanf(line, "%lx-%lx %7s", &from, &to, rights) != 3 || rights[0] != 'r' || to - from > REGION_MAX)
            continue;
        how = found_in_region(mem, from, to, f);
        searched_bytes += to - from;
    }
    if (maps != NULL)
        fclose(maps);
    if (mem != NULL)
        fclose(mem);
    return how;
}

static const struct forms *wanted;
static int files_searched;

static int look_into(const char *path, const struct stat *sb, int kind, struct FTW *at)
{
    static char text[1 << 22];
    (void)sb;
    (void)at;
    if (kind != FTW_F)
        return 0;
    FILE *f = fopen(path, "r");
    ck_assert_msg(f != NULL, "%s cannot be read", path);
    const size_t n = fread(text, 1, sizeof text, f);
    fclose(f);
    files_searched++;
    ck_assert_msg(found_in(text, n, wanted) == NULL, "%s holds it", path);
    return 0;
}

/* Of the store, what SQLite keeps beside it, and whatever else the program may have put into its home. */
static void must_be_in_no_file(const struct forms *f)
{
    wanted = f;
    files_searched = 0;
    ck_assert_int_eq(nftw(booth_folder, look_into, 16, FTW_PHYS), 0);
    ck_assert_int_ge(files_searched, 2);
}

static void must_not_be_in(pid_t pid, const char *name, const struct forms *f)
{
    static char text[1 << 20];
    char path[64];
    snprintf(path, sizeof path, "/proc/%d/%s", (int)pid, name);
    FILE *file = fopen(path, "r");
    if (file == NULL) /* the system lets nobody look: so much the better */
        return;
    const size_t n = fread(text, 1, sizeof text, file);
    fclose(file);
    ck_assert_msg(found_in(text, n, f) == NULL, "%s holds it", path);
}

static void must_not_be_shown(const char *pin)
{
    char prefix[PREFIX_SEEN + 1];
    snprintf(prefix, sizeof prefix, "%.*s", PREFIX_SEEN, pin);
    ck_assert_msg(strstr(kit_screen(&k), prefix) == NULL, "it is shown:\n%s", kit_screen(&k));
}

/* Everywhere but in memory, at any time; in memory once it is used. */
static void must_be_nowhere(const char *pin)
{
    struct forms f;
    forms_of(pin, &f);
    must_not_be_shown(pin);
    must_not_be_in(k.pid, "cmdline", &f);
    must_not_be_in(k.pid, "environ", &f);
    must_be_in_no_file(&f);
    ck_assert_int_ge(files_searched, 4); /* the store while it is open, with what SQLite keeps beside it */
    const char *how = found_in_memory(k.pid, &f);
    ck_assert_msg(how == NULL, "the program's memory holds it %s", how);
    ck_assert_msg(searched_bytes > 100000 || geteuid() != 0, "only %lu bytes of memory were looked through", searched_bytes);
}

START_TEST(the_search_finds_what_is_there)
{
    struct forms f;
    uint32_t wide[sizeof PIN];
    struct key keys[sizeof PIN];
    forms_of(PIN, &f);
    memcpy(wide, f.wide, f.wide_len);
    memcpy(keys, f.keys, f.keys_len);
    ck_assert_str_eq(found_in((const char *)wide, sizeof wide, &f), "as characters of 32 bits");
    ck_assert_str_eq(found_in((const char *)keys, sizeof keys, &f), "as keys");
    ck_assert_ptr_nonnull(found_in_memory(getpid(), &f));
}
END_TEST

/* ---- typing it ---- */

static void type_it(const char *pin)
{
    for (const char *c = pin; *c != '\0'; c++) {
        const char one[] = {*c, '\0'};
        kit_type(&k, one);
        kit_sync(&k);
        must_not_be_shown(pin);
        ck_assert_msg(kit_has(&k, "typed, not shown"), "%s", kit_screen(&k)); /* not even how much of it */
    }
    kit_type(&k, "\r");
    kit_sync(&k);
}

static void see(const char *text)
{
    ck_assert_msg(kit_wait(&k, text, KIT_WAIT_MS), "'%s' did not come:\n%s", text, kit_screen(&k));
}

static char home_variable[80];

static void start(const char *verb, bool is_plain)
{
    const char *argv[] = {"/bin/sh", "-c", NULL, NULL};
    static const char *const ENV[] = {home_variable, NULL};
    char command[512];
    snprintf(home_variable, sizeof home_variable, "HOME=%s", booth_folder);
    /* as somebody would start it who wants a core */
    snprintf(command, sizeof command, "cd %s; ulimit -c unlimited 2>/dev/null; exec %s --db %s %s %s", booth_folder,
             TEST_DRIVEN_PROGRAM, booth_db, is_plain ? "--plain" : "", verb);
    argv[2] = command;
    ck_assert(kit_start(&k, &(struct kit_options){.argv = argv, .env = ENV, .rows = is_plain ? 60 : 24, .cols = is_plain ? 200 : 80}));
}

static bool is_core_left(void)
{
    char command[160];
    snprintf(command, sizeof command, "ls %s | grep -q '^core'", booth_folder);
    return system(command) == 0;
}

static void crash_without_core(void)
{
    kit_signal(&k, SIGABRT);
    ck_assert_int_eq(kit_stop(&k, KIT_WAIT_MS), 128 + SIGABRT);
    ck_assert(!is_core_left());
}

START_TEST(a_pin_typed_at_a_sitting_s_end_is_nowhere_afterwards)
{
    start("sit", false);
    tour_drive(&k, TOUR_FIRST_VISIT, TOUR_FIRST_VISIT_COUNT);
    see("Choose a PIN");
    type_it(PIN);
    see("The same PIN again");
    type_it(PIN);
    see("good");
    must_be_nowhere(PIN);
    crash_without_core();
}
END_TEST

START_TEST(line_by_line_neither)
{
    start("sit", true);
    tour_drive_lines(&k, TOUR_FIRST_VISIT, TOUR_FIRST_VISIT_COUNT);
    see("Choose a PIN");
    kit_type(&k, PIN "\r");
    see("The same PIN again");
    kit_type(&k, PIN "\r");
    see("good");
    kit_sync(&k);
    must_be_nowhere(PIN);
    crash_without_core();
}
END_TEST

/* A wrong one is as good as a PIN: it may be another's, or hers with a slip. */
START_TEST(what_was_typed_wrong_or_left_half_is_nowhere_either)
{
    start("", false);
    see("start a sitting");
    kit_type(&k, "pp");
    see("Choose a PIN");
    type_it(PIN);
    type_it(OTHER);
    see("not the same");
    type_it(PIN);
    type_it(PIN);
    see("holds from now on");
    kit_type(&k, "p");
    see("Type your PIN");
    type_it(OTHER);
    see("not the PIN");
    for (const char *c = OTHER; *c != '\0'; c++)
        kit_type(&k, (const char[]){*c, '\0'});
    kit_sync(&k);
    must_not_be_shown(OTHER);
    kit_press(&k, KIT_ESCAPE);
    kit_sync(&k);
    see("People");
    must_be_nowhere(OTHER);
    must_be_nowhere(PIN);
    kit_type(&k, "qq");
    ck_assert_int_eq(kit_stop(&k, KIT_WAIT_MS), 0);
}
END_TEST

/* ---- a verb's prompt ---- */

static bool is_echoing(void)
{
    struct termios modes;
    ck_assert_int_eq(tcgetattr(k.fd, &modes), 0);
    return (modes.c_lflag & ECHO) != 0;
}

START_TEST(a_verb_s_prompt_shows_nothing_and_gives_the_echo_back)
{
    struct forms f;
    forms_of(PIN, &f);
    start("people pin ana", false);
    see("Choose ana's PIN");
    ck_assert(!is_echoing());
    kit_type(&k, PIN "\r");
    see("The same once more");
    must_not_be_in(k.pid, "cmdline", &f);
    must_not_be_in(k.pid, "environ", &f);
    kit_type(&k, PIN "\r");
    see("ana has a PIN.");
    must_not_be_shown(PIN);
    ck_assert(is_echoing());
    ck_assert_int_eq(kit_stop(&k, KIT_WAIT_MS), 0);
    must_be_in_no_file(&f);
}
END_TEST

START_TEST(an_interrupted_prompt_gives_the_echo_back_too)
{
    start("people pin ana", false);
    see("Choose ana's PIN");
    kit_type(&k, "waln");
    kit_type(&k, "\x03");
    kit_settle(&k, 300);
    ck_assert(is_echoing());
    ck_assert_int_eq(kit_stop(&k, KIT_WAIT_MS), 128 + SIGINT);
}
END_TEST

/* ---- the process ---- */

static void harden_and_crash(void)
{
    struct rlimit core;
    const struct rlimit all = {RLIM_INFINITY, RLIM_INFINITY};
    setrlimit(RLIMIT_CORE, &all);
    pin_harden();
    if (prctl(PR_GET_DUMPABLE) != 0 || getrlimit(RLIMIT_CORE, &core) != 0 || core.rlim_cur != 0 || core.rlim_max != 0)
        _exit(1);
    signal(SIGABRT, SIG_DFL);
    raise(SIGABRT);
}

START_TEST(a_hardened_process_is_not_dumped)
{
    int status = 0;
    const pid_t pid = fork();
    ck_assert_int_ge(pid, 0);
    if (pid == 0)
        harden_and_crash();
    ck_assert_int_eq(waitpid(pid, &status, 0), pid);
    ck_assert(WIFSIGNALED(status) && WTERMSIG(status) == SIGABRT && !WCOREDUMP(status));
}
END_TEST

/* Without this the tests above would say nothing: here a core is written by who does not refuse. */
START_TEST(a_core_would_be_seen)
{
    char command[200];
    snprintf(command, sizeof command, "cd %s && sh -c 'ulimit -c unlimited && kill -ABRT $$' 2>/dev/null", booth_folder);
    const int status = system(command);
    ck_assert(status != 0);
    if (!is_core_left())
        printf("this system writes no core files into folders: only the process's own limits were checked\n");
}
END_TEST

/* ---- guessing ---- */

/* One try by a process of its own; its exit status. */
static int try_pin(const char *pin)
{
    char command[512];
    snprintf(command, sizeof command, "printf '%%s\\n' '%s' 'new %s 1' 'new %s 1' | %s --db %s people pin ana >%s/said 2>&1", pin, pin,
             pin, TEST_DRIVEN_PROGRAM, booth_db, booth_folder);
    const int status = WEXITSTATUS(system(command));
    snprintf(command, sizeof command, "%s/said", booth_folder);
    FILE *f = fopen(command, "r");
    ck_assert_ptr_nonnull(f);
    output[fread(output, 1, sizeof output - 1, f)] = '\0';
    fclose(f);
    return status;
}

static void choose_pin(void)
{
    char command[512];
    snprintf(command, sizeof command, "printf '%%s\\n' '%s' '%s' | %s --db %s people pin ana >/dev/null 2>&1", PIN, PIN,
             TEST_DRIVEN_PROGRAM, booth_db);
    ck_assert_int_eq(system(command), 0);
}

START_TEST(wrong_pins_slow_down_across_restarts)
{
    choose_pin();
    for (int i = 0; i < 3; i++)
        ck_assert_msg(try_pin(OTHER) == USAGE_STATUS, "%s", output);
    ck_assert_msg(try_pin(PIN) == USAGE_STATUS, "the right one was taken at once: %s", output);
    clock_set_back(3600000); /* a clock set back shortens nothing */
    ck_assert_msg(try_pin(PIN) == USAGE_STATUS, "%s", output);
    clock_advance(2100);
    ck_assert_msg(try_pin(OTHER) == USAGE_STATUS, "%s", output);
    clock_advance(2100); /* the wait has doubled */
    ck_assert_msg(try_pin(PIN) == USAGE_STATUS, "%s", output);
    clock_advance(2000);
    ck_assert_msg(try_pin(PIN) == 0, "%s", output);
}
END_TEST

START_TEST(the_page_counts_the_wait_and_takes_the_right_one_after_it)
{
    choose_pin();
    start("", false);
    see("start a sitting");
    kit_type(&k, "pp");
    see("Type your PIN");
    for (int i = 0; i < 3; i++)
        type_it(OTHER);
    see("has to wait");
    kit_sync(&k);
    see("0:02 to go");
    clock_advance(1000);
    kit_sync(&k);
    see("0:01 to go");
    clock_advance(1100);
    kit_sync(&k);
    ck_assert(!kit_has(&k, "has to wait"));
    see("the wait is over"); /* and no longer how long it is */
    type_it(PIN);
    see("Choose a PIN"); /* the new one */
    kit_press(&k, KIT_ESCAPE);
    kit_sync(&k);
    kit_type(&k, "qq");
    ck_assert_int_eq(kit_stop(&k, KIT_WAIT_MS), 0);
}
END_TEST

/* ---- the end of a sitting ---- */

static void up_to_the_pin(void)
{
    start("sit", false);
    tour_drive(&k, TOUR_FIRST_VISIT, TOUR_FIRST_VISIT_COUNT);
    see("Choose a PIN");
}

START_TEST(escape_goes_back_to_the_sitting_which_ends_later)
{
    static const char *const SEALED[] = {"state\tsealed\n", NULL};
    up_to_the_pin();
    kit_press(&k, KIT_ESCAPE);
    kit_sync(&k);
    see("The result");
    kit_type(&k, "f");
    see("Choose a PIN");
    kit_type(&k, "\t");
    see("Not signed yet");
    kit_type(&k, "\r");
    ck_assert_int_eq(kit_stop(&k, KIT_WAIT_MS), 0);
    booth_check_record(TEST_DRIVEN_PROGRAM, "S-001", SEALED);
    start("", false);
    see("1 signature owed");
    kit_type(&k, "q");
    ck_assert_int_eq(kit_stop(&k, KIT_WAIT_MS), 0);
}
END_TEST

START_TEST(a_terminal_closed_at_the_pin_leaves_the_sitting_open)
{
    up_to_the_pin();
    kit_type(&k, PIN);
    kit_sync(&k);
    kit_hang_up(&k);
    ck_assert_int_eq(kit_stop(&k, KIT_WAIT_MS), LEFT_OPEN);
    start("sit", false);
    see("The result");
    kit_type(&k, "f");
    see("Choose a PIN");
    kit_type(&k, "\t");
    see("good");
    kit_type(&k, "\r");
    ck_assert_int_eq(kit_stop(&k, KIT_WAIT_MS), 0);
}
END_TEST

/* Nobody is there to take it back, and what was stopped does not go on. */
START_TEST(a_stop_whose_terminal_is_closed_at_the_pin_holds_unsigned)
{
    static const struct tour_move STOPPED[] = {{0, "Who is here?", "\r"},
                                               {0, "Enter opens the sitting", "\r"},
                                               {0, "caffeine", "s"},
                                               {0, "Stop here, because", "fire alarm\r"},
                                               {0, "cannot be taken up again", "y"}};
    static const char *const HOLDS[] = {" stop \"fire alarm\"\n", NULL};
    start("sit", false);
    tour_drive(&k, STOPPED, ARRAY_LEN(STOPPED));
    see("Choose a PIN");
    kit_hang_up(&k);
    ck_assert_int_eq(kit_stop(&k, KIT_WAIT_MS), 0);
    ck_assert_int_eq(booth_run(TEST_DRIVEN_PROGRAM, "print S-001", output, sizeof output), 0);
    booth_must_hold(output, HOLDS);
    start("", false);
    see("1 signature owed");
    kit_type(&k, "q");
    ck_assert_int_eq(kit_stop(&k, KIT_WAIT_MS), 0);
}
END_TEST

int main(void)
{
    Suite *s = suite_create("PINs");
    TCase *tc = tcase_create("PINs");
    tcase_set_timeout(tc, 120);
    tcase_add_checked_fixture(tc, booth_open, booth_close);
    tcase_add_test(tc, the_search_finds_what_is_there);
    tcase_add_test(tc, a_pin_typed_at_a_sitting_s_end_is_nowhere_afterwards);
    tcase_add_test(tc, line_by_line_neither);
    tcase_add_test(tc, what_was_typed_wrong_or_left_half_is_nowhere_either);
    tcase_add_test(tc, a_verb_s_prompt_shows_nothing_and_gives_the_echo_back);
    tcase_add_test(tc, an_interrupted_prompt_gives_the_echo_back_too);
    tcase_add_test(tc, a_hardened_process_is_not_dumped);
    tcase_add_test(tc, a_core_would_be_seen);
    tcase_add_test(tc, wrong_pins_slow_down_across_restarts);
    tcase_add_test(tc, the_page_counts_the_wait_and_takes_the_right_one_after_it);
    tcase_add_test(tc, escape_goes_back_to_the_sitting_which_ends_later);
    tcase_add_test(tc, a_terminal_closed_at_the_pin_leaves_the_sitting_open);
    tcase_add_test(tc, a_stop_whose_terminal_is_closed_at_the_pin_holds_unsigned);
    suite_add_tcase(s, tc);
    SRunner *sr = srunner_create(s);
    srunner_run_all(sr, CK_NORMAL);
    const int failed = srunner_ntests_failed(sr);
    srunner_free(sr);
    return failed != 0;
}
