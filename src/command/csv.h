/* SPDX-License-Identifier: GPL-3.0-or-later */
/** @file csv.h  Rows of an RFC 4180 text out of a file or standard input, in constant memory. Every fault has line and column. */
#ifndef STILLARM_COMMAND_CSV_H
#define STILLARM_COMMAND_CSV_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#include "stillarm/err.h"

#define CSV_WANTED_MAX 8     /* columns that are looked at; all others are passed over */
#define CSV_CELL_MAX 200     /* bytes of a cell that is looked at */

struct csv;                  /* one open text */

/** `-`: standard input; a pipe or a FIFO is read as it comes. Lines without anything, and rows whose cells are all empty, are passed over. The first row is the header: each wanted column must be there once. */
enum status csv_open(const char *path, const char *const *wanted, int count, struct csv **out, struct err *e) MUST_USE;
/** The same of what is open already, and is closed by csv_close; name is how it is called in messages. */
enum status csv_open_fd(int fd, const char *name, const char *const *wanted, int count, struct csv **out, struct err *e) MUST_USE;
void csv_close(struct csv *c); /* NULL: nothing happens */

struct csv_cell { const char *text; size_t len; /* unquoted */ int64_t column; /* of the file, from 1 */ };
enum csv_answer { CSV_ROW, CSV_BAD /* this row: e says why, reading can go on behind it */, CSV_END, CSV_FAILED };
/** Why a row is bad. A row that ends too late or too soon is one of its cells; cells that are passed over count there, too. */
enum csv_fault { CSV_FAULT_CELLS, CSV_FAULT_QUOTE, CSV_FAULT_NUL, CSV_FAULT_LONG, CSV_FAULT_COUNT };
enum csv_fault csv_fault(const struct csv *c); /* behind CSV_BAD */

/** The next row's wanted cells, in the order of `wanted`; they live until the next call. CSV_FAILED is the end
 *  of it: it cannot be read, a quote stays open, or it was changed, cut short, removed or replaced while it was read. */
enum csv_answer csv_next(struct csv *c, struct csv_cell *cells, struct err *e);

/** Rows below the header that had cells, all of them empty; first_line: of the first of them. */
int64_t csv_empty_rows(const struct csv *c, int64_t *first_line);

const char *csv_name(const struct csv *c);       /* for messages: `standard input` for - */
int64_t csv_line(const struct csv *c);           /* of the row given last: where it begins, from 1 */
int64_t csv_bytes(const struct csv *c), csv_size(const struct csv *c); /* read; in all, -1 not known */

#endif
