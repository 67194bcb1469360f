/* SPDX-License-Identifier: GPL-3.0-or-later */
/** @file test_store_people.c  People, gauges, cuffs and settings. */
#include "fault/store_hand.h"

static struct err e;

static const struct person ANA = {.id = "ana", .name = "Ana Sol", .role = ROLE_TRAINEE};
static const struct gauge DIAL = {.id = "dial-1", .name = "wall dial", .top_mmhg = 300, .due = 20310301};
static const struct stored_cuff ADULT = {.id = "adult", .name = "adult, grey", .low_mm = 260, .high_mm = 340};

START_TEST(person_add_keeps_every_field)
{
    struct store *st = hand_open(STORE_WRITE);
    struct person p = {.id = "ben", .name = "B\xc3\xa9n \"the\" O'Dell", .role = ROLE_PRECEPTOR}, got;
    OK(store_person_add(st, &p, &e));
    OK(store_person_get(st, "ben", &got, &e));
    ck_assert_str_eq(got.id, p.id);
    ck_assert_str_eq(got.name, p.name);
    ck_assert_int_eq(got.role, ROLE_PRECEPTOR);
    ck_assert(!got.is_retired);
    store_close(st);
}
END_TEST

START_TEST(person_add_refuses_a_taken_id)
{
    struct store *st = hand_open(STORE_WRITE);
    OK(store_person_add(st, &ANA, &e));
    ck_assert_int_eq(store_person_add(st, &ANA, &e), ST_EXISTS);
    ck_assert_ptr_nonnull(strstr(e.text, "'ana'"));
    const struct person gone = {.id = "cy", .name = "Cy", .role = ROLE_TRAINEE, .is_retired = true};
    OK(store_person_add(st, &gone, &e));
    ck_assert_int_eq(store_person_add(st, &gone, &e), ST_EXISTS);
    store_close(st);
}
END_TEST

static const struct {
    struct person p;
    enum status want;
    const char *why;
} BAD_PEOPLE[] = {
    {{.id = "", .name = "A"}, ST_SYNTAX, "no id"},
    {{.id = "a b", .name = "A"}, ST_SYNTAX, "blank in the id"},
    {{.id = "-a", .name = "A"}, ST_SYNTAX, "id begins with a sign"},
    {{.id = "a", .name = ""}, ST_SYNTAX, "no name"},
    {{.id = "a", .name = "  "}, ST_SYNTAX, "blank name"},
    {{.id = "a", .name = "A\x1b[2J"}, ST_SYNTAX, "escape sequence"},
    {{.id = "a", .name = "A\xff"}, ST_SYNTAX, "invalid UTF-8"},
    {{.id = "a", .name = "A", .role = ROLE_COUNT}, ST_RANGE, "no such role"},
    {{.id = "course", .name = "A"}, ST_EXISTS, "the id that stands for the course's key"},
};

START_TEST(person_add_refuses_what_is_no_person)
{
    struct store *st = hand_open(STORE_WRITE);
    enum status got = store_person_add(st, &BAD_PEOPLE[_i].p, &e);
    ck_assert_msg(got == BAD_PEOPLE[_i].want, "%s: %d", BAD_PEOPLE[_i].why, (int)got);
    store_close(st);
    ck_assert_int_eq(hand_number("SELECT count(*) FROM people"), 0);
}
END_TEST

START_TEST(names_changed_from_outside_cannot_steer_a_terminal)
{
    struct store *st = hand_open(STORE_WRITE);
    struct person p = {.id = "ana", .role = ROLE_TECHNICIAN, .name = "Ana"};
    OK(store_person_add(st, &p, &e));
    store_close(st);
    hand_spoil("UPDATE people SET name = 'A' || char(27) || '[31m'");
    st = hand_open(STORE_READ);
    OK(store_person_get(st, "ana", &p, &e));
    ck_assert_str_eq(p.name, "A?[31m");
    store_close(st);
}
END_TEST

