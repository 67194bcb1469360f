/* SPDX-License-Identifier: GPL-3.0-or-later */
/** @file known_key.h  A signer of the program's own kind whose secret is given, so that others can have the same key. */
#ifndef TESTS_OUTSIDE_KNOWN_KEY_H
#define TESTS_OUTSIDE_KNOWN_KEY_H

#include <sodium.h>
#include <string.h>

#include "outside/outside.h"
#include "trust/trust.h"

static inline struct pin *typed_pin(const char *ascii)
{
    struct pin *p = NULL;
    ck_assert_int_eq(pin_new(&p, NULL), ST_OK);
    for (; *ascii; ascii++)
        ck_assert(pin_add(p, (unsigned char)*ascii));
    return p;
}

/* Sealed as a store keeps it (by the least work, for speed) and unlocked by the program. The caller frees. */
static inline struct signer *signer_of_seed(const unsigned char seed[32])
{
    static const char PIN[] = "739148";
    struct sealed_key k = {.ops = crypto_pwhash_OPSLIMIT_MIN, .memory_bytes = crypto_pwhash_MEMLIMIT_MIN};
    unsigned char secret[crypto_sign_SECRETKEYBYTES], key[crypto_secretbox_KEYBYTES];
    struct signer *s = NULL;
    struct pin *pin = typed_pin(PIN);
    ck_assert_int_eq(crypto_sign_seed_keypair(k.public_key, secret, seed), 0);
    key_id_of(k.public_key, k.id);
    ck_assert_int_eq(crypto_pwhash(key, sizeof key, PIN, strlen(PIN), k.salt, (unsigned long long)k.ops,
                                   (size_t)k.memory_bytes, crypto_pwhash_ALG_ARGON2ID13), 0);
    ck_assert_int_eq(crypto_secretbox_easy(k.box, secret, sizeof secret, k.nonce, key), 0);
    ck_assert_int_eq(key_unlock(&k, pin, &s, NULL), ST_OK);
    pin_free(pin);
    return s;
}

#endif
