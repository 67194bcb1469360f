/* SPDX-License-Identifier: GPL-3.0-or-later */
/** @file sql.c  Prepared statements, transactions, and every failure said in words. */
#include <errno.h>
#include <stdio.h>
#include <string.h>

#include "stillarm/text.h"
#include "store/internal.h"

const char *const STORE_PHASE_WORDS[PHASE_STOPPED + 1] = {
    [PHASE_EMPTY] = "empty", [PHASE_OPEN] = "open", [PHASE_SEALED] = "sealed", [PHASE_STOPPED] = "stopped"};

#define HEAD "SELECT " STORE_HEAD_COLUMNS " FROM sittings AS s "
#define PERSON "SELECT id, name, role, is_retired FROM people "

static const char *const SQL[] = {
    [Q_BEGIN] = "BEGIN IMMEDIATE",
    [Q_COMMIT] = "COMMIT",
    [Q_ROLLBACK] = "ROLLBACK",
    [Q_PROTOCOL_TEXT_PUT] = "INSERT INTO protocol_texts (hash, text) SELECT ?1, ?2"
                            " WHERE NOT EXISTS (SELECT 1 FROM protocol_texts WHERE hash = ?1)",
    [Q_SITTING_NEW] =
        "INSERT INTO sittings (protocol_text, phase, protocol, salt, event_count, last_ms, last_unix_ms, last_boot_ms,"
        " boot, touch) VALUES (?1, 'open', ?2, ?3, 0, ?4, ?5, ?6, ?7,"
        " (SELECT coalesce(max(touch), 0) + 1 FROM sittings WHERE phase = 'open'))",
    [Q_SITTING_STATE] =
        "SELECT event_count, attempt_count, phase, protocol, measurer, day, salt,"
        " touch < (SELECT max(touch) FROM sittings WHERE phase = 'open'), purpose, witness, chain"
        " FROM sittings WHERE id = ?1",
    [Q_EVENT_PUT] = "INSERT INTO events (sitting, seq, t_ms, kind, item, value, value2, text, unix_ms, boot_ms,"
                    " chain) VALUES (?1, ?2, ?3, ?4, ?5, ?6, ?7, ?8, ?9, ?10, ?11)",
    /* Only columns that no index holds: an append then writes two pages and not five. */
    [Q_SITTING_ADVANCE] =
        "UPDATE sittings SET event_count = ?2, reading_count = ?3, counted_count = ?4, last_ms = ?5,"
        " last_unix_ms = ?6, last_boot_ms = ?7, boot = ?8, chain = ?9 WHERE id = ?1",
    [Q_SITTING_NAMES] = "UPDATE sittings SET phase = ?2, protocol = ?3, measurer = ?4, day = ?5, review = ?6,"
                        " purpose = ?7, witness = ?8 WHERE id = ?1",
    [Q_SITTING_OPENED] = "UPDATE sittings SET opened = ?2 WHERE id = ?1",
    [Q_SITTING_SUBJECT] = "UPDATE sittings SET subject = ?2 WHERE id = ?1",
    [Q_SITTING_TOUCH] = "UPDATE sittings SET touch = (SELECT max(touch) + 1 FROM sittings WHERE phase = 'open')"
                        " WHERE id = ?1",
    [Q_READING_PUT] =
        "INSERT INTO readings (sitting, n, arm, target_mmhg, first_mmhg, muffling_mmhg, last_mmhg, inflate_ms,"
        " is_counted, reasons, remarks) VALUES (?1, ?2, ?3, ?4, ?5, ?6, ?7, ?8, ?9, ?10, ?11)"
        " ON CONFLICT (sitting, n) DO UPDATE SET arm = excluded.arm, target_mmhg = excluded.target_mmhg,"
        " first_mmhg = excluded.first_mmhg, muffling_mmhg = excluded.muffling_mmhg, last_mmhg = excluded.last_mmhg,"
        " inflate_ms = excluded.inflate_ms, is_counted = excluded.is_counted, reasons = excluded.reasons,"
        " remarks = excluded.remarks"
        " WHERE (arm, target_mmhg, first_mmhg, muffling_mmhg, last_mmhg, inflate_ms, is_counted, reasons, remarks)"
        " IS NOT (excluded.arm, excluded.target_mmhg, excluded.first_mmhg, excluded.muffling_mmhg,"
        " excluded.last_mmhg, excluded.inflate_ms, excluded.is_counted, excluded.reasons, excluded.remarks)",
    [Q_READINGS_TRIM] = "DELETE FROM readings WHERE sitting = ?1 AND n > ?2",
    [Q_READINGS] = "SELECT n, arm, first_mmhg, muffling_mmhg, last_mmhg, is_counted, reasons, remarks,"
                   " target_mmhg, inflate_ms FROM readings WHERE sitting = ?1 ORDER BY n",
    [Q_ATTEMPT_PUT] = "INSERT INTO attempts (sitting, n, after_seq, t_ms, unix_ms, line, rule, have, need, is_slip)"
                      " VALUES (?1, ?2, ?3, ?4, ?5, ?6, ?7, ?8, ?9, ?10)",
    [Q_ATTEMPT_COUNT] = "UPDATE sittings SET attempt_count = ?2 WHERE id = ?1",
    [Q_HEAD] = HEAD "WHERE id = ?1",
    [Q_HEAD_LATEST] = HEAD "WHERE phase = 'open' ORDER BY touch DESC LIMIT 1",
    [Q_DAY_COUNTS] = "SELECT phase, count(*) FROM sittings WHERE day = ?1 GROUP BY phase",
    [Q_PROTOCOL_TEXT] =
        "SELECT t.text FROM sittings AS s JOIN protocol_texts AS t ON t.hash = s.protocol_text WHERE s.id = ?1",
    [Q_SUBJECT_LAST] = "SELECT id FROM sittings WHERE subject = ?1 AND counted_count > 0 ORDER BY id DESC LIMIT 1",
    [Q_SUBJECT_ARMS] = "SELECT arm, first_mmhg FROM readings WHERE sitting = ?1 AND is_counted = 1 ORDER BY n",
    [Q_SUBJECT_ERASE] = "UPDATE sittings SET subject = NULL, salt = NULL WHERE subject = ?1",
    [Q_CODE_NEXT] = "SELECT value + 1 FROM counters WHERE name = 'code'",
    [Q_CODE_SET] = "UPDATE counters SET value = ?1 WHERE name = 'code'",
    [Q_CODE_RETURN] = "UPDATE counters SET value = value - 1 WHERE name = 'code' AND value = ?1",
    [Q_CODE_USED] = "SELECT 1 FROM sittings WHERE subject = ?1 LIMIT 1",
    [Q_PERSON_PUT] = "INSERT INTO people (id, name, role, is_retired) VALUES (?1, ?2, ?3, ?4)",
    [Q_PERSON_ROLE] = "UPDATE people SET role = ?2 WHERE id = ?1",
    [Q_PERSON_RETIRE] = "UPDATE people SET is_retired = 1 WHERE id = ?1",
    [Q_PERSON_RETIRED] = "SELECT is_retired FROM people WHERE id = ?1",
    [Q_PERSON] = PERSON "WHERE id = ?1",
    [Q_PEOPLE] = PERSON "WHERE is_retired <= ?1 ORDER BY is_retired, id",
    [Q_KIT] = "SELECT is_retired FROM kit WHERE id = ?1",
    [Q_KIT_PUT] = "INSERT INTO kit (id, what, name, top_mmhg, due, low_mm, high_mm, is_retired, bladder_width_mm,"
                  " bladder_length_mm) VALUES (?1, ?2, ?3, ?4, ?5, ?6, ?7, ?8, ?9, ?10)",
    [Q_KIT_RETIRE] = "UPDATE kit SET is_retired = 1 WHERE id = ?1",
    [Q_KIT_DUE] = "UPDATE kit SET due = ?2 WHERE id = ?1 AND what = 'gauge'",
    [Q_GAUGE_TOP] = "SELECT top_mmhg FROM kit WHERE id = ?1 AND what = 'gauge'",
    [Q_CUFF_HIGH] = "SELECT high_mm FROM kit WHERE id = ?1 AND what = 'cuff'",
    [Q_CHECK_PUT] = "INSERT INTO gauge_checks (gauge, what, value, date) VALUES (?1, ?2, ?3, ?4)",
    [Q_CHECK_LATEST] = "SELECT value, date, id FROM gauge_checks WHERE gauge = ?1 AND what = ?2"
                       " ORDER BY date DESC, id DESC LIMIT 1",
    [Q_POINT_PUT] = "INSERT INTO check_points (gauge_check, n, reference_mmhg, reading_mmhg) VALUES (?1, ?2, ?3, ?4)",
    [Q_POINTS] = "SELECT reference_mmhg, reading_mmhg FROM check_points WHERE gauge_check = ?1 ORDER BY n",
    [Q_BLADDER] = "UPDATE kit SET bladder_width_mm = ?2, bladder_length_mm = ?3 WHERE id = ?1 AND what = 'cuff'",
    [Q_GAUGES] = "SELECT id, name, top_mmhg, due, is_retired FROM kit WHERE what = 'gauge' AND is_retired <= ?1"
                 " ORDER BY is_retired, id",
    [Q_CUFFS] = "SELECT id, name, low_mm, high_mm, is_retired, bladder_width_mm, bladder_length_mm FROM kit WHERE what = 'cuff' AND is_retired <= ?1"
                " ORDER BY is_retired, id",
    [Q_SETTING] = "SELECT value FROM settings WHERE name = ?1",
    [Q_SETTING_PUT] = "INSERT INTO settings (name, value) VALUES (?1, ?2)"
                      " ON CONFLICT (name) DO UPDATE SET value = excluded.value",
    [Q_DAYS_COUNT] = "SELECT count(*) FROM (SELECT 1 FROM sittings WHERE day BETWEEN ?1 AND ?2 LIMIT ?3)",
    [Q_FACTS] = "SELECT id, unsigned_until FROM facts",
    [Q_KEPT] = STORE_KEPT_SQL " WHERE s.id = ?1",
    [Q_ATTEMPTS] = STORE_ATTEMPTS_SQL " WHERE sitting = ?1 ORDER BY n",
    [Q_REVIEW_SET] = "UPDATE sittings SET review = ?2, last_statement = ?3 WHERE id = ?1",
    [Q_STATEMENT_LAST] = "SELECT number, text, signature FROM statements ORDER BY number DESC LIMIT 1",
    [Q_STATEMENT_PUT] = "INSERT INTO statements (number, sitting, key, text, signature) VALUES (?1, ?2, ?3, ?4, ?5)",
    [Q_STATEMENTS_OF_KEYS] = "SELECT number, sitting, text, signature FROM statements"
                             " WHERE kind IN (" KINDS_OF_KEYS ") AND number > ?1 AND number <= ?2 ORDER BY number",
    [Q_STATEMENT_BY] = "SELECT k.person, n.kind FROM statements AS n JOIN keys AS k ON k.id = n.key"
                       " WHERE n.number = ?1",
    /* Her word since the record was last given to be judged. */
    [Q_COUNTERSIGNED] =
        "SELECT 1 FROM statements AS n JOIN keys AS k ON k.id = n.key WHERE n.sitting = ?1 AND k.person = ?2"
        " AND n.kind = 'countersign' AND n.number > (SELECT max(number) FROM statements"
        "  WHERE sitting = ?1 AND kind IN ('seal', 'stop', 'return', 'amend')) LIMIT 1",
    [Q_KEY_PUT] = "INSERT INTO keys (id, person, role, public_key, begun) VALUES (?1, ?2, ?3, ?4, ?5)",
    [Q_KEY_ANY] = "SELECT 1 FROM keys WHERE person = ?1 LIMIT 1",
    [Q_SECRET] = "SELECT k.id, k.public_key, s.salt, s.nonce, s.box, s.ops, s.memory_bytes"
                 " FROM keys AS k JOIN secrets AS s ON s.key = k.id WHERE k.person = ?1",
    [Q_SECRET_PUT] = "INSERT INTO secrets (key, salt, nonce, box, ops, memory_bytes) VALUES (?1, ?2, ?3, ?4, ?5, ?6)",
    [Q_SECRET_DROP] = "DELETE FROM secrets WHERE key = ?1",
    [Q_TRY] = "SELECT wrong, unix_ms, boot_ms, boot FROM tries WHERE person = ?1",
    [Q_TRY_PUT] = "INSERT INTO tries (person, wrong, unix_ms, boot_ms, boot) VALUES (?1, ?2, ?3, ?4, ?5)"
                  " ON CONFLICT (person) DO UPDATE SET wrong = excluded.wrong, unix_ms = excluded.unix_ms,"
                  " boot_ms = excluded.boot_ms, boot = excluded.boot",
    [Q_TRIES_DROP] = "DELETE FROM tries WHERE person = ?1",
};
_Static_assert(ARRAY_LEN(SQL) == Q_COUNT, "one text per query");

