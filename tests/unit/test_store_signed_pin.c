/* SPDX-License-Identifier: GPL-3.0-or-later */
/** @file test_store_signed_pin.c  Wrong PINs slow down, whatever ends in between; a PIN is changed, or reset by a preceptor. */
#include <signal.h>

#include "fault/store_sign_hand.h"

static struct err e;

static const char BOOT_A[] = "0a1b2c3d-0000-4000-8000-00000000000a", BOOT_B[] = "0a1b2c3d-0000-4000-8000-00000000000b";

static struct moment at(int64_t unix_ms, int64_t boot_ms, const char *boot)
{
    struct moment m = {.unix_ms = unix_ms, .boot_ms = boot_ms};
    snprintf(m.boot, sizeof m.boot, "%s", boot);
    return m;
}

/** Try ana's PIN, in a store that was just opened, as after a restart. */
static enum status try_pin(const char *text, const struct moment *now, int32_t *wait_s)
{
    struct store *st = hand_open(STORE_WRITE);
    struct pin *pin = hand_pin(text);
    struct signer *signer = NULL;
    const enum status status = store_unlock(st, "ana", pin, now, &signer, wait_s, &e);
    ck_assert_int_eq(signer != NULL, status == ST_OK);
    signer_free(signer);
    pin_free(pin);
    store_close(st);
    return status;
}

static const int64_t UNIX = 1900000000000, UP = 86400000;

/** So many wrong ones, each at its earliest; *now is left at the last. */
static void be_wrong(int times, struct moment *now)
{
    int32_t wait_s = 0;
    for (int i = 0; i < times; i++) {
        now->unix_ms += 1000 * (int64_t)wait_s;
        now->boot_ms += 1000 * (int64_t)wait_s;
        ck_assert_int_eq(try_pin("wrong-4711", now, &wait_s), ST_PIN);
    }
}

START_TEST(right_pin_unlocks_her_key)
{
    struct store *st = hand_open(STORE_WRITE);
    struct pin *pin = hand_pin(HAND_PIN);
    const struct moment now = at(UNIX, UP, BOOT_A);
    struct signer *signer = NULL;
    int32_t wait_s = 9;
    OK(store_unlock(st, "ana", pin, &now, &signer, &wait_s, &e));
    ck_assert_str_eq(signer_key(signer), signer_key(hand_signers[ANA]));
    ck_assert_int_eq(wait_s, 0);
    ck_assert_int_eq(hand_number("SELECT count(*) FROM tries"), 0);
    signer_free(signer);
    pin_free(pin);
    store_close(st);
}
END_TEST

START_TEST(wait_doubles_from_the_third_wrong_pin_up_to_its_most)
{
    static const int32_t WAITS[] = {0, 0, 2, 4, 8, 16, 32, 64, 128, 256, 512, 900, 900};
    struct moment now = at(UNIX, UP, BOOT_A);
    int32_t wait_s = 0;
    for (size_t i = 0; i < ARRAY_LEN(WAITS); i++) {
        now.boot_ms += 1000 * (int64_t)wait_s;
        ck_assert_int_eq(try_pin("wrong-4711", &now, &wait_s), ST_PIN);
        ck_assert_msg(wait_s == WAITS[i], "after %d wrong: wait %d s", (int)i + 1, wait_s);
    }
}
END_TEST

START_TEST(right_pin_is_not_even_tried_before_the_wait_is_over)
{
    struct moment now = at(UNIX, UP, BOOT_A);
    int32_t wait_s = 0;
    be_wrong(4, &now);
    ck_assert_int_eq(try_pin(HAND_PIN, &now, &wait_s), ST_PIN);
    ck_assert_int_eq(wait_s, 4);
    now.boot_ms += 3999;
    ck_assert_int_eq(try_pin(HAND_PIN, &now, &wait_s), ST_PIN);
    ck_assert_int_eq(wait_s, 1);
    ck_assert_ptr_nonnull(strstr(e.text, "1 second."));
    now.boot_ms += 1;
    OK(try_pin(HAND_PIN, &now, &wait_s));
    ck_assert_int_eq(hand_number("SELECT count(*) FROM tries"), 0); /* and all is forgotten */
}
END_TEST

