/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Why an event may be refused, classes 13 and 14: what an entry and what a whole sitting must hold. */
#include <string.h>

#include "core/question.h"

static bool lacks_muffling(const struct reading *r, const struct event *ev)
{
    const bool sets_last = ev->kind == EV_CORRECT && point_named(ev->item) == POINT_LAST;
    const bool sets_muffling = ev->kind == EV_CORRECT && point_named(ev->item) == POINT_MUFFLING;
    const int64_t last = sets_last ? ev->value : r->value_mmhg[POINT_LAST];
    return last == 0 && !r->has_value[POINT_MUFFLING] && !sets_muffling;
}

/* 13 */
enum rule ask_done(struct question *q)
{
    const struct reading *r = reading_at_hand(q->s);
    const bool is_done = q->ev->kind == EV_DONE;
    if (!is_done && q->ev->kind != EV_CORRECT)
        return RULE_NONE;
    if (is_done && !r->has_value[POINT_TARGET])
        return object_have_need(q, RULE_TARGET_MISSING, "no target", "target");
    if (is_done && !(r->has_value[POINT_FIRST] && r->has_value[POINT_LAST]))
        return object_have_need(q, RULE_VALUE_MISSING, "values missing",
                                r->has_value[POINT_FIRST] ? "last" : "first");
    if (lacks_muffling(r, q->ev))
        return object_have_need(q, RULE_MUFFLING_MISSING, "last 0, no muffling", "muffling");
    if (is_done && reading_lacks_pair(r))
        return object_have_need(q, RULE_PAIR_MISSING, "second listener's values missing",
                                "pair first, pair last");
    return RULE_NONE;
}

/* 14 */
static enum rule ask_items(struct question *q, bool is_any_step)
{
    for (int i = 0; i < q->p->item_count; i++) {
        if (q->s->items[i] == ITEM_OPEN && (is_any_step || q->p->items[i].step == STEP_CLOSING))
            return object_have_need(q, RULE_ITEM_OPEN, q->p->items[i].id, "confirmed or passed over");
    }
    return RULE_NONE;
}

/* Is the record whole? Before a witness that means only that each item has its answer. */
enum rule ask_record(struct question *q)
{
    static const enum step OWED[] = {STEP_OPENING, STEP_READINESS, STEP_ARM, STEP_CUFF, STEP_POSTURE, STEP_KIT};
    const struct sitting *s = q->s;
    const bool is_witnessed = sitting_is_witnessed(s);
    const size_t owed = is_witnessed ? 1 : ARRAY_LEN(OWED);
    struct missing first;
    for (size_t i = 0; i < owed; i++) {
        if (step_lacks(s, q->p, OWED[i], q->ev->t_ms, 0, &first))
            return object_have_need(q, RULE_ITEM_OPEN, first.what, "confirmed or passed over");
    }
    if (is_witnessed)
        return ask_items(q, true);
    if (s->pulse_bpm == 0)
        return object_have_need(q, RULE_ITEM_OPEN, "pulse", "counted");
    return sitting_readings_lack(s, q->p) == RULE_NONE ? ask_items(q, false) : RULE_NONE;
}

enum rule ask_enough(struct question *q)
{
    const struct sitting *s = q->s;
    const enum rule lack = sitting_readings_lack(s, q->p);
    const enum arm in_use = (enum arm)s->arm;
    if (lack == RULE_READINGS_FEW) {
        q->key = (int)needed_by(s, q->p, in_use) + 1;
        return object_numbers(q, lack, sitting_counted(s, in_use), "at least ", sitting_needed(s, q->p, in_use));
    }
    if (lack != RULE_ARMS_FEW)
        return RULE_NONE;
    const bool is_again = sitting_counted(s, ARM_LEFT) > 0 && sitting_counted(s, ARM_RIGHT) > 0;
    return is_again ? object_have_need(q, lack, "arms far apart", "both arms read again")
                    : object_have_need(q, lack, "one arm", "both arms");
}

enum rule ask_standing(struct question *q)
{
    return standing_is_few(q->s, q->p)
               ? object_numbers(q, RULE_STANDING_FEW, sitting_standing_counted(q->s), "at least ",
                                q->p->value[KEY_STANDING_READINGS])
               : RULE_NONE;
}

enum rule ask_told(struct question *q)
{
    return q->p->value[KEY_TOLD] && !q->s->given[EV_TOLD]
               ? object_have_need(q, RULE_TOLD_MISSING, "not told", "told")
               : RULE_NONE;
}

enum rule ask_answered(struct question *q)
{
    const struct sitting *s = q->s;
    if (!s->is_severe_open)
        return RULE_NONE;
    const bool is_of_symptoms = s->alarm_reading > 0 && s->readings[s->alarm_reading - 1].had_symptoms;
    return object_have_need(q, RULE_SEVERE_OPEN,
                            is_of_symptoms ? "symptoms not answered" : "very high value not answered", "acted");
}
