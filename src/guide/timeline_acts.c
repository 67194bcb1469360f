/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What stands beside an act: required against actual, reasons, what it costs to pass over. */
#include <stdio.h>
#include <string.h>

#include "guide/timeline.h"
#include "guide/views.h"
#include "stillarm/cuff.h"

typedef void (*tell_fn)(struct timeline *t, const struct event *ev, int32_t seq, const struct before *b);

static void tell_plain(struct timeline *t, const struct event *ev, int32_t seq, const char *value)
{
    char words[SAY_CAP];

    say_act(ev, words, sizeof words);
    row_said(t, ev, seq, value, words);
}

static void tell_joined(struct timeline *t, const struct event *ev, int32_t seq, const struct before *b)
{
    char words[SAY_CAP], day[24];
    enum join join = act_join(ev->kind);

    (void)b;
    say_act(ev, words, sizeof words);
    say_day(t->told.day, day);
    if (ev->kind == EV_DATE)
        add_words(words, sizeof words, "on %s", t->told.has_date ? day : ev->text);
    else if (ev->text[0] != '\0')
        add_words(words, sizeof words, "%s%s", text_prefix(ev->kind), ev->text);
    row_join(t, seq, ev->t_ms, join, join_prefix(join), words);
}

static void tell_gauge(struct timeline *t, const struct event *ev, int32_t seq, const struct before *b)
{
    (void)b;
    tell_plain(t, ev, seq, t->sitting.date == 0 ? "" : ev->value2 < t->sitting.date ? "overdue" : "in time");
}

/* Acts of one kind that follow each other are one row until it is unfolded. */
static void tell_in_run(struct timeline *t, const struct event *ev, int32_t seq, struct run_act a)
{
    char words[SAY_CAP], name[ITEM_CAP];

    say_act(ev, words, sizeof words);
    a.words = ev->kind == EV_CONFIRM ? say_item(ev->item, name) : words + (ev->kind == EV_CHECK ? strlen("checked: ") : 0);
    a.seq = seq;
    a.t_ms = ev->t_ms;
    run_add(t, &a);
}

static void tell_confirm(struct timeline *t, const struct event *ev, int32_t seq, const struct before *b)
{
    int item = protocol_find_item(t->p, ev->item);

    (void)b;
    tell_in_run(t, ev, seq, (struct run_act){ .kind = RUN_ITEMS, .step = item >= 0 ? (int32_t)t->p->items[item].step : 0,
                                              .value = "", .is_named = true });
}

static void tell_cuff(struct timeline *t, const struct event *ev, int32_t seq, const struct before *b)
{
    (void)b;
    tell_in_run(t, ev, seq, (struct run_act){ .kind = RUN_CUFFS, .value = "", .is_named = ev->kind == EV_CUFF });
}

static void tell_check(struct timeline *t, const struct event *ev, int32_t seq, const struct before *b)
{
    static const struct { const char *item; enum protocol_key key; } LIMITS[] = {
        { "leak", KEY_LEAK_MAX_MMHG_PER_MIN }, { "comparison", KEY_COMPARISON_MAX_MMHG }, { "zero", KEY_ZERO_MAX_MMHG }
    };
    char value[48] = "";
    bool is_above = false;

    (void)b;
    for (size_t i = 0; i < ARRAY_LEN(LIMITS); i++)
        if (strcmp(LIMITS[i].item, ev->item) == 0) {
            is_above = ev->value > t->p->value[LIMITS[i].key];
            snprintf(value, sizeof value, "%s %d", is_above ? "above" : "at most", (int)t->p->value[LIMITS[i].key]);
        }
    if (is_above)
        tell_plain(t, ev, seq, value);
    else
        tell_in_run(t, ev, seq, (struct run_act){ .kind = RUN_CHECKS, .value = value, .is_named = true });
}

static void tell_wrap(struct timeline *t, const struct event *ev, int32_t seq, const struct before *b)
{
    static const char *const FITS[] = { [CUFF_FITS] = "fits", [CUFF_TOO_SMALL] = "too small", [CUFF_TOO_LARGE] = "too large" };
    const struct sitting *s = &t->sitting;
    char range[48], arm[24];

    (void)b;
    if (s->wrapped < 0 || s->wrapped >= s->cuff_count) {
        tell_plain(t, ev, seq, "");
        return;
    }
    say_range(s->cuffs[s->wrapped].low_mm, s->cuffs[s->wrapped].high_mm, range);
    say_mm(arm, s->arm_mm);
    if (s->arm_mm > 0)
        row_add(t, seq, true, ev->t_ms, FITS[cuff_fit_among(s, t->p, s->wrapped, s->arm_mm)], "cuff %s, %s, arm %s",
                ev->item, range, arm);
    else
        row_add(t, seq, true, ev->t_ms, "arm not measured", "cuff %s, %s", ev->item, range);
}

static void tell_rest(struct timeline *t, const struct event *ev, int32_t seq, const struct before *b)
{
    char value[48], asked[16], had[16];

    (void)b;
    say_clock(asked, protocol_ms(t->p, KEY_REST_S));
    say_clock(had, ev->t_ms - t->sitting.rest_began_ms);
    if (strcmp(ev->item, "begin") == 0)
        snprintf(value, sizeof value, "%s asked", asked);
    else {
        snprintf(value, sizeof value, "%s of %s", had, asked);
        overview_rest(t, ev->t_ms - t->sitting.rest_began_ms);
    }
    tell_plain(t, ev, seq, value);
}

