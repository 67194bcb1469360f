/* SPDX-License-Identifier: GPL-3.0-or-later */
/** @file hold.h  One window per open sitting: an advisory lock that ends with the program, however it ends. */
#ifndef STILLARM_HOLD_H
#define STILLARM_HOLD_H

#include <stdint.h>

#include "stillarm/err.h"

/**
 * Hold sitting `id` of the store at `path`, by a lock on byte number `id` of the file PATH.lock.
 * One sitting at a time in a process: closing the file anywhere in it gives up every lock on it.
 * @param fd  for hold_release; -1 where no lock can be had (a folder that cannot be written): the work goes on without
 * @return ST_LOCKED when another window holds it, else ST_OK
 */
enum status hold_take(const char *path, int64_t id, int *fd, struct err *e) MUST_USE;
void hold_release(int fd); /* -1 is fine */

#endif
