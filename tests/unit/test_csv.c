/* SPDX-License-Identifier: GPL-3.0-or-later */
/** @file test_csv.c  Rows out of whatever may be called a CSV file: cells, and every fault with its line and column. */
#include <check.h>
#include <fcntl.h>
#include <pthread.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/resource.h>
#include <sys/stat.h>
#include <unistd.h>

#include "command/csv.h"

static const char *const WANTED[] = { "b", "a" };
enum { WANTED_COUNT = 2 };

static char path[64];

static void setup(void)
{
    snprintf(path, sizeof path, "/tmp/stillarm-csv-XXXXXX");
    int fd = mkstemp(path);
    ck_assert_int_ge(fd, 0);
    ck_assert_int_eq(close(fd), 0);
}

static void teardown(void)
{
    (void)unlink(path);
}

static void put(const char *bytes, size_t len)
{
    FILE *f = fopen(path, "wb");
    ck_assert_ptr_nonnull(f);
    ck_assert_uint_eq(fwrite(bytes, 1, len, f), len);
    ck_assert_int_eq(fclose(f), 0);
}

static struct csv *open_text(const char *bytes, size_t len)
{
    struct csv *c;
    struct err e = { .code = ST_OK };
    put(bytes, len);
    ck_assert_msg(csv_open(path, WANTED, WANTED_COUNT, &c, &e) == ST_OK, "%s", e.text);
    return c;
}

/* Everything that comes, row by row: `LINE:b@COLUMN|a@COLUMN;`, `bad LINE:COLUMN;`, `failed TEXT;`. */
static void tell_all(struct csv *c, char *out, size_t cap)
{
    struct csv_cell cells[CSV_WANTED_MAX];
    struct err e = { .code = ST_OK };
    size_t len = 0;
    out[0] = '\0';
    for (;;) {
        enum csv_answer answer = csv_next(c, cells, &e);
        const char *after = strstr(e.text, path);
        if (answer == CSV_END)
            return;
        if (answer == CSV_ROW)
            len += (size_t)snprintf(out + len, cap - len, "%lld:%.*s@%lld|%.*s@%lld;", (long long)csv_line(c), (int)cells[0].len,
                                    cells[0].text, (long long)cells[0].column, (int)cells[1].len, cells[1].text,
                                    (long long)cells[1].column);
        else if (answer == CSV_BAD)
            len += (size_t)snprintf(out + len, cap - len, "bad %.*s;", (int)strcspn(after + strlen(path) + 1, " ") - 1,
                                    after + strlen(path) + 1);
        else
            len += (size_t)snprintf(out + len, cap - len, "failed %s;", e.text);
        ck_assert_uint_lt(len, cap);
        if (answer == CSV_FAILED)
            return;
    }
}

