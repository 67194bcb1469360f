/* SPDX-License-Identifier: GPL-3.0-or-later */
/** @file svg_words.h  The words of a graph as words: an SVG holds its letters as outlines, which nobody can search or hear. */
#ifndef STILLARM_SVG_WORDS_H
#define STILLARM_SVG_WORDS_H

#include <stdbool.h>
#include <stddef.h>

#include "guide/chart.h"

/** Bytes that grow. Zero to begin; the caller frees data. */
struct bytes { char *data; size_t len, cap; };
/** False when memory is short; what was there stays. */
bool bytes_add(struct bytes *b, const void *data, size_t len);

/** Add title and description behind the opening tag, and give the drawing's parts the same names each time. False when
 *  memory is short. */
bool svg_add_words(struct bytes *svg, const struct chart_sheet *s);

#endif
