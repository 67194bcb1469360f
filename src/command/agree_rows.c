/* SPDX-License-Identifier: GPL-3.0-or-later */
/** @file agree_rows.c  Rows are read and their names found by one thread, and added by a second; nothing is allocated for a row. */
#include "command/agree_rows.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

#include "command/relay.h"
#include "stillarm/text.h"

#define SAID_MAX 40 /* bytes of a cell that a message quotes */

const struct row_fault_words ROW_FAULTS[] = {
    [ROW_CELLS] = { "cells", "with another number of cells than the header" },
    [ROW_QUOTE] = { "quote", "with a quote inside of a cell" },
    [ROW_NUL] = { "nul", "with a NUL byte" },
    [ROW_LONG] = { "long", "with a cell of more than 200 bytes" },
    [ROW_EMPTY] = { "empty", "with an empty cell" },
    [ROW_NAME] = { "name", "with a name that is none" },
    [ROW_NUMBER] = { "number", "with something else than a number" },
    [ROW_RANGE] = { "range", "with a number outside 0 to 999.999" },
    [ROW_DECIMALS] = { "decimals", "with more than three decimals" },
};
_Static_assert(ARRAY_LEN(ROW_FAULTS) == ROW_FAULT_COUNT, "one row per reason");

const char *const AGREE_COLUMN_NAMES[] = {
    [COLUMN_MEASURER] = "measurer",
    [COLUMN_SUBJECT] = "subject",
    [COLUMN_VALUES + SIDE_SYSTOLIC * EAR_COUNT + EAR_MEASURER] = "measurer_systolic",
    [COLUMN_VALUES + SIDE_SYSTOLIC * EAR_COUNT + EAR_LISTENER] = "listener_systolic",
    [COLUMN_VALUES + SIDE_DIASTOLIC * EAR_COUNT + EAR_MEASURER] = "measurer_diastolic",
    [COLUMN_VALUES + SIDE_DIASTOLIC * EAR_COUNT + EAR_LISTENER] = "listener_diastolic",
};
_Static_assert(ARRAY_LEN(AGREE_COLUMN_NAMES) == AGREE_COLUMNS && AGREE_COLUMNS <= CSV_WANTED_MAX, "one name per column");

void agree_rows_free(struct agree_rows *r)
{
    keep_free(&r->kept);
    free(r->names.slots);
    free(r->subjects.slots);
    free(r->measurers);
    r->names.slots = r->subjects.slots = NULL;
    r->measurers = NULL;
}

/* ---- names ---- */

/* A subject under a measurer. */
struct row_cell {
    struct measurer *measurer;
    struct row_cell *next; /* in the order in which they came */
    struct agree_subject subject;
};

/* Holds the key, so that what it leads to is not looked at, which may be the second thread's. */
struct row_slot { struct row_key key; void *of; /* NULL: free */ };

#define NO_OWNER UINT32_MAX
#define BITS_WHOLE 8

static uint64_t load(const char *s, size_t n)
{
    uint64_t x = 0;
    memcpy(&x, s, n);
    return x;
}

static uint64_t stir(uint64_t x)
{
    x *= UINT64_C(0x9e3779b97f4a7c15);
    return x ^ x >> 32;
}

/* Loads of a fixed size, overlapping in the middle, are several times faster than a loop over bytes. */
static inline uint64_t bits_of(const char *text, size_t len)
{
    uint64_t bits = 0;
    if (len >= 4 && len <= BITS_WHOLE)
        return load(text, 4) | load(text + len - 4, 4) << 32;
    if (len >= 1 && len < 4)
        return load(text, 1) | load(text + len / 2, 1) << 8 | load(text + len - 1, 1) << 16;
    for (size_t i = 0; i < len; i++)
        bits = stir(bits) ^ (unsigned char)text[i];
    return bits;
}

static inline struct row_key key_of(const struct csv_cell *c, uint32_t owner)
{
    return (struct row_key){ .bits = bits_of(c->text, c->len), .owner = owner, .len = (uint32_t)c->len, .text = c->text };
}