START_TEST(try_is_on_the_disk_before_it_is_made)
{
    struct moment now = at(UNIX, UP, BOOT_A);
    be_wrong(2, &now);
    /* A try that ends with the process, before the answer: what is left is the row. */
    const pid_t pid = fork();
    if (pid == 0) {
        struct store *st = hand_open(STORE_WRITE);
        struct pin *pin = hand_pin("wrong-4711");
        struct signer *signer;
        int32_t wait_s;
        (void)!store_unlock(st, "ana", pin, &now, &signer, &wait_s, &e);
        _exit(0);
    }
    ck_assert_int_ge(pid, 0);
    while (hand_number("SELECT coalesce((SELECT wrong FROM tries WHERE person = 'ana'), 0)") < 3)
        usleep(500);
    ck_assert_int_eq(kill(pid, SIGKILL), 0);
    (void)hand_wait(pid);
    int32_t wait_s = 0;
    ck_assert_int_eq(try_pin(HAND_PIN, &now, &wait_s), ST_PIN);
    ck_assert_int_eq(wait_s, 2);
}
END_TEST

START_TEST(wait_goes_on_through_a_restart_of_the_machine)
{
    struct moment now = at(UNIX, UP, BOOT_A);
    int32_t wait_s = 0;
    be_wrong(6, &now);
    struct moment restarted = at(now.unix_ms + 10000, 5000, BOOT_B);
    ck_assert_int_eq(try_pin(HAND_PIN, &restarted, &wait_s), ST_PIN);
    ck_assert_int_eq(wait_s, 6);
    restarted.unix_ms += 6000;
    OK(try_pin(HAND_PIN, &restarted, &wait_s));
}
END_TEST

START_TEST(clock_set_on_in_the_same_boot_does_not_shorten_the_wait)
{
    struct moment now = at(UNIX, UP, BOOT_A);
    int32_t wait_s = 0;
    be_wrong(6, &now);
    now.unix_ms += 86400000;
    ck_assert_int_eq(try_pin(HAND_PIN, &now, &wait_s), ST_PIN);
    ck_assert_int_eq(wait_s, 16);
}
END_TEST

START_TEST(clock_set_back_over_a_restart_begins_the_wait_anew)
{
    struct moment now = at(UNIX, UP, BOOT_A);
    int32_t wait_s = 0;
    be_wrong(6, &now);
    struct moment back = at(UNIX - 86400000, 5000, BOOT_B);
    ck_assert_int_eq(try_pin(HAND_PIN, &back, &wait_s), ST_PIN);
    ck_assert_int_eq(wait_s, 16);
    back.boot_ms += 15000;
    back.unix_ms = UNIX + 86400000; /* right again: it counts from when it was asked last */
    ck_assert_int_eq(try_pin(HAND_PIN, &back, &wait_s), ST_PIN);
    ck_assert_int_eq(wait_s, 1);
    back.boot_ms += 1000;
    OK(try_pin(HAND_PIN, &back, &wait_s));
}
END_TEST

START_TEST(wrong_pins_of_one_person_delay_nobody_else)
{
    struct moment now = at(UNIX, UP, BOOT_A);
    be_wrong(5, &now);
    struct store *st = hand_open(STORE_WRITE);
    struct pin *pin = hand_pin(HAND_PIN);
    struct signer *signer = NULL;
    int32_t wait_s;
    OK(store_unlock(st, "ben", pin, &now, &signer, &wait_s, &e));
    signer_free(signer);
    pin_free(pin);
    store_close(st);
}
END_TEST

START_TEST(two_windows_that_try_at_once_have_one_count)
{
    struct moment now = at(UNIX, UP, BOOT_A);
    be_wrong(2, &now);
    struct store *one = hand_open(STORE_WRITE), *two = hand_open(STORE_WRITE);
    struct pin *pin = hand_pin("wrong-4711");
    struct signer *signer = NULL;
    int32_t wait_s;
    ck_assert_int_eq(store_unlock(one, "ana", pin, &now, &signer, &wait_s, &e), ST_PIN);
    ck_assert_int_eq(wait_s, 2);
    ck_assert_int_eq(store_unlock(two, "ana", pin, &now, &signer, &wait_s, &e), ST_PIN);
    ck_assert_int_eq(hand_number("SELECT wrong FROM tries"), 3); /* the second was not made */
    pin_free(pin);
    store_close(one);
    store_close(two);
}
END_TEST

