/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Graphs in character cells: nothing overflows, nothing lies, and shape alone tells what colour would. */
#include <check.h>
#include <stdlib.h>
#include <string.h>

#include "guide/cells.h"
#include "stillarm/text.h"
#include "terminal/grid.h"

#define ROW_CAP (4 * CELLS_COLS_MAX + 1)
#define CHARTS 3000

static struct chart c;
static char out[CELLS_ROWS_MAX][ROW_CAP];
static char all[CELLS_ROWS_MAX * ROW_CAP];
static int used;

static void draw(int rows, int cols, bool is_ascii)
{
    memset(out, '#', sizeof out);
    used = chart_cells(&c, rows, cols, is_ascii, out);
    all[0] = '\0';
    for (int i = 0; i < used; i++) {
        ck_assert_ptr_nonnull(memchr(out[i], '\0', ROW_CAP));
        strcat(strcat(all, out[i]), "\n");
    }
}

static bool has(const char *words)
{
    return strstr(all, words) != NULL;
}

static void must(const char *words)
{
    ck_assert_msg(has(words), "'%s' is not in:\n%s", words, all);
}

static void must_not(const char *words)
{
    ck_assert_msg(!has(words), "'%s' is in:\n%s", words, all);
}

static int row_with(const char *words)
{
    for (int i = 0; i < used; i++)
        if (strstr(out[i], words) != NULL)
            return i;
    ck_abort_msg("'%s' is in no row of:\n%s", words, all);
}

/* ---- charts of our own ---- */

static void level(double at, enum chart_stroke stroke, const char *label)
{
    struct chart_level *l = &c.levels[c.level_count++];
    *l = (struct chart_level){ .at = at, .stroke = stroke };
    text_copy(l->label, sizeof l->label, label);
}

static void point(double x, double y, int32_t count, bool is_marked)
{
    c.points[c.point_count++] = (struct chart_point){ .x = x, .y = y, .count = count, .is_marked = is_marked };
}

static void bar(const char *label, double value, double expected, bool is_marked)
{
    struct chart_bar *b = &c.bars[c.bar_count++];
    *b = (struct chart_bar){ .value = value, .expected = expected, .is_marked = is_marked };
    text_copy(b->label, sizeof b->label, label);
}

static void difference(void)
{
    c = (struct chart){ .kind = CHART_DIFFERENCE, .x = { "mean of both, mmHg", 90, 180, 10, false },
                        .y = { "difference, mmHg", -15, 15, 5, false } };
    level(0, STROKE_ZERO, "0.0");
    level(2.5, STROKE_MIDDLE, "bias +2.5");
    level(-9.1, STROKE_LIMIT, "limit -9.1");
    level(14.1, STROKE_LIMIT, "limit +14.1");
    point(100, -4, 1, false);
    point(120, 4, 2, false);
    point(140, 8, 5, false);
}

static void digits(void)
{
    c = (struct chart){ .kind = CHART_DIGITS, .x = { "last digit", 0, 6, 1, false }, .y = { "share of the even values, %", 0, 50, 5, false } };
    bar("0", 48.5, 20, true);
    bar("2", 12.25, 20, false);
    bar("4", 11, 20, false);
    bar("6", 18, 20, false);
    bar("8", 10.25, 20, false);
    bar("odd", 0, -1, false);
}

START_TEST(every_level_has_its_label_at_the_right_edge_of_its_row)
{
    difference();
    for (int is_ascii = 0; is_ascii < 2; is_ascii++) {
        draw(17, 76, is_ascii);
        ck_assert_int_eq(used, 17);
        for (int i = 0; i < c.level_count; i++) {
            const char *row = out[row_with(c.levels[i].label)];
            ck_assert_str_eq(row + strlen(row) - strlen(c.levels[i].label), c.levels[i].label);
        }
    }
}
END_TEST

