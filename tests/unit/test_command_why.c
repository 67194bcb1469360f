/* SPDX-License-Identifier: GPL-3.0-or-later */
/** @file test_command_why.c  Who says so: an answer for every id, and the document that holds them all. */
#include <check.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "command/command.h"
#include "command/topics.h"
#include "command_run.h"

static struct protocols shipped;
static struct topics topics;

static void load_once(void)
{
    struct err e = { 0 };
    ck_assert_msg(protocols_load(TEST_SOURCE_DIR "/assets/protocols", &shipped, &e) == ST_OK, "%s", e.text);
    ck_assert_int_eq(shipped.fault_count, 0);
    ck_assert_int_eq(topics_collect(&shipped, &topics, &e), ST_OK);
}

static void let_go(void)
{
    free(topics.list);
    protocols_free(&shipped);
}

static bool holds_status(const char *text)
{
    for (int i = 0; i < STANDING_COUNT; i++) {
        if (strstr(text, STANDING_WORDS[i]))
            return true;
    }
    return false;
}

/* Whatever is published or remembered names a source that the list has, and its title stands in the answer. */
static void check_origin(const struct origin *origin, const char *id, const char *text)
{
    const struct source *s = protocols_source(&shipped, origin->source);
    if (origin->source[0]) {
        ck_assert_msg(s, "%s names %s, which is not in the list of sources", id, origin->source);
        ck_assert_msg(strstr(text, s->title), "why %s does not give the title of %s: %s", id, s->id, text);
        ck_assert_msg(strstr(text, topic_seen_words(s->seen)), "why %s does not say how %s was seen", id, s->id);
        ck_assert_msg(origin->standing != STANDING_PUBLISHED || strcmp(s->seen, "memory") != 0,
                      "%s is called published on %s, which nobody has looked up", id, s->id);
    } else {
        ck_assert_msg(origin->standing == STANDING_JUDGEMENT || origin->standing == STANDING_COMMON,
                      "%s is %s and names no source", id, STANDING_WORDS[origin->standing]);
    }
}

START_TEST(why_answers_for_every_id_that_the_engine_can_give)
{
    static char out[60000];
    char line[100];
    const struct ground *g = ground_at(_i);
    ck_assert_ptr_nonnull(g);
    snprintf(line, sizeof line, "$S why %s", g->id);
    ck_assert_msg(run(line, out, sizeof out) == EXIT_FINE, "%s: %s", line, out);
    ck_assert_msg(strstr(out, g->says) && strstr(out, g->because), "%s: %s", line, out);
    ck_assert_msg(holds_status(out), "%s says nothing of its status: %s", line, out);
    for (int i = 0; i < shipped.count; i++) {
        struct origin origin = ground_origin(g, shipped.list[i]);
        check_origin(&origin, g->id, out);
    }
}
END_TEST

START_TEST(why_answers_for_every_key_and_under_every_protocol)
{
    static char out[60000];
    char line[100];
    snprintf(line, sizeof line, "$S why %s", PROTOCOL_KEYS[_i].name);
    ck_assert_msg(run(line, out, sizeof out) == EXIT_FINE, "%s: %s", line, out);
    ck_assert_msg(holds_status(out) && strstr(out, PROTOCOL_KEYS[_i].meaning), "%s: %s", line, out);
    for (int i = 0; i < shipped.count; i++) {
        char value[64];
        protocol_say_value((enum protocol_key)_i, shipped.list[i]->value[_i], value, sizeof value);
        ck_assert_msg(strstr(out, shipped.list[i]->id) && strstr(out, value), "%s: %s", line, out);
        check_origin(&shipped.list[i]->origin[_i], PROTOCOL_KEYS[_i].name, out);
    }
}
END_TEST

