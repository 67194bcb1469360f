/* SPDX-License-Identifier: GPL-3.0-or-later */
/** @file first_run.h  Leads through what a new store lacks. */
#ifndef STILLARM_COMMAND_FIRST_RUN_H
#define STILLARM_COMMAND_FIRST_RUN_H

#include "command/ui.h"

/** Ask for what is missing: a measurer and place, a protocol, a gauge, cuffs. Each answer is stored at once, so that
 *  leaving half way loses nothing. ST_OK when all is there, ST_USAGE when the measurer left, else the store's failure. */
enum status first_run(struct ui *ui, struct err *e) MUST_USE;

/** A form for another gauge, cuff or person, from the kit and people pages; false when left. */
bool ask_for_gauge(struct ui *ui);
bool ask_for_cuff(struct ui *ui);
bool ask_for_person(struct ui *ui);

/** A form's check of the two fields of a calibration; on: the place of the first. */
enum status check_calibration(const struct form *f, int on, int field, struct err *e) MUST_USE;

#endif