START_TEST(people_lists_those_in_use_first_then_by_id)
{
    struct store *st = hand_open(STORE_WRITE);
    static const char *const IDS[] = {"cy", "ana", "ben"};
    struct person list[2];
    int count;
    for (int i = 0; i < 3; i++) {
        struct person p = {.role = ROLE_TECHNICIAN, .name = "N", .is_retired = strcmp(IDS[i], "ana") == 0};
        snprintf(p.id, sizeof p.id, "%s", IDS[i]);
        OK(store_person_add(st, &p, &e));
    }
    OK(store_people(st, false, list, 2, &count, &e));
    ck_assert_int_eq(count, 2);
    ck_assert_str_eq(list[0].id, "ben");
    ck_assert_str_eq(list[1].id, "cy");
    OK(store_people(st, true, list, 2, &count, &e));
    ck_assert_int_eq(count, 3); /* more than fit: none is written beyond the end */
    OK(store_people(st, true, NULL, 0, &count, &e));
    ck_assert_int_eq(count, 3);
    store_close(st);
}
END_TEST

START_TEST(a_role_changes_while_there_never_was_a_key)
{
    struct store *st = hand_open(STORE_WRITE);
    struct person got;
    OK(store_person_add(st, &ANA, &e));
    OK(store_person_role(st, "ana", ROLE_PRECEPTOR, &e));
    OK(store_person_get(st, "ana", &got, &e));
    ck_assert_int_eq(got.role, ROLE_PRECEPTOR);
    ck_assert_str_eq(got.name, ANA.name);
    ck_assert_int_eq(store_person_role(st, "ana", ROLE_COUNT, &e), ST_RANGE);
    ck_assert_int_eq(store_person_role(st, "zoe", ROLE_TRAINEE, &e), ST_NOT_FOUND);
    store_close(st);
    ck_assert_int_eq(hand_number("SELECT count(*) FROM people WHERE role = 'preceptor'"), 1);
}
END_TEST

START_TEST(who_is_retired_keeps_the_role)
{
    struct store *st = hand_open(STORE_WRITE);
    const struct person gone = {.id = "cy", .name = "Cy", .role = ROLE_TRAINEE, .is_retired = true};
    OK(store_person_add(st, &gone, &e));
    ck_assert_int_eq(store_person_role(st, "cy", ROLE_PRECEPTOR, &e), ST_PERMISSION);
    ck_assert_ptr_nonnull(strstr(e.text, "keeps the role of trainee"));
    store_close(st);
}
END_TEST

START_TEST(get_says_when_there_is_nobody)
{
    struct store *st = hand_open(STORE_WRITE);
    struct person p;
    ck_assert_int_eq(store_person_get(st, "nobody", &p, &e), ST_NOT_FOUND);
    ck_assert_int_eq(store_gauge_due(st, "nothing", 20300101, &e), ST_NOT_FOUND);
    ck_assert_int_eq(store_gauge_check(st, "nothing", "leak", 2, 20300101, &e), ST_NOT_FOUND);
    store_close(st);
}
END_TEST

START_TEST(gauge_keeps_its_latest_dated_check)
{
    struct store *st = hand_open(STORE_WRITE);
    struct gauge g;
    int count;
    OK(store_gauge_add(st, &DIAL, &e));
    OK(store_gauge_check(st, "dial-1", "leak", 3, 20300110, &e));
    OK(store_gauge_check(st, "dial-1", "leak", 9, 20291231, &e)); /* older, entered later */
    OK(store_gauge_check(st, "dial-1", "comparison", 2, 20300105, &e));
    OK(store_gauge_check(st, "dial-1", "comparison", 1, 20300105, &e)); /* same day: the later entry */
    OK(store_gauges(st, false, &g, 1, &count, &e));
    ck_assert_int_eq(count, 1);
    ck_assert_int_eq(g.top_mmhg, 300);
    ck_assert_int_eq(g.due, 20310301);
    ck_assert(g.leak.is_given && g.leak.value == 3 && g.leak.date == 20300110);
    ck_assert(g.comparison.is_given && g.comparison.value == 1);
    store_close(st);
}
END_TEST

START_TEST(gauge_keeps_the_points_of_its_latest_comparison)
{
    static const struct check_point OLD[] = {{50, 58}, {150, 150}}, NEW[] = {{0, 0}, {100, 97}, {200, 201}};
    struct store *st = hand_open(STORE_WRITE);
    struct gauge g;
    int count;
    int32_t largest = -1;
    OK(store_gauge_add(st, &DIAL, &e));
    OK(store_gauge_compare(st, "dial-1", NEW, 3, 20300105, &largest, &e));
    ck_assert_int_eq(largest, 3);
    OK(store_gauge_compare(st, "dial-1", OLD, 2, 20291231, &largest, &e)); /* older, entered later */
    ck_assert_int_eq(largest, 8);
    OK(store_gauge_check(st, "dial-1", "zero", 1, 20300105, &e));
    OK(store_gauges(st, false, &g, 1, &count, &e));
    ck_assert(g.comparison.is_given && g.comparison.value == 3 && g.comparison.date == 20300105);
    ck_assert(g.zero.is_given && g.zero.value == 1);
    ck_assert_int_eq(g.point_count, 3);
    ck_assert_int_eq(g.points[1].reference_mmhg, 100);
    ck_assert_int_eq(g.points[1].reading_mmhg, 97);
    OK(store_gauge_check(st, "dial-1", "comparison", 2, 20300106, &e)); /* one number: it has no points */
    OK(store_gauges(st, false, &g, 1, &count, &e));
    ck_assert_int_eq(g.point_count, 0);
    OK(store_check(st, &e));
    store_close(st);
}
END_TEST

