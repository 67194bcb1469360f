/* SPDX-License-Identifier: GPL-3.0-or-later */
/** @file chart.h  A graph as data: axes, points, lines, bars. Drawn in character cells (chart_cells.c) and, by the layer
 *  output, as a file. Pure; no allocation. */
#ifndef STILLARM_CHART_H
#define STILLARM_CHART_H

#include "stillarm/agreement.h"

#define CHART_POINTS_MAX 6000
#define CHART_LEVELS_MAX 12
#define CHART_BARS_MAX 12
#define CHART_PANELS_MAX 2
#define CHART_PATH_MAX 1000

enum chart_kind { CHART_DIFFERENCE, CHART_DIGITS, CHART_RELEASE, CHART_LEARNING, CHART_KIND_COUNT };
/** As --graph takes them: difference, digits, release, learning. */
extern const char *const CHART_WORDS[CHART_KIND_COUNT];

struct chart_axis {
    char label[60];      /* with its unit: `mean of both, mmHg` */
    double low, high;    /* low < high */
    double tick;         /* between two figures on the axis: they stand at low, low + tick ... */
    bool is_day;         /* days since 1970-01-01, told as dates */
};

/** What a level line means; drawn apart by stroke as well as by colour. */
enum chart_stroke { STROKE_ZERO, STROKE_MIDDLE /* bias, expected */, STROKE_LIMIT, STROKE_BAND_LOW, STROKE_BAND_HIGH };
struct chart_level { double at; enum chart_stroke stroke; char label[48]; /* `bias +1.2` */ };

/** From so many pairs on a mark is drawn as few, and as many; one alone by a third shape. A crowd has larger steps. */
#define CHART_FEW_FROM 2
#define CHART_MANY_FROM 5
struct chart_point { double x, y; int32_t count; /* pairs that fall there; 0: a bend of the course, without a mark */ bool is_marked; /* wrong, void ...: another shape */ };
/** Something that happened at a point: `reached, pair 34`; only the newest have a label. */
#define CHART_SIGNS_MAX 32
#define CHART_SIGNS_LABELLED 8
struct chart_sign { double x, y; char label[32]; bool is_reached; /* what begins here lasts to the next sign */ };

struct chart_bar { char label[12]; double value; double expected; /* < 0: none */ bool is_marked; /* beyond chance */ };

struct chart {
    enum chart_kind kind;
    char title[100];     /* `systolic: ana less the second listener` */
    char note[200];      /* n, the dates, what is not shown: `48 pairs, 3 Sep to 24 Nov 2026` */
    char lack[160];      /* why there is nothing to draw; "" else */
    struct chart_axis x, y;
    struct chart_level levels[CHART_LEVELS_MAX];
    int level_count;
    struct chart_point points[CHART_POINTS_MAX];
    int point_count;
    int32_t few_from, many_from; /* the steps where each point is a mark of its own; 0: all marks are alike */
    char keys[3][32];    /* what the three shapes mean then: `one pair`, `2 to 4`, `5 or more`; "" where there is none */
    bool is_joined;      /* points are joined by lines, in their order */
    struct chart_bar bars[CHART_BARS_MAX];
    int bar_count;
    struct chart_sign signs[CHART_SIGNS_MAX];
    int sign_count;
};

/** What marks mean, for the row of keys under a graph; NULL where there is no such mark. */
struct chart_legend {
    const char *plain, *few, *many, *marked, *expected, *shade /* between bands, or from reached on */;
    const char *band /* dotted lines whose label is a bare figure */;
};
extern const struct chart_legend CHART_LEGENDS[CHART_KIND_COUNT];
/** What stands under every graph. */
extern const char CHART_CAUTION[];

/** Days since 1970-01-01 of a date that exists, and the other way round. */
int32_t chart_days_of(int32_t yyyymmdd);
int32_t chart_date_of(int32_t days);

/** Graphs that belong on one sheet: systolic and diastolic. Large, and one at a time. */
struct chart_sheet {
    struct chart panel[CHART_PANELS_MAX];
    int panel_count;
    char heading[120];   /* `ana, pairs with preceptors` */
    char date[40];       /* the day it was made, as it is printed on it */
};

/* ---- what graphs are made from: of a size that does not grow with the number of pairs ---- */

#define GRID_MEAN_LOW 20
#define GRID_MEANS 160   /* cells of 2 mmHg from GRID_MEAN_LOW on */
#define GRID_DIFFS 161   /* cells of 1 mmHg, -80 to 80 */
#define GRID_PAIRS_MAX 400 /* as they are; of more only the cells */
/** Pairs by mean and difference. */
struct difference_grid {
    int32_t count[GRID_MEANS][GRID_DIFFS];
    int64_t outside, inside;
    struct { int32_t sum, diff; /* thousandths */ } pair[GRID_PAIRS_MAX]; /* the first of those inside */
};
void difference_grid_add(struct difference_grid *g, int64_t a, int64_t b); /* thousandths */

/** The learning curve's course: every `every`-th answer once it grew too long, signals always. */
struct learning_path {
    struct { int32_t answer; float height; bool is_wrong, is_reached, is_lost; } at[CHART_PATH_MAX];
    int count;
    int32_t every;       /* 1 to begin; doubled when full */
};
void learning_path_begin(struct learning_path *p);
/** After learning_take. */
void learning_path_add(struct learning_path *p, const struct learning_state *s, bool is_right);

struct release_point { int32_t day; /* yyyymmdd */ int32_t rate_x10; bool is_counted; };

/* ---- making them (chart_make.c) ---- */

/** What stands on every graph beside its data. */
struct chart_frame { char who[80]; char span[60]; /* `3 Sep to 24 Nov 2026`; "" not known */ };

void chart_difference(struct chart *c, const struct chart_frame *f, enum side side, const struct agreement *a,
                      const struct difference_grid *g);
void chart_digits(struct chart *c, const struct chart_frame *f, enum side side, const struct digit_tally *d);
/** Bounds in tenths of mmHg/s, from the protocol; 0: none. */
void chart_release(struct chart *c, const struct chart_frame *f, const struct release_point *at, int count,
                   int32_t low_x10, int32_t high_x10);
void chart_learning(struct chart *c, const struct chart_frame *f, const struct learning_plan *plan,
                    const struct learning_path *path, const struct learning_state *s);

/* ---- in character cells (chart_cells.c) ---- */

#define CELLS_ROWS_MAX 40
#define CELLS_COLS_MAX 160
/** Draw into rows of UTF-8 text, NUL-terminated, no wider than cols columns each; ascii: 7-bit only. With the axes'
 *  figures and units; marks stand for counts by shape, never by colour alone. Returns how many rows were used, at most rows. */
int chart_cells(const struct chart *c, int rows, int cols, bool ascii, char out[][4 * CELLS_COLS_MAX + 1]);

#endif
