/* SPDX-License-Identifier: GPL-3.0-or-later */
/** @file form.c  Keys and pages of forms and lists. */
#include "guide/form.h"

#include <stdio.h>
#include <string.h>

#include "stillarm/text.h"

#define ROWS_SHOWN 12 /* what an 80x24 screen holds beside title, note and keys */

static void drop_last_character(char *s)
{
    size_t len = strlen(s);
    while (len > 0 && ((unsigned char)s[len - 1] & 0xC0) == 0x80)
        len--;
    if (len > 0)
        len--;
    s[len] = '\0';
}

/* One more would be too much: said with how much it holds. */
static bool is_full(struct form *f, size_t more)
{
    const struct form_field *field = &f->fields[f->at];
    if (field->most_characters > 0 && (int32_t)utf8_length(field->entry) >= field->most_characters) {
        snprintf(f->refusal, sizeof f->refusal, "not yet: this field holds no more than %d characters", (int)field->most_characters);
        return true;
    }
    if (strlen(field->entry) + more < (field->most_characters > 0 ? FORM_ENTRY_CAP : FORM_ENTRY_USUAL))
        return false;
    snprintf(f->refusal, sizeof f->refusal, "not yet: this field holds no more than %d bytes", FORM_ENTRY_USUAL - 1);
    return true;
}

static void type_character(struct form *f, uint32_t c)
{
    char *entry = f->fields[f->at].entry, bytes[4];
    size_t len, n = utf8_encode(c, bytes);
    if (n == 0 || c == 0xFFFD || is_control(c)) {
        text_copy(f->refusal, sizeof f->refusal,
                  "not yet: that was no character that a text can hold; it was left out. What was typed before it is kept.");
        return;
    }
    if (!f->is_begun)
        entry[0] = '\0'; /* typing replaces what stands there; backspace edits it */
    f->is_begun = true;
    len = strlen(entry);
    if (is_full(f, n))
        return;
    memcpy(entry + len, bytes, n);
    entry[len + n] = '\0';
}

static void go_to(struct form *f, int field)
{
    f->at = field;
    f->is_begun = false;
}

static bool will_do(struct form *f, int field)
{
    struct err e = { 0 };
    if (!f->check || f->check(f, field, &e) == ST_OK)
        return true;
    go_to(f, field);
    text_copy(f->refusal, sizeof f->refusal, e.text);
    return false;
}

static enum form_answer next_field(struct form *f)
{
    if (!will_do(f, f->at))
        return FORM_EDITING;
    if (f->at + 1 < f->field_count) {
        go_to(f, f->at + 1);
        return FORM_EDITING;
    }
    for (int i = 0; i < f->field_count; i++) /* some were gone back from, past the check */
        if (!will_do(f, i))
            return FORM_EDITING;
    return FORM_READY;
}

static void erase(struct form *f, bool is_all)
{
    char *entry = f->fields[f->at].entry;
    if (is_all)
        entry[0] = '\0';
    else
        drop_last_character(entry);
    f->is_begun = true;
}

enum form_answer form_key(struct form *f, const struct key *k)
{
    if (k->code != KEY_NONE && k->code != KEY_RESIZED)
        f->refusal[0] = '\0';
    switch (k->code) {
    case KEY_CHARACTER:
        if (k->character == KEY_ERASE_ALL)
            erase(f, true);
        else
            type_character(f, k->character);
        break;
    case KEY_BACKSPACE:
        erase(f, false);
        break;
    case KEY_ENTER:
        return next_field(f);
    case KEY_DOWN_ARROW:
    case KEY_TAB:
        if (f->at + 1 < f->field_count)
            return next_field(f);
        break;
    case KEY_UP_ARROW:
        if (f->at > 0)
            go_to(f, f->at - 1);
        break;
    case KEY_ESCAPE:
    case KEY_HANGUP:
        return FORM_LEFT;
    case KEY_LEFT_ARROW:
    case KEY_RIGHT_ARROW:
    case KEY_NONE:
    case KEY_RESIZED:
        break;
    }
    return FORM_EDITING;
}

