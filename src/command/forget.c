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

static enum status forget(struct store *store, const char *code, bool is_sure, struct err *e)
{
    struct search s = { .code = code };
    int forgotten = 0;
    enum status status = store_sittings(store, count_if_named, &s, e);
    if (status != ST_OK)
        return status;
    if (s.found == 0)
        return err_set(e, ST_NOT_FOUND, "No sitting here has the code %s: it was never given, or is forgotten already. "
                                        "stillarm list shows the codes there are.",
                       code);
    printf("%s stands in %d %s. Forgetting takes the code out of all of them, for good. The sittings stay with their\n"
           "readings; their events keep a scrambled form from which the code cannot be got back.\n",
           code, s.found, sittings_word(s.found));
    if (!is_sure && !is_typed_again(code))
        return err_set(e, ST_USAGE, "%s is kept: the code was not typed again as it is. --yes does without.", code);
    status = store_subject_erase(store, code, &forgotten, e);
    if (status == ST_OK)
        printf("%s is forgotten in %d %s. Not reached: backups and prints made before, notes in which somebody typed "
               "it,\nand lists kept elsewhere.\n",
               code, forgotten, sittings_word(forgotten));
    return status;
}

int verb_forget(const struct command_line *line)
{
    struct workplace w;
    struct err e = { 0 };
    const char *code = line->words[0];
    if (!is_item(code)) {
        err_set(&e, ST_USAGE, "`%.60s` is no code. A code is 1 to 32 letters, digits, dots or dashes.", code);
        return command_fail(&e);
    }
    if (workplace_open(&w, line, STORE_WRITE, WORKPLACE_STORE, &e) != ST_OK)
        return command_fail(&e);
    enum status status = forget(w.store, code, line->value[OPTION_YES] != NULL, &e);
    workplace_close(&w);
    return status == ST_OK ? EXIT_FINE : command_fail(&e);
}
