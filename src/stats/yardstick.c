/* SPDX-License-Identifier: GPL-3.0-or-later */
/* How somebody stands to a yardstick. Two ways not to be ready are told apart: the data do not suffice to say so, or they
 * do and it is not so. The first says nothing about the person. */
#include "stillarm/yardstick.h"

#include <math.h>
#include <string.h>

#define FURTHER_MAX (INT64_C(1) << 20) /* nobody is told to hear more pairs than this */

const char *const RECORD_WORDS[RECORD_COUNT] = {
    [RECORD_PAIRS] = "pairs",
    [RECORD_SUBJECTS] = "subjects",
    [RECORD_LISTENERS] = "listeners",
    [RECORD_SITTINGS] = "sittings",
    [RECORD_CLEAN_SHARE] = "clean-share",
    [RECORD_WITNESSED_PASSED] = "witnessed-passed",
    [RECORD_DAYS_SINCE_PAIR] = "days-since-pair",
};
const char *const CRITERION_BY_WORDS[CRITERION_BY_COUNT] = {
    [BY_VALUE] = "value", [BY_LOW] = "low", [BY_HIGH] = "high", [BY_SIZE] = "size"};
const char *const READINESS_WORDS[] = {
    [READY_TOO_FEW] = "too few", [READY_NOT_YET] = "not yet", [READY_YES] = "ready"};

const char *criterion_unit(const struct criterion *c)
{
    if (c->about == ABOUT_SIDE)
        return SIDE_FIGURES[c->which].unit;
    if (c->about == ABOUT_JOINT)
        return JOINT_FIGURES[c->which].unit;
    return c->about == ABOUT_RECORD && c->which == RECORD_CLEAN_SHARE ? "share" : "count";
}

/* ---- a value against its bound ---- */

static bool is_met(const struct criterion *c, double value)
{
    return c->is_at_most ? value <= c->bound : value >= c->bound;
}

static struct criterion_result too_few(int64_t missing)
{
    return (struct criterion_result){.answer = READY_TOO_FEW, .side = -1, .missing = missing};
}

static struct criterion_result decided(const struct criterion *c, double value)
{
    return (struct criterion_result){
        .answer = is_met(c, value) ? READY_YES : READY_NOT_YET, .side = -1, .has_value = true, .value = value};
}

static int64_t round_up(double x)
{
    return -(int64_t)floor(-x);
}

static int64_t at_least_one(int64_t n)
{
    return n > 1 ? n : 1;
}

/* ---- figures ---- */

/* What is known of where a figure comes from. A share of all pairs has its numerator, too. */
struct basis {
    int64_t pairs, hits;
    bool is_share;
};

/* The limit that is judged, were the next k pairs all as they should be. */
static double limit_after(const struct criterion *c, struct basis b, int64_t k)
{
    double low = 0.0, high = 1.0;
    share_limits(b.hits + (c->is_at_most ? 0 : k), b.pairs + k, AGREE_COVERAGE, &low, &high);
    return c->by == BY_LOW ? low : high;
}

/* The least number of further pairs, all as they should be, that brings the limit to its bound; 0: no number does. */
static int64_t further_for(const struct criterion *c, struct basis b)
{
    int64_t low = 0, high = 1;
    while (high < FURTHER_MAX && !is_met(c, limit_after(c, b, high))) {
        low = high;
        high *= 2;
    }
    if (!is_met(c, limit_after(c, b, high)))
        return 0;
    while (high - low > 1) {
        const int64_t middle = low + (high - low) / 2;
        if (is_met(c, limit_after(c, b, middle)))
            high = middle;
        else
            low = middle;
    }
    return high;
}

/* Could so many pairs have met it at all, had each been as it should be? */
static bool could_have_met(const struct criterion *c, struct basis b)
{
    return is_met(c, limit_after(c, (struct basis){0}, b.pairs));
}

/* The limit misses its bound. As long as the value itself meets it, or so few pairs could not have shown it whatever they
 * were, more pairs may: too few. Else it is not yet so. */
