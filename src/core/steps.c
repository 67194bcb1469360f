/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "core/engine.h"

#include <string.h>

#include "stillarm/text.h"

/* What a step lacks beside its items: the nth thing's name, or NULL when there are no more. */
typedef const char *(*lack_fn)(const struct sitting *s, const struct protocol *p, int64_t now_ms, int nth);

/* Picks the nth word whose condition holds, so that each step states its things as one list. */
struct want {
    bool is_missing;
    const char *word;
};

static const char *nth_missing(const struct want *wants, int count, int nth)
{
    for (int i = 0; i < count; i++) {
        if (wants[i].is_missing && nth-- == 0)
            return wants[i].word;
    }
    return NULL;
}

static const char *opening_lacks(const struct sitting *s, const struct protocol *p, int64_t now_ms, int nth)
{
    (void)now_ms;
    const bool asks_prior = s->is_return && p->value[KEY_PRIOR_ARM];
    const struct want wants[] = {
        {!s->given[EV_PROTOCOL], "protocol"}, {!s->given[EV_DATE], "date"},
        {!s->given[EV_MEASURER], "measurer"}, {!s->given[EV_SUBJECT], "subject"},
        {!s->given[EV_VISIT], "visit"},       {asks_prior && !s->given[EV_PRIOR_ARM], "prior-arm"},
        {!s->given[EV_PURPOSE], "purpose"},   {!s->given[EV_PLACE], "place"},
    };
    return nth_missing(wants, (int)ARRAY_LEN(wants), nth);
}

static const char *kit_lacks(const struct sitting *s, const struct protocol *p, int64_t now_ms, int nth)
{
    (void)p;
    (void)now_ms;
    const struct want wants[] = {{!s->given[EV_GAUGE], "gauge"}, {s->cuff_count == 0, "cuff"}};
    return nth_missing(wants, (int)ARRAY_LEN(wants), nth);
}

static const char *arm_lacks(const struct sitting *s, const struct protocol *p, int64_t now_ms, int nth)
{
    (void)p;
    (void)now_ms;
    const struct want wants[] = {{s->arm == ARM_NONE, "arm"}};
    return nth_missing(wants, (int)ARRAY_LEN(wants), nth);
}

static const char *cuff_lacks(const struct sitting *s, const struct protocol *p, int64_t now_ms, int nth)
{
    (void)now_ms;
    const bool by_index = p->value[KEY_CUFF_BY] == CUFF_BY_INDEX;
    const struct want wants[] = {{s->arm_mm == 0 && !by_index, "circumference"}, {s->wrapped < 0, "wrap"}};
    return nth_missing(wants, (int)ARRAY_LEN(wants), nth);
}

static const char *rest_lacks(const struct sitting *s, const struct protocol *p, int64_t now_ms, int nth)
{
    const struct want wants[] = {{!sitting_rest_is_good(s, p, now_ms), "rest"}, {s->pulse_bpm == 0, "pulse"}};
    return nth_missing(wants, (int)ARRAY_LEN(wants), nth);
}

static const char *estimate_lacks(const struct sitting *s, const struct protocol *p, int64_t now_ms, int nth)
{
    (void)p;
    (void)now_ms;
    const bool has = (s->estimate != ESTIMATE_OPEN || s->waived_rules[RULE_ESTIMATE_MISSING]) &&
                     s->inflation != INFLATION_PALPATE;
    const struct want wants[] = {{!has, "estimate"}};
    return nth_missing(wants, (int)ARRAY_LEN(wants), nth);
}

static const char *listening_lacks(const struct sitting *s, const struct protocol *p, int64_t now_ms, int nth)
{
    (void)now_ms;
    const enum rule lack = sitting_readings_lack(s, p);
    const struct want wants[] = {{lack == RULE_READINGS_FEW, "readings"}, {lack == RULE_ARMS_FEW, "arms"},
                                 {lack == RULE_NONE && standing_is_few(s, p), "standing"}};
    return nth_missing(wants, (int)ARRAY_LEN(wants), nth);
}

static const char *closing_lacks(const struct sitting *s, const struct protocol *p, int64_t now_ms, int nth)
{
    (void)now_ms;
    const struct want wants[] = {{p->value[KEY_TOLD] && !s->given[EV_TOLD], "told"},
                                 {s->is_severe_open, "acted"}};
    return nth_missing(wants, (int)ARRAY_LEN(wants), nth);
}

static const char *nothing_lacks(const struct sitting *s, const struct protocol *p, int64_t now_ms, int nth)
{
    (void)s;
    (void)p;
    (void)now_ms;
    (void)nth;
    return NULL;
}

