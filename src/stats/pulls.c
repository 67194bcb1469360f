/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What is known to pull a result one way. It is said with its published size, and never corrected. */
#include <stdio.h>
#include <string.h>

#include "stats/stats.h"
#include "stillarm/cuff.h"
#include "stillarm/text.h"

#define ONE_SIZE_MM 100 /* an adult cuff marked to 34 cm: the next size ends at 44 cm (CUFF-2, CUFF-3) */

#define HIGH 1
#define LOW (-1)
#define NONE 0

struct effect {
    const char *what, *size, *source;
    enum standing standing;
    int systolic, diastolic;
};

static void add(struct worth *w, const struct effect *e)
{
    if (w->pull_count >= WORTH_PULLS_MAX)
        return;
    struct worth_pull *pull = &w->pulls[w->pull_count++];
    *pull = (struct worth_pull){
        .systolic = e->systolic, .diastolic = e->diastolic, .origin.standing = e->standing};
    (void)text_copy(pull->what, sizeof pull->what, e->what);
    (void)text_copy(pull->size, sizeof pull->size, e->size);
    (void)text_copy(pull->origin.source, sizeof pull->origin.source, e->source);
}

/* ---- the cuff ---- */

static const struct effect CUFF_ONE_SMALL = {
    "the cuff was a size too small", "+4.8/+1.8 mmHg", "WC-2", STANDING_PUBLISHED, HIGH, HIGH};
static const struct effect CUFF_TWO_SMALL = {
    "the cuff was two sizes too small", "+19.5/+7.4 mmHg", "WC-3", STANDING_PUBLISHED, HIGH, HIGH};
static const struct effect CUFF_LARGE = {
    "the cuff was too large", "-3.6/-1.3 mmHg", "WC-1", STANDING_PUBLISHED, LOW, LOW};

static const struct effect BLADDER_SMALL = {"the cuff's bladder was small for the arm",
                                            "+2.1 to +11.2/+1.6 to +6.6 mmHg",
                                            "WC-5",
                                            STANDING_PUBLISHED,
                                            HIGH,
                                            HIGH};

/* Only the cuff on the arm in use is known; a change of arm takes the waiver back with it. */
static void cuff_pulls(const struct sitting *s, const struct protocol *p, const struct taken *t,
                       struct worth *w)
{
    if (s->arm != (int32_t)t->arm || s->wrapped < 0 || s->wrapped >= s->cuff_count || s->arm_mm <= 0)
        return;
    const struct cuff *worn = &s->cuffs[s->wrapped];
    const enum cuff_fit fit = cuff_fit_among(s, p, s->wrapped, s->arm_mm);
    if (fit == CUFF_TOO_SMALL && s->waived_rules[RULE_CUFF_TOO_SMALL])
        add(w, s->arm_mm - worn->high_mm > ONE_SIZE_MM ? &CUFF_TWO_SMALL : &CUFF_ONE_SMALL);
    else if (sitting_cuff_notes(s, p) & (CUFF_NOTE_NARROW | CUFF_NOTE_SHORT))
        add(w, &BLADDER_SMALL);
    if (fit == CUFF_TOO_LARGE && s->waived_rules[RULE_CUFF_TOO_LARGE])
        add(w, &CUFF_LARGE);
}

/* ---- how it was read ---- */

static const struct effect QUICK = {
    "the release was quick", "-9 to -2.6/+2.1 to +6.3 mmHg", "DEFL-4", STANDING_MEMORY, LOW, HIGH};
static const struct effect GAP_MISSED = {
    "pumped up without an estimate: a silent gap may hide the first sound",
    "no figure; a gap may span 40 mmHg",
    "GAP-1",
    STANDING_PUBLISHED,
    LOW,
    NONE};

static void release_pulls(const struct sitting *s, const struct taken *t, struct worth *w)
{
    for (int i = 0; i < t->n; i++) {
        if (s->readings[t->index[i]].notes & NOTE_RELEASE_QUICK) {
            add(w, &QUICK);
            return;
        }
    }
}

static void gap_pulls(const struct sitting *s, const struct taken *t, struct worth *w)
{
    for (int i = 0; i < t->n; i++) {
        const struct reading *r = &s->readings[t->index[i]];
        if (r->gap_from_mmhg == 0 && r->gap_answer == GAP_NOT_ASKED &&
            s->waived_rules[RULE_ESTIMATE_MISSING]) {
            add(w, &GAP_MISSED);
            return;
        }
    }
}

