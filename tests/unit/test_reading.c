/* SPDX-License-Identifier: GPL-3.0-or-later */
#include <check.h>
#include <stdlib.h>
#include <string.h>

#include "stillarm/reading.h"
#include "stillarm/rule.h"

static struct reading make(int first, int muffling, int last)
{
    struct reading r;
    memset(&r, 0, sizeof r);
    r.arm = ARM_LEFT;
    r.is_empty = r.is_done = r.is_entered = 1;
    r.has_value[POINT_TARGET] = r.has_value[POINT_FIRST] = r.has_value[POINT_LAST] = 1;
    r.value_mmhg[POINT_TARGET] = 160;
    r.value_mmhg[POINT_FIRST] = first;
    r.value_mmhg[POINT_LAST] = last;
    r.has_value[POINT_MUFFLING] = muffling >= 0;
    r.value_mmhg[POINT_MUFFLING] = muffling >= 0 ? muffling : 0;
    return r;
}

START_TEST(reading_print_writes_two_numbers_or_three)
{
    static const struct {
        int first, muffling, last;
        const char *text;
    } ROWS[] = {
        {130, -1, 80, "130/80"},
        {130, 84, 80, "130/80"},
        {142, 66, 0, "142/66/0"},
        {300, 298, 296, "300/296"},
    };
    for (size_t i = 0; i < ARRAY_LEN(ROWS); i++) {
        char text[16];
        struct reading r = make(ROWS[i].first, ROWS[i].muffling, ROWS[i].last);
        reading_print(&r, text, sizeof text);
        ck_assert_str_eq(text, ROWS[i].text);
    }
}
END_TEST

START_TEST(reading_print_says_nothing_of_half_a_reading)
{
    char text[16] = "before";
    struct reading r = make(130, -1, 80);
    r.has_value[POINT_LAST] = 0;
    reading_print(&r, text, sizeof text);
    ck_assert_str_eq(text, "");
    r = make(130, -1, 80);
    r.has_value[POINT_FIRST] = 0;
    reading_print(&r, text, sizeof text);
    ck_assert_str_eq(text, "");
}
END_TEST

START_TEST(reading_diastolic_is_the_muffling_only_at_zero)
{
    struct reading r = make(142, 66, 0);
    ck_assert_int_eq(reading_diastolic_mmhg(&r), 66);
    ck_assert_int_eq(reading_systolic_mmhg(&r), 142);
    r = make(142, 66, 2);
    ck_assert_int_eq(reading_diastolic_mmhg(&r), 2);
    r = make(130, -1, 80);
    ck_assert_int_eq(reading_diastolic_mmhg(&r), 80);
}
END_TEST

START_TEST(reading_is_counted_only_when_entered_and_not_void)
{
    struct reading r = make(130, -1, 80);
    ck_assert(reading_is_counted(&r));
    for (int bit = 0; bit < VOID_REASON_COUNT; bit++) {
        r.voids = 1u << bit;
        ck_assert_msg(!reading_is_counted(&r), "counted though %s", VOID_REASON_WORDS[bit]);
    }
    r.voids = 0;
    r.notes = (1u << READING_REMARK_COUNT) - 1;
    ck_assert(reading_is_counted(&r)); /* a remark takes nothing away */
    r.is_done = r.is_entered = 0;
    ck_assert(!reading_is_counted(&r));
}
END_TEST

START_TEST(release_rate_is_in_tenths_halves_up)
{
    static const struct {
        int drop;
        int64_t ms;
        int span, rate;
        const char *why;
    } ROWS[] = {
        {30, 5000, 20, 60, "6.0"},
        {30, 4959, 20, 60, "6.0496"},
        {30, 4958, 20, 61, "6.0508"},
        {30, 4918, 20, 61, "6.1000"},
        {20, 8000, 20, 25, "exactly the span"},
        {18, 8000, 20, 0, "2 below the span: not observed"},
        {40, 16000, 20, 25, "2.5"},
        {41, 20000, 20, 21, "2.05: a half goes up"},
        {40, 0, 20, 0, "no time"},
        {40, -1, 20, 0, "time going back"},
        {0, 5000, 20, 0, "no drop"},
        {-20, 5000, 20, 0, "a rise"},
        {90, 45000, 20, 20, "2"},
        {90, 30000, 20, 30, "3"},
    };
    for (size_t i = 0; i < ARRAY_LEN(ROWS); i++) {
        int got = release_rate_x10(ROWS[i].drop, ROWS[i].ms, ROWS[i].span);
        ck_assert_msg(got == ROWS[i].rate, "%d mmHg in %d ms: %d, expected %d (%s)", ROWS[i].drop,
                      (int)ROWS[i].ms, got, ROWS[i].rate, ROWS[i].why);
    }
}
END_TEST

