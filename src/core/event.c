/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "stillarm/event.h"

#include <string.h>

#include "stillarm/text.h"

#define WORDS(...) ((const char *const[]){__VA_ARGS__, NULL})
#define ITEM .has_item = true
#define ONE_OF(...) .has_item = true, .items = WORDS(__VA_ARGS__)
#define VALUE .has_value = true
#define TWO_VALUES .has_value = true, .has_value2 = true
#define TEXT .has_text = true

/* One row per kind: what stands behind its word, in this order, all of it. */
static const struct event_form FORMS[] = {
    [EV_PROTOCOL] = {"protocol", ITEM},
    [EV_DATE] = {"date", TEXT},
    [EV_MEASURER] = {"measurer", ITEM},
    [EV_SUBJECT] = {"subject", ITEM},
    [EV_VISIT] = {"visit", ONE_OF("first", "return")},
    [EV_PRIOR_ARM] = {"prior-arm", ONE_OF("left", "right", "unknown")},
    [EV_PURPOSE] = {"purpose", ONE_OF("practice", "service", "assessment")},
    [EV_PLACE] = {"place", TEXT},
    [EV_HELP] = {"help", ONE_OF("full", "steps", "none")},
    [EV_GAUGE] = {"gauge", ITEM, TWO_VALUES},
    [EV_CHECK] = {"check", ONE_OF("leak", "comparison", "zero"), TWO_VALUES},
    [EV_CUFF] = {"cuff", ITEM, TWO_VALUES},
    [EV_ARM] = {"arm", ONE_OF("left", "right")},
    [EV_CONFIRM] = {"confirm", ITEM},
    [EV_REOPEN] = {"reopen", ITEM, TEXT},
    [EV_WAIVE] = {"waive", ITEM, TEXT},
    [EV_CIRCUMFERENCE] = {"circumference", VALUE},
    [EV_WRAP] = {"wrap", ITEM},
    [EV_REST] = {"rest", ONE_OF("begin", "end")},
    [EV_PULSE] = {"pulse", ONE_OF("regular", "irregular"), VALUE},
    [EV_INFLATE] = {"inflate", ONE_OF("palpate", "listen")},
    [EV_EMPTY] = {.word = "empty"},
    [EV_PALPATE] = {"palpate", ONE_OF("felt", "gone"), VALUE},
    [EV_NOPULSE] = {.word = "nopulse"},
    [EV_USUAL] = {"usual", VALUE},
    [EV_TARGET] = {"target", VALUE},
    [EV_MARK] = {"mark", ONE_OF("release", "first", "muffling", "last", "silent", "return")},
    [EV_VALUE] = {"value", ONE_OF("first", "muffling", "last", "silent", "return"), VALUE},
    [EV_LISTENER] = {"listener", ITEM},
    [EV_PAIR] = {"pair", ONE_OF("first", "muffling", "last"), VALUE},
    [EV_VOID] = {"void", TEXT},
    [EV_DONE] = {.word = "done"},
    [EV_CORRECT] = {"correct", ONE_OF("first", "muffling", "last", "target"), VALUE, TEXT},
    [EV_NOISE] = {"noise", TEXT},
    [EV_INTERRUPT] = {"interrupt", TEXT},
    [EV_MOVED] = {"moved", TEXT},
    [EV_TOLD] = {.word = "told"},
    [EV_ACTED] = {"acted", TEXT},
    [EV_NOTE] = {"note", TEXT},
    [EV_RESUME] = {"resume", VALUE},
    [EV_STOP] = {"stop", TEXT},
    [EV_SEAL] = {.word = "seal"},
    [EV_BLADDER] = {"bladder", ITEM, TWO_VALUES},
    [EV_BARRED] = {"barred", ONE_OF("left", "right"), TEXT},
    [EV_FREED] = {"freed", ONE_OF("left", "right"), TEXT},
    [EV_RECENT] = {"recent", ONE_OF("meal", "alcohol", "medicine"), TEXT},
    [EV_STAND] = {.word = "stand"},
    [EV_SYMPTOMS] = {"symptoms", ONE_OF("none", "present")},
    [EV_GAP] = {"gap", ONE_OF("heard", "none")},
    [EV_WITNESS] = {"witness", ITEM},
    [EV_LAPSE] = {"lapse", ITEM, TEXT},
    [EV_UNSEEN] = {"unseen", ITEM},
    [EV_STRIKE] = {"strike", VALUE, TEXT},
};
_Static_assert(ARRAY_LEN(FORMS) == EV_COUNT, "one row per kind of event");

