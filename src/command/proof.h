/* SPDX-License-Identifier: GPL-3.0-or-later */
/** @file proof.h  Re-hashes, re-checks and replays what is recorded: the whole store, one sitting, or an exported one. */
#ifndef STILLARM_PROOF_H
#define STILLARM_PROOF_H

#include "store/signed.h"

/** What was looked at, and what is wrong. */
struct proof {
    int64_t sittings, events, statements;      /* looked at */
    int64_t signed_sittings, unsigned_sittings /* ended, a signature is owed */, before_sittings /* older than signing */,
        open_sittings;
    int64_t wrong_sittings, wrong;             /* how many sittings, how many things */
    char first[600];                           /* the first thing that is wrong, in words; "" nothing */
};
typedef void (*proof_progress_fn)(void *user, int64_t done, int64_t of);
typedef void (*proof_say_fn)(void *user, const char *sentence); /* each thing that is wrong */

struct proof_watch { /* members may be NULL */
    proof_progress_fn progress;
    proof_say_fn say;
    proof_say_fn signed_by; /* of one sitting in which nothing is wrong: who signed what, with what standing */
    void *user;
    struct store *beside; /* another connection to the same store: its file is checked there at the same time */
};

/** ST_OK also where something is wrong (proof->wrong > 0); else the store could not be read. */
enum status proof_store(struct store *, const struct proof_watch *, struct proof *, struct err *) MUST_USE;
enum status proof_sitting(struct store *, int64_t id, const struct proof_watch *, struct proof *, struct err *) MUST_USE;

/** An exported sitting, against a file of keys; or, with a store, against what that store holds now. */
enum status proof_export(const char *text, size_t len, const char *keys, size_t keys_len, const struct proof_watch *,
                         struct proof *, struct err *) MUST_USE;
enum status proof_export_here(struct store *, const char *text, size_t len, const struct proof_watch *, struct proof *,
                              struct err *) MUST_USE;

/** All digits of a key's id, as people compare it: of eight digits another key can be made that has the same. */
#define KEY_WHOLE_CAP (KEY_ID_CAP + KEY_ID_CAP / 4)
void key_whole(const char *id, char out[KEY_WHOLE_CAP]);

/* ---- export.c: the text form of one sitting, and of the public keys (docs/export-files.md) ---- */
/** malloc'ed, the caller frees. */
enum status export_sitting(struct store *, int64_t id, char **out, size_t *len, struct err *) MUST_USE;
enum status export_keys(struct store *, char **out, size_t *len, struct err *) MUST_USE;

#endif
