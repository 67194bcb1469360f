/* SPDX-License-Identifier: GPL-3.0-or-later */
/** @file test_store_signed_rights.c  Who may do what: asked in the store, of the key that signs. */
#include "fault/store_sign_hand.h"

static struct err e;

#define BIT(who) (1U << (who))

static const char PROTOCOL_TEXT[] = "[protocol]\nid = eu-adult\n";

/** Which sitting an act is about; its number is known only later. */
enum about { NO_SITTING, WAITING, HELD /* witnessed by eva */, HELD_BY_TEC };

static const struct {
    struct act act;
    enum about about;
    unsigned may;
} RIGHTS[] = {
    {{.kind = SAYS_COUNTERSIGN, .word = "reviewed"}, WAITING, BIT(EVA) | BIT(INA)},
    {{.kind = SAYS_RETURN, .said = "x", .event = 2}, WAITING, BIT(EVA) | BIT(INA)},
    {{.kind = SAYS_COMMENT, .said = "x", .event = 2}, WAITING, BIT(EVA) | BIT(INA)},
    {{.kind = SAYS_AMEND, .said = "x"}, WAITING, BIT(ANA)},
    {{.kind = SAYS_RELEASE}, HELD, BIT(EVA)},
    {{.kind = SAYS_RELEASE}, HELD_BY_TEC, 0},
    {{.kind = SAYS_VOUCH, .of = "una"}, NO_SITTING, BIT(EVA) | BIT(INA)},
    {{.kind = SAYS_VOUCH, .of = "eva"}, NO_SITTING, BIT(INA)},
    {{.kind = SAYS_VOUCH, .of = "tec"}, NO_SITTING, 0},
    {{.kind = SAYS_END, .of = "ben", .said = "forgotten"}, NO_SITTING, BIT(EVA) | BIT(INA)},
    {{.kind = SAYS_END, .of = "eva", .said = "forgotten"}, NO_SITTING, BIT(INA)},
    {{.kind = SAYS_RETIRE, .of = "ben", .word = "person"}, NO_SITTING, BIT(EVA) | BIT(INA)},
    {{.kind = SAYS_RETIRE, .of = "g1", .word = "kit"}, NO_SITTING, BIT(EVA) | BIT(INA)},
    {{.kind = SAYS_PROTOCOL, .of = "eu-adult", .protocol_text = PROTOCOL_TEXT}, NO_SITTING, BIT(EVA) | BIT(INA)},
};

static int64_t make_sitting(struct store *st, enum about about)
{
    if (about == NO_SITTING)
        return 0;
    return about == WAITING ? hand_sealed(st, ANA, NULL, ANA)
                            : hand_sealed(st, ANA, about == HELD ? "eva" : "tec", about == HELD ? EVA : TEC);
}

START_TEST(act_is_done_for_those_who_may_and_for_nobody_else)
{
    const int row = _i / WHO_COUNT;
    const enum who by = (enum who)(_i % WHO_COUNT);
    const struct gauge dial = {.id = "g1", .name = "dial", .top_mmhg = 300, .due = 20310301};
    struct store *st = hand_open(STORE_WRITE);
    struct act act = RIGHTS[row].act;
    act.at = HAND_AT;
    OK(store_gauge_add(st, &dial, &e));
    act.sitting = make_sitting(st, RIGHTS[row].about);
    const enum status wanted = RIGHTS[row].may & BIT(by) ? ST_OK : ST_PERMISSION;
    const int64_t before = hand_prove(st);
    const enum status asked = store_may(st, &act, hand_signers[by], &e);
    ck_assert_msg(asked == wanted, "may %s by %s: %d %s", STATEMENTS[act.kind].word, HAND_PEOPLE[by].id, (int)asked, e.text);
    ck_assert_int_eq(hand_prove(st), before); /* asking writes nothing */
    const enum status done = store_act(st, &act, hand_signers[by], &e);
    ck_assert_msg(done == wanted, "%s by %s: %d %s", STATEMENTS[act.kind].word, HAND_PEOPLE[by].id, (int)done, e.text);
    ck_assert_int_eq(hand_prove(st), before + (done == ST_OK));
    store_close(st);
}
END_TEST

