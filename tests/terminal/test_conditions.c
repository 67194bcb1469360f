/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What a booth does to a program: windows too small or closed, kills, sleep, clocks set back, nonsense typed, stores that will
 * not do. Nothing recorded may be lost, and a sentence has to say what is wrong. */
#include <check.h>
#include <signal.h>
#include <sqlite3.h>
#include <stdarg.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

#include "sitting_tour.h"
#include "stillarm/err.h"

#define DAY_MS INT64_C(86400000)
#define OUTPUT_CAP 65536
#define LEFT_OPEN 1
#define NOT_USABLE 3
#define NO_TERMINAL 4

static char folder[64], db[96], output[OUTPUT_CAP];
static struct kit k;

static void new_clock(void)
{
    char clock_file[96];
    snprintf(clock_file, sizeof clock_file, "%s/clock", folder);
    ck_assert(clock_create(clock_file));
    ck_assert_int_eq(chmod(clock_file, 0666), 0);
}

static void setup(void)
{
    setenv("TZ", "UTC", 1);
    snprintf(folder, sizeof folder, "/tmp/stillarm-conditions-XXXXXX");
    ck_assert_ptr_nonnull(mkdtemp(folder));
    snprintf(db, sizeof db, "%s/store.db", folder);
    new_clock();
    tour_furnish(db);
}

static void teardown(void)
{
    char command[256];
    snprintf(command, sizeof command, "chmod -R u+w %s; rm -rf %s", folder, folder);
    ck_assert_int_eq(system(command), 0);
}

static void start_verb(const char *verb)
{
    const char *argv[] = {TEST_DRIVEN_PROGRAM, "--db", db, verb, NULL};
    ck_assert(kit_start(&k, &(struct kit_options){.argv = argv}));
}

/* What a command prints, standard error included, into output; its exit status. */
static int run(const char *format, ...) __attribute__((format(printf, 1, 2)));
static int run(const char *format, ...)
{
    char command[700];
    int n = snprintf(command, sizeof command, "exec 2>&1; ");
    va_list args;
    va_start(args, format);
    vsnprintf(command + n, sizeof command - (size_t)n, format, args);
    va_end(args);
    FILE *f = popen(command, "r");
    ck_assert_ptr_nonnull(f);
    output[fread(output, 1, sizeof output - 1, f)] = '\0';
    return WEXITSTATUS(pclose(f));
}

static const char *print_log(void)
{
    ck_assert_msg(run("%s --db %s print S-001", TEST_DRIVEN_PROGRAM, db) == 0, "%s", output);
    return output;
}

static void see(const char *text)
{
    ck_assert_msg(kit_wait(&k, text, KIT_WAIT_MS), "'%s' did not come:\n%s", text, kit_screen(&k));
}

static size_t move_at(const char *text)
{
    for (size_t i = 0; i < TOUR_FIRST_VISIT_COUNT; i++)
        if (strcmp(TOUR_FIRST_VISIT[i].see, text) == 0)
            return i;
    ck_abort_msg("no move sees '%s'", text);
    return 0;
}

/* From the opening to before the first move that sees this. */
static void drive_up_to(const char *text)
{
    tour_drive(&k, TOUR_FIRST_VISIT, move_at(text));
}

static void drive_from(size_t move)
{
    tour_drive(&k, TOUR_FIRST_VISIT + move, TOUR_FIRST_VISIT_COUNT - move);
}

static void into_the_rest(void)
{
    start_verb("sit");
    drive_up_to("Meanwhile: which gauge?");
    see("left of 5:00");
    clock_advance(60000);
    see("left of 5:00");
    kit_sync(&k);
}

/* ---- the window ---- */

