/* SPDX-License-Identifier: GPL-3.0-or-later */
/** @file test_command_session.c  Memory and store never part: accepted, refused, failed, taken up again. */
#include <check.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

#include "command/session.h"
#include "config/protocols.h"

#define YEAR_MS (INT64_C(366) * 24 * 60 * 60 * 1000)

static struct protocols loaded;
static char folder[64], path[96];
static struct store *store;

static void setup(void)
{
    struct err e = { 0 };
    snprintf(folder, sizeof folder, "/tmp/stillarm-test-XXXXXX");
    ck_assert_ptr_nonnull(mkdtemp(folder));
    snprintf(path, sizeof path, "%s/store.db", folder);
    ck_assert_msg(store_open(path, STORE_WRITE, &store, &e) == ST_OK, "%s", e.text);
}

static void teardown(void)
{
    static const char *const TAILS[] = { "", "-wal", "-shm" };
    store_close(store);
    for (size_t i = 0; i < ARRAY_LEN(TAILS); i++) {
        char name[128];
        snprintf(name, sizeof name, "%s%s", path, TAILS[i]);
        unlink(name);
    }
    rmdir(folder);
}

static enum session_answer try_line(struct session *x, const char *line, struct refusal *why, struct err *e)
{
    struct event ev;
    ck_assert_int_eq(event_parse(line, strlen(line), &ev, NULL), PARSED_EVENT);
    return session_try(x, &ev, why, e);
}

static void must_accept(struct session *x, const char *line)
{
    struct refusal why = { 0 };
    struct err e = { 0 };
    ck_assert_msg(try_line(x, line, &why, &e) == SESSION_ACCEPTED, "%s: %s %s", line, why.sentence, e.text);
}

START_TEST(session_try_stores_what_is_accepted)
{
    static struct session x, again;
    struct err e = { 0 };
    session_begin(&x, store, &loaded);
    must_accept(&x, "0.000 protocol us-adult");
    must_accept(&x, "0.000 measurer ana");
    ck_assert_int_eq(x.seq, 2);
    ck_assert_msg(session_load(&again, store, &loaded, x.id, &e) == ST_OK, "%s", e.text);
    ck_assert(sitting_equal(&x.sitting, &again.sitting));
    ck_assert_int_eq(again.seq, 2);
}
END_TEST

START_TEST(session_try_keeps_a_refused_attempt_beside_the_log)
{
    static struct session x, again;
    static struct sitting before;
    struct refusal why = { 0 };
    struct err e = { 0 };
    session_begin(&x, store, &loaded);
    must_accept(&x, "0.000 protocol us-adult");
    before = x.sitting;
    ck_assert_int_eq(try_line(&x, "1.000 rest begin", &why, &e), SESSION_REFUSED);
    ck_assert_int_eq(why.rule, RULE_STEP_NEEDS);
    ck_assert(sitting_equal(&x.sitting, &before));
    ck_assert_int_eq(x.seq, 1);
    ck_assert_int_eq(session_load(&again, store, &loaded, x.id, &e), ST_OK);
    ck_assert_int_eq(again.tally.by_rule[RULE_STEP_NEEDS], 1);
}
END_TEST

START_TEST(session_try_refused_before_the_protocol_stores_nothing)
{
    static struct session x;
    struct refusal why = { 0 };
    struct err e = { 0 };
    struct sitting_head head;
    session_begin(&x, store, &loaded);
    ck_assert_int_eq(try_line(&x, "0.000 protocol nowhere", &why, &e), SESSION_REFUSED);
    ck_assert_int_eq(why.rule, RULE_PROTOCOL_UNKNOWN);
    ck_assert_int_eq(store_sitting_open_latest(store, &head, &e), ST_NOT_FOUND);
}
END_TEST

START_TEST(session_try_that_cannot_store_changes_nothing_and_can_be_repeated)
{
    static struct session x, rival;
    static struct sitting before;
    struct refusal why = { 0 };
    struct err e = { 0 };
    session_begin(&x, store, &loaded);
    must_accept(&x, "0.000 protocol us-adult");
    ck_assert_int_eq(session_load(&rival, store, &loaded, x.id, &e), ST_OK);
    must_accept(&rival, "1.000 measurer ben"); /* another window was quicker */
    before = x.sitting;
    for (int i = 0; i < 2; i++) {
        ck_assert_int_eq(try_line(&x, "1.500 measurer ana", &why, &e), SESSION_FAILED);
        ck_assert_int_eq(e.code, ST_CONFLICT);
        ck_assert_uint_gt(strlen(e.text), 20);
        ck_assert(sitting_equal(&x.sitting, &before));
        ck_assert_int_eq(x.seq, 1);
    }
}
END_TEST

