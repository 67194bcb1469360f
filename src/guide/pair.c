/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Two listeners of one fall. Each types unseen, the measurer first; until `done` no page and no refusal shows a figure of
 * either, nor whether they agree.
 *
 * A very high or low value is answered at once all the same: its page comes as soon as the measurer's entry shows one, and
 * asks about symptoms before the screen changes hands. It names no figure, and who sits there is still the measurer. That
 * something is to be answered tells the listener, if at all, less than a subject with symptoms could lose by waiting. What
 * only the listener heard raises no alarm of the record's: where it is very high or low, the page that shows both asks. */
#include <stdio.h>
#include <string.h>

#include "guide/views.h"

bool pair_is_blind(const struct sitting *s)
{
    const struct reading *r = sitting_current(s);

    return s->phase == PHASE_OPEN && r != NULL && r->listener[0] != '\0';
}

bool pair_is_unshown(const struct reading *r)
{
    return r->listener[0] != '\0' && !r->is_entered;
}

static bool has_any(const struct reading *r)
{
    return r->has_pair[POINT_FIRST] || r->has_pair[POINT_LAST] || r->has_pair[POINT_MUFFLING];
}

/* After a restart the first figure of the listener's tells that the screen had changed hands. */
enum view pair_view(const struct scene *sc)
{
    const struct reading *r = sitting_current(sc->s);

    if (!pair_is_blind(sc->s))
        return VIEW_READBACK;
    if (!has_any(r) && sc->g->scratch[SC_HANDED] != sc->s->reading_count)
        return VIEW_HANDOVER;
    return entry_is_complete(sc, true) ? VIEW_PAIR_READBACK : VIEW_PAIR_ENTRY;
}

/* What comes next may have nothing to do with this reading: both are shown on a page of their own. A witness's page has them
 * beside its acts. */
bool pair_is_to_be_shown(const struct scene *sc)
{
    int n = (int)sc->s->reading_count;
    int systolic, diastolic;

    return n > 0 && sc->s->last_inflation == INFLATION_LISTEN && sc->g->scratch[SC_PAIR_SEEN] != n &&
           guide_pair_differs_by(&sc->s->readings[n - 1], &systolic, &diastolic);
}

/* ---- who listens too ---- */

/* Another pair of ears means nothing once the values of the first were there to be seen. */
bool pair_may_join(const struct scene *sc)
{
    const struct reading *r = sitting_current(sc->s);

    if (r == NULL)
        return sc->s->inflation == INFLATION_NONE;
    return r->listener[0] != '\0' || (!r->has_value[POINT_FIRST] && !r->has_value[POINT_LAST]);
}

bool pair_ask(const struct scene *sc, struct guide *g)
{
    if (!pair_may_join(sc)) {
        say_no(g, sitting_current(sc->s) == NULL ? "not yet: a second listener joins for a listening squeeze."
                                                 : "not yet: a value was typed to be seen. A second listener joins before the first one.");
        return true;
    }
    guide_open_view(g, VIEW_LISTENER);
    return true;
}

static const char *nth_person(const struct scene *sc, int n)
{
    for (int i = 0; i < sc->b->person_count; i++)
        if (strcmp(sc->b->people[i].id, sc->s->measurer) != 0 && n-- == 0)
            return sc->b->people[i].id;
    return NULL;
}

static const char *name_of(const struct scene *sc, const char *id)
{
    for (int i = 0; i < sc->b->person_count; i++)
        if (strcmp(sc->b->people[i].id, id) == 0)
            return sc->b->people[i].name;
    return "";
}

/* Named for this inflation or the next, else whoever listened last. */
static const char *named_so_far(const struct scene *sc)
{
    const struct reading *r = sitting_current(sc->s);

    if (r != NULL)
        return r->listener;
    if (sc->g->listener[0] != '\0')
        return sc->g->listener;
    for (int i = sc->s->reading_count; i > 0; i--)
        if (sc->s->readings[i - 1].listener[0] != '\0')
            return sc->s->readings[i - 1].listener;
    return "";
}

