/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The opening: one page of answers with defaults. Enter takes them; nothing is recorded before all are there. */
#include <stdio.h>
#include <string.h>

#include "guide/views.h"

#define PROTOCOLS_SHOWN 4 /* of those that can be chosen, at a time: with all else as many as a small screen holds */

enum { F_SUBJECT, F_VISIT, F_PRIOR, F_PURPOSE, F_WITNESS, F_PLACE, F_MEASURER, F_PROTOCOL, F_HELP, F_COUNT };

static const char *const VISITS[] = { "first", "return", NULL };
static const char *const PRIORS[] = { "left", "right", "unknown", NULL };
static const char *const PURPOSES[] = { "practice", "service", "assessment", NULL };
static const char *const HELPS[] = { "full", "steps", "none", NULL };

static const struct opening_field {
    const char *label;
    enum event_kind kind;
    const char *const *choices; /* NULL: typed, or the protocols of the booth */
} FIELDS[F_COUNT] = {
    { "subject's code", EV_SUBJECT, NULL },
    { "visit", EV_VISIT, VISITS },
    { "arm used last time", EV_PRIOR_ARM, PRIORS },
    { "purpose", EV_PURPOSE, PURPOSES },
    { "who looks on", EV_WITNESS, NULL },
    { "place", EV_PLACE, NULL },
    { "measurer", EV_MEASURER, NULL },
    { "protocol", EV_PROTOCOL, NULL },
    { "help on the screen", EV_HELP, HELPS },
};
_Static_assert(F_COUNT == GUIDE_FIELDS, "struct guide keeps each of them");

static bool is_given(const struct scene *sc, int f)
{
    return sc->s->given[FIELDS[f].kind] > 0;
}

static bool is_return(const struct scene *sc)
{
    return is_given(sc, F_VISIT) ? sc->s->is_return != 0 : strcmp(sc->g->fields[F_VISIT], "return") == 0;
}

static enum purpose purpose_now(const struct scene *sc)
{
    if (is_given(sc, F_PURPOSE))
        return (enum purpose)sc->s->purpose;
    for (int n = 0; PURPOSES[n] != NULL; n++)
        if (strcmp(sc->g->fields[F_PURPOSE], PURPOSES[n]) == 0)
            return (enum purpose)(PURPOSE_PRACTICE + n);
    return PURPOSE_NONE;
}

/* Some belong to one purpose alone: who looks on to an assessment, how much is shown to a practice. */
static bool is_wanted(const struct scene *sc, int f)
{
    switch (f) {
    case F_PRIOR:
        return is_return(sc);
    case F_WITNESS:
        return purpose_now(sc) == PURPOSE_ASSESSMENT && !is_given(sc, F_PURPOSE);
    case F_HELP:
        return purpose_now(sc) == PURPOSE_PRACTICE;
    default:
        return true;
    }
}

/* ---- who looks on ---- */

static const char *measurer_now(const struct scene *sc)
{
    return is_given(sc, F_MEASURER) ? sc->s->measurer : sc->g->fields[F_MEASURER];
}

static int preceptors_listed(const struct scene *sc)
{
    int n = sc->b->preceptor_count;

    return n < GUIDE_PRECEPTORS_MAX ? n : GUIDE_PRECEPTORS_MAX;
}

static bool may_look_on(const struct scene *sc, int n)
{
    return strcmp(sc->b->preceptors[n], measurer_now(sc)) != 0;
}

/* The one after this, past the last the first; NULL: nobody but the measurer, if anybody. */
static const char *preceptor_after(const struct scene *sc, const char *id)
{
    int count = preceptors_listed(sc), at = -1;

    for (int n = 0; n < count; n++)
        if (strcmp(sc->b->preceptors[n], id) == 0)
            at = n;
    for (int n = 1; n <= count; n++)
        if (may_look_on(sc, (at + n) % count))
            return sc->b->preceptors[(at + n) % count];
    return NULL;
}

/* As typed or picked; where only one can be meant, that one is offered. */
static const char *witness_now(const struct scene *sc)
{
    const char *typed = sc->g->fields[F_WITNESS], *first = preceptor_after(sc, "");

    if (typed[0] != '\0' || first == NULL || sc->b->preceptor_count > GUIDE_PRECEPTORS_MAX)
        return typed;
    return strcmp(preceptor_after(sc, first), first) == 0 ? first : "";
}

static bool is_known_preceptor(const struct scene *sc, const char *id)
{
    if (sc->b->preceptor_count > GUIDE_PRECEPTORS_MAX)
        return is_item(id);
    for (int n = 0; n < preceptors_listed(sc); n++)
        if (strcmp(sc->b->preceptors[n], id) == 0)
            return true;
    return false;
}

