/* SPDX-License-Identifier: GPL-3.0-or-later */
/** @file chain.c  The hash chain over a sitting's events, and over its refused attempts. */
#include <sodium.h>
#include <string.h>

#include "stillarm/text.h"
#include "trust/trust.h"

static void add(crypto_generichash_state *h, const char *text, size_t len)
{
    (void)crypto_generichash_update(h, (const unsigned char *)text, len);
}

static void add_ended(crypto_generichash_state *h, const char *text, size_t len, char end)
{
    add(h, text, len);
    add(h, &end, 1);
}

static void add_text(crypto_generichash_state *h, const char *text)
{
    text = text ? text : "";
    add_ended(h, text, strlen(text), '\n');
}

static void add_number(crypto_generichash_state *h, int64_t n, char end)
{
    char buf[NUMBER_CAP];
    const char *s = number_print(n, buf);
    add_ended(h, s, (size_t)(buf + NUMBER_CAP - 1 - s), end);
}

/* A clock that was not written down is `-`. */
static void add_clock(crypto_generichash_state *h, int64_t ms, char end)
{
    if (ms == INT64_MIN)
        add_ended(h, "-", 1, end);
    else
        add_number(h, ms, end);
}

static void begin(crypto_generichash_state *h)
{
    (void)crypto_generichash_init(h, NULL, 0, TRUST_HASH_BYTES);
}

static void go_on(crypto_generichash_state *h, const struct chain *c)
{
    begin(h);
    (void)crypto_generichash_update(h, c->hash, sizeof c->hash);
}

static void finish(crypto_generichash_state *h, struct chain *c)
{
    (void)crypto_generichash_final(h, c->hash, sizeof c->hash);
}

static void begin_named(struct chain *c, const char *title, const char *store, int64_t sitting)
{
    crypto_generichash_state h;
    begin(&h);
    add_text(&h, title);
    add_text(&h, store);
    add_number(&h, sitting, '\n');
    finish(&h, c);
}

void chain_begin(struct chain *c, const char *store, int64_t sitting)
{
    begin_named(c, "stillarm sitting 1", store, sitting);
}

void chain_event(struct chain *c, const char *line, size_t len, int64_t unix_ms, int64_t boot_ms)
{
    crypto_generichash_state h;
    go_on(&h, c);
    add_ended(&h, line, len, '\n');
    add_clock(&h, unix_ms, ' ');
    add_clock(&h, boot_ms, '\n');
    finish(&h, c);
}

void chain_attempts_begin(struct chain *c, const char *store, int64_t sitting)
{
    begin_named(c, "stillarm attempts 1", store, sitting);
}

void chain_attempt(struct chain *c, const struct chain_attempt *a)
{
    crypto_generichash_state h;
    go_on(&h, c);
    add_number(&h, a->n, ' ');
    add_number(&h, a->after_seq, ' ');
    add_number(&h, a->t_ms, ' ');
    add_clock(&h, a->unix_ms, ' ');
    add_number(&h, a->is_slip, ' ');
    add_text(&h, a->rule);
    add_text(&h, a->have);
    add_text(&h, a->need);
    add_text(&h, a->line);
    finish(&h, c);
}
