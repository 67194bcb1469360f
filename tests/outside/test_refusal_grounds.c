/* SPDX-License-Identifier: GPL-3.0-or-later */
/* A promise about the program's own tables, so nothing is counted here as checked against the outside.
 * What is known only from memory is never the one support of a refusal that a site cannot change: such a
 * refusal takes its number from a key of the protocol, and protocols are files of the site. */
#include <check.h>
#include <stdio.h>
#include <string.h>

#include "outside/bench.h"
#include "stillarm/ground.h"

static bool is_from_memory(const char *source)
{
    const struct source *s = source[0] ? protocols_source(&shipped, source) : NULL;
    ck_assert_msg(source[0] == '\0' || s != NULL, "no source %s", source);
    return s && strcmp(s->seen, "memory") == 0;
}

/* The protocol's text with this one value written otherwise, as a site would; does it load and hold the
 * site's? */
static bool is_free_to_a_site(int protocol, int key)
{
    static char own[200000];
    static struct protocol changed;
    char section[80], other[40];
    struct err e;
    const struct protocol_key_row *row = &PROTOCOL_KEYS[key];
    const int32_t value = shipped.list[protocol]->value[key];
    const int32_t want = value < row->high ? value + 1 : value - 1;
    const char *text = shipped.text[protocol];
    (void)snprintf(section, sizeof section, "\n[key %s]\nvalue = ", row->name);
    (void)snprintf(other, sizeof other, "%d", (int)want);
    const char *at = strstr(text, section);
    if (!at)
        return false;
    at += strlen(section);
    (void)snprintf(own, sizeof own, "%.*s%s%s", (int)(at - text), text, row->words ? row->words[want] : other,
                   at + strcspn(at, "\n"));
    return protocol_parse("own", own, &changed, NULL, NULL, &e) == ST_OK && changed.value[key] == want;
}

START_TEST(a_refusal_from_memory_rests_on_a_key_that_a_site_can_change)
{
    const struct ground *g;
    int refusals = 0, from_memory = 0;
    for (int n = 0; (g = ground_at(n)) != NULL; n++) {
        if (g->kind != GROUND_REFUSAL)
            continue;
        refusals++;
        for (int k = 0; k < shipped.count; k++) {
            const struct origin o = ground_origin(g, shipped.list[k]);
            if (o.standing != STANDING_MEMORY && !is_from_memory(o.source))
                continue;
            from_memory++;
            ck_assert_msg(g->key > 0 && is_free_to_a_site(k, g->key - 1),
                          "%s: %s is refused by what no file can change", shipped.list[k]->id, g->id);
        }
        /* Without a key the refusal is the program's, whatever the protocol: then memory must not speak for
         * it. */
        if (g->key == 0)
            ck_assert_msg(g->standing != STANDING_MEMORY && !is_from_memory(g->source), "%s", g->id);
    }
    ck_assert_int_eq(refusals, RULE_COUNT - 1);
    printf("%d refusals, %d of them times a protocol from memory\n", refusals, from_memory);
}
END_TEST

/* A figure in a sentence names its source in brackets: one from memory only beside a key, and said to be so.
 */
START_TEST(a_figure_from_memory_in_a_reason_says_so)
{
    const struct ground *g;
    for (int n = 0; (g = ground_at(n)) != NULL; n++) {
        for (const char *at = strchr(g->because, '('); at; at = strchr(at + 1, '(')) {
            char id[SOURCE_CAP];
            if (sscanf(at, "(%63[A-Za-z0-9-]", id) != 1 || protocols_source(&shipped, id) == NULL ||
                !is_from_memory(id))
                continue;
            ck_assert_msg(strstr(at, "from memory") != NULL,
                          "%s leans on %s and does not say how known it is", g->id, id);
            ck_assert_msg(g->kind != GROUND_REFUSAL || g->key > 0, "%s leans on %s alone", g->id, id);
        }
    }
}
END_TEST

/* Items are asked as the protocol lists them, so a site can leave out or rewrite any; a void is no refusal,
 * but the same holds. */
START_TEST(a_void_from_memory_rests_on_a_key_that_a_site_can_change)
{
    const struct ground *g;
    for (int n = 0; (g = ground_at(n)) != NULL; n++) {
        if (g->kind != GROUND_VOID)
            continue;
        ck_assert_msg(g->key != 0 || (g->standing != STANDING_MEMORY && !is_from_memory(g->source)), "%s",
                      g->id);
    }
}
END_TEST

/* Each number from memory stands in the files as one, so that a site sees which to look up. */
START_TEST(numbers_from_memory_are_few_and_marked)
{
    for (int k = 0; k < shipped.count; k++) {
        const struct protocol *p = shipped.list[k];
        for (int key = 0; key < KEY_COUNT; key++) {
            const struct origin *o = &p->origin[key];
            if (o->standing == STANDING_MEMORY)
                ck_assert_msg(is_from_memory(o->source), "%s %s", p->id, PROTOCOL_KEYS[key].name);
            else
                ck_assert_msg(o->standing != STANDING_PUBLISHED || !is_from_memory(o->source), "%s %s", p->id,
                              PROTOCOL_KEYS[key].name);
        }
    }
}
END_TEST

int main(void)
{
    Suite *s = suite_create("refusal grounds");
    TCase *t = tcase_create("refusal grounds");
    suite_add_tcase(s, t);
    tcase_add_test(t, a_refusal_from_memory_rests_on_a_key_that_a_site_can_change);
    tcase_add_test(t, a_figure_from_memory_in_a_reason_says_so);
    tcase_add_test(t, a_void_from_memory_rests_on_a_key_that_a_site_can_change);
    tcase_add_test(t, numbers_from_memory_are_few_and_marked);
    return bench_run(s);
}
