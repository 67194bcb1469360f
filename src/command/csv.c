/* SPDX-License-Identifier: GPL-3.0-or-later */
/** @file csv.c  Plain rows are cut in the buffer where they lie; whatever else a row can be goes byte by byte. */
#include "command/csv.h"

#include <endian.h>
#include <errno.h>
#include <fcntl.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

enum { BUFFER_BYTES = 1 << 18, BLOCK_BYTES = 32 /* looked at together */ };

struct csv {
    int fd;
    char name[200];
    struct stat first;                      /* as it was when opened */
    int64_t size;                           /* from where reading began; -1 not known */
    int64_t bytes;                          /* read so far */
    int64_t empty_rows, empty_line;         /* whose cells were all empty, and the first of them */
    int64_t line, row_line;                 /* where reading stands, where the row given last began */
    const char *at, *end;                   /* in the buffer, not looked at yet; a block of line feeds stands behind it */
    bool is_at_end;                         /* there is no more to read */
    bool is_header;
    enum csv_fault fault;
    int64_t columns;                        /* of the header */
    int count;
    const char *const *wanted;
    int64_t column_of[CSV_WANTED_MAX + 1];  /* from 1, rising, then 0; until the header is known in the order of wanted */
    int order[CSV_WANTED_MAX];              /* which of the wanted that is */
    char cell[CSV_WANTED_MAX][CSV_CELL_MAX];
    char buffer[BUFFER_BYTES + BLOCK_BYTES];
};

/* ---- bytes ---- */

/* Keep what was not looked at and read on behind it. 1: there is more, 0: there is none, -1: it failed. */
static int fill(struct csv *c)
{
    size_t kept = (size_t)(c->end - c->at);
    if (c->at != c->buffer)
        memmove(c->buffer, c->at, kept);
    ssize_t n = 0;
    while (!c->is_at_end && (n = read(c->fd, c->buffer + kept, BUFFER_BYTES - kept)) < 0 && errno == EINTR)
        ;
    c->is_at_end = c->is_at_end || n == 0;
    c->bytes += n > 0 ? n : 0;
    c->at = c->buffer;
    c->end = c->buffer + kept + (n > 0 ? (size_t)n : 0);
    memset(c->buffer + (c->end - c->buffer), '\n', BLOCK_BYTES);
    return n > 0 ? 1 : (int)n;
}

static enum csv_answer failed(struct csv *c, struct err *e)
{
    int why = errno;
    c->is_at_end = true;
    err_set(e, why == EACCES || why == EPERM ? ST_PERMISSION : ST_IO, "%s cannot be read on behind line %lld: %s.", c->name,
            (long long)c->line, strerror(why));
    return CSV_FAILED;
}

/* Nothing is left to read: is it still the file that was opened? Figures of half a file would be worth nothing. */
static enum csv_answer ended(struct csv *c, struct err *e)
{
    struct stat now;
    if (c->size < 0)
        return CSV_END;
    if (c->bytes != c->size) {
        err_set(e, ST_CONFLICT, "%s %s while it was read: it had %lld bytes, then %lld. Run it again when nothing writes to it.",
                c->name, c->bytes > c->size ? "grew" : "was cut short", (long long)c->size, (long long)c->bytes);
        return CSV_FAILED;
    }
    if (fstat(c->fd, &now) != 0)
        return failed(c, e);
    if (now.st_size != c->first.st_size || now.st_mtim.tv_sec != c->first.st_mtim.tv_sec ||
        now.st_mtim.tv_nsec != c->first.st_mtim.tv_nsec) {
        err_set(e, ST_CONFLICT, "%s was written to while it was read. Run it again when nothing writes to it.", c->name);
        return CSV_FAILED;
    }
    if (now.st_nlink == 0 && c->first.st_nlink > 0) {
        err_set(e, ST_CONFLICT, "%s was removed or replaced while it was read. Run it again on the file that stands.", c->name);
        return CSV_FAILED;
    }
    return CSV_END;
}

/* ---- any row, byte by byte ---- */

enum place { CELL_BEGINS, CELL_PLAIN, CELL_QUOTED, CELL_QUOTE_SEEN /* its end, or the first of two */ };

struct scan {
    enum place place;
    bool has_text;         /* in a cell */
    bool has_return;       /* a carriage return came, and what follows says what it was */
    int64_t column;        /* from 1 */
    int next;              /* of the wanted */
    size_t len;            /* of the cell, also where no more of it is kept */
    int64_t quote_line;    /* where the cell's quote was opened */
    bool is_bad;
    int64_t bad_column;    /* of the first fault */
};

