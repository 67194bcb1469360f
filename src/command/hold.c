/* SPDX-License-Identifier: GPL-3.0-or-later */
/** @file hold.c  The lock file beside the store. */
#include "command/hold.h"

#include <errno.h>
#include <fcntl.h>
#include <stdio.h>
#include <unistd.h>

enum status hold_take(const char *path, int64_t id, int *fd, struct err *e)
{
    char name[1100];
    int n = snprintf(name, sizeof name, "%s.lock", path);
    *fd = -1;
    if (n < 0 || (size_t)n >= sizeof name)
        return ST_OK;
    int file = open(name, O_RDWR | O_CREAT | O_CLOEXEC | O_NOFOLLOW, 0600);
    if (file < 0)
        return ST_OK;
    struct flock lock = { .l_type = F_WRLCK, .l_whence = SEEK_SET, .l_start = (off_t)id, .l_len = 1 };
    if (fcntl(file, F_SETLK, &lock) == 0) {
        *fd = file;
        return ST_OK;
    }
    int why = errno;
    close(file);
    if (why != EACCES && why != EAGAIN)
        return ST_OK; /* a file system without locks */
    return err_set(e, ST_LOCKED, "S-%03d is open in another window. Go on there, or start a new sitting here.", (int)id);
}

void hold_release(int fd)
{
    if (fd >= 0)
        close(fd);
}
