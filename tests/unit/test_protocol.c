/* SPDX-License-Identifier: GPL-3.0-or-later */
#include <check.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "config/protocols.h"
#include "stillarm/text.h"

/* The protocol that came with the program is sound: each test breaks one thing in a copy of it. */
static struct protocol sound;

static void load_sound(void)
{
    struct protocols ps;
    ck_assert_int_eq(protocols_load(TEST_SOURCE_DIR "/assets/protocols", &ps, NULL), ST_OK);
    ck_assert_ptr_nonnull(protocols_find(&ps, "us-adult"));
    sound = *protocols_find(&ps, "us-adult");
    protocols_free(&ps);
}

/* Checked, with the first word of the text: what the fault is about. */
static enum status check(const struct protocol *p, char about[64])
{
    struct err e = {.text = ""};
    enum status st = protocol_check(p, &e);
    snprintf(about, 64, "%.*s", (int)strcspn(e.text, " :"), e.text);
    return st;
}

START_TEST(protocol_keys_have_a_whole_row_each)
{
    const struct protocol_key_row *row = &PROTOCOL_KEYS[_i];
    ck_assert_ptr_nonnull(row->name);
    ck_assert_ptr_nonnull(row->unit);
    ck_assert(is_plain_text(row->meaning, 100));
    ck_assert_int_lt(row->low, row->high);
    ck_assert_int_ge(row->low, _i == KEY_LAPSES_MAX ? -1 : 0); /* -1: no sittings before a witness */
    ck_assert_uint_eq(strspn(row->name, "abcdefghijklmnopqrstuvwxyz_0123456789"), strlen(row->name));
    for (int i = 0; row->words && i <= row->high; i++)
        ck_assert(is_item(row->words[i]));
    for (int i = 0; i < _i; i++)
        ck_assert_str_ne(row->name, PROTOCOL_KEYS[i].name);
}
END_TEST

START_TEST(protocol_keys_stand_in_the_document_with_their_bounds)
{
    static char text[200000];
    char row[300];
    const struct protocol_key_row *k = &PROTOCOL_KEYS[_i];
    FILE *f = fopen(TEST_SOURCE_DIR "/docs/protocol-files.md", "rb");
    ck_assert_ptr_nonnull(f);
    size_t n = fread(text, 1, sizeof text - 1, f);
    text[n] = '\0';
    ck_assert_int_eq(fclose(f), 0);
    struct text t;
    text_init(&t, row, sizeof row);
    text_addf(&t, "| %s | ", k->name);
    for (int i = 0; k->words && i <= k->high; i++)
        text_addf(&t, "%s%s", i ? ", " : "", k->words[i]);
    if (!k->words)
        text_addf(&t, "%d to %d", (int)k->low, (int)k->high);
    text_addf(&t, " | %s | %s |", k->unit, k->meaning);
    ck_assert_msg(strstr(text, row) != NULL, "docs/protocol-files.md has no row: %s", row);
}
END_TEST

START_TEST(standing_words_are_the_four)
{
    ck_assert_int_eq(STANDING_COUNT, 4);
    ck_assert_str_eq(STANDING_WORDS[STANDING_PUBLISHED], "published");
    ck_assert_str_eq(STANDING_WORDS[STANDING_COMMON], "common practice");
    ck_assert_str_eq(STANDING_WORDS[STANDING_JUDGEMENT], "judgement");
    ck_assert_str_eq(STANDING_WORDS[STANDING_MEMORY], "from memory");
}
END_TEST

START_TEST(protocol_step_of_item_goes_by_the_prefix)
{
    ck_assert_int_eq(protocol_step_of_item("kit.zero"), STEP_KIT);
    ck_assert_int_eq(protocol_step_of_item("ready.adult"), STEP_READINESS);
    ck_assert_int_eq(protocol_step_of_item("posture.legs"), STEP_POSTURE);
    ck_assert_int_eq(protocol_step_of_item("arm.usable"), STEP_ARM);
    ck_assert_int_eq(protocol_step_of_item("cuff.snug"), STEP_CUFF);
    ck_assert_int_eq(protocol_step_of_item("close.removed"), STEP_CLOSING);
    ck_assert_int_eq(protocol_step_of_item("rest.long"), STEP_NONE);
    ck_assert_int_eq(protocol_step_of_item("kit"), STEP_NONE);
    ck_assert_int_eq(protocol_step_of_item("kits.zero"), STEP_NONE);
    ck_assert_int_eq(protocol_step_of_item(""), STEP_NONE);
}
END_TEST

START_TEST(protocol_find_item_finds_every_item_and_no_other)
{
    for (int i = 0; i < sound.item_count; i++)
        ck_assert_int_eq(protocol_find_item(&sound, sound.items[i].id), i);
    ck_assert_int_eq(protocol_find_item(&sound, "ready.nothing"), -1);
    ck_assert_int_eq(protocol_find_item(&sound, ""), -1);
}
END_TEST

START_TEST(protocol_ms_does_not_overflow)
{
    ck_assert_int_eq(protocol_ms(&sound, KEY_REST_S), 300000);
    struct protocol p = sound;
    p.value[KEY_REST_S] = INT32_MAX;
    ck_assert_int_eq(protocol_ms(&p, KEY_REST_S), INT64_C(2147483647000));
}
END_TEST

START_TEST(protocol_check_accepts_the_sound_one)
{
    char about[64];
    ck_assert_int_eq(check(&sound, about), ST_OK);
}
END_TEST

