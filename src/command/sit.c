/* SPDX-License-Identifier: GPL-3.0-or-later */
/** @file sit.c  The verb `sit` and the loop of a sitting. */
#include "command/sit.h"

#include <stdio.h>

#include "command/first_run.h"
#include "command/hold.h"
#include "command/pin.h"
#include "stillarm/text.h"
#include "terminal/clock.h"

/* Events that a key asked for and that are on their way into the store. */
struct trying {
    struct guide_action action;
    int at;           /* the next to try */
    bool is_stuck;    /* the store refused: tried again at the next key */
    struct err trouble;
    bool is_settled;  /* whether the end is signed now or later */
    struct signer *signer; /* of the end */
};

struct sit {
    struct ui *ui;
    struct session session;
    struct guide guide;
    struct guide_booth booth;
    struct trying trying;
    int hold; /* on the sitting, so that no other window goes on with it; -1 none */
};

/* A sitting that is new has no number to hold it by before its first event is stored. */
static void hold_the_new(struct sit *t)
{
    struct err e = { 0 };
    /* Should another window have been quicker, the store tells whoever comes second. */
    if (t->session.id && !t->booth.sitting_id && hold_take(t->ui->w->path, t->session.id, &t->hold, &e) != ST_OK)
        t->hold = -1;
    t->booth.sitting_id = t->session.id;
}

static void forget_signer(struct trying *y)
{
    signer_free(y->signer);
    y->signer = NULL;
    y->is_settled = false;
}

/* The keeper's PIN, before the sitting ends. @return false: back to the sitting. Nothing that goes wrong here keeps it from
 * ending: then the signature is owed. */
static bool settle_signature(struct sit *t, const struct event *end)
{
    struct trying *y = &t->trying;
    const char *keeper = session_keeper(&t->session);
    char why[60];
    struct err e = { 0 };
    bool is_later = false;
    y->is_settled = true;
    if (!keeper[0])
        return true;
    snprintf(why, sizeof why, "to %s S-%03d", end->kind == EV_SEAL ? "finish" : "stop", (int)t->session.id);
    enum status status = pin_ask(t->ui, keeper, why, &is_later, &y->signer, &e);
    /* Whoever stopped it and whose terminal then went away did not go back. */
    const bool is_cut_off = t->ui->is_hung_up && end->kind == EV_STOP;
    if (status == ST_USAGE && !is_later && !is_cut_off)
        y->is_settled = false;
    return y->is_settled;
}

static void say_owed(struct sit *t)
{
    const char *keeper = session_keeper(&t->session);
    if (keeper[0])
        snprintf(t->guide.note, sizeof t->guide.note,
                 "Not signed yet: the signature of %s is owed. stillarm sign S-%03d takes it, or r on the home page.", keeper,
                 (int)t->session.id);
}

/* Tried with the signature where it ends the sitting. */
static enum session_answer try_next(struct sit *t, const struct event *ev, struct refusal *why)
{
    struct trying *y = &t->trying;
    if (!session_is_end(ev))
        return session_try(&t->session, ev, why, &y->trouble);
    enum session_answer answer = session_end(&t->session, ev, y->signer, NULL, NULL, why, &y->trouble);
    if (answer == SESSION_FAILED && y->trouble.code == ST_PERMISSION)
        forget_signer(y); /* the key was ended in another window meanwhile: the next key asks anew */
    return answer;
}

/* Go on trying; true when all went in, one was refused, or nothing was asked for: then the guide has been told. */
static bool go_on_trying(struct sit *t)
{
    struct trying *y = &t->trying;
    struct refusal why = { 0 };
    while (y->at < y->action.count) {
        const struct event *ev = &y->action.events[y->at];
        if (session_is_end(ev) && !y->is_settled && session_would_accept(&t->session, ev) && !settle_signature(t, ev)) {
            y->action.count = y->at; /* what was asked for is taken back */
            break;
        }
        enum session_answer answer = try_next(t, ev, &why);
        hold_the_new(t);
        if (answer == SESSION_FAILED) {
            y->is_stuck = true;
            return false;
        }
        if (answer == SESSION_REFUSED)
            break;
        y->at++;
    }
    y->is_stuck = false;
    bool is_owed = y->is_settled && !y->signer && t->session.sitting.phase != PHASE_OPEN;
    forget_signer(y);
    guide_applied(&t->guide, &t->session.sitting, session_protocol(&t->session), y->at,
                  y->at < y->action.count ? &why : NULL);
    if (is_owed)
        say_owed(t);
    return true;
}