START_TEST(a_window_too_small_says_so_and_loses_nothing)
{
    static const struct { int rows, cols; } SMALL[] = {{20, 59}, {19, 60}, {19, 59}, {5, 20}, {1, 10}};
    char before[16384];
    start_verb("sit");
    drive_up_to("What the needle showed");
    clock_advance(2000);
    see("What the needle showed");
    kit_type(&k, "16");
    see("16_");
    snprintf(before, sizeof before, "%s", kit_screen(&k));
    for (size_t i = 0; i < ARRAY_LEN(SMALL); i++) {
        kit_resize(&k, SMALL[i].rows, SMALL[i].cols);
        kit_sync(&k);
        ck_assert_msg(kit_wait(&k, "This window", KIT_WAIT_MS) || SMALL[i].cols < 20, "%s", kit_screen(&k));
        ck_assert_msg(SMALL[i].cols < 59 || kit_has(&k, "nothing is"), "%s", kit_screen(&k));
        kit_resize(&k, 24, 80);
        see("16_");
        kit_sync(&k);
        ck_assert_str_eq(kit_screen(&k), before);
    }
    kit_type(&k, "4");
    see("164");
    kit_signal(&k, SIGTERM);
    ck_assert_int_eq(kit_stop(&k, KIT_WAIT_MS), LEFT_OPEN);
    ck_assert_ptr_nonnull(strstr(print_log(), " target 164\n"));
}
END_TEST

static void whole_sitting(bool is_resizing, char *log, size_t cap)
{
    static const struct { int rows, cols; } SIZES[] = {{20, 60}, {50, 200}, {10, 30}, {24, 81}, {3, 200}, {37, 60}};
    size_t n = 0;
    unlink(db);
    new_clock();
    tour_furnish(db);
    start_verb("sit");
    for (size_t i = 0; i < TOUR_FIRST_VISIT_COUNT; i++) {
        const struct tour_move *move = &TOUR_FIRST_VISIT[i];
        if (is_resizing)
            kit_resize(&k, 24, 80);
        clock_advance(move->wait_ms);
        see(move->see);
        kit_sync(&k);
        for (const char *key = move->keys; *key != '\0'; key++) {
            const char one[] = {*key, '\0'};
            kit_type(&k, one);
            if (is_resizing) {
                kit_resize(&k, SIZES[n % ARRAY_LEN(SIZES)].rows, SIZES[n % ARRAY_LEN(SIZES)].cols);
                n++;
            }
            kit_sync(&k);
        }
    }
    if (is_resizing)
        kit_resize(&k, 24, 80);
    see("sign later");
    kit_type(&k, "\t");
    see("good");
    kit_type(&k, "\r");
    ck_assert_int_eq(kit_stop(&k, KIT_WAIT_MS), 0);
    snprintf(log, cap, "%s", print_log());
}

START_TEST(a_resize_at_each_key_changes_no_event)
{
    static char calm[OUTPUT_CAP], shaken[OUTPUT_CAP];
    whole_sitting(false, calm, sizeof calm);
    whole_sitting(true, shaken, sizeof shaken);
    ck_assert_ptr_nonnull(strstr(calm, " seal\n"));
    ck_assert_str_eq(shaken, calm);
}
END_TEST

/* ---- ends that nobody asked for ---- */

static void check_offered(const char *log_before)
{
    const char *argv[] = {TEST_DRIVEN_PROGRAM, "--db", db, NULL};
    ck_assert(kit_start(&k, &(struct kit_options){.argv = argv}));
    see("go on with S-001: left in the step rest");
    kit_type(&k, "g");
    see("The rest is lost: it begins");
    see("the rest begins");
    kit_type(&k, "q");
    see("start a sitting");
    kit_type(&k, "q");
    ck_assert_int_eq(kit_stop(&k, KIT_WAIT_MS), LEFT_OPEN);
    print_log();
    ck_assert_msg(strncmp(output, log_before, strlen(log_before)) == 0, "before:\n%s\nafter:\n%s", log_before, output);
    ck_assert_msg(strstr(output + strlen(log_before), " resume ") != NULL, "%s", output);
}

