/* SPDX-License-Identifier: GPL-3.0-or-later */
/** @file chart_cells.c  A graph in character cells: axes, levels by stroke, marks by shape. Bars are in chart_bars.c. */
#include "guide/chart_cells.h"

#include <stdio.h>
#include <string.h>

#include "stillarm/text.h"

#define ROWS_AROUND 4     /* above the field what goes up; below it the axis, its figures, what goes right */
#define LABELS_SHARE 3    /* a third of the width at most for the words at the right edge */
#define FIGURES_SHARE 4   /* a quarter for the figures at the left one */
#define POINTER 2         /* columns before a label: a mark that points to its line, and a blank */
#define GAP 2             /* blanks between two figures */
#define PATH(is_ascii) ((is_ascii) ? '*' : 0x2022u)
#define BEYOND 1.0e15     /* no figure of a graph; whole numbers are exact up to here */

static int lesser(int a, int b)
{
    return a < b ? a : b;
}

static int greater(int a, int b)
{
    return a > b ? a : b;
}

bool chart_is_figure(double v)
{
    return v > -BEYOND && v < BEYOND; /* false for what is no number */
}

int chart_cell_of(const struct chart_axis *axis, int cells, double v)
{
    if (!chart_is_figure(v) || v < axis->low || v > axis->high)
        return -1;
    int at = (int)((v - axis->low) / (axis->high - axis->low) * cells);
    return at < cells ? at : cells - 1;
}

/* ---- figures ---- */

static int decimals_of(double step)
{
    for (int d = 0; d < 6; d++, step *= 10) {
        double off = step - (double)(int64_t)(step + 0.5);
        if (off > -1e-6 * step && off < 1e-6 * step)
            return d;
    }
    return 6;
}

static void say_day(double v, bool is_year_said, char *out, size_t cap)
{
    static const char *const MONTHS[] = { "Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec" };
    int32_t date = chart_date_of((int32_t)v), month = date / 100 % 100;
    if (is_year_said)
        snprintf(out, cap, "%d-%02d-%02d", (int)(date / 10000), (int)month, (int)(date % 100));
    else
        snprintf(out, cap, "%d %s", (int)(date % 100), MONTHS[(month + 11) % 12]);
}

#define DAYS_MOST 900000 /* the year 4434: an axis beyond it has no dates */

static bool has_dates(const struct chart_axis *axis)
{
    return axis->is_day && axis->low > -DAYS_MOST / 2 && axis->high < DAYS_MOST;
}

void chart_say_figure(const struct chart_axis *axis, double v, char *out, size_t cap)
{
    if (has_dates(axis)) {
        int32_t first = chart_date_of((int32_t)axis->low), last = chart_date_of((int32_t)axis->high);
        say_day(v, first / 10000 != last / 10000, out, cap);
        return;
    }
    bool is_zero = v > -1e-6 * axis->tick && v < 1e-6 * axis->tick;
    snprintf(out, cap, "%.*f", decimals_of(axis->tick), is_zero ? 0.0 : v);
}

/* The lowest multiple of a step that is not below. */
static double multiple_from(double low, double step)
{
    double n = low / step;
    if (!chart_is_figure(n))
        return low;
    double whole = (double)(int64_t)n;
    return (whole < n - 1e-9 ? whole + 1 : whole) * step;
}

bool chart_ticks(const struct chart_axis *axis, int most, struct chart_ticks *out)
{
    static const double TIMES[] = { 2, 2.5, 2 }; /* 1, 2, 5, 10, 20 ... */
    double span = axis->high - axis->low, step = axis->tick, times = 1;
    if (!chart_is_figure(step) || !(step > 0) || span / step > 1.0e9 || most < 1)
        return false;
    for (size_t i = 0; span / (step * times) + 1 > most; i++)
        times *= TIMES[i % ARRAY_LEN(TIMES)];
    out->step = step * times;
    out->first = times > 1.5 && !axis->is_day ? multiple_from(axis->low, out->step) : axis->low;
    out->count = (int)((axis->high - out->first) / out->step + 1e-9) + 1;
    return true;
}