static bool is_same(const struct row_key *a, const struct row_key *b)
{
    return a->bits == b->bits && a->owner == b->owner && a->len == b->len &&
           (a->len <= BITS_WHOLE || memcmp(a->text, b->text, a->len) == 0);
}

static uint64_t hash_of(const struct row_key *k)
{
    return stir(stir(k->bits + k->owner) + k->len);
}

static inline uint32_t place_of(const struct row_table *t, const struct row_key *k)
{
    return (uint32_t)hash_of(k) & (t->cap - 1);
}

/* Where the name stands, or the free place where it belongs. The table has room. */
static inline struct row_slot *find(const struct row_table *t, const struct row_key *k)
{
    uint32_t i = place_of(t, k);
    while (t->slots[i].of && !is_same(&t->slots[i].key, k))
        i = (i + 1) & (t->cap - 1);
    return &t->slots[i];
}

static inline void *look_up(const struct row_table *t, const struct row_key *k)
{
    return t->cap > 0 ? find(t, k)->of : NULL;
}

/* Room for one more, with a quarter of it free. */
static bool make_room(struct row_table *t)
{
    struct row_table grown = { .cap = t->cap > 0 ? t->cap * 2 : 256, .count = t->count };
    if (t->cap > 0 && t->count < t->cap / 4 * 3)
        return true;
    grown.slots = grown.cap > t->cap ? keep_blank(grown.cap * sizeof *grown.slots) : NULL;
    if (!grown.slots)
        return false;
    for (uint32_t i = 0; i < t->cap; i++)
        if (t->slots[i].of)
            *find(&grown, &t->slots[i].key) = t->slots[i];
    free(t->slots);
    *t = grown;
    return true;
}

/* A new element of that name, which stands behind it, ended by a NUL; NULL when memory is short. */
static void *keep_name(struct agree_rows *r, struct row_table *t, size_t size, const struct row_key *k)
{
    char *of = keep_more(&r->kept, size + k->len + 1);
    if (!of || !make_room(t))
        return NULL;
    memcpy(of + size, k->text, k->len);
    struct row_slot *slot = find(t, k);
    *slot = (struct row_slot){ .key = *k, .of = of };
    slot->key.text = of + size;
    t->count++;
    return of;
}

static struct measurer *add_measurer(struct agree_rows *r, const struct row_key *k, struct err *e)
{
    if (r->count >= AGREE_MEASURERS_MAX) {
        err_set(e, ST_FULL, "There are more than %d measurers in it. Is `%s` the column of those who measured?",
                AGREE_MEASURERS_MAX, AGREE_COLUMN_NAMES[COLUMN_MEASURER]);
        return NULL;
    }
    struct measurer *m = keep_name(r, &r->names, sizeof *m, k), **grown = r->measurers;
    if (m && (r->count & (r->count - 1)) == 0) /* full at each power of two */
        grown = realloc(r->measurers, (r->count > 0 ? 2 * (size_t)r->count : 1) * sizeof(struct measurer *));
    if (!m || !grown) {
        err_set(e, ST_NO_MEMORY, "There is not enough memory for so many measurers.");
        return NULL;
    }
    agree_begin(&m->tally, r->frame);
    m->name = (const char *)(m + 1);
    m->number = r->count;
    r->measurers = grown;
    r->measurers[r->count++] = m;
    return m;
}

static struct row_cell *add_cell(struct agree_rows *r, struct measurer *m, const struct row_key *k)
{
    struct row_cell *cell = keep_name(r, &r->subjects, sizeof *cell, k);
    if (!cell)
        return NULL;
    cell->measurer = m;
    *(r->last_cell ? r->last_cell : &r->first_cell) = cell;
    r->last_cell = &cell->next;
    r->cells++;
    return cell;
}

/* ---- values ---- */

/* One to three digits and nothing else, as nearly all are. How many there are is as good as random, so nothing branches on it:
 * a digit that is not there reads the first one, times 0. */
