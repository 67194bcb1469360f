/* SPDX-License-Identifier: GPL-3.0-or-later */
/** @file proof_say.c  Counts what is wrong, keeps the first of it, passes each on. */
#include <stdio.h>
#include <string.h>

#include "command/proof_parts.h"
#include "stillarm/text.h"

void proof_begin(struct proof *p)
{
    memset(p, 0, sizeof *p);
}

void proof_wrong(const struct findings *f, struct dossier *d, const char *format, ...)
{
    char sentence[sizeof f->proof->first], said[sizeof sentence - 32];
    va_list args;
    va_start(args, format);
    vsnprintf(said, sizeof said, format, args);
    va_end(args);
    text_defuse(said); /* it may quote what somebody wrote into the file */
    if (d)
        snprintf(sentence, sizeof sentence, "S-%03lld: %s", (long long)d->id, said);
    else
        snprintf(sentence, sizeof sentence, "%s", said);
    if (!f->proof->wrong++)
        text_copy(f->proof->first, sizeof f->proof->first, sentence);
    if (d && !d->is_wrong) {
        d->is_wrong = true;
        f->proof->wrong_sittings++;
    }
    if (f->watch && f->watch->say)
        f->watch->say(f->watch->user, sentence);
}

void proof_progress(const struct findings *f, int64_t done, int64_t of)
{
    if (f->watch && f->watch->progress)
        f->watch->progress(f->watch->user, done, of);
}
