/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * The budget against a Monte Carlo after JCGM 101: the same parts, drawn instead of combined. Draws: GSL,
 * fixed seed. Simulated interval: the probabilistically symmetric one, from the 2.5 % to the 97.5 % point;
 * its half-width is compared.
 */
#include <check.h>
#include <gsl/gsl_randist.h>
#include <gsl/gsl_rng.h>
#include <gsl/gsl_sort.h>
#include <gsl/gsl_statistics.h>
#include <math.h>
#include <stdio.h>

#include "outside/outside.h"
#include "stats/stats.h"
#include "unit/worth_hand.h"

#define DRAWS 1000000
#define DRAWN "a million draws of GSL, after JCGM 101"
#define SEED 20261125UL
#define MMHG_PER_MM (1060.0 * 9.80665 / 133.322 / 1000.0)
#define AGREES 0.02 /* of the expanded uncertainty */
#define NOISE 0.01  /* three standard errors of a simulated half-width where the tails are long */

static double draws[DRAWS];
static gsl_rng *rng;

struct simulated {
    double mean, sd, low, high, half;
};

static struct simulated summarize(void)
{
    struct simulated s = {.mean = gsl_stats_mean(draws, 1, DRAWS), .sd = gsl_stats_sd(draws, 1, DRAWS)};
    gsl_sort(draws, 1, DRAWS);
    s.low = gsl_stats_quantile_from_sorted_data(draws, 1, DRAWS, 0.025);
    s.high = gsl_stats_quantile_from_sorted_data(draws, 1, DRAWS, 0.975);
    s.half = (s.high - s.low) / 2.0;
    return s;
}

static double draw_mean(double low, double high, int n)
{
    double sum = 0.0;
    for (int i = 0; i < n; i++)
        sum += gsl_ran_flat(rng, low, high);
    return sum / n;
}

static void begin(void)
{
    rng = gsl_rng_alloc(gsl_rng_mt19937);
    gsl_rng_set(rng, SEED);
}

static void end(void)
{
    gsl_rng_free(rng);
}

/* ---- each part alone ---- */

struct part_case {
    const char *name;
    enum worth_part part;
    double low, high; /* of one draw, mmHg */
    int n;            /* draws averaged */
    double sd, df;    /* of t instead */
};

static const struct part_case PARTS[] = {
    {"gauge", WORTH_GAUGE, -3, 3, 1, 0, 0},
    {"graduation", WORTH_GRADUATION, -1, 1, 1, 0, 0},
    {"graduation, mean of 2", WORTH_GRADUATION, -1, 1, 2, 0, 0},
    {"graduation, mean of 3", WORTH_GRADUATION, -1, 1, 3, 0, 0},
    {"graduation, mean of 8", WORTH_GRADUATION, -1, 1, 8, 0, 0},
    {"beat, 2 mmHg/s at 50", WORTH_BEAT, 0, 2.4, 1, 0, 0},
    {"beat, 3 mmHg/s at 60, mean of 3", WORTH_BEAT, 0, 3, 3, 0, 0},
    {"beat, 5 mmHg/s at 80, mean of 2", WORTH_BEAT, 0, 3.75, 2, 0, 0},
    {"height, 25 mm", WORTH_HEIGHT, -25 * MMHG_PER_MM, 25 * MMHG_PER_MM, 1, 0, 0},
    {"spread, own SD of 5", WORTH_SPREAD, 0, 0, 5, 4.0, 4},
    {"spread, published", WORTH_SPREAD, 0, 0, 1, 6.2, 17},
};

static void print_head(const char *what)
{
    printf("\n%-42s %6s %9s %9s %9s %7s  %s\n", what, "df", "u", "closed 95", "simulated", "ratio",
           "by t alone");
}

