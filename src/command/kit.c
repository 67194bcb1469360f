/* SPDX-License-Identifier: GPL-3.0-or-later */
/** @file kit.c  The verb `kit`: gauges and cuffs, their checks and calibration dates. */
#include "command/kit.h"

#include <stdio.h>
#include <string.h>

#include "command/pin.h"
#include "stillarm/text.h"
#include "terminal/clock.h"

#define KIT_LISTED_MAX 200
#define USAGE "See stillarm kit --help."

/* What was given no name of its own goes by its short one, which is said already. */
static bool has_name(const char *id, const char *name)
{
    return name[0] && strcmp(id, name) != 0;
}

static void print_gauge(const struct gauge *g, int32_t today)
{
    char due[80], checks[200];
    kit_due_words(g->due, today, due, sizeof due);
    kit_checks_words(g, checks, sizeof checks);
    printf("gauge %-12s 0 to %d mmHg; %s%s%s%s%s%s\n", g->id, (int)g->top_mmhg, due, checks[0] ? "; " : "", checks,
           has_name(g->id, g->name) ? "; " : "", has_name(g->id, g->name) ? g->name : "",
           g->is_retired ? "  (retired)" : "");
}

static void print_cuff(const struct stored_cuff *c)
{
    char range[40], bladder[60];
    kit_range_words(c->low_mm, c->high_mm, range, sizeof range);
    kit_bladder_words(c, bladder, sizeof bladder);
    printf("cuff  %-12s %s%s%s%s%s%s\n", c->id, range, bladder[0] ? "; " : "", bladder,
           has_name(c->id, c->name) ? "; " : "", has_name(c->id, c->name) ? c->name : "",
           c->is_retired ? "  (retired)" : "");
}

static enum status list_kit(struct workplace *w, const struct command_line *line, struct err *e)
{
    static struct gauge gauges[KIT_LISTED_MAX];
    static struct stored_cuff cuffs[KIT_LISTED_MAX];
    int32_t today = clock_day(clock_unix_ms());
    int gauge_count = 0, cuff_count = 0;
    const bool with_retired = line->value[OPTION_ALL] != NULL;
    if (line->word_count > 1)
        return err_set(e, ST_USAGE, "`list` takes no further word. " USAGE);
    enum status status = store_gauges(w->store, with_retired, gauges, KIT_LISTED_MAX, &gauge_count, e);
    if (status == ST_OK)
        status = store_cuffs(w->store, with_retired, cuffs, KIT_LISTED_MAX, &cuff_count, e);
    if (status != ST_OK)
        return status;
    for (int i = 0; i < gauge_count && i < KIT_LISTED_MAX; i++)
        print_gauge(&gauges[i], today);
    for (int i = 0; i < cuff_count && i < KIT_LISTED_MAX; i++)
        print_cuff(&cuffs[i]);
    if (gauge_count + cuff_count == 0)
        printf("No kit yet. stillarm kit add gauge ID --due DATE and stillarm kit add cuff ID LOW HIGH add some.\n");
    return ST_OK;
}

static enum status add_kit(struct workplace *w, const struct command_line *line, struct err *e)
{
    char **words = line->words;
    const char *name = line->value[OPTION_NAME] ? line->value[OPTION_NAME] : "";
    enum status status = ST_USAGE;
    if (line->word_count == 3 && strcmp(words[1], "gauge") == 0) {
        struct gauge g;
        if (!line->value[OPTION_DUE])
            return err_set(e, ST_USAGE, "A gauge needs the day its calibration ends: --due 2031-09-01. It stands on its "
                                        "label.");
        status = kit_check_gauge(&g, words[2], name, line->value[OPTION_TOP] ? line->value[OPTION_TOP] : "300",
                                 line->value[OPTION_DUE], e);
        if (status == ST_OK)
            status = store_gauge_add(w->store, &g, e);
    } else if (line->word_count == 5 && strcmp(words[1], "cuff") == 0) {
        struct stored_cuff c;
        status = kit_check_cuff(&c, words[2], name, words[3], words[4],
                                line->value[OPTION_BLADDER] ? line->value[OPTION_BLADDER] : "", e);
        if (status == ST_OK)
            status = store_cuff_add(w->store, &c, e);
    } else {
        return err_set(e, ST_USAGE, "Add a gauge with `add gauge ID --due DATE`, a cuff with `add cuff ID LOW HIGH`. "
                       USAGE);
    }
    if (status == ST_OK)
        printf("%s %s is added.\n", words[1], words[2]);
    return status;
}

