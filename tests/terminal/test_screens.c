/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Every page of the program: kept as text at 80x24 under docs/screens/, and the same words at every size and on every terminal. */
#include <check.h>
#include <ctype.h>
#include <dirent.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

#include "guide/views.h"
#include "kept_screens.h"
#include "screens_walks.h"
#include "sitting_tour.h"

#define WORD_CAP 256
#define ENV_MAX 2
#define SEEN_BEFORE_MS 2000 /* at other sizes the page has come before at the design size; a start takes as long as ever */

static char folder[64];
static struct kit k;

/* One way of showing the same pages. */
struct way {
    int rows, cols;
    const char *term, *lc_all;
    const char *const *env;
    void (*look)(const struct way *way, const struct walk_move *move, const char *screen);
};

static void keep(const struct way *way, const struct walk_move *move, const char *screen);

/* What a walk found wrong: collected, as one missing word should not hide the next page's. */
static char problems[7000];
static int problem_count;

static void problem(const struct way *way, const struct walk_move *move, const char *lacks)
{
    size_t used = strlen(problems);
    problem_count++;
    snprintf(problems + used, sizeof problems - used, "%s at %dx%d lacks '%s'\n", move->page != NULL ? move->page : move->see,
             way->cols, way->rows, lacks);
}

/* ---- words ---- */

/* The next word without brackets, points or the cursor after it; figures drawn large, rules and ticks are no words. */
static const char *next_word(const char *at, char word[WORD_CAP])
{
    for (;;) {
        size_t n = 0;
        while (*at != '\0' && (isspace((unsigned char)*at) || *at == '('))
            at++;
        if (*at == '\0')
            return NULL;
        bool is_drawing = true;
        while (*at != '\0' && !isspace((unsigned char)*at)) {
            is_drawing = is_drawing && (strchr("#|>!^_", *at) != NULL || (unsigned char)*at >= 0x80);
            if (n < WORD_CAP - 1)
                word[n++] = *at;
            at++;
        }
        while (n > 0 && strchr(".,;:_)", word[n - 1]) != NULL)
            n--;
        word[n] = '\0';
        if (!is_drawing && n > 0)
            return at;
    }
}

static bool has_word(const char *screen, const char *wanted)
{
    char word[WORD_CAP];
    for (const char *at = screen; (at = next_word(at, word)) != NULL;)
        if (strcmp(word, wanted) == 0)
            return true;
    return false;
}

/* The first word of wanted that is not on the screen; NULL when all are. */
static const char *missing_word(const char *screen, const char *wanted)
{
    static char word[WORD_CAP];
    for (const char *at = wanted; (at = next_word(at, word)) != NULL;)
        if (!has_word(screen, word))
            return word;
    return NULL;
}

/* ---- walking ---- */

static void fresh_folder(void)
{
    snprintf(folder, sizeof folder, "/tmp/stillarm-screens-XXXXXX");
    ck_assert_ptr_nonnull(mkdtemp(folder));
    ck_assert_int_eq(chdir(folder), 0); /* the store's name on a page must not change from run to run */
    setenv("TMPDIR", folder, 1);
    setenv("TZ", "UTC", 1);
    setenv("STILLARM_SITE", "site", 1); /* not whoever runs this has put into a folder of their own */
    ck_assert_int_eq(mkdir("site", 0700), 0);
}

static void remove_folder(void)
{
    char command[96];
    ck_assert_int_eq(chdir("/"), 0);
    snprintf(command, sizeof command, "rm -rf %s", folder);
    ck_assert_int_eq(system(command), 0);
}

