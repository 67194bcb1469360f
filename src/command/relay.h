/* SPDX-License-Identifier: GPL-3.0-or-later */
/** @file relay.h  Blocks that one thread fills and a second one works off, in their order, with a few of them between the two. */
#ifndef STILLARM_COMMAND_RELAY_H
#define STILLARM_COMMAND_RELAY_H

#include <stdbool.h>
#include <stddef.h>

#define RELAY_BLOCKS 4 /* at most so many are passed and not taken yet; whoever is quicker waits */

struct relay;
typedef void (*relay_take_fn)(void *user, const void *block, size_t count);

/**
 * take is called for each block that is passed, in their order, one at a time: where is_apart, and a thread can be had, by a
 * second thread; else by relay_pass. Until relay_close has returned what take works on is the second thread's alone.
 * @return NULL: there is not enough memory
 */
struct relay *relay_open(size_t block_bytes, bool is_apart, relay_take_fn take, void *user);
void *relay_block(struct relay *r); /* the one to be filled; the same until it is passed */
void relay_pass(struct relay *r, size_t count);
void relay_close(struct relay *r); /* all that was passed has been taken then. NULL: nothing happens */

#endif
