/* SPDX-License-Identifier: GPL-3.0-or-later */
/**
 * @file sitting.h  The engine: a sitting's state, and what an event does to it.
 * A value without pointers: copy it with = (or memcpy) to save or branch, compare it with sitting_equal().
 * Pure: no clock, no file, no allocation. Times are milliseconds since opening, pressures whole mmHg.
 */
#ifndef STILLARM_SITTING_H
#define STILLARM_SITTING_H

#include "stillarm/average.h"
#include "stillarm/event.h"
#include "stillarm/protocol.h"
#include "stillarm/reading.h"
#include "stillarm/rule.h"

#define CUFFS_MAX 16            /* at hand in one sitting */
#define GAUGES_MAX 8            /* that one sitting may turn to */
#define INFLATIONS_PER_ARM 32   /* listening inflations on one arm, counted and void together */
#define READINGS_CAP (2 * INFLATIONS_PER_ARM)

enum phase { PHASE_EMPTY /* no protocol yet */, PHASE_OPEN, PHASE_SEALED, PHASE_STOPPED };
enum rest_phase { REST_NONE, REST_RUNNING, REST_ENDED };
enum inflation_phase { INFLATION_NONE, INFLATION_PALPATE, INFLATION_LISTEN };
enum purpose { PURPOSE_NONE, PURPOSE_PRACTICE, PURPOSE_SERVICE, PURPOSE_ASSESSMENT };
enum help { HELP_FULL, HELP_STEPS, HELP_NONE };
enum item_state { ITEM_OPEN, ITEM_CONFIRMED, ITEM_WAIVED, ITEM_LAPSED, ITEM_UNSEEN /* the last two: by a witness */ };
enum estimate_state { ESTIMATE_OPEN, ESTIMATE_PALPATED, ESTIMATE_USUAL };

struct cuff {
    char id[ITEM_CAP];
    int32_t low_mm, high_mm; /* marked range, both ends fit */
    int32_t bladder_width_mm, bladder_length_mm; /* 0: not known */
};

struct gauge_check {
    bool is_given;
    int32_t value, date; /* mmHg/min or mmHg; yyyymmdd */
};

/* What was checked on a gauge stays with it: put aside and taken up again, it is no better. */
struct checked_gauge {
    char id[ITEM_CAP];
    struct gauge_check leak, comparison, zero; /* latest dated */
};

#define LAPSES_MAX 64 /* kept one by one; what comes after them is only counted */

/** What stays as it is until something is done about it: however often it matters, it is one lapse. */
enum lapse_thing { THING_NONE, THING_REST, THING_ARM, THING_CUFF, THING_KIT, THING_ESTIMATE, THING_READINGS, THING_PULSE,
                   THING_COUNT };

/** Before a witness nothing that happened is refused: what a rule would have said becomes a lapse. */
struct lapse {
    int32_t rule;     /* enum rule; RULE_ITEM_OPEN for an item that was not as it should be */
    int32_t item;     /* 1 + index of the protocol's item; 0: none */
    int32_t reading;  /* 1 + index of the first reading that it spoils; 0: none */
    int32_t is_struck; /* taken back by the witness: it stays on record and counts no more */
    int64_t t_ms;
    char have[80], need[80];
    char why[80];     /* it was struck; a long reason is cut here, the event has all of it */
};
/** The item that was not as it should be; NULL where a rule speaks. */
const struct protocol_item *lapse_item(const struct lapse *l, const struct protocol *p);
/** Does it alone fail the sitting? */
bool lapse_is_critical(const struct lapse *l, const struct protocol *p);

struct sitting {
    int32_t phase;             /* enum phase */
    int32_t given[EV_COUNT];   /* how often each kind was accepted; EV_TOLD 0 again where one too soon was struck */
    int64_t now_ms;            /* time of the last accepted event */
    char protocol[ITEM_CAP], measurer[ITEM_CAP], subject[ITEM_CAP];
    int32_t date;              /* local day of opening, yyyymmdd */
    int32_t is_return;
    int32_t prior_arm;         /* enum arm; ARM_NONE when unknown or not asked */
    int32_t purpose, help;     /* enums above */

    int32_t items[PROTOCOL_ITEMS_MAX]; /* enum item_state, in the protocol's order */
    int32_t waived_rules[RULE_COUNT];

    char gauge[ITEM_CAP];
    int32_t gauge_top_mmhg, gauge_due;
    struct checked_gauge gauges[GAUGES_MAX];
    int32_t gauge_count, gauge_at; /* the one in use; gauge_count 0: none yet */
    struct cuff cuffs[CUFFS_MAX];
    int32_t cuff_count;
    int32_t wrapped;           /* index into cuffs, or -1 */
    int32_t worn;              /* 1 + index of the cuff worn last, on or off; 0: none yet */
    int32_t worn_arm_mm, is_worn_in_gap; /* the arm it went on; between two marked ranges */
    int32_t arm_mm;            /* 0: not measured */
    int32_t arm;               /* enum arm in use */
    int32_t arm_epoch;         /* counts changes of arm */

