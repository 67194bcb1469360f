/* SPDX-License-Identifier: GPL-3.0-or-later */
/** @file lines.h  The lines of an INI text, handed to inih one by one with what inih would pass over silently refused. */
#ifndef STILLARM_CONFIG_LINES_H
#define STILLARM_CONFIG_LINES_H

#include <stdbool.h>

#define FAULT_CAP 400

typedef void (*fault_fn)(void *user, const char *fault);

/** Faults of one text: "NAME:LINE: reason". */
struct faults {
    const char *name;
    fault_fn add; /* may be NULL */
    void *user;
    int count;
    char first[FAULT_CAP];
};

void fault_at(struct faults *f, int line, const char *format, ...) __attribute__((format(printf, 3, 4)));

/** What the reader of a kind of file does. Each may be called in file order only. */
struct ini_reader {
    void *user;
    /** A section begins. name is whole. */
    void (*section)(void *user, int line, const char *name);
    /** NAME = VALUE of the latest section; is_more: VALUE goes on with the one before. */
    void (*value)(void *user, int line, const char *name, const char *value, bool is_more);
    /** After the last line, whose number is given. */
    void (*end)(void *user, int line);
};

/** Read a whole NUL-terminated text. */
void ini_read(const char *text, const struct ini_reader *reader, struct faults *f);

#endif
