/* SPDX-License-Identifier: GPL-3.0-or-later */
/** @file list.c  The verb `list`: the sittings, newest first. */
#include <limits.h>
#include <stdio.h>

#include "command/held.h"
#include "command/workplace.h"

struct listing {
    struct store *store;
    long count;
};

static bool print_entry(void *user, const struct queue_entry *q)
{
    struct listing *l = user;
    const struct sitting_head *h = &q->head;
    char readings[32] = "held";
    if (l->count++ == 0)
        printf("%-7s %-16s %-10s %-10s %-20s %-8s %-9s %-8s %s\n", "sitting", "opened", "measurer", "subject", "protocol",
               "state", "readings", "refused", "review");
    if (!held_is(q))
        snprintf(readings, sizeof readings, "%d of %d", (int)h->counted_count, (int)h->reading_count);
    /* the day and the minute say enough in a list; print shows the whole stamp */
    return printf("S-%03d   %.10s %.5s %-10s %-10s %-20s %-8s %-9s %-8d %s\n", (int)h->id, h->opened,
                  h->opened[0] ? h->opened + 11 : "", h->measurer[0] ? h->measurer : "-",
                  subject_word(l->store, h), h->protocol, PHASE_WORDS[h->phase], readings,
                  (int)h->attempt_count, held_word(q->review)) >= 0;
}

int verb_list(const struct command_line *line)
{
    static const struct queue_filter all = { .which = QUEUE_ALL };
    struct workplace w;
    struct err e = { 0 };
    if (workplace_open(&w, line, STORE_READ, WORKPLACE_STORE, &e) != ST_OK)
        return command_fail(&e);
    struct listing l = { .store = w.store };
    enum status status = store_queue(w.store, &all, 0, INT_MAX, print_entry, &l, &e);
    workplace_close(&w);
    if (status != ST_OK)
        return command_fail(&e);
    if (l.count == 0)
        printf("No sittings yet. stillarm sit starts one.\n");
    return EXIT_FINE;
}
