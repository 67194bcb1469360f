/* SPDX-License-Identifier: GPL-3.0-or-later */
/** @file ui.c  Draws pages and asks for keys; the loop of a form. */
#include "command/ui.h"

#include <string.h>

#include "stillarm/text.h"
#include "terminal/clock.h"

static struct key key_of_terminal(struct ui *ui, const struct page *pg, int64_t until_boot_ms)
{
    (void)pg;
    return terminal_key(ui->terminal, until_boot_ms);
}

enum status ui_open(struct ui *ui, struct workplace *w, const struct command_line *line, struct err *e)
{
    *ui = (struct ui){ .w = w, .kind = line->value[OPTION_PLAIN] ? TERMINAL_PLAIN : TERMINAL_SCREEN,
                       .next_key = key_of_terminal };
    return terminal_open(ui->kind, &ui->terminal, e);
}

void ui_close(struct ui *ui)
{
    terminal_close(ui->terminal);
    ui->terminal = NULL;
}

void ui_draw(struct ui *ui, struct page *pg)
{
    if (ui->banner[0])
        text_copy(pg->banner, sizeof pg->banner, ui->banner);
    terminal_draw(ui->terminal, pg);
}

struct key ui_ask(struct ui *ui, struct page *pg, int64_t until_boot_ms)
{
    ui_draw(ui, pg);
    struct key k = ui->next_key(ui, pg, until_boot_ms);
    if (k.code == KEY_HANGUP)
        ui->is_hung_up = true;
    return k;
}

uint32_t key_as_letter(const struct key *k)
{
    return k->code == KEY_CHARACTER ? k->character : 0;
}

bool key_is_leaving(const struct key *k)
{
    return k->code == KEY_HANGUP || k->code == KEY_ESCAPE || key_as_letter(k) == 'q';
}

int key_steps(const struct key *k)
{
    if (k->code == KEY_DOWN_ARROW || key_as_letter(k) == 'j')
        return 1;
    return k->code == KEY_UP_ARROW || key_as_letter(k) == 'k' ? -1 : 0;
}

void ui_show(struct ui *ui, struct page *pg)
{
    int at = 0, steps;
    for (;;) {
        struct key k = ui_ask(ui, pg, INT64_MAX);
        steps = key_steps(&k);
        if (!steps && k.code != KEY_NONE && k.code != KEY_RESIZED)
            return;
        /* the renderers keep the current line in sight, so moving it shows what did not fit */
        pg->lines[at].is_current = false;
        if (at + steps >= 0 && at + steps < pg->line_count)
            at += steps;
        pg->lines[at].is_current = true;
    }
}

bool is_empty_or_among(const char *entry, const char *const *words)
{
    for (; *words; words++)
        if (strcmp(entry, *words) == 0)
            return true;
    return entry[0] == '\0';
}

bool ui_form(struct ui *ui, struct form *f, ui_save_fn save)
{
    while (!ui->is_hung_up) {
        struct page pg;
        struct err e = { 0 };
        form_page(f, &pg);
        struct key k = ui_ask(ui, &pg, INT64_MAX);
        switch (form_key(f, &k)) {
        case FORM_EDITING:
            break;
        case FORM_LEFT:
            return false;
        case FORM_READY:
            if (save(ui, f, &e) == ST_OK)
                return true;
            f->is_begun = false; /* typing replaces what was refused */
            f->at = e.code == ST_EXISTS ? 0 : f->at; /* the first field names what is there already */
            text_copy(f->refusal, sizeof f->refusal, e.text);
            break;
        }
    }
    return false;
}

int64_t ui_next_minute(const struct ui *ui)
{
    if (ui->kind == TERMINAL_PLAIN)
        return INT64_MAX;
    return clock_boot_ms() + 60000 - clock_unix_ms() % 60000;
}
