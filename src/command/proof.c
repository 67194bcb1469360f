/* SPDX-License-Identifier: GPL-3.0-or-later */
/** @file proof.c  The proof of a whole store: each table once, in one pass, brought together by sitting. */
#include "command/proof.h"

#include <stdlib.h>
#include <string.h>
#include <threads.h>

#include "command/proof_parts.h"
#include "stillarm/text.h"

#define PROGRESS_EVERY 64

/* What was taken out of use by a statement, to be held against the lists at the end. */
struct retirement { char of[ITEM_CAP]; bool is_person; };

struct whole {
    struct store *st;
    struct findings f;
    struct err *e;
    enum status status;   /* of what only stops us: memory, reading */
    bool has_run;
    char store[STORE_ID_CAP];
    int64_t unsigned_until, only; /* only: one sitting; 0 all */
    struct dossier *list;
    size_t count, cap;
    struct protocol_shelf shelf;
    struct statement_check statements;
    struct retirement *retired;
    size_t retired_count, retired_cap;
    char usual_protocol[ITEM_CAP]; /* by the last statement about it; "" none */
    struct sitting_check check;    /* of the sitting whose events come by */
    struct dossier *at;            /* that one; NULL before the first */
    int32_t seen;                  /* its last event that came by before the pass over all broke off; 0: none */
    bool *is_done;                 /* by place in the list */
    int64_t done;
};

static enum status no_memory(struct whole *w)
{
    return w->status = err_set(w->e, ST_NO_MEMORY, "There is not enough memory to verify this store. Close other programs.");
}

/* A row that cannot be read is one more thing that is wrong; what else can be read is looked at all the same. */
static enum status go_on(struct whole *w, struct dossier *d, enum status status, const struct err *e)
{
    if (status == ST_CORRUPT || status == ST_NEWER)
        proof_wrong(&w->f, d, "%s", e->text);
    else if (status != ST_OK)
        return err_set(w->e, status, "%s", e->text);
    return w->status;
}

/* ---- the sittings' rows ---- */

static bool take_row(void *user, const struct kept_sitting *k)
{
    struct whole *w = user;
    if (w->count == w->cap) {
        size_t cap = w->cap ? 2 * w->cap : 64;
        struct dossier *list = realloc(w->list, cap * sizeof *list);
        if (!list)
            return no_memory(w) == ST_OK;
        w->list = list;
        w->cap = cap;
    }
    struct dossier *d = &w->list[w->count++];
    memset(d, 0, sizeof *d);
    d->id = k->head.id;
    d->kept = *k;
    d->review = REVIEW_UNSIGNED;
    attempt_check_begin(d, w->store);
    return true;
}

static struct dossier *find(void *user, int64_t id)
{
    struct whole *w = user;
    if (id >= 1 && (uint64_t)id <= w->count && w->list[id - 1].id == id)
        return &w->list[id - 1]; /* as it is unless one was taken out */
    size_t low = 0, high = w->count;
    while (low < high) {
        size_t mid = low + (high - low) / 2;
        if (w->list[mid].id == id)
            return &w->list[mid];
        if (w->list[mid].id < id)
            low = mid + 1;
        else
            high = mid;
    }
    return NULL;
}

/* Since this store signs, numbers are given one after the other and no row is ever deleted; before, nobody can say. */
static void check_numbers(struct whole *w)
{
    int64_t next = w->unsigned_until;
    if (next && !find(w, next))
        proof_wrong(&w->f, NULL, "S-%03lld is missing: it was the last when this store began to sign", (long long)next);
    next++;
    for (size_t i = 0; i < w->count; i++) {
        int64_t id = w->list[i].id;
        if (id > next)
            proof_wrong(&w->f, NULL, "S-%03lld is missing: the sittings go on with S-%03lld", (long long)next, (long long)id);
        if (id >= next)
            next = id + 1;
    }
}

