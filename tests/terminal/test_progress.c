/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Progress in a terminal, on a store of invented sittings with a second listener: the group, a person leaf by leaf, a graph as a
 * file. Its pages are kept under docs/screens/. */
#include <check.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

#include "booth_kit.h"
#include "kept_screens.h"
#include "unit/progress_hand.h"

#define TIA_SITTINGS 20
#define ESC "\x1b"
#define FILLED "/tmp/stillarm-progress-filled.db"

static struct kit k;
static char filled[96]; /* the store that every test begins with */

/* ---- the store: made once, event by event, and copied ---- */

static int noise(int i, int of)
{
    return (i * 7 + i * i * 3) % of;
}

/* One sitting with two readings that a preceptor hears too; who begins hears too much. */
static void sit_once(const char *measurer, int i, int off)
{
    char subject[16], date[16];
    snprintf(subject, sizeof subject, "K%d-%03d", i % 9, 100 + i);
    snprintf(date, sizeof date, "2031-%02d-%02d", i < 14 ? 1 : 2, i < 14 ? 10 + i : 1 + (i - 14) * 3);
    sit_down(measurer, subject, date, NULL);
    for (int reading = 0; reading < 2; reading++) {
        int sys = 112 + 2 * noise(i, 13) + 2 * reading, dia = 70 + 2 * noise(i, 5);
        hear(sys, dia, "eva", sys - off - 2 * (noise(i + reading, 3) - 1), dia - off - 2 * (noise(i, 3) - 1), false);
    }
    seal_it();
}

static void add_people(void)
{
    static const struct person PEOPLE[] = { { .id = "tia", .name = "Tia Marr", .role = ROLE_TRAINEE },
                                            { .id = "uli", .name = "Uli Brandt", .role = ROLE_TRAINEE },
                                            { .id = "noa", .name = "Noa Reis", .role = ROLE_TRAINEE },
                                            { .id = "eva", .name = "Eva Lind", .role = ROLE_PRECEPTOR } };
    for (size_t i = 0; i < ARRAY_LEN(PEOPLE); i++)
        OK(store_person_add(st, &PEOPLE[i], &e));
    signer_free(key_of("eva"));
}

static void fill_store(void)
{
    char command[256];
    booth_open();
    OK(store_open(booth_db, STORE_WRITE, &st, &e));
    OK(protocols_load(TEST_SOURCE_DIR "/assets/protocols", &ps, &e));
    add_people();
    for (int i = 0; i < TIA_SITTINGS; i++)
        sit_once("tia", i, i < 5 ? 8 : 0);
    for (int i = 0; i < 3; i++)
        sit_once("uli", i, 6);
    store_close(st);
    protocols_free(&ps);
    snprintf(filled, sizeof filled, "%s.%d", FILLED, (int)getpid());
    snprintf(command, sizeof command, "cp %s %s", booth_db, filled);
    ck_assert_int_eq(system(command), 0);
    booth_close();
}

static void remove_filled(void)
{
    unlink(filled);
}

static void open_booth(void)
{
    char command[400];
    booth_open();
    snprintf(command, sizeof command, "rm -f %s* && cp %s %s", booth_db, filled, booth_db);
    ck_assert_int_eq(system(command), 0);
}

static void start(int rows, int cols, const char *term, const char *lc_all, const char *const *env)
{
    const char *argv[] = { TEST_DRIVEN_PROGRAM, "--db", booth_db, NULL };
    ck_assert(kit_start(&k, &(struct kit_options){ .argv = argv, .rows = rows, .cols = cols, .term = term, .lc_all = lc_all, .env = env }));
}

static void see(const char *words)
{
    ck_assert_msg(kit_wait(&k, words, KIT_WAIT_MS), "'%s' did not come:\n%s", words, kit_screen(&k));
    kit_sync(&k);
}

static void press(const char *keys, const char *then)
{
    kit_type(&k, keys);
    kit_sync(&k);
    see(then);
}

