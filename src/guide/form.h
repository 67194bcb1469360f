/* SPDX-License-Identifier: GPL-3.0-or-later */
/** @file form.h  Pages outside a sitting: a form of a few fields, a list with a cursor. Pure. */
#ifndef STILLARM_FORM_H
#define STILLARM_FORM_H

#include <stdbool.h>
#include <stdint.h>

#include "guide/page.h"
#include "stillarm/err.h"
#include "stillarm/event.h"

#define FORM_FIELDS_MAX 6
#define FORM_ENTRY_CAP EVENT_TEXT_CAP /* bytes that a field can hold at all */
#define FORM_ENTRY_USUAL 200          /* and does where nothing else is said */

struct form_field {
    const char *label;
    const char *hint;            /* said while the field is filled in; may be NULL */
    int32_t most_characters;     /* of a text in words; 0: the usual bytes */
    char entry[FORM_ENTRY_CAP];  /* a suggestion first, then what is typed */
};

struct form;
/** What is wrong with a field as it stands, in e; ST_OK: nothing. */
typedef enum status (*form_check_fn)(const struct form *f, int field, struct err *e);

struct form {
    const char *id, *title, *intro; /* of the page; intro may be NULL */
    char right[80];
    struct form_field fields[FORM_FIELDS_MAX];
    int field_count;
    const char *done;               /* what Enter does on the last field; NULL: `keep` */
    int at;
    form_check_fn check;            /* asked of each field that is left forwards, and of all at the end; may be NULL */
    bool is_begun;                  /* the entry has been typed over or into since its field was come to */
    char refusal[420];
};

enum form_answer { FORM_EDITING, FORM_READY, FORM_LEFT };

/**
 * Enter goes to the next field and, on the last, makes the form ready. What is typed in a field that was just come to, or
 * just refused, replaces what stands there; backspace edits it, control U empties it. A field that will not do keeps the
 * cursor; going back is free.
 */
enum form_answer form_key(struct form *f, const struct key *k);
void form_page(const struct form *f, struct page *out);

#define LIST_ROWS_MAX 300
#define LIST_ROW_CAP 200

/** Rows with a cursor. */
struct list {
    const char *id, *title;
    const char *empty;           /* said when there are no rows */
    const char *note;            /* under the rows; may be NULL */
    char right[80];
    char rows[LIST_ROWS_MAX][LIST_ROW_CAP];
    int row_count;
    int at;                      /* -1: on no row yet; a key puts it on the first */
    char refusal[420];
};

/** Moves the cursor; true when the key was one of its own (arrows, j, k). */
bool list_key(struct list *l, const struct key *k);
/** Shows a window of rows around the cursor. The caller adds its keys. */
void list_page(const struct list *l, struct page *out);

#endif
