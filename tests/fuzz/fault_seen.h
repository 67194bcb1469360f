/* SPDX-License-Identifier: GPL-3.0-or-later */
/** @file fault_seen.h  Faults of a text named `name`: each can be shown, and names a line that is there. */
#ifndef STILLARM_FUZZ_FAULT_SEEN_H
#define STILLARM_FUZZ_FAULT_SEEN_H

#include <string.h>

#include "fuzz/fuzz.h"
#include "stillarm/text.h"

struct seen {
    int faults, lines;
};

static inline struct seen seen_begin(const char *text)
{
    struct seen seen = {.lines = 1};
    for (const char *c = text; *c; c++)
        seen.lines += *c == '\n';
    return seen;
}

static inline void look_at_fault(void *user, const char *fault)
{
    struct seen *seen = user;
    char *end = NULL;
    HOLDS(is_plain_text(fault, 399));
    HOLDS(strncmp(fault, "name:", 5) == 0);
    long line = strtol(fault + 5, &end, 10);
    HOLDS(line >= 1 && line <= seen->lines && strncmp(end, ": ", 2) == 0);
    seen->faults++;
}

#endif
