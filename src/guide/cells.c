/* SPDX-License-Identifier: GPL-3.0-or-later */
/** @file cells.c  Putting characters and words into cells, and shortening words so that they do not lie. */
#include "guide/cells.h"

#include <string.h>

#include "stillarm/text.h"

#define CUT ".."
#define CUT_WIDTH 2

void cells_begin(struct cells *cs, int rows, int cols, bool is_ascii)
{
    cs->rows = rows < CELLS_ROWS_MAX ? rows : CELLS_ROWS_MAX;
    cs->cols = cols < CELLS_COLS_MAX ? cols : CELLS_COLS_MAX;
    cs->is_ascii = is_ascii;
    for (int row = 0; row < CELLS_ROWS_MAX; row++)
        for (int col = 0; col < CELLS_COLS_MAX; col++)
            cs->c[row][col] = ' ';
}

void cells_put(struct cells *cs, int row, int col, uint32_t c)
{
    if (row >= 0 && row < cs->rows && col >= 0 && col < cs->cols)
        cs->c[row][col] = c;
}

/* ---- words ---- */

/* Blocks whose characters are one column wide everywhere and join nothing. */
static bool is_single(uint32_t c)
{
    static const struct { uint32_t low, high; } BLOCKS[] = {
        { 0x20, 0x7E }, { 0xA1, 0xAC }, { 0xAE, 0x2FF }, { 0x370, 0x373 }, { 0x391, 0x3A1 }, { 0x3A3, 0x3FF }, { 0x400, 0x482 },
        { 0x48A, 0x52F }, { 0x2010, 0x2027 }, { 0x2030, 0x205E }, { 0x2190, 0x21FF }, { 0x2200, 0x22FF }, { 0x2500, 0x25FC },
    };
    for (size_t i = 0; i < ARRAY_LEN(BLOCKS); i++)
        if (c >= BLOCKS[i].low && c <= BLOCKS[i].high)
            return true;
    return false;
}

static void push(struct cell_words *w, uint32_t c)
{
    if (w->count < CELLS_WORDS_MAX)
        w->c[w->count++] = c;
}

static void push_ascii(struct cell_words *w, uint32_t c)
{
    static const struct { uint32_t c; const char *ascii; } SPELLED[] = {
        { 0xB1, "+-" }, { 0xB2, "2" }, { 0xB7, "." }, { 0xD7, "x" }, { 0x2013, "-" }, { 0x2014, "-" }, { 0x2018, "'" },
        { 0x2019, "'" }, { 0x2026, ".." }, { 0x2212, "-" }, { 0x2264, "<=" }, { 0x2265, ">=" },
    };
    for (size_t i = 0; i < ARRAY_LEN(SPELLED); i++)
        if (SPELLED[i].c == c) {
            for (const char *a = SPELLED[i].ascii; *a; a++)
                push(w, (unsigned char)*a);
            return;
        }
    push(w, '?');
}

void cells_set(struct cell_words *w, const char *utf8, bool is_ascii)
{
    size_t len = strlen(utf8), at = 0;
    w->count = 0;
    while (at < len) {
        uint32_t c = 0;
        size_t n = utf8_decode(utf8 + at, len - at, &c);
        at += n > 0 ? n : 1;
        if (n == 0 || !is_single(c) || is_control(c))
            push(w, c == 0xA0 ? ' ' : '?');
        else if (is_ascii && c > 0x7E)
            push_ascii(w, c);
        else
            push(w, c);
    }
}

static bool is_digit(uint32_t c)
{
    return c >= '0' && c <= '9';
}

/* What may stand inside of a figure: half of one would be another figure. */
static bool is_of_figure(uint32_t c)
{
    return is_digit(c) || c == '.' || c == ',' || c == '+' || c == '-' || c == '%' || c == 0x2212;
}

/* Where the last word begins, if it holds a figure; else the end. */
static int last_figure(const struct cell_words *w)
{
    int from = w->count;
    bool has_digit = false;
    while (from > 0 && w->c[from - 1] != ' ')
        has_digit = is_digit(w->c[--from]) || has_digit;
    return has_digit && from > 0 ? from : w->count;
}

/* The longest beginning of at most room columns that ends in no half figure. */
static int whole_beginning(const struct cell_words *w, int room)
{
    int cut = room;
    while (cut > 0 && is_of_figure(w->c[cut - 1]))
        cut--;
    while (cut > 0 && w->c[cut - 1] == ' ')
        cut--;
    return cut > 0 && is_of_figure(w->c[cut - 1]) ? cut + 1 : cut; /* a blank parts a figure from the points */
}

void cells_fit(struct cell_words *w, int most)
{
    int tail = last_figure(w), tail_width = w->count - tail;
    if (w->count <= most)
        return;
    if (most < CUT_WIDTH) {
        w->count = 0;
        return;
    }
    if (tail_width > 0 && tail_width + 1 + CUT_WIDTH <= most)
        tail_width++; /* the blank before it */
    else
        tail_width = 0;
    int cut = whole_beginning(w, most - CUT_WIDTH - tail_width), from = w->count - tail_width;
    for (int i = 0; i < CUT_WIDTH; i++)
        w->c[cut++] = (unsigned char)CUT[i];
    for (int i = 0; i < tail_width; i++)
        w->c[cut + i] = w->c[from + i];
    w->count = cut + tail_width;
}

void cells_words(struct cells *cs, int row, int col, const struct cell_words *w)
{
    for (int i = 0; i < w->count; i++)
        cells_put(cs, row, col + i, w->c[i]);
}

int cells_text(struct cells *cs, int row, int col, int most, const char *utf8)
{
    struct cell_words w;
    cells_set(&w, utf8, cs->is_ascii);
    cells_fit(&w, most);
    cells_words(cs, row, col, &w);
    return w.count;
}

int cells_wrapped(struct cells *cs, int row, const char *utf8)
{
    struct cell_words w;
    int from = 0, first = row;
    cells_set(&w, utf8, cs->is_ascii);
    while (from < w.count && row < cs->rows) {
        int to = w.count - from <= cs->cols ? w.count : from + cs->cols;
        while (to < w.count && to > from && w.c[to] != ' ')
            to--;
        if (to == from)
            to = from + cs->cols; /* a word longer than a row */
        for (int i = from; i < to; i++)
            cells_put(cs, row, i - from, w.c[i]);
        for (from = to; from < w.count && w.c[from] == ' ';)
            from++;
        row++;
    }
    return row - first;
}

void cells_print(const struct cells *cs, char out[][CELLS_ROW_CAP])
{
    for (int row = 0; row < cs->rows; row++) {
        int end = cs->cols;
        size_t n = 0;
        while (end > 0 && cs->c[row][end - 1] == ' ')
            end--;
        for (int col = 0; col < end; col++)
            n += utf8_encode(cs->c[row][col], out[row] + n);
        out[row][n] = '\0';
    }
}
