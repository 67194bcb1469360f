/* SPDX-License-Identifier: GPL-3.0-or-later */
/** @file verify.c  The verb `verify`: every sitting replayed and compared with what is stored of it. */
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

#include "command/session.h"
#include "command/workplace.h"

struct ids {
    int64_t *list;
    size_t count, cap;
    bool is_out_of_memory;
};

/* Collected first: the store answers one question at a time better than nested ones. */
static bool collect(void *user, const struct sitting_head *h)
{
    struct ids *ids = user;
    if (ids->count == ids->cap) {
        size_t cap = ids->cap ? 2 * ids->cap : 256;
        int64_t *list = realloc(ids->list, cap * sizeof *list);
        if (!list) {
            ids->is_out_of_memory = true;
            return false;
        }
        ids->list = list;
        ids->cap = cap;
    }
    ids->list[ids->count++] = h->id;
    return true;
}

struct comparison {
    const struct session *x;
    int found, differ;
};

static bool compare_reading(void *user, const struct stored_reading *r)
{
    struct comparison *c = user;
    char line[sizeof r->line];
    int index = (int)r->n - 1;
    c->found++;
    if (index < 0 || index >= c->x->sitting.reading_count) {
        printf("S-%03d: the store holds reading %d, the log has none\n", (int)c->x->id, (int)r->n);
        c->differ++;
        return true;
    }
    store_reading_line(&c->x->sitting, index, line, sizeof line);
    if (strcmp(line, r->line) != 0) {
        printf("S-%03d: reading %d is stored as `%s`, the log gives `%s`\n", (int)c->x->id, (int)r->n, r->line, line);
        c->differ++;
    }
    return true;
}

/* One that is still being taken has no row yet. */
static int finished_readings(const struct sitting *s)
{
    int n = 0;
    for (int i = 0; i < s->reading_count; i++)
        n += s->readings[i].is_done != 0;
    return n;
}

static int compare_word(int64_t id, const char *what, const char *stored, const char *logged)
{
    if (strcmp(stored, logged) == 0)
        return 0;
    printf("S-%03d: %s is stored as `%s`, the log gives `%s`\n", (int)id, what, stored, logged);
    return 1;
}

static int compare_head(const struct session *x, const struct sitting_head *h)
{
    int differ = 0;
    if ((int32_t)h->phase != x->sitting.phase) {
        printf("S-%03d: stored as %s, the log gives %s\n", (int)x->id, PHASE_WORDS[h->phase],
               PHASE_WORDS[x->sitting.phase]);
        differ++;
    }
    if (h->event_count != x->seq) {
        printf("S-%03d: the store counts %d events, the log has %d\n", (int)x->id, (int)h->event_count, (int)x->seq);
        differ++;
    }
    if (h->day != x->sitting.date) {
        printf("S-%03d: the day is stored as %08d, the log gives %08d\n", (int)x->id, (int)h->day, (int)x->sitting.date);
        differ++;
    }
    differ += compare_word(x->id, "the measurer", h->measurer, x->sitting.measurer);
    return differ + compare_word(x->id, "the protocol", h->protocol, x->sitting.protocol);
}

/* The protocol that the last sitting was judged by: most are judged by the same, and parsing it takes longest of all. */
struct judged_by {
    char *text;
    struct protocol protocol;
};

static enum status find_protocol(struct workplace *w, int64_t id, struct judged_by *j, struct err *e)
{
    char *text = NULL;
    enum status status = store_protocol_text(w->store, id, &text, e);
    if (status == ST_OK && j->text && strcmp(j->text, text) == 0) {
        free(text);
        return ST_OK;
    }
    free(j->text);
    j->text = NULL;
    if (status == ST_OK)
        status = protocol_parse("the protocol kept with the sitting", text, &j->protocol, NULL, NULL, e);
    if (status == ST_OK)
        j->text = text;
    else
        free(text);
    return status;
}

/* @return how many things differ */
static int verify_sitting(struct workplace *w, int64_t id, struct judged_by *j)
{
    static struct session x; /* large, and one at a time */
    struct err e = { 0 };
    struct sitting_head head;
    enum status status = store_sitting_get(w->store, id, &head, &e);
    if (status == ST_OK)
        status = find_protocol(w, id, j, &e);
    if (status == ST_OK)
        status = session_load_under(&x, w->store, &j->protocol, id, &e);
    if (status != ST_OK) {
        printf("S-%03d: %s\n", (int)id, e.text);
        return 1;
    }
    int differ = compare_head(&x, &head);
    struct comparison c = { .x = &x };
    if (store_readings(w->store, id, compare_reading, &c, &e) != ST_OK) {
        printf("S-%03d: %s\n", (int)id, e.text);
        return differ + 1;
    }
    int finished = finished_readings(&x.sitting);
    if (c.found < finished) {
        printf("S-%03d: the log has %d readings, the store holds %d\n", (int)id, finished, c.found);
        differ++;
    }
    return differ + c.differ;
}

static int verify_all(struct workplace *w, const struct ids *ids)
{
    bool shows_progress = isatty(STDERR_FILENO) == 1;
    struct judged_by judged_by = { .text = NULL };
    int differ = 0;
    size_t with_difference = 0;
    for (size_t i = ids->count; i-- > 0;) { /* oldest first: they come newest first */
        int n = verify_sitting(w, ids->list[i], &judged_by);
        differ += n;
        with_difference += n > 0;
        size_t done = ids->count - i;
        if (shows_progress && (done % 100 == 0 || i == 0))
            fprintf(stderr, "\r%zu of %zu sittings", done, ids->count);
    }
    free(judged_by.text);
    if (shows_progress && ids->count)
        fprintf(stderr, "\r%40s\r", "");
    if (differ)
        printf("%zu sitting%s replayed: %zu not as stored, in %d place%s.\n", ids->count, ids->count == 1 ? "" : "s",
               with_difference, differ, differ == 1 ? "" : "s");
    else
        printf("%zu sitting%s replayed: every state and reading is as stored.\n", ids->count,
               ids->count == 1 ? "" : "s");
    return differ;
}

int verb_verify(const struct command_line *line)
{
    struct workplace w;
    struct err e = { 0 };
    struct ids ids = { 0 };
    int differ = 0;
    if (workplace_open(&w, line, STORE_READ, WORKPLACE_STORE, &e) != ST_OK)
        return command_fail(&e);
    enum status status = store_check(w.store, &e);
    if (status == ST_CORRUPT) {
        printf("%s\n", e.text);
        differ++;
        status = ST_OK; /* go on: what can be read is compared all the same */
    }
    if (status == ST_OK)
        status = store_sittings(w.store, collect, &ids, &e);
    if (status == ST_OK && ids.is_out_of_memory)
        status = err_set(&e, ST_NO_MEMORY, "There is not enough memory to list the sittings.");
    if (status == ST_OK)
        differ += verify_all(&w, &ids);
    free(ids.list);
    workplace_close(&w);
    if (status != ST_OK)
        return command_fail(&e);
    return differ ? EXIT_UNFINISHED : EXIT_FINE;
}