START_TEST(who_has_no_key_has_nothing_to_unlock)
{
    struct store *st = hand_open(STORE_WRITE);
    struct pin *pin = hand_pin(HAND_PIN);
    const struct moment now = at(UNIX, UP, BOOT_A);
    struct signer *signer = NULL;
    int32_t wait_s;
    bool has = true;
    ck_assert_int_eq(store_unlock(st, "zoe", pin, &now, &signer, &wait_s, &e), ST_NOT_FOUND);
    OK(store_key_has(st, "zoe", &has, &e));
    ck_assert(!has);
    ck_assert_int_eq(hand_number("SELECT count(*) FROM tries"), 0);
    pin_free(pin);
    store_close(st);
}
END_TEST

START_TEST(key_that_was_damaged_is_said_and_counts_as_no_try)
{
    hand_spoil("UPDATE secrets SET box = zeroblob(79) WHERE key = (SELECT id FROM keys WHERE person = 'ana')");
    struct moment now = at(UNIX, UP, BOOT_A);
    int32_t wait_s;
    ck_assert_int_eq(try_pin(HAND_PIN, &now, &wait_s), ST_CORRUPT);
    ck_assert_int_eq(hand_number("SELECT count(*) FROM tries"), 0);
}
END_TEST

/* Whoever owns the file may have written anything there. */
START_TEST(count_that_was_changed_from_outside_is_taken_as_it_is)
{
    hand_spoil("INSERT INTO tries VALUES ('ana', 2147483647, -9223372036854775807 - 1, -9223372036854775807 - 1,"
               " '0a1b2c3d-0000-4000-8000-00000000000a')");
    struct moment now = at(UNIX, UP, BOOT_A);
    int32_t wait_s = 0;
    ck_assert_int_eq(try_pin("wrong-4711", &now, &wait_s), ST_PIN);
    ck_assert_int_eq(wait_s, PIN_WAIT_MOST_S);
    now.boot_ms += 1000 * (int64_t)wait_s;
    OK(try_pin(HAND_PIN, &now, &wait_s));
}
END_TEST

/* ---- change and reset ---- */

START_TEST(changed_pin_opens_the_same_key_and_the_old_one_opens_nothing)
{
    struct store *st = hand_open(STORE_WRITE);
    struct moment now = at(UNIX, UP, BOOT_A);
    struct pin *fresh = hand_pin("other-0815");
    int32_t wait_s;
    const int64_t id = hand_sealed(st, ANA, NULL, ANA), before = hand_prove(st);
    OK(store_pin_change(st, "ana", hand_signers[ANA], fresh, &e));
    pin_free(fresh);
    ck_assert_int_eq(hand_prove(st), before); /* nothing to sign: it is the same key */
    ck_assert_int_eq(hand_review(st, id), REVIEW_WAITING);
    store_close(st);
    ck_assert_int_eq(try_pin(HAND_PIN, &now, &wait_s), ST_PIN);
    OK(try_pin("other-0815", &now, &wait_s));
}
END_TEST

START_TEST(pin_is_changed_only_by_its_own_key_and_to_one_that_will_do)
{
    struct store *st = hand_open(STORE_WRITE);
    struct pin *fresh = hand_pin("other-0815"), *easy = hand_pin("123456"), *none = hand_pin("ab");
    ck_assert_int_eq(store_pin_change(st, "ana", hand_signers[EVA], fresh, &e), ST_PERMISSION);
    ck_assert_int_eq(store_pin_change(st, "zoe", hand_signers[EVA], fresh, &e), ST_NOT_FOUND);
    ck_assert_int_eq(store_pin_change(st, "ana", hand_signers[ANA], easy, &e), ST_RANGE);
    ck_assert_int_eq(store_pin_change(st, "ana", hand_signers[ANA], none, &e), ST_RANGE);
    pin_free(fresh);
    pin_free(easy);
    pin_free(none);
    store_close(st);
    struct moment now = at(UNIX, UP, BOOT_A);
    int32_t wait_s;
    OK(try_pin(HAND_PIN, &now, &wait_s));
}
END_TEST

static const struct act RESET = {.kind = SAYS_END, .of = "ana", .said = "she forgot it"};

