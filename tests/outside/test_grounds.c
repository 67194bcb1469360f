/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What every refusal, void and remark rests on: the sources and figures in the program's own sentences, as
 * they were written down here from their sources. And a promise about its tables, which is not counted as a
 * check: what is known only from memory is never the one support of a refusal that a site cannot change. Such
 * a refusal takes its number from a key of the protocol, and protocols are files of the site. */
#include <check.h>
#include <stdio.h>
#include <string.h>

#include "guide/views.h"
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

/* ---- sources and figures ---- */

/* Every answer that rests on a source of its own and not on a key. */
static const struct {
    const char *id, *source, *published;
    enum founded how;
} OWN[] = {
    {"usual.barred", "PALP-1", "ACC/AHA 2017: estimate the systolic by the pulse that goes", PUBLISHED},
    {"arm.barred", "JOB-1", "NHANES: arms that are not used", PUBLISHED},
    {"value.odd", "READ-3", "BHS IV 2004: to the nearest 2; dials are marked by 2", PUBLISHED},
    {"value.order", "READ-1", "Wayne State course: systolic is the first of two sounds", PUBLISHED},
    {"cuff.unmeasured", "RATIO-1", "ACC/AHA 2017: the bladder is chosen by the arm's circumference",
     PUBLISHED},
    {"cuff.too-small", "WC-2", "Ishigami 2023: regular where large is needed, +4.8/+1.8", PUBLISHED},
    {"cuff.too-large", "WC-1", "Ishigami 2023: regular where small is needed, -3.6/-1.3", PUBLISHED},
    {"kit.overdue", "GAU-12", "HeartBEAT manual: calibrate every 6 months", PUBLISHED},
    {"value.missing", "READ-1", "Wayne State course: systolic is the first of two sounds", PUBLISHED},
    {"muffling.missing", "READ-6", "Wayne State course: sounds to zero, use the muffling", PUBLISHED},
    {"interrupted", "PREP-4", "ACC/AHA 2017: neither talks, in the rest or the reading", PUBLISHED},
    {"gap.heard", "PALP-9", "teaching page: the gap's range is written down", PUBLISHED},
    {"arms.barred", "JOB-1", "NHANES: arms that are not used", PUBLISHED},
    {"symptoms", "SEV-7", "AHA public guidance: symptoms to ask for", FROM_MEMORY},
    {"symptoms.unasked", "SEV-7", "AHA public guidance: symptoms to ask for", FROM_MEMORY},
};

START_TEST(answers_name_the_source_that_they_rest_on)
{
    const struct ground *g = ground_find(OWN[_i].id);
    ck_assert(g != NULL && g->key == 0);
    outside(OWN[_i].how, OWN[_i].published, strcmp(g->source, OWN[_i].source) == 0, "%s rests on %s", g->id,
            g->source);
    outside(OWN[_i].how, OWN[_i].published,
            g->standing == (OWN[_i].how == PUBLISHED ? STANDING_PUBLISHED : STANDING_MEMORY), "%s is %s",
            g->id, STANDING_WORDS[g->standing]);
}
END_TEST

START_TEST(every_answer_with_a_source_stands_in_the_table_above)
{
    const struct ground *g;
    for (int n = 0; (g = ground_at(n)) != NULL; n++) {
        bool is_there = g->key != 0 || g->source[0] == '\0';
        for (size_t i = 0; i < ARRAY_LEN(OWN); i++)
            is_there = is_there || strcmp(OWN[i].id, g->id) == 0;
        ck_assert_msg(is_there, "%s rests on %s", g->id, g->source);
    }
}
END_TEST

static const struct {
    const char *id, *figure, *published;
    enum founded how;
} FIGURES[] = {
    {"value.odd", "2 mmHg apart", "READ-3, BHS IV 2004, Nord 2012: marks are 2 apart", PUBLISHED},
    {"cuff.too-small", "4.8/1.8 mmHg high", "WC-2, Ishigami 2023, as reported: +4.8/+1.8", PUBLISHED},
    {"cuff.too-large", "3.6/1.3 mmHg low", "WC-1, Ishigami 2023, as reported: -3.6/-1.3", PUBLISHED},
    {"kit.overdue", "every 6 months", "GAU-12, HeartBEAT manual: every 6 months", PUBLISHED},
    {"rest.missing", "4.2 to 11.6 mmHg", "REST-4, Kallioinen 2017, as reported: systolic +4.2 to +11.6",
     PUBLISHED},
    {"rest.short", "4.2 to 11.6 mmHg", "REST-4, Kallioinen 2017, as reported: systolic +4.2 to +11.6",
     PUBLISHED},
    {"estimate.missing", "up to 40 mmHg", "GAP-1, nursing skills text: up to 40", PUBLISHED},
    {"gap.suspect", "up to 40 mmHg", "GAP-1, nursing skills text: up to 40", PUBLISHED},
    {"readings.few", "3.3 to 10.4 mmHg", "NUM-15, Kallioinen 2017: +3.3 to +10.4", FROM_MEMORY},
    {"standing.drop", "20 systolic or 10 diastolic within 3 minutes",
     "OH-1, consensus 2011: 20 or 10 within 3 min", PUBLISHED},
};

