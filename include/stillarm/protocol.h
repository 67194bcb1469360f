/* SPDX-License-Identifier: GPL-3.0-or-later */
/** @file protocol.h  The rules of a sitting as data: numbers, items, sources.  Pure value, no pointers. */
#ifndef STILLARM_PROTOCOL_H
#define STILLARM_PROTOCOL_H

#include <stdbool.h>
#include <stdint.h>

#include "stillarm/event.h"
#include "stillarm/rule.h"
#include "stillarm/step.h"

#define PROTOCOL_ITEMS_MAX 48
#define SOURCE_CAP 64

/** How well a number or an item is founded. */
enum standing { STANDING_PUBLISHED, STANDING_COMMON, STANDING_JUDGEMENT, STANDING_MEMORY, STANDING_COUNT };

/** The words of the four standings, as files and screens write them: published, common practice, judgement, from memory. */
extern const char *const STANDING_WORDS[STANDING_COUNT];

struct origin {
    char source[SOURCE_CAP]; /* id in assets/sources.ini; "" only for judgement and common practice */
    enum standing standing;
};

enum protocol_key {
    KEY_REST_S, KEY_REST_VALID_S, KEY_SETTLE_S, KEY_INTERVAL_MIN_S, KEY_INTERVAL_MAX_S,
    KEY_RENEW_AFTER_GAP_S, KEY_INFLATION_LONG_S,
    KEY_MARGIN_MMHG, KEY_NO_ESTIMATE_FLOOR_MMHG, KEY_TARGET_HIGH_MMHG,
    KEY_PALPATE_START_MMHG, KEY_PALPATE_STEP_MMHG,
    KEY_FIRST_CLEAR_MMHG, KEY_GAP_SUSPECT_MMHG, KEY_LISTEN_ON_MMHG,
    KEY_RELEASE_LOW_X10, KEY_RELEASE_HIGH_X10, KEY_RELEASE_SLACK_X10, KEY_RELEASE_VOID_X10, /* tenths of mmHg/s */
    KEY_RELEASE_SPAN_MMHG, KEY_RELEASE_BEAT_X100, /* hundredths of mmHg per beat: below it a slow release is natural */
    KEY_READINGS_MIN, KEY_READINGS_IRREGULAR, KEY_READINGS_MAX,
    KEY_EXTRA_OVER_MMHG, KEY_EXTRA_READINGS,
    KEY_AVERAGE,     /* enum average_of */
    KEY_FIRST_ARMS,  /* enum first_arms */
    KEY_ARMS_OVER_MMHG,
    KEY_PRIOR_ARM,   /* 1: asked on a return visit */
    KEY_USUAL,       /* 1: the usual systolic may stand for a palpation */
    KEY_CUFF_BY,     /* enum cuff_by */
    KEY_TOLD,        /* 1: told is required */
    KEY_SEVERE_SYSTOLIC_MMHG, KEY_SEVERE_DIASTOLIC_MMHG,
    KEY_SEVERE_WHEN, /* enum severe_when */
    KEY_LEAK_MAX_MMHG_PER_MIN, KEY_COMPARISON_MAX_MMHG,
    KEY_COUNT
};

enum average_of { AVERAGE_ALL, AVERAGE_LAST_TWO, AVERAGE_WITHOUT_FIRST, AVERAGE_LOWER_OF_LAST_TWO, AVERAGE_OF_COUNT };
enum first_arms { FIRST_ARMS_ONE, FIRST_ARMS_BOTH, FIRST_ARMS_COUNT };
enum cuff_by { CUFF_BY_CIRCUMFERENCE, CUFF_BY_INDEX, CUFF_BY_COUNT };
enum severe_when { SEVERE_ABOVE, SEVERE_AT, SEVERE_WHEN_COUNT };

/** One row per key: how files name it and what it may be. */
struct protocol_key_row {
    const char *name;         /* in files: rest_s, margin_mmhg ... */
    int32_t low, high;        /* bounds of a number, or of the enum */
    const char *const *words; /* NULL for numbers; else the words in enum order */
    const char *unit;         /* "s", "mmHg", ... or "" */
    const char *meaning;      /* one line for `?` pages and documents */
};
extern const struct protocol_key_row PROTOCOL_KEYS[KEY_COUNT];

/** Something that is looked at or asked, and confirmed as it should be. */
struct protocol_item {
    char id[ITEM_CAP];   /* prefix names its step: kit. ready. posture. arm. cuff. close. */
    enum step step;
    bool is_waivable;
    bool is_quiet;       /* ask it quietly, never in large letters */
    int32_t group;       /* items of a step with the same number are looked at together, confirmed by one key */
    char say[160];       /* the state that is confirmed, as a statement */
    char cost[200];      /* what it costs to skip, with published size; "" if none */
    char cost_source[SOURCE_CAP];
    struct origin origin;
};

struct protocol {
    char id[ITEM_CAP];
    char title[80];
    char region[40];
    char based_on[160];
    int32_t value[KEY_COUNT];
    struct origin origin[KEY_COUNT];
    struct protocol_item items[PROTOCOL_ITEMS_MAX];
    int32_t item_count;
    bool is_waivable[RULE_COUNT]; /* rules that may be passed over with a reason, see rule_may_be_waivable() */
};

/** Index of an item, or -1. */
int protocol_find_item(const struct protocol *p, const char *id);

/** The step an item id belongs to by its prefix; STEP_NONE for an unknown prefix. */
enum step protocol_step_of_item(const char *id);

/** A key in seconds as milliseconds. */
int64_t protocol_ms(const struct protocol *p, enum protocol_key key_s);

/**
 * Check what single bounds cannot: interval_min <= interval_max, release low <= high < void, readings min <= max,
 * start and step even, at least one arm item, kit item and so on; a cuff.index item where cuff_by is index.
 */
enum status protocol_check(const struct protocol *p, struct err *e) MUST_USE;

#endif
