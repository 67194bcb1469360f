/* SPDX-License-Identifier: GPL-3.0-or-later */
/** @file yardstick_open.h  The yardstick that a verb or a page holds figures against, found and refused one way. */
#ifndef STILLARM_YARDSTICK_OPEN_H
#define STILLARM_YARDSTICK_OPEN_H

#include "config/yardstick_text.h"

struct yardstick_open {
    struct yardsticks all; /* large */
    const struct yardstick *one;
    const struct category_scheme *scheme; /* that it names; NULL: none */
};

/**
 * Read what yardsticks there are and find one.
 * @param id   NULL: the usual one
 * @param out  give back with yardsticks_free(&out->all), also after a failure; out->all holds the faults either way
 * @return ST_USAGE where the one that was named is not there, ST_NOT_FOUND where the usual one, or any, is not
 */
enum status yardstick_open(const char *protocol_dir, const struct protocols *ps, const char *id, struct yardstick_open *out,
                           struct err *e) MUST_USE;

/** Go over to another one of all, with the categories that it names. */
void yardstick_turn(struct yardstick_open *o, const struct protocols *ps, const struct yardstick *one);

/** Say on standard error which yardstick files were left out, and why. Not while a page is shown. */
void yardsticks_say_faults(const struct yardsticks *ys);

#endif