static const struct {
    struct check_point points[CHECK_POINTS_MAX + 1];
    int count;
    int32_t date;
    const char *why;
} BAD_COMPARISONS[] = {
    {{{50, 50}}, 1, 20300101, "one point"},
    {{{50, 50}}, 0, 20300101, "none"},
    {{{50, 50}}, 13, 20300101, "too many"},
    {{{50, 50}, {51, 51}}, 2, 20300101, "odd reference"},
    {{{50, 50}, {302, 300}}, 2, 20300101, "beyond the scale"},
    {{{50, 50}, {300, 301}}, 2, 20300101, "reading beyond the scale"},
    {{{50, 50}, {-2, 0}}, 2, 20300101, "below zero"},
    {{{50, 50}, {200, 98}}, 2, 20300101, "102 mmHg apart"},
    {{{50, 50}, {60, 60}}, 2, 20300230, "no day"},
};

START_TEST(gauge_compare_refuses_and_keeps_nothing)
{
    struct store *st = hand_open(STORE_WRITE);
    int32_t largest;
    OK(store_gauge_add(st, &DIAL, &e));
    ck_assert_msg(store_gauge_compare(st, "dial-1", BAD_COMPARISONS[_i].points, BAD_COMPARISONS[_i].count,
                                      BAD_COMPARISONS[_i].date, &largest, &e) == ST_RANGE,
                  "%s", BAD_COMPARISONS[_i].why);
    store_close(st);
    ck_assert_int_eq(hand_number("SELECT count(*) FROM gauge_checks"), 0);
    ck_assert_int_eq(hand_number("SELECT count(*) FROM check_points"), 0);
}
END_TEST

START_TEST(gauge_without_checks_has_none)
{
    struct store *st = hand_open(STORE_WRITE);
    struct gauge g;
    int count;
    OK(store_gauge_add(st, &DIAL, &e));
    OK(store_gauges(st, false, &g, 1, &count, &e));
    ck_assert(!g.leak.is_given && !g.comparison.is_given);
    store_close(st);
}
END_TEST

START_TEST(gauge_due_moves_the_calibration)
{
    struct store *st = hand_open(STORE_WRITE);
    struct gauge g;
    int count;
    OK(store_gauge_add(st, &DIAL, &e));
    OK(store_gauge_due(st, "dial-1", 20320301, &e));
    ck_assert_int_eq(store_gauge_due(st, "dial-1", 20320230, &e), ST_RANGE);
    OK(store_gauges(st, false, &g, 1, &count, &e));
    ck_assert_int_eq(g.due, 20320301);
    store_close(st);
}
END_TEST

START_TEST(gauge_and_check_refuse_values_out_of_range)
{
    struct store *st = hand_open(STORE_WRITE);
    const int tops[] = {198, 301, 302, 0, -300};
    for (size_t i = 0; i < ARRAY_LEN(tops); i++) {
        struct gauge g = DIAL;
        g.top_mmhg = tops[i];
        ck_assert_int_eq(store_gauge_add(st, &g, &e), ST_RANGE);
    }
    struct gauge never = DIAL;
    never.due = 20310229;
    ck_assert_int_eq(store_gauge_add(st, &never, &e), ST_RANGE);
    OK(store_gauge_add(st, &DIAL, &e));
    ck_assert_int_eq(store_gauge_check(st, "dial-1", "taste", 2, 20300101, &e), ST_SYNTAX);
    ck_assert_int_eq(store_gauge_check(st, "dial-1", "leak", 101, 20300101, &e), ST_RANGE);
    ck_assert_int_eq(store_gauge_check(st, "dial-1", "leak", -1, 20300101, &e), ST_RANGE);
    ck_assert_int_eq(store_gauge_check(st, "dial-1", "leak", 1, 20301301, &e), ST_RANGE);
    store_close(st);
}
END_TEST

