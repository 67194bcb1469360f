/* SPDX-License-Identifier: GPL-3.0-or-later */
/** @file test_command_replay.c  Replay answers any bytes at all, and ends with the right exit status. */
#include <check.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "command/command.h"
#include "command/replay.h"
#include "config/protocols.h"

static struct protocols loaded;

static const struct protocol *find(const void *user, const char *id)
{
    (void)user;
    return protocols_find(&loaded, id);
}

/* Replay len bytes; the answer is malloc'ed. */
static char *answer(const char *bytes, size_t len, int *status)
{
    char *out = NULL;
    size_t size = 0;
    FILE *in = len ? fmemopen((void *)(uintptr_t)bytes, len, "r") : fopen("/dev/null", "r");
    FILE *to = open_memstream(&out, &size);
    struct replay r;
    ck_assert_ptr_nonnull(in);
    replay_init(&r, find, NULL);
    *status = replay_stream(&r, "test", in, to);
    fclose(in);
    fclose(to);
    return out;
}

#define OPENING "0.000 protocol us-adult\n"

static const struct {
    const char *log;
    int status;
    const char *holds, *why;
} LOGS[] = {
    { "", EXIT_UNFINISHED, "open\topening\tprotocol\nstate\topen\n", "nothing at all" },
    { "# only this\n\n", EXIT_UNFINISHED, "state\topen\n", "comments answer nothing" },
    { OPENING, EXIT_UNFINISHED, "ok\t1\t0.000 protocol us-adult\n", "accepted" },
    { "0.000 protocol us-adult", EXIT_UNFINISHED, "ok\t1\t0.000 protocol us-adult\n", "no line end" },
    { "0.000 \t protocol   us-adult\r\n", EXIT_UNFINISHED, "ok\t1\t0.000 protocol us-adult\n", "printed canonically" },
    { "0.000 protocol nowhere\n", EXIT_UNFINISHED, "no\t1\tprotocol.unknown\t", "no such protocol" },
    { "0.000 protocol nowhere\n" OPENING, EXIT_UNFINISHED, "ok\t2\t0.000 protocol us-adult\n", "the next is looked up" },
    { "0.000 pulse regular 70\n", EXIT_UNFINISHED, "no\t1\topening.first\t", "protocol first" },
    { OPENING "1.000 stop \"enough\"\n", EXIT_FINE, "state\tstopped\n", "stopped is an end" },
    { OPENING "1.000 stop \"enough\"\n2.000 seal\n", EXIT_FINE, "no\t3\tclosed\t", "nothing after the end" },
    { OPENING "nonsense\n1.000 stop \"enough\"\n", EXIT_USAGE, "no\t2\tsyntax\tcolumn 1\t-\t", "syntax decides the status" },
    { OPENING "nonsense\n1.000 stop \"enough\"\n", EXIT_USAGE, "ok\t3\t1.000 stop \"enough\"\n", "and replay goes on" },
};

START_TEST(replay_answers_each_log)
{
    int status;
    char *out = answer(LOGS[_i].log, strlen(LOGS[_i].log), &status);
    ck_assert_msg(strstr(out, LOGS[_i].holds), "%s: got %s", LOGS[_i].why, out);
    ck_assert_msg(status == LOGS[_i].status, "%s: status %d", LOGS[_i].why, status);
    free(out);
}
END_TEST

START_TEST(replay_takes_nul_bytes_and_noise)
{
    static const char LOG[] = "0.000 protocol us-adult\n\0\0\0\n\xff\xfe 1\n1.000 stop \"e\0x\"\n2.000 stop \"enough\"\n";
    int status;
    char *out = answer(LOG, sizeof LOG - 1, &status);
    ck_assert_ptr_nonnull(strstr(out, "no\t2\tsyntax\t"));
    ck_assert_ptr_nonnull(strstr(out, "no\t3\tsyntax\t"));
    ck_assert_ptr_nonnull(strstr(out, "no\t4\tsyntax\t"));
    ck_assert_ptr_nonnull(strstr(out, "ok\t5\t2.000 stop \"enough\"\n"));
    ck_assert_int_eq(status, EXIT_USAGE);
    free(out);
}
END_TEST

/* A text of a hundred million bytes, and an event with as many blanks in it: one is refused, the other fits. */
START_TEST(replay_takes_lines_of_any_length)
{
    static const char HEAD[] = OPENING "1.000 note \"";
    enum { LONG = 100 * 1000 * 1000 };
    size_t len = sizeof HEAD - 1 + LONG + 2 + 5 + LONG + 12;
    char *log = malloc(len + 1), *at = log;
    int status;
    ck_assert_ptr_nonnull(log);
    memcpy(at, HEAD, sizeof HEAD - 1);
    at += sizeof HEAD - 1;
    memset(at, 'x', LONG);
    at += LONG;
    memcpy(at, "\"\n2.000", 7);
    at += 7;
    memset(at, ' ', LONG);
    at += LONG;
    memcpy(at, "stop \"end\"\n", 11);
    at += 11;
    char *out = answer(log, (size_t)(at - log), &status);
    ck_assert_ptr_nonnull(strstr(out, "no\t2\tsyntax\t"));
    ck_assert_ptr_nonnull(strstr(out, "ok\t3\t2.000 stop \"end\"\n"));
    ck_assert_uint_lt(strlen(out), 4000);
    ck_assert_int_eq(status, EXIT_USAGE);
    free(out);
    free(log);
}
END_TEST

