/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What a step is for: its items with what they cost and who says so, and its numbers with their sources. */
#include <stdio.h>
#include <string.h>

#include "guide/views.h"
#include "stillarm/ground.h"

static const struct {
    const char *why;
    enum protocol_key keys[14]; /* ended by KEY_COUNT */
} STEPS[STEP_COUNT] = {
    [STEP_OPENING] = { "Who, where, when and by which rules: without it nobody can judge the numbers later.",
                       { KEY_FIRST_ARMS, KEY_PRIOR_ARM, KEY_COUNT } },
    [STEP_READINESS] = { "What happened shortly before can move the number. Where a size is published, it stands under its line.", { KEY_COUNT } },
    [STEP_ARM] = { "An arm that may be used, bare, and held at the height of the heart.",
                   { KEY_FIRST_ARMS, KEY_ARMS_OVER_MMHG, KEY_ARMS_REPEAT, KEY_COUNT } },
    [STEP_CUFF] = { "A cuff that does not fit the arm gives another number.",
                   { KEY_CUFF_BY, KEY_CUFF_GAP_MM, KEY_BLADDER_WIDTH_PCT, KEY_BLADDER_LENGTH_PCT, KEY_COUNT } },
    [STEP_POSTURE] = { "Posture and talk add to the number.", { KEY_COUNT } },
    [STEP_REST] = { "The pressure needs minutes to come down to rest.",
                    { KEY_REST_S, KEY_REST_VALID_S, KEY_RENEW_AFTER_GAP_S, KEY_COUNT } },
    [STEP_KIT] = { "A needle that does not stand at zero is off all the way up.",
                   { KEY_ZERO_MAX_MMHG, KEY_LEAK_MAX_MMHG_PER_MIN, KEY_COMPARISON_MAX_MMHG, KEY_COUNT } },
    [STEP_ESTIMATE] = { "The pulse under the finger has no silent gap: it tells how far to pump.",
                        { KEY_PALPATE_START_MMHG, KEY_PALPATE_STEP_MMHG, KEY_MARGIN_MMHG, KEY_NO_ESTIMATE_FLOOR_MMHG, KEY_SETTLE_S,
                          KEY_USUAL, KEY_COUNT } },
    [STEP_LISTENING] = { "Slow enough to hear every beat, high enough to miss none, often enough to be sure.",
                         { KEY_MARGIN_MMHG, KEY_RELEASE_LOW_X10, KEY_RELEASE_HIGH_X10, KEY_RELEASE_VOID_X10, KEY_INTERVAL_MIN_S,
                           KEY_READINGS_MIN, KEY_ALONE_BELOW_SYSTOLIC_MMHG, KEY_ALONE_BELOW_DIASTOLIC_MMHG, KEY_EXTRA_OVER_MMHG,
                           KEY_READINGS_MAX, KEY_STANDING_READINGS, KEY_COUNT } },
    [STEP_CLOSING] = { "The subject has a right to the result, and a very high one needs an answer.",
                       { KEY_AVERAGE, KEY_TOLD, KEY_SEVERE_SYSTOLIC_MMHG, KEY_SEVERE_DIASTOLIC_MMHG, KEY_SEVERE_WHEN,
                         KEY_LOW_SYSTOLIC_MMHG, KEY_LOW_DIASTOLIC_MMHG, KEY_VISIT_SD_X10, KEY_COUNT } },
};

static const enum rule STEP_RULES[STEP_COUNT] = {
    [STEP_CUFF] = RULE_CUFF_TOO_SMALL, [STEP_REST] = RULE_REST_SHORT, [STEP_ESTIMATE] = RULE_ESTIMATE_MISSING,
    [STEP_LISTENING] = RULE_INTERVAL_SHORT,
};

/* The number that objected; where the rule does not tell it, all that it rests on. */
static void ground_numbers(const struct scene *sc, struct page *pg, const struct ground *ground)
{
    enum protocol_key key;

    if (sc->g->scratch[SC_WHY_KEY] > 0) {
        add_key_source(sc, pg, (enum protocol_key)(sc->g->scratch[SC_WHY_KEY] - 1));
        return;
    }
    for (int nth = 0; ground_key_of(ground, nth, &key); nth++)
        add_key_source(sc, pg, key);
}

