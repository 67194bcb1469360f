/* SPDX-License-Identifier: GPL-3.0-or-later */
/** @file backup.c  The verb `backup`: a whole copy of the store while it is in use. */
#include <stdio.h>

#include "command/workplace.h"

int verb_backup(const struct command_line *line)
{
    struct workplace w;
    struct err e = { 0 };
    if (workplace_open(&w, line, STORE_READ, WORKPLACE_STORE, &e) != ST_OK)
        return command_fail(&e);
    enum status status = store_backup(w.store, line->words[0], &e);
    if (status == ST_OK)
        printf("%s is copied to %s. stillarm --db %s verify checks the copy.\n", w.path, line->words[0], line->words[0]);
    workplace_close(&w);
    return status == ST_OK ? EXIT_FINE : command_fail(&e);
}
