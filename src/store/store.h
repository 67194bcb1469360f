/* SPDX-License-Identifier: GPL-3.0-or-later */
/** @file store.h  One SQLite file: sittings, their events, people, kit. The only SQL there is.
 *  Strings in structs are copies; callbacks get rows that live for the call. All functions may block up to the busy
 *  limit (5 s) and then answer ST_LOCKED. */
#ifndef STILLARM_STORE_H
#define STILLARM_STORE_H

#include <stdbool.h>
#include <stdint.h>

#include "stillarm/err.h"
#include "stillarm/event.h"
#include "stillarm/protocol.h"
#include "stillarm/sitting.h"

struct store; /* one connection */

enum store_mode {
    STORE_READ,
    STORE_WRITE,     /* create what is missing, migrate */
    STORE_THROW_AWAY /* the same, but nothing waits for the disk: for invented data in a folder that is removed again */
};

/** Where the embedded store lies: $XDG_DATA_HOME/stillarm/store.db, else ~/.local/share/... */
enum status store_default_path(char *out, size_t cap, struct err *e) MUST_USE;

/** Open; creates folder 0700 and file 0600 when writing. ST_NOT_FOUND, ST_PERMISSION, ST_READ_ONLY, ST_NOT_A_STORE, ST_NEWER, ST_LOCKED, ST_FULL, ST_CORRUPT, ST_IO. */
enum status store_open(const char *path, enum store_mode mode, struct store **out, struct err *e) MUST_USE;
void store_close(struct store *st); /* NULL is fine */

/* ---- people, kit, settings ---- */
enum person_role { ROLE_TRAINEE, ROLE_TECHNICIAN, ROLE_PRECEPTOR, ROLE_COUNT };
extern const char *const ROLE_WORDS[ROLE_COUNT];
struct person { char id[ITEM_CAP]; char name[128]; enum person_role role; bool is_retired; };
#define CHECK_POINTS_MAX 12
/** What the gauge showed where a reference stood. */
struct check_point { int32_t reference_mmhg, reading_mmhg; };
struct gauge { char id[ITEM_CAP]; char name[128]; int32_t top_mmhg, due; /* yyyymmdd */ bool is_retired;
               struct gauge_check leak, comparison, zero; /* latest */
               struct check_point points[CHECK_POINTS_MAX]; int32_t point_count; /* of that comparison; 0: one number only */ };
struct stored_cuff { char id[ITEM_CAP]; char name[128]; int32_t low_mm, high_mm; bool is_retired;
                     int32_t bladder_width_mm, bladder_length_mm; /* 0: not known */ };
#define INTERVAL_MONTHS_USUAL 6 /* between calibrations: GAU-12, GAU-13, published */

enum status store_person_add(struct store *, const struct person *, struct err *) MUST_USE;   /* ST_EXISTS */
/** Another role: only while the person never had a key (ST_PERMISSION), since that key's statement says which. */
enum status store_person_role(struct store *, const char *id, enum person_role, struct err *) MUST_USE;
enum status store_person_get(struct store *, const char *id, struct person *out, struct err *) MUST_USE;
/** Into out[cap], in use first, then by id; *count is how many there are in all. */
enum status store_people(struct store *, bool with_retired, struct person *out, int cap, int *count, struct err *) MUST_USE;
enum status store_gauge_add(struct store *, const struct gauge *, struct err *) MUST_USE;
enum status store_gauge_check(struct store *, const char *gauge, const char *what /* leak, zero, comparison */, int32_t value, int32_t date, struct err *) MUST_USE;
/** A comparison point by point (2 to CHECK_POINTS_MAX); *largest is the largest difference, kept as its result. */
enum status store_gauge_compare(struct store *, const char *gauge, const struct check_point *points, int count, int32_t date, int32_t *largest, struct err *) MUST_USE;
enum status store_gauge_due(struct store *, const char *gauge, int32_t due, struct err *) MUST_USE; /* after a calibration */
enum status store_gauges(struct store *, bool with_retired, struct gauge *out, int cap, int *count, struct err *) MUST_USE;
/** Months between the calibrations of this site, 1 to 24; INTERVAL_MONTHS_USUAL until set. */
enum status store_interval_get(struct store *, int32_t *months, struct err *) MUST_USE;
enum status store_interval_set(struct store *, int32_t months, struct err *) MUST_USE;
/** Width and length of the bladder of a cuff that is there, also of a retired one. */
enum status store_cuff_bladder(struct store *, const char *cuff, int32_t width_mm, int32_t length_mm, struct err *) MUST_USE;
enum status store_cuff_add(struct store *, const struct stored_cuff *, struct err *) MUST_USE;
enum status store_cuffs(struct store *, bool with_retired, struct stored_cuff *out, int cap, int *count, struct err *) MUST_USE;
/* People and kit are taken out of use by store_act (signed.h, SAYS_RETIRE). */
/** Small facts of this store: "place", "measurer", "protocol", "gauge", "help", "second" ... "" when unset. */
enum status store_setting_get(struct store *, const char *name, char *out, size_t cap, struct err *) MUST_USE;
/** ST_PERMISSION for another "protocol" than the one that is set: that is signed (signed.h, SAYS_PROTOCOL). */
enum status store_setting_set(struct store *, const char *name, const char *value, struct err *) MUST_USE;

