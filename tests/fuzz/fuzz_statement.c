/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What the parser of statements takes prints again as the same bytes; what it refuses has words, and leaves out alone. */
#include <string.h>

#include "fuzz/fuzz.h"
#include "stillarm/text.h"
#include "trust/trust.h"

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size)
{
    static struct statement s, before;
    static char again[STATEMENT_CAP];
    struct err e = {.code = ST_OK};
    memset(&s, 0x5A, sizeof s);
    memcpy(&before, &s, sizeof s);
    const enum status status = statement_parse((const char *)data, size, &s, &e);
    if (status == ST_OK) {
        HOLDS(statement_print(&s, again) == size);
        HOLDS(memcmp(again, data, size) == 0);
    } else {
        HOLDS(status == ST_SYNTAX || status == ST_NEWER);
        HOLDS(e.code == status && is_plain_text(e.text, (int)sizeof e.text));
        HOLDS(memcmp(&s, &before, sizeof s) == 0);
    }
    HOLDS(statement_parse((const char *)data, size, &s, NULL) == status);
    return 0;
}