/* ---- the field and what stands round it ---- */

static const char *stroke_of(enum chart_stroke s, bool is_ascii)
{
    static const char *const LINES[][2] = {
        [STROKE_ZERO] = { "\u2500", "-" },      [STROKE_MIDDLE] = { "\u2550", "=" }, [STROKE_LIMIT] = { "\u2504", "." },
        [STROKE_BAND_LOW] = { "\u00b7 ", ". " }, [STROKE_BAND_HIGH] = { "\u00b7 ", ". " },
    };
    return LINES[s][is_ascii ? 1 : 0];
}

/* From so many on a cell is few, and many: more than one pair falls into a cell, so the steps are its own. */
struct shape_steps { int32_t few, many; };

struct field {
    struct cells *cs;
    const struct chart *c;
    int top, left, rows, cols;   /* of what is drawn in */
    int labels;                  /* columns right of it; 0 none */
    int32_t plain[CELLS_ROWS_MAX][CELLS_COLS_MAX], marked[CELLS_ROWS_MAX][CELLS_COLS_MAX];
    int64_t outside;             /* marks beyond the axes */
    struct shape_steps steps;
};

static int row_of(const struct field *f, double v)
{
    int at = chart_cell_of(&f->c->y, f->rows, v);
    return at < 0 ? -1 : f->rows - 1 - at;
}

static bool is_band(const struct chart_level *l)
{
    return l->stroke == STROKE_BAND_LOW || l->stroke == STROKE_BAND_HIGH;
}

/* Bands below the others, which are read first. */
static void draw_levels(struct field *f, bool are_bands)
{
    for (int i = 0; i < f->c->level_count; i++) {
        struct cell_words stroke;
        if (is_band(&f->c->levels[i]) != are_bands)
            continue;
        int row = row_of(f, f->c->levels[i].at);
        cells_set(&stroke, stroke_of(f->c->levels[i].stroke, f->cs->is_ascii), f->cs->is_ascii);
        for (int col = 0; row >= 0 && col < f->cols; col++)
            if (stroke.c[col % stroke.count] != ' ')
                cells_put(f->cs, f->top + row, f->left + col, stroke.c[col % stroke.count]);
    }
}

/* What stands at the right edge of a row: the words of one level, or of several where there are more of them than rows. */
struct edge { char words[CHART_LEVELS_MAX * 50]; char pointer; };

/* The free row nearest to where a level lies, or that row itself where none is free. */
static int edge_row(const struct edge *edges, int rows, int wanted)
{
    for (int off = 0; off < rows; off++) {
        if (wanted - off >= 0 && !edges[wanted - off].words[0])
            return wanted - off;
        if (wanted + off < rows && !edges[wanted + off].words[0])
            return wanted + off;
    }
    return wanted;
}

static void add_label(const struct field *f, struct edge *edges, const struct chart_level *l)
{
    int line = row_of(f, l->at);
    bool is_high = !(l->at < f->c->y.high), is_out = line < 0;
    int row = edge_row(edges, f->rows, is_out ? (is_high ? 0 : f->rows - 1) : line);
    struct edge *e = &edges[row];
    size_t len = strlen(e->words);
    e->pointer = is_out ? (is_high ? '^' : 'v') : line < row ? '^' : line > row ? 'v' : ' ';
    snprintf(e->words + len, sizeof e->words - len, "%s%s", len ? ", " : "", l->label);
}

/* Where the line ends; where another one stands there, beside it with a mark that points to the line. */
static void draw_labels(struct field *f)
{
    struct edge edges[CELLS_ROWS_MAX];
    for (int row = 0; row < f->rows; row++)
        edges[row].words[0] = '\0';
    for (int i = 0; i < f->c->level_count && f->labels > 0; i++)
        add_label(f, edges, &f->c->levels[i]);
    for (int row = 0; row < f->rows; row++)
        if (edges[row].words[0]) {
            cells_put(f->cs, f->top + row, f->left + f->cols, (unsigned char)edges[row].pointer);
            cells_text(f->cs, f->top + row, f->left + f->cols + POINTER, f->labels - POINTER, edges[row].words);
        }
}