static const struct row { const char *text; size_t len; const char *says; } ROWS[] = {
#define ROW(text, says) { text, sizeof text - 1, says }
    ROW("b,a\n1,2\n", "2:1@1|2@2;"),
    ROW("a,b\n1,2\n", "2:2@2|1@1;"),
    ROW("x,a,y,b,z\n0,1,,2,\n", "2:2@4|1@2;"),
    ROW("\xef\xbb\xbf" "b,a\n1,2", "2:1@1|2@2;"),
    ROW("\xef\xbb\xbf\"b\",a\r\n1,2\r\n", "2:1@1|2@2;"),
    ROW("b,a\r\n1,2\r\n3,4", "2:1@1|2@2;3:3@1|4@2;"),
    ROW("b,a\n1,2\r", "2:1@1|2@2;"),
    ROW("b,a\n1\r1,2\n", "2:1\r1@1|2@2;"),
    ROW("\n\r\nb,a\n\n1,2\n\r\n\n3,4\n\n", "5:1@1|2@2;8:3@1|4@2;"),
    ROW("\"b\",\"a\"\n\"1\",\"2\"\n", "2:1@1|2@2;"),
    ROW("b,a\n\"1,5\",\"say \"\"2\"\"\"\n", "2:1,5@1|say \"2\"@2;"),
    ROW("b,c,a\n1,\"two\nlines\r\nmore\",2\n3,,4\n", "2:1@1|2@3;5:3@1|4@3;"),
    ROW("b,a\n\"1\n1\",2\n\"\",3\n", "2:1\n1@1|2@2;4:@1|3@2;"),
    ROW("b,a\n,\n1,\n", "3:1@1|@2;"),
    ROW("b,x,a\n,y,\n,,\n", "2:@1|@3;"),
    ROW("b,a\n1\n3,4\n", "bad 2:1;3:3@1|4@2;"),
    ROW("b,a\n1,2,3\n3,4\n", "bad 2:3;3:3@1|4@2;"),
    ROW("b,a\n120,5,80\n", "bad 2:3;"),
    ROW("b,a\n1,2\n3", "2:1@1|2@2;bad 3:1;"),
    ROW("b,a\n1,2\"\n3,4\n", "bad 2:2;3:3@1|4@2;"),
    ROW("b,a\n\"1\"x,2\n3,4\n", "bad 2:1;3:3@1|4@2;"),
    ROW("b,a,c\n1,2,3\"\n", "bad 2:3;"),
    ROW("b,a\n1,\"2\" \n3,4\n", "bad 2:2;3:3@1|4@2;"),
    ROW("b,a\n1,2\0\n3,4\n", "bad 2:2;3:3@1|4@2;"),
    ROW("b,c,a\n1,\0\0\xff\xfe,2\n\"\0\",,\n3,,4\n", "bad 2:2;bad 3:1;4:3@1|4@3;"),
    ROW("b,a\n\xff\xfe\x01,\x80\n", "2:\xff\xfe\x01@1|\x80@2;"),
    ROW("b,a\n", ""),
    ROW("b,a", ""),
#undef ROW
};

START_TEST(rows_are_told_with_line_and_column)
{
    char said[1000];
    struct csv *c = open_text(ROWS[_i].text, ROWS[_i].len);
    tell_all(c, said, sizeof said);
    ck_assert_msg(strcmp(said, ROWS[_i].says) == 0, "row %d: %s", _i, said);
    csv_close(c);
}
END_TEST

static const struct row HEADERS[] = {
#define ROW(text, says) { text, sizeof text - 1, says }
    ROW("", ":1: nothing stands here"),
    ROW("\n\n", ":3: nothing stands here"),
    ROW("\xef\xbb\xbf", ":1: nothing stands here"),
    ROW("a,c\n1,2\n", ":1: the header, of 2 columns, lacks `b`"),
    ROW("c\n", "lacks `b`, `a`"),
    ROW("\nc\n", ":2: the header"),
    ROW("b,a,c,a\n", ":1:4: the header has `a` a second time"),
    ROW("B,A\n1,2\n", "lacks `b`, `a`"),
    ROW("b;a\n1;2\n", "not by semicolons"),
    ROW("b\ta\n", "not by tabs"),
    ROW("b,a\r1,2\r", "lacks `a`"),
    ROW("b\ra\r1\r", "not with a carriage return alone"),
    ROW("\"b,a\n1,2\n", ":1:1: the quote that is opened here is closed nowhere"),
    ROW("b,a\0\n1,2\n", ":1:2: a NUL byte"),
    ROW("b,\"a\"x\n1,2\n", ":1:2: a quote stands inside"),
    ROW("PK\x03\x04 and more", "a spreadsheet"),
    ROW("\xff\xfe" "b\0,\0a\0", "UTF-16"),
    ROW("\x1f\x8b\x08", "gzip"),
    ROW("\x7f" "ELF\x02\x01\x01\0\0\0\0\0", ":1:1: a NUL byte"),
#undef ROW
};

