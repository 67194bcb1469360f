/* SPDX-License-Identifier: GPL-3.0-or-later */
/** @file test_store_rows.c  The file defends itself: what no tool may do to it, ours or another's. */
#include "fault/store_sign_hand.h"

static struct err e;

/** A store with one open sitting (two events, one attempt, one reading) and one sealed one. */
static void fill(void)
{
    struct store *st = hand_open(STORE_WRITE);
    struct sitting s = hand_state(), sealed = hand_state();
    struct event ev = hand_event("1.000 rest end");
    struct refusal why = {.rule = RULE_REST_SHORT};
    struct gauge g = {.id = "dial-1", .name = "dial", .top_mmhg = 300, .due = 20310301};
    int32_t largest;
    int64_t id = hand_begin(st, &s);
    hand_reading(&s, ARM_LEFT, 130, 80);
    OK(hand_append(st, id, 2, "1.000 subject k7-031", &s, &e));
    OK(store_attempt(st, id, &ev, &why, &HAND_MOMENT, &e));
    id = hand_begin(st, &sealed);
    OK(hand_append(st, id, 2, "1.000 seal", &sealed, &e));
    OK(store_gauge_add(st, &g, &e));
    OK(store_gauge_compare(st, "dial-1", (struct check_point[]){{50, 50}, {150, 152}}, 2, 20300101, &largest, &e));
    OK(store_interval_set(st, 12, &e));
    store_close(st);
}

