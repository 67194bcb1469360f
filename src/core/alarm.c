/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Very high and low values: seen at the entry that shows them, taken back with it, answered by `acted`. */
#include "core/engine.h"

/* The diastolic as far as it is known: with a last sound at 0 the muffling counts, and nothing before it is
 * given. */
static bool knows_diastolic(const struct reading *r)
{
    return r->has_value[POINT_LAST] && (r->value_mmhg[POINT_LAST] != 0 || r->has_value[POINT_MUFFLING]);
}

enum alarm reading_alarm(const struct reading *r, const struct protocol *p)
{
    const int at = p->value[KEY_SEVERE_WHEN] == SEVERE_AT ? 0 : 1;
    const struct {
        bool is_known;
        int mmhg, high_from, low_below;
    } values[] = {
        {r->has_value[POINT_FIRST], reading_systolic_mmhg(r), p->value[KEY_SEVERE_SYSTOLIC_MMHG] + at,
         p->value[KEY_LOW_SYSTOLIC_MMHG]},
        {knows_diastolic(r), reading_diastolic_mmhg(r), p->value[KEY_SEVERE_DIASTOLIC_MMHG] + at,
         p->value[KEY_LOW_DIASTOLIC_MMHG]},
    };
    enum alarm alarm = ALARM_NONE;
    for (size_t i = 0; i < ARRAY_LEN(values); i++) {
        if (!values[i].is_known)
            continue;
        if (values[i].mmhg >= values[i].high_from)
            return ALARM_HIGH;
        if (values[i].mmhg < values[i].low_below)
            alarm = ALARM_LOW;
    }
    return alarm;
}

enum alarm sitting_alarm(const struct sitting *s, const struct protocol *p)
{
    return p && s->alarm_reading > 0 ? reading_alarm(&s->readings[s->alarm_reading - 1], p) : ALARM_NONE;
}

/* What stood before comes back. An answer given since then answered that, too. */
static void take_alarm_back(struct sitting *s, const struct reading *r)
{
    s->alarm_reading = r->alarm_before;
    s->symptoms = r->symptoms_before;
    s->is_severe_open = r->owed_before;
}

void alarm_follow(struct sitting *s, struct reading *r, const struct protocol *p)
{
    const enum alarm alarm = reading_alarm(r, p);
    const bool is_its_own = s->alarm_reading == s->reading_count;
    if (alarm == ALARM_NONE) {
        /* Symptoms do not go away with a slip of the hand. */
        if (is_its_own && !r->had_symptoms)
            take_alarm_back(s, r);
        return;
    }
    if (!is_its_own) {
        r->alarm_before = s->alarm_reading;
        r->owed_before = s->is_severe_open;
        r->symptoms_before = s->symptoms;
        s->alarm_reading = s->reading_count;
        s->symptoms = SYMPTOMS_NOT_ASKED;
    }
    if (alarm == ALARM_HIGH)
        /* Once answered it stays answered, also corrected away and back; not what an earlier reading owes since. */
        s->is_severe_open = !r->is_severe_answered || r->owed_before;
    else if (!r->had_symptoms)
        s->is_severe_open = r->owed_before;
}

void alarm_answer(struct sitting *s, const struct protocol *p)
{
    struct reading *r = reading_latest(s);
    s->is_severe_open = 0;
    if (s->reading_count == 0 || s->alarm_reading != s->reading_count)
        return;
    r->owed_before = 0;
    if (reading_alarm(r, p) == ALARM_HIGH)
        r->is_severe_answered = 1;
}

void alarm_take_symptoms(struct sitting *s, bool is_present)
{
    s->symptoms = is_present ? SYMPTOMS_PRESENT : SYMPTOMS_NONE;
    if (!is_present)
        return;
    struct reading *r = &s->readings[s->alarm_reading - 1];
    s->has_symptoms = 1;
    s->is_severe_open = 1;
    r->had_symptoms = 1;
    r->is_severe_answered = 0; /* what was done before says nothing of them */
}

/* Standing, nothing is repeated. */
bool sitting_is_high_alone(const struct sitting *s, const struct protocol *p, enum arm arm)
{
    bool has_high = false;
    for (int i = 0; i < s->reading_count; i++) {
        const struct reading *r = &s->readings[i];
        if (r->arm != (int32_t)arm || r->is_standing || !r->is_done)
            continue;
        if (has_high && reading_is_counted(r))
            return false;
        has_high = has_high || reading_alarm(r, p) == ALARM_HIGH;
    }
    return has_high;
}

enum arm arm_to_repeat(const struct sitting *s, const struct protocol *p)
{
    const enum arm in_use = (enum arm)s->arm;
    if (s->symptoms == SYMPTOMS_PRESENT)
        return ARM_NONE;
    if (in_use != ARM_NONE && sitting_is_high_alone(s, p, in_use))
        return in_use;
    for (int arm = ARM_LEFT; arm < ARM_COUNT; arm++) {
        if (sitting_is_high_alone(s, p, (enum arm)arm))
            return (enum arm)arm;
    }
    return ARM_NONE;
}

bool sitting_wants_repeat(const struct sitting *s, const struct protocol *p)
{
    return p && arm_to_repeat(s, p) != ARM_NONE;
}
