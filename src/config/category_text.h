/* SPDX-License-Identifier: GPL-3.0-or-later */
/** @file category_text.h  Category schemes from a text: [categories], and its [band ID] and [flag ID] below it. */
#ifndef STILLARM_CONFIG_CATEGORY_TEXT_H
#define STILLARM_CONFIG_CATEGORY_TEXT_H

#include "config/fields.h"

#define RANGE_OPEN (-1)

/** One side of a band or flag as it is written: `-`, `below 120`, `120 to 129`, `140 or more`. */
struct range {
    bool is_none;
    int32_t low, high; /* both ends fit; RANGE_OPEN where there is none that way */
    int line;
};

enum category_part { PART_HEAD, PART_BAND, PART_FLAG, PART_COUNT };

/** Reads the schemes of one text, a category file's or those inside a protocol. Zero but fields and known to begin. */
struct category_reader {
    struct fields *fields;
    const struct known *known;
    struct category_scheme list[PROTOCOL_SCHEMES_MAX];
    int count;
    int head_line[PROTOCOL_SCHEMES_MAX];
    enum category_part part;
    struct origin origin; /* the latest scheme's, for what has none of its own */
    int id_line, band_line[CATEGORY_BANDS_MAX], flag_line[CATEGORY_FLAGS_MAX];
    struct range band_range[2][CATEGORY_BANDS_MAX]; /* systolic, diastolic */
    char replaces[CATEGORY_FLAGS_MAX][ITEM_CAP];
    int replaces_line[CATEGORY_FLAGS_MAX];
};

/** Is this one of its sections? */
bool category_owns(const char *section);

/** Begin one; false where its own fault was told, and no more is said about it. */
bool category_open(struct category_reader *r, int line, const char *section);

/** The section's fields are whole. */
void category_close(struct category_reader *r);

/** The text ends. */
void category_end(struct category_reader *r);

const struct category_scheme *schemes_find(const struct category_scheme *list, int count, const char *id);

/**
 * Parse a category file, which holds one scheme; every fault is told.
 * @param out      filled when sound, else untouched
 * @param id_line  line on which the scheme's id stands; may be NULL
 */
enum status category_text_parse(const char *text, const struct known *known, struct category_scheme *out, int *id_line,
                                struct faults *f) MUST_USE;

#endif
