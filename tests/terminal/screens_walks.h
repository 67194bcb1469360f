/* SPDX-License-Identifier: GPL-3.0-or-later */
/** @file screens_walks.h  Walks through every page of the program, and which of its pages are kept as text. */
#ifndef STILLARM_SCREENS_WALKS_H
#define STILLARM_SCREENS_WALKS_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#define WALK_DOWN "\x0e" /* among the keys: the arrow, whose bytes depend on the terminal */

/** What a walk does at one page. */
struct walk_move {
    int64_t wait_ms;  /* the clock goes on by this first */
    const char *see;  /* then these words must be on the screen */
    const char *keys; /* then these are pressed; '\r' is Enter */
    const char *page; /* NULL, or the name under which the screen is kept before the keys */
    int view;         /* the guide's view it shows; VIEW_AUTO: none of a sitting's */
    const char *must; /* more words that have to be on it */
};

struct walk {
    const char *name;
    const char *const *verb;  /* words after the options; NULL-terminated */
    bool is_furnished;        /* the store has a measurer, a place, a gauge and cuffs */
    bool has_own_store;       /* the verb makes its own */
    void (*prepare)(void);    /* NULL, or what is put into the folder first */
    const char *env;          /* NULL, or one more variable, "NAME=VALUE" */
    const struct walk_move *moves;
    size_t move_count;
};

extern const struct walk WALKS[];
extern const size_t WALK_COUNT;

#endif