static void end_in_the_rest(int number)
{
    static char log[OUTPUT_CAP];
    into_the_rest();
    if (number > 0)
        kit_signal(&k, number);
    else
        kit_hang_up(&k);
    ck_assert_int_eq(kit_stop(&k, KIT_WAIT_MS), number == SIGKILL ? 128 + SIGKILL : LEFT_OPEN);
    snprintf(log, sizeof log, "%s", print_log());
    ck_assert_msg(strstr(log, " rest begin\n") != NULL, "%s", log);
    clock_advance(30000);
    check_offered(log);
}

START_TEST(a_closed_terminal_leaves_the_sitting_open)
{
    end_in_the_rest(0);
}
END_TEST

START_TEST(a_program_told_to_end_leaves_the_sitting_open)
{
    end_in_the_rest(SIGTERM);
}
END_TEST

START_TEST(a_killed_program_leaves_the_sitting_open)
{
    end_in_the_rest(SIGKILL);
}
END_TEST

START_TEST(a_kill_while_listening_voids_the_reading)
{
    start_verb("sit");
    drive_up_to("listening");
    clock_advance(20000);
    kit_sync(&k);
    kit_signal(&k, SIGKILL);
    ck_assert_int_eq(kit_stop(&k, KIT_WAIT_MS), 128 + SIGKILL);
    clock_advance(20000);
    start_verb("sit");
    see("The reading that was under way");
    see("does not count, take it again");
    kit_sync(&k);
    kit_type(&k, "q");
    ck_assert_int_eq(kit_stop(&k, KIT_WAIT_MS), LEFT_OPEN);
    ck_assert_ptr_nonnull(strstr(print_log(), " inflate listen\n"));
    ck_assert_msg(strstr(output, " resume ") != NULL, "%s", output);
    run("%s --db %s print S-001 >%s/log; %s replay %s/log", TEST_DRIVEN_PROGRAM, db, folder, TEST_DRIVEN_PROGRAM, folder);
    ck_assert_msg(strstr(output, "void\tresumed") != NULL, "%s", output);
}
END_TEST

/* ---- clocks ---- */

START_TEST(a_suspend_is_no_rest)
{
    into_the_rest();
    clock_suspend(600000);
    see("The rest is lost: it begins");
    see("the rest begins");
    ck_assert_msg(strstr(print_log(), " resume 600000\n") != NULL, "%s", output);
    kit_type(&k, " ");
    see("left of 5:00");
    kit_type(&k, "q");
    ck_assert_int_eq(kit_stop(&k, KIT_WAIT_MS), LEFT_OPEN);
}
END_TEST

START_TEST(a_clock_set_back_loses_nothing)
{
    static char calm[OUTPUT_CAP];
    whole_sitting(false, calm, sizeof calm);
    unlink(db);
    new_clock();
    tour_furnish(db);
    into_the_rest();
    clock_set_back(DAY_MS);
    clock_advance(2000 - 60000); /* the tour's own times */
    kit_sync(&k);
    ck_assert_msg(kit_has(&k, "left of 5:00"), "%s", kit_screen(&k));
    clock_advance(60000);
    drive_from(move_at("Meanwhile: which gauge?"));
    see("sign later");
    kit_type(&k, "\t");
    see("good");
    kit_type(&k, "\r");
    ck_assert_int_eq(kit_stop(&k, KIT_WAIT_MS), 0);
    print_log();
    ck_assert_ptr_nonnull(strstr(output, " seal\n"));
    ck_assert_msg(strstr(output, " resume ") == NULL, "%s", output);
    ck_assert_msg(run("%s --db %s verify", TEST_DRIVEN_PROGRAM, db) == 0, "%s", output);
}
END_TEST

/* ---- terminals ---- */

