/* SPDX-License-Identifier: GPL-3.0-or-later */
/** @file demo_script.c  Plays the keys of a whole sitting, page by page. */
#include "command/demo_script.h"

#include <stdbool.h>
#include <stddef.h>
#include <string.h>

#include "command/demo_data.h"
#include "stillarm/text.h"
#include "terminal/clock.h"

/* On the demo's clock: time to look at a page, and between the keys on one. */
#define LOOK_MS 60000
#define TYPE_MS 6000
#define QUICK_MS 18000 /* between readings: the next has to begin within two minutes */

/* During the rest: the gauge, the kit in its two groups, the pulse; then nothing until it is over, and space. */
#define REST_KEYS "\nyy72r"

/* What is pressed on a page, by the page's id; `\n` is Enter. When all is pressed and the page stands, it starts over. */
static const struct page_keys {
    const char *page, *keys, *later_keys; /* later_keys: from the second reading on; NULL: the same */
    int64_t look_ms;
} PAGES[] = {
    { "opening", "m4-118\n\n", NULL, LOOK_MS },
    { "arm-choice", "\n", NULL, LOOK_MS },
    { "arm-measure", "30.5\n", NULL, LOOK_MS },
    { "cuff-choice", "\n", NULL, LOOK_MS },
    { "readiness-items", "y", NULL, LOOK_MS },
    { "arm-items", "y", NULL, LOOK_MS },
    { "cuff-items", "y", NULL, LOOK_MS },
    { "posture-items", "y", NULL, LOOK_MS },
    { "kit-items", "y", NULL, LOOK_MS },
    { "closing-items", "y", NULL, LOOK_MS },
    { "rest-before", " ", NULL, LOOK_MS },
    { "rest", REST_KEYS, NULL, LOOK_MS },
    { "kit", "\n", NULL, LOOK_MS },
    { "pulse", "72r", NULL, LOOK_MS },
    { "estimate-before", " ", NULL, LOOK_MS },
    { "palpating", " ", NULL, 25000 },
    { "estimate-entry", "130", NULL, LOOK_MS },
    { "listening-before", " ", NULL, QUICK_MS },
    { "listening", " ", NULL, 44000 },
    { "entry", "16012678", "16012276", QUICK_MS },
    { "read-back", "\n", NULL, QUICK_MS },
    { "result", "ytf", NULL, LOOK_MS },
    { "pin", "ana" DEMO_PIN_END "\n", NULL, LOOK_MS },
    { "finished", "\n", NULL, 8 * LOOK_MS },
};

static const struct page_keys *keys_of(const char *page)
{
    for (size_t i = 0; i < ARRAY_LEN(PAGES); i++)
        if (strcmp(PAGES[i].page, page) == 0)
            return &PAGES[i];
    return NULL;
}

static struct key key_of(char c)
{
    return c == '\n' ? (struct key){ .code = KEY_ENTER }
                     : (struct key){ .code = KEY_CHARACTER, .character = (unsigned char)c };
}

/* The next key of this page, or KEY_NONE where nothing is to be pressed. */
static struct key next_key(struct demo_script *d, const struct page_keys *row, const struct page *pg)
{
    bool is_rest = strcmp(row->page, "rest") == 0;
    if (is_rest && pg->big_ms == 0)
        return key_of(' ');
    if (is_rest && d->at >= (int)strlen(REST_KEYS))
        return (struct key){ .code = KEY_NONE };
    const char *keys = row->later_keys && d->readings > 0 ? row->later_keys : row->keys;
    char c = keys[d->at];
    d->at = keys[d->at + 1] || is_rest ? d->at + 1 : 0;
    d->readings += strcmp(row->page, "read-back") == 0;
    return key_of(c);
}

static struct key key_of_script(struct ui *ui, const struct page *pg, int64_t until_boot_ms)
{
    struct demo_script *d = ui->script;
    const struct page_keys *row = keys_of(pg->id);
    if (strcmp(d->page, pg->id) != 0) {
        text_copy(d->page, sizeof d->page, pg->id);
        d->at = 0;
        d->next_ms = clock_boot_ms() + (row ? row->look_ms : LOOK_MS);
    }
    struct key typed = terminal_key(ui->terminal, until_boot_ms < d->next_ms ? until_boot_ms : d->next_ms);
    if (typed.code != KEY_NONE || clock_boot_ms() < d->next_ms || !row)
        return typed;
    d->next_ms = clock_boot_ms() + TYPE_MS;
    return next_key(d, row, pg);
}

void demo_script_begin(struct demo_script *script, struct ui *ui)
{
    *script = (struct demo_script){ 0 };
    ui->script = script;
    ui->next_key = key_of_script;
}
