/* SPDX-License-Identifier: GPL-3.0-or-later */
/** @file test_store_check.c  The check finds each way in which a store can contradict itself; a backup is a whole one. */
#include "fault/store_sign_hand.h"

static struct err e;

static void fill(void)
{
    struct store *st = hand_open(STORE_WRITE);
    struct sitting s = hand_state(), sealed = hand_state();
    struct event ev = hand_event("1.000 rest end");
    struct refusal why = {.rule = RULE_REST_SHORT};
    int64_t id = hand_begin(st, &s);
    hand_reading(&s, ARM_LEFT, 130, 80);
    OK(hand_append(st, id, 2, "1.000 subject k7-031", &s, &e));
    OK(hand_append(st, id, 3, "2.000 note \"x\"", &s, &e));
    OK(hand_append(st, id, 4, "3.000 note \"y\"", &s, &e));
    OK(store_attempt(st, id, &ev, &why, &HAND_MOMENT, &e));
    id = hand_begin(st, &sealed);
    OK(hand_append(st, id, 2, "1.000 seal", &sealed, &e));
    const struct gauge dial = {.id = "dial-1", .name = "dial", .top_mmhg = 300, .due = 20310301};
    const struct stored_cuff adult = {.id = "adult", .name = "adult", .low_mm = 260, .high_mm = 340,
                                      .bladder_width_mm = 160, .bladder_length_mm = 300};
    int32_t largest;
    OK(store_gauge_add(st, &dial, &e));
    OK(store_cuff_add(st, &adult, &e));
    OK(store_gauge_compare(st, "dial-1", (struct check_point[]){{50, 50}, {250, 252}}, 2, 20300101, &largest, &e));
    store_close(st);
}

START_TEST(check_is_content_with_a_sound_store)
{
    fill();
    struct store *st = hand_open(STORE_READ);
    OK(store_check(st, &e));
    store_close(st);
}
END_TEST

START_TEST(check_is_content_with_an_empty_store)
{
    struct store *st = hand_open(STORE_WRITE);
    OK(store_check(st, &e));
    store_close(st);
}
END_TEST

static const struct {
    const char *sql, *says;
} SPOILT[] = {
    {"DELETE FROM events WHERE sitting = 1 AND seq = 4", "S-001 does not hold as many events"},
    {"DELETE FROM events WHERE sitting = 1 AND seq = 3; UPDATE sittings SET event_count = 3 WHERE id = 1",
     "S-001 has a gap"},
    {"DELETE FROM events WHERE sitting = 2; UPDATE sittings SET event_count = 0 WHERE id = 2",
     "S-002 does not hold as many events"},
    {"UPDATE events SET kind = 'told', item = NULL WHERE sitting = 1 AND seq = 1", "S-001 does not begin"},
    {"UPDATE sittings SET phase = 'sealed' WHERE id = 1", "S-001 is not in the state"},
    {"UPDATE sittings SET phase = 'open' WHERE id = 2", "S-002 is not in the state"},
    {"UPDATE events SET kind = 'stop' WHERE sitting = 1 AND seq = 3", "S-001 goes on after its end"},
    {"UPDATE events SET t_ms = 9000 WHERE sitting = 1 AND seq = 3", "S-001 has an event that is earlier"},
    {"DELETE FROM attempts", "S-001 does not hold as many refused attempts"},
    {"DELETE FROM readings", "S-001 does not hold as many readings"},
    {"UPDATE readings SET is_counted = 0", "S-001 does not hold as many readings"},
    {"UPDATE events SET item = '00112233445566778899aabbccddeeff' WHERE kind = 'subject'", "S-001 names another"},
    {"UPDATE sittings SET subject = 'k7-032' WHERE id = 1", "S-001 names another"},
    {"UPDATE sittings SET subject = 'k7-032' WHERE id = 2", "S-002 names a subject"},
    {"UPDATE gauge_checks SET value = 9", "dial-1 has a comparison whose points"},
    {"UPDATE gauge_checks SET what = 'leak'", "dial-1 has a comparison whose points"},
    {"DELETE FROM check_points WHERE n = 1", "dial-1 has a comparison whose points"},
    {"UPDATE kit SET top_mmhg = 200 WHERE id = 'dial-1'", "dial-1 has a comparison with a point beyond"},
    {"UPDATE gauge_checks SET gauge = 'adult'", "adult is no gauge"},
    {"INSERT INTO settings VALUES ('calibration.months', 'often')", "the interval between calibrations"},
    {"UPDATE protocol_texts SET text = 'x'", "the text of a protocol was changed"},
    {"INSERT INTO readings SELECT 9, n, arm, 0, 0, 0, 0, 0, 0, '-', '-' FROM readings", "belongs to none of"},
    {"UPDATE sittings SET day = 20", "CHECK constraint failed in sittings"},
};

