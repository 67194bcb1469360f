/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What the needle showed: the numbers one by one, read back before they are final, corrected after. */
#include <stdio.h>
#include <string.h>

#include "guide/views.h"

#define ENTRY_FIELDS_MAX 9

struct entry_field {
    const char *label, *note;
    enum event_kind kind;
    enum point point;
    const char *item; /* "" for target */
    bool is_optional;
};

static const struct entry_field ALL[] = {
    { "pumped to", "", EV_TARGET, POINT_TARGET, "", false },
    { "first sound", "", EV_VALUE, POINT_FIRST, "first", false },
    { "last sound", "the line where the last one was heard", EV_VALUE, POINT_LAST, "last", false },
    { "sounds muffled", "as sounds were heard down to zero", EV_VALUE, POINT_MUFFLING, "muffling", false },
    { "silent from", "the line where sounds went away for a while", EV_VALUE, POINT_SILENT, "silent", true },
    { "sounds back at", "", EV_VALUE, POINT_RETURN, "return", true },
    { "first sound", "", EV_PAIR, POINT_FIRST, "first", false },
    { "last sound", "the line where the last one was heard", EV_PAIR, POINT_LAST, "last", false },
    { "sounds muffled", "as sounds were heard down to zero", EV_PAIR, POINT_MUFFLING, "muffling", false },
};
_Static_assert(ARRAY_LEN(ALL) == ENTRY_FIELDS_MAX, "every field has its place");

static bool has(const struct reading *r, const struct entry_field *f)
{
    return f->kind == EV_PAIR ? r->has_pair[f->point] : r->has_value[f->point];
}

static int32_t value_of(const struct reading *r, const struct entry_field *f)
{
    return f->kind == EV_PAIR ? r->pair_mmhg[f->point] : r->value_mmhg[f->point];
}

static bool is_zero_last(const struct reading *r, const struct entry_field *f)
{
    return f->kind == EV_PAIR ? r->has_pair[POINT_LAST] && r->pair_mmhg[POINT_LAST] == 0
                              : r->has_value[POINT_LAST] && r->value_mmhg[POINT_LAST] == 0;
}

/* The measurer says that there was one, or was asked and heard it; until it is left without figures. */
static bool is_silence_asked(const struct scene *sc, const struct reading *r)
{
    int32_t reading = sc->s->reading_count;

    return sc->g->scratch[SC_GAP_FIELDS] == reading ||
           (r->gap_answer == GAP_HEARD && sc->g->scratch[SC_GAP_SKIPPED] != reading);
}

/* The fields this reading asks one of the two for: silence only when marked or asked. */
static int fields_of(const struct scene *sc, const struct reading *r, bool is_listeners, const struct entry_field *out[ENTRY_FIELDS_MAX])
{
    int n = 0;

    for (size_t i = 0; i < ARRAY_LEN(ALL); i++) {
        const struct entry_field *f = &ALL[i];

        if ((f->kind == EV_PAIR) != is_listeners)
            continue;
        if (f->point == POINT_MUFFLING && !has(r, f) && !is_zero_last(r, f) && !(f->kind == EV_VALUE && r->has_mark[POINT_MUFFLING]))
            continue;
        if (f->is_optional && !has(r, f) && !is_silence_asked(sc, r) && !r->has_mark[f->point])
            continue;
        out[n++] = f;
    }
    return n;
}

static bool is_owed(const struct reading *r, const struct entry_field *f)
{
    return !has(r, f) && (!f->is_optional || r->has_mark[f->point]) &&
           (f->point != POINT_MUFFLING || is_zero_last(r, f));
}

/* Index of the field being typed: given again, else the first that is owed (or asked for); -1: all are in. */
static int field_now(const struct scene *sc, const struct reading *r, const struct entry_field *fields[], int n)
{
    bool is_listeners = n > 0 && fields[0]->kind == EV_PAIR;
    int edit = sc->g->scratch[is_listeners ? SC_PAIR_EDIT : SC_EDIT] - 1;

    if (edit >= 0 && edit < n)
        return edit;
    for (int i = 0; i < n; i++)
        if (is_owed(r, fields[i]))
            return i;
    if (!is_listeners && is_silence_asked(sc, r))
        for (int i = 0; i < n; i++)
            if (fields[i]->is_optional && !has(r, fields[i]))
                return i;
    return -1;
}

