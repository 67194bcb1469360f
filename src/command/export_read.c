/* SPDX-License-Identifier: GPL-3.0-or-later */
/** @file export_read.c  Takes apart what export_text.c writes, and nothing else. */
#include <inttypes.h>
#include <stdio.h>
#include <string.h>

#include "command/export_form.h"
#include "stillarm/text.h"

static enum status fault(const struct export_cursor *c, const char *why, struct err *e)
{
    return err_set(e, ST_SYNTAX, "line %ld: %s.", c->line, why);
}

/* Of the line that was just read. */
static enum status fault_before(struct export_cursor *c, const char *why, struct err *e)
{
    c->line--;
    return fault(c, why, e);
}

/* One line without its LF. */
static enum status next_line(struct export_cursor *c, const char **line, size_t *len, struct err *e)
{
    const char *from = c->text + c->at, *end = c->at < c->len ? memchr(from, '\n', c->len - c->at) : NULL;
    if (!end)
        return fault(c, c->at < c->len ? "it breaks off here" : "more was to come here: the file was cut", e);
    *line = from;
    *len = (size_t)(end - from);
    c->at += *len + 1;
    c->line++;
    return memchr(from, '\0', *len) ? fault_before(c, "it holds a byte that no text has", e) : ST_OK;
}

/* Copied, so that the parsers of words can be used on it. */
static enum status copy_line(struct export_cursor *c, char *buf, size_t cap, const char *too_long, struct err *e)
{
    const char *line = NULL;
    size_t len = 0;
    enum status status = next_line(c, &line, &len, e);
    if (status != ST_OK)
        return status;
    if (len >= cap)
        return fault_before(c, too_long, e);
    memcpy(buf, line, len);
    buf[len] = '\0';
    return ST_OK;
}

/* `NAME VALUE`; value points into buf. */
static enum status named(struct export_cursor *c, const char *name, char *buf, size_t cap, const char **value, struct err *e)
{
    char why[80];
    size_t n = strlen(name);
    snprintf(why, sizeof why, "`%s` should stand here", name);
    enum status status = copy_line(c, buf, cap, why, e);
    if (status != ST_OK)
        return status;
    if (strncmp(buf, name, n) != 0 || buf[n] != ' ')
        return fault_before(c, why, e);
    *value = buf + n + 1;
    return ST_OK;
}

static enum status named_number(struct export_cursor *c, const char *name, int64_t high, int64_t *out, struct err *e)
{
    char buf[80], why[80];
    const char *value = NULL;
    enum status status = named(c, name, buf, sizeof buf, &value, e);
    if (status != ST_OK || parse_int(value, 0, high, out, NULL) == ST_OK)
        return status;
    snprintf(why, sizeof why, "`%s` needs a number", name);
    return fault_before(c, why, e);
}

/* The first line says what it is; a higher number in it was written by a newer program. */
static enum status first_line(struct export_cursor *c, const char *expected, const char *what, struct err *e)
{
    char buf[40];
    int64_t version = 0;
    size_t stem = (size_t)(strrchr(expected, ' ') - expected) + 1;
    enum status status = copy_line(c, buf, sizeof buf, "", e);
    if (status != ST_OK || strncmp(buf, expected, stem) != 0 || parse_int(buf + stem, 1, INT32_MAX, &version, NULL) != ST_OK)
        return err_set(e, ST_NOT_A_STORE, "it is no file of %s as stillarm writes it.", what);
    if (version > 1)
        return err_set(e, ST_NEWER, "it was written by a newer stillarm (form %d). Use the newer program.", (int)version);
    return ST_OK;
}

static enum status store_line(struct export_cursor *c, char out[STORE_ID_CAP], struct err *e)
{
    char buf[80];
    const char *value = NULL;
    unsigned char id[16];
    enum status status = named(c, "store", buf, sizeof buf, &value, e);
    if (status != ST_OK)
        return status;
    if (strlen(value) != 32 || !trust_unhex(value, id, sizeof id))
        return fault_before(c, "`store` needs 32 hexadecimal digits", e);
    text_copy(out, STORE_ID_CAP, value);
    return ST_OK;
}

static long lines_in(const char *text, size_t len)
{
    long n = 0;
    for (size_t i = 0; i < len; i++)
        n += text[i] == '\n';
    return n;
}

/* So many bytes as they are. */
static enum status block(struct export_cursor *c, int64_t bytes, const char **out, struct err *e)
{
    if ((uint64_t)bytes > c->len - c->at)
        return fault(c, "more was to come here: the file was cut", e);
    *out = c->text + c->at;
    c->at += (size_t)bytes;
    c->line += lines_in(*out, (size_t)bytes);
    return ST_OK;
}