static inline bool take_digits(const char *text, size_t len, int64_t *out)
{
    if (len - 1 > 2)
        return false;
    const unsigned ones = (unsigned char)text[len - 1] - (unsigned)'0', tens = (unsigned char)text[len > 1 ? len - 2 : 0] - (unsigned)'0',
                   hundreds = (unsigned char)text[0] - (unsigned)'0';
    *out = (int64_t)AGREE_UNIT * (ones + tens * (len > 1 ? 10u : 0u) + hundreds * (len > 2 ? 100u : 0u));
    return (ones <= 9) & (tens <= 9) & (hundreds <= 9);
}

bool agree_value(const char *text, size_t len, int64_t *out)
{
    int64_t value = 0, unit = AGREE_UNIT;
    size_t i = 0;
    for (; i < len && i < 3 && text[i] >= '0' && text[i] <= '9'; i++)
        value = 10 * value + (text[i] - '0');
    if (i == 0)
        return false;
    if (i < len) {
        if (text[i] != '.' || i + 1 == len || len - i - 1 > 3)
            return false;
        for (i++; i < len; i++) {
            if (text[i] < '0' || text[i] > '9')
                return false;
            value = 10 * value + (text[i] - '0');
            unit /= 10;
        }
    }
    *out = value * unit;
    return true;
}

/* Why it is no value: what looks like a number is out of range or too fine. */
static enum row_fault fault_of_value(const struct csv_cell *c)
{
    size_t i = c->len > 0 && (c->text[0] == '-' || c->text[0] == '+'), whole = 0, decimals = 0;
    for (; i < c->len && c->text[i] >= '0' && c->text[i] <= '9'; i++)
        whole++;
    if (i < c->len && c->text[i] == '.')
        for (i++; i < c->len && c->text[i] >= '0' && c->text[i] <= '9'; i++)
            decimals++;
    if (i < c->len || whole == 0 || (c->text[i - 1] == '.'))
        return ROW_NUMBER;
    if (c->text[0] == '-' || whole > 3)
        return ROW_RANGE;
    return decimals > 3 ? ROW_DECIMALS : ROW_NUMBER;
}

static bool is_fine_name(const char *name, size_t len)
{
    char text[AGREE_NAME_MAX + 1];
    size_t plain = 0;
    while (plain < len && name[plain] > ' ' && name[plain] <= '~')
        plain++;
    if (plain == len && len >= 1 && len <= AGREE_NAME_MAX) /* as nearly all are */
        return true;
    if (len > AGREE_NAME_MAX || memchr(name, '\0', len))
        return false;
    memcpy(text, name, len);
    text[len] = '\0';
    return is_plain_text(text, AGREE_NAME_MAX);
}

/* What the first cell that is not as it must be wants. */
static const char *const NEEDS[ROW_FAULT_COUNT] = {
    [ROW_NAME] = "A name has 1 to 64 bytes of UTF-8, without control characters, and is not blank",
    [ROW_NUMBER] = "It must be a number from 0 to 999.999 in mmHg, such as 120 or 120.5, and nothing beside it",
    [ROW_RANGE] = "It must lie from 0 to 999.999 mmHg",
    [ROW_DECIMALS] = "It can have three decimals at most",
};

/* Leave the row out, or end with it. */
static enum status leave_out(struct agree_rows *r, enum row_fault fault, const struct err *why, struct err *e)
{
    if (!r->is_skipping)
        return err_set(e, why->code, "%s --skip-bad leaves such rows out and counts them.", why->text);
    if (r->bad++ == 0)
        r->first_bad = *why;
    r->faults[fault]++;
    return ST_OK;
}

/* Where a row stands, for messages. */
struct row_place { const char *file; int64_t line; };

static enum status refuse_cell(struct agree_rows *r, struct row_place at, enum agree_column column, enum row_fault fault,
                               const struct csv_cell *c, struct err *e)
{
    struct err why;
    char said[SAID_MAX + 1];
    size_t len = c->len < SAID_MAX ? c->len : SAID_MAX;
    memcpy(said, c->text, len);
    said[len] = '\0';
    if (fault == ROW_EMPTY)
        err_set(&why, ST_SYNTAX, "%s:%lld:%lld: %s is empty.", at.file, (long long)at.line, (long long)c->column,
                AGREE_COLUMN_NAMES[column]);
    else
        err_set(&why, ST_SYNTAX, "%s:%lld:%lld: %s is `%s%s`. %s.", at.file, (long long)at.line, (long long)c->column,
                AGREE_COLUMN_NAMES[column], said, c->len > len ? "..." : "", NEEDS[fault]);
    return leave_out(r, fault, &why, e);
}

