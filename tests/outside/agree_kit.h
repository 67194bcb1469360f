/* SPDX-License-Identifier: GPL-3.0-or-later */
/** @file agree_kit.h  Agreements of whole tables of pairs, for checks of figures against the world outside.
 */
#ifndef TESTS_OUTSIDE_AGREE_KIT_H
#define TESTS_OUTSIDE_AGREE_KIT_H

#include <stdint.h>

#include "stillarm/agreement.h"

struct kit_pair {
    int32_t subject; /* from 0 */
    struct agree_pair pair;
};

/** A plan that all of them can share: 10 and 25 % wrong, right within 5 mmHg. */
struct learning_plan kit_plan(void);

/** The tally of one measurer, subjects closed. */
void kit_tally(const struct kit_pair *pairs, int n, const struct agree_frame *f, struct agree_tally *out);

/** What it says. */
void kit_agreement(const struct kit_pair *pairs, int n, const struct agree_frame *f, struct agreement *out);

/** A pair whose diastolic values are those of the systolic. Whole mmHg. */
struct kit_pair kit_both_sides(int subject, int measurer, int listener);

/** A ladder of bands named by their number; lower bounds in mmHg, the first 0, CATEGORY_NO_BOUND where there
 * is none. */
void kit_scheme(struct category_scheme *out, const int (*bounds)[SIDE_COUNT], int count);

#endif
