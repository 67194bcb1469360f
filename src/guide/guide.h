/* SPDX-License-Identifier: GPL-3.0-or-later */
/** @file guide.h  Pure: a sitting's state -> a page; a key -> events to try. All wording of a sitting lives in guide/. */
#ifndef STILLARM_GUIDE_H
#define STILLARM_GUIDE_H

#include <stdbool.h>
#include <stdint.h>

#include "guide/page.h"
#include "stillarm/sitting.h"

#define GUIDE_ENTRY_CAP 512   /* bytes being typed */
#define GUIDE_EVENTS_MAX 40   /* events one key may ask for: a gauge with all cuffs and their bladders */
#define GUIDE_PENDING_MAX 12  /* answers kept until there is a sitting for them */
#define GUIDE_KIT_MAX 16
#define GUIDE_PEOPLE_MAX 9
#define GUIDE_PRECEPTORS_MAX 32
#define GUIDE_FIELDS 9
#define GUIDE_SCRATCH 40

/** What the guide knows beside the sitting: the booth's defaults and kit. Filled by the caller from the store. */
struct guide_booth {
    char measurer[ITEM_CAP], place[128], default_protocol[ITEM_CAP], default_gauge[ITEM_CAP];
    char next_code[ITEM_CAP];          /* offered for a new subject */
    char stamp[40];                    /* ISO 8601 with offset: the wall clock at opening */
    int32_t today;                     /* yyyymmdd */
    struct { char id[ITEM_CAP], name[64]; int32_t top_mmhg, due; struct gauge_check leak, comparison, zero; } gauges[GUIDE_KIT_MAX];
    int gauge_count;
    struct { char id[ITEM_CAP], name[64]; int32_t low_mm, high_mm, bladder_width_mm, bladder_length_mm; } cuffs[GUIDE_KIT_MAX];
    int cuff_count;
    struct { char id[ITEM_CAP], title[80]; const struct protocol *whole; } protocols[16]; /* whole lives as long as the booth; NULL: not known */
    int protocol_count;
    char seen_subject[ITEM_CAP];       /* the caller fills these after GUIDE_LOOKUP */
    bool is_seen;
    char seen_arm[8];                  /* left, right or "" */
    char wall[8];                      /* "14:06", for the top line; refreshed by the caller */
    char banner[80];                   /* the demo's standing notice; "" otherwise */
    char procedure_high[1600], procedure_low[1600]; /* the site's own words for very high and low values; lines by '\n' */
    bool is_high_own, is_low_own;      /* false: what is shipped, which asks the site to write its own */
    char procedure_path[160];          /* the file that the site edits */
    char procedure_fault[420];         /* why a text of the site is not used; "" when all is well */
    int64_t sitting_id;                /* 0 before the first event is stored */
    char default_purpose[16];          /* practice, service or assessment; "" means practice */
    bool is_protocol_gone;             /* the usual one is not offered any more: the opening asks, nothing stands in for it */
    char default_help[8];              /* full, steps or none; "" means full */
    struct { char id[ITEM_CAP], name[64]; } people[GUIDE_PEOPLE_MAX]; /* some of them, to pick a second listener from */
    int person_count;
    char preceptors[GUIDE_PRECEPTORS_MAX][ITEM_CAP]; /* who may look on to an assessment: key in use, and standing */
    int preceptor_count;               /* above the most: not all of them are here, and who is named is taken as known */
};

/** Refused attempts by rule, as counted while the program ran (or read back from the store by the caller). */
struct attempt_tally { int32_t by_rule[RULE_COUNT]; };

/** The page's own state: what is typed, where the cursor is. Nothing here is part of the record. */
struct guide {
    int32_t view;                      /* private to guide/ */
    int32_t cursor, field;
    char entry[GUIDE_ENTRY_CAP];
    char fields[GUIDE_FIELDS][GUIDE_ENTRY_CAP];   /* fields already typed on this page */
    int32_t has_second;                /* a second person, pedal or clicker makes the marks */
    int32_t is_hidden;                 /* one key hides all figures */
    int32_t is_pacing;                 /* the numberless band is shown */
    int64_t pace_from_ms;
    char refusal[420];
    struct event pending[GUIDE_PENDING_MAX]; /* answers collected before the sitting has a place to put them */
    int32_t pending_count;
    int32_t scratch[GUIDE_SCRATCH];    /* private to guide/ */
    char note[240];                    /* said once, until the next key: what a restart cost */
    struct attempt_tally attempts;     /* for the page after the seal; guide_applied adds to it */
    char listener[ITEM_CAP];           /* named before the squeeze that the second listener joins; "" nobody */
};

enum guide_wish {
    GUIDE_NOTHING,  /* the page may have changed: redraw */
    GUIDE_APPLY,    /* try events[0..count), in order, until one is refused; then call guide_applied */
    GUIDE_LOOKUP,   /* look the typed subject up (booth.seen_*), then call guide_key again with KEY_NONE */
    GUIDE_LEAVE,    /* the sitting stays open */
    GUIDE_FINISHED  /* sealed or stopped and looked at: back to where we came from */
};

struct guide_action {
    enum guide_wish wish;
    struct event events[GUIDE_EVENTS_MAX]; /* t_ms is set by the caller for each */
    int count;
    char subject[ITEM_CAP];                /* with GUIDE_LOOKUP */
};

/** A new sitting, or one taken up again at the step where it was. */
void guide_begin(struct guide *g, const struct guide_booth *b);

/** The page for this state at now_ms (since opening). p may be NULL before a protocol is chosen. */
void guide_page(const struct guide *g, const struct guide_booth *b, const struct sitting *s, const struct protocol *p,
                int64_t now_ms, struct page *out);

/** What a key means here and now. KEY_NONE only answers a GUIDE_LOOKUP; else it does nothing. */
void guide_key(struct guide *g, struct guide_booth *b, const struct sitting *s, const struct protocol *p, int64_t now_ms,
               const struct key *k, struct guide_action *out);

/** Tell the guide how its events fared: accepted of them went in; why is the refusal of the next one, or NULL. */
void guide_applied(struct guide *g, const struct sitting *s, const struct protocol *p, int accepted, const struct refusal *why);

/** Say a refusal in one line for a screen: "not yet: SENTENCE REMEDY". */
void guide_say_refusal(const struct refusal *why, char *out, size_t cap);

/** When the page changes by itself next (countdown tick included, at most one a second); false: only a key changes it. */
bool guide_next_wake(const struct guide *g, const struct sitting *s, const struct protocol *p, int64_t now_ms, int64_t *wake_ms);

/** After a `resume` was applied: remember, in words, what it cost (rest lost, reading void), for the next page. */
void guide_resumed(struct guide *g, const struct sitting *before, const struct sitting *after, int64_t gap_ms);

/** What was good, what slipped (with published cost), what to practise next: lines for the page after seal and for print.
 *  t may be NULL. */
void guide_debrief(const struct sitting *s, const struct protocol *p, const struct attempt_tally *t, struct page *out);

/** How far the second listener's values lie above the measurer's, below where negative; false before both are final. */
bool guide_pair_differs_by(const struct reading *r, int *systolic, int *diastolic);

/** Both listeners' values of a reading, how far apart, and whether that is above the protocol's limit; false as above. */
bool guide_say_pair(const struct sitting *s, const struct protocol *p, int index, char *out, size_t cap);

#endif
