/* SPDX-License-Identifier: GPL-3.0-or-later */
/** @file trust.h  PINs, keys, the chain over a sitting's events, and the statements that are signed. No clock, no file,
 *  no terminal: times and texts come in. All cryptography is libsodium's. */
#ifndef STILLARM_TRUST_H
#define STILLARM_TRUST_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#include "stillarm/err.h"
#include "stillarm/event.h"

#define HEX_OF(bytes) (2 * (bytes) + 1)
#define TRUST_HASH_BYTES 32
#define TRUST_PUBLIC_BYTES 32
#define TRUST_SIGNATURE_BYTES 64
#define HASH_HEX_CAP HEX_OF(TRUST_HASH_BYTES)       /* 64 digits */
#define PUBLIC_HEX_CAP HEX_OF(TRUST_PUBLIC_BYTES)
#define SIGNATURE_HEX_CAP HEX_OF(TRUST_SIGNATURE_BYTES)
#define KEY_ID_CAP HEX_OF(16)                       /* 32 digits: BLAKE2b-128 of the public key */
#define STORE_ID_CAP HEX_OF(16)

/** Once per process before anything else here; cheap when called again. ST_IO where the system gives no random numbers. */
enum status trust_init(struct err *e) MUST_USE;

/** Lowercase hexadecimal; out has HEX_OF(n) bytes. */
void trust_hex(const unsigned char *bytes, size_t n, char *out);
/** Exactly n bytes from exactly 2n lowercase digits. */
bool trust_unhex(const char *hex, unsigned char *out, size_t n);
/** BLAKE2b-256, unkeyed. */
void trust_hash(const void *bytes, size_t len, unsigned char out[TRUST_HASH_BYTES]);
/** The same in digits. */
void trust_hash_hex(const void *bytes, size_t len, char out[HASH_HEX_CAP]);
/** The beginning of an id or hash as people compare it: `7f3a 91c2`. */
void trust_short(const char *hex, char out[12]);

/* ---- PINs (pin.c) ---- */
#define PIN_MIN 6  /* characters; judgement */
#define PIN_MAX 60 /* bytes */
struct pin; /* guarded memory that is not swapped out, wiped when freed */

enum status pin_new(struct pin **out, struct err *e) MUST_USE;
void pin_free(struct pin *p); /* NULL is fine */
/** Type one character; false: full, or a control character. */
bool pin_add(struct pin *p, uint32_t character);
void pin_back(struct pin *p);  /* the last character goes */
void pin_clear(struct pin *p);
int pin_length(const struct pin *p); /* characters */
bool pin_equal(const struct pin *a, const struct pin *b); /* in constant time */
/** May it be chosen? Long enough, and not one character repeated or a row such as 123456. ST_RANGE with words. */
enum status pin_check(const struct pin *p, struct err *e) MUST_USE;

/* ---- keys (key.c) ---- */
struct signer; /* an unlocked secret key, in guarded memory */

/** A key as it is kept: the secret is sealed by the PIN (Argon2id, then XSalsa20-Poly1305). */
struct sealed_key {
    char id[KEY_ID_CAP];
    unsigned char public_key[TRUST_PUBLIC_BYTES];
    unsigned char salt[16], nonce[24], box[64 + 16];
    int64_t ops, memory_bytes; /* of Argon2id, as it was sealed */
};

/** A new key pair. signer may be NULL. */
enum status key_make(const struct pin *pin, struct sealed_key *out, struct signer **signer, struct err *e) MUST_USE;
/** ST_PIN when the PIN is not the one; ST_CORRUPT when what is kept cannot be a key. */
enum status key_unlock(const struct sealed_key *k, const struct pin *pin, struct signer **out, struct err *e) MUST_USE;
/** The same key under another PIN. */
enum status key_reseal(const struct signer *s, const struct pin *pin, struct sealed_key *out, struct err *e) MUST_USE;
void signer_free(struct signer *s); /* wipes; NULL is fine */
const char *signer_key(const struct signer *s);             /* its id */
const unsigned char *signer_public(const struct signer *s);

void key_id_of(const unsigned char public_key[TRUST_PUBLIC_BYTES], char out[KEY_ID_CAP]);
void trust_sign(const struct signer *s, const void *text, size_t len, unsigned char out[TRUST_SIGNATURE_BYTES]);
bool trust_signed_by(const unsigned char public_key[TRUST_PUBLIC_BYTES], const void *text, size_t len,
                     const unsigned char signature[TRUST_SIGNATURE_BYTES]);

/** The text of a key file (the course's key, kept off the booths) and back: `stillarm key 1`, one `name value` a line.
 *  ST_NEWER, ST_SYNTAX with the line. */
#define KEY_FILE_CAP 1200
size_t key_file_print(const struct sealed_key *k, char out[KEY_FILE_CAP]);
enum status key_file_parse(const char *text, size_t len, struct sealed_key *out, struct err *e) MUST_USE;

