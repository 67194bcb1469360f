/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Worked examples of JCGM 100 (the GUM) and JCGM 101 against the program's budget. The guides themselves were
 * not read; their figures were, in what reports them: GTC, its documentation and tests (repository MSLNZ/GTC:
 * docs/API/GUM_H1.rst, GUM_H2.rst, GUM_H3.rst, test/test_uncertain_real_dof.py); propagate, its manual
 * (rdrr.io/cran/propagate, WelchSatter); reference data in the tests of phonometry (repository
 * jmrplens/phonometry), which quote the printed results; the tests of a public uncertainty calculator, which
 * quote clauses 4.4.3, G.4.1 and H.1 and EA-4/02, S2. */
#include <check.h>
#include <gsl/gsl_statistics.h>
#include <math.h>
#include <stdio.h>

#include "outside/outside.h"
#include "stats/stats.h"
#include "stillarm/text.h"
#include "unit/worth_hand.h"

#define ENDLESS ((double)INFINITY)

static double root_of_squares(const double *u, int n)
{
    double sum = 0.0;
    for (int i = 0; i < n; i++)
        sum += u[i] * u[i];
    return sqrt(sum);
}

/* ---- H.1: end gauge ---- */

#define H1_GTC "JCGM 100 H.1, inputs as in GTC, docs/API/GUM_H1.rst"
#define H1_PRINTED "JCGM 100 H.1.6, as quoted in the tests of phonometry and in propagate's manual"
#define H1_EXACT "JCGM 100 H.1 as worked out in GTC, test/test_uncertain_real_dof.py"

START_TEST(the_difference_of_end_gauge_h1_comes_out)
{
    static const double U[] = {5.8, 3.9, 6.7}, DF[] = {24, 5, 8};
    const double df = worth_effective_df(U, DF, 3);
    outside_near(PUBLISHED, H1_EXACT, "degrees of freedom of d", df, 25.4472507774, 1e-9);
    outside_near(PUBLISHED, H1_EXACT, "u(d), nm", root_of_squares(U, 3), 9.68194195397, 1e-9);
    /* The guide prints 25.6, having rounded u(d) to 9.7 first. */
    outside_near(PUBLISHED, H1_PRINTED, "degrees of freedom of d", df * pow(9.7 / root_of_squares(U, 3), 4.0),
                 25.6, 0.05);
}
END_TEST

START_TEST(end_gauge_h1_comes_out)
{
    static const double U[] = {25, 5.8, 3.9, 6.7, 2.88675134595, 16.5988202392}, DF[] = {18, 24, 5, 8, 50, 2};
    const double df = worth_effective_df(U, DF, 6), u = root_of_squares(U, 6);
    outside_near(PUBLISHED, H1_EXACT, "effective degrees of freedom", df, 16.7521475092, 1e-9);
    outside_near(PUBLISHED, H1_EXACT, "combined, nm", u, 31.6637674111, 1e-9);
    outside_near(PUBLISHED, H1_GTC, "combined, nm", u, 32.0, 0.5);
    outside_near(PUBLISHED, H1_PRINTED, "degrees of freedom, cut", floor(df), 16.0, 0.0);
    outside_near(PUBLISHED, H1_PRINTED, "effective degrees of freedom", df, 16.7, 0.06);
    outside_near(PUBLISHED, H1_PRINTED, "k for 99 %", worth_coverage_factor(0.99, floor(df)), 2.92, 0.005);
    outside_near(PUBLISHED, H1_PRINTED, "expanded, nm", worth_coverage_factor(0.99, floor(df)) * 32.0, 93.0,
                 0.5);
}
END_TEST

/* The same with the rounded uncertainties of the guide's table: 16.66 cut to 16, and 92.1 nm where it is not
 * cut. */
