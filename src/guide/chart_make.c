/* SPDX-License-Identifier: GPL-3.0-or-later */
/** @file chart_make.c  Graphs out of tallies: what is drawn, on which axes, and in words what is not. */
#include <stdio.h>

#include "guide/chart_parts.h"
#include "guide/progress.h"

/* ---- difference against mean ---- */

#define FAR INT64_C(1000000000) /* thousandths; what is farther lies outside any grid, and its sum might not fit */

void difference_grid_add(struct difference_grid *g, int64_t a, int64_t b)
{
    if (a < -FAR || a > FAR || b < -FAR || b > FAR) {
        g->outside++;
        return;
    }
    int64_t from_low = a + b - 2 * GRID_MEAN_LOW * AGREE_UNIT, d = a - b, half = AGREE_UNIT / 2;
    /* To the nearest whole, halves away from 0, so that neither ear is favoured. */
    int64_t diff = (d < 0 ? d - half : d + half) / AGREE_UNIT + GRID_DIFFS / 2;
    if (from_low < 0 || from_low / (4 * AGREE_UNIT) >= GRID_MEANS || diff < 0 || diff >= GRID_DIFFS)
        g->outside++;
    else {
        chart_count_up(&g->count[from_low / (4 * AGREE_UNIT)][diff], 1);
        if (g->inside < GRID_PAIRS_MAX) {
            g->pair[g->inside].sum = (int32_t)(a + b);
            g->pair[g->inside].diff = (int32_t)d;
        }
        g->inside++;
    }
}

/* Pairs in `wide` neighbouring cells of means, at one difference. */
static int64_t pairs_at(const struct difference_grid *g, int mean, int wide, int diff)
{
    int64_t n = 0;

    for (int i = mean; i < mean + wide && i < GRID_MEANS; i++)
        n += g->count[i][diff];
    return n;
}

/* So many cells wide that all marks fit: nothing is left out. */
static int wide_enough(const struct difference_grid *g)
{
    int wide = 1, marks = CHART_POINTS_MAX + 1;

    while (marks > CHART_POINTS_MAX) {
        marks = 0;
        for (int i = 0; i < GRID_MEANS; i += wide)
            for (int j = 0; j < GRID_DIFFS; j++)
                marks += pairs_at(g, i, wide, j) > 0;
        wide *= marks > CHART_POINTS_MAX ? 2 : 1;
    }
    return wide;
}

static int points_from(const struct chart *c, int32_t count)
{
    int n = 0;

    for (int i = 0; i < c->point_count; i++)
        n += c->points[i].count >= count;
    return n;
}

/* Only those that stand there; the first says what is counted. */
static void name_shapes(struct chart *c)
{
    const int many = points_from(c, c->many_from), few = points_from(c, c->few_from) - many;
    const char *pairs = c->point_count - few - many > 0 ? "" : " pairs";

    if (pairs[0] == '\0' && c->few_from == 2)
        text_copy(c->keys[0], sizeof c->keys[0], "one pair");
    else if (pairs[0] == '\0')
        snprintf(c->keys[0], sizeof c->keys[0], "1 to %d pairs", (int)c->few_from - 1);
    if (few > 0)
        snprintf(c->keys[1], sizeof c->keys[1], "%d to %d%s", (int)c->few_from, (int)c->many_from - 1, pairs);
    if (many > 0)
        snprintf(c->keys[2], sizeof c->keys[2], "%d or more%s", (int)c->many_from, few > 0 ? "" : pairs);
}

/* Three shapes tell something while no more than a quarter of the marks has the last. */
static void choose_shapes(struct chart *c)
{
    static const int32_t FROM[][2] = {{CHART_FEW_FROM, CHART_MANY_FROM}, {5, 20}, {20, 100}, {100, 500}, {500, 2000}, {2000, 10000}, {10000, 100000}};
    size_t i = 0;

    while (i + 1 < ARRAY_LEN(FROM) && 4 * points_from(c, FROM[i][1]) > c->point_count)
        i++;
    c->few_from = FROM[i][0];
    c->many_from = FROM[i][1];
    name_shapes(c);
}

/* A single pair fills no graph. */
static void widen(struct chart_span *s, double least)
{
    double lacks = least - (s->high - s->low);

    if (lacks > 0) {
        s->low -= lacks / 2;
        s->high += lacks / 2;
    }
}

/* A mark and the room round it. */
static void take_place(struct chart_span *means, struct chart_span *diffs, double x, double wide, double y)
{
    chart_span_take(means, x - wide);
    chart_span_take(means, x + wide);
    chart_span_take(diffs, y - 0.5);
    chart_span_take(diffs, y + 0.5);
}

