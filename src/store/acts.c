/* SPDX-License-Identifier: GPL-3.0-or-later */
/** @file acts.c  What somebody signs: asked of the key, signed, and done, all in one transaction or not at all. */
#include <string.h>

#include "store/internal.h"
#include "stillarm/text.h"

static const char SIGNING[] = "The signature";

/* ---- one statement ---- */

/** The store's next number and the hash of what it follows. */
static enum status follow_last(struct store *st, struct statement *s, struct err *e)
{
    struct kept_statement last = {.number = 0};
    bool is_whole = true;
    sqlite3_stmt *q = store_query(st, Q_STATEMENT_LAST, NO_ARGS);
    int rc = q ? sqlite3_step(q) : SQLITE_ERROR;
    if (rc == SQLITE_ROW) {
        last.number = sqlite3_column_int64(q, 0);
        is_whole = store_column_exact(q, 1, last.text, sizeof last.text) &&
                   store_column_bytes(q, 2, last.signature, sizeof last.signature);
    }
    enum status status = store_end(st, q, rc, SIGNING, e);
    if (status == ST_OK && !is_whole)
        status = err_set(e, ST_CORRUPT,
                         "Nothing was signed: the last statement in the store %s was changed from outside. Run 'stillarm "
                         "verify'.",
                         st->shown);
    if (status != ST_OK)
        return status;
    s->number = last.number + 1;
    if (last.number == 0)
        statement_founding(st->id, st->unsigned_until, s->previous);
    else
        statement_hash(last.text, strlen(last.text), last.signature, s->previous);
    return ST_OK;
}

static enum status put_statement(struct store *st, const struct statement *s, const struct signer *signer,
                                 struct err *e)
{
    char text[STATEMENT_CAP];
    unsigned char signature[TRUST_SIGNATURE_BYTES];
    const size_t len = statement_print(s, text);
    if (len == 0)
        return err_set(e, ST_RANGE,
                       "Nothing was signed: a part of it is missing or has not the form it must have (a text is 1 to %d "
                       "characters, none of them a control character).",
                       EVENT_TEXT_MAX);
    trust_sign(signer, text, len, signature);
    return store_run(st, Q_STATEMENT_PUT,
                     ARGS(INT(s->number), INT_OR_NUL(s->sitting != 0, s->sitting), TEXT(s->key), TEXT(text),
                          BLOB(signature, sizeof signature)),
                     SIGNING, e);
}

enum status store_state(struct store *st, struct statement *s, const struct signer *signer, struct err *e)
{
    text_copy(s->store, sizeof s->store, st->id);
    enum status status = follow_last(st, s, e);
    if (status == ST_OK)
        status = ring_may(st->ring, s, e);
    return status == ST_OK ? put_statement(st, s, signer, e) : status;
}

enum status store_finish_signed(struct store *st, enum status so_far, const char *what, struct err *e)
{
    const enum status status = store_finish(st, so_far, what, e);
    if (status != ST_OK)
        store_drop_ring(st);
    return status;
}

/* ---- filling it in ---- */

/** Who signs, as her key says; ST_PERMISSION when the store does not know the key. */
static enum status fill_signer(const struct store *st, struct statement *s, const struct signer *signer,
                               const char *at, struct err *e)
{
    const struct ring_key *k = ring_find(st->ring, signer_key(signer));
    if (!k)
        return err_set(e, ST_PERMISSION, "Nothing was signed: this key is not known in the store %s.", st->shown);
    text_copy(s->person, sizeof s->person, k->person);
    text_copy(s->key, sizeof s->key, k->id);
    s->role = k->role;
    text_copy(s->at, sizeof s->at, at ? at : "");
    return ST_OK;
}

static enum status fill_sitting(struct store *st, struct statement *s, int64_t id, struct kept_sitting *kept,
                                struct err *e)
{
    enum status status = store_kept_sitting(st, id, kept, e);
    if (status != ST_OK)
        return status;
    s->sitting = id;
    text_copy(s->opened, sizeof s->opened, kept->head.opened);
    text_copy(s->measurer, sizeof s->measurer, kept->head.measurer);
    s->events = kept->head.event_count;
    trust_hex(kept->chain, sizeof kept->chain, s->head);
    s->earlier = kept->last_statement;
    return ST_OK;
}

