/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Whatever is called a CSV file: the reader gives the rows that a plain reading of the whole text gives, and says of each other
 * one where it is at fault; and the pairs taken out of them are as many as the rows that were fine. */
#include <string.h>
#include <sys/mman.h>
#include <unistd.h>

#include "command/agree_rows.h"
#include "fuzz/fuzz.h"

enum { CELLS_MAX = 64 };
#define NOT_COMPARED (-2) /* it has more columns than the plain reading keeps */

struct cell { char text[CSV_CELL_MAX]; size_t len; };
struct text { const uint8_t *bytes; size_t len, at; int64_t line; };

/* ---- a plain reading, with the whole text at hand ---- */

/* How long the line's end is that stands here; 0 when none does. */
static size_t line_end(const struct text *t)
{
    const size_t left = t->len - t->at;
    if (left > 0 && t->bytes[t->at] == '\n')
        return 1;
    if (left > 0 && t->bytes[t->at] == '\r' && (left == 1 || t->bytes[t->at + 1] == '\n'))
        return left == 1 ? 1 : 2;
    return 0;
}

static void take(struct text *t, struct cell *c, bool *is_bad)
{
    const uint8_t byte = t->bytes[t->at++];
    if (c->len < CSV_CELL_MAX)
        c->text[c->len] = (char)byte;
    c->len++;
    t->line += byte == '\n';
    *is_bad = *is_bad || byte == '\0';
}

/* False: its quote stays open. */
static bool read_cell(struct text *t, struct cell *c, bool *is_bad)
{
    const bool is_quoted = t->at < t->len && t->bytes[t->at] == '"';
    c->len = 0;
    for (t->at += is_quoted; is_quoted; take(t, c, is_bad)) {
        if (t->at == t->len)
            return false;
        if (t->bytes[t->at] != '"')
            continue;
        t->at++;
        if (t->at == t->len || t->bytes[t->at] != '"')
            break;
    }
    for (bool is_first = true; t->at < t->len && t->bytes[t->at] != ',' && line_end(t) == 0; is_first = false) {
        *is_bad = *is_bad || t->bytes[t->at] == '"' || (is_first && is_quoted);
        take(t, c, is_bad);
    }
    return true;
}

enum plain { PLAIN_ROW, PLAIN_BAD, PLAIN_OPEN, PLAIN_END };

static enum plain read_any_row(struct text *t, struct cell *cells, int *count, bool *has_text)
{
    bool is_bad = false;
    *has_text = false;
    for (size_t n; (n = line_end(t)) > 0; t->at += n)
        t->line++;
    if (t->at == t->len)
        return PLAIN_END;
    for (*count = 0;; t->at++) {
        struct cell *c = &cells[*count < CELLS_MAX ? *count : CELLS_MAX - 1];
        if (!read_cell(t, c, &is_bad))
            return PLAIN_OPEN;
        *has_text = *has_text || c->len > 0;
        ++*count;
        if (t->at == t->len || t->bytes[t->at] != ',')
            break;
    }
    const size_t n = line_end(t);
    t->at += n;
    t->line += n > 0;
    return is_bad ? PLAIN_BAD : PLAIN_ROW;
}

/* Those of empty cells alone are none. */
static enum plain read_row(struct text *t, struct cell *cells, int *count)
{
    bool has_text;
    enum plain plain;
    do
        plain = read_any_row(t, cells, count, &has_text);
    while (plain == PLAIN_ROW && !has_text);
    return plain;
}

/* ---- the two beside each other ---- */

static struct csv *open_bytes(const uint8_t *data, size_t size, struct err *e)
{
    struct csv *c;
    const int fd = memfd_create("fuzz", MFD_CLOEXEC);
    HOLDS(fd >= 0 && write(fd, data, size) == (ssize_t)size && lseek(fd, 0, SEEK_SET) == 0);
    const enum status st = csv_open_fd(fd, "fuzz", AGREE_COLUMN_NAMES, AGREE_COLUMNS, &c, e);
    HOLDS((st == ST_OK) == (c != NULL));
    HOLDS(st == ST_OK || (st == ST_SYNTAX && strncmp(e->text, "fuzz:", 5) == 0));
    return c;
}

