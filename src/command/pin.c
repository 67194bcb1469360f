/* SPDX-License-Identifier: GPL-3.0-or-later */
/** @file pin.c  The page that asks for a PIN, and how the program keeps to itself what is typed there. */
#include "command/pin.h"

#include <stdio.h>
#include <string.h>
#include <sys/prctl.h>
#include <sys/resource.h>

#include "command/kit.h"
#include "guide/review.h"
#include "stillarm/text.h"
#include "terminal/clock.h"

void pin_harden(void)
{
    const struct rlimit none = { 0, 0 };
    /* Both are more than is needed while the system does what it says: either alone keeps a core from being written. */
    setrlimit(RLIMIT_CORE, &none);
    prctl(PR_SET_DUMPABLE, 0);
}

void moment_now(struct moment *m)
{
    *m = (struct moment){ .unix_ms = clock_unix_ms(), .boot_ms = clock_boot_ms() };
    clock_boot_id(m->boot);
}

void stamp_now(char out[40])
{
    clock_stamp(clock_unix_ms(), out, 40);
}

/* A page that asks, and what was typed on it. */
struct asking {
    struct ui *ui;
    struct pin_view v;
    struct person who;
    struct pin *typed, *chosen;
    int64_t free_boot_ms; /* when the next try is taken */
};

enum typed { TYPED, TYPED_LEFT, TYPED_LATER };

static enum status begin_asking(struct asking *a, struct ui *ui, const char *person, const char *why, struct err *e)
{
    *a = (struct asking){ .ui = ui, .v = { .person = person, .why = why } };
    enum status status = store_person_get(ui->w->store, person, &a->who, e);
    if (status == ST_NOT_FOUND) { /* a measurer whose name was typed at an opening: the page says that she has no key */
        text_copy(a->who.name, sizeof a->who.name, person);
        status = ST_OK;
    }
    a->v.name = a->who.name;
    if (status == ST_OK)
        status = trust_init(e);
    if (status == ST_OK)
        status = pin_new(&a->typed, e);
    if (status == ST_OK)
        status = pin_new(&a->chosen, e);
    return status;
}

static void end_asking(struct asking *a)
{
    pin_free(a->typed);
    pin_free(a->chosen);
}

static struct key ask_once(struct asking *a)
{
    struct page pg;
    int64_t now_ms = clock_boot_ms(), wake_ms = INT64_MAX;
    a->v.is_typed = pin_length(a->typed) > 0;
    if (a->v.wait_s > 0 && a->free_boot_ms <= now_ms) /* what was said of it holds no more */
        text_copy(a->v.refusal, sizeof a->v.refusal, "the wait is over: type the PIN");
    a->v.wait_s = a->free_boot_ms > now_ms ? (int32_t)((a->free_boot_ms - now_ms + 999) / 1000) : 0;
    if (a->v.wait_s > 0 && a->ui->kind == TERMINAL_SCREEN)
        wake_ms = a->free_boot_ms - (a->v.wait_s - 1) * INT64_C(1000);
    pin_page(&a->v, &pg);
    pg.is_blind = true;
    return ui_ask(a->ui, &pg, wake_ms);
}

/* Let it be typed, up to Enter. */
static enum typed type_it(struct asking *a)
{
    pin_clear(a->typed);
    for (;;) {
        struct key k = ask_once(a);
        if (k.code == KEY_ESCAPE || k.code == KEY_HANGUP)
            return TYPED_LEFT;
        if (k.code == KEY_TAB && a->v.can_wait)
            return TYPED_LATER;
        if (k.code != KEY_NONE && k.code != KEY_RESIZED)
            a->v.refusal[0] = '\0';
        if (k.code == KEY_CHARACTER && k.character == KEY_ERASE_ALL)
            pin_clear(a->typed);
        else if (k.code == KEY_CHARACTER && !pin_add(a->typed, k.character))
            text_copy(a->v.refusal, sizeof a->v.refusal, "not yet: that does not fit a PIN; it was left out");
        else if (k.code == KEY_BACKSPACE)
            pin_back(a->typed);
        else if (k.code == KEY_ENTER && pin_length(a->typed) > 0)
            return TYPED;
        else if (k.code == KEY_ENTER)
            text_copy(a->v.refusal, sizeof a->v.refusal, "not yet: no PIN is typed");
    }
}

