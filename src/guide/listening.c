/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Before the squeeze, while the cuff is up, and the moments as a second person marks them. */
#include <stdio.h>
#include <string.h>

#include "guide/views.h"

static const struct reading *latest(const struct scene *sc)
{
    return sc->s->reading_count > 0 ? &sc->s->readings[sc->s->reading_count - 1] : NULL;
}

/* That two listeners differ is said with both values, where these are. */
static void add_voids(const struct scene *sc, struct page *pg, const struct reading *r, bool with_figures)
{
    for (int bit = 0; bit < VOID_REASON_COUNT; bit++)
        if (r->voids & (1u << bit)) {
            page_line(pg, LINE_CAUTION, "%s.", void_words(bit));
            page_line(pg, LINE_INSTRUCTION, "%s", void_remedy(bit));
        }
    for (int bit = 0; bit < READING_REMARK_COUNT; bit++)
        if ((r->notes & (1u << bit)) && !(with_figures && 1u << bit == NOTE_PAIR_DIFFERS))
            page_line(pg, LINE_NOTE, "note: %s.", note_words_of(sc->s, sc->p, r, bit));
}

void verdict_lines(const struct scene *sc, struct page *pg, bool with_figures)
{
    const struct reading *r = latest(sc);
    char said[24];

    if (r == NULL || !r->is_done)
        return;
    say_reading(sc, r, said);
    if (r->voids == 0)
        page_line(pg, LINE_ROW, "Reading %d%s%s counts.", (int)sc->s->reading_count, with_figures ? ": " : "", with_figures ? said : "");
    else
        page_line(pg, LINE_ROW, "Reading %d%s%s does not count, take it again:", (int)sc->s->reading_count, with_figures ? ": " : "",
                  with_figures ? said : "");
    add_voids(sc, pg, r, with_figures);
    if (with_figures)
        pair_lines(sc, pg, (int)sc->s->reading_count - 1);
}

static int64_t wait_ms(const struct scene *sc)
{
    int64_t from = listen_from_ms(sc);

    return from > sc->now_ms ? from - sc->now_ms : 0;
}

static void how_far(const struct scene *sc, struct page *pg, int32_t floor)
{
    int32_t margin = sc->p->value[KEY_MARGIN_MMHG];
    char at[16];

    if (sc->g->is_hidden) {
        text_copy(pg->big_note, sizeof pg->big_note, "figures are covered: h shows them");
    } else if (sc->s->heard_mmhg > 0 && sc->s->heard_mmhg + margin >= floor) {
        snprintf(pg->big_note, sizeof pg->big_note, "first heard at %d, and %d above", (int)sc->s->heard_mmhg, (int)margin);
    } else if (sc->s->estimate == ESTIMATE_PALPATED) {
        say_mmhg(sc, at, sc->s->gone_mmhg);
        snprintf(pg->big_note, sizeof pg->big_note, "pulse gone at %s, and %d above", at, (int)margin);
    } else if (sc->s->estimate == ESTIMATE_USUAL) {
        snprintf(pg->big_note, sizeof pg->big_note, "usually %d, and %d above", (int)sc->s->usual_mmhg, (int)margin);
    } else {
        text_copy(pg->big_note, sizeof pg->big_note, "no estimate: as far as the protocol says");
    }
}

static void repeat_line(const struct scene *sc, struct page *pg)
{
    if (repeat_is_due(sc))
        page_line(pg, LINE_INSTRUCTION, "%s, then take it again on the same arm, the %s.",
                  sc->g->is_hidden ? "Check cuff and arm" : "The last one was very high: check cuff and arm", arm_words(sc->s->arm));
}

static bool may_pass_repeat(const struct scene *sc)
{
    return repeat_is_due(sc) && sitting_readings_lack(sc->s, sc->p) == RULE_NONE && !more_is_asked(sc);
}

