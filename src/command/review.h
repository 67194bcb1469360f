/* SPDX-License-Identifier: GPL-3.0-or-later */
/** @file review.h  The review desk: the queue of sittings, and each of them as it happened, to be signed or sent back. */
#ifndef STILLARM_COMMAND_REVIEW_H
#define STILLARM_COMMAND_REVIEW_H

#include <stdint.h>

#include "command/ui.h"

/** Stay at the desk until it is left. id: the sitting to read; 0: the queue. */
void review_run(struct ui *ui, int64_t id);

#endif
