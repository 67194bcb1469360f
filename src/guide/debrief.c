/* SPDX-License-Identifier: GPL-3.0-or-later */
/* After the seal: what was good, what slipped and what that costs, what to practise next. */
#include <stdio.h>
#include <string.h>

#include "guide/timeline.h"
#include "guide/views.h"
#include "guide/worth_page.h"

#define PRACTISE_MAX 3
#define LINES_AFTER 24 /* kept free on the page for what comes behind the costs of lapses */

static const char *const VOID_PRACTISE[VOID_REASON_COUNT] = {
    "Pump to the figure shown before the valve opens.",
    "Pump well above where the pulse went.",
    "Let the needle fall by one line a second.",
    "Let the needle fall by one line a second.",
    "Feel for the pulse slowly, ten at a time.",
    "Ask for silence before the squeeze.",
    "",
    "",
};

struct debrief {
    struct page *pg;
    const char *practise[PRACTISE_MAX];
    int practise_count;
    int slip_count;
};

static void practise(struct debrief *d, const char *what)
{
    if (what == NULL || what[0] == '\0' || d->practise_count >= PRACTISE_MAX)
        return;
    for (int i = 0; i < d->practise_count; i++)
        if (strcmp(d->practise[i], what) == 0)
            return;
    d->practise[d->practise_count++] = what;
}

/* Only a whole rest is ever accepted as ended, and only after one does a cuff go up. */
static bool rest_was_whole(const struct sitting *s, const struct attempt_tally *t, int counted)
{
    bool is_kept = s->given[EV_REST] > 0 && (s->rest == REST_ENDED || counted > 0);

    /* Before a witness it may have ended at any time. */
    for (int i = 0; i < sitting_lapses_kept(s); i++)
        is_kept = is_kept && (s->lapses[i].is_struck || (s->lapses[i].rule != RULE_REST_SHORT && s->lapses[i].rule != RULE_REST_MISSING));
    return is_kept && (t == NULL || (t->by_rule[RULE_REST_SHORT] == 0 && t->by_rule[RULE_REST_MISSING] == 0));
}

static void good(const struct sitting *s, const struct protocol *p, const struct attempt_tally *t, struct page *pg)
{
    int counted = 0, even = 0;

    for (int i = 0; i < s->reading_count; i++) {
        counted += reading_is_counted(&s->readings[i]);
        even += reading_is_counted(&s->readings[i]) && s->readings[i].rate_x10[1] > 0 &&
                !(s->readings[i].notes & (NOTE_RELEASE_QUICK | NOTE_RELEASE_SLOW));
    }
    if (rest_was_whole(s, t, counted))
        page_line(pg, LINE_ROW, "good: the whole rest of %d minutes was kept", (int)(p->value[KEY_REST_S] / 60));
    if (s->estimate == ESTIMATE_PALPATED)
        page_line(pg, LINE_ROW, "good: the pulse was felt for before listening");
    if (s->reading_count > 0)
        page_line(pg, LINE_ROW, "%s%d of %d readings count", counted > 0 ? "good: " : "", counted, (int)s->reading_count);
    if (even > 0)
        page_line(pg, LINE_ROW, "good: the air went out at an even pace in %d", even);
}

/* A sitting that was stopped is not praised for what it never came to: how far it went, and where the reason is. */
static void stopped(const struct sitting *s, struct page *pg)
{
    const struct { bool is_done; const char *words; } steps[] = {
        { s->arm != ARM_NONE, "the arm chosen" },
        { s->wrapped >= 0, "a cuff put on" },
        { s->rest == REST_ENDED, "the rest ended" },
        { s->pulse_bpm > 0, "the pulse counted" },
        { s->estimate == ESTIMATE_PALPATED, "the pulse felt for" },
        { s->reading_count > 0, "listened" },
    };
    char done[sizeof pg->lines[0].text];
    struct text t;
    bool is_any = false;

    text_init(&t, done, sizeof done);
    for (size_t i = 0; i < ARRAY_LEN(steps); i++) {
        if (!steps[i].is_done)
            continue;
        text_addf(&t, "%s%s", is_any ? ", " : "", steps[i].words);
        is_any = true;
    }
    page_line(pg, LINE_ROW, "until the stop: %s", is_any ? done : "no arm chosen, nothing measured");
    page_line(pg, LINE_ROW, "the reason for the stop is on the log");
}