/* What the refusal rests on that led here: what it means, why it is so, its number and who says so. */
static void ground_lines(const struct scene *sc, struct page *pg)
{
    const struct ground *ground = ground_find(rule_id((enum rule)sc->g->scratch[SC_WHY_RULE]));
    struct origin origin;
    char by[SOURCE_SAID_CAP];

    if (ground == NULL)
        return;
    page_line(pg, LINE_INSTRUCTION, "not yet: %s", ground->says);
    page_line(pg, LINE_ROW, "%s", ground->because);
    ground_numbers(sc, pg, ground);
    if (ground->key == 0) {
        origin = ground_origin(ground, sc->p);
        origin_say(&origin, by, sizeof by);
        page_line(pg, LINE_ROW, "who says so: %s", by);
    }
    page_line(pg, LINE_NOTE, "The source's title, and what others say: stillarm why %s", ground->id);
}

static void item_lines(const struct scene *sc, struct page *pg, enum step step)
{
    char by[SOURCE_SAID_CAP];

    for (int i = 0; i < sc->p->item_count; i++) {
        const struct protocol_item *it = &sc->p->items[i];

        if (it->step != step)
            continue;
        origin_say(&it->origin, by, sizeof by);
        page_line(pg, LINE_ROW, "%s (%s)", it->say, by);
        if (it->cost[0] != '\0')
            page_line(pg, LINE_NOTE, "   %s (%s)", it->cost, it->cost_source);
    }
}

/* What a protocol does without is no reason for anything. */
static bool is_off(const struct protocol *p, enum protocol_key key)
{
    static const enum protocol_key ZERO_IS_NEVER[] = { KEY_ALONE_BELOW_SYSTOLIC_MMHG, KEY_ALONE_BELOW_DIASTOLIC_MMHG,
                                                       KEY_STANDING_READINGS, KEY_LOW_SYSTOLIC_MMHG, KEY_LOW_DIASTOLIC_MMHG,
                                                       KEY_CUFF_GAP_MM };

    for (size_t i = 0; i < ARRAY_LEN(ZERO_IS_NEVER); i++)
        if (ZERO_IS_NEVER[i] == key)
            return p->value[key] == 0;
    return false;
}

static void step_lines(const struct scene *sc, struct page *pg)
{
    const struct rule_cost *cost = rule_cost(STEP_RULES[sc->step]);

    page_line(pg, LINE_INSTRUCTION, "%s", STEPS[sc->step].why);
    if (cost != NULL)
        page_line(pg, LINE_ROW, "%s (%s)", cost->cost, cost->source);
    if (sc->p == NULL)
        return;
    item_lines(sc, pg, sc->step);
    for (const enum protocol_key *key = STEPS[sc->step].keys; *key != KEY_COUNT; key++)
        if (!is_off(sc->p, *key))
            add_key_source(sc, pg, *key);
}

/* ---- very high and low ---- */

static void high_lines(const struct scene *sc, struct page *pg)
{
    const int32_t *value = sc->p->value;
    bool is_at = value[KEY_SEVERE_WHEN] == SEVERE_AT;

    page_line(pg, LINE_INSTRUCTION, is_at ? "Very high: systolic %d or more, or diastolic %d or more, mmHg."
                                          : "Very high: systolic above %d, or diastolic above %d, mmHg.",
              (int)value[KEY_SEVERE_SYSTOLIC_MMHG], (int)value[KEY_SEVERE_DIASTOLIC_MMHG]);
    add_key_source(sc, pg, KEY_SEVERE_SYSTOLIC_MMHG);
    add_key_source(sc, pg, KEY_SEVERE_DIASTOLIC_MMHG);
    add_key_source(sc, pg, KEY_SEVERE_WHEN);
    page_line(pg, LINE_ROW, "Symptoms are asked about first: published answers differ by signs of damage, at once with them, within "
              "days without (SEV-1, SEV-2, published). Which to ask about: SEV-7, from memory.");
}

static void low_lines(const struct scene *sc, struct page *pg)
{
    const int32_t *value = sc->p->value;

    if (value[KEY_LOW_SYSTOLIC_MMHG] > 0)
        page_line(pg, LINE_INSTRUCTION, "Low: systolic below %d mmHg.", (int)value[KEY_LOW_SYSTOLIC_MMHG]);
    if (value[KEY_LOW_DIASTOLIC_MMHG] > 0)
        page_line(pg, LINE_INSTRUCTION, "Low: diastolic below %d mmHg.", (int)value[KEY_LOW_DIASTOLIC_MMHG]);
    add_key_source(sc, pg, KEY_LOW_SYSTOLIC_MMHG);
    add_key_source(sc, pg, KEY_LOW_DIASTOLIC_MMHG);
    page_line(pg, LINE_ROW, "Whether the subject feels unwell or faint is asked first: then it is urgent, else advice will do "
              "(LOW-1, published).");
}

