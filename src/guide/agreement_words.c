/* SPDX-License-Identifier: GPL-3.0-or-later */
/* How far two listeners agree, in lines: what it means in words, then the figures in groups, then what is published. */
#include <stdio.h>
#include <string.h>

#include "guide/progress.h"
#include "stillarm/text.h"

enum { LABEL_COLUMNS = 24, CELL_COLUMNS = 26, WIDTH = 78, CELL_CAP = 160, LINE_CAP = 240 };

struct lines {
    progress_line_fn say;
    void *user;
};

static void say_line(const struct lines *out, enum line_role role, const char *text)
{
    out->say(out->user, role, text);
}

static void say_heading(const struct lines *out, const char *text)
{
    say_line(out, LINE_GAP, "");
    say_line(out, LINE_INSTRUCTION, text);
}

/* ---- one figure ---- */

/* Which way a difference goes is worth a plus. */
static bool is_signed(const struct figure_row *row)
{
    static const enum side_figure SIGNED[] = { FIGURE_BIAS, FIGURE_LOWER, FIGURE_UPPER, FIGURE_LOWER_APPROX, FIGURE_UPPER_APPROX,
                                               FIGURE_LOWER_LINKED, FIGURE_UPPER_LINKED, FIGURE_LOWER_APART, FIGURE_UPPER_APART };
    for (size_t i = 0; i < ARRAY_LEN(SIGNED); i++)
        if (row == &SIDE_FIGURES[SIGNED[i]])
            return true;
    return false;
}

void add_rounded(struct text *t, double x, int decimals, bool has_plus)
{
    char said[40];
    const char *from = said;
    (void)snprintf(said, sizeof said, has_plus ? "%+.*f" : "%.*f", decimals, x);
    if ((said[0] == '-' || said[0] == '+') && strspn(said + 1, "0.") == strlen(said + 1))
        from++;
    text_add(t, from);
}

static void add_value(struct text *t, double x, const struct figure_row *row, bool has_plus)
{
    if (strcmp(row->unit, "p") == 0 && x < 0.001)
        text_add(t, "< 0.001");
    else if (strcmp(row->unit, "share") == 0)
        add_rounded(t, 100.0 * x, 1, false);
    else
        add_rounded(t, x, strcmp(row->unit, "mmHg") == 0 ? 1 : 3, has_plus);
}

void add_lack(struct text *t, enum lack lack, int64_t need)
{
    text_add(t, LACK_WORDS[lack]);
    if (need > 0)
        text_addf(t, ", it takes %lld", (long long)need);
}

static void add_figure(struct text *t, const struct figure *f, const struct figure_row *row, bool has_unit)
{
    if (f->lack != LACK_NONE) {
        add_lack(t, f->lack, f->need);
        return;
    }
    add_value(t, f->value, row, is_signed(row));
    text_add(t, strcmp(row->unit, "share") == 0 ? " %" : "");
    if (f->limits_lack == LACK_NONE) {
        text_add(t, " (");
        add_value(t, f->low, row, false);
        text_add(t, " to ");
        add_value(t, f->high, row, false);
        text_add(t, ")");
    }
    if (has_unit && strcmp(row->unit, "mmHg") == 0)
        text_add(t, " mmHg");
    if (f->limits_lack != LACK_NONE && f->limits_lack != LACK_LIMITS) {
        text_add(t, "; no limits: ");
        add_lack(t, f->limits_lack, f->need);
    }
}

void say_figure(const struct figure *f, const struct figure_row *row, char *out, size_t cap)
{
    struct text t;
    text_init(&t, out, cap);
    add_figure(&t, f, row, true);
}

/* ---- both sides beside each other ---- */

struct row { enum side_figure figure; const char *label; /* NULL: as the figure is called */ };
#define ROWS_MAX 9
struct group { const char *heading; struct row rows[ROWS_MAX]; int count; const char *note; /* below the heading; NULL: none */ };

