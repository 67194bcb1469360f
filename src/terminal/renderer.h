/* SPDX-License-Identifier: GPL-3.0-or-later */
/** @file renderer.h  What terminal.c needs of its two renderers, and the signals both share. */
#ifndef STILLARM_RENDERER_H
#define STILLARM_RENDERER_H

#include <stdbool.h>
#include <stdint.h>

#include "guide/page.h"
#include "stillarm/err.h"

/** From here on HUP, TERM, INT and WINCH are held back, save while clock_wait() waits; PIPE is ignored. */
void signals_open(void);
void signals_close(void);
/** One of HUP, TERM, INT has come. */
bool signals_hung_up(void);

struct screen;
enum status screen_open(struct screen **out, struct err *e) MUST_USE;
void screen_close(struct screen *s);
void screen_size(const struct screen *s, int *rows, int *cols, bool *is_ascii);
void screen_draw(struct screen *s, const struct page *pg);
struct key screen_key(struct screen *s, int64_t until_boot_ms);

struct plain;
enum status plain_open(struct plain **out, struct err *e) MUST_USE;
void plain_close(struct plain *p);
bool plain_is_ascii(const struct plain *p);
void plain_draw(struct plain *p, const struct page *pg);
struct key plain_key(struct plain *p, int64_t until_boot_ms);

#endif
