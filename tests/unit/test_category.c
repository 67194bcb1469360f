/* SPDX-License-Identifier: GPL-3.0-or-later */
#include <check.h>
#include <stdlib.h>
#include <string.h>

#include "stillarm/category.h"
#include "stillarm/text.h"

#define NONE CATEGORY_NO_BOUND

/* Invented bands, so that no published table is tested here but the arithmetic. */
static struct category_scheme sound(void)
{
    struct category_scheme c = {
        .id = "invented",
        .title = "Invented bands",
        .bands = {{.id = "calm", .say = "calm"},
                  {.id = "brisk", .say = "brisk", .systolic_from_mmhg = 120, .diastolic_from_mmhg = NONE},
                  {.id = "high", .say = "high", .systolic_from_mmhg = 130, .diastolic_from_mmhg = 80},
                  {.id = "higher", .say = "higher", .systolic_from_mmhg = 140, .diastolic_from_mmhg = 90}},
        .band_count = 4,
        .flags = {{.id = "low", .say = "low", .systolic_from_mmhg = NONE, .systolic_below_mmhg = 90,
                   .diastolic_from_mmhg = NONE, .diastolic_below_mmhg = 60, .is_either = true, .replaces = 0},
                  {.id = "lone", .say = "high by the systolic alone", .systolic_from_mmhg = 140,
                   .systolic_below_mmhg = NONE, .diastolic_from_mmhg = NONE, .diastolic_below_mmhg = 80, .replaces = -1}},
        .flag_count = 2};
    return c;
}

START_TEST(category_of_takes_the_higher_band_of_the_two_values)
{
    static const struct {
        int32_t systolic, diastolic, n;
        int band;
    } ROWS[] = {
        {119, 79, 1, 0}, {120, 79, 1, 1}, {129, 79, 1, 1}, {130, 79, 1, 2},  {139, 79, 1, 2},  {140, 79, 1, 3},
        {119, 80, 1, 2}, {119, 89, 1, 2}, {119, 90, 1, 3}, {120, 200, 1, 3}, {400, 0, 1, 3},   {0, 0, 1, 0},
        /* exact: 259/2 is 129.5 and lies below 130, although it rounds to it */
        {259, 150, 2, 1}, {260, 150, 2, 2}, {389, 237, 3, 1}, {390, 237, 3, 2}, {357, 239, 3, 0}, {357, 240, 3, 2},
    };
    const struct category_scheme c = sound();
    for (size_t i = 0; i < ARRAY_LEN(ROWS); i++)
        ck_assert_msg(category_of(&c, ROWS[i].systolic, ROWS[i].diastolic, ROWS[i].n).band == ROWS[i].band,
                      "%d/%d over %d", (int)ROWS[i].systolic, (int)ROWS[i].diastolic, (int)ROWS[i].n);
}
END_TEST

START_TEST(category_flags_ask_either_or_both_and_their_own_band)
{
    static const struct {
        int32_t systolic, diastolic;
        uint32_t flags;
        const char *why;
    } ROWS[] = {
        {90, 60, 0, "neither is low"},
        {89, 60, 1, "the systolic is low"},
        {90, 59, 1, "the diastolic is low"},
        {89, 59, 1, "both are low"},
        {89, 80, 0, "low, but in another band than the one that low stands in for"},
        {140, 79, 2, "the systolic alone"},
        {140, 80, 0, "not alone"},
        {139, 79, 0, "not there yet"},
    };
    const struct category_scheme c = sound();
    for (size_t i = 0; i < ARRAY_LEN(ROWS); i++)
        ck_assert_msg(category_of(&c, ROWS[i].systolic, ROWS[i].diastolic, 1).flags == ROWS[i].flags, "%s", ROWS[i].why);
}
END_TEST

START_TEST(category_say_replaces_and_adds)
{
    static const struct {
        int32_t systolic, diastolic;
        const char *said;
    } ROWS[] = {{110, 70, "calm"}, {88, 70, "low"}, {150, 70, "higher, high by the systolic alone"}};
    const struct category_scheme c = sound();
    for (size_t i = 0; i < ARRAY_LEN(ROWS); i++) {
        char said[100];
        category_say(&c, category_of(&c, ROWS[i].systolic, ROWS[i].diastolic, 1), said, sizeof said);
        ck_assert_str_eq(said, ROWS[i].said);
    }
}
END_TEST

