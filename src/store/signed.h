/* SPDX-License-Identifier: GPL-3.0-or-later */
/** @file signed.h  The part of the store that is signed: keys and PINs, statements, the review of sittings. Who may do what
 *  is asked here, of the key that signs, and not only on screens. */
#ifndef STILLARM_SIGNED_H
#define STILLARM_SIGNED_H

#include "store/store.h"
#include "trust/trust.h"

/** The store's own random id, made with the file. 32 zeros in a store of an older version that is only read. */
enum status store_id(struct store *, char out[STORE_ID_CAP], struct err *) MUST_USE;

/* ---- keys and PINs (keys.c) ---- */

/** Has this person a key, that is, a PIN? */
enum status store_key_has(struct store *, const char *person, bool *has, struct err *) MUST_USE;
/**
 * The first key of a person, or the next after a reset: made, sealed by the PIN, kept, and said in a statement that it signs
 * itself. Her role is the one the list of people has. ST_EXISTS when she has one, ST_NOT_FOUND, ST_PERMISSION when retired.
 * @param out  the unlocked key; may be NULL
 */
enum status store_key_begin(struct store *, const char *person, const struct pin *, const char *at, struct signer **out,
                            struct err *) MUST_USE;
/**
 * Unlock a person's key. A try is written down before it is made and taken back when it was right, so that ending the
 * program gains nothing. From the third wrong PIN on each is followed by a wait that doubles (PIN_WAIT_FIRST_S to
 * PIN_WAIT_MOST_S); it goes on through restarts, and a clock set back does not shorten it.
 * ST_PIN: wrong, or still waiting: *wait_s says how long the next one has to wait (0: not at all). ST_NOT_FOUND: no key yet.
 */
#define PIN_FREE_TRIES 3   /* judgement */
#define PIN_WAIT_FIRST_S 2
#define PIN_WAIT_MOST_S 900
enum status store_unlock(struct store *, const char *person, const struct pin *, const struct moment *now,
                         struct signer **out, int32_t *wait_s, struct err *) MUST_USE;
/** Seal her key by another PIN; signer is her unlocked key. Old signatures stay as they are: it is the same key. */
enum status store_pin_change(struct store *, const char *person, const struct signer *, const struct pin *fresh,
                             struct err *) MUST_USE;

/* ---- acts: what is signed (acts.c) ---- */

/** What somebody wants to say; the store fills in the rest (number, previous, head ...). Unused fields are zero. */
struct act {
    enum statement_kind kind; /* any but SAYS_KEY, SAYS_SEAL, SAYS_STOP */
    int64_t sitting;
    const char *of;           /* person, piece of kit or protocol; NULL */
    const char *word;         /* as STATEMENTS[kind].words; NULL */
    const char *said;         /* NULL */
    const char *protocol_text;/* SAYS_PROTOCOL: the text that is taken */
    int32_t event;
    int64_t open_ms;
    int64_t seen;             /* number of the last statement about the sitting that the signer has seen; 0: not asked */
    const char *at;           /* wall clock, ISO 8601 */
    const struct signer *host;/* who takes in a course's key that is new here: a preceptor with standing; NULL */
};
/**
 * Say it: signed and done in one transaction, so that the statement and what follows from it (the review's state, the
 * retirement, the setting) are both there or neither.
 * ST_PERMISSION: this key may not (words say why); ST_CONFLICT: somebody else was quicker, or the sitting is not in a state
 * that this can follow; ST_NOT_FOUND; ST_RANGE.
 * SAYS_VOUCH by the course's key registers that key first (SAYS_COURSE) where the store has none; another course's key than
 * the store's is ST_PERMISSION. Anybody can make a key and call it the course's: while a preceptor here has standing, one of
 * them takes it in (host), else ST_PERMISSION.
 */
enum status store_act(struct store *, const struct act *, const struct signer *, struct err *) MUST_USE;

/** Append `seal` or `stop` and sign the head, all in one transaction; signer: the keeper's (ST_PERMISSION). signer NULL:
 *  ended and not signed, the signature is owed. Arguments else as store_append. */
enum status store_append_end(struct store *, int64_t id, int32_t seq, const struct event *, const struct sitting *after,
                        const struct moment *, const struct signer *signer, const char *at, struct err *) MUST_USE;
/** The signature that is owed for a sitting that ended without one. */
enum status store_sign_closed(struct store *, int64_t id, const struct signer *, const char *at, struct err *) MUST_USE;

