/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What a preceptor finds on the demo's pages of progress: of who is ready, who is not yet and of whom too little is known, every
 * leaf. The demo counts its days back from today, so the clock is the test's. Pages are kept under docs/screens/. */
#include <check.h>
#include <ctype.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

#include "command/demo_people.h"
#include "guide/progress.h"
#include "kept_screens.h"
#include "screen_kit.h"
#include "stillarm/text.h"

#define PARTS_MAX 20
#define PAIRS_ASKED 29  /* by the yardstick that comes with the program */
#define ROWS_ABOVE 4    /* the lines of a leaf */
#define ROWS_BELOW 7
#define LINES_MOST 300  /* of a leaf */
#define ALL_CAP 131072
#define ROW_CAP 1024
#define TOLD_MAX 2500   /* bytes of a page that go into a failure's message */
/* Words of legends that go with how many marks share a cell, and so with the size. */
#define OF_LEGENDS "pair mark right wrong"

static char folder[64];
static struct kit k;

/* ---- what there must be ---- */

/* Words that the pages' contract has, and no sentences. */
static const struct leaf { const char *page; const char *holds[5]; bool is_graph; } LEAVES[] = {
    [LEAF_VERDICT] = { "verdict", { "by the yardstick trainee", "a preceptor decides" }, false },
    [LEAF_DIFFERENCE_SYSTOLIC] = { "difference", { "systolic", "bias", "limit", "zero", "mmHg" }, true },
    [LEAF_DIFFERENCE_DIASTOLIC] = { "difference-diastolic", { "diastolic", "bias", "limit", "zero", "mmHg" }, true },
    [LEAF_DIGITS] = { "digits", { "systolic", "odd", "20 %" }, true },
    [LEAF_RELEASE] = { "release", { "mmHg/s", "3.0", "2.0" }, true },
    [LEAF_LEARNING] = { "learning", { "reached", "wrong" }, true },
    [LEAF_SLIPS] = { "slips", { "refused" }, false },
    [LEAF_FIGURES] = { "figures", { "bias", "lower limit", "upper limit", "within 5 mmHg", "ICC(2,1)" }, false },
    [LEAF_CHANGES] = { "changes", { "since 2031-02-02", "by the yardstick", "pairs" }, false }, /* a month before the clock */
};
_Static_assert(ARRAY_LEN(LEAVES) == LEAF_COUNT, "every leaf is looked at");

/* What was tried too soon, what went wrong: what there is to practise. */
static const struct trainee { const char *id, *name; enum readiness answer; const char *slips[4]; } TRAINEES[] = {
    { DEMO_READY, "Mira Solheim", READY_YES, { "(release.fast)" } },
    { DEMO_NOT_YET, "Joss Abara", READY_NOT_YET, { "(interval.short)", "(rest.short)", "(release.fast)" } },
    { DEMO_TOO_FEW, "Tilo Renn", READY_TOO_FEW, { NULL } },
};
enum { MIRA, JOSS, TILO };

/* ---- the demo in a terminal ---- */

static void open_folder(void)
{
    char clock_file[96];
    snprintf(folder, sizeof folder, "/tmp/stillarm-demo-pages-XXXXXX");
    ck_assert_ptr_nonnull(mkdtemp(folder));
    ck_assert_int_eq(chdir(folder), 0);
    setenv("TMPDIR", folder, 1);
    setenv("TZ", "UTC", 1);
    setenv("STILLARM_SITE", "site", 1); /* nothing of whoever runs this */
    snprintf(clock_file, sizeof clock_file, "%s/clock", folder);
    ck_assert(clock_create(clock_file));
}

static void remove_folder(void)
{
    char command[96];
    ck_assert_int_eq(chdir("/"), 0);
    snprintf(command, sizeof command, "rm -rf %s", folder);
    ck_assert_int_eq(system(command), 0);
}

static void see(const char *words)
{
    ck_assert_msg(kit_wait(&k, words, KIT_WAIT_MS), "'%s' did not come:\n%s", words, kit_screen(&k));
    kit_sync(&k);
}