static void start(const struct walk *walk, const struct way *way)
{
    const char *argv[8] = {TEST_DRIVEN_PROGRAM}, *env[ENV_MAX + 2] = {NULL};
    char clock_file[96];
    int n = 1, env_count = 0;
    for (const char *const *e = way->env; e != NULL && *e != NULL && env_count < ENV_MAX; e++)
        env[env_count++] = *e;
    env[env_count] = walk->env;
    snprintf(clock_file, sizeof clock_file, "%s/clock", folder);
    ck_assert(clock_create(clock_file));
    if (walk->is_furnished)
        tour_furnish("store.db");
    if (walk->prepare != NULL)
        walk->prepare();
    if (!walk->has_own_store) {
        argv[n++] = "--db";
        argv[n++] = "store.db";
    }
    for (const char *const *word = walk->verb; *word != NULL; word++)
        argv[n++] = *word;
    ck_assert(kit_start(&k, &(struct kit_options){.argv = argv, .rows = way->rows, .cols = way->cols, .term = way->term,
                                                  .lc_all = way->lc_all, .env = env}));
}

/* All words on the screen, wherever they wrap. */
static bool wait_for_words(const char *words, int timeout_ms)
{
    for (int tries = 0; missing_word(kit_screen(&k), words) != NULL; tries++) {
        if (tries > timeout_ms / 10 || !kit_pump(&k, 10))
            return missing_word(kit_screen(&k), words) == NULL;
    }
    return true;
}

static void press(const char *keys)
{
    char one[2] = "";
    for (; *keys != '\0'; keys++) {
        one[0] = *keys;
        if (*keys == WALK_DOWN[0])
            kit_press(&k, KIT_DOWN);
        else
            kit_type(&k, one);
    }
    kit_sync(&k);
}

/* On the design size that ends the walk: the program is on another page. On others the words may have been cut. */
static void lacking(const struct walk *walk, const struct way *way, const struct walk_move *move)
{
    ck_assert_msg(way->look != keep, "%s (%s): '%s' did not come:\n%s", walk->name, move->page != NULL ? move->page : "-",
                  move->see, kit_screen(&k));
    problem(way, move, missing_word(kit_screen(&k), move->see));
}

static void walk_through(const struct walk *walk, const struct way *way)
{
    fresh_folder();
    start(walk, way);
    for (size_t i = 0; i < walk->move_count; i++) {
        const struct walk_move *move = &walk->moves[i];
        if (move->wait_ms > 0)
            clock_advance(move->wait_ms);
        if (!wait_for_words(move->see, way->look == keep || i == 0 ? KIT_WAIT_MS : SEEN_BEFORE_MS))
            lacking(walk, way, move);
        kit_sync(&k);
        if (move->page != NULL)
            way->look(way, move, kit_screen(&k));
        press(move->keys);
    }
    int status = kit_stop(&k, KIT_WAIT_MS);
    ck_assert_msg(status == 0 || status == 1, "%s ended with status %d", walk->name, status);
    remove_folder();
}

static void walk_all(const struct way *way)
{
    problems[0] = '\0';
    problem_count = 0;
    for (size_t i = 0; i < WALK_COUNT; i++)
        walk_through(&WALKS[i], way);
    ck_assert_msg(problem_count == 0, "%d missing:\n%s", problem_count, problems);
}

/* ---- what is looked for ---- */

static void keep(const struct way *way, const struct walk_move *move, const char *screen)
{
    (void)way;
    ck_assert_msg(missing_word(screen, move->must) == NULL, "%s lacks '%s':\n%s", move->page,
                  missing_word(screen, move->must), screen);
    kept_write(move->page, screen);
}

static void must_read(const struct walk_move *move, char *out)
{
    ck_assert_msg(kept_read(move->page, out), "docs/screens/%s.txt is not there", move->page);
}

/* "(more below)" depends on the size. */
static void blank_out(char *text, const char *what)
{
    for (char *at = text; (at = strstr(at, what)) != NULL;)
        memset(at, ' ', strlen(what));
}