    int32_t rest;              /* enum rest_phase */
    int64_t rest_began_ms, rest_ended_ms;
    int32_t has_emptied;
    int64_t last_empty_ms;     /* of any inflation */
    int32_t pulse_bpm, is_irregular; /* 0: not counted */

    int32_t inflation;         /* the cuff is up now: enum inflation_phase */
    int32_t last_inflation;    /* kind of the latest one, up or not */
    int64_t inflate_ms;        /* of the latest one */
    int32_t estimate;          /* enum estimate_state */
    int32_t felt_mmhg, gone_mmhg;    /* of the latest palpation; 0: none */
    int32_t usual_mmhg;
    int32_t palpated_stand;    /* the stand on which that palpation was made; 0: lying or sitting */
    int32_t is_pulse_absent;   /* nopulse on this arm */
    int32_t estimate_version;  /* changes with every event that touches the estimate */
    int32_t heard_mmhg;        /* highest first sound of a reading void for first.at-target on this arm; 0: none */
    int32_t has_settle[ARM_COUNT];
    int64_t palpate_empty_ms[ARM_COUNT], listen_empty_ms[ARM_COUNT];
    int32_t has_listened[ARM_COUNT];

    struct reading readings[READINGS_CAP];
    int32_t reading_count;
    int32_t severe_reading;    /* 1 + index of the latest severe reading; 0: none */
    int32_t is_severe_open;
    int32_t is_clock_back, is_arm_other;

    int32_t is_barred[ARM_COUNT]; /* arms that may not be used; both: only stop is left */
    int32_t is_standing;          /* since stood_ms; lying again with every rest that is lost */
    int64_t stood_ms;
    int32_t symptoms;             /* enum symptoms, as asked at alarm_reading */
    int32_t has_symptoms;         /* were present at any time of the sitting */
    int32_t alarm_reading;        /* 1 + index of the latest reading whose values are very high or low; 0: none */

    char witness[ITEM_CAP];       /* who watches and keeps the record; "" none */
    struct lapse lapses[LAPSES_MAX];
    int32_t lapse_count;          /* may be more than LAPSES_MAX */
    int32_t struck_count;         /* of the first LAPSES_MAX */
    int32_t critical_count;       /* of all that are not struck */
    int32_t thing_lapse[THING_COUNT]; /* 1 + index of the lapse that speaks of the thing as it stands; 0: none */
    int32_t worn_against;         /* the rule that the cuff now on was wrapped against; 0: none */
};

/** Is this sitting judged by a witness: purpose assessment, with a witness? Then no departure is refused. */
bool sitting_is_witnessed(const struct sitting *s);
/** How many of its lapses are kept one by one, from the first. */
int sitting_lapses_kept(const struct sitting *s);

/** How a witnessed sitting came out by the protocol's own data. */
struct assessment {
    int lapses, critical, unseen; /* lapses: not struck; critical: of those; unseen: items */
    bool has_passed;              /* sealed, none critical, and neither of the others above its most */
};
/** False (out untouched) where the sitting is not witnessed or not sealed. */
bool sitting_assess(const struct sitting *s, const struct protocol *p, struct assessment *out);

enum symptoms { SYMPTOMS_NOT_ASKED, SYMPTOMS_NONE, SYMPTOMS_PRESENT };

/** Does a value given so far, of a reading entered or being entered, ask for a page of its own? */
enum alarm { ALARM_NONE, ALARM_LOW, ALARM_HIGH };
enum alarm reading_alarm(const struct reading *r, const struct protocol *p);

/** The alarm of s->alarm_reading; ALARM_NONE where there is none. */
enum alarm sitting_alarm(const struct sitting *s, const struct protocol *p);

/**
 * Is a further counted reading owed by good practice on an arm that showed a very high value, not standing? It is while no
 * reading on that arm has counted since the first such value, and no longer once symptoms are present. Never a refusal.
 */
bool sitting_wants_repeat(const struct sitting *s, const struct protocol *p);

/** A very high value on this arm, and no counted reading on it since the first such. */
bool sitting_is_high_alone(const struct sitting *s, const struct protocol *p, enum arm arm);

/** Counted readings standing; earliest ms at which the next one may begin (0: not standing, or none is owed). */
int sitting_standing_counted(const struct sitting *s);
int64_t sitting_standing_from_ms(const struct sitting *s, const struct protocol *p);

/** Largest fall from the lying average to a counted reading standing, hundredths of mmHg, negative for a rise;
 *  false while either is missing. */
bool sitting_drop_x100(const struct sitting *s, const struct protocol *p, int32_t *systolic, int32_t *diastolic);

/** What the worn cuff is remarked for, bits; 0 while none is on. */
enum cuff_note { CUFF_NOTE_NARROW = 1, CUFF_NOTE_SHORT = 2, CUFF_NOTE_GAP = 4 /* the arm lies between two ranges */ };
unsigned sitting_cuff_notes(const struct sitting *s, const struct protocol *p);

