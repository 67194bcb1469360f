/* SPDX-License-Identifier: GPL-3.0-or-later */
/** @file proof_hand.h  Sittings of several people, played through the engine into a store and signed. Ends the program on a
 *  failure, so that it serves tests and benches alike. */
#ifndef TESTS_PROOF_HAND_H
#define TESTS_PROOF_HAND_H

#include <stdarg.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

#include "command/proof.h"
#include "config/protocols.h"
#include "stillarm/sitting.h"
#include "stillarm/text.h"
#include "store/signed.h"

static inline void hand_need(bool holds, const char *what, const struct err *e)
{
    if (holds)
        return;
    fprintf(stderr, "proof_hand: %s: %s\n", what, e ? e->text : "");
    abort();
}
#define NEED(call) hand_need((call) == ST_OK, #call, &hand_err)
static struct err hand_err;

enum who { ANA /* technician */, BEN /* trainee */, EVA, INA /* preceptors */, WHO_COUNT };
static const struct person WHO[WHO_COUNT] = {
    {.id = "ana", .name = "Ana Vey", .role = ROLE_TECHNICIAN},
    {.id = "ben", .name = "Ben Oda", .role = ROLE_TRAINEE},
    {.id = "eva", .name = "Eva Lund", .role = ROLE_PRECEPTOR},
    {.id = "ina", .name = "Ina Marsh", .role = ROLE_PRECEPTOR},
};

/** A store with people, keys and a protocol. */
struct desk {
    struct store *st;
    struct protocol p;
    char *text; /* of the protocol */
    struct signer *by[WHO_COUNT];
    int64_t hour; /* counts the sittings, so that each has a time of its own */
};

/** The sitting that is being played. */
struct play {
    struct desk *d;
    int64_t id;
    int32_t seq;
    int64_t now_ms;
    struct moment opened;
    struct sitting s;
};

static const char HAND_AT[] = "2031-03-02T18:00:00+01:00";

/* The protocol without what only people read, and with what lets it be witnessed. */
static inline void hand_protocol(struct desk *d)
{
    static const char WITNESSED[] = "[key lapses_max]\nvalue = 9\nsource =\nstatus = judgement\n";
    FILE *f = fopen(TEST_SOURCE_DIR "/assets/protocols/us-adult.protocol", "rb");
    char line[500];
    hand_need(f != NULL, "us-adult.protocol", NULL);
    d->text = calloc(1, 40000);
    hand_need(d->text != NULL, "memory", NULL);
    bool is_left_out = false;
    while (fgets(line, sizeof line, f)) {
        if (line[0] == '[')
            is_left_out = strncmp(line, "[key lapses_max]", 16) == 0;
        if (line[0] != '#' && line[0] != '\n' && !is_left_out)
            strcat(d->text, line);
    }
    fclose(f);
    char *items = strstr(d->text, "[item");
    hand_need(items != NULL, "the items of us-adult", NULL);
    memmove(items + sizeof WITNESSED - 1, items, strlen(items) + 1);
    memcpy(items, WITNESSED, sizeof WITNESSED - 1);
    NEED(protocol_parse("us-adult", d->text, &d->p, NULL, NULL, &hand_err));
}

static inline struct pin *hand_pin(void)
{
    struct pin *pin = NULL;
    NEED(pin_new(&pin, &hand_err));
    for (const char *c = "lemon-92"; *c; c++)
        hand_need(pin_add(pin, (uint32_t)*c), "a PIN", NULL);
    return pin;
}

static inline void hand_act(struct desk *d, enum who who, struct act a)
{
    a.at = HAND_AT;
    NEED(store_act(d->st, &a, d->by[who], &hand_err));
}

/** The vouch of one preceptor for another. */
static inline void hand_vouch(struct desk *d, enum who by, enum who of)
{
    hand_act(d, by, (struct act){.kind = SAYS_VOUCH, .of = WHO[of].id});
}

static inline void desk_open(struct desk *d, const char *path)
{
    struct pin *pin;
    memset(d, 0, sizeof *d);
    NEED(trust_init(&hand_err));
    hand_protocol(d);
    NEED(store_open(path, STORE_WRITE, &d->st, &hand_err));
    pin = hand_pin();
    for (int i = 0; i < WHO_COUNT; i++) {
        NEED(store_person_add(d->st, &WHO[i], &hand_err));
        NEED(store_key_begin(d->st, WHO[i].id, pin, HAND_AT, &d->by[i], &hand_err));
    }
    pin_free(pin);
    hand_vouch(d, EVA, INA); /* eva was the first */
}

