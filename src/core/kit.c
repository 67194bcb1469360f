/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What the events of gauges and cuffs do. */
#include "core/handlers.h"
#include "stillarm/text.h"

int gauge_index(const struct sitting *s, const char *id)
{
    int at = 0;
    while (at < s->gauge_count && strcmp(s->gauges[at].id, id) != 0)
        at++;
    return at;
}

EVENT_HANDLER(take_gauge)
{
    IGNORE(p);
    const int at = gauge_index(s, ev->item);
    if (at != s->gauge_at)
        s->thing_lapse[THING_KIT] = 0;
    s->gauge_at = at;
    if (s->gauge_at == s->gauge_count)
        text_copy(s->gauges[s->gauge_count++].id, ITEM_CAP, ev->item);
    text_copy(s->gauge, sizeof s->gauge, ev->item);
    s->gauge_top_mmhg = (int32_t)ev->value;
    s->gauge_due = (int32_t)ev->value2;
}

EVENT_HANDLER(take_check)
{
    IGNORE(p);
    struct checked_gauge *gauge = &s->gauges[s->gauge_at];
    struct gauge_check *check = is_word(ev, "leak")   ? &gauge->leak
                                : is_word(ev, "zero") ? &gauge->zero
                                                      : &gauge->comparison;
    if (check->is_given && check->date > ev->value2)
        return; /* an older check, told late: the newest decides */
    check->is_given = true;
    check->value = (int32_t)ev->value;
    check->date = (int32_t)ev->value2;
}

int cuff_index(const struct sitting *s, const char *id)
{
    int at = 0;
    while (at < s->cuff_count && strcmp(s->cuffs[at].id, id) != 0)
        at++;
    return at;
}

EVENT_HANDLER(take_cuff)
{
    IGNORE(p);
    const int at = cuff_index(s, ev->item);
    struct cuff *c = &s->cuffs[at];
    if (at == s->cuff_count)
        s->cuff_count++;
    else if (c->low_mm == ev->value && c->high_mm == ev->value2)
        return;
    if (s->wrapped == at)
        s->wrapped = -1;
    text_copy(c->id, sizeof c->id, ev->item);
    c->low_mm = (int32_t)ev->value;
    c->high_mm = (int32_t)ev->value2;
    c->bladder_width_mm = 0; /* another range is another cuff, with a bladder of its own */
    c->bladder_length_mm = 0;
}

EVENT_HANDLER(take_bladder)
{
    IGNORE(p);
    struct cuff *c = &s->cuffs[cuff_index(s, ev->item)];
    c->bladder_width_mm = (int32_t)ev->value;
    c->bladder_length_mm = (int32_t)ev->value2;
}

EVENT_HANDLER(wrap_cuff)
{
    cuff_went_on(s, p, cuff_index(s, ev->item));
    const int index = protocol_find_item(p, "cuff.index");
    if (index >= 0)
        s->items[index] = ITEM_OPEN; /* read off this wrapping, not the one before */
}
