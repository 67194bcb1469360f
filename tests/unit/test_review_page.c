/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The page of a sitting that is reviewed: cursor, keys, what it says at the top; and the rows of the queue. */
#include "terminal/layout.h"
#include "timeline_hand.h"

static struct page pg;

static bool offers(const char *key)
{
    for (int i = 0; i < pg.key_count; i++)
        if (strcmp(pg.keys[i].name, key) == 0)
            return true;
    return false;
}

static void look(struct timeline_view *v)
{
    v->left = "S-014 by ana, 2 March 14:04";
    v->right = "waiting   3 of 9";
    timeline_page(&fed.t, v, &pg);
}

static void whole(void)
{
    fed_named("whole-first-us", NO_CLOCK);
    timeline_end(&fed.t);
}

static bool press(struct timeline_view *v, enum key_code code, uint32_t c)
{
    const struct key k = { .code = code, .character = c };

    return timeline_key(&fed.t, v, &k);
}

/* ---- the page ---- */

START_TEST(the_page_says_whose_sitting_it_is_and_what_came_of_it)
{
    struct timeline_view v = { .at = 0 };

    whole();
    look(&v);
    ck_assert_str_eq(pg.left, "S-014 by ana, 2 March 14:04");
    ck_assert_str_eq(pg.right, "waiting   3 of 9");
    ck_assert_ptr_nonnull(strstr(pg.lines[0].text, "3 of 3 readings count"));
    ck_assert_ptr_nonnull(strstr(pg.lines[0].text, "8 quick"));
    ck_assert_int_eq(pg.pinned, 1);
}
END_TEST

START_TEST(attempts_are_counted_at_the_top_slips_apart)
{
    struct timeline_view v = { .at = 0 };

    fed_named("pair-and-target", NO_CLOCK);
    look(&v);
    ck_assert_ptr_nonnull(strstr(pg.lines[0].text, "1 tried too soon"));
    ck_assert_ptr_nonnull(strstr(pg.lines[0].text, "2 slips"));
}
END_TEST

/* One flag, the keys that it brings. */
START_TEST(only_the_keys_that_work_now_are_named)
{
    static const char *const ALL[] = { "enter", "r", "1", "2", "m", "g", "e", "n" };
    static const struct { struct timeline_view v; const char *keys; } ROWS[] = {
        { { .can_comment = true }, "enter" }, { { .can_return = true }, "r" },  { { .can_sign = true }, "12" }, { { .can_amend = true }, "m" },
        { { .can_owe = true }, "g" },         { { .can_release = true }, "e" }, { { .has_next = true }, "n" },  { { .at = 0 }, "" },
    };

    whole();
    for (size_t row = 0; row < ARRAY_LEN(ROWS); row++) {
        struct timeline_view v = ROWS[row].v;

        look(&v);
        for (size_t i = 0; i < ARRAY_LEN(ALL); i++) {
            bool wanted = strcmp(ALL[i], "enter") == 0 ? v.can_comment : strchr(ROWS[row].keys, ALL[i][0]) != NULL && !v.can_comment;

            ck_assert_msg(offers(ALL[i]) == wanted, "row %zu, key %s", row, ALL[i]);
        }
        ck_assert(offers("q"));
        ck_assert(offers("j k"));
    }
}
END_TEST

START_TEST(one_that_goes_on_is_looked_on_and_offers_no_signature)
{
    struct timeline_view v = { .is_live = true };

    fed_named("arm-first", NO_CLOCK);
    timeline_end(&fed.t);
    look(&v);
    ck_assert_str_eq(pg.id, "timeline-live");
    ck_assert_ptr_nonnull(strstr(pg.lines[0].text, "still open"));
    ck_assert(!offers("1"));
}
END_TEST

START_TEST(the_cursor_goes_from_act_to_act_and_stays_at_both_ends)
{
    struct timeline_view v = { .at = 0 };
    int at;

    whole();
    ck_assert(press(&v, KEY_UP_ARROW, 0));
    ck_assert_int_eq(v.at, 0);
    ck_assert(press(&v, KEY_DOWN_ARROW, 0));
    ck_assert_ptr_nonnull(strstr(fed.t.rows[v.at].text, "opened: "));
    at = v.at;
    ck_assert(press(&v, KEY_CHARACTER, 'j'));
    ck_assert(press(&v, KEY_CHARACTER, 'k'));
    ck_assert_int_eq(v.at, at);
    for (int i = 0; i < TIMELINE_ROWS_MAX; i++)
        (void)press(&v, KEY_CHARACTER, 'j');
    at = v.at;
    ck_assert(fed.t.rows[at].is_stop);
    ck_assert(press(&v, KEY_CHARACTER, 'j'));
    ck_assert_int_eq(v.at, at);
    ck_assert(!press(&v, KEY_CHARACTER, 'x'));
    ck_assert(!press(&v, KEY_ENTER, 0));
}
END_TEST

