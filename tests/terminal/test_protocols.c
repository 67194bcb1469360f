/* SPDX-License-Identifier: GPL-3.0-or-later */
/* A whole sitting by keys alone for each shipped protocol, through a pseudo-terminal: what the result's page says, what the
 * record holds, and what the verb worth says of it. */
#include <check.h>
#include <stdio.h>
#include <string.h>

#include "booth_kit.h"
#include "protocol_tours.h"
#include "stillarm/err.h"
#include "store/store.h"

#define OUTPUT_CAP 65536

static struct kit k;
static char output[OUTPUT_CAP];

static void make_usual(const char *protocol)
{
    struct store *st = NULL;
    struct err e = {0};
    ck_assert_msg(store_open(booth_db, STORE_WRITE, &st, &e) == ST_OK, "%s", e.text);
    ck_assert_msg(store_setting_set(st, "protocol", protocol, &e) == ST_OK, "%s", e.text);
    store_close(st);
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
    ck_assert_msg(kit_wait(&k, "good", KIT_WAIT_MS), "no page after the seal:\n%s", kit_screen(&k));
    const int keys = k.keystrokes;
    kit_type(&k, "\r");
    ck_assert_int_eq(kit_stop(&k, KIT_WAIT_MS), 0);
    booth_check_record(TEST_DRIVEN_PROGRAM, "S-001", SEALED);
    booth_check_record(TEST_DRIVEN_PROGRAM, "S-001", t->record);
    ck_assert_msg(booth_run(TEST_DRIVEN_PROGRAM, "worth S-001", output, sizeof output) == 0, "%s", output);
    booth_must_hold(output, t->worth);
    printf("keystrokes, %s: %d (at most %d)\n", t->protocol, keys, t->keys_max);
    ck_assert_int_le(keys, t->keys_max);
}
END_TEST

int main(void)
{
    Suite *s = suite_create("protocols");
    TCase *tc = tcase_create("whole sittings");
    tcase_set_timeout(tc, 120);
    tcase_add_checked_fixture(tc, booth_open, booth_close);
    tcase_add_loop_test(tc, a_sitting_of_each_protocol_ends_sealed, 0, (int)PROTOCOL_TOUR_COUNT);
    suite_add_tcase(s, tc);
    SRunner *sr = srunner_create(s);
    srunner_run_all(sr, CK_NORMAL);
    const int failed = srunner_ntests_failed(sr);
    srunner_free(sr);
    return failed != 0;
}
