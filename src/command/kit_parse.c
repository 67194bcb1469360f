/* SPDX-License-Identifier: GPL-3.0-or-later */
/** @file kit_parse.c  Gauges, cuffs and checks as they are typed: on the command line or into a form. */
#include <stdio.h>
#include <string.h>

#include "command/kit.h"
#include "stillarm/text.h"
#include "terminal/clock.h"

enum status kit_check_id(const char *id, struct err *e)
{
    if (is_item(id))
        return ST_OK;
    return err_set(e, ST_USAGE, "`%.60s` cannot stand in a log. A short name is 1 to 32 letters, digits, dots or dashes, and "
                                "starts with a letter or a digit.",
                   id);
}

static enum status check_names(const char *id, const char *name, struct err *e)
{
    if (kit_check_id(id, e) != ST_OK)
        return ST_USAGE;
    if (!is_plain_text(name, 60))
        return err_set(e, ST_USAGE, "The name has to be 1 to 60 characters of plain text.");
    return ST_OK;
}

enum status kit_parse_top(const char *typed, int32_t *mmhg, struct err *e)
{
    int64_t found;
    if (parse_int(typed, 200, 300, &found, NULL) != ST_OK || found % 2)
        return err_set(e, ST_USAGE, "`%.40s` is no top of a scale. It is an even number from 200 to 300 mmHg.", typed);
    *mmhg = (int32_t)found;
    return ST_OK;
}

enum status kit_check_gauge(struct gauge *g, const char *id, const char *name, const char *top, const char *due,
                            struct err *e)
{
    *g = (struct gauge){ 0 };
    const char *shown = name[0] ? name : id;
    enum status status = check_names(id, shown, e);
    if (status != ST_OK)
        return status;
    text_copy(g->id, sizeof g->id, id);
    text_copy(g->name, sizeof g->name, shown);
    if (kit_parse_top(top, &g->top_mmhg, e) != ST_OK)
        return ST_USAGE;
    if (parse_date(due, &g->due, NULL) != ST_OK)
        return err_set(e, ST_USAGE, "`%.40s` is no day. Write it as 2031-09-01.", due);
    return ST_OK;
}

/* Whole and at most two decimals of a length, as hundredths; moves *at behind it. */
static bool take_hundredths(const char **at, int32_t *out)
{
    const char *s = *at;
    int32_t v = 0;
    int decimals = -1, digits = 0;
    for (; (*s >= '0' && *s <= '9') || (decimals < 0 && digits > 0 && (*s == '.' || *s == ',')); s++) {
        if (*s == '.' || *s == ',') {
            decimals = 0;
            continue;
        }
        if (++digits > 6 || decimals == 2)
            return false;
        v = v * 10 + (*s - '0');
        decimals += decimals >= 0;
    }
    if (digits == 0 || decimals == 0)
        return false;
    *out = decimals == 2 ? v : decimals == 1 ? v * 10 : v * 100;
    *at = s;
    return true;
}

static void skip_blanks(const char **at)
{
    while (**at == ' ')
        (*at)++;
}

static bool take_word(const char **at, const char *word)
{
    size_t n = strlen(word);
    if (strncmp(*at, word, n) != 0)
        return false;
    *at += n;
    skip_blanks(at);
    return true;
}

static bool take_side(const char **at, int32_t *x100, bool *is_inches, bool *has_unit)
{
    if (!take_hundredths(at, x100))
        return false;
    skip_blanks(at);
    *is_inches = take_word(at, "in");
    *has_unit = *is_inches || take_word(at, "cm");
    return true;
}

enum status kit_parse_bladder(const char *typed, int32_t *width_mm, int32_t *length_mm, struct err *e)
{
    const char *at = typed;
    int32_t side[2] = { 0, 0 };
    bool is_inches[2], has_unit[2];
    skip_blanks(&at);
    bool is_read = take_side(&at, &side[0], &is_inches[0], &has_unit[0]) &&
                   (take_word(&at, "x") || take_word(&at, "X") || take_word(&at, "\xC3\x97")) &&
                   take_side(&at, &side[1], &is_inches[1], &has_unit[1]) && *at == '\0';
    if (!is_read)
        return err_set(e, ST_USAGE, "`%.40s` is no bladder. Give its width and length, such as 16x30 (cm) or 6.3x11.8in.",
                       typed);
    if (!has_unit[0])
        is_inches[0] = is_inches[1]; /* a unit at the end is meant for both */
    for (int i = 0; i < 2; i++)
        side[i] = is_inches[i] ? (int32_t)(((int64_t)side[i] * 254 + 500) / 1000) : (side[i] + 5) / 10;
    if (side[0] < 30 || side[1] < 30 || side[0] > 700 || side[1] > 700)
        return err_set(e, ST_USAGE, "`%.40s` is no bladder: each side lies between 3 and 70 cm.", typed);
    if (side[0] >= side[1])
        return err_set(e, ST_USAGE, "`%.40s`: a bladder's width, which runs along the arm, is less than its length, which "
                                    "runs round it. The width comes first.",
                       typed);
    *width_mm = side[0];
    *length_mm = side[1];
    return ST_OK;
}