START_TEST(one_key_goes_to_the_last_act_and_one_to_the_first)
{
    struct timeline_view v = { .at = 0 };
    int last;

    whole();
    for (int i = 0; i < TIMELINE_ROWS_MAX; i++)
        (void)press(&v, KEY_CHARACTER, 'j');
    last = v.at;
    ck_assert(press(&v, KEY_CHARACTER, 't'));
    ck_assert_int_eq(v.at, 0);
    ck_assert(press(&v, KEY_CHARACTER, 'z'));
    ck_assert_int_eq(v.at, last);
}
END_TEST

START_TEST(a_run_is_passed_in_one_step_and_unfolded_for_one_of_it)
{
    struct timeline_view v = { .can_comment = true };
    int head;
    char out[80];

    whole();
    v.at = head = fed_row("posture: ", 0);
    ck_assert(press(&v, KEY_CHARACTER, 'j'));
    ck_assert_int_ne(fed.t.rows[v.at].run, fed.t.rows[head].run);
    v.at = head;
    look(&v);
    ck_assert(offers("f"));
    ck_assert(press(&v, KEY_CHARACTER, 'f'));
    ck_assert_int_eq(fed.t.rows[v.at].seq, fed.t.rows[head].seq);
    ck_assert(press(&v, KEY_CHARACTER, 'j'));
    ck_assert_int_eq(fed.t.rows[v.at].seq, fed.t.rows[head].seq + 1);
    timeline_say_at(&fed.t, v.at, out, sizeof out);
    ck_assert_int_eq(strncmp(out, "feet 14:", 8), 0);
    ck_assert(press(&v, KEY_CHARACTER, 'f'));
    ck_assert_int_eq(v.at, head);
    v.at = fed_row("rest ends", head);
    look(&v);
    ck_assert(!offers("f"));
    ck_assert(!press(&v, KEY_CHARACTER, 'f'));
}
END_TEST

START_TEST(a_cursor_within_a_folded_run_stands_on_the_run)
{
    struct timeline_view v = { .at = 0 };
    int head;

    whole();
    head = fed_row("posture: ", 0);
    v.at = fed_row("  feet", head);
    look(&v);
    for (int i = 0; i < pg.line_count; i++)
        ck_assert(!pg.lines[i].is_current || strcmp(pg.lines[i].text, fed.t.rows[head].text) == 0);
}
END_TEST

START_TEST(a_step_takes_what_was_refused_away)
{
    struct timeline_view v = { .refusal = "not yet: say why" };

    whole();
    look(&v);
    ck_assert_str_eq(pg.refusal, "not yet: say why");
    (void)press(&v, KEY_CHARACTER, 'j');
    ck_assert_str_eq(v.refusal, "");
}
END_TEST

START_TEST(a_cursor_that_lies_outside_does_no_harm)
{
    static const int ATS[] = { -5, TIMELINE_ROWS_MAX + 5, INT32_MAX, INT32_MIN };

    whole();
    for (size_t i = 0; i < ARRAY_LEN(ATS); i++) {
        struct timeline_view v = { .at = ATS[i] };
        char out[80] = "before";

        look(&v);
        ck_assert_int_gt(pg.line_count, 5);
        timeline_say_at(&fed.t, ATS[i], out, sizeof out);
        ck_assert_str_eq(out, "");
        ck_assert(press(&v, KEY_CHARACTER, 'j'));
    }
}
END_TEST

START_TEST(an_empty_timeline_has_a_page)
{
    struct timeline_view v = { .at = 0 };

    fed_begin(NO_CLOCK);
    ck_assert(fed_take_protocol("us-adult"));
    timeline_begin(&fed.t, &fed.p);
    timeline_end(&fed.t);
    look(&v);
    ck_assert(press(&v, KEY_CHARACTER, 'j'));
    ck_assert_int_eq(v.at, 0);
    ck_assert(!offers("j k"));
}
END_TEST

