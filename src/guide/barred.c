/* SPDX-License-Identifier: GPL-3.0-or-later */
/* An arm that may not be used, and why; both so: the sitting ends here, kindly. */
#include <stdio.h>
#include <string.h>

#include "guide/views.h"

/* Published lists of what bars an arm: JOB-1 and, for cleared nodes, JOB-2 and JOB-3. In words that tell nothing more
 * to who sits there, or stands behind, than that the arm is spared; `in words` is for those who must say more. */
static const char *const REASONS[] = {
    "skin, or a dressing",
    "swelling, or a cast",
    "weaker or thinner arm",
    "a line or tube",
    "vessel access",
    "operated on that side",
    "no cuff fits",
};

bool is_no_arm_left(const struct scene *sc)
{
    return sc->s->is_barred[ARM_LEFT] && sc->s->is_barred[ARM_RIGHT];
}

void barred_open(const struct scene *sc, struct guide *g)
{
    /* Where an arm is chosen, the one that is offered; later the one in use. */
    int32_t arm = sc->s->arm != ARM_NONE && sc->view != VIEW_ARM ? sc->s->arm : (int32_t)suggested_arm(sc);

    /* Where one is barred already, it is the one that may be given free. */
    if (sc->s->is_barred[ARM_LEFT] != sc->s->is_barred[ARM_RIGHT] && sc->s->arm == ARM_NONE)
        arm = sc->s->is_barred[ARM_LEFT] ? ARM_LEFT : ARM_RIGHT;
    guide_open_view(g, VIEW_BARRED);
    g->scratch[SC_BARRED_ARM] = arm;
    g->scratch[SC_BARRED_WHY] = 0;
}

static int32_t chosen_arm(const struct scene *sc)
{
    int32_t arm = sc->g->scratch[SC_BARRED_ARM];

    return arm > ARM_NONE && arm < ARM_COUNT ? arm : ARM_NONE;
}

void page_barred(const struct scene *sc, struct page *pg)
{
    int32_t arm = chosen_arm(sc);

    if (arm == ARM_NONE)
        text_copy(pg->title, sizeof pg->title, "Which arm may not be used?");
    else
        snprintf(pg->title, sizeof pg->title, "The %s may not be used, because", arm_words(arm));
    for (size_t i = 0; i < ARRAY_LEN(REASONS); i++)
        page_line(pg, LINE_ROW, "%d  %s", (int)i + 1, REASONS[i]);
    page_line(pg, LINE_ROW, "t  something else, in words");
    page_line(pg, LINE_INSTRUCTION, "Ask quietly: a reason is nobody else's business.");
    if (sc->g->scratch[SC_BARRED_WHY] != 0)
        page_line(pg, LINE_CAUTION, "%c is marked: l or r, which arm is it?", sc->g->scratch[SC_BARRED_WHY]);
    if (arm != ARM_NONE && sc->s->is_barred[arm])
        page_line(pg, LINE_NOTE, "The %s is marked as not to be used already.", arm_words(arm));
    page_line(pg, LINE_NOTE, "As a national survey keeps it (NHANES, published). After an operation guidance differs and no study has "
              "settled the risk: your site's procedure decides.");
    page_key(pg, "1-7", "that is why");
    page_key(pg, "t", "in words");
    if (arm != ARM_LEFT)
        page_key(pg, "l", "the left arm");
    if (arm != ARM_RIGHT)
        page_key(pg, "r", "the right arm");
    if (arm != ARM_NONE && sc->s->is_barred[arm])
        page_key(pg, "f", "it may be used after all");
    page_key(pg, "esc", "back");
}

static void bar(const struct scene *sc, struct guide *g, struct guide_action *out, int32_t arm, int letter)
{
    int32_t other = arm == ARM_LEFT ? ARM_RIGHT : ARM_LEFT;

    g->scratch[SC_BARRED_WHY] = 0;
    if (letter == 't') {
        ask_text(g, EV_BARRED, ARM_WORDS[arm]);
        return;
    }
    act_item(out, EV_BARRED, ARM_WORDS[arm]);
    text_copy(out->events[0].text, sizeof out->events[0].text, REASONS[letter - '1']);
    /* The page goes on with the arm in use as if nothing had been: say what was written. */
    if (sc->s->arm == other && !sc->s->is_barred[arm])
        snprintf(g->note, sizeof g->note, "The %s is left out: the %s goes on.", arm_words(arm), arm_words(other));
}

bool key_barred(const struct scene *sc, struct guide *g, const struct key *k, struct guide_action *out)
{
    int letter = key_letter(k);
    int32_t arm = chosen_arm(sc);
    bool is_reason = letter == 't' || (letter >= '1' && letter < '1' + (int)ARRAY_LEN(REASONS));

    if (key_closes(g, k))
        return true;
    if (letter == 'l' || letter == 'r') {
        g->scratch[SC_BARRED_ARM] = letter == 'l' ? ARM_LEFT : ARM_RIGHT;
        if (g->scratch[SC_BARRED_WHY] != 0)
            bar(sc, g, out, g->scratch[SC_BARRED_ARM], g->scratch[SC_BARRED_WHY]);
        return true;
    }
    if (is_reason && arm == ARM_NONE) {
        g->scratch[SC_BARRED_WHY] = letter;
        return true;
    }
    if (is_reason) {
        bar(sc, g, out, arm, letter);
        return true;
    }
    if (letter == 'f' && arm != ARM_NONE && sc->s->is_barred[arm]) {
        ask_text(g, EV_FREED, ARM_WORDS[arm]);
        return true;
    }
    return false;
}

void page_no_arm(const struct scene *sc, struct page *pg)
{
    text_copy(pg->title, sizeof pg->title, sc->s->reading_count > 0 ? "No more readings today" : "Not measured today");
    page_line(pg, LINE_INSTRUCTION, "Neither arm may be used, so the sitting ends here. That is no one's fault, and all of it is kept.");
    page_line(pg, LINE_INSTRUCTION, "Tell the subject so, and what your site's procedure says for this.");
    page_key(pg, "enter", "stop, with this reason");
    page_key(pg, "f", "an arm may be used after all");
}

bool key_no_arm(const struct scene *sc, struct guide *g, const struct key *k, struct guide_action *out)
{
    (void)out;
    switch (key_letter(k)) {
    case '\n':
        ask_text(g, EV_STOP, "");
        text_copy(g->pending[0].text, sizeof g->pending[0].text, "neither arm may be used");
        g->view = VIEW_STOP_SURE;
        return true;
    case 'f':
        barred_open(sc, g);
        g->scratch[SC_BARRED_ARM] = ARM_LEFT;
        return true;
    default:
        return false;
    }
}
