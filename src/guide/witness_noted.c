/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What was noted so far, before a witness: a key that slipped is taken back here, with a reason. The one who measures can
 * see it too: it names what was asked and what was, and judges nothing. */
#include <stdio.h>
#include <string.h>

#include "guide/timeline.h"
#include "guide/witness.h"

#define ROWS 10 /* round the cursor: more of them would not fit a small screen */

/* What each is about; those that only the seal notes are never listed. */
static const char *const ABOUT[RULE_COUNT] = {
    [RULE_STEP_NEEDS] = "not there yet",
    [RULE_USUAL_BARRED] = "the usual figure",
    [RULE_ARM_BARRED] = "the arm",
    [RULE_CUFF_UNMEASURED] = "cuff on, the arm",
    [RULE_CUFF_TOO_SMALL] = "cuff",
    [RULE_CUFF_TOO_LARGE] = "cuff",
    [RULE_KIT_OVERDUE] = "gauge, its date",
    [RULE_KIT_FAILED] = "gauge, its last check",
    [RULE_REST_MISSING] = "rest",
    [RULE_REST_SHORT] = "rest",
    [RULE_REST_STALE] = "rest",
    [RULE_ESTIMATE_MISSING] = "feeling before listening",
    [RULE_SETTLE_SHORT] = "wait after feeling",
    [RULE_INTERVAL_SHORT] = "wait between readings",
    [RULE_STANDING_EARLY] = "wait on the feet",
    [RULE_READINGS_FEW] = "told, readings so far",
    [RULE_ARMS_FEW] = "told, arms so far",
};

struct page_line *witness_noted_line(const struct scene *sc, struct page *pg, int at)
{
    const struct lapse *l = &sc->s->lapses[at];
    const struct protocol_item *item = lapse_item(l, sc->p);
    const char *about = ABOUT[l->rule] != NULL ? ABOUT[l->rule] : rule_words(rule_id((enum rule)l->rule));
    struct page_line *line;
    char when[12], have[80], need[80];

    say_clock(when, l->t_ms);
    if (item != NULL)
        line = page_line(pg, LINE_ITEM, "%s  %s: %s", when, item->say, l->have);
    else if (l->rule == RULE_STEP_NEEDS)
        line = page_line(pg, LINE_ITEM, "%s  %s: %s", when, about, l->have);
    else
        line = page_line(pg, LINE_ITEM, "%s  %s: %s, asked %s", when, about, say_seconds_short(l->have, have),
                         say_seconds_short(l->need, need));
    text_copy(line->value, sizeof line->value, l->is_struck ? "taken back" : "noted");
    return line;
}

void witness_noted_open(const struct scene *sc, struct guide *g, bool is_finishing)
{
    guide_open_view(g, VIEW_WITNESS_NOTED);
    g->cursor = sitting_lapses_kept(sc->s) > 0 ? sitting_lapses_kept(sc->s) - 1 : 0; /* a slip is mostly the latest */
    g->scratch[SC_WITNESS_FINISH] = is_finishing;
}

void page_witness_noted(const struct scene *sc, struct page *pg)
{
    int n = sitting_lapses_kept(sc->s), at = sc->g->cursor, from = at >= ROWS ? at - ROWS + 1 : 0;
    bool is_finishing = sc->g->scratch[SC_WITNESS_FINISH] != 0;

    text_copy(pg->title, sizeof pg->title, is_finishing ? "Noted so far: is it as it was?" : "Noted so far");
    for (int i = from; i < n && i < from + ROWS; i++)
        witness_noted_line(sc, pg, i)->is_current = i == at;
    if (n == 0)
        page_line(pg, LINE_ROW, "Nothing so far.");
    else if (n > ROWS)
        page_line(pg, LINE_NOTE, "%d of %d", at + 1, n);
    if (at < n && sc->s->lapses[at].is_struck)
        page_line(pg, LINE_NOTE, "taken back, because: %s", sc->s->lapses[at].why);
    page_line(pg, LINE_NOTE, "A key that slipped is taken back with a reason; both stay on the record.");
    page_key(pg, "down", "next");
    page_key(pg, "up", "before");
    if (n > 0)
        page_key(pg, "x", "take this one back, because");
    if (is_finishing)
        page_key(pg, "enter", "as it was: finish");
    page_key(pg, "esc", "back");
}

static void take_back(const struct scene *sc, struct guide *g)
{
    int at = g->cursor;

    if (at >= sitting_lapses_kept(sc->s))
        say_no(g, "Nothing is noted so far.");
    else if (sc->s->lapses[at].is_struck)
        say_no(g, "This one is taken back already. What was so after all is noted again.");
    else {
        if (sc->s->lapses[at].item > 0) { /* the cursor goes there: it asks for its answer again */
            g->scratch[SC_WITNESS_AT] = sc->s->lapses[at].item;
            g->scratch[SC_WITNESS_PICKED] = 0;
        }
        ask_text(g, EV_STRIKE, "");
        g->pending[0].value = at + 1;
    }
}

bool key_witness_noted(const struct scene *sc, struct guide *g, const struct key *k, struct guide_action *out)
{
    if (key_closes(g, k))
        return true;
    if (k->code == KEY_UP_ARROW || k->code == KEY_DOWN_ARROW) {
        int to = g->cursor + (k->code == KEY_UP_ARROW ? -1 : 1);

        if (to >= 0 && to < sitting_lapses_kept(sc->s))
            g->cursor = to;
        return true;
    }
    if (key_letter(k) == 'x') {
        take_back(sc, g);
        return true;
    }
    if (k->code == KEY_ENTER && g->scratch[SC_WITNESS_FINISH]) {
        act(out, EV_SEAL);
        return true;
    }
    return false;
}