static struct criterion_result missed_by_limit(const struct criterion *c, double value, double limit, struct basis b)
{
    struct criterion_result r = decided(c, limit);
    if (is_met(c, value) || (b.is_share && !could_have_met(c, b))) {
        r.answer = READY_TOO_FEW;
        r.missing = b.is_share ? further_for(c, b) : 0;
    }
    return r;
}

/* Pairs that are missing at the least where a figure, or its limits, cannot be said; 0 where no number is known to do. */
static int64_t missing_for(enum lack lack, int64_t need, int64_t pairs)
{
    static const bool ONE_MORE_MAY_DO[LACK_COUNT] = {
        [LACK_PAIRS] = true,   [LACK_DIGITS] = true, [LACK_RANGE] = true, [LACK_SPREAD] = true, [LACK_SUBJECTS] = true,
        [LACK_REPEATS] = true, [LACK_NEAR] = true,   [LACK_BETWEEN] = true, [LACK_SCATTER] = true};
    /* Of digits only the even ones count, which are no more than the pairs: what is said is the least. */
    return ONE_MORE_MAY_DO[lack] ? at_least_one(need - pairs) : 0;
}

static struct criterion_result of_figure(const struct criterion *c, const struct figure *f, struct basis b)
{
    const bool is_limit = c->by == BY_LOW || c->by == BY_HIGH;
    if (f->lack != LACK_NONE)
        return too_few(missing_for(f->lack, f->need, b.pairs));
    if (!is_limit)
        return decided(c, c->by == BY_SIZE ? fabs(f->value) : f->value);
    if (f->limits_lack != LACK_NONE)
        return too_few(missing_for(f->limits_lack, f->need, b.pairs));
    const double limit = c->by == BY_LOW ? f->low : f->high;
    return is_met(c, limit) ? decided(c, limit) : missed_by_limit(c, f->value, limit, b);
}

static struct basis basis_of(const struct figure *f, int64_t pairs, bool is_share)
{
    /* A share without lack is hits by pairs, rounded once: the product is nearest to the number it came from. */
    return (struct basis){.pairs = pairs,
                          .hits = is_share && f->lack == LACK_NONE ? (int64_t)floor(f->value * (double)pairs + 0.5) : 0,
                          .is_share = is_share};
}

/* Which of two answers stands for both: what fails before what lacks, what lacks before what is met. */
static int rank_of(enum readiness answer)
{
    static const int RANK[] = {[READY_YES] = 0, [READY_TOO_FEW] = 1, [READY_NOT_YET] = 2};
    return RANK[answer];
}

static double distance(const struct criterion *c, const struct criterion_result *r)
{
    return c->is_at_most ? c->bound - r->value : r->value - c->bound;
}

static bool decides(const struct criterion *c, const struct criterion_result *a, const struct criterion_result *b)
{
    if (a->answer != b->answer)
        return rank_of(a->answer) > rank_of(b->answer);
    if (a->missing != b->missing)
        return a->missing > b->missing;
    return a->has_value && b->has_value && distance(c, a) < distance(c, b);
}

static struct criterion_result of_sides(const struct criterion *c, const struct agreement *a)
{
    const bool is_share = c->which >= FIGURE_NEAR_5 && c->which <= FIGURE_NEAR_15;
    struct criterion_result worst = {.side = -1};
    for (int side = 0; side < SIDE_COUNT; side++) {
        const struct figure *f = &a->side[side].figure[c->which];
        struct criterion_result r = of_figure(c, f, basis_of(f, a->n, is_share));
        r.side = side;
        if (side == 0 || decides(c, &r, &worst))
            worst = r;
    }
    return worst;
}

static struct criterion_result of_both(const struct criterion *c, const struct agreement *a)
{
    const struct figure *f = &a->joint[c->which];
    return of_figure(c, f, basis_of(f, a->n, c->which == FIGURE_RIGHT));
}

/* ---- the record ---- */

