/* SPDX-License-Identifier: GPL-3.0-or-later */
/** @file key.c  Key pairs: Ed25519, the secret sealed by a PIN, and the text of a key file. */
#include <sodium.h>
#include <stdlib.h>
#include <string.h>

#include "stillarm/text.h"
#include "trust/internal.h"

#define SECRET_BYTES 64
_Static_assert(SECRET_BYTES == crypto_sign_SECRETKEYBYTES, "the size of a secret key");
_Static_assert(TRUST_PUBLIC_BYTES == crypto_sign_PUBLICKEYBYTES, "the size of a public key");
_Static_assert(TRUST_SIGNATURE_BYTES == crypto_sign_BYTES, "the size of a signature");
_Static_assert(sizeof((struct sealed_key *)0)->salt == crypto_pwhash_SALTBYTES, "the size of a salt");
_Static_assert(sizeof((struct sealed_key *)0)->nonce == crypto_secretbox_NONCEBYTES, "the size of a nonce");
_Static_assert(sizeof((struct sealed_key *)0)->box == SECRET_BYTES + crypto_secretbox_MACBYTES,
               "the size of a box");

/* What a kept key may ask of the machine; beyond it, it is damaged or meant to exhaust us. */
#define OPS_MOST ((int64_t)crypto_pwhash_OPSLIMIT_SENSITIVE)
#define MEMORY_MOST ((int64_t)crypto_pwhash_MEMLIMIT_SENSITIVE)

struct signer {
    unsigned char *secret; /* guarded, no access but while it signs */
    unsigned char public_key[TRUST_PUBLIC_BYTES];
    char id[KEY_ID_CAP];
};

static enum status no_memory(struct err *e)
{
    return err_set(e, ST_NO_MEMORY, "There is no memory for a key. Close other programs and try again.");
}

void key_id_of(const unsigned char public_key[TRUST_PUBLIC_BYTES], char out[KEY_ID_CAP])
{
    unsigned char hash[16];
    crypto_generichash(hash, sizeof hash, public_key, TRUST_PUBLIC_BYTES, NULL, 0);
    trust_hex(hash, sizeof hash, out);
}

static enum status signer_new(struct signer **out, struct err *e)
{
    struct signer *s = calloc(1, sizeof *s);
    unsigned char *secret = sodium_malloc(SECRET_BYTES);
    if (!s || !secret) {
        free(s);
        sodium_free(secret);
        return no_memory(e);
    }
    s->secret = secret;
    *out = s;
    return ST_OK;
}

void signer_free(struct signer *s)
{
    if (!s)
        return;
    sodium_free(s->secret); /* wipes */
    sodium_memzero(s, sizeof *s);
    free(s);
}

const char *signer_key(const struct signer *s)
{
    return s->id;
}

const unsigned char *signer_public(const struct signer *s)
{
    return s->public_key;
}

/* ---- sealing ---- */

/** The key that seals the secret, in guarded memory that the caller frees with sodium_free; NULL: no memory.
 */
static unsigned char *sealing_key(const struct sealed_key *k, const struct pin *pin)
{
    size_t len;
    unsigned char *key = sodium_malloc(crypto_secretbox_KEYBYTES);
    if (!key)
        return NULL;
    const unsigned char *bytes = pin_open(pin, &len);
    const int failed =
        crypto_pwhash(key, crypto_secretbox_KEYBYTES, (const char *)bytes, len, k->salt,
                      (unsigned long long)k->ops, (size_t)k->memory_bytes, crypto_pwhash_ALG_ARGON2ID13);
    pin_close(pin);
    if (failed) {
        sodium_free(key);
        return NULL;
    }
    return key;
}

/* The secret must be readable. */
static enum status seal(const struct signer *s, const struct pin *pin, struct sealed_key *out, struct err *e)
{
    struct sealed_key k = {.ops = (int64_t)crypto_pwhash_OPSLIMIT_INTERACTIVE,
                           .memory_bytes = (int64_t)crypto_pwhash_MEMLIMIT_INTERACTIVE};
    enum status status = pin_check(pin, e);
    if (status != ST_OK)
        return status;
    memcpy(k.id, s->id, sizeof k.id);
    memcpy(k.public_key, s->public_key, sizeof k.public_key);
    randombytes_buf(k.salt, sizeof k.salt);
    randombytes_buf(k.nonce, sizeof k.nonce);
    unsigned char *key = sealing_key(&k, pin);
    if (!key)
        return no_memory(e);
    (void)crypto_secretbox_easy(k.box, s->secret, SECRET_BYTES, k.nonce,
                                key); /* fails only on absurd lengths */
    sodium_free(key);
    *out = k;
    return ST_OK;
}