/* Named, so that nobody has to know them by heart. */
static void who_looks_on_line(const struct scene *sc, struct page *pg)
{
    char known[100];
    struct text t;

    text_init(&t, known, sizeof known);
    for (int n = 0; n < preceptors_listed(sc) && t.len + ITEM_CAP + 4 < sizeof known; n++)
        if (may_look_on(sc, n))
            text_addf(&t, "%s%s", t.len > 0 ? ", " : " Known here: ", sc->b->preceptors[n]);
    page_line(pg, LINE_INSTRUCTION, "Who looks on and keeps the keys: a preceptor, not the one who measures.%s%s", known,
              t.len > 0 ? "." : " Nobody else here is one with standing yet.");
}

/* ---- the fields ---- */

/* Fields that still can be answered here. */
static bool is_asked(const struct scene *sc, int f)
{
    return !is_given(sc, f) && is_wanted(sc, f);
}

static int current_field(const struct scene *sc)
{
    int f = sc->g->field;

    if (f < 0 || f >= F_COUNT)
        f = F_SUBJECT;
    for (int n = 0; n < F_COUNT && !is_asked(sc, f); n++)
        f = (f + 1) % F_COUNT;
    return f;
}

static bool is_text_field(int f)
{
    return f == F_SUBJECT || f == F_WITNESS || f == F_PLACE || f == F_MEASURER;
}

bool opening_field_is_text(const struct scene *sc)
{
    return is_text_field(current_field(sc));
}

static void set_field(struct guide *g, int f, const char *value)
{
    text_copy(g->fields[f], sizeof g->fields[f], value);
}

/* An assessment shows no help, a service all of it; a practice what the booth has. */
static void set_help(struct guide *g, const struct guide_booth *b)
{
    bool is_practice = strcmp(g->fields[F_PURPOSE], "practice") == 0, is_assessment = strcmp(g->fields[F_PURPOSE], "assessment") == 0;

    set_field(g, F_HELP, is_practice && b->default_help[0] != '\0' ? b->default_help : is_assessment ? "none" : "full");
}

void opening_begin(struct guide *g, const struct guide_booth *b)
{
    set_field(g, F_PURPOSE, b->default_purpose[0] != '\0' ? b->default_purpose : "practice");
    set_field(g, F_PLACE, b->place);
    set_field(g, F_MEASURER, b->measurer);
    set_field(g, F_PROTOCOL, b->default_protocol[0] != '\0' ? b->default_protocol
                             : b->protocol_count > 0 && !b->is_protocol_gone ? b->protocols[0].id
                                                            : "");
    set_help(g, b);
    g->scratch[SC_FRESH] = 1;
}

void opening_answered(struct guide *g, const struct guide_booth *b)
{
    if (g->scratch[SC_LOOKED] != 1)
        return;
    g->scratch[SC_LOOKED] = 2;
    set_field(g, F_VISIT, b->is_seen ? "return" : "first");
    set_field(g, F_PRIOR, b->seen_arm[0] != '\0' ? b->seen_arm : "unknown");
}

static void field_line(const struct scene *sc, struct page *pg, int f, int current)
{
    const char *value = sc->g->fields[f];
    struct page_line *line;

    if (!is_given(sc, f) && !is_wanted(sc, f))
        return;
    line = page_line(pg, LINE_FIELD, "%s", FIELDS[f].label);
    if (is_given(sc, f)) {
        text_copy(line->value, sizeof line->value, "given");
        return;
    }
    if (f == F_VISIT && value[0] == '\0')
        value = "looked up by the code";
    if (f == F_SUBJECT && value[0] == '\0' && sc->b->next_code[0] != '\0' && f != current)
        value = sc->b->next_code;
    if (f == F_WITNESS)
        value = witness_now(sc);
    text_copy(line->value, sizeof line->value, value);
    line->is_current = f == current;
    line->is_editing = f == current && sc->is_field;
}

static int protocol_at(const struct scene *sc)
{
    for (int n = 0; n < sc->b->protocol_count; n++)
        if (strcmp(sc->b->protocols[n].id, sc->g->fields[F_PROTOCOL]) == 0)
            return n;
    return -1;
}

const struct protocol *opening_protocol(const struct scene *sc)
{
    int at = protocol_at(sc);

    return is_given(sc, F_PROTOCOL) ? sc->p : at >= 0 ? sc->b->protocols[at].whole : NULL;
}

