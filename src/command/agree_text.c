/* SPDX-License-Identifier: GPL-3.0-or-later */
/** @file agree_text.c  Words and numbers come from guide and stats; here they are put in lines. */
#include "command/agree_text.h"

#include <string.h>

#include "guide/progress.h"
#include "output/figures_json.h"
#include "stillarm/text.h"

enum { NAME_COLUMNS = SHORT_NAME_COLUMNS };

/* Bad rows are found before it is known whose they are: with --of they are counted of all measurers. */
static void add_left_out(struct text *t, const struct agree_rows *r)
{
    text_addf(t, "%lld of %lld rows%s %s left out", (long long)r->bad, (long long)r->rows, r->of ? " of the whole file, all measurers'," : "",
              r->bad == 1 ? "was" : "were");
}

/* `3 of 51 rows were left out: 2 with an empty cell, 1 with ...`; "" where none was. */
static void say_left_out(const struct agree_rows *r, char *out, size_t cap)
{
    struct text t;
    text_init(&t, out, cap);
    if (r->bad == 0)
        return;
    add_left_out(&t, r);
    for (int i = 0, n = 0; i < ROW_FAULT_COUNT; i++)
        if (r->faults[i] > 0)
            text_addf(&t, "%s %lld %s", n++ == 0 ? ":" : ",", (long long)r->faults[i], ROW_FAULTS[i].say);
    text_add(&t, ".");
}

void agree_print_aside(const struct agree_rows *r, FILE *to)
{
    char left_out[600];
    say_left_out(r, left_out, sizeof left_out);
    if (r->bad > 0)
        fprintf(to, "stillarm: %s\n", left_out);
    for (int i = 0; i < AGREE_BAD_SAID && i < r->bad; i++)
        fprintf(to, "  %s\n", r->bad_said[i].text);
    if (r->bad > AGREE_BAD_SAID)
        fprintf(to, "  and %lld more\n", (long long)(r->bad - AGREE_BAD_SAID));
    if (r->empty_rows == 1)
        fprintf(to, "stillarm: Line %lld has empty cells alone and was passed over.\n", (long long)r->empty_line);
    else if (r->empty_rows > 1)
        fprintf(to, "stillarm: %lld rows have empty cells alone and were passed over, the first in line %lld.\n",
                (long long)r->empty_rows, (long long)r->empty_line);
}

static void print_line(void *user, enum line_role role, const char *text)
{
    FILE *to = user;
    fprintf(to, "%s\n", role == LINE_GAP ? "" : text);
}

/* Those that look alike when cut follow each other, as they are by name. */
static bool is_like_neighbour(const struct agree_rows *r, uint32_t i, const struct short_name *s)
{
    for (uint32_t k = i > 0 ? i - 1 : 1; k < r->count && k <= i + 1; k += 2)
        if (strcmp(short_name_of(r->measurers[k]->name).text, s->text) == 0)
            return true;
    return false;
}

/* In full on a line of its own where it would look like another. */
static void print_name(FILE *to, const struct agree_rows *r, uint32_t i)
{
    struct short_name s = short_name_of(r->measurers[i]->name);
    if (is_like_neighbour(r, i, &s))
        fprintf(to, "%s\n%*s", r->measurers[i]->name, NAME_COLUMNS, "");
    else
        fprintf(to, "%s%*s", s.text, NAME_COLUMNS - s.columns, "");
}

/* A number in so many columns; a lack is a dash. */
static void print_number(FILE *to, const struct figure *f, int decimals, int columns)
{
    if (f->lack == LACK_NONE)
        fprintf(to, "%*.*f", columns, decimals, f->value);
    else
        fprintf(to, "%*s", columns, "-");
}

/* Which way it goes: with its sign. */
static void print_signed(FILE *to, const struct figure *f, int columns)
{
    char said[40];
    struct text t;
    text_init(&t, said, sizeof said);
    if (f->lack == LACK_NONE)
        add_rounded(&t, f->value, 1, true);
    else
        text_add(&t, "-");
    fprintf(to, "%*s", columns, said);
}

