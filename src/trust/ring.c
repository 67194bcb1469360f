/* SPDX-License-Identifier: GPL-3.0-or-later */
/** @file ring.c  The keys of a store as its statements tell of them: whose they are, and who vouched for
 * whom. */
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "stillarm/text.h"
#include "trust/internal.h"
#include "trust/rights.h"

#define NONE (-1)

/* A vouch may gain in worth later, when its voucher is vouched for by the course: so each is kept. */
struct vouch {
    int by, of; /* keys */
};

struct witnessed {
    int64_t sitting;
    char witness[ITEM_CAP];
};

struct list { /* of equal items, growing */
    char *items;
    size_t size; /* of one */
    int count, cap;
};

struct ring {
    char store[STORE_ID_CAP];
    int64_t last; /* number of the last statement told of */
    struct list keys, vouches, retired, witnessed;
    int *slots;     /* open addressing by key id: number of a key or NONE */
    int slot_count; /* a power of two, more than twice the keys */
    int course;     /* its key, or NONE */
    bool has_founder;
};

/* ---- lists ---- */

static bool has_room(struct list *l)
{
    if (l->count < l->cap)
        return true;
    const int cap = l->cap ? 2 * l->cap : 16;
    char *items = realloc(l->items, (size_t)cap * l->size);
    if (!items)
        return false;
    l->items = items;
    l->cap = cap;
    return true;
}

static void *item_at(const struct list *l, int i)
{
    return l->items + (size_t)i * l->size;
}

/* Room must have been made. */
static void insert(struct list *l, int at, const void *item)
{
    char *place = item_at(l, at);
    memmove(place + l->size, place, (size_t)(l->count - at) * l->size);
    memcpy(place, item, l->size);
    l->count++;
}

static struct ring_key *key_at(const struct ring *r, int i)
{
    return item_at(&r->keys, i);
}

/* ---- begin and end ---- */

static bool make_slots(struct ring *r, int count)
{
    int *slots = malloc((size_t)count * sizeof *slots);
    if (!slots)
        return false;
    for (int i = 0; i < count; i++)
        slots[i] = NONE;
    free(r->slots);
    r->slots = slots;
    r->slot_count = count;
    return true;
}

static enum status no_memory(struct err *e)
{
    return err_set(e, ST_NO_MEMORY,
                   "There is no memory for the keys of this store. Close other programs and try again.");
}

enum status ring_new(const char *store, struct ring **out, struct err *e)
{
    const enum status status = trust_init(e);
    if (status != ST_OK)
        return status;
    struct ring *r = calloc(1, sizeof *r);
    if (!r || !make_slots(r, 64)) {
        free(r);
        return no_memory(e);
    }
    (void)text_copy(r->store, sizeof r->store, store);
    r->keys.size = sizeof(struct ring_key);
    r->vouches.size = sizeof(struct vouch);
    r->retired.size = ITEM_CAP;
    r->witnessed.size = sizeof(struct witnessed);
    r->course = NONE;
    *out = r;
    return ST_OK;
}

void ring_free(struct ring *r)
{
    if (!r)
        return;
    free(r->keys.items);
    free(r->vouches.items);
    free(r->retired.items);
    free(r->witnessed.items);
    free(r->slots);
    free(r);
}

/* ---- finding ---- */

/* Ids are hashes: their first digits are spread evenly. */
static int slot_of(const struct ring *r, const char *id)
{
    unsigned n = 0;
    for (int i = 0; i < 8 && id[i]; i++)
        n = n * 31 + (unsigned char)id[i];
    int slot = (int)(n & (unsigned)(r->slot_count - 1));
    while (r->slots[slot] != NONE && strcmp(key_at(r, r->slots[slot])->id, id) != 0)
        slot = (slot + 1) & (r->slot_count - 1);
    return slot;
}

static int index_of(const struct ring *r, const char *id)
{
    return r->slots[slot_of(r, id)];
}

const struct ring_key *ring_find(const struct ring *r, const char *key_id)
{
    const int i = index_of(r, key_id);
    return i == NONE ? NULL : key_at(r, i);
}

