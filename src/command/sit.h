/* SPDX-License-Identifier: GPL-3.0-or-later */
/** @file sit.h  The loop of a sitting: page, key, events, store. */
#ifndef STILLARM_SIT_H
#define STILLARM_SIT_H

#include "command/session.h"
#include "command/ui.h"

enum sit_end {
    SIT_FINISHED,   /* sealed or stopped */
    SIT_LEFT_OPEN,  /* to go on with later */
    SIT_NOT_BEGUN,  /* left before anything was recorded */
    SIT_FAILED      /* e says why */
};

/** A new sitting. */
enum sit_end sit_new(struct ui *ui, struct err *e);
/** Go on with an open one. */
enum sit_end sit_resume(struct ui *ui, int64_t id, struct err *e);

/** Exit status of an end; says the failure. */
int sit_exit(enum sit_end end, const struct err *e);

#endif
