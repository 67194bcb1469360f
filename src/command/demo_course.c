/* SPDX-License-Identifier: GPL-3.0-or-later */
/** @file demo_course.c  Invented from first to last: nobody was measured, and how they hear is dealt by a small generator. */
#include "command/demo_course.h"

#include <stdio.h>
#include <string.h>

#include "command/demo_make.h"

#define COURSE_DAYS 90
#define MARK_MMHG 2 /* of the dial: what is heard lies on one */
#define SUBJECT_CAP 16
#define AS_MARKS_X10(mmhg_x10) ((mmhg_x10) / MARK_MMHG)

/* What changes from the first sitting to the one from which on it stays. */
struct from_to { int from, to; };

struct trainee {
    const char *who, *fellow; /* the fellow listens now and then, and is no preceptor */
    unsigned seed;
    int first_day_ago, last_day_ago, sittings, readings /* of each, at least */, minute_of_day, first_subject;
    int settles;                      /* after so many sittings */
    struct from_to off_mmhg_x10[2];   /* from what the second listener hears: the first sound, the last */
    struct from_to spread_marks;
    struct from_to rate_x10;
    int rate_spread_x10;
    int zeros_pct;                    /* so often what was heard is called as the ten next to it */
    int fellow_pct, alone_pct;        /* of the readings after the first, which the preceptor always hears */
    int hasty_pct, skips_pct;         /* the interval, the rest */
    int fast_in;                      /* the sitting in which the air once goes too fast to count; -1: none */
    int witnessed_in;                 /* the sitting that the preceptor watches as an assessment; -1: none */
};

static const struct trainee TRAINEES[] = {
    /* Stumbles at first, by hearing the first sound late; then it goes. */
    { .who = DEMO_READY, .fellow = DEMO_NOT_YET, .seed = 11, .first_day_ago = 88, .last_day_ago = 8, .sittings = 26, .readings = 3,
      .minute_of_day = 9 * 60 + 10, .first_subject = 201, .settles = 7,
      .off_mmhg_x10 = { { -50, 0 }, { 30, 0 } }, .spread_marks = { 2, 1 }, .rate_x10 = { 33, 25 }, .rate_spread_x10 = 4,
      .fellow_pct = 15, .alone_pct = 10, .skips_pct = 8, .fast_in = 1, .witnessed_in = 24 },
    /* Hears late, likes zeros, lets go quickly, and does not like to wait. */
    { .who = DEMO_NOT_YET, .fellow = DEMO_READY, .seed = 5, .first_day_ago = 87, .last_day_ago = 9, .sittings = 24, .readings = 2,
      .minute_of_day = 11 * 60 + 25, .first_subject = 205, .settles = 18,
      .off_mmhg_x10 = { { -70, -30 }, { 35, 15 } }, .spread_marks = { 2, 1 }, .rate_x10 = { 42, 36 }, .rate_spread_x10 = 7,
      .zeros_pct = 45, .fellow_pct = 12, .alone_pct = 12, .hasty_pct = 25, .skips_pct = 30, .fast_in = 6,
      .witnessed_in = 21 },
    /* Began the other day. */
    { .who = DEMO_TOO_FEW, .fellow = DEMO_READY, .seed = 3, .first_day_ago = 20, .last_day_ago = 10, .sittings = 4, .readings = 2,
      .minute_of_day = 14 * 60 + 5, .first_subject = 222, .settles = 4,
      .off_mmhg_x10 = { { -10, 0 }, { 10, 0 } }, .spread_marks = { 1, 1 }, .rate_x10 = { 21, 24 }, .rate_spread_x10 = 3,
      .fellow_pct = 30, .fast_in = -1, .witnessed_in = -1 },
};

/* ---- dealing ---- */

struct dealer { uint64_t state; };

static int deal(struct dealer *d, int below)
{
    d->state = d->state * UINT64_C(6364136223846793005) + UINT64_C(1442695040888963407);
    return (int)((d->state >> 33) % (unsigned)below);
}

static bool deal_pct(struct dealer *d, int pct)
{
    return deal(d, 100) < pct;
}

/* Two dice, one taken from the other: small numbers are the likeliest. */
static int deal_about_zero(struct dealer *d, int most)
{
    return deal(d, most + 1) - deal(d, most + 1);
}

static struct dealer dealer_of(unsigned seed, int nth)
{
    struct dealer d = { (uint64_t)seed * 1000 + (unsigned)nth };
    for (int i = 0; i < 3; i++) /* its first numbers lie close together */
        (void)deal(&d, 2);
    return d;
}

/* ---- a sitting ---- */

static int now_at(struct from_to v, const struct trainee *t, int nth)
{
    return nth >= t->settles ? v.to : v.from + (v.to - v.from) * nth / t->settles;
}

