/* SPDX-License-Identifier: GPL-3.0-or-later */
/** @file verify.c  The verb `verify`: the whole store, one sitting, or an exported one. */
#include <errno.h>
#include <inttypes.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

#include "command/proof.h"
#include "command/workplace.h"

#define FILE_MAX (64 * 1024 * 1024) /* more than any sitting can come to */

static const char *const NEWEST = "That the newest sittings or signatures were taken out whole shows only against a copy exported "
                                  "before: stillarm verify FILE.\n";

static enum status read_failed(const char *name, const char *why, struct err *e)
{
    return err_set(e, ST_IO, "%.200s cannot be read: %s.", name, why);
}

static enum status read_open_file(FILE *f, const char *name, char **out, size_t *len, struct err *e)
{
    size_t cap = 65536, n;
    *len = 0;
    *out = malloc(cap);
    while (*out && (n = fread(*out + *len, 1, cap - *len, f)) > 0) {
        *len += n;
        if (*len < cap)
            continue;
        char *more = cap < FILE_MAX ? realloc(*out, 2 * cap) : NULL;
        if (!more)
            return read_failed(name, "it is larger than any file that stillarm writes", e);
        *out = more;
        cap *= 2;
    }
    if (!*out)
        return err_set(e, ST_NO_MEMORY, "There is not enough memory to read %.200s. Close other programs.", name);
    return ferror(f) ? read_failed(name, strerror(errno), e) : ST_OK;
}

static enum status read_file(const char *name, char **out, size_t *len, struct err *e)
{
    FILE *f = fopen(name, "rb");
    *out = NULL;
    if (!f)
        return read_failed(name, strerror(errno), e);
    enum status status = read_open_file(f, name, out, len, e);
    fclose(f);
    return status;
}

/* ---- what is shown ---- */

static void show_progress(void *user, int64_t done, int64_t of)
{
    (void)user;
    if (of)
        fprintf(stderr, "\r%" PRId64 " of %" PRId64 " sittings   ", done, of);
    else
        fprintf(stderr, "\r%" PRId64 " signatures   ", done);
}

static void show_line(void *user, const char *sentence)
{
    (void)user;
    printf("%s\n", sentence);
}

static void say_count(int64_t n, const char *what, const char **between)
{
    if (!n)
        return;
    printf("%s%" PRId64 " %s", *between, n, what);
    *between = ", ";
}

static void say_sittings(const struct proof *p)
{
    const char *between = ": ";
    printf("%" PRId64 " sitting%s", p->sittings, p->sittings == 1 ? "" : "s");
    say_count(p->signed_sittings, "signed", &between);
    say_count(p->unsigned_sittings, "whose signature is owed", &between);
    say_count(p->before_sittings, "older than signing", &between);
    say_count(p->open_sittings, "open", &between);
    printf("; %" PRId64 " event%s, %" PRId64 " statement%s.\n", p->events, p->events == 1 ? "" : "s", p->statements,
           p->statements == 1 ? "" : "s");
}

static void say_unsigned(const struct proof *p)
{
    if (p->unsigned_sittings || p->before_sittings || p->open_sittings)
        printf("What nobody has signed is only replayed: its owner could have changed it and the chain with it.\n");
}

static int say_summary(const struct proof *p, bool is_store)
{
    say_sittings(p);
    say_unsigned(p);
    char where[60] = "";
    if (p->wrong_sittings)
        snprintf(where, sizeof where, ", in %" PRId64 " sitting%s", p->wrong_sittings, p->wrong_sittings == 1 ? "" : "s");
    if (p->wrong)
        printf("%" PRId64 " thing%s wrong%s. The first: %s\n", p->wrong, p->wrong == 1 ? " is" : "s are", where, p->first);
    else
        printf("Every chain, signature, state and reading is as recorded.\n");
    if (is_store)
        printf("%s", NEWEST);
    return p->wrong ? EXIT_UNFINISHED : EXIT_FINE;
}

/* ---- what is verified ---- */

static enum status verify_store(const struct command_line *line, int64_t id, struct proof_watch *watch, struct proof *p,
                                struct err *e)
{
    struct workplace w;
    enum status status = workplace_open(&w, line, STORE_READ, WORKPLACE_STORE, e);
    if (status != ST_OK)
        return status;
    if (!id && store_open(w.path, STORE_READ, &watch->beside, NULL) != ST_OK)
        watch->beside = NULL; /* then one after the other */
    status = id ? proof_sitting(w.store, id, watch, p, e) : proof_store(w.store, watch, p, e);
    store_close(watch->beside);
    workplace_close(&w);
    return status;
}

static enum status verify_here(const struct command_line *line, const char *text, size_t len, const struct proof_watch *watch,
                               struct proof *p, struct err *e)
{
    struct workplace w;
    enum status status = workplace_open(&w, line, STORE_READ, WORKPLACE_STORE, e);
    if (status != ST_OK)
        return status;
    status = proof_export_here(w.store, text, len, watch, p, e);
    workplace_close(&w);
    return status;
}

static enum status verify_file(const struct command_line *line, const struct proof_watch *watch, struct proof *p, struct err *e)
{
    const char *keys_name = line->value[OPTION_KEYS];
    char *text = NULL, *keys = NULL;
    size_t len = 0, keys_len = 0;
    enum status status = read_file(line->words[0], &text, &len, e);
    if (status == ST_OK && keys_name)
        status = read_file(keys_name, &keys, &keys_len, e);
    if (status == ST_OK)
        status = keys_name ? proof_export(text, len, keys, keys_len, watch, p, e) : verify_here(line, text, len, watch, p, e);
    free(text);
    free(keys);
    return status;
}

int verb_verify(const struct command_line *line)
{
    bool has_progress = isatty(STDERR_FILENO) == 1;
    struct proof_watch watch = { .progress = has_progress ? show_progress : NULL, .say = show_line, .signed_by = show_line };
    struct proof p = { 0 };
    struct err e = { 0 };
    int64_t id = 0;
    bool is_store = line->word_count == 0 || parse_sitting(line->words[0], &id, NULL) == ST_OK;
    enum status status;
    if (is_store && line->value[OPTION_KEYS])
        status = err_set(&e, ST_USAGE, "--keys goes with an exported file: stillarm verify FILE --keys FILE.");
    else
        status = is_store ? verify_store(line, id, &watch, &p, &e) : verify_file(line, &watch, &p, &e);
    if (has_progress)
        fprintf(stderr, "\r%40s\r", "");
    if (status == ST_OK)
        return say_summary(&p, is_store && !id);
    int failed = command_fail(&e);
    return status == ST_USAGE ? failed : EXIT_FILES; /* a file that does not parse is no mistake of the command line */
}
