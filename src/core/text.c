/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "stillarm/text.h"

#include <stdarg.h>
#include <stdio.h>
#include <string.h>

/* ---- building ---- */

void text_init(struct text *t, char *buf, size_t cap)
{
    *t = (struct text){.buf = buf, .cap = cap};
    buf[0] = '\0';
}

/* Bytes of s that remain when a character begun but not ended at its end is taken away. */
static size_t whole_characters(const char *s, size_t len)
{
    size_t lead = len;
    while (lead > 0 && len - lead < 4) {
        unsigned char c = (unsigned char)s[--lead];
        if (c < 0x80)
            return len;
        if (c >= 0xC0) {
            size_t want = c >= 0xF0 ? 4 : c >= 0xE0 ? 3 : 2;
            return len - lead < want ? lead : len;
        }
    }
    return len; /* no UTF-8 at all: nothing to save */
}

static void end_cut(struct text *t)
{
    t->is_cut = true;
    t->len = whole_characters(t->buf, t->cap - 1);
    t->buf[t->len] = '\0';
}

void text_add_bytes(struct text *t, const char *s, size_t n)
{
    if (t->is_cut)
        return;
    size_t room = t->cap - 1 - t->len;
    if (n > room) {
        memcpy(t->buf + t->len, s, room);
        end_cut(t);
        return;
    }
    memcpy(t->buf + t->len, s, n);
    t->len += n;
    t->buf[t->len] = '\0';
}

void text_add(struct text *t, const char *s)
{
    text_add_bytes(t, s, strlen(s));
}

char *number_print(int64_t n, char buf[NUMBER_CAP])
{
    char *at = buf + NUMBER_CAP - 1;
    uint64_t left = n < 0 ? 0 - (uint64_t)n : (uint64_t)n;
    *at = '\0';
    do {
        *--at = (char)('0' + left % 10);
        left /= 10;
    } while (left > 0);
    if (n < 0)
        *--at = '-';
    return at;
}

void text_add_number(struct text *t, int64_t n)
{
    char buf[NUMBER_CAP];
    const char *s = number_print(n, buf);
    text_add_bytes(t, s, (size_t)(buf + NUMBER_CAP - 1 - s));
}

void text_addf(struct text *t, const char *format, ...)
{
    if (t->is_cut)
        return;
    va_list args;
    va_start(args, format);
    int n = vsnprintf(t->buf + t->len, t->cap - t->len, format, args);
    va_end(args);
    if (n < 0) {
        t->is_cut = true;
        t->buf[t->len] = '\0';
    } else if ((size_t)n >= t->cap - t->len) {
        end_cut(t);
    } else {
        t->len += (size_t)n;
    }
}

bool text_copy(char *buf, size_t cap, const char *s)
{
    struct text t;
    text_init(&t, buf, cap);
    text_add(&t, s);
    return !t.is_cut;
}

/* ---- numbers ---- */

static bool is_digit(char c)
{
    return c >= '0' && c <= '9';
}

/* What was typed, short and harmless enough to be quoted in a message. */
#define QUOTED_CAP 40
static const char *quoted(const char *s, char buf[QUOTED_CAP])
{
    struct text t;
    text_init(&t, buf, QUOTED_CAP);
    for (size_t i = 0, n = strlen(s); i < n;) {
        uint32_t c;
        size_t len = utf8_decode(s + i, n - i, &c);
        char one[5] = "?";
        if (len > 0 && !is_control(c))
            memcpy(one, s + i, len);
        if (t.len + strlen(one) + sizeof "..." > QUOTED_CAP) {
            text_add(&t, "...");
            break;
        }
        text_add(&t, one);
        i += len ? len : 1;
    }
    return buf;
}