static enum status protocol_block(struct export_cursor *c, struct export_parts *out, struct err *e)
{
    int64_t bytes = 0;
    const char *rest = NULL;
    size_t len = 0;
    enum status status = named_number(c, "protocol", INT32_MAX, &bytes, e);
    if (status == ST_OK)
        status = block(c, bytes, &out->protocol, e);
    if (status != ST_OK)
        return status;
    out->protocol_len = (size_t)bytes;
    if (memchr(out->protocol, '\0', out->protocol_len))
        return fault(c, "the protocol's text holds a byte that no text has", e);
    status = next_line(c, &rest, &len, e);
    return status == ST_OK && len ? fault_before(c, "the protocol's text is not as long as it says", e) : status;
}

/* One word up to a blank, a number: `*at` moves behind the blank. */
static bool take_number(char **at, int64_t low, int64_t *out)
{
    char *end = strchr(*at, ' ');
    if (!end)
        return false;
    *end = '\0';
    bool is_right = parse_int(*at, low, INT64_MAX, out, NULL) == ST_OK;
    *end = ' ';
    *at = end + 1;
    return is_right;
}

enum status export_next_event(struct export_cursor *c, struct kept_event *out, struct err *e)
{
    char buf[EVENT_LINE_CAP + 64], printed[EVENT_LINE_CAP];
    char *at = buf;
    enum status status = copy_line(c, buf, sizeof buf, "this is too long for an event", e);
    if (status != ST_OK)
        return status;
    out->has_moment = strncmp(buf, "- - ", 4) != 0;
    out->unix_ms = out->boot_ms = 0;
    if (!out->has_moment)
        at += 4;
    else if (!take_number(&at, INT64_MIN + 1, &out->unix_ms) || !take_number(&at, INT64_MIN + 1, &out->boot_ms))
        return fault_before(c, "an event needs the two clocks before it", e);
    size_t len = strlen(at);
    if (event_parse(at, len, &out->event, NULL) != PARSED_EVENT || event_print(&out->event, printed) != len ||
        memcmp(printed, at, len) != 0)
        return fault_before(c, "this is no event as stillarm writes it", e);
    return ST_OK;
}

static bool is_rule_word(const char *s)
{
    size_t n = strspn(s, "abcdefghijklmnopqrstuvwxyz.-");
    return n > 0 && n < ITEM_CAP && s[n] == '\0';
}

enum status export_next_attempt(struct export_cursor *c, struct kept_attempt *out, struct err *e)
{
    char buf[160], *at = buf;
    int64_t n = 0, after = 0, is_slip = 0;
    enum status status = copy_line(c, buf, sizeof buf, "this is no refused attempt", e);
    if (status != ST_OK)
        return status;
    bool is_right = take_number(&at, 1, &n) && n <= INT32_MAX && take_number(&at, 0, &after) && after <= INT32_MAX &&
                    take_number(&at, 0, &out->t_ms) && take_number(&at, INT64_MIN + 1, &out->unix_ms) &&
                    take_number(&at, 0, &is_slip) && is_slip <= 1 && is_rule_word(at);
    if (!is_right)
        return fault_before(c, "this is no refused attempt", e);
    out->n = (int32_t)n;
    out->after_seq = (int32_t)after;
    out->is_slip = is_slip == 1;
    text_copy(out->rule, sizeof out->rule, at);
    status = copy_line(c, out->have, sizeof out->have, "what there was is too long", e);
    if (status == ST_OK)
        status = copy_line(c, out->need, sizeof out->need, "what was needed is too long", e);
    return status == ST_OK ? copy_line(c, out->line, sizeof out->line, "this is too long for an event", e) : status;
}

enum status export_next_statement(struct export_cursor *c, struct kept_statement *out, struct err *e)
{
    char buf[200], *at = buf;
    int64_t bytes = 0;
    const char *text = NULL;
    enum status status = copy_line(c, buf, sizeof buf, "this is too long for a signature", e);
    if (status != ST_OK)
        return status;
    if (!take_number(&at, 1, &bytes) || bytes >= STATEMENT_CAP || strlen(at) != 2 * sizeof out->signature ||
        !trust_unhex(at, out->signature, sizeof out->signature))
        return fault_before(c, "a statement needs its length and its signature here", e);
    long from = c->line;
    status = block(c, bytes, &text, e);
    if (status != ST_OK)
        return status;
    memcpy(out->text, text, (size_t)bytes);
    out->text[bytes] = '\0';
    out->len = (size_t)bytes;
    if (out->text[bytes - 1] != '\n')
        return err_set(e, ST_SYNTAX, "line %ld: the statement that begins here is not as long as it says.", from);
    return ST_OK;
}

