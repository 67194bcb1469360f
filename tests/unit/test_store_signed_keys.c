/* SPDX-License-Identifier: GPL-3.0-or-later */
/** @file test_store_signed_keys.c  Whose key stands for what: founders, vouches, the course's key, and what a store keeps. */
#include "fault/store_sign_hand.h"

static struct err e;

#define BIT(who) (1U << (who))

static struct signer *make_course(void)
{
    struct sealed_key sealed;
    struct signer *course = NULL;
    struct pin *pin = hand_pin("course-4711");
    OK(key_make(pin, &sealed, &course, &e));
    pin_free(pin);
    return course;
}

static enum trust_standing standing_of(struct store *st, enum who who, const char *voucher)
{
    struct ring *ring = NULL;
    OK(store_ring(st, &ring, &e));
    const struct ring_key *k = ring_of_person(ring, HAND_PEOPLE[who].id);
    ck_assert_ptr_nonnull(k);
    ck_assert_str_eq(k->voucher, voucher);
    const enum trust_standing standing = k->standing;
    ring_free(ring);
    return standing;
}

START_TEST(first_preceptor_is_self_declared_and_the_next_waits_for_a_vouch)
{
    struct store *st = hand_open(STORE_WRITE);
    const int64_t id = hand_sealed(st, ANA, NULL, ANA);
    ck_assert_int_eq(standing_of(st, EVA, ""), TRUST_SELF);
    ck_assert_int_eq(standing_of(st, INA, "eva"), TRUST_BY_SELF);
    ck_assert_int_eq(standing_of(st, UNA, ""), TRUST_NONE);
    ck_assert_int_eq(hand_say(st, UNA, SAYS_COUNTERSIGN, id, &e), ST_PERMISSION);
    OK(hand_vouch(st, INA, UNA, &e));
    ck_assert_int_eq(standing_of(st, UNA, "ina"), TRUST_BY_SELF);
    OK(hand_say(st, UNA, SAYS_COUNTERSIGN, id, &e));
    hand_prove(st);
    store_close(st);
}
END_TEST

/* Each key's statement says the role of its owner, an ended one's too. */
START_TEST(a_role_stays_from_the_first_key_on)
{
    struct store *st = hand_open(STORE_WRITE);
    struct person got;
    ck_assert_int_eq(store_person_role(st, "ana", ROLE_PRECEPTOR, &e), ST_PERMISSION);
    ck_assert_msg(strstr(e.text, "the role stays") && strstr(e.text, "another id"), "%s", e.text);
    OK(hand_act(st, EVA, &(struct act){.kind = SAYS_END, .of = "ana", .said = "lost"}, &e));
    ck_assert_int_eq(store_person_role(st, "ana", ROLE_PRECEPTOR, &e), ST_PERMISSION);
    OK(store_person_get(st, "ana", &got, &e));
    ck_assert_int_eq(got.role, ROLE_TRAINEE);
    hand_prove(st);
    store_close(st);
}
END_TEST

/** What a course's key that is new here says; a preceptor of the store takes it in. */
static enum status course_says(struct store *st, const struct signer *course, enum statement_kind kind, const char *of,
                               enum who host)
{
    return store_act(st, &(struct act){.kind = kind, .of = of, .at = HAND_AT, .host = hand_signers[host]}, course, &e);
}

/* Anybody can make a key and call it the course's: it must not make a second id of a trainee's a preceptor. */
START_TEST(course_that_no_preceptor_takes_in_is_refused)
{
    struct store *st = hand_open(STORE_WRITE);
    struct signer *course = make_course();
    const struct act una = {.kind = SAYS_VOUCH, .of = "una", .at = HAND_AT};
    const int64_t before = hand_prove(st);
    ck_assert_int_eq(store_may(st, &una, course, &e), ST_PERMISSION);
    ck_assert_int_eq(store_act(st, &una, course, &e), ST_PERMISSION);
    ck_assert_msg(strstr(e.text, "--by") != NULL, "%s", e.text);
    ck_assert_int_eq(store_act(st, &(struct act){.kind = SAYS_COURSE, .at = HAND_AT}, course, &e), ST_PERMISSION);
    for (int by = UNA; by < WHO_COUNT; by++)
        ck_assert_int_eq(course_says(st, course, SAYS_VOUCH, "una", (enum who)by), ST_PERMISSION);
    ck_assert_int_eq(store_act(st, &(struct act){.kind = SAYS_VOUCH, .of = "una", .at = HAND_AT, .host = course}, course, &e),
                     ST_PERMISSION);
    ck_assert_int_eq(hand_prove(st), before);
    OK(hand_act(st, EVA, &(struct act){.kind = SAYS_RETIRE, .of = "ina", .word = "person"}, &e));
    ck_assert_int_eq(course_says(st, course, SAYS_VOUCH, "una", INA), ST_PERMISSION);
    OK(course_says(st, course, SAYS_VOUCH, "una", EVA));
    signer_free(course);
    store_close(st);
}
END_TEST

