/* SPDX-License-Identifier: GPL-3.0-or-later */
/** @file review.c  The verb `review`. */
#include "command/command.h"

int verb_review(const struct command_line *line)
{
    struct err e;
    (void)line;
    err_set(&e, ST_USAGE, "review is not built yet.");
    return command_fail(&e);
}
