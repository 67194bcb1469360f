/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Bland and Altman's two data sets, and what is printed of them, to the digits printed. What the papers
 * computed by forms that the program does not use (two SD for 1.96, the square root of three) is worked out
 * here from its mean and SD. */
#include <check.h>
#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "outside/agree_kit.h"
#include "outside/outside.h"
#include "outside/published_data.h"

#define BA_1986 "Bland and Altman 1986, Lancet i:307"
#define BA_1999 "Bland and Altman 1999, Stat Methods Med Res 8:135"
#define OBSERVERS "O'Brien 1991, J Hum Hypertens 5:7, as reported"
#define GRADES "BHS grades, as reported"
#define DEVICE_RULE "ISO 81060-2, as reported"
#define COMPARISONS (sizeof COMPARISONS_OF_TWO / sizeof COMPARISONS_OF_TWO[0])
#define PAIRS_MAX (3 * PRESSURE_PEOPLE)

/* Half a unit of the last digit printed, and a hair for printing just at the half. */
static double digits(int decimals)
{
    return 0.5000001 * pow(10, -decimals);
}

static void printed(enum founded how, const char *source, const char *what, double got, double want,
                    int decimals)
{
    outside_near(how, source, what, got, want, digits(decimals));
}

static struct agree_frame plain_frame(void)
{
    return (struct agree_frame){.scheme = NULL, .plan = kit_plan()};
}

/* Rows first_a, first_a + 1 ... against first_b, first_b + 1 ..., `repeats` pairs a person. */
static struct agreement agreement_of_rows(const int *table, int people, int first_a, int first_b, int repeats)
{
    static struct kit_pair pairs[PAIRS_MAX];
    struct agree_frame f = plain_frame();
    struct agreement out;
    int n = 0;
    for (int who = 0; who < people; who++)
        for (int k = 0; k < repeats; k++)
            pairs[n++] =
                kit_both_sides(who, table[(first_a + k) * people + who], table[(first_b + k) * people + who]);
    kit_agreement(pairs, n, &f, &out);
    return out;
}

static struct agreement flow(int repeats)
{
    return agreement_of_rows(&FLOW[0][0], FLOW_PEOPLE, WRIGHT_1, MINI_1, repeats);
}

static struct agreement pressure(int a, int b, int repeats)
{
    return agreement_of_rows(&PRESSURE[0][0], PRESSURE_PEOPLE, a, b, repeats);
}

/* A figure of the systolic side, which must not lack. */
static struct figure figure_in(const struct agreement *a, enum side_figure which)
{
    struct figure f = a->side[SIDE_SYSTOLIC].figure[which];
    ck_assert_msg(f.lack == LACK_NONE, "%s lacks: %s", SIDE_FIGURES[which].id, LACK_WORDS[f.lack]);
    return f;
}

static double value_in(const struct agreement *a, enum side_figure which)
{
    return figure_in(a, which).value;
}

static struct figure with_limits(const struct agreement *a, enum side_figure which)
{
    struct figure f = figure_in(a, which);
    ck_assert_msg(f.limits_lack == LACK_NONE, "%s has no limits: %s", SIDE_FIGURES[which].id,
                  LACK_WORDS[f.limits_lack]);
    return f;
}

/* ---- 1986: two peak flow meters, 17 people ---- */

START_TEST(mean_and_sd_of_1986_are_the_printed_ones)
{
    struct agreement a = flow(1);
    ck_assert_int_eq(a.n, FLOW_PEOPLE);
    ck_assert_int_eq(a.subjects, FLOW_PEOPLE);
    printed(PUBLISHED, BA_1986, "mean difference", value_in(&a, FIGURE_BIAS), -2.1, 1);
    printed(PUBLISHED, BA_1986, "SD of differences", value_in(&a, FIGURE_SD), 38.8, 1);
    printed(CALCULATED, BA_1986, "mean difference", value_in(&a, FIGURE_BIAS), -2.1176, 4);
    printed(CALCULATED, BA_1986, "SD of differences", value_in(&a, FIGURE_SD), 38.7651, 4);
}
END_TEST

