/* SPDX-License-Identifier: GPL-3.0-or-later */
/** @file charge.c  Finds who may sign what not everybody may, and lets her do it. The store asks the same again. */
#include <errno.h>
#include <fcntl.h>
#include <stdio.h>
#include <string.h>
#include <unistd.h>

#include "command/pin.h"
#include "stillarm/text.h"

#define PEOPLE_MAX 500
#define CHARGE_MAX 60
#define READER "reviewer" /* the setting of the review desk */

/* Those who could sign, as a list to choose from. */
struct charge {
    char id[CHARGE_MAX][ITEM_CAP];
    char words[CHARGE_MAX][160];
    bool has_key[CHARGE_MAX];
    int count;
};

enum needed { NEEDS_PRECEPTOR, NEEDS_IN_CHARGE };

/* A preceptor who has no PIN yet may begin, as long as nobody before her did. */
static bool may_sign(const struct person *who, const struct ring_key *key, bool has_preceptor, enum needed needed)
{
    if (has_preceptor)
        return key && key->role == SIGNS_PRECEPTOR && key->standing != TRUST_NONE;
    return who->role == ROLE_PRECEPTOR || (needed == NEEDS_IN_CHARGE && who->role == ROLE_TECHNICIAN);
}

static void say_signer(const struct person *who, const struct ring_key *key, char *out, size_t cap)
{
    char standing[120] = "";
    struct text t;
    if (key && key->role == SIGNS_PRECEPTOR)
        standing_say(key->standing, key->voucher, standing);
    text_init(&t, out, cap);
    text_addf(&t, "%s: %.60s, %s%s%s", who->id, who->name, ROLE_WORDS[who->role], standing[0] ? ", " : "", standing);
}

/* Who could begin a key counts only while nobody who may has one. */
static void drop_keyless(struct charge *c)
{
    bool is_any = false;
    int kept = 0;
    for (int i = 0; i < c->count; i++)
        is_any = is_any || c->has_key[i];
    for (int i = 0; is_any && i < c->count; i++) {
        if (!c->has_key[i])
            continue;
        memmove(c->id[kept], c->id[i], sizeof c->id[0]);
        memmove(c->words[kept++], c->words[i], sizeof c->words[0]);
    }
    c->count = is_any ? kept : c->count;
}

static enum status find_charge(struct store *store, enum needed needed, struct charge *c, struct err *e)
{
    static struct person people[PEOPLE_MAX];
    struct ring *ring = NULL;
    bool has_preceptor = false;
    int n = 0;
    c->count = 0;
    enum status status = store_people(store, false, people, PEOPLE_MAX, &n, e);
    if (status == ST_OK)
        status = store_has_preceptor(store, &has_preceptor, e);
    if (status == ST_OK)
        status = store_ring(store, &ring, e);
    for (int i = 0; status == ST_OK && i < n && i < PEOPLE_MAX && c->count < CHARGE_MAX; i++) {
        const struct ring_key *key = ring_of_person(ring, people[i].id);
        if (!may_sign(&people[i], key, has_preceptor, needed))
            continue;
        text_copy(c->id[c->count], ITEM_CAP, people[i].id);
        say_signer(&people[i], key, c->words[c->count], sizeof c->words[0]);
        c->has_key[c->count++] = key != NULL;
    }
    ring_free(ring);
    drop_keyless(c);
    if (status == ST_OK && c->count == 0)
        return err_set(e, ST_PERMISSION,
                       needed == NEEDS_PRECEPTOR || has_preceptor
                           ? "Nobody here is a preceptor with standing. On the people page a adds one and p sets the PIN; "
                             "where there was one before, the course's key or another preceptor vouches for the new one."
                           : "Nobody here is in charge: this takes a preceptor or, while there is none, a technician. The "
                             "people page adds one.");
    return status;
}

static int index_of(const struct charge *c, const char *person)
{
    for (int i = 0; i < c->count; i++)
        if (strcmp(c->id[i], person) == 0)
            return i;
    return -1;
}