/* 0: nobody is under the cursor; the one named so far comes first. */
static const char *candidate(const struct scene *sc, int at)
{
    const char *so_far = named_so_far(sc), *id;

    if (so_far[0] != '\0' && at-- == 1)
        return so_far;
    for (int n = 0; (id = nth_person(sc, n)) != NULL; n++)
        if (strcmp(id, so_far) != 0 && --at == 0)
            return id;
    return NULL;
}

static bool is_naming_next(const struct scene *sc)
{
    return sitting_current(sc->s) == NULL;
}

void page_listener(const struct scene *sc, struct page *pg)
{
    struct page_line *line;
    const char *id;

    text_copy(pg->title, sizeof pg->title, "Who listens too, on the same fall?");
    line = page_line(pg, LINE_FIELD, "id");
    text_copy(line->value, sizeof line->value, sc->entry);
    line->is_editing = true;
    line->is_current = sc->g->cursor == 0;
    for (int at = 1; (id = candidate(sc, at)) != NULL; at++)
        page_line(pg, LINE_ROW, "%s  %s", id, name_of(sc, id))->is_current = at == sc->g->cursor;
    page_line(pg, LINE_NOTE, "By a stethoscope with two heads. Each types without seeing the other's figures.");
    page_key(pg, "enter", is_naming_next(sc) && sc->g->listener[0] != '\0' ? "that one; empty: nobody" : "that one");
    if (candidate(sc, 1) != NULL) {
        page_key(pg, "down", "next");
        page_key(pg, "up", "before");
    }
    if (sc->s->inflation != INFLATION_NONE)
        page_key(pg, "space", "all air out");
    page_key(pg, "esc", "back");
}

/* Nobody takes the place of whoever was named for the next squeeze; where there is none, to leave is another key. */
static void name_nobody(const struct scene *sc, struct guide *g)
{
    if (is_naming_next(sc) && g->listener[0] != '\0') {
        g->listener[0] = '\0';
        guide_open_view(g, VIEW_AUTO);
    } else if (candidate(sc, 1) != NULL) {
        say_no(g, "not yet: nobody is named. Type the id of who listens too, or choose one with the arrows; esc leaves.");
    } else {
        say_no(g, "not yet: nobody is named, and nobody else is known here to choose. Type the id of who listens too; esc leaves.");
    }
}

static void take_name(const struct scene *sc, struct guide *g, struct guide_action *out)
{
    const char *picked = candidate(sc, g->cursor);
    char id[ITEM_CAP];
    bool is_whole = text_copy(id, sizeof id, picked != NULL ? picked : g->entry);

    if (id[0] == '\0') {
        name_nobody(sc, g);
        return;
    }
    if (!is_whole || !is_item(id))
        say_no(g, "not yet: an id has 1 to 32 letters, digits, points or hyphens, and no blank.");
    else if (strcmp(id, sc->s->measurer) == 0)
        say_no(g, "not yet: %s measures. The second listener is another person.", id);
    else if (is_naming_next(sc)) {
        text_copy(g->listener, sizeof g->listener, id);
        guide_open_view(g, VIEW_AUTO);
    } else
        act_item(out, EV_LISTENER, id);
}

bool key_listener(const struct scene *sc, struct guide *g, const struct key *k, struct guide_action *out)
{
    int by = k->code == KEY_DOWN_ARROW ? 1 : k->code == KEY_UP_ARROW ? -1 : 0;

    if (key_closes(g, k))
        return true;
    /* No id holds a blank, and with the cuff up the air comes first. */
    if (key_letter(k) == ' ' && sc->s->inflation != INFLATION_NONE) {
        act(out, EV_EMPTY);
    } else if (by != 0) {
        if (g->cursor + by >= 0 && (by < 0 || candidate(sc, g->cursor + by) != NULL))
            g->cursor += by;
        g->entry[0] = '\0';
    } else if (k->code == KEY_ENTER) {
        take_name(sc, g, out);
    } else {
        g->cursor = 0;
        type_key(g, g->entry, sizeof g->entry, ITEM_CAP, k);
    }
    return true;
}

