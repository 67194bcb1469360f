/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "terminal/layout_body.h"

#include <string.h>

#include "stillarm/err.h"

#define TEXT_WIDTH_MAX 96 /* longer lines are hard to follow back */
#define STRIPS_MAX 128
#define ROWS_MAX 1024
#define LINE_ROWS_TICKING 4 /* rows of lines kept beside a figure that counts, else the figure gives way */
#define LINE_ROWS_STILL 8   /* the same beside one that stands still and can be read at leisure */
#define LINE_ROWS_UNPINNED 3 /* fewer left below the pinned lines, and those scroll with the rest */
#define DOUBLE_ROWS_MIN 40

struct body_row {
    int line, strip;
}; /* line -1: an empty row */

/* How one line falls: its text in one column, its value in another. */
struct fall {
    struct shown text, value;
    struct strip text_strips[STRIPS_MAX], value_strips[STRIPS_MAX];
    int text_rows, value_rows, value_col, value_width;
    bool is_right; /* the value stands at the right edge */
};

static int lesser(int a, int b)
{
    return a < b ? a : b;
}

static int greater(int a, int b)
{
    return a > b ? a : b;
}

static int text_width(const struct body *b)
{
    int room = b->g->cols - b->col - 3;

    if (b->pg->form == PAGE_BARE)
        room = b->g->cols - 8;
    if (b->pg->form == PAGE_WIDE)
        room = b->g->cols - 2; /* a marker's column and a blank at the left, nothing at the right */
    return lesser(room, TEXT_WIDTH_MAX);
}

/* The labels of all fields of a page share one column, so that the values stand below each other. */
static int label_width(const struct body *b)
{
    int width = 0;
    struct shown s;

    for (int i = 0; i < b->pg->line_count; i++)
        if (b->pg->lines[i].role == LINE_FIELD) {
            shown_set(&s, b->pg->lines[i].text, b->ascii);
            width = greater(width, shown_width(&s, 0, s.count));
        }
    return lesser(width, text_width(b) / 2);
}

static void fall_set(const struct body *b, const struct page_line *line, int label, struct fall *f)
{
    int width = text_width(b), text_room = width;
    bool is_field = line->role == LINE_FIELD;

    shown_set(&f->text, line->role == LINE_GAP ? "" : page_line_text(b->pg, line), b->ascii);
    shown_set(&f->value, line->value, b->ascii);
    if (line->is_editing)
        shown_add(&f->value, "_", b->ascii);
    f->is_right = !is_field;
    f->value_rows = 0;
    if (is_field) {
        f->value_col = label + 2;
        f->value_width = width - f->value_col;
        text_room = label;
    } else if (f->value.count > 0) {
        f->value_width = lesser(shown_width(&f->value, 0, f->value.count), width / 2);
        f->value_col = width - f->value_width;
        text_room = f->value_col - 2;
    }
    if (line->role == LINE_DRAWN) {
        f->text_strips[0] = (struct strip){.to = f->text.count};
        f->text_rows = 1;
    } else {
        f->text_rows = shown_wrap(&f->text, text_room, f->text_strips, STRIPS_MAX);
    }
    if (f->value.count > 0)
        f->value_rows = shown_wrap(&f->value, f->value_width, f->value_strips, STRIPS_MAX);
}

static enum style style_of(const struct page_line *line)
{
    static const enum style STYLES[] = {
        [LINE_INSTRUCTION] = STYLE_TEXT, [LINE_ITEM] = STYLE_TEXT,       [LINE_FIELD] = STYLE_TEXT,
        [LINE_COST] = STYLE_COST,        [LINE_CAUTION] = STYLE_CAUTION, [LINE_NOTE] = STYLE_DIM,
        [LINE_ROW] = STYLE_TEXT,         [LINE_GAP] = STYLE_TEXT,
        [LINE_DRAWN] = STYLE_TEXT};
    return line->is_current ? STYLE_CURRENT : STYLES[line->role];
}

static void draw_value(const struct body *b, const struct page_line *line, const struct fall *f, int strip,
                       int row, int col)
{
    const struct strip *s = &f->value_strips[strip];
    int at = col + f->value_col + s->indent;

    if (f->is_right)
        at = col + f->value_col + f->value_width - shown_width(&f->value, s->from, s->to);
    at = grid_put(b->g, row, at, &f->value, s->from, s->to,
                  line->role == LINE_FIELD ? STYLE_FIELD : STYLE_STATE);
    if (line->is_editing && strip == f->value_rows - 1) {
        b->g->cursor_row = row;
        b->g->cursor_col = greater(0, at - 1);
    }
}

