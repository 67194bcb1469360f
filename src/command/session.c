/* SPDX-License-Identifier: GPL-3.0-or-later */
/** @file session.c  Applies an event on a copy, stores it, and only then lets it become the state. */
#include "command/session.h"

#include <stdlib.h>
#include <string.h>

#include "command/pin.h"
#include "terminal/clock.h"

#define SLEEP_SEEN_MS 1000 /* less is no suspend worth a word */
#define YEAR_MS (INT64_C(366) * 24 * 60 * 60 * 1000)

void session_begin(struct session *x, struct store *store, const struct protocols *protocols)
{
    *x = (struct session){ .store = store, .protocols = protocols, .opened_boot_ms = clock_boot_ms() };
    int64_t awake = clock_awake_ms();
    x->asleep_ms = clock_boot_ms() - awake;
    sitting_init(&x->sitting);
}

int64_t session_now_ms(const struct session *x)
{
    int64_t now = clock_boot_ms() - x->opened_boot_ms;
    if (now > EVENT_TIME_MAX_MS)
        now = EVENT_TIME_MAX_MS; /* a sitting can always be stopped */
    return now < x->sitting.now_ms ? x->sitting.now_ms : now;
}

const struct protocol *session_protocol(const struct session *x)
{
    return x->has_protocol ? &x->protocol : NULL;
}

bool session_slept(struct session *x, int64_t *gap_ms)
{
    /* The process may be held up between two readings, so the sleep is only known to lie between two bounds. */
    int64_t before = clock_awake_ms(), boot = clock_boot_ms(), after = clock_awake_ms();
    int64_t grown = boot - after - x->asleep_ms;
    if (grown <= SLEEP_SEEN_MS)
        return false;
    x->asleep_ms = boot - before;
    *gap_ms = grown;
    return true;
}

bool session_is_end(const struct event *ev)
{
    return ev->kind == EV_SEAL || ev->kind == EV_STOP;
}

const char *session_keeper(const struct session *x)
{
    return sitting_is_witnessed(&x->sitting) ? x->sitting.witness : x->sitting.measurer;
}

bool session_would_accept(const struct session *x, const struct event *ev)
{
    return sitting_would_accept(&x->sitting, session_protocol(x), ev, NULL);
}

/* What goes with an event into the store. */
struct entry {
    const struct event *ev;
    const struct moment *m;
    const struct signer *signer; /* of an end; NULL: not signed */
    const char *at;
};

static enum status store_it(struct session *x, const struct protocol *p, const struct entry *n,
                            const struct sitting *after, struct err *e)
{
    if (x->id && session_is_end(n->ev))
        return store_append_end(x->store, x->id, x->seq + 1, n->ev, after, n->m, n->signer, n->at, e);
    if (x->id)
        return store_append(x->store, x->id, x->seq + 1, n->ev, after, n->m, e);
    int at = protocols_index(x->protocols, p->id);
    if (at < 0)
        return err_set(e, ST_NOT_FOUND, "Protocol %s is not among the protocol files any more.", p->id);
    return store_sitting_begin(x->store, x->protocols->text[at], n->ev, after, n->m, &x->id, e);
}

static enum session_answer try_entry(struct session *x, const struct entry *n, struct refusal *why, struct err *e)
{
    struct sitting after = x->sitting;
    const struct protocol *p = session_protocol(x);
    if (!p && n->ev->kind == EV_PROTOCOL)
        p = protocols_find(x->protocols, n->ev->item);
    if (!sitting_apply(&after, p, n->ev, why)) {
        /* An attempt that cannot be kept must not keep the measurer from going on: the record itself is whole. */
        if (x->id && store_attempt(x->store, x->id, n->ev, why, n->m, e) != ST_OK)
            e->text[0] = '\0';
        return SESSION_REFUSED;
    }
    if (store_it(x, p, n, &after, e) != ST_OK)
        return SESSION_FAILED;
    if (!x->has_protocol) {
        x->protocol = *p;
        x->has_protocol = true;
    }
    x->sitting = after;
    x->seq++;
    return SESSION_ACCEPTED;
}

enum session_answer session_end(struct session *x, const struct event *ev, const struct signer *signer, const struct moment *m,
                                const char *at, struct refusal *why, struct err *e)
{
    struct moment now;
    char stamp[40];
    moment_now(&now);
    stamp_now(stamp);
    const struct entry n = { .ev = ev, .m = m ? m : &now, .signer = signer, .at = at ? at : stamp };
    return try_entry(x, &n, why, e);
}

