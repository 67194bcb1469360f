/* SPDX-License-Identifier: GPL-3.0-or-later */
/** @file chart_draw.c  A sheet: heading, graphs side by side on one base line, keys of the marks, and what it is not. */
#include "output/chart_draw.h"

#include <math.h>
#include <stdio.h>

#include <pango/pangocairo.h>

#include "guide/timeline.h"
#include "stillarm/text.h"

#define MARGIN 42
#define GUTTER 30        /* between two graphs */
#define TICK 4
#define LEVELS_BELOW 250 /* marks that let lines below them be seen; of a crowd they lie on top */
#define SIGN_APART 13
#define TICKS_MOST 200   /* a chart that came with a tiny tick ends somewhere */

static const struct type HEADING = {17, true, INK_TEXT}, TITLE = {12, true, INK_TEXT}, NOTE = {9.5, false, INK_SOFT},
                         AXIS = {10, false, INK_TEXT}, FIGURE = {9.5, false, INK_TEXT}, SIGN = {9, false, INK_TEXT},
                         LACK = {12, false, INK_TEXT}, FOOT = {9, false, INK_SOFT};

static void thin(const struct pen *pen, enum chart_ink ink, double width)
{
    cairo_set_dash(pen->cr, NULL, 0, 0);
    cairo_set_line_width(pen->cr, width);
    pen_ink(pen, ink);
}

/* ---- axes ---- */

struct ticks { double at[TICKS_MOST]; char words[TICKS_MOST][20]; int count; };

static void add_tick(struct ticks *t, double at, const char *words)
{
    if (t->count == TICKS_MOST)
        return;
    t->at[t->count] = at;
    text_copy(t->words[t->count++], sizeof t->words[0], words);
}

/* From a month on days are told by the month's first. */
static void find_months(const struct chart_axis *a, struct ticks *t)
{
    int step = a->tick < 80 ? 1 : a->tick < 170 ? 3 : a->tick < 350 ? 6 : 12 * (int)(a->tick / 364);
    int32_t first = chart_date_of((int32_t)a->low);
    char words[20];

    for (int month = first / 10000 * 12 + first / 100 % 100 - 1; month < 12 * 2999 && t->count < TICKS_MOST; month++) {
        int32_t date = month / 12 * 10000 + (month % 12 + 1) * 100 + 1;
        double at = chart_days_of(date);
        if (at > a->high)
            return;
        if (at < a->low || month % step != 0)
            continue;
        (void)snprintf(words, sizeof words, "%s %d", month_word(date), (int)(date / 10000));
        add_tick(t, at, words);
    }
}

static void find_ticks(const struct chart_axis *a, bool has_sign, struct ticks *t)
{
    char words[24];

    t->count = 0;
    if (a->is_day && a->tick >= 28) {
        find_months(a, t);
        return;
    }
    for (int i = 0; i < TICKS_MOST && a->low + i * a->tick <= a->high + a->tick / 1e6; i++) {
        double at = a->low + i * a->tick;
        if (a->is_day) {
            int32_t date = chart_date_of((int32_t)at);
            (void)snprintf(words, sizeof words, "%d %s", (int)(date % 100), month_word(date));
        } else if (fabs(at) < a->tick / 1e6)
            (void)snprintf(words, sizeof words, "0");
        else if (has_sign)
            (void)snprintf(words, sizeof words, a->tick < 1 ? "%+.1f" : "%+.0f", at);
        else
            (void)snprintf(words, sizeof words, a->tick < 1 ? "%.1f" : "%.0f", at);
        add_tick(t, at, words);
    }
}

static double widest(const struct pen *pen, const struct ticks *t)
{
    double most = 0;

    for (int i = 0; i < t->count; i++)
        most = fmax(most, pen_width(pen, &FIGURE, t->words[i]));
    return most;
}

static void draw_x_axis(const struct pen *pen, const struct plot *p)
{
    struct ticks t;

    thin(pen, INK_TEXT, 0.9);
    pen_line(pen, p->left, p->bottom, p->right, p->bottom);
    pen_say(pen, &AXIS, ALIGN_MIDDLE, (p->left + p->right) / 2, p->bottom + 32, p->c->x.label);
    if (p->c->bar_count > 0)
        return;
    find_ticks(&p->x, false, &t);
    double apart = t.count > 1 ? plot_x(p, t.at[1]) - plot_x(p, t.at[0]) : 1e9;
    int every = (int)ceil((widest(pen, &t) + 10) / fmax(apart, 1));
    for (int i = 0; i < t.count; i++) {
        double x = plot_x(p, t.at[i]);
        thin(pen, INK_TEXT, 0.9);
        pen_line(pen, x, p->bottom, x, p->bottom + TICK);
        if (i % every == 0)
            pen_say(pen, &FIGURE, ALIGN_MIDDLE, x, p->bottom + 15, t.words[i]);
    }
}