/* ---- sittings ---- */
struct sitting_head {
    int64_t id;               /* 1, 2, ... : said as S-001 */
    char subject[ITEM_CAP];   /* code; "" once erased */
    char measurer[ITEM_CAP], protocol[ITEM_CAP];
    char opened[40];          /* ISO 8601 with offset */
    int32_t day;              /* its local day, yyyymmdd */
    enum phase phase;
    int32_t event_count, reading_count, counted_count, attempt_count;
    int64_t last_ms;          /* time of the last event */
    int64_t last_unix_ms;     /* wall clock of the last event */
    char boot[40];            /* boot id and */
    int64_t last_boot_ms;     /* suspend-counting clock at the last event: a resume in the same boot needs no wall clock */
};

/** What stands beside an event without being part of it. */
struct moment { int64_t unix_ms, boot_ms; char boot[40]; };

/**
 * Open a sitting and write its first event (EV_PROTOCOL), with a snapshot of the protocol file's text so that it can be
 * judged after the file changed.
 */
enum status store_sitting_begin(struct store *, const char *protocol_text, const struct event *first,
                                const struct sitting *after, const struct moment *, int64_t *id, struct err *) MUST_USE;
/**
 * Append an accepted event; durable (fsync) on return, unless it is thrown away. `after` is the state it led to: readings and the phase are
 * derived from it in the same transaction.
 * @param seq  its number in the sitting, from 1; ST_CONFLICT when another process wrote that one
 */
enum status store_append(struct store *, int64_t id, int32_t seq, const struct event *, const struct sitting *after,
                         const struct moment *, struct err *) MUST_USE;
/** Keep a refused attempt beside the log. */
enum status store_attempt(struct store *, int64_t id, const struct event *, const struct refusal *, const struct moment *, struct err *) MUST_USE;

typedef bool (*store_event_fn)(void *user, int32_t seq, const struct event *); /* false stops */
/** The events in order; the subject is its code, or its salted hash once the code is erased. */
enum status store_events(struct store *, int64_t id, store_event_fn, void *user, struct err *) MUST_USE;
struct attempt { int64_t t_ms; char rule[ITEM_CAP]; bool is_slip; char line[EVENT_LINE_CAP]; char have[80], need[80]; };
typedef bool (*store_attempt_fn)(void *user, const struct attempt *);
enum status store_attempts(struct store *, int64_t id, store_attempt_fn, void *user, struct err *) MUST_USE;
/** Snapshot of the protocol file's text, malloc'ed, the caller frees. */
enum status store_protocol_text(struct store *, int64_t id, char **out, struct err *) MUST_USE;

enum status store_sitting_get(struct store *, int64_t id, struct sitting_head *out, struct err *) MUST_USE;
/** The open sitting touched last, whoever opened it; ST_NOT_FOUND when there is none. */
enum status store_sitting_open_latest(struct store *, struct sitting_head *out, struct err *) MUST_USE;
struct day_counts { int32_t open, sealed, stopped; };
enum status store_day_counts(struct store *, int32_t day, struct day_counts *out, struct err *) MUST_USE;
typedef bool (*store_head_fn)(void *user, const struct sitting_head *);
/** Newest first. */
enum status store_sittings(struct store *, store_head_fn, void *user, struct err *) MUST_USE;
/** A code no sitting here has used, such as `s-031`, counting up. No other process is offered it while this one is
 *  open; asked again before a sitting has it, it is the same one. */
enum status store_next_code(struct store *, char out[ITEM_CAP], struct err *) MUST_USE;
/** Has this subject been read here before, and which arm was higher or used last? arm_word: left, right or "". */
enum status store_subject_seen(struct store *, const char *code, bool *seen, char *arm_word, size_t cap, struct err *) MUST_USE;
/** Forget the code: the events keep a salted hash. */
enum status store_subject_erase(struct store *, const char *code, int *sittings, struct err *) MUST_USE;

/** A reading as it stands in the derived table, for verify. */
struct stored_reading { int32_t n; char line[400]; /* tab-separated as replay prints it, without the word reading */
                        bool has_target; int32_t target_mmhg; int64_t inflate_ms; /* in no line, but derived all the same */ };
typedef bool (*store_reading_fn)(void *user, const struct stored_reading *);
enum status store_readings(struct store *, int64_t id, store_reading_fn, void *user, struct err *) MUST_USE;
/** The one line a reading is compared and printed by: N ARM FIRST MUFFLING LAST counted|void REASONS REMARKS, tabs between. */
void store_reading_line(const struct sitting *s, int index, char *out, size_t cap);

/** PRAGMA integrity_check, foreign keys, orphans; ST_CORRUPT with the first thing that is wrong. */
enum status store_check(struct store *, struct err *) MUST_USE;
/** The same without what shows as well to whoever replays every event in its place: numbers, order, times, hashes, ends. */
enum status store_check_beside(struct store *, struct err *) MUST_USE;
/** SQLite's online backup into a new file (0600), written aside and renamed; refuses an existing one (ST_EXISTS). */
enum status store_backup(struct store *, const char *to, struct err *) MUST_USE;

#endif