static void try_events(struct sit *t, const struct guide_action *action)
{
    t->trying = (struct trying){ .action = *action };
    for (int i = 0; i < action->count; i++)
        t->trying.action.events[i].t_ms = session_now_ms(&t->session);
    go_on_trying(t);
}

/* A suspend is no rest and no inflation: the engine decides what it costs. What waits for the store came before it. */
static void note_sleep(struct sit *t)
{
    int64_t gap_ms;
    if (t->trying.is_stuck)
        return;
    if (!session_slept(&t->session, &gap_ms) || !t->session.id || t->session.sitting.phase != PHASE_OPEN)
        return;
    struct guide_action action = { .wish = GUIDE_APPLY, .count = 1 };
    struct sitting before = t->session.sitting;
    action.events[0] = (struct event){ .kind = EV_RESUME, .value = gap_ms };
    try_events(t, &action);
    guide_resumed(&t->guide, &before, &t->session.sitting, gap_ms);
}

/* While the store cannot take what happened, the page says so and waits; nothing is lost as long as the program runs. */
static void overlay_trouble(const struct sit *t, struct page *pg)
{
    if (!t->trying.is_stuck)
        return;
    snprintf(pg->refusal, sizeof pg->refusal, "not stored yet: %.300s", t->trying.trouble.text);
    pg->key_count = 0;
    page_key(pg, "any key", "try again");
    page_key(pg, "q", "leave; what is not stored is lost");
}

static struct key ask(struct sit *t)
{
    struct page pg;
    int64_t now_ms = session_now_ms(&t->session), wake_ms, until = ui_next_minute(t->ui);
    const struct protocol *p = session_protocol(&t->session);
    clock_hhmm(clock_unix_ms(), t->booth.wall);
    guide_page(&t->guide, &t->booth, &t->session.sitting, p, now_ms, &pg);
    overlay_trouble(t, &pg);
    if (guide_next_wake(&t->guide, &t->session.sitting, p, now_ms, &wake_ms) &&
        t->session.opened_boot_ms + wake_ms < until)
        until = t->session.opened_boot_ms + wake_ms;
    return ui_ask(t->ui, &pg, until);
}

static void look_up(struct sit *t, const struct guide_action *action, struct guide_action *out)
{
    static const struct key NOTHING = { .code = KEY_NONE };
    struct err e = { 0 };
    struct guide_booth *b = &t->booth;
    text_copy(b->seen_subject, sizeof b->seen_subject, action->subject);
    b->is_seen = false;
    b->seen_arm[0] = '\0';
    /* Not being able to look only means that the measurer is asked whether it is a first visit. */
    if (store_subject_seen(t->session.store, action->subject, &b->is_seen, b->seen_arm, sizeof b->seen_arm, &e) != ST_OK)
        b->is_seen = false;
    guide_key(&t->guide, b, &t->session.sitting, session_protocol(&t->session), session_now_ms(&t->session), &NOTHING, out);
}

static enum sit_end left(const struct sit *t)
{
    if (!t->session.id)
        return SIT_NOT_BEGUN;
    return t->session.sitting.phase == PHASE_OPEN ? SIT_LEFT_OPEN : SIT_FINISHED;
}

/* What a key does; true ends the loop. */
static bool take_key(struct sit *t, const struct key *k)
{
    struct guide_action action = { 0 };
    if (k->code == KEY_NONE || k->code == KEY_RESIZED)
        return false;
    if (t->trying.is_stuck) {
        if (k->code == KEY_CHARACTER && k->character == 'q')
            return true;
        if (go_on_trying(t))
            note_sleep(t);
        return false;
    }
    guide_key(&t->guide, &t->booth, &t->session.sitting, session_protocol(&t->session), session_now_ms(&t->session), k,
              &action);
    if (action.wish == GUIDE_LOOKUP) {
        struct guide_action looked_up = { 0 };
        look_up(t, &action, &looked_up);
        action = looked_up;
    }
    switch (action.wish) {
    case GUIDE_NOTHING:
    case GUIDE_LOOKUP:
        return false;
    case GUIDE_APPLY:
        try_events(t, &action);
        return false;
    case GUIDE_LEAVE:
    case GUIDE_FINISHED:
        return true;
    }
    return false;
}

