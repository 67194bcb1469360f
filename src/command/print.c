/* SPDX-License-Identifier: GPL-3.0-or-later */
/** @file print.c  The verb `print`: one sitting's event log in its text form. */
#include <stdio.h>

#include "command/outcome.h"
#include "command/session.h"
#include "command/workplace.h"
#include "guide/worth_page.h"

#define COMMENT "# "

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

/* Everything beside the events is a comment, so that the log stays one that replay takes. */
static void print_deviations(const struct protocol *p)
{
    struct page pg;
    page_init(&pg, PAGE_OPEN, "deviations");
    guide_deviation_lines(p, &pg);
    outcome_lines(&pg, COMMENT, false, stdout);
}

static void print_outcome(const struct sitting *s, const struct protocol *p)
{
    struct page pg;
    for (int arm = ARM_LEFT; arm < ARM_COUNT; arm++) {
        if (!outcome_has_readings(s, (enum arm)arm) || !outcome_average(s, p, (enum arm)arm, COMMENT, stdout))
            continue;
        page_init(&pg, PAGE_OPEN, "result");
        guide_result_lines(s, p, (enum arm)arm, &pg);
        outcome_lines(&pg, COMMENT, false, stdout);
    }
    outcome_remarks(s, p, COMMENT, stdout);
    page_init(&pg, PAGE_OPEN, "witnessed");
    guide_witnessed_lines(s, p, &pg);
    outcome_lines(&pg, COMMENT, false, stdout);
}

static enum status print_sitting(struct workplace *w, const struct sitting_head *head, struct err *e)
{
    static struct session x; /* large, and one at a time */
    struct err unjudged = { 0 };
    bool is_judged = session_load(&x, w->store, NULL, head->id, &unjudged) == ST_OK, has_heading = false;
    if (is_judged && outcome_check_pair(&x.sitting, head->id, e) != ST_OK)
        return ST_PERMISSION;
    printf("# S-%03d  %s  %s\n# protocol %s\n", (int)head->id, head->opened, PHASE_WORDS[head->phase], head->protocol);
    if (is_judged)
        print_deviations(&x.protocol);
    print_subject(w->store, head);
    enum status status = store_events(w->store, head->id, print_event, stdout, e);
    if (status != ST_OK)
        return status;
    if (is_judged)
        print_outcome(&x.sitting, &x.protocol);
    else
        printf("# the result cannot be told: %s\n", unjudged.text);
    return store_attempts(w->store, head->id, print_attempt, &has_heading, e);
}

int verb_print(const struct command_line *line)
{
    return outcome_of(line, print_sitting);
}
