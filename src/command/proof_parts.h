/* SPDX-License-Identifier: GPL-3.0-or-later */
/** @file proof_parts.h  What the files of the proof share: what is wrong, what is claimed of a sitting, one sitting replayed. */
#ifndef STILLARM_PROOF_PARTS_H
#define STILLARM_PROOF_PARTS_H

#include <stdarg.h>

#include "command/proof.h"
#include "stillarm/sitting.h"

/* ---- what is wrong (proof_say.c) ---- */

struct findings {
    struct proof *proof;
    const struct proof_watch *watch; /* NULL: nobody listens */
};

/** Everything that is known of one sitting before its events are read. */
struct dossier {
    int64_t id;
    bool is_wrong;                       /* counted among the wrong sittings already */
    struct kept_sitting kept;            /* the columns of its row; not in an exported one */
    /* from the statements about it */
    bool has_close;
    enum statement_kind close;           /* seal or stop */
    int32_t events, attempts;
    unsigned char head[TRUST_HASH_BYTES], attempts_hash[TRUST_HASH_BYTES];
    char protocol_text[HASH_HEX_CAP], boot[40], witness[ITEM_CAP], opened[40], measurer[ITEM_CAP], signer[ITEM_CAP];
    enum review review;                  /* as far as the statements go; REVIEW_UNSIGNED before the first */
    int64_t last_statement;              /* 0: none */
    /* from the attempts */
    int32_t attempts_found;
    bool has_attempts_gap;
    struct chain attempts_chain;
};

/** One more thing that is wrong, with the sitting it belongs to (NULL: with the store or the file as a whole). */
void proof_wrong(const struct findings *f, struct dossier *d, const char *format, ...)
    __attribute__((format(printf, 3, 4)));
void proof_progress(const struct findings *f, int64_t done, int64_t of);
/** Begin with nothing looked at. */
void proof_begin(struct proof *p);

/* ---- statements (proof_statements.c) ---- */

/** Goes through the statements in their order; knows the ring, the links and where the review of each sitting stands. */
struct statement_check {
    const struct findings *f;
    struct ring *ring;
    char store[STORE_ID_CAP], expected[HASH_HEX_CAP];
    bool is_whole;           /* all statements of a store come by, so that numbers and links are checked, too */
    int64_t only;            /* this sitting's signatures and those of keys; 0: all */
    int64_t number;          /* of the last one */
};

enum status statements_begin(struct statement_check *c, const struct findings *f, const char *store, int64_t unsigned_until,
                             struct err *e) MUST_USE;
void statements_end(struct statement_check *c);

/** The dossier of a sitting, NULL where there is none. */
typedef struct dossier *(*find_dossier_fn)(void *user, int64_t sitting);
/** What a statement says; has_said false when it cannot be read. */
struct taken_statement { struct statement said; bool has_said; };
/** The next statement as it is kept. */
void statements_take(struct statement_check *c, const struct kept_statement *k, find_dossier_fn find, void *user,
                     struct taken_statement *out);

/* ---- whose word it is (proof_signed.c) ---- */

/** A second pass over the statements about one sitting, once all was found right. */
struct signed_say { const struct proof_watch *watch; const struct ring *ring; bool is_by_course; };

/** False: something is wrong, or nobody listens. */
bool signed_begin(struct signed_say *say, const struct findings *f, const struct ring *ring);
/** The next statement; user is a struct signed_say. */
bool signed_take(void *user, const struct kept_statement *k);
void signed_end(struct signed_say *say);

/* ---- protocols (proof_protocols.c) ---- */

/** Each text is parsed once, however many sittings were judged by it. */
struct judged_by { char hash[HASH_HEX_CAP]; struct protocol protocol; bool is_sound; };
struct protocol_shelf { struct judged_by **list; size_t count, cap; };

void shelf_free(struct protocol_shelf *s);
/** Look a text up by its hash; NULL: not there yet. */
const struct judged_by *shelf_find(const struct protocol_shelf *s, const char *hash);
/** Put it there. What is wrong with it is said; NULL when there is no memory. */
const struct judged_by *shelf_put(struct protocol_shelf *s, const char *hash, const char *text, const struct findings *f,
                                  struct dossier *d);

/* ---- one sitting, event by event (proof_sitting.c) ---- */

struct sitting_check {
    const struct findings *f;
    struct dossier *d;
    const struct judged_by *by;
    bool is_stored;            /* rows of a store beside the events; else an exported one */
    int64_t unsigned_until;
    struct chain chain;
    struct sitting sitting;
    int32_t seq;
    bool is_broken;            /* said already: nothing after it can be right */
    bool is_chain_broken;
    bool has_moment;           /* of the last event */
    int64_t unix_ms, boot_ms;
    int32_t without_moment;
    char opened[40];
};

void sitting_check_begin(struct sitting_check *c, const struct findings *f, struct dossier *d, const struct judged_by *by,
                         const char *store, int64_t unsigned_until, bool is_stored);
void sitting_check_event(struct sitting_check *c, const struct kept_event *k);
/** Everything that must agree once the last event was seen. */
void sitting_check_end(struct sitting_check *c);
/** A row of the table of readings against the replay; a false one is said. */
bool sitting_check_reading(struct sitting_check *c, const struct stored_reading *r);
/** How many readings have a row. */
int sitting_check_finished(const struct sitting *s, int *counted);

void attempt_check_begin(struct dossier *d, const char *store);
void attempt_check(struct dossier *d, const struct kept_attempt *k);

#endif
