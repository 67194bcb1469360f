/* SPDX-License-Identifier: GPL-3.0-or-later */
/* A witnessed sitting: one person measures, another keeps the record. What happens comes in any order, so one page offers
 * every act all the time. It faces the one at the keys, but who sits there can see it too: it judges nothing. */
#include "guide/witness.h"

#include <stdio.h>
#include <string.h>

/* ---- the items, in the order of their steps ---- */

static int rank(const struct scene *sc, int item)
{
    return (int)sc->p->items[item].step * PROTOCOL_ITEMS_MAX + item;
}

/* Past either end it begins again at the other. */
static int neighbour(const struct scene *sc, int at, int by)
{
    int next = -1, end = at;

    for (int i = 0; i < sc->p->item_count; i++) {
        int way = by * rank(sc, i);

        if (way > by * rank(sc, at) && (next < 0 || way < by * rank(sc, next)))
            next = i;
        if (way < by * rank(sc, end))
            end = i;
    }
    return next >= 0 ? next : end;
}

static int first_item(const struct scene *sc)
{
    int first = 0;

    for (int i = 1; i < sc->p->item_count; i++)
        if (rank(sc, i) < rank(sc, first))
            first = i;
    return first;
}

/* From this one on, itself included, the last step's after all others: what another arm opened anew comes before the cuff
 * is off. -1 where nothing is open. */
static int open_from(const struct scene *sc, int at)
{
    int closing = -1;

    for (int n = 0; n < sc->p->item_count; n++, at = neighbour(sc, at, 1)) {
        if (sc->s->items[at] != ITEM_OPEN)
            continue;
        if (sc->p->items[at].step != STEP_CLOSING)
            return at;
        if (closing < 0)
            closing = at;
    }
    return closing;
}

int witness_item(const struct scene *sc)
{
    int at = sc->g->scratch[SC_WITNESS_AT] - 1, open;

    if (at < 0 || at >= sc->p->item_count)
        at = first_item(sc);
    if (sc->g->scratch[SC_WITNESS_PICKED])
        return at;
    open = open_from(sc, at);
    return open >= 0 ? open : at;
}

void witness_pick(struct guide *g, int item)
{
    g->scratch[SC_WITNESS_AT] = 1 + item;
    g->scratch[SC_WITNESS_PICKED] = 1;
}

int witness_item_beside(const struct scene *sc, int by)
{
    return neighbour(sc, witness_item(sc), by);
}

int witness_item_of_next_step(const struct scene *sc)
{
    int at = witness_item(sc), from = at;

    do
        at = neighbour(sc, at, 1);
    while (at != from && sc->p->items[at].step == sc->p->items[from].step);
    return at;
}

int witness_item_open(const struct scene *sc)
{
    return open_from(sc, first_item(sc));
}

/* ---- which page ---- */

/* Marks and values belong to one inflation: what was put by for it says nothing of the next. */
static int32_t put_by_mark(const struct scene *sc)
{
    return 2 * sc->s->reading_count + (sc->s->inflation == INFLATION_NONE);
}

bool witness_has_put_by(const struct scene *sc)
{
    return sc->g->scratch[SC_WITNESS_PUT_BY] == put_by_mark(sc);
}

void witness_put_by(const struct scene *sc, struct guide *g, bool is_put_by)
{
    g->scratch[SC_WITNESS_PUT_BY] = is_put_by ? put_by_mark(sc) : 0;
}

enum view view_witnessed(const struct scene *sc, enum step *step)
{
    const struct reading *current = sitting_current(sc->s);

    *step = sc->p->items[witness_item(sc)].step;
    if (sc->s->inflation != INFLATION_NONE)
        return sc->s->inflation == INFLATION_LISTEN && current != NULL && !witness_has_put_by(sc) ? VIEW_MARKS : VIEW_WITNESS;
    if (sc->g->scratch[SC_FAINT] && sc->s->is_standing)
        return VIEW_FAINT;
    if (sc->g->scratch[SC_EDIT] == 0 && alarm_is_due(sc))
        return VIEW_SEVERE;
    if (current == NULL || !current->is_empty || witness_has_put_by(sc))
        return VIEW_WITNESS;
    return entry_is_complete(sc, false) ? pair_view(sc) : VIEW_ENTRY;
}

/* What the entry is made of, from the first figure to the last `y`. */
static bool is_of_entry(enum view view)
{
    return view == VIEW_ENTRY || view == VIEW_READBACK || view == VIEW_HANDOVER || view == VIEW_PAIR_ENTRY || view == VIEW_PAIR_READBACK;
}

bool witness_leaves(const struct scene *sc, struct guide *g, const struct key *k)
{
    bool is_marks = sc->derived == VIEW_MARKS, is_entry = is_of_entry(sc->derived);

    if (!sitting_is_witnessed(sc->s) || sc->is_overlay || sc->is_field)
        return false;
    if (is_marks && key_letter(k) == 'c') {
        ask_text(g, EV_NOTE, "");
        return true;
    }
    if (!(is_entry && k->code == KEY_ESCAPE) && !(is_marks && (k->code == KEY_ESCAPE || k->code == KEY_TAB)))
        return false;
    witness_put_by(sc, g, true);
    return true;
}

void witness_leaves_key(const struct scene *sc, struct page *pg)
{
    bool is_marks = sc->derived == VIEW_MARKS, is_entry = is_of_entry(sc->derived);

    if (!sitting_is_witnessed(sc->s) || sc->is_overlay || sc->is_field || !(is_marks || is_entry))
        return;
    if (is_marks)
        page_key(pg, "c", "comment");
    page_key_named(pg, "esc", "all other acts");
}