static void press(const char *keys)
{
    kit_type(&k, keys);
    kit_sync(&k);
}

/* As far as the list of the group. */
static void start(int rows, int cols, const char *term, const char *lc_all)
{
    const char *argv[] = { TEST_DRIVEN_PROGRAM, "demo", NULL };
    ck_assert(kit_start(&k, &(struct kit_options){ .argv = argv, .rows = rows, .cols = cols, .term = term, .lc_all = lc_all }));
    see("start a sitting");
    press("t");
    see("order: ");
}

static void see_leaf(int leaf)
{
    char which[24];
    snprintf(which, sizeof which, "%d of %d", leaf + 1, (int)LEAF_COUNT);
    see(which);
}

/* Whatever the order is. */
static void open_trainee(const char *id)
{
    char row[40];
    snprintf(row, sizeof row, "> %s", id);
    press("kkkkkkkkkk");
    for (int i = 0; i < 10 && !kit_has(&k, row); i++)
        press("j");
    see(row);
    press("\r");
    see_leaf(0);
}

static void leave(int times)
{
    while (times-- > 0)
        press("q");
    int status = kit_stop(&k, KIT_WAIT_MS);
    ck_assert_msg(status == 0, "ended with status %d", status);
}

/* ---- pages and their parts ---- */

static void name_page(const struct trainee *t, const char *page, int part, char out[96])
{
    if (part > 1)
        snprintf(out, 96, KEPT_DEMO_PROGRESS "%s-%s-%d", t->id, page, part);
    else
        snprintf(out, 96, KEPT_DEMO_PROGRESS "%s-%s", t->id, page);
}

/* What a page had while its words were more would look like what it still has. */
static void remove_parts(const struct trainee *t, const char *page, int from)
{
    for (int part = from; part <= PARTS_MAX; part++) {
        char name[96], path[512];
        name_page(t, page, part, name);
        snprintf(path, sizeof path, "%s/docs/screens/%s.txt", TEST_SOURCE_DIR, name);
        unlink(path);
    }
}

static void must_hold(const char *text, const char *words)
{
    ck_assert_msg(strstr(text, words) != NULL, "'%s' is not on\n%.*s", words, TOLD_MAX, text);
}

static void take_part(const struct trainee *t, const char *page, int part, bool is_kept, struct text *all)
{
    char name[96];
    ck_assert_int_le(part, PARTS_MAX);
    must_hold(kit_screen(&k), "certifies nobody");
    must_hold(kit_screen(&k), "q back");
    text_add(all, kit_screen(&k));
    name_page(t, page, part, name);
    if (is_kept)
        kept_write(name, kit_screen(&k));
}

/* A row in the middle, without the cursor's mark: another one as soon as the lines move. */
static void middle_row(char out[ROW_CAP])
{
    kit_row(&k, k.rows / 2, out, ROW_CAP);
    if (out[0] == '>')
        out[0] = ' ';
}

/* How many lines a part has at the least. */
static int rows_of_part(void)
{
    int above = ROWS_ABOVE, below = k.rows - ROWS_BELOW;
    kit_find(&k, "(more above)", &above);
    kit_find(&k, "(more below)", &below);
    return below - above - 1;
}

/* All there is on the leaf shown, a line at a time; each part begins at the latest where the one before ends. Static. */
static const char *read_leaf(const struct trainee *t, const char *page, bool is_kept)
{
    static char all[ALL_CAP], before[KEPT_CAP];
    char row[ROW_CAP], now[ROW_CAP];
    struct text text;
    int part = 1, scrolled = 0;
    text_init(&text, all, sizeof all);
    take_part(t, page, part, is_kept, &text);
    middle_row(row);
    for (int lines = 0; kit_has(&k, "(more ") && lines < LINES_MOST; lines++) {
        text_copy(before, sizeof before, kit_screen(&k));
        press("j");
        if (strcmp(before, kit_screen(&k)) == 0)
            break;
        middle_row(now);
        scrolled += strcmp(row, now) != 0;
        text_copy(row, sizeof row, now);
        if (scrolled < rows_of_part() - 1)
            continue;
        take_part(t, page, ++part, is_kept, &text);
        scrolled = 0;
    }
    if (scrolled > 0)
        take_part(t, page, ++part, is_kept, &text);
    if (is_kept)
        remove_parts(t, page, part + 1);
    return all;
}