static const struct group GROUPS[] = {
    { "Measurer less listener, mmHg, and limits of agreement (95 % limits of each)",
      { { FIGURE_BIAS, NULL }, { FIGURE_SD, NULL }, { FIGURE_LOWER, "lower limit" }, { FIGURE_UPPER, "upper limit" },
        { FIGURE_LOWER_APPROX, "lower limit, 1999" }, { FIGURE_UPPER_APPROX, "upper limit, 1999" } }, 6,
      "(1999: with Bland and Altman's approximate limits, to hold against papers)" },
    { "Subjects read more than once: both heard the same inflations, mmHg",
      { { FIGURE_SD_LINKED, "SD" }, { FIGURE_LOWER_LINKED, "lower limit" }, { FIGURE_UPPER_LINKED, "upper limit" } }, 3,
      "(as above, but a subject's repeats are not taken for other subjects)" },
    { "Subjects read more than once: each listener measured apart, mmHg",
      { { FIGURE_SD_APART, "SD" }, { FIGURE_LOWER_APART, "lower limit" }, { FIGURE_UPPER_APART, "upper limit" } }, 3,
      "(of use only where the two did not hear the same inflations)" },
    { "Shares of pairs (95 % limits)", { { FIGURE_NEAR_5, NULL }, { FIGURE_NEAR_10, NULL }, { FIGURE_NEAR_15, NULL } }, 3, NULL },
    { "Reliability: 1 is perfect (95 % limits)",
      { { FIGURE_ICC_1_1, NULL }, { FIGURE_ICC_2_1, NULL }, { FIGURE_ICC_3_1, NULL }, { FIGURE_ICC_1_K, NULL },
        { FIGURE_ICC_2_K, NULL }, { FIGURE_ICC_3_K, NULL }, { FIGURE_CONCORDANCE, NULL }, { FIGURE_CORRELATION, NULL } }, 8,
      "(quote ICC(2,1) where any listener may stand in for another)" },
    { "The same subject again (95 % limits)",
      { { FIGURE_REPEAT_MEASURER, "SD, measurer, mmHg" }, { FIGURE_REPEAT_LISTENER, "SD, listener, mmHg" },
        { FIGURE_IDENTICAL, "same value, measurer" }, { FIGURE_IDENTICAL_LISTENER, "same value, listener" },
        { FIGURE_IDENTICAL_P, "chance of that" } }, 5, NULL },
    { "End digits of the measurer: 20 % each are expected",
      { { FIGURE_ZERO, NULL }, { FIGURE_ZERO_P, "chance of so many" }, { FIGURE_DIGIT_CHI, "chi-square, 4 df" },
        { FIGURE_DIGIT_P, "chance of that" }, { FIGURE_ODD, NULL } }, 5, NULL },
    { "Within 2 mmHg of a category's boundary: about half below are expected",
      { { FIGURE_BELOW, "below it" }, { FIGURE_BELOW_P, "chance of so many" } }, 2, NULL },
};

/* What stands in a cell for what is not there; the whole reason stands below the group. */
static const char *const LACK_SHORT[] = {
    [LACK_NONE] = "",
    [LACK_PAIRS] = "too few",
    [LACK_SPREAD] = "no spread",
    [LACK_RANGE] = "no range",
    [LACK_SUBJECTS] = "one subject",
    [LACK_REPEATS] = "no repeats",
    [LACK_CATEGORIES] = "no categories",
    [LACK_DIGITS] = "too few",
    [LACK_NEAR] = "none near",
    [LACK_BETWEEN] = "no ratio",
    [LACK_SCATTER] = "no scatter",
    [LACK_LIMITS] = "",
};
_Static_assert(ARRAY_LEN(LACK_SHORT) == LACK_COUNT, "one word per lack");

/* The reasons that a group's cells had, and between which numbers it takes lie. */
struct reasons { bool is_there[2][LACK_COUNT]; int64_t least[2][LACK_COUNT], most[2][LACK_COUNT]; };

static void add_reason(struct reasons *r, bool is_limits, enum lack lack, int64_t need)
{
    int64_t *least = &r->least[is_limits][lack], *most = &r->most[is_limits][lack];
    *least = !r->is_there[is_limits][lack] || need < *least ? need : *least;
    *most = need > *most ? need : *most;
    r->is_there[is_limits][lack] = true;
}

