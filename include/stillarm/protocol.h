/* SPDX-License-Identifier: GPL-3.0-or-later */
/** @file protocol.h  The rules of a sitting as data: numbers, items, sources.  Pure value, no pointers. */
#ifndef STILLARM_PROTOCOL_H
#define STILLARM_PROTOCOL_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#include "stillarm/category.h"
#include "stillarm/event.h"
#include "stillarm/rule.h"
#include "stillarm/step.h"

#define PROTOCOL_ITEMS_MAX 48
#define PROTOCOL_SCHEMES_MAX 3
#define PROTOCOL_LEFT_OUT_MAX PROTOCOL_ITEMS_MAX /* a copy may keep none of them */
#define PUBLISHED_RANGES_MAX 6

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
    /* Younger than the first files: optional, with a value that stands where a file lacks them. */
    KEY_ALONE_BELOW_SYSTOLIC_MMHG, KEY_ALONE_BELOW_DIASTOLIC_MMHG, /* a first reading below both suffices; 0: never */
    KEY_ARMS_REPEAT,       /* 1: arms further apart than arms_over_mmhg are both read again */
    KEY_STANDING_READINGS, /* 0: none; else the subject lies first and stands after */
    KEY_STANDING_FIRST_S, KEY_STANDING_SECOND_S, KEY_STANDING_LATE_S,
    KEY_DROP_SYSTOLIC_MMHG, KEY_DROP_DIASTOLIC_MMHG,
    KEY_LOW_SYSTOLIC_MMHG, KEY_LOW_DIASTOLIC_MMHG, /* a value below either is low; 0: never */
    KEY_ZERO_MAX_MMHG,
    KEY_BLADDER_WIDTH_PCT, KEY_BLADDER_LENGTH_PCT, /* of the arm's circumference; below: a remark */
    KEY_CUFF_GAP_MM,       /* widest gap between two marked ranges that the larger cuff closes; 0: none */
    KEY_GAUGE_LIMIT_MMHG, KEY_ARM_HEIGHT_MM,       /* half-widths for the worth of a reading */
    KEY_WITHIN_SYSTOLIC_SD_X10, KEY_WITHIN_DIASTOLIC_SD_X10, KEY_WITHIN_SD_DF, KEY_VISIT_SD_X10,
    KEY_LAPSES_MAX, KEY_UNSEEN_MAX, /* that a witnessed sitting may have and still pass; lapses_max -1: no such sittings */
    KEY_LOOK_MIN_X10,      /* tenths of a second: confirmations that follow quicker are shown as such in a review */
    KEY_PAIR_OVER_MMHG,    /* difference between two listeners above which it is remarked */
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
    const char *meaning;      /* what it is, for `?` pages and documents: `MEANING is VALUE` reads well */
    bool is_optional;         /* a file may leave it out: then `absent` holds, as a judgement without source */
    int32_t absent;
};
extern const struct protocol_key_row PROTOCOL_KEYS[KEY_COUNT];

/** Something that is looked at or asked, and confirmed as it should be. */
struct protocol_item {
    char id[ITEM_CAP];   /* prefix names its step: kit. ready. posture. arm. cuff. close. */
    enum step step;
    bool is_waivable;
    bool is_quiet;       /* ask it quietly, never in large letters */
    bool is_critical;    /* a lapse on it fails a witnessed sitting, however few there are */
    int32_t group;       /* items of a step with the same number are looked at together, confirmed by one key */
    char say[160];       /* the state that is confirmed, as a statement */
    char cost[200];      /* what it costs to skip, with published size; "" if none */
    char cost_source[SOURCE_CAP];
    struct origin origin;
};

/** What a source publishes for a key: a range, both ends fit. */
struct says {
    int32_t is_known, low, high;
};

/** What all that publish a number for a key allow, where the file names no source for it: ranges that rise, both ends
 *  fit. None: nothing is known to be published. */
struct published {
    int32_t count;
    struct {
        int32_t low, high;
    } ranges[PUBLISHED_RANGES_MAX];
};

/** How the protocol copied from has an item that this one has too. */
struct base_item {
    bool is_firm;  /* nobody may pass over it there */
    bool is_quiet;
    bool is_critical;
    char say[160]; /* its words there, where they are others under the same published source; else "" */
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
    bool is_critical[RULE_COUNT]; /* lapses against these rules fail a witnessed sitting */
    bool is_waivable[RULE_COUNT]; /* rules that may be passed over with a reason, see rule_may_be_waivable() */
    struct category_scheme schemes[PROTOCOL_SCHEMES_MAX]; /* the first decides, the others are said beside it */
    int32_t scheme_count;

