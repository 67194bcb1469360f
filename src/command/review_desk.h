/* SPDX-License-Identifier: GPL-3.0-or-later */
/** @file review_desk.h  What the files of the review desk share: who reads, the queue as it was last read, the sitting that lies open. */
#ifndef STILLARM_COMMAND_REVIEW_DESK_H
#define STILLARM_COMMAND_REVIEW_DESK_H

#include "command/review_load.h"
#include "command/ui.h"

#define DESK_ROWS_MAX 300
#define DESK_PRECEPTORS_MAX 60
#define DESK_PEOPLE_MAX 500

/** What narrows every queue; "" and 0: nothing. */
struct desk_filter {
    char measurer[ITEM_CAP], purpose[12], phase[12];
    int32_t from_day, to_day;
};

struct desk {
    struct ui *ui;
    struct store *store;
    struct ring *ring;
    char reviewer[ITEM_CAP];       /* who read last: her own sittings do not wait for her; "" nobody yet */
    char protocol[ITEM_CAP];       /* the usual one here: rows name another */
    enum queue_which which;
    struct desk_filter filter;
    /* the queue */
    int64_t ids[DESK_ROWS_MAX];
    char rows[DESK_ROWS_MAX][LIST_ROW_CAP];
    int row_count, at;
    bool has_older;                /* more than these */
    int64_t before;                /* these are older than that sitting; 0: from the newest */
    int counts[QUEUE_COUNT];
    char refusal[420];
    /* the sitting that lies open */
    struct review_sitting *r;
    struct timeline_view view;
    int64_t opened_boot_ms;        /* when its page came up */
    char holder[ITEM_CAP];         /* whose PIN opened one that is held */
    bool has_witness_agreed;       /* her PIN, or that of who stands in for her, was given for this page */
};

/* ---- review_queue.c ---- */
void queue_run(struct desk *d);

/* ---- review.c ---- */
/** Show a sitting, and from it the next ones of the queue, until its page is left. */
void sitting_page_run(struct desk *d, int64_t id);
/** Read the open sitting again; the cursor stays on its act. */
enum status sitting_reload(struct desk *d, struct err *e) MUST_USE;

/* ---- review_open.c ---- */
/** The sitting that lies open is left: how long it lay open here is added to what it did before. */
void open_leave(const struct desk *d);
/** How long this window showed it as it stands, to whoever reads or to this signer, in openings before this one. */
int64_t open_before(const struct desk *d, const char *signer);

/* ---- review_acts.c ---- */
/** Do what this key asks for on the open sitting; false: it is none of these keys, or not one that works now. */
bool act_take_key(struct desk *d, const struct key *k);
/** The PIN that opens a sitting that is held: its witness's; of one who can sign nothing more another preceptor's, who then
 *  reads from now on. ST_USAGE: left. */
enum status act_ask_holder(struct desk *d, struct err *e) MUST_USE;
/** Which of those keys work. */
void act_offer(const struct desk *d, struct timeline_view *v);
/** Preceptors who may act, retired ones left out; how many. */
int desk_preceptors(struct desk *d, char out[DESK_PRECEPTORS_MAX][ITEM_CAP]);
/** The next of them reads from now on; after the last one nobody in particular. */
enum status desk_next_reader(struct desk *d, struct err *e) MUST_USE;
/** What the key that does it is called: it says who reads. */
void desk_say_reader(const struct desk *d, char out[40]);
/** Somebody acted while the page was open; in words; where only the sitting went on it says that. */
void act_say_quicker(const struct desk *d, char *out, size_t cap);

#endif