START_TEST(reset_ends_the_key_and_lets_a_new_one_begin)
{
    struct moment now = at(UNIX, UP, BOOT_A);
    be_wrong(5, &now);
    struct store *st = hand_open(STORE_WRITE);
    struct pin *pin = hand_pin("other-0815");
    struct signer *fresh = NULL;
    struct sitting s;
    bool has = true;
    const int64_t before = hand_sealed(st, ANA, NULL, ANA), open = hand_sitting(st, &s, ANA, NULL);
    ck_assert_int_eq(store_key_begin(st, "ana", pin, HAND_AT, NULL, &e), ST_EXISTS);
    OK(hand_act(st, EVA, &RESET, &e));
    OK(store_key_has(st, "ana", &has, &e));
    ck_assert(!has);
    ck_assert_int_eq(hand_number("SELECT count(*) FROM tries"), 0); /* the next PIN has no wait behind it */
    ck_assert_int_eq(hand_end(st, open, "9.000 seal", &s, hand_signers[ANA], &e), ST_PERMISSION);
    ck_assert_int_eq(hand_act(st, EVA, &RESET, &e), ST_NOT_FOUND);
    OK(store_key_begin(st, "ana", pin, HAND_AT, &fresh, &e));
    ck_assert_str_ne(signer_key(fresh), signer_key(hand_signers[ANA]));
    s.phase = PHASE_SEALED;
    OK(hand_end(st, open, "9.000 seal", &s, fresh, &e));
    ck_assert_int_eq(hand_review(st, before), REVIEW_WAITING); /* what the old key signed stays */
    hand_prove(st);
    signer_free(fresh);
    pin_free(pin);
    store_close(st);
}
END_TEST

START_TEST(preceptor_whose_pin_was_reset_needs_a_new_vouch)
{
    struct store *st = hand_open(STORE_WRITE);
    struct pin *pin = hand_pin("other-0815");
    const int64_t id = hand_sealed(st, ANA, NULL, ANA), later = hand_sealed(st, ANA, NULL, ANA);
    OK(hand_say(st, INA, SAYS_COUNTERSIGN, id, &e));
    OK(hand_act(st, EVA, &(struct act){.kind = SAYS_END, .of = "ina", .said = "forgotten"}, &e));
    ck_assert_int_eq(hand_say(st, INA, SAYS_COUNTERSIGN, later, &e), ST_PERMISSION);
    signer_free(hand_signers[INA]);
    hand_signers[INA] = NULL;
    OK(store_key_begin(st, "ina", pin, HAND_AT, &hand_signers[INA], &e));
    ck_assert_int_eq(hand_say(st, INA, SAYS_COUNTERSIGN, later, &e), ST_PERMISSION);
    OK(hand_vouch(st, EVA, INA, &e));
    OK(hand_say(st, INA, SAYS_COUNTERSIGN, later, &e));
    hand_prove(st);
    pin_free(pin);
    store_close(st);
}
END_TEST

START_TEST(key_begins_only_for_who_is_there_and_in_use)
{
    struct store *st = hand_open(STORE_WRITE);
    struct pin *pin = hand_pin(HAND_PIN), *easy = hand_pin("aaaaaa");
    const struct person gone = {.id = "cy", .name = "Cy", .role = ROLE_TECHNICIAN, .is_retired = true};
    const struct person fresh = {.id = "dee", .name = "Dee", .role = ROLE_TECHNICIAN};
    const int64_t before = hand_prove(st);
    OK(store_person_add(st, &gone, &e));
    OK(store_person_add(st, &fresh, &e));
    ck_assert_int_eq(store_key_begin(st, "zoe", pin, HAND_AT, NULL, &e), ST_NOT_FOUND);
    ck_assert_int_eq(store_key_begin(st, "cy", pin, HAND_AT, NULL, &e), ST_PERMISSION);
    ck_assert_int_eq(store_key_begin(st, "eva", pin, HAND_AT, NULL, &e), ST_EXISTS);
    ck_assert_int_eq(store_key_begin(st, "dee", easy, HAND_AT, NULL, &e), ST_RANGE);
    ck_assert_int_eq(store_key_begin(st, "dee", pin, "tomorrow", NULL, &e), ST_RANGE); /* no such time: nothing is kept */
    ck_assert_int_eq(hand_prove(st), before);
    OK(store_key_begin(st, "dee", pin, HAND_AT, NULL, &e));
    pin_free(pin);
    pin_free(easy);
    store_close(st);
}
END_TEST

START_TEST(pin_lies_nowhere_in_the_store)
{
    char path[sizeof hand_path + 8];
    static const char *const BESIDE[] = {"", "-wal", "-shm"};
    struct moment now = at(UNIX, UP, BOOT_A);
    int32_t wait_s;
    struct store *st = hand_open(STORE_WRITE); /* keeps the log from being merged and dropped */
    be_wrong(1, &now);
    OK(try_pin(HAND_PIN, &now, &wait_s));
    for (size_t i = 0; i < ARRAY_LEN(BESIDE); i++) {
        snprintf(path, sizeof path, "%s%s", hand_path, BESIDE[i]);
        ck_assert(!hand_file_holds(path, HAND_PIN));
        ck_assert(!hand_file_holds(path, "wrong-4711"));
    }
    store_close(st);
}
END_TEST

