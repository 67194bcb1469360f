/* SPDX-License-Identifier: GPL-3.0-or-later */
/** @file progress_load.c  One pass over the store: each sitting is replayed once, under the protocol kept with it.
 *  It goes into the record of its measurer as of the one day, of the other, or of both. People come one after another, so
 *  that memory does not grow with their number. */
#include "command/progress_load.h"

#include <stdlib.h>
#include <string.h>

#include "command/held.h"
#include "command/progress_take.h"
#include "command/proof_parts.h"
#include "stillarm/text.h"

#define WATCH_EVERY 64 /* sittings between two calls */

enum { AT_UNTIL, AT_SINCE, AT_COUNT };

/** A sitting as its row has it. */
struct entry {
    int64_t id;
    int32_t day, attempts;
    bool is_open, is_held, is_unsigned, is_read;
    char measurer[ITEM_CAP], text_hash[HASH_HEX_CAP];
};
struct entries { struct entry *list; size_t count, cap; };
struct everybody { struct person *list; int count; struct ring *ring; };

struct loader {
    struct store *store;
    const struct progress_ask *ask;
    const char *only; /* this person; NULL: everybody */
    struct entries entries;
    struct everybody people;
    struct protocol_shelf shelf;
    struct gather_frame frame;
    struct cells cells;
    struct gathering at[AT_COUNT];
    struct progress before;
    struct replayed replayed;
    int32_t seq;
    bool is_broken, is_short; /* of memory */
    char place[80];
    int64_t done;
    struct err *e;
};

static enum status no_memory(struct err *e)
{
    return err_set(e, ST_NO_MEMORY, "There is not enough memory to read the sittings. Close other programs.");
}

/* ---- who, and which sittings ---- */

static enum status read_people(struct loader *l)
{
    int count = 0;
    enum status status = store_people(l->store, true, NULL, 0, &count, l->e);
    if (status != ST_OK || count == 0)
        return status;
    l->people.list = calloc((size_t)count, sizeof *l->people.list);
    if (!l->people.list)
        return no_memory(l->e);
    status = store_people(l->store, true, l->people.list, count, &l->people.count, l->e);
    if (l->people.count > count) /* somebody was added in between */
        l->people.count = count;
    return status;
}

static const struct person *person_of(const struct everybody *all, const char *id)
{
    for (int i = 0; i < all->count; i++)
        if (strcmp(all->list[i].id, id) == 0)
            return &all->list[i];
    return NULL;
}

/* A name in the list is whatever somebody typed. A key in use or ended is hers, and somebody answers for it. */
static bool is_preceptor(const void *user, const char *listener)
{
    const struct everybody *all = user;
    const struct person *who = person_of(all, listener);
    bool is_one = false;
    const struct ring_key *key;
    for (int n = 0; who && who->role == ROLE_PRECEPTOR && !is_one && (key = ring_at(all->ring, n)) != NULL; n++)
        is_one = key->role == SIGNS_PRECEPTOR && key->standing != TRUST_NONE && strcmp(key->person, listener) == 0;
    return is_one;
}

static struct entry *add_entry(struct entries *all)
{
    if (all->count == all->cap) {
        size_t cap = all->cap ? 2 * all->cap : 256;
        struct entry *more = realloc(all->list, cap * sizeof *more);
        if (!more)
            return NULL;
        all->list = more;
        all->cap = cap;
    }
    return &all->list[all->count++];
}

static bool take_head(void *user, const struct kept_sitting *k)
{
    struct loader *l = user;
    const struct sitting_head *h = &k->head;
    if (!h->measurer[0] || (l->only && strcmp(l->only, h->measurer) != 0) || h->day > l->ask->until_day)
        return true;
    struct entry *n = add_entry(&l->entries);
    l->is_short = n == NULL;
    if (!n)
        return false;
    struct queue_entry q = { .review = k->review };
    text_copy(q.witness, sizeof q.witness, k->witness);
    text_copy(q.purpose, sizeof q.purpose, k->purpose);
    bool is_held = held_is(&q), is_open = h->phase == PHASE_OPEN;
    *n = (struct entry){ .id = h->id, .day = h->day, .attempts = h->attempt_count, .is_open = is_open, .is_held = is_held && !is_open,
                         .is_unsigned = !is_held && k->review == REVIEW_UNSIGNED,
                         .is_read = k->review == REVIEW_DONE || k->review == REVIEW_RELEASED };
    text_copy(n->measurer, sizeof n->measurer, h->measurer);
    text_copy(n->text_hash, sizeof n->text_hash, k->protocol_text_hash);
    return true;
}

/* Oldest first within each person, who come by short name. */
static int by_person(const void *a, const void *b)
{
    const struct entry *one = a, *other = b;
    int order = strcmp(one->measurer, other->measurer);
    return order ? order : (one->id > other->id) - (one->id < other->id);
}

/* ---- one sitting ---- */