START_TEST(what_is_left_out_of_the_page_is_counted)
{
    struct timeline_view v = { .at = 0 };
    char want[40];
    int shown = 0;

    whole();
    for (int i = 0; i < fed.t.row_count; i++)
        shown += timeline_is_shown(&fed.t, i, 0);
    ck_assert_int_gt(shown, PAGE_LINES_MAX);
    look(&v);
    (void)snprintf(want, sizeof want, "(%d rows more)", shown - (pg.line_count - 3)); /* beside what is pinned and the empty line under the overview */
    ck_assert_str_eq(pg.lines[pg.line_count - 1].text, want);
    v.at = fed_row("told, spoken", 0);
    look(&v);
    ck_assert_ptr_nonnull(strstr(pg.lines[1].text, "rows before)"));
}
END_TEST

/* The act under the cursor is what is read: all of it stands on the smallest screen. */
START_TEST(a_drawing_under_the_cursor_is_in_view_on_both_screens)
{
    static struct grid g;
    static char text[30000];
    struct timeline_view v = { .can_sign = true };

    fed_named("release.quick", NO_CLOCK);
    v.at = fed_row("reading 1, left arm: 130/80", 0);
    look(&v);
    layout_page(&pg, 24, 80, false, NULL, &g);
    layout_text(&g, text, sizeof text);
    ck_assert_ptr_nonnull(strstr(text, "> 14:10:53  reading 1"));
    ck_assert_ptr_nonnull(strstr(text, "|o"));
    ck_assert_ptr_nonnull(strstr(text, "0 empty   0:48"));
    layout_page(&pg, 20, 60, true, NULL, &g);
    layout_text(&g, text, sizeof text);
    ck_assert_ptr_nonnull(strstr(text, "> 14:10:53  reading 1"));
    ck_assert_ptr_nonnull(strstr(text, "160 release 0:00"));
}
END_TEST

START_TEST(an_act_is_named_by_its_words_and_its_time)
{
    char out[80], tiny[4];

    whole();
    timeline_say_at(&fed.t, fed_row("rest ends", 0), out, sizeof out);
    ck_assert_str_eq(out, "rest ends 14:09:14");
    timeline_say_at(&fed.t, fed_row("reading 1, left arm: ", 0), out, sizeof out);
    ck_assert_str_eq(out, "reading 1 14:10:44");
    timeline_say_at(&fed.t, fed_row("rest ends", 0), tiny, sizeof tiny);
    ck_assert_uint_eq(strlen(tiny), 3);
    timeline_say_at(&fed.t, fed_row("what it came to", 0), out, sizeof out); /* no act, so the sitting is meant */
    ck_assert_str_eq(out, "");
}
END_TEST

/* ---- the queue ---- */

static const struct queue_words EXAMPLE = { .id = 14, .subject = "k7-031", .measurer = "ana", .protocol = "us-adult",
                                            .opened = "2031-03-02T14:04:10+01:00", .purpose = "practice", .phase = "sealed",
                                            .review = "waiting", .witness = "", .last_by = "", .counted = 2, .readings = 3, .attempts = 5 };

START_TEST(a_row_says_who_when_what_and_how_it_stands)
{
    char out[LIST_ROW_CAP];

    queue_row(&EXAMPLE, out);
    ck_assert_str_eq(out, "S-014  2 Mar ana     practice 2/3 waiting k7-031");
    ck_assert_uint_le(strlen(out), LINE_WIDTH);
}
END_TEST

/* How many of them count is the witness's to know until the result is given. */
START_TEST(a_row_keeps_back_what_a_witnessed_sitting_came_to)
{
    static const struct { const char *review, *count; } ROWS[] = { { "open", "-  " }, { "unsigned", "-  " }, { "held", "-  " },
                                                                   { "released", "2/3" } };

    for (size_t i = 0; i < ARRAY_LEN(ROWS); i++) {
        struct queue_words q = EXAMPLE;
        char out[LIST_ROW_CAP];

        q.witness = "ina";
        q.review = ROWS[i].review;
        queue_row(&q, out);
        ck_assert_msg(strncmp(out + 30, ROWS[i].count, 3) == 0, "%s: %s", ROWS[i].review, out);
    }
}
END_TEST

