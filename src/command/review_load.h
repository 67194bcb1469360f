/* SPDX-License-Identifier: GPL-3.0-or-later */
/** @file review_load.h  A sitting out of the store, told act by act, with what was signed about it. */
#ifndef STILLARM_COMMAND_REVIEW_LOAD_H
#define STILLARM_COMMAND_REVIEW_LOAD_H

#include "guide/review.h"
#include "store/signed.h"

#define NOTABLE_MAX 600
#define DONE_BY_MAX 16 /* beyond these the store still knows */

/** Large, and one at a time. It holds a pointer into itself: not to be copied. */
struct review_sitting {
    int64_t id;
    struct kept_sitting kept;
    struct protocol protocol;   /* as kept with the sitting */
    struct timeline timeline;
    int64_t seen;               /* number of the last statement about it; 0: none */
    enum statement_kind last_kind;
    char last_by[ITEM_CAP], last_at[40]; /* who made that one, and when */
    int last_row;               /* of the timeline, where that one stands */
    int added_row;              /* what was added since it was last signed or sent back; 0: nothing */
    char done_by[DONE_BY_MAX][ITEM_CAP]; /* who has countersigned it as it stands */
    int done_count;
    int32_t returned_event;     /* what the last return was about; 0: none, or the whole */
    int32_t notable[NOTABLE_MAX]; /* events that stand out: passed over, tried too soon, not counting, said something about ... */
    int notable_count;          /* beyond the capacity they are stepped to like all others */
};

/**
 * Read the sitting with its attempts and statements.
 * @param ring  what the store knows of keys; renewed where a statement names a key that is not in it
 */
enum status review_load(struct store *store, struct ring **ring, int64_t id, struct review_sitting *out,
                        struct err *e) MUST_USE;

/** Has something been added since it was read? Cheap enough for once a second. */
enum status review_has_changed(struct store *store, const struct review_sitting *r, bool *changed, struct err *e) MUST_USE;

/** The next row after this one whose act stands out; -1: none does. */
int review_next_notable(const struct review_sitting *r, int row);

/** Has this person countersigned it, with nothing added since? */
bool review_has_done(const struct review_sitting *r, const char *person);

/** Are its figures for the witness alone, until she gives the result? */
bool review_is_withheld(const struct review_sitting *r);

#endif