/* The paper took two SD, and rounded the mean and the SD before. */
START_TEST(limits_of_1986_are_the_printed_ones)
{
    struct agreement a = flow(1);
    double mean = value_in(&a, FIGURE_BIAS), sd = value_in(&a, FIGURE_SD);
    double mean_printed = round(mean * 10) / 10, sd_printed = round(sd * 10) / 10;
    printed(PUBLISHED, BA_1986, "lower limit, from rounded figures", mean_printed - 2 * sd_printed, -79.7, 1);
    printed(PUBLISHED, BA_1986, "upper limit, from rounded figures", mean_printed + 2 * sd_printed, 75.5, 1);
    printed(CALCULATED, BA_1986, "lower limit, two SD", mean - 2 * sd, -79.648, 3);
    printed(CALCULATED, BA_1986, "upper limit, two SD", mean + 2 * sd, 75.413, 3);
    for (int approx = 0; approx <= FIGURE_LOWER_APPROX - FIGURE_LOWER;
         approx += FIGURE_LOWER_APPROX - FIGURE_LOWER) {
        /* The check values took 1.96; the program takes the quantile itself, which moves the third decimal.
         */
        outside_near(CALCULATED, BA_1986, "lower limit",
                     value_in(&a, (enum side_figure)(FIGURE_LOWER + approx)), -78.097,
                     digits(3) + sd * (1.96 - 1.959963985));
        outside_near(CALCULATED, BA_1986, "upper limit",
                     value_in(&a, (enum side_figure)(FIGURE_UPPER + approx)), 73.862,
                     digits(3) + sd * (1.96 - 1.959963985));
    }
}
END_TEST

START_TEST(confidence_limits_of_1986_are_the_printed_ones)
{
    struct agreement a = flow(1);
    struct figure bias = with_limits(&a, FIGURE_BIAS);
    double sd = value_in(&a, FIGURE_SD), half = (bias.high - bias.low) / 2, error = sd / sqrt(FLOW_PEOPLE);
    double limit_error = sqrt(3) * error, t = half / error;
    printed(CALCULATED, BA_1986, "standard error of the mean", error, 9.4019, 4);
    printed(CALCULATED, BA_1986, "t of 16 degrees of freedom", t, 2.1199, 4);
    printed(CALCULATED, BA_1986, "mean, lower", bias.low, -22.05, 2);
    printed(CALCULATED, BA_1986, "mean, upper", bias.high, 17.81, 2);
    printed(CALCULATED, BA_1986, "standard error of a limit", limit_error, 16.285, 3);
    printed(CALCULATED, BA_1986, "lower limit, lower", bias.value - 2 * sd - t * limit_error, -114.17, 2);
    printed(CALCULATED, BA_1986, "lower limit, upper", bias.value - 2 * sd + t * limit_error, -45.13, 2);
    printed(CALCULATED, BA_1986, "upper limit, lower", bias.value + 2 * sd - t * limit_error, 40.89, 2);
    printed(CALCULATED, BA_1986, "upper limit, upper", bias.value + 2 * sd + t * limit_error, 109.93, 2);
}
END_TEST

START_TEST(correlation_and_concordance_of_1986_are_these)
{
    struct agreement a = flow(1);
    double concordance = value_in(&a, FIGURE_CONCORDANCE);
    printed(CALCULATED, BA_1986, "correlation", value_in(&a, FIGURE_CORRELATION), 0.9433, 4);
    printed(CALCULATED, BA_1986, "concordance, divisor n", concordance, 0.94274, 5);
}
END_TEST

START_TEST(repeatability_of_1986_is_this)
{
    struct agreement a = flow(2);
    double wright = value_in(&a, FIGURE_REPEAT_MEASURER), mini = value_in(&a, FIGURE_REPEAT_LISTENER);
    ck_assert_int_eq(a.subjects, FLOW_PEOPLE);
    printed(CALCULATED, BA_1986, "SD within persons, Wright", wright, 15.31, 2);
    printed(CALCULATED, BA_1986, "SD within persons, mini", mini, 19.91, 2);
    printed(CALCULATED, BA_1986, "repeatability, Wright", 2 * sqrt(2) * wright, 43.29, 2);
    printed(CALCULATED, BA_1986, "repeatability, mini", 2 * sqrt(2) * mini, 56.32, 2);
}
END_TEST

