/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The numbers that the program's statistics stand on: printed tables, GSL in this run, physics. libRmath is
 * called as the program calls it. */
#define MATHLIB_STANDALONE
#include <Rmath.h>
#include <check.h>
#include <gsl/gsl_cdf.h>
#include <gsl/gsl_const_mksa.h>
#include <gsl/gsl_integration.h>
#include <gsl/gsl_randist.h>
#include <math.h>
#include <stdio.h>

#include "outside/outside.h"
#include "stats/stats.h"
#include "stillarm/text.h"
#include "unit/worth_hand.h"

#define CELLS(row) ((int)ARRAY_LEN(row))

/* ---- printed tables ---- */

/* NIST TN 1297, Table B.1, the same as Table G.2 of JCGM 100; read at nist.gov. df 0: infinity. */
#define TN_1297 "NIST TN 1297, Table B.1 (nist.gov)"
static const double SIGMAS[] = {1.0, 0.0, 0.0,
                                2.0, 0.0, 3.0}; /* how many of a normal the column stands for, if any */
static const double PERCENT[] = {68.27, 90.0, 95.0, 95.45, 99.0, 99.73};
static const struct {
    int df;
    double t[6];
} STUDENT[] = {
    {1, {1.84, 6.31, 12.71, 13.97, 63.66, 235.80}},    {2, {1.32, 2.92, 4.30, 4.53, 9.92, 19.21}},
    {3, {1.20, 2.35, 3.18, 3.31, 5.84, 9.22}},         {4, {1.14, 2.13, 2.78, 2.87, 4.60, 6.62}},
    {5, {1.11, 2.02, 2.57, 2.65, 4.03, 5.51}},         {6, {1.09, 1.94, 2.45, 2.52, 3.71, 4.90}},
    {7, {1.08, 1.89, 2.36, 2.43, 3.50, 4.53}},         {8, {1.07, 1.86, 2.31, 2.37, 3.36, 4.28}},
    {9, {1.06, 1.83, 2.26, 2.32, 3.25, 4.09}},         {10, {1.05, 1.81, 2.23, 2.28, 3.17, 3.96}},
    {11, {1.05, 1.80, 2.20, 2.25, 3.11, 3.85}},        {12, {1.04, 1.78, 2.18, 2.23, 3.05, 3.76}},
    {13, {1.04, 1.77, 2.16, 2.21, 3.01, 3.69}},        {14, {1.04, 1.76, 2.14, 2.20, 2.98, 3.64}},
    {15, {1.03, 1.75, 2.13, 2.18, 2.95, 3.59}},        {16, {1.03, 1.75, 2.12, 2.17, 2.92, 3.54}},
    {17, {1.03, 1.74, 2.11, 2.16, 2.90, 3.51}},        {18, {1.03, 1.73, 2.10, 2.15, 2.88, 3.48}},
    {19, {1.03, 1.73, 2.09, 2.14, 2.86, 3.45}},        {20, {1.03, 1.72, 2.09, 2.13, 2.85, 3.42}},
    {25, {1.02, 1.71, 2.06, 2.11, 2.79, 3.33}},        {30, {1.02, 1.70, 2.04, 2.09, 2.75, 3.27}},
    {35, {1.01, 1.70, 2.03, 2.07, 2.72, 3.23}},        {40, {1.01, 1.68, 2.02, 2.06, 2.70, 3.20}},
    {45, {1.01, 1.68, 2.01, 2.06, 2.69, 3.18}},        {50, {1.01, 1.68, 2.01, 2.05, 2.68, 3.16}},
    {100, {1.005, 1.660, 1.984, 2.025, 2.626, 3.077}}, {0, {1.000, 1.645, 1.960, 2.000, 2.576, 3.000}},
};

/* A few cells of the print are off by more than half of their last digit (90 % at 35 is 1.6896,
 * printed 1.70). */
START_TEST(coverage_factors_are_the_printed_ones)
{
    const double df = STUDENT[_i].df > 0 ? STUDENT[_i].df : (double)INFINITY;
    const double digit = STUDENT[_i].df == 100 || STUDENT[_i].df == 0 ? 0.001 : 0.01;
    for (int k = 0; k < CELLS(PERCENT); k++) {
        char what[60];
        const double coverage = SIGMAS[k] > 0.0 ? erf(SIGMAS[k] / M_SQRT2) : PERCENT[k] / 100.0;
        const double off = STUDENT[_i].df == 35 && k == 1 ? 1.1 * digit : 0.51 * digit;
        (void)snprintf(what, sizeof what, "k for %.2f %% at %g degrees of freedom", PERCENT[k], df);
        outside_near(PUBLISHED, TN_1297, what, worth_coverage_factor(coverage, df), STUDENT[_i].t[k], off);
    }
}
END_TEST

