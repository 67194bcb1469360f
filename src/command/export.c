/* SPDX-License-Identifier: GPL-3.0-or-later */
/** @file export.c  The verb `export`. */
#include "command/command.h"

int verb_export(const struct command_line *line)
{
    struct err e;
    (void)line;
    err_set(&e, ST_USAGE, "export is not built yet.");
    return command_fail(&e);
}
