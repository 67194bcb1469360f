/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The spread within a sitting that the protocols carry, worked out anew from open data: systolic pressures of
 * 85 people, each read three times by the observers J and R (Bland and Altman 1999, Stat Methods Med Res
 * 8:135, Table 1). */
#include <check.h>
#include <gsl/gsl_cdf.h>
#include <gsl/gsl_statistics.h>
#include <math.h>
#include <stdio.h>

#include "outside/bench.h"

#define PEOPLE 85
#define DATA "VAR-2, Bland and Altman 1999, Table 1"

static const int READ[6][PEOPLE] = {
    {/* J1 */
     100, 108, 76,  108, 124, 122, 116, 114, 100, 108, 100, 108, 112, 104, 106, 122, 100,
     118, 140, 150, 166, 148, 174, 174, 140, 128, 146, 146, 220, 208, 94,  114, 126, 124,
     110, 90,  106, 218, 130, 136, 100, 100, 124, 164, 100, 136, 114, 148, 160, 84,  156,
     110, 100, 100, 86,  106, 108, 168, 166, 146, 204, 96,  134, 138, 134, 156, 124, 114,
     112, 112, 202, 132, 158, 88,  170, 182, 112, 120, 110, 112, 154, 116, 108, 106, 122},
    {/* J2 */
     106, 110, 84,  104, 112, 140, 108, 110, 108, 92,  106, 112, 112, 108, 108, 122, 102,
     118, 134, 148, 154, 156, 172, 166, 144, 134, 138, 152, 218, 200, 84,  124, 120, 124,
     120, 90,  106, 202, 128, 136, 96,  98,  116, 168, 102, 126, 108, 120, 150, 92,  162,
     98,  106, 102, 74,  100, 110, 188, 150, 142, 198, 94,  126, 144, 136, 160, 138, 110,
     116, 116, 220, 136, 162, 76,  174, 176, 114, 118, 108, 112, 134, 112, 110, 98,  112},
    {/* J3 */
     107, 108, 82,  104, 112, 124, 102, 112, 112, 100, 104, 122, 110, 104, 102, 114, 102,
     120, 138, 144, 154, 134, 166, 150, 144, 130, 140, 148, 220, 192, 86,  116, 122, 132,
     128, 94,  110, 208, 130, 130, 88,  88,  122, 154, 100, 122, 122, 132, 148, 98,  152,
     98,  106, 94,  76,  110, 106, 178, 154, 132, 188, 86,  124, 140, 142, 154, 138, 114,
     122, 134, 228, 134, 152, 88,  176, 180, 124, 120, 106, 106, 130, 94,  114, 100, 112},
    {/* R1 */
     98,  108, 76,  110, 128, 124, 118, 112, 100, 108, 102, 108, 114, 104, 104, 118, 102,
     116, 138, 148, 164, 136, 170, 174, 140, 128, 146, 146, 220, 204, 94,  112, 124, 126,
     110, 88,  106, 218, 128, 136, 100, 100, 126, 164, 100, 136, 114, 146, 160, 86,  156,
     108, 100, 100, 88,  106, 106, 170, 164, 144, 206, 96,  132, 140, 136, 156, 122, 112,
     112, 114, 200, 134, 158, 90,  172, 184, 112, 118, 110, 112, 156, 118, 106, 104, 122},
    {/* R2 */
     98,  112, 88,  100, 112, 140, 110, 108, 106, 98,  108, 116, 112, 108, 106, 122, 102,
     118, 136, 146, 154, 154, 170, 166, 144, 134, 138, 152, 218, 200, 84,  126, 120, 126,
     122, 88,  108, 200, 126, 138, 96,  98,  116, 168, 104, 124, 108, 130, 152, 92,  158,
     100, 108, 102, 76,  100, 118, 188, 150, 142, 198, 94,  126, 142, 134, 162, 140, 114,
     114, 114, 220, 136, 164, 76,  174, 174, 112, 116, 108, 110, 136, 114, 110, 100, 114},
    {/* R3 */
     111, 110, 82,  106, 114, 126, 102, 112, 112, 100, 106, 120, 110, 104, 102, 114, 100,
     118, 134, 144, 148, 132, 164, 154, 144, 130, 138, 148, 220, 190, 88,  118, 120, 120,
     126, 94,  110, 206, 128, 128, 86,  88,  122, 154, 102, 122, 122, 132, 146, 98,  152,
     98,  108, 96,  76,  108, 106, 182, 154, 130, 188, 84,  124, 138, 140, 156, 136, 114,
     124, 136, 226, 132, 150, 86,  178, 178, 126, 120, 106, 106, 132, 96,  114, 100, 114},
};

/* ---- what was printed of them ---- */

START_TEST(the_data_are_those_of_the_paper)
{
    static const int SUMS[6] = {10926, 10820, 10743, 10902, 10846, 10719};
    int sum = 0;
    for (int i = 0; i < PEOPLE; i++)
        sum += READ[_i][i];
    outside(CALCULATED, DATA, sum == SUMS[_i], "column %d adds up to %d", _i + 1, sum);
}
END_TEST

static void variances_of(int observer, double *variance)
{
    for (int i = 0; i < PEOPLE; i++) {
        const double x[3] = {READ[3 * observer][i], READ[3 * observer + 1][i], READ[3 * observer + 2][i]};
        variance[i] = gsl_stats_variance(x, 1, 3);
    }
}

