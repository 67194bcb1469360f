/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Published standards as yardsticks. Those for devices ask for 85 people, those for pairs of listeners for
 * shares only. */
#define MATHLIB_STANDALONE
#include <Rmath.h>
#include <math.h>
#include <stddef.h>

#include "stats/agree.h"

/* OBS-3 has double listening on 20 volunteers and more; that as many do for a share is a judgement. */
#define PAIRS_MIN 20
#define PEOPLE_MIN 85.0 /* whom the rules for devices ask for */

/* DEV-1, criterion 1 of ISO 81060-2 */
#define BIAS_MOST_MMHG 5.0
#define SD_MOST_MMHG 8.0
/* DEV-2, criterion 2: so large a share of a normal distribution within so many mmHg */
#define TOLERATED_SHARE 0.85
#define TOLERATED_MMHG 10.0

const char *const YARD_WORDS[] = {
    [YARD_TOO_FEW] = "too few", [YARD_MET] = "met", [YARD_NOT_MET] = "not met"};

const struct standard STANDARDS[] = {
    {"trainees",
     "two trainees: within 5 mmHg in 85 %, within 10 in 95 %",
     "OBS-4",
     {0.85, 0.95, 0.0},
     PAIRS_MIN},
    {"expert",
     "trainee and expert: within 5 mmHg in 90 %, within 10 in 95 %",
     "OBS-5",
     {0.90, 0.95, 0.0},
     PAIRS_MIN},
    {NULL, NULL, NULL, {0.0, 0.0, 0.0}, 0},
};
_Static_assert(sizeof STANDARDS / sizeof STANDARDS[0] <= STANDARDS_MAX + 1, "an answer for each");

/* GRADE-1: whole per cent within 5, 10 and 15 mmHg, all three needed. */
static const struct {
    char grade;
    double share[AGREE_NEAR_COUNT];
} GRADES[] = {{'A', {0.60, 0.85, 0.95}}, {'B', {0.50, 0.75, 0.90}}, {'C', {0.40, 0.65, 0.85}}};

/* Shares are whole thousandths: compared in integers, 17 of 20 is 85 % and not a digit less. */
static bool meets(const int64_t near[AGREE_NEAR_COUNT], int64_t n, const double share[AGREE_NEAR_COUNT])
{
    for (int i = 0; i < AGREE_NEAR_COUNT; i++) {
        if (near[i] * 1000 < (int64_t)(share[i] * 1000.0 + 0.5) * n)
            return false;
    }
    return true;
}

static enum yard_answer answer(bool has_enough, bool is_met)
{
    return !has_enough ? YARD_TOO_FEW : is_met ? YARD_MET : YARD_NOT_MET;
}

static double share_within(double mean, double sd)
{
    return pnorm(TOLERATED_MMHG, mean, sd, 1, 0) - pnorm(-TOLERATED_MMHG, mean, sd, 1, 0);
}

double criterion_2_limit_of(double mean_mmhg)
{
    double low = 0.0, high = TOLERATED_MMHG;
    if (!(fabs(mean_mmhg) < TOLERATED_MMHG))
        return 0.0;
    /* The share falls as the SD grows; 52 halvings are all that a double can tell apart. */
    for (int i = 0; i < 52; i++) {
        const double middle = (low + high) / 2.0;
        if (share_within(mean_mmhg, middle) >= TOLERATED_SHARE)
            low = middle;
        else
            high = middle;
    }
    return low;
}

void stats_standards(const int64_t near[AGREE_NEAR_COUNT], const struct moments *m, const struct cells *c,
                     struct agreement_side *out)
{
    const int64_t n = (int64_t)m->n;
    const bool has_people = c->cells >= PEOPLE_MIN;
    for (int i = 0; STANDARDS[i].id != NULL; i++)
        out->standard[i] = answer(n >= STANDARDS[i].n_min, meets(near, n, STANDARDS[i].share));
    out->grade = has_people ? 'D' : '-';
    for (int i = (int)(sizeof GRADES / sizeof GRADES[0]) - 1; has_people && i >= 0; i--) {
        if (meets(near, n, GRADES[i].share))
            out->grade = GRADES[i].grade;
    }
    out->criterion_1 =
        answer(has_people, fabs(m->mean_d) <= BIAS_MOST_MMHG && sqrt(m->var_d) <= SD_MOST_MMHG);
    out->criterion_2 = YARD_TOO_FEW;
    if (has_people) {
        out->criterion_2_sd = sqrt(c->between_d / (c->cells - 1.0));
        out->criterion_2_limit = criterion_2_limit_of(c->mean_d);
        /* At a mean of 10 and beyond there is no such SD, and 0 for it would let one that never varies pass.
         */
        out->criterion_2 =
            answer(true, fabs(c->mean_d) < TOLERATED_MMHG && out->criterion_2_sd <= out->criterion_2_limit);
    }
}