START_TEST(protocol_check_refuses_each_key_beyond_its_bounds)
{
    const struct protocol_key_row *row = &PROTOCOL_KEYS[_i];
    const int32_t beyond[] = {row->low - 1, row->high + 1, INT32_MIN, INT32_MAX};
    for (size_t i = 0; i < ARRAY_LEN(beyond); i++) {
        char about[64];
        struct protocol p = sound;
        p.value[_i] = beyond[i];
        ck_assert_int_eq(check(&p, about), ST_RANGE);
        ck_assert_str_eq(about, row->name);
    }
}
END_TEST

static const struct {
    enum protocol_key key;
    int32_t value;
    enum status want;
    const char *reason;
} WHOLE[] = {
    {KEY_INTERVAL_MIN_S, 120, ST_OK, "interval of no width"},
    {KEY_INTERVAL_MIN_S, 121, ST_RANGE, "interval upside down"},
    {KEY_RELEASE_LOW_X10, 30, ST_OK, "band of no width"},
    {KEY_RELEASE_LOW_X10, 31, ST_RANGE, "band upside down"},
    {KEY_RELEASE_HIGH_X10, 59, ST_OK, "band just below what is void"},
    {KEY_RELEASE_HIGH_X10, 60, ST_RANGE, "what is in the band would be void"},
    {KEY_READINGS_MIN, 3, ST_OK, "as many as for an irregular pulse"},
    {KEY_READINGS_MIN, 4, ST_RANGE, "more than for an irregular pulse"},
    {KEY_READINGS_IRREGULAR, 5, ST_OK, "as many as there may be"},
    {KEY_READINGS_IRREGULAR, 6, ST_RANGE, "more than there may be"},
    {KEY_EXTRA_READINGS, 3, ST_OK, "two and three are five"},
    {KEY_EXTRA_READINGS, 4, ST_RANGE, "two and four are more than five"},
    {KEY_MARGIN_MMHG, 31, ST_RANGE, "odd"},
    {KEY_PALPATE_START_MMHG, 71, ST_RANGE, "odd"},
    {KEY_PALPATE_STEP_MMHG, 5, ST_RANGE, "odd"},
    {KEY_NO_ESTIMATE_FLOOR_MMHG, 181, ST_RANGE, "odd"},
    {KEY_SEVERE_SYSTOLIC_MMHG, 120, ST_RANGE, "systolic not above diastolic"},
    {KEY_REST_VALID_S, 61, ST_OK, "a rest outlasts the shortest interval"},
    {KEY_REST_VALID_S, 60, ST_RANGE, "a rest would be stale by the next reading"},
    {KEY_SETTLE_S, 600, ST_RANGE, "a rest would be stale once the cuff has settled"},
    {KEY_CUFF_BY, CUFF_BY_INDEX, ST_NOT_FOUND, "no cuff.index item"},
    {KEY_STANDING_SECOND_S, 61, ST_OK, "just after the first reading standing"},
    {KEY_STANDING_SECOND_S, 60, ST_RANGE, "no later than the first reading standing"},
    {KEY_STANDING_SECOND_S, 600, ST_OK, "nobody stands, so no rest goes stale"},
    {KEY_LOW_SYSTOLIC_MMHG, 90, ST_OK, "below what is very high"},
    {KEY_LOW_DIASTOLIC_MMHG, 60, ST_OK, "below what is very high"},
};

START_TEST(protocol_check_looks_at_keys_together)
{
    char about[64];
    struct protocol p = sound;
    p.value[WHOLE[_i].key] = WHOLE[_i].value;
    ck_assert_msg(check(&p, about) == WHOLE[_i].want, "%s: %s", PROTOCOL_KEYS[WHOLE[_i].key].name, WHOLE[_i].reason);
}
END_TEST

static enum status check_with(const enum protocol_key keys[], const int32_t values[], int n, char about[64])
{
    struct protocol p = sound;
    for (int i = 0; i < n; i++)
        p.value[keys[i]] = values[i];
    return check(&p, about);
}

START_TEST(protocol_check_wants_both_values_of_alone_below_or_neither)
{
    static const enum protocol_key KEYS[] = {KEY_ALONE_BELOW_SYSTOLIC_MMHG, KEY_ALONE_BELOW_DIASTOLIC_MMHG};
    char about[64];
    ck_assert_int_eq(check_with(KEYS, (const int32_t[]){130, 85}, 2, about), ST_OK);
    ck_assert_int_eq(check_with(KEYS, (const int32_t[]){0, 0}, 2, about), ST_OK);
    ck_assert_int_eq(check_with(KEYS, (const int32_t[]){130, 0}, 2, about), ST_RANGE);
    ck_assert_str_eq(about, "alone_below_diastolic_mmhg");
    ck_assert_int_eq(check_with(KEYS, (const int32_t[]){0, 85}, 2, about), ST_RANGE);
    ck_assert_str_eq(about, "alone_below_systolic_mmhg");
}
END_TEST

START_TEST(protocol_check_lets_a_rest_outlast_the_waits_standing)
{
    static const enum protocol_key KEYS[] = {KEY_STANDING_READINGS, KEY_STANDING_FIRST_S, KEY_STANDING_SECOND_S};
    char about[64];
    ck_assert_int_eq(check_with(KEYS, (const int32_t[]){2, 60, 180}, 3, about), ST_OK);
    ck_assert_int_eq(check_with(KEYS, (const int32_t[]){2, 60, sound.value[KEY_REST_VALID_S]}, 3, about), ST_RANGE);
    ck_assert_str_eq(about, "standing_second_s");
}
END_TEST

