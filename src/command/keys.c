/* SPDX-License-Identifier: GPL-3.0-or-later */
/** @file keys.c  The verb `keys`: signing keys, who vouches for them, the course's key, the public ones as a file. */
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

#include "output/new_file.h"
#include "command/pin.h"
#include "command/proof.h"
#include "command/workplace.h"
#include "stillarm/text.h"

#define USAGE "See stillarm keys --help."

/* ---- list ---- */

static void print_key(const struct ring_key *k)
{
    char id[KEY_WHOLE_CAP], standing[120] = "";
    if (k->role == SIGNS_COURSE)
        key_whole(k->id, id);
    else
        trust_short(k->id, id);
    if (k->role == SIGNS_PRECEPTOR)
        standing_say(k->standing, k->voucher, standing);
    printf("%-12s %-11s %s%s%s%s\n", k->person, SIGNING_ROLE_WORDS[k->role], id, k->ended ? "  ended" : "",
           standing[0] ? "  " : "", standing);
}

static enum status list_keys(struct store *store, struct err *e)
{
    struct ring *ring = NULL;
    const struct ring_key *k;
    enum status status = store_ring(store, &ring, e);
    if (status != ST_OK)
        return status;
    if (!ring_at(ring, 0))
        printf("No keys yet. Whoever first types a PIN begins one: at the end of a sitting, or stillarm people pin ID.\n");
    for (int i = 0; (k = ring_at(ring, i)) != NULL; i++)
        print_key(k);
    ring_free(ring);
    return ST_OK;
}

/* ---- the course's key: made without a store, so that it can be made off the booths ---- */

/* The command stands in a line of its own, and as a shell takes it. */
static void print_vouch(const char *when, const char *path, const char *tail)
{
    const bool is_plain = path[strspn(path, "abcdefghijklmnopqrstuvwxyzABCDEFGHIJKLMNOPQRSTUVWXYZ0123456789._/+-")] == '\0';
    printf("%s\n  stillarm keys vouch PERSON --course %s", when, is_plain ? "" : "'");
    for (const char *c = path; *c; c++)
        if (*c == '\'')
            printf("'\\''");
        else
            putchar(*c);
    printf("%s%s\n", is_plain ? "" : "'", tail);
}

static enum status make_course_key(const char *path, struct err *e)
{
    struct sealed_key key;
    struct pin *pin = NULL;
    char text[KEY_FILE_CAP], id[KEY_WHOLE_CAP];
    if (access(path, F_OK) == 0) /* before a PIN is asked for in vain */
        return err_set(e, ST_EXISTS, "%.200s is there already and was left as it is. Give another name.", path);
    enum status status = trust_init(e);
    if (status == ST_OK)
        status = pin_new(&pin, e);
    if (status == ST_OK)
        status = pin_read_new("the course's", pin, e);
    if (status == ST_OK)
        status = key_make(pin, &key, NULL, e);
    pin_free(pin);
    if (status == ST_OK)
        status = new_file_write(path, text, key_file_print(&key, text), 0600, e);
    if (status != ST_OK)
        return status;
    key_whole(key.id, id);
    printf("%s holds the course's key, sealed by its PIN. Give out its code:\n%s\n"
           "Keep it off the booths, and a copy of it elsewhere. At a booth it vouches for PERSON, a preceptor with a PIN.\n",
           path, id);
    print_vouch("The first time, where PRECEPTOR has standing and lets it in (PERSON may be the same):", path, " --by PRECEPTOR");
    print_vouch("Ever after, and where no preceptor has standing:", path, "");
    return ST_OK;
}

/* ---- vouch, export ---- */

static enum status vouch(struct store *store, const struct command_line *line, struct err *e)
{
    const struct act a = { .kind = SAYS_VOUCH, .of = line->words[1] };
    enum status status = preceptor_act_by(store, line->value[OPTION_BY], line->value[OPTION_COURSE], &a, e);
    if (status == ST_OK)
        printf("%s vouches for %s.\n", line->value[OPTION_COURSE] ? "The course" : line->value[OPTION_BY], line->words[1]);
    return status;
}

static enum status write_public(struct store *store, const char *path, struct err *e)
{
    char *text = NULL;
    size_t len = 0;
    enum status status = export_keys(store, &text, &len, e);
    if (status == ST_OK && path)
        status = new_file_write(path, text, len, 0666, e);
    else if (status == ST_OK)
        fwrite(text, 1, len, stdout); /* whether it arrived is seen when the program ends */
    free(text);
    if (status == ST_OK && path)
        printf("The public keys are in %s. They let anybody verify what this store signed, and sign nothing.\n", path);
    return status;
}

static enum status run_on_store(struct store *store, const char *what, const struct command_line *line, struct err *e)
{
    if (strcmp(what, "list") == 0)
        return list_keys(store, e);
    if (strcmp(what, "vouch") == 0)
        return vouch(store, line, e);
    return write_public(store, line->word_count > 1 ? line->words[1] : NULL, e);
}

static const struct { const char *word; int words_min, words_max; } ACTIONS[] = {
    { "list", 0, 1 }, { "course", 2, 2 }, { "vouch", 2, 2 }, { "export", 1, 2 }
};

static enum status check_words(const char *what, const struct command_line *line, struct err *e)
{
    for (size_t i = 0; i < ARRAY_LEN(ACTIONS); i++)
        if (strcmp(what, ACTIONS[i].word) == 0 && line->word_count >= ACTIONS[i].words_min &&
            line->word_count <= ACTIONS[i].words_max)
            return ST_OK;
    return err_set(e, ST_USAGE, "keys knows list, course FILE, vouch PERSON and export [FILE]. " USAGE);
}

int verb_keys(const struct command_line *line)
{
    struct workplace w;
    struct err e = { 0 };
    const char *what = line->word_count > 0 ? line->words[0] : "list";
    if (check_words(what, line, &e) != ST_OK)
        return command_fail(&e);
    if (strcmp(what, "course") == 0)
        return make_course_key(line->words[1], &e) == ST_OK ? EXIT_FINE : command_fail(&e);
    if (workplace_open(&w, line, strcmp(what, "vouch") == 0 ? STORE_WRITE : STORE_READ, WORKPLACE_STORE, &e) != ST_OK)
        return command_fail(&e);
    enum status status = run_on_store(w.store, what, line, &e);
    workplace_close(&w);
    return status == ST_OK ? EXIT_FINE : command_fail(&e);
}
