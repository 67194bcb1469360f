/* SPDX-License-Identifier: GPL-3.0-or-later */
/** @file cells.h  A canvas of character cells for graphs: one character a cell, none of them wide, none joining. Pure. */
#ifndef STILLARM_CELLS_H
#define STILLARM_CELLS_H

#include "guide/chart.h"

#define CELLS_ROW_CAP (4 * CELLS_COLS_MAX + 1)
#define CELLS_WORDS_MAX 240

struct cells {
    int rows, cols;
    bool is_ascii;
    uint32_t c[CELLS_ROWS_MAX][CELLS_COLS_MAX];
};

/** A text as cells: what is not one column wide, or not ASCII where that is asked for, is spelled out or becomes '?'. */
struct cell_words {
    uint32_t c[CELLS_WORDS_MAX];
    int count;
};

void cells_begin(struct cells *cs, int rows, int cols, bool is_ascii);
/** What lies outside is not drawn. */
void cells_put(struct cells *cs, int row, int col, uint32_t c);
void cells_set(struct cell_words *w, const char *utf8, bool is_ascii);
/** Shorten to at most so many columns: a figure stays whole or goes, and two points say that something is missing. */
void cells_fit(struct cell_words *w, int most);
void cells_words(struct cells *cs, int row, int col, const struct cell_words *w);
/** Text at most so wide, shortened where it must be; returns the columns used. */
int cells_text(struct cells *cs, int row, int col, int most, const char *utf8);
/** Rows of a text wrapped by words, from row on; returns how many. */
int cells_wrapped(struct cells *cs, int row, const char *utf8);
/** The rows as UTF-8, blanks at their ends left out. */
void cells_print(const struct cells *cs, char out[][CELLS_ROW_CAP]);

#endif