static void note_fault(struct csv *c, struct scan *s, enum csv_fault fault)
{
    if (s->is_bad)
        return;
    s->is_bad = true;
    s->bad_column = s->column;
    c->fault = fault;
}

static bool is_wanted(const struct csv *c, const struct scan *s)
{
    return c->is_header || s->column == c->column_of[s->next];
}

static void put(struct csv *c, struct scan *s, char byte)
{
    if (is_wanted(c, s) && s->len < CSV_CELL_MAX)
        c->cell[s->next][s->len] = byte;
    s->len++;
    s->has_text = true;
    if (byte == '\0')
        note_fault(c, s, CSV_FAULT_NUL);
}

/* A cell of the header: is it one that is wanted? A second of a name is remembered as minus its column. */
static void match_header(struct csv *c, const struct scan *s)
{
    for (int i = 0; i < c->count; i++)
        if (strlen(c->wanted[i]) == s->len && s->len <= CSV_CELL_MAX && memcmp(c->wanted[i], c->cell[0], s->len) == 0)
            c->column_of[i] = c->column_of[i] == 0 ? s->column : -s->column;
}

static void end_cell(struct csv *c, struct scan *s, struct csv_cell *cells)
{
    if (c->is_header) {
        match_header(c, s);
    } else if (is_wanted(c, s)) {
        if (s->len > CSV_CELL_MAX)
            note_fault(c, s, CSV_FAULT_LONG);
        cells[c->order[s->next]] = (struct csv_cell){ .text = c->cell[s->next], .len = s->len, .column = s->column };
        s->next++;
    }
    s->len = 0;
}

static void take_byte(struct csv *c, struct scan *s, char byte, struct csv_cell *cells)
{
    if (s->place == CELL_QUOTED) {
        if (byte == '"')
            s->place = CELL_QUOTE_SEEN;
        else
            put(c, s, byte);
    } else if (byte == ',') {
        end_cell(c, s, cells);
        s->place = CELL_BEGINS;
        s->column++;
    } else if (byte == '"' && s->place == CELL_BEGINS) {
        s->place = CELL_QUOTED;
        s->quote_line = c->line;
    } else if (byte == '"' && s->place == CELL_QUOTE_SEEN) {
        s->place = CELL_QUOTED;
        put(c, s, byte);
    } else {
        if (byte == '"' || s->place == CELL_QUOTE_SEEN)
            note_fault(c, s, CSV_FAULT_QUOTE);
        s->place = CELL_PLAIN;
        put(c, s, byte);
    }
}

/* Up to the row's end. 1 when a line feed ended it, 0 when the text did, -1 when it failed. */
static int scan_row(struct csv *c, struct scan *s, struct csv_cell *cells)
{
    for (;;) {
        int n = c->at == c->end ? fill(c) : 1;
        if (n <= 0)
            return n;
        const char byte = *c->at++;
        if (byte == '\n' && s->place != CELL_QUOTED) {
            c->line++;
            return 1;
        }
        if (c->is_header && s->is_bad) /* the end of it, and what is no text may have no lines */
            return 1;
        if (s->has_return) /* not a line's end */
            take_byte(c, s, '\r', cells);
        s->has_return = byte == '\r' && s->place != CELL_QUOTED;
        c->line += byte == '\n';
        if (!s->has_return)
            take_byte(c, s, byte, cells);
    }
}

static enum csv_answer say_open_quote(const struct csv *c, const struct scan *s, struct err *e)
{
    err_set(e, ST_SYNTAX, "%s:%lld:%lld: the quote that is opened here is closed nowhere, so that the rest of the text would be "
            "one cell. Close it, or see whether the file is whole.", c->name, (long long)s->quote_line, (long long)s->column);
    return CSV_FAILED;
}

static enum csv_answer say_bad(const struct csv *c, const struct scan *s, bool is_cut, struct err *e)
{
    char lack[160];
    const char *why = lack;
    static const char *const WHY[] = {
        [CSV_FAULT_QUOTE] = "a quote stands inside of a cell. A cell with quotes is enclosed in quotes, and those in it are doubled",
        [CSV_FAULT_NUL] = "a NUL byte stands here, so that this is no text",
        [CSV_FAULT_LONG] = "the cell is longer than 200 bytes",
    };
    _Static_assert(CSV_CELL_MAX == 200, "as it is said");
    if (c->fault != CSV_FAULT_CELLS)
        why = WHY[c->fault];
    else
        snprintf(lack, sizeof lack, "%s%lld cells, the header has %lld%s",
                 is_cut ? "the text ends in the middle of a row: it has " : "the row has ", (long long)s->column,
                 (long long)c->columns, s->column > c->columns ? ". A decimal sign is a point, and a cell with a comma is "
                                                                 "enclosed in quotes" : "");
    err_set(e, ST_SYNTAX, "%s:%lld:%lld: %s.", c->name, (long long)c->row_line, (long long)s->bad_column, why);
    return CSV_BAD;
}

