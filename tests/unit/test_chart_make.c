/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Graphs as data: nothing is left out unsaid, nothing lies beyond the axes, and what is lacking is told in words. */
#include <stdio.h>

#include "chart_hand.h"
#include "stillarm/text.h"

static struct chart c;
static struct hand h;
static struct difference_grid g;
static struct learning_path path;

#define HAS(text, part) ck_assert_msg(strstr(text, part) != NULL, "\"%s\" is not in \"%s\"", part, text)
#define HAS_NOT(text, part) ck_assert_msg(strstr(text, part) == NULL, "\"%s\" is in \"%s\"", part, text)

/* ---- the grid ---- */

struct cell_row { int64_t a, b; int mean, diff; const char *why; };
static const struct cell_row CELLS[] = {
    {20000, 20000, 0, 80, "the lowest mean there is"},
    {19999, 20000, -1, 0, "half a thousandth below it"},
    {22000, 22000, 1, 80, "a border goes up"},
    {21999, 22000, 0, 80, "just below the border"},
    {339000, 339000, 159, 80, "the last cell"},
    {340000, 340000, -1, 0, "just beyond it"},
    {200000, 120000, 70, 160, "the largest difference"},
    {200500, 120000, -1, 0, "half a mmHg more rounds beyond"},
    {120000, 200000, 70, 0, "the smallest"},
    {120500, 120000, 50, 81, "a half goes away from 0, upwards"},
    {120000, 120500, 50, 79, "and downwards alike"},
    {120499, 120000, 50, 80, "less than a half does not"},
    {INT64_MAX, INT64_MIN, -1, 0, "what no sum would hold"},
    {AGREE_VALUE_MAX, AGREE_VALUE_MAX, -1, 0, "the largest value there may be"},
    {-120000, -120000, -1, 0, "below 0"},
};

START_TEST(a_pair_falls_into_its_cell_or_outside)
{
    const struct cell_row *r = &CELLS[_i];
    int64_t n = 0;
    difference_grid_add(&g, r->a, r->b);
    for (int i = 0; i < GRID_MEANS; i++)
        for (int j = 0; j < GRID_DIFFS; j++)
            n += g.count[i][j];
    ck_assert_msg(n + g.outside == 1, "%s", r->why);
    if (r->mean < 0)
        ck_assert_msg(g.outside == 1, "%s", r->why);
    else
        ck_assert_msg(g.count[r->mean][r->diff] == 1, "%s", r->why);
}
END_TEST

START_TEST(grid_stays_at_the_largest_number)
{
    int32_t *count = &g.count[(120 - GRID_MEAN_LOW) / 2][GRID_DIFFS / 2];
    *count = INT32_MAX - 1;
    for (int i = 0; i < 3; i++)
        difference_grid_add(&g, 120 * AGREE_UNIT, 120 * AGREE_UNIT);
    ck_assert_int_eq(*count, INT32_MAX);
}
END_TEST

/* ---- days ---- */

START_TEST(days_count_on_through_every_date)
{
    ck_assert_int_eq(chart_days_of(19700101), 0);
    int32_t days = chart_days_of(19000101);
    for (int32_t date = 19000101; date < 30000101; date++) {
        if (!date_exists(date))
            continue;
        ck_assert_int_eq(chart_days_of(date), days);
        ck_assert_int_eq(chart_date_of(days), date);
        days++;
    }
}
END_TEST

/* ---- difference ---- */

START_TEST(no_pair_is_told_in_words)
{
    hand_begin(&h);
    hand_difference(&h, &c);
    HAS(c.lack, "no pair");
    ck_assert_int_eq(c.point_count, 0);
    HAS(c.note, "0 pairs, 3 Sep to 24 Nov 2026");
    hand_is_sound(&c);
}
END_TEST

START_TEST(one_pair_is_drawn_without_limits)
{
    hand_begin(&h);
    hand_pair(&h, 122, 120);
    hand_difference(&h, &c);
    ck_assert_str_eq(c.lack, "");
    ck_assert_int_eq(c.point_count, 1);
    HAS(c.note, "1 pair, ");
    HAS(c.note, "no limits: ");
    ck_assert_ptr_nonnull(hand_level(&c, "zero"));
    ck_assert_ptr_null(hand_level(&c, "limit"));
    hand_is_sound(&c);
}
END_TEST

