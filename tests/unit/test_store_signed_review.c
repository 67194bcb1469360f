/* SPDX-License-Identifier: GPL-3.0-or-later */
/** @file test_store_signed_review.c  Where a sitting's review goes with each statement, and that nothing else moves it. */
#include "fault/store_sign_hand.h"

static struct err e;

/** Bring a new sitting of ana's to where its review is to be. */
static int64_t bring_to(struct store *st, enum review review)
{
    struct sitting s;
    const bool is_witnessed = review == REVIEW_HELD || review == REVIEW_RELEASED;
    const int64_t id = hand_sitting(st, &s, ANA, is_witnessed ? "eva" : NULL);
    if (review == REVIEW_OPEN)
        return id;
    if (review == REVIEW_UNSIGNED) {
        OK(hand_end(st, id, "9.000 seal", &s, NULL, &e));
        return id;
    }
    OK(hand_end(st, id, "9.000 seal", &s, hand_signers[is_witnessed ? EVA : ANA], &e));
    if (review == REVIEW_RETURNED)
        OK(hand_say(st, EVA, SAYS_RETURN, id, &e));
    if (review == REVIEW_DONE)
        OK(hand_say(st, EVA, SAYS_COUNTERSIGN, id, &e));
    if (review == REVIEW_RELEASED)
        OK(hand_say(st, EVA, SAYS_RELEASE, id, &e));
    return id;
}

/* Who may say it by the ring and by the sitting; whether it can follow is what is tested. */
static const struct {
    enum statement_kind kind;
    enum who by;
} SAID[] = {{SAYS_COUNTERSIGN, INA}, {SAYS_RETURN, INA}, {SAYS_COMMENT, INA}, {SAYS_AMEND, ANA}, {SAYS_RELEASE, EVA}};

#define NOT REVIEW_COUNT
static const struct {
    enum review from, to[ARRAY_LEN(SAID)];
} MOVES[] = {
    {REVIEW_OPEN, {NOT, NOT, NOT, NOT, NOT}},
    {REVIEW_UNSIGNED, {NOT, NOT, NOT, NOT, NOT}},
    {REVIEW_WAITING, {REVIEW_DONE, REVIEW_RETURNED, REVIEW_WAITING, REVIEW_WAITING, NOT}},
    {REVIEW_RETURNED, {REVIEW_DONE, NOT, REVIEW_RETURNED, REVIEW_WAITING, NOT}},
    {REVIEW_DONE, {REVIEW_DONE, NOT, REVIEW_DONE, REVIEW_WAITING, NOT}},
    {REVIEW_HELD, {NOT, NOT, REVIEW_HELD, NOT, REVIEW_RELEASED}},
    {REVIEW_RELEASED, {NOT, NOT, REVIEW_RELEASED, REVIEW_RELEASED, NOT}},
};

START_TEST(statement_moves_the_review_only_where_it_can_follow)
{
    const size_t at = (size_t)_i / ARRAY_LEN(SAID), said = (size_t)_i % ARRAY_LEN(SAID);
    const enum review from = MOVES[at].from, to = MOVES[at].to[said];
    struct store *st = hand_open(STORE_WRITE);
    const int64_t id = bring_to(st, from), before = hand_prove(st);
    ck_assert_int_eq(hand_review(st, id), from);
    const enum status status = hand_say(st, SAID[said].by, SAID[said].kind, id, &e);
    /* Nobody has witnessed one that is not an assessment. */
    const bool is_nobodys = SAID[said].kind == SAYS_RELEASE && from != REVIEW_HELD && from != REVIEW_RELEASED;
    const enum status wanted = to != NOT ? ST_OK : is_nobodys ? ST_PERMISSION : ST_CONFLICT;
    ck_assert_msg(status == wanted, "%s + %s: %d %s", REVIEW_WORDS[from], STATEMENTS[SAID[said].kind].word, (int)status,
                  e.text);
    ck_assert_int_eq(hand_review(st, id), to == NOT ? from : to);
    ck_assert_int_eq(hand_prove(st), before + (to != NOT));
    store_close(st);
}
END_TEST

