/* SPDX-License-Identifier: GPL-3.0-or-later */
/** @file keys.c  A person's key and the PIN that opens it; wrong PINs slow down, whatever ends in between. */
#include <string.h>

#include "store/internal.h"
#include "stillarm/text.h"

static const char THE_KEY[] = "The new PIN";
static const char THE_TRY[] = "The try of the PIN";

/** The key of a person that is in use; *has: is there one? */
static enum status read_secret(struct store *st, const char *person, struct sealed_key *out, bool *has, struct err *e)
{
    bool is_whole = true;
    sqlite3_stmt *s = store_query(st, Q_SECRET, ARGS(TEXT(person)));
    int rc = s ? sqlite3_step(s) : SQLITE_ERROR;
    *has = rc == SQLITE_ROW;
    if (*has) {
        memset(out, 0, sizeof *out);
        store_column(s, 0, out->id, sizeof out->id);
        is_whole = store_column_bytes(s, 1, out->public_key, sizeof out->public_key) &&
                   store_column_bytes(s, 2, out->salt, sizeof out->salt) &&
                   store_column_bytes(s, 3, out->nonce, sizeof out->nonce) &&
                   store_column_bytes(s, 4, out->box, sizeof out->box);
        out->ops = sqlite3_column_int64(s, 5);
        out->memory_bytes = sqlite3_column_int64(s, 6);
    }
    enum status status = store_end(st, s, rc, "Looking for the key", e);
    if (status == ST_OK && !is_whole)
        return err_set(e, ST_CORRUPT,
                       "The key of %s in the store %s is damaged. A preceptor can reset the PIN; what was signed with "
                       "the old key stays valid.",
                       person, st->shown);
    return status;
}

static enum status put_secret(struct store *st, const struct sealed_key *k, struct err *e)
{
    return store_run(st, Q_SECRET_PUT,
                     ARGS(TEXT(k->id), BLOB(k->salt, sizeof k->salt), BLOB(k->nonce, sizeof k->nonce),
                          BLOB(k->box, sizeof k->box), INT(k->ops), INT(k->memory_bytes)),
                     THE_KEY, e);
}

static enum status no_key(const char *person, struct err *e)
{
    return err_set(e, ST_NOT_FOUND, "%s has no PIN here yet. Choose one: stillarm people pin %s.", person, person);
}

enum status store_key_has(struct store *st, const char *person, bool *has, struct err *e)
{
    struct sealed_key k;
    return read_secret(st, person, &k, has, e);
}

/* ---- a key begins ---- */

/** May this person have a new key now? */
static enum status check_new(struct store *st, const char *person, struct person *who, struct err *e)
{
    enum status status = store_person_get(st, person, who, e);
    if (status == ST_OK && who->is_retired)
        return err_set(e, ST_PERMISSION, "%s is retired and gets no new PIN.", person);
    if (status == ST_OK)
        status = store_renew_ring(st, e);
    if (status == ST_OK && ring_of_person(st->ring, person))
        return err_set(e, ST_EXISTS,
                       "%s has a PIN already. It can be changed by who knows it, or reset by a preceptor.", person);
    return status;
}

static enum status put_key(struct store *st, const struct person *who, const struct sealed_key *k,
                           const struct signer *signer, const char *at, struct err *e)
{
    const enum signing_role role = (enum signing_role)who->role; /* the same three, in the same order */
    struct statement s = {.kind = SAYS_KEY, .role = role, .of_role = role};
    text_copy(s.person, sizeof s.person, who->id);
    text_copy(s.of, sizeof s.of, who->id);
    text_copy(s.key, sizeof s.key, k->id);
    text_copy(s.of_key, sizeof s.of_key, k->id);
    memcpy(s.of_public, k->public_key, sizeof s.of_public);
    text_copy(s.at, sizeof s.at, at);
    enum status status = store_run(st, Q_KEY_PUT,
                                   ARGS(TEXT(k->id), TEXT(who->id), TEXT(ROLE_WORDS[who->role]),
                                        BLOB(k->public_key, sizeof k->public_key), INT(st->ring_until + 1)),
                                   THE_KEY, e);
    if (status == ST_OK)
        status = store_state(st, &s, signer, e);
    return status == ST_OK ? put_secret(st, k, e) : status;
}

