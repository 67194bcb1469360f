/* SPDX-License-Identifier: GPL-3.0-or-later */
/* From the arm's measure to the cuff that fits it; and the gauge, with which the cuffs at hand are written down. */
#include <stdio.h>
#include <string.h>

#include "guide/views.h"
#include "stillarm/cuff.h"

void page_circumference(const struct scene *sc, struct page *pg)
{
    struct page_line *line;

    text_copy(pg->title, sizeof pg->title, "Measure the arm");
    page_line(pg, LINE_INSTRUCTION, "Round the middle of the upper arm, the arm hanging loose. Centimetres, or inches with 'in'.");
    line = page_line(pg, LINE_FIELD, "round the %s", arm_words(sc->s->arm));
    text_copy(line->value, sizeof line->value, sc->entry);
    line->is_current = true;
    line->is_editing = sc->is_field;
    add_cost(pg, RULE_CUFF_TOO_SMALL);
    page_line(pg, LINE_NOTE, "Such as 31, 31.5 or 12.25in.");
    page_key(pg, "enter", "accept");
}

/* Typed without a unit, these are inches more often than centimetres: few arms are so thin. True: it has to be asked. */
static bool is_perhaps_inches(struct guide *g)
{
    enum { LEAST_MM = 203, MOST_MM = 559 }; /* 8 to 22 inches */
    char with_unit[GUIDE_ENTRY_CAP + 4], cm_said[24];
    struct err e;
    int32_t inches_mm, cm_mm;

    if (strspn(g->entry, "0123456789., ") != strlen(g->entry))
        return false;
    snprintf(with_unit, sizeof with_unit, "%sin", g->entry);
    if (parse_arm_mm(with_unit, &inches_mm, &e) != ST_OK || inches_mm < LEAST_MM || inches_mm > MOST_MM)
        return false;
    say_mm(cm_said, inches_mm);
    if (parse_arm_mm(g->entry, &cm_mm, &e) == ST_OK)
        say_no(g, "not yet: %s cm, or %s inches, which are %s? Type cm or in after it, then enter.", g->entry, g->entry, cm_said);
    else
        say_no(g, "not yet: %s cm is too little for an arm. If it is inches, %s: type in after it, then enter.", g->entry, cm_said);
    return true;
}

bool key_circumference(const struct scene *sc, struct guide *g, const struct key *k, struct guide_action *out)
{
    struct err e = { .text = "" };
    int32_t mm;

    (void)sc;
    if (k->code != KEY_ENTER) {
        type_key(g, g->entry, sizeof g->entry, 24, k);
        return true;
    }
    if (g->entry[0] == '\0')
        say_no(g, "not yet: measure round the arm, then type it, such as 31.5.");
    else if (is_perhaps_inches(g))
        return true;
    else if (parse_arm_mm(g->entry, &mm, &e) == ST_OK)
        act(out, EV_CIRCUMFERENCE)->value = mm;
    else
        say_no(g, "not yet: %s", e.text);
    return true;
}

/* Its place, or -1. */
static int cuff_at(const struct sitting *s, const char *id)
{
    for (int i = 0; i < s->cuff_count; i++)
        if (strcmp(s->cuffs[i].id, id) == 0)
            return i;
    return -1;
}

static bool has_cuff(const struct sitting *s, const char *id)
{
    return cuff_at(s, id) >= 0;
}

/* A cuff that the sitting has written down keeps the range that it was written down with; a bladder may be added. */
static struct cuff as_written(const struct sitting *s, const struct cuff *c)
{
    int at = cuff_at(s, c->id);

    struct cuff written = at >= 0 ? s->cuffs[at] : *c;

    if (written.bladder_width_mm == 0) {
        written.bladder_width_mm = c->bladder_width_mm;
        written.bladder_length_mm = c->bladder_length_mm;
    }
    return written;
}

/* The cuffs that could go on: the booth's in its order, then those of the sitting that the booth does not list. A number
 * so means the same cuff before and after one was written down. */
