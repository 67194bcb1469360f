/* SPDX-License-Identifier: GPL-3.0-or-later */
/** @file progress_take.c  Which readings and pairs count, and what a sitting adds to a record (docs/progress.md). */
#include "command/progress_take.h"

#include <stdlib.h>
#include <string.h>

#include "command/workplace.h"
#include "stillarm/text.h"

/* ---- a reading as it was heard ---- */

void replayed_note(struct replayed *r, const struct event *ev)
{
    const struct sitting *s = &r->sitting;
    if (ev->kind != EV_DONE || s->reading_count < 1)
        return;
    const struct reading *of = &s->readings[s->reading_count - 1];
    struct heard *h = &r->heard[s->reading_count - 1];
    *h = (struct heard){ .has_values = true, .has_pair = of->listener[0] && !reading_lacks_pair(of), .voids = of->voids,
                         .rate_x10 = { of->rate_x10[0], of->rate_x10[1] } };
    h->mmhg[SIDE_SYSTOLIC][EAR_MEASURER] = reading_systolic_mmhg(of);
    h->mmhg[SIDE_DIASTOLIC][EAR_MEASURER] = reading_diastolic_mmhg(of);
    if (!h->has_pair)
        return;
    const struct reading pair = reading_of_pair(of);
    h->mmhg[SIDE_SYSTOLIC][EAR_LISTENER] = reading_systolic_mmhg(&pair);
    h->mmhg[SIDE_DIASTOLIC][EAR_LISTENER] = reading_diastolic_mmhg(&pair);
}

/* ---- items that were open ---- */

/* NULL where there is no more room. */
static struct open_item *open_item_of(struct open_item *list, int *count, const char *id)
{
    for (int i = 0; i < *count; i++)
        if (strcmp(list[i].id, id) == 0)
            return &list[i];
    if (!id[0] || *count == OPEN_ITEMS_MAX)
        return NULL;
    struct open_item *fresh = &list[(*count)++];
    *fresh = (struct open_item){ 0 };
    text_copy(fresh->id, sizeof fresh->id, id);
    return fresh;
}

void replayed_refuse(struct replayed *r, enum rule rule, const char *have)
{
    r->refused[rule]++;
    struct open_item *item = rule == RULE_ITEM_OPEN ? open_item_of(r->open_items, &r->open_item_count, have) : NULL;
    if (item)
        item->refused++;
}

static void add_open_items(struct progress *p, const struct replayed *r)
{
    for (int i = 0; i < r->open_item_count; i++) {
        struct open_item *item = open_item_of(p->open_items, &p->open_item_count, r->open_items[i].id);
        if (item)
            item->refused += r->open_items[i].refused;
    }
}

/* ---- voids ---- */

/* After `done` only a correction changes them. */
static uint32_t voids_of(const struct replayed *r, int index)
{
    const struct heard *h = &r->heard[index];
    return h->has_values ? h->voids : r->sitting.readings[index].voids;
}

/* ---- cells ---- */

static size_t place_of(const struct cells *c, const char *subject, int32_t arm)
{
    uint32_t hash = UINT32_C(2166136261) ^ (uint32_t)arm;
    for (const char *at = subject; *at; at++)
        hash = (hash ^ (unsigned char)*at) * UINT32_C(16777619);
    size_t i = hash & (c->cap - 1);
    while (c->list[i].is_used && (c->list[i].arm != arm || strcmp(c->list[i].subject, subject) != 0))
        i = (i + 1) & (c->cap - 1);
    return i;
}

static bool make_room(struct cells *c)
{
    if (4 * (c->count + 1) <= 3 * c->cap)
        return true;
    struct cells wider = { .cap = c->cap ? 2 * c->cap : 64, .count = c->count };
    wider.list = calloc(wider.cap, sizeof *wider.list);
    if (!wider.list)
        return false;
    for (size_t i = 0; i < c->cap; i++)
        if (c->list[i].is_used)
            wider.list[place_of(&wider, c->list[i].subject, c->list[i].arm)] = c->list[i];
    free(c->list);
    *c = wider;
    return true;
}

static struct cell *cell_of(struct cells *c, const char *subject, int32_t arm)
{
    if (!make_room(c))
        return NULL;
    struct cell *found = &c->list[place_of(c, subject, arm)];
    if (!found->is_used) {
        found->is_used = true;
        found->arm = arm;
        text_copy(found->subject, sizeof found->subject, subject);
        c->count++;
    }
    return found;
}

void cells_free(struct cells *c)
{
    free(c->list);
    *c = (struct cells){ 0 };
}