START_TEST(measurer_who_is_a_preceptor_cannot_countersign_or_return_her_own)
{
    struct store *st = hand_open(STORE_WRITE);
    const int64_t id = hand_sealed(st, EVA, NULL, EVA);
    ck_assert_int_eq(hand_say(st, EVA, SAYS_COUNTERSIGN, id, &e), ST_PERMISSION);
    ck_assert_int_eq(hand_say(st, EVA, SAYS_RETURN, id, &e), ST_PERMISSION);
    OK(hand_say(st, INA, SAYS_COUNTERSIGN, id, &e));
    store_close(st);
}
END_TEST

START_TEST(witnessed_sitting_is_signed_by_its_witness_alone)
{
    struct store *st = hand_open(STORE_WRITE);
    struct sitting s;
    const int64_t id = hand_sitting(st, &s, ANA, "eva");
    ck_assert_int_eq(hand_end(st, id, "9.000 seal", &s, hand_signers[ANA], &e), ST_PERMISSION);
    ck_assert_int_eq(hand_end(st, id, "9.000 seal", &s, hand_signers[INA], &e), ST_PERMISSION);
    OK(hand_end(st, id, "9.000 seal", &s, hand_signers[EVA], &e));
    ck_assert_int_eq(hand_review(st, id), REVIEW_HELD);
    store_close(st);
}
END_TEST

START_TEST(witness_without_an_assessment_keeps_nothing)
{
    struct store *st = hand_open(STORE_WRITE);
    struct sitting s;
    const int64_t id = hand_sitting(st, &s, ANA, NULL);
    snprintf(s.witness, sizeof s.witness, "eva");
    OK(hand_append(st, id, 5, "1.000 witness eva", &s, &e));
    OK(hand_end(st, id, "9.000 seal", &s, hand_signers[ANA], &e));
    ck_assert_int_eq(hand_review(st, id), REVIEW_WAITING);
    hand_prove(st);
    store_close(st);
}
END_TEST

/* ---- in charge ---- */

START_TEST(technician_is_in_charge_while_no_preceptor_has_a_key)
{
    hand_teardown();
    hand_setup();
    const struct gauge dial = {.id = "g1", .name = "dial", .top_mmhg = 300, .due = 20310301};
    const struct act kit = {.kind = SAYS_RETIRE, .of = "g1", .word = "kit"};
    const struct act protocol = {.kind = SAYS_PROTOCOL, .of = "eu-adult", .protocol_text = PROTOCOL_TEXT};
    struct store *st = hand_open(STORE_WRITE);
    char value[40];
    bool has = true;
    OK(store_gauge_add(st, &dial, &e));
    OK(store_setting_set(st, "protocol", "us-adult", &e));
    hand_people(st, BIT(TEC) | BIT(ANA));
    OK(store_has_preceptor(st, &has, &e));
    ck_assert(!has);
    ck_assert_int_eq(hand_act(st, ANA, &kit, &e), ST_PERMISSION);
    ck_assert_int_eq(hand_act(st, ANA, &protocol, &e), ST_PERMISSION);
    OK(hand_act(st, TEC, &protocol, &e));
    OK(store_setting_get(st, "protocol", value, sizeof value, &e));
    ck_assert_str_eq(value, "eu-adult");
    struct pin *pin = hand_pin(HAND_PIN);
    OK(store_key_begin(st, "eva", pin, HAND_AT, NULL, &e));
    pin_free(pin);
    OK(store_has_preceptor(st, &has, &e));
    ck_assert(has);
    ck_assert_int_eq(hand_act(st, TEC, &kit, &e), ST_PERMISSION);
    hand_prove(st);
    store_close(st);
}
END_TEST

/* ---- retired ---- */

