/* SPDX-License-Identifier: GPL-3.0-or-later */
/** @file protocols.h  Protocol files and the list of sources, read with inih and checked on load. */
#ifndef STILLARM_PROTOCOLS_H
#define STILLARM_PROTOCOLS_H

#include "stillarm/err.h"
#include "stillarm/protocol.h"

#define PROTOCOLS_MAX 16

struct source { char id[SOURCE_CAP]; char title[240]; char seen[32]; /* how it was seen: seen, seen2, memory, calc */ };

/** The protocols that are sound, and what was wrong with the others. Heap; free with protocols_free. */
struct protocols {
    struct protocol *list[PROTOCOLS_MAX];
    char *text[PROTOCOLS_MAX];   /* the file's bytes, for the store's snapshot */
    char path[PROTOCOLS_MAX][512];
    int count;
    struct source *sources;
    int source_count;
    char (*faults)[400];         /* "FILE:LINE: reason" */
    int fault_count;
};

/**
 * Load every *.protocol file of the folder (and sources.ini beside or above it).
 * @param dir  NULL: $STILLARM_PROTOCOLS, else the assets folder built in at compile time, else next to the program
 * @return ST_OK when at least one protocol is sound; else ST_NOT_FOUND, ST_IO, ST_SYNTAX ...; faults are listed either way
 */
enum status protocols_load(const char *dir, struct protocols *out, struct err *e) MUST_USE;
void protocols_free(struct protocols *ps);
const struct protocol *protocols_find(const struct protocols *ps, const char *id);
int protocols_index(const struct protocols *ps, const char *id);
const struct source *protocols_source(const struct protocols *ps, const char *id);

/** Parse one protocol from text (NUL-terminated). name is for messages. Used for snapshots and by the fuzzer.
 *  Appends to faults through add_fault (may be NULL); ST_SYNTAX or ST_RANGE when unsound. */
typedef void (*protocol_fault_fn)(void *user, const char *fault);
enum status protocol_parse(const char *name, const char *text, struct protocol *out, protocol_fault_fn, void *user,
                           struct err *e) MUST_USE;

#endif