/* Items, schemes, bands and sources: three hundred, so within this process. */
START_TEST(why_answers_for_every_id_that_files_hold)
{
    int asked = 0;
    for (int i = 0; i < topics.count; i++) {
        char *text = NULL;
        size_t size = 0;
        if (topics.list[i].kind < TOPIC_ITEM)
            continue;
        struct command_line line = { .words = (char *[]){ (char *)(size_t)topics.list[i].id }, .word_count = 1 };
        line.value[OPTION_PROTOCOL_DIR] = TEST_SOURCE_DIR "/assets/protocols";
        FILE *kept = stdout;
        stdout = open_memstream(&text, &size);
        int status = verb_why(&line);
        fclose(stdout);
        stdout = kept;
        ck_assert_msg(status == EXIT_FINE && strstr(text, topics.list[i].id), "%s: %s", topics.list[i].id, text);
        if (topics.list[i].kind != TOPIC_SOURCE)
            ck_assert_msg(holds_status(text), "%s: %s", topics.list[i].id, text);
        free(text);
        asked++;
    }
    ck_assert_int_gt(asked, 150);
}
END_TEST

/* A figure in a sentence names its source in brackets; that one must be known, and hearsay must call itself so. */
START_TEST(why_gives_only_figures_whose_source_is_known)
{
    const struct ground *g;
    for (int n = 0; (g = ground_at(n)) != NULL; n++) {
        for (const char *at = strchr(g->because, '('); at; at = strchr(at + 1, '(')) {
            char id[SOURCE_CAP];
            snprintf(id, sizeof id, "%.*s", (int)strcspn(at + 1, ",);"), at + 1);
            const struct source *s = protocols_source(&shipped, id);
            ck_assert_msg(s, "%s names %s, which is not in the list of sources", g->id, id);
            bool is_hearsay = strcmp(s->seen, "memory") == 0, says_so = strncmp(at + 1 + strlen(id), ", from memory", 13) == 0;
            ck_assert_msg(is_hearsay == says_so, "%s: %s is %s, the sentence says otherwise", g->id, id, s->seen);
        }
    }
}
END_TEST

/* Renew it with: stillarm why --markdown > docs/sources.md */
START_TEST(sources_document_is_what_the_program_prints)
{
    char line[300];
    snprintf(line, sizeof line, "$S why --markdown > new.md && diff %s/docs/sources.md new.md", TEST_SOURCE_DIR);
    must(line);
}
END_TEST

START_TEST(sources_document_names_everything)
{
    static char out[400000];
    ck_assert_int_eq(run("$S why --markdown", out, sizeof out), EXIT_FINE);
    for (int i = 0; i < topics.count; i++) {
        char quoted[SOURCE_CAP + 4];
        snprintf(quoted, sizeof quoted, "`%s`", topics.list[i].id);
        ck_assert_msg(strstr(out, quoted), "docs/sources.md lacks %s", quoted);
    }
    for (int i = 0; i < shipped.source_count; i++)
        ck_assert_msg(strstr(out, shipped.sources[i].title), "docs/sources.md lacks the title of %s", shipped.sources[i].id);
}
END_TEST

static const struct run_row LINES[] = {
    { "$S why rest.shrt", EXIT_USAGE, "`rest.short`" },
    { "$S why rest", EXIT_USAGE, "`rest.running`" },
    { "$S why xyzzy-frobnicate", EXIT_USAGE, "is no id that is known here. stillarm why lists all." },
    { "$S why ''", EXIT_USAGE, "is no id" },
    { "$S why aaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaa", EXIT_USAGE,
      "is no id that is known here. stillarm why lists all." },
    { "$S why rest.short --protocol nowhere", EXIT_USAGE, "`nowhere` is no protocol at hand" },
    { "$S why rest.short margin_mmhg", EXIT_USAGE, "does not know what to do with" },
    { "$S why rest.short --protocol-dir .", EXIT_FILES, "" },
    { "$S why rest-1", EXIT_FINE, "REST-1: source" },
    { "$S why GAP-1", EXIT_FINE, "estimate.missing" },
    { "$S why OBS-3", EXIT_FINE, "yardstick trainee: subjects\n" },
    { "$S why cuff.too-small", EXIT_FINE, "May be passed over with a reason under:" },
    { "$S why rest.short --protocol us-adult", EXIT_FINE, "Critical before a witness under: us-adult\n" },
    { "$S why kit.zero", EXIT_FINE, "may not be passed over; critical before a witness" },
    { "$S why kit.failed", EXIT_FINE, "zero_max_mmhg" },
    { "$S why", EXIT_FINE, "standing.drop" },
    { "$S why | grep -c .", EXIT_FINE, "" },
    { "$S why rest.short --markdown", EXIT_USAGE, "takes no id" },
    { "$S why --markdown --protocol us-adult", EXIT_USAGE, "no --protocol" },
    { "$S why --markdown > /dev/full", EXIT_FILES, "could not be written" },
};