START_TEST(pairs_all_alike_have_no_limits_in_words)
{
    hand_begin(&h);
    for (int i = 0; i < 5; i++)
        hand_pair(&h, 120 + i, 118 + i);
    hand_difference(&h, &c);
    HAS(c.note, LACK_WORDS[LACK_SPREAD]);
    ck_assert_ptr_null(hand_level(&c, "limit"));
    ck_assert_str_eq(hand_level(&c, "bias")->label, "bias +2.0");
    hand_is_sound(&c);
}
END_TEST

START_TEST(levels_bear_their_figures)
{
    char want[48];
    hand_pairs_48(&h);
    hand_difference(&h, &c);
    const struct figure *f = h.agreement.side[SIDE_SYSTOLIC].figure;
    ck_assert_str_eq(c.title, "systolic: ana less the second listener");
    ck_assert_str_eq(c.y.label, "difference, mmHg");
    snprintf(want, sizeof want, "bias %+.1f", f[FIGURE_BIAS].value);
    EQ(hand_level(&c, want)->at, f[FIGURE_BIAS].value);
    snprintf(want, sizeof want, "limit %+.1f", f[FIGURE_LOWER].value);
    EQ(hand_level(&c, want)->at, f[FIGURE_LOWER].value);
    snprintf(want, sizeof want, "limit %+.1f", f[FIGURE_UPPER].value);
    EQ(hand_level(&c, want)->at, f[FIGURE_UPPER].value);
    HAS(c.note, "48 pairs");
    HAS_NOT(c.note, "outside");
    hand_is_sound(&c);
}
END_TEST

START_TEST(a_bias_that_rounds_to_nothing_has_no_sign)
{
    hand_begin(&h);
    for (int i = 0; i < 1000; i++)
        hand_pair(&h, 120 + (i % 2 == 0) - (i == 0), 120 + (i % 2 == 1));
    hand_difference(&h, &c);
    ck_assert(h.agreement.side[SIDE_SYSTOLIC].figure[FIGURE_BIAS].value < 0);
    ck_assert_str_eq(hand_level(&c, "bias")->label, "bias 0.0");
}
END_TEST

START_TEST(pairs_outside_the_grid_are_counted)
{
    hand_pairs_48(&h);
    hand_pair(&h, 240, 120);
    hand_difference(&h, &c);
    HAS(c.note, "1 pair lies outside");
    hand_pair(&h, 240, 120);
    hand_difference(&h, &c);
    HAS(c.note, "2 pairs lie outside");
    hand_is_sound(&c);
}
END_TEST

START_TEST(pairs_all_outside_leave_axes_that_stand)
{
    hand_begin(&h);
    for (int i = 0; i < 3; i++)
        hand_pair(&h, 500 + i, 501 - i);
    hand_difference(&h, &c);
    ck_assert_int_eq(c.point_count, 0);
    HAS(c.note, "3 pairs lie outside");
    hand_is_sound(&c);
}
END_TEST

START_TEST(more_cells_than_marks_lose_no_pair)
{
    int64_t drawn = 0, kept = 0;
    hand_begin(&h);
    for (int a = 60; a < 260; a++)
        for (int b = a - 70; b <= a + 70; b++)
            hand_pair(&h, a, b);
    hand_difference(&h, &c);
    for (int i = 0; i < c.point_count; i++)
        drawn += c.points[i].count;
    for (int i = 0; i < GRID_MEANS; i++)
        for (int j = 0; j < GRID_DIFFS; j++)
            kept += h.grid.count[i][j];
    ck_assert_int_le(c.point_count, CHART_POINTS_MAX);
    ck_assert_int_eq(drawn, kept);
    ck_assert_int_eq(drawn + h.grid.outside, h.agreement.n);
    HAS(c.note, "in steps of 8 by 1 mmHg");
    hand_is_sound(&c);
}
END_TEST

START_TEST(the_5_and_10_mmHg_are_drawn_on_every_graph)
{
    static const int APART[] = { 0, 3, 6, 60 };
    for (size_t n = 0; n < ARRAY_LEN(APART); n++) {
        hand_begin(&h);
        for (int i = 0; i < 40; i++)
            hand_pair(&h, 150 + i + (i % 3 - 1) * APART[n], 150 + i);
        hand_difference(&h, &c);
        EQ(hand_level(&c, "-10")->at, -10);
        EQ(hand_level(&c, "-5")->at, -5);
        EQ(hand_level(&c, "+5")->at, 5);
        EQ(hand_level(&c, "+10")->at, 10);
        hand_is_sound(&c);
    }
}
END_TEST

