/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The budget of one value: its parts, row by row, and what they come to (docs/worth.md). */
#include <math.h>
#include <stdio.h>

#include "stats/stats.h"

#define SQRT3 1.73205080756887729353
#define SQRT12 3.46410161513775458705
#define LINE_HALF_MMHG 1.0 /* lines lie 2 mmHg apart */
#define OWN_SPREAD_FROM 5  /* readings that may speak for their own spread */
#define THIN_DF 10.0
#define PULSE_ASSUMED_BPM 60
#define BLOOD_KG_PER_M3 1060.0
#define GRAVITY_M_PER_S2 9.80665
#define PA_PER_MMHG 133.322

static const struct origin ORIGIN_LINES = {.source = "READ-3", .standing = STANDING_PUBLISHED};
static const struct origin ORIGIN_BEAT = {.source = "DEFL-5", .standing = STANDING_PUBLISHED};
static const struct origin ORIGIN_OWN = {.source = "", .standing = STANDING_JUDGEMENT};

static double at_least_zero(int32_t value)
{
    return value > 0 ? (double)value : 0.0;
}

/* ---- limits: gauge, graduation, height ---- */

static struct worth_row limits_row(double half, double sensitivity, bool is_shared, int n)
{
    struct worth_row row = {.is_known = half > 0.0,
                            .shape = SHAPE_RECTANGULAR,
                            .low = -half,
                            .high = half,
                            .standard = half / SQRT3,
                            .sensitivity = sensitivity,
                            .df = (double)INFINITY,
                            .is_shared = is_shared};
    row.contribution = row.standard * sensitivity / (is_shared ? 1.0 : sqrt((double)n));
    return row;
}

static struct worth_row gauge_row(const struct protocol *p)
{
    struct worth_row row = limits_row(at_least_zero(p->value[KEY_GAUGE_LIMIT_MMHG]), 1.0, true, 1);
    row.origin = protocol_origin(p, KEY_GAUGE_LIMIT_MMHG);
    (void)snprintf(row.note, sizeof row.note,
                   row.is_known ? "a sound gauge lies within %.0f mmHg; the same in every reading"
                                : "left out: the protocol's limit is %.0f",
                   row.high);
    return row;
}

static struct worth_row lines_row(int n)
{
    struct worth_row row = limits_row(LINE_HALF_MMHG, 1.0, false, n);
    row.origin = ORIGIN_LINES;
    (void)snprintf(row.note, sizeof row.note, "read to the nearest line, lines 2 mmHg apart");
    return row;
}

static struct worth_row height_row(const struct protocol *p)
{
    const double mmhg_per_mm = BLOOD_KG_PER_M3 * GRAVITY_M_PER_S2 / 1000.0 / PA_PER_MMHG;
    struct worth_row row = limits_row(at_least_zero(p->value[KEY_ARM_HEIGHT_MM]), mmhg_per_mm, true, 1);
    row.origin = protocol_origin(p, KEY_ARM_HEIGHT_MM);
    (void)snprintf(row.note, sizeof row.note,
                   row.is_known ? "middle of the cuff within %.0f mm of heart level, 0.78 mmHg a cm (ERR-33)"
                                : "left out: the protocol's limit is %.0f",
                   row.high);
    return row;
}

/* ---- the fall between two beats ---- */

struct fall {
    double mmhg_per_s, per_beat_mmhg;
    bool is_observed; /* rate and pulse both */
    bool has_rate;
};

/* The rate nearest the event: to the first sound the needle fell before it, to the last between the two. */
static struct fall fall_of(const struct sitting *s, const struct protocol *p, const struct reading *r,
                           enum side side)
{
    const int nearest = side == SIDE_SYSTOLIC ? 0 : 1;
    int32_t rate = r->rate_x10[nearest] > 0 ? r->rate_x10[nearest] : r->rate_x10[1 - nearest];
    struct fall f = {.has_rate = rate > 0};
    if (!f.has_rate)
        rate = p->value[KEY_RELEASE_HIGH_X10];
    f.is_observed = f.has_rate && s->pulse_bpm > 0;
    f.mmhg_per_s = at_least_zero(rate) / 10.0;
    f.per_beat_mmhg = f.mmhg_per_s * 60.0 / (s->pulse_bpm > 0 ? s->pulse_bpm : PULSE_ASSUMED_BPM);
    return f;
}

struct falls {
    double mean, mean_square, mean_rate;
    int observed, without_rate;
};