START_TEST(seal_and_stop_signed_at_once_wait_for_a_preceptor)
{
    static const char *const LINES[] = {"9.000 seal", "9.000 stop \"had to go\""};
    static const enum statement_kind KINDS[] = {SAYS_SEAL, SAYS_STOP};
    struct store *st = hand_open(STORE_WRITE);
    struct sitting s;
    const int64_t id = hand_sitting(st, &s, ANA, NULL), before = hand_prove(st);
    OK(hand_end(st, id, LINES[_i], &s, hand_signers[ANA], &e));
    ck_assert_int_eq(hand_review(st, id), REVIEW_WAITING);
    ck_assert_int_eq(hand_prove(st), before + 1);
    char sql[100];
    snprintf(sql, sizeof sql, "SELECT kind = '%s' FROM statements WHERE number = %d", STATEMENTS[KINDS[_i]].word,
             (int)before + 1);
    ck_assert_int_eq(hand_number(sql), 1);
    store_close(st);
}
END_TEST

START_TEST(signature_that_is_owed_is_given_once)
{
    static const char *const LINES[] = {"9.000 seal", "9.000 stop \"had to go\""};
    struct store *st = hand_open(STORE_WRITE);
    struct sitting s;
    const int64_t id = hand_sitting(st, &s, ANA, NULL);
    ck_assert_int_eq(store_sign_closed(st, id, hand_signers[ANA], HAND_AT, &e), ST_CONFLICT); /* open */
    OK(hand_end(st, id, LINES[_i], &s, NULL, &e));
    ck_assert_int_eq(hand_review(st, id), REVIEW_UNSIGNED);
    OK(store_sign_closed(st, id, hand_signers[ANA], HAND_AT, &e));
    ck_assert_int_eq(hand_review(st, id), REVIEW_WAITING);
    ck_assert_int_eq(store_sign_closed(st, id, hand_signers[ANA], HAND_AT, &e), ST_CONFLICT);
    hand_prove(st);
    store_close(st);
}
END_TEST

START_TEST(plain_append_of_the_end_leaves_the_signature_owed)
{
    struct store *st = hand_open(STORE_WRITE);
    struct sitting s;
    const int64_t id = hand_sitting(st, &s, ANA, NULL);
    OK(hand_append(st, id, 5, "9.000 seal", &s, &e));
    ck_assert_int_eq(hand_review(st, id), REVIEW_UNSIGNED);
    store_close(st);
}
END_TEST

START_TEST(end_by_another_than_the_keeper_writes_nothing)
{
    struct store *st = hand_open(STORE_WRITE);
    struct sitting s;
    const int64_t id = hand_sitting(st, &s, ANA, NULL), before = hand_prove(st);
    ck_assert_int_eq(hand_end(st, id, "9.000 seal", &s, hand_signers[BEN], &e), ST_PERMISSION);
    ck_assert_int_eq(hand_review(st, id), REVIEW_OPEN);
    ck_assert_int_eq(hand_prove(st), before);
    OK(hand_end(st, id, "9.000 seal", &s, hand_signers[ANA], &e)); /* and the same event still goes in */
    store_close(st);
}
END_TEST

START_TEST(append_end_takes_no_event_but_an_end)
{
    struct store *st = hand_open(STORE_WRITE);
    struct sitting s;
    const int64_t id = hand_sitting(st, &s, ANA, NULL);
    struct event ev = hand_event("9.000 note \"x\"");
    ck_assert_int_eq(store_append_end(st, id, 5, &ev, &s, &HAND_MOMENT, hand_signers[ANA], HAND_AT, &e), ST_RANGE);
    store_close(st);
}
END_TEST

