/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The pages of progress, out of invented records: what comes first, what stays in sight, and that all of it fits. */
#include <check.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "config/yardstick_text.h"
#include "guide/progress_chart.h"
#include "stillarm/text.h"
#include "terminal/layout.h"
#include "terminal/terminal.h"

#define TEXT_CAP 65536

static struct progress p;
static struct progress_row before;
static struct yardstick y;
static struct learning_rates rates;
static struct progress_view v;
static struct page pg;
static char text[TEXT_CAP];

/* ---- an invented record ---- */

static uint64_t seed;

static int64_t pick(int64_t n)
{
    seed = seed * UINT64_C(6364136223846793005) + UINT64_C(1442695040888963407);
    return (int64_t)((seed >> 33) % (uint64_t)n);
}

static void load_yardstick(void)
{
    static char file[65536];
    struct err e = { 0 };
    FILE *f = fopen(TEST_SOURCE_DIR "/assets/yardsticks/trainee.yardstick", "r");
    ck_assert_ptr_nonnull(f);
    file[fread(file, 1, sizeof file - 1, f)] = '\0';
    fclose(f);
    ck_assert_msg(yardstick_parse("trainee.yardstick", file, NULL, 0, &y, NULL, NULL, &e) == ST_OK, "%s", e.text);
    learning_rates(&y.plan, &rates);
}

static void add_pair(struct agree_tally *t, struct agree_subject *s, const struct agree_frame *f, bool is_wrong)
{
    struct agree_pair pair;
    bool is_right = true;
    for (int side = 0; side < SIDE_COUNT; side++) {
        int64_t b = (side == SIDE_SYSTOLIC ? 104 + 2 * pick(30) : 62 + 2 * pick(15)), off = 2 * (pick(5) - 2) + (is_wrong ? 8 : 0);
        pair.value[side][EAR_LISTENER] = b * AGREE_UNIT;
        pair.value[side][EAR_MEASURER] = (b + off) * AGREE_UNIT;
        is_right = is_right && off >= -5 && off <= 5;
        difference_grid_add(&p.grid[side], (b + off) * AGREE_UNIT, b * AGREE_UNIT);
        digit_tally_add(&p.digits[side], (b + off) * AGREE_UNIT);
    }
    agree_add(t, s, f, &pair);
    learning_path_add(&p.path, &t->learning, is_right);
}

static void invent(int pairs)
{
    static struct agree_tally t;
    const struct agree_frame f = { .plan = y.plan };
    static struct agree_subject s[64];
    seed = 7;
    memset(&p, 0, sizeof p);
    memset(s, 0, sizeof s);
    text_copy(p.person, sizeof p.person, "ana");
    text_copy(p.name, sizeof p.name, "Ana Torres");
    text_copy(p.role, sizeof p.role, "trainee");
    agree_begin(&t, &f);
    learning_path_begin(&p.path);
    for (int i = 0; i < pairs; i++)
        add_pair(&t, &s[i % 24], &f, i < 12 && i % 4 == 0);
    for (int i = 0; i < 64; i++)
        agree_close_subject(&t, &s[i]);
    agreement_of(&t, &p.record.agreement);
    p.record.agreement.has_learning = true;
    p.record.agreement.learning = t.learning;
    p.record.count[RECORD_PAIRS] = pairs;
    p.record.count[RECORD_SUBJECTS] = pairs < 24 ? pairs : 24;
    p.record.count[RECORD_LISTENERS] = pairs > 0;
    p.record.count[RECORD_SITTINGS] = p.sealed = pairs / 2;
    p.record.count[RECORD_CLEAN_SHARE] = p.clean = pairs / 3;
    p.readings = p.counted = pairs;
    if (pairs > 0) {
        p.first_day = p.first_pair_day = 20260903;
        p.last_day = p.last_pair_day = 20261124;
    }
    for (int i = 0; i < pairs; i++)
        p.releases[p.release_count++] = (struct release_point){ 20260903 + i % 27, 21 + (int32_t)pick(14), i % 9 != 3 };
    p.release_low_x10 = 20;
    p.release_high_x10 = 30;
    p.refused[RULE_ITEM_OPEN] = pairs / 5;
    yardstick_judge(&y, &p.record, &p.result);
    progress_row_of(&p, &before);
    before.sittings = before.sittings > 2 ? before.sittings - 2 : 0;
    v = (struct progress_view){ .rows = 24, .cols = 80, .since_day = 20261024 };
}

