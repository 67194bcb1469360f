/* SPDX-License-Identifier: GPL-3.0-or-later */
/** @file chart_plot.c  What lies within the axes: levels with their labels, marks, bars. Shape says what colour says. */
#include <stdio.h>

#include "output/chart_draw.h"

#define LABEL_APART 11.5 /* between the lines of two labels */
#define CROWD 110        /* so many joined points still bear a mark each */

static const struct type LABEL = {9, false, INK_TEXT};

double plot_x(const struct plot *p, double x)
{
    return p->left + (x - p->x.low) / (p->x.high - p->x.low) * (p->right - p->left);
}

double plot_y(const struct plot *p, double y)
{
    return p->bottom - (y - p->y.low) / (p->y.high - p->y.low) * (p->bottom - p->top);
}

/* ---- stretches ---- */

static void shade(const struct pen *pen, double left, double top, double right, double bottom)
{
    pen_ink(pen, INK_SHADE);
    cairo_rectangle(pen->cr, left, top, right - left, bottom - top);
    cairo_fill(pen->cr);
}

static bool shade_bands(const struct pen *pen, const struct plot *p)
{
    const struct chart_level *low = NULL, *high = NULL;

    for (int i = 0; i < p->c->level_count; i++) {
        low = p->c->levels[i].stroke == STROKE_BAND_LOW ? &p->c->levels[i] : low;
        high = p->c->levels[i].stroke == STROKE_BAND_HIGH ? &p->c->levels[i] : high;
    }
    if (p->c->kind != CHART_RELEASE || (low == NULL && high == NULL))
        return false;
    shade(pen, p->left, high != NULL ? plot_y(p, high->at) : p->top, p->right, low != NULL ? plot_y(p, low->at) : p->bottom);
    return true;
}

bool plot_shade(const struct pen *pen, const struct plot *p)
{
    bool has_any = shade_bands(pen, p);

    for (int i = 0; i < p->c->sign_count; i++) {
        if (!p->c->signs[i].is_reached)
            continue;
        bool is_last = i + 1 == p->c->sign_count;
        double end = is_last ? p->c->points[p->c->point_count - 1].x : p->c->signs[i + 1].x;
        shade(pen, plot_x(p, p->c->signs[i].x), p->top, plot_x(p, end), p->bottom);
        has_any = true;
    }
    return has_any;
}

/* ---- levels ---- */

struct stroke { enum chart_ink ink; double width, dash[2]; };
static const struct stroke STROKES[] = {
    [STROKE_ZERO] = {INK_SOFT, 0.8, {0, 0}},         [STROKE_MIDDLE] = {INK_TEXT, 1.8, {0, 0}},
    [STROKE_LIMIT] = {INK_LIMIT, 1.6, {7, 3.5}},     [STROKE_BAND_LOW] = {INK_SOFT, 1.1, {1.2, 3}},
    [STROKE_BAND_HIGH] = {INK_SOFT, 1.1, {1.2, 3}},
};

void plot_stroke(const struct pen *pen, enum chart_stroke stroke)
{
    const struct stroke *s = &STROKES[stroke];

    pen_ink(pen, s->ink);
    cairo_set_line_width(pen->cr, s->width);
    cairo_set_dash(pen->cr, s->dash, s->dash[0] > 0 ? 2 : 0, 0);
}

/* Labels of levels, from the top down. */
struct tag { double wish, at; const char *words; };

static int collect_tags(const struct plot *p, struct tag tag[CHART_LEVELS_MAX])
{
    int n = 0;

    for (int i = 0; i < p->c->level_count; i++) {
        struct tag new = {.wish = plot_y(p, p->c->levels[i].at), .words = p->c->levels[i].label};
        int at = n++;
        for (; at > 0 && tag[at - 1].wish > new.wish; at--)
            tag[at] = tag[at - 1];
        tag[at] = new;
    }
    return n;
}

/* Each as close to its line as the others let it: neighbours that would touch share what they have to give way. */
static void spread_tags(struct tag *tag, int n)
{
    struct { double middle; int count; } pile[CHART_LEVELS_MAX];
    int piles = 0;

    for (int i = 0; i < n; i++) {
        pile[piles].middle = tag[i].wish;
        pile[piles++].count = 1;
        while (piles > 1) {
            double room = (pile[piles - 2].count + pile[piles - 1].count) * LABEL_APART / 2;
            if (pile[piles - 1].middle - pile[piles - 2].middle >= room)
                break;
            int a = pile[piles - 2].count, b = pile[piles - 1].count;
            /* The mean of what all in it wish: least shifted in all. */
            pile[piles - 2].middle = (pile[piles - 2].middle * a + pile[piles - 1].middle * b) / (a + b);
            pile[piles - 2].count = a + b;
            piles--;
        }
    }
    for (int h = 0, i = 0; h < piles; h++)
        for (int k = 0; k < pile[h].count; k++, i++)
            tag[i].at = pile[h].middle + (k - (pile[h].count - 1) / 2.0) * LABEL_APART;
}