/* Of two readings that differ by chance alone the lower lies 1/sqrt(pi) of their SD under what both estimate.
 */
static void selection_pulls(const struct protocol *p, const struct taken *t, struct worth *w)
{
    if (!t->is_lowest)
        return;
    const double sd = p->value[KEY_WITHIN_SYSTOLIC_SD_X10] / 10.0;
    char size[120];
    (void)snprintf(size, sizeof size, "on average -%.1f mmHg systolic, from the spread within a sitting",
                   sd * 0.56418958354775628695);
    const struct origin origin = protocol_origin(p, KEY_WITHIN_SYSTOLIC_SD_X10);
    struct effect lower = {"the lower of the last two was taken", size, origin.source, origin.standing, LOW, NONE};
    add(w, &lower);
}

/* ---- what was passed over ---- */

static const struct effect OVERDUE = {"the gauge was overdue for calibration",
                                      "either way; no figure for this gauge",
                                      "GAU-12",
                                      STANDING_PUBLISHED,
                                      NONE,
                                      NONE};

struct direction {
    const char *source;
    enum standing standing;
    int systolic, diastolic;
};

/* Which way the costs pull that the items name. A source that is not here is a site's own: said without a
 * direction. */
static const struct direction DIRECTIONS[] = {
    {"ERR-3", STANDING_PUBLISHED, HIGH, HIGH},   {"ERR-4", STANDING_PUBLISHED, HIGH, HIGH},
    {"ERR-5", STANDING_PUBLISHED, HIGH, HIGH},   {"ERR-6", STANDING_PUBLISHED, HIGH, HIGH},
    {"ERR-11", STANDING_PUBLISHED, HIGH, HIGH},  {"ERR-14", STANDING_PUBLISHED, HIGH, HIGH},
    {"ERR-15", STANDING_PUBLISHED, NONE, HIGH},  {"ERR-16", STANDING_PUBLISHED, HIGH, HIGH},
    {"ERR-17", STANDING_PUBLISHED, HIGH, HIGH},  {"ERR-18", STANDING_PUBLISHED, NONE, NONE},
    {"ERR-19", STANDING_MEMORY, HIGH, HIGH},     {"ERR-30", STANDING_PUBLISHED, HIGH, HIGH},
    {"ERR-31", STANDING_PUBLISHED, HIGH, HIGH},  {"ERR-32", STANDING_PUBLISHED, HIGH, HIGH},
    {"PLACE-4", STANDING_PUBLISHED, HIGH, HIGH}, {"REST-4", STANDING_PUBLISHED, HIGH, HIGH},
};

static void direct(struct effect *e)
{
    for (size_t i = 0; i < sizeof DIRECTIONS / sizeof DIRECTIONS[0]; i++) {
        const struct direction *d = &DIRECTIONS[i];
        if (strcmp(d->source, e->source) != 0)
            continue;
        e->standing = d->standing;
        e->systolic = d->systolic;
        e->diastolic = d->diastolic;
    }
}

static void item_pulls(const struct sitting *s, const struct protocol *p, struct worth *w)
{
    for (int i = 0; i < p->item_count && i < PROTOCOL_ITEMS_MAX; i++) {
        if (s->items[i] != ITEM_WAIVED || p->items[i].cost[0] == '\0')
            continue;
        char what[200];
        (void)snprintf(what, sizeof what, "passed over: %s", p->items[i].say);
        struct effect e = {.what = what,
                           .size = p->items[i].cost,
                           .source = p->items[i].cost_source,
                           .standing = STANDING_JUDGEMENT};
        direct(&e);
        add(w, &e);
    }
}

void stats_pulls(const struct sitting *s, const struct protocol *p, const struct taken *taken,
                 struct worth *w)
{
    cuff_pulls(s, p, taken, w);
    release_pulls(s, taken, w);
    gap_pulls(s, taken, w);
    selection_pulls(p, taken, w);
    if (s->waived_rules[RULE_KIT_OVERDUE] && s->gauge_due < s->date)
        add(w, &OVERDUE);
    item_pulls(s, p, w);
}
