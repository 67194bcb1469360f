/* SPDX-License-Identifier: GPL-3.0-or-later */
/** @file chart_bars.c  Bars in character cells: they lie, one a row, in as many columns as it takes; what is expected is a mark. */
#include "guide/chart_cells.h"

#include <stdio.h>

#include "stillarm/text.h"

#define ROWS_AROUND 3     /* above: what the bars are; below: the figures, and what is counted */
#define LABEL_MOST 12
#define VALUE_WIDTH 6     /* `100.0` and a blank before it */
#define BETWEEN 2         /* blanks between two columns of bars */

/* Where the bars of one column lie. */
struct lane {
    int left, label, cols; /* first column; of the label; of the bar's room */
};

static uint32_t fill_of(bool is_marked, bool is_ascii)
{
    return is_ascii ? (is_marked ? '#' : '=') : is_marked ? 0x2588 : 0x2592;
}

static uint32_t mark_of(bool is_ascii)
{
    return is_ascii ? '|' : 0x2503;
}

static void draw_bar(struct cells *cs, const struct chart *c, const struct chart_bar *b, int row, const struct lane *l)
{
    int left = l->left + l->label + 2, end = chart_cell_of(&c->y, l->cols, b->value);
    char value[40] = "-";
    struct cell_words w;
    cells_text(cs, row, l->left, l->label, b->label);
    cells_put(cs, row, left - 1, cs->is_ascii ? '|' : 0x2502);
    if (end < 0 && b->value > c->y.high)
        end = l->cols; /* beyond the axis: the figure says how far */
    for (int i = 0; i < end; i++)
        cells_put(cs, row, left + i, fill_of(b->is_marked, cs->is_ascii));
    if (b->expected >= 0 && chart_cell_of(&c->y, l->cols, b->expected) >= 0)
        cells_put(cs, row, left + chart_cell_of(&c->y, l->cols, b->expected), mark_of(cs->is_ascii));
    if (chart_is_figure(b->value))
        snprintf(value, sizeof value, "%.1f", b->value);
    cells_set(&w, value, cs->is_ascii);
    if (w.count < VALUE_WIDTH)
        cells_words(cs, row, left + l->cols + VALUE_WIDTH - w.count, &w);
    else
        cells_put(cs, row, left + l->cols + VALUE_WIDTH - 1, '>'); /* more than there is room for: no half figure */
}

/* ---- the words around ---- */

/* free_row: the keys that the upper row has no room for go there; 0: beside the words below, which may be cut for them. */
static void draw_words(struct cells *cs, const struct chart *c, int free_row)
{
    const struct chart_legend *l = &CHART_LEGENDS[c->kind];
    struct chart_keys k = { .count = 0 };
    struct chart_words above = { .words = c->x.label }, below = { .words = c->y.label, .row = cs->rows - 1 }, between = { .words = "", .row = free_row };
    bool has_marked = false, has_plain = false, has_expected = false;
    for (int i = 0; i < c->bar_count; i++) {
        has_marked = has_marked || c->bars[i].is_marked;
        has_plain = has_plain || !c->bars[i].is_marked;
        has_expected = has_expected || c->bars[i].expected >= 0;
    }
    if (has_expected)
        chart_add_key(&k, mark_of(cs->is_ascii), l->expected);
    if (has_marked)
        chart_add_key(&k, fill_of(true, cs->is_ascii), l->marked);
    if (has_plain)
        chart_add_key(&k, fill_of(false, cs->is_ascii), l->plain);
    for (int i = 0; i < c->level_count; i++)
        chart_add_key(&k, mark_of(cs->is_ascii), c->levels[i].label);
    chart_draw_keys(cs, &k, &above, free_row > 0 ? &between : &below);
    if (free_row > 0)
        cells_text(cs, below.row, 0, cs->cols, below.words);
}

static int widest(const struct chart *c, bool is_ascii)
{
    int most = 1;
    for (int i = 0; i < c->bar_count; i++) {
        struct cell_words w;
        cells_set(&w, c->bars[i].label, is_ascii);
        most = w.count > most ? w.count : most;
    }
    return most;
}

void chart_bars(struct cells *cs, const struct chart *c)
{
    int room = cs->rows - ROWS_AROUND, lanes = (c->bar_count + room - 1) / room, in_lane = (c->bar_count + lanes - 1) / lanes;
    int every = room / in_lane > 1 ? 2 : 1, width = (cs->cols + BETWEEN) / lanes - BETWEEN, label = widest(c, cs->is_ascii);
    struct lane l = { .label = label < width / 3 ? label : width / 3 };
    l.cols = width - l.label - 2 - VALUE_WIDTH;
    for (int i = 0; i < c->bar_count; i++) {
        l.left = i / in_lane * (width + BETWEEN);
        draw_bar(cs, c, &c->bars[i], 1 + i % in_lane * every, &l);
    }
    if (lanes == 1) /* else the figures at the bars have to do */
        chart_draw_figures(cs, &c->y, cs->rows - 2, l.left + l.label + 2, l.cols, -1);
    int below_bars = cs->rows - (lanes == 1 ? 3 : 2);
    draw_words(cs, c, 1 + (in_lane - 1) * every < below_bars ? below_bars : 0);
}
