/* SPDX-License-Identifier: GPL-3.0-or-later */
/** @file r_run.h  One run of an R script, and the values that it printed. */
#ifndef TESTS_OUTSIDE_R_RUN_H
#define TESTS_OUTSIDE_R_RUN_H

#include <stdbool.h>

#define R_KEY_CAP 48

/** Run tests/outside/SCRIPT over a file; it prints lines `key TAB value`. Fails the test, in words, where R
 * is missing, ends with an error or prints what is no such line. */
void r_run(const char *script, const char *path);

enum r_answer { R_NOTHING, R_LACKS, R_VALUE }; /* no such key; its value is NA; a number */
enum r_answer r_value(const char *key, double *out);

void r_free(void);

#endif