static int bind_one(sqlite3_stmt *s, int at, const struct arg *a)
{
    switch (a->type) {
    case ARG_INT:
        return sqlite3_bind_int64(s, at, a->number);
    case ARG_TEXT:
        return sqlite3_bind_text(s, at, a->bytes, -1, SQLITE_STATIC);
    case ARG_BLOB:
        return sqlite3_bind_blob(s, at, a->bytes, (int)a->number, SQLITE_STATIC);
    case ARG_NULL:
        break;
    }
    return sqlite3_bind_null(s, at);
}

static int bind_all(sqlite3_stmt *s, const struct arg *args, size_t n)
{
    int rc = SQLITE_OK;
    for (size_t i = 0; i < n && rc == SQLITE_OK; i++)
        rc = bind_one(s, (int)i + 1, &args[i]);
    return rc;
}

sqlite3_stmt *store_query(struct store *st, enum query q, const struct arg *args, size_t n)
{
    sqlite3_stmt **kept = &st->queries[q];
    if (!*kept && sqlite3_prepare_v3(st->db, SQL[q], -1, SQLITE_PREPARE_PERSISTENT, kept, NULL) != SQLITE_OK)
        return NULL;
    sqlite3_reset(*kept);
    errno = 0; /* for store_fail: SQLite does not pass on why a commit could not be written */
    return bind_all(*kept, args, n) == SQLITE_OK ? *kept : NULL;
}