static void same_text(const struct way *way, const struct walk_move *move, const char *screen)
{
    static char kept[KEPT_CAP];
    VTermScreenCell cell;
    must_read(move, kept);
    ck_assert_msg(strcmp(kept, screen) == 0, "%s: without colour this is on the screen\n%s\nand with colour\n%s", move->page,
                  screen, kept);
    for (int row = 0; row < way->rows; row++)
        for (int col = 0; col < way->cols; col++)
            if (kit_cell(&k, row, col, &cell))
                ck_assert_msg(VTERM_COLOR_IS_DEFAULT_FG(&cell.fg) && VTERM_COLOR_IS_DEFAULT_BG(&cell.bg),
                              "%s: row %d, column %d has a colour", move->page, row, col);
}

/* The kept page's first row and what begins with its refusal: who and where, the refusal, the keys. */
static const char *last_rows(const char *kept)
{
    const char *at = kept;
    for (int row = 0; row < 20 && at != NULL; row++)
        at = strchr(at, '\n') != NULL ? strchr(at, '\n') + 1 : NULL;
    return at != NULL ? at : "";
}

static bool has_large_figure(const char *text)
{
    return strstr(text, "\xe2\x96\x88\xe2\x96\x88") != NULL || strstr(text, "##") != NULL;
}

/* The figure of a page without room for large ones is a word; elsewhere it is drawn. It is the first that stands alone. */
static void blank_out_figure(char *kept)
{
    char word[WORD_CAP];
    for (const char *at = kept, *end; (end = next_word(at, word)) != NULL; at = end)
        if (strchr(word, '/') != NULL && strspn(word, "0123456789/") == strlen(word)) {
            blank_out(kept, word);
            return;
        }
}

/* What does not fit may be left out only where the page says so, and never what to do, a refusal or a key. */
static void same_words(const struct way *way, const struct walk_move *move, const char *screen)
{
    static char kept[KEPT_CAP], shown[KEPT_CAP];
    must_read(move, kept);
    snprintf(shown, sizeof shown, "%s", screen);
    const char *lost = missing_word(shown, last_rows(kept));
    if (lost != NULL)
        problem(way, move, lost);
    const char *all = kit_all_parts(&k);
    lost = missing_word(all, move->must);
    if (lost != NULL)
        problem(way, move, lost);
    if (strstr(kit_screen(&k), "(more below)") != NULL || strstr(kit_screen(&k), "(more above)") != NULL)
        return;
    blank_out(kept, "(more above)");
    blank_out(kept, "(more below)");
    if (has_large_figure(screen) && !has_large_figure(kept))
        blank_out_figure(kept);
    lost = missing_word(all, kept);
    if (lost != NULL)
        problem(way, move, lost);
}

static void same_words_in_ascii(const struct way *way, const struct walk_move *move, const char *screen)
{
    for (const char *c = screen; *c != '\0'; c++)
        ck_assert_msg((unsigned char)*c < 0x80, "%s: a byte that is not ASCII:\n%s", move->page, screen);
    same_words(way, move, screen);
}

/* ---- tests ---- */

START_TEST(every_page_lies_as_text)
{
    walk_all(&(struct way){24, 80, "xterm-256color", NULL, NULL, keep});
}
END_TEST

/* In the walk a squeeze is refused while the arm settles; half a minute later the page says how far to pump. */
START_TEST(a_refusal_goes_when_its_wait_is_over)
{
    static char kept[KEPT_CAP];
    ck_assert(kept_read("listening-wait-refused", kept));
    ck_assert_ptr_nonnull(strstr(kept, "not yet:"));
    ck_assert(kept_read("listening-before", kept));
    ck_assert_ptr_nonnull(strstr(kept, "Pump to"));
    ck_assert_ptr_null(strstr(kept, "not yet:"));
}
END_TEST