/* The engine knows of a listener only with the cuff up: the name goes in right behind the squeeze. */
void pair_act(const struct scene *sc, struct guide_action *out)
{
    if (sc->g->listener[0] != '\0')
        act_item(out, EV_LISTENER, sc->g->listener);
}

void pair_named_line(const struct scene *sc, struct page *pg)
{
    if (sc->g->listener[0] != '\0')
        page_line(pg, LINE_ROW, "%s listens too. Each types unseen.", sc->g->listener);
}

void pair_applied(struct guide *g, const struct sitting *s)
{
    const struct reading *r = sitting_current(s);

    if (r != NULL && strcmp(r->listener, g->listener) == 0)
        g->listener[0] = '\0';
}

/* ---- the screen changes hands ---- */

void page_handover(const struct scene *sc, struct page *pg)
{
    const struct reading *r = sitting_current(sc->s);

    if (r == NULL)
        return;
    snprintf(pg->title, sizeof pg->title, "Hand over to %s", r->listener);
    page_line(pg, LINE_INSTRUCTION, "Turn the screen, or change places: %s types next, and nobody else looks.", r->listener);
    page_line(pg, LINE_ROW, "%s: given, not shown", sc->s->measurer);
    page_line(pg, LINE_ROW, "%s: to come", r->listener);
    page_line(pg, LINE_NOTE, "Say no figure aloud before both are in.");
    page_key(pg, "space", "the other one is here");
    page_key(pg, "u", "give my own again");
    page_key(pg, "x", "there was a silence");
    page_key(pg, "l", "another listener");
    page_key(pg, "v", "give it up, because");
    if (sc->s->is_standing)
        page_key(pg, "f", "feels faint");
}

/* Digits typed on by a hand that has not looked: they call nobody, and are not taken. */
static bool is_typed_on(struct guide *g, const struct key *k, const char *what)
{
    bool is_digit = k->code == KEY_CHARACTER && k->character >= '0' && k->character <= '9';

    if (is_digit || k->code == KEY_ENTER)
        say_no(g, "not yet: nothing more is to be typed here, so this key did nothing. %s", what);
    return is_digit || k->code == KEY_ENTER;
}

bool key_handover(const struct scene *sc, struct guide *g, const struct key *k, struct guide_action *out)
{
    switch (key_letter(k)) {
    case ' ':
        g->scratch[SC_HANDED] = sc->s->reading_count;
        return true;
    case 'u':
        g->scratch[SC_EDIT] = 1;
        return true;
    case 'x':
        entry_ask_silence(sc, g);
        return true;
    case 'l':
        return pair_ask(sc, g);
    case 'v':
        ask_text(g, EV_VOID, "");
        return true;
    case 'f':
        return faint_key(sc, g, out);
    default:
        return is_typed_on(g, k, "Space hands over.");
    }
}

/* ---- both are in ---- */

void page_pair_readback(const struct scene *sc, struct page *pg)
{
    const struct reading *r = sitting_current(sc->s);
    char again[40];

    if (r == NULL)
        return;
    text_copy(pg->title, sizeof pg->title, "Both have typed");
    page_line(pg, LINE_ROW, "%s: given, not shown", sc->s->measurer);
    page_line(pg, LINE_ROW, "%s: given, not shown", r->listener);
    page_line(pg, LINE_INSTRUCTION, "Each may give theirs again, unseen. After y it is final, and both are shown.");
    page_key(pg, "y", "final: show both");
    snprintf(again, sizeof again, "%.30s again", sc->s->measurer);
    page_key(pg, "u", again);
    snprintf(again, sizeof again, "%.30s again", r->listener);
    page_key(pg, "o", again);
    if (sc->s->is_standing)
        page_key(pg, "f", "feels faint");
}