/* Say of a row that was not taken which cell is at fault, from the left of the columns that are needed. */
static enum status refuse_row(struct agree_rows *r, struct row_place at, const struct csv_cell *cells, struct err *e)
{
    int64_t value;
    const struct csv_cell *worst = NULL;
    enum row_fault fault = ROW_NUMBER;
    for (int i = 0; i < AGREE_COLUMNS; i++) {
        const struct csv_cell *c = &cells[i];
        bool is_fine = i < COLUMN_VALUES ? is_fine_name(c->text, c->len) : agree_value(c->text, c->len, &value);
        if (is_fine || (worst && worst->column < c->column))
            continue;
        worst = c;
        fault = c->len == 0 ? ROW_EMPTY : i < COLUMN_VALUES ? ROW_NAME : fault_of_value(c);
    }
    return worst ? refuse_cell(r, at, (enum agree_column)(worst - cells), fault, worst, e) : ST_OK;
}

/* ---- rows ---- */

static inline bool take_value(const struct csv_cell *cells, enum side side, enum ear ear, struct agree_pair *p)
{
    const struct csv_cell *c = &cells[COLUMN_VALUES + (int)side * EAR_COUNT + (int)ear];
    int64_t *value = &p->value[side][ear];
    return take_digits(c->text, c->len, value) || agree_value(c->text, c->len, value);
}

static inline bool take_values(const struct csv_cell *cells, struct agree_pair *p)
{
    return take_value(cells, SIDE_SYSTOLIC, EAR_MEASURER, p) && take_value(cells, SIDE_SYSTOLIC, EAR_LISTENER, p) &&
           take_value(cells, SIDE_DIASTOLIC, EAR_MEASURER, p) && take_value(cells, SIDE_DIASTOLIC, EAR_LISTENER, p);
}

static bool is_other(const struct agree_rows *r, const struct csv_cell *measurer)
{
    return r->of && (strlen(r->of) != measurer->len || memcmp(r->of, measurer->text, measurer->len) != 0);
}

/* ---- adding, by a second thread where the file is large ---- */

/* A row whose measurer and subject were found. What its cell and its measurer's tally hold is touched by adding alone, until all
 * is added; faults, names and progress are the reader's alone. So nothing of it is shared but the blocks of these. */
struct row_found { struct row_cell *cell; struct agree_pair pair; };
enum { FOUND_MAX = 4096 };

/* GNU C; without it all is slower and no different. */
static void fetch(const void *at, size_t size)
{
    enum { CACHE_LINE = 64 };
    for (size_t i = 0; i < size; i += CACHE_LINE)
        __builtin_prefetch((const char *)at + i);
}

static void draw(struct agree_rows *r, const struct measurer *m, const struct agree_pair *p, int64_t wrong_before)
{
    for (int side = 0; r->grid && side < SIDE_COUNT; side++)
        difference_grid_add(&r->grid[side], p->value[side][EAR_MEASURER], p->value[side][EAR_LISTENER]);
    if (r->path && m->number == 0)
        learning_path_add(r->path, &m->tally.learning, m->tally.learning.wrong == wrong_before);
}

static void add_found(void *user, const void *block, size_t count)
{
    enum { AHEAD = 8 };
    struct agree_rows *r = user;
    const struct row_found *found = block;
    const struct agree_frame *frame = r->frame; /* looked up once: what stands beside it is written to all the time */
    const bool has_graph = r->grid || r->path;
    for (size_t i = 0; i < count; i++) {
        struct row_cell *cell = found[i].cell;
        struct measurer *m = cell->measurer;
        int64_t wrong_before = m->tally.learning.wrong;
        if (i + AHEAD < count)
            fetch(found[i + AHEAD].cell, sizeof *cell);
        agree_add(&m->tally, &cell->subject, frame, &found[i].pair);
        if (has_graph)
            draw(r, m, &found[i].pair, wrong_before);
    }
}

