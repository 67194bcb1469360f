/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Any sequence of events, under three protocols: a refusal changes nothing, a stop is always possible, what counts is
 * even and in order, no reading that is void or taken standing is in an average, a barred arm is neither in use nor
 * offered, and the accepted events alone lead to the same state. */
#include <string.h>

#include "config/protocols.h"
#include "fuzz/fuzz.h"
#include "stillarm/sitting.h"
#include "stillarm/text.h"

#define PROTOCOLS 3

/* The usual one, one that stands, and one with every younger key at work. */
static const struct protocol *protocol_at_hand(int which)
{
    static struct protocols all;
    static struct protocol list[PROTOCOLS];
    static bool is_loaded;
    if (!is_loaded) {
        HOLDS(protocols_load(NULL, &all, NULL) == ST_OK);
        HOLDS(protocols_find(&all, "us-adult"));
        list[0] = list[1] = list[2] = *protocols_find(&all, "us-adult"); /* one log goes through all three */
        list[1].value[KEY_STANDING_READINGS] = 2;
        list[2].value[KEY_STANDING_READINGS] = 1;
        list[2].value[KEY_STANDING_FIRST_S] = 0;
        list[2].value[KEY_ARMS_REPEAT] = 1;
        list[2].value[KEY_ALONE_BELOW_SYSTOLIC_MMHG] = 140;
        list[2].value[KEY_ALONE_BELOW_DIASTOLIC_MMHG] = 90;
        list[2].value[KEY_LOW_SYSTOLIC_MMHG] = 100;
        list[2].value[KEY_LOW_DIASTOLIC_MMHG] = 60;
        list[2].value[KEY_CUFF_GAP_MM] = 30;
        is_loaded = true;
    }
    return &list[which];
}

static void check_readings(const struct sitting *s, const struct protocol *p)
{
    for (int i = 0; i < s->reading_count; i++) {
        const struct reading *r = &s->readings[i];
        for (int point = 0; point < POINT_COUNT; point++)
            HOLDS(!r->has_value[point] || (r->value_mmhg[point] % 2 == 0 && r->value_mmhg[point] >= 0 &&
                                           r->value_mmhg[point] <= 300));
        HOLDS(reading_values_in_order(r->has_value, r->value_mmhg));
    }
    for (int arm = ARM_LEFT; arm < ARM_COUNT; arm++) {
        struct average a;
        int lying = 0;
        for (int i = 0; i < s->reading_count; i++)
            lying += s->readings[i].arm == arm && !s->readings[i].is_standing && reading_is_counted(&s->readings[i]);
        HOLDS(sitting_counted(s, (enum arm)arm) == lying);
        if (sitting_average(s, p, (enum arm)arm, &a))
            HOLDS(a.n > 0 && a.n <= lying);
    }
}

/* What the younger answers say has its ground in the state. */
static void check_answers(const struct sitting *s, const struct protocol *p)
{
    int32_t systolic = 0, diastolic = 0;
    if (s->phase == PHASE_OPEN)
        HOLDS((!s->is_barred[s->arm] || s->lapse_count > 0) && !s->is_barred[sitting_arm_to_read(s, p)]);
    HOLDS(!s->is_standing || (s->given[EV_STAND] > 0 && s->arm != ARM_NONE));
    HOLDS(sitting_alarm(s, p) == ALARM_NONE || s->alarm_reading > 0);
    HOLDS(s->alarm_reading <= s->reading_count);
    HOLDS(sitting_standing_counted(s) <= s->reading_count);
    HOLDS(sitting_standing_from_ms(s, p) == 0 || s->is_standing);
    HOLDS(!sitting_drop_x100(s, p, &systolic, &diastolic) || sitting_standing_counted(s) > 0);
    HOLDS((sitting_remarks(s, p) & REMARK_STANDING_DROP) == 0 || sitting_standing_counted(s) > 0);
    HOLDS((sitting_remarks(s, p) & REMARK_SEVERE_ALONE) == 0 || sitting_wants_repeat(s, p));
    HOLDS(sitting_cuff_notes(s, p) < 8);
}

/* Lapses only before a witness, each sound; what one of them spoils is void. */
static void check_lapses(const struct sitting *s, const struct protocol *p)
{
    struct assessment a;
    HOLDS(s->lapse_count == 0 || sitting_is_witnessed(s));
    HOLDS(s->struck_count >= 0 && s->struck_count <= s->lapse_count);
    HOLDS(s->critical_count >= 0 && s->critical_count <= s->lapse_count - s->struck_count);
    for (int i = 0; i < s->lapse_count && i < LAPSES_MAX; i++) {
        const struct lapse *l = &s->lapses[i];
        HOLDS(rule_may_lapse((enum rule)l->rule) && l->have[0] && l->need[0] && l->t_ms <= s->now_ms);
        HOLDS(l->item >= 0 && l->item <= p->item_count && l->reading >= 0 && l->reading <= s->reading_count);
        HOLDS(l->reading == 0 || (s->readings[l->reading - 1].voids & VOID_LAPSE));
    }
    HOLDS(sitting_assess(s, p, &a) == (sitting_is_witnessed(s) && s->phase == PHASE_SEALED));
}

static void check_state(const struct sitting *s, const struct protocol *p)
{
    const struct event stop = {.t_ms = s->now_ms, .kind = EV_STOP, .text = "enough"};
    struct missing missing[64];
    int64_t wake_ms = 0;
    HOLDS(sitting_would_accept(s, p, &stop, NULL) == (s->phase == PHASE_OPEN));
    check_readings(s, p);
    check_answers(s, p);
    check_lapses(s, p);
    HOLDS(!sitting_next_wake(s, p, s->now_ms, &wake_ms) || wake_ms > s->now_ms);
    HOLDS(sitting_missing(s, p, s->now_ms, missing, (int)ARRAY_LEN(missing)) <= (int)ARRAY_LEN(missing));
}

static void try_event(struct sitting *s, struct sitting *again, const struct protocol *p, const struct event *ev)
{
    static struct sitting before;
    struct refusal why;
    memcpy(&before, s, sizeof before);
    if (!sitting_apply(s, p, ev, &why)) {
        HOLDS(sitting_equal(s, &before));
        HOLDS(rule_named(rule_id(why.rule)) == why.rule && why.have[0] && why.need[0] && why.sentence[0]);
        return;
    }
    HOLDS(before.phase != PHASE_SEALED && before.phase != PHASE_STOPPED);
    HOLDS(sitting_apply(again, p, ev, NULL));
    check_state(s, p);
}

static void try_log(const char *at, const char *end, const struct protocol *p)
{
    static struct sitting s, again;
    static struct event ev;
    sitting_init(&s);
    sitting_init(&again);
    while (at < end) {
        const char *lf = memchr(at, '\n', (size_t)(end - at));
        const size_t len = lf ? (size_t)(lf - at) + 1 : (size_t)(end - at);
        if (event_parse(at, len, &ev, NULL) == PARSED_EVENT)
            try_event(&s, &again, p, &ev);
        at += len;
    }
    HOLDS(sitting_equal(&s, &again));
}

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size)
{
    for (int which = 0; which < PROTOCOLS; which++)
        try_log((const char *)data, (const char *)data + size, protocol_at_hand(which));
    return 0;
}
