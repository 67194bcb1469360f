/* SPDX-License-Identifier: GPL-3.0-or-later */
/** @file progress_hand.h  A store of invented sittings with a second listener, made event by event through the engine. */
#ifndef TESTS_PROGRESS_HAND_H
#define TESTS_PROGRESS_HAND_H

#include <check.h>
#include <stdarg.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

#include "command/session.h"
#include "stillarm/text.h"

#define OK(call) ck_assert_msg((call) == ST_OK, "%s: %s", #call, e.text)

static struct err e;
static struct store *st;
static struct protocols ps;
static struct session x;
static struct moment opened;
static int64_t now_ms;

static inline void say(int64_t wait_ms, const char *format, ...) __attribute__((format(printf, 2, 3)));
static inline enum session_answer say_words(const char *words, struct refusal *why)
{
    char line[EVENT_LINE_CAP];
    struct event ev;
    struct moment at = opened;
    at.unix_ms += now_ms;
    at.boot_ms += now_ms;
    snprintf(line, sizeof line, "%lld.%03d %s", (long long)(now_ms / 1000), (int)(now_ms % 1000), words);
    ck_assert_msg(event_parse(line, strlen(line), &ev, NULL) == PARSED_EVENT, "%s", line);
    return session_try_at(&x, &ev, &at, why, &e);
}

static inline void say(int64_t wait_ms, const char *format, ...)
{
    char words[400];
    struct refusal why = { 0 };
    va_list args;
    va_start(args, format);
    vsnprintf(words, sizeof words, format, args);
    va_end(args);
    now_ms += wait_ms;
    ck_assert_msg(say_words(words, &why) == SESSION_ACCEPTED, "%s: %s %s", words, why.sentence, e.text);
}

/* What the engine refuses, and keeps as an attempt. */
static inline void refused(const char *words, enum rule rule)
{
    struct refusal why = { 0 };
    ck_assert_int_eq(say_words(words, &why), SESSION_REFUSED);
    ck_assert_str_eq(rule_id(why.rule), rule_id(rule));
}

static inline void confirm_all(enum step step)
{
    const struct protocol *p = session_protocol(&x);
    for (int i = 0; i < p->item_count; i++)
        if (p->items[i].step == step && strcmp(p->items[i].id, "cuff.index") != 0)
            say(1000, "confirm %s", p->items[i].id);
}

/** Up to where the first listening inflation may begin. date: 2031-03-02. witness NULL: practice. */
static inline void sit_down(const char *measurer, const char *subject, const char *date, const char *witness)
{
    session_begin(&x, st, &ps);
    opened = (struct moment){ .unix_ms = INT64_C(1930000000000), .boot_ms = 1000, .boot = "a" };
    now_ms = 0;
    say(0, "protocol us-adult");
    say(0, "date \"%sT09:00:00+01:00\"", date);
    say(0, "measurer %s", measurer);
    say(0, "subject %s", subject);
    say(0, "visit return");
    say(0, "prior-arm left");
    if (witness)
        say(0, "witness %s", witness);
    say(0, "purpose %s", witness ? "assessment" : "practice");
    say(0, "place \"booth 2\"");
    confirm_all(STEP_READINESS);
    say(1000, "arm left");
    confirm_all(STEP_ARM);
    say(0, "cuff adult 270 340");
    say(1000, "circumference 305");
    say(1000, "wrap adult");
    confirm_all(STEP_CUFF);
    confirm_all(STEP_POSTURE);
    say(1000, "gauge g1 300 20350101");
    confirm_all(STEP_KIT);
    say(1000, "rest begin");
    say(200000, "pulse regular 70");
    say(105000, "rest end");
    say(5000, "inflate palpate");
    for (int mmhg = 70; mmhg <= 120; mmhg += 10)
        say(1500, "palpate felt %d", mmhg);
    say(1500, "palpate gone 130");
    say(4000, "empty");
}

/** One reading; listener NULL: nobody hears it too. quick: let down so fast that it does not count. */
static inline void hear(int sys, int dia, const char *listener, int lsys, int ldia, bool quick)
{
    const struct protocol *p = session_protocol(&x);
    int target = 130 + p->value[KEY_MARGIN_MMHG];
    int64_t from = sitting_inflate_from_ms(&x.sitting, p, INFLATION_LISTEN);
    if (from > now_ms)
        now_ms = from;
    say(4000, "inflate listen");
    if (listener)
        say(0, "listener %s", listener);
    int64_t ms_a_mmhg = quick ? 20 : 400;
    say(7000, "mark release");
    say((target - sys) * ms_a_mmhg, "mark first");
    say((sys - dia) * ms_a_mmhg, "mark last");
    say(1000, "empty");
    say(1000, "target %d", target);
    say(1000, "value first %d", sys);
    say(1000, "value last %d", dia);
    if (listener) {
        say(1000, "pair first %d", lsys);
        say(1000, "pair last %d", ldia);
    }
    say(1000, "done");
}

static inline void seal_it(void)
{
    confirm_all(STEP_CLOSING);
    say(1000, "told");
    say(1000, "seal");
}

#define HAND_PIN "lamp-4711"
#define HAND_KEYS_AT "2031-01-01T09:00:00+01:00"

/** A person's key; the caller frees. */
static inline struct signer *key_of(const char *person)
{
    struct pin *pin = NULL;
    struct signer *key = NULL;
    OK(trust_init(&e));
    OK(pin_new(&pin, &e));
    for (const char *at = HAND_PIN; *at; at++)
        ck_assert(pin_add(pin, (unsigned char)*at));
    OK(store_key_begin(st, person, pin, HAND_KEYS_AT, &key, &e));
    pin_free(pin);
    return key;
}

static char hand_folder[64];

static inline void open_store(void)
{
    static const struct person PEOPLE[] = {
        { .id = "ana", .name = "Ana Torres", .role = ROLE_TRAINEE },
        { .id = "ben", .name = "Ben, \"the second\"", .role = ROLE_TRAINEE },
        { .id = "eva", .name = "Eva", .role = ROLE_PRECEPTOR },
        { .id = "ina", .name = "Ina", .role = ROLE_PRECEPTOR },
        { .id = "tec", .name = "Tec", .role = ROLE_TECHNICIAN },
        { .id = "old", .name = "Olda", .role = ROLE_TRAINEE, .is_retired = true },
    };
    char path[100];
    snprintf(hand_folder, sizeof hand_folder, "/tmp/stillarm-progress-XXXXXX");
    ck_assert_ptr_nonnull(mkdtemp(hand_folder));
    snprintf(path, sizeof path, "%s/s.db", hand_folder);
    OK(store_open(path, STORE_WRITE, &st, &e));
    for (size_t i = 0; i < ARRAY_LEN(PEOPLE); i++)
        OK(store_person_add(st, &PEOPLE[i], &e));
    OK(protocols_load(TEST_SOURCE_DIR "/assets/protocols", &ps, &e));
}

static inline void close_store(void)
{
    char command[100];
    store_close(st);
    protocols_free(&ps);
    snprintf(command, sizeof command, "rm -r '%s'", hand_folder);
    ck_assert_int_eq(system(command), 0);
}

#endif