static inline void desk_close(struct desk *d)
{
    for (int i = 0; i < WHO_COUNT; i++)
        signer_free(d->by[i]);
    store_close(d->st);
    free(d->text);
    memset(d, 0, sizeof *d);
}

/* ---- playing ---- */

static inline struct event hand_line(const struct play *g, const char *words)
{
    char line[EVENT_LINE_CAP];
    struct event ev;
    snprintf(line, sizeof line, "%lld.%03d %s", (long long)(g->now_ms / 1000), (int)(g->now_ms % 1000), words);
    hand_need(event_parse(line, strlen(line), &ev, NULL) == PARSED_EVENT, line, NULL);
    return ev;
}

static inline struct moment hand_moment(const struct play *g)
{
    struct moment m = g->opened;
    m.unix_ms += g->now_ms;
    m.boot_ms += g->now_ms;
    return m;
}

/** So much later, this happens and is accepted; signer: of a seal or stop, NULL else. */
static inline void acts_signed(struct play *g, int64_t wait_ms, const char *words, const struct signer *signer)
{
    struct refusal why = {.rule = RULE_NONE};
    g->now_ms += wait_ms;
    const struct event ev = hand_line(g, words);
    const struct moment m = hand_moment(g);
    if (!sitting_apply(&g->s, &g->d->p, &ev, &why)) {
        fprintf(stderr, "proof_hand: %s is refused: %s (%s; %s)\n", words, rule_id(why.rule), why.have, why.need);
        abort();
    }
    g->seq++;
    if (g->seq == 1)
        NEED(store_sitting_begin(g->d->st, g->d->text, &ev, &g->s, &m, &g->id, &hand_err));
    else if (ev.kind == EV_SEAL || ev.kind == EV_STOP)
        NEED(store_append_end(g->d->st, g->id, g->seq, &ev, &g->s, &m, signer, HAND_AT, &hand_err));
    else
        NEED(store_append(g->d->st, g->id, g->seq, &ev, &g->s, &m, &hand_err));
}

static inline void acts(struct play *g, int64_t wait_ms, const char *format, ...) __attribute__((format(printf, 3, 4)));
static inline void acts(struct play *g, int64_t wait_ms, const char *format, ...)
{
    char words[300];
    va_list args;
    va_start(args, format);
    vsnprintf(words, sizeof words, format, args);
    va_end(args);
    acts_signed(g, wait_ms, words, NULL);
}

/** So much later this is tried and refused. */
static inline void tries(struct play *g, int64_t wait_ms, const char *words)
{
    struct refusal why = {.rule = RULE_NONE};
    g->now_ms += wait_ms;
    const struct event ev = hand_line(g, words);
    const struct moment m = hand_moment(g);
    hand_need(!sitting_would_accept(&g->s, &g->d->p, &ev, &why), words, NULL);
    NEED(store_attempt(g->d->st, g->id, &ev, &why, &m, &hand_err));
}

static inline void confirms(struct play *g, enum step step)
{
    for (int i = 0; i < g->d->p.item_count; i++)
        if (g->d->p.items[i].step == step)
            acts(g, 1500, "confirm %s", g->d->p.items[i].id);
}

/** witness: NULL, or who watches. */
static inline void play_begin_for(struct play *g, struct desk *d, enum who measurer, const char *witness, const char *purpose)
{
    memset(g, 0, sizeof *g);
    g->d = d;
    g->opened = (struct moment){1930222800000 + 3600000 * d->hour, 50000000 + 3600000 * d->hour,
                                "0a1b2c3d-0000-4000-8000-00000000000a"};
    d->hour++;
    sitting_init(&g->s);
    acts(g, 0, "protocol us-adult");
    acts(g, 900, "date \"2031-03-02T14:04:10+01:00\"");
    acts(g, 900, "measurer %s", WHO[measurer].id);
    acts(g, 900, "subject k-%03d", (int)d->hour);
    acts(g, 900, "visit return");
    acts(g, 900, "prior-arm left");
    if (witness)
        acts(g, 900, "witness %s", witness);
    acts(g, 900, "purpose %s", purpose);
    acts(g, 900, "place \"booth 2\"");
}

static inline void play_begin(struct play *g, struct desk *d, enum who measurer, const char *witness)
{
    play_begin_for(g, d, measurer, witness, witness ? "assessment" : "service");
}

static inline void play_prepare(struct play *g)
{
    acts(g, 900, "gauge g1 300 20311231");
    acts(g, 900, "cuff adult 270 340");
    confirms(g, STEP_READINESS);
    acts(g, 900, "arm left");
    confirms(g, STEP_ARM);
    acts(g, 900, "circumference 300");
    acts(g, 900, "wrap adult");
    confirms(g, STEP_CUFF);
    confirms(g, STEP_POSTURE);
    confirms(g, STEP_KIT);
}

