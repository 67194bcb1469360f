/* SPDX-License-Identifier: GPL-3.0-or-later */
/** @file known.h  What a text may refer to: sources, category schemes, and what bodies publish. */
#ifndef STILLARM_CONFIG_KNOWN_H
#define STILLARM_CONFIG_KNOWN_H

#include "config/protocols.h"

struct ask;

/** sources, asks NULL: not checked. */
struct known {
    const struct source *sources;
    int source_count;
    const struct category_scheme *schemes;
    int scheme_count;
    const struct position *positions;
    int position_count;
    const struct ask *asks; /* yardstick_asks.h */
    int ask_count;
};

#endif
