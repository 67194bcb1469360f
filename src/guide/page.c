/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "guide/page.h"

#include <stdarg.h>
#include <stdio.h>
#include <string.h>

#include "stillarm/text.h"

void page_init(struct page *pg, enum page_form form, const char *id)
{
    memset(pg, 0, sizeof *pg);
    pg->form = form;
    pg->pace = -1;
    text_copy(pg->id, sizeof pg->id, id);
}

/* vsnprintf cuts between bytes; drop the front half of a character that it may have left. */
static void drop_half_character(char *s)
{
    size_t len = strlen(s), start = len;
    uint32_t c;

    while (start > 0 && len - start < 3 && ((unsigned char)s[start - 1] & 0xC0) == 0x80)
        start--;
    if (start > 0 && ((unsigned char)s[start - 1] & 0xC0) == 0xC0 &&
        utf8_decode(s + start - 1, len - start + 1, &c) == 0)
        s[start - 1] = '\0';
}

struct page_line *page_line(struct page *pg, enum line_role role, const char *format, ...)
{
    /* The last slot is never shown: what a full page cannot take is written there, so that no static buffer
     * is needed. */
    bool is_full = pg->line_count >= PAGE_LINES_MAX - 1;
    struct page_line *line = &pg->lines[is_full ? PAGE_LINES_MAX - 1 : pg->line_count];
    va_list args;

    if (!is_full)
        pg->line_count++;
    *line = (struct page_line){.role = role};
    va_start(args, format);
    if (vsnprintf(line->text, sizeof line->text, format, args) >= (int)sizeof line->text)
        drop_half_character(line->text);
    va_end(args);
    return line;
}

void page_drawn(struct page *pg, const char *utf8)
{
    if (pg->drawn_count >= PAGE_DRAWN_MAX)
        return;
    text_copy(pg->drawn[pg->drawn_count], sizeof pg->drawn[0], utf8);
    page_line(pg, LINE_DRAWN, "%s", "")->drawn = pg->drawn_count++;
}

const char *page_line_text(const struct page *pg, const struct page_line *line)
{
    return line->role == LINE_DRAWN ? pg->drawn[line->drawn] : line->text;
}

void page_key(struct page *pg, const char *name, const char *label)
{
    struct page_key *key;

    if (pg->key_count >= PAGE_KEYS_MAX)
        return;
    key = &pg->keys[pg->key_count++];
    text_copy(key->name, sizeof key->name, name);
    text_copy(key->label, sizeof key->label, label);
}

void page_key_named(struct page *pg, const char *name, const char *label)
{
    for (int i = 0; i < pg->key_count; i++)
        if (strcmp(pg->keys[i].name, name) == 0) {
            text_copy(pg->keys[i].label, sizeof pg->keys[i].label, label);
            return;
        }
    page_key(pg, name, label);
}
