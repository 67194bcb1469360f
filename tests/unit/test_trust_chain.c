/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The chain over events and attempts: over the documented bytes, and different for whatever is different. */
#include <stdlib.h>

#include "unit/trust_hand.h"

static void want_is(const struct chain *before, const char *bytes, const struct chain *got)
{
    unsigned char joined[4096], hash[TRUST_HASH_BYTES];
    const size_t n = strlen(bytes), head = before ? sizeof before->hash : 0;
    if (before)
        memcpy(joined, before->hash, head);
    memcpy(joined + head, bytes, n);
    trust_hash(joined, head + n, hash);
    ck_assert_mem_eq(got->hash, hash, sizeof hash);
}

START_TEST(chain_begins_with_the_store_and_the_sitting)
{
    struct chain c;
    chain_begin(&c, STORE_A, 14);
    want_is(NULL, "stillarm sitting 1\n" STORE_A "\n14\n", &c);
    chain_attempts_begin(&c, STORE_A, 14);
    want_is(NULL, "stillarm attempts 1\n" STORE_A "\n14\n", &c);
}
END_TEST

START_TEST(chain_event_is_over_the_line_and_both_clocks)
{
    static const struct {
        int64_t unix_ms, boot_ms;
        const char *clocks;
    } ROWS[] = {
        {1930000000000, 81234, "1930000000000 81234\n"},
        {0, -1, "0 -1\n"},
        {INT64_MIN, INT64_MIN, "- -\n"},
        {INT64_MIN, 7, "- 7\n"},
        {INT64_MAX, INT64_MIN + 1, "9223372036854775807 -9223372036854775807\n"},
    };
    for (size_t i = 0; i < ARRAY_LEN(ROWS); i++) {
        struct chain c, before;
        char bytes[200];
        chain_begin(&c, STORE_A, 14);
        before = c;
        chain_event(&c, "12.345 seal", 11, ROWS[i].unix_ms, ROWS[i].boot_ms);
        (void)snprintf(bytes, sizeof bytes, "12.345 seal\n%s", ROWS[i].clocks);
        want_is(&before, bytes, &c);
    }
}
END_TEST

START_TEST(chain_event_takes_a_line_longer_than_a_block)
{
    struct chain c, before;
    char line[EVENT_LINE_CAP], bytes[EVENT_LINE_CAP + 40];
    memset(line, 'x', sizeof line);
    chain_begin(&c, STORE_A, 14);
    before = c;
    chain_event(&c, line, sizeof line, 1, 2);
    (void)snprintf(bytes, sizeof bytes, "%.*s\n1 2\n", (int)sizeof line, line);
    want_is(&before, bytes, &c);
}
END_TEST

START_TEST(chain_attempt_is_over_every_field)
{
    const struct chain_attempt a = {.n = 3, .after_seq = 17, .t_ms = 61000, .unix_ms = 1930000000000, .is_slip = true,
                                    .rule = "rest.short", .have = "4:59.000", .need = "5:00.000", .line = "61.000 rest end"};
    struct chain c, before;
    chain_attempts_begin(&c, STORE_A, 14);
    before = c;
    chain_attempt(&c, &a);
    want_is(&before, "3 17 61000 1930000000000 1 rest.short\n4:59.000\n5:00.000\n61.000 rest end\n", &c);
    const struct chain_attempt bare = {.unix_ms = INT64_MIN};
    before = c;
    chain_attempt(&c, &bare);
    want_is(&before, "0 0 0 - 0 \n\n\n\n", &c);
}
END_TEST

/* Three events from what may differ. */
static struct chain three(const char *store, int64_t sitting, const char *first, const char *second, int64_t unix_ms,
                          int64_t boot_ms)
{
    struct chain c;
    chain_begin(&c, store, sitting);
    chain_event(&c, first, strlen(first), unix_ms, boot_ms);
    chain_event(&c, second, strlen(second), 2000, 20);
    chain_event(&c, "9.000 seal", 10, 3000, 30);
    return c;
}