static void draw_left_figures(struct field *f)
{
    struct chart_ticks t;
    int before = -1;
    for (int row = 0; row < f->rows; row++)
        cells_put(f->cs, f->top + row, f->left - 1, f->cs->is_ascii ? '|' : 0x2502);
    if (!chart_ticks(&f->c->y, (f->rows + 1) / 2 + (f->rows < 5), &t))
        return;
    for (int i = 0; i < t.count; i++) {
        double v = t.first + i * t.step;
        struct cell_words w;
        char figure[40];
        int row = row_of(f, v < f->c->y.high ? v : f->c->y.high);
        chart_say_figure(&f->c->y, v, figure, sizeof figure);
        cells_set(&w, figure, f->cs->is_ascii);
        if (row < 0 || row == before || w.count > f->left - 1)
            continue;
        before = row;
        cells_words(f->cs, f->top + row, f->left - 1 - w.count, &w);
        cells_put(f->cs, f->top + row, f->left - 1, f->cs->is_ascii ? '+' : 0x2524);
    }
}

/* A figure stands in the middle under its tick, moved in where the canvas ends. */
struct placed { struct cell_words words; int tick, from; };

static void place(const struct cells *cs, const struct chart_axis *axis, double v, int left, int cols, struct placed *out)
{
    char figure[40];
    chart_say_figure(axis, v, figure, sizeof figure);
    cells_set(&out->words, figure, cs->is_ascii);
    out->tick = left + chart_cell_of(axis, cols, v < axis->high ? v : axis->high);
    out->from = lesser(out->tick - (out->words.count - 1) / 2, cs->cols - out->words.count);
    out->from = greater(out->from, 0);
}

static bool figures_fit(const struct cells *cs, const struct chart_axis *axis, const struct chart_ticks *t, int left, int cols)
{
    int end = -GAP;
    for (int i = 0; i < t->count; i++) {
        struct placed p;
        place(cs, axis, t->first + i * t->step, left, cols, &p);
        if (p.from < end + GAP || p.words.count > cs->cols)
            return false;
        end = p.from + p.words.count;
    }
    return true;
}

void chart_draw_figures(struct cells *cs, const struct chart_axis *axis, int row, int left, int cols, int tick_row)
{
    struct chart_ticks t;
    int most = cols / 3;
    while (most > 0 && chart_ticks(axis, most, &t) && !figures_fit(cs, axis, &t, left, cols))
        most--;
    if (most < 1 || !chart_ticks(axis, most, &t))
        return;
    for (int i = 0; i < t.count; i++) {
        struct placed p;
        place(cs, axis, t.first + i * t.step, left, cols, &p);
        cells_words(cs, row, p.from, &p.words);
        cells_put(cs, tick_row, p.tick, cs->is_ascii ? '+' : 0x252C);
    }
}

static void draw_bottom_axis(struct field *f)
{
    int row = f->top + f->rows;
    cells_put(f->cs, row, f->left - 1, f->cs->is_ascii ? '+' : 0x2514);
    for (int col = 0; col < f->cols; col++)
        cells_put(f->cs, row, f->left + col, f->cs->is_ascii ? '-' : 0x2500);
    chart_draw_figures(f->cs, &f->c->x, row + 1, f->left, f->cols, row);
}

/* ---- marks ---- */

static int size_of(int32_t n, const struct shape_steps *s)
{
    return n >= s->many ? 2 : n >= s->few ? 1 : 0;
}

static uint32_t shape_of(int size, bool is_marked, bool is_ascii)
{
    static const uint32_t SHAPES[2][2][3] = { { { 0x25CB, 0x25CE, 0x25CF }, { 'o', 'O', '@' } },
                                              { { 0x25C7, 0x25C8, 0x25C6 }, { 'x', 'X', '#' } } };
    return SHAPES[is_marked][is_ascii][size];
}

