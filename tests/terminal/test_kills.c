/* SPDX-License-Identifier: GPL-3.0-or-later */
/* A sitting killed at random moments: what the screen had moved on from is in the store, and the sitting goes
 * on. */
#include <check.h>
#include <signal.h>
#include <stdarg.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <time.h>

#include "sitting_tour.h"
#include "stillarm/text.h"
#include "store/store.h"

#define KILLS 200
#define EVENTS_MAX 256

static char folder[64], template_db[96], db[96];
static struct kit k;

/* The log of an undisturbed run: the same clock and the same keys give the same events. */
static char reference[EVENTS_MAX][EVENT_LINE_CAP];
static int reference_count;
static int acknowledged[128]; /* events stored once the screen has moved on from move i */

struct log {
    char lines[EVENTS_MAX][EVENT_LINE_CAP];
    int count;
};

static bool add_line(void *user, int32_t seq, const struct event *ev)
{
    struct log *log = user;
    ck_assert_int_eq(seq, log->count + 1);
    ck_assert_int_lt(log->count, EVENTS_MAX);
    event_print(ev, log->lines[log->count++]);
    return true;
}

static void read_log(struct log *log)
{
    struct store *st = NULL;
    struct err e = {0};
    log->count = 0;
    ck_assert_msg(store_open(db, STORE_WRITE, &st, &e) == ST_OK, "%s", e.text);
    ck_assert_msg(store_check(st, &e) == ST_OK, "%s", e.text);
    const enum status status = store_events(st, 1, add_line, log, &e);
    ck_assert_msg(status == ST_OK || status == ST_NOT_FOUND, "%s", e.text);
    store_close(st);
}

static void run_command(const char *format, ...) __attribute__((format(printf, 1, 2)));

static void run_command(const char *format, ...)
{
    char command[320];
    va_list args;
    va_start(args, format);
    vsnprintf(command, sizeof command, format, args);
    va_end(args);
    ck_assert_int_eq(system(command), 0);
}

/* A fresh copy of the furnished store and a clock that begins anew, so that every run is the same. */
static void begin_anew(void)
{
    char clock_file[96];
    run_command("rm -f %s %s-wal %s-shm && cp %s %s", db, db, db, template_db, db);
    snprintf(clock_file, sizeof clock_file, "%s/clock", folder);
    ck_assert(clock_create(clock_file));
    const char *argv[] = {TEST_DRIVEN_PROGRAM, "--db", db, "sit", NULL};
    ck_assert(kit_start(&k, &(struct kit_options){.argv = argv}));
}

static void record_reference(void)
{
    static struct log log;
    begin_anew();
    for (size_t i = 0; i < TOUR_RETURN_VISIT_COUNT; i++) {
        tour_drive(&k, &TOUR_FIRST_VISIT[i], 1);
        read_log(&log);
        acknowledged[i] = log.count;
    }
    reference_count = log.count;
    memcpy(reference, log.lines, sizeof reference);
    kit_signal(&k, SIGKILL);
    kit_stop(&k, KIT_WAIT_MS);
}

static void kill_within(int64_t microseconds)
{
    const struct timespec moment = {.tv_nsec = microseconds * 1000};
    nanosleep(&moment, NULL);
    kit_signal(&k, SIGKILL);
    ck_assert_int_eq(kit_stop(&k, KIT_WAIT_MS), 128 + SIGKILL);
}

/* The next start takes the sitting up and writes that it did. */
static void check_resumes(int stored)
{
    static struct log log;
    const char *argv[] = {TEST_DRIVEN_PROGRAM, "--db", db, "sit", NULL};
    ck_assert(kit_start(&k, &(struct kit_options){.argv = argv}));
    ck_assert_msg(kit_wait(&k, "S-001", KIT_WAIT_MS), "%s", kit_screen(&k));
    kit_signal(&k, SIGTERM);
    ck_assert_int_eq(kit_stop(&k, KIT_WAIT_MS), 1);
    read_log(&log);
    ck_assert_int_eq(log.count, stored + 1);
    ck_assert_msg(strstr(log.lines[stored], " resume ") != NULL, "%s", log.lines[stored]);
}

START_TEST(no_acknowledged_event_is_lost_by_a_kill)
{
    static struct log log;
    int resumed = 0, within = 0;
    record_reference();
    srand(20310302);
    for (int n = 0; n < KILLS; n++) {
        const size_t moves = 1 + (size_t)rand() % (TOUR_RETURN_VISIT_COUNT - 1);
        begin_anew();
        tour_drive(&k, TOUR_FIRST_VISIT, moves);
        if (TOUR_FIRST_VISIT[moves].wait_ms > 0)
            clock_advance(TOUR_FIRST_VISIT[moves].wait_ms);
        kit_type(&k, TOUR_FIRST_VISIT[moves].keys); /* and while this one is under way */
        kill_within(rand() % 3000);
        read_log(&log);
        ck_assert_int_ge(log.count, acknowledged[moves - 1]);
        ck_assert_int_le(log.count, reference_count);
        for (int i = 0; i < log.count; i++)
            ck_assert_str_eq(log.lines[i], reference[i]);
        within += log.count > acknowledged[moves - 1];
        if (log.count > 0) {
            check_resumes(log.count);
            resumed++;
        }
    }
    printf("kills: %d, stores sound: %d, acknowledged events missing: 0, sittings taken up again: %d, killed "
           "after the "
           "next event was stored: %d\n",
           KILLS, KILLS, resumed, within);
    ck_assert_int_gt(resumed, KILLS / 2);
}
END_TEST

static void setup(void)
{
    snprintf(folder, sizeof folder, "/tmp/stillarm-kills-XXXXXX");
    ck_assert_ptr_nonnull(mkdtemp(folder));
    snprintf(template_db, sizeof template_db, "%s/furnished.db", folder);
    snprintf(db, sizeof db, "%s/store.db", folder);
    tour_furnish(template_db);
}

static void teardown(void)
{
    run_command("rm -rf %s", folder);
}

int main(void)
{
    Suite *s = suite_create("kills");
    TCase *tc = tcase_create("whole program");
    tcase_set_timeout(tc, 600);
    tcase_add_checked_fixture(tc, setup, teardown);
    tcase_add_test(tc, no_acknowledged_event_is_lost_by_a_kill);
    suite_add_tcase(s, tc);
    SRunner *sr = srunner_create(s);
    srunner_run_all(sr, CK_NORMAL);
    const int failed = srunner_ntests_failed(sr);
    srunner_free(sr);
    return failed != 0;
}
