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

void store_take_head(sqlite3_stmt *s, struct sitting_head *out)
{
    char phase[8];
    memset(out, 0, sizeof *out);
    out->id = sqlite3_column_int64(s, 0);
    store_column(s, 1, out->subject, sizeof out->subject);
    store_column(s, 2, out->measurer, sizeof out->measurer);
    store_column(s, 3, out->protocol, sizeof out->protocol);
    store_column(s, 4, out->opened, sizeof out->opened);
    out->day = store_column_int32(s, 5);
    store_column(s, 6, phase, sizeof phase);
    for (int p = PHASE_EMPTY; p <= PHASE_STOPPED; p++)
        if (strcmp(phase, STORE_PHASE_WORDS[p]) == 0)
            out->phase = (enum phase)p;
    out->event_count = store_column_int32(s, 7);
    out->reading_count = store_column_int32(s, 8);
    out->counted_count = store_column_int32(s, 9);
    out->attempt_count = store_column_int32(s, 10);
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
        store_take_head(s, out);
    enum status status = store_end(st, s, rc, LOOKING, e);
    return status == ST_OK && rc == SQLITE_DONE ? store_no_such_sitting(st, id, e) : status;
}

enum status store_sitting_open_latest(struct store *st, struct sitting_head *out, struct err *e)
{
    sqlite3_stmt *s = store_query(st, Q_HEAD_LATEST, NO_ARGS);
    int rc = s ? sqlite3_step(s) : SQLITE_ERROR;
    if (rc == SQLITE_ROW)
        store_take_head(s, out);
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
                                  "SELECT " STORE_HEAD_COLUMNS " FROM sittings AS s ORDER BY s.id DESC", NO_ARGS);
    int rc = s ? sqlite3_step(s) : SQLITE_ERROR;
    for (; rc == SQLITE_ROW; rc = sqlite3_step(s)) {
        struct sitting_head head;
        store_take_head(s, &head);
        if (!fn(user, &head))
            break;
    }
    enum status status = store_end(st, s, rc, "Listing the sittings", e);
    sqlite3_finalize(s);
    return status;
}

/** Is each part there exactly where the kind takes it? Else two rows could print as the same line. */
static bool is_stored_as_formed(sqlite3_stmt *s, const struct event *ev)
{
    const struct event_form *form = event_form(ev->kind);
    return (sqlite3_column_type(s, 3) != SQLITE_NULL) == (ev->item[0] != '\0') &&
           (sqlite3_column_type(s, 4) != SQLITE_NULL) == form->has_value &&
           (sqlite3_column_type(s, 5) != SQLITE_NULL) == form->has_value2 &&
           (sqlite3_column_type(s, 6) != SQLITE_NULL) == (ev->text[0] != '\0');
}

