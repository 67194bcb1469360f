/* SPDX-License-Identifier: GPL-3.0-or-later */
/** @file agree_names.h  Tables of names, looked up once a row: what that takes stands here, to be compiled where it is used. */
#ifndef STILLARM_COMMAND_AGREE_NAMES_H
#define STILLARM_COMMAND_AGREE_NAMES_H

#include <stdbool.h>
#include <stdint.h>
#include <string.h>

#include "command/csv.h"
#include "command/keep.h"

/** A name with whose it is: a subject's measurer, so that two may well have a subject of one name. Of a name of up to 8 bytes
 *  bits are the name itself; of a longer one its hash. */
struct name_key { uint64_t bits; uint32_t owner, len; const char *text; };

/** Holds the key, so that what it leads to is not looked at, which may be the second thread's. */
struct name_entry { struct name_key key; void *of; /* NULL: free */ };
struct name_table { struct name_entry *slots; uint32_t cap, count; };

/** A new element of that name, which stands behind it, ended by a NUL; NULL when memory is short. */
void *name_add(struct name_table *t, struct keep *kept, size_t size, const struct name_key *k);

#define NAME_BITS_WHOLE 8

static inline uint64_t name_load(const char *s, size_t n)
{
    uint64_t x = 0;
    memcpy(&x, s, n);
    return x;
}

static inline uint64_t name_stir(uint64_t x)
{
    x *= UINT64_C(0x9e3779b97f4a7c15);
    return x ^ x >> 32;
}

/** Loads of a fixed size, overlapping in the middle, are several times faster than a loop over bytes. */
static inline uint64_t name_bits(const char *text, size_t len)
{
    uint64_t bits = 0;
    if (len >= 4 && len <= NAME_BITS_WHOLE)
        return name_load(text, 4) | name_load(text + len - 4, 4) << 32;
    if (len >= 1 && len < 4)
        return name_load(text, 1) | name_load(text + len / 2, 1) << 8 | name_load(text + len - 1, 1) << 16;
    for (size_t i = 0; i < len; i++)
        bits = name_stir(bits) ^ (unsigned char)text[i];
    return bits;
}

static inline struct name_key name_key(const struct csv_cell *c, uint32_t owner)
{
    return (struct name_key){ .bits = name_bits(c->text, c->len), .owner = owner, .len = (uint32_t)c->len, .text = c->text };
}

static inline bool name_is_same(const struct name_key *a, const struct name_key *b)
{
    return a->bits == b->bits && a->owner == b->owner && a->len == b->len &&
           (a->len <= NAME_BITS_WHOLE || memcmp(a->text, b->text, a->len) == 0);
}

static inline uint64_t name_hash(const struct name_key *k)
{
    return name_stir(name_stir(k->bits + k->owner) + k->len);
}

static inline uint32_t name_place(const struct name_table *t, const struct name_key *k)
{
    return (uint32_t)name_hash(k) & (t->cap - 1);
}

/** Where the name stands, or the free place where it belongs. The table has room. */
static inline struct name_entry *name_slot(const struct name_table *t, const struct name_key *k)
{
    uint32_t i = name_place(t, k);
    while (t->slots[i].of && !name_is_same(&t->slots[i].key, k))
        i = (i + 1) & (t->cap - 1);
    return &t->slots[i];
}

static inline void *name_find(const struct name_table *t, const struct name_key *k)
{
    return t->cap > 0 ? name_slot(t, k)->of : NULL;
}

#endif
