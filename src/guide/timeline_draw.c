/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The fall of the needle as a line of characters: time goes right, pressure goes down, and dots are the band asked for. */
#include <inttypes.h>
#include <stdio.h>
#include <string.h>

#include "guide/timeline.h"
#include "guide/views.h"

#define PLOT_COLUMNS 33
#define PLOT_ROWS 10
#define LABEL_CAP 18                /* with the plot no wider than a line on a screen of 60 */
#define POINTS_MAX (POINT_COUNT + 1) /* and the empty cuff */

struct plot {
    struct { int64_t ms; int32_t mmhg; const char *name; } point[POINTS_MAX];
    int count;
    int64_t from_ms, span_ms;
    int32_t top_mmhg;
    char cells[PLOT_ROWS][PLOT_COLUMNS + 1];
    char labels[PLOT_ROWS][LABEL_CAP];
};

/* What is known by time and by pressure, in order; the empty cuff last. */
static void take_points(struct plot *plot, const struct reading *r)
{
    static const char *const NAMES[POINT_COUNT] = { "release", "first", "silent", "back", "muffled", "last" };

    for (int i = 0; i < POINT_COUNT; i++) {
        if (!r->has_mark[i] || !r->has_value[i])
            continue;
        if (plot->count > 0 && r->mark_ms[i] < plot->point[plot->count - 1].ms)
            continue; /* moments given again may cross: those are told in words alone */
        plot->point[plot->count].ms = r->mark_ms[i];
        plot->point[plot->count].mmhg = r->value_mmhg[i];
        plot->point[plot->count++].name = NAMES[i];
    }
    if (plot->count > 0 && r->is_empty && r->empty_ms > plot->point[plot->count - 1].ms) {
        plot->point[plot->count].ms = r->empty_ms;
        plot->point[plot->count].mmhg = 0;
        plot->point[plot->count++].name = "empty";
    }
}

static int column_of(const struct plot *plot, int64_t ms)
{
    return (int)(((ms - plot->from_ms) * (PLOT_COLUMNS - 1) + plot->span_ms / 2) / plot->span_ms);
}

/* In tenths of a row from the top. */
static int32_t height_x10(const struct plot *plot, int32_t mmhg_x10)
{
    return (10 * plot->top_mmhg - mmhg_x10) * (PLOT_ROWS - 1) / plot->top_mmhg;
}

static int row_of(const struct plot *plot, int32_t mmhg_x10)
{
    int32_t row = (height_x10(plot, mmhg_x10) + 5) / 10;

    return row < 0 ? 0 : row >= PLOT_ROWS ? PLOT_ROWS - 1 : (int)row;
}

static int32_t mmhg_x10_at(const struct plot *plot, int64_t ms)
{
    int i = 1;

    while (i < plot->count - 1 && plot->point[i].ms <= ms)
        i++;
    int64_t took = plot->point[i].ms - plot->point[i - 1].ms, fell = plot->point[i - 1].mmhg - plot->point[i].mmhg;

    if (took <= 0 || ms >= plot->point[i].ms)
        return 10 * plot->point[i].mmhg;
    return (int32_t)(10 * plot->point[i - 1].mmhg - 10 * fell * (ms - plot->point[i - 1].ms) / took);
}

/* From the release on, as far down as sounds were heard. */
static void draw_band(struct plot *plot, const struct protocol *p)
{
    int32_t slow = p->value[KEY_RELEASE_LOW_X10], quick = p->value[KEY_RELEASE_HIGH_X10];
    int32_t half_row = 10 * plot->top_mmhg / (PLOT_ROWS - 1) / 4, last = 0;

    for (int i = 0; i < plot->count; i++)
        last = plot->point[i].mmhg > 0 ? plot->point[i].mmhg : last;
    for (int x = 0; x < PLOT_COLUMNS; x++) {
        int64_t ms = plot->span_ms * x / (PLOT_COLUMNS - 1);

        for (int y = 0; y < PLOT_ROWS; y++) {
            int64_t at = 10 * plot->top_mmhg - (int64_t)10 * plot->top_mmhg * y / (PLOT_ROWS - 1);
            int64_t high = 10 * plot->top_mmhg - slow * ms / 1000, low = 10 * plot->top_mmhg - quick * ms / 1000;

            if (at <= high + half_row && at >= low - half_row && at >= 10 * last - half_row)
                plot->cells[y][x] = '.';
        }
    }
}

