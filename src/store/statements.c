/* SPDX-License-Identifier: GPL-3.0-or-later */
/** @file statements.c  Reads what was signed, and knows from it whose keys there are. */
#include <string.h>

#include "store/internal.h"
#include "stillarm/text.h"

static const char READING[] = "Reading what was signed";

enum status store_facts(struct store *st, struct err *e)
{
    if (st->id[0])
        return ST_OK;
    sqlite3_stmt *s = store_query(st, Q_FACTS, NO_ARGS);
    int rc = s ? sqlite3_step(s) : SQLITE_ERROR;
    if (rc == SQLITE_ROW) {
        store_column(s, 0, st->id, sizeof st->id);
        st->unsigned_until = sqlite3_column_int64(s, 1);
    }
    enum status status = store_end(st, s, rc, READING, e);
    if (status == ST_OK && rc == SQLITE_DONE)
        return err_set(e, ST_CORRUPT,
                       "The store %s does not say which store it is: it was changed from outside. Put it aside with the "
                       "files beside it and go on with the latest backup.",
                       st->shown);
    return status;
}

enum status store_id(struct store *st, char out[STORE_ID_CAP], struct err *e)
{
    enum status status = store_facts(st, e);
    text_copy(out, STORE_ID_CAP, st->id);
    return status;
}

enum status store_unsigned_until(struct store *st, int64_t *out, struct err *e)
{
    enum status status = store_facts(st, e);
    *out = st->unsigned_until;
    return status;
}

enum review store_review_named(const char *word)
{
    for (int r = 0; r < REVIEW_COUNT; r++)
        if (strcmp(word, REVIEW_WORDS[r]) == 0)
            return (enum review)r;
    return REVIEW_OPEN;
}

/** Columns: number, sitting, text, signature. */
static enum status take_statement(struct store *st, sqlite3_stmt *s, struct kept_statement *out, struct err *e)
{
    out->number = sqlite3_column_int64(s, 0);
    out->sitting = sqlite3_column_int64(s, 1);
    const bool is_whole = store_column_exact(s, 2, out->text, sizeof out->text) &&
                          store_column_bytes(s, 3, out->signature, sizeof out->signature);
    out->len = strlen(out->text);
    if (is_whole)
        return ST_OK;
    return err_set(e, ST_CORRUPT,
                   "Statement %lld in the store %s does not have the form of one: it was changed from outside. Put the "
                   "file aside and compare it with the latest backup.",
                   (long long)out->number, st->shown);
}

enum status store_statements(struct store *st, int64_t sitting, store_statement_fn fn, void *user, struct err *e)
{
    static const char ALL[] = "SELECT number, sitting, text, signature FROM statements ORDER BY number";
    static const char ONE[] = "SELECT number, sitting, text, signature FROM statements WHERE sitting = ?1 ORDER BY number";
    enum status status = ST_OK;
    sqlite3_stmt *s = sitting ? store_fresh(st, ONE, ARGS(INT(sitting))) : store_fresh(st, ALL, NO_ARGS);
    int rc = s ? sqlite3_step(s) : SQLITE_ERROR;
    for (; rc == SQLITE_ROW; rc = sqlite3_step(s)) {
        struct kept_statement row;
        status = take_statement(st, s, &row, e);
        if (status != ST_OK || !fn(user, &row))
            break;
    }
    enum status ended = store_end(st, s, rc, READING, status == ST_OK ? e : NULL);
    sqlite3_finalize(s);
    return status == ST_OK ? ended : status;
}

/* ---- the ring ---- */

static enum status tell_ring(struct store *st, struct ring *ring, sqlite3_stmt *s, struct err *e)
{
    struct kept_statement kept;
    struct statement said;
    struct err why = {.text = ""};
    enum status status = take_statement(st, s, &kept, e);
    if (status != ST_OK)
        return status;
    status = statement_parse(kept.text, kept.len, &said, &why);
    if (status == ST_OK)
        status = ring_take(ring, &said, kept.text, kept.len, kept.signature, &why);
    if (status == ST_OK)
        return ST_OK;
    if (status != ST_NEWER)
        status = ST_CORRUPT;
    return err_set(e, status, "Statement %lld in the store %s does not hold: %s", (long long)kept.number, st->shown,
                   why.text);
}

/** Tell a ring of the statements about keys after a number and up to another: there may be more by now. */
static enum status tell_from(struct store *st, struct ring *ring, int64_t after, int64_t until, struct err *e)
{
    enum status status = ST_OK;
    sqlite3_stmt *s = store_query(st, Q_STATEMENTS_OF_KEYS, ARGS(INT(after), INT(until)));
    int rc = s ? sqlite3_step(s) : SQLITE_ERROR;
    for (; rc == SQLITE_ROW && status == ST_OK; rc = status == ST_OK ? sqlite3_step(s) : rc)
        status = tell_ring(st, ring, s, e);
    enum status ended = store_end(st, s, rc, READING, status == ST_OK ? e : NULL);
    return status == ST_OK ? ended : status;
}

static enum status make_ring(struct store *st, int64_t until, struct ring **out, struct err *e)
{
    *out = NULL;
    enum status status = store_facts(st, e);
    if (status == ST_OK)
        status = ring_new(st->id, out, e);
    if (status == ST_OK)
        status = tell_from(st, *out, 0, until, e);
    if (status != ST_OK) {
        ring_free(*out);
        *out = NULL;
    }
    return status;
}

enum status store_ring(struct store *st, struct ring **out, struct err *e)
{
    return make_ring(st, INT64_MAX, out, e);
}

static enum status last_number(struct store *st, int64_t *out, struct err *e)
{
    sqlite3_stmt *s = store_query(st, Q_STATEMENT_LAST, NO_ARGS);
    int rc = s ? sqlite3_step(s) : SQLITE_ERROR;
    *out = rc == SQLITE_ROW ? sqlite3_column_int64(s, 0) : 0;
    return store_end(st, s, rc, READING, e);
}

void store_drop_ring(struct store *st)
{
    ring_free(st->ring);
    st->ring = NULL;
    st->ring_until = 0;
}

enum status store_renew_ring(struct store *st, struct err *e)
{
    int64_t last = 0;
    enum status status = last_number(st, &last, e);
    if (status != ST_OK || (st->ring && last == st->ring_until))
        return status;
    if (!st->ring || last < st->ring_until) {
        store_drop_ring(st);
        status = make_ring(st, last, &st->ring, e);
    } else {
        status = tell_from(st, st->ring, st->ring_until, last, e);
    }
    if (status == ST_OK)
        st->ring_until = last;
    else
        store_drop_ring(st);
    return status;
}

enum status store_has_preceptor(struct store *st, bool *has, struct err *e)
{
    enum status status = store_renew_ring(st, e);
    *has = status == ST_OK && ring_has_preceptor(st->ring);
    return status;
}

enum status store_has_left(struct store *st, const char *person, bool *has, struct err *e)
{
    enum status status = store_renew_ring(st, e);
    *has = status == ST_OK && ring_has_left(st->ring, person);
    return status;
}
