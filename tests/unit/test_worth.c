/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What a reading and an average are worth: against values worked out by hand from docs/worth.md. */
#include "stillarm/worth.h"

#include <check.h>
#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "stats/stats.h"
#include "unit/worth_hand.h"

#define NEAR(got, want, within) ck_assert_double_eq_tol(got, want, within)

static struct worth_hand hand;
static struct worth worth;

static const struct worth_row *row(enum side side, enum worth_part part)
{
    return &worth.side[side].row[part];
}

static void average_is_there(void)
{
    ck_assert(worth_of_average(&hand.s, &hand.p, ARM_LEFT, &worth));
}

/* ---- rows ---- */

START_TEST(one_reading_has_the_five_parts_worked_out_by_hand)
{
    worth_hand_init(&hand, AVERAGE_ALL);
    worth_hand_read(&hand, 132, 84, 20);
    ck_assert(worth_of_reading(&hand.s, &hand.p, 0, &worth));
    const struct worth_budget *b = &worth.side[SIDE_SYSTOLIC];
    NEAR(row(SIDE_SYSTOLIC, WORTH_GAUGE)->contribution, 1.7320508, 1e-6);
    NEAR(row(SIDE_SYSTOLIC, WORTH_GRADUATION)->contribution, 0.5773503, 1e-6);
    NEAR(row(SIDE_SYSTOLIC, WORTH_BEAT)->contribution, 0.6928203, 1e-6);
    NEAR(row(SIDE_SYSTOLIC, WORTH_HEIGHT)->sensitivity, 0.0779695, 1e-6);
    NEAR(row(SIDE_SYSTOLIC, WORTH_HEIGHT)->contribution, 1.1253927, 1e-6);
    NEAR(row(SIDE_SYSTOLIC, WORTH_SPREAD)->contribution, 6.2, 1e-9);
    NEAR(b->combined, 6.596957, 1e-5);
    NEAR(b->df, 21.78998, 1e-4);
    ck_assert(b->is_pooled);
    ck_assert(!b->is_thin);
    NEAR(b->k * b->combined, b->expanded, 1e-9);
}
END_TEST

START_TEST(two_readings_pool_their_spread_with_the_published_one)
{
    worth_hand_init(&hand, AVERAGE_ALL);
    worth_hand_read(&hand, 130, 84, 20);
    worth_hand_read(&hand, 134, 84, 20);
    average_is_there();
    const struct worth_budget *b = &worth.side[SIDE_SYSTOLIC];
    ck_assert_int_eq(worth.n, 2);
    NEAR(b->value, 132.0, 1e-12);
    NEAR(row(SIDE_SYSTOLIC, WORTH_SPREAD)->standard, 6.0620862, 1e-6);
    NEAR(row(SIDE_SYSTOLIC, WORTH_SPREAD)->contribution, 4.2865422, 1e-6);
    NEAR(row(SIDE_SYSTOLIC, WORTH_SPREAD)->df, 18.0, 1e-12);
    NEAR(b->combined, 4.8007937, 1e-6);
    NEAR(b->df, 28.32019, 1e-4);
    ck_assert(b->is_pooled);
}
END_TEST

START_TEST(five_readings_speak_for_their_own_spread)
{
    static const int VALUES[] = {126, 128, 130, 132, 134}; /* SD sqrt(10) */
    worth_hand_init(&hand, AVERAGE_ALL);
    for (int i = 0; i < 4; i++)
        worth_hand_read(&hand, VALUES[i], 80, 20);
    average_is_there();
    ck_assert(worth.side[SIDE_SYSTOLIC].is_pooled);
    worth_hand_read(&hand, VALUES[4], 80, 20);
    average_is_there();
    ck_assert(!worth.side[SIDE_SYSTOLIC].is_pooled);
    NEAR(row(SIDE_SYSTOLIC, WORTH_SPREAD)->standard, 3.1622777, 1e-6);
    NEAR(row(SIDE_SYSTOLIC, WORTH_SPREAD)->contribution, 1.4142136, 1e-6);
    NEAR(row(SIDE_SYSTOLIC, WORTH_SPREAD)->df, 4.0, 1e-12);
}
END_TEST

START_TEST(averaging_lessens_what_is_independent_and_nothing_shared)
{
    worth_hand_init(&hand, AVERAGE_ALL);
    for (int i = 0; i < 4; i++)
        worth_hand_read(&hand, 130, 80, 20);
    average_is_there();
    NEAR(row(SIDE_SYSTOLIC, WORTH_GAUGE)->contribution, 1.7320508, 1e-6);
    NEAR(row(SIDE_SYSTOLIC, WORTH_HEIGHT)->contribution, 1.1253927, 1e-6);
    NEAR(row(SIDE_SYSTOLIC, WORTH_GRADUATION)->contribution, 0.5773503 / 2.0, 1e-6);
    NEAR(row(SIDE_SYSTOLIC, WORTH_BEAT)->contribution, 0.6928203 / 2.0, 1e-6);
    NEAR(row(SIDE_SYSTOLIC, WORTH_BEAT)->shift, 1.2, 1e-9);
}
END_TEST

