/* SPDX-License-Identifier: GPL-3.0-or-later */
/** @file agree_cells.h  The columns that `agree` reads, what their cells may be, and what is said of those that are something else. */
#ifndef STILLARM_COMMAND_AGREE_CELLS_H
#define STILLARM_COMMAND_AGREE_CELLS_H

#include "command/csv.h"
#include "stillarm/agreement.h"

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

/** 0 to 999.999 with at most three decimals, in thousandths. */
bool agree_value(const char *text, size_t len, int64_t *out);
bool agree_is_name(const char *name, size_t len);

/** The leftmost cell of the needed ones that is not as it must be, by its place in cells; -1: all are fine. */
int agree_worst_cell(const struct csv_cell *cells, enum row_fault *fault);
/** FILE:LINE:COLUMN first, then what it is and what it must be. */
void agree_say_cell(const char *file, int64_t line, enum agree_column column, enum row_fault fault, const struct csv_cell *c,
                    struct err *why);

/** One to three digits and nothing else, as nearly all are. How many there are is as good as random, so nothing branches on it:
 * a digit that is not there reads the first one, times 0. */
static inline bool agree_digits(const char *text, size_t len, int64_t *out)
{
    if (len - 1 > 2)
        return false;
    const unsigned ones = (unsigned char)text[len - 1] - (unsigned)'0', tens = (unsigned char)text[len > 1 ? len - 2 : 0] - (unsigned)'0',
                   hundreds = (unsigned char)text[0] - (unsigned)'0';
    *out = (int64_t)AGREE_UNIT * (ones + tens * (len > 1 ? 10u : 0u) + hundreds * (len > 2 ? 100u : 0u));
    return (ones <= 9) & (tens <= 9) & (hundreds <= 9);
}

#endif