START_TEST(few_pairs_are_drawn_where_they_are)
{
    hand_begin(&h);
    hand_pair(&h, 121, 120);
    hand_pair(&h, 121, 120);
    hand_pair(&h, 120, 123);
    hand_difference(&h, &c);
    ck_assert_int_eq(c.point_count, 2);
    EQ(c.points[0].x, 120.5);
    EQ(c.points[0].y, 1);
    ck_assert_int_eq(c.points[0].count, 2);
    EQ(c.points[1].x, 121.5);
    EQ(c.points[1].y, -3);
    HAS_NOT(c.note, "drawn in steps");
}
END_TEST

START_TEST(more_pairs_than_are_kept_are_drawn_in_steps_and_none_is_lost)
{
    int64_t drawn = 0;
    hand_begin(&h);
    for (int i = 0; i <= GRID_PAIRS_MAX; i++)
        hand_pair(&h, 121 + i % 7, 120);
    hand_difference(&h, &c);
    for (int i = 0; i < c.point_count; i++)
        drawn += c.points[i].count;
    ck_assert_int_eq(drawn, GRID_PAIRS_MAX + 1);
    HAS(c.note, "drawn in steps of 2 by 1 mmHg");
}
END_TEST

START_TEST(only_shapes_that_stand_there_have_a_key)
{
    hand_begin(&h);
    hand_pair(&h, 130, 128);
    hand_difference(&h, &c);
    ck_assert_str_eq(c.keys[0], "one pair");
    ck_assert_str_eq(c.keys[1], "");
    ck_assert_str_eq(c.keys[2], "");
    hand_pair(&h, 130, 128);
    hand_difference(&h, &c);
    ck_assert_str_eq(c.keys[0], "");
    ck_assert_str_eq(c.keys[1], "2 to 4 pairs");
}
END_TEST

START_TEST(shapes_step_up_with_the_crowd)
{
    hand_pairs_48(&h);
    hand_difference(&h, &c);
    ck_assert_str_eq(c.keys[0], "one pair");
    ck_assert_int_eq(c.many_from, 5);
    for (int i = 0; i < 5000; i++)
        hand_pair(&h, 120 + i % 7, 120 + i % 11);
    hand_difference(&h, &c);
    int many = 0;
    for (int i = 0; i < c.point_count; i++)
        many += c.points[i].count >= c.many_from;
    ck_assert_int_gt(c.many_from, 5);
    ck_assert_int_le(4 * many, c.point_count);
    HAS(c.keys[0], "1 to ");
}
END_TEST

/* ---- digits ---- */

START_TEST(digits_beyond_chance_are_marked)
{
    struct digit_tally d = {.even = {60, 25, 30, 28, 25}, .odd = 0};
    chart_digits(&c, &FRAME, SIDE_DIASTOLIC, &d);
    ck_assert_str_eq(c.title, "diastolic: last digits of ana");
    ck_assert_int_eq(c.bar_count, 6);
    ck_assert(c.bars[0].is_marked);
    for (int i = 1; i < 6; i++)
        ck_assert_msg(!c.bars[i].is_marked, "%s", c.bars[i].label);
    ck_assert_double_eq_tol(c.bars[0].value, 100.0 * 60 / 168, 1e-12);
    EQ(c.bars[4].expected, 20);
    ck_assert_double_lt(c.bars[5].expected, 0);
    HAS(c.note, "168 even values, 3 Sep");
    hand_is_sound(&c);
}
END_TEST

START_TEST(a_digit_that_is_missing_is_marked_too)
{
    struct digit_tally d = {.even = {30, 30, 0, 30, 30}};
    chart_digits(&c, &FRAME, SIDE_DIASTOLIC, &d);
    ck_assert(c.bars[2].is_marked);
    ck_assert(!c.bars[0].is_marked);
}
END_TEST

