/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Pairs into tallies: exact sums, and the moments that come from them without cancelling. */
#include <math.h>
#include <string.h>

#include "stats/agree.h"

#define NEAR_BOUND (2 * AGREE_UNIT) /* so far on either side a value is near a category's bound */

const int32_t AGREE_NEAR_MMHG[AGREE_NEAR_COUNT] = {5, 10, 15};

/* ---- sums ---- */

void pair_sums_add(struct pair_sums *s, int64_t a, int64_t b)
{
    s->n++;
    s->a += a;
    s->b += b;
    s->aa += (agree_wide)a * a;
    s->bb += (agree_wide)b * b;
    s->ab += (agree_wide)a * b;
}

void pair_sums_merge(struct pair_sums *into, const struct pair_sums *from)
{
    into->n += from->n;
    into->a += from->a;
    into->b += from->b;
    into->aa += from->aa;
    into->bb += from->bb;
    into->ab += from->ab;
}

/* sum = whole * n + rest with rest from 0 to n - 1, or, halved about 0, from -n/2 to n/2. */
struct parted {
    agree_wide whole, rest;
};

static struct parted part_floor(agree_wide sum, agree_wide n)
{
    struct parted p;
    /* Dividing 64 bits takes a fraction of the time, and nearly all sums of one subject have no more. */
    if (sum == (int64_t)sum && n == (int64_t)n)
        p = (struct parted){(int64_t)sum / (int64_t)n, (int64_t)sum % (int64_t)n};
    else
        p = (struct parted){sum / n, sum % n};
    if (p.rest < 0) {
        p.rest += n;
        p.whole--;
    }
    return p;
}

static struct parted part_nearest(agree_wide sum, agree_wide n)
{
    struct parted p = part_floor(sum, n);
    if (2 * p.rest > n) {
        p.rest -= n;
        p.whole++;
    }
    return p;
}

/*
 * Sum of products about the whole number nearest to each mean, an integer. About the means themselves it is
 * this less rest_x * rest_y / n. For squares that is at most half of it, so nothing cancels, and it is 0 only
 * where all values are the same. The terms stay within 128 bits where n times the sum of squares would not.
 */
static agree_wide about_whole(agree_wide products, struct parted x, struct parted y, agree_wide n)
{
    return products - n * x.whole * y.whole - x.whole * y.rest - y.whole * x.rest;
}

static double to_mmhg(agree_wide thousandths)
{
    return (double)thousandths / AGREE_UNIT;
}

static double to_mmhg_squared(double thousandths)
{
    return thousandths / ((double)AGREE_UNIT * AGREE_UNIT);
}

static double mean_of(struct parted x, double n)
{
    return to_mmhg(x.whole) + (double)x.rest / n / AGREE_UNIT;
}

static double variance_of(agree_wide about, struct parted x, double n)
{
    return n < 2.0 ? 0.0 : to_mmhg_squared(((double)about - (double)(x.rest * x.rest) / n) / (n - 1.0));
}

void stats_moments(const struct pair_sums *s, struct moments *out)
{
    *out = (struct moments){
        .n = (double)s->n, .is_a_constant = true, .is_b_constant = true, .is_d_constant = true};
    if (s->n < 1)
        return;
    const struct parted a = part_nearest(s->a, s->n), b = part_nearest(s->b, s->n),
                        d = part_nearest(s->a - s->b, s->n);
    const agree_wide aa = about_whole(s->aa, a, a, s->n), bb = about_whole(s->bb, b, b, s->n),
                     dd = about_whole(s->aa - 2 * s->ab + s->bb, d, d, s->n),
                     ab = about_whole(s->ab, a, b, s->n);
    out->mean_a = mean_of(a, out->n);
    out->mean_b = mean_of(b, out->n);
    out->mean_d = mean_of(d, out->n);
    out->is_a_constant = aa == 0;
    out->is_b_constant = bb == 0;
    out->is_d_constant = dd == 0;
    out->var_a = variance_of(aa, a, out->n);
    out->var_b = variance_of(bb, b, out->n);
    out->var_d = variance_of(dd, d, out->n);
    /* A covariance may be far smaller than its two parts: they are taken from each other as integers. */
    if (s->n >= 2)
        out->cov = to_mmhg_squared((double)(s->n * ab - a.rest * b.rest) / out->n / (out->n - 1.0));
}

/* ---- fractions ---- */

__extension__ typedef unsigned __int128 wide_unsigned;
#define PART_PER_WHOLE 18446744073709551616.0 /* 2^64 */