START_TEST(a_header_that_will_not_do_is_refused_in_words)
{
    struct csv *c;
    struct err e = { .code = ST_OK };
    put(HEADERS[_i].text, HEADERS[_i].len);
    ck_assert_int_eq(csv_open(path, WANTED, WANTED_COUNT, &c, &e), ST_SYNTAX);
    ck_assert_ptr_null(c);
    ck_assert_int_eq(e.code, ST_SYNTAX);
    ck_assert_msg(strstr(e.text, HEADERS[_i].says), "row %d: %s", _i, e.text);
}
END_TEST

/* With --skip-bad somebody would else lose the rest of the file as one bad row. */
/* As a spreadsheet leaves them; also with other cells than the header, quoted, at the end, or after a line feed alone. */
START_TEST(rows_of_empty_cells_are_passed_over_and_counted)
{
    static const struct { const char *text; int64_t count, first; } TRIES[] = {
        { "b,a\n1,2\n,\n", 1, 3 }, { "b,a\n1,2\n,\r\n,,,\n3,4\n,", 3, 3 }, { "b,a\n\"\",\"\"\n\"\"\n", 2, 2 },
        { "b,a\n\n\r\n1,2\n", 0, 0 }, { ",\n,,,\nb,a\n1,2\n", 0, 0 }, { "b,a\n,1\n1,\n", 0, 0 },
    };
    for (size_t i = 0; i < sizeof TRIES / sizeof *TRIES; i++) {
        char said[200];
        int64_t first;
        struct csv *c = open_text(TRIES[i].text, strlen(TRIES[i].text));
        tell_all(c, said, sizeof said);
        ck_assert_msg(csv_empty_rows(c, &first) == TRIES[i].count && first == TRIES[i].first, "%s", TRIES[i].text);
        ck_assert_msg(!strstr(said, "bad"), "%s", said);
        csv_close(c);
    }
}
END_TEST

START_TEST(an_open_quote_ends_it_and_says_where_it_was_opened)
{
    static const char TEXT[] = "b,a\n1,2\n3,\"4\n5,6\n7,8\n";
    char said[1000];
    struct csv *c = open_text(TEXT, sizeof TEXT - 1);
    tell_all(c, said, sizeof said);
    ck_assert_msg(strstr(said, "2:1@1|2@2;failed") && strstr(said, ":3:2: the quote that is opened here"), "%s", said);
    csv_close(c);
}
END_TEST

START_TEST(a_row_cut_by_the_end_says_so)
{
    struct csv_cell cells[CSV_WANTED_MAX];
    struct err e;
    struct csv *c = open_text("b,a\n1", 5);
    ck_assert_int_eq(csv_next(c, cells, &e), CSV_BAD);
    ck_assert_int_eq(csv_fault(c), CSV_FAULT_CELLS);
    ck_assert_msg(strstr(e.text, "ends in the middle of a row"), "%s", e.text);
    ck_assert_int_eq(csv_next(c, cells, &e), CSV_END);
    ck_assert_int_eq(csv_next(c, cells, &e), CSV_END);
    csv_close(c);
}
END_TEST

/* A cell of 200 bytes is given, one of 201 is not; where nobody looks at it its length does not matter. */
START_TEST(a_cell_is_looked_at_up_to_200_bytes)
{
    static const struct { const char *format; size_t len; enum csv_answer answer; } TRIES[] = {
        { "%s,1,\n", CSV_CELL_MAX, CSV_ROW },       { "%s,1,\n", CSV_CELL_MAX + 1, CSV_BAD },
        { "\"%s\",1,\n", CSV_CELL_MAX, CSV_ROW },   { "\"%s\",1,\n", CSV_CELL_MAX + 1, CSV_BAD },
        { "1,1,%s\n", CSV_CELL_MAX + 1, CSV_ROW },  { "1,1,\"%s\"\n", 3000, CSV_ROW },
        { "1,%s,\n", 3000, CSV_BAD },
    };
    char text[4000] = "b,a,c\n", cell[3001];
    struct csv_cell cells[CSV_WANTED_MAX];
    struct err e;
    memset(cell, 'x', sizeof cell);
    cell[TRIES[_i].len] = '\0';
#pragma GCC diagnostic push
#pragma GCC diagnostic ignored "-Wformat-nonliteral"
    int len = snprintf(text + 6, sizeof text - 6, TRIES[_i].format, cell);
#pragma GCC diagnostic pop
    struct csv *c = open_text(text, 6 + (size_t)len);
    ck_assert_int_eq(csv_next(c, cells, &e), TRIES[_i].answer);
    if (TRIES[_i].answer == CSV_BAD)
        ck_assert_int_eq(csv_fault(c), CSV_FAULT_LONG);
    ck_assert_int_eq(csv_next(c, cells, &e), CSV_END);
    csv_close(c);
}
END_TEST

