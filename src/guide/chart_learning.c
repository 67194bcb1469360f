/* SPDX-License-Identifier: GPL-3.0-or-later */
/** @file chart_learning.c  The learning curve's course, kept in a room that does not grow, and its graph. */
#include <stdio.h>

#include "guide/chart_parts.h"

/* ---- the course ---- */

void learning_path_begin(struct learning_path *p)
{
    p->count = 0;
    p->every = 1;
}

static bool is_sign(const struct learning_path *p, int i)
{
    return p->at[i].is_reached || p->at[i].is_lost;
}

/* Keep every second answer, and what was signalled; where signals take half of the room the older half of all is given up.
 * So thinning out frees a quarter and more each time, and `every` stays far below the number of answers. */
static void make_room(struct learning_path *p)
{
    int kept = 0, signs = 0;

    for (int i = 0; i < p->count; i++)
        signs += is_sign(p, i);
    bool is_thinned = signs < CHART_PATH_MAX / 2;
    p->every *= is_thinned ? 2 : 1;
    for (int i = is_thinned ? 0 : CHART_PATH_MAX / 2; i < p->count; i++)
        if (is_sign(p, i) || p->at[i].answer % p->every == 0)
            p->at[kept++] = p->at[i];
    p->count = kept;
}

void learning_path_add(struct learning_path *p, const struct learning_state *s, bool is_right)
{
    bool is_reached = s->answers > 0 && s->reached_at == s->answers, is_lost = s->answers > 0 && s->lost_at == s->answers;

    if (s->answers > INT32_MAX || (s->answers % p->every != 0 && !is_reached && !is_lost))
        return;
    if (p->count == CHART_PATH_MAX)
        make_room(p);
    if (s->answers % p->every != 0 && !is_reached && !is_lost)
        return;
    p->at[p->count].answer = (int32_t)s->answers;
    p->at[p->count].height = (float)s->height;
    p->at[p->count].is_wrong = !is_right;
    p->at[p->count].is_reached = is_reached;
    p->at[p->count].is_lost = is_lost;
    p->count++;
}

/* ---- its graph ---- */

static void add_point(struct chart *c, double x, double y, bool is_marked)
{
    c->points[c->point_count++] = (struct chart_point){.x = x, .y = y, .count = 1, .is_marked = is_marked};
}

/* Where a curve begins. */
static void add_bend(struct chart *c, double x)
{
    c->points[c->point_count++] = (struct chart_point){.x = x};
}

/* The newest signals that there is room for, and words at the newest of them. */
static void add_sign(struct chart *c, double x, double y, bool is_reached)
{
    int unlabelled = c->sign_count - CHART_SIGNS_LABELLED;

    if (unlabelled >= 0)
        c->signs[unlabelled].label[0] = '\0';
    if (c->sign_count == CHART_SIGNS_MAX)
        for (int i = 1; i < c->sign_count; i++)
            c->signs[i - 1] = c->signs[i];
    else
        c->sign_count++;
    struct chart_sign *s = &c->signs[c->sign_count - 1];
    s->x = x;
    s->y = y;
    s->is_reached = is_reached;
    snprintf(s->label, sizeof s->label, "%s, pair %d", is_reached ? "reached" : "lost", (int)x);
}

/* A signal is drawn at its level, and the next curve begins below it at 0. Returns how many there were. */
static int add_course(struct chart *c, const struct learning_plan *plan, const struct learning_path *path)
{
    int signs = 0;

    if (path->at[0].answer <= path->every)
        add_bend(c, 0);
    for (int i = 0; i < path->count && i < CHART_PATH_MAX; i++) {
        double x = path->at[i].answer;
        if (is_sign(path, i)) {
            double level = path->at[i].is_reached ? plan->reach : plan->lose;
            add_point(c, x, level, path->at[i].is_wrong);
            add_sign(c, x, level, path->at[i].is_reached);
            add_bend(c, x);
            signs++;
        } else
            add_point(c, x, (double)path->at[i].height, path->at[i].is_wrong);
    }
    return signs;
}

static void note_course(struct text *note, const struct learning_path *path, int signs, const struct learning_state *s)
{
    text_addf(note, "; %lld wrong", (long long)s->wrong);
    if (path->every > 1)
        text_addf(note, "; one in %d is drawn", (int)path->every);
    if (path->at[0].answer > path->every)
        text_addf(note, "; from pair %d on", (int)path->at[0].answer);
    if (signs > CHART_SIGNS_LABELLED)
        text_addf(note, "; the latest %d signals have a label", CHART_SIGNS_LABELLED);
}

void chart_learning(struct chart *c, const struct chart_frame *f, const struct learning_plan *plan,
                    const struct learning_path *path, const struct learning_state *s)
{
    struct chart_span answers = {.has_any = true}, heights = {.has_any = true};
    struct text note;

    chart_begin(c, CHART_LEARNING, "pairs in their order", "height of the curve, no unit");
    chart_set_title(c, "learning curve", f->who, "");
    chart_note_count(&note, c, f, s->answers, "pair", "pairs");
    if (path->count == 0) {
        text_copy(c->lack, sizeof c->lack, "There is no pair with a second listener yet.");
        return;
    }
    c->is_joined = true;
    int signs = add_course(c, plan, path);
    note_course(&note, path, signs, s);
    chart_add_figure_level(c, STROKE_LIMIT, plan->reach, "reached at", false);
    if (signs > 0)
        chart_add_figure_level(c, STROKE_BAND_HIGH, plan->lose, "lost at", false);
    for (int i = 0; i < c->point_count; i++) {
        chart_span_take(&answers, c->points[i].x);
        chart_span_take(&heights, c->points[i].y);
    }
    for (int i = 0; i < c->level_count; i++)
        chart_span_take(&heights, c->levels[i].at);
    if (path->at[0].answer > path->every)
        answers.low = path->at[0].answer;
    chart_hold(&c->x, answers, 1);
    chart_hold(&c->y, heights, 0.5);
}
