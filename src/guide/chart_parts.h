/* SPDX-License-Identifier: GPL-3.0-or-later */
/** @file chart_parts.h  What the makers of graphs share, within guide. Pure. */
#ifndef STILLARM_CHART_PARTS_H
#define STILLARM_CHART_PARTS_H

#include "guide/chart.h"
#include "stillarm/text.h"

/** What an axis has to hold. */
struct chart_span { double low, high; bool has_any; };
void chart_span_take(struct chart_span *s, double v);
/** False for what is no number, or so large that it is no pressure. */
bool chart_is_drawn(double v);
/** Ends on round figures that hold all of s, no closer than tick_least. */
void chart_hold(struct chart_axis *axis, struct chart_span s, double tick_least);
/** An axis of days that holds both, told as dates. */
void chart_hold_days(struct chart_axis *axis, int32_t first, int32_t last);

void chart_begin(struct chart *c, enum chart_kind kind, const char *x, const char *y);
/** No line where it cannot be drawn. */
void chart_add_level(struct chart *c, enum chart_stroke stroke, double at, const char *label);
/** Labelled with its figure: `bias +1.2`, `at least 2.0`; one that rounds to nothing has no sign. */
void chart_add_figure_level(struct chart *c, enum chart_stroke stroke, double at, const char *word, bool has_sign);
/** Begin the note: `48 pairs, 3 Sep to 24 Nov 2026`. */
void chart_note_count(struct text *t, struct chart *c, const struct chart_frame *f, int64_t n, const char *one,
                      const char *many);
void chart_set_title(struct chart *c, const char *what, const char *who, const char *end);
/** Add, and stay at the largest number there is. */
void chart_count_up(int32_t *at, int64_t by);

#endif
