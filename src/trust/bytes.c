/* SPDX-License-Identifier: GPL-3.0-or-later */
/** @file bytes.c  Hexadecimal and plain hashes. */
#include <sodium.h>
#include <string.h>

#include "trust/trust.h"

enum status trust_init(struct err *e)
{
    if (sodium_init() < 0)
        return err_set(e, ST_IO,
                       "The system gives no random numbers, which keys and codes need. Start again.");
    return ST_OK;
}

void trust_hex(const unsigned char *bytes, size_t n, char *out)
{
    sodium_bin2hex(out, HEX_OF(n), bytes, n);
}

static int digit(char c)
{
    if (c >= '0' && c <= '9')
        return c - '0';
    return c >= 'a' && c <= 'f' ? c - 'a' + 10 : -1;
}

bool trust_unhex(const char *hex, unsigned char *out, size_t n)
{
    if (strlen(hex) != 2 * n)
        return false;
    for (size_t i = 0; i < n; i++) {
        const int high = digit(hex[2 * i]), low = digit(hex[2 * i + 1]);
        if (high < 0 || low < 0)
            return false;
        out[i] = (unsigned char)(high * 16 + low);
    }
    return true;
}

void trust_hash(const void *bytes, size_t len, unsigned char out[TRUST_HASH_BYTES])
{
    crypto_generichash(out, TRUST_HASH_BYTES, bytes, len, NULL, 0);
}

void trust_hash_hex(const void *bytes, size_t len, char out[HASH_HEX_CAP])
{
    unsigned char hash[TRUST_HASH_BYTES];
    trust_hash(bytes, len, hash);
    trust_hex(hash, sizeof hash, out);
}

void trust_short(const char *hex, char out[12])
{
    if (strlen(hex) < 8) {
        out[0] = '\0';
        return;
    }
    memcpy(out, hex, 4);
    out[4] = ' ';
    memcpy(out + 5, hex + 4, 4);
    out[9] = '\0';
}