#define VALUE_DIGITS 12
#define VALUE_MAX INT64_C(999999999999)
#define SECONDS_DIGITS 9

const struct event_form *event_form(enum event_kind kind)
{
    static const struct event_form NONE = {.word = ""};
    return (unsigned)kind < EV_COUNT ? &FORMS[kind] : &NONE;
}

bool event_kind_named(const char *word, enum event_kind *out)
{
    for (size_t i = 0; i < ARRAY_LEN(FORMS); i++) {
        if (FORMS[i].word[0] == word[0] && strcmp(FORMS[i].word, word) == 0) {
            *out = (enum event_kind)i;
            return true;
        }
    }
    return false;
}

/* ---- parsing ---- */

/* A place in the line. Column counts characters, so that an editor shows the same one. */
struct cursor {
    const char *at, *end;
    int column;
    struct syntax_error *why;
};

static bool fail_at(const struct cursor *c, int column, const char *text)
{
    if (c->why) {
        c->why->column = column;
        (void)text_copy(c->why->text, sizeof c->why->text, text);
    }
    return false;
}

static bool fail(const struct cursor *c, const char *text)
{
    return fail_at(c, c->column, text);
}

/* The byte here, or NUL at the end; a NUL in the line is met by at_end() as one more odd byte. */
static char peek(const struct cursor *c)
{
    return c->at < c->end ? *c->at : '\0';
}

static bool at_end(const struct cursor *c)
{
    return c->at == c->end;
}

static void step_ascii(struct cursor *c)
{
    c->at++;
    c->column++;
}

static bool is_digit(char ch)
{
    return ch >= '0' && ch <= '9';
}

static bool is_blank(char ch)
{
    return ch == ' ' || ch == '\t';
}

static void skip_blanks(struct cursor *c)
{
    while (is_blank(peek(c)))
        step_ascii(c);
}

/* What ends a part: a blank or the end of the line. */
static bool at_part_end(const struct cursor *c)
{
    return at_end(c) || is_blank(*c->at);
}

static bool take_seconds(struct cursor *c, int64_t *out_s)
{
    if (!is_digit(peek(c)))
        return fail(c, "a line begins with its time in seconds, such as 12.345");
    if (*c->at == '0' && c->at + 1 < c->end && is_digit(c->at[1]))
        return fail(c, "the time has a needless zero in front");
    *out_s = 0;
    for (int n = 0; is_digit(peek(c)); n++) {
        if (n == SECONDS_DIGITS)
            return fail(c, "the time has more than 9 digits before its point");
        *out_s = *out_s * 10 + (*c->at - '0');
        step_ascii(c);
    }
    return true;
}

static bool take_time(struct cursor *c, int64_t *out_ms)
{
    int64_t s = 0, ms = 0;
    if (!take_seconds(c, &s))
        return false;
    if (peek(c) != '.')
        return fail(c, "the time needs a point and exactly three decimals, such as 12.345");
    step_ascii(c);
    for (int i = 0; i < 3; i++) {
        if (!is_digit(peek(c)))
            return fail(c, "the time needs exactly three decimals");
        ms = ms * 10 + (*c->at - '0');
        step_ascii(c);
    }
    if (!at_part_end(c))
        return fail(c, is_digit(*c->at) ? "the time has more than three decimals" : "a blank must follow the time");
    *out_ms = s * 1000 + ms;
    return true;
}

/* Copy the part here into buf when it is short enough; the cursor stands behind it then. */
static bool take_word(struct cursor *c, char *buf, size_t cap)
{
    size_t n = 0;
    while (c->at + n < c->end && !is_blank(c->at[n]))
        n++;
    if (n >= cap || memchr(c->at, '\0', n))
        return false;
    memcpy(buf, c->at, n);
    buf[n] = '\0';
    c->at += n;
    c->column += (int)n; /* only ASCII words are ever accepted, else the caller reports where they began */
    return true;
}

