/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The summary, and the end. */
#include <stdio.h>
#include <string.h>

#include "guide/views.h"
#include "guide/worth_page.h"

#define READINGS_SHOWN 12 /* the latest; what is earlier stays on the record */

static int first_shown(const struct scene *sc)
{
    return sc->s->reading_count > READINGS_SHOWN ? sc->s->reading_count - READINGS_SHOWN : 0;
}

/* What is told of one reading stays in one piece: no line ends within it. */
#define GLUE "\xc2\xa0"

static void say_piece(const struct scene *sc, int i, char *out, size_t cap)
{
    const struct reading *r = &sc->s->readings[i];
    char one[24];
    struct text t;

    text_init(&t, out, cap);
    say_reading(sc, r, one);
    if (one[0] == 'n' && r->has_value[POINT_FIRST] && !sc->g->is_hidden) /* no values, but for the first */
        text_addf(&t, "%d:" GLUE "first" GLUE "sound" GLUE "%d", i + 1, (int)r->value_mmhg[POINT_FIRST]);
    else if (one[0] == 'n')
        text_addf(&t, "%d:" GLUE "no" GLUE "values", i + 1);
    else
        text_addf(&t, "%d:" GLUE "%s", i + 1, one);
    if (r->is_standing) {
        say_clock(one, r->stood_for_ms);
        text_addf(&t, GLUE "at" GLUE "%s", one);
    }
}

/* Rows are short on a small screen: the readings of an arm share a line, and say only where they do not count. */
static void arm_line(const struct scene *sc, struct page *pg, enum arm arm, bool is_standing)
{
    char said[sizeof pg->lines[0].text], one[80];
    struct text t;

    text_init(&t, said, sizeof said);
    for (int i = first_shown(sc); i < sc->s->reading_count; i++) {
        const struct reading *r = &sc->s->readings[i];

        if (r->arm != (int32_t)arm || (r->is_standing != 0) != is_standing)
            continue;
        say_piece(sc, i, one, sizeof one);
        text_addf(&t, "%s%s", t.len > 0 ? ",  " : "", one);
        if (r->voids != 0)
            text_add(&t, " does not count");
        else if (r->notes != 0)
            text_add(&t, " noted");
    }
    if (t.len > 0)
        page_line(pg, LINE_ROW, "%s%s   %s", arm_words((int32_t)arm), is_standing ? ", standing" : "", said);
}

static void reading_lines(const struct scene *sc, struct page *pg)
{
    for (int arm = ARM_LEFT; arm < ARM_COUNT; arm++) {
        arm_line(sc, pg, (enum arm)arm, false);
        arm_line(sc, pg, (enum arm)arm, true);
    }
    if (first_shown(sc) > 0)
        page_line(pg, LINE_NOTE, "The first %d stand on the record.", first_shown(sc));
}

/* A silent gap is said with its range: who measures next pumps above it. */
static void gap_line(const struct scene *sc, struct page *pg, int i)
{
    const struct reading *r = &sc->s->readings[i];

    if (!(r->notes & NOTE_GAP_HEARD))
        return;
    if (sc->g->is_hidden || pair_is_unshown(r))
        page_line(pg, LINE_ROW, "reading %d: a silent gap, its range covered", i + 1);
    else if (r->has_value[POINT_SILENT] && r->has_value[POINT_RETURN])
        page_line(pg, LINE_ROW, "reading %d: a silent gap from %d to %d; next time pump above it", i + 1,
                  (int)r->value_mmhg[POINT_SILENT], (int)r->value_mmhg[POINT_RETURN]);
    else
        page_line(pg, LINE_ROW, "reading %d: a silent gap was heard, its range not noted", i + 1);
}

static void verdict_notes(const struct scene *sc, struct page *pg)
{
    static const uint32_t said_already = NOTE_GAP_HEARD | NOTE_PAIR_DIFFERS; /* in lines of their own */

    for (int i = first_shown(sc); i < sc->s->reading_count; i++) {
        const struct reading *r = &sc->s->readings[i];

        pair_lines(sc, pg, i);
        for (int bit = 0; bit < VOID_REASON_COUNT; bit++)
            if (r->voids & (1u << bit))
                page_line(pg, LINE_NOTE, "reading %d: %s", i + 1, void_words(bit));
        gap_line(sc, pg, i);
        for (int bit = 0; bit < READING_REMARK_COUNT; bit++)
            if ((r->notes & ~said_already) & (1u << bit))
                page_line(pg, LINE_NOTE, "reading %d, note: %s", i + 1, note_words_of(sc->s, sc->p, r, bit));
    }
}

