/* SPDX-License-Identifier: GPL-3.0-or-later */
/** @file test_proof.c  What verify says of a store: right, wrong and where, and what nobody has signed. */
#include "command/session.h"
#include "fault/store_hand.h"
#include "unit/proof_hand.h"

static struct desk desk;

static void setup(void)
{
    hand_setup();
    desk_open(&desk, hand_path);
}

static void teardown(void)
{
    desk_close(&desk);
    hand_teardown();
}

/* On a connection of its own, as the verb does. */
static struct proof proof_now(void)
{
    struct proof p;
    struct store *st = hand_open(STORE_READ);
    desk_wrong(st, &p);
    store_close(st);
    return p;
}

static void must_find(const char *first)
{
    struct proof p = proof_now();
    ck_assert_int_gt(p.wrong, 0);
    ck_assert_msg(strstr(p.first, first) != NULL, "`%s` is not in `%s`", first, p.first);
}

START_TEST(a_week_at_the_desk_is_right)
{
    int sittings = desk_week(&desk);
    struct proof p = proof_now();
    ck_assert_msg(p.wrong == 0, "%s", p.first);
    ck_assert_int_eq(p.sittings, sittings);
    ck_assert_int_eq(p.signed_sittings, sittings);
    ck_assert_int_eq(p.unsigned_sittings + p.before_sittings + p.open_sittings, 0);
    ck_assert_str_eq(p.first, "");
}
END_TEST

START_TEST(a_store_without_a_sitting_is_right)
{
    struct proof p = proof_now();
    ck_assert_msg(p.wrong == 0, "%s", p.first);
    ck_assert_int_eq(p.sittings, 0);
    ck_assert_int_eq(p.statements, WHO_COUNT + 1);
}
END_TEST

START_TEST(owed_and_open_are_said_and_not_wrong)
{
    static struct play open;
    play_whole(&desk, ANA, NULL, 120);
    play_begin(&open, &desk, ANA, NULL);
    struct proof p = proof_now();
    ck_assert_msg(p.wrong == 0, "%s", p.first);
    ck_assert_int_eq(p.unsigned_sittings, 1);
    ck_assert_int_eq(p.open_sittings, 1);
    ck_assert_int_eq(p.signed_sittings, 0);
}
END_TEST

/* A fresh folder with what an older version left. */
static struct store *open_older(int version, enum store_mode mode)
{
    desk_close(&desk);
    hand_teardown();
    hand_setup();
    hand_put_version(version);
    /* its open one was kept with a text that is no protocol */
    hand_spoil("UPDATE sittings SET protocol_text = (SELECT protocol_text FROM sittings WHERE phase <> 'open') WHERE phase = 'open'");
    return hand_open(mode);
}

/* Read as it is, and carried forward. */
START_TEST(a_store_from_before_signing_is_replayed_and_said_to_be_older)
{
    struct proof p;
    const int version = 1 + _i / 2;
    struct store *st = open_older(version, _i % 2 ? STORE_WRITE : STORE_READ);
    desk_wrong(st, &p);
    ck_assert_msg(p.wrong == 0, "%s", p.first);
    ck_assert_int_eq(p.before_sittings, 2);
    ck_assert_int_eq(p.open_sittings, version == 2);
    ck_assert_int_eq(p.signed_sittings + p.unsigned_sittings, 0);
    store_close(st);
}
END_TEST

