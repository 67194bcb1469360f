/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Verifying a whole store, against the hashing and the signature checks that it cannot do without: the same events, refused
 * attempts and statements, read beforehand, hashed and checked and nothing else. */
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <time.h>
#include <unistd.h>

#include "bench_kit.h"
#include "store/internal.h"
#include "unit/proof_hand.h"

#define SITTINGS 2000
#define RUNS 5

struct line { size_t at, len; int64_t sitting, unix_ms, boot_ms; };
struct said { struct kept_statement kept; unsigned char public_key[TRUST_PUBLIC_BYTES]; };
struct all {
    char *text;
    size_t text_len, text_cap;
    struct line *lines;
    size_t line_count, line_cap;
    struct kept_attempt *attempts;
    size_t attempt_count, attempt_cap;
    struct said *said;
    size_t said_count, said_cap;
    struct ring *ring;
    char store[STORE_ID_CAP];
};
static struct all all;

static void *room(void *list, size_t count, size_t *cap, size_t size)
{
    if (count < *cap)
        return list;
    *cap = *cap ? 2 * *cap : 1024;
    list = realloc(list, *cap * size);
    stop_if(list == NULL, "memory");
    return list;
}

static bool take_event(void *user, const struct kept_event *k)
{
    char line[EVENT_LINE_CAP];
    const size_t len = event_print(&k->event, line);
    (void)user;
    all.lines = room(all.lines, all.line_count, &all.line_cap, sizeof *all.lines);
    while (all.text_len + len > all.text_cap) {
        all.text_cap = all.text_cap ? 2 * all.text_cap : 1 << 20;
        all.text = realloc(all.text, all.text_cap);
        stop_if(all.text == NULL, "memory");
    }
    memcpy(all.text + all.text_len, line, len);
    all.lines[all.line_count++] = (struct line){all.text_len, len, k->sitting, k->unix_ms, k->boot_ms};
    all.text_len += len;
    return true;
}

static bool take_attempt(void *user, const struct kept_attempt *a)
{
    (void)user;
    all.attempts = room(all.attempts, all.attempt_count, &all.attempt_cap, sizeof *all.attempts);
    all.attempts[all.attempt_count++] = *a;
    return true;
}

static bool take_statement(void *user, const struct kept_statement *k)
{
    static struct statement s;
    (void)user;
    all.said = room(all.said, all.said_count, &all.said_cap, sizeof *all.said);
    struct said *out = &all.said[all.said_count++];
    out->kept = *k;
    NEED(statement_parse(k->text, k->len, &s, &hand_err));
    const struct ring_key *key = ring_find(all.ring, s.key);
    stop_if(key == NULL, "a key is not known");
    memcpy(out->public_key, key->public_key, sizeof out->public_key);
    return true;
}

static void read_all(struct store *st)
{
    NEED(store_id(st, all.store, &hand_err));
    NEED(store_ring(st, &all.ring, &hand_err));
    NEED(store_kept_events(st, 0, take_event, NULL, &hand_err));
    NEED(store_kept_attempts(st, 0, take_attempt, NULL, &hand_err));
    NEED(store_statements(st, 0, take_statement, NULL, &hand_err));
}

/* Returns a byte of what it made, so that none of it can be left out. */
static int hash_alone(void)
{
    struct chain c = {.hash = {0}};
    char hex[HASH_HEX_CAP];
    int sum = 0;
    for (size_t i = 0; i < all.line_count; i++) {
        const struct line *l = &all.lines[i];
        if (i == 0 || all.lines[i - 1].sitting != l->sitting)
            chain_begin(&c, all.store, l->sitting);
        chain_event(&c, all.text + l->at, l->len, l->unix_ms, l->boot_ms);
        sum += c.hash[0];
    }
    for (size_t i = 0; i < all.attempt_count; i++) {
        const struct kept_attempt *k = &all.attempts[i];
        const struct chain_attempt a = {.n = k->n, .after_seq = k->after_seq, .t_ms = k->t_ms, .unix_ms = k->unix_ms,
                                        .is_slip = k->is_slip, .rule = k->rule, .have = k->have, .need = k->need, .line = k->line};
        if (i == 0 || all.attempts[i - 1].sitting != k->sitting)
            chain_attempts_begin(&c, all.store, k->sitting);
        chain_attempt(&c, &a);
        sum += c.hash[0];
    }
    for (size_t i = 0; i < all.said_count; i++) {
        const struct said *s = &all.said[i];
        stop_if(!trust_signed_by(s->public_key, s->kept.text, s->kept.len, s->kept.signature), "a signature is wrong");
        statement_hash(s->kept.text, s->kept.len, s->kept.signature, hex);
        sum += hex[0];
    }
    return sum;
}

