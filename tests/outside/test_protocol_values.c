/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Each value of each protocol against the published source that is named beside it. Where there is none the row says
 * so, and the test insists that the file says so as well. */
#include <check.h>
#include <stdlib.h>
#include <string.h>

#include "config/protocols.h"
#include "outside/outside.h"

static struct protocols all;

static void setup(void)
{
    struct err e = {.text = ""};
    ck_assert_msg(protocols_load(TEST_SOURCE_DIR "/assets/protocols", &all, &e) == ST_OK, "%s", e.text);
    ck_assert_int_eq(all.fault_count, 0);
}

static void teardown(void)
{
    protocols_free(&all);
}

#define COMMON COMMON_PRACTICE
#define OURS JUDGEMENT
#define MEMORY FROM_MEMORY

/* What us-adult holds, and every other protocol where the next table does not say otherwise. */
static const struct {
    enum protocol_key key;
    int32_t value;
    const char *source; /* "" for ours */
    enum founded how;
    const char *published; /* what the source says */
} VALUES[KEY_COUNT] = {
    {KEY_REST_S, 300, "REST-1", PUBLISHED, "ACC/AHA 2017, Table 8: 5 minutes, on a chair"},
    {KEY_REST_VALID_S, 600, "", OURS, "no source: 10 minutes"},
    {KEY_SETTLE_S, 30, "PALP-7", PUBLISHED, "class notes on vital signs: 15 to 30 s, the longer taken"},
    {KEY_INTERVAL_MIN_S, 60, "NUM-1", PUBLISHED, "ACC/AHA 2017: 1 to 2 min"},
    {KEY_INTERVAL_MAX_S, 120, "NUM-1", PUBLISHED, "ACC/AHA 2017: 1 to 2 min"},
    {KEY_RENEW_AFTER_GAP_S, 120, "", OURS, "no source: 2 minutes"},
    {KEY_INFLATION_LONG_S, 150, "", OURS, "no source: 150 s"},
    {KEY_MARGIN_MMHG, 30, "PALP-2", PUBLISHED, "ACC/AHA 2017: 20 to 30 above, the larger taken"},
    {KEY_NO_ESTIMATE_FLOOR_MMHG, 180, "", OURS, "no source: 180"},
    {KEY_TARGET_HIGH_MMHG, 30, "", OURS, "no source: 30"},
    {KEY_PALPATE_START_MMHG, 70, "PALP-5", COMMON, "textbooks and NHANES: fast to 60 to 80"},
    {KEY_PALPATE_STEP_MMHG, 10, "PALP-5", COMMON, "textbooks and NHANES: then 10 at a time"},
    {KEY_FIRST_CLEAR_MMHG, 4, "", OURS, "no source: 4"},
    {KEY_GAP_SUSPECT_MMHG, 20, "", OURS, "no source: 20"},
    {KEY_LISTEN_ON_MMHG, 10, "READ-4", PUBLISHED, "Wayne State course: a further 10 to 20"},
    {KEY_RELEASE_LOW_X10, 20, "DEFL-1", PUBLISHED, "ACC/AHA 2017, BHS IV 2004: 2 mmHg/s"},
    {KEY_RELEASE_HIGH_X10, 30, "DEFL-2", PUBLISHED, "AHA 2005 as adapted: 2 to 3 mmHg/s"},
    {KEY_RELEASE_SLACK_X10, 5, "", OURS, "no source: 0.5 mmHg/s"},
    {KEY_RELEASE_VOID_X10, 60, "", OURS, "no source: 6 mmHg/s"},
    {KEY_RELEASE_SPAN_MMHG, 20, "", OURS, "no source: 20"},
    {KEY_RELEASE_BEAT_X100, 200, "DEFL-3", PUBLISHED, "Korean 2013, Nord 2012: 2 mmHg a beat"},
    {KEY_READINGS_MIN, 2, "NUM-1", PUBLISHED, "ACC/AHA 2017: 2 or more"},
    {KEY_READINGS_IRREGULAR, 3, "AF-1", PUBLISHED, "Korean 2013: at least 3 in an arrhythmia"},
    {KEY_READINGS_MAX, 5, "", OURS, "no source: 5"},
    {KEY_EXTRA_OVER_MMHG, 5, "NUM-9", PUBLISHED, "AHA 2005 as adapted: over 5"},
    {KEY_EXTRA_READINGS, 1, "NUM-9", PUBLISHED, "AHA 2005 as adapted: one or two more"},
    {KEY_AVERAGE, AVERAGE_ALL, "NUM-1", PUBLISHED, "ACC/AHA 2017: all"},
    {KEY_FIRST_ARMS, FIRST_ARMS_BOTH, "ARM-1", PUBLISHED, "ACC/AHA 2017: both at the first visit"},
    {KEY_ARMS_OVER_MMHG, 10, "ARM-5", PUBLISHED, "ISH 2020: over 10, on repeat"},
    {KEY_PRIOR_ARM, 1, "ARM-1", PUBLISHED, "ACC/AHA 2017: later the higher arm"},
    {KEY_USUAL, 1, "", OURS, "no source: allowed"},
    {KEY_CUFF_BY, CUFF_BY_CIRCUMFERENCE, "CUFF-2", PUBLISHED, "AHA 2005: cuffs by the arm's circumference"},
    {KEY_TOLD, 1, "JOB-7", MEMORY, "ACC/AHA 2017: aloud and in writing"},
    {KEY_SEVERE_SYSTOLIC_MMHG, 180, "SEV-1", PUBLISHED, "ACC/AHA 2017, 2025: above 180"},
    {KEY_SEVERE_DIASTOLIC_MMHG, 120, "SEV-1", PUBLISHED, "ACC/AHA 2017, 2025: and/or above 120"},
    {KEY_SEVERE_WHEN, SEVERE_ABOVE, "SEV-1", PUBLISHED, "ACC/AHA 2017, 2025: above, not at"},
    {KEY_LEAK_MAX_MMHG_PER_MIN, 4, "GAU-3", MEMORY, "ISO 81060-1, OIML: 4 mmHg/min or less"},
    {KEY_COMPARISON_MAX_MMHG, 3, "GAU-1", PUBLISHED, "ISO 81060-1, OIML R 16-1: 3 for acceptance"},
    {KEY_ALONE_BELOW_SYSTOLIC_MMHG, 0, "NUM-1", PUBLISHED, "ACC/AHA 2017: 2 or more, never one alone"},
    {KEY_ALONE_BELOW_DIASTOLIC_MMHG, 0, "NUM-1", PUBLISHED, "ACC/AHA 2017: 2 or more, never one alone"},
    {KEY_ARMS_REPEAT, 0, "", OURS, "no source: not repeated"},
    {KEY_STANDING_READINGS, 0, "", OURS, "no source: nobody stands"},
    {KEY_STANDING_FIRST_S, 60, "OH-5", PUBLISHED, "Korean 2013: 1 and 3 min"},
    {KEY_STANDING_SECOND_S, 180, "OH-5", PUBLISHED, "Korean 2013: 1 and 3 min"},
    {KEY_STANDING_LATE_S, 60, "", OURS, "no source: a minute"},
    {KEY_DROP_SYSTOLIC_MMHG, 20, "OH-1", PUBLISHED, "Consensus 2011: 20 or more"},
    {KEY_DROP_DIASTOLIC_MMHG, 10, "OH-1", PUBLISHED, "Consensus 2011: 10 or more"},
    {KEY_LOW_SYSTOLIC_MMHG, 90, "LOW-1", PUBLISHED, "UK pharmacy service: below 90/60"},
    {KEY_LOW_DIASTOLIC_MMHG, 60, "LOW-1", PUBLISHED, "UK pharmacy service: below 90/60"},
    {KEY_ZERO_MAX_MMHG, 0, "GAU-12", PUBLISHED, "HeartBEAT manual: off zero goes out for repair"},
    {KEY_BLADDER_WIDTH_PCT, 40, "RATIO-2", PUBLISHED, "AHA 2005: 40 % or more"},
    {KEY_BLADDER_LENGTH_PCT, 80, "RATIO-1", PUBLISHED, "ACC/AHA 2017, AHA 2005: 80 %, at least"},
    {KEY_CUFF_GAP_MM, 10, "", OURS, "no source: 10 mm, the step of tables in whole cm"},
    {KEY_GAUGE_LIMIT_MMHG, 3, "GAU-1", PUBLISHED, "ISO 81060-1, OIML R 16-1: 3 for acceptance"},
    {KEY_ARM_HEIGHT_MM, 25, "", OURS, "no source: 25 mm"},
    {KEY_WITHIN_SYSTOLIC_SD_X10, 62, "VAR-2", CALCULATED, "Bland and Altman 1999, computed: 6.1 and 6.2"},
    {KEY_WITHIN_DIASTOLIC_SD_X10, 62, "", OURS, "no source: as the systolic"},
    {KEY_WITHIN_SD_DF, 17, "VAR-2", OURS, "fitted by us to the same data: 17"},
    {KEY_VISIT_SD_X10, 135, "VAR-1", PUBLISHED, "PMC4867495: 13.5"},
    {KEY_LAPSES_MAX, 3, "", OURS, "no source: 3"},
    {KEY_UNSEEN_MAX, 2, "", OURS, "no source: 2"},
    {KEY_LOOK_MIN_X10, 10, "", OURS, "no source: 1.0 s"},
    {KEY_PAIR_OVER_MMHG, 4, "OBS-7", MEMORY, "ESH-IP 2010, ISO 81060-2: 4 or less, else repeat"},
};

