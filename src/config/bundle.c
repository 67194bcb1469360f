/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "config/bundle.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "stillarm/text.h"

/* More than the largest protocol can need: three schemes, one [says] a key, the base. */
#define ADDED_CAP (64 * 1024)

/* A value that begins with a semicolon must not stand behind a blank: it would be read as a comment. */
static void add_line(struct text *t, const char *name, const char *value)
{
    text_addf(t, "%s =%s%s\n", name, *value == ';' ? "" : " ", value);
}

static void add_bare(struct text *t, int key, int32_t value)
{
    if (PROTOCOL_KEYS[key].words)
        text_add(t, PROTOCOL_KEYS[key].words[value]);
    else
        text_addf(t, "%d", (int)value);
}

static void add_key(struct text *t, const char *name, int key, int32_t value)
{
    text_addf(t, "%s = ", name);
    add_bare(t, key, value);
    text_add(t, "\n");
}

static void add_origin(struct text *t, const struct origin *o)
{
    add_line(t, "source", o->source);
    add_line(t, "status", STANDING_WORDS[o->standing]);
}

/* from: the lowest value that fits, below: the first that no longer does; CATEGORY_NO_BOUND for none. */
static void add_range(struct text *t, const char *name, int32_t from, int32_t below)
{
    if (from == CATEGORY_NO_BOUND && below == CATEGORY_NO_BOUND)
        text_addf(t, "%s = -\n", name);
    else if (from == CATEGORY_NO_BOUND)
        text_addf(t, "%s = below %d\n", name, (int)below);
    else if (below == CATEGORY_NO_BOUND)
        text_addf(t, "%s = %d or more\n", name, (int)from);
    else
        text_addf(t, "%s = %d to %d\n", name, (int)from, (int)below - 1);
}

static int32_t band_from(const struct category_band *b, int side)
{
    return side == 0 ? b->systolic_from_mmhg : b->diastolic_from_mmhg;
}

/* A band reaches up to where the next one with this side begins. */
static void add_band_range(struct text *t, const struct category_scheme *c, int band, int side)
{
    int32_t from = band_from(&c->bands[band], side), below = CATEGORY_NO_BOUND;
    for (int i = band + 1; i < c->band_count && below == CATEGORY_NO_BOUND; i++)
        below = band_from(&c->bands[i], side);
    if (band == 0)
        from = CATEGORY_NO_BOUND; /* written as below a number, or as - where the side is not used */
    add_range(t, side == 0 ? "systolic" : "diastolic", from, from == CATEGORY_NO_BOUND && band > 0 ? from : below);
}

static void add_scheme(struct text *t, const struct category_scheme *c)
{
    text_addf(t, "\n[categories]\nid = %s\n", c->id);
    add_line(t, "title", c->title);
    add_origin(t, &c->bands[0].origin);
    for (int i = 0; i < c->band_count; i++) {
        text_addf(t, "\n[band %s]\n", c->bands[i].id);
        add_line(t, "say", c->bands[i].say);
        add_band_range(t, c, i, 0);
        add_band_range(t, c, i, 1);
        add_origin(t, &c->bands[i].origin);
    }
    for (int i = 0; i < c->flag_count; i++) {
        const struct category_flag *flag = &c->flags[i];
        text_addf(t, "\n[flag %s]\n", flag->id);
        add_line(t, "say", flag->say);
        add_range(t, "systolic", flag->systolic_from_mmhg, flag->systolic_below_mmhg);
        add_range(t, "diastolic", flag->diastolic_from_mmhg, flag->diastolic_below_mmhg);
        text_addf(t, "when = %s\n", flag->is_either ? "either" : "both");
        if (flag->replaces >= 0)
            text_addf(t, "replaces = %s\n", c->bands[flag->replaces].id);
        add_origin(t, &flag->origin);
    }
}

/* An end at the key's own bound is no limit, and stays none should the bound ever move. */
static void add_says(struct text *t, const struct protocol *p, int key)
{
    const struct says *says = &p->says[key];
    const struct protocol_key_row *row = &PROTOCOL_KEYS[key];
    text_addf(t, "\n[says %s %s]\n", row->name, p->origin[key].source);
    if (says->low == says->high) {
        add_key(t, "value", key, says->low);
        return;
    }
    if (says->low > row->low || says->high == row->high)
        add_key(t, "low", key, says->low);
    if (says->high < row->high)
        add_key(t, "high", key, says->high);
}

