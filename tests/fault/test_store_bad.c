/* SPDX-License-Identifier: GPL-3.0-or-later */
/** @file test_store_bad.c  A store that is missing, barred, foreign, newer, cut, locked, on a full or read-only disk:
 *  each gets a sentence with the path and what to do, and nothing is lost. */
#include <fcntl.h>
#include <signal.h>
#include <sys/mount.h>
#include <sys/resource.h>
#include <time.h>

#include "fault/store_hand.h"

static struct err e;

#define NOBODY 65534

static void expect(enum status got, enum status want)
{
    ck_assert_msg(got == want, "status %d and not %d: %s", (int)got, (int)want, e.text);
}

/** The sentence must name the file, and end as sentences do. */
static void expect_said(enum status got, enum status want)
{
    expect(got, want);
    ck_assert_msg(strstr(e.text, hand_path) != NULL, "no path in: %s", e.text);
    size_t len = strlen(e.text);
    ck_assert_msg(len > 40 && e.text[len - 1] == '.', "no sentence: %s", e.text);
    static const char *const JARGON[] = {"SQLITE", "sqlite", "pragma", "WAL", "errno", "constraint"};
    for (size_t i = 0; i < ARRAY_LEN(JARGON); i++)
        ck_assert_msg(strstr(e.text, JARGON[i]) == NULL, "jargon in: %s", e.text);
}

static void expect_open(enum store_mode mode, enum status want)
{
    struct store *st = (struct store *)&st;
    expect_said(store_open(hand_path, mode, &st, &e), want);
    ck_assert_ptr_null(st);
}

/** A closed store with one open sitting of n events. */
static void fill(int32_t n)
{
    struct store *st = hand_open(STORE_WRITE);
    struct sitting s = hand_state();
    int64_t id = hand_begin(st, &s);
    for (int32_t seq = 2; seq <= n; seq++)
        OK(hand_append(st, id, seq, "1.000 note \"x\"", &s, &e));
    store_close(st);
}

static void write_file(const char *bytes, size_t len)
{
    FILE *f = fopen(hand_path, "wb");
    ck_assert_ptr_nonnull(f);
    ck_assert_uint_eq(fwrite(bytes, 1, len, f), len);
    ck_assert_int_eq(fclose(f), 0);
}

/** Run fn as a user without rights over files; a test run as such a user already is one. */
static void as_nobody(void (*fn)(void))
{
    pid_t pid = fork();
    ck_assert_int_ge(pid, 0);
    if (pid == 0) {
        if (geteuid() == 0 && (setgid(NOBODY) != 0 || setuid(NOBODY) != 0))
            _exit(3);
        fn();
        _exit(0);
    }
    ck_assert_int_eq(hand_wait(pid), 0);
}

/* In the child: a failed assertion there would be reported nowhere, so it is told by the exit status. */
static void child_expects(enum status got, enum status want)
{
    if (got != want || !strstr(e.text, hand_path)) {
        fprintf(stderr, "status %d and not %d: %s\n", (int)got, (int)want, e.text);
        _exit(1);
    }
}

/* ---- not there, not ours ---- */

START_TEST(missing_store_is_said_when_reading)
{
    expect_open(STORE_READ, ST_NOT_FOUND);
    snprintf(hand_path, sizeof hand_path, "%s/no/folder/store.db", hand_folder);
    expect_open(STORE_READ, ST_NOT_FOUND);
}
END_TEST

START_TEST(folder_in_place_of_the_file_is_said)
{
    snprintf(hand_path, sizeof hand_path, "%s", hand_folder);
    expect_open(STORE_READ, ST_NOT_A_STORE);
    expect_open(STORE_WRITE, ST_NOT_A_STORE);
}
END_TEST

START_TEST(file_in_place_of_the_folder_is_said)
{
    write_file("x", 1);
    strcat(hand_path, "/store.db");
    expect_open(STORE_WRITE, ST_IO);
}
END_TEST

START_TEST(pipe_and_device_are_said_and_not_waited_for)
{
    ck_assert_int_eq(mkfifo(hand_path, 0600), 0);
    expect_open(STORE_READ, ST_NOT_A_STORE);
    expect_open(STORE_WRITE, ST_NOT_A_STORE);
    snprintf(hand_path, sizeof hand_path, "/dev/full");
    expect_open(STORE_WRITE, ST_NOT_A_STORE);
}
END_TEST