/* Of a header that was taken: where each column is. */
static void find_columns(struct text *t, int columns[AGREE_COLUMNS], int *count)
{
    static struct cell cells[CELLS_MAX];
    t->at = t->len >= 3 && memcmp(t->bytes, "\xef\xbb\xbf", 3) == 0 ? 3 : 0;
    HOLDS(read_row(t, cells, count) == PLAIN_ROW);
    for (int i = 0; i < AGREE_COLUMNS; i++) {
        columns[i] = -1;
        for (int j = 0; j < *count && j < CELLS_MAX; j++)
            if (strlen(AGREE_COLUMN_NAMES[i]) == cells[j].len && memcmp(AGREE_COLUMN_NAMES[i], cells[j].text, cells[j].len) == 0)
                columns[i] = j;
    }
}

static bool has_long_cell(const struct cell *cells, const int columns[AGREE_COLUMNS])
{
    for (int i = 0; i < AGREE_COLUMNS; i++)
        if (cells[columns[i]].len > CSV_CELL_MAX)
            return true;
    return false;
}

/* How many rows there are; -1 when a quote stays open. */
static int64_t compare_rows(struct csv *c, const uint8_t *data, size_t size)
{
    static struct cell cells[CELLS_MAX];
    struct text t = { .bytes = data, .len = size, .line = 1 };
    struct csv_cell got[CSV_WANTED_MAX];
    struct err e = { .code = ST_OK };
    int columns[AGREE_COLUMNS], header, count;
    find_columns(&t, columns, &header);
    for (int64_t rows = 0;; rows++) {
        const enum plain plain = read_row(&t, cells, &count);
        const enum csv_answer answer = csv_next(c, got, &e);
        if (header > CELLS_MAX)
            return NOT_COMPARED;
        if (plain == PLAIN_OPEN)
            HOLDS(answer == CSV_FAILED && e.code == ST_SYNTAX);
        if (plain == PLAIN_END)
            HOLDS(answer == CSV_END);
        if (plain == PLAIN_OPEN || plain == PLAIN_END)
            return plain == PLAIN_END ? rows : -1;
        HOLDS(csv_line(c) >= 1 && csv_line(c) <= t.line);
        if (plain == PLAIN_BAD || count != header || has_long_cell(cells, columns)) {
            HOLDS(answer == CSV_BAD && e.code == ST_SYNTAX && (int)csv_fault(c) < CSV_FAULT_COUNT);
            continue;
        }
        HOLDS(answer == CSV_ROW);
        for (int i = 0; i < AGREE_COLUMNS; i++) {
            const struct cell *want = &cells[columns[i]];
            HOLDS(got[i].column == columns[i] + 1 && got[i].len == want->len && memcmp(got[i].text, want->text, want->len) == 0);
        }
    }
}

static void take_pairs(const uint8_t *data, size_t size, int64_t rows)
{
    const struct agree_frame frame = { .plan = { .adequate = 0.1, .inadequate = 0.25, .reach = 4, .lose = 4, .horizon = 100,
                                                 .right_within_mmhg = 5 } };
    struct agree_rows r = { .frame = &frame, .is_skipping = true };
    struct err e = { .code = ST_OK };
    struct csv *c = open_bytes(data, size, &e);
    const enum status st = agree_rows_read(&r, c, NULL, NULL, &e);
    int64_t faults = 0, pairs = 0;
    HOLDS((st == ST_OK) == (rows >= 0));
    for (int i = 0; i < ROW_FAULT_COUNT; i++)
        faults += r.faults[i];
    for (uint32_t i = 0; i < r.count; i++)
        pairs += r.measurers[i]->tally.side[SIDE_SYSTOLIC].n;
    HOLDS(faults == r.bad && (r.bad == 0 || r.bad_said[0].text[0] != '\0'));
    HOLDS(st != ST_OK || (r.rows == rows && pairs == r.rows - r.bad));
    csv_close(c);
    agree_rows_free(&r);
}

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size)
{
    struct err e = { .code = ST_OK };
    struct csv *c = open_bytes(data, size, &e);
    if (!c)
        return 0;
    const int64_t rows = compare_rows(c, data, size);
    csv_close(c);
    if (rows != NOT_COMPARED)
        take_pairs(data, size, rows);
    return 0;
}
