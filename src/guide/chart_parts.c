/* SPDX-License-Identifier: GPL-3.0-or-later */
/** @file chart_parts.c  What all graphs share: their words, days as numbers, axes with round figures, levels, notes. */
#include "guide/chart_parts.h"

#include <stdio.h>

const char *const CHART_WORDS[CHART_KIND_COUNT] = {"difference", "digits", "release", "learning"};

const char CHART_CAUTION[] = "An aid to training and documentation. It certifies nobody; a preceptor decides.";

const struct chart_legend CHART_LEGENDS[CHART_KIND_COUNT] = {
    [CHART_DIFFERENCE] = {.plain = "one pair", .few = "2 to 4", .many = "5 or more", .band = "5 and 10 mmHg apart"},
    [CHART_DIGITS] = {.plain = "not beyond chance", .marked = "beyond chance", .expected = "expected, 20 %"},
    [CHART_RELEASE] = {.plain = "counted", .marked = "void", .shade = "as the protocol asks"},
    [CHART_LEARNING] = {.plain = "right", .marked = "wrong", .shade = "reached; while it lasts, up is towards lost"},
};

/* ---- days ---- */

/* Years begin in March here, so that the day that comes and goes is their last. */
int32_t chart_days_of(int32_t yyyymmdd)
{
    int32_t month = yyyymmdd / 100 % 100, day = yyyymmdd % 100;
    int32_t year = yyyymmdd / 10000 - (month <= 2), since_march = (month + 9) % 12;

    return 365 * year + year / 4 - year / 100 + year / 400 + (153 * since_march + 2) / 5 + day - 1 - 719468;
}

int32_t chart_date_of(int32_t days)
{
    int32_t of_era = (days + 719468) % 146097, era = (days + 719468) / 146097; /* 400 years */
    int32_t year = (of_era - of_era / 1460 + of_era / 36524 - of_era / 146096) / 365;
    int32_t of_year = of_era - (365 * year + year / 4 - year / 100), since_march = (5 * of_year + 2) / 153;
    int32_t day = of_year - (153 * since_march + 2) / 5 + 1, month = since_march < 10 ? since_march + 3 : since_march - 9;

    return (year + 400 * era + (month <= 2)) * 10000 + month * 100 + day;
}

/* ---- axes ---- */

#define AXIS_FIGURES 10      /* so many steps at most */
#define AXIS_DATES 8
#define DRAWN_MOST 1.0e10    /* what lies beyond is no pressure, and would round badly */

bool chart_is_drawn(double v)
{
    return v > -DRAWN_MOST && v < DRAWN_MOST; /* false for what is no number */
}

void chart_span_take(struct chart_span *s, double v)
{
    if (!s->has_any || v < s->low)
        s->low = v;
    if (!s->has_any || v > s->high)
        s->high = v;
    s->has_any = true;
}

static double round_down(double v, double step)
{
    double whole = (double)(int64_t)(v / step) * step;

    return whole > v ? whole - step : whole;
}

/* Ends on round figures that hold all that the span holds. */
void chart_hold(struct chart_axis *axis, struct chart_span s, double tick_least)
{
    static const double STEPS[] = {2.0, 2.5, 2.0}; /* 1, 2, 5, 10 */
    double tick = tick_least;

    for (size_t i = 0; (s.high - s.low) / tick > AXIS_FIGURES - 1; /* rounding adds one */ i = (i + 1) % ARRAY_LEN(STEPS))
        tick *= STEPS[i];
    axis->tick = tick;
    axis->low = round_down(s.low, tick);
    axis->high = -round_down(-s.high, tick);
    if (!(axis->low < axis->high))
        axis->high = axis->low + tick;
}

void chart_hold_days(struct chart_axis *axis, int32_t first, int32_t last)
{
    static const double TICKS[] = {1, 2, 7, 14, 28, 91, 182, 364, 728, 3640, 36400, 364000};
    size_t i = 0;

    while (i + 1 < ARRAY_LEN(TICKS) && (last - first + 2) / TICKS[i] > AXIS_DATES)
        i++;
    axis->is_day = true;
    axis->tick = TICKS[i];
    axis->low = first - 1;
    axis->high = last + 1;
}

/* ---- what every graph shares ---- */

void chart_begin(struct chart *c, enum chart_kind kind, const char *x, const char *y)
{
    *c = (struct chart){.kind = kind, .x = {.low = 0, .high = 1, .tick = 1}, .y = {.low = 0, .high = 1, .tick = 1}};
    text_copy(c->x.label, sizeof c->x.label, x);
    text_copy(c->y.label, sizeof c->y.label, y);
}

void chart_add_level(struct chart *c, enum chart_stroke stroke, double at, const char *label)
{
    if (c->level_count == CHART_LEVELS_MAX || !chart_is_drawn(at))
        return;
    struct chart_level *l = &c->levels[c->level_count++];
    l->at = at;
    l->stroke = stroke;
    text_copy(l->label, sizeof l->label, label);
}

void chart_add_figure_level(struct chart *c, enum chart_stroke stroke, double at, const char *word, bool has_sign)
{
    char label[48];
    bool is_nothing = at > -0.05 && at < 0.05;

    if (has_sign && !is_nothing)
        snprintf(label, sizeof label, "%s %+.1f", word, at);
    else
        snprintf(label, sizeof label, "%s %.1f", word, is_nothing ? 0 : at);
    chart_add_level(c, stroke, at, label);
}

/* `48 pairs, 3 Sep to 24 Nov 2026`, and the rest of the note behind it. */
void chart_note_count(struct text *t, struct chart *c, const struct chart_frame *f, int64_t n, const char *one,
                       const char *many)
{
    text_init(t, c->note, sizeof c->note);
    text_add_number(t, n);
    text_addf(t, " %s", n == 1 ? one : many);
    if (f->span[0] != '\0')
        text_addf(t, ", %s", f->span);
}

void chart_set_title(struct chart *c, const char *what, const char *who, const char *end)
{
    struct text t;

    text_init(&t, c->title, sizeof c->title);
    text_addf(&t, "%s: %s%s", what, who, end);
}

void chart_count_up(int32_t *at, int64_t by)
{
    int64_t sum = *at + by;

    *at = sum > INT32_MAX ? INT32_MAX : (int32_t)sum;
}
