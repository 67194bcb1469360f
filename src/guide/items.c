/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Things looked at or asked: confirmed by groups, passed over with a reason where that is allowed, or put right first. */
#include <stdio.h>
#include <string.h>

#include "guide/views.h"

static bool is_of(const struct scene *sc, int item, enum step step)
{
    return item >= 0 && item < sc->p->item_count && sc->p->items[item].step == step;
}

static bool is_open(const struct scene *sc, int item, enum step step)
{
    return is_of(sc, item, step) && sc->s->items[item] == ITEM_OPEN;
}

/* The item under the cursor: picked by the arrows, else the first that is open; -1 when the step has none. */
static int item_at(const struct scene *sc, enum step step)
{
    int first = -1;

    if (sc->g->scratch[SC_PICKED] && is_of(sc, sc->g->cursor, step))
        return sc->g->cursor;
    for (int i = 0; i < sc->p->item_count; i++) {
        if (is_open(sc, i, step))
            return i;
        if (first < 0 && is_of(sc, i, step))
            first = i;
    }
    return first;
}

/* Would `y` confirm this one? The open ones of the group, or the picked one alone. */
static bool is_meant(const struct scene *sc, int item, enum step step)
{
    int at = item_at(sc, step);

    if (at < 0 || !is_of(sc, item, step))
        return false;
    if (sc->g->scratch[SC_PICKED])
        return item == at;
    return is_open(sc, item, step) && sc->p->items[item].group == sc->p->items[at].group;
}

static int meant_count(const struct scene *sc, enum step step)
{
    int n = 0;

    for (int i = 0; i < sc->p->item_count; i++)
        n += is_meant(sc, i, step);
    return n;
}

static const char *item_say(const struct scene *sc, int item)
{
    const struct protocol_item *it = &sc->p->items[item];

    /* With no help only the thing's name is left, so that the presser still knows what is being confirmed. */
    return sc->s->help == HELP_NONE ? it->id : it->say;
}

void items_lines(const struct scene *sc, struct page *pg, enum step step)
{
    static const char *const STATES[] = { "", "yes", "passed over", "not so", "not seen" };
    bool is_quiet = false;

    for (int i = 0; i < sc->p->item_count; i++) {
        struct page_line *line;

        if (!is_of(sc, i, step))
            continue;
        line = page_line(pg, LINE_ITEM, "%s", item_say(sc, i));
        text_copy(line->value, sizeof line->value, STATES[sc->s->items[i]]);
        line->is_current = is_meant(sc, i, step);
        is_quiet = is_quiet || (line->is_current && sc->p->items[i].is_quiet);
    }
    page_line(pg, LINE_GAP, "%s", "");
    for (int i = 0; i < sc->p->item_count; i++)
        if (is_meant(sc, i, step) && sc->p->items[i].cost[0] != '\0')
            page_line(pg, LINE_COST, "%s", sc->p->items[i].cost);
    if (is_quiet)
        page_line(pg, LINE_INSTRUCTION, "Ask quietly.");
}

void items_keys(const struct scene *sc, struct page *pg, enum step step)
{
    int at = item_at(sc, step);

    if (at < 0)
        return;
    page_key(pg, "y", meant_count(sc, step) > 1 ? "as they should be" : "as it should be");
    page_key(pg, "n", "it is not");
    if (sc->p->items[at].is_waivable)
        page_key(pg, "w", "pass over, because");
    page_key(pg, "down", "next");
    page_key(pg, "up", "before");
}

/* n and w are about one thing; a group has to be told apart first. */
static bool is_one(const struct scene *sc, struct guide *g, enum step step)
{
    if (meant_count(sc, step) <= 1)
        return true;
    g->cursor = item_at(sc, step); /* first: what is picked decides what this finds */
    g->scratch[SC_PICKED] = 1;
    say_no(g, "Which one? Up and down pick it, then the same key again.");
    return false;
}

static void pick(const struct scene *sc, struct guide *g, enum step step, int by)
{
    int at = item_at(sc, step);

    if (at < 0)
        return;
    do
        at = (at + by + sc->p->item_count) % sc->p->item_count;
    while (!is_of(sc, at, step));
    g->cursor = at;
    g->scratch[SC_PICKED] = 1;
}

