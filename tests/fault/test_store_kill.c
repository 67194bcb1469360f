/* SPDX-License-Identifier: GPL-3.0-or-later */
/** @file test_store_kill.c  Killed at any moment, the store loses no event that it has acknowledged. */
#include <fcntl.h>
#include <signal.h>
#include <time.h>

#include "fault/store_hand.h"

enum { KILLS = 200, KILLS_AT_BIRTH = 40, SITTING_LENGTH = 60 };

static struct err e;

struct acknowledged {
    int64_t id;
    int32_t seq;
};

static void must(bool holds)
{
    if (!holds)
        _exit(3);
}

/** What a window does: take up the open sitting or begin one, append, say so, for ever. */
static void append_for_ever(int to_parent)
{
    struct store *st;
    struct sitting_head h;
    must(store_open(hand_path, STORE_WRITE, &st, &e) == ST_OK);
    for (;;) {
        struct sitting s = hand_state();
        struct acknowledged ack = {0};
        if (store_sitting_open_latest(st, &h, &e) == ST_OK)
            ack = (struct acknowledged){h.id, h.event_count};
        else
            ack = (struct acknowledged){hand_begin(st, &s), 1};
        must(write(to_parent, &ack, sizeof ack) == (ssize_t)sizeof ack);
        for (ack.seq++; ack.seq <= SITTING_LENGTH; ack.seq++) {
            char line[80];
            bool is_last = ack.seq == SITTING_LENGTH;
            snprintf(line, sizeof line, is_last ? "%d.000 seal" : "%d.000 note \"%032d\"", ack.seq, ack.seq);
            if (ack.seq % 7 == 0)
                hand_reading(&s, ARM_LEFT, 130, 80);
            must(hand_append(st, ack.id, ack.seq, line, &s, &e) == ST_OK);
            must(write(to_parent, &ack, sizeof ack) == (ssize_t)sizeof ack);
        }
    }
}

/** Kill a child at a random moment after a random number of acknowledgements (below most), so that a busy machine,
 *  on which all takes longer, is tested as well as an idle one. Its last acknowledgement is left in *last. */
static void kill_one(int most, struct acknowledged *last)
{
    int ends[2];
    ck_assert_int_eq(pipe(ends), 0);
    pid_t pid = fork();
    ck_assert_int_ge(pid, 0);
    if (pid == 0) {
        close(ends[0]);
        append_for_ever(ends[1]);
    }
    close(ends[1]);
    struct acknowledged ack;
    for (int wanted = rand() % most; wanted > 0 && read(ends[0], &ack, sizeof ack) == (ssize_t)sizeof ack; wanted--)
        *last = ack;
    struct timespec pause = {.tv_nsec = 1000L * (rand() % 3000)};
    nanosleep(&pause, NULL);
    ck_assert_int_eq(kill(pid, SIGKILL), 0);
    ck_assert_msg(hand_wait(pid) == -1, "the child ended by itself");
    while (read(ends[0], &ack, sizeof ack) == (ssize_t)sizeof ack)
        *last = ack;
    close(ends[0]);
}

struct count {
    int32_t events;
    bool is_whole;
};

static bool count_event(void *user, int32_t seq, const struct event *ev)
{
    struct count *n = user;
    char want[80] = "";
    n->events++;
    snprintf(want, sizeof want, "%032d", seq);
    if (seq != n->events || (ev->kind == EV_NOTE && strcmp(ev->text, want) != 0))
        n->is_whole = false;
    return true;
}

static void look(const struct acknowledged *last, int round)
{
    struct store *st = hand_open(STORE_WRITE);
    OK(store_check(st, &e));
    struct count n = {.is_whole = true};
    if (last->id)
        OK(store_events(st, last->id, count_event, &n, &e));
    ck_assert_msg(n.events >= last->seq, "kill %d: event %d of S-%03d was acknowledged, %d are there", round, last->seq,
                  (int)last->id, n.events);
    ck_assert_msg(n.is_whole, "kill %d: an event is not the one that was written", round);
    store_close(st);
}

START_TEST(append_survives_200_kills)
{
    struct acknowledged last = {0};
    srand(20310302);
    for (int i = 0; i < KILLS; i++) {
        kill_one(16, &last);
        look(&last, i);
    }
    /* The test has tested something only if events were in flight. */
    ck_assert_int_gt(hand_number("SELECT count(*) FROM events"), 5 * KILLS);
    printf("store_kill: %d kills, %d events in %d sittings, none missing\n", KILLS,
           (int)hand_number("SELECT count(*) FROM events"), (int)hand_number("SELECT count(*) FROM sittings"));
}
END_TEST

START_TEST(open_survives_kills_while_the_store_is_created)
{
    srand(20310303);
    for (int i = 0; i < KILLS_AT_BIRTH; i++) {
        struct acknowledged last = {0};
        snprintf(hand_path, sizeof hand_path, "%s/birth-%d.db", hand_folder, i);
        kill_one(2, &last);
        look(&last, i);
    }
}
END_TEST

START_TEST(open_survives_kills_while_an_older_store_is_carried_forward)
{
    srand(20310304);
    for (int i = 0; i < KILLS_AT_BIRTH; i++) {
        struct acknowledged last = {0};
        snprintf(hand_path, sizeof hand_path, "%s/older-%d.db", hand_folder, i);
        hand_put_version(1);
        kill_one(2, &last);
        look(&last, i);
        ck_assert_int_ge(hand_number("SELECT count(*) FROM events"), 119 + last.seq);
        ck_assert_int_eq(hand_number("SELECT count(*) FROM gauge_checks"), 4);
    }
}
END_TEST

int main(void)
{
    Suite *suite = suite_create("store_kill");
    TCase *c = hand_case(suite, "kill");
    tcase_set_timeout(c, 300);
    tcase_add_test(c, append_survives_200_kills);
    tcase_add_test(c, open_survives_kills_while_the_store_is_created);
    tcase_add_test(c, open_survives_kills_while_an_older_store_is_carried_forward);
    return hand_run(suite);
}
