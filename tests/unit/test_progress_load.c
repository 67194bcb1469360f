/* SPDX-License-Identifier: GPL-3.0-or-later */
/** @file test_progress_load.c  Which sittings, readings and pairs a record holds, as of which day. */
#include "command/progress_load.h"
#include "progress_hand.h"
#include "store/internal.h" /* to change what is recorded */

static struct yardstick yardstick;
static struct signer *eva; /* the first preceptor with a key */
static struct progress now;
static struct progress_row before;

static void setup(void)
{
    open_store();
    eva = key_of("eva");
    yardstick = (struct yardstick){ .id = "hand", .title = "By hand", .is_preceptor_only = true, .criterion_count = 1,
                                    .plan = { .adequate = 0.1, .inadequate = 0.25, .reach = 3.0, .lose = 3.0, .horizon = 100,
                                              .right_within_mmhg = 5 } };
    yardstick.criteria[0] = (struct criterion){ .id = "pairs", .say = "pairs", .about = ABOUT_RECORD, .which = RECORD_PAIRS, .bound = 3 };
}

static void teardown(void)
{
    signer_free(eva);
    close_store();
}

static struct progress_ask as_of(int32_t since, int32_t until)
{
    return (struct progress_ask){ .yardstick = &yardstick, .since_day = since, .until_day = until };
}

static void load(const char *person)
{
    const struct progress_ask ask = as_of(20310101, 20311231);
    OK(progress_load(st, &ask, person, &now, &before, &e));
}

static double bias(enum side side)
{
    const struct figure *f = &now.record.agreement.side[side].figure[FIGURE_BIAS];
    ck_assert_int_eq(f->lack, LACK_NONE);
    return f->value;
}

static void one_sitting(const char *subject, const char *date, int sys, int lsys)
{
    sit_down("ana", subject, date, NULL);
    hear(sys, 78, "eva", lsys, 80, false);
    hear(sys, 78, NULL, 0, 0, false);
    seal_it();
}

START_TEST(a_pair_that_counts_is_in_the_figures)
{
    one_sitting("K7", "2031-03-02", 124, 120);
    load("ana");
    ck_assert_int_eq(now.record.count[RECORD_PAIRS], 1);
    ck_assert_int_eq(now.record.count[RECORD_SUBJECTS], 1);
    ck_assert_int_eq(now.record.count[RECORD_LISTENERS], 1);
    ck_assert_int_eq(now.record.agreement.learning.answers, 1);
    ck_assert_int_eq(now.record.agreement.learning.wrong, 0);
    ck_assert_double_eq_tol(bias(SIDE_SYSTOLIC), 4.0, 1e-12);
    ck_assert_double_eq_tol(bias(SIDE_DIASTOLIC), -2.0, 1e-12);
    ck_assert_int_eq(now.path.count, 1);
    ck_assert_str_eq(now.name, "Ana Torres");
    ck_assert_str_eq(now.role, "trainee");
}
END_TEST

START_TEST(a_reading_without_a_listener_counts_for_digits_alone)
{
    one_sitting("K7", "2031-03-02", 124, 120);
    load("ana");
    ck_assert_int_eq(now.readings, 2);
    ck_assert_int_eq(now.counted, 2);
    ck_assert_int_eq(now.digits[SIDE_SYSTOLIC].even[2], 2);
    ck_assert_int_eq(now.digits[SIDE_DIASTOLIC].even[4], 2);
    ck_assert_int_eq(now.release_count, 2);
    ck_assert_int_eq(now.releases[0].day, 20310302);
    ck_assert(now.releases[0].is_counted);
    ck_assert_int_gt(now.releases[0].rate_x10, 0);
    ck_assert_int_gt(now.release_high_x10, now.release_low_x10);
}
END_TEST