static bool take_kind(struct cursor *c, enum event_kind *out)
{
    char word[ITEM_CAP];
    int column = c->column;
    if (at_end(c))
        return fail(c, "a kind of event must follow the time");
    if (!take_word(c, word, sizeof word) || !event_kind_named(word, out))
        return fail_at(c, column, "there is no such kind of event");
    return true;
}

static bool fail_listed(const struct cursor *c, int column, const char *kind, const char *const *items)
{
    char said[160];
    struct text t;
    text_init(&t, said, sizeof said);
    text_addf(&t, "%s takes one of:", kind);
    for (; *items; items++)
        text_addf(&t, " %s", *items);
    return fail_at(c, column, said);
}

static bool is_listed(const char *word, const char *const *items)
{
    for (; *items; items++)
        if (strcmp(word, *items) == 0)
            return true;
    return false;
}

static bool is_item_character(char ch)
{
    return is_digit(ch) || (ch >= 'A' && ch <= 'Z') || (ch >= 'a' && ch <= 'z') || ch == '.' || ch == '-';
}

/* Any item: the column of the first character that cannot be one is what a writer needs. */
static bool take_any_item(struct cursor *c, char out[ITEM_CAP])
{
    size_t n = 0;
    if (peek(c) == '.' || peek(c) == '-')
        return fail(c, "an item begins with a letter or a digit");
    for (; !at_part_end(c); n++, step_ascii(c)) {
        if (!is_item_character(*c->at))
            return fail(c, "an item has only the letters a to z and A to Z, digits, points and hyphens");
        if (n == ITEM_CAP - 1)
            return fail(c, "an item has at most 32 characters");
        out[n] = *c->at;
    }
    out[n] = '\0';
    return true;
}

static bool take_item(struct cursor *c, const struct event_form *form, char out[ITEM_CAP])
{
    int column = c->column;
    if (form->items) {
        if (at_end(c) || !take_word(c, out, ITEM_CAP) || !is_listed(out, form->items))
            return fail_listed(c, column, form->word, form->items);
        return true;
    }
    if (at_end(c))
        return fail(c, "an item is missing");
    return take_any_item(c, out);
}

static bool take_value(struct cursor *c, bool may_be_negative, int64_t *out)
{
    if (at_end(c))
        return fail(c, "a value is missing");
    bool is_negative = peek(c) == '-';
    if (is_negative && !may_be_negative)
        return fail(c, "this value cannot be negative");
    if (is_negative)
        step_ascii(c);
    if (!is_digit(peek(c)))
        return fail(c, "a value is a whole number in digits");
    if (*c->at == '0' && (is_negative || (c->at + 1 < c->end && is_digit(c->at[1]))))
        return fail(c, "the value has a needless zero or minus");
    int64_t v = 0;
    for (int n = 0; is_digit(peek(c)); n++) {
        if (n == VALUE_DIGITS)
            return fail(c, "a value has at most 12 digits");
        v = v * 10 + (*c->at - '0');
        step_ascii(c);
    }
    if (!at_part_end(c))
        return fail(c, "a value is a whole number in digits");
    *out = is_negative ? -v : v;
    return true;
}

/* Four hexadecimal digits at the cursor. */
static bool take_hex4(struct cursor *c, uint32_t *out)
{
    *out = 0;
    for (int i = 0; i < 4; i++) {
        char ch = peek(c);
        uint32_t digit = is_digit(ch)             ? (uint32_t)(ch - '0')
                         : ch >= 'a' && ch <= 'f' ? (uint32_t)(ch - 'a' + 10)
                         : ch >= 'A' && ch <= 'F' ? (uint32_t)(ch - 'A' + 10)
                                                  : 16;
        if (digit == 16)
            return fail(c, "\\u needs four hexadecimal digits");
        *out = *out * 16 + digit;
        step_ascii(c);
    }
    return true;
}