static void count_points(struct field *f)
{
    for (int i = 0; i < f->c->point_count; i++) {
        const struct chart_point *p = &f->c->points[i];
        int row = row_of(f, p->y), col = chart_cell_of(&f->c->x, f->cols, p->x);
        if (row < 0 || col < 0) {
            f->outside += p->count;
            continue;
        }
        int32_t *n = p->is_marked ? &f->marked[row][col] : &f->plain[row][col];
        *n = p->count > INT32_MAX - *n ? INT32_MAX : *n + p->count;
    }
}

#define MARKS_FEW 12 /* so few are told apart whatever their shape */

static int cells_from(const struct field *f, int32_t n)
{
    int count = 0;
    for (int row = 0; row < f->rows; row++)
        for (int col = 0; col < f->cols; col++)
            count += f->plain[row][col] >= n;
    return count;
}

/* Larger ones until at most a third of the cells has the last shape, which would tell nothing else. */
static void choose_steps(struct field *f)
{
    static const struct shape_steps STEPS[] = { { CHART_FEW_FROM, CHART_MANY_FROM }, { 5, 20 }, { 20, 100 }, { 100, 500 },
                                                { 500, 5000 }, { 5000, 50000 }, { 50000, 1000000 } };
    size_t i = 0;
    while (i + 1 < ARRAY_LEN(STEPS) && cells_from(f, 1) > MARKS_FEW && 3 * cells_from(f, STEPS[i].many) > cells_from(f, 1))
        i++;
    f->steps = STEPS[i];
}

/* From one point to the next, cell by cell along the longer way. */
static void draw_stretch(struct field *f, const struct chart_point *a, const struct chart_point *b)
{
    int row = row_of(f, a->y), col = chart_cell_of(&f->c->x, f->cols, a->x), to_row = row_of(f, b->y),
        to_col = chart_cell_of(&f->c->x, f->cols, b->x);
    if (row < 0 || col < 0 || to_row < 0 || to_col < 0)
        return;
    int down = to_row - row, right = to_col - col, rows = down < 0 ? -down : down, cols = right < 0 ? -right : right;
    int steps = rows > cols ? rows : cols;
    for (int i = 0; i <= steps; i++)
        cells_put(f->cs, f->top + row + (steps ? down * i / steps : 0), f->left + col + (steps ? right * i / steps : 0),
                  PATH(f->cs->is_ascii));
}

/* Where a path is drawn its own points need no mark; those that are marked do. */
static void draw_points(struct field *f)
{
    for (int i = 1; i < f->c->point_count && f->c->is_joined; i++)
        if (f->c->points[i].count > 0) /* a bend begins another curve: a line down to it would read as a fall */
            draw_stretch(f, &f->c->points[i - 1], &f->c->points[i]);
    for (int row = 0; row < f->rows; row++)
        for (int col = 0; col < f->cols; col++) {
            int32_t marked = f->marked[row][col], plain = f->plain[row][col];
            if (marked > 0)
                cells_put(f->cs, f->top + row, f->left + col, shape_of(size_of(marked, &f->steps), true, f->cs->is_ascii));
            else if (plain > 0 && f->c->is_joined)
                cells_put(f->cs, f->top + row, f->left + col, PATH(f->cs->is_ascii));
            else if (plain > 0)
                cells_put(f->cs, f->top + row, f->left + col, shape_of(size_of(plain, &f->steps), false, f->cs->is_ascii));
        }
}

static void draw_signs(struct field *f)
{
    for (int i = 0; i < f->c->sign_count; i++) {
        const struct chart_sign *s = &f->c->signs[i];
        int row = row_of(f, s->y), col = chart_cell_of(&f->c->x, f->cols, s->x);
        struct cell_words w;
        if (row < 0 || col < 0)
            continue;
        cells_set(&w, s->label, f->cs->is_ascii);
        cells_fit(&w, f->cols - 4);
        int from = col + 2 + w.count <= f->cols ? col + 2 : col - 1 - w.count;
        from = from < 0 ? 0 : from;
        cells_words(f->cs, f->top + row, f->left + from, &w);
        cells_put(f->cs, f->top + row, f->left + col, '!');
    }
}

/* ---- what the marks mean ---- */