static enum status keep_new(struct store *st, const char *person, const struct sealed_key *k,
                            const struct signer *signer, const char *at, struct err *e)
{
    struct person who;
    enum status status = store_begin(st, THE_KEY, e);
    if (status != ST_OK)
        return status;
    status = check_new(st, person, &who, e); /* again: somebody may have been quicker */
    if (status == ST_OK)
        status = put_key(st, &who, k, signer, at, e);
    return store_finish_signed(st, status, THE_KEY, e);
}

enum status store_key_begin(struct store *st, const char *person, const struct pin *pin, const char *at,
                            struct signer **out, struct err *e)
{
    struct person who;
    struct sealed_key key;
    struct signer *signer = NULL;
    if (out)
        *out = NULL;
    enum status status = trust_init(e);
    if (status == ST_OK)
        status = check_new(st, person, &who, e);
    if (status == ST_OK)
        status = pin_check(pin, e);
    if (status == ST_OK)
        status = key_make(pin, &key, &signer, e); /* slow by intent, so before the store is held */
    if (status == ST_OK)
        status = keep_new(st, person, &key, signer, at, e);
    if (status == ST_OK && out)
        *out = signer;
    else
        signer_free(signer);
    return status;
}

enum status store_pin_change(struct store *st, const char *person, const struct signer *signer,
                             const struct pin *fresh, struct err *e)
{
    struct sealed_key now, key;
    bool has = false;
    enum status status = pin_check(fresh, e);
    if (status == ST_OK)
        status = key_reseal(signer, fresh, &key, e);
    if (status == ST_OK)
        status = store_begin(st, THE_KEY, e);
    if (status != ST_OK)
        return status;
    status = read_secret(st, person, &now, &has, e);
    if (status == ST_OK && !has)
        status = no_key(person, e);
    if (status == ST_OK && strcmp(now.id, signer_key(signer)) != 0)
        status = err_set(e, ST_PERMISSION, "The PIN of %s was left as it is: the key is not that of %s.", person, person);
    if (status == ST_OK)
        status = store_run(st, Q_SECRET_DROP, ARGS(TEXT(now.id)), THE_KEY, e);
    if (status == ST_OK)
        status = put_secret(st, &key, e);
    status = store_finish(st, status, THE_KEY, e);
    if (status == ST_OK)
        store_merge_log(st); /* what the old PIN opens lies in it */
    return status;
}

/* ---- unlocking ---- */

struct tries {
    int32_t wrong; /* in a row; 0: none */
    struct moment last;
};

static enum status read_tries(struct store *st, const char *person, struct tries *out, struct err *e)
{
    memset(out, 0, sizeof *out);
    sqlite3_stmt *s = store_query(st, Q_TRY, ARGS(TEXT(person)));
    int rc = s ? sqlite3_step(s) : SQLITE_ERROR;
    if (rc == SQLITE_ROW) {
        out->wrong = sqlite3_column_int(s, 0);
        out->last.unix_ms = sqlite3_column_int64(s, 1);
        out->last.boot_ms = sqlite3_column_int64(s, 2);
        store_column(s, 3, out->last.boot, sizeof out->last.boot);
    }
    return store_end(st, s, rc, THE_TRY, e);
}

static enum status put_tries(struct store *st, const char *person, int32_t wrong, const struct moment *now,
                             struct err *e)
{
    if (wrong == 0)
        return store_run(st, Q_TRIES_DROP, ARGS(TEXT(person)), THE_TRY, e);
    return store_run(st, Q_TRY_PUT,
                     ARGS(TEXT(person), INT(wrong), INT(now->unix_ms), INT(now->boot_ms), TEXT(now->boot)), THE_TRY, e);
}

/** How long one waits after so many wrong ones in a row. */
static int32_t wait_after_s(int32_t wrong)
{
    int32_t wait = wrong < PIN_FREE_TRIES ? 0 : PIN_WAIT_FIRST_S;
    for (int32_t n = PIN_FREE_TRIES; n < wrong && wait < PIN_WAIT_MOST_S; n++)
        wait *= 2;
    return wait < PIN_WAIT_MOST_S ? wait : PIN_WAIT_MOST_S;
}

/** As far as the numbers reach: what is kept may have been changed from outside. */
static int64_t difference(int64_t a, int64_t b)
{
    if (b < 0 && a > INT64_MAX + b)
        return INT64_MAX;
    return b > 0 && a < INT64_MIN + b ? INT64_MIN : a - b;
}

/** Since the last try; negative where the clock that has to be asked was set back. */
static int64_t elapsed_ms(const struct tries *t, const struct moment *now)
{
    const bool is_same_boot = now->boot[0] && strcmp(now->boot, t->last.boot) == 0;
    return is_same_boot ? difference(now->boot_ms, t->last.boot_ms) : difference(now->unix_ms, t->last.unix_ms);
}

