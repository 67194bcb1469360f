/* SPDX-License-Identifier: GPL-3.0-or-later */
/* PINs and the keys that they seal; what stays in memory of either. */
#include <fcntl.h>
#include <stdlib.h>
#include <unistd.h>

#include "unit/trust_hand.h"

static struct pin *typed(const char *text)
{
    struct pin *p = NULL;
    ck_assert_int_eq(pin_new(&p, NULL), ST_OK);
    for (size_t i = 0, n = strlen(text); i < n;) {
        uint32_t c = 0;
        i += utf8_decode(text + i, n - i, &c);
        ck_assert(pin_add(p, c));
    }
    return p;
}

/* ---- typing ---- */

START_TEST(pin_counts_characters_and_takes_the_last_one_back_whole)
{
    struct pin *p = typed("ab\xC3\xA9\xF0\x9F\x98\x80"), *want = typed("ab");
    ck_assert_int_eq(pin_length(p), 4);
    pin_back(p);
    ck_assert_int_eq(pin_length(p), 3);
    pin_back(p);
    ck_assert(pin_equal(p, want));
    for (int i = 0; i < 5; i++)
        pin_back(p);
    ck_assert_int_eq(pin_length(p), 0);
    pin_clear(want);
    ck_assert(pin_equal(p, want));
    pin_free(p);
    pin_free(want);
    pin_free(NULL);
}
END_TEST

START_TEST(pin_add_refuses_what_is_no_character_or_does_not_fit)
{
    struct pin *p = typed("");
    ck_assert(!pin_add(p, '\n'));
    ck_assert(!pin_add(p, 0));
    ck_assert(!pin_add(p, 0x7F));
    ck_assert(!pin_add(p, 0xD800));
    ck_assert(!pin_add(p, 0x110000));
    ck_assert(!pin_add(p, 0x202E));
    for (int i = 0; i < PIN_MAX - 1; i++)
        ck_assert(pin_add(p, 'x'));
    ck_assert(!pin_add(p, 0xE9)); /* two bytes, one is left */
    ck_assert(pin_add(p, 'y'));
    ck_assert(!pin_add(p, 'z'));
    ck_assert_int_eq(pin_length(p), PIN_MAX);
    pin_free(p);
}
END_TEST

START_TEST(pin_check_wants_six_characters_that_are_no_row)
{
    static const struct {
        const char *pin;
        enum status status;
        const char *why;
    } ROWS[] = {
        {"", ST_RANGE, "empty"},
        {"73914", ST_RANGE, "one too short"},
        {"739148", ST_OK, "just long enough"},
        {"\xC3\xA9\xC3\xA8\xC3\xAA", ST_RANGE, "six bytes are not six characters"},
        {"\xC3\xA9k\xC3\xA8m\xC3\xAAq", ST_OK, "six characters of more bytes"},
        {"000000", ST_RANGE, "one digit repeated"},
        {"aaaaaaaaaa", ST_RANGE, "one letter repeated"},
        {"123456", ST_RANGE, "a row upwards"},
        {"987654321", ST_RANGE, "a row downwards"},
        {"567890", ST_RANGE, "a row over the zero"},
        {"098765", ST_RANGE, "the same back"},
        {"abcdefgh", ST_RANGE, "a row of letters"},
        {"123457", ST_OK, "the row is broken at its end"},
        {"023456", ST_OK, "the row is broken at its beginning"},
        {"112233", ST_OK, "no even step"},
        {"121212", ST_OK, "to and fro is no row"},
    };
    for (size_t i = 0; i < ARRAY_LEN(ROWS); i++) {
        struct pin *p = typed(ROWS[i].pin);
        struct err e = {.code = ST_OK};
        ck_assert_msg(pin_check(p, &e) == ROWS[i].status, "%s", ROWS[i].why);
        ck_assert_msg(ROWS[i].status == ST_OK || strlen(e.text) > 20, "%s: no words", ROWS[i].why);
        pin_free(p);
    }
}
END_TEST

START_TEST(pin_equal_sees_one_character_more_less_or_other)
{
    struct pin *p = typed("739148"), *same = typed("739148"), *longer = typed("7391480"), *other = typed("739149");
    ck_assert(pin_equal(p, same));
    ck_assert(!pin_equal(p, longer));
    ck_assert(!pin_equal(longer, p));
    ck_assert(!pin_equal(p, other));
    pin_free(p);
    pin_free(same);
    pin_free(longer);
    pin_free(other);
}
END_TEST