bool key_pair_readback(const struct scene *sc, struct guide *g, const struct key *k, struct guide_action *out)
{
    switch (key_letter(k)) {
    case 'y':
        act(out, EV_DONE);
        return true;
    case 'u':
        g->scratch[SC_EDIT] = 1;
        return true;
    case 'o':
        g->scratch[SC_PAIR_EDIT] = 1;
        return true;
    case 'f':
        return faint_key(sc, g, out);
    default:
        return is_typed_on(g, k, "The key y makes it final.");
    }
}

/* ---- what came out ---- */

void page_pair_shown(const struct scene *sc, struct page *pg)
{
    text_copy(pg->title, sizeof pg->title, "What each heard");
    verdict_lines(sc, pg, true);
    page_line(pg, LINE_NOTE, "Both stay on the record as they were heard; nothing is corrected.");
    page_key(pg, "space", "go on");
    page_key(pg, "c", "correct the measurer's");
    page_key(pg, "h", sc->g->is_hidden ? "show figures" : "cover figures");
}

bool key_pair_shown(const struct scene *sc, struct guide *g, const struct key *k, struct guide_action *out)
{
    (void)out;
    switch (key_letter(k)) {
    case ' ':
        g->scratch[SC_PAIR_SEEN] = sc->s->reading_count;
        return true;
    case 'c':
        guide_open_view(g, VIEW_CORRECT);
        return true;
    default:
        return is_typed_on(g, k, "Space goes on.");
    }
}

bool guide_pair_differs_by(const struct reading *r, int *systolic, int *diastolic)
{
    struct reading theirs;

    if (r->listener[0] == '\0' || !r->is_entered || !r->has_pair[POINT_FIRST] || !r->has_pair[POINT_LAST])
        return false;
    theirs = reading_of_pair(r);
    *systolic = reading_systolic_mmhg(&theirs) - reading_systolic_mmhg(r);
    *diastolic = reading_diastolic_mmhg(&theirs) - reading_diastolic_mmhg(r);
    return true;
}

static int size(int n)
{
    return n < 0 ? -n : n;
}

bool guide_say_pair(const struct sitting *s, const struct protocol *p, int index, char *out, size_t cap)
{
    const struct reading *r = &s->readings[index];
    const struct reading heard = reading_of_pair(r);
    char own[24], theirs[24];
    int systolic, diastolic;

    if (!guide_pair_differs_by(r, &systolic, &diastolic))
        return false;
    reading_print(r, own, sizeof own);
    reading_print(&heard, theirs, sizeof theirs);
    snprintf(out, cap, "%s %s, %s %s: apart by %d and %d, %s the limit of %d", s->measurer, own, r->listener, theirs, size(systolic),
             size(diastolic), r->notes & NOTE_PAIR_DIFFERS ? "more than" : "within", (int)p->value[KEY_PAIR_OVER_MMHG]);
    return true;
}

/* What the listener alone heard very high or low: the record owes no answer to it, the subject does get the question. */
static void pair_alarm_line(const struct scene *sc, struct page *pg, const struct reading *r)
{
    const struct reading theirs = reading_of_pair(r);
    enum alarm alarm = reading_alarm(&theirs, sc->p);

    if (alarm == ALARM_NONE || reading_alarm(r, sc->p) != ALARM_NONE)
        return;
    page_line(pg, LINE_CAUTION, "What %s heard is %s: ask quietly how the subject feels, and go by your site's procedure.", r->listener,
              sc->is_covered ? "a value to answer" : alarm == ALARM_LOW ? "low" : "very high");
}

void pair_lines(const struct scene *sc, struct page *pg, int index)
{
    const struct reading *r = &sc->s->readings[index];
    char said[160];

    if (!guide_say_pair(sc->s, sc->p, index, said, sizeof said))
        return;
    if (sc->is_covered)
        snprintf(said, sizeof said, "%s and %s: covered; %s the limit of %d", sc->s->measurer, r->listener,
                 r->notes & NOTE_PAIR_DIFFERS ? "further apart than" : "within", (int)sc->p->value[KEY_PAIR_OVER_MMHG]);
    page_line(pg, LINE_ROW, "reading %d: %s", index + 1, said);
    pair_alarm_line(sc, pg, r);
}