static void page_waiting(const struct scene *sc, struct page *pg, int64_t left)
{
    bool is_standing = sc->s->is_standing && sitting_standing_from_ms(sc->s, sc->p) == sc->now_ms + left;
    bool is_settling = latest(sc) == NULL || sc->s->last_inflation == INFLATION_PALPATE;

    text_copy(pg->title, sizeof pg->title, is_standing   ? "Standing, until the reading"
                                           : is_settling ? "Cuff empty, arm at rest"
                                                         : "Until the next reading");
    say_countdown(pg->big, left);
    pg->is_ticking = true;
    pg->big_ms = left;
    text_copy(pg->big_note, sizeof pg->big_note, is_standing ? "to stand, in silence" : is_settling ? "to settle" : "to wait, in silence");
    repeat_line(sc, pg);
    verdict_lines(sc, pg, true);
    irregular_line(sc, pg);
    if (is_standing)
        page_line(pg, LINE_CAUTION, "Stay close. Dizzy or faint: f, and let the subject sit or lie down.");
    else
        add_cost(pg, is_settling ? RULE_SETTLE_SHORT : RULE_INTERVAL_SHORT);
}

static void page_pump_to(const struct scene *sc, struct page *pg)
{
    bool is_capped = false;
    int32_t floor = sitting_floor_mmhg(sc->s, sc->p, &is_capped);
    char figure[16];

    if (sc->s->help == HELP_NONE) {
        /* How far to pump is part of what is to be shown without help. */
        text_copy(pg->title, sizeof pg->title, "Listen");
        return;
    }
    text_copy(pg->title, sizeof pg->title, "Pump to");
    say_mmhg(sc, figure, floor);
    text_copy(pg->big, sizeof pg->big, figure);
    how_far(sc, pg, floor);
    repeat_line(sc, pg);
    if (is_capped)
        page_line(pg, LINE_NOTE, "That is the top of this gauge; it is noted beside the reading.");
    page_line(pg, LINE_INSTRUCTION, "Let it fall by one line of the dial a second. After the last sound go on for %d, then let all the "
              "air out.", (int)sc->p->value[KEY_LISTEN_ON_MMHG]);
    verdict_lines(sc, pg, false);
    page_line(pg, LINE_NOTE, "%s", sc->g->has_second ? "The second person keeps the keys from here on."
                                                     : "Both hands are yours after the next key.");
}

void page_listen_before(const struct scene *sc, struct page *pg)
{
    int64_t left = wait_ms(sc);

    if (left > 0)
        page_waiting(sc, pg, left);
    else
        page_pump_to(sc, pg);
    pair_named_line(sc, pg);
    page_key(pg, "space", "squeezing now");
    if (sc->s->is_standing)
        page_key(pg, "f", "feels faint");
    if (may_pass_repeat(sc))
        page_key(pg, "t", "to the result");
    if (latest(sc) != NULL && latest(sc)->is_entered && sc->s->last_inflation == INFLATION_LISTEN)
        page_key(pg, "c", "correct the last one");
    if (sc->s->last_inflation == INFLATION_PALPATE)
        page_key(pg, "u", "change where it went");
    page_key(pg, "p", "feel the pulse again");
    page_key(pg, "l", "second listener");
    if (sc->s->purpose == PURPOSE_PRACTICE)
        page_key(pg, "b", sc->g->is_pacing ? "no pace band" : "pace band");
}

bool key_listen_before(const struct scene *sc, struct guide *g, const struct key *k, struct guide_action *out)
{
    switch (key_letter(k)) {
    case ' ':
        act_inflate(sc, out, "listen");
        pair_act(sc, out);
        return true;
    case 'f':
        return faint_key(sc, g, out);
    case 't':
        if (!may_pass_repeat(sc))
            return false;
        g->scratch[SC_NO_REPEAT] = sc->s->reading_count;
        return true;
    case 'c':
        if (latest(sc) == NULL)
            return false;
        guide_open_view(g, VIEW_CORRECT);
        return true;
    case 'u':
        if (sc->s->last_inflation != INFLATION_PALPATE)
            return false;
        guide_open_view(g, VIEW_ESTIMATE_ENTRY);
        return true;
    case 'l':
        return pair_ask(sc, g);
    case 'p':
        act_inflate(sc, out, "palpate");
        return true;
    default:
        return false;
    }
}