/* A figure in a column. */
static void add_cell(struct text *t, const struct figure *f, const struct figure_row *row, struct reasons *r)
{
    struct figure shown = *f;
    if (f->lack != LACK_NONE) {
        text_add(t, LACK_SHORT[f->lack]);
        add_reason(r, false, f->lack, f->need);
        return;
    }
    if (f->limits_lack != LACK_NONE)
        shown.limits_lack = LACK_LIMITS;
    add_figure(t, &shown, row, false);
    if (f->limits_lack != LACK_NONE && f->limits_lack != LACK_LIMITS) {
        text_add(t, ", no limits");
        add_reason(r, true, f->limits_lack, f->need);
    }
}

/* `no limits: too few pairs, it takes 3 to 4`, a line each. */
static void say_reasons(const struct lines *out, const struct reasons *r)
{
    for (int is_limits = 0; is_limits < 2; is_limits++)
        for (int lack = 0; lack < LACK_COUNT; lack++) {
            char line[LINE_CAP];
            struct text t;
            const char *cell = is_limits ? "no limits" : LACK_SHORT[lack];
            if (!r->is_there[is_limits][lack])
                continue;
            text_init(&t, line, sizeof line);
            text_add(&t, "  ");
            if (strncmp(LACK_WORDS[lack], cell, strlen(cell)) != 0)
                text_addf(&t, "%s: ", cell);
            add_lack(&t, (enum lack)lack, r->least[is_limits][lack]);
            if (r->most[is_limits][lack] > r->least[is_limits][lack])
                text_addf(&t, " to %lld", (long long)r->most[is_limits][lack]);
            say_line(out, LINE_NOTE, line);
        }
}

static void say_row(const struct lines *out, const struct row *r, const struct agreement *a, struct reasons *reasons)
{
    char cell[SIDE_COUNT][CELL_CAP], line[LINE_CAP];
    const char *label = r->label != NULL ? r->label : SIDE_FIGURES[r->figure].say;
    bool is_long = false;
    struct text t;
    for (int side = 0; side < SIDE_COUNT; side++) {
        text_init(&t, cell[side], sizeof cell[side]);
        add_cell(&t, &a->side[side].figure[r->figure], &SIDE_FIGURES[r->figure], reasons);
        is_long = is_long || t.len > CELL_COLUMNS;
    }
    text_init(&t, line, sizeof line);
    text_addf(&t, "  %-*s%-*s", LABEL_COLUMNS - 2, label, CELL_COLUMNS + 1, cell[SIDE_SYSTOLIC]);
    if (is_long) { /* the second below the first, as near to its column as it fits */
        const int usual = LABEL_COLUMNS + CELL_COLUMNS + 1, room = WIDTH - (int)strlen(cell[SIDE_DIASTOLIC]);
        say_line(out, LINE_ROW, line);
        text_init(&t, line, sizeof line);
        text_addf(&t, "%*s", usual < room ? usual : room, "");
    }
    text_add(&t, cell[SIDE_DIASTOLIC]);
    say_line(out, LINE_ROW, line);
}

/* Nothing at all of a group: its reason once. */
static bool say_empty_group(const struct lines *out, const struct group *g, const struct agreement *a)
{
    const struct figure *first = &a->side[SIDE_SYSTOLIC].figure[g->rows[0].figure];
    char line[LINE_CAP];
    struct text t;
    for (int i = 0; i < g->count; i++)
        for (int side = 0; side < SIDE_COUNT; side++) {
            const struct figure *f = &a->side[side].figure[g->rows[i].figure];
            if (f->lack == LACK_NONE || f->lack != first->lack || f->need != first->need)
                return false;
        }
    text_init(&t, line, sizeof line);
    text_add(&t, "  ");
    add_lack(&t, first->lack, first->need);
    say_line(out, LINE_ROW, line);
    return true;
}

static void say_group(const struct lines *out, const struct group *g, const struct agreement *a)
{
    char line[LINE_CAP];
    struct reasons reasons = { .is_there = { { false } } };
    say_heading(out, g->heading);
    if (g->note != NULL) {
        (void)snprintf(line, sizeof line, "  %s", g->note);
        say_line(out, LINE_NOTE, line);
    }
    if (say_empty_group(out, g, a))
        return;
    (void)snprintf(line, sizeof line, "  %-*s%-*s%s", LABEL_COLUMNS - 2, "", CELL_COLUMNS + 1, SIDE_WORDS[SIDE_SYSTOLIC],
                   SIDE_WORDS[SIDE_DIASTOLIC]);
    say_line(out, LINE_NOTE, line);
    for (int i = 0; i < g->count; i++)
        say_row(out, &g->rows[i], a, &reasons);
    say_reasons(out, &reasons);
}

