/* SPDX-License-Identifier: GPL-3.0-or-later */
/** @file keep.c  Huge pages: of small ones the first touch of each takes longer than all that is written there. */
#include "command/keep.h"

#include <stdlib.h>
#include <string.h>
#include <sys/mman.h>

#define HUGE_PAGE ((size_t)1 << 21)

struct keep_block {
    struct keep_block *before;
    size_t room, used;
    _Alignas(16) char bytes[];
};

void *keep_blank(size_t size)
{
    if (size < HUGE_PAGE)
        return calloc(1, size);
    size = (size + HUGE_PAGE - 1) / HUGE_PAGE * HUGE_PAGE;
    void *at = aligned_alloc(HUGE_PAGE, size);
    if (at) {
        (void)madvise(at, size, MADV_HUGEPAGE);
        memset(at, 0, size);
    }
    return at;
}

/* The first is small: so are most files. */
static struct keep_block *add_block(struct keep *k)
{
    enum { FIRST_BYTES = 1 << 16 };
    const size_t size = k->last ? HUGE_PAGE : FIRST_BYTES;
    struct keep_block *b = keep_blank(size);
    if (!b)
        return NULL;
    b->before = k->last;
    b->room = size - sizeof *b;
    k->last = b;
    return b;
}

void *keep_more(struct keep *k, size_t size)
{
    struct keep_block *b = k->last;
    size = (size + 15) & ~(size_t)15;
    if (!b || b->used + size > b->room)
        b = add_block(k);
    if (!b)
        return NULL;
    void *at = b->bytes + b->used;
    b->used += size;
    return at;
}

void keep_free(struct keep *k)
{
    while (k->last) {
        struct keep_block *before = k->last->before;
        free(k->last);
        k->last = before;
    }
}