START_TEST(replay_without_any_protocol_refuses_and_ends_open)
{
    char *out = NULL;
    size_t size = 0;
    FILE *to = open_memstream(&out, &size);
    struct replay r;
    replay_init(&r, NULL, NULL);
    replay_line(&r, OPENING, strlen(OPENING), to);
    ck_assert_int_eq(replay_end(&r, to), EXIT_UNFINISHED);
    fclose(to);
    ck_assert_ptr_nonnull(strstr(out, "no\t1\tprotocol.unknown\t"));
    free(out);
}
END_TEST

static char *answer_of_corpus(const char *path, int *status)
{
    static char log[8000];
    FILE *f = fopen(path, "rb");
    ck_assert_ptr_nonnull(f);
    size_t len = fread(log, 1, sizeof log, f);
    fclose(f);
    return answer(log, len, status);
}

/* Before a witness, with six things gone wrong: these six, nothing between them, and the result. */
START_TEST(replay_lists_lapses_and_the_result_before_the_state)
{
    static const char WANT[] = "average\tleft\t125.00\t77.00\t2\n"
                               "lapse\t1\t3.100\titem.open\tposture.legs\tlegs crossed\tLegs not crossed\n"
                               "lapse\t2\t4.300\tcuff.too-small\t-\tarm 42.0 cm\t25.4 to 40.6 cm\n"
                               "lapse\t3\t204.900\trest.short\t-\t200.000 s\t300.000 s\n"
                               "lapse\t4\t206.400\testimate.missing\t-\tno estimate\tpalpate\n"
                               "lapse\t5\t285.400\tinterval.short\t-\t34.000 s\t60.000 s\n"
                               "lapse\t6\t863.100\ttold.missing\t-\tnot told\ttold\n"
                               "result\tnot-passed\t6\t3\t0\n"
                               "state\tsealed\n";
    int status;
    char *out = answer_of_corpus(TEST_SOURCE_DIR "/tests/fuzz/corpus/sitting/witnessed-six.log", &status);
    const char *end = strstr(out, "average\t");
    ck_assert_str_eq(end ? end : out, WANT);
    ck_assert_ptr_null(strstr(out, "\nno\t"));
    ck_assert_ptr_nonnull(strstr(out, "reading\t1\tleft\t126\t-\t78\tvoid\tlapse\t-\n"));
    ck_assert_int_eq(status, EXIT_FINE);
    free(out);
}
END_TEST

/* The same, three of the six taken back: they stay where they were, each with its reason. */
START_TEST(replay_tells_what_was_struck_and_counts_it_no_more)
{
    static const char WANT[] = "lapse\t1\t3.100\titem.open\tposture.legs\tlegs crossed\tLegs not crossed\n"
                               "struck\t1\tthe wrong item\n"
                               "lapse\t2\t4.300\tcuff.too-small\t-\tarm 42.0 cm\t25.4 to 40.6 cm\n"
                               "lapse\t3\t204.900\trest.short\t-\t200.000 s\t300.000 s\n"
                               "struck\t3\tthe wrong key\n"
                               "lapse\t4\t206.400\testimate.missing\t-\tno estimate\tpalpate\n"
                               "struck\t4\tthe wrong key\n"
                               "lapse\t5\t285.400\tinterval.short\t-\t34.000 s\t60.000 s\n"
                               "lapse\t6\t863.100\ttold.missing\t-\tnot told\ttold\n"
                               "result\tnot-passed\t3\t1\t1\n"
                               "state\tsealed\n";
    int status;
    char *out = answer_of_corpus(TEST_SOURCE_DIR "/tests/fuzz/corpus/sitting/witnessed-strike.log", &status);
    const char *end = strstr(out, "lapse\t1");
    ck_assert_str_eq(end ? end : out, WANT);
    ck_assert_ptr_nonnull(strstr(out, "\tvalue.range\ttaken back already\t"));
    ck_assert_ptr_nonnull(strstr(out, "\tvalue.range\t9\t1 to 5\t"));
    ck_assert_ptr_nonnull(strstr(out, "reading\t1\tleft\t126\t-\t78\tvoid\tlapse\t-\n"));
    ck_assert_int_eq(status, EXIT_FINE);
    free(out);
}
END_TEST

int main(void)
{
    struct err e = { 0 };
    if (protocols_load(TEST_SOURCE_DIR "/assets/protocols", &loaded, &e) != ST_OK) {
        fprintf(stderr, "%s\n", e.text);
        return EXIT_FAILURE;
    }
    Suite *s = suite_create("replay");
    TCase *t = tcase_create("replay");
    tcase_set_timeout(t, 60);
    tcase_add_loop_test(t, replay_answers_each_log, 0, (int)ARRAY_LEN(LOGS));
    tcase_add_test(t, replay_takes_nul_bytes_and_noise);
    tcase_add_test(t, replay_takes_lines_of_any_length);
    tcase_add_test(t, replay_without_any_protocol_refuses_and_ends_open);
    tcase_add_test(t, replay_lists_lapses_and_the_result_before_the_state);
    tcase_add_test(t, replay_tells_what_was_struck_and_counts_it_no_more);
    suite_add_tcase(s, t);
    SRunner *r = srunner_create(s);
    srunner_run_all(r, CK_NORMAL);
    int failed = srunner_ntests_failed(r);
    srunner_free(r);
    protocols_free(&loaded);
    return failed ? EXIT_FAILURE : EXIT_SUCCESS;
}