START_TEST(release_rate_survives_extremes)
{
    ck_assert_int_eq(release_rate_x10(300, 1, 20), 3000000);
    ck_assert_int_eq(release_rate_x10(300, EVENT_TIME_MAX_MS, 20), 0);
    ck_assert_int_ge(release_rate_x10(300, 2000000, 20), 1);
}
END_TEST

START_TEST(release_drop_per_beat_is_in_hundredths_halves_up)
{
    ck_assert_int_eq(release_drop_per_beat_x100(20, 60), 200);
    ck_assert_int_eq(release_drop_per_beat_x100(14, 40), 210);
    ck_assert_int_eq(release_drop_per_beat_x100(25, 70), 214); /* 2.142 */
    ck_assert_int_eq(release_drop_per_beat_x100(30, 80), 225);
    ck_assert_int_eq(release_drop_per_beat_x100(1, 80), 8); /* 0.075: a half goes up */
    ck_assert_int_eq(release_drop_per_beat_x100(0, 60), 0);
    ck_assert_int_eq(release_drop_per_beat_x100(20, 0), 0);
}
END_TEST

static void need_order(bool is_good, int point_a, int a, int point_b, int b)
{
    int32_t has[POINT_COUNT] = {0}, mmhg[POINT_COUNT] = {0};
    has[point_a] = has[point_b] = 1;
    mmhg[point_a] = a;
    mmhg[point_b] = b;
    ck_assert_msg(reading_values_in_order(has, mmhg) == is_good, "point %d at %d, point %d at %d", point_a, a,
                  point_b, b);
}

START_TEST(reading_values_fall_and_only_two_pairs_strictly)
{
    for (int a = POINT_TARGET; a < POINT_COUNT; a++) {
        for (int b = a + 1; b < POINT_COUNT; b++) {
            bool is_strict =
                (a == POINT_SILENT && b == POINT_RETURN) || (a == POINT_FIRST && b == POINT_LAST);
            need_order(true, a, 102, b, 100);
            need_order(!is_strict, a, 100, b, 100);
            need_order(false, a, 98, b, 100);
        }
    }
}
END_TEST

START_TEST(reading_values_that_are_missing_break_no_order)
{
    int32_t has[POINT_COUNT] = {0}, mmhg[POINT_COUNT] = {0, 300, 0, 300, 0, 300};
    ck_assert(reading_values_in_order(has, mmhg));
    has[POINT_LAST] = 1;
    ck_assert(reading_values_in_order(has, mmhg));
}
END_TEST

START_TEST(reading_is_severe_by_when_and_by_either_value)
{
    static struct protocol p;
    static const struct {
        int first, muffling, last;
        bool above, at;
    } ROWS[] = {
        {178, -1, 118, false, false}, {180, -1, 118, false, true}, {182, -1, 100, true, true},
        {170, -1, 120, false, true},  {170, -1, 122, true, true},  {170, 122, 0, true, true},
        {170, 118, 0, false, false},
    };
    p.value[KEY_SEVERE_SYSTOLIC_MMHG] = 180;
    p.value[KEY_SEVERE_DIASTOLIC_MMHG] = 120;
    for (size_t i = 0; i < ARRAY_LEN(ROWS); i++) {
        struct reading r = make(ROWS[i].first, ROWS[i].muffling, ROWS[i].last);
        p.value[KEY_SEVERE_WHEN] = SEVERE_ABOVE;
        ck_assert_msg(reading_is_severe(&r, &p) == ROWS[i].above, "%d/%d above", ROWS[i].first, ROWS[i].last);
        p.value[KEY_SEVERE_WHEN] = SEVERE_AT;
        ck_assert_msg(reading_is_severe(&r, &p) == ROWS[i].at, "%d/%d at and above", ROWS[i].first,
                      ROWS[i].last);
        r.voids = VOID_TARGET_LOW; /* whatever the verdict */
        ck_assert_int_eq(reading_is_severe(&r, &p), ROWS[i].at);
    }
}
END_TEST