static void slipped_attempts(struct debrief *d, const struct attempt_tally *t)
{
    for (int rule = RULE_NONE + 1; t != NULL && rule < RULE_COUNT; rule++) {
        const struct rule_cost *cost = rule_cost((enum rule)rule);

        if (t->by_rule[rule] == 0 || rule_is_slip((enum rule)rule) || cost == NULL)
            continue;
        page_line(d->pg, LINE_ROW, "tried before its time, %d x: %s (%s)", (int)t->by_rule[rule],
                  rule_words(rule_id((enum rule)rule)), rule_id((enum rule)rule));
        page_line(d->pg, LINE_COST, "   %s (%s)", cost->cost, cost->source);
        practise(d, cost->practise);
        d->slip_count++;
    }
}

static void slipped_items(struct debrief *d, const struct sitting *s, const struct protocol *p)
{
    for (int i = 0; i < p->item_count; i++) {
        if (s->items[i] != ITEM_WAIVED)
            continue;
        page_line(d->pg, LINE_ROW, "passed over: %s", p->items[i].say);
        if (p->items[i].cost[0] != '\0')
            page_line(d->pg, LINE_COST, "   %s (%s)", p->items[i].cost, p->items[i].cost_source);
        d->slip_count++;
    }
}

static void slipped_rules(struct debrief *d, const struct sitting *s)
{
    for (int rule = RULE_NONE + 1; rule < RULE_COUNT; rule++) {
        const struct rule_cost *cost = rule_cost((enum rule)rule);

        if (!s->waived_rules[rule])
            continue;
        page_line(d->pg, LINE_ROW, "passed over: %s (%s)", rule_words(rule_id((enum rule)rule)), rule_id((enum rule)rule));
        if (cost != NULL)
            page_line(d->pg, LINE_COST, "   %s (%s)", cost->cost, cost->source);
        d->slip_count++;
    }
}

static void slipped_readings(struct debrief *d, const struct sitting *s, const struct protocol *p)
{
    for (int i = 0; i < s->reading_count; i++) {
        const struct reading *r = &s->readings[i];

        for (int bit = 0; bit < VOID_REASON_COUNT; bit++) {
            if (!(r->voids & (1u << bit)))
                continue;
            page_line(d->pg, LINE_ROW, "reading %d: %s", i + 1, void_words(bit));
            practise(d, VOID_PRACTISE[bit]);
            d->slip_count++;
        }
        for (int bit = 0; bit < READING_REMARK_COUNT; bit++)
            if (r->notes & (1u << bit))
                page_line(d->pg, LINE_NOTE, "reading %d: %s", i + 1, note_words_of(s, p, r, bit));
        if (r->notes & NOTE_RELEASE_QUICK)
            practise(d, "Let the needle fall by one line a second.");
        if (r->notes & NOTE_TARGET_HIGH)
            practise(d, "Stop pumping at the figure shown.");
    }
}

/* Is it the first of its kind? What it costs is said once. */
static bool is_first_lapse(const struct sitting *s, int at)
{
    for (int i = 0; i < at; i++)
        if (!s->lapses[i].is_struck && s->lapses[i].rule == s->lapses[at].rule && s->lapses[i].item == s->lapses[at].item)
            return false;
    return true;
}

static void lapse_cost(struct page *pg, const struct protocol_item *item, const struct lapse *l)
{
    const struct rule_cost *cost = rule_cost((enum rule)l->rule);

    if (pg->line_count > PAGE_LINES_MAX - LINES_AFTER) /* of very many the lapses themselves come first */
        return;
    if (item != NULL && item->cost[0] != '\0')
        page_line(pg, LINE_COST, "   %s (%s)", item->cost, item->cost_source);
    else if (item == NULL && cost != NULL)
        page_line(pg, LINE_COST, "   %s (%s)", cost->cost, cost->source);
}

