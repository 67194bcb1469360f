/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Whole sittings, each driven through the engine under every protocol: how many readings it asks for, what it
 * makes of them, which values it calls very high or low, how far it has the cuff pumped. Worked out here by
 * hand from the rules. */
#include <check.h>
#include <stdio.h>
#include <string.h>

#include "outside/bench.h"

/* ---- averages ---- */

struct vector {
    const char *protocol, *source;
    enum founded needed_is; /* how well the count of readings is founded */
    int gone;               /* the pulse felt to go here */
    int n;
    int systolic[4], diastolic[4];
    int needed;                        /* after the readings that decide it, one or two */
    int systolic_x100, diastolic_x100; /* after the last of them; 0: none yet */
};

#define US                                                                                                   \
    "ACC/AHA 2017 (NUM-1): mean of all; AHA 2005 (NUM-9): one more where the first two differ by over 5"
#define EU                                                                                                   \
    "ESC 2024 (NUM-3), as reported: mean of the second and third, more where the first two differ by over "  \
    "10"
#define UK "NICE NG136 1.2.2 (NUM-10): second from 140/90, the lower of the last two"
#define ISH "ISH 2020 (NUM-5), as reported: one suffices below 130/85, else the mean of the last two of three"
#define ARRHYTHMIA                                                                                           \
    "Korean 2013 (AF-1): at least 3, mean; ESH 2023 (NUM-16): more where they differ by 10 or more"
#define LYING "the protocol's own: two lying, ESC 2024 for one more"

