/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "config/base.h"

#include <string.h>

#include "stillarm/text.h"

const char *const BASE_LIST_NAMES[BASE_LISTS] = {"left_out", "categories", "firm_rules", "firm_items", "quiet_items",
                                                 "critical_rules", "critical_items"};

static void take_left_out(struct protocol *p, const char *id)
{
    if (p->left_out_count < PROTOCOL_LEFT_OUT_MAX)
        (void)text_copy(p->left_out[p->left_out_count], ITEM_CAP, id);
    p->left_out_count++;
}

static void take_base_scheme(struct protocol *p, const char *id)
{
    if (p->base_scheme_count < PROTOCOL_SCHEMES_MAX)
        (void)text_copy(p->base_schemes[p->base_scheme_count], ITEM_CAP, id);
    p->base_scheme_count++;
}

static void take_firm_rule(struct protocol *p, const char *id)
{
    p->is_base_firm[rule_named(id)] = rule_named(id) != RULE_NONE;
}

static void take_critical_rule(struct protocol *p, const char *id)
{
    p->is_base_critical[rule_named(id)] = rule_named(id) != RULE_NONE;
}

/* NULL: an item that was taken out of a kept text since is left out of these lists, too. */
static struct base_item *base_item(struct protocol *p, const char *id)
{
    const int at = protocol_find_item(p, id);
    return at >= 0 ? &p->base_items[at] : NULL;
}

static void take_firm_item(struct protocol *p, const char *id)
{
    struct base_item *item = base_item(p, id);
    if (item)
        item->is_firm = true;
}

static void take_quiet_item(struct protocol *p, const char *id)
{
    struct base_item *item = base_item(p, id);
    if (item)
        item->is_quiet = true;
}

static void take_critical_item(struct protocol *p, const char *id)
{
    struct base_item *item = base_item(p, id);
    if (item)
        item->is_critical = true;
}

void base_take(struct protocol *p, enum base_list list, const char *id)
{
    static void (*const TAKE[BASE_LISTS])(struct protocol *, const char *) = {
        take_left_out,   take_base_scheme,   take_firm_rule,    take_firm_item,
        take_quiet_item, take_critical_rule, take_critical_item};
    TAKE[list](p, id);
}

static void set_base_item(const struct protocol_item *own, const struct protocol_item *base, struct base_item *out)
{
    out->is_firm = !base->is_waivable;
    out->is_quiet = base->is_quiet;
    out->is_critical = base->is_critical;
    if (own->origin.standing == STANDING_PUBLISHED && strcmp(own->origin.source, base->origin.source) == 0 &&
        strcmp(own->say, base->say) != 0)
        (void)text_copy(out->say, sizeof out->say, base->say);
}

void protocol_set_base(struct protocol *p, const struct protocol *base)
{
    p->has_base = true;
    memcpy(p->base_value, base->value, sizeof p->base_value);
    p->has_base_schemes = true;
    for (int i = 0; i < base->scheme_count; i++)
        take_base_scheme(p, base->schemes[i].id);
    for (int i = 0; i < RULE_COUNT; i++)
        p->is_base_firm[i] = rule_may_be_waivable((enum rule)i) && !base->is_waivable[i];
    p->has_base_critical = true;
    memcpy(p->is_base_critical, base->is_critical, sizeof p->is_base_critical);
    for (int i = 0; i < base->item_count; i++) {
        const int own = protocol_find_item(p, base->items[i].id);
        if (own >= 0)
            set_base_item(&p->items[own], &base->items[i], &p->base_items[own]);
        else
            take_left_out(p, base->items[i].id);
    }
}