START_TEST(session_resume_goes_on_in_time_and_says_the_gap)
{
    static struct session x, again;
    static struct sitting before;
    struct moment long_ago = { .unix_ms = 1, .boot_ms = 1, .boot = "another-boot" };
    struct refusal why = { 0 };
    struct err e = { 0 };
    struct event ev;
    int64_t gap_ms = 0;
    session_begin(&x, store, &loaded);
    must_accept(&x, "0.000 protocol us-adult");
    ck_assert_int_eq(event_parse("2.000 measurer ana", 18, &ev, NULL), PARSED_EVENT);
    ck_assert_int_eq(session_try_at(&x, &ev, &long_ago, &why, &e), SESSION_ACCEPTED);
    ck_assert_msg(session_resume(&again, store, &loaded, x.id, &before, &gap_ms, &e) == ST_OK, "%s", e.text);
    ck_assert(sitting_equal(&before, &x.sitting));
    ck_assert_int_eq(again.sitting.now_ms, 2000 + YEAR_MS); /* decades must not use up what a time can hold */
    ck_assert_int_eq(gap_ms, EVENT_TIME_MAX_MS);
    ck_assert_int_eq(again.seq, 3);
    ck_assert_int_ge(session_now_ms(&again), again.sitting.now_ms);
}
END_TEST

START_TEST(session_resume_leaves_room_to_stop_however_often_the_clock_jumped)
{
    static struct session x, again;
    static struct sitting before;
    struct moment long_ago = { .unix_ms = 1, .boot_ms = 1, .boot = "another-boot" };
    struct refusal why = { 0 };
    struct err e = { 0 };
    struct event ev = { .kind = EV_STOP, .text = "enough" };
    int64_t gap_ms;
    session_begin(&x, store, &loaded);
    must_accept(&x, "0.000 protocol us-adult");
    for (int i = 0; i < 40; i++) {
        struct event resume = { .t_ms = x.sitting.now_ms, .kind = EV_RESUME };
        ck_assert_int_eq(session_try_at(&x, &resume, &long_ago, &why, &e), SESSION_ACCEPTED);
        ck_assert_msg(session_resume(&again, store, &loaded, x.id, &before, &gap_ms, &e) == ST_OK, "%s", e.text);
        x = again;
    }
    ev.t_ms = session_now_ms(&x);
    ck_assert_int_lt(ev.t_ms, EVENT_TIME_MAX_MS);
    ck_assert_msg(session_try(&x, &ev, &why, &e) == SESSION_ACCEPTED, "%s %s", why.sentence, e.text);
}
END_TEST

START_TEST(session_resume_takes_a_clock_set_back_as_a_negative_gap)
{
    static struct session x, again;
    static struct sitting before;
    struct moment tomorrow = { .unix_ms = INT64_C(32503680000000), .boot_ms = 1, .boot = "another-boot" };
    struct refusal why = { 0 };
    struct err e = { 0 };
    struct event ev;
    int64_t gap_ms = 0;
    session_begin(&x, store, &loaded);
    must_accept(&x, "0.000 protocol us-adult");
    ck_assert_int_eq(event_parse("2.000 measurer ana", 18, &ev, NULL), PARSED_EVENT);
    ck_assert_int_eq(session_try_at(&x, &ev, &tomorrow, &why, &e), SESSION_ACCEPTED);
    ck_assert_msg(session_resume(&again, store, &loaded, x.id, &before, &gap_ms, &e) == ST_OK, "%s", e.text);
    ck_assert_int_lt(gap_ms, 0);
    ck_assert_int_eq(again.sitting.now_ms, 2000);
    ck_assert(sitting_remarks(&again.sitting, &again.protocol) & REMARK_CLOCK_BACK);
}
END_TEST

START_TEST(session_resume_refuses_a_sitting_that_has_ended)
{
    static struct session x, again;
    static struct sitting before;
    struct err e = { 0 };
    int64_t gap_ms;
    session_begin(&x, store, &loaded);
    must_accept(&x, "0.000 protocol us-adult");
    must_accept(&x, "1.000 stop \"enough\"");
    ck_assert_int_eq(session_resume(&again, store, &loaded, x.id, &before, &gap_ms, &e), ST_CONFLICT);
    ck_assert_ptr_nonnull(strstr(e.text, "cannot be taken up"));
}
END_TEST

/* ---- the end, signed ---- */

static struct signer *begin_key(const char *person)
{
    struct person one = { .role = ROLE_TRAINEE };
    struct pin *pin = NULL;
    struct signer *signer = NULL;
    struct err e = { 0 };
    snprintf(one.id, sizeof one.id, "%s", person);
    snprintf(one.name, sizeof one.name, "%s", person);
    ck_assert_msg(store_person_add(store, &one, &e) == ST_OK, "%s", e.text);
    ck_assert_int_eq(trust_init(&e), ST_OK);
    ck_assert_int_eq(pin_new(&pin, &e), ST_OK);
    for (const char *c = "hazel 41"; *c; c++)
        ck_assert(pin_add(pin, (unsigned char)*c));
    ck_assert_msg(store_key_begin(store, person, pin, "2031-03-02T14:04:10+01:00", &signer, &e) == ST_OK, "%s", e.text);
    pin_free(pin);
    return signer;
}

