/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "stillarm/cuff.h"

#include "core/engine.h"

enum cuff_fit cuff_fit(const struct cuff *c, int32_t arm_mm)
{
    if (arm_mm > c->high_mm)
        return CUFF_TOO_SMALL;
    if (arm_mm < c->low_mm)
        return CUFF_TOO_LARGE;
    return CUFF_FITS;
}

/* Makers mark whole centimetres, so that an arm of 26.5 cm may lie between 20 to 26 and 27 to 34: the larger
 * closes it. */
static bool closes_gap(const struct sitting *s, const struct protocol *p, int cuff, int32_t arm_mm)
{
    const int32_t from_mm = s->cuffs[cuff].low_mm;
    int32_t below_mm = 0; /* where the ranges below the arm end */
    if (arm_mm >= from_mm)
        return false;
    for (int i = 0; i < s->cuff_count; i++) {
        const struct cuff *c = &s->cuffs[i];
        if (cuff_fit(c, arm_mm) == CUFF_FITS)
            return false;
        if (c->high_mm < arm_mm && c->high_mm > below_mm)
            below_mm = c->high_mm;
    }
    return below_mm > 0 && from_mm - below_mm <= p->value[KEY_CUFF_GAP_MM];
}

enum cuff_fit cuff_fit_among(const struct sitting *s, const struct protocol *p, int cuff, int32_t arm_mm)
{
    return closes_gap(s, p, cuff, arm_mm) ? CUFF_FITS : cuff_fit(&s->cuffs[cuff], arm_mm);
}

/* Of two that reach as far, the one that begins later is made for larger arms. */
static bool is_larger(const struct sitting *s, int cuff, int than)
{
    if (than < 0 || s->cuffs[cuff].high_mm != s->cuffs[than].high_mm)
        return than < 0 || s->cuffs[cuff].high_mm > s->cuffs[than].high_mm;
    return s->cuffs[cuff].low_mm > s->cuffs[than].low_mm;
}

int cuff_choose(const struct sitting *s, int32_t arm_mm)
{
    int best = -1;
    for (int i = 0; i < s->cuff_count; i++) {
        if (cuff_fit(&s->cuffs[i], arm_mm) == CUFF_FITS && is_larger(s, i, best))
            best = i;
    }
    return best;
}

int cuff_offer(const struct sitting *s, const struct protocol *p, int32_t arm_mm)
{
    int best = cuff_choose(s, arm_mm); /* where one holds the arm there is no gap */
    for (int i = 0; i < s->cuff_count; i++) {
        if (closes_gap(s, p, i, arm_mm) && is_larger(s, i, best))
            best = i;
    }
    return best;
}

void cuff_went_on(struct sitting *s, const struct protocol *p, int cuff)
{
    s->wrapped = cuff;
    s->worn = cuff + 1;
    s->worn_arm_mm = s->arm_mm;
    s->is_worn_in_gap = s->arm_mm > 0 && closes_gap(s, p, cuff, s->arm_mm);
}

unsigned worn_cuff_notes(const struct sitting *s, const struct protocol *p)
{
    unsigned notes = 0;
    if (s->worn == 0)
        return 0;
    const struct cuff *c = &s->cuffs[s->worn - 1];
    if (s->is_worn_in_gap)
        notes |= CUFF_NOTE_GAP;
    if (c->bladder_width_mm == 0 || s->worn_arm_mm == 0)
        return notes;
    if (c->bladder_width_mm * 100 < p->value[KEY_BLADDER_WIDTH_PCT] * s->worn_arm_mm)
        notes |= CUFF_NOTE_NARROW;
    if (c->bladder_length_mm * 100 < p->value[KEY_BLADDER_LENGTH_PCT] * s->worn_arm_mm)
        notes |= CUFF_NOTE_SHORT;
    return notes;
}

unsigned sitting_cuff_notes(const struct sitting *s, const struct protocol *p)
{
    return p && s->wrapped >= 0 ? worn_cuff_notes(s, p) : 0;
}
