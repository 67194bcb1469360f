/* SPDX-License-Identifier: GPL-3.0-or-later */
/** @file text.h  Bounded text building, strict number parsing, UTF-8.  Pure, allocates nothing. */
#ifndef STILLARM_TEXT_H
#define STILLARM_TEXT_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#include "stillarm/err.h"

/** A builder over the caller's buffer; remembers its first overflow, so one check at the end is enough. */
struct text {
    char *buf;
    size_t cap; /* bytes, terminator included; at least 1 */
    size_t len;
    bool is_cut; /* something did not fit; buf still ends in NUL, on a whole UTF-8 character */
};

void text_init(struct text *t, char *buf, size_t cap);
void text_add(struct text *t, const char *s);
void text_add_bytes(struct text *t, const char *s, size_t n);
void text_add_number(struct text *t, int64_t n);
void text_addf(struct text *t, const char *format, ...) __attribute__((format(printf, 2, 3)));

/** Copy s into buf (cap bytes), cut on a whole character; false when it was cut. */
bool text_copy(char *buf, size_t cap, const char *s);

/** Decimal, right-aligned in buf, which ends in a NUL; returns its beginning. A proof prints millions of them. */
#define NUMBER_CAP 21 /* of any int64_t, terminator included */
char *number_print(int64_t n, char buf[NUMBER_CAP]);

/**
 * Parse a whole decimal integer: an optional minus, digits, nothing else.
 * Refuses blanks, plus, leading zeros, junk and overflow.
 * @return ST_OK, ST_SYNTAX, or ST_RANGE when outside lo..hi; out untouched on error
 */
enum status parse_int(const char *s, int64_t lo, int64_t hi, int64_t *out, struct err *e) MUST_USE;

/**
 * Parse an arm's circumference: `31`, `31.5`, `31,5`, `31 cm`, `12.25in`, `12.25"`; a bare number is centimetres.
 * At most two decimals. Inches become millimetres rounded half up (25.4 mm each).
 * @param out_mm  100 to 700; untouched on error
 */
enum status parse_arm_mm(const char *s, int32_t *out_mm, struct err *e) MUST_USE;

/** Parse a calendar date `YYYY-MM-DD` or `YYYYMMDD` that exists, years 1900 to 2999, into yyyymmdd. */
enum status parse_date(const char *s, int32_t *out_yyyymmdd, struct err *e) MUST_USE;

/** True when yyyymmdd names a day that exists in the Gregorian calendar (years 1900 to 2999). */
bool date_exists(int64_t yyyymmdd);

/**
 * Parse `YYYY-MM-DDTHH:MM[:SS](Z|+HH:MM|-HH:MM)` (ISO 8601, extended form, with an offset).
 * @param out_yyyymmdd  the local calendar day it names; may be NULL
 */
enum status parse_timestamp(const char *s, int32_t *out_yyyymmdd, struct err *e) MUST_USE;

/**
 * Decode one UTF-8 character from s (len bytes).
 * @return its length in bytes, or 0 when the bytes are no valid UTF-8 (overlong, surrogate, above U+10FFFF, cut)
 */
size_t utf8_decode(const char *s, size_t len, uint32_t *out);

/** Write c as UTF-8 (at most 4 bytes, no terminator); returns the length, 0 for a surrogate or beyond U+10FFFF. */
size_t utf8_encode(uint32_t c, char out[4]);

/** Characters in a valid UTF-8 string, or -1 when it is not valid. */
int utf8_length(const char *s);

/** True for C0, DEL, C1, and the line, paragraph and direction-changing characters that could disguise a text. */
bool is_control(uint32_t c);

/** Make s safe to show: each byte of a control character or of invalid UTF-8 becomes a question mark. */
void text_defuse(char *s);

/** `[A-Za-z0-9][A-Za-z0-9.-]{0,31}`: the form of ids and codes. */
bool is_item(const char *s);

/** Valid UTF-8, 1 to max characters, no control character, not blank. */
bool is_plain_text(const char *s, int max);

#endif
