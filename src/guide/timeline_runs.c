/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Acts of one kind that follow each other with nothing between them, told in one row that can be unfolded into each of them. */
#include <stdio.h>
#include <string.h>

#include "guide/timeline.h"

#define INDENT "  " /* of each act where the run is unfolded */

/* Short ones to the tenth: there it matters whether anybody can have looked. */
static void say_took(int64_t took_ms, char out[16])
{
    if (took_ms < 10000)
        snprintf(out, 16, "%d.%d s", (int)(took_ms / 1000), (int)(took_ms / 100 % 10));
    else
        say_span(took_ms, out);
}

static void say_look(int64_t took_ms, bool is_quick, char out[48])
{
    char took[16];

    say_took(took_ms, took);
    snprintf(out, 48, "%s%s", took, is_quick ? ", quick" : " after");
}

static void say_looks(const struct timeline_run *run, char out[48])
{
    char quickest[16];

    say_took(run->quickest_ms, quickest);
    if (run->presses == 1)
        say_look(run->quickest_ms, run->quick > 0, out);
    else if (run->quick > 0)
        snprintf(out, 48, "%d quick, %s", (int)run->quick, quickest);
    else
        snprintf(out, 48, "quickest %s", quickest);
}

/* What a single act of the run is called, without the time and the indent before it. */
static const char *name_in(const struct timeline_row *row)
{
    return row->text + (strlen(row->text) > TIME_WIDTH + strlen(INDENT) ? TIME_WIDTH + strlen(INDENT) : 0);
}

/* ---- the row that tells all of them ---- */

static void say_items(const struct timeline *t, const struct timeline_run *run, char *out, size_t cap)
{
    const char *step = step_word((enum step)run->step);
    char span[16];

    if (run->count == 1)
        snprintf(out, cap, "%s: %s, looked at", step, name_in(&t->rows[t->row_count - 1]));
    else if (run->presses == 1)
        snprintf(out, cap, "%s: %d looked at together", step, (int)run->count);
    else {
        say_span(run->last_ms - run->from_ms, span);
        snprintf(out, cap, "%s: %d looked at, %s", step, (int)run->count, span);
    }
}

static void say_cuffs(const struct timeline *t, const struct timeline_run *run, char *out, size_t cap)
{
    int bladders = (int)(run->count - run->named);

    if (run->count == 1)
        snprintf(out, cap, "%s%s", run->named > 0 ? "cuffs at hand: " : "", name_in(&t->rows[t->row_count - 1]));
    else if (run->named == 0)
        snprintf(out, cap, "bladders of cuffs: %d", bladders);
    else if (bladders > 0)
        snprintf(out, cap, "cuffs at hand: %d, bladders of %d", (int)run->named, bladders);
    else
        snprintf(out, cap, "cuffs at hand: %d", (int)run->named);
}

static void say_checks(const struct timeline *t, const struct timeline_run *run, char *out, size_t cap)
{
    if (run->count == 1)
        snprintf(out, cap, "checked: %s", name_in(&t->rows[t->row_count - 1]));
    else
        snprintf(out, cap, "checked: %d, none above what is asked", (int)run->count);
}

static void tell_head(struct timeline *t, struct timeline_run *run)
{
    static void (*const SAY[])(const struct timeline *, const struct timeline_run *, char *, size_t) = {
        [RUN_ITEMS] = say_items, [RUN_CUFFS] = say_cuffs, [RUN_CHECKS] = say_checks
    };
    struct timeline_row *head = &t->rows[run->head];
    char words[TIMELINE_ROW_CAP - 20], time[16];

    SAY[run->kind](t, run, words, sizeof words);
    say_wall(t, run->first_ms, time);
    snprintf(head->text, sizeof head->text, "%-*s%s", TIME_WIDTH, time, words);
    text_defuse(head->text);
    if (run->kind == RUN_ITEMS)
        say_looks(run, head->value);
    else if (run->count == 1)
        text_copy(head->value, sizeof head->value, t->rows[t->row_count - 1].value);
    else
        head->value[0] = '\0';
}

/* ---- the names under it ---- */

static void drop_names(struct timeline *t, struct timeline_run *run)
{
    int from = run->head + 1, behind = t->row_count - from - (int)run->name_rows;

    memmove(&t->rows[from], &t->rows[from + run->name_rows], (size_t)behind * sizeof t->rows[0]);
    t->row_count -= (int)run->name_rows;
    run->name_rows = 0;
}

