/* SPDX-License-Identifier: GPL-3.0-or-later */
/** @file person.h  Wording of people and their keys that the verb and the people page share. */
#ifndef STILLARM_PERSON_H
#define STILLARM_PERSON_H

#include "command/workplace.h"
#include "store/signed.h"

/** What the statement says that ends a key. */
#define PERSON_RESET_SAID "the PIN is reset"

enum status person_parse_role(const char *word, enum person_role *out, struct err *e) MUST_USE;
/** `key 7f3a 91c2, self-declared`; "" while a person has no PIN. */
void person_key_words(const struct ring *ring, const char *person, char *out, size_t cap);

#endif
