/* SPDX-License-Identifier: GPL-3.0-or-later */
/** @file grid.h  Cells of a screen, and text in columns: what both the live screen and captures of it are
 * made of. No locale: widths come from a table, so that a page looks the same wherever it is laid out. */
#ifndef STILLARM_GRID_H
#define STILLARM_GRID_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#define GRID_ROWS_MAX 120
#define GRID_COLS_MAX 320

enum style {
    STYLE_TEXT,
    STYLE_TITLE,
    STYLE_BIG,
    STYLE_TOP,
    STYLE_BANNER,
    STYLE_RAIL,
    STYLE_RAIL_NOW,
    STYLE_CURRENT,
    STYLE_STATE,
    STYLE_FIELD,
    STYLE_COST,
    STYLE_CAUTION,
    STYLE_DIM,
    STYLE_REFUSAL,
    STYLE_KEY,
    STYLE_KEY_LABEL,
    STYLE_COUNT
};

struct cell {
    uint32_t c;     /* 0: the right half of a wide character */
    uint32_t above; /* one combining character, or 0 */
    uint32_t style;
};

struct grid {
    int rows, cols;
    int cursor_row, cursor_col; /* where the next typed character will appear; -1 when nothing is typed */
    struct cell cells[GRID_ROWS_MAX * GRID_COLS_MAX];
};

/** The no-break blank: drawn as a blank, but no line ends at it. */
#define GLUED_BLANK 0xA0

/** Columns a character takes: 0 combining, 1, or 2. */
int char_width(uint32_t c);

/** A text made fit to be shown: one character a unit, blanks for line ends, '?' or U+FFFD for what must not
 * be shown. */
struct shown {
    uint32_t c[512];
    int count;
};
/** ascii: spelled with plain letters where that is possible, '?' where not. */
void shown_set(struct shown *s, const char *utf8, bool ascii);
void shown_add(struct shown *s, const char *utf8, bool ascii);
/** Columns of the characters from..to (to not included). */
int shown_width(const struct shown *s, int from, int to);

/** One line of a wrapped text: characters from..to, drawn indent columns to the right. */
struct strip {
    int from, to, indent;
};
/** Wrap by words into lines of at most width columns; a longer word is broken. The first line keeps its
 * leading blanks, or a short label set off by two blanks or more, and the others hang under what follows.
 * Returns how many of at most cap lines; at least 1. */
int shown_wrap(const struct shown *s, int width, struct strip *out, int cap);

void grid_clear(struct grid *g, int rows, int cols);
/** Put characters from..to at row, col; what lies outside is not drawn. Returns the column after. */
int grid_put(struct grid *g, int row, int col, const struct shown *s, int from, int to, enum style style);
int grid_put_text(struct grid *g, int row, int col, const char *ascii_text, enum style style);

/** The big figure. */
enum figure_size { FIGURE_LINE, FIGURE_SMALL, FIGURE_NORMAL, FIGURE_DOUBLE };
int figure_rows(enum figure_size size);
int figure_cols(const char *big, enum figure_size size);
void figure_draw(struct grid *g, int row, int col, const char *big, enum figure_size size, bool ascii);

#endif
