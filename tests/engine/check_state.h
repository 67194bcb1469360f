/* SPDX-License-Identifier: GPL-3.0-or-later */
/** @file check_state.h  What must hold of a sitting's state, looked at from outside. */
#ifndef STILLARM_TEST_CHECK_STATE_H
#define STILLARM_TEST_CHECK_STATE_H

#include "stillarm/sitting.h"

/** A well-formed event from its parts; item and text may be NULL. */
struct event make_event(int64_t t_ms, enum event_kind kind, const char *item, int64_t value, int64_t value2,
                        const char *text);

/** Everything below, after an accepted event; false with what is wrong in why. */
bool state_holds(const struct sitting *s, const struct protocol *p, char *why, size_t cap);

bool values_hold(const struct sitting *s, char *why, size_t cap); /* invariant 3 */
bool averages_hold(const struct sitting *s, const struct protocol *p, char *why,
                   size_t cap); /* invariant 4 */
bool seal_holds(const struct sitting *s, const struct protocol *p, char *why,
                size_t cap); /* invariants 1 and 5 */
bool stop_holds(const struct sitting *s, const struct protocol *p, char *why,
                size_t cap); /* invariants 7 and 8 */

/** Apply; on refusal the state must be as before, byte for byte, and the refusal whole.
 *  @return false when that is broken; *accepted says how the event fared. before may be NULL, else receives a
 * copy. */
bool apply_watched(struct sitting *s, const struct protocol *p, const struct event *ev, bool *accepted,
                   struct refusal *no, struct sitting *before, char *why, size_t cap);

/** What an average of these readings is, computed apart from average.c. */
void average_by_hand(enum average_of which, const int32_t *sys, const int32_t *dia, int n, int *out_n,
                     int *out_sys, int *out_dia);

#endif