static const struct vector VECTORS[] = {
    /* 148/92 138/88 136/86: differ by exactly 10 */
    {"us-adult", US, PUBLISHED, 150, 3, {148, 138, 136}, {92, 88, 86}, 3, 14067, 8867},
    {"pregnancy", US, PUBLISHED, 150, 3, {148, 138, 136}, {92, 88, 86}, 3, 14067, 8867},
    {"europe-adult", EU, PUBLISHED, 150, 3, {148, 138, 136}, {92, 88, 86}, 3, 13700, 8700},
    {"international-adult", ISH, PUBLISHED, 150, 3, {148, 138, 136}, {92, 88, 86}, 3, 13700, 8700},
    {"uk-adult", UK, JUDGEMENT, 150, 2, {148, 138}, {92, 88}, 2, 13800, 8800},
    {"uk-adult", UK, JUDGEMENT, 150, 3, {148, 138, 136}, {92, 88, 86}, 2, 13600, 8600},
    {"irregular-adult", ARRHYTHMIA, PUBLISHED, 150, 3, {148, 138, 136}, {92, 88, 86}, 4, 0, 0},
    {"irregular-adult",
     ARRHYTHMIA,
     PUBLISHED,
     150,
     4,
     {148, 138, 136, 138},
     {92, 88, 86, 86},
     4,
     14000,
     8800},
    {"standing-adult", LYING, JUDGEMENT, 150, 2, {148, 138}, {92, 88}, 2, 14300, 9000},
    /* 152/94 140/90 128/84: differ by 12 */
    {"us-adult", US, PUBLISHED, 148, 3, {152, 140, 128}, {94, 90, 84}, 3, 14000, 8933},
    {"pregnancy", US, PUBLISHED, 148, 3, {152, 140, 128}, {94, 90, 84}, 3, 14000, 8933},
    {"europe-adult", EU, PUBLISHED, 148, 3, {152, 140, 128}, {94, 90, 84}, 4, 0, 0},
    {"europe-adult", EU, PUBLISHED, 148, 4, {152, 140, 128, 130}, {94, 90, 84, 82}, 4, 12900, 8300},
    {"international-adult", ISH, PUBLISHED, 148, 3, {152, 140, 128}, {94, 90, 84}, 3, 13400, 8700},
    {"uk-adult", UK, JUDGEMENT, 148, 2, {152, 140}, {94, 90}, 3, 0, 0},
    {"uk-adult", UK, JUDGEMENT, 148, 3, {152, 140, 128}, {94, 90, 84}, 3, 12800, 8400},
    {"irregular-adult",
     ARRHYTHMIA,
     PUBLISHED,
     148,
     4,
     {152, 140, 128, 132},
     {94, 90, 84, 84},
     4,
     13800,
     8800},
    {"standing-adult", LYING, PUBLISHED, 148, 3, {152, 140, 128}, {94, 90, 84}, 3, 14000, 8933},
    /* 142/90 146/94 144/92: the second higher than the first */
    {"us-adult", US, PUBLISHED, 150, 2, {142, 146}, {90, 94}, 2, 14400, 9200},
    {"us-adult", US, PUBLISHED, 150, 3, {142, 146, 144}, {90, 94, 92}, 2, 14400, 9200},
    {"pregnancy", US, PUBLISHED, 150, 2, {142, 146}, {90, 94}, 2, 14400, 9200},
    {"europe-adult", EU, PUBLISHED, 150, 3, {142, 146, 144}, {90, 94, 92}, 3, 14500, 9300},
    {"international-adult", ISH, PUBLISHED, 150, 3, {142, 146, 144}, {90, 94, 92}, 3, 14500, 9300},
    {"uk-adult", UK, PUBLISHED, 150, 2, {142, 146}, {90, 94}, 2, 14200, 9000},
    {"uk-adult", UK, PUBLISHED, 150, 3, {142, 146, 144}, {90, 94, 92}, 2, 14400, 9200},
    {"irregular-adult", ARRHYTHMIA, PUBLISHED, 150, 3, {142, 146, 144}, {90, 94, 92}, 3, 14400, 9200},
    {"standing-adult", LYING, JUDGEMENT, 150, 2, {142, 146}, {90, 94}, 2, 14400, 9200},
    /* 128/82 alone */
    {"international-adult", ISH, PUBLISHED, 130, 1, {128}, {82}, 1, 12800, 8200},
    {"uk-adult", UK, PUBLISHED, 130, 1, {128}, {82}, 1, 12800, 8200},
    {"us-adult", US, PUBLISHED, 130, 1, {128}, {82}, 2, 0, 0},
    {"pregnancy", US, PUBLISHED, 130, 1, {128}, {82}, 2, 0, 0},
    {"europe-adult", EU, PUBLISHED, 130, 1, {128}, {82}, 3, 0, 0},
    {"irregular-adult", ARRHYTHMIA, PUBLISHED, 130, 1, {128}, {82}, 3, 0, 0},
    /* where one ceases to suffice */
    {"international-adult", ISH, PUBLISHED, 130, 1, {128}, {84}, 1, 12800, 8400},
    {"international-adult", ISH, PUBLISHED, 130, 1, {130}, {84}, 3, 0, 0},
    {"international-adult", ISH, PUBLISHED, 130, 1, {128}, {86}, 3, 0, 0},
    {"uk-adult", UK, PUBLISHED, 140, 1, {138}, {88}, 1, 13800, 8800},
    {"uk-adult", UK, PUBLISHED, 140, 1, {140}, {88}, 2, 0, 0},
    {"uk-adult", UK, PUBLISHED, 140, 1, {138}, {90}, 2, 0, 0},
    /* by how much the first two differ: 4, 6, 8, 10, 12 */
    {"us-adult", US, PUBLISHED, 140, 2, {138, 134}, {80, 80}, 2, 13600, 8000},
    {"us-adult", US, PUBLISHED, 140, 2, {138, 132}, {80, 80}, 3, 0, 0},
    {"us-adult", US, PUBLISHED, 140, 2, {132, 138}, {80, 80}, 3, 0, 0},
    {"us-adult", US, JUDGEMENT, 140, 2, {138, 138}, {80, 86}, 3, 0, 0},
    {"us-adult", US, JUDGEMENT, 140, 2, {138, 138}, {80, 84}, 2, 13800, 8200},
    {"europe-adult", EU, PUBLISHED, 140, 3, {138, 128, 130}, {80, 80, 80}, 3, 12900, 8000},
    {"europe-adult", EU, PUBLISHED, 140, 3, {138, 126, 130}, {80, 80, 80}, 4, 0, 0},
    {"europe-adult", EU, PUBLISHED, 140, 3, {126, 138, 130}, {80, 80, 80}, 4, 0, 0},
    {"irregular-adult", ARRHYTHMIA, PUBLISHED, 140, 3, {138, 130, 132}, {80, 80, 80}, 3, 13333, 8000},
    {"irregular-adult", ARRHYTHMIA, PUBLISHED, 140, 3, {138, 128, 132}, {80, 80, 80}, 4, 0, 0},
};

/* Which rules of choosing a source leaves open: that a diastolic may call for one more, NICE's
 * `substantially`. */
