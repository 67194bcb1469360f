/* SPDX-License-Identifier: GPL-3.0-or-later */
/** @file sign.c  The verb `sign`. */
#include "command/command.h"

int verb_sign(const struct command_line *line)
{
    struct err e;
    (void)line;
    err_set(&e, ST_USAGE, "sign is not built yet.");
    return command_fail(&e);
}
