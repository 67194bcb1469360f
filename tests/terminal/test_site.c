/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Files of a site that will not do: each is told with file, line and reason, where a terminal is and where none is; all that
 * is sound stays usable. */
#include <check.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "booth_kit.h"
#include "sitting_tour.h"
#include "stillarm/err.h"

#define NONE {NULL, NULL, NULL}

static struct kit k;
static char output[65536], folder[96];

static const struct bad_file {
    const char *asset, *name;
    struct booth_change changes[3];
    const char *told;
} BAD[] = {
    {"categories/us-2017.category", "gap.category",
     {{"", "id = us-2017", "id = gap"}, {"[band stage-1]", "130 to 139", "131 to 139"}, NONE},
     "gap.category:23: stage-1 leaves a gap behind elevated: a systolic of 130 lies in no band."},
    {"categories/us-2017.category", "overlap.category",
     {{"", "id = us-2017", "id = overlap"}, {"[band stage-1]", "80 to 89", "79 to 89"}, NONE},
     "overlap.category:24: stage-1 "},
    {"categories/us-2017.category", "order.category",
     {{"", "id = us-2017", "id = order"}, {"[band elevated]", "120 to 129", "129 to 120"}, NONE},
     "order.category:18: "},
    {"protocols/us-adult.protocol", "scheme.protocol",
     {{"", "id = us-adult", "id = scheme"}, {"", "us-2017, esh-2023", "us-2017, nowhere-1999"}, NONE},
     "scheme.protocol:9: there is no sound category scheme nowhere-1999."},
    {"protocols/us-adult.protocol", "source.protocol",
     {{"", "id = us-adult", "id = source"}, {"[key settle_s]", "PALP-7", "PALP-77"}, NONE},
     "source.protocol:30: there is no source PALP-77 in sources.ini."},
    {"protocols/us-adult.protocol", "base.protocol",
     {{"", "id = us-adult", "id = base\ncopied_from = nobody"}, NONE, NONE},
     "base.protocol:6: there is no sound protocol nobody"},
};

static void open_booth(void)
{
    booth_open();
    snprintf(folder, sizeof folder, "%s/protocols", booth_folder);
    booth_copy_protocol(folder);
    ck_assert_int_eq(setenv("STILLARM_PROTOCOLS", folder, 1), 0);
}

static void close_booth(void)
{
    ck_assert_int_eq(unsetenv("STILLARM_PROTOCOLS"), 0);
    booth_close();
}

static void put(const struct bad_file *bad)
{
    char path[160];
    snprintf(path, sizeof path, "%s/%s", folder, bad->name);
    booth_copy(bad->asset, path, bad->changes);
}

/* Home tells it; a sitting with the sound protocol is begun from there. */
static void check_home(const char *told)
{
    const char *argv[] = {TEST_DRIVEN_PROGRAM, "--db", booth_db, NULL};
    static const struct tour_move ON[] = {
        {0, "not offered any more", "\r"},
        {0, "Who is here?", "\r"},
        {0, "Enter opens the sitting", "\r"},
        {0, "not yet: which protocol?", " "},
        {0, "our-clinic", "\r"},
        {0, "No caffeine", "q"},
        {0, "start a sitting", "q"},
    };
    ck_assert(kit_start(&k, &(struct kit_options){.argv = argv, .cols = 160}));
    ck_assert_msg(kit_wait(&k, told, KIT_WAIT_MS), "'%s' is not said:\n%s", told, kit_screen(&k));
    tour_drive(&k, ON, ARRAY_LEN(ON));
    kit_stop(&k, KIT_WAIT_MS);
}

START_TEST(a_file_that_will_not_do_is_told_by_line_and_the_rest_stays)
{
    const struct bad_file *bad = &BAD[_i];
    const char *const expected[] = {bad->told, "our-clinic", NULL};
    put(bad);
    ck_assert_msg(booth_run(TEST_DRIVEN_PROGRAM, "protocols", output, sizeof output) == 0, "%.*s", BOOTH_TOLD_MAX, output);
    booth_must_hold(output, expected);
    check_home(bad->told);
}
END_TEST

START_TEST(several_such_files_are_all_told_and_home_counts_them)
{
    for (size_t i = 0; i < ARRAY_LEN(BAD); i++)
        put(&BAD[i]);
    ck_assert_msg(booth_run(TEST_DRIVEN_PROGRAM, "protocols", output, sizeof output) == 0, "%.*s", BOOTH_TOLD_MAX, output);
    for (size_t i = 0; i < ARRAY_LEN(BAD); i++)
        ck_assert_msg(strstr(output, BAD[i].told) != NULL, "'%s' is missing from\n%.*s", BAD[i].told, BOOTH_TOLD_MAX,
                      output);
    check_home("(and 5 more like it)");
}
END_TEST

int main(void)
{
    Suite *s = suite_create("site");
    TCase *tc = tcase_create("files");
    tcase_set_timeout(tc, 60);
    tcase_add_checked_fixture(tc, open_booth, close_booth);
    tcase_add_loop_test(tc, a_file_that_will_not_do_is_told_by_line_and_the_rest_stays, 0, (int)ARRAY_LEN(BAD));
    tcase_add_test(tc, several_such_files_are_all_told_and_home_counts_them);
    suite_add_tcase(s, tc);
    SRunner *sr = srunner_create(s);
    srunner_run_all(sr, CK_NORMAL);
    const int failed = srunner_ntests_failed(sr);
    srunner_free(sr);
    return failed != 0;
}
