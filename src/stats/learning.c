/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Two running sums over right and wrong answers, and how often they err. */
#include "stillarm/learning.h"

#include <math.h>
#include <string.h>

/* A sum that comes to a height but for its rounding has come to it. Far below the least difference of two
 * sums that anybody would tell apart, far above what 10^5 additions round off. */
#define ROUNDED_OFF 1e-9

/* How close learning_height_for() comes, and how far above that it stays: a sum that just errs must not reach
 * it. */
#define HEIGHT_STEP 1e-7
#define HEIGHT_CLEAR 5e-7

void learning_weights(const struct learning_plan *p, struct learning_weights *out)
{
    out->reach_right = log((1.0 - p->adequate) / (1.0 - p->inadequate));
    out->reach_wrong = log(p->adequate / p->inadequate);
    out->lose_right = -out->reach_right;
    out->lose_wrong = -out->reach_wrong;
}

/* ---- a curve that runs ---- */

static bool has_come_to(double sum, double height)
{
    return sum > height - ROUNDED_OFF;
}

void learning_begin(struct learning_state *s)
{
    memset(s, 0, sizeof *s);
}

void learning_take(struct learning_state *s, const struct learning_plan *p, bool is_right)
{
    const bool is_keeping = s->reached_at > 0;
    struct learning_weights *w = &s->weights;
    if (!(w->reach_right > 0.0))
        learning_weights(p, w);
    const double height = s->height + (is_keeping ? (is_right ? w->lose_right : w->lose_wrong)
                                                  : (is_right ? w->reach_right : w->reach_wrong));
    s->answers++;
    s->wrong += is_right ? 0 : 1;
    s->height = height > 0.0 ? height : 0.0;
    if (!has_come_to(s->height, is_keeping ? p->lose : p->reach))
        return;
    s->height = 0.0;
    s->reached_at = is_keeping ? 0 : s->answers;
    if (is_keeping)
        s->lost_at = s->answers;
}

int64_t learning_least_right(const struct learning_plan *p, double height)
{
    struct learning_weights w;
    learning_weights(p, &w);
    const double steps = floor((p->reach - ROUNDED_OFF - height) / w.reach_right) + 1.0;
    return steps > 1.0 ? (int64_t)steps : 1;
}

/* ---- how often it errs ---- */

/* From 0 the curve makes an excursion: it ends back at 0 or at the height. After k answers of it the sum is
 * known by how many of them went up, so that its chances are one row; and excursions follow each other
 * independently. */
struct excursion {
    double
        back[LEARNING_HORIZON_MAX + 1]; /* [k]: chance to be back at 0 after k answers, for the first time */
    double there[LEARNING_HORIZON_MAX + 1]; /* [k]: chance to come to the height at the k-th */
};

struct steps {
    double up, down, height, p_up;
};

/* One answer more; chance[u] for from <= u <= to ups so far. From the top down, so that each is read before
 * it changes. */
static void advance(const struct steps *s, double *chance, int32_t *from, int32_t *to, int32_t k,
                    struct excursion *out)
{
    int32_t low = k + 1, high = -1;
    for (int32_t u = *to; u >= *from; u--) {
        const double was = chance[u];
        const double if_up = (u + 1) * s->up - (k - 1 - u) * s->down, if_down = u * s->up - (k - u) * s->down;
        chance[u] = 0.0;
        if (has_come_to(if_up, s->height)) {
            out->there[k] += was * s->p_up;
        } else {
            chance[u + 1] += was * s->p_up;
            low = u + 1;
            high = high < 0 ? u + 1 : high;
        }
        if (!(if_down > 0.0)) {
            out->back[k] += was * (1.0 - s->p_up);
        } else {
            chance[u] = was * (1.0 - s->p_up);
            low = u;
            high = high < 0 ? u : high;
        }
    }
    *from = low;
    *to = high;
}

static void excursion_of(const struct steps *s, int32_t n, struct excursion *out)
{
    double chance[LEARNING_HORIZON_MAX + 2] = {1.0};
    int32_t from = 0, to = 0;
    memset(out, 0, sizeof *out);
    for (int32_t k = 1; k <= n && from <= to; k++)
        advance(s, chance, &from, &to, k, out);
}

double learning_chance(double up, double down, double height, double p_up, int32_t n, int32_t *median_at)
{
    const struct steps s = {.up = up, .down = down, .height = height, .p_up = p_up};
    struct excursion one;
    double at_zero[LEARNING_HORIZON_MAX + 1] = {1.0}, sum = 0.0;
    const int32_t last = n > LEARNING_HORIZON_MAX ? LEARNING_HORIZON_MAX : n;
    int32_t median = 0;
    excursion_of(&s, last, &one);
    for (int32_t t = 1; t <= last; t++) {
        for (int32_t k = 1; k <= t; k++) {
            at_zero[t] += at_zero[t - k] * one.back[k];
            sum += at_zero[t - k] * one.there[k];
        }
        if (median == 0 && sum >= 0.5)
            median = t;
    }
    if (median_at)
        *median_at = median;
    return fmin(1.0, sum);
}

double learning_height_for(double up, double down, double p_up, int32_t n, double chance)
{
    double low = 0.0,
           high = (n > LEARNING_HORIZON_MAX ? LEARNING_HORIZON_MAX : n) * up + 1.0; /* out of reach */
    while (high - low > HEIGHT_STEP) {
        const double middle = low + (high - low) / 2.0;
        if (learning_chance(up, down, middle, p_up, n, NULL) <= chance)
            high = middle;
        else
            low = middle;
    }
    return high + HEIGHT_CLEAR;
}

void learning_rates(const struct learning_plan *p, struct learning_rates *out)
{
    struct learning_weights w;
    learning_weights(p, &w);
    const double up = w.reach_right, down = w.lose_wrong;
    out->false_reach = learning_chance(up, down, p->reach, 1.0 - p->inadequate, p->horizon, NULL);
    out->true_reach = learning_chance(up, down, p->reach, 1.0 - p->adequate, p->horizon, &out->usual_reach);
    /* The keeping curve is the same one upside down. */
    out->false_loss = learning_chance(down, up, p->lose, p->adequate, p->horizon, NULL);
    out->true_loss = learning_chance(down, up, p->lose, p->inadequate, p->horizon, NULL);
}

void cusum_chart(double p0, double p1, double alpha, double beta, double *s, double *h_low, double *h_high)
{
    const double wrong = log(p1 / p0), right = log((1.0 - p0) / (1.0 - p1));
    *s = right / (wrong + right);
    *h_low = -log((1.0 - alpha) / beta) / (wrong + right);
    *h_high = log((1.0 - beta) / alpha) / (wrong + right);
}