static enum status say_wait(const char *person, int32_t wait_s, struct err *e)
{
    return err_set(e, ST_PIN, "After wrong PINs, %s can try again in %d second%s.", person, (int)wait_s,
                   wait_s == 1 ? "" : "s");
}

static int32_t one_more(const struct tries *t)
{
    return t->wrong < INT32_MAX ? t->wrong + 1 : INT32_MAX;
}

/** Write the try down before it is made; ST_PIN with *wait_s when it is too soon. before: as it was. The caller holds the
 *  transaction; *is_written says whether there is something to commit even then. */
static enum status count_try(struct store *st, const char *person, const struct moment *now, struct tries *before,
                             int32_t *wait_s, bool *is_written, struct err *e)
{
    enum status status = read_tries(st, person, before, e);
    if (status != ST_OK)
        return status;
    const int64_t wait_ms = 1000 * (int64_t)wait_after_s(before->wrong), passed = elapsed_ms(before, now);
    if (passed >= wait_ms || wait_ms == 0) {
        *is_written = true;
        return put_tries(st, person, one_more(before), now, e);
    }
    *wait_s = (int32_t)((wait_ms - (passed > 0 ? passed : 0) + 999) / 1000);
    if (passed < 0) {
        *is_written = true;
        status = put_tries(st, person, before->wrong, now, e); /* set back: the wait begins anew */
    }
    return status == ST_OK ? say_wait(person, *wait_s, e) : status;
}

static enum status begin_try(struct store *st, const char *person, const struct moment *now, struct tries *before,
                             int32_t *wait_s, struct err *e)
{
    bool is_written = false;
    enum status status = store_begin(st, THE_TRY, e);
    if (status != ST_OK)
        return status;
    status = count_try(st, person, now, before, wait_s, &is_written, e);
    const bool is_kept = is_written && (status == ST_OK || status == ST_PIN);
    struct err failed;
    enum status ended = store_finish(st, is_kept ? ST_OK : status, THE_TRY, is_kept ? &failed : NULL);
    if (!is_kept || ended == ST_OK)
        return status;
    return err_set(e, ended, "%s", failed.text);
}

static bool is_same_moment(const struct moment *a, const struct moment *b)
{
    return a->unix_ms == b->unix_ms && a->boot_ms == b->boot_ms && strcmp(a->boot, b->boot) == 0;
}

/** It was the right one: nothing is held against her any more. */
static enum status forget_tries(struct store *st, const char *person, struct err *e)
{
    enum status status = store_begin(st, THE_TRY, e);
    if (status != ST_OK)
        return status;
    return store_finish(st, put_tries(st, person, 0, NULL, e), THE_TRY, e);
}

/** None was tried after all: it is as it was before, unless somebody tried meanwhile. */
static enum status take_back(struct store *st, const char *person, const struct tries *before, const struct moment *now,
                             struct err *e)
{
    struct tries there;
    enum status status = store_begin(st, THE_TRY, e);
    if (status != ST_OK)
        return status;
    status = read_tries(st, person, &there, e);
    if (status == ST_OK && there.wrong == one_more(before) && is_same_moment(&there.last, now))
        status = put_tries(st, person, before->wrong, &before->last, e);
    return store_finish(st, status, THE_TRY, e);
}

enum status store_unlock(struct store *st, const char *person, const struct pin *pin, const struct moment *now,
                         struct signer **out, int32_t *wait_s, struct err *e)
{
    struct sealed_key key;
    struct tries before;
    bool has = false;
    *out = NULL;
    *wait_s = 0;
    enum status status = trust_init(e);
    if (status == ST_OK)
        status = read_secret(st, person, &key, &has, e);
    if (status == ST_OK && !has)
        status = no_key(person, e);
    if (status == ST_OK)
        status = begin_try(st, person, now, &before, wait_s, e);
    if (status != ST_OK)
        return status;
    status = key_unlock(&key, pin, out, e);
    if (status == ST_PIN)
        *wait_s = wait_after_s(one_more(&before));
    else if (status != ST_OK && take_back(st, person, &before, now, NULL) != ST_OK)
        return status;
    if (status != ST_OK)
        return status;
    status = forget_tries(st, person, e);
    if (status != ST_OK) {
        signer_free(*out);
        *out = NULL;
    }
    return status;
}