START_TEST(a_terminal_without_a_screen_is_told_of_plain)
{
    static const char *const TERMS[] = {"", "dumb", "no-such-terminal"};
    const char *argv[] = {TEST_DRIVEN_PROGRAM, "--db", db, "sit", NULL};
    for (size_t i = 0; i < ARRAY_LEN(TERMS); i++) {
        ck_assert(kit_start(&k, &(struct kit_options){.argv = argv, .cols = 400, .term = TERMS[i]}));
        ck_assert_msg(kit_wait(&k, "start with --plain", 5000) || kit_has(&k, "Start with --plain"), "TERM=%s:\n%s", TERMS[i],
                      kit_screen(&k));
        ck_assert_int_eq(kit_stop(&k, KIT_WAIT_MS), NO_TERMINAL);
    }
    ck_assert_int_eq(run("%s --db %s sit </dev/null", TEST_DRIVEN_PROGRAM, db), NO_TERMINAL);
    ck_assert_msg(strstr(output, "--plain") != NULL, "%s", output);
}
END_TEST

/* ---- nonsense typed ---- */

static char kilobytes[8192], many_digits[4096];

#define TEN_TO_THE_30 "1000000000000000000000000000000"

static void erase(void)
{
    static char backspaces[600];
    memset(backspaces, 0x7F, sizeof backspaces);
    kit_paste(&k, backspaces, sizeof backspaces);
    kit_sync(&k);
}

/* Put in what will not do: a sentence has to be on the page, and the field can be cleared. */
static void throw_in(const char *bytes, const char *enter)
{
    char what[64];
    snprintf(what, sizeof what, "%.60s", bytes);
    kit_paste(&k, bytes, strlen(bytes));
    kit_sync(&k);
    if (!kit_has(&k, "not yet:")) {
        kit_type(&k, enter);
        kit_sync(&k);
    }
    ck_assert_msg(kit_wait(&k, "not yet:", 5000), "no sentence after '%s':\n%s", what, kit_screen(&k));
    erase();
}

static void throw_into_number(const char *enter)
{
    static const char *const BAD[] = {"abx", "-5", "5.5.5", "5\x01\x02", "5\xff\xfe\xc3(", "5\xe2\x82("};
    throw_in(kilobytes, enter);
    for (size_t i = 0; i < ARRAY_LEN(BAD); i++)
        throw_in(BAD[i], enter);
}

static void throw_into_text(void)
{
    static const char *const BAD[] = {"   ", "a\x01\x02", "a\xff\xfe\xc3("};
    throw_in(kilobytes, "\r");
    for (size_t i = 0; i < ARRAY_LEN(BAD); i++)
        throw_in(BAD[i], "\r");
}

static void move(const char *see_first, const char *keys)
{
    const struct tour_move one = {0, see_first, keys};
    tour_drive(&k, &one, 1);
}

START_TEST(nonsense_in_every_field_gets_a_sentence_and_the_sitting_goes_on)
{
    memset(kilobytes, 'x', sizeof kilobytes - 1);
    memset(many_digits, '9', sizeof many_digits - 1);
    start_verb("sit");
    see("Who is here?");
    throw_in(kilobytes, "\r");
    throw_in("a b", "\r");
    throw_in("a\x01", "\r");
    throw_in("a\xff", "\r");
    drive_up_to("No caffeine");
    move("No caffeine", "n");
    move("Which one?", "n");
    move("Not as it should be yet", "w");
    throw_into_text();
    move("Pass over, because", "\x1b");
    kit_sync(&k);
    const size_t caffeine = move_at("No caffeine"), arm = move_at("Measure the arm"), pulse = move_at("count the pulse"),
                 gone = move_at("Where did the pulse go?"), needle = move_at("What the needle showed");
    tour_drive(&k, TOUR_FIRST_VISIT + caffeine, arm - caffeine);
    see("Measure the arm");
    throw_into_number("\r");
    throw_in(TEN_TO_THE_30, "\r");
    throw_in(many_digits, "\r");
    throw_in("-31", "\r");
    throw_in("31.5.5", "\r");
    tour_drive(&k, TOUR_FIRST_VISIT + arm, pulse - arm);
    see("count the pulse");
    throw_in("5" TEN_TO_THE_30, "r");
    throw_in(many_digits, "r");
    throw_in("72.5", "r");
    throw_in("5\x01", "r");
    throw_in("5\xff", "r");
    tour_drive(&k, TOUR_FIRST_VISIT + pulse, gone - pulse);
    clock_advance(1000);
    see("Where did the pulse go?");
    throw_into_number("\r");
    throw_in("131", "\r");
    tour_drive(&k, TOUR_FIRST_VISIT + gone, needle - gone);
    clock_advance(2000);
    see("What the needle showed");
    throw_into_number("\r");
    tour_drive(&k, TOUR_FIRST_VISIT + needle, 1);
    see("164");
    throw_into_number("\r");
    throw_in("165", "\r");
    throw_in("166", "\r"); /* above the target */
    drive_from(needle + 1);
    see("sign later");
    kit_type(&k, "\t");
    see("good");
    kit_type(&k, "\r");
    ck_assert_int_eq(kit_stop(&k, KIT_WAIT_MS), 0);
    ck_assert_msg(run("%s --db %s verify", TEST_DRIVEN_PROGRAM, db) == 0, "%s", output);
}
END_TEST

