/* SPDX-License-Identifier: GPL-3.0-or-later */
/** @file progress_chart.h  What the pages of progress share: the graphs of a person's record, days, the caution. Pure. */
#ifndef STILLARM_PROGRESS_CHART_H
#define STILLARM_PROGRESS_CHART_H

#include "guide/progress.h"

/** On every page, where it takes no row of its own. */
#define PROGRESS_CAUTION "An aid to training; it certifies nobody"
/** 2031-03-02 */
void progress_say_day(int32_t yyyymmdd, char out[16]);

/** side: for those of one side each. */
void progress_chart(const struct progress *p, const struct yardstick *y, enum chart_kind kind, enum side side, struct chart *out);
/** Both sides where a graph is of one each. until_day: as it stood then. */
void progress_sheet(const struct progress *p, const struct yardstick *y, enum chart_kind kind, int32_t until_day, struct chart_sheet *out);
/** What a graph shows, in words: where nothing can be drawn. */
void say_chart(const struct chart *c, progress_line_fn, void *user);

#endif
