/* SPDX-License-Identifier: GPL-3.0-or-later */
/** @file chart_file.h  Graphs as files to print and to show: PDF, PNG, SVG by cairo. Same data, same bytes. */
#ifndef STILLARM_CHART_FILE_H
#define STILLARM_CHART_FILE_H

#include "guide/chart.h"
#include "stillarm/err.h"

enum chart_form { FORM_PDF, FORM_PNG, FORM_SVG, FORM_COUNT };

/** By the name's end; ST_USAGE where it is none of them. */
enum status chart_form_of(const char *path, enum chart_form *out, struct err *e) MUST_USE;

/** Write the sheet to a new file, aside first and renamed: ST_EXISTS for one that is there, ST_IO, ST_PERMISSION, ST_FULL.
 *  A4 landscape, 297 x 210 mm; PNG 1920 x 1080. */
enum status chart_write(const struct chart_sheet *s, enum chart_form form, const char *path, struct err *e) MUST_USE;

#endif