/* ---- 1999: two observers and a machine, 85 people ---- */

START_TEST(data_of_1999_add_up)
{
    static const int SUMS[PRESSURE_ROWS] = {10926, 10820, 10743, 10902, 10846, 10719, 12311, 12133, 12028};
    for (int row = 0; row < PRESSURE_ROWS; row++) {
        int sum = 0;
        for (int who = 0; who < PRESSURE_PEOPLE; who++)
            sum += PRESSURE[row][who];
        outside(CALCULATED, BA_1999, sum == SUMS[row], "row %d adds up to %d, not %d", row, sum, SUMS[row]);
    }
}
END_TEST

static const struct {
    const char *id;
    int a, b;
    double mean, sd, low, high; /* low = high: not printed */
    int mean_decimals, sd_decimals;
    int near[AGREE_NEAR_COUNT];
} COMPARISONS_OF_TWO[] = {
    {"BA-1, " BA_1999, J1, S1, -16.2941, 19.6110, -54.7317, 22.1434, 4, 4, {14, 31, 42}},
    {"BA-2, " BA_1999, J1, R1, 0.28235, 2.11914, -3.8712, 4.4359, 5, 5, {84, 84, 85}},
    {"BA-3, " BA_1999, J2, R2, -0.30588, 2.42027, 0, 0, 5, 5, {81, 85, 85}},
    {"BA-4, " BA_1999, J3, R3, 0.28235, 2.20719, 0, 0, 5, 5, {83, 84, 85}},
};

START_TEST(comparisons_of_1999_give_these_rows)
{
    struct agreement a = pressure(COMPARISONS_OF_TWO[_i].a, COMPARISONS_OF_TWO[_i].b, 1);
    const char *id = COMPARISONS_OF_TWO[_i].id;
    double sd = value_in(&a, FIGURE_SD);
    printed(CALCULATED, id, "mean", value_in(&a, FIGURE_BIAS), COMPARISONS_OF_TWO[_i].mean,
            COMPARISONS_OF_TWO[_i].mean_decimals);
    printed(CALCULATED, id, "SD", sd, COMPARISONS_OF_TWO[_i].sd, COMPARISONS_OF_TWO[_i].sd_decimals);
    if (COMPARISONS_OF_TWO[_i].low < COMPARISONS_OF_TWO[_i].high) {
        /* The limits printed here came from 1.96 or from the quantile: fewer than a thousandth of an SD
         * between them. */
        double hair = digits(4) + sd * (1.96 - 1.959963985);
        outside_near(CALCULATED, id, "lower limit", value_in(&a, FIGURE_LOWER), COMPARISONS_OF_TWO[_i].low,
                     hair);
        outside_near(CALCULATED, id, "upper limit", value_in(&a, FIGURE_UPPER), COMPARISONS_OF_TWO[_i].high,
                     hair);
    }
    for (int k = 0; k < AGREE_NEAR_COUNT; k++)
        outside_near(CALCULATED, id, "pairs so near",
                     value_in(&a, (enum side_figure)(FIGURE_NEAR_5 + k)) * PRESSURE_PEOPLE,
                     COMPARISONS_OF_TWO[_i].near[k], 1e-9);
}
END_TEST

START_TEST(observer_against_machine_is_as_remembered_from_the_paper)
{
    struct agreement a = pressure(J1, S1, 1);
    printed(FROM_MEMORY, BA_1999, "mean", value_in(&a, FIGURE_BIAS), -16.29, 2);
    printed(FROM_MEMORY, BA_1999, "SD", value_in(&a, FIGURE_SD), 19.61, 2);
    printed(FROM_MEMORY, BA_1999, "lower limit", value_in(&a, FIGURE_LOWER), -54.7, 1);
    printed(FROM_MEMORY, BA_1999, "upper limit", value_in(&a, FIGURE_UPPER), 22.1, 1);
}
END_TEST

