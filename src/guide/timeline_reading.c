/* SPDX-License-Identifier: GPL-3.0-or-later */
/* A reading in the timeline: what was waited for, what was typed, the verdict with its reasons, rates, pairs. */
#include <stdio.h>
#include <string.h>

#include "guide/timeline.h"
#include "guide/views.h"

static const struct reading *latest(const struct timeline *t)
{
    return t->sitting.reading_count > 0 ? &t->sitting.readings[t->sitting.reading_count - 1] : NULL;
}

/* ---- before the squeeze ---- */

static void span_row(struct timeline *t, int32_t seq, const char *what, int64_t had_ms, int32_t low_s, int32_t high_s)
{
    char had[16], low[16], high[16];

    if (had_ms < 0)
        return;
    say_span(had_ms, had);
    say_span((int64_t)low_s * 1000, low);
    say_span((int64_t)high_s * 1000, high);
    if (low_s == 0)
        row_add(t, seq, false, -1, "", "%s: %s of at most %s", what, had, high);
    else if (high_s == 0)
        row_add(t, seq, false, -1, "", "%s: %s of %s", what, had, low);
    else
        row_add(t, seq, false, -1, "", "%s: %s of %s to %s", what, had, low, high);
}

static void waits(struct timeline *t, int32_t seq, const struct before *b)
{
    const int32_t *value = t->p->value;

    if (b->rest_ms < 0)
        row_add(t, seq, false, -1, "", "no whole rest before it");
    span_row(t, seq, "after rest or squeeze", b->rest_ms, 0, value[KEY_REST_VALID_S]);
    span_row(t, seq, "settled", b->settle_ms, value[KEY_SETTLE_S], 0);
    span_row(t, seq, "interval", b->interval_ms, value[KEY_INTERVAL_MIN_S], value[KEY_INTERVAL_MAX_S]);
    if (b->standing_wait_s > 0)
        span_row(t, seq, "stood", b->stood_ms, b->standing_wait_s, b->standing_wait_s + value[KEY_STANDING_LATE_S]);
}

static void floor_row(struct timeline *t, int32_t seq, const struct reading *r)
{
    const struct sitting *s = &t->sitting;

    if (r->floor_mmhg == 0)
        row_add(t, seq, false, -1, "", "no estimate of how far to pump");
    else if (r->is_capped)
        row_add(t, seq, false, -1, "", "asked: pump to %d, the top of the gauge", (int)r->floor_mmhg);
    else if (s->estimate == ESTIMATE_PALPATED && s->gone_mmhg + t->p->value[KEY_MARGIN_MMHG] == r->floor_mmhg)
        row_add(t, seq, false, -1, "", "asked: pump to %d, the pulse gone at %d", (int)r->floor_mmhg, (int)s->gone_mmhg);
    else
        row_add(t, seq, false, -1, "", "asked: pump to %d", (int)r->floor_mmhg);
}

void tell_inflate(struct timeline *t, const struct event *ev, int32_t seq, const struct before *b)
{
    const struct reading *r = latest(t);
    bool is_listen = strcmp(ev->item, "listen") == 0 && r != NULL;

    if (is_listen)
        row_add(t, seq, true, ev->t_ms, "", "squeeze for reading %d, %s%s", (int)t->sitting.reading_count, arm_words(r->arm),
                r->is_standing ? ", standing" : "");
    else
        row_add(t, seq, true, ev->t_ms, "", "squeeze to feel the pulse, %s", arm_words(t->sitting.arm));
    tell_unseen(t, seq);
    waits(t, seq, b);
    overview_waits(t, b);
    if (is_listen)
        floor_row(t, seq, r);
    t->told.join = JOIN_MOMENTS;
    t->told.join_row = -1;
}

/* ---- values ---- */