START_TEST(category_say_fits_what_it_is_given)
{
    char said[8];
    const struct category_scheme c = sound();
    category_say(&c, category_of(&c, 150, 70, 1), said, sizeof said);
    ck_assert_uint_lt(strlen(said), sizeof said);
}
END_TEST

START_TEST(category_say_average_shows_a_decimal_only_against_a_contradiction)
{
    static const struct {
        int32_t systolic, diastolic, n;
        bool contradicts;
        const char *said, *why;
    } ROWS[] = {
        {280, 178, 2, false, "140/89", "whole"},
        {279, 150, 2, true, "139.5/75.0", "139.5 would seem to be 140"},
        {277, 150, 2, false, "139/75", "138.5 rounds within its band"},
        {419, 225, 3, true, "139.6/75.0", "139.67 is cut, not rounded to 139.7"},
        {839, 450, 6, true, "139.8/75.0", "139.83 would seem to be 140"},
        {220, 159, 2, true, "110.0/79.5", "the diastolic would seem to be 80"},
        {179, 140, 2, true, "89.5/70.0", "low would seem to go"},
        {180, 140, 2, false, "90/70", "not low"},
    };
    const struct category_scheme c = sound();
    for (size_t i = 0; i < ARRAY_LEN(ROWS); i++) {
        char said[32];
        ck_assert_msg(category_rounding_contradicts(&c, ROWS[i].systolic, ROWS[i].diastolic, ROWS[i].n) ==
                          ROWS[i].contradicts,
                      "%s", ROWS[i].why);
        category_say_average(&c, 1, ROWS[i].systolic, ROWS[i].diastolic, ROWS[i].n, said, sizeof said);
        ck_assert_str_eq(said, ROWS[i].said);
    }
}
END_TEST

START_TEST(category_say_average_asks_every_scheme)
{
    char said[32];
    struct category_scheme two[2] = {sound(), sound()};
    two[0].bands[3].systolic_from_mmhg = 150;
    two[0].flag_count = 0;
    category_say_average(two, 1, 279, 150, 2, said, sizeof said);
    ck_assert_str_eq(said, "140/75");
    category_say_average(two, 2, 279, 150, 2, said, sizeof said);
    ck_assert_str_eq(said, "139.5/75.0");
    category_say_average(NULL, 0, 279, 150, 2, said, sizeof said);
    ck_assert_str_eq(said, "140/75");
}
END_TEST

/* A cut tenth must never seem to lie in another band than the exact mean, whatever the mean. */
START_TEST(category_of_a_cut_tenth_is_that_of_the_exact_mean)
{
    const struct category_scheme c = sound();
    for (int n = 1; n <= 12; n++) {
        for (int sum = 85 * n; sum <= 145 * n; sum++) {
            const struct category exact = category_of(&c, sum, 70 * n, n);
            const struct category cut = category_of(&c, sum * 10 / n, 700, 10);
            ck_assert_int_eq(exact.band, cut.band);
            ck_assert_uint_eq(exact.flags, cut.flags);
        }
    }
}
END_TEST

/* ---- what is not sound ---- */

static void no_bands(struct category_scheme *c) { c->band_count = 0; }
static void many_bands(struct category_scheme *c) { c->band_count = CATEGORY_BANDS_MAX + 1; }
static void many_flags(struct category_scheme *c) { c->flag_count = CATEGORY_FLAGS_MAX + 1; }
static void no_title(struct category_scheme *c) { c->title[0] = '\0'; }
static void no_id(struct category_scheme *c) { c->id[0] = '\0'; }
static void first_not_from_zero(struct category_scheme *c) { c->bands[0].systolic_from_mmhg = 1; }
static void first_without_bound(struct category_scheme *c) { c->bands[0].diastolic_from_mmhg = NONE; }
static void band_same(struct category_scheme *c) { c->bands[2].systolic_from_mmhg = 120; }
static void band_falls(struct category_scheme *c) { c->bands[3].diastolic_from_mmhg = 79; }
static void band_nowhere(struct category_scheme *c) { c->bands[1].systolic_from_mmhg = NONE; }
static void band_zero(struct category_scheme *c) { c->bands[1].systolic_from_mmhg = 0; }
static void band_beyond(struct category_scheme *c) { c->bands[3].systolic_from_mmhg = 401; }
static void band_twice(struct category_scheme *c) { memcpy(c->bands[2].id, "calm", 5); }
static void band_silent(struct category_scheme *c) { c->bands[2].say[0] = '\0'; }
static void flag_never(struct category_scheme *c) { c->flags[0].systolic_from_mmhg = 90; }
static void flag_always(struct category_scheme *c)
{
    c->flags[0].systolic_below_mmhg = NONE;
    c->flags[0].diastolic_below_mmhg = NONE;
}
static void flag_beyond(struct category_scheme *c) { c->flags[0].systolic_below_mmhg = 402; }
static void flag_lost(struct category_scheme *c) { c->flags[0].replaces = 4; }
static void flag_like_a_band(struct category_scheme *c) { memcpy(c->flags[0].id, "high", 5); }