START_TEST(odd_values_stand_apart_as_a_share_of_all_whole_ones)
{
    struct digit_tally d = {.even = {8, 8, 8, 8, 8}, .odd = 10, .not_whole = 4};
    chart_digits(&c, &FRAME, SIDE_SYSTOLIC, &d);
    ck_assert_str_eq(c.bars[5].label, "odd");
    EQ(c.bars[5].value, 20);
    ck_assert(c.bars[5].is_marked);
    HAS(c.note, "10 odd");
    HAS(c.note, "4 not whole, left out");
}
END_TEST

START_TEST(too_few_digits_tell_nothing_of_chance)
{
    struct digit_tally d = {.even = {24}};
    chart_digits(&c, &FRAME, SIDE_SYSTOLIC, &d);
    ck_assert(!c.bars[0].is_marked);
    HAS(c.note, "1 more to tell");
    d.even[0] = 25;
    chart_digits(&c, &FRAME, SIDE_SYSTOLIC, &d);
    ck_assert(c.bars[0].is_marked);
    HAS_NOT(c.note, "to tell");
    hand_is_sound(&c);
}
END_TEST

START_TEST(no_digit_is_told_in_words)
{
    struct digit_tally d = {.not_whole = 3};
    chart_digits(&c, &FRAME, SIDE_SYSTOLIC, &d);
    HAS(c.lack, "no whole value");
    ck_assert_int_eq(c.bar_count, 0);
    hand_is_sound(&c);
}
END_TEST

/* ---- release ---- */

START_TEST(releases_lie_on_their_days_between_the_bounds)
{
    static const struct release_point AT[] = {
        {20260903, 25, true}, {20260903, 25, true}, {20260903, 25, false}, {20261124, 41, false}, {0, 20, true}};
    chart_release(&c, &FRAME, AT, 5, 20, 30);
    ck_assert_int_eq(c.point_count, 3);
    ck_assert_int_eq(c.points[0].count, 2);
    ck_assert(c.points[1].is_marked);
    EQ(c.points[2].x, chart_days_of(20261124));
    ck_assert_double_eq_tol(c.points[2].y, 4.1, 1e-12);
    ck_assert_str_eq(hand_level(&c, "at least")->label, "at least 2.0");
    ck_assert_str_eq(hand_level(&c, "at most")->label, "at most 3.0");
    ck_assert(c.x.is_day);
    HAS(c.y.label, "mmHg/s");
    HAS(c.note, "4 releases");
    HAS(c.note, "2 void");
    HAS(c.note, "1 without a day, left out");
    hand_is_sound(&c);
}
END_TEST

START_TEST(no_bounds_no_band)
{
    static const struct release_point AT[] = {{20260903, 25, true}};
    chart_release(&c, &FRAME, AT, 1, 0, 0);
    ck_assert_int_eq(c.level_count, 0);
    hand_is_sound(&c);
    chart_release(&c, &FRAME, NULL, 0, 20, 30);
    HAS(c.lack, "no release");
    hand_is_sound(&c);
}
END_TEST

START_TEST(years_of_releases_have_few_figures)
{
    static struct release_point at[6500];
    for (int i = 0; i < 6500; i++)
        at[i] = (struct release_point){chart_date_of(chart_days_of(20200101) + i / 2), 15 + i % 20, i % 9 != 0};
    for (int n = 1; n <= 6500; n += 13) {
        chart_release(&c, &FRAME, at, n, 20, 30);
        hand_is_sound(&c);
    }
}
END_TEST

/* ---- learning ---- */

START_TEST(signals_are_labelled_and_curves_begin_anew)
{
    struct learning_state s;
    hand_course(&path, &s, 80, 1000, 40, 46);
    chart_learning(&c, &FRAME, &PLAN, &path, &s);
    ck_assert_int_eq(c.sign_count, 3);
    HAS(c.signs[0].label, "reached, pair ");
    HAS(c.signs[1].label, "lost, pair ");
    HAS(c.signs[2].label, "reached, pair ");
    ck_assert(c.signs[0].is_reached && !c.signs[1].is_reached);
    EQ(c.signs[0].y, PLAN.reach);
    ck_assert_str_eq(hand_level(&c, "reached at")->label, "reached at 2.5");
    ck_assert_ptr_nonnull(hand_level(&c, "lost at"));
    ck_assert(c.is_joined);
    for (int i = 0; i + 1 < c.point_count; i++)
        if (c.points[i].x > 0 && c.points[i].x + 1e-9 > c.points[i + 1].x)
            EQ(c.points[i + 1].y, 0);
    int wrong = 0, marks = 0;
    for (int i = 0; i < c.point_count; i++) {
        wrong += c.points[i].is_marked;
        marks += c.points[i].count;
    }
    ck_assert_int_eq(wrong, s.wrong);
    ck_assert_int_eq(marks, s.answers);
    HAS(c.note, "80 pairs");
    hand_is_sound(&c);
}
END_TEST

