/* SPDX-License-Identifier: GPL-3.0-or-later */
/* After the seal: what was not as asked, in words, and which part of a fall a remark is about. */
#include "timeline_hand.h"
#include "guide/views.h"
#include "guide/worth_page.h"

static struct sitting s; /* large */
static const struct protocol *p;
static struct page pg;

static int item_of(const char *id)
{
    for (int i = 0; i < p->item_count; i++)
        if (strcmp(p->items[i].id, id) == 0)
            return i;
    ck_abort_msg("no item %s", id);
}

static void watch(void)
{
    p = fed_protocol("us-adult");
    ck_assert_ptr_nonnull(p);
    sitting_init(&s);
    s.phase = PHASE_SEALED;
    s.purpose = PURPOSE_ASSESSMENT;
    s.pulse_bpm = 72;
    text_copy(s.witness, sizeof s.witness, "ina");
    page_init(&pg, PAGE_OPEN, "finished");
}

static void add_lapse(enum rule rule, int item, int64_t t_ms, const char *have, const char *need)
{
    struct lapse *l = &s.lapses[s.lapse_count++];

    l->rule = (int32_t)rule;
    l->item = item;
    l->t_ms = t_ms;
    text_copy(l->have, sizeof l->have, have);
    text_copy(l->need, sizeof l->need, need);
}

static int lines_with(const char *words)
{
    int n = 0;

    for (int i = 0; i < pg.line_count; i++)
        n += strstr(pg.lines[i].text, words) != NULL;
    return n;
}

START_TEST(lapse_on_a_rule_says_when_what_was_asked_and_what_was)
{
    watch();
    add_lapse(RULE_REST_SHORT, 0, 204900, "200.000 s", "300.000 s");
    guide_debrief(&s, p, NULL, &pg);
    ck_assert_int_eq(lines_with("lapse 3:24 after the opening: "), 1);
    ck_assert_int_eq(lines_with("Asked: 300 s; was: 200 s (rest.short)"), 1);
    ck_assert_int_eq(lines_with("reads 4 to 12 mmHg high. (Kallioinen 2017, published)"), 1);
    ck_assert_int_eq(lines_with("to practise: Let the whole rest pass"), 1);
}
END_TEST

START_TEST(lapse_taken_back_has_its_reason_and_is_nothing_to_practise)
{
    watch();
    add_lapse(RULE_REST_SHORT, 0, 204900, "200.000 s", "300.000 s");
    s.lapses[0].is_struck = s.struck_count = 1;
    text_copy(s.lapses[0].why, sizeof s.lapses[0].why, "the wrong key");
    guide_debrief(&s, p, NULL, &pg);
    ck_assert_int_eq(lines_with("taken back: noted 3:24 after the opening: "), 1);
    ck_assert_int_eq(lines_with("by the witness, because: the wrong key"), 1);
    ck_assert_int_eq(lines_with(": 0 lapses, 0 of them critical"), 1);
    ck_assert_int_eq(lines_with("lapse 3:24"), 0);
    ck_assert_int_eq(lines_with("reads 4 to 12 mmHg high"), 0);
    ck_assert_int_eq(lines_with("to practise: Let the whole rest pass"), 0);
}
END_TEST

START_TEST(lapse_on_an_item_says_its_sentence_and_its_published_cost)
{
    const struct protocol_item *item;

    watch();
    item = &p->items[item_of("posture.legs")];
    add_lapse(RULE_ITEM_OPEN, 1 + item_of("posture.legs"), 3100, "legs crossed", item->say);
    guide_debrief(&s, p, NULL, &pg);
    ck_assert_int_eq(lines_with("Legs not crossed; was: legs crossed (posture.legs)"), 1);
    ck_assert_int_eq(lines_with(item->cost), 1);
    ck_assert_int_eq(lines_with("to practise: Legs not crossed"), 1);
    ck_assert_int_eq(lines_with("item.open"), 0);
}
END_TEST

START_TEST(cost_of_lapses_of_one_kind_is_said_once)
{
    watch();
    for (int i = 0; i < 3; i++)
        add_lapse(RULE_INTERVAL_SHORT, 0, 285000 + i, "34.000 s", "60.000 s");
    guide_debrief(&s, p, NULL, &pg);
    ck_assert_int_eq(lines_with("(interval.short)"), 3);
    ck_assert_int_eq(lines_with("1 to 2 minutes apart"), 1);
}
END_TEST

/* However much is told, what to practise stays on the page. */
START_TEST(many_lapses_leave_room_for_what_to_practise)
{
    watch();
    for (int i = 0; i < p->item_count && i < 30; i++)
        add_lapse(RULE_ITEM_OPEN, 1 + i, 1000 * i, "other", p->items[i].say);
    guide_debrief(&s, p, NULL, &pg);
    ck_assert_int_eq(lines_with("to practise: "), 3);
}
END_TEST

static const struct { int above, below; unsigned note; const char *words; } PARTS[] = {
    { 60, 25, NOTE_RELEASE_QUICK, "a little quickly above the first sound" },
    { 25, 60, NOTE_RELEASE_QUICK, "a little quickly below the first sound" },
    { 60, 60, NOTE_RELEASE_QUICK, "a little quickly above and below the first sound" },
    { 10, 60, NOTE_RELEASE_SLOW, "a little slowly above the first sound" },
    { 25, 10, NOTE_RELEASE_SLOW, "a little slowly below the first sound" },
};

START_TEST(remark_on_a_release_says_which_part_of_the_fall)
{
    int bit = 0;

    watch();
    s.readings[0].rate_x10[0] = PARTS[_i].above;
    s.readings[0].rate_x10[1] = PARTS[_i].below;
    while (1u << bit != PARTS[_i].note)
        bit++;
    ck_assert_ptr_nonnull(strstr(note_words_of(&s, p, &s.readings[0], bit), PARTS[_i].words));
}
END_TEST

int main(void)
{
    Suite *suite = suite_create("debrief");
    TCase *t = tcase_create("debrief");
    SRunner *runner;
    int failed;

    tcase_add_test(t, lapse_on_a_rule_says_when_what_was_asked_and_what_was);
    tcase_add_test(t, lapse_taken_back_has_its_reason_and_is_nothing_to_practise);
    tcase_add_test(t, lapse_on_an_item_says_its_sentence_and_its_published_cost);
    tcase_add_test(t, cost_of_lapses_of_one_kind_is_said_once);
    tcase_add_test(t, many_lapses_leave_room_for_what_to_practise);
    tcase_add_loop_test(t, remark_on_a_release_says_which_part_of_the_fall, 0, (int)ARRAY_LEN(PARTS));
    suite_add_tcase(suite, t);
    runner = srunner_create(suite);
    srunner_run_all(runner, CK_ENV);
    failed = srunner_ntests_failed(runner);
    srunner_free(runner);
    return failed ? 1 : 0;
}
