/* SPDX-License-Identifier: GPL-3.0-or-later */
/** @file rights.c  Who may make which statement, asked of the key that signs it. */
#include "trust/rights.h"

#include <string.h>

/* k is the signer's key; NULL for the beginning of a key. */
typedef enum status (*ask_fn)(const struct ring *r, const struct statement *s, const struct ring_key *k,
                              struct err *e);

static enum status no(struct err *e, const char *why)
{
    return err_set(e, ST_PERMISSION, "%s", why);
}

static bool is_same(const char *a, const char *b)
{
    return strcmp(a, b) == 0;
}

/* ---- beginnings ---- */

static enum status ask_key(const struct ring *r, const struct statement *s, struct err *e)
{
    if (!is_same(s->of, s->person) || s->of_role != s->role || s->role == SIGNS_COURSE)
        return no(e, "A key begins with its own signature, in the name and role of its person.");
    if (is_same(s->person, COURSE_PERSON))
        return no(e, "`" COURSE_PERSON
                     "` stands for the course's key; no person can have this id. Choose another.");
    if (ring_is_retired(r, s->person))
        return err_set(e, ST_PERMISSION, "%s is out of use here; no key can begin.", s->person);
    if (ring_of_person(r, s->person))
        return err_set(
            e, ST_PERMISSION,
            "%s has a key in use. A preceptor can end it (stillarm people reset); then a new one can begin.",
            s->person);
    return ST_OK;
}

static enum status ask_beginning(const struct ring *r, const struct statement *s, const struct ring_key *k,
                                 struct err *e)
{
    (void)k;
    if (!is_same(s->of_key, s->key))
        return no(e, "A key begins with its own signature; this names another key.");
    if (ring_find(r, s->key))
        return no(e, "This key has begun here before. A new one is needed.");
    if (s->kind == SAYS_KEY)
        return ask_key(r, s, e);
    if (s->of_role != SIGNS_COURSE || s->role != SIGNS_COURSE || !is_same(s->person, COURSE_PERSON))
        return no(e, "The course's key begins with its own signature, as `" COURSE_PERSON "`.");
    if (ring_course(r))
        return no(e, "This store has a course's key; it can have only one.");
    return ST_OK;
}

/* ---- preceptors ---- */

static enum status ask_standing(const struct ring *r, const struct statement *s, const struct ring_key *k,
                                struct err *e)
{
    (void)r;
    (void)s;
    if (k->role != SIGNS_PRECEPTOR)
        return err_set(e, ST_PERMISSION, "This needs a preceptor's key; %s's is a %s's.", k->person,
                       SIGNING_ROLE_WORDS[k->role]);
    if (k->standing == TRUST_NONE)
        return err_set(e, ST_PERMISSION,
                       "Nobody has vouched for %s's key yet. The course's key or another preceptor can "
                       "(stillarm keys vouch).",
                       k->person);
    return ST_OK;
}

static enum status ask_course_or_preceptor(const struct ring *r, const struct statement *s,
                                           const struct ring_key *k, struct err *e)
{
    const struct ring_key *of = ring_find(r, s->of_key);
    const enum status status = k->role == SIGNS_COURSE ? ST_OK : ask_standing(r, s, k, e);
    if (status != ST_OK)
        return status;
    if (!of || !is_same(of->person, s->of) || of->role != s->of_role ||
        memcmp(of->public_key, s->of_public, sizeof of->public_key) != 0)
        return no(e, "The key that this is about is not known here as that person's, in that role.");
    if (of->role == SIGNS_COURSE)
        return no(e, "The course's key can neither end here nor be vouched for.");
    if (of->ended)
        return no(e, "The key that this is about has ended.");
    if (is_same(of->person, k->person))
        return no(e, "Nobody can do this for a key of their own. Another preceptor or the course's key can.");
    if (s->kind == SAYS_VOUCH && of->role != SIGNS_PRECEPTOR)
        return no(e, "Only a preceptor's key is vouched for; the others need nobody's word.");
    if (s->kind == SAYS_VOUCH && ring_is_retired(r, of->person))
        return err_set(e, ST_PERMISSION, "%s is out of use here; nobody can vouch for this key.", of->person);
    return ST_OK;
}

static enum status ask_other_preceptor(const struct ring *r, const struct statement *s,
                                       const struct ring_key *k, struct err *e)
{
    const enum status status = ask_standing(r, s, k, e);
    if (status == ST_OK && is_same(s->measurer, k->person))
        return err_set(e, ST_PERMISSION, "%s measured this sitting; another preceptor must look at it.",
                       k->person);
    return status;
}

