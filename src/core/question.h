/* SPDX-License-Identifier: GPL-3.0-or-later */
/** @file question.h  What the classes of rules share when they object. Private to core. */
#ifndef STILLARM_QUESTION_H
#define STILLARM_QUESTION_H

#include "core/engine.h"

#define SAID_CAP 80 /* of have and need */

void say_words(char out[SAID_CAP], const char *format, ...) __attribute__((format(printf, 2, 3)));
void say_seconds(char out[SAID_CAP], int64_t ms);

/* Both give the rule back, so that `return object_...` reads well. */
enum rule object_have_need(struct question *q, enum rule rule, const char *have, const char *need);
enum rule object_numbers(struct question *q, enum rule rule, int64_t have, const char *relation,
                         int64_t need);

/* checks.c, checks_wait.c, checks_kit.c and checks_end.c: each asks one thing of the kinds that it is about, and agrees with
 * all others. */
enum rule ask_order(struct question *q);
enum rule ask_arm_barred(struct question *q);
enum rule ask_usual(struct question *q);
enum rule ask_kit(struct question *q);
enum rule ask_rest_event(struct question *q);
enum rule ask_rest_length(struct question *q);
enum rule ask_rest(struct question *q);
enum rule ask_estimate(struct question *q);
enum rule ask_settle(struct question *q);
enum rule ask_interval(struct question *q);
enum rule ask_stood(struct question *q);
enum rule ask_done(struct question *q);
enum rule ask_record(struct question *q);
enum rule ask_enough(struct question *q);
enum rule ask_standing(struct question *q);
enum rule ask_told(struct question *q);
enum rule ask_answered(struct question *q);

/* The arm itself, whichever event asks. */
enum rule object_arm(struct question *q, enum arm arm);

bool is_listen(const struct event *ev);

#endif