/* One departure that was seen: when, what was asked, what was, and what that costs. */
static void lapse_lines(struct page *pg, const struct sitting *s, const struct protocol *p, int at)
{
    const struct lapse *l = &s->lapses[at];
    const struct protocol_item *item = lapse_item(l, p);
    const char *rule = rule_id((enum rule)l->rule), *word = l->is_struck ? "taken back: noted" : "lapse";
    char have[80], need[80], when[12];

    say_clock(when, l->t_ms);
    if (item != NULL)
        page_line(pg, LINE_ROW, "%s %s after the opening: asked: %s; was: %s (%s)", word, when, item->say, l->have, item->id);
    else
        page_line(pg, LINE_ROW, "%s %s after the opening: %s Asked: %s; was: %s (%s)", word, when, rule_words(rule),
                  say_seconds_short(l->need, need), say_seconds_short(l->have, have), rule);
    if (l->is_struck)
        page_line(pg, LINE_NOTE, "   by the witness, because: %s", l->why);
    else if (is_first_lapse(s, at))
        lapse_cost(pg, item, l);
}

void guide_witnessed_lines(const struct sitting *s, const struct protocol *p, struct page *out)
{
    int kept = sitting_lapses_kept(s);
    struct assessment a;

    if (!sitting_is_witnessed(s))
        return;
    if (sitting_assess(s, p, &a))
        page_line(out, LINE_ROW, "%s, before %s: %d lapse%s, %d of them critical; not seen: %d", a.has_passed ? "passed" : "not passed",
                  s->witness, a.lapses, a.lapses == 1 ? "" : "s", a.critical, a.unseen);
    for (int i = 0; i < kept; i++)
        lapse_lines(out, s, p, i);
    if (s->lapse_count > kept)
        page_line(out, LINE_ROW, "and %d more, which the log has", s->lapse_count - kept);
    for (int i = 0; i < p->item_count; i++)
        if (s->items[i] == ITEM_UNSEEN)
            page_line(out, LINE_ROW, "not seen: %s", p->items[i].say);
}

/* Each is something to practise, too. */
static void witnessed(struct debrief *d, const struct sitting *s, const struct protocol *p)
{
    guide_witnessed_lines(s, p, d->pg);
    for (int i = 0; sitting_is_witnessed(s) && i < sitting_lapses_kept(s); i++) {
        const struct protocol_item *item = lapse_item(&s->lapses[i], p);
        const struct rule_cost *cost = rule_cost((enum rule)s->lapses[i].rule);

        if (s->lapses[i].is_struck)
            continue;
        practise(d, item != NULL ? item->say : cost != NULL ? cost->practise : NULL);
        d->slip_count++;
    }
}

void guide_debrief(const struct sitting *s, const struct protocol *p, const struct attempt_tally *t, struct page *out)
{
    struct debrief d = { .pg = out };
    bool is_stopped = s->phase == PHASE_STOPPED;

    text_copy(out->title, sizeof out->title, is_stopped ? "Stopped" : "Finished");
    good(s, p, t, out);
    witnessed(&d, s, p);
    slipped_attempts(&d, t);
    slipped_items(&d, s, p);
    slipped_rules(&d, s);
    slipped_readings(&d, s, p);
    if (is_stopped)
        stopped(s, out);
    else if (d.slip_count == 0)
        page_line(out, LINE_ROW, "nothing slipped");
    page_line(out, LINE_GAP, "%s", "");
    for (int i = 0; i < d.practise_count; i++)
        page_line(out, LINE_INSTRUCTION, "to practise: %s", d.practise[i]);
    if (d.practise_count == 0 && !is_stopped)
        page_line(out, LINE_INSTRUCTION, "to practise: the same again, with less help on the screen.");
}
