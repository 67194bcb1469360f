/* SPDX-License-Identifier: GPL-3.0-or-later */
/** @file internal.h  What the files of the store share: the connection, its prepared statements, its failures. */
#ifndef STILLARM_STORE_INTERNAL_H
#define STILLARM_STORE_INTERNAL_H

#include <sqlite3.h>

#include "store/signed.h"

/** Marks the file as ours (the four bytes "stia"), so that another program's database is never taken for a store. */
#define STORE_APPLICATION_ID 0x73746961
#define STORE_VERSION 3
#define STORE_BUSY_MS 5000
#define STORE_PATH_CAP 4096

#define INTERVAL_SETTING "calibration.months"
#define PROTOCOL_SETTING "protocol"
/** The statements that the ring is told of; an index holds just these. */
#define KINDS_OF_KEYS "'key', 'course', 'vouch', 'end', 'retire'"

#define SALT_BYTES 16
#define SUBJECT_HASH_CAP 33 /* 32 hexadecimal digits: itself a valid item, so a log with it still replays */

/** Statements that are prepared once, when first needed, and kept: an append must cost little more than its fsync. */
enum query {
    Q_BEGIN, Q_COMMIT, Q_ROLLBACK,
    Q_PROTOCOL_TEXT_PUT, Q_SITTING_NEW, Q_SITTING_STATE, Q_EVENT_PUT, Q_SITTING_ADVANCE, Q_SITTING_NAMES,
    Q_SITTING_OPENED, Q_SITTING_SUBJECT, Q_SITTING_TOUCH, Q_READING_PUT, Q_READINGS_TRIM, Q_READINGS,
    Q_ATTEMPT_PUT, Q_ATTEMPT_COUNT,
    Q_HEAD, Q_HEAD_LATEST, Q_DAY_COUNTS, Q_PROTOCOL_TEXT,
    Q_SUBJECT_LAST, Q_SUBJECT_ARMS, Q_SUBJECT_ERASE, Q_CODE_NEXT, Q_CODE_SET, Q_CODE_RETURN, Q_CODE_USED,
    Q_PERSON_PUT, Q_PERSON_ROLE, Q_PERSON_RETIRE, Q_PERSON_RETIRED, Q_PERSON, Q_PEOPLE,
    Q_KIT, Q_KIT_PUT, Q_KIT_RETIRE, Q_KIT_DUE, Q_GAUGE_TOP, Q_CHECK_PUT, Q_CHECK_LATEST,
    Q_POINT_PUT, Q_POINTS, Q_BLADDER, Q_GAUGES, Q_CUFFS, Q_CUFF_HIGH,
    Q_SETTING, Q_SETTING_PUT,
    Q_DAYS_COUNT, Q_FACTS, Q_KEPT, Q_ATTEMPTS, Q_REVIEW_SET,
    Q_STATEMENT_LAST, Q_STATEMENT_PUT, Q_STATEMENTS_OF_KEYS, Q_STATEMENT_BY, Q_COUNTERSIGNED,
    Q_KEY_PUT, Q_KEY_ANY, Q_SECRET, Q_SECRET_PUT, Q_SECRET_DROP, Q_TRY, Q_TRY_PUT, Q_TRIES_DROP,
    Q_COUNT
};

