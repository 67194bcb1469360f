/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Key files, as they come and with their last line made right: else its hash would stop every mutation. What is taken prints
 * again as the same bytes; what is refused has words, and leaves out alone. */
#include <string.h>

#include "fuzz/fuzz.h"
#include "stillarm/text.h"
#include "trust/trust.h"

static void try_text(const char *text, size_t len)
{
    static struct sealed_key k, before;
    static char again[KEY_FILE_CAP];
    struct err e = {.code = ST_OK};
    memset(&k, 0x5A, sizeof k);
    memcpy(&before, &k, sizeof k);
    const enum status status = key_file_parse(text, len, &k, &e);
    if (status == ST_OK) {
        HOLDS(key_file_print(&k, again) == len);
        HOLDS(memcmp(again, text, len) == 0);
    } else {
        HOLDS(status == ST_SYNTAX || status == ST_NEWER);
        HOLDS(e.code == status && is_plain_text(e.text, (int)sizeof e.text));
        HOLDS(memcmp(&k, &before, sizeof k) == 0);
    }
}

/* Where the last line that is called `end` begins; the whole where there is none. */
static size_t end_at(const char *text, size_t len)
{
    for (size_t at = len; at-- > 1;)
        if (text[at - 1] == '\n' && len - at > 3 && memcmp(text + at, "end", 3) == 0)
            return at;
    return len;
}

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size)
{
    static char text[4096];
    unsigned char hash[TRUST_HASH_BYTES];
    char hex[HASH_HEX_CAP];
    try_text((const char *)data, size);
    const size_t at = end_at((const char *)data, size);
    if (at + sizeof hex + 8 > sizeof text)
        return 0;
    memcpy(text, data, at);
    trust_hash(text, at, hash);
    trust_hex(hash, sizeof hash, hex);
    const int n = snprintf(text + at, sizeof text - at, "end %s\n", hex);
    HOLDS(n > 0);
    try_text(text, at + (size_t)n);
    return 0;
}
