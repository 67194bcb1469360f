/* SPDX-License-Identifier: GPL-3.0-or-later */
/** @file lines.c  Strict reading of `name value` lines: one order, one form, LF after each, nothing else. */
#include <string.h>

#include "trust/internal.h"

enum status lines_wrong(const struct lines *l, const char *name, const char *should, struct err *e)
{
    return err_set(e, ST_SYNTAX, "Line %d of the %s: `%s` must be followed by %s.", l->line, l->what, name,
                   should);
}

static enum status take_line(struct lines *l, struct part *out, struct err *e)
{
    l->line++;
    if (l->at == l->end)
        return err_set(e, ST_SYNTAX, "The %s ends before line %d: a part of it is missing.", l->what,
                       l->line);
    const char *lf = memchr(l->at, '\n', (size_t)(l->end - l->at));
    if (!lf)
        return err_set(e, ST_SYNTAX, "Line %d of the %s has no line end: it is cut.", l->line, l->what);
    *out = (struct part){l->at, (size_t)(lf - l->at)};
    l->at = lf + 1;
    return ST_OK;
}

static bool begins_with(struct part p, const char *word)
{
    const size_t n = strlen(word);
    return p.len > n && memcmp(p.at, word, n) == 0 && p.at[n] == ' ';
}

static struct part behind(struct part p, size_t n)
{
    return (struct part){p.at + n, p.len - n};
}

enum status lines_begin(struct lines *l, const char *what, const char *text, size_t len, struct err *e)
{
    struct part line = {"", 0};
    int64_t version = 0;
    *l = (struct lines){.at = text, .end = text + len, .what = what};
    enum status status = take_line(l, &line, e);
    if (status != ST_OK)
        return status;
    const bool is_named = begins_with(line, "stillarm") && begins_with(behind(line, sizeof "stillarm"), what);
    if (!is_named || !part_number(behind(line, sizeof "stillarm" + strlen(what) + 1), &version) ||
        version == 0)
        return err_set(e, ST_SYNTAX, "Line 1 must be `stillarm %s 1`: this is no %s of stillarm.", what,
                       what);
    if (version > 1)
        return err_set(
            e, ST_NEWER,
            "The %s has form %lld, from a newer version; this one reads form 1. Use the newer one.", what,
            (long long)version);
    return ST_OK;
}

enum status lines_next(struct lines *l, const char *name, struct part *value, struct err *e)
{
    struct part line = {"", 0};
    enum status status = take_line(l, &line, e);
    if (status != ST_OK)
        return status;
    if (!begins_with(line, name))
        return err_set(e, ST_SYNTAX, "Line %d of the %s must be `%s`, one blank and its value.", l->line,
                       l->what, name);
    *value = behind(line, strlen(name) + 1);
    return ST_OK;
}

enum status lines_end(const struct lines *l, struct err *e)
{
    if (l->at == l->end)
        return ST_OK;
    return err_set(e, ST_SYNTAX, "Line %d of the %s is one too many: nothing may follow its last line.",
                   l->line + 1, l->what);
}

bool part_number(struct part p, int64_t *out)
{
    int64_t v = 0;
    if (p.len == 0 || p.len > 19 || (p.at[0] == '0' && p.len > 1))
        return false;
    for (size_t i = 0; i < p.len; i++) {
        const int digit = p.at[i] - '0';
        if (digit < 0 || digit > 9 || v > (INT64_MAX - digit) / 10)
            return false;
        v = v * 10 + digit;
    }
    *out = v;
    return true;
}

bool part_copy(struct part p, char *out, size_t cap)
{
    if (p.len >= cap || memchr(p.at, '\0', p.len))
        return false;
    memcpy(out, p.at, p.len);
    out[p.len] = '\0';
    return true;
}

bool is_hex(const char *s, size_t n)
{
    for (size_t i = 0; i < n; i++)
        if (!((s[i] >= '0' && s[i] <= '9') || (s[i] >= 'a' && s[i] <= 'f')))
            return false;
    return s[n] == '\0';
}

bool part_unhex(struct part p, unsigned char *out, size_t n)
{
    char hex[HEX_OF(128)];
    return 2 * n < sizeof hex && part_copy(p, hex, sizeof hex) && trust_unhex(hex, out, n);
}