START_TEST(file_that_is_no_database_is_left_as_it_is)
{
    char text[3000];
    memset(text, 'a', sizeof text);
    size_t len = (size_t[]){1, 15, 99, 100, 3000}[_i];
    write_file(text, len);
    expect_open(STORE_WRITE, ST_NOT_A_STORE);
    expect_open(STORE_READ, ST_NOT_A_STORE);
    struct stat s;
    ck_assert_int_eq(stat(hand_path, &s), 0);
    ck_assert_int_eq(s.st_size, (off_t)len);
}
END_TEST

START_TEST(database_of_another_program_is_left_as_it_is)
{
    static const char *const FOREIGN[] = {
        "CREATE TABLE theirs (a)",
        "CREATE TABLE theirs (a); PRAGMA application_id = 12345; PRAGMA user_version = 1",
        "CREATE TABLE theirs (a); PRAGMA user_version = 1",
    };
    write_file("", 0);
    ck_assert_int_eq(hand_sql(FOREIGN[_i]), SQLITE_OK);
    expect_open(STORE_WRITE, ST_NOT_A_STORE);
    expect_open(STORE_READ, ST_NOT_A_STORE);
    ck_assert_int_eq(hand_number("SELECT count(*) FROM sqlite_schema"), 1);
}
END_TEST

START_TEST(newer_store_is_left_as_it_is)
{
    fill(3);
    ck_assert_int_eq(hand_sql("PRAGMA user_version = 4"), SQLITE_OK);
    expect_open(STORE_WRITE, ST_NEWER);
    expect_open(STORE_READ, ST_NEWER);
    ck_assert_int_eq(hand_number("PRAGMA user_version"), 4);
}
END_TEST

/* ---- damaged ---- */

START_TEST(cut_file_is_said_to_be_damaged)
{
    struct stat s;
    fill(200);
    ck_assert_int_eq(stat(hand_path, &s), 0);
    off_t keep = (off_t[]){100, 512, 4096, s.st_size / 2 / 4096 * 4096, s.st_size - 1, s.st_size - 4096}[_i];
    ck_assert_int_eq(truncate(hand_path, keep), 0);
    /* Where too little is left to see that it was one of ours, either answer is right: it is refused and kept. */
    for (int mode = STORE_READ; mode <= STORE_WRITE; mode++) {
        struct store *st = NULL;
        enum status got = store_open(hand_path, (enum store_mode)mode, &st, &e);
        expect_said(got, got == ST_NOT_A_STORE ? ST_NOT_A_STORE : ST_CORRUPT);
        ck_assert_ptr_null(st);
    }
    ck_assert_int_eq(stat(hand_path, &s), 0);
    ck_assert_int_eq(s.st_size, keep);
}
END_TEST

START_TEST(emptied_file_beside_its_log_is_kept_for_rescue)
{
    char wal[360];
    struct store *st = hand_open(STORE_WRITE);
    struct sitting s = hand_state();
    hand_begin(st, &s);
    snprintf(wal, sizeof wal, "%s-wal", hand_path);
    ck_assert_int_eq(truncate(hand_path, 0), 0);
    expect_open(STORE_WRITE, ST_CORRUPT);
    ck_assert_int_eq(access(wal, F_OK), 0);
    store_close(st);
}
END_TEST

START_TEST(scribbled_page_is_found_by_the_check)
{
    fill(200);
    int fd = open(hand_path, O_RDWR);
    char junk[4096];
    struct stat s;
    memset(junk, 0x5a, sizeof junk);
    ck_assert_int_eq(fstat(fd, &s), 0);
    ck_assert_int_eq(pwrite(fd, junk, sizeof junk, s.st_size - 4096), (ssize_t)sizeof junk);
    close(fd);
    struct store *st = hand_open(STORE_READ);
    expect_said(store_check(st, &e), ST_CORRUPT);
    store_close(st);
}
END_TEST

