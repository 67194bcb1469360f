/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Why an event may be refused, classes 9 and 10: values in order, cuffs that fit, gauges that vouch. */
#include <string.h>

#include "core/question.h"

static enum rule object_order(struct question *q)
{
    return object_have_need(q, RULE_VALUE_ORDER, "out of order",
                            "target, first, silent, return, muffling, last falling");
}

static enum rule ask_pair_order(struct question *q, const struct reading *r, enum point point)
{
    int32_t has[POINT_COUNT], mmhg[POINT_COUNT];
    memcpy(has, r->has_pair, sizeof has);
    memcpy(mmhg, r->pair_mmhg, sizeof mmhg);
    has[point] = 1;
    mmhg[point] = (int32_t)q->ev->value;
    has[POINT_TARGET] = r->has_value[POINT_TARGET];
    mmhg[POINT_TARGET] = r->value_mmhg[POINT_TARGET];
    return reading_values_in_order(has, mmhg) ? RULE_NONE : object_order(q);
}

/* A target given late must hold for what the second listener entered, too. */
static bool is_pair_under_target(const struct reading *r, const struct event *ev)
{
    for (int i = POINT_FIRST; i < POINT_COUNT; i++) {
        if (r->has_pair[i] && r->pair_mmhg[i] > ev->value)
            return false;
    }
    return true;
}

static enum rule ask_bladder_order(struct question *q)
{
    const struct event *ev = q->ev;
    const int32_t longest_mm = q->s->cuffs[cuff_index(q->s, ev->item)].high_mm;
    if (ev->value >= ev->value2)
        return object_numbers(q, RULE_VALUE_ORDER, ev->value, "a width below the length, ", ev->value2);
    return ev->value2 > longest_mm
               ? object_numbers(q, RULE_VALUE_ORDER, ev->value2,
                                "no longer than the largest arm it is marked for, ", longest_mm)
               : RULE_NONE;
}

/* 9 */
enum rule ask_order(struct question *q)
{
    const struct sitting *s = q->s;
    const struct event *ev = q->ev;
    const bool is_value = ev->kind == EV_VALUE || ev->kind == EV_TARGET || ev->kind == EV_CORRECT;
    if (is_value || ev->kind == EV_PAIR) {
        const struct reading *r = reading_at_hand(s);
        const enum point point = ev->kind == EV_TARGET ? POINT_TARGET : point_named(ev->item);
        if (ev->kind == EV_PAIR)
            return ask_pair_order(q, r, point);
        int32_t has[POINT_COUNT], mmhg[POINT_COUNT];
        memcpy(has, r->has_value, sizeof has);
        memcpy(mmhg, r->value_mmhg, sizeof mmhg);
        has[point] = 1;
        mmhg[point] = (int32_t)ev->value;
        if (!reading_values_in_order(has, mmhg) || (point == POINT_TARGET && !is_pair_under_target(r, ev)))
            return object_order(q);
    }
    if (ev->kind == EV_BLADDER)
        return ask_bladder_order(q);
    if (ev->kind == EV_PALPATE) {
        const bool is_felt = strcmp(ev->item, "felt") == 0;
        const int top = is_felt && s->gone_mmhg > s->felt_mmhg ? s->gone_mmhg - 1 : s->felt_mmhg;
        if (ev->value <= top)
            return object_numbers(q, RULE_ESTIMATE_ORDER, ev->value, "above ", top);
    }
    return RULE_NONE;
}

static enum rule ask_cuff(struct question *q)
{
    const struct sitting *s = q->s;
    if (q->ev->kind != EV_WRAP)
        return RULE_NONE;
    if (s->arm_mm == 0)
        return q->p->value[KEY_CUFF_BY] == CUFF_BY_INDEX
                   ? RULE_NONE
                   : object_have_need(q, RULE_CUFF_UNMEASURED, "not measured", "circumference");
    const int cuff = cuff_index(s, q->ev->item);
    const struct cuff *c = &s->cuffs[cuff];
    const enum cuff_fit fit = cuff_fit_among(s, q->p, cuff, s->arm_mm);
    const enum rule rule = fit == CUFF_TOO_SMALL ? RULE_CUFF_TOO_SMALL : RULE_CUFF_TOO_LARGE;
    if (fit == CUFF_FITS || s->waived_rules[rule])
        return RULE_NONE;
    say_words(q->have, "arm %d.%d cm", (int)(s->arm_mm / 10), (int)(s->arm_mm % 10));
    say_words(q->need, "%d.%d to %d.%d cm", (int)(c->low_mm / 10), (int)(c->low_mm % 10),
              (int)(c->high_mm / 10), (int)(c->high_mm % 10));
    return rule;
}

/* 10 */
enum rule ask_kit(struct question *q)
{
    const struct sitting *s = q->s;
    if (q->ev->kind == EV_GAUGE && q->ev->value2 < s->date && !s->waived_rules[RULE_KIT_OVERDUE])
        return object_numbers(q, RULE_KIT_OVERDUE, q->ev->value2, "due on or after ", s->date);
    if (q->ev->kind != EV_INFLATE)
        return ask_cuff(q);
    const struct checked_gauge *gauge = &s->gauges[s->gauge_at];
    const struct {
        const struct gauge_check *check;
        enum protocol_key most;
        const char *need;
    } rows[] = {
        {&gauge->leak, KEY_LEAK_MAX_MMHG_PER_MIN, "leak at most "},
        {&gauge->comparison, KEY_COMPARISON_MAX_MMHG, "off by at most "},
        {&gauge->zero, KEY_ZERO_MAX_MMHG, "off zero by at most "},
    };
    for (size_t i = 0; i < ARRAY_LEN(rows); i++) {
        const int32_t most = q->p->value[rows[i].most];
        if (!rows[i].check->is_given || rows[i].check->value <= most)
            continue;
        q->key = (int)rows[i].most + 1;
        return object_numbers(q, RULE_KIT_FAILED, rows[i].check->value, rows[i].need, most);
    }
    return RULE_NONE;
}