static const struct {
    const char *id;
    enum protocol_key key;
    int32_t value;
    const char *source;
    enum founded how;
    const char *published;
} OTHERWISE[] = {
    {"europe-adult", KEY_INTERVAL_MIN_S, 60, "NUM-3", PUBLISHED, "ESC 2024: 1 to 2 min"},
    {"europe-adult", KEY_INTERVAL_MAX_S, 120, "NUM-3", PUBLISHED, "ESC 2024: 1 to 2 min"},
    {"europe-adult", KEY_READINGS_MIN, 3, "NUM-3", PUBLISHED, "ESC 2024: 3"},
    {"europe-adult", KEY_READINGS_MAX, 6, "", OURS, "no source: 6"},
    {"europe-adult", KEY_EXTRA_OVER_MMHG, 10, "NUM-3", PUBLISHED, "ESC 2024: over 10"},
    {"europe-adult", KEY_EXTRA_READINGS, 1, "NUM-3", PUBLISHED, "ESC 2024: more"},
    {"europe-adult", KEY_AVERAGE, AVERAGE_LAST_TWO, "NUM-3", PUBLISHED, "ESC 2024: 2nd and 3rd"},
    {"europe-adult", KEY_ALONE_BELOW_SYSTOLIC_MMHG, 0, "NUM-3", PUBLISHED, "ESC 2024: 3"},
    {"europe-adult", KEY_ALONE_BELOW_DIASTOLIC_MMHG, 0, "NUM-3", PUBLISHED, "ESC 2024: 3"},
    {"uk-adult", KEY_READINGS_MIN, 2, "NUM-10", PUBLISHED, "NICE NG136 1.2.2: a second if 140/90 or more"},
    {"uk-adult", KEY_EXTRA_OVER_MMHG, 10, "", OURS, "NICE NG136 gives no number: substantially different"},
    {"uk-adult", KEY_EXTRA_READINGS, 1, "NUM-10", PUBLISHED, "NICE NG136 1.2.2: a third"},
    {"uk-adult", KEY_AVERAGE, AVERAGE_LOWER_OF_LAST_TWO, "NUM-10", PUBLISHED,
     "NICE NG136 1.2.2: the lower of the last two"},
    {"uk-adult", KEY_ALONE_BELOW_SYSTOLIC_MMHG, 140, "NUM-10", PUBLISHED,
     "NICE NG136 1.2.2: a second if 140/90 or more"},
    {"uk-adult", KEY_ALONE_BELOW_DIASTOLIC_MMHG, 90, "NUM-10", PUBLISHED,
     "NICE NG136 1.2.2: a second if 140/90 or more"},
    {"uk-adult", KEY_FIRST_ARMS, FIRST_ARMS_BOTH, "ARM-2", PUBLISHED, "NICE NG136 1.2.1: both"},
    {"uk-adult", KEY_ARMS_OVER_MMHG, 15, "ARM-2", PUBLISHED, "NICE NG136 1.2.1: over 15"},
    {"uk-adult", KEY_ARMS_REPEAT, 1, "ARM-2", PUBLISHED, "NICE NG136 1.2.1: repeat both"},
    {"uk-adult", KEY_PRIOR_ARM, 1, "ARM-2", PUBLISHED, "NICE NG136 1.2.1: then the higher arm"},
    {"uk-adult", KEY_SEVERE_SYSTOLIC_MMHG, 180, "SEV-3", PUBLISHED, "NICE NG136 1.5: 180 or more"},
    {"uk-adult", KEY_SEVERE_DIASTOLIC_MMHG, 120, "SEV-3", PUBLISHED, "NICE NG136 1.5: 120 or more"},
    {"uk-adult", KEY_SEVERE_WHEN, SEVERE_AT, "SEV-3", PUBLISHED, "NICE NG136 1.5: at and above"},
    {"international-adult", KEY_INTERVAL_MIN_S, 60, "NUM-5", PUBLISHED, "ISH 2020: 1 min"},
    {"international-adult", KEY_READINGS_MIN, 3, "NUM-5", PUBLISHED, "ISH 2020: 3"},
    {"international-adult", KEY_READINGS_MAX, 6, "", OURS, "no source: 6"},
    {"international-adult", KEY_EXTRA_OVER_MMHG, 10, "", OURS, "no source: without effect, as no more are asked for"},
    {"international-adult", KEY_EXTRA_READINGS, 0, "", OURS, "ISH 2020 as reported asks for no more"},
    {"international-adult", KEY_AVERAGE, AVERAGE_LAST_TWO, "NUM-5", PUBLISHED, "ISH 2020: 2nd and 3rd"},
    {"international-adult", KEY_ALONE_BELOW_SYSTOLIC_MMHG, 130, "NUM-5", PUBLISHED,
     "ISH 2020: below 130/85 one suffices"},
    {"international-adult", KEY_ALONE_BELOW_DIASTOLIC_MMHG, 85, "NUM-5", PUBLISHED,
     "ISH 2020: below 130/85 one suffices"},
    {"standing-adult", KEY_REST_S, 300, "OH-2", PUBLISHED, "therapeutic guideline: lie for 5 min"},
    {"standing-adult", KEY_READINGS_MIN, 2, "", OURS, "no source: 2 lying"},
    {"standing-adult", KEY_EXTRA_OVER_MMHG, 10, "NUM-3", PUBLISHED, "ESC 2024: over 10"},
    {"standing-adult", KEY_EXTRA_READINGS, 1, "NUM-3", PUBLISHED, "ESC 2024: more"},
    {"standing-adult", KEY_FIRST_ARMS, FIRST_ARMS_ONE, "", OURS, "no source: one arm"},
    {"standing-adult", KEY_STANDING_READINGS, 2, "OH-5", PUBLISHED, "Korean 2013: at 1 and 3 min"},
    {"pregnancy", KEY_SEVERE_SYSTOLIC_MMHG, 160, "PREG-3", PUBLISHED, "ACOG 623, 767: 160 or more"},
    {"pregnancy", KEY_SEVERE_DIASTOLIC_MMHG, 110, "PREG-3", PUBLISHED, "ACOG 623, 767: 110 or more"},
    {"pregnancy", KEY_SEVERE_WHEN, SEVERE_AT, "PREG-3", PUBLISHED, "ACOG 623, 767: at and above"},
    {"irregular-adult", KEY_INFLATION_LONG_S, 180, "", OURS, "no source: 180 s"},
    {"irregular-adult", KEY_RELEASE_HIGH_X10, 20, "DEFL-1", PUBLISHED, "ACC/AHA 2017, BHS IV 2004: 2 mmHg/s"},
    {"irregular-adult", KEY_READINGS_MIN, 3, "AF-1", PUBLISHED, "Korean 2013: at least 3"},
    {"irregular-adult", KEY_READINGS_MAX, 6, "", OURS, "no source: 6"},
    {"irregular-adult", KEY_EXTRA_OVER_MMHG, 9, "NUM-16", PUBLISHED, "ESH 2021, 2023: by 10 or more"},
    {"irregular-adult", KEY_EXTRA_READINGS, 1, "NUM-16", PUBLISHED, "ESH 2021, 2023: more"},
    {"irregular-adult", KEY_AVERAGE, AVERAGE_ALL, "AF-1", PUBLISHED, "Korean 2013: the mean"},
    {"irregular-adult", KEY_USUAL, 0, "", OURS, "no source: not allowed"},
};