enum any_row { ANY_BLANK, ANY_ANSWERED };

/* Whatever stands there, up to the end of the row; blank lines are no rows, nor is what has empty cells alone, as spreadsheets
 * leave it. */
static enum any_row take_any(struct csv *c, struct csv_cell *cells, enum csv_answer *answer, struct err *e)
{
    struct scan s = { .column = 1 };
    c->row_line = c->line;
    int feed = scan_row(c, &s, cells);
    if (feed < 0) {
        *answer = failed(c, e);
        return ANY_ANSWERED;
    }
    if (s.place == CELL_QUOTED) {
        *answer = say_open_quote(c, &s, e);
        return ANY_ANSWERED;
    }
    if (!s.has_text) {
        if (!c->is_header && (s.column > 1 || s.place != CELL_BEGINS) && c->empty_rows++ == 0)
            c->empty_line = c->row_line;
        return ANY_BLANK;
    }
    end_cell(c, &s, cells);
    if (!c->is_header && s.column != c->columns && !s.is_bad) {
        s.is_bad = true;
        s.bad_column = s.column < c->columns ? s.column : c->columns + 1;
        c->fault = CSV_FAULT_CELLS;
    }
    if (c->is_header)
        c->columns = s.column;
    *answer = s.is_bad ? say_bad(c, &s, feed == 0, e) : CSV_ROW;
    return ANY_ANSWERED;
}

/* ---- plain rows ---- */

#define EACH_BYTE UINT64_C(0x0101010101010101)
#define HIGH_BITS (0x80 * EACH_BYTE)
#define GATHER_HIGH_BITS UINT64_C(0x0002040810204081) /* by multiplying: into the highest byte */

/* Where a block has bytes that are no digit, letter, point or minus: a bit for each, the first byte's lowest. Eight at a time;
 * no carry goes from one byte into the next, since 7 bits of each are added to. */
static uint32_t rare_bytes(const char *block)
{
    uint32_t bits = 0;
    for (int i = 0; i < BLOCK_BYTES / 8; i++) {
        uint64_t x;
        memcpy(&x, block + 8 * i, sizeof x);
        x = le64toh(x);
        const uint64_t usual = ((x & ~HIGH_BITS) + (0x7f - ',') * EACH_BYTE) | x;
        bits |= (uint32_t)((~usual & HIGH_BITS) * GATHER_HIGH_BITS >> 56) << 8 * i;
    }
    return bits;
}

/* Where the cutting of a row stands. */
struct cut { const char *row, *cell; int64_t column; int next; };

/* False: it is too long. */
static inline bool cut_cell(const struct csv *c, struct cut *at, const char *stop, struct csv_cell *cells)
{
    const size_t len = (size_t)(stop - at->cell);
    if (at->column == c->column_of[at->next]) {
        if (len > CSV_CELL_MAX)
            return false;
        cells[c->order[at->next++]] = (struct csv_cell){ .text = at->cell, .len = len, .column = at->column };
    }
    return true;
}

/* False: also where no cell of it has anything, so that it is commas alone. */
static bool end_plain(struct csv *c, struct cut *at, const char *feed, struct csv_cell *cells)
{
    const char *stop = feed > at->cell && feed[-1] == '\r' ? feed - 1 : feed;
    if (!cut_cell(c, at, stop, cells) || feed == c->end || at->column != c->columns || stop - at->row < c->columns)
        return false;
    c->at = feed + 1;
    c->row_line = c->line++;
    return true;
}

/* A row without quotes that lies in the buffer whole, cut where it lies. False: look at it byte by byte; nothing was taken.
 * A line feed behind the last byte ends the search. */