sqlite3_stmt *store_fresh(struct store *st, const char *sql, const struct arg *args, size_t n)
{
    sqlite3_stmt *s = NULL;
    if (sqlite3_prepare_v2(st->db, sql, -1, &s, NULL) != SQLITE_OK)
        return NULL;
    if (bind_all(s, args, n) != SQLITE_OK) {
        sqlite3_finalize(s);
        return NULL;
    }
    return s;
}

sqlite3_stmt *store_loop(struct store *st, enum query q, const struct arg *args, size_t n)
{
    if (st->queries[q] && sqlite3_stmt_busy(st->queries[q]))
        return store_fresh(st, SQL[q], args, n);
    return store_query(st, q, args, n);
}

void store_loop_end(struct store *st, enum query q, sqlite3_stmt *s)
{
    if (s != st->queries[q])
        sqlite3_finalize(s);
}

enum status store_end(struct store *st, sqlite3_stmt *s, int rc, const char *what, struct err *e)
{
    enum status status = ST_OK;
    if (!s || (rc != SQLITE_DONE && rc != SQLITE_ROW))
        status = store_fail(st, what, e); /* before the reset, which may set another code */
    if (s)
        sqlite3_reset(s);
    return status;
}

enum status store_run(struct store *st, enum query q, const struct arg *args, size_t n, const char *what,
                      struct err *e)
{
    sqlite3_stmt *s = store_query(st, q, args, n);
    int rc = s ? sqlite3_step(s) : SQLITE_ERROR;
    while (rc == SQLITE_ROW)
        rc = sqlite3_step(s);
    return store_end(st, s, rc, what, e);
}

