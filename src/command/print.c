/* SPDX-License-Identifier: GPL-3.0-or-later */
/** @file print.c  The verb `print`: one sitting's event log in its text form. */
#include <stdio.h>

#include "command/workplace.h"

static bool print_event(void *user, int32_t seq, const struct event *ev)
{
    char line[EVENT_LINE_CAP];
    (void)seq;
    event_print(ev, line);
    return fprintf(user, "%s\n", line) >= 0;
}

/* As comments, so that the log stays one that replay takes; the heading comes with the first. */
static bool print_attempt(void *user, const struct attempt *a)
{
    bool *has_heading = user;
    if (!*has_heading)
        printf("# refused attempts:\n");
    *has_heading = true;
    return printf("# %s -> %s (have %s; need %s)\n", a->line, a->rule, a->have, a->need) >= 0;
}

static void print_subject(struct store *store, const struct sitting_head *head)
{
    switch (subject_known(store, head)) {
    case SUBJECT_KNOWN:
        printf("# subject known as %s\n", head->subject);
        break;
    case SUBJECT_NOT_GIVEN:
        printf("# subject not given yet\n");
        break;
    case SUBJECT_ERASED:
        printf("# subject erased: the log holds a salted hash in place of the code\n");
        break;
    }
}

int verb_print(const struct command_line *line)
{
    struct workplace w;
    struct err e = { 0 };
    struct sitting_head head;
    int64_t id;
    if (parse_sitting(line->words[0], &id, &e) != ST_OK)
        return command_fail(&e);
    if (workplace_open(&w, line, STORE_READ, WORKPLACE_STORE, &e) != ST_OK)
        return command_fail(&e);
    enum status status = store_sitting_get(w.store, id, &head, &e);
    if (status == ST_OK) {
        printf("# S-%03d  %s  %s\n# protocol %s\n", (int)id, head.opened, PHASE_WORDS[head.phase], head.protocol);
        print_subject(w.store, &head);
        status = store_events(w.store, id, print_event, stdout, &e);
        bool has_heading = false;
        if (status == ST_OK)
            status = store_attempts(w.store, id, print_attempt, &has_heading, &e);
    }
    workplace_close(&w);
    return status == ST_OK ? EXIT_FINE : command_fail(&e);
}
