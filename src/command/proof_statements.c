/* SPDX-License-Identifier: GPL-3.0-or-later */
/** @file proof_statements.c  The signed statements in their order: links, signatures, and what they claim of each sitting. */
#include <stdio.h>
#include <string.h>

#include "command/proof_parts.h"
#include "stillarm/text.h"

enum status statements_begin(struct statement_check *c, const struct findings *f, const char *store, int64_t unsigned_until,
                             struct err *e)
{
    memset(c, 0, sizeof *c);
    c->f = f;
    text_copy(c->store, sizeof c->store, store);
    statement_founding(store, unsigned_until, c->expected);
    return ring_new(store, &c->ring, e);
}

void statements_end(struct statement_check *c)
{
    ring_free(c->ring);
    c->ring = NULL;
}

/* The number, and that each carries the hash of the one before: what was taken out or put in between shows here. */
static void check_link(struct statement_check *c, const struct kept_statement *k, const struct statement *s, struct dossier *d)
{
    if (c->is_whole && k->number != c->number + 1)
        proof_wrong(c->f, d, "statement %lld follows on statement %lld: what stood between them is gone or was put elsewhere",
                    (long long)k->number, (long long)c->number);
    if (s && s->number != k->number)
        proof_wrong(c->f, d, "statement %lld says that it is number %lld", (long long)k->number, (long long)s->number);
    bool is_known = c->is_whole || k->number == 1;
    if (s && is_known && strcmp(s->previous, c->expected) != 0) {
        if (k->number == 1)
            proof_wrong(c->f, d, "statement 1 is not the first of this store with the number of sittings it began with");
        else
            proof_wrong(c->f, d, "statement %lld does not follow on the one before it: that one was changed, or either was moved",
                        (long long)k->number);
    }
    c->number = k->number;
    statement_hash(k->text, k->len, k->signature, c->expected);
}

static void take_close(struct dossier *d, const struct statement *s)
{
    d->has_close = true;
    d->close = s->kind;
    d->events = s->events;
    d->attempts = s->attempts;
    if (!trust_unhex(s->head, d->head, sizeof d->head) || !trust_unhex(s->attempts_hash, d->attempts_hash, sizeof d->attempts_hash))
        memset(d->head, 0, sizeof d->head);
    text_copy(d->protocol_text, sizeof d->protocol_text, s->protocol_text);
    text_copy(d->boot, sizeof d->boot, s->boot);
    text_copy(d->witness, sizeof d->witness, s->witness);
    text_copy(d->opened, sizeof d->opened, s->opened);
    text_copy(d->measurer, sizeof d->measurer, s->measurer);
    text_copy(d->signer, sizeof d->signer, s->person);
}

/* A later statement names the same record as the first one, and an event that the record has. */
static void check_same_record(const struct findings *f, struct dossier *d, const struct statement *s)
{
    unsigned char head[TRUST_HASH_BYTES];
    bool is_same = trust_unhex(s->head, head, sizeof head) && memcmp(head, d->head, sizeof head) == 0 && s->events == d->events &&
                   strcmp(s->opened, d->opened) == 0 && strcmp(s->measurer, d->measurer) == 0;
    if (!is_same)
        proof_wrong(f, d, "statement %lld (%s by %s) is about another record than the one that was signed at its end",
                    (long long)s->number, STATEMENTS[s->kind].word, s->person);
    if (s->event < 0 || s->event > d->events)
        proof_wrong(f, d, "statement %lld names event %d, of %d", (long long)s->number, (int)s->event, (int)d->events);
}

/* It names the one before it about the sitting: of those between others none can be left out, nor be put in. */
static void check_earlier(const struct findings *f, struct dossier *d, const struct statement *s)
{
    const char *word = STATEMENTS[s->kind].word;
    if (s->earlier == d->last_statement)
        return;
    if (s->earlier > d->last_statement)
        proof_wrong(f, d, "statement %lld (%s by %s) follows on statement %lld about this sitting, which is not here",
                    (long long)s->number, word, s->person, (long long)s->earlier);
    else if (s->earlier == 0)
        proof_wrong(f, d, "statement %lld (%s by %s) is signed as the first about this sitting, and statement %lld stands before it",
                    (long long)s->number, word, s->person, (long long)d->last_statement);
    else
        proof_wrong(f, d, "statement %lld (%s by %s) follows on statement %lld about this sitting, and not on %lld, which stands "
                          "before it", (long long)s->number, word, s->person, (long long)s->earlier, (long long)d->last_statement);
}

static void take_for_sitting(struct statement_check *c, struct dossier *d, const struct statement *s)
{
    bool is_close = (STATEMENTS[s->kind].fields & HAS_CLOSE) != 0;
    enum review next = d->review;
    check_earlier(c->f, d, s);
    if (is_close && !d->has_close)
        take_close(d, s);
    else if (d->has_close)
        check_same_record(c->f, d, s);
    if (review_after(d->review, s->kind, d->witness[0] != '\0', &next))
        d->review = next;
    else
        proof_wrong(c->f, d, "statement %lld (%s by %s) cannot come while the sitting is %s", (long long)s->number,
                    STATEMENTS[s->kind].word, s->person, REVIEW_WORDS[d->review]);
    d->last_statement = s->number;
}

/* Signatures are what takes time: where one sitting is asked for, those of others are left out. */
static bool is_wanted(const struct statement_check *c, const struct statement *s)
{
    return !c->only || !(STATEMENTS[s->kind].fields & HAS_SITTING) || s->sitting == c->only;
}

void statements_take(struct statement_check *c, const struct kept_statement *k, find_dossier_fn find, void *user,
                     struct taken_statement *out)
{
    struct err e = { 0 };
    struct statement *s = &out->said;
    out->has_said = statement_parse(k->text, k->len, s, &e) == ST_OK;
    struct dossier *d = NULL;
    c->f->proof->statements++;
    if (!out->has_said) {
        d = find(user, k->sitting);
        proof_wrong(c->f, d, "statement %lld cannot be read: %s", (long long)k->number, e.text);
        if (d)
            d->last_statement = k->number; /* what follows on it is not wrong as well */
        check_link(c, k, NULL, NULL);
        return;
    }
    bool is_about = (STATEMENTS[s->kind].fields & HAS_SITTING) != 0;
    if (is_about)
        d = find(user, s->sitting);
    if (k->sitting != (is_about ? s->sitting : 0))
        proof_wrong(c->f, d, "statement %lld is filed with another sitting than the one it is about", (long long)k->number);
    check_link(c, k, s, d);
    if (is_wanted(c, s) && ring_take(c->ring, s, k->text, k->len, k->signature, &e) != ST_OK)
        proof_wrong(c->f, d, "statement %lld (%s by %s): %s", (long long)k->number, STATEMENTS[s->kind].word, s->person, e.text);
    if (is_about && d)
        take_for_sitting(c, d, s);
    else if (is_about && (!c->only || s->sitting == c->only))
        proof_wrong(c->f, NULL, "statement %lld (%s by %s) is about S-%03lld, which is not here", (long long)k->number,
                    STATEMENTS[s->kind].word, s->person, (long long)s->sitting);
}