/* Covered, the page does not tell which of the two it was. */
static void alarm_lines(const struct scene *sc, struct page *pg)
{
    bool is_low = sitting_alarm(sc->s, sc->p) == ALARM_LOW, is_hidden = sc->is_covered;

    text_copy(pg->title, sizeof pg->title, is_hidden ? "Why: a value to answer" : is_low ? "Why: low" : "Why: very high");
    if (is_hidden || !is_low)
        high_lines(sc, pg);
    if (is_hidden || is_low)
        low_lines(sc, pg);
    page_line(pg, LINE_ROW, "%s (%s)", ground_find("severe.alone")->because, STANDING_WORDS[ground_find("severe.alone")->standing]);
    page_line(pg, LINE_ROW, "Your site's own text tells who is called, how soon, and what is written down: the program cannot know. It "
              "comes once the question is answered.");
    page_line(pg, LINE_NOTE, "What the sources say in full: stillarm why %s", is_low && !is_hidden ? "low_systolic_mmhg" : "severe.open");
}

/* ---- the opening: how far the protocol goes its own way ---- */

static void departure_lines(const struct protocol *p, struct page *pg)
{
    char said[DEVIATION_CAP];
    int count = protocol_deviations(p);

    protocol_say_asks(p, said, sizeof said);
    page_line(pg, LINE_INSTRUCTION, "%s: %s. It asks for %s.", p->id, p->title, said);
    if (count == 0)
        page_line(pg, LINE_ROW, "No place is known where it departs from its sources.");
    else
        page_line(pg, LINE_ROW, "It departs from its sources in %d place%s:", count, count == 1 ? "" : "s");
    for (int n = 0; protocol_say_deviation(p, n, said, sizeof said); n++) {
        /* A page holds so many lines: what it cannot hold is counted. */
        if (pg->line_count >= PAGE_LINES_MAX / 2 && n + 1 < count) {
            page_line(pg, LINE_ROW, "   and %d more: stillarm protocols %s", count - n, p->id);
            return;
        }
        page_line(pg, LINE_ROW, "   %s", said);
    }
}

void page_why(const struct scene *sc, struct page *pg)
{
    struct scene seen = *sc;

    snprintf(pg->title, sizeof pg->title, "Why: %s", step_word(sc->step));
    if (seen.p == NULL)
        seen.p = opening_protocol(sc);
    if (sc->derived == VIEW_OPENING && seen.p != NULL)
        departure_lines(seen.p, pg);
    ground_lines(&seen, pg);
    if (sc->derived == VIEW_SEVERE)
        alarm_lines(&seen, pg);
    else
        step_lines(&seen, pg);
    if (sc->p != NULL)
        page_line(pg, LINE_NOTE, "At any time: s stop here, q leave, h cover figures, 2 second person, d something happened.");
    page_line(pg, LINE_NOTE, "An aid to training and documentation. Your site's procedure comes first.");
    read_on_page(sc, pg);
    page_key(pg, "esc", "back");
}

#define LEAP_ROWS 11 /* what the smallest screen shows between what is above and what is below */
#define LEAP_COLUMNS 44 /* of a row there, where the next word does not fit any more */

/* As far as the smallest screen still shows all that is leapt over. */
static int leap(const struct page *pg, int from)
{
    int rows = 0, to = from;

    while (to + 1 < pg->line_count) {
        rows += 1 + (int)strlen(pg->lines[to + 1].text) / LEAP_COLUMNS;
        if (rows > LEAP_ROWS && to > from)
            break;
        to++;
    }
    return to;
}

void read_on_page(const struct scene *sc, struct page *pg)
{
    if (pg->line_count > 0)
        pg->lines[sc->g->cursor < pg->line_count ? sc->g->cursor : pg->line_count - 1].is_current = true;
    page_key(pg, "down", "read on");
    page_key(pg, "up", "back up");
    page_key(pg, "space", "a good deal on");
}

bool read_on_key(const struct scene *sc, struct guide *g, const struct key *k)
{
    struct page pg;
    int last;

    if (k->code != KEY_DOWN_ARROW && k->code != KEY_UP_ARROW && key_letter(k) != ' ')
        return false;
    page_init(&pg, PAGE_OPEN, "");
    view_row(sc->view)->page(sc, &pg);
    last = pg.line_count > 0 ? pg.line_count - 1 : 0;
    if (k->code == KEY_UP_ARROW)
        g->cursor -= g->cursor > 0;
    else if (k->code == KEY_DOWN_ARROW)
        g->cursor += g->cursor < last;
    else
        g->cursor = g->cursor == last ? 0 : leap(&pg, g->cursor);
    return true;
}

bool key_why(const struct scene *sc, struct guide *g, const struct key *k, struct guide_action *out)
{
    (void)out;
    if (!read_on_key(sc, g, k))
        guide_open_view(g, VIEW_AUTO); /* any other key goes back: nobody should be caught in an explanation */
    return true;
}
