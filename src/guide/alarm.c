/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Very high and low values: a page of their own, as soon as a value shows one. */
#include <stdio.h>
#include <string.h>

#include "guide/views.h"

void page_severe(const struct scene *sc, struct page *pg)
{
    const struct reading *r = &sc->s->readings[sc->s->severe_reading > 0 ? sc->s->severe_reading - 1 : 0];
    char said[24];

    say_reading(sc, r, said);
    text_copy(pg->title, sizeof pg->title, "Very high");
    page_line(pg, LINE_ROW, "Reading %d: %s", (int)sc->s->severe_reading, said);
    page_line(pg, LINE_INSTRUCTION, "Ask quietly: chest pain, short of breath, pain in the back, numb or weak, seeing or speaking "
              "differently?");
    page_line(pg, LINE_INSTRUCTION, "If any: follow your site's procedure now. If none: check cuff and arm, wait a minute, take it again.");
    page_line(pg, LINE_NOTE, "One reading is no diagnosis. Your site's procedure comes first.");
    page_key(pg, "a", "what was done, in words");
    page_key(pg, "enter", "go on, answer later");
}

bool key_severe(const struct scene *sc, struct guide *g, const struct key *k, struct guide_action *out)
{
    (void)out;
    switch (key_letter(k)) {
    case 'a':
        ask_text(g, EV_ACTED, "");
        return true;
    case '\n':
        g->scratch[SC_SEVERE] = sc->s->severe_reading;
        return true;
    default:
        return false;
    }
}
