/* SPDX-License-Identifier: GPL-3.0-or-later */
/** @file export_form.h  The two text forms that leave a store (docs/export-files.md), taken apart. Strict: what is read here
 *  would be written again as the same bytes. */
#ifndef STILLARM_EXPORT_FORM_H
#define STILLARM_EXPORT_FORM_H

#include "store/signed.h"

#define EXPORT_SITTING_LINE "stillarm sitting 1"
#define EXPORT_KEYS_LINE "stillarm keys 1"

/** A place in a text. */
struct export_cursor { const char *text; size_t len, at; long line; /* from 1: the one at `at` */ };

struct export_parts {
    char store[STORE_ID_CAP];
    int64_t sitting;              /* of a sitting */
    int64_t unsigned_until;       /* of keys */
    const char *protocol;         /* not terminated */
    size_t protocol_len;
    int64_t events, attempts, statements;
    struct export_cursor events_at, attempts_at, statements_at;
    size_t events_end, attempts_end; /* behind the last of them */
    bool is_end_right;            /* the hash of the last line is that of everything before it */
};

/** Take a whole file apart. ST_NOT_A_STORE: not such a file at all; ST_NEWER; ST_SYNTAX with the line. */
enum status export_parse_sitting(const char *text, size_t len, struct export_parts *out, struct err *e) MUST_USE;
enum status export_parse_keys(const char *text, size_t len, struct export_parts *out, struct err *e) MUST_USE;

/** The next of each; ST_SYNTAX with the line. Texts in an attempt live as long as the buffer. */
enum status export_next_event(struct export_cursor *c, struct kept_event *out, struct err *e) MUST_USE;
enum status export_next_attempt(struct export_cursor *c, struct kept_attempt *out, struct err *e) MUST_USE;
enum status export_next_statement(struct export_cursor *c, struct kept_statement *out, struct err *e) MUST_USE;

#endif
