/* SPDX-License-Identifier: GPL-3.0-or-later */
/** @file home_desk.h  What the home page says of the review desk. */
#ifndef STILLARM_COMMAND_HOME_DESK_H
#define STILLARM_COMMAND_HOME_DESK_H

#include "guide/home.h"
#include "store/signed.h"

#define HOME_GIVEN_DAYS 14 /* so long a result that was given is named */

/** Fill in what waits, what is sent back to whom, whose signature is owed, and which result the measurer was given lately. */
enum status home_desk(struct store *store, int32_t today, struct home_view *v, struct err *e) MUST_USE;

#endif