/* A small file is read before a thread would be at work. */
static bool is_worth_thread(const struct csv *c)
{
    enum { LARGE_BYTES = 4 << 20 };
    return (csv_size(c) < 0 || csv_size(c) >= LARGE_BYTES) && sysconf(_SC_NPROCESSORS_ONLN) > 1;
}

/* ---- rows that wait for memory ---- */

/* The table of subjects does not fit a cache, and they come in no order: a row waits, while others are read, until its place was
 * fetched. */
enum { WAITING_MAX = 16 };
struct row_waiting {
    struct measurer *measurer;
    struct row_key subject;   /* its text in name */
    struct agree_pair pair;
    struct row_place at;
    int64_t column;           /* of the subject */
    char name[AGREE_NAME_MAX];
};
struct row_queue {
    struct row_waiting rows[WAITING_MAX];
    int count;
    struct relay *relay;
    struct row_found *block;  /* the relay's, that is filled now */
    size_t found;             /* in it */
};

/* The first row of a subject: only here its name needs to be looked at. NULL: it was refused, or memory is short. */
static struct row_cell *take_new_subject(struct agree_rows *r, const struct row_waiting *w, enum status *st, struct err *e)
{
    const struct csv_cell name = { .text = w->name, .len = w->subject.len, .column = w->column };
    if (!is_fine_name(name.text, name.len)) {
        *st = refuse_cell(r, w->at, COLUMN_SUBJECT, name.len == 0 ? ROW_EMPTY : ROW_NAME, &name, e);
        return NULL;
    }
    struct row_cell *cell = add_cell(r, w->measurer, &w->subject);
    if (!cell)
        *st = err_set(e, ST_NO_MEMORY, "%s:%lld: There is not enough memory for so many subjects.", w->at.file, (long long)w->at.line);
    return cell;
}

static void pass_found(struct row_queue *q)
{
    relay_pass(q->relay, q->found);
    q->block = relay_block(q->relay);
    q->found = 0;
}

static enum status find_waiting(struct agree_rows *r, struct row_queue *q, const struct row_waiting *w, struct err *e)
{
    enum status st = ST_OK;
    struct row_cell *cell = look_up(&r->subjects, &w->subject);
    if (!cell)
        cell = take_new_subject(r, w, &st, e);
    if (!cell)
        return st;
    q->block[q->found++] = (struct row_found){ .cell = cell, .pair = w->pair };
    if (q->found == FOUND_MAX)
        pass_found(q);
    return ST_OK;
}

static enum status find_all_waiting(struct agree_rows *r, struct row_queue *q, struct err *e)
{
    enum status st = ST_OK;
    for (int i = 0; i < q->count && st == ST_OK; i++)
        st = find_waiting(r, q, &q->rows[i], e);
    q->count = 0;
    return st;
}

/* A call for a few bytes takes longer than all else that is done with a name. */
static void copy_name(char *to, const struct csv_cell *c)
{
    if (c->len < 4 || c->len > 8) {
        memcpy(to, c->text, c->len);
        return;
    }
    memcpy(to, c->text, 4);
    memcpy(to + c->len - 4, c->text + c->len - 4, 4);
}

/* Its pair is there already. */
static void wait_for_cell(const struct agree_rows *r, struct row_waiting *w, struct measurer *m, const struct csv_cell *subject,
                          struct row_place at)
{
    w->measurer = m;
    w->at = at;
    w->column = subject->column;
    w->subject = (struct row_key){ .bits = bits_of(subject->text, subject->len), .owner = m->number,
                                   .len = (uint32_t)subject->len, .text = w->name };
    copy_name(w->name, subject);
    if (r->subjects.cap > 0)
        fetch(&r->subjects.slots[place_of(&r->subjects, &w->subject)], sizeof(struct row_slot));
}