static void draw(enum progress_leaf leaf)
{
    v.leaf = leaf;
    progress_page(&p, &before, &y, &rates, &v, &pg);
    if (v.rows > 0)
        terminal_render_text(&pg, v.rows, v.cols, v.is_ascii, text, sizeof text);
    if (getenv("SHOW_PAGES"))
        printf("%s----\n", text);
}

static bool has(const char *words)
{
    return strstr(text, words) != NULL;
}

static void must(const char *words)
{
    ck_assert_msg(has(words), "'%s' is not in:\n%s", words, text);
}

static bool page_says(const char *words)
{
    for (int i = 0; i < pg.line_count; i++)
        if (strstr(page_line_text(&pg, &pg.lines[i]), words) != NULL)
            return true;
    return false;
}

static bool has_key(const char *name)
{
    for (int i = 0; i < pg.key_count; i++)
        if (strcmp(pg.keys[i].name, name) == 0)
            return true;
    return false;
}

static bool is_graph(int leaf)
{
    enum chart_kind kind;
    return progress_leaf_graph((enum progress_leaf)leaf, &kind);
}

/* ---- a person ---- */

START_TEST(the_verdict_comes_first_in_words)
{
    invent(60);
    draw(LEAF_VERDICT);
    ck_assert(strstr(pg.lines[0].text, "a preceptor decides") != NULL);
    ck_assert(strncmp(pg.lines[0].text, READINESS_WORDS[p.result.answer], strlen(READINESS_WORDS[p.result.answer])) == 0);
    ck_assert_str_eq(pg.title, "Ana Torres, trainee");
}
END_TEST

START_TEST(error_rates_stand_beside_the_verdict)
{
    invent(60);
    draw(LEAF_VERDICT);
    ck_assert(page_says("How often the learning curve errs"));
}
END_TEST

START_TEST(too_few_says_how_many_more)
{
    invent(3);
    p.result.answer = READY_TOO_FEW;
    draw(LEAF_VERDICT);
    ck_assert(page_says("more pairs"));
}
END_TEST

START_TEST(every_leaf_says_that_nobody_is_certified_and_which_of_how_many_it_is)
{
    static const int SIZES[][2] = { { 24, 80 }, { 20, 60 }, { 50, 200 } };
    invent(60);
    for (size_t i = 0; i < ARRAY_LEN(SIZES); i++)
        for (int leaf = 0; leaf < LEAF_COUNT; leaf++) {
            char which[32];
            v.rows = SIZES[i][0];
            v.cols = SIZES[i][1];
            draw((enum progress_leaf)leaf);
            (void)snprintf(which, sizeof which, "%d of %d", leaf + 1, LEAF_COUNT);
            must("An aid to training; it certifies nobody");
            must(which);
        }
}
END_TEST

/* All of a graph: its last row, which says what goes right, and under it the note. */
START_TEST(graphs_are_whole_on_every_screen)
{
    static const int SIZES[][2] = { { 24, 80 }, { 20, 60 }, { 50, 200 }, { 21, 61 }, { 22, 60 }, { 40, 120 }, { 120, 320 } };
    invent(60);
    for (int is_ascii = 0; is_ascii < 2; is_ascii++)
        for (size_t i = 0; i < ARRAY_LEN(SIZES); i++)
            for (int leaf = 0; leaf < LEAF_COUNT; leaf++) {
                if (!is_graph(leaf))
                    continue;
                v.is_ascii = is_ascii;
                v.rows = SIZES[i][0];
                v.cols = SIZES[i][1];
                draw((enum progress_leaf)leaf);
                ck_assert_msg(!has("(more below)"), "%d by %d:\n%s", v.cols, v.rows, text);
                ck_assert_int_ge(pg.drawn_count, 8);
                must(leaf == LEAF_DIGITS ? "share of the even" : leaf == LEAF_RELEASE ? "day" : leaf == LEAF_LEARNING ? "pairs in their order" : "mean of both, mmHg");
                must("2026-11-24");
            }
}
END_TEST

