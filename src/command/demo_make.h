/* SPDX-License-Identifier: GPL-3.0-or-later */
/** @file demo_make.h  One invented sitting as data, and how it is made. */
#ifndef STILLARM_DEMO_MAKE_H
#define STILLARM_DEMO_MAKE_H

#include "command/demo_people.h"
#include "command/workplace.h"

#define DEMO_READINGS_MAX 5

struct demo_reading {
    int32_t first, last;          /* a last of 0 ends them */
    const char *listener;         /* NULL: nobody listens too */
    int32_t pair_first, pair_last;
    int32_t rate_x10;             /* of the release, its moments marked; 0: the usual one, and nothing marked */
    bool is_hasty;                /* tried before the interval is over */
};

struct demo_sitting {
    int days_ago, minute_of_day;
    const char *measurer, *subject, *arm;
    int arm_mm, pulse, felt_to, gone;
    struct demo_reading readings[DEMO_READINGS_MAX];
    const char *stop; /* NULL: sealed */
    bool tries_to_skip; /* the rest */
    const char *witness; /* NULL: none */
    bool is_owed;        /* not signed at its end */
    struct demo_review { enum statement_kind kind; const char *word, *said; } reviews[2]; /* by the preceptor; SAYS_KEY: none */
    bool is_practice;
    int enough_after;    /* so many readings, or more as long as they do not suffice; 0: all there are */
};

/** Make one; due is the day on which its gauge is due. Every event goes through the engine: what it refuses is an error, but
 *  for what is tried too soon on purpose. */
enum status demo_make(struct workplace *w, const struct demo_sitting *s, const struct demo_people *people, int32_t due,
                      struct err *e) MUST_USE;

#endif