static enum sit_end loop(struct sit *t, struct err *e)
{
    for (;;) {
        struct key k = ask(t);
        if (k.code == KEY_HANGUP) {
            forget_signer(&t->trying);
            return left(t);
        }
        note_sleep(t);
        if (take_key(t, &k))
            break;
    }
    forget_signer(&t->trying);
    if (t->trying.is_stuck) {
        *e = t->trying.trouble;
        return SIT_FAILED;
    }
    return left(t);
}

static enum status prepare(struct sit *t, struct ui *ui, struct err *e)
{
    t->ui = ui;
    t->hold = -1;
    enum status status = workplace_booth(ui->w, &t->booth, e);
    /* Only here: reserving a code is a durable write, and the home page should not wait for the disk. */
    if (status == ST_OK)
        status = store_next_code(ui->w->store, t->booth.next_code, e);
    text_copy(t->booth.banner, sizeof t->booth.banner, ui->banner);
    return status;
}

enum sit_end sit_new(struct ui *ui, struct err *e)
{
    struct sit t = { 0 };
    if (prepare(&t, ui, e) != ST_OK)
        return SIT_FAILED;
    session_begin(&t.session, ui->w->store, &ui->w->protocols);
    guide_begin(&t.guide, &t.booth);
    enum sit_end end = loop(&t, e);
    hold_release(t.hold);
    return end;
}

/* Go on with a sitting that this program holds. */
static enum sit_end resume_held(struct ui *ui, int64_t id, int hold, struct err *e)
{
    struct sit t = { 0 };
    struct sitting before;
    int64_t gap_ms;
    if (prepare(&t, ui, e) != ST_OK ||
        session_resume(&t.session, ui->w->store, &ui->w->protocols, id, &before, &gap_ms, e) != ST_OK)
        return SIT_FAILED;
    t.hold = hold;
    t.booth.sitting_id = id;
    guide_begin(&t.guide, &t.booth);
    t.guide.attempts = t.session.tally;
    guide_resumed(&t.guide, &before, &t.session.sitting, gap_ms);
    return loop(&t, e);
}

enum sit_end sit_resume(struct ui *ui, int64_t id, struct err *e)
{
    int hold;
    if (hold_take(ui->w->path, id, &hold, e) != ST_OK)
        return SIT_FAILED;
    enum sit_end end = resume_held(ui, id, hold, e);
    hold_release(hold);
    return end;
}

int sit_exit(enum sit_end end, const struct err *e)
{
    switch (end) {
    case SIT_FINISHED:
    case SIT_NOT_BEGUN:
        return EXIT_FINE;
    case SIT_LEFT_OPEN:
        return EXIT_UNFINISHED;
    case SIT_FAILED:
        return command_fail(e);
    }
    return EXIT_FINE;
}

/* The one that was left open is taken up, unless another window has it; else a new one starts, after the first run's questions where they are owed. */
static enum sit_end sit_either(struct ui *ui, struct err *e)
{
    struct sitting_head head;
    int hold;
    enum status status = store_sitting_open_latest(ui->w->store, &head, e);
    if (status == ST_OK && hold_take(ui->w->path, head.id, &hold, e) == ST_OK) {
        enum sit_end end = resume_held(ui, head.id, hold, e);
        hold_release(hold);
        return end;
    }
    if (status == ST_OK || status == ST_NOT_FOUND)
        status = first_run(ui, e);
    if (status == ST_OK)
        return sit_new(ui, e);
    return status == ST_USAGE ? SIT_NOT_BEGUN : SIT_FAILED;
}

int verb_sit(const struct command_line *line)
{
    struct workplace w;
    struct ui ui;
    struct err e = { 0 };
    if (workplace_open(&w, line, STORE_WRITE, WORKPLACE_STORE_AND_PROTOCOLS, &e) != ST_OK)
        return command_fail(&e);
    if (ui_open(&ui, &w, line, &e) != ST_OK) {
        workplace_close(&w);
        command_fail(&e);
        return EXIT_TERMINAL;
    }
    enum sit_end end = sit_either(&ui, &e);
    ui_close(&ui);
    workplace_close(&w);
    return sit_exit(end, &e);
}