    /* What the loader knows of how far the file goes its own way; zero where it knows nothing. */
    struct says says[KEY_COUNT];      /* what the key's named source publishes */
    char copied_from[ITEM_CAP];       /* the protocol it was copied from; "" none */
    int32_t base_value[KEY_COUNT];    /* that one's values */
    int32_t has_base;
    char left_out[PROTOCOL_LEFT_OUT_MAX][ITEM_CAP]; /* its items that this one does not have */
    int32_t left_out_count;
    struct published published[KEY_COUNT]; /* where the key names no source of its own */
    char base_schemes[PROTOCOL_SCHEMES_MAX][ITEM_CAP];
    int32_t base_scheme_count, has_base_schemes; /* older kept texts do not know them */
    bool is_base_firm[RULE_COUNT];         /* rules that may be passed over, but not in that one */
    bool is_base_critical[RULE_COUNT];     /* lapses against these rules fail a witnessed sitting there */
    bool has_base_critical;                /* older kept texts do not know them */
    struct base_item base_items[PROTOCOL_ITEMS_MAX]; /* beside items */
};

/** Index of an item, or -1. */
int protocol_find_item(const struct protocol *p, const char *id);

/** The step an item id belongs to by its prefix; STEP_NONE for an unknown prefix. */
enum step protocol_step_of_item(const char *id);

/** Does the value differ from what its own named source publishes? */
bool protocol_deviates(const struct protocol *p, enum protocol_key key);

/** Does the value differ from the protocol that this one was copied from? */
bool protocol_differs_from_base(const struct protocol *p, enum protocol_key key);

/** The file names no source for it, numbers are published, and none of them is this one. A step that a protocol does
 *  without (arms_repeat, standing_readings) is none: what is published of it is for those who take it. */
bool protocol_departs_from_published(const struct protocol *p, enum protocol_key key);

/** Widen what is published by one range more; where there is no room the highest takes it in. */
void published_add(struct published *all, int32_t low, int32_t high);

/** How many keys do any of these, how many items were left out, said otherwise or asked less strictly than in the
 *  protocol copied from, rules that only here may be passed over, rules and items whose lapses fail a witnessed sitting
 *  only here or only there, and whether the categories are others. */
int protocol_deviations(const struct protocol *p);

/** Does the value rest on what the file names with it? Not where that source is known to say otherwise, nor where nobody
 *  knows what it says and the protocol copied from has another value. */
bool protocol_rests_on_source(const struct protocol *p, enum protocol_key key);

/** Who says so of a value as it stands: the source named with it is not answerable for a value of the protocol's own. */
struct origin protocol_origin(const struct protocol *p, enum protocol_key key);

/** Where no source is known to us: why our protocols have what they have, and why a site might have it otherwise.
 *  NULL where each of ours rests on a source. */
const char *protocol_why_ours(enum protocol_key key);

/** A key's value as files and screens write it: `300 s`, `both`, `2.0 mmHg/s`. */
void protocol_say_value(enum protocol_key key, int32_t value, char *out, size_t cap);

/** A range of a key's values: `300 s`, `20 to 30 mmHg`, `3 or more`, `at most 8 s`, `any`. */
void protocol_say_range(enum protocol_key key, int32_t low, int32_t high, char *out, size_t cap);

/** What is published for a key without a source of its own: `60 s, or 120 s or more`; "" for nothing known. */
void protocol_say_published(const struct protocol *p, enum protocol_key key, char *out, size_t cap);

/** Who says so: `REST-1, published`; `judgement: our own choice; no published source is known`. */
void origin_say(const struct origin *origin, char *out, size_t cap);

#define SOURCE_SAID_CAP 200

/** Who says so of a value: as origin_say where it rests on its source, else `this protocol's own; REST-1 says 300 s`;
 *  and what the protocol copied from has instead. */
void protocol_say_source(const struct protocol *p, enum protocol_key key, char *out, size_t cap);

/** What is asked for, in a few words: `3 readings, mean of the last two`. */
void protocol_say_asks(const struct protocol *p, char *out, size_t cap);

#define DEVIATION_CAP 240

/** One departure in words: `rest before the first reading (rest_s) is 240 s; REST-1 says 300 s`; first keys, then
 *  categories, rules and items. nth from 0; false past the last. */
bool protocol_say_deviation(const struct protocol *p, int nth, char *out, size_t cap);

/** A key in seconds as milliseconds. */
int64_t protocol_ms(const struct protocol *p, enum protocol_key key_s);

/**
 * Check what single bounds cannot: interval_min <= interval_max, release low <= high < void, readings min <= max,
 * start and step even, at least one arm item, kit item and so on; a cuff.index item where cuff_by is index.
 */
enum status protocol_check(const struct protocol *p, struct err *e) MUST_USE;

#endif