static enum status fill_key_of(struct store *st, struct statement *s, struct err *e)
{
    const struct ring_key *of = ring_of_person(st->ring, s->of);
    if (!of)
        return err_set(e, ST_NOT_FOUND, "%s has no key here: there is nothing to sign about it.", s->of);
    text_copy(s->of_key, sizeof s->of_key, of->id);
    memcpy(s->of_public, of->public_key, sizeof s->of_public);
    s->of_role = of->role;
    return ST_OK;
}

/** All that an act says, as far as it is known before it is numbered. kept is filled where it is about a sitting. */
static enum status fill_act(struct store *st, const struct act *a, const struct signer *signer, struct statement *s,
                            struct kept_sitting *kept, struct err *e)
{
    const unsigned fields = STATEMENTS[a->kind].fields;
    memset(s, 0, sizeof *s);
    s->kind = a->kind;
    enum status status = fill_signer(st, s, signer, a->at, e);
    if (status == ST_OK && fields & HAS_SITTING)
        status = fill_sitting(st, s, a->sitting, kept, e);
    if (fields & HAS_OF)
        text_copy(s->of, sizeof s->of, a->of ? a->of : "");
    if (fields & HAS_WORD)
        text_copy(s->word, sizeof s->word, a->word ? a->word : "");
    if (fields & HAS_SAID)
        text_copy(s->said, sizeof s->said, a->said ? a->said : "");
    if (fields & HAS_EVENT)
        s->event = a->event;
    if (fields & HAS_OPEN)
        s->open_ms = a->open_ms;
    if (fields & HAS_HASH && a->protocol_text)
        trust_hash_hex(a->protocol_text, strlen(a->protocol_text), s->hash);
    if (status == ST_OK && fields & HAS_OF_KEY)
        status = fill_key_of(st, s, e);
    if (status == ST_OK && fields & HAS_EVENT && (a->event < 0 || a->event > s->events))
        status = err_set(e, ST_RANGE, "Nothing was signed: S-%03lld has no event %d.", (long long)a->sitting, a->event);
    return status;
}

/* ---- who may ---- */

static bool is_witnessed(const struct kept_sitting *kept)
{
    return kept->witness[0] != '\0' && strcmp(kept->purpose, "assessment") == 0;
}

/** What the ring cannot know: who retired before there were keys, and whose result a sitting's is to give. */
static enum status may_here(struct store *st, const struct statement *s, const struct kept_sitting *kept, struct err *e)
{
    struct person who;
    if (s->kind == SAYS_RELEASE && strcmp(kept->witness, s->person) != 0 && !ring_has_left(st->ring, kept->witness))
        return err_set(e, ST_PERMISSION, "Only the witness of S-%03lld can give its result.", (long long)s->sitting);
    if (s->role == SIGNS_COURSE || s->kind == SAYS_SEAL || s->kind == SAYS_STOP || s->kind == SAYS_AMEND)
        return ST_OK;
    enum status status = store_person_get(st, s->person, &who, e);
    if (status == ST_OK && who.is_retired)
        return err_set(e, ST_PERMISSION, "%s is retired and can only sign or amend sittings of their own.", s->person);
    return status;
}

static enum status may(struct store *st, struct statement *s, const struct kept_sitting *kept, struct err *e)
{
    s->number = st->ring_until + 1;
    enum status status = ring_may(st->ring, s, e);
    return status == ST_OK ? may_here(st, s, kept, e) : status;
}

/** A key that the store does not know can only be the course's, and only where it has none yet. */
static bool may_be_course(const struct store *st, const struct act *a, const struct signer *signer)
{
    return (a->kind == SAYS_VOUCH || a->kind == SAYS_COURSE) && !ring_find(st->ring, signer_key(signer)) &&
           !ring_course(st->ring);
}

/** Is there anybody whose PIN a course's key that is new here can be asked of? */
static enum status has_standing(struct store *st, bool *has, struct err *e)
{
    enum status status = ST_OK;
    const struct ring_key *k;
    *has = false;
    for (int i = 0; status == ST_OK && !*has && (k = ring_at(st->ring, i)) != NULL; i++) {
        struct person who;
        if (k->role != SIGNS_PRECEPTOR || k->ended || k->standing == TRUST_NONE)
            continue;
        status = store_person_get(st, k->person, &who, e);
        *has = status == ST_OK && !who.is_retired;
    }
    return status;
}

