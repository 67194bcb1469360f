/* SPDX-License-Identifier: GPL-3.0-or-later */
/** @file agree_rows.h  Pairs out of a CSV text: values as thousandths, and a tally for each measurer. */
#ifndef STILLARM_COMMAND_AGREE_ROWS_H
#define STILLARM_COMMAND_AGREE_ROWS_H

#include "command/csv.h"
#include "command/keep.h"
#include "guide/chart.h"
#include "stillarm/agreement.h"

#define AGREE_MEASURERS_MAX 100000
#define AGREE_NAME_MAX 64 /* bytes of a measurer's or a subject's name */

/** Why a row is left out. The first are those of csv.h. */
enum row_fault {
    ROW_CELLS = CSV_FAULT_CELLS, ROW_QUOTE = CSV_FAULT_QUOTE, ROW_NUL = CSV_FAULT_NUL, ROW_LONG = CSV_FAULT_LONG,
    ROW_EMPTY = CSV_FAULT_COUNT, ROW_NAME, ROW_NUMBER, ROW_RANGE, ROW_DECIMALS,
    ROW_FAULT_COUNT
};
/** id: for JSON. say: behind a count, `2 with an empty cell`. */
extern const struct row_fault_words { const char *id, *say; } ROW_FAULTS[ROW_FAULT_COUNT];

/** The columns that are needed, in the order in which csv_next gives them. */
enum agree_column { COLUMN_MEASURER, COLUMN_SUBJECT, COLUMN_VALUES, AGREE_COLUMNS = COLUMN_VALUES + SIDE_COUNT * EAR_COUNT };
extern const char *const AGREE_COLUMN_NAMES[AGREE_COLUMNS];

/** A name with whose it is: a subject's measurer, so that two may well have a subject of one name. Of a name of up to 8 bytes
 *  bits are the name itself; of a longer one its hash. */
struct row_key { uint64_t bits; uint32_t owner, len; const char *text; };

struct measurer {
    const char *name;
    uint32_t number;         /* in the order in which they came */
    struct agree_tally tally;
};

struct row_cell;
struct row_table { struct row_slot *slots; uint32_t cap, count; };

/** What was read. Set the first four; the rest begins at zero. */
struct agree_rows {
    const struct agree_frame *frame;
    const char *of;                  /* this measurer alone; NULL: all */
    bool is_skipping;                /* bad rows are left out and counted; else the first ends it */
    struct difference_grid *grid;    /* of both sides, or NULL */
    struct learning_path *path;      /* of the first measurer, begun, or NULL */

    int64_t rows, bad, others;       /* all, left out, of other measurers than `of` */
    int64_t faults[ROW_FAULT_COUNT];
    struct err first_bad;
    struct measurer **measurers;     /* by name, once reading has ended */
    uint32_t count;
    int64_t cells;                   /* a measurer and a subject each */

    struct keep kept;                /* what lives as long as the rows */
    struct row_table names, subjects;
    struct row_cell *first_cell, **last_cell;
};

/** Called now and then with what was read so far. */
typedef void (*agree_progress_fn)(void *user, const struct csv *c, int64_t rows);

/** Read all rows. ST_SYNTAX or ST_RANGE for the first bad one, FILE:LINE:COLUMN first; ST_FULL for too many measurers. */
enum status agree_rows_read(struct agree_rows *r, struct csv *c, agree_progress_fn, void *user, struct err *e) MUST_USE;
void agree_rows_free(struct agree_rows *r);

/** 0 to 999.999 with at most three decimals, in thousandths. */
bool agree_value(const char *text, size_t len, int64_t *out);

#endif
