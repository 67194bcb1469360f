/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Whole sittings by keys alone, through a pseudo-terminal, from the first page to the seal. */
#include <check.h>
#include <signal.h>
#include <stdio.h>
#include <string.h>
#include <unistd.h>

#include "booth_kit.h"
#include "sitting_tour.h"
#include "stillarm/text.h"

#define RETURN_KEYS_MAX 60
#define FIRST_KEYS_MAX 90
#define DEMO_STEP_MS 3000
#define DEMO_MAX_MS INT64_C(7200000)

static struct kit k;

static void start(struct kit *kit)
{
    booth_start(kit, TEST_DRIVEN_PROGRAM, "sit");
}

/* Tall, so that what was said stays to be found. */
static void start_plain(void)
{
    const char *argv[] = {TEST_DRIVEN_PROGRAM, "--db", booth_db, "--plain", "sit", NULL};
    ck_assert(kit_start(&k, &(struct kit_options){.argv = argv, .rows = 60, .cols = 200}));
}

/* Look at the page after the seal and leave it; the keys that the sitting took, its PIN apart. */
static int finish(struct kit *kit)
{
    const int keys = tour_sign(kit);
    ck_assert_msg(kit_wait(kit, "good", KIT_WAIT_MS), "no page after the seal:\n%s", kit_screen(kit));
    kit_type(kit, "\r");
    ck_assert_int_eq(kit_stop(kit, KIT_WAIT_MS), 0);
    return keys;
}

static int drive(const struct tour_move *moves, size_t count)
{
    start(&k);
    tour_drive(&k, moves, count);
    return finish(&k);
}

static void check_record(const char *sitting, const char *const *expected)
{
    booth_check_record(TEST_DRIVEN_PROGRAM, sitting, expected);
}

static int run(const char *words, char *out, size_t cap)
{
    return booth_run(TEST_DRIVEN_PROGRAM, words, out, cap);
}

static const char *const FIRST[] = {"reading\t1\tleft\t126\t-\t78\tcounted\t-\t-\n",
                                    "reading\t2\tright\t130\t-\t80\tcounted\t-\t-\n",
                                    "reading\t3\tright\t128\t-\t78\tcounted\t-\t-\n",
                                    "average\tright\t129.00\t79.00\t2\n",
                                    "state\tsealed\n",
                                    NULL};
static const char *const RETURN[] = {"reading\t1\tright\t126\t-\t78\tcounted\t-\t-\n",
                                     "reading\t2\tright\t124\t-\t76\tcounted\t-\t-\n",
                                     "average\tright\t125.00\t77.00\t2\n", "state\tsealed\n", NULL};

START_TEST(first_visit_and_return_visit_end_sealed)
{
    const int first = drive(TOUR_FIRST_VISIT, TOUR_FIRST_VISIT_COUNT);
    check_record("S-001", FIRST);
    const int again = drive(TOUR_RETURN_VISIT, TOUR_RETURN_VISIT_COUNT);
    check_record("S-002", RETURN);
    printf("keystrokes: first visit, both arms, alone: %d (at most %d); return visit, one arm, alone: %d (at "
           "most %d)\n",
           first, FIRST_KEYS_MAX, again, RETURN_KEYS_MAX);
    ck_assert_int_le(first, FIRST_KEYS_MAX);
    ck_assert_int_le(again, RETURN_KEYS_MAX);
}
END_TEST

START_TEST(the_same_sittings_go_line_by_line)
{
    start_plain();
    tour_drive_lines(&k, TOUR_FIRST_VISIT, TOUR_FIRST_VISIT_COUNT);
    finish(&k);
    check_record("S-001", FIRST);
    start_plain();
    tour_drive_lines(&k, TOUR_RETURN_VISIT, TOUR_RETURN_VISIT_COUNT);
    finish(&k);
    check_record("S-002", RETURN);
}
END_TEST