enum status parse_int(const char *s, int64_t lo, int64_t hi, int64_t *out, struct err *e)
{
    char said[QUOTED_CAP];
    const char *digits = *s == '-' ? s + 1 : s;
    size_t n = strlen(digits);
    bool is_number = n > 0;
    for (size_t i = 0; i < n; i++)
        is_number = is_number && is_digit(digits[i]);
    if (!is_number)
        return err_set(e, ST_SYNTAX, "'%s' is not a whole number: give digits only.", quoted(s, said));
    if (digits[0] == '0' && (n > 1 || digits != s))
        return err_set(e, ST_SYNTAX, "'%s' begins with a needless zero or minus: leave it out.", quoted(s, said));
    int64_t v = 0;
    bool is_inside = true;
    for (size_t i = 0; i < n && is_inside; i++) { /* built downwards: the least value has no positive twin */
        int64_t d = digits[i] - '0';
        is_inside = v >= (INT64_MIN + d) / 10;
        if (is_inside)
            v = v * 10 - d;
    }
    if (is_inside && digits == s) {
        is_inside = v > INT64_MIN;
        v = is_inside ? -v : 0;
    }
    if (!is_inside || v < lo || v > hi)
        return err_set(e, ST_RANGE, "%s is outside %lld to %lld.", quoted(s, said), (long long)lo, (long long)hi);
    *out = v;
    return ST_OK;
}

/* Digits with at most two decimals, as hundredths; moves *at behind them. */
static enum status hundredths(const char **at, int32_t *out)
{
    const char *s = *at;
    int32_t v = 0;
    bool is_vast = false;
    if (!is_digit(*s))
        return ST_SYNTAX;
    if (s[0] == '0' && is_digit(s[1]))
        return ST_SYNTAX;
    for (; is_digit(*s); s++) {
        is_vast = is_vast || v > 9999;
        v = is_vast ? v : v * 10 + (*s - '0');
    }
    int32_t part = 0;
    if (*s == '.' || *s == ',') {
        s++;
        if (!is_digit(*s))
            return ST_SYNTAX;
        part = (*s++ - '0') * 10;
        if (is_digit(*s))
            part += *s++ - '0';
        if (is_digit(*s))
            return ST_SYNTAX;
    }
    *at = s;
    *out = v * 100 + part;
    return is_vast ? ST_RANGE : ST_OK;
}

static const char *skip_blanks(const char *s)
{
    while (*s == ' ' || *s == '\t')
        s++;
    return s;
}

enum arm_unit { UNIT_CM, UNIT_INCH, UNIT_NONE };

static enum arm_unit read_unit(const char *s)
{
    static const struct {
        const char *word;
        enum arm_unit unit;
    } UNITS[] = {{"", UNIT_CM},    {"cm", UNIT_CM},  {"CM", UNIT_CM},          {"in", UNIT_INCH},
                 {"IN", UNIT_INCH}, {"\"", UNIT_INCH}, {"\xE2\x80\xB3", UNIT_INCH} /* the double prime */};
    for (size_t i = 0; i < ARRAY_LEN(UNITS); i++) {
        size_t n = strlen(UNITS[i].word);
        if (strncmp(s, UNITS[i].word, n) == 0 && *skip_blanks(s + n) == '\0')
            return UNITS[i].unit;
    }
    return UNIT_NONE;
}

enum status parse_arm_mm(const char *s, int32_t *out_mm, struct err *e)
{
    char said[QUOTED_CAP];
    const char *at = skip_blanks(s);
    int32_t x100 = 0;
    enum status st = hundredths(&at, &x100);
    enum arm_unit unit = st == ST_SYNTAX ? UNIT_NONE : read_unit(skip_blanks(at));
    if (unit == UNIT_NONE)
        return err_set(e, ST_SYNTAX,
                       "'%s' is no arm circumference: give centimetres such as 31 or 31.5, or inches such as 12.25in.",
                       quoted(s, said));
    int32_t mm = unit == UNIT_CM ? (x100 + 5) / 10 : (int32_t)(((int64_t)x100 * 254 + 500) / 1000);
    if (st == ST_RANGE || mm < 100 || mm > 700)
        return err_set(e, ST_RANGE, "%s is outside what an arm measures here: 10 to 70 cm (3.94 to 27.56 in).",
                       quoted(s, said));
    *out_mm = mm;
    return ST_OK;
}

