/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The frame of a page: top line, banner, rail, refusal, keys, and too small a window. The middle is in
 * layout_body.c. */
#include "terminal/layout.h"

#include <stdio.h>

#include "stillarm/text.h"
#include "terminal/layout_body.h"

#define KEY_ROWS_RESERVED 2
#define REFUSAL_ROWS_RESERVED 2
#define STRIPS_MAX 64
#define ROWS_AIRY 22 /* from here on there is room for an empty row below the top line */

static int at_least(int a, int b)
{
    return a > b ? a : b;
}

static int put_wrapped(struct grid *g, int row, int col, int width, const struct shown *s, enum style style,
                       bool is_centred)
{
    struct strip strips[STRIPS_MAX];
    int count = shown_wrap(s, width, strips, STRIPS_MAX);

    for (int i = 0; i < count; i++) {
        int used = shown_width(s, strips[i].from, strips[i].to);
        int at = col + (is_centred ? at_least(0, (width - used) / 2) : strips[i].indent);
        grid_put(g, row + i, at, s, strips[i].from, strips[i].to, style);
    }
    return count;
}

/* Who and what on the left, where and when on the right; on two rows when one has no room for both. */
static int draw_top(struct grid *g, const struct page *pg, bool ascii)
{
    struct shown left, right;
    int width = g->cols - 2, right_width, rows = 1;

    shown_set(&left, pg->left, ascii);
    shown_set(&right, pg->right, ascii);
    right_width = shown_width(&right, 0, right.count);
    if (shown_width(&left, 0, left.count) + right_width + 3 > width && right.count > 0) {
        rows = put_wrapped(g, 0, 1, width, &left, STYLE_TOP, false);
        return rows +
               put_wrapped(g, rows, at_least(1, g->cols - 1 - right_width), width, &right, STYLE_TOP, false);
    }
    put_wrapped(g, 0, 1, width, &left, STYLE_TOP, false);
    grid_put(g, 0, g->cols - 1 - right_width, &right, 0, right.count, STYLE_TOP);
    return rows;
}

static int draw_banner(struct grid *g, int row, const struct page *pg, bool ascii)
{
    struct shown s;

    if (pg->banner[0] == '\0')
        return 0;
    shown_set(&s, pg->banner, ascii);
    return put_wrapped(g, row, 1, g->cols - 2, &s, STYLE_BANNER, false);
}

/* The keys as they wrap: whole keys only, three blanks between. Draws when first_row >= 0; returns the rows.
 */
static int keys_rows(struct grid *g, int first_row, const struct page *pg, bool ascii)
{
    int row = 0, col = 1;

    for (int i = 0; i < pg->key_count; i++) {
        struct shown name, label;
        int width;

        shown_set(&name, pg->keys[i].name, ascii);
        shown_set(&label, pg->keys[i].label, ascii);
        width = shown_width(&name, 0, name.count) + 1 + shown_width(&label, 0, label.count);
        if (col > 1 && col + width > g->cols - 1) {
            row++;
            col = 1;
        }
        if (first_row >= 0) {
            int at = grid_put(g, first_row + row, col, &name, 0, name.count, STYLE_KEY);
            grid_put(g, first_row + row, at + 1, &label, 0, label.count, STYLE_KEY_LABEL);
        }
        col += width + 3;
    }
    return row + 1;
}

/* Bottom up: keys on the last rows, the refusal above. Returns the first row that is no longer free; calm:
 * without refusal. */
static int draw_bottom(struct grid *g, const struct page *pg, bool ascii, int *calm)
{
    int rows = keys_rows(g, -1, pg, ascii);
    int refusal_end = g->rows - at_least(rows, KEY_ROWS_RESERVED), refusal_rows = 0;
    struct strip strips[STRIPS_MAX];
    struct shown s;

    keys_rows(g, g->rows - rows, pg, ascii);
    *calm = refusal_end - REFUSAL_ROWS_RESERVED;
    if (pg->refusal[0] != '\0') {
        shown_set(&s, pg->refusal, ascii);
        refusal_rows = shown_wrap(&s, g->cols - 2, strips, STRIPS_MAX);
    }
    /* A very long one grows upwards over what is blank there; it never pushes anything down. */
    refusal_rows = at_least(refusal_rows, REFUSAL_ROWS_RESERVED);
    if (pg->refusal[0] != '\0')
        put_wrapped(g, refusal_end - refusal_rows, 1, g->cols - 2, &s, STYLE_REFUSAL, false);
    return refusal_end - refusal_rows;
}

/* The rail is the one thing that may stand on the rows kept for a refusal: where rows are few it would lose steps else.
 * While a refusal is there it covers the last steps, unless that one is among them. */
