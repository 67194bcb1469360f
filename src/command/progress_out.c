/* SPDX-License-Identifier: GPL-3.0-or-later */
/** @file progress_out.c  Records as text, CSV and JSON. The words are the guide's; the columns are the figures' own ids. */
#include "command/progress_out.h"

#include <math.h>
#include <stddef.h>
#include <string.h>

#include "command/workplace.h"

/* ---- text ---- */

static void print_line(void *user, enum line_role role, const char *text)
{
    fprintf(user, "%s\n", role == LINE_GAP ? "" : text);
}

static void print_head(const struct progress_frame *f, const struct progress *p, FILE *out)
{
    char first[16], last[16], until[16];
    day_print(f->ask->until_day, until);
    fprintf(out, "%s (%s)%s%s\n", p->name, p->person, p->role[0] ? ", " : "", p->role);
    if (p->first_day == 0) {
        fprintf(out, "As of %s: no sitting that is told yet.\n", until);
        return;
    }
    day_print(p->first_day, first);
    day_print(p->last_day, last);
    fprintf(out, "As of %s: sittings of %s to %s\n", until, first, last);
}

void progress_text(const struct progress_frame *f, const struct progress *p, const struct progress_row *before, FILE *out)
{
    const struct progress_lines lines = { print_line, out, PROGRESS_LINE_COLUMNS };
    const struct yardstick *y = f->ask->yardstick;
    struct progress_row now;
    progress_row_of(p, &now);
    print_head(f, p, out);
    fprintf(out, "\n");
    say_readiness(y, &p->result, &p->record, &lines);
    fprintf(out, "\n");
    say_counts(p, y, &lines);
    fprintf(out, "\n");
    say_agreement(&p->record.agreement, print_line, out);
    fprintf(out, "\n");
    say_rates(y, f->rates, &lines);
    fprintf(out, "\n");
    say_slips(p, &lines);
    fprintf(out, "\n");
    say_changes(before, &now, f->ask->since_day, &lines);
}

static void print_changes(const struct progress_frame *f, const struct progress_row *now, const struct progress_row *before, int count,
                          FILE *out)
{
    char since[16], said[120];
    bool is_any = false;
    day_print(f->ask->since_day, since);
    for (int i = 0; i < count; i++) {
        if (!say_row_change(&before[i], &now[i], said, sizeof said))
            continue;
        if (!is_any)
            fprintf(out, "\nSince %s\n", since);
        is_any = true;
        fprintf(out, "  %s: %s\n", now[i].person, said);
    }
    if (!is_any)
        fprintf(out, "\nNothing has changed since %s.\n", since);
}

void progress_group_text(const struct progress_frame *f, struct progress_row *now, struct progress_row *before, int count, FILE *out)
{
    char until[16], row[PROGRESS_ROW_CAP];
    int32_t held = 0;
    day_print(f->ask->until_day, until);
    if (count == 0) {
        fprintf(out, "Nobody has measured yet, and nobody is expected to. stillarm people adds somebody.\n");
        return;
    }
    progress_sort(now, before, count, ORDER_READY);
    fprintf(out, "As of %s, by the yardstick %s; a preceptor decides\n\n%s\n", until, f->ask->yardstick->id, PROGRESS_COLUMNS[WIDTH_USUAL]);
    for (int i = 0; i < count; i++) {
        say_progress_row(&now[i], WIDTH_USUAL, row);
        fprintf(out, "%s\n", row);
        held += now[i].held;
    }
    fprintf(out, "\nSealed sittings; bias, within 5 mmHg and zeros: systolic, diastolic.\n");
    if (held > 0)
        fprintf(out, "%d sitting%s held by the witness %s in no figure.\n", (int)held, held == 1 ? "" : "s", held == 1 ? "is" : "are");
    fprintf(out, "An aid to training: it certifies nobody.\n");
    print_changes(f, now, before, count, out);
}

/* ---- CSV ---- */

/* A spreadsheet takes such a beginning for a formula, and a name is typed by anybody: it would be run on the desk of who
 * looks at the group. Numbers, which may well begin with a sign, do not come through here. */
static bool is_like_formula(const char *s)
{
    return s[0] && strchr("=+-@", s[0]);
}

static void put_text(const char *s, FILE *out)
{
    const char *first = is_like_formula(s) ? "'" : "";
    if (!strpbrk(s, ",\"\r\n")) {
        fprintf(out, "%s%s", first, s);
        return;
    }
    fprintf(out, "\"%s", first);
    for (; *s; s++) {
        if (*s == '"')
            fputc('"', out);
        fputc(*s, out);
    }
    fputc('"', out);
}

static void put_day(int32_t day, FILE *out)
{
    char said[16] = "";
    if (day > 0)
        day_print(day, said);
    fprintf(out, ",%s", said);
}

static void put_number(bool has, double value, FILE *out)
{
    if (has && isfinite(value))
        fprintf(out, ",%.17g", value);
    else
        fputc(',', out);
}

static void put_figures(const struct figure *list, int count, FILE *out)
{
    for (int i = 0; i < count; i++) {
        bool has = list[i].lack == LACK_NONE, has_limits = has && list[i].limits_lack == LACK_NONE;
        put_number(has, list[i].value, out);
        put_number(has_limits, list[i].low, out);
        put_number(has_limits, list[i].high, out);
    }
}

static void put_names(const char *before, const struct figure_row *rows, int count, FILE *out)
{
    for (int i = 0; i < count; i++)
        fprintf(out, ",%s%s,%s%s-low,%s%s-high", before, rows[i].id, before, rows[i].id, before, rows[i].id);
}

