/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Gauges and cuffs, as the oracle sees them. */
#include <stdio.h>
#include <string.h>

#include "oracle_kit.h"

static const char *const CHECKS[] = {"leak", "comparison", "zero"};

bool oracle_gauge_failed(const struct oracle *o, const struct protocol *p)
{
    const int64_t limits[] = {p->value[KEY_LEAK_MAX_MMHG_PER_MIN], p->value[KEY_COMPARISON_MAX_MMHG],
                              p->value[KEY_ZERO_MAX_MMHG]};
    for (size_t i = 0; o->gauge >= 0 && i < ARRAY_LEN(CHECKS); i++) {
        if (o->gauges[o->gauge].date[i] != 0 && o->gauges[o->gauge].value[i] > limits[i]) {
            return true;
        }
    }
    return false;
}

void oracle_take_gauge(struct oracle *o, const struct event *ev)
{
    o->gauge_top = (int32_t)ev->value;
    for (o->gauge = 0; o->gauge < o->gauge_count; o->gauge++) {
        if (strcmp(o->gauges[o->gauge].id, ev->item) == 0) {
            return;
        }
    }
    if (o->gauge_count == (int)ARRAY_LEN(o->gauges)) {
        o->gauge = -1;
        return;
    }
    o->gauge_count++;
    (void)snprintf(o->gauges[o->gauge].id, sizeof o->gauges[0].id, "%s", ev->item);
}

void oracle_take_check(struct oracle *o, const struct event *ev)
{
    for (size_t i = 0; o->gauge >= 0 && i < ARRAY_LEN(CHECKS); i++) {
        if (strcmp(ev->item, CHECKS[i]) == 0 && ev->value2 >= o->gauges[o->gauge].date[i]) {
            o->gauges[o->gauge].value[i] = ev->value;
            o->gauges[o->gauge].date[i] = ev->value2;
        }
    }
}

void oracle_take_cuff(struct oracle *o, const struct event *ev)
{
    int i = 0;
    while (i < o->cuff_count && strcmp(o->cuffs[i].id, ev->item) != 0) {
        i++;
    }
    if (i == o->cuff_count) {
        if (o->cuff_count == (int)ARRAY_LEN(o->cuffs)) {
            return;
        }
        o->cuff_count++;
    } else if (strcmp(o->wrapped, ev->item) == 0 &&
               (o->cuffs[i].low != ev->value || o->cuffs[i].high != ev->value2)) {
        o->wrapped[0] = '\0';
    }
    (void)snprintf(o->cuffs[i].id, sizeof o->cuffs[i].id, "%s", ev->item);
    o->cuffs[i].low = ev->value;
    o->cuffs[i].high = ev->value2;
}

static bool holds(const struct oracle *o, int cuff)
{
    return o->arm_mm >= o->cuffs[cuff].low && o->arm_mm <= o->cuffs[cuff].high;
}

/* No cuff at hand holds the arm; this one begins above it, close enough to one that ends below it. */
static bool closes_gap(const struct oracle *o, const struct protocol *p, int cuff)
{
    bool has_smaller = false;
    for (int i = 0; i < o->cuff_count; i++) {
        if (holds(o, i)) {
            return false;
        }
        has_smaller = has_smaller || (o->cuffs[i].high < o->arm_mm &&
                                      o->cuffs[cuff].low - o->cuffs[i].high <= p->value[KEY_CUFF_GAP_MM]);
    }
    return has_smaller && o->arm_mm < o->cuffs[cuff].low;
}

void oracle_take_wrap(struct oracle *o, const struct protocol *p, const struct event *ev)
{
    (void)snprintf(o->wrapped, sizeof o->wrapped, "%s", ev->item);
    bool is_measured = o->arm_mm != 0;
    o->wrapped_fits = !is_measured && p->value[KEY_CUFF_BY] == CUFF_BY_INDEX;
    o->wrapped_small = o->wrapped_large = false;
    for (int i = 0; is_measured && i < o->cuff_count; i++) {
        if (strcmp(o->cuffs[i].id, ev->item) == 0) {
            o->wrapped_fits = holds(o, i) || closes_gap(o, p, i);
            o->wrapped_small = !o->wrapped_fits && o->arm_mm > o->cuffs[i].high;
            o->wrapped_large = !o->wrapped_fits && o->arm_mm < o->cuffs[i].low;
        }
    }
}
