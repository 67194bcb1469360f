/* SPDX-License-Identifier: GPL-3.0-or-later */
/** @file demo_script.c  Plays the keys of a whole sitting, page by page. */
#include "command/demo_script.h"

#include <string.h>

#include "stillarm/text.h"
#include "terminal/clock.h"

/* On the sped-up clock: time to look at a page, and between the keys on one. */
#define LOOK_MS 45000
#define TYPE_MS 9000

/* What is pressed on a page, by the page's id. `\n` is Enter. hold_ms: on the page before the first key. */
static const struct page_keys {
    const char *page, *keys, *later_keys; /* later_keys: from the second reading on; NULL: the same */
    int64_t hold_ms;
} KEYS[] = {
    { "opening", "\n", NULL, LOOK_MS },
    { "arm-choice", "\n", NULL, LOOK_MS },
    { "arm-measure", "30\n", NULL, LOOK_MS },
    { "cuff-choice", "\n", NULL, LOOK_MS },
    { "items", "y", NULL, LOOK_MS },
    { "kit", "\n", NULL, LOOK_MS },
    { "pulse", "72r", NULL, LOOK_MS },
    { "estimate-before", " ", NULL, LOOK_MS },
    { "palpating", " ", NULL, 25000 },
    { "estimate-entry", "130\n", NULL, LOOK_MS },
    { "listening-before", " ", NULL, LOOK_MS },
    { "listening", " ", NULL, 44000 },
    { "entry", "160 126 78 ", "160 122 76 ", LOOK_MS },
    { "read-back", "\n", NULL, LOOK_MS },
    { "result", "tf", NULL, LOOK_MS },
    { "finished", "\n", NULL, 4 * LOOK_MS },
    { "stopped", "\n", NULL, LOOK_MS },
};

static const struct page_keys *keys_of(const char *page)
{
    for (size_t i = 0; i < ARRAY_LEN(KEYS); i++)
        if (strcmp(KEYS[i].page, page) == 0)
            return &KEYS[i];
    return NULL;
}

void demo_script_begin(struct demo_script *script, struct ui *ui)
{
    (void)KEYS;
    (void)keys_of;
    *script = (struct demo_script){ 0 };
    ui->script = script;
}