/** May this key do this? ST_OK or ST_PERMISSION with words; nothing is written. */
enum status store_may(struct store *, const struct act *, const struct signer *, struct err *) MUST_USE;
/** Is there a preceptor with a key here? Until there is, a technician is in charge. */
enum status store_has_preceptor(struct store *, bool *has, struct err *) MUST_USE;
/** Is this person retired, or her key ended and no other begun? What she holds as a witness another preceptor releases then. */
enum status store_has_left(struct store *, const char *person, bool *has, struct err *) MUST_USE;

/* ---- reading what was signed (statements.c) ---- */

/** One statement as it stands in the store. */
struct kept_statement {
    int64_t number;
    int64_t sitting; /* column; 0 none */
    char text[STATEMENT_CAP];
    size_t len;
    unsigned char signature[TRUST_SIGNATURE_BYTES];
};
typedef bool (*store_statement_fn)(void *user, const struct kept_statement *);
/** In order of their numbers; sitting 0: all, else those about it. */
enum status store_statements(struct store *, int64_t sitting, store_statement_fn, void *user, struct err *) MUST_USE;
/** All that the store knows of keys; the caller frees. Signatures are checked: ST_CORRUPT names the first that is wrong. */
enum status store_ring(struct store *, struct ring **out, struct err *) MUST_USE;

/** An event with all that the chain covers. */
struct kept_event {
    int64_t sitting;
    int32_t seq;
    struct event event;   /* the subject as its salted hash */
    bool has_moment;      /* kept by a version that wrote clocks and chain beside each event */
    int64_t unix_ms, boot_ms;
    unsigned char chain[TRUST_HASH_BYTES];
};
typedef bool (*store_kept_event_fn)(void *user, const struct kept_event *);
/** By sitting, then in order; sitting 0: of the whole store, in one pass. */
enum status store_kept_events(struct store *, int64_t sitting, store_kept_event_fn, void *user, struct err *) MUST_USE;

struct kept_attempt { int64_t sitting; int32_t n, after_seq; int64_t t_ms, unix_ms; bool is_slip;
                      char rule[ITEM_CAP], have[80], need[80], line[EVENT_LINE_CAP]; };
typedef bool (*store_kept_attempt_fn)(void *user, const struct kept_attempt *);
enum status store_kept_attempts(struct store *, int64_t sitting, store_kept_attempt_fn, void *user, struct err *) MUST_USE;

/** What stands beside the events of one sitting, for verify and export. */
struct kept_sitting {
    struct sitting_head head;
    enum review review;
    char protocol_text_hash[HASH_HEX_CAP];
    char purpose[12];        /* "" not given */
    char witness[ITEM_CAP];
    int64_t last_statement;  /* number of the last one about it; 0: none */
    unsigned char chain[TRUST_HASH_BYTES]; /* as it stands after the last event */
    bool has_chain;
};
enum status store_kept_sitting(struct store *, int64_t id, struct kept_sitting *, struct err *) MUST_USE;
typedef bool (*store_kept_sitting_fn)(void *user, const struct kept_sitting *);
/** All of them, oldest first. */
enum status store_kept_sittings(struct store *, store_kept_sitting_fn, void *user, struct err *) MUST_USE;
/** Number of the last sitting that was here before this store could sign; 0: none. */
enum status store_unsigned_until(struct store *, int64_t *out, struct err *) MUST_USE;

/* ---- the queue (queue.c) ---- */

enum queue_which { QUEUE_WAITING, QUEUE_RETURNED, QUEUE_OWED /* signatures */, QUEUE_HELD, QUEUE_OPEN, QUEUE_ALL, QUEUE_COUNT };
struct queue_filter {
    enum queue_which which;
    const char *measurer;      /* NULL: anybody */
    const char *not_measurer;  /* waiting for me: not my own; NULL */
    int32_t from_day, to_day;  /* yyyymmdd, both count; 0: no bound */
    const char *purpose;       /* practice, service, assessment; NULL */
    const char *phase;         /* open, sealed, stopped; NULL */
};
struct queue_entry {
    struct sitting_head head;
    char purpose[12];          /* "" not given */
    char witness[ITEM_CAP];
    enum review review;
    int64_t last_statement;    /* number of the last one about it, as `seen` of an act takes it; 0: none */
    char last_by[ITEM_CAP];    /* who made it; "" none */
};
typedef bool (*store_queue_fn)(void *user, const struct queue_entry *);
/** Newest first, at most `most` of them, older than sitting `before` (0: from the newest). An index answers for every queue:
 *  100,000 sittings cost little more than 1,000. */
enum status store_queue(struct store *, const struct queue_filter *, int64_t before, int most, store_queue_fn, void *user,
                        struct err *) MUST_USE;
/** How many wait, counted to at most `most`. */
enum status store_queue_count(struct store *, const struct queue_filter *, int most, int *count, struct err *) MUST_USE;

#endif
