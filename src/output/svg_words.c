/* SPDX-License-Identifier: GPL-3.0-or-later */
/** @file svg_words.c  Puts a graph's words into its SVG, for search and for screen readers. */
#include "output/svg_words.h"

#include <ctype.h>
#include <stdlib.h>
#include <string.h>

#include "stillarm/text.h"

bool bytes_add(struct bytes *b, const void *data, size_t len)
{
    if (b->cap - b->len < len) {
        size_t cap = b->cap * 2 + len;
        char *grown = realloc(b->data, cap);
        if (grown == NULL)
            return false;
        b->data = grown;
        b->cap = cap;
    }
    if (len > 0)
        memcpy(b->data + b->len, data, len);
    b->len += len;
    return true;
}

static bool add(struct bytes *b, const char *s)
{
    return bytes_add(b, s, strlen(s));
}

static bool add_escaped(struct bytes *b, const char *words)
{
    static const char BAD[] = "&<>\"";
    static const char *const GOOD[] = {"&amp;", "&lt;", "&gt;", "&quot;"};
    char clean[256];
    bool is_right = true;

    text_copy(clean, sizeof clean, words);
    text_defuse(clean);
    for (const char *c = clean; is_right && *c != '\0'; c++) {
        const char *bad = strchr(BAD, *c);
        is_right = bad != NULL ? add(b, GOOD[bad - BAD]) : bytes_add(b, c, 1);
    }
    return is_right;
}

static bool add_line(struct bytes *b, const char *words)
{
    return words[0] == '\0' || (add(b, "\n") && add_escaped(b, words));
}

static bool add_graph(struct bytes *b, const struct chart *c)
{
    bool is_right = add_line(b, c->title) && add_line(b, c->note) && add_line(b, c->lack);

    if (c->lack[0] == '\0')
        is_right = is_right && add_line(b, c->x.label) && add_line(b, c->y.label);
    for (int i = 0; is_right && i < c->level_count; i++)
        is_right = add_line(b, c->levels[i].label);
    for (int i = 0; is_right && i < c->sign_count; i++)
        is_right = add_line(b, c->signs[i].label);
    return is_right;
}

static bool add_words(struct bytes *b, const struct chart_sheet *s)
{
    bool is_right = add(b, "\n<title>") && add_escaped(b, s->heading) && add(b, "</title>\n<desc>") && add_escaped(b, s->date);

    for (int i = 0; is_right && i < s->panel_count && i < CHART_PANELS_MAX; i++)
        is_right = add_graph(b, &s->panel[i]);
    return is_right && add_line(b, CHART_CAUTION) && add(b, "\n</desc>");
}

bool svg_add_words(struct bytes *svg, const struct chart_sheet *s)
{
    static const char OPEN[] = "<svg ", NAME[] = "surface"; /* cairo counts surfaces over the whole process */
    struct bytes out = {0};
    bool is_right = true, has_words = false;

    for (size_t i = 0; is_right && i < svg->len;) {
        size_t left = svg->len - i;
        const char *at = svg->data + i, *end = has_words || left < sizeof OPEN || memcmp(at, OPEN, sizeof OPEN - 1) != 0
                                                   ? NULL : memchr(at, '>', left);
        if (end != NULL) {
            is_right = bytes_add(&out, at, (size_t)(end - at) + 1) && add_words(&out, s);
            i += (size_t)(end - at) + 1;
            has_words = true;
        } else if (left > sizeof NAME && memcmp(at, NAME, sizeof NAME - 1) == 0 && isdigit((unsigned char)at[sizeof NAME - 1])) {
            is_right = add(&out, NAME);
            for (i += sizeof NAME - 1; i < svg->len && isdigit((unsigned char)svg->data[i]); i++)
                ;
        } else {
            is_right = bytes_add(&out, at, 1);
            i++;
        }
    }
    if (!is_right) {
        free(out.data);
        return false;
    }
    free(svg->data);
    *svg = out;
    return true;
}