START_TEST(cuff_add_keeps_its_marked_range)
{
    struct store *st = hand_open(STORE_WRITE);
    struct stored_cuff c;
    int count;
    OK(store_cuff_add(st, &ADULT, &e));
    OK(store_cuffs(st, false, &c, 1, &count, &e));
    ck_assert_int_eq(count, 1);
    ck_assert_str_eq(c.name, "adult, grey");
    ck_assert_int_eq(c.low_mm, 260);
    ck_assert_int_eq(c.high_mm, 340);
    store_close(st);
}
END_TEST

START_TEST(cuff_add_refuses_a_range_that_is_none)
{
    static const int RANGES[][2] = {{340, 260}, {300, 300}, {99, 200}, {300, 701}};
    struct store *st = hand_open(STORE_WRITE);
    struct stored_cuff c = ADULT;
    c.low_mm = RANGES[_i][0];
    c.high_mm = RANGES[_i][1];
    ck_assert_int_eq(store_cuff_add(st, &c, &e), ST_RANGE);
    store_close(st);
}
END_TEST

START_TEST(cuff_keeps_its_bladder_once_known)
{
    struct store *st = hand_open(STORE_WRITE);
    struct stored_cuff c = ADULT;
    int count;
    OK(store_cuff_add(st, &c, &e));
    OK(store_cuffs(st, false, &c, 1, &count, &e));
    ck_assert_int_eq(c.bladder_width_mm, 0);
    OK(store_cuff_bladder(st, "adult", 160, 340, &e)); /* as long as the largest arm */
    ck_assert_int_eq(store_cuff_bladder(st, "adult", 160, 341, &e), ST_RANGE);
    ck_assert_int_eq(store_cuff_bladder(st, "adult", 300, 300, &e), ST_RANGE);
    ck_assert_int_eq(store_cuff_bladder(st, "adult", 29, 300, &e), ST_RANGE);
    ck_assert_int_eq(store_cuff_bladder(st, "nothing", 160, 300, &e), ST_NOT_FOUND);
    OK(store_cuffs(st, false, &c, 1, &count, &e));
    ck_assert_int_eq(c.bladder_width_mm, 160);
    ck_assert_int_eq(c.bladder_length_mm, 340);
    snprintf(c.id, sizeof c.id, "other");
    c.bladder_length_mm = 350;
    ck_assert_int_eq(store_cuff_add(st, &c, &e), ST_RANGE);
    c.bladder_length_mm = 300;
    OK(store_cuff_add(st, &c, &e));
    store_close(st);
}
END_TEST

START_TEST(interval_is_the_usual_one_until_set)
{
    struct store *st = hand_open(STORE_WRITE);
    int32_t months = 0;
    OK(store_interval_get(st, &months, &e));
    ck_assert_int_eq(months, 6);
    OK(store_interval_set(st, 24, &e));
    ck_assert_int_eq(store_interval_set(st, 25, &e), ST_RANGE);
    ck_assert_int_eq(store_interval_set(st, 0, &e), ST_RANGE);
    OK(store_interval_get(st, &months, &e));
    ck_assert_int_eq(months, 24);
    store_close(st);
}
END_TEST

START_TEST(kit_ids_are_one_space)
{
    struct store *st = hand_open(STORE_WRITE);
    struct stored_cuff c = ADULT;
    snprintf(c.id, sizeof c.id, "%s", DIAL.id);
    OK(store_gauge_add(st, &DIAL, &e));
    ck_assert_int_eq(store_cuff_add(st, &c, &e), ST_EXISTS);
    store_close(st);
}
END_TEST

START_TEST(retired_kit_is_out_of_the_lists_until_asked_for)
{
    struct store *st = hand_open(STORE_WRITE);
    struct gauge g;
    struct stored_cuff c;
    int count;
    struct gauge dial = DIAL;
    struct stored_cuff adult = ADULT;
    dial.is_retired = adult.is_retired = true;
    OK(store_gauge_add(st, &dial, &e));
    OK(store_cuff_add(st, &adult, &e));
    OK(store_gauges(st, false, &g, 1, &count, &e));
    ck_assert_int_eq(count, 0);
    OK(store_cuffs(st, false, &c, 1, &count, &e));
    ck_assert_int_eq(count, 0);
    OK(store_cuffs(st, true, &c, 1, &count, &e));
    ck_assert_int_eq(count, 1);
    ck_assert(c.is_retired);
    store_close(st);
}
END_TEST

