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

/* checks_kit.c and checks_end.c: classes 9, 10, 13 and 14 */
enum rule ask_order(struct question *q);
enum rule ask_kit(struct question *q);
enum rule ask_done(struct question *q);
enum rule ask_seal(struct question *q);

#endif