static void draw_y_axis(const struct pen *pen, const struct plot *p, const struct ticks *t)
{
    thin(pen, INK_TEXT, 0.9);
    pen_line(pen, p->left, p->top, p->left, p->bottom);
    for (int i = 0; i < t->count; i++) {
        double y = plot_y(p, t->at[i]);
        thin(pen, INK_TEXT, 0.9);
        pen_line(pen, p->left - TICK, y, p->left, y);
        pen_say(pen, &FIGURE, ALIGN_RIGHT, p->left - TICK - 3, y + 3.4, t->words[i]);
    }
}

/* ---- what happened on the way ---- */

/* Words stand to the right of their line, above the plane, and above the words of the next whose line would cut them.
 * Returns how many rows that takes. */
static int place_signs(const struct pen *pen, const struct plot *p, int row[CHART_SIGNS_MAX])
{
    int rows = 0;

    for (int i = p->c->sign_count - 1; i >= 0; i--) {
        const struct chart_sign *s = &p->c->signs[i];
        double end = plot_x(p, s->x) + pen_width(pen, &SIGN, s->label) + 10;
        row[i] = 0;
        for (int j = i + 1; j < p->c->sign_count && s->label[0] != '\0'; j++)
            if (p->c->signs[j].label[0] != '\0' && plot_x(p, p->c->signs[j].x) < end && row[j] >= row[i])
                row[i] = row[j] + 1;
        if (s->label[0] != '\0' && row[i] >= rows)
            rows = row[i] + 1;
    }
    return rows;
}

static void draw_signs(const struct pen *pen, const struct plot *p, const int row[CHART_SIGNS_MAX])
{
    for (int i = 0; i < p->c->sign_count; i++) {
        if (p->c->signs[i].label[0] == '\0')
            continue;
        double x = plot_x(p, p->c->signs[i].x), y = p->top - 6 - row[i] * SIGN_APART;
        thin(pen, INK_SOFT, 0.7);
        pen_line(pen, x, y - 7, x, plot_y(p, p->c->signs[i].y));
        pen_say(pen, &SIGN, ALIGN_LEFT, x + 4, y, p->c->signs[i].label);
    }
}

/* ---- the row of keys ---- */

static bool has_marked(const struct chart *c)
{
    for (int i = 0; i < c->point_count; i++)
        if (c->points[i].is_marked)
            return true;
    for (int i = 0; i < c->bar_count; i++)
        if (c->bars[i].is_marked)
            return true;
    return false;
}

static void draw_key(const struct pen *pen, const struct chart *c, enum plot_mark mark, double x, double y)
{
    if (c->bar_count > 0)
        plot_body(pen, mark == PLOT_MARKED, x - 5, y - 8, 10, 9);
    else
        plot_mark(pen, mark, x, y - 3.4, fmax(plot_radius(c), 2.5));
}

static bool has_bands(const struct chart *c)
{
    for (int i = 0; i < c->level_count; i++)
        if (c->levels[i].stroke == STROKE_BAND_LOW || c->levels[i].stroke == STROKE_BAND_HIGH)
            return true;
    return false;
}

/* Beside the marks, or where these are many in a row of its own. */
static void draw_band_key(const struct pen *pen, const struct plot *p, double x, double y, const char *words)
{
    if (x + 21 + pen_width(pen, &NOTE, words) > p->right) {
        x = p->left + 5;
        y += 12;
    }
    plot_stroke(pen, STROKE_BAND_LOW);
    pen_line(pen, x - 5, y - 3.4, x + 15, y - 3.4);
    pen_say(pen, &NOTE, ALIGN_LEFT, x + 21, y, words);
}