static void confirm_meant(const struct scene *sc, struct guide_action *out, enum step step)
{
    for (int i = 0; i < sc->p->item_count && out->count < GUIDE_EVENTS_MAX; i++)
        if (is_meant(sc, i, step))
            act_item(out, EV_CONFIRM, sc->p->items[i].id);
}

/* Where the protocol does not let it be passed over, the engine says so before anybody types a reason in vain. */
static void ask_waive(const struct scene *sc, struct guide *g, struct guide_action *out, int item)
{
    if (sc->p->items[item].is_waivable) {
        ask_text(g, EV_WAIVE, sc->p->items[item].id);
        return;
    }
    act_item(out, EV_WAIVE, sc->p->items[item].id);
    text_copy(out->events[0].text, sizeof out->events[0].text, "no reason asked for");
}

bool items_key(const struct scene *sc, struct guide *g, const struct key *k, struct guide_action *out, enum step step)
{
    int letter = key_letter(k), at = item_at(sc, step);

    if (at < 0)
        return false;
    if (k->code == KEY_UP_ARROW || k->code == KEY_DOWN_ARROW) {
        pick(sc, g, step, k->code == KEY_UP_ARROW ? -1 : 1);
        return true;
    }
    switch (letter) {
    case 'y':
        confirm_meant(sc, out, step);
        return true;
    case 'n':
        if (is_one(sc, g, step)) {
            at = item_at(sc, step);
            guide_open_view(g, VIEW_ITEM_NO);
            g->scratch[SC_NO_ITEM] = 1 + at;
        }
        return true;
    case 'w':
        if (is_one(sc, g, step))
            ask_waive(sc, g, out, item_at(sc, step));
        return true;
    case 'o':
        if (is_one(sc, g, step))
            ask_text(g, EV_REOPEN, sc->p->items[item_at(sc, step)].id);
        return true;
    default:
        return false;
    }
}

static const char *step_title(enum step step)
{
    static const char *const TITLES[STEP_COUNT] = {
        [STEP_READINESS] = "Before sitting down", [STEP_ARM] = "The arm", [STEP_CUFF] = "The cuff on the arm",
        [STEP_POSTURE] = "Sitting well", [STEP_KIT] = "The kit", [STEP_CLOSING] = "To close",
    };
    return TITLES[step] != NULL ? TITLES[step] : "";
}

static const char *lying_title(enum step step)
{
    return step == STEP_POSTURE ? "Lying well" : step == STEP_READINESS ? "Before lying down" : step_title(step);
}

static void other_arm_key(const struct scene *sc, struct page *pg)
{
    int32_t other = sc->s->arm == ARM_LEFT ? ARM_RIGHT : ARM_LEFT;

    if (!sc->s->is_barred[other])
        page_key(pg, other == ARM_RIGHT ? "r" : "l", "the other arm");
}

void page_items(const struct scene *sc, struct page *pg)
{
    text_copy(pg->title, sizeof pg->title, lies_first(sc->p) ? lying_title(sc->step) : step_title(sc->step));
    items_lines(sc, pg, sc->step);
    items_keys(sc, pg, sc->step);
    if (sc->step == STEP_ARM) {
        other_arm_key(sc, pg);
        page_key(pg, "x", "may not be used");
    }
    if (sc->step == STEP_CUFF && sc->s->wrapped >= 0)
        bladder_line(sc, pg, &sc->s->cuffs[sc->s->wrapped]);
    if (sc->step == STEP_READINESS)
        page_key(pg, "r", "recent meal, alcohol, medicine");
    if (sc->step == STEP_READINESS && sc->s->given[EV_RECENT] > 0)
        page_line(pg, LINE_NOTE, "A recent meal, alcohol or medicine is written down: %d.", (int)sc->s->given[EV_RECENT]);
}

bool key_items(const struct scene *sc, struct guide *g, const struct key *k, struct guide_action *out)
{
    int letter = key_letter(k);

    if (sc->step == STEP_READINESS && letter == 'r') {
        guide_open_view(g, VIEW_RECENT);
        return true;
    }
    if (sc->step == STEP_ARM && letter == 'x') {
        barred_open(sc, g);
        return true;
    }
    if (sc->step == STEP_ARM && (letter == 'l' || letter == 'r')) {
        act_item(out, EV_ARM, letter == 'l' ? "left" : "right");
        return true;
    }
    return items_key(sc, g, k, out, sc->step);
}