/* Upper points of chi-square as printed in an examination paper; read at exampapers.nust.na. */
#define EXAM "table of chi-square of an examination paper (exampapers.nust.na)"
static const double UPPER[] = {0.100, 0.050, 0.025, 0.010, 0.005};
static const struct {
    int df;
    double x[5];
} PRINTED[] = {
    {1, {2.70554, 3.84146, 5.02389, 6.63490, 7.87944}},
    {2, {4.60517, 5.99146, 7.37776, 9.21034, 10.5966}},
    {4, {7.77944, 9.48773, 11.14329, 13.27670, 14.86026}},
    {5, {9.23636, 11.07050, 12.83250, 15.08627, 16.74960}},
    {13, {19.81193, 22.36203, 24.73560, 27.68825, 29.81947}},
};

START_TEST(upper_points_of_chi_square_are_the_printed_ones)
{
    for (int k = 0; k < CELLS(UPPER); k++) {
        char what[60];
        (void)snprintf(what, sizeof what, "chi-square of %d above which %g lies", PRINTED[_i].df, UPPER[k]);
        outside_near(PUBLISHED, EXAM, what, qchisq(UPPER[k], PRINTED[_i].df, 0, 0), PRINTED[_i].x[k], 1.5e-4);
    }
}
END_TEST

/* What was worked out beforehand, to more places than tables have. */
START_TEST(critical_values_are_those_worked_out_before)
{
    static const struct {
        double p;
        int df;
        double x;
    } CHI[] = {{.95, 1, 3.8415},  {.95, 2, 5.9915},  {.95, 3, 7.8147},   {.95, 4, 9.4877},
               {.95, 9, 16.9190}, {.99, 1, 6.6349},  {.99, 2, 9.2103},   {.99, 3, 11.3449},
               {.99, 4, 13.2767}, {.99, 9, 21.6660}, {.999, 1, 10.8276}, {.999, 4, 18.4668}},
      T[] = {{.95, 4, 2.7764},  {.95, 9, 2.2622},  {.95, 14, 2.1448}, {.95, 16, 2.1199}, {.95, 19, 2.0930},
             {.95, 24, 2.0639}, {.95, 29, 2.0452}, {.95, 49, 2.0096}, {.95, 84, 1.9886}, {.95, 99, 1.9842}};
    for (int i = 0; i < CELLS(CHI); i++)
        outside_near(CALCULATED, "definition of chi-square", "quantile", qchisq(CHI[i].p, CHI[i].df, 1, 0),
                     CHI[i].x, 5.1e-5);
    for (int i = 0; i < CELLS(T); i++)
        outside_near(CALCULATED, "definition of Student's t", "k", worth_coverage_factor(T[i].p, T[i].df),
                     T[i].x, 5.1e-5);
    outside_near(CALCULATED, "definition of the normal", "k", worth_coverage_factor(0.95, (double)INFINITY),
                 1.95996, 5.1e-6);
}
END_TEST

/* ---- GSL over a grid ---- */

static const double FREEDOMS[] = {1, 2, 3, 4, 5, 9, 14, 16, 17, 18.5, 19, 24, 29, 49, 84, 99, 1000};
static const double SHARES[] = {0.001, 0.05, 0.5, 0.8, 0.9, 0.95, 0.99, 0.999, 0.9999};
static const double POINTS[] = {-40.0, -3.0, -0.5, 0.0, 0.1, 1.0, 1.96, 2.5, 5.0, 12.0};

static void near_share(const char *what, double got, double want)
{
    outside_near(REFERENCE, "GSL", what, got, want, 1e-8 * fmax(fabs(want), 1e-300));
}

START_TEST(quantiles_and_tails_agree_with_gsl)
{
    const double df = FREEDOMS[_i];
    for (int k = 0; k < CELLS(SHARES); k++) {
        near_share("coverage factor", worth_coverage_factor(SHARES[k], df),
                   gsl_cdf_tdist_Pinv(0.5 + SHARES[k] / 2.0, df));
        near_share("chi-square quantile", qchisq(SHARES[k], df, 1, 0), gsl_cdf_chisq_Pinv(SHARES[k], df));
    }
    for (int k = 0; k < CELLS(POINTS); k++) {
        near_share("t beyond", stats_t_above(POINTS[k], df), gsl_cdf_tdist_Q(POINTS[k], df));
        if (POINTS[k] >= 0.0)
            near_share("chi-square beyond", pchisq(POINTS[k], df, 0, 0), gsl_cdf_chisq_Q(POINTS[k], df));
    }
}
END_TEST

