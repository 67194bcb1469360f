/* SPDX-License-Identifier: GPL-3.0-or-later */
/** @file replay.h  Judges an event log line by line; answers in the form of docs/event-log.md. */
#ifndef STILLARM_REPLAY_H
#define STILLARM_REPLAY_H

#include <stdbool.h>
#include <stddef.h>
#include <stdio.h>

#include "stillarm/protocol.h"
#include "stillarm/sitting.h"

typedef const struct protocol *(*replay_find_fn)(const void *user, const char *id);

struct replay {
    struct sitting sitting;
    const struct protocol *protocol; /* NULL until one is accepted */
    replay_find_fn find;             /* may be NULL: no protocol is known */
    const void *user;
    long line;
    bool has_syntax_error;
};

void replay_init(struct replay *r, replay_find_fn find, const void *user);

/** Answer one line (len bytes, with or without its line end). Blank and comment lines answer nothing. */
void replay_line(struct replay *r, const char *line, size_t len, FILE *out);

/** What is open, readings, averages, remarks, state. @return the exit status */
int replay_end(const struct replay *r, FILE *out);

/** Answer a whole stream. @return the exit status; a read error is said on standard error and is EXIT_USAGE */
int replay_stream(struct replay *r, const char *name, FILE *in, FILE *out);

/** Everything that replay_end prints of a sitting's state. p may be NULL while no protocol was accepted. */
void replay_print_state(const struct sitting *s, const struct protocol *p, FILE *out);

#endif