bool entry_is_complete(const struct scene *sc, bool is_listeners)
{
    const struct entry_field *fields[ENTRY_FIELDS_MAX];
    const struct reading *r = sitting_current(sc->s);

    return r == NULL || field_now(sc, r, fields, fields_of(sc, r, is_listeners, fields)) < 0;
}

int32_t entry_edit_slot(const struct scene *sc, enum point point)
{
    const struct entry_field *fields[ENTRY_FIELDS_MAX];
    const struct reading *r = sitting_current(sc->s);
    int n = r != NULL ? fields_of(sc, r, false, fields) : 0;

    for (int i = 0; i < n; i++)
        if (fields[i]->point == point)
            return 1 + i;
    return 0;
}

static void entry_line(const struct scene *sc, struct page *pg, const struct reading *r, const struct entry_field *f, bool is_now)
{
    struct page_line *line = page_line(pg, LINE_FIELD, "%s", f->label);
    char figure[16];

    line->is_current = is_now;
    line->is_editing = is_now && sc->is_field;
    if (is_now && (sc->entry[0] != '\0' || !has(r, f))) {
        show_typed(sc, line);
    } else if (has(r, f) && pair_is_blind(sc->s)) {
        text_copy(line->value, sizeof line->value, "in, not shown");
    } else if (has(r, f)) {
        say_mmhg(sc, figure, value_of(r, f));
        text_copy(line->value, sizeof line->value, figure);
    }
}

static void entry_title(const struct scene *sc, struct page *pg, const struct reading *r, bool is_listeners)
{
    if (!pair_is_blind(sc->s))
        text_copy(pg->title, sizeof pg->title, "What the needle showed");
    else
        snprintf(pg->title, sizeof pg->title, "%s types: what the needle showed", is_listeners ? r->listener : sc->s->measurer);
}

static void entry_note(const struct scene *sc, struct page *pg)
{
    if (pair_is_blind(sc->s))
        page_line(pg, LINE_ROW, "What is typed here is shown to nobody before both are in.");
    else
        page_line(pg, LINE_NOTE, "%s", sc->s->reading_count > 1 ? "Earlier readings stay covered until all are in."
                                                                : "To the nearest line of the dial.");
}

static void entry_keys(const struct scene *sc, struct page *pg, const struct reading *r, bool is_listeners)
{
    page_key(pg, "enter", "accept");
    page_key(pg, "up", "line before");
    page_key(pg, "esc", "other keys");
    if (sc->s->is_standing)
        page_key(pg, "f", "feels faint");
    if (sc->is_field)
        return;
    if (is_listeners) {
        if (reading_lacks_pair(r))
            page_key(pg, "v", "give it up, because");
        return;
    }
    page_key(pg, "x", "there was a silence");
    if (reading_lacks_pair(r) || (!r->has_value[POINT_FIRST] && !r->has_value[POINT_LAST]))
        page_key(pg, "v", "give it up, because");
    if (pair_may_join(sc))
        page_key(pg, "l", r->listener[0] != '\0' ? "another listener" : "second listener");
}

static void entry_page(const struct scene *sc, struct page *pg, bool is_listeners)
{
    const struct entry_field *fields[ENTRY_FIELDS_MAX];
    const struct reading *r = sitting_current(sc->s);
    int n, now;

    if (r == NULL)
        return;
    n = fields_of(sc, r, is_listeners, fields);
    now = field_now(sc, r, fields, n);
    entry_title(sc, pg, r, is_listeners);
    for (int i = 0; i < n; i++)
        entry_line(sc, pg, r, fields[i], i == now);
    page_line(pg, LINE_GAP, "%s", "");
    if (now >= 0 && r->gap_answer == GAP_HEARD && fields[now]->kind == EV_VALUE && fields[now]->point == POINT_FIRST)
        page_line(pg, LINE_INSTRUCTION, "The very first one, above the silence. Enter keeps what stands.");
    else if (now >= 0 && fields[now]->note[0] != '\0')
        page_line(pg, LINE_INSTRUCTION, "%s", fields[now]->note);
    if (!is_listeners && r->has_value[POINT_TARGET] && r->value_mmhg[POINT_TARGET] < r->floor_mmhg && !sitting_is_witnessed(sc->s))
        page_line(pg, LINE_CAUTION, "That is below the figure shown before: this one will not count. Type on; it is kept.");
    entry_note(sc, pg);
    entry_keys(sc, pg, r, is_listeners);
}

