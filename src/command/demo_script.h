/* SPDX-License-Identifier: GPL-3.0-or-later */
/** @file demo_script.h  The hands of the demo that plays itself: a key for each page. */
#ifndef STILLARM_DEMO_SCRIPT_H
#define STILLARM_DEMO_SCRIPT_H

#include "command/ui.h"

struct demo_script {
    char page[32];     /* the page that the last key went to */
    int typed;         /* characters already typed there */
    int visits;        /* how often its key did not change the page */
    int64_t ready_ms;  /* boot clock: the next key not before */
    int readings;
};

/** Let ui take its keys from the script; real keys still end it (q) or hurry it (any other). */
void demo_script_begin(struct demo_script *script, struct ui *ui);

#endif
