/* SPDX-License-Identifier: GPL-3.0-or-later */
/** @file progress.h  How somebody is doing, and the pages and lines that say so. Pure: callers read the store. */
#ifndef STILLARM_PROGRESS_H
#define STILLARM_PROGRESS_H

#include "guide/chart.h"
#include "guide/form.h"
#include "guide/page.h"
#include "stillarm/reading.h"
#include "stillarm/rule.h"
#include "stillarm/yardstick.h"

#define RELEASES_MAX 600 /* the latest */
#define OPEN_ITEMS_MAX 64 /* told apart; more are counted by their rule alone */

/** How often an item was not as it should be. */
struct open_item { char id[ITEM_CAP]; int32_t refused, lapsed; };

/** A person's record as far as a day. Large, and one at a time. */
struct progress {
    char person[ITEM_CAP], name[128], role[16];
    char place[80];
    int32_t first_day, last_day;   /* of the sittings that count; yyyymmdd, 0 none */
    int32_t first_pair_day, last_pair_day; /* of the pairs that do */
    int32_t sealed, stopped, open; /* sittings */
    int32_t clean;                 /* sealed, nothing refused (slips apart), nothing void, passed over or lapsed */
    int32_t held;                  /* witnessed, result not given yet: not in any figure here */
    int32_t unsigned_count;        /* ended, signature owed: in the figures, and said */
    int32_t unjudged;              /* what is kept of them does not replay: in no figure; verify says why */
    int32_t witnessed, witnessed_passed;
    int32_t readings, counted;
    int32_t pairs_other;           /* with a listener who is no preceptor with standing; left out where the yardstick says so */
    int32_t pairs_void;            /* on readings that do not count; left out */
    /* of the pairs in the figures: in sittings that no preceptor has signed; of these, whose own signature is owed */
    int32_t pairs_unread, pairs_unsigned;
    int32_t refused[RULE_COUNT], lapsed[RULE_COUNT]; /* RULE_ITEM_OPEN: items not as they should be */
    struct open_item open_items[OPEN_ITEMS_MAX];
    int open_item_count;
    int32_t voids[VOID_REASON_COUNT];
    int32_t waived;
    struct digit_tally digits[SIDE_COUNT]; /* of all counted readings, with a second listener or without */
    struct release_point releases[RELEASES_MAX];
    int release_count;
    int32_t release_low_x10, release_high_x10, release_slack_x10; /* of the protocol used last; 0 none */
    int32_t releases_observed, releases_quick, releases_slow; /* of all: outside their own protocol's band and slack */
    struct difference_grid grid[SIDE_COUNT];
    struct learning_path path;
    struct record record;          /* with the agreement */
    struct readiness_result result;
};

/** One line of the group, and of what was before. */
struct progress_row {
    char person[ITEM_CAP], name[128], role[16];
    int32_t sittings, clean, held;
    int64_t pairs;
    bool has_bias, has_near, has_zero;
    double bias[SIDE_COUNT], near_5[SIDE_COUNT], zero[SIDE_COUNT]; /* mmHg; shares 0 to 1 */
    enum readiness readiness;
    int64_t missing_pairs;
    int32_t last_day;
};
void progress_row_of(const struct progress *p, struct progress_row *out);

enum progress_order { ORDER_PERSON, ORDER_SITTINGS, ORDER_CLEAN, ORDER_BIAS, ORDER_NEAR, ORDER_ZERO, ORDER_READY, ORDER_COUNT };
extern const char *const ORDER_WORDS[ORDER_COUNT]; /* person, sittings, clean, bias, within 5, zeros, ready */
/** Sort rows and what was before with them; the one that needs looking at first, ties by person. */
void progress_sort(struct progress_row *now, struct progress_row *before, int count, enum progress_order order);

#define PROGRESS_ROW_CAP 96
enum progress_width { WIDTH_USUAL /* 78 columns at most */, WIDTH_NARROW /* 58: without the pairs */, WIDTH_COUNT };
extern const char *const PROGRESS_COLUMNS[WIDTH_COUNT];
/** A row of the group under those columns: both sides of a figure, systolic first. */
void say_progress_row(const struct progress_row *r, enum progress_width width, char out[PROGRESS_ROW_CAP]);
/** `not yet, now ready, 2 more sittings`; false (and "") where neither answer, sittings nor pairs have changed. */
bool say_row_change(const struct progress_row *before, const struct progress_row *now, char *out, size_t cap);

