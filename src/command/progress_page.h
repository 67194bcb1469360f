/* SPDX-License-Identifier: GPL-3.0-or-later */
/** @file progress_page.h  The pages of progress: the group, and each person leaf by leaf. */
#ifndef STILLARM_PROGRESS_PAGE_H
#define STILLARM_PROGRESS_PAGE_H

#include "command/ui.h"

/** Stay until they are left. */
void progress_page_run(struct ui *ui);

#endif