static void cuffs_at_hand(const struct scene *sc, struct sitting *with)
{
    int spare = CUFFS_MAX - sc->s->cuff_count; /* the sitting holds no more than these beside its own */

    *with = *sc->s;
    with->cuff_count = 0;
    for (int i = 0; i < sc->b->cuff_count && with->cuff_count < CUFFS_MAX; i++) {
        struct cuff c = { .low_mm = sc->b->cuffs[i].low_mm,
                          .high_mm = sc->b->cuffs[i].high_mm,
                          .bladder_width_mm = sc->b->cuffs[i].bladder_width_mm,
                          .bladder_length_mm = sc->b->cuffs[i].bladder_length_mm };

        text_copy(c.id, sizeof c.id, sc->b->cuffs[i].id);
        if (has_cuff(with, c.id) || (!has_cuff(sc->s, c.id) && spare-- <= 0))
            continue;
        with->cuffs[with->cuff_count++] = as_written(sc->s, &c);
    }
    for (int i = 0; i < sc->s->cuff_count && with->cuff_count < CUFFS_MAX; i++)
        if (!has_cuff(with, sc->s->cuffs[i].id))
            with->cuffs[with->cuff_count++] = sc->s->cuffs[i];
}

static const char *cuff_name(const struct scene *sc, const char *id)
{
    for (int i = 0; i < sc->b->cuff_count; i++)
        if (strcmp(sc->b->cuffs[i].id, id) == 0 && sc->b->cuffs[i].name[0] != '\0')
            return sc->b->cuffs[i].name;
    return id;
}

/* Offered: -1 when none fits, or when nothing was measured and any may be tried against its index line. */
static int offered_cuff(const struct scene *sc, const struct sitting *with)
{
    if (with->cuff_count == 0 || sc->s->help == HELP_NONE)
        return -1;
    if (sc->s->arm_mm == 0 && sc->p->value[KEY_CUFF_BY] != CUFF_BY_INDEX)
        return -1;
    if (sc->s->arm_mm == 0) /* the one that was tried first, on the other arm too */
        return sc->s->cuff_count > 0 ? cuff_at(with, sc->s->cuffs[0].id) : 0;
    return cuff_offer(with, sc->p, sc->s->arm_mm);
}

static void cuff_line(const struct scene *sc, struct page *pg, const struct sitting *with, int at, bool is_offered)
{
    static const char *const FITS[] = { "fits", "too small", "too large" };
    const struct cuff *c = &with->cuffs[at];
    struct page_line *line;
    char low[24], high[24];

    say_mm(low, c->low_mm);
    say_mm(high, c->high_mm);
    /* One unit for both ends: the row then holds on a line. */
    if (strlen(low) > 3)
        low[strlen(low) - 3] = '\0';
    line = page_line(pg, LINE_ROW, "%d  %s, %s to %s", at + 1, cuff_name(sc, c->id), low, high);
    line->is_current = is_offered;
    if (sc->s->arm_mm > 0 && sc->s->help != HELP_NONE)
        text_copy(line->value, sizeof line->value, FITS[cuff_fit_among(with, sc->p, at, sc->s->arm_mm)]);
}

static void bladder_part(struct text *t, const char *side, const char *way, int32_t mm, int32_t arm_mm, int32_t pct)
{
    if (mm * 100 < pct * arm_mm)
        text_addf(t, "%s%s %d %% of the arm %s, %d %% asked for", t->len > 0 ? "; " : "", side, (int)(mm * 100 / arm_mm), way, (int)pct);
}

/* A cuff can fit by its marks and its bladder still be small for the arm: said, never refused. */
void bladder_line(const struct scene *sc, struct page *pg, const struct cuff *c)
{
    char parts[120];
    struct text t;

    if (c->bladder_width_mm <= 0 || sc->s->arm_mm <= 0)
        return;
    text_init(&t, parts, sizeof parts);
    bladder_part(&t, "bladder", "wide", c->bladder_width_mm, sc->s->arm_mm, sc->p->value[KEY_BLADDER_WIDTH_PCT]);
    bladder_part(&t, "bladder", "long", c->bladder_length_mm, sc->s->arm_mm, sc->p->value[KEY_BLADDER_LENGTH_PCT]);
    if (parts[0] != '\0')
        page_line(pg, LINE_NOTE, "%s: %s. A small bladder reads high; it is noted.", cuff_name(sc, c->id), parts);
}