static const struct {
    void (*spoil)(struct category_scheme *c);
    enum status want;
    const char *about;
} SPOILT[] = {
    {no_bands, ST_FULL, "invented"},          {many_bands, ST_FULL, "invented"},
    {many_flags, ST_FULL, "invented"},        {no_title, ST_SYNTAX, "title"},
    {no_id, ST_SYNTAX, "id"},                 {first_not_from_zero, ST_RANGE, "calm"},
    {first_without_bound, ST_RANGE, "calm"},  {band_same, ST_RANGE, "high"},
    {band_falls, ST_RANGE, "higher"},         {band_nowhere, ST_RANGE, "brisk"},
    {band_zero, ST_RANGE, "brisk"},           {band_beyond, ST_RANGE, "higher"},
    {band_twice, ST_EXISTS, "calm"},          {band_silent, ST_SYNTAX, "high"},
    {flag_never, ST_RANGE, "low"},            {flag_always, ST_RANGE, "low"},
    {flag_lost, ST_NOT_FOUND, "low"},         {flag_like_a_band, ST_EXISTS, "high"},
    {flag_beyond, ST_RANGE, "low"},
};

START_TEST(category_check_names_what_is_not_sound)
{
    struct category_scheme c = sound();
    struct err e = {.text = ""};
    char about[64];
    ck_assert_int_eq(category_check(&c, NULL), ST_OK);
    SPOILT[_i].spoil(&c);
    ck_assert_msg(category_check(&c, &e) == SPOILT[_i].want, "%s", e.text);
    text_copy(about, sizeof about, e.text);
    about[strcspn(about, " :")] = '\0';
    ck_assert_str_eq(about, SPOILT[_i].about);
}
END_TEST

/* `100 to 400`, as a file may write it: the first value that no longer fits is 401. */
START_TEST(category_check_takes_a_flag_up_to_the_largest_value)
{
    struct category_scheme c = sound();
    c.flags[0].systolic_from_mmhg = 100;
    c.flags[0].systolic_below_mmhg = 401;
    ck_assert_int_eq(category_check(&c, NULL), ST_OK);
}
END_TEST

int main(void)
{
    Suite *suite = suite_create("category");
    TCase *t = tcase_create("category");
    tcase_add_test(t, category_of_takes_the_higher_band_of_the_two_values);
    tcase_add_test(t, category_flags_ask_either_or_both_and_their_own_band);
    tcase_add_test(t, category_say_replaces_and_adds);
    tcase_add_test(t, category_say_fits_what_it_is_given);
    tcase_add_test(t, category_say_average_shows_a_decimal_only_against_a_contradiction);
    tcase_add_test(t, category_say_average_asks_every_scheme);
    tcase_add_test(t, category_of_a_cut_tenth_is_that_of_the_exact_mean);
    tcase_add_test(t, category_check_takes_a_flag_up_to_the_largest_value);
    tcase_add_loop_test(t, category_check_names_what_is_not_sound, 0, (int)ARRAY_LEN(SPOILT));
    suite_add_tcase(suite, t);
    SRunner *runner = srunner_create(suite);
    srunner_run_all(runner, CK_NORMAL);
    int failed = srunner_ntests_failed(runner);
    srunner_free(runner);
    return failed == 0 ? EXIT_SUCCESS : EXIT_FAILURE;
}
