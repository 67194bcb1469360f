/* SPDX-License-Identifier: GPL-3.0-or-later */
#include <check.h>
#include <stdlib.h>
#include <string.h>

#include "stillarm/cuff.h"

START_TEST(cuff_fit_holds_both_ends_of_the_marked_range)
{
    static const struct {
        int32_t arm_mm;
        enum cuff_fit fit;
        const char *why;
    } ROWS[] = {
        {253, CUFF_TOO_LARGE, "1 mm below the range: the cuff is too large"},
        {254, CUFF_FITS, "the lower end"},
        {255, CUFF_FITS, "just inside"},
        {300, CUFF_FITS, "the middle"},
        {405, CUFF_FITS, "just inside"},
        {406, CUFF_FITS, "the upper end"},
        {407, CUFF_TOO_SMALL, "1 mm above the range: the cuff is too small"},
        {700, CUFF_TOO_SMALL, "the largest arm"},
        {100, CUFF_TOO_LARGE, "the smallest arm"},
    };
    const struct cuff cuff = {.id = "adult", .low_mm = 254, .high_mm = 406};
    for (size_t i = 0; i < ARRAY_LEN(ROWS); i++) {
        ck_assert_msg(cuff_fit(&cuff, ROWS[i].arm_mm) == ROWS[i].fit, "%d mm: %s", (int)ROWS[i].arm_mm,
                      ROWS[i].why);
    }
}
END_TEST

static void put(struct sitting *s, const char *id, int32_t low, int32_t high)
{
    struct cuff *c = &s->cuffs[s->cuff_count++];
    memcpy(c->id, id, strlen(id) + 1);
    c->low_mm = low;
    c->high_mm = high;
}

START_TEST(cuff_choose_prefers_the_larger_where_two_fit)
{
    static const struct {
        int32_t arm_mm;
        int choice;
        const char *why;
    } ROWS[] = {
        {199, -1, "below all"},
        {200, 1, "the smallest, at its lower end"},
        {259, 1, "only the small one"},
        {260, 0, "a shared border goes to the larger"},
        {339, 0, "only the adult one"},
        {340, 2, "a shared border goes to the larger"},
        {440, 2, "the largest, at its upper end"},
        {441, -1, "above all"},
    };
    static struct sitting s;
    sitting_init(&s);
    put(&s, "adult", 260, 340); /* not in order of size: the choice must not hang on that */
    put(&s, "small", 200, 260);
    put(&s, "large", 340, 440);
    for (size_t i = 0; i < ARRAY_LEN(ROWS); i++) {
        int got = cuff_choose(&s, ROWS[i].arm_mm);
        ck_assert_msg(got == ROWS[i].choice, "%d mm: %d, expected %d: %s", (int)ROWS[i].arm_mm, got,
                      ROWS[i].choice, ROWS[i].why);
    }
}
END_TEST

START_TEST(cuff_choose_finds_none_on_an_empty_shelf)
{
    static struct sitting s;
    sitting_init(&s);
    ck_assert_int_eq(cuff_choose(&s, 300), -1);
}
END_TEST

START_TEST(cuff_offer_closes_a_narrow_gap_with_the_larger)
{
    static const struct {
        int32_t gap_mm, arm_mm;
        int choice;
        enum cuff_fit small, large;
        const char *why;
    } ROWS[] = {
        {10, 260, 0, CUFF_FITS, CUFF_TOO_LARGE, "the small one holds it"},
        {10, 261, 1, CUFF_TOO_SMALL, CUFF_FITS, "in the gap, at its lower end"},
        {10, 269, 1, CUFF_TOO_SMALL, CUFF_FITS, "in the gap, at its upper end"},
        {10, 270, 1, CUFF_TOO_SMALL, CUFF_FITS, "the large one holds it"},
        {9, 265, -1, CUFF_TOO_SMALL, CUFF_TOO_LARGE, "the gap is wider than the protocol lets it be"},
        {0, 265, -1, CUFF_TOO_SMALL, CUFF_TOO_LARGE, "the protocol closes no gap"},
        {10, 199, -1, CUFF_TOO_LARGE, CUFF_TOO_LARGE, "below all ranges is no gap"},
        {10, 351, -1, CUFF_TOO_SMALL, CUFF_TOO_SMALL, "above all ranges is no gap"},
    };
    static struct sitting s;
    static struct protocol p;
    sitting_init(&s);
    put(&s, "small", 200, 260);
    put(&s, "large", 270, 350);
    for (size_t i = 0; i < ARRAY_LEN(ROWS); i++) {
        p.value[KEY_CUFF_GAP_MM] = ROWS[i].gap_mm;
        ck_assert_msg(cuff_offer(&s, &p, ROWS[i].arm_mm) == ROWS[i].choice, "%s", ROWS[i].why);
        ck_assert_msg(cuff_fit_among(&s, &p, 0, ROWS[i].arm_mm) == ROWS[i].small, "%s", ROWS[i].why);
        ck_assert_msg(cuff_fit_among(&s, &p, 1, ROWS[i].arm_mm) == ROWS[i].large, "%s", ROWS[i].why);
    }
}
END_TEST

START_TEST(cuff_offer_sees_no_gap_where_a_third_holds_the_arm)
{
    static struct sitting s;
    static struct protocol p;
    sitting_init(&s);
    p.value[KEY_CUFF_GAP_MM] = 10;
    put(&s, "small", 200, 260);
    put(&s, "large", 270, 350);
    put(&s, "odd", 250, 268);
    ck_assert_int_eq(cuff_offer(&s, &p, 265), 2);
    ck_assert_int_eq(cuff_fit_among(&s, &p, 1, 265), CUFF_TOO_LARGE);
}
END_TEST

int main(void)
{
    Suite *suite = suite_create("cuff");
    TCase *t = tcase_create("cuff");
    tcase_add_test(t, cuff_fit_holds_both_ends_of_the_marked_range);
    tcase_add_test(t, cuff_choose_prefers_the_larger_where_two_fit);
    tcase_add_test(t, cuff_choose_finds_none_on_an_empty_shelf);
    tcase_add_test(t, cuff_offer_closes_a_narrow_gap_with_the_larger);
    tcase_add_test(t, cuff_offer_sees_no_gap_where_a_third_holds_the_arm);
    suite_add_tcase(suite, t);
    SRunner *runner = srunner_create(suite);
    srunner_run_all(runner, CK_NORMAL);
    int failed = srunner_ntests_failed(runner);
    srunner_free(runner);
    return failed == 0 ? EXIT_SUCCESS : EXIT_FAILURE;
}
