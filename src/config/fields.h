/* SPDX-License-Identifier: GPL-3.0-or-later */
/** @file fields.h  The NAME = VALUE lines of one section, kept until it ends and checked together. */
#ifndef STILLARM_CONFIG_FIELDS_H
#define STILLARM_CONFIG_FIELDS_H

#include <stdbool.h>

#include "config/known.h"
#include "config/lines.h"

#define FIELDS_MAX 9
#define FIELD_CAP 640

/** max: longest text in bytes; 0: checked by its own meaning. */
struct field_row {
    const char *name;
    bool is_required;
    int max;
};

struct fields {
    struct faults *faults;
    enum status status;           /* of the text's first fault */
    const struct field_row *rows; /* FIELDS_MAX of them; one without a name is not there */
    int section_line;
    char text[FIELDS_MAX][FIELD_CAP];
    int line[FIELDS_MAX];         /* 0: not given */
};

#define UNSOUND(x, at, st, ...) \
    ((x)->status = (x)->status == ST_OK ? (st) : (x)->status, fault_at((x)->faults, at, __VA_ARGS__))

/** A section begins; what was kept of the one before is gone. */
void fields_open(struct fields *x, const struct field_row *rows, int line);

/** One line of the section. */
void fields_take(struct fields *x, int line, const char *name, const char *value, bool is_more);

/** Line of a field, or of its section where it is missing. */
int fields_where(const struct fields *x, int field);

/** All needed fields there, and their texts of a length that fits; only then is their meaning asked. */
bool fields_are_sound(struct fields *x);

/** A source's id in a field: looked up where sources are known. NULL where it is not there or not checked. */
const struct source *fields_source(struct fields *x, const struct known *known, int line, const char *id);

/** Source and status, which stand in these two fields. */
void fields_origin(struct fields *x, const struct known *known, int source, int status, struct origin *out);

/** yes or no; no where the field is not given. */
bool fields_yes(struct fields *x, int field);

/** The next word of a list with commas or blanks between; "" at its end. *at moves on, and the text is cut up. */
const char *next_word(char **at);

/** What stands behind a section's kind: `rest_s` of `key rest_s`; NULL where it is of another kind. */
const char *behind(const char *section, const char *kind);

/** What a message about a value adds where a comment seems to stand behind it; "" else. */
const char *beside(const char *value);

/** Index of a protocol's key, or -1. */
int key_named(const char *name);

/** The value of a key, a number or a word. False, and the fault told, where it is none. */
bool key_read(struct fields *x, int line, int key, const char *value, int32_t *out);

#endif