static void draw_keys(const struct pen *pen, const struct plot *p, bool has_shade)
{
    const struct chart_legend *l = &CHART_LEGENDS[p->c->kind];
    const char *words[] = {[PLOT_PLAIN] = l->few != NULL ? p->c->keys[0] : l->plain, [PLOT_FEW] = p->c->keys[1],
                           [PLOT_MANY] = p->c->keys[2], [PLOT_MARKED] = l->marked};
    bool is_there[] = {[PLOT_PLAIN] = plot_has_plain(p->c), true, true, [PLOT_MARKED] = has_marked(p->c)};
    double x = p->left + 5, y = p->bottom + 52;

    for (enum plot_mark mark = PLOT_PLAIN; mark <= PLOT_MARKED; mark++) {
        if (!is_there[mark] || words[mark] == NULL || words[mark][0] == '\0')
            continue;
        draw_key(pen, p->c, mark, x, y);
        pen_say(pen, &NOTE, ALIGN_LEFT, x + 10, y, words[mark]);
        x += 10 + pen_width(pen, &NOTE, words[mark]) + 22;
    }
    if (l->band != NULL && has_bands(p->c))
        draw_band_key(pen, p, x, y, l->band);
    if (l->expected != NULL) {
        plot_stroke(pen, STROKE_MIDDLE);
        pen_line(pen, x - 5, y - 3.4, x + 9, y - 3.4);
        pen_say(pen, &NOTE, ALIGN_LEFT, x + 15, y, l->expected);
    }
    if (l->shade != NULL && has_shade) {
        cairo_rectangle(pen->cr, x - 5, y - 8, 14, 9);
        pen_ink(pen, INK_SHADE);
        cairo_fill_preserve(pen->cr);
        thin(pen, INK_SOFT, 0.5);
        cairo_stroke(pen->cr);
        pen_say(pen, &NOTE, ALIGN_LEFT, x + 15, y, l->shade);
    }
}

/* ---- one graph ---- */

struct box { double x, y, w, h; };

/* Title and note, one below the other; returns their height. */
static double draw_head(const struct pen *pen, const struct chart *c, double x, double y, double w, bool is_drawn)
{
    double title = pen_block(pen, &TITLE, x, y, w, 2, c->title, is_drawn);

    return title + 3 + pen_block(pen, &NOTE, x, y + title + 3, w, 3, c->note, is_drawn);
}

static double right_of_plane(const struct pen *pen, const struct chart *c)
{
    double most = 0;

    for (int i = 0; i < c->level_count; i++)
        most = fmax(most, pen_width(pen, &SIGN, c->levels[i].label));
    most = most > 0 ? most + 14 : 12;
    return c->sign_count > 0 ? fmax(most, pen_width(pen, &SIGN, c->signs[c->sign_count - 1].label) + 6) : most;
}

static void draw_plane(const struct pen *pen, const struct chart *c, const struct chart_axis *y, const struct box *b)
{
    struct plot p = {.c = c, .x = c->x, .y = *y, .left = b->x, .right = b->x + b->w, .top = b->y + 22, .bottom = b->y + b->h - 62};
    int sign_row[CHART_SIGNS_MAX];
    struct ticks t;

    find_ticks(y, c->kind == CHART_DIFFERENCE, &t);
    p.left += widest(pen, &t) + TICK + 4;
    p.right -= right_of_plane(pen, c);
    pen_say(pen, &AXIS, ALIGN_LEFT, b->x, b->y + 8, c->y.label);
    int rows = place_signs(pen, &p, sign_row);
    p.top += rows * SIGN_APART + (c->bar_count > 0 ? 8 : 0); /* a full bar bears its figure too */
    bool has_shade = plot_shade(pen, &p);
    draw_y_axis(pen, &p, &t);
    if (c->point_count <= LEVELS_BELOW)
        plot_levels(pen, &p);
    draw_signs(pen, &p, sign_row);
    plot_bars(pen, &p);
    draw_x_axis(pen, &p);
    plot_points(pen, &p);
    if (c->point_count > LEVELS_BELOW)
        plot_levels(pen, &p);
    draw_keys(pen, &p, has_shade);
}

static void draw_lack(const struct pen *pen, const struct chart *c, const struct box *b)
{
    double w = b->w * 0.8, x = b->x + (b->w - w) / 2;

    pen_ink(pen, INK_SHADE);
    cairo_rectangle(pen->cr, b->x, b->y, b->w, b->h - 20);
    cairo_fill(pen->cr);
    pango_layout_set_alignment(pen->layout, PANGO_ALIGN_CENTER);
    double h = pen_block(pen, &LACK, x, 0, w, 4, c->lack, false);
    (void)pen_block(pen, &LACK, x, b->y + (b->h - 20 - h) / 2, w, 4, c->lack, true);
    pango_layout_set_alignment(pen->layout, PANGO_ALIGN_LEFT);
}

/* ---- the sheet ---- */

