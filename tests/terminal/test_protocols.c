/* SPDX-License-Identifier: GPL-3.0-or-later */
/* A whole sitting by keys alone for each shipped protocol, through a pseudo-terminal: what the result's page says, what the
 * record holds, and what the verb worth says of it. */
#include <check.h>
#include <signal.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

#include "booth_kit.h"
#include "protocol_tours.h"
#include "stillarm/err.h"
#include "store/store.h"

#define OUTPUT_CAP 65536
#define LEAPS_MAX 12

static struct kit k;
static char output[OUTPUT_CAP];

/* Once set it is changed by signature only: a new store instead. */
static void make_usual(const char *protocol)
{
    char other[128];
    static const char *const BESIDE[] = {"", "-wal", "-shm", ".lock"};
    for (size_t i = 0; i < ARRAY_LEN(BESIDE); i++) {
        snprintf(other, sizeof other, "%s%s", booth_db, BESIDE[i]);
        unlink(other);
    }
    tour_furnish_with(booth_db, protocol);
}

static void look_at_result(const struct protocol_tour *t)
{
    ck_assert_msg(kit_wait(&k, "The result", KIT_WAIT_MS), "%s: no result:\n%s", t->protocol, kit_screen(&k));
    kit_sync(&k);
    booth_must_hold(kit_screen(&k), t->at_once);
    booth_must_hold(kit_all_parts(&k), t->below);
}

START_TEST(a_sitting_of_each_protocol_ends_sealed)
{
    const struct protocol_tour *t = &PROTOCOL_TOURS[_i];
    static const char *const SEALED[] = {"state\tsealed\n", NULL};
    make_usual(t->protocol);
    booth_start(&k, TEST_DRIVEN_PROGRAM, "sit");
    tour_drive(&k, t->moves, t->move_count);
    look_at_result(t);
    tour_drive(&k, t->closing, t->closing_count);
    const int keys = tour_sign(&k);
    ck_assert_msg(kit_wait(&k, "good", KIT_WAIT_MS), "no page after the seal:\n%s", kit_screen(&k));
    kit_type(&k, "\r");
    ck_assert_int_eq(kit_stop(&k, KIT_WAIT_MS), 0);
    booth_check_record(TEST_DRIVEN_PROGRAM, "S-001", SEALED);
    booth_check_record(TEST_DRIVEN_PROGRAM, "S-001", t->record);
    ck_assert_msg(booth_run(TEST_DRIVEN_PROGRAM, "worth S-001", output, sizeof output) == 0, "%.*s", BOOTH_TOLD_MAX, output);
    booth_must_hold(output, t->worth);
    printf("keystrokes, %s: %d (at most %d)\n", t->protocol, keys, t->keys_max);
    ck_assert_int_le(keys, t->keys_max);
}
END_TEST

START_TEST(the_same_sittings_go_line_by_line)
{
    const struct protocol_tour *t = &PROTOCOL_TOURS[_i];
    const char *argv[] = {TEST_DRIVEN_PROGRAM, "--db", booth_db, "--plain", "sit", NULL};
    make_usual(t->protocol);
    ck_assert(kit_start(&k, &(struct kit_options){.argv = argv, .rows = 60, .cols = 200}));
    tour_drive_lines(&k, t->moves, t->move_count);
    tour_drive_lines(&k, t->closing, t->closing_count);
    tour_sign(&k);
    ck_assert_msg(kit_wait(&k, "good", KIT_WAIT_MS), "no page after the seal:\n%s", kit_screen(&k));
    kit_type(&k, "\r");
    ck_assert_int_eq(kit_stop(&k, KIT_WAIT_MS), 0);
    booth_check_record(TEST_DRIVEN_PROGRAM, "S-001", t->record);
}
END_TEST

/* ---- the parts of the result ---- */

/* Read with the space bar, from the first line until it begins again. */
START_TEST(leaping_through_the_parts_leaves_none_out)
{
    static const struct { int rows, cols; } SIZES[] = {{24, 80}, {20, 60}, {50, 200}};
    static const char *const PARTS[] = {"systolic 125.0", "graduation", "arm height", "combined", "diastolic 77.0", "What follows",
                                        "about 4 in 10", "One more reading:", "What went in", "gauge: a sound", "graduation: read",
                                        "spread, systolic", "spread, diastolic", "From visit to visit", "pulse: 72", NULL};
    static char seen[OUTPUT_CAP];
    const struct protocol_tour *t = &PROTOCOL_TOURS[0];
    booth_start(&k, TEST_DRIVEN_PROGRAM, "sit");
    tour_drive(&k, t->moves, t->move_count);
    kit_resize(&k, SIZES[_i].rows, SIZES[_i].cols);
    kit_type(&k, "b");
    ck_assert_msg(kit_wait(&k, "part by part", KIT_WAIT_MS), "%s", kit_screen(&k));
    kit_sync(&k);
    seen[0] = '\0';
    for (int leaps = 0; leaps < LEAPS_MAX && strlen(seen) < sizeof seen - 12000; leaps++) {
        snprintf(seen + strlen(seen), sizeof seen - strlen(seen), "%s", kit_screen(&k));
        kit_type(&k, " ");
        kit_sync(&k);
    }
    booth_must_hold(seen, PARTS);
    kit_signal(&k, SIGTERM);
    kit_stop(&k, KIT_WAIT_MS);
}
END_TEST