START_TEST(protocol_check_keeps_low_below_very_high)
{
    static const enum protocol_key KEYS[] = {KEY_LOW_SYSTOLIC_MMHG, KEY_SEVERE_SYSTOLIC_MMHG, KEY_SEVERE_DIASTOLIC_MMHG};
    char about[64];
    ck_assert_int_eq(check_with(KEYS, (const int32_t[]){119, 120, 80}, 3, about), ST_OK);
    ck_assert_int_eq(check_with(KEYS, (const int32_t[]){120, 120, 80}, 3, about), ST_RANGE);
    ck_assert_str_eq(about, "low_systolic_mmhg");
}
END_TEST

static void put_scheme(struct protocol *p, const char *id)
{
    struct category_scheme *c = &p->schemes[p->scheme_count++];
    *c = (struct category_scheme){.title = "Two bands", .band_count = 2};
    text_copy(c->id, sizeof c->id, id);
    c->bands[0] = (struct category_band){.id = "below", .say = "below"};
    c->bands[1] = (struct category_band){.id = "high", .say = "high", .systolic_from_mmhg = 140, .diastolic_from_mmhg = 90};
}

START_TEST(protocol_check_looks_into_its_category_schemes)
{
    char about[64];
    struct protocol p = sound;
    p.scheme_count = 0;
    put_scheme(&p, "one");
    put_scheme(&p, "two");
    ck_assert_int_eq(check(&p, about), ST_OK);
    put_scheme(&p, "one");
    ck_assert_int_eq(check(&p, about), ST_EXISTS);
    p.scheme_count = 2;
    p.schemes[1].bands[1].systolic_from_mmhg = 0;
    ck_assert_int_eq(check(&p, about), ST_RANGE);
    ck_assert_str_eq(about, "high");
    p.scheme_count = PROTOCOL_SCHEMES_MAX + 1;
    ck_assert_int_eq(check(&p, about), ST_FULL);
}
END_TEST

/* ---- going one's own way ---- */

START_TEST(protocol_say_value_writes_units_and_points)
{
    static const struct {
        enum protocol_key key;
        int32_t value;
        const char *want;
    } ROWS[] = {
        {KEY_REST_S, 300, "300 s"},
        {KEY_FIRST_ARMS, FIRST_ARMS_BOTH, "both"},
        {KEY_TOLD, 1, "yes"},
        {KEY_RELEASE_LOW_X10, 20, "2.0 mmHg/s"},
        {KEY_RELEASE_BEAT_X100, 205, "2.05 mmHg a beat"},
        {KEY_WITHIN_SYSTOLIC_SD_X10, 62, "6.2 mmHg"},
        {KEY_READINGS_MIN, 2, "2"},
        {KEY_BLADDER_WIDTH_PCT, 40, "40 % of the arm"},
        {KEY_AVERAGE, AVERAGE_OF_COUNT, "4"}, /* no such word: never read past the list */
    };
    for (size_t i = 0; i < ARRAY_LEN(ROWS); i++) {
        char said[64];
        protocol_say_value(ROWS[i].key, ROWS[i].value, said, sizeof said);
        ck_assert_str_eq(said, ROWS[i].want);
    }
}
END_TEST

/* The sound protocol, with nothing known of what others say. */
static struct protocol alone(void)
{
    struct protocol p = sound;
    memset(p.says, 0, sizeof p.says);
    memset(p.published, 0, sizeof p.published);
    p.has_base = 0;
    p.left_out_count = 0;
    return p;
}

START_TEST(protocol_deviations_say_each_departure_once)
{
    char said[200];
    struct protocol p = alone();
    ck_assert_int_eq(protocol_deviations(&p), 0);
    ck_assert(!protocol_say_deviation(&p, 0, said, sizeof said));

    memcpy(p.base_value, p.value, sizeof p.value);
    p.has_base = 1;
    text_copy(p.copied_from, sizeof p.copied_from, "us-adult");
    ck_assert_int_eq(protocol_deviations(&p), 0);

    p.says[KEY_REST_S] = (struct says){1, 300, 300};
    p.says[KEY_SETTLE_S] = (struct says){1, 15, 30};
    text_copy(p.origin[KEY_REST_S].source, SOURCE_CAP, "REST-1");
    text_copy(p.origin[KEY_SETTLE_S].source, SOURCE_CAP, "PALP-7");
    ck_assert_int_eq(protocol_deviations(&p), 0);
    p.value[KEY_REST_S] = 240;
    p.base_value[KEY_REST_S] = 240;
    p.value[KEY_REST_VALID_S] = 500;
    p.value[KEY_SETTLE_S] = 40;
    text_copy(p.left_out[p.left_out_count++], ITEM_CAP, "posture.legs");
    ck_assert_int_eq(protocol_deviations(&p), 4);

    static const char *const WANT[] = {"rest before the first reading (rest_s) is 240 s; REST-1 says 300 s",
                                       "how long a rest stays good until the next inflation (rest_valid_s) is 500 s; us-adult "
                                       "has 600 s",
                                       "wait with an empty cuff after the palpation (settle_s) is 40 s; PALP-7 says 15 to 30 s; "
                                       "us-adult has 30 s",
                                       "leaves out posture.legs of us-adult"};
    for (int i = 0; i < (int)ARRAY_LEN(WANT); i++) {
        ck_assert(protocol_say_deviation(&p, i, said, sizeof said));
        ck_assert_str_eq(said, WANT[i]);
    }
    ck_assert(!protocol_say_deviation(&p, 4, said, sizeof said));
    ck_assert(!protocol_say_deviation(&p, -1, said, sizeof said));
}
END_TEST

