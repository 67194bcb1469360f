/* SPDX-License-Identifier: GPL-3.0-or-later */
/** @file review_acts.c  What can be signed from a sitting's page: whose PIN it takes, and which words it asks for. */
#include <stdio.h>
#include <string.h>

#include "command/pin.h"
#include "command/review_desk.h"
#include "stillarm/text.h"
#include "terminal/clock.h"

enum signs { BY_THE_READER, BY_THE_MEASURER, BY_THE_KEEPER, BY_THE_WITNESS };

/** One row per key. */
static const struct desk_act {
    struct key key;
    enum statement_kind kind;  /* SAYS_SEAL: the signature that is owed */
    enum signs signs;
    const char *word;          /* the statement's word, or NULL */
    const char *why;           /* for the PIN's page: `to WHY S-014` and then what follows it */
    const char *tail;
    const char *label, *hint;  /* of the field, where words are asked for; else NULL */
    const char *form_id, *title;
    bool is_on_act;            /* it is about the act under the cursor */
} ACTS[] = {
    { .key = { KEY_CHARACTER, '1' }, .kind = SAYS_COUNTERSIGN, .word = "reviewed", .why = "to countersign",
      .tail = " as reviewed" },
    { .key = { KEY_CHARACTER, '2' }, .kind = SAYS_COUNTERSIGN, .word = "present", .why = "to countersign",
      .tail = ", having been present" },
    { .key = { KEY_CHARACTER, 'r' }, .kind = SAYS_RETURN, .why = "to send back", .tail = "", .label = "why",
      .hint = "The measurer reads it beside this act. Nothing recorded is changed.", .form_id = "review-return",
      .title = "Send back", .is_on_act = true },
    { .key = { KEY_ENTER, 0 }, .kind = SAYS_COMMENT, .why = "to comment on", .tail = "", .label = "comment",
      .hint = "It stays beside this act, with your name. The sitting stays where it is.", .form_id = "review-comment",
      .title = "Comment", .is_on_act = true },
    { .key = { KEY_CHARACTER, 'm' }, .kind = SAYS_AMEND, .signs = BY_THE_MEASURER, .why = "to amend", .tail = "",
      .label = "what to add", .hint = "It stands beside the record, which stays as it was, and goes to the preceptor with it.",
      .form_id = "review-amend", .title = "Add to" },
    { .key = { KEY_CHARACTER, 'e' }, .kind = SAYS_RELEASE, .signs = BY_THE_WITNESS, .why = "to give the result of",
      .tail = "" },
    { .key = { KEY_CHARACTER, 'g' }, .kind = SAYS_SEAL, .signs = BY_THE_KEEPER, .why = "to give the signature owed for",
      .tail = "" },
};

/* Said of what somebody else did meanwhile, by kind of statement. */
static const char *const DONE[SAYS_COUNT] = {
    [SAYS_SEAL] = "signed", [SAYS_STOP] = "signed", [SAYS_COUNTERSIGN] = "countersigned", [SAYS_RETURN] = "sent back",
    [SAYS_COMMENT] = "commented on", [SAYS_AMEND] = "amended", [SAYS_RELEASE] = "gave the result of",
};

void act_say_quicker(const struct desk *d, char *out, size_t cap)
{
    const struct review_sitting *r = d->r;
    const char *done = DONE[r->last_kind];
    if (!r->seen || !done)
        text_copy(out, cap, "not yet: the sitting has gone on meanwhile. The page shows it as it stands now.");
    else
        snprintf(out, cap, "not yet: %.32s %s S-%03d at %.5s, while it lay open here. The page shows it as it stands now; look "
                           "at it, then act again.",
                 r->last_by, done, (int)r->id, strlen(r->last_at) > 15 ? r->last_at + 11 : "?");
}

/* Somebody may have been vouched for, or begun a key, since the desk was opened. */
static void renew_ring(struct desk *d)
{
    struct ring *fresh = NULL;
    struct err ignored;
    if (store_ring(d->store, &fresh, &ignored) != ST_OK)
        return; /* the store asks the same again when it comes to signing */
    ring_free(d->ring);
    d->ring = fresh;
}