static enum standing standing_of(enum founded how)
{
    return how == PUBLISHED || how == CALCULATED ? STANDING_PUBLISHED
           : how == COMMON                       ? STANDING_COMMON
           : how == MEMORY                       ? STANDING_MEMORY
                                                 : STANDING_JUDGEMENT;
}

static void check_value(const struct protocol *p, enum protocol_key key, int32_t value, const char *source,
                        enum founded how, const char *published)
{
    const struct origin *o = &p->origin[key];
    outside(how, source, p->value[key] == value, "%s %s is %d; %s", p->id, PROTOCOL_KEYS[key].name, (int)p->value[key],
            published);
    ck_assert_msg(strcmp(o->source, source) == 0, "%s %s names %s", p->id, PROTOCOL_KEYS[key].name, o->source);
    ck_assert_msg(o->standing == standing_of(how), "%s %s is %s", p->id, PROTOCOL_KEYS[key].name,
                  STANDING_WORDS[o->standing]);
}

START_TEST(protocol_values_are_those_of_their_sources)
{
    ck_assert_int_eq(VALUES[_i].key, _i); /* no key without its row */
    for (int k = 0; k < all.count; k++) {
        bool is_own = false;
        for (size_t i = 0; i < ARRAY_LEN(OTHERWISE); i++)
            is_own = is_own || (OTHERWISE[i].key == VALUES[_i].key && strcmp(OTHERWISE[i].id, all.list[k]->id) == 0);
        if (!is_own)
            check_value(all.list[k], VALUES[_i].key, VALUES[_i].value, VALUES[_i].source, VALUES[_i].how,
                        VALUES[_i].published);
    }
}
END_TEST