START_TEST(torn_log_loses_only_what_was_torn)
{
    char wal[360], copy[360];
    snprintf(wal, sizeof wal, "%s-wal", hand_path);
    snprintf(copy, sizeof copy, "%s/kept-wal", hand_folder);
    fill(5);
    struct store *st = hand_open(STORE_WRITE);
    struct sitting s = hand_state();
    OK(hand_append(st, 1, 6, "1.000 note \"x\"", &s, &e));
    OK(hand_append(st, 1, 7, "1.000 note \"x\"", &s, &e));
    /* As after a power cut: the log as it is now, without its last bytes, and no window open. */
    ck_assert_int_eq(link(wal, copy), 0);
    struct stat size;
    ck_assert_int_eq(stat(copy, &size), 0);
    pid_t pid = fork();
    if (pid == 0) {
        char command[1400];
        snprintf(command, sizeof command, "cp '%s' '%s/cut.db' && cp '%s' '%s/cut.db-wal'", hand_path, hand_folder, wal,
                 hand_folder);
        _exit(system(command) == 0 ? 0 : 1);
    }
    ck_assert_int_eq(hand_wait(pid), 0);
    store_close(st);
    snprintf(hand_path, sizeof hand_path, "%s/cut.db", hand_folder);
    snprintf(wal, sizeof wal, "%s-wal", hand_path);
    ck_assert_int_eq(truncate(wal, size.st_size - 10), 0);
    struct sitting_head h;
    st = hand_open(STORE_WRITE);
    OK(store_sitting_get(st, 1, &h, &e));
    ck_assert_int_eq(h.event_count, 6);
    OK(store_check(st, &e));
    store_close(st);
}
END_TEST

/* ---- barred ---- */

static void open_unreadable(void)
{
    struct store *st;
    child_expects(store_open(hand_path, STORE_READ, &st, &e), ST_PERMISSION);
    child_expects(store_open(hand_path, STORE_WRITE, &st, &e), ST_PERMISSION);
}

START_TEST(unreadable_store_is_said)
{
    fill(3);
    ck_assert_int_eq(chmod(hand_folder, 0755), 0);
    ck_assert_int_eq(chmod(hand_path, 0), 0);
    as_nobody(open_unreadable);
}
END_TEST

START_TEST(unreadable_folder_is_said)
{
    fill(3);
    ck_assert_int_eq(chmod(hand_folder, 0), 0);
    as_nobody(open_unreadable);
    ck_assert_int_eq(chmod(hand_folder, 0700), 0);
}
END_TEST

static void open_where_nothing_may_be_made(void)
{
    struct store *st;
    child_expects(store_open(hand_path, STORE_WRITE, &st, &e), ST_PERMISSION);
    strcat(hand_path, "/deeper/store.db");
    child_expects(store_open(hand_path, STORE_WRITE, &st, &e), ST_PERMISSION);
}

START_TEST(folder_where_nothing_may_be_made_is_said)
{
    ck_assert_int_eq(chmod(hand_folder, 0555), 0);
    as_nobody(open_where_nothing_may_be_made);
}
END_TEST

/** Reading works, writing is refused with a sentence: for a child without rights, or on a read-only mount. */
static void use_read_only(void)
{
    struct store *st;
    struct sitting_head h;
    child_expects(store_open(hand_path, STORE_WRITE, &st, &e), ST_READ_ONLY);
    enum status got = store_open(hand_path, STORE_READ, &st, &e);
    if (got != ST_OK) {
        fprintf(stderr, "opening to read: %d %s\n", (int)got, e.text);
        _exit(1);
    }
    got = store_sitting_get(st, 1, &h, &e);
    if (got != ST_OK || h.event_count != 3 || store_check(st, &e) != ST_OK)
        _exit(1);
    child_expects(store_setting_set(st, "place", "x", &e), ST_READ_ONLY);
    store_close(st);
}

START_TEST(read_only_file_can_be_read)
{
    fill(3);
    ck_assert_int_eq(chmod(hand_folder, 0777), 0);
    ck_assert_int_eq(chmod(hand_path, 0444), 0);
    as_nobody(use_read_only);
}
END_TEST

START_TEST(read_only_file_in_a_read_only_folder_can_be_read)
{
    fill(3);
    ck_assert_int_eq(chmod(hand_path, 0444), 0);
    ck_assert_int_eq(chmod(hand_folder, 0555), 0);
    as_nobody(use_read_only);
    ck_assert_int_eq(chmod(hand_folder, 0700), 0);
}
END_TEST

/** A small disk of our own at the folder; false where we may not make one. */
static bool mount_small(void)
{
    return mount("none", hand_folder, "tmpfs", 0, "size=768k") == 0;
}

START_TEST(read_only_medium_can_be_read)
{
    if (!mount_small())
        return; /* the folder's rights were tested above; only who may mount can test the medium */
    fill(3);
    ck_assert_int_eq(mount("none", hand_folder, NULL, MS_REMOUNT | MS_RDONLY, NULL), 0);
    pid_t pid = fork();
    if (pid == 0) {
        use_read_only();
        _exit(0);
    }
    int answer = hand_wait(pid);
    char fresh[360];
    struct store *st;
    snprintf(fresh, sizeof fresh, "%s/fresh.db", hand_folder);
    enum status made = store_open(fresh, STORE_WRITE, &st, &e);
    ck_assert_int_eq(umount(hand_folder), 0);
    ck_assert_int_eq(answer, 0);
    expect(made, ST_READ_ONLY);
}
END_TEST