static int item_not_so(const struct scene *sc)
{
    int item = sc->g->scratch[SC_NO_ITEM] - 1;

    return item >= 0 && item < sc->p->item_count ? item : 0;
}

static const char *what_to_do(enum step step)
{
    static const char *const WORDS[STEP_COUNT] = {
        [STEP_READINESS] = "Wait until it is so, or take the sitting another time. If it will not become so, another protocol "
                           "may be the right one: stop here and ask.",
        [STEP_ARM] = "Put it right if that can be done. If this arm may not be used: x, and why; then the other one "
                     "is offered.",
        [STEP_CUFF] = "Take the cuff off, let all air out, and put it on again as it should be.",
        [STEP_POSTURE] = "Help the subject to it, then go on.",
        [STEP_KIT] = "Put it aside and take another one, or put it right before the cuff is pumped.",
        [STEP_CLOSING] = "Do it now; the sitting waits.",
    };
    return WORDS[step] != NULL ? WORDS[step] : "Put it right, then go on.";
}

/* Pregnancy has a protocol of its own: named where it is among those here. */
static void pregnancy_line(const struct scene *sc, struct page *pg, const struct protocol_item *it)
{
    if (strcmp(it->id, "ready.not-pregnant") != 0)
        return;
    for (int i = 0; i < sc->b->protocol_count; i++)
        if (strstr(sc->b->protocols[i].id, "pregnan") != NULL) {
            page_line(pg, LINE_INSTRUCTION, "For pregnancy, and the six weeks after a birth, there is the protocol %s (%s): stop here and "
                      "begin with that one.", sc->b->protocols[i].id, sc->b->protocols[i].title);
            return;
        }
    page_line(pg, LINE_INSTRUCTION, "Pregnancy needs a protocol made for it; none is among those here.");
}

void page_item_no(const struct scene *sc, struct page *pg)
{
    const struct protocol_item *it = &sc->p->items[item_not_so(sc)];

    text_copy(pg->title, sizeof pg->title, "Not as it should be yet");
    page_line(pg, LINE_ITEM, "%s", item_say(sc, item_not_so(sc)))->is_current = true;
    page_line(pg, LINE_GAP, "%s", "");
    page_line(pg, LINE_INSTRUCTION, "%s", what_to_do(it->step));
    pregnancy_line(sc, pg, it);
    if (it->cost[0] != '\0')
        page_line(pg, LINE_COST, "%s", it->cost);
    page_key(pg, "y", "it is now");
    if (it->is_waivable)
        page_key(pg, "w", "pass over, because");
    if (sc->s->items[item_not_so(sc)] != ITEM_OPEN)
        page_key(pg, "o", "take it back, because");
    if (it->step == STEP_ARM) {
        page_key(pg, "x", "this arm may not be used");
        other_arm_key(sc, pg);
    }
    page_key(pg, "esc", "back");
}

bool key_item_no(const struct scene *sc, struct guide *g, const struct key *k, struct guide_action *out)
{
    const struct protocol_item *it = &sc->p->items[item_not_so(sc)];

    if (key_closes(g, k))
        return true;
    switch (key_letter(k)) {
    case 'y':
        act_item(out, EV_CONFIRM, it->id);
        return true;
    case 'w':
        ask_waive(sc, g, out, item_not_so(sc));
        return true;
    case 'o':
        ask_text(g, EV_REOPEN, it->id);
        return true;
    case 'x':
        if (it->step != STEP_ARM)
            return false;
        barred_open(sc, g);
        return true;
    case 'l':
    case 'r':
        if (it->step != STEP_ARM)
            return false;
        act_item(out, EV_ARM, key_letter(k) == 'l' ? "left" : "right");
        return true;
    default:
        return false;
    }
}

/* The arm to suggest: the one that is left, the one the rules still want, the one used last time. */
enum arm suggested_arm(const struct scene *sc)
{
    const int32_t *is_barred = sc->s->is_barred;
    enum arm want = arm_wanted(sc);

    if (is_barred[ARM_LEFT] != is_barred[ARM_RIGHT])
        return is_barred[ARM_LEFT] ? ARM_RIGHT : ARM_LEFT;
    if (sc->s->arm != ARM_NONE && want != ARM_NONE && (int32_t)want != sc->s->arm)
        return want;
    if (sc->s->is_return && sc->s->prior_arm != ARM_NONE)
        return (enum arm)sc->s->prior_arm;
    return want;
}