/* A subject whose other arm was read already is the same subject. */
static bool is_known_subject(const struct cells *c, int nth, const char *subject)
{
    for (int32_t arm = ARM_NONE; arm < ARM_COUNT; arm++) {
        const struct cell *at = &c->list[place_of(c, subject, arm)];
        if (at->is_used && at->is_in[nth])
            return true;
    }
    return false;
}

/* ---- pairs ---- */

static void take_day(int32_t day, int32_t *first, int32_t *last)
{
    if (day > 0 && (*first == 0 || day < *first))
        *first = day;
    if (day > *last)
        *last = day;
}

static void note_listener(struct gathering *g, const char *id)
{
    for (int i = 0; i < g->listener_count; i++)
        if (strcmp(g->listeners[i], id) == 0)
            return;
    if (g->listener_count < LISTENERS_MAX)
        text_copy(g->listeners[g->listener_count++], ITEM_CAP, id);
}

static bool add_pair(struct gathering *g, int nth, struct cells *c, const struct gather_frame *f, const struct replayed *r, int index)
{
    const struct heard *h = &r->heard[index];
    const struct reading *of = &r->sitting.readings[index];
    struct agree_pair pair;
    struct cell *cell = cell_of(c, r->sitting.subject, of->arm);
    if (!cell)
        return false;
    g->subjects += !is_known_subject(c, nth, r->sitting.subject);
    cell->is_in[nth] = true;
    for (int side = 0; side < SIDE_COUNT; side++) {
        for (int ear = 0; ear < EAR_COUNT; ear++)
            pair.value[side][ear] = (int64_t)h->mmhg[side][ear] * AGREE_UNIT;
        difference_grid_add(&g->p->grid[side], pair.value[side][EAR_MEASURER], pair.value[side][EAR_LISTENER]);
    }
    const int64_t wrong_before = g->tally.learning.wrong;
    agree_add(&g->tally, &cell->sums[nth], &f->agree, &pair);
    learning_path_add(&g->p->path, &g->tally.learning, g->tally.learning.wrong == wrong_before);
    note_listener(g, of->listener);
    g->p->pairs_unread += !r->is_read;
    g->p->pairs_unsigned += r->is_unsigned;
    take_day(r->day, &g->p->first_pair_day, &g->p->last_pair_day);
    return true;
}

static bool take_pair(struct gathering *g, int nth, struct cells *c, const struct gather_frame *f, const struct replayed *r, int index)
{
    if (!r->heard[index].has_pair)
        return true;
    if (voids_of(r, index)) {
        g->p->pairs_void++;
        return true;
    }
    bool is_other = !f->is_preceptor(f->user, r->sitting.readings[index].listener);
    g->p->pairs_other += is_other;
    return (is_other && f->yardstick->is_preceptor_only) || add_pair(g, nth, c, f, r, index);
}

/* ---- readings ---- */

/* Between the sounds it decides what is heard; above them it is all that is left where nothing else was observed. */
static void add_release(struct progress *p, const struct replayed *r, int index, bool is_counted)
{
    const struct heard *h = &r->heard[index];
    int32_t rate = h->rate_x10[1] ? h->rate_x10[1] : h->rate_x10[0];
    if (rate <= 0)
        return;
    uint32_t remark = release_remark(rate, r->sitting.pulse_bpm, r->protocol);
    p->releases_observed++;
    p->releases_quick += (remark & NOTE_RELEASE_QUICK) != 0;
    p->releases_slow += (remark & NOTE_RELEASE_SLOW) != 0;
    if (p->release_count == RELEASES_MAX) {
        memmove(&p->releases[0], &p->releases[1], (RELEASES_MAX - 1) * sizeof p->releases[0]);
        p->release_count--;
    }
    p->releases[p->release_count++] = (struct release_point){ .day = r->day, .rate_x10 = rate, .is_counted = is_counted };
}

static void take_reading(struct progress *p, const struct replayed *r, int index)
{
    const struct heard *h = &r->heard[index];
    uint32_t voids = voids_of(r, index);
    bool is_counted = h->has_values && voids == 0;
    p->readings++;
    p->counted += is_counted;
    for (int bit = 0; bit < VOID_REASON_COUNT; bit++)
        p->voids[bit] += (voids & (1u << bit)) != 0;
    for (int side = 0; is_counted && side < SIDE_COUNT; side++)
        digit_tally_add(&p->digits[side], (int64_t)h->mmhg[side][EAR_MEASURER] * AGREE_UNIT);
    if (h->has_values)
        add_release(p, r, index, is_counted);
}