START_TEST(a_number_of_thirty_digits_at_the_needle_leaves_the_sitting_sound)
{
    start_verb("sit");
    drive_up_to("What the needle showed");
    clock_advance(2000);
    see("What the needle showed");
    kit_paste(&k, TEN_TO_THE_30 "\r", sizeof TEN_TO_THE_30);
    see("not yet:");
    kit_signal(&k, SIGTERM);
    ck_assert_int_eq(kit_stop(&k, KIT_WAIT_MS), LEFT_OPEN);
    ck_assert_msg(run("%s --db %s verify", TEST_DRIVEN_PROGRAM, db) == 0, "%s", output);
}
END_TEST

START_TEST(nonsense_in_the_kit_s_fields_gets_a_sentence)
{
    memset(kilobytes, 'x', sizeof kilobytes - 1);
    const char *argv[] = {TEST_DRIVEN_PROGRAM, "--db", db, NULL};
    ck_assert(kit_start(&k, &(struct kit_options){.argv = argv}));
    move("start a sitting", "k");
    static const struct { const char *key, *enter; } FORMS[] = {{"z", "\r"}, {"l", "\r"}, {"d", "\r"},
                                                                {"t", "\r\r"} /* of two fields */, {"i", "\r"}};
    for (size_t i = 0; i < ARRAY_LEN(FORMS); i++) {
        move("new gauge", FORMS[i].key);
        throw_into_number(FORMS[i].enter);
        throw_in(TEN_TO_THE_30, FORMS[i].enter);
        throw_in("", FORMS[i].enter);
        kit_press(&k, KIT_ESCAPE);
        kit_sync(&k);
    }
    move("new gauge", "q");
    move("start a sitting", "b");
    throw_in(kilobytes, "\r\r");
    throw_in("", "\r\r");
    kit_press(&k, KIT_ESCAPE);
    kit_sync(&k);
    move("start a sitting", "q");
    ck_assert_int_eq(kit_stop(&k, KIT_WAIT_MS), 0);
    ck_assert_int_eq(run("%s --db %s kit", TEST_DRIVEN_PROGRAM, db), 0);
    ck_assert_msg(strstr(output, "g1") != NULL && strstr(output, "xx") == NULL, "%s", output);
}
END_TEST

/* ---- stores ---- */

/* Permissions stop nobody who is root. */
static const char *as_somebody(void)
{
    return geteuid() == 0 ? "setpriv --reuid=65534 --regid=65534 --clear-groups " : "";
}

static void refuses_store(const char *path, const char *why)
{
    int status = run("%s%s --db %s sit", as_somebody(), TEST_DRIVEN_PROGRAM, path);
    ck_assert_msg(status == NOT_USABLE, "status %d: %s", status, output);
    ck_assert_msg(strstr(output, why) != NULL, "'%s' is not said in: %s", why, output);
}

