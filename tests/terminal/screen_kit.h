/* SPDX-License-Identifier: GPL-3.0-or-later */
/** @file screen_kit.h  A program in a pseudo-terminal whose screen is read back cell by cell, and a clock
 * moved by hand.
 *
 *  Wait for texts, never for a time. With the driven program use kit_sync(), which knows when the program is
 * idle. */
#ifndef STILLARM_SCREEN_KIT_H
#define STILLARM_SCREEN_KIT_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>
#include <sys/types.h>
#include <vterm.h>

#define KIT_WAIT_MS 15000

struct kit_options {
    const char *const *argv; /* argv[0] is the program's path; NULL-terminated */
    int rows, cols;          /* 0: 24 and 80 */
    const char *term;        /* NULL: xterm-256color; "": TERM is unset */
    const char *lc_all;      /* NULL: C.UTF-8 */
    const char *const *env;  /* more: "NAME=VALUE" sets, "NAME" unsets; NULL-terminated, or NULL */
};

struct kit {
    int fd, rows, cols;
    pid_t pid;
    VTerm *vt;
    VTermScreen *screen;
    bool is_alternate; /* the program is on the alternate screen */
    bool is_cursor_visible;
    bool is_closed; /* the program has closed its side */
    int keystrokes; /* counted by kit_type and kit_press */
};

enum kit_key { KIT_ENTER, KIT_ESCAPE, KIT_BACKSPACE, KIT_UP, KIT_DOWN, KIT_LEFT, KIT_RIGHT, KIT_TAB, KIT_PAGE_DOWN, KIT_PAGE_UP };

bool kit_start(struct kit *k, const struct kit_options *o);
/** Type UTF-8 text as it is; each character counts as one keystroke. '\r' is Enter. */
void kit_type(struct kit *k, const char *utf8);
void kit_press(struct kit *k, enum kit_key key);
/** Bytes in one go, reading the answer meanwhile; not counted. */
void kit_paste(struct kit *k, const char *bytes, size_t len);
void kit_resize(struct kit *k, int rows, int cols);

/** Take in what comes within ms; false once the program has closed its side. */
bool kit_pump(struct kit *k, int ms);
/** Read on until quiet_ms of silence. */
void kit_settle(struct kit *k, int quiet_ms);
/** Wait until the text stands in one row; false after timeout_ms. Reads on to the end of the frame. */
bool kit_wait(struct kit *k, const char *text, int timeout_ms);
bool kit_wait_gone(struct kit *k, const char *text, int timeout_ms);
/** Driven program only: wait until it has taken all keys and the present time in, and read its screen. */
bool kit_sync(struct kit *k);

bool kit_has(struct kit *k, const char *text);
bool kit_find(struct kit *k, const char *text, int *row);
/** One row as UTF-8 without the blanks at its end. */
void kit_row(struct kit *k, int row, char *out, size_t cap);
/** All rows, each ended by LF. Static buffer, good until the next call. */
const char *kit_screen(struct kit *k);
/** Everything a reader can come by: what the screen shows, and what paging brings. Driven
 * program only. Static buffer, good until the next call. */
const char *kit_all_parts(struct kit *k);
bool kit_cell(struct kit *k, int row, int col, VTermScreenCell *out);

/** Wait for the program's end: its exit status, 128 + signal, or -1 when it had to be killed after
 * timeout_ms. Frees all. */
int kit_stop(struct kit *k, int timeout_ms);
/** Send a signal; the end is then collected by kit_stop. */
void kit_signal(struct kit *k, int number);
/** Close the terminal under the program, as a window that is closed does; then kit_stop. */
void kit_hang_up(struct kit *k);

/** Make the clock file and set DRIVEN_CLOCK_VARIABLE for programs started later. Begins at
 * 2031-03-02T14:00:00Z. */
bool clock_create(const char *path);
void clock_advance(int64_t ms);  /* all three clocks */
void clock_suspend(int64_t ms);  /* the machine slept: the awake clock stood still */
void clock_set_back(int64_t ms); /* only the wall clock */

#endif
