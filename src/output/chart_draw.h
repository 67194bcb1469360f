/* SPDX-License-Identifier: GPL-3.0-or-later */
/** @file chart_draw.h  Draws a sheet of graphs on a page, within output. */
#ifndef STILLARM_CHART_DRAW_H
#define STILLARM_CHART_DRAW_H

#include <cairo.h>
#include <pango/pango.h>

#include "guide/chart.h"

/** All colours there are. What a colour tells apart is told apart by shape or stroke as well; a test keeps their distances
 *  for eyes that lack one kind of cone. */
enum chart_ink {
    INK_PAPER,
    INK_TEXT,  /* words, axes, bias */
    INK_SOFT,  /* notes, zero, bands */
    INK_DATA,  /* marks, bars */
    INK_LIMIT, /* limits, and marks that stand out */
    INK_PALE,  /* bodies of bars */
    INK_SHADE, /* stretches that mean something */
    INK_COUNT
};
struct ink { unsigned char red, green, blue; };
extern const struct ink INKS[INK_COUNT];

/** Draw on a page of w by h points, with a point's usual size: the smallest letters are 9 high. Same sheet, same marks.
 *  False where the system has no letters to write with. */
bool chart_draw(cairo_t *cr, const struct chart_sheet *s, double w, double h);

/* ---- chart_pen.c: letters and strokes ---- */

struct pen { cairo_t *cr; PangoLayout *layout; };
enum align { ALIGN_LEFT, ALIGN_MIDDLE, ALIGN_RIGHT };
struct type { double size; bool is_bold; enum chart_ink ink; };

void pen_ink(const struct pen *p, enum chart_ink ink);
void pen_line(const struct pen *p, double x1, double y1, double x2, double y2);
/** Has the system letters for these words? */
bool pen_has_letters(const struct pen *p, const struct type *t, const char *words);
/** Width of one line of text. */
double pen_width(const struct pen *p, const struct type *t, const char *words);
/** One line that stands on y. */
void pen_say(const struct pen *p, const struct type *t, enum align align, double x, double y, const char *words);
/** Lines no wider than w, at most so many, from y down; drawn, or measured alone. Returns their height. */
double pen_block(const struct pen *p, const struct type *t, double x, double y, double w, int most, const char *words,
                 bool is_drawn);

/* ---- chart_plot.c: what lies within the axes ---- */

/** The plane of one graph: its corners on the page, and what it goes from and to. */
struct plot { const struct chart *c; struct chart_axis x, y; double left, right, top, bottom; };
double plot_x(const struct plot *p, double x);
double plot_y(const struct plot *p, double y);
/** Stretches of the plane that mean something; false where there are none. */
bool plot_shade(const struct pen *pen, const struct plot *p);
void plot_levels(const struct pen *pen, const struct plot *p);
void plot_points(const struct pen *pen, const struct plot *p);
void plot_bars(const struct pen *pen, const struct plot *p);
/** The stroke of a level, for its line and for nothing else. */
void plot_stroke(const struct pen *pen, enum chart_stroke stroke);
enum plot_mark { PLOT_PLAIN, PLOT_FEW, PLOT_MANY, PLOT_MARKED };
void plot_mark(const struct pen *pen, enum plot_mark mark, double x, double y, double r);
/** A bar's body, as in the graph and in the row of keys. */
void plot_body(const struct pen *pen, bool is_marked, double x, double y, double w, double h);
/** Radius of one pair's mark: smaller in a crowd. */
double plot_radius(const struct chart *c);
/** Are plain marks drawn? In a long joined course only those that stand out are. */
bool plot_has_plain(const struct chart *c);

#endif