/* ---- dates ---- */

bool date_exists(int64_t yyyymmdd)
{
    static const int DAYS[12] = {31, 28, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31};
    if (yyyymmdd < 19000101 || yyyymmdd > 29991231)
        return false;
    int year = (int)(yyyymmdd / 10000), month = (int)(yyyymmdd / 100 % 100), day = (int)(yyyymmdd % 100);
    if (month < 1 || month > 12)
        return false;
    bool is_leap = year % 4 == 0 && (year % 100 != 0 || year % 400 == 0);
    return day >= 1 && day <= DAYS[month - 1] + (month == 2 && is_leap);
}

/* Exactly n digits, or -1. Looks at no byte behind a NUL. */
static int fixed_digits(const char *s, int n)
{
    int v = 0;
    for (int i = 0; i < n; i++) {
        if (!is_digit(s[i]))
            return -1;
        v = v * 10 + (s[i] - '0');
    }
    return v;
}

/* YYYY-MM-DD at s as yyyymmdd whether or not the day exists; -1 when it has another form. */
static int32_t dashed_date(const char *s)
{
    int year = fixed_digits(s, 4);
    if (year < 0 || s[4] != '-')
        return -1;
    int month = fixed_digits(s + 5, 2);
    if (month < 0 || s[7] != '-')
        return -1;
    int day = fixed_digits(s + 8, 2);
    return day < 0 ? -1 : year * 10000 + month * 100 + day;
}

enum status parse_date(const char *s, int32_t *out_yyyymmdd, struct err *e)
{
    char said[QUOTED_CAP];
    size_t n = strlen(s);
    int32_t date = n == 10 ? dashed_date(s) : n == 8 ? fixed_digits(s, 8) : -1;
    if (date < 0)
        return err_set(e, ST_SYNTAX, "'%s' is no date: write the year, month and day as in 2031-03-02.", quoted(s, said));
    if (!date_exists(date))
        return err_set(e, ST_RANGE, "There is no day %s in the calendar from 1900 to 2999.", quoted(s, said));
    *out_yyyymmdd = date;
    return ST_OK;
}

/* HH:MM at s, or -1 when it is no time of day. */
static int hour_minute(const char *s)
{
    int hour = fixed_digits(s, 2);
    if (hour < 0 || hour > 23 || s[2] != ':')
        return -1;
    int minute = fixed_digits(s + 3, 2);
    return minute < 0 || minute > 59 ? -1 : hour * 60 + minute;
}

static bool is_offset(const char *s)
{
    if (strcmp(s, "Z") == 0)
        return true;
    if (*s != '+' && *s != '-')
        return false;
    int minutes = hour_minute(s + 1);
    return minutes >= 0 && s[6] == '\0' && (minutes > 0 || *s == '+'); /* ISO 8601 knows no -00:00 */
}

static bool is_time_with_offset(const char *s)
{
    if (hour_minute(s) < 0)
        return false;
    s += 5;
    if (*s == ':') {
        int second = fixed_digits(s + 1, 2);
        if (second < 0 || second > 59)
            return false;
        s += 3;
    }
    return is_offset(s);
}

enum status parse_timestamp(const char *s, int32_t *out_yyyymmdd, struct err *e)
{
    char said[QUOTED_CAP];
    int32_t date = dashed_date(s);
    if (date < 0 || s[10] != 'T' || !is_time_with_offset(s + 11))
        return err_set(e, ST_SYNTAX, "'%s' is no date and time with its offset, as in 2031-03-02T14:04:10+01:00.",
                       quoted(s, said));
    if (!date_exists(date))
        return err_set(e, ST_RANGE, "'%s' names a day that is not in the calendar from 1900 to 2999.", quoted(s, said));
    if (out_yyyymmdd)
        *out_yyyymmdd = date;
    return ST_OK;
}

