/* SPDX-License-Identifier: GPL-3.0-or-later */
/** @file test_command_line.c  The program as it is called: what each command line prints and how it ends. */
#include <check.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "command/command.h"
#include "command_run.h"
#include "stillarm/err.h"

/* A folder of two protocols, one of them with a key that nobody knows; and the keys of a first run. */
#define BROKEN_PROTOCOL \
    "mkdir p; cp $STILLARM_PROTOCOLS/us-adult.protocol p; cp $STILLARM_PROTOCOLS/../sources.ini .;" \
    "sed 's/rest_s/rest_q/; s/us-adult/b-adult/' p/us-adult.protocol > p/b.protocol; printf 'ana\\n\\n\\n\\n\\ntoday\\n\\n\\n' > keys;"

/* A new booth by keys alone: the four questions; the protocol is the first of the list. */
#define FIRST_RUN "printf 'ana\\n\\n\\nj\\n\\n\\n\\ntoday\\n\\n\\n'"
#define BOOTH FIRST_RUN " | $S --plain --db s.db >/dev/null;"

static const struct run_row LINES[] = {
    { "$S --version", EXIT_FINE, "stillarm 0." },
    { "$S --help", EXIT_FINE, "Exit status:" },
    { "$S kit --help", EXIT_FINE, "stillarm kit check g2 leak 2" },
    { "$S -h sit", EXIT_FINE, "Usage: stillarm sit" },
    { "$S verfy", EXIT_USAGE, "Did you mean `verify`?" },
    { "$S xyzzy", EXIT_USAGE, "is no verb of stillarm. See" },
    { "$S --frob", EXIT_USAGE, "is no option here" },
    { "$S --db", EXIT_USAGE, "needs a value" },
    { "$S --db= list", EXIT_USAGE, "--db needs the name of a file" },
    { "$S list extra", EXIT_USAGE, "does not know what to do with `extra`" },
    { "$S list --play", EXIT_USAGE, "list takes no --play" },
    { "$S print", EXIT_USAGE, "print needs more" },
    { "$S print S-abc", EXIT_USAGE, "names no sitting" },
    { "$S --db s.db print 1", EXIT_FILES, "s.db" },
    { "$S --db s.db list", EXIT_FILES, "s.db" },
    { "echo hello > s.db; $S --db s.db list", EXIT_FILES, "s.db" },
    { "$S sit", EXIT_TERMINAL, "--plain" },
    { "$S --db s.db", EXIT_TERMINAL, "--plain" },
    { "$S --plain --db s.db", EXIT_FINE, "Who measures here?" },
    { "$S demo --db s.db", EXIT_USAGE, "takes no --db" },
    { "$S demo --plain", EXIT_FINE, "DEMO: invented data" },
    { "TMPDIR=. $S demo --plain; ls . | grep stillarm-demo", 1, "gone when you leave" },
    { "$S replay nowhere.log", EXIT_USAGE, "nowhere.log cannot be read" },
    { "$S replay .", EXIT_USAGE, "Is a directory" },
    { "$S replay - --protocol-dir .", EXIT_FILES, ".protocol" },
    { BROKEN_PROTOCOL "$S --protocol-dir p replay /dev/null", EXIT_UNFINISHED, "b.protocol:" },
    { BROKEN_PROTOCOL "$S --protocol-dir p --plain --db s.db <keys 2>/dev/null", EXIT_FINE, "left out: " },
    { BROKEN_PROTOCOL "(cat keys; echo f) | $S --protocol-dir p --plain --db s.db 2>/dev/null", EXIT_FINE,
      "What is wrong in files" },
    { BOOTH BROKEN_PROTOCOL "$S --protocol-dir p --plain --db s.db </dev/null 2>/dev/null", EXIT_FINE,
      "The usual protocol of this booth, europe-adult, is not offered any more" },
    { "printf 'ana\\n\\n\\n\\n' | $S --plain --db s.db", EXIT_FINE, "not yet: none is chosen" },
    { "printf 'a na\\nana\\n\\n\\n' | $S --plain --db s.db", EXIT_FINE, "Which protocol is usual here?" },
    { BOOTH "printf '\\n' | $S --plain --db s.db", EXIT_FINE, "purpose: practice" },
    { BOOTH "printf 'b\\n\\n\\nservice\\n\\n' | $S --plain --db s.db", EXIT_FINE, "purpose: service" },
    { BOOTH "printf 'b\\n\\n\\nplay\\n' | $S --plain --db s.db", EXIT_FINE, "a purpose is practice, service or assessment" },
    { "$S --version > /dev/full", EXIT_FILES, "could not be written" },
    { "$S people add ana", EXIT_USAGE, "takes an ID and a name" },
    { "$S people add 'a na' Ana", EXIT_USAGE, "cannot stand in a log" },
    { "$S people add ana Ana --role queen", EXIT_USAGE, "is no role" },
    { "$S --db s.db people add ana Ana && $S --db s.db people add ana Ana", EXIT_FILES, "ana" },
    { "$S --db s.db people retire ana", EXIT_FILES, "ana" },
    { "$S --db s.db kit retire g1", EXIT_FILES, "no gauge or cuff g1" },
    { "$S --db s.db people add tia Tia --role trainee && $S --db s.db people retire tia", EXIT_FILES, "Nobody here is in charge" },
    { "$S --db s.db people add ana Ana && $S --db s.db people pin ana", EXIT_USAGE, "No PIN came" },
    { "$S --db s.db people add course Course", EXIT_FILES, "course" },
    { "$S --db s.db people reset ana", EXIT_USAGE, "--by PERSON" },
    { "$S --db s.db keys", EXIT_FILES, "" },
    { "$S keys course", EXIT_USAGE, "keys knows" },
    { "$S keys frob x", EXIT_USAGE, "keys knows" },
    { "$S review", EXIT_FILES, "There is no store at" },
    { "$S review --plain", EXIT_FILES, "There is no store at" },
    { "$S --db s.db review; test ! -e s.db", EXIT_FINE, "Start a sitting to create one" },
    { "$S --db s.db sign 1; test ! -e s.db", EXIT_FINE, "Start a sitting to create one" },
    { "$S sign S-x", EXIT_USAGE, "names no sitting" },
    { "$S --db s.db people list && $S --db s.db sign 1", EXIT_FILES, "" },
    { "$S kit add gauge g1", EXIT_USAGE, "--due 2031-09-01" },
    { "$S kit add gauge g1 --due 2031-02-29", EXIT_USAGE, "is no day" },
    { "$S kit add gauge g1 --due 2031-03-01 --top 1e30", EXIT_USAGE, "no top of a scale" },
    { "$S kit add cuff c 34 27", EXIT_USAGE, "below the upper" },
    { "$S kit add cuff c 27 34in --name ''", EXIT_USAGE, "" },
    { "$S kit check g1 leak -3", EXIT_USAGE, "" },
    { "$S kit check g1 taste 3", EXIT_USAGE, "leak, zero and comparison" },
    { "$S kit frob", EXIT_USAGE, "kit knows" },
};