static void draw_line_row(const struct body *b, const struct page_line *line, const struct fall *f, int strip,
                          int row)
{
    int width = text_width(b), col = b->col + 2;
    enum style style = style_of(line);

    if (b->pg->form == PAGE_BARE)
        col = (b->g->cols - width) / 2;
    if (strip < f->text_rows) {
        const struct strip *s = &f->text_strips[strip];
        int used = shown_width(&f->text, s->from, s->to);
        bool is_centred = b->pg->form == PAGE_BARE && f->value.count == 0;
        int at = col + (is_centred ? (width - used) / 2 : s->indent);

        grid_put(b->g, row, at, &f->text, s->from, s->to, style);
        /* Marks in the text itself: colour and weight may not be there. */
        if (strip == 0 && line->is_current)
            grid_put_text(b->g, row, greater(0, at - 2), ">", STYLE_CURRENT);
        else if (strip == 0 && line->role == LINE_CAUTION)
            grid_put_text(b->g, row, greater(0, at - 2), "!", STYLE_CAUTION);
    }
    if (strip < f->value_rows)
        draw_value(b, line, f, strip, row, col);
}

/* Lines that belong together stand together; what to do, what is asked and what is said beside it stand
 * apart. */
static int group_of(const struct page_line *line)
{
    static const int GROUPS[] = {[LINE_INSTRUCTION] = 0, [LINE_ITEM] = 1, [LINE_FIELD] = 1, [LINE_COST] = 2,
                                 [LINE_CAUTION] = 3,     [LINE_NOTE] = 2, [LINE_ROW] = 1,   [LINE_GAP] = -1,
                                 [LINE_DRAWN] = -1};
    return GROUPS[line->role];
}

static bool is_apart(const struct page *pg, int i)
{
    return i > 0 && group_of(&pg->lines[i]) >= 0 && group_of(&pg->lines[i - 1]) >= 0 &&
           group_of(&pg->lines[i]) != group_of(&pg->lines[i - 1]);
}

static int list_rows(const struct body *b, bool is_spaced, struct body_row *rows, int *current_first,
                     int *current_last)
{
    int count = 0, label = label_width(b);
    struct fall f;

    *current_first = *current_last = -1;
    for (int i = 0; i < b->pg->line_count; i++) {
        int n;
        if (!is_spaced && b->pg->pinned > 0 && b->pg->lines[i].role == LINE_GAP)
            continue; /* what must be seen comes before what looks well */
        fall_set(b, &b->pg->lines[i], label, &f);
        n = greater(f.text_rows, f.value_rows);
        if (is_spaced && is_apart(b->pg, i) && count < ROWS_MAX)
            rows[count++] = (struct body_row){.line = -1};
        if (b->pg->lines[i].is_current || b->pg->lines[i].is_editing) {
            *current_first = *current_first < 0 ? count : *current_first;
            *current_last = count + n - 1;
        }
        for (int k = 0; k < n && count < ROWS_MAX; k++)
            rows[count++] = (struct body_row){.line = i, .strip = k};
    }
    return count;
}

/* The first row shown of count in room, so that the current one is there; "more" takes a row at each end that
 * goes on. */
static int first_shown(const struct body *b, int count, int room, int current_first, int current_last)
{
    int first;

    if (count <= room)
        return 0;
    b->scroll->most = count - (room - 1);
    b->scroll->page = greater(1, room - 2);
    b->scroll->is_led = current_first >= 0;
    if (b->pg->pinned > 0 && b->pinned_rows == 0 && !b->scroll->is_paged)
        return 0; /* too small to pin them: what comes first is seen first */
    if (!b->scroll->is_led || b->scroll->is_paged) {
        first = greater(0, lesser(b->scroll->from, b->scroll->most));
        return first == 1 ? 2 : first; /* a row "more above" that hides one row would say nothing */
    }
    if (current_last < room - 1)
        return 0;
    first = current_last + 1 - (room - 2) + (current_last + 1 < count ? 1 : 0);
    first = lesser(first, current_first);
    return lesser(first, b->scroll->most);
}

