/* SPDX-License-Identifier: GPL-3.0-or-later */
/** @file yardstick_text.h  What a site takes for ready, read from *.yardstick files (docs/yardstick-files.md). */
#ifndef STILLARM_CONFIG_YARDSTICK_TEXT_H
#define STILLARM_CONFIG_YARDSTICK_TEXT_H

#include "config/protocols.h"
#include "stillarm/yardstick.h"

#define YARDSTICKS_MAX 16
#define YARDSTICK_USUAL "trainee" /* the one that comes with the program */

struct yardsticks {
    struct yardstick list[YARDSTICKS_MAX];
    int count;
    char (*faults)[400];  /* "FILE:LINE: reason" */
    int fault_count;
};
/** Read those of the site's folder (site_folder), in and beside the protocols' and among what came with the program; the first
 *  of an id is used. Free with yardsticks_free. ST_NOT_FOUND when none is sound; faults are listed either way. ps: sources and
 *  schemes are looked up there. */
enum status yardsticks_load(const char *protocol_dir, const struct protocols *ps, struct yardsticks *out, struct err *e) MUST_USE;
void yardsticks_free(struct yardsticks *ys);
const struct yardstick *yardsticks_find(const struct yardsticks *ys, const char *id);

/** Parse one from text. sources NULL: not looked up. */
enum status yardstick_parse(const char *name, const char *text, const struct source *sources, int source_count,
                            struct yardstick *out, protocol_fault_fn, void *user, struct err *e) MUST_USE;

#endif
