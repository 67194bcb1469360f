/* SPDX-License-Identifier: GPL-3.0-or-later */
/** @file chart_cells.h  What chart_cells.c and chart_bars.c share. */
#ifndef STILLARM_CHART_CELLS_H
#define STILLARM_CHART_CELLS_H

#include "guide/cells.h"

#define CELLS_ROWS_MIN 8
#define CELLS_COLS_MIN 40

struct chart_ticks {
    double first, step;
    int count;
};

/** What marks mean, and the words of an axis above and one below. */
#define CHART_KEYS_MAX 8
struct chart_keys {
    char words[CHART_KEYS_MAX][64];
    int count;
};
void chart_add_key(struct chart_keys *k, uint32_t shape, const char *words);
/** Words at the left of two rows, the keys at their right: whole keys, those that the upper row has no room for in the lower. */
struct chart_words { const char *words; int row, left; };
void chart_draw_keys(struct cells *cs, const struct chart_keys *k, const struct chart_words *above, const struct chart_words *below);

bool chart_is_figure(double v);
/** The cell of a value, from 0 at the low end; -1 outside. */
int chart_cell_of(const struct chart_axis *axis, int cells, double v);
/** At most `most` of an axis's figures, round ones where not all are taken; false: none can be told. */
bool chart_ticks(const struct chart_axis *axis, int most, struct chart_ticks *out);
void chart_say_figure(const struct chart_axis *axis, double v, char *out, size_t cap);
/** An axis's figures in a row, as many as keep apart, and a tick above each in tick_row. */
void chart_draw_figures(struct cells *cs, const struct chart_axis *axis, int row, int left, int cols, int tick_row);
void chart_bars(struct cells *cs, const struct chart *c);

#endif