/* ---- keys ---- */

START_TEST(key_unlocks_with_its_pin_alone_and_signs_as_the_same_key)
{
    struct pin *right = typed("739148"), *wrong = typed("739149");
    struct sealed_key k;
    struct signer *made = NULL, *s = NULL;
    struct err e = {.code = ST_OK};
    unsigned char a[TRUST_SIGNATURE_BYTES], b[TRUST_SIGNATURE_BYTES];
    char id[KEY_ID_CAP];
    ck_assert_int_eq(key_make(right, &k, &made, &e), ST_OK);
    key_id_of(k.public_key, id);
    ck_assert_str_eq(k.id, id);
    ck_assert_str_eq(signer_key(made), id);
    ck_assert_mem_eq(signer_public(made), k.public_key, TRUST_PUBLIC_BYTES);
    ck_assert_int_eq(key_unlock(&k, wrong, &s, &e), ST_PIN);
    ck_assert_ptr_null(s);
    ck_assert_int_eq(key_unlock(&k, right, &s, &e), ST_OK);
    trust_sign(made, "text", 4, a);
    trust_sign(s, "text", 4, b);
    ck_assert_mem_eq(a, b, sizeof a);
    ck_assert(trust_signed_by(k.public_key, "text", 4, a));
    ck_assert(!trust_signed_by(k.public_key, "texd", 4, a));
    a[40] ^= 1;
    ck_assert(!trust_signed_by(k.public_key, "text", 4, a));
    signer_free(made);
    signer_free(s);
    signer_free(NULL);
    pin_free(right);
    pin_free(wrong);
}
END_TEST

START_TEST(key_reseal_keeps_the_key_and_changes_the_pin)
{
    struct pin *old = typed("739148"), *fresh = typed("a longer one"), *easy = typed("111111");
    struct sealed_key k, again, before;
    struct signer *s = NULL, *t = NULL;
    ck_assert_int_eq(key_make(old, &k, &s, NULL), ST_OK);
    memset(&again, 0x5A, sizeof again);
    memcpy(&before, &again, sizeof before);
    ck_assert_int_eq(key_reseal(s, easy, &again, NULL), ST_RANGE);
    ck_assert_mem_eq(&again, &before, sizeof again);
    ck_assert_int_eq(key_reseal(s, fresh, &again, NULL), ST_OK);
    ck_assert_str_eq(again.id, k.id);
    ck_assert_mem_eq(again.public_key, k.public_key, sizeof k.public_key);
    ck_assert_mem_ne(again.salt, k.salt, sizeof k.salt);
    ck_assert_mem_ne(again.nonce, k.nonce, sizeof k.nonce);
    ck_assert_int_eq(key_unlock(&again, old, &t, NULL), ST_PIN);
    ck_assert_int_eq(key_unlock(&again, fresh, &t, NULL), ST_OK);
    ck_assert_str_eq(signer_key(t), k.id);
    signer_free(s);
    signer_free(t);
    pin_free(old);
    pin_free(fresh);
    pin_free(easy);
}
END_TEST

START_TEST(key_make_refuses_a_pin_that_may_not_be_chosen)
{
    struct pin *p = typed("123456");
    struct sealed_key k;
    struct signer *s = NULL;
    ck_assert_int_eq(key_make(p, &k, &s, NULL), ST_RANGE);
    ck_assert_ptr_null(s);
    pin_free(p);
}
END_TEST

/* What somebody with the file may have changed: each must be met, none may exhaust the machine. */
START_TEST(key_unlock_names_a_changed_key)
{
    struct pin *p = typed("739148");
    struct sealed_key k, other;
    struct signer *s = NULL;
    ck_assert_int_eq(key_make(p, &k, NULL, NULL), ST_OK);
    ck_assert_int_eq(key_make(p, &other, NULL, NULL), ST_OK);
    struct sealed_key bad = k;
    bad.memory_bytes = INT64_C(1) << 50;
    ck_assert_int_eq(key_unlock(&bad, p, &s, NULL), ST_CORRUPT);
    bad = k;
    bad.ops = 0;
    ck_assert_int_eq(key_unlock(&bad, p, &s, NULL), ST_CORRUPT);
    bad = k;
    bad.ops = 1000000;
    ck_assert_int_eq(key_unlock(&bad, p, &s, NULL), ST_CORRUPT);
    bad = k;
    bad.id[0] = bad.id[0] == '0' ? '1' : '0';
    ck_assert_int_eq(key_unlock(&bad, p, &s, NULL), ST_CORRUPT);
    bad = k;
    bad.box[70] ^= 1;
    ck_assert_int_eq(key_unlock(&bad, p, &s, NULL), ST_PIN); /* cannot be told from another PIN */
    bad = other; /* another person's public key before her own secret */
    memcpy(bad.salt, k.salt, sizeof bad.salt);
    memcpy(bad.nonce, k.nonce, sizeof bad.nonce);
    memcpy(bad.box, k.box, sizeof bad.box);
    ck_assert_int_eq(key_unlock(&bad, p, &s, NULL), ST_CORRUPT);
    ck_assert_ptr_null(s);
    pin_free(p);
}
END_TEST