/* Of this thread alone: on a machine that is busy with other things the wall clock tells of those, too. */
static double worked_us(void)
{
    struct timespec t;
    clock_gettime(CLOCK_THREAD_CPUTIME_ID, &t);
    return (double)t.tv_sec * 1e6 + (double)t.tv_nsec / 1e3;
}

static void make_store(const char *path)
{
    static struct desk d;
    if (access(path, F_OK) == 0)
        return;
    char building[600];
    snprintf(building, sizeof building, "%s.%ld", path, (long)getpid());
    desk_open(&d, building);
    sqlite3_exec(d.st->db, "PRAGMA synchronous = OFF", NULL, NULL, NULL); /* how long this takes is not what is asked */
    for (int i = 0; i < SITTINGS; i++) {
        const int64_t id = play_whole(&d, i % 2 ? ANA : BEN, d.by[i % 2 ? ANA : BEN], 120 + 2 * (i % 9));
        if (i % 2)
            hand_act(&d, EVA, (struct act){.kind = SAYS_COUNTERSIGN, .sitting = id, .word = "reviewed", .open_ms = 20000});
    }
    desk_close(&d);
    stop_if(rename(building, path) != 0, "the store cannot be put in its place");
}

int main(void)
{
    static const char PATH[] = "verify.db";
    struct store *st = NULL;
    struct proof_watch watch = {.beside = NULL};
    struct proof p;
    double alone[RUNS], whole[RUNS], file[RUNS], alone_work[RUNS], whole_work[RUNS];
    int sum = 0;
    NEED(trust_init(&hand_err));
    make_store(PATH);
    NEED(store_open(PATH, STORE_READ, &st, &hand_err));
    NEED(store_open(PATH, STORE_READ, &watch.beside, &hand_err)); /* as the verb does */
    read_all(st);
    for (int i = 0; i < RUNS; i++) {
        const double from = now_us(), from_work = worked_us();
        sum += hash_alone();
        const double then = now_us(), then_work = worked_us();
        NEED(proof_store(st, &watch, &p, &hand_err));
        const double end = now_us(), end_work = worked_us();
        alone_work[i] = then_work - from_work;
        whole_work[i] = end_work - then_work;
        stop_if(p.wrong != 0, p.first);
        alone[i] = then - from;
        whole[i] = end - then;
        NEED(store_check_beside(st, &hand_err));
        file[i] = now_us() - end;
    }
    store_close(watch.beside);
    store_close(st);
    const double a = percentile(alone, RUNS, 0.5), w = percentile(whole, RUNS, 0.5), f = percentile(file, RUNS, 0.5);
    printf("verify of %d sittings, %zu events, %zu statements (median of %d)%s\n", SITTINGS, all.line_count, all.said_count, RUNS,
           sum ? "" : ".");
    printf("  %-52s %9.0f\n", "sittings a second", SITTINGS / (w / 1e6));
    printf("  %-52s %9.0f\n", "the file's own check, which goes on beside, us a sitting", f / SITTINGS);
    printf("  %-52s %9.0f\n", "verify, us a sitting", w / SITTINGS);
    printf("  %-52s %9.0f\n", "hashing and signatures alone, us a sitting", a / SITTINGS);
    printf("  %-52s %9.2f   (goal: 0.5 or more)\n", "hashing and signatures alone : verify", a / w);
    printf("  %-52s %9.2f   (on one busy processor)\n", "the same in processor time of the thread that verifies",
           percentile(alone_work, RUNS, 0.5) / percentile(whole_work, RUNS, 0.5));
    return EXIT_SUCCESS;
}