/* What it says is needed to put it in its place. */
static enum status read_statements(struct export_cursor *c, int64_t count, int64_t sitting, struct err *e)
{
    static struct kept_statement k; /* both large, and one at a time */
    static struct statement s;
    int64_t last = 0;
    for (int64_t i = 0; i < count; i++) {
        struct err inner = { 0 };
        long from = c->line + 1;
        enum status status = export_next_statement(c, &k, e);
        if (status != ST_OK)
            return status;
        status = statement_parse(k.text, k.len, &s, &inner);
        if (status != ST_OK)
            return err_set(e, status, "line %ld: the statement that begins here cannot be read: %.400s", from, inner.text);
        if (s.number <= last)
            return err_set(e, ST_SYNTAX, "line %ld: the statement that begins here is out of its order.", from);
        if (s.sitting != sitting)
            return err_set(e, ST_SYNTAX, "line %ld: the statement that begins here does not belong into this file.", from);
        last = s.number;
    }
    return ST_OK;
}

static enum status last_line(struct export_cursor *c, struct export_parts *out, struct err *e)
{
    char buf[80], hex[HASH_HEX_CAP];
    const char *value = NULL;
    unsigned char given[TRUST_HASH_BYTES];
    size_t before = c->at;
    enum status status = named(c, "end", buf, sizeof buf, &value, e);
    if (status != ST_OK)
        return status;
    if (strlen(value) != 2 * sizeof given || !trust_unhex(value, given, sizeof given))
        return fault_before(c, "`end` needs 64 hexadecimal digits", e);
    if (c->at != c->len)
        return fault(c, "something follows on the end", e);
    trust_hash_hex(c->text, before, hex);
    out->is_end_right = strcmp(hex, value) == 0;
    return ST_OK;
}

static enum status read_counted(struct export_cursor *c, const char *name, int64_t *count, struct export_cursor *at, struct err *e)
{
    enum status status = named_number(c, name, INT32_MAX, count, e);
    *at = *c;
    return status;
}

static enum status read_statement_part(struct export_cursor *c, struct export_parts *out, struct err *e)
{
    enum status status = read_counted(c, "statements", &out->statements, &out->statements_at, e);
    if (status == ST_OK)
        status = read_statements(c, out->statements, out->sitting, e);
    return status == ST_OK ? last_line(c, out, e) : status;
}

enum status export_parse_sitting(const char *text, size_t len, struct export_parts *out, struct err *e)
{
    static struct kept_event event; /* both large, and one at a time */
    static struct kept_attempt attempt;
    struct export_cursor c = { .text = text, .len = len, .line = 1 };
    memset(out, 0, sizeof *out);
    enum status status = first_line(&c, EXPORT_SITTING_LINE, "a sitting", e);
    if (status == ST_OK)
        status = store_line(&c, out->store, e);
    if (status == ST_OK)
        status = named_number(&c, "sitting", INT64_MAX, &out->sitting, e);
    if (status == ST_OK && out->sitting == 0)
        return fault_before(&c, "`sitting` needs a number", e);
    if (status == ST_OK)
        status = protocol_block(&c, out, e);
    if (status == ST_OK)
        status = read_counted(&c, "events", &out->events, &out->events_at, e);
    for (int64_t i = 0; status == ST_OK && i < out->events; i++)
        status = export_next_event(&c, &event, e);
    out->events_end = c.at;
    if (status == ST_OK)
        status = read_counted(&c, "attempts", &out->attempts, &out->attempts_at, e);
    for (int64_t i = 0; status == ST_OK && i < out->attempts; i++)
        status = export_next_attempt(&c, &attempt, e);
    out->attempts_end = c.at;
    return status == ST_OK ? read_statement_part(&c, out, e) : status;
}

enum status export_parse_keys(const char *text, size_t len, struct export_parts *out, struct err *e)
{
    struct export_cursor c = { .text = text, .len = len, .line = 1 };
    memset(out, 0, sizeof *out);
    enum status status = first_line(&c, EXPORT_KEYS_LINE, "keys", e);
    if (status == ST_OK)
        status = store_line(&c, out->store, e);
    if (status == ST_OK)
        status = named_number(&c, "unsigned-until", INT64_MAX, &out->unsigned_until, e);
    return status == ST_OK ? read_statement_part(&c, out, e) : status;
}
