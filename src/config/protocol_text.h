/* SPDX-License-Identifier: GPL-3.0-or-later */
/** @file protocol_text.h  One protocol from its text, told apart from where the text lies. */
#ifndef STILLARM_CONFIG_PROTOCOL_TEXT_H
#define STILLARM_CONFIG_PROTOCOL_TEXT_H

#include "config/lines.h"
#include "config/protocols.h"

/** Sources that a protocol may name; list NULL: not checked. */
struct known_sources {
    const struct source *list;
    int count;
};

/**
 * Parse one protocol; every fault is told.
 * @param out      filled when sound, else untouched
 * @param id_line  line on which the id stands; may be NULL
 * @return ST_OK, or the kind of the first fault
 */
enum status protocol_text_parse(const char *text, const struct known_sources *known, struct protocol *out, int *id_line,
                                struct faults *f) MUST_USE;

#endif