START_TEST(a_store_that_cannot_be_used_is_named_with_the_reason)
{
    char path[128], command[800];
    ck_assert_int_eq(chmod(db, 0444), 0);
    ck_assert_int_eq(chmod(folder, 0555), 0);
    refuses_store(db, "can be read but not written");
    ck_assert_int_eq(chmod(folder, 0777), 0);

    snprintf(path, sizeof path, "%s/letter.txt", folder);
    snprintf(command, sizeof command, "yes 'Dear all, this is a letter about a booth.' | head -n 99 >%s;"
             "chmod 666 %s", path, path);
    ck_assert_int_eq(system(command), 0);
    refuses_store(path, "is not a store");

    snprintf(path, sizeof path, "%s/letter.txt/store.db", folder);
    refuses_store(path, "is a file and not a folder");

    /* A database's header holds its version, most significant byte first. */
    snprintf(path, sizeof path, "%s/newer.db", folder);
    snprintf(command, sizeof command, "cp %s %s && printf '\\000\\000\\047\\017' | dd of=%s bs=1 seek=60 conv=notrunc 2>/dev/null;"
             "chmod 666 %s", db, path, path, path);
    ck_assert_int_eq(system(command), 0);
    refuses_store(path, "newer version");

    snprintf(path, sizeof path, "%s/closed", folder);
    ck_assert_int_eq(mkdir(path, 0500), 0);
    snprintf(path, sizeof path, "%s/closed/store.db", folder);
    refuses_store(path, path);
}
END_TEST

START_TEST(a_store_locked_in_the_middle_keeps_the_key_until_it_is_free)
{
    sqlite3 *other = NULL;
    start_verb("sit");
    drive_up_to("Been to the toilet");
    ck_assert_int_eq(sqlite3_open(db, &other), SQLITE_OK);
    ck_assert_int_eq(sqlite3_exec(other, "BEGIN IMMEDIATE", NULL, NULL, NULL), SQLITE_OK);
    kit_type(&k, "y");
    see("not stored yet:");
    ck_assert_int_eq(sqlite3_exec(other, "ROLLBACK", NULL, NULL, NULL), SQLITE_OK);
    sqlite3_close(other);
    kit_type(&k, " ");
    see("Ask quietly");
    kit_type(&k, "q");
    ck_assert_int_eq(kit_stop(&k, KIT_WAIT_MS), LEFT_OPEN);
    ck_assert_msg(strstr(print_log(), " confirm ready.toilet\n") != NULL, "%s", output);
}
END_TEST

static void add(Suite *s, const char *name, const TTest *const *tests)
{
    TCase *tc = tcase_create(name);
    tcase_set_timeout(tc, 120);
    tcase_add_checked_fixture(tc, setup, teardown);
    for (; *tests != NULL; tests++)
        tcase_add_test(tc, *tests);
    suite_add_tcase(s, tc);
}

int main(void)
{
    Suite *s = suite_create("conditions");
    add(s, "windows", (const TTest *const[]){a_window_too_small_says_so_and_loses_nothing, a_resize_at_each_key_changes_no_event,
                                             a_terminal_without_a_screen_is_told_of_plain, NULL});
    add(s, "ends", (const TTest *const[]){a_closed_terminal_leaves_the_sitting_open,
                                          a_program_told_to_end_leaves_the_sitting_open,
                                          a_killed_program_leaves_the_sitting_open,
                                          a_kill_while_listening_voids_the_reading, NULL});
    add(s, "clocks", (const TTest *const[]){a_suspend_is_no_rest, a_clock_set_back_loses_nothing, NULL});
    add(s, "typing", (const TTest *const[]){nonsense_in_every_field_gets_a_sentence_and_the_sitting_goes_on,
                                            a_number_of_thirty_digits_at_the_needle_leaves_the_sitting_sound,
                                            nonsense_in_the_kit_s_fields_gets_a_sentence, NULL});
    add(s, "stores", (const TTest *const[]){a_store_that_cannot_be_used_is_named_with_the_reason,
                                            a_store_locked_in_the_middle_keeps_the_key_until_it_is_free, NULL});
    SRunner *sr = srunner_create(s);
    srunner_run_all(sr, CK_NORMAL);
    const int failed = srunner_ntests_failed(sr);
    srunner_free(sr);
    return failed != 0;
}
