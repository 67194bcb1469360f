/* SPDX-License-Identifier: GPL-3.0-or-later */
/** @file export.c  The verb `export`: a sitting with everything that was signed about it, into a file of its own. */
#include <errno.h>
#include <fcntl.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

#include "command/proof.h"
#include "command/workplace.h"

/* Never over a file that is there: it may be the only copy of what was. */
static enum status write_file(const char *name, const char *text, size_t len, struct err *e)
{
    int fd = open(name, O_WRONLY | O_CREAT | O_EXCL | O_CLOEXEC, 0600);
    if (fd < 0 && errno == EEXIST)
        return err_set(e, ST_EXISTS, "%.200s is there already and was left as it is. Give another name.", name);
    if (fd < 0)
        return err_set(e, errno == EACCES || errno == EPERM ? ST_PERMISSION : ST_IO, "%.200s cannot be written: %s.", name,
                       strerror(errno));
    size_t done = 0;
    bool is_right = true;
    while (is_right && done < len) {
        ssize_t n = write(fd, text + done, len - done);
        is_right = n > 0 || (n < 0 && errno == EINTR);
        done += n > 0 ? (size_t)n : 0;
    }
    is_right = is_right && fsync(fd) == 0;
    int failed = errno;
    if (close(fd) != 0 && is_right) {
        failed = errno;
        is_right = false;
    }
    if (is_right)
        return ST_OK;
    (void)unlink(name);
    return err_set(e, failed == ENOSPC ? ST_FULL : ST_IO, "%.200s could not be written whole: %s. Nothing was left there.", name,
                   strerror(failed));
}

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
        status = strcmp(name, "-") == 0 ? write_out(text, len, &e) : write_file(name, text, len, &e);
    free(text);
    workplace_close(&w);
    return status == ST_OK ? EXIT_FINE : command_fail(&e);
}