/* Behind "\u": one character, of two escapes where it lies beyond U+FFFF. */
static bool take_unicode_escape(struct cursor *c, int column, uint32_t *out)
{
    uint32_t low = 0;
    if (!take_hex4(c, out))
        return false;
    if (*out >= 0xDC00 && *out <= 0xDFFF)
        return fail_at(c, column, "a lone surrogate is no character");
    if (*out < 0xD800 || *out > 0xDBFF)
        return true;
    if (c->end - c->at < 2 || c->at[0] != '\\' || c->at[1] != 'u')
        return fail_at(c, column, "a lone surrogate is no character");
    step_ascii(c);
    step_ascii(c);
    if (!take_hex4(c, &low))
        return false;
    if (low < 0xDC00 || low > 0xDFFF)
        return fail_at(c, column, "a lone surrogate is no character");
    *out = 0x10000 + ((*out - 0xD800) << 10) + (low - 0xDC00);
    return true;
}

/* At a backslash. Escapes of control characters are decoded too: the caller refuses them like raw ones. */
static bool take_escape(struct cursor *c, uint32_t *out)
{
    static const char SHORT[] = "\"\\/bfnrt", MEANT[] = "\"\\/\b\f\n\r\t";
    int column = c->column;
    step_ascii(c);
    char ch = peek(c);
    if (ch == 'u') {
        step_ascii(c);
        return take_unicode_escape(c, column, out);
    }
    const char *found = ch == '\0' ? NULL : strchr(SHORT, ch);
    if (!found)
        return fail_at(c, column, "there is no such escape");
    *out = (uint32_t)(unsigned char)MEANT[found - SHORT];
    step_ascii(c);
    return true;
}

/* One character of a text, as it stands or escaped. */
static bool take_character(struct cursor *c, uint32_t *out)
{
    int column = c->column;
    if (*c->at == '\\') {
        if (!take_escape(c, out))
            return false;
    } else {
        size_t n = utf8_decode(c->at, (size_t)(c->end - c->at), out);
        if (n == 0)
            return fail(c, "this is not valid UTF-8");
        c->at += n;
        c->column++;
    }
    return !is_control(*out) || fail_at(c, column, "a text has no control or direction characters");
}

static bool take_text(struct cursor *c, char out[EVENT_TEXT_CAP])
{
    int column = c->column, count = 0;
    size_t len = 0;
    if (peek(c) != '"')
        return fail(c, at_end(c) ? "a text in double quotes is missing" : "a text begins with a double quote");
    step_ascii(c);
    for (; peek(c) != '"'; count++) {
        uint32_t ch;
        if (at_end(c))
            return fail(c, "the text has no closing quote");
        if (count == EVENT_TEXT_MAX)
            return fail(c, "a text has at most 500 characters");
        if (!take_character(c, &ch))
            return false;
        len += utf8_encode(ch, out + len);
    }
    out[len] = '\0';
    step_ascii(c);
    return is_plain_text(out, EVENT_TEXT_MAX) || fail_at(c, column, "a text must not be blank");
}

/* The parts of ev's kind, one after the other. Every part leaves the cursor behind itself. */
static bool take_parts(struct cursor *c, struct event *ev)
{
    const struct event_form *form = event_form(ev->kind);
    bool may_be_negative = ev->kind == EV_RESUME;
    skip_blanks(c);
    if (form->has_item && !take_item(c, form, ev->item))
        return false;
    skip_blanks(c);
    if (form->has_value && !take_value(c, may_be_negative, &ev->value))
        return false;
    skip_blanks(c);
    if (form->has_value2 && !take_value(c, may_be_negative, &ev->value2))
        return false;
    skip_blanks(c);
    if (form->has_text && !take_text(c, ev->text))
        return false;
    skip_blanks(c);
    return at_end(c) || fail(c, "nothing more may follow here");
}

/* Comments are kept out of the log but not out of the file: they must be UTF-8 as well. */
static bool is_utf8_to_the_end(struct cursor *c)
{
    while (!at_end(c)) {
        uint32_t ch;
        size_t n = utf8_decode(c->at, (size_t)(c->end - c->at), &ch);
        if (n == 0)
            return fail(c, "this is not valid UTF-8");
        c->at += n;
        c->column++;
    }
    return true;
}

