/* SPDX-License-Identifier: GPL-3.0-or-later */
/** @file agree.c  The verb `agree`: how far two listeners agree, from anybody's own CSV file. */
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

#include "command/agree_text.h"
#include "command/command.h"
#include "command/graph_asked.h"
#include "command/workplace.h"
#include "command/yardstick_open.h"
#include "output/chart_file.h"
#include "stillarm/text.h"
#include "terminal/clock.h"

/* Everything that a run needs; large, and one at a time. */
static struct agree_job {
    const struct command_line *line;
    char file[300]; /* its name, safe to show */
    struct protocols protocols;
    struct yardstick_open yardstick;
    struct agree_frame frame;
    struct graph_asked graph;
    struct difference_grid grid[SIDE_COUNT];
    struct learning_path path;
    struct agree_rows rows;
    struct agree_tally merged;
    struct agreement all;
    struct chart_sheet sheet;
} JOB;

/* ---- what is asked for ---- */

static enum status take_yardstick(struct agree_job *j, struct err *e)
{
    const char *dir = j->line->value[OPTION_PROTOCOL_DIR];
    enum status st = protocols_load(dir, &j->protocols, e);
    if (st == ST_OK)
        st = yardstick_open(dir, &j->protocols, j->line->value[OPTION_YARDSTICK], &j->yardstick, e);
    yardsticks_say_faults(&j->yardstick.all);
    if (st != ST_OK)
        return st;
    j->frame.plan = j->yardstick.one->plan;
    j->frame.scheme = j->yardstick.scheme;
    agree_frame_mark(&j->frame);
    return ST_OK;
}

/* ---- reading ---- */

struct progress_line { bool is_terminal, is_shown; int64_t began_ms, next_ms; };

/* Nothing for the first second: what is done by then needs no line. */
static void show_progress(void *user, const struct csv *c, int64_t rows)
{
    struct progress_line *p = user;
    int64_t now = clock_boot_ms();
    if (!p->is_terminal || now < p->next_ms)
        return;
    if (csv_size(c) > 0)
        fprintf(stderr, "\r%lld rows, %d %% ", (long long)rows, (int)(100.0 * (double)csv_bytes(c) / (double)csv_size(c)));
    else
        fprintf(stderr, "\r%lld rows ", (long long)rows);
    (void)fflush(stderr);
    p->is_shown = true;
    p->next_ms = now + 200;
}

static enum status read_rows(struct agree_job *j, const char *path, struct err *e)
{
    struct csv *csv;
    struct progress_line progress = { .is_terminal = isatty(STDERR_FILENO) == 1, .next_ms = clock_boot_ms() + 1000 };
    const bool has_plot = j->graph.file != NULL;
    j->rows = (struct agree_rows){ .frame = &j->frame, .of = j->line->value[OPTION_OF],
                                   .is_skipping = j->line->value[OPTION_SKIP_BAD] != NULL,
                                   .grid = has_plot && j->graph.kind == CHART_DIFFERENCE ? j->grid : NULL,
                                   .path = has_plot && j->graph.kind == CHART_LEARNING ? &j->path : NULL };
    learning_path_begin(&j->path);
    enum status st = csv_open(path, AGREE_COLUMN_NAMES, AGREE_COLUMNS, &csv, e);
    if (st != ST_OK)
        return st;
    st = agree_rows_read(&j->rows, csv, show_progress, &progress, e);
    if (progress.is_shown)
        fprintf(stderr, "\r%40s\r", "");
    csv_close(csv);
    return st;
}

static void conclude(struct agree_job *j)
{
    const struct agree_rows *r = &j->rows;
    agree_begin(&j->merged, &j->frame);
    for (uint32_t i = 0; i < r->count; i++)
        agree_merge(&j->merged, &r->measurers[i]->tally);
    agreement_of(r->count == 1 ? &r->measurers[0]->tally : &j->merged, &j->all);
}