START_TEST(sittings_come_out_as_their_rule_says)
{
    static struct bench b;
    const struct vector *v = &VECTORS[_i];
    struct average a = {.n = 0};
    make_ready(&b, protocol_of(v->protocol));
    palpate(&b, v->gone);
    for (int i = 0; i < v->n; i++)
        take_reading(&b, v->gone + 30, v->systolic[i], v->diastolic[i]);
    ck_assert_int_eq(sitting_counted(&b.s, ARM_LEFT), v->n);
    const int needed = sitting_needed(&b.s, b.p, ARM_LEFT);
    outside(v->needed_is, v->source, needed == v->needed, "%s, row %d: %d needed", v->protocol, _i + 1,
            needed);
    const bool has = sitting_average(&b.s, b.p, ARM_LEFT, &a);
    outside(CALCULATED, v->source, has == (v->systolic_x100 != 0), "%s, row %d: an average or none",
            v->protocol, _i + 1);
    if (!has)
        return;
    const int s = average_x100(a.systolic_sum_mmhg, a.n), d = average_x100(a.diastolic_sum_mmhg, a.n);
    outside(CALCULATED, v->source, s == v->systolic_x100, "%s, row %d: systolic %d.%02d", v->protocol, _i + 1,
            s / 100, s % 100);
    outside(CALCULATED, v->source, d == v->diastolic_x100, "%s, row %d: diastolic %d.%02d", v->protocol,
            _i + 1, d / 100, d % 100);
}
END_TEST

/* The same three readings, another number: what the summary of two bodies would say side by side. */
START_TEST(the_same_readings_lie_in_another_category_by_another_rule)
{
    static struct bench b;
    static const struct {
        const char *protocol, *band;
    } ROWS[] = {{"us-adult", "stage-2"}, {"europe-adult", "stage-1"}};
    const struct category_scheme *us = protocols_scheme(&shipped, "us-2017");
    for (size_t i = 0; i < ARRAY_LEN(ROWS); i++) {
        struct average a;
        make_ready(&b, protocol_of(ROWS[i].protocol));
        palpate(&b, 150);
        take_reading(&b, 180, 148, 92);
        take_reading(&b, 180, 138, 88);
        take_reading(&b, 180, 136, 86);
        ck_assert(sitting_average(&b.s, b.p, ARM_LEFT, &a));
        const struct category where = category_of(us, a.systolic_sum_mmhg, a.diastolic_sum_mmhg, a.n);
        outside(CALCULATED, "CAT-1 over the rules of NUM-1 and NUM-3",
                strcmp(us->bands[where.band].id, ROWS[i].band) == 0, "%s: %s", ROWS[i].protocol,
                us->bands[where.band].id);
    }
}
END_TEST

/* ---- very high and low ---- */

#define SEV_US "SEV-1, ACC/AHA 2017, as reported: above 180 and/or above 120"
#define SEV_UK "SEV-3, NICE NG136, as reported: 180 or more, or 120 or more"
#define SEV_PREG "PREG-3, ACOG 623 and 767: 160 or more, or 110 or more"

static const struct {
    const char *protocol, *source;
    enum founded how;
    bool is_at;
    int systolic, diastolic;
} SEVERE[] = {
    {"us-adult", SEV_US, PUBLISHED, false, 180, 120},
    {"europe-adult", SEV_US, PUBLISHED, false, 180, 120},
    {"international-adult", SEV_US, PUBLISHED, false, 180, 120},
    {"irregular-adult", SEV_US, PUBLISHED, false, 180, 120},
    {"standing-adult", SEV_US, PUBLISHED, false, 180, 120},
    {"uk-adult", SEV_UK, PUBLISHED, true, 180, 120},
    {"pregnancy", SEV_PREG, PUBLISHED, true, 160, 110},
};

static const int VERY_HIGH[][2] = {{180, 120}, {182, 100}, {170, 122}, {180, 118}, {178, 120},
                                   {178, 118}, {182, 122}, {160, 110}, {160, 108}, {158, 110},
                                   {158, 108}, {162, 100}, {150, 112}, {178, 122}, {184, 90}};

/* Through the engine: the value raises the alarm as it is entered, and the sitting owes an answer once the
 * reading is done. */
START_TEST(very_high_begins_where_the_source_says)
{
    static struct bench b;
    for (size_t i = 0; i < ARRAY_LEN(VERY_HIGH); i++) {
        const int s = VERY_HIGH[i][0], d = VERY_HIGH[i][1], off = SEVERE[_i].is_at ? 0 : 1;
        const bool want = s >= SEVERE[_i].systolic + off || d >= SEVERE[_i].diastolic + off;
        make_ready(&b, protocol_of(SEVERE[_i].protocol));
        palpate(&b, 180);
        take_reading(&b, 210, s, d);
        outside(SEVERE[_i].how, SEVERE[_i].source, reading_is_severe(&b.s.readings[0], b.p) == want,
                "%s: %d/%d", SEVERE[_i].protocol, s, d);
        outside(SEVERE[_i].how, SEVERE[_i].source, (sitting_alarm(&b.s, b.p) == ALARM_HIGH) == want,
                "%s: the page for %d/%d", SEVERE[_i].protocol, s, d);
        outside(COMMON_PRACTICE, "a very high value is answered before the end",
                (b.s.is_severe_open != 0) == want, "%s: %d/%d is owed an answer", SEVERE[_i].protocol, s, d);
    }
}
END_TEST

