/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The review desk in a store of 1,000 and of 100,000 sittings: a page of each queue, and the first look at a sitting, each on a
 * connection that was just opened. */
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "bench_kit.h"
#include "command/review_load.h"
#include "store/internal.h"
#include "unit/proof_hand.h"

enum { RUNS = 21, PAGE = 301 /* as the desk asks for */ };

static const struct asked {
    const char *name;
    struct queue_filter filter;
} ASKED[] = {
    {"waiting for me", {.which = QUEUE_WAITING, .not_measurer = "eva"}},
    {"returned (none)", {.which = QUEUE_RETURNED}},
    {"signatures owed", {.which = QUEUE_OWED}},
    {"all", {.which = QUEUE_ALL}},
    {"all of one person", {.which = QUEUE_ALL, .measurer = "ana"}},
    {"all of somebody who has none", {.which = QUEUE_ALL, .measurer = "ina"}},
    {"all of one week", {.which = QUEUE_ALL, .from_day = 20300110, .to_day = 20300116}},
    {"all before the first", {.which = QUEUE_ALL, .to_day = 20291231}},
    {"waiting, one person, a week", {.which = QUEUE_WAITING, .measurer = "ana", .from_day = 20300110, .to_day = 20300116}},
    {"all assessments", {.which = QUEUE_ALL, .purpose = "assessment"}},
    {"all stopped (none)", {.which = QUEUE_ALL, .phase = "stopped"}},
};
enum { ASKED_COUNT = ARRAY_LEN(ASKED), TIMELINE = ASKED_COUNT, TIMES = ASKED_COUNT + 1 };

static const char PATHS[2][40] = {"review-1000.db", "review-100000.db"};
static const int SIZES[2] = {1000, 100000};

/* Forty a day; a third waits and a third are assessments, so that both stores fill a page; the newest are owed. */
static const char SPREAD[] =
    "UPDATE sittings SET review = CASE WHEN id > (SELECT max(id) - 60 FROM sittings) THEN 'unsigned' WHEN id % 3 = 0"
    " THEN 'waiting' ELSE 'countersigned' END,"
    " purpose = CASE WHEN id % 3 = 1 THEN 'assessment' WHEN id % 2 THEN 'practice' ELSE 'service' END,"
    " measurer = CASE WHEN id % 5 = 0 THEN 'ben' ELSE 'ana' END,"
    " day = CAST(strftime('%Y%m%d', '2030-01-01', '+' || (id / 40) || ' days') AS INTEGER)";

/* Behind all the others, one with real events to look at. @return its number */
static int64_t make_store(const char *path, int sittings)
{
    static struct desk d;
    struct sitting_head newest;
    full_store(path, sittings);
    memset(&d, 0, sizeof d);
    hand_protocol(&d);
    NEED(store_open(path, STORE_WRITE, &d.st, &hand_err));
    if (store_sitting_get(d.st, sittings + 1, &newest, NULL) != ST_OK) {
        stop_if(sqlite3_exec(d.st->db, SPREAD, NULL, NULL, NULL) != SQLITE_OK, sqlite3_errmsg(d.st->db));
        const int64_t id = play_whole(&d, ANA, NULL, 128);
        stop_if(id != sittings + 1, "the newest sitting has another number");
    }
    desk_close(&d);
    return sittings + 1;
}

static bool take(void *user, const struct queue_entry *q)
{
    (void)q;
    ++*(int *)user;
    return true;
}

static double ask_once(const char *path, const struct queue_filter *filter, int *count)
{
    struct store *st = NULL;
    *count = 0;
    const double from = now_us();
    NEED(store_open(path, STORE_READ, &st, &hand_err));
    NEED(store_queue(st, filter, 0, PAGE, take, count, &hand_err));
    const double took = now_us() - from;
    store_close(st);
    return took;
}

static double look_once(const char *path, int64_t id)
{
    static struct review_sitting r;
    struct store *st = NULL;
    struct ring *ring = NULL;
    const double from = now_us();
    NEED(store_open(path, STORE_READ, &st, &hand_err));
    NEED(review_load(st, &ring, id, &r, &hand_err));
    const double took = now_us() - from;
    stop_if(r.timeline.row_count < 40, "the timeline is too short to be the sitting's");
    ring_free(ring);
    store_close(st);
    return took;
}

int main(void)
{
    static double times[2][TIMES][RUNS];
    int counts[TIMES] = {0};
    double worst_ms = 0, worst_growth = 0, desk_ms[2] = {0, 0};
    int64_t ids[2];
    for (int i = 0; i < 2; i++)
        ids[i] = make_store(PATHS[i], SIZES[i]);
    for (int run = 0; run < RUNS; run++) /* in turns, so that whatever else goes on hits both */
        for (int i = 0; i < 2; i++) {
            for (int k = 0; k < ASKED_COUNT; k++)
                times[i][k][run] = ask_once(PATHS[i], &ASKED[k].filter, &counts[k]);
            times[i][TIMELINE][run] = look_once(PATHS[i], ids[i]);
        }
    printf("review: a page of each queue, and a sitting's timeline (median of %d, ms)\n  %-34s %10s %10s %8s\n", RUNS, "",
           "1,000", "100,000", "growth");
    for (int k = 0; k < TIMES; k++) {
        const double small = percentile(times[0][k], RUNS, 0.5) / 1000, large = percentile(times[1][k], RUNS, 0.5) / 1000;
        printf("  %-34s %10.2f %10.2f %8.2f\n", k == TIMELINE ? "timeline of the newest" : ASKED[k].name, small, large, large / small);
        if (k == 0 || k == TIMELINE) { /* what opening the desk asks for */
            desk_ms[0] += small;
            desk_ms[1] += large;
        }
        worst_ms = large > worst_ms ? large : worst_ms;
        worst_growth = large / small > worst_growth ? large / small : worst_growth;
    }
    printf("  %-34s %10.2f %10.2f %8.2f   (goal: below 50, growth below 2)\n", "waiting for me, and the timeline", desk_ms[0],
           desk_ms[1], desk_ms[1] / desk_ms[0]);
    printf("  %-34s %21.2f %8.2f   (goal: the same)\n", "the slowest, and the largest growth", worst_ms, worst_growth);
    return EXIT_SUCCESS;
}
