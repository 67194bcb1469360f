/* SPDX-License-Identifier: GPL-3.0-or-later */
/** @file products.h  Sums of squares about the means, as exact integers. Private to stats; pure. */
#ifndef STILLARM_PRODUCTS_H
#define STILLARM_PRODUCTS_H

#include <stdbool.h>

#include "stillarm/agreement.h"

/** n times the sums of squares and products about the means, thousandths squared. d is a less b, s is a plus b. */
struct products {
    agree_wide aa, bb, ab, dd, ss;
    double unit; /* what one count stands for, mmHg^2: all five times this over n are sums of squares in mmHg^2 */
};
void stats_products(const struct pair_sums *s, struct products *out);

/** All pairs lie on one straight line that is neither level nor upright. */
bool products_are_in_line(const struct products *p);

#endif
