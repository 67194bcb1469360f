/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Any sequence of events: a refusal changes nothing, a stop is always possible, what counts is even and in order, no
 * void reading is in an average, and the accepted events alone lead to the same state. */
#include <string.h>

#include "config/protocols.h"
#include "fuzz/fuzz.h"
#include "stillarm/sitting.h"
#include "stillarm/text.h"

static const struct protocol *protocol_at_hand(void)
{
    static struct protocols all;
    static bool is_loaded;
    if (!is_loaded) {
        HOLDS(protocols_load(NULL, &all, NULL) == ST_OK);
        is_loaded = true;
    }
    return protocols_find(&all, "us-adult");
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
        if (sitting_average(s, p, (enum arm)arm, &a))
            HOLDS(a.n > 0 && a.n <= sitting_counted(s, (enum arm)arm));
    }
}

static void check_state(const struct sitting *s, const struct protocol *p)
{
    const struct event stop = {.t_ms = s->now_ms, .kind = EV_STOP, .text = "enough"};
    struct missing missing[64];
    int64_t wake_ms = 0;
    HOLDS(sitting_would_accept(s, p, &stop, NULL) == (s->phase == PHASE_OPEN));
    check_readings(s, p);
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

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size)
{
    static struct sitting s, again;
    static struct event ev;
    const char *at = (const char *)data, *end = at + size;
    sitting_init(&s);
    sitting_init(&again);
    while (at < end) {
        const char *lf = memchr(at, '\n', (size_t)(end - at));
        const size_t len = lf ? (size_t)(lf - at) + 1 : (size_t)(end - at);
        if (event_parse(at, len, &ev, NULL) == PARSED_EVENT)
            try_event(&s, &again, protocol_at_hand(), &ev);
        at += len;
    }
    HOLDS(sitting_equal(&s, &again));
    return 0;
}