static void print_share(FILE *to, const struct figure *f, int columns)
{
    if (f->lack == LACK_NONE)
        fprintf(to, "%*.0f %%", columns - 2, 100 * f->value);
    else
        fprintf(to, "%*s", columns, "-");
}

static void print_numbers(FILE *to, const struct agreement_side *s)
{
    print_signed(to, &s->figure[FIGURE_BIAS], 7);
    print_number(to, &s->figure[FIGURE_SD], 1, 5);
    print_signed(to, &s->figure[FIGURE_LOWER], 9);
    print_signed(to, &s->figure[FIGURE_UPPER], 7);
    print_share(to, &s->figure[FIGURE_NEAR_5], 9);
    print_number(to, &s->figure[FIGURE_ICC_2_1], 2, 9);
    print_share(to, &s->figure[FIGURE_ZERO], 6);
    fprintf(to, "\n");
}

static void print_learning(FILE *to, const struct learning_plan *plan, const struct learning_state *s)
{
    char said[40] = "skill not yet";
    if (s->reached_at > 0)
        (void)snprintf(said, sizeof said, "skill at pair %lld", (long long)s->reached_at);
    else if (s->lost_at > 0)
        (void)snprintf(said, sizeof said, "lost at pair %lld", (long long)s->lost_at);
    else if (s->answers < learning_least_right(plan, 0.0))
        (void)snprintf(said, sizeof said, "skill: too few pairs");
    fprintf(to, "%-*s ", NAME_COLUMNS + 7, said);
}

/* Two lines a measurer, a side each. */
static void print_measurers(const struct agree_answer *a, FILE *to)
{
    static struct agreement one; /* large */
    fprintf(to, "\nBy measurer\n%-*s %6s %3s%7s%5s%16s%9s%9s%6s\n", NAME_COLUMNS, "", "pairs", "", "bias", "SD", "95 of 100 from",
            "within 5", "ICC(2,1)", "zeros");
    for (uint32_t i = 0; i < a->rows->count; i++) {
        const struct measurer *m = a->rows->measurers[i];
        agreement_of(&m->tally, &one);
        print_name(to, a->rows, i);
        fprintf(to, " %6lld sys", (long long)one.n);
        print_numbers(to, &one.side[SIDE_SYSTOLIC]);
        print_learning(to, &a->frame->plan, &one.learning);
        fprintf(to, "dia");
        print_numbers(to, &one.side[SIDE_DIASTOLIC]);
    }
    fprintf(to, "skill at pair N: the learning curve signalled skill at this one's Nth pair;\n"
                "too few pairs: it could not, had all of them been right.\n"
                "Everything of one: --of ID; of all of them: --json.\n");
}

/* A line a reason: all in one would not fit. */
static void print_left_out(const struct agree_rows *r, FILE *to)
{
    char line[120];
    struct text t;
    text_init(&t, line, sizeof line);
    add_left_out(&t, r);
    fprintf(to, "%s:\n", line);
    for (int i = 0; i < ROW_FAULT_COUNT; i++)
        if (r->faults[i] > 0)
            fprintf(to, "  %lld %s, %sin line %lld\n", (long long)r->faults[i], ROW_FAULTS[i].say, r->faults[i] == 1 ? "" : "first ",
                    (long long)r->fault_line[i]);
}

static void print_pool(const struct agree_rows *r, FILE *to)
{
    struct pair_pool pool = { .measurers = 0 };
    for (uint32_t i = 0; i < r->count; i++)
        pair_pool_add(&pool, &r->measurers[i]->tally);
    fprintf(to, "\n");
    say_pair_pool(&pool, print_line, to);
}

