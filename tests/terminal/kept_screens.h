/* SPDX-License-Identifier: GPL-3.0-or-later */
/** @file kept_screens.h  Pages that are kept as text under docs/screens/, so that a changed screen shows in a diff. */
#ifndef STILLARM_KEPT_SCREENS_H
#define STILLARM_KEPT_SCREENS_H

#include <stdbool.h>
#include <stddef.h>

#define KEPT_CAP 65536
#define KEPT_DESK "desk-" /* how the names of the review desk's pages begin */
#define KEPT_PROGRESS "progress-" /* those of the pages of progress */
#define KEPT_DEMO_PROGRESS "demo-progress-" /* those of the demo's trainees */
#define KEPT_WATCHED "watched-" /* and those of a whole sitting before a witness */

/** The text of a kept page; false when there is none of that name. */
bool kept_read(const char *page, char out[KEPT_CAP]);
/** Written aside and renamed, so that a killed test leaves no half page; untouched when nothing changed. */
void kept_write(const char *page, const char *screen);

#endif
