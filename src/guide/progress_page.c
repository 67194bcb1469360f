/* SPDX-License-Identifier: GPL-3.0-or-later */
/* A person's record, leaf by leaf: the verdict in words first, then graphs, then all there is in lines. */
#include <stdio.h>
#include <string.h>

#include "guide/chart_cells.h"
#include "guide/progress_chart.h"
#include "stillarm/text.h"

#define LINES_SHOWN 56   /* a window round the cursor; a page holds little more, and no screen so much */
#define ROWS_BELOW 4     /* that a page keeps for refusals and keys */
#define ROWS_AIRY 22     /* from here on an empty row stands under the top line */
#define WIDTH_MOST 96    /* of words; graphs have all there is */
#define BOTH_SIDES_ROWS 26 /* for the bars of both sides, one above the other */

/* ---- the leaves ---- */

static const struct leaf {
    const char *title;   /* NULL: the graph has one */
    int kind;            /* enum chart_kind, -1 none */
    enum side side;
} LEAVES[LEAF_COUNT] = {
    [LEAF_VERDICT] = { "Is it enough?", -1, SIDE_SYSTOLIC },
    [LEAF_DIFFERENCE_SYSTOLIC] = { NULL, CHART_DIFFERENCE, SIDE_SYSTOLIC },
    [LEAF_DIFFERENCE_DIASTOLIC] = { NULL, CHART_DIFFERENCE, SIDE_DIASTOLIC },
    [LEAF_DIGITS] = { NULL, CHART_DIGITS, SIDE_SYSTOLIC },
    [LEAF_RELEASE] = { NULL, CHART_RELEASE, SIDE_SYSTOLIC },
    [LEAF_LEARNING] = { NULL, CHART_LEARNING, SIDE_SYSTOLIC },
    [LEAF_SLIPS] = { "What was refused, and what lapsed", -1, SIDE_SYSTOLIC },
    [LEAF_FIGURES] = { "All figures of the pairs", -1, SIDE_SYSTOLIC },
    [LEAF_CHANGES] = { "What has changed", -1, SIDE_SYSTOLIC },
};

bool progress_leaf_graph(enum progress_leaf leaf, enum chart_kind *kind)
{
    if (LEAVES[leaf].kind < 0)
        return false;
    *kind = (enum chart_kind)LEAVES[leaf].kind;
    return true;
}

/* ---- lines ---- */

/* Lines on their way to a page, of which a window is shown. */
struct window {
    struct page *out; /* NULL: only counted */
    int count, first, at;
};

static void take_line(void *user, enum line_role role, const char *text)
{
    struct window *w = user;
    int i = w->count++;

    if (w->out != NULL && i >= w->first && i < w->first + LINES_SHOWN)
        page_line(w->out, role, "%s", text)->is_current = i == w->at;
}

/* One record and all it is told with. */
struct told {
    const struct progress *p;
    const struct progress_row *before;
    const struct yardstick *y;
    const struct learning_rates *rates;
};

static void say_verdict(const struct told *t, const struct progress_lines *out)
{
    say_readiness(t->y, &t->p->result, &t->p->record, out);
    out->say(out->user, LINE_GAP, "");
    say_counts(t->p, t->y, out);
    out->say(out->user, LINE_GAP, "");
    say_rates(t->y, t->rates, out);
}

static void say_figures(const struct told *t, const struct progress_lines *out)
{
    if (t->p->record.agreement.n == 0)
        out->say(out->user, LINE_INSTRUCTION, "There is no pair with a second listener yet, and so no figure. In a sitting the step "
                                              "of the second listener takes one.");
    else
        say_agreement(&t->p->record.agreement, out->say, out->user);
}

static void say_since(const struct told *t, const struct progress_view *v, const struct progress_lines *out)
{
    struct progress_row now;

    progress_row_of(t->p, &now);
    if (t->before == NULL)
        out->say(out->user, LINE_INSTRUCTION, "There is no day to compare with.");
    else
        say_changes(t->before, &now, v->since_day, out);
}

/* A page would fold once more what is wider than it. */
static int columns_of(const struct progress_view *v)
{
    return v->cols > 0 && v->cols - 2 < PROGRESS_LINE_COLUMNS ? v->cols - 2 : PROGRESS_LINE_COLUMNS;
}