START_TEST(confidence_limits_of_1999_are_these)
{
    struct agreement a = pressure(J1, S1, 1);
    struct figure bias = with_limits(&a, FIGURE_BIAS);
    struct figure lower = with_limits(&a, FIGURE_LOWER_APPROX), upper = with_limits(&a, FIGURE_UPPER_APPROX);
    double sd = value_in(&a, FIGURE_SD), error = sd / sqrt(PRESSURE_PEOPLE),
           t = (bias.high - bias.low) / 2 / error;
    double hair = digits(3) + sd * (1.96 - 1.959963985);
    printed(CALCULATED, BA_1999, "standard error of the mean", error, 2.12711, 5);
    printed(CALCULATED, BA_1999, "t of 84 degrees of freedom", t, 1.98861, 5);
    printed(CALCULATED, BA_1999, "mean, lower", bias.low, -20.5241, 4);
    printed(CALCULATED, BA_1999, "mean, upper", bias.high, -12.0641, 4);
    printed(CALCULATED, BA_1999, "standard error of a limit", (lower.high - lower.low) / 2 / t, 3.6495, 4);
    outside_near(CALCULATED, BA_1999, "lower limit, lower", lower.low, -61.989, hair);
    outside_near(CALCULATED, BA_1999, "lower limit, upper", lower.high, -47.474, hair);
    outside_near(CALCULATED, BA_1999, "upper limit, lower", upper.low, 14.886, hair);
    outside_near(CALCULATED, BA_1999, "upper limit, upper", upper.high, 29.401, hair);
}
END_TEST

START_TEST(replicates_of_1999_widen_the_limits_so_far)
{
    struct agreement a = pressure(J1, S1, 3);
    double sd = value_in(&a, FIGURE_SD_APART);
    double hair = digits(4) + sd * (1.96 - 1.959963985);
    ck_assert_int_eq(a.n, PAIRS_MAX);
    ck_assert_int_eq(a.subjects, PRESSURE_PEOPLE);
    printed(CALCULATED, "BA-5, " BA_1999, "mean of the means of three", value_in(&a, FIGURE_BIAS), -15.6196,
            4);
    printed(CALCULATED, "BA-5, " BA_1999, "SD of the means of three", a.side[SIDE_SYSTOLIC].criterion_2_sd,
            18.9339, 4);
    printed(CALCULATED, "BA-5, " BA_1999, "SD for single readings", sd, 20.9489, 4);
    outside_near(CALCULATED, "BA-5, " BA_1999, "lower limit", value_in(&a, FIGURE_LOWER_APART), -56.6795,
                 hair);
    outside_near(CALCULATED, "BA-5, " BA_1999, "upper limit", value_in(&a, FIGURE_UPPER_APART), 25.4403,
                 hair);
}
END_TEST

static const struct {
    const char *who;
    int first;
    double variance, sd, repeatability;
} WITHIN[] = {{"J", J1, 37.4078, 6.1162, 16.953},
              {"R", R1, 37.9804, 6.1628, 17.082},
              {"S", S1, 83.1412, 9.1182, 25.274}};

START_TEST(repeatability_of_1999_is_this_for_either_ear)
{
    int other = (_i + 1) % 3;
    struct agreement as_measurer = pressure(WITHIN[_i].first, WITHIN[other].first, 3);
    struct agreement as_listener = pressure(WITHIN[other].first, WITHIN[_i].first, 3);
    double got[EAR_COUNT] = {value_in(&as_measurer, FIGURE_REPEAT_MEASURER),
                             value_in(&as_listener, FIGURE_REPEAT_LISTENER)};
    for (int ear = 0; ear < EAR_COUNT; ear++) {
        printed(CALCULATED, BA_1999, "variance within persons", got[ear] * got[ear], WITHIN[_i].variance, 4);
        printed(CALCULATED, BA_1999, "SD within persons", got[ear], WITHIN[_i].sd, 4);
        printed(CALCULATED, BA_1999, "repeatability", 1.96 * sqrt(2) * got[ear], WITHIN[_i].repeatability, 3);
    }
}
END_TEST

START_TEST(absolute_differences_of_1999_are_so_many)
{
    static const struct {
        int size, count;
    } SEEN[] = {{0, 36}, {2, 44}, {4, 4}, {12, 1}};
    for (size_t i = 0; i < sizeof SEEN / sizeof SEEN[0]; i++) {
        int count = 0;
        for (int who = 0; who < PRESSURE_PEOPLE; who++)
            count += abs(PRESSURE[J1][who] - PRESSURE[R1][who]) == SEEN[i].size;
        outside(CALCULATED, BA_1999, count == SEEN[i].count, "%d differences of %d, not %d", count,
                SEEN[i].size, SEEN[i].count);
    }
}
END_TEST

