/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The hand-filled protocols hold the numbers as the specification of the engine states them. They are written
 * apart from assets/protocols on purpose: where the two differ, one of them is wrong. */
#include "hand.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "config/protocols.h"

struct hand_key {
    enum protocol_key key;
    int32_t us, europe;
};

static const struct hand_key KEYS[] = {
    {KEY_REST_S, 300, 300},
    {KEY_REST_VALID_S, 600, 600},
    {KEY_SETTLE_S, 30, 30},
    {KEY_INTERVAL_MIN_S, 60, 60},
    {KEY_INTERVAL_MAX_S, 120, 120},
    {KEY_RENEW_AFTER_GAP_S, 120, 120},
    {KEY_INFLATION_LONG_S, 150, 150},
    {KEY_MARGIN_MMHG, 30, 30},
    {KEY_NO_ESTIMATE_FLOOR_MMHG, 180, 180},
    {KEY_TARGET_HIGH_MMHG, 30, 30},
    {KEY_PALPATE_START_MMHG, 70, 70},
    {KEY_PALPATE_STEP_MMHG, 10, 10},
    {KEY_FIRST_CLEAR_MMHG, 4, 4},
    {KEY_GAP_SUSPECT_MMHG, 20, 20},
    {KEY_LISTEN_ON_MMHG, 10, 10},
    {KEY_RELEASE_LOW_X10, 20, 20},
    {KEY_RELEASE_HIGH_X10, 30, 30},
    {KEY_RELEASE_SLACK_X10, 5, 5},
    {KEY_RELEASE_VOID_X10, 60, 60},
    {KEY_RELEASE_SPAN_MMHG, 20, 20},
    {KEY_RELEASE_BEAT_X100, 200, 200},
    {KEY_READINGS_MIN, 2, 3},
    {KEY_READINGS_MAX, 5, 6},
    {KEY_EXTRA_OVER_MMHG, 5, 10},
    {KEY_EXTRA_READINGS, 1, 1},
    {KEY_AVERAGE, AVERAGE_ALL, AVERAGE_LAST_TWO},
    {KEY_FIRST_ARMS, FIRST_ARMS_BOTH, FIRST_ARMS_BOTH},
    {KEY_ARMS_OVER_MMHG, 10, 10},
    {KEY_PRIOR_ARM, 1, 1},
    {KEY_CUFF_BY, CUFF_BY_CIRCUMFERENCE, CUFF_BY_CIRCUMFERENCE},
    {KEY_TOLD, 1, 1},
};

struct hand_item {
    const char *id;
    enum step step;
    bool is_waivable;
};

static const struct hand_item ITEMS[] = {
    {"kit.zero", STEP_KIT, false},
    {"kit.clean", STEP_KIT, true},
    {"ready.adult", STEP_READINESS, false},
    {"ready.birth", STEP_READINESS, false},
    {"ready.recent", STEP_READINESS, true},
    {"ready.toilet", STEP_READINESS, true},
    {"ready.agrees", STEP_READINESS, false},
    {"posture.back", STEP_POSTURE, true},
    {"posture.quiet", STEP_POSTURE, true},
    {"arm.use", STEP_ARM, false},
    {"arm.bare", STEP_ARM, true},
    {"arm.level", STEP_ARM, true},
    {"cuff.artery", STEP_CUFF, true},
    {"cuff.snug", STEP_CUFF, true},
    {"close.written", STEP_CLOSING, true},
};

static void fill(struct protocol *p, const char *id, bool is_us)
{
    (void)snprintf(p->id, sizeof p->id, "%s", id);
    (void)snprintf(p->title, sizeof p->title, "%s by hand", id);
    for (size_t i = 0; i < ARRAY_LEN(KEYS); i++) {
        p->value[KEYS[i].key] = is_us ? KEYS[i].us : KEYS[i].europe;
    }
    for (int key = 0; key < KEY_COUNT; key++) {
        p->origin[key].standing = STANDING_JUDGEMENT;
        if (PROTOCOL_KEYS[key].is_optional) {
            p->value[key] = PROTOCOL_KEYS[key].absent;
        }
    }
    p->value[KEY_READINGS_IRREGULAR] = 3;
    p->value[KEY_SEVERE_SYSTOLIC_MMHG] = 180;
    p->value[KEY_SEVERE_DIASTOLIC_MMHG] = is_us ? 120 : 110;
    p->value[KEY_SEVERE_WHEN] = is_us ? SEVERE_ABOVE : SEVERE_AT;
    p->value[KEY_LEAK_MAX_MMHG_PER_MIN] = 4;
    p->value[KEY_COMPARISON_MAX_MMHG] = 3;
    for (size_t i = 0; i < ARRAY_LEN(ITEMS); i++) {
        struct protocol_item *item = &p->items[p->item_count++];
        (void)snprintf(item->id, sizeof item->id, "%s", ITEMS[i].id);
        (void)snprintf(item->say, sizeof item->say, "%s as it should be", ITEMS[i].id);
        item->step = ITEMS[i].step;
        item->is_waivable = ITEMS[i].is_waivable;
    }
    for (int rule = RULE_NONE + 1; rule < RULE_COUNT; rule++) {
        p->is_waivable[rule] =
            rule == RULE_KIT_OVERDUE || rule == RULE_ARMS_FEW || rule == RULE_ESTIMATE_MISSING;
    }
}

const struct protocol *hand_protocol(const char *id)
{
    static struct protocol us, europe;
    if (us.item_count == 0) {
        fill(&us, "us-adult", true);
        fill(&europe, "europe-adult", false);
    }
    if (strcmp(id, "us-adult") == 0) {
        return &us;
    }
    return strcmp(id, "europe-adult") == 0 ? &europe : NULL;
}

#ifdef TEST_BY_HAND
const struct protocol *asset_protocol(const char *id)
{
    return hand_protocol(id);
}
#else
const struct protocol *asset_protocol(const char *id)
{
    static struct protocols all;
    static bool is_read;
    struct err e = {.code = ST_OK};
    if (!is_read && protocols_load(TEST_SOURCE_DIR "/assets/protocols", &all, &e) != ST_OK) {
        (void)fprintf(stderr, "%s\n", e.text);
    }
    for (int i = 0; !is_read && i < all.fault_count; i++) {
        (void)fprintf(stderr, "%s\n", all.faults[i]);
    }
    is_read = true;
    return protocols_find(&all, id);
}
#endif