START_TEST(end_gauge_h1_comes_out_from_its_table)
{
    const double length = 50000623.0;
    const double u[] = {25, 9.7, length * 0.1 * 0.58e-6, length * 11.5e-6 * 0.029};
    static const double DF[] = {18, 25.6, 50, 2};
    const double df = worth_effective_df(u, DF, 4);
    outside_near(PUBLISHED, H1_PRINTED, "part of delta alpha, nm", u[2], 2.9, 0.05);
    outside_near(PUBLISHED, H1_PRINTED, "part of delta theta, nm", u[3], 16.7, 0.05);
    outside_near(PUBLISHED, H1_PRINTED, "combined, nm", root_of_squares(u, 4), 31.71, 0.005);
    outside_near(PUBLISHED, H1_PRINTED, "effective degrees of freedom", df, 16.66, 0.005);
    outside_near(PUBLISHED, H1_PRINTED, "expanded with the degrees of freedom not cut, nm",
                 worth_coverage_factor(0.99, df) * root_of_squares(u, 4), 92.1, 0.05);
}
END_TEST

/* H.1.3.2: a certificate's 0.01 um for 95 % at 5 degrees of freedom is 3.9 nm. */
START_TEST(a_certificate_of_h1_is_taken_back_to_its_standard_uncertainty)
{
    outside_near(PUBLISHED, "JCGM 100 H.1.3.2, as quoted in a public calculator's tests", "u(d1), nm",
                 10.0 / worth_coverage_factor(0.95, 5), 3.9, 0.05);
    outside_near(PUBLISHED, "JCGM 100 H.1.3.2, as quoted in a public calculator's tests", "t",
                 worth_coverage_factor(0.95, 5), 2.5706, 5e-5);
}
END_TEST

/* ---- limits ---- */

/* Rectangular limits as the gauge row of a budget has them, the unit that of the example. */
START_TEST(limits_become_standard_uncertainties_as_printed)
{
    static const struct {
        const char *what, *source;
        int limit;
        double standard, near;
    } ROWS[] = {
        {"alpha_s, 1e-6/C", "JCGM 100 H.1.3.3, as quoted in phonometry's tests", 2, 1.2, 0.05},
        {"delta alpha, 1e-6/C", "JCGM 100 H.1.3.5, as quoted in phonometry's tests", 1, 0.58, 0.005},
        {"delta theta, 0.01 C", "JCGM 100 H.1.3.6, as quoted in phonometry's tests", 5, 2.9, 0.05},
        {"drift, mg", "EA-4/02 S2, as quoted in a public calculator's tests", 15, 8.66, 0.005},
        {"comparator, mg", "EA-4/02 S2, as quoted in a public calculator's tests", 25, 14.43, 0.005},
        {"air buoyancy, mg", "EA-4/02 S2, as quoted in a public calculator's tests", 10, 5.77, 0.005},
    };
    static struct worth_hand hand;
    for (size_t i = 0; i < ARRAY_LEN(ROWS); i++) {
        struct worth w;
        worth_hand_init(&hand, AVERAGE_ALL);
        hand.p.value[KEY_GAUGE_LIMIT_MMHG] = ROWS[i].limit;
        worth_hand_read(&hand, 130, 80, 20);
        ck_assert(worth_of_reading(&hand.s, &hand.p, 0, &w));
        const struct worth_row *row = &w.side[SIDE_SYSTOLIC].row[WORTH_GAUGE];
        outside_near(PUBLISHED, ROWS[i].source, ROWS[i].what, row->standard, ROWS[i].standard, ROWS[i].near);
        outside(PUBLISHED, "JCGM 100 G.4.3: limits have no end of degrees of freedom", isinf(row->df), "%s",
                ROWS[i].what);
    }
}
END_TEST

START_TEST(limits_alone_have_no_end_of_degrees_of_freedom)
{
    static const double U[] = {22.5, 8.66, 14.4, 5.77, 5.77};
    static const double DF[] = {ENDLESS, ENDLESS, ENDLESS, ENDLESS, ENDLESS};
    outside(PUBLISHED, "EA-4/02 S2, as quoted in a public calculator's tests",
            isinf(worth_effective_df(U, DF, 5)), "degrees of freedom");
    outside_near(PUBLISHED, "EA-4/02 S2, as quoted in a public calculator's tests", "u, mg",
                 root_of_squares(U, 5), 29.2, 0.05);
}
END_TEST