static const struct {
    const char *sql, *why;
} REFUSED[] = {
    /* what is recorded */
    {"UPDATE events SET t_ms = 5 WHERE seq = 2", "an event is never changed"},
    {"UPDATE events SET seq = 7 WHERE seq = 2", "nor renumbered"},
    {"DELETE FROM events WHERE seq = 2", "nor deleted"},
    {"INSERT OR REPLACE INTO events VALUES (1, 2, 0, 'told', NULL, NULL, NULL, NULL, 0, 0, zeroblob(32))", "nor replaced"},
    {"INSERT INTO events VALUES (1, 2, 0, 'told', NULL, NULL, NULL, NULL, 0, 0, zeroblob(32))", "nor doubled"},
    {"INSERT INTO events VALUES (1, 4, 0, 'told', NULL, NULL, NULL, NULL, 0, 0, zeroblob(32))", "no gap"},
    {"INSERT INTO events VALUES (2, 3, 0, 'told', NULL, NULL, NULL, NULL, 0, 0, zeroblob(32))", "nothing after the seal"},
    {"INSERT INTO events VALUES (9, 1, 0, 'told', NULL, NULL, NULL, NULL, 0, 0, zeroblob(32))", "nothing without a sitting"},
    {"UPDATE attempts SET rule = 'rest.done'", "an attempt is never changed"},
    {"DELETE FROM attempts", "nor deleted"},
    {"INSERT OR REPLACE INTO attempts VALUES (1, 1, 0, 0, 0, 'x', 'rest.done', '', '', 0)", "nor replaced"},
    {"UPDATE protocol_texts SET text = 'x'", "a protocol's text is never changed"},
    {"DELETE FROM protocol_texts", "nor deleted"},
    {"INSERT OR REPLACE INTO protocol_texts SELECT hash, 'x' FROM protocol_texts", "nor replaced"},
    {"DELETE FROM sittings", "a sitting is never deleted"},
    {"INSERT OR REPLACE INTO sittings SELECT * FROM sittings WHERE id = 1", "nor replaced"},
    {"UPDATE sittings SET phase = 'open' WHERE id = 2", "a sealed one is not opened again"},
    {"UPDATE sittings SET phase = 'stopped' WHERE id = 2", "nor stopped"},
    {"UPDATE sittings SET subject = 'm2-007' WHERE id = 1", "a subject is not exchanged"},
    /* values */
    {"INSERT INTO events VALUES (1, 3, -1, 'told', NULL, NULL, NULL, NULL, 0, 0, zeroblob(32))", "time below zero"},
    {"INSERT INTO events VALUES (1, 3, 1000000000000, 'told', NULL, NULL, NULL, NULL, 0, 0, zeroblob(32))", "time beyond the form"},
    {"INSERT INTO events VALUES (1, 3, 0, '', NULL, NULL, NULL, NULL, 0, 0, zeroblob(32))", "no kind"},
    {"INSERT INTO events VALUES (1, 3, 0, 'TOLD', NULL, NULL, NULL, NULL, 0, 0, zeroblob(32))", "kind in capitals"},
    {"INSERT INTO events VALUES (1, 3, 0, 'subject', 'k7-031', NULL, NULL, NULL, 0, 0, zeroblob(32))", "a code in clear"},
    {"INSERT INTO events VALUES (1, 3, 0, 'arm', 'a b', NULL, NULL, NULL, 0, 0, zeroblob(32))", "item with a blank"},
    {"INSERT INTO events VALUES (1, 3, 0, 'arm', '', NULL, NULL, NULL, 0, 0, zeroblob(32))", "empty item"},
    {"INSERT INTO events VALUES (1, 3, 0, 'target', NULL, 'high', NULL, NULL, 0, 0, zeroblob(32))", "a word for a number"},
    {"INSERT INTO events VALUES (1, 3, 0, 'note', NULL, NULL, NULL, '', 0, 0, zeroblob(32))", "empty text"},
    {"INSERT INTO events VALUES (1, 3, 0, 'note', NULL, NULL, NULL, printf('%501d', 1), 0, 0, zeroblob(32))", "text of 501 characters"},
    {"UPDATE readings SET first_mmhg = 302", "pressure beyond any gauge"},
    {"UPDATE readings SET last_mmhg = -2", "pressure below zero"},
    {"UPDATE readings SET arm = 'both'", "no such arm"},
    {"UPDATE readings SET reasons = 'target.low'", "counted and void at once"},
    {"INSERT INTO readings SELECT 9, n, arm, 0, 0, 0, 0, 0, 0, '-', '-' FROM readings LIMIT 1", "reading of no sitting"},
    {"UPDATE sittings SET counted_count = 5 WHERE id = 1", "more counted than there are"},
    {"UPDATE sittings SET phase = 'empty' WHERE id = 1", "no such phase"},
    {"UPDATE sittings SET day = 20", "no such day"},
    {"UPDATE sittings SET salt = x'00' WHERE id = 1", "a salt too short"},
    {"UPDATE sittings SET salt = NULL WHERE id = 1", "a code without its salt"},
    {"INSERT INTO people VALUES ('a b', 'A', 'trainee', 0)", "id with a blank"},
    {"INSERT INTO people VALUES ('a', '', 'trainee', 0)", "no name"},
    {"INSERT INTO people VALUES ('a', 'A', 'boss', 0)", "no such role"},
    {"INSERT INTO people VALUES ('a', 'A', 'trainee', 2)", "neither retired nor not"},
    {"INSERT INTO kit VALUES ('g', 'gauge', 'G', 301, 0, NULL, NULL, 0, NULL, NULL)", "odd top"},
    {"INSERT INTO kit VALUES ('g', 'gauge', 'G', 300, 0, 200, 300, 0, NULL, NULL)", "a gauge with a cuff's range"},
    {"INSERT INTO kit VALUES ('c', 'cuff', 'C', NULL, NULL, 300, 300, 0, NULL, NULL)", "a range that is none"},
    {"INSERT INTO kit VALUES ('c', 'cuff', 'C', NULL, NULL, NULL, 300, 0, NULL, NULL)", "half a range"},
    {"INSERT INTO kit VALUES ('p', 'pump', 'P', NULL, NULL, 200, 300, 0, NULL, NULL)", "neither gauge nor cuff"},
    {"PRAGMA foreign_keys = ON; INSERT INTO gauge_checks VALUES (9, 'dial-9', 'leak', 1, 20300101)", "check of no gauge"},
    {"INSERT INTO gauge_checks VALUES (9, 'dial-1', 'leak', 101, 20300101)", "check out of range"},
    {"INSERT INTO gauge_checks VALUES (9, 'dial-1', 'taste', 1, 20300101)", "no such check"},
    {"INSERT INTO kit VALUES ('g', 'gauge', 'G', 300, 0, NULL, NULL, 0, 160, 300)", "a gauge with a bladder"},
    {"INSERT INTO kit VALUES ('c', 'cuff', 'C', NULL, NULL, 260, 340, 0, 160, NULL)", "a bladder without a length"},
    {"INSERT INTO kit VALUES ('c', 'cuff', 'C', NULL, NULL, 260, 340, 0, NULL, 300)", "a bladder without a width"},
    {"INSERT INTO kit VALUES ('c', 'cuff', 'C', NULL, NULL, 260, 340, 0, 300, 300)", "a bladder as wide as long"},
    {"INSERT INTO kit VALUES ('c', 'cuff', 'C', NULL, NULL, 260, 340, 0, 160, 341)", "a bladder longer than the range"},
    {"INSERT INTO kit VALUES ('c', 'cuff', 'C', NULL, NULL, 260, 340, 0, 29, 300)", "a bladder too narrow"},
    {"INSERT INTO check_points VALUES (1, 13, 50, 50)", "a thirteenth point"},
    {"INSERT INTO check_points VALUES (1, 3, 51, 50)", "an odd reference"},
    {"INSERT INTO check_points VALUES (1, 3, 50, 301)", "a reading beyond any gauge"},
    {"INSERT INTO check_points VALUES (1, 2, 50, 50)", "a point twice"},
    {"PRAGMA foreign_keys = ON; INSERT INTO check_points VALUES (9, 1, 50, 50)", "a point of no check"},
    {"INSERT INTO settings VALUES ('calibration.months', '25')", "an interval of 25 months"},
    {"INSERT INTO settings VALUES ('calibration.months', '06')", "an interval that only looks like a number"},
    {"UPDATE settings SET value = '0' WHERE name = 'calibration.months'", "an interval of none"},
};