const struct ring_key *ring_of_person(const struct ring *r, const char *person)
{
    for (int i = r->keys.count - 1; i >= 0; i--)
        if (key_at(r, i)->ended == 0 && strcmp(key_at(r, i)->person, person) == 0)
            return key_at(r, i);
    return NULL;
}

const struct ring_key *ring_course(const struct ring *r)
{
    return r->course == NONE ? NULL : key_at(r, r->course);
}

const struct ring_key *ring_at(const struct ring *r, int n)
{
    return n >= 0 && n < r->keys.count ? key_at(r, n) : NULL;
}

bool ring_is_retired(const struct ring *r, const char *person)
{
    for (int i = 0; i < r->retired.count; i++)
        if (strcmp(item_at(&r->retired, i), person) == 0)
            return true;
    return false;
}

bool ring_has_left(const struct ring *r, const char *person)
{
    bool had_key = false;
    if (ring_is_retired(r, person))
        return true;
    for (int i = 0; i < r->keys.count; i++)
        had_key = had_key || strcmp(key_at(r, i)->person, person) == 0;
    return had_key && !ring_of_person(r, person);
}

bool ring_has_preceptor(const struct ring *r)
{
    for (int i = 0; i < r->keys.count; i++) {
        const struct ring_key *k = key_at(r, i);
        if (k->role == SIGNS_PRECEPTOR && k->ended == 0 && !ring_is_retired(r, k->person))
            return true;
    }
    return false;
}

/* Where the sitting is, or would be. */
static int witnessed_place(const struct ring *r, int64_t sitting)
{
    int low = 0, high = r->witnessed.count;
    while (low < high) {
        const int middle = low + (high - low) / 2;
        const struct witnessed *w = item_at(&r->witnessed, middle);
        if (w->sitting < sitting)
            low = middle + 1;
        else
            high = middle;
    }
    return low;
}

const char *ring_witness(const struct ring *r, int64_t sitting)
{
    const int i = witnessed_place(r, sitting);
    const struct witnessed *w = i < r->witnessed.count ? item_at(&r->witnessed, i) : NULL;
    return w && w->sitting == sitting ? w->witness : "";
}

/* ---- standing ---- */

/* What a vouch by this key is worth. */
static enum trust_standing worth_of(const struct ring_key *by)
{
    if (by->standing == TRUST_COURSE) /* the course's own key stands there too */
        return TRUST_COURSE;
    return by->standing == TRUST_NONE ? TRUST_NONE : TRUST_BY_SELF;
}

/* A founder's own line gives her nothing: she stays self-declared until the course or its line vouches for
 * her. */
static bool is_gain(enum trust_standing now, enum trust_standing offered)
{
    return offered == TRUST_COURSE ? now != TRUST_COURSE : offered == TRUST_BY_SELF && now == TRUST_NONE;
}

static void settle_standing(struct ring *r)
{
    for (bool changed = true; changed;) {
        changed = false;
        for (int i = 0; i < r->vouches.count; i++) {
            const struct vouch *v = item_at(&r->vouches, i);
            const struct ring_key *by = key_at(r, v->by);
            struct ring_key *of = key_at(r, v->of);
            if (!is_gain(of->standing, worth_of(by)))
                continue;
            of->standing = worth_of(by);
            (void)text_copy(of->voucher, sizeof of->voucher, by->person);
            changed = true;
        }
    }
}

void standing_say(enum trust_standing standing, const char *voucher, char out[120])
{
    static const char *const TAIL[] = {[TRUST_NONE] = "",
                                       [TRUST_SELF] = "",
                                       [TRUST_BY_SELF] = " (self-declared line)",
                                       [TRUST_COURSE] = " (course)"};
    struct text t;
    text_init(&t, out, 120);
    if (standing == TRUST_NONE)
        text_add(&t, "not vouched for");
    else if (standing == TRUST_SELF)
        text_add(&t, "self-declared");
    else if (standing == TRUST_COURSE && (voucher[0] == '\0' || strcmp(voucher, COURSE_PERSON) == 0))
        text_add(&t, "vouched for by the course");
    else
        text_addf(&t, "vouched for by %s%s", voucher[0] ? voucher : "a preceptor", TAIL[standing]);
}

/* ---- being told ---- */

