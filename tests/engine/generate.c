/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "generate.h"

#include "check_state.h"

uint32_t roll(struct dice *d, uint32_t sides)
{
    d->x ^= d->x << 13;
    d->x ^= d->x >> 7;
    d->x ^= d->x << 17;
    return (uint32_t)((d->x >> 16) % sides);
}

const char *item_for(struct dice *d, const struct event_form *form, enum event_kind kind,
                     const struct protocol *p)
{
    static const char *const IDS[] = {"g1",  "g2",  "adult",    "small",  "large",
                                      "ana", "ben", "us-adult", "nowhere"};
    static const char *const RULES[] = {"estimate.missing", "arms.few",     "kit.overdue", "cuff.too-small",
                                        "cuff.too-large",   "rest.short",   "kit.failed",  "told.missing",
                                        "cuff.unmeasured",  "standing.few", "arm.barred"};
    if (form->items != NULL) {
        uint32_t n = 0;
        while (form->items[n] != NULL) {
            n++;
        }
        return form->items[roll(d, n)];
    }
    bool is_item = kind == EV_CONFIRM || kind == EV_REOPEN || kind == EV_WAIVE || kind == EV_LAPSE ||
                   kind == EV_UNSEEN;
    if (is_item && roll(d, 8) != 0 && !(kind == EV_WAIVE && roll(d, 2) == 0)) {
        return p->items[roll(d, (uint32_t)p->item_count)].id;
    }
    return is_item ? RULES[roll(d, ARRAY_LEN(RULES))] : IDS[roll(d, ARRAY_LEN(IDS))];
}

int64_t value_for(struct dice *d, enum event_kind kind)
{
    static const int64_t ODD[] = {0, 1, 2, 19, 20, 77, 100, 251, 299, 300, 302, 700, 701, 999999999999};
    if (roll(d, 12) == 0) {
        return ODD[roll(d, ARRAY_LEN(ODD))];
    }
    switch ((int)kind) {
    case EV_GAUGE:
        return roll(d, 2) != 0 ? 300 : 260;
    case EV_CUFF:
        return 180 + roll(d, 160);
    case EV_CIRCUMFERENCE:
        return 200 + roll(d, 260);
    case EV_PULSE:
        return 40 + roll(d, 80);
    case EV_CHECK:
        return roll(d, 7);
    case EV_BLADDER:
        return 90 + roll(d, 120);
    case EV_STRIKE:
        return 1 + roll(d, 6);
    case EV_RESUME:
        return (int64_t)roll(d, 200000) - 20000;
    case EV_TARGET:
        return 2 * (60 + roll(d, 60));
    default:
        return 2 * roll(d, 110);
    }
}

int64_t value2_for(struct dice *d, enum event_kind kind)
{
    if (kind == EV_CUFF || kind == EV_BLADDER) {
        return 240 + roll(d, 300);
    }
    return 20310000 + 100 * (1 + roll(d, 13)) + 1 + roll(d, 30);
}

static int64_t time_for(struct dice *d, const struct sitting *s)
{
    static const int64_t STEPS[] = {0,     1,     500,   2000,   10000,  29999, 30000,
                                    45000, 59999, 60000, 121000, 300000, 600001};
    if (roll(d, 40) == 0 && s->now_ms > 0) {
        return s->now_ms - 1;
    }
    return s->now_ms + STEPS[roll(d, roll(d, 4) == 0 ? ARRAY_LEN(STEPS) : 5)];
}

struct event any_event(struct dice *d, const struct sitting *s, const struct protocol *p)
{
    enum event_kind kind = (enum event_kind)roll(d, EV_COUNT);
    if (kind == EV_STOP && roll(d, 30) != 0) {
        kind = EV_NOTE; /* a walk that stops at once shows little */
    }
    const struct event_form *form = event_form(kind);
    return make_event(time_for(d, s), kind, form->has_item ? item_for(d, form, kind, p) : NULL,
                      form->has_value ? value_for(d, kind) : 0, form->has_value2 ? value2_for(d, kind) : 0,
                      !form->has_text   ? NULL
                      : kind == EV_DATE ? "2031-03-02T14:04:10+01:00"
                                        : "as it happened");
}

struct event listening_event(struct dice *d, const struct sitting *s)
{
    static const enum event_kind KINDS[] = {EV_MARK,    EV_VALUE,   EV_TARGET,    EV_EMPTY,    EV_DONE,
                                            EV_PALPATE, EV_CORRECT, EV_INTERRUPT, EV_LISTENER, EV_PAIR,
                                            EV_MARK,    EV_VALUE,   EV_GAP,       EV_SYMPTOMS, EV_ACTED};
    enum event_kind kind = KINDS[roll(d, ARRAY_LEN(KINDS))];
    const struct event_form *form = event_form(kind);
    return make_event(s->now_ms + roll(d, 9000), kind, form->has_item ? item_for(d, form, kind, NULL) : NULL,
                      form->has_value ? 2 * (25 + roll(d, 90)) : 0, 0,
                      form->has_text ? "as it happened" : NULL);
}
