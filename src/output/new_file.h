/* SPDX-License-Identifier: GPL-3.0-or-later */
/** @file new_file.h  Writes a file that was not there before, whole or not at all. */
#ifndef STILLARM_NEW_FILE_H
#define STILLARM_NEW_FILE_H

#include <stddef.h>
#include <sys/types.h>

#include "stillarm/err.h"

/** Never over a file that is there: it may be the only copy of what was. Written aside in the same folder first, so that
 *  the name never stands for a part. On the disk when this returns ST_OK.
 *  ST_EXISTS, ST_PERMISSION, ST_FULL, ST_IO: nothing is left there. */
enum status new_file_write(const char *name, const char *text, size_t len, mode_t mode, struct err *e) MUST_USE;

#endif