/* A page left over under another name would look like one that the program still has. */
START_TEST(every_kept_page_is_one_of_a_walk)
{
    DIR *dir = opendir(TEST_SOURCE_DIR "/docs/screens");
    struct dirent *entry;
    ck_assert_ptr_nonnull(dir);
    while ((entry = readdir(dir)) != NULL) {
        bool is_known = entry->d_name[0] == '.' || strncmp(entry->d_name, KEPT_DESK, strlen(KEPT_DESK)) == 0 ||
                        strncmp(entry->d_name, KEPT_PROGRESS, strlen(KEPT_PROGRESS)) == 0 ||
                        strncmp(entry->d_name, KEPT_DEMO_PROGRESS, strlen(KEPT_DEMO_PROGRESS)) == 0 ||
                        strncmp(entry->d_name, KEPT_WATCHED, strlen(KEPT_WATCHED)) == 0;
        for (size_t i = 0; i < WALK_COUNT; i++)
            for (size_t m = 0; m < WALKS[i].move_count; m++) {
                const char *page = WALKS[i].moves[m].page;
                is_known = is_known || (page != NULL && strncmp(entry->d_name, page, strlen(page)) == 0 &&
                                        strcmp(entry->d_name + strlen(page), ".txt") == 0);
            }
        ck_assert_msg(is_known, "docs/screens/%s is kept by no walk", entry->d_name);
    }
    closedir(dir);
}
END_TEST

START_TEST(every_view_is_kept)
{
    char missing[1024] = "";
    for (int view = VIEW_AUTO + 1; view < VIEW_COUNT; view++) {
        bool is_there = false;
        for (size_t i = 0; i < WALK_COUNT; i++)
            for (size_t m = 0; m < WALKS[i].move_count; m++)
                is_there = is_there || (WALKS[i].moves[m].page != NULL && WALKS[i].moves[m].view == view);
        if (!is_there)
            snprintf(missing + strlen(missing), sizeof missing - strlen(missing), " %s", view_row((enum view)view)->id);
    }
    ck_assert_msg(missing[0] == '\0', "no walk keeps:%s", missing);
}
END_TEST

START_TEST(without_colour_the_text_is_the_same)
{
    static const char *const NO_COLOR[] = {"NO_COLOR=1", NULL};
    walk_all(&(struct way){24, 80, "xterm-256color", NULL, NO_COLOR, same_text});
}
END_TEST

START_TEST(on_an_old_terminal_the_text_is_the_same)
{
    walk_all(&(struct way){24, 80, "vt100", NULL, NULL, same_text});
}
END_TEST

START_TEST(in_ascii_no_word_is_lost)
{
    walk_all(&(struct way){24, 80, "xterm-256color", "C", NULL, same_words_in_ascii});
}
END_TEST

START_TEST(on_the_smallest_screen_no_word_is_lost)
{
    walk_all(&(struct way){20, 60, "xterm-256color", NULL, NULL, same_words});
}
END_TEST

START_TEST(on_a_large_screen_no_word_is_lost)
{
    walk_all(&(struct way){50, 200, "xterm-256color", NULL, NULL, same_words});
}
END_TEST

static void add(Suite *s, const char *name, const TTest *test)
{
    TCase *tc = tcase_create(name);
    tcase_set_timeout(tc, 180);
    tcase_add_test(tc, test);
    suite_add_tcase(s, tc);
}

int main(void)
{
    Suite *s = suite_create("screens");
    /* The others compare with what the first one wrote. */
    add(s, "80x24", every_page_lies_as_text);
    add(s, "views", every_view_is_kept);
    add(s, "kept", every_kept_page_is_one_of_a_walk);
    add(s, "refusals", a_refusal_goes_when_its_wait_is_over);
    add(s, "no colour", without_colour_the_text_is_the_same);
    add(s, "old terminal", on_an_old_terminal_the_text_is_the_same);
    add(s, "ASCII", in_ascii_no_word_is_lost);
    add(s, "60x20", on_the_smallest_screen_no_word_is_lost);
    add(s, "200x50", on_a_large_screen_no_word_is_lost);
    SRunner *sr = srunner_create(s);
    srunner_run_all(sr, CK_NORMAL);
    const int failed = srunner_ntests_failed(sr);
    srunner_free(sr);
    return failed != 0;
}
