/* SPDX-License-Identifier: GPL-3.0-or-later */
/* From the readings that went in to what they are worth. */
#include "stillarm/worth.h"

#include "stats/stats.h"

const char *const SIDE_WORDS[SIDE_COUNT] = {"systolic", "diastolic"};
const char *const SHAPE_WORDS[] = {"rectangular", "normal", "t"};

static bool has_values(const struct reading *r)
{
    return r->has_value[POINT_FIRST] && r->has_value[POINT_LAST];
}

static bool is_in_average(const struct reading *r, enum arm arm)
{
    return r->arm == (int32_t)arm && !r->is_standing && reading_is_counted(r) && has_values(r);
}

/* Every protocol averages the last of its readings, and takes the lower of two out of the last two: so the
 * count and the sums that the engine gives say which went in. */
static bool take_average(const struct sitting *s, const struct protocol *p, enum arm arm, struct taken *out)
{
    struct average a;
    if (arm <= ARM_NONE || arm >= ARM_COUNT || !sitting_average(s, p, arm, &a) || a.n < 1 ||
        a.n > INFLATIONS_PER_ARM)
        return false;
    *out = (struct taken){.arm = arm, .n = a.n};
    out->value[SIDE_SYSTOLIC] = (double)a.systolic_sum_mmhg / a.n;
    out->value[SIDE_DIASTOLIC] = (double)a.diastolic_sum_mmhg / a.n;

    int counted[READINGS_CAP];
    for (int i = 0; i < s->reading_count && i < READINGS_CAP; i++) {
        if (is_in_average(&s->readings[i], arm))
            counted[out->of_counted++] = i;
    }
    if (out->of_counted < a.n)
        return false;
    int from = out->of_counted - a.n;
    out->is_lowest = p->value[KEY_AVERAGE] == AVERAGE_LOWER_OF_LAST_TWO && out->of_counted > 1;
    if (out->is_lowest && (reading_systolic_mmhg(&s->readings[counted[from]]) != a.systolic_sum_mmhg ||
                           reading_diastolic_mmhg(&s->readings[counted[from]]) != a.diastolic_sum_mmhg))
        from--;
    for (int i = 0; i < a.n; i++)
        out->index[i] = counted[from + i];
    return true;
}

/* How many readings an average is taken over, once one more counts. */
static int taken_after(const struct protocol *p, const struct taken *t)
{
    const int counted = t->of_counted + 1;
    switch ((enum average_of)p->value[KEY_AVERAGE]) {
    case AVERAGE_LAST_TWO:
        return 2;
    case AVERAGE_WITHOUT_FIRST:
        return counted - 1;
    case AVERAGE_LOWER_OF_LAST_TWO:
        return 1;
    case AVERAGE_ALL:
    case AVERAGE_OF_COUNT:
        break;
    }
    return counted;
}

static void fill(const struct sitting *s, const struct protocol *p, const struct taken *taken,
                 struct worth *out)
{
    *out = (struct worth){
        .arm = (int32_t)taken->arm, .n = taken->n, .visit_origin = protocol_origin(p, KEY_VISIT_SD_X10)};
    out->visit_sd = p->value[KEY_VISIT_SD_X10] / 10.0;
    const int after = taken_after(p, taken);
    for (int side = 0; side < SIDE_COUNT; side++) {
        stats_budget(s, p, taken, (enum side)side, &out->side[side]);
        out->expanded_after[side] =
            stats_expanded_after(&out->side[side], taken->n, after, p, (enum side)side);
    }
    if (!s->readings[taken->index[0]].is_standing) /* the schemes are made for values at rest */
        stats_edge(p, out);
    stats_pulls(s, p, taken, out);
}

bool worth_of_reading(const struct sitting *s, const struct protocol *p, int index, struct worth *out)
{
    if (!p || index < 0 || index >= s->reading_count || index >= READINGS_CAP ||
        !has_values(&s->readings[index]))
        return false;
    const struct reading *r = &s->readings[index];
    const struct taken taken = {.arm = (enum arm)r->arm,
                                .index = {index},
                                .n = 1,
                                .of_counted = 1,
                                .value = {reading_systolic_mmhg(r), reading_diastolic_mmhg(r)}};
    fill(s, p, &taken, out);
    return true;
}

bool worth_of_average(const struct sitting *s, const struct protocol *p, enum arm arm, struct worth *out)
{
    struct taken taken;
    if (!p || !take_average(s, p, arm, &taken))
        return false;
    fill(s, p, &taken, out);
    return true;
}