START_TEST(a_pair_on_a_void_reading_stands_apart)
{
    sit_down("ana", "K7", "2031-03-02", NULL);
    hear(124, 78, "eva", 120, 80, true);
    hear(124, 78, "eva", 122, 80, false);
    hear(124, 78, NULL, 0, 0, false);
    seal_it();
    load("ana");
    ck_assert_int_eq(now.pairs_void, 1);
    ck_assert_int_eq(now.record.count[RECORD_PAIRS], 1);
    ck_assert_double_eq_tol(bias(SIDE_SYSTOLIC), 2.0, 1e-12);
    ck_assert_int_eq(now.readings, 3);
    ck_assert_int_eq(now.counted, 2);
    ck_assert_int_ge(now.voids[2] + now.voids[3], 1); /* too fast, or too brief */
    ck_assert_int_eq(now.clean, 0);
}
END_TEST

START_TEST(a_listener_who_is_no_preceptor_is_counted_apart)
{
    sit_down("ana", "K7", "2031-03-02", NULL);
    hear(124, 78, "tec", 120, 80, false);
    hear(124, 78, "nobody", 120, 80, false);
    seal_it();
    load("ana");
    ck_assert_int_eq(now.pairs_other, 2);
    ck_assert_int_eq(now.record.count[RECORD_PAIRS], 0);
    yardstick.is_preceptor_only = false;
    load("ana");
    ck_assert_int_eq(now.pairs_other, 2);
    ck_assert_int_eq(now.record.count[RECORD_PAIRS], 2);
    ck_assert_int_eq(now.record.count[RECORD_LISTENERS], 2);
}
END_TEST

START_TEST(a_correction_does_not_change_what_was_heard)
{
    sit_down("ana", "K7", "2031-03-02", NULL);
    hear(134, 78, "eva", 120, 80, false);
    say(1000, "correct first 120 \"misread the dial\"");
    hear(120, 78, NULL, 0, 0, false);
    seal_it();
    ck_assert_int_eq(x.sitting.readings[0].value_mmhg[POINT_FIRST], 120);
    load("ana");
    ck_assert_double_eq_tol(bias(SIDE_SYSTOLIC), 14.0, 1e-12);
    ck_assert_int_eq(now.record.agreement.learning.wrong, 1);
    ck_assert_int_eq(now.digits[SIDE_SYSTOLIC].even[2], 1); /* 134, as it was typed */
    ck_assert_int_eq(now.digits[SIDE_SYSTOLIC].even[0], 1);
}
END_TEST

START_TEST(a_held_sitting_is_counted_and_in_no_figure)
{
    one_sitting("K7", "2031-03-02", 124, 120);
    sit_down("ana", "K8", "2031-03-03", "eva");
    hear(150, 90, "ina", 120, 80, false);
    hear(150, 90, NULL, 0, 0, false);
    seal_it();
    load("ana");
    ck_assert_int_eq(now.held, 1);
    ck_assert_int_eq(now.sealed, 1);
    ck_assert_int_eq(now.witnessed, 0);
    ck_assert_int_eq(now.record.count[RECORD_PAIRS], 1);
    ck_assert_int_eq(now.readings, 2);
    ck_assert_int_eq(now.last_day, 20310302);
}
END_TEST

static void act_of_eva(const struct act *a)
{
    OK(store_act(st, a, eva, &e));
}

static void end_by(const struct signer *keeper)
{
    struct refusal why = { 0 };
    const struct event seal = { .t_ms = now_ms += 1000, .kind = EV_SEAL };
    const struct moment at = { .unix_ms = opened.unix_ms + now_ms, .boot_ms = opened.boot_ms + now_ms, .boot = "a" };
    ck_assert_msg(session_end(&x, &seal, keeper, &at, "2031-03-03T10:00:00+01:00", &why, &e) == SESSION_ACCEPTED, "%s %s", why.sentence, e.text);
}

