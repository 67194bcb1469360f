/* SPDX-License-Identifier: GPL-3.0-or-later */
/** @file protocol_text.h  One protocol from its text, told apart from where the text lies. */
#ifndef STILLARM_CONFIG_PROTOCOL_TEXT_H
#define STILLARM_CONFIG_PROTOCOL_TEXT_H

#include "config/known.h"
#include "config/lines.h"

/** Where things stand in a text, and which of what a protocol leans on the text holds itself. */
struct protocol_notes {
    int id_line, copied_from_line;
    bool has_base, has_says[KEY_COUNT], has_published[KEY_COUNT], has_scheme[PROTOCOL_SCHEMES_MAX];
};

/**
 * Parse one protocol; every fault is told.
 * @param known  NULL: sources are not checked, and schemes that the text does not hold are left out
 * @param out    filled when sound, else untouched; without base where the text holds none
 * @param notes  filled like out; may be NULL
 * @return ST_OK, or the kind of the first fault
 */
enum status protocol_text_parse(const char *text, const struct known *known, struct protocol *out,
                                struct protocol_notes *notes, struct faults *f) MUST_USE;

#endif