START_TEST(each_state_of_a_review_has_its_words)
{
    static const struct { const char *review, *by, *witness, *said; } ROWS[] = {
        { "open", "", "", "open" },
        { "unsigned", "", "", "owed k7-031, 5 tried" },
        { "before", "", "", "not signed k7-031" },
        { "waiting", "ana", "", "waiting k7-031" },
        { "returned", "ina", "", "sent back k7-031" },
        { "countersigned", "ina", "", "countersigned k7-031" },
        { "held", "ina", "ina", "held k7-031, by ina" },
        { "released", "ina", "ina", "given" },
    };

    for (size_t i = 0; i < ARRAY_LEN(ROWS); i++) {
        struct queue_words q = EXAMPLE;
        char out[LIST_ROW_CAP];

        q.review = ROWS[i].review;
        q.last_by = ROWS[i].by;
        q.witness = ROWS[i].witness;
        queue_row(&q, out);
        ck_assert_msg(strncmp(out + 34, ROWS[i].said, strlen(ROWS[i].said)) == 0, "%s: %s", ROWS[i].review, out);
    }
}
END_TEST

START_TEST(the_longest_row_is_no_wider_than_the_smallest_screen)
{
    const char *const long_id = "abcdefghijklmnopqrstuvwxyz012345";
    struct queue_words q = { .id = INT64_MAX, .subject = long_id, .measurer = long_id, .protocol = long_id, .opened = "2031-12-31T23:59:59+14:00",
                             .purpose = "assessment", .phase = "stopped", .review = "countersigned", .witness = long_id, .last_by = long_id,
                             .counted = INT32_MAX, .readings = INT32_MAX, .attempts = INT32_MAX };
    char out[LIST_ROW_CAP];

    queue_row(&q, out);
    ck_assert_uint_le(strlen(out), LINE_WIDTH);
    q = (struct queue_words){ .id = -1 };
    queue_row(&q, out);
    ck_assert_uint_le(strlen(out), LINE_WIDTH);
}
END_TEST

START_TEST(a_title_names_the_filters_that_hold)
{
    char title[80], tiny[10];

    queue_title("Waiting for you", NULL, NULL, NULL, NULL, title, sizeof title);
    ck_assert_str_eq(title, "Waiting for you");
    queue_title("All", "ana", "practice", "from 2031-03-01", "sealed", title, sizeof title);
    ck_assert_str_eq(title, "All: by ana, practice, from 2031-03-01, sealed");
    queue_title("All", "", "practice", "", "", title, sizeof title);
    ck_assert_str_eq(title, "All: practice");
    queue_title("All", "ana", "practice", NULL, NULL, tiny, sizeof tiny);
    ck_assert_uint_eq(strlen(tiny), 9);
}
END_TEST

int main(void)
{
    Suite *suite = suite_create("review page");
    TCase *page = tcase_create("page"), *queue = tcase_create("queue");

    if (fed_protocol("us-adult") == NULL)
        return EXIT_FAILURE;
    tcase_add_test(page, the_page_says_whose_sitting_it_is_and_what_came_of_it);
    tcase_add_test(page, attempts_are_counted_at_the_top_slips_apart);
    tcase_add_test(page, only_the_keys_that_work_now_are_named);
    tcase_add_test(page, one_that_goes_on_is_looked_on_and_offers_no_signature);
    tcase_add_test(page, the_cursor_goes_from_act_to_act_and_stays_at_both_ends);
    tcase_add_test(page, one_key_goes_to_the_last_act_and_one_to_the_first);
    tcase_add_test(page, a_run_is_passed_in_one_step_and_unfolded_for_one_of_it);
    tcase_add_test(page, a_cursor_within_a_folded_run_stands_on_the_run);
    tcase_add_test(page, a_step_takes_what_was_refused_away);
    tcase_add_test(page, a_cursor_that_lies_outside_does_no_harm);
    tcase_add_test(page, an_empty_timeline_has_a_page);
    tcase_add_test(page, what_is_left_out_of_the_page_is_counted);
    tcase_add_test(page, a_drawing_under_the_cursor_is_in_view_on_both_screens);
    tcase_add_test(page, an_act_is_named_by_its_words_and_its_time);
    tcase_add_test(queue, a_row_says_who_when_what_and_how_it_stands);
    tcase_add_test(queue, a_row_keeps_back_what_a_witnessed_sitting_came_to);
    tcase_add_test(queue, each_state_of_a_review_has_its_words);
    tcase_add_test(queue, the_longest_row_is_no_wider_than_the_smallest_screen);
    tcase_add_test(queue, a_title_names_the_filters_that_hold);
    suite_add_tcase(suite, page);
    suite_add_tcase(suite, queue);
    SRunner *runner = srunner_create(suite);
    srunner_run_all(runner, CK_NORMAL);
    int failed = srunner_ntests_failed(runner);
    srunner_free(runner);
    return failed == 0 ? EXIT_SUCCESS : EXIT_FAILURE;
}