START_TEST(a_graph_uses_the_room_of_a_large_screen)
{
    invent(60);
    draw(LEAF_DIFFERENCE_SYSTOLIC);
    int rows = pg.drawn_count;
    v.rows = 50;
    v.cols = 200;
    draw(LEAF_DIFFERENCE_SYSTOLIC);
    ck_assert_int_ge(pg.drawn_count, 2 * rows);
}
END_TEST

START_TEST(a_plain_page_is_ascii_throughout)
{
    invent(60);
    v.is_ascii = true;
    for (int leaf = 0; leaf < LEAF_COUNT; leaf++) {
        draw((enum progress_leaf)leaf);
        for (const char *at = text; *at; at++)
            ck_assert_int_lt((unsigned char)*at, 0x80);
    }
}
END_TEST

START_TEST(the_learning_curve_says_what_it_is_after_the_signal)
{
    invent(12);
    draw(LEAF_LEARNING);
    ck_assert(!page_says("begins anew at 0"));
    invent(60);
    draw(LEAF_LEARNING);
    must("reached, pair");
    must("After reached it begins anew at 0: up is towards lost.");
}
END_TEST

START_TEST(the_learning_curve_says_how_often_it_errs)
{
    invent(12);
    draw(LEAF_LEARNING);
    must("It errs within 100 pairs: ");
    ck_assert(page_says("who hear 25 % wrong reach it"));
}
END_TEST

START_TEST(the_release_graph_says_how_many_lie_outside_the_band)
{
    invent(60);
    draw(LEAF_RELEASE);
    ck_assert(!page_says("quicker than"));
    p.releases_observed = 60;
    p.releases_quick = 57;
    draw(LEAF_RELEASE);
    must("57 of 60 releases quicker than 3.0 mmHg/s");
    ck_assert(!page_says("slower than"));
}
END_TEST

/* Each that a newcomer asked for, where it stands. */
static const struct { enum progress_leaf leaf; const char *word; } ASKED[] = {
    { LEAF_COUNT, "yardstick: " }, { LEAF_COUNT, "sealed: " },      { LEAF_COUNT, "clean: " },
    { LEAF_COUNT, "pair: " },      { LEAF_COUNT, "bias: " },        { LEAF_VERDICT, "held: " },
    { LEAF_SLIPS, "void: " },      { LEAF_RELEASE, "void: " },      { LEAF_DIFFERENCE_SYSTOLIC, "limits of agreement: " },
    { LEAF_FIGURES, "ICC(2,1)" },  { LEAF_FIGURES, "kappa: " },     { LEAF_LEARNING, "height of the curve: " },
    { LEAF_VERDICT, "chance of so many: " },  { LEAF_VERDICT, "same values again: " }, { LEAF_FIGURES, "concordance: " },
    { LEAF_FIGURES, "chi-square: " }, { LEAF_FIGURES, "SD: " }, { LEAF_FIGURES, "limit, 1999: " }, { LEAF_LEARNING, "!: " },
};

START_TEST(every_word_asked_for_is_told_where_it_stands)
{
    progress_help_page(ASKED[_i].leaf, &pg);
    ck_assert_msg(page_says(ASKED[_i].word), "%s", ASKED[_i].word);
}
END_TEST

START_TEST(every_page_of_words_says_where_a_source_is_found)
{
    for (int leaf = 0; leaf <= LEAF_COUNT; leaf++) {
        progress_help_page((enum progress_leaf)leaf, &pg);
        ck_assert_int_gt(pg.line_count, 3);
        ck_assert(page_says("stillarm why OBS-3"));
    }
}
END_TEST

START_TEST(no_word_is_told_where_it_does_not_stand)
{
    progress_help_page(LEAF_RELEASE, &pg);
    ck_assert(!page_says("kappa"));
    ck_assert(!page_says("yardstick"));
}
END_TEST

START_TEST(every_page_offers_its_words)
{
    invent(60);
    for (int leaf = 0; leaf < LEAF_COUNT; leaf++) {
        draw((enum progress_leaf)leaf);
        ck_assert(has_key("?"));
    }
}
END_TEST

START_TEST(without_a_screen_words_stand_in_place_of_a_graph)
{
    invent(60);
    v.rows = v.cols = 0;
    draw(LEAF_DIFFERENCE_SYSTOLIC);
    ck_assert_int_eq(pg.drawn_count, 0);
    ck_assert(page_says("bias"));
    ck_assert(page_says("difference, mmHg: from"));
    draw(LEAF_DIGITS);
    ck_assert(page_says("odd: "));
    ck_assert(page_says("20 expected"));
}
END_TEST

