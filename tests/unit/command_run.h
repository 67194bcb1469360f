/* SPDX-License-Identifier: GPL-3.0-or-later */
/** @file command_run.h  Runs the built program on shell lines in a folder of its own. */
#ifndef STILLARM_COMMAND_RUN_H
#define STILLARM_COMMAND_RUN_H

#include <check.h>
#include <stddef.h>

/** The folder of the test that runs now. */
extern char run_folder[64];

/** A case whose tests each have such a folder; give it to run_case, which runs it. @return the program's exit status */
TCase *run_case_new(const char *name, int timeout_s);
int run_case(TCase *t);

/** Run a shell line in the folder, where $S is the program and s.db its store; out receives both streams. */
int run(const char *line, char *out, size_t cap);

/** The same, which must end with 0. */
void must(const char *line);

/** The same; what it prints must hold each of the texts, ended by NULL. */
void must_print(const char *line, const char *const *holds);

/** How a command line ends, and a part of what it prints. */
struct run_row {
    const char *line;
    int status;
    const char *holds;
};
void run_check(const struct run_row *row);

/** Fill s.db with the demo's invented sittings, under protocols of this folder (NULL: those that come with it). */
void run_fill_store(const char *protocol_dir);
/** The same with the three months of a course before them, as `demo` does. */
void run_fill_course(void);

#endif
