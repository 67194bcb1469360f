/* SPDX-License-Identifier: GPL-3.0-or-later */
/** @file test_store_subject.c  A subject is a code beside the events, and can be forgotten without touching them. */
#include "fault/store_hand.h"

static struct err e;

/** A sitting of this subject; with a reading on each arm whose first sound is not 0. */
static int64_t sitting_of(struct store *st, const char *code, int left, int right)
{
    struct sitting s = hand_state();
    char line[80];
    int64_t id = hand_begin(st, &s);
    snprintf(line, sizeof line, "1.000 subject %s", code);
    OK(hand_append(st, id, 2, line, &s, &e));
    if (left)
        hand_reading(&s, ARM_LEFT, left, 80);
    if (right)
        hand_reading(&s, ARM_RIGHT, right, 80);
    OK(hand_append(st, id, 3, "2.000 note \"x\"", &s, &e));
    return id;
}

static bool take_subject(void *user, int32_t seq, const struct event *ev)
{
    (void)seq;
    if (ev->kind == EV_SUBJECT)
        snprintf(user, ITEM_CAP, "%s", ev->item);
    return true;
}

START_TEST(subject_row_holds_only_a_salted_hash)
{
    struct store *st = hand_open(STORE_WRITE);
    char item[ITEM_CAP] = "";
    int64_t id = sitting_of(st, "k7-031", 0, 0);
    sitting_of(st, "k7-031", 0, 0);
    ck_assert_int_eq(hand_number("SELECT count(*) FROM events WHERE item = 'k7-031'"), 0);
    ck_assert_int_eq(hand_number("SELECT count(DISTINCT item) FROM events WHERE kind = 'subject'"), 2); /* salted */
    OK(store_events(st, id, take_subject, item, &e));
    ck_assert_str_eq(item, "k7-031");
    store_close(st);
}
END_TEST

START_TEST(erase_leaves_the_events_and_forgets_the_code)
{
    struct store *st = hand_open(STORE_WRITE);
    struct sitting_head h;
    char item[ITEM_CAP] = "", wal[360];
    int n = 0;
    bool seen;
    char arm[8];
    int64_t id = sitting_of(st, "k7-031", 130, 0);
    sitting_of(st, "k7-031", 130, 0);
    sitting_of(st, "m2-007", 130, 0);
    struct event again = hand_event("3.000 subject k7-031");
    struct refusal why = {.rule = RULE_OPENING_AGAIN, .have = "k7-031"};
    OK(store_attempt(st, id, &again, &why, &HAND_MOMENT, &e));
    OK(store_subject_erase(st, "k7-031", &n, &e));
    ck_assert_int_eq(n, 2);
    OK(store_sitting_get(st, id, &h, &e));
    ck_assert_str_eq(h.subject, "");
    OK(store_events(st, id, take_subject, item, &e));
    ck_assert_uint_eq(strlen(item), 32);
    OK(store_subject_seen(st, "k7-031", &seen, arm, sizeof arm, &e));
    ck_assert(!seen);
    OK(store_check(st, &e));
    /* Not a byte of it is left on the disk, while the other code is still there. */
    snprintf(wal, sizeof wal, "%s-wal", hand_path);
    ck_assert(!hand_file_holds(hand_path, "k7-031"));
    ck_assert(!hand_file_holds(wal, "k7-031"));
    ck_assert(hand_file_holds(hand_path, "m2-007"));
    store_close(st);
}
END_TEST

START_TEST(erase_holds_while_the_sitting_goes_on)
{
    struct store *st = hand_open(STORE_WRITE);
    struct sitting s = hand_state();
    int n;
    int64_t id = hand_begin(st, &s);
    OK(hand_append(st, id, 2, "1.000 subject k7-031", &s, &e));
    snprintf(s.subject, sizeof s.subject, "k7-031"); /* the other window still knows it */
    OK(store_subject_erase(st, "k7-031", &n, &e));
    OK(hand_append(st, id, 3, "2.000 note \"x\"", &s, &e));
    struct event again = hand_event("3.000 subject k7-031");
    struct refusal why = {.rule = RULE_OPENING_AGAIN, .have = "k7-031"};
    OK(store_attempt(st, id, &again, &why, &HAND_MOMENT, &e));
    ck_assert_int_eq(hand_number("SELECT count(*) FROM sittings WHERE subject IS NOT NULL OR salt IS NOT NULL"), 0);
    ck_assert_int_eq(hand_number("SELECT count(*) FROM attempts WHERE line LIKE '%k7-031%' OR have <> ''"), 0);
    store_close(st);
}
END_TEST