void chart_add_key(struct chart_keys *k, uint32_t shape, const char *words)
{
    char utf8[5] = "";
    struct text t;
    if (!words || k->count == CHART_KEYS_MAX)
        return;
    utf8[utf8_encode(shape, utf8)] = '\0';
    text_init(&t, k->words[k->count++], sizeof k->words[0]);
    text_addf(&t, "%s %s", utf8, words);
}

static int width_of(const char *utf8, bool is_ascii)
{
    struct cell_words w;
    cells_set(&w, utf8, is_ascii);
    return w.count;
}

/* Keys from `from` on that fit beside the words; the width they take in *width. */
static int keys_that_fit(const struct cells *cs, const struct chart_keys *k, int from, int room, int *width)
{
    int n = 0;
    *width = 0;
    while (from + n < k->count) {
        int wider = *width + (n ? GAP : 0) + width_of(k->words[from + n], cs->is_ascii);
        if (wider > room)
            break;
        *width = wider;
        n++;
    }
    return n;
}

static void draw_key_row(struct cells *cs, const struct chart_keys *k, int from, int count, int row, int width)
{
    int col = cs->cols - width;
    for (int i = from; i < from + count; i++)
        col += cells_text(cs, row, col, cs->cols - col, k->words[i]) + GAP;
}

void chart_draw_keys(struct cells *cs, const struct chart_keys *k, const struct chart_words *above, const struct chart_words *below)
{
    int width, used = cells_text(cs, above->row, above->left, cs->cols - above->left, above->words), from;
    from = keys_that_fit(cs, k, 0, cs->cols - above->left - used - GAP, &width);
    draw_key_row(cs, k, 0, from, above->row, width);
    /* what is left comes before the words there, which are shortened for it */
    int count = keys_that_fit(cs, k, from, cs->cols - below->left - GAP, &width);
    draw_key_row(cs, k, from, count, below->row, width);
    cells_text(cs, below->row, below->left, cs->cols - below->left - (count ? width + GAP : 0), below->words);
}

/* Only the shapes that stand there. */
static void find_shapes(const struct field *f, bool has_plain[3], int32_t *most_marked)
{
    for (int row = 0; row < f->rows; row++)
        for (int col = 0; col < f->cols; col++) {
            int32_t n = f->plain[row][col], marked = f->marked[row][col];
            if (n > 0 && marked == 0)
                has_plain[size_of(n, &f->steps)] = true;
            *most_marked = marked > *most_marked ? marked : *most_marked;
        }
}

/* How many the shape stands for: `1 pair`, `2 to 4`, `20 or more`; where one is something else than a pair, what that is. */
static void say_size(const struct field *f, int size, char out[64])
{
    const bool is_pair = f->c->kind == CHART_DIFFERENCE;
    const char *plain = CHART_LEGENDS[f->c->kind].plain, *noun = is_pair ? "pair" : plain ? plain : "mark";
    struct text t;
    text_init(&t, out, 64);
    if (size == 2)
        text_addf(&t, "%d or more", (int)f->steps.many);
    else if (size == 1)
        text_addf(&t, "%d to %d", (int)f->steps.few, (int)f->steps.many - 1);
    else if (f->steps.few > 2)
        text_addf(&t, "1 to %d %s%s", (int)f->steps.few - 1, noun, is_pair ? "s" : "");
    else
        text_addf(&t, "%s%s", is_pair ? "one " : "", noun);
}

static bool has_bands(const struct chart *c)
{
    for (int i = 0; i < c->level_count; i++)
        if (is_band(&c->levels[i]))
            return true;
    return false;
}