START_TEST(protocol_deviates_only_outside_what_its_source_publishes)
{
    struct protocol p = alone();
    p.says[KEY_SETTLE_S] = (struct says){1, 15, 30};
    static const struct {
        int32_t value;
        bool deviates;
    } ROWS[] = {{14, true}, {15, false}, {30, false}, {31, true}};
    for (size_t i = 0; i < ARRAY_LEN(ROWS); i++) {
        p.value[KEY_SETTLE_S] = ROWS[i].value;
        ck_assert_int_eq(protocol_deviates(&p, KEY_SETTLE_S), ROWS[i].deviates);
    }
}
END_TEST

START_TEST(protocol_source_is_not_named_for_a_value_that_it_does_not_say)
{
    char said[SOURCE_SAID_CAP];
    struct protocol p = alone();
    p.origin[KEY_REST_S] = (struct origin){.source = "REST-1", .standing = STANDING_PUBLISHED};
    p.says[KEY_REST_S] = (struct says){1, 300, 300};
    protocol_say_source(&p, KEY_REST_S, said, sizeof said);
    ck_assert_str_eq(said, "REST-1, published");
    ck_assert_str_eq(protocol_origin(&p, KEY_REST_S).source, "REST-1");

    p.value[KEY_REST_S] = 120;
    protocol_say_source(&p, KEY_REST_S, said, sizeof said);
    ck_assert_str_eq(said, "this protocol's own; REST-1 says 300 s");
    ck_assert_str_eq(protocol_origin(&p, KEY_REST_S).source, "");
    ck_assert_int_eq(protocol_origin(&p, KEY_REST_S).standing, STANDING_JUDGEMENT);
}
END_TEST

static struct protocol copied(void)
{
    struct protocol p = alone();
    memcpy(p.base_value, p.value, sizeof p.value);
    p.has_base = 1;
    text_copy(p.copied_from, sizeof p.copied_from, "us-adult");
    return p;
}

START_TEST(protocol_source_says_what_the_protocol_copied_from_has)
{
    char said[SOURCE_SAID_CAP];
    struct protocol p = copied();
    p.origin[KEY_SETTLE_S] = (struct origin){.source = "PALP-7", .standing = STANDING_PUBLISHED};
    p.says[KEY_SETTLE_S] = (struct says){1, 15, 30};
    p.value[KEY_SETTLE_S] = 15;
    p.base_value[KEY_SETTLE_S] = 30;
    protocol_say_source(&p, KEY_SETTLE_S, said, sizeof said);
    ck_assert_str_eq(said, "PALP-7, published; us-adult, which it was copied from, has 30 s");
    p.origin[KEY_READINGS_MAX] = (struct origin){.source = "", .standing = STANDING_JUDGEMENT};
    p.base_value[KEY_READINGS_MAX] = 5;
    p.value[KEY_READINGS_MAX] = 5;
    protocol_say_source(&p, KEY_READINGS_MAX, said, sizeof said);
    ck_assert_str_eq(said, "judgement: our own choice; no published source is known");
    p.value[KEY_READINGS_MAX] = 4;
    protocol_say_source(&p, KEY_READINGS_MAX, said, sizeof said);
    ck_assert_str_eq(said, "this protocol's own; no published source is known; us-adult, which it was copied from, has 5");
}
END_TEST

/* Changed in a copy, with the source left standing, and nobody knows what that one says. */
START_TEST(protocol_source_that_nothing_is_known_of_answers_for_no_changed_value)
{
    char said[SOURCE_SAID_CAP];
    struct protocol p = copied();
    p.origin[KEY_WITHIN_SD_DF] = (struct origin){.source = "VAR-2", .standing = STANDING_PUBLISHED};
    ck_assert(protocol_rests_on_source(&p, KEY_WITHIN_SD_DF));
    p.value[KEY_WITHIN_SD_DF]++;
    ck_assert(!protocol_rests_on_source(&p, KEY_WITHIN_SD_DF));
    protocol_say_source(&p, KEY_WITHIN_SD_DF, said, sizeof said);
    ck_assert_ptr_nonnull(strstr(said, "this protocol's own; VAR-2 says something else, or nothing, of it"));
}
END_TEST

static const struct {
    int32_t value;
    bool departs;
} BESIDE[] = {{29, true}, {30, false}, {31, true}, {59, true}, {60, false}, {61, true},
              {119, true}, {120, false}, {180, false}, {300, false}, {301, true}};

START_TEST(protocol_departs_from_published_only_outside_what_anybody_publishes)
{
    struct protocol p = alone();
    published_add(&p.published[KEY_REST_S], 120, 300);
    published_add(&p.published[KEY_REST_S], 60, 60);
    published_add(&p.published[KEY_REST_S], 30, 30);
    p.origin[KEY_REST_S] = (struct origin){.source = "", .standing = STANDING_JUDGEMENT};
    p.value[KEY_REST_S] = BESIDE[_i].value;
    ck_assert_int_eq(protocol_departs_from_published(&p, KEY_REST_S), BESIDE[_i].departs);
    ck_assert_int_eq(protocol_deviations(&p), BESIDE[_i].departs);
    p.origin[KEY_REST_S] = (struct origin){.source = "REST-1", .standing = STANDING_PUBLISHED};
    ck_assert_int_eq(protocol_deviations(&p), 0);
}
END_TEST

