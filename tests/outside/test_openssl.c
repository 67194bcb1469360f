/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What this program signs, hashes and seals, done again by the libraries of others. */
#include <argon2.h>
#include <openssl/evp.h>
#include <stdlib.h>

#include "outside/known_key.h"

#define OPENSSL "OpenSSL's libcrypto"
#define TEXT_MAX 4200

/* The same bytes in every run. */
static void fill(unsigned char *out, size_t n, unsigned char round)
{
    const unsigned char seed[randombytes_SEEDBYTES] = {41, round};
    randombytes_buf_deterministic(out, n, seed);
}

/* Lengths about the blocks of either algorithm, and those of real statements. */
static size_t length_of(int round)
{
    static const size_t LENGTHS[] = {0, 1, 31, 32, 63, 64, 111, 112, 127, 128, 129, 255, 256, 257, 700, 1100, TEXT_MAX};
    return LENGTHS[(size_t)round % ARRAY_LEN(LENGTHS)];
}
#define ROUNDS 51

/* ---- Ed25519 ---- */

static bool openssl_takes(const unsigned char *public_key, const unsigned char *text, size_t n, const unsigned char *signature)
{
    EVP_PKEY *key = EVP_PKEY_new_raw_public_key(EVP_PKEY_ED25519, NULL, public_key, TRUST_PUBLIC_BYTES);
    EVP_MD_CTX *ctx = EVP_MD_CTX_new();
    ck_assert(key != NULL && ctx != NULL);
    ck_assert_int_eq(EVP_DigestVerifyInit(ctx, NULL, NULL, NULL, key), 1);
    const bool takes = EVP_DigestVerify(ctx, signature, TRUST_SIGNATURE_BYTES, text, n) == 1;
    EVP_MD_CTX_free(ctx);
    EVP_PKEY_free(key);
    return takes;
}

static void openssl_signs(const unsigned char seed[32], const unsigned char *text, size_t n, unsigned char *public_key,
                          unsigned char *signature)
{
    size_t public_len = TRUST_PUBLIC_BYTES, signature_len = TRUST_SIGNATURE_BYTES;
    EVP_PKEY *key = EVP_PKEY_new_raw_private_key(EVP_PKEY_ED25519, NULL, seed, 32);
    EVP_MD_CTX *ctx = EVP_MD_CTX_new();
    ck_assert(key != NULL && ctx != NULL);
    ck_assert_int_eq(EVP_PKEY_get_raw_public_key(key, public_key, &public_len), 1);
    ck_assert_int_eq(EVP_DigestSignInit(ctx, NULL, NULL, NULL, key), 1);
    ck_assert_int_eq(EVP_DigestSign(ctx, signature, &signature_len, text, n), 1);
    ck_assert_uint_eq(signature_len, TRUST_SIGNATURE_BYTES);
    EVP_MD_CTX_free(ctx);
    EVP_PKEY_free(key);
}

START_TEST(openssl_takes_what_this_program_signs)
{
    static unsigned char text[TEXT_MAX];
    struct pin *pin = typed_pin("739148");
    struct sealed_key k;
    struct signer *s = NULL;
    unsigned char signature[TRUST_SIGNATURE_BYTES];
    ck_assert_int_eq(key_make(pin, &k, &s, NULL), ST_OK);
    for (int round = 0; round < ROUNDS; round++) {
        const size_t n = length_of(round);
        fill(text, n, (unsigned char)round);
        trust_sign(s, text, n, signature);
        outside(REFERENCE, OPENSSL, openssl_takes(k.public_key, text, n, signature), "a signature over %zu bytes", n);
        signature[round] ^= 0x10;
        outside(REFERENCE, OPENSSL, !openssl_takes(k.public_key, text, n, signature), "the same, changed");
        outside(REFERENCE, OPENSSL, !trust_signed_by(k.public_key, text, n, signature), "the same here");
    }
    signer_free(s);
    pin_free(pin);
}
END_TEST

START_TEST(this_program_takes_what_openssl_signs)
{
    static unsigned char text[TEXT_MAX];
    unsigned char seed[32], public_key[TRUST_PUBLIC_BYTES], signature[TRUST_SIGNATURE_BYTES], own[TRUST_SIGNATURE_BYTES];
    for (int round = 0; round < ROUNDS; round++) {
        const size_t n = length_of(round);
        fill(seed, sizeof seed, (unsigned char)(100 + round));
        fill(text, n, (unsigned char)round);
        openssl_signs(seed, text, n, public_key, signature);
        outside(REFERENCE, OPENSSL, trust_signed_by(public_key, text, n, signature), "a signature over %zu bytes", n);
        struct signer *s = signer_of_seed(seed);
        outside(REFERENCE, OPENSSL, memcmp(signer_public(s), public_key, sizeof public_key) == 0, "the public key");
        trust_sign(s, text, n, own);
        outside(REFERENCE, OPENSSL, memcmp(own, signature, sizeof own) == 0, "the same signature over %zu bytes", n);
        signer_free(s);
        signature[63 - round] ^= 0x01;
        outside(REFERENCE, OPENSSL, !trust_signed_by(public_key, text, n, signature), "the same, changed");
        outside(REFERENCE, OPENSSL, !openssl_takes(public_key, text, n, signature), "the same there");
    }
}
END_TEST