/* How many bytes of s a line takes without cutting a character, whole words where that is possible. */
static size_t bytes_of_line(const char *s, size_t most)
{
    size_t n = strlen(s), blank;
    if (n <= most)
        return n;
    for (n = most; ((unsigned char)s[n] & 0xC0) == 0x80;)
        n--;
    for (blank = n; blank > 0 && s[blank] != ' ';)
        blank--;
    return blank > 0 ? blank : n;
}

/* A value stands in one line of the page: of a longer one the last part, where typing goes on, and above it what leads there. */
static const char *lines_before_end(const char *entry, struct page *out)
{
    const size_t shown = sizeof out->lines[0].value - 1, line = sizeof out->lines[0].text - 1;
    while (strlen(entry) > shown) {
        size_t most = strlen(entry) - shown / 2, n = bytes_of_line(entry, most < line ? most : line);
        page_line(out, LINE_ROW, "%.*s", (int)n, entry);
        entry += n + (entry[n] == ' ');
    }
    return entry;
}

void form_page(const struct form *f, struct page *out)
{
    page_init(out, PAGE_OPEN, f->id);
    text_copy(out->left, sizeof out->left, "stillarm");
    text_copy(out->right, sizeof out->right, f->right);
    text_copy(out->title, sizeof out->title, f->title);
    if (f->intro) {
        page_line(out, LINE_INSTRUCTION, "%s", f->intro);
        page_line(out, LINE_GAP, "%s", "");
    }
    for (int i = 0; i < f->field_count; i++) {
        const char *shown = lines_before_end(f->fields[i].entry, out);
        struct page_line *line = page_line(out, LINE_FIELD, "%s", f->fields[i].label);
        text_copy(line->value, sizeof line->value, shown);
        line->is_current = line->is_editing = i == f->at;
    }
    page_line(out, LINE_GAP, "%s", "");
    if (f->fields[f->at].hint)
        page_line(out, LINE_NOTE, "%s", f->fields[f->at].hint);
    text_copy(out->refusal, sizeof out->refusal, f->refusal);
    page_key(out, "enter", f->at + 1 < f->field_count ? "next" : f->done != NULL ? f->done : "keep");
    if (f->at > 0)
        page_key(out, "up", "back");
    page_key(out, "backspace", "erase");
    page_key(out, "ctrl-u", "erase all");
    page_key(out, "esc", "leave");
}

bool list_key(struct list *l, const struct key *k)
{
    bool is_letter = k->code == KEY_CHARACTER;
    if (k->code == KEY_DOWN_ARROW || (is_letter && k->character == 'j'))
        l->at += l->at + 1 < l->row_count;
    else if (k->code == KEY_UP_ARROW || (is_letter && k->character == 'k'))
        l->at = l->at > 0 ? l->at - 1 : 0;
    else
        return false;
    l->refusal[0] = '\0';
    return true;
}

void list_page(const struct list *l, struct page *out)
{
    page_init(out, PAGE_OPEN, l->id);
    text_copy(out->left, sizeof out->left, "stillarm");
    text_copy(out->right, sizeof out->right, l->right);
    text_copy(out->title, sizeof out->title, l->title);
    if (l->row_count == 0)
        page_line(out, LINE_INSTRUCTION, "%s", l->empty);
    int first = l->at - ROWS_SHOWN / 2;
    if (first > l->row_count - ROWS_SHOWN)
        first = l->row_count - ROWS_SHOWN;
    if (first < 0)
        first = 0;
    for (int i = first; i < l->row_count && i < first + ROWS_SHOWN; i++)
        page_line(out, LINE_ROW, "%s", l->rows[i])->is_current = i == l->at;
    if (l->row_count > ROWS_SHOWN)
        page_line(out, LINE_NOTE, "%d to %d of %d", first + 1, first + ROWS_SHOWN, l->row_count);
    page_line(out, LINE_GAP, "%s", "");
    if (l->note)
        page_line(out, LINE_NOTE, "%s", l->note);
    text_copy(out->refusal, sizeof out->refusal, l->refusal);
    if (l->row_count > 1)
        page_key(out, "j k", "move");
}
