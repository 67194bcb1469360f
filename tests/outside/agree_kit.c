/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "outside/agree_kit.h"

#include <check.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

struct learning_plan kit_plan(void)
{
    return (struct learning_plan){.adequate = 0.10,
                                  .inadequate = 0.25,
                                  .reach = 1.25,
                                  .lose = 2.0,
                                  .horizon = 50,
                                  .right_within_mmhg = 5};
}

void kit_tally(const struct kit_pair *pairs, int n, const struct agree_frame *f, struct agree_tally *out)
{
    int subjects = 0;
    for (int i = 0; i < n; i++)
        subjects = pairs[i].subject >= subjects ? pairs[i].subject + 1 : subjects;
    struct agree_subject *of = calloc((size_t)subjects + 1, sizeof *of);
    ck_assert_ptr_nonnull(of);
    agree_begin(out, f);
    for (int i = 0; i < n; i++)
        agree_add(out, &of[pairs[i].subject], f, &pairs[i].pair);
    for (int i = 0; i < subjects; i++)
        if (of[i].side[SIDE_SYSTOLIC].n > 0)
            agree_close_subject(out, &of[i]);
    free(of);
}

void kit_agreement(const struct kit_pair *pairs, int n, const struct agree_frame *f, struct agreement *out)
{
    struct agree_tally t;
    kit_tally(pairs, n, f, &t);
    agreement_of(&t, out);
}

struct kit_pair kit_both_sides(int subject, int measurer, int listener)
{
    struct kit_pair p = {.subject = subject};
    for (int side = 0; side < SIDE_COUNT; side++) {
        p.pair.value[side][EAR_MEASURER] = (int64_t)measurer * AGREE_UNIT;
        p.pair.value[side][EAR_LISTENER] = (int64_t)listener * AGREE_UNIT;
    }
    return p;
}

void kit_scheme(struct category_scheme *out, const int (*bounds)[SIDE_COUNT], int count)
{
    memset(out, 0, sizeof *out);
    snprintf(out->id, sizeof out->id, "ladder");
    out->band_count = count;
    for (int i = 0; i < count; i++) {
        snprintf(out->bands[i].id, sizeof out->bands[i].id, "band-%d", i);
        out->bands[i].systolic_from_mmhg = bounds[i][SIDE_SYSTOLIC];
        out->bands[i].diastolic_from_mmhg = bounds[i][SIDE_DIASTOLIC];
    }
}
