/* SPDX-License-Identifier: GPL-3.0-or-later */
/** @file new_file.c  Opens for nobody else, writes on through interruptions, and takes away what is not whole. */
#include "command/new_file.h"

#include <errno.h>
#include <fcntl.h>
#include <stdbool.h>
#include <string.h>
#include <unistd.h>

enum status new_file_write(const char *name, const char *text, size_t len, mode_t mode, struct err *e)
{
    int fd = open(name, O_WRONLY | O_CREAT | O_EXCL | O_CLOEXEC, mode);
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