START_TEST(a_result_that_was_given_is_in_the_figures_and_a_struck_lapse_is_none)
{
    signer_free(key_of("ina"));
    act_of_eva(&(struct act){ .kind = SAYS_VOUCH, .of = "ina", .at = HAND_KEYS_AT });
    sit_down("ana", "K8", "2031-03-03", "eva");
    say(1000, "lapse posture.legs \"crossed\"");
    say(1000, "lapse posture.quiet \"spoke\"");
    hear(124, 78, "ina", 120, 80, false);
    hear(124, 78, NULL, 0, 0, false);
    say(1000, "strike 2 \"it was I who spoke\"");
    say(1000, "confirm posture.quiet");
    confirm_all(STEP_CLOSING);
    say(1000, "told");
    end_by(eva);
    load("ana");
    ck_assert_int_eq(now.held, 1);
    ck_assert_int_eq(now.record.count[RECORD_PAIRS] + now.lapsed[RULE_ITEM_OPEN], 0);
    act_of_eva(&(struct act){ .kind = SAYS_RELEASE, .sitting = x.id, .at = "2031-03-03T10:05:00+01:00" });
    load("ana");
    ck_assert_int_eq(now.held, 0);
    ck_assert_int_eq(now.witnessed, 1);
    ck_assert_int_eq(now.record.count[RECORD_PAIRS], 1);
    ck_assert_int_eq(now.lapsed[RULE_ITEM_OPEN], 1);
    ck_assert_int_eq(now.clean, 0);
    ck_assert_int_eq(now.unsigned_count, 0);
    ck_assert_int_eq(now.pairs_unread, 0); /* who watched signed it */
    ck_assert_int_eq(now.open_item_count, 1);
    ck_assert_str_eq(now.open_items[0].id, "posture.legs");
    ck_assert_int_eq(now.open_items[0].lapsed, 1);
}
END_TEST

START_TEST(a_preceptor_without_a_key_is_no_preceptor)
{
    sit_down("ana", "K7", "2031-03-02", NULL);
    hear(124, 78, "ina", 120, 80, false);
    hear(124, 78, NULL, 0, 0, false);
    seal_it();
    load("ana");
    ck_assert_int_eq(now.pairs_other, 1);
    ck_assert_int_eq(now.record.count[RECORD_PAIRS], 0);
}
END_TEST

START_TEST(a_preceptor_counts_once_somebody_vouched_for_her)
{
    signer_free(key_of("ina"));
    sit_down("ana", "K7", "2031-03-02", NULL);
    hear(124, 78, "ina", 120, 80, false);
    hear(124, 78, NULL, 0, 0, false);
    seal_it();
    load("ana");
    ck_assert_int_eq(now.pairs_other, 1);
    act_of_eva(&(struct act){ .kind = SAYS_VOUCH, .of = "ina", .at = HAND_KEYS_AT });
    load("ana");
    ck_assert_int_eq(now.pairs_other, 0);
    ck_assert_int_eq(now.record.count[RECORD_PAIRS], 1);
}
END_TEST

START_TEST(pairs_say_who_has_not_signed_their_sittings)
{
    struct signer *ana = key_of("ana");
    one_sitting("K7", "2031-03-02", 124, 120); /* its signature stays owed */
    sit_down("ana", "K8", "2031-03-03", NULL);
    hear(124, 78, "eva", 120, 80, false);
    hear(124, 78, "eva", 120, 80, false);
    confirm_all(STEP_CLOSING);
    say(1000, "told");
    end_by(ana);
    load("ana");
    ck_assert_int_eq(now.record.count[RECORD_PAIRS], 3);
    ck_assert_int_eq(now.pairs_unread, 3);
    ck_assert_int_eq(now.pairs_unsigned, 1);
    act_of_eva(&(struct act){ .kind = SAYS_COUNTERSIGN, .sitting = x.id, .word = "reviewed", .at = HAND_KEYS_AT });
    load("ana");
    ck_assert_int_eq(now.pairs_unread, 1);
    signer_free(ana);
}
END_TEST

START_TEST(releases_outside_the_band_are_counted_of_those_observed)
{
    sit_down("ana", "K7", "2031-03-02", NULL);
    hear(124, 78, NULL, 0, 0, true);
    hear(124, 78, NULL, 0, 0, false);
    hear(124, 78, NULL, 0, 0, false);
    seal_it();
    load("ana");
    ck_assert_int_eq(now.releases_observed, 3);
    ck_assert_int_eq(now.releases_quick, 1);
    ck_assert_int_eq(now.releases_slow, 0);
}
END_TEST