enum status key_make(const struct pin *pin, struct sealed_key *out, struct signer **signer, struct err *e)
{
    struct signer *s = NULL;
    enum status status = trust_init(e);
    if (status == ST_OK)
        status = signer_new(&s, e);
    if (status != ST_OK || !s)
        return status;
    (void)crypto_sign_keypair(s->public_key, s->secret);
    key_id_of(s->public_key, s->id);
    status = seal(s, pin, out, e);
    (void)sodium_mprotect_noaccess(s->secret);
    if (status == ST_OK && signer)
        *signer = s;
    else
        signer_free(s);
    return status;
}

enum status key_reseal(const struct signer *s, const struct pin *pin, struct sealed_key *out, struct err *e)
{
    (void)sodium_mprotect_readonly(s->secret);
    const enum status status = seal(s, pin, out, e);
    (void)sodium_mprotect_noaccess(s->secret);
    return status;
}

/* ---- unlocking ---- */

static bool is_possible(const struct sealed_key *k)
{
    char id[KEY_ID_CAP];
    key_id_of(k->public_key, id);
    return memcmp(id, k->id, sizeof id) == 0 && k->ops >= (int64_t)crypto_pwhash_OPSLIMIT_MIN &&
           k->ops <= OPS_MOST && k->memory_bytes >= (int64_t)crypto_pwhash_MEMLIMIT_MIN &&
           k->memory_bytes <= MEMORY_MOST;
}

/* Does what came out of the box belong to the public key? Its second half repeats that key, its first half
 * makes it. */
static bool is_of(const unsigned char *secret, const unsigned char public_key[TRUST_PUBLIC_BYTES])
{
    unsigned char made[TRUST_PUBLIC_BYTES];
    unsigned char *twin = sodium_malloc(SECRET_BYTES);
    if (!twin)
        return false;
    (void)crypto_sign_seed_keypair(made, twin, secret);
    const bool is_same =
        sodium_memcmp(twin, secret, SECRET_BYTES) == 0 && memcmp(made, public_key, sizeof made) == 0;
    sodium_free(twin);
    return is_same;
}

static enum status open_box(struct signer *s, const struct sealed_key *k, const struct pin *pin,
                            struct err *e)
{
    unsigned char *key = sealing_key(k, pin);
    if (!key)
        return no_memory(e);
    const bool is_right = crypto_secretbox_open_easy(s->secret, k->box, sizeof k->box, k->nonce, key) == 0;
    sodium_free(key);
    if (!is_right)
        return err_set(e, ST_PIN, "That is not the PIN.");
    if (!is_of(s->secret, k->public_key))
        return err_set(e, ST_CORRUPT,
                       "The kept key does not belong to its public key: it was changed. Restore a backup.");
    memcpy(s->public_key, k->public_key, sizeof s->public_key);
    memcpy(s->id, k->id, sizeof s->id);
    return ST_OK;
}

enum status key_unlock(const struct sealed_key *k, const struct pin *pin, struct signer **out, struct err *e)
{
    struct signer *s = NULL;
    enum status status = trust_init(e);
    if (status == ST_OK && !is_possible(k))
        status = err_set(e, ST_CORRUPT,
                         "What is kept cannot be a key: it was damaged or changed. Restore a backup.");
    if (status == ST_OK)
        status = signer_new(&s, e);
    if (status != ST_OK)
        return status;
    status = open_box(s, k, pin, e);
    if (status != ST_OK) {
        signer_free(s);
        return status;
    }
    (void)sodium_mprotect_noaccess(s->secret);
    *out = s;
    return ST_OK;
}

/* ---- signing ---- */

void trust_sign(const struct signer *s, const void *text, size_t len,
                unsigned char out[TRUST_SIGNATURE_BYTES])
{
    (void)sodium_mprotect_readonly(s->secret);
    (void)crypto_sign_detached(out, NULL, text, len, s->secret);
    (void)sodium_mprotect_noaccess(s->secret);
}

bool trust_signed_by(const unsigned char public_key[TRUST_PUBLIC_BYTES], const void *text, size_t len,
                     const unsigned char signature[TRUST_SIGNATURE_BYTES])
{
    return crypto_sign_verify_detached(signature, text, len, public_key) == 0;
}
