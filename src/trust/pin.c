/* SPDX-License-Identifier: GPL-3.0-or-later */
/** @file pin.c  A PIN while it is typed: in locked memory that no core dump holds, closed between two keys.
 */
#include <sodium.h>
#include <stdlib.h>
#include <string.h>

#include "stillarm/text.h"
#include "trust/internal.h"

struct pin {
    unsigned char *bytes; /* PIN_MAX of them, zero behind len; guarded, no access but while they are used */
    size_t len;
    int count; /* characters */
};

enum status pin_new(struct pin **out, struct err *e)
{
    enum status status = trust_init(e);
    if (status != ST_OK)
        return status;
    struct pin *p = calloc(1, sizeof *p);
    unsigned char *bytes = sodium_malloc(PIN_MAX);
    if (!p || !bytes) {
        free(p);
        sodium_free(bytes);
        return err_set(e, ST_NO_MEMORY,
                       "There is no memory for the PIN. Close other programs and try again.");
    }
    sodium_memzero(bytes, PIN_MAX);
    (void)sodium_mprotect_noaccess(bytes);
    p->bytes = bytes;
    *out = p;
    return ST_OK;
}

void pin_free(struct pin *p)
{
    if (!p)
        return;
    sodium_free(p->bytes); /* wipes */
    sodium_memzero(p, sizeof *p);
    free(p);
}

const unsigned char *pin_open(const struct pin *p, size_t *len)
{
    (void)sodium_mprotect_readonly(p->bytes);
    *len = p->len;
    return p->bytes;
}

void pin_close(const struct pin *p)
{
    (void)sodium_mprotect_noaccess(p->bytes);
}

bool pin_add(struct pin *p, uint32_t character)
{
    char utf8[4];
    const size_t n = is_control(character) ? 0 : utf8_encode(character, utf8);
    const bool fits = n > 0 && p->len + n <= PIN_MAX;
    if (fits) {
        (void)sodium_mprotect_readwrite(p->bytes);
        memcpy(p->bytes + p->len, utf8, n);
        pin_close(p);
        p->len += n;
        p->count++;
    }
    sodium_memzero(utf8, sizeof utf8);
    return fits;
}

void pin_back(struct pin *p)
{
    if (p->len == 0)
        return;
    (void)sodium_mprotect_readwrite(p->bytes);
    bool is_lead = false;
    while (!is_lead && p->len > 0) {
        p->len--;
        is_lead = (p->bytes[p->len] & 0xC0) != 0x80;
        p->bytes[p->len] = 0;
    }
    pin_close(p);
    p->count--;
}

void pin_clear(struct pin *p)
{
    (void)sodium_mprotect_readwrite(p->bytes);
    sodium_memzero(p->bytes, PIN_MAX);
    pin_close(p);
    p->len = 0;
    p->count = 0;
}

int pin_length(const struct pin *p)
{
    return p->count;
}

bool pin_equal(const struct pin *a, const struct pin *b)
{
    size_t a_len, b_len;
    const unsigned char *a_bytes = pin_open(a, &a_len), *b_bytes = pin_open(b, &b_len);
    const bool is_same = (sodium_memcmp(a_bytes, b_bytes, PIN_MAX) == 0) & (a_len == b_len);
    pin_close(a);
    pin_close(b);
    return is_same;
}

/* From one character to the next: 0 again, 1 or -1 in a row (9 and 0 are neighbours, as on a keyboard),
 * else 2. */
static int step_between(uint32_t from, uint32_t to)
{
    if (from == to)
        return 0;
    if (to == from + 1 || (from == '9' && to == '0'))
        return 1;
    return from == to + 1 || (from == '0' && to == '9') ? -1 : 2;
}

/* Every step the same, and one of those that anybody tries first. */
static bool is_guessed_first(const unsigned char *bytes, size_t len)
{
    uint32_t before = 0, now = 0;
    int step = 2;
    size_t at = utf8_decode((const char *)bytes, len, &before);
    bool is_even = at > 0;
    for (bool is_second = true; at < len && is_even; is_second = false, before = now) {
        at += utf8_decode((const char *)bytes + at, len - at, &now);
        const int this_step = step_between(before, now);
        is_even = this_step != 2 && (is_second || this_step == step);
        step = this_step;
    }
    sodium_memzero(&before, sizeof before);
    sodium_memzero(&now, sizeof now);
    return is_even;
}

enum status pin_check(const struct pin *p, struct err *e)
{
    size_t len = 0;
    if (p->count < PIN_MIN)
        return err_set(e, ST_RANGE, "A PIN has at least %d characters. Choose a longer one.", PIN_MIN);
    const unsigned char *bytes = pin_open(p, &len);
    const bool is_easy = is_guessed_first(bytes, len);
    pin_close(p);
    if (is_easy)
        return err_set(
            e, ST_RANGE,
            "One character again and again, or a row such as 123456, is tried first. Choose another PIN.");
    return ST_OK;
}
