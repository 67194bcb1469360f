/* SPDX-License-Identifier: GPL-3.0-or-later */
/** @file sources.h  The list of published sources, and reading a file whole. */
#ifndef STILLARM_CONFIG_SOURCES_H
#define STILLARM_CONFIG_SOURCES_H

#include "config/lines.h"
#include "config/protocols.h"

#define SOURCES_MAX 400

/** Read a file of at most 1 MB without NUL bytes; *out is malloc'ed, the caller frees. e says the reason, line the
 *  line it is about (1 when none). */
enum status file_read(const char *path, char **out, int *line, struct err *e) MUST_USE;

/** The same; NULL, and the fault told, where that fails. */
char *file_told(const char *path, struct faults *f);

/** DIR/NAME read likewise. */
char *file_read_told(const char *dir, const char *name, struct faults *f);

/** Parse a list of sources. *list is malloc'ed (NULL when empty), the caller frees. */
void sources_parse(const char *text, struct source **list, int *count, struct faults *f);

const struct source *sources_find(const struct source *list, int count, const char *id);

/** Known by word of memory only: it founds no published number. */
bool source_is_memory(const struct source *s);

#endif