/* ---- on pages ---- */

/* Who was chosen last at this terminal, else who read last at the review desk. */
static char chosen_last[ITEM_CAP];

static int offered(struct store *store, const struct charge *c)
{
    char reader[ITEM_CAP];
    int at = chosen_last[0] ? index_of(c, chosen_last) : -1;
    if (at < 0 && store_setting_get(store, READER, reader, sizeof reader, NULL) == ST_OK)
        at = index_of(c, reader);
    return at < 0 ? 0 : at;
}

/* -1: left. */
static int choose_signer(struct ui *ui, const struct charge *c, const char *why)
{
    static struct list l; /* large, and one at a time */
    char note[120];
    if (c->count == 1)
        return 0;
    l = (struct list){ .id = "who-signs", .title = "Who signs?", .note = note, .row_count = c->count };
    snprintf(note, sizeof note, "%.100s", why);
    for (int i = 0; i < c->count; i++)
        text_copy(l.rows[i], LIST_ROW_CAP, c->words[i]);
    l.at = offered(ui->w->store, c);
    for (;;) {
        struct page pg;
        list_page(&l, &pg);
        page_key(&pg, "enter", "this one");
        page_key(&pg, "esc", "leave");
        struct key k = ui_ask(ui, &pg, INT64_MAX);
        if (k.code == KEY_ENTER)
            return l.at;
        if (key_is_leaving(&k))
            return -1;
        list_key(&l, &k);
    }
}

static enum status ask_signer(struct ui *ui, enum needed needed, const char *why, char person[ITEM_CAP],
                              struct signer **out, struct err *e)
{
    static struct charge c;
    *out = NULL;
    enum status status = find_charge(ui->w->store, needed, &c, e);
    if (status != ST_OK)
        return status;
    int at = choose_signer(ui, &c, why);
    if (at < 0)
        return err_set(e, ST_USAGE, "%s", "Nobody signed, so nothing was changed.");
    text_copy(person, ITEM_CAP, c.id[at]);
    text_copy(chosen_last, sizeof chosen_last, person);
    return pin_ask(ui, person, why, NULL, out, e);
}

enum status preceptor_ask(struct ui *ui, const char *why, char person[ITEM_CAP], struct signer **out, struct err *e)
{
    return ask_signer(ui, NEEDS_PRECEPTOR, why, person, out, e);
}

static enum status act_with(struct store *store, const struct act *a, struct signer *signer, struct err *e)
{
    char at[40];
    struct act whole = *a;
    stamp_now(at);
    whole.at = at;
    enum status status = store_act(store, &whole, signer, e);
    signer_free(signer);
    return status;
}

static enum status ask_and_act(struct ui *ui, enum needed needed, const struct act *a, const char *why, struct err *e)
{
    char person[ITEM_CAP];
    struct signer *signer;
    enum status status = ask_signer(ui, needed, why, person, &signer, e);
    return status == ST_OK ? act_with(ui->w->store, a, signer, e) : status;
}

enum status charge_act(struct ui *ui, const struct act *a, const char *why, struct err *e)
{
    return ask_and_act(ui, NEEDS_IN_CHARGE, a, why, e);
}

enum status preceptor_act(struct ui *ui, const struct act *a, const char *why, struct err *e)
{
    return ask_and_act(ui, NEEDS_PRECEPTOR, a, why, e);
}

/* ---- for verbs ---- */

/* Who is meant, among those who could be. */
static enum status name_signer(const struct charge *c, const char *by, const char **out, struct err *e)
{
    char names[300];
    struct text t;
    text_init(&t, names, sizeof names);
    for (int i = 0; i < c->count; i++)
        text_addf(&t, "%s%s", i ? ", " : "", c->id[i]);
    if (by && index_of(c, by) < 0)
        return err_set(e, ST_PERMISSION, "%.40s may not do this here. Those who may: %s.", by, names);
    if (!by && c->count > 1)
        return err_set(e, ST_USAGE, "Say with --by who does it: one of %s.", names);
    *out = by ? by : c->id[0];
    return ST_OK;
}