START_TEST(each_part_alone_agrees_with_its_draws)
{
    begin();
    print_head("one part alone");
    for (size_t at = 0; at < sizeof PARTS / sizeof PARTS[0]; at++) {
        const struct part_case *c = &PARTS[at];
        const double half = (c->high - c->low) / 2.0, scale = c->sd / sqrt(c->n);
        struct boxes boxes = {.n = 0};
        for (int i = 0; i < c->n; i++)
            boxes_add(&boxes, half / c->n);
        /* A t has a larger SD than its scale: the standard uncertainty of JCGM 100 is the scale. */
        const double standard = c->df > 0 ? scale * sqrt(c->df / (c->df - 2.0)) : half / sqrt(3.0 * c->n);
        const double closed = stats_half_width(&boxes, scale, c->df > 0 ? c->df : 1.0, 0.95);
        for (int i = 0; i < DRAWS; i++)
            draws[i] = c->df > 0 ? scale * gsl_ran_tdist(rng, c->df) : draw_mean(c->low, c->high, c->n);
        const struct simulated s = summarize();
        printf("%-42s %6.0f %9.4f %9.4f %9.4f %7.4f\n", c->name, c->df > 0 ? c->df : (double)INFINITY,
               c->df > 0 ? scale : standard, closed, s.half, closed / s.half);
        outside(REFERENCE, DRAWN, fabs(s.sd / standard - 1.0) < NOISE, "%s: SD %f, %f drawn", c->name, standard, s.sd);
        outside(REFERENCE, DRAWN, fabs(closed / s.half - 1.0) < NOISE, "%s: %f, %f drawn", c->name, closed, s.half);
        outside(REFERENCE, DRAWN, fabs((s.low + s.high) / 2.0 - (c->low + c->high) / 2.0) < 0.05,
                "%s lies elsewhere", c->name);
    }
    end();
}
END_TEST

/* The program's own rows are those parts. */
START_TEST(the_rows_of_a_budget_are_the_parts_that_were_drawn)
{
    static struct worth_hand hand;
    struct worth w;
    worth_hand_init(&hand, AVERAGE_ALL);
    worth_hand_read(&hand, 132, 84, 20);
    ck_assert(worth_of_reading(&hand.s, &hand.p, 0, &w));
    for (size_t at = 0; at < sizeof PARTS / sizeof PARTS[0]; at++) {
        const struct part_case *c = &PARTS[at];
        const struct worth_row *row = &w.side[SIDE_SYSTOLIC].row[c->part];
        if (c->n != 1)
            continue;
        ck_assert_msg(fabs(row->low * row->sensitivity - c->low) < 1e-9, "%s: low %f", c->name, row->low);
        ck_assert_msg(fabs(row->high * row->sensitivity - c->high) < 1e-9, "%s: high %f", c->name, row->high);
        ck_assert_msg(c->df <= 0 || fabs(row->standard - c->sd) < 1e-9, "%s: SD %f", c->name, row->standard);
    }
}
END_TEST

/* ---- whole budgets ---- */

struct budget_case {
    const char *name;
    int n, rate_x10, pulse;
    int step;             /* readings lie this far apart, up and down about 130 in turn */
    int gauge, height_mm; /* limits */
};

static const struct budget_case BUDGETS[] = {
    {"1 reading, 2.0 mmHg/s, pulse 50", 1, 20, 50, 0, 3, 25},
    {"1 reading, 3.0 mmHg/s, pulse 80", 1, 30, 80, 0, 3, 25},
    {"1 reading, 10 mmHg/s, pulse 50", 1, 100, 50, 0, 3, 25},
    {"1 reading, gauge in use +-20", 1, 20, 60, 0, 20, 25},
    {"2 readings, 2.0 mmHg/s, pulse 60", 2, 20, 60, 4, 3, 25},
    {"2 readings, 5.0 mmHg/s, pulse 50", 2, 50, 50, 20, 3, 25},
    {"2 readings, arm height +-100 mm", 2, 20, 60, 4, 3, 100},
    {"3 readings, 2.0 mmHg/s, pulse 100", 3, 20, 100, 4, 3, 25},
    {"3 readings, 3.0 mmHg/s, pulse 60", 3, 30, 60, 10, 3, 25},
    {"3 readings, gauge in use +-10", 3, 20, 60, 4, 10, 25},
    {"5 readings alike, 2.0 mmHg/s, pulse 60", 5, 20, 60, 0, 3, 25},
    {"5 readings 2 apart, 3.0 mmHg/s, pulse 50", 5, 30, 50, 2, 3, 25},
    {"5 readings 4 apart, gauge +-6", 5, 30, 50, 4, 6, 25},
    {"5 readings 8 apart, 2.0 mmHg/s, pulse 60", 5, 20, 60, 8, 3, 25},
    {"5 readings 20 apart, 2.0 mmHg/s, pulse 60", 5, 20, 60, 20, 3, 25},
    {"5 readings 40 apart, 3.0 mmHg/s, pulse 50", 5, 30, 50, 40, 3, 25},
    {"8 readings alike, 10 mmHg/s, pulse 50", 8, 100, 50, 0, 3, 25},
    {"8 readings 2 apart, 2.0 mmHg/s, pulse 60", 8, 20, 60, 2, 3, 25},
    {"8 readings 6 apart, 3.0 mmHg/s, pulse 80", 8, 30, 80, 6, 3, 25},
    {"8 readings 12 apart, 3.0 mmHg/s, pulse 80", 8, 30, 80, 12, 3, 25},
    {"8 readings 20 apart, 2.0 mmHg/s, pulse 60", 8, 20, 60, 20, 3, 25},
    {"8 readings 40 apart, 2.0 mmHg/s, pulse 60", 8, 20, 60, 40, 3, 25},
};