START_TEST(setting_is_empty_until_set_and_holds_the_last)
{
    struct store *st = hand_open(STORE_WRITE);
    char value[40] = "old";
    OK(store_setting_get(st, "place", value, sizeof value, &e));
    ck_assert_str_eq(value, "");
    OK(store_setting_set(st, "place", "booth 1", &e));
    OK(store_setting_set(st, "place", "booth 2", &e));
    OK(store_setting_get(st, "place", value, sizeof value, &e));
    ck_assert_str_eq(value, "booth 2");
    OK(store_setting_set(st, "place", "", &e));
    OK(store_setting_get(st, "place", value, sizeof value, &e));
    ck_assert_str_eq(value, "");
    store_close(st);
}
END_TEST

START_TEST(setting_of_the_usual_protocol_is_free_only_while_none_is_set)
{
    struct store *st = hand_open(STORE_WRITE);
    char value[40];
    OK(store_setting_set(st, "protocol", "us-adult", &e));
    OK(store_setting_set(st, "protocol", "us-adult", &e));
    ck_assert_int_eq(store_setting_set(st, "protocol", "eu-adult", &e), ST_PERMISSION);
    ck_assert_ptr_nonnull(strstr(e.text, "us-adult"));
    ck_assert_int_eq(store_setting_set(st, "protocol", "", &e), ST_PERMISSION);
    OK(store_setting_get(st, "protocol", value, sizeof value, &e));
    ck_assert_str_eq(value, "us-adult");
    store_close(st);
}
END_TEST

START_TEST(setting_refuses_names_and_values_that_are_no_text)
{
    struct store *st = hand_open(STORE_WRITE);
    static char endless[600];
    memset(endless, 'a', sizeof endless - 1);
    ck_assert_int_eq(store_setting_set(st, "a b", "x", &e), ST_SYNTAX);
    ck_assert_int_eq(store_setting_set(st, "", "x", &e), ST_SYNTAX);
    ck_assert_int_eq(store_setting_set(st, "place", "a\nb", &e), ST_SYNTAX);
    ck_assert_int_eq(store_setting_set(st, "place", endless, &e), ST_SYNTAX);
    store_close(st);
}
END_TEST

int main(void)
{
    Suite *suite = suite_create("store_people");
    TCase *c = hand_case(suite, "people");
    tcase_add_test(c, person_add_keeps_every_field);
    tcase_add_test(c, person_add_refuses_a_taken_id);
    tcase_add_loop_test(c, person_add_refuses_what_is_no_person, 0, (int)ARRAY_LEN(BAD_PEOPLE));
    tcase_add_test(c, names_changed_from_outside_cannot_steer_a_terminal);
    tcase_add_test(c, people_lists_those_in_use_first_then_by_id);
    tcase_add_test(c, a_role_changes_while_there_never_was_a_key);
    tcase_add_test(c, who_is_retired_keeps_the_role);
    tcase_add_test(c, get_says_when_there_is_nobody);
    tcase_add_test(c, gauge_keeps_its_latest_dated_check);
    tcase_add_test(c, gauge_without_checks_has_none);
    tcase_add_test(c, gauge_keeps_the_points_of_its_latest_comparison);
    tcase_add_loop_test(c, gauge_compare_refuses_and_keeps_nothing, 0, (int)ARRAY_LEN(BAD_COMPARISONS));
    tcase_add_test(c, cuff_keeps_its_bladder_once_known);
    tcase_add_test(c, interval_is_the_usual_one_until_set);
    tcase_add_test(c, gauge_due_moves_the_calibration);
    tcase_add_test(c, gauge_and_check_refuse_values_out_of_range);
    tcase_add_test(c, cuff_add_keeps_its_marked_range);
    tcase_add_loop_test(c, cuff_add_refuses_a_range_that_is_none, 0, 4);
    tcase_add_test(c, kit_ids_are_one_space);
    tcase_add_test(c, retired_kit_is_out_of_the_lists_until_asked_for);
    tcase_add_test(c, setting_is_empty_until_set_and_holds_the_last);
    tcase_add_test(c, setting_of_the_usual_protocol_is_free_only_while_none_is_set);
    tcase_add_test(c, setting_refuses_names_and_values_that_are_no_text);
    return hand_run(suite);
}
