/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The group as a table: one row a person, whoever needs looking at first on top. */
#include <stdio.h>

#include "guide/progress_chart.h"
#include "stillarm/text.h"

#define ROWS_DRAWN 50    /* a window round the cursor */
#define ROWS_SAID 12     /* where they are read out line by line */
#define COLS_USUAL 80    /* what the usual row needs */
#define COLS_WIDE 92     /* and with the last day */

static enum progress_width width_of(const struct progress_view *v)
{
    return v->cols > 0 && v->cols < COLS_USUAL ? WIDTH_NARROW : WIDTH_USUAL;
}

static void row_line(const struct progress_row *r, const struct progress_view *v, bool is_current, struct page *out)
{
    char said[PROGRESS_ROW_CAP], day[16] = "-";

    say_progress_row(r, width_of(v), said);
    if (r->last_day > 0)
        progress_say_day(r->last_day, day);
    if (v->cols >= COLS_WIDE)
        page_line(out, LINE_ROW, "%-78s %s", said, day)->is_current = is_current;
    else
        page_line(out, LINE_ROW, "%s", said)->is_current = is_current;
}

static void head_line(const struct progress_view *v, struct page *out)
{
    if (v->cols >= COLS_WIDE)
        page_line(out, LINE_NOTE, "%-78s %s", PROGRESS_COLUMNS[WIDTH_USUAL], "last day");
    else
        page_line(out, LINE_NOTE, "%s", PROGRESS_COLUMNS[width_of(v)]);
}

/* What is told of the row with the cursor, above the rows, so that it stays in sight. */
static void current_line(const struct progress_group *g, struct page *out)
{
    const struct progress_row *r = &g->now[g->at];
    char changed[160], since[16], lacks[60] = "";

    progress_say_day(g->since_day, since);
    if (r->readiness == READY_TOO_FEW && r->missing_pairs > 0)
        (void)snprintf(lacks, sizeof lacks, "at least %lld more pair%s; ", (long long)r->missing_pairs, r->missing_pairs == 1 ? "" : "s");
    if (g->before == NULL)
        page_line(out, LINE_INSTRUCTION, "%s: %s%s", r->person, lacks, READINESS_WORDS[r->readiness]);
    else if (say_row_change(&g->before[g->at], r, changed, sizeof changed))
        page_line(out, LINE_INSTRUCTION, "%s: %ssince %s %s", r->person, lacks, since, changed);
    else
        page_line(out, LINE_INSTRUCTION, "%s: %snothing new since %s", r->person, lacks, since);
}

static void rows(const struct progress_group *g, const struct progress_view *v, struct page *out)
{
    int most = v->cols == 0 ? ROWS_SAID : ROWS_DRAWN, first = g->at - most / 2;

    if (first > g->count - most)
        first = g->count - most;
    if (first < 0)
        first = 0;
    for (int i = first; i < g->count && i < first + most; i++)
        row_line(&g->now[i], v, i == g->at, out);
}

void progress_group_page(const struct progress_group *g, const struct yardstick *y, const struct progress_view *v, struct page *out)
{
    char order[40];

    page_init(out, PAGE_WIDE, "progress-group");
    text_copy(out->left, sizeof out->left, PROGRESS_CAUTION);
    if (g->count > 0)
        (void)snprintf(out->right, sizeof out->right, "%d of %d", g->at + 1, g->count);
    (void)snprintf(out->title, sizeof out->title, "Progress; order: %s%s", ORDER_WORDS[g->order],
                   g->order == ORDER_PERSON ? "" : ", who needs looking at first");
    if (g->count == 0) {
        page_line(out, LINE_INSTRUCTION, "Nobody has measured yet, and there is no trainee or technician. p on the home page adds people; "
                                         "a sitting with a second listener gives the first pair.");
    } else {
        page_line(out, LINE_NOTE, "By the yardstick %s; a preceptor decides. Figures: systolic, diastolic.", y->id);
        current_line(g, out);
        head_line(v, out);
        out->pinned = out->line_count;
        rows(g, v, out);
        page_key(out, "enter", "open");
    }
    if (g->count > 1) {
        (void)snprintf(order, sizeof order, "by %s", ORDER_WORDS[(g->order + 1) % ORDER_COUNT]);
        page_key(out, "j k", "move");
        page_key(out, "o", order);
    }
    if (g->has_others)
        page_key(out, "y", "other yardstick");
    page_key(out, "?", "words");
    page_key(out, "q", "back");
}

void progress_reading_page(int64_t done, int64_t of, bool can_leave, struct page *out)
{
    page_init(out, PAGE_WIDE, "progress-reading");
    text_copy(out->left, sizeof out->left, PROGRESS_CAUTION);
    text_copy(out->title, sizeof out->title, "Reading the records");
    page_line(out, LINE_INSTRUCTION, "%lld of %lld sittings so far", (long long)done, (long long)of);
    if (can_leave)
        page_key(out, "q", "break it off");
}
