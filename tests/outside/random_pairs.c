/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "outside/random_pairs.h"

#include <inttypes.h>
#include <stdio.h>
#include <string.h>

#define MMHG ((int64_t)AGREE_UNIT)
#define SEED UINT64_C(0x5eed0f2026)

/* splitmix64, which is common property */
static uint64_t state;

static uint64_t next(void)
{
    uint64_t z = state += UINT64_C(0x9e3779b97f4a7c15);
    z = (z ^ (z >> 30)) * UINT64_C(0xbf58476d1ce4e5b9);
    z = (z ^ (z >> 27)) * UINT64_C(0x94d049bb133111eb);
    return z ^ (z >> 31);
}

/* From low to high, both of them too. */
static int64_t between(int64_t low, int64_t high)
{
    return low + (int64_t)(next() % (uint64_t)(high - low + 1));
}

static bool one_in(int n)
{
    return between(1, n) == 1;
}

/* Roughly normal, in units of `unit`, SD about `sd` units. */
static int64_t about(int64_t unit, int64_t sd)
{
    int64_t sum = 0;
    for (int i = 0; i < 12; i++)
        sum += between(0, 1000);
    return (sum - 6000) * sd / 1000 * unit;
}

static int64_t even(int64_t value)
{
    return value / (2 * MMHG) * (2 * MMHG);
}

static void set_both(struct agree_pair *p, int side, int64_t measurer, int64_t listener)
{
    p->value[side][EAR_MEASURER] = measurer;
    p->value[side][EAR_LISTENER] = listener;
}

/* An ordinary pair: the middle of the side, people's spread, what the ears differ by; even values. */
static void draw_ordinary(struct agree_pair *p, int side)
{
    int64_t truth = (side == SIDE_SYSTOLIC ? 134 : 82) * MMHG + about(MMHG, side == SIDE_SYSTOLIC ? 16 : 9);
    set_both(p, side, even(truth + about(MMHG, 3) + MMHG), even(truth + about(MMHG, 2)));
}

/* Values that do not come of an ordinary pair. */
static void draw_side(enum shape shape, int round, struct agree_pair *p, int side, int at)
{
    static const int BOUNDS[SIDE_COUNT][3] = {{120, 130, 140}, {80, 85, 90}};
    static const int64_t SPREADS[] = {999999000, 500, 3000, 20000, 100000, 1000000, 10000000, 100000000};
    int64_t far = 999999000 * MMHG, middle = (side == SIDE_SYSTOLIC ? 120 : 80) * MMHG, one;
    switch ((int)shape) {
    case SHAPE_TIES:
        set_both(p, side, middle + 2 * MMHG * between(0, 2), middle + 2 * MMHG * between(0, 2));
        break;
    case SHAPE_TINY:
        set_both(p, side, middle + between(0, 3), middle + between(0, 3));
        break;
    case SHAPE_HUGE_SPREAD:
        one = between(0, SPREADS[round]) * MMHG;
        set_both(p, side, one + between(0, 12) * MMHG,
                 side == SIDE_SYSTOLIC ? one : between(0, SPREADS[round]) * MMHG);
        break;
    case SHAPE_HUGE_OFFSET:
    case SHAPE_FAR_BELOW:
        draw_ordinary(p, side);
        for (int ear = 0; ear < EAR_COUNT; ear++)
            p->value[side][ear] += shape == SHAPE_FAR_BELOW ? -far : far;
        break;
    case SHAPE_DECIMALS:
        one = middle + about(1, 14000);
        set_both(p, side, one + about(1, 2500), one + about(1, 2500));
        break;
    case SHAPE_OPPOSED:
        one = about(MMHG, 15);
        set_both(p, side, even(middle + one), even(middle - one + about(MMHG, 3)));
        break;
    case SHAPE_NOISE:
        set_both(p, side, even(middle + about(MMHG, 15)), even(middle + about(MMHG, 15)));
        break;
    case SHAPE_BOUNDARIES:
        one = BOUNDS[side][between(0, 2)] * MMHG;
        set_both(p, side, one + between(-3000, 3000) / 500 * 500, one + between(-3, 3) * MMHG);
        break;
    case SHAPE_ODD:
        one = middle + about(MMHG, 15) / MMHG * MMHG;
        set_both(p, side, one + between(-6, 6) * MMHG, one + between(-4, 4) * MMHG);
        break;
    case SHAPE_NEARLY:
        set_both(p, side, middle + 2 * MMHG * at, middle + 2 * MMHG * (at - (at == 1)));
        break;
    default:
        draw_ordinary(p, side);
        break;
    }
}

/* What a shape makes of a pair that is drawn; first is the set's first pair, last that of the same subject or
 * NULL. */
