/* SPDX-License-Identifier: GPL-3.0-or-later */
/** @file progress_out.h  Records as text, CSV and JSON (docs/progress.md). */
#ifndef STILLARM_PROGRESS_OUT_H
#define STILLARM_PROGRESS_OUT_H

#include <stdio.h>

#include "command/progress_load.h"
#include "output/chart_file.h"
#include "output/figures_json.h"

/** What stands beside every record. */
struct progress_frame {
    const struct progress_ask *ask;
    const struct learning_rates *rates;
};

/** A person's lines: the verdict first. */
void progress_text(const struct progress_frame *f, const struct progress *p, const struct progress_row *before, FILE *out);
/** The group as a table, and what has changed. now and before are sorted. */
void progress_group_text(const struct progress_frame *f, struct progress_row *now, struct progress_row *before, int count, FILE *out);

/** RFC 4180: names of the columns; a row a person. A figure that cannot be said is an empty cell. */
void progress_csv_head(FILE *out);
void progress_csv_row(const struct progress_frame *f, const struct progress *p, FILE *out);

/** One object around the people (a reference that is taken; NULL: memory was short). */
enum status progress_json(const struct progress_frame *f, json_t *people, FILE *out, struct err *e) MUST_USE;

#endif