START_TEST(command_line_ends_as_documented)
{
    run_check(&LINES[_i]);
}
END_TEST

/* A terminal of 80 columns would break words of longer lines. */
START_TEST(help_fits_79_columns)
{
    static char out[20000];
    char command[100];
    const struct command_row *row = &COMMANDS[_i];
    snprintf(command, sizeof command, "$S %s --help", row->name);
    ck_assert_int_eq(run(command, out, sizeof out), EXIT_FINE);
    ck_assert_msg(row->name[0] == '\0' || strstr(out, "Usage: stillarm "), "%s", out);
    for (const char *line = out; *line;) {
        size_t n = strcspn(line, "\n");
        ck_assert_msg(n <= 79 && (n == 0 || line[n - 1] != ' '), "%s: %.*s", row->name, (int)n, line);
        line += n + (line[n] == '\n');
    }
}
END_TEST

START_TEST(command_line_refusals_create_no_store)
{
    char out[4000];
    run("$S list; $S print 1; $S verify; $S backup b.db; $S kit; $S people", out, sizeof out);
    ck_assert_int_eq(run("ls -A", out, sizeof out), 0);
    ck_assert_str_eq(out, "");
}
END_TEST

START_TEST(kit_and_people_keep_what_is_added)
{
    char out[8000];
    must("$S --db s.db people add ana 'Ana Wirth' && $S --db s.db people add ben Ben --role trainee");
    must("$S --db s.db kit add gauge g1 --due 2031-03-01 --name 'wall gauge' && $S --db s.db kit add cuff adult 27 13.5in");
    must("$S --db s.db kit check g1 leak 2 --date 2026-01-05 && $S --db s.db kit due g1 2032-03-01");
    ck_assert_int_eq(run("$S --db s.db people; $S --db s.db kit", out, sizeof out), 0);
    ck_assert_ptr_nonnull(strstr(out, "Ana Wirth"));
    ck_assert_ptr_nonnull(strstr(out, "trainee"));
    ck_assert_ptr_nonnull(strstr(out, "calibration due 2032-03-01; leak 2 mmHg/min on 2026-01-05; wall gauge"));
    ck_assert_ptr_nonnull(strstr(out, "27.0 to 34.3 cm"));
    must("printf '%s\\n' 'hazel 41' 'hazel 41' | $S --db s.db people retire ben && printf 'hazel 41' | $S --db s.db kit retire adult");
    ck_assert_int_eq(run("$S --db s.db people; $S --db s.db kit", out, sizeof out), 0);
    ck_assert_ptr_null(strstr(out, "ben"));
    ck_assert_ptr_null(strstr(out, "adult"));
    ck_assert_int_eq(run("$S --db s.db people --all; $S --db s.db kit --all", out, sizeof out), 0);
    ck_assert_ptr_nonnull(strstr(out, "Ben  (retired)"));
    ck_assert_ptr_nonnull(strstr(out, "27.0 to 34.3 cm  (retired)"));
}
END_TEST