START_TEST(the_fall_between_beats_widens_systolic_up_and_diastolic_down)
{
    worth_hand_init(&hand, AVERAGE_ALL);
    worth_hand_read(&hand, 132, 84, 20);
    ck_assert(worth_of_reading(&hand.s, &hand.p, 0, &worth));
    NEAR(row(SIDE_SYSTOLIC, WORTH_BEAT)->low, 0.0, 1e-12);
    NEAR(row(SIDE_SYSTOLIC, WORTH_BEAT)->high, 2.4, 1e-9);
    NEAR(row(SIDE_DIASTOLIC, WORTH_BEAT)->low, -2.4, 1e-9);
    NEAR(row(SIDE_DIASTOLIC, WORTH_BEAT)->high, 0.0, 1e-12);
    for (int side = 0; side < SIDE_COUNT; side++) {
        const struct worth_budget *b = &worth.side[side];
        NEAR(b->value, side == SIDE_SYSTOLIC ? 132.0 : 84.0, 1e-12); /* never corrected */
        NEAR((b->low + b->high) / 2.0 - b->value, side == SIDE_SYSTOLIC ? 1.2 : -1.2, 1e-9);
        NEAR((b->high - b->low) / 2.0, b->expanded, 1e-9);
    }
}
END_TEST

struct fall_row {
    int before, between, pulse;
    double systolic, diastolic;
    bool is_known;
    const char *note, *why;
};

static const struct fall_row FALLS[] = {
    {20, 30, 60, 2.0, 3.0, true, "2.0 mmHg/s", "each side takes the rate nearest to it"},
    {0, 30, 60, 3.0, 3.0, true, "3.0 mmHg/s", "the rate after the first sound stands in before it"},
    {20, 0, 80, 1.5, 1.5, true, "pulse 80", "the rate before the first sound stands in after it"},
    {0, 0, 60, 3.0, 3.0, false, "not observed", "without a rate the upper end of the band"},
    {30, 30, 0, 3.0, 3.0, false, "pulse not counted: 60", "without a pulse 60"},
    {100, 100, 50, 12.0, 12.0, true, "12.0 mmHg a beat", "DEFL-5's own row"},
};

START_TEST(the_fall_between_beats_follows_what_was_observed)
{
    const struct fall_row *f = &FALLS[_i];
    worth_hand_init(&hand, AVERAGE_ALL);
    hand.s.pulse_bpm = f->pulse;
    struct reading *r = worth_hand_read(&hand, 132, 84, 0);
    r->rate_x10[0] = f->before;
    r->rate_x10[1] = f->between;
    ck_assert(worth_of_reading(&hand.s, &hand.p, 0, &worth));
    ck_assert_msg(fabs(row(SIDE_SYSTOLIC, WORTH_BEAT)->high - f->systolic) < 1e-9, "%s", f->why);
    ck_assert_msg(fabs(row(SIDE_DIASTOLIC, WORTH_BEAT)->low + f->diastolic) < 1e-9, "%s", f->why);
    ck_assert_msg(row(SIDE_SYSTOLIC, WORTH_BEAT)->is_known == f->is_known, "%s", f->why);
    ck_assert_msg(strstr(row(SIDE_SYSTOLIC, WORTH_BEAT)->note, f->note) != NULL, "%s: %s", f->why,
                  row(SIDE_SYSTOLIC, WORTH_BEAT)->note);
}
END_TEST

START_TEST(a_limit_of_nought_is_left_out_and_said)
{
    worth_hand_init(&hand, AVERAGE_ALL);
    hand.p.value[KEY_GAUGE_LIMIT_MMHG] = 0;
    worth_hand_read(&hand, 132, 84, 20);
    ck_assert(worth_of_reading(&hand.s, &hand.p, 0, &worth));
    ck_assert(!row(SIDE_SYSTOLIC, WORTH_GAUGE)->is_known);
    ck_assert(strstr(row(SIDE_SYSTOLIC, WORTH_GAUGE)->note, "left out") != NULL);
    NEAR(row(SIDE_SYSTOLIC, WORTH_GAUGE)->contribution, 0.0, 1e-12);
}
END_TEST

/* ---- which readings ---- */

struct taken_row {
    enum average_of average;
    int n;
    double systolic, diastolic;
    bool is_spread_of_two; /* the pooled SD shows that just the last two went in */
    const char *why;
};

static const struct taken_row TAKEN[] = {
    {AVERAGE_ALL, 3, 140.0, 90.0, false, "all three"},
    {AVERAGE_LAST_TWO, 2, 130.0, 85.0, true, "the last two"},
    {AVERAGE_WITHOUT_FIRST, 2, 130.0, 85.0, true, "without the first"},
    {AVERAGE_LOWER_OF_LAST_TWO, 1, 128.0, 86.0, false, "the lower of the last two"},
};