/* ---- answering ---- */

static void draw_side(struct agree_job *j, const struct chart_frame *f, int side)
{
    struct chart *c = &j->sheet.panel[side];
    const struct agree_tally *t = j->rows.count == 1 ? &j->rows.measurers[0]->tally : &j->merged;
    if (j->graph.kind == CHART_DIGITS)
        chart_digits(c, f, (enum side)side, &t->digits[side][EAR_MEASURER]);
    else
        chart_difference(c, f, (enum side)side, &j->all, &j->grid[side]);
}

static enum status plot(struct agree_job *j, struct err *e)
{
    struct chart_frame f = { .who = "all measurers" };
    const struct agree_rows *r = &j->rows;
    const bool is_learning = j->graph.kind == CHART_LEARNING;
    struct text heading;
    if (is_learning && r->count != 1)
        return err_set(e, ST_USAGE, "The learning curve is one measurer's, and the file has %lu. Name one: --of ID.", (unsigned long)r->count);
    if (r->count == 1)
        (void)snprintf(f.who, sizeof f.who, "%s", r->measurers[0]->name);
    j->sheet.panel_count = is_learning ? 1 : SIDE_COUNT;
    text_init(&heading, j->sheet.heading, sizeof j->sheet.heading);
    text_add(&heading, f.who);
    text_add(&heading, ": ");
    text_add(&heading, strrchr(j->file, '/') ? strrchr(j->file, '/') + 1 : j->file);
    day_print(clock_day(clock_unix_ms()), j->sheet.date);
    if (is_learning)
        chart_learning(&j->sheet.panel[0], &f, &j->frame.plan, &j->path, &r->measurers[0]->tally.learning);
    for (int side = 0; !is_learning && side < SIDE_COUNT; side++)
        draw_side(j, &f, side);
    return chart_write(&j->sheet, j->graph.form, j->graph.file, e);
}

static enum status answer(struct agree_job *j, struct err *e)
{
    const struct agree_answer a = { .file = j->file, .rows = &j->rows, .yardstick = j->yardstick.one, .frame = &j->frame, .all = &j->all };
    agree_print_aside(&j->rows, stderr);
    if (j->rows.of && j->rows.count == 0)
        return err_set(e, ST_RANGE, "%.200s has no row of the measurer `%.64s`, but %lld of others. Capitals count.", j->file, j->rows.of,
                       (long long)j->rows.others);
    enum status st = j->graph.file ? plot(j, e) : ST_OK;
    if (st == ST_OK && j->line->value[OPTION_JSON])
        st = agree_print_json(&a, stdout, e);
    else if (st == ST_OK)
        agree_print_text(&a, stdout);
    if (st == ST_OK && j->graph.file && !j->line->value[OPTION_JSON]) {
        printf("\n");
        graph_asked_say(&j->graph, stdout);
    }
    return st;
}

static void keep_shown(char *out, size_t cap, const char *name)
{
    (void)text_copy(out, cap, name);
    text_defuse(out);
}

int verb_agree(const struct command_line *line)
{
    struct err e = { .code = ST_OK };
    const char *path = line->words[0];
    memset(&JOB, 0, sizeof JOB);
    JOB.line = line;
    keep_shown(JOB.file, sizeof JOB.file, strcmp(path, "-") == 0 ? "standard input" : path);
    enum status st = graph_asked_of(line, "agree", CHART_RELEASE, &JOB.graph, &e);
    if (st == ST_OK)
        st = take_yardstick(&JOB, &e);
    if (st == ST_OK)
        st = read_rows(&JOB, path, &e);
    if (st == ST_OK) {
        conclude(&JOB);
        st = answer(&JOB, &e);
    }
    agree_rows_free(&JOB.rows);
    yardsticks_free(&JOB.yardstick.all);
    protocols_free(&JOB.protocols);
    return st == ST_OK ? EXIT_FINE : command_fail(&e);
}