START_TEST(person_retired_while_her_sitting_is_open_can_still_end_it)
{
    struct store *st = hand_open(STORE_WRITE);
    struct sitting s, other;
    const int64_t id = hand_sitting(st, &s, ANA, NULL), stopped = hand_sitting(st, &other, ANA, NULL);
    OK(hand_act(st, EVA, &(struct act){.kind = SAYS_RETIRE, .of = "ana", .word = "person"}, &e));
    OK(hand_append(st, id, 5, "2.000 note \"still here\"", &s, &e));
    OK(hand_end(st, id, "9.000 seal", &s, hand_signers[ANA], &e));
    OK(hand_end(st, stopped, "9.000 stop \"had to go\"", &other, NULL, &e));
    OK(store_sign_closed(st, stopped, hand_signers[ANA], HAND_AT, &e));
    OK(hand_say(st, ANA, SAYS_AMEND, id, &e));
    ck_assert_int_eq(hand_review(st, id), REVIEW_WAITING);
    hand_prove(st);
    store_close(st);
}
END_TEST

static void left_by_eva(struct store *st, const struct act *leaving, int64_t id)
{
    bool has_left = true;
    OK(store_has_left(st, "eva", &has_left, &e));
    ck_assert(!has_left);
    ck_assert_int_eq(hand_say(st, INA, SAYS_RELEASE, id, &e), ST_PERMISSION);
    OK(hand_act(st, INA, leaving, &e));
    OK(store_has_left(st, "eva", &has_left, &e));
    ck_assert(has_left);
}

/* Else the result would be held for ever. */
START_TEST(of_a_witness_who_has_left_another_preceptor_releases_the_result)
{
    const struct act leaving[] = {{.kind = SAYS_RETIRE, .of = "eva", .word = "person"},
                                  {.kind = SAYS_END, .of = "eva", .said = "forgotten"}};
    struct store *st = hand_open(STORE_WRITE);
    const int64_t id = hand_sealed(st, ANA, "eva", EVA);
    left_by_eva(st, &leaving[_i], id);
    ck_assert_int_eq(hand_say(st, EVA, SAYS_RELEASE, id, &e), ST_PERMISSION);
    ck_assert_int_eq(hand_say(st, TEC, SAYS_RELEASE, id, &e), ST_PERMISSION);
    ck_assert_int_eq(hand_say(st, UNA, SAYS_RELEASE, id, &e), ST_PERMISSION); /* nobody has vouched for her */
    ck_assert_int_eq(hand_review(st, id), REVIEW_HELD);
    OK(hand_say(st, INA, SAYS_RELEASE, id, &e));
    ck_assert_int_eq(hand_review(st, id), REVIEW_RELEASED);
    hand_prove(st);
    store_close(st);
}
END_TEST

START_TEST(measurer_does_not_stand_in_for_a_witness_who_has_left)
{
    struct store *st = hand_open(STORE_WRITE);
    const int64_t id = hand_sealed(st, INA, "eva", EVA);
    left_by_eva(st, &(struct act){.kind = SAYS_RETIRE, .of = "eva", .word = "person"}, id);
    ck_assert_int_eq(hand_say(st, INA, SAYS_RELEASE, id, &e), ST_PERMISSION);
    ck_assert_int_eq(hand_review(st, id), REVIEW_HELD);
    store_close(st);
}
END_TEST

START_TEST(retired_preceptor_signs_nothing_more_of_a_preceptor)
{
    struct store *st = hand_open(STORE_WRITE);
    const int64_t id = hand_sealed(st, ANA, NULL, ANA);
    OK(hand_act(st, EVA, &(struct act){.kind = SAYS_RETIRE, .of = "ina", .word = "person"}, &e));
    ck_assert_int_eq(hand_say(st, INA, SAYS_COUNTERSIGN, id, &e), ST_PERMISSION);
    ck_assert_int_eq(hand_vouch(st, INA, UNA, &e), ST_PERMISSION);
    store_close(st);
}
END_TEST

/* In a store that comes from before signatures, nobody has signed that she retired. */
START_TEST(preceptor_who_retired_before_there_were_keys_signs_nothing)
{
    struct store *st = hand_open(STORE_WRITE);
    const int64_t id = hand_sealed(st, ANA, NULL, ANA);
    ck_assert_int_eq(hand_sql("UPDATE people SET is_retired = 1 WHERE id = 'ina'"), SQLITE_OK);
    ck_assert_int_eq(hand_say(st, INA, SAYS_COUNTERSIGN, id, &e), ST_PERMISSION);
    store_close(st);
}
END_TEST