START_TEST(a_sitting_that_an_older_version_began_is_signed_at_its_end)
{
    static struct session x; /* large */
    struct proof p;
    struct sitting_head head;
    struct signer *signer = NULL;
    struct refusal why;
    struct store *st = open_older(2, STORE_WRITE);
    struct pin *pin = hand_pin();
    NEED(store_sitting_open_latest(st, &head, &hand_err));
    NEED(session_load(&x, st, NULL, head.id, &hand_err));
    NEED(store_key_begin(st, head.measurer, pin, HAND_AT, &signer, &hand_err));
    struct event stop = {.t_ms = x.sitting.now_ms + 1000, .kind = EV_STOP, .text = "called away"};
    ck_assert(sitting_apply(&x.sitting, &x.protocol, &stop, &why));
    NEED(store_append_end(st, head.id, x.seq + 1, &stop, &x.sitting, &HAND_MOMENT, signer, HAND_AT, &hand_err));
    desk_wrong(st, &p);
    ck_assert_msg(p.wrong == 0, "%s", p.first);
    ck_assert_int_eq(p.signed_sittings, 1);
    hand_spoil("UPDATE events SET t_ms = t_ms + 1 WHERE seq = 5 AND chain IS NULL AND sitting = (SELECT max(id) FROM sittings)");
    desk_wrong(st, &p);
    ck_assert_msg(p.wrong > 0 && strstr(p.first, "event 6 is not what was recorded"), "%s", p.first);
    hand_spoil("UPDATE events SET t_ms = t_ms - 1 WHERE seq = 5 AND chain IS NULL AND sitting = (SELECT max(id) FROM sittings);"
               "UPDATE events SET unix_ms = 1 WHERE seq = 5 AND chain IS NULL AND sitting = (SELECT max(id) FROM sittings)");
    desk_wrong(st, &p);
    ck_assert_msg(p.wrong > 0 && strstr(p.first, "clocks"), "%s", p.first);
    signer_free(signer);
    pin_free(pin);
    store_close(st);
}
END_TEST

START_TEST(one_sitting_alone_is_proved)
{
    struct proof p;
    desk_week(&desk);
    NEED(proof_sitting(desk.st, 2, NULL, &p, &hand_err));
    ck_assert_msg(p.wrong == 0, "%s", p.first);
    ck_assert_int_eq(p.sittings, 1);
    ck_assert_int_eq(p.signed_sittings, 1);
    ck_assert_int_eq(proof_sitting(desk.st, 99, NULL, &p, &hand_err), ST_NOT_FOUND);
}
END_TEST

/* What is wrong with it is said without its figures, also while its witness still owes the signature. */
START_TEST(figures_of_one_before_a_witness_are_not_said)
{
    static struct play g;
    struct proof p;
    play_begin(&g, &desk, BEN, "eva");
    play_prepare(&g);
    play_rest(&g, 90000);
    play_reading(&g, 132, 84);
    play_seal(&g, _i ? desk.by[EVA] : NULL);
    hand_spoil("UPDATE readings SET first_mmhg = 134; UPDATE events SET value = 134 WHERE kind = 'value' AND item = 'first'");
    desk_wrong(desk.st, &p);
    ck_assert_msg(p.wrong > 0 && !strstr(p.first, "134") && !strstr(p.first, "132"), "%s", p.first);
}
END_TEST

START_TEST(what_stands_behind_the_end_of_a_word_is_found_in_one_sitting_too)
{
    struct proof p;
    desk_week(&desk);
    hand_spoil("UPDATE events SET kind = kind || char(0) || 'x' WHERE sitting = 2 AND seq = 3");
    NEED(proof_sitting(desk.st, 2, NULL, &p, &hand_err));
    ck_assert_msg(p.wrong > 0 && strstr(p.first, "Event 3"), "%s", p.first);
}
END_TEST

START_TEST(a_changed_event_is_named_with_its_number)
{
    desk_week(&desk);
    hand_spoil("UPDATE events SET value = value + 2 WHERE sitting = 1 AND kind = 'value' AND item = 'first'");
    must_find("S-001: event ");
    must_find("is not what was recorded");
}
END_TEST

/* Every link of the first sitting as somebody would make it who knows how. */
static struct chain link_now;
static char links_sql[60000];
static bool link_anew(void *user, const struct kept_event *k)
{
    char line[EVENT_LINE_CAP], hex[HASH_HEX_CAP];
    size_t len = strlen(links_sql);
    (void)user;
    chain_event(&link_now, line, event_print(&k->event, line), k->unix_ms, k->boot_ms);
    trust_hex(link_now.hash, sizeof link_now.hash, hex);
    snprintf(links_sql + len, sizeof links_sql - len,
             "UPDATE events SET chain = x'%s' WHERE sitting = 1 AND seq = %d; UPDATE sittings SET chain = x'%s' WHERE id = 1;", hex,
             (int)k->seq, hex);
    return true;
}