static bool take_plain(struct csv *c, struct csv_cell *cells)
{
    struct cut at = { .row = c->at, .cell = c->at, .column = 1 };
    for (const char *block = c->at;; block += BLOCK_BYTES)
        for (uint32_t bits = rare_bytes(block); bits != 0; bits &= bits - 1) {
            const char *p = block + __builtin_ctz(bits);
            if (*p == ',') {
                if (!cut_cell(c, &at, p, cells))
                    return false;
                at.column++;
                at.cell = p + 1;
            } else if (*p == '\n') {
                return end_plain(c, &at, p, cells);
            } else if (*p == '"' || *p == '\0') {
                return false;
            }
        }
}

/* As much of the row as the buffer takes, that is, up to a line feed, unless one is there. 0 at the end of all, -1 on failure. */
static int gather(struct csv *c)
{
    size_t seen = 0;
    for (;;) {
        size_t have = (size_t)(c->end - c->at);
        if (memchr(c->at + seen, '\n', have - seen) || have == BUFFER_BYTES)
            return 1;
        seen = have;
        int n = fill(c);
        if (n <= 0)
            return n < 0 ? -1 : seen > 0;
    }
}

enum csv_answer csv_next(struct csv *c, struct csv_cell *cells, struct err *e)
{
    enum csv_answer answer;
    if (take_plain(c, cells))
        return CSV_ROW;
    do {
        int n = gather(c);
        if (n < 0)
            return failed(c, e);
        if (n == 0)
            return ended(c, e);
        if (take_plain(c, cells))
            return CSV_ROW;
    } while (take_any(c, cells, &answer, e) == ANY_BLANK);
    return answer;
}

/* ---- the header ---- */

/* What is often taken for a CSV file and is none, by its first bytes. */
static const struct {
    const char *bytes;
    size_t len;
    const char *say;
} OTHERS[] = {
    { "\xff\xfe", 2, "UTF-16 text. Save it as UTF-8" },
    { "\xfe\xff", 2, "UTF-16 text. Save it as UTF-8" },
    { "PK\x03\x04", 4, "a spreadsheet or another packed file. Save the sheet as CSV" },
    { "\x1f\x8b", 2, "packed (gzip). Unpack it first" },
    { "%PDF", 4, "a PDF. The figures are needed as CSV" },
};

static enum status skip_mark(struct csv *c, struct err *e)
{
    int n = 1;
    while (c->end - c->at < 4 && n > 0)
        n = fill(c);
    if (n < 0) {
        (void)failed(c, e);
        return e ? e->code : ST_IO;
    }
    size_t have = (size_t)(c->end - c->at);
    if (have >= 3 && memcmp(c->at, "\xef\xbb\xbf", 3) == 0) /* the mark that some programs put before UTF-8 */
        c->at += 3;
    for (size_t i = 0; i < ARRAY_LEN(OTHERS); i++)
        if (have >= OTHERS[i].len && memcmp(c->at, OTHERS[i].bytes, OTHERS[i].len) == 0)
            return err_set(e, ST_SYNTAX, "%s:1: this is %s.", c->name, OTHERS[i].say);
    return ST_OK;
}

/* One column only: how else may they be parted? The beginning of the text says. */
static const char *parting_hint(const char *head, size_t len)
{
    if (memchr(head, ';', len))
        return " Cells are parted by commas here, not by semicolons.";
    if (memchr(head, '\t', len))
        return " Cells are parted by commas here, not by tabs.";
    if (memchr(head, '\r', len) && !memchr(head, '\n', len))
        return " Lines end with a line feed here, not with a carriage return alone.";
    return "";
}

static enum status check_header(const struct csv *c, const char *hint, struct err *e)
{
    char lacking[300];
    size_t len = 0;
    for (int i = 0; i < c->count; i++) {
        if (c->column_of[i] < 0)
            return err_set(e, ST_SYNTAX, "%s:%lld:%lld: the header has `%s` a second time. Each column is needed once: rename or "
                           "take out the other.", c->name, (long long)c->row_line, (long long)-c->column_of[i], c->wanted[i]);
        if (c->column_of[i] == 0) {
            int n = snprintf(lacking + len, sizeof lacking - len, "%s`%s`", len ? ", " : "", c->wanted[i]);
            len = n < 0 || len + (size_t)n >= sizeof lacking ? len : len + (size_t)n;
        }
    }
    if (len > 0)
        return err_set(e, ST_SYNTAX, "%s:%lld: the header, of %lld column%s, lacks %s. The first row holds these names.%s", c->name,
                       (long long)c->row_line, (long long)c->columns, c->columns == 1 ? "" : "s", lacking, hint);
    return ST_OK;
}