static void draw_line(struct plot *plot)
{
    int before = row_of(plot, 10 * plot->point[0].mmhg);

    for (int x = 0; x < PLOT_COLUMNS; x++) {
        int row = row_of(plot, mmhg_x10_at(plot, plot->from_ms + plot->span_ms * x / (PLOT_COLUMNS - 1)));

        for (int y = before + 1; y < row; y++)
            plot->cells[y][x] = '|';
        plot->cells[row][x] = row == before ? '_' : '\\';
        before = row;
    }
}

/* In the row where it is, or the next one that is free; at the bottom those above make room, so that they keep their order. */
static void put_label(struct plot *plot, int row, const char *label)
{
    int at = row, up = PLOT_ROWS - 1;

    while (at < PLOT_ROWS && plot->labels[at][0] != '\0')
        at++;
    if (at == PLOT_ROWS) {
        while (up > 0 && plot->labels[up][0] != '\0')
            up--;
        at = PLOT_ROWS - 1;
        memmove(plot->labels[up], plot->labels[up + 1], (size_t)(at - up) * LABEL_CAP);
    }
    text_copy(plot->labels[at], LABEL_CAP, label);
}

static void draw_points(struct plot *plot)
{
    char label[40], clock[12];

    for (int i = 0; i < plot->count; i++) {
        int row = row_of(plot, 10 * plot->point[i].mmhg);

        plot->cells[row][column_of(plot, plot->point[i].ms)] = 'o';
        say_clock(clock, plot->point[i].ms - plot->from_ms);
        snprintf(label, sizeof label, "%3d %-7s %s", (int)plot->point[i].mmhg, plot->point[i].name, clock);
        put_label(plot, row, label);
    }
}

void draw_release(struct timeline *t, const struct reading *r, int32_t seq)
{
    struct plot plot = { .count = 0 };
    char line[TIMELINE_ROW_CAP];
    bool is_from_release;

    take_points(&plot, r);
    if (plot.count < 2)
        return;
    plot.from_ms = plot.point[0].ms;
    plot.span_ms = plot.point[plot.count - 1].ms - plot.from_ms;
    plot.top_mmhg = plot.point[0].mmhg;
    if (plot.span_ms <= 0 || plot.span_ms > INT64_C(100000000) || plot.top_mmhg <= 0)
        return;
    for (int y = 0; y < PLOT_ROWS; y++)
        memset(plot.cells[y], ' ', PLOT_COLUMNS);
    is_from_release = r->has_mark[POINT_TARGET] && r->has_value[POINT_TARGET];
    if (is_from_release)
        draw_band(&plot, t->p);
    draw_line(&plot);
    draw_points(&plot);
    for (int y = 0; y < PLOT_ROWS; y++) {
        snprintf(line, sizeof line, "  |%s %s", plot.cells[y], plot.labels[y]);
        row_draw(t, seq, line);
    }
    if (is_from_release) {
        char low[64], high[64];

        protocol_say_value(KEY_RELEASE_LOW_X10, t->p->value[KEY_RELEASE_LOW_X10], low, sizeof low);
        protocol_say_value(KEY_RELEASE_HIGH_X10, t->p->value[KEY_RELEASE_HIGH_X10], high, sizeof high);
        snprintf(line, sizeof line, "  dots: a fall of %s to %s", low, high);
        row_draw(t, seq, line);
    }
}
