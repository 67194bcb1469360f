/* SPDX-License-Identifier: GPL-3.0-or-later */
/** @file sitting_tour.h  Whole sittings as tables of moves: let time pass, see a text, press keys. */
#ifndef STILLARM_SITTING_TOUR_H
#define STILLARM_SITTING_TOUR_H

#include <stddef.h>
#include <stdint.h>

#include "screen_kit.h"

#define TOUR_DOWN "\x0e" /* a move's keys: the arrow, whose bytes depend on the terminal */
#define TOUR_PIN "willow 38 stone"

struct tour_move {
    int64_t wait_ms;  /* the clock goes on by this first */
    const char *see;  /* then this must stand on the screen */
    const char *keys; /* then these are pressed; '\r' is Enter */
};

/** A first visit with both arms, a measurer alone, protocol us-adult, code from the program. */
extern const struct tour_move TOUR_FIRST_VISIT[];
extern const size_t TOUR_FIRST_VISIT_COUNT;
/** A return visit of the subject above: one arm, two readings, alone, the booth's defaults. */
extern const struct tour_move TOUR_RETURN_VISIT[];
extern const size_t TOUR_RETURN_VISIT_COUNT;

/** A new store at path with a measurer, a place, a gauge and two cuffs: what a booth has. Its usual protocol is us-adult, or the
 * one named. */
void tour_furnish(const char *path);
void tour_furnish_with(const char *path, const char *protocol);

/** Drive the program through the moves; fails the running test with the screen when a text does not come. */
void tour_drive(struct kit *k, const struct tour_move *moves, size_t count);

/** The same for the program's line-by-line form: each move's keys are one line. */
void tour_drive_lines(struct kit *k, const struct tour_move *moves, size_t count);

/** The measurer's PIN at the end, chosen where there is none. @return the keys pressed before it: a PIN has as many as she likes */
int tour_sign(struct kit *k);

#endif
