/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Standing up after the readings lying: what to look out for, when to read, and what to do when it does not go well. */
#include <stdio.h>
#include <string.h>

#include "guide/views.h"

static int inflations_standing(const struct sitting *s)
{
    int n = 0;

    for (int i = 0; i < s->reading_count; i++)
        n += s->readings[i].is_standing && s->readings[i].inflate_ms >= s->stood_ms;
    return n;
}

bool lies_first(const struct protocol *p)
{
    return p->value[KEY_STANDING_READINGS] > 0;
}

bool standing_is_owed(const struct scene *sc)
{
    const int32_t *value = sc->p->value;

    return lies_first(sc->p) && !sc->s->waived_rules[RULE_STANDING_FEW] &&
           sitting_standing_counted(sc->s) < value[KEY_STANDING_READINGS] && inflations_standing(sc->s) < value[KEY_READINGS_MAX];
}

int64_t listen_from_ms(const struct scene *sc)
{
    int64_t from = sitting_inflate_from_ms(sc->s, sc->p, INFLATION_LISTEN);
    int64_t standing = sitting_standing_from_ms(sc->s, sc->p);

    return standing > from ? standing : from;
}

void page_stand(const struct scene *sc, struct page *pg)
{
    char first[16], second[16];

    say_clock(first, protocol_ms(sc->p, KEY_STANDING_FIRST_S));
    say_clock(second, protocol_ms(sc->p, KEY_STANDING_SECOND_S));
    text_copy(pg->title, sizeof pg->title, "Now stand up");
    page_line(pg, LINE_INSTRUCTION, "Help the subject up. The cuff stays on; the arm is held at the height of the heart.");
    page_line(pg, LINE_CAUTION, "Stay close. Dizzy, faint or unsteady: let the subject sit or lie down at once.");
    if (sc->p->value[KEY_STANDING_READINGS] > 1)
        page_line(pg, LINE_NOTE, "Read after %s and after %s of standing.", first, second);
    else
        page_line(pg, LINE_NOTE, "Read after %s of standing.", first);
    verdict_lines(sc, pg, false);
    page_key(pg, "space", "stands now");
    page_key(pg, "f", "feels faint");
    if (sc->p->is_waivable[RULE_STANDING_FEW])
        page_key(pg, "w", "pass over, because");
}

bool key_stand(const struct scene *sc, struct guide *g, const struct key *k, struct guide_action *out)
{
    switch (key_letter(k)) {
    case ' ':
        if (rest_is_over(sc)) /* a second rest, after it went ill: it ends with standing up, as it does with a squeeze */
            act_item(out, EV_REST, "end");
        act(out, EV_STAND);
        return true;
    case 'f': /* before the subject stands */
        guide_open_view(g, VIEW_FAINT);
        return true;
    case 'w':
        if (!sc->p->is_waivable[RULE_STANDING_FEW])
            return false;
        ask_text(g, EV_WAIVE, rule_id(RULE_STANDING_FEW));
        return true;
    default:
        return false;
    }
}

#define FAINT "felt faint" /* perhaps before standing: the log tells */

bool faint_key(const struct scene *sc, struct guide *g, struct guide_action *out)
{
    if (!sc->s->is_standing)
        return false;
    if (sc->s->inflation != INFLATION_NONE)
        act(out, EV_EMPTY);
    guide_open_view(g, VIEW_AUTO);
    g->scratch[SC_FAINT] = 1;
    return true;
}

void page_faint(const struct scene *sc, struct page *pg)
{
    text_copy(pg->title, sizeof pg->title, "Let the subject sit or lie down");
    page_line(pg, LINE_INSTRUCTION, "All air out of the cuff. Stay beside the subject, and go by your site's procedure.");
    if (sitting_current(sc->s) != NULL)
        page_line(pg, LINE_NOTE, "What was heard can be typed afterwards.");
    page_key(pg, "y", "lies again, better: go on");
    if (sc->p->is_waivable[RULE_STANDING_FEW])
        page_key(pg, "w", "no more standing");
    page_key(pg, "s", "stop here");
    page_key(pg, "esc", "back");
}

bool key_faint(const struct scene *sc, struct guide *g, const struct key *k, struct guide_action *out)
{
    if (key_closes(g, k)) {
        g->scratch[SC_FAINT] = 0;
        return true;
    }
    switch (key_letter(k)) {
    case 'y':
        g->scratch[SC_FAINT] = 0;
        act_text(out, EV_MOVED, "felt faint, lies again");
        return true;
    case 'w':
        if (!sc->p->is_waivable[RULE_STANDING_FEW])
            return false;
        g->scratch[SC_FAINT] = 0;
        act_item(out, EV_WAIVE, rule_id(RULE_STANDING_FEW));
        text_copy(out->events[0].text, sizeof out->events[0].text, FAINT);
        return true;
    case 's':
        ask_text(g, EV_STOP, "");
        text_copy(g->pending[0].text, sizeof g->pending[0].text, FAINT);
        g->view = VIEW_STOP_SURE;
        return true;
    default:
        return false;
    }
}