START_TEST(levels_are_told_apart_by_stroke)
{
    difference();
    draw(17, 76, true);
    ck_assert_ptr_nonnull(strstr(out[row_with("bias +2.5")], "===="));
    ck_assert_ptr_nonnull(strstr(out[row_with("limit -9.1")], "...."));
    ck_assert_ptr_nonnull(strstr(out[row_with(" 0.0")], "----"));
    draw(17, 76, false);
    ck_assert_ptr_nonnull(strstr(out[row_with("bias +2.5")], "\u2550\u2550"));
    ck_assert_ptr_nonnull(strstr(out[row_with("limit -9.1")], "\u2504\u2504"));
}
END_TEST

START_TEST(both_axes_have_figures_and_units)
{
    difference();
    draw(17, 76, true);
    must("difference, mmHg");
    must("mean of both, mmHg");
    must(" 10+");
    must("-15+");
    ck_assert_int_lt(row_with(" 10+"), row_with("-10+"));
    ck_assert_ptr_nonnull(strstr(out[15], "180"));
    ck_assert_ptr_nonnull(strstr(out[15], "90"));
}
END_TEST

START_TEST(figures_on_an_axis_are_round_where_not_all_fit)
{
    difference();
    c.y = (struct chart_axis){ "difference, mmHg", -6, 11, 1, false };
    draw(15, 76, true);
    must(" 0+");
    must("10+");
    must("-5+");
    must_not("-6+");
}
END_TEST

START_TEST(one_few_and_many_have_shapes_and_are_said)
{
    difference();
    draw(17, 76, true);
    must("o one pair  O 2 to 4  @ 5 or more");
    draw(17, 76, false);
    must("\u25cb one pair  \u25ce 2 to 4  \u25cf 5 or more");
    c.point_count = 1;
    draw(17, 76, true);
    must_not("5 or more"); /* no such mark stands there */
}
END_TEST

START_TEST(dotted_lines_are_named_where_they_stand)
{
    difference();
    level(5, STROKE_BAND_HIGH, "+5");
    draw(17, 76, true);
    must(". . 5 and 10 mmHg apart");
    c.level_count--;
    draw(17, 76, true);
    must_not("5 and 10 mmHg apart");
}
END_TEST

START_TEST(a_marked_point_has_another_shape)
{
    c = (struct chart){ .kind = CHART_RELEASE, .x = { "day", 20000, 20030, 7, true }, .y = { "release rate, mmHg/s", 0, 5, 0.5, false } };
    point(20010, 2.5, 1, false);
    point(20020, 4, 1, true);
    draw(12, 60, true);
    must("o counted  x void");
    draw(12, 60, false);
    must("\u25c7 void");
}
END_TEST

START_TEST(points_of_one_cell_are_counted_together)
{
    difference();
    c.point_count = c.level_count = 0;
    for (int i = 0; i < 5; i++)
        point(120.0 + i * 0.01, 4, 1, false);
    draw(17, 76, true);
    must("@ 5 or more");
    must_not("o one pair  O");
}
END_TEST

START_TEST(days_are_told_as_dates_with_the_year_where_it_changes)
{
    c = (struct chart){ .kind = CHART_RELEASE, .x = { "day", 20699, 20730, 7, true }, .y = { "release rate, mmHg/s", 0, 5, 0.5, false } };
    point(20710, 2.5, 1, false);
    draw(12, 60, true);
    must("3 Sep"); /* 20699 is 2026-09-03 */
    c.x.high = 20899;
    c.x.tick = 91;
    draw(12, 76, true);
    must("2026-09-03");
}
END_TEST

START_TEST(a_path_is_joined_and_its_wrong_answers_are_marked)
{
    c = (struct chart){ .kind = CHART_LEARNING, .is_joined = true, .x = { "pair", 0, 40, 10, false }, .y = { "height", 0, 4, 1, false } };
    point(0, 0, 1, false);
    point(40, 4, 1, false);
    point(20, 2, 1, true);
    draw(17, 60, true);
    must("* right  x wrong");
    for (int row = 1; row < 14; row++)
        ck_assert_msg(strpbrk(out[row], "*x") != NULL, "row %d is crossed by nothing:\n%s", row, all);
}
END_TEST

START_TEST(what_happened_at_a_point_is_said_there)
{
    difference();
    c.signs[c.sign_count++] = (struct chart_sign){ .x = 100, .y = 10, .label = "reached, answer 34" };
    draw(17, 76, true);
    must("! reached, answer 34");
}
END_TEST