/* A whole statement as it is signed. */
static struct statement some_statement(const struct signer *s, const char *said)
{
    struct statement st;
    memset(&st, 0, sizeof st);
    st.kind = SAYS_AMEND;
    st.number = 23;
    st.earlier = 11;
    st.role = SIGNS_TRAINEE;
    st.sitting = 14;
    st.events = 61;
    memset(st.store, '1', sizeof st.store - 1);
    memset(st.previous, '2', sizeof st.previous - 1);
    memset(st.head, '3', sizeof st.head - 1);
    memcpy(st.key, signer_key(s), sizeof st.key);
    (void)snprintf(st.person, sizeof st.person, "ana");
    (void)snprintf(st.measurer, sizeof st.measurer, "ana");
    (void)snprintf(st.at, sizeof st.at, "2031-03-02T14:34:10+01:00");
    (void)snprintf(st.opened, sizeof st.opened, "2031-03-02T14:04:10+01:00");
    (void)snprintf(st.said, sizeof st.said, "%s", said);
    return st;
}

START_TEST(openssl_takes_a_statement_and_no_other_text_under_it)
{
    const unsigned char seed[32] = {7};
    char text[STATEMENT_CAP];
    unsigned char signature[TRUST_SIGNATURE_BYTES];
    struct signer *s = signer_of_seed(seed);
    const struct statement st = some_statement(s, "the arm was held up, caf\xC3\xA9 \"next door\"");
    const size_t n = statement_print(&st, text);
    ck_assert_uint_gt(n, 0);
    trust_sign(s, text, n, signature);
    outside(REFERENCE, OPENSSL, openssl_takes(signer_public(s), (unsigned char *)text, n, signature), "a statement");
    int there = 0, here = 0;
    for (size_t i = 0; i < n; i++) {
        text[i] ^= 1;
        there += openssl_takes(signer_public(s), (unsigned char *)text, n, signature);
        here += trust_signed_by(signer_public(s), text, n, signature);
        text[i] ^= 1;
    }
    outside(REFERENCE, OPENSSL, there == 0 && here == 0, "with a byte changed, %d are taken there, %d here", there, here);
    signer_free(s);
}
END_TEST

/* ---- BLAKE2b ---- */

/* OpenSSL has the length of 512 bits alone; the function is the one that gives our 256, asked for more. */
START_TEST(blake2b_512_is_that_of_openssl)
{
    static unsigned char text[TEXT_MAX];
    for (int round = 0; round < ROUNDS; round++) {
        unsigned char got[64], want[64];
        unsigned want_len = sizeof want;
        const size_t n = length_of(round);
        fill(text, n, (unsigned char)round);
        ck_assert_int_eq(crypto_generichash(got, sizeof got, text, n, NULL, 0), 0);
        ck_assert_int_eq(EVP_Digest(text, n, want, &want_len, EVP_blake2b512(), NULL), 1);
        outside(REFERENCE, OPENSSL, memcmp(got, want, sizeof got) == 0, "BLAKE2b-512 of %zu bytes", n);
    }
}
END_TEST

/* What b2sum of the GNU coreutils prints for a file. */
static void b2sum(const unsigned char *text, size_t n, int bits, char *hex, size_t cap)
{
    char path[] = "/tmp/stillarm-b2sum-XXXXXX", command[120];
    const int fd = mkstemp(path);
    ck_assert_int_ge(fd, 0);
    FILE *f = fdopen(fd, "wb");
    ck_assert(f != NULL && fwrite(text, 1, n, f) == n && fclose(f) == 0);
    (void)snprintf(command, sizeof command, "b2sum -l %d <%s", bits, path);
    FILE *p = popen(command, "r");
    ck_assert(p != NULL && fread(hex, 1, cap - 1, p) == cap - 1);
    hex[cap - 1] = '\0';
    ck_assert_int_ge(pclose(p), 0);
    ck_assert_int_eq(remove(path), 0);
}

