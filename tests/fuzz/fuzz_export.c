/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Whatever two files hold that are said to be an exported sitting and its keys: the readers answer, in words, with a line that
 * is there; and what they take apart is made of what they were given. */
#include <string.h>

#include "command/export_form.h"
#include "command/proof.h"
#include "fuzz/fuzz.h"

static long lines_of(const char *text, size_t len)
{
    long n = 1;
    for (size_t i = 0; i < len; i++)
        n += text[i] == '\n';
    return n;
}

static void look_at(enum status st, const struct err *e, const char *text, size_t len)
{
    if (st == ST_OK)
        return;
    HOLDS(st == e->code && e->text[0] != '\0');
    HOLDS(st == ST_SYNTAX || st == ST_NEWER || st == ST_NOT_A_STORE);
    if (st == ST_SYNTAX) {
        HOLDS(strncmp(e->text, "line ", 5) == 0);
        const long line = strtol(e->text + 5, NULL, 10);
        HOLDS(line >= 1 && line <= lines_of(text, len));
    }
}

/* Everything that was counted is there again. */
static void walk_sitting(const struct export_parts *p, size_t len)
{
    static struct kept_event event;
    static struct kept_attempt attempt;
    static struct kept_statement statement;
    struct export_cursor events = p->events_at, attempts = p->attempts_at, statements = p->statements_at;
    for (int64_t i = 0; i < p->events; i++)
        HOLDS(export_next_event(&events, &event, NULL) == ST_OK);
    HOLDS(events.at == p->events_end);
    for (int64_t i = 0; i < p->attempts; i++)
        HOLDS(export_next_attempt(&attempts, &attempt, NULL) == ST_OK);
    HOLDS(attempts.at == p->attempts_end);
    for (int64_t i = 0; i < p->statements; i++)
        HOLDS(export_next_statement(&statements, &statement, NULL) == ST_OK);
    HOLDS(statements.at < len);
}

/* Else no change would ever get past the last line. */
static void fit_end(char *text, size_t len)
{
    unsigned char hash[TRUST_HASH_BYTES];
    char hex[HASH_HEX_CAP];
    const size_t last = sizeof "end \n" - 1 + sizeof hex - 1;
    if (len < last || memcmp(text + len - last, "end ", 4) != 0)
        return;
    trust_hash(text, len - last, hash);
    trust_hex(hash, sizeof hash, hex);
    memcpy(text + len - last + 4, hex, sizeof hex - 1);
}

/* The two files in one input, the sitting first. */
static void try_both(char *text, size_t len)
{
    static const char KEYS[] = EXPORT_KEYS_LINE;
    struct export_parts parts;
    struct proof p;
    struct err e = {.code = ST_OK};
    size_t cut = len;
    for (size_t i = 0; i + sizeof KEYS - 1 <= len && cut == len; i++)
        if (memcmp(text + i, KEYS, sizeof KEYS - 1) == 0)
            cut = i;
    fit_end(text, cut);
    fit_end(text + cut, len - cut);
    enum status st = export_parse_sitting(text, cut, &parts, &e);
    look_at(st, &e, text, cut);
    if (st == ST_OK)
        walk_sitting(&parts, cut);
    e.code = ST_OK;
    look_at(export_parse_keys(text + cut, len - cut, &parts, &e), &e, text + cut, len - cut);
    st = proof_export(text, cut, text + cut, len - cut, NULL, &p, &e);
    HOLDS(st != ST_OK || p.wrong == 0 || p.first[0] != '\0');
}

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size)
{
    struct err e;
    HOLDS(trust_init(&e) == ST_OK);
    char *text = malloc(size ? size : 1);
    HOLDS(text != NULL);
    memcpy(text, data, size);
    try_both(text, size);
    free(text);
    return 0;
}
