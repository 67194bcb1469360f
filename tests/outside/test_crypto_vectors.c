/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The published test vectors of what signatures rest on, through the functions that the program uses. */
#include <stdlib.h>

#include "outside/known_key.h"

#define RFC_8032 "RFC 8032, section 7.1"
#define RFC_7693 "RFC 7693"

/* ---- Ed25519 ---- */

static const struct {
    const char *name, *seed, *public_key, *signature, *message;
} ED25519[] = {
    {"test 1", "9d61b19deffd5a60ba844af492ec2cc44449c5697b326919703bac031cae7f60",
     "d75a980182b10ab7d54bfed3c964073a0ee172f3daa62325af021a68f707511a",
     "e5564300c360ac729086e2cc806e828a84877f1eb8e5d974d873e06522490155"
     "5fb8821590a33bacc61e39701cf9b46bd25bf5f0595bbe24655141438e7a100b",
     ""},
    {"test 2", "4ccd089b28ff96da9db6c346ec114e0f5b8a319f35aba624da8cf6ed4fb8a6fb",
     "3d4017c3e843895a92b70aa74d1b7ebc9c982ccf2ec4968cc0cd55f12af4660c",
     "92a009a9f0d4cab8720e820b5f642540a2b27b5416503f8fb3762223ebdb69da"
     "085ac1e43e15996e458f3613d0f11d8c387b2eaeb4302aeeb00d291612bb0c00",
     "72"},
    {"test 3", "c5aa8df43f9f837bedb7442f31dcb7b166d38535076f094b85ce3a2e0b4458f7",
     "fc51cd8e6218a1a38da47ed00230f0580816ed13ba3303ac5deb911548908025",
     "6291d657deec24024827e69c3abe01a30ce548a284743a445e3680d7db5ac3ac"
     "18ff9b538d16f290ae67f760984dc6594a7c15e9716ed28dc027beceea1ec40a",
     "af82"},
    {"test 1024", "f5e5767cf153319517630f226876b86c8160cc583bc013744c6bf255f5cc0ee5",
     "278117fc144c72340f67d0f2316e8386ceffbf2b2428c9c51fef7c597f1d426e",
     "0aab4c900501b3e24d7cdf4663326a3a87df5e4843b2cbdb67cbf6e460fec350"
     "aa5371b1508f9f4528ecea23c436d94b5e8fcd4f681e30a6ac00a9704a188a03",
     "08b8b2b733424243760fe426a4b54908632110a66c2f6591eabd3345e3e4eb98"
     "fa6e264bf09efe12ee50f8f54e9f77b1e355f6c50544e23fb1433ddf73be84d8"
     "79de7c0046dc4996d9e773f4bc9efe5738829adb26c81b37c93a1b270b20329d"
     "658675fc6ea534e0810a4432826bf58c941efb65d57a338bbd2e26640f89ffbc"
     "1a858efcb8550ee3a5e1998bd177e93a7363c344fe6b199ee5d02e82d522c4fe"
     "ba15452f80288a821a579116ec6dad2b3b310da903401aa62100ab5d1a36553e"
     "06203b33890cc9b832f79ef80560ccb9a39ce767967ed628c6ad573cb116dbef"
     "efd75499da96bd68a8a97b928a8bbc103b6621fcde2beca1231d206be6cd9ec7"
     "aff6f6c94fcd7204ed3455c68c83f4a41da4af2b74ef5c53f1d8ac70bdcb7ed1"
     "85ce81bd84359d44254d95629e9855a94a7c1958d1f8ada5d0532ed8a5aa3fb2"
     "d17ba70eb6248e594e1a2297acbbb39d502f1a8c6eb6f1ce22b3de1a1f40cc24"
     "554119a831a9aad6079cad88425de6bde1a9187ebb6092cf67bf2b13fd65f270"
     "88d78b7e883c8759d2c4f5c65adb7553878ad575f9fad878e80a0c9ba63bcbcc"
     "2732e69485bbc9c90bfbd62481d9089beccf80cfe2df16a2cf65bd92dd597b07"
     "07e0917af48bbb75fed413d238f5555a7a569d80c3414a8d0859dc65a46128ba"
     "b27af87a71314f318c782b23ebfe808b82b0ce26401d2e22f04d83d1255dc51a"
     "ddd3b75a2b1ae0784504df543af8969be3ea7082ff7fc9888c144da2af58429e"
     "c96031dbcad3dad9af0dcbaaaf268cb8fcffead94f3c7ca495e056a9b47acdb7"
     "51fb73e666c6c655ade8297297d07ad1ba5e43f1bca32301651339e22904cc8c"
     "42f58c30c04aafdb038dda0847dd988dcda6f3bfd15c4b4c4525004aa06eeff8"
     "ca61783aacec57fb3d1f92b0fe2fd1a85f6724517b65e614ad6808d6f6ee34df"
     "f7310fdc82aebfd904b01e1dc54b2927094b2db68d6f903b68401adebf5a7e08"
     "d78ff4ef5d63653a65040cf9bfd4aca7984a74d37145986780fc0b16ac451649"
     "de6188a7dbdf191f64b5fc5e2ab47b57f7f7276cd419c17a3ca8e1b939ae49e4"
     "88acba6b965610b5480109c8b17b80e1b7b750dfc7598d5d5011fd2dcc5600a3"
     "2ef5b52a1ecc820e308aa342721aac0943bf6686b64b2579376504ccc493d97e"
     "6aed3fb0f9cd71a43dd497f01f17c0e2cb3797aa2a2f256656168e6c496afc5f"
     "b93246f6b1116398a346f1a641f3b041e989f7914f90cc2c7fff357876e506b5"
     "0d334ba77c225bc307ba537152f3f1610e4eafe595f6d9d90d11faa933a15ef1"
     "369546868a7f3a45a96768d40fd9d03412c091c6315cf4fde7cb68606937380d"
     "b2eaaa707b4c4185c32eddcdd306705e4dc1ffc872eeee475a64dfac86aba41c"
     "0618983f8741c5ef68d3a101e8a3b8cac60c905c15fc910840b94c00a0b9d0"},
    {"test SHA(abc)", "833fe62409237b9d62ec77587520911e9a759cec1d19755b7da901b96dca3d42",
     "ec172b93ad5e563bf4932c70e1245034c35467ef2efd4d64ebf819683467e2bf",
     "dc2a4459e7369633a52b1bf277839a00201009a3efbf3ecb69bea2186c26b589"
     "09351fc9ac90b3ecfdfbc7c66431e0303dca179c138ac17ad9bef1177331a704",
     "ddaf35a193617abacc417349ae20413112e6fa4e89a97ea20a9eeee64b55d39a"
     "2192992a274fc1a836ba3c23a3feebbd454d4423643ce80e2a9ac94fa54ca49f"},
};

