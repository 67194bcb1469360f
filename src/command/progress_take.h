/* SPDX-License-Identifier: GPL-3.0-or-later */
/** @file progress_take.h  What one sitting, replayed, adds to a person's record. */
#ifndef STILLARM_PROGRESS_TAKE_H
#define STILLARM_PROGRESS_TAKE_H

#include "guide/progress.h"
#include "stillarm/sitting.h"

/** A reading as it stood when its values were given: what is corrected later was no longer heard. */
struct heard {
    bool has_values, has_pair;
    int32_t mmhg[SIDE_COUNT][EAR_COUNT];
    uint32_t voids;
    int32_t rate_x10[2];
};

/** One sitting that ended, as far as a record needs it. */
struct replayed {
    int32_t day;
    bool is_unsigned, is_read; /* its signature is owed; a preceptor has signed it besides, or gave its result */
    struct sitting sitting;
    const struct protocol *protocol;
    struct heard heard[READINGS_CAP];
    int32_t refused[RULE_COUNT];
    struct open_item open_items[OPEN_ITEMS_MAX]; /* refused for them */
    int open_item_count;
};

/** After each event that was accepted. */
void replayed_note(struct replayed *r, const struct event *ev);
/** What the engine refused by this rule; have: as the attempt has it, the item's id where an item was open. */
void replayed_refuse(struct replayed *r, enum rule rule, const char *have);

#define LISTENERS_MAX 64 /* told apart; who listens beyond them is not counted as one more */

/** A record that is being gathered up to a day. */
struct gathering {
    struct progress *p;
    struct agree_tally tally;
    int64_t subjects;
    char listeners[LISTENERS_MAX][ITEM_CAP];
    int listener_count;
};

/** One subject's arm; which of the gatherings have it. */
struct cell {
    char subject[ITEM_CAP];
    int32_t arm;
    bool is_used, is_in[2];
    struct agree_subject sums[2];
};
struct cells { struct cell *list; size_t cap, count; };
void cells_free(struct cells *c);

typedef bool (*is_preceptor_fn)(const void *user, const char *listener);
struct gather_frame {
    const struct yardstick *yardstick;
    struct agree_frame agree;
    is_preceptor_fn is_preceptor;
    const void *user;
};

void gathering_begin(struct gathering *g, const struct gather_frame *f, struct progress *p);
/** Add a sitting. nth says which gathering of the cells it is. False when memory is short. */
bool gathering_take(struct gathering *g, int nth, struct cells *c, const struct gather_frame *f, const struct replayed *r);
/** All that was gathered, as of this day. */
void gathering_end(struct gathering *g, int nth, struct cells *c, const struct gather_frame *f, int32_t day);

#endif