enum session_answer session_try_at(struct session *x, const struct event *ev, const struct moment *m,
                                   struct refusal *why, struct err *e)
{
    const struct entry n = { .ev = ev, .m = m, .at = "" };
    return session_is_end(ev) ? session_end(x, ev, NULL, m, NULL, why, e) : try_entry(x, &n, why, e);
}

enum session_answer session_try(struct session *x, const struct event *ev, struct refusal *why, struct err *e)
{
    struct moment m;
    moment_now(&m);
    return session_try_at(x, ev, &m, why, e);
}

struct loading {
    struct session *x;
    struct err *e;
    enum status status;
};

static bool load_event(void *user, int32_t seq, const struct event *ev)
{
    struct loading *l = user;
    struct refusal why = { 0 };
    if (seq != l->x->seq + 1) {
        l->status = err_set(l->e, ST_CORRUPT, "Event %d of this sitting is missing from the store. Run stillarm verify.",
                            (int)l->x->seq + 1);
        return false;
    }
    if (!sitting_apply(&l->x->sitting, &l->x->protocol, ev, &why)) {
        l->status = err_set(l->e, ST_CORRUPT,
                            "Event %d of this sitting is not one that could have been accepted (%s: %s). Run stillarm "
                            "verify; start a new sitting meanwhile.",
                            (int)seq, rule_id(why.rule), why.sentence);
        return false;
    }
    l->x->seq = seq;
    return true;
}

static bool load_attempt(void *user, const struct attempt *a)
{
    struct session *x = user;
    x->tally.by_rule[rule_named(a->rule)]++;
    return true;
}

enum status session_load_under(struct session *x, struct store *store, const struct protocol *p, int64_t id,
                               struct err *e)
{
    session_begin(x, store, NULL);
    x->protocol = *p;
    x->has_protocol = true;
    x->id = id;
    struct loading l = { .x = x, .e = e, .status = ST_OK };
    enum status status = store_events(store, id, load_event, &l, e);
    if (status != ST_OK)
        return status;
    return l.status != ST_OK ? l.status : store_attempts(store, id, load_attempt, x, e);
}

enum status session_load(struct session *x, struct store *store, const struct protocols *protocols, int64_t id,
                         struct err *e)
{
    struct protocol p;
    char *text = NULL;
    enum status status = store_protocol_text(store, id, &text, e);
    if (status != ST_OK)
        return status;
    status = protocol_parse("the protocol kept with the sitting", text, &p, NULL, NULL, e);
    free(text);
    if (status == ST_OK)
        status = session_load_under(x, store, &p, id, e);
    x->protocols = protocols;
    return status;
}

/* In the same boot the clock that counts suspend tells the gap; else only the wall clock is left, and may have been set. */
static int64_t gap_since(const struct sitting_head *head, const struct moment *now)
{
    int64_t gap = head->boot[0] && strcmp(head->boot, now->boot) == 0 ? now->boot_ms - head->last_boot_ms
                                                                        : now->unix_ms - head->last_unix_ms;
    if (gap > EVENT_TIME_MAX_MS)
        return EVENT_TIME_MAX_MS;
    return gap < -EVENT_TIME_MAX_MS ? -EVENT_TIME_MAX_MS : gap;
}

/* A clock that was set wrong must not use up the time that a sitting can hold: its later events need some, too. */
static int64_t advance_for(int64_t gap_ms, int64_t now_ms)
{
    int64_t room = EVENT_TIME_MAX_MS - YEAR_MS - now_ms;
    if (room > YEAR_MS)
        room = YEAR_MS;
    if (gap_ms > room)
        gap_ms = room;
    return gap_ms > 0 ? gap_ms : 0;
}

enum status session_resume(struct session *x, struct store *store, const struct protocols *protocols, int64_t id,
                           struct sitting *before, int64_t *gap_ms, struct err *e)
{
    struct sitting_head head;
    struct moment now;
    struct refusal why = { 0 };
    enum status status = store_sitting_get(store, id, &head, e);
    if (status == ST_OK)
        status = session_load(x, store, protocols, id, e);
    if (status != ST_OK)
        return status;
    moment_now(&now);
    *before = x->sitting;
    *gap_ms = gap_since(&head, &now);
    struct event ev = { .t_ms = x->sitting.now_ms + advance_for(*gap_ms, x->sitting.now_ms), .kind = EV_RESUME,
                        .value = *gap_ms };
    switch (session_try_at(x, &ev, &now, &why, e)) {
    case SESSION_ACCEPTED:
        break;
    case SESSION_REFUSED:
        return err_set(e, ST_CONFLICT, "S-%03d cannot be taken up: %s", (int)id, why.sentence);
    case SESSION_FAILED:
        return e->code;
    }
    x->opened_boot_ms = now.boot_ms - ev.t_ms;
    return ST_OK;
}