/* `pulse felt at 70, 80, 90, gone at 100`: what stands in the row already is not said again. */
static const char *say_palpated(const struct timeline *t, const char *act)
{
    static const char FELT[] = "pulse felt at ", PULSE[] = "pulse ";
    int row = t->told.join == JOIN_MOMENTS ? (int)t->told.join_row : -1;

    if (row < 0 || strstr(t->rows[row].text, FELT) == NULL)
        return act;
    return act + (strncmp(act, FELT, strlen(FELT)) == 0 ? strlen(FELT) : strncmp(act, PULSE, strlen(PULSE)) == 0 ? strlen(PULSE) : 0);
}

static void tell_moment(struct timeline *t, const struct event *ev, int32_t seq, const struct before *b)
{
    char words[160], act[100], clock[16];

    say_act(ev, act, sizeof act);
    say_clock(clock, ev->t_ms - t->sitting.inflate_ms);
    if (ev->kind == EV_PALPATE)
        text_copy(words, sizeof words, say_palpated(t, act));
    else
        snprintf(words, sizeof words, "%s %s%s", act, ev->kind == EV_MARK && b->has_mark ? "again " : "", clock);
    row_join(t, seq, ev->t_ms, JOIN_MOMENTS, join_prefix(JOIN_MOMENTS), words);
}

static void tell_waive(struct timeline *t, const struct event *ev, int32_t seq, const struct before *b)
{
    const struct rule_cost *cost = rule_cost(rule_named(ev->item));
    int item = protocol_find_item(t->p, ev->item);

    (void)b;
    tell_plain(t, ev, seq, "passed over");
    if (item >= 0)
        row_add(t, seq, false, -1, "", "asked: %s", t->p->items[item].say);
    if (item >= 0 && t->p->items[item].cost[0] != '\0')
        row_add(t, seq, false, -1, "", "%s (%s)", t->p->items[item].cost, t->p->items[item].cost_source);
    if (item < 0 && cost != NULL)
        row_add(t, seq, false, -1, "", "%s (%s)", cost->cost, cost->source);
}

/* Before a witness: what the item asks stands below what was seen of it. */
static void tell_watched(struct timeline *t, const struct event *ev, int32_t seq, const struct before *b)
{
    int item = protocol_find_item(t->p, ev->item);

    (void)b;
    tell_plain(t, ev, seq, ev->kind == EV_LAPSE ? "not so" : "not seen");
    if (item >= 0)
        row_add(t, seq, false, -1, "", "asked: %s", t->p->items[item].say);
}

/* What was taken back is named below: by its number alone nobody would know it. */
static void tell_strike(struct timeline *t, const struct event *ev, int32_t seq, const struct before *b)
{
    const struct lapse *lapse = &t->sitting.lapses[ev->value - 1];
    const struct protocol_item *item = lapse_item(lapse, t->p);
    char says[160], have[80], need[80];

    (void)b;
    tell_plain(t, ev, seq, "");
    if (item != NULL)
        row_add(t, seq, false, -1, "", "noted: %s: %s", item->say, lapse->have);
    else
        row_add(t, seq, false, -1, "", "noted: %s: %s, asked %s", say_rule((enum rule)lapse->rule, says),
                say_seconds_short(lapse->have, have), say_seconds_short(lapse->need, need));
}

static void tell_resume(struct timeline *t, const struct event *ev, int32_t seq, const struct before *b)
{
    (void)b;
    if (ev->value < 0)
        row_add(t, seq, true, ev->t_ms, "", "the program was started anew; the machine's clock had gone back");
    else
        tell_plain(t, ev, seq, "");
}

static const tell_fn TELL[EV_COUNT] = {
    [EV_PROTOCOL] = tell_joined,    [EV_DATE] = tell_joined,    [EV_MEASURER] = tell_joined, [EV_SUBJECT] = tell_joined,
    [EV_VISIT] = tell_joined,       [EV_PRIOR_ARM] = tell_joined, [EV_PURPOSE] = tell_joined, [EV_PLACE] = tell_joined,
    [EV_HELP] = tell_joined,        [EV_WITNESS] = tell_joined, [EV_CUFF] = tell_cuff,       [EV_BLADDER] = tell_cuff,
    [EV_GAUGE] = tell_gauge,        [EV_CHECK] = tell_check,    [EV_WRAP] = tell_wrap,       [EV_REST] = tell_rest,
    [EV_INFLATE] = tell_inflate,    [EV_MARK] = tell_moment,    [EV_EMPTY] = tell_moment,    [EV_PALPATE] = tell_moment,
    [EV_TARGET] = tell_entry,       [EV_VALUE] = tell_entry,    [EV_PAIR] = tell_entry,      [EV_LISTENER] = tell_joined,
    [EV_GAP] = tell_joined,         [EV_DONE] = tell_done,      [EV_CORRECT] = tell_correct, [EV_VOID] = tell_void,
    [EV_CONFIRM] = tell_confirm,    [EV_WAIVE] = tell_waive,        [EV_LAPSE] = tell_watched,  [EV_UNSEEN] = tell_watched,  [EV_RESUME] = tell_resume,
    [EV_STRIKE] = tell_strike,
};

void tell_act(struct timeline *t, const struct event *ev, int32_t seq, const struct before *b)
{
    if (TELL[ev->kind] != NULL)
        TELL[ev->kind](t, ev, seq, b);
    else
        tell_plain(t, ev, seq, "");
}