struct step_row {
    const char *word;
    enum step needs[4]; /* ended by STEP_NONE */
    lack_fn lacks;
};

static const struct step_row STEPS[STEP_COUNT] = {
    [STEP_NONE] = {"", {STEP_NONE}, nothing_lacks},
    [STEP_OPENING] = {"opening", {STEP_NONE}, opening_lacks},
    [STEP_READINESS] = {"readiness", {STEP_OPENING}, nothing_lacks},
    [STEP_ARM] = {"arm", {STEP_READINESS}, arm_lacks},
    [STEP_CUFF] = {"cuff", {STEP_ARM}, cuff_lacks},
    [STEP_POSTURE] = {"posture", {STEP_READINESS}, nothing_lacks},
    [STEP_REST] = {"rest", {STEP_POSTURE}, rest_lacks},
    [STEP_KIT] = {"kit", {STEP_OPENING}, kit_lacks},
    [STEP_ESTIMATE] = {"estimate", {STEP_KIT, STEP_CUFF, STEP_REST}, estimate_lacks},
    [STEP_LISTENING] = {"listening", {STEP_ESTIMATE}, listening_lacks},
    [STEP_CLOSING] = {"closing", {STEP_LISTENING}, closing_lacks},
};

const char *step_word(enum step step)
{
    return STEPS[step].word;
}

bool step_lacks(const struct sitting *s, const struct protocol *p, enum step step, int64_t now_ms, int nth,
                struct missing *out)
{
    int things = 0;
    for (const char *word; (word = STEPS[step].lacks(s, p, now_ms, things)) != NULL; things++) {
        if (things == nth) {
            *out = (struct missing){.step = step, .item = -1};
            text_copy(out->what, sizeof out->what, word);
            return true;
        }
    }
    for (int i = 0; i < p->item_count; i++) {
        if (s->items[i] != ITEM_OPEN || p->items[i].step != step) /* the state lies closer together than the protocol */
            continue;
        if (things++ == nth) {
            *out = (struct missing){.step = step, .item = i};
            text_copy(out->what, sizeof out->what, p->items[i].id);
            return true;
        }
    }
    return false;
}

bool steps_needed_are_done(const struct sitting *s, const struct protocol *p, enum step step, int64_t now_ms,
                           enum step *lacking)
{
    if (step == STEP_CLOSING) {
        /* Closing asks only that the readings suffice: a rest that went stale since does not take them back. */
        *lacking = STEP_LISTENING;
        return sitting_readings_lack(s, p) == RULE_NONE;
    }
    for (const enum step *need = STEPS[step].needs; *need != STEP_NONE; need++) {
        if (!step_is_done(s, p, *need, now_ms)) {
            *lacking = *need;
            return false;
        }
    }
    return true;
}

bool step_is_done(const struct sitting *s, const struct protocol *p, enum step step, int64_t now_ms)
{
    struct missing first;
    enum step lacking;
    return steps_needed_are_done(s, p, step, now_ms, &lacking) && !step_lacks(s, p, step, now_ms, 0, &first);
}

enum step_state sitting_step_state(const struct sitting *s, const struct protocol *p, enum step step, int64_t now_ms)
{
    enum step lacking;
    if (!p || s->phase == PHASE_EMPTY)
        return step == STEP_OPENING ? STEP_OPEN : STEP_LOCKED;
    if (!steps_needed_are_done(s, p, step, now_ms, &lacking))
        return STEP_LOCKED;
    return step_is_done(s, p, step, now_ms) ? STEP_DONE : STEP_OPEN;
}

int sitting_missing(const struct sitting *s, const struct protocol *p, int64_t now_ms, struct missing *out, int cap)
{
    int count = 0;
    const bool is_enough = sitting_readings_lack(s, p) == RULE_NONE && !standing_is_few(s, p);
    for (int step = STEP_OPENING; step < STEP_COUNT; step++) {
        enum step lacking;
        if (!steps_needed_are_done(s, p, (enum step)step, now_ms, &lacking))
            continue;
        struct missing m;
        for (int nth = 0; step_lacks(s, p, (enum step)step, now_ms, nth, &m); nth++) {
            /* With enough readings neither a rest nor an estimate is owed; the pulse stays owed. */
            const bool is_past = is_enough && (step == STEP_ESTIMATE || (step == STEP_REST && strcmp(m.what, "rest") == 0));
            if (is_past)
                continue;
            if (count < cap)
                out[count] = m;
            count++;
        }
    }
    return count;
}