/* The usual protocol judges a check; where no protocol can be read it is noted all the same. */
static const struct protocol *judge_of(struct workplace *w, const struct command_line *line)
{
    struct err ignored;
    enum status status = protocols_load(line->value[OPTION_PROTOCOL_DIR], &w->protocols, &ignored);
    w->has_protocols = true;
    if (status != ST_OK)
        return NULL;
    return kit_usual_protocol(w->store, &w->protocols);
}

static enum status check_gauge(struct workplace *w, const struct command_line *line, struct err *e)
{
    char result[200], said[KIT_SAID_CAP];
    struct text t;
    int32_t date;
    if (line->word_count < 4)
        return err_set(e, ST_USAGE, "A check is `check GAUGE leak VALUE`, `check GAUGE zero VALUE`, or `check GAUGE "
                                    "comparison REFERENCE=READING ...`. " USAGE);
    if (line->word_count > 4 && strcmp(line->words[2], "comparison") != 0)
        return err_set(e, ST_USAGE, "A %.40s has one result; only a comparison has points. " USAGE, line->words[2]);
    text_init(&t, result, sizeof result);
    for (int i = 3; i < line->word_count; i++)
        text_addf(&t, "%s%s", i > 3 ? " " : "", line->words[i]);
    if (t.is_cut)
        return err_set(e, ST_USAGE, "The result is longer than any check's. " USAGE);
    if (kit_parse_past(line->value[OPTION_DATE] ? line->value[OPTION_DATE] : "today", &date, e) != ST_OK)
        return ST_USAGE;
    enum status status = kit_note_check(w->store, judge_of(w, line), line->words[1], line->words[2], result, date, said, e);
    if (status == ST_OK)
        printf("%s\n", said);
    return status;
}

static enum status set_due(struct workplace *w, const struct command_line *line, struct err *e)
{
    int32_t due;
    if (line->word_count != 3)
        return err_set(e, ST_USAGE, "After a calibration: `due GAUGE DATE`. " USAGE);
    if (parse_day(line->words[2], &due, e) != ST_OK)
        return ST_USAGE;
    enum status status = store_gauge_due(w->store, line->words[1], due, e);
    if (status == ST_OK)
        printf("Gauge %s is calibrated until %s.\n", line->words[1], line->words[2]);
    return status;
}

static enum status calibrated(struct workplace *w, const struct command_line *line, struct err *e)
{
    char said[KIT_SAID_CAP];
    int32_t day, months;
    if (line->word_count != 2)
        return err_set(e, ST_USAGE, "After a calibration: `calibrated GAUGE`, with --date if it was not today. " USAGE);
    if (kit_parse_past(line->value[OPTION_DATE] ? line->value[OPTION_DATE] : "today", &day, e) != ST_OK)
        return ST_USAGE;
    enum status status = store_interval_get(w->store, &months, e);
    if (status == ST_OK)
        status = kit_note_calibration(w->store, line->words[1], day, months, said, e);
    if (status == ST_OK)
        printf("%s\n", said);
    return status;
}

static enum status interval(struct workplace *w, const struct command_line *line, struct err *e)
{
    char words[200];
    int32_t months = 0;
    enum status status = ST_OK;
    if (line->word_count > 2)
        return err_set(e, ST_USAGE, "The interval is one number of months: `interval 6`. " USAGE);
    if (line->word_count == 2)
        status = kit_parse_months(line->words[1], &months, e);
    if (status == ST_OK && line->word_count == 2)
        status = store_interval_set(w->store, months, e);
    if (status == ST_OK)
        status = store_interval_get(w->store, &months, e);
    if (status != ST_OK)
        return status;
    kit_interval_words(months, words, sizeof words);
    printf("%s\n", words);
    return ST_OK;
}

