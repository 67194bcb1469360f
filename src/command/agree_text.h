/* SPDX-License-Identifier: GPL-3.0-or-later */
/** @file agree_text.h  What `agree` answers, as text and as JSON. */
#ifndef STILLARM_COMMAND_AGREE_TEXT_H
#define STILLARM_COMMAND_AGREE_TEXT_H

#include <stdio.h>

#include "command/agree_rows.h"
#include "stillarm/yardstick.h"

struct agree_answer {
    const char *file;               /* as messages name it */
    const struct agree_rows *rows;
    const struct yardstick *yardstick;
    const struct agree_frame *frame;
    const struct agreement *all;
};

/** All rows in words, then a table of the measurers unless there is one alone. */
void agree_print_text(const struct agree_answer *a, FILE *to);

/** The same and everything of each measurer, one after the other: what it takes does not grow with their number. */
enum status agree_print_json(const struct agree_answer *a, FILE *to, struct err *e) MUST_USE;

/** For standard error: how many rows were left out, by reason, and each of the first; which were empty. Nothing where there are none. */
void agree_print_aside(const struct agree_rows *r, FILE *to);

#endif
