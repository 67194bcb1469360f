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
    [STEP_READINESS] = { "What happened in the last half hour can move the number more than many treatments do.", { KEY_COUNT } },
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

/* What the refusal rests on that led here: what it means, why it is so, its number and who says so. */
static void ground_lines(const struct scene *sc, struct page *pg)
{
    const struct ground *ground = ground_find(rule_id((enum rule)sc->g->scratch[SC_WHY_RULE]));
    struct origin origin;
    char by[ORIGIN_CAP];

    if (ground == NULL)
        return;
    origin = ground_origin(ground, sc->p);
    say_origin(&origin, by, sizeof by);
    page_line(pg, LINE_INSTRUCTION, "not yet: %s", ground->says);
    page_line(pg, LINE_ROW, "%s", ground->because);
    if (ground->key != 0)
        add_key_source(sc, pg, (enum protocol_key)(ground->key - 1));
    else
        page_line(pg, LINE_ROW, "who says so: %s", by);
    page_line(pg, LINE_NOTE, "The source's title, and what others say: stillarm why %s", ground->id);
}

static void item_lines(const struct scene *sc, struct page *pg, enum step step)
{
    char by[ORIGIN_CAP];

    for (int i = 0; i < sc->p->item_count; i++) {
        const struct protocol_item *it = &sc->p->items[i];

        if (it->step != step)
            continue;
        say_origin(&it->origin, by, sizeof by);
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

void page_why(const struct scene *sc, struct page *pg)
{
    enum step step = sc->step;
    const struct rule_cost *cost = rule_cost(STEP_RULES[step]);

    snprintf(pg->title, sizeof pg->title, "Why: %s", step_word(step));
    ground_lines(sc, pg);
    page_line(pg, LINE_INSTRUCTION, "%s", STEPS[step].why);
    if (cost != NULL)
        page_line(pg, LINE_ROW, "%s (%s)", cost->cost, cost->source);
    item_lines(sc, pg, step);
    for (const enum protocol_key *key = STEPS[step].keys; *key != KEY_COUNT; key++)
        if (!is_off(sc->p, *key))
            add_key_source(sc, pg, *key);
    page_line(pg, LINE_NOTE, "At any time: s stop here, q leave, h cover figures, 2 second person, d something happened.");
    page_line(pg, LINE_NOTE, "An aid to training and documentation. Your site's procedure comes first.");
    read_on_page(sc, pg);
    page_key(pg, "esc", "back");
}

#define LEAP 5 /* lines: where each takes two rows or three, a small screen still shows all that is leapt over */

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
        g->cursor = g->cursor == last ? 0 : g->cursor + LEAP < last ? g->cursor + LEAP : last;
    return true;
}

bool key_why(const struct scene *sc, struct guide *g, const struct key *k, struct guide_action *out)
{
    (void)out;
    if (!read_on_key(sc, g, k))
        guide_open_view(g, VIEW_AUTO); /* any other key goes back: nobody should be caught in an explanation */
    return true;
}
