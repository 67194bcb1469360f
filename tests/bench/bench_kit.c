/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "bench_kit.h"

#include <sqlite3.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <time.h>
#include <unistd.h>

#include "sitting_tour.h"
#include "store/store.h"

double now_us(void)
{
    struct timespec t;

    clock_gettime(CLOCK_MONOTONIC, &t);
    return (double)t.tv_sec * 1e6 + (double)t.tv_nsec / 1e3;
}

static int compare(const void *a, const void *b)
{
    const double x = *(const double *)a, y = *(const double *)b;

    return (x > y) - (x < y);
}

double percentile(double *values, int count, double share)
{
    int at = (int)(share * count);

    qsort(values, (size_t)count, sizeof *values, compare);
    return values[at >= count ? count - 1 : at];
}

void stop_if(int failed, const char *what)
{
    if (failed) {
        fprintf(stderr, "bench: %s\n", what);
        exit(1);
    }
}

/* Rows as the store writes them, without its triggers: they hold each event against its sitting and would
 * take minutes. They fill the queues of the review, but nobody has signed them: none of them can be verified. */
static const char FILL[] =
    "INSERT INTO protocol_texts (hash, text) VALUES (printf('%064d', 0), 'bench');"
    "WITH RECURSIVE n(i) AS (SELECT 1 UNION ALL SELECT i + 1 FROM n WHERE i < :count)"
    "INSERT INTO sittings (id, protocol_text, phase, protocol, measurer, subject, salt, opened, day, "
    "event_count,"
    " reading_count, counted_count, attempt_count, last_ms, last_unix_ms, last_boot_ms, boot, touch, review, purpose)"
    " SELECT i, printf('%064d', 0), 'sealed', 'us-adult', 'ana', printf('x-%05d', i % 20000), zeroblob(16),"
    " '2030-01-02T09:00:00+00:00', 20300101 + i % 28, 10, 2, 2, 0, 900000, 1893456000000 + i, 1000, 'bench', "
    "i,"
    " CASE WHEN i % 3 = 0 THEN 'waiting' WHEN i % 100 = 1 THEN 'returned' ELSE 'countersigned' END, 'practice' FROM n;"
    "WITH RECURSIVE n(i) AS (SELECT 1 UNION ALL SELECT i + 1 FROM n WHERE i < :count),"
    " k(seq) AS (SELECT 1 UNION ALL SELECT seq + 1 FROM k WHERE seq < 10)"
    "INSERT INTO events (sitting, seq, t_ms, kind, item, value, unix_ms, boot_ms, chain)"
    " SELECT i, seq, seq * 60000, 'value', 'first', 120 + seq, 1893456000000 + i, seq * 60000, zeroblob(32) FROM n, k;"
    "WITH RECURSIVE n(i) AS (SELECT 1 UNION ALL SELECT i + 1 FROM n WHERE i < :count)"
    "INSERT INTO readings (sitting, n, arm, target_mmhg, first_mmhg, last_mmhg, inflate_ms, is_counted, "
    "reasons, remarks)"
    " SELECT i, r, 'left', 160, 126, 78, r * 100000, 1, '-', '-' FROM n, (SELECT 1 AS r UNION SELECT 2);";

static void run_sql(sqlite3 *db, const char *sql, int count)
{
    sqlite3_stmt *s = NULL;

    while (*sql != '\0') {
        stop_if(sqlite3_prepare_v2(db, sql, -1, &s, &sql) != SQLITE_OK, sqlite3_errmsg(db));
        if (sqlite3_bind_parameter_index(s, ":count") > 0)
            sqlite3_bind_int(s, sqlite3_bind_parameter_index(s, ":count"), count);
        stop_if(s != NULL && sqlite3_step(s) != SQLITE_DONE, sqlite3_errmsg(db));
        sqlite3_finalize(s);
    }
}

static int add_text(void *user, int columns, char **values, char **names)
{
    char *all = user;

    (void)columns;
    (void)names;
    strcat(strcat(all, values[0]), ";");
    return 0;
}