static void draw_tags(const struct pen *pen, const struct plot *p, const struct tag *tag, int n)
{
    cairo_set_dash(pen->cr, NULL, 0, 0);
    cairo_set_line_width(pen->cr, 0.6);
    for (int i = 0; i < n; i++) {
        pen_ink(pen, INK_SOFT);
        cairo_move_to(pen->cr, p->right + 1, tag[i].wish);
        cairo_line_to(pen->cr, p->right + 4, tag[i].wish);
        cairo_line_to(pen->cr, p->right + 8, tag[i].at);
        cairo_line_to(pen->cr, p->right + 10, tag[i].at);
        cairo_stroke(pen->cr);
        pen_say(pen, &LABEL, ALIGN_LEFT, p->right + 12, tag[i].at + 3.2, tag[i].words);
    }
}

void plot_levels(const struct pen *pen, const struct plot *p)
{
    struct tag tag[CHART_LEVELS_MAX];

    cairo_save(pen->cr);
    for (int i = 0; i < p->c->level_count; i++) {
        double y = plot_y(p, p->c->levels[i].at);
        plot_stroke(pen, p->c->levels[i].stroke);
        pen_line(pen, p->left, y, p->right, y);
    }
    int n = collect_tags(p, tag);
    spread_tags(tag, n);
    draw_tags(pen, p, tag, n);
    cairo_restore(pen->cr);
}

/* ---- marks ---- */

double plot_radius(const struct chart *c)
{
    if (c->is_joined && c->point_count > CROWD / 2)
        return 2.5; /* neighbours touch earlier on a line */
    return c->point_count <= 150 ? 3.2 : c->point_count <= 600 ? 2.5 : c->point_count <= 2000 ? 1.8 : 1.3;
}

bool plot_has_plain(const struct chart *c)
{
    return !c->is_joined || c->point_count <= CROWD;
}

static void draw_cross(const struct pen *pen, double x, double y, double r)
{
    pen_ink(pen, INK_PAPER);
    for (int pass = 0; pass < 2; pass++) { /* on a rim of paper, so that it stands out of a crowd */
        cairo_set_line_width(pen->cr, pass == 0 ? r + 1.2 : r * 0.62);
        cairo_move_to(pen->cr, x - r, y - r);
        cairo_line_to(pen->cr, x + r, y + r);
        cairo_move_to(pen->cr, x - r, y + r);
        cairo_line_to(pen->cr, x + r, y - r);
        cairo_stroke(pen->cr);
        pen_ink(pen, INK_LIMIT);
    }
}

void plot_mark(const struct pen *pen, enum plot_mark mark, double x, double y, double r)
{
    static const double SIZES[] = {[PLOT_PLAIN] = 1, [PLOT_FEW] = 1.1, [PLOT_MANY] = 1.25};

    cairo_save(pen->cr);
    cairo_set_dash(pen->cr, NULL, 0, 0);
    if (mark == PLOT_MARKED) {
        draw_cross(pen, x, y, r);
        cairo_restore(pen->cr);
        return;
    }
    cairo_arc(pen->cr, x, y, r * SIZES[mark], 0, 8 * 0.78539816339744831);
    pen_ink(pen, mark == PLOT_PLAIN ? INK_PAPER : INK_DATA);
    cairo_fill_preserve(pen->cr);
    pen_ink(pen, INK_DATA);
    cairo_set_line_width(pen->cr, r * 0.36);
    cairo_stroke(pen->cr);
    if (mark == PLOT_MANY) { /* a ring around the disc */
        cairo_arc(pen->cr, x, y, r * 1.9, 0, 8 * 0.78539816339744831);
        cairo_stroke(pen->cr);
    }
    cairo_restore(pen->cr);
}

static enum plot_mark mark_of(const struct chart *c, const struct chart_point *p)
{
    if (p->is_marked)
        return PLOT_MARKED;
    if (c->many_from == 0 || p->count < c->few_from)
        return PLOT_PLAIN;
    return p->count < c->many_from ? PLOT_FEW : PLOT_MANY;
}