START_TEST(first_run_is_done_in_a_dozen_keys)
{
    char out[60000];
    must(FIRST_RUN " | $S --db s.db --plain");
    ck_assert_int_eq(run("$S --db s.db people; $S --db s.db kit", out, sizeof out), 0);
    ck_assert_ptr_nonnull(strstr(out, "ana"));
    ck_assert_ptr_nonnull(strstr(out, "gauge g1"));
    ck_assert_ptr_nonnull(strstr(out, "thigh"));
}
END_TEST

static void leave_one_open(void)
{
    char out[60000];
    must(FIRST_RUN " | $S --db s.db --plain");
    ck_assert_int_eq(run("printf '\\n\\nq\\n' | $S --db s.db sit --plain", out, sizeof out), EXIT_UNFINISHED);
}

START_TEST(sit_left_open_is_taken_up_again)
{
    char out[60000];
    leave_one_open();
    ck_assert_int_eq(run("printf 'q\\n' | $S --db s.db sit --plain", out, sizeof out), EXIT_UNFINISHED);
    ck_assert_int_eq(run("$S --db s.db print 1", out, sizeof out), 0);
    ck_assert_ptr_nonnull(strstr(out, " resume "));
    ck_assert_int_eq(run("$S --db s.db print 2", out, sizeof out), EXIT_FILES);
    ck_assert_int_eq(run("$S --db s.db print S-001 | $S replay", out, sizeof out), EXIT_UNFINISHED);
    ck_assert_ptr_nonnull(strstr(out, "state\topen\n"));
    ck_assert_ptr_null(strstr(out, "no\t"));
}
END_TEST

START_TEST(verify_names_what_differs)
{
    char out[60000];
    leave_one_open();
    ck_assert_int_eq(run("$S --db s.db verify", out, sizeof out), EXIT_FINE);
    ck_assert_ptr_nonnull(strstr(out, "Every chain, signature, state and reading is as recorded."));
    must("sqlite3 s.db \"UPDATE sittings SET phase = 'sealed'\"");
    ck_assert_int_eq(run("$S --db s.db verify", out, sizeof out), EXIT_UNFINISHED);
    ck_assert_ptr_nonnull(strstr(out, "S-001"));
}
END_TEST

START_TEST(backup_is_whole_and_touches_no_file_that_is_there)
{
    char out[60000];
    leave_one_open();
    must("$S --db s.db backup b.db && $S --db b.db verify && cmp b.db b.db");
    must("cp b.db c.db");
    ck_assert_int_eq(run("$S --db s.db backup b.db", out, sizeof out), EXIT_FILES);
    must("cmp b.db c.db");
}
END_TEST

/* A minute of real time, most of it waiting. The input stays open, since its end would end the sitting. */
START_TEST(demo_plays_a_whole_sitting_and_says_so_on_every_page)
{
    static char out[60000];
    int pages = 0, labelled = 0;
    int status = run("mkfifo f; { sleep 200 > f & }; $S demo --play --plain < f; r=$?; kill $!; exit $r", out, sizeof out);
    ck_assert_msg(status == EXIT_FINE, "status %d: %s", status, out);
    ck_assert_ptr_nonnull(strstr(out, "good: the whole rest of 5 minutes was kept"));
    ck_assert_ptr_nonnull(strstr(out, "good: 2 of 2 readings count"));
    for (const char *at = out; (at = strstr(at, "\nS-")); at++)
        pages++;
    for (const char *at = out; (at = strstr(at, "DEMO: invented data, the clock runs 30 times too fast\nS-")); at++)
        labelled++;
    ck_assert_int_gt(pages, 10);
    ck_assert_int_eq(labelled, pages);
}
END_TEST

int main(void)
{
    TCase *t = run_case_new("command line", 300);
    tcase_add_loop_test(t, command_line_ends_as_documented, 0, (int)ARRAY_LEN(LINES));
    int verbs = 0;
    while (COMMANDS[verbs].name)
        verbs++;
    tcase_add_loop_test(t, help_fits_79_columns, 0, verbs);
    tcase_add_test(t, command_line_refusals_create_no_store);
    tcase_add_test(t, kit_and_people_keep_what_is_added);
    tcase_add_test(t, first_run_is_done_in_a_dozen_keys);
    tcase_add_test(t, sit_left_open_is_taken_up_again);
    tcase_add_test(t, verify_names_what_differs);
    tcase_add_test(t, backup_is_whole_and_touches_no_file_that_is_there);
    tcase_add_test(t, demo_plays_a_whole_sitting_and_says_so_on_every_page);
    return run_case(t);
}
