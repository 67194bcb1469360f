/* SPDX-License-Identifier: GPL-3.0-or-later */
/** @file why.h  The two forms of the answer to "who says so?": one id in plain text, all of them as a document. */
#ifndef STILLARM_WHY_H
#define STILLARM_WHY_H

#include "command/topics.h"
#include "config/yardstick_text.h"

/** What answers are given from. */
struct why_files {
    const struct protocols *ps;
    const struct topics *all;
    const struct yardsticks *ys;
};

/** Print what there is to say of an id that topic_is finds, under one protocol (only) or all (NULL).
 *  @return how many things of that id there were */
int why_tell(const struct why_files *w, const char *id, const struct protocol *only, FILE *out);

/** Print docs/sources.md. */
void why_markdown(const struct why_files *w, FILE *out);

/** The criteria and numbers of a yardstick, one after the other: nth from 0; false past the last. */
struct why_criterion {
    const char *id, *say;
    char asked[80];             /* `at least 0.9 by its lower limit` */
    const struct origin *origin;
};
bool why_criterion_of(const struct yardstick *y, int nth, struct why_criterion *out);

#endif
