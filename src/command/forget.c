/* SPDX-License-Identifier: GPL-3.0-or-later */
/** @file forget.c  The verb `forget`: takes a subject's code out of the store. */
#include <stdio.h>
#include <string.h>

#include "command/workplace.h"
#include "stillarm/text.h"

struct search { const char *code; int found; };

static bool count_if_named(void *user, const struct sitting_head *h)
{
    struct search *s = user;
    s->found += strcmp(h->subject, s->code) == 0;
    return true;
}

static const char *sittings_word(int n)
{
    return n == 1 ? "sitting" : "sittings";
}

/* A line of standard input that is longer than any code is none. */
static bool is_typed_again(const char *code)
{
    char typed[ITEM_CAP + 2];
    printf("Type the code again to be sure: ");
    fflush(stdout);
    if (!fgets(typed, sizeof typed, stdin))
        return false;
    typed[strcspn(typed, "\r\n")] = '\0';
    return strcmp(typed, code) == 0;
}

/* Looks without writing, so that a store that is not there is not made. */
static enum status find(const struct command_line *line, struct search *s, struct err *e)
{
    struct workplace w;
    enum status status = workplace_open(&w, line, STORE_READ, WORKPLACE_STORE, e);
    if (status != ST_OK)
        return status;
    status = store_sittings(w.store, count_if_named, s, e);
    workplace_close(&w);
    if (status == ST_OK && s->found == 0)
        return err_set(e, ST_NOT_FOUND, "No sitting here has the code %s: it was never given, or is forgotten already. "
                                        "stillarm list shows the codes there are.",
                       s->code);
    return status;
}

static enum status forget(const struct command_line *line, const char *code, struct err *e)
{
    struct workplace w;
    int n = 0;
    enum status status = workplace_open(&w, line, STORE_WRITE, WORKPLACE_STORE, e);
    if (status != ST_OK)
        return status;
    status = store_subject_erase(w.store, code, &n, e);
    workplace_close(&w);
    if (status == ST_OK)
        printf("%s is forgotten in %d %s. Not reached: backups and prints made before, notes in which somebody typed "
               "it,\nand lists kept elsewhere.\n",
               code, n, sittings_word(n));
    return status;
}

int verb_forget(const struct command_line *line)
{
    struct err e = { 0 };
    struct search s = { .code = line->words[0] };
    enum status status = ST_OK;
    if (!is_item(s.code))
        status = err_set(&e, ST_USAGE, "`%.60s` is no code. A code is 1 to 32 letters, digits, dots or dashes.", s.code);
    if (status == ST_OK)
        status = find(line, &s, &e);
    if (status == ST_OK) {
        printf("%s stands in %d %s. Forgetting takes the code out of all of them, for good. The sittings stay with "
               "their\nreadings; their events keep a scrambled form from which the code cannot be got back.\n",
               s.code, s.found, sittings_word(s.found));
        if (!line->value[OPTION_YES] && !is_typed_again(s.code))
            status = err_set(&e, ST_USAGE, "%s is kept: the code was not typed again as it is. --yes does without.",
                             s.code);
    }
    if (status == ST_OK)
        status = forget(line, s.code, &e);
    return status == ST_OK ? EXIT_FINE : command_fail(&e);
}