static void draw_lines(const struct body *b, const struct body_row *rows, int count, int top, int room,
                       int first)
{
    bool is_above = first > 0, is_below;
    int shown = room - (is_above ? 1 : 0), row = top, loaded = -1, label = label_width(b);
    int col = b->pg->form == PAGE_BARE ? (b->g->cols - text_width(b)) / 2 : b->col + 2;
    struct fall f;

    is_below = first + shown < count;
    shown -= is_below ? 1 : 0;
    if (is_above)
        grid_put_text(b->g, row++, col, "(more above)", STYLE_DIM);
    for (int i = first; i < count && i < first + shown; i++) {
        if (rows[i].line < 0) {
            row++;
            continue;
        }
        if (rows[i].line != loaded)
            fall_set(b, &b->pg->lines[rows[i].line], label, &f);
        loaded = rows[i].line;
        draw_line_row(b, &b->pg->lines[loaded], &f, rows[i].strip, row++);
    }
    if (is_below)
        grid_put_text(b->g, row, col, "(more below)", STYLE_DIM);
}

/* A row of ticks in which one is marked; it tells the rhythm and, by design, no pressure. */
static void draw_pace(const struct body *b, int row, int width)
{
    int ticks = lesser(21, width / 2), at = (ticks - 1) - b->pg->pace % ticks;
    int col = b->pg->form == PAGE_BARE ? (b->g->cols - 2 * ticks + 1) / 2 : b->col + 2;
    uint32_t block = b->ascii ? '#' : 0x2588;

    for (int i = 0; i < ticks; i++) {
        struct cell *cell = &b->g->cells[row * b->g->cols + col + 2 * i];
        *cell = (struct cell){.c = i == at ? block : '|', .style = i == at ? STYLE_BIG : STYLE_DIM};
        if (i == at)
            cell[b->g->cols] = (struct cell){.c = '^', .style = STYLE_BIG};
    }
}

/* Title, figure and note, pace: what stands still above the lines. */
struct head {
    struct shown title, note;
    struct strip title_strips[8], note_strips[8];
    int title_rows, note_rows, note_col;
    enum figure_size size;
    bool is_beside;
    int gap; /* empty rows after each part: 1, or 0 where rows are short */
    int rows;
};

static void head_measure(const struct body *b, struct head *h, enum figure_size size, int gap)
{
    const struct page *pg = b->pg;
    int width = text_width(b), figure_width = figure_cols(pg->big, size), beside = width - figure_width - 3;

    h->size = size;
    h->gap = gap;
    shown_set(&h->title, pg->title, b->ascii);
    shown_set(&h->note, pg->big_note, b->ascii);
    h->title_rows = h->title.count == 0
                        ? 0
                        : shown_wrap(&h->title, width, h->title_strips, (int)ARRAY_LEN(h->title_strips));
    h->is_beside = pg->form != PAGE_BARE && (beside >= lesser(16, shown_width(&h->note, 0, h->note.count)));
    h->note_rows = h->note.count == 0 ? 0
                                      : shown_wrap(&h->note, h->is_beside ? beside : width, h->note_strips,
                                                   (int)ARRAY_LEN(h->note_strips));
    if (h->is_beside && h->note_rows > figure_rows(size)) {
        h->is_beside = false;
        h->note_rows = shown_wrap(&h->note, width, h->note_strips, (int)ARRAY_LEN(h->note_strips));
    }
    h->note_col = h->is_beside ? figure_width + 3 : 0;
    h->rows = h->title_rows + (h->title_rows > 0 ? gap : 0);
    if (pg->big[0] != '\0')
        h->rows += figure_rows(size) + gap;
    if (h->note_rows > 0 && pg->big[0] == '\0')
        h->rows += h->note_rows + gap;
    else if (!h->is_beside)
        h->rows += h->note_rows;
    if (pg->pace >= 0)
        h->rows += 2 + gap;
}

/* The first of these that fits: large and airy, then closer together, then smaller, then lines that scroll. A
 * figure that counts is looked at from afar, so there the lines scroll before it gets small. */
static const struct {
    enum figure_size size;
    int gap;
    bool is_all_seen;
} HEADS[] = {
    {FIGURE_DOUBLE, 1, true},  {FIGURE_NORMAL, 1, true}, {FIGURE_NORMAL, 0, true},
    {FIGURE_SMALL, 1, true},   {FIGURE_SMALL, 0, true},  {FIGURE_LINE, 0, true},
    {FIGURE_NORMAL, 0, false}, {FIGURE_SMALL, 0, false}, {FIGURE_LINE, 0, false},
};

/* Rows that belong to the pinned lines, the empty one behind them included. */
static int pinned_rows(const struct body *b, const struct body_row *rows, int count)
{
    int n = 0;

    while (b->pg->pinned > 0 && n < count && rows[n].line < b->pg->pinned)
        n++;
    return n;
}

