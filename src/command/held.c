/* SPDX-License-Identifier: GPL-3.0-or-later */
/** @file held.c  Which sittings are held, and the words for it. */
#include "command/held.h"

#include <string.h>

bool held_is_witnessed(const char *witness, const char *purpose)
{
    return witness[0] && strcmp(purpose, "assessment") == 0;
}

static bool is_held(enum review review, const char *witness, const char *purpose)
{
    return held_is_witnessed(witness, purpose) && (review == REVIEW_HELD || review == REVIEW_UNSIGNED || review == REVIEW_OPEN);
}

bool held_is(const struct queue_entry *q)
{
    return is_held(q->review, q->witness, q->purpose);
}

enum status held_check(struct store *store, int64_t id, struct err *e)
{
    struct kept_sitting k;
    enum status status = store_kept_sitting(store, id, &k, e);
    if (status != ST_OK || !is_held(k.review, k.witness, k.purpose))
        return status;
    bool has_left = false;
    status = store_has_left(store, k.witness, &has_left, e);
    if (status != ST_OK)
        return status;
    if (has_left && k.review == REVIEW_HELD)
        return err_set(e, ST_PERMISSION,
                       "S-%03d is held by %s, its witness, who can sign nothing more here: another preceptor reads it and gives "
                       "its result with stillarm review S-%03d.",
                       (int)id, k.witness, (int)id);
    return err_set(e, ST_PERMISSION,
                   "S-%03d is held by %s, its witness, until %s gives its result. stillarm review S-%03d shows it to the witness.",
                   (int)id, k.witness, k.witness, (int)id);
}

const char *held_word(enum review review)
{
    return review == REVIEW_RELEASED ? "given" : REVIEW_WORDS[review];
}

const char *held_keeper(const struct kept_sitting *k)
{
    return held_is_witnessed(k->witness, k->purpose) ? k->witness : k->head.measurer;
}