START_TEST(protocol_says_what_is_published_beside_its_own_choice)
{
    char said[DEVIATION_CAP];
    struct protocol p = alone();
    published_add(&p.published[KEY_REST_S], 180, 300);
    p.origin[KEY_REST_S] = (struct origin){.source = "", .standing = STANDING_JUDGEMENT};
    p.value[KEY_REST_S] = 60;
    ck_assert(protocol_say_deviation(&p, 0, said, sizeof said));
    ck_assert_str_eq(said, "rest before the first reading (rest_s) is 60 s, our own choice; published: 180 to 300 s");
    protocol_say_source(&p, KEY_REST_S, said, SOURCE_SAID_CAP);
    ck_assert_str_eq(said, "judgement: our own choice; published: 180 to 300 s");
    published_add(&p.published[KEY_REST_S], 600, PROTOCOL_KEYS[KEY_REST_S].high);
    ck_assert(protocol_say_deviation(&p, 0, said, sizeof said));
    ck_assert_str_eq(said, "rest before the first reading (rest_s) is 60 s, our own choice; published: 180 to 300 s, or 600 s "
                           "or more");
}
END_TEST

/* What is published of standing is for those whose subjects stand. */
START_TEST(protocol_that_does_without_a_step_departs_from_nothing_published_of_it)
{
    static const enum protocol_key STEPS[] = {KEY_ARMS_REPEAT, KEY_STANDING_READINGS};
    for (size_t i = 0; i < ARRAY_LEN(STEPS); i++) {
        struct protocol p = alone();
        p.origin[STEPS[i]] = (struct origin){.source = "", .standing = STANDING_JUDGEMENT};
        published_add(&p.published[STEPS[i]], 2, 2);
        p.value[STEPS[i]] = 0;
        ck_assert(!protocol_departs_from_published(&p, STEPS[i]));
        p.value[STEPS[i]] = 1;
        ck_assert(protocol_departs_from_published(&p, STEPS[i]));
        p.value[STEPS[i]] = 2;
        ck_assert(!protocol_departs_from_published(&p, STEPS[i]));
    }
}
END_TEST

START_TEST(published_ranges_rise_and_those_that_meet_are_one)
{
    struct published all = {.count = 0};
    published_add(&all, 10, 20);
    published_add(&all, 40, 50);
    published_add(&all, 0, 5);
    ck_assert_int_eq(all.count, 3);
    published_add(&all, 20, 40);
    ck_assert_int_eq(all.count, 2);
    ck_assert_int_eq(all.ranges[0].high, 5);
    ck_assert_int_eq(all.ranges[1].low, 10);
    ck_assert_int_eq(all.ranges[1].high, 50);
    published_add(&all, 12, 13);
    ck_assert_int_eq(all.count, 2);
    ck_assert_int_eq(all.ranges[1].high, 50);
}
END_TEST

/* Never a departure for want of room: where there is none, more is let pass. */
START_TEST(published_ranges_without_room_take_in_what_lies_between)
{
    static const int32_t MORE[] = {-10, 45, 1000};
    for (size_t k = 0; k < ARRAY_LEN(MORE); k++) {
        struct published all = {.count = 0};
        for (int i = 0; i < PUBLISHED_RANGES_MAX; i++)
            published_add(&all, 10 * i, 10 * i + 1);
        published_add(&all, MORE[k], MORE[k]);
        ck_assert_int_eq(all.count, PUBLISHED_RANGES_MAX);
        bool is_in = false;
        for (int i = 0; i < all.count; i++) {
            is_in = is_in || (all.ranges[i].low <= MORE[k] && all.ranges[i].high >= MORE[k]);
            ck_assert(i == 0 || all.ranges[i - 1].high < all.ranges[i].low);
        }
        ck_assert(is_in);
    }
}
END_TEST

START_TEST(protocol_departures_name_other_categories)
{
    static const struct {
        int own, base;
        const char *first, *want;
    } ROWS[] = {
        {2, 2, "one", NULL},
        {2, 2, "three", "categories are one, two; us-adult has three, two"},
        {2, 1, "one", "categories are one, two; us-adult has one"},
        {1, 2, "one", "categories are one; us-adult has one, two"},
        {0, 2, "one", "no categories; us-adult has one, two"},
        {1, 0, "one", "categories are one; us-adult has none"},
        {0, 0, "one", NULL},
    };
    for (size_t i = 0; i < ARRAY_LEN(ROWS); i++) {
        char said[DEVIATION_CAP];
        struct protocol p = copied();
        p.scheme_count = 0;
        put_scheme(&p, "one");
        put_scheme(&p, "two");
        p.scheme_count = ROWS[i].own;
        text_copy(p.base_schemes[0], ITEM_CAP, ROWS[i].first);
        text_copy(p.base_schemes[1], ITEM_CAP, "two");
        p.base_scheme_count = ROWS[i].base;
        ck_assert_int_eq(protocol_deviations(&p), 0); /* an older kept text does not know them */
        p.has_base_schemes = 1;
        ck_assert_int_eq(protocol_deviations(&p), ROWS[i].want != NULL);
        ck_assert_int_eq(protocol_say_deviation(&p, 0, said, sizeof said), ROWS[i].want != NULL);
        if (ROWS[i].want)
            ck_assert_str_eq(said, ROWS[i].want);
    }
}
END_TEST

START_TEST(protocol_departures_name_rules_that_only_here_may_be_passed_over)
{
    char said[DEVIATION_CAP];
    struct protocol p = copied();
    memset(p.is_waivable, 0, sizeof p.is_waivable);
    p.is_base_firm[RULE_KIT_OVERDUE] = true;
    ck_assert_int_eq(protocol_deviations(&p), 0);
    p.is_waivable[RULE_ARMS_FEW] = true;
    ck_assert_int_eq(protocol_deviations(&p), 0);
    p.is_waivable[RULE_KIT_OVERDUE] = true;
    ck_assert_int_eq(protocol_deviations(&p), 1);
    ck_assert(protocol_say_deviation(&p, 0, said, sizeof said));
    ck_assert_str_eq(said, "kit.overdue may be passed over; not in us-adult");
}
END_TEST

