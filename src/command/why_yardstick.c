/* SPDX-License-Identifier: GPL-3.0-or-later */
/** @file why_yardstick.c  What a yardstick asks, number by number, each with who says so. */
#include "command/why.h"
#include "stillarm/err.h"
#include "stillarm/text.h"

#define PLAN_ROWS 6

/* A number of the learning curve: what it is, and the chance that it was worked out from, if any. */
struct plan_value {
    const char *id, *say;
    double value, most;
};

static void plan_value_of(const struct yardstick *y, int n, struct plan_value *out)
{
    const struct plan_value VALUES[PLAN_ROWS] = {
        {"adequate", "share of wrong pairs that is good enough", y->plan.adequate, 0},
        {"inadequate", "share of wrong pairs that is not", y->plan.inadequate, 0},
        {"reach", "height at which the skill is signalled", y->plan.reach, y->false_reach_most},
        {"lose", "height at which its loss is signalled", y->plan.lose, y->false_loss_most},
        {"horizon", "pairs over which the error rates are said", y->plan.horizon, 0},
        {"right-within", "a pair is right within so many mmHg", y->plan.right_within_mmhg, 0},
    };
    *out = VALUES[n];
}

static void ask_of_plan(const struct yardstick *y, int n, struct why_criterion *out)
{
    struct plan_value v;
    struct text t;
    plan_value_of(y, n, &v);
    out->id = v.id;
    out->say = v.say;
    out->origin = &y->plan_origin[n];
    text_init(&t, out->asked, sizeof out->asked);
    text_addf(&t, "%.6g", v.value);
    if (v.most > 0)
        text_addf(&t, ", so that it errs in %.6g of them at most", v.most);
}

static void ask_of_criterion(const struct criterion *c, struct why_criterion *out)
{
    static const char *const BY[CRITERION_BY_COUNT] = {
        [BY_VALUE] = "", [BY_LOW] = " by its lower limit", [BY_HIGH] = " by its upper limit", [BY_SIZE] = " in size"};
    struct text t;
    out->id = c->id;
    out->say = c->say;
    out->origin = &c->origin;
    text_init(&t, out->asked, sizeof out->asked);
    if (c->about == ABOUT_REACHED)
        text_add(&t, "that it is so");
    else
        text_addf(&t, "at %s %.6g%s", c->is_at_most ? "most" : "least", c->bound, BY[c->by]);
    if (c->has_published)
        text_addf(&t, "; %s has %.6g", c->origin.source, c->published_bound);
}

bool why_criterion_of(const struct yardstick *y, int nth, struct why_criterion *out)
{
    if (nth < PLAN_ROWS)
        ask_of_plan(y, nth, out);
    else if (nth < PLAN_ROWS + y->criterion_count)
        ask_of_criterion(&y->criteria[nth - PLAN_ROWS], out);
    return nth < PLAN_ROWS + y->criterion_count;
}