START_TEST(figures_in_reasons_are_the_published_ones)
{
    const struct ground *g = ground_find(FIGURES[_i].id);
    ck_assert_ptr_nonnull(g);
    outside(FIGURES[_i].how, FIGURES[_i].published, strstr(g->because, FIGURES[_i].figure) != NULL,
            "%s says '%s'", g->id, g->because);
}
END_TEST

/* The same on pages, in whole mmHg. */
static const struct {
    enum rule rule;
    const char *figure, *published;
    enum founded how;
} COSTS[] = {
    {RULE_REST_SHORT, "4 to 12 mmHg", "REST-4, Kallioinen 2017, as reported: systolic +4.2 to +11.6",
     PUBLISHED},
    {RULE_REST_MISSING, "4 to 12 mmHg", "REST-4, Kallioinen 2017, as reported: systolic +4.2 to +11.6",
     PUBLISHED},
    {RULE_CUFF_TOO_SMALL, "2 to 11 mmHg", "WC-5, Kallioinen 2017, as reported: +2.08 to +11.2", PUBLISHED},
    {RULE_CUFF_TOO_LARGE, "1 to 4 mmHg", "WC-6, Kallioinen 2017, as reported: -3.7 to -1.45", PUBLISHED},
    {RULE_ESTIMATE_MISSING, "up to 40 mmHg", "GAP-1, nursing skills text: up to 40", PUBLISHED},
    {RULE_SETTLE_SHORT, "15 to 30 seconds", "PALP-7, class notes on vital signs: 15 to 30 s", PUBLISHED},
    {RULE_INTERVAL_SHORT, "1 to 2 minutes", "NUM-1, ACC/AHA 2017: 1 to 2 min", PUBLISHED},
    {RULE_READINGS_FEW, "3 to 10 mmHg", "NUM-15, Kallioinen 2017: +3.3 to +10.4", FROM_MEMORY},
};

START_TEST(figures_on_pages_are_the_published_ones)
{
    const struct rule_cost *c = rule_cost(COSTS[_i].rule);
    ck_assert_ptr_nonnull(c);
    outside(COSTS[_i].how, COSTS[_i].published, strstr(c->cost, COSTS[_i].figure) != NULL, "%s: '%s'",
            rule_id(c->rule), c->cost);
    ck_assert_msg((strstr(c->source, "from memory") != NULL) == (COSTS[_i].how == FROM_MEMORY), "%s: %s",
                  rule_id(c->rule), c->source);
}
END_TEST

START_TEST(every_figure_stands_in_a_table_above)
{
    const struct ground *g;
    for (int n = 0; (g = ground_at(n)) != NULL; n++) {
        bool is_there = strstr(g->because, " mmHg") == NULL || strpbrk(g->because, "0123456789") == NULL;
        for (size_t i = 0; i < ARRAY_LEN(FIGURES); i++)
            is_there = is_there || strcmp(FIGURES[i].id, g->id) == 0;
        ck_assert_msg(is_there, "%s: %s", g->id, g->because);
    }
    for (int n = 0; rule_cost_row(n); n++) {
        const struct rule_cost *c = rule_cost_row(n);
        bool is_there = strpbrk(c->cost, "0123456789") == NULL;
        for (size_t i = 0; i < ARRAY_LEN(COSTS); i++)
            is_there = is_there || COSTS[i].rule == c->rule;
        ck_assert_msg(is_there, "%s: %s", rule_id(c->rule), c->cost);
    }
}
END_TEST

int main(void)
{
    Suite *s = suite_create("grounds");
    TCase *t = tcase_create("grounds");
    suite_add_tcase(s, t);
    tcase_add_test(t, a_refusal_from_memory_rests_on_a_key_that_a_site_can_change);
    tcase_add_test(t, a_figure_from_memory_in_a_reason_says_so);
    tcase_add_test(t, a_void_from_memory_rests_on_a_key_that_a_site_can_change);
    tcase_add_test(t, numbers_from_memory_are_few_and_marked);
    tcase_add_loop_test(t, answers_name_the_source_that_they_rest_on, 0, (int)ARRAY_LEN(OWN));
    tcase_add_test(t, every_answer_with_a_source_stands_in_the_table_above);
    tcase_add_loop_test(t, figures_in_reasons_are_the_published_ones, 0, (int)ARRAY_LEN(FIGURES));
    tcase_add_loop_test(t, figures_on_pages_are_the_published_ones, 0, (int)ARRAY_LEN(COSTS));
    tcase_add_test(t, every_figure_stands_in_a_table_above);
    return bench_run(s);
}