START_TEST(protocol_departures_name_what_is_critical_only_here_or_only_there)
{
    char said[DEVIATION_CAP];
    struct protocol p = copied();
    const int at = protocol_find_item(&p, "posture.legs");
    memset(p.is_critical, 0, sizeof p.is_critical);
    for (int i = 0; i < p.item_count; i++)
        p.items[i].is_critical = false;
    p.is_base_critical[RULE_REST_SHORT] = true;
    ck_assert_int_eq(protocol_deviations(&p), 0); /* an older kept text does not know them */
    p.has_base_critical = true;
    ck_assert_int_eq(protocol_deviations(&p), 1);
    ck_assert(protocol_say_deviation(&p, 0, said, sizeof said));
    ck_assert_str_eq(said, "rest.short is not critical before a witness; in us-adult it is");
    p.is_critical[RULE_REST_SHORT] = p.is_critical[RULE_TOLD_MISSING] = true;
    p.items[at].is_critical = true;
    ck_assert_int_eq(protocol_deviations(&p), 2);
    ck_assert(protocol_say_deviation(&p, 0, said, sizeof said));
    ck_assert_str_eq(said, "told.missing is critical before a witness; not in us-adult");
    ck_assert(protocol_say_deviation(&p, 1, said, sizeof said));
    ck_assert_str_eq(said, "item posture.legs is critical before a witness; not in us-adult");
    p.base_items[at].is_critical = true;
    ck_assert_int_eq(protocol_deviations(&p), 1);
}
END_TEST

START_TEST(protocol_check_refuses_critical_rules_that_are_never_lapses)
{
    for (int rule = RULE_NONE + 1; rule < RULE_COUNT; rule++) {
        char about[64];
        struct protocol q = sound;
        q.is_critical[rule] = true;
        ck_assert_int_eq(check(&q, about), rule_may_lapse((enum rule)rule) ? ST_OK : ST_RANGE);
    }
}
END_TEST

START_TEST(protocol_departures_name_items_that_are_asked_less_strictly)
{
    char said[DEVIATION_CAP];
    struct protocol p = copied();
    const int at = protocol_find_item(&p, "posture.legs");
    p.items[at].is_waivable = p.items[at].is_quiet = false;
    p.base_items[at] = (struct base_item){.is_firm = true};
    ck_assert_int_eq(protocol_deviations(&p), 0);
    p.items[at].is_waivable = p.items[at].is_quiet = true;
    ck_assert_int_eq(protocol_deviations(&p), 1);
    ck_assert(protocol_say_deviation(&p, 0, said, sizeof said));
    ck_assert_str_eq(said, "item posture.legs may be passed over; not in us-adult");
    p.base_items[at] = (struct base_item){.is_quiet = true};
    ck_assert_int_eq(protocol_deviations(&p), 0);
    p.items[at].is_quiet = false;
    ck_assert(protocol_say_deviation(&p, 0, said, sizeof said));
    ck_assert_str_eq(said, "item posture.legs is not asked quietly; in us-adult it is");
    ck_assert_int_eq(protocol_deviations(&p), 1);
}
END_TEST

START_TEST(protocol_departures_quote_other_words_where_they_part)
{
    static const struct {
        const char *own, *base, *want;
    } ROWS[] = {
        {"Quiet", "Silent", "\"Quiet\"; us-adult says \"Silent\""},
        {"Nobody has talked in the room for a minute", "Nobody has talked in the room for five minutes",
         "\"...a minute\"; us-adult says \"...five minutes\""},
        {"All that stand about here have been asked to be as quiet as they can be", "Hush",
         "\"All that stand about here have been asked t...\"; us-adult says \"Hush\""},
    };
    for (size_t i = 0; i < ARRAY_LEN(ROWS); i++) {
        char said[DEVIATION_CAP], want[DEVIATION_CAP];
        struct protocol p = copied();
        const int at = protocol_find_item(&p, "posture.legs");
        text_copy(p.items[at].say, sizeof p.items[at].say, ROWS[i].own);
        ck_assert_int_eq(protocol_deviations(&p), 0);
        text_copy(p.base_items[at].say, sizeof p.base_items[at].say, ROWS[i].base);
        ck_assert_int_eq(protocol_deviations(&p), 1);
        ck_assert(protocol_say_deviation(&p, 0, said, sizeof said));
        snprintf(want, sizeof want, "item posture.legs says %s", ROWS[i].want);
        ck_assert_str_eq(said, want);
    }
}
END_TEST

START_TEST(protocol_ranges_are_said_with_their_open_end)
{
    static const struct {
        enum protocol_key key;
        int32_t low, high;
        const char *want;
    } ROWS[] = {
        {KEY_REST_S, 300, 300, "300 s"},
        {KEY_MARGIN_MMHG, 20, 30, "20 to 30 mmHg"},
        {KEY_READINGS_MIN, 3, 12, "3 or more"},
        {KEY_RELEASE_HIGH_X10, 5, 30, "at most 3.0 mmHg/s"},
        {KEY_READINGS_MIN, 1, 12, "any"},
        {KEY_AVERAGE, AVERAGE_ALL, AVERAGE_LAST_TWO, "all or last-two"},
        {KEY_EXTRA_OVER_MMHG, 9, 9, "9 mmHg, that is 10 or more apart"},
        {KEY_EXTRA_OVER_MMHG, 5, 5, "5 mmHg"},
    };
    for (size_t i = 0; i < ARRAY_LEN(ROWS); i++) {
        char said[64];
        protocol_say_range(ROWS[i].key, ROWS[i].low, ROWS[i].high, said, sizeof said);
        ck_assert_str_eq(said, ROWS[i].want);
    }
}
END_TEST