/* ---- sizes ---- */

/* Rows of every length meet the buffer's end at every place; what comes is what was written. */
START_TEST(rows_cross_the_buffers_end_whole)
{
    FILE *f = fopen(path, "wb");
    struct csv_cell cells[CSV_WANTED_MAX];
    struct err e = { .code = ST_OK };
    struct csv *c;
    const int rows = 60000;
    ck_assert_ptr_nonnull(f);
    fputs("b,c,a\n", f);
    for (int i = 0; i < rows; i++)
        fprintf(f, i % 7 == 0 ? "%d,\"%.*s\r\n\",%d\r\n" : "%d,%.*s,%d\n", i, i % 41, "0123456789012345678901234567890123456789", -i);
    ck_assert_int_eq(fclose(f), 0);
    ck_assert_int_eq(csv_open(path, WANTED, WANTED_COUNT, &c, &e), ST_OK);
    for (int i = 0; i < rows; i++) {
        char b[20], a[20];
        ck_assert_msg(csv_next(c, cells, &e) == CSV_ROW, "%d: %s", i, e.text);
        snprintf(b, sizeof b, "%d", i);
        snprintf(a, sizeof a, "%d", -i);
        ck_assert_msg(cells[0].len == strlen(b) && memcmp(cells[0].text, b, strlen(b)) == 0, "row %d", i);
        ck_assert_msg(cells[1].len == strlen(a) && memcmp(cells[1].text, a, strlen(a)) == 0, "row %d", i);
        ck_assert_int_eq(csv_line(c), 2 + i + (i + 6) / 7);
    }
    ck_assert_int_eq(csv_next(c, cells, &e), CSV_END);
    ck_assert_int_eq(csv_bytes(c), csv_size(c));
    csv_close(c);
}
END_TEST

struct feed { int fd; const char *head; size_t times; const char *again; const char *tail; };

static void *write_feed(void *user)
{
    const struct feed *f = user;
    char block[8192];
    size_t one = strlen(f->again), per = sizeof block / one;
    for (size_t i = 0; i < per; i++)
        memcpy(block + i * one, f->again, one);
    bool is_fine = write(f->fd, f->head, strlen(f->head)) == (ssize_t)strlen(f->head);
    for (size_t left = f->times; left > 0 && is_fine;) {
        size_t now = left < per ? left : per, at = 0;
        while (is_fine && at < now * one) {
            ssize_t n = write(f->fd, block + at, now * one - at);
            is_fine = n > 0;
            at += n > 0 ? (size_t)n : 0;
        }
        left -= now;
    }
    is_fine = is_fine && write(f->fd, f->tail, strlen(f->tail)) == (ssize_t)strlen(f->tail);
    close(f->fd);
    return is_fine ? user : NULL;
}

/* Through a pipe: nobody knows how much is to come. The limit on memory is well below what comes. */
static enum csv_answer last_of_feed(struct feed *f, struct csv_cell *cells, struct err *e)
{
    int ends[2];
    pthread_t writer;
    void *done;
    struct csv *c;
    struct rusage before, after;
    ck_assert_int_eq(pipe(ends), 0);
    f->fd = ends[1];
    getrusage(RUSAGE_SELF, &before);
    ck_assert_int_eq(pthread_create(&writer, NULL, write_feed, f), 0);
    ck_assert_msg(csv_open_fd(ends[0], "pipe", WANTED, WANTED_COUNT, &c, e) == ST_OK, "%s", e->text);
    ck_assert_int_eq(csv_size(c), -1);
    enum csv_answer answer = csv_next(c, cells, e);
    ck_assert_int_eq(csv_next(c, cells, NULL), CSV_END);
    getrusage(RUSAGE_SELF, &after);
    ck_assert_int_lt(after.ru_maxrss - before.ru_maxrss, 8 * 1024); /* kB */
    csv_close(c);
    ck_assert_int_eq(pthread_join(writer, &done), 0);
    ck_assert_ptr_nonnull(done);
    return answer;
}