START_TEST(words_of_reasons_and_remarks_are_all_there_once)
{
    for (int i = 0; i < VOID_REASON_COUNT; i++) {
        ck_assert(VOID_REASON_WORDS[i] != NULL && VOID_REASON_WORDS[i][0] != '\0');
        for (int k = 0; k < i; k++) {
            ck_assert_str_ne(VOID_REASON_WORDS[i], VOID_REASON_WORDS[k]);
        }
    }
    for (int i = 0; i < READING_REMARK_COUNT; i++) {
        ck_assert(READING_REMARK_WORDS[i] != NULL && READING_REMARK_WORDS[i][0] != '\0');
        for (int k = 0; k < i; k++) {
            ck_assert_str_ne(READING_REMARK_WORDS[i], READING_REMARK_WORDS[k]);
        }
    }
    ck_assert_str_eq(VOID_REASON_WORDS[0], "target.low");
    ck_assert_str_eq(VOID_REASON_WORDS[VOID_REASON_COUNT - 1], "lapse");
    ck_assert_str_eq(READING_REMARK_WORDS[0], "target.capped");
    ck_assert_str_eq(READING_REMARK_WORDS[READING_REMARK_COUNT - 1], "pair.differs");
}
END_TEST

START_TEST(rule_ids_are_all_there_once_and_come_back)
{
    ck_assert_str_eq(rule_id(RULE_NONE), "");
    ck_assert_int_eq(rule_named(""), RULE_NONE);
    ck_assert_int_eq(rule_named("rest.shorter"), RULE_NONE);
    for (int i = RULE_NONE + 1; i < RULE_COUNT; i++) {
        ck_assert_int_gt((int)strlen(rule_id((enum rule)i)), 0);
        ck_assert_int_eq(rule_named(rule_id((enum rule)i)), i);
    }
    ck_assert_str_eq(rule_id(RULE_CUFF_TOO_SMALL), "cuff.too-small");
}
END_TEST

START_TEST(rule_slips_are_typing_and_nothing_else)
{
    for (int i = RULE_NONE; i < RULE_COUNT; i++) {
        bool is_slip = i == RULE_VALUE_ODD || i == RULE_VALUE_RANGE || i == RULE_VALUE_ORDER;
        ck_assert_msg(rule_is_slip((enum rule)i) == is_slip, "%s", rule_id((enum rule)i));
    }
}
END_TEST

START_TEST(rules_that_protect_the_reading_may_never_be_waivable)
{
    static const enum rule NEVER[] = {RULE_KIT_FAILED, RULE_REST_SHORT,   RULE_REST_MISSING,
                                      RULE_REST_STALE, RULE_SETTLE_SHORT, RULE_INTERVAL_SHORT,
                                      RULE_STEP_NEEDS, RULE_ITEM_OPEN,    RULE_READINGS_FEW,
                                      RULE_VALUE_ODD,  RULE_SEVERE_OPEN,  RULE_CLOSED};
    for (size_t i = 0; i < ARRAY_LEN(NEVER); i++) {
        ck_assert_msg(!rule_may_be_waivable(NEVER[i]), "%s", rule_id(NEVER[i]));
    }
    ck_assert(rule_may_be_waivable(RULE_KIT_OVERDUE));
    ck_assert(rule_may_be_waivable(RULE_ARMS_FEW));
    ck_assert(rule_may_be_waivable(RULE_ESTIMATE_MISSING));
}
END_TEST

int main(void)
{
    Suite *suite = suite_create("reading");
    TCase *t = tcase_create("reading"), *rules = tcase_create("rule");
    tcase_add_test(t, reading_print_writes_two_numbers_or_three);
    tcase_add_test(t, reading_print_says_nothing_of_half_a_reading);
    tcase_add_test(t, reading_diastolic_is_the_muffling_only_at_zero);
    tcase_add_test(t, reading_is_counted_only_when_entered_and_not_void);
    tcase_add_test(t, release_rate_is_in_tenths_halves_up);
    tcase_add_test(t, release_rate_survives_extremes);
    tcase_add_test(t, release_drop_per_beat_is_in_hundredths_halves_up);
    tcase_add_test(t, reading_values_fall_and_only_two_pairs_strictly);
    tcase_add_test(t, reading_values_that_are_missing_break_no_order);
    tcase_add_test(t, reading_is_severe_by_when_and_by_either_value);
    tcase_add_test(t, words_of_reasons_and_remarks_are_all_there_once);
    tcase_add_test(rules, rule_ids_are_all_there_once_and_come_back);
    tcase_add_test(rules, rule_slips_are_typing_and_nothing_else);
    tcase_add_test(rules, rules_that_protect_the_reading_may_never_be_waivable);
    suite_add_tcase(suite, t);
    suite_add_tcase(suite, rules);
    SRunner *runner = srunner_create(suite);
    srunner_run_all(runner, CK_NORMAL);
    int failed = srunner_ntests_failed(runner);
    srunner_free(runner);
    return failed == 0 ? EXIT_SUCCESS : EXIT_FAILURE;
}