enum status store_begin(struct store *st, const char *what, struct err *e)
{
    if (!st->is_writable)
        return err_set(e, ST_READ_ONLY,
                       "%s was not kept: the store %s was opened only to be read. Open it where it can be written.",
                       what, st->shown);
    return store_run(st, Q_BEGIN, NO_ARGS, what, e);
}

enum status store_finish(struct store *st, enum status so_far, const char *what, struct err *e)
{
    if (so_far == ST_OK)
        so_far = store_run(st, Q_COMMIT, NO_ARGS, what, e);
    /* Some failures end the transaction by themselves, others leave it to us. */
    if (so_far != ST_OK && !sqlite3_get_autocommit(st->db)) {
        struct err ignored;
        enum status rolled = store_run(st, Q_ROLLBACK, NO_ARGS, what, &ignored);
        (void)rolled; /* the first failure is the one that is told */
    }
    return so_far;
}

void store_merge_log(struct store *st)
{
    (void)sqlite3_wal_checkpoint_v2(st->db, NULL, SQLITE_CHECKPOINT_TRUNCATE, NULL, NULL);
}

void store_column(sqlite3_stmt *s, int column, char *buf, size_t cap)
{
    const unsigned char *text = sqlite3_column_text(s, column);
    text_copy(buf, cap, text ? (const char *)text : "");
    text_defuse(buf); /* whoever owns the file may have written anything into it, and this will be shown */
}

int32_t store_column_int32(sqlite3_stmt *s, int column)
{
    const int64_t n = sqlite3_column_int64(s, column);
    return n > INT32_MIN && n <= INT32_MAX ? (int32_t)n : INT32_MIN;
}

bool store_column_exact(sqlite3_stmt *s, int column, char *buf, size_t cap)
{
    const unsigned char *text = sqlite3_column_text(s, column);
    const size_t len = (size_t)sqlite3_column_bytes(s, column);
    const bool fits = !text || (len < cap && strlen((const char *)text) == len);
    if (text && fits)
        memcpy(buf, text, len + 1);
    else
        buf[0] = '\0';
    return fits;
}