void page_entry(const struct scene *sc, struct page *pg)
{
    entry_page(sc, pg, false);
}

void page_pair_entry(const struct scene *sc, struct page *pg)
{
    entry_page(sc, pg, true);
}

static void act_value(struct guide_action *out, const struct entry_field *f, int64_t mmhg)
{
    struct event *ev = act(out, f->kind);

    text_copy(ev->item, sizeof ev->item, f->item);
    ev->value = mmhg;
}

void entry_ask_silence(const struct scene *sc, struct guide *g)
{
    g->scratch[SC_GAP_FIELDS] = sc->s->reading_count;
    g->scratch[SC_GAP_SKIPPED] = 0;
    g->scratch[SC_EDIT] = 0;
    g->scratch[SC_OUT] = 0;
}

static bool entry_command(const struct scene *sc, struct guide *g, const struct key *k)
{
    switch (key_letter(k)) {
    case 'x':
        entry_ask_silence(sc, g);
        return true;
    case 'v':
        ask_text(g, EV_VOID, "");
        return true;
    case 'l':
        return pair_ask(sc, g);
    default:
        return false;
    }
}

static bool listeners_command(struct guide *g, const struct key *k)
{
    if (key_letter(k) != 'v')
        return false;
    ask_text(g, EV_VOID, "");
    return true;
}

static bool empty_enter(const struct scene *sc, struct guide *g, const struct key *k, const struct reading *r, const struct entry_field *f)
{
    int32_t *edit = &g->scratch[f->kind == EV_PAIR ? SC_PAIR_EDIT : SC_EDIT];

    if (k->code != KEY_ENTER || g->entry[0] != '\0')
        return false;
    /* Given before, or never owed: Enter leaves it as it is. */
    if (has(r, f) && *edit > 0) {
        *edit = 0;
        return true;
    }
    if (f->is_optional && !r->has_mark[f->point]) {
        g->scratch[SC_GAP_FIELDS] = 0;
        g->scratch[SC_GAP_SKIPPED] = sc->s->reading_count;
        g->scratch[SC_EDIT] = 0;
        return true;
    }
    return false;
}

static bool entry_key(const struct scene *sc, struct guide *g, const struct key *k, struct guide_action *out, bool is_listeners)
{
    const struct entry_field *fields[ENTRY_FIELDS_MAX];
    const struct reading *r = sitting_current(sc->s);
    int32_t top = sc->s->gauge_top_mmhg > 0 ? sc->s->gauge_top_mmhg : 300;
    int64_t mmhg;
    int n, now;

    if (r == NULL)
        return false;
    n = fields_of(sc, r, is_listeners, fields);
    now = field_now(sc, r, fields, n);
    if (now < 0)
        return false;
    if (!sc->is_field && (is_listeners ? listeners_command(g, k) : entry_command(sc, g, k)))
        return true;
    if (key_letter(k) == 'f' && faint_key(sc, g, out)) /* also within a figure, where a letter means nothing else */
        return true;
    if (k->code == KEY_UP_ARROW || k->code == KEY_DOWN_ARROW || k->code == KEY_TAB) {
        int to = now + (k->code == KEY_UP_ARROW ? -1 : 1);

        /* Only to what is given already, or back to what is owed. */
        g->entry[0] = '\0';
        g->scratch[is_listeners ? SC_PAIR_EDIT : SC_EDIT] = to >= 0 && to < n && has(r, fields[to]) ? 1 + to : 0;
        return true;
    }
    if (!sc->is_field)
        return false;
    if (empty_enter(sc, g, k, r, fields[now]))
        return true;
    if (number_key(g, k, top, &mmhg))
        act_value(out, fields[now], mmhg);
    return true;
}

bool key_entry(const struct scene *sc, struct guide *g, const struct key *k, struct guide_action *out)
{
    return entry_key(sc, g, k, out, false);
}

