/* SPDX-License-Identifier: GPL-3.0-or-later */
/** @file workplace.h  What most verbs open first: the store and the protocols. */
#ifndef STILLARM_WORKPLACE_H
#define STILLARM_WORKPLACE_H

#include "command/command.h"
#include "command/procedure.h"
#include "config/protocols.h"
#include "guide/guide.h"
#include "store/store.h"

struct workplace {
    struct store *store;
    char path[1024]; /* of the store */
    const char *protocol_dir; /* as the command line names it; NULL: the usual one */
    struct protocols protocols;
    bool has_protocols;
    struct procedures procedures; /* with the protocols */
};

enum workplace_needs { WORKPLACE_STORE, WORKPLACE_STORE_AND_PROTOCOLS };

/** Open the store named by --db, else the default one. On failure nothing is left open. */
enum status workplace_open(struct workplace *w, const struct command_line *line, enum store_mode mode,
                           enum workplace_needs needs, struct err *e) MUST_USE;
/** The same to write, where there has to be a store: what has nothing to work on makes none. */
enum status workplace_open_kept(struct workplace *w, const struct command_line *line, struct err *e) MUST_USE;
void workplace_close(struct workplace *w);

/** Say on standard error which protocol files were left out, and why. */
void workplace_say_faults(const struct protocols *ps);

/** The booth as the guide wants it: settings, kit, protocols, and the wall clock of now; without the next code. */
enum status workplace_booth(struct workplace *w, struct guide_booth *b, struct err *e) MUST_USE;

/** Parse `S-014`, `s-14` or `14`. */
enum status parse_sitting(const char *typed, int64_t *id, struct err *e) MUST_USE;

/** Parse a day, where `today` also is one. */
enum status parse_day(const char *typed, int32_t *yyyymmdd, struct err *e) MUST_USE;

/** yyyymmdd as YYYY-MM-DD. */
void day_print(int32_t yyyymmdd, char out[16]);

/** The day so many months after; the month's last where the day does not exist there. Pure. */
int32_t day_after_months(int32_t yyyymmdd, int months);

/** Days from one day to another, negative backwards. Pure; both must exist. */
int days_between(int32_t from, int32_t to);

enum subject_known { SUBJECT_KNOWN, SUBJECT_NOT_GIVEN, SUBJECT_ERASED };
/** What the store knows of a sitting's subject: an absent code was either never given or erased. */
enum subject_known subject_known(struct store *store, const struct sitting_head *h);
/** The subject as lists show it: the code, `-` or `erased`. */
const char *subject_word(struct store *store, const struct sitting_head *h);

extern const char *const PHASE_WORDS[]; /* by enum phase, for lists */

#endif
