/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Where a protocol goes its own way, each place in words. */
#include <string.h>

#include "stillarm/protocol.h"
#include "stillarm/text.h"

void published_add(struct published *all, int32_t low, int32_t high)
{
    int at = 0;
    while (at < all->count && all->ranges[at].high < low)
        at++;
    int end = at;
    for (; end < all->count && all->ranges[end].low <= high; end++) {
        low = all->ranges[end].low < low ? all->ranges[end].low : low;
        high = all->ranges[end].high > high ? all->ranges[end].high : high;
    }
    if (at == end && all->count == PUBLISHED_RANGES_MAX) {
        at = at == all->count ? at - 1 : at; /* no room: what lies between the two is let pass, too */
        end = at + 1;
        low = all->ranges[at].low < low ? all->ranges[at].low : low;
        high = all->ranges[at].high > high ? all->ranges[at].high : high;
    }
    memmove(&all->ranges[at + 1], &all->ranges[end], (size_t)(all->count - end) * sizeof all->ranges[0]);
    all->ranges[at].low = low;
    all->ranges[at].high = high;
    all->count += 1 - (end - at);
    for (int i = all->count; i < PUBLISHED_RANGES_MAX; i++) /* equal ones are equal bytes */
        all->ranges[i].low = all->ranges[i].high = 0;
}

/* ---- one kind each: is there one at this place? Its words, too, where a text is given ---- */

static void add_value(struct text *t, enum protocol_key key, int32_t value)
{
    char said[80];
    protocol_say_value(key, value, said, sizeof said);
    text_add(t, said);
}

static void say_key(const struct protocol *p, enum protocol_key key, struct text *t)
{
    char said[160];
    text_addf(t, "%s (%s) is ", PROTOCOL_KEYS[key].meaning, PROTOCOL_KEYS[key].name);
    add_value(t, key, p->value[key]);
    if (protocol_deviates(p, key)) {
        protocol_say_range(key, p->says[key].low, p->says[key].high, said, sizeof said);
        text_addf(t, "; %s says %s", p->origin[key].source, said);
    }
    if (protocol_departs_from_published(p, key)) {
        protocol_say_published(p, key, said, sizeof said);
        text_addf(t, ", our own choice; published: %s", said);
    }
    if (protocol_differs_from_base(p, key)) {
        text_addf(t, "; %s has ", p->copied_from);
        add_value(t, key, p->base_value[key]);
    }
}

static bool of_key(const struct protocol *p, int at, struct text *t)
{
    const enum protocol_key key = (enum protocol_key)at;
    if (!protocol_deviates(p, key) && !protocol_departs_from_published(p, key) && !protocol_differs_from_base(p, key))
        return false;
    if (t)
        say_key(p, key, t);
    return true;
}

static bool of_categories(const struct protocol *p, int at, struct text *t)
{
    bool is_same = p->scheme_count == p->base_scheme_count;
    for (int i = at; is_same && i < p->scheme_count; i++)
        is_same = strcmp(p->schemes[i].id, p->base_schemes[i]) == 0;
    if (!p->has_base_schemes || is_same)
        return false;
    if (!t)
        return true;
    text_add(t, p->scheme_count > 0 ? "categories are " : "no categories");
    for (int i = 0; i < p->scheme_count; i++)
        text_addf(t, "%s%s", i > 0 ? ", " : "", p->schemes[i].id);
    text_addf(t, "; %s has %s", p->copied_from, p->base_scheme_count > 0 ? "" : "none");
    for (int i = 0; i < p->base_scheme_count; i++)
        text_addf(t, "%s%s", i > 0 ? ", " : "", p->base_schemes[i]);
    return true;
}

static bool of_rule(const struct protocol *p, int at, struct text *t)
{
    if (!p->is_waivable[at] || !p->is_base_firm[at])
        return false;
    if (t)
        text_addf(t, "%s may be passed over; not in %s", rule_id((enum rule)at), p->copied_from);
    return true;
}

static void say_critical(struct text *t, const char *id, bool is_critical, const char *base)
{
    text_addf(t, is_critical ? "%s is critical before a witness; not in %s" : "%s is not critical before a witness; in %s it is",
              id, base);
}