/* ---- what a preceptor looks for ---- */

static int count_of(const char *text, const char *words)
{
    int n = 0;
    for (const char *at = text; (at = strstr(at, words)) != NULL; at += strlen(words))
        n++;
    return n;
}

/* The number right before the words, where they come first; -1: there is none. */
static long number_before(const char *text, const char *words)
{
    const char *at = strstr(text, words);
    if (at == NULL)
        return -1;
    while (at > text && isdigit((unsigned char)at[-1]))
        at--;
    return isdigit((unsigned char)*at) ? strtol(at, NULL, 10) : -1;
}

static void check_verdict(const struct trainee *t, const char *all)
{
    char answer[40];
    snprintf(answer, sizeof answer, "> %s", READINESS_WORDS[t->answer]);
    must_hold(all, answer); /* the cursor is on the first line */
    must_hold(all, t->name);
    int lacking = count_of(all, "\n  not yet "), few = count_of(all, "\n  too few ");
    ck_assert_msg((lacking > 0) == (t->answer == READY_NOT_YET) && (few > 0) == (t->answer == READY_TOO_FEW),
                  "%d not yet, %d too few:\n%.*s", lacking, few, TOLD_MAX, all);
}

/* How many are missing, on the leaf of the verdict, and how many there are, on that of the differences. */
static void check_missing(long missing, const char *difference)
{
    long there = number_before(difference, " pairs,");
    ck_assert_int_gt(missing, 0);
    ck_assert_int_gt(there, 0);
    ck_assert_int_ge(missing + there, PAIRS_ASKED);
}

/* Of the values that end in zero, in percent, as drawn. */
static double zeros_of(const char *digits)
{
    const char *row = strstr(digits, "\n  0 "), *end, *at;
    ck_assert_msg(row != NULL, "no bar of the zeros:\n%.*s", TOLD_MAX, digits);
    end = strchr(row + 1, '\n');
    for (at = end; at[-1] != ' '; at--) {}
    return strtod(at, NULL);
}

static void check_slips(const struct trainee *t, const char *all)
{
    int named = 0;
    for (; named < 4 && t->slips[named] != NULL; named++)
        must_hold(all, t->slips[named]);
    ck_assert_msg(named > 0 || strstr(all, " x ") == NULL, "slips of who has none:\n%.*s", TOLD_MAX, all);
}

/* What is on one leaf and has to go with another's. */
struct seen { long missing; int reached; double zeros; };

static void check_leaf(const struct trainee *t, enum progress_leaf leaf, const char *all, struct seen *seen)
{
    must_hold(all, t->id);
    for (size_t i = 0; i < ARRAY_LEN(LEAVES[leaf].holds) && LEAVES[leaf].holds[i] != NULL; i++)
        must_hold(all, LEAVES[leaf].holds[i]);
    ck_assert_msg(!LEAVES[leaf].is_graph || strstr(all, "(more ") == NULL, "a graph in parts:\n%.*s", TOLD_MAX, all);
    if (leaf == LEAF_VERDICT)
        check_verdict(t, all);
    if (leaf == LEAF_VERDICT)
        seen->missing = number_before(all, " more pair");
    if (leaf == LEAF_DIFFERENCE_SYSTOLIC && t->answer == READY_TOO_FEW)
        check_missing(seen->missing, all);
    if (leaf == LEAF_DIGITS)
        seen->zeros = zeros_of(all);
    if (leaf == LEAF_LEARNING)
        seen->reached = count_of(all, "reached");
    if (leaf == LEAF_SLIPS)
        check_slips(t, all);
    if (leaf == LEAF_CHANGES)
        must_hold(all, READINESS_WORDS[t->answer]);
}