/* One of ana's that could be stopped. */
static struct session *ana_s(void)
{
    static struct session x;
    session_begin(&x, store, &loaded);
    must_accept(&x, "0.000 protocol us-adult");
    must_accept(&x, "0.000 date \"2031-03-02T14:04:10+01:00\"");
    must_accept(&x, "0.000 measurer ana");
    return &x;
}

static enum session_answer stop(struct session *x, const struct signer *signer, struct err *e)
{
    struct refusal why = { 0 };
    struct event ev;
    static const char LINE[] = "9.000 stop \"called away\"";
    ck_assert_int_eq(event_parse(LINE, sizeof LINE - 1, &ev, NULL), PARSED_EVENT);
    ck_assert(session_is_end(&ev) && session_would_accept(x, &ev));
    return session_end(x, &ev, signer, NULL, NULL, &why, e);
}

static enum review review_of(const struct session *x)
{
    struct kept_sitting kept;
    struct err e = { 0 };
    ck_assert_msg(store_kept_sitting(store, x->id, &kept, &e) == ST_OK, "%s", e.text);
    return kept.review;
}

START_TEST(session_end_keeps_the_end_and_the_keeper_s_signature_together)
{
    struct err e = { 0 };
    struct signer *ana = begin_key("ana");
    struct session *x = ana_s();
    ck_assert_str_eq(session_keeper(x), "ana");
    ck_assert_msg(stop(x, ana, &e) == SESSION_ACCEPTED, "%s", e.text);
    ck_assert_int_eq(review_of(x), REVIEW_WAITING);
    signer_free(ana);
}
END_TEST

START_TEST(session_end_without_a_key_owes_the_signature)
{
    struct err e = { 0 };
    struct session *x = ana_s();
    ck_assert_msg(stop(x, NULL, &e) == SESSION_ACCEPTED, "%s", e.text);
    ck_assert_int_eq(x->sitting.phase, PHASE_STOPPED);
    ck_assert_int_eq(review_of(x), REVIEW_UNSIGNED);
}
END_TEST

START_TEST(session_end_by_another_s_key_changes_nothing)
{
    struct err e = { 0 };
    struct signer *ben = begin_key("ben");
    struct session *x = ana_s();
    const int32_t before = x->seq;
    ck_assert_int_eq(stop(x, ben, &e), SESSION_FAILED);
    ck_assert_int_eq(e.code, ST_PERMISSION);
    ck_assert_int_eq(x->sitting.phase, PHASE_OPEN);
    ck_assert_int_eq(x->seq, before);
    ck_assert_int_eq(review_of(x), REVIEW_OPEN);
    ck_assert_msg(stop(x, NULL, &e) == SESSION_ACCEPTED, "%s", e.text);
    signer_free(ben);
}
END_TEST

int main(void)
{
    struct err e = { 0 };
    if (protocols_load(TEST_SOURCE_DIR "/assets/protocols", &loaded, &e) != ST_OK) {
        fprintf(stderr, "%s\n", e.text);
        return EXIT_FAILURE;
    }
    Suite *s = suite_create("session");
    TCase *t = tcase_create("session");
    tcase_add_checked_fixture(t, setup, teardown);
    tcase_add_test(t, session_try_stores_what_is_accepted);
    tcase_add_test(t, session_try_keeps_a_refused_attempt_beside_the_log);
    tcase_add_test(t, session_try_refused_before_the_protocol_stores_nothing);
    tcase_add_test(t, session_try_that_cannot_store_changes_nothing_and_can_be_repeated);
    tcase_add_test(t, session_resume_goes_on_in_time_and_says_the_gap);
    tcase_add_test(t, session_resume_leaves_room_to_stop_however_often_the_clock_jumped);
    tcase_add_test(t, session_resume_takes_a_clock_set_back_as_a_negative_gap);
    tcase_add_test(t, session_resume_refuses_a_sitting_that_has_ended);
    tcase_add_test(t, session_end_keeps_the_end_and_the_keeper_s_signature_together);
    tcase_add_test(t, session_end_without_a_key_owes_the_signature);
    tcase_add_test(t, session_end_by_another_s_key_changes_nothing);
    suite_add_tcase(s, t);
    SRunner *r = srunner_create(s);
    srunner_run_all(r, CK_NORMAL);
    int failed = srunner_ntests_failed(r);
    srunner_free(r);
    protocols_free(&loaded);
    return failed ? EXIT_FAILURE : EXIT_SUCCESS;
}