START_TEST(blake2b_256_and_128_are_those_of_b2sum)
{
    static unsigned char text[TEXT_MAX];
    for (int round = 0; round < ROUNDS / 3; round++) {
        unsigned char hash[TRUST_HASH_BYTES];
        char got[HASH_HEX_CAP], want[HASH_HEX_CAP];
        const size_t n = length_of(round);
        fill(text, n, (unsigned char)round);
        trust_hash(text, n, hash);
        trust_hex(hash, sizeof hash, got);
        b2sum(text, n, 256, want, sizeof want);
        outside(REFERENCE, "b2sum of GNU coreutils", strcmp(got, want) == 0, "BLAKE2b-256 of %zu bytes", n);
    }
    char id[KEY_ID_CAP], want[KEY_ID_CAP];
    fill(text, TRUST_PUBLIC_BYTES, 3);
    key_id_of(text, id);
    b2sum(text, TRUST_PUBLIC_BYTES, 128, want, sizeof want);
    outside(REFERENCE, "b2sum of GNU coreutils", strcmp(id, want) == 0, "the code of a key");
}
END_TEST

/* ---- Argon2id ---- */

/* The vector of RFC 9106 needs four lanes, a secret and associated data, which libsodium does not take. So its authors' own
 * library opens what this program sealed, and the other way round. */
#define ARGON2 "libargon2, the reference implementation of Argon2"

static void argon2_key(const struct sealed_key *k, const char *pin, unsigned char key[32])
{
    ck_assert_int_eq(argon2id_hash_raw((uint32_t)k->ops, (uint32_t)(k->memory_bytes / 1024), 1, pin, strlen(pin), k->salt,
                                       sizeof k->salt, key, 32), ARGON2_OK);
}

START_TEST(a_sealed_key_opens_with_the_key_that_libargon2_derives)
{
    static const char *const PINS[] = {"739148", "a longer one, with blanks"};
    for (size_t i = 0; i < ARRAY_LEN(PINS); i++) {
        struct pin *pin = typed_pin(PINS[i]);
        struct sealed_key k;
        unsigned char key[32], secret[crypto_sign_SECRETKEYBYTES];
        ck_assert_int_eq(key_make(pin, &k, NULL, NULL), ST_OK);
        argon2_key(&k, PINS[i], key);
        outside(REFERENCE, ARGON2, crypto_secretbox_open_easy(secret, k.box, sizeof k.box, k.nonce, key) == 0,
                "sealed here, opened there");
        outside(REFERENCE, ARGON2, memcmp(secret + 32, k.public_key, sizeof k.public_key) == 0, "the key inside");
        pin_free(pin);
    }
}
END_TEST

START_TEST(a_key_sealed_with_libargon2_unlocks_here)
{
    static const char PIN[] = "739148";
    struct sealed_key k = {.ops = 3, .memory_bytes = 1 << 20, .salt = {5}, .nonce = {6}};
    const unsigned char seed[32] = {8};
    unsigned char key[32], secret[crypto_sign_SECRETKEYBYTES];
    struct pin *pin = typed_pin(PIN);
    struct signer *s = NULL;
    ck_assert_int_eq(crypto_sign_seed_keypair(k.public_key, secret, seed), 0);
    key_id_of(k.public_key, k.id);
    argon2_key(&k, PIN, key);
    ck_assert_int_eq(crypto_secretbox_easy(k.box, secret, sizeof secret, k.nonce, key), 0);
    outside(REFERENCE, ARGON2, key_unlock(&k, pin, &s, NULL) == ST_OK, "sealed there, unlocked here");
    signer_free(s);
    pin_free(pin);
}
END_TEST

int main(void)
{
    if (trust_init(NULL) != ST_OK)
        return EXIT_FAILURE;
    Suite *suite = suite_create("signatures, hashes and keys by others");
    TCase *signatures = tcase_create("Ed25519"), *hashes = tcase_create("BLAKE2b"), *keys = tcase_create("Argon2id");
    tcase_add_test(signatures, openssl_takes_what_this_program_signs);
    tcase_add_test(signatures, this_program_takes_what_openssl_signs);
    tcase_add_test(signatures, openssl_takes_a_statement_and_no_other_text_under_it);
    tcase_add_test(hashes, blake2b_512_is_that_of_openssl);
    tcase_add_test(hashes, blake2b_256_and_128_are_those_of_b2sum);
    tcase_add_test(keys, a_sealed_key_opens_with_the_key_that_libargon2_derives);
    tcase_add_test(keys, a_key_sealed_with_libargon2_unlocks_here);
    suite_add_tcase(suite, signatures);
    suite_add_tcase(suite, hashes);
    suite_add_tcase(suite, keys);
    return outside_run(suite);
}
