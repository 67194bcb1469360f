/* SPDX-License-Identifier: GPL-3.0-or-later */
/** @file test_store_open.c  Where the store lies, who may read it, and that it knows itself. */
#include "fault/store_hand.h"
#include "stillarm/text.h"
#include "store/internal.h"

START_TEST(default_path_follows_xdg_data_home)
{
    struct err e;
    char path[200];
    setenv("XDG_DATA_HOME", "/data/ana", 1);
    OK(store_default_path(path, sizeof path, &e));
    ck_assert_str_eq(path, "/data/ana/stillarm/store.db");
}
END_TEST

START_TEST(default_path_falls_back_to_home)
{
    struct err e;
    char path[200];
    setenv("HOME", "/home/ana", 1);
    unsetenv("XDG_DATA_HOME");
    OK(store_default_path(path, sizeof path, &e));
    ck_assert_str_eq(path, "/home/ana/.local/share/stillarm/store.db");
    setenv("XDG_DATA_HOME", "relative", 1);
    OK(store_default_path(path, sizeof path, &e));
    ck_assert_str_eq(path, "/home/ana/.local/share/stillarm/store.db");
}
END_TEST

START_TEST(default_path_says_when_there_is_none)
{
    struct err e;
    char path[200], little[10];
    unsetenv("XDG_DATA_HOME");
    unsetenv("HOME");
    ck_assert_int_eq(store_default_path(path, sizeof path, &e), ST_NOT_FOUND);
    ck_assert_ptr_nonnull(strstr(e.text, "--db"));
    setenv("HOME", "/home/ana", 1);
    ck_assert_int_eq(store_default_path(little, sizeof little, &e), ST_RANGE);
}
END_TEST

START_TEST(open_creates_folder_and_files_for_their_owner_alone)
{
    struct err e;
    struct store *st;
    char path[400], beside[420];
    umask(0);
    snprintf(path, sizeof path, "%s/a/b/store.db", hand_folder);
    OK(store_open(path, STORE_WRITE, &st, &e));
    ck_assert_uint_eq(hand_mode(path), 0600);
    const char *const suffixes[] = {"-wal", "-shm"};
    for (int i = 0; i < 2; i++) {
        snprintf(beside, sizeof beside, "%s%s", path, suffixes[i]);
        ck_assert_uint_eq(hand_mode(beside), 0600);
    }
    snprintf(path, sizeof path, "%s/a", hand_folder);
    ck_assert_uint_eq(hand_mode(path), 0700);
    snprintf(path, sizeof path, "%s/a/b", hand_folder);
    ck_assert_uint_eq(hand_mode(path), 0700);
    store_close(st);
}
END_TEST

START_TEST(open_closes_a_file_that_others_could_read)
{
    store_close(hand_open(STORE_WRITE));
    ck_assert_int_eq(chmod(hand_path, 0644), 0);
    store_close(hand_open(STORE_WRITE));
    ck_assert_uint_eq(hand_mode(hand_path), 0600);
}
END_TEST

START_TEST(open_marks_the_file_as_ours)
{
    store_close(hand_open(STORE_WRITE));
    ck_assert_int_eq(hand_number("PRAGMA application_id"), 0x73746961);
    ck_assert_int_eq(hand_number("PRAGMA user_version"), 3);
}
END_TEST

START_TEST(open_makes_every_table_strict)
{
    store_close(hand_open(STORE_WRITE));
    ck_assert_int_eq(hand_number("SELECT count(*) FROM pragma_table_list WHERE schema = 'main' AND type = 'table'"
                                 " AND name NOT LIKE 'sqlite%' AND strict = 0"),
                     0);
    ck_assert_int_gt(hand_number("SELECT count(*) FROM pragma_table_list WHERE strict = 1"), 8);
}
END_TEST

START_TEST(open_again_keeps_what_is_there)
{
    struct err e;
    struct store *st = hand_open(STORE_WRITE);
    char value[20];
    OK(store_setting_set(st, "place", "booth 2", &e));
    store_close(st);
    st = hand_open(STORE_WRITE);
    OK(store_setting_get(st, "place", value, sizeof value, &e));
    ck_assert_str_eq(value, "booth 2");
    store_close(st);
}
END_TEST