/* Graphs of a kind side by side have one scale, so that what looks larger is. */
static struct chart_axis shared_axis(const struct chart_sheet *s, int panel)
{
    const struct chart *own = &s->panel[panel];
    struct chart_axis y = own->y;

    for (int i = 0; i < s->panel_count && i < CHART_PANELS_MAX; i++) {
        const struct chart *c = &s->panel[i];
        if (c->kind != own->kind || c->lack[0] != '\0')
            continue;
        y.low = fmin(y.low, c->y.low);
        y.high = fmax(y.high, c->y.high);
        y.tick = fmax(y.tick, c->y.tick);
    }
    if (s->panel_count > 1) {
        y.low = floor(y.low / y.tick) * y.tick;
        y.high = ceil(y.high / y.tick) * y.tick;
    }
    return y;
}

static void draw_frame(const struct pen *pen, const struct chart_sheet *s, double w, double h)
{
    double date = pen_width(pen, &AXIS, s->date);

    pen_ink(pen, INK_PAPER);
    cairo_paint(pen->cr);
    (void)pen_block(pen, &HEADING, MARGIN, MARGIN - 10, w - 2 * MARGIN - date - 20, 1, s->heading, true);
    pen_say(pen, &AXIS, ALIGN_RIGHT, w - MARGIN, MARGIN + 6, s->date);
    thin(pen, INK_TEXT, 1.2);
    pen_line(pen, MARGIN, MARGIN + 18, w - MARGIN, MARGIN + 18);
    thin(pen, INK_SOFT, 0.6);
    pen_line(pen, MARGIN, h - MARGIN + 2, w - MARGIN, h - MARGIN + 2);
    pen_say(pen, &FOOT, ALIGN_LEFT, MARGIN, h - MARGIN + 17, CHART_CAUTION);
}

bool chart_draw(cairo_t *cr, const struct chart_sheet *s, double w, double h)
{
    /* A map of fonts of our own: the one that is shared is never given back. */
    PangoFontMap *fonts = pango_cairo_font_map_new();
    PangoContext *context = pango_font_map_create_context(fonts);
    struct pen pen = {.cr = cr, .layout = pango_layout_new(context)};
    cairo_font_options_t *plain = cairo_font_options_create();
    cairo_font_options_set_hint_style(plain, CAIRO_HINT_STYLE_NONE);
    cairo_font_options_set_hint_metrics(plain, CAIRO_HINT_METRICS_OFF);
    cairo_font_options_set_antialias(plain, CAIRO_ANTIALIAS_GRAY);
    pango_cairo_context_set_font_options(context, plain);
    pango_cairo_context_set_resolution(context, 72);
    pango_cairo_update_context(cr, context);
    pango_layout_context_changed(pen.layout);
    cairo_font_options_destroy(plain);

    draw_frame(&pen, s, w, h);
    int n = s->panel_count < 1 ? 1 : s->panel_count > CHART_PANELS_MAX ? CHART_PANELS_MAX : s->panel_count;
    double wide = (w - 2 * MARGIN - (n - 1) * GUTTER) / n, top = MARGIN + 32, head = 0;
    for (int i = 0; i < s->panel_count && i < n; i++)
        head = fmax(head, draw_head(&pen, &s->panel[i], 0, 0, wide, false));
    for (int i = 0; i < s->panel_count && i < n; i++) {
        const struct chart *c = &s->panel[i];
        struct box b = {.x = MARGIN + i * (wide + GUTTER), .y = top + head + 14, .w = wide};
        b.h = h - MARGIN - 8 - b.y;
        (void)draw_head(&pen, c, b.x, top, wide, true);
        if (c->lack[0] != '\0')
            draw_lack(&pen, c, &b);
        else {
            struct chart_axis y = shared_axis(s, i);
            draw_plane(&pen, c, &y, &b);
        }
    }
    bool has_letters = pen_has_letters(&pen, &FOOT, CHART_CAUTION);
    g_object_unref(pen.layout);
    g_object_unref(context);
    g_object_unref(fonts);
    return has_letters;
}

#if defined(__SANITIZE_ADDRESS__)
/* fontconfig finds what its patterns own by offsets, where a search for leaks finds no pointer. */
const char *__lsan_default_suppressions(void);
const char *__lsan_default_suppressions(void)
{
    return "leak:libfontconfig\n";
}
const char *__lsan_default_options(void);
const char *__lsan_default_options(void)
{
    return "print_suppressions=0";
}
#endif