/* Who sits there, by the code: the same again at another time, with whoever measures. */
struct body { int first, last, arm_mm, pulse; };
static struct body body_of(int subject)
{
    struct dealer d = dealer_of(7919, subject);
    return (struct body){ .first = 106 + 2 * deal(&d, 24), .last = 64 + 2 * deal(&d, 12), .arm_mm = 265 + deal(&d, 75),
                          .pulse = 58 + 2 * deal(&d, 13) };
}

/* What this trainee takes for it, of what the other one hears. */
static int as_heard(struct dealer *d, const struct trainee *t, int nth, int side, int value)
{
    int off_x10 = AS_MARKS_X10(now_at(t->off_mmhg_x10[side], t, nth));
    int marks = (off_x10 + 1000 + deal(d, 10)) / 10 - 100; /* between two marks now the one, now the other */
    int heard = value + MARK_MMHG * (marks + deal_about_zero(d, now_at(t->spread_marks, t, nth)));
    return deal_pct(d, t->zeros_pct) ? (heard + 5) / 10 * 10 : heard;
}

static const char *listener_of(struct dealer *d, const struct trainee *t, int reading)
{
    int dealt = deal(d, 100);
    if (reading == 0 || dealt >= t->fellow_pct + t->alone_pct)
        return DEMO_PRECEPTOR;
    return dealt < t->fellow_pct ? t->fellow : NULL;
}

static void deal_reading(struct dealer *d, const struct trainee *t, int nth, const struct body *b, int i, struct demo_reading *r)
{
    r->pair_first = b->first + MARK_MMHG * deal_about_zero(d, 1);
    r->pair_last = b->last + MARK_MMHG * deal_about_zero(d, 1);
    r->first = as_heard(d, t, nth, 0, r->pair_first);
    r->last = as_heard(d, t, nth, 1, r->pair_last);
    r->listener = listener_of(d, t, i);
    r->rate_x10 = now_at(t->rate_x10, t, nth) + deal_about_zero(d, t->rate_spread_x10);
    r->is_hasty = i > 0 && deal_pct(d, t->hasty_pct);
    if (nth == t->fast_in && i == 0)
        r->rate_x10 = 74;
}

/* Who keeps the record has no ear to spare. */
static void make_witnessed(struct demo_sitting *s)
{
    s->witness = DEMO_PRECEPTOR;
    s->is_practice = false;
    s->reviews[0] = (struct demo_review){ .kind = SAYS_RELEASE };
    for (int i = 0; i < DEMO_READINGS_MAX; i++)
        s->readings[i].listener = NULL;
}

static enum status make_one(struct workplace *w, const struct trainee *t, int nth, int days_ago,
                            const struct demo_people *people, int32_t due, struct err *e)
{
    char subject[SUBJECT_CAP];
    struct dealer d = dealer_of(t->seed, nth);
    const struct body b = body_of(t->first_subject + nth);
    struct demo_sitting s = { .days_ago = days_ago, .minute_of_day = t->minute_of_day + deal(&d, 40), .measurer = t->who,
                              .subject = subject, .arm = deal(&d, 2) ? "left" : "right", .arm_mm = b.arm_mm, .pulse = b.pulse,
                              .felt_to = b.first / 10 * 10, .gone = b.first / 10 * 10 + 10, .is_practice = true,
                              .enough_after = t->readings, .tries_to_skip = deal_pct(&d, t->skips_pct),
                              .reviews = { { .kind = SAYS_COUNTERSIGN, .word = "present" } } };
    snprintf(subject, sizeof subject, "m5-%03d", t->first_subject + nth);
    for (int i = 0; i < DEMO_READINGS_MAX; i++)
        deal_reading(&d, t, nth, &b, i, &s.readings[i]);
    if (nth == t->witnessed_in)
        make_witnessed(&s);
    return demo_make(w, &s, people, due, e);
}

static int day_of(const struct trainee *t, int nth)
{
    return t->first_day_ago - (t->first_day_ago - t->last_day_ago) * nth / (t->sittings - 1);
}

enum status demo_course_add(struct workplace *w, const struct demo_people *people, int32_t due, struct err *e)
{
    int done[ARRAY_LEN(TRAINEES)] = { 0 };
    enum status status = ST_OK;
    for (int day = COURSE_DAYS; day > 0; day--)
        for (size_t i = 0; i < ARRAY_LEN(TRAINEES); i++) {
            const struct trainee *t = &TRAINEES[i];
            for (; status == ST_OK && done[i] < t->sittings && day_of(t, done[i]) >= day; done[i]++)
                status = make_one(w, t, done[i], day, people, due, e);
        }
    return status;
}
