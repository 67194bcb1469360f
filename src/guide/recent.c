/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What was eaten, drunk or taken not long ago: written beside the sitting, nothing depends on it. */
#include <string.h>

#include "guide/views.h"

static const struct { const char *item, *words; } KINDS[] = {
    { "meal", "a meal" },
    { "alcohol", "alcohol" },
    { "medicine", "a medicine that acts on the pressure" },
};

void page_recent(const struct scene *sc, struct page *pg)
{
    text_copy(pg->title, sizeof pg->title, "Not long ago");
    for (size_t i = 0; i < ARRAY_LEN(KINDS); i++)
        page_line(pg, LINE_ROW, "%d  %s", (int)i + 1, KINDS[i].words);
    page_line(pg, LINE_NOTE, "Only written down, with when it was: nothing is refused for it.");
    if (sc->s->given[EV_RECENT] > 0)
        page_line(pg, LINE_NOTE, "Written down so far: %d.", (int)sc->s->given[EV_RECENT]);
    page_key(pg, "1-3", "that one, and when");
    page_key(pg, "esc", "back");
}

bool key_recent(const struct scene *sc, struct guide *g, const struct key *k, struct guide_action *out)
{
    int letter = key_letter(k);

    (void)sc;
    (void)out;
    if (key_closes(g, k))
        return true;
    if (letter < '1' || letter >= '1' + (int)ARRAY_LEN(KINDS))
        return false;
    ask_text(g, EV_RECENT, KINDS[letter - '1'].item);
    return true;
}