static void say_keys(const struct field *f, struct chart_keys *k)
{
    const struct chart_legend *l = &CHART_LEGENDS[f->c->kind];
    const bool is_ascii = f->cs->is_ascii;
    bool has[3] = { false, false, false };
    int32_t most_marked = 0;
    find_shapes(f, has, &most_marked);
    if (f->c->is_joined)
        chart_add_key(k, PATH(is_ascii), l->plain);
    has[0] = has[0] || has[1] || has[2]; /* it says what the others count */
    for (int size = 0; size < 3 && !f->c->is_joined; size++) {
        char words[64];
        say_size(f, size, words);
        if (has[size])
            chart_add_key(k, shape_of(size, false, is_ascii), words);
    }
    if (most_marked > 0)
        chart_add_key(k, shape_of(0, true, is_ascii), l->marked);
    if (size_of(most_marked, &f->steps) > 0)
        chart_add_key(k, shape_of(size_of(most_marked, &f->steps), true, is_ascii), "more such");
    if (l->band != NULL && has_bands(f->c) && k->count < CHART_KEYS_MAX)
        snprintf(k->words[k->count++], sizeof k->words[0], "%s %s", is_ascii ? ". ." : "\u00b7 \u00b7", l->band);
}

static void draw_words(struct field *f)
{
    struct chart_keys k = { .count = 0 };
    struct chart_words above = { .words = f->c->y.label }, below = { .words = f->c->x.label, .row = f->top + f->rows + 2, .left = f->left };
    say_keys(f, &k);
    if (f->outside > 0 && k.count < CHART_KEYS_MAX)
        snprintf(k.words[k.count++], sizeof k.words[0], "%lld outside", (long long)f->outside);
    chart_draw_keys(f->cs, &k, &above, &below);
}

/* ---- the whole ---- */

static int widest_label(const struct chart *c, bool is_ascii)
{
    int most = 0;
    for (int i = 0; i < c->level_count; i++)
        most = greater(most, width_of(c->levels[i].label, is_ascii));
    return most;
}

static int widest_figure(const struct chart_axis *axis, int rows, bool is_ascii)
{
    struct chart_ticks t;
    int most = 1;
    if (!chart_ticks(axis, (rows + 1) / 2 + (rows < 5), &t))
        return most;
    for (int i = 0; i < t.count; i++) {
        char figure[40];
        chart_say_figure(axis, t.first + i * t.step, figure, sizeof figure);
        most = greater(most, width_of(figure, is_ascii));
    }
    return most;
}

static void draw_field(struct cells *cs, const struct chart *c)
{
    struct field f = { .cs = cs, .c = c, .top = 1, .rows = cs->rows - ROWS_AROUND };
    int widest = widest_label(c, cs->is_ascii);
    f.labels = widest > 0 ? lesser(widest + POINTER, cs->cols / LABELS_SHARE) : 0;
    f.left = 1 + lesser(widest_figure(&c->y, f.rows, cs->is_ascii), cs->cols / FIGURES_SHARE);
    f.cols = cs->cols - f.left - f.labels;
    draw_levels(&f, true);
    draw_levels(&f, false);
    count_points(&f);
    choose_steps(&f);
    draw_points(&f);
    draw_signs(&f);
    draw_left_figures(&f);
    draw_bottom_axis(&f);
    draw_labels(&f);
    draw_words(&f);
}

static bool is_axis(const struct chart_axis *a)
{
    return chart_is_figure(a->low) && chart_is_figure(a->high) && a->low < a->high;
}

static const char *lack_of(const struct chart *c)
{
    if (c->lack[0] != '\0')
        return c->lack;
    if (!is_axis(&c->y) || (c->bar_count == 0 && !is_axis(&c->x)))
        return "This graph has no axes to draw on.";
    return c->point_count == 0 && c->bar_count == 0 && c->level_count == 0 ? "There is nothing to draw yet." : NULL;
}

int chart_cells(const struct chart *c, int rows, int cols, bool ascii, char out[][CELLS_ROW_CAP])
{
    struct cells cs;
    const char *lack = lack_of(c);
    if (rows < 1 || cols < 1)
        return 0;
    cells_begin(&cs, rows, cols, ascii);
    if (lack == NULL && (cs.rows < CELLS_ROWS_MIN || cs.cols < CELLS_COLS_MIN))
        lack = "There is too little room for a graph here.";
    if (lack != NULL)
        cs.rows = cells_wrapped(&cs, 0, lack);
    else if (c->bar_count > 0)
        chart_bars(&cs, c);
    else
        draw_field(&cs, c);
    cells_print(&cs, out);
    return cs.rows;
}