static int systolic_of(const struct budget_case *c, int i)
{
    return 130 + (i % 2 ? c->step : 0);
}

static void read_all(struct worth_hand *hand, const struct budget_case *c)
{
    worth_hand_init(hand, AVERAGE_ALL);
    hand->s.pulse_bpm = c->pulse;
    hand->p.value[KEY_GAUGE_LIMIT_MMHG] = c->gauge;
    hand->p.value[KEY_ARM_HEIGHT_MM] = c->height_mm;
    for (int i = 0; i < c->n; i++)
        worth_hand_read(hand, systolic_of(c, i), 84, c->rate_x10);
}

/* What the spread of the mean is drawn from, worked out here anew from the case. */
static void spread_of_case(const struct budget_case *c, double *scale, double *df)
{
    double mean = 0.0, squares = 0.0;
    for (int i = 0; i < c->n; i++)
        mean += (double)systolic_of(c, i) / c->n;
    for (int i = 0; i < c->n; i++)
        squares += (systolic_of(c, i) - mean) * (systolic_of(c, i) - mean);
    *df = c->n < 5 ? c->n - 1 + 17.0 : c->n - 1.0;
    *scale = sqrt((c->n < 5 ? squares + 17.0 * 6.2 * 6.2 : squares) / *df / c->n);
}

static struct simulated simulate(const struct budget_case *c)
{
    const double fall = c->rate_x10 / 10.0 * 60.0 / c->pulse;
    double scale, df;
    spread_of_case(c, &scale, &df);
    for (int i = 0; i < DRAWS; i++)
        draws[i] = gsl_ran_flat(rng, -c->gauge, c->gauge) +
                   MMHG_PER_MM * gsl_ran_flat(rng, -c->height_mm, c->height_mm) + draw_mean(-1.0, 1.0, c->n) +
                   draw_mean(0.0, fall, c->n) + scale * gsl_ran_tdist(rng, df);
    return summarize();
}

