/* SPDX-License-Identifier: GPL-3.0-or-later */
/** @file layout.h  Pure: a page -> a grid of cells. The live screen and captures draw the same grid. */
#ifndef STILLARM_LAYOUT_H
#define STILLARM_LAYOUT_H

#include "guide/page.h"
#include "terminal/grid.h"

#define LAYOUT_ROWS_MIN 20
#define LAYOUT_COLS_MIN 60

struct layout_scroll {
    int from;      /* in: the first row of the lines to show, where no current line leads or is_paged */
    bool is_paged; /* in: the reader has turned away from the current line */
    bool is_led;   /* out: there is a current line, and what is shown follows it */
    int first;     /* out: the first row shown */
    int most;      /* out: the largest `from` that makes sense; 0 when everything is shown */
    int page;      /* out: rows of lines shown at once */
};

/** Lay a page out. scroll may be NULL. ascii: nothing but ASCII in the cells. */
void layout_page(const struct page *pg, int rows, int cols, bool ascii, struct layout_scroll *scroll,
                 struct grid *out);

/** The grid as UTF-8 text: lines end in LF, blanks at their end are left out. */
void layout_text(const struct grid *g, char *out, size_t cap);

#endif
