/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "command/yardstick_open.h"

#include <stdio.h>

void yardsticks_say_faults(const struct yardsticks *ys)
{
    for (int i = 0; i < ys->fault_count; i++)
        fprintf(stderr, "stillarm: %s (left out)\n", ys->faults[i]);
}

void yardstick_turn(struct yardstick_open *o, const struct protocols *ps, const struct yardstick *one)
{
    o->one = one;
    o->scheme = one->categories[0] ? protocols_scheme(ps, one->categories) : NULL;
}

enum status yardstick_open(const char *protocol_dir, const struct protocols *ps, const char *id, struct yardstick_open *out,
                           struct err *e)
{
    const char *wanted = id ? id : YARDSTICK_USUAL;
    enum status status = yardsticks_load(protocol_dir, ps, &out->all, e);
    if (status != ST_OK)
        return status;
    const struct yardstick *one = yardsticks_find(&out->all, wanted);
    if (!one)
        return err_set(e, id ? ST_USAGE : ST_NOT_FOUND, "There is no sound yardstick `%.40s`. %s comes with the program, and a "
                       "site's own lie in ~/.config/stillarm/yardsticks (docs/yardstick-files.md).", wanted, YARDSTICK_USUAL);
    yardstick_turn(out, ps, one);
    return ST_OK;
}