/* Where the file at hand goes its own way is said before anybody chooses it: how often, and the first. */
static void deviation_line(const struct scene *sc, struct page *pg, bool is_listed)
{
    const struct protocol *p = opening_protocol(sc);
    const char *how = sc->is_field ? "esc, then ?" : "?";
    char first[DEVIATION_CAP];
    int count = p != NULL ? protocol_deviations(p) : 0;

    if (count == 0 || !protocol_say_deviation(p, 0, first, sizeof first))
        return;
    if (is_listed) /* the list takes the room; the key tells more */
        page_line(pg, LINE_CAUTION, "%s departs from its sources in %d place%s: ? shows all", p->id, count, count == 1 ? "" : "s");
    else if (count == 1)
        page_line(pg, LINE_CAUTION, "%s departs from its sources in one place (%s tells it whole): %s", p->id, how, first);
    else
        page_line(pg, LINE_CAUTION, "%s departs from its sources in %d places (%s shows all): %s ...", p->id, count, how, first);
}

static bool is_title_shared(const struct guide_booth *b, int n)
{
    for (int i = 0; i < b->protocol_count; i++)
        if (i != n && strcmp(b->protocols[i].title, b->protocols[n].title) == 0)
            return true;
    return false;
}

/* By its title, and what it asks for; the field above names the picked one's id. A copy may have kept its title. */
static void protocol_row(const struct scene *sc, struct page *pg, int n, bool is_picked)
{
    const char *title = is_title_shared(sc->b, n) ? sc->b->protocols[n].id : sc->b->protocols[n].title;
    char asks[80] = "";

    if (sc->b->protocols[n].whole != NULL)
        protocol_say_asks(sc->b->protocols[n].whole, asks, sizeof asks);
    page_line(pg, LINE_ROW, "%s %s%s%s", is_picked ? "*" : " ", title, asks[0] != '\0' ? ": " : "", asks);
}

/* While the protocol is chosen: those round the picked one; the rest come as it moves. */
static void protocol_list(const struct scene *sc, struct page *pg)
{
    int count = sc->b->protocol_count, at = protocol_at(sc), from = at - PROTOCOLS_SHOWN / 2;

    if (from > count - PROTOCOLS_SHOWN)
        from = count - PROTOCOLS_SHOWN;
    if (from < 0)
        from = 0;
    for (int n = from; n < count && n < from + PROTOCOLS_SHOWN; n++)
        protocol_row(sc, pg, n, n == at);
    if (count > PROTOCOLS_SHOWN)
        page_line(pg, LINE_NOTE, "  %d of %d; space goes on through all", at + 1, count);
}

static bool is_list_open(const struct scene *sc, int current)
{
    return !is_given(sc, F_PROTOCOL) && current == F_PROTOCOL;
}

static void protocol_lines(const struct scene *sc, struct page *pg, int current)
{
    bool is_listed = is_list_open(sc, current);

    if (is_listed)
        protocol_list(sc, pg);
    deviation_line(sc, pg, is_listed);
}

/* What the key that changes it leads to. */
static const char *const HELP_NEXT[] = { "less help", "no help", "full help" };

static int help_at(const struct scene *sc)
{
    for (int n = 0; HELPS[n] != NULL; n++)
        if (strcmp(sc->g->fields[F_HELP], HELPS[n]) == 0)
            return n;
    return 0;
}

void page_opening(const struct scene *sc, struct page *pg)
{
    int current = current_field(sc);
    const char *subject = sc->g->fields[F_SUBJECT];
    bool is_looked = sc->g->fields[F_VISIT][0] != '\0';

    text_copy(pg->title, sizeof pg->title, "Who is here?");
    if (!is_given(sc, F_SUBJECT) && subject[0] == '\0' && sc->b->next_code[0] != '\0')
        page_line(pg, LINE_INSTRUCTION, "Enter for a new subject, code %s: write it on the card. Or type the code of a known one.",
                  sc->b->next_code);
    else if (current == F_WITNESS)
        who_looks_on_line(sc, pg);
    else if (!is_looked && !is_given(sc, F_VISIT))
        page_line(pg, LINE_INSTRUCTION, "Type the subject's code, then enter. A code, never a name.");
    else
        page_line(pg, LINE_INSTRUCTION, "Is all of this right? Enter opens the sitting.");
    page_line(pg, LINE_GAP, "%s", "");
    for (int f = 0; f < F_COUNT; f++)
        field_line(sc, pg, f, current);
    if (is_looked && sc->g->scratch[SC_LOOKED] == 2 && !sc->b->is_seen && !is_list_open(sc, current))
        page_line(pg, LINE_NOTE, "This code was not seen here before.");
    protocol_lines(sc, pg, current);
    page_key(pg, "enter", subject[0] == '\0' && !is_given(sc, F_SUBJECT) ? "new code"
                          : is_looked                                    ? "open the sitting"
                                                                         : "look it up");
    page_key(pg, "down", "next line");
    page_key(pg, "up", "line before");
    if (is_asked(sc, F_HELP))
        page_key(pg, "tab", HELP_NEXT[help_at(sc)]);
    if (current == F_WITNESS && preceptor_after(sc, "") != NULL)
        page_key(pg, "space", "the next one known");
    else if (!is_text_field(current))
        page_key(pg, "space", "change");
    if (!sc->is_field && sc->p == NULL)
        page_key(pg, "?", "why");
}

