/* SPDX-License-Identifier: GPL-3.0-or-later */
/* How events fared: refusals in words, and what a restart cost. */
#include <stdio.h>
#include <string.h>

#include "guide/views.h"

/* Refusals whose sentence alone does not tell which thing is meant. */
static bool is_among(enum rule rule, const enum rule *list, size_t count)
{
    for (size_t i = 0; i < count; i++)
        if (list[i] == rule)
            return true;
    return false;
}

static bool names_have(enum rule rule)
{
    static const enum rule LIST[] = { RULE_STEP_NEEDS,     RULE_ITEM_OPEN,   RULE_VALUE_ODD,  RULE_CUFF_TOO_SMALL,
                                      RULE_CUFF_TOO_LARGE, RULE_KIT_FAILED, RULE_READINGS_FEW };
    return is_among(rule, LIST, ARRAY_LEN(LIST));
}

static bool names_need(enum rule rule)
{
    static const enum rule LIST[] = { RULE_VALUE_RANGE, RULE_ESTIMATE_ORDER, RULE_CUFF_TOO_SMALL, RULE_CUFF_TOO_LARGE };

    return is_among(rule, LIST, ARRAY_LEN(LIST));
}

/* `posture: posture.back` ends in an item's id: say the item instead. */
static const char *have_words(const struct refusal *why, const struct protocol *p)
{
    const char *tail = why->have;

    for (const char *c = why->have; *c != '\0'; c++)
        if (c[0] == ':' && c[1] == ' ')
            tail = c + 2;
    int item = p != NULL ? protocol_find_item(p, tail) : -1;
    return item >= 0 ? p->items[item].say : why->have;
}

/* What these name in brackets is a figure that was typed, or made of one: covered with the others. */
static bool is_of_figures(enum rule rule)
{
    return rule == RULE_VALUE_ODD || rule == RULE_ESTIMATE_ORDER;
}

static void say_refusal(const struct refusal *why, const struct protocol *p, bool is_hidden, char *out, size_t cap)
{
    bool is_covered = is_hidden && is_of_figures(why->rule);
    bool is_have = !is_covered && names_have(why->rule) && why->have[0] != '\0';
    bool is_need = !is_covered && names_need(why->rule) && why->need[0] != '\0';
    size_t len = strlen(why->sentence);
    bool is_stopped = len > 0 && why->sentence[len - 1] == '.';
    struct text t;

    text_init(&t, out, cap);
    /* What the brackets name belongs to the sentence: its stop comes after them. */
    text_addf(&t, "not yet: %.*s", (int)(is_stopped ? len - 1 : len), why->sentence);
    /* The sentence goes on after a colon. */
    if (cap > 10 && out[9] >= 'A' && out[9] <= 'Z')
        out[9] = (char)(out[9] - 'A' + 'a');
    if (is_have || is_need)
        text_addf(&t, " (%s%s%s)", is_have ? have_words(why, p) : "", is_have && is_need ? "; " : "", is_need ? why->need : "");
    if (is_stopped)
        text_add(&t, ".");
    if (why->remedy[0] != '\0')
        text_addf(&t, " %s", why->remedy);
}

void guide_say_refusal(const struct refusal *why, char *out, size_t cap)
{
    say_refusal(why, NULL, false, out, cap);
}

/* Who looks on does not do what is missing, but says what was seen of it: of an item, or what the record has to have first. */
static void say_unsaid(const struct refusal *why, const struct protocol *p, char *out, size_t cap)
{
    static const struct {
        const char *need, *key;
    } FIRST[] = { { "arm", "a" }, { "gauge", "k" }, { "wrap", "w" } };
    const char *have = have_words(why, p);
    struct text t;

    text_init(&t, out, cap);
    if (have != why->have) {
        text_addf(&t, "not yet: nothing is said so far of '%s'. y seen, n not so, u not seen.", have);
        return;
    }
    text_addf(&t, "not yet: %s. That is written first", have);
    for (size_t i = 0; i < ARRAY_LEN(FIRST); i++)
        if (strcmp(why->need, FIRST[i].need) == 0)
            text_addf(&t, ": %s", FIRST[i].key);
    text_add(&t, ".");
}

void guide_applied(struct guide *g, const struct sitting *s, const struct protocol *p, int accepted, const struct refusal *why)
{
    if (accepted > 0) {
        g->scratch[SC_PICKED] = 0;
        g->scratch[SC_RAISED] = 0;
        g->scratch[SC_EDIT] = g->scratch[SC_THEN_EDIT];
        g->scratch[SC_REARM] = 0;
        g->scratch[SC_PAIR_EDIT] = 0;
        g->scratch[SC_WAIVE_RULE] = RULE_NONE;
    }
    g->scratch[SC_THEN_EDIT] = 0;
    pair_applied(g, s);
    if (why == NULL) {
        guide_open_view(g, VIEW_AUTO);
        return;
    }
    if (sitting_is_witnessed(s) && (why->rule == RULE_STEP_NEEDS || why->rule == RULE_ITEM_OPEN))
        say_unsaid(why, p, g->refusal, sizeof g->refusal);
    else
        say_refusal(why, p, g->is_hidden != 0 || pair_is_blind(s), g->refusal, sizeof g->refusal);
    g->scratch[SC_REFUSED] = (int32_t)why->rule;
    g->scratch[SC_REFUSED_KEY] = why->key;
    g->scratch[SC_FRESH] = rule_is_slip(why->rule) || why->rule == RULE_ESTIMATE_ORDER;
    if (why->rule > RULE_NONE && why->rule < RULE_COUNT) {
        g->attempts.by_rule[why->rule]++;
        g->scratch[SC_WAIVE_RULE] = p != NULL && p->is_waivable[why->rule] ? (int32_t)why->rule : RULE_NONE;
    }
}

void guide_resumed(struct guide *g, const struct sitting *before, const struct sitting *after, int64_t gap_ms)
{
    struct text t;
    char away[16];

    say_clock(away, gap_ms);
    text_init(&t, g->note, sizeof g->note);
    text_addf(&t, "Taken up again after %s.", away);
    if (before->inflation == INFLATION_LISTEN)
        text_add(&t, " The reading that was under way does not count. Let all air out of the cuff.");
    if (before->inflation == INFLATION_PALPATE)
        text_add(&t, " Feel the pulse again. Let all air out of the cuff.");
    if (before->rest != REST_NONE && after->rest == REST_NONE)
        text_add(&t, " The rest is lost: it begins again.");
}
