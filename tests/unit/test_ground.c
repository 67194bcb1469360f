/* SPDX-License-Identifier: GPL-3.0-or-later */
/** @file test_ground.c  Everything that the engine can answer with says what it means and what it rests on. */
#include <check.h>
#include <stdio.h>
#include <string.h>

#include "stillarm/ground.h"
#include "stillarm/sitting.h"

static int count_of(enum ground_kind kind)
{
    int count = 0;
    const struct ground *g;
    for (int n = 0; (g = ground_at(n)) != NULL; n++)
        count += g->kind == kind;
    return count;
}

START_TEST(ground_has_a_row_for_every_answer)
{
    ck_assert_int_eq(count_of(GROUND_REFUSAL), RULE_COUNT - 1);
    ck_assert_int_eq(count_of(GROUND_VOID), VOID_REASON_COUNT);
    ck_assert_int_eq(count_of(GROUND_READING_REMARK), READING_REMARK_COUNT);
    ck_assert_int_eq(count_of(GROUND_SITTING_REMARK), SITTING_REMARK_COUNT);
}
END_TEST

/* The word that the engine itself gives for that kind and index. */
static const char *engine_word(const struct ground *g)
{
    switch (g->kind) {
    case GROUND_REFUSAL:
        return rule_id((enum rule)g->index);
    case GROUND_VOID:
        return VOID_REASON_WORDS[g->index];
    case GROUND_READING_REMARK:
        return READING_REMARK_WORDS[g->index];
    case GROUND_SITTING_REMARK:
        return SITTING_REMARK_WORDS[g->index];
    case GROUND_KIND_COUNT:
        break;
    }
    return "";
}

START_TEST(ground_is_called_what_the_engine_calls_it)
{
    const struct ground *g;
    for (int n = 0; (g = ground_at(n)) != NULL; n++) {
        ck_assert_str_eq(g->id, engine_word(g));
        ck_assert_msg(ground_find(g->id) == g, "%s is there twice", g->id);
    }
    ck_assert_ptr_null(ground_find("rest"));
    ck_assert_ptr_null(ground_find(""));
    ck_assert_ptr_null(ground_at(-1));
}
END_TEST

static void check_sentence(const char *id, const char *what, const char *sentence)
{
    ck_assert_msg(sentence && strlen(sentence) > 12, "%s has no %s", id, what);
    ck_assert_msg(sentence[strlen(sentence) - 1] == '.', "%s: %s is no sentence: %s", id, what, sentence);
    ck_assert_msg(strlen(sentence) < 120, "%s: %s is too long for a page: %s", id, what, sentence);
}

START_TEST(ground_says_what_it_means_and_why)
{
    const struct ground *g;
    for (int n = 0; (g = ground_at(n)) != NULL; n++) {
        check_sentence(g->id, "meaning", g->says);
        check_sentence(g->id, "reason", g->because);
        ck_assert_str_ne(g->says, g->because);
    }
}
END_TEST

START_TEST(ground_rests_on_a_key_a_source_or_an_honest_word)
{
    const struct ground *g;
    for (int n = 0; (g = ground_at(n)) != NULL; n++) {
        ck_assert_msg(g->key >= 0 && g->key <= KEY_COUNT, "%s names no key", g->id);
        ck_assert_msg(g->source, "%s", g->id);
        if (g->key)
            ck_assert_msg(!g->source[0], "%s has two sources", g->id);
        else if (g->standing == STANDING_PUBLISHED || g->standing == STANDING_MEMORY)
            ck_assert_msg(g->source[0], "%s is %s and names no source", g->id, STANDING_WORDS[g->standing]);
    }
}
END_TEST

START_TEST(ground_origin_is_the_protocols_where_a_key_holds_the_number)
{
    static struct protocol p;
    p.origin[KEY_REST_S] = (struct origin){ .source = "REST-2", .standing = STANDING_COMMON };
    const struct ground *rest = ground_find("rest.short"), *odd = ground_find("value.odd");
    struct origin origin = ground_origin(rest, &p);
    ck_assert_str_eq(origin.source, "REST-2");
    ck_assert_int_eq(origin.standing, STANDING_COMMON);
    origin = ground_origin(rest, NULL);
    ck_assert_str_eq(origin.source, "");
    ck_assert_int_eq(origin.standing, STANDING_JUDGEMENT);
    origin = ground_origin(odd, NULL);
    ck_assert_str_eq(origin.source, "READ-3");
    ck_assert_int_eq(origin.standing, STANDING_PUBLISHED);
}
END_TEST

START_TEST(ground_credits_no_source_with_a_value_that_departs_from_it)
{
    static struct protocol p;
    p.origin[KEY_REST_S] = (struct origin){ .source = "REST-1", .standing = STANDING_PUBLISHED };
    p.value[KEY_REST_S] = 120;
    p.says[KEY_REST_S] = (struct says){ .is_known = 1, .low = 300, .high = 300 };
    struct origin origin = ground_origin(ground_find("rest.short"), &p);
    ck_assert_str_eq(origin.source, "");
    ck_assert_int_eq(origin.standing, STANDING_JUDGEMENT);
}
END_TEST

START_TEST(ground_gives_every_key_that_it_rests_on_once)
{
    const struct ground *g = ground_find("kit.failed");
    enum protocol_key key;
    static const enum protocol_key WANT[] = { KEY_LEAK_MAX_MMHG_PER_MIN, KEY_COMPARISON_MAX_MMHG, KEY_ZERO_MAX_MMHG };
    for (int nth = 0; nth < 3; nth++) {
        ck_assert(ground_key_of(g, nth, &key));
        ck_assert_int_eq(key, WANT[nth]);
    }
    ck_assert(!ground_key_of(g, 3, &key));
    ck_assert(!ground_key_of(g, -1, &key));
    ck_assert(!ground_key_of(ground_find("value.odd"), 0, &key));
    ck_assert(ground_key_of(ground_find("rest.short"), 0, &key));
    ck_assert(!ground_key_of(ground_find("rest.short"), 1, &key));
}
END_TEST

int main(void)
{
    Suite *suite = suite_create("ground");
    TCase *tc = tcase_create("ground");
    tcase_add_test(tc, ground_has_a_row_for_every_answer);
    tcase_add_test(tc, ground_is_called_what_the_engine_calls_it);
    tcase_add_test(tc, ground_says_what_it_means_and_why);
    tcase_add_test(tc, ground_rests_on_a_key_a_source_or_an_honest_word);
    tcase_add_test(tc, ground_origin_is_the_protocols_where_a_key_holds_the_number);
    tcase_add_test(tc, ground_credits_no_source_with_a_value_that_departs_from_it);
    tcase_add_test(tc, ground_gives_every_key_that_it_rests_on_once);
    suite_add_tcase(suite, tc);
    SRunner *runner = srunner_create(suite);
    srunner_run_all(runner, CK_NORMAL);
    int failed = srunner_ntests_failed(runner);
    srunner_free(runner);
    return failed != 0;
}
