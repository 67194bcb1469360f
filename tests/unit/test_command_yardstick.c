/* SPDX-License-Identifier: GPL-3.0-or-later */
/** @file test_command_yardstick.c  A yardstick that is faulty, or not there, is told one way by every verb that looks for one. */
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

int main(void)
{
    TCase *t = run_case_new("yardstick", 120);
    tcase_add_loop_test(t, a_faulty_yardstick_is_told_alike, 0, (int)(sizeof ROWS / sizeof ROWS[0]));
    return run_case(t);
}