START_TEST(concordance_and_icc_of_1999_are_these)
{
    struct agreement with_r = pressure(J1, R1, 1), with_s = pressure(J1, S1, 1);
    printed(CALCULATED, BA_1999, "concordance of J1 and R1", value_in(&with_r, FIGURE_CONCORDANCE), 0.997676,
            6);
    printed(CALCULATED, BA_1999, "concordance of J1 and S1", value_in(&with_s, FIGURE_CONCORDANCE), 0.725893,
            6);
    printed(CALCULATED, BA_1999, "ICC(2,1) of J1 and R1", value_in(&with_r, FIGURE_ICC_2_1), 0.997704, 6);
    printed(CALCULATED, BA_1999, "ICC(2,1) of J1 and S1", value_in(&with_s, FIGURE_ICC_2_1), 0.728241, 6);
}
END_TEST

START_TEST(the_same_icc_comes_of_the_table_of_1999)
{
    int64_t table[PRESSURE_PEOPLE * 2];
    struct icc_squares q;
    struct figure icc[6];
    for (int who = 0; who < PRESSURE_PEOPLE; who++) {
        table[2 * who] = (int64_t)PRESSURE[J1][who] * AGREE_UNIT;
        table[2 * who + 1] = (int64_t)PRESSURE[S1][who] * AGREE_UNIT;
    }
    ck_assert(icc_squares_of(table, PRESSURE_PEOPLE, 2, &q));
    icc_of(&q, icc);
    printed(CALCULATED, BA_1999, "ICC(2,1) of J1 and S1", icc[1].value, 0.728241, 6);
}
END_TEST

/* ---- the published yardsticks on these data ---- */

static enum yard_answer answer_of(const struct agreement *a, const char *source)
{
    for (int i = 0; i < STANDARDS_MAX && STANDARDS[i].id != NULL; i++)
        if (strcmp(STANDARDS[i].source, source) == 0)
            return a->side[SIDE_SYSTOLIC].standard[i];
    ck_abort_msg("no standard after %s", source);
    return YARD_TOO_FEW;
}

START_TEST(two_observers_of_1999_meet_what_is_asked_of_observers)
{
    for (int k = 0; k < 3; k++) {
        struct agreement a = pressure(J1 + k, R1 + k, 1);
        outside(CALCULATED, "OBS-4, " OBSERVERS, answer_of(&a, "OBS-4") == YARD_MET,
                "J%d and R%d do not meet it", k + 1, k + 1);
        outside(CALCULATED, "OBS-5, " OBSERVERS, answer_of(&a, "OBS-5") == YARD_MET,
                "J%d and R%d do not meet it", k + 1, k + 1);
        outside(CALCULATED, GRADES, a.side[SIDE_SYSTOLIC].grade == 'A', "grade %c",
                a.side[SIDE_SYSTOLIC].grade);
        outside(CALCULATED, DEVICE_RULE, a.side[SIDE_SYSTOLIC].criterion_1 == YARD_MET,
                "criterion 1 is not met");
    }
}
END_TEST

START_TEST(observer_and_machine_of_1999_meet_none_of_it)
{
    struct agreement a = pressure(J1, S1, 1);
    outside(CALCULATED, "OBS-4, " OBSERVERS, answer_of(&a, "OBS-4") == YARD_NOT_MET, "J1 and S1 meet it");
    outside(CALCULATED, "OBS-5, " OBSERVERS, answer_of(&a, "OBS-5") == YARD_NOT_MET, "J1 and S1 meet it");
    outside(CALCULATED, GRADES, a.side[SIDE_SYSTOLIC].grade == 'D', "grade %c", a.side[SIDE_SYSTOLIC].grade);
    outside(CALCULATED, DEVICE_RULE, a.side[SIDE_SYSTOLIC].criterion_1 == YARD_NOT_MET, "criterion 1 is met");
}
END_TEST

