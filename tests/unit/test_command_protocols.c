/* SPDX-License-Identifier: GPL-3.0-or-later */
/** @file test_command_protocols.c  The verb `protocols`: the list, one whole, and where a site goes its own way. */
#include <check.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "command/command.h"
#include "command_run.h"
#include "config/protocols.h"

/* us-adult copied with three values changed. */
#define SITE                                                                                                            \
    "mkdir p && cp $STILLARM_PROTOCOLS/us-adult.protocol p && sed -e 's/^id = us-adult/id = site-adult\\ncopied_from = "  \
    "us-adult/' -e '/^.key rest_s/,/^value/s/= 300/= 240/' -e '/^.key margin_mmhg/,/^value/s/= 30/= 40/' "              \
    "-e '/^.key readings_max/,/^value/s/= 5/= 4/' p/us-adult.protocol > p/site.protocol;"

START_TEST(protocols_lists_each_with_its_deviations)
{
    static const char *const HOLDS[] = { "us-adult", "Adult, United States", "site-adult", "3 places", NULL };
    must_print(SITE "$S protocols --protocol-dir p", HOLDS);
}
END_TEST

START_TEST(protocols_lists_all_that_come_with_the_program)
{
    static const char *const HOLDS[] = { "europe-adult",   "international-adult", "irregular-adult", "pregnancy",
                                         "standing-adult", "uk-adult",            "us-adult",        NULL };
    must_print("$S protocols", HOLDS);
}
END_TEST

START_TEST(protocols_shows_every_key_with_body_source_and_status)
{
    static char out[60000];
    ck_assert_int_eq(run("$S protocols us-adult", out, sizeof out), EXIT_FINE);
    for (int k = 0; k < KEY_COUNT; k++)
        ck_assert_msg(strstr(out, PROTOCOL_KEYS[k].name), "%s is missing: %s", PROTOCOL_KEYS[k].name, out);
    ck_assert_ptr_nonnull(strstr(out, "300 s                        ACC/AHA 2017           REST-1     published"));
    ck_assert_ptr_nonnull(strstr(out, "otherwise ESC 2024"));
    ck_assert_ptr_nonnull(strstr(out, "categories: us-2017"));
    ck_assert_ptr_nonnull(strstr(out, "Goes its own way: nowhere that is known"));
}
END_TEST

START_TEST(protocols_names_each_departure_of_a_sites_own)
{
    static const char *const HOLDS[] = { "copied from: us-adult", "rest before the first reading (rest_s) is 240 s; REST-1 says 300 s; us-adult has 300 s",
                                         "(margin_mmhg) is 40 mmHg; PALP-2 says 20 to 30 mmHg",
                                         "(readings_max) is 4; us-adult has 5", NULL };
    must_print(SITE "$S protocols site-adult --protocol-dir p", HOLDS);
}
END_TEST

/* A value that its source does not say is nobody's but this protocol's. */
START_TEST(protocols_credits_no_source_with_a_departing_value)
{
    static char out[60000];
    ck_assert_int_eq(run(SITE "$S protocols site-adult --protocol-dir p", out, sizeof out), EXIT_FINE);
    const char *row = strstr(out, "\nrest_s ");
    ck_assert_ptr_nonnull(row);
    ck_assert_msg(strncmp(row + 28, "240 s, this protocol's own; REST-1 says 300 s; us-adult", 55) == 0, "%s", row);
    ck_assert_ptr_null(strstr(out, "240 s                        "));
    ck_assert_ptr_nonnull(strstr(out, "readings_max               4, this protocol's own; no published source is known"));
}
END_TEST

START_TEST(protocols_says_in_the_list_what_each_asks_for)
{
    static const char *const HOLDS[] = { "3 readings, mean of the last two", "2 readings, mean of all",
                                         "2 readings, lower of the last two", NULL };
    must_print("$S protocols", HOLDS);
}
END_TEST

static const struct run_row LINES[] = {
    { "$S protocols nowhere", EXIT_USAGE, "is no protocol at hand" },
    { "$S protocols --protocol-dir .", EXIT_FILES, ".protocol" },
    { "$S protocols a b", EXIT_USAGE, "does not know what to do with" },
    { SITE "sed -i 's/^categories.*/categories = mars-1/' p/site.protocol; $S protocols --protocol-dir p", EXIT_FINE,
      "mars-1" },
    { SITE "sed -i 's/^copied_from.*/copied_from = nobody/' p/site.protocol; $S protocols --protocol-dir p", EXIT_FINE,
      "nobody" },
};

START_TEST(protocols_ends_as_documented)
{
    run_check(&LINES[_i]);
}
END_TEST

int main(void)
{
    TCase *t = run_case_new("command protocols", 60);
    tcase_add_test(t, protocols_lists_each_with_its_deviations);
    tcase_add_test(t, protocols_lists_all_that_come_with_the_program);
    tcase_add_test(t, protocols_shows_every_key_with_body_source_and_status);
    tcase_add_test(t, protocols_names_each_departure_of_a_sites_own);
    tcase_add_test(t, protocols_credits_no_source_with_a_departing_value);
    tcase_add_test(t, protocols_says_in_the_list_what_each_asks_for);
    tcase_add_loop_test(t, protocols_ends_as_documented, 0, (int)ARRAY_LEN(LINES));
    return run_case(t);
}
