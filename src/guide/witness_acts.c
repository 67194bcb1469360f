/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Every act of a witnessed sitting by one key, and the two pages that some of them need. */
#include <stdio.h>
#include <string.h>

#include "guide/witness.h"

static bool is_up(const struct scene *sc)
{
    return sc->s->inflation != INFLATION_NONE;
}

static bool is_down(const struct scene *sc)
{
    return !is_up(sc);
}

static bool is_palpating(const struct scene *sc)
{
    return sc->s->inflation == INFLATION_PALPATE;
}

static bool is_listening(const struct scene *sc)
{
    return sc->s->inflation == INFLATION_LISTEN;
}

static bool is_resting(const struct scene *sc)
{
    return is_down(sc) && sc->s->rest == REST_RUNNING;
}

static bool is_not_resting(const struct scene *sc)
{
    return is_down(sc) && sc->s->rest != REST_RUNNING;
}

static bool has_palpated(const struct scene *sc)
{
    return sc->s->last_inflation == INFLATION_PALPATE;
}

static bool has_marks(const struct scene *sc)
{
    return is_listening(sc) && sitting_current(sc->s) != NULL;
}

static bool has_values_owed(const struct scene *sc)
{
    return is_down(sc) && sitting_current(sc->s) != NULL;
}

static bool has_current(const struct scene *sc)
{
    return sitting_current(sc->s) != NULL;
}

static bool has_done(const struct scene *sc)
{
    int n = sc->s->reading_count;

    return is_down(sc) && sc->s->last_inflation == INFLATION_LISTEN && n > 0 && sc->s->readings[n - 1].is_entered;
}

static bool may_stand(const struct scene *sc)
{
    return is_down(sc) && lies_first(sc->p) && !sc->s->is_standing;
}

static bool has_alarm(const struct scene *sc)
{
    return alarm_is_open(sc);
}

static bool always(const struct scene *sc)
{
    (void)sc;
    return true;
}

/* ---- what a key does ---- */

typedef void press_fn(const struct scene *sc, struct guide *g, struct guide_action *out);

#define PRESS(name) static void press_##name(const struct scene *sc, struct guide *g, struct guide_action *out)
#define UNUSED(x) (void)(x)

/* The cursor stays on it until the act is in, then goes on to the next open one. */
static const char *touched(const struct scene *sc, struct guide *g)
{
    int at = witness_item(sc);

    g->scratch[SC_WITNESS_AT] = 1 + at;
    g->scratch[SC_WITNESS_PICKED] = 0;
    return sc->p->items[at].id;
}

PRESS(seen)
{
    act_item(out, EV_CONFIRM, touched(sc, g));
}

PRESS(not_so)
{
    UNUSED(out);
    ask_text(g, EV_LAPSE, touched(sc, g));
}

PRESS(not_seen)
{
    act_item(out, EV_UNSEEN, touched(sc, g));
}

PRESS(rest)
{
    UNUSED(g);
    act_item(out, EV_REST, sc->s->rest == REST_RUNNING ? "end" : "begin");
}

static bool has_a_value(const struct reading *r)
{
    for (int i = 0; i < POINT_COUNT; i++)
        if (r->has_value[i])
            return true;
    return false;
}

/* The cuff went up before anything was written of the fall before: it has to be said that this one is given up for it. */
static bool gives_up_the_last(const struct scene *sc, struct guide *g, struct guide_action *out)
{
    const struct reading *r = sitting_current(sc->s);

    if (!is_down(sc) || r == NULL || has_a_value(r))
        return true;
    if (g->scratch[SC_WITNESS_AGAIN] != sc->s->reading_count) {
        g->scratch[SC_WITNESS_AGAIN] = sc->s->reading_count;
        say_no(g, "not yet: nothing is written of reading %d. v writes its values; the same key again gives it up, and the cuff is up.",
               (int)sc->s->reading_count);
        return false;
    }
    act_text(out, EV_VOID, "the cuff went up again before its values were written");
    return true;
}

/* Who squeezes rests no more, however long it was. */
static bool squeeze(const struct scene *sc, struct guide *g, struct guide_action *out, const char *what)
{
    if (!gives_up_the_last(sc, g, out))
        return false;
    if (is_resting(sc))
        act_item(out, EV_REST, "end");
    act_item(out, EV_INFLATE, what);
    return true;
}

PRESS(palpate)
{
    squeeze(sc, g, out, "palpate");
}

PRESS(listen)
{
    if (squeeze(sc, g, out, "listen"))
        pair_act(sc, out);
}

PRESS(empty)
{
    UNUSED(sc);
    UNUSED(g);
    act(out, EV_EMPTY);
}

/* By space alone: what comes next while the cuff is up. */
PRESS(next)
{
    static const struct key SPACE = { .code = KEY_CHARACTER, .character = ' ' };

    if (has_marks(sc))
        key_marks(sc, g, &SPACE, out);
    else
        act(out, EV_EMPTY);
}