static struct falls falls_of(const struct sitting *s, const struct protocol *p, const struct taken *t,
                             enum side side)
{
    struct falls all = {0};
    for (int i = 0; i < t->n; i++) {
        const struct fall f = fall_of(s, p, &s->readings[t->index[i]], side);
        all.mean += f.per_beat_mmhg / t->n;
        all.mean_square += f.per_beat_mmhg * f.per_beat_mmhg / t->n;
        all.mean_rate += f.mmhg_per_s / t->n;
        all.observed += f.is_observed;
        all.without_rate += !f.has_rate;
    }
    return all;
}

static void say_fall(const struct sitting *s, const struct falls *f, const struct taken *t, char *out,
                     size_t cap)
{
    char rate[56], pulse[40];
    if (f->without_rate == 0)
        (void)snprintf(rate, sizeof rate, "%.1f mmHg/s", f->mean_rate);
    else if (f->without_rate == t->n)
        (void)snprintf(rate, sizeof rate, "%.1f mmHg/s, not observed: the band's end", f->mean_rate);
    else
        (void)snprintf(rate, sizeof rate, "%.1f mmHg/s, %d of %d not observed", f->mean_rate, f->without_rate,
                       t->n);
    if (s->pulse_bpm > 0)
        (void)snprintf(pulse, sizeof pulse, "pulse %d%s", (int)s->pulse_bpm,
                       s->is_irregular ? ", irregular" : "");
    else
        (void)snprintf(pulse, sizeof pulse, "pulse not counted: %d", PULSE_ASSUMED_BPM);
    (void)snprintf(out, cap, "%.1f mmHg a beat at %s, %s", f->mean, rate, pulse);
}

/* A sound is heard at the first beat below the systolic, and for the last time at the last above the
 * diastolic. */
static struct worth_row beat_row(const struct sitting *s, const struct protocol *p, const struct taken *t,
                                 enum side side)
{
    const struct falls f = falls_of(s, p, t, side);
    const double sign = side == SIDE_SYSTOLIC ? 1.0 : -1.0;
    struct worth_row row = {.is_known = f.observed == t->n,
                            .shape = SHAPE_RECTANGULAR,
                            .low = side == SIDE_SYSTOLIC ? 0.0 : -f.mean,
                            .high = side == SIDE_SYSTOLIC ? f.mean : 0.0,
                            .standard = sqrt(f.mean_square) / SQRT12,
                            .sensitivity = 1.0,
                            .df = (double)INFINITY,
                            .shift = sign * f.mean / 2.0,
                            .origin = ORIGIN_BEAT};
    row.contribution = row.standard / sqrt((double)t->n);
    say_fall(s, &f, t, row.note, sizeof row.note);
    return row;
}

/* ---- the spread between readings ---- */

struct spread {
    double sd, df;
    bool is_pooled;
};

static double value_of(const struct reading *r, enum side side)
{
    return side == SIDE_SYSTOLIC ? reading_systolic_mmhg(r) : reading_diastolic_mmhg(r);
}

static double sum_of_squares(const struct sitting *s, const struct taken *t, enum side side)
{
    double sum = 0.0;
    for (int i = 0; i < t->n; i++) {
        const double off = value_of(&s->readings[t->index[i]], side) - t->value[side];
        sum += off * off;
    }
    return sum;
}

static enum protocol_key spread_key(enum side side)
{
    return side == SIDE_SYSTOLIC ? KEY_WITHIN_SYSTOLIC_SD_X10 : KEY_WITHIN_DIASTOLIC_SD_X10;
}

/* Few readings say little about their own spread, so the published one is weighed in by its degrees of
 * freedom. */
static struct spread spread_of(const struct protocol *p, double squares, int n, enum side side)
{
    const double published = at_least_zero(p->value[spread_key(side)]) / 10.0;
    const double published_df = fmax(1.0, at_least_zero(p->value[KEY_WITHIN_SD_DF]));
    if (n >= OWN_SPREAD_FROM || (n > 1 && !(published > 0.0)))
        return (struct spread){.sd = sqrt(squares / (n - 1)), .df = n - 1};
    const double df = n - 1 + published_df;
    return (struct spread){
        .sd = sqrt((squares + published_df * published * published) / df), .df = df, .is_pooled = true};
}

