/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Sounds that were there, went away and came back: asked once where the figures suggest it. */
#include <string.h>

#include "guide/views.h"

/* With both figures of the silence there is nothing left to ask. */
bool gap_is_due(const struct scene *sc)
{
    const struct reading *r = sitting_current(sc->s);
    int32_t suspect = sc->p->value[KEY_GAP_SUSPECT_MMHG];

    if (r == NULL || r->gap_answer != GAP_NOT_ASKED || (r->has_value[POINT_SILENT] && r->has_value[POINT_RETURN]))
        return false;
    if (r->has_value[POINT_SILENT] || r->has_value[POINT_RETURN])
        return true;
    return r->gap_from_mmhg > 0 && r->has_value[POINT_FIRST] && r->value_mmhg[POINT_FIRST] < r->gap_from_mmhg - suspect;
}

void page_gap(const struct scene *sc, struct page *pg)
{
    const struct reading *r = sitting_current(sc->s);
    char first[16], felt[16];

    if (r == NULL)
        return;
    text_copy(pg->title, sizeof pg->title, "Were sounds heard above, then lost?");
    say_mmhg(sc, first, r->value_mmhg[POINT_FIRST]);
    say_mmhg(sc, felt, r->gap_from_mmhg);
    if (r->gap_from_mmhg > 0)
        page_line(pg, LINE_INSTRUCTION, "The first sound is written at %s, and the pulse was felt up to %s. Sounds can be there, fall "
                  "silent for a while, and come back: a silent gap.", first, felt);
    else
        page_line(pg, LINE_INSTRUCTION, "Sounds can be there, fall silent for a while, and come back: a silent gap.");
    page_line(pg, LINE_NOTE, "If so, its two lines are written beside the reading, and the first sound is the one above it.");
    page_key(pg, "y", "yes, then lost");
    page_key(pg, "n", "no, none heard above");
    page_key(pg, "u", "change a figure");
}

bool key_gap(const struct scene *sc, struct guide *g, const struct key *k, struct guide_action *out)
{
    switch (key_letter(k)) {
    case 'y':
        act_item(out, EV_GAP, "heard");
        /* The first of all is asked again: what was typed may be where they came back. */
        g->scratch[SC_THEN_EDIT] = entry_edit_slot(sc, POINT_FIRST);
        return true;
    case 'n':
        act_item(out, EV_GAP, "none");
        return true;
    case 'u':
        g->scratch[SC_EDIT] = 1;
        return true;
    default:
        return false;
    }
}