START_TEST(before_a_signal_there_is_no_line_for_losing)
{
    struct learning_state s;
    hand_course(&path, &s, 3, 1000, 0, 0);
    chart_learning(&c, &FRAME, &PLAN, &path, &s);
    ck_assert_int_eq(c.sign_count, 0);
    ck_assert_ptr_null(hand_level(&c, "lost at"));
    hand_is_sound(&c);
    hand_course(&path, &s, 0, 1000, 0, 0);
    chart_learning(&c, &FRAME, &PLAN, &path, &s);
    HAS(c.lack, "no pair");
    hand_is_sound(&c);
}
END_TEST

START_TEST(a_long_course_keeps_its_signals)
{
    struct learning_state s;
    int signals = 0, kept = 0;
    learning_begin(&s);
    learning_path_begin(&path);
    for (int i = 1; i <= 200000; i++) {
        bool is_right = i % 20000 > 12 || i < 20000;
        learning_take(&s, &PLAN, is_right);
        learning_path_add(&path, &s, is_right);
        signals += s.reached_at == s.answers || s.lost_at == s.answers;
        ck_assert_int_le(path.count, CHART_PATH_MAX);
    }
    for (int i = 0; i < path.count; i++) {
        kept += path.at[i].is_reached || path.at[i].is_lost;
        ck_assert(i == 0 || path.at[i].answer > path.at[i - 1].answer);
    }
    ck_assert_int_gt(signals, 10);
    ck_assert_int_eq(kept, signals);
    chart_learning(&c, &FRAME, &PLAN, &path, &s);
    HAS(c.note, "is drawn");
    HAS(c.note, "the latest 8 signals have a label");
    ck_assert_str_eq(c.signs[0].label, "");
    HAS(c.signs[c.sign_count - 1].label, "reached, pair 1800");
    hand_is_sound(&c);
}
END_TEST

START_TEST(a_course_of_signals_alone_forgets_its_beginning_and_says_so)
{
    struct learning_state s = {0};
    learning_path_begin(&path);
    for (int i = 1; i <= 5000; i++) {
        s.answers = i;
        s.reached_at = i % 2 == 0 ? i : 0;
        s.lost_at = i % 2 == 1 ? i : 0;
        learning_path_add(&path, &s, true);
        ck_assert_int_le(path.count, CHART_PATH_MAX);
    }
    chart_learning(&c, &FRAME, &PLAN, &path, &s);
    HAS(c.note, "from pair ");
    ck_assert_int_eq(c.sign_count, CHART_SIGNS_MAX);
    hand_is_sound(&c);
}
END_TEST

START_TEST(a_course_of_ups_and_downs_without_end_stays_close_to_its_answers)
{
    struct learning_state s;
    learning_begin(&s);
    learning_path_begin(&path);
    for (int i = 1; i <= 600000; i++) {
        bool is_right = i % 40 < 30;
        learning_take(&s, &PLAN, is_right);
        learning_path_add(&path, &s, is_right);
    }
    ck_assert_int_ge(path.count, CHART_PATH_MAX / 2 - 1);
    ck_assert_int_ge(path.every, 1);
    ck_assert_int_lt(path.every, 600000 / (CHART_PATH_MAX / 4));
    chart_learning(&c, &FRAME, &PLAN, &path, &s);
    HAS(c.note, "from pair ");
    hand_is_sound(&c);
}
END_TEST

/* ---- all ---- */