PRESS(back)
{
    UNUSED(out);
    if (has_current(sc))
        witness_put_by(sc, g, false);
    else
        say_no(g, "There is no reading that waits for values.");
}

PRESS(listener)
{
    UNUSED(out);
    pair_ask(sc, g);
}

PRESS(correct)
{
    UNUSED(out);
    if (has_done(sc))
        guide_open_view(g, VIEW_CORRECT);
    else
        say_no(g, "There is no reading that could be corrected now.");
}

PRESS(stand)
{
    UNUSED(g);
    if (is_resting(sc))
        act_item(out, EV_REST, "end");
    act(out, EV_STAND);
}

PRESS(told)
{
    UNUSED(sc);
    UNUSED(g);
    act(out, EV_TOLD);
}

PRESS(comment)
{
    UNUSED(sc);
    UNUSED(out);
    ask_text(g, EV_NOTE, "");
}

PRESS(alarm)
{
    UNUSED(out);
    if (has_alarm(sc))
        alarm_open_again(sc, g);
    else
        say_no(g, "No answer is open.");
}

PRESS(noted)
{
    UNUSED(out);
    witness_noted_open(sc, g, false);
}

/* What nothing is said of yet would be asked for: the cursor goes there with the question. What was noted is looked at
 * before: behind the seal no slip can be taken back. */
PRESS(finish)
{
    int open = witness_item_open(sc);

    if (open >= 0)
        witness_pick(g, open);
    if (sc->s->lapse_count > 0 && sitting_is_sealable(sc->s, sc->p, sc->now_ms))
        witness_noted_open(sc, g, true);
    else
        act(out, EV_SEAL);
}

/* ---- the table ---- */

static const struct act_row {
    char key;
    const char *name, *label;
    bool (*is_shown)(const struct scene *sc); /* named then; the key itself works always, and is answered */
    press_fn *press;                          /* NULL: it opens a page, */
    enum view opens;                          /* or, VIEW_AUTO, is one of the keys that all pages have */
} ACTS[] = {
    { ' ', "space", "next mark", has_marks, press_next, VIEW_AUTO },
    { ' ', "space", "all air out", is_palpating, press_next, VIEW_AUTO },
    { 'e', "e", "all air out", is_listening, press_empty, VIEW_AUTO },
    { 'y', "y", "seen", always, press_seen, VIEW_AUTO },
    { 'n', "n", "not so", always, press_not_so, VIEW_AUTO },
    { 'u', "u", "not seen", always, press_not_seen, VIEW_AUTO },
    { 'r', "r", "rest begins", is_not_resting, press_rest, VIEW_AUTO },
    { 'r', "r", "rest ends", is_resting, press_rest, VIEW_AUTO },
    { 'p', "p", "squeeze, feeling", is_down, press_palpate, VIEW_AUTO },
    { 'l', "l", "squeeze, listening", is_down, press_listen, VIEW_AUTO },
    { 'g', "g", "pulse felt, gone", has_palpated, NULL, VIEW_WITNESS_PULSE },
    { 'v', "v", "the marks", has_marks, press_back, VIEW_AUTO },
    { 'v', "v", "the values", has_values_owed, press_back, VIEW_AUTO },
    { '2', "2", "second listener", pair_may_join, press_listener, VIEW_AUTO },
    { 'x', "x", "correct the last", has_done, press_correct, VIEW_AUTO },
    { '!', "!", "the open answer", has_alarm, press_alarm, VIEW_AUTO },
    { 'a', "a", "arm", is_down, NULL, VIEW_ARM },
    { 'o', "o", "round the arm", is_down, NULL, VIEW_CIRCUMFERENCE },
    { 'w', "w", "cuff on", is_down, NULL, VIEW_WRAP },
    { 'k', "k", "gauge", is_down, NULL, VIEW_KIT },
    { 'b', "b", "pulse", is_down, NULL, VIEW_PULSE },
    { 'j', "j", "stands up", may_stand, press_stand, VIEW_AUTO },
    { 't', "t", "told", is_down, press_told, VIEW_AUTO },
    { 'z', "z", "passed over", always, NULL, VIEW_WITNESS_PASS },
    { '-', "-", "noted so far", always, press_noted, VIEW_AUTO },
    { 'c', "c", "comment", always, press_comment, VIEW_AUTO },
    { 'd', "d", "something happened", always, NULL, VIEW_MENU },
    { 'i', "i", "spoke", always, NULL, VIEW_AUTO },
    { 'm', "m", "moved", always, NULL, VIEW_AUTO },
    { 'h', "h", "figures", always, NULL, VIEW_AUTO },
    { '?', "?", "why", is_down, NULL, VIEW_AUTO },
    { 'f', "f", "finish", is_down, press_finish, VIEW_AUTO },
    { 's', "s", "stop here", always, NULL, VIEW_AUTO },
    { 'q', "q", "leave", is_down, NULL, VIEW_AUTO },
};