START_TEST(file_refuses)
{
    fill();
    bool is_fk = strstr(REFUSED[_i].sql, "readings SELECT 9") != NULL;
    char sql[400];
    snprintf(sql, sizeof sql, "%s%s", is_fk ? "PRAGMA foreign_keys = ON; " : "", REFUSED[_i].sql);
    int rc = hand_sql(sql);
    ck_assert_msg(rc == SQLITE_CONSTRAINT, "%s: answered %d to: %s", REFUSED[_i].why, rc, REFUSED[_i].sql);
    struct store *st = hand_open(STORE_READ);
    OK(store_check(st, &e));
    store_close(st);
}
END_TEST

/* ---- what is signed ---- */

static const struct {
    const char *sql, *why;
} SIGNED_REFUSED[] = {
    {"UPDATE statements SET signature = zeroblob(64)", "a statement is never changed"},
    {"UPDATE statements SET sitting = NULL WHERE sitting = 1", "nor taken from its sitting"},
    {"DELETE FROM statements WHERE number = (SELECT max(number) FROM statements)", "nor deleted"},
    {"INSERT OR REPLACE INTO statements (number, key, text, signature)"
     " SELECT number, key, text, signature FROM statements WHERE sitting IS NULL", "nor replaced"},
    {"INSERT INTO statements (number, sitting, key, text, signature)"
     " SELECT 99, sitting, key, text, signature FROM statements LIMIT 1", "no gap"},
    {"INSERT INTO statements (number, key, text, signature) SELECT max(number) + 1, key, text, signature FROM statements",
     "a number that the text does not say"},
    {"INSERT INTO statements (number, key, text, signature) SELECT max(number) + 1, key,"
     " replace(text, char(10) || 'number ' || number || char(10), char(10) || 'number ' || (number + 1) || char(10)),"
     " signature FROM statements", "a sitting in the text and none in the row"},
    {"UPDATE keys SET role = 'preceptor'", "a key is never changed"},
    {"DELETE FROM keys", "nor deleted"},
    {"INSERT OR REPLACE INTO keys SELECT id, 'ana', role, public_key, begun FROM keys", "nor replaced"},
    {"PRAGMA foreign_keys = ON; INSERT INTO keys VALUES (printf('%032d', 0), 'ana', 'trainee', zeroblob(32), 99)",
     "a key that no statement begins"},
    {"UPDATE facts SET unsigned_until = 99", "what a store is never changes"},
    {"UPDATE facts SET id = printf('%032d', 0)", "nor its id"},
    {"DELETE FROM facts", "nor is it forgotten"},
    {"INSERT OR REPLACE INTO facts VALUES (1, printf('%032d', 0), 0)", "nor replaced"},
    {"INSERT INTO facts VALUES (2, printf('%032d', 0), 0)", "there is one of it"},
    {"UPDATE sittings SET review = 'fine'", "no such review"},
    {"UPDATE sittings SET purpose = 'fun'", "no such purpose"},
    {"UPDATE sittings SET chain = x'00'", "a hash too short"},
    {"PRAGMA foreign_keys = ON; UPDATE sittings SET last_statement = 99", "a statement that is not there"},
    {"INSERT INTO events VALUES (2, 5, 9000, 'told', NULL, NULL, NULL, NULL, NULL, 0, zeroblob(32))", "no wall clock"},
    {"INSERT INTO events VALUES (2, 5, 9000, 'told', NULL, NULL, NULL, NULL, 0, NULL, zeroblob(32))", "no boot clock"},
    {"INSERT INTO events VALUES (2, 5, 9000, 'told', NULL, NULL, NULL, NULL, 0, 0, NULL)", "no hash"},
    {"INSERT INTO attempts VALUES (1, 1, 5, 9000, 0, 'x', 'rest.short', '', '', 0)", "no attempt after the end"},
    {"UPDATE secrets SET box = zeroblob(79)", "a box too short"},
    {"UPDATE tries SET wrong = 0", "no wrong PIN is no row"},
};