/** Anybody can make a key and call it the course's, and a preceptor of it: those who are preceptors here have a say. */
static enum status may_take_in(struct store *st, const struct act *a, struct err *e)
{
    struct statement s = {.kind = SAYS_COMMENT}; /* of what any preceptor with standing may */
    const struct kept_sitting none = {.review = REVIEW_OPEN};
    bool has = false;
    enum status status = has_standing(st, &has, e);
    if (status != ST_OK || !has)
        return status;
    if (!a->host)
        return err_set(e, ST_PERMISSION,
                       "Nothing was signed: this course's key is new in the store %s, whose preceptors decide whether it is "
                       "taken in. Name one who does with --by PERSON.",
                       st->shown);
    status = fill_signer(st, &s, a->host, a->at, e);
    return status == ST_OK ? may(st, &s, &none, e) : status;
}

static enum status check_kind(const struct act *a, struct err *e)
{
    if ((unsigned)a->kind >= SAYS_COUNT || a->kind == SAYS_KEY || a->kind == SAYS_SEAL || a->kind == SAYS_STOP)
        return err_set(e, ST_RANGE, "Nothing was signed: this is not said by itself.");
    return ST_OK;
}

enum status store_may(struct store *st, const struct act *a, const struct signer *signer, struct err *e)
{
    struct statement s;
    struct kept_sitting kept = {.review = REVIEW_OPEN};
    enum status status = check_kind(a, e);
    if (status == ST_OK)
        status = store_renew_ring(st, e);
    if (status == ST_OK && may_be_course(st, a, signer))
        return may_take_in(st, a, e);
    if (status != ST_OK)
        return status;
    status = fill_act(st, a, signer, &s, &kept, e);
    return status == ST_OK ? may(st, &s, &kept, e) : status;
}

/* ---- what can follow ---- */

static const char *const REVIEW_SAID[REVIEW_COUNT] = {
    [REVIEW_OPEN] = "still open",
    [REVIEW_BEFORE] = "from the time before this store could sign",
    [REVIEW_UNSIGNED] = "not signed yet by who kept it",
    [REVIEW_WAITING] = "waiting for a preceptor",
    [REVIEW_RETURNED] = "returned to its measurer",
    [REVIEW_DONE] = "countersigned",
    [REVIEW_HELD] = "held until its witness gives its result",
    [REVIEW_RELEASED] = "one whose result is given"};

static enum status say_quicker(struct store *st, const struct kept_sitting *kept, struct err *e)
{
    char person[ITEM_CAP] = "somebody", word[16] = "";
    sqlite3_stmt *q = store_query(st, Q_STATEMENT_BY, ARGS(INT(kept->last_statement)));
    int rc = q ? sqlite3_step(q) : SQLITE_ERROR;
    if (rc == SQLITE_ROW) {
        store_column(q, 0, person, sizeof person);
        store_column(q, 1, word, sizeof word);
    }
    enum status status = store_end(st, q, rc, SIGNING, e);
    if (status != ST_OK)
        return status;
    return err_set(e, ST_CONFLICT,
                   "Nothing was signed: %s was quicker and signed something about S-%03lld (%s). Look at it again, then "
                   "decide.",
                   person, (long long)kept->head.id, word);
}

static enum status check_not_twice(struct store *st, const struct statement *s, struct err *e)
{
    if (s->kind != SAYS_COUNTERSIGN)
        return ST_OK;
    sqlite3_stmt *q = store_query(st, Q_COUNTERSIGNED, ARGS(INT(s->sitting), TEXT(s->person)));
    int rc = q ? sqlite3_step(q) : SQLITE_ERROR;
    enum status status = store_end(st, q, rc, SIGNING, e);
    if (status == ST_OK && rc == SQLITE_ROW)
        return err_set(e, ST_CONFLICT, "Nothing was signed: %s has countersigned S-%03lld already.", s->person,
                       (long long)s->sitting);
    return status;
}