START_TEST(unmerged_log_on_a_read_only_medium_is_said)
{
    if (!mount_small())
        return;
    pid_t pid = fork();
    if (pid == 0) { /* ends without closing, as in a power cut: the log stays */
        struct sitting s = hand_state();
        hand_begin(hand_open(STORE_WRITE), &s);
        _exit(0);
    }
    int filled = hand_wait(pid);
    char shm[360];
    snprintf(shm, sizeof shm, "%s-shm", hand_path);
    unlink(shm);
    int remounted = mount("none", hand_folder, NULL, MS_REMOUNT | MS_RDONLY, NULL);
    struct store *st = NULL;
    enum status got = store_open(hand_path, STORE_READ, &st, &e);
    store_close(st);
    ck_assert_int_eq(umount(hand_folder), 0);
    ck_assert_int_eq(filled, 0);
    ck_assert_int_eq(remounted, 0);
    expect_said(got, ST_READ_ONLY);
}
END_TEST

/* ---- full ---- */

/** Append until it fails; the failure must be a full disk, and everything acknowledged must be there. */
static void append_until_full(struct store *st, int32_t *seq)
{
    struct sitting s = hand_state();
    static char line[600];
    enum status got = ST_OK;
    snprintf(line, sizeof line, "1.000 note \"%0480d\"", 1);
    while (got == ST_OK && *seq < 5000) {
        got = hand_append(st, 1, *seq + 1, line, &s, &e);
        *seq += got == ST_OK;
    }
    expect_said(got, ST_FULL);
    /* Still full: said again, and nothing is worse. */
    expect_said(hand_append(st, 1, *seq + 1, line, &s, &e), ST_FULL);
}

static void expect_events(int32_t n)
{
    struct sitting_head h;
    struct store *st = hand_open(STORE_READ);
    OK(store_sitting_get(st, 1, &h, &e));
    ck_assert_int_eq(h.event_count, n);
    OK(store_check(st, &e));
    store_close(st);
}

START_TEST(full_disk_loses_nothing_and_goes_on_when_there_is_room)
{
    char ballast[360];
    int32_t seq = 3;
    struct sitting s = hand_state();
    if (!mount_small())
        return; /* the quota below stands for it */
    snprintf(ballast, sizeof ballast, "%s/ballast", hand_folder);
    int fd = open(ballast, O_RDWR | O_CREAT, 0600);
    bool is_made = fd >= 0 && posix_fallocate(fd, 0, 64 << 10) == 0;
    close(fd);
    fill(3);
    struct store *st = hand_open(STORE_WRITE);
    append_until_full(st, &seq);
    expect_events(seq);
    is_made = unlink(ballast) == 0 && is_made;
    OK(hand_append(st, 1, seq + 1, "1.000 note \"room again\"", &s, &e));
    store_close(st);
    expect_events(seq + 1);
    int unmounted = umount(hand_folder);
    ck_assert(is_made);
    ck_assert_int_eq(unmounted, 0);
}
END_TEST

START_TEST(full_quota_loses_nothing)
{
    struct rlimit limit = {.rlim_cur = 200 << 10, .rlim_max = RLIM_INFINITY}, was;
    int32_t seq = 3;
    fill(3);
    struct store *st = hand_open(STORE_WRITE);
    signal(SIGXFSZ, SIG_IGN);
    ck_assert_int_eq(getrlimit(RLIMIT_FSIZE, &was), 0);
    limit.rlim_max = was.rlim_max;
    ck_assert_int_eq(setrlimit(RLIMIT_FSIZE, &limit), 0);
    append_until_full(st, &seq);
    ck_assert_int_eq(setrlimit(RLIMIT_FSIZE, &was), 0);
    store_close(st);
    ck_assert_int_gt(seq, 20);
    expect_events(seq);
}
END_TEST

