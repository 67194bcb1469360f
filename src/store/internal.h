/* SPDX-License-Identifier: GPL-3.0-or-later */
/** @file internal.h  What the files of the store share: the connection, its prepared statements, its failures. */
#ifndef STILLARM_STORE_INTERNAL_H
#define STILLARM_STORE_INTERNAL_H

#include <sqlite3.h>

#include "store/store.h"

/** Marks the file as ours (the four bytes "stia"), so that another program's database is never taken for a store. */
#define STORE_APPLICATION_ID 0x73746961
#define STORE_VERSION 2
#define STORE_BUSY_MS 5000
#define STORE_PATH_CAP 4096

#define INTERVAL_SETTING "calibration.months"

#define SALT_BYTES 16
#define SUBJECT_HASH_CAP 33 /* 32 hexadecimal digits: itself a valid item, so a log with it still replays */

/** Statements that are prepared once, when first needed, and kept: an append must cost little more than its fsync. */
enum query {
    Q_BEGIN, Q_COMMIT, Q_ROLLBACK,
    Q_PROTOCOL_TEXT_PUT, Q_SITTING_NEW, Q_SITTING_STATE, Q_EVENT_PUT, Q_SITTING_ADVANCE, Q_SITTING_NAMES,
    Q_SITTING_OPENED, Q_SITTING_SUBJECT, Q_SITTING_TOUCH, Q_READING_PUT, Q_READINGS_TRIM,
    Q_ATTEMPT_PUT, Q_ATTEMPT_COUNT,
    Q_HEAD, Q_HEAD_LATEST, Q_DAY_COUNTS, Q_PROTOCOL_TEXT,
    Q_SUBJECT_LAST, Q_SUBJECT_ARMS, Q_SUBJECT_ERASE, Q_CODE_NEXT, Q_CODE_SET, Q_CODE_RETURN, Q_CODE_USED,
    Q_PERSON_PUT, Q_PERSON_RETIRE, Q_PERSON, Q_PEOPLE,
    Q_KIT, Q_KIT_PUT, Q_KIT_RETIRE, Q_KIT_DUE, Q_GAUGE_TOP, Q_CHECK_PUT, Q_CHECK_LATEST,
    Q_POINT_PUT, Q_POINTS, Q_BLADDER, Q_GAUGES, Q_CUFFS, Q_CUFF_HIGH,
    Q_SETTING, Q_SETTING_PUT,
    Q_COUNT
};

struct store {
    sqlite3 *db;
    bool is_writable;
    char path[STORE_PATH_CAP];
    char shown[200]; /* the path as sentences show it: its end, when it is long */
    int64_t offered; /* number of the code that was offered last and may not have been taken; 0: none */
    sqlite3_stmt *queries[Q_COUNT];
};

/** One bound parameter. */
struct arg {
    enum { ARG_NULL, ARG_INT, ARG_TEXT, ARG_BLOB } type;
    int64_t number; /* the value, or the length of a blob */
    const void *bytes;
};
#define NUL() ((struct arg){.type = ARG_NULL})
#define INT(n) ((struct arg){.type = ARG_INT, .number = (int64_t)(n)})
#define TEXT(s) ((struct arg){.type = ARG_TEXT, .bytes = (s)})
#define BLOB(b, n) ((struct arg){.type = ARG_BLOB, .number = (int64_t)(n), .bytes = (b)})
/** A text that is absent when empty. */
#define TEXT_OR_NUL(s) ((struct arg){.type = (s)[0] ? ARG_TEXT : ARG_NULL, .bytes = (s)})
#define INT_OR_NUL(has, n) ((struct arg){.type = (has) ? ARG_INT : ARG_NULL, .number = (int64_t)(n)})
#define ARGS(...) (const struct arg[]){__VA_ARGS__}, ARRAY_LEN(((const struct arg[]){__VA_ARGS__}))
#define NO_ARGS NULL, 0

/* ---- sql.c ---- */
/** A kept statement, reset and bound; NULL on failure (then store_fail says why). Texts must live until it is stepped. */
sqlite3_stmt *store_query(struct store *st, enum query q, const struct arg *args, size_t n);
/** A statement of its own, for loops that call back (the callback may use the store too); sqlite3_finalize it. */
sqlite3_stmt *store_fresh(struct store *st, const char *sql, const struct arg *args, size_t n);
/** Run a kept statement to its end. what: "this event", "the new person", for the sentence. */
enum status store_run(struct store *st, enum query q, const struct arg *args, size_t n, const char *what,
                      struct err *e) MUST_USE;
/** Close a loop of steps: rc is the last answer of sqlite3_step; resets s. */
enum status store_end(struct store *st, sqlite3_stmt *s, int rc, const char *what, struct err *e) MUST_USE;
/** Start a transaction that may write; ST_READ_ONLY on a connection that may not. */
enum status store_begin(struct store *st, const char *what, struct err *e) MUST_USE;
/** Commit when so_far is ST_OK, else roll back; returns the first failure. */
enum status store_finish(struct store *st, enum status so_far, const char *what, struct err *e) MUST_USE;
/** Say the connection's last failure in words. */
enum status store_fail(struct store *st, const char *what, struct err *e);
/** The same from a result code and an errno (0: none), where no connection can be asked. */
enum status store_say(const char *shown, int sqlite_code, int system_errno, const char *what, struct err *e);
/** Copy a column's text into buf, "" for NULL, cut to cap and safe to show. */
void store_column(sqlite3_stmt *s, int column, char *buf, size_t cap);
/** The path as sentences show it: no control characters, the end of it when it is long. */
void store_show_path(const char *path, char *out, size_t cap);

/* ---- log.c ---- */
/** Say that there is no sitting of this number; ST_NOT_FOUND. */
enum status store_no_such_sitting(struct store *st, int64_t id, struct err *e);

/* ---- schema.c ---- */
/** Bring the file to STORE_VERSION; the caller holds the write transaction. */
enum status store_migrate(struct store *st, int from_version, struct err *e) MUST_USE;
/** Let a reader look at an older version (1 or more) as at the newest, without a change to the file. */
enum status store_read_as_new(struct store *st, int version, struct err *e) MUST_USE;

/* ---- subject.c ---- */
/** The salted hash that stands for a code in the rows that will be signed. */
enum status store_hash_subject(const unsigned char salt[SALT_BYTES], const char *code, char out[SUBJECT_HASH_CAP],
                               struct err *e) MUST_USE;
enum status store_new_salt(unsigned char out[SALT_BYTES], struct err *e) MUST_USE;
/** A sitting has this code now: should it be the offered one, it is never offered again, even once it is forgotten. */
void store_code_taken(struct store *st, const char *code);
/** Let the offered code, if nobody took it, be the next one again; failing is no harm. */
void store_return_code(struct store *st);
/** Content hash of a protocol file's text, 64 hexadecimal digits. */
enum status store_hash_text(const char *text, char out[65], struct err *e) MUST_USE;

/* ---- readings.c ---- */
/** Bring the derived rows of a sitting to what its state says; counts into the two last. */
enum status store_readings_put(struct store *st, int64_t id, const struct sitting *s, int32_t *done, int32_t *counted,
                               struct err *e) MUST_USE;

extern const char *const STORE_PHASE_WORDS[PHASE_STOPPED + 1];

#endif
