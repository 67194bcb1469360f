/* SPDX-License-Identifier: GPL-3.0-or-later */
/** @file proof_sitting.c  One sitting, event by event: chain, replay, and everything that must agree with both. */
#include <stdio.h>
#include <string.h>

#include "command/proof_parts.h"
#include "command/workplace.h"
#include "stillarm/text.h"

void attempt_check_begin(struct dossier *d, const char *store)
{
    d->attempts_found = 0;
    d->has_attempts_gap = false;
    chain_attempts_begin(&d->attempts_chain, store, d->id);
}

void attempt_check(struct dossier *d, const struct kept_attempt *k)
{
    const struct chain_attempt a = { .n = k->n, .after_seq = k->after_seq, .t_ms = k->t_ms, .unix_ms = k->unix_ms,
                                     .is_slip = k->is_slip, .rule = k->rule, .have = k->have, .need = k->need, .line = k->line };
    d->attempts_found++;
    if (k->n != d->attempts_found)
        d->has_attempts_gap = true;
    chain_attempt(&d->attempts_chain, &a);
}

void sitting_check_begin(struct sitting_check *c, const struct findings *f, struct dossier *d, const struct judged_by *by,
                         const char *store, int64_t unsigned_until, bool is_stored)
{
    c->f = f;
    c->d = d;
    c->by = by;
    c->is_stored = is_stored;
    c->unsigned_until = unsigned_until;
    c->seq = 0;
    c->is_broken = c->is_chain_broken = c->has_moment = false;
    c->unix_ms = c->boot_ms = 0;
    c->without_moment = 0;
    c->opened[0] = '\0';
    chain_begin(&c->chain, store, d->id);
    sitting_init(&c->sitting);
    f->proof->sittings++;
}

/* The figures of a witnessed sitting are its witness's alone until she gives the result. */
static bool is_held(const struct dossier *d)
{
    return d->review == REVIEW_HELD || (d->kept.witness[0] && d->kept.review != REVIEW_RELEASED);
}

static void say_changed_event(struct sitting_check *c, int32_t seq, const char *line)
{
    if (is_held(c->d))
        proof_wrong(c->f, c->d, "event %d is not what was recorded", (int)seq);
    else
        proof_wrong(c->f, c->d, "event %d is not what was recorded: `%.200s` does not fit its place in the chain", (int)seq, line);
}

static void check_chain(struct sitting_check *c, const struct kept_event *k)
{
    char line[EVENT_LINE_CAP];
    size_t len = event_print(&k->event, line);
    chain_event(&c->chain, line, len, k->has_moment ? k->unix_ms : INT64_MIN, k->has_moment ? k->boot_ms : INT64_MIN);
    if (!k->has_moment) {
        c->without_moment++;
        if (c->is_stored && (k->unix_ms != INT64_MIN || k->boot_ms != INT64_MIN))
            proof_wrong(c->f, c->d, "event %d has clocks beside it from before clocks were kept", (int)k->seq);
        if (c->has_moment && !c->is_chain_broken) {
            proof_wrong(c->f, c->d, "event %d has lost the clocks beside it", (int)k->seq);
            c->is_chain_broken = true;
        }
    } else if (c->is_stored && !c->is_chain_broken && memcmp(c->chain.hash, k->chain, sizeof k->chain) != 0) {
        say_changed_event(c, k->seq, line);
        c->is_chain_broken = true; /* nothing behind it can fit */
    }
    c->has_moment = k->has_moment;
    c->unix_ms = k->unix_ms;
    c->boot_ms = k->boot_ms;
}

void sitting_check_event(struct sitting_check *c, const struct kept_event *k)
{
    struct refusal why = { 0 };
    c->f->proof->events++;
    if (k->seq != c->seq + 1 && !c->is_broken) {
        proof_wrong(c->f, c->d, "event %d is missing", (int)c->seq + 1);
        c->is_broken = true;
    }
    c->seq = k->seq;
    check_chain(c, k);
    if (c->is_broken || !c->by || !c->by->is_sound)
        return;
    if (k->event.kind == EV_DATE)
        text_copy(c->opened, sizeof c->opened, k->event.text);
    if (!sitting_apply(&c->sitting, &c->by->protocol, &k->event, &why)) {
        proof_wrong(c->f, c->d, "event %d is not one that could have been accepted (%s: %s)", (int)k->seq, rule_id(why.rule),
                    why.sentence);
        c->is_broken = true;
    }
}

