/* SPDX-License-Identifier: GPL-3.0-or-later */
/** @file review_load.c  Feeds a timeline: events, the attempts that were refused between them, statements. */
#include "command/review_load.h"

#include <stdlib.h>
#include <string.h>

#include "config/protocols.h"
#include "stillarm/text.h"

/** The refused attempts of one sitting, in the order they were made. */
struct attempts {
    struct kept_attempt *list;
    int count, cap, fed;
    bool is_short; /* of memory */
};

struct loading {
    struct review_sitting *r;
    struct attempts attempts;
    struct store *store;
    struct ring **ring;
    struct err *e;
    enum status status;
};

static bool take_attempt(void *user, const struct kept_attempt *a)
{
    struct attempts *t = user;
    if (t->count == t->cap) {
        int cap = t->cap ? 2 * t->cap : 16;
        struct kept_attempt *more = realloc(t->list, (size_t)cap * sizeof *more);
        t->is_short = more == NULL;
        if (!more)
            return false;
        t->list = more;
        t->cap = cap;
    }
    t->list[t->count++] = *a;
    return true;
}

/* ---- what stands out ---- */

/* Acts that a reader wants to see whatever else she passes by. */
static const bool STANDS_OUT[EV_COUNT] = {
    [EV_REOPEN] = true, [EV_WAIVE] = true,     [EV_NOPULSE] = true, [EV_VOID] = true,   [EV_CORRECT] = true,
    [EV_NOISE] = true,  [EV_INTERRUPT] = true, [EV_MOVED] = true,   [EV_ACTED] = true,  [EV_NOTE] = true,
    [EV_RESUME] = true, [EV_STOP] = true,      [EV_BARRED] = true,  [EV_SYMPTOMS] = true, [EV_GAP] = true,
    [EV_LAPSE] = true,  [EV_UNSEEN] = true, [EV_STRIKE] = true,
};

static void note_act(struct review_sitting *r, int32_t seq)
{
    if (r->notable_count < NOTABLE_MAX)
        r->notable[r->notable_count++] = seq;
}

static bool does_not_count(const struct sitting *s)
{
    return s->reading_count > 0 && !reading_is_counted(&s->readings[s->reading_count - 1]);
}

static void judge_act(struct review_sitting *r, const struct event *ev, int32_t seq, int32_t quick_before, int32_t lapses_before)
{
    const struct timeline *t = &r->timeline;
    if (STANDS_OUT[ev->kind] || t->quick_count > quick_before || t->sitting.lapse_count > lapses_before ||
        (ev->kind == EV_DONE && does_not_count(&t->sitting)))
        note_act(r, seq);
}

/* An act told together with others stands in the row of the first of them. */
static int row_that_tells(const struct timeline *t, int32_t seq)
{
    int found = -1;
    for (int i = 0; i < t->row_count; i++)
        if (t->rows[i].is_stop && t->rows[i].seq > 0 && t->rows[i].seq <= seq)
            found = timeline_head(t, i);
    return found;
}

int review_next_notable(const struct review_sitting *r, int row)
{
    int next = -1;
    for (int i = 0; i < r->notable_count; i++) {
        int told = row_that_tells(&r->timeline, r->notable[i]);
        if (told > row && (next < 0 || told < next))
            next = told;
    }
    return next;
}

/* ---- feeding ---- */

static void feed_attempts(struct loading *l, int32_t up_to)
{
    struct attempts *t = &l->attempts;
    for (; t->fed < t->count && t->list[t->fed].after_seq <= up_to; t->fed++) {
        const struct kept_attempt *a = &t->list[t->fed];
        if (!a->is_slip)
            note_act(l->r, a->after_seq);
        timeline_attempt(&l->r->timeline, &(struct timeline_attempt){ .after_seq = a->after_seq, .t_ms = a->t_ms,
                                                                      .is_slip = a->is_slip, .rule = a->rule, .have = a->have,
                                                                      .need = a->need, .line = a->line });
    }
}

static bool take_event(void *user, const struct kept_event *k)
{
    struct loading *l = user;
    struct event ev = k->event;
    /* What is kept is the code's scrambled form: a reader is shown the code, as long as there is one. */
    if (ev.kind == EV_SUBJECT)
        text_copy(ev.item, sizeof ev.item, l->r->kept.head.subject[0] ? l->r->kept.head.subject : "erased");
    const struct timeline *t = &l->r->timeline;
    int32_t quick_before = t->quick_count, lapses_before = t->sitting.lapse_count;
    if (timeline_event(&l->r->timeline, &ev, k->seq, k->has_moment ? k->unix_ms : INT64_MIN))
        judge_act(l->r, &ev, k->seq, quick_before, lapses_before);
    else
        note_act(l->r, k->seq); /* it does not follow from what came before */
    feed_attempts(l, k->seq);
    return true;
}

/* The ring may be older than a key that somebody has begun since. */
static const struct ring_key *key_of(struct loading *l, const char *id)
{
    struct ring *fresh = NULL;
    const struct ring_key *k = ring_find(*l->ring, id);
    if (k)
        return k;
    if (store_ring(l->store, &fresh, l->e) != ST_OK)
        return NULL;
    ring_free(*l->ring);
    *l->ring = fresh;
    return ring_find(fresh, id);
}