static void cycle(const struct scene *sc, struct guide *g, int f)
{
    const char *const *choices = FIELDS[f].choices;
    int n = 0, at = -1;

    if (f == F_PROTOCOL) {
        for (n = 0; n < sc->b->protocol_count; n++)
            if (strcmp(sc->b->protocols[n].id, g->fields[f]) == 0)
                at = n;
        if (n > 0)
            set_field(g, f, sc->b->protocols[(at + 1) % n].id);
        return;
    }
    for (n = 0; choices[n] != NULL; n++)
        if (strcmp(choices[n], g->fields[f]) == 0)
            at = n;
    set_field(g, f, choices[(at + 1) % n]);
    if (f == F_PURPOSE)
        set_help(g, sc->b);
}

/* No id holds a blank, so that the key is free for it. */
static void pick_next_preceptor(const struct scene *sc, struct guide *g)
{
    const char *next = preceptor_after(sc, witness_now(sc));

    if (next != NULL)
        set_field(g, F_WITNESS, next);
    g->scratch[SC_FRESH] = 1;
}

static void move(const struct scene *sc, struct guide *g, int by)
{
    int f = current_field(sc);

    do
        f = (f + by + F_COUNT) % F_COUNT;
    while (!is_asked(sc, f) && f != g->field);
    g->field = f;
    g->scratch[SC_FRESH] = 1;
    g->scratch[SC_OUT] = 0;
}

static bool item_field_is_sound(struct guide *g, int f)
{
    if (is_item(g->fields[f]))
        return true;
    g->field = f;
    if (f == F_PROTOCOL)
        say_no(g, "not yet: which protocol? The usual one is not offered any more; space goes through the list.");
    else
        say_no(g, "not yet: the %s needs 1 to 32 letters, digits, points or hyphens, beginning with a letter or digit.", FIELDS[f].label);
    return false;
}

static bool place_is_sound(struct guide *g)
{
    if (is_plain_text(g->fields[F_PLACE], EVENT_TEXT_MAX))
        return true;
    g->field = F_PLACE;
    say_no(g, "not yet: where is this? Type the place, such as booth 2.");
    return false;
}

/* How somebody comes to have standing. */
#define AT_PEOPLE "People on the home page: a adds one, p sets the PIN, v vouches where another had one before."

/* Where the protocol knows of none, nobody could say how it came out. */
static bool witness_is_sound(const struct scene *sc, struct guide *g)
{
    const struct protocol *p = opening_protocol(sc);
    const char *who = witness_now(sc);

    if (p != NULL && p->value[KEY_LAPSES_MAX] < 0) {
        g->field = F_PROTOCOL;
        say_no(g, "not yet: %s says nothing of assessments. Another protocol, or another purpose.", p->id);
        return false;
    }
    if (is_known_preceptor(sc, who) && strcmp(who, measurer_now(sc)) != 0)
        return true;
    g->field = F_WITNESS;
    if (sc->b->preceptor_count == 0)
        say_no(g, "not yet: in an assessment a preceptor looks on and keeps the keys, and no preceptor here has standing yet. " AT_PEOPLE);
    else if (preceptor_after(sc, "") == NULL)
        say_no(g, "not yet: %.32s measures, and is the only preceptor with standing here. In an assessment another one looks on and "
                  "keeps the keys. " AT_PEOPLE, sc->b->preceptors[0]);
    else if (who[0] == '\0')
        say_no(g, "not yet: who looks on? In an assessment that is a preceptor, who keeps the keys.");
    else if (strcmp(who, measurer_now(sc)) == 0)
        say_no(g, "not yet: %.32s measures. In an assessment another person looks on and keeps the keys: who?", who);
    else
        say_no(g, "not yet: %.32s is no preceptor here, or nobody has vouched for that key. Space picks one who may. " AT_PEOPLE, who);
    return false;
}