/* As they were heard; those that are the same are one mark. */
static void add_single_pairs(struct chart *c, const struct difference_grid *g, struct chart_span *means, struct chart_span *diffs)
{
    int at[GRID_PAIRS_MAX]; /* the mark of each pair */

    for (int i = 0; i < (int)g->inside; i++) {
        int same = 0;
        while (same < i && (g->pair[same].sum != g->pair[i].sum || g->pair[same].diff != g->pair[i].diff))
            same++;
        at[i] = same < i ? at[same] : c->point_count++;
        struct chart_point *p = &c->points[at[i]];
        p->x = g->pair[i].sum / (2.0 * AGREE_UNIT);
        p->y = g->pair[i].diff / (double)AGREE_UNIT;
        p->count++;
        take_place(means, diffs, p->x, 1, p->y);
    }
}

/* Of so many only the cells are kept. Returns how many cells of means are drawn as one. */
static int add_cells(struct chart *c, const struct difference_grid *g, struct chart_span *means, struct chart_span *diffs)
{
    int wide = wide_enough(g);

    for (int i = 0; i < GRID_MEANS; i += wide)
        for (int j = 0; j < GRID_DIFFS; j++) {
            int64_t n = pairs_at(g, i, wide, j);
            if (n == 0)
                continue;
            struct chart_point *p = &c->points[c->point_count++];
            *p = (struct chart_point){.x = GRID_MEAN_LOW + 2 * i + wide, .y = j - GRID_DIFFS / 2};
            chart_count_up(&p->count, n);
            take_place(means, diffs, p->x, wide, p->y);
        }
    return wide;
}

/* The 5 and 10 mmHg that yardsticks speak of, on every graph: what comes and goes would seem to say something. */
static void add_bands(struct chart *c)
{
    static const struct { double at; enum chart_stroke stroke; const char *label; } BANDS[] = {
        {-10, STROKE_BAND_LOW, "-10"}, {-5, STROKE_BAND_LOW, "-5"}, {5, STROKE_BAND_HIGH, "+5"}, {10, STROKE_BAND_HIGH, "+10"}};

    for (size_t i = 0; i < ARRAY_LEN(BANDS); i++)
        chart_add_level(c, BANDS[i].stroke, BANDS[i].at, BANDS[i].label);
}

static void add_figure(struct chart *c, enum chart_stroke stroke, const struct figure *f, const char *word)
{
    if (f->lack == LACK_NONE)
        chart_add_figure_level(c, stroke, f->value, word, true);
}

static void note_no_limits(struct text *t, const struct figure *f)
{
    if (f->lack == LACK_NONE)
        return;
    text_add(t, "; no limits: ");
    add_lack(t, f->lack, f->need);
}

void chart_difference(struct chart *c, const struct chart_frame *f, enum side side, const struct agreement *a,
                      const struct difference_grid *g)
{
    const struct figure *figure = a->side[side].figure;
    struct chart_span means = {0}, diffs = {0};
    struct text note;

    chart_begin(c, CHART_DIFFERENCE, "mean of both, mmHg", "difference, mmHg");
    chart_set_title(c, SIDE_WORDS[side], f->who, " less the second listener");
    chart_note_count(&note, c, f, a->n, "pair", "pairs");
    if (a->n == 0) {
        text_copy(c->lack, sizeof c->lack, "There is no pair with a second listener yet.");
        return;
    }
    if (g->inside <= GRID_PAIRS_MAX)
        add_single_pairs(c, g, &means, &diffs);
    else
        text_addf(&note, "; drawn in steps of %d by 1 mmHg", 2 * add_cells(c, g, &means, &diffs));
    choose_shapes(c);
    if (g->outside > 0)
        text_addf(&note, "; %lld %s outside", (long long)g->outside, g->outside == 1 ? "pair lies" : "pairs lie");
    note_no_limits(&note, &figure[FIGURE_UPPER]);
    chart_add_level(c, STROKE_ZERO, 0, "zero");
    add_figure(c, STROKE_MIDDLE, &figure[FIGURE_BIAS], "bias");
    add_figure(c, STROKE_LIMIT, &figure[FIGURE_LOWER], "limit");
    add_figure(c, STROKE_LIMIT, &figure[FIGURE_UPPER], "limit");
    add_bands(c);
    for (int i = 0; i < c->level_count; i++)
        chart_span_take(&diffs, c->levels[i].at);
    if (!means.has_any)
        means = (struct chart_span){.low = GRID_MEAN_LOW, .high = GRID_MEAN_LOW + 2 * GRID_MEANS};
    widen(&means, 20);
    chart_hold(&c->x, means, 1);
    chart_hold(&c->y, diffs, 1);
}

/* ---- end digits ---- */

static void add_bar(struct chart *c, const char *label, int64_t x, int64_t n, double expected, bool is_marked)
{
    struct chart_bar *b = &c->bars[c->bar_count++];

    *b = (struct chart_bar){.value = n > 0 ? 100.0 * (double)x / (double)n : 0, .expected = expected, .is_marked = is_marked};
    text_copy(b->label, sizeof b->label, label);
}

