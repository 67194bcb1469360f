/* SPDX-License-Identifier: GPL-3.0-or-later */
/** @file store_sign_hand.h  What the tests of what is signed share: a store of people with keys, made once a program and
 *  copied for each test, their unlocked keys, sittings to sign. */
#ifndef TESTS_STORE_SIGN_HAND_H
#define TESTS_STORE_SIGN_HAND_H

#include "fault/store_hand.h"
#include "store/signed.h"

#define HAND_AT "2031-03-02T15:00:00+01:00"
#define HAND_PIN "lamp-4711"

/* eva founded the store; she vouched for ina; nobody has vouched for una. */
enum who { EVA, INA, UNA, TEC, ANA, BEN, WHO_COUNT };
static const struct person HAND_PEOPLE[WHO_COUNT] = {
    [EVA] = {.id = "eva", .name = "Eva", .role = ROLE_PRECEPTOR},
    [INA] = {.id = "ina", .name = "Ina", .role = ROLE_PRECEPTOR},
    [UNA] = {.id = "una", .name = "Una", .role = ROLE_PRECEPTOR},
    [TEC] = {.id = "tec", .name = "Tec", .role = ROLE_TECHNICIAN},
    [ANA] = {.id = "ana", .name = "Ana", .role = ROLE_TRAINEE},
    [BEN] = {.id = "ben", .name = "Ben", .role = ROLE_TRAINEE},
};

static struct signer *hand_signers[WHO_COUNT];
static unsigned char *hand_template;
static size_t hand_template_size;

static inline struct pin *hand_pin(const char *text)
{
    struct err e = {.text = ""};
    struct pin *p = NULL;
    OK(trust_init(&e));
    OK(pin_new(&p, &e));
    for (; *text; text++)
        ck_assert(pin_add(p, (unsigned char)*text));
    return p;
}

/** Say it with this person's key. */
static inline enum status hand_act(struct store *st, enum who by, const struct act *a, struct err *e)
{
    struct act whole = *a;
    whole.at = HAND_AT;
    return store_act(st, &whole, hand_signers[by], e);
}

static inline enum status hand_vouch(struct store *st, enum who by, enum who of, struct err *e)
{
    return hand_act(st, by, &(struct act){.kind = SAYS_VOUCH, .of = HAND_PEOPLE[of].id}, e);
}

/** People of whom only those with a bit in `keys` have one. */
static inline void hand_people(struct store *st, unsigned keys)
{
    struct err e = {.text = ""};
    struct pin *pin = hand_pin(HAND_PIN);
    for (int i = 0; i < WHO_COUNT; i++) {
        OK(store_person_add(st, &HAND_PEOPLE[i], &e));
        if (!(keys & (1U << i)))
            continue;
        signer_free(hand_signers[i]);
        OK(store_key_begin(st, HAND_PEOPLE[i].id, pin, HAND_AT, &hand_signers[i], &e));
    }
    pin_free(pin);
}

/** Once a program: making keys is slow by intent. */
static inline void hand_make_template(void)
{
    struct err e = {.text = ""};
    hand_setup();
    struct store *st = hand_open(STORE_WRITE);
    hand_people(st, (1U << WHO_COUNT) - 1);
    OK(hand_vouch(st, EVA, INA, &e));
    store_close(st);
    FILE *f = fopen(hand_path, "rb");
    ck_assert_ptr_nonnull(f);
    ck_assert_int_eq(fseek(f, 0, SEEK_END), 0);
    hand_template_size = (size_t)ftell(f);
    hand_template = malloc(hand_template_size);
    ck_assert_ptr_nonnull(hand_template);
    rewind(f);
    ck_assert_uint_eq(fread(hand_template, 1, hand_template_size, f), hand_template_size);
    fclose(f);
    hand_teardown();
}

static inline void hand_drop_template(void)
{
    for (int i = 0; i < WHO_COUNT; i++) {
        signer_free(hand_signers[i]);
        hand_signers[i] = NULL;
    }
    free(hand_template);
}

static inline void hand_put_template(void)
{
    hand_setup();
    FILE *f = fopen(hand_path, "wb");
    ck_assert_ptr_nonnull(f);
    ck_assert_uint_eq(fwrite(hand_template, 1, hand_template_size, f), hand_template_size);
    fclose(f);
}

static inline TCase *hand_signed_case(Suite *suite, const char *name)
{
    TCase *c = tcase_create(name);
    tcase_add_unchecked_fixture(c, hand_make_template, hand_drop_template);
    tcase_add_checked_fixture(c, hand_put_template, hand_teardown);
    tcase_set_timeout(c, 60);
    suite_add_tcase(suite, c);
    return c;
}