/* So many of a hundred people within 5, 10 and 15 mmHg, the rest 20 apart. */
static struct agreement of_shares(int five, int ten, int fifteen)
{
    static struct kit_pair pairs[100];
    struct agree_frame f = plain_frame();
    struct agreement out;
    for (int i = 0; i < 100; i++)
        pairs[i] = kit_both_sides(i, 120 + (i < five ? 5 : i < ten ? -10 : i < fifteen ? 15 : -20), 120);
    kit_agreement(pairs, 100, &f, &out);
    return out;
}

/* All three shares are needed: one person fewer within any of them takes the grade away. */
START_TEST(grades_begin_at_their_three_shares)
{
    static const struct {
        char grade, next;
        int share[AGREE_NEAR_COUNT];
    } BEGIN[] = {{'A', 'B', {60, 85, 95}}, {'B', 'C', {50, 75, 90}}, {'C', 'D', {40, 65, 85}}};
    const int *share = BEGIN[_i].share;
    struct agreement a = of_shares(share[0], share[1], share[2]);
    outside(CALCULATED, GRADES, a.side[SIDE_SYSTOLIC].grade == BEGIN[_i].grade, "grade %c",
            a.side[SIDE_SYSTOLIC].grade);
    for (int k = 0; k < AGREE_NEAR_COUNT; k++) {
        a = of_shares(share[0] - (k == 0), share[1] - (k == 1), share[2] - (k == 2));
        outside(CALCULATED, GRADES, a.side[SIDE_SYSTOLIC].grade == BEGIN[_i].next, "grade %c",
                a.side[SIDE_SYSTOLIC].grade);
    }
}
END_TEST

START_TEST(observers_are_asked_for_their_two_shares)
{
    static const struct {
        const char *source;
        int five;
    } ASKED[] = {{"OBS-4", 85}, {"OBS-5", 90}};
    for (int i = 0; i < 2; i++) {
        struct agreement met = of_shares(ASKED[i].five, 95, 95),
                         five = of_shares(ASKED[i].five - 1, 100, 100);
        struct agreement ten = of_shares(ASKED[i].five, 94, 100);
        outside(CALCULATED, OBSERVERS, answer_of(&met, ASKED[i].source) == YARD_MET,
                "%s: just so many are not enough", ASKED[i].source);
        outside(CALCULATED, OBSERVERS, answer_of(&five, ASKED[i].source) == YARD_NOT_MET,
                "%s: one less within 5", ASKED[i].source);
        outside(CALCULATED, OBSERVERS, answer_of(&ten, ASKED[i].source) == YARD_NOT_MET,
                "%s: one less within 10", ASKED[i].source);
    }
}
END_TEST

/* People whose differences lie `half` thousandths above and below `middle` in turn: their SD is half * root
 * of n / (n - 1). */
static struct agreement_side of_differences(int people, int64_t middle, int64_t half)
{
    static struct kit_pair pairs[100];
    struct agree_frame f = plain_frame();
    struct agreement out;
    for (int i = 0; i < people; i++) {
        pairs[i] = kit_both_sides(i, 120, 120);
        pairs[i].pair.value[SIDE_SYSTOLIC][EAR_MEASURER] += middle + (i % 2 == 0 ? half : -half);
    }
    kit_agreement(pairs, people, &f, &out);
    return out.side[SIDE_SYSTOLIC];
}

/* |mean| 5 or less and SD 8 or less; criterion 2 at a mean of 0 and of 5: an SD of at most 6.95 and 4.81. */
START_TEST(rules_for_devices_end_at_their_limits)
{
    static const struct {
        int criterion;
        int64_t middle, half;
        enum yard_answer want;
    } CASES[] = {
        {1, 5000, 0, YARD_MET},        {1, -5000, 0, YARD_MET},    {1, 5001, 0, YARD_NOT_MET},
        {1, -5001, 0, YARD_NOT_MET},   {1, 0, 7950, YARD_MET},     {1, 0, 7960, YARD_NOT_MET},
        {2, 0, 6900, YARD_MET},        {2, 0, 6920, YARD_NOT_MET}, {2, -5000, 4770, YARD_MET},
        {2, 5000, 4800, YARD_NOT_MET}, {2, 9900, 0, YARD_MET},     {2, 10001, 0, YARD_NOT_MET},
    };
    for (size_t i = 0; i < sizeof CASES / sizeof CASES[0]; i++) {
        struct agreement_side s = of_differences(86, CASES[i].middle, CASES[i].half);
        enum yard_answer got = CASES[i].criterion == 1 ? s.criterion_1 : s.criterion_2;
        outside(CALCULATED, DEVICE_RULE, got == CASES[i].want, "criterion %d at a mean of %g and an SD of %g",
                CASES[i].criterion, (double)CASES[i].middle / AGREE_UNIT, s.figure[FIGURE_SD].value);
    }
}
END_TEST