START_TEST(erase_of_an_unknown_code_changes_nothing)
{
    struct store *st = hand_open(STORE_WRITE);
    int n = 9;
    sitting_of(st, "k7-031", 0, 0);
    OK(store_subject_erase(st, "k7-032", &n, &e));
    ck_assert_int_eq(n, 0);
    ck_assert_int_eq(hand_number("SELECT count(*) FROM sittings WHERE subject = 'k7-031'"), 1);
    store_close(st);
}
END_TEST

static const struct {
    int left, right;
    bool seen;
    const char *arm, *why;
} ARMS[] = {
    {0, 0, false, "", "opened and never read"},
    {130, 0, true, "left", "only the left"},
    {0, 130, true, "right", "only the right"},
    {132, 130, true, "left", "left higher"},
    {130, 142, true, "right", "right higher"},
    {130, 130, true, "", "neither higher"},
};

START_TEST(seen_names_the_arm_to_use)
{
    struct store *st = hand_open(STORE_WRITE);
    bool seen;
    char arm[8] = "x";
    sitting_of(st, "k7-031", ARMS[_i].left, ARMS[_i].right);
    OK(store_subject_seen(st, "k7-031", &seen, arm, sizeof arm, &e));
    ck_assert_msg(seen == ARMS[_i].seen && strcmp(arm, ARMS[_i].arm) == 0, "%s: %d %s", ARMS[_i].why, seen, arm);
    store_close(st);
}
END_TEST

START_TEST(seen_goes_by_the_latest_sitting_that_has_readings)
{
    struct store *st = hand_open(STORE_WRITE);
    bool seen;
    char arm[8];
    sitting_of(st, "k7-031", 140, 120);
    sitting_of(st, "k7-031", 0, 120);
    sitting_of(st, "k7-031", 0, 0);
    sitting_of(st, "m2-007", 130, 0);
    OK(store_subject_seen(st, "k7-031", &seen, arm, sizeof arm, &e));
    ck_assert(seen);
    ck_assert_str_eq(arm, "right");
    store_close(st);
}
END_TEST

START_TEST(seen_does_not_know_a_stranger)
{
    struct store *st = hand_open(STORE_WRITE);
    bool seen = true;
    char arm[8] = "left";
    sitting_of(st, "k7-031", 130, 0);
    OK(store_subject_seen(st, "k7-03", &seen, arm, sizeof arm, &e));
    ck_assert(!seen);
    ck_assert_str_eq(arm, "");
    store_close(st);
}
END_TEST

START_TEST(next_code_counts_up_over_codes_in_use)
{
    struct store *st = hand_open(STORE_WRITE);
    char code[ITEM_CAP];
    OK(store_next_code(st, code, &e));
    ck_assert_str_eq(code, "s-001");
    sitting_of(st, "s-002", 0, 0);
    sitting_of(st, "s-003", 0, 0);
    OK(store_next_code(st, code, &e));
    ck_assert_str_eq(code, "s-001"); /* nobody has taken it */
    sitting_of(st, "s-001", 0, 0);
    OK(store_next_code(st, code, &e));
    ck_assert_str_eq(code, "s-004");
    store_close(st);
}
END_TEST

START_TEST(next_code_that_nobody_took_comes_again_after_a_close)
{
    struct store *st = hand_open(STORE_WRITE);
    char code[ITEM_CAP];
    OK(store_next_code(st, code, &e));
    store_close(st);
    st = hand_open(STORE_WRITE);
    OK(store_next_code(st, code, &e));
    ck_assert_str_eq(code, "s-001");
    store_close(st);
}
END_TEST