static void add_published(struct text *t, const struct protocol *p, int key)
{
    const struct protocol_key_row *row = &PROTOCOL_KEYS[key];
    text_addf(t, "\n[published %s]\nranges = ", row->name);
    for (int i = 0; i < p->published[key].count; i++) {
        const int32_t low = p->published[key].ranges[i].low, high = p->published[key].ranges[i].high;
        text_add(t, i > 0 ? ", " : "");
        if (low == high || low > row->low)
            add_bare(t, key, low);
        else
            text_add(t, "-");
        if (low == high)
            continue;
        text_add(t, " to ");
        if (high < row->high)
            add_bare(t, key, high);
        else
            text_add(t, "-");
    }
    text_add(t, "\n");
}

static void add_base_item(struct text *t, const struct protocol *p, int item)
{
    text_addf(t, "\n[base-item %s]\n", p->items[item].id);
    add_line(t, "say", p->base_items[item].say);
}

/* One of many lines of a list. */
static void add_to_list(struct text *t, const char *name, bool *is_begun, const char *id)
{
    if (!*is_begun)
        text_addf(t, "%s = %s\n", name, id);
    else
        text_addf(t, "  %s\n", id);
    *is_begun = true;
}

/* Rules or items of one kind, as a list; false where there is none. */
static bool add_rules(struct text *t, const char *name, const bool is_in[RULE_COUNT])
{
    bool is_begun = false;
    for (int i = 0; i < RULE_COUNT; i++)
        if (is_in[i])
            add_to_list(t, name, &is_begun, rule_id((enum rule)i));
    return is_begun;
}

static void add_items(struct text *t, const char *name, const struct protocol *p, bool (*is_in)(const struct base_item *))
{
    bool is_begun = false;
    for (int i = 0; i < p->item_count; i++)
        if (is_in(&p->base_items[i]))
            add_to_list(t, name, &is_begun, p->items[i].id);
}

static bool is_firm(const struct base_item *b)
{
    return b->is_firm;
}

static bool is_quiet(const struct base_item *b)
{
    return b->is_quiet;
}

static bool is_critical(const struct base_item *b)
{
    return b->is_critical;
}

static void add_base_lists(struct text *t, const struct protocol *p)
{
    bool has_schemes = false;
    for (int i = 0; i < p->base_scheme_count; i++)
        add_to_list(t, "categories", &has_schemes, p->base_schemes[i]);
    if (p->has_base_schemes && !has_schemes)
        add_to_list(t, "categories", &has_schemes, "-");
    (void)add_rules(t, "firm_rules", p->is_base_firm);
    add_items(t, "firm_items", p, is_firm);
    add_items(t, "quiet_items", p, is_quiet);
    if (p->has_base_critical && !add_rules(t, "critical_rules", p->is_base_critical))
        text_add(t, "critical_rules = -\n");
    add_items(t, "critical_items", p, is_critical);
}

static void add_base(struct text *t, const struct protocol *p)
{
    text_addf(t, "\n[base %s]\n", p->copied_from);
    for (int i = 0; i < KEY_COUNT; i++)
        add_key(t, PROTOCOL_KEYS[i].name, i, p->base_value[i]);
    bool is_begun = false;
    for (int i = 0; i < p->left_out_count; i++)
        add_to_list(t, "left_out", &is_begun, p->left_out[i]);
    add_base_lists(t, p);
    for (int i = 0; i < p->item_count; i++)
        if (p->base_items[i].say[0] != '\0')
            add_base_item(t, p, i);
}

char *bundle_text(const char *text, const struct protocol *p, const struct protocol_notes *notes)
{
    size_t len = strlen(text), cap = len + ADDED_CAP;
    char *whole = malloc(cap);
    struct text t;
    if (!whole)
        return NULL;
    text_init(&t, whole, cap);
    text_add(&t, text);
    if (len > 0 && text[len - 1] != '\n')
        text_add(&t, "\n");
    for (int i = 0; i < p->scheme_count; i++)
        if (!notes->has_scheme[i])
            add_scheme(&t, &p->schemes[i]);
    for (int i = 0; i < KEY_COUNT; i++)
        if (p->says[i].is_known && !notes->has_says[i])
            add_says(&t, p, i);
    for (int i = 0; i < KEY_COUNT; i++)
        if (p->published[i].count > 0 && !notes->has_published[i])
            add_published(&t, p, i);
    if (p->has_base && !notes->has_base)
        add_base(&t, p);
    char *fitted = t.is_cut ? NULL : realloc(whole, t.len + 1);
    if (!fitted)
        free(whole);
    return fitted;
}