/* 2 is FULL, 0 OFF. */
static const struct { enum store_mode mode; int synchronous; } WAITS[] = {{STORE_WRITE, 2}, {STORE_THROW_AWAY, 0}};

START_TEST(open_waits_for_the_disk_but_for_what_is_thrown_away)
{
    struct store *st = hand_open(WAITS[_i].mode);
    sqlite3_stmt *s = NULL;
    ck_assert_int_eq(sqlite3_prepare_v2(st->db, "PRAGMA synchronous", -1, &s, NULL), SQLITE_OK);
    ck_assert_int_eq(sqlite3_step(s), SQLITE_ROW);
    ck_assert_int_eq(sqlite3_column_int(s, 0), WAITS[_i].synchronous);
    sqlite3_finalize(s);
    store_close(st);
}
END_TEST

/* It waits for no disk, which is all that differs: a store in every other way, for others, too. */
START_TEST(open_to_throw_away_makes_a_store_that_others_read)
{
    struct err e;
    char value[20];
    struct store *st = hand_open(STORE_THROW_AWAY);
    OK(store_setting_set(st, "place", "booth 3", &e));
    struct store *other = hand_open(STORE_READ);
    OK(store_setting_get(other, "place", value, sizeof value, &e));
    ck_assert_str_eq(value, "booth 3");
    OK(store_check(other, &e));
    store_close(other);
    store_close(st);
}
END_TEST

START_TEST(open_takes_an_empty_file_for_a_new_store)
{
    FILE *f = fopen(hand_path, "w");
    ck_assert_ptr_nonnull(f);
    fclose(f);
    store_close(hand_open(STORE_WRITE));
    ck_assert_int_eq(hand_number("PRAGMA user_version"), 3);
}
END_TEST

START_TEST(open_takes_odd_names_for_files)
{
    static const char *const NAMES[] = {":memory:", "file:x.db?mode=memory", "a b%20#c.db", "\xc3\xa9t\xc3\xa9.db"};
    struct err e;
    struct store *st;
    ck_assert_int_eq(chdir(hand_folder), 0);
    OK(store_open(NAMES[_i], STORE_WRITE, &st, &e));
    store_close(st);
    ck_assert_uint_eq(hand_mode(NAMES[_i]), 0600);
    OK(store_open(NAMES[_i], STORE_READ, &st, &e));
    store_close(st);
}
END_TEST

START_TEST(open_refuses_a_path_that_is_empty_or_endless)
{
    struct err e;
    struct store *st;
    static char path[5000];
    ck_assert_int_eq(store_open("", STORE_WRITE, &st, &e), ST_USAGE);
    ck_assert_ptr_null(st);
    memset(path, 'a', sizeof path - 1);
    ck_assert_int_eq(store_open(path, STORE_WRITE, &st, &e), ST_RANGE);
    path[3000] = '\0'; /* fits us and not the file system */
    ck_assert_int_eq(store_open(path, STORE_WRITE, &st, &e), ST_IO);
    ck_assert_ptr_null(st);
}
END_TEST

START_TEST(open_to_read_creates_nothing)
{
    struct err e;
    struct store *st;
    ck_assert_int_eq(store_open(hand_path, STORE_READ, &st, &e), ST_NOT_FOUND);
    ck_assert_ptr_nonnull(strstr(e.text, hand_path));
    ck_assert_int_ne(access(hand_path, F_OK), 0);
}
END_TEST

START_TEST(open_to_read_refuses_every_write)
{
    struct err e;
    char code[ITEM_CAP];
    int n;
    int64_t id;
    struct sitting s = hand_state();
    struct event ev = hand_event("0.000 protocol us-adult");
    struct person p = {.id = "ana", .name = "Ana"};
    store_close(hand_open(STORE_WRITE));
    struct store *st = hand_open(STORE_READ);
    ck_assert_int_eq(store_setting_set(st, "place", "x", &e), ST_READ_ONLY);
    ck_assert_int_eq(store_person_add(st, &p, &e), ST_READ_ONLY);
    ck_assert_int_eq(store_next_code(st, code, &e), ST_READ_ONLY);
    ck_assert_int_eq(store_subject_erase(st, "s-001", &n, &e), ST_READ_ONLY);
    ck_assert_int_eq(store_sitting_begin(st, "x", &ev, &s, &HAND_MOMENT, &id, &e), ST_READ_ONLY);
    store_close(st);
}
END_TEST