static void unhex(const char *hex, unsigned char *out, size_t n)
{
    ck_assert_msg(trust_unhex(hex, out, n), "a vector is mistyped: %s", hex);
}

START_TEST(ed25519_gives_the_published_keys_and_signatures)
{
    unsigned char seed[32], public_key[32], signature[64], got[64], message[1024];
    const char *name = ED25519[_i].name;
    const size_t n = strlen(ED25519[_i].message) / 2;
    unhex(ED25519[_i].seed, seed, sizeof seed);
    unhex(ED25519[_i].public_key, public_key, sizeof public_key);
    unhex(ED25519[_i].signature, signature, sizeof signature);
    unhex(ED25519[_i].message, message, n);
    struct signer *s = signer_of_seed(seed);
    outside(PUBLISHED, RFC_8032, memcmp(signer_public(s), public_key, sizeof public_key) == 0, "%s: the public key", name);
    trust_sign(s, message, n, got);
    outside(PUBLISHED, RFC_8032, memcmp(got, signature, sizeof got) == 0, "%s: the signature", name);
    outside(PUBLISHED, RFC_8032, trust_signed_by(public_key, message, n, signature), "%s: the signature is taken", name);
    int taken = 0;
    for (size_t i = 0; i < sizeof signature; i++) {
        signature[i] ^= 1;
        taken += trust_signed_by(public_key, message, n, signature);
        signature[i] ^= 1;
    }
    outside(CALCULATED, RFC_8032, taken == 0, "%s: %d of 64 signatures with a byte changed are taken", name, taken);
    message[n] = 0;
    outside(CALCULATED, RFC_8032, !trust_signed_by(public_key, message, n + 1, signature), "%s: a byte more", name);
    signer_free(s);
}
END_TEST

/* Section 5.1.7: S must lie below the order of the group, else one signature would have several forms. */
START_TEST(ed25519_refuses_a_second_form_of_a_signature)
{
    static const unsigned char ORDER[32] = {0xED, 0xD3, 0xF5, 0x5C, 0x1A, 0x63, 0x12, 0x58, 0xD6, 0x9C, 0xF7,
                                            0xA2, 0xDE, 0xF9, 0xDE, 0x14, [31] = 0x10};
    unsigned char public_key[32], signature[64], message[2];
    unhex(ED25519[2].public_key, public_key, sizeof public_key);
    unhex(ED25519[2].signature, signature, sizeof signature);
    unhex(ED25519[2].message, message, sizeof message);
    sodium_add(signature + 32, ORDER, sizeof ORDER);
    outside(CALCULATED, "RFC 8032, section 5.1.7", !trust_signed_by(public_key, message, sizeof message, signature),
            "S and the order of the group");
}
END_TEST

/* ---- BLAKE2b ---- */

