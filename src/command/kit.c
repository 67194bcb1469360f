/* SPDX-License-Identifier: GPL-3.0-or-later */
/** @file kit.c  The verb `kit`: gauges and cuffs, their checks and calibration dates. */
#include "command/kit.h"

#include <stdio.h>
#include <string.h>

#include "stillarm/text.h"
#include "terminal/clock.h"

#define KIT_LISTED_MAX 200
#define USAGE "See stillarm kit --help."

void kit_due_words(int32_t due, int32_t today, char *out, size_t cap)
{
    char day[16];
    int left = days_between(today, due);
    day_print(due, day);
    if (left < 0)
        snprintf(out, cap, "calibration ended %s", day);
    else if (left <= KIT_DUE_SOON_DAYS)
        snprintf(out, cap, "calibration due %s, in %d day%s", day, left, left == 1 ? "" : "s");
    else
        snprintf(out, cap, "calibration due %s", day);
}

void kit_checks_words(const struct gauge *g, char *out, size_t cap)
{
    struct text t;
    char day[16];
    text_init(&t, out, cap);
    if (g->leak.is_given) {
        day_print(g->leak.date, day);
        text_addf(&t, "leak %d mmHg/min on %s", (int)g->leak.value, day);
    }
    if (g->comparison.is_given) {
        day_print(g->comparison.date, day);
        text_addf(&t, "%sdiffers by %d mmHg on %s", t.len ? "; " : "", (int)g->comparison.value, day);
    }
}

void kit_range_words(int32_t low_mm, int32_t high_mm, char *out, size_t cap)
{
    snprintf(out, cap, "%d.%d to %d.%d cm", (int)low_mm / 10, (int)low_mm % 10, (int)high_mm / 10, (int)high_mm % 10);
}

/* What was given no name of its own goes by its short one, which is said already. */
static bool has_name(const char *id, const char *name)
{
    return name[0] && strcmp(id, name) != 0;
}

static enum status list_kit(struct store *store, bool with_retired, struct err *e)
{
    static struct gauge gauges[KIT_LISTED_MAX];
    static struct stored_cuff cuffs[KIT_LISTED_MAX];
    int32_t today = clock_day(clock_unix_ms());
    int gauge_count = 0, cuff_count = 0;
    enum status status = store_gauges(store, with_retired, gauges, KIT_LISTED_MAX, &gauge_count, e);
    if (status == ST_OK)
        status = store_cuffs(store, with_retired, cuffs, KIT_LISTED_MAX, &cuff_count, e);
    if (status != ST_OK)
        return status;
    for (int i = 0; i < gauge_count && i < KIT_LISTED_MAX; i++) {
        const struct gauge *g = &gauges[i];
        char due[80], checks[120];
        kit_due_words(g->due, today, due, sizeof due);
        kit_checks_words(g, checks, sizeof checks);
        printf("gauge %-12s 0 to %d mmHg; %s%s%s%s%s%s\n", g->id, (int)g->top_mmhg, due, checks[0] ? "; " : "", checks,
               has_name(g->id, g->name) ? "; " : "",
               has_name(g->id, g->name) ? g->name : "", g->is_retired ? "  (retired)" : "");
    }
    for (int i = 0; i < cuff_count && i < KIT_LISTED_MAX; i++) {
        char range[40];
        kit_range_words(cuffs[i].low_mm, cuffs[i].high_mm, range, sizeof range);
        printf("cuff  %-12s %s%s%s%s\n", cuffs[i].id, range,
               has_name(cuffs[i].id, cuffs[i].name) ? "; " : "",
               has_name(cuffs[i].id, cuffs[i].name) ? cuffs[i].name : "", cuffs[i].is_retired ? "  (retired)" : "");
    }
    if (gauge_count + cuff_count == 0)
        printf("No kit yet. stillarm kit add gauge ID --due DATE and stillarm kit add cuff ID LOW HIGH add some.\n");
    return ST_OK;
}

enum status kit_check_gauge(struct gauge *g, const char *id, const char *name, const char *top, const char *due,
                            struct err *e)
{
    int64_t top_mmhg;
    *g = (struct gauge){ 0 };
    if (!is_item(id) || !text_copy(g->id, sizeof g->id, id))
        return err_set(e, ST_USAGE, "`%.60s` cannot stand in a log. A short name is 1 to 32 letters, digits, dots or "
                                    "dashes, and starts with a letter or a digit.",
                       id);
    if (!is_plain_text(name[0] ? name : id, 60) || !text_copy(g->name, sizeof g->name, name[0] ? name : id))
        return err_set(e, ST_USAGE, "The name has to be 1 to 60 characters of plain text.");
    if (parse_int(top, 200, 300, &top_mmhg, NULL) != ST_OK || top_mmhg % 2)
        return err_set(e, ST_USAGE, "`%.40s` is no top of a scale. It is an even number from 200 to 300 mmHg.", top);
    if (parse_date(due, &g->due, NULL) != ST_OK)
        return err_set(e, ST_USAGE, "`%.40s` is no day. Write it as 2031-09-01.", due);
    g->top_mmhg = (int32_t)top_mmhg;
    return ST_OK;
}

