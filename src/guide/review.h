/* SPDX-License-Identifier: GPL-3.0-or-later */
/** @file review.h  A sitting as a preceptor reads it, the queue of those that wait, and the page that asks for a PIN. Pure. */
#ifndef STILLARM_REVIEW_H
#define STILLARM_REVIEW_H

#include "guide/form.h"
#include "guide/page.h"
#include "stillarm/sitting.h"

/* ---- the timeline ---- */

#define TIMELINE_ROWS_MAX 900
#define TIMELINE_ROW_CAP 160

/* Acts of one kind that follow each other are a run: told in one row, and each in its own where the run is unfolded. */
enum row_when { ROW_ALWAYS, ROW_FOLDED, ROW_UNFOLDED };

struct timeline_row {
    int32_t seq;           /* the event it belongs to; 0: none */
    int32_t run;           /* the event that its run begins with; 0: it is in none */
    enum row_when when;    /* shown always, or only as its run is folded or unfolded */
    bool is_named, is_quick; /* in its run: its name stands in the folded row, marked as quick */
    bool is_stop;          /* the cursor stops here: the first row of an act */
    enum line_role role;
    char text[TIMELINE_ROW_CAP];
    char value[48];        /* the verdict at the right: `fits`, `counted`, `passed over` */
};

/* The run that is being told; private to guide/. */
enum run_kind { RUN_NONE, RUN_ITEMS, RUN_CUFFS, RUN_CHECKS };
struct timeline_run {
    enum run_kind kind;
    int32_t step, seq, count, named, presses, quick;
    int32_t head, name_rows;     /* the row that tells all of them, and how many below it name them */
    int64_t first_ms, last_ms;   /* of its presses */
    int64_t from_ms, quickest_ms; /* the act before it; the shortest look */
};

/* What is gathered for the overview while the acts are told; private to guide/. */
enum over { OVER_PASSED, OVER_SOON, OVER_QUICK, OVER_CHANGED, OVER_NOTED, OVER_SAID, OVER_ADDED /* since it was last signed or sent back */,
            OVER_COUNT };
#define OVER_CAP 220
struct timeline_over { int32_t count, left_out; char text[OVER_CAP]; };
struct timeline_span { int32_t count; bool is_odd; int64_t least_ms, most_ms; }; /* odd: one was not as asked */

/* How far the telling has come; private to guide/. */
struct timeline_told {
    bool is_begun, is_ending, has_date;
    int64_t press_ms, before_ms; /* time of the latest press, and of the one before it; 0: the opening */
    int32_t join;                /* what is being joined in one row, and which row that is; -1: none yet */
    int32_t join_row;
    struct timeline_run run;
    struct timeline_over over[OVER_COUNT];
    struct timeline_span rest, settle, interval, stood, looks; /* as they were */
    int32_t skips, slips;        /* refused attempts */
    int32_t event_rows;          /* rows that tell the record, what is said of it before it too; statements and the end come behind */
    int32_t day;                 /* of the place, at opening: yyyymmdd */
    int32_t unseen_count;        /* values of two listeners, kept back until both are in */
    struct { int32_t is_pair, point, mmhg; } unseen[16];
};

/** A sitting told act by act. Fed in order; large (static or malloc it). */
struct timeline {
    struct sitting sitting;      /* replayed as far as it was fed */
    const struct protocol *p;    /* must outlive it */
    struct timeline_row rows[TIMELINE_ROWS_MAX];
    int row_count;
    int overview_rows;           /* so many of them stand before the first act; none while it goes on */
    bool is_cut;                 /* more rows than fit: said at the end */
    int32_t quick_count;         /* presses that confirm, quicker than look_min_x10 after the one before */
    int64_t opened_unix_ms;      /* wall clock at time 0; INT64_MIN: not known, then times are since opening */
    int32_t offset_min;          /* of the place, from the opening's stamp */
    struct timeline_told told;   /* private to guide/ */
};

/** p: the protocol kept with the sitting. */
void timeline_begin(struct timeline *t, const struct protocol *p);
/** The next event, with its number. False: it is not one that could have been accepted; said in a row. */
bool timeline_event(struct timeline *t, const struct event *ev, int32_t seq, int64_t unix_ms);
/** A refused attempt; fed right after the event with the number after_seq. */
struct timeline_attempt { int32_t after_seq; int64_t t_ms; bool is_slip; const char *rule, *have, *need, *line; };
void timeline_attempt(struct timeline *t, const struct timeline_attempt *a);
/** What somebody signed about it, in words that the caller has checked. */
struct timeline_statement {
    const char *word;      /* seal, stop, countersign, return, comment, amend, release */
    const char *person, *standing; /* standing: as standing_say(), "" where it does not matter */
    const char *verdict;   /* reviewed, present, or "" */
    const char *at;        /* ISO 8601 */
    int32_t event;         /* 0: the whole */
    int64_t open_ms;
    const char *said;      /* "" none */
    const char *key_short; /* `7f3a 91c2` */
};
void timeline_statement(struct timeline *t, const struct timeline_statement *s);
/** After the last: averages, worth, remarks, lapses, what is owed; and, of one that has ended, the overview before it all. */
void timeline_end(struct timeline *t);

/** How the page stands. */
struct timeline_view {
    const char *left, *right;   /* of the top line: `S-014 by ana, 2 March 14:04`; `waiting   3 of 9` */
    int at;                     /* row of the cursor */
    int32_t unfolded;           /* the run that is told act by act; 0: none */
    bool is_live;               /* the sitting is still open: looked at, not steered */
    bool can_sign, can_return, can_comment, can_amend, can_owe /* sign what is owed */, can_release, has_next;
    char refusal[420];
};
void timeline_page(const struct timeline *t, const struct timeline_view *v, struct page *out);
/** j, k, arrows: from act to act; z, t: to the last and to the first; f unfolds a run and folds it. True when the key was one of its own. */
bool timeline_key(const struct timeline *t, struct timeline_view *v, const struct key *k);
/** Is this row shown while that run is unfolded (0: none)? */
bool timeline_is_shown(const struct timeline *t, int row, int32_t unfolded);
/** The row that always tells what this one does: of an act within a run the run's. */
int timeline_head(const struct timeline *t, int row);
/** The act the cursor is on, in a few words, for a comment's page: `rest ends 14:10:40`. */
void timeline_say_at(const struct timeline *t, int at, char *out, size_t cap);

/* ---- the queue ---- */

struct queue_words {
    int64_t id;
    const char *subject, *measurer, *protocol, *opened, *purpose, *phase, *review, *witness, *last_by;
    int32_t counted, readings, attempts;
};
/** One row of the queue: in one line on the smallest screen, but for odd words that a wider one has room for. */
void queue_row(const struct queue_words *q, char out[LIST_ROW_CAP]);
/** Title and note of the page for these filters; keys are the caller's. */
void queue_title(const char *which, const char *measurer, const char *purpose, const char *days, const char *phase, char *title,
                 size_t title_cap);

/* ---- the PIN ---- */

struct pin_view {
    const char *person, *name;
    const char *why;            /* `to finish S-014`, `to countersign S-014 as reviewed` */
    enum { PIN_ASK, PIN_CHOOSE, PIN_REPEAT } stage; /* choose: she has none yet */
    bool is_typed;              /* something is typed; how much is never shown */
    bool can_wait;              /* Tab: end it now, sign later */
    int32_t wait_s;             /* until the next try is taken */
    char refusal[420];
};
void pin_page(const struct pin_view *v, struct page *out);

#endif