static void through_all_leaves(const struct trainee *t, struct seen *seen)
{
    open_trainee(t->id);
    for (int leaf = 0; leaf < LEAF_COUNT; leaf++) {
        see_leaf(leaf);
        check_leaf(t, (enum progress_leaf)leaf, read_leaf(t, LEAVES[leaf].page, true), seen);
        press("n");
    }
    press("q");
    see("order: ");
}

/* ---- words ---- */

static const char *next_word(const char *at, char word[ROW_CAP])
{
    size_t n = 0;
    while (*at != '\0' && !isalpha((unsigned char)*at))
        at++;
    while (isalpha((unsigned char)*at) && n < ROW_CAP - 1)
        word[n++] = *at++;
    word[n] = '\0';
    return n > 0 ? at : NULL;
}

/* Whether wide has the word itself; *piece_of: a longer one there that begins or ends with it. */
static bool has_word(const char *wide, const char *wanted, char piece_of[ROW_CAP])
{
    char word[ROW_CAP];
    size_t n = strlen(wanted);
    piece_of[0] = '\0';
    for (const char *at = wide; (at = next_word(at, word)) != NULL;) {
        size_t len = strlen(word);
        if (strcmp(word, wanted) == 0)
            return true;
        if (len > n && (strncmp(word, wanted, n) == 0 || strcmp(word + len - n, wanted) == 0))
            text_copy(piece_of, ROW_CAP, word);
    }
    return false;
}

/* A piece of a word that a wide screen has whole, and nowhere the piece. Single letters are keys and marks. */
static void no_word_is_cut(const char *narrow, const char *wide)
{
    char word[ROW_CAP], whole[ROW_CAP], other[ROW_CAP];
    for (const char *at = narrow; (at = next_word(at, word)) != NULL;)
        if (word[1] != '\0' && !has_word(OF_LEGENDS, word, other) && !has_word(wide, word, whole))
            ck_assert_msg(whole[0] == '\0', "'%s' is a piece of '%s':\n%.*s", word, whole, TOLD_MAX, narrow);
}

static const char *kept_parts(const struct trainee *t, const char *page)
{
    static char all[ALL_CAP], one[KEPT_CAP];
    struct text text;
    char name[96];
    text_init(&text, all, sizeof all);
    for (int part = 1; part <= PARTS_MAX; part++) {
        name_page(t, page, part, name);
        if (kept_read(name, one))
            text_add(&text, one);
    }
    return all;
}

/* ---- tests ---- */

START_TEST(every_leaf_of_every_trainee_says_what_a_preceptor_looks_for)
{
    struct seen seen[ARRAY_LEN(TRAINEES)];
    start(24, 80, NULL, NULL);
    for (size_t i = 0; i < ARRAY_LEN(TRAINEES); i++)
        must_hold(kit_screen(&k), TRAINEES[i].id);
    kept_write(KEPT_DEMO_PROGRESS "group", kit_screen(&k));
    for (size_t i = 0; i < ARRAY_LEN(TRAINEES); i++)
        through_all_leaves(&TRAINEES[i], &seen[i]);
    leave(2);
    /* The level has its label everywhere; that the curve came to it is on one page. */
    ck_assert_int_ge(seen[TILO].reached, 1);
    ck_assert_int_eq(seen[JOSS].reached, seen[TILO].reached);
    ck_assert_int_gt(seen[MIRA].reached, seen[JOSS].reached);
    ck_assert_double_gt(seen[JOSS].zeros, 40.0);
    ck_assert_double_lt(seen[MIRA].zeros, 40.0);
}
END_TEST

START_TEST(the_list_of_the_group_has_each_verdict_beside_its_name)
{
    start(24, 80, NULL, NULL);
    for (size_t i = 0; i < ARRAY_LEN(TRAINEES); i++) {
        char name[40], row[ROW_CAP] = "";
        int at = k.rows - 1;
        snprintf(name, sizeof name, " %s ", TRAINEES[i].id);
        /* the last row with it: above the table stands what has changed */
        for (; at > 0 && strstr(row, name) == NULL; at--)
            kit_row(&k, at, row, sizeof row);
        must_hold(row, READINESS_WORDS[TRAINEES[i].answer]);
    }
    leave(2);
}
END_TEST