/** Words, one call a line, for `progress` and `agree` as text and for the pages. Lines fit 78 columns. */
typedef void (*progress_line_fn)(void *user, enum line_role role, const char *text);
/** Where lines go, and how wide they may be: words are folded, and hang over set in. */
#define PROGRESS_LINE_COLUMNS 78 /* at most */
struct progress_lines { progress_line_fn say; void *user; int columns; };
/** The verdict first: ready, not yet or too few, each criterion with what there is, what is asked, and who says so. */
void say_readiness(const struct yardstick *y, const struct readiness_result *r, const struct record *rec, const struct progress_lines *out);
/** How often the learning curve errs. */
void say_rates(const struct yardstick *y, const struct learning_rates *r, const struct progress_lines *out);
/** All figures of an agreement in words (agreement_words.c). */
void say_agreement(const struct agreement *a, progress_line_fn, void *user);
struct text;
/** A number to so many decimals; a zero has no sign, also where it was rounded to it. */
void add_rounded(struct text *t, double x, int decimals, bool has_plus);
/** `too few pairs, it takes 2`. */
void add_lack(struct text *t, enum lack lack, int64_t need);
/** `+1.2 (-0.3 to 2.7) mmHg`, or the lack in words. */
void say_figure(const struct figure *f, const struct figure_row *row, char *out, size_t cap);
/** Sittings, readings and pairs: how many, and what is left out of the figures and why. */
void say_counts(const struct progress *p, const struct yardstick *y, const struct progress_lines *out);
/** `57 of 60 releases quicker than 3.0 mmHg/s by more than 0.5`; "" where none was, or slower with is_quick false. */
void say_releases_outside(const struct progress *p, bool is_quick, char *out, size_t cap);
/** What was refused and what lapsed, by rule, the most frequent first; what was void; what was passed over. */
void say_slips(const struct progress *p, const struct progress_lines *out);
/** From one day to the other, only what changed; nothing did: says so. */
void say_changes(const struct progress_row *before, const struct progress_row *now, int32_t since_day, const struct progress_lines *out);

/* ---- pages ---- */
enum progress_leaf { LEAF_VERDICT, LEAF_DIFFERENCE_SYSTOLIC, LEAF_DIFFERENCE_DIASTOLIC, LEAF_DIGITS, LEAF_RELEASE, LEAF_LEARNING,
                     LEAF_SLIPS, LEAF_FIGURES, LEAF_CHANGES, LEAF_COUNT };
struct progress_view {
    enum progress_leaf leaf;
    int rows, cols;      /* of the screen, less what a banner takes; 0 by 0: no screen, words in place of graphs */
    bool is_ascii;
    int at;              /* the line with the cursor on a leaf of lines, the side on one of bars */
    int32_t since_day;
};
void progress_page(const struct progress *p, const struct progress_row *before, const struct yardstick *y,
                   const struct learning_rates *rates, const struct progress_view *v, struct page *out);
/** The largest `at` that a leaf has a use for. */
int progress_page_last(const struct progress *p, const struct progress_row *before, const struct yardstick *y,
                       const struct learning_rates *rates, const struct progress_view *v);
/** The graph that a leaf shows; false: it is one of lines. */
bool progress_leaf_graph(enum progress_leaf leaf, enum chart_kind *kind);

/** What the words on a leaf mean; LEAF_COUNT: on the page of the group. */
void progress_help_page(enum progress_leaf leaf, struct page *out);

/** Whom there is to look at, in which order, and what is compared with. */
struct progress_group {
    const struct progress_row *now, *before; /* of each the same row */
    int count, at;                           /* at: the row with the cursor */
    enum progress_order order;
    int32_t since_day;
    bool has_others;                         /* yardsticks to turn to */
};
void progress_group_page(const struct progress_group *g, const struct yardstick *y, const struct progress_view *v, struct page *out);
/** While a large store is read. can_leave: a key breaks it off. */
void progress_reading_page(int64_t done, int64_t of, bool can_leave, struct page *out);

#endif