START_TEST(two_sittings_at_once_share_one_store)
{
    static struct kit other;
    start(&k);
    start(&other);
    for (size_t i = 0; i < TOUR_FIRST_VISIT_COUNT; i++) {
        struct tour_move second = TOUR_FIRST_VISIT[i];
        second.wait_ms = 0; /* one clock: time has gone on for both */
        tour_drive(&k, &TOUR_FIRST_VISIT[i], 1);
        tour_drive(&other, &second, 1);
    }
    finish(&k);
    finish(&other);
    check_record("S-001", FIRST);
    check_record("S-002", FIRST);
}
END_TEST

START_TEST(two_windows_do_not_share_a_sitting)
{
    static struct kit other;
    static char log[65536];
    char lock[112];
    start(&k);
    tour_drive(&k, TOUR_FIRST_VISIT, 2);
    ck_assert(kit_sync(&k));
    snprintf(lock, sizeof lock, "%s.lock", booth_db);
    ck_assert_int_eq(access(lock, F_OK), 0);
    start(&other);
    ck_assert_msg(kit_wait(&other, "Who is here?", KIT_WAIT_MS), "no new sitting:\n%s", kit_screen(&other));
    ck_assert_int_eq(run("print S-001", log, sizeof log), 0);
    ck_assert_msg(strstr(log, "protocol") != NULL && strstr(log, " resume") == NULL, "%s", log);
    kit_signal(&k, SIGKILL); /* a window that is gone holds nothing */
    kit_stop(&k, KIT_WAIT_MS);
    kit_signal(&other, SIGKILL);
    kit_stop(&other, KIT_WAIT_MS);
    start(&k);
    ck_assert(kit_sync(&k));
    ck_assert_int_eq(run("print S-001", log, sizeof log), 0);
    ck_assert_msg(strstr(log, " resume") != NULL, "%s", log);
    kit_signal(&k, SIGKILL);
    kit_stop(&k, KIT_WAIT_MS);
}
END_TEST

/* The demo presses its own keys; nobody else's are needed from its opening to its end. */
START_TEST(the_demo_plays_itself_to_the_end)
{
    const char *argv[] = {TEST_DRIVEN_PROGRAM, "demo", "--play", NULL};
    bool is_result_seen = false, is_end_seen = false;
    ck_assert(kit_start(&k, &(struct kit_options){.argv = argv}));
    ck_assert(kit_wait(&k, "Who is here?", KIT_WAIT_MS));
    for (int64_t ms = 0; ms < DEMO_MAX_MS && kit_sync(&k); ms += DEMO_STEP_MS) {
        is_result_seen = is_result_seen || kit_has(&k, "how exact: ");
        is_end_seen = is_end_seen || kit_has(&k, "Finished");
        clock_advance(DEMO_STEP_MS);
    }
    ck_assert_msg(is_result_seen && is_end_seen, "result %d, end %d:\n%s", is_result_seen, is_end_seen, kit_screen(&k));
    ck_assert_int_eq(kit_stop(&k, KIT_WAIT_MS), 0);
}
END_TEST

int main(void)
{
    Suite *s = suite_create("whole sittings");
    TCase *tc = tcase_create("alone");
    tcase_set_timeout(tc, 120);
    tcase_add_checked_fixture(tc, booth_open, booth_close);
    tcase_add_test(tc, first_visit_and_return_visit_end_sealed);
    tcase_add_test(tc, the_same_sittings_go_line_by_line);
    tcase_add_test(tc, two_sittings_at_once_share_one_store);
    tcase_add_test(tc, two_windows_do_not_share_a_sitting);
    tcase_add_test(tc, the_demo_plays_itself_to_the_end);
    suite_add_tcase(s, tc);
    SRunner *sr = srunner_create(s);
    srunner_run_all(sr, CK_NORMAL);
    const int failed = srunner_ntests_failed(sr);
    srunner_free(sr);
    return failed != 0;
}