/** Why an event was refused: the rule, what there is, what is needed, in words, what to do, and who says so. */
struct refusal {
    enum rule rule;
    char have[80], need[80];
    char sentence[200], remedy[200];
    char source[SOURCE_CAP];
    enum standing standing;
    int32_t key; /* 1 + the enum protocol_key whose number objects, where the rule has several; 0: all that it rests on */
};

/** Before the first event. */
void sitting_init(struct sitting *s);

/**
 * Apply one event.
 * @param p  the sitting's protocol; NULL while none of the event's name is known (then protocol.unknown)
 * @param why  filled on refusal; may be NULL
 * @return true when accepted; on refusal s is unchanged, byte for byte
 */
bool sitting_apply(struct sitting *s, const struct protocol *p, const struct event *ev, struct refusal *why);

/** What sitting_apply would answer, without applying. */
bool sitting_would_accept(const struct sitting *s, const struct protocol *p, const struct event *ev,
                          struct refusal *why);

bool sitting_equal(const struct sitting *a, const struct sitting *b);

/** Is the sitting open and would `seal` be accepted at now_ms? */
bool sitting_is_sealable(const struct sitting *s, const struct protocol *p, int64_t now_ms);

enum step_state { STEP_LOCKED /* what it needs is not done */, STEP_OPEN, STEP_DONE };
enum step_state sitting_step_state(const struct sitting *s, const struct protocol *p, enum step step, int64_t now_ms);

/** One missing thing: an item id, or a word such as `gauge`, `cuff`, `arm`, `circumference`, `wrap`, `rest`. */
struct missing {
    enum step step;
    char what[ITEM_CAP];
    int item; /* index into the protocol's items, or -1 */
};

/**
 * List what is missing from the steps whose needs are met, in the order in which steps are offered.
 * @return how many (at most cap are written)
 */
int sitting_missing(const struct sitting *s, const struct protocol *p, int64_t now_ms, struct missing *out, int cap);

/** Lowest target that counts, mmHg, for the next listening inflation; 0 while there is no estimate and no waiver of it.
 *  is_capped (may be NULL): the gauge's top cut it. */
int sitting_floor_mmhg(const struct sitting *s, const struct protocol *p, bool *is_capped);

/** The next time at which something becomes due without any input (end of rest, settling, interval bounds,
 *  rest going stale, cuff up too long): true and *wake_ms > now_ms, or false. */
bool sitting_next_wake(const struct sitting *s, const struct protocol *p, int64_t now_ms, int64_t *wake_ms);

/** Earliest ms at which the next `inflate` of this kind passes settling and interval (0 when nothing delays it). */
int64_t sitting_inflate_from_ms(const struct sitting *s, const struct protocol *p, enum inflation_phase kind);

/** The rest is over, whole, and not stale at now_ms. */
bool sitting_rest_is_good(const struct sitting *s, const struct protocol *p, int64_t now_ms);

/** The reading that is being taken or entered (listening inflation not done yet), or NULL. */
const struct reading *sitting_current(const struct sitting *s);

/** Counted readings on an arm; how many are needed there by the protocol's minimum, pulse and difference rule. */
int sitting_counted(const struct sitting *s, enum arm arm);
int sitting_needed(const struct sitting *s, const struct protocol *p, enum arm arm);

/** Do the readings suffice? RULE_NONE, RULE_READINGS_FEW or RULE_ARMS_FEW. */
enum rule sitting_readings_lack(const struct sitting *s, const struct protocol *p);

/** On a first visit with both arms: the arm to go on with; else the arm in use. ARM_NONE when either will do. */
enum arm sitting_arm_to_read(const struct sitting *s, const struct protocol *p);

/** Average of one arm; false (and out untouched) where its readings do not suffice, or after stop. */
bool sitting_average(const struct sitting *s, const struct protocol *p, enum arm arm, struct average *out);

/** Remarks on the whole sitting. */
enum sitting_remark {
    REMARK_CLOCK_BACK = 1, REMARK_ARMS_DIFFER = 2, REMARK_ARM_OTHER = 4, REMARK_READINGS_UNSETTLED = 8,
    REMARK_STANDING_DROP = 16, REMARK_SEVERE_ALONE = 32 /* a very high value was not repeated */,
    REMARK_BLADDER_SMALL = 64, REMARK_CUFF_GAP = 128, REMARK_ARM_BARRED = 256, REMARK_SYMPTOMS = 512,
    REMARK_SYMPTOMS_UNASKED = 1024
};
unsigned sitting_remarks(const struct sitting *s, const struct protocol *p);
#define SITTING_REMARK_COUNT 11
/** The words of the remarks, bit by bit: clock.back ... */
extern const char *const SITTING_REMARK_WORDS[SITTING_REMARK_COUNT];

#endif
