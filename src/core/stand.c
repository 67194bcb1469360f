/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Readings after standing up: how many, from when, and how far the pressure fell. */
#include "core/engine.h"

void lie_down(struct sitting *s)
{
    s->is_standing = 0;
    s->stood_ms = 0;
}

int32_t stand_now(const struct sitting *s)
{
    return s->is_standing ? s->given[EV_STAND] : 0;
}

/* The stand that is, or was the latest; 0 before any. */
static int32_t latest_stand(const struct sitting *s)
{
    return s->given[EV_STAND];
}

static bool is_of_stand(const struct reading *r, int32_t stand)
{
    return r->is_standing && r->stand == stand;
}

int sitting_standing_counted(const struct sitting *s)
{
    int n = 0;
    for (int i = 0; i < s->reading_count; i++)
        n += is_of_stand(&s->readings[i], latest_stand(s)) && reading_is_counted(&s->readings[i]);
    return n;
}

/* Read as often as the protocol goes on trying, or as often as an arm can hold at all. */
static bool is_at_standing_maximum(const struct sitting *s, const struct protocol *p)
{
    int done = 0, on_arm = 0;
    for (int i = 0; i < s->reading_count; i++) {
        const struct reading *r = &s->readings[i];
        done += is_of_stand(r, latest_stand(s)) && r->is_done;
        on_arm += r->arm == s->arm;
    }
    return done >= p->value[KEY_READINGS_MAX] || on_arm >= INFLATIONS_PER_ARM;
}

static bool lacks_standing(const struct sitting *s, const struct protocol *p)
{
    return p->value[KEY_STANDING_READINGS] > sitting_standing_counted(s) &&
           !s->waived_rules[RULE_STANDING_FEW];
}

bool standing_is_few(const struct sitting *s, const struct protocol *p)
{
    return lacks_standing(s, p) && !is_at_standing_maximum(s, p);
}

bool standing_is_unsettled(const struct sitting *s, const struct protocol *p)
{
    return lacks_standing(s, p) && is_at_standing_maximum(s, p);
}

enum protocol_key standing_wait_key(const struct sitting *s)
{
    return sitting_standing_counted(s) == 0 ? KEY_STANDING_FIRST_S : KEY_STANDING_SECOND_S;
}

int64_t standing_wait_ms(const struct sitting *s, const struct protocol *p)
{
    return protocol_ms(p, standing_wait_key(s));
}

int64_t sitting_standing_from_ms(const struct sitting *s, const struct protocol *p)
{
    return s->is_standing && standing_is_few(s, p) ? s->stood_ms + standing_wait_ms(s, p) : 0;
}

void reading_began_standing(const struct sitting *s, const struct protocol *p, struct reading *r)
{
    if (!s->is_standing)
        return;
    r->is_standing = 1;
    r->stand = stand_now(s);
    r->stood_for_ms = r->inflate_ms - s->stood_ms;
    if (r->stood_for_ms > standing_wait_ms(s, p) + protocol_ms(p, KEY_STANDING_LATE_S))
        r->notes |= NOTE_STANDING_LATE;
}

bool sitting_drop_x100(const struct sitting *s, const struct protocol *p, int32_t *systolic,
                       int32_t *diastolic)
{
    bool has = false;
    for (int i = 0; i < s->reading_count; i++) {
        const struct reading *r = &s->readings[i];
        struct average lying;
        if (!is_of_stand(r, latest_stand(s)) || !reading_is_counted(r) ||
            !sitting_average(s, p, (enum arm)r->arm, &lying))
            continue;
        const int32_t fell = average_x100(lying.systolic_sum_mmhg, lying.n) - 100 * reading_systolic_mmhg(r);
        const int32_t also =
            average_x100(lying.diastolic_sum_mmhg, lying.n) - 100 * reading_diastolic_mmhg(r);
        *systolic = has && *systolic > fell ? *systolic : fell;
        *diastolic = has && *diastolic > also ? *diastolic : also;
        has = true;
    }
    return has;
}

bool drop_is_remarkable(const struct sitting *s, const struct protocol *p)
{
    int32_t systolic, diastolic;
    return sitting_drop_x100(s, p, &systolic, &diastolic) &&
           (systolic >= 100 * p->value[KEY_DROP_SYSTOLIC_MMHG] ||
            diastolic >= 100 * p->value[KEY_DROP_DIASTOLIC_MMHG]);
}
