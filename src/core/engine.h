/* SPDX-License-Identifier: GPL-3.0-or-later */
/** @file engine.h  What the engine's files share. Private to core. */
#ifndef STILLARM_ENGINE_H
#define STILLARM_ENGINE_H

#include "stillarm/cuff.h"
#include "stillarm/ground.h"
#include "stillarm/sitting.h"

/* What a rule says when it refuses, who says so, and what to do. */
struct rule_row {
    struct ground ground;
    bool is_slip, may_be_waivable, may_lapse;
    const char *remedy;
};
const struct rule_row *rule_row(enum rule rule);

/* Traits of a kind that whole classes of rules ask for. */
enum trait {
    ONCE = 1 << 0,           /* opening.again */
    NOT_WHILE_UP = 1 << 1,   /* inflation.open */
    NOT_UNENTERED = 1 << 2,  /* reading.open */
    NEEDS_READING = 1 << 3,  /* reading.none; belongs to an inflation that has begun */
    PRESSURE = 1 << 4        /* value is even, 0 to the gauge's top */
};

/* One row per kind: where it belongs, what is asked of it, what it does. */
struct kind_row {
    enum step step; /* STEP_NONE also where the item decides */
    unsigned traits;
    int64_t low, high; /* of value, where not PRESSURE; both 0: not judged here */
    void (*apply)(struct sitting *s, const struct protocol *p, const struct event *ev);
};
const struct kind_row *kind_row(enum event_kind kind);

/* A question put to the rules. have and need are written by the class that refuses. */
struct question {
    const struct sitting *s;
    const struct protocol *p;
    const struct event *ev;
    const struct kind_row *kind;
    char have[80], need[80];
    int item; /* index of the protocol's item that the event is about, or -1 */
    int key; /* 1 + the key whose number objects, where the rule has more than one; 0: the rule's own */
};

/* Events about one item of the protocol. */
bool is_on_item(const struct event *ev);

/* checks.c: the classes, asked in order; RULE_NONE when all agree. Before a witness those are left out that speak of
 * what happened. */
enum rule rules_ask(struct question *q);

/* What an act lacks, gathered before it is done and noted after: doing it changes what is looked at. */
#define LOOK_MAX 20
struct look {
    struct lapse found[LOOK_MAX];
    int32_t things[LOOK_MAX];    /* enum lapse_thing that each speaks of */
    int count;
    unsigned things_bad, things_good;   /* bits by enum lapse_thing */
    bool spoils;                 /* a reading that begins now cannot count */
    bool is_stale;               /* nobody vouches for the rest any more */
    enum rule against;           /* the rule that a cuff goes on against */
};
/* witness.c */
void witness_look(struct question *q, struct look *look);
void witness_note(struct sitting *s, const struct protocol *p, const struct event *ev, const struct look *look);
void lapse_take_back(struct sitting *s, const struct protocol *p, int item);
void lapse_strike(struct sitting *s, const struct protocol *p, int at, const char *why);

/* steps.c */
bool step_is_done(const struct sitting *s, const struct protocol *p, enum step step, int64_t now_ms);
bool steps_needed_are_done(const struct sitting *s, const struct protocol *p, enum step step, int64_t now_ms,
                           enum step *lacking);
/* First thing missing in a step itself; false when nothing is. */
bool step_lacks(const struct sitting *s, const struct protocol *p, enum step step, int64_t now_ms, int nth,
                struct missing *out);

/* verdict.c */
void verdict_on_done(struct sitting *s, const struct protocol *p);
void verdict_on_correct(struct sitting *s, const struct protocol *p, enum point point, int32_t mmhg);
void reading_began(struct sitting *s, const struct protocol *p, int64_t now_ms);

/* alarm.c: the latest reading's values came or changed; `acted`; `symptoms`; the arm whose very high value stands alone. */
void alarm_follow(struct sitting *s, struct reading *r, const struct protocol *p);
void alarm_answer(struct sitting *s, const struct protocol *p);
void alarm_take_symptoms(struct sitting *s, bool is_present);
enum arm arm_to_repeat(const struct sitting *s, const struct protocol *p);

/* stand.c */
void lie_down(struct sitting *s);
int32_t stand_now(const struct sitting *s); /* which stand it is, from 1; 0 while nobody stands */
bool standing_is_few(const struct sitting *s, const struct protocol *p);
bool standing_is_unsettled(const struct sitting *s, const struct protocol *p); /* closed by the maximum of inflations */
enum protocol_key standing_wait_key(const struct sitting *s);
int64_t standing_wait_ms(const struct sitting *s, const struct protocol *p);   /* from standing up to the next reading */
void reading_began_standing(const struct sitting *s, const struct protocol *p, struct reading *r);
bool drop_is_remarkable(const struct sitting *s, const struct protocol *p);

/* cuff.c */
void cuff_went_on(struct sitting *s, const struct protocol *p, int cuff);
unsigned worn_cuff_notes(const struct sitting *s, const struct protocol *p); /* of the cuff worn last, on or off */

/* verdict.c: was a silence heard, as far as is known by now? */
void note_gap_heard(struct reading *r);

/* The latest reading, for handlers whose rules vouch that there is one; never NULL. */
struct reading *reading_latest(struct sitting *s);
const struct reading *reading_latest_const(const struct sitting *s);
/* The latest reading if the latest inflation is its own (so that entries still belong to it), else NULL. */
const struct reading *reading_at_hand(const struct sitting *s);

/* Where a gauge of this id stands among those of the sitting; gauge_count when it is new. */
int gauge_index(const struct sitting *s, const char *id);
int cuff_index(const struct sitting *s, const char *id); /* cuff_count when it is new */
enum point point_named(const char *word);
enum arm arm_named(const char *word);
enum arm arm_other(enum arm arm);
int32_t palpated_or_usual_mmhg(const struct sitting *s); /* 0: neither */
int arm_done_readings(const struct sitting *s, enum arm arm);
bool arm_suffices(const struct sitting *s, const struct protocol *p, enum arm arm);
/* The number of the protocol that asks for the next reading on this arm. */
enum protocol_key needed_by(const struct sitting *s, const struct protocol *p, enum arm arm);

#endif
