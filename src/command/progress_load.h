/* SPDX-License-Identifier: GPL-3.0-or-later */
/** @file progress_load.h  Reads the records of those who measure out of the store: as of one day, and as of one before. */
#ifndef STILLARM_PROGRESS_LOAD_H
#define STILLARM_PROGRESS_LOAD_H

#include "guide/progress.h"
#include "store/store.h"

/** Sittings so far, and in all. False breaks the reading off. */
typedef bool (*progress_watch_fn)(void *user, int64_t done, int64_t of);

/** What is asked of the store. */
struct progress_ask {
    const struct yardstick *yardstick;
    const struct category_scheme *scheme; /* of the yardstick's categories; NULL: none */
    int32_t until_day;                    /* yyyymmdd: sittings of that day and before it */
    int32_t since_day;                    /* the same for what was before; 0: nothing was */
    progress_watch_fn watch;              /* called now and then; NULL */
    void *watcher;
};

/**
 * One person's record. A sitting that does not replay is left out and counted (unjudged).
 * @param before  as it stood at the end of since_day; may be NULL
 * @return ST_NOT_FOUND when nobody of that name is known here or has measured; ST_NO_MEMORY; ST_IO where watch broke it off;
 *          or what the store says
 */
enum status progress_load(struct store *store, const struct progress_ask *ask, const char *person, struct progress *now,
                          struct progress_row *before, struct err *e) MUST_USE;

/** Each in turn, by short name: whoever has measured, and trainees and technicians in use who have not yet. What is handed
 *  over lives for the call; false ends it. */
typedef bool (*progress_person_fn)(void *user, const struct progress *now, const struct progress_row *before);
enum status progress_load_all(struct store *store, const struct progress_ask *ask, progress_person_fn fn, void *user,
                              struct err *e) MUST_USE;

/** The group's rows and what was before, side by side, by short name. Begin with zero; free with progress_rows_free, also
 *  where it failed. */
struct progress_rows { struct progress_row *now, *before; int count, cap; bool is_short; };
enum status progress_load_rows(struct store *store, const struct progress_ask *ask, struct progress_rows *out, struct err *e) MUST_USE;
void progress_rows_free(struct progress_rows *rows);

#endif