START_TEST(whole_budgets_agree_with_their_draws)
{
    static struct worth_hand hand;
    int agreed = 0, thin = 0;
    begin();
    print_head("whole budget");
    for (size_t at = 0; at < sizeof BUDGETS / sizeof BUDGETS[0]; at++) {
        const struct budget_case *c = &BUDGETS[at];
        struct worth w;
        read_all(&hand, c);
        ck_assert(worth_of_average(&hand.s, &hand.p, ARM_LEFT, &w));
        const struct worth_budget *b = &w.side[SIDE_SYSTOLIC];
        const struct simulated s = simulate(c);
        const double ratio = b->expanded / s.half;
        printf("%-42s %6.1f %9.4f %9.4f %9.4f %7.4f %7.4f%s\n", c->name, b->df, b->combined, b->expanded,
               s.half, ratio, worth_coverage_factor(0.95, b->df) * b->combined / s.half,
               b->is_thin ? " thin" : "");
        ck_assert_msg(b->is_thin == (b->df < 10.0), "%s: thin is not told by its df", c->name);
        if (b->is_thin) {
            thin++;
            outside(REFERENCE, DRAWN, ratio > 1.0 - NOISE, "%s: narrower than the draws, %f", c->name, ratio);
        } else {
            agreed++;
            outside(REFERENCE, DRAWN, fabs(ratio - 1.0) < AGREES, "%s: ratio %f", c->name, ratio);
            outside(REFERENCE, DRAWN, fabs(b->low - b->value - s.low) < AGREES * b->expanded, "%s: low end", c->name);
            outside(REFERENCE, DRAWN, fabs(b->high - b->value - s.high) < AGREES * b->expanded, "%s: high end", c->name);
        }
    }
    printf("%d budgets of ten or more degrees of freedom, %d of fewer\n", agreed, thin);
    ck_assert_int_gt(agreed, 10);
    ck_assert_int_gt(thin, 1);
    end();
}
END_TEST

/* ---- the chance over a boundary ---- */

struct chance_case {
    int systolic, diastolic, height_mm;
};

static const struct chance_case CHANCES[] = {
    {126, 76, 25}, {128, 70, 25}, {120, 79, 25}, {128, 78, 25}, {126, 76, 200}};

START_TEST(the_joint_chance_agrees_with_its_draws)
{
    static struct worth_hand hand;
    begin();
    printf("\n%-42s %9s %9s\n", "chance of 130 or 80 or more", "closed", "simulated");
    for (size_t at = 0; at < sizeof CHANCES / sizeof CHANCES[0]; at++) {
        const struct chance_case *c = &CHANCES[at];
        struct worth w;
        worth_hand_init(&hand, AVERAGE_ALL);
        hand.p.value[KEY_ARM_HEIGHT_MM] = c->height_mm;
        hand.p.scheme_count = 1;
        hand.p.schemes[0].band_count = 2;
        hand.p.schemes[0].bands[1] =
            (struct category_band){.systolic_from_mmhg = 130, .diastolic_from_mmhg = 80};
        for (int i = 0; i < 2; i++)
            worth_hand_read(&hand, c->systolic, c->diastolic, 20);
        ck_assert(worth_of_average(&hand.s, &hand.p, ARM_LEFT, &w));
        const double scale = sqrt(17.0 * 6.2 * 6.2 / 18.0 / 2.0);
        int over = 0;
        for (int i = 0; i < DRAWS; i++) {
            const double height = MMHG_PER_MM * gsl_ran_flat(rng, -c->height_mm, c->height_mm);
            const double systolic = c->systolic + height + gsl_ran_flat(rng, -3, 3) + draw_mean(-1, 1, 2) +
                                    draw_mean(0, 2.4, 2) + scale * gsl_ran_tdist(rng, 18);
            const double diastolic = c->diastolic + height + gsl_ran_flat(rng, -3, 3) + draw_mean(-1, 1, 2) +
                                     draw_mean(-2.4, 0, 2) + scale * gsl_ran_tdist(rng, 18);
            over += systolic >= 130.0 || diastolic >= 80.0;
        }
        const double drawn = (double)over / DRAWS;
        printf("%d/%d, arm height +-%-3d mm %15s %9.4f %9.4f\n", c->systolic, c->diastolic, c->height_mm, "",
               w.edge.chance_either, drawn);
        outside(REFERENCE, DRAWN, fabs(w.edge.chance_either - drawn) < 0.02, "%d/%d: %f, %f drawn", c->systolic,
                c->diastolic, w.edge.chance_either, drawn);
    }
    end();
}
END_TEST

int main(void)
{
    Suite *s = suite_create("worth against draws");
    TCase *t = tcase_create("draws");
    tcase_add_test(t, each_part_alone_agrees_with_its_draws);
    tcase_add_test(t, the_rows_of_a_budget_are_the_parts_that_were_drawn);
    tcase_add_test(t, whole_budgets_agree_with_their_draws);
    tcase_add_test(t, the_joint_chance_agrees_with_its_draws);
    suite_add_tcase(s, t);
    return outside_run(s);
}