static bool make_room(struct ring *r)
{
    if (!has_room(&r->keys) || !has_room(&r->vouches) || !has_room(&r->retired) || !has_room(&r->witnessed))
        return false;
    if (2 * (r->keys.count + 1) < r->slot_count)
        return true;
    if (!make_slots(r, 2 * r->slot_count))
        return false;
    for (int i = 0; i < r->keys.count; i++)
        r->slots[slot_of(r, key_at(r, i)->id)] = i;
    return true;
}

static void add_key(struct ring *r, const struct statement *s)
{
    struct ring_key k = {.role = s->of_role, .begun = s->number};
    memcpy(k.id, s->of_key, sizeof k.id);
    memcpy(k.person, s->person, sizeof k.person);
    memcpy(k.public_key, s->of_public, sizeof k.public_key);
    if (s->of_role == SIGNS_PRECEPTOR && !r->has_founder) {
        k.standing = TRUST_SELF;
        r->has_founder = true;
    }
    if (s->of_role == SIGNS_COURSE) {
        k.standing = TRUST_COURSE;
        r->course = r->keys.count;
    }
    r->slots[slot_of(r, k.id)] = r->keys.count;
    insert(&r->keys, r->keys.count, &k);
}

static void add_witnessed(struct ring *r, const struct statement *s)
{
    struct witnessed w = {.sitting = s->sitting};
    if (s->witness[0] == '\0' || ring_witness(r, s->sitting)[0])
        return;
    memcpy(w.witness, s->witness, sizeof w.witness);
    insert(&r->witnessed, witnessed_place(r, s->sitting), &w);
}

static void add_vouch(struct ring *r, const struct statement *s)
{
    const struct vouch v = {.by = index_of(r, s->key), .of = index_of(r, s->of_key)};
    if (!is_gain(key_at(r, v.of)->standing, TRUST_COURSE))
        return; /* nothing is above the course: another vouch can never matter */
    insert(&r->vouches, r->vouches.count, &v);
    settle_standing(r);
}

/* Allowed, signed, and room is made. */
static void apply(struct ring *r, const struct statement *s)
{
    if (s->kind == SAYS_KEY || s->kind == SAYS_COURSE)
        add_key(r, s);
    if (s->kind == SAYS_VOUCH)
        add_vouch(r, s);
    if (s->kind == SAYS_END)
        key_at(r, index_of(r, s->of_key))->ended = s->number;
    if (s->kind == SAYS_RETIRE && strcmp(s->word, "person") == 0)
        insert(&r->retired, r->retired.count, s->of);
    if (s->kind == SAYS_SEAL || s->kind == SAYS_STOP)
        add_witnessed(r, s);
    r->last = s->number;
}

static enum status wrong(const struct statement *s, struct err *e, const char *why)
{
    return err_set(e, ST_CORRUPT, "Statement %lld (%s, signed by %s) is not in order: %s",
                   (long long)s->number, STATEMENTS[s->kind].word, s->person, why);
}

/* Its signer as it names her: the same person and role that the key has. The key's own beginning brings its
 * own. */
static const unsigned char *signer_of(const struct ring *r, const struct statement *s)
{
    if (s->kind == SAYS_KEY || s->kind == SAYS_COURSE)
        return s->of_public;
    const struct ring_key *k = ring_find(r, s->key);
    return k && k->role == s->role && strcmp(k->person, s->person) == 0 ? k->public_key : NULL;
}

enum status ring_take(struct ring *r, const struct statement *s, const char *text, size_t len,
                      const unsigned char signature[TRUST_SIGNATURE_BYTES], struct err *e)
{
    struct err why = {.code = ST_OK};
    if (strcmp(s->store, r->store) != 0)
        return wrong(s, e, "it was made in another store.");
    if (s->number <= r->last)
        return wrong(s, e, "its number is not above the one before.");
    if (ring_may(r, s, &why) != ST_OK)
        return wrong(s, e, why.text);
    const unsigned char *public_key = signer_of(r, s);
    if (!public_key)
        return wrong(s, e, "its key belongs to another person or role.");
    if (!trust_signed_by(public_key, text, len, signature))
        return wrong(s, e, "its signature is not that of its key over its text.");
    if (!make_room(r))
        return no_memory(e);
    apply(r, s);
    return ST_OK;
}