START_TEST(no_word_is_cut_at_the_usual_size)
{
    start(50, 200, NULL, NULL);
    for (size_t i = 0; i < ARRAY_LEN(TRAINEES); i++) {
        open_trainee(TRAINEES[i].id);
        for (int leaf = 0; leaf < LEAF_COUNT; leaf++) {
            see_leaf(leaf);
            no_word_is_cut(kept_parts(&TRAINEES[i], LEAVES[leaf].page), read_leaf(&TRAINEES[i], LEAVES[leaf].page, false));
            press("n");
        }
        press("q");
        see("order: ");
    }
    leave(2);
}
END_TEST

START_TEST(the_smallest_old_terminal_gets_the_same_in_ascii)
{
    const struct trainee *t = &TRAINEES[MIRA];
    start(20, 60, "vt100", "C");
    open_trainee(t->id);
    for (int leaf = 0; leaf < LEAF_COUNT; leaf++) {
        see_leaf(leaf);
        const char *page = leaf == LEAF_DIFFERENCE_SYSTOLIC ? "difference-ascii-60x20" : LEAVES[leaf].page;
        const char *all = read_leaf(t, page, leaf == LEAF_DIFFERENCE_SYSTOLIC);
        for (const char *c = all; *c != '\0'; c++)
            ck_assert_msg((unsigned char)*c < 0x80, "a byte that is not ASCII:\n%.*s", TOLD_MAX, all);
        must_hold(all, LEAVES[leaf].holds[0]);
        no_word_is_cut(all, kept_parts(t, LEAVES[leaf].page));
        press("n");
    }
    leave(3);
}
END_TEST

START_TEST(an_old_terminal_has_the_same_text_without_colour)
{
    static char kept[KEPT_CAP];
    VTermScreenCell cell;
    start(24, 80, "vt100", NULL);
    open_trainee(DEMO_READY);
    for (int leaf = 0; leaf < LEAF_COUNT; leaf++) {
        char name[96];
        see_leaf(leaf);
        name_page(&TRAINEES[MIRA], LEAVES[leaf].page, 1, name);
        ck_assert_msg(kept_read(name, kept), "%s is not kept", name);
        ck_assert_str_eq(kit_screen(&k), kept);
        for (int row = 0; row < k.rows; row++)
            for (int col = 0; col < k.cols; col++)
                if (kit_cell(&k, row, col, &cell))
                    ck_assert(VTERM_COLOR_IS_DEFAULT_FG(&cell.fg) && VTERM_COLOR_IS_DEFAULT_BG(&cell.bg));
        press("n");
    }
    leave(3);
}
END_TEST

static TCase *add_case(Suite *s, const char *name)
{
    TCase *t = tcase_create(name);
    tcase_set_timeout(t, 180);
    tcase_add_checked_fixture(t, open_folder, remove_folder);
    suite_add_tcase(s, t);
    return t;
}

int main(void)
{
    Suite *s = suite_create("demo progress");
    TCase *pages = add_case(s, "pages"), *sizes = add_case(s, "sizes");
    tcase_add_test(pages, every_leaf_of_every_trainee_says_what_a_preceptor_looks_for);
    tcase_add_test(pages, the_list_of_the_group_has_each_verdict_beside_its_name);
    /* these compare with what the first one keeps */
    tcase_add_test(sizes, no_word_is_cut_at_the_usual_size);
    tcase_add_test(sizes, the_smallest_old_terminal_gets_the_same_in_ascii);
    tcase_add_test(sizes, an_old_terminal_has_the_same_text_without_colour);
    SRunner *sr = srunner_create(s);
    srunner_run_all(sr, CK_NORMAL);
    const int failed = srunner_ntests_failed(sr);
    srunner_free(sr);
    return failed != 0;
}