START_TEST(why_ends_as_documented)
{
    run_check(&LINES[_i]);
}
END_TEST

START_TEST(why_under_one_protocol_is_silent_of_the_others)
{
    char out[8000];
    ck_assert_int_eq(run("$S why rest_s --protocol us-adult", out, sizeof out), EXIT_FINE);
    ck_assert_ptr_nonnull(strstr(out, "us-adult"));
    ck_assert_ptr_null(strstr(out, "europe-adult"));
}
END_TEST

/* A site's own folder: the answer is the site's, and says where it departs. */
START_TEST(why_names_a_sites_departure)
{
    static const char *const HOLDS[] = { "240 s", "240 s, this protocol's own; REST-1 says 300 s", NULL };
    must("mkdir p && sed '/^.key rest_s/,/^value/s/value = 300/value = 240/' $STILLARM_PROTOCOLS/us-adult.protocol > "
         "p/us-adult.protocol");
    must_print("$S why rest.short --protocol-dir p", HOLDS);
}
END_TEST

/* A value within what its source says that differs from the one copied from says so, too. */
START_TEST(why_names_what_the_protocol_copied_from_has)
{
    static const char *const HOLDS[] = { "15 s, PALP-7, published; us-adult, which it was copied from, has 30 s", NULL };
    must("mkdir p && cp $STILLARM_PROTOCOLS/us-adult.protocol p && sed -e 's/^id = us-adult/id = site\\ncopied_from = us-adult/' "
         "-e '/^.key settle_s/,/^value/s/= 30/= 15/' p/us-adult.protocol > p/site.protocol");
    must_print("$S why settle_s --protocol-dir p", HOLDS);
}
END_TEST

/* Whatever is our own says so, and gives its reason. */
START_TEST(why_says_of_each_own_choice_whose_it_is_and_why)
{
    static char out[60000];
    char line[100];
    bool is_ours = false;
    for (int i = 0; i < shipped.count; i++)
        is_ours = is_ours || shipped.list[i]->origin[_i].standing == STANDING_JUDGEMENT;
    ck_assert_msg(is_ours == (protocol_why_ours((enum protocol_key)_i) != NULL), "%s", PROTOCOL_KEYS[_i].name);
    snprintf(line, sizeof line, "$S why %s", PROTOCOL_KEYS[_i].name);
    ck_assert_msg(run(line, out, sizeof out) == EXIT_FINE, "%s", out);
    ck_assert_msg((strstr(out, "our own choice") != NULL) == is_ours, "%s", out);
    ck_assert_msg(!is_ours || strstr(out, protocol_why_ours((enum protocol_key)_i)), "%s", out);
}
END_TEST

int main(void)
{
    int answers = 0;
    while (ground_at(answers))
        answers++;
    TCase *t = run_case_new("command why", 120);
    tcase_add_unchecked_fixture(t, load_once, let_go);
    tcase_add_loop_test(t, why_answers_for_every_id_that_the_engine_can_give, 0, answers);
    tcase_add_loop_test(t, why_answers_for_every_key_and_under_every_protocol, 0, KEY_COUNT);
    tcase_add_test(t, why_answers_for_every_id_that_files_hold);
    tcase_add_test(t, why_gives_only_figures_whose_source_is_known);
    tcase_add_test(t, sources_document_is_what_the_program_prints);
    tcase_add_test(t, sources_document_names_everything);
    tcase_add_loop_test(t, why_ends_as_documented, 0, (int)ARRAY_LEN(LINES));
    tcase_add_test(t, why_under_one_protocol_is_silent_of_the_others);
    tcase_add_test(t, why_names_a_sites_departure);
    tcase_add_test(t, why_names_what_the_protocol_copied_from_has);
    tcase_add_loop_test(t, why_says_of_each_own_choice_whose_it_is_and_why, 0, KEY_COUNT);
    return run_case(t);
}