START_TEST(what_a_protocol_holds_otherwise_is_that_of_its_source)
{
    const struct protocol *p = protocols_find(&all, OTHERWISE[_i].id);
    ck_assert_ptr_nonnull(p);
    check_value(p, OTHERWISE[_i].key, OTHERWISE[_i].value, OTHERWISE[_i].source, OTHERWISE[_i].how,
                OTHERWISE[_i].published);
}
END_TEST

/* Sizes of errors as they are said on screens. */
static const struct {
    const char *item, *source, *cost, *published;
} COSTS[] = {
    {"ready.caffeine", "ERR-3", "3 to 14", "Kallioinen 2017: systolic +3 to +14"},
    {"ready.tobacco", "ERR-4", "3 to 25", "Kallioinen 2017: systolic +2.81 to +25"},
    {"ready.toilet", "ERR-5", "4 to 33", "Kallioinen 2017: systolic +4.2 to +33"},
    {"ready.calm", "ERR-6", "5 to 32", "Kallioinen 2017: systolic +5 to +32"},
    {"posture.back", "ERR-15", "6.5", "Kallioinen 2017: diastolic +6.5, systolic none"},
    {"posture.feet", "ERR-32", "5 to 10", "AHA public list: back or feet +5 to +10"},
    {"posture.legs", "ERR-14", "2.5 to 15", "Kallioinen 2017: systolic +2.5 to +14.89"},
    {"posture.quiet", "ERR-32", "10 to 15", "AHA public list: talking +10 to +15"},
    {"arm.bare", "ERR-32", "10 to 40", "AHA public list: over clothing +10 to +40"},
    {"arm.supported", "ERR-31", "6.5", "Liu 2024: hanging at the side, systolic +6.5"},
    {"cuff.placed", "PLACE-4", "4 to 5", "PMC5506235: a cuff too small turned by 90 degrees, +4.9 / +4.0"},
};

