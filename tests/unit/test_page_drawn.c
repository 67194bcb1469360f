/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Rows of a drawing on a page: as they are, whatever the words around them do. */
#include <check.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "guide/page.h"
#include "terminal/layout.h"
#include "terminal/terminal.h"

static struct page pg;
static char text[65536];

static void begin(enum page_form form)
{
    page_init(&pg, form, "drawn");
    page_key(&pg, "q", "back");
}

static void draw(int rows, int cols, bool is_ascii)
{
    terminal_render_text(&pg, rows, cols, is_ascii, text, sizeof text);
}

static void must(const char *words)
{
    ck_assert_msg(strstr(text, words) != NULL, "'%s' is not in:\n%s", words, text);
}

START_TEST(a_drawn_row_keeps_every_blank)
{
    begin(PAGE_WIDE);
    page_drawn(&pg, "10 |   o    o      label  a");
    draw(24, 80, false);
    must("\n  10 |   o    o      label  a\n");
}
END_TEST

START_TEST(a_drawn_row_is_cut_at_the_edge_and_not_wrapped)
{
    char row[201];
    memset(row, '-', 200);
    row[200] = '\0';
    begin(PAGE_WIDE);
    page_drawn(&pg, row);
    page_line(&pg, LINE_NOTE, "after");
    draw(24, 80, false);
    int rows = 0;
    for (const char *at = text; (at = strchr(at, '-')) != NULL; at += strspn(at, "-"), rows++)
        ck_assert_uint_eq(strspn(at, "-"), 78);
    ck_assert_int_eq(rows, 1);
    must("after");
}
END_TEST

START_TEST(a_wide_page_leaves_words_all_columns_but_two)
{
    char row[79];
    memset(row, 'x', 78);
    row[78] = '\0';
    begin(PAGE_WIDE);
    page_line(&pg, LINE_ROW, "%s", row)->is_current = true;
    draw(24, 80, false);
    must("\n> xxxx");
    must(row);
}
END_TEST

START_TEST(a_drawing_is_ascii_where_nothing_else_can_be_shown)
{
    begin(PAGE_OPEN);
    page_drawn(&pg, "\u2502\u2550\u2550 \u25cb");
    draw(24, 80, true);
    for (const char *at = text; *at; at++)
        ck_assert_int_lt((unsigned char)*at, 0x80);
}
END_TEST

START_TEST(a_page_that_is_full_drops_rows_and_keeps_the_rest)
{
    begin(PAGE_WIDE);
    page_line(&pg, LINE_NOTE, "first");
    for (int i = 0; i < 3 * PAGE_DRAWN_MAX; i++)
        page_drawn(&pg, "row");
    ck_assert_int_eq(pg.drawn_count, PAGE_DRAWN_MAX);
    ck_assert_int_eq(pg.line_count, PAGE_DRAWN_MAX + 1);
    ck_assert_str_eq(page_line_text(&pg, &pg.lines[0]), "first");
    ck_assert_str_eq(page_line_text(&pg, &pg.lines[PAGE_DRAWN_MAX]), "row");
}
END_TEST

START_TEST(a_long_row_ends_on_a_whole_character)
{
    char row[3 * 200 + 1] = "";
    for (int i = 0; i < 200; i++)
        strcat(row, "\u2550");
    begin(PAGE_WIDE);
    page_drawn(&pg, row);
    ck_assert_uint_eq(strlen(pg.drawn[0]), PAGE_DRAWN_CAP - 1);
    ck_assert_uint_eq(strlen(pg.drawn[0]) % 3, 0);
}
END_TEST

int main(void)
{
    Suite *s = suite_create("drawn");
    TCase *t = tcase_create("drawn");
    suite_add_tcase(s, t);
    tcase_add_test(t, a_drawn_row_keeps_every_blank);
    tcase_add_test(t, a_drawn_row_is_cut_at_the_edge_and_not_wrapped);
    tcase_add_test(t, a_wide_page_leaves_words_all_columns_but_two);
    tcase_add_test(t, a_drawing_is_ascii_where_nothing_else_can_be_shown);
    tcase_add_test(t, a_page_that_is_full_drops_rows_and_keeps_the_rest);
    tcase_add_test(t, a_long_row_ends_on_a_whole_character);
    SRunner *r = srunner_create(s);
    srunner_run_all(r, CK_NORMAL);
    int failed = srunner_ntests_failed(r);
    srunner_free(r);
    return failed == 0 ? EXIT_SUCCESS : EXIT_FAILURE;
}