START_TEST(the_normal_agrees_with_gsl)
{
    for (int k = 0; k < CELLS(SHARES); k++)
        near_share("coverage factor of a normal", worth_coverage_factor(SHARES[k], (double)INFINITY),
                   gsl_cdf_ugaussian_Pinv(0.5 + SHARES[k] / 2.0));
    for (int k = 0; k < CELLS(POINTS); k++)
        near_share("normal beyond", stats_t_above(POINTS[k], (double)INFINITY),
                   gsl_cdf_ugaussian_Q(POINTS[k]));
}
END_TEST

/* ---- two normals at once ---- */

struct corner {
    double k, rho;
};

static double given_x(double x, void *user)
{
    const struct corner *c = user;
    return gsl_ran_ugaussian_pdf(x) * gsl_cdf_ugaussian_Q((c->k - c->rho * x) / sqrt(1.0 - c->rho * c->rho));
}

static double both_above(double h, double k, double rho)
{
    struct corner c = {k, rho};
    gsl_function f = {given_x, &c};
    gsl_integration_workspace *room = gsl_integration_workspace_alloc(1000);
    double sum, error;
    gsl_integration_qagiu(&f, h, 1e-13, 1e-10, 1000, room, &sum, &error);
    gsl_integration_workspace_free(room);
    return sum;
}

START_TEST(two_normals_agree_with_an_integral_of_gsl)
{
    static const double AT[] = {-1.5, 0.0, 0.5, 2.0}, RHO[] = {-0.95, -0.3, 0.0, 0.3, 0.6, 0.95};
    for (int i = 0; i < CELLS(AT); i++) {
        for (int k = 0; k < CELLS(AT); k++) {
            char what[80];
            const double rho = RHO[_i];
            (void)snprintf(what, sizeof what, "both above %g and %g, correlation %g", AT[i], AT[k], rho);
            outside_near(REFERENCE, "GSL", what, stats_both_above(AT[i], AT[k], rho),
                         both_above(AT[i], AT[k], rho), 1e-9);
        }
    }
    outside_near(CALCULATED, "Sheppard 1899: a quarter and asin(rho) over 2 pi", "both above their means",
                 stats_both_above(0.0, 0.0, RHO[_i]), 0.25 + asin(RHO[_i]) / (2.0 * M_PI), 1e-12);
}
END_TEST

/* ---- a rectangular part and a t ---- */

struct sum_of {
    double half, scale, df, at;
};

/* Chance that |box + t| stays within `at`, given where in the box. */
static double held(double x, void *user)
{
    const struct sum_of *s = user;
    if (isinf(s->df))
        return gsl_cdf_ugaussian_P((s->at - x) / s->scale) - gsl_cdf_ugaussian_P((-s->at - x) / s->scale);
    return gsl_cdf_tdist_P((s->at - x) / s->scale, s->df) - gsl_cdf_tdist_P((-s->at - x) / s->scale, s->df);
}

static double share_held(struct sum_of *s)
{
    gsl_function f = {held, s};
    gsl_integration_workspace *room = gsl_integration_workspace_alloc(1000);
    double sum, error;
    gsl_integration_qag(&f, -s->half, s->half, 1e-12, 1e-11, 1000, GSL_INTEG_GAUSS41, room, &sum, &error);
    gsl_integration_workspace_free(room);
    return sum / (2.0 * s->half);
}

START_TEST(half_widths_hold_95_of_100_by_an_integral_of_gsl)
{
    static const double HALF[] = {0.5, 3.0, 20.0}, SCALE[] = {0.5, 4.4, 6.2},
                        FREE[] = {4.0, 17.0, (double)INFINITY};
    for (int i = 0; i < CELLS(HALF); i++) {
        for (int k = 0; k < CELLS(SCALE); k++) {
            char what[80];
            struct boxes box = {.n = 0};
            struct sum_of s = {.half = HALF[i], .scale = SCALE[k], .df = FREE[_i]};
            boxes_add(&box, HALF[i]);
            s.at = stats_half_width(&box, SCALE[k], FREE[_i], 0.95);
            (void)snprintf(what, sizeof what, "held by the box of %g with a t of %g, %g", HALF[i], SCALE[k],
                           FREE[_i]);
            outside_near(REFERENCE, "GSL", what, share_held(&s), 0.95, 2e-4);
        }
    }
}
END_TEST

