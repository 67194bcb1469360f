/* SPDX-License-Identifier: GPL-3.0-or-later */
/** @file why.h  The two forms of the answer to "who says so?": one id in plain text, all of them as a document. */
#ifndef STILLARM_WHY_H
#define STILLARM_WHY_H

#include "command/topics.h"

/** Print what there is to say of an id that topic_is finds, under one protocol (only) or all (NULL).
 *  @return how many things of that id there were */
int why_tell(const struct protocols *ps, const struct topics *all, const char *id, const struct protocol *only, FILE *out);

/** Print docs/sources.md. */
void why_markdown(const struct protocols *ps, const struct topics *all, FILE *out);

#endif