static int rail_first(const struct page *pg, int now, int room, int room_beside_refusal)
{
    int first;

    if (pg->rail_count <= room && now < room_beside_refusal)
        return 0;
    room = room_beside_refusal;
    first = at_least(0, now - room / 2);
    return first > pg->rail_count - room ? at_least(0, pg->rail_count - room) : first;
}

/* Columns of names and states; returns the column where the body begins. */
static int draw_rail(struct grid *g, const struct body *b, const struct page *pg, bool ascii)
{
    int top = b->top, name_width = 0, state_width = 0, now = 0, first;
    int calm_room = b->calm_bottom + REFUSAL_ROWS_RESERVED - top;
    int room = pg->refusal[0] != '\0' ? b->bottom - top : calm_room;
    struct shown name, state;

    for (int i = 0; i < pg->rail_count; i++) {
        shown_set(&name, pg->rail[i].name, ascii);
        shown_set(&state, pg->rail[i].state, ascii);
        name_width = at_least(name_width, shown_width(&name, 0, name.count));
        state_width = at_least(state_width, shown_width(&state, 0, state.count));
        if (pg->rail[i].is_now)
            now = i;
    }
    first = rail_first(pg, now, calm_room, room);
    for (int i = first; i < pg->rail_count && i - first < room; i++) {
        enum style style = pg->rail[i].is_now ? STYLE_RAIL_NOW : STYLE_RAIL;
        shown_set(&name, pg->rail[i].name, ascii);
        shown_set(&state, pg->rail[i].state, ascii);
        if (pg->rail[i].is_now)
            grid_put_text(g, top + i - first, 1, ">", style);
        grid_put(g, top + i - first, 3, &name, 0, name.count, style);
        grid_put(g, top + i - first, 4 + name_width, &state, 0, state.count, style);
    }
    return 4 + name_width + state_width + 1;
}

static void draw_too_small(struct grid *g, const struct page *pg, bool ascii)
{
    char text[400];
    struct shown s;
    int rows;

    snprintf(text, sizeof text,
             "This window is %d by %d characters; stillarm needs %d by %d. Make it larger: nothing is lost, "
             "and the page comes back.%s%s",
             g->cols, g->rows, LAYOUT_COLS_MIN, LAYOUT_ROWS_MIN, pg->banner[0] != '\0' ? " " : "",
             pg->banner);
    shown_set(&s, text, ascii);
    rows = put_wrapped(g, 0, 0, g->cols, &s, STYLE_TEXT, false);
    if (rows + 2 < g->rows && pg->refusal[0] != '\0') {
        shown_set(&s, pg->refusal, ascii);
        put_wrapped(g, rows + 1, 0, g->cols, &s, STYLE_REFUSAL, false);
    }
}

void layout_page(const struct page *pg, int rows, int cols, bool ascii, struct layout_scroll *scroll,
                 struct grid *out)
{
    struct layout_scroll none = {0};
    struct body body = {.pg = pg, .g = out, .ascii = ascii, .scroll = scroll != NULL ? scroll : &none};

    body.scroll->is_led = false;
    body.scroll->first = 0;
    body.scroll->most = 0;
    body.scroll->page = 1;
    grid_clear(out, rows, cols);
    if (out->rows < LAYOUT_ROWS_MIN || out->cols < LAYOUT_COLS_MIN) {
        draw_too_small(out, pg, ascii);
        return;
    }
    body.top = draw_top(out, pg, ascii);
    body.top += draw_banner(out, body.top, pg, ascii) + (out->rows < ROWS_AIRY ? 0 : 1);
    body.bottom = draw_bottom(out, pg, ascii, &body.calm_bottom);
    body.col = pg->form == PAGE_STEPS ? draw_rail(out, &body, pg, ascii) : pg->form == PAGE_WIDE ? 0 : 2;
    body_draw(&body);
}

void layout_text(const struct grid *g, char *out, size_t cap)
{
    struct text t;

    text_init(&t, out, cap);
    for (int row = 0; row < g->rows; row++) {
        const struct cell *cells = &g->cells[row * g->cols];
        int end = g->cols;

        while (end > 0 && cells[end - 1].c == ' ')
            end--;
        for (int col = 0; col < end; col++) {
            char utf8[9] = "";
            size_t n = cells[col].c != 0 ? utf8_encode(cells[col].c, utf8) : 0;
            if (n > 0 && cells[col].above != 0)
                n += utf8_encode(cells[col].above, utf8 + n);
            utf8[n] = '\0';
            text_add(&t, utf8);
        }
        text_add(&t, "\n");
    }
}
