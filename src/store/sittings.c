/* SPDX-License-Identifier: GPL-3.0-or-later */
/** @file sittings.c  Writes a sitting: its beginning, each accepted event, each refused attempt. */
#include <stdio.h>
#include <string.h>

#include "store/internal.h"
#include "stillarm/text.h"

static const char THIS_EVENT[] = "This event";
static const char NEW_SITTING[] = "The new sitting";

/** What the row of a sitting holds before a write. */
struct row_state {
    int32_t event_count, attempt_count, day;
    char phase[8], protocol[ITEM_CAP], measurer[ITEM_CAP], purpose[12], witness[ITEM_CAP];
    bool has_salt, has_chain, is_behind; /* behind: another open sitting was written to later */
    unsigned char salt[SALT_BYTES];
    struct chain chain;
};

static const char *const PURPOSE_WORDS[] = {
    [PURPOSE_NONE] = "", [PURPOSE_PRACTICE] = "practice", [PURPOSE_SERVICE] = "service",
    [PURPOSE_ASSESSMENT] = "assessment"};

static enum status read_state(struct store *st, int64_t id, struct row_state *out, const char *what, struct err *e)
{
    memset(out, 0, sizeof *out);
    sqlite3_stmt *s = store_query(st, Q_SITTING_STATE, ARGS(INT(id)));
    int rc = s ? sqlite3_step(s) : SQLITE_ERROR;
    if (rc == SQLITE_ROW) {
        out->event_count = sqlite3_column_int(s, 0);
        out->attempt_count = sqlite3_column_int(s, 1);
        store_column(s, 2, out->phase, sizeof out->phase);
        store_column(s, 3, out->protocol, sizeof out->protocol);
        store_column(s, 4, out->measurer, sizeof out->measurer);
        out->day = sqlite3_column_int(s, 5);
        out->has_salt = store_column_bytes(s, 6, out->salt, SALT_BYTES);
        out->is_behind = sqlite3_column_int(s, 7) != 0;
        store_column(s, 8, out->purpose, sizeof out->purpose);
        store_column(s, 9, out->witness, sizeof out->witness);
        out->has_chain = store_column_bytes(s, 10, out->chain.hash, sizeof out->chain.hash);
    }
    enum status status = store_end(st, s, rc, what, e);
    return status == ST_OK && rc == SQLITE_DONE ? store_no_such_sitting(st, id, e) : status;
}

/** The hash that stands for a subject's code; once the code was forgotten, one that nothing can be compared with. */
static enum status hide_subject(const struct row_state *row, const char *code, char out[SUBJECT_HASH_CAP],
                                struct err *e)
{
    unsigned char salt[SALT_BYTES];
    memcpy(salt, row->salt, SALT_BYTES);
    enum status status = row->has_salt ? ST_OK : store_new_salt(salt, e);
    return status == ST_OK ? store_hash_subject(salt, code, out, e) : status;
}

static enum status put_event(struct store *st, int64_t id, int32_t seq, const struct event *ev,
                             const struct moment *m, const struct chain *chain, struct err *e)
{
    const struct event_form *form = event_form(ev->kind);
    return store_run(st, Q_EVENT_PUT,
                     ARGS(INT(id), INT(seq), INT(ev->t_ms), TEXT(form->word), TEXT_OR_NUL(ev->item),
                          INT_OR_NUL(form->has_value, ev->value), INT_OR_NUL(form->has_value2, ev->value2),
                          TEXT_OR_NUL(ev->text), INT(m->unix_ms), INT(m->boot_ms),
                          BLOB(chain->hash, sizeof chain->hash)),
                     THIS_EVENT, e);
}

/** The event as it is kept, without a subject's code, and the chain over it and all before it. */
static enum status link_event(struct store *st, int64_t id, const struct row_state *row, const struct moment *m,
                              struct event *ev, struct chain *chain, struct err *e)
{
    char line[EVENT_LINE_CAP];
    enum status status = trust_init(e);
    *chain = row->chain;
    if (status == ST_OK && ev->kind == EV_SUBJECT) {
        char code[ITEM_CAP];
        text_copy(code, sizeof code, ev->item);
        status = hide_subject(row, code, ev->item, e);
    }
    if (status == ST_OK && !row->has_chain)
        status = store_chain_over(st, id, chain, e);
    if (status != ST_OK)
        return status;
    const size_t len = event_print(ev, line);
    chain_event(chain, line, len, m->unix_ms, m->boot_ms);
    return ST_OK;
}