/** The counts of a record, in the order of their columns. */
static const struct {
    const char *name;
    size_t at; /* of an int32_t in struct progress */
} COUNTS[] = {
    { "sealed", offsetof(struct progress, sealed) },
    { "stopped", offsetof(struct progress, stopped) },
    { "open", offsetof(struct progress, open) },
    { "clean", offsetof(struct progress, clean) },
    { "held", offsetof(struct progress, held) },
    { "unsigned", offsetof(struct progress, unsigned_count) },
    { "unjudged", offsetof(struct progress, unjudged) },
    { "witnessed", offsetof(struct progress, witnessed) },
    { "witnessed-passed", offsetof(struct progress, witnessed_passed) },
    { "readings", offsetof(struct progress, readings) },
    { "readings-counted", offsetof(struct progress, counted) },
    { "pairs-void", offsetof(struct progress, pairs_void) },
    { "pairs-other-listener", offsetof(struct progress, pairs_other) },
    { "passed-over", offsetof(struct progress, waived) },
    { "pairs-not-countersigned", offsetof(struct progress, pairs_unread) },
    { "pairs-unsigned", offsetof(struct progress, pairs_unsigned) },
    { "releases-observed", offsetof(struct progress, releases_observed) },
    { "releases-quick", offsetof(struct progress, releases_quick) },
    { "releases-slow", offsetof(struct progress, releases_slow) },
};

static int32_t count_at(const struct progress *p, size_t at)
{
    int32_t n;
    memcpy(&n, (const char *)p + at, sizeof n);
    return n;
}

void progress_csv_head(FILE *out)
{
    fprintf(out, "person,name,role,yardstick,until,answer,missing-pairs,first-day,last-day");
    for (size_t i = 0; i < ARRAY_LEN(COUNTS); i++)
        fprintf(out, ",%s", COUNTS[i].name);
    fprintf(out, ",refused,slips,lapsed,void,pairs,subjects,listeners,days-since-pair,learning-wrong,learning-height,reached-at,lost-at");
    put_names("systolic-", SIDE_FIGURES, SIDE_FIGURE_COUNT, out);
    put_names("diastolic-", SIDE_FIGURES, SIDE_FIGURE_COUNT, out);
    put_names("", JOINT_FIGURES, JOINT_FIGURE_COUNT, out);
    fprintf(out, "\r\n");
}

static void put_sums(const struct progress *p, FILE *out)
{
    int refused = 0, slips = 0, lapsed = 0, voids = 0;
    for (int rule = 0; rule < RULE_COUNT; rule++) {
        *(rule_is_slip((enum rule)rule) ? &slips : &refused) += p->refused[rule];
        lapsed += p->lapsed[rule];
    }
    for (int i = 0; i < VOID_REASON_COUNT; i++)
        voids += p->voids[i];
    fprintf(out, ",%d,%d,%d,%d", refused, slips, lapsed, voids);
}

static void put_learning(const struct progress *p, FILE *out)
{
    const int64_t *count = p->record.count;
    const struct learning_state *s = &p->record.agreement.learning;
    bool has = p->record.agreement.has_learning;
    fprintf(out, ",%lld,%lld,%lld", (long long)count[RECORD_PAIRS], (long long)count[RECORD_SUBJECTS], (long long)count[RECORD_LISTENERS]);
    put_number(count[RECORD_PAIRS] > 0, (double)count[RECORD_DAYS_SINCE_PAIR], out);
    put_number(has, (double)s->wrong, out);
    put_number(has, s->height, out);
    put_number(has && s->reached_at > 0, (double)s->reached_at, out);
    put_number(has && s->lost_at > 0, (double)s->lost_at, out);
}

void progress_csv_row(const struct progress_frame *f, const struct progress *p, FILE *out)
{
    const struct agreement *a = &p->record.agreement;
    put_text(p->person, out);
    fputc(',', out);
    put_text(p->name, out);
    fprintf(out, ",%s,%s", p->role, f->ask->yardstick->id);
    put_day(f->ask->until_day, out);
    fprintf(out, ",%s", READINESS_WORDS[p->result.answer]);
    put_number(p->result.missing_pairs > 0, (double)p->result.missing_pairs, out);
    put_day(p->first_day, out);
    put_day(p->last_day, out);
    for (size_t i = 0; i < ARRAY_LEN(COUNTS); i++)
        fprintf(out, ",%d", (int)count_at(p, COUNTS[i].at));
    put_sums(p, out);
    put_learning(p, out);
    put_figures(a->side[SIDE_SYSTOLIC].figure, SIDE_FIGURE_COUNT, out);
    put_figures(a->side[SIDE_DIASTOLIC].figure, SIDE_FIGURE_COUNT, out);
    put_figures(a->joint, JOINT_FIGURE_COUNT, out);
    fprintf(out, "\r\n");
}

/* ---- JSON ---- */

enum status progress_json(const struct progress_frame *f, json_t *people, FILE *out, struct err *e)
{
    char until[16], since[16];
    day_print(f->ask->until_day, until);
    day_print(f->ask->since_day, since);
    json_t *all = json_pack("{s:s, s:s, s:s, s:s, s:o, s:o}", "yardstick", f->ask->yardstick->id, "title", f->ask->yardstick->title,
                            "until", until, "since", since, "rates", json_of_rates(&f->ask->yardstick->plan, f->rates), "people", people);
    return json_print(all, out, e);
}
