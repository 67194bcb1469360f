/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Reasons in words, stopping, and the menu of what may happen at any time. */
#include <stdio.h>
#include <string.h>

#include "guide/witness.h"
#include "stillarm/ground.h"

static const struct asked_text {
    enum event_kind kind;
    const char *title, *hint;
} ASKED[] = {
    { EV_WAIVE, "Pass over, because", "The reason stays beside it on the record." },
    { EV_LAPSE, "Not so: what was seen", "A few words; the sitting goes on." },
    { EV_STRIKE, "Taken back, because", "Such as: the wrong key. It stays on the record with the reason, taken back." },
    { EV_REOPEN, "No longer as it should be, because", "It is asked again afterwards." },
    { EV_STOP, "Stop here, because", "The sitting ends unfinished: all of it is kept, and there is no average." },
    { EV_VOID, "Give this one up, because", "It is kept and does not count." },
    { EV_CORRECT, "Corrected, because", "Both values stay on the log." },
    { EV_ACTED, "What was done?", "Such as: asked about symptoms, repeated, told the person in charge." },
    { EV_NOTE, "Note", "Written beside the sitting." },
    { EV_NOISE, "What was it?", "A noise or disturbance in which nobody spoke or moved." },
    { EV_INTERRUPT, "What was it?", "Somebody spoke or moved." },
    { EV_BARRED, "This arm may not be used, because", "The reason stays beside it on the record." },
    { EV_FREED, "It may be used after all, because", "Both stay on the record." },
    { EV_RECENT, "What, and when?", "Such as: coffee and bread 40 minutes ago; one tablet at 7." },
};

static const struct asked_text *asked(const struct scene *sc)
{
    for (size_t i = 0; i < ARRAY_LEN(ASKED); i++)
        if ((int32_t)ASKED[i].kind == sc->g->scratch[SC_TEXT_FOR])
            return &ASKED[i];
    return &ASKED[0];
}

/* What is passed over, and what that does to the number, as far as it is published. */
static void rule_lines(struct page *pg, enum rule rule)
{
    const struct ground *ground = ground_find(rule_id(rule));
    const struct rule_cost *cost = rule_cost(rule);

    if (ground != NULL)
        text_copy(page_line(pg, LINE_ITEM, "%s", ground->says)->value, sizeof pg->lines[0].value, ground->id);
    if (cost != NULL)
        page_line(pg, LINE_COST, "%s (%s)", cost->cost, cost->source);
}

void page_text(const struct scene *sc, struct page *pg)
{
    const struct asked_text *row = asked(sc);
    const char *shown = sc->entry;
    struct page_line *line;
    struct text t;

    text_copy(pg->title, sizeof pg->title, row->title);
    if (sc->g->pending[0].kind == EV_WAIVE || sc->g->pending[0].kind == EV_REOPEN || sc->g->pending[0].kind == EV_LAPSE) {
        int item = protocol_find_item(sc->p, sc->g->pending[0].item);

        if (item >= 0)
            page_line(pg, LINE_ITEM, "%s", sc->p->items[item].say);
        else
            rule_lines(pg, rule_named(sc->g->pending[0].item));
    }
    if (sc->g->pending[0].kind == EV_STRIKE)
        witness_noted_line(sc, pg, (int)sc->g->pending[0].value - 1);
    /* Only the end of a long text is shown: that is where typing goes on. */
    while (strlen(shown) > 72) {
        uint32_t c;
        size_t n = utf8_decode(shown, strlen(shown), &c);

        shown += n > 0 ? n : 1;
    }
    line = page_line(pg, LINE_FIELD, "in words");
    text_init(&t, line->value, sizeof line->value);
    text_add(&t, shown != sc->entry ? ".." : "");
    text_add(&t, shown);
    line->is_current = true;
    line->is_editing = true;
    page_line(pg, LINE_NOTE, "%s", row->hint);
    page_key(pg, "enter", row->kind == EV_LAPSE && sc->entry[0] == '\0' ? "only that" : "accept");
    page_key(pg, "esc", "back");
}

static bool text_is_sound(struct guide *g)
{
    if (is_plain_text(g->entry, EVENT_TEXT_MAX))
        return true;
    say_no(g, "not yet: a few words are needed, so that someone else can follow it later.");
    return false;
}

bool key_text(const struct scene *sc, struct guide *g, const struct key *k, struct guide_action *out)
{
    enum event_kind kind = (enum event_kind)g->scratch[SC_TEXT_FOR];
    struct event *ev;

    (void)sc;
    if (key_closes(g, k))
        return true;
    if (k->code != KEY_ENTER) {
        type_key(g, g->entry, sizeof g->entry, EVENT_TEXT_MAX, k);
        return true;
    }
    if (kind == EV_LAPSE && g->entry[0] == '\0')
        text_copy(g->entry, sizeof g->entry, "not so"); /* there may be no time for more */
    if (!text_is_sound(g))
        return true;
    if (kind == EV_STOP) {
        /* Kept in pending: the next page asks once more. */
        text_copy(g->pending[0].text, sizeof g->pending[0].text, g->entry);
        g->view = VIEW_STOP_SURE;
        return true;
    }
    ev = act(out, kind);
    *ev = g->pending[0];
    text_copy(ev->text, sizeof ev->text, g->entry);
    return true;
}

void page_stop_sure(const struct scene *sc, struct page *pg)
{
    text_copy(pg->title, sizeof pg->title, "Stop here?");
    page_line(pg, LINE_INSTRUCTION, "The sitting ends unfinished and cannot be taken up again. Everything so far is kept.");
    page_line(pg, LINE_ROW, "because: %s", sc->g->pending[0].text);
    page_line(pg, LINE_NOTE, "To go on later instead: esc, then q leaves it open.");
    page_key(pg, "y", "stop here");
    page_key(pg, "esc", "no, go on");
}

