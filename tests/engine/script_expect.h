/* SPDX-License-Identifier: GPL-3.0-or-later */
/** @file script_expect.h  A script that runs, and what its lines that begin with `=` hold it to. */
#ifndef STILLARM_TEST_SCRIPT_EXPECT_H
#define STILLARM_TEST_SCRIPT_EXPECT_H

#include "oracle.h"
#include "run_script.h"

#define WORDS_MAX 12

struct runner {
    struct sitting s;
    struct protocol p;
    bool has_protocol;
    struct oracle oracle;
    struct event *log;
    int log_count;
    int64_t time; /* of the line before */
    char where[300];
    struct coverage *cov;
    char *why;
    size_t cap;
};

/** Says where and why the script fails. @return false */
__attribute__((format(printf, 2, 3))) bool script_fail(struct runner *r, const char *format, ...);

int script_split(char *line, char *words[WORDS_MAX]);
bool script_parse_ms(const char *s, int64_t *out);

/** One assertion, without its `= `. */
bool script_expect(struct runner *r, char *line);

#endif