int desk_preceptors(struct desk *d, char out[DESK_PRECEPTORS_MAX][ITEM_CAP])
{
    static struct person people[DESK_PEOPLE_MAX];
    struct err ignored;
    int count = 0, n = 0;
    renew_ring(d);
    if (store_people(d->store, false, people, DESK_PEOPLE_MAX, &count, &ignored) != ST_OK)
        return 0;
    bool has_preceptor = ring_has_preceptor(d->ring);
    for (int i = 0; i < count && i < DESK_PEOPLE_MAX && n < DESK_PRECEPTORS_MAX; i++) {
        const struct ring_key *k = ring_of_person(d->ring, people[i].id);
        bool has_standing = k && k->role == SIGNS_PRECEPTOR && k->standing != TRUST_NONE;
        /* The first one of a store begins her key when she first signs. */
        if (has_standing || (!has_preceptor && people[i].role == ROLE_PRECEPTOR))
            text_copy(out[n++], ITEM_CAP, people[i].id);
    }
    return n;
}

/* From one preceptor to the next, then to nobody: her own sittings do not wait for whoever reads. */
enum status desk_next_reader(struct desk *d, struct err *e)
{
    char who[DESK_PRECEPTORS_MAX][ITEM_CAP];
    int n = desk_preceptors(d, who), at = -1;
    for (int i = 0; i < n; i++)
        if (strcmp(who[i], d->reviewer) == 0)
            at = i;
    text_copy(d->reviewer, sizeof d->reviewer, at + 1 < n ? who[at + 1] : "");
    if (n == 0)
        return err_set(e, ST_NOT_FOUND, "Nobody here is a preceptor with standing yet. p on the home page adds one and sets the PIN.");
    return store_setting_set(d->store, "reviewer", d->reviewer, e);
}

void desk_say_reader(const struct desk *d, char out[40])
{
    snprintf(out, 40, "reader%s%.28s", d->reviewer[0] ? ": " : "", d->reviewer);
}

/* ---- which keys work ---- */

static bool can_follow(const struct desk *d, enum statement_kind kind)
{
    enum review after;
    if (kind == SAYS_SEAL)
        return d->r->kept.review == REVIEW_UNSIGNED;
    return review_after(d->r->kept.review, kind, sitting_is_witnessed(&d->r->timeline.sitting), &after);
}

void act_offer(const struct desk *d, struct timeline_view *v)
{
    v->can_sign = can_follow(d, SAYS_COUNTERSIGN) && !review_has_done(d->r, d->reviewer);
    v->can_return = can_follow(d, SAYS_RETURN);
    v->can_comment = can_follow(d, SAYS_COMMENT);
    v->can_amend = can_follow(d, SAYS_AMEND);
    v->can_release = can_follow(d, SAYS_RELEASE);
    v->can_owe = can_follow(d, SAYS_SEAL);
}

/* ---- who signs ---- */

/* Of a witness who can sign nothing more another preceptor gives the result. */
static enum status settle_signs(const struct desk *d, struct desk_act *a, struct err *e)
{
    bool has_left = false;
    enum status status = ST_OK;
    if (a->signs == BY_THE_WITNESS && d->r->kept.review == REVIEW_HELD)
        status = store_has_left(d->store, d->r->kept.witness, &has_left, e);
    if (has_left)
        a->signs = BY_THE_READER;
    return status;
}

/* Nobody does this to a sitting that she measured. */
static bool is_for_another(const struct desk_act *a)
{
    return STATEMENTS[a->kind].by == BY_OTHER_PRECEPTOR || STATEMENTS[a->kind].by == BY_WITNESS;
}

/* Said before a PIN is typed in vain. */
static enum status check_readers(struct desk *d, const struct desk_act *a, struct err *e)
{
    char who[DESK_PRECEPTORS_MAX][ITEM_CAP];
    const char *measurer = d->r->kept.head.measurer;
    int n = desk_preceptors(d, who), others = 0;
    for (int i = 0; i < n; i++)
        others += strcmp(who[i], measurer) != 0;
    if (n == 0)
        return err_set(e, ST_PERMISSION, "not yet: only a preceptor with standing signs this, and nobody here is one. p on the home "
                                         "page adds one and sets the PIN; where there was one before, somebody vouches for the new one.");
    if (others > 0 || !is_for_another(a))
        return ST_OK;
    return err_set(e, ST_PERMISSION, "not yet: %.32s measured here, and nobody countersigns, sends back or gives the result of a "
                                     "sitting of their own. Another preceptor does, and there is none here who has standing.", measurer);
}

