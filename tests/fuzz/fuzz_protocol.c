/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Whatever a file holds: a protocol that passes is sound and always the same; one that does not names a line that is
 * there and touches nothing. */
#include <string.h>

#include "config/protocols.h"
#include "fuzz/fault_seen.h"

static void try_text(const char *text)
{
    static struct protocol p, before, again;
    struct err e = {.code = ST_OK};
    struct seen seen = seen_begin(text);
    memset(&p, 0x5A, sizeof p);
    memcpy(&before, &p, sizeof p);
    enum status st = protocol_parse("name", text, &p, look_at_fault, &seen, &e);
    HOLDS((st == ST_OK) == (seen.faults == 0));
    if (st != ST_OK) {
        HOLDS(st == e.code && (st == ST_SYNTAX || st == ST_RANGE));
        HOLDS(memcmp(&p, &before, sizeof p) == 0);
        return;
    }
    HOLDS(protocol_check(&p, NULL) == ST_OK);
    HOLDS(protocol_parse("name", text, &again, NULL, NULL, NULL) == ST_OK);
    HOLDS(memcmp(&p, &again, sizeof p) == 0);
}

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size)
{
    char *text = malloc(size + 1);
    HOLDS(text != NULL);
    memcpy(text, data, size);
    text[size] = '\0';
    try_text(text);
    free(text);
    return 0;
}