START_TEST(every_empty_leaf_is_told_in_words)
{
    invent(0);
    for (int leaf = 0; leaf < LEAF_COUNT; leaf++) {
        draw((enum progress_leaf)leaf);
        ck_assert_int_gt(pg.line_count, 0);
        ck_assert_int_gt((int)strlen(pg.lines[0].text), 10);
        ck_assert_int_eq(pg.drawn_count, 0);
        ck_assert_msg(!has("nan") && !has("inf "), "%s", text);
    }
    draw(LEAF_FIGURES);
    must("no pair with a second listener yet");
}
END_TEST

START_TEST(only_a_graph_can_be_written)
{
    invent(60);
    for (int leaf = 0; leaf < LEAF_COUNT; leaf++) {
        draw((enum progress_leaf)leaf);
        ck_assert_int_eq(has_key("w"), is_graph(leaf));
        ck_assert_int_eq(has_key("n right"), leaf + 1 < LEAF_COUNT);
        ck_assert_int_eq(has_key("p left"), leaf > 0);
    }
}
END_TEST

START_TEST(a_graph_of_nothing_is_not_offered_to_be_written)
{
    invent(0);
    for (int leaf = 0; leaf < LEAF_COUNT; leaf++) {
        draw((enum progress_leaf)leaf);
        ck_assert(!has_key("w"));
    }
}
END_TEST

START_TEST(readings_without_marks_are_said_to_have_no_known_rate)
{
    invent(60);
    p.release_count = 0;
    draw(LEAF_RELEASE);
    must("the marks that it is worked out from were not made");
    invent(0);
    draw(LEAF_RELEASE);
    must("There is no release yet.");
}
END_TEST

START_TEST(the_last_line_of_a_long_leaf_can_be_reached)
{
    invent(60);
    for (int leaf = 0; leaf < LEAF_COUNT; leaf++) {
        if (is_graph(leaf))
            continue;
        v.leaf = (enum progress_leaf)leaf;
        v.at = progress_page_last(&p, &before, &y, &rates, &v);
        draw((enum progress_leaf)leaf);
        ck_assert(pg.lines[pg.line_count - 1].is_current);
        v.at = 100000;
        draw((enum progress_leaf)leaf);
        ck_assert(pg.lines[pg.line_count - 1].is_current);
        v.at = 0;
    }
}
END_TEST

START_TEST(what_a_long_leaf_leaves_out_is_said_at_its_ends)
{
    invent(60);
    v.leaf = LEAF_FIGURES;
    draw(LEAF_FIGURES);
    ck_assert_ptr_nonnull(strstr(pg.lines[pg.line_count - 1].text, " lines more: j)"));
    v.at = progress_page_last(&p, &before, &y, &rates, &v);
    draw(LEAF_FIGURES);
    ck_assert_ptr_nonnull(strstr(pg.lines[0].text, " lines before: k)"));
    v.at = 0;
}
END_TEST

START_TEST(the_other_side_of_digits_is_one_key_away_where_both_do_not_fit)
{
    invent(60);
    draw(LEAF_DIGITS);
    must("systolic");
    ck_assert(!has("diastolic"));
    v.at = progress_page_last(&p, &before, &y, &rates, &v);
    draw(LEAF_DIGITS);
    must("diastolic");
    v.at = 0;
    v.rows = 50;
    draw(LEAF_DIGITS);
    must("systolic: last digits");
    must("diastolic: last digits");
}
END_TEST

START_TEST(changes_name_the_day_they_are_counted_from)
{
    invent(60);
    draw(LEAF_CHANGES);
    must("2026-10-24");
    must("sealed sittings");
    v.leaf = LEAF_CHANGES;
    progress_page(&p, NULL, &y, &rates, &v, &pg);
    ck_assert(page_says("no day to compare with"));
}
END_TEST

START_TEST(a_sheet_has_both_sides_where_a_graph_is_of_one)
{
    static struct chart_sheet s;
    invent(60);
    progress_sheet(&p, &y, CHART_DIFFERENCE, 20261125, &s);
    ck_assert_int_eq(s.panel_count, 2);
    ck_assert_str_eq(s.date, "2026-11-25");
    progress_sheet(&p, &y, CHART_LEARNING, 20261125, &s);
    ck_assert_int_eq(s.panel_count, 1);
}
END_TEST

