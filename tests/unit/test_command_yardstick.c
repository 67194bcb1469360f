/* SPDX-License-Identifier: GPL-3.0-or-later */
/** @file test_command_yardstick.c  A yardstick that is faulty, or not there, is told one way by every verb that looks for one. */
#include <string.h>

#include "command/command.h"
#include "command_run.h"

/* A folder of protocols of a site's own, with a faulty yardstick beside them, and one pair as CSV. */
#define SITE \
    "mkdir -p site/protocols site/yardsticks && cp -r " TEST_SOURCE_DIR "/assets/protocols/* site/protocols/ && " \
    "printf '[yardstick]\\nid = ours\\ntitle = Ours\\npairs = nobody\\n' >site/yardsticks/ours.yardstick && " \
    "printf 'measurer,subject,measurer_systolic,measurer_diastolic,listener_systolic,listener_diastolic\\nana,s1,120,80,122,80\\n' " \
    ">p.csv && "
#define OWN " --protocol-dir site/protocols"
#define FAULT "stillarm: ours.yardstick:4: pairs is preceptors or anybody."
#define MISSING "There is no sound yardstick `ours`. trainee comes with the program"

static const struct run_row ROWS[] = {
    { SITE "$S agree p.csv" OWN, EXIT_FINE, FAULT },
    { SITE "$S --db s.db progress" OWN, EXIT_FINE, FAULT },
    { SITE "$S why OBS-5" OWN, EXIT_FINE, FAULT },
    { SITE "$S agree p.csv --yardstick ours" OWN, EXIT_USAGE, MISSING },
    { SITE "$S --db s.db progress --yardstick ours" OWN, EXIT_USAGE, MISSING },
};

START_TEST(a_faulty_yardstick_is_told_alike)
{
    run_fill_store(NULL);
    run_check(&ROWS[_i]);
}
END_TEST

START_TEST(a_folder_that_is_the_sites_and_the_protocols_tells_a_fault_once)
{
    static char out[20000];
    run_fill_store(NULL);
    ck_assert_int_eq(run(SITE "STILLARM_SITE=site $S --db s.db progress" OWN, out, sizeof out), EXIT_FINE);
    const char *first = strstr(out, FAULT);
    ck_assert_msg(first && !strstr(first + 1, FAULT), "%s", out);
}
END_TEST

/* The example of docs/yardstick-files.md: no protocol is copied. */
#define COPY(status) \
    "mkdir -p .config/stillarm/yardsticks && sed -e 's/^id = .*/id = our-course/' -e 's/^title = .*/title = Our course, first year/' " \
    "-e '/^\\[criterion near-5\\]/,/^$/ { s/^at-least = .*/at-least = 0.80/; s/^status = .*/status = " status "/ }' " \
    TEST_SOURCE_DIR "/assets/yardsticks/trainee.yardstick >.config/stillarm/yardsticks/our-course.yardstick && " \
    "HOME=$PWD XDG_CONFIG_HOME= STILLARM_SITE= $S --db s.db progress mira --yardstick our-course"

START_TEST(one_bound_is_changed_in_a_copy_that_lies_alone)
{
    static const char *const HOLDS[] = { "by the yardstick our-course; a preceptor decides Yardstick our-course: Our course, first year met ",
                                         "(judgement; OBS-5 has 90.0 %)", NULL };
    run_fill_course();
    must_print(COPY("judgement") " >out && tr -s ' \\n' ' ' <out", HOLDS); /* lines are folded */
}
END_TEST

START_TEST(json_tells_the_bound_that_the_source_has)
{
    static const char *const HOLDS[] = { "\"our-course\"", "\"source\":\"OBS-5\",\"status\":\"judgement\",\"source_has\":0.9", NULL };
    run_fill_course();
    must_print(COPY("judgement") " --json >out && tr -d ' \\n' <out | grep -o -e '\"our-course\"' -e '\"source\":\"OBS-5\"[^}]*'", HOLDS);
}
END_TEST

START_TEST(a_copy_whose_changed_bound_goes_on_being_published_is_refused)
{
    static const struct run_row ROW = { COPY("published"), EXIT_USAGE,
                                        "OBS-5 publishes at least 0.9 for near-5, by value. "
                                        "Write that, or status = judgement. (left out)\n" };
    run_fill_course();
    run_check(&ROW);
}
END_TEST

int main(void)
{
    TCase *t = run_case_new("yardstick", 120);
    tcase_add_loop_test(t, a_faulty_yardstick_is_told_alike, 0, (int)(sizeof ROWS / sizeof ROWS[0]));
    tcase_add_test(t, a_folder_that_is_the_sites_and_the_protocols_tells_a_fault_once);
    tcase_add_test(t, one_bound_is_changed_in_a_copy_that_lies_alone);
    tcase_add_test(t, json_tells_the_bound_that_the_source_has);
    tcase_add_test(t, a_copy_whose_changed_bound_goes_on_being_published_is_refused);
    return run_case(t);
}