enum parsed event_parse(const char *line, size_t len, struct event *out, struct syntax_error *why)
{
    if (len > 0 && line[len - 1] == '\n')
        len--;
    if (len > 0 && line[len - 1] == '\r')
        len--;
    struct cursor c = {.at = line, .end = line + len, .column = 1, .why = why};
    skip_blanks(&c);
    if (at_end(&c))
        return PARSED_NOTHING;
    if (*c.at == '#')
        return is_utf8_to_the_end(&c) ? PARSED_NOTHING : PARSED_ERROR;
    struct event ev;
    memset(&ev, 0, sizeof ev); /* all of it: two equal events are equal byte for byte */
    if (!take_time(&c, &ev.t_ms))
        return PARSED_ERROR;
    skip_blanks(&c);
    if (!take_kind(&c, &ev.kind) || !take_parts(&c, &ev))
        return PARSED_ERROR;
    memcpy(out, &ev, sizeof ev);
    return PARSED_EVENT;
}

/* ---- printing ---- */

static void print_text(struct text *t, const char *s)
{
    text_add(t, " \"");
    while (*s) {
        size_t plain = strcspn(s, "\"\\");
        text_add_bytes(t, s, plain);
        s += plain;
        if (*s) {
            text_add(t, "\\");
            text_add_bytes(t, s++, 1);
        }
    }
    text_add(t, "\"");
}

static void print_time(struct text *t, int64_t t_ms)
{
    const int64_t ms = t_ms % 1000;
    text_add_number(t, t_ms / 1000);
    text_add(t, ms < 10 ? ".00" : ms < 100 ? ".0" : ".");
    text_add_number(t, ms);
    text_add(t, " ");
}

static void print_value(struct text *t, int64_t value)
{
    text_add(t, " ");
    text_add_number(t, value);
}

/* By hand and not by a format: a proof prints each event that there is. */
size_t event_print(const struct event *ev, char out[EVENT_LINE_CAP])
{
    const struct event_form *form = event_form(ev->kind);
    struct text t;
    text_init(&t, out, EVENT_LINE_CAP);
    print_time(&t, ev->t_ms);
    text_add(&t, form->word);
    if (form->has_item) {
        text_add(&t, " ");
        const char *end = memchr(ev->item, '\0', ITEM_CAP - 1);
        text_add_bytes(&t, ev->item, end ? (size_t)(end - ev->item) : ITEM_CAP - 1);
    }
    if (form->has_value)
        print_value(&t, ev->value);
    if (form->has_value2)
        print_value(&t, ev->value2);
    if (form->has_text)
        print_text(&t, ev->text);
    return t.len;
}

/* ---- form ---- */

static bool is_value_formed(bool has_value, int64_t value, bool may_be_negative)
{
    if (!has_value)
        return value == 0;
    return value <= VALUE_MAX && value >= (may_be_negative ? -VALUE_MAX : 0);
}

static bool is_item_formed(const struct event_form *form, const char item[ITEM_CAP])
{
    if (!memchr(item, '\0', ITEM_CAP))
        return false;
    if (!form->has_item)
        return item[0] == '\0';
    return form->items ? is_listed(item, form->items) : is_item(item);
}

bool event_is_well_formed(const struct event *ev)
{
    const struct event_form *form = event_form(ev->kind);
    bool may_be_negative = ev->kind == EV_RESUME;
    if (form->word[0] == '\0' || ev->t_ms < 0 || ev->t_ms > EVENT_TIME_MAX_MS)
        return false;
    if (!is_item_formed(form, ev->item) || !memchr(ev->text, '\0', EVENT_TEXT_CAP))
        return false;
    if (!is_value_formed(form->has_value, ev->value, may_be_negative) ||
        !is_value_formed(form->has_value2, ev->value2, false))
        return false;
    return form->has_text ? is_plain_text(ev->text, EVENT_TEXT_MAX) : ev->text[0] == '\0';
}