START_TEST(just_the_readings_of_the_average_go_in)
{
    const struct taken_row *t = &TAKEN[_i];
    worth_hand_init(&hand, t->average);
    worth_hand_read(&hand, 160, 100, 20);
    worth_hand_read(&hand, 190, 120, 20)->voids = VOID_RELEASE_FAST;
    worth_hand_read(&hand, 128, 86, 20);
    worth_hand_read(&hand, 110, 70, 20)->arm = ARM_RIGHT;
    worth_hand_read(&hand, 132, 84, 20);
    average_is_there();
    ck_assert_msg(worth.n == t->n, "%s", t->why);
    NEAR(worth.side[SIDE_SYSTOLIC].value, t->systolic, 1e-9);
    NEAR(worth.side[SIDE_DIASTOLIC].value, t->diastolic, 1e-9);
    if (t->is_spread_of_two) /* s^2 = 8: (8 + 17 x 6.2^2) / 18 */
        NEAR(row(SIDE_SYSTOLIC, WORTH_SPREAD)->standard, 6.0620862, 1e-6);
    if (t->n == 1)
        NEAR(row(SIDE_SYSTOLIC, WORTH_SPREAD)->standard, 6.2, 1e-9);
}
END_TEST

START_TEST(one_more_reading_counts_as_the_protocol_averages)
{
    worth_hand_init(&hand, AVERAGE_LAST_TWO);
    for (int i = 0; i < 3; i++)
        worth_hand_read(&hand, 130, 80, 20);
    average_is_there();
    NEAR(worth.expanded_after[SIDE_SYSTOLIC], worth.side[SIDE_SYSTOLIC].expanded, 1e-12);

    hand.p.value[KEY_AVERAGE] = AVERAGE_ALL;
    average_is_there();
    const double after_three = worth.expanded_after[SIDE_SYSTOLIC];
    ck_assert_double_lt(after_three, worth.side[SIDE_SYSTOLIC].expanded);
    /* Spread 6.2 for all of them: what is said now is what comes of it then. */
    hand.p.value[KEY_WITHIN_SD_DF] = 1000;
    average_is_there();
    const double said = worth.expanded_after[SIDE_SYSTOLIC];
    worth_hand_read(&hand, 130, 80, 20);
    average_is_there();
    NEAR(worth.side[SIDE_SYSTOLIC].expanded, said, 0.02);
}
END_TEST

START_TEST(the_lower_of_two_is_one_reading_with_a_pull)
{
    worth_hand_init(&hand, AVERAGE_LOWER_OF_LAST_TWO);
    worth_hand_read(&hand, 132, 84, 20);
    average_is_there();
    ck_assert_int_eq(worth.pull_count, 0);
    worth_hand_read(&hand, 134, 84, 20);
    average_is_there();
    ck_assert_int_eq(worth.n, 1);
    ck_assert_int_eq(worth.pull_count, 1);
    ck_assert_int_eq(worth.pulls[0].systolic, -1);
    ck_assert(strstr(worth.pulls[0].size, "-3.5 mmHg") != NULL); /* 6.2 / sqrt(pi) */
}
END_TEST

/* ---- factors ---- */

START_TEST(coverage_factors_are_those_of_the_tables)
{
    NEAR(worth_coverage_factor(0.95, 4.0), 2.7764, 5e-5);
    NEAR(worth_coverage_factor(0.95, 16.0), 2.1199, 5e-5);
    NEAR(worth_coverage_factor(0.95, (double)INFINITY), 1.959964, 1e-6);
    const double between = worth_coverage_factor(0.95, 16.5);
    ck_assert(between < 2.1199 && between > 2.1098);
    NEAR(worth_coverage_factor(0.0, 4.0), 0.0, 1e-12);
}
END_TEST

START_TEST(effective_df_follow_welch_and_satterthwaite)
{
    const double equal[] = {1.0, 1.0}, df_equal[] = {4.0, 4.0};
    NEAR(worth_effective_df(equal, df_equal, 2), 8.0, 1e-12); /* 2^2 / (1/4 + 1/4) */
    const double mixed[] = {3.0, 4.0}, df_mixed[] = {5.0, (double)INFINITY};
    NEAR(worth_effective_df(mixed, df_mixed, 2), 625.0 / (81.0 / 5.0), 1e-9);
    ck_assert(isinf(worth_effective_df(mixed + 1, df_mixed + 1, 1)));
    const double none[] = {0.0};
    ck_assert(isinf(worth_effective_df(none, df_equal, 1)));
}
END_TEST

/* ---- convolution ---- */

static double width_of(int n, const double *half, double scale, double df)
{
    struct boxes b = {.n = 0};
    for (int i = 0; i < n; i++)
        boxes_add(&b, half[i]);
    return stats_half_width(&b, scale, df, 0.95);
}

START_TEST(the_half_width_is_exact_where_it_is_known_in_closed_form)
{
    const double boxes[] = {3.0, 3.0, 1.0};
    NEAR(width_of(1, boxes, 0.0, 1.0), 0.95 * 3.0, 1e-6);
    NEAR(width_of(2, boxes, 0.0, 1.0), 6.0 * (1.0 - sqrt(0.05)), 1e-5); /* a triangle */
    /* A trapezium of halves 3 and 1: its slope's tail is (4 - x)^2 / 24 on each side. */
    NEAR(width_of(2, boxes + 1, 0.0, 1.0), 4.0 - sqrt(0.025 * 24.0), 1e-4);
    NEAR(width_of(0, boxes, 2.0, 4.0), 2.0 * 2.7764451, 1e-6);
    NEAR(width_of(1, boxes + 2, 100.0, 4.0), 277.64451, 0.02); /* the box hardly counts */
}
END_TEST