static void keep(const char *page)
{
    char name[64];
    snprintf(name, sizeof name, KEPT_PROGRESS "%s", page);
    kept_write(name, kit_screen(&k));
}

static void leave(int times)
{
    for (int i = 0; i < times; i++) {
        kit_type(&k, "q");
        kit_sync(&k);
    }
    int status = kit_stop(&k, KIT_WAIT_MS);
    ck_assert_msg(status == 0, "ended with status %d", status);
}

static void must_hold(const char *words)
{
    ck_assert_msg(strstr(kit_screen(&k), words) != NULL, "'%s' is not on\n%s", words, kit_screen(&k));
}

/* ---- tests ---- */

static const struct { const char *page, *holds, *also; } LEAVES[] = {
    { "verdict", "a preceptor decides", "Tia Marr, trainee" },
    { "difference", "systolic: tia less the second listener", "bias" },
    { "difference-diastolic", "diastolic: tia less the second listener", "limit" },
    { "digits", "systolic: last digits of tia", "expected, 20 %" },
    { "release", "release of the cuff: tia", "at most" },
    { "learning", "learning curve: tia", "reached at" },
    { "slips", "What was refused", "" },
    { "figures", "All figures of the pairs", "" },
    { "changes", "Changed since 2031-02-02", "" },
};

static void through_all_leaves(bool is_kept)
{
    for (size_t i = 0; i < ARRAY_LEN(LEAVES); i++) {
        char which[16];
        snprintf(which, sizeof which, "%zu of 9", i + 1);
        see(which);
        must_hold(LEAVES[i].holds);
        must_hold(LEAVES[i].also);
        must_hold("it certifies nobody");
        must_hold("q back");
        if (is_kept)
            keep(LEAVES[i].page);
        kit_type(&k, "n");
        kit_sync(&k);
    }
}

/* From the home page, whatever the order is. */
static void open_person(const char *person)
{
    char row[40];
    snprintf(row, sizeof row, "> %s", person);
    press("t", "order: ready");
    kit_type(&k, "kkkk");
    kit_sync(&k);
    for (int i = 0; i < 5 && !kit_has(&k, row); i++) {
        kit_type(&k, "j");
        kit_sync(&k);
    }
    see(row);
    press("\r", "1 of 9");
}

START_TEST(the_group_leads_to_a_person_and_through_all_leaves)
{
    start(24, 80, NULL, NULL, NULL);
    see("t       progress");
    press("t", "order: ready");
    keep("group");
    press("o", "order: person");
    press("oooooo", "order: ready");
    kit_type(&k, "q");
    open_person("tia");
    through_all_leaves(true);
    press("p", "8 of 9");
    press("\t", "9 of 9");
    press("\t", "1 of 9");
    kit_press(&k, KIT_RIGHT);
    see("2 of 9");
    kit_press(&k, KIT_RIGHT);
    see("3 of 9");
    kit_press(&k, KIT_LEFT);
    see("2 of 9");
    press("p", "1 of 9");
    kit_press(&k, KIT_LEFT);
    kit_sync(&k);
    must_hold("1 of 9");
    press("jjjjjjjjjjjjjjjjjjjjjjjj", "(more above)");
    leave(3);
}
END_TEST

START_TEST(the_smallest_screen_has_every_leaf_whole)
{
    start(20, 60, NULL, NULL, NULL);
    see("t       progress");
    press("t", "order: ready");
    must_hold("bias, mmHg");
    keep("group-60x20");
    kit_type(&k, "q");
    kit_sync(&k);
    open_person("tia");
    through_all_leaves(false);
    for (int i = 0; i < 7; i++)
        kit_type(&k, "p");
    see("2 of 9");
    must_hold("mean of both, mmHg");
    ck_assert(!kit_has(&k, "(more below)"));
    keep("difference-60x20");
    leave(3);
}
END_TEST

