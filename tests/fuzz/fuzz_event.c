/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What the parser takes is well-formed and prints to a form that parses to the same event; what it refuses has a column
 * inside the line and leaves the event alone. */
#include <string.h>

#include "fuzz/fuzz.h"
#include "stillarm/event.h"
#include "stillarm/text.h"

static int is_same(const struct event *a, const struct event *b)
{
    return a->t_ms == b->t_ms && a->kind == b->kind && strcmp(a->item, b->item) == 0 && a->value == b->value &&
           a->value2 == b->value2 && strcmp(a->text, b->text) == 0;
}

static void try_event(const struct event *ev)
{
    static char printed[EVENT_LINE_CAP], again[EVENT_LINE_CAP];
    static struct event back;
    HOLDS(event_is_well_formed(ev));
    size_t n = event_print(ev, printed);
    HOLDS(n == strlen(printed) && n < EVENT_LINE_CAP - 1);
    HOLDS(event_parse(printed, n, &back, NULL) == PARSED_EVENT);
    HOLDS(is_same(ev, &back));
    HOLDS(event_print(&back, again) == n && strcmp(printed, again) == 0);
}

static void try_line(const char *line, size_t len)
{
    static struct event ev, before;
    struct syntax_error why = {.column = 0};
    memset(&ev, 0x5A, sizeof ev);
    memcpy(&before, &ev, sizeof ev);
    enum parsed parsed = event_parse(line, len, &ev, &why);
    if (parsed == PARSED_EVENT) {
        try_event(&ev);
    } else {
        HOLDS(memcmp(&ev, &before, sizeof ev) == 0);
        HOLDS((parsed == PARSED_ERROR) == (why.column > 0));
    }
    if (parsed == PARSED_ERROR) {
        HOLDS((size_t)why.column <= len + 1);
        HOLDS(is_plain_text(why.text, (int)sizeof why.text));
    }
    HOLDS(event_parse(line, len, &ev, NULL) == parsed);
}

/* All of it as one line, line ends inside included, and then each of its lines. */
int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size)
{
    const char *at = (const char *)data, *end = at + size;
    if (size == 0)
        return 0;
    try_line(at, size);
    while (at < end) {
        const char *lf = memchr(at, '\n', (size_t)(end - at));
        size_t len = lf ? (size_t)(lf - at) + 1 : (size_t)(end - at);
        if (len < size)
            try_line(at, len);
        at += len;
    }
    return 0;
}
