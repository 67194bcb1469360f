/* SPDX-License-Identifier: GPL-3.0-or-later */
/** @file cuff.h  Does a cuff's marked range hold this arm?  Pure. */
#ifndef STILLARM_CUFF_H
#define STILLARM_CUFF_H

#include <stdint.h>

#include "stillarm/sitting.h"

enum cuff_fit { CUFF_FITS, CUFF_TOO_SMALL /* the cuff: the arm lies above its range */, CUFF_TOO_LARGE };

/** Both ends of the marked range fit. @param arm_mm circumference, millimetres */
enum cuff_fit cuff_fit(const struct cuff *c, int32_t arm_mm);

/** The same among the cuffs at hand: where the arm lies in a gap that the protocol lets the larger cuff close, that one fits. */
enum cuff_fit cuff_fit_among(const struct sitting *s, const struct protocol *p, int cuff, int32_t arm_mm);

/** The cuff whose marked range holds this arm, index into s->cuffs, or -1 when none does. Where two fit the larger wins: a small cuff reads high. */
int cuff_choose(const struct sitting *s, int32_t arm_mm);

/** The cuff to offer, as the rules judge it: by cuff_fit_among; the larger of two; -1 when none fits. */
int cuff_offer(const struct sitting *s, const struct protocol *p, int32_t arm_mm);

#endif
