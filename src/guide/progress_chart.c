/* SPDX-License-Identifier: GPL-3.0-or-later */
/* A record's graphs, and the same in words for who hears the page or reads it line by line. */
#include "guide/progress_chart.h"

#include <stdio.h>

#include "guide/chart_cells.h"
#include "stillarm/text.h"

void progress_say_day(int32_t day, char out[16])
{
    (void)snprintf(out, 16, "%04d-%02d-%02d", (int)(day / 10000 % 10000), (int)(day / 100 % 100), (int)(day % 100));
}

/* The days of what is drawn: sittings without a pair say nothing of when the pairs were heard. */
static void frame_of(const struct progress *p, enum chart_kind kind, struct chart_frame *f)
{
    bool is_of_pairs = kind == CHART_DIFFERENCE || kind == CHART_LEARNING;
    int32_t first_day = is_of_pairs ? p->first_pair_day : p->first_day, last_day = is_of_pairs ? p->last_pair_day : p->last_day;
    char first[16], last[16];

    text_copy(f->who, sizeof f->who, p->person);
    f->span[0] = '\0';
    if (first_day == 0)
        return;
    progress_say_day(first_day, first);
    progress_say_day(last_day, last);
    (void)snprintf(f->span, sizeof f->span, "%s to %s", first, last);
}

void progress_chart(const struct progress *p, const struct yardstick *y, enum chart_kind kind, enum side side, struct chart *out)
{
    struct chart_frame f;

    frame_of(p, kind, &f);
    switch (kind) {
    case CHART_DIFFERENCE:
        chart_difference(out, &f, side, &p->record.agreement, &p->grid[side]);
        break;
    case CHART_DIGITS:
        chart_digits(out, &f, side, &p->digits[side]);
        break;
    case CHART_RELEASE:
        chart_release(out, &f, p->releases, p->release_count, p->release_low_x10, p->release_high_x10);
        if (out->lack[0] != '\0' && p->counted > 0)
            text_copy(out->lack, sizeof out->lack, "No rate is known: the marks that it is worked out from were not made.");
        break;
    case CHART_LEARNING:
    case CHART_KIND_COUNT:
        chart_learning(out, &f, &y->plan, &p->path, &p->record.agreement.learning);
        break;
    }
}

void progress_sheet(const struct progress *p, const struct yardstick *y, enum chart_kind kind, int32_t until_day, struct chart_sheet *out)
{
    out->panel_count = kind == CHART_DIFFERENCE || kind == CHART_DIGITS ? SIDE_COUNT : 1;
    for (int i = 0; i < out->panel_count; i++)
        progress_chart(p, y, kind, (enum side)i, &out->panel[i]);
    (void)snprintf(out->heading, sizeof out->heading, "%.60s, by the yardstick %s", p->name[0] != '\0' ? p->name : p->person, y->id);
    progress_say_day(until_day, out->date);
}

/* ---- in words ---- */

static void say_bars(const struct chart *c, progress_line_fn say, void *user)
{
    for (int i = 0; i < c->bar_count; i++) {
        const struct chart_bar *b = &c->bars[i];
        const char *marked = CHART_LEGENDS[c->kind].marked;
        char said[200];
        struct text t;

        text_init(&t, said, sizeof said);
        text_addf(&t, "%s: %.1f %%", b->label, b->value);
        if (b->expected >= 0)
            text_addf(&t, ", %.0f expected", b->expected);
        if (b->is_marked && marked != NULL)
            text_addf(&t, "; %s", marked);
        say(user, LINE_ROW, said);
    }
}

/* From the least to the largest of one axis. */
static void say_reach(const struct chart *c, bool is_up, progress_line_fn say, void *user)
{
    const struct chart_axis *axis = is_up ? &c->y : &c->x;
    double low = 0, high = 0;
    char from[40], to[40], said[200];

    for (int i = 0; i < c->point_count; i++) {
        double v = is_up ? c->points[i].y : c->points[i].x;
        low = i == 0 || v < low ? v : low;
        high = i == 0 || v > high ? v : high;
    }
    chart_say_figure(axis, low, from, sizeof from);
    chart_say_figure(axis, high, to, sizeof to);
    (void)snprintf(said, sizeof said, "%s: from %s to %s", axis->label, from, to);
    say(user, LINE_ROW, said);
}

static void say_points(const struct chart *c, progress_line_fn say, void *user)
{
    const char *marked = CHART_LEGENDS[c->kind].marked;
    int64_t n = 0;
    char said[200];

    for (int i = 0; i < c->point_count; i++)
        n += c->points[i].is_marked ? c->points[i].count : 0;
    say_reach(c, true, say, user);
    say_reach(c, false, say, user);
    if (n > 0 && marked != NULL) {
        (void)snprintf(said, sizeof said, "%s: %lld", marked, (long long)n);
        say(user, LINE_ROW, said);
    }
}

void say_chart(const struct chart *c, progress_line_fn say, void *user)
{
    char said[100];

    if (c->lack[0] != '\0') {
        say(user, LINE_INSTRUCTION, c->lack);
        return;
    }
    for (int i = 0; i < c->level_count; i++) {
        (void)snprintf(said, sizeof said, "line: %s", c->levels[i].label);
        say(user, LINE_ROW, said);
    }
    if (c->bar_count > 0)
        say_bars(c, say, user);
    else if (c->point_count > 0)
        say_points(c, say, user);
    for (int i = 0; i < c->sign_count; i++)
        if (c->signs[i].label[0] != '\0')
            say(user, LINE_ROW, c->signs[i].label);
}
