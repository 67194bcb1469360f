/* SPDX-License-Identifier: GPL-3.0-or-later */
/** @file proof_export.c  The proof of an exported sitting: by a file of keys, or against the store it came from. */
#include <inttypes.h>
#include <stdlib.h>
#include <string.h>

#include "command/export_form.h"
#include "command/proof_parts.h"
#include "stillarm/text.h"

struct exported {
    struct findings f;
    bool is_whole; /* the file of the sitting could be taken apart */
    struct export_parts parts, keys;
    struct dossier d;
    struct protocol_shelf shelf;
    struct statement_check statements;
    struct sitting_check check;
    struct kept_statement of_keys, of_sitting; /* the next of each */
    struct kept_event event;
    struct kept_attempt attempt;
    struct taken_statement taken;
};

/* What was cut or edited is a finding; what was never such a file, or is newer, cannot be judged. */
static enum status take_apart(struct exported *x, const char *text, size_t len, struct err *e)
{
    struct err inner = { 0 };
    enum status status = export_parse_sitting(text, len, &x->parts, &inner);
    if (status == ST_OK && !x->parts.is_end_right)
        proof_wrong(&x->f, NULL,
                    "the file of the sitting was changed after it was written: its last line does not fit the rest");
    x->is_whole = status == ST_OK;
    if (status != ST_NOT_A_STORE && status != ST_NEWER) {
        if (status != ST_OK)
            proof_wrong(&x->f, NULL, "the file of the sitting is not as it was written: %s", inner.text);
        return ST_OK;
    }
    return err_set(e, status, "The file of the sitting: %s", inner.text);
}

static enum status take_keys_apart(struct exported *x, const char *text, size_t len, struct err *e)
{
    struct err inner = { 0 };
    enum status status = export_parse_keys(text, len, &x->keys, &inner);
    if (status != ST_OK)
        return err_set(e, status, "The file of keys: %s", inner.text);
    if (!x->keys.is_end_right)
        return err_set(e, ST_CORRUPT, "The file of keys was changed after it was written: its last line does not fit the rest. "
                                      "Export the keys once more.");
    return ST_OK;
}

static enum status say_other_store(const char *what, const char *one, const char *sitting, struct err *e)
{
    return err_set(e, ST_CONFLICT, "%s %.8s..., the sitting comes from %.8s...: another store. Each store has keys of its own.", what,
                   one, sitting);
}

static struct dossier *find(void *user, int64_t id)
{
    struct exported *x = user;
    return id == x->d.id ? &x->d : NULL;
}

/* The number stands in the text; what it is filed with follows from it. */
static int64_t number_of(struct kept_statement *k)
{
    static struct statement s;
    if (statement_parse(k->text, k->len, &s, NULL) != ST_OK)
        return INT64_MAX; /* cannot be: it was taken apart before */
    k->number = s.number;
    k->sitting = s.sitting;
    return s.number;
}

static int64_t next_of(struct export_cursor *c, int64_t *left, struct kept_statement *out)
{
    if (*left == 0 || export_next_statement(c, out, NULL) != ST_OK)
        return INT64_MAX;
    (*left)--;
    return number_of(out);
}

/* The statements about keys and those about the sitting, in the order in which they were made. */
static void take_statements(struct exported *x)
{
    struct export_cursor keys_at = x->keys.statements_at, sitting_at = x->parts.statements_at;
    int64_t keys_left = x->keys.statements, sitting_left = x->parts.statements;
    int64_t key = next_of(&keys_at, &keys_left, &x->of_keys), about = next_of(&sitting_at, &sitting_left, &x->of_sitting);
    while (key != INT64_MAX || about != INT64_MAX) {
        if (key == about)
            proof_wrong(&x->f, &x->d, "statement %" PRId64 " is there twice, and not the same", key);
        if (key <= about) {
            statements_take(&x->statements, &x->of_keys, find, x, &x->taken);
            key = next_of(&keys_at, &keys_left, &x->of_keys);
        } else {
            statements_take(&x->statements, &x->of_sitting, find, x, &x->taken);
            about = next_of(&sitting_at, &sitting_left, &x->of_sitting);
        }
    }
}

