/* SPDX-License-Identifier: GPL-3.0-or-later */
/** @file reading.h  One listening inflation: its moments, its values, and what they are worth by the rules.  Pure. */
#ifndef STILLARM_READING_H
#define STILLARM_READING_H

#include <stdbool.h>
#include <stdint.h>

#include "stillarm/event.h"
#include "stillarm/protocol.h"

enum arm { ARM_NONE, ARM_LEFT, ARM_RIGHT, ARM_COUNT };
extern const char *const ARM_WORDS[ARM_COUNT]; /* "-", left, right */

/** The points of a deflation, from high to low pressure. */
enum point { POINT_TARGET /* as a mark: release */, POINT_FIRST, POINT_SILENT, POINT_RETURN, POINT_MUFFLING, POINT_LAST,
             POINT_COUNT };

/** Why a reading does not count; bits, all that apply. */
enum void_reason {
    VOID_TARGET_LOW = 1 << 0, VOID_FIRST_AT_TARGET = 1 << 1, VOID_RELEASE_FAST = 1 << 2, VOID_READING_BRIEF = 1 << 3,
    VOID_GAP_SUSPECT = 1 << 4, VOID_INTERRUPTED = 1 << 5, VOID_RESUMED = 1 << 6, VOID_GIVEN_UP = 1 << 7,
    VOID_LAPSE = 1 << 8 /* taken before a witness with a lapse that spoils it */
};
#define VOID_REASON_COUNT 9
extern const char *const VOID_REASON_WORDS[VOID_REASON_COUNT]; /* target.low ..., bit by bit */

/** What is noted beside a reading that counts, or does not; bits. */
enum reading_remark {
    NOTE_TARGET_CAPPED = 1 << 0, NOTE_TARGET_HIGH = 1 << 1, NOTE_RELEASE_QUICK = 1 << 2, NOTE_RELEASE_SLOW = 1 << 3,
    NOTE_GAP_NOTED = 1 << 4, NOTE_INTERVAL_LONG = 1 << 5, NOTE_INFLATION_LONG = 1 << 6, NOTE_CORRECTED = 1 << 7,
    NOTE_GAP_HEARD = 1 << 8 /* sounds were heard, lost, and back */, NOTE_STANDING_LATE = 1 << 9,
    NOTE_PAIR_DIFFERS = 1 << 10 /* the second listener heard it further off than the protocol's limit */
};
#define READING_REMARK_COUNT 11
extern const char *const READING_REMARK_WORDS[READING_REMARK_COUNT]; /* target.capped ... */

/** Was there a silence above the first sound, or among the sounds? As the measurer was asked. */
enum gap_answer { GAP_NOT_ASKED, GAP_HEARD, GAP_NOT_HEARD };

struct reading {
    int32_t arm;               /* enum arm */
    int32_t arm_epoch;         /* which use of an arm: an arm taken up again is a new one */
    int64_t inflate_ms, empty_ms;
    int32_t is_empty, is_done; /* done: verdict given, or void before any entry was owed */
    int32_t is_entered;        /* done by `done`, with values */
    int32_t has_value[POINT_COUNT], value_mmhg[POINT_COUNT];
    int32_t has_mark[POINT_COUNT];
    int64_t mark_ms[POINT_COUNT];
    char listener[ITEM_CAP];   /* "" without a second listener */
    int32_t has_pair[POINT_COUNT], pair_mmhg[POINT_COUNT]; /* first, muffling, last only */
    int32_t top_mmhg;          /* of the gauge it is read on: a correction may come after another gauge was taken */
    int32_t floor_mmhg;        /* of the target, as it stood at inflate */
    int32_t is_capped;
    int32_t gap_from_mmhg;     /* pressure that the first sound must not lie far below; 0: not judged */
    uint32_t voids, notes;     /* bits above */
    int32_t has_gap;           /* first sound was suspiciously low, whether or not that made it void */
    int32_t gap_answer;        /* enum gap_answer */
    int32_t is_standing;       /* taken standing, this long after standing up */
    int32_t stand;             /* which stand of the sitting it belongs to, from 1; 0: none */
    int64_t stood_for_ms;
    int32_t rate_x10[2];       /* release to first, first to last; 0: not observed */
    int32_t estimate_version_after; /* as this reading's verdict left the estimate */
    int32_t opened_estimate, saved_estimate, waiver_at_done; /* what that verdict took away, for `correct` */
    int32_t heard_before_mmhg, severe_before, is_severe_answered;
    int32_t alarm_before, owed_before, symptoms_before; /* as they stood when its values first raised an alarm */
    int32_t had_symptoms;      /* answered as present on its values, whatever was answered later */
};

/** A reading that counts. */
bool reading_is_counted(const struct reading *r);
/** A second listener is named whose values are not whole yet. */
bool reading_lacks_pair(const struct reading *r);
/** The same fall as the second listener heard it: those values stand in place of the measurer's. */
struct reading reading_of_pair(const struct reading *r);
int reading_systolic_mmhg(const struct reading *r);
/** The diastolic that counts: the muffling where sounds were heard down to zero, else the last sound. */
int reading_diastolic_mmhg(const struct reading *r);
/** `130/80` or `142/66/0`; "" where first or last is missing. buf of at least 16 bytes. */
void reading_print(const struct reading *r, char *buf, size_t cap);

/** Rate in tenths of mmHg/s, halves up, over a drop in mmHg and a time in ms; 0 when not observed (drop < span or time <= 0). */
int release_rate_x10(int drop_mmhg, int64_t ms, int span_mmhg);
/** Drop between two beats in hundredths of mmHg, halves up: rate_x10 at pulse_bpm; 0 when either is 0. */
int release_drop_per_beat_x100(int rate_x10, int pulse_bpm);

/** NOTE_RELEASE_QUICK or NOTE_RELEASE_SLOW where a rate at this pulse calls for it, else 0; 0 was not observed. */
uint32_t release_remark(int rate_x10, int pulse_bpm, const struct protocol *p);

/** Are the values given (target >= first >= silent > return >= muffling >= last, first > last) in order? */
bool reading_values_in_order(const int32_t has[POINT_COUNT], const int32_t mmhg[POINT_COUNT]);

/** Severe by the protocol's thresholds, whatever the verdict. */
bool reading_is_severe(const struct reading *r, const struct protocol *p);

#endif
