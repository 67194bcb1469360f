/* SPDX-License-Identifier: GPL-3.0-or-later */
/** @file pairs_words.c  Nothing is left out or put right here: somebody looks, and mends the file. */
#include "guide/pairs_words.h"

#include <stdio.h>
#include <string.h>

#include "stillarm/text.h"

enum { LINE_CAP = 200 };

struct short_name short_name_of(const char *name)
{
    struct short_name s = { .columns = 0 };
    struct text t;
    size_t len = strlen(name), at = 0, all_but_last = 0;
    uint32_t c;
    while (at < len && s.columns < SHORT_NAME_COLUMNS) {
        size_t n = utf8_decode(name + at, len - at, &c);
        if (n == 0)
            break;
        all_but_last = at;
        at += n;
        s.columns++;
    }
    text_init(&t, s.text, sizeof s.text);
    text_add_bytes(&t, name, at < len ? all_but_last : at);
    text_add(&t, at < len ? "~" : "");
    return s;
}

/* ---- what looks mistyped ---- */

const char *const DOUBT_IDS[] = { [DOUBT_ORDER] = "order", [DOUBT_LOW] = "low", [DOUBT_HIGH] = "high", [DOUBT_APART] = "apart" };
static const char *const DOUBT_WORDS[] = {
    [DOUBT_ORDER] = "a systolic that is not above its diastolic",
    [DOUBT_LOW] = "a value below 30 mmHg",
    [DOUBT_HIGH] = "a value above 300 mmHg",
    [DOUBT_APART] = "measurer and listener more than 40 mmHg apart",
};
_Static_assert(ARRAY_LEN(DOUBT_IDS) == DOUBT_COUNT && ARRAY_LEN(DOUBT_WORDS) == DOUBT_COUNT, "one row per doubt");
_Static_assert(DOUBT_LOW_MMHG == 30 && DOUBT_HIGH_MMHG == 300 && DOUBT_APART_MMHG == 40, "as it is said");

void pair_doubts_add(struct pair_doubts *d, const struct agree_pair *p, int64_t line, const char *measurer)
{
    struct pair_told told = { .line = line, .measurer = measurer, .pair = *p };
    bool has[DOUBT_COUNT] = { false };
    for (int ear = 0; ear < EAR_COUNT; ear++)
        has[DOUBT_ORDER] |= p->value[SIDE_SYSTOLIC][ear] <= p->value[SIDE_DIASTOLIC][ear];
    for (int side = 0; side < SIDE_COUNT; side++) {
        const int64_t a = p->value[side][EAR_MEASURER], b = p->value[side][EAR_LISTENER], least = a < b ? a : b, most = a < b ? b : a;
        const bool is_low = least < DOUBT_LOW_MMHG * AGREE_UNIT, is_high = most > DOUBT_HIGH_MMHG * AGREE_UNIT,
                   is_apart = most - least > DOUBT_APART_MMHG * AGREE_UNIT;
        has[DOUBT_LOW] |= is_low;
        has[DOUBT_HIGH] |= is_high;
        has[DOUBT_APART] |= is_apart;
        told.is_odd[side] = is_low || is_high || is_apart || has[DOUBT_ORDER];
    }
    for (int i = 0; i < DOUBT_COUNT; i++)
        d->of[i] += has[i];
    if (d->rows < DOUBT_LINES)
        d->told[d->rows] = told;
    d->rows++;
}

static void add_odd(struct text *t, const struct pair_told *told, enum ear ear)
{
    const double sys = (double)told->pair.value[SIDE_SYSTOLIC][ear] / AGREE_UNIT,
                 dia = (double)told->pair.value[SIDE_DIASTOLIC][ear] / AGREE_UNIT;
    if (told->is_odd[SIDE_SYSTOLIC] && told->is_odd[SIDE_DIASTOLIC])
        text_addf(t, "%g/%g", sys, dia);
    else
        text_addf(t, "%g", told->is_odd[SIDE_SYSTOLIC] ? sys : dia);
}

/* `line 10, ana: systolic 212, listener 122`: the sides that look odd, both where they contradict each other. */
static void say_told(const struct pair_told *told, progress_line_fn say, void *user)
{
    char line[LINE_CAP];
    struct text t;
    text_init(&t, line, sizeof line);
    text_addf(&t, "  line %lld, %s: ", (long long)told->line, short_name_of(told->measurer).text);
    if (told->is_odd[SIDE_SYSTOLIC] != told->is_odd[SIDE_DIASTOLIC])
        text_addf(&t, "%s ", SIDE_WORDS[told->is_odd[SIDE_SYSTOLIC] ? SIDE_SYSTOLIC : SIDE_DIASTOLIC]);
    add_odd(&t, told, EAR_MEASURER);
    text_add(&t, ", listener ");
    add_odd(&t, told, EAR_LISTENER);
    say(user, LINE_ROW, line);
}

void say_pair_doubts(const struct pair_doubts *d, progress_line_fn say, void *user)
{
    char line[LINE_CAP];
    int64_t kinds = 0;
    if (d->rows == 0)
        return;
    (void)snprintf(line, sizeof line, "%lld row%s mistyped, and %s in all figures as %s:", (long long)d->rows,
                   d->rows == 1 ? " looks" : "s look", d->rows == 1 ? "is" : "are", d->rows == 1 ? "it stands" : "they stand");
    say(user, LINE_CAUTION, line);
    for (int i = 0; i < DOUBT_COUNT; i++)
        kinds += d->of[i];
    if (kinds > d->rows)
        say(user, LINE_ROW, d->rows == 1 ? "  of it (a row can be of more than one kind):" : "  of them (a row can be of more than one kind):");
    for (int i = 0; i < DOUBT_COUNT; i++) {
        if (d->of[i] == 0)
            continue;
        (void)snprintf(line, sizeof line, "  %lld with %s", (long long)d->of[i], DOUBT_WORDS[i]);
        say(user, LINE_ROW, line);
    }
    for (int i = 0; i < DOUBT_LINES && i < d->rows; i++)
        say_told(&d->told[i], say, user);
    if (d->rows <= DOUBT_LINES)
        return;
    (void)snprintf(line, sizeof line, "  and %lld more", (long long)(d->rows - DOUBT_LINES));
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
