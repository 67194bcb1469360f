/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "stillarm/cuff.h"

enum cuff_fit cuff_fit(const struct cuff *c, int32_t arm_mm)
{
    if (arm_mm > c->high_mm)
        return CUFF_TOO_SMALL;
    if (arm_mm < c->low_mm)
        return CUFF_TOO_LARGE;
    return CUFF_FITS;
}

int cuff_choose(const struct sitting *s, int32_t arm_mm)
{
    int best = -1;
    for (int i = 0; i < s->cuff_count; i++) {
        if (cuff_fit(&s->cuffs[i], arm_mm) != CUFF_FITS)
            continue;
        if (best < 0 || s->cuffs[i].high_mm > s->cuffs[best].high_mm)
            best = i;
    }
    return best;
}
