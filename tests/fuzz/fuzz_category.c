/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Whatever a category file holds: a scheme that passes is sound, every mean lies in one of its bands, and written into a
 * kept text it is the same again; one that does not pass names a line that is there and touches nothing. */
#include <string.h>

#include "config/bundle.h"
#include "config/category_text.h"
#include "fuzz/fault_seen.h"

/* Higher values never lie in a lower band. */
static void look_at_ladder(const struct category_scheme *c)
{
    int32_t last = 0;
    for (int32_t mmhg = 0; mmhg <= 400; mmhg++) {
        struct category where = category_of(c, mmhg, mmhg, 1);
        char said[400];
        HOLDS(where.band >= last && where.band < c->band_count);
        last = where.band;
        category_say(c, where, said, sizeof said);
        HOLDS(said[0] != '\0');
    }
}

static void look_at_kept(const struct category_scheme *c)
{
    static struct protocol p;
    static struct category_scheme again;
    const struct protocol_notes notes = {.id_line = 1};
    struct faults f = {.name = "kept"};
    memset(&p, 0, sizeof p);
    memset(&again, 0, sizeof again);
    memcpy(&p.schemes[0], c, sizeof *c);
    p.scheme_count = 1;
    char *kept = bundle_text("", &p, &notes);
    HOLDS(kept != NULL);
    HOLDS(category_text_parse(kept, NULL, &again, NULL, &f) == ST_OK);
    HOLDS(memcmp(&again, c, sizeof again) == 0);
    free(kept);
}

static void try_text(const char *text)
{
    static struct category_scheme c, before;
    struct seen seen = seen_begin(text);
    struct faults f = {.name = "name", .add = look_at_fault, .user = &seen};
    memset(&c, 0x5A, sizeof c);
    memcpy(&before, &c, sizeof c);
    enum status st = category_text_parse(text, NULL, &c, NULL, &f);
    HOLDS((st == ST_OK) == (seen.faults == 0));
    if (st != ST_OK) {
        HOLDS(memcmp(&c, &before, sizeof c) == 0);
        return;
    }
    HOLDS(category_check(&c, NULL) == ST_OK);
    look_at_ladder(&c);
    look_at_kept(&c);
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
