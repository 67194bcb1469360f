/* SPDX-License-Identifier: GPL-3.0-or-later */
/** @file export_text.c  Writes the text forms of one sitting and of the public keys. */
#include <inttypes.h>
#include <stdarg.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "command/export_form.h"
#include "command/held.h"
#include "command/proof.h"
#include "stillarm/text.h"

/** A text that grows; remembers that there was no memory, so that one look at the end is enough. */
struct growing { char *text; size_t len, cap; bool is_failed; };

static void add_bytes(struct growing *g, const char *bytes, size_t n)
{
    if (g->len + n + 1 > g->cap) {
        size_t cap = 2 * g->cap + n + 4096;
        char *text = g->is_failed ? NULL : realloc(g->text, cap);
        if (!text) {
            g->is_failed = true;
            return;
        }
        g->text = text;
        g->cap = cap;
    }
    memcpy(g->text + g->len, bytes, n);
    g->len += n;
    g->text[g->len] = '\0';
}

static void add(struct growing *g, const char *s)
{
    add_bytes(g, s, strlen(s));
}

static void addf(struct growing *g, const char *format, ...) __attribute__((format(printf, 2, 3)));
static void addf(struct growing *g, const char *format, ...)
{
    char line[256];
    va_list args;
    va_start(args, format);
    int n = vsnprintf(line, sizeof line, format, args);
    va_end(args);
    add_bytes(g, line, n > 0 && (size_t)n < sizeof line ? (size_t)n : 0);
}

/* Everything before it is in the hash of the last line. */
static enum status finish(struct growing *g, enum status status, char **out, size_t *len, struct err *e)
{
    char hex[HASH_HEX_CAP];
    if (status == ST_OK && !g->is_failed) {
        trust_hash_hex(g->text, g->len, hex);
        addf(g, "end %s\n", hex);
    }
    if (status == ST_OK && g->is_failed)
        status = err_set(e, ST_NO_MEMORY, "There is not enough memory to write this down. Close other programs.");
    *out = status == ST_OK ? g->text : NULL;
    *len = g->len;
    if (status != ST_OK)
        free(g->text);
    return status;
}

static bool add_event(void *user, const struct kept_event *k)
{
    struct growing *g = user;
    char line[EVENT_LINE_CAP];
    if (k->has_moment)
        addf(g, "%" PRId64 " %" PRId64 " ", k->unix_ms, k->boot_ms);
    else
        add(g, "- - ");
    add_bytes(g, line, event_print(&k->event, line));
    add(g, "\n");
    return !g->is_failed;
}

static bool add_attempt(void *user, const struct kept_attempt *a)
{
    struct growing *g = user;
    const char *const lines[] = { a->have, a->need, a->line };
    addf(g, "%d %d %" PRId64 " %" PRId64 " %d %s\n", (int)a->n, (int)a->after_seq, a->t_ms, a->unix_ms, a->is_slip ? 1 : 0,
         a->rule);
    for (size_t i = 0; i < ARRAY_LEN(lines); i++) {
        add(g, lines[i]);
        add(g, "\n");
    }
    return !g->is_failed;
}

static void add_statement(struct growing *g, const struct kept_statement *k)
{
    char hex[SIGNATURE_HEX_CAP];
    trust_hex(k->signature, sizeof k->signature, hex);
    addf(g, "%zu %s\n", k->len, hex);
    add_bytes(g, k->text, k->len);
}

/* Statements stand behind their number, which is known only once they are gathered. */
struct gathered { struct growing text; int64_t count; bool is_only_keys; };

static bool gather_statement(void *user, const struct kept_statement *k)
{
    static struct statement s; /* large, and one at a time */
    struct gathered *g = user;
    if (g->is_only_keys) {
        if (statement_parse(k->text, k->len, &s, NULL) != ST_OK)
            return true; /* verify names it */
        bool is_about_keys = s.kind == SAYS_KEY || s.kind == SAYS_COURSE || s.kind == SAYS_VOUCH || s.kind == SAYS_END ||
                             (s.kind == SAYS_RETIRE && strcmp(s.word, "person") == 0);
        if (!is_about_keys)
            return true;
    }
    add_statement(&g->text, k);
    g->count++;
    return !g->text.is_failed;
}

static enum status add_statements(struct growing *g, struct store *st, int64_t sitting, struct err *e)
{
    struct gathered all = { .is_only_keys = sitting == 0 };
    enum status status = store_statements(st, sitting, gather_statement, &all, e);
    addf(g, "statements %" PRId64 "\n", all.count);
    if (all.text.len)
        add_bytes(g, all.text.text, all.text.len);
    g->is_failed = g->is_failed || all.text.is_failed;
    free(all.text.text);
    return status;
}

static enum status add_protocol(struct growing *g, struct store *st, int64_t id, struct err *e)
{
    char *text = NULL;
    enum status status = store_protocol_text(st, id, &text, e);
    if (status != ST_OK)
        return status;
    addf(g, "protocol %zu\n", strlen(text));
    add(g, text);
    add(g, "\n");
    free(text);
    return ST_OK;
}

static enum status may_leave(struct store *st, const struct kept_sitting *k, struct err *e)
{
    if (k->review == REVIEW_OPEN)
        return err_set(e, ST_CONFLICT, "S-%03lld is still open. Export it once it is sealed or stopped.", (long long)k->head.id);
    return held_check(st, k->head.id, e);
}

static enum status write_sitting(struct growing *g, struct store *st, const struct kept_sitting *k, struct err *e)
{
    char store[STORE_ID_CAP];
    int64_t id = k->head.id;
    enum status status = may_leave(st, k, e);
    if (status == ST_OK)
        status = store_id(st, store, e);
    if (status != ST_OK)
        return status;
    addf(g, EXPORT_SITTING_LINE "\nstore %s\nsitting %" PRId64 "\n", store, id);
    status = add_protocol(g, st, id, e);
    addf(g, "events %d\n", (int)k->head.event_count);
    if (status == ST_OK)
        status = store_kept_events(st, id, add_event, g, e);
    addf(g, "attempts %d\n", (int)k->head.attempt_count);
    if (status == ST_OK)
        status = store_kept_attempts(st, id, add_attempt, g, e);
    return status == ST_OK ? add_statements(g, st, id, e) : status;
}

enum status export_sitting(struct store *st, int64_t id, char **out, size_t *len, struct err *e)
{
    struct growing g = { 0 };
    struct kept_sitting k;
    enum status status = store_kept_sitting(st, id, &k, e);
    if (status == ST_OK)
        status = write_sitting(&g, st, &k, e);
    return finish(&g, status, out, len, e);
}

enum status export_keys(struct store *st, char **out, size_t *len, struct err *e)
{
    struct growing g = { 0 };
    char store[STORE_ID_CAP];
    int64_t unsigned_until = 0;
    enum status status = store_id(st, store, e);
    if (status == ST_OK)
        status = store_unsigned_until(st, &unsigned_until, e);
    if (status == ST_OK) {
        addf(&g, EXPORT_KEYS_LINE "\nstore %s\nunsigned-until %" PRId64 "\n", store, unsigned_until);
        status = add_statements(&g, st, 0, e);
    }
    return finish(&g, status, out, len, e);
}