START_TEST(an_item_that_was_open_is_counted_by_its_name)
{
    sit_down("ana", "K7", "2031-03-02", NULL);
    hear(124, 78, NULL, 0, 0, false);
    hear(124, 78, NULL, 0, 0, false);
    say(1000, "told");
    refused("seal", RULE_ITEM_OPEN);
    refused("seal", RULE_ITEM_OPEN);
    load("ana");
    ck_assert_int_eq(now.open_item_count, 0); /* the sitting is open */
    seal_it();
    load("ana");
    ck_assert_int_eq(now.refused[RULE_ITEM_OPEN], 2);
    ck_assert_int_eq(now.open_item_count, 1);
    ck_assert_int_eq(now.open_items[0].refused, 2);
    ck_assert_int_eq(strncmp(now.open_items[0].id, "close.", 6), 0);
}
END_TEST

START_TEST(an_open_sitting_is_counted_and_in_no_figure)
{
    one_sitting("K7", "2031-03-02", 124, 120);
    sit_down("ana", "K8", "2031-03-03", NULL);
    hear(150, 90, "eva", 120, 80, false);
    load("ana");
    ck_assert_int_eq(now.open, 1);
    ck_assert_int_eq(now.record.count[RECORD_PAIRS], 1);
    ck_assert_int_eq(now.readings, 2);
}
END_TEST

START_TEST(a_signature_that_is_owed_keeps_nothing_out)
{
    one_sitting("K7", "2031-03-02", 124, 120);
    load("ana");
    ck_assert_int_eq(now.unsigned_count, 1);
    ck_assert_int_eq(now.record.count[RECORD_PAIRS], 1);
}
END_TEST

START_TEST(a_stopped_sitting_keeps_its_pairs_and_is_not_clean)
{
    sit_down("ana", "K7", "2031-03-02", NULL);
    hear(124, 78, "eva", 120, 80, false);
    say(1000, "stop \"called away\"");
    load("ana");
    ck_assert_int_eq(now.stopped, 1);
    ck_assert_int_eq(now.sealed, 0);
    ck_assert_int_eq(now.clean, 0);
    ck_assert_int_eq(now.record.count[RECORD_PAIRS], 1);
}
END_TEST

START_TEST(subjects_read_again_are_one_until_their_code_is_forgotten)
{
    int forgotten = 0;
    one_sitting("K7", "2031-03-02", 124, 120);
    one_sitting("K7", "2031-03-03", 126, 120);
    one_sitting("K8", "2031-03-04", 122, 120);
    load("ana");
    ck_assert_int_eq(now.record.count[RECORD_SUBJECTS], 2);
    ck_assert_int_eq(now.record.agreement.subjects, 2);
    OK(store_subject_erase(st, "K8", &forgotten, &e));
    load("ana");
    ck_assert_int_eq(now.record.count[RECORD_PAIRS], 3);
    ck_assert_int_eq(now.record.count[RECORD_SUBJECTS], 2);
}
END_TEST

static int64_t watched_of;

static bool breaks_off(void *user, int64_t done, int64_t of)
{
    ck_assert_ptr_eq(user, &now);
    ck_assert_int_eq(done, 1);
    watched_of = of;
    return false;
}

static bool is_never_told(void *user, const struct progress *p, const struct progress_row *r)
{
    ck_abort_msg("%s is told although the reading was broken off (%p, %s)", p->person, user, r->person);
    return false;
}

START_TEST(reading_that_is_broken_off_tells_nobody)
{
    one_sitting("K7", "2031-03-02", 124, 120);
    one_sitting("K8", "2031-03-03", 124, 120);
    struct progress_ask ask = as_of(20310301, 20311231);
    ask.watch = breaks_off;
    ask.watcher = &now;
    ck_assert_int_eq(progress_load(st, &ask, "ana", &now, &before, &e), ST_IO);
    ck_assert_ptr_nonnull(strstr(e.text, "broken off"));
    ck_assert_int_eq(watched_of, 2);
    ck_assert_int_eq(progress_load_all(st, &ask, is_never_told, NULL, &e), ST_IO);
}
END_TEST

