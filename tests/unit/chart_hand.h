/* SPDX-License-Identifier: GPL-3.0-or-later */
/** @file chart_hand.h  Invented pairs, answers and releases, and what graphs are made from. */
#ifndef STILLARM_CHART_HAND_H
#define STILLARM_CHART_HAND_H

#include <check.h>
#include <stdlib.h>
#include <string.h>

#include "guide/chart.h"

static const struct chart_frame FRAME = {.who = "ana", .span = "3 Sep to 24 Nov 2026"};
#define HAND_PLAN {.adequate = 0.1, .inadequate = 0.25, .reach = 2.5, .lose = 2.75, .horizon = 100, .right_within_mmhg = 5}
static const struct learning_plan PLAN = HAND_PLAN;
static const struct agree_frame AGAINST = {.plan = HAND_PLAN};

#define EQ(got, want) ck_assert_double_eq_tol(got, want, 1e-12)

/* One measurer's pairs so far; large. */
struct hand {
    struct agree_tally tally;
    struct agree_subject subject;
    struct difference_grid grid;
    struct agreement agreement;
};

static inline void hand_begin(struct hand *h)
{
    memset(h, 0, sizeof *h);
    agree_begin(&h->tally, &AGAINST);
}

/* Whole mmHg, the same on both sides. */
static inline void hand_pair(struct hand *h, int a, int b)
{
    struct agree_pair p = {{{a * AGREE_UNIT, b * AGREE_UNIT}, {a * AGREE_UNIT, b * AGREE_UNIT}}};
    agree_add(&h->tally, &h->subject, &AGAINST, &p);
    difference_grid_add(&h->grid, p.value[0][EAR_MEASURER], p.value[0][EAR_LISTENER]);
}

static inline void hand_difference(struct hand *h, struct chart *c)
{
    agree_close_subject(&h->tally, &h->subject);
    agreement_of(&h->tally, &h->agreement);
    chart_difference(c, &FRAME, SIDE_SYSTOLIC, &h->agreement, &h->grid);
}

/* 48 pairs, 2 mmHg too high on the whole. */
static inline void hand_pairs_48(struct hand *h)
{
    hand_begin(h);
    for (int i = 0; i < 48; i++)
        hand_pair(h, 110 + i * 37 % 50 + 2 + (i * 29 % 13 - 6), 110 + i * 37 % 50);
}

/* Answers with the engine of learning itself; wrong where (i * 7 + 3) % `one_in` is 0, and all of those in between. */
static inline void hand_course(struct learning_path *p, struct learning_state *s, int n, int one_in, int from, int to)
{
    learning_begin(s);
    learning_path_begin(p);
    for (int i = 1; i <= n; i++) {
        bool is_right = (i * 7 + 3) % one_in != 0 && !(i >= from && i < to);
        learning_take(s, &PLAN, is_right);
        learning_path_add(p, s, is_right);
    }
}

static inline const struct chart_level *hand_level(const struct chart *c, const char *begins)
{
    for (int i = 0; i < c->level_count; i++)
        if (strncmp(c->levels[i].label, begins, strlen(begins)) == 0)
            return &c->levels[i];
    return NULL;
}

/* The axes hold all there is, on round figures. */
static inline void hand_is_sound(const struct chart *c)
{
    ck_assert(c->x.low < c->x.high && c->y.low < c->y.high);
    ck_assert(c->x.tick > 0 && c->y.tick > 0);
    ck_assert((c->x.high - c->x.low) / c->x.tick <= 12.01 && (c->y.high - c->y.low) / c->y.tick <= 12.01);
    for (int i = 0; i < c->level_count; i++)
        ck_assert(c->levels[i].at >= c->y.low && c->levels[i].at <= c->y.high);
    for (int i = 0; i < c->point_count; i++) {
        ck_assert(c->points[i].x >= c->x.low && c->points[i].x <= c->x.high);
        ck_assert(c->points[i].y >= c->y.low && c->points[i].y <= c->y.high);
    }
    for (int i = 0; i < c->bar_count; i++)
        ck_assert(c->bars[i].value >= c->y.low && c->bars[i].value <= c->y.high);
    double steps = c->y.low / c->y.tick;
    ck_assert(steps - (double)(int64_t)steps < 1e-6 && steps - (double)(int64_t)steps > -1e-6);
}

#endif