static enum status take_sittings(struct whole *w)
{
    struct err e = { 0 };
    struct kept_sitting k;
    enum status status = w->only ? store_kept_sitting(w->st, w->only, &k, &e) : store_kept_sittings(w->st, take_row, w, &e);
    if (w->only && status == ST_OK)
        take_row(w, &k);
    status = go_on(w, NULL, status, &e);
    if (status == ST_OK && !w->only)
        check_numbers(w);
    w->is_done = status == ST_OK ? calloc(w->count + 1, sizeof *w->is_done) : NULL;
    return status == ST_OK && !w->is_done ? no_memory(w) : status;
}

/* ---- statements, attempts ---- */

static void note_retirement(struct whole *w, const struct statement *s)
{
    if (w->retired_count == w->retired_cap) {
        size_t cap = w->retired_cap ? 2 * w->retired_cap : 16;
        struct retirement *list = realloc(w->retired, cap * sizeof *list);
        if (!list) {
            no_memory(w);
            return;
        }
        w->retired = list;
        w->retired_cap = cap;
    }
    struct retirement *r = &w->retired[w->retired_count++];
    text_copy(r->of, sizeof r->of, s->of);
    r->is_person = strcmp(s->word, "person") == 0;
}

static bool take_statement(void *user, const struct kept_statement *k)
{
    static struct taken_statement taken; /* large, and one at a time */
    struct whole *w = user;
    statements_take(&w->statements, k, find, w, &taken);
    if (taken.has_said && taken.said.kind == SAYS_RETIRE)
        note_retirement(w, &taken.said);
    if (taken.has_said && taken.said.kind == SAYS_PROTOCOL)
        text_copy(w->usual_protocol, sizeof w->usual_protocol, taken.said.of);
    if (w->statements.number % PROGRESS_EVERY == 0)
        proof_progress(&w->f, w->statements.number, 0);
    return w->status == ST_OK;
}

static enum status take_statements(struct whole *w)
{
    enum status status = statements_begin(&w->statements, &w->f, w->store, w->unsigned_until, w->e);
    if (status != ST_OK)
        return status;
    struct err e = { 0 };
    w->statements.is_whole = true;
    w->statements.only = w->only;
    status = store_statements(w->st, 0, take_statement, w, &e);
    return go_on(w, NULL, status, &e);
}

static bool take_attempt(void *user, const struct kept_attempt *k)
{
    struct dossier *d = find(user, k->sitting);
    if (d)
        attempt_check(d, k);
    return true;
}

static enum status take_attempts(struct whole *w)
{
    struct err e = { 0 };
    enum status status = w->only ? ST_CORRUPT : store_kept_attempts(w->st, 0, take_attempt, w, &e);
    if (status != ST_CORRUPT)
        return go_on(w, NULL, status, &e);
    /* One by one, so that one that cannot be read takes only its own sitting's with it. */
    for (size_t i = 0; i < w->count && w->status == ST_OK; i++) {
        struct dossier *d = &w->list[i];
        attempt_check_begin(d, w->store);
        w->status = go_on(w, d, store_kept_attempts(w->st, d->id, take_attempt, w, &e), &e);
    }
    return w->status;
}

/* ---- events ---- */

static bool take_reading(void *user, const struct stored_reading *r)
{
    struct whole *w = user;
    sitting_check_reading(&w->check, r);
    return true;
}

static void end_sitting(struct whole *w)
{
    if (!w->at || w->status != ST_OK)
        return;
    sitting_check_end(&w->check);
    w->status = w->check.is_broken ? ST_OK : store_readings(w->st, w->at->id, take_reading, w, w->e);
    w->is_done[w->at - w->list] = true;
    w->at = NULL;
    if (++w->done % PROGRESS_EVERY == 0 || w->done == (int64_t)w->count)
        proof_progress(&w->f, w->done, (int64_t)w->count);
}

static void begin_sitting(struct whole *w, struct dossier *d)
{
    const struct judged_by *by = shelf_find(&w->shelf, d->kept.protocol_text_hash);
    if (!by) {
        struct err e = { 0 };
        char *text = NULL;
        if (store_protocol_text(w->st, d->id, &text, &e) == ST_OK)
            by = shelf_put(&w->shelf, d->kept.protocol_text_hash, text, &w->f, d);
        else
            proof_wrong(&w->f, d, "the text of its protocol cannot be read: %s", e.text);
        free(text);
    }
    w->at = d;
    sitting_check_begin(&w->check, &w->f, d, by, w->store, w->unsigned_until, true);
}

