/* SPDX-License-Identifier: GPL-3.0-or-later */
/** @file internal.h  What the files of this folder share: a PIN's bytes, and strict reading of `name value` lines. */
#ifndef STILLARM_TRUST_INTERNAL_H
#define STILLARM_TRUST_INTERNAL_H

#include "trust/trust.h"

/** The bytes of a PIN, readable until pin_close. */
const unsigned char *pin_open(const struct pin *p, size_t *len);
void pin_close(const struct pin *p);

/* ---- lines (lines.c) ---- */

/** A stretch of the text that is read; not terminated. */
struct part {
    const char *at;
    size_t len;
};

/** A place in a text of lines that all end in LF. */
struct lines {
    const char *at, *end;
    int line;         /* the one that was read last, from 1 */
    const char *what; /* the text as messages call it: `statement` */
};

/** Its first line, `stillarm WHAT 1`. ST_NEWER for a larger number. */
enum status lines_begin(struct lines *l, const char *what, const char *text, size_t len, struct err *e) MUST_USE;
/** The value of the next line, which must have this name. */
enum status lines_next(struct lines *l, const char *name, struct part *value, struct err *e) MUST_USE;
/** Nothing may follow. */
enum status lines_end(const struct lines *l, struct err *e) MUST_USE;
/** ST_SYNTAX about the line that was read last. */
enum status lines_wrong(const struct lines *l, const char *name, const char *should, struct err *e);

/** A whole number in its one decimal form, 0 or more. */
bool part_number(struct part p, int64_t *out);
/** Into a string of exactly that many characters. */
bool part_copy(struct part p, char *out, size_t cap);
/** Exactly n bytes as lowercase hexadecimal. */
bool part_unhex(struct part p, unsigned char *out, size_t n);
/** Lowercase hexadecimal digits and nothing else, n of them. */
bool is_hex(const char *s, size_t n);

#endif
