/* SPDX-License-Identifier: GPL-3.0-or-later */
/** @file demo_script.h  The hands of the demo that plays itself: keys for each page. */
#ifndef STILLARM_DEMO_SCRIPT_H
#define STILLARM_DEMO_SCRIPT_H

#include "command/ui.h"

struct demo_script {
    char page[32];     /* the page whose keys are being pressed */
    int at;            /* the next of them */
    int readings;      /* taken so far */
    int64_t next_ms;   /* boot clock of the next key */
};

/** Let ui take its keys from the script. A real key still does what it does: q leaves. */
void demo_script_begin(struct demo_script *script, struct ui *ui);

#endif
