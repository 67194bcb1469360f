/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Shows a page, says which keys came, and ends in the way it is told to: `demo_pages [plain]`.
 * Keys: F a page with a field, L a long list, T a countdown (each t a second less), R a refusal, A abort, X
 * exit without closing, Q leave. */
#include <locale.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "stillarm/text.h"
#include "terminal/clock.h"
#include "terminal/terminal.h"

struct demo {
    char page;
    char typed[64];
    char keys[60]; /* the last codes and characters, in words */
    int presses, left_s;
    bool is_refused;
};

static void note_key(struct demo *d, const struct key *k)
{
    static const char *const NAMES[] = {[KEY_NONE] = "none",           [KEY_CHARACTER] = "",
                                        [KEY_ENTER] = "enter",         [KEY_ESCAPE] = "escape",
                                        [KEY_BACKSPACE] = "backspace", [KEY_UP_ARROW] = "up",
                                        [KEY_DOWN_ARROW] = "down",     [KEY_LEFT_ARROW] = "left",
                                        [KEY_RIGHT_ARROW] = "right",   [KEY_TAB] = "tab",
                                        [KEY_RESIZED] = "resized",     [KEY_HANGUP] = "hangup"};
    char utf8[5] = "";

    if (k->code == KEY_CHARACTER)
        utf8[utf8_encode(k->character, utf8)] = '\0';
    if (k->code != KEY_RESIZED)
        d->presses++;
    if (d->page == 'F' && k->code == KEY_CHARACTER && strlen(d->typed) + 5 < sizeof d->typed)
        strcat(d->typed, utf8);
    snprintf(d->keys, sizeof d->keys, "key %d: %s%s", d->presses, NAMES[k->code], utf8);
}

static bool is_list(const struct demo *d)
{
    return d->page == 'L' || d->page == 'C';
}

static void draw(struct terminal *t, const struct demo *d)
{
    static struct page pg;

    page_init(&pg, is_list(d) ? PAGE_OPEN : PAGE_STEPS,
              is_list(d)       ? "list"
              : d->page == 'F' ? "field"
              : d->page == 'T' ? "ticks"
                               : "first");
    text_copy(pg.left, sizeof pg.left, "S-001   left arm");
    text_copy(pg.right, sizeof pg.right, "booth   14:06");
    text_copy(pg.title, sizeof pg.title, "Pages to try");
    text_copy(pg.big, sizeof pg.big, "4:37");
    pg.rail_count = 2;
    pg.rail[0] = (struct page_rail){.name = "first", .state = "done"};
    pg.rail[1] = (struct page_rail){.name = "second", .state = "now", .is_now = true};
    if (d->page == 'T') {
        snprintf(pg.big, sizeof pg.big, "%d:%02d", d->left_s / 60 % 100, d->left_s % 60);
        pg.is_ticking = true;
        pg.big_ms = d->left_s * INT64_C(1000);
    } else
        page_line(&pg, LINE_INSTRUCTION, "%s", d->keys[0] != '\0' ? d->keys : "ready");
    page_line(&pg, LINE_ITEM, "wide \xe5\xbf\x83\xe8\x87\x93 and accents \xc3\xa9")->is_current = true;
    if (d->page == 'F') {
        struct page_line *line = page_line(&pg, LINE_FIELD, "typed");
        text_copy(line->value, sizeof line->value, d->typed);
        line->is_editing = true;
    }
    for (int i = 0; is_list(d) && i < 50; i++)
        page_line(&pg, LINE_ROW, "row %d", i);
    if (d->page == 'L')
        pg.lines[1].is_current = false;
    if (d->is_refused)
        text_copy(pg.refusal, sizeof pg.refusal, "not yet: this is a refusal.");
    page_key(&pg, "space", "next");
    page_key(&pg, "Q", "leave");
    page_key(&pg, "?", "why");
    terminal_draw(t, &pg);
}

/* What the keys of this demonstration do; false to leave. */
static bool act(struct demo *d, const struct key *k)
{
    if (k->code == KEY_HANGUP)
        return false;
    if (k->code != KEY_CHARACTER || d->page == 'F')
        return true;
    d->is_refused = k->character == 'R';
    switch (k->character) {
    case 'F':
    case 'L': /* a list without a cursor */
    case 'C': /* and with one */
    case 'T':
        d->page = (char)k->character;
        d->left_s = 130;
        break;
    case 't':
        d->left_s--;
        break;
    case 'A':
        abort();
    case 'X':
        exit(5);
    case 'Q':
        return false;
    default:
        break;
    }
    return true;
}

int main(int argc, char **argv)
{
    enum terminal_kind kind = argc > 1 && strcmp(argv[1], "plain") == 0 ? TERMINAL_PLAIN : TERMINAL_SCREEN;
    struct terminal *t = NULL;
    struct demo d = {.page = '-'};
    struct key k = {.code = KEY_NONE};
    struct err e;

    setlocale(LC_ALL, "");
    if (terminal_open(kind, &t, &e) != ST_OK) {
        fprintf(stderr, "%s\n", e.text);
        return 3;
    }
    do {
        draw(t, &d);
        do
            k = terminal_key(t, INT64_MAX);
        while (k.code == KEY_NONE);
        note_key(&d, &k);
    } while (act(&d, &k));
    terminal_close(t);
    printf("ended after %d keys%s\n", d.presses, k.code == KEY_HANGUP ? " by hangup" : "");
    return k.code == KEY_HANGUP ? 7 : 0;
}
