/* SPDX-License-Identifier: GPL-3.0-or-later */
/** @file proof_protocols.c  The texts of protocols kept with sittings, each hashed and parsed once. */
#include <stdlib.h>
#include <string.h>

#include "command/proof_parts.h"
#include "config/protocols.h"
#include "stillarm/text.h"

void shelf_free(struct protocol_shelf *s)
{
    for (size_t i = 0; i < s->count; i++)
        free(s->list[i]);
    free(s->list);
    *s = (struct protocol_shelf){ 0 };
}

const struct judged_by *shelf_find(const struct protocol_shelf *s, const char *hash)
{
    for (size_t i = s->count; i-- > 0;) /* the latest is the likeliest */
        if (strcmp(s->list[i]->hash, hash) == 0)
            return s->list[i];
    return NULL;
}

static bool make_room(struct protocol_shelf *s)
{
    if (s->count < s->cap)
        return true;
    size_t cap = s->cap ? 2 * s->cap : 8;
    struct judged_by **list = realloc(s->list, cap * sizeof(struct judged_by *));
    if (!list)
        return false;
    s->list = list;
    s->cap = cap;
    return true;
}

const struct judged_by *shelf_put(struct protocol_shelf *s, const char *hash, const char *text, const struct findings *f,
                                  struct dossier *d)
{
    struct err e = { 0 };
    char hex[HASH_HEX_CAP];
    struct judged_by *j = make_room(s) ? calloc(1, sizeof *j) : NULL;
    if (!j)
        return NULL;
    text_copy(j->hash, sizeof j->hash, hash);
    trust_hash_hex(text, strlen(text), hex);
    if (strcmp(hex, hash) != 0)
        proof_wrong(f, d, "the text of the protocol kept with it was changed");
    j->is_sound = protocol_parse("the protocol kept with the sitting", text, &j->protocol, NULL, NULL, &e) == ST_OK;
    if (!j->is_sound)
        proof_wrong(f, d, "the protocol kept with it cannot be read: %s", e.text);
    s->list[s->count++] = j;
    return j;
}
