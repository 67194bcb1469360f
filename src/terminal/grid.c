/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "terminal/grid.h"

#include <string.h>

#include "stillarm/err.h"
#include "stillarm/text.h"

#define LABEL_COLUMNS 12 /* with the blanks behind it; further on, two blanks part what is said */

struct range {
    uint32_t low, high;
};

/* Marks that join the character before them (general categories Mn, Me and the joiners of Cf; the blocks a
 * person can type). */
static const struct range COMBINING[] = {
    {0x0300, 0x036F}, {0x0483, 0x0489}, {0x0591, 0x05BD}, {0x05BF, 0x05BF}, {0x05C1, 0x05C2},
    {0x0610, 0x061A}, {0x064B, 0x065F}, {0x0670, 0x0670}, {0x06D6, 0x06DC}, {0x0900, 0x0902},
    {0x093C, 0x093C}, {0x0941, 0x0948}, {0x094D, 0x094D}, {0x0E31, 0x0E31}, {0x0E34, 0x0E3A},
    {0x0E47, 0x0E4E}, {0x1AB0, 0x1ACE}, {0x1DC0, 0x1DFF}, {0x200B, 0x200D}, {0x20D0, 0x20F0},
    {0x302A, 0x302D}, {0x3099, 0x309A}, {0xFE00, 0xFE0F}, {0xFE20, 0xFE2F}, {0xE0100, 0xE01EF},
};

/* East Asian Width W and F (Unicode Standard Annex 11), joined to blocks. */
static const struct range WIDE[] = {
    {0x1100, 0x115F},   {0x231A, 0x231B},   {0x2329, 0x232A},   {0x23E9, 0x23EC},   {0x23F0, 0x23F0},
    {0x23F3, 0x23F3},   {0x25FD, 0x25FE},   {0x2614, 0x2615},   {0x2648, 0x2653},   {0x267F, 0x267F},
    {0x2693, 0x2693},   {0x26A1, 0x26A1},   {0x26AA, 0x26AB},   {0x26BD, 0x26BE},   {0x26C4, 0x26C5},
    {0x26CE, 0x26CE},   {0x26D4, 0x26D4},   {0x26EA, 0x26EA},   {0x26F2, 0x26F3},   {0x26F5, 0x26F5},
    {0x26FA, 0x26FA},   {0x26FD, 0x26FD},   {0x2705, 0x2705},   {0x270A, 0x270B},   {0x2728, 0x2728},
    {0x274C, 0x274C},   {0x274E, 0x274E},   {0x2753, 0x2755},   {0x2757, 0x2757},   {0x2795, 0x2797},
    {0x27B0, 0x27B0},   {0x27BF, 0x27BF},   {0x2B1B, 0x2B1C},   {0x2B50, 0x2B50},   {0x2B55, 0x2B55},
    {0x2E80, 0x303E},   {0x3041, 0x33FF},   {0x3400, 0x4DBF},   {0x4E00, 0xA4CF},   {0xA960, 0xA97F},
    {0xAC00, 0xD7A3},   {0xF900, 0xFAFF},   {0xFE10, 0xFE19},   {0xFE30, 0xFE6F},   {0xFF01, 0xFF60},
    {0xFFE0, 0xFFE6},   {0x16FE0, 0x18CFF}, {0x1B000, 0x1B2FF}, {0x1F004, 0x1F004}, {0x1F0CF, 0x1F0CF},
    {0x1F18E, 0x1F18E}, {0x1F191, 0x1F19A}, {0x1F200, 0x1F265}, {0x1F300, 0x1F320}, {0x1F32D, 0x1F335},
    {0x1F337, 0x1F37C}, {0x1F37E, 0x1F393}, {0x1F3A0, 0x1F3CA}, {0x1F3E0, 0x1F3F0}, {0x1F400, 0x1F43E},
    {0x1F440, 0x1F440}, {0x1F442, 0x1F4FC}, {0x1F4FF, 0x1F53D}, {0x1F550, 0x1F567}, {0x1F5FB, 0x1F64F},
    {0x1F680, 0x1F6C5}, {0x1F7E0, 0x1F7EB}, {0x1F90C, 0x1F9FF}, {0x1FA70, 0x1FAFF}, {0x20000, 0x3FFFD},
};

