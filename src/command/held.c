/* SPDX-License-Identifier: GPL-3.0-or-later */
/** @file held.c  Which sittings are held, and the words for it. */
#include "command/held.h"

static bool is_held(enum review review, const char *witness)
{
    return witness[0] && (review == REVIEW_HELD || review == REVIEW_UNSIGNED || review == REVIEW_OPEN);
}

bool held_is(const struct queue_entry *q)
{
    return is_held(q->review, q->witness);
}

enum status held_check(struct store *store, int64_t id, struct err *e)
{
    struct kept_sitting k;
    enum status status = store_kept_sitting(store, id, &k, e);
    if (status != ST_OK || !is_held(k.review, k.witness))
        return status;
    return err_set(e, ST_PERMISSION,
                   "S-%03d is held by %s, its witness, until %s releases it. stillarm review S-%03d shows it to the witness.",
                   (int)id, k.witness, k.witness, (int)id);
}