/* ---- those of the sitting ---- */

static enum status ask_keeper(const struct ring *r, const struct statement *s, const struct ring_key *k,
                              struct err *e)
{
    (void)r;
    const char *keeper = s->witness[0] ? s->witness : s->measurer;
    if (s->witness[0] && is_same(s->witness, s->measurer))
        return no(e, "The measurer and the witness of this sitting are one person: nobody can sign it.");
    /* Stopped before anybody was named: whoever was there may say so. */
    if (keeper[0] && !is_same(keeper, k->person))
        return err_set(e, ST_PERMISSION, "This sitting is signed by %s, who %s it.", keeper,
                       s->witness[0] ? "witnessed" : "measured");
    return ST_OK;
}

static enum status ask_measurer(const struct ring *r, const struct statement *s, const struct ring_key *k,
                                struct err *e)
{
    (void)r;
    if (is_same(s->measurer, k->person))
        return ST_OK;
    return err_set(e, ST_PERMISSION, "Only who measured can add to this sitting: %s.",
                   s->measurer[0] ? s->measurer : "nobody was named");
}

/* A trainee named as witness could give herself the result: the witness must be a preceptor with standing as
 * well. Of a witness who can sign nothing more another preceptor gives it, else it would be held for ever. */
static enum status ask_witness(const struct ring *r, const struct statement *s, const struct ring_key *k,
                               struct err *e)
{
    const char *witness = ring_witness(r, s->sitting);
    const enum status status = ask_other_preceptor(r, s, k, e);
    if (status == ST_OK && witness[0] && !is_same(witness, k->person) && !ring_has_left(r, witness))
        return err_set(e, ST_PERMISSION, "This result is given by %s, who witnessed the sitting.",
                       witness);
    return status;
}

/* ---- in charge ---- */

static enum status ask_in_charge(const struct ring *r, const struct statement *s, const struct ring_key *k,
                                 struct err *e)
{
    const bool is_person = is_same(s->word, "person");
    const bool stands_in = k->role == SIGNS_TECHNICIAN && !ring_has_preceptor(r);
    const enum status status = stands_in ? ST_OK : ask_standing(r, s, k, e);
    if (status != ST_OK)
        return status;
    if (is_person && is_same(s->of, COURSE_PERSON))
        return no(e, "`" COURSE_PERSON "` stands for the course's key; it is no person.");
    if (is_person && ring_is_retired(r, s->of))
        return err_set(e, ST_PERMISSION, "%s is out of use here already.", s->of);
    return ST_OK;
}

static const ask_fn ASK[] = {
    [BY_KEY_ITSELF] = ask_beginning, [BY_COURSE_OR_PRECEPTOR] = ask_course_or_preceptor,
    [BY_PRECEPTOR] = ask_standing,   [BY_OTHER_PRECEPTOR] = ask_other_preceptor,
    [BY_KEEPER] = ask_keeper,        [BY_MEASURER] = ask_measurer,
    [BY_WITNESS] = ask_witness,      [BY_IN_CHARGE] = ask_in_charge,
};
_Static_assert(ARRAY_LEN(ASK) == BY_IN_CHARGE + 1, "one question for each");

/* What a retired person still owes. */
static bool is_left_to_retired(enum statement_kind kind)
{
    return kind == SAYS_SEAL || kind == SAYS_STOP || kind == SAYS_AMEND;
}

enum status ring_may(const struct ring *r, const struct statement *s, struct err *e)
{
    const enum statement_by by = STATEMENTS[s->kind].by;
    const struct ring_key *k = ring_find(r, s->key);
    if (by == BY_KEY_ITSELF)
        return ASK[by](r, s, k, e);
    if (!k)
        return no(e, "This key is not known in this store.");
    if (k->ended)
        return err_set(e, ST_PERMISSION, "This key of %s has ended; it can sign nothing more.", k->person);
    if (k->role == SIGNS_COURSE && by != BY_COURSE_OR_PRECEPTOR)
        return no(e, "The course's key vouches for preceptors and ends keys; it signs nothing else.");
    if (ring_is_retired(r, k->person) && !is_left_to_retired(s->kind))
        return err_set(e, ST_PERMISSION,
                       "%s is out of use here: only sittings of their own can still be signed.", k->person);
    return ASK[by](r, s, k, e);
}