/* ---- readings ---- */

struct series {
    const char *what, *source;
    enum founded how;
    int n, x[20];
    double mean, sd /* 0: not printed */, of_mean, near_mean, near;
};

/* Whole numbers, in the unit of the last place printed. */
static const struct series SERIES[] = {
    {"voltage, mV",
     "JCGM 100 H.2, Table H.2, as quoted in phonometry's tests and GTC, docs/API/GUM_H2.rst",
     PUBLISHED,
     5,
     {5007, 4994, 5005, 4990, 4999},
     4999.0,
     0.0,
     3.2,
     0.05,
     0.05},
    {"current, uA",
     "JCGM 100 H.2, Table H.2, as quoted in phonometry's tests and GTC, docs/API/GUM_H2.rst",
     PUBLISHED,
     5,
     {19663, 19639, 19640, 19685, 19678},
     19661.0,
     0.0,
     9.5,
     0.05,
     0.05},
    {"phase, 0.1 mrad",
     "JCGM 100 H.2, Table H.2, as quoted in phonometry's tests and GTC, docs/API/GUM_H2.rst",
     PUBLISHED,
     5,
     {10456, 10438, 10468, 10428, 10433},
     10444.6,
     0.0,
     7.5,
     0.05,
     0.05},
    {"temperature, 0.01 C",
     "JCGM 100 4.4.3, as quoted in a public calculator's tests",
     PUBLISHED,
     20,
     {9690,  9818,  9825,  9861,  9903,  9949,  9956,  9974,  9989,  10007,
      10033, 10042, 10068, 10095, 10111, 10120, 10157, 10184, 10236, 10272},
     10014.5,
     148.9,
     33.3,
     0.05,
     0.05},
};

START_TEST(a_series_of_readings_comes_out_as_printed)
{
    static struct worth_hand hand;
    struct worth w;
    double x[20];
    const struct series *s = &SERIES[_i];
    worth_hand_init(&hand, AVERAGE_ALL);
    for (int i = 0; i < s->n; i++) {
        worth_hand_read(&hand, s->x[i], 80, 20);
        x[i] = s->x[i];
    }
    ck_assert(worth_of_average(&hand.s, &hand.p, ARM_LEFT, &w));
    const struct worth_budget *b = &w.side[SIDE_SYSTOLIC];
    const struct worth_row *row = &b->row[WORTH_SPREAD];
    outside_near(s->how, s->source, "mean", b->value, s->mean, s->near_mean);
    outside_near(s->how, s->source, "standard uncertainty of the mean", row->contribution, s->of_mean,
                 s->near);
    if (s->sd > 0.0)
        outside_near(s->how, s->source, "standard deviation", row->standard, s->sd, s->near);
    outside_near(s->how, s->source, "degrees of freedom", row->df, s->n - 1, 0.0);
    outside_near(REFERENCE, "GSL", "mean", b->value, gsl_stats_mean(x, 1, (size_t)s->n), 1e-9);
    outside_near(REFERENCE, "GSL", "standard deviation", row->standard, gsl_stats_sd(x, 1, (size_t)s->n),
                 1e-9);
}
END_TEST

/* ---- H.3: a calibration, as far as a budget goes ---- */

START_TEST(an_unknown_offset_beside_the_line_of_h3_comes_out)
{
    /* GTC prints 0.00576893138292676 and 145.37964721007157 for the intercept of 9 degrees of freedom,
     * 0.0029, with an offset of 0.005 that is the same in every reading. */
    static const double DF[] = {9, ENDLESS};
    const double combined = 0.00576893138292676, offset = 0.005;
    const double u[] = {sqrt(combined * combined - offset * offset), offset};
    outside_near(PUBLISHED, "JCGM 100 H.3.6, GTC, docs/API/GUM_H3.rst", "u of the intercept, C", u[0], 0.0029,
                 5e-5);
    outside_near(PUBLISHED, "JCGM 100 H.3.6, GTC, docs/API/GUM_H3.rst", "degrees of freedom",
                 worth_effective_df(u, DF, 2), 145.37964721007157, 1e-8);
    outside_near(PUBLISHED, "JCGM 100 H.3, GTC, docs/API/GUM_H3.rst", "degrees of freedom of the slope",
                 worth_effective_df((const double[]){0.0006679387732278323}, (const double[]){9}, 1), 9.0,
                 1e-9);
}
END_TEST