static void sort_columns(struct csv *c)
{
    for (int i = 0; i < c->count; i++) {
        int64_t column = c->column_of[i];
        int j = i;
        for (; j > 0 && c->column_of[j - 1] > column; j--) {
            c->column_of[j] = c->column_of[j - 1];
            c->order[j] = c->order[j - 1];
        }
        c->column_of[j] = column;
        c->order[j] = i;
    }
}

static enum status read_header(struct csv *c, struct err *e)
{
    enum csv_answer answer = CSV_END;
    const char *hint = "";
    enum status st = skip_mark(c, e);
    c->is_header = true;
    do {
        int n = st == ST_OK ? gather(c) : 1;
        if (n < 0) {
            (void)failed(c, e);
            st = e ? e->code : ST_IO;
        } else if (n == 0) {
            st = err_set(e, ST_SYNTAX, "%s:%lld: nothing stands here; a first row with the columns' names is needed.", c->name,
                         (long long)c->line);
        }
        if (st != ST_OK)
            return st;
        hint = parting_hint(c->at, (size_t)(c->end - c->at) < 1000 ? (size_t)(c->end - c->at) : 1000);
    } while (take_any(c, NULL, &answer, e) == ANY_BLANK);
    c->is_header = false;
    if (answer != CSV_ROW)
        return e ? e->code : ST_SYNTAX;
    st = check_header(c, c->columns == 1 ? hint : "", e);
    if (st == ST_OK)
        sort_columns(c);
    return st;
}

/* ---- opening ---- */

static enum status begin(struct csv *c, struct err *e)
{
    if (fstat(c->fd, &c->first) != 0)
        return err_set(e, ST_IO, "%s cannot be read: %s.", c->name, strerror(errno));
    if (S_ISDIR(c->first.st_mode))
        return err_set(e, ST_IO, "%s is a folder. Name a CSV file in it.", c->name);
    off_t from = lseek(c->fd, 0, SEEK_CUR);
    /* files of the system say that they are empty, and are not */
    c->size = S_ISREG(c->first.st_mode) && c->first.st_size > 0 && from >= 0 ? c->first.st_size - from : -1;
    return read_header(c, e);
}

enum status csv_open_fd(int fd, const char *name, const char *const *wanted, int count, struct csv **out, struct err *e)
{
    struct csv *c = count >= 1 && count <= CSV_WANTED_MAX ? malloc(sizeof *c) : NULL;
    *out = NULL;
    if (!c) {
        if (fd != STDIN_FILENO)
            (void)close(fd);
        return err_set(e, ST_NO_MEMORY, "There is not enough memory to read %.150s.", name);
    }
    memset(c, 0, offsetof(struct csv, cell));
    c->fd = fd;
    c->line = 1;
    c->wanted = wanted;
    c->count = count;
    c->at = c->end = c->buffer;
    memset(c->buffer, '\n', BLOCK_BYTES);
    (void)snprintf(c->name, sizeof c->name, "%s", name);
    enum status st = begin(c, e);
    if (st == ST_OK)
        *out = c;
    else
        csv_close(c);
    return st;
}

enum status csv_open(const char *path, const char *const *wanted, int count, struct csv **out, struct err *e)
{
    *out = NULL;
    if (strcmp(path, "-") == 0)
        return csv_open_fd(STDIN_FILENO, "standard input", wanted, count, out, e);
    int fd = open(path, O_RDONLY | O_CLOEXEC | O_NOCTTY);
    if (fd < 0) {
        enum status st = errno == ENOENT || errno == ENOTDIR ? ST_NOT_FOUND : errno == EACCES || errno == EPERM ? ST_PERMISSION : ST_IO;
        return err_set(e, st, "%.200s cannot be read: %s.", path, strerror(errno));
    }
    return csv_open_fd(fd, path, wanted, count, out, e);
}

void csv_close(struct csv *c)
{
    if (c && c->fd != STDIN_FILENO)
        (void)close(c->fd);
    free(c);
}

int64_t csv_empty_rows(const struct csv *c, int64_t *first_line)
{
    *first_line = c->empty_line;
    return c->empty_rows;
}

const char *csv_name(const struct csv *c)
{
    return c->name;
}

enum csv_fault csv_fault(const struct csv *c)
{
    return c->fault;
}

int64_t csv_line(const struct csv *c)
{
    return c->row_line;
}

int64_t csv_bytes(const struct csv *c)
{
    return c->bytes;
}

int64_t csv_size(const struct csv *c)
{
    return c->size;
}