START_TEST(a_chain_made_anew_is_not_what_was_signed)
{
    char store[STORE_ID_CAP];
    desk_week(&desk);
    hand_spoil("UPDATE events SET unix_ms = unix_ms + 1 WHERE sitting = 1 AND seq = 1");
    NEED(store_id(desk.st, store, &hand_err));
    chain_begin(&link_now, store, 1);
    NEED(store_kept_events(desk.st, 1, link_anew, NULL, &hand_err));
    hand_spoil(links_sql);
    must_find("S-001: the events are not those that ana signed");
}
END_TEST

static const struct spoil_row {
    const char *sql, *first;
} SPOILS[] = {
    {"DELETE FROM statements WHERE number = 3", "statement 4 follows on statement 2"},
    {"UPDATE sittings SET review = 'waiting' WHERE id = 1", "its review is stored as waiting"},
    {"UPDATE sittings SET last_statement = 1 WHERE id = 1", "the last statement about it"},
    {"UPDATE sittings SET measurer = 'ben' WHERE id = 1", "the measurer is stored as `ben`"},
    {"UPDATE sittings SET last_unix_ms = last_unix_ms - 60000 WHERE id = 1", "the wall clock of the last event"},
    {"UPDATE facts SET unsigned_until = 2", "statement 1 is not the first of this store"},
    {"UPDATE readings SET first_mmhg = first_mmhg + 2 WHERE sitting = 1 AND n = 1", "reading 1 is stored as"},
    {"UPDATE readings SET target_mmhg = target_mmhg + 2 WHERE sitting = 1 AND n = 1", "the target of reading 1"},
    {"UPDATE readings SET inflate_ms = inflate_ms + 1 WHERE sitting = 1 AND n = 1", "the inflation of reading 1"},
    {"UPDATE sittings SET measurer = measurer || char(0) || 'x' WHERE id = 1", "S-001 holds a byte that no text has"},
    {"UPDATE sittings SET opened = opened || char(0) WHERE id = 2", "S-002 holds a byte that no text has"},
    {"UPDATE readings SET remarks = remarks || char(0) || 'x' WHERE sitting = 1 AND n = 1", "S-001 holds a byte that no text has"},
    {"UPDATE events SET kind = kind || char(0) || 'x' WHERE sitting = 1 AND seq = 3", "S-001: Event 3 in the store"},
    {"UPDATE people SET name = name || char(0) || 'x' WHERE id = 'eva'", "eva holds a byte that no text has"},
    {"UPDATE kit SET is_retired = 0 WHERE id = 'g9'", "g9 was taken out of use"},
    {"DELETE FROM attempts WHERE sitting = 1", "refused attempts"},
};

START_TEST(what_was_spoiled_is_named)
{
    desk_week(&desk);
    hand_spoil(SPOILS[_i].sql);
    must_find(SPOILS[_i].first);
}
END_TEST

START_TEST(a_sitting_taken_out_of_the_middle_is_missed)
{
    desk_week(&desk);
    hand_spoil("DELETE FROM statements WHERE sitting = 2; DELETE FROM events WHERE sitting = 2;"
               "DELETE FROM attempts WHERE sitting = 2; DELETE FROM readings WHERE sitting = 2; DELETE FROM sittings WHERE id = 2");
    must_find("S-002 is missing");
}
END_TEST

static bool is_said[8];
static void note_said(void *user, const char *sentence)
{
    (void)user;
    for (int i = 1; i < 8; i++) {
        char id[16];
        snprintf(id, sizeof id, "S-%03d", i);
        if (strncmp(sentence, id, 5) == 0)
            is_said[i] = true;
    }
}

START_TEST(an_event_that_cannot_be_read_does_not_hide_what_comes_after_it)
{
    const struct proof_watch watch = {.say = note_said};
    struct proof p;
    desk_week(&desk);
    hand_spoil("UPDATE events SET kind = 'whistle' WHERE sitting = 2 AND seq = 3;"
               "UPDATE events SET value = 74 WHERE sitting = 1 AND kind = 'pulse';"
               "UPDATE events SET value = 74 WHERE sitting = 3 AND kind = 'pulse'");
    NEED(proof_store(desk.st, &watch, &p, &hand_err));
    ck_assert(is_said[1] && is_said[2] && is_said[3] && !is_said[4]);
    ck_assert_int_eq(p.wrong_sittings, 3);
}
END_TEST

