/* SPDX-License-Identifier: GPL-3.0-or-later */
/** @file trust_hand.h  Signers with fixed keys (no PIN, so quick), and whole statements of every kind in their names. */
#ifndef TESTS_UNIT_TRUST_HAND_H
#define TESTS_UNIT_TRUST_HAND_H

#include <check.h>
#include <sodium.h>
#include <stdio.h>
#include <string.h>

#include "stillarm/text.h"
#include "trust/trust.h"

#define STORE_A "00112233445566778899aabbccddeeff"
#define STORE_B "ffeeddccbbaa99887766554433221100"

struct hand {
    char person[ITEM_CAP];
    enum signing_role role;
    unsigned char public_key[TRUST_PUBLIC_BYTES], secret[64];
    char id[KEY_ID_CAP];
};

/* The same seed gives the same key. */
static inline struct hand hand_make(const char *person, enum signing_role role, unsigned char seed)
{
    struct hand h = {.role = role};
    unsigned char seeds[32];
    ck_assert_int_eq(trust_init(NULL), ST_OK);
    memset(seeds, seed, sizeof seeds);
    ck_assert(text_copy(h.person, sizeof h.person, person));
    ck_assert_int_eq(crypto_sign_seed_keypair(h.public_key, h.secret, seeds), 0);
    key_id_of(h.public_key, h.id);
    return h;
}

static inline void set_text(char *to, size_t cap, const char *text)
{
    ck_assert(text_copy(to, cap, text));
}
#define SET(field, text) set_text(field, sizeof(field), text)

static inline void set_hex(char *to, size_t cap, char digit)
{
    memset(to, digit, cap - 1);
    to[cap - 1] = '\0';
}

/* Whom it is about. */
static inline void about(struct statement *s, const struct hand *of)
{
    const unsigned fields = STATEMENTS[s->kind].fields;
    if (fields & HAS_OF)
        SET(s->of, of->person);
    if (fields & HAS_OF_KEY) {
        memcpy(s->of_key, of->id, sizeof s->of_key);
        memcpy(s->of_public, of->public_key, sizeof s->of_public);
        s->of_role = of->role;
    }
}

/* A whole statement with something in every field of its kind: about sitting 14 that ana measured, or about the signer. */
static inline struct statement says(const struct hand *by, enum statement_kind kind, int64_t number)
{
    struct statement s;
    const unsigned fields = STATEMENTS[kind].fields;
    memset(&s, 0, sizeof s);
    s.kind = kind;
    s.number = number;
    s.role = by->role;
    SET(s.store, STORE_A);
    SET(s.person, by->person);
    memcpy(s.key, by->id, sizeof s.key);
    SET(s.at, "2031-03-02T14:34:10+01:00");
    set_hex(s.previous, sizeof s.previous, '7');
    about(&s, by);
    if (fields & HAS_SITTING) {
        s.sitting = 14;
        SET(s.opened, "2031-03-02T14:04:10+01:00");
        SET(s.measurer, "ana");
        s.events = 61;
        set_hex(s.head, sizeof s.head, 'a');
        s.earlier = number / 2;
    }
    if (fields & HAS_CLOSE) {
        s.attempts = 3;
        set_hex(s.attempts_hash, sizeof s.attempts_hash, 'b');
        set_hex(s.protocol_text, sizeof s.protocol_text, 'c');
        SET(s.boot, "5b1f0c9e-1c1b-4f57-9a55-0d7e5d7b8d10");
    }
    if (fields & HAS_WORD)
        SET(s.word, STATEMENTS[kind].words[0]);
    if (fields & HAS_EVENT)
        s.event = 17;
    if (fields & HAS_OPEN)
        s.open_ms = 184000;
    if (fields & HAS_SAID)
        SET(s.said, "the cuff \"adult\" was one size too small \\ see 17, caf\xC3\xA9");
    if (fields & HAS_HASH)
        set_hex(s.hash, sizeof s.hash, 'd');
    return s;
}

static inline size_t print_and_sign(const struct hand *by, const struct statement *s, char text[STATEMENT_CAP],
                                    unsigned char signature[TRUST_SIGNATURE_BYTES])
{
    const size_t n = statement_print(s, text);
    ck_assert_msg(n > 0, "%s by %s is not well formed", STATEMENTS[s->kind].word, by->person);
    ck_assert_int_eq(crypto_sign_detached(signature, NULL, (const unsigned char *)text, n, by->secret), 0);
    return n;
}

/* Signed as it stands, and told. */
static inline enum status tell(struct ring *r, const struct hand *by, const struct statement *s, struct err *e)
{
    char text[STATEMENT_CAP];
    unsigned char signature[TRUST_SIGNATURE_BYTES];
    const size_t n = print_and_sign(by, s, text, signature);
    return ring_take(r, s, text, n, signature, e);
}

#endif