/* In a store with keys: 1 sealed, signed and countersigned, 2 open. */
static const struct {
    const char *sql, *says;
} SIGNED_SPOILT[] = {
    {"UPDATE sittings SET chain = zeroblob(32) WHERE id = 1", "S-001 does not hold the hash of its last event"},
    {"UPDATE events SET chain = NULL WHERE sitting = 2 AND seq = 2", "S-002 has an event without a hash"},
    {"UPDATE sittings SET review = 'waiting' WHERE id = 2", "S-002 is not where its review says"},
    {"UPDATE sittings SET review = 'unsigned' WHERE id = 1", "S-001 is not where its review says"},
    {"UPDATE sittings SET review = 'before', last_statement = NULL WHERE id = 1", "S-001 is not where its review says"},
    {"UPDATE sittings SET last_statement = last_statement - 1 WHERE id = 1", "S-001 does not name the last statement"},
    {"DELETE FROM statements WHERE number = 3", "belongs to none of"},
    {"DELETE FROM statements WHERE kind = 'vouch'", "is not the last of as many"},
    {"UPDATE statements SET key = (SELECT id FROM keys WHERE person = 'ben') WHERE kind = 'vouch'", "statement"},
    {"UPDATE keys SET person = 'ben' WHERE person = 'ana'", "is a key that no statement begins"},
    {"UPDATE keys SET role = 'technician' WHERE person = 'ana'", "is a key that no statement begins"},
    {"UPDATE keys SET public_key = zeroblob(32) WHERE person = 'ana'", "is a key that no statement begins"},
    {"UPDATE people SET role = 'technician' WHERE id = 'ana'", "ana has a key in a role"},
    {"DELETE FROM people WHERE id = 'ana'", "ana has a key in a role"},
    {"UPDATE events SET chain = x'00' WHERE sitting = 2 AND seq = 2", "CHECK constraint failed in events"},
    {"DELETE FROM facts", "does not say which store it is"},
};

START_TEST(check_finds_what_is_wrong_with_what_is_signed)
{
    struct store *st = hand_open(STORE_WRITE);
    struct sitting s;
    OK(hand_say(st, EVA, SAYS_COUNTERSIGN, hand_sealed(st, ANA, NULL, ANA), &e));
    hand_sitting(st, &s, BEN, NULL);
    OK(store_check(st, &e));
    store_close(st);
    hand_spoil(SIGNED_SPOILT[_i].sql);
    st = hand_open(STORE_WRITE); /* only such a connection is told of CHECKs that do not hold */
    ck_assert_msg(store_check(st, &e) == ST_CORRUPT, "not found: %s", SIGNED_SPOILT[_i].sql);
    ck_assert_msg(strstr(e.text, SIGNED_SPOILT[_i].says) != NULL, "%s: %s", SIGNED_SPOILT[_i].sql, e.text);
    store_close(st);
}
END_TEST

START_TEST(check_finds)
{
    fill();
    hand_spoil(SPOILT[_i].sql);
    struct store *st = hand_open(STORE_WRITE); /* SQLite looks at CHECKs only on connections that may write */
    enum status got = store_check(st, &e);
    ck_assert_msg(got == ST_CORRUPT, "%s: status %d", SPOILT[_i].sql, (int)got);
    ck_assert_msg(strstr(e.text, SPOILT[_i].says) && strstr(e.text, hand_path), "%s: %s", SPOILT[_i].sql, e.text);
    store_close(st);
}
END_TEST

static const char *const SPOILT_BLADDERS[] = {
    "UPDATE kit SET bladder_length_mm = 350 WHERE id = 'adult'",
    "UPDATE kit SET bladder_width_mm = 300 WHERE id = 'adult'",
    "UPDATE kit SET bladder_width_mm = NULL WHERE id = 'adult'",
};

START_TEST(check_finds_a_bladder_that_does_not_go_with_its_cuff_while_reading)
{
    fill();
    hand_spoil(SPOILT_BLADDERS[_i]);
    struct store *st = hand_open(STORE_READ);
    ck_assert_int_eq(store_check(st, &e), ST_CORRUPT);
    ck_assert_msg(strstr(e.text, "adult has a bladder"), "%s: %s", SPOILT_BLADDERS[_i], e.text);
    store_close(st);
}
END_TEST