/* ---- key files ---- */

static struct sealed_key some_key(void)
{
    struct sealed_key k = {.ops = 2, .memory_bytes = 67108864};
    const struct hand h = hand_make("x", SIGNS_COURSE, 9);
    memcpy(k.id, h.id, sizeof k.id);
    memcpy(k.public_key, h.public_key, sizeof k.public_key);
    memset(k.salt, 0x11, sizeof k.salt);
    memset(k.nonce, 0xA2, sizeof k.nonce);
    memset(k.box, 0x33, sizeof k.box);
    return k;
}

START_TEST(key_file_comes_back_as_it_was)
{
    const struct sealed_key k = some_key();
    struct sealed_key back;
    char text[KEY_FILE_CAP], again[KEY_FILE_CAP];
    const size_t n = key_file_print(&k, text);
    ck_assert_uint_eq(n, strlen(text));
    ck_assert_int_eq(key_file_parse(text, n, &back, NULL), ST_OK);
    ck_assert_uint_eq(key_file_print(&back, again), n);
    ck_assert_mem_eq(text, again, n);
    ck_assert_mem_eq(back.box, k.box, sizeof k.box);
}
END_TEST

START_TEST(key_file_is_refused_cut_longer_newer_or_with_any_byte_changed)
{
    const struct sealed_key k = some_key();
    struct sealed_key back;
    char text[KEY_FILE_CAP + 8];
    struct err e = {.code = ST_OK};
    const size_t n = key_file_print(&k, text);
    for (size_t cut = 0; cut < n; cut++) {
        ck_assert_msg(key_file_parse(text, cut, &back, &e) == ST_SYNTAX, "cut to %zu bytes", cut);
        ck_assert(is_plain_text(e.text, 599));
    }
    for (size_t i = 0; i < n; i++) {
        for (int bit = 0; bit < 8; bit++) {
            text[i] = (char)(text[i] ^ (1 << bit));
            ck_assert_msg(key_file_parse(text, n, &back, &e) != ST_OK, "byte %zu, bit %d", i, bit);
            text[i] = (char)(text[i] ^ (1 << bit));
        }
    }
    memcpy(text + n, "more\n", 5);
    ck_assert_int_eq(key_file_parse(text, n + 5, &back, &e), ST_SYNTAX);
    text[sizeof "stillarm key " - 1] = '2';
    ck_assert_int_eq(key_file_parse(text, n, &back, &e), ST_NEWER);
}
END_TEST

/* ---- what stays in memory ---- */

/* Never whole in the program: a search would find its own copy. */
#define MASK 0x55
static const unsigned char MASKED[] = {'q' ^ MASK, '7' ^ MASK, 'Z' ^ MASK, 'k' ^ MASK, '2' ^ MASK, 'w' ^ MASK, 'R' ^ MASK,
                                       '9' ^ MASK, 'x' ^ MASK, '4' ^ MASK, 'u' ^ MASK, 'J' ^ MASK, 'e' ^ MASK, '6' ^ MASK};
#define LARGE_MAP 0x20000000UL /* only the sanitizer's shadow is that large */
static unsigned char window[1 << 16];

static bool is_here(size_t at)
{
    for (size_t i = 0; i < sizeof MASKED; i++)
        if ((window[at + i] ^ MASK) != MASKED[i])
            return false;
    return true;
}

static int count_in(int memory, unsigned long from, unsigned long to)
{
    int found = 0;
    for (unsigned long at = from; at < to; at += sizeof window - sizeof MASKED + 1) {
        const size_t want = to - at < sizeof window ? to - at : sizeof window;
        const ssize_t n = pread(memory, window, want, (off_t)at);
        for (ssize_t i = 0; i + (ssize_t)sizeof MASKED <= n; i++)
            found += is_here((size_t)i);
        sodium_memzero(window, sizeof window);
    }
    return found;
}

