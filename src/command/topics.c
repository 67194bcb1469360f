/* SPDX-License-Identifier: GPL-3.0-or-later */
/** @file topics.c  Collects the ids from the engine's tables and the loaded files; finds near ones; says ranges. */
#include "command/topics.h"

#include <stdlib.h>
#include <string.h>
#include <strings.h>

#include "command/command.h"
#include "stillarm/text.h"

_Static_assert((int)TOPIC_REFUSAL == (int)GROUND_REFUSAL && (int)TOPIC_VOID == (int)GROUND_VOID &&
                   (int)TOPIC_READING_REMARK == (int)GROUND_READING_REMARK &&
                   (int)TOPIC_SITTING_REMARK == (int)GROUND_SITTING_REMARK,
               "the engine's answers come first, in the order of their kinds");

const char *const TOPIC_HEADINGS[TOPIC_KIND_COUNT] = {
    [TOPIC_REFUSAL] = "Refusals",
    [TOPIC_VOID] = "Why a reading does not count",
    [TOPIC_READING_REMARK] = "Remarks on a reading",
    [TOPIC_SITTING_REMARK] = "Remarks on a sitting",
    [TOPIC_KEY] = "Numbers and choices of a protocol",
    [TOPIC_ITEM] = "Items that are looked at or asked",
    [TOPIC_SCHEME] = "Category schemes",
    [TOPIC_BAND] = "Category bands",
    [TOPIC_SOURCE] = "Sources",
};

/* ---- collecting ---- */

static bool has(const struct topics *l, enum topic_kind kind, const char *id)
{
    for (int i = 0; i < l->count; i++) {
        if (l->list[i].kind == kind && strcmp(l->list[i].id, id) == 0)
            return true;
    }
    return false;
}

static bool add(struct topics *l, enum topic_kind kind, const char *id, const char *brief)
{
    if (has(l, kind, id))
        return true;
    if (l->count == l->cap) {
        int cap = l->cap ? 2 * l->cap : 512;
        struct topic *list = realloc(l->list, (size_t)cap * sizeof *list);
        if (!list)
            return false;
        l->list = list;
        l->cap = cap;
    }
    l->list[l->count++] = (struct topic){ .kind = kind, .id = id, .brief = brief };
    return true;
}

/* Those of category files first, then what protocols carry in their own text. */
const struct category_scheme *topic_scheme(const struct protocols *ps, int nth)
{
    if (nth < ps->scheme_count)
        return &ps->schemes[nth];
    nth -= ps->scheme_count;
    for (int i = 0; i < ps->count; i++) {
        for (int k = 0; k < ps->list[i]->scheme_count; k++) {
            const struct category_scheme *c = &ps->list[i]->schemes[k];
            if (!protocols_scheme(ps, c->id) && nth-- == 0)
                return c;
        }
    }
    return NULL;
}

static bool add_items(const struct protocols *ps, struct topics *l)
{
    bool fits = true;
    for (int i = 0; i < ps->count; i++)
        for (int k = 0; k < ps->list[i]->item_count; k++)
            fits = fits && add(l, TOPIC_ITEM, ps->list[i]->items[k].id, ps->list[i]->items[k].say);
    return fits;
}

static bool add_schemes(const struct protocols *ps, struct topics *l)
{
    const struct category_scheme *c;
    bool fits = true;
    for (int i = 0; (c = topic_scheme(ps, i)) != NULL; i++) {
        fits = fits && add(l, TOPIC_SCHEME, c->id, c->title);
        for (int k = 0; k < c->band_count; k++)
            fits = fits && add(l, TOPIC_BAND, c->bands[k].id, c->bands[k].say);
        for (int k = 0; k < c->flag_count; k++)
            fits = fits && add(l, TOPIC_BAND, c->flags[k].id, c->flags[k].say);
    }
    return fits;
}

static int by_kind(const void *a, const void *b)
{
    const struct topic *x = a, *y = b;
    if (x->kind != y->kind)
        return x->kind < y->kind ? -1 : 1;
    return strcmp(x->id, y->id);
}

enum status topics_collect(const struct protocols *ps, struct topics *out, struct err *e)
{
    const struct ground *g;
    bool fits = true;
    *out = (struct topics){ .list = NULL };
    for (int n = 0; fits && (g = ground_at(n)) != NULL; n++)
        fits = add(out, (enum topic_kind)g->kind, g->id, g->says);
    for (int k = 0; fits && k < KEY_COUNT; k++)
        fits = add(out, TOPIC_KEY, PROTOCOL_KEYS[k].name, PROTOCOL_KEYS[k].meaning);
    int sorted_from = out->count; /* what the program knows has an order of its own, what files hold has none */
    fits = fits && add_items(ps, out) && add_schemes(ps, out);
    for (int i = 0; fits && i < ps->source_count; i++)
        fits = add(out, TOPIC_SOURCE, ps->sources[i].id, ps->sources[i].title);
    if (fits) {
        qsort(out->list + sorted_from, (size_t)(out->count - sorted_from), sizeof out->list[0], by_kind);
        return ST_OK;
    }
    free(out->list);
    *out = (struct topics){ .list = NULL };
    return err_set(e, ST_NO_MEMORY, "There is not enough memory to list the ids.");
}