static void fill(const char *path, int count)
{
    static char triggers[65536], drops[8192];
    sqlite3 *db = NULL;

    triggers[0] = drops[0] = '\0';
    stop_if(sqlite3_open(path, &db) != SQLITE_OK, "the full store does not open");
    sqlite3_exec(db, "SELECT sql FROM sqlite_master WHERE type = 'trigger'", add_text, triggers, NULL);
    sqlite3_exec(db, "SELECT 'DROP TRIGGER ' || name FROM sqlite_master WHERE type = 'trigger'", add_text,
                 drops, NULL);
    stop_if(sqlite3_exec(db, "PRAGMA synchronous = OFF; BEGIN", NULL, NULL, NULL) != SQLITE_OK,
            sqlite3_errmsg(db));
    stop_if(sqlite3_exec(db, drops, NULL, NULL, NULL) != SQLITE_OK, sqlite3_errmsg(db));
    run_sql(db, FILL, count);
    stop_if(sqlite3_exec(db, triggers, NULL, NULL, NULL) != SQLITE_OK, sqlite3_errmsg(db));
    stop_if(sqlite3_exec(db, "COMMIT; PRAGMA wal_checkpoint(TRUNCATE)", NULL, NULL, NULL) != SQLITE_OK,
            sqlite3_errmsg(db));
    sqlite3_close(db);
}

/* What a booth has; tour_furnish() would do, but it reports to Check, which is not here. */
static void furnish(const char *path)
{
    static const char *const SETTINGS[][2] = {
        {"measurer", "ana"}, {"place", "booth 2"}, {"protocol", "us-adult"}, {"gauge", "g1"}};
    const struct person ana = {.id = "ana", .name = "Ana Vey", .role = ROLE_TECHNICIAN};
    const struct gauge dial = {.id = "g1", .name = "wall dial", .top_mmhg = 300, .due = 29991231};
    const struct stored_cuff adult = {.id = "adult", .name = "adult", .low_mm = 254, .high_mm = 406};
    const struct stored_cuff small = {.id = "small", .name = "small adult", .low_mm = 200, .high_mm = 260};
    struct store *st = NULL;
    struct err e = {.text = ""};

    stop_if(store_open(path, STORE_WRITE, &st, &e) != ST_OK, e.text);
    stop_if(store_person_add(st, &ana, &e) != ST_OK, e.text);
    stop_if(store_gauge_add(st, &dial, &e) != ST_OK, e.text);
    stop_if(store_cuff_add(st, &adult, &e) != ST_OK || store_cuff_add(st, &small, &e) != ST_OK, e.text);
    for (size_t i = 0; i < ARRAY_LEN(SETTINGS); i++)
        stop_if(store_setting_set(st, SETTINGS[i][0], SETTINGS[i][1], &e) != ST_OK, e.text);
    store_close(st);
}

void full_store(const char *path, int sittings)
{
    char building[600];

    if (access(path, F_OK) == 0)
        return;
    snprintf(building, sizeof building, "%s.%ld", path, (long)getpid());
    furnish(building);
    fill(building, sittings);
    stop_if(rename(building, path) != 0, "the full store cannot be put in its place");
}

void start_program(struct kit *k, const char *store, const char *verb)
{
    const char *const argv[] = {TEST_PROGRAM, "--db", store, verb, NULL};

    stop_if(!kit_start(k, &(struct kit_options){.argv = argv}), "the program does not start");
}

void drive_to_rest(struct kit *k)
{
    for (size_t i = 0; i < TOUR_FIRST_VISIT_COUNT; i++) {
        const struct tour_move *move = &TOUR_FIRST_VISIT[i];

        usleep((useconds_t)move->wait_ms * 1000);
        if (!kit_wait(k, move->see, KIT_WAIT_MS)) {
            fprintf(stderr, "bench: '%s' did not come:\n%s", move->see, kit_screen(k));
            exit(1);
        }
        kit_type(k, move->keys);
        if (strstr(move->see, "the rest begins") != NULL)
            break;
    }
    kit_settle(k, 100);
}

long process_status(const struct kit *k, const char *name)
{
    char path[64], line[256];
    long value = -1;
    FILE *f;

    snprintf(path, sizeof path, "/proc/%ld/status", (long)k->pid);
    f = fopen(path, "r");
    if (f == NULL)
        return -1;
    while (fgets(line, sizeof line, f) != NULL)
        if (strncmp(line, name, strlen(name)) == 0)
            value = strtol(line + strlen(name), NULL, 10);
    fclose(f);
    return value;
}
