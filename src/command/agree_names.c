/* SPDX-License-Identifier: GPL-3.0-or-later */
/** @file agree_names.c  Open addressing; a table doubles where it is three quarters full. */
#include "command/agree_names.h"

#include <stdlib.h>

/* Room for one more, with a quarter of it free. */
static bool make_room(struct name_table *t)
{
    struct name_table grown = { .cap = t->cap > 0 ? t->cap * 2 : 256, .count = t->count };
    if (t->cap > 0 && t->count < t->cap / 4 * 3)
        return true;
    grown.slots = grown.cap > t->cap ? keep_blank(grown.cap * sizeof *grown.slots) : NULL;
    if (!grown.slots)
        return false;
    for (uint32_t i = 0; i < t->cap; i++)
        if (t->slots[i].of)
            *name_slot(&grown, &t->slots[i].key) = t->slots[i];
    free(t->slots);
    *t = grown;
    return true;
}

void *name_add(struct name_table *t, struct keep *kept, size_t size, const struct name_key *k)
{
    char *of = keep_more(kept, size + k->len + 1);
    if (!of || !make_room(t))
        return NULL;
    memcpy(of + size, k->text, k->len);
    struct name_entry *slot = name_slot(t, k);
    *slot = (struct name_entry){ .key = *k, .of = of };
    slot->key.text = of + size;
    t->count++;
    return of;
}