/* Add whole + rest/n, 0 <= rest < n <= 10^14. */
static void exact_add(struct exact_sum *s, agree_wide whole, agree_wide rest, agree_wide n)
{
    const uint64_t part = (uint64_t)(((wide_unsigned)rest << 64) / (wide_unsigned)n);
    s->part += part;
    s->whole += whole + (s->part < part ? 1 : 0);
}

static void exact_merge(struct exact_sum *into, const struct exact_sum *from)
{
    into->part += from->part;
    into->whole += from->whole + (into->part < from->part ? 1 : 0);
}

static double exact_value(const struct exact_sum *s)
{
    return (double)s->whole + (double)s->part / PART_PER_WHOLE;
}

/* Sum of squares of one cell about its mean. */
static void add_within(struct exact_sum *s, agree_wide sum, agree_wide squares, agree_wide n)
{
    if (sum == (int64_t)sum && squares == (int64_t)squares) { /* then n times the squares has room */
        const struct parted p = part_floor(
            (agree_wide)(int64_t)n * (int64_t)squares - (agree_wide)(int64_t)sum * (int64_t)sum, n);
        exact_add(s, p.whole, p.rest, n);
        return;
    }
    const struct parted x = part_nearest(sum, n);
    const struct parted least = part_floor(-x.rest * x.rest, n);
    exact_add(s, about_whole(squares, x, x, n) + least.whole, least.rest, n);
}

static void close_side(struct replicate_sums *r, const struct pair_sums *s)
{
    const agree_wide n = s->n, sum_d = s->a - s->b;
    if (s->n < 1)
        return;
    r->cells++;
    r->n += s->n;
    r->n_squared += n * n;
    exact_add(&r->reciprocal, n == 1, n == 1 ? 0 : 1, n);
    /* (whole + rest/n)^2, a term at a time */
    const struct parted d = part_floor(sum_d, n), twice = part_floor(2 * d.whole * d.rest, n);
    exact_add(&r->mean_d, d.whole, d.rest, n);
    exact_add(&r->mean_d_squares, d.whole * d.whole + twice.whole, twice.rest, n);
    exact_add(&r->mean_d_squares, 0, d.rest * d.rest, n * n);
    if (s->n < 2)
        return;
    r->repeated++;
    r->n_repeated += s->n;
    add_within(&r->within_a, s->a, s->aa, n);
    add_within(&r->within_b, s->b, s->bb, n);
    add_within(&r->within_d, sum_d, s->aa - 2 * s->ab + s->bb, n);
}

static void merge_replicates(struct replicate_sums *into, const struct replicate_sums *from)
{
    into->cells += from->cells;
    into->repeated += from->repeated;
    into->n += from->n;
    into->n_repeated += from->n_repeated;
    into->n_squared += from->n_squared;
    exact_merge(&into->reciprocal, &from->reciprocal);
    exact_merge(&into->within_a, &from->within_a);
    exact_merge(&into->within_b, &from->within_b);
    exact_merge(&into->within_d, &from->within_d);
    exact_merge(&into->mean_d, &from->mean_d);
    exact_merge(&into->mean_d_squares, &from->mean_d_squares);
}

/* Sum of squares of the cells' mean differences about their mean, thousandths^2. */
static double between_cells(const struct replicate_sums *r)
{
    const agree_wide shift = part_nearest(r->mean_d.whole, r->cells).whole;
    const agree_wide whole = r->mean_d_squares.whole - 2 * shift * r->mean_d.whole + r->cells * shift * shift;
    /* Both parts grow with the shift, and nearly cancel: they are put together as integers. */
    const struct parted part =
        part_floor((agree_wide)r->mean_d_squares.part - 2 * shift * r->mean_d.part, (agree_wide)1 << 64);
    const double rest =
        (double)(r->mean_d.whole - shift * r->cells) + (double)r->mean_d.part / PART_PER_WHOLE;
    const double about =
        (double)(whole + part.whole) + (double)part.rest / PART_PER_WHOLE - rest * rest / (double)r->cells;
    /* Means are cut at 2^-64, so equal ones leave a crumb, larger where they are: a spread of 1e-8 mmHg is
     * none. */
    const double crumb = 1e-10 + 4.0 * fabs((double)shift) / PART_PER_WHOLE;
    return about > crumb * (double)r->cells ? about : 0.0;
}