enum status kit_check_cuff(struct stored_cuff *c, const char *id, const char *name, const char *low, const char *high,
                           const char *bladder, struct err *e)
{
    *c = (struct stored_cuff){ 0 };
    const char *shown = name[0] ? name : id;
    enum status status = check_names(id, shown, e);
    if (status != ST_OK)
        return status;
    text_copy(c->id, sizeof c->id, id);
    text_copy(c->name, sizeof c->name, shown);
    if (parse_arm_mm(low, &c->low_mm, e) != ST_OK || parse_arm_mm(high, &c->high_mm, e) != ST_OK)
        return ST_USAGE;
    if (c->low_mm >= c->high_mm)
        return err_set(e, ST_USAGE, "The lower end of a cuff's range has to lie below the upper one.");
    if (!bladder[0])
        return ST_OK;
    if (kit_parse_bladder(bladder, &c->bladder_width_mm, &c->bladder_length_mm, e) != ST_OK)
        return ST_USAGE;
    if (c->bladder_length_mm > c->high_mm)
        return err_set(e, ST_USAGE, "A bladder %d.%d cm long is longer than the largest arm the cuff is marked for, %d.%d "
                                    "cm. Measure it again, or look at the marks of the range.",
                       (int)c->bladder_length_mm / 10, (int)c->bladder_length_mm % 10, (int)c->high_mm / 10,
                       (int)c->high_mm % 10);
    return ST_OK;
}

/* One `REFERENCE=READING` of n bytes. */
static bool parse_point(const char *word, size_t n, struct check_point *out)
{
    char copy[16];
    int64_t reference, reading;
    if (n >= sizeof copy)
        return false;
    memcpy(copy, word, n);
    copy[n] = '\0';
    char *equals = strchr(copy, '=');
    if (!equals)
        return false;
    *equals = '\0';
    if (parse_int(copy, 0, 300, &reference, NULL) != ST_OK || reference % 2 ||
        parse_int(equals + 1, 0, 300, &reading, NULL) != ST_OK)
        return false;
    *out = (struct check_point){ (int32_t)reference, (int32_t)reading };
    return true;
}

enum status kit_parse_points(const char *typed, struct check_point out[CHECK_POINTS_MAX], int *count, struct err *e)
{
    *count = 0;
    for (const char *at = typed; at[strspn(at, " ")]; (*count)++) {
        at += strspn(at, " ");
        size_t n = strcspn(at, " ");
        if (*count == CHECK_POINTS_MAX)
            return err_set(e, ST_USAGE, "A comparison takes at most %d points.", CHECK_POINTS_MAX);
        if (!parse_point(at, n, &out[*count]))
            return err_set(e, ST_USAGE, "`%.*s` is no point of a comparison. It is REFERENCE=READING, such as 150=151: "
                                        "whole mmHg on the scale, the reference even.",
                           n > 40 ? 40 : (int)n, at);
        at += n;
    }
    if (*count < 2)
        return err_set(e, ST_USAGE, "A comparison takes at least 2 points, such as 50=50 150=151.");
    return ST_OK;
}

enum status kit_parse_months(const char *typed, int32_t *months, struct err *e)
{
    int64_t n;
    if (parse_int(typed, 1, 24, &n, NULL) != ST_OK)
        return err_set(e, ST_USAGE, "`%.40s` is no interval between calibrations. It is a whole number of months, 1 to 24.",
                       typed);
    *months = (int32_t)n;
    return ST_OK;
}

enum status kit_parse_past(const char *typed, int32_t *day, struct err *e)
{
    int32_t found;
    if (parse_day(typed, &found, e) != ST_OK)
        return ST_USAGE;
    if (found > clock_day(clock_unix_ms()))
        return err_set(e, ST_USAGE, "%.10s lies ahead: only what has been done can be noted.", typed);
    *day = found;
    return ST_OK;
}

enum status kit_parse_due(const char *on, const char *next, int32_t *due, struct err *e)
{
    int32_t day = 0, months = 0;
    bool is_day = parse_date(next, due, NULL) == ST_OK;
    if (is_day && !on[0])
        return ST_OK;
    if (!on[0])
        return err_set(e, ST_USAGE, "The day of the calibration is missing. It stands on the gauge's label; where the "
                                    "label only says when the next is due, give that day as `next due`.");
    if (kit_parse_past(on, &day, e) != ST_OK)
        return ST_USAGE;
    if (is_day && *due <= day)
        return err_set(e, ST_USAGE, "The next calibration cannot be due on the day of this one or before it.");
    if (is_day)
        return ST_OK;
    if (kit_parse_months(next, &months, NULL) != ST_OK)
        return err_set(e, ST_USAGE, "`%.40s` is neither a number of months, 1 to 24, nor a day such as 2031-09-01.", next);
    *due = day_after_months(day, months);
    return ST_OK;
}

enum status kit_not_yet(enum status status, struct err *e)
{
    char words[sizeof e->text];
    if (status == ST_OK)
        return status;
    text_copy(words, sizeof words, e->text);
    if (words[0] >= 'A' && words[0] <= 'Z' && words[1] >= 'a' && words[1] <= 'z')
        words[0] = (char)(words[0] - 'A' + 'a'); /* the sentence has begun already; a name in capitals stays */
    return err_set(e, status, "not yet: %s", words);
}