struct sealed_box {
    unsigned char bytes[80];
};

static struct sealed_box box_of_ana(void)
{
    struct sealed_box box;
    sqlite3 *db = NULL;
    sqlite3_stmt *s = NULL;
    ck_assert_int_eq(sqlite3_open_v2(hand_path, &db, SQLITE_OPEN_READONLY, NULL), SQLITE_OK);
    ck_assert_int_eq(sqlite3_prepare_v2(db, "SELECT box FROM secrets JOIN keys ON id = key WHERE person = 'ana'", -1, &s, NULL),
                     SQLITE_OK);
    ck_assert_int_eq(sqlite3_step(s), SQLITE_ROW);
    ck_assert_int_eq(sqlite3_column_bytes(s, 0), (int)sizeof box.bytes);
    memcpy(box.bytes, sqlite3_column_blob(s, 0), sizeof box.bytes);
    sqlite3_finalize(s);
    sqlite3_close(db);
    return box;
}

static bool store_holds(const struct sealed_box *box)
{
    static const char *const BESIDE[] = {"", "-wal"};
    static unsigned char all[4 << 20];
    bool holds = false;
    for (size_t i = 0; i < ARRAY_LEN(BESIDE); i++) {
        char path[sizeof hand_path + 8];
        snprintf(path, sizeof path, "%s%s", hand_path, BESIDE[i]);
        FILE *f = fopen(path, "rb");
        const size_t n = f ? fread(all, 1, sizeof all, f) : 0;
        ck_assert_uint_lt(n, sizeof all);
        holds = holds || memmem(all, n, box->bytes, sizeof box->bytes) != NULL;
        if (f)
            fclose(f);
    }
    return holds;
}

START_TEST(key_under_an_old_pin_lies_nowhere_in_the_store)
{
    struct store *st = hand_open(STORE_WRITE);
    struct pin *fresh = hand_pin("other-0815");
    const struct sealed_box first = box_of_ana();
    ck_assert(store_holds(&first));
    OK(store_pin_change(st, "ana", hand_signers[ANA], fresh, &e));
    const struct sealed_box second = box_of_ana();
    ck_assert(!store_holds(&first));
    ck_assert(store_holds(&second));
    OK(hand_act(st, EVA, &RESET, &e));
    ck_assert(!store_holds(&second));
    pin_free(fresh);
    store_close(st);
}
END_TEST

int main(void)
{
    Suite *suite = suite_create("store_signed_pin");
    TCase *c = hand_signed_case(suite, "pin");
    tcase_add_test(c, right_pin_unlocks_her_key);
    tcase_add_test(c, wait_doubles_from_the_third_wrong_pin_up_to_its_most);
    tcase_add_test(c, right_pin_is_not_even_tried_before_the_wait_is_over);
    tcase_add_test(c, try_is_on_the_disk_before_it_is_made);
    tcase_add_test(c, wait_goes_on_through_a_restart_of_the_machine);
    tcase_add_test(c, clock_set_on_in_the_same_boot_does_not_shorten_the_wait);
    tcase_add_test(c, clock_set_back_over_a_restart_begins_the_wait_anew);
    tcase_add_test(c, wrong_pins_of_one_person_delay_nobody_else);
    tcase_add_test(c, two_windows_that_try_at_once_have_one_count);
    tcase_add_test(c, who_has_no_key_has_nothing_to_unlock);
    tcase_add_test(c, key_that_was_damaged_is_said_and_counts_as_no_try);
    tcase_add_test(c, count_that_was_changed_from_outside_is_taken_as_it_is);
    tcase_add_test(c, changed_pin_opens_the_same_key_and_the_old_one_opens_nothing);
    tcase_add_test(c, pin_is_changed_only_by_its_own_key_and_to_one_that_will_do);
    tcase_add_test(c, reset_ends_the_key_and_lets_a_new_one_begin);
    tcase_add_test(c, preceptor_whose_pin_was_reset_needs_a_new_vouch);
    tcase_add_test(c, key_begins_only_for_who_is_there_and_in_use);
    tcase_add_test(c, key_under_an_old_pin_lies_nowhere_in_the_store);
    tcase_add_test(c, pin_lies_nowhere_in_the_store);
    return hand_run(suite);
}
