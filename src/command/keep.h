/* SPDX-License-Identifier: GPL-3.0-or-later */
/** @file keep.h  Memory for many small things, begun as zeros and freed as a whole. */
#ifndef STILLARM_COMMAND_KEEP_H
#define STILLARM_COMMAND_KEEP_H

#include <stddef.h>

struct keep_block;
struct keep { struct keep_block *last; }; /* begins as zeros */

/** size bytes, at most 60,000; NULL when memory is short. */
void *keep_more(struct keep *k, size_t size);
void keep_free(struct keep *k);

/** Zeros, given back with free; what is large comes in pages that are so, too, where the system has such. NULL: not enough memory. */
void *keep_blank(size_t size);

#endif