static bool take_event(void *user, int32_t seq, const struct event *ev)
{
    struct loader *l = user;
    const struct protocol *p = l->replayed.protocol;
    l->is_broken = seq != l->seq + 1 || !sitting_apply(&l->replayed.sitting, p, ev, NULL);
    if (l->is_broken)
        return false;
    l->seq = seq;
    replayed_note(&l->replayed, ev);
    return true;
}

static bool take_attempt(void *user, const struct attempt *a)
{
    struct loader *l = user;
    replayed_refuse(&l->replayed, rule_named(a->rule), a->have);
    return true;
}

static enum status find_protocol(struct loader *l, const struct entry *n, const struct protocol **out)
{
    struct proof unsaid;
    struct dossier nobody = { 0 };
    const struct findings f = { .proof = &unsaid };
    const struct judged_by *by = shelf_find(&l->shelf, n->text_hash);
    *out = NULL;
    if (!by) {
        char *text = NULL;
        enum status status = store_protocol_text(l->store, n->id, &text, l->e);
        if (status != ST_OK)
            return status;
        proof_begin(&unsaid);
        by = shelf_put(&l->shelf, n->text_hash, text, &f, &nobody);
        free(text);
        if (!by)
            return no_memory(l->e);
    }
    *out = by->is_sound ? &by->protocol : NULL;
    return ST_OK;
}

/* A sitting that does not replay is somebody's to look into with verify; the others are told all the same. */
static enum status replay(struct loader *l, const struct entry *n)
{
    struct replayed *r = &l->replayed;
    r->day = n->day;
    r->is_unsigned = n->is_unsigned;
    r->is_read = n->is_read;
    r->open_item_count = 0;
    memset(r->heard, 0, sizeof r->heard);
    memset(r->refused, 0, sizeof r->refused);
    sitting_init(&r->sitting);
    l->seq = 0;
    enum status status = find_protocol(l, n, &r->protocol);
    l->is_broken = !r->protocol;
    if (status == ST_OK && !l->is_broken)
        status = store_events(l->store, n->id, take_event, l, l->e);
    if (status == ST_OK && !l->is_broken && n->attempts > 0)
        status = store_attempts(l->store, n->id, take_attempt, l, l->e);
    l->is_broken = l->is_broken || r->sitting.phase < PHASE_SEALED;
    return status;
}

/* ---- one person ---- */

static bool is_within(const struct loader *l, int nth, int32_t day)
{
    return nth == AT_UNTIL || day <= l->ask->since_day;
}

static enum status take_sitting(struct loader *l, const struct entry *n)
{
    bool is_told = !n->is_open && !n->is_held;
    enum status status = is_told ? replay(l, n) : ST_OK;
    if (status == ST_OK && l->ask->watch && l->done++ % WATCH_EVERY == 0 &&
        !l->ask->watch(l->ask->watcher, l->done, (int64_t)l->entries.count))
        status = err_set(l->e, ST_IO, "The reading of the records was broken off.");
    for (int nth = 0; nth < AT_COUNT && status == ST_OK; nth++) {
        struct progress *p = l->at[nth].p;
        if (!is_within(l, nth, n->day))
            continue;
        p->open += n->is_open;
        p->held += n->is_held;
        p->unjudged += is_told && l->is_broken;
        if (is_told && !l->is_broken && !gathering_take(&l->at[nth], nth, &l->cells, &l->frame, &l->replayed))
            status = no_memory(l->e);
    }
    return status;
}

static void say_who(const struct loader *l, struct progress *p, const char *id)
{
    const struct person *who = person_of(&l->people, id);
    text_copy(p->person, sizeof p->person, id);
    text_copy(p->name, sizeof p->name, who ? who->name : id);
    text_copy(p->role, sizeof p->role, who ? ROLE_WORDS[who->role] : "");
    text_copy(p->place, sizeof p->place, l->place);
}

/* from is advanced past what is the person's. */
static enum status gather(struct loader *l, const char *id, size_t *from, struct progress *now, struct progress_row *before)
{
    enum status status = ST_OK;
    struct progress *const into[AT_COUNT] = { now, &l->before };
    const int32_t day[AT_COUNT] = { l->ask->until_day, l->ask->since_day };
    for (int nth = 0; nth < AT_COUNT; nth++) {
        gathering_begin(&l->at[nth], &l->frame, into[nth]);
        say_who(l, into[nth], id);
    }
    for (; *from < l->entries.count && strcmp(l->entries.list[*from].measurer, id) == 0 && status == ST_OK; (*from)++)
        status = take_sitting(l, &l->entries.list[*from]);
    for (int nth = 0; nth < AT_COUNT && status == ST_OK; nth++)
        gathering_end(&l->at[nth], nth, &l->cells, &l->frame, day[nth]);
    cells_free(&l->cells);
    if (status == ST_OK && before)
        progress_row_of(&l->before, before);
    return status;
}

/* ---- the store ---- */

