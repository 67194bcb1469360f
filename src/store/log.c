/* SPDX-License-Identifier: GPL-3.0-or-later */
/** @file log.c  Reads sittings back: heads, events, attempts, the protocol's text. */
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "store/internal.h"
#include "stillarm/text.h"

static const char LOOKING[] = "Looking for the sitting";

enum status store_no_such_sitting(struct store *st, int64_t id, struct err *e)
{
    return err_set(e, ST_NOT_FOUND, "There is no sitting S-%03lld in the store %s. 'stillarm list' shows those there are.",
                   (long long)id, st->shown);
}

/** Columns as in sql.c, HEAD. */
static void take_head(sqlite3_stmt *s, struct sitting_head *out)
{
    char phase[8];
    memset(out, 0, sizeof *out);
    out->id = sqlite3_column_int64(s, 0);
    store_column(s, 1, out->subject, sizeof out->subject);
    store_column(s, 2, out->measurer, sizeof out->measurer);
    store_column(s, 3, out->protocol, sizeof out->protocol);
    store_column(s, 4, out->opened, sizeof out->opened);
    out->day = sqlite3_column_int(s, 5);
    store_column(s, 6, phase, sizeof phase);
    for (int p = PHASE_EMPTY; p <= PHASE_STOPPED; p++)
        if (strcmp(phase, STORE_PHASE_WORDS[p]) == 0)
            out->phase = (enum phase)p;
    out->event_count = sqlite3_column_int(s, 7);
    out->reading_count = sqlite3_column_int(s, 8);
    out->counted_count = sqlite3_column_int(s, 9);
    out->attempt_count = sqlite3_column_int(s, 10);
    out->last_ms = sqlite3_column_int64(s, 11);
    out->last_unix_ms = sqlite3_column_int64(s, 12);
    store_column(s, 13, out->boot, sizeof out->boot);
    out->last_boot_ms = sqlite3_column_int64(s, 14);
}

enum status store_sitting_get(struct store *st, int64_t id, struct sitting_head *out, struct err *e)
{
    sqlite3_stmt *s = store_query(st, Q_HEAD, ARGS(INT(id)));
    int rc = s ? sqlite3_step(s) : SQLITE_ERROR;
    if (rc == SQLITE_ROW)
        take_head(s, out);
    enum status status = store_end(st, s, rc, LOOKING, e);
    return status == ST_OK && rc == SQLITE_DONE ? store_no_such_sitting(st, id, e) : status;
}

enum status store_sitting_open_latest(struct store *st, struct sitting_head *out, struct err *e)
{
    sqlite3_stmt *s = store_query(st, Q_HEAD_LATEST, NO_ARGS);
    int rc = s ? sqlite3_step(s) : SQLITE_ERROR;
    if (rc == SQLITE_ROW)
        take_head(s, out);
    enum status status = store_end(st, s, rc, LOOKING, e);
    if (status == ST_OK && rc == SQLITE_DONE)
        return err_set(e, ST_NOT_FOUND, "No sitting is open in the store %s.", st->shown);
    return status;
}

enum status store_day_counts(struct store *st, int32_t day, struct day_counts *out, struct err *e)
{
    memset(out, 0, sizeof *out);
    sqlite3_stmt *s = store_query(st, Q_DAY_COUNTS, ARGS(INT(day)));
    int rc = s ? sqlite3_step(s) : SQLITE_ERROR;
    for (; rc == SQLITE_ROW; rc = sqlite3_step(s)) {
        char phase[8];
        int32_t n = sqlite3_column_int(s, 1);
        store_column(s, 0, phase, sizeof phase);
        if (strcmp(phase, "open") == 0)
            out->open = n;
        else if (strcmp(phase, "sealed") == 0)
            out->sealed = n;
        else
            out->stopped = n;
    }
    return store_end(st, s, rc, "Counting the day's sittings", e);
}

enum status store_sittings(struct store *st, store_head_fn fn, void *user, struct err *e)
{
    sqlite3_stmt *s = store_fresh(st,
                                  "SELECT id, subject, measurer, protocol, opened, day, phase, event_count,"
                                  " reading_count, counted_count, attempt_count, last_ms, last_unix_ms, boot,"
                                  " last_boot_ms FROM sittings ORDER BY id DESC",
                                  NO_ARGS);
    int rc = s ? sqlite3_step(s) : SQLITE_ERROR;
    for (; rc == SQLITE_ROW; rc = sqlite3_step(s)) {
        struct sitting_head head;
        take_head(s, &head);
        if (!fn(user, &head))
            break;
    }
    enum status status = store_end(st, s, rc, "Listing the sittings", e);
    sqlite3_finalize(s);
    return status;
}