/* A box of half 1 and a normal of SD 1: P(|sum| > x) has a closed form in the normal's antiderivative. */
START_TEST(a_box_and_a_normal_convolve_to_the_textbook_tail)
{
    const double box[] = {1.0};
    const double x = width_of(1, box, 1.0, (double)INFINITY);
    double tail = 0.0; /* midpoint rule over the box, fine enough to be exact here */
    for (int i = 0; i < 20000; i++)
        tail += erfc((x - (-1.0 + (i + 0.5) / 10000.0)) / sqrt(2.0)) / 2.0 / 20000.0;
    NEAR(tail, 0.025, 2e-5);
}
END_TEST

START_TEST(limits_that_outweigh_the_spread_take_a_smaller_factor)
{
    worth_hand_init(&hand, AVERAGE_ALL);
    for (int i = 0; i < 8; i++)
        worth_hand_read(&hand, 130, 80, 20);
    average_is_there();
    const struct worth_budget *b = &worth.side[SIDE_SYSTOLIC];
    NEAR(row(SIDE_SYSTOLIC, WORTH_SPREAD)->contribution, 0.0, 1e-12);
    ck_assert(isinf(b->df));
    ck_assert(b->k > 1.6 && b->k < 1.92);
}
END_TEST

START_TEST(few_degrees_of_freedom_are_said_and_never_narrow)
{
    static const int VALUES[] = {110, 120, 130, 140, 150};
    worth_hand_init(&hand, AVERAGE_ALL);
    for (int i = 0; i < 5; i++)
        worth_hand_read(&hand, VALUES[i], 80, 20);
    average_is_there();
    const struct worth_budget *b = &worth.side[SIDE_SYSTOLIC];
    ck_assert(b->is_thin);
    ck_assert_double_lt(b->df, 10.0);
    ck_assert_double_ge(b->k, worth_coverage_factor(0.95, b->df));
}
END_TEST

/* ---- two variables ---- */

static const double RHOS[] = {-0.999, -0.95, -0.7, -0.2, 0.0, 0.03, 0.3, 0.7, 0.925, 0.99, 0.9999, 0.999999};

START_TEST(the_quadrant_at_the_middle_is_known_exactly)
{
    NEAR(stats_both_above(0.0, 0.0, RHOS[_i]), 0.25 + asin(RHOS[_i]) / (2.0 * 3.14159265358979323846), 1e-12);
}
END_TEST

static double normal_above(double x)
{
    return erfc(x / sqrt(2.0)) / 2.0;
}

/* P(X > h, Y > k) by the conditional chance, Simpson's rule: another way to the same figure. */
static double both_above_by_simpson(double h, double k, double rho)
{
    const int steps = 200000;
    const double to = 9.0, from = h < -to ? -to : h, step = (to - from) / steps;
    double sum = 0.0;
    for (int i = 0; i <= steps; i++) {
        const double x = from + i * step;
        const double f = exp(-x * x / 2.0) / sqrt(2.0 * 3.14159265358979323846) *
                         normal_above((k - rho * x) / sqrt(1.0 - rho * rho));
        sum += f * (i == 0 || i == steps ? 1.0 : i % 2 ? 4.0 : 2.0);
    }
    return sum * step / 3.0;
}

START_TEST(the_bivariate_normal_holds_to_ten_places)
{
    static const double AT[] = {-3.0, -1.0, -0.1, 0.5, 1.7, 4.0};
    const double rho = RHOS[_i];
    for (size_t i = 0; i < sizeof AT / sizeof AT[0]; i++) {
        for (size_t j = 0; j < sizeof AT / sizeof AT[0]; j++)
            NEAR(stats_both_above(AT[i], AT[j], rho), both_above_by_simpson(AT[i], AT[j], rho), 1e-10);
    }
}
END_TEST

START_TEST(either_is_the_sum_less_both)
{
    const double inf = (double)INFINITY;
    /* independent: 1 - (1 - p)(1 - q), p = q = 1/2 */
    NEAR(worth_chance_either(10, 10, 1, inf, 5, 5, 2, inf, 0.0), 0.75, 1e-12);
    /* t with 4: P(T >= 2.7764451) = 0.025, and a boundary that is never reached adds nothing */
    NEAR(worth_chance_either(2.7764451, 0, 1, 4, inf, 0, 1, 4, 0.3), 0.025, 1e-8);
    NEAR(worth_chance_either(-inf, 0, 1, 4, 50, 0, 1, inf, 0.3), 1.0, 1e-12);
    /* the more they go together, the less there is of either */
    ck_assert_double_lt(worth_chance_either(1, 0, 1, 9, 1, 0, 1, 9, 0.8),
                        worth_chance_either(1, 0, 1, 9, 1, 0, 1, 9, 0.1));
    NEAR(worth_chance_either((double)NAN, 0, 1, 9, 1, 0, 1, 9, 0.1), 0.5, 1e-12);
    NEAR(worth_chance_either(1, 0, 0, 9, 1, 0, 1, 9, 0.1), 0.5, 1e-12);
}
END_TEST

