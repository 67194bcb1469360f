/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The summary, and the end. */
#include <stdio.h>
#include <string.h>

#include "guide/views.h"

static void add_voids_short(const struct reading *r, struct page_line *line)
{
    struct text t;

    text_init(&t, line->value, sizeof line->value);
    text_add(&t, r->voids != 0 ? "does not count" : r->notes != 0 ? "counts, noted" : "counts");
}

static void reading_lines(const struct scene *sc, struct page *pg)
{
    char said[24];

    for (int i = 0; i < sc->s->reading_count; i++) {
        const struct reading *r = &sc->s->readings[i];

        say_reading(sc, r, said);
        add_voids_short(r, page_line(pg, LINE_ROW, "%d  %s  %s", i + 1, arm_words(r->arm), said));
        for (int bit = 0; bit < VOID_REASON_COUNT; bit++)
            if (r->voids & (1u << bit))
                page_line(pg, LINE_NOTE, "   %s", void_words(bit));
        for (int bit = 0; bit < READING_REMARK_COUNT; bit++)
            if (r->notes & (1u << bit))
                page_line(pg, LINE_NOTE, "   note: %s", note_words(bit));
    }
}

static bool say_average(const struct scene *sc, enum arm arm, char *out, size_t cap)
{
    struct average a;

    if (!sitting_average(sc->s, sc->p, arm, &a) || a.n <= 0)
        return false;
    snprintf(out, cap, "%d/%d", (int)average_mmhg(a.systolic_sum_mmhg, a.n), (int)average_mmhg(a.diastolic_sum_mmhg, a.n));
    return true;
}

static void average_lines(const struct scene *sc, struct page *pg)
{
    char said[24];
    enum arm shown = ARM_NONE;

    for (int arm = ARM_LEFT; arm < ARM_COUNT; arm++) {
        if (!say_average(sc, (enum arm)arm, said, sizeof said))
            continue;
        if (shown == ARM_NONE || arm == sc->s->arm)
            shown = (enum arm)arm;
    }
    if (shown == ARM_NONE) {
        page_line(pg, LINE_CAUTION, "No reading counts, so there is no average.");
        return;
    }
    say_average(sc, shown, said, sizeof said);
    if (!sc->g->is_hidden)
        text_copy(pg->big, sizeof pg->big, said);
    snprintf(pg->big_note, sizeof pg->big_note, "%s, %s", average_words(sc->p), arm_words((int32_t)shown));
    for (int arm = ARM_LEFT; arm < ARM_COUNT; arm++)
        if (arm != (int)shown && say_average(sc, (enum arm)arm, said, sizeof said))
            page_line(pg, LINE_ROW, "%s: %s", arm_words(arm), sc->g->is_hidden ? "covered" : said);
}

static void remark_lines(const struct scene *sc, struct page *pg)
{
    static const char *const WORDS[SITTING_REMARK_COUNT] = {
        "the clock was set back while the program was away",
        "the arms differ by more than the protocol allows for",
        "another arm than last time",
        "the readings did not settle before the most were taken",
        "the pressure fell on standing by as much as the protocol notes, or more",
        "a very high value was not repeated on the same arm",
        "the cuff's bladder is small for this arm",
        "the arm lies between two cuffs' ranges; the larger one was worn",
        "an arm may not be used",
        "the subject has symptoms",
    };
    unsigned remarks = sitting_remarks(sc->s, sc->p);

    for (int bit = 0; bit < SITTING_REMARK_COUNT; bit++)
        if (remarks & (1u << bit))
            page_line(pg, LINE_NOTE, "note: %s", WORDS[bit]);
}

static bool told_is_owed(const struct scene *sc)
{
    return sc->p->value[KEY_TOLD] && sc->s->given[EV_TOLD] == 0;
}

void page_closing(const struct scene *sc, struct page *pg)
{
    text_copy(pg->title, sizeof pg->title, "The result");
    average_lines(sc, pg);
    reading_lines(sc, pg);
    remark_lines(sc, pg);
    if (sc->s->is_severe_open)
        page_line(pg, LINE_CAUTION, "A very high value is not answered yet: a, what was done.");
    if (told_is_owed(sc))
        page_line(pg, LINE_INSTRUCTION, "Tell the subject the numbers, spoken and written. One visit is no diagnosis.");
    items_lines(sc, pg, STEP_CLOSING);
    if (told_is_owed(sc))
        page_key(pg, "t", "told, spoken and written");
    if (scene_lacks(sc, STEP_CLOSING))
        items_keys(sc, pg, STEP_CLOSING);
    if (sc->s->is_severe_open)
        page_key(pg, "a", "what was done");
    page_key(pg, "f", "finish");
    page_key(pg, "+", "one more reading");
    if (sc->s->last_inflation == INFLATION_LISTEN)
        page_key(pg, "c", "correct the last one");
}

bool key_closing(const struct scene *sc, struct guide *g, const struct key *k, struct guide_action *out)
{
    switch (key_letter(k)) {
    case 't':
        act(out, EV_TOLD);
        return true;
    case 'f':
        act(out, EV_SEAL);
        return true;
    case '+':
        g->scratch[SC_MORE] = 1 + sc->s->reading_count;
        return true;
    case 'a':
        ask_text(g, EV_ACTED, "");
        return true;
    case 'c':
        if (sc->s->reading_count == 0)
            return false;
        guide_open_view(g, VIEW_CORRECT);
        return true;
    default:
        return items_key(sc, g, k, out, STEP_CLOSING);
    }
}

void page_debrief(const struct scene *sc, struct page *pg)
{
    guide_debrief(sc->s, sc->p, &sc->g->attempts, pg);
    page_key(pg, "enter", "done");
}

bool key_debrief(const struct scene *sc, struct guide *g, const struct key *k, struct guide_action *out)
{
    (void)sc;
    (void)g;
    if (k->code != KEY_ENTER && k->code != KEY_ESCAPE && key_letter(k) != 'q')
        return false;
    out->wish = GUIDE_FINISHED;
    return true;
}

void page_stopped(const struct scene *sc, struct page *pg)
{
    text_copy(pg->title, sizeof pg->title, "Stopped here");
    page_line(pg, LINE_INSTRUCTION, "The sitting ended unfinished. All of it is kept; there is no average and no category.");
    reading_lines(sc, pg);
    page_key(pg, "enter", "done");
}

bool key_stopped(const struct scene *sc, struct guide *g, const struct key *k, struct guide_action *out)
{
    return key_debrief(sc, g, k, out);
}
