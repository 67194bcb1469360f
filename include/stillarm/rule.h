/* SPDX-License-Identifier: GPL-3.0-or-later */
/** @file rule.h  Every reason for which the engine says no. */
#ifndef STILLARM_RULE_H
#define STILLARM_RULE_H

#include <stdbool.h>

enum rule {
    RULE_NONE,
    RULE_CLOSED, RULE_TIME_BACK, RULE_OPENING_FIRST, RULE_OPENING_AGAIN,
    RULE_ITEM_UNKNOWN, RULE_PROTOCOL_UNKNOWN, RULE_CUFF_UNKNOWN, RULE_STEP_NEEDS,
    RULE_INFLATION_OPEN, RULE_INFLATION_NONE, RULE_READING_OPEN, RULE_READING_NONE,
    RULE_MARK_ORDER, RULE_VOID_LATE, RULE_USUAL_BARRED, RULE_WAIVE_BARRED, RULE_ARM_BARRED, RULE_STAND_BARRED,
    RULE_WITNESS_MISSING, RULE_WITNESS_SELF, RULE_WITNESS_ONLY,
    RULE_READINGS_FULL, RULE_KIT_FULL, /* fixed capacities: 32 inflations an arm, 16 cuffs and 8 gauges */
    RULE_VALUE_ODD, RULE_VALUE_RANGE, RULE_VALUE_ORDER, RULE_ESTIMATE_ORDER,
    RULE_CUFF_UNMEASURED, RULE_CUFF_TOO_SMALL, RULE_CUFF_TOO_LARGE, RULE_KIT_OVERDUE, RULE_KIT_FAILED,
    RULE_REST_RUNNING, RULE_REST_DONE, RULE_REST_MISSING, RULE_REST_SHORT, RULE_REST_STALE,
    RULE_ESTIMATE_MISSING, RULE_SETTLE_SHORT, RULE_INTERVAL_SHORT, RULE_STANDING_EARLY,
    RULE_TARGET_MISSING, RULE_VALUE_MISSING, RULE_MUFFLING_MISSING, RULE_PAIR_MISSING,
    RULE_ITEM_OPEN, RULE_READINGS_FEW, RULE_ARMS_FEW, RULE_STANDING_FEW, RULE_TOLD_MISSING, RULE_SEVERE_OPEN,
    RULE_COUNT
};

/** `rest.short` and so on; "" for RULE_NONE. */
const char *rule_id(enum rule rule);

/** Find a rule by its id; RULE_NONE when there is none. */
enum rule rule_named(const char *id);

/** True for slips of the hand (value.odd, value.range, value.order): counted apart from attempts to skip. */
bool rule_is_slip(enum rule rule);

/** True for rules that speak of what happened: before a witness they refuse nothing and become lapses. */
bool rule_may_lapse(enum rule rule);

/** True for the few rules that a protocol may mark waivable at all. */
bool rule_may_be_waivable(enum rule rule);

#endif
