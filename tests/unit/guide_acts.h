/* SPDX-License-Identifier: GPL-3.0-or-later */
/** @file guide_acts.h  What the tests of acts beside the plain way share: a protocol to change, and the way to a squeeze. */
#ifndef TESTS_GUIDE_ACTS_H
#define TESTS_GUIDE_ACTS_H

#include <stdlib.h>

#include "guide_hand.h"

static struct hand h;
static struct protocol own; /* the shipped one, with what a case needs changed */

static inline void begin(void)
{
    hand_begin(&h, "us-adult");
    own = *h.known;
    h.known = &own;
}

/* To the listening page: the pulse goes at `gone`. */
static inline void prepare_at(bool is_return, const char *arm_key, const char *gone)
{
    if (is_return)
        open_return(&h);
    else
        open_new(&h);
    ready(&h);
    take_arm(&h, arm_key);
    rest_with_kit(&h);
    feel(&h, gone);
    pass(&h, 35);
}

/* Squeeze, let out, and be asked for the figures. */
static inline void squeeze(void)
{
    ck_page(&h, "listening-before");
    press(&h, " ");
    pass(&h, 60);
    press(&h, " ");
    ck_page(&h, "entry");
}

/* A suite of these tests; each begins anew, in this way. */
static inline int run_acts_from(void (*begins)(void), const char *name, const TTest *const *tests, int count, const TTest *each,
                                int each_count)
{
    Suite *suite = suite_create(name);
    TCase *tc = tcase_create(name);
    tcase_add_checked_fixture(tc, begins, NULL);
    for (int i = 0; i < count; i++)
        tcase_add_test(tc, tests[i]);
    if (each)
        tcase_add_loop_test(tc, each, 0, each_count);
    suite_add_tcase(suite, tc);
    SRunner *runner = srunner_create(suite);
    srunner_run_all(runner, CK_NORMAL);
    int failed = srunner_ntests_failed(runner);
    srunner_free(runner);
    return failed == 0 ? EXIT_SUCCESS : EXIT_FAILURE;
}

static inline int run_acts(const char *name, const TTest *const *tests, int count, const TTest *each, int each_count)
{
    return run_acts_from(begin, name, tests, count, each, each_count);
}

#endif