START_TEST(open_by_many_at_once_makes_one_store)
{
    enum { MANY = 8 };
    pid_t children[MANY];
    for (int i = 0; i < MANY; i++) {
        children[i] = fork();
        if (children[i] == 0) {
            struct err e;
            struct store *st;
            char name[ITEM_CAP];
            snprintf(name, sizeof name, "child-%d", i);
            if (store_open(hand_path, STORE_WRITE, &st, &e) != ST_OK) {
                fprintf(stderr, "%s\n", e.text);
                _exit(1);
            }
            _exit(store_setting_set(st, name, "here", &e) == ST_OK ? 0 : 2);
        }
    }
    for (int i = 0; i < MANY; i++)
        ck_assert_int_eq(hand_wait(children[i]), 0);
    ck_assert_int_eq(hand_number("SELECT count(*) FROM settings"), MANY);
}
END_TEST

START_TEST(path_in_a_sentence_cannot_disturb_a_terminal)
{
    struct store *st;
    static const char *const NAMES[] = {"/nowhere/\x1b[2J", "/nowhere/\xc2\x9b[2J", "/nowhere/\xff\xfe", "/nowhere/a\nb"};
    struct err e;
    ck_assert_int_eq(store_open(NAMES[_i], STORE_READ, &st, &e), ST_NOT_FOUND);
    ck_assert_ptr_nonnull(strstr(e.text, "/nowhere/"));
    ck_assert_int_gt(utf8_length(e.text), 0);
    for (const char *c = e.text; *c; c++)
        ck_assert((unsigned char)*c >= 0x20 && (unsigned char)*c < 0x7F);
}
END_TEST

START_TEST(path_in_a_sentence_is_shown_by_its_end_when_long)
{
    struct err e;
    struct store *st;
    char path[700] = "/nowhere/";
    for (int i = 0; i < 100; i++)
        strcat(path, "\xc3\xa9t\xc3\xa9/");
    strcat(path, "store.db");
    ck_assert_int_eq(store_open(path, STORE_READ, &st, &e), ST_NOT_FOUND);
    ck_assert_ptr_nonnull(strstr(e.text, "..."));
    ck_assert_ptr_nonnull(strstr(e.text, "t\xc3\xa9/store.db"));
    ck_assert_int_gt(utf8_length(e.text), 0);
}
END_TEST

START_TEST(close_of_nothing_is_fine)
{
    store_close(NULL);
}
END_TEST

int main(void)
{
    Suite *suite = suite_create("store_open");
    TCase *c = hand_case(suite, "open");
    tcase_add_test(c, default_path_follows_xdg_data_home);
    tcase_add_test(c, default_path_falls_back_to_home);
    tcase_add_test(c, default_path_says_when_there_is_none);
    tcase_add_test(c, open_creates_folder_and_files_for_their_owner_alone);
    tcase_add_test(c, open_closes_a_file_that_others_could_read);
    tcase_add_test(c, open_marks_the_file_as_ours);
    tcase_add_test(c, open_makes_every_table_strict);
    tcase_add_test(c, open_again_keeps_what_is_there);
    tcase_add_loop_test(c, open_waits_for_the_disk_but_for_what_is_thrown_away, 0, (int)ARRAY_LEN(WAITS));
    tcase_add_test(c, open_to_throw_away_makes_a_store_that_others_read);
    tcase_add_test(c, open_takes_an_empty_file_for_a_new_store);
    tcase_add_loop_test(c, open_takes_odd_names_for_files, 0, 4);
    tcase_add_test(c, open_refuses_a_path_that_is_empty_or_endless);
    tcase_add_test(c, open_to_read_creates_nothing);
    tcase_add_test(c, open_to_read_refuses_every_write);
    tcase_add_test(c, open_by_many_at_once_makes_one_store);
    tcase_add_loop_test(c, path_in_a_sentence_cannot_disturb_a_terminal, 0, 4);
    tcase_add_test(c, path_in_a_sentence_is_shown_by_its_end_when_long);
    tcase_add_test(c, close_of_nothing_is_fine);
    return hand_run(suite);
}
