/* SPDX-License-Identifier: GPL-3.0-or-later */
/** @file ground.h  Who says so: what every answer of the engine rests on.  Pure. */
#ifndef STILLARM_GROUND_H
#define STILLARM_GROUND_H

#include "stillarm/protocol.h"

enum ground_kind { GROUND_REFUSAL, GROUND_VOID, GROUND_READING_REMARK, GROUND_SITTING_REMARK, GROUND_KIND_COUNT };
extern const char *const GROUND_KIND_WORDS[GROUND_KIND_COUNT]; /* refusal, void, remark on a reading, remark on a sitting */

struct ground {
    const char *id;        /* rest.short, release.fast ... */
    enum ground_kind kind;
    int index;             /* enum rule, or the bit's number from 0 */
    int key;               /* 1 + enum protocol_key that holds its number; 0: no number of a protocol's */
    const char *source;    /* of its own, where no key speaks for it; "" where there is none */
    enum standing standing;
    const char *says;      /* one sentence: what it means */
    const char *because;   /* one sentence: why the program answers so; a source in brackets speaks for a figure in it */
};

/** Every id that the engine can give, in a fixed order: by kind, then by index. NULL past the last. Static storage. */
const struct ground *ground_at(int n);

/** Find by id; NULL when there is none. */
const struct ground *ground_find(const char *id);

/** Source and standing under a protocol: its key's, or the ground's own. p may be NULL (then the key's are unknown: judgement, ""). */
struct origin ground_origin(const struct ground *g, const struct protocol *p);

/** The keys that an answer rests on: its own, and those that belong to it. nth from 0; false past the last. */
bool ground_key_of(const struct ground *g, int nth, enum protocol_key *out);

#endif