START_TEST(a_line_of_100_megabytes_takes_no_memory)
{
    struct feed f = { .head = "b,c,a\n1,", .times = 10 * 1000 * 1000, .again = "0123456789", .tail = ",2\n" };
    struct csv_cell cells[CSV_WANTED_MAX];
    struct err e = { .code = ST_OK };
    ck_assert_int_eq(last_of_feed(&f, cells, &e), CSV_ROW);
    ck_assert_int_eq(cells[1].column, 3);
}
END_TEST

START_TEST(a_wanted_cell_of_100_megabytes_is_a_bad_row)
{
    struct feed f = { .head = "b,a\n1,", .times = 10 * 1000 * 1000, .again = "0123456789", .tail = "\n" };
    struct csv_cell cells[CSV_WANTED_MAX];
    struct err e = { .code = ST_OK };
    ck_assert_int_eq(last_of_feed(&f, cells, &e), CSV_BAD);
    ck_assert_msg(strstr(e.text, "pipe:2:2: the cell is longer than 200 bytes"), "%s", e.text);
}
END_TEST

START_TEST(a_million_columns_take_no_memory)
{
    struct feed f = { .head = "b,a\n1", .times = 1000 * 1000, .again = ",9", .tail = "\n" };
    struct csv_cell cells[CSV_WANTED_MAX];
    struct err e = { .code = ST_OK };
    ck_assert_int_eq(last_of_feed(&f, cells, &e), CSV_BAD);
    ck_assert_msg(strstr(e.text, "pipe:2:3: the row has 1000001 cells, the header has 2"), "%s", e.text);
}
END_TEST

START_TEST(a_header_of_a_million_columns_finds_its_own)
{
    struct feed f = { .head = "b", .times = 1000 * 1000, .again = ",x", .tail = ",a\n" };
    struct csv_cell cells[CSV_WANTED_MAX];
    struct err e = { .code = ST_OK };
    ck_assert_int_eq(last_of_feed(&f, cells, &e), CSV_END);
}
END_TEST

/* ---- files that change, and what is none ---- */

enum change { CHANGE_GROWS, CHANGE_IS_CUT, CHANGE_IS_REWRITTEN, CHANGE_IS_REMOVED };
static const char *const CHANGE_SAYS[] = { "grew while it was read", "was cut short while it was read",
                                           "was written to while it was read", "was removed or replaced while it was read" };

static void change(enum change how, off_t size)
{
    int fd = open(path, O_WRONLY);
    ck_assert_int_ge(fd, 0);
    switch (how) {
    case CHANGE_GROWS:
        ck_assert_int_eq(pwrite(fd, "5,6\n", 4, size), 4);
        break;
    case CHANGE_IS_CUT:
        ck_assert_int_eq(ftruncate(fd, size - 4), 0);
        break;
    case CHANGE_IS_REWRITTEN:
        ck_assert_int_eq(pwrite(fd, "7", 1, 4), 1);
        break;
    case CHANGE_IS_REMOVED:
        ck_assert_int_eq(unlink(path), 0);
        break;
    }
    close(fd);
}