int sitting_check_finished(const struct sitting *s, int *counted)
{
    int n = 0;
    *counted = 0;
    for (int i = 0; i < s->reading_count; i++)
        if (s->readings[i].is_done) {
            n++;
            *counted += reading_is_counted(&s->readings[i]);
        }
    return n;
}

/* What stands in no reading's line. */
static bool check_inflation(struct sitting_check *c, const struct stored_reading *r, const struct reading *replayed)
{
    bool has_target = replayed->has_value[POINT_TARGET] != 0;
    bool is_right = true;
    if (r->has_target != has_target || (has_target && r->target_mmhg != replayed->value_mmhg[POINT_TARGET])) {
        proof_wrong(c->f, c->d, "the target of reading %d is not stored as the events give it", (int)r->n);
        is_right = false;
    }
    if (r->inflate_ms != replayed->inflate_ms) {
        proof_wrong(c->f, c->d, "the inflation of reading %d is not stored as the events give it", (int)r->n);
        is_right = false;
    }
    return is_right;
}

bool sitting_check_reading(struct sitting_check *c, const struct stored_reading *r)
{
    char line[sizeof r->line];
    if (c->is_broken)
        return false;
    if (r->n < 1 || r->n > c->sitting.reading_count) {
        proof_wrong(c->f, c->d, "the store holds reading %d, the events give none", (int)r->n);
        return false;
    }
    const int index = (int)r->n - 1;
    store_reading_line(&c->sitting, index, line, sizeof line);
    if (strcmp(line, r->line) == 0)
        return check_inflation(c, r, &c->sitting.readings[index]);
    if (is_held(c->d))
        proof_wrong(c->f, c->d, "reading %d is not stored as the events give it", (int)r->n);
    else
        proof_wrong(c->f, c->d, "reading %d is stored as `%s`, the events give `%s`", (int)r->n, r->line, line);
    return false;
}

static void same_word(struct sitting_check *c, const char *what, const char *stored, const char *replayed)
{
    if (strcmp(stored, replayed) != 0)
        proof_wrong(c->f, c->d, "%s is stored as `%s`, the events give `%s`", what, stored, replayed);
}

static void same_number(struct sitting_check *c, const char *what, int64_t stored, int64_t replayed)
{
    if (stored != replayed)
        proof_wrong(c->f, c->d, "%s is stored as %lld, the events give %lld", what, (long long)stored, (long long)replayed);
}

static const char *purpose_word(const struct sitting *s)
{
    static const char *const WORDS[] = { [PURPOSE_NONE] = "", [PURPOSE_PRACTICE] = "practice", [PURPOSE_SERVICE] = "service",
                                         [PURPOSE_ASSESSMENT] = "assessment" };
    return WORDS[s->purpose];
}

/* The columns that lists and queues are made of, against the replay. */
static void check_row(struct sitting_check *c)
{
    const struct kept_sitting *k = &c->d->kept;
    const struct sitting_head *h = &k->head;
    const struct sitting *s = &c->sitting;
    int counted, finished = sitting_check_finished(s, &counted);
    if ((int32_t)h->phase != s->phase)
        proof_wrong(c->f, c->d, "stored as %s, the events give %s", PHASE_WORDS[h->phase], PHASE_WORDS[s->phase]);
    same_word(c, "the protocol", h->protocol, s->protocol);
    same_word(c, "the measurer", h->measurer, s->measurer);
    same_word(c, "the opening", h->opened, c->opened);
    same_word(c, "the witness", k->witness, s->witness);
    same_word(c, "the purpose", k->purpose, purpose_word(s));
    same_number(c, "the day", h->day, s->date);
    same_number(c, "the number of events", h->event_count, c->seq);
    same_number(c, "the number of readings", h->reading_count, finished);
    same_number(c, "the number of readings that count", h->counted_count, counted);
    same_number(c, "the time of the last event", h->last_ms, s->now_ms);
    if (c->has_moment) {
        same_number(c, "the wall clock of the last event", h->last_unix_ms, c->unix_ms);
        same_number(c, "the boot clock of the last event", h->last_boot_ms, c->boot_ms);
    }
}