static inline void play_rest(struct play *g, int64_t rest_ms)
{
    acts(g, 2000, "rest begin");
    acts(g, 60000, "pulse regular 72");
    acts(g, rest_ms - 60000, "rest end");
    acts(g, 5000, "inflate palpate");
    acts(g, 6000, "palpate felt 110");
    acts(g, 2000, "palpate gone 120");
    acts(g, 4000, "empty");
}

static inline void play_reading(struct play *g, int first, int last)
{
    const int64_t from_ms = sitting_inflate_from_ms(&g->s, &g->d->p, INFLATION_LISTEN);
    if (from_ms > g->now_ms)
        g->now_ms = from_ms;
    acts(g, 4000, "inflate listen");
    acts(g, 7000 + (int64_t)(160 - last) * 400, "empty");
    acts(g, 3000, "target 160");
    acts(g, 2000, "value first %d", first);
    acts(g, 2000, "value last %d", last);
    acts(g, 1000, "done");
}

static inline void play_seal(struct play *g, const struct signer *signer)
{
    confirms(g, STEP_CLOSING);
    acts(g, 9000, "told");
    acts_signed(g, 5000, "seal", signer);
}

/** A whole sitting, sealed; signer NULL: the signature is owed. @return its number */
static inline int64_t play_whole(struct desk *d, enum who measurer, const struct signer *signer, int first)
{
    static struct play g; /* large, and one at a time */
    play_begin(&g, d, measurer, NULL);
    tries(&g, 500, "rest begin");
    play_prepare(&g);
    play_rest(&g, 300000);
    play_reading(&g, first, 78);
    play_reading(&g, first - 2, 76);
    play_seal(&g, signer);
    return g.id;
}

static inline int64_t play_stopped(struct desk *d, enum who measurer, const struct signer *signer)
{
    static struct play g;
    play_begin(&g, d, measurer, NULL);
    tries(&g, 500, "inflate listen");
    acts_signed(&g, 5000, "stop \"the \\\"chair\\\" is taken\"", signer);
    return g.id;
}

/** Ben measures, eva watches: he skips most of the rest. */
static inline int64_t play_witnessed(struct desk *d)
{
    static struct play g;
    play_begin(&g, d, BEN, "eva");
    play_prepare(&g);
    play_rest(&g, 90000);
    play_reading(&g, 132, 84);
    play_seal(&g, d->by[EVA]);
    return g.id;
}


/** What the desk does in a week: sittings countersigned, returned and amended, witnessed and released, stopped, retired kit.
 *  @return how many sittings, all signed; the tamper tests change each of them */
static inline int desk_week(struct desk *d)
{
    const struct gauge g9 = {.id = "g9", .name = "old gauge", .top_mmhg = 300, .due = 20311231};
    struct act a;
    int64_t id = play_whole(d, ANA, d->by[ANA], 128);
    a = (struct act){.kind = SAYS_COUNTERSIGN, .sitting = id, .word = "reviewed", .open_ms = 41000};
    hand_act(d, EVA, a);
    id = play_stopped(d, BEN, d->by[BEN]);
    a = (struct act){.kind = SAYS_RETURN, .sitting = id, .said = "say why the \"chair\" was taken", .event = 3, .open_ms = 9000};
    hand_act(d, INA, a);
    a = (struct act){.kind = SAYS_AMEND, .sitting = id, .said = "The tutor needed it."};
    hand_act(d, BEN, a);
    a = (struct act){.kind = SAYS_COMMENT, .sitting = id, .said = "Thank you.", .event = 9};
    hand_act(d, INA, a);
    id = play_witnessed(d);
    hand_act(d, EVA, (struct act){.kind = SAYS_RELEASE, .sitting = id, .open_ms = 12000});
    NEED(store_gauge_add(d->st, &g9, &hand_err));
    hand_act(d, EVA, (struct act){.kind = SAYS_RETIRE, .of = "g9", .word = "kit"});
    id = play_stopped(d, INA, d->by[INA]);
    a = (struct act){.kind = SAYS_COUNTERSIGN, .sitting = id, .word = "present", .open_ms = 100};
    hand_act(d, EVA, a);
    return 4;
}

/* ---- what verify says ---- */

/** The whole store; fails where it could not be read. @return how many things are wrong */
static inline int64_t desk_wrong(struct store *st, struct proof *p)
{
    NEED(proof_store(st, NULL, p, &hand_err));
    return p->wrong;
}

#endif