/* ---- finding ---- */

bool topic_is(const struct topic *k, const char *typed)
{
    return k->kind == TOPIC_SOURCE ? strcasecmp(k->id, typed) == 0 : strcmp(k->id, typed) == 0;
}

/* The smaller the nearer: letters wrong; a part of an id is nearer than a slip. */
static int distance_of(const char *id, const char *typed)
{
    size_t length = strlen(typed);
    if (length >= 3 && strstr(id, typed))
        return 0;
    return command_edits(typed, id);
}

int topics_near(const struct topics *all, const char *typed, const char **out, int cap)
{
    size_t length = strlen(typed);
    int best[8], count = 0, limit = 2 + (int)(length < 16 ? length : 16) / 4; /* more letters wrong is another word */
    if (cap > (int)ARRAY_LEN(best))
        cap = (int)ARRAY_LEN(best);
    for (int i = 0; i < all->count; i++) {
        int distance = distance_of(all->list[i].id, typed), at = count;
        if (distance > limit || (i > 0 && strcmp(all->list[i].id, all->list[i - 1].id) == 0))
            continue;
        while (at > 0 && best[at - 1] > distance)
            at--;
        if (at >= cap)
            continue;
        for (int k = count < cap ? count : cap - 1; k > at; k--) {
            best[k] = best[k - 1];
            out[k] = out[k - 1];
        }
        best[at] = distance;
        out[at] = all->list[i].id;
        count += count < cap;
    }
    return count;
}

/* ---- words ---- */

const char *topic_seen_words(const char *seen)
{
    static const struct {
        const char *word, *says;
    } ROWS[] = { { "seen", "read in the source itself" },
                 { "seen2", "read in a page that reports it" },
                 { "calc", "computed from a definition, table or open data" },
                 { "memory", "from memory, not confirmed" } };
    for (size_t i = 0; i < ARRAY_LEN(ROWS); i++) {
        if (strcmp(ROWS[i].word, seen) == 0)
            return ROWS[i].says;
    }
    return seen;
}

/* below: the first value that lies past it; CATEGORY_NO_BOUND where nothing does. */
static void say_bounds(int32_t from, int32_t below, char *out, size_t cap)
{
    if (from == CATEGORY_NO_BOUND && below == CATEGORY_NO_BOUND)
        snprintf(out, cap, "-");
    else if (from <= 0)
        snprintf(out, cap, below == CATEGORY_NO_BOUND ? "any" : "below %d", (int)below);
    else if (below == CATEGORY_NO_BOUND)
        snprintf(out, cap, "%d or more", (int)from);
    else
        snprintf(out, cap, "%d to %d", (int)from, (int)below - 1);
}

void topic_say_band(const struct category_scheme *c, int band, bool is_systolic, char *out, size_t cap)
{
    const struct category_band *b = &c->bands[band];
    int32_t from = is_systolic ? b->systolic_from_mmhg : b->diastolic_from_mmhg, below = CATEGORY_NO_BOUND;
    if (from == CATEGORY_NO_BOUND) {
        snprintf(out, cap, "-");
        return;
    }
    for (int i = band + 1; i < c->band_count && below == CATEGORY_NO_BOUND; i++)
        below = is_systolic ? c->bands[i].systolic_from_mmhg : c->bands[i].diastolic_from_mmhg;
    say_bounds(from, below, out, cap);
}

void topic_say_flag(const struct category_flag *f, bool is_systolic, char *out, size_t cap)
{
    if (is_systolic)
        say_bounds(f->systolic_from_mmhg, f->systolic_below_mmhg, out, cap);
    else
        say_bounds(f->diastolic_from_mmhg, f->diastolic_below_mmhg, out, cap);
}

/* Alike in value and in who says so, what they were copied from included. */
static bool shares(const struct protocol *a, const struct protocol *b, enum protocol_key key)
{
    char of_a[SOURCE_SAID_CAP], of_b[SOURCE_SAID_CAP];
    protocol_say_source(a, key, of_a, sizeof of_a);
    protocol_say_source(b, key, of_b, sizeof of_b);
    return a->value[key] == b->value[key] && strcmp(of_a, of_b) == 0;
}

int topic_sharers(const struct protocols *ps, enum protocol_key key, int first, char *out, size_t cap)
{
    struct text t;
    int count = 0;
    text_init(&t, out, cap);
    for (int i = 0; i < ps->count; i++) {
        if (!shares(ps->list[i], ps->list[first], key))
            continue;
        if (i < first)
            return 0;
        text_addf(&t, "%s%s", t.len ? ", " : "", ps->list[i]->id);
        count++;
    }
    return count;
}

const char *topic_hearsay(const struct protocols *ps, const char *source)
{
    const struct source *s = protocols_source(ps, source);
    return s && strcmp(s->seen, "memory") == 0 ? ", from memory" : "";
}