/* ---- G.4: effective degrees of freedom ---- */

START_TEST(the_example_of_g41_comes_out)
{
    static const double U[] = {0.25, 0.57, 0.82}, DF[] = {9, 4, 14};
    const double df = worth_effective_df(U, DF, 3), u = root_of_squares(U, 3);
#define G41 "JCGM 100 G.4.1, as quoted in a public calculator's tests"
    outside_near(PUBLISHED, G41, "effective degrees of freedom", df, 19.0, 0.05);
    outside_near(PUBLISHED, G41, "effective degrees of freedom", df, 18.9987, 5e-5);
    outside_near(PUBLISHED, G41, "combined, %", u, 1.03, 0.005);
    outside_near(PUBLISHED, G41, "k for 95 %", worth_coverage_factor(0.95, 19), 2.09, 0.005);
    outside_near(PUBLISHED, G41, "expanded, %", worth_coverage_factor(0.95, df) * u, 2.2, 0.05);
}
END_TEST

START_TEST(equal_parts_add_up_their_degrees_of_freedom)
{
    static const double U[] = {1, 1, 1, 1}, DF[] = {10, 10, 10, 10};
    for (int n = 1; n <= 4; n++)
        outside_near(n == 4 ? PUBLISHED : CALCULATED,
                     "JCGM 100 G.4, equation (G.2b), as quoted in phonometry's tests", "degrees of freedom",
                     worth_effective_df(U, DF, n), 10.0 * n, 1e-9);
}
END_TEST

/* ---- JCGM 101, 9.2: parts added up ---- */

START_TEST(the_additive_model_of_jcgm_101_comes_out)
{
    struct boxes four = {.n = 0}, one = {.n = 0}, two = {.n = 0}, wide = {.n = 0};
    for (int i = 0; i < 4; i++)
        boxes_add(&four, sqrt(3.0));
    outside_near(PUBLISHED, "JCGM 101 9.2.3, Table 3, as quoted in phonometry's tests",
                 "half-width of four rectangles", stats_half_width(&four, 0.0, 1.0, 0.95), 3.88, 0.005);
    outside_near(PUBLISHED, "JCGM 101 Annex E, as quoted in phonometry's tests",
                 "half-width of four rectangles", stats_half_width(&four, 0.0, 1.0, 0.95),
                 2.0 * sqrt(3.0) * (2.0 - pow(0.6, 0.25)), 2e-4);
    outside_near(PUBLISHED, "JCGM 101 9.2.2, Table 2, as quoted in phonometry's tests",
                 "half-width of four normals", worth_coverage_factor(0.95, ENDLESS) * 2.0, 3.92, 0.005);
    boxes_add(&one, 1.0);
    outside_near(CALCULATED, "a rectangle holds 95 % in 95 % of its width", "half-width",
                 stats_half_width(&one, 0.0, 1.0, 0.95), 0.95, 1e-4);
    boxes_add(&two, 1.0);
    boxes_add(&two, 1.0);
    outside_near(CALCULATED, "a triangle", "half-width", stats_half_width(&two, 0.0, 1.0, 0.95),
                 2.0 * (1.0 - sqrt(0.05)), 1e-4);
    /* Three of 1 and one of 10. */
    for (int i = 0; i < 3; i++)
        boxes_add(&wide, sqrt(3.0));
    boxes_add(&wide, 10.0 * sqrt(3.0));
    outside_near(FROM_MEMORY, "JCGM 101 9.2.4, Table 4", "half-width",
                 stats_half_width(&wide, 0.0, 1.0, 0.95), 17.0, 0.05);
}
END_TEST

/* ---- the program's own budgets by the guide's equations ---- */