void agree_print_text(const struct agree_answer *a, FILE *to)
{
    const struct agree_rows *r = a->rows;
    fprintf(to, "%s: %lld row%s, %lu measurer%s; yardstick %s\n", a->file, (long long)r->rows, r->rows == 1 ? "" : "s",
            (unsigned long)r->count, r->count == 1 ? "" : "s", a->yardstick->id);
    if (r->of)
        fprintf(to, "Of %s alone: %lld row%s of others stay%s out.\n", r->of, (long long)r->others, r->others == 1 ? "" : "s",
                r->others == 1 ? "s" : "");
    if (r->bad > 0)
        print_left_out(r, to);
    say_pair_doubts(&r->doubts, print_line, to);
    if (r->count > 1)
        print_pool(r, to);
    fprintf(to, "\n");
    say_agreement(a->all, print_line, to);
    if (r->count > 1)
        print_measurers(a, to);
}

/* ---- JSON ---- */

static json_t *json_of_left_out(const struct agree_rows *r)
{
    json_t *reasons = json_object();
    for (int i = 0; reasons && i < ROW_FAULT_COUNT; i++)
        if (r->faults[i] > 0 && json_object_set_new(reasons, ROW_FAULTS[i].id, json_integer((json_int_t)r->faults[i])) != 0) {
            json_decref(reasons);
            reasons = NULL;
        }
    return json_pack("{s:I, s:o, s:o}", "rows", (json_int_t)r->bad, "reasons", reasons, "first",
                     r->bad > 0 ? json_string(r->bad_said[0].text) : json_null());
}

static json_t *json_of_doubts(const struct pair_doubts *d)
{
    json_t *lines = json_array();
    bool is_whole = lines != NULL;
    for (int i = 0; is_whole && i < DOUBT_LINES && i < d->rows; i++)
        is_whole = json_array_append_new(lines, json_integer((json_int_t)d->told[i].line)) == 0;
    json_t *said = json_pack("{s:I, s:o}", "rows", (json_int_t)d->rows, "lines", lines);
    for (int i = 0; said && i < DOUBT_COUNT; i++)
        is_whole = json_object_set_new(said, DOUBT_IDS[i], json_integer((json_int_t)d->of[i])) == 0 && is_whole;
    if (is_whole)
        return said;
    json_decref(said);
    return NULL;
}

static json_t *json_of_input(const struct agree_answer *a)
{
    const struct agree_rows *r = a->rows;
    const struct category_scheme *scheme = a->frame->scheme;
    json_t *file = json_string(a->file); /* NULL where its name is no UTF-8 */
    return json_pack("{s:o, s:I, s:o, s:I, s:o, s:I, s:o, s:I, s:s, s:o}", "file", file ? file : json_null(), "rows", (json_int_t)r->rows,
                     "of", r->of ? json_string(r->of) : json_null(), "rows_of_others", (json_int_t)r->others, "left_out",
                     json_of_left_out(r), "empty_rows", (json_int_t)r->empty_rows, "look_mistyped", json_of_doubts(&r->doubts), "measurers", (json_int_t)r->count, "yardstick", a->yardstick->id, "categories",
                     scheme ? json_string(scheme->id) : json_null());
}

static enum status print_member(const char *before, json_t *steals, FILE *to, struct err *e)
{
    fputs(before, to);
    return json_print(steals, to, e);
}

enum status agree_print_json(const struct agree_answer *a, FILE *to, struct err *e)
{
    static struct agreement one; /* large */
    enum status st = print_member("{\"input\":\n", json_of_input(a), to, e);
    if (st == ST_OK)
        st = print_member(",\n\"all\":\n", json_of_agreement(a->all), to, e);
    fputs(",\n\"measurers\": [\n", to);
    for (uint32_t i = 0; i < a->rows->count && st == ST_OK; i++) {
        const struct measurer *m = a->rows->measurers[i];
        agreement_of(&m->tally, &one);
        json_t *said = json_of_agreement(&one);
        if (said && json_object_set_new(said, "measurer", json_string(m->name)) != 0) {
            json_decref(said);
            said = NULL;
        }
        st = print_member(i > 0 ? ",\n" : "", said, to, e);
    }
    fputs("]}\n", to);
    return st;
}