bool key_pair_entry(const struct scene *sc, struct guide *g, const struct key *k, struct guide_action *out)
{
    return entry_key(sc, g, k, out, true);
}

void page_readback(const struct scene *sc, struct page *pg)
{
    const struct entry_field *fields[ENTRY_FIELDS_MAX];
    const struct reading *r = sitting_current(sc->s);
    char said[24];
    int n;

    if (r == NULL)
        return;
    n = fields_of(sc, r, false, fields);
    text_copy(pg->title, sizeof pg->title, "Is this what the needle showed?");
    say_reading(sc, r, said);
    if (strlen(said) < sizeof pg->big && !sc->g->is_hidden)
        text_copy(pg->big, sizeof pg->big, said);
    for (int i = 0; i < n; i++)
        if (has(r, fields[i]))
            entry_line(sc, pg, r, fields[i], false);
    page_line(pg, LINE_INSTRUCTION, "After this it is final; a correction stays visible.");
    page_key(pg, "y", "yes, final");
    page_key(pg, "enter", "the same");
    page_key(pg, "u", "change");
    page_key(pg, "x", "there was a silence");
    if (sc->s->is_standing)
        page_key(pg, "f", "feels faint");
}

bool key_readback(const struct scene *sc, struct guide *g, const struct key *k, struct guide_action *out)
{
    switch (key_letter(k)) {
    case '\n':
    case 'y':
        act(out, EV_DONE);
        return true;
    case 'u':
        g->scratch[SC_EDIT] = 1;
        return true;
    case 'f':
        return faint_key(sc, g, out);
    default:
        return entry_command(sc, g, k);
    }
}

static const enum point CORRECTABLE[] = { POINT_FIRST, POINT_LAST, POINT_MUFFLING, POINT_TARGET };

void page_correct(const struct scene *sc, struct page *pg)
{
    const struct reading *r = &sc->s->readings[sc->s->reading_count > 0 ? sc->s->reading_count - 1 : 0];
    char figure[16];

    text_copy(pg->title, sizeof pg->title, "Correct which one?");
    for (size_t i = 0; i < ARRAY_LEN(CORRECTABLE); i++) {
        struct page_line *line = page_line(pg, LINE_ROW, "%d  %s", (int)i + 1, point_words(CORRECTABLE[i]));

        if (!r->has_value[CORRECTABLE[i]] || pair_is_unshown(r))
            continue;
        say_mmhg(sc, figure, r->value_mmhg[CORRECTABLE[i]]);
        text_copy(line->value, sizeof line->value, figure);
    }
    page_line(pg, LINE_NOTE, "Both the old and the new value stay on the log, with the reason.");
    page_key(pg, "1-4", "that one");
    page_key(pg, "esc", "back");
}

bool key_correct(const struct scene *sc, struct guide *g, const struct key *k, struct guide_action *out)
{
    int letter = key_letter(k);

    (void)sc;
    (void)out;
    if (key_closes(g, k))
        return true;
    if (letter < '1' || letter > '4')
        return false;
    guide_open_view(g, VIEW_CORRECT_VALUE);
    g->scratch[SC_POINT] = (int32_t)CORRECTABLE[letter - '1'];
    return true;
}

void page_correct_value(const struct scene *sc, struct page *pg)
{
    struct page_line *line;

    text_copy(pg->title, sizeof pg->title, "What should it be?");
    line = page_line(pg, LINE_FIELD, "%s", point_words((enum point)sc->g->scratch[SC_POINT]));
    show_typed(sc, line);
    line->is_current = true;
    line->is_editing = true;
    page_key(pg, "enter", "accept, then the reason");
    page_key(pg, "esc", "back");
}

bool key_correct_value(const struct scene *sc, struct guide *g, const struct key *k, struct guide_action *out)
{
    static const char *const ITEMS[POINT_COUNT] = { "target", "first", "", "", "muffling", "last" };
    int32_t point = g->scratch[SC_POINT];
    int64_t mmhg;

    (void)sc;
    (void)out;
    if (key_closes(g, k))
        return true;
    if (number_key(g, k, 300, &mmhg) && point >= 0 && point < POINT_COUNT) {
        ask_text(g, EV_CORRECT, ITEMS[point]);
        g->pending[0].value = mmhg;
    }
    return true;
}
