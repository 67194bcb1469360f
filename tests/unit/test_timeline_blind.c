/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Whoever watches an open sitting may be heard: of what two listeners type nothing is told before both are in, also not by
 * the lines that follow from it. */
#include "timeline_hand.h"

/* A very high value, typed by the one who measures; the other has not typed yet. */
static void one_has_typed(void)
{
    fed_begin(NO_CLOCK);
    fed_script(TEST_SOURCE_DIR "/tests/engine/scripts/common/estimated-us.part", 0);
    ck_assert(fed_event("700.000 inflate listen"));
    ck_assert(fed_event("701.000 listener ben"));
    ck_assert(fed_event("750.000 empty"));
    ck_assert(fed_event("751.000 target 220"));
    ck_assert(fed_event("752.000 value first 196"));
    ck_assert(fed_event("753.000 value last 124"));
}

static bool is_told(const char *words)
{
    for (int i = 0; i < fed.t.row_count; i++)
        if (strstr(fed.t.rows[i].text, words) != NULL)
            return true;
    return false;
}

START_TEST(a_very_high_value_is_not_named_before_both_are_in)
{
    one_has_typed();
    ck_assert_int_eq(sitting_alarm(&fed.s, &fed.p), ALARM_HIGH);
    timeline_end(&fed.t);
    ck_assert(is_told("reading 1: a value to answer; symptoms not asked"));
    ck_assert(is_told("still owed: what was done on a value"));
    ck_assert(!is_told("reading 1: very high") && !is_told("on a very high value"));
}
END_TEST

START_TEST(once_both_are_in_it_is_named)
{
    one_has_typed();
    ck_assert(fed_event("754.000 pair first 194"));
    ck_assert(fed_event("755.000 pair last 124"));
    ck_assert(fed_event("756.000 done"));
    timeline_end(&fed.t);
    ck_assert(is_told("reading 1: very high; symptoms not asked"));
}
END_TEST

int main(void)
{
    Suite *suite = suite_create("timeline before both are in");
    TCase *t = tcase_create("live");
    tcase_add_test(t, a_very_high_value_is_not_named_before_both_are_in);
    tcase_add_test(t, once_both_are_in_it_is_named);
    suite_add_tcase(suite, t);
    SRunner *runner = srunner_create(suite);
    srunner_run_all(runner, CK_NORMAL);
    int failed = srunner_ntests_failed(runner);
    srunner_free(runner);
    return failed == 0 ? EXIT_SUCCESS : EXIT_FAILURE;
}