/* ---- the least sure boundary ---- */

static void add_band(const char *id, int systolic_from, int diastolic_from)
{
    struct category_scheme *c = &hand.p.schemes[0];
    struct category_band *b = &c->bands[c->band_count++];
    (void)strncpy(b->id, id, sizeof b->id - 1);
    b->systolic_from_mmhg = systolic_from;
    b->diastolic_from_mmhg = diastolic_from;
    hand.p.scheme_count = 1;
}

static void add_bands(void)
{
    add_band("low", 0, 0);
    add_band("middle", 120, CATEGORY_NO_BOUND);
    add_band("high", 130, 80);
    add_band("higher", 140, 90);
}

struct edge_row {
    int systolic, diastolic, band, systolic_from, diastolic_from;
    const char *why;
};

static const struct edge_row EDGES[] = {
    {119, 60, 1, 120, 80, "a value that alone never brings the band: the next higher band's bound"},
    {130, 70, 2, 130, 80, "on the bound"},
    {120, 89, 3, 140, 90, "diastolic alone is near its bound"},
    {160, 100, 3, 140, 90, "the highest boundary is nearest from above"},
};

START_TEST(the_edge_is_the_boundary_that_is_least_sure)
{
    const struct edge_row *e = &EDGES[_i];
    worth_hand_init(&hand, AVERAGE_ALL);
    add_bands();
    worth_hand_read(&hand, e->systolic, e->diastolic, 20);
    ck_assert(worth_of_reading(&hand.s, &hand.p, 0, &worth));
    ck_assert(worth.edge.is_known);
    ck_assert_msg(worth.edge.band == e->band, "%s: band %d", e->why, (int)worth.edge.band);
    ck_assert_int_eq(worth.edge.systolic_from_mmhg, e->systolic_from);
    ck_assert_int_eq(worth.edge.diastolic_from_mmhg, e->diastolic_from);
    ck_assert_double_ge(worth.edge.chance_either, fmax(worth.edge.chance[0], worth.edge.chance[1]) - 1e-12);
    ck_assert_double_le(worth.edge.chance_either, worth.edge.chance[0] + worth.edge.chance[1] + 1e-12);
}
END_TEST

/* Four mmHg a beat: the reading lies 2 below the bound, and the middle of its interval on it. */
START_TEST(chance_is_even_where_the_middle_of_the_interval_lies_on_the_bound)
{
    worth_hand_init(&hand, AVERAGE_ALL);
    add_band("low", 0, 0);
    add_band("high", 134, CATEGORY_NO_BOUND);
    hand.s.pulse_bpm = 60;
    worth_hand_read(&hand, 132, 60, 40);
    ck_assert(worth_of_reading(&hand.s, &hand.p, 0, &worth));
    NEAR(worth.edge.chance[SIDE_SYSTOLIC], 0.5, 1e-12);
    NEAR(worth.edge.chance[SIDE_DIASTOLIC], 0.0, 1e-12);
    NEAR(worth.edge.chance_either, 0.5, 1e-9);
    ck_assert_int_eq(worth.edge.diastolic_from_mmhg, CATEGORY_NO_BOUND);
}
END_TEST

START_TEST(without_a_second_band_or_standing_no_edge_is_known)
{
    worth_hand_init(&hand, AVERAGE_ALL);
    struct reading *r = worth_hand_read(&hand, 132, 84, 20);
    ck_assert(worth_of_reading(&hand.s, &hand.p, 0, &worth));
    ck_assert(!worth.edge.is_known);
    add_band("low", 0, 0);
    ck_assert(worth_of_reading(&hand.s, &hand.p, 0, &worth));
    ck_assert(!worth.edge.is_known);
    add_band("high", 130, 80);
    ck_assert(worth_of_reading(&hand.s, &hand.p, 0, &worth));
    ck_assert(worth.edge.is_known);
    r->is_standing = 1;
    ck_assert(worth_of_reading(&hand.s, &hand.p, 0, &worth));
    ck_assert(!worth.edge.is_known);
}
END_TEST

/* ---- pulls ---- */

static void wear(int low_mm, int high_mm, int arm_mm, enum rule waived)
{
    worth_hand_init(&hand, AVERAGE_ALL);
    hand.s.cuffs[0] = (struct cuff){.low_mm = low_mm, .high_mm = high_mm};
    hand.s.cuff_count = 1;
    hand.s.wrapped = 0;
    hand.s.arm_mm = arm_mm;
    hand.s.waived_rules[waived] = 1;
    worth_hand_read(&hand, 132, 84, 20);
    average_is_there();
}

struct cuff_row {
    int low_mm, high_mm, arm_mm;
    enum rule waived;
    int pulls, direction;
    const char *source;
};

