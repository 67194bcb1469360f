/* SPDX-License-Identifier: GPL-3.0-or-later */
/** @file people_page.c  The page of people: who measures now, roles, PINs, who vouches for whom. */
#include <stdio.h>
#include <string.h>

#include "command/first_run.h"
#include "command/home.h"
#include "command/person.h"
#include "command/pin.h"
#include "command/retiring.h"
#include "stillarm/text.h"

struct people_rows {
    struct list list;
    struct person who[LIST_ROWS_MAX];
    char keys[LIST_ROWS_MAX][160];
    bool had_key[LIST_ROWS_MAX];   /* in use or ended: the role stays */
    char note[300];                /* whose row it is that the keys act on, and her key said whole */
    bool is_to_new;                /* the cursor goes to who was added, and measures now */
};

static bool had_key(const struct ring *ring, const char *person)
{
    const struct ring_key *k;
    for (int i = 0; (k = ring_at(ring, i)) != NULL; i++)
        if (strcmp(k->person, person) == 0)
            return true;
    return false;
}

/* The row that measures now need not be the one with the cursor. */
static void say_whose_row(struct people_rows *r)
{
    const int at = r->list.at;
    r->list.note = NULL;
    if (r->list.row_count == 0)
        return;
    snprintf(r->note, sizeof r->note, "The keys act on the row of %s: %s.", r->who[at].id,
             r->keys[at][0] ? r->keys[at] : r->had_key[at] ? "the PIN was reset, a new one begins a new key" : "no PIN yet");
    r->list.note = r->note;
}

static enum status gather_people(struct ui *ui, void *rows, struct err *e)
{
    struct people_rows *r = rows;
    struct ring *ring = NULL;
    char now[ITEM_CAP];
    int n = 0;
    enum status status = store_people(ui->w->store, false, r->who, LIST_ROWS_MAX, &n, e);
    if (status == ST_OK)
        status = store_setting_get(ui->w->store, "measurer", now, sizeof now, e);
    if (status == ST_OK)
        status = store_ring(ui->w->store, &ring, e);
    if (status != ST_OK)
        return status;
    r->list.row_count = n < LIST_ROWS_MAX ? n : LIST_ROWS_MAX;
    for (int i = 0; i < r->list.row_count; i++) {
        person_key_words(ring, r->who[i].id, r->keys[i], sizeof r->keys[i]);
        r->had_key[i] = had_key(ring, r->who[i].id);
        if (r->is_to_new && strcmp(now, r->who[i].id) == 0)
            r->list.at = i;
        list_set_row(&r->list, i, "%s: %.80s, %s%s%s", r->who[i].id, r->who[i].name, ROLE_WORDS[r->who[i].role],
                     r->keys[i][0] ? "" : ", no PIN yet", strcmp(now, r->who[i].id) == 0 ? "; measures now" : "");
    }
    ring_free(ring);
    list_keep_cursor(&r->list);
    r->is_to_new = false;
    say_whose_row(r);
    return ST_OK;
}

static enum status measures_now(struct ui *ui, const struct person *who, struct err *e)
{
    return store_setting_set(ui->w->store, "measurer", who->id, e);
}

static enum status change_pin(struct ui *ui, const struct person *who, struct err *e)
{
    return pin_change_ask(ui, who->id, e);
}

/* Trainee, technician, preceptor, and from there anew. */
static enum status next_role(struct ui *ui, const struct person *who, struct err *e)
{
    return store_person_role(ui->w->store, who->id, (enum person_role)((who->role + 1) % ROLE_COUNT), e);
}

static enum status vouch(struct ui *ui, const struct person *who, struct err *e)
{
    const struct act a = { .kind = SAYS_VOUCH, .of = who->id };
    char why[100];
    snprintf(why, sizeof why, "to vouch for %s", who->id);
    return preceptor_act(ui, &a, why, e);
}

