/* SPDX-License-Identifier: GPL-3.0-or-later */
/** @file chart_pen.c  Letters and strokes: one family of letters, sizes in points, no hinting, so that a page scales. */
#include <ctype.h>
#include <string.h>

#include <pango/pangocairo.h>

#include "output/chart_draw.h"
#include "stillarm/text.h"

#define FAMILY "DejaVu Sans, Sans" /* free, and in every distribution; else what the system takes for plain letters */

/* Blue and orange: every kind of eye keeps them apart, and so does a grey print, by shape. */
const struct ink INKS[INK_COUNT] = {
    [INK_PAPER] = {255, 255, 255}, [INK_TEXT] = {26, 26, 26}, [INK_SOFT] = {104, 104, 104},
    [INK_DATA] = {10, 80, 165},    [INK_LIMIT] = {196, 78, 0},
    [INK_PALE] = {168, 200, 236},  [INK_SHADE] = {238, 240, 244},
};

void pen_ink(const struct pen *p, enum chart_ink ink)
{
    cairo_set_source_rgb(p->cr, INKS[ink].red / 255.0, INKS[ink].green / 255.0, INKS[ink].blue / 255.0);
}

void pen_line(const struct pen *p, double x1, double y1, double x2, double y2)
{
    cairo_move_to(p->cr, x1, y1);
    cairo_line_to(p->cr, x2, y2);
    cairo_stroke(p->cr);
}

/* A minus is as wide as a plus; a hyphen before a figure is hard to see from the last row. */
static void set_words(const struct pen *p, const struct type *t, const char *words)
{
    char clean[400], shown[600];
    struct text out;

    text_copy(clean, sizeof clean, words);
    text_defuse(clean);
    text_init(&out, shown, sizeof shown);
    for (const char *c = clean; *c != '\0'; c++)
        if (*c == '-' && isdigit((unsigned char)c[1]) && (c == clean || c[-1] == ' '))
            text_add(&out, "\xe2\x88\x92");
        else
            text_add_bytes(&out, c, 1);
    PangoFontDescription *font = pango_font_description_from_string(FAMILY);
    pango_font_description_set_absolute_size(font, t->size * PANGO_SCALE);
    pango_font_description_set_weight(font, t->is_bold ? PANGO_WEIGHT_BOLD : PANGO_WEIGHT_NORMAL);
    pango_layout_set_font_description(p->layout, font);
    pango_font_description_free(font);
    pango_layout_set_width(p->layout, -1);
    pango_layout_set_text(p->layout, shown, -1);
}

bool pen_has_letters(const struct pen *p, const struct type *t, const char *words)
{
    set_words(p, t, words);
    return pango_layout_get_unknown_glyphs_count(p->layout) == 0;
}

double pen_width(const struct pen *p, const struct type *t, const char *words)
{
    int w, h;

    set_words(p, t, words);
    pango_layout_get_size(p->layout, &w, &h);
    return (double)w / PANGO_SCALE;
}

void pen_say(const struct pen *p, const struct type *t, enum align align, double x, double y, const char *words)
{
    double w = pen_width(p, t, words), line = (double)pango_layout_get_baseline(p->layout) / PANGO_SCALE;

    pen_ink(p, t->ink);
    cairo_move_to(p->cr, x - (align == ALIGN_LEFT ? 0 : align == ALIGN_MIDDLE ? w / 2 : w), y - line);
    pango_cairo_show_layout(p->cr, p->layout);
    cairo_new_path(p->cr); /* else the next arc begins at the words */
}

double pen_block(const struct pen *p, const struct type *t, double x, double y, double w, int most, const char *words,
                 bool is_drawn)
{
    int width, height;

    set_words(p, t, words);
    pango_layout_set_width(p->layout, (int)(w * PANGO_SCALE));
    pango_layout_set_wrap(p->layout, PANGO_WRAP_WORD_CHAR);
    pango_layout_set_height(p->layout, -most);
    pango_layout_set_ellipsize(p->layout, PANGO_ELLIPSIZE_END);
    pango_layout_get_size(p->layout, &width, &height);
    if (is_drawn) {
        pen_ink(p, t->ink);
        cairo_move_to(p->cr, x, y);
        pango_cairo_show_layout(p->cr, p->layout);
        cairo_new_path(p->cr);
    }
    pango_layout_set_ellipsize(p->layout, PANGO_ELLIPSIZE_NONE);
    return (double)height / PANGO_SCALE;
}
