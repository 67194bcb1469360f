/* SPDX-License-Identifier: GPL-3.0-or-later */
/** @file outside.h  Checks against the world outside the project, counted by how well each is founded. */
#ifndef TESTS_OUTSIDE_H
#define TESTS_OUTSIDE_H

#include <check.h>
#include <stdbool.h>

enum founded {
    PUBLISHED,       /* stands in a source that was read, or that a page which was read reports */
    CALCULATED,      /* follows from a published definition, table or data set */
    REFERENCE,       /* a general-purpose library of others gave it in this run */
    COMMON_PRACTICE, /* no source */
    JUDGEMENT,       /* a choice of this project, with no source */
    FROM_MEMORY,     /* not confirmed */
    FOUNDED_COUNT
};

/** One check of one value. source names where it comes from; the message carries both. Runs in the test's own process. */
void outside(enum founded how, const char *source, bool holds, const char *format, ...)
    __attribute__((format(printf, 4, 5)));

/** The same for a number: |got - want| <= tolerance. */
void outside_near(enum founded how, const char *source, const char *what, double got, double want, double tolerance);

/** Run the suite in this process (the counts are kept in it), print the counts, give main's exit status. */
int outside_run(Suite *suite);

#endif
