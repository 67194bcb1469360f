/* SPDX-License-Identifier: GPL-3.0-or-later */
/** @file export.c  The verb `export`: a sitting with everything that was signed about it, into a file of its own. */
#include <errno.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "output/new_file.h"
#include "command/proof.h"
#include "command/workplace.h"

static enum status write_out(const char *text, size_t len, struct err *e)
{
    if (fwrite(text, 1, len, stdout) == len && fflush(stdout) == 0)
        return ST_OK;
    return err_set(e, ST_IO, "Standard output took only a part of it: %s.", strerror(errno));
}

int verb_export(const struct command_line *line)
{
    struct workplace w;
    struct err e = { 0 };
    int64_t id = 0;
    char *text = NULL;
    size_t len = 0;
    enum status status = parse_sitting(line->words[0], &id, &e);
    if (status == ST_OK)
        status = workplace_open(&w, line, STORE_READ, WORKPLACE_STORE, &e);
    if (status != ST_OK)
        return command_fail(&e);
    const char *name = line->word_count > 1 ? line->words[1] : "-";
    status = export_sitting(w.store, id, &text, &len, &e);
    if (status == ST_OK)
        status = strcmp(name, "-") == 0 ? write_out(text, len, &e) : new_file_write(name, text, len, 0600, &e);
    free(text);
    workplace_close(&w);
    return status == ST_OK ? EXIT_FINE : command_fail(&e);
}