static void count_said(void *user, const char *sentence)
{
    *(int *)user += strstr(sentence, "S-003: event 2 ") != NULL;
}

/* The pass over all events breaks off at it; what was seen of its sitting by then is neither counted nor said again. */
START_TEST(what_comes_before_an_event_that_cannot_be_read_counts_once)
{
    int sittings = desk_week(&desk), said = 0;
    struct proof before = proof_now(), p;
    const struct proof_watch watch = {.say = count_said, .user = &said};
    hand_spoil("UPDATE events SET t_ms = t_ms + 1 WHERE sitting = 3 AND seq = 2;"
               "UPDATE events SET kind = 'riddle' WHERE sitting = 3 AND seq = (SELECT event_count FROM sittings WHERE id = 3)");
    NEED(proof_store(desk.st, &watch, &p, &hand_err));
    ck_assert_int_gt(p.wrong, 0);
    ck_assert_int_eq(p.sittings, sittings);
    ck_assert_int_eq(p.events, before.events - 1);
    ck_assert_int_eq(said, 1);
}
END_TEST

START_TEST(a_held_sitting_is_not_told_by_what_is_wrong_with_it)
{
    struct proof p;
    play_witnessed(&desk);
    hand_spoil("UPDATE readings SET first_mmhg = 199 WHERE sitting = 1; UPDATE events SET value = 198 WHERE kind = 'value'");
    desk_wrong(desk.st, &p);
    ck_assert_int_gt(p.wrong, 0);
    ck_assert_ptr_null(strstr(p.first, "198"));
    ck_assert_ptr_null(strstr(p.first, "199"));
}
END_TEST

START_TEST(a_forgotten_code_breaks_nothing)
{
    int n = 0;
    desk_week(&desk);
    NEED(store_subject_erase(desk.st, "k-001", &n, &hand_err));
    ck_assert_int_eq(n, 1);
    struct proof p = proof_now();
    ck_assert_msg(p.wrong == 0, "%s", p.first);
}
END_TEST

int main(void)
{
    Suite *s = suite_create("proof");
    TCase *t = tcase_create("proof");
    tcase_set_timeout(t, 60);
    tcase_add_checked_fixture(t, setup, teardown);
    tcase_add_test(t, a_week_at_the_desk_is_right);
    tcase_add_test(t, a_store_without_a_sitting_is_right);
    tcase_add_test(t, owed_and_open_are_said_and_not_wrong);
    tcase_add_loop_test(t, a_store_from_before_signing_is_replayed_and_said_to_be_older, 0, 4);
    tcase_add_test(t, a_sitting_that_an_older_version_began_is_signed_at_its_end);
    tcase_add_test(t, one_sitting_alone_is_proved);
    tcase_add_loop_test(t, figures_of_one_before_a_witness_are_not_said, 0, 2);
    tcase_add_test(t, what_stands_behind_the_end_of_a_word_is_found_in_one_sitting_too);
    tcase_add_test(t, a_changed_event_is_named_with_its_number);
    tcase_add_test(t, a_chain_made_anew_is_not_what_was_signed);
    tcase_add_loop_test(t, what_was_spoiled_is_named, 0, (int)ARRAY_LEN(SPOILS));
    tcase_add_test(t, a_sitting_taken_out_of_the_middle_is_missed);
    tcase_add_test(t, an_event_that_cannot_be_read_does_not_hide_what_comes_after_it);
    tcase_add_test(t, what_comes_before_an_event_that_cannot_be_read_counts_once);
    tcase_add_test(t, a_held_sitting_is_not_told_by_what_is_wrong_with_it);
    tcase_add_test(t, a_forgotten_code_breaks_nothing);
    suite_add_tcase(s, t);
    SRunner *r = srunner_create(s);
    srunner_run_all(r, CK_NORMAL);
    int failed = srunner_ntests_failed(r);
    srunner_free(r);
    return failed ? EXIT_FAILURE : EXIT_SUCCESS;
}
