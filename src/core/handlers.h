/* SPDX-License-Identifier: GPL-3.0-or-later */
/** @file handlers.h  Handlers of events that do not lie beside their table. Private to core. */
#ifndef STILLARM_HANDLERS_H
#define STILLARM_HANDLERS_H

#include <string.h>

#include "core/engine.h"

/* Handlers share one signature so that the table can hold them; not each needs every argument. */
#define EVENT_HANDLER(name) void name(struct sitting *s, const struct protocol *p, const struct event *ev)
#define IGNORE(x) (void)(x)

static inline bool is_word(const struct event *ev, const char *word)
{
    return strcmp(ev->item, word) == 0;
}

/* kit.c */
EVENT_HANDLER(take_gauge);
EVENT_HANDLER(take_check);
EVENT_HANDLER(take_cuff);
EVENT_HANDLER(take_bladder);
EVENT_HANDLER(wrap_cuff);

#endif
