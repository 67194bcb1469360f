/* SPDX-License-Identifier: GPL-3.0-or-later */
/** @file progress.c  The verb `progress`: how those who measure are doing, one or all, as text, CSV, JSON and graphs. */
#include <stdio.h>
#include <stdlib.h>
#include <unistd.h>

#include "command/graph_asked.h"
#include "command/progress_load.h"
#include "command/progress_out.h"
#include "command/workplace.h"
#include "command/yardstick_open.h"
#include "guide/progress_chart.h"
#include "terminal/clock.h"

#define QUIET_MS 1000 /* shorter reading is not worth a line */

/* ---- what was asked ---- */

struct asked {
    struct workplace place;
    struct yardstick_open yardstick; /* large */
    struct progress_ask ask;
    struct learning_rates rates;
    const char *person;           /* NULL: the group */
    struct graph_asked graph;
};

static enum status parse_days(const struct command_line *line, struct progress_ask *ask, struct err *e)
{
    const char *until = line->value[OPTION_UNTIL], *since = line->value[OPTION_SINCE];
    enum status status = parse_day(until ? until : "today", &ask->until_day, e);
    if (status != ST_OK)
        return status;
    ask->since_day = day_after_months(ask->until_day, -1);
    if (since)
        status = parse_day(since, &ask->since_day, e);
    if (status == ST_OK && ask->since_day > ask->until_day)
        status = err_set(e, ST_USAGE, "--since %.20s lies after the day up to which is told. Give an earlier one.", since);
    return status;
}

static enum status parse_graph(const struct command_line *line, struct asked *a, struct err *e)
{
    enum status status = graph_asked_of(line, "progress", CHART_KIND_COUNT, &a->graph, e);
    if (status == ST_OK && a->graph.file && !a->person)
        status = err_set(e, ST_USAGE, "A graph is one person's: stillarm progress PERSON --plot FILE.");
    return status;
}

static enum status parse_asked(const struct command_line *line, struct asked *a, struct err *e)
{
    a->person = line->word_count > 0 ? line->words[0] : NULL;
    if (line->value[OPTION_CSV] && line->value[OPTION_JSON])
        return err_set(e, ST_USAGE, "--csv and --json cannot both be written to standard output. Give one.");
    enum status status = parse_days(line, &a->ask, e);
    return status == ST_OK ? parse_graph(line, a, e) : status;
}

static enum status find_yardstick(const struct command_line *line, struct asked *a, struct err *e)
{
    enum status status = yardstick_open(line->value[OPTION_PROTOCOL_DIR], &a->place.protocols, line->value[OPTION_YARDSTICK],
                                        &a->yardstick, e);
    yardsticks_say_faults(&a->yardstick.all);
    if (status != ST_OK)
        return status;
    a->ask.yardstick = a->yardstick.one;
    a->ask.scheme = a->yardstick.scheme;
    learning_rates(&a->ask.yardstick->plan, &a->rates);
    return ST_OK;
}

/* ---- a line on the way, where it takes long ---- */

struct watch { int64_t from_ms; bool is_shown; };

static bool show(void *user, int64_t done, int64_t of)
{
    struct watch *w = user;
    if (clock_awake_ms() - w->from_ms < QUIET_MS)
        return true;
    w->is_shown = true;
    fprintf(stderr, "\r%lld of %lld sittings   ", (long long)done, (long long)of);
    return true;
}

static void wipe(const struct watch *w)
{
    if (w->is_shown)
        fprintf(stderr, "\r%40s\r", "");
}

/* ---- one person ---- */

static enum status plot(const struct asked *a, const struct progress *p, struct err *e)
{
    struct chart_sheet *s = calloc(1, sizeof *s); /* large */
    if (!s)
        return err_set(e, ST_NO_MEMORY, "There is not enough memory to draw a graph. Close other programs.");
    progress_sheet(p, a->ask.yardstick, a->graph.kind, a->ask.until_day, s);
    enum status status = chart_write(s, a->graph.form, a->graph.file, e);
    free(s);
    return status;
}

