/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Why an event may be refused, classes 11 and 12: rests that were rested, and waits that were waited. */
#include <string.h>

#include "core/question.h"

enum rule ask_rest_event(struct question *q)
{
    const struct sitting *s = q->s;
    if (strcmp(q->ev->item, "begin") != 0)
        return s->rest == REST_RUNNING ? RULE_NONE
                                       : object_have_need(q, RULE_REST_MISSING, "no rest running", "rest begin");
    if (s->rest == REST_RUNNING)
        return object_have_need(q, RULE_REST_RUNNING, "running", "no rest running");
    return sitting_rest_is_good(s, q->p, q->ev->t_ms) ? object_have_need(q, RULE_REST_DONE, "rested", "no good rest")
                                                      : RULE_NONE;
}

/* Of a rest that began: up to its end, or to this moment while it runs. */
enum rule ask_rest_length(struct question *q)
{
    const struct sitting *s = q->s;
    const int64_t had_ms = (s->rest == REST_RUNNING ? q->ev->t_ms : s->rest_ended_ms) - s->rest_began_ms;
    if ((q->ev->kind == EV_REST && strcmp(q->ev->item, "end") != 0) || had_ms >= protocol_ms(q->p, KEY_REST_S))
        return RULE_NONE;
    say_seconds(q->have, had_ms);
    say_seconds(q->need, protocol_ms(q->p, KEY_REST_S));
    return RULE_REST_SHORT;
}

enum rule ask_rest(struct question *q)
{
    const struct sitting *s = q->s;
    if (s->rest != REST_ENDED)
        return object_have_need(q, RULE_REST_MISSING, s->rest == REST_RUNNING ? "still resting" : "no rest",
                                "a whole rest");
    if (sitting_rest_is_good(s, q->p, q->ev->t_ms))
        return RULE_NONE;
    if (ask_rest_length(q) != RULE_NONE)
        return RULE_REST_SHORT;
    say_words(q->have, "older than it may be");
    say_words(q->need, "at most %d s old", (int)q->p->value[KEY_REST_VALID_S]);
    return RULE_REST_STALE;
}

enum rule ask_estimate(struct question *q)
{
    return is_listen(q->ev) && sitting_floor_mmhg(q->s, q->p, NULL) == 0
               ? object_have_need(q, RULE_ESTIMATE_MISSING, "no estimate", "palpate")
               : RULE_NONE;
}

static enum rule object_early(struct question *q, enum rule rule, int64_t since_ms, int64_t wait_ms)
{
    const int64_t had_ms = q->ev->t_ms - since_ms;
    if (had_ms >= wait_ms)
        return RULE_NONE;
    say_seconds(q->have, had_ms);
    say_seconds(q->need, wait_ms);
    return rule;
}

enum rule ask_settle(struct question *q)
{
    const struct sitting *s = q->s;
    return is_listen(q->ev) && s->has_settle[s->arm]
               ? object_early(q, RULE_SETTLE_SHORT, s->palpate_empty_ms[s->arm], protocol_ms(q->p, KEY_SETTLE_S))
               : RULE_NONE;
}

enum rule ask_interval(struct question *q)
{
    const struct sitting *s = q->s;
    return s->has_listened[s->arm]
               ? object_early(q, RULE_INTERVAL_SHORT, s->listen_empty_ms[s->arm], protocol_ms(q->p, KEY_INTERVAL_MIN_S))
               : RULE_NONE;
}

enum rule ask_stood(struct question *q)
{
    const struct sitting *s = q->s;
    if (!is_listen(q->ev) || !s->is_standing)
        return RULE_NONE;
    const enum rule rule = object_early(q, RULE_STANDING_EARLY, s->stood_ms, standing_wait_ms(s, q->p));
    q->key = rule == RULE_NONE ? q->key : (int)standing_wait_key(s) + 1;
    return rule;
}