static bool take_event(void *user, const struct kept_event *k)
{
    struct whole *w = user;
    if (w->seen && k->seq <= w->seen)
        return true;
    if (!w->at || w->at->id != k->sitting) {
        end_sitting(w);
        struct dossier *d = find(w, k->sitting);
        if (!d) {
            proof_wrong(&w->f, NULL, "event %d belongs to S-%03lld, which is not here", (int)k->seq, (long long)k->sitting);
            return w->status == ST_OK;
        }
        begin_sitting(w, d);
    }
    sitting_check_event(&w->check, k);
    return w->status == ST_OK;
}

/* One sitting alone: the one asked for, one without events, or those behind an event that could not be read. */
static void take_events_of(struct whole *w, struct dossier *d)
{
    struct err e = { 0 };
    w->seen = w->at == d ? w->check.seq : 0; /* neither counted nor said twice */
    if (w->at != d)
        begin_sitting(w, d);
    enum status status = store_kept_events(w->st, d->id, take_event, w, &e);
    if (status == ST_OK && w->check.seq == 0) {
        proof_wrong(&w->f, d, "none of its events is here");
        w->check.is_broken = true;
    } else if (status != ST_OK) {
        proof_wrong(&w->f, d, "%s", e.text);
        w->check.is_broken = w->check.is_chain_broken = true;
    }
    end_sitting(w);
}

static enum status take_events(struct whole *w)
{
    struct err e = { 0 };
    enum status status = w->only ? ST_OK : store_kept_events(w->st, 0, take_event, w, &e);
    if (w->status != ST_OK)
        return w->status;
    if (status == ST_OK)
        end_sitting(w);
    else if (status != ST_CORRUPT && status != ST_NEWER) /* those it said of a row, which take_events_of will say again */
        return err_set(w->e, status, "%s", e.text);
    if (w->at)
        take_events_of(w, w->at);
    for (size_t i = 0; i < w->count && w->status == ST_OK; i++)
        if (!w->is_done[i])
            take_events_of(w, &w->list[i]);
    return w->status;
}

/* ---- what statements did to the lists ---- */

#define LIST_MAX 1024

static bool is_retired_person(struct whole *w, const char *id)
{
    struct person p;
    return store_person_get(w->st, id, &p, NULL) == ST_OK && p.is_retired;
}

/* Everything that is in use: a retired piece must not be among it. */
static enum status is_kit_in_use(struct whole *w, const char *id, bool *is)
{
    static struct gauge gauges[LIST_MAX];
    static struct stored_cuff cuffs[LIST_MAX];
    int n = 0;
    enum status status = store_gauges(w->st, false, gauges, LIST_MAX, &n, w->e);
    *is = false;
    for (int i = 0; i < n && i < LIST_MAX; i++)
        *is = *is || strcmp(gauges[i].id, id) == 0;
    if (status == ST_OK)
        status = store_cuffs(w->st, false, cuffs, LIST_MAX, &n, w->e);
    for (int i = 0; i < n && i < LIST_MAX; i++)
        *is = *is || strcmp(cuffs[i].id, id) == 0;
    return status;
}

static enum status check_lists(struct whole *w)
{
    char usual[ITEM_CAP];
    enum status status = store_setting_get(w->st, "protocol", usual, sizeof usual, w->e);
    if (status == ST_OK && w->usual_protocol[0] && strcmp(usual, w->usual_protocol) != 0)
        proof_wrong(&w->f, NULL, "the usual protocol is set to `%s`, what was signed makes it `%s`", usual, w->usual_protocol);
    for (size_t i = 0; status == ST_OK && i < w->retired_count; i++) {
        const struct retirement *r = &w->retired[i];
        bool is_in_use = false;
        if (r->is_person)
            is_in_use = !is_retired_person(w, r->of);
        else
            status = is_kit_in_use(w, r->of, &is_in_use);
        if (status == ST_OK && is_in_use)
            proof_wrong(&w->f, NULL, "%s was taken out of use by a signed statement and stands as in use", r->of);
    }
    return status;
}

