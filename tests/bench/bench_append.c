/* SPDX-License-Identifier: GPL-3.0-or-later */
/** @file bench_append.c  Durable appends a second through the store, against a bare SQLite loop with the same pragmas
 *  and the same row. Usage: bench_append [FOLDER]; the folder says which disk. */
#include <sqlite3.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <time.h>
#include <unistd.h>

#include "store/store.h"

enum { ROUNDS = 41, PER_ROUND = 100 }; /* short rounds in turns: another program on the disk then hits both loops */

static double now_s(void)
{
    struct timespec t;
    clock_gettime(CLOCK_MONOTONIC, &t);
    return (double)t.tv_sec + (double)t.tv_nsec / 1e9;
}

static void stop_if(int failed, const char *what)
{
    if (failed) {
        fprintf(stderr, "bench_append: %s\n", what);
        exit(1);
    }
}

/** The same event in both loops: as wide as most are. */
static const struct event EVENT = {.t_ms = 300000, .kind = EV_VALUE, .item = "muffling", .value = 124};
static const struct moment MOMENT = {1900000000000, 86400000, "00000000-0000-4000-8000-000000000000"};

static struct store *store;
static struct sitting state;
static int64_t sitting_id;
static int32_t seq;

static void begin_ours(const char *path)
{
    struct err e;
    struct event first = {.kind = EV_PROTOCOL, .item = "bench"};
    state.phase = PHASE_OPEN;
    snprintf(state.protocol, sizeof state.protocol, "bench");
    /* A sitting with readings, since their rows are looked at again with each event. */
    state.reading_count = 2;
    for (int i = 0; i < 2; i++)
        state.readings[i] = (struct reading){.arm = ARM_LEFT, .is_done = 1, .is_entered = 1,
                                             .has_value = {1, 1, 0, 0, 0, 1}, .value_mmhg = {160, 130, 0, 0, 0, 80}};
    stop_if(store_open(path, STORE_WRITE, &store, &e) != ST_OK, "the store does not open");
    stop_if(store_sitting_begin(store, "bench", &first, &state, &MOMENT, &sitting_id, &e) != ST_OK, e.text);
    seq = 1;
}

static double round_ours(void)
{
    struct err e;
    double from = now_s();
    for (int i = 0; i < PER_ROUND; i++) {
        seq++;
        stop_if(store_append(store, sitting_id, seq, &EVENT, &state, &MOMENT, &e) != ST_OK, e.text);
    }
    return PER_ROUND / (now_s() - from);
}

static sqlite3 *bare;
static sqlite3_stmt *insert;

static void begin_bare(const char *path)
{
    static const char SETUP[] =
        "PRAGMA journal_mode = WAL; PRAGMA synchronous = FULL; PRAGMA foreign_keys = ON;"
        "PRAGMA recursive_triggers = ON; PRAGMA trusted_schema = OFF; PRAGMA secure_delete = ON;"
        "PRAGMA cache_size = -1024;"
        "CREATE TABLE events (sitting INTEGER, seq INTEGER, t_ms INTEGER, kind TEXT, item TEXT, value INTEGER,"
        " value2 INTEGER, text TEXT, PRIMARY KEY (sitting, seq)) STRICT, WITHOUT ROWID;";
    stop_if(sqlite3_open(path, &bare) != SQLITE_OK, "the bare database does not open");
    stop_if(sqlite3_exec(bare, SETUP, NULL, NULL, NULL) != SQLITE_OK, "the bare database is not set up");
    stop_if(sqlite3_prepare_v2(bare, "INSERT INTO events VALUES (1, ?1, ?2, 'value', ?3, ?4, NULL, NULL)", -1, &insert,
                               NULL) != SQLITE_OK,
            "the bare insert is not prepared");
}

static double round_bare(void)
{
    static int n;
    double from = now_s();
    for (int i = 0; i < PER_ROUND; i++) {
        sqlite3_bind_int(insert, 1, ++n);
        sqlite3_bind_int64(insert, 2, EVENT.t_ms);
        sqlite3_bind_text(insert, 3, EVENT.item, -1, SQLITE_STATIC);
        sqlite3_bind_int64(insert, 4, EVENT.value);
        stop_if(sqlite3_step(insert) != SQLITE_DONE, "the bare insert fails");
        sqlite3_reset(insert);
    }
    return PER_ROUND / (now_s() - from);
}

static int by_size(const void *a, const void *b)
{
    double x = *(const double *)a, y = *(const double *)b;
    return (x > y) - (x < y);
}

static double median(double *v)
{
    qsort(v, ROUNDS, sizeof *v, by_size);
    return v[ROUNDS / 2];
}

static void drop(const char *path)
{
    static const char *const SUFFIXES[] = {"", "-wal", "-shm"};
    char name[600];
    for (size_t i = 0; i < ARRAY_LEN(SUFFIXES); i++) {
        snprintf(name, sizeof name, "%s%s", path, SUFFIXES[i]);
        (void)unlink(name);
    }
}

int main(int argc, char **argv)
{
    char ours_path[512], bare_path[512];
    double ours[ROUNDS], bares[ROUNDS], ratio[ROUNDS];
    const char *folder = argc > 1 ? argv[1] : ".";
    snprintf(ours_path, sizeof ours_path, "%s/bench-ours-%ld.db", folder, (long)getpid());
    snprintf(bare_path, sizeof bare_path, "%s/bench-bare-%ld.db", folder, (long)getpid());
    begin_ours(ours_path);
    begin_bare(bare_path);
    round_ours(); /* warm */
    round_bare();
    for (int i = 0; i < ROUNDS; i++) {
        bares[i] = round_bare();
        ours[i] = round_ours();
        ratio[i] = ours[i] / bares[i];
    }
    printf("append ratio %.2f (ours %.0f/s, bare %.0f/s)\n", median(ratio), median(ours), median(bares));
    store_close(store);
    sqlite3_finalize(insert);
    sqlite3_close(bare);
    drop(ours_path);
    drop(bare_path);
    return 0;
}
