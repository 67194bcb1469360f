/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Feeling for the pressure at which the pulse goes: alone one number afterwards, with a second person step by step. */
#include <stdio.h>
#include <string.h>

#include "guide/views.h"

void act_inflate(const struct scene *sc, struct guide_action *out, const char *what)
{
    /* A rest that has run its time ends with the squeeze: no key of its own for what the clock already says. */
    if (rest_is_over(sc))
        act_item(out, EV_REST, "end");
    act_item(out, EV_INFLATE, what);
}

void page_estimate(const struct scene *sc, struct page *pg)
{
    int64_t from = sitting_inflate_from_ms(sc->s, sc->p, INFLATION_PALPATE), left = from - sc->now_ms;
    char figure[16];

    text_copy(pg->title, sizeof pg->title, "Where does the pulse go?");
    if (left > 0) {
        say_countdown(figure, left);
        text_copy(pg->big, sizeof pg->big, figure);
        text_copy(pg->big_note, sizeof pg->big_note, "until the cuff may go up again");
        pg->is_ticking = true;
        pg->big_ms = left;
    }
    if (sc->s->is_pulse_absent)
        page_line(pg, LINE_INSTRUCTION, "No pulse was felt. Try another place on the artery, or pass over the estimate with w: "
                                        "then pump to %d.", (int)sc->p->value[KEY_NO_ESTIMATE_FLOOR_MMHG]);
    else if (sc->g->has_second)
        page_line(pg, LINE_INSTRUCTION, "Fingers on the wrist. Pump to %d, then up by %d at a time until the pulse goes.",
                  (int)sc->p->value[KEY_PALPATE_START_MMHG], (int)sc->p->value[KEY_PALPATE_STEP_MMHG]);
    else
        page_line(pg, LINE_INSTRUCTION, "Fingers on the wrist. Pump to %d, then up by %d at a time. Note where the pulse goes, then "
                  "let all air out.", (int)sc->p->value[KEY_PALPATE_START_MMHG], (int)sc->p->value[KEY_PALPATE_STEP_MMHG]);
    irregular_line(sc, pg);
    add_cost(pg, RULE_ESTIMATE_MISSING);
    page_line(pg, LINE_NOTE, "%s", sc->g->has_second ? "The second person keeps the keys from here on."
                                                     : "Both hands are yours after the next key.");
    page_key(pg, "space", "squeezing now");
    page_key(pg, "n", "no pulse to feel");
    if (sc->p->value[KEY_USUAL] && sc->s->is_return && sc->s->purpose != PURPOSE_ASSESSMENT && sc->s->arm_epoch <= 1)
        page_key(pg, "v", "usual value instead");
    if (sc->s->is_pulse_absent)
        page_key(pg, "w", "pass over, because");
}

bool key_estimate(const struct scene *sc, struct guide *g, const struct key *k, struct guide_action *out)
{
    switch (key_letter(k)) {
    case ' ':
        act_inflate(sc, out, "palpate");
        return true;
    case 'n':
        if (rest_is_over(sc))
            act_item(out, EV_REST, "end");
        act(out, EV_NOPULSE);
        return true;
    case 'v':
        if (!sc->p->value[KEY_USUAL])
            return false;
        guide_open_view(g, VIEW_USUAL);
        return true;
    case 'w':
        ask_text(g, EV_WAIVE, rule_id(RULE_ESTIMATE_MISSING));
        return true;
    default:
        return false;
    }
}

static void up_for(const struct scene *sc, struct page *pg, const char *what)
{
    int64_t up = sc->now_ms - sc->s->inflate_ms;

    say_clock(pg->big, up);
    pg->is_ticking = true;
    pg->big_ms = up > 0 ? up : 0;
    text_copy(pg->big_note, sizeof pg->big_note, what);
    if (up > protocol_ms(sc->p, KEY_INFLATION_LONG_S))
        page_line(pg, LINE_CAUTION, "The cuff has been up for long. Let all air out now.");
}

void page_palpating(const struct scene *sc, struct page *pg)
{
    up_for(sc, pg, "feeling for the pulse");
    page_key(pg, "space", "all air out");
    if (sc->s->is_standing)
        page_key(pg, "f", "feels faint: all air out");
    page_key(pg, "s", "stop here");
}

/* The pressure of the next step, moved by the arrows where the pump went elsewhere. */
static int32_t next_step_mmhg(const struct scene *sc)
{
    int32_t step = sc->p->value[KEY_PALPATE_STEP_MMHG];
    int32_t from = sc->s->felt_mmhg > 0 ? sc->s->felt_mmhg + step : sc->p->value[KEY_PALPATE_START_MMHG];

    return from + sc->g->scratch[SC_RAISED] * step;
}