/** Columns: seq, t_ms, kind, item, value, value2, text. */
static enum status take_event(struct store *st, sqlite3_stmt *s, struct event *out, struct err *e)
{
    char word[ITEM_CAP];
    memset(out, 0, sizeof *out);
    const bool is_word = store_column_exact(s, 2, word, sizeof word);
    text_defuse(word);
    if (is_word && !event_kind_named(word, &out->kind))
        return err_set(e, ST_NEWER,
                       "Event %d holds '%s', a kind of event that this program does not know; the store %s may come "
                       "from a newer one. Use the newer program.",
                       sqlite3_column_int(s, 0), word, st->shown);
    out->t_ms = sqlite3_column_int64(s, 1);
    out->value = sqlite3_column_int64(s, 4);
    out->value2 = sqlite3_column_int64(s, 5);
    /* As they stand: what is wrong with them must not be hidden. */
    const bool is_whole = is_word && store_column_exact(s, 3, out->item, sizeof out->item) &&
                          store_column_exact(s, 6, out->text, sizeof out->text);
    if (!is_whole || !event_is_well_formed(out) || !is_stored_as_formed(s, out))
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
        if (status == ST_OK && ev.kind == EV_SUBJECT && sqlite3_column_type(s, 7) != SQLITE_NULL)
            store_column(s, 7, ev.item, sizeof ev.item);
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

/** Columns of an event, then sitting, unix_ms, boot_ms, chain. */
static enum status take_kept_event(struct store *st, sqlite3_stmt *s, struct kept_event *out, struct err *e)
{
    enum status status = take_event(st, s, &out->event, e);
    out->seq = store_column_int32(s, 0);
    out->sitting = sqlite3_column_int64(s, 7);
    out->has_moment = sqlite3_column_type(s, 10) != SQLITE_NULL;
    out->unix_ms = sqlite3_column_type(s, 8) == SQLITE_NULL ? INT64_MIN : sqlite3_column_int64(s, 8);
    out->boot_ms = sqlite3_column_type(s, 9) == SQLITE_NULL ? INT64_MIN : sqlite3_column_int64(s, 9);
    if (!store_column_bytes(s, 10, out->chain, sizeof out->chain) && out->has_moment && status == ST_OK)
        return err_set(e, ST_CORRUPT,
                       "The hash beside event %d of S-%03lld in the store %s is none: it was changed from outside. Put the "
                       "file aside and compare it with the latest backup.",
                       out->seq, (long long)out->sitting, st->shown);
    return status;
}

enum status store_kept_events(struct store *st, int64_t sitting, store_kept_event_fn fn, void *user, struct err *e)
{
    static const char ALL[] = "SELECT seq, t_ms, kind, item, value, value2, text, sitting, unix_ms, boot_ms, chain"
                              " FROM events ORDER BY sitting, seq";
    static const char ONE[] = "SELECT seq, t_ms, kind, item, value, value2, text, sitting, unix_ms, boot_ms, chain"
                              " FROM events WHERE sitting = ?1 ORDER BY seq";
    enum status status = ST_OK;
    sqlite3_stmt *s = sitting ? store_fresh(st, ONE, ARGS(INT(sitting))) : store_fresh(st, ALL, NO_ARGS);
    int rc = s ? sqlite3_step(s) : SQLITE_ERROR;
    for (; rc == SQLITE_ROW; rc = sqlite3_step(s)) {
        struct kept_event row;
        status = take_kept_event(st, s, &row, e);
        if (status != ST_OK || !fn(user, &row))
            break;
    }
    enum status ended = store_end(st, s, rc, "Reading the events", status == ST_OK ? e : NULL);
    sqlite3_finalize(s);
    return status == ST_OK ? ended : status;
}

static bool hash_event(void *user, const struct kept_event *row)
{
    char line[EVENT_LINE_CAP];
    const size_t len = event_print(&row->event, line);
    chain_event(user, line, len, row->unix_ms, row->boot_ms);
    return true;
}

enum status store_chain_over(struct store *st, int64_t id, struct chain *out, struct err *e)
{
    enum status status = store_facts(st, e);
    if (status != ST_OK)
        return status;
    chain_begin(out, st->id, id);
    return store_kept_events(st, id, hash_event, out, e);
}

bool store_take_attempt(sqlite3_stmt *s, struct kept_attempt *out)
{
    memset(out, 0, sizeof *out);
    out->sitting = sqlite3_column_int64(s, 0);
    out->n = store_column_int32(s, 1);
    out->after_seq = store_column_int32(s, 2);
    out->t_ms = sqlite3_column_int64(s, 3);
    out->unix_ms = sqlite3_column_int64(s, 4);
    const int32_t is_slip = store_column_int32(s, 5);
    out->is_slip = is_slip == 1;
    return (is_slip == 0 || is_slip == 1) && store_column_exact(s, 6, out->rule, sizeof out->rule) &&
           store_column_exact(s, 7, out->have, sizeof out->have) &&
           store_column_exact(s, 8, out->need, sizeof out->need) &&
           store_column_exact(s, 9, out->line, sizeof out->line);
}

enum status store_say_attempt(struct store *st, const struct kept_attempt *row, struct err *e)
{
    return err_set(e, ST_CORRUPT,
                   "Attempt %d of S-%03lld in the store %s does not have the form of one: it was changed from outside. Put "
                   "the file aside and compare it with the latest backup.",
                   row->n, (long long)row->sitting, st->shown);
}

enum status store_kept_attempts(struct store *st, int64_t sitting, store_kept_attempt_fn fn, void *user,
                                struct err *e)
{
    enum status status = ST_OK;
    sqlite3_stmt *s = sitting ? store_fresh(st, STORE_ATTEMPTS_SQL " WHERE sitting = ?1 ORDER BY n", ARGS(INT(sitting)))
                              : store_fresh(st, STORE_ATTEMPTS_SQL " ORDER BY sitting, n", NO_ARGS);
    int rc = s ? sqlite3_step(s) : SQLITE_ERROR;
    for (; rc == SQLITE_ROW; rc = sqlite3_step(s)) {
        struct kept_attempt row;
        if (!store_take_attempt(s, &row)) {
            status = store_say_attempt(st, &row, e);
            break;
        }
        if (!fn(user, &row))
            break;
    }
    enum status ended = store_end(st, s, rc, "Reading the attempts", status == ST_OK ? e : NULL);
    sqlite3_finalize(s);
    return status == ST_OK ? ended : status;
}

/** Columns as in STORE_KEPT_SQL. */
static void take_kept_sitting(sqlite3_stmt *s, struct kept_sitting *out)
{
    char review[16];
    memset(out, 0, sizeof *out);
    store_take_head(s, &out->head);
    store_column(s, STORE_HEAD_COUNT, review, sizeof review);
    out->review = store_review_named(review);
    store_column(s, STORE_HEAD_COUNT + 1, out->protocol_text_hash, sizeof out->protocol_text_hash);
    store_column(s, STORE_HEAD_COUNT + 2, out->purpose, sizeof out->purpose);
    store_column(s, STORE_HEAD_COUNT + 3, out->witness, sizeof out->witness);
    out->has_chain = store_column_bytes(s, STORE_HEAD_COUNT + 4, out->chain, sizeof out->chain);
    out->last_statement = sqlite3_column_int64(s, STORE_HEAD_COUNT + 5);
}

enum status store_kept_sitting(struct store *st, int64_t id, struct kept_sitting *out, struct err *e)
{
    sqlite3_stmt *s = store_query(st, Q_KEPT, ARGS(INT(id)));
    int rc = s ? sqlite3_step(s) : SQLITE_ERROR;
    if (rc == SQLITE_ROW)
        take_kept_sitting(s, out);
    enum status status = store_end(st, s, rc, LOOKING, e);
    return status == ST_OK && rc == SQLITE_DONE ? store_no_such_sitting(st, id, e) : status;
}

enum status store_kept_sittings(struct store *st, store_kept_sitting_fn fn, void *user, struct err *e)
{
    sqlite3_stmt *s = store_fresh(st, STORE_KEPT_SQL " ORDER BY s.id", NO_ARGS);
    int rc = s ? sqlite3_step(s) : SQLITE_ERROR;
    for (; rc == SQLITE_ROW; rc = sqlite3_step(s)) {
        struct kept_sitting row;
        take_kept_sitting(s, &row);
        if (!fn(user, &row))
            break;
    }
    enum status status = store_end(st, s, rc, "Reading the sittings", e);
    sqlite3_finalize(s);
    return status;
}