START_TEST(check_lets_a_resume_go_back_in_time)
{
    struct store *st = hand_open(STORE_WRITE);
    struct sitting s = hand_state();
    int64_t id = hand_begin(st, &s);
    OK(hand_append(st, id, 2, "9.000 note \"x\"", &s, &e));
    OK(hand_append(st, id, 3, "5.000 resume -5", &s, &e));
    OK(store_check(st, &e));
    store_close(st);
}
END_TEST

static void name_backup(char out[360])
{
    snprintf(out, 360, "%s/copy.db", hand_folder);
}

START_TEST(backup_is_a_store_of_its_own)
{
    char to[360], aside[400];
    struct sitting_head h;
    fill();
    name_backup(to);
    struct store *st = hand_open(STORE_READ), *copy;
    OK(store_backup(st, to, &e));
    store_close(st);
    ck_assert_uint_eq(hand_mode(to), 0600);
    snprintf(aside, sizeof aside, "%s.part-%ld", to, (long)getpid());
    ck_assert_int_ne(access(aside, F_OK), 0);
    snprintf(aside, sizeof aside, "%s-wal", to);
    ck_assert_int_ne(access(aside, F_OK), 0);
    OK(store_open(to, STORE_WRITE, &copy, &e));
    OK(store_check(copy, &e));
    OK(store_sitting_get(copy, 1, &h, &e));
    ck_assert_int_eq(h.event_count, 4);
    store_close(copy);
}
END_TEST

START_TEST(backup_holds_what_another_window_has_written)
{
    char to[360];
    struct sitting s = hand_state();
    struct sitting_head h;
    name_backup(to);
    struct store *st = hand_open(STORE_WRITE), *other = hand_open(STORE_WRITE), *copy;
    int64_t id = hand_begin(st, &s);
    OK(hand_append(st, id, 2, "1.000 note \"x\"", &s, &e)); /* still in the log */
    OK(store_backup(other, to, &e));
    OK(hand_append(st, id, 3, "2.000 note \"y\"", &s, &e));
    OK(store_open(to, STORE_READ, &copy, &e));
    OK(store_sitting_get(copy, id, &h, &e));
    ck_assert_int_eq(h.event_count, 2);
    store_close(copy);
    store_close(other);
    store_close(st);
}
END_TEST

START_TEST(backup_refuses_an_existing_file)
{
    char to[360];
    fill();
    struct store *st = hand_open(STORE_READ);
    name_backup(to);
    FILE *f = fopen(to, "w");
    ck_assert_ptr_nonnull(f);
    fputs("precious", f);
    fclose(f);
    ck_assert_int_eq(store_backup(st, to, &e), ST_EXISTS);
    ck_assert(hand_file_holds(to, "precious"));
    ck_assert_int_eq(store_backup(st, hand_path, &e), ST_EXISTS); /* over itself */
    ck_assert_int_eq(store_backup(st, hand_folder, &e), ST_EXISTS);
    store_close(st);
}
END_TEST

START_TEST(backup_says_when_the_folder_is_missing)
{
    char to[400];
    fill();
    snprintf(to, sizeof to, "%s/nowhere/copy.db", hand_folder);
    struct store *st = hand_open(STORE_READ);
    ck_assert_int_eq(store_backup(st, to, &e), ST_NOT_FOUND);
    ck_assert_ptr_nonnull(strstr(e.text, to));
    ck_assert_int_eq(store_backup(st, "", &e), ST_USAGE);
    store_close(st);
}
END_TEST

int main(void)
{
    Suite *suite = suite_create("store_check");
    TCase *c = hand_case(suite, "check");
    tcase_add_test(c, check_is_content_with_a_sound_store);
    tcase_add_test(c, check_is_content_with_an_empty_store);
    tcase_add_loop_test(c, check_finds, 0, (int)ARRAY_LEN(SPOILT));
    tcase_add_loop_test(c, check_finds_a_bladder_that_does_not_go_with_its_cuff_while_reading, 0,
                        (int)ARRAY_LEN(SPOILT_BLADDERS));
    tcase_add_test(c, check_lets_a_resume_go_back_in_time);
    tcase_add_test(c, backup_is_a_store_of_its_own);
    tcase_add_test(c, backup_holds_what_another_window_has_written);
    tcase_add_test(c, backup_refuses_an_existing_file);
    tcase_add_test(c, backup_says_when_the_folder_is_missing);
    c = hand_signed_case(suite, "signed");
    tcase_add_loop_test(c, check_finds_what_is_wrong_with_what_is_signed, 0, (int)ARRAY_LEN(SIGNED_SPOILT));
    return hand_run(suite);
}
