/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The rest, and what is done in it: the kit looked at, the pulse counted. */
#include <stdio.h>
#include <string.h>

#include "guide/views.h"

static bool lacks_thing(const struct scene *sc, enum step step, bool is_item)
{
    for (int i = 0; i < sc->missing_count; i++)
        if (sc->missing[i].step == step && (sc->missing[i].item >= 0) == is_item)
            return true;
    return false;
}

static bool lacks_gauge(const struct scene *sc)
{
    return lacks_thing(sc, STEP_KIT, false);
}

static bool lacks_kit_items(const struct scene *sc)
{
    return lacks_thing(sc, STEP_KIT, true);
}

void pulse_line(const struct scene *sc, struct page *pg)
{
    struct page_line *line = page_line(pg, LINE_FIELD, "pulse, beats a minute");

    text_copy(line->value, sizeof line->value, sc->entry);
    line->is_current = true;
    line->is_editing = sc->is_field;
    page_key(pg, "0-9", "the pulse, then r or i");
    if (sc->entry[0] == '\0')
        return; /* until there is a figure, i is somebody speaking */
    page_key(pg, "r", "regular");
    page_key(pg, "i", "irregular");
}

bool pulse_key(const struct scene *sc, struct guide *g, const struct key *k, struct guide_action *out)
{
    int letter = key_letter(k);
    int64_t bpm;

    (void)sc;
    if (k->code == KEY_CHARACTER && letter != 'r' && letter != 'i') {
        type_figure(g, 12, k);
        return true;
    }
    if (k->code == KEY_BACKSPACE) {
        type_figure(g, 12, k);
        return true;
    }
    if (letter != 'r' && letter != 'i' && letter != '\n')
        return false;
    if (g->entry[0] == '\0') {
        say_no(g, "not yet: type the beats in a minute first, then r for regular or i for irregular.");
    } else if (!parse_figure(g->entry, &bpm)) {
        say_no(g, "not yet: the pulse is a whole number of beats a minute, such as 72.");
    } else if (letter == '\n') {
        say_no(g, "not yet: was it regular? r for regular, i for irregular.");
    } else {
        struct event *ev = act(out, EV_PULSE);

        text_copy(ev->item, sizeof ev->item, letter == 'r' ? "regular" : "irregular");
        ev->value = bpm;
        g->scratch[SC_AUTO] = 1; /* an Enter by habit after it means nothing */
    }
    return true;
}

void irregular_line(const struct scene *sc, struct page *pg)
{
    if (sc->s->pulse_bpm > 0 && sc->s->is_irregular && sitting_readings_lack(sc->s, sc->p) != RULE_NONE)
        page_line(pg, LINE_NOTE, "The pulse is irregular: at least %d readings will be taken.",
                  (int)sc->p->value[KEY_READINGS_IRREGULAR]);
}

/* What can be done meanwhile, in the order of usefulness; once the rest is whole it is what is still owed. */
static void meanwhile_page(const struct scene *sc, struct page *pg, bool is_whole)
{
    if (lacks_gauge(sc)) {
        page_line(pg, LINE_INSTRUCTION, is_whole ? "Now: which gauge?" : "Meanwhile: which gauge?");
        gauge_lines(sc, pg);
    } else if (lacks_kit_items(sc)) {
        page_line(pg, LINE_INSTRUCTION, is_whole ? "Now: look at the kit." : "Meanwhile, look at the kit:");
        items_lines(sc, pg, STEP_KIT);
        items_keys(sc, pg, STEP_KIT);
    } else if (sc->s->pulse_bpm == 0) {
        page_line(pg, LINE_INSTRUCTION, is_whole ? "Now: count the pulse at the wrist, without a word."
                                                 : "In the last minute count the pulse at the wrist, without a word.");
        pulse_line(sc, pg);
    }
}

static bool meanwhile_key(const struct scene *sc, struct guide *g, const struct key *k, struct guide_action *out)
{
    if (lacks_gauge(sc))
        return gauge_key(sc, g, k, out);
    if (lacks_kit_items(sc))
        return items_key(sc, g, k, out, STEP_KIT);
    if (sc->s->pulse_bpm == 0 && (sc->is_field || (key_letter(k) >= '0' && key_letter(k) <= '9')))
        return pulse_key(sc, g, k, out);
    return false;
}