START_TEST(names_are_cut_on_whole_characters)
{
    struct chart_frame f = FRAME;
    struct digit_tally d = {.even = {1}};
    text_copy(f.who, sizeof f.who, "\xe5\xbf\x83\xe5\xbf\x83\xe5\xbf\x83\xe5\xbf\x83\xe5\xbf\x83\xe5\xbf\x83\xe5\xbf\x83\xe5\xbf\x83"
                                   "\xe5\xbf\x83\xe5\xbf\x83\xe5\xbf\x83\xe5\xbf\x83\xe5\xbf\x83\xe5\xbf\x83\xe5\xbf\x83\xe5\xbf\x83"
                                   "\xe5\xbf\x83\xe5\xbf\x83\xe5\xbf\x83\xe5\xbf\x83\xe5\xbf\x83\xe5\xbf\x83\xe5\xbf\x83\xe5\xbf\x83");
    chart_digits(&c, &f, SIDE_DIASTOLIC, &d);
    ck_assert_int_gt(utf8_length(c.title), 0);
    hand_pairs_48(&h);
    agreement_of(&h.tally, &h.agreement);
    chart_difference(&c, &f, SIDE_SYSTOLIC, &h.agreement, &h.grid);
    ck_assert_int_gt(utf8_length(c.title), 0);
}
END_TEST

START_TEST(each_kind_has_a_word_of_its_own)
{
    for (int i = 0; i < CHART_KIND_COUNT; i++) {
        ck_assert_ptr_nonnull(CHART_LEGENDS[i].plain);
        for (int j = 0; j < i; j++)
            ck_assert_str_ne(CHART_WORDS[i], CHART_WORDS[j]);
    }
}
END_TEST

int main(void)
{
    Suite *s = suite_create("chart_make");
    TCase *t = tcase_create("chart_make");
    suite_add_tcase(s, t);
    tcase_set_timeout(t, 60);
    tcase_add_loop_test(t, a_pair_falls_into_its_cell_or_outside, 0, (int)ARRAY_LEN(CELLS));
    tcase_add_test(t, grid_stays_at_the_largest_number);
    tcase_add_test(t, days_count_on_through_every_date);
    tcase_add_test(t, no_pair_is_told_in_words);
    tcase_add_test(t, one_pair_is_drawn_without_limits);
    tcase_add_test(t, pairs_all_alike_have_no_limits_in_words);
    tcase_add_test(t, levels_bear_their_figures);
    tcase_add_test(t, a_bias_that_rounds_to_nothing_has_no_sign);
    tcase_add_test(t, pairs_outside_the_grid_are_counted);
    tcase_add_test(t, pairs_all_outside_leave_axes_that_stand);
    tcase_add_test(t, more_cells_than_marks_lose_no_pair);
    tcase_add_test(t, the_5_and_10_mmHg_are_drawn_on_every_graph);
    tcase_add_test(t, few_pairs_are_drawn_where_they_are);
    tcase_add_test(t, more_pairs_than_are_kept_are_drawn_in_steps_and_none_is_lost);
    tcase_add_test(t, only_shapes_that_stand_there_have_a_key);
    tcase_add_test(t, shapes_step_up_with_the_crowd);
    tcase_add_test(t, digits_beyond_chance_are_marked);
    tcase_add_test(t, a_digit_that_is_missing_is_marked_too);
    tcase_add_test(t, odd_values_stand_apart_as_a_share_of_all_whole_ones);
    tcase_add_test(t, too_few_digits_tell_nothing_of_chance);
    tcase_add_test(t, no_digit_is_told_in_words);
    tcase_add_test(t, releases_lie_on_their_days_between_the_bounds);
    tcase_add_test(t, no_bounds_no_band);
    tcase_add_test(t, years_of_releases_have_few_figures);
    tcase_add_test(t, signals_are_labelled_and_curves_begin_anew);
    tcase_add_test(t, before_a_signal_there_is_no_line_for_losing);
    tcase_add_test(t, a_long_course_keeps_its_signals);
    tcase_add_test(t, a_course_of_signals_alone_forgets_its_beginning_and_says_so);
    tcase_add_test(t, a_course_of_ups_and_downs_without_end_stays_close_to_its_answers);
    tcase_add_test(t, names_are_cut_on_whole_characters);
    tcase_add_test(t, each_kind_has_a_word_of_its_own);
    SRunner *r = srunner_create(s);
    srunner_run_all(r, CK_NORMAL);
    int failed = srunner_ntests_failed(r);
    srunner_free(r);
    return failed ? EXIT_FAILURE : EXIT_SUCCESS;
}