START_TEST(stop_before_anybody_was_named_is_signed_by_who_was_there)
{
    struct store *st = hand_open(STORE_WRITE);
    struct sitting s = hand_state();
    const int64_t id = hand_begin(st, &s);
    OK(hand_end(st, id, "1.000 stop \"a mistake\"", &s, hand_signers[BEN], &e));
    ck_assert_int_eq(hand_review(st, id), REVIEW_WAITING);
    hand_prove(st);
    store_close(st);
}
END_TEST

START_TEST(countersigning_twice_takes_two_preceptors)
{
    struct store *st = hand_open(STORE_WRITE);
    const int64_t id = hand_sealed(st, ANA, NULL, ANA);
    OK(hand_say(st, EVA, SAYS_COUNTERSIGN, id, &e));
    ck_assert_int_eq(hand_say(st, EVA, SAYS_COUNTERSIGN, id, &e), ST_CONFLICT);
    ck_assert_ptr_nonnull(strstr(e.text, "eva has countersigned"));
    OK(hand_say(st, INA, SAYS_COUNTERSIGN, id, &e));
    OK(hand_say(st, ANA, SAYS_AMEND, id, &e)); /* it waits again, and what was said before is about less */
    OK(hand_say(st, EVA, SAYS_COUNTERSIGN, id, &e));
    hand_prove(st);
    store_close(st);
}
END_TEST

START_TEST(seen_finds_that_somebody_was_quicker)
{
    struct store *st = hand_open(STORE_WRITE);
    struct kept_sitting kept;
    const int64_t id = hand_sealed(st, ANA, NULL, ANA);
    OK(store_kept_sitting(st, id, &kept, &e));
    const struct act a = {.kind = SAYS_COUNTERSIGN, .sitting = id, .word = "present", .seen = kept.last_statement};
    OK(hand_say(st, INA, SAYS_COMMENT, id, &e));
    const int64_t before = hand_prove(st);
    ck_assert_int_eq(hand_act(st, EVA, &a, &e), ST_CONFLICT);
    ck_assert_msg(strstr(e.text, "ina was quicker") && strstr(e.text, "comment"), "%s", e.text);
    ck_assert_int_eq(hand_prove(st), before);
    struct act again = a;
    again.seen = before;
    OK(hand_act(st, EVA, &again, &e));
    store_close(st);
}
END_TEST

START_TEST(ended_before_the_store_could_sign_stays_so)
{
    hand_teardown();
    hand_setup();
    hand_put_version(1);
    struct store *st = hand_open(STORE_WRITE);
    int64_t until = 0;
    OK(store_unsigned_until(st, &until, &e));
    ck_assert_int_eq(until, hand_number("SELECT max(id) FROM sittings"));
    const int64_t sealed = hand_number("SELECT id FROM sittings WHERE phase <> 'open' LIMIT 1");
    ck_assert_int_eq(hand_review(st, sealed), REVIEW_BEFORE);
    struct signer *eva = NULL;
    struct pin *pin = hand_pin(HAND_PIN);
    OK(store_person_add(st, &HAND_PEOPLE[EVA], &e));
    OK(store_key_begin(st, "eva", pin, HAND_AT, &eva, &e));
    const struct act a = {.kind = SAYS_COUNTERSIGN, .sitting = sealed, .word = "reviewed", .at = HAND_AT};
    ck_assert_int_eq(store_act(st, &a, eva, &e), ST_CONFLICT);
    ck_assert_int_eq(store_sign_closed(st, sealed, eva, HAND_AT, &e), ST_PERMISSION); /* another measured */
    ck_assert_int_eq(hand_prove(st), 1);
    pin_free(pin);
    signer_free(eva);
    store_close(st);
}
END_TEST