START_TEST(chain_differs_for_whatever_differs)
{
    const struct chain all[] = {
        three(STORE_A, 14, "1.000 told", "2.000 done", 1000, 10), three(STORE_B, 14, "1.000 told", "2.000 done", 1000, 10),
        three(STORE_A, 15, "1.000 told", "2.000 done", 1000, 10), three(STORE_A, 14, "1.001 told", "2.000 done", 1000, 10),
        three(STORE_A, 14, "2.000 done", "1.000 told", 1000, 10), three(STORE_A, 14, "1.000 told", "2.000 done", 1001, 10),
        three(STORE_A, 14, "1.000 told", "2.000 done", 1000, 11), three(STORE_A, 14, "1.000 told", "2.000 done", 100, 10),
        three(STORE_A, 14, "1.000 told", "2.000 done", INT64_MIN, 10)};
    const struct chain again = three(STORE_A, 14, "1.000 told", "2.000 done", 1000, 10);
    ck_assert_mem_eq(&all[0], &again, sizeof again);
    for (size_t i = 0; i < ARRAY_LEN(all); i++)
        for (size_t j = 0; j < i; j++)
            ck_assert_msg(memcmp(&all[i], &all[j], sizeof all[i]) != 0, "%zu and %zu are the same", i, j);
}
END_TEST

/* ---- the review of a sitting ---- */

/* Row by row where it stands, column by column what is said: the new state's first letters, or - where it cannot follow. */
static const char *const AFTER[REVIEW_COUNT] = {
    /*                   seal      stop      countersign return  comment   amend     release */
    [REVIEW_OPEN] =     "waiting   waiting   -           -         -         -         -",
    [REVIEW_BEFORE] =   "-         -         -           -         -         -         -",
    [REVIEW_UNSIGNED] = "waiting   waiting   -           -         -         -         -",
    [REVIEW_WAITING] =  "-         -         countersigned returned waiting  waiting   -",
    [REVIEW_RETURNED] = "-         -         countersigned -       returned  waiting   -",
    [REVIEW_DONE] =     "-         -         countersigned -       countersigned waiting -",
    [REVIEW_HELD] =     "-         -         -           -         held      -         released",
    [REVIEW_RELEASED] = "-         -         -           -         released  released  -",
};
static const enum statement_kind COLUMNS[] = {SAYS_SEAL,    SAYS_STOP,  SAYS_COUNTERSIGN, SAYS_RETURN,
                                              SAYS_COMMENT, SAYS_AMEND, SAYS_RELEASE};

static void after_word(enum review now, enum statement_kind kind, char out[20])
{
    const char *at = AFTER[now];
    for (size_t i = 0; i < ARRAY_LEN(COLUMNS); i++) {
        const size_t n = strcspn(at, " ");
        if (COLUMNS[i] == kind) {
            (void)snprintf(out, 20, "%.*s", (int)n, at);
            return;
        }
        at += n + strspn(at + n, " ");
    }
    (void)snprintf(out, 20, "-");
}

START_TEST(review_after_follows_its_table_in_every_cell)
{
    for (int now = 0; now < REVIEW_COUNT; now++) {
        for (int kind = 0; kind < SAYS_COUNT; kind++) {
            for (int witnessed = 0; witnessed < 2; witnessed++) {
                char want[20];
                enum review out = REVIEW_COUNT;
                after_word((enum review)now, (enum statement_kind)kind, want);
                const bool is_end = kind == SAYS_SEAL || kind == SAYS_STOP;
                if (witnessed && is_end && strcmp(want, "waiting") == 0)
                    (void)snprintf(want, sizeof want, "held");
                const bool follows = review_after((enum review)now, (enum statement_kind)kind, witnessed, &out);
                ck_assert_msg(strcmp(follows ? REVIEW_WORDS[out] : "-", want) == 0, "%s, then %s%s: not %s",
                              REVIEW_WORDS[now], STATEMENTS[kind].word, witnessed ? " (witnessed)" : "", want);
                ck_assert_msg(follows || out == REVIEW_COUNT, "written though it cannot follow");
            }
        }
    }
}
END_TEST

int main(void)
{
    Suite *suite = suite_create("chains and reviews");
    TCase *chain = tcase_create("chain"), *review = tcase_create("review");
    tcase_add_test(chain, chain_begins_with_the_store_and_the_sitting);
    tcase_add_test(chain, chain_event_is_over_the_line_and_both_clocks);
    tcase_add_test(chain, chain_event_takes_a_line_longer_than_a_block);
    tcase_add_test(chain, chain_attempt_is_over_every_field);
    tcase_add_test(chain, chain_differs_for_whatever_differs);
    tcase_add_test(review, review_after_follows_its_table_in_every_cell);
    suite_add_tcase(suite, chain);
    suite_add_tcase(suite, review);
    SRunner *runner = srunner_create(suite);
    srunner_run_all(runner, CK_NORMAL);
    const int failed = srunner_ntests_failed(runner);
    srunner_free(runner);
    return failed == 0 ? EXIT_SUCCESS : EXIT_FAILURE;
}