START_TEST(item_costs_are_those_of_their_sources)
{
    int found = 0;
    for (int k = 0; k < all.count; k++) {
        const struct protocol *p = all.list[k];
        int i = protocol_find_item(p, COSTS[_i].item);
        if (i < 0 || p->items[i].cost[0] == '\0')
            continue;
        outside(PUBLISHED, COSTS[_i].source, strstr(p->items[i].cost, COSTS[_i].cost) != NULL, "%s %s says '%s'; %s", p->id,
                COSTS[_i].item, p->items[i].cost, COSTS[_i].published);
        ck_assert_str_eq(p->items[i].cost_source, COSTS[_i].source);
        found++;
    }
    ck_assert_int_ge(found, all.count - 1); /* the one lying down has no chair */
}
END_TEST

START_TEST(item_costs_all_stand_in_the_table_above)
{
    for (int k = 0; k < all.count; k++) {
        const struct protocol *p = all.list[k];
        for (int i = 0; i < p->item_count; i++) {
            bool is_there = p->items[i].cost[0] == '\0';
            for (size_t n = 0; n < ARRAY_LEN(COSTS); n++)
                is_there = is_there || strcmp(COSTS[n].item, p->items[i].id) == 0;
            ck_assert_msg(is_there, "%s %s", p->id, p->items[i].id);
        }
    }
}
END_TEST