/* Nor is a second signature of hers taken under the same. */
static enum status check_not_done(const struct desk *d, const struct desk_act *a, struct err *e)
{
    if (a->kind != SAYS_COUNTERSIGN || !review_has_done(d->r, d->reviewer))
        return ST_OK;
    return err_set(e, ST_CONFLICT, "not yet: %.32s has countersigned S-%03d as it stands. Another preceptor may as well; p says who "
                                   "reads.", d->reviewer, (int)d->r->id);
}

static const char *signer_of(const struct desk *d, const struct desk_act *a)
{
    const struct kept_sitting *k = &d->r->kept;
    bool is_witnessed = sitting_is_witnessed(&d->r->timeline.sitting);
    return a->signs == BY_THE_WITNESS || (a->signs == BY_THE_KEEPER && is_witnessed) ? k->witness : k->head.measurer;
}

/* Whoever reads is asked for her PIN at once, where she may sign this. */
static bool is_readers(struct desk *d, const struct desk_act *a)
{
    char who[DESK_PRECEPTORS_MAX][ITEM_CAP];
    int n = desk_preceptors(d, who);
    if (is_for_another(a) && strcmp(d->reviewer, d->r->kept.head.measurer) == 0)
        return false;
    for (int i = 0; i < n; i++)
        if (strcmp(who[i], d->reviewer) == 0)
            return true;
    return false;
}

static enum status ask_signer(struct desk *d, const struct desk_act *a, char person[ITEM_CAP], struct signer **out,
                              struct err *e)
{
    char why[120];
    snprintf(why, sizeof why, "%s S-%03d%s", a->why, (int)d->r->id, a->tail);
    if (a->signs == BY_THE_READER && !is_readers(d, a))
        return preceptor_ask(d->ui, why, person, out, e);
    text_copy(person, ITEM_CAP, a->signs == BY_THE_READER ? d->reviewer : signer_of(d, a));
    if (!person[0])
        return err_set(e, ST_PERMISSION, "not yet: S-%03d ended before anybody was named as its measurer, so nobody can sign it.",
                       (int)d->r->id);
    return pin_ask(d->ui, person, why, NULL, out, e);
}

/* ---- doing it ---- */

/* The page shows what has become of it. What was said of one act stands there, else the cursor goes to who said it. */
static enum status show_it(struct desk *d, bool is_on_act, struct err *e)
{
    enum status status = sitting_reload(d, e);
    if (status == ST_OK && !is_on_act)
        d->view.at = d->r->last_row;
    return status;
}

/* Whoever was quicker is seen before a PIN is typed, and once more by the store itself. */
static enum status check_nobody_was_quicker(struct desk *d, struct err *e)
{
    bool changed = false;
    char words[420];
    enum status status = review_has_changed(d->store, d->r, &changed, e);
    if (status != ST_OK || !changed)
        return status;
    status = show_it(d, false, e);
    if (status != ST_OK)
        return status;
    act_say_quicker(d, words, sizeof words);
    return err_set(e, ST_CONFLICT, "%s", words);
}

static enum status sign_it(struct desk *d, const struct desk_act *a, const char *said, int64_t open_ms,
                           const struct signer *signer, struct err *e)
{
    char at[40];
    unsigned fields = STATEMENTS[a->kind].fields;
    stamp_now(at);
    if (a->kind == SAYS_SEAL)
        return store_sign_closed(d->store, d->r->id, signer, at, e);
    struct act act = { .kind = a->kind, .sitting = d->r->id, .word = a->word, .said = said, .seen = d->r->seen, .at = at };
    act.open_ms = fields & HAS_OPEN ? open_ms : 0;
    act.event = fields & HAS_EVENT && a->is_on_act ? d->r->timeline.rows[d->view.at].seq : 0;
    return store_act(d->store, &act, signer, e);
}

static enum status remember_reader(struct desk *d, const struct desk_act *a, const char *person, struct err *e)
{
    if (a->signs != BY_THE_READER || strcmp(d->reviewer, person) == 0)
        return ST_OK;
    text_copy(d->reviewer, sizeof d->reviewer, person);
    return store_setting_set(d->store, "reviewer", person, e);
}

