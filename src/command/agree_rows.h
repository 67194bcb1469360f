/* SPDX-License-Identifier: GPL-3.0-or-later */
/** @file agree_rows.h  Pairs out of a CSV text: values as thousandths, and a tally for each measurer. */
#ifndef STILLARM_COMMAND_AGREE_ROWS_H
#define STILLARM_COMMAND_AGREE_ROWS_H

#include "command/agree_cells.h"
#include "command/agree_names.h"
#include "guide/chart.h"
#include "guide/pairs_words.h"
#include "stillarm/agreement.h"

#define AGREE_MEASURERS_MAX 100000
#define AGREE_BAD_SAID 10 /* bad rows that are told one by one; those behind are counted */

struct row_cell;

struct measurer {
    const char *name;
    uint32_t number;         /* in the order in which they came */
    struct agree_tally tally;
};

/** What was read. Set the first four; the rest begins at zero. */
struct agree_rows {
    const struct agree_frame *frame;
    const char *of;                  /* this measurer alone; NULL: all */
    bool is_skipping;                /* bad rows are left out and counted; else the first ends it */
    struct difference_grid *grid;    /* of both sides, or NULL */
    struct learning_path *path;      /* of the first measurer, begun, or NULL */

    int64_t rows, bad, others;       /* all, left out, of other measurers than `of` */
    int64_t faults[ROW_FAULT_COUNT], fault_line[ROW_FAULT_COUNT]; /* how many, and where the first stands; of any measurer */
    struct err bad_said[AGREE_BAD_SAID]; /* the first of them */
    int64_t empty_rows, empty_line;  /* of empty cells alone, which are no rows; where the first stands */
    struct pair_doubts doubts;       /* of the pairs that were taken */
    struct measurer **measurers;     /* by name, once reading has ended */
    uint32_t count;
    int64_t cells;                   /* a measurer and a subject each */

    struct keep kept;                /* what lives as long as the rows */
    struct name_table names, subjects;
    struct row_cell *first_cell, **last_cell;
};

/** Called now and then with what was read so far. */
typedef void (*agree_progress_fn)(void *user, const struct csv *c, int64_t rows);

/** Read all rows. ST_SYNTAX or ST_RANGE for the first bad one, FILE:LINE:COLUMN first; ST_FULL for too many measurers. */
enum status agree_rows_read(struct agree_rows *r, struct csv *c, agree_progress_fn, void *user, struct err *e) MUST_USE;
void agree_rows_free(struct agree_rows *r);

#endif
