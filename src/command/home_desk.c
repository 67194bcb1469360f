/* SPDX-License-Identifier: GPL-3.0-or-later */
/** @file home_desk.c  What waits at the review desk and for whom, in the few words that home has for it. */
#include "command/home_desk.h"

#include <stdio.h>
#include <string.h>

#include "command/held.h"
#include "command/workplace.h"
#include "stillarm/text.h"

#define NAMES_MAX 3     /* of people; more are counted among the sittings */
#define LOOKED_THROUGH 30 /* the newest of a queue: whoever has more opens the desk */

/* ---- for whom ---- */

struct names {
    char list[NAMES_MAX][ITEM_CAP];
    int count;
    bool is_more;
};

/* Whoever is to act: of one that is watched the witness signs, and what is sent back is the measurer's. */
static bool add_name(void *user, const struct queue_entry *q)
{
    struct names *n = user;
    const bool is_witness = q->review == REVIEW_UNSIGNED && held_is_witnessed(q->witness, q->purpose);
    const char *who = is_witness ? q->witness : q->head.measurer[0] ? q->head.measurer : "nobody named";
    for (int i = 0; i < n->count; i++)
        if (strcmp(n->list[i], who) == 0)
            return true;
    if (n->count < NAMES_MAX)
        text_copy(n->list[n->count++], ITEM_CAP, who);
    else
        n->is_more = true;
    return true;
}

static enum status names_of(struct store *store, enum queue_which which, char *out, size_t cap, struct err *e)
{
    const struct queue_filter f = { .which = which };
    struct names n = { .count = 0 };
    struct text t;
    enum status status = store_queue(store, &f, 0, LOOKED_THROUGH, add_name, &n, e);
    text_init(&t, out, cap);
    for (int i = 0; i < n.count; i++)
        text_addf(&t, "%s%s", i ? ", " : "", n.list[i]);
    if (n.is_more)
        text_add(&t, " ..");
    return status;
}

static enum status counts(struct store *store, struct home_view *v, struct err *e)
{
    const struct { enum queue_which which; int *count; char *names; size_t cap; } rows[] = {
        { QUEUE_WAITING, &v->waiting, NULL, 0 },
        { QUEUE_RETURNED, &v->returned, v->returned_to, sizeof v->returned_to },
        { QUEUE_OWED, &v->owed, v->owed_by, sizeof v->owed_by },
    };
    enum status status = ST_OK;
    for (size_t i = 0; i < ARRAY_LEN(rows) && status == ST_OK; i++) {
        const struct queue_filter f = { .which = rows[i].which };
        status = store_queue_count(store, &f, HOME_COUNT_MOST + 1, rows[i].count, e);
        if (status == ST_OK && rows[i].names)
            status = names_of(store, rows[i].which, rows[i].names, rows[i].cap, e);
    }
    return status;
}

/* ---- results that were given ---- */

struct given { int64_t ids[LOOKED_THROUGH]; int count; };

static bool add_given(void *user, const struct queue_entry *q)
{
    struct given *g = user;
    if (q->review == REVIEW_RELEASED && g->count < LOOKED_THROUGH)
        g->ids[g->count++] = q->head.id;
    return true;
}

struct giving { bool is_found; char by[ITEM_CAP], at[40]; };

static bool find_giving(void *user, const struct kept_statement *k)
{
    struct giving *g = user;
    struct statement s;
    struct err ignored; /* what cannot be read is for verify to name */
    if (statement_parse(k->text, k->len, &s, &ignored) != ST_OK || s.kind != SAYS_RELEASE)
        return true;
    g->is_found = true;
    text_copy(g->by, sizeof g->by, s.person);
    text_copy(g->at, sizeof g->at, s.at);
    return true;
}

static bool is_lately(const char *at, int32_t today)
{
    int32_t day = 0;
    return parse_timestamp(at, &day, NULL) == ST_OK && days_between(day, today) <= HOME_GIVEN_DAYS;
}

/* The newest of those who measures now was given lately, and how many more there are. */
static enum status results(struct store *store, int32_t today, struct home_view *v, struct err *e)
{
    const struct queue_filter f = { .which = QUEUE_ALL, .measurer = v->measurer, .purpose = "assessment" };
    struct given g = { .count = 0 };
    v->given_id = v->given_more = 0;
    if (!v->measurer[0])
        return ST_OK;
    enum status status = store_queue(store, &f, 0, LOOKED_THROUGH, add_given, &g, e);
    for (int i = 0; i < g.count && status == ST_OK; i++) {
        struct giving giving = { .is_found = false };
        status = store_statements(store, g.ids[i], find_giving, &giving, e);
        if (status != ST_OK || !giving.is_found || !is_lately(giving.at, today))
            continue;
        if (v->given_id) {
            v->given_more++;
        } else {
            v->given_id = g.ids[i];
            text_copy(v->given_by, sizeof v->given_by, giving.by);
        }
    }
    return status;
}

enum status home_desk(struct store *store, int32_t today, struct home_view *v, struct err *e)
{
    enum status status = counts(store, v, e);
    return status == ST_OK ? results(store, today, v, e) : status;
}
