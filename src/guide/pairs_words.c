/* SPDX-License-Identifier: GPL-3.0-or-later */
/** @file pairs_words.c  Nothing is left out or put right here: somebody looks, and mends the file. */
#include "guide/pairs_words.h"

#include <stdio.h>

#include "stillarm/text.h"

enum { LINE_CAP = 160 };

/* ---- what looks mistyped ---- */

const char *const DOUBT_IDS[] = { [DOUBT_ORDER] = "order", [DOUBT_LOW] = "low", [DOUBT_HIGH] = "high" };
static const char *const DOUBT_WORDS[] = {
    [DOUBT_ORDER] = "a systolic that is not above its diastolic",
    [DOUBT_LOW] = "a value below 30 mmHg",
    [DOUBT_HIGH] = "a value above 300 mmHg",
};
_Static_assert(ARRAY_LEN(DOUBT_IDS) == DOUBT_COUNT && ARRAY_LEN(DOUBT_WORDS) == DOUBT_COUNT, "one row per doubt");
_Static_assert(DOUBT_LOW_MMHG == 30 && DOUBT_HIGH_MMHG == 300, "as it is said");

void pair_doubts_add(struct pair_doubts *d, const struct agree_pair *p, int64_t line)
{
    bool has[DOUBT_COUNT] = { false };
    for (int ear = 0; ear < EAR_COUNT; ear++) {
        has[DOUBT_ORDER] |= p->value[SIDE_SYSTOLIC][ear] <= p->value[SIDE_DIASTOLIC][ear];
        for (int side = 0; side < SIDE_COUNT; side++) {
            has[DOUBT_LOW] |= p->value[side][ear] < DOUBT_LOW_MMHG * AGREE_UNIT;
            has[DOUBT_HIGH] |= p->value[side][ear] > DOUBT_HIGH_MMHG * AGREE_UNIT;
        }
    }
    for (int i = 0; i < DOUBT_COUNT; i++)
        d->of[i] += has[i];
    if (d->rows < DOUBT_LINES)
        d->line[d->rows] = line;
    d->rows++;
}

void say_pair_doubts(const struct pair_doubts *d, progress_line_fn say, void *user)
{
    char line[LINE_CAP];
    struct text t;
    if (d->rows == 0)
        return;
    (void)snprintf(line, sizeof line, "%lld row%s mistyped, and %s in all figures as %s:", (long long)d->rows,
                   d->rows == 1 ? " looks" : "s look", d->rows == 1 ? "is" : "are", d->rows == 1 ? "it stands" : "they stand");
    say(user, LINE_CAUTION, line);
    for (int i = 0; i < DOUBT_COUNT; i++) {
        if (d->of[i] == 0)
            continue;
        (void)snprintf(line, sizeof line, "  %lld with %s", (long long)d->of[i], DOUBT_WORDS[i]);
        say(user, LINE_ROW, line);
    }
    text_init(&t, line, sizeof line);
    text_add(&t, d->rows == 1 ? "  line " : "  lines ");
    for (int i = 0; i < DOUBT_LINES && i < d->rows; i++)
        text_addf(&t, "%s%lld", i > 0 ? ", " : "", (long long)d->line[i]);
    if (d->rows > DOUBT_LINES)
        text_addf(&t, " and %lld more", (long long)(d->rows - DOUBT_LINES));
    say(user, LINE_ROW, line);
}

/* ---- several measurers told together ---- */

void pair_pool_add(struct pair_pool *p, const struct agree_tally *one)
{
    for (int side = 0; side < SIDE_COUNT; side++) {
        const struct pair_sums *s = &one->side[side];
        const double bias = (double)(s->a - s->b) / (double)s->n / AGREE_UNIT;
        if (p->measurers == 0 || bias < p->least[side])
            p->least[side] = bias;
        if (p->measurers == 0 || bias > p->most[side])
            p->most[side] = bias;
    }
    p->measurers++;
}

void say_pair_pool(const struct pair_pool *p, progress_line_fn say, void *user)
{
    char line[LINE_CAP];
    (void)snprintf(line, sizeof line, "What follows pools %lld measurers: good and bad ones are mixed in it.", (long long)p->measurers);
    say(user, LINE_CAUTION, line);
    for (int side = 0; side < SIDE_COUNT; side++) {
        struct text t;
        text_init(&t, line, sizeof line);
        text_addf(&t, "  Their %s biases lie from ", SIDE_WORDS[side]);
        add_rounded(&t, p->least[side], 1, true);
        text_add(&t, " to ");
        add_rounded(&t, p->most[side], 1, true);
        text_add(&t, " mmHg, ");
        add_rounded(&t, p->most[side] - p->least[side], 1, false);
        text_add(&t, " apart.");
        say(user, LINE_ROW, line);
    }
}