/** The columns that change seldom and are held by indexes: written only when they differ. */
static enum status put_names(struct store *st, int64_t id, const struct row_state *row, const struct sitting *after,
                             struct err *e)
{
    const char *phase = STORE_PHASE_WORDS[after->phase];
    const char *purpose = PURPOSE_WORDS[after->purpose];
    if (strcmp(row->phase, phase) == 0 && strcmp(row->protocol, after->protocol) == 0 &&
        strcmp(row->measurer, after->measurer) == 0 && row->day == after->date &&
        strcmp(row->purpose, purpose) == 0 && strcmp(row->witness, after->witness) == 0)
        return ST_OK;
    return store_run(st, Q_SITTING_NAMES,
                     ARGS(INT(id), TEXT(phase), TEXT(after->protocol), TEXT_OR_NUL(after->measurer), INT(after->date),
                          TEXT(REVIEW_WORDS[after->phase == PHASE_OPEN ? REVIEW_OPEN : REVIEW_UNSIGNED]),
                          TEXT_OR_NUL(purpose), TEXT_OR_NUL(after->witness)),
                     THIS_EVENT, e);
}

static enum status put_opening(struct store *st, int64_t id, const struct event *ev, struct err *e)
{
    if (ev->kind == EV_SUBJECT)
        return store_run(st, Q_SITTING_SUBJECT, ARGS(INT(id), TEXT(ev->item)), THIS_EVENT, e);
    if (ev->kind != EV_DATE)
        return ST_OK;
    char opened[sizeof((struct sitting_head *)0)->opened];
    text_copy(opened, sizeof opened, ev->text);
    return store_run(st, Q_SITTING_OPENED, ARGS(INT(id), TEXT_OR_NUL(opened)), THIS_EVENT, e);
}

/** Everything that one event changes; the caller holds the transaction. */
static enum status write_event(struct store *st, int64_t id, int32_t seq, const struct event *ev,
                               const struct sitting *after, const struct moment *m, const struct row_state *row,
                               struct err *e)
{
    struct event kept = *ev;
    struct chain chain;
    int32_t done = 0, counted = 0;
    enum status status = link_event(st, id, row, m, &kept, &chain, e);
    if (status == ST_OK)
        status = put_event(st, id, seq, &kept, m, &chain, e);
    if (status == ST_OK)
        status = store_readings_put(st, id, after, &done, &counted, e);
    if (status == ST_OK)
        status = store_run(st, Q_SITTING_ADVANCE,
                           ARGS(INT(id), INT(seq), INT(done), INT(counted), INT(after->now_ms), INT(m->unix_ms),
                                INT(m->boot_ms), TEXT(m->boot), BLOB(chain.hash, sizeof chain.hash)),
                           THIS_EVENT, e);
    if (status == ST_OK)
        status = put_opening(st, id, ev, e);
    if (status == ST_OK)
        status = put_names(st, id, row, after, e);
    if (status == ST_OK && row->is_behind && after->phase == PHASE_OPEN)
        status = store_run(st, Q_SITTING_TOUCH, ARGS(INT(id)), THIS_EVENT, e);
    return status;
}

/** Refuse what no engine would hand us, so that a mistake above cannot get into a record that is never changed. */
static enum status check_event(const struct event *ev, const struct sitting *after, struct err *e)
{
    if (!event_is_well_formed(ev))
        return err_set(e, ST_SYNTAX, "This event was not kept: it does not have the form of an event.");
    if (after->phase < PHASE_OPEN || after->phase > PHASE_STOPPED)
        return err_set(e, ST_RANGE, "This event was not kept: the sitting after it is neither open nor closed.");
    if (after->purpose < PURPOSE_NONE || after->purpose > PURPOSE_ASSESSMENT)
        return err_set(e, ST_RANGE, "This event was not kept: the sitting after it has no purpose that there is.");
    return ST_OK;
}

static enum status check_seq(const struct row_state *row, int64_t id, int32_t seq, struct err *e)
{
    if (seq <= row->event_count || strcmp(row->phase, "open") != 0)
        return err_set(e, ST_CONFLICT,
                       "This event was not kept: another window has gone on with sitting S-%03lld. Leave it here and "
                       "take it up again, to see what was recorded there.",
                       (long long)id);
    if (seq != row->event_count + 1)
        return err_set(e, ST_RANGE, "This event was not kept: it is number %d, but sitting S-%03lld has %d events.", seq,
                       (long long)id, row->event_count);
    return ST_OK;
}

/** A signature that is to be given with the event; signer NULL: none. */
struct signing {
    const struct signer *signer;
    const char *at;
};

static enum status append_signed(struct store *st, int64_t id, int32_t seq, const struct event *ev,
                                 const struct sitting *after, const struct moment *m, const struct signing *by,
                                 struct err *e)
{
    struct row_state row;
    enum status status = check_event(ev, after, e);
    if (status == ST_OK)
        status = store_begin(st, THIS_EVENT, e);
    if (status != ST_OK)
        return status;
    status = read_state(st, id, &row, THIS_EVENT, e);
    if (status == ST_OK)
        status = check_seq(&row, id, seq, e);
    if (status == ST_OK)
        status = write_event(st, id, seq, ev, after, m, &row, e);
    if (status == ST_OK && by->signer)
        status = store_sign_end(st, id, by->signer, by->at, e);
    status = store_finish_signed(st, status, THIS_EVENT, e);
    if (status == ST_OK && ev->kind == EV_SUBJECT)
        store_code_taken(st, ev->item);
    return status;
}