START_TEST(file_with_signatures_refuses)
{
    struct store *st = hand_open(STORE_WRITE);
    struct sitting s;
    hand_sealed(st, ANA, NULL, ANA);
    hand_sitting(st, &s, BEN, NULL);
    store_close(st);
    ck_assert_int_eq(hand_sql("INSERT INTO tries VALUES ('ana', 1, 0, 0, 'b')"), SQLITE_OK);
    const int rc = hand_sql(SIGNED_REFUSED[_i].sql);
    ck_assert_msg(rc == SQLITE_CONSTRAINT, "%s: answered %d to: %s", SIGNED_REFUSED[_i].why, rc, SIGNED_REFUSED[_i].sql);
    st = hand_open(STORE_READ);
    hand_prove(st);
    store_close(st);
}
END_TEST

static const struct {
    const char *sql, *why;
} ALLOWED[] = {
    {"UPDATE sittings SET subject = NULL, salt = NULL WHERE id = 1", "a code is forgotten"},
    {"DELETE FROM readings", "what is derived can be made again"},
    {"UPDATE people SET is_retired = 1", "a person retires"},
};

START_TEST(file_allows)
{
    fill();
    ck_assert_msg(hand_sql(ALLOWED[_i].sql) == SQLITE_OK, "%s", ALLOWED[_i].why);
}
END_TEST

int main(void)
{
    Suite *suite = suite_create("store_rows");
    TCase *c = hand_case(suite, "rows");
    tcase_add_loop_test(c, file_refuses, 0, (int)ARRAY_LEN(REFUSED));
    tcase_add_loop_test(c, file_allows, 0, (int)ARRAY_LEN(ALLOWED));
    c = hand_signed_case(suite, "signed rows");
    tcase_add_loop_test(c, file_with_signatures_refuses, 0, (int)ARRAY_LEN(SIGNED_REFUSED));
    return hand_run(suite);
}
