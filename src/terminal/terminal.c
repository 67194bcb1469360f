/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "terminal/terminal.h"

#include <stdlib.h>

#include "terminal/layout.h"
#include "terminal/renderer.h"

struct terminal {
    enum terminal_kind kind;
    struct screen *screen;
    struct plain *plain;
};

enum status terminal_open(enum terminal_kind kind, struct terminal **out, struct err *e)
{
    struct terminal *t = calloc(1, sizeof *t);
    enum status status;

    if (t == NULL)
        return err_set(e, ST_NO_MEMORY,
                       "There is no memory left for the screen. Close other programs and start again.");
    t->kind = kind;
    signals_open();
    status = kind == TERMINAL_PLAIN ? plain_open(&t->plain, e) : screen_open(&t->screen, e);
    if (status != ST_OK) {
        signals_close();
        free(t);
        return status;
    }
    *out = t;
    return ST_OK;
}

void terminal_close(struct terminal *t)
{
    if (t == NULL)
        return;
    if (t->kind == TERMINAL_PLAIN)
        plain_close(t->plain);
    else
        screen_close(t->screen);
    signals_close();
    free(t);
}

void terminal_size(const struct terminal *t, int *rows, int *cols, bool *is_ascii)
{
    *rows = *cols = 0;
    if (t->kind == TERMINAL_PLAIN)
        *is_ascii = plain_is_ascii(t->plain);
    else
        screen_size(t->screen, rows, cols, is_ascii);
}

void terminal_draw(struct terminal *t, const struct page *pg)
{
    if (t->kind == TERMINAL_PLAIN)
        plain_draw(t->plain, pg);
    else
        screen_draw(t->screen, pg);
}

struct key terminal_key(struct terminal *t, int64_t until_boot_ms)
{
    return t->kind == TERMINAL_PLAIN ? plain_key(t->plain, until_boot_ms)
                                     : screen_key(t->screen, until_boot_ms);
}

void terminal_render_text(const struct page *pg, int rows, int cols, bool ascii, char *out, size_t cap)
{
    struct grid *g = malloc(sizeof *g);

    if (cap > 0)
        out[0] = '\0';
    if (g == NULL || cap == 0) {
        free(g);
        return;
    }
    layout_page(pg, rows, cols, ascii, NULL, g);
    layout_text(g, out, cap);
    free(g);
}
