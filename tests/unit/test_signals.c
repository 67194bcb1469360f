/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What a terminal that goes away leaves time for. */
#include <check.h>
#include <signal.h>
#include <stdlib.h>

#include "terminal/renderer.h"

START_TEST(who_was_told_once_is_not_killed_on_the_way_out)
{
    signals_open();
    ck_assert(!signals_hung_up());
    ck_assert_int_eq(raise(SIGHUP), 0); /* held back until somebody waits, or until the end */
    signals_close();
    ck_assert(signals_hung_up());
    ck_assert_int_eq(raise(SIGHUP), 0); /* the default would end the program here */
    ck_assert_int_eq(raise(SIGTERM), 0);
}
END_TEST

START_TEST(who_was_not_told_gets_the_signals_back)
{
    struct sigaction now;
    signals_open();
    signals_close();
    ck_assert_int_eq(sigaction(SIGHUP, NULL, &now), 0);
    ck_assert(now.sa_handler == SIG_DFL);
}
END_TEST

int main(void)
{
    Suite *s = suite_create("signals");
    TCase *t = tcase_create("hang up");
    suite_add_tcase(s, t);
    tcase_add_test(t, who_was_told_once_is_not_killed_on_the_way_out);
    tcase_add_test(t, who_was_not_told_gets_the_signals_back);
    SRunner *r = srunner_create(s);
    srunner_run_all(r, CK_NORMAL);
    int failed = srunner_ntests_failed(r);
    srunner_free(r);
    return failed ? EXIT_FAILURE : EXIT_SUCCESS;
}