/* Plain spellings where the terminal has no UTF-8. */
static const struct {
    uint32_t c;
    const char *ascii;
} SPELLED[] = {
    {0xA7, "par."},  {0xAB, "\""},   {0xB0, " deg"}, {0xB1, "+-"},   {0xB2, "2"},
    {0xB3, "3"},   {0xB4, "'"},     {0xB5, "u"},    {0xB7, "."},    {0xBB, "\""},   {0xBC, "1/4"},
    {0xBD, "1/2"}, {0xBE, "3/4"},   {0xC4, "Ae"},   {0xC5, "A"},    {0xC6, "Ae"},   {0xD0, "D"},
    {0xD6, "Oe"},  {0xD7, "x"},     {0xD8, "O"},    {0xDC, "Ue"},   {0xDE, "Th"},   {0xDF, "ss"},
    {0xE4, "ae"},  {0xE5, "a"},     {0xE6, "ae"},   {0xF0, "d"},    {0xF6, "oe"},   {0xF7, "/"},
    {0xF8, "o"},   {0xFC, "ue"},    {0xFE, "th"},   {0x2010, "-"},  {0x2011, "-"},  {0x2012, "-"},
    {0x2013, "-"}, {0x2014, "-"},   {0x2018, "'"},  {0x2019, "'"},  {0x201C, "\""}, {0x201D, "\""},
    {0x2022, "*"}, {0x2026, "..."}, {0x2032, "'"},  {0x2033, "\""}, {0x2190, "<-"}, {0x2192, "->"},
    {0x2212, "-"}, {0x2248, "~"},   {0x2260, "!="}, {0x2264, "<="}, {0x2265, ">="}, {0x2713, "x"},
};
/* U+00C0 to U+00FF and U+0100 to U+017F by their base letter; '?' where the table above or nothing speaks. */
static const char LATIN[] =
    "AAAAAA?CEEEEIIII?NOOOOO?OUUUUY??aaaaaa?ceeeeiiii?nooooo?ouuuuy?y"
    "AaAaAaCcCcCcCcDdDdEeEeEeEeEeGgGgGgGgHhHhIiIiIiIiIi??JjKkkLlLlLlLlLlNnNnNnnNnOoOoOo??"
    "RrRrRrSsSsSsSsTtTtTtUuUuUuUuUuUuWwYyYZzZzZzs";

static bool lies_in(uint32_t c, const struct range *table, size_t count)
{
    size_t low = 0, high = count;

    while (low < high) {
        size_t middle = (low + high) / 2;
        if (c > table[middle].high)
            low = middle + 1;
        else if (c < table[middle].low)
            high = middle;
        else
            return true;
    }
    return false;
}

int char_width(uint32_t c)
{
    if (c < 0x300)
        return 1;
    if (lies_in(c, COMBINING, ARRAY_LEN(COMBINING)))
        return 0;
    return lies_in(c, WIDE, ARRAY_LEN(WIDE)) ? 2 : 1;
}

static void push(struct shown *s, uint32_t c)
{
    if (s->count < (int)ARRAY_LEN(s->c))
        s->c[s->count++] = c;
}

static void push_ascii(struct shown *s, uint32_t c)
{
    for (size_t i = 0; i < ARRAY_LEN(SPELLED); i++)
        if (SPELLED[i].c == c) {
            for (const char *a = SPELLED[i].ascii; *a != '\0'; a++)
                push(s, (unsigned char)*a);
            return;
        }
    if (char_width(c) == 0)
        return;
    push(s, c >= 0xC0 && c - 0xC0 < sizeof LATIN - 1 ? (unsigned char)LATIN[c - 0xC0] : '?');
    if (char_width(c) == 2)
        push(s, '?'); /* as wide as the character was, so that columns still meet */
}