START_TEST(next_code_that_was_taken_never_comes_again)
{
    struct store *st = hand_open(STORE_WRITE);
    char code[ITEM_CAP];
    int n;
    OK(store_next_code(st, code, &e));
    sitting_of(st, code, 0, 0);
    OK(store_subject_erase(st, "s-001", &n, &e));
    ck_assert_int_eq(n, 1);
    OK(store_next_code(st, code, &e));
    ck_assert_str_eq(code, "s-002");
    store_close(st);
}
END_TEST

START_TEST(next_code_of_one_window_is_not_offered_in_another)
{
    struct store *a = hand_open(STORE_WRITE), *b = hand_open(STORE_WRITE);
    char code[ITEM_CAP];
    OK(store_next_code(a, code, &e));
    ck_assert_str_eq(code, "s-001");
    OK(store_next_code(b, code, &e));
    ck_assert_str_eq(code, "s-002");
    store_close(a); /* the later one is still out: nothing comes back */
    store_close(b);
    a = hand_open(STORE_WRITE);
    OK(store_next_code(a, code, &e));
    ck_assert_str_eq(code, "s-002");
    store_close(a);
}
END_TEST

START_TEST(next_code_goes_on_beyond_three_digits)
{
    struct store *st = hand_open(STORE_WRITE);
    char code[ITEM_CAP];
    ck_assert_int_eq(hand_sql("UPDATE counters SET value = 999 WHERE name = 'code'"), SQLITE_OK);
    OK(store_next_code(st, code, &e));
    ck_assert_str_eq(code, "s-1000");
    store_close(st);
}
END_TEST

START_TEST(next_code_differs_between_processes)
{
    enum { CHILDREN = 3, EACH = 20 };
    int ends[2];
    bool taken[CHILDREN * EACH + 1] = {false};
    pid_t children[CHILDREN];
    ck_assert_int_eq(pipe(ends), 0);
    store_close(hand_open(STORE_WRITE));
    for (int i = 0; i < CHILDREN; i++) {
        children[i] = fork();
        if (children[i] == 0) {
            struct store *st = hand_open(STORE_WRITE);
            for (int n = 0; n < EACH; n++) {
                char code[ITEM_CAP] = "";
                if (store_next_code(st, code, &e) != ST_OK || write(ends[1], code, ITEM_CAP) != ITEM_CAP)
                    _exit(1);
                sitting_of(st, code, 0, 0);
            }
            store_close(st);
            _exit(0);
        }
    }
    close(ends[1]);
    for (int n = 0; n < CHILDREN * EACH; n++) {
        char code[ITEM_CAP];
        ck_assert_int_eq(read(ends[0], code, ITEM_CAP), ITEM_CAP);
        int number = atoi(code + 2);
        ck_assert_int_ge(number, 1);
        ck_assert_int_le(number, CHILDREN * EACH);
        ck_assert_msg(!taken[number], "%s was given out twice", code);
        taken[number] = true;
    }
    for (int i = 0; i < CHILDREN; i++)
        ck_assert_int_eq(hand_wait(children[i]), 0);
}
END_TEST

int main(void)
{
    Suite *suite = suite_create("store_subject");
    TCase *c = hand_case(suite, "subject");
    tcase_add_test(c, subject_row_holds_only_a_salted_hash);
    tcase_add_test(c, erase_leaves_the_events_and_forgets_the_code);
    tcase_add_test(c, erase_holds_while_the_sitting_goes_on);
    tcase_add_test(c, erase_of_an_unknown_code_changes_nothing);
    tcase_add_loop_test(c, seen_names_the_arm_to_use, 0, (int)ARRAY_LEN(ARMS));
    tcase_add_test(c, seen_goes_by_the_latest_sitting_that_has_readings);
    tcase_add_test(c, seen_does_not_know_a_stranger);
    tcase_add_test(c, next_code_counts_up_over_codes_in_use);
    tcase_add_test(c, next_code_that_nobody_took_comes_again_after_a_close);
    tcase_add_test(c, next_code_that_was_taken_never_comes_again);
    tcase_add_test(c, next_code_of_one_window_is_not_offered_in_another);
    tcase_add_test(c, next_code_goes_on_beyond_three_digits);
    tcase_add_test(c, next_code_differs_between_processes);
    return hand_run(suite);
}