static struct criterion_result of_clean(const struct criterion *c, const struct record *r)
{
    const int64_t sittings = r->count[RECORD_SITTINGS], clean = r->count[RECORD_CLEAN_SHARE];
    if (sittings < 1)
        return too_few(1);
    struct figure f = {.value = (double)clean / (double)sittings};
    share_limits(clean, sittings, AGREE_COVERAGE, &f.low, &f.high);
    return of_figure(c, &f, (struct basis){.pairs = sittings, .hits = clean, .is_share = true});
}

static struct criterion_result of_record(const struct criterion *c, const struct record *r)
{
    const int64_t count = r->count[c->which];
    if (c->which == RECORD_CLEAN_SHARE)
        return of_clean(c, r);
    if (c->which == RECORD_DAYS_SINCE_PAIR && (r->count[RECORD_PAIRS] < 1 || count < 0))
        return too_few(1); /* since when? */
    struct criterion_result answer = decided(c, (double)count);
    if (answer.answer == READY_YES || c->is_at_most || c->which == RECORD_DAYS_SINCE_PAIR)
        return answer;
    answer.answer = READY_TOO_FEW; /* a count that is not there yet is a lack, and no failing */
    answer.missing = round_up(c->bound) - count;
    return answer;
}

/* ---- the learning curve ---- */

static struct criterion_result of_reached(const struct learning_plan *p, const struct agreement *a)
{
    const struct learning_state *s = &a->learning;
    if (!a->has_learning)
        return too_few(0);
    if (s->reached_at > 0)
        return (struct criterion_result){
            .answer = READY_YES, .side = -1, .has_value = true, .value = (double)s->reached_at};
    const bool is_good_so_far = (double)s->wrong <= p->adequate * (double)s->answers;
    if (s->lost_at == 0 && (is_good_so_far || s->answers < learning_least_right(p, 0.0)))
        return too_few(learning_least_right(p, s->height));
    return (struct criterion_result){.answer = READY_NOT_YET, .side = -1};
}

/* ---- all of them ---- */

static struct criterion_result result_of(const struct yardstick *y, const struct criterion *c, const struct record *r)
{
    switch (c->about) {
    case ABOUT_RECORD:
        return of_record(c, r);
    case ABOUT_SIDE:
        return of_sides(c, &r->agreement);
    case ABOUT_JOINT:
        return of_both(c, &r->agreement);
    case ABOUT_REACHED:
        break;
    }
    return of_reached(&y->plan, &r->agreement);
}

/* Is what the criterion lacks made up by pairs? A further subject or listener takes at least one, a sitting none. */
static bool lacks_pairs(const struct criterion *c)
{
    return c->about != ABOUT_RECORD || c->which == RECORD_PAIRS || c->which == RECORD_SUBJECTS ||
           c->which == RECORD_LISTENERS || c->which == RECORD_DAYS_SINCE_PAIR;
}

/* A number that is asked for outright: what is short of it is too little to judge the rest by. */
static bool is_number(const struct criterion *c)
{
    return c->about == ABOUT_RECORD && c->which != RECORD_CLEAN_SHARE && c->which != RECORD_DAYS_SINCE_PAIR;
}

void yardstick_judge(const struct yardstick *y, const struct record *r, struct readiness_result *out)
{
    bool is_short = false;
    memset(out, 0, sizeof *out);
    out->answer = y->criterion_count > 0 ? READY_YES : READY_TOO_FEW; /* nothing asked is nothing shown */
    for (int32_t i = 0; i < y->criterion_count; i++) {
        const struct criterion *c = &y->criteria[i];
        struct criterion_result *of = &out->of[i];
        *of = result_of(y, c, r);
        if (rank_of(of->answer) > rank_of(out->answer))
            out->answer = of->answer;
        is_short = is_short || (of->answer == READY_TOO_FEW && is_number(c));
        if (of->answer == READY_TOO_FEW && lacks_pairs(c) && of->missing > out->missing_pairs)
            out->missing_pairs = of->missing;
    }
    if (is_short)
        out->answer = READY_TOO_FEW;
}