bool store_column_bytes(sqlite3_stmt *s, int column, unsigned char *out, size_t n)
{
    const void *bytes = sqlite3_column_blob(s, column);
    const bool is_it = bytes && (size_t)sqlite3_column_bytes(s, column) == n;
    if (is_it)
        memcpy(out, bytes, n);
    else
        memset(out, 0, n);
    return is_it;
}

void store_show_path(const char *path, char *out, size_t cap)
{
    size_t len = strlen(path);
    if (len < cap) {
        snprintf(out, cap, "%s", path);
    } else {
        const char *tail = path + (len - (cap - 4));
        while (((unsigned char)*tail & 0xC0U) == 0x80U)
            tail++; /* begin on a whole character */
        snprintf(out, cap, "...%s", tail);
    }
    text_defuse(out);
}

/** One row: a result code of SQLite, what it means for us, and the sentence (%s what, %s path). */
struct failure {
    int code;
    enum status status;
    const char *sentence;
};

static const struct failure FAILURES[] = {
    {SQLITE_FULL, ST_FULL,
     "%s was not kept: the disk that holds the store %s is full. Make room on it, then do this again; what was "
     "recorded before is safe."},
    {SQLITE_BUSY, ST_LOCKED,
     "%s was not kept: another program has held the store %s for more than 5 seconds. End that program or wait for "
     "it, then do this again."},
    {SQLITE_LOCKED, ST_LOCKED,
     "%s was not kept: this program is still reading the store %s. Do this again in a moment."},
    {SQLITE_READONLY, ST_READ_ONLY,
     "%s was not kept: the store %s can be read but not written. Give yourself the right to write the file and its "
     "folder, or name another store with --db."},
    {SQLITE_PERM, ST_PERMISSION,
     "%s failed: the system does not let you use the store %s. Ask its owner, or name another store with --db."},
    {SQLITE_AUTH, ST_PERMISSION,
     "%s failed: the system does not let you use the store %s. Ask its owner, or name another store with --db."},
    {SQLITE_CANTOPEN, ST_IO,
     "%s failed: the store %s, or a file beside it, cannot be opened. Look at the folder and its rights, or name "
     "another store with --db."},
    {SQLITE_NOTADB, ST_NOT_A_STORE,
     "%s failed: %s is not a store of this program. Nothing in it was changed; name the right file with --db."},
    {SQLITE_CORRUPT, ST_CORRUPT,
     "%s failed: the store %s is damaged. Keep the file as it is, put it aside with the files beside it, and go on "
     "with the latest backup."},
    {SQLITE_NOMEM, ST_NO_MEMORY, "%s failed: there is not enough memory to use the store %s. Close other programs."},
    {SQLITE_CONSTRAINT, ST_CORRUPT,
     "%s was not kept: it contradicts what the store %s already holds. Run 'stillarm verify' on it."},
    {SQLITE_PROTOCOL, ST_LOCKED,
     "%s was not kept: other programs kept the store %s busy. Do this again in a moment."},
};

/** A system error often says more than the code that came up from it. */
static int code_of_errno(int system_errno, int otherwise)
{
    switch (system_errno) {
    case ENOSPC:
    case EDQUOT:
    case EFBIG:
        return SQLITE_FULL;
    case EROFS:
        return SQLITE_READONLY;
    case EACCES:
    case EPERM:
        return SQLITE_PERM;
    default:
        return otherwise;
    }
}

#pragma GCC diagnostic push
#pragma GCC diagnostic ignored "-Wformat-nonliteral" /* the formats are the rows above */
enum status store_say(const char *shown, int sqlite_code, int system_errno, const char *what, struct err *e)
{
    int code = sqlite_code & 0xFF;
    if (code == SQLITE_IOERR || code == SQLITE_CANTOPEN)
        code = code_of_errno(system_errno, code);
    for (size_t i = 0; i < ARRAY_LEN(FAILURES); i++)
        if (FAILURES[i].code == code)
            return err_set(e, FAILURES[i].status, FAILURES[i].sentence, what, shown);
    return err_set(e, ST_IO,
                   "%s failed: the store %s could not be read or written (%s). Look at the disk, then do this again.",
                   what, shown, system_errno ? strerror(system_errno) : sqlite3_errstr(sqlite_code));
}
#pragma GCC diagnostic pop

enum status store_fail(struct store *st, const char *what, struct err *e)
{
    int left_behind = errno, told = sqlite3_system_errno(st->db);
    return store_say(st->shown, sqlite3_extended_errcode(st->db), told ? told : left_behind, what, e);
}
