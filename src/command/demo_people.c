/* SPDX-License-Identifier: GPL-3.0-or-later */
/** @file demo_people.c  Nobody here exists; their PINs are no secret. */
#include "command/demo_people.h"

#include <stdio.h>
#include <string.h>

#include "command/demo_data.h"
#include "terminal/clock.h"

#define DAY_MS INT64_C(86400000)
#define KEYS_DAYS 7           /* so long ago the keys began */
#define KEYS_COURSE_DAYS 100  /* and before a course */

static const struct person PEOPLE[] = {
    { .id = "ana", .name = "Ana Wirth", .role = ROLE_TECHNICIAN },
    { .id = "ben", .name = "Ben Okoye", .role = ROLE_TRAINEE },
    { .id = DEMO_PRECEPTOR, .name = "Dora Lindqvist", .role = ROLE_PRECEPTOR },
};
static const struct person COURSE[] = {
    { .id = DEMO_READY, .name = "Mira Solheim", .role = ROLE_TRAINEE },
    { .id = DEMO_NOT_YET, .name = "Joss Abara", .role = ROLE_TRAINEE },
    { .id = DEMO_TOO_FEW, .name = "Tilo Renn", .role = ROLE_TRAINEE },
};
_Static_assert(ARRAY_LEN(PEOPLE) + ARRAY_LEN(COURSE) <= DEMO_PEOPLE_MAX, "room for their keys");

static enum status known_pin(const char *person, struct pin **out, struct err *e)
{
    char words[60];
    enum status status = pin_new(out, e);
    if (status != ST_OK)
        return status;
    snprintf(words, sizeof words, "%.40s" DEMO_PIN_END, person);
    for (const char *c = words; *c; c++)
        if (!pin_add(*out, (unsigned char)*c))
            return err_set(e, ST_RANGE, "The demo's PIN of %s is none.", person);
    return ST_OK;
}

static enum status add_one(struct store *store, const struct person *who, const char *at, struct demo_people *out,
                           struct err *e)
{
    struct pin *pin = NULL;
    enum status status = store_person_add(store, who, e);
    if (status == ST_OK)
        status = known_pin(who->id, &pin, e);
    if (status == ST_OK)
        status = store_key_begin(store, who->id, pin, at, &out->signer[out->count], e);
    if (status == ST_OK)
        out->id[out->count++] = who->id;
    pin_free(pin);
    return status;
}

/* The course's key lives for a moment: nobody can vouch with it again. */
static enum status vouch_once(struct store *store, const struct demo_people *people, const char *person, const char *at,
                              struct err *e)
{
    struct pin *pin = NULL;
    struct sealed_key key;
    struct signer *course = NULL;
    const struct act a = { .kind = SAYS_VOUCH, .of = person, .at = at, .host = demo_signer(people, person) };
    enum status status = known_pin(COURSE_PERSON, &pin, e);
    if (status == ST_OK)
        status = key_make(pin, &key, &course, e);
    if (status == ST_OK)
        status = store_act(store, &a, course, e);
    signer_free(course);
    pin_free(pin);
    return status;
}

enum status demo_people_add(struct store *store, bool with_course, struct demo_people *out, struct err *e)
{
    char at[40];
    *out = (struct demo_people){ .count = 0 };
    clock_stamp(clock_unix_ms() - (with_course ? KEYS_COURSE_DAYS : KEYS_DAYS) * DAY_MS, at, sizeof at);
    enum status status = trust_init(e);
    for (size_t i = 0; i < ARRAY_LEN(PEOPLE) && status == ST_OK; i++)
        status = add_one(store, &PEOPLE[i], at, out, e);
    for (size_t i = 0; with_course && i < ARRAY_LEN(COURSE) && status == ST_OK; i++)
        status = add_one(store, &COURSE[i], at, out, e);
    return status == ST_OK ? vouch_once(store, out, DEMO_PRECEPTOR, at, e) : status;
}

void demo_people_done(struct demo_people *p)
{
    for (int i = 0; i < p->count; i++)
        signer_free(p->signer[i]);
    p->count = 0;
}

const struct signer *demo_signer(const struct demo_people *p, const char *person)
{
    for (int i = 0; i < p->count; i++)
        if (strcmp(p->id[i], person) == 0)
            return p->signer[i];
    return NULL;
}