/* Where nobody with standing is left, the course is the way back. */
START_TEST(course_needs_nobody_where_no_preceptor_has_standing)
{
    struct store *st = hand_open(STORE_WRITE);
    struct signer *course = make_course();
    OK(hand_act(st, EVA, &(struct act){.kind = SAYS_END, .of = "ina", .said = "lost"}, &e));
    OK(hand_act(st, EVA, &(struct act){.kind = SAYS_RETIRE, .of = "eva", .word = "person"}, &e));
    OK(store_act(st, &(struct act){.kind = SAYS_VOUCH, .of = "una", .at = HAND_AT}, course, &e));
    ck_assert_int_eq(standing_of(st, UNA, COURSE_PERSON), TRUST_COURSE);
    hand_prove(st);
    signer_free(course);
    store_close(st);
}
END_TEST

START_TEST(course_registers_its_key_with_its_first_vouch)
{
    struct store *st = hand_open(STORE_WRITE);
    struct signer *course = make_course();
    const struct act una = {.kind = SAYS_VOUCH, .of = "una", .at = HAND_AT, .host = hand_signers[INA]};
    const int64_t before = hand_prove(st);
    OK(store_may(st, &una, course, &e));
    OK(store_act(st, &una, course, &e));
    ck_assert_int_eq(hand_prove(st), before + 2);
    ck_assert_int_eq(standing_of(st, UNA, COURSE_PERSON), TRUST_COURSE);
    ck_assert_int_eq(hand_number("SELECT count(*) FROM secrets JOIN keys ON id = key WHERE role = 'course'"), 0);
    OK(store_act(st, &(struct act){.kind = SAYS_VOUCH, .of = "eva", .at = HAND_AT}, course, &e));
    ck_assert_int_eq(hand_prove(st), before + 3);
    ck_assert_int_eq(standing_of(st, EVA, COURSE_PERSON), TRUST_COURSE);
    ck_assert_int_eq(standing_of(st, INA, "eva"), TRUST_COURSE); /* her line begins at the course now */
    signer_free(course);
    store_close(st);
}
END_TEST

START_TEST(course_can_be_registered_by_itself)
{
    struct store *st = hand_open(STORE_WRITE);
    struct signer *course = make_course();
    const struct act a = {.kind = SAYS_COURSE, .at = HAND_AT, .host = hand_signers[EVA]};
    const int64_t before = hand_prove(st);
    OK(store_act(st, &a, course, &e));
    ck_assert_int_eq(hand_prove(st), before + 1);
    ck_assert_int_ne(store_act(st, &a, course, &e), ST_OK); /* once */
    ck_assert_int_eq(hand_prove(st), before + 1);
    signer_free(course);
    store_close(st);
}
END_TEST

START_TEST(another_course_is_refused_and_leaves_nothing)
{
    struct store *st = hand_open(STORE_WRITE);
    struct signer *course = make_course(), *other = make_course();
    const struct act una = {.kind = SAYS_VOUCH, .of = "una", .at = HAND_AT};
    OK(course_says(st, course, SAYS_VOUCH, "eva", EVA));
    const int64_t before = hand_prove(st);
    ck_assert_int_eq(store_may(st, &una, other, &e), ST_PERMISSION);
    ck_assert_int_eq(store_act(st, &una, other, &e), ST_PERMISSION);
    ck_assert_int_eq(hand_prove(st), before);
    signer_free(course);
    signer_free(other);
    store_close(st);
}
END_TEST

/* The key is registered and vouches in one transaction: where the vouch cannot be, neither is the key. */
START_TEST(course_that_vouches_for_nobody_is_not_registered)
{
    struct store *st = hand_open(STORE_WRITE);
    struct signer *course = make_course();
    const int64_t before = hand_prove(st);
    ck_assert_int_eq(course_says(st, course, SAYS_VOUCH, "zoe", EVA), ST_NOT_FOUND);
    ck_assert_int_eq(course_says(st, course, SAYS_VOUCH, "tec", EVA), ST_PERMISSION);
    ck_assert_int_eq(hand_prove(st), before);
    ck_assert_int_eq(hand_number("SELECT count(*) FROM keys WHERE role = 'course'"), 0);
    OK(course_says(st, course, SAYS_VOUCH, "una", EVA));
    signer_free(course);
    store_close(st);
}
END_TEST

START_TEST(course_may_reset_a_pin_but_not_countersign)
{
    struct store *st = hand_open(STORE_WRITE);
    struct signer *course = make_course();
    const int64_t id = hand_sealed(st, ANA, NULL, ANA);
    const struct act end = {.kind = SAYS_END, .of = "eva", .said = "forgotten", .at = HAND_AT};
    ck_assert_int_eq(store_act(st, &end, course, &e), ST_PERMISSION); /* not known here yet */
    OK(course_says(st, course, SAYS_VOUCH, "eva", EVA));
    OK(store_act(st, &end, course, &e));
    const struct act countersign = {.kind = SAYS_COUNTERSIGN, .sitting = id, .word = "reviewed", .at = HAND_AT};
    ck_assert_int_eq(store_act(st, &countersign, course, &e), ST_PERMISSION);
    hand_prove(st);
    signer_free(course);
    store_close(st);
}
END_TEST