/* A value of two listeners is not told before both are in: whoever looks on may be heard. */
static void keep_unseen(struct timeline *t, const struct event *ev)
{
    int n = t->told.unseen_count;

    if (n >= (int)ARRAY_LEN(t->told.unseen))
        return;
    t->told.unseen[n].is_pair = ev->kind == EV_PAIR;
    t->told.unseen[n].point = (int32_t)timeline_point(ev->item);
    t->told.unseen[n].mmhg = (int32_t)ev->value;
    t->told.unseen_count++;
}

void tell_entry(struct timeline *t, const struct event *ev, int32_t seq, const struct before *b)
{
    const struct reading *r = latest(t);
    bool is_unseen = ev->kind != EV_TARGET && r != NULL && r->listener[0] != '\0', is_again = ev->kind == EV_PAIR ? b->has_pair : b->has_value;
    char words[120], act[100];

    say_act(ev, act, sizeof act);
    if (is_unseen) {
        keep_unseen(t, ev);
        snprintf(words, sizeof words, "%s%s, unseen%s", ev->kind == EV_PAIR ? "second listener's " : "", point_words(timeline_point(ev->item)),
                 is_again ? ", again" : "");
    } else if (is_again) {
        snprintf(words, sizeof words, "%s, before that %d", act, (int)b->value_mmhg);
    } else if (ev->kind == EV_TARGET && r != NULL && r->floor_mmhg > 0) {
        snprintf(words, sizeof words, "%s of %d asked", act, (int)r->floor_mmhg);
    } else {
        text_copy(words, sizeof words, act);
    }
    row_join(t, seq, ev->t_ms, JOIN_ENTRY, join_prefix(JOIN_ENTRY), words);
}

/* ---- the verdict ---- */

static void unseen_rows(struct timeline *t, int32_t seq, bool is_pair)
{
    char said[SAY_CAP];
    struct text text;
    int n = 0;

    text_init(&text, said, sizeof said);
    for (int i = 0; i < t->told.unseen_count; i++) {
        if ((t->told.unseen[i].is_pair != 0) != is_pair || t->told.unseen[i].point >= POINT_COUNT)
            continue;
        text_addf(&text, "%s%s %d", n++ > 0 ? ", " : "", point_words((enum point)t->told.unseen[i].point), (int)t->told.unseen[i].mmhg);
    }
    if (n > 0)
        row_add(t, seq, false, -1, "", "%s typed: %s", is_pair ? "second listener" : "measurer", said);
}

void tell_unseen(struct timeline *t, int32_t seq)
{
    unseen_rows(t, seq, false);
    unseen_rows(t, seq, true);
    t->told.unseen_count = 0;
}

static void pair_row(struct timeline *t, int32_t seq, const struct reading *r)
{
    int first, last;

    if (r->listener[0] == '\0')
        return;
    tell_unseen(t, seq);
    if (!guide_pair_differs_by(r, &first, &last)) {
        row_add(t, seq, false, -1, "", "second listener %s: no values", r->listener);
        return;
    }
    row_add(t, seq, false, -1, r->notes & NOTE_PAIR_DIFFERS ? "further apart" : "together",
            "second listener %s: %d/%d, differs by %+d/%+d, up to %d asked", r->listener, (int)r->pair_mmhg[POINT_FIRST],
            reading_diastolic_mmhg(r) + last, first, last, (int)t->p->value[KEY_PAIR_OVER_MMHG]);
}

static const char *rate_verdict(const struct timeline *t, int rate_x10)
{
    const int32_t *value = t->p->value;

    if (rate_x10 > value[KEY_RELEASE_HIGH_X10])
        return "quicker";
    if (rate_x10 >= value[KEY_RELEASE_LOW_X10])
        return "within";
    return release_drop_per_beat_x100(rate_x10, t->sitting.pulse_bpm) < value[KEY_RELEASE_BEAT_X100] ? "slower" : "slow, as the pulse";
}

