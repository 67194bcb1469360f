/* SPDX-License-Identifier: GPL-3.0-or-later */
/** @file procedure.h  The site's own words for very high and low values: text files that the site edits. */
#ifndef STILLARM_PROCEDURE_H
#define STILLARM_PROCEDURE_H

#include <stdbool.h>

#define PROCEDURE_BYTES_MAX 1500
#define PROCEDURE_LINES_MAX 12 /* what an 80x24 screen holds beside the values */

struct procedures {
    char high[PROCEDURE_BYTES_MAX + 1], low[PROCEDURE_BYTES_MAX + 1];
    bool is_high_own, is_low_own; /* the site's; where one is not, its page says where it goes */
    char path[1024]; /* where the site's text for very high values lies, or would */
    char fault[420]; /* why a text of the site is not used; "" when all is well */
};

/**
 * Read very-high.txt and low.txt from the site's folder ($STILLARM_SITE, else $XDG_CONFIG_HOME/stillarm, else
 * ~/.config/stillarm); where one is missing or not sound, what came with the program stands in.
 */
void procedures_load(struct procedures *out);

/** Is this a text that can be shown? Unifies line ends; "" or the reason. Pure. */
const char *procedure_take(const char *text, char out[PROCEDURE_BYTES_MAX + 1]);

#endif
