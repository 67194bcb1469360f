/* SPDX-License-Identifier: GPL-3.0-or-later */
/** @file terminal.h  Draws pages, reads keys: ncurses, or line by line on standard streams. Holds no wording
 * of its own beyond "too small". One terminal at a time. */
#ifndef STILLARM_TERMINAL_H
#define STILLARM_TERMINAL_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#include "guide/page.h"
#include "stillarm/err.h"

struct terminal;

enum terminal_kind { TERMINAL_SCREEN, TERMINAL_PLAIN };

/** Start. TERMINAL_SCREEN: ST_IO when standard input or output is no terminal or TERM is not usable (text
 * says: use --plain). */
enum status terminal_open(enum terminal_kind kind, struct terminal **out, struct err *e) MUST_USE;
/** Restore the terminal; NULL is fine. Also done on fatal signals. */
void terminal_close(struct terminal *t);

/** How much room a drawing has on a page. Plain: 0 by 0, where words take its place. ascii: nothing but ASCII is shown. */
void terminal_size(const struct terminal *t, int *rows, int *cols, bool *is_ascii);

/** Draw a page; cheap when little changed. Plain: prints only what is new. */
void terminal_draw(struct terminal *t, const struct page *pg);

/** The next key, or KEY_NONE once clock_boot_ms() reaches until_boot_ms. KEY_HANGUP on end of input or
 * SIGHUP/SIGTERM. Plain: a line `yes` gives y, e, s, ENTER on a page with a field, and its first character
 * alone elsewhere; an empty line ENTER. */
struct key terminal_key(struct terminal *t, int64_t until_boot_ms);

/** Write a static rendering of a page as text of the given size (no escapes); for docs/screens and tests.
 * ascii: no UTF-8. */
void terminal_render_text(const struct page *pg, int rows, int cols, bool ascii, char *out, size_t cap);

#endif