static enum status begin(struct loader *l, struct store *store, const struct progress_ask *ask, const char *only, struct err *e)
{
    l->store = store;
    l->ask = ask;
    l->only = only;
    l->e = e;
    l->frame = (struct gather_frame){ .yardstick = ask->yardstick, .is_preceptor = is_preceptor, .user = &l->people,
                                      .agree = { .scheme = ask->scheme, .plan = ask->yardstick->plan } };
    enum status status = read_people(l);
    if (status == ST_OK)
        status = store_ring(store, &l->people.ring, e);
    if (status == ST_OK)
        status = store_setting_get(store, "place", l->place, sizeof l->place, e);
    if (status == ST_OK)
        status = store_kept_sittings(store, take_head, l, e);
    if (status == ST_OK && l->is_short)
        status = no_memory(e);
    if (status == ST_OK && l->entries.count > 0)
        qsort(l->entries.list, l->entries.count, sizeof *l->entries.list, by_person);
    return status;
}

static void end(struct loader *l)
{
    if (!l)
        return;
    free(l->entries.list);
    free(l->people.list);
    ring_free(l->people.ring);
    cells_free(&l->cells);
    shelf_free(&l->shelf);
    free(l);
}

enum status progress_load(struct store *store, const struct progress_ask *ask, const char *person, struct progress *now,
                          struct progress_row *before, struct err *e)
{
    struct loader *l = calloc(1, sizeof *l); /* large */
    size_t from = 0;
    if (!l)
        return no_memory(e);
    enum status status = begin(l, store, ask, person, e);
    if (status == ST_OK && l->entries.count == 0 && !person_of(&l->people, person))
        status = err_set(e, ST_NOT_FOUND, "Nobody here has the short name %.40s, and no sitting up to that day names it as its measurer. "
                                          "stillarm people lists who is here.", person);
    if (status == ST_OK)
        status = gather(l, person, &from, now, before);
    end(l);
    return status;
}

/* Who is expected to measure stands in the group from the first day on. */
static bool is_expected(const struct person *who)
{
    return !who->is_retired && who->role != ROLE_PRECEPTOR;
}

/* The next short name in the order, out of those who have measured and those who are expected to; NULL: no more. */
static const char *next_name(const struct loader *l, const char *after, size_t from)
{
    const char *next = from < l->entries.count ? l->entries.list[from].measurer : NULL;
    for (int i = 0; i < l->people.count; i++) {
        const struct person *who = &l->people.list[i];
        if (is_expected(who) && strcmp(who->id, after) > 0 && (!next || strcmp(who->id, next) < 0))
            next = who->id;
    }
    return next;
}

static enum status each(struct loader *l, struct progress *now, progress_person_fn fn, void *user)
{
    char id[ITEM_CAP] = "";
    struct progress_row before;
    enum status status = ST_OK;
    bool goes_on = true;
    size_t from = 0;
    for (const char *next; status == ST_OK && goes_on && (next = next_name(l, id, from)) != NULL;) {
        text_copy(id, sizeof id, next);
        status = gather(l, id, &from, now, &before);
        goes_on = status == ST_OK && fn(user, now, &before);
    }
    return status;
}

enum status progress_load_all(struct store *store, const struct progress_ask *ask, progress_person_fn fn, void *user,
                              struct err *e)
{
    struct loader *l = calloc(1, sizeof *l);
    struct progress *now = malloc(sizeof *now);
    enum status status = l && now ? begin(l, store, ask, NULL, e) : no_memory(e);
    if (status == ST_OK)
        status = each(l, now, fn, user);
    free(now);
    end(l);
    return status;
}

/* ---- only their rows ---- */

static bool has_room(struct progress_rows *rows)
{
    if (rows->count < rows->cap)
        return true;
    int cap = rows->cap ? 2 * rows->cap : 32;
    struct progress_row **const both[] = { &rows->now, &rows->before };
    for (size_t i = 0; i < ARRAY_LEN(both); i++) {
        struct progress_row *more = realloc(*both[i], (size_t)cap * sizeof *more);
        if (!more)
            return false;
        *both[i] = more;
    }
    rows->cap = cap;
    return true;
}

static bool take_row(void *user, const struct progress *p, const struct progress_row *before)
{
    struct progress_rows *rows = user;
    rows->is_short = !has_room(rows);
    if (rows->is_short)
        return false;
    progress_row_of(p, &rows->now[rows->count]);
    rows->before[rows->count++] = *before;
    return true;
}

enum status progress_load_rows(struct store *store, const struct progress_ask *ask, struct progress_rows *out, struct err *e)
{
    out->count = 0;
    enum status status = progress_load_all(store, ask, take_row, out, e);
    return status == ST_OK && out->is_short ? no_memory(e) : status;
}

void progress_rows_free(struct progress_rows *rows)
{
    free(rows->now);
    free(rows->before);
    *rows = (struct progress_rows){ 0 };
}
