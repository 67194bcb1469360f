/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Typing, and building events: what every key function is made of. */
#include <stdarg.h>
#include <stdio.h>
#include <string.h>

#include "guide/views.h"

int key_letter(const struct key *k)
{
    if (k->code == KEY_ENTER)
        return '\n';
    if (k->code != KEY_CHARACTER || k->character >= 128)
        return 0;
    /* Caps lock must not silence the keys. */
    if (k->character >= 'A' && k->character <= 'Z')
        return (int)(k->character - 'A' + 'a');
    return (int)k->character;
}

bool key_closes(struct guide *g, const struct key *k)
{
    if (k->code != KEY_ESCAPE)
        return false;
    guide_open_view(g, VIEW_AUTO);
    return true;
}

struct event *act(struct guide_action *out, enum event_kind kind)
{
    struct event *ev = &out->events[out->count < GUIDE_EVENTS_MAX ? out->count : GUIDE_EVENTS_MAX - 1];

    if (out->count < GUIDE_EVENTS_MAX)
        out->count++;
    out->wish = GUIDE_APPLY;
    memset(ev, 0, sizeof *ev);
    ev->kind = kind;
    return ev;
}

void act_item(struct guide_action *out, enum event_kind kind, const char *item)
{
    struct event *ev = act(out, kind);

    text_copy(ev->item, sizeof ev->item, item);
}

void act_text(struct guide_action *out, enum event_kind kind, const char *text)
{
    struct event *ev = act(out, kind);

    text_copy(ev->text, sizeof ev->text, text);
}

void say_no(struct guide *g, const char *format, ...)
{
    va_list args;

    va_start(args, format);
    vsnprintf(g->refusal, sizeof g->refusal, format, args);
    va_end(args);
}

static void erase_last(char *buf)
{
    size_t len = strlen(buf);

    while (len > 0 && ((unsigned char)buf[len - 1] & 0xC0) == 0x80)
        len--;
    if (len > 0)
        len--;
    buf[len] = '\0';
}

void type_key(struct guide *g, char *buf, size_t cap, int max, const struct key *k)
{
    size_t len = strlen(buf), n;
    char bytes[4];

    if (k->code == KEY_BACKSPACE) {
        erase_last(buf);
        return;
    }
    if (k->code != KEY_CHARACTER)
        return;
    n = utf8_encode(k->character, bytes);
    if (k->character == KEY_ERASE_ALL) {
        buf[0] = '\0';
    } else if (n == 0 || k->character == 0xFFFD) {
        say_no(g, "not yet: that character did not arrive whole, so it was left out. What was typed before it is kept.");
    } else if (is_control(k->character)) {
        say_no(g, "not yet: control characters cannot be part of a text; it was left out.");
    } else if (utf8_length(buf) >= max || len + n + 1 > cap) {
        say_no(g, "not yet: no more than %d characters fit here; the rest was left out.", utf8_length(buf));
    } else {
        memcpy(buf + len, bytes, n);
        buf[len + n] = '\0';
    }
}

bool parse_figure(const char *entry, int64_t *out)
{
    size_t from = strspn(entry, " "), len = strlen(entry);
    char figure[GUIDE_ENTRY_CAP];

    while (len > from && entry[len - 1] == ' ')
        len--;
    snprintf(figure, sizeof figure, "%.*s", (int)(len - from), entry + from);
    return parse_int(figure, 0, INT64_C(999999999999), out, NULL) == ST_OK;
}

/* No further digit could make a number up to top: 78 is whole, 12 may become 124. */
static bool is_whole(const char *entry, int64_t top)
{
    int64_t n;

    return parse_figure(entry, &n) && n > 0 && n <= 999999 && n * 10 > top;
}

void type_figure(struct guide *g, int max, const struct key *k)
{
    /* A figure that was refused is replaced by the next one, not lengthened; backspace still mends it. */
    if (g->scratch[SC_FRESH] && k->code == KEY_CHARACTER)
        g->entry[0] = '\0';
    g->scratch[SC_FRESH] = 0;
    type_key(g, g->entry, sizeof g->entry, max, k);
}

bool number_key(struct guide *g, const struct key *k, int64_t top, int64_t *out)
{
    bool is_auto = false;
    char part[48];

    if (k->code != KEY_ENTER) {
        bool is_typing = k->code == KEY_CHARACTER || k->code == KEY_BACKSPACE;

        if (is_typing)
            type_figure(g, 60, k);
        is_auto = k->code == KEY_CHARACTER && g->refusal[0] == '\0' && is_whole(g->entry, top);
        if (!is_auto)
            return false;
    }
    if (g->entry[strspn(g->entry, " ")] == '\0') {
        say_no(g, "not yet: nothing is typed. Type the number first.");
        return false;
    }
    if (parse_figure(g->entry, out)) {
        g->scratch[SC_AUTO] = is_auto;
        return true;
    }
    text_copy(part, sizeof part, g->is_hidden || g->scratch[SC_BLIND] ? "***" : g->entry);
    say_no(g, "not yet: '%s' is not a number that fits here. Whole figures only, without sign or point, such as 124.", part);
    return false;
}

void ask_text(struct guide *g, enum event_kind kind, const char *item)
{
    struct event *ev = &g->pending[0];

    memset(ev, 0, sizeof *ev);
    ev->kind = kind;
    text_copy(ev->item, sizeof ev->item, item);
    g->pending_count = 1;
    guide_open_view(g, VIEW_TEXT);
    g->scratch[SC_TEXT_FOR] = (int32_t)kind;
}