enum status kit_check_cuff(struct stored_cuff *c, const char *id, const char *name, const char *low, const char *high,
                           struct err *e)
{
    *c = (struct stored_cuff){ 0 };
    if (!is_item(id) || !text_copy(c->id, sizeof c->id, id))
        return err_set(e, ST_USAGE, "`%.60s` cannot stand in a log. A short name is 1 to 32 letters, digits, dots or "
                                    "dashes, and starts with a letter or a digit.",
                       id);
    if (!is_plain_text(name[0] ? name : id, 60) || !text_copy(c->name, sizeof c->name, name[0] ? name : id))
        return err_set(e, ST_USAGE, "The name has to be 1 to 60 characters of plain text.");
    if (parse_arm_mm(low, &c->low_mm, e) != ST_OK || parse_arm_mm(high, &c->high_mm, e) != ST_OK)
        return ST_USAGE;
    if (c->low_mm >= c->high_mm)
        return err_set(e, ST_USAGE, "The lower end of a cuff's range has to lie below the upper one.");
    return ST_OK;
}

static enum status add_kit(struct store *store, const struct command_line *line, struct err *e)
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
            status = store_gauge_add(store, &g, e);
    } else if (line->word_count == 5 && strcmp(words[1], "cuff") == 0) {
        struct stored_cuff c;
        status = kit_check_cuff(&c, words[2], name, words[3], words[4], e);
        if (status == ST_OK)
            status = store_cuff_add(store, &c, e);
    } else {
        return err_set(e, ST_USAGE, "Add a gauge with `add gauge ID --due DATE`, a cuff with `add cuff ID LOW HIGH`. "
                       USAGE);
    }
    if (status == ST_OK)
        printf("%s %s is added.\n", words[1], words[2]);
    return status;
}

static enum status check_gauge(struct store *store, const struct command_line *line, struct err *e)
{
    const char *what = line->word_count == 4 ? line->words[2] : "";
    int64_t value;
    int32_t date;
    if (strcmp(what, "leak") != 0 && strcmp(what, "comparison") != 0)
        return err_set(e, ST_USAGE, "A check is `check GAUGE leak VALUE` or `check GAUGE comparison VALUE`. " USAGE);
    if (parse_int(line->words[3], 0, 100, &value, NULL) != ST_OK)
        return err_set(e, ST_USAGE, "`%.40s` is no result of a check. It is a whole number from 0 to 100.",
                       line->words[3]);
    if (parse_day(line->value[OPTION_DATE] ? line->value[OPTION_DATE] : "today", &date, e) != ST_OK)
        return ST_USAGE;
    enum status status = store_gauge_check(store, line->words[1], what, (int32_t)value, date, e);
    if (status == ST_OK)
        printf("%s of gauge %s is noted.\n", what, line->words[1]);
    return status;
}

static enum status set_due(struct store *store, const struct command_line *line, struct err *e)
{
    int32_t due;
    if (line->word_count != 3)
        return err_set(e, ST_USAGE, "After a calibration: `due GAUGE DATE`. " USAGE);
    if (parse_day(line->words[2], &due, e) != ST_OK)
        return ST_USAGE;
    enum status status = store_gauge_due(store, line->words[1], due, e);
    if (status == ST_OK)
        printf("Gauge %s is calibrated until %s.\n", line->words[1], line->words[2]);
    return status;
}

static enum status run_kit(struct store *store, const struct command_line *line, struct err *e)
{
    const char *what = line->word_count > 0 ? line->words[0] : "list";
    if (strcmp(what, "list") == 0 && line->word_count <= 1)
        return list_kit(store, line->value[OPTION_ALL], e);
    if (strcmp(what, "add") == 0)
        return add_kit(store, line, e);
    if (strcmp(what, "check") == 0)
        return check_gauge(store, line, e);
    if (strcmp(what, "due") == 0)
        return set_due(store, line, e);
    if (strcmp(what, "retire") == 0 && line->word_count == 2) {
        enum status status = store_kit_retire(store, line->words[1], e);
        if (status == ST_OK)
            printf("%s is no longer offered. Past sittings keep it.\n", line->words[1]);
        return status;
    }
    return err_set(e, ST_USAGE, "kit knows list, add, check, due and retire. " USAGE);
}

int verb_kit(const struct command_line *line)
{
    struct workplace w;
    struct err e = { 0 };
    bool is_listing = line->word_count == 0 || strcmp(line->words[0], "list") == 0;
    if (workplace_open(&w, line, is_listing ? STORE_READ : STORE_WRITE, WORKPLACE_STORE, &e) != ST_OK)
        return command_fail(&e);
    enum status status = run_kit(w.store, line, &e);
    workplace_close(&w);
    return status == ST_OK ? EXIT_FINE : command_fail(&e);
}