/* What a graph of pairs says beside itself. */
START_TEST(days_of_pairs_are_those_of_their_own_sittings)
{
    sit_down("ana", "K1", "2031-03-01", NULL);
    hear(124, 78, NULL, 0, 0, false);
    hear(124, 78, NULL, 0, 0, false);
    seal_it();
    load("ana");
    ck_assert_int_eq(now.first_pair_day, 0);
    one_sitting("K7", "2031-03-02", 124, 120);
    sit_down("ana", "K2", "2031-03-05", NULL);
    hear(124, 78, NULL, 0, 0, false);
    hear(124, 78, NULL, 0, 0, false);
    seal_it();
    load("ana");
    ck_assert_int_eq(now.first_day, 20310301);
    ck_assert_int_eq(now.last_day, 20310305);
    ck_assert_int_eq(now.first_pair_day, 20310302);
    ck_assert_int_eq(now.last_pair_day, 20310302);
}
END_TEST

START_TEST(both_bounds_include_their_day)
{
    one_sitting("K7", "2031-03-02", 124, 120);
    one_sitting("K8", "2031-03-10", 126, 120);
    one_sitting("K9", "2031-03-20", 122, 120);
    const struct progress_ask ask = as_of(20310302, 20310310), none = as_of(20310301, 20310301);
    OK(progress_load(st, &ask, "ana", &now, &before, &e));
    ck_assert_int_eq(now.record.count[RECORD_PAIRS], 2);
    ck_assert_int_eq(now.record.count[RECORD_DAYS_SINCE_PAIR], 0);
    ck_assert_int_eq(before.pairs, 1);
    ck_assert_int_eq(before.sittings, 1);
    ck_assert_double_eq_tol(before.bias[SIDE_SYSTOLIC], 4.0, 1e-12);
    ck_assert_int_eq(now.last_day, 20310310);
    OK(progress_load(st, &none, "ana", &now, &before, &e));
    ck_assert_int_eq(now.record.count[RECORD_PAIRS] + now.sealed + before.sittings, 0);
    ck_assert_int_eq(now.result.answer, READY_TOO_FEW);
    ck_assert_int_eq(now.result.missing_pairs, 3);
}
END_TEST

START_TEST(what_was_refused_is_counted_by_rule_and_slips_leave_a_sitting_clean)
{
    sit_down("ana", "K7", "2031-03-02", NULL);
    refused("value first 125", RULE_READING_NONE);
    hear(124, 78, "eva", 120, 80, false);
    refused("inflate listen", RULE_INTERVAL_SHORT);
    hear(124, 78, NULL, 0, 0, false);
    seal_it();
    sit_down("ana", "K7", "2031-03-03", NULL);
    hear(124, 78, "eva", 120, 80, false);
    refused("correct first 125 \"no\"", RULE_VALUE_ODD);
    hear(124, 78, NULL, 0, 0, false);
    seal_it();
    load("ana");
    ck_assert_int_eq(now.refused[RULE_INTERVAL_SHORT], 1);
    ck_assert_int_eq(now.refused[RULE_READING_NONE], 1);
    ck_assert_int_eq(now.refused[RULE_VALUE_ODD], 1);
    ck_assert_int_eq(now.sealed, 2);
    ck_assert_int_eq(now.clean, 1);
    ck_assert_int_eq(now.record.count[RECORD_CLEAN_SHARE], 1);
}
END_TEST

START_TEST(a_sitting_that_does_not_replay_is_counted_and_the_others_are_told)
{
    one_sitting("K7", "2031-03-02", 124, 120);
    one_sitting("K8", "2031-03-03", 126, 120);
    ck_assert_int_eq(sqlite3_exec(st->db, "DROP TRIGGER events_no_update; UPDATE events SET value = 78 WHERE sitting = 2 AND kind = 'value'"
                                          " AND item = 'first'", NULL, NULL, NULL), SQLITE_OK);
    load("ana");
    ck_assert_int_eq(now.unjudged, 1);
    ck_assert_int_eq(now.sealed, 1);
    ck_assert_int_eq(now.record.count[RECORD_PAIRS], 1);
}
END_TEST

static int people;
static char order[200];