START_TEST(bars_lie_as_long_as_their_value_with_the_expected_mark)
{
    digits();
    draw(16, 76, true);
    const char *zero = strchr(out[row_with("0   |")], '|'), *two = strchr(out[row_with("2   |")], '|');
    size_t long_one = strspn(zero + 1, "#|"), short_one = strspn(two + 1, "=");
    ck_assert_uint_gt(long_one, 3 * short_one);
    ck_assert_ptr_nonnull(strchr(two + 1 + short_one, '|'));
    must("48.5");
    must("12.2");
    must("# beyond chance");
    must("| expected, 20 %");
    must("share of the even values, %");
    must("last digit");
    must(" 50");
}
END_TEST

START_TEST(more_bars_than_rows_stand_beside_each_other)
{
    digits();
    while (c.bar_count < CHART_BARS_MAX)
        bar("more", 7.5, 20, false);
    draw(8, 60, true);
    int n = 0;
    for (const char *at = all; (at = strstr(at, "7.5")) != NULL; at++)
        n++;
    ck_assert_int_eq(n, CHART_BARS_MAX - 6);
    must("48.5");
}
END_TEST

START_TEST(what_is_lacking_is_said_in_words)
{
    difference();
    text_copy(c.lack, sizeof c.lack, "There is no pair with a second listener yet, and so nothing that could be drawn here.");
    draw(17, 40, true);
    ck_assert_int_eq(used, 3);
    must("There is no pair with a second listener");
    c = (struct chart){ .kind = CHART_DIFFERENCE };
    draw(17, 40, true);
    must("no axes");
    difference();
    draw(5, 40, true);
    must("too little room");
}
END_TEST

START_TEST(what_lies_beyond_the_axes_is_counted)
{
    difference();
    point(300, 0, 3, false);
    point(100, -80, 1, true);
    draw(17, 78, true);
    must("4 outside");
}
END_TEST

START_TEST(labels_of_one_row_move_aside_and_point_to_their_line)
{
    difference();
    level(2.4, STROKE_BAND_HIGH, "other +2.4");
    draw(12, 76, true);
    must("bias +2.5");
    int moved = row_with("other +2.4");
    ck_assert_int_ne(moved, row_with("bias +2.5"));
    ck_assert(strstr(out[moved], "^ other") != NULL || strstr(out[moved], "v other") != NULL);
}
END_TEST

/* ---- no lie in what is shortened ---- */

static bool is_figure(uint32_t f)
{
    return f < 128 && strchr("0123456789.,+-%", (int)f) != NULL && f != 0;
}

static bool has_digit_between(const struct cell_words *w, int from, int to)
{
    for (int i = from; i < to; i++)
        if (w->c[i] >= '0' && w->c[i] <= '9')
            return true;
    return false;
}

/* Is w's figure from..to a whole figure of the other? */
static bool stands_in(const struct cell_words *w, int from, int to, const struct cell_words *in)
{
    for (int i = 0; i + (to - from) <= in->count; i++) {
        bool is_same = memcmp(in->c + i, w->c + from, (size_t)(to - from) * sizeof w->c[0]) == 0;
        if (is_same && (i == 0 || !is_figure(in->c[i - 1])) && (i + to - from == in->count || !is_figure(in->c[i + to - from])))
            return true;
    }
    return false;
}

START_TEST(a_shortened_label_holds_whole_figures_or_none)
{
    static const char *const LABELS[] = { "bias +12.5", "limit -109.25 mmHg", "at most 3.0", "12.5", "reach 4.25 of 100 at 34", "upper limit of agreement +12.5",
                                          "\u22651.50 mmHg/s", "a", "" };
    for (size_t i = 0; i < ARRAY_LEN(LABELS); i++)
        for (int most = 0; most < 34; most++) {
            struct cell_words whole, w;
            cells_set(&whole, LABELS[i], true);
            w = whole;
            cells_fit(&w, most);
            ck_assert_int_le(w.count, most);
            if (whole.count <= most)
                ck_assert_int_eq(w.count, whole.count);
            for (int from = 0, to; from < w.count; from = to + 1) {
                for (to = from; to < w.count && is_figure(w.c[to]);)
                    to++;
                if (has_digit_between(&w, from, to))
                    ck_assert_msg(stands_in(&w, from, to, &whole), "'%s' at %d", LABELS[i], most);
            }
        }
}
END_TEST