static enum status put_protocol(struct exported *x, const struct judged_by **by, struct err *e)
{
    char hex[HASH_HEX_CAP], *text = malloc(x->parts.protocol_len + 1);
    if (text) {
        memcpy(text, x->parts.protocol, x->parts.protocol_len);
        text[x->parts.protocol_len] = '\0';
        trust_hash_hex(text, x->parts.protocol_len, hex);
        *by = shelf_put(&x->shelf, hex, text, &x->f, &x->d);
    }
    free(text);
    return *by ? ST_OK : err_set(e, ST_NO_MEMORY, "There is not enough memory to verify this sitting. Close other programs.");
}

static enum status take_record(struct exported *x, struct err *e)
{
    const struct judged_by *by = NULL;
    struct export_cursor events_at = x->parts.events_at, attempts_at = x->parts.attempts_at;
    enum status status = put_protocol(x, &by, e);
    if (status != ST_OK)
        return status;
    for (int64_t i = 0; i < x->parts.attempts && export_next_attempt(&attempts_at, &x->attempt, e) == ST_OK; i++)
        attempt_check(&x->d, &x->attempt);
    sitting_check_begin(&x->check, &x->f, &x->d, by, x->parts.store, x->keys.unsigned_until, false);
    for (int64_t i = 0; i < x->parts.events && export_next_event(&events_at, &x->event, e) == ST_OK; i++) {
        x->event.sitting = x->d.id;
        x->event.seq = (int32_t)i + 1;
        sitting_check_event(&x->check, &x->event);
    }
    sitting_check_end(&x->check);
    if (x->check.sitting.phase == PHASE_OPEN)
        proof_wrong(&x->f, &x->d, "the events leave it open: what came after them is gone");
    return ST_OK;
}

static enum status prove_by_keys(struct exported *x, struct err *e)
{
    if (strcmp(x->keys.store, x->parts.store) != 0)
        return say_other_store("The keys are those of store", x->keys.store, x->parts.store, e);
    x->d.id = x->parts.sitting;
    x->d.review = REVIEW_UNSIGNED;
    attempt_check_begin(&x->d, x->parts.store);
    enum status status = statements_begin(&x->statements, &x->f, x->parts.store, x->keys.unsigned_until, e);
    if (status != ST_OK)
        return status;
    take_statements(x);
    return take_record(x, e);
}

static void say_signed(struct exported *x)
{
    struct export_cursor at = x->parts.statements_at;
    struct signed_say say;
    if (!x->is_whole || !signed_begin(&say, &x->f, x->statements.ring))
        return;
    for (int64_t i = 0; i < x->parts.statements && export_next_statement(&at, &x->of_sitting, NULL) == ST_OK; i++)
        signed_take(&say, &x->of_sitting);
    signed_end(&say);
}

static struct exported *begin(const struct proof_watch *watch, struct proof *p, struct err *e)
{
    struct exported *x = calloc(1, sizeof *x);
    proof_begin(p);
    if (x)
        x->f = (struct findings){ .proof = p, .watch = watch };
    else
        err_set(e, ST_NO_MEMORY, "There is not enough memory to verify this sitting. Close other programs.");
    return x;
}

static void end(struct exported *x)
{
    statements_end(&x->statements);
    shelf_free(&x->shelf);
    free(x);
}

enum status proof_export(const char *text, size_t len, const char *keys, size_t keys_len, const struct proof_watch *watch,
                         struct proof *p, struct err *e)
{
    struct exported *x = begin(watch, p, e);
    if (!x)
        return ST_NO_MEMORY;
    enum status status = take_keys_apart(x, keys, keys_len, e);
    if (status == ST_OK)
        status = take_apart(x, text, len, e);
    if (status == ST_OK && x->is_whole)
        status = prove_by_keys(x, e);
    /* Whoever takes the signatures out of a file can write anything into it. */
    if (status == ST_OK && x->is_whole && !p->signed_sittings && !p->before_sittings)
        proof_wrong(&x->f, &x->d, "nobody's signature of its end is in the file: by the keys alone nothing shows that it is what "
                                  "was recorded");
    if (status == ST_OK)
        say_signed(x);
    end(x);
    return status;
}

/* ---- against the store it came from ---- */

static bool is_same(const struct export_cursor *a, size_t a_end, const struct export_cursor *b, size_t b_end)
{
    return a_end - a->at == b_end - b->at && memcmp(a->text + a->at, b->text + b->at, a_end - a->at) == 0;
}

