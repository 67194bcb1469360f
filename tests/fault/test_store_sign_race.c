/* SPDX-License-Identifier: GPL-3.0-or-later */
/** @file test_store_sign_race.c  Two preceptors who sign the same sitting at the same moment: one does, the other is told. */
#include "fault/store_sign_hand.h"

enum { RACES = 60 };

static struct err e;

struct answer {
    enum status status;
    char text[sizeof e.text];
};

/** A window of its own: opens, waits for the start, signs, tells how it went. */
static pid_t run(enum who by, const struct act *a, const int start[2], int answers)
{
    const pid_t pid = fork();
    ck_assert_int_ge(pid, 0);
    if (pid != 0)
        return pid;
    char go;
    struct answer answer = {.text = ""};
    struct store *st = NULL;
    close(start[1]); /* the start is that nobody holds this end any more */
    if (store_open(hand_path, STORE_WRITE, &st, &e) != ST_OK || read(start[0], &go, 1) != 0)
        _exit(3);
    answer.status = hand_act(st, by, a, &e);
    if (answer.status != ST_OK)
        snprintf(answer.text, sizeof answer.text, "%s", e.text);
    _exit(write(answers, &answer, sizeof answer) == (ssize_t)sizeof answer ? 0 : 4);
}

static void race(const struct act *eva, const struct act *ina, struct answer got[2])
{
    int start[2], answers[2][2];
    pid_t pids[2];
    ck_assert_int_eq(pipe(start), 0);
    for (int i = 0; i < 2; i++) {
        ck_assert_int_eq(pipe(answers[i]), 0);
        pids[i] = run(i ? INA : EVA, i ? ina : eva, start, answers[i][1]);
    }
    usleep(20000); /* both have opened by now, or the race is only less close */
    close(start[1]);
    for (int i = 0; i < 2; i++) {
        ck_assert_int_eq(hand_wait(pids[i]), 0);
        ck_assert_int_eq(read(answers[i][0], &got[i], sizeof got[i]), (ssize_t)sizeof got[i]);
        close(answers[i][0]);
        close(answers[i][1]);
    }
    close(start[0]);
}

static int64_t seen_of(struct store *st, int64_t id)
{
    struct kept_sitting kept;
    OK(store_kept_sitting(st, id, &kept, &e));
    return kept.last_statement;
}

START_TEST(of_two_who_sign_at_once_exactly_one_does)
{
    int by_eva = 0;
    for (int i = 0; i < RACES; i++) {
        struct answer got[2];
        struct store *st = hand_open(STORE_WRITE);
        const int64_t id = hand_sealed(st, ANA, NULL, ANA), seen = seen_of(st, id), before = hand_prove(st);
        store_close(st);
        const struct act countersign = {.kind = SAYS_COUNTERSIGN, .sitting = id, .word = "reviewed", .seen = seen};
        const struct act send_back = {.kind = SAYS_RETURN, .sitting = id, .said = "the rest was short", .seen = seen};
        race(&countersign, i % 2 ? &send_back : &countersign, got);
        const int first = got[0].status == ST_OK ? 0 : 1;
        ck_assert_msg(got[first].status == ST_OK && got[!first].status == ST_CONFLICT, "race %d: %d %s, %d %s", i,
                      (int)got[0].status, got[0].text, (int)got[1].status, got[1].text);
        ck_assert_msg(strstr(got[!first].text, "was quicker") != NULL, "%s", got[!first].text);
        ck_assert_ptr_nonnull(strstr(got[!first].text, first == 0 ? "eva" : "ina"));
        by_eva += first == 0;
        st = hand_open(STORE_READ);
        ck_assert_int_eq(hand_prove(st), before + 1);
        ck_assert_int_ne(hand_review(st, id), REVIEW_WAITING);
        store_close(st);
    }
    printf("store_sign_race: %d races, %d to one and %d to the other\n", RACES, by_eva, RACES - by_eva);
}
END_TEST

