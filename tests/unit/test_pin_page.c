/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The page that asks for a PIN shows neither it nor how long it is, and names only the keys that work. */
#include <check.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "guide/review.h"
#include "trust/trust.h"

static struct page pg;

static struct pin_view asked(void)
{
    struct pin_view v = { .person = "eva", .name = "Eva Lind", .why = "to finish S-014", .stage = PIN_ASK };

    return v;
}

static bool offers(const char *key)
{
    for (int i = 0; i < pg.key_count; i++)
        if (strcmp(pg.keys[i].name, key) == 0)
            return true;
    return false;
}

static bool says(const char *words)
{
    for (int i = 0; i < pg.line_count; i++)
        if (strstr(pg.lines[i].text, words) != NULL)
            return true;
    return strstr(pg.title, words) != NULL;
}

static const struct page_line *field(void)
{
    for (int i = 0; i < pg.line_count; i++)
        if (pg.lines[i].role == LINE_FIELD)
            return &pg.lines[i];
    ck_abort_msg("no field");
    return NULL;
}

START_TEST(it_says_whose_pin_and_what_for)
{
    struct pin_view v = asked();

    pin_page(&v, &pg);
    ck_assert(says("Eva Lind (eva)"));
    ck_assert(says("Type your PIN to finish S-014."));
    v.name = "";
    pin_page(&v, &pg);
    ck_assert_str_eq(pg.title, "PIN: eva");
}
END_TEST

START_TEST(what_is_typed_shows_only_as_typed)
{
    struct pin_view v = asked();

    pin_page(&v, &pg);
    ck_assert_str_eq(field()->value, "");
    ck_assert(field()->is_editing);
    ck_assert(offers("enter")); /* it answers in words where nothing is typed */
    ck_assert(!offers("backspace"));
    v.is_typed = true;
    pin_page(&v, &pg);
    ck_assert_str_eq(field()->value, "typed, not shown");
    ck_assert(offers("enter"));
    ck_assert(offers("backspace"));
}
END_TEST

START_TEST(it_can_be_put_off_only_where_the_caller_lets_it)
{
    struct pin_view v = asked();

    pin_page(&v, &pg);
    ck_assert(!offers("tab"));
    v.can_wait = true;
    pin_page(&v, &pg);
    ck_assert(offers("tab"));
    ck_assert(says("the signature is then owed"));
}
END_TEST

START_TEST(a_wait_is_counted_down_beside_keys_that_stay)
{
    struct pin_view v = asked();

    v.is_typed = true;
    v.wait_s = 75;
    pin_page(&v, &pg);
    ck_assert(says("1:15"));
    ck_assert(offers("enter")); /* it answers how long there is to go */
    ck_assert(offers("esc"));
}
END_TEST

START_TEST(who_has_none_chooses_one_and_types_it_twice)
{
    struct pin_view v = asked();
    char least[40];

    v.stage = PIN_CHOOSE;
    pin_page(&v, &pg);
    (void)snprintf(least, sizeof least, "At least %d characters", PIN_MIN);
    ck_assert(says(least));
    ck_assert(says("There is no PIN of yours yet"));
    ck_assert_str_eq(pg.id, "pin-choose");
    v.stage = PIN_REPEAT;
    pin_page(&v, &pg);
    ck_assert_str_eq(pg.id, "pin-repeat");
    ck_assert(!says(least));
}
END_TEST

START_TEST(a_refusal_stands_on_its_line)
{
    struct pin_view v = asked();

    (void)strcpy(v.refusal, "not yet: that is not the PIN");
    pin_page(&v, &pg);
    ck_assert_str_eq(pg.refusal, "not yet: that is not the PIN");
}
END_TEST

int main(void)
{
    Suite *suite = suite_create("pin page");
    TCase *page = tcase_create("page");

    tcase_add_test(page, it_says_whose_pin_and_what_for);
    tcase_add_test(page, what_is_typed_shows_only_as_typed);
    tcase_add_test(page, it_can_be_put_off_only_where_the_caller_lets_it);
    tcase_add_test(page, a_wait_is_counted_down_beside_keys_that_stay);
    tcase_add_test(page, who_has_none_chooses_one_and_types_it_twice);
    tcase_add_test(page, a_refusal_stands_on_its_line);
    suite_add_tcase(suite, page);
    SRunner *runner = srunner_create(suite);
    srunner_run_all(runner, CK_NORMAL);
    int failed = srunner_ntests_failed(runner);
    srunner_free(runner);
    return failed == 0 ? EXIT_SUCCESS : EXIT_FAILURE;
}