/* ---- characters ---- */

size_t utf8_decode(const char *s, size_t len, uint32_t *out)
{
    if (len == 0)
        return 0;
    unsigned char lead = (unsigned char)s[0];
    if (lead < 0x80) {
        *out = lead;
        return 1;
    }
    size_t n = lead >= 0xF0 ? 4 : lead >= 0xE0 ? 3 : 2;
    if (lead < 0xC2 || lead > 0xF4 || len < n)
        return 0;
    uint32_t c = lead & (0x7Fu >> n);
    for (size_t i = 1; i < n; i++) {
        unsigned char next = (unsigned char)s[i];
        if ((next & 0xC0) != 0x80)
            return 0;
        c = c << 6 | (next & 0x3Fu);
    }
    static const uint32_t LEAST[5] = {0, 0, 0x80, 0x800, 0x10000};
    if (c < LEAST[n] || c > 0x10FFFF || (c >= 0xD800 && c <= 0xDFFF))
        return 0;
    *out = c;
    return n;
}

size_t utf8_encode(uint32_t c, char out[4])
{
    if (c > 0x10FFFF || (c >= 0xD800 && c <= 0xDFFF))
        return 0;
    if (c < 0x80) {
        out[0] = (char)c;
        return 1;
    }
    size_t n = c < 0x800 ? 2 : c < 0x10000 ? 3 : 4;
    static const uint32_t LEAD[5] = {0, 0, 0xC0, 0xE0, 0xF0};
    for (size_t i = n - 1; i > 0; i--, c >>= 6)
        out[i] = (char)(0x80 | (c & 0x3F));
    out[0] = (char)(LEAD[n] | c);
    return n;
}

int utf8_length(const char *s)
{
    int n = 0;
    for (size_t i = 0, len = strlen(s); i < len; n++) {
        uint32_t c;
        size_t step = utf8_decode(s + i, len - i, &c);
        if (step == 0)
            return -1;
        i += step;
    }
    return n;
}

bool is_control(uint32_t c)
{
    return c < 0x20 || (c >= 0x7F && c < 0xA0) || c == 0x061C || c == 0x200E || c == 0x200F ||
           (c >= 0x2028 && c <= 0x202E) || (c >= 0x2066 && c <= 0x2069);
}

void text_defuse(char *s)
{
    for (size_t len = strlen(s); len > 0;) {
        uint32_t c;
        size_t n = utf8_decode(s, len, &c);
        if (n == 0 || is_control(c))
            memset(s, '?', n ? n : 1);
        n = n ? n : 1;
        s += n;
        len -= n;
    }
}

/* Characters that leave no ink: a text of nothing else is blank. */
static bool is_blank_character(uint32_t c)
{
    return c == ' ' || c == 0xA0 || c == 0x1680 || (c >= 0x2000 && c <= 0x200D) || c == 0x202F || c == 0x205F ||
           c == 0x2060 || c == 0x3000 || c == 0xFEFF;
}

static bool is_alphanumeric(char c)
{
    return is_digit(c) || (c >= 'A' && c <= 'Z') || (c >= 'a' && c <= 'z');
}

bool is_item(const char *s)
{
    if (!is_alphanumeric(s[0]))
        return false;
    size_t n = 1;
    while (n <= 32 && (is_alphanumeric(s[n]) || s[n] == '.' || s[n] == '-'))
        n++;
    return n <= 32 && s[n] == '\0';
}

bool is_plain_text(const char *s, int max)
{
    bool has_ink = false;
    int n = 0;
    for (size_t i = 0, len = strlen(s); i < len; n++) {
        uint32_t c;
        size_t step = utf8_decode(s + i, len - i, &c);
        if (step == 0 || is_control(c) || n >= max)
            return false;
        has_ink = has_ink || !is_blank_character(c);
        i += step;
    }
    return has_ink;
}