enum status store_append(struct store *st, int64_t id, int32_t seq, const struct event *ev,
                         const struct sitting *after, const struct moment *m, struct err *e)
{
    return append_signed(st, id, seq, ev, after, m, &(struct signing){.signer = NULL}, e);
}

enum status store_append_end(struct store *st, int64_t id, int32_t seq, const struct event *ev,
                             const struct sitting *after, const struct moment *m, const struct signer *signer,
                             const char *at, struct err *e)
{
    if (ev->kind != EV_SEAL && ev->kind != EV_STOP)
        return err_set(e, ST_RANGE, "This event was not kept: only the seal or a stop ends a sitting.");
    return append_signed(st, id, seq, ev, after, m, &(struct signing){signer, at}, e);
}

static enum status write_sitting(struct store *st, const char *protocol_text, const struct sitting *after,
                                 const struct moment *m, int64_t *id, struct err *e)
{
    char hash[65];
    unsigned char salt[SALT_BYTES];
    enum status status = store_hash_text(protocol_text, hash, e);
    if (status == ST_OK)
        status = store_new_salt(salt, e);
    if (status == ST_OK)
        status = store_run(st, Q_PROTOCOL_TEXT_PUT, ARGS(TEXT(hash), TEXT(protocol_text)), NEW_SITTING, e);
    if (status == ST_OK)
        status = store_run(st, Q_SITTING_NEW,
                           ARGS(TEXT(hash), TEXT(after->protocol), BLOB(salt, sizeof salt), INT(after->now_ms),
                                INT(m->unix_ms), INT(m->boot_ms), TEXT(m->boot)),
                           NEW_SITTING, e);
    *id = sqlite3_last_insert_rowid(st->db);
    return status;
}

enum status store_sitting_begin(struct store *st, const char *protocol_text, const struct event *first,
                                const struct sitting *after, const struct moment *m, int64_t *id, struct err *e)
{
    int64_t made = 0;
    struct row_state row;
    enum status status = check_event(first, after, e);
    if (status == ST_OK && first->kind != EV_PROTOCOL)
        status = err_set(e, ST_SYNTAX, "The new sitting was not kept: its first event must name the protocol.");
    if (status == ST_OK)
        status = store_begin(st, NEW_SITTING, e);
    if (status != ST_OK)
        return status;
    status = write_sitting(st, protocol_text, after, m, &made, e);
    if (status == ST_OK)
        status = read_state(st, made, &row, NEW_SITTING, e);
    if (status == ST_OK)
        status = write_event(st, made, 1, first, after, m, &row, e);
    status = store_finish(st, status, NEW_SITTING, e);
    if (status == ST_OK)
        *id = made;
    return status;
}

enum status store_attempt(struct store *st, int64_t id, const struct event *ev, const struct refusal *why,
                          const struct moment *m, struct err *e)
{
    static const char WHAT[] = "The refused attempt";
    struct row_state row;
    struct event shown = *ev;
    char line[EVENT_LINE_CAP];
    enum status status = store_begin(st, WHAT, e);
    if (status != ST_OK)
        return status;
    status = read_state(st, id, &row, WHAT, e);
    if (status == ST_OK && strcmp(row.phase, "open") != 0)
        status = err_set(e, ST_CONFLICT,
                         "The refused attempt was not kept: sitting S-%03lld has been ended in another window.",
                         (long long)id);
    bool is_subject = ev->kind == EV_SUBJECT; /* its code must stay forgettable, so it stands nowhere in these rows */
    if (status == ST_OK && is_subject)
        status = hide_subject(&row, ev->item, shown.item, e);
    event_print(&shown, line);
    int32_t n = row.attempt_count + 1;
    if (status == ST_OK)
        status = store_run(st, Q_ATTEMPT_PUT,
                           ARGS(INT(id), INT(n), INT(row.event_count), INT(ev->t_ms), INT(m->unix_ms), TEXT(line),
                                TEXT(rule_id(why->rule)), TEXT(is_subject ? "" : why->have),
                                TEXT(is_subject ? "" : why->need), INT(rule_is_slip(why->rule))),
                           WHAT, e);
    if (status == ST_OK)
        status = store_run(st, Q_ATTEMPT_COUNT, ARGS(INT(id), INT(n)), WHAT, e);
    return store_finish(st, status, WHAT, e);
}