/* ---- in words ---- */

static void say_bias(const struct lines *out, const struct figure *bias)
{
    char line[LINE_CAP];
    struct text t;
    const double size = bias->value < 0.0 ? -bias->value : bias->value;
    text_init(&t, line, sizeof line);
    text_add(&t, "  On average ");
    if (size < 0.05) {
        text_add(&t, "as high as the listener");
    } else {
        add_rounded(&t, size, 1, false);
        text_addf(&t, " mmHg %s than the listener", bias->value > 0.0 ? "higher" : "lower");
    }
    if (bias->limits_lack == LACK_NONE && size >= 0.05)
        text_add(&t, bias->low <= 0.0 && bias->high >= 0.0 ? ", which chance alone may do." : ", seldom by chance alone.");
    else
        text_add(&t, ".");
    say_line(out, LINE_ROW, line);
}

static void say_spread(const struct lines *out, const struct figure *lower, const struct figure *upper, const struct figure *near_5)
{
    char line[LINE_CAP];
    struct text t;
    text_init(&t, line, sizeof line);
    if (lower->lack == LACK_NONE && upper->lack == LACK_NONE) {
        text_add(&t, "  Of 100 differences about 95 are expected from ");
        add_rounded(&t, lower->value, 1, true);
        text_add(&t, " to ");
        add_rounded(&t, upper->value, 1, true);
        text_add(&t, " mmHg.");
        say_line(out, LINE_ROW, line);
    }
    if (near_5->lack != LACK_NONE)
        return;
    text_init(&t, line, sizeof line);
    text_add(&t, "  Within 5 mmHg: ");
    add_figure(&t, near_5, &SIDE_FIGURES[FIGURE_NEAR_5], false);
    text_add(&t, " of the pairs.");
    say_line(out, LINE_ROW, line);
}

/* Judgement: what chance does once in a hundred times is worth a look. */
#define RARE_P 0.01

static void say_habits(const struct lines *out, const struct agreement_side *s)
{
    static const struct { enum side_figure p; const char *say; } HABITS[] = {
        { FIGURE_ZERO_P, "  More zeros at the end than chance brings once in a hundred times." },
        { FIGURE_IDENTICAL_P, "  The same value again more often than the listener heard it." },
        { FIGURE_BELOW_P, "  More values just below a boundary than chance brings once in a hundred times." },
    };
    for (size_t i = 0; i < ARRAY_LEN(HABITS); i++) {
        const struct figure *f = &s->figure[HABITS[i].p];
        if (f->lack == LACK_NONE && f->value < RARE_P)
            say_line(out, LINE_ROW, HABITS[i].say);
    }
}

static void say_side(const struct lines *out, int side, const struct agreement_side *s)
{
    say_heading(out, side == SIDE_SYSTOLIC ? "Systolic: the measurer reads" : "Diastolic: the measurer reads");
    say_bias(out, &s->figure[FIGURE_BIAS]);
    say_spread(out, &s->figure[FIGURE_LOWER], &s->figure[FIGURE_UPPER], &s->figure[FIGURE_NEAR_5]);
    say_habits(out, s);
}

/* ---- both together ---- */

static void say_joint(const struct lines *out, const struct agreement *a)
{
    struct reasons reasons = { .is_there = { { false } } };
    say_heading(out, "Both sides together (95 % limits)");
    say_line(out, LINE_NOTE, "  (kappa: the same category beyond chance; weights: near ones count in part)");
    for (int i = 0; i < JOINT_FIGURE_COUNT; i++) {
        char line[LINE_CAP];
        struct text t;
        text_init(&t, line, sizeof line);
        text_addf(&t, "  %-*s", LABEL_COLUMNS + 1, JOINT_FIGURES[i].say);
        add_cell(&t, &a->joint[i], &JOINT_FIGURES[i], &reasons);
        say_line(out, LINE_ROW, line);
    }
    say_reasons(out, &reasons);
}