/* ---- the chain over a sitting (chain.c) ---- */
struct chain { unsigned char hash[TRUST_HASH_BYTES]; };

/** Before the first event: the store and the sitting's number are in it, so that events moved elsewhere are noticed. */
void chain_begin(struct chain *c, const char *store, int64_t sitting);
/** One event: its canonical line (event_print, without a line end; the subject as its salted hash) and its clock fields. */
void chain_event(struct chain *c, const char *line, size_t len, int64_t unix_ms, int64_t boot_ms);

/** A refused attempt as it is hashed. */
struct chain_attempt { int32_t n, after_seq; int64_t t_ms, unix_ms; bool is_slip; const char *rule, *have, *need, *line; };
void chain_attempts_begin(struct chain *c, const char *store, int64_t sitting);
void chain_attempt(struct chain *c, const struct chain_attempt *a);

/* ---- statements (statement.c) ---- */
enum statement_kind {
    SAYS_KEY,         /* a person's key begins; signed by itself */
    SAYS_COURSE,      /* the course's key is this store's; signed by itself; once */
    SAYS_VOUCH,       /* a preceptor's key is vouched for, by the course's key or another preceptor's */
    SAYS_END,         /* a person's key ends: her PIN was reset by a preceptor */
    SAYS_SEAL,        /* a sitting ended finished: the head of its chain */
    SAYS_STOP,        /* ... unfinished */
    SAYS_COUNTERSIGN, /* reviewed, present */
    SAYS_RETURN,      /* sent back to the measurer, on one event */
    SAYS_COMMENT,     /* a remark on one event; changes no state */
    SAYS_AMEND,       /* the measurer adds something beside what stays as it was */
    SAYS_RELEASE,     /* the result of a witnessed sitting is given to the trainee */
    SAYS_RETIRE,      /* a person or a piece of kit is taken out of use */
    SAYS_PROTOCOL,    /* the store's usual protocol, by the hash of its text */
    SAYS_COUNT
};

enum statement_field { /* beside those that every statement has; printed in this order */
    HAS_SITTING = 1 << 0,  /* sitting, opened, measurer, events, head, earlier */
    HAS_CLOSE = 1 << 1,    /* attempts with their hash, protocol text's hash, boot, witness where there is one */
    HAS_OF = 1 << 2,       /* the person, piece of kit or protocol it is about */
    HAS_OF_KEY = 1 << 3,   /* key id, public key and role of that person */
    HAS_WORD = 1 << 4,     /* one of the row's words */
    HAS_EVENT = 1 << 5,    /* number of an event; 0: the whole */
    HAS_OPEN = 1 << 6,     /* how long the record was open before, ms */
    HAS_SAID = 1 << 7,     /* a text */
    HAS_HASH = 1 << 8      /* of the protocol's text */
};

/** Who may make a statement at all; the store asks before, verify asks again. */
enum statement_by {
    BY_KEY_ITSELF,    /* the key that it is about */
    BY_COURSE_OR_PRECEPTOR,
    BY_PRECEPTOR,     /* who has standing */
    BY_OTHER_PRECEPTOR, /* the same, and not the sitting's measurer */
    BY_KEEPER,        /* the measurer; of a witnessed sitting the witness */
    BY_MEASURER,
    BY_WITNESS,       /* of one who can sign nothing more (ring_has_left) another preceptor, not the measurer */
    BY_IN_CHARGE      /* a preceptor; while no preceptor has a key here, a technician */
};

struct statement_row { const char *word; unsigned fields; enum statement_by by; const char *const *words; };
extern const struct statement_row STATEMENTS[SAYS_COUNT];

enum signing_role { SIGNS_TRAINEE, SIGNS_TECHNICIAN, SIGNS_PRECEPTOR, SIGNS_COURSE, SIGNING_ROLE_COUNT };
extern const char *const SIGNING_ROLE_WORDS[SIGNING_ROLE_COUNT]; /* trainee, technician, preceptor, course */
#define COURSE_PERSON "course" /* stands for the person where the course's key signs; no person may have this id */

/** One statement. Fields that its kind does not have are zero or "". */
struct statement {
    enum statement_kind kind;
    char store[STORE_ID_CAP];
    int64_t number;              /* among the store's statements, from 1 */
    char previous[HASH_HEX_CAP]; /* statement_hash of the one before; of the first: statement_founding */
    char person[ITEM_CAP];       /* who signs */
    enum signing_role role;
    char key[KEY_ID_CAP];
    char at[40];                 /* wall clock, ISO 8601 with offset */
    /* HAS_SITTING */
    int64_t sitting;
    char opened[40], measurer[ITEM_CAP]; /* "" where a sitting was stopped before they were given */
    int32_t events;
    char head[HASH_HEX_CAP];
    int64_t earlier;             /* number of the statement before it about this sitting; 0: none */
    /* HAS_CLOSE */
    int32_t attempts;
    char attempts_hash[HASH_HEX_CAP], protocol_text[HASH_HEX_CAP];
    char boot[40];
    char witness[ITEM_CAP];
    /* the others */
    char of[ITEM_CAP];
    char of_key[KEY_ID_CAP];
    unsigned char of_public[TRUST_PUBLIC_BYTES];
    enum signing_role of_role;
    char word[16];
    int32_t event;
    int64_t open_ms;
    char said[EVENT_TEXT_CAP];
    char hash[HASH_HEX_CAP];
};