/* ---- the group ---- */

#define GROUP 70

static struct progress_row rows[GROUP], were[GROUP];
static struct progress_group g;

static void invent_group(int count)
{
    static const char *const IDS[] = { "ana", "ben", "dora-with-a-long-id", "eli", "fay" };
    load_yardstick();
    invent(60);
    memset(rows, 0, sizeof rows);
    for (int i = 0; i < count; i++) {
        struct progress_row *r = &rows[i];
        (void)snprintf(r->person, sizeof r->person, "%s%s%.0d", IDS[i % 5], i < 5 ? "" : "-", i < 5 ? 0 : i);
        r->sittings = 40 - i % 30;
        r->clean = r->sittings / 2;
        r->pairs = 3 * i;
        r->has_bias = r->has_near = r->has_zero = i % 5 != 4;
        r->bias[SIDE_SYSTOLIC] = -12.25 + i;
        r->near_5[SIDE_SYSTOLIC] = r->near_5[SIDE_DIASTOLIC] = 1.0;
        r->zero[SIDE_SYSTOLIC] = 0.205;
        r->readiness = (enum readiness)(i % 3);
        r->missing_pairs = r->readiness == READY_TOO_FEW ? 29 : 0;
        r->last_day = 20261124;
        were[i] = *r;
        were[i].sittings -= i % 2;
    }
    g = (struct progress_group){ .now = rows, .before = were, .count = count, .order = ORDER_BIAS, .since_day = 20261024 };
}

static void draw_group(int height, int width)
{
    v.rows = height;
    v.cols = width;
    progress_group_page(&g, &y, &v, &pg);
    if (height > 0)
        terminal_render_text(&pg, height, width, false, text, sizeof text);
    if (getenv("SHOW_PAGES"))
        printf("%s----\n", text);
}

START_TEST(the_group_is_a_table_with_heads_and_units)
{
    static const int SIZES[][2] = { { 24, 80 }, { 20, 60 }, { 50, 200 } };
    invent_group(5);
    for (size_t i = 0; i < ARRAY_LEN(SIZES); i++) {
        draw_group(SIZES[i][0], SIZES[i][1]);
        must("person");
        must("bias, mmHg");
        must("answer");
        must("order: bias");
        must("-12.2 ");
        must("fay");
        must("not yet");
        ck_assert_msg(!has("(more below)"), "%s", text);
    }
    must("2026-11-24"); /* the last day, where there is room */
}
END_TEST

/* A row that does not fit would go on in the next: so many rows as people, each with its answer at the same place. */
START_TEST(no_row_of_the_group_is_wrapped)
{
    static const int WIDTHS[] = { 60, 61, 79, 80, 81, 91, 92, 200 };
    invent_group(GROUP);
    for (size_t i = 0; i < ARRAY_LEN(WIDTHS); i++) {
        int count = 0;
        draw_group(24, WIDTHS[i]);
        for (int line = 0; line < pg.line_count; line++)
            if (pg.lines[line].role == LINE_ROW || line == pg.pinned - 1) {
                ck_assert_int_le(utf8_length(pg.lines[line].text), WIDTHS[i] - 2);
                count++;
            }
        ck_assert_int_gt(count, 10);
    }
}
END_TEST

START_TEST(the_heads_and_the_cursor_stay_in_sight)
{
    invent_group(GROUP);
    for (g.at = 0; g.at < GROUP; g.at++) {
        draw_group(20, 60);
        must("bias, mmHg");
        must(">");
    }
}
END_TEST

START_TEST(what_is_new_of_the_row_with_the_cursor_is_said)
{
    invent_group(5);
    g.at = 1;
    draw_group(24, 80);
    must("ben: since 2026-10-24 1 more sitting");
    g.at = 2;
    draw_group(24, 80);
    must("nothing new since 2026-10-24");
    g.at = 0;
    draw_group(24, 80);
    must("at least 29 more pairs");
}
END_TEST

START_TEST(an_empty_group_says_how_somebody_comes_to_be_in_it)
{
    invent_group(0);
    draw_group(24, 80);
    must("Nobody has measured yet");
    ck_assert(!has_key("enter"));
    ck_assert(has_key("q"));
}
END_TEST