/* All of them in the row of keys: lines would scroll away where rows are few, and what is not named is not found. */
void witness_keys(const struct scene *sc, struct page *pg)
{
    for (size_t i = 0; i < ARRAY_LEN(ACTS); i++) {
        if (ACTS[i].is_shown(sc))
            page_key(pg, ACTS[i].name, ACTS[i].label);
        if (ACTS[i].key == 'u') {
            page_key(pg, "down", "next");
            page_key(pg, "up", "before");
            page_key(pg, "tab", "next step");
        }
    }
}

bool key_witness(const struct scene *sc, struct guide *g, const struct key *k, struct guide_action *out)
{
    int letter = key_letter(k);

    if (k->code == KEY_UP_ARROW || k->code == KEY_DOWN_ARROW) {
        witness_pick(g, witness_item_beside(sc, k->code == KEY_UP_ARROW ? -1 : 1));
        return true;
    }
    if (k->code == KEY_TAB) {
        witness_pick(g, witness_item_of_next_step(sc));
        return true;
    }
    for (size_t i = 0; letter != 0 && i < ARRAY_LEN(ACTS); i++) {
        if (ACTS[i].key != letter)
            continue;
        if (ACTS[i].press != NULL)
            ACTS[i].press(sc, g, out);
        else if (ACTS[i].opens != VIEW_AUTO)
            guide_open_view(g, ACTS[i].opens);
        else
            return false;
        return true;
    }
    return false;
}

/* ---- where the pulse was felt, and where it went ---- */

void page_witness_pulse(const struct scene *sc, struct page *pg)
{
    struct page_line *line;

    text_copy(pg->title, sizeof pg->title, "The pulse under the fingers");
    line = page_line(pg, LINE_FIELD, "at, mmHg");
    show_typed(sc, line);
    line->is_current = true;
    line->is_editing = true;
    page_key(pg, "g", "gone there");
    page_key(pg, "f", "still felt there");
    page_key(pg, "n", "no pulse to feel");
    if (is_up(sc))
        page_key(pg, "space", "all air out");
    page_key(pg, "esc", "back");
}

static bool is_of_figure(const struct key *k)
{
    return k->code == KEY_BACKSPACE ||
           (k->code == KEY_CHARACTER && (k->character == KEY_ERASE_ALL || (k->character >= '0' && k->character <= '9')));
}

bool key_witness_pulse(const struct scene *sc, struct guide *g, const struct key *k, struct guide_action *out)
{
    int letter = key_letter(k);
    struct event *ev;
    int64_t mmhg;

    if (key_closes(g, k))
        return true;
    if (is_of_figure(k)) {
        type_figure(g, 12, k);
        return true;
    }
    if (letter == 'n' || (letter == ' ' && is_up(sc))) {
        act(out, letter == 'n' ? EV_NOPULSE : EV_EMPTY);
        return true;
    }
    if (letter != 'f' && letter != 'g' && letter != '\n')
        return false;
    if (!parse_figure(g->entry, &mmhg)) {
        say_no(g, "not yet: type the pressure first, such as 120; then g where the pulse was gone, f where it was felt.");
        return true;
    }
    ev = act(out, EV_PALPATE);
    text_copy(ev->item, sizeof ev->item, letter == 'f' ? "felt" : "gone");
    ev->value = mmhg;
    return true;
}

/* ---- passed over by the one who measures, with a reason ---- */

#define PASSES_MAX 9

/* Ids of what may be passed over: the item under the cursor, then rules. */
static int passes_of(const struct scene *sc, const char *ids[PASSES_MAX])
{
    const struct protocol_item *it = &sc->p->items[witness_item(sc)];
    int n = 0;

    if (it->is_waivable)
        ids[n++] = it->id;
    for (int rule = RULE_NONE + 1; rule < RULE_COUNT && n < PASSES_MAX; rule++)
        if (sc->p->is_waivable[rule])
            ids[n++] = rule_id((enum rule)rule);
    return n;
}

void page_witness_pass(const struct scene *sc, struct page *pg)
{
    const char *ids[PASSES_MAX];
    int n = passes_of(sc, ids);

    text_copy(pg->title, sizeof pg->title, "Passed over, with a reason given");
    for (int i = 0; i < n; i++) {
        int item = protocol_find_item(sc->p, ids[i]);

        page_line(pg, LINE_ROW, "%d  %s", i + 1, item >= 0 ? sc->p->items[item].say : rule_words(ids[i]));
    }
    if (n == 0)
        page_line(pg, LINE_ROW, "Here nothing can be passed over.");
    page_key(pg, "1-9", "that one, because");
    page_key(pg, "esc", "back");
}

bool key_witness_pass(const struct scene *sc, struct guide *g, const struct key *k, struct guide_action *out)
{
    const char *ids[PASSES_MAX];
    int n = passes_of(sc, ids), letter = key_letter(k);

    UNUSED(out);
    if (key_closes(g, k))
        return true;
    if (letter < '1' || letter >= '1' + n)
        return false;
    ask_text(g, EV_WAIVE, ids[letter - '1']);
    return true;
}