/* ---- last digits ---- */

struct digits {
    int count[5]; /* of 0, 2, 4, 6, 8 */
    double chi_square, p, p_near, zeros, zeros_near;
};

static const struct digits DIGITS[] = {
    {{35, 15, 17, 16, 17}, 14.2, .00668, 5e-6, .000336, 5e-7},
    {{24, 18, 20, 19, 19}, 1.1, .8943, 5e-5, .1891, 5e-5},
    {{28, 18, 18, 18, 18}, 4.0, .4060, 5e-5, .0342, 5e-5},
    {{60, 10, 10, 10, 10}, 100.0, 9.8e-21, 5e-23, 2.5e-18, 5e-20},
    /* Bland and Altman 1999, observers J and R, the 508 even ones */
    {{103, 91, 105, 103, 106}, 1.4488, .8357, 5e-5, -1.0, 0.0},
};

START_TEST(even_last_digits_are_told_from_even_shares)
{
    const struct digits *d = &DIGITS[_i];
    int n = 0;
    double chi_square = 0.0;
    for (int i = 0; i < 5; i++)
        n += d->count[i];
    for (int i = 0; i < 5; i++)
        chi_square += (d->count[i] - n / 5.0) * (d->count[i] - n / 5.0) / (n / 5.0);
    outside_near(CALCULATED, "Pearson's chi-square of five cells", "chi-square", chi_square, d->chi_square,
                 5e-5);
    const double p = pchisq(chi_square, 4, 0, 0), zeros = pbinom(d->count[0] - 1, n, 0.2, 0, 0);
    outside_near(CALCULATED, "chi-square of 4 degrees of freedom", "p", p, d->p, d->p_near);
    near_share("p", p, gsl_cdf_chisq_Q(chi_square, 4));
    near_share("p of the zeros", zeros, gsl_cdf_binomial_Q((unsigned)d->count[0] - 1, 0.2, (unsigned)n));
    if (d->zeros >= 0.0)
        outside_near(CALCULATED, "binomial tail of the zeros", "p", zeros, d->zeros, d->zeros_near);
}
END_TEST

START_TEST(so_many_zeros_are_too_many)
{
    static const struct {
        int n, zeros;
    } ROWS[] = {{25, 10}, {50, 17}, {100, 29}, {200, 52}};
    for (int i = 0; i < CELLS(ROWS); i++) {
        const int z = ROWS[i].zeros, n = ROWS[i].n;
        outside(CALCULATED, "binomial of a fifth",
                pbinom(z - 1, n, 0.2, 0, 0) <= 0.025 && pbinom(z - 2, n, 0.2, 0, 0) > 0.025,
                "%d of %d are the fewest with an upper tail of 0.025", z, n);
        outside(REFERENCE, "GSL",
                gsl_cdf_binomial_Q((unsigned)z - 1, 0.2, (unsigned)n) <= 0.025 &&
                    gsl_cdf_binomial_Q((unsigned)z - 2, 0.2, (unsigned)n) > 0.025,
                "%d of %d", z, n);
    }
}
END_TEST

/* ---- height and units ---- */

static const struct worth_row *row_of(struct worth *w, enum side side, enum worth_part part)
{
    return &w->side[side].row[part];
}

START_TEST(height_costs_what_a_column_of_blood_weighs)
{
    static struct worth_hand hand;
    struct worth w;
    worth_hand_init(&hand, AVERAGE_ALL);
    worth_hand_read(&hand, 130, 80, 20);
    ck_assert(worth_of_reading(&hand.s, &hand.p, 0, &w));
    const double per_mm = row_of(&w, SIDE_SYSTOLIC, WORTH_HEIGHT)->sensitivity;
    outside_near(CALCULATED, "ERR-33: blood of 1060 kg/m3", "mmHg a cm", per_mm * 10.0, 0.78, 0.005);
    outside_near(CALCULATED, "ERR-33: blood of 1060 kg/m3", "mmHg an inch", per_mm * 25.4, 1.98, 0.005);
    outside_near(CALCULATED, "ERR-33: blood of 1060 kg/m3", "mmHg for 10 cm", per_mm * 100.0, 7.8, 0.05);
    outside_near(PUBLISHED, "AHA, as reported: about 2 mmHg an inch", "mmHg an inch", per_mm * 25.4, 2.0,
                 0.05);
    outside_near(CALCULATED, "ERR-33: blood of 1060 kg/m3", "diastolic alike",
                 row_of(&w, SIDE_DIASTOLIC, WORTH_HEIGHT)->sensitivity, per_mm, 0.0);
    /* What the budget takes a mmHg to be, from what it takes a mm of blood to be. */
    const double pascal = 1060.0 * GSL_CONST_MKSA_GRAV_ACCEL / 1000.0 / per_mm;
    outside_near(REFERENCE, "GSL, metre of mercury", "pascal in a mmHg", pascal,
                 GSL_CONST_MKSA_METER_OF_MERCURY / 1000.0, 0.01);
    static const struct {
        double mmhg, kpa, near;
    } UNITS[] = {{1, 0.133322, 5e-7}, {3, 0.400, 5e-4},   {4, 0.533, 5e-4},
                 {15, 2.00, 5e-3},    {260, 34.66, 5e-3}, {300, 40.00, 5e-3}};
    for (int i = 0; i < CELLS(UNITS); i++)
        outside_near(CALCULATED, "GAU-15: definition of the mmHg", "kPa", UNITS[i].mmhg * pascal / 1000.0,
                     UNITS[i].kpa, UNITS[i].near);
}
END_TEST