START_TEST(backup_onto_a_full_disk_leaves_nothing_behind)
{
    struct rlimit limit, was;
    char to[360];
    fill(300);
    snprintf(to, sizeof to, "%s/copies", hand_folder);
    ck_assert_int_eq(mkdir(to, 0700), 0);
    strcat(to, "/copy.db");
    struct store *st = hand_open(STORE_READ);
    signal(SIGXFSZ, SIG_IGN);
    ck_assert_int_eq(getrlimit(RLIMIT_FSIZE, &was), 0);
    limit = (struct rlimit){.rlim_cur = 20 << 10, .rlim_max = was.rlim_max};
    ck_assert_int_eq(setrlimit(RLIMIT_FSIZE, &limit), 0);
    enum status got = store_backup(st, to, &e);
    ck_assert_int_eq(setrlimit(RLIMIT_FSIZE, &was), 0);
    store_close(st);
    expect(got, ST_FULL);
    ck_assert_ptr_nonnull(strstr(e.text, to));
    *strrchr(to, '/') = '\0';
    ck_assert_msg(rmdir(to) == 0, "a piece of the backup was left");
}
END_TEST

/* ---- locked ---- */

static sqlite3 *hold(void)
{
    sqlite3 *db = NULL;
    ck_assert_int_eq(sqlite3_open(hand_path, &db), SQLITE_OK);
    ck_assert_int_eq(sqlite3_exec(db, "BEGIN IMMEDIATE", NULL, NULL, NULL), SQLITE_OK);
    return db;
}

START_TEST(locked_store_is_waited_for_then_said)
{
    struct timespec from, to;
    struct sitting s = hand_state();
    fill(3);
    struct store *st = hand_open(STORE_WRITE);
    sqlite3 *holder = hold();
    clock_gettime(CLOCK_MONOTONIC, &from);
    expect_said(hand_append(st, 1, 4, "1.000 note \"x\"", &s, &e), ST_LOCKED);
    clock_gettime(CLOCK_MONOTONIC, &to);
    ck_assert_int_ge(to.tv_sec - from.tv_sec, 4);
    ck_assert_int_le(to.tv_sec - from.tv_sec, 8);
    struct sitting_head h; /* reading waits for nobody */
    OK(store_sitting_get(st, 1, &h, &e));
    sqlite3_close(holder);
    OK(hand_append(st, 1, 4, "1.000 note \"x\"", &s, &e));
    store_close(st);
}
END_TEST

START_TEST(locked_store_opens_and_backs_up)
{
    char to[360];
    fill(3);
    snprintf(to, sizeof to, "%s/copy.db", hand_folder);
    sqlite3 *holder = hold();
    struct store *st = hand_open(STORE_WRITE);
    OK(store_backup(st, to, &e));
    store_close(st);
    sqlite3_close(holder);
}
END_TEST

int main(void)
{
    Suite *suite = suite_create("store_bad");
    TCase *c = hand_case(suite, "foreign");
    tcase_add_test(c, missing_store_is_said_when_reading);
    tcase_add_test(c, folder_in_place_of_the_file_is_said);
    tcase_add_test(c, file_in_place_of_the_folder_is_said);
    tcase_add_test(c, pipe_and_device_are_said_and_not_waited_for);
    tcase_add_loop_test(c, file_that_is_no_database_is_left_as_it_is, 0, 5);
    tcase_add_loop_test(c, database_of_another_program_is_left_as_it_is, 0, 3);
    tcase_add_test(c, newer_store_is_left_as_it_is);
    c = hand_case(suite, "damaged");
    tcase_add_loop_test(c, cut_file_is_said_to_be_damaged, 0, 6);
    tcase_add_test(c, emptied_file_beside_its_log_is_kept_for_rescue);
    tcase_add_test(c, scribbled_page_is_found_by_the_check);
    tcase_add_test(c, torn_log_loses_only_what_was_torn);
    c = hand_case(suite, "barred");
    tcase_add_test(c, unreadable_store_is_said);
    tcase_add_test(c, unreadable_folder_is_said);
    tcase_add_test(c, folder_where_nothing_may_be_made_is_said);
    tcase_add_test(c, read_only_file_can_be_read);
    tcase_add_test(c, read_only_file_in_a_read_only_folder_can_be_read);
    tcase_add_test(c, read_only_medium_can_be_read);
    tcase_add_test(c, unmerged_log_on_a_read_only_medium_is_said);
    c = hand_case(suite, "full");
    tcase_add_test(c, full_disk_loses_nothing_and_goes_on_when_there_is_room);
    tcase_add_test(c, full_quota_loses_nothing);
    tcase_add_test(c, backup_onto_a_full_disk_leaves_nothing_behind);
    c = hand_case(suite, "locked");
    tcase_add_test(c, locked_store_is_waited_for_then_said);
    tcase_add_test(c, locked_store_opens_and_backs_up);
    return hand_run(suite);
}