static const struct cuff_row CUFFS[] = {
    {270, 340, 341, RULE_CUFF_TOO_SMALL, 1, 1, "WC-2"}, {270, 340, 440, RULE_CUFF_TOO_SMALL, 1, 1, "WC-2"},
    {270, 340, 441, RULE_CUFF_TOO_SMALL, 1, 1, "WC-3"}, {270, 340, 250, RULE_CUFF_TOO_LARGE, 1, -1, "WC-1"},
    {270, 340, 300, RULE_CUFF_TOO_SMALL, 0, 0, ""},     {270, 340, 341, RULE_CUFF_TOO_LARGE, 0, 0, ""},
};

START_TEST(a_wrong_cuff_passed_over_pulls_by_its_published_size)
{
    const struct cuff_row *c = &CUFFS[_i];
    wear(c->low_mm, c->high_mm, c->arm_mm, c->waived);
    ck_assert_int_eq(worth.pull_count, c->pulls);
    if (c->pulls == 0)
        return;
    ck_assert_int_eq(worth.pulls[0].systolic, c->direction);
    ck_assert_int_eq(worth.pulls[0].diastolic, c->direction);
    ck_assert_str_eq(worth.pulls[0].origin.source, c->source);
    NEAR(worth.side[SIDE_SYSTOLIC].value, 132.0, 1e-12); /* said, not applied */
    NEAR(worth.side[SIDE_SYSTOLIC].shift, 1.2, 1e-9);
}
END_TEST

START_TEST(a_small_bladder_pulls_where_the_marked_range_fits)
{
    wear(270, 340, 300, RULE_NONE);
    hand.s.worn = 1;
    hand.s.worn_arm_mm = 300;
    hand.s.cuffs[0].bladder_width_mm = 120;
    hand.s.cuffs[0].bladder_length_mm = 240;
    hand.p.value[KEY_BLADDER_WIDTH_PCT] = 40;
    hand.p.value[KEY_BLADDER_LENGTH_PCT] = 80;
    average_is_there();
    ck_assert_int_eq(worth.pull_count, 0);
    hand.s.cuffs[0].bladder_length_mm = 239;
    average_is_there();
    ck_assert_int_eq(worth.pull_count, 1);
    ck_assert_str_eq(worth.pulls[0].origin.source, "WC-5");
}
END_TEST

START_TEST(a_quick_release_pulls_just_the_readings_that_had_it)
{
    worth_hand_init(&hand, AVERAGE_LAST_TWO);
    worth_hand_read(&hand, 132, 84, 40)->notes = NOTE_RELEASE_QUICK;
    worth_hand_read(&hand, 132, 84, 20);
    worth_hand_read(&hand, 132, 84, 20);
    average_is_there();
    ck_assert_int_eq(worth.pull_count, 0);
    ck_assert(worth_of_reading(&hand.s, &hand.p, 0, &worth));
    ck_assert_int_eq(worth.pull_count, 1);
    ck_assert_int_eq(worth.pulls[0].systolic, -1);
    ck_assert_int_eq(worth.pulls[0].diastolic, 1);
    ck_assert_int_eq(worth.pulls[0].origin.standing, STANDING_MEMORY);
}
END_TEST

static void add_item(const char *say, const char *cost, const char *source, enum item_state state)
{
    const int at = hand.p.item_count++;
    struct protocol_item *item = &hand.p.items[at];
    (void)strncpy(item->say, say, sizeof item->say - 1);
    (void)strncpy(item->cost, cost, sizeof item->cost - 1);
    (void)strncpy(item->cost_source, source, sizeof item->cost_source - 1);
    hand.s.items[at] = (int32_t)state;
}

/* A source answers for no number that it does not say. */
START_TEST(a_part_names_no_source_for_a_number_that_departs_from_it)
{
    static const enum protocol_key OWN[] = {KEY_GAUGE_LIMIT_MMHG, KEY_ARM_HEIGHT_MM, KEY_WITHIN_SYSTOLIC_SD_X10, KEY_VISIT_SD_X10};
    const struct origin *const said[] = {&worth.side[SIDE_SYSTOLIC].row[WORTH_GAUGE].origin,
                                         &worth.side[SIDE_SYSTOLIC].row[WORTH_HEIGHT].origin,
                                         &worth.side[SIDE_SYSTOLIC].row[WORTH_SPREAD].origin, &worth.visit_origin};
    worth_hand_read(&hand, 124, 78, 25);
    for (int own = 0; own < 2; own++) {
        for (size_t i = 0; i < sizeof OWN / sizeof OWN[0]; i++) {
            const int32_t value = hand.p.value[OWN[i]];
            hand.p.origin[OWN[i]] = (struct origin){.source = "X-1", .standing = STANDING_PUBLISHED};
            hand.p.says[OWN[i]] = (struct says){1, value + own, value + own};
        }
        average_is_there();
        for (size_t i = 0; i < sizeof OWN / sizeof OWN[0]; i++) {
            ck_assert_str_eq(said[i]->source, own ? "" : "X-1");
            ck_assert_int_eq(said[i]->standing, own ? STANDING_JUDGEMENT : STANDING_PUBLISHED);
        }
    }
}
END_TEST

