/* SPDX-License-Identifier: GPL-3.0-or-later */
/** @file keys.c  The verb `keys`. */
#include "command/command.h"

int verb_keys(const struct command_line *line)
{
    struct err e;
    (void)line;
    err_set(&e, ST_USAGE, "keys is not built yet.");
    return command_fail(&e);
}