void page_palpating_steps(const struct scene *sc, struct page *pg)
{
    char figure[16];

    text_copy(pg->title, sizeof pg->title, sc->s->gone_mmhg > 0 ? "Let all air out" : "Pump to");
    if (sc->s->gone_mmhg == 0) {
        say_mmhg(sc, figure, next_step_mmhg(sc));
        text_copy(pg->big, sizeof pg->big, figure);
        text_copy(pg->big_note, sizeof pg->big_note, "is the pulse there?");
    }
    if (sc->s->felt_mmhg > 0) {
        say_mmhg(sc, figure, sc->s->felt_mmhg);
        page_line(pg, LINE_ROW, "felt up to %s", figure);
    }
    if (sc->s->gone_mmhg > 0) {
        say_mmhg(sc, figure, sc->s->gone_mmhg);
        page_line(pg, LINE_ROW, "gone at %s", figure);
    }
    if (sc->now_ms - sc->s->inflate_ms > protocol_ms(sc->p, KEY_INFLATION_LONG_S))
        page_line(pg, LINE_CAUTION, "The cuff has been up for long. Let all air out now.");
    page_key(pg, "space", sc->s->gone_mmhg > 0 ? "all air out" : "still felt");
    if (sc->s->gone_mmhg == 0) {
        page_key(pg, "g", "gone");
        page_key(pg, "up", "higher");
        page_key(pg, "down", "lower");
    }
    page_key(pg, "e", "all air out");
    if (sc->s->is_standing)
        page_key(pg, "f", "feels faint: all air out");
    page_key(pg, "s", "stop here");
}

bool key_palpating_steps(const struct scene *sc, struct guide *g, const struct key *k, struct guide_action *out)
{
    int letter = key_letter(k);
    struct event *ev;

    if (k->code == KEY_UP_ARROW || k->code == KEY_DOWN_ARROW) {
        int by = k->code == KEY_UP_ARROW ? 1 : -1;
        int32_t to = next_step_mmhg(sc) + by * sc->p->value[KEY_PALPATE_STEP_MMHG];

        if (to > 0 && to <= 300)
            g->scratch[SC_RAISED] += by;
        return true;
    }
    if (letter == 'e' || (letter == ' ' && sc->s->gone_mmhg > 0)) {
        act(out, EV_EMPTY);
        return true;
    }
    if (letter == 'f' && faint_key(sc, g, out))
        return true;
    if (letter != ' ' && letter != 'g')
        return false;
    ev = act(out, EV_PALPATE);
    text_copy(ev->item, sizeof ev->item, letter == ' ' ? "felt" : "gone");
    ev->value = next_step_mmhg(sc);
    return true;
}

void page_estimate_entry(const struct scene *sc, struct page *pg)
{
    struct page_line *line;

    text_copy(pg->title, sizeof pg->title, "Where did the pulse go?");
    line = page_line(pg, LINE_FIELD, "pulse gone at");
    show_typed(sc, line);
    line->is_current = true;
    line->is_editing = sc->is_field;
    page_line(pg, LINE_INSTRUCTION, "The pressure at which it could no longer be felt, to the nearest line of the dial.");
    page_key(pg, "enter", "accept");
    if (!sc->is_field) {
        page_key(pg, "space", "squeezing again");
        page_key(pg, "n", "no pulse to feel");
    }
}

bool key_estimate_entry(const struct scene *sc, struct guide *g, const struct key *k, struct guide_action *out)
{
    int32_t top = sc->s->gauge_top_mmhg > 0 ? sc->s->gauge_top_mmhg : 300;
    int64_t mmhg;

    if (!sc->is_field)
        return key_estimate(sc, g, k, out);
    if (number_key(g, k, top, &mmhg)) {
        struct event *ev = act(out, EV_PALPATE);

        text_copy(ev->item, sizeof ev->item, "gone");
        ev->value = mmhg;
    }
    return true;
}

void page_usual(const struct scene *sc, struct page *pg)
{
    struct page_line *line;

    text_copy(pg->title, sizeof pg->title, "The usual systolic");
    page_line(pg, LINE_INSTRUCTION, "From the subject's card or record. It stands for the estimate, and only on a return visit.");
    line = page_line(pg, LINE_FIELD, "usual systolic");
    show_typed(sc, line);
    line->is_current = true;
    line->is_editing = true;
    page_key(pg, "enter", "accept");
    page_key(pg, "esc", "back");
}

bool key_usual(const struct scene *sc, struct guide *g, const struct key *k, struct guide_action *out)
{
    int64_t mmhg;

    if (k->code == KEY_ESCAPE) {
        guide_open_view(g, VIEW_AUTO);
    } else if (number_key(g, k, 300, &mmhg)) {
        if (rest_is_over(sc))
            act_item(out, EV_REST, "end");
        act(out, EV_USUAL)->value = mmhg;
    }
    return true;
}