bool key_stop_sure(const struct scene *sc, struct guide *g, const struct key *k, struct guide_action *out)
{
    (void)sc;
    if (key_letter(k) == 'y') {
        *act(out, EV_STOP) = g->pending[0];
        return true;
    }
    if (k->code == KEY_ESCAPE || key_letter(k) == 'n') {
        guide_open_view(g, VIEW_AUTO);
        return true;
    }
    return false;
}

void page_menu(const struct scene *sc, struct page *pg)
{
    text_copy(pg->title, sizeof pg->title, "What happened?");
    page_line(pg, LINE_ROW, "i  somebody spoke");
    page_line(pg, LINE_ROW, "m  somebody moved");
    page_line(pg, LINE_ROW, "k  the cuff came off, or slipped");
    page_line(pg, LINE_ROW, "z  a noise, nobody spoke or moved");
    page_line(pg, LINE_ROW, "o  something is no longer as it should be");
    page_line(pg, LINE_ROW, "p  the pulse was counted again");
    page_line(pg, LINE_ROW, "g  another gauge");
    page_line(pg, LINE_ROW, "c  another cuff, or the arm measured again");
    page_line(pg, LINE_ROW, "b  an arm may not be used, or may after all");
    page_line(pg, LINE_ROW, "r  a recent meal, alcohol or medicine");
    if (sc->s->is_standing)
        page_line(pg, LINE_ROW, "f  the subject feels faint");
    page_line(pg, LINE_ROW, "t  a note");
    page_key(pg, "letter", "that one");
    page_key(pg, "esc", "back");
}

static void cuff_off(const struct scene *sc, struct guide_action *out)
{
    act_text(out, EV_MOVED, "the cuff came off");
    /* What was seen about the cuff on the arm is no longer so: it is asked again. */
    for (int i = 0; i < sc->p->item_count && out->count < GUIDE_EVENTS_MAX; i++)
        if (sc->p->items[i].step == STEP_CUFF && sc->s->items[i] == ITEM_CONFIRMED) {
            act_item(out, EV_REOPEN, sc->p->items[i].id);
            text_copy(out->events[out->count - 1].text, sizeof out->events[0].text, "the cuff came off");
        }
}

bool key_menu(const struct scene *sc, struct guide *g, const struct key *k, struct guide_action *out)
{
    if (key_closes(g, k))
        return true;
    switch (key_letter(k)) {
    case 'i':
        act_text(out, EV_INTERRUPT, "somebody spoke");
        return true;
    case 'm':
        act_text(out, EV_MOVED, "somebody moved");
        return true;
    case 'k':
        cuff_off(sc, out);
        return true;
    case 'z':
        ask_text(g, EV_NOISE, "");
        return true;
    case 'o':
        guide_open_view(g, VIEW_REOPEN);
        return true;
    case 'p':
        guide_open_view(g, VIEW_PULSE);
        return true;
    case 'g':
        guide_open_view(g, VIEW_KIT);
        return true;
    case 'c':
        guide_open_view(g, VIEW_WRAP);
        return true;
    case 'b':
        barred_open(sc, g);
        return true;
    case 'r':
        guide_open_view(g, VIEW_RECENT);
        return true;
    case 'f':
        return faint_key(sc, g, out);
    case 't':
        ask_text(g, EV_NOTE, "");
        return true;
    default:
        return false;
    }
}

/* The nth item that is confirmed or passed over; -1 past the last. */
static int settled_item(const struct scene *sc, int nth)
{
    for (int i = 0; i < sc->p->item_count; i++)
        if (sc->s->items[i] != ITEM_OPEN && nth-- == 0)
            return i;
    return -1;
}

static int settled_count(const struct scene *sc)
{
    int n = 0;

    while (settled_item(sc, n) >= 0)
        n++;
    return n;
}

void page_reopen(const struct scene *sc, struct page *pg)
{
    /* A window of ten rows round the cursor: a whole sitting's items do not fit a small screen. */
    int n = settled_count(sc), from = sc->g->cursor > 5 ? sc->g->cursor - 5 : 0;

    text_copy(pg->title, sizeof pg->title, "No longer as it should be");
    for (int i = from; i < n && i < from + 10; i++)
        page_line(pg, LINE_ROW, "%s", sc->p->items[settled_item(sc, i)].say)->is_current = i == sc->g->cursor;
    if (n == 0)
        page_line(pg, LINE_NOTE, "Nothing has been confirmed yet.");
    page_key(pg, "down", "next");
    page_key(pg, "up", "before");
    page_key(pg, "enter", "this one, because");
    page_key(pg, "esc", "back");
}

bool key_reopen(const struct scene *sc, struct guide *g, const struct key *k, struct guide_action *out)
{
    int n = settled_count(sc);

    (void)out;
    if (k->code == KEY_ESCAPE)
        guide_open_view(g, VIEW_AUTO);
    else if (k->code == KEY_UP_ARROW && g->cursor > 0)
        g->cursor--;
    else if (k->code == KEY_DOWN_ARROW && g->cursor + 1 < n)
        g->cursor++;
    else if (k->code == KEY_ENTER && settled_item(sc, g->cursor) >= 0)
        ask_text(g, EV_REOPEN, sc->p->items[settled_item(sc, g->cursor)].id);
    else
        return k->code != KEY_CHARACTER;
    return true;
}