/* The first event in which the two differ. */
static int64_t first_other_event(const struct export_parts *file, const struct export_parts *here, struct kept_event *scratch)
{
    struct export_cursor a = file->events_at, b = here->events_at;
    for (int64_t i = 0; i < file->events && i < here->events; i++) {
        struct export_cursor a_from = a, b_from = b;
        if (export_next_event(&a, scratch, NULL) != ST_OK || export_next_event(&b, scratch, NULL) != ST_OK ||
            !is_same(&a_from, a.at, &b_from, b.at))
            return i + 1;
    }
    return (file->events < here->events ? file->events : here->events) + 1;
}

/* Those of the file must be the first of those here; what was signed since is no fault. */
static void compare_statements(struct exported *x, const struct export_parts *here)
{
    struct export_cursor a = x->parts.statements_at, b = here->statements_at;
    for (int64_t i = 0; i < x->parts.statements; i++) {
        struct export_cursor a_from = a, b_from = b;
        enum status of_file = export_next_statement(&a, &x->of_sitting, NULL);
        number_of(&x->of_sitting);
        if (i >= here->statements) {
            proof_wrong(&x->f, &x->d, "statement %" PRId64 " of the file is not in this store any more", x->of_sitting.number);
            return;
        }
        if (of_file != ST_OK || export_next_statement(&b, &x->of_keys, NULL) != ST_OK || !is_same(&a_from, a.at, &b_from, b.at)) {
            proof_wrong(&x->f, &x->d, "statement %" PRId64 " of the file is another one in this store", x->of_sitting.number);
            return;
        }
    }
}

static void compare(struct exported *x, const struct export_parts *here)
{
    const struct export_parts *file = &x->parts;
    if (file->protocol_len != here->protocol_len || memcmp(file->protocol, here->protocol, file->protocol_len) != 0)
        proof_wrong(&x->f, &x->d, "the text of its protocol is another one in this store");
    if (!is_same(&file->events_at, file->events_end, &here->events_at, here->events_end))
        proof_wrong(&x->f, &x->d, "event %" PRId64 " is another one in this store", first_other_event(file, here, &x->event));
    if (!is_same(&file->attempts_at, file->attempts_end, &here->attempts_at, here->attempts_end))
        proof_wrong(&x->f, &x->d, "its refused attempts are others in this store");
    compare_statements(x, here);
}

static enum status compare_with(struct exported *x, struct store *st, struct err *e)
{
    struct export_parts here;
    struct err inner = { 0 };
    char *text = NULL;
    size_t len = 0;
    x->d.id = x->parts.sitting;
    enum status status = export_sitting(st, x->parts.sitting, &text, &len, &inner);
    if (status == ST_NOT_FOUND)
        proof_wrong(&x->f, &x->d, "it is not in this store any more");
    else if (status == ST_CONFLICT || status == ST_PERMISSION)
        proof_wrong(&x->f, &x->d, "it had ended and was given out when the file was written, and here it is not: %s", inner.text);
    else if (status == ST_OK && export_parse_sitting(text, len, &here, &inner) == ST_OK)
        compare(x, &here);
    else if (status == ST_OK || status == ST_CORRUPT)
        proof_wrong(&x->f, &x->d, "what this store holds of it cannot be read: %s", inner.text);
    else
        return err_set(e, status, "%s", inner.text);
    free(text);
    return ST_OK;
}

static enum status prove_here(struct exported *x, struct store *st, struct err *e)
{
    char store[STORE_ID_CAP], *keys = NULL;
    size_t len = 0;
    enum status status = store_id(st, store, e);
    if (status == ST_OK && strcmp(store, x->parts.store) != 0)
        return say_other_store("This store is", store, x->parts.store, e);
    if (status == ST_OK)
        status = export_keys(st, &keys, &len, e);
    if (status == ST_OK)
        status = take_keys_apart(x, keys, len, e);
    if (status == ST_OK)
        status = prove_by_keys(x, e);
    free(keys);
    return status == ST_OK ? compare_with(x, st, e) : status;
}

enum status proof_export_here(struct store *st, const char *text, size_t len, const struct proof_watch *watch, struct proof *p,
                              struct err *e)
{
    struct exported *x = begin(watch, p, e);
    if (!x)
        return ST_NO_MEMORY;
    enum status status = take_apart(x, text, len, e);
    if (status == ST_OK && x->is_whole)
        status = prove_here(x, st, e);
    if (status == ST_OK)
        say_signed(x);
    end(x);
    return status;
}
