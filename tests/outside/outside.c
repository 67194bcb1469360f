/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "outside/outside.h"

#include <math.h>
#include <stdarg.h>
#include <stdio.h>
#include <stdlib.h>

static const char *const FOUNDED[FOUNDED_COUNT] = {
    [PUBLISHED] = "published",
    [CALCULATED] = "calculated from what is published",
    [REFERENCE] = "reference library",
    [COMMON_PRACTICE] = "common practice, no source",
    [JUDGEMENT] = "judgement",
    [FROM_MEMORY] = "from memory",
};

static int checked[FOUNDED_COUNT];

void outside(enum founded how, const char *source, bool holds, const char *format, ...)
{
    char what[300];
    va_list ap;
    va_start(ap, format);
    (void)vsnprintf(what, sizeof what, format, ap);
    va_end(ap);
    checked[how]++;
    ck_assert_msg(holds, "%s [%s; %s]", what, source, FOUNDED[how]);
}

void outside_near(enum founded how, const char *source, const char *what, double got, double want, double tolerance)
{
    outside(how, source, fabs(got - want) <= tolerance, "%s is %.12g, not %.12g within %.3g", what, got, want, tolerance);
}

int outside_run(Suite *suite)
{
    SRunner *runner = srunner_create(suite);
    srunner_set_fork_status(runner, CK_NOFORK);
    srunner_run_all(runner, CK_NORMAL);
    int failed = srunner_ntests_failed(runner);
    srunner_free(runner);
    /* tests/run.sh adds these lines up over all programs. */
    for (int i = 0; i < FOUNDED_COUNT; i++)
        printf("outside checks, %s: %d\n", FOUNDED[i], checked[i]);
    return failed == 0 ? EXIT_SUCCESS : EXIT_FAILURE;
}