static void say_leaf(const struct told *t, const struct progress_view *v, struct window *w)
{
    const struct progress_lines lines = { take_line, w, columns_of(v) };

    switch (v->leaf) {
    case LEAF_VERDICT:
        say_verdict(t, &lines);
        break;
    case LEAF_SLIPS:
        say_slips(t->p, &lines);
        break;
    case LEAF_FIGURES:
        say_figures(t, &lines);
        break;
    case LEAF_CHANGES:
        say_since(t, v, &lines);
        break;
    case LEAF_DIFFERENCE_SYSTOLIC:
    case LEAF_DIFFERENCE_DIASTOLIC:
    case LEAF_DIGITS:
    case LEAF_RELEASE:
    case LEAF_LEARNING:
    case LEAF_COUNT:
        break;
    }
}

static int clamp(int n, int last)
{
    return n > last ? (last > 0 ? last : 0) : n < 0 ? 0 : n;
}

static void lines_leaf(const struct told *t, const struct progress_view *v, struct page *out)
{
    struct window w = { .out = NULL };

    text_copy(out->title, sizeof out->title, LEAVES[v->leaf].title);
    if (v->leaf == LEAF_VERDICT)
        (void)snprintf(out->title, sizeof out->title, "%.50s, %s", t->p->name[0] != '\0' ? t->p->name : t->p->person, t->p->role);
    say_leaf(t, v, &w);
    w.at = clamp(v->at, w.count - 1);
    w.first = clamp(w.at - LINES_SHOWN / 2, w.count - LINES_SHOWN);
    if (w.first > 0)
        page_line(out, LINE_NOTE, "(%d lines before: k)", w.first);
    const int behind = w.count - w.first - LINES_SHOWN;
    w.count = 0;
    w.out = out;
    say_leaf(t, v, &w);
    if (behind > 0)
        page_line(out, LINE_NOTE, "(%d lines more: j)", behind);
}

/* ---- graphs ---- */

static int width_of(const struct progress_view *v)
{
    int width = v->cols - 2;

    return width < WIDTH_MOST ? width : WIDTH_MOST;
}

/* How many rows a text takes, wrapped by words. */
static int rows_of(const char *text, int width)
{
    int rows = 1, at = 0;

    while (*text != '\0') {
        int blanks = (int)strspn(text, " "), word = 0;
        size_t bytes = strcspn(text + blanks, " ");

        for (size_t i = 0; i < bytes; i++)
            word += ((unsigned char)text[(size_t)blanks + i] & 0xC0) != 0x80;
        if (at > 0 && at + blanks + word > width) {
            rows++;
            at = word;
        } else {
            at += blanks + word;
        }
        text += (size_t)blanks + bytes;
    }
    return at > width ? rows + at / width : rows; /* a word that is wider */
}

/* Between the top line and the rows kept below. */
static int body_rows(const struct progress_view *v, const struct page *pg)
{
    int top = utf8_length(pg->left) + utf8_length(pg->right) + 3 > v->cols - 2 ? 2 : 1;

    return v->rows - top - (v->rows >= ROWS_AIRY ? 1 : 0) - ROWS_BELOW;
}

static void draw_cells(const struct chart *c, const struct progress_view *v, int rows, struct page *out)
{
    char cells[CELLS_ROWS_MAX][4 * CELLS_COLS_MAX + 1];
    int used = chart_cells(c, rows, v->cols - 2, v->is_ascii, cells);

    if (c->lack[0] != '\0')
        page_line(out, LINE_INSTRUCTION, "%s", c->lack);
    else
        for (int i = 0; i < used; i++)
            page_drawn(out, cells[i]);
}

static bool has_both_sides(const struct progress_view *v, const struct page *pg)
{
    return v->leaf == LEAF_DIGITS && (v->rows == 0 || body_rows(v, pg) >= BOTH_SIDES_ROWS);
}

/* What has to be known to read a graph, and no key of a mark says. */
struct aside { char said[2][160]; int count; };

