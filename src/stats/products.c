/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Sums of squares about the means in integers, so that no offset cancels a digit and nought is nought. */
#include "stats/products.h"

/* Each of aa, bb, ab fits for as many pairs as a tally may hold; their sum may not once they pass this. */
#define PRODUCT_SAFE ((agree_wide)1 << 124)
#define PRODUCT_CUT 8

void stats_products(const struct pair_sums *s, struct products *out)
{
    const agree_wide n = s->n;
    struct products p = {.aa = n * s->aa - s->a * s->a,
                         .bb = n * s->bb - s->b * s->b,
                         .ab = n * s->ab - s->a * s->b,
                         .unit = 1.0 / ((double)AGREE_UNIT * AGREE_UNIT)};
    if (p.aa > PRODUCT_SAFE ||
        p.bb > PRODUCT_SAFE) { /* ten million pairs of a billion mmHg: 37 digits are left */
        p.aa /= PRODUCT_CUT;
        p.bb /= PRODUCT_CUT;
        p.ab /= PRODUCT_CUT;
        p.unit *= PRODUCT_CUT;
    }
    p.dd = p.aa + p.bb - 2 * p.ab;
    p.ss = p.aa + p.bb + 2 * p.ab;
    *out = p;
}

/* ab/aa == bb/ab, compared quotient by quotient as Euclid does: the products of both sides would take 256
 * bits. */
bool products_are_in_line(const struct products *p)
{
    agree_wide above = p->ab < 0 ? -p->ab : p->ab, below = p->aa;
    agree_wide other_above = p->bb, other_below = above;
    if (above == 0 || below == 0 || other_above == 0)
        return false;
    while (below != 0 && other_below != 0) {
        if (above / below != other_above / other_below)
            return false;
        const agree_wide rest = above % below, other_rest = other_above % other_below;
        above = below;
        below = rest;
        other_above = other_below;
        other_below = other_rest;
    }
    return below == 0 && other_below == 0;
}
