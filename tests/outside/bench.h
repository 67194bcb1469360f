/* SPDX-License-Identifier: GPL-3.0-or-later */
/** @file bench.h  A sitting that a test drives line by line, with the protocols that the program ships. */
#ifndef TESTS_OUTSIDE_BENCH_H
#define TESTS_OUTSIDE_BENCH_H

#include "config/protocols.h"
#include "outside/outside.h"
#include "stillarm/sitting.h"

/** Load what ships, run the suite, give main's exit status. */
int bench_run(Suite *suite);

/** What ships; loaded by bench_run. */
extern struct protocols shipped;

/** A shipped protocol; fails the test where it is missing or unsound. */
const struct protocol *protocol_of(const char *id);

struct bench {
    struct sitting s;
    const struct protocol *p;
    int64_t t_ms;
    struct refusal no;
};

/** Apply one line, after_ms later; `must` fails the test where it is refused. */
bool try_line(struct bench *b, int64_t after_ms, const char *rest);
void must(struct bench *b, int64_t after_ms, const char *rest);

/** Up to the arm's circumference, which is left open: left arm, return visit, one gauge, these cuffs. */
void open_sitting(struct bench *b, const struct protocol *p, const char *const *cuffs, int cuff_count);

/** The same on a first visit. */
void open_first_sitting(struct bench *b, const struct protocol *p, const char *const *cuffs, int cuff_count);

/** Turn to this arm, up to its circumference. */
void turn_to(struct bench *b, const char *arm);

/** All but the palpation, on an arm of 30 cm. */
void make_ready(struct bench *b, const struct protocol *p);

/** What is looked at on the wrapped cuff. */
void confirm_cuff(struct bench *b);

/** From the wrapped cuff on: confirm, rest, pulse. */
void rest_through(struct bench *b);

/** Feel the pulse go at this pressure, empty the cuff, let the arm settle. */
void palpate(struct bench *b, int gone);

/** The values of the reading that was just taken. */
void enter(struct bench *b, int target, int first, int last);

/** A minute's wait, the inflation, its values. */
void take_reading(struct bench *b, int target, int first, int last);

#endif