static const char *quiet_words(const struct scene *sc)
{
    return lies_first(sc->p) ? "Nobody speaks. Lying flat, the arm supported." : "Nobody speaks. Back and arm supported, feet flat on the floor.";
}

static void page_rest_before(const struct scene *sc, struct page *pg)
{
    char whole[16];

    say_clock(whole, protocol_ms(sc->p, KEY_REST_S));
    text_copy(pg->title, sizeof pg->title, "Rest");
    text_copy(pg->big, sizeof pg->big, whole);
    text_copy(pg->big_note, sizeof pg->big_note, lies_first(sc->p) ? "to lie still" : "to sit still");
    if (sc->s->rest == REST_ENDED)
        page_line(pg, LINE_INSTRUCTION, "The rest before is too long ago by now. Once more, from the beginning.");
    else if (sc->s->given[EV_REST] > 0)
        page_line(pg, LINE_INSTRUCTION, "The rest did not hold: somebody spoke or moved, or the program was away. From the beginning.");
    page_line(pg, LINE_INSTRUCTION, "%s", quiet_words(sc));
    add_cost(pg, RULE_REST_SHORT);
    page_key(pg, "space", "the rest begins");
}

void page_rest(const struct scene *sc, struct page *pg)
{
    int64_t left = protocol_ms(sc->p, KEY_REST_S) - (sc->now_ms - sc->s->rest_began_ms);
    char figure[16];

    if (sc->s->rest != REST_RUNNING) {
        page_rest_before(sc, pg);
        return;
    }
    text_copy(pg->title, sizeof pg->title, left > 0 ? "Rest" : "The rest is whole");
    say_countdown(figure, left);
    text_copy(pg->big, sizeof pg->big, figure);
    pg->is_ticking = true;
    pg->big_ms = left > 0 ? left : 0;
    say_clock(figure, protocol_ms(sc->p, KEY_REST_S));
    if (left > 0)
        snprintf(pg->big_note, sizeof pg->big_note, "left of %s", figure);
    else
        snprintf(pg->big_note, sizeof pg->big_note, "the whole %s is over", figure);
    page_line(pg, LINE_NOTE, "%s", quiet_words(sc));
    meanwhile_page(sc, pg, left <= 0);
    irregular_line(sc, pg);
    if (left > 0)
        add_cost(pg, RULE_REST_SHORT);
    page_key(pg, "space", "the rest ends");
    if (!sc->is_field)
        page_key(pg, "i", "somebody spoke");
    page_key(pg, "m", "somebody moved");
}

bool key_rest(const struct scene *sc, struct guide *g, const struct key *k, struct guide_action *out)
{
    if (key_letter(k) == ' ' && !sc->is_field) {
        act_item(out, EV_REST, sc->s->rest == REST_RUNNING ? "end" : "begin");
        return true;
    }
    return sc->s->rest == REST_RUNNING && meanwhile_key(sc, g, k, out);
}

void page_kit(const struct scene *sc, struct page *pg)
{
    text_copy(pg->title, sizeof pg->title, "The kit");
    if (lacks_gauge(sc) || sc->is_overlay) {
        page_line(pg, LINE_INSTRUCTION, "Which gauge?");
        gauge_lines(sc, pg);
    } else {
        items_lines(sc, pg, STEP_KIT);
        items_keys(sc, pg, STEP_KIT);
    }
}

bool key_kit(const struct scene *sc, struct guide *g, const struct key *k, struct guide_action *out)
{
    return lacks_gauge(sc) || sc->is_overlay ? gauge_key(sc, g, k, out) : items_key(sc, g, k, out, STEP_KIT);
}

void page_pulse(const struct scene *sc, struct page *pg)
{
    text_copy(pg->title, sizeof pg->title, "Count the pulse");
    page_line(pg, LINE_INSTRUCTION, "At the wrist, without a word: beats in a minute, and whether they come evenly.");
    pulse_line(sc, pg);
}

bool key_pulse(const struct scene *sc, struct guide *g, const struct key *k, struct guide_action *out)
{
    if (!sc->is_field && k->code == KEY_CHARACTER && !(k->character >= '0' && k->character <= '9'))
        return false;
    return pulse_key(sc, g, k, out);
}