static int rows_wanted(const struct body *b, int line_rows, int pinned)
{
    return lesser(line_rows, pinned + (b->pg->is_ticking ? LINE_ROWS_TICKING : LINE_ROWS_STILL));
}

static void head_choose(const struct body *b, struct head *h, int line_rows, int pinned, int room)
{
    int across = b->g->cols - b->col - 3;

    for (size_t i = 0; i < ARRAY_LEN(HEADS); i++) {
        int keep = HEADS[i].is_all_seen ? line_rows : rows_wanted(b, line_rows, pinned);

        if ((HEADS[i].size == FIGURE_DOUBLE && b->g->rows < DOUBLE_ROWS_MIN) ||
            (HEADS[i].size == FIGURE_LINE && HEADS[i].is_all_seen && b->pg->is_ticking))
            continue;
        head_measure(b, h, HEADS[i].size, HEADS[i].gap);
        if (figure_cols(b->pg->big, HEADS[i].size) <= across && h->rows + keep <= room)
            return;
    }
}

static int centred(const struct body *b, int width)
{
    return b->pg->form == PAGE_BARE ? greater(0, (b->g->cols - width) / 2) : b->col + 2;
}

static int head_draw(const struct body *b, const struct head *h, int row)
{
    const struct page *pg = b->pg;
    int figure_height = figure_rows(h->size), note_row;

    for (int i = 0; i < h->title_rows; i++) {
        const struct strip *s = &h->title_strips[i];
        grid_put(b->g, row++, centred(b, shown_width(&h->title, s->from, s->to)), &h->title, s->from, s->to,
                 STYLE_TITLE);
    }
    row += h->title_rows > 0 ? h->gap : 0;
    note_row = row;
    if (pg->big[0] != '\0') {
        int col = centred(b, figure_cols(pg->big, h->size));
        figure_draw(b->g, row, col, pg->big, h->size, b->ascii);
        note_row = h->is_beside ? row + (figure_height - h->note_rows) / 2 : row + figure_height;
        row += figure_height;
    }
    for (int i = 0; i < h->note_rows; i++) {
        const struct strip *s = &h->note_strips[i];
        grid_put(b->g, note_row + i, centred(b, shown_width(&h->note, s->from, s->to)) + h->note_col,
                 &h->note, s->from, s->to, STYLE_TEXT);
    }
    if (!h->is_beside || pg->big[0] == '\0')
        row = greater(row, note_row + h->note_rows);
    if (pg->big[0] != '\0' || h->note_rows > 0)
        row += h->gap;
    if (pg->pace >= 0) {
        if (row + 2 <= b->bottom) /* on a page this full the band gives way to the words */
            draw_pace(b, row, text_width(b));
        row += 2 + h->gap;
    }
    return row;
}

/* The pinned rows first, and below them the part of the rest that is shown. */
static void body_lines(struct body *b, const struct body_row *rows, int count, int row, int current_first, int current_last)
{
    int room = b->bottom - row, pinned = pinned_rows(b, rows, count);

    if (room <= 0)
        return;
    b->pinned_rows = count > room && room - pinned >= LINE_ROWS_UNPINNED ? pinned : 0;
    pinned = b->pinned_rows;
    if (pinned > 0)
        draw_lines(b, rows, pinned, row, pinned, 0);
    if (current_first >= 0) {
        current_first = greater(0, current_first - pinned);
        current_last = greater(0, current_last - pinned);
    }
    b->scroll->first = first_shown(b, count - pinned, room - pinned, current_first, current_last);
    draw_lines(b, rows + pinned, count - pinned, row + pinned, room - pinned, b->scroll->first);
}

void body_draw(struct body *b)
{
    struct body_row rows[ROWS_MAX];
    struct head h;
    int current_first, current_last, row, calm_room = b->calm_bottom - b->top;
    int count = list_rows(b, false, rows, &current_first, &current_last), spaced;
    int pinned = pinned_rows(b, rows, count);

    head_choose(b, &h, count, pinned, calm_room);
    if (h.rows + rows_wanted(b, count, pinned) > b->bottom - b->top)
        head_choose(b, &h, count, pinned, b->bottom - b->top);
    spaced = list_rows(b, true, rows, &current_first, &current_last);
    count = h.rows + spaced <= calm_room ? spaced : list_rows(b, false, rows, &current_first, &current_last);
    row = b->top;
    if (b->pg->form == PAGE_BARE)
        row += greater(0, (calm_room - h.rows - count) / 2);
    row = head_draw(b, &h, row);
    body_lines(b, rows, count, row, current_first, current_last);
}
