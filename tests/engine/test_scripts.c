/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Every script under tests/engine/scripts, and the list of what they produce. */
#include <check.h>
#include <dirent.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "run_script.h"

#define SCRIPTS_MAX 400

static char paths[SCRIPTS_MAX][700];
static int path_count;

static int by_name(const void *a, const void *b)
{
    return strcmp(a, b);
}

static void find_scripts(void)
{
    char folder[200];
    (void)snprintf(folder, sizeof folder, "%s/tests/engine/scripts", TEST_SOURCE_DIR);
    DIR *d = opendir(folder);
    for (struct dirent *e = d == NULL ? NULL : readdir(d); e != NULL; e = readdir(d)) {
        size_t len = strlen(e->d_name);
        if (len > 7 && strcmp(e->d_name + len - 7, ".script") == 0 && path_count < SCRIPTS_MAX) {
            (void)snprintf(paths[path_count++], sizeof paths[0], "%s/%s", folder, e->d_name);
        }
    }
    if (d != NULL) {
        (void)closedir(d);
    }
    qsort(paths, (size_t)path_count, sizeof paths[0], by_name);
}

START_TEST(script_goes_as_written)
{
    char why[1400] = "";
    ck_assert_msg(run_script(paths[_i], NULL, why, sizeof why), "%s: %s", strrchr(paths[_i], '/') + 1, why);
}
END_TEST

static void list(const char *what, int count, const char *(*name)(int),
                 bool (*has)(const struct coverage *, int), const struct coverage *cov, int from)
{
    int missing = 0;
    printf("%s produced by a script:", what);
    for (int i = from; i < count; i++) {
        printf(" %s%s", name(i), has(cov, i) ? "" : "(MISSING)");
        missing += !has(cov, i);
    }
    printf("\n%s: %d, missing: %d\n", what, count - from, missing);
    ck_assert_msg(missing == 0, "%d %s are produced by no script", missing, what);
}

static const char *rule_name(int i)
{
    return rule_id((enum rule)i);
}
static const char *void_name(int i)
{
    return VOID_REASON_WORDS[i];
}
static const char *note_name(int i)
{
    return READING_REMARK_WORDS[i];
}
static const char *remark_name(int i)
{
    return SITTING_REMARK_WORDS[i];
}
static const char *kind_name(int i)
{
    return event_form((enum event_kind)i)->word;
}
static bool has_rule(const struct coverage *c, int i)
{
    return c->rules[i] > 0;
}
static bool has_void(const struct coverage *c, int i)
{
    return (c->voids & (1u << i)) != 0;
}
static bool has_note(const struct coverage *c, int i)
{
    return (c->notes & (1u << i)) != 0;
}
static bool has_remark(const struct coverage *c, int i)
{
    return (c->remarks & (1u << i)) != 0;
}

START_TEST(scripts_produce_every_rule_reason_and_remark)
{
    struct coverage cov = {.events = 0};
    char why[1400];
    for (int i = 0; i < path_count; i++) {
        (void)run_script(paths[i], &cov, why, sizeof why); /* failures are the other test's business */
    }
    printf("%d scripts, %d events accepted, %d refused\n", path_count, cov.events, cov.refusals);
    list("rules", RULE_COUNT, rule_name, has_rule, &cov, RULE_NONE + 1);
    list("void reasons", VOID_REASON_COUNT, void_name, has_void, &cov, 0);
    list("remarks on a reading", READING_REMARK_COUNT, note_name, has_note, &cov, 0);
    list("remarks on a sitting", SITTING_REMARK_COUNT, remark_name, has_remark, &cov, 0);
}
END_TEST

/* Each of them has a script of its own name, so that a reader finds it. */
START_TEST(scripts_are_named_for_what_they_produce)
{
    const char *(*const NAMES[])(int) = {rule_name, void_name, note_name, remark_name};
    const int COUNTS[] = {RULE_COUNT, VOID_REASON_COUNT, READING_REMARK_COUNT, SITTING_REMARK_COUNT};
    for (size_t kind = 0; kind < ARRAY_LEN(COUNTS); kind++) {
        for (int i = kind == 0 ? RULE_NONE + 1 : 0; i < COUNTS[kind]; i++) {
            bool found = false;
            for (int k = 0; k < path_count; k++) {
                const char *name = strrchr(paths[k], '/') + 1;
                found = found || strncmp(name, NAMES[kind](i), strlen(NAMES[kind](i))) == 0;
            }
            ck_assert_msg(found, "no script is named for %s", NAMES[kind](i));
        }
    }
}
END_TEST

/* The page that others read names every kind, rule, reason and remark, in code spans. */
START_TEST(document_names_every_word_of_the_log)
{
    static char text[100000];
    char span[64];
    FILE *f = fopen(TEST_SOURCE_DIR "/docs/event-log.md", "r");
    ck_assert_ptr_nonnull(f);
    text[fread(text, 1, sizeof text - 1, f)] = '\0';
    (void)fclose(f);
    const char *(*const NAMES[])(int) = {rule_name, void_name, note_name, remark_name, kind_name};
    const int COUNTS[] = {RULE_COUNT, VOID_REASON_COUNT, READING_REMARK_COUNT, SITTING_REMARK_COUNT,
                          EV_COUNT};
    for (size_t kind = 0; kind < ARRAY_LEN(COUNTS); kind++) {
        for (int i = kind == 0 ? RULE_NONE + 1 : 0; i < COUNTS[kind]; i++) {
            (void)snprintf(span, sizeof span, "`%s`", NAMES[kind](i));
            ck_assert_msg(strstr(text, span) != NULL, "docs/event-log.md does not name %s", span);
        }
    }
}
END_TEST

int main(void)
{
    find_scripts();
    Suite *suite = suite_create("scripts");
    TCase *scripts = tcase_create("scripts"), *cover = tcase_create("coverage");
    tcase_set_timeout(scripts, 60);
    tcase_set_timeout(cover, 300);
    tcase_add_loop_test(scripts, script_goes_as_written, 0, path_count);
    tcase_add_test(cover, scripts_produce_every_rule_reason_and_remark);
    tcase_add_test(cover, scripts_are_named_for_what_they_produce);
    tcase_add_test(cover, document_names_every_word_of_the_log);
    suite_add_tcase(suite, scripts);
    suite_add_tcase(suite, cover);
    SRunner *runner = srunner_create(suite);
    srunner_run_all(runner, CK_NORMAL);
    int failed = srunner_ntests_failed(runner);
    srunner_free(runner);
    return failed == 0 && path_count > 0 ? EXIT_SUCCESS : EXIT_FAILURE;
}