/* What stands in the store may have been changed there: nothing is shown as signed that is not. */
static void say_signer(struct loading *l, const struct kept_statement *k, const struct statement *s, char out[120])
{
    const struct ring_key *key = key_of(l, s->key);
    out[0] = '\0';
    if (!key || strcmp(key->person, s->person) != 0 || !trust_signed_by(key->public_key, k->text, k->len, k->signature))
        text_copy(out, 120, "its signature does not hold: see stillarm verify");
    else if (s->role == SIGNS_PRECEPTOR)
        standing_say(key->standing, key->voucher, out);
}

/* What is added to a sitting is what opens it again; whoever signs or sends it back has seen that. */
static void take_turn(struct review_sitting *r, const struct statement *s)
{
    if (s->kind == SAYS_AMEND) {
        r->added_row = r->last_row;
        r->done_count = 0;
    } else if (s->kind == SAYS_COUNTERSIGN || s->kind == SAYS_RETURN) {
        r->added_row = 0;
    }
    if (s->kind == SAYS_COUNTERSIGN && r->done_count < DONE_BY_MAX)
        text_copy(r->done_by[r->done_count++], ITEM_CAP, s->person);
}

bool review_has_done(const struct review_sitting *r, const char *person)
{
    for (int i = 0; i < r->done_count; i++)
        if (strcmp(r->done_by[i], person) == 0)
            return true;
    return false;
}

static bool take_statement(void *user, const struct kept_statement *k)
{
    struct loading *l = user;
    struct review_sitting *r = l->r;
    struct statement s;
    char standing[120], key_short[12];
    l->status = statement_parse(k->text, k->len, &s, l->e);
    if (l->status != ST_OK)
        return false;
    say_signer(l, k, &s, standing);
    trust_short(s.key, key_short);
    timeline_statement(&r->timeline, &(struct timeline_statement){ .word = STATEMENTS[s.kind].word, .person = s.person,
                                                                   .standing = standing, .verdict = s.word, .at = s.at,
                                                                   .event = s.event, .open_ms = s.open_ms, .said = s.said,
                                                                   .key_short = key_short });
    r->last_row = r->timeline.row_count - 1;
    while (r->last_row > 0 && !r->timeline.rows[r->last_row].is_stop)
        r->last_row--;
    take_turn(r, &s);
    if (s.event > 0)
        note_act(r, s.event);
    if (s.kind == SAYS_RETURN)
        r->returned_event = s.event;
    r->seen = k->number;
    r->last_kind = s.kind;
    text_copy(r->last_by, sizeof r->last_by, s.person);
    text_copy(r->last_at, sizeof r->last_at, s.at);
    return true;
}

static enum status load_protocol(struct store *store, struct review_sitting *r, struct err *e)
{
    char *text = NULL;
    enum status status = store_protocol_text(store, r->id, &text, e);
    if (status == ST_OK)
        status = protocol_parse("the protocol kept with the sitting", text, &r->protocol, NULL, NULL, e);
    free(text);
    return status;
}

static enum status feed(struct loading *l)
{
    struct review_sitting *r = l->r;
    enum status status = store_kept_attempts(l->store, r->id, take_attempt, &l->attempts, l->e);
    if (status == ST_OK && l->attempts.is_short)
        return err_set(l->e, ST_NO_MEMORY, "There is not enough memory for the refused attempts of S-%03d.", (int)r->id);
    timeline_begin(&r->timeline, &r->protocol);
    if (status == ST_OK)
        status = store_kept_events(l->store, r->id, take_event, l, l->e);
    if (status == ST_OK)
        feed_attempts(l, INT32_MAX);
    if (status == ST_OK)
        status = store_statements(l->store, r->id, take_statement, l, l->e);
    if (status == ST_OK)
        status = l->status;
    if (status == ST_OK)
        timeline_end(&r->timeline);
    r->last_row += r->timeline.overview_rows; /* they have come before it since */
    if (r->added_row > 0)
        r->added_row += r->timeline.overview_rows;
    return status;
}

enum status review_load(struct store *store, struct ring **ring, int64_t id, struct review_sitting *out, struct err *e)
{
    struct loading l = { .r = out, .store = store, .ring = ring, .e = e, .status = ST_OK };
    out->id = id;
    out->seen = 0;
    out->notable_count = 0;
    out->returned_event = 0;
    out->added_row = out->done_count = 0;
    out->last_by[0] = out->last_at[0] = '\0';
    enum status status = store_kept_sitting(store, id, &out->kept, e);
    if (status == ST_OK)
        status = load_protocol(store, out, e);
    if (status == ST_OK)
        status = feed(&l);
    free(l.attempts.list);
    return status;
}

enum status review_has_changed(struct store *store, const struct review_sitting *r, bool *changed, struct err *e)
{
    struct kept_sitting now;
    enum status status = store_kept_sitting(store, r->id, &now, e);
    if (status == ST_OK)
        *changed = now.head.event_count != r->kept.head.event_count || now.head.attempt_count != r->kept.head.attempt_count ||
                   now.review != r->kept.review || now.last_statement != r->kept.last_statement;
    return status;
}

bool review_is_withheld(const struct review_sitting *r)
{
    enum review now = r->kept.review;
    return sitting_is_witnessed(&r->timeline.sitting) &&
           (now == REVIEW_OPEN || now == REVIEW_UNSIGNED || now == REVIEW_HELD);
}