static void join_points(const struct pen *pen, const struct plot *p)
{
    cairo_set_line_width(pen->cr, 1.5);
    cairo_set_line_join(pen->cr, CAIRO_LINE_JOIN_ROUND);
    pen_ink(pen, INK_DATA);
    for (int i = 0; i < p->c->point_count; i++) {
        double x = plot_x(p, p->c->points[i].x), y = plot_y(p, p->c->points[i].y);
        if (p->c->points[i].count == 0)
            cairo_move_to(pen->cr, x, y); /* another curve begins: a line down to it would read as a fall */
        else
            cairo_line_to(pen->cr, x, y);
    }
    cairo_stroke(pen->cr);
}

void plot_points(const struct pen *pen, const struct plot *p)
{
    bool has_plain = plot_has_plain(p->c);
    double r = plot_radius(p->c);

    if (p->c->is_joined)
        join_points(pen, p);
    /* From what is common to what stands out, so that this lies on top. */
    for (enum plot_mark mark = has_plain ? PLOT_PLAIN : PLOT_MARKED; mark <= PLOT_MARKED; mark++)
        for (int i = 0; i < p->c->point_count; i++) {
            const struct chart_point *at = &p->c->points[i];
            if (at->count > 0 && mark_of(p->c, at) == mark)
                plot_mark(pen, mark, plot_x(p, at->x), plot_y(p, at->y), r);
        }
}

/* ---- bars ---- */

void plot_body(const struct pen *pen, bool is_marked, double x, double y, double w, double h)
{
    cairo_save(pen->cr);
    cairo_set_dash(pen->cr, NULL, 0, 0);
    cairo_rectangle(pen->cr, x, y, w, h);
    pen_ink(pen, is_marked ? INK_LIMIT : INK_PALE);
    cairo_fill_preserve(pen->cr);
    if (is_marked) { /* stripes of paper: it stands out in grey too */
        cairo_save(pen->cr);
        cairo_clip(pen->cr);
        pen_ink(pen, INK_PAPER);
        cairo_set_line_width(pen->cr, 1.4);
        for (double at = -h; at < w; at += 6)
            pen_line(pen, x + at, y + h, x + at + h, y);
        cairo_restore(pen->cr);
        cairo_rectangle(pen->cr, x, y, w, h);
    }
    pen_ink(pen, is_marked ? INK_LIMIT : INK_DATA);
    cairo_set_line_width(pen->cr, 1.2);
    cairo_stroke(pen->cr);
    cairo_restore(pen->cr);
}

/* Room for one bar, and more before one that stands apart. */
#define APART 0.7

static bool stands_apart(const struct chart *c, int i)
{
    return i > 0 && c->bars[i].expected < 0 && c->bars[i - 1].expected >= 0;
}

static void draw_bar(const struct pen *pen, const struct plot *p, const struct chart_bar *b, double x, double slot)
{
    const struct type figure = {10, b->is_marked, INK_TEXT}, name = {10.5, false, INK_TEXT};
    double w = slot * 0.62, left = x + (slot - w) / 2, top = plot_y(p, b->value), above = top;
    char words[24];

    if (b->value > 0)
        plot_body(pen, b->is_marked, left, top, w, p->bottom - top);
    if (b->expected >= 0) {
        double y = plot_y(p, b->expected);
        plot_stroke(pen, STROKE_MIDDLE);
        pen_line(pen, x, y, x + slot + 0.5, y); /* over the seam to the next */
        above = top - y < 16 && top > y - 3 ? y : top; /* not on the line */
    }
    (void)snprintf(words, sizeof words, b->value < 9.95 && b->value > 0 ? "%.1f" : "%.0f", b->value);
    pen_say(pen, &figure, ALIGN_MIDDLE, x + slot / 2, above - 5, words);
    pen_say(pen, &name, ALIGN_MIDDLE, x + slot / 2, p->bottom + 15, b->label);
}

void plot_bars(const struct pen *pen, const struct plot *p)
{
    double slots = p->c->bar_count, x = p->left;

    for (int i = 0; i < p->c->bar_count; i++)
        slots += stands_apart(p->c, i) ? APART : 0;
    double slot = (p->right - p->left) / (slots > 0 ? slots : 1);
    for (int i = 0; i < p->c->bar_count; i++, x += slot) {
        x += stands_apart(p->c, i) ? APART * slot : 0;
        draw_bar(pen, p, &p->c->bars[i], x, slot);
    }
}