static bool of_critical_rule(const struct protocol *p, int at, struct text *t)
{
    if (!p->has_base_critical || p->is_critical[at] == p->is_base_critical[at])
        return false;
    if (t)
        say_critical(t, rule_id((enum rule)at), p->is_critical[at], p->copied_from);
    return true;
}

static bool of_critical_item(const struct protocol *p, int at, struct text *t)
{
    if (!p->has_base_critical || at >= p->item_count || p->items[at].is_critical == p->base_items[at].is_critical)
        return false;
    if (t) {
        text_add(t, "item ");
        say_critical(t, p->items[at].id, p->items[at].is_critical, p->copied_from);
    }
    return true;
}

static bool of_item_passed_over(const struct protocol *p, int at, struct text *t)
{
    if (at >= p->item_count || !p->items[at].is_waivable || !p->base_items[at].is_firm)
        return false;
    if (t)
        text_addf(t, "item %s may be passed over; not in %s", p->items[at].id, p->copied_from);
    return true;
}

static bool of_item_aloud(const struct protocol *p, int at, struct text *t)
{
    if (at >= p->item_count || p->items[at].is_quiet || !p->base_items[at].is_quiet)
        return false;
    if (t)
        text_addf(t, "item %s is not asked quietly; in %s it is", p->items[at].id, p->copied_from);
    return true;
}

#define QUOTE_CAP 44

/* From here on, shortened; a long beginning that both share tells nothing. */
static void add_quote(struct text *t, const char *say, size_t from)
{
    char part[QUOTE_CAP];
    const bool is_cut = !text_copy(part, sizeof part, say + from);
    text_addf(t, "\"%s%s%s\"", from > 0 ? "..." : "", part, is_cut ? "..." : "");
}

static bool of_item_words(const struct protocol *p, int at, struct text *t)
{
    if (at >= p->item_count || p->base_items[at].say[0] == '\0')
        return false;
    if (!t)
        return true;
    const char *own = p->items[at].say, *base = p->base_items[at].say;
    size_t from = 0;
    for (size_t i = 0; own[i] != '\0' && own[i] == base[i]; i++)
        if (own[i] == ' ' && i >= QUOTE_CAP / 2)
            from = i + 1;
    text_addf(t, "item %s says ", p->items[at].id);
    add_quote(t, own, from);
    text_addf(t, "; %s says ", p->copied_from);
    add_quote(t, base, from);
    return true;
}

static bool of_item_left_out(const struct protocol *p, int at, struct text *t)
{
    if (at >= p->left_out_count)
        return false;
    if (t)
        text_addf(t, "leaves out %s of %s", p->left_out[at], p->copied_from);
    return true;
}

/* ---- all ---- */

static const struct {
    int places;
    bool (*say)(const struct protocol *p, int at, struct text *t);
} KINDS[] = {
    {KEY_COUNT, of_key},
    {1, of_categories},
    {RULE_COUNT, of_rule},
    {RULE_COUNT, of_critical_rule},
    {PROTOCOL_ITEMS_MAX, of_item_passed_over},
    {PROTOCOL_ITEMS_MAX, of_item_aloud},
    {PROTOCOL_ITEMS_MAX, of_critical_item},
    {PROTOCOL_ITEMS_MAX, of_item_words},
    {PROTOCOL_LEFT_OUT_MAX, of_item_left_out},
};

int protocol_deviations(const struct protocol *p)
{
    int n = 0;
    for (size_t kind = 0; kind < ARRAY_LEN(KINDS); kind++)
        for (int at = 0; at < KINDS[kind].places; at++)
            n += KINDS[kind].say(p, at, NULL);
    return n;
}

bool protocol_say_deviation(const struct protocol *p, int nth, char *out, size_t cap)
{
    struct text t;
    if (nth < 0)
        return false;
    text_init(&t, out, cap);
    for (size_t kind = 0; kind < ARRAY_LEN(KINDS); kind++)
        for (int at = 0; at < KINDS[kind].places; at++)
            if (KINDS[kind].say(p, at, NULL) && nth-- == 0)
                return KINDS[kind].say(p, at, &t);
    return false;
}
