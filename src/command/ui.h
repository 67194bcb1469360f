/* SPDX-License-Identifier: GPL-3.0-or-later */
/** @file ui.h  The terminal as the page loops use it: every page goes out through here, every key comes in. */
#ifndef STILLARM_UI_H
#define STILLARM_UI_H

#include "command/workplace.h"
#include "guide/form.h"
#include "guide/page.h"
#include "terminal/terminal.h"

struct ui;
/** Where keys come from: the terminal, or in the demo a script. */
typedef struct key (*ui_key_fn)(struct ui *ui, const struct page *pg, int64_t until_boot_ms);

struct ui {
    struct terminal *terminal;
    struct workplace *w;
    enum terminal_kind kind;
    ui_key_fn next_key;
    void *script;     /* next_key's own */
    char banner[80];  /* on every page; "" none */
    bool is_hung_up;  /* the terminal or the input is gone: every loop ends */
};

/** Open the terminal that the command line asks for. */
enum status ui_open(struct ui *ui, struct workplace *w, const struct command_line *line, struct err *e) MUST_USE;
void ui_close(struct ui *ui);

/** Draw, and wait for nothing. */
void ui_draw(struct ui *ui, struct page *pg);
/** Draw, and wait for a key or until the boot clock reaches until_boot_ms (INT64_MAX: for ever). */
struct key ui_ask(struct ui *ui, struct page *pg, int64_t until_boot_ms);

/** What it types, 0 for a key that types nothing. */
uint32_t key_as_letter(const struct key *k);
/** Does it leave a page on which nothing is typed? */
bool key_is_leaving(const struct key *k);
/** How far it moves what is shown; 0: it is another key. */
int key_steps(const struct key *k);

/** Show a page until a key comes. */
void ui_show(struct ui *ui, struct page *pg);

/** Run a form until it is ready (true) or left (false). save is called when it is; ST_OK ends, else its words are shown. */
typedef enum status (*ui_save_fn)(struct ui *ui, const struct form *f, struct err *e);
bool ui_form(struct ui *ui, struct form *f, ui_save_fn save);

/** Is what a form holds empty, or one of these words (NULL-terminated)? */
bool is_empty_or_among(const char *entry, const char *const *words);

/** The boot clock at the next full minute, where the screen shows the time of day; plain output does not repeat it. */
int64_t ui_next_minute(const struct ui *ui);

#endif