/** Where the review stands afterwards. seen: the last statement that the signer has seen; 0: not asked. */
static enum status check_follows(struct store *st, const struct statement *s, const struct kept_sitting *kept,
                                 int64_t seen, enum review *next, struct err *e)
{
    if (seen && kept->last_statement != seen)
        return say_quicker(st, kept, e);
    if (!review_after(kept->review, s->kind, is_witnessed(kept), next))
        return err_set(e, ST_CONFLICT, "Nothing was signed: S-%03lld is %s, on which no '%s' can follow.",
                       (long long)s->sitting, REVIEW_SAID[kept->review], STATEMENTS[s->kind].word);
    return check_not_twice(st, s, e);
}

/* ---- what follows ---- */

static enum status end_key(struct store *st, const struct statement *s, struct err *e)
{
    enum status status = store_run(st, Q_SECRET_DROP, ARGS(TEXT(s->of_key)), SIGNING, e);
    return status == ST_OK ? store_run(st, Q_TRIES_DROP, ARGS(TEXT(s->of)), SIGNING, e) : status;
}

static enum status retire(struct store *st, const struct statement *s, struct err *e)
{
    const bool is_person = strcmp(s->word, "person") == 0;
    const char *what = is_person ? "person" : "gauge or cuff";
    sqlite3_stmt *q = store_query(st, is_person ? Q_PERSON_RETIRED : Q_KIT, ARGS(TEXT(s->of)));
    int rc = q ? sqlite3_step(q) : SQLITE_ERROR;
    const bool is_retired = rc == SQLITE_ROW && sqlite3_column_int(q, 0) != 0;
    enum status status = store_end(st, q, rc, SIGNING, e);
    if (status != ST_OK)
        return status;
    if (rc == SQLITE_DONE)
        return err_set(e, ST_NOT_FOUND, "There is no %s '%s' here. The list shows the ids there are.", what, s->of);
    if (is_retired)
        return err_set(e, ST_CONFLICT, "%s is retired already.", s->of);
    return store_run(st, is_person ? Q_PERSON_RETIRE : Q_KIT_RETIRE, ARGS(TEXT(s->of)), SIGNING, e);
}

static enum status follow(struct store *st, const struct statement *s, enum review next, struct err *e)
{
    if (STATEMENTS[s->kind].fields & HAS_SITTING)
        return store_run(st, Q_REVIEW_SET, ARGS(INT(s->sitting), TEXT(REVIEW_WORDS[next]), INT(s->number)), SIGNING, e);
    if (s->kind == SAYS_END)
        return end_key(st, s, e);
    if (s->kind == SAYS_RETIRE)
        return retire(st, s, e);
    if (s->kind == SAYS_PROTOCOL)
        return store_run(st, Q_SETTING_PUT, ARGS(TEXT(PROTOCOL_SETTING), TEXT(s->of)), SIGNING, e);
    return ST_OK;
}

/** The course's key becomes this store's. */
static enum status begin_course(struct store *st, const struct signer *signer, const char *at, struct err *e)
{
    struct statement s = {.kind = SAYS_COURSE, .role = SIGNS_COURSE, .of_role = SIGNS_COURSE};
    text_copy(s.person, sizeof s.person, COURSE_PERSON);
    text_copy(s.key, sizeof s.key, signer_key(signer));
    text_copy(s.of_key, sizeof s.of_key, signer_key(signer));
    memcpy(s.of_public, signer_public(signer), sizeof s.of_public);
    text_copy(s.at, sizeof s.at, at ? at : "");
    enum status status = store_run(st, Q_KEY_PUT,
                                   ARGS(TEXT(s.key), TEXT(COURSE_PERSON), TEXT(SIGNING_ROLE_WORDS[SIGNS_COURSE]),
                                        BLOB(s.of_public, sizeof s.of_public), INT(st->ring_until + 1)),
                                   SIGNING, e);
    if (status == ST_OK)
        status = store_state(st, &s, signer, e);
    return status == ST_OK ? store_renew_ring(st, e) : status;
}

