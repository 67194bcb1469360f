/* SPDX-License-Identifier: GPL-3.0-or-later */
/** @file store_hand.h  What the tests of the store share: a folder of their own, states and events by hand, raw SQL. */
#ifndef TESTS_STORE_HAND_H
#define TESTS_STORE_HAND_H

#include <check.h>
#include <ftw.h>
#include <sqlite3.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <sys/wait.h>
#include <unistd.h>

#include "store/store.h"

/* Static inline, so that a program that needs only some of them compiles without a word. */
static char hand_folder[300];
static char hand_path[340];

static const struct moment HAND_MOMENT = {1900000000000, 86400000, "0a1b2c3d-0000-4000-8000-00000000000a"};

static inline int hand_remove_one(const char *path, const struct stat *s, int type, struct FTW *f)
{
    (void)s, (void)type, (void)f;
    return remove(path);
}

static inline void hand_setup(void)
{
    /* In memory where that can be: a kill leaves the same behind there, and a slow or busy disk delays no test. */
    const char *tmp = getenv("TMPDIR");
    if (!tmp)
        tmp = access("/dev/shm", W_OK) == 0 ? "/dev/shm" : "/tmp";
    snprintf(hand_folder, sizeof hand_folder, "%s/stillarm-XXXXXX", tmp);
    ck_assert_ptr_nonnull(mkdtemp(hand_folder));
    snprintf(hand_path, sizeof hand_path, "%s/store.db", hand_folder);
}

static inline void hand_teardown(void)
{
    nftw(hand_folder, hand_remove_one, 16, FTW_DEPTH | FTW_PHYS);
}

