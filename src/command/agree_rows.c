/* SPDX-License-Identifier: GPL-3.0-or-later */
/** @file agree_rows.c  Rows are read and their names found by one thread, and added by a second; nothing is allocated for a row. */
#include "command/agree_rows.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

#include "command/relay.h"

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

#define NO_OWNER UINT32_MAX

static struct measurer *add_measurer(struct agree_rows *r, const struct name_key *k, struct err *e)
{
    if (r->count >= AGREE_MEASURERS_MAX) {
        err_set(e, ST_FULL, "There are more than %d measurers in it. Is `%s` the column of those who measured?",
                AGREE_MEASURERS_MAX, AGREE_COLUMN_NAMES[COLUMN_MEASURER]);
        return NULL;
    }
    struct measurer *m = name_add(&r->names, &r->kept, sizeof *m, k), **grown = r->measurers;
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

static struct row_cell *add_cell(struct agree_rows *r, struct measurer *m, const struct name_key *k)
{
    struct row_cell *cell = name_add(&r->subjects, &r->kept, sizeof *cell, k);
    if (!cell)
        return NULL;
    cell->measurer = m;
    *(r->last_cell ? r->last_cell : &r->first_cell) = cell;
    r->last_cell = &cell->next;
    r->cells++;
    return cell;
}

/* ---- what is wrong with a row ---- */

/* Leave the row out, or end with it. */
static enum status leave_out(struct agree_rows *r, int64_t line, enum row_fault fault, const struct err *why, struct err *e)
{
    if (!r->is_skipping)
        return err_set(e, why->code, "%s --skip-bad leaves such rows out and counts them.", why->text);
    if (r->bad < AGREE_BAD_SAID)
        r->bad_said[r->bad] = *why;
    r->bad++;
    if (r->faults[fault]++ == 0)
        r->fault_line[fault] = line;
    return ST_OK;
}

/* Where a row stands, for messages. */
struct row_place { const char *file; int64_t line; };

static enum status refuse_cell(struct agree_rows *r, struct row_place at, enum agree_column column, enum row_fault fault,
                               const struct csv_cell *c, struct err *e)
{
    struct err why;
    agree_say_cell(at.file, at.line, column, fault, c, &why);
    return leave_out(r, at.line, fault, &why, e);
}

static enum status refuse_row(struct agree_rows *r, struct row_place at, const struct csv_cell *cells, struct err *e)
{
    enum row_fault fault;
    int worst = agree_worst_cell(cells, &fault);
    return worst >= 0 ? refuse_cell(r, at, (enum agree_column)worst, fault, &cells[worst], e) : ST_OK;
}

/* ---- rows ---- */

static inline bool take_value(const struct csv_cell *cells, enum side side, enum ear ear, struct agree_pair *p)
{
    const struct csv_cell *c = &cells[COLUMN_VALUES + (int)side * EAR_COUNT + (int)ear];
    int64_t *value = &p->value[side][ear];
    return agree_digits(c->text, c->len, value) || agree_value(c->text, c->len, value);
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
    struct name_key subject;   /* its text in name */
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
    if (!agree_is_name(name.text, name.len)) {
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
    struct row_cell *cell = name_find(&r->subjects, &w->subject);
    if (!cell)
        cell = take_new_subject(r, w, &st, e);
    if (!cell)
        return st;
    if (pair_has_doubt(&w->pair))
        pair_doubts_add(&r->doubts, &w->pair, w->at.line, w->measurer->name);
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
    w->subject = (struct name_key){ .bits = name_bits(subject->text, subject->len), .owner = m->number,
                                   .len = (uint32_t)subject->len, .text = w->name };
    copy_name(w->name, subject);
    if (r->subjects.cap > 0)
        fetch(&r->subjects.slots[name_place(&r->subjects, &w->subject)], sizeof(struct name_entry));
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
    const struct name_key k = name_key(measurer, NO_OWNER);
    struct measurer *m = name_find(&r->names, &k);
    const bool is_fine = take_values(cells, &w->pair) && subject->len <= AGREE_NAME_MAX;
    if (!is_fine || (!m && !(agree_is_name(measurer->text, measurer->len) && agree_is_name(subject->text, subject->len))))
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
    return answer == CSV_BAD ? leave_out(r, at.line, (enum row_fault)csv_fault(c), why, e) : err_set(e, why->code, "%s", why->text);
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
    r->empty_rows = csv_empty_rows(c, &r->empty_line);
    if (st == ST_OK)
        close_all(r);
    return st;
}