#define STATEMENT_CAP 4200 /* bytes of any printed statement, terminator included */
/** The one text form: `name value` lines in a fixed order, LF, the text last as a JSON string. What is signed is exactly
 *  these bytes. Returns the length, 0 when the statement is not well formed. */
size_t statement_print(const struct statement *s, char out[STATEMENT_CAP]);
/** Strict: what it takes prints again as the same bytes. ST_SYNTAX with the line, ST_NEWER. */
enum status statement_parse(const char *text, size_t len, struct statement *out, struct err *e) MUST_USE;
/** BLAKE2b-256 over text and signature: what the next one carries as `previous`. */
void statement_hash(const char *text, size_t len, const unsigned char signature[TRUST_SIGNATURE_BYTES],
                    char out[HASH_HEX_CAP]);
/** What the first statement of a store carries: over the store's id and the number of the last sitting that was there
 *  before it could sign (0: none). */
void statement_founding(const char *store, int64_t unsigned_until, char out[HASH_HEX_CAP]);

/* ---- the ring: public keys, whose they are, and for whom somebody vouches (ring.c) ---- */
enum trust_standing {
    TRUST_NONE,     /* no preceptor, or one whom nobody vouched for in a store that had another first */
    TRUST_SELF,     /* the first preceptor of a store: self-declared */
    TRUST_BY_SELF,  /* vouched for by a preceptor, but the line ends at one who is self-declared */
    TRUST_COURSE    /* vouched for by the course's key, or in a line that begins there */
};
/** `self-declared`, `vouched for by eva (self-declared line)`, `vouched for by the course`, `vouched for by eva (course)`,
 *  `not vouched for`; voucher may be "". */
void standing_say(enum trust_standing standing, const char *voucher, char out[120]);

struct ring_key {
    char id[KEY_ID_CAP], person[ITEM_CAP];
    unsigned char public_key[TRUST_PUBLIC_BYTES];
    enum signing_role role;
    int64_t begun, ended;         /* numbers of the statements; ended 0: still in use */
    enum trust_standing standing; /* as far as the ring was told */
    char voucher[ITEM_CAP];       /* person, COURSE_PERSON or "" */
};

/** Pointers to a ring's keys hold until it is told of the next statement. */
struct ring;
enum status ring_new(const char *store, struct ring **out, struct err *e) MUST_USE;
void ring_free(struct ring *r);
/**
 * Tell the ring of a statement, in the order of their numbers (gaps are fine). Its signature is checked for every kind;
 * key, course, vouch and end change the ring. ST_CORRUPT with what is wrong: another store's, unknown key, key not yet
 * begun or ended by then, a signature that is not its key's, a signer who may not make this statement (BY_...).
 */
enum status ring_take(struct ring *r, const struct statement *s, const char *text, size_t len,
                      const unsigned char signature[TRUST_SIGNATURE_BYTES], struct err *e) MUST_USE;
/** The same question without a signature: may this key make this statement now? ST_PERMISSION with words for the user. */
enum status ring_may(const struct ring *r, const struct statement *s, struct err *e) MUST_USE;
const struct ring_key *ring_find(const struct ring *r, const char *key_id);       /* NULL: none */
const struct ring_key *ring_of_person(const struct ring *r, const char *person);  /* the one in use; NULL: none */
const struct ring_key *ring_course(const struct ring *r);                         /* NULL: none */
const struct ring_key *ring_at(const struct ring *r, int n);                      /* by number of beginning; NULL past the last */
bool ring_has_preceptor(const struct ring *r);
/** Retired, or her key has ended and she has no other: what only she could sign for others nobody would. */
bool ring_has_left(const struct ring *r, const char *person);

/* ---- where the review of a sitting stands (review.c): pure ---- */
enum review {
    REVIEW_OPEN,      /* the sitting is */
    REVIEW_BEFORE,    /* ended before this store could sign */
    REVIEW_UNSIGNED,  /* ended, its keeper's signature is owed */
    REVIEW_WAITING,   /* for a preceptor */
    REVIEW_RETURNED,  /* to the measurer */
    REVIEW_DONE,      /* countersigned */
    REVIEW_HELD,      /* a witnessed sitting whose result is not released yet */
    REVIEW_RELEASED,
    REVIEW_COUNT
};
extern const char *const REVIEW_WORDS[REVIEW_COUNT]; /* open, before, unsigned, waiting, returned, countersigned, held, released */
/** Where it stands after a statement about it; false: not one that can follow. is_witnessed: of the sitting. */
bool review_after(enum review now, enum statement_kind kind, bool is_witnessed, enum review *out);

#endif