START_TEST(protocol_departures_from_an_open_ended_range_say_or_more)
{
    char said[DEVIATION_CAP];
    struct protocol p = alone();
    text_copy(p.origin[KEY_READINGS_MIN].source, SOURCE_CAP, "AF-1");
    p.says[KEY_READINGS_MIN] = (struct says){1, 3, PROTOCOL_KEYS[KEY_READINGS_MIN].high};
    p.value[KEY_READINGS_MIN] = 2;
    ck_assert(protocol_say_deviation(&p, 0, said, sizeof said));
    ck_assert_str_eq(said, "readings that must count (readings_min) is 2; AF-1 says 3 or more");
}
END_TEST

/* Neither a meaning nor a departure is cut, nor needs the name of another key to be understood. */
START_TEST(protocol_meanings_are_plain_words)
{
    const char *meaning = PROTOCOL_KEYS[_i].meaning;
    char said[DEVIATION_CAP];
    struct protocol p = copied();
    for (int k = 0; k < KEY_COUNT; k++)
        ck_assert_msg(!strchr(PROTOCOL_KEYS[k].name, '_') || !strstr(meaning, PROTOCOL_KEYS[k].name), "%s", meaning);
    text_copy(p.copied_from, sizeof p.copied_from, "a-protocol-of-some-neighbour.123");
    text_copy(p.origin[_i].source, SOURCE_CAP, "NUM-15b");
    p.says[_i] = (struct says){1, PROTOCOL_KEYS[_i].low, PROTOCOL_KEYS[_i].low};
    p.value[_i] = PROTOCOL_KEYS[_i].high;
    p.base_value[_i] = PROTOCOL_KEYS[_i].high - 1;
    ck_assert(protocol_say_deviation(&p, 0, said, sizeof said));
    ck_assert_msg(strlen(said) < sizeof said - 1, "%s", said);
}
END_TEST

START_TEST(protocol_asks_are_said_in_a_few_words)
{
    char said[80];
    struct protocol p = alone();
    p.value[KEY_READINGS_MIN] = 3;
    p.value[KEY_AVERAGE] = AVERAGE_LAST_TWO;
    protocol_say_asks(&p, said, sizeof said);
    ck_assert_str_eq(said, "3 readings, mean of the last two");
    p.value[KEY_READINGS_MIN] = 1;
    p.value[KEY_AVERAGE] = AVERAGE_ALL;
    protocol_say_asks(&p, said, sizeof said);
    ck_assert_str_eq(said, "1 reading, mean of all");
}
END_TEST

/* The sound protocol without the items that begin so. */
static struct protocol without(const char *prefix)
{
    struct protocol p = sound;
    p.item_count = 0;
    for (int i = 0; i < sound.item_count; i++)
        if (strncmp(sound.items[i].id, prefix, strlen(prefix)) != 0)
            p.items[p.item_count++] = sound.items[i];
    return p;
}

START_TEST(protocol_check_wants_items_for_every_step_that_has_some)
{
    static const char *const PREFIXES[] = {"kit.", "ready.", "posture.", "arm.", "cuff.", "close.",
                                           "arm.usable", "ready.agrees", "kit.zero"};
    for (size_t i = 0; i < ARRAY_LEN(PREFIXES); i++) {
        char about[64];
        struct protocol p = without(PREFIXES[i]);
        ck_assert_int_lt(p.item_count, sound.item_count);
        ck_assert_int_eq(check(&p, about), ST_NOT_FOUND);
        ck_assert_str_eq(about, PREFIXES[i]);
    }
}
END_TEST

START_TEST(protocol_check_lets_nobody_waive_consent_or_a_barred_arm)
{
    static const char *const IDS[] = {"arm.usable", "ready.agrees", "ready.adult", "ready.not-pregnant"};
    for (size_t i = 0; i < ARRAY_LEN(IDS); i++) {
        char about[64];
        struct protocol p = sound;
        p.items[protocol_find_item(&p, IDS[i])].is_waivable = true;
        ck_assert_int_eq(check(&p, about), ST_RANGE);
        ck_assert_str_eq(about, IDS[i]);
    }
}
END_TEST

START_TEST(protocol_check_lets_nobody_waive_whom_a_pregnancy_protocol_is_for)
{
    char about[64];
    struct protocol p = sound;
    struct protocol_item *it = &p.items[protocol_find_item(&p, "ready.not-pregnant")];
    text_copy(it->id, sizeof it->id, "ready.pregnant-or-birth");
    ck_assert_int_eq(check(&p, about), ST_OK);
    it->is_waivable = true;
    ck_assert_int_eq(check(&p, about), ST_RANGE);
    ck_assert_str_eq(about, "ready.pregnant-or-birth");
}
END_TEST

START_TEST(protocol_check_wants_two_groups_where_items_are_all_there_is)
{
    static const enum step STEPS[] = {STEP_READINESS, STEP_POSTURE};
    for (size_t i = 0; i < ARRAY_LEN(STEPS); i++) {
        char about[64];
        struct protocol p = sound;
        for (int k = 0; k < p.item_count; k++)
            if (p.items[k].step == STEPS[i])
                p.items[k].group = 1;
        ck_assert_int_eq(check(&p, about), ST_RANGE);
        ck_assert_int_eq(protocol_step_of_item(about), STEPS[i]);
    }
}
END_TEST