/* Rate times 60 over pulse, in the rows that the budget prints: systolic reads low by half of it on average,
 * diastolic high. */
START_TEST(a_fall_between_beats_is_rate_times_60_over_pulse)
{
    static const int PULSES[] = {50, 60, 80, 100};
    static const struct {
        int rate_x10;
        double fall[4];
    } ROWS[] = {{20, {2.4, 2.0, 1.5, 1.2}},
                {30, {3.6, 3.0, 2.25, 1.8}},
                {50, {6, 5, 3.75, 3}},
                {100, {12, 10, 7.5, 6}}};
    static struct worth_hand hand;
    for (int k = 0; k < CELLS(PULSES); k++) {
        struct worth w;
        const double fall = ROWS[_i].fall[k];
        worth_hand_init(&hand, AVERAGE_ALL);
        hand.s.pulse_bpm = PULSES[k];
        worth_hand_read(&hand, 130, 80, ROWS[_i].rate_x10);
        ck_assert(worth_of_reading(&hand.s, &hand.p, 0, &w));
        const struct worth_row *systolic = row_of(&w, SIDE_SYSTOLIC, WORTH_BEAT),
                               *diastolic = row_of(&w, SIDE_DIASTOLIC, WORTH_BEAT);
        outside_near(CALCULATED, "DEFL-5: arithmetic", "mmHg a beat", systolic->high, fall, 1e-12);
        outside_near(CALCULATED, "DEFL-5: arithmetic", "mmHg a beat, diastolic", -diastolic->low, fall,
                     1e-12);
        outside_near(CALCULATED, "mean of a rectangle from 0", "systolic reads low", systolic->shift,
                     fall / 2.0, 1e-12);
        outside_near(CALCULATED, "mean of a rectangle to 0", "diastolic reads high", diastolic->shift,
                     -fall / 2.0, 1e-12);
        outside_near(CALCULATED, "JCGM 100, 4.3.7: width over the root of 12", "standard uncertainty",
                     systolic->standard, fall / sqrt(12.0), 1e-12);
    }
}
END_TEST

int main(void)
{
    Suite *s = suite_create("numbers");
    TCase *t = tcase_create("numbers");
    suite_add_tcase(s, t);
    tcase_add_loop_test(t, coverage_factors_are_the_printed_ones, 0, CELLS(STUDENT));
    tcase_add_loop_test(t, upper_points_of_chi_square_are_the_printed_ones, 0, CELLS(PRINTED));
    tcase_add_test(t, critical_values_are_those_worked_out_before);
    tcase_add_loop_test(t, quantiles_and_tails_agree_with_gsl, 0, CELLS(FREEDOMS));
    tcase_add_test(t, the_normal_agrees_with_gsl);
    tcase_add_loop_test(t, two_normals_agree_with_an_integral_of_gsl, 0, 6);
    tcase_add_loop_test(t, half_widths_hold_95_of_100_by_an_integral_of_gsl, 0, 3);
    tcase_add_loop_test(t, even_last_digits_are_told_from_even_shares, 0, CELLS(DIGITS));
    tcase_add_test(t, so_many_zeros_are_too_many);
    tcase_add_test(t, height_costs_what_a_column_of_blood_weighs);
    tcase_add_loop_test(t, a_fall_between_beats_is_rate_times_60_over_pulse, 0, 4);
    return outside_run(s);
}