START_TEST(act_refuses_what_is_not_whole)
{
    struct store *st = hand_open(STORE_WRITE);
    const int64_t id = hand_sealed(st, ANA, NULL, ANA), before = hand_prove(st);
    static char endless[600];
    memset(endless, 'a', 501);
    const struct {
        struct act a;
        enum status want;
        const char *why;
    } BAD[] = {
        {{.kind = SAYS_COUNTERSIGN, .sitting = id}, ST_RANGE, "no word"},
        {{.kind = SAYS_COUNTERSIGN, .sitting = id, .word = "seen"}, ST_RANGE, "not one of its words"},
        {{.kind = SAYS_COUNTERSIGN, .sitting = id, .word = "reviewed", .open_ms = -1}, ST_RANGE, "time below zero"},
        {{.kind = SAYS_RETURN, .sitting = id}, ST_RANGE, "no reason"},
        {{.kind = SAYS_RETURN, .sitting = id, .said = endless}, ST_RANGE, "a reason of 501 characters"},
        {{.kind = SAYS_RETURN, .sitting = id, .said = "a\nb"}, ST_RANGE, "a line end"},
        {{.kind = SAYS_RETURN, .sitting = id, .said = "x", .event = 6}, ST_RANGE, "an event that is not there"},
        {{.kind = SAYS_RETURN, .sitting = id, .said = "x", .event = -1}, ST_RANGE, "an event below the first"},
        {{.kind = SAYS_COMMENT, .sitting = 99, .said = "x"}, ST_NOT_FOUND, "a sitting that is not there"},
        {{.kind = SAYS_SEAL, .sitting = id}, ST_RANGE, "an end that is no act"},
        {{.kind = SAYS_KEY}, ST_RANGE, "a key that is no act"},
        {{.kind = SAYS_COUNT}, ST_RANGE, "nothing that there is"},
        {{.kind = SAYS_RETIRE, .of = "g9", .word = "kit"}, ST_NOT_FOUND, "no such kit"},
        {{.kind = SAYS_RETIRE, .of = "zoe", .word = "person"}, ST_NOT_FOUND, "nobody"},
        {{.kind = SAYS_RETIRE, .word = "person"}, ST_RANGE, "nobody named"},
        {{.kind = SAYS_PROTOCOL, .of = "eu-adult"}, ST_RANGE, "no text"},
        {{.kind = SAYS_VOUCH, .of = "zoe"}, ST_NOT_FOUND, "nobody has that key"},
    };
    for (size_t i = 0; i < ARRAY_LEN(BAD); i++) {
        const enum status status = hand_act(st, EVA, &BAD[i].a, &e);
        ck_assert_msg(status == BAD[i].want, "%s: %d %s", BAD[i].why, (int)status, e.text);
    }
    ck_assert_int_eq(hand_prove(st), before);
    ck_assert_int_eq(hand_review(st, id), REVIEW_WAITING);
    store_close(st);
}
END_TEST

int main(void)
{
    Suite *suite = suite_create("store_signed_review");
    TCase *c = hand_signed_case(suite, "review");
    tcase_add_loop_test(c, statement_moves_the_review_only_where_it_can_follow, 0, (int)(ARRAY_LEN(MOVES) * ARRAY_LEN(SAID)));
    tcase_add_loop_test(c, seal_and_stop_signed_at_once_wait_for_a_preceptor, 0, 2);
    tcase_add_loop_test(c, signature_that_is_owed_is_given_once, 0, 2);
    tcase_add_test(c, plain_append_of_the_end_leaves_the_signature_owed);
    tcase_add_test(c, end_by_another_than_the_keeper_writes_nothing);
    tcase_add_test(c, append_end_takes_no_event_but_an_end);
    tcase_add_test(c, stop_before_anybody_was_named_is_signed_by_who_was_there);
    tcase_add_test(c, countersigning_twice_takes_two_preceptors);
    tcase_add_test(c, seen_finds_that_somebody_was_quicker);
    tcase_add_test(c, ended_before_the_store_could_sign_stays_so);
    tcase_add_test(c, act_refuses_what_is_not_whole);
    return hand_run(suite);
}