/* ---- a site's own protocol ---- */

static int count_of(const char *text, const char *what)
{
    int n = 0;
    for (const char *at = text; (at = strstr(at, what)) != NULL; at += strlen(what))
        n++;
    return n;
}

/* Each of the three is there, and no fourth. */
static void must_name_three(const char *text)
{
    static const char *const THREE[] = {"(rest_s) is 180 s; REST-1 says 300 s; us-adult has 300 s", "(settle_s) is 10 s; PALP-7 says 15 to 30 s",
                                        "(margin_mmhg) is 40 mmHg; PALP-2 says 20 to 30 mmHg", NULL};
    booth_must_hold(text, THREE);
    ck_assert_msg(count_of(text, "us-adult has ") == 3, "%.*s", BOOTH_TOLD_MAX, text);
}

static void must_print_three(const char *words)
{
    ck_assert_msg(booth_run(TEST_DRIVEN_PROGRAM, words, output, sizeof output) == 0, "%.*s", BOOTH_TOLD_MAX, output);
    must_name_three(output);
}

static void check_why(const char *key, bool is_departing)
{
    char words[64];
    snprintf(words, sizeof words, "why %s", key);
    ck_assert_msg(booth_run(TEST_DRIVEN_PROGRAM, words, output, sizeof output) == 0, "%.*s", BOOTH_TOLD_MAX, output);
    ck_assert_msg((strstr(output, "this protocol's own") != NULL) == is_departing, "%s: %s", key, output);
}

START_TEST(a_site_s_own_protocol_shows_its_three_departures_wherever_it_is)
{
    char protocols[96];
    snprintf(protocols, sizeof protocols, "%s/protocols", booth_folder);
    booth_copy_protocol(protocols);
    ck_assert_int_eq(setenv("STILLARM_PROTOCOLS", protocols, 1), 0);
    make_usual("our-clinic");
    booth_start(&k, TEST_DRIVEN_PROGRAM, "sit");
    tour_drive(&k, SITE_TOUR.moves, 1);
    ck_assert_msg(kit_has(&k, "departs from its sources in 3 places (esc"), "%s", kit_screen(&k));
    tour_drive(&k, SITE_TOUR.moves + 1, SITE_TOUR.move_count - 1);
    look_at_result(&SITE_TOUR);
    tour_drive(&k, SITE_TOUR.closing, SITE_TOUR.closing_count);
    tour_sign(&k);
    ck_assert(kit_wait(&k, "good", KIT_WAIT_MS));
    kit_type(&k, "\r");
    ck_assert_int_eq(kit_stop(&k, KIT_WAIT_MS), 0);
    booth_check_record(TEST_DRIVEN_PROGRAM, "S-001", SITE_TOUR.record);
    must_print_three("print S-001");
    must_print_three("worth S-001");
    must_print_three("protocols our-clinic");
    check_why("rest_s", true);
    check_why("settle_s", true);
    check_why("margin_mmhg", true);
    check_why("interval_min_s", false);
    ck_assert_int_eq(unsetenv("STILLARM_PROTOCOLS"), 0);
    must_print_three("print S-001"); /* the sitting keeps what it was compared with */
    must_print_three("worth S-001");
}
END_TEST

int main(void)
{
    Suite *s = suite_create("protocols");
    TCase *tc = tcase_create("whole sittings");
    tcase_set_timeout(tc, 120);
    tcase_add_checked_fixture(tc, booth_open, booth_close);
    tcase_add_loop_test(tc, a_sitting_of_each_protocol_ends_sealed, 0, (int)PROTOCOL_TOUR_COUNT);
    tcase_add_loop_test(tc, the_same_sittings_go_line_by_line, 0, (int)PROTOCOL_TOUR_COUNT);
    tcase_add_loop_test(tc, leaping_through_the_parts_leaves_none_out, 0, 3);
    tcase_add_test(tc, a_site_s_own_protocol_shows_its_three_departures_wherever_it_is);
    suite_add_tcase(s, tc);
    SRunner *sr = srunner_create(s);
    srunner_run_all(sr, CK_NORMAL);
    const int failed = srunner_ntests_failed(sr);
    srunner_free(sr);
    return failed != 0;
}