START_TEST(a_file_that_changes_meanwhile_is_refused)
{
    enum { ROW_COUNT = 200000 }; /* more than what is read ahead */
    static char text[4 + 4 * ROW_COUNT], said[4 * 1000 * 1000];
    const struct timespec past[2] = { { .tv_sec = 1000000000 }, { .tv_sec = 1000000000 } };
    struct csv *c;
    struct err e;
    memcpy(text, "b,a\n", 4);
    for (size_t i = 0; i < ROW_COUNT; i++)
        memcpy(text + 4 + 4 * i, "1,2\n", 4);
    put(text, sizeof text);
    ck_assert_int_eq(utimensat(AT_FDCWD, path, past, 0), 0);
    ck_assert_int_eq(csv_open(path, WANTED, WANTED_COUNT, &c, &e), ST_OK);
    ck_assert_int_eq(csv_size(c), sizeof text);
    change((enum change)_i, (off_t)sizeof text);
    tell_all(c, said, sizeof said);
    const char *end = strstr(said, "failed ");
    ck_assert_ptr_nonnull(end);
    ck_assert_msg(strstr(end, CHANGE_SAYS[_i]), "%s", end);
    csv_close(c);
}
END_TEST

START_TEST(what_is_no_file_to_read_is_said_in_words)
{
    static const struct { const char *path; enum status st; const char *says; } NONE[] = {
        { "/tmp", ST_IO, "/tmp is a folder" },
        { "/nowhere/x.csv", ST_NOT_FOUND, "No such file" },
        { "/dev/null", ST_SYNTAX, "nothing stands here" },
        { "/dev/zero", ST_SYNTAX, "/dev/zero:1:1: a NUL byte" },
    };
    struct csv *c;
    struct err e;
    ck_assert_int_eq(csv_open(NONE[_i].path, WANTED, WANTED_COUNT, &c, &e), NONE[_i].st);
    ck_assert_msg(strstr(e.text, NONE[_i].says), "%s", e.text);
}
END_TEST

START_TEST(a_file_that_may_not_be_read_is_said)
{
    struct csv *c;
    struct err e;
    if (geteuid() == 0)
        return; /* may read everything */
    put("b,a\n", 4);
    ck_assert_int_eq(chmod(path, 0), 0);
    ck_assert_int_eq(csv_open(path, WANTED, WANTED_COUNT, &c, &e), ST_PERMISSION);
    ck_assert_msg(strstr(e.text, "Permission denied"), "%s", e.text);
}
END_TEST

int main(void)
{
    Suite *s = suite_create("csv");
    TCase *t = tcase_create("csv");
    tcase_set_timeout(t, 120);
    tcase_add_checked_fixture(t, setup, teardown);
    tcase_add_loop_test(t, rows_are_told_with_line_and_column, 0, ARRAY_LEN(ROWS));
    tcase_add_loop_test(t, a_header_that_will_not_do_is_refused_in_words, 0, ARRAY_LEN(HEADERS));
    tcase_add_test(t, an_open_quote_ends_it_and_says_where_it_was_opened);
    tcase_add_test(t, rows_of_empty_cells_are_passed_over_and_counted);
    tcase_add_test(t, a_row_cut_by_the_end_says_so);
    tcase_add_loop_test(t, a_cell_is_looked_at_up_to_200_bytes, 0, 7);
    tcase_add_test(t, rows_cross_the_buffers_end_whole);
    tcase_add_test(t, a_line_of_100_megabytes_takes_no_memory);
    tcase_add_test(t, a_wanted_cell_of_100_megabytes_is_a_bad_row);
    tcase_add_test(t, a_million_columns_take_no_memory);
    tcase_add_test(t, a_header_of_a_million_columns_finds_its_own);
    tcase_add_loop_test(t, a_file_that_changes_meanwhile_is_refused, 0, ARRAY_LEN(CHANGE_SAYS));
    tcase_add_loop_test(t, what_is_no_file_to_read_is_said_in_words, 0, 4);
    tcase_add_test(t, a_file_that_may_not_be_read_is_said);
    suite_add_tcase(s, t);
    SRunner *r = srunner_create(s);
    srunner_run_all(r, CK_NORMAL);
    int failed = srunner_ntests_failed(r);
    srunner_free(r);
    return failed ? EXIT_FAILURE : EXIT_SUCCESS;
}