static bool is_void_now(const struct scene *sc)
{
    return latest(sc) != NULL && latest(sc)->voids != 0;
}

/* A rhythm, without a figure: one step for each line of the dial at the middle of the protocol's band. */
static int pace_step(const struct scene *sc)
{
    int32_t rate = (sc->p->value[KEY_RELEASE_LOW_X10] + sc->p->value[KEY_RELEASE_HIGH_X10]) / 2;
    int64_t up = sc->now_ms - sc->s->inflate_ms;

    if (!sc->g->is_pacing || sc->s->purpose != PURPOSE_PRACTICE || up < 0 || rate <= 0)
        return -1;
    return (int)(up * rate / 20000 % 1000000);
}

static void too_long(const struct scene *sc, struct page *pg)
{
    if (is_void_now(sc) && !sitting_is_witnessed(sc->s))
        page_line(pg, LINE_CAUTION, "This one does not count any more. Let all air out.");
    else if (sc->now_ms - sc->s->inflate_ms > protocol_ms(sc->p, KEY_INFLATION_LONG_S))
        page_line(pg, LINE_CAUTION, "The cuff has been up for long. Let all air out now.");
}

void page_listening(const struct scene *sc, struct page *pg)
{
    int64_t up = sc->now_ms - sc->s->inflate_ms;

    say_clock(pg->big, up);
    pg->is_ticking = true;
    pg->big_ms = up > 0 ? up : 0;
    pg->pace = pace_step(sc);
    text_copy(pg->big_note, sizeof pg->big_note, "listening");
    too_long(sc, pg);
    page_key(pg, "space", "all air out");
    if (sc->s->is_standing)
        page_key(pg, "f", "feels faint: all air out");
    page_key(pg, "i", "spoke");
    page_key(pg, "m", "moved");
    page_key(pg, "l", "second listener");
    page_key(pg, "s", "stop here");
}

bool key_cuff_up(const struct scene *sc, struct guide *g, const struct key *k, struct guide_action *out)
{
    int letter = key_letter(k);

    if (letter == 'f' && faint_key(sc, g, out))
        return true;
    if (letter == 'l' && sc->s->inflation == INFLATION_LISTEN)
        return pair_ask(sc, g);
    /* Not Enter: the hand adds that by habit. */
    if (letter != ' ' && letter != 'e')
        return false;
    act(out, EV_EMPTY);
    return true;
}

static const char *const MARK_ITEMS[POINT_COUNT] = { "release", "first", "silent", "return", "muffling", "last" };
static const char *const MARK_WORDS[POINT_COUNT] = { "release",    "first sound", "sounds fell silent", "sounds came back",
                                                     "muffled",    "last sound" };

/* The point that the next press of space gives; POINT_COUNT: all air out. */
static enum point next_mark(const struct scene *sc, const struct reading *r)
{
    static const enum point ORDER[] = { POINT_TARGET, POINT_FIRST, POINT_LAST };

    if (sc->g->scratch[SC_REARM] > 0)
        return (enum point)(sc->g->scratch[SC_REARM] - 1);
    for (size_t i = 0; i < ARRAY_LEN(ORDER); i++) {
        bool has_later = false;

        for (int later = (int)ORDER[i]; later < POINT_COUNT; later++)
            has_later = has_later || r->has_mark[later];
        /* Silence lies between the first and the last: it does not stand for the last. */
        if (ORDER[i] == POINT_LAST ? !r->has_mark[POINT_LAST] : !has_later)
            return ORDER[i];
    }
    return POINT_COUNT;
}

