/* SPDX-License-Identifier: GPL-3.0-or-later */
/** @file review_open.c  How long this window showed a sitting, through all the times it was opened, for as long as nothing was signed in
 *  between. Kept in memory alone: another run of the program knows nothing of it. */
#include <string.h>

#include "command/review_desk.h"
#include "stillarm/text.h"
#include "terminal/clock.h"

#define OPENINGS_MAX 32

static struct opening {
    int64_t sitting, seen; /* seen: the last statement about it, as it was shown */
    char reader[ITEM_CAP]; /* "" nobody in particular */
    char store[STORE_ID_CAP];
    int64_t shown_ms;
} openings[OPENINGS_MAX];
static int oldest;         /* the one whose place is taken next */

/* Who reads it: of one that is held whoever opened it, else the desk's reader. */
static const char *reader_of(const struct desk *d)
{
    return d->holder[0] ? d->holder : d->reviewer;
}

/* NULL: none yet. */
static struct opening *find(const struct desk *d, const char *reader)
{
    char store[STORE_ID_CAP];
    struct err ignored;
    if (store_id(d->store, store, &ignored) != ST_OK)
        return NULL;
    for (int i = 0; i < OPENINGS_MAX; i++) {
        struct opening *o = &openings[i];
        if (o->sitting == d->r->id && o->seen == d->r->seen && strcmp(o->reader, reader) == 0 && strcmp(o->store, store) == 0)
            return o;
    }
    return NULL;
}

void open_leave(const struct desk *d)
{
    struct opening *o = find(d, reader_of(d)), fresh = { .sitting = d->r->id, .seen = d->r->seen };
    struct err ignored;
    if (!o && store_id(d->store, fresh.store, &ignored) == ST_OK) {
        o = &openings[oldest];
        oldest = (oldest + 1) % OPENINGS_MAX;
        text_copy(fresh.reader, sizeof fresh.reader, reader_of(d));
        *o = fresh;
    }
    if (o)
        o->shown_ms += clock_boot_ms() - d->opened_boot_ms;
}

int64_t open_before(const struct desk *d, const char *signer)
{
    const struct opening *o = find(d, reader_of(d)[0] ? signer : "");
    return o ? o->shown_ms : 0;
}