static enum status act(struct desk *d, const struct desk_act *a, const char *said, int64_t open_ms, struct err *e)
{
    struct signer *signer = NULL;
    char person[ITEM_CAP] = "";
    int64_t seen = d->r->seen;
    enum status status = check_nobody_was_quicker(d, e);
    if (status == ST_OK)
        status = ask_signer(d, a, person, &signer, e);
    if (status != ST_OK)
        return status;
    status = sign_it(d, a, said, open_ms + open_before(d, person), signer, e);
    signer_free(signer);
    if (status == ST_OK)
        status = remember_reader(d, a, person, e);
    if (status == ST_OK)
        return show_it(d, a->is_on_act, e);
    struct err shown = { 0 };
    if (status == ST_CONFLICT && show_it(d, false, &shown) == ST_OK && d->r->seen != seen)
        act_say_quicker(d, e->text, sizeof e->text);
    return status;
}

enum status act_ask_holder(struct desk *d, struct err *e)
{
    struct desk_act read = { .kind = SAYS_RELEASE, .signs = BY_THE_WITNESS, .why = "to read",
                             .tail = " before its result is given" };
    const struct act release = { .kind = SAYS_RELEASE, .sitting = d->r->id };
    struct signer *signer = NULL;
    char person[ITEM_CAP] = "";
    enum status status = settle_signs(d, &read, e);
    bool stands_in = read.signs == BY_THE_READER;
    if (status == ST_OK && stands_in)
        status = check_readers(d, &read, e);
    if (status == ST_OK)
        status = ask_signer(d, &read, person, &signer, e);
    if (status == ST_OK && stands_in)
        status = store_may(d->store, &release, signer, e);
    signer_free(signer);
    if (status == ST_OK)
        text_copy(d->holder, sizeof d->holder, person);
    return status == ST_OK ? remember_reader(d, &read, person, e) : status;
}

/* A form's save has no other way to the desk and the row that asked. */
static struct { struct desk *d; const struct desk_act *a; int64_t open_ms; } asked;

static enum status check_said(const struct form *f, int field, struct err *e)
{
    if (is_plain_text(f->fields[field].entry, EVENT_TEXT_MAX))
        return ST_OK;
    return err_set(e, ST_USAGE, "not yet: a few words are needed, in plain text");
}

static enum status save_said(struct ui *ui, const struct form *f, struct err *e)
{
    (void)ui;
    return act(asked.d, asked.a, f->fields[0].entry, asked.open_ms, e);
}

static void ask_for_words(struct desk *d, const struct desk_act *a, int64_t open_ms)
{
    struct form f = { .id = a->form_id, .field_count = 1, .check = check_said };
    char title[96], act_words[80];
    timeline_say_at(&d->r->timeline, d->view.at, act_words, sizeof act_words);
    if (a->is_on_act && act_words[0])
        snprintf(title, sizeof title, "%s: %s", a->title, act_words);
    else
        snprintf(title, sizeof title, "%s S-%03d", a->title, (int)d->r->id);
    f.title = title;
    f.fields[0] = (struct form_field){ .label = a->label, .hint = a->hint, .most_characters = EVENT_TEXT_MAX };
    asked.d = d;
    asked.a = a;
    asked.open_ms = open_ms;
    ui_form(d->ui, &f, save_said);
}

bool act_take_key(struct desk *d, const struct key *k)
{
    static struct desk_act a; /* a form comes back to it */
    const struct desk_act *row = NULL;
    struct err e = { 0 };
    int64_t open_ms = clock_boot_ms() - d->opened_boot_ms; /* typing the PIN is no reading */
    for (size_t i = 0; i < ARRAY_LEN(ACTS); i++)
        if (ACTS[i].key.code == k->code && ACTS[i].key.character == k->character)
            row = &ACTS[i];
    if (!row || !can_follow(d, row->kind))
        return false;
    a = *row;
    enum status status = settle_signs(d, &a, &e);
    if (status == ST_OK && a.signs == BY_THE_READER)
        status = check_readers(d, &a, &e);
    if (status == ST_OK)
        status = check_not_done(d, &a, &e);
    if (status == ST_OK && a.label)
        ask_for_words(d, &a, open_ms);
    else if (status == ST_OK)
        status = act(d, &a, NULL, open_ms, &e);
    if (status != ST_OK)
        text_copy(d->view.refusal, sizeof d->view.refusal, e.text);
    return true;
}
