/* SPDX-License-Identifier: GPL-3.0-or-later */
/** @file new_file.c  Writes aside, on through interruptions, names the file once it is whole, and takes away what is not. */
#include "output/new_file.h"

#include <errno.h>
#include <fcntl.h>
#include <limits.h>
#include <stdbool.h>
#include <stdio.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

static enum status say_exists(const char *name, struct err *e)
{
    return err_set(e, ST_EXISTS, "%.200s is there already and was left as it is. Give another name.", name);
}

static enum status say_failed(const char *name, int failed, struct err *e)
{
    if (failed == EEXIST)
        return say_exists(name, e);
    if (failed == EACCES || failed == EPERM)
        return err_set(e, ST_PERMISSION, "%.200s cannot be written: %s. Name a folder that you may write to.", name,
                       strerror(failed));
    if (failed == ENOSPC || failed == EDQUOT || failed == EFBIG)
        return err_set(e, ST_FULL, "%.200s could not be written whole: %s. Nothing was left there; make room or name "
                       "another place.", name, strerror(failed));
    return err_set(e, ST_IO, "%.200s cannot be written: %s. Nothing was left there; name another place.", name,
                   strerror(failed));
}

/* A new file of this name with all of the text on the disk. Returns 0 or what failed, and then leaves nothing. */
static int write_whole(const char *name, const char *text, size_t len, mode_t mode)
{
    int fd = open(name, O_WRONLY | O_CREAT | O_EXCL | O_CLOEXEC, mode), failed = 0;
    if (fd < 0)
        return errno;
    for (size_t done = 0; failed == 0 && done < len;) {
        ssize_t n = write(fd, text + done, len - done);
        if (n < 0 && errno != EINTR)
            failed = errno;
        done += n > 0 ? (size_t)n : 0;
    }
    if (failed == 0 && fsync(fd) != 0)
        failed = errno;
    if (close(fd) != 0 && failed == 0)
        failed = errno;
    if (failed != 0)
        (void)unlink(name);
    return failed;
}

/* Beside the file, by a name of its own: another run's may lie there, were it killed. */
static int write_aside(const char *name, const char *text, size_t len, mode_t mode, char aside[PATH_MAX])
{
    const char *slash = strrchr(name, '/');
    size_t folder = slash == NULL ? 0 : (size_t)(slash - name) + 1;
    int failed = EEXIST;

    for (int i = 0; failed == EEXIST && i < 100; i++) {
        int n = snprintf(aside, PATH_MAX, "%.*s.stillarm-%ld-%d", folder < PATH_MAX ? (int)folder : 0, name, (long)getpid(), i);
        failed = folder >= PATH_MAX || n >= PATH_MAX ? ENAMETOOLONG : write_whole(aside, text, len, mode);
    }
    return failed;
}

/* The name itself has to outlive a loss of power. Where the system cannot do that for a folder, nothing can. */
static void sync_folder(const char *name)
{
    char folder[PATH_MAX];
    const char *slash = strrchr(name, '/');
    int n = slash == NULL ? snprintf(folder, sizeof folder, ".")
                          : snprintf(folder, sizeof folder, "%.*s", (int)(slash - name) + 1, name);
    int fd = n < (int)sizeof folder ? open(folder, O_RDONLY | O_DIRECTORY | O_CLOEXEC) : -1;
    if (fd < 0)
        return;
    (void)fsync(fd);
    (void)close(fd);
}

enum status new_file_write(const char *name, const char *text, size_t len, mode_t mode, struct err *e)
{
    char aside[PATH_MAX];
    struct stat there;

    if (lstat(name, &there) == 0)
        return say_exists(name, e);
    int failed = write_aside(name, text, len, mode, aside);
    if (failed != 0)
        return say_failed(name, failed, e);
    failed = link(aside, name) == 0 ? 0 : errno; /* unlike rename, never over what came there meanwhile */
    (void)unlink(aside);
    /* Memory sticks often have no links; then the name itself must do. */
    if (failed == EPERM || failed == ENOTSUP || failed == ENOSYS || failed == EMLINK)
        failed = write_whole(name, text, len, mode);
    if (failed != 0)
        return say_failed(name, failed, e);
    sync_folder(name);
    return ST_OK;
}
