/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Pairs by hand: a tally with its subjects, and random ones that come out the same every time. */
#ifndef STILLARM_AGREE_HAND_H
#define STILLARM_AGREE_HAND_H

#include <check.h>
#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "stillarm/agreement.h"

#define HAND_SUBJECTS 128

struct agree_hand {
    struct agree_frame frame;
    struct agree_tally tally;
    struct agree_subject subject[HAND_SUBJECTS];
    struct agreement said;
};

static inline void agree_hand_begin(struct agree_hand *h, const struct category_scheme *scheme)
{
    memset(h, 0, sizeof *h);
    h->frame.scheme = scheme;
    h->frame.plan = (struct learning_plan){.adequate = 0.10,
                                           .inadequate = 0.25,
                                           .reach = 2.0,
                                           .lose = 2.0,
                                           .horizon = 100,
                                           .right_within_mmhg = 5};
    agree_begin(&h->tally, &h->frame);
}

/* Thousandths; the diastolic pair lies so much lower. */
static inline void agree_hand_exact(struct agree_hand *h, int subject, int64_t a, int64_t b, int64_t lower)
{
    const struct agree_pair p = {{{a, b}, {a - lower, b - lower}}};
    agree_add(&h->tally, &h->subject[subject], &h->frame, &p);
}

static inline void agree_hand_add(struct agree_hand *h, int subject, int a_mmhg, int b_mmhg)
{
    agree_hand_exact(h, subject, (int64_t)a_mmhg * AGREE_UNIT, (int64_t)b_mmhg * AGREE_UNIT, 40 * AGREE_UNIT);
}

static inline const struct figure *agree_hand_close(struct agree_hand *h)
{
    for (int i = 0; i < HAND_SUBJECTS; i++)
        agree_close_subject(&h->tally, &h->subject[i]);
    agreement_of(&h->tally, &h->said);
    return h->said.side[SIDE_SYSTOLIC].figure;
}

/* From 0 to below - 1; the same row of numbers from the same seed. */
static inline int64_t agree_hand_random(uint64_t *seed, int64_t below)
{
    *seed = *seed * UINT64_C(6364136223846793005) + UINT64_C(1442695040888963407);
    return (int64_t)((*seed >> 33) % (uint64_t)below);
}

static const struct category_scheme AGREE_HAND_SCHEME = {
    .id = "hand",
    .title = "Hand",
    .bands = {{.id = "low", .say = "low"},
              {.id = "raised",
               .say = "raised",
               .systolic_from_mmhg = 120,
               .diastolic_from_mmhg = CATEGORY_NO_BOUND},
              {.id = "high", .say = "high", .systolic_from_mmhg = 130, .diastolic_from_mmhg = 80},
              {.id = "higher", .say = "higher", .systolic_from_mmhg = 140, .diastolic_from_mmhg = 90}},
    .band_count = 4,
};

#endif
