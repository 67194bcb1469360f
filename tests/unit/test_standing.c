/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Readings standing: when they may begin, what they count for, how a fall is noted, when standing ends. */
#include "sitting_hand.h"
#include "store/store.h"

/* ---- standing ---- */

static void let_stand(void)
{
    p.value[KEY_STANDING_READINGS] = 2;
    p.value[KEY_INTERVAL_MIN_S] = 30;
}

/* A reading standing, begun so long after standing up. */
static void read_standing(int64_t after_ms, int first, int last)
{
    ok(s.stood_ms + after_ms - now_ms, "inflate listen");
    ok(30000, "empty");
    ok(100, "target 150");
    value("first", first);
    value("last", last);
    ok(100, "done");
}

static void lie_and_stand(void)
{
    prepare("visit return");
    no(100, "stand", RULE_STAND_BARRED);
    read_pressure(130, 80);
    read_pressure(130, 80);
    now_ms += 5000;
    ok(100, "stand");
}

START_TEST(stand_belongs_to_protocols_that_have_it)
{
    prepare("visit return");
    read_pressure(130, 80);
    read_pressure(130, 80);
    no(100, "stand", RULE_STAND_BARRED);
}
END_TEST

START_TEST(standing_readings_wait_their_time_to_the_millisecond)
{
    let_stand();
    lie_and_stand();
    no(100, "stand", RULE_STAND_BARRED);
    ck_assert_int_eq(sitting_standing_from_ms(&s, &p), s.stood_ms + 60000);
    no(s.stood_ms + 59999 - now_ms, "inflate listen", RULE_STANDING_EARLY);
    read_standing(60000, 110, 70);
    ck_assert(s.readings[2].is_standing);
    ck_assert_int_eq(s.readings[2].stood_for_ms, 60000);
    ck_assert_uint_eq(s.readings[2].voids | s.readings[2].notes,
                      0); /* 110 lies far below what was felt lying */
    no(s.stood_ms + 179999 - now_ms, "inflate listen", RULE_STANDING_EARLY);
    read_standing(240001, 120, 76);
    ck_assert_uint_eq(s.readings[3].notes, NOTE_STANDING_LATE | NOTE_INTERVAL_LONG);
    ck_assert_int_eq(sitting_standing_from_ms(&s, &p), 0);
    ck_assert_int_eq(sitting_counted(&s, ARM_LEFT), 2);
    ck_assert_int_eq(sitting_standing_counted(&s), 2);
    seal(RULE_NONE);
}
END_TEST

START_TEST(a_reading_standing_says_so_first_on_its_line)
{
    char line[400];
    let_stand();
    lie_and_stand();
    read_standing(60000, 110, 70);
    read_standing(240001, 120, 76);
    store_reading_line(&s, 1, line, sizeof line);
    ck_assert_str_eq(line, "2\tleft\t130\t-\t80\tcounted\t-\ttarget.high");
    store_reading_line(&s, 2, line, sizeof line);
    ck_assert_str_eq(line, "3\tleft\t110\t-\t70\tcounted\t-\tstanding");
    store_reading_line(&s, 3, line, sizeof line);
    ck_assert_str_eq(line, "4\tleft\t120\t-\t76\tcounted\t-\tstanding,interval.long,standing.late");
}
END_TEST

START_TEST(a_fall_of_the_limit_itself_is_noted)
{
    static const struct {
        int first, last;
        bool is_noted;
        int32_t systolic, diastolic;
    } ROWS[] = {{110, 80, true, 2000, 0},
                {112, 80, false, 1800, 0},
                {130, 70, true, 0, 1000},
                {130, 72, false, 0, 800},
                {140, 86, false, -1000, -600}};
    int32_t systolic = 7, diastolic = 7;
    let_stand();
    lie_and_stand();
    ck_assert(!sitting_drop_x100(&s, &p, &systolic, &diastolic));
    ck_assert_int_eq(systolic, 7);
    read_standing(60000, ROWS[_i].first, ROWS[_i].last);
    ck_assert(sitting_drop_x100(&s, &p, &systolic, &diastolic));
    ck_assert_int_eq(systolic, ROWS[_i].systolic);
    ck_assert_int_eq(diastolic, ROWS[_i].diastolic);
    ck_assert_int_eq((sitting_remarks(&s, &p) & REMARK_STANDING_DROP) != 0, ROWS[_i].is_noted);
}
END_TEST