/** Columns: seq, t_ms, kind, item, value, value2, text, code. */
static enum status take_event(struct store *st, sqlite3_stmt *s, struct event *out, struct err *e)
{
    char word[ITEM_CAP];
    memset(out, 0, sizeof *out);
    store_column(s, 2, word, sizeof word);
    if (!event_kind_named(word, &out->kind))
        return err_set(e, ST_NEWER,
                       "Event %d holds '%s', a kind of event that this program does not know; the store %s may come "
                       "from a newer one. Use the newer program.",
                       sqlite3_column_int(s, 0), word, st->shown);
    out->t_ms = sqlite3_column_int64(s, 1);
    store_column(s, 3, out->item, sizeof out->item);
    out->value = sqlite3_column_int64(s, 4);
    out->value2 = sqlite3_column_int64(s, 5);
    const unsigned char *text = sqlite3_column_text(s, 6); /* as it stands: what is wrong with it must not be hidden */
    text_copy(out->text, sizeof out->text, text ? (const char *)text : "");
    if (out->kind == EV_SUBJECT && sqlite3_column_type(s, 7) != SQLITE_NULL)
        store_column(s, 7, out->item, sizeof out->item);
    if (!event_is_well_formed(out))
        return err_set(e, ST_CORRUPT,
                       "Event %d in the store %s does not have the form of an event: it was changed from outside. Put "
                       "the file aside and compare it with the latest backup.",
                       sqlite3_column_int(s, 0), st->shown);
    return ST_OK;
}

enum status store_events(struct store *st, int64_t id, store_event_fn fn, void *user, struct err *e)
{
    struct sitting_head head;
    enum status status = store_sitting_get(st, id, &head, e);
    if (status != ST_OK)
        return status;
    sqlite3_stmt *s = store_fresh(st,
                                  "SELECT e.seq, e.t_ms, e.kind, e.item, e.value, e.value2, e.text, s.subject"
                                  " FROM events AS e JOIN sittings AS s ON s.id = e.sitting"
                                  " WHERE e.sitting = ?1 ORDER BY e.seq",
                                  ARGS(INT(id)));
    int rc = s ? sqlite3_step(s) : SQLITE_ERROR;
    for (; rc == SQLITE_ROW; rc = sqlite3_step(s)) {
        struct event ev;
        status = take_event(st, s, &ev, e);
        if (status != ST_OK || !fn(user, sqlite3_column_int(s, 0), &ev))
            break;
    }
    enum status ended = store_end(st, s, rc, "Reading the events", status == ST_OK ? e : NULL);
    sqlite3_finalize(s);
    return status == ST_OK ? ended : status;
}

enum status store_attempts(struct store *st, int64_t id, store_attempt_fn fn, void *user, struct err *e)
{
    sqlite3_stmt *s = store_fresh(
        st, "SELECT t_ms, rule, is_slip, line, have, need FROM attempts WHERE sitting = ?1 ORDER BY n", ARGS(INT(id)));
    int rc = s ? sqlite3_step(s) : SQLITE_ERROR;
    for (; rc == SQLITE_ROW; rc = sqlite3_step(s)) {
        struct attempt a = {.t_ms = sqlite3_column_int64(s, 0), .is_slip = sqlite3_column_int(s, 2) != 0};
        store_column(s, 1, a.rule, sizeof a.rule);
        store_column(s, 3, a.line, sizeof a.line);
        store_column(s, 4, a.have, sizeof a.have);
        store_column(s, 5, a.need, sizeof a.need);
        if (!fn(user, &a))
            break;
    }
    enum status status = store_end(st, s, rc, "Reading the attempts", e);
    sqlite3_finalize(s);
    return status;
}

enum status store_protocol_text(struct store *st, int64_t id, char **out, struct err *e)
{
    *out = NULL;
    sqlite3_stmt *s = store_query(st, Q_PROTOCOL_TEXT, ARGS(INT(id)));
    int rc = s ? sqlite3_step(s) : SQLITE_ERROR;
    if (rc == SQLITE_ROW) {
        const unsigned char *text = sqlite3_column_text(s, 0);
        size_t len = (size_t)sqlite3_column_bytes(s, 0);
        *out = text ? malloc(len + 1) : NULL;
        if (*out)
            memcpy(*out, text, len + 1);
    }
    enum status status = store_end(st, s, rc, "Reading the sitting's protocol", e);
    if (status == ST_OK && rc == SQLITE_DONE)
        return store_no_such_sitting(st, id, e);
    if (status == ST_OK && !*out)
        return err_set(e, ST_NO_MEMORY, "There is not enough memory for the protocol's text. Close other programs.");
    return status;
}