/* ---- sittings ---- */

/** An open sitting with four events; a witness makes it an assessment. */
static inline int64_t hand_sitting(struct store *st, struct sitting *s, enum who measurer, const char *witness)
{
    struct err e = {.text = ""};
    char line[80];
    *s = hand_state();
    const int64_t id = hand_begin(st, s);
    s->date = 20310302;
    OK(hand_append(st, id, 2, "0.000 date \"2031-03-02T14:04:10+01:00\"", s, &e));
    snprintf(line, sizeof line, "0.001 measurer %s", HAND_PEOPLE[measurer].id);
    OK(hand_append(st, id, 3, line, s, &e));
    if (witness) {
        snprintf(s->witness, sizeof s->witness, "%s", witness);
        snprintf(line, sizeof line, "0.002 witness %s", witness);
        OK(hand_append(st, id, 4, line, s, &e));
    }
    s->purpose = witness ? PURPOSE_ASSESSMENT : PURPOSE_PRACTICE;
    OK(hand_append(st, id, witness ? 5 : 4, witness ? "0.003 purpose assessment" : "0.003 purpose practice", s, &e));
    return id;
}

/** Seal or stop it; signer NULL leaves the signature owed. */
static inline enum status hand_end(struct store *st, int64_t id, const char *line, struct sitting *s,
                                   const struct signer *signer, struct err *e)
{
    struct sitting_head head;
    struct event ev = hand_event(line);
    const enum status status = store_sitting_get(st, id, &head, e);
    ck_assert_int_eq(status, ST_OK);
    s->now_ms = ev.t_ms;
    s->phase = ev.kind == EV_SEAL ? PHASE_SEALED : PHASE_STOPPED;
    return store_append_end(st, id, head.event_count + 1, &ev, s, &HAND_MOMENT, signer, HAND_AT, e);
}

/** One that was sealed and signed by its keeper. */
static inline int64_t hand_sealed(struct store *st, enum who measurer, const char *witness, enum who keeper)
{
    struct err e = {.text = ""};
    struct sitting s;
    const int64_t id = hand_sitting(st, &s, measurer, witness);
    OK(hand_end(st, id, "9.000 seal", &s, hand_signers[keeper], &e));
    return id;
}

static inline enum status hand_say(struct store *st, enum who by, enum statement_kind kind, int64_t sitting,
                                   struct err *e)
{
    return hand_act(st, by, &(struct act){.kind = kind, .sitting = sitting, .word = kind == SAYS_COUNTERSIGN ? "reviewed" : NULL,
                                          .said = "the second rest was short", .event = 0, .open_ms = 61000}, e);
}

static inline enum review hand_review(struct store *st, int64_t id)
{
    struct err e = {.text = ""};
    struct kept_sitting kept;
    OK(store_kept_sitting(st, id, &kept, &e));
    return kept.review;
}

/* ---- what is there can be proved ---- */

struct hand_proof {
    struct ring *ring;
    char previous[HASH_HEX_CAP];
    int64_t count;
    int64_t last[1000]; /* about each sitting */
};

static inline bool hand_prove_one(void *user, const struct kept_statement *kept)
{
    struct hand_proof *p = user;
    struct statement s;
    struct err e = {.text = ""};
    OK(statement_parse(kept->text, kept->len, &s, &e));
    ck_assert_int_eq(kept->number, ++p->count);
    ck_assert_int_eq(s.number, kept->number);
    ck_assert_int_eq(s.sitting, kept->sitting);
    ck_assert_str_eq(s.previous, p->previous);
    ck_assert_int_lt(s.sitting, (int64_t)ARRAY_LEN(p->last));
    if (s.sitting) {
        ck_assert_int_eq(s.earlier, p->last[s.sitting]);
        p->last[s.sitting] = s.number;
    }
    OK(ring_take(p->ring, &s, kept->text, kept->len, kept->signature, &e));
    statement_hash(kept->text, kept->len, kept->signature, p->previous);
    return true;
}

/** Every statement follows on the one before, is signed, and by one who may. Returns how many there are. */
static inline int64_t hand_prove(struct store *st)
{
    struct err e = {.text = ""};
    struct hand_proof p = {.count = 0};
    char id[STORE_ID_CAP];
    int64_t until = 0;
    OK(store_check(st, &e));
    OK(store_id(st, id, &e));
    OK(store_unsigned_until(st, &until, &e));
    statement_founding(id, until, p.previous);
    OK(ring_new(id, &p.ring, &e));
    OK(store_statements(st, 0, hand_prove_one, &p, &e));
    ring_free(p.ring);
    return p.count;
}

#endif
