/* SPDX-License-Identifier: GPL-3.0-or-later */
/** @file oracle.h  A second reading of the rules, from the accepted events alone: did each counted reading
 * deserve it? Knows nothing of how the engine decides; looks at the engine's state only to compare. */
#ifndef STILLARM_TEST_ORACLE_H
#define STILLARM_TEST_ORACLE_H

#include "stillarm/sitting.h"

struct oracle_estimate {
    int32_t felt, gone, usual;
    bool is_waived;
};

struct oracle_reading {
    char fault[120]; /* what was not in order at its inflate; "" none */
    int32_t arm, use, floor, gap_from;
    int32_t stand; /* which stand it was taken on; 0: not standing */
    int64_t stood_for;
    int64_t inflate_ms, empty_ms;
    int32_t has[POINT_COUNT], mmhg[POINT_COUNT], marked[POINT_COUNT];
    int64_t mark_ms[POINT_COUNT];
    bool is_answered; /* by `acted`, while its values were very high */
    bool is_broken;   /* interrupted, resumed or given up */
    bool is_judged, has_gap, is_gap_void;
    uint32_t voids;
    struct oracle_estimate before;
};

struct oracle {
    int64_t rest_began, rest_ended, last_empty; /* -1: none */
    int64_t palpate_empty[ARM_COUNT], listen_empty[ARM_COUNT];
    int32_t arm, use, arm_mm, gauge_top;
    bool is_barred[ARM_COUNT];
    bool is_standing;
    int64_t stood;
    int32_t stand;          /* how often the subject stood up */
    int32_t palpated_stand; /* on which of these the estimate was made; 0: lying */
    struct {
        char id[ITEM_CAP];
        int64_t value[3], date[3]; /* leak, comparison, zero; latest dated; date 0: none */
    } gauges[16];
    int gauge_count, gauge; /* in use; -1: none */
    int32_t item[PROTOCOL_ITEMS_MAX];
    bool rule_waived[RULE_COUNT];
    struct {
        char id[ITEM_CAP];
        int64_t low, high;
    } cuffs[64];
    int cuff_count;
    char wrapped[ITEM_CAP];
    bool wrapped_fits;
    bool wrapped_small, wrapped_large; /* what the cuff was when it went on, waived or not */
    struct oracle_estimate estimate;
    bool is_estimate_newer; /* given or dropped since the latest verdict: a correction leaves it alone */
    int32_t inflation;      /* enum inflation_phase */
    bool is_assessment, has_witness;
    bool must_answer;       /* a very high value, or symptoms, since the latest `acted` */
    bool has_symptoms, has_symptoms_now; /* ever; asked at the values that stand */
    struct oracle_reading readings[READINGS_CAP];
    int reading_count;
};

void oracle_init(struct oracle *o);
/** Take in an accepted event; before is the engine's state before it. */
void oracle_take(struct oracle *o, const struct protocol *p, const struct event *ev,
                 const struct sitting *before);
/** Compare with the engine's readings: false with what is wrong. */
bool oracle_agrees(const struct oracle *o, const struct protocol *p, const struct sitting *s, char *why,
                   size_t cap);

#endif
