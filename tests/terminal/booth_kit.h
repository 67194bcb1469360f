/* SPDX-License-Identifier: GPL-3.0-or-later */
/** @file booth_kit.h  A booth of a test: a folder with a store and a driven clock, verbs run in it, records looked at. */
#ifndef STILLARM_BOOTH_KIT_H
#define STILLARM_BOOTH_KIT_H

#include <stddef.h>

#include "screen_kit.h"

#define BOOTH_TOLD_MAX 2500 /* bytes of a text that go into a failure's message: Check dies of a long one */

extern char booth_folder[64], booth_db[96];

void booth_open(void);
void booth_close(void);

/** Start the program in a terminal on the booth's store. */
void booth_start(struct kit *k, const char *program, const char *verb);
/** What a verb prints, standard error included, and its exit status. */
int booth_run(const char *program, const char *words, char *out, size_t cap);
/** Print a sitting, replay what was printed, compare its lines with these (ended by NULL), and verify the store. */
void booth_check_record(const char *program, const char *sitting, const char *const *expected);

/** Fails the running test, showing the text, where one of these (ended by NULL) is not in it. */
void booth_must_hold(const char *text, const char *const *expected);

/** Make a file, or put another text in place of its text. */
void booth_write(const char *path, const char *text);
struct booth_change {
    const char *after, *from, *to; /* the first `from` that follows `after` becomes `to` */
};

/** Copy one of the files that come with the program (`protocols/us-adult.protocol`), changed; the changes end with one whose
 * `after` is NULL. */
void booth_copy(const char *asset, const char *path, const struct booth_change *changes);
/** Make a folder with a site's own protocol: `our-clinic`, a copy of us-adult with three values changed, each of which
 * names a source that publishes another one. */
void booth_copy_protocol(const char *folder);

#endif