static void mark_line(const struct scene *sc, struct page *pg, const struct reading *r, enum point point, enum point next)
{
    bool is_rearmed = sc->g->scratch[SC_REARM] - 1 == (int32_t)point;
    struct page_line *line;

    if (!r->has_mark[point] && point != POINT_TARGET && point != POINT_FIRST && point != POINT_LAST)
        return;
    line = page_line(pg, LINE_ITEM, "%s", MARK_WORDS[point]);
    line->is_current = point == next;
    if (is_rearmed)
        text_copy(line->value, sizeof line->value, "again");
    else if (r->has_mark[point])
        say_clock(line->value, r->mark_ms[point] - r->inflate_ms);
}

void page_marks(const struct scene *sc, struct page *pg)
{
    const struct reading *r = latest(sc);
    enum point next;
    struct page_line *line;

    if (r == NULL)
        return;
    next = next_mark(sc, r);
    pg->pace = pace_step(sc);
    line = page_line(pg, LINE_ITEM, "squeeze");
    text_copy(line->value, sizeof line->value, "0:00");
    for (int point = 0; point < POINT_COUNT; point++)
        mark_line(sc, pg, r, (enum point)point, next);
    line = page_line(pg, LINE_ITEM, "air out");
    line->is_current = next == POINT_COUNT;
    page_line(pg, LINE_GAP, "%s", "");
    if (sc->g->scratch[SC_REARM] > 0)
        page_line(pg, LINE_NOTE, "The next press gives '%s' again; what came after it is dropped.", MARK_WORDS[next]);
    too_long(sc, pg);
    page_key(pg, "space", next == POINT_COUNT ? "all air out" : MARK_WORDS[next]);
    page_key(pg, "m", "muffled");
    page_key(pg, "x", r->has_mark[POINT_SILENT] || r->has_mark[POINT_LAST] ? "sound again" : "silence");
    page_key(pg, "u", "take back");
    page_key(pg, "e", "all air out");
    if (sc->s->is_standing)
        page_key(pg, "f", "feels faint: all air out");
    page_key(pg, "i", "interrupted");
    page_key(pg, "o", "moved");
    page_key(pg, "l", "second listener");
    page_key(pg, "s", "stop here");
}

static void act_mark(struct guide *g, struct guide_action *out, enum point point)
{
    g->scratch[SC_REARM] = 0;
    act_item(out, EV_MARK, MARK_ITEMS[point]);
}

/* The latest mark in the order of pressures, below the one that is already to be given again. */
static void take_back(const struct scene *sc, struct guide *g, const struct reading *r)
{
    int from = sc->g->scratch[SC_REARM] > 0 ? sc->g->scratch[SC_REARM] - 2 : POINT_COUNT - 1;

    for (int point = from; point >= 0; point--)
        if (r->has_mark[point]) {
            g->scratch[SC_REARM] = 1 + point;
            return;
        }
    if (sc->g->scratch[SC_REARM] == 0)
        say_no(g, "not yet: there is no moment to take back.");
}

bool key_marks(const struct scene *sc, struct guide *g, const struct key *k, struct guide_action *out)
{
    const struct reading *r = latest(sc);

    if (r == NULL)
        return false;
    switch (key_letter(k)) {
    case ' ':
        if (next_mark(sc, r) == POINT_COUNT)
            act(out, EV_EMPTY);
        else
            act_mark(g, out, next_mark(sc, r));
        return true;
    case 'm':
        act_mark(g, out, POINT_MUFFLING);
        return true;
    case 'x':
        act_mark(g, out, r->has_mark[POINT_SILENT] || r->has_mark[POINT_LAST] ? POINT_RETURN : POINT_SILENT);
        return true;
    case 'u':
        take_back(sc, g, r);
        return true;
    case 'e':
        act(out, EV_EMPTY);
        return true;
    case 'f':
        return faint_key(sc, g, out);
    case 'l':
        return pair_ask(sc, g);
    case 'o':
        /* Elsewhere m says this; here that is the muffling. */
        act_text(out, EV_MOVED, "somebody moved");
        return true;
    default:
        return false;
    }
}