START_TEST(standing_is_owed_at_seal_and_again_after_lying_down)
{
    let_stand();
    lie_and_stand();
    read_standing(60000, 128, 80);
    read_standing(180000, 128, 80);
    ok(100, "moved \"sat down\"");
    ck_assert(!s.is_standing);
    ck_assert_int_eq(sitting_standing_counted(&s), 2); /* lying again takes nothing back */
    rest();
    ok(100, "stand");
    ck_assert_int_eq(sitting_standing_counted(&s), 0);
    ck_assert_int_eq(s.reading_count, 4);
    seal(RULE_STANDING_FEW);
}
END_TEST

START_TEST(standing_closes_at_the_maximum_with_a_remark)
{
    let_stand();
    p.value[KEY_READINGS_MAX] = 3;
    lie_and_stand();
    for (int i = 0; i < 3; i++) {
        ok(60000, "inflate listen");
        ok(100, "interrupt \"spoke\"");
        ok(100, "empty");
        ck_assert_int_eq((sitting_remarks(&s, &p) & REMARK_READINGS_UNSETTLED) != 0, i == 2);
    }
    seal(RULE_NONE);
}
END_TEST

START_TEST(standing_few_may_be_passed_over_where_the_protocol_says_so)
{
    let_stand();
    p.is_waivable[RULE_STANDING_FEW] = true;
    lie_and_stand();
    ok(100, "waive standing.few \"faint\"");
    seal(RULE_NONE);
}
END_TEST

START_TEST(standing_ends_with_the_arm_and_with_a_new_rest)
{
    let_stand();
    lie_and_stand();
    ok(100, "interrupt \"spoke\"");
    ck_assert(s.is_standing);
    ok(100, "arm left");
    ck_assert(s.is_standing);
    ok(100, "arm right");
    ck_assert(!s.is_standing);
    ck_assert_int_eq(s.stood_ms, 0);
}
END_TEST

START_TEST(a_stale_rest_begun_anew_ends_standing)
{
    let_stand();
    lie_and_stand();
    ok((p.value[KEY_REST_VALID_S] + 1) * 1000, "note \"waited\"");
    no(0, "inflate listen", RULE_REST_STALE);
    ok(0, "rest begin");
    ck_assert(!s.is_standing);
}
END_TEST

int main(void)
{
    Suite *suite = suite_create("standing");
    TCase *t = tcase_create("standing");
    suite_add_tcase(suite, t);
    tcase_add_checked_fixture(t, load, NULL);
    tcase_add_test(t, stand_belongs_to_protocols_that_have_it);
    tcase_add_test(t, standing_readings_wait_their_time_to_the_millisecond);
    tcase_add_test(t, a_reading_standing_says_so_first_on_its_line);
    tcase_add_loop_test(t, a_fall_of_the_limit_itself_is_noted, 0, 5);
    tcase_add_test(t, standing_is_owed_at_seal_and_again_after_lying_down);
    tcase_add_test(t, standing_closes_at_the_maximum_with_a_remark);
    tcase_add_test(t, standing_few_may_be_passed_over_where_the_protocol_says_so);
    tcase_add_test(t, standing_ends_with_the_arm_and_with_a_new_rest);
    tcase_add_test(t, a_stale_rest_begun_anew_ends_standing);
    SRunner *runner = srunner_create(suite);
    srunner_run_all(runner, CK_NORMAL);
    int failed = srunner_ntests_failed(runner);
    srunner_free(runner);
    return failed == 0 ? EXIT_SUCCESS : EXIT_FAILURE;
}