START_TEST(items_passed_over_say_their_cost_and_direction)
{
    worth_hand_init(&hand, AVERAGE_ALL);
    add_item("Legs uncrossed", "Crossed legs read 2.5 to 15 mmHg high.", "ERR-14", ITEM_WAIVED);
    add_item("Back supported", "The lower value reads 6.5 mmHg high.", "ERR-15", ITEM_WAIVED);
    add_item("Ours", "Nobody knows.", "OUR-1", ITEM_WAIVED);
    add_item("No cost", "", "", ITEM_WAIVED);
    add_item("Done", "Something.", "ERR-3", ITEM_CONFIRMED);
    worth_hand_read(&hand, 132, 84, 20);
    average_is_there();
    ck_assert_int_eq(worth.pull_count, 3);
    ck_assert_str_eq(worth.pulls[0].what, "passed over: Legs uncrossed");
    ck_assert_int_eq(worth.pulls[0].systolic, 1);
    ck_assert_int_eq(worth.pulls[1].systolic, 0);
    ck_assert_int_eq(worth.pulls[1].diastolic, 1);
    ck_assert_int_eq(worth.pulls[2].systolic, 0);
    ck_assert_int_eq(worth.pulls[2].origin.standing, STANDING_JUDGEMENT);
}
END_TEST

START_TEST(a_gauge_overdue_is_said_without_a_direction)
{
    worth_hand_init(&hand, AVERAGE_ALL);
    hand.s.date = 20261125;
    hand.s.gauge_due = 20261124;
    hand.s.waived_rules[RULE_KIT_OVERDUE] = 1;
    worth_hand_read(&hand, 132, 84, 20);
    average_is_there();
    ck_assert_int_eq(worth.pull_count, 1);
    ck_assert_int_eq(worth.pulls[0].systolic, 0);
    hand.s.gauge_due = 20261125;
    average_is_there();
    ck_assert_int_eq(worth.pull_count, 0);
}
END_TEST

START_TEST(more_pulls_than_fit_are_cut_not_written_past_the_end)
{
    worth_hand_init(&hand, AVERAGE_ALL);
    for (int i = 0; i < WORTH_PULLS_MAX + 5; i++)
        add_item("Legs uncrossed", "Costs.", "ERR-14", ITEM_WAIVED);
    worth_hand_read(&hand, 132, 84, 20);
    average_is_there();
    ck_assert_int_eq(worth.pull_count, WORTH_PULLS_MAX);
}
END_TEST

/* ---- what cannot be worked out ---- */

START_TEST(what_is_not_there_has_no_worth)
{
    worth_hand_init(&hand, AVERAGE_ALL);
    memset(&worth, 0x5a, sizeof worth);
    const struct worth before = worth;
    ck_assert(!worth_of_average(&hand.s, &hand.p, ARM_LEFT, &worth));
    struct reading *r = worth_hand_read(&hand, 132, 84, 20);
    ck_assert(!worth_of_reading(&hand.s, &hand.p, -1, &worth));
    ck_assert(!worth_of_reading(&hand.s, &hand.p, 1, &worth));
    ck_assert(!worth_of_reading(&hand.s, NULL, 0, &worth));
    ck_assert(!worth_of_average(&hand.s, &hand.p, ARM_NONE, &worth));
    ck_assert(!worth_of_average(&hand.s, &hand.p, ARM_RIGHT, &worth));
    r->has_value[POINT_LAST] = 0;
    ck_assert(!worth_of_reading(&hand.s, &hand.p, 0, &worth));
    ck_assert(!worth_of_average(&hand.s, &hand.p, ARM_LEFT, &worth));
    ck_assert_mem_eq(&worth, &before, sizeof worth);
}
END_TEST

static void all_is_finite(void)
{
    for (int side = 0; side < SIDE_COUNT; side++) {
        const struct worth_budget *b = &worth.side[side];
        ck_assert(isfinite(b->combined) && isfinite(b->k) && isfinite(b->expanded));
        ck_assert(isfinite(b->low) && isfinite(b->high) && b->low <= b->high);
        ck_assert(isfinite(worth.expanded_after[side]));
        ck_assert(b->df > 0.0);
        for (int i = 0; i < WORTH_PART_COUNT; i++) {
            ck_assert(isfinite(b->row[i].contribution) && isfinite(b->row[i].standard) &&
                      isfinite(b->row[i].shift));
            ck_assert(b->row[i].df > 0.0);
            ck_assert(b->row[i].note[0] != '\0');
        }
    }
    ck_assert(worth.edge.chance_either >= 0.0 && worth.edge.chance_either <= 1.0);
}