START_TEST(each_store_has_an_id_of_its_own_that_stays)
{
    char one[STORE_ID_CAP], again[STORE_ID_CAP], other[STORE_ID_CAP];
    int64_t until = 9;
    struct store *st = hand_open(STORE_WRITE);
    OK(store_id(st, one, &e));
    OK(store_unsigned_until(st, &until, &e));
    ck_assert_int_eq(until, 0);
    store_close(st);
    st = hand_open(STORE_READ);
    OK(store_id(st, again, &e));
    store_close(st);
    ck_assert_str_eq(one, again);
    ck_assert_uint_eq(strspn(one, "0123456789abcdef"), 32);
    hand_teardown();
    hand_setup();
    st = hand_open(STORE_WRITE);
    OK(store_id(st, other, &e));
    store_close(st);
    ck_assert_str_ne(one, other);
}
END_TEST

/* One connection knows who may; another changes it. */
START_TEST(what_another_window_signed_counts_at_once)
{
    struct store *one = hand_open(STORE_WRITE), *two = hand_open(STORE_WRITE);
    const int64_t id = hand_sealed(one, ANA, NULL, ANA);
    ck_assert_int_eq(hand_say(one, UNA, SAYS_COUNTERSIGN, id, &e), ST_PERMISSION);
    OK(hand_vouch(two, EVA, UNA, &e));
    OK(hand_say(one, UNA, SAYS_COUNTERSIGN, id, &e));
    OK(hand_act(two, EVA, &(struct act){.kind = SAYS_END, .of = "una", .said = "forgotten"}, &e));
    const int64_t later = hand_sealed(one, ANA, NULL, ANA);
    ck_assert_int_eq(hand_say(one, UNA, SAYS_COUNTERSIGN, later, &e), ST_PERMISSION);
    hand_prove(one);
    store_close(one);
    store_close(two);
}
END_TEST

static const char *const FORGED[] = {
    "UPDATE statements SET text = replace(text, 'person ina', 'person una') WHERE kind = 'key'",
    "UPDATE statements SET signature = zeroblob(64) WHERE kind = 'vouch'",
    "UPDATE statements SET text = replace(text, 'what vouch', 'what vouck')",
    "UPDATE statements SET text = replace(text, 'role trainee', 'role preceptor') WHERE kind = 'key'",
    "UPDATE statements SET signature = (SELECT signature FROM statements WHERE number = 1) WHERE number = 2",
};

START_TEST(forged_key_statement_is_named_and_nothing_is_signed_on_it)
{
    hand_spoil(FORGED[_i]);
    struct store *st = hand_open(STORE_WRITE);
    struct ring *ring = NULL;
    const int64_t before = hand_number("SELECT count(*) FROM statements");
    if (_i == 2) { /* called something else, it is a vouch no more: whose it was may do nothing */
        ck_assert_int_eq(hand_vouch(st, INA, UNA, &e), ST_PERMISSION);
    } else {
        ck_assert_int_eq(store_ring(st, &ring, &e), ST_CORRUPT);
        ck_assert_msg(strstr(e.text, "Statement ") != NULL, "%s", e.text);
        ck_assert_ptr_null(ring);
        ck_assert_int_eq(hand_vouch(st, EVA, UNA, &e), ST_CORRUPT);
    }
    ck_assert_int_eq(hand_number("SELECT count(*) FROM statements"), before);
    store_close(st);
}
END_TEST

int main(void)
{
    Suite *suite = suite_create("store_signed_keys");
    TCase *c = hand_signed_case(suite, "keys");
    tcase_add_test(c, first_preceptor_is_self_declared_and_the_next_waits_for_a_vouch);
    tcase_add_test(c, a_role_stays_from_the_first_key_on);
    tcase_add_test(c, course_that_no_preceptor_takes_in_is_refused);
    tcase_add_test(c, course_needs_nobody_where_no_preceptor_has_standing);
    tcase_add_test(c, course_registers_its_key_with_its_first_vouch);
    tcase_add_test(c, course_can_be_registered_by_itself);
    tcase_add_test(c, another_course_is_refused_and_leaves_nothing);
    tcase_add_test(c, course_that_vouches_for_nobody_is_not_registered);
    tcase_add_test(c, course_may_reset_a_pin_but_not_countersign);
    tcase_add_test(c, each_store_has_an_id_of_its_own_that_stays);
    tcase_add_test(c, what_another_window_signed_counts_at_once);
    tcase_add_loop_test(c, forged_key_statement_is_named_and_nothing_is_signed_on_it, 0, (int)ARRAY_LEN(FORGED));
    return hand_run(suite);
}
