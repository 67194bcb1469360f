/* SPDX-License-Identifier: GPL-3.0-or-later */
/** @file session.h  A sitting that is under way: its state in memory and its rows in the store, never apart. */
#ifndef STILLARM_SESSION_H
#define STILLARM_SESSION_H

#include "config/protocols.h"
#include "guide/guide.h"
#include "stillarm/sitting.h"
#include "store/signed.h"
#include "store/store.h"

struct session {
    struct store *store;
    const struct protocols *protocols;
    struct sitting sitting;
    struct protocol protocol;
    bool has_protocol;
    int64_t id;             /* 0 until the first event is stored */
    int32_t seq;            /* of the last stored event */
    int64_t opened_boot_ms; /* clock_boot_ms() at time 0, shifted by every resume */
    int64_t asleep_ms;      /* boot clock less awake clock when last looked at */
    struct attempt_tally tally; /* attempts refused before it was taken up */
};

enum session_answer { SESSION_ACCEPTED, SESSION_REFUSED, SESSION_FAILED /* not stored; the state is as before */ };

/** A sitting of which nothing has happened yet. */
void session_begin(struct session *x, struct store *store, const struct protocols *protocols);

/** Take up an open sitting: its events are applied again and a `resume` is written.
 *  before and gap_ms receive the state without that resume, and how long nobody was there. */
enum status session_resume(struct session *x, struct store *store, const struct protocols *protocols, int64_t id,
                           struct sitting *before, int64_t *gap_ms, struct err *e) MUST_USE;

/** Load a sitting without writing anything. */
enum status session_load(struct session *x, struct store *store, const struct protocols *protocols, int64_t id,
                         struct err *e) MUST_USE;

/** The same under a protocol that the caller has parsed from the sitting's own text already. */
enum status session_load_under(struct session *x, struct store *store, const struct protocol *p, int64_t id,
                               struct err *e) MUST_USE;

/** Milliseconds since the opening. */
int64_t session_now_ms(const struct session *x);

/** The protocol, or NULL before one is accepted. */
const struct protocol *session_protocol(const struct session *x);

/**
 * Try one event at its t_ms. Accepted: it is on the disk before this returns, and only then in x->sitting.
 * Refused: kept as an attempt (once the sitting is stored), why is filled, the state is as before.
 */
enum session_answer session_try(struct session *x, const struct event *ev, struct refusal *why, struct err *e);
/** The same with a moment of the caller's, for data that is made up. */
enum session_answer session_try_at(struct session *x, const struct event *ev, const struct moment *m,
                                   struct refusal *why, struct err *e);

/** Does this event end a sitting? Then its keeper signs. */
bool session_is_end(const struct event *ev);
/** Who signs the end: the measurer, of a witnessed sitting the witness; "" while nobody is named. */
const char *session_keeper(const struct session *x);
/** Would session_try take this event now? Nothing is written. */
bool session_would_accept(const struct session *x, const struct event *ev);
/** The end, signed: `seal` or `stop` and the keeper's signature go in together, or neither. signer NULL: the signature is owed.
 *  m and at (the stamp of the signature): NULL for now. */
enum session_answer session_end(struct session *x, const struct event *ev, const struct signer *signer, const struct moment *m,
                                const char *at, struct refusal *why, struct err *e);

/** The machine slept since the last look? Then *gap_ms is how long. */
bool session_slept(struct session *x, int64_t *gap_ms);

#endif