static enum status tell_one(const struct asked *a, const struct command_line *line, const struct progress *p,
                            const struct progress_row *before, struct err *e)
{
    const struct progress_frame f = { .ask = &a->ask, .rates = &a->rates };
    enum status status = a->graph.file ? plot(a, p, e) : ST_OK;
    if (status != ST_OK)
        return status;
    if (line->value[OPTION_JSON])
        return progress_json(&f, json_pack("[o]", json_of_progress(p, before, a->ask.yardstick)), stdout, e);
    if (line->value[OPTION_CSV]) {
        progress_csv_head(stdout);
        progress_csv_row(&f, p, stdout);
    } else if (a->graph.file) {
        graph_asked_say(&a->graph, stdout);
    } else {
        progress_text(&f, p, before, stdout);
    }
    return ST_OK;
}

static enum status run_one(struct asked *a, const struct command_line *line, struct watch *w, struct err *e)
{
    struct progress *p = malloc(sizeof *p); /* large */
    struct progress_row before;
    if (!p)
        return err_set(e, ST_NO_MEMORY, "There is not enough memory to read a record. Close other programs.");
    enum status status = progress_load(a->place.store, &a->ask, a->person, p, &before, e);
    wipe(w);
    if (status == ST_OK)
        status = tell_one(a, line, p, &before, e);
    free(p);
    return status;
}

/* ---- the group ---- */

/* As CSV and JSON, one after another. */
struct people {
    struct progress_frame frame;
    json_t *list;    /* NULL: CSV */
    bool is_short;   /* of memory */
};

static bool take_person(void *user, const struct progress *p, const struct progress_row *before)
{
    struct people *all = user;
    if (all->list)
        all->is_short = json_array_append_new(all->list, json_of_progress(p, before, all->frame.ask->yardstick)) != 0;
    else
        progress_csv_row(&all->frame, p, stdout);
    return !all->is_short;
}

static enum status write_group(const struct asked *a, const struct command_line *line, struct watch *w, struct err *e)
{
    bool is_json = line->value[OPTION_JSON] != NULL;
    struct people all = { .frame = { .ask = &a->ask, .rates = &a->rates }, .list = is_json ? json_array() : NULL };
    if (is_json && !all.list)
        return progress_json(&all.frame, NULL, stdout, e);
    if (!is_json)
        progress_csv_head(stdout);
    enum status status = progress_load_all(a->place.store, &a->ask, take_person, &all, e);
    wipe(w);
    if (status != ST_OK || !is_json) {
        json_decref(all.list);
        return status;
    }
    if (all.is_short) {
        json_decref(all.list);
        all.list = NULL;
    }
    return progress_json(&all.frame, all.list, stdout, e);
}

static enum status print_group(const struct asked *a, struct watch *w, struct err *e)
{
    const struct progress_frame f = { .ask = &a->ask, .rates = &a->rates };
    struct progress_rows rows = { 0 };
    enum status status = progress_load_rows(a->place.store, &a->ask, &rows, e);
    wipe(w);
    if (status == ST_OK)
        progress_group_text(&f, rows.now, rows.before, rows.count, stdout);
    progress_rows_free(&rows);
    return status;
}

static enum status run_group(const struct asked *a, const struct command_line *line, struct watch *w, struct err *e)
{
    return line->value[OPTION_CSV] || line->value[OPTION_JSON] ? write_group(a, line, w, e) : print_group(a, w, e);
}

/* ---- the verb ---- */

static enum status run_asked(struct asked *a, const struct command_line *line, struct err *e)
{
    struct watch w = { .from_ms = clock_awake_ms() };
    /* rows that come out one by one on the same terminal tell as much */
    if (isatty(STDERR_FILENO) == 1 && !(line->value[OPTION_CSV] && isatty(STDOUT_FILENO) == 1))
        a->ask.watch = show;
    a->ask.watcher = &w;
    enum status status = find_yardstick(line, a, e);
    if (status == ST_OK)
        status = a->person ? run_one(a, line, &w, e) : run_group(a, line, &w, e);
    return status;
}

int verb_progress(const struct command_line *line)
{
    static struct asked a; /* large, and one at a time */
    struct err e = { 0 };
    if (parse_asked(line, &a, &e) != ST_OK)
        return command_fail(&e);
    if (workplace_open(&a.place, line, STORE_READ, WORKPLACE_STORE_AND_PROTOCOLS, &e) != ST_OK)
        return command_fail(&e);
    enum status status = run_asked(&a, line, &e);
    yardsticks_free(&a.yardstick.all);
    workplace_close(&a.place);
    return status == ST_OK ? EXIT_FINE : command_fail(&e);
}
