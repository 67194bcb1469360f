/* SPDX-License-Identifier: GPL-3.0-or-later */
/** @file people.c  The verb `people`: who measures here, and the PINs they sign with. */
#include <stdio.h>
#include <string.h>

#include "command/person.h"
#include "command/pin.h"
#include "command/workplace.h"
#include "stillarm/text.h"

#define PEOPLE_LISTED_MAX 500

static enum status list_people(struct store *store, bool with_retired, struct err *e)
{
    static struct person people[PEOPLE_LISTED_MAX];
    struct ring *ring = NULL;
    int n = 0;
    enum status status = store_people(store, with_retired, people, PEOPLE_LISTED_MAX, &n, e);
    if (status == ST_OK)
        status = store_ring(store, &ring, e);
    if (status != ST_OK)
        return status;
    if (n == 0)
        printf("Nobody yet. stillarm people add ID NAME adds somebody.\n");
    for (int i = 0; i < n && i < PEOPLE_LISTED_MAX; i++) {
        char key[160];
        person_key_words(ring, people[i].id, key, sizeof key);
        printf("%-12s %-11s %s%s%s%s\n", people[i].id, ROLE_WORDS[people[i].role], people[i].name, key[0] ? "; " : "", key,
               people[i].is_retired ? "  (retired)" : "");
    }
    ring_free(ring);
    if (n > PEOPLE_LISTED_MAX)
        printf("... and %d more\n", n - PEOPLE_LISTED_MAX);
    return ST_OK;
}

static enum status add_person(struct store *store, const struct command_line *line, struct err *e)
{
    struct person who = { .role = ROLE_TECHNICIAN };
    const char *role = line->value[OPTION_ROLE];
    if (line->word_count != 3)
        return err_set(e, ST_USAGE, "Adding somebody takes an ID and a name: stillarm people add ana \"Ana Torres\".");
    if (role && person_parse_role(role, &who.role, e) != ST_OK)
        return ST_USAGE;
    if (!is_item(line->words[1]) || !text_copy(who.id, sizeof who.id, line->words[1]))
        return err_set(e, ST_USAGE,
                       "`%.60s` cannot stand in a log. An ID is 1 to 32 letters, digits, dots or dashes, and starts "
                       "with a letter or a digit.",
                       line->words[1]);
    if (!is_plain_text(line->words[2], 60) || !text_copy(who.name, sizeof who.name, line->words[2]))
        return err_set(e, ST_USAGE, "The name has to be 1 to 60 characters of plain text.");
    enum status status = store_person_add(store, &who, e);
    if (status == ST_OK)
        printf("%s, %s, is added as %s.\n", who.id, who.name, ROLE_WORDS[who.role]);
    return status;
}

static enum status change_role(struct store *store, const struct command_line *line, struct err *e)
{
    enum person_role role;
    enum status status = person_parse_role(line->words[2], &role, e);
    if (status == ST_OK)
        status = store_person_role(store, line->words[1], role, e);
    if (status == ST_OK)
        printf("%s is a %s from now on.\n", line->words[1], ROLE_WORDS[role]);
    return status;
}

/* A lost PIN: the key ends, what it signed stays, and the next PIN begins a new one. */
static enum status reset_pin(struct store *store, const struct command_line *line, struct err *e)
{
    const struct act a = { .kind = SAYS_END, .of = line->words[1], .said = PERSON_RESET_SAID };
    enum status status = preceptor_act_by(store, line->value[OPTION_BY], line->value[OPTION_COURSE], &a, e);
    if (status == ST_OK)
        printf("The PIN of %s is no longer taken. What it signed stays valid; the next PIN begins a new key.\n", line->words[1]);
    return status;
}

static enum status change_pin(struct store *store, const char *person, struct err *e)
{
    struct signer *signer = NULL;
    struct pin *fresh = NULL;
    bool has_key = false;
    char whose[60];
    enum status status = store_key_has(store, person, &has_key, e);
    if (status == ST_OK)
        status = pin_read_for(store, person, &signer, e);
    if (status == ST_OK && has_key)
        status = pin_new(&fresh, e);
    snprintf(whose, sizeof whose, "%.40s's new", person);
    if (status == ST_OK && has_key)
        status = pin_read_new(whose, fresh, e);
    if (status == ST_OK && has_key)
        status = store_pin_change(store, person, signer, fresh, e);
    pin_free(fresh);
    signer_free(signer);
    if (status == ST_OK)
        printf("%s has %s PIN.\n", person, has_key ? "a new" : "a");
    return status;
}

static enum status retire_person(struct store *store, const struct command_line *line, struct err *e)
{
    const struct act a = { .kind = SAYS_RETIRE, .of = line->words[1], .word = "person" };
    struct person who;
    enum status status = store_person_get(store, line->words[1], &who, e); /* before a PIN is asked for in vain */
    if (status == ST_OK)
        status = charge_act_by(store, line->value[OPTION_BY], &a, e);
    if (status == ST_OK)
        printf("%s is no longer offered. Past sittings keep the name.\n", line->words[1]);
    return status;
}

static enum status run_people(struct store *store, const struct command_line *line, struct err *e)
{
    const char *what = line->word_count > 0 ? line->words[0] : "list";
    if (strcmp(what, "list") == 0 && line->word_count <= 1)
        return list_people(store, line->value[OPTION_ALL], e);
    if (strcmp(what, "add") == 0)
        return add_person(store, line, e);
    if (strcmp(what, "role") == 0 && line->word_count == 3)
        return change_role(store, line, e);
    if (strcmp(what, "pin") == 0 && line->word_count == 2)
        return change_pin(store, line->words[1], e);
    if (strcmp(what, "reset") == 0 && line->word_count == 2)
        return reset_pin(store, line, e);
    if (strcmp(what, "retire") == 0 && line->word_count == 2)
        return retire_person(store, line, e);
    return err_set(e, ST_USAGE, "people knows list, add ID NAME, role ID ROLE, pin ID, reset ID and retire ID. See stillarm people "
                                  "--help.");
}

int verb_people(const struct command_line *line)
{
    struct workplace w;
    struct err e = { 0 };
    bool is_listing = line->word_count == 0 || strcmp(line->words[0], "list") == 0;
    if (workplace_open(&w, line, is_listing ? STORE_READ : STORE_WRITE, WORKPLACE_STORE, &e) != ST_OK)
        return command_fail(&e);
    enum status status = run_people(w.store, line, &e);
    workplace_close(&w);
    return status == ST_OK ? EXIT_FINE : command_fail(&e);
}