static void tell_names(struct timeline *t, struct timeline_run *run)
{
    char words[SAY_CAP] = "";
    int from = t->row_count;

    if (run->count < 2 || run->named == 0)
        return;
    for (int i = run->head + 1; i < from; i++)
        if (t->rows[i].is_named)
            add_words(words, sizeof words, "%s%s%s", words[0] != '\0' ? ", " : "", name_in(&t->rows[i]),
                      t->rows[i].is_quick && run->presses > 1 ? " (quick)" : "");
    row_words(t, run->seq, false, -1, "", words);
    run->name_rows = t->row_count - from;
    for (int i = from; i < t->row_count; i++) {
        t->rows[i].run = run->seq;
        t->rows[i].when = ROW_FOLDED;
    }
    rows_up(t, from, run->head + 1);
}

/* ---- one more ---- */

static bool begin(struct timeline *t, const struct run_act *a)
{
    struct timeline_run *run = &t->told.run;
    int before = t->row_count;

    row_add(t, a->seq, true, a->t_ms, "", "%s", a->words);
    *run = (struct timeline_run){ .kind = a->kind, .step = a->step, .seq = a->seq, .head = before, .first_ms = a->t_ms,
                                  .from_ms = t->told.before_ms, .last_ms = -1, .quickest_ms = INT64_MAX };
    t->row_count = t->row_count > before ? before + 1 : before; /* the head takes one row, told anew below */
    if (t->row_count == before)
        run->kind = RUN_NONE;
    else
        t->rows[before].run = a->seq;
    return run->kind != RUN_NONE;
}

/* Items that one press confirmed are looked at once. */
static bool take_press(struct timeline *t, struct timeline_run *run, const struct run_act *a)
{
    int64_t took_ms = t->told.press_ms - t->told.before_ms;
    bool is_quick = took_ms < (int64_t)t->p->value[KEY_LOOK_MIN_X10] * 100;

    if (a->kind != RUN_ITEMS || run->last_ms == a->t_ms)
        return a->kind == RUN_ITEMS && is_quick;
    run->presses++;
    run->quick += is_quick;
    run->last_ms = a->t_ms;
    run->quickest_ms = took_ms < run->quickest_ms ? took_ms : run->quickest_ms;
    t->quick_count += is_quick;
    overview_look(t, took_ms);
    return is_quick;
}

static void add_act(struct timeline *t, struct timeline_run *run, const struct run_act *a)
{
    bool is_first = run->last_ms != a->t_ms, is_quick = take_press(t, run, a);
    int from = t->row_count;
    char words[SAY_CAP], look[48];

    if (is_quick)
        overview_say(t, OVER_QUICK, -1, "%s", a->words);
    say_look(t->told.press_ms - t->told.before_ms, is_quick, look);
    snprintf(words, sizeof words, INDENT "%.*s", (int)sizeof words - 8, a->words);
    text_defuse(words);
    row_words(t, a->seq, true, a->t_ms, a->kind != RUN_ITEMS ? a->value : is_first ? look : "with it", words);
    run->count++;
    run->named += a->is_named;
    for (int i = from; i < t->row_count; i++) {
        t->rows[i].run = run->seq;
        t->rows[i].when = ROW_UNFOLDED;
        t->rows[i].is_quick = is_quick && i == from;
        t->rows[i].is_named = a->is_named && i == from;
    }
}

void run_add(struct timeline *t, const struct run_act *a)
{
    struct timeline_run *run = &t->told.run;

    if ((run->kind != a->kind || run->step != a->step) && !begin(t, a))
        return;
    drop_names(t, run);
    add_act(t, run, a);
    tell_head(t, run);
    tell_names(t, run);
}

void run_end(struct timeline *t)
{
    t->told.run.kind = RUN_NONE;
}

/* ---- what of it is shown ---- */

bool timeline_is_shown(const struct timeline *t, int row, int32_t unfolded)
{
    const struct timeline_row *r = &t->rows[row];

    return r->when == ROW_ALWAYS || (r->when == ROW_UNFOLDED) == (r->run == unfolded);
}

int timeline_head(const struct timeline *t, int row)
{
    int32_t run = t->rows[row].run;

    while (row > 0 && run != 0 && (t->rows[row].run != run || t->rows[row].when != ROW_ALWAYS))
        row--; /* what was said about one of them may stand between */
    return row;
}
