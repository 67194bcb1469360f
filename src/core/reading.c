/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "stillarm/reading.h"

#include <string.h>

#include "core/engine.h"
#include "stillarm/text.h"

const char *const ARM_WORDS[ARM_COUNT] = {[ARM_NONE] = "-", [ARM_LEFT] = "left", [ARM_RIGHT] = "right"};

const char *const VOID_REASON_WORDS[VOID_REASON_COUNT] = {
    "target.low", "first.at-target", "release.fast", "reading.brief",
    "gap.suspect", "interrupted", "resumed", "given-up", "lapse"};

const char *const READING_REMARK_WORDS[READING_REMARK_COUNT] = {
    "target.capped", "target.high", "release.quick", "release.slow",
    "gap.noted", "interval.long", "inflation.long", "corrected", "gap.heard", "standing.late", "pair.differs"};

bool reading_is_counted(const struct reading *r)
{
    return r->is_entered && r->voids == 0;
}

bool reading_lacks_pair(const struct reading *r)
{
    const bool is_whole = r->has_pair[POINT_FIRST] && r->has_pair[POINT_LAST] &&
                          (r->pair_mmhg[POINT_LAST] != 0 || r->has_pair[POINT_MUFFLING]);
    return r->listener[0] != '\0' && !is_whole;
}

struct reading reading_of_pair(const struct reading *r)
{
    struct reading theirs = *r;
    memcpy(theirs.has_value, r->has_pair, sizeof theirs.has_value);
    memcpy(theirs.value_mmhg, r->pair_mmhg, sizeof theirs.value_mmhg);
    return theirs;
}

int reading_systolic_mmhg(const struct reading *r)
{
    return r->value_mmhg[POINT_FIRST];
}

static bool is_heard_to_zero(const struct reading *r)
{
    return r->has_value[POINT_LAST] && r->value_mmhg[POINT_LAST] == 0 && r->has_value[POINT_MUFFLING];
}

int reading_diastolic_mmhg(const struct reading *r)
{
    return r->value_mmhg[is_heard_to_zero(r) ? POINT_MUFFLING : POINT_LAST];
}

void reading_print(const struct reading *r, char *buf, size_t cap)
{
    struct text t;
    text_init(&t, buf, cap);
    if (!r->has_value[POINT_FIRST] || !r->has_value[POINT_LAST])
        return;
    text_addf(&t, "%d/%d", (int)r->value_mmhg[POINT_FIRST], reading_diastolic_mmhg(r));
    if (is_heard_to_zero(r))
        text_add(&t, "/0");
}

int release_rate_x10(int drop_mmhg, int64_t ms, int span_mmhg)
{
    if (drop_mmhg < span_mmhg || drop_mmhg <= 0 || ms <= 0)
        return 0;
    int64_t rate = (2 * (int64_t)drop_mmhg * 10000 + ms) / (2 * ms);
    return (int)rate;
}

int release_drop_per_beat_x100(int rate_x10, int pulse_bpm)
{
    if (rate_x10 <= 0 || pulse_bpm <= 0)
        return 0;
    return (int)((2 * (int64_t)rate_x10 * 600 + pulse_bpm) / (2 * (int64_t)pulse_bpm));
}

bool reading_values_in_order(const int32_t has[POINT_COUNT], const int32_t mmhg[POINT_COUNT])
{
    int above = -1; /* the nearest given point above */
    for (int i = 0; i < POINT_COUNT; i++) {
        if (!has[i])
            continue;
        if (above >= 0 && mmhg[i] > mmhg[above])
            return false;
        above = i;
    }
    if (has[POINT_SILENT] && has[POINT_RETURN] && mmhg[POINT_SILENT] <= mmhg[POINT_RETURN])
        return false;
    return !(has[POINT_FIRST] && has[POINT_LAST] && mmhg[POINT_FIRST] <= mmhg[POINT_LAST]);
}

bool reading_is_severe(const struct reading *r, const struct protocol *p)
{
    return r->is_entered && reading_alarm(r, p) == ALARM_HIGH;
}
