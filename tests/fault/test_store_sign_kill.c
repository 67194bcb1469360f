/* SPDX-License-Identifier: GPL-3.0-or-later */
/** @file test_store_sign_kill.c  Killed at any moment while sittings are ended and countersigned: a signature and what
 *  follows from it are both there, or neither is. */
#include <signal.h>
#include <time.h>

#include "fault/store_sign_hand.h"

enum { KILLS = 150 };

static struct err e;

static void must(bool holds)
{
    if (!holds)
        _exit(3);
}

/** What has been acknowledged of a sitting. */
struct acknowledged {
    int64_t id;
    enum review review;
};

static void say(int to_parent, int64_t id, enum review review)
{
    const struct acknowledged ack = {id, review};
    must(write(to_parent, &ack, sizeof ack) == (ssize_t)sizeof ack);
}

/** Begin, end and sign, countersign or return, amend; for ever. */
static void sign_for_ever(int to_parent)
{
    struct store *st;
    must(store_open(hand_path, STORE_WRITE, &st, &e) == ST_OK);
    for (int round = 0;; round++) {
        struct sitting s;
        const int64_t id = hand_sitting(st, &s, ANA, NULL);
        say(to_parent, id, REVIEW_OPEN);
        if (round % 3 == 0) {
            must(hand_end(st, id, "9.000 stop \"had to go\"", &s, NULL, &e) == ST_OK);
            say(to_parent, id, REVIEW_UNSIGNED);
            must(store_sign_closed(st, id, hand_signers[ANA], HAND_AT, &e) == ST_OK);
        } else {
            must(hand_end(st, id, "9.000 seal", &s, hand_signers[ANA], &e) == ST_OK);
        }
        say(to_parent, id, REVIEW_WAITING);
        if (round % 2 == 0) {
            must(hand_say(st, EVA, SAYS_RETURN, id, &e) == ST_OK);
            say(to_parent, id, REVIEW_RETURNED);
            must(hand_say(st, ANA, SAYS_AMEND, id, &e) == ST_OK);
        }
        must(hand_say(st, INA, SAYS_COUNTERSIGN, id, &e) == ST_OK);
        say(to_parent, id, REVIEW_DONE);
    }
}

/** Kill a child after a random number of acknowledgements and a random while. */
static void kill_one(struct acknowledged *last)
{
    int ends[2];
    ck_assert_int_eq(pipe(ends), 0);
    const pid_t pid = fork();
    ck_assert_int_ge(pid, 0);
    if (pid == 0) {
        close(ends[0]);
        sign_for_ever(ends[1]);
    }
    close(ends[1]);
    struct acknowledged ack;
    for (int wanted = 1 + rand() % 8; wanted > 0 && read(ends[0], &ack, sizeof ack) == (ssize_t)sizeof ack; wanted--)
        *last = ack;
    const struct timespec pause = {.tv_nsec = 1000L * (rand() % 4000)};
    nanosleep(&pause, NULL);
    ck_assert_int_eq(kill(pid, SIGKILL), 0);
    ck_assert_msg(hand_wait(pid) == -1, "the child ended by itself");
    while (read(ends[0], &ack, sizeof ack) == (ssize_t)sizeof ack)
        *last = ack;
    close(ends[0]);
}

/** Where its own statements, told in order, lead a sitting. */
struct walk {
    enum review review;
    int64_t last;
};

static bool walk_on(void *user, const struct kept_statement *kept)
{
    struct walk *w = user;
    struct statement s;
    OK(statement_parse(kept->text, kept->len, &s, &e));
    ck_assert(review_after(w->review, s.kind, false, &w->review));
    w->last = kept->number;
    return true;
}

static bool compare_sitting(void *user, const struct kept_sitting *kept)
{
    struct store *st = user;
    struct walk w = {.review = kept->head.phase == PHASE_OPEN ? REVIEW_OPEN : REVIEW_UNSIGNED};
    OK(store_statements(st, kept->head.id, walk_on, &w, &e));
    ck_assert_msg(w.review == kept->review, "S-%03d: its statements say %s, its row %s", (int)kept->head.id,
                  REVIEW_WORDS[w.review], REVIEW_WORDS[kept->review]);
    ck_assert_int_eq(w.last, kept->last_statement);
    return true;
}

/** How far along the way of a sitting in sign_for_ever. */
static int step_of(enum review review)
{
    static const int STEPS[REVIEW_COUNT] = {
        [REVIEW_UNSIGNED] = 1, [REVIEW_WAITING] = 2, [REVIEW_RETURNED] = 3, [REVIEW_DONE] = 5};
    return STEPS[review];
}

static void look(const struct acknowledged *last, int round)
{
    struct store *st = hand_open(STORE_WRITE);
    hand_prove(st);
    OK(store_kept_sittings(st, compare_sitting, st, &e));
    const enum review now = hand_review(st, last->id);
    const bool is_amended = now == REVIEW_WAITING && last->review == REVIEW_RETURNED; /* and not acknowledged yet */
    ck_assert_msg(step_of(now) >= step_of(last->review) || is_amended, "kill %d: S-%03d was said to be %s and is %s", round,
                  (int)last->id, REVIEW_WORDS[last->review], REVIEW_WORDS[now]);
    store_close(st);
}

START_TEST(signature_and_what_follows_are_both_there_after_a_kill_or_neither)
{
    srand(20310305);
    for (int i = 0; i < KILLS; i++) {
        struct acknowledged last = {.review = REVIEW_OPEN};
        kill_one(&last);
        look(&last, i);
    }
    /* The test has tested something only if signatures were in flight. */
    const int statements = (int)hand_number("SELECT count(*) FROM statements");
    ck_assert_int_gt(statements, KILLS);
    printf("store_sign_kill: %d kills, %d statements about %d sittings, each in its place\n", KILLS, statements,
           (int)hand_number("SELECT count(*) FROM sittings"));
}
END_TEST

int main(void)
{
    Suite *suite = suite_create("store_sign_kill");
    TCase *c = hand_signed_case(suite, "kill");
    tcase_set_timeout(c, 300);
    tcase_add_test(c, signature_and_what_follows_are_both_there_after_a_kill_or_neither);
    return hand_run(suite);
}