/** Assert ST_OK, else fail with the sentence. */
#define OK(call)                                                                                                      \
    do {                                                                                                              \
        enum status ok_status = (call);                                                                               \
        ck_assert_msg(ok_status == ST_OK, "%s: status %d: %s", #call, (int)ok_status, e.text);                        \
    } while (0)

static inline struct store *hand_open(enum store_mode mode)
{
    struct err e = {.text = ""};
    struct store *st = NULL;
    OK(store_open(hand_path, mode, &st, &e));
    return st;
}

static inline struct event hand_event(const char *line)
{
    struct event ev;
    struct syntax_error why = {.text = ""};
    ck_assert_msg(event_parse(line, strlen(line), &ev, &why) == PARSED_EVENT, "%s: %s", line, why.text);
    return ev;
}

/** The state of a sitting that has just named its protocol. */
static inline struct sitting hand_state(void)
{
    struct sitting s;
    sitting_init(&s);
    s.phase = PHASE_OPEN;
    snprintf(s.protocol, sizeof s.protocol, "us-adult");
    return s;
}

static inline int64_t hand_begin(struct store *st, const struct sitting *s)
{
    struct err e = {.text = ""};
    struct event first = hand_event("0.000 protocol us-adult");
    int64_t id = 0;
    OK(store_sitting_begin(st, "[protocol]\nid = us-adult\n", &first, s, &HAND_MOMENT, &id, &e));
    return id;
}

/** Append a line as the next event; the state's time and closing follow from it. */
static inline enum status hand_append(struct store *st, int64_t id, int32_t seq, const char *line, struct sitting *s,
                                      struct err *e)
{
    struct event ev = hand_event(line);
    s->now_ms = ev.t_ms;
    if (ev.kind == EV_SEAL || ev.kind == EV_STOP)
        s->phase = ev.kind == EV_SEAL ? PHASE_SEALED : PHASE_STOPPED;
    if (ev.kind == EV_MEASURER)
        snprintf(s->measurer, sizeof s->measurer, "%s", ev.item);
    return store_append(st, id, seq, &ev, s, &HAND_MOMENT, e);
}

/** A counted reading at the end of s. */
static inline struct reading *hand_reading(struct sitting *s, enum arm arm, int first, int last)
{
    struct reading *r = &s->readings[s->reading_count++];
    *r = (struct reading){.arm = (int32_t)arm, .is_empty = 1, .is_done = 1, .is_entered = 1, .inflate_ms = 1000, .empty_ms = 50000};
    const int mmhg[POINT_COUNT] = {[POINT_TARGET] = first + 30, [POINT_FIRST] = first, [POINT_LAST] = last};
    const int has[POINT_COUNT] = {[POINT_TARGET] = 1, [POINT_FIRST] = 1, [POINT_LAST] = 1};
    for (int i = 0; i < POINT_COUNT; i++) {
        r->value_mmhg[i] = mmhg[i];
        r->has_value[i] = has[i];
    }
    return r;
}

/** Run SQL on the file beside the store's own connections, as somebody with another tool could. Returns SQLite's code. */
static inline int hand_sql(const char *sql)
{
    sqlite3 *db = NULL;
    ck_assert_int_eq(sqlite3_open_v2(hand_path, &db, SQLITE_OPEN_READWRITE, NULL), SQLITE_OK);
    int rc = sqlite3_exec(db, sql, NULL, NULL, NULL);
    sqlite3_close(db);
    return rc;
}

/** Make the file from what an older version left, the tables as it made them: two sittings of 119 events; in version 2 a
 *  third one, which is open, with 5. */
static inline void hand_put_version(int version)
{
    static char sql[100000];
    char path[300];
    snprintf(path, sizeof path, "%s/tests/unit/store_version_%d.sql", TEST_SOURCE_DIR, version);
    FILE *f = fopen(path, "rb");
    ck_assert_ptr_nonnull(f);
    size_t n = fread(sql, 1, sizeof sql - 1, f);
    fclose(f);
    ck_assert_uint_lt(n, sizeof sql - 1);
    sql[n] = '\0';
    f = fopen(hand_path, "wb"); /* SQLite takes an empty file for a new database */
    ck_assert_ptr_nonnull(f);
    fclose(f);
    ck_assert_int_eq(hand_sql(sql), SQLITE_OK);
}

/** As hand_sql, for a store that must be spoiled: without triggers, CHECKs and references. */
static inline void hand_spoil(const char *sql)
{
    sqlite3 *db = NULL;
    char *why = NULL;
    ck_assert_int_eq(sqlite3_open_v2(hand_path, &db, SQLITE_OPEN_READWRITE, NULL), SQLITE_OK);
    ck_assert_int_eq(sqlite3_db_config(db, SQLITE_DBCONFIG_ENABLE_TRIGGER, 0, NULL), SQLITE_OK);
    ck_assert_int_eq(sqlite3_exec(db, "PRAGMA ignore_check_constraints = ON; PRAGMA foreign_keys = OFF", NULL, NULL, NULL),
                     SQLITE_OK);
    ck_assert_msg(sqlite3_exec(db, sql, NULL, NULL, &why) == SQLITE_OK, "%s", why ? why : "");
    sqlite3_close(db);
}

static inline int64_t hand_number(const char *sql)
{
    sqlite3 *db = NULL;
    sqlite3_stmt *s = NULL;
    ck_assert_int_eq(sqlite3_open_v2(hand_path, &db, SQLITE_OPEN_READONLY, NULL), SQLITE_OK);
    ck_assert_int_eq(sqlite3_prepare_v2(db, sql, -1, &s, NULL), SQLITE_OK);
    ck_assert_int_eq(sqlite3_step(s), SQLITE_ROW);
    int64_t n = sqlite3_column_int64(s, 0);
    sqlite3_finalize(s);
    sqlite3_close(db);
    return n;
}

/** Is text among the bytes of the file at path? */
static inline bool hand_file_holds(const char *path, const char *text)
{
    FILE *f = fopen(path, "rb");
    if (!f)
        return false;
    size_t at = 0, len = strlen(text);
    bool holds = false;
    for (int c = fgetc(f); c != EOF && !holds; c = fgetc(f)) {
        at = c == text[at] ? at + 1 : (c == text[0] ? 1 : 0);
        holds = at == len;
    }
    fclose(f);
    return holds;
}

static inline unsigned hand_mode(const char *path)
{
    struct stat s;
    ck_assert_msg(stat(path, &s) == 0, "%s is not there", path);
    return s.st_mode & 0777;
}

/** Wait for a child of ours and return its exit status; -1 when it did not exit by itself. */
static inline int hand_wait(pid_t pid)
{
    int status = 0;
    ck_assert_int_eq(waitpid(pid, &status, 0), pid);
    return WIFEXITED(status) ? WEXITSTATUS(status) : -1;
}

/** Run one suite as a program. */
static inline int hand_run(Suite *suite)
{
    SRunner *runner = srunner_create(suite);
    srunner_run_all(runner, CK_ENV);
    int failed = srunner_ntests_failed(runner);
    srunner_free(runner);
    return failed != 0;
}

static inline TCase *hand_case(Suite *suite, const char *name)
{
    TCase *c = tcase_create(name);
    tcase_add_checked_fixture(c, hand_setup, hand_teardown);
    tcase_set_timeout(c, 60);
    suite_add_tcase(suite, c);
    return c;
}

#endif