/* Why it is back to an arm that has been read. */
static const char *back_because(const struct scene *sc, enum arm arm)
{
    if (repeat_is_due(sc) && sitting_is_high_alone(sc->s, sc->p, arm))
        return sc->g->is_hidden ? "a value there is to be taken again" : "its very high value is to be taken again";
    if (sitting_readings_lack(sc->s, sc->p) == RULE_ARMS_FEW)
        return "the arms lie far apart, so that each is read twice";
    return "it read higher, so the rest of the readings are taken there";
}

void page_arm(const struct scene *sc, struct page *pg)
{
    enum arm arm = suggested_arm(sc);
    bool is_one_barred = sc->s->is_barred[ARM_LEFT] != sc->s->is_barred[ARM_RIGHT];

    text_copy(pg->title, sizeof pg->title, sc->s->arm == ARM_NONE ? "Which arm?" : "Now the other arm");
    if (is_one_barred)
        page_line(pg, LINE_INSTRUCTION, "The %s may not be used: take the %s.", arm_words(arm == ARM_LEFT ? ARM_RIGHT : ARM_LEFT),
                  arm_words((int32_t)arm));
    else if (sc->s->arm != ARM_NONE && more_arm(sc) != ARM_NONE)
        page_line(pg, LINE_INSTRUCTION, "One more reading, on the %s: the result shows its average. It is set up anew.",
                  arm_words((int32_t)arm));
    else if (sc->s->arm != ARM_NONE && arm != ARM_NONE && (sitting_counted(sc->s, arm) > 0 || sitting_is_high_alone(sc->s, sc->p, arm)))
        page_line(pg, LINE_INSTRUCTION, "Back to the %s: %s. It is set up anew.", arm_words((int32_t)arm), back_because(sc, arm));
    else if (sc->s->arm != ARM_NONE)
        page_line(pg, LINE_INSTRUCTION, "Go on with the %s.", arm_words((int32_t)arm));
    else if (arm != ARM_NONE && sc->s->is_return)
        page_line(pg, LINE_INSTRUCTION, "Last time it was the %s: take the same one, unless it may not be used.", arm_words((int32_t)arm));
    else
        page_line(pg, LINE_INSTRUCTION, "Take an arm that may be used: no fistula, line or injury, no nodes cleared on that side.");
    if (!is_one_barred && !sc->s->is_return && sc->p->value[KEY_FIRST_ARMS] == FIRST_ARMS_BOTH)
        page_line(pg, LINE_NOTE, "First visit: both arms are read, either first.");
    if (arm != ARM_NONE)
        page_key(pg, "enter", arm_words((int32_t)arm));
    if (!sc->s->is_barred[ARM_LEFT])
        page_key(pg, "l", "left arm");
    if (!sc->s->is_barred[ARM_RIGHT])
        page_key(pg, "r", "right arm");
    page_key(pg, "x", is_one_barred ? "change what may be used" : "an arm may not be used");
    if (sc->s->arm != ARM_NONE && sc->p->is_waivable[RULE_ARMS_FEW])
        page_key(pg, "w", "not that arm, because");
}

bool key_arm(const struct scene *sc, struct guide *g, const struct key *k, struct guide_action *out)
{
    enum arm arm = ARM_NONE;

    switch (key_letter(k)) {
    case 'l':
        arm = ARM_LEFT;
        break;
    case 'r':
        arm = ARM_RIGHT;
        break;
    case '\n':
        arm = suggested_arm(sc);
        if (arm == ARM_NONE)
            say_no(g, "not yet: l or r, which arm is it?");
        break;
    case 'w':
        if (sc->s->arm == ARM_NONE)
            return false;
        ask_text(g, EV_WAIVE, rule_id(RULE_ARMS_FEW));
        return true;
    case 'x':
        barred_open(sc, g);
        return true;
    default:
        return false;
    }
    if (more_is_asked(sc) && (int32_t)arm == sc->s->arm && arm != ARM_NONE)
        g->scratch[SC_MORE_HERE] = g->scratch[SC_MORE];
    else if (arm != ARM_NONE)
        act_item(out, EV_ARM, ARM_WORDS[arm]);
    return true;
}