static void bend(enum shape shape, struct agree_pair *p, int side, const struct agree_pair *first,
                 const struct agree_pair *last)
{
    int64_t *value = p->value[side];
    switch ((int)shape) {
    case SHAPE_LISTENER_FLAT:
        value[EAR_LISTENER] = first->value[side][EAR_LISTENER];
        break;
    case SHAPE_MEASURER_FLAT:
        value[EAR_MEASURER] = first->value[side][EAR_MEASURER];
        break;
    case SHAPE_BOTH_FLAT:
        value[EAR_MEASURER] = first->value[side][EAR_MEASURER];
        value[EAR_LISTENER] = first->value[side][EAR_LISTENER];
        break;
    case SHAPE_SHIFTED:
        value[EAR_LISTENER] = value[EAR_MEASURER] + 4 * MMHG;
        break;
    case SHAPE_PERFECT:
        value[EAR_LISTENER] = value[EAR_MEASURER];
        break;
    case SHAPE_ZEROS:
        if (one_in(2))
            value[EAR_MEASURER] = (value[EAR_MEASURER] + 5 * MMHG) / (10 * MMHG) * (10 * MMHG);
        break;
    case SHAPE_SAME_AGAIN:
        if (last != NULL && !one_in(3))
            value[EAR_MEASURER] = last->value[side][EAR_MEASURER];
        break;
    case SHAPE_OUTLIERS:
        if (one_in(12))
            value[EAR_MEASURER] += about(2 * MMHG, 40);
        break;
    default:
        break;
    }
}

static int size_of(enum shape shape, int round)
{
    static const int MANY[] = {800, 369, 640, 368, 420, 300, 250, 512};
    if (shape == SHAPE_MANY)
        return MANY[round % 8];
    return (int)(shape == SHAPE_SMALL ? 2 + round % 4 : one_in(5) ? between(2, 12) : between(10, 120));
}

/* How many pairs its next subject gets. */
static int repeats_of(enum shape shape, int fixed, int n)
{
    switch ((int)shape) {
    case SHAPE_ONE_SUBJECT:
        return n;
    case SHAPE_REPEATS:
        return fixed;
    case SHAPE_UNEQUAL:
    case SHAPE_SAME_AGAIN:
        return (int)between(1, 5);
    case SHAPE_CLINIC:
    case SHAPE_MANY:
        return 1;
    default:
        return fixed == 2 ? 1 : (int)between(1, fixed);
    }
}

void random_set_of(int number, struct random_set *out)
{
    memset(out, 0, sizeof *out);
    state = SEED + (uint64_t)number * UINT64_C(1000003);
    out->shape = (enum shape)(number % PAIR_SHAPES);
    out->scheme = number % 7 == 6 ? -1 : number % 2;
    out->n = size_of(out->shape, number / PAIR_SHAPES);
    int fixed = 2 + number / PAIR_SHAPES % 3, left = 0, subject = -1;
    for (int i = 0; i < out->n; i++) {
        bool is_new = left == 0;
        if (is_new) {
            left = repeats_of(out->shape, fixed, out->n);
            subject++;
        }
        left--;
        struct kit_pair *p = &out->pairs[i];
        p->subject = subject;
        for (int side = 0; side < SIDE_COUNT; side++) {
            draw_side(out->shape, number / PAIR_SHAPES, &p->pair, side, i);
            bend(out->shape, &p->pair, side, &out->pairs[0].pair, is_new ? NULL : &out->pairs[i - 1].pair);
        }
    }
}

const struct category_scheme *random_scheme(int which)
{
    static const int US[][SIDE_COUNT] = {{0, 0}, {120, CATEGORY_NO_BOUND}, {130, 80}, {140, 90}},
                     ESH[][SIDE_COUNT] = {{0, 0}, {120, 80}, {130, 85}, {140, 90}, {160, 100}, {180, 110}};
    static struct category_scheme schemes[2];
    if (which < 0)
        return NULL;
    if (which == 0)
        kit_scheme(&schemes[0], US, 4);
    else
        kit_scheme(&schemes[1], ESH, 6);
    return &schemes[which];
}

bool random_sets_write(const char *path)
{
    static struct random_set set;
    FILE *f = fopen(path, "w");
    if (f == NULL)
        return false;
    for (int number = 0; number < SETS; number++) {
        random_set_of(number, &set);
        for (int i = 0; i < set.n; i++) {
            fprintf(f, "%d\t%d\t%" PRId32, number, set.scheme, set.pairs[i].subject);
            for (int side = 0; side < SIDE_COUNT; side++)
                for (int ear = 0; ear < EAR_COUNT; ear++)
                    fprintf(f, "\t%" PRId64, set.pairs[i].pair.value[side][ear]);
            fprintf(f, "\n");
        }
    }
    return fclose(f) == 0;
}
