/* SPDX-License-Identifier: GPL-3.0-or-later */
/** @file witness.h  The pages of a witnessed sitting: one offers every act all the time, whatever came before. */
#ifndef STILLARM_GUIDE_WITNESS_H
#define STILLARM_GUIDE_WITNESS_H

#include "guide/views.h"

/** The item under the cursor. */
int witness_item(const struct scene *sc);
/** Put the cursor there; it stays there until an act on it, then goes on to the next open one. */
void witness_pick(struct guide *g, int item);
/** The item before this one (by -1) or after it (by 1), or the first of the next step. */
int witness_item_beside(const struct scene *sc, int by);
int witness_item_of_next_step(const struct scene *sc);
/** The first item that nothing is said of yet; -1: none. */
int witness_item_open(const struct scene *sc);

/** Marks or values were put by for the other acts, and are taken up again. */
bool witness_has_put_by(const struct scene *sc);
void witness_put_by(const struct scene *sc, struct guide *g, bool is_put_by);

/** The acts of the moment, named in the row of keys. */
void witness_keys(const struct scene *sc, struct page *pg);

/** What was noted so far, to look at and to take back; is_finishing: and then to finish. */
void witness_noted_open(const struct scene *sc, struct guide *g, bool is_finishing);
/** One of it as a line: when, what, and whether it was taken back. */
struct page_line *witness_noted_line(const struct scene *sc, struct page *pg, int at);

#endif