static enum status reset_pin(struct ui *ui, const struct person *who, struct err *e)
{
    const struct act a = { .kind = SAYS_END, .of = who->id, .said = PERSON_RESET_SAID };
    char why[100];
    snprintf(why, sizeof why, "to end the key of %s, whose PIN is lost", who->id);
    return preceptor_act(ui, &a, why, e);
}

/* The keys that act on the row with the cursor. */
static const struct people_key {
    uint32_t key;           /* 0: Enter */
    const char *shown, *word;
    enum status (*run)(struct ui *ui, const struct person *who, struct err *e);
    const char *done;       /* said of her id when it went well; NULL: the rows show it */
} PEOPLE_KEYS[] = {
    { 0, "enter", "measures now", measures_now, NULL },
    { 'p', "p", "PIN", change_pin, "%s has a PIN that holds from now on" },
    { 'c', "c", "next role", next_role, "%s has another role now: see the row. c goes on to the next one, until there is a PIN" },
    { 'v', "v", "vouch", vouch, NULL },
    { 'r', "r", "reset PIN", reset_pin, "the PIN of %s is no longer taken; the next one begins a new key" },
};

static void say_done(const struct people_key *row, const char *id, char *out, size_t cap)
{
    const char *before = row->done ? row->done : "";
    size_t n = strcspn(before, "%");
    if (before[0])
        snprintf(out, cap, "%.*s%s%s", (int)n, before, id, before + n + 2);
}

static bool take_people_key(struct ui *ui, void *rows, const struct key *k)
{
    struct people_rows *r = rows;
    const uint32_t letter = k->code == KEY_ENTER ? 0 : key_as_letter(k);
    struct err e = { 0 };
    if (letter == 'a') {
        r->is_to_new = ask_for_person(ui);
        return true;
    }
    for (size_t i = 0; i < ARRAY_LEN(PEOPLE_KEYS) && r->list.row_count > 0; i++) {
        if (PEOPLE_KEYS[i].key != letter || (!letter && k->code != KEY_ENTER))
            continue;
        const struct person who = r->who[r->list.at];
        if (PEOPLE_KEYS[i].run(ui, &who, &e) == ST_OK)
            say_done(&PEOPLE_KEYS[i], who.id, r->list.refusal, sizeof r->list.refusal);
        else
            text_copy(r->list.refusal, sizeof r->list.refusal, e.text);
        return true;
    }
    return false;
}

/* A key is there to be vouched for, and somebody else's to do it with. */
static bool can_be_vouched_for(const struct people_rows *r)
{
    const int at = r->list.at;
    bool has_other = false;
    for (int i = 0; i < r->list.row_count; i++)
        has_other = has_other || (i != at && r->who[i].role == ROLE_PRECEPTOR && r->keys[i][0]);
    return has_other && r->who[at].role == ROLE_PRECEPTOR && r->keys[at][0];
}

/* A key that is pressed all the same gets its answer in words. */
static bool has_use(const struct people_key *row, const struct people_rows *r)
{
    if (row->run == next_role)
        return !r->had_key[r->list.at];
    if (row->run == reset_pin)
        return r->keys[r->list.at][0] != '\0';
    return row->run != vouch || can_be_vouched_for(r);
}

static void people_keys(const void *rows, struct page *pg)
{
    const struct people_rows *r = rows;
    for (size_t i = 0; i < ARRAY_LEN(PEOPLE_KEYS) && r->list.row_count > 0; i++)
        if (has_use(&PEOPLE_KEYS[i], r))
            page_key(pg, PEOPLE_KEYS[i].shown, PEOPLE_KEYS[i].word);
    page_key(pg, "a", "new");
}

static const char *person_id(const void *rows, int row)
{
    return ((const struct people_rows *)rows)->who[row].id;
}

void people_page_run(struct ui *ui)
{
    static struct people_rows r;
    r = (struct people_rows){ .list = { .id = "people", .title = "People", .empty = "Nobody yet: a adds somebody." } };
    struct retiring_page rp = { .list = &r.list, .rows = &r, .gather = gather_people, .id = person_id,
                                .word = "person", .keys = people_keys, .take = take_people_key };
    retiring_page_run(ui, &rp);
}