/* Why this one, where the marks alone do not say it. */
static void choice_line(const struct scene *sc, struct page *pg, const struct sitting *with, int offered)
{
    int fitting = 0;

    if (offered < 0 || sc->s->arm_mm == 0)
        return;
    for (int i = 0; i < with->cuff_count; i++)
        fitting += cuff_fit(&with->cuffs[i], sc->s->arm_mm) == CUFF_FITS;
    if (fitting == 0)
        page_line(pg, LINE_NOTE, "The arm lies between two marked ranges: the larger cuff goes on, as a small one reads high.");
    else if (fitting > 1)
        page_line(pg, LINE_NOTE, "More than one holds this arm: the larger goes on, as a small one reads high.");
}

void page_wrap(const struct scene *sc, struct page *pg)
{
    struct sitting with;
    int offered;
    char mm[24];

    cuffs_at_hand(sc, &with);
    offered = offered_cuff(sc, &with);
    text_copy(pg->title, sizeof pg->title, "Which cuff goes on?");
    say_mm(mm, sc->s->arm_mm);
    if (sc->s->arm_mm > 0)
        page_line(pg, LINE_INSTRUCTION, "The arm is %s round.", mm);
    for (int i = 0; i < with.cuff_count && i < 9; i++)
        cuff_line(sc, pg, &with, i, i == offered);
    if (with.cuff_count == 0)
        page_line(pg, LINE_CAUTION, "No cuff is listed here. Leave with q and add one under kit; the sitting stays open.");
    else if (offered < 0 && sc->s->help != HELP_NONE)
        page_line(pg, LINE_CAUTION, "None of these fits this arm. Fetch one that does, or stop here.");
    choice_line(sc, pg, &with, offered);
    if (offered >= 0)
        bladder_line(sc, pg, &with.cuffs[offered]);
    add_cost(pg, RULE_CUFF_TOO_SMALL);
    if (offered >= 0)
        page_key(pg, "enter", "this one goes on");
    page_key(pg, "1-9", offered >= 0 ? "another one" : "one of these");
    page_key(pg, "c", "measure again");
}

/* What the engine would refuse stays out: a slip in the kit's list must not hold up a sitting. */
static bool has_sound_bladder(const struct cuff *c)
{
    return c->bladder_width_mm >= 30 && c->bladder_width_mm < c->bladder_length_mm && c->bladder_length_mm <= c->high_mm;
}

static void act_cuff(const struct scene *sc, struct guide_action *out, const struct cuff *c)
{
    int at = cuff_at(sc->s, c->id);
    struct event *ev;

    if (at < 0) {
        act_item(out, EV_CUFF, c->id);
        ev = &out->events[out->count - 1];
        ev->value = c->low_mm;
        ev->value2 = c->high_mm;
    }
    if (has_sound_bladder(c) && (at < 0 || sc->s->cuffs[at].bladder_width_mm == 0)) {
        act_item(out, EV_BLADDER, c->id);
        ev = &out->events[out->count - 1];
        ev->value = c->bladder_width_mm;
        ev->value2 = c->bladder_length_mm;
    }
}

static void act_wrap(const struct scene *sc, struct guide_action *out, const struct sitting *with, int chosen)
{
    const struct cuff *c = &with->cuffs[chosen];
    int32_t arm_mm = sc->s->arm_mm;
    bool is_gap = cuff_fit(c, arm_mm) != CUFF_FITS && cuff_fit_among(with, sc->p, chosen, arm_mm) == CUFF_FITS;

    /* That it closes a gap can only be told beside the others. */
    for (int i = 0; i < with->cuff_count; i++)
        if (i == chosen || is_gap)
            act_cuff(sc, out, &with->cuffs[i]);
    act_item(out, EV_WRAP, c->id);
}

