/* SPDX-License-Identifier: GPL-3.0-or-later */
/** @file layout_body.h  The middle of a page: title, big figure, pace band, lines. Used by layout.c alone. */
#ifndef STILLARM_LAYOUT_BODY_H
#define STILLARM_LAYOUT_BODY_H

#include "terminal/layout.h"

struct body {
    const struct page *pg;
    struct grid *g;
    bool ascii;
    int top, bottom, col; /* rows top..bottom (not included); the marker's column, text two to the right */
    int calm_bottom; /* bottom as it is without a long refusal: what is decided by it does not change when one
                        comes */
    int pinned_rows; /* rows of the pinned lines, where there is room to pin them */
    struct layout_scroll *scroll;
};

void body_draw(struct body *b);

#endif