START_TEST(published_means_seen)
{
    for (int k = 0; k < all.count; k++) {
        const struct protocol *p = all.list[k];
        for (int i = 0; i < KEY_COUNT + p->item_count; i++) {
            const struct origin *o = i < KEY_COUNT ? &p->origin[i] : &p->items[i - KEY_COUNT].origin;
            const struct source *s = o->source[0] ? protocols_source(&all, o->source) : NULL;
            ck_assert(o->source[0] == '\0' || s != NULL);
            if (o->standing == STANDING_PUBLISHED)
                ck_assert(s != NULL && strcmp(s->seen, "memory") != 0);
            if (o->standing == STANDING_MEMORY)
                ck_assert(s != NULL && strcmp(s->seen, "memory") == 0);
        }
    }
}
END_TEST

/* Who may not be measured by these protocols, and which arm, is nobody's to pass over; and no word alarms the subject. */
START_TEST(items_are_waivable_only_where_that_is_sensible)
{
    static const char *const WAIVABLE[] = {"ready.caffeine", "ready.tobacco", "ready.exercise", "ready.toilet", "ready.calm",
                                           "posture.back", "posture.feet", "posture.legs", "arm.bare"};
    static const char *const QUIET[] = {"ready.adult", "ready.not-pregnant", "ready.pregnant-or-birth", "arm.usable"};
    for (int k = 0; k < all.count; k++) {
        for (int i = 0; i < all.list[k]->item_count; i++) {
            const struct protocol_item *it = &all.list[k]->items[i];
            bool is_waivable = false, is_quiet = false;
            for (size_t n = 0; n < ARRAY_LEN(WAIVABLE); n++)
                is_waivable = is_waivable || strcmp(it->id, WAIVABLE[n]) == 0;
            for (size_t n = 0; n < ARRAY_LEN(QUIET); n++)
                is_quiet = is_quiet || strcmp(it->id, QUIET[n]) == 0;
            ck_assert_msg(it->is_waivable == is_waivable, "%s %s", all.list[k]->id, it->id);
            ck_assert_msg(it->is_quiet == is_quiet, "%s %s", all.list[k]->id, it->id);
            ck_assert_ptr_null(strstr(it->say, "bladder"));
            ck_assert_ptr_null(strstr(it->cost, "bladder"));
        }
    }
}
END_TEST

/* Each more is a key more at every first visit. */
START_TEST(no_protocol_has_more_groups_of_items_than_the_first_had)
{
    static const int GROUPS[STEP_COUNT] = {[STEP_READINESS] = 4, [STEP_ARM] = 2, [STEP_CUFF] = 1, [STEP_POSTURE] = 2,
                                           [STEP_KIT] = 2, [STEP_CLOSING] = 1};
    for (int k = 0; k < all.count; k++) {
        int groups[STEP_COUNT] = {0};
        for (int i = 0; i < all.list[k]->item_count; i++) {
            const struct protocol_item *it = &all.list[k]->items[i];
            if (it->group > groups[it->step])
                groups[it->step] = it->group;
        }
        for (int step = 0; step < STEP_COUNT; step++)
            ck_assert_int_eq(groups[step], GROUPS[step]);
    }
}
END_TEST

int main(void)
{
    Suite *s = suite_create("protocol_values");
    TCase *c = tcase_create("protocol_values");
    suite_add_tcase(s, c);
    tcase_add_checked_fixture(c, setup, teardown);
    tcase_add_loop_test(c, protocol_values_are_those_of_their_sources, 0, KEY_COUNT);
    tcase_add_loop_test(c, what_a_protocol_holds_otherwise_is_that_of_its_source, 0, (int)ARRAY_LEN(OTHERWISE));
    tcase_add_loop_test(c, item_costs_are_those_of_their_sources, 0, (int)ARRAY_LEN(COSTS));
    tcase_add_test(c, item_costs_all_stand_in_the_table_above);
    tcase_add_test(c, published_means_seen);
    tcase_add_test(c, items_are_waivable_only_where_that_is_sensible);
    tcase_add_test(c, no_protocol_has_more_groups_of_items_than_the_first_had);
    return outside_run(s);
}