static bool note_person(void *user, const struct progress *p, const struct progress_row *was)
{
    (void)user;
    (void)was;
    people++;
    strncat(order, p->person, sizeof order - strlen(order) - 2);
    strcat(order, " ");
    return people < 9;
}

START_TEST(the_group_holds_who_measured_and_who_is_expected_to)
{
    const struct progress_ask ask = as_of(20310101, 20311231);
    one_sitting("K7", "2031-03-02", 124, 120);
    sit_down("old", "K8", "2031-03-02", NULL); /* retired since */
    say(1000, "stop \"called away\"");
    sit_down("zoe", "K8", "2031-03-02", NULL); /* known to no list */
    say(1000, "stop \"called away\"");
    people = 0;
    order[0] = '\0';
    OK(progress_load_all(st, &ask, note_person, NULL, &e));
    ck_assert_str_eq(order, "ana ben old tec zoe "); /* eva and ina are preceptors who have not measured */
}
END_TEST

START_TEST(nobody_of_that_name_is_said)
{
    const struct progress_ask ask = as_of(20310101, 20311231);
    ck_assert_int_eq(progress_load(st, &ask, "zoe", &now, &before, &e), ST_NOT_FOUND);
    ck_assert_ptr_nonnull(strstr(e.text, "zoe"));
    load("old"); /* retired, and no sitting */
    ck_assert_int_eq(now.readings, 0);
}
END_TEST

START_TEST(an_item_passed_over_is_no_clean_sitting)
{
    sit_down("ana", "K7", "2031-03-02", NULL);
    say(1000, "reopen posture.legs \"crossed again\"");
    say(1000, "waive posture.legs \"no footstool here\"");
    hear(124, 78, "eva", 120, 80, false);
    hear(124, 78, NULL, 0, 0, false);
    seal_it();
    load("ana");
    ck_assert_int_eq(now.waived, 1);
    ck_assert_int_eq(now.clean, 0);
    ck_assert_int_eq(now.sealed, 1);
}
END_TEST

int main(void)
{
    const TTest *const tests[] = {
        a_pair_that_counts_is_in_the_figures, a_reading_without_a_listener_counts_for_digits_alone,
        a_pair_on_a_void_reading_stands_apart, a_listener_who_is_no_preceptor_is_counted_apart,
        a_correction_does_not_change_what_was_heard, a_held_sitting_is_counted_and_in_no_figure,
        a_result_that_was_given_is_in_the_figures_and_a_struck_lapse_is_none,
        an_open_sitting_is_counted_and_in_no_figure, a_signature_that_is_owed_keeps_nothing_out,
        a_stopped_sitting_keeps_its_pairs_and_is_not_clean, subjects_read_again_are_one_until_their_code_is_forgotten,
        both_bounds_include_their_day, reading_that_is_broken_off_tells_nobody, days_of_pairs_are_those_of_their_own_sittings,
        what_was_refused_is_counted_by_rule_and_slips_leave_a_sitting_clean,
        the_group_holds_who_measured_and_who_is_expected_to, nobody_of_that_name_is_said,
        a_preceptor_without_a_key_is_no_preceptor, a_preceptor_counts_once_somebody_vouched_for_her,
        pairs_say_who_has_not_signed_their_sittings, releases_outside_the_band_are_counted_of_those_observed,
        an_item_that_was_open_is_counted_by_its_name,
        an_item_passed_over_is_no_clean_sitting, a_sitting_that_does_not_replay_is_counted_and_the_others_are_told,
    };
    Suite *suite = suite_create("progress");
    TCase *t = tcase_create("load");
    tcase_set_timeout(t, 120);
    tcase_add_checked_fixture(t, setup, teardown);
    for (size_t i = 0; i < ARRAY_LEN(tests); i++)
        tcase_add_test(t, tests[i]);
    suite_add_tcase(suite, t);
    SRunner *r = srunner_create(suite);
    srunner_run_all(r, CK_NORMAL);
    int failed = srunner_ntests_failed(r);
    srunner_free(r);
    return failed ? EXIT_FAILURE : EXIT_SUCCESS;
}
