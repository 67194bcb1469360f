/* SPDX-License-Identifier: GPL-3.0-or-later */
/** @file test_command_print.c  The printed record says more than its events and is still a log; verify compares the row. */
#include <check.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "command/command.h"
#include "command_run.h"
#include "stillarm/err.h"

START_TEST(print_ends_with_the_result_and_what_it_is_worth)
{
    static const char *const HOLDS[] = { "# S-003", "# protocol us-adult", "# average left arm: 133/85 mmHg, from 3 readings (all)",
                                         "# category: stage 1 (US 2017/2025); high-normal (ESH 2023)\n# One visit is no diagnosis.\n", "# how exact:", "# refused attempts:", "-> rest.short", NULL };
    run_fill_store(NULL);
    must_print("$S --db s.db print 3", HOLDS);
}
END_TEST

START_TEST(print_says_why_a_stopped_sitting_has_no_average)
{
    static const char *const HOLDS[] = { "# no average of the right arm: The sitting was stopped, so nothing is averaged.", NULL };
    run_fill_store(NULL);
    must_print("$S --db s.db print 4", HOLDS);
}
END_TEST

/* Three values that differ from what their sources publish; the sitting keeps saying so after the files are gone. */
START_TEST(print_names_each_departure_at_the_top)
{
    static const char *const HOLDS[] = { "(rest_s) is 240 s; REST-1 says 300 s\n", "(margin_mmhg) is 40 mmHg; PALP-2 says 20 to 30 mmHg\n",
                                         "(interval_min_s) is 50 s; NUM-1 says 60 s\n", NULL };
    must("mkdir p && sed -e '/^.key rest_s/,/^value/s/= 300/= 240/' -e '/^.key margin_mmhg/,/^value/s/= 30/= 40/' "
         "-e '/^.key interval_min_s/,/^value/s/= 60/= 50/' $STILLARM_PROTOCOLS/us-adult.protocol > p/us.protocol");
    run_fill_store("p");
    must("rm -r p");
    must_print("$S --db s.db print 1 | sed '/^0.000 /,$d'", HOLDS);
    must_print("$S --db s.db worth 1", HOLDS);
    must("$S --db s.db print 1 | sed '/^0.000 /,$d' | grep -vc '^#' | grep -qx 0");
}
END_TEST

START_TEST(print_is_taken_by_replay_whole)
{
    char out[60000];
    run_fill_store(NULL);
    for (int id = 1; id <= 5; id++) {
        char line[200];
        snprintf(line, sizeof line, "$S --db s.db print %d | $S replay - && $S --db s.db print %d | grep -vc '^#'", id, id);
        ck_assert_msg(run(line, out, sizeof out) == EXIT_FINE, "%s", out);
        ck_assert_msg(!strstr(out, "\nno\t") && strncmp(out, "ok\t", 3) == 0, "%s", out);
    }
}
END_TEST

/* What could not have been accepted is still printed: somebody has to see it. */
START_TEST(print_of_a_log_that_cannot_be_judged_still_prints_it)
{
    static const char *const HOLDS[] = { "# the result cannot be told: ", "protocol us-adult", NULL };
    run_fill_store(NULL);
    must("sqlite3 s.db 'DROP TRIGGER events_no_delete; DELETE FROM events WHERE sitting = 1 AND seq = 5'");
    must_print("$S --db s.db print 1", HOLDS);
}
END_TEST

static const struct {
    const char *set, *holds;
} ROWS[] = {
    { "measurer = 'ben'", "the measurer is stored as `ben`, the events give `ana`" },
    { "day = 20200101", "the day is stored as 20200101, the events give " },
    { "protocol = 'europe-adult'", "the protocol is stored as `europe-adult`, the events give `us-adult`" },
};

START_TEST(verify_compares_measurer_day_and_protocol_of_the_row)
{
    char line[300], out[8000];
    run_fill_store(NULL);
    must("$S --db s.db verify");
    snprintf(line, sizeof line, "sqlite3 s.db \"UPDATE sittings SET %s WHERE id = 1\" && $S --db s.db verify", ROWS[_i].set);
    ck_assert_msg(run(line, out, sizeof out) == EXIT_UNFINISHED, "%s: %s", line, out);
    ck_assert_msg(strstr(out, ROWS[_i].holds), "%s: %s", line, out);
    ck_assert_ptr_nonnull(strstr(out, "1 thing is wrong, in 1 sitting."));
}
END_TEST

int main(void)
{
    TCase *t = run_case_new("command print", 60);
    tcase_add_test(t, print_ends_with_the_result_and_what_it_is_worth);
    tcase_add_test(t, print_says_why_a_stopped_sitting_has_no_average);
    tcase_add_test(t, print_names_each_departure_at_the_top);
    tcase_add_test(t, print_is_taken_by_replay_whole);
    tcase_add_test(t, print_of_a_log_that_cannot_be_judged_still_prints_it);
    tcase_add_loop_test(t, verify_compares_measurer_day_and_protocol_of_the_row, 0, (int)ARRAY_LEN(ROWS));
    return run_case(t);
}