START_TEST(the_figure_of_a_label_outlives_its_words)
{
    struct cell_words w;
    cells_set(&w, "upper limit +12.5", true);
    cells_fit(&w, 12);
    ck_assert_int_eq(w.count, 12);
    ck_assert_uint_eq(w.c[11], '5');
    ck_assert_uint_eq(w.c[7], '+');
}
END_TEST

/* ---- any chart ---- */

static uint64_t seed = 20310302;

static uint32_t pick(uint32_t n)
{
    seed = seed * UINT64_C(6364136223846793005) + UINT64_C(1442695040888963407);
    return (uint32_t)(seed >> 33) % n;
}

static double any_value(void)
{
    static const double ODD_ONES[] = { 0, -0.0, 1e300, -1e300, 1e-300, 1e15, 0.1, -5 };
    if (pick(20) == 0)
        return ODD_ONES[pick(ARRAY_LEN(ODD_ONES))];
    if (pick(60) == 0)
        return ODD_ONES[2] * ODD_ONES[2] * (pick(2) ? 1 : -1); /* infinite */
    if (pick(60) == 0)
        return ODD_ONES[2] * ODD_ONES[2] * 0; /* no number */
    return ((double)pick(2000001) - 1000000) / (pick(2) ? 1000 : 10000);
}

static void any_words(char *to, size_t cap)
{
    static const char *const PARTS[] = { "bias +1.2", "limit", " ", "mmHg", "\u2264 5 %", "\u00e9", "\u6f22\u5b57", "e\u0301", "\n", "\x1b[2J", "\xff", "\U0001fa80", "very long label with words" };
    to[0] = '\0';
    for (uint32_t n = pick(5); n > 0; n--)
        if (strlen(to) + strlen(PARTS[0]) + 30 < cap)
            strcat(to, PARTS[pick(ARRAY_LEN(PARTS))]);
}

static void any_axis(struct chart_axis *a)
{
    any_words(a->label, sizeof a->label);
    a->low = any_value();
    a->high = pick(10) ? a->low + pick(400) * 0.5 + 0.001 : any_value();
    a->tick = pick(8) ? (1 + pick(100)) * 0.25 : any_value();
    a->is_day = pick(4) == 0;
}

static void any_chart(void)
{
    c = (struct chart){ .kind = (enum chart_kind)pick(CHART_KIND_COUNT), .is_joined = pick(3) == 0 };
    if (pick(12) == 0)
        any_words(c.lack, sizeof c.lack);
    any_axis(&c.x);
    any_axis(&c.y);
    for (uint32_t n = pick(CHART_LEVELS_MAX + 1); n > 0; n--) {
        level(pick(4) ? c.y.low + pick(200) * 0.5 : any_value(), (enum chart_stroke)pick(STROKE_BAND_HIGH + 1), "");
        any_words(c.levels[c.level_count - 1].label, sizeof c.levels[0].label);
    }
    for (uint32_t n = pick(4) ? pick(60) : 0; n > 0; n--)
        point(pick(3) ? c.x.low + pick(400) * 0.5 : any_value(), pick(3) ? c.y.low + pick(400) * 0.5 : any_value(),
              pick(9) ? (int32_t)pick(9) : INT32_MAX, pick(4) == 0);
    for (uint32_t n = pick(3) ? 0 : pick(CHART_BARS_MAX + 1); n > 0; n--) {
        bar("", any_value(), any_value(), pick(2));
        any_words(c.bars[c.bar_count - 1].label, sizeof c.bars[0].label);
    }
    for (uint32_t n = pick(CHART_SIGNS_MAX + 1); n > 0; n--) {
        c.signs[c.sign_count] = (struct chart_sign){ .x = any_value(), .y = any_value() };
        any_words(c.signs[c.sign_count].label, sizeof c.signs[0].label);
        c.sign_count++;
    }
}