static bool say_average(const struct scene *sc, enum arm arm, char *out, size_t cap)
{
    struct average a;

    if (!sitting_average(sc->s, sc->p, arm, &a) || a.n <= 0)
        return false;
    if (sc->g->is_hidden)
        text_copy(out, cap, "covered");
    else
        category_say_average(sc->p->schemes, sc->p->scheme_count, a.systolic_sum_mmhg, a.diastolic_sum_mmhg, a.n, out, cap);
    return true;
}

/* One reading sufficed: because the protocol lets a low first one stand alone, not because one was forgotten. */
static bool is_alone(const struct scene *sc, enum arm arm)
{
    return sc->p->value[KEY_ALONE_BELOW_SYSTOLIC_MMHG] > 0 && sitting_counted(sc->s, arm) == 1 && sitting_needed(sc->s, sc->p, arm) == 1;
}

static void average_note(const struct scene *sc, struct page *pg, enum arm arm)
{
    if (!sc->g->is_hidden && is_alone(sc, arm))
        snprintf(pg->big_note, sizeof pg->big_note, "one reading, %s: below %d/%d it suffices", arm_words((int32_t)arm),
                 (int)sc->p->value[KEY_ALONE_BELOW_SYSTOLIC_MMHG], (int)sc->p->value[KEY_ALONE_BELOW_DIASTOLIC_MMHG]);
    else
        snprintf(pg->big_note, sizeof pg->big_note, "%s, %s", average_words(sc->p), arm_words((int32_t)arm));
}

static void average_lines(const struct scene *sc, struct page *pg)
{
    enum arm shown = guide_result_arm(sc->s, sc->p);
    char said[32];

    if (shown == ARM_NONE) {
        page_line(pg, LINE_CAUTION, "No reading counts, so there is no average.");
        return;
    }
    if (say_average(sc, shown, said, sizeof said) && !sc->g->is_hidden)
        text_copy(pg->big, sizeof pg->big, said);
    average_note(sc, pg, shown);
    if (sc->g->is_hidden)
        page_line(pg, LINE_NOTE, "Category and how exact are covered too: h shows them.");
    else
        guide_result_head_lines(sc->s, sc->p, shown, pg);
}

static void other_average_line(const struct scene *sc, struct page *pg)
{
    enum arm shown = guide_result_arm(sc->s, sc->p);
    char said[32];

    for (int arm = ARM_LEFT; arm < ARM_COUNT; arm++)
        if (arm != (int)shown && say_average(sc, (enum arm)arm, said, sizeof said))
            page_line(pg, LINE_ROW, "average of the %s: %s", arm_words(arm), said);
}

/* Whose value was very high or low is told by the value, so it is covered with it. */
static void alarm_lines(const struct scene *sc, struct page *pg)
{
    if (!sc->g->is_hidden)
        guide_alarm_lines(sc->s, sc->p, pg);
}

/* Cut, not rounded: 19.99 is no 20.0. */
static void say_fall(int32_t x100, char out[24])
{
    int32_t size = x100 < 0 ? -x100 : x100;

    snprintf(out, 24, "%d.%d %s", (int)(size / 100), (int)(size % 100 / 10), x100 < 0 ? "higher" : "lower");
}

static void standing_line(const struct scene *sc, struct page *pg)
{
    int32_t sys, dia;
    char sys_said[24], dia_said[24];

    if (!sitting_drop_x100(sc->s, sc->p, &sys, &dia))
        return;
    say_fall(sys, sys_said);
    say_fall(dia, dia_said);
    if (sc->g->is_hidden)
        page_line(pg, LINE_ROW, "standing against lying: covered");
    else
        page_line(pg, LINE_ROW, "standing: systolic %s, diastolic %s", sys_said, dia_said);
}