/* ---- each row ---- */

/* What is wrong with it is said in the order of the rows: those that wait come first. */
static enum status refuse_after_waiting(struct agree_rows *r, struct row_queue *q, struct row_place at, const struct csv_cell *cells,
                                        struct err *e)
{
    enum status st = find_all_waiting(r, q, e);
    return st == ST_OK ? refuse_row(r, at, cells, e) : st;
}

static enum status take_row(struct agree_rows *r, struct row_queue *q, struct row_place at, const struct csv_cell *cells, struct err *e)
{
    struct row_waiting *w = &q->rows[q->count];
    const struct csv_cell *measurer = &cells[COLUMN_MEASURER], *subject = &cells[COLUMN_SUBJECT];
    const struct row_key k = key_of(measurer, NO_OWNER);
    struct measurer *m = look_up(&r->names, &k);
    const bool is_fine = take_values(cells, &w->pair) && subject->len <= AGREE_NAME_MAX;
    if (!is_fine || (!m && !(is_fine_name(measurer->text, measurer->len) && is_fine_name(subject->text, subject->len))))
        return refuse_after_waiting(r, q, at, cells, e);
    if (!m && is_other(r, measurer)) {
        r->others++;
        return ST_OK;
    }
    struct err why;
    m = m ? m : add_measurer(r, &k, &why);
    if (!m)
        return err_set(e, why.code, "%s:%lld: %s", at.file, (long long)at.line, why.text);
    wait_for_cell(r, w, m, subject, at);
    return ++q->count == WAITING_MAX ? find_all_waiting(r, q, e) : ST_OK;
}

static int by_name(const void *a, const void *b)
{
    const struct measurer *const *x = a, *const *y = b;
    return strcmp((*x)->name, (*y)->name);
}

static void close_all(struct agree_rows *r)
{
    for (const struct row_cell *c = r->first_cell; c; c = c->next)
        agree_close_subject(&c->measurer->tally, &c->subject);
    if (r->count > 0)
        qsort(r->measurers, r->count, sizeof(struct measurer *), by_name);
}

static enum status take_answer(struct agree_rows *r, struct row_queue *q, const struct csv *c, enum csv_answer answer,
                               const struct csv_cell *cells, const struct err *why, struct err *e)
{
    const struct row_place at = { .file = csv_name(c), .line = csv_line(c) };
    if (answer == CSV_ROW)
        return take_row(r, q, at, cells, e);
    enum status st = find_all_waiting(r, q, e);
    if (st != ST_OK)
        return st;
    return answer == CSV_BAD ? leave_out(r, (enum row_fault)csv_fault(c), why, e) : err_set(e, why->code, "%s", why->text);
}

static enum status read_all(struct agree_rows *r, struct row_queue *q, struct csv *c, agree_progress_fn progress, void *user,
                            struct err *e)
{
    enum { PROGRESS_ROWS = 4096 };
    struct csv_cell cells[CSV_WANTED_MAX];
    struct err why = { .code = ST_OK };
    enum status st = ST_OK;
    for (enum csv_answer answer; st == ST_OK && (answer = csv_next(c, cells, &why)) != CSV_END;) {
        if (answer != CSV_FAILED && ++r->rows % PROGRESS_ROWS == 0 && progress)
            progress(user, c, r->rows);
        st = take_answer(r, q, c, answer, cells, &why, e);
    }
    return st == ST_OK ? find_all_waiting(r, q, e) : st;
}

enum status agree_rows_read(struct agree_rows *r, struct csv *c, agree_progress_fn progress, void *user, struct err *e)
{
    struct row_queue q = { .relay = relay_open(FOUND_MAX * sizeof(struct row_found), is_worth_thread(c), add_found, r) };
    if (!q.relay)
        return err_set(e, ST_NO_MEMORY, "There is not enough memory to read %.150s.", csv_name(c));
    q.block = relay_block(q.relay);
    enum status st = read_all(r, &q, c, progress, user, e);
    pass_found(&q);
    relay_close(q.relay);
    if (st == ST_OK)
        close_all(r);
    return st;
}
