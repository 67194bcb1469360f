/* SPDX-License-Identifier: GPL-3.0-or-later */
/** @file protocol_tours.h  A whole sitting for each shipped protocol, with figures that its own rules decide. */
#ifndef STILLARM_PROTOCOL_TOURS_H
#define STILLARM_PROTOCOL_TOURS_H

#include "sitting_tour.h"

struct protocol_tour {
    const char *protocol;
    int keys_max;
    const struct tour_move *moves; /* from the opening to the result */
    size_t move_count;
    const struct tour_move *closing; /* and from there to the seal */
    size_t closing_count;
    /* All ended by NULL. */
    const char *at_once[9]; /* on the result's page without scrolling */
    const char *below[8];   /* anywhere on it */
    const char *record[6];  /* lines that replay prints */
    const char *worth[11];  /* in what the verb worth prints */
};

extern const struct protocol_tour PROTOCOL_TOURS[];
extern const size_t PROTOCOL_TOUR_COUNT;

/** With a copy of us-adult: a shorter rest and settling, a larger margin. */
extern const struct protocol_tour SITE_TOUR;

#endif
