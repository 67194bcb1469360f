/* SPDX-License-Identifier: GPL-3.0-or-later */
/** @file timeline.h  What the files of the timeline share. Private to guide/. */
#ifndef STILLARM_TIMELINE_H
#define STILLARM_TIMELINE_H

#include "guide/review.h"
#include "stillarm/text.h"

#define LINE_WIDTH 54    /* columns that stand in one line on the smallest screen */
#define TIME_WIDTH 10    /* columns of the time before it */
#define ROWS_FOR_END 200 /* kept free for what was signed, the result and what is owed */
#define SAY_CAP 2400     /* holds any text of an event with the words before it */

/* Acts that follow each other are told in one row as long as they are of one kind. */
enum join { JOIN_NONE, JOIN_OPENING, JOIN_MOMENTS, JOIN_ENTRY, JOIN_ITEMS };

/* What was so before the act: required against actual is told of that. */
struct before {
    int64_t settle_ms, interval_ms, stood_ms, rest_ms; /* since then; -1: does not apply */
    int32_t standing_wait_s;
    bool has_value, has_mark, is_counted, has_pair;
    int32_t value_mmhg;
    int32_t lapses;
};

/* timeline_words.c */
void say_wall(const struct timeline *t, int64_t t_ms, char out[16]); /* 14:04:10, or +0:04:10 since opening */
void say_span(int64_t ms, char out[16]);                             /* 36 s, 5:00, 1:02:10 */
void say_day(int64_t yyyymmdd, char out[24]);                        /* 2 Mar 2031 */
const char *month_word(int64_t yyyymmdd);                            /* Mar; the day exists */
void say_range(int64_t low_mm, int64_t high_mm, char out[48]);       /* 25.4 to 40.6 cm */
const char *say_item(const char *id, char out[ITEM_CAP]);            /* `ready.not-pregnant`: not pregnant */
const char *say_rule(enum rule rule, char out[160]);                 /* what it says, without its full stop */
const char *say_seconds_short(const char *said, char out[80]);       /* `200.000 s`: 200 s; other words as they are */
const char *say_void(int bit), *say_note(int bit);
enum point timeline_point(const char *word);
/** An act in a few words, without its text; of one not yet applied. */
void say_act(const struct event *ev, char *out, size_t cap);
enum join act_join(enum event_kind kind);
const char *join_prefix(enum join join);
/** What leads in the text of this kind: `, because: `. */
const char *text_prefix(enum event_kind kind);

/* timeline.c */
/** Add to what a buffer holds; what does not fit is left out. */
void add_words(char *out, size_t cap, const char *format, ...) __attribute__((format(printf, 3, 4)));
/** Add words as one row or, where they are long, more. t_ms < 0: none stands before it. is_stop: the cursor stops here. */
void row_add(struct timeline *t, int32_t seq, bool is_stop, int64_t t_ms, const char *value, const char *format, ...)
    __attribute__((format(printf, 6, 7)));
/** An act with the text of its event: in one row where both fit, else the text below. */
void row_said(struct timeline *t, const struct event *ev, int32_t seq, const char *value, const char *words);
/** The same as words that are not a format; it ends neither a run nor what is joined. */
void row_words(struct timeline *t, int32_t seq, bool is_stop, int64_t t_ms, const char *value, const char *words);
/** Bytes of s that fit into so many columns, whole words where that is possible. */
size_t bytes_that_fit(const char *s, int columns);
/** Move the rows from `from` to the last up to where they belong. */
void rows_up(struct timeline *t, int from, int to);
/** A row as it is, for drawings. */
void row_draw(struct timeline *t, int32_t seq, const char *text);
/** Add words to the row that such acts are joined in; begins one where they do not fit or come first. */
void row_join(struct timeline *t, int32_t seq, int64_t t_ms, enum join join, const char *prefix, const char *words);

/* timeline_runs.c */
struct run_act {
    enum run_kind kind; /* of the run that it belongs to */
    int32_t step, seq;
    int64_t t_ms;
    const char *words, *value; /* value: its own, where the run has none for it */
    bool is_named;      /* told by its words where the run is folded */
};
/** One more act of a run; begins one where none of its kind is being told. */
void run_add(struct timeline *t, const struct run_act *a);
/** What comes next is no part of it. */
void run_end(struct timeline *t);

/* timeline_overview.c */
/** Gather what stands out; t_ms: when it was, or -1. */
void overview_say(struct timeline *t, enum over over, int64_t t_ms, const char *format, ...) __attribute__((format(printf, 4, 5)));
/** The act, where its kind is one that stands out. */
void overview_act(struct timeline *t, const struct event *ev);
/** A look at items, and how long after the act before. */
void overview_look(struct timeline *t, int64_t took_ms);
/** A rest that ended, and what was waited for before a squeeze. */
void overview_rest(struct timeline *t, int64_t rested_ms);
void overview_waits(struct timeline *t, const struct before *b);
/** What was added is answered: it is no longer what stands first, but said of it as all else. */
void overview_answered(struct timeline *t);
/** All of it in a few rows, before the first act. */
void overview_rows(struct timeline *t);

/* timeline_reading.c */
/** What two listeners typed and nobody has been told yet. */
void tell_unseen(struct timeline *t, int32_t seq);
void tell_inflate(struct timeline *t, const struct event *ev, int32_t seq, const struct before *b);
void tell_entry(struct timeline *t, const struct event *ev, int32_t seq, const struct before *b);
void tell_done(struct timeline *t, const struct event *ev, int32_t seq, const struct before *b);
void tell_correct(struct timeline *t, const struct event *ev, int32_t seq, const struct before *b);
void tell_void(struct timeline *t, const struct event *ev, int32_t seq, const struct before *b);

/* timeline_draw.c */
void draw_release(struct timeline *t, const struct reading *r, int32_t seq);

/* timeline_acts.c */
void tell_act(struct timeline *t, const struct event *ev, int32_t seq, const struct before *b);

#endif