void stats_cells(const struct replicate_sums *r, struct cells *out)
{
    *out = (struct cells){.cells = (double)r->cells, .n = (double)r->n};
    if (r->cells < 1)
        return;
    out->df = (double)(r->n_repeated - r->repeated);
    out->within_a = to_mmhg_squared(exact_value(&r->within_a));
    out->within_b = to_mmhg_squared(exact_value(&r->within_b));
    out->within_d = to_mmhg_squared(exact_value(&r->within_d));
    out->mean_reciprocal = exact_value(&r->reciprocal) / out->cells;
    if (r->cells > 1)
        out->mean_size = (out->n - (double)r->n_squared / out->n) / (out->cells - 1.0);
    out->mean_d = exact_value(&r->mean_d) / out->cells / AGREE_UNIT;
    out->between_d = to_mmhg_squared(between_cells(r));
}

/* ---- tallies ---- */

void digit_tally_add(struct digit_tally *t, int64_t value)
{
    const int64_t whole = value / AGREE_UNIT;
    if (whole * AGREE_UNIT != value) {
        t->not_whole++;
        return;
    }
    const int64_t digit = whole % 10 < 0 ? -(whole % 10) : whole % 10;
    if (digit % 2 != 0)
        t->odd++;
    else
        t->even[digit / 2]++;
}

static void merge_digits(struct digit_tally *into, const struct digit_tally *from)
{
    for (int i = 0; i < 5; i++)
        into->even[i] += from->even[i];
    into->odd += from->odd;
    into->not_whole += from->not_whole;
}

static void add_repeat(struct repeat_tally *t, const int64_t before[EAR_COUNT], const int64_t now[EAR_COUNT])
{
    const bool measurer = before[EAR_MEASURER] == now[EAR_MEASURER],
               listener = before[EAR_LISTENER] == now[EAR_LISTENER];
    t->repeats++;
    t->same[EAR_MEASURER] += measurer;
    t->same[EAR_LISTENER] += listener;
    t->only[EAR_MEASURER] += measurer && !listener;
    t->only[EAR_LISTENER] += listener && !measurer;
}

/* One way over the bands for both: category_of's rule, for values that do not fit its 32 bits of mmHg. */
static struct agree_mark stand_at(const struct category_scheme *c, int side, int64_t value)
{
    struct agree_mark at = {0, 0, 0, 0};
    for (int i = 1; i < c->band_count; i++) {
        const struct category_band *b = &c->bands[i];
        const int32_t mmhg = side == SIDE_SYSTOLIC ? b->systolic_from_mmhg : b->diastolic_from_mmhg;
        if (mmhg == CATEGORY_NO_BOUND)
            continue;
        const int64_t over = value - (int64_t)mmhg * AGREE_UNIT;
        at.band = over >= 0 ? (uint8_t)i : at.band;
        at.below = (uint8_t)(at.below + (mmhg > 0 && over < 0 && over >= -NEAR_BOUND));
        at.from = (uint8_t)(at.from + (mmhg > 0 && over >= 0 && over < NEAR_BOUND));
    }
    return at;
}

void agree_frame_mark(struct agree_frame *f)
{
    memset(f->mark, 0, sizeof f->mark);
    for (int side = 0; side < SIDE_COUNT; side++)
        for (int mmhg = 0; mmhg < AGREE_MARKS; mmhg++) {
            struct agree_mark *m = &f->mark[side][mmhg];
            if (f->scheme != NULL)
                *m = stand_at(f->scheme, side, (int64_t)mmhg * AGREE_UNIT);
            m->digit = (uint8_t)(mmhg % 2 != 0 ? 5 : mmhg % 10 / 2);
        }
    f->has_marks = true;
}

/* What one value says by itself; its band. */
static inline int add_value(struct agree_tally *t, const struct agree_frame *f, int side, int ear,
                            int64_t value)
{
    struct digit_tally *digits = &t->digits[side][ear];
    struct agree_mark at = {0, 0, 0, 0};
    const uint32_t whole = (uint32_t)value / AGREE_UNIT;
    if (f->has_marks && whole < AGREE_MARKS && (int64_t)whole * AGREE_UNIT == value) {
        at = f->mark[side][whole];
        if (at.digit < 5)
            digits->even[at.digit]++;
        else
            digits->odd++;
    } else {
        if (f->scheme != NULL)
            at = stand_at(f->scheme, side, value);
        digit_tally_add(digits, value);
    }
    t->boundary[side].below[ear] += at.below;
    t->boundary[side].from[ear] += at.from;
    return at.band;
}

/* How far apart in thousandths. */
static int64_t apart(const int64_t value[EAR_COUNT])
{
    const int64_t d = value[EAR_MEASURER] - value[EAR_LISTENER];
    return d < 0 ? -d : d;
}

