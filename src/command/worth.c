/* SPDX-License-Identifier: GPL-3.0-or-later */
/** @file worth.c  The verb `worth`: the whole budget of a sitting as text. */
#include <stdio.h>
#include <string.h>

#include "command/outcome.h"
#include "command/session.h"
#include "command/workplace.h"
#include "guide/worth_page.h"

static void say_verdict(const struct reading *r, char *out, size_t cap)
{
    if (!r->is_done)
        snprintf(out, cap, "not entered");
    else if (r->voids)
        snprintf(out, cap, "does not count");
    else
        snprintf(out, cap, "counts%s", r->is_standing ? ", standing" : "");
}

/* One reading: its values and how exact they are, whether or not it counts. */
static void print_reading(const struct sitting *s, const struct protocol *p, int index)
{
    const struct reading *r = &s->readings[index];
    char values[24], verdict[32];
    struct worth w;
    reading_print(r, values, sizeof values);
    say_verdict(r, verdict, sizeof verdict);
    printf("%-8d %-6s %-12s %-17s", index + 1, ARM_WORDS[r->arm], values[0] ? values : "-", verdict);
    if (worth_of_reading(s, p, index, &w)) {
        char sys[40], dia[40];
        guide_say_interval(&w.side[SIDE_SYSTOLIC], 1, sys, sizeof sys);
        guide_say_interval(&w.side[SIDE_DIASTOLIC], 1, dia, sizeof dia);
        printf(" %14s  %14s", sys, dia);
    } else {
        printf(" no values to judge");
    }
    printf("\n");
}

static void print_arm(const struct sitting *s, const struct protocol *p, enum arm arm)
{
    struct worth w;
    struct page pg;
    printf("\n");
    if (!outcome_average(s, p, arm, "", stdout))
        return;
    page_init(&pg, PAGE_OPEN, "worth");
    guide_category_lines(s, p, arm, "category: ", &pg);
    if (worth_of_average(s, p, arm, &w))
        guide_worth_lines(&w, s, p, &pg);
    outcome_lines(&pg, "", true, stdout);
}

static void print_worth(const struct sitting *s, const struct protocol *p)
{
    struct page pg;
    bool has_any = false;
    printf("\n%-8s %-6s %-12s %-17s %s\n", "reading", "arm", "mmHg", "", "95 of 100: systolic, diastolic");
    for (int i = 0; i < s->reading_count; i++)
        print_reading(s, p, i);
    for (int arm = ARM_LEFT; arm < ARM_COUNT; arm++) {
        if (!outcome_has_readings(s, (enum arm)arm))
            continue;
        print_arm(s, p, (enum arm)arm);
        has_any = true;
    }
    if (!has_any)
        printf("\nno average: %s\n", outcome_lack(s, p));
    page_init(&pg, PAGE_OPEN, "deviations");
    guide_deviation_lines(p, &pg);
    printf("%s", pg.line_count ? "\n" : "");
    outcome_lines(&pg, "", false, stdout);
}

static enum status say_worth(struct workplace *w, const struct sitting_head *head, struct err *e)
{
    static struct session x; /* large, and one at a time */
    enum status status = session_load(&x, w->store, NULL, head->id, e);
    if (status == ST_OK)
        status = outcome_check_pair(&x.sitting, head->id, e);
    if (status != ST_OK)
        return status;
    printf("S-%03d  %s  %s  %s\n", (int)head->id, head->opened, PHASE_WORDS[head->phase], head->protocol);
    print_worth(&x.sitting, &x.protocol);
    return ST_OK;
}

int verb_worth(const struct command_line *line)
{
    return outcome_of(line, say_worth);
}