/* What the keeper signed, against what is here. */
static void check_close(struct sitting_check *c)
{
    struct dossier *d = c->d;
    const struct sitting *s = &c->sitting;
    if (d->events != c->seq)
        proof_wrong(c->f, d, "%s signed %d events, here are %d", d->signer, (int)d->events, (int)c->seq);
    else if (memcmp(d->head, c->chain.hash, sizeof d->head) != 0 && !c->is_chain_broken)
        proof_wrong(c->f, d, "the events are not those that %s signed", d->signer);
    if (d->attempts != d->attempts_found)
        proof_wrong(c->f, d, "%s signed %d refused attempts, here are %d", d->signer, (int)d->attempts, (int)d->attempts_found);
    else if (memcmp(d->attempts_hash, d->attempts_chain.hash, sizeof d->attempts_hash) != 0)
        proof_wrong(c->f, d, "the refused attempts are not those that %s signed", d->signer);
    if (c->by && strcmp(d->protocol_text, c->by->hash) != 0)
        proof_wrong(c->f, d, "the text of its protocol is not the one that %s signed", d->signer);
    if (c->is_stored && strcmp(d->boot, d->kept.head.boot) != 0)
        proof_wrong(c->f, d, "the start of the machine beside it is not the one that %s signed", d->signer);
    if (c->is_broken)
        return;
    const char *witness = sitting_is_witnessed(s) ? s->witness : "";
    if (strcmp(d->witness, witness) != 0)
        proof_wrong(c->f, d, "%s signed the witness `%s`, the events give `%s`", d->signer, d->witness, witness);
    if (strcmp(d->measurer, s->measurer) != 0 || strcmp(d->opened, c->opened) != 0)
        proof_wrong(c->f, d, "the measurer or the opening is not the one that %s signed", d->signer);
    if (s->phase != (d->close == SAYS_SEAL ? PHASE_SEALED : PHASE_STOPPED))
        proof_wrong(c->f, d, "%s signed it as %s, the events leave it %s", d->signer, d->close == SAYS_SEAL ? "sealed" : "stopped",
                    PHASE_WORDS[s->phase]);
}

/* Where its review stands by the statements; without any it is open, or ended in one of two ways. */
static enum review expected_review(struct sitting_check *c)
{
    if (c->d->last_statement)
        return c->d->review;
    if (c->sitting.phase != PHASE_SEALED && c->sitting.phase != PHASE_STOPPED)
        return REVIEW_OPEN;
    return c->d->id <= c->unsigned_until && !c->has_moment ? REVIEW_BEFORE : REVIEW_UNSIGNED;
}

static void count_review(struct proof *p, bool has_close, enum review review)
{
    p->signed_sittings += has_close;
    p->before_sittings += !has_close && review == REVIEW_BEFORE;
    p->unsigned_sittings += !has_close && review == REVIEW_UNSIGNED;
    p->open_sittings += review == REVIEW_OPEN;
}

static void check_review(struct sitting_check *c)
{
    struct dossier *d = c->d;
    enum review review = expected_review(c);
    count_review(c->f->proof, d->has_close, review);
    if (!c->is_stored || c->is_broken)
        return;
    if (d->kept.review != review)
        proof_wrong(c->f, d, review == REVIEW_UNSIGNED ? "ended, the signature of its end is missing, and stored as %s instead of %s"
                                                       : "its review is stored as %s, what was signed gives %s",
                    REVIEW_WORDS[d->kept.review], REVIEW_WORDS[review]);
    if (d->kept.last_statement != d->last_statement)
        proof_wrong(c->f, d, "the last statement about it is stored as %lld, and is %lld", (long long)d->kept.last_statement,
                    (long long)d->last_statement);
}

void sitting_check_end(struct sitting_check *c)
{
    struct dossier *d = c->d;
    if (c->without_moment && d->id > c->unsigned_until)
        proof_wrong(c->f, d, "%d of its events have lost the clocks beside them", (int)c->without_moment);
    if (c->is_stored && c->has_moment && !c->is_chain_broken &&
        (!d->kept.has_chain || memcmp(d->kept.chain, c->chain.hash, sizeof d->kept.chain) != 0))
        proof_wrong(c->f, d, "the end of its chain is not the one beside it");
    if (d->has_close)
        check_close(c);
    if (d->has_attempts_gap)
        proof_wrong(c->f, d, "the numbers of its refused attempts are not in a row");
    if (c->is_stored && d->kept.head.attempt_count != d->attempts_found)
        proof_wrong(c->f, d, "stored with %d refused attempts, here are %d", (int)d->kept.head.attempt_count,
                    (int)d->attempts_found);
    if (c->is_stored && !c->is_broken)
        check_row(c);
    check_review(c);
}