static void check_row(const char *row, int cols, bool is_ascii)
{
    size_t len = strlen(row);
    int width = 0;
    for (size_t at = 0; at < len;) {
        uint32_t ch = 0;
        size_t n = utf8_decode(row + at, len - at, &ch);
        ck_assert_uint_gt(n, 0);
        ck_assert_msg(!is_control(ch), "U+%04X", ch);
        ck_assert(!is_ascii || ch < 0x7F);
        ck_assert_int_eq(char_width(ch), 1);
        width++;
        at += n;
    }
    ck_assert_int_le(width, cols);
}

START_TEST(no_row_of_any_chart_overflows)
{
    for (int i = 0; i < CHARTS; i++) {
        int rows = 1 + (int)pick(45), cols = 1 + (int)pick(170);
        bool is_ascii = pick(2);
        if (pick(4)) {
            rows = rows < 8 ? 8 : rows;
            cols = cols < 40 ? 40 : cols;
        }
        any_chart();
        draw(rows, cols, is_ascii);
        ck_assert_int_le(used, rows);
        ck_assert_int_le(used, CELLS_ROWS_MAX);
        for (int row = 0; row < used; row++)
            check_row(out[row], cols < CELLS_COLS_MAX ? cols : CELLS_COLS_MAX, is_ascii);
    }
}
END_TEST

START_TEST(every_chart_that_is_made_fits_the_smallest_room)
{
    static const struct chart_frame frame = { .who = "ana", .span = "3 Sep to 24 Nov 2026" };
    static const struct digit_tally d = { .even = { 20, 5, 4, 9, 6 }, .odd = 2 };
    static const struct release_point r[] = { { 20260903, 21, true }, { 20260910, 38, false }, { 20261124, 25, true } };
    chart_digits(&c, &frame, SIDE_SYSTOLIC, &d);
    draw(8, 40, true);
    must("odd");
    must("45.5");
    must("expected");
    chart_release(&c, &frame, r, 3, 20, 30);
    draw(8, 40, true);
    must("mmHg/s");
    must("x void");
}
END_TEST

int main(void)
{
    Suite *s = suite_create("chart cells");
    TCase *t = tcase_create("cells");
    tcase_set_timeout(t, 60);
    suite_add_tcase(s, t);
    tcase_add_test(t, every_level_has_its_label_at_the_right_edge_of_its_row);
    tcase_add_test(t, levels_are_told_apart_by_stroke);
    tcase_add_test(t, both_axes_have_figures_and_units);
    tcase_add_test(t, figures_on_an_axis_are_round_where_not_all_fit);
    tcase_add_test(t, one_few_and_many_have_shapes_and_are_said);
    tcase_add_test(t, dotted_lines_are_named_where_they_stand);
    tcase_add_test(t, a_marked_point_has_another_shape);
    tcase_add_test(t, points_of_one_cell_are_counted_together);
    tcase_add_test(t, days_are_told_as_dates_with_the_year_where_it_changes);
    tcase_add_test(t, a_path_is_joined_and_its_wrong_answers_are_marked);
    tcase_add_test(t, what_happened_at_a_point_is_said_there);
    tcase_add_test(t, bars_lie_as_long_as_their_value_with_the_expected_mark);
    tcase_add_test(t, more_bars_than_rows_stand_beside_each_other);
    tcase_add_test(t, what_is_lacking_is_said_in_words);
    tcase_add_test(t, what_lies_beyond_the_axes_is_counted);
    tcase_add_test(t, labels_of_one_row_move_aside_and_point_to_their_line);
    tcase_add_test(t, a_shortened_label_holds_whole_figures_or_none);
    tcase_add_test(t, the_figure_of_a_label_outlives_its_words);
    tcase_add_test(t, no_row_of_any_chart_overflows);
    tcase_add_test(t, every_chart_that_is_made_fits_the_smallest_room);
    SRunner *r = srunner_create(s);
    srunner_run_all(r, CK_NORMAL);
    int failed = srunner_ntests_failed(r);
    srunner_free(r);
    return failed == 0 ? EXIT_SUCCESS : EXIT_FAILURE;
}