/* The same person's key in two windows, and no word of what was seen: the state itself refuses the second. */
START_TEST(sitting_is_ended_and_signed_in_one_of_two_windows)
{
    struct sitting s, other;
    struct store *one = hand_open(STORE_WRITE), *two = hand_open(STORE_WRITE);
    const int64_t id = hand_sitting(one, &s, ANA, NULL);
    struct event seal = hand_event("9.000 seal"), stop = hand_event("9.000 stop \"had to go\"");
    other = s;
    s.phase = PHASE_SEALED;
    other.phase = PHASE_STOPPED;
    OK(store_append_end(one, id, 5, &seal, &s, &HAND_MOMENT, hand_signers[ANA], HAND_AT, &e));
    ck_assert_int_eq(store_append_end(two, id, 5, &stop, &other, &HAND_MOMENT, hand_signers[ANA], HAND_AT, &e), ST_CONFLICT);
    ck_assert_int_eq(store_sign_closed(two, id, hand_signers[ANA], HAND_AT, &e), ST_CONFLICT);
    hand_prove(two);
    store_close(one);
    store_close(two);
}
END_TEST

/* Two first keys of one person, made at once: the slow part is not held against others, the last look is. */
START_TEST(person_gets_one_key_from_two_windows)
{
    const struct person dee = {.id = "dee", .name = "Dee", .role = ROLE_PRECEPTOR};
    struct store *st = hand_open(STORE_WRITE);
    OK(store_person_add(st, &dee, &e));
    store_close(st);
    pid_t pids[2];
    for (int i = 0; i < 2; i++) {
        pids[i] = fork();
        if (pids[i] != 0)
            continue;
        struct pin *pin = hand_pin(HAND_PIN);
        st = hand_open(STORE_WRITE);
        const enum status status = store_key_begin(st, "dee", pin, HAND_AT, NULL, &e);
        _exit(status == ST_OK ? 0 : status == ST_EXISTS ? 1 : 3);
    }
    const int one = hand_wait(pids[0]), two = hand_wait(pids[1]);
    ck_assert_msg(one + two == 1, "%d and %d", one, two);
    st = hand_open(STORE_READ);
    hand_prove(st);
    ck_assert_int_eq(hand_number("SELECT count(*) FROM keys WHERE person = 'dee'"), 1);
    store_close(st);
}
END_TEST

enum { PIECES = 300 };

/* What may be signed is asked without holding the store, while another window goes on signing. */
START_TEST(asking_who_may_is_right_while_another_window_signs)
{
    char id[16];
    struct store *st = hand_open(STORE_WRITE);
    for (int i = 0; i < PIECES; i++) {
        struct stored_cuff cuff = {.name = "cuff", .low_mm = 260, .high_mm = 340};
        snprintf(cuff.id, sizeof cuff.id, "c%d", i);
        OK(store_cuff_add(st, &cuff, &e));
    }
    store_close(st);
    const pid_t pid = fork();
    ck_assert_int_ge(pid, 0);
    st = hand_open(STORE_WRITE);
    for (int i = 0; pid == 0 && i < PIECES; i++) {
        snprintf(id, sizeof id, "c%d", i);
        if (hand_act(st, EVA, &(struct act){.kind = SAYS_RETIRE, .of = id, .word = "kit"}, &e) != ST_OK)
            _exit(3);
    }
    if (pid == 0)
        _exit(0);
    int asked = 0, status = 0;
    const struct act a = {.kind = SAYS_RETIRE, .of = "c0", .word = "kit", .at = HAND_AT};
    for (; waitpid(pid, &status, WNOHANG) == 0; asked++)
        OK(store_may(st, &a, hand_signers[INA], &e));
    ck_assert(WIFEXITED(status) && WEXITSTATUS(status) == 0);
    ck_assert_int_gt(asked, 0);
    hand_prove(st);
    store_close(st);
}
END_TEST

int main(void)
{
    Suite *suite = suite_create("store_sign_race");
    TCase *c = hand_signed_case(suite, "race");
    tcase_set_timeout(c, 120);
    tcase_add_test(c, of_two_who_sign_at_once_exactly_one_does);
    tcase_add_test(c, sitting_is_ended_and_signed_in_one_of_two_windows);
    tcase_add_test(c, asking_who_may_is_right_while_another_window_signs);
    tcase_add_test(c, person_gets_one_key_from_two_windows);
    return hand_run(suite);
}