static void act_answers(const struct scene *sc, struct guide *g, struct guide_action *out)
{
    if (!is_given(sc, F_PROTOCOL))
        act_item(out, EV_PROTOCOL, g->fields[F_PROTOCOL]);
    if (sc->s->given[EV_DATE] == 0)
        act_text(out, EV_DATE, sc->b->stamp);
    if (!is_given(sc, F_MEASURER))
        act_item(out, EV_MEASURER, g->fields[F_MEASURER]);
    if (!is_given(sc, F_SUBJECT))
        act_item(out, EV_SUBJECT, g->fields[F_SUBJECT]);
    if (!is_given(sc, F_VISIT))
        act_item(out, EV_VISIT, g->fields[F_VISIT]);
    if (!is_given(sc, F_PRIOR) && is_return(sc))
        act_item(out, EV_PRIOR_ARM, g->fields[F_PRIOR][0] != '\0' ? g->fields[F_PRIOR] : "unknown");
    if (is_asked(sc, F_WITNESS))
        act_item(out, EV_WITNESS, witness_now(sc));
    if (!is_given(sc, F_PURPOSE))
        act_item(out, EV_PURPOSE, g->fields[F_PURPOSE]);
    if (!is_given(sc, F_PLACE))
        act_text(out, EV_PLACE, g->fields[F_PLACE]);
    if (!is_given(sc, F_HELP) && strcmp(g->fields[F_HELP], "full") != 0)
        act_item(out, EV_HELP, g->fields[F_HELP]);
}

static void accept(const struct scene *sc, struct guide *g, struct guide_action *out)
{
    if (!is_given(sc, F_SUBJECT) && g->fields[F_SUBJECT][0] == '\0' && is_item(sc->b->next_code)) {
        set_field(g, F_SUBJECT, sc->b->next_code);
        set_field(g, F_VISIT, "first");
        return;
    }
    if (!is_given(sc, F_SUBJECT) && !item_field_is_sound(g, F_SUBJECT))
        return;
    if (!is_given(sc, F_VISIT) && g->fields[F_VISIT][0] == '\0') {
        g->scratch[SC_LOOKED] = 1;
        out->wish = GUIDE_LOOKUP;
        text_copy(out->subject, sizeof out->subject, is_given(sc, F_SUBJECT) ? sc->s->subject : g->fields[F_SUBJECT]);
        return;
    }
    if (!is_given(sc, F_MEASURER) && !item_field_is_sound(g, F_MEASURER))
        return;
    if (!is_given(sc, F_PROTOCOL) && !item_field_is_sound(g, F_PROTOCOL))
        return;
    if (is_asked(sc, F_WITNESS) && !witness_is_sound(sc, g))
        return;
    if (!is_given(sc, F_PLACE) && !place_is_sound(g))
        return;
    act_answers(sc, g, out);
}

static void type_field(struct guide *g, int f, const struct key *k)
{
    char before[ITEM_CAP];

    if (k->code != KEY_CHARACTER && k->code != KEY_BACKSPACE)
        return;
    if (g->scratch[SC_FRESH] && f != F_SUBJECT && k->code == KEY_CHARACTER)
        g->fields[f][0] = '\0';
    g->scratch[SC_FRESH] = 0;
    text_copy(before, sizeof before, g->fields[f]);
    type_key(g, g->fields[f], sizeof g->fields[f], f == F_PLACE ? EVENT_TEXT_MAX : ITEM_CAP - 1, k);
    if (f == F_SUBJECT && strcmp(before, g->fields[f]) != 0) {
        set_field(g, F_VISIT, "");
        g->scratch[SC_LOOKED] = 0;
    }
}

bool key_opening(const struct scene *sc, struct guide *g, const struct key *k, struct guide_action *out)
{
    int f = current_field(sc);

    g->field = f;
    if (k->code == KEY_ENTER)
        accept(sc, g, out);
    else if (k->code == KEY_UP_ARROW)
        move(sc, g, -1);
    else if (k->code == KEY_TAB && is_asked(sc, F_HELP))
        cycle(sc, g, F_HELP);
    else if (k->code == KEY_DOWN_ARROW || k->code == KEY_TAB)
        move(sc, g, 1);
    else if (f == F_WITNESS && key_letter(k) == ' ')
        pick_next_preceptor(sc, g);
    else if (sc->is_field)
        type_field(g, f, k);
    else if (key_letter(k) == ' ' && !is_text_field(f))
        cycle(sc, g, f);
    else if (key_letter(k) == '?' && sc->p == NULL)
        guide_open_view(g, VIEW_WHY);
    else
        return false;
    return true;
}
