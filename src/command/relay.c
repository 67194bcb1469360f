/* SPDX-License-Identifier: GPL-3.0-or-later */
/** @file relay.c  Two counters under one lock say which blocks are whose. */
#include "command/relay.h"

#include <pthread.h>
#include <stddef.h>
#include <stdint.h>
#include <stdlib.h>

struct relay {
    relay_take_fn take;
    void *user;
    size_t block_bytes;
    bool is_apart;
    pthread_t taker;
    pthread_mutex_t lock; /* over what follows, up to the blocks; `passed` is changed by one thread, which may read it without */
    pthread_cond_t has_come, has_room;
    uint64_t passed, taken;
    bool is_closed;
    size_t count[RELAY_BLOCKS];
    _Alignas(max_align_t) char blocks[];
};

static void *block_at(struct relay *r, uint64_t i)
{
    return r->blocks + i % RELAY_BLOCKS * r->block_bytes;
}

static void *take_all(void *user)
{
    struct relay *r = user;
    (void)pthread_mutex_lock(&r->lock);
    for (;;) {
        while (r->taken == r->passed && !r->is_closed)
            (void)pthread_cond_wait(&r->has_come, &r->lock);
        if (r->taken == r->passed)
            break;
        const size_t count = r->count[r->taken % RELAY_BLOCKS];
        const void *block = block_at(r, r->taken);
        (void)pthread_mutex_unlock(&r->lock);
        r->take(r->user, block, count);
        (void)pthread_mutex_lock(&r->lock);
        r->taken++;
        (void)pthread_cond_signal(&r->has_room);
    }
    (void)pthread_mutex_unlock(&r->lock);
    return NULL;
}

struct relay *relay_open(size_t block_bytes, bool is_apart, relay_take_fn take, void *user)
{
    struct relay *r = malloc(sizeof *r + (is_apart ? RELAY_BLOCKS : 1) * block_bytes);
    if (!r)
        return NULL;
    *r = (struct relay){ .take = take, .user = user, .block_bytes = block_bytes, .lock = PTHREAD_MUTEX_INITIALIZER,
                         .has_come = PTHREAD_COND_INITIALIZER, .has_room = PTHREAD_COND_INITIALIZER };
    r->is_apart = is_apart && pthread_create(&r->taker, NULL, take_all, r) == 0;
    return r;
}

void *relay_block(struct relay *r)
{
    return block_at(r, r->passed);
}

/* Returns when there is a block to be filled next. */
static void hand_over(struct relay *r, size_t count)
{
    (void)pthread_mutex_lock(&r->lock);
    r->count[r->passed % RELAY_BLOCKS] = count;
    r->passed++;
    (void)pthread_cond_signal(&r->has_come);
    while (r->passed - r->taken == RELAY_BLOCKS)
        (void)pthread_cond_wait(&r->has_room, &r->lock);
    (void)pthread_mutex_unlock(&r->lock);
}

void relay_pass(struct relay *r, size_t count)
{
    if (r->is_apart)
        hand_over(r, count);
    else
        r->take(r->user, r->blocks, count);
}

void relay_close(struct relay *r)
{
    if (r && r->is_apart) {
        (void)pthread_mutex_lock(&r->lock);
        r->is_closed = true;
        (void)pthread_cond_signal(&r->has_come);
        (void)pthread_mutex_unlock(&r->lock);
        (void)pthread_join(r->taker, NULL);
    }
    free(r);
}
