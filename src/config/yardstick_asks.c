/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "config/yardstick_asks.h"

#include <string.h>

#include "config/yardstick_subject.h"
#include "stillarm/text.h"

enum { ASK_VALUE, ASK_AT_LEAST, ASK_AT_MOST, ASK_FIELDS };

static const struct field_row FIELDS[FIELDS_MAX] = {
    [ASK_VALUE] = {"value", false, 0},
    [ASK_AT_LEAST] = {"at-least", false, 0},
    [ASK_AT_MOST] = {"at-most", false, 0},
};

struct list {
    struct fields fields;
    const struct known *known;
    struct ask *all, latest;
    struct bounds bounds; /* of the latest */
    int first, count;     /* first: of this file */
    bool is_open;
};

static bool find_subject(struct list *l, const char *word)
{
    struct criterion c = {.about = ABOUT_RECORD};
    const enum plan_part part = plan_part_named(word);
    l->latest.is_number = part != PLAN_NONE;
    if (part != PLAN_NONE)
        l->bounds = PLAN_PARTS[part].bounds;
    else if (find_about(word, &c))
        l->bounds = unit_row_of(&c)->bounds;
    else
        return false;
    l->latest.has_bound = part != PLAN_NONE || c.about != ABOUT_REACHED;
    return text_copy(l->latest.subject, sizeof l->latest.subject, word);
}

static bool open_ask(struct list *l, int line, const char *names)
{
    char words[128], *at = words;
    memset(&l->latest, 0, sizeof l->latest);
    (void)text_copy(words, sizeof words, names);
    const bool is_subject = find_subject(l, next_word(&at));
    const char *source = next_word(&at);
    if (!is_subject) {
        UNSOUND(&l->fields, line, ST_NOT_FOUND, "nothing of this name can be judged; docs/yardstick-files.md lists what can.");
        return false;
    }
    if (!is_item(source) || *at || !text_copy(l->latest.source, sizeof l->latest.source, source)) {
        UNSOUND(&l->fields, line, ST_SYNTAX, "this section is [asks SUBJECT SOURCE].");
        return false;
    }
    (void)fields_source(&l->fields, l->known, line, source);
    return true;
}

static const struct ask *find(const struct ask *all, int count, const char *subject, const char *source)
{
    for (int i = 0; i < count; i++)
        if (strcmp(all[i].subject, subject) == 0 && strcmp(all[i].source, source) == 0)
            return &all[i];
    return NULL;
}

/* A copy of the program's own list repeats its rows; none may change one. */
static void keep(struct list *l)
{
    const struct ask *twin = find(l->all, l->count, l->latest.subject, l->latest.source);
    const int line = l->fields.section_line;
    if (twin && (twin - l->all >= l->first || twin->bound != l->latest.bound || twin->is_at_most != l->latest.is_at_most))
        UNSOUND(&l->fields, line, ST_EXISTS, "what %s publishes for %s is known already.", twin->source, twin->subject);
    else if (!twin && l->count == ASKS_MAX)
        UNSOUND(&l->fields, line, ST_FULL, "there are more than %d of these sections.", ASKS_MAX);
    else if (!twin)
        l->all[l->count++] = l->latest;
}

static void close_ask(struct list *l)
{
    struct fields *f = &l->fields;
    int field = -1, given = 0;
    if (!l->is_open)
        return;
    l->is_open = false;
    for (int i = 0; i < ASK_FIELDS; i++)
        if (f->line[i]) {
            field = i;
            given++;
        }
    if (given != (l->latest.has_bound ? 1 : 0) || (given == 1 && (field == ASK_VALUE) != l->latest.is_number)) {
        UNSOUND(f, f->section_line, ST_SYNTAX,
                "a number of the learning curve has a value here, a criterion at-least or at-most, and reached none of them.");
        return;
    }
    l->latest.is_at_most = field == ASK_AT_MOST;
    if (given == 0 || yardstick_number(f, field, &l->bounds, &l->latest.bound))
        keep(l);
}

static void on_section(void *user, int line, const char *name)
{
    struct list *l = user;
    const char *names = behind(name, "asks");
    close_ask(l);
    fields_open(&l->fields, FIELDS, line);
    if (names)
        l->is_open = open_ask(l, line, names);
    else
        UNSOUND(&l->fields, line, ST_NOT_FOUND, "a section of this file is [asks SUBJECT SOURCE].");
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
    close_ask(user);
}

void asks_parse(const char *text, const struct known *known, struct ask list[ASKS_MAX], int *count, struct faults *f)
{
    struct list l = {.fields = {.faults = f}, .known = known, .all = list, .first = *count, .count = *count};
    const struct ini_reader reader = {.user = &l, .section = on_section, .value = on_value, .end = on_end};
    ini_read(text, &reader, f);
    *count = l.count;
}

const struct ask *asks_find(const struct known *known, const char *subject, const char *source)
{
    return find(known->asks, known->ask_count, subject, source);
}

void ask_say(const struct ask *a, char *out, size_t cap)
{
    struct text t;
    text_init(&t, out, cap);
    if (!a->has_bound)
        return;
    text_add(&t, a->is_number ? "" : a->is_at_most ? "at most " : "at least ");
    say_millionths(a->bound, &t);
}
