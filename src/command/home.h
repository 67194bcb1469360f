/* SPDX-License-Identifier: GPL-3.0-or-later */
/** @file home.h  The home page's loop and the pages that it leads to. */
#ifndef STILLARM_COMMAND_HOME_H
#define STILLARM_COMMAND_HOME_H

#include "command/ui.h"

/** Stay on the home page until it is left; the exit status. */
int home_run(struct ui *ui);

void kit_page_run(struct ui *ui);
void people_page_run(struct ui *ui);
void sittings_page_run(struct ui *ui);

#endif