START_TEST(protocol_check_refuses_broken_items)
{
    char about[64];
    struct protocol p = sound;
    strcpy(p.items[1].id, p.items[0].id);
    ck_assert_int_eq(check(&p, about), ST_EXISTS);
    p = sound;
    p.items[0].step = STEP_KIT;
    ck_assert_int_eq(check(&p, about), ST_SYNTAX);
    p = sound;
    p.items[0].say[0] = '\0';
    ck_assert_int_eq(check(&p, about), ST_SYNTAX);
    p = sound;
    p.item_count = PROTOCOL_ITEMS_MAX + 1;
    ck_assert_int_eq(check(&p, about), ST_FULL);
    p.item_count = -1;
    ck_assert_int_eq(check(&p, about), ST_FULL);
}
END_TEST

START_TEST(protocol_check_lets_only_some_rules_be_waivable)
{
    for (int r = 0; r < RULE_COUNT; r++) {
        char about[64];
        struct protocol p = sound;
        p.is_waivable[r] = true;
        ck_assert_int_eq(check(&p, about), rule_may_be_waivable((enum rule)r) ? ST_OK : ST_RANGE);
    }
}
END_TEST

int main(void)
{
    Suite *s = suite_create("protocol");
    TCase *c = tcase_create("protocol");
    suite_add_tcase(s, c);
    tcase_add_unchecked_fixture(c, load_sound, NULL);
    tcase_add_loop_test(c, protocol_keys_have_a_whole_row_each, 0, KEY_COUNT);
    tcase_add_loop_test(c, protocol_keys_stand_in_the_document_with_their_bounds, 0, KEY_COUNT);
    tcase_add_test(c, standing_words_are_the_four);
    tcase_add_test(c, protocol_step_of_item_goes_by_the_prefix);
    tcase_add_test(c, protocol_find_item_finds_every_item_and_no_other);
    tcase_add_test(c, protocol_ms_does_not_overflow);
    tcase_add_test(c, protocol_check_accepts_the_sound_one);
    tcase_add_loop_test(c, protocol_check_refuses_each_key_beyond_its_bounds, 0, KEY_COUNT);
    tcase_add_loop_test(c, protocol_check_looks_at_keys_together, 0, (int)ARRAY_LEN(WHOLE));
    tcase_add_test(c, protocol_check_wants_both_values_of_alone_below_or_neither);
    tcase_add_test(c, protocol_check_lets_a_rest_outlast_the_waits_standing);
    tcase_add_test(c, protocol_check_keeps_low_below_very_high);
    tcase_add_test(c, protocol_check_looks_into_its_category_schemes);
    tcase_add_test(c, protocol_say_value_writes_units_and_points);
    tcase_add_test(c, protocol_deviations_say_each_departure_once);
    tcase_add_test(c, protocol_deviates_only_outside_what_its_source_publishes);
    tcase_add_test(c, protocol_source_is_not_named_for_a_value_that_it_does_not_say);
    tcase_add_test(c, protocol_source_says_what_the_protocol_copied_from_has);
    tcase_add_test(c, protocol_source_that_nothing_is_known_of_answers_for_no_changed_value);
    tcase_add_loop_test(c, protocol_departs_from_published_only_outside_what_anybody_publishes, 0, (int)ARRAY_LEN(BESIDE));
    tcase_add_test(c, protocol_says_what_is_published_beside_its_own_choice);
    tcase_add_test(c, protocol_that_does_without_a_step_departs_from_nothing_published_of_it);
    tcase_add_test(c, published_ranges_rise_and_those_that_meet_are_one);
    tcase_add_test(c, published_ranges_without_room_take_in_what_lies_between);
    tcase_add_test(c, protocol_departures_name_other_categories);
    tcase_add_test(c, protocol_departures_name_rules_that_only_here_may_be_passed_over);
    tcase_add_test(c, protocol_departures_name_what_is_critical_only_here_or_only_there);
    tcase_add_test(c, protocol_check_refuses_critical_rules_that_are_never_lapses);
    tcase_add_test(c, protocol_departures_name_items_that_are_asked_less_strictly);
    tcase_add_test(c, protocol_departures_quote_other_words_where_they_part);
    tcase_add_test(c, protocol_ranges_are_said_with_their_open_end);
    tcase_add_test(c, protocol_departures_from_an_open_ended_range_say_or_more);
    tcase_add_loop_test(c, protocol_meanings_are_plain_words, 0, KEY_COUNT);
    tcase_add_test(c, protocol_asks_are_said_in_a_few_words);
    tcase_add_test(c, protocol_check_wants_items_for_every_step_that_has_some);
    tcase_add_test(c, protocol_check_lets_nobody_waive_consent_or_a_barred_arm);
    tcase_add_test(c, protocol_check_lets_nobody_waive_whom_a_pregnancy_protocol_is_for);
    tcase_add_test(c, protocol_check_wants_two_groups_where_items_are_all_there_is);
    tcase_add_test(c, protocol_check_refuses_broken_items);
    tcase_add_test(c, protocol_check_lets_only_some_rules_be_waivable);
    SRunner *r = srunner_create(s);
    srunner_run_all(r, CK_NORMAL);
    int failed = srunner_ntests_failed(r);
    srunner_free(r);
    return failed ? EXIT_FAILURE : EXIT_SUCCESS;
}