bool key_wrap(const struct scene *sc, struct guide *g, const struct key *k, struct guide_action *out)
{
    struct sitting with;
    int letter = key_letter(k), chosen;

    cuffs_at_hand(sc, &with);
    if (letter == 'c') {
        if (sc->is_overlay)
            guide_open_view(g, VIEW_CIRCUMFERENCE);
        else
            g->scratch[SC_EDIT] = 1;
        return true;
    }
    if (letter == '\n')
        chosen = offered_cuff(sc, &with);
    else if (letter >= '1' && letter <= '9')
        chosen = letter - '1';
    else
        return false;
    if (chosen < 0 || chosen >= with.cuff_count)
        say_no(g, "not yet: which one? The number stands before each cuff.");
    else
        act_wrap(sc, out, &with, chosen);
    return true;
}

static int default_gauge(const struct scene *sc)
{
    for (int i = 0; i < sc->b->gauge_count; i++)
        if (strcmp(sc->b->gauges[i].id, sc->b->default_gauge) == 0)
            return i;
    return sc->b->gauge_count == 1 ? 0 : -1; /* of several none is preferred: the measurer says which */
}

void gauge_lines(const struct scene *sc, struct page *pg)
{
    int chosen = default_gauge(sc);

    for (int i = 0; i < sc->b->gauge_count && i < 9; i++) {
        int due = sc->b->gauges[i].due;
        struct page_line *line =
            page_line(pg, LINE_ROW, "%d  %s%s, to %d mmHg", i + 1, sc->b->gauges[i].name[0] != '\0' ? "" : "gauge ",
                      sc->b->gauges[i].name[0] != '\0' ? sc->b->gauges[i].name : sc->b->gauges[i].id,
                      (int)sc->b->gauges[i].top_mmhg);

        snprintf(line->value, sizeof line->value, "due %04d-%02d-%02d", due / 10000, due / 100 % 100, due % 100);
        line->is_current = i == chosen;
    }
    if (sc->b->gauge_count == 0)
        page_line(pg, LINE_CAUTION, "No gauge is listed here. Leave with q and add one under kit; the sitting stays open.");
    if (chosen >= 0)
        page_key(pg, "enter", "this gauge, and the cuffs here");
    if (sc->b->gauge_count > 1)
        page_key(pg, "1-9", "the one of this number");
}

/* The latest checks go on the log: a gauge that failed one is refused at the squeeze. */
static void act_check(struct guide_action *out, const char *what, const struct gauge_check *check)
{
    struct event *ev;

    if (!check->is_given)
        return;
    ev = act(out, EV_CHECK);
    text_copy(ev->item, sizeof ev->item, what);
    ev->value = check->value;
    ev->value2 = check->date;
}

bool gauge_key(const struct scene *sc, struct guide *g, const struct key *k, struct guide_action *out)
{
    int letter = key_letter(k), chosen = letter == '\n' ? default_gauge(sc) : letter - '1';
    struct sitting with;
    struct event *ev;

    if (letter != '\n' && (letter < '1' || letter > '9'))
        return false;
    if (chosen < 0 || chosen >= sc->b->gauge_count) {
        say_no(g, "not yet: which one? The number stands before each gauge.");
        return true;
    }
    /* The gauge last: it may be refused as overdue, and the cuffs are at hand all the same. */
    cuffs_at_hand(sc, &with);
    for (int i = 0; i < with.cuff_count; i++)
        act_cuff(sc, out, &with.cuffs[i]);
    ev = act(out, EV_GAUGE);
    text_copy(ev->item, sizeof ev->item, sc->b->gauges[chosen].id);
    ev->value = sc->b->gauges[chosen].top_mmhg;
    ev->value2 = sc->b->gauges[chosen].due;
    act_check(out, "leak", &sc->b->gauges[chosen].leak);
    act_check(out, "comparison", &sc->b->gauges[chosen].comparison);
    act_check(out, "zero", &sc->b->gauges[chosen].zero);
    return true;
}