/* ---- the sitting ---- */

static int waived_in(const struct replayed *r)
{
    int n = 0;
    for (int i = 0; i < r->protocol->item_count; i++)
        n += r->sitting.items[i] == ITEM_WAIVED;
    for (int rule = 0; rule < RULE_COUNT; rule++)
        n += r->sitting.waived_rules[rule] != 0;
    return n;
}

static int lapsed_in(const struct replayed *r)
{
    return sitting_is_witnessed(&r->sitting) ? r->sitting.lapse_count - r->sitting.struck_count : 0;
}

static void add_lapse(struct progress *p, const struct lapse *l, const struct protocol *protocol)
{
    const struct protocol_item *of = lapse_item(l, protocol);
    struct open_item *item = of ? open_item_of(p->open_items, &p->open_item_count, of->id) : NULL;
    p->lapsed[l->rule]++;
    if (item)
        item->lapsed++;
}

static void add_lapses(struct progress *p, const struct replayed *r)
{
    const struct sitting *s = &r->sitting;
    for (int i = 0; sitting_is_witnessed(s) && i < sitting_lapses_kept(s); i++)
        if (!s->lapses[i].is_struck)
            add_lapse(p, &s->lapses[i], r->protocol);
}

static bool is_clean(const struct replayed *r)
{
    for (int rule = 0; rule < RULE_COUNT; rule++)
        if (r->refused[rule] && !rule_is_slip((enum rule)rule))
            return false;
    for (int i = 0; i < r->sitting.reading_count; i++)
        if (voids_of(r, i))
            return false;
    return r->sitting.phase == PHASE_SEALED && waived_in(r) == 0 && lapsed_in(r) == 0;
}

static void take_course(struct progress *p, const struct replayed *r)
{
    const struct sitting *s = &r->sitting;
    struct assessment a;
    p->sealed += s->phase == PHASE_SEALED;
    p->stopped += s->phase == PHASE_STOPPED;
    p->clean += is_clean(r);
    p->unsigned_count += r->is_unsigned;
    p->witnessed += sitting_is_witnessed(s);
    p->witnessed_passed += sitting_assess(s, r->protocol, &a) && a.has_passed;
    p->waived += waived_in(r);
    for (int rule = 0; rule < RULE_COUNT; rule++)
        p->refused[rule] += r->refused[rule];
    add_open_items(p, r);
    add_lapses(p, r);
    p->release_low_x10 = r->protocol->value[KEY_RELEASE_LOW_X10];
    p->release_high_x10 = r->protocol->value[KEY_RELEASE_HIGH_X10];
    p->release_slack_x10 = r->protocol->value[KEY_RELEASE_SLACK_X10];
    take_day(r->day, &p->first_day, &p->last_day);
}

void gathering_begin(struct gathering *g, const struct gather_frame *f, struct progress *p)
{
    memset(g, 0, sizeof *g);
    memset(p, 0, sizeof *p);
    g->p = p;
    agree_begin(&g->tally, &f->agree);
    learning_path_begin(&p->path);
}

bool gathering_take(struct gathering *g, int nth, struct cells *c, const struct gather_frame *f, const struct replayed *r)
{
    take_course(g->p, r);
    for (int i = 0; i < r->sitting.reading_count; i++) {
        if (!r->sitting.readings[i].is_done)
            continue;
        take_reading(g->p, r, i);
        if (!take_pair(g, nth, c, f, r, i))
            return false;
    }
    return true;
}

void gathering_end(struct gathering *g, int nth, struct cells *c, const struct gather_frame *f, int32_t day)
{
    struct record *rec = &g->p->record;
    for (size_t i = 0; i < c->cap; i++)
        if (c->list[i].is_used && c->list[i].is_in[nth])
            agree_close_subject(&g->tally, &c->list[i].sums[nth]);
    agreement_of(&g->tally, &rec->agreement);
    rec->count[RECORD_PAIRS] = rec->agreement.n;
    rec->count[RECORD_SUBJECTS] = g->subjects;
    rec->count[RECORD_LISTENERS] = g->listener_count;
    rec->count[RECORD_SITTINGS] = g->p->sealed;
    rec->count[RECORD_CLEAN_SHARE] = g->p->clean;
    rec->count[RECORD_WITNESSED_PASSED] = g->p->witnessed_passed;
    rec->count[RECORD_DAYS_SINCE_PAIR] = g->p->last_pair_day > 0 ? days_between(g->p->last_pair_day, day) : 0;
    yardstick_judge(f->yardstick, rec, &g->p->result);
}