static void check_budget(const struct worth_budget *b, const char *what)
{
    double u[WORTH_PART_COUNT], df[WORTH_PART_COUNT], lost = 0.0;
    for (int i = 0; i < WORTH_PART_COUNT; i++) {
        u[i] = b->row[i].contribution;
        df[i] = b->row[i].df;
        lost += isinf(df[i]) ? 0.0 : pow(u[i], 4.0) / df[i];
    }
    outside_near(CALCULATED, "JCGM 100, 5.1.2, equation (10)", what, b->combined,
                 root_of_squares(u, WORTH_PART_COUNT), 1e-12);
    if (lost > 0.0)
        outside_near(CALCULATED, "JCGM 100, G.4.1, equation (G.2b)", what, b->df,
                     pow(b->combined, 4.0) / lost, 1e-6 * b->df);
    else
        outside(CALCULATED, "JCGM 100, G.4.1, equation (G.2b)", isinf(b->df),
                "%s: no end of degrees of freedom", what);
    outside_near(CALCULATED, "JCGM 100, 6.2.1: expanded is k times combined", what, b->expanded,
                 b->k * b->combined, 1e-9);
    outside(CALCULATED, "JCGM 100, G.6", b->k > 1.6 && b->k < 1.1 * worth_coverage_factor(0.95, b->df),
            "%s: k is %f", what, b->k);
}

START_TEST(budgets_of_sittings_are_combined_by_the_guides_equations)
{
    static const struct {
        const char *what;
        int n, apart, rate_x10, gauge, height;
    } ROWS[] = {{"one reading", 1, 0, 20, 3, 25},      {"two alike", 2, 0, 20, 3, 25},
                {"two, 10 apart", 2, 10, 30, 3, 25},   {"three, 4 apart", 3, 4, 20, 3, 100},
                {"five, 2 apart", 5, 2, 30, 6, 0},     {"six, 20 apart", 6, 20, 50, 3, 25},
                {"gauge within 20", 2, 4, 20, 20, 25}, {"eight alike", 8, 0, 20, 3, 25}};
    static struct worth_hand hand;
    struct worth w;
    worth_hand_init(&hand, AVERAGE_ALL);
    hand.p.value[KEY_GAUGE_LIMIT_MMHG] = ROWS[_i].gauge;
    hand.p.value[KEY_ARM_HEIGHT_MM] = ROWS[_i].height;
    for (int i = 0; i < ROWS[_i].n; i++)
        worth_hand_read(&hand, 130 + (i % 2 ? ROWS[_i].apart : 0), 80 + (i % 2 ? ROWS[_i].apart / 2 : 0),
                        ROWS[_i].rate_x10);
    ck_assert(worth_of_average(&hand.s, &hand.p, ARM_LEFT, &w));
    check_budget(&w.side[SIDE_SYSTOLIC], ROWS[_i].what);
    check_budget(&w.side[SIDE_DIASTOLIC], ROWS[_i].what);
}
END_TEST

int main(void)
{
    Suite *s = suite_create("GUM");
    TCase *t = tcase_create("GUM");
    suite_add_tcase(s, t);
    tcase_add_test(t, the_difference_of_end_gauge_h1_comes_out);
    tcase_add_test(t, end_gauge_h1_comes_out);
    tcase_add_test(t, end_gauge_h1_comes_out_from_its_table);
    tcase_add_test(t, a_certificate_of_h1_is_taken_back_to_its_standard_uncertainty);
    tcase_add_test(t, limits_become_standard_uncertainties_as_printed);
    tcase_add_test(t, limits_alone_have_no_end_of_degrees_of_freedom);
    tcase_add_loop_test(t, a_series_of_readings_comes_out_as_printed, 0, (int)ARRAY_LEN(SERIES));
    tcase_add_test(t, an_unknown_offset_beside_the_line_of_h3_comes_out);
    tcase_add_test(t, the_example_of_g41_comes_out);
    tcase_add_test(t, equal_parts_add_up_their_degrees_of_freedom);
    tcase_add_test(t, the_additive_model_of_jcgm_101_comes_out);
    tcase_add_loop_test(t, budgets_of_sittings_are_combined_by_the_guides_equations, 0, 8);
    return outside_run(s);
}