void chart_digits(struct chart *c, const struct chart_frame *f, enum side side, const struct digit_tally *d)
{
    static const char *const LABELS[] = {"0", "2", "4", "6", "8"};
    struct text note;
    int64_t even = 0;

    chart_begin(c, CHART_DIGITS, "last digit", "share of the even values, %");
    chart_set_title(c, SIDE_WORDS[side], "last digits of ", f->who);
    for (int i = 0; i < 5; i++)
        even += d->even[i];
    chart_note_count(&note, c, f, even, "even value", "even values");
    if (even + d->odd == 0) {
        text_copy(c->lack, sizeof c->lack, "There is no whole value yet.");
        return;
    }
    struct chart_span shares = {.low = 0, .high = 20, .has_any = true};
    for (int i = 0; i < 5; i++) {
        double low = 0, high = 1;
        if (even >= DIGITS_EVEN_MIN)
            share_limits(d->even[i], even, 1 - 0.05 / 5, &low, &high); /* five looks: each at a fifth of 0.05 */
        add_bar(c, LABELS[i], d->even[i], even, 20, low > 0.2 || high < 0.2);
        chart_span_take(&shares, c->bars[i].value);
    }
    add_bar(c, "odd", d->odd, even + d->odd, -1, d->odd > 0); /* no chance brings one: no line is there to read */
    chart_span_take(&shares, c->bars[5].value);
    chart_hold(&c->y, shares, 5);
    c->x = (struct chart_axis){.low = 0, .high = c->bar_count, .tick = 1};
    text_copy(c->x.label, sizeof c->x.label, "last digit; odd: share of all whole values");
    if (d->odd > 0)
        text_addf(&note, "; %lld odd, on no line of a gauge", (long long)d->odd);
    if (d->not_whole > 0)
        text_addf(&note, "; %lld not whole, left out", (long long)d->not_whole);
    if (even < DIGITS_EVEN_MIN)
        text_addf(&note, "; chance or habit: %d more to tell", (int)(DIGITS_EVEN_MIN - even));
}

/* ---- release ---- */

static int note_releases(struct chart *c, const struct chart_frame *f, const struct release_point *at, int count)
{
    struct text note;
    int known = 0, voided = 0;

    for (int i = 0; i < count; i++) {
        bool is_known = date_exists(at[i].day);
        known += is_known;
        voided += is_known && !at[i].is_counted;
    }
    chart_note_count(&note, c, f, known, "release", "releases");
    if (voided > 0)
        text_addf(&note, "; %d void", voided);
    if (known < count)
        text_addf(&note, "; %d without a day, left out", count - known);
    return known;
}

/* Releases of one day and rate are one mark; they come in the order of days. */
static void add_release(struct chart *c, int32_t day, double rate, bool is_marked)
{
    for (int i = c->point_count - 1; i >= 0 && (int32_t)c->points[i].x == day; i--) {
        struct chart_point *p = &c->points[i];
        if (p->is_marked == is_marked && p->y > rate - 0.01 && p->y < rate + 0.01) {
            chart_count_up(&p->count, 1);
            return;
        }
    }
    c->points[c->point_count++] = (struct chart_point){.x = day, .y = rate, .count = 1, .is_marked = is_marked};
}

void chart_release(struct chart *c, const struct chart_frame *f, const struct release_point *at, int count,
                   int32_t low_x10, int32_t high_x10)
{
    struct chart_span rates = {.has_any = true}, days = {0};

    chart_begin(c, CHART_RELEASE, "day", "release rate, mmHg/s");
    chart_set_title(c, "release of the cuff", f->who, "");
    if (note_releases(c, f, at, count) == 0) {
        text_copy(c->lack, sizeof c->lack, "There is no release yet.");
        return;
    }
    int from = count > CHART_POINTS_MAX ? count - CHART_POINTS_MAX : 0;
    for (int i = from; i < count; i++) {
        if (!date_exists(at[i].day))
            continue;
        int32_t day = chart_days_of(at[i].day);
        add_release(c, day, at[i].rate_x10 / 10.0, !at[i].is_counted);
        chart_span_take(&days, day);
        chart_span_take(&rates, at[i].rate_x10 / 10.0 + 0.1);
    }
    if (low_x10 > 0)
        chart_add_figure_level(c, STROKE_BAND_LOW, low_x10 / 10.0, "at least", false);
    if (high_x10 > 0)
        chart_add_figure_level(c, STROKE_BAND_HIGH, high_x10 / 10.0, "at most", false);
    for (int i = 0; i < c->level_count; i++)
        chart_span_take(&rates, c->levels[i].at);
    chart_hold(&c->y, rates, 0.5);
    chart_hold_days(&c->x, (int32_t)days.low, (int32_t)days.high);
}