/* A new PIN, typed twice; it is in a->typed then. */
static enum typed choose_it(struct asking *a)
{
    for (;;) {
        struct err e = { 0 };
        a->v.stage = PIN_CHOOSE;
        enum typed how = type_it(a);
        if (how != TYPED)
            return how;
        if (pin_check(a->typed, &e) != ST_OK) {
            kit_not_yet(e.code, &e);
            text_copy(a->v.refusal, sizeof a->v.refusal, e.text);
            continue;
        }
        struct pin *first = a->typed;
        a->typed = a->chosen;
        a->chosen = first;
        a->v.stage = PIN_REPEAT;
        how = type_it(a);
        if (how != TYPED)
            return how;
        if (pin_equal(a->typed, a->chosen))
            return TYPED;
        text_copy(a->v.refusal, sizeof a->v.refusal, "not yet: the two were not the same. Choose once more.");
    }
}

/* Type until it opens her key, or begins one; the words of what went wrong stand on the page, which can be left. */
static enum typed unlock_it(struct asking *a, bool has_key, struct signer **out)
{
    for (;;) {
        struct err e = { 0 };
        struct moment now;
        char at[40];
        int32_t wait_s = 0;
        a->v.stage = PIN_ASK;
        enum typed how = has_key ? type_it(a) : choose_it(a);
        if (how != TYPED)
            return how;
        moment_now(&now);
        stamp_now(at);
        enum status status = has_key ? store_unlock(a->ui->w->store, a->v.person, a->typed, &now, out, &wait_s, &e)
                                     : store_key_begin(a->ui->w->store, a->v.person, a->typed, at, out, &e);
        pin_clear(a->typed);
        pin_clear(a->chosen);
        if (status == ST_OK)
            return TYPED;
        if (status == ST_EXISTS || status == ST_NOT_FOUND) /* begun, or reset, in another window meanwhile */
            has_key = status == ST_EXISTS;
        a->free_boot_ms = clock_boot_ms() + wait_s * INT64_C(1000);
        kit_not_yet(status, &e);
        text_copy(a->v.refusal, sizeof a->v.refusal, e.text);
    }
}

static enum status left(enum typed how, bool *is_later, struct err *e)
{
    if (is_later)
        *is_later = how == TYPED_LATER;
    return err_set(e, ST_USAGE, "%s", "No PIN was given, so nothing was signed.");
}

enum status pin_ask(struct ui *ui, const char *person, const char *why, bool *is_later, struct signer **out,
                    struct err *e)
{
    struct asking a;
    bool has_key = false;
    enum typed how = TYPED;
    *out = NULL;
    enum status status = begin_asking(&a, ui, person, why, e);
    a.v.can_wait = is_later != NULL;
    if (status == ST_OK)
        status = store_key_has(ui->w->store, person, &has_key, e);
    if (status == ST_OK)
        how = unlock_it(&a, has_key, out);
    end_asking(&a);
    if (status != ST_OK)
        return status;
    return how == TYPED ? ST_OK : left(how, is_later, e);
}

/* Her new PIN in place of the one that opened the key. */
static enum status reseal(struct asking *a, const struct signer *signer, struct err *e)
{
    enum typed how = choose_it(a);
    if (how != TYPED)
        return left(how, NULL, e);
    return store_pin_change(a->ui->w->store, a->v.person, signer, a->typed, e);
}

enum status pin_change_ask(struct ui *ui, const char *person, struct err *e)
{
    struct asking a;
    struct signer *signer = NULL;
    bool has_key = false;
    enum typed how = TYPED;
    enum status status = begin_asking(&a, ui, person, "to change the PIN", e);
    if (status == ST_OK)
        status = store_key_has(ui->w->store, person, &has_key, e);
    if (status == ST_OK && !has_key)
        a.v.why = ""; /* what a PIN is for is said by the page */
    if (status == ST_OK)
        how = unlock_it(&a, has_key, &signer);
    if (status == ST_OK && how != TYPED)
        status = left(how, NULL, e);
    if (status == ST_OK && has_key)
        status = reseal(&a, signer, e);
    signer_free(signer);
    end_asking(&a);
    return status;
}
