/* SPDX-License-Identifier: GPL-3.0-or-later */
/* A form's field for words: as much as a statement holds, and its page shows all of it, the end where typing goes on. */
#include <check.h>
#include <stdlib.h>
#include <string.h>

#include "guide/form.h"
#include "stillarm/text.h"
#include "terminal/layout.h"

static struct form f;
static struct page pg;

static void begin(void)
{
    f = (struct form){ .id = "words", .title = "Words", .field_count = 1, .fields = { { .label = "why", .most_characters = EVENT_TEXT_MAX } } };
}

static void type(uint32_t c, int n)
{
    const struct key k = { .code = KEY_CHARACTER, .character = c };

    for (int i = 0; i < n; i++)
        ck_assert_int_eq(form_key(&f, &k), FORM_EDITING);
}

START_TEST(a_field_for_words_holds_what_a_statement_holds)
{
    static const uint32_t CHARACTERS[] = { 'a', 0xE9, 0x20AC, 0x1FA80 };

    for (size_t i = 0; i < ARRAY_LEN(CHARACTERS); i++) {
        begin();
        type(CHARACTERS[i], EVENT_TEXT_MAX);
        ck_assert_str_eq(f.refusal, "");
        type(CHARACTERS[i], 1);
        ck_assert_ptr_nonnull(strstr(f.refusal, "no more than 500 characters"));
        ck_assert_int_eq(utf8_length(f.fields[0].entry), EVENT_TEXT_MAX);
        ck_assert(is_plain_text(f.fields[0].entry, EVENT_TEXT_MAX));
    }
}
END_TEST

START_TEST(a_short_entry_stands_in_one_line)
{
    begin();
    type('a', 79);
    form_page(&f, &pg);
    ck_assert_int_eq(pg.lines[0].role, LINE_FIELD);
    ck_assert_str_eq(pg.lines[0].value, f.fields[0].entry);
}
END_TEST

/* Every character, in order, with the end in the field. */
static void ck_all_shown(void)
{
    static char told[EVENT_TEXT_CAP + 80];
    size_t len = 0;
    int i = 0;

    form_page(&f, &pg);
    for (; pg.lines[i].role == LINE_ROW; i++)
        len += strlen(strcpy(told + len, pg.lines[i].text));
    ck_assert_int_gt(i, 0);
    ck_assert_int_eq(pg.lines[i].role, LINE_FIELD);
    ck_assert(pg.lines[i].is_current);
    ck_assert_uint_gt(strlen(pg.lines[i].value), 20);
    (void)strcpy(told + len, pg.lines[i].value);
    for (const char *t = told, *e = f.fields[0].entry; *e != '\0'; e++) {
        if (*e == ' ' && *t != ' ') /* where a line ends */
            continue;
        ck_assert_int_eq(*t++, *e);
    }
}

START_TEST(a_long_entry_is_shown_whole_with_its_end_in_the_field)
{
    static const uint32_t CHARACTERS[] = { 'a', 0xE9, 0x20AC, 0x1FA80 };

    for (size_t i = 0; i < ARRAY_LEN(CHARACTERS); i++)
        for (int spaced = 0; spaced < 2; spaced++) {
            begin();
            for (int n = 0; n < EVENT_TEXT_MAX; n++) {
                type(spaced && n % 8 == 7 ? ' ' : CHARACTERS[i], 1);
                if (strlen(f.fields[0].entry) > 79)
                    ck_all_shown();
            }
        }
}
END_TEST

START_TEST(the_end_of_the_longest_entry_is_in_view_on_the_smallest_screen)
{
    static struct grid g;
    static char text[30000];

    begin();
    for (int n = 0; n < EVENT_TEXT_MAX - 4; n++)
        type(n % 8 == 7 ? ' ' : 'a', 1);
    type('z', 4);
    form_page(&f, &pg);
    layout_page(&pg, 20, 60, true, NULL, &g);
    layout_text(&g, text, sizeof text);
    ck_assert_ptr_nonnull(strstr(text, "zzzz_"));
}
END_TEST

int main(void)
{
    Suite *suite = suite_create("form");
    TCase *t = tcase_create("form");

    tcase_add_test(t, a_field_for_words_holds_what_a_statement_holds);
    tcase_add_test(t, a_short_entry_stands_in_one_line);
    tcase_add_test(t, a_long_entry_is_shown_whole_with_its_end_in_the_field);
    tcase_add_test(t, the_end_of_the_longest_entry_is_in_view_on_the_smallest_screen);
    suite_add_tcase(suite, t);
    SRunner *runner = srunner_create(suite);
    srunner_run_all(runner, CK_NORMAL);
    int failed = srunner_ntests_failed(runner);
    srunner_free(runner);
    return failed == 0 ? EXIT_SUCCESS : EXIT_FAILURE;
}
