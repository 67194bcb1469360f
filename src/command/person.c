/* SPDX-License-Identifier: GPL-3.0-or-later */
/** @file person.c  People's roles and keys in words. */
#include "command/person.h"

#include <stdio.h>
#include <string.h>

enum status person_parse_role(const char *word, enum person_role *out, struct err *e)
{
    for (int i = 0; i < ROLE_COUNT; i++)
        if (strcmp(word, ROLE_WORDS[i]) == 0) {
            *out = (enum person_role)i;
            return ST_OK;
        }
    return err_set(e, ST_USAGE, "`%.40s` is no role. It is trainee, technician or preceptor.", word);
}

void person_key_words(const struct ring *ring, const char *person, char *out, size_t cap)
{
    const struct ring_key *key = ring_of_person(ring, person);
    char id[12], standing[120] = "";
    out[0] = '\0';
    if (!key)
        return;
    trust_short(key->id, id);
    if (key->role == SIGNS_PRECEPTOR)
        standing_say(key->standing, key->voucher, standing);
    snprintf(out, cap, "key %s%s%s", id, standing[0] ? ", " : "", standing);
}