START_TEST(the_spread_within_a_sitting_is_the_one_of_the_data)
{
    static const double VARIANCE[2] = {37.4078, 37.9804}, SD[2] = {6.1162, 6.1628};
    double variance[PEOPLE];
    variances_of(_i, variance);
    const double mean = gsl_stats_mean(variance, 1, PEOPLE);
    outside_near(CALCULATED, DATA, "variance within a person", mean, VARIANCE[_i], 5e-5);
    outside_near(CALCULATED, DATA, "SD within a person", sqrt(mean), SD[_i], 5e-5);
    for (int k = 0; k < shipped.count; k++) {
        const struct protocol *p = shipped.list[k];
        /* To the tenth above: a spread too small would promise too much. */
        outside_near(CALCULATED, DATA, p->id, p->value[KEY_WITHIN_SYSTOLIC_SD_X10] / 10.0, sqrt(mean), 0.1);
        outside(CALCULATED, DATA, p->value[KEY_WITHIN_SYSTOLIC_SD_X10] / 10.0 >= sqrt(mean),
                "%s is not below it", p->id);
    }
}
END_TEST

/* People differ in their spread. A variance of 2 degrees of freedom about a spread that itself varies like
 * one of nu is a scaled F of 2 and nu, whose variance over its mean squared is nu / (nu - 4): solved for nu.
 */
START_TEST(the_degrees_of_freedom_of_that_spread_fit_the_data)
{
    double variance[PEOPLE];
    variances_of(0, variance);
    const double mean = gsl_stats_mean(variance, 1, PEOPLE),
                 of_variances = gsl_stats_variance(variance, 1, PEOPLE);
    const double ratio = of_variances / (mean * mean), nu = 4.0 * ratio / (ratio - 1.0);
    printf("scaled F fitted to the variances of observer J: nu %.2f\n", nu);
    for (int k = 0; k < shipped.count; k++) {
        const struct protocol *p = shipped.list[k];
        outside_near(CALCULATED, DATA, p->id, p->value[KEY_WITHIN_SD_DF], nu, 1.0);
    }
}
END_TEST

/* Of 510 last digits two are odd; the 508 even ones lie evenly. */
START_TEST(last_digits_of_the_data_lie_evenly)
{
    static const int COUNTS[5] = {103, 91, 105, 103, 106};
    int count[10] = {0};
    double chi_square = 0.0;
    for (int k = 0; k < 6; k++) {
        for (int i = 0; i < PEOPLE; i++)
            count[READ[k][i] % 10]++;
    }
    for (int i = 0; i < 5; i++) {
        outside(CALCULATED, DATA, count[2 * i] == COUNTS[i], "%d end in %d", count[2 * i], 2 * i);
        chi_square += pow(count[2 * i] - 508 / 5.0, 2.0) / (508 / 5.0);
    }
    outside(CALCULATED, DATA, count[1] == 1 && count[7] == 1 && count[3] + count[5] + count[9] == 0,
            "two are odd");
    outside_near(CALCULATED, DATA, "chi-square", chi_square, 1.4488, 5e-5);
    outside_near(REFERENCE, "GSL", "p", gsl_cdf_chisq_Q(chi_square, 4), 0.8357, 5e-5);
}
END_TEST

/* Trained, the two observers agree: J against R on the first, second and third reading. */
START_TEST(trained_listeners_agree_as_printed)
{
    static const struct {
        double mean, sd;
        int within_5;
    } ROWS[3] = {{0.28235, 2.11914, 84}, {-0.30588, 2.42027, 81}, {0.28235, 2.20719, 83}};
    double d[PEOPLE];
    int within_5 = 0;
    for (int i = 0; i < PEOPLE; i++) {
        d[i] = READ[_i][i] - READ[_i + 3][i];
        within_5 += fabs(d[i]) <= 5.0;
    }
    outside_near(CALCULATED, DATA, "mean difference", gsl_stats_mean(d, 1, PEOPLE), ROWS[_i].mean, 5e-6);
    outside_near(CALCULATED, DATA, "SD of the differences", gsl_stats_sd(d, 1, PEOPLE), ROWS[_i].sd, 5e-6);
    outside(CALCULATED, DATA, within_5 == ROWS[_i].within_5, "%d of 85 within 5", within_5);
    outside(PUBLISHED, "OBS-5, O'Brien 1991: 5 or less in 90 %", within_5 * 100 >= 90 * PEOPLE, "%d of 85",
            within_5);
}
END_TEST

int main(void)
{
    Suite *s = suite_create("spread");
    TCase *t = tcase_create("spread");
    suite_add_tcase(s, t);
    tcase_add_loop_test(t, the_data_are_those_of_the_paper, 0, 6);
    tcase_add_loop_test(t, the_spread_within_a_sitting_is_the_one_of_the_data, 0, 2);
    tcase_add_test(t, the_degrees_of_freedom_of_that_spread_fit_the_data);
    tcase_add_test(t, last_digits_of_the_data_lie_evenly);
    tcase_add_loop_test(t, trained_listeners_agree_as_printed, 0, 3);
    return bench_run(s);
}