static void remark_lines(const struct scene *sc, struct page *pg)
{
    unsigned remarks = sitting_remarks(sc->s, sc->p);

    if (sc->g->is_hidden) /* what these say is made of the figures */
        remarks &= ~(unsigned)(REMARK_ARMS_DIFFER | REMARK_STANDING_DROP | REMARK_SEVERE_ALONE);
    for (int arm = ARM_LEFT; arm < ARM_COUNT; arm++)
        if (sc->s->is_barred[arm]) {
            page_line(pg, LINE_NOTE, "note: the %s may not be used; the reason is on the record", arm_words(arm));
            remarks &= ~(unsigned)REMARK_ARM_BARRED;
        }
    for (int bit = 0; bit < SITTING_REMARK_COUNT; bit++)
        if (remarks & (1u << bit))
            page_line(pg, LINE_NOTE, "note: %s (%s)", rule_words(SITTING_REMARK_WORDS[bit]), SITTING_REMARK_WORDS[bit]);
    if (sc->s->given[EV_RECENT] > 0)
        page_line(pg, LINE_NOTE, "The last meal, alcohol or medicine is on the record (%d x).", (int)sc->s->given[EV_RECENT]);
}

static bool told_is_owed(const struct scene *sc)
{
    return sc->p->value[KEY_TOLD] && sc->s->given[EV_TOLD] == 0;
}

/* First the result itself, which stays in view; then what is still to be done; then what explains it. */
void page_closing(const struct scene *sc, struct page *pg)
{
    text_copy(pg->title, sizeof pg->title, "The result");
    average_lines(sc, pg);
    pg->pinned = pg->line_count;
    if (sc->s->is_severe_open)
        page_line(pg, LINE_CAUTION, "%s is not answered yet: a, what was done.", sc->g->is_hidden ? "A value" : "A very high or low value");
    if (told_is_owed(sc))
        page_line(pg, LINE_INSTRUCTION, "Tell the subject the numbers, spoken and written.");
    if (sc->s->is_standing)
        page_line(pg, LINE_INSTRUCTION, "The subject may sit or lie down again.");
    items_lines(sc, pg, STEP_CLOSING);
    if (!sc->g->is_hidden)
        guide_result_edge_line(sc->s, sc->p, guide_result_arm(sc->s, sc->p), pg);
    reading_lines(sc, pg);
    other_average_line(sc, pg);
    standing_line(sc, pg);
    alarm_lines(sc, pg);
    if (!sc->g->is_hidden)
        guide_result_rest_lines(sc->s, sc->p, guide_result_arm(sc->s, sc->p), pg);
    verdict_notes(sc, pg);
    remark_lines(sc, pg);
    guide_deviation_lines(sc->p, pg);
    if (told_is_owed(sc))
        page_key(pg, "t", "told");
    if (scene_lacks(sc, STEP_CLOSING))
        items_keys(sc, pg, STEP_CLOSING);
    if (sc->s->is_severe_open)
        page_key(pg, "a", "what was done");
    page_key(pg, "f", "finish");
    page_key(pg, "b", "the parts");
    page_key(pg, "+", "one more reading");
    if (sc->s->last_inflation == INFLATION_LISTEN)
        page_key(pg, "c", "correct the last");
}

bool key_closing(const struct scene *sc, struct guide *g, const struct key *k, struct guide_action *out)
{
    switch (key_letter(k)) {
    case 'b':
        guide_open_view(g, VIEW_WORTH);
        return true;
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
    if (sitting_is_witnessed(sc->s)) {
        witness_kept_lines(sc, pg);
        return;
    }
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
    if (sitting_is_witnessed(sc->s)) {
        witness_kept_lines(sc, pg);
        return;
    }
    text_copy(pg->title, sizeof pg->title, "Stopped here");
    page_line(pg, LINE_INSTRUCTION, "The sitting ended unfinished. All of it is kept; there is no average and no category.");
    reading_lines(sc, pg);
    alarm_lines(sc, pg);
    verdict_notes(sc, pg);
    page_key(pg, "enter", "done");
}

bool key_stopped(const struct scene *sc, struct guide *g, const struct key *k, struct guide_action *out)
{
    return key_debrief(sc, g, k, out);
}