/* ---- the page ---- */

/* What is on record of a step's items, for the rail: how many of them nothing is said of yet. */
void witness_rail(const struct scene *sc, enum step step, char out[8])
{
    int open = 0, all = 0;

    for (int i = 0; i < sc->p->item_count; i++) {
        all += sc->p->items[i].step == step;
        open += sc->p->items[i].step == step && sc->s->items[i] == ITEM_OPEN;
    }
    if (open > 0)
        snprintf(out, 8, "%d open", open % 100);
    else
        text_copy(out, 8, all > 0 ? "done" : "");
}

/* Between two inflations, as long as another may follow. */
static bool is_waiting(const struct scene *sc)
{
    const struct sitting *s = sc->s;

    return s->has_emptied && s->last_empty_ms >= s->rest_ended_ms && s->given[EV_TOLD] == 0;
}

/* The time since it began: how long it was to be is the measurer's to know. */
static void clock_of(const struct scene *sc, struct page *pg)
{
    const struct sitting *s = sc->s;
    const char *note;
    int64_t from;

    if (s->inflation != INFLATION_NONE) {
        from = s->inflate_ms;
        note = s->inflation == INFLATION_PALPATE ? "cuff up, feeling for the pulse" : "cuff up, listening";
    } else if (s->rest == REST_RUNNING) {
        from = s->rest_began_ms;
        note = "at rest";
    } else if (is_waiting(sc)) {
        from = s->last_empty_ms;
        note = "since all air was out";
    } else {
        return;
    }
    say_clock(pg->big, sc->now_ms - from);
    pg->is_ticking = true;
    pg->big_ms = sc->now_ms - from;
    text_copy(pg->big_note, sizeof pg->big_note, note);
}

static void add_part(struct text *t, const char *words)
{
    text_addf(t, "%s%s", t->len > 0 ? ", " : "", words);
}

/* What is on record so far, in a line: what was forgotten to be written is seen by its absence. */
static void record_line(const struct scene *sc, struct page *pg)
{
    const struct sitting *s = sc->s;
    char said[sizeof pg->lines[0].text], part[64];
    struct text t;

    text_init(&t, said, sizeof said);
    add_part(&t, s->arm != ARM_NONE ? arm_words(s->arm) : "no arm yet");
    if (s->arm_mm > 0) {
        say_mm(part, s->arm_mm);
        add_part(&t, part);
    }
    if (s->wrapped >= 0)
        add_part(&t, s->cuffs[s->wrapped].id);
    if (s->rest == REST_ENDED) {
        say_clock(part, s->rest_ended_ms - s->rest_began_ms);
        text_addf(&t, ", rest %s", part);
    }
    if (s->pulse_bpm > 0)
        text_addf(&t, ", pulse %d", (int)s->pulse_bpm);
    if (s->gone_mmhg > 0) {
        say_mmhg(sc, part, s->gone_mmhg);
        text_addf(&t, ", gone at %s", part);
    }
    if (s->reading_count > 0)
        text_addf(&t, ", %d reading%s", (int)s->reading_count, s->reading_count == 1 ? "" : "s");
    if (s->given[EV_TOLD] > 0)
        add_part(&t, "told");
    page_line(pg, LINE_ROW, "%s", said);
}

static void item_lines(const struct scene *sc, struct page *pg)
{
    static const char *const STATES[] = { "", "seen", "passed over", "not so", "not seen" };
    int at = witness_item(sc);

    for (int i = 0; i < sc->p->item_count; i++) {
        struct page_line *line;

        if (sc->p->items[i].step != sc->step)
            continue;
        line = page_line(pg, LINE_ITEM, "%s", sc->p->items[i].say);
        text_copy(line->value, sizeof line->value, STATES[sc->s->items[i]]);
        line->is_current = i == at;
    }
}

void page_witness(const struct scene *sc, struct page *pg)
{
    const struct reading *current = sitting_current(sc->s);
    struct text title;

    text_init(&title, pg->title, sizeof pg->title);
    text_addf(&title, "%s measures, %s keeps the record", sc->s->measurer, sc->s->witness);
    clock_of(sc, pg);
    record_line(sc, pg);
    if (current != NULL && current->is_empty)
        page_line(pg, LINE_ROW, "Reading %d: its values are still to be written.", (int)sc->s->reading_count);
    pair_named_line(sc, pg);
    if (sc->s->inflation == INFLATION_NONE && sc->s->last_inflation == INFLATION_LISTEN && sc->s->reading_count > 0)
        pair_lines(sc, pg, (int)sc->s->reading_count - 1);
    if (alarm_is_open(sc))
        page_line(pg, LINE_CAUTION, "Reading %d: an answer about it is still to be written: !", (int)sc->s->alarm_reading);
    pg->pinned = pg->line_count; /* on a small screen the items scroll below what is on record */
    page_line(pg, LINE_GAP, "%s", "");
    item_lines(sc, pg);
    witness_keys(sc, pg);
}

/* ---- the end ---- */

void witness_kept_lines(const struct scene *sc, struct page *pg)
{
    bool is_sealed = sc->s->phase == PHASE_SEALED;

    text_copy(pg->title, sizeof pg->title, is_sealed ? "Finished" : "Stopped here");
    page_line(pg, LINE_ROW, "%s", is_sealed ? "The record is complete." : "The sitting ended unfinished; all of it is kept.");
    page_line(pg, LINE_ROW, "It is kept for %s, who goes through it and then passes it on.", sc->s->witness);
    page_key(pg, "enter", "done");
}