static void say_learning(const struct lines *out, const struct learning_state *s)
{
    char line[LINE_CAP];
    struct text t;
    say_heading(out, "Learning curve, pair after pair in their order");
    text_init(&t, line, sizeof line);
    text_addf(&t, "  %lld pair%s, %lld of them not right.", (long long)s->answers, s->answers == 1 ? "" : "s", (long long)s->wrong);
    if (s->reached_at > 0)
        text_addf(&t, " The skill was signalled at pair %lld.", (long long)s->reached_at);
    else
        text_add(&t, s->lost_at > 0 ? " Signalled once, and" : " The skill is not signalled yet.");
    if (s->reached_at == 0 && s->lost_at > 0)
        text_addf(&t, " lost at pair %lld.", (long long)s->lost_at);
    say_line(out, LINE_ROW, line);
}

/* ---- what is published ---- */

static void say_answer(const struct lines *out, const char *what, const char *source, const char *systolic, const char *diastolic,
                       const char *behind)
{
    char line[LINE_CAP];
    (void)snprintf(line, sizeof line, "  %s [%s]", what, source);
    say_line(out, LINE_ROW, line);
    (void)snprintf(line, sizeof line, "    systolic %s, diastolic %s%s", systolic, diastolic, behind);
    say_line(out, LINE_ROW, line);
}

static void say_standards(const struct lines *out, const struct agreement *a)
{
    const struct agreement_side *sys = &a->side[SIDE_SYSTOLIC], *dia = &a->side[SIDE_DIASTOLIC];
    say_heading(out, "Beside published standards: yardsticks, none licenses or certifies a person");
    for (int i = 0; i < STANDARDS_MAX && STANDARDS[i].id != NULL; i++) {
        char behind[60] = "";
        if (a->n < STANDARDS[i].n_min)
            (void)snprintf(behind, sizeof behind, " (from %lld pairs on)", (long long)STANDARDS[i].n_min);
        say_answer(out, STANDARDS[i].say, STANDARDS[i].source, YARD_WORDS[sys->standard[i]], YARD_WORDS[dia->standard[i]], behind);
    }
    const char *const people = sys->grade == '-' ? " (the rules ask for 85 people)" : "";
    const char grade[SIDE_COUNT][2] = { { sys->grade, '\0' }, { dia->grade, '\0' } };
    say_answer(out, "grade of devices, A to D, by the shares within 5, 10 and 15", "GRADE-1",
               sys->grade == '-' ? YARD_WORDS[YARD_TOO_FEW] : grade[SIDE_SYSTOLIC],
               dia->grade == '-' ? YARD_WORDS[YARD_TOO_FEW] : grade[SIDE_DIASTOLIC], people);
    say_answer(out, "devices, criterion 1: bias at most 5 and SD at most 8 mmHg", "DEV-1", YARD_WORDS[sys->criterion_1],
               YARD_WORDS[dia->criterion_1], people);
    say_answer(out, "devices, criterion 2: SD of the subjects' mean differences", "DEV-2", YARD_WORDS[sys->criterion_2],
               YARD_WORDS[dia->criterion_2], people);
}

void say_agreement(const struct agreement *a, progress_line_fn say, void *user)
{
    const struct lines out = { say, user };
    char line[LINE_CAP];
    if (a->n == 0) {
        say_line(&out, LINE_INSTRUCTION, "No pairs: there is nothing to say yet.");
        return;
    }
    (void)snprintf(line, sizeof line, "%lld pair%s of %lld subject%s%s", (long long)a->n, a->n == 1 ? "" : "s",
                   (long long)a->subjects, a->subjects == 1 ? "" : "s",
                   a->has_learning ? "" : " (one whom two measurers read counts as two)");
    say_line(&out, LINE_INSTRUCTION, line);
    if (a->n < STANDARDS[0].n_min)
        say_line(&out, LINE_NOTE, "So few pairs prove little: all of it may be far off.");
    for (int side = 0; side < SIDE_COUNT; side++)
        say_side(&out, side, &a->side[side]);
    for (size_t i = 0; i < ARRAY_LEN(GROUPS); i++)
        say_group(&out, &GROUPS[i], a);
    say_joint(&out, a);
    if (a->has_learning)
        say_learning(&out, &a->learning);
    say_standards(&out, a);
    say_line(&out, LINE_GAP, "");
    say_line(&out, LINE_CAUTION, "An aid to training. It certifies nobody; a preceptor decides.");
}
