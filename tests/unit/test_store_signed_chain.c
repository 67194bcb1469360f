/* SPDX-License-Identifier: GPL-3.0-or-later */
/** @file test_store_signed_chain.c  The chain over a sitting's events, its attempts, and what the end signs of them. */
#include "fault/store_sign_hand.h"

static struct err e;

struct follow {
    struct chain chain;
    int32_t count;
    bool has_moments;
};

static bool follow_event(void *user, const struct kept_event *row)
{
    struct follow *f = user;
    char line[EVENT_LINE_CAP];
    const size_t len = event_print(&row->event, line);
    chain_event(&f->chain, line, len, row->unix_ms, row->boot_ms);
    ck_assert_int_eq(row->seq, ++f->count);
    if (row->has_moment)
        ck_assert_mem_eq(row->chain, f->chain.hash, sizeof row->chain);
    else
        ck_assert(row->unix_ms == INT64_MIN && row->boot_ms == INT64_MIN);
    f->has_moments = f->has_moments && row->has_moment;
    return true;
}

/** Work the chain of a sitting out from its rows, and hold each row and the sitting's against it. */
static struct follow follow_chain(struct store *st, int64_t id)
{
    struct follow f = {.has_moments = true};
    struct kept_sitting kept;
    char store[STORE_ID_CAP];
    OK(store_id(st, store, &e));
    chain_begin(&f.chain, store, id);
    OK(store_kept_events(st, id, follow_event, &f, &e));
    OK(store_kept_sitting(st, id, &kept, &e));
    ck_assert_int_eq(kept.head.event_count, f.count);
    if (kept.has_chain)
        ck_assert_mem_eq(kept.chain, f.chain.hash, sizeof kept.chain);
    return f;
}

START_TEST(each_event_carries_the_hash_over_all_before_it)
{
    struct store *st = hand_open(STORE_WRITE);
    struct sitting s;
    const int64_t one = hand_sitting(st, &s, ANA, "eva"), two = hand_sitting(st, &s, BEN, NULL);
    OK(hand_append(st, two, 5, "1.000 subject k7-031", &s, &e));
    OK(hand_append(st, two, 6, "2.000 note \"caf\xc3\xa9 \\\"x\\\"\"", &s, &e));
    ck_assert_int_eq(follow_chain(st, one).count, 5);
    const struct follow before = follow_chain(st, two);
    ck_assert_int_eq(before.count, 6);
    ck_assert(before.has_moments);
    int forgotten = 0;
    OK(store_subject_erase(st, "k7-031", &forgotten, &e));
    ck_assert_int_eq(forgotten, 1);
    const struct follow after = follow_chain(st, two); /* and it holds without the code */
    ck_assert_mem_eq(after.chain.hash, before.chain.hash, sizeof before.chain.hash);
    store_close(st);
}
END_TEST

static bool keep_last(void *user, const struct kept_statement *kept)
{
    struct statement *s = user;
    OK(statement_parse(kept->text, kept->len, s, &e));
    return true;
}

struct hashed {
    struct chain chain;
    int32_t count;
};

static bool hash_attempt(void *user, const struct kept_attempt *a)
{
    struct hashed *h = user;
    chain_attempt(&h->chain, &(struct chain_attempt){a->n, a->after_seq, a->t_ms, a->unix_ms, a->is_slip, a->rule, a->have,
                                                     a->need, a->line});
    ck_assert_int_eq(a->n, ++h->count);
    return true;
}

START_TEST(end_signs_all_that_stands_beside_the_events)
{
    struct store *st = hand_open(STORE_WRITE);
    struct sitting s;
    struct statement said;
    struct kept_sitting kept;
    struct hashed h = {.count = 0};
    char hex[HASH_HEX_CAP], store[STORE_ID_CAP];
    const struct refusal why = {.rule = RULE_REST_SHORT, .have = "4:10", .need = "5:00"};
    const struct event ev = hand_event("5.000 rest end");
    const int64_t id = hand_sitting(st, &s, ANA, "eva");
    OK(store_attempt(st, id, &ev, &why, &HAND_MOMENT, &e));
    OK(store_attempt(st, id, &ev, &why, &HAND_MOMENT, &e));
    OK(hand_end(st, id, "9.000 stop \"had to go\"", &s, hand_signers[EVA], &e));
    OK(store_statements(st, id, keep_last, &said, &e));
    OK(store_kept_sitting(st, id, &kept, &e));
    OK(store_id(st, store, &e));
    ck_assert_int_eq(said.kind, SAYS_STOP);
    ck_assert_str_eq(said.person, "eva");
    ck_assert_str_eq(said.measurer, "ana");
    ck_assert_str_eq(said.witness, "eva");
    ck_assert_str_eq(said.opened, "2031-03-02T14:04:10+01:00");
    ck_assert_str_eq(said.boot, HAND_MOMENT.boot);
    ck_assert_str_eq(said.protocol_text, kept.protocol_text_hash);
    ck_assert_str_eq(said.at, HAND_AT);
    ck_assert_int_eq(said.events, 6);
    trust_hex(follow_chain(st, id).chain.hash, TRUST_HASH_BYTES, hex);
    ck_assert_str_eq(said.head, hex);
    chain_attempts_begin(&h.chain, store, id);
    OK(store_kept_attempts(st, id, hash_attempt, &h, &e));
    ck_assert_int_eq(said.attempts, 2);
    trust_hex(h.chain.hash, TRUST_HASH_BYTES, hex);
    ck_assert_str_eq(said.attempts_hash, hex);
    ck_assert_int_eq(kept.last_statement, said.number);
    ck_assert_str_eq(kept.purpose, "assessment");
    store_close(st);
}
END_TEST

