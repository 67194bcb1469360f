/* SPDX-License-Identifier: GPL-3.0-or-later */
/** @file queue.c  The sittings that wait for something, newest first, a page at a time. An index gives them in that order,
 *  so that a page costs the same however many there are. */
#include <string.h>

#include "store/internal.h"
#include "stillarm/text.h"

static const enum review OF_QUEUE[QUEUE_COUNT] = {
    [QUEUE_WAITING] = REVIEW_WAITING, [QUEUE_RETURNED] = REVIEW_RETURNED, [QUEUE_OWED] = REVIEW_UNSIGNED,
    [QUEUE_HELD] = REVIEW_HELD,       [QUEUE_OPEN] = REVIEW_OPEN,         [QUEUE_ALL] = REVIEW_COUNT};

#define QUEUE_SQL_CAP 1200
#define DAY_LAST 99999999
#define FEW 2000 /* sittings of some days: sorting them costs less than passing all that are newer */

static int32_t last_day(const struct queue_filter *f)
{
    return f->to_day ? f->to_day : DAY_LAST;
}

/** What to look the sittings up by: the days where they hold few, else what gives them newest first. */
static enum status choose_way(struct store *st, const struct queue_filter *f, bool *by_day, struct err *e)
{
    *by_day = false;
    if (!f->from_day && !f->to_day)
        return ST_OK;
    sqlite3_stmt *s = store_query(st, Q_DAYS_COUNT, ARGS(INT(f->from_day), INT(last_day(f)), INT(FEW)));
    int rc = s ? sqlite3_step(s) : SQLITE_ERROR;
    *by_day = rc == SQLITE_ROW && sqlite3_column_int(s, 0) < FEW;
    return store_end(st, s, rc, "Counting the sittings", e);
}

/** A plus keeps an index from being used that would give another order. All parameters are named up to ?9. */
static void add_conditions(struct text *t, const struct queue_filter *f, bool by_day)
{
    text_add(t, by_day ? " WHERE s.day BETWEEN ?5 AND ?6 AND +s.id < ?2" : " WHERE s.id < ?2");
    if (!by_day && (f->from_day || f->to_day))
        text_add(t, " AND +s.day BETWEEN ?5 AND ?6");
    if (f->which != QUEUE_ALL)
        text_add(t, by_day ? " AND +s.review = ?1" : " AND s.review = ?1");
    if (f->measurer)
        text_add(t, by_day ? " AND +s.measurer = ?3" : " AND s.measurer = ?3");
    if (f->not_measurer)
        text_add(t, " AND s.measurer IS NOT ?4");
    if (f->purpose)
        text_add(t, by_day || f->which != QUEUE_ALL || f->measurer ? " AND +s.purpose = ?7" : " AND s.purpose = ?7");
    if (f->phase)
        text_add(t, by_day || f->which != QUEUE_ALL || f->measurer || f->purpose ? " AND +s.phase = ?8" : " AND s.phase = ?8");
}

static sqlite3_stmt *ask(struct store *st, const char *sql, const struct queue_filter *f, int64_t before, int most)
{
    const char *review = f->which == QUEUE_ALL ? "" : REVIEW_WORDS[OF_QUEUE[f->which]];
    return store_fresh(st, sql,
                       ARGS(TEXT(review), INT(before ? before : INT64_MAX), TEXT(f->measurer ? f->measurer : ""),
                            TEXT(f->not_measurer ? f->not_measurer : ""), INT(f->from_day),
                            INT(last_day(f)), TEXT(f->purpose ? f->purpose : ""),
                            TEXT(f->phase ? f->phase : ""), INT(most)));
}

static void take_entry(sqlite3_stmt *s, struct queue_entry *out)
{
    char review[16];
    store_take_head(s, &out->head);
    store_column(s, STORE_HEAD_COUNT, out->purpose, sizeof out->purpose);
    store_column(s, STORE_HEAD_COUNT + 1, out->witness, sizeof out->witness);
    store_column(s, STORE_HEAD_COUNT + 2, review, sizeof review);
    out->review = store_review_named(review);
    out->last_statement = sqlite3_column_int64(s, STORE_HEAD_COUNT + 3);
    store_column(s, STORE_HEAD_COUNT + 4, out->last_by, sizeof out->last_by);
}

static enum status check_filter(const struct queue_filter *f, struct err *e)
{
    if ((unsigned)f->which >= QUEUE_COUNT)
        return err_set(e, ST_RANGE, "There is no such queue of sittings.");
    return ST_OK;
}

enum status store_queue(struct store *st, const struct queue_filter *f, int64_t before, int most, store_queue_fn fn,
                        void *user, struct err *e)
{
    char sql[QUEUE_SQL_CAP];
    struct text t;
    bool by_day = false;
    enum status status = check_filter(f, e);
    if (status == ST_OK)
        status = choose_way(st, f, &by_day, e);
    if (status != ST_OK)
        return status;
    text_init(&t, sql, sizeof sql);
    text_add(&t, "SELECT " STORE_HEAD_COLUMNS ", s.purpose, s.witness, s.review, s.last_statement, k.person"
                 " FROM sittings AS s LEFT JOIN statements AS n ON n.number = s.last_statement"
                 " LEFT JOIN keys AS k ON k.id = n.key");
    add_conditions(&t, f, by_day);
    text_add(&t, by_day ? " ORDER BY +s.id DESC LIMIT ?9" : " ORDER BY s.id DESC LIMIT ?9");
    sqlite3_stmt *s = ask(st, sql, f, before, most);
    int rc = s ? sqlite3_step(s) : SQLITE_ERROR;
    for (; rc == SQLITE_ROW; rc = sqlite3_step(s)) {
        struct queue_entry entry;
        take_entry(s, &entry);
        if (!fn(user, &entry))
            break;
    }
    status = store_end(st, s, rc, "Listing the sittings", e);
    sqlite3_finalize(s);
    return status;
}

enum status store_queue_count(struct store *st, const struct queue_filter *f, int most, int *count, struct err *e)
{
    char sql[QUEUE_SQL_CAP];
    struct text t;
    *count = 0;
    bool by_day = false;
    enum status status = check_filter(f, e);
    if (status == ST_OK)
        status = choose_way(st, f, &by_day, e);
    if (status != ST_OK)
        return status;
    text_init(&t, sql, sizeof sql);
    text_add(&t, "SELECT count(*) FROM (SELECT 1 FROM sittings AS s");
    add_conditions(&t, f, by_day);
    text_add(&t, " LIMIT ?9)");
    sqlite3_stmt *s = ask(st, sql, f, 0, most);
    int rc = s ? sqlite3_step(s) : SQLITE_ERROR;
    if (rc == SQLITE_ROW)
        *count = sqlite3_column_int(s, 0);
    status = store_end(st, s, rc, "Counting the sittings", e);
    sqlite3_finalize(s);
    return status;
}