/* How often the PIN lies in the process; dumped: where a core would have it (all that is not marked dd). */
static void count_pin(int *everywhere, int *dumped)
{
    FILE *maps = fopen("/proc/self/smaps", "r");
    const int memory = open("/proc/self/mem", O_RDONLY);
    char line[512];
    unsigned long from = 0, to = 0, a, b;
    int here = 0;
    ck_assert(maps != NULL && memory >= 0);
    *everywhere = *dumped = 0;
    while (fgets(line, sizeof line, maps)) {
        if (sscanf(line, "%lx-%lx ", &a, &b) == 2) {
            from = a;
            to = b;
            here = to - from < LARGE_MAP ? count_in(memory, from, to) : 0;
            *everywhere += here;
        } else if (strncmp(line, "VmFlags:", 8) == 0 && !strstr(line, " dd")) {
            *dumped += here;
        }
    }
    ck_assert_int_eq(fclose(maps), 0);
    ck_assert_int_eq(close(memory), 0);
}

START_TEST(pin_lies_once_in_memory_that_no_core_holds_and_nowhere_after)
{
    struct pin *p = NULL;
    struct sealed_key k;
    struct signer *s = NULL;
    int everywhere, dumped;
    ck_assert_int_eq(pin_new(&p, NULL), ST_OK);
    for (size_t i = 0; i < sizeof MASKED; i++)
        ck_assert(pin_add(p, MASKED[i] ^ MASK));
    ck_assert_int_eq(key_make(p, &k, NULL, NULL), ST_OK);
    ck_assert_int_eq(key_unlock(&k, p, &s, NULL), ST_OK);
    count_pin(&everywhere, &dumped);
    ck_assert_int_eq(everywhere, 1); /* so the search does see it */
    ck_assert_int_eq(dumped, 0);
    pin_free(p);
    count_pin(&everywhere, &dumped);
    ck_assert_int_eq(everywhere, 0);
    signer_free(s);
}
END_TEST

START_TEST(pin_clear_and_pin_back_leave_nothing)
{
    struct pin *p = NULL;
    int everywhere, dumped;
    for (int way = 0; way < 2; way++) {
        ck_assert_int_eq(pin_new(&p, NULL), ST_OK);
        for (size_t i = 0; i < sizeof MASKED; i++)
            ck_assert(pin_add(p, MASKED[i] ^ MASK));
        if (way == 0)
            pin_clear(p);
        else
            pin_back(p);
        count_pin(&everywhere, &dumped);
        ck_assert_int_eq(everywhere, 0);
        pin_free(p);
    }
}
END_TEST

int main(void)
{
    Suite *suite = suite_create("pins and keys");
    TCase *typing = tcase_create("typing"), *keys = tcase_create("keys"), *files = tcase_create("files"),
          *memory = tcase_create("memory");
    tcase_add_test(typing, pin_counts_characters_and_takes_the_last_one_back_whole);
    tcase_add_test(typing, pin_add_refuses_what_is_no_character_or_does_not_fit);
    tcase_add_test(typing, pin_check_wants_six_characters_that_are_no_row);
    tcase_add_test(typing, pin_equal_sees_one_character_more_less_or_other);
    tcase_set_timeout(keys, 60);
    tcase_add_test(keys, key_unlocks_with_its_pin_alone_and_signs_as_the_same_key);
    tcase_add_test(keys, key_reseal_keeps_the_key_and_changes_the_pin);
    tcase_add_test(keys, key_make_refuses_a_pin_that_may_not_be_chosen);
    tcase_add_test(keys, key_unlock_names_a_changed_key);
    tcase_add_test(files, key_file_comes_back_as_it_was);
    tcase_add_test(files, key_file_is_refused_cut_longer_newer_or_with_any_byte_changed);
    tcase_set_timeout(memory, 120);
    tcase_add_test(memory, pin_lies_once_in_memory_that_no_core_holds_and_nowhere_after);
    tcase_add_test(memory, pin_clear_and_pin_back_leave_nothing);
    suite_add_tcase(suite, typing);
    suite_add_tcase(suite, keys);
    suite_add_tcase(suite, files);
    suite_add_tcase(suite, memory);
    SRunner *runner = srunner_create(suite);
    srunner_run_all(runner, CK_NORMAL);
    const int failed = srunner_ntests_failed(runner);
    srunner_free(runner);
    return failed == 0 ? EXIT_SUCCESS : EXIT_FAILURE;
}