static struct worth_row spread_row(const struct protocol *p, struct spread spread, int n, enum side side)
{
    struct worth_row row = {.is_known = !spread.is_pooled || spread.sd > 0.0,
                            .shape = SHAPE_T,
                            .standard = spread.sd,
                            .sensitivity = 1.0,
                            .contribution = spread.sd / sqrt((double)n),
                            .df = spread.df,
                            .origin = spread.is_pooled ? protocol_origin(p, spread_key(side)) : ORIGIN_OWN};
    if (!row.is_known)
        (void)snprintf(row.note, sizeof row.note,
                       "left out: one reading has no spread, and the protocol gives none");
    else if (!spread.is_pooled)
        (void)snprintf(row.note, sizeof row.note, "SD %.1f mmHg of these %d readings", spread.sd, n);
    else if (n == 1)
        (void)snprintf(row.note, sizeof row.note,
                       "SD %.1f mmHg as published: one reading has no spread of its own", spread.sd);
    else
        (void)snprintf(row.note, sizeof row.note,
                       "SD %.1f mmHg: that of these %d readings pooled with the published %.1f", spread.sd, n,
                       p->value[spread_key(side)] / 10.0);
    return row;
}

/* ---- what the parts come to ---- */

static void combine(struct worth_budget *b)
{
    double contribution[WORTH_PART_COUNT], df[WORTH_PART_COUNT], variance = 0.0;
    for (int i = 0; i < WORTH_PART_COUNT; i++) {
        contribution[i] = b->row[i].contribution;
        df[i] = b->row[i].df;
        variance += contribution[i] * contribution[i];
    }
    b->combined = sqrt(variance);
    b->df = worth_effective_df(contribution, df, WORTH_PART_COUNT);
    b->is_thin = b->df < THIN_DF;
}

/* The parts' own shapes give the half-width; the factor is what that comes to, for the table. */
static void expand(struct worth_budget *b, const struct boxes *boxes)
{
    const struct worth_row *spread = &b->row[WORTH_SPREAD];
    b->expanded = stats_half_width(boxes, spread->contribution, spread->df, COVERAGE);
    b->k = b->combined > 0.0 ? b->expanded / b->combined : 0.0;
    b->low = b->value + b->shift - b->expanded;
    b->high = b->value + b->shift + b->expanded;
}

static struct boxes shared_boxes(const struct worth_budget *b)
{
    struct boxes boxes = {.n = 0};
    boxes_add(&boxes, b->row[WORTH_GAUGE].high);
    boxes_add(&boxes, b->row[WORTH_HEIGHT].high * b->row[WORTH_HEIGHT].sensitivity);
    return boxes;
}

void stats_budget(const struct sitting *s, const struct protocol *p, const struct taken *taken,
                  enum side side, struct worth_budget *out)
{
    const struct spread spread = spread_of(p, sum_of_squares(s, taken, side), taken->n, side);
    *out = (struct worth_budget){.value = taken->value[side], .is_pooled = spread.is_pooled};
    out->row[WORTH_GAUGE] = gauge_row(p);
    out->row[WORTH_GRADUATION] = lines_row(taken->n);
    out->row[WORTH_BEAT] = beat_row(s, p, taken, side);
    out->row[WORTH_HEIGHT] = height_row(p);
    out->row[WORTH_SPREAD] = spread_row(p, spread, taken->n, side);
    out->shift = out->row[WORTH_BEAT].shift;
    combine(out);

    struct boxes boxes = shared_boxes(out);
    for (int i = 0; i < taken->n; i++) {
        boxes_add(&boxes, LINE_HALF_MMHG / taken->n);
        boxes_add(&boxes, fall_of(s, p, &s->readings[taken->index[i]], side).per_beat_mmhg / 2.0 / taken->n);
    }
    expand(out, &boxes);
}

double stats_expanded_after(const struct worth_budget *now, int n_now, int n_after, const struct protocol *p,
                            enum side side)
{
    if (n_after == n_now)
        return now->expanded;
    struct worth_budget then = *now;
    const double sd = now->row[WORTH_SPREAD].standard;
    /* The next reading is expected to lie as far off as those before it; what it tells of the spread counts.
     */
    const struct spread spread = spread_of(p, sd * sd * (n_after - 1), n_after, side);
    then.row[WORTH_SPREAD] = spread_row(
        p, (struct spread){.sd = sd, .df = spread.df, .is_pooled = spread.is_pooled}, n_after, side);
    struct boxes boxes = shared_boxes(now);
    static const enum worth_part ALONE[] = {WORTH_GRADUATION, WORTH_BEAT};
    for (size_t part = 0; part < sizeof ALONE / sizeof ALONE[0]; part++) {
        struct worth_row *row = &then.row[ALONE[part]];
        row->contribution = row->standard / sqrt((double)n_after);
        for (int i = 0; i < n_after; i++)
            boxes_add(&boxes, row->standard * SQRT3 / n_after);
    }
    combine(&then);
    expand(&then, &boxes);
    return then.expanded;
}