/* ---- end digits ---- */

START_TEST(end_digits_of_1999_show_no_preference)
{
    static const int64_t SEEN[5] = {103, 91, 105, 103, 106};
    struct agree_frame f = plain_frame();
    struct digit_tally both = {{0}, 0, 0};
    struct agree_tally t;
    struct kit_pair pairs[PAIRS_MAX];
    double chi, p;
    int n = 0;
    for (int who = 0; who < PRESSURE_PEOPLE; who++)
        for (int k = 0; k < 3; k++)
            pairs[n++] = kit_both_sides(who, PRESSURE[J1 + k][who], PRESSURE[R1 + k][who]);
    kit_tally(pairs, n, &f, &t);
    for (int ear = 0; ear < EAR_COUNT; ear++) {
        for (int d = 0; d < 5; d++)
            both.even[d] += t.digits[SIDE_SYSTOLIC][ear].even[d];
        both.odd += t.digits[SIDE_SYSTOLIC][ear].odd;
    }
    for (int d = 0; d < 5; d++)
        outside(CALCULATED, BA_1999, both.even[d] == SEEN[d], "%d values end in %d", (int)both.even[d],
                2 * d);
    outside(CALCULATED, BA_1999, both.odd == 2, "%d odd values", (int)both.odd);
    ck_assert(digit_chi_square(both.even, &chi, &p));
    printed(CALCULATED, BA_1999, "chi-square of the end digits", chi, 1.4488, 4);
    printed(CALCULATED, BA_1999, "its tail", p, 0.8357, 4);
}
END_TEST

int main(void)
{
    Suite *suite = suite_create("agreement, Bland and Altman");
    TCase *first = tcase_create("1986"), *second = tcase_create("1999");
    tcase_add_test(first, mean_and_sd_of_1986_are_the_printed_ones);
    tcase_add_test(first, limits_of_1986_are_the_printed_ones);
    tcase_add_test(first, confidence_limits_of_1986_are_the_printed_ones);
    tcase_add_test(first, correlation_and_concordance_of_1986_are_these);
    tcase_add_test(first, repeatability_of_1986_is_this);
    tcase_add_test(second, data_of_1999_add_up);
    tcase_add_loop_test(second, comparisons_of_1999_give_these_rows, 0, (int)COMPARISONS);
    tcase_add_test(second, observer_against_machine_is_as_remembered_from_the_paper);
    tcase_add_test(second, confidence_limits_of_1999_are_these);
    tcase_add_test(second, replicates_of_1999_widen_the_limits_so_far);
    tcase_add_loop_test(second, repeatability_of_1999_is_this_for_either_ear, 0, 3);
    tcase_add_test(second, absolute_differences_of_1999_are_so_many);
    tcase_add_test(second, concordance_and_icc_of_1999_are_these);
    tcase_add_test(second, the_same_icc_comes_of_the_table_of_1999);
    tcase_add_test(second, two_observers_of_1999_meet_what_is_asked_of_observers);
    tcase_add_test(second, observer_and_machine_of_1999_meet_none_of_it);
    tcase_add_loop_test(second, grades_begin_at_their_three_shares, 0, 3);
    tcase_add_test(second, observers_are_asked_for_their_two_shares);
    tcase_add_test(second, rules_for_devices_end_at_their_limits);
    tcase_add_test(second, end_digits_of_1999_show_no_preference);
    suite_add_tcase(suite, first);
    suite_add_tcase(suite, second);
    return outside_run(suite);
}