static enum status read_signer(struct store *store, enum needed needed, const char *by, struct signer **out, struct err *e)
{
    static struct charge c;
    const char *person = NULL;
    *out = NULL;
    enum status status = find_charge(store, needed, &c, e);
    if (status == ST_OK)
        status = name_signer(&c, by, &person, e);
    return status == ST_OK ? pin_read_for(store, person, out, e) : status;
}

static enum status act_by(struct store *store, enum needed needed, const char *by, const struct act *a, struct err *e)
{
    struct signer *signer = NULL;
    enum status status = read_signer(store, needed, by, &signer, e);
    return status == ST_OK ? act_with(store, a, signer, e) : status;
}

enum status charge_act_by(struct store *store, const char *by, const struct act *a, struct err *e)
{
    return act_by(store, NEEDS_IN_CHARGE, by, a, e);
}

static enum status read_key_file(const char *path, struct sealed_key *out, struct err *e)
{
    char text[KEY_FILE_CAP + 1];
    struct err inner = { 0 };
    int fd = open(path, O_RDONLY | O_CLOEXEC);
    ssize_t n = fd >= 0 ? read(fd, text, sizeof text) : -1;
    int number = errno;
    if (fd >= 0)
        close(fd);
    if (n < 0)
        return err_set(e, number == ENOENT ? ST_NOT_FOUND : ST_IO, "%.200s cannot be read: %s.", path, strerror(number));
    enum status status = key_file_parse(text, (size_t)n, out, &inner);
    return status == ST_OK ? ST_OK : err_set(e, status, "%.200s is no key file that can be used: %.300s", path, inner.text);
}

static enum status open_course_key(const char *path, struct signer **out, struct err *e)
{
    struct sealed_key key;
    struct pin *pin = NULL;
    enum status status = read_key_file(path, &key, e);
    if (status == ST_OK)
        status = trust_init(e);
    if (status == ST_OK)
        status = pin_new(&pin, e);
    if (status == ST_OK)
        status = pin_read("PIN of the course's key (typed blind): ", pin, e);
    if (status == ST_OK)
        status = key_unlock(&key, pin, out, e);
    pin_free(pin);
    return status;
}

/* Both at once: only to take in a course's key that is new here. */
static enum status check_who(struct store *store, const char *by, const char *course, const struct act *a, struct err *e)
{
    struct ring *ring = NULL;
    enum status status = ST_OK;
    if ((!by && !course) || (by && course && a->kind != SAYS_VOUCH))
        return err_set(e, ST_USAGE, "Say who does it: --by PERSON, a preceptor, or --course FILE, the course's key.");
    if (by && course)
        status = store_ring(store, &ring, e);
    const bool is_known = status == ST_OK && ring && ring_course(ring);
    ring_free(ring);
    if (is_known)
        return err_set(e, ST_USAGE, "A course's key is known here, and vouches by itself: --course FILE or --by PERSON, not both.");
    return status;
}

static enum status course_acts(struct store *store, const char *host_id, const char *course, const struct act *a,
                               struct err *e)
{
    struct signer *signer = NULL, *host = NULL;
    struct act whole = *a;
    enum status status = open_course_key(course, &signer, e);
    if (status == ST_OK && host_id)
        status = read_signer(store, NEEDS_PRECEPTOR, host_id, &host, e);
    whole.host = host;
    if (status == ST_OK)
        status = act_with(store, &whole, signer, e);
    else
        signer_free(signer);
    signer_free(host);
    return status;
}

enum status preceptor_act_by(struct store *store, const char *by, const char *course, const struct act *a, struct err *e)
{
    enum status status = check_who(store, by, course, a, e);
    if (status != ST_OK)
        return status;
    return course ? course_acts(store, by, course, a, e) : act_by(store, NEEDS_PRECEPTOR, by, a, e);
}
