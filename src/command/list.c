/* SPDX-License-Identifier: GPL-3.0-or-later */
/** @file list.c  The verb `list`: the sittings, newest first. */
#include <stdio.h>

#include "command/workplace.h"

struct listing {
    struct store *store;
    long count;
};

static bool print_head(void *user, const struct sitting_head *h)
{
    struct listing *l = user;
    char readings[32];
    if (l->count++ == 0)
        printf("%-7s %-16s %-10s %-10s %-20s %-8s %-9s %s\n", "sitting", "opened", "measurer", "subject", "protocol",
               "state", "readings", "refused");
    snprintf(readings, sizeof readings, "%d of %d", (int)h->counted_count, (int)h->reading_count);
    /* the day and the minute say enough in a list; print shows the whole stamp */
    return printf("S-%03d   %.10s %.5s %-10s %-10s %-20s %-8s %-9s %d\n", (int)h->id, h->opened,
                  h->opened[0] ? h->opened + 11 : "", h->measurer[0] ? h->measurer : "-",
                  subject_word(l->store, h), h->protocol, PHASE_WORDS[h->phase], readings,
                  (int)h->attempt_count) >= 0;
}

int verb_list(const struct command_line *line)
{
    struct workplace w;
    struct err e = { 0 };
    if (workplace_open(&w, line, STORE_READ, WORKPLACE_STORE, &e) != ST_OK)
        return command_fail(&e);
    struct listing l = { .store = w.store };
    enum status status = store_sittings(w.store, print_head, &l, &e);
    workplace_close(&w);
    if (status != ST_OK)
        return command_fail(&e);
    if (l.count == 0)
        printf("No sittings yet. stillarm sit starts one.\n");
    return EXIT_FINE;
}
