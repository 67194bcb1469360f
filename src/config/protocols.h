/* SPDX-License-Identifier: GPL-3.0-or-later */
/** @file protocols.h  Protocol files and the list of sources, read with inih and checked on load. */
#ifndef STILLARM_PROTOCOLS_H
#define STILLARM_PROTOCOLS_H

#include "stillarm/err.h"
#include "stillarm/protocol.h"

#define PROTOCOLS_MAX 16
#define SCHEMES_MAX 32
#define BODY_CAP 40

struct source {
    char id[SOURCE_CAP];
    char title[240];
    char seen[32];       /* how it was seen: seen, seen2, memory, calc */
    char body[BODY_CAP]; /* who speaks there, in short: `ACC/AHA 2017`; "" where the list does not tell */
};

/** What a source publishes for a key; both ends fit. An end at the key's own bound means: no limit that way. */
struct position {
    int32_t key; /* enum protocol_key */
    char source[SOURCE_CAP];
    char body[BODY_CAP];
    int32_t low, high;
};

/** The protocols that are sound, and what was wrong with the others. Heap; free with protocols_free. */
struct protocols {
    struct protocol *list[PROTOCOLS_MAX];
    char *text[PROTOCOLS_MAX];   /* for the store's snapshot: the file's text, and behind it all it leans on of others */
    char path[PROTOCOLS_MAX][512];
    int count;
    struct source *sources;
    int source_count;
    struct category_scheme *schemes; /* of category files, whether or not a protocol names them */
    int scheme_count;
    struct position *positions;
    int position_count;
    char (*faults)[400];         /* "FILE:LINE: reason" */
    int fault_count;
};

/**
 * Load every *.protocol file of the folder; sources.ini, positions.ini and category files are looked for beside it,
 * above it, and among what came with the program.
 * @param dir  NULL: $STILLARM_PROTOCOLS, else the assets folder built in at compile time, else next to the program
 * @return ST_OK when at least one protocol is sound; else ST_NOT_FOUND, ST_IO, ST_SYNTAX ...; faults are listed either way
 */
enum status protocols_load(const char *dir, struct protocols *out, struct err *e) MUST_USE;
void protocols_free(struct protocols *ps);
const struct protocol *protocols_find(const struct protocols *ps, const char *id);
int protocols_index(const struct protocols *ps, const char *id);
const struct source *protocols_source(const struct protocols *ps, const char *id);
const struct category_scheme *protocols_scheme(const struct protocols *ps, const char *id);

/** What a source says of a key; NULL where that is not known. */
const struct position *protocols_position(const struct protocols *ps, enum protocol_key key, const char *source);

/** What is said of a key, in the order of the list: n from 0; NULL past the last. */
const struct position *protocols_position_at(const struct protocols *ps, enum protocol_key key, int n);

/** The bodies that say anything, each once, in the order of the list: n from 0; NULL past the last. */
const char *protocols_body_at(const struct protocols *ps, int n);

/** Parse one protocol from text (NUL-terminated). name is for messages. Used for snapshots and by the fuzzer.
 *  What the text leans on of other files and does not hold itself (category schemes, the protocol it was copied from)
 *  stays empty.
 *  Appends to faults through add_fault (may be NULL); ST_SYNTAX or ST_RANGE when unsound. */
typedef void (*protocol_fault_fn)(void *user, const char *fault);
enum status protocol_parse(const char *name, const char *text, struct protocol *out, protocol_fault_fn, void *user,
                           struct err *e) MUST_USE;

#endif