/* LOW-1: below 90/60; that either suffices is this project's reading of it. */
START_TEST(low_begins_below_90_or_below_60)
{
    static const int LOW[][2] = {{88, 58}, {88, 60}, {90, 58}, {90, 60},
                                 {88, 62}, {92, 58}, {92, 62}, {100, 40}};
    static struct bench b;
    const struct protocol *p = shipped.list[_i];
    for (size_t i = 0; i < ARRAY_LEN(LOW); i++) {
        const int s = LOW[i][0], d = LOW[i][1];
        make_ready(&b, p);
        palpate(&b, 100);
        take_reading(&b, 130, s, d);
        outside((s < 90) == (d < 60) ? PUBLISHED : JUDGEMENT, "LOW-1, UK pharmacy service, as reported",
                (sitting_alarm(&b.s, p) == ALARM_LOW) == (s < 90 || d < 60), "%s: %d/%d", p->id, s, d);
        outside(JUDGEMENT, "nothing is owed for a low value", b.s.is_severe_open == 0, "%s: %d/%d", p->id, s,
                d);
    }
}
END_TEST

/* ---- how far to pump ---- */

/* ACC/AHA 2017 (PALP-2): 20 to 30 above the palpated pressure; NHANES (LIM-1): not above 300. */
START_TEST(the_cuff_is_pumped_20_to_30_above_the_pulse_felt)
{
    static const struct {
        int gone, margin, target;
        bool is_capped;
    } ROWS[] = {{126, 20, 146, false}, {126, 30, 156, false}, {100, 20, 120, false}, {100, 30, 130, false},
                {268, 30, 298, false}, {270, 30, 300, false}, {272, 30, 300, true},  {280, 20, 300, false},
                {280, 30, 300, true},  {282, 20, 300, true}};
    static struct bench b;
    static struct protocol own;
    for (size_t i = 0; i < ARRAY_LEN(ROWS); i++) {
        bool is_capped;
        own = *shipped.list[_i];
        own.value[KEY_MARGIN_MMHG] = ROWS[i].margin;
        make_ready(&b, &own);
        palpate(&b, ROWS[i].gone);
        const int floor = sitting_floor_mmhg(&b.s, &own, &is_capped);
        outside(PUBLISHED, "PALP-2, ACC/AHA 2017: 20 to 30 above; LIM-1, NHANES: 300",
                floor == ROWS[i].target, "%s: %d + %d is %d", own.id, ROWS[i].gone, ROWS[i].margin, floor);
        outside(CALCULATED, "the dial ends at 300", is_capped == ROWS[i].is_capped, "%s: %d + %d is cut",
                own.id, ROWS[i].gone, ROWS[i].margin);
    }
}
END_TEST

START_TEST(a_target_below_the_floor_is_void_and_the_floor_counts)
{
    static struct bench b;
    const struct protocol *p = shipped.list[_i];
    for (int off = -2; off <= 2; off += 2) {
        make_ready(&b, p);
        palpate(&b, 126);
        take_reading(&b, 156 + off, 130, 80);
        const bool is_low = (b.s.readings[0].voids & VOID_TARGET_LOW) != 0;
        outside(PUBLISHED, "PALP-2, ACC/AHA 2017: 20 to 30 above, the larger taken", is_low == (off < 0),
                "%s: pumped to %d", p->id, 156 + off);
    }
}
END_TEST

int main(void)
{
    Suite *s = suite_create("averages");
    TCase *t = tcase_create("averages");
    suite_add_tcase(s, t);
    tcase_add_loop_test(t, sittings_come_out_as_their_rule_says, 0, (int)ARRAY_LEN(VECTORS));
    tcase_add_test(t, the_same_readings_lie_in_another_category_by_another_rule);
    tcase_add_loop_test(t, very_high_begins_where_the_source_says, 0, (int)ARRAY_LEN(SEVERE));
    tcase_add_loop_test(t, low_begins_below_90_or_below_60, 0, 7);
    tcase_add_loop_test(t, the_cuff_is_pumped_20_to_30_above_the_pulse_felt, 0, 7);
    tcase_add_loop_test(t, a_target_below_the_floor_is_void_and_the_floor_counts, 0, 7);
    return bench_run(s);
}