static void rate_rows(struct timeline *t, int32_t seq, const struct reading *r)
{
    static const char *const SPANS[] = { "release to first sound", "first to last sound" };
    const int32_t *value = t->p->value;

    if (r->rate_x10[0] == 0 && r->rate_x10[1] == 0) {
        row_add(t, seq, false, -1, "", "how fast the air went out was not observed");
        return;
    }
    for (int i = 0; i < 2; i++) {
        int rate = r->rate_x10[i], beat = release_drop_per_beat_x100(rate, t->sitting.pulse_bpm);
        char per_beat[40] = "";

        if (rate == 0) {
            row_add(t, seq, false, -1, "", "%s: not observed", SPANS[i]);
            continue;
        }
        if (beat > 0)
            snprintf(per_beat, sizeof per_beat, " (%d.%d a beat)", (beat + 5) / 100, (beat + 5) / 10 % 10);
        row_add(t, seq, false, -1, rate_verdict(t, rate), "%s: %d.%d a second%s, %d.%d to %d.%d asked", SPANS[i], rate / 10, rate % 10, per_beat,
                (int)value[KEY_RELEASE_LOW_X10] / 10, (int)value[KEY_RELEASE_LOW_X10] % 10, (int)value[KEY_RELEASE_HIGH_X10] / 10,
                (int)value[KEY_RELEASE_HIGH_X10] % 10);
    }
}

static void reason_rows(struct timeline *t, int32_t seq, const struct reading *r)
{
    for (int bit = 0; bit < VOID_REASON_COUNT; bit++)
        if (r->voids & (1u << bit))
            row_add(t, seq, false, -1, "", "does not count: %s", say_void(bit));
    for (int bit = 0; bit < READING_REMARK_COUNT; bit++)
        if (r->notes & (1u << bit))
            row_add(t, seq, false, -1, "", "remarked: %s", say_note(bit));
}

static void verdict_rows(struct timeline *t, int32_t seq, const struct reading *r)
{
    rate_rows(t, seq, r);
    reason_rows(t, seq, r);
}

static const char *counts_words(const struct reading *r)
{
    return reading_is_counted(r) ? "counts" : "does not count";
}

void tell_done(struct timeline *t, const struct event *ev, int32_t seq, const struct before *b)
{
    const struct reading *r = latest(t);
    char figures[24];

    (void)b;
    if (r == NULL)
        return;
    reading_print(r, figures, sizeof figures);
    row_add(t, seq, true, ev->t_ms, counts_words(r), "reading %d, %s%s: %s", (int)t->sitting.reading_count, arm_words(r->arm),
            r->is_standing ? ", standing" : "", figures[0] != '\0' ? figures : "no values");
    pair_row(t, seq, r);
    draw_release(t, r, seq);
    verdict_rows(t, seq, r);
}

void tell_correct(struct timeline *t, const struct event *ev, int32_t seq, const struct before *b)
{
    const struct reading *r = latest(t);
    char figures[24], was[24] = "not given";

    if (r == NULL)
        return;
    if (b->has_value)
        snprintf(was, sizeof was, "%d", (int)b->value_mmhg);
    reading_print(r, figures, sizeof figures);
    row_add(t, seq, true, ev->t_ms, counts_words(r), "reading %d corrected", (int)t->sitting.reading_count);
    row_add(t, seq, false, -1, "", "%s %d, was %s%s%s", point_words(timeline_point(ev->item)), (int)ev->value, was, text_prefix(EV_CORRECT),
            ev->text);
    row_add(t, seq, false, -1, "", "now %s%s", figures[0] != '\0' ? figures : "no values",
            b->is_counted == reading_is_counted(r) ? "" : b->is_counted ? ", and it counted before" : ", and it did not count before");
    verdict_rows(t, seq, r);
}

void tell_void(struct timeline *t, const struct event *ev, int32_t seq, const struct before *b)
{
    const struct reading *r = latest(t);
    char words[60];

    (void)b;
    snprintf(words, sizeof words, "reading %d given up", (int)t->sitting.reading_count);
    row_said(t, ev, seq, r != NULL ? counts_words(r) : "", words);
    t->told.join = JOIN_MOMENTS;
    t->told.join_row = -1;
}