START_TEST(nothing_that_is_not_a_number_leaves_whatever_goes_in)
{
    static const int32_t ODD[] = {0, 1, -1, INT32_MAX, INT32_MIN};
    for (int key = 0; key < KEY_COUNT; key++) {
        for (size_t i = 0; i < sizeof ODD / sizeof ODD[0]; i++) {
            worth_hand_init(&hand, AVERAGE_ALL);
            add_bands();
            worth_hand_read(&hand, 132, 84, 20);
            worth_hand_read(&hand, 300, 0, 0);
            hand.p.value[key] = ODD[i];
            ck_assert(worth_of_reading(&hand.s, &hand.p, 1, &worth));
            all_is_finite();
        }
    }
    worth_hand_init(&hand, AVERAGE_ALL);
    memset(&hand.p, 0, sizeof hand.p);
    hand.s.pulse_bpm = -5;
    worth_hand_read(&hand, 0, 0, -20);
    ck_assert(worth_of_reading(&hand.s, &hand.p, 0, &worth));
    all_is_finite();
    ck_assert(!row(SIDE_SYSTOLIC, WORTH_SPREAD)->is_known);
}
END_TEST

START_TEST(a_full_arm_fits)
{
    worth_hand_init(&hand, AVERAGE_ALL);
    for (int i = 0; i < INFLATIONS_PER_ARM; i++)
        worth_hand_read(&hand, 120 + 2 * (i % 5), 80, 20);
    average_is_there();
    ck_assert_int_eq(worth.n, INFLATIONS_PER_ARM);
    all_is_finite();
}
END_TEST

#define ROWS(table) (int)(sizeof(table) / sizeof(table)[0])

int main(void)
{
    Suite *s = suite_create("worth");
    TCase *rows = tcase_create("rows"), *taken = tcase_create("taken"), *numbers = tcase_create("numbers");
    TCase *edge = tcase_create("edge"), *pulls = tcase_create("pulls"), *odd = tcase_create("odd");
    tcase_add_test(rows, one_reading_has_the_five_parts_worked_out_by_hand);
    tcase_add_test(rows, two_readings_pool_their_spread_with_the_published_one);
    tcase_add_test(rows, five_readings_speak_for_their_own_spread);
    tcase_add_test(rows, averaging_lessens_what_is_independent_and_nothing_shared);
    tcase_add_test(rows, the_fall_between_beats_widens_systolic_up_and_diastolic_down);
    tcase_add_loop_test(rows, the_fall_between_beats_follows_what_was_observed, 0, ROWS(FALLS));
    tcase_add_test(rows, a_limit_of_nought_is_left_out_and_said);
    tcase_add_loop_test(taken, just_the_readings_of_the_average_go_in, 0, ROWS(TAKEN));
    tcase_add_test(taken, one_more_reading_counts_as_the_protocol_averages);
    tcase_add_test(taken, the_lower_of_two_is_one_reading_with_a_pull);
    tcase_add_test(numbers, coverage_factors_are_those_of_the_tables);
    tcase_add_test(numbers, effective_df_follow_welch_and_satterthwaite);
    tcase_add_test(numbers, the_half_width_is_exact_where_it_is_known_in_closed_form);
    tcase_add_test(numbers, a_box_and_a_normal_convolve_to_the_textbook_tail);
    tcase_add_test(numbers, limits_that_outweigh_the_spread_take_a_smaller_factor);
    tcase_add_test(numbers, few_degrees_of_freedom_are_said_and_never_narrow);
    tcase_add_loop_test(numbers, the_quadrant_at_the_middle_is_known_exactly, 0, ROWS(RHOS));
    tcase_add_loop_test(numbers, the_bivariate_normal_holds_to_ten_places, 0, ROWS(RHOS));
    tcase_add_test(numbers, either_is_the_sum_less_both);
    tcase_add_loop_test(edge, the_edge_is_the_boundary_that_is_least_sure, 0, ROWS(EDGES));
    tcase_add_test(edge, chance_is_even_where_the_middle_of_the_interval_lies_on_the_bound);
    tcase_add_test(edge, without_a_second_band_or_standing_no_edge_is_known);
    tcase_add_loop_test(pulls, a_wrong_cuff_passed_over_pulls_by_its_published_size, 0, ROWS(CUFFS));
    tcase_add_test(pulls, a_small_bladder_pulls_where_the_marked_range_fits);
    tcase_add_test(pulls, a_quick_release_pulls_just_the_readings_that_had_it);
    tcase_add_test(pulls, a_part_names_no_source_for_a_number_that_departs_from_it);
    tcase_add_test(pulls, items_passed_over_say_their_cost_and_direction);
    tcase_add_test(pulls, a_gauge_overdue_is_said_without_a_direction);
    tcase_add_test(pulls, more_pulls_than_fit_are_cut_not_written_past_the_end);
    tcase_add_test(odd, what_is_not_there_has_no_worth);
    tcase_add_test(odd, nothing_that_is_not_a_number_leaves_whatever_goes_in);
    tcase_add_test(odd, a_full_arm_fits);
    TCase *const all[] = {rows, taken, numbers, edge, pulls, odd};
    for (size_t i = 0; i < sizeof all / sizeof all[0]; i++) {
        tcase_set_timeout(all[i], 60);
        suite_add_tcase(s, all[i]);
    }
    SRunner *runner = srunner_create(s);
    srunner_run_all(runner, CK_NORMAL);
    const int failed = srunner_ntests_failed(runner);
    srunner_free(runner);
    return failed == 0 ? EXIT_SUCCESS : EXIT_FAILURE;
}