START_TEST(retirement_is_said_once_and_takes_out_of_the_lists)
{
    const struct gauge dial = {.id = "g1", .name = "dial", .top_mmhg = 300, .due = 20310301};
    const struct act kit = {.kind = SAYS_RETIRE, .of = "g1", .word = "kit"};
    const struct act person = {.kind = SAYS_RETIRE, .of = "ben", .word = "person"};
    struct store *st = hand_open(STORE_WRITE);
    struct person ben;
    struct gauge g;
    int count;
    OK(store_gauge_add(st, &dial, &e));
    OK(hand_act(st, EVA, &kit, &e));
    ck_assert_int_eq(hand_act(st, EVA, &kit, &e), ST_CONFLICT);
    OK(hand_act(st, EVA, &person, &e));
    const enum status again = hand_act(st, EVA, &person, &e);
    ck_assert_msg(again == ST_CONFLICT || again == ST_PERMISSION, "%d", (int)again);
    OK(store_gauges(st, false, &g, 1, &count, &e));
    ck_assert_int_eq(count, 0);
    OK(store_person_get(st, "ben", &ben, &e));
    ck_assert(ben.is_retired);
    hand_prove(st);
    store_close(st);
}
END_TEST

/* ---- keys that are not of this store ---- */

START_TEST(key_that_the_store_does_not_know_may_do_nothing)
{
    struct sealed_key sealed;
    struct signer *stranger = NULL;
    struct pin *pin = hand_pin(HAND_PIN);
    struct store *st = hand_open(STORE_WRITE);
    const int64_t id = hand_sealed(st, ANA, NULL, ANA), before = hand_prove(st);
    const struct act a = {.kind = SAYS_COUNTERSIGN, .sitting = id, .word = "reviewed", .at = HAND_AT};
    OK(key_make(pin, &sealed, &stranger, &e));
    ck_assert_int_eq(store_act(st, &a, stranger, &e), ST_PERMISSION);
    ck_assert_int_eq(store_may(st, &a, stranger, &e), ST_PERMISSION);
    ck_assert_int_eq(hand_prove(st), before);
    signer_free(stranger);
    pin_free(pin);
    store_close(st);
}
END_TEST

START_TEST(store_that_is_only_read_takes_no_signature)
{
    struct store *st = hand_open(STORE_WRITE);
    const int64_t id = hand_sealed(st, ANA, NULL, ANA);
    store_close(st);
    st = hand_open(STORE_READ);
    ck_assert_int_eq(hand_say(st, EVA, SAYS_COUNTERSIGN, id, &e), ST_READ_ONLY);
    ck_assert_int_eq(hand_review(st, id), REVIEW_WAITING);
    store_close(st);
}
END_TEST

int main(void)
{
    Suite *suite = suite_create("store_signed_rights");
    TCase *c = hand_signed_case(suite, "rights");
    tcase_add_loop_test(c, act_is_done_for_those_who_may_and_for_nobody_else, 0, (int)ARRAY_LEN(RIGHTS) * WHO_COUNT);
    tcase_add_test(c, measurer_who_is_a_preceptor_cannot_countersign_or_return_her_own);
    tcase_add_test(c, witnessed_sitting_is_signed_by_its_witness_alone);
    tcase_add_test(c, witness_without_an_assessment_keeps_nothing);
    tcase_add_test(c, technician_is_in_charge_while_no_preceptor_has_a_key);
    tcase_add_test(c, person_retired_while_her_sitting_is_open_can_still_end_it);
    tcase_add_loop_test(c, of_a_witness_who_has_left_another_preceptor_releases_the_result, 0, 2);
    tcase_add_test(c, measurer_does_not_stand_in_for_a_witness_who_has_left);
    tcase_add_test(c, retired_preceptor_signs_nothing_more_of_a_preceptor);
    tcase_add_test(c, preceptor_who_retired_before_there_were_keys_signs_nothing);
    tcase_add_test(c, retirement_is_said_once_and_takes_out_of_the_lists);
    tcase_add_test(c, key_that_the_store_does_not_know_may_do_nothing);
    tcase_add_test(c, store_that_is_only_read_takes_no_signature);
    return hand_run(suite);
}
