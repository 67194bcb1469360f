/* SPDX-License-Identifier: GPL-3.0-or-later */
/** @file progress_chart.h  The graphs of a person's record. Pure. */
#ifndef STILLARM_PROGRESS_CHART_H
#define STILLARM_PROGRESS_CHART_H

#include "guide/progress.h"

/** side: for those of one side each. */
void progress_chart(const struct progress *p, const struct yardstick *y, enum chart_kind kind, enum side side, struct chart *out);
/** Both sides where a graph is of one each. until_day: as it stood then. */
void progress_sheet(const struct progress *p, const struct yardstick *y, enum chart_kind kind, int32_t until_day, struct chart_sheet *out);
/** What a graph shows, in words: where nothing can be drawn. */
void say_chart(const struct chart *c, progress_line_fn, void *user);

#endif