START_TEST(attempt_is_kept_only_while_its_sitting_is_open)
{
    struct store *st = hand_open(STORE_WRITE);
    const struct refusal why = {.rule = RULE_REST_SHORT};
    const struct event ev = hand_event("5.000 rest end");
    const int64_t id = hand_sealed(st, ANA, NULL, ANA);
    ck_assert_int_eq(store_attempt(st, id, &ev, &why, &HAND_MOMENT, &e), ST_CONFLICT);
    ck_assert_int_eq(hand_number("SELECT count(*) FROM attempts"), 0);
    store_close(st);
}
END_TEST

/* Its first events have no clock beside them; the chain begins with them all the same. */
START_TEST(sitting_that_an_older_version_began_goes_on_and_is_signed)
{
    hand_teardown();
    hand_setup();
    hand_put_version(2);
    struct store *st = hand_open(STORE_WRITE);
    struct signer *signer = NULL;
    struct kept_sitting kept;
    struct pin *pin = hand_pin(HAND_PIN);
    struct sitting s = hand_state();
    const int64_t id = 6;
    OK(store_kept_sitting(st, id, &kept, &e));
    ck_assert_int_eq(kept.review, REVIEW_OPEN);
    ck_assert_str_eq(kept.purpose, "practice");
    ck_assert(!kept.has_chain);
    OK(store_key_begin(st, "ben", pin, HAND_AT, &signer, &e));
    snprintf(s.measurer, sizeof s.measurer, "ben");
    s.date = 20310302;
    s.purpose = PURPOSE_PRACTICE;
    OK(hand_append(st, id, 6, "900.000 note \"later\"", &s, &e));
    OK(hand_end(st, id, "999.000 stop \"had to go\"", &s, signer, &e));
    ck_assert_int_eq(hand_review(st, id), REVIEW_WAITING);
    const struct follow f = follow_chain(st, id);
    ck_assert_int_eq(f.count, 7);
    ck_assert(!f.has_moments);
    ck_assert_int_eq(hand_prove(st), 2);
    signer_free(signer);
    pin_free(pin);
    store_close(st);
}
END_TEST

struct passed {
    int64_t sitting;
    int32_t seq, count;
};

static bool in_order(void *user, const struct kept_event *row)
{
    struct passed *p = user;
    ck_assert(row->sitting > p->sitting ? row->seq == 1 : row->sitting == p->sitting && row->seq == p->seq + 1);
    *p = (struct passed){row->sitting, row->seq, p->count + 1};
    return true;
}

static bool count_sitting(void *user, const struct kept_sitting *kept)
{
    int *count = user;
    ck_assert_int_eq(kept->head.id, ++*count);
    return true;
}

START_TEST(whole_store_is_read_in_one_pass)
{
    struct store *st = hand_open(STORE_WRITE);
    struct sitting s;
    struct passed p = {0};
    int count = 0;
    hand_sealed(st, ANA, NULL, ANA);
    hand_sitting(st, &s, BEN, NULL);
    hand_sealed(st, BEN, "eva", EVA);
    OK(store_kept_events(st, 0, in_order, &p, &e));
    ck_assert_int_eq(p.count, 5 + 4 + 6);
    OK(store_kept_sittings(st, count_sitting, &count, &e));
    ck_assert_int_eq(count, 3);
    store_close(st);
}
END_TEST

/* Rows that would print as the same line must not pass for each other. */
static const char *const DISGUISED[] = {
    "UPDATE events SET value = 0 WHERE kind = 'note'",
    "UPDATE events SET value2 = 0 WHERE kind = 'note'",
    "UPDATE events SET item = '' WHERE kind = 'note'",
    "UPDATE events SET value = NULL WHERE kind = 'resume'",
    "UPDATE events SET text = text || char(0) || 'x' WHERE kind = 'note'",
    "UPDATE events SET text = '' WHERE kind = 'resume'",
    "UPDATE events SET chain = x'00' WHERE kind = 'note'",
};

static bool pass_event(void *user, const struct kept_event *row)
{
    (void)user, (void)row;
    return true;
}

START_TEST(row_that_only_prints_alike_is_found)
{
    struct store *st = hand_open(STORE_WRITE);
    struct sitting s;
    const int64_t id = hand_sitting(st, &s, ANA, NULL);
    OK(hand_append(st, id, 5, "1.000 note \"x\"", &s, &e));
    OK(hand_append(st, id, 6, "1.000 resume 0", &s, &e));
    OK(store_kept_events(st, id, pass_event, NULL, &e));
    store_close(st);
    hand_spoil(DISGUISED[_i]);
    st = hand_open(STORE_READ);
    ck_assert_msg(store_kept_events(st, id, pass_event, NULL, &e) == ST_CORRUPT, "%s", DISGUISED[_i]);
    store_close(st);
}
END_TEST

int main(void)
{
    Suite *suite = suite_create("store_signed_chain");
    TCase *c = hand_signed_case(suite, "chain");
    tcase_add_test(c, each_event_carries_the_hash_over_all_before_it);
    tcase_add_test(c, end_signs_all_that_stands_beside_the_events);
    tcase_add_test(c, attempt_is_kept_only_while_its_sitting_is_open);
    tcase_add_test(c, sitting_that_an_older_version_began_goes_on_and_is_signed);
    tcase_add_test(c, whole_store_is_read_in_one_pass);
    tcase_add_loop_test(c, row_that_only_prints_alike_is_found, 0, (int)ARRAY_LEN(DISGUISED));
    return hand_run(suite);
}