struct store {
    sqlite3 *db;
    bool is_writable;
    char path[STORE_PATH_CAP];
    char shown[200]; /* the path as sentences show it: its end, when it is long */
    int64_t offered; /* number of the code that was offered last and may not have been taken; 0: none */
    char id[STORE_ID_CAP];  /* "" until asked for */
    int64_t unsigned_until;
    struct ring *ring;      /* whose keys there are, as far as statement ring_until; NULL: not asked yet */
    int64_t ring_until;
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
/** For a loop that calls back and is run often: the kept statement, or one of its own while that is under way. */
sqlite3_stmt *store_loop(struct store *st, enum query q, const struct arg *args, size_t n);
void store_loop_end(struct store *st, enum query q, sqlite3_stmt *s);
/** Run a kept statement to its end. what: "this event", "the new person", for the sentence. */
enum status store_run(struct store *st, enum query q, const struct arg *args, size_t n, const char *what,
                      struct err *e) MUST_USE;
/** Close a loop of steps: rc is the last answer of sqlite3_step; resets s. */
enum status store_end(struct store *st, sqlite3_stmt *s, int rc, const char *what, struct err *e) MUST_USE;
/** Start a transaction that may write; ST_READ_ONLY on a connection that may not. */
enum status store_begin(struct store *st, const char *what, struct err *e) MUST_USE;
/** Commit when so_far is ST_OK, else roll back; returns the first failure. */
enum status store_finish(struct store *st, enum status so_far, const char *what, struct err *e) MUST_USE;
/** Merge the log into the file, so that what was overwritten lies in neither. Readers may hold it; then the next merge
 *  does it. */
void store_merge_log(struct store *st);
/** Say the connection's last failure in words. */
enum status store_fail(struct store *st, const char *what, struct err *e);
/** The same from a result code and an errno (0: none), where no connection can be asked. */
enum status store_say(const char *shown, int sqlite_code, int system_errno, const char *what, struct err *e);
/** Copy a column's text into buf, "" for NULL, cut to cap and safe to show. */
void store_column(sqlite3_stmt *s, int column, char *buf, size_t cap);
/** As store_column, but byte for byte, for what is hashed; false where it does not fit or holds a NUL. */
bool store_column_exact(sqlite3_stmt *s, int column, char *buf, size_t cap) MUST_USE;
/** A number that has to fit 32 bits; one that does not is INT32_MIN, which nothing takes: its lower bits alone would let a
 *  changed number pass for the one that was. */
int32_t store_column_int32(sqlite3_stmt *s, int column);
/** Copy a blob of exactly n bytes; false (out all zero) where it is another. */
bool store_column_bytes(sqlite3_stmt *s, int column, unsigned char *out, size_t n);
/** The path as sentences show it: no control characters, the end of it when it is long. */
void store_show_path(const char *path, char *out, size_t cap);

/* ---- log.c ---- */
/** Say that there is no sitting of this number; ST_NOT_FOUND. */
enum status store_no_such_sitting(struct store *st, int64_t id, struct err *e);

/** Columns as in sql.c, HEAD, from the first on. */
void store_take_head(sqlite3_stmt *s, struct sitting_head *out);
#define STORE_HEAD_COLUMNS                                                                                            \
    "s.id, s.subject, s.measurer, s.protocol, s.opened, s.day, s.phase, s.event_count, s.reading_count,"              \
    " s.counted_count, s.attempt_count, s.last_ms, s.last_unix_ms, s.boot, s.last_boot_ms"
#define STORE_HEAD_COUNT 15
#define STORE_KEPT_SQL                                                                                                \
    "SELECT " STORE_HEAD_COLUMNS ", s.review, s.protocol_text, s.purpose, s.witness, s.chain, s.last_statement"       \
    " FROM sittings AS s"
#define STORE_ATTEMPTS_SQL                                                                                            \
    "SELECT sitting, n, after_seq, t_ms, unix_ms, is_slip, rule, have, need, line FROM attempts"
/** One attempt, columns as in STORE_ATTEMPTS_SQL; false (then store_say_attempt) when it does not have the form of one. */
bool store_take_attempt(sqlite3_stmt *s, struct kept_attempt *out) MUST_USE;
enum status store_say_attempt(struct store *st, const struct kept_attempt *row, struct err *e);
/** The chain as it stands after all events that are there, for a sitting that an older version began. */
enum status store_chain_over(struct store *st, int64_t id, struct chain *out, struct err *e) MUST_USE;

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

/* ---- statements.c ---- */
/** Know st->id and st->unsigned_until. */
enum status store_facts(struct store *st, struct err *e) MUST_USE;
/** Bring st->ring up to the last statement; st->ring_until is that one's number. */
enum status store_renew_ring(struct store *st, struct err *e) MUST_USE;
/** Forget the ring: what it was told may not have been kept. */
void store_drop_ring(struct store *st);
/** Which review word is this? */
enum review store_review_named(const char *word);

/* ---- acts.c; the caller holds the write transaction ---- */
/** Fill in number and previous, ask the ring, sign and keep. s has all else. */
enum status store_state(struct store *st, struct statement *s, const struct signer *signer, struct err *e) MUST_USE;
/** Sign the end of a sitting that is closed and unsigned. */
enum status store_sign_end(struct store *st, int64_t id, const struct signer *signer, const char *at,
                           struct err *e) MUST_USE;
/** As store_finish; where it fails the ring is forgotten. */
enum status store_finish_signed(struct store *st, enum status so_far, const char *what, struct err *e) MUST_USE;

extern const char *const STORE_PHASE_WORDS[PHASE_STOPPED + 1];

#endif
