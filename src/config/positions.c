/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "config/positions.h"

#include <stdlib.h>
#include <string.h>

#include "config/sources.h"
#include "stillarm/text.h"

enum { SAYS_VALUE, SAYS_LOW, SAYS_HIGH, SAYS_BODY };

static const struct field_row SAYS[FIELDS_MAX] = {
    [SAYS_VALUE] = {"value", false, 0},
    [SAYS_LOW] = {"low", false, 0},
    [SAYS_HIGH] = {"high", false, 0},
    [SAYS_BODY] = {"body", false, (int)sizeof(((struct position *)0)->body) - 1},
};

bool position_open(struct fields *x, const struct known *known, int line, const char *names, struct position *out)
{
    char words[128];
    char *at = words;
    memset(out, 0, sizeof *out);
    fields_open(x, SAYS, line);
    (void)text_copy(words, sizeof words, names);
    int key = key_named(next_word(&at));
    const char *source = next_word(&at);
    if (key < 0) {
        UNSOUND(x, line, ST_NOT_FOUND, "there is no key of this name; docs/protocol-files.md lists them all.");
        return false;
    }
    if (!is_item(source) || *at) {
        UNSOUND(x, line, ST_SYNTAX, "this section is [says KEY SOURCE].");
        return false;
    }
    out->key = key;
    (void)text_copy(out->source, sizeof out->source, source);
    const struct source *s = fields_source(x, known, line, source);
    if (s)
        (void)text_copy(out->body, sizeof out->body, s->body);
    return true;
}

/* A bound that is not given lies as far out as the key goes: `low = 2` alone is two or more. */
static bool read_range(struct fields *x, struct position *out)
{
    const struct protocol_key_row *row = &PROTOCOL_KEYS[out->key];
    out->low = row->low;
    out->high = row->high;
    if (x->line[SAYS_LOW] && !key_read(x, x->line[SAYS_LOW], out->key, x->text[SAYS_LOW], &out->low))
        return false;
    if (x->line[SAYS_HIGH] && !key_read(x, x->line[SAYS_HIGH], out->key, x->text[SAYS_HIGH], &out->high))
        return false;
    if (out->low > out->high)
        UNSOUND(x, fields_where(x, SAYS_LOW), ST_RANGE, "low is above high.");
    return out->low <= out->high;
}

bool position_close(struct fields *x, struct position *out)
{
    bool has_range = x->line[SAYS_LOW] || x->line[SAYS_HIGH];
    if (!fields_are_sound(x))
        return false;
    if ((x->line[SAYS_VALUE] != 0) == has_range) {
        UNSOUND(x, x->section_line, ST_SYNTAX, "this section has either a value, or low and high.");
        return false;
    }
    if (x->text[SAYS_BODY][0] != '\0')
        (void)text_copy(out->body, sizeof out->body, x->text[SAYS_BODY]);
    if (has_range)
        return read_range(x, out);
    if (!key_read(x, x->line[SAYS_VALUE], out->key, x->text[SAYS_VALUE], &out->low))
        return false;
    out->high = out->low;
    return true;
}

const struct position *positions_find(const struct position *list, int count, int key, const char *source)
{
    for (int i = 0; i < count; i++)
        if (list[i].key == key && strcmp(list[i].source, source) == 0)
            return &list[i];
    return NULL;
}

void positions_published(const struct known *known, int key, struct published *out)
{
    memset(out, 0, sizeof *out);
    for (int i = 0; i < known->position_count; i++) {
        const struct position *at = &known->positions[i];
        if (at->key != key) /* first: looking a source up is most of what loading costs */
            continue;
        const struct source *s = sources_find(known->sources, known->source_count, at->source);
        if (s && !source_is_memory(s))
            published_add(out, at->low, at->high);
    }
}

/* ---- the list ---- */

struct list {
    struct fields fields;
    const struct known *known;
    struct position *all;
    struct position latest;
    int count;
    bool is_open;
};

static void close_latest(struct list *l)
{
    if (l->is_open && position_close(&l->fields, &l->latest))
        l->all[l->count++] = l->latest;
    l->is_open = false;
}

static void on_section(void *user, int line, const char *name)
{
    struct list *l = user;
    close_latest(l);
    const char *names = behind(name, "says");
    if (!names)
        UNSOUND(&l->fields, line, ST_NOT_FOUND, "a section of this file is [says KEY SOURCE].");
    else if (l->count == POSITIONS_MAX)
        UNSOUND(&l->fields, line, ST_FULL, "there are more than %d positions.", POSITIONS_MAX);
    else if (position_open(&l->fields, l->known, line, names, &l->latest)) {
        l->is_open = !positions_find(l->all, l->count, l->latest.key, l->latest.source);
        if (!l->is_open)
            UNSOUND(&l->fields, line, ST_EXISTS, "what %s says of this key is there already.", l->latest.source);
    }
}

static void on_value(void *user, int line, const char *name, const char *value, bool is_more)
{
    struct list *l = user;
    if (l->is_open)
        fields_take(&l->fields, line, name, value, is_more);
}

static void on_end(void *user, int line)
{
    (void)line;
    close_latest(user);
}

void positions_parse(const char *text, const struct known *known, struct position **list, int *count, struct faults *f)
{
    struct list l = {.fields = {.faults = f}, .known = known, .all = calloc(POSITIONS_MAX, sizeof *l.all)};
    *list = l.all;
    *count = 0;
    if (!l.all) {
        fault_at(f, 1, "there is no memory left to read it.");
        return;
    }
    const struct ini_reader reader = {.user = &l, .section = on_section, .value = on_value, .end = on_end};
    ini_read(text, &reader, f);
    *count = l.count;
}
