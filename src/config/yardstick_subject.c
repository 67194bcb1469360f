/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "config/yardstick_subject.h"

#include <string.h>

#include "stillarm/text.h"

/* ---- numbers: whole millionths, so that no bound is rounded before it is compared ---- */

#define DECIMALS 6
#define DIGITS_MAX 7 /* before the point */

static bool is_digit(char c)
{
    return c >= '0' && c <= '9';
}

static bool read_millionths(const char *s, int64_t *out)
{
    const bool is_minus = *s == '-';
    int64_t v = 0;
    int digits = 0, decimals = 0;
    s += is_minus;
    for (; is_digit(*s) && digits < DIGITS_MAX; s++, digits++)
        v = v * 10 + (*s - '0');
    if (digits == 0)
        return false;
    if (*s == '.') {
        for (s++; is_digit(*s) && decimals < DECIMALS; s++, decimals++)
            v = v * 10 + (*s - '0');
        if (decimals == 0)
            return false;
    }
    for (; decimals < DECIMALS; decimals++)
        v *= 10;
    *out = is_minus ? -v : v;
    return *s == '\0';
}

void say_millionths(int64_t v, struct text *t)
{
    const int64_t size = v < 0 ? -v : v;
    int64_t part = size % ONE;
    int width = DECIMALS;
    text_addf(t, "%s%lld", v < 0 ? "-" : "", (long long)(size / ONE));
    if (part == 0)
        return;
    for (; part % 10 == 0; part /= 10)
        width--;
    text_addf(t, ".%0*lld", width, (long long)part);
}

bool yardstick_number(struct fields *x, int field, const struct bounds *b, int64_t *out)
{
    const char *name = x->rows[field].name;
    char range[64];
    struct text t;
    int64_t v = 0;
    const bool is_number = read_millionths(x->text[field], &v);
    if (is_number && v >= b->low && v <= b->high && !(b->is_whole && v % ONE != 0)) {
        *out = v;
        return true;
    }
    text_init(&t, range, sizeof range);
    say_millionths(b->low, &t);
    text_add(&t, " to ");
    say_millionths(b->high, &t);
    if (!is_number)
        UNSOUND(x, fields_where(x, field), ST_SYNTAX,
                "%s is a number such as 5 or 0.95, alone and with at most %d decimals.%s", name, DECIMALS,
                beside(x->text[field]));
    else
        UNSOUND(x, fields_where(x, field), ST_RANGE, "%s is %s%s here.", name, b->is_whole ? "a whole number, " : "",
                range);
    return false;
}

double as_double(int64_t millionths)
{
    return (double)millionths / (double)ONE; /* both exact, so this is what the decimal itself would round to */
}

/* ---- the learning curve's numbers ---- */

const struct plan_row PLAN_PARTS[PLAN_COUNT] = {
    [PLAN_ADEQUATE] = {"adequate", {ONE / 1000, ONE - ONE / 1000, false}, PLAN_NONE},
    [PLAN_INADEQUATE] = {"inadequate", {ONE / 1000, ONE - ONE / 1000, false}, PLAN_NONE},
    [PLAN_REACH] = {"reach", {ONE / 100, 1000 * ONE, false}, PLAN_FALSE_REACH},
    [PLAN_LOSE] = {"lose", {ONE / 100, 1000 * ONE, false}, PLAN_FALSE_LOSS},
    [PLAN_HORIZON] = {"horizon", {ONE, LEARNING_HORIZON_MAX * ONE, true}, PLAN_NONE},
    [PLAN_RIGHT_WITHIN] = {"right-within", {0, 40 * ONE, true}, PLAN_NONE},
    [PLAN_FALSE_REACH] = {"false-reach-most", {ONE / 10000, ONE / 2, false}, PLAN_REACH},
    [PLAN_FALSE_LOSS] = {"false-loss-most", {ONE / 10000, ONE / 2, false}, PLAN_LOSE},
};

enum plan_part plan_part_named(const char *name)
{
    int i = 0;
    while (i < PLAN_COUNT && strcmp(PLAN_PARTS[i].name, name) != 0)
        i++;
    return (enum plan_part)i;
}

/* ---- what a criterion can be about ---- */

bool find_word(const char *word, const char *const *words, int count, int32_t *out)
{
    for (int i = 0; i < count; i++)
        if (strcmp(words[i], word) == 0) {
            *out = i;
            return true;
        }
    return false;
}

static bool find_figure(const char *word, const struct figure_row *rows, int count, int32_t *out)
{
    for (int i = 0; i < count; i++)
        if (strcmp(rows[i].id, word) == 0) {
            *out = i;
            return true;
        }
    return false;
}

bool find_about(const char *word, struct criterion *c)
{
    c->about = ABOUT_RECORD;
    if (find_word(word, RECORD_WORDS, RECORD_COUNT, &c->which))
        return true;
    c->about = ABOUT_SIDE;
    if (find_figure(word, SIDE_FIGURES, SIDE_FIGURE_COUNT, &c->which))
        return true;
    c->about = ABOUT_JOINT;
    if (find_figure(word, JOINT_FIGURES, JOINT_FIGURE_COUNT, &c->which))
        return true;
    c->about = ABOUT_REACHED;
    return strcmp(word, "reached") == 0;
}

static const struct unit_row UNITS[] = {
    {"count", {0, 1000000 * ONE, true}, false},
    {"share", {0, ONE, false}, true},
    {"p", {0, ONE, false}, false},
    {"mmHg", {-300 * ONE, 300 * ONE, false}, true},
    {"", {-1000 * ONE, 1000 * ONE, false}, true},
};

const struct unit_row *unit_row_of(const struct criterion *c)
{
    const char *unit = criterion_unit(c);
    size_t i = 0;
    while (i + 1 < ARRAY_LEN(UNITS) && strcmp(UNITS[i].unit, unit) != 0)
        i++;
    return &UNITS[i];
}

bool has_limits(const struct criterion *c)
{
    const bool is_bare = c->about == ABOUT_SIDE && (c->which == FIGURE_DIGIT_CHI ||
                                                    (c->which >= FIGURE_SD_LINKED && c->which <= FIGURE_UPPER_APART));
    return unit_row_of(c)->has_limits && !is_bare;
}
