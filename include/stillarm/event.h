/* SPDX-License-Identifier: GPL-3.0-or-later */
/** @file event.h  One act with its time, and its text form (docs/event-log.md).  Pure, allocates nothing. */
#ifndef STILLARM_EVENT_H
#define STILLARM_EVENT_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#include "stillarm/err.h"

#define ITEM_CAP 33           /* 32 characters of [A-Za-z0-9.-] and the terminator */
#define EVENT_TEXT_MAX 500    /* characters */
#define EVENT_TEXT_CAP 2001   /* bytes: four a character and the terminator */
#define EVENT_LINE_CAP 2100   /* bytes of any printed event; a parsed line may be longer (escapes, blanks) */
#define EVENT_TIME_MAX_MS INT64_C(999999999999)

enum event_kind {
    EV_PROTOCOL, EV_DATE, EV_MEASURER, EV_SUBJECT, EV_VISIT, EV_PRIOR_ARM, EV_PURPOSE, EV_PLACE, EV_HELP,
    EV_GAUGE, EV_CHECK, EV_CUFF,
    EV_ARM, EV_CONFIRM, EV_REOPEN, EV_WAIVE,
    EV_CIRCUMFERENCE, EV_WRAP,
    EV_REST, EV_PULSE,
    EV_INFLATE, EV_EMPTY, EV_PALPATE, EV_NOPULSE, EV_USUAL,
    EV_TARGET, EV_MARK, EV_VALUE, EV_LISTENER, EV_PAIR, EV_VOID, EV_DONE, EV_CORRECT,
    EV_NOISE, EV_INTERRUPT, EV_MOVED,
    EV_TOLD, EV_ACTED, EV_NOTE, EV_RESUME, EV_STOP, EV_SEAL,
    EV_BLADDER, EV_BARRED, EV_FREED, EV_RECENT, EV_STAND, EV_SYMPTOMS, EV_GAP,
    EV_WITNESS, EV_LAPSE, EV_UNSEEN, EV_STRIKE,
    EV_COUNT
};

/** One act. Fields that the kind does not take are zero or "". Unit of value: the kind's (docs/event-log.md). */
struct event {
    int64_t t_ms; /* since opening */
    enum event_kind kind;
    char item[ITEM_CAP];
    int64_t value, value2;
    char text[EVENT_TEXT_CAP]; /* valid UTF-8, no control characters */
};

/** What a kind takes; exactly these parts, in this order, each mandatory. */
struct event_form {
    const char *word;
    const char *const *items; /* the only words allowed, NULL-terminated; NULL: any item */
    bool has_item, has_value, has_value2, has_text;
};

/** The form of a kind. Static storage. */
const struct event_form *event_form(enum event_kind kind);

/** Find a kind by its word; false when there is none. */
bool event_kind_named(const char *word, enum event_kind *out);

/** Where and why a line does not parse. */
struct syntax_error {
    int column; /* characters, from 1 */
    char text[200];
};

enum parsed { PARSED_EVENT, PARSED_NOTHING /* blank or comment */, PARSED_ERROR };

/**
 * Parse one line (len bytes, without or with its LF or CRLF).
 * @param out  filled on PARSED_EVENT, else untouched
 * @param why  filled on PARSED_ERROR; may be NULL
 * Takes blanks and tabs in any number, any JSON escape that yields an allowed character.
 * Ranges of values are the engine's business, not the parser's.
 */
enum parsed event_parse(const char *line, size_t len, struct event *out, struct syntax_error *why);

/**
 * Print an event in its one canonical form, without a line end.
 * @return length in bytes; the form of a well-formed event always fits EVENT_LINE_CAP
 */
size_t event_print(const struct event *ev, char out[EVENT_LINE_CAP]);

/** A well-formed event: its kind's parts present and of the right form (what event_parse would give). */
bool event_is_well_formed(const struct event *ev);

#endif
