/* SPDX-License-Identifier: GPL-3.0-or-later */
/* How a class of rules says what there is and what is needed. */
#include "core/question.h"

#include <stdarg.h>
#include <stdio.h>

#include "stillarm/text.h"

void say_words(char out[SAID_CAP], const char *format, ...)
{
    char whole[EVENT_TEXT_CAP]; /* a text may stand in it: cut then, but not within a character */
    va_list args;
    va_start(args, format);
    vsnprintf(whole, sizeof whole, format, args);
    va_end(args);
    (void)text_copy(out, SAID_CAP, whole);
}

void say_seconds(char out[SAID_CAP], int64_t ms)
{
    say_words(out, "%lld.%03d s", (long long)(ms / 1000), (int)(ms % 1000));
}

enum rule object_have_need(struct question *q, enum rule rule, const char *have, const char *need)
{
    say_words(q->have, "%s", have);
    say_words(q->need, "%s", need);
    return rule;
}

enum rule object_numbers(struct question *q, enum rule rule, int64_t have, const char *relation, int64_t need)
{
    say_words(q->have, "%lld", (long long)have);
    say_words(q->need, "%s%lld", relation, (long long)need);
    return rule;
}