static void say_beside(const struct chart *c, const struct told *t, struct aside *out)
{
    const struct learning_plan *p = &t->y->plan;
    bool is_reached = false;

    out->count = 0;
    for (int quick = 1; c->kind == CHART_RELEASE && quick >= 0; quick--) {
        say_releases_outside(t->p, quick, out->said[out->count], sizeof out->said[0]);
        out->count += out->said[out->count][0] != '\0';
    }
    if (c->kind != CHART_LEARNING || c->lack[0] != '\0')
        return;
    for (int i = 0; i < c->sign_count; i++)
        is_reached = is_reached || c->signs[i].is_reached;
    if (is_reached)
        text_copy(out->said[out->count++], sizeof out->said[0], "After reached it begins anew at 0: up is towards lost.");
    (void)snprintf(out->said[out->count++], sizeof out->said[0],
                   "It errs within %d pairs: %.1f %% who hear %.3g %% wrong reach it, %.1f %% who hear %.3g %% wrong lose it.",
                   (int)p->horizon, 100.0 * t->rates->false_reach, 100.0 * p->inadequate, 100.0 * t->rates->false_loss,
                   100.0 * p->adequate);
}

/* False: there is nothing to draw. */
static bool graph_leaf(const struct told *t, const struct progress_view *v, struct page *out)
{
    const struct leaf *l = &LEAVES[v->leaf];
    struct window w = { .out = out, .at = -1 };
    struct chart c; /* large, and the stack holds it */
    struct aside aside;
    int both = has_both_sides(v, out) ? 2 : 1;
    bool is_drawn = false;
    enum side side = v->leaf == LEAF_DIGITS && both == 1 && v->at > 0 ? SIDE_DIASTOLIC : l->side;

    for (int i = 0; i < both; i++) {
        int width = width_of(v), rows;

        progress_chart(t->p, t->y, (enum chart_kind)l->kind, i > 0 ? SIDE_DIASTOLIC : side, &c);
        is_drawn = is_drawn || c.lack[0] == '\0';
        if (i == 0)
            text_copy(out->title, sizeof out->title, c.title);
        else
            page_line(out, LINE_INSTRUCTION, "%s", c.title);
        say_beside(&c, t, &aside);
        rows = body_rows(v, out) / both - rows_of(c.title, width) - rows_of(c.note, width);
        for (int n = 0; n < aside.count; n++)
            rows -= rows_of(aside.said[n], width);
        if (v->rows == 0)
            say_chart(&c, take_line, &w);
        else
            draw_cells(&c, v, rows > CELLS_ROWS_MAX / both ? CELLS_ROWS_MAX / both : rows, out);
        page_line(out, LINE_NOTE, "%s", c.note);
        for (int n = 0; n < aside.count; n++)
            page_line(out, LINE_NOTE, "%s", aside.said[n]);
    }
    return is_drawn;
}

/* ---- the page ---- */

int progress_page_last(const struct progress *p, const struct progress_row *before, const struct yardstick *y,
                       const struct learning_rates *rates, const struct progress_view *v)
{
    const struct told t = { p, before, y, rates };
    struct window w = { .out = NULL };

    if (LEAVES[v->leaf].kind >= 0)
        return v->leaf == LEAF_DIGITS ? 1 : 0;
    say_leaf(&t, v, &w);
    return w.count > 0 ? w.count - 1 : 0;
}

static void keys(const struct progress_view *v, bool is_drawn, struct page *out)
{
    enum chart_kind kind;

    if (v->leaf + 1 < LEAF_COUNT)
        page_key(out, "n right", "next leaf");
    if (v->leaf > LEAF_VERDICT)
        page_key(out, "p left", "before");
    if (!progress_leaf_graph(v->leaf, &kind))
        page_key(out, "j k", "move");
    else if (v->leaf == LEAF_DIGITS && !has_both_sides(v, out))
        page_key(out, "j k", "other side");
    if (is_drawn)
        page_key(out, "w", "write a file");
    page_key(out, "?", "words");
    page_key(out, "q", "back");
}

void progress_page(const struct progress *p, const struct progress_row *before, const struct yardstick *y,
                   const struct learning_rates *rates, const struct progress_view *v, struct page *out)
{
    const struct told t = { p, before, y, rates };
    bool is_drawn = false;

    page_init(out, PAGE_WIDE, "progress");
    text_copy(out->left, sizeof out->left, PROGRESS_CAUTION);
    (void)snprintf(out->right, sizeof out->right, "%s   %d of %d", p->person, (int)v->leaf + 1, LEAF_COUNT);
    if (LEAVES[v->leaf].kind < 0)
        lines_leaf(&t, v, out);
    else
        is_drawn = graph_leaf(&t, v, out);
    keys(v, is_drawn, out);
}