START_TEST(a_terminal_without_letters_beyond_ascii_gets_the_same_in_ascii)
{
    start(24, 80, "vt100", "C", NULL);
    see("t       progress");
    open_person("tia");
    for (size_t i = 0; i < ARRAY_LEN(LEAVES); i++) {
        const char *screen = kit_screen(&k);
        for (const char *c = screen; *c; c++)
            ck_assert_msg((unsigned char)*c < 0x80, "a byte that is not ASCII on\n%s", screen);
        must_hold(LEAVES[i].also);
        if (i == 1 || i == 3)
            keep(i == 1 ? "difference-ascii" : "digits-ascii");
        kit_type(&k, "n");
        kit_sync(&k);
    }
    leave(3);
}
END_TEST

START_TEST(without_colour_every_leaf_is_the_same_text)
{
    static const char *const NO_COLOUR[] = { "NO_COLOR=1", NULL };
    static char coloured[ARRAY_LEN(LEAVES)][KEPT_CAP];
    for (int is_plain = 0; is_plain < 2; is_plain++) {
        start(24, 80, NULL, NULL, is_plain ? NO_COLOUR : NULL);
        see("t       progress");
        open_person("tia");
        for (size_t i = 0; i < ARRAY_LEN(LEAVES); i++) {
            if (!is_plain)
                text_copy(coloured[i], KEPT_CAP, kit_screen(&k));
            else
                ck_assert_str_eq(kit_screen(&k), coloured[i]);
            kit_type(&k, "n");
            kit_sync(&k);
        }
        leave(3);
    }
}
END_TEST

START_TEST(another_size_of_the_window_draws_the_graph_anew)
{
    start(24, 80, NULL, NULL, NULL);
    see("t       progress");
    open_person("tia");
    press("n", "2 of 9");
    kit_resize(&k, 50, 200);
    kit_sync(&k);
    see("mean of both, mmHg");
    char row[1024];
    int at = 0;
    ck_assert(kit_find(&k, "mean of both, mmHg", &at));
    ck_assert_int_gt(at, 30);
    ck_assert(kit_find(&k, "bias", &at));
    kit_row(&k, at, row, sizeof row);
    ck_assert_uint_gt(strlen(row), 100);
    kit_resize(&k, 20, 60);
    kit_sync(&k);
    see("mean of both, mmHg");
    ck_assert(!kit_has(&k, "(more below)"));
    leave(3);
}
END_TEST

static bool is_pdf(const char *path)
{
    char head[5] = "";
    FILE *f = fopen(path, "rb");
    if (f == NULL)
        return false;
    size_t n = fread(head, 1, 4, f);
    fclose(f);
    return n == 4 && strcmp(head, "%PDF") == 0;
}

START_TEST(a_graph_is_written_and_never_over_another_file)
{
    char path[128], typed[160];
    snprintf(path, sizeof path, "%s/tia.pdf", booth_folder);
    snprintf(typed, sizeof typed, "%s\r", path);
    start(24, 80, NULL, NULL, NULL);
    see("t       progress");
    open_person("tia");
    press("n", "2 of 9");
    press("w", "tia-difference.pdf");
    keep("write");
    press("\x15" "graph.txt\r", "graph.txt"); /* refused: what stands there stays, to be typed over */
    must_hold("not");
    press(typed, "written: ");
    ck_assert(is_pdf(path));
    press("w", "tia-difference.pdf");
    press(typed, "tia.pdf");
    ck_assert(!kit_has(&k, "written: "));
    press(ESC, "2 of 9");
    leave(3);
}
END_TEST

START_TEST(a_key_tells_what_the_words_of_a_page_mean)
{
    start(24, 80, NULL, NULL, NULL);
    see("t       progress");
    press("t", "order: ready");
    press("?", "What the words here mean");
    must_hold("yardstick: ");
    keep("words");
    press("x", "order: ready");
    leave(2);
}
END_TEST

START_TEST(a_leading_tilde_is_the_home_folder)
{
    char path[160], home[160];
    const char *const env[] = { home, NULL };
    snprintf(path, sizeof path, "%s/home.pdf", booth_folder);
    snprintf(home, sizeof home, "HOME=%s", booth_folder);
    start(24, 80, NULL, NULL, env);
    see("t       progress");
    open_person("tia");
    press("n", "2 of 9");
    press("w", "enter write");
    press("~/home.pdf\r", "written: ");
    ck_assert(is_pdf(path));
    leave(3);
}
END_TEST

