/* SPDX-License-Identifier: GPL-3.0-or-later */
/** @file review_protocol.c  A laxer protocol can bear the name of the usual one: its text is compared, not its name. */
#include "command/review_protocol.h"

#include <stdio.h>
#include <string.h>

void protocol_note(const struct protocols *here, const struct kept_sitting *k, char out[PROTOCOL_NOTE_CAP])
{
    unsigned char hash[TRUST_HASH_BYTES];
    char hex[HASH_HEX_CAP], kept[12];
    const char *name = k->head.protocol;
    int at = here ? protocols_index(here, name) : -1;
    out[0] = '\0';
    if (!here || !name[0])
        return;
    trust_short(k->protocol_text_hash, kept);
    if (at < 0) {
        snprintf(out, PROTOCOL_NOTE_CAP, "judged by %.32s (%s), which is not among the protocols here", name, kept);
        return;
    }
    trust_hash(here->text[at], strlen(here->text[at]), hash);
    trust_hex(hash, sizeof hash, hex);
    if (strcmp(hex, k->protocol_text_hash) != 0)
        snprintf(out, PROTOCOL_NOTE_CAP, "judged by another text of %.32s (%s) than here (%.4s %.4s)", name, kept, hex, hex + 4);
}
