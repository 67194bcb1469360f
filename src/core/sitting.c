/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "stillarm/sitting.h"

#include <string.h>

#include "core/engine.h"
#include "stillarm/text.h"

void sitting_init(struct sitting *s)
{
    memset(s, 0, sizeof *s); /* padding too: states are compared byte for byte */
    s->wrapped = -1;
}

static void fill_refusal(struct refusal *why, enum rule rule, const struct question *q)
{
    const struct rule_row *row = rule_row(rule);
    memset(why, 0, sizeof *why);
    why->rule = rule;
    text_copy(why->have, sizeof why->have, q->have);
    text_copy(why->need, sizeof why->need, q->need);
    text_copy(why->sentence, sizeof why->sentence, row->ground.says);
    text_copy(why->remedy, sizeof why->remedy, row->remedy);
    struct ground ground = row->ground;
    ground.key = q->key ? q->key : ground.key;
    const struct origin origin = ground_origin(&ground, q->p);
    text_copy(why->source, sizeof why->source, origin.source);
    why->standing = origin.standing;
    why->key = q->key;
}

/* The words are written by who objects, so they are not cleared each time. */
static void begin_question(struct question *q, const struct sitting *s, const struct protocol *p, const struct event *ev)
{
    q->s = s;
    q->p = p;
    q->ev = ev;
    q->kind = kind_row(ev->kind);
    q->have[0] = q->need[0] = '\0';
    q->item = p && is_on_item(ev) ? protocol_find_item(p, ev->item) : -1;
    q->key = 0;
}

bool sitting_would_accept(const struct sitting *s, const struct protocol *p, const struct event *ev,
                          struct refusal *why)
{
    struct question q;
    begin_question(&q, s, p, ev);
    const enum rule rule = rules_ask(&q);
    if (rule != RULE_NONE && why)
        fill_refusal(why, rule, &q);
    return rule == RULE_NONE;
}

static void apply_accepted(struct sitting *s, const struct protocol *p, const struct event *ev)
{
    s->now_ms = ev->t_ms;
    kind_row(ev->kind)->apply(s, p, ev);
    s->given[ev->kind]++;
}

static void apply_seen(struct sitting *s, const struct protocol *p, const struct event *ev)
{
    struct question q;
    struct look look;
    begin_question(&q, s, p, ev);
    witness_look(&q, &look);
    apply_accepted(s, p, ev);
    witness_note(s, p, ev, &look);
}

bool sitting_apply(struct sitting *s, const struct protocol *p, const struct event *ev, struct refusal *why)
{
    if (!sitting_would_accept(s, p, ev, why))
        return false;
    if (sitting_is_witnessed(s)) {
        apply_seen(s, p, ev);
        return true;
    }
    apply_accepted(s, p, ev);
    return true;
}

bool sitting_is_witnessed(const struct sitting *s)
{
    return s->purpose == PURPOSE_ASSESSMENT && s->witness[0] != '\0';
}

bool sitting_assess(const struct sitting *s, const struct protocol *p, struct assessment *out)
{
    if (!sitting_is_witnessed(s) || s->phase != PHASE_SEALED)
        return false;
    *out = (struct assessment){.lapses = s->lapse_count - s->struck_count, .critical = s->critical_count};
    for (int i = 0; i < p->item_count; i++)
        out->unseen += s->items[i] == ITEM_UNSEEN;
    out->has_passed = out->critical == 0 && out->lapses <= p->value[KEY_LAPSES_MAX] &&
                      out->unseen <= p->value[KEY_UNSEEN_MAX];
    return true;
}

bool sitting_equal(const struct sitting *a, const struct sitting *b)
{
    return memcmp(a, b, sizeof *a) == 0;
}

bool sitting_is_sealable(const struct sitting *s, const struct protocol *p, int64_t now_ms)
{
    const struct event seal = {.t_ms = now_ms > s->now_ms ? now_ms : s->now_ms, .kind = EV_SEAL};
    return p && s->phase == PHASE_OPEN && sitting_would_accept(s, p, &seal, NULL);
}

bool sitting_rest_is_good(const struct sitting *s, const struct protocol *p, int64_t now_ms)
{
    if (s->rest != REST_ENDED || s->rest_ended_ms - s->rest_began_ms < protocol_ms(p, KEY_REST_S))
        return false; /* cut short it was no rest, also where a witness only noted that */
    if (s->inflation != INFLATION_NONE)
        return true; /* it was good when the squeeze began; its age is asked again at the next one */
    int64_t from = s->rest_ended_ms;
    if (s->has_emptied && s->last_empty_ms > from)
        from = s->last_empty_ms;
    return now_ms - from <= protocol_ms(p, KEY_REST_VALID_S);
}

int64_t sitting_inflate_from_ms(const struct sitting *s, const struct protocol *p, enum inflation_phase kind)
{
    int64_t from = 0;
    if (kind == INFLATION_LISTEN && s->has_settle[s->arm])
        from = s->palpate_empty_ms[s->arm] + protocol_ms(p, KEY_SETTLE_S);
    if (s->has_listened[s->arm]) {
        const int64_t next = s->listen_empty_ms[s->arm] + protocol_ms(p, KEY_INTERVAL_MIN_S);
        if (next > from)
            from = next;
    }
    return from;
}

bool sitting_next_wake(const struct sitting *s, const struct protocol *p, int64_t now_ms, int64_t *wake_ms)
{
    if (!p || s->phase != PHASE_OPEN)
        return false;
    const struct reading *r = reading_latest_const(s);
    const int64_t rest_from = s->has_emptied && s->last_empty_ms > s->rest_ended_ms ? s->last_empty_ms : s->rest_ended_ms;
    const struct {
        bool is_due;
        int64_t at_ms;
    } dues[] = {
        {s->rest == REST_RUNNING, s->rest_began_ms + protocol_ms(p, KEY_REST_S)},
        {s->rest == REST_ENDED && s->inflation == INFLATION_NONE, rest_from + protocol_ms(p, KEY_REST_VALID_S) + 1},
        {s->inflation == INFLATION_NONE, sitting_inflate_from_ms(s, p, INFLATION_PALPATE)},
        {s->inflation == INFLATION_NONE, sitting_inflate_from_ms(s, p, INFLATION_LISTEN)},
        {s->inflation == INFLATION_NONE, sitting_standing_from_ms(s, p)},
        {r && r->is_empty && s->inflation == INFLATION_NONE,
         (r ? r->empty_ms : 0) + protocol_ms(p, KEY_INTERVAL_MAX_S) + 1},
        {s->inflation != INFLATION_NONE, s->inflate_ms + protocol_ms(p, KEY_INFLATION_LONG_S) + 1},
    };
    bool has = false;
    for (size_t i = 0; i < ARRAY_LEN(dues); i++) {
        if (dues[i].is_due && dues[i].at_ms > now_ms && (!has || dues[i].at_ms < *wake_ms)) {
            *wake_ms = dues[i].at_ms;
            has = true;
        }
    }
    return has;
}