START_TEST(who_has_no_pair_is_told_so_in_words)
{
    start(24, 80, NULL, NULL, NULL);
    see("t       progress");
    open_person("noa");
    must_hold("more pairs");
    press("n", "2 of 9");
    must_hold("no pair with a second listener yet");
    keep("no-pair");
    leave(3);
}
END_TEST

/* A site's own, easier one, and one that cannot be read. */
static void make_site(char protocols[128])
{
    char command[800];
    snprintf(protocols, 128, "%s/site/protocols", booth_folder);
    snprintf(command, sizeof command,
             "mkdir -p %s/site/yardsticks && cp -r " TEST_SOURCE_DIR "/assets/protocols %s/site/ && cd %s/site/yardsticks && "
             "printf '[yardstick]\\nid = faulty\\n' >faulty.yardstick && "
             "sed -e 's/^id = trainee/id = ours/' -e 's/^at-least = 20/at-least = 2/' "
             "-e '/^.criterion subjects/,/^status/s/^status = published/status = judgement/' " TEST_SOURCE_DIR
             "/assets/yardsticks/trainee.yardstick >ours.yardstick",
             booth_folder, booth_folder, booth_folder);
    ck_assert_int_eq(system(command), 0);
}

START_TEST(where_there_are_several_yardsticks_a_key_turns_to_the_next)
{
    char protocols[128];
    make_site(protocols);
    const char *argv[] = { TEST_DRIVEN_PROGRAM, "--db", booth_db, "--protocol-dir", protocols, NULL };
    ck_assert(kit_start(&k, &(struct kit_options){ .argv = argv, .rows = 24, .cols = 80 }));
    see("t       progress");
    press("t", "By the yardstick trainee");
    must_hold("left out: faulty.yardstick");
    must_hold("y other yardstick");
    press("j", "> ana");
    press("y", "By the yardstick ours");
    must_hold("> ana"); /* the cursor stays */
    ck_assert(!kit_has(&k, "left out"));
    press("\r", "Yardstick ours: ");
    press("q", "By the yardstick ours");
    press("y", "By the yardstick trainee");
    leave(2);
}
END_TEST

/* All rows that can be seen while a key is pressed until nothing moves. */
static void gather(enum kit_key key, char *seen, size_t cap)
{
    char before[KEPT_CAP];
    struct text t;
    text_init(&t, seen, cap);
    do {
        text_copy(before, sizeof before, kit_screen(&k));
        text_add(&t, before);
        kit_press(&k, key);
        kit_sync(&k);
    } while (strcmp(before, kit_screen(&k)) != 0);
}

/* The mark of the cursor apart, and what a page says of its own ends. */
static void must_have_every_row(const char *seen, char *of)
{
    for (char *row = strtok(of, "\n"); row; row = strtok(NULL, "\n"))
        if (strlen(row) > 2 && !strstr(row, "(more ") && !strstr(row, " lines more: j)") && !strstr(row, " lines before: k)"))
            ck_assert_msg(strstr(seen, row + 2) != NULL, "'%s' was never seen", row);
}

START_TEST(page_keys_go_through_the_whole_of_a_long_leaf)
{
    static char down[400 * 1024], up[400 * 1024], by_row[400 * 1024], copy[400 * 1024];
    start(24, 80, NULL, NULL, NULL);
    see("t       progress");
    open_person("tia");
    press("nnnnnnn", "8 of 9");
    gather(KIT_PAGE_DOWN, down, sizeof down);
    ck_assert(!kit_has(&k, "(more below)"));
    ck_assert(!kit_has(&k, "lines more: j"));
    gather(KIT_PAGE_UP, up, sizeof up);
    ck_assert(!kit_has(&k, "(more above)"));
    ck_assert(!kit_has(&k, "lines before: k"));
    gather(KIT_DOWN, by_row, sizeof by_row);
    ck_assert_ptr_nonnull(strstr(down, " lines more: j)")); /* it is longer than a page holds */
    must_have_every_row(down, strcpy(copy, by_row));
    must_have_every_row(up, by_row);
    leave(3);
}
END_TEST