void agree_begin(struct agree_tally *t, const struct agree_frame *f)
{
    memset(t, 0, sizeof *t);
    t->category_count = f->scheme != NULL ? f->scheme->band_count : 0;
    learning_begin(&t->learning);
}

/* Last of all: with many subjects theirs is the memory that has to be waited for. */
static inline void add_to_subject(struct agree_tally *t, struct agree_subject *s, int side,
                                  const int64_t value[EAR_COUNT])
{
    if (s->side[side].n > 0)
        add_repeat(&t->repeats[side], s->last[side], value);
    pair_sums_add(&s->side[side], value[EAR_MEASURER], value[EAR_LISTENER]);
    memcpy(s->last[side], value, sizeof s->last[side]);
}

/* One side of a pair, which is the same code twice: so it goes over no loops. Is it right? */
static inline bool add_side(struct agree_tally *t, const struct agree_frame *f, int side,
                            const int64_t value[EAR_COUNT], int band[EAR_COUNT])
{
    const int64_t off = apart(value);
    for (int i = 0; i < AGREE_NEAR_COUNT; i++)
        t->near[side][i] += off <= (int64_t)AGREE_NEAR_MMHG[i] * AGREE_UNIT;
    const int measurer = add_value(t, f, side, EAR_MEASURER, value[EAR_MEASURER]),
              listener = add_value(t, f, side, EAR_LISTENER, value[EAR_LISTENER]);
    band[EAR_MEASURER] = measurer > band[EAR_MEASURER] ? measurer : band[EAR_MEASURER];
    band[EAR_LISTENER] = listener > band[EAR_LISTENER] ? listener : band[EAR_LISTENER];
    return off <= (int64_t)f->plan.right_within_mmhg * AGREE_UNIT;
}

void agree_add(struct agree_tally *t, struct agree_subject *s, const struct agree_frame *f,
               const struct agree_pair *p)
{
    const struct agree_pair pair = *p; /* a copy that no sum can be behind: it stays in registers */
    int band[EAR_COUNT] = {0, 0};
    const bool systolic = add_side(t, f, SIDE_SYSTOLIC, pair.value[SIDE_SYSTOLIC], band),
               diastolic = add_side(t, f, SIDE_DIASTOLIC, pair.value[SIDE_DIASTOLIC], band);
    if (f->scheme != NULL)
        t->category[band[EAR_MEASURER]][band[EAR_LISTENER]]++;
    t->right += systolic && diastolic;
    learning_take(&t->learning, &f->plan, systolic && diastolic);
    add_to_subject(t, s, SIDE_SYSTOLIC, pair.value[SIDE_SYSTOLIC]);
    add_to_subject(t, s, SIDE_DIASTOLIC, pair.value[SIDE_DIASTOLIC]);
}

/* A pair's sums go to its subject alone, and from there to the tally all at once. */
void agree_close_subject(struct agree_tally *t, const struct agree_subject *s)
{
    for (int side = 0; side < SIDE_COUNT; side++) {
        pair_sums_merge(&t->side[side], &s->side[side]);
        close_side(&t->replicates[side], &s->side[side]);
    }
}

static void merge_side(struct agree_tally *into, const struct agree_tally *from, int side)
{
    pair_sums_merge(&into->side[side], &from->side[side]);
    merge_replicates(&into->replicates[side], &from->replicates[side]);
    for (int i = 0; i < AGREE_NEAR_COUNT; i++)
        into->near[side][i] += from->near[side][i];
    into->repeats[side].repeats += from->repeats[side].repeats;
    for (int ear = 0; ear < EAR_COUNT; ear++) {
        merge_digits(&into->digits[side][ear], &from->digits[side][ear]);
        into->repeats[side].same[ear] += from->repeats[side].same[ear];
        into->repeats[side].only[ear] += from->repeats[side].only[ear];
        into->boundary[side].below[ear] += from->boundary[side].below[ear];
        into->boundary[side].from[ear] += from->boundary[side].from[ear];
    }
}

void agree_merge(struct agree_tally *into, const struct agree_tally *from)
{
    for (int side = 0; side < SIDE_COUNT; side++)
        merge_side(into, from, side);
    into->right += from->right;
    for (int i = 0; i < CATEGORY_BANDS_MAX; i++) {
        for (int j = 0; j < CATEGORY_BANDS_MAX; j++)
            into->category[i][j] += from->category[i][j];
    }
    if (into->category_count < from->category_count)
        into->category_count = from->category_count;
    into->is_merged = true;
}