/* ---- all of it ---- */

/* The file's own check takes about as long as all the rest, and neither needs the other. */
struct file_check {
    struct store *st;
    thrd_t thread;
    bool has_thread;
    enum status status;
    struct err e;
};

static int check_file(void *user)
{
    struct file_check *c = user;
    c->status = store_check_beside(c->st, &c->e);
    return 0;
}

static void begin_file_check(struct whole *w, struct file_check *c)
{
    struct store *beside = w->f.watch ? w->f.watch->beside : NULL;
    *c = (struct file_check){ .st = beside ? beside : w->st };
    c->has_thread = beside && thrd_create(&c->thread, check_file, c) == thrd_success;
    if (!c->has_thread)
        check_file(c);
}

static enum status end_file_check(struct whole *w, struct file_check *c)
{
    if (c->has_thread)
        thrd_join(c->thread, NULL);
    if (c->status == ST_CORRUPT)
        proof_wrong(&w->f, NULL, "%s", c->e.text); /* what can be read is looked at all the same */
    return c->status == ST_OK || c->status == ST_CORRUPT ? ST_OK : err_set(w->e, c->status, "%s", c->e.text);
}

static enum status take_all(struct whole *w)
{
    enum status status = take_sittings(w);
    if (status == ST_OK)
        status = take_statements(w);
    if (status == ST_OK)
        status = take_attempts(w);
    return status == ST_OK ? take_events(w) : status;
}

/* Of one sitting that was asked for: whose word it is. */
static enum status say_signed(struct whole *w)
{
    struct signed_say say;
    if (!signed_begin(&say, &w->f, w->statements.ring))
        return ST_OK;
    enum status status = store_statements(w->st, w->only, signed_take, &say, w->e);
    if (status == ST_OK)
        signed_end(&say);
    return status;
}

static enum status run(struct whole *w)
{
    struct file_check file;
    enum status status = store_id(w->st, w->store, w->e);
    w->has_run = true;
    if (status == ST_OK)
        status = store_unsigned_until(w->st, &w->unsigned_until, w->e);
    if (status == ST_OK && w->only) {
        status = take_all(w);
        return status == ST_OK ? say_signed(w) : status;
    }
    if (status != ST_OK)
        return status;
    begin_file_check(w, &file);
    status = take_all(w);
    enum status of_file = end_file_check(w, &file);
    if (status == ST_OK)
        status = of_file;
    return status == ST_OK ? check_lists(w) : status;
}

/* While this row is being looked at, the connection sees one state of the file, whoever writes meanwhile. */
static bool run_within(void *user, const struct kept_sitting *k)
{
    struct whole *w = user;
    (void)k;
    w->status = run(w);
    return false;
}

static enum status prove(struct store *st, int64_t only, const struct proof_watch *watch, struct proof *p, struct err *e)
{
    struct whole *w = calloc(1, sizeof *w);
    if (!w)
        return err_set(e, ST_NO_MEMORY, "There is not enough memory to verify this store. Close other programs.");
    proof_begin(p);
    w->st = st;
    w->e = e;
    w->only = only;
    w->f = (struct findings){ .proof = p, .watch = watch };
    enum status status = store_kept_sittings(st, run_within, w, e);
    if (w->has_run)
        status = w->status;
    else if (status == ST_OK || status == ST_CORRUPT)
        status = run(w); /* no row, or none that can be read */
    statements_end(&w->statements);
    shelf_free(&w->shelf);
    free(w->retired);
    free(w->is_done);
    free(w->list);
    free(w);
    return status;
}

enum status proof_store(struct store *st, const struct proof_watch *watch, struct proof *p, struct err *e)
{
    return prove(st, 0, watch, p, e);
}

enum status proof_sitting(struct store *st, int64_t id, const struct proof_watch *watch, struct proof *p, struct err *e)
{
    return prove(st, id, watch, p, e);
}
