/* SPDX-License-Identifier: GPL-3.0-or-later */
/** @file home.h  The home page and its help, from a finished view. Pure. */
#ifndef STILLARM_HOME_H
#define STILLARM_HOME_H

#include <stdbool.h>
#include <stdint.h>

#include "guide/form.h"
#include "guide/page.h"

#define HOME_COUNT_MOST 99 /* the caller counts one further at most */

struct home_view {
    char measurer[40], place[80], wall[8];
    int64_t open_id;          /* 0: no sitting is open */
    char open_step[16];       /* the step where it was left */
    int64_t open_ago_s;       /* negative: not known */
    int open_count;           /* today, all */
    int finished, stopped;    /* today */
    int waiting, returned, owed; /* for a preceptor; sent back; signatures */
    char returned_to[120], owed_by[120]; /* to and by whom; "" not known */
    int64_t given_id;         /* a result that who measures now was given lately; 0: none */
    int given_more;           /* besides that one */
    char given_by[40];
    char kit[120];            /* what is due or missing; "" when all is well */
    int people_count;
    char protocol[80];
    bool is_protocol_gone;    /* the one named in protocol is set as usual here, and not offered any more */
    int fault_count;          /* files left out or not used */
    char notice[420];         /* shown where refusals stand */
    char store_path[200];     /* for the help page */
};

void home_page(const struct home_view *v, struct page *out);
/** The faults in full, for the rows of a list whose width fits a small screen: a new row for each piece. */
void home_faults_list(struct list *l);
/** Append one fault. @return false where the list is full, which its last row then says */
bool home_fault_rows(struct list *l, const char *fault);
void home_help_page(const struct home_view *v, struct page *out);

/** `12 minutes ago`, `3 days ago`. */
void ago_words(int64_t seconds, char *out, unsigned cap);

#endif