START_TEST(a_graph_of_a_demo_bears_that_its_data_are_invented)
{
    const char *argv[] = { TEST_DRIVEN_PROGRAM, "demo", NULL };
    char path[128], typed[160], command[400], text[4096] = "";
    snprintf(path, sizeof path, "%s/demo.pdf", booth_folder);
    snprintf(typed, sizeof typed, "\x15%s\r", path);
    ck_assert(kit_start(&k, &(struct kit_options){ .argv = argv, .rows = 24, .cols = 80 }));
    see("t       progress");
    press("t", "order: ready");
    press("\r", "1 of 9");
    press("n", "2 of 9");
    press("w", "enter write");
    press(typed, "written: ");
    snprintf(command, sizeof command, "pdftotext -layout %s -; pdfinfo %s", path, path);
    FILE *f = popen(command, "r");
    ck_assert_ptr_nonnull(f);
    text[fread(text, 1, sizeof text - 1, f)] = '\0';
    ck_assert_int_eq(pclose(f), 0);
    const char *drawn = strstr(text, "DEMO: invented data. ");
    ck_assert_msg(drawn != NULL, "not marked:\n%s", text);
    ck_assert_ptr_nonnull(strstr(drawn + 1, "DEMO: invented data. ")); /* the title of the file too */
    ck_assert_ptr_null(strstr(text, "PIN"));
    leave(3);
}
END_TEST

START_TEST(line_by_line_words_stand_in_place_of_graphs)
{
    const char *argv[] = { TEST_DRIVEN_PROGRAM, "--db", booth_db, "--plain", NULL };
    ck_assert(kit_start(&k, &(struct kit_options){ .argv = argv, .rows = 100, .cols = 200 }));
    see("[q] quit");
    press("t\r", "order: ready");
    press("\r", "1 of 9");
    press("n\r", "2 of 9");
    see("difference, mmHg: from");
    see("line: bias");
    kit_type(&k, "q\r");
    kit_type(&k, "q\r");
    kit_type(&k, "q\r");
    ck_assert_int_eq(kit_stop(&k, KIT_WAIT_MS), 0);
}
END_TEST

int main(void)
{
    Suite *s = suite_create("progress");
    TCase *t = tcase_create("progress");
    tcase_set_timeout(t, 180);
    tcase_add_unchecked_fixture(t, fill_store, remove_filled);
    tcase_add_checked_fixture(t, open_booth, booth_close);
    tcase_add_test(t, the_group_leads_to_a_person_and_through_all_leaves);
    tcase_add_test(t, where_there_are_several_yardsticks_a_key_turns_to_the_next);
    tcase_add_test(t, the_smallest_screen_has_every_leaf_whole);
    tcase_add_test(t, a_terminal_without_letters_beyond_ascii_gets_the_same_in_ascii);
    tcase_add_test(t, without_colour_every_leaf_is_the_same_text);
    tcase_add_test(t, another_size_of_the_window_draws_the_graph_anew);
    tcase_add_test(t, a_graph_is_written_and_never_over_another_file);
    tcase_add_test(t, a_key_tells_what_the_words_of_a_page_mean);
    tcase_add_test(t, a_leading_tilde_is_the_home_folder);
    tcase_add_test(t, who_has_no_pair_is_told_so_in_words);
    tcase_add_test(t, page_keys_go_through_the_whole_of_a_long_leaf);
    tcase_add_test(t, a_graph_of_a_demo_bears_that_its_data_are_invented);
    tcase_add_test(t, line_by_line_words_stand_in_place_of_graphs);
    suite_add_tcase(s, t);
    SRunner *sr = srunner_create(s);
    srunner_run_all(sr, CK_NORMAL);
    const int failed = srunner_ntests_failed(sr);
    srunner_free(sr);
    return failed != 0;
}
