/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The big figures: our own shapes, two columns a stroke so that they stand upright on a terminal's tall
 * cells. */
#include <string.h>

#include "stillarm/err.h"
#include "terminal/grid.h"

#define FIGURE_HEIGHT 5

struct glyph {
    char c;
    const char *normal[FIGURE_HEIGHT];
    const char *small[FIGURE_HEIGHT];
};

static const struct glyph GLYPHS[] = {
    {'0', {" ##### ", "##   ##", "##   ##", "##   ##", " ##### "}, {"###", "# #", "# #", "# #", "###"}},
    {'1', {"  ##   ", "####   ", "  ##   ", "  ##   ", "###### "}, {" # ", "## ", " # ", " # ", "###"}},
    {'2', {"###### ", "     ##", " ##### ", "##     ", "#######"}, {"###", "  #", "###", "#  ", "###"}},
    {'3', {"###### ", "     ##", "  #### ", "     ##", "###### "}, {"###", "  #", " ##", "  #", "###"}},
    {'4', {"##   ##", "##   ##", "#######", "     ##", "     ##"}, {"# #", "# #", "###", "  #", "  #"}},
    {'5', {"#######", "##     ", "###### ", "     ##", "###### "}, {"###", "#  ", "###", "  #", "###"}},
    {'6', {" ##### ", "##     ", "###### ", "##   ##", " ##### "}, {"###", "#  ", "###", "# #", "###"}},
    {'7', {"#######", "     ##", "    ## ", "   ##  ", "  ##   "}, {"###", "  #", "  #", " # ", " # "}},
    {'8', {" ##### ", "##   ##", " ##### ", "##   ##", " ##### "}, {"###", "# #", "###", "# #", "###"}},
    {'9', {" ##### ", "##   ##", " ######", "     ##", " ##### "}, {"###", "# #", "###", "  #", "###"}},
    {':', {"  ", "##", "  ", "##", "  "}, {" ", "#", " ", "#", " "}},
    {'/', {"     ##", "    ## ", "   ##  ", "  ##   ", " ##    "}, {"  #", "  #", " # ", "#  ", "#  "}},
    {'-', {"     ", "     ", "#####", "     ", "     "}, {"   ", "   ", "###", "   ", "   "}},
    {'+', {"      ", "  ##  ", "######", "  ##  ", "      "}, {"   ", " # ", "###", " # ", "   "}},
    {'.', {"  ", "  ", "  ", "  ", "##"}, {" ", " ", " ", " ", "#"}},
    {' ', {"    ", "    ", "    ", "    ", "    "}, {"  ", "  ", "  ", "  ", "  "}},
};

static const struct glyph *find(char c)
{
    for (size_t i = 0; i < ARRAY_LEN(GLYPHS); i++)
        if (GLYPHS[i].c == c)
            return &GLYPHS[i];
    return NULL;
}

static int scale_of(enum figure_size size)
{
    return size == FIGURE_DOUBLE ? 2 : 1;
}

int figure_rows(enum figure_size size)
{
    return size == FIGURE_LINE ? 1 : FIGURE_HEIGHT * scale_of(size);
}

int figure_cols(const char *big, enum figure_size size)
{
    int cols = 0, gap = size == FIGURE_SMALL ? 1 : 2;

    if (size == FIGURE_LINE)
        return (int)strlen(big);
    for (const char *s = big; *s != '\0'; s++) {
        const struct glyph *g = find(*s);
        if (g != NULL)
            cols += (int)strlen(size == FIGURE_SMALL ? g->small[0] : g->normal[0]) + (cols > 0 ? gap : 0);
    }
    return cols * scale_of(size);
}

static void block(struct grid *g, int row, int col, int scale, uint32_t c)
{
    for (int y = row; y < row + scale; y++)
        for (int x = col; x < col + scale; x++)
            if (y >= 0 && y < g->rows && x >= 0 && x < g->cols)
                g->cells[y * g->cols + x] = (struct cell){.c = c, .style = STYLE_BIG};
}

static int draw_glyph(struct grid *g, int row, int col, const char *const shape[FIGURE_HEIGHT], int scale,
                      uint32_t c)
{
    int width = (int)strlen(shape[0]);

    for (int y = 0; y < FIGURE_HEIGHT; y++)
        for (int x = 0; x < width; x++)
            if (shape[y][x] == '#')
                block(g, row + y * scale, col + x * scale, scale, c);
    return width * scale;
}

void figure_draw(struct grid *g, int row, int col, const char *big, enum figure_size size, bool ascii)
{
    int scale = scale_of(size), gap = (size == FIGURE_SMALL ? 1 : 2) * scale;

    if (size == FIGURE_LINE) {
        grid_put_text(g, row, col, big, STYLE_BIG);
        return;
    }
    for (const char *s = big; *s != '\0'; s++) {
        const struct glyph *glyph = find(*s);
        if (glyph != NULL)
            col += draw_glyph(g, row, col, size == FIGURE_SMALL ? glyph->small : glyph->normal, scale,
                              ascii ? '#' : 0x2588) +
                   gap;
    }
}