void shown_add(struct shown *s, const char *utf8, bool ascii)
{
    size_t len = strlen(utf8), at = 0;

    while (at < len) {
        uint32_t c;
        size_t n = utf8_decode(utf8 + at, len - at, &c);

        at += n > 0 ? n : 1;
        if (n > 0 && (c == '\t' || c == '\n' || c == '\r'))
            push(s, ' ');
        else if (n == 0 || is_control(c))
            push(s, ascii ? '?' : 0xFFFD);
        else if (ascii && c > 0x7E && c != GLUED_BLANK)
            push_ascii(s, c);
        else
            push(s, c);
    }
}

void shown_set(struct shown *s, const char *utf8, bool ascii)
{
    s->count = 0;
    shown_add(s, utf8, ascii);
}

int shown_width(const struct shown *s, int from, int to)
{
    int width = 0;

    for (int i = from; i < to; i++)
        width += char_width(s->c[i]);
    return width;
}

/* Where a line that begins at from must end: after the last word that fits, or inside a word longer than a
 * line. */
static int line_end(const struct shown *s, int from, int width)
{
    int used = 0, last_blank = -1;
    bool has_word = false;

    for (int i = from; i < s->count; i++) {
        int w = char_width(s->c[i]);
        has_word = has_word || s->c[i] != ' ';
        if (s->c[i] == ' ' && has_word)
            last_blank = i;
        if (used + w > width && s->c[i] != ' ')
            return last_blank > from ? last_blank : (i > from ? i : from + 1);
        used += w;
    }
    return s->count;
}

/* Columns before what a row says: blanks, or a short label that blanks set off. */
static int lead_of(const struct shown *s)
{
    int at = 0, gap = 0;

    while (at < s->count && s->c[at] == ' ')
        at++;
    if (at > 0)
        return at;
    for (; at < s->count && at <= LABEL_COLUMNS; at++) {
        if (s->c[at] != ' ' && gap >= 2)
            return at;
        gap = s->c[at] == ' ' ? gap + 1 : 0;
    }
    return 0;
}

int shown_wrap(const struct shown *s, int width, struct strip *out, int cap)
{
    int count = 0, lead = lead_of(s), from = 0;

    if (width < 1)
        width = 1;
    if (lead == s->count || lead > width / 2)
        lead = 0;
    while (count < cap) {
        int indent = count == 0 ? 0 : lead;
        int end = line_end(s, from, width - indent), to = end;

        while (to > from && s->c[to - 1] == ' ')
            to--;
        out[count++] = (struct strip){.from = from, .to = to, .indent = indent};
        for (from = end; from < s->count && s->c[from] == ' ';)
            from++;
        if (from >= s->count)
            break;
    }
    return count;
}

void grid_clear(struct grid *g, int rows, int cols)
{
    g->rows = rows < 1 ? 1 : rows > GRID_ROWS_MAX ? GRID_ROWS_MAX : rows;
    g->cols = cols < 1 ? 1 : cols > GRID_COLS_MAX ? GRID_COLS_MAX : cols;
    g->cursor_row = g->cursor_col = -1;
    for (int i = 0; i < g->rows * g->cols; i++)
        g->cells[i] = (struct cell){.c = ' ', .style = STYLE_TEXT};
}

int grid_put(struct grid *g, int row, int col, const struct shown *s, int from, int to, enum style style)
{
    for (int i = from; i < to; i++) {
        int w = char_width(s->c[i]);
        struct cell *cell;

        if (row < 0 || row >= g->rows || col < 0 || col + w > g->cols)
            return col;
        cell = &g->cells[row * g->cols + col];
        if (w == 0) {
            if (col > 0 && cell[-1].c != 0 && cell[-1].above == 0)
                cell[-1].above = s->c[i];
            continue;
        }
        cell[0] = (struct cell){.c = s->c[i] == GLUED_BLANK ? ' ' : s->c[i], .style = style};
        if (w == 2)
            cell[1] = (struct cell){.c = 0, .style = style};
        col += w;
    }
    return col;
}

int grid_put_text(struct grid *g, int row, int col, const char *ascii_text, enum style style)
{
    struct shown s;

    shown_set(&s, ascii_text, true);
    return grid_put(g, row, col, &s, 0, s.count, style);
}