/** The caller holds the transaction. */
static enum status do_act(struct store *st, const struct act *a, const struct signer *signer, struct err *e)
{
    struct statement s;
    struct kept_sitting kept = {.review = REVIEW_OPEN};
    enum review next = REVIEW_OPEN;
    enum status status = store_renew_ring(st, e);
    const bool is_course = status == ST_OK && may_be_course(st, a, signer);
    if (is_course)
        status = may_take_in(st, a, e);
    if (is_course && status == ST_OK)
        status = begin_course(st, signer, a->at, e);
    if (status != ST_OK || (is_course && a->kind == SAYS_COURSE))
        return status;
    status = fill_act(st, a, signer, &s, &kept, e);
    if (status == ST_OK)
        status = may(st, &s, &kept, e);
    if (status == ST_OK && s.sitting)
        status = check_follows(st, &s, &kept, a->seen, &next, e);
    if (status == ST_OK)
        status = store_state(st, &s, signer, e);
    return status == ST_OK ? follow(st, &s, next, e) : status;
}

enum status store_act(struct store *st, const struct act *a, const struct signer *signer, struct err *e)
{
    enum status status = check_kind(a, e);
    if (status == ST_OK)
        status = store_begin(st, SIGNING, e);
    if (status != ST_OK)
        return status;
    status = store_finish_signed(st, do_act(st, a, signer, e), SIGNING, e);
    if (status == ST_OK && a->kind == SAYS_END)
        store_merge_log(st); /* the key that ended lies in it, under the PIN that may be known to others */
    return status;
}

/* ---- the end of a sitting ---- */

static enum status hash_attempts(struct store *st, struct statement *s, struct err *e)
{
    struct chain chain;
    struct kept_attempt row = {.n = 0};
    chain_attempts_begin(&chain, st->id, s->sitting);
    sqlite3_stmt *q = store_query(st, Q_ATTEMPTS, ARGS(INT(s->sitting)));
    int rc = q ? sqlite3_step(q) : SQLITE_ERROR;
    bool is_whole = true;
    for (; rc == SQLITE_ROW && is_whole; rc = is_whole ? sqlite3_step(q) : rc) {
        is_whole = store_take_attempt(q, &row);
        chain_attempt(&chain, &(struct chain_attempt){row.n, row.after_seq, row.t_ms, row.unix_ms, row.is_slip, row.rule,
                                                      row.have, row.need, row.line});
        s->attempts++;
    }
    trust_hex(chain.hash, sizeof chain.hash, s->attempts_hash);
    enum status status = store_end(st, q, rc, SIGNING, e);
    return status == ST_OK && !is_whole ? store_say_attempt(st, &row, e) : status;
}

static enum status fill_close(struct store *st, struct statement *s, const struct kept_sitting *kept, struct err *e)
{
    text_copy(s->protocol_text, sizeof s->protocol_text, kept->protocol_text_hash);
    text_copy(s->boot, sizeof s->boot, kept->head.boot);
    if (is_witnessed(kept))
        text_copy(s->witness, sizeof s->witness, kept->witness);
    return hash_attempts(st, s, e);
}

enum status store_sign_end(struct store *st, int64_t id, const struct signer *signer, const char *at, struct err *e)
{
    struct statement s = {.kind = SAYS_SEAL};
    struct kept_sitting kept = {.review = REVIEW_OPEN};
    enum review next = REVIEW_OPEN;
    enum status status = store_renew_ring(st, e);
    if (status == ST_OK)
        status = fill_signer(st, &s, signer, at, e);
    if (status == ST_OK)
        status = fill_sitting(st, &s, id, &kept, e);
    if (status != ST_OK)
        return status;
    if (kept.review == REVIEW_OPEN) /* ours closed it in this transaction, or it is open */
        return err_set(e, ST_CONFLICT, "Nothing was signed: S-%03lld is still open.", (long long)id);
    s.kind = kept.head.phase == PHASE_STOPPED ? SAYS_STOP : SAYS_SEAL;
    status = fill_close(st, &s, &kept, e);
    if (status == ST_OK)
        status = may(st, &s, &kept, e);
    if (status == ST_OK)
        status = check_follows(st, &s, &kept, 0, &next, e);
    if (status == ST_OK)
        status = store_state(st, &s, signer, e);
    return status == ST_OK ? follow(st, &s, next, e) : status;
}

enum status store_sign_closed(struct store *st, int64_t id, const struct signer *signer, const char *at, struct err *e)
{
    enum status status = store_begin(st, SIGNING, e);
    if (status != ST_OK)
        return status;
    return store_finish_signed(st, store_sign_end(st, id, signer, at, e), SIGNING, e);
}