START_TEST(a_group_that_is_read_out_keeps_to_the_rows_around_the_cursor)
{
    invent_group(GROUP);
    g.at = 40;
    draw_group(0, 0);
    ck_assert_int_lt(pg.line_count, 20);
    ck_assert(page_says(rows[40].person));
}
END_TEST

START_TEST(another_yardstick_is_offered_where_there_is_one)
{
    for (int has = 0; has < 2; has++) {
        invent_group(3);
        g.has_others = has;
        draw_group(24, 80);
        ck_assert_int_eq(has_key("y"), has);
    }
}
END_TEST

START_TEST(reading_a_large_store_says_how_far_it_is)
{
    for (int can_leave = 0; can_leave < 2; can_leave++) {
        progress_reading_page(120, 2000, can_leave, &pg);
        ck_assert(page_says("120 of 2000 sittings"));
        ck_assert_int_eq(has_key("q"), can_leave);
    }
}
END_TEST

int main(void)
{
    Suite *s = suite_create("progress page");
    TCase *t = tcase_create("pages");
    suite_add_tcase(s, t);
    tcase_set_timeout(t, 60);
    tcase_add_checked_fixture(t, load_yardstick, NULL);
    tcase_add_test(t, the_verdict_comes_first_in_words);
    tcase_add_test(t, error_rates_stand_beside_the_verdict);
    tcase_add_test(t, too_few_says_how_many_more);
    tcase_add_test(t, every_leaf_says_that_nobody_is_certified_and_which_of_how_many_it_is);
    tcase_add_test(t, graphs_are_whole_on_every_screen);
    tcase_add_test(t, a_graph_uses_the_room_of_a_large_screen);
    tcase_add_test(t, a_plain_page_is_ascii_throughout);
    tcase_add_test(t, the_learning_curve_says_what_it_is_after_the_signal);
    tcase_add_test(t, the_learning_curve_says_how_often_it_errs);
    tcase_add_test(t, the_release_graph_says_how_many_lie_outside_the_band);
    tcase_add_loop_test(t, every_word_asked_for_is_told_where_it_stands, 0, (int)ARRAY_LEN(ASKED));
    tcase_add_test(t, every_page_of_words_says_where_a_source_is_found);
    tcase_add_test(t, no_word_is_told_where_it_does_not_stand);
    tcase_add_test(t, every_page_offers_its_words);
    tcase_add_test(t, without_a_screen_words_stand_in_place_of_a_graph);
    tcase_add_test(t, every_empty_leaf_is_told_in_words);
    tcase_add_test(t, only_a_graph_can_be_written);
    tcase_add_test(t, a_graph_of_nothing_is_not_offered_to_be_written);
    tcase_add_test(t, readings_without_marks_are_said_to_have_no_known_rate);
    tcase_add_test(t, the_last_line_of_a_long_leaf_can_be_reached);
    tcase_add_test(t, what_a_long_leaf_leaves_out_is_said_at_its_ends);
    tcase_add_test(t, the_other_side_of_digits_is_one_key_away_where_both_do_not_fit);
    tcase_add_test(t, changes_name_the_day_they_are_counted_from);
    tcase_add_test(t, a_sheet_has_both_sides_where_a_graph_is_of_one);
    tcase_add_test(t, the_group_is_a_table_with_heads_and_units);
    tcase_add_test(t, no_row_of_the_group_is_wrapped);
    tcase_add_test(t, the_heads_and_the_cursor_stay_in_sight);
    tcase_add_test(t, what_is_new_of_the_row_with_the_cursor_is_said);
    tcase_add_test(t, an_empty_group_says_how_somebody_comes_to_be_in_it);
    tcase_add_test(t, a_group_that_is_read_out_keeps_to_the_rows_around_the_cursor);
    tcase_add_test(t, another_yardstick_is_offered_where_there_is_one);
    tcase_add_test(t, reading_a_large_store_says_how_far_it_is);
    SRunner *r = srunner_create(s);
    srunner_run_all(r, CK_NORMAL);
    int failed = srunner_ntests_failed(r);
    srunner_free(r);
    return failed == 0 ? EXIT_SUCCESS : EXIT_FAILURE;
}