START_TEST(blake2b_gives_the_published_hash_of_abc)
{
    static const char ABC[] = "ba80a53f981c4d0d6a2797b69f12f6e94c212f14685ac4b74b12bb6fdbffa2d1"
                              "7d87c5392aab792dc252d5de4533cc9518d38aa8dbf1925ab92386edd4009923";
    unsigned char want[64], got[64];
    unhex(ABC, want, sizeof want);
    ck_assert_int_eq(crypto_generichash(got, sizeof got, (const unsigned char *)"abc", 3, NULL, 0), 0);
    outside(PUBLISHED, RFC_7693 ", appendix A", memcmp(got, want, sizeof got) == 0, "BLAKE2b-512 of abc");
}
END_TEST

/* The sequence that appendix E defines. */
static void fill(unsigned char *out, size_t len, uint32_t seed)
{
    uint32_t a = 0xDEAD4BADu * seed, b = 1;
    for (size_t i = 0; i < len; i++) {
        const uint32_t sum = a + b;
        a = b;
        b = sum;
        out[i] = (unsigned char)(sum >> 24);
    }
}

/* Appendix E hashes 48 hashes (four lengths, six inputs, with and without a key); the published one is over all of them.
 * Those of 32 bytes without a key, and that last one, go through the function that chains and statements use. */
START_TEST(blake2b_gives_the_published_hash_of_hashes)
{
    static const size_t LENGTHS[] = {20, 32, 48, 64}, INPUTS[] = {0, 3, 128, 129, 255, 1024};
    static const char GRAND[] = "c23a7800d98123bd10f506c61e29da5603d763b8bbad2e737f5e765a7bccd475";
    unsigned char all[2 * 6 * (20 + 32 + 48 + 64)], input[1024], key[64], want[32], got[TRUST_HASH_BYTES];
    size_t at = 0;
    for (size_t i = 0; i < ARRAY_LEN(LENGTHS); i++) {
        const size_t len = LENGTHS[i];
        for (size_t j = 0; j < ARRAY_LEN(INPUTS); j++) {
            fill(input, INPUTS[j], (uint32_t)INPUTS[j]);
            fill(key, len, (uint32_t)len);
            if (len == TRUST_HASH_BYTES)
                trust_hash(input, INPUTS[j], all + at);
            else
                ck_assert_int_eq(crypto_generichash(all + at, len, input, INPUTS[j], NULL, 0), 0);
            ck_assert_int_eq(crypto_generichash(all + at + len, len, input, INPUTS[j], key, len), 0);
            at += 2 * len;
        }
    }
    ck_assert_uint_eq(at, sizeof all);
    unhex(GRAND, want, sizeof want);
    trust_hash(all, sizeof all, got);
    outside(PUBLISHED, RFC_7693 ", appendix E", memcmp(got, want, sizeof got) == 0, "BLAKE2b-256 of the 48 hashes");
}
END_TEST

/* The chain hashes piece by piece; the result must be that of one piece. */
START_TEST(chains_are_blake2b_of_their_documented_bytes)
{
    static const char BYTES[] = "stillarm sitting 1\n00112233445566778899aabbccddeeff\n14\n";
    unsigned char hash[TRUST_HASH_BYTES], joined[TRUST_HASH_BYTES + 64];
    struct chain c;
    chain_begin(&c, "00112233445566778899aabbccddeeff", 14);
    trust_hash(BYTES, sizeof BYTES - 1, hash);
    outside(CALCULATED, RFC_7693, memcmp(c.hash, hash, sizeof hash) == 0, "the beginning of a chain");
    memcpy(joined, c.hash, sizeof c.hash);
    memcpy(joined + sizeof c.hash, "9.000 seal\n1930000000000 81234\n", 31 + 1);
    chain_event(&c, "9.000 seal", 10, 1930000000000, 81234);
    trust_hash(joined, sizeof c.hash + 31, hash);
    outside(CALCULATED, RFC_7693, memcmp(c.hash, hash, sizeof hash) == 0, "its first event");
}
END_TEST

int main(void)
{
    if (trust_init(NULL) != ST_OK)
        return EXIT_FAILURE;
    Suite *suite = suite_create("published vectors");
    TCase *signatures = tcase_create("Ed25519"), *hashes = tcase_create("BLAKE2b");
    tcase_add_loop_test(signatures, ed25519_gives_the_published_keys_and_signatures, 0, (int)ARRAY_LEN(ED25519));
    tcase_add_test(signatures, ed25519_refuses_a_second_form_of_a_signature);
    tcase_add_test(hashes, blake2b_gives_the_published_hash_of_abc);
    tcase_add_test(hashes, blake2b_gives_the_published_hash_of_hashes);
    tcase_add_test(hashes, chains_are_blake2b_of_their_documented_bytes);
    suite_add_tcase(suite, signatures);
    suite_add_tcase(suite, hashes);
    return outside_run(suite);
}