static enum status set_bladder(struct workplace *w, const struct command_line *line, struct err *e)
{
    int32_t width, length;
    if (line->word_count != 3)
        return err_set(e, ST_USAGE, "A cuff's bladder: `bladder CUFF 16x30`. " USAGE);
    if (kit_parse_bladder(line->words[2], &width, &length, e) != ST_OK)
        return ST_USAGE;
    enum status status = store_cuff_bladder(w->store, line->words[1], width, length, e);
    if (status == ST_OK)
        printf("The bladder of cuff %s is noted.\n", line->words[1]);
    return status;
}

/* Before a PIN is asked for in vain. */
static enum status find_kit(struct store *store, const char *id, struct err *e)
{
    static struct gauge gauges[KIT_LISTED_MAX];
    static struct stored_cuff cuffs[KIT_LISTED_MAX];
    int n = 0, m = 0;
    enum status status = store_gauges(store, true, gauges, KIT_LISTED_MAX, &n, e);
    if (status == ST_OK)
        status = store_cuffs(store, true, cuffs, KIT_LISTED_MAX, &m, e);
    if (status != ST_OK || n > KIT_LISTED_MAX || m > KIT_LISTED_MAX)
        return status; /* of so many not all were looked at: the store says it then */
    for (int i = 0; i < n; i++)
        if (strcmp(gauges[i].id, id) == 0)
            return ST_OK;
    for (int i = 0; i < m; i++)
        if (strcmp(cuffs[i].id, id) == 0)
            return ST_OK;
    return err_set(e, ST_NOT_FOUND, "There is no gauge or cuff %.40s here. stillarm kit lists them.", id);
}

static enum status retire(struct workplace *w, const struct command_line *line, struct err *e)
{
    if (line->word_count != 2)
        return err_set(e, ST_USAGE, "Out of use: `retire ID`. " USAGE);
    const struct act a = { .kind = SAYS_RETIRE, .of = line->words[1], .word = "kit" };
    enum status status = find_kit(w->store, line->words[1], e);
    if (status == ST_OK)
        status = charge_act_by(w->store, line->value[OPTION_BY], &a, e);
    if (status == ST_OK)
        printf("%s is no longer offered. Past sittings keep it.\n", line->words[1]);
    return status;
}

static const struct {
    const char *word;
    enum status (*run)(struct workplace *w, const struct command_line *line, struct err *e);
} ACTIONS[] = {
    { "list", list_kit },         { "add", add_kit },       { "check", check_gauge },   { "due", set_due },
    { "calibrated", calibrated }, { "interval", interval }, { "bladder", set_bladder }, { "retire", retire },
};

static enum status run_kit(struct workplace *w, const struct command_line *line, struct err *e)
{
    const char *what = line->word_count > 0 ? line->words[0] : "list";
    for (size_t i = 0; i < ARRAY_LEN(ACTIONS); i++)
        if (strcmp(what, ACTIONS[i].word) == 0)
            return ACTIONS[i].run(w, line, e);
    return err_set(e, ST_USAGE, "kit knows list, add, check, calibrated, due, interval, bladder and retire. " USAGE);
}

/* What only looks makes no store and needs no right to write. */
static bool is_looking(const struct command_line *line)
{
    return line->word_count == 0 || strcmp(line->words[0], "list") == 0 ||
           (line->word_count == 1 && strcmp(line->words[0], "interval") == 0);
}

int verb_kit(const struct command_line *line)
{
    struct workplace w;
    struct err e = { 0 };
    if (workplace_open(&w, line, is_looking(line) ? STORE_READ : STORE_WRITE, WORKPLACE_STORE, &e) != ST_OK)
        return command_fail(&e);
    enum status status = run_kit(&w, line, &e);
    workplace_close(&w);
    return status == ST_OK ? EXIT_FINE : command_fail(&e);
}
