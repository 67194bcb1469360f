/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Every boundary of every category file, a mmHg below, at and above it, each value alone and both crossed,
 * against the published bands as they were written down here from their sources, and not read from the files.
 */
#include <check.h>
#include <stdio.h>
#include <string.h>

#include "outside/bench.h"
#include "stillarm/category.h"

#define BANDS_MAX 6
#define NEVER 999 /* this value alone never brings the band */

struct ladder {
    const char *scheme, *source;
    int count;
    struct {
        const char *id, *mark;
        int systolic, diastolic; /* from here on */
    } band[BANDS_MAX];
};

static const struct ladder LADDERS[] = {
    {"us-2017",
     "CAT-1, ACC/AHA 2017 and AHA/ACC 2025, as reported",
     4,
     {{"normal", "nor", 0, 0},
      {"elevated", "ele", 120, NEVER},
      {"stage-1", "st1", 130, 80},
      {"stage-2", "st2", 140, 90}}},
    {"esc-2024",
     "CAT-2, ESC 2024, as reported",
     3,
     {{"non-elevated", "non", 0, 0}, {"elevated", "ele", 120, 70}, {"hypertension", "hyp", 140, 90}}},
    {"esh-2023",
     "CAT-3, ESH 2023, as reported",
     6,
     {{"optimal", "opt", 0, 0},
      {"normal", "nor", 120, 80},
      {"high-normal", "hin", 130, 85},
      {"grade-1", "gr1", 140, 90},
      {"grade-2", "gr2", 160, 100},
      {"grade-3", "gr3", 180, 110}}},
    {"ish-2020",
     "CAT-4, ISH 2020, as reported",
     4,
     {{"normal", "nor", 0, 0},
      {"high-normal", "hin", 130, 85},
      {"grade-1", "gr1", 140, 90},
      {"grade-2", "gr2", 160, 100}}},
    {"nice",
     "CAT-5, NICE NG136, as reported",
     4,
     {{"below-140-90", "bel", 0, 0},
      {"stage-1", "st1", 140, 90},
      {"stage-2", "st2", 160, 100},
      {"severe", "sev", 180, 120}}},
    {"uk-pharmacy",
     "CAT-6, UK pharmacy service, as reported",
     3,
     {{"normal", "nor", 0, 0}, {"high", "hig", 140, 90}, {"very-high", "vhi", 180, 120}}},
};
#define LADDER_COUNT ((int)ARRAY_LEN(LADDERS))

static bool is_scheme(const struct ladder *l, const char *id)
{
    return strcmp(l->scheme, id) == 0;
}

static const struct category_scheme *scheme_of(const char *id)
{
    const struct category_scheme *c = protocols_scheme(&shipped, id);
    ck_assert_msg(c != NULL, "no scheme %s", id);
    return c;
}

static bool has_flag(const struct category_scheme *c, struct category where, const char *id)
{
    for (int i = 0; i < c->flag_count; i++) {
        if (strcmp(c->flags[i].id, id) == 0)
            return (where.flags & (1u << i)) != 0;
    }
    return false;
}

/* The band of each value, and the higher of the two. Means in floating point: a sum over a whole bound times
 * n divides without a remainder, so nothing is lost at a bound. */
static int expected_band(const struct ladder *l, double systolic, double diastolic)
{
    int by_systolic = 0, by_diastolic = 0;
    for (int i = 1; i < l->count; i++) {
        if (systolic >= l->band[i].systolic)
            by_systolic = i;
        if (l->band[i].diastolic != NEVER && diastolic >= l->band[i].diastolic)
            by_diastolic = i;
    }
    return by_systolic > by_diastolic ? by_systolic : by_diastolic;
}

/* ---- whole values, crossed ---- */

struct points {
    int n, at[24];
};

static void add_around(struct points *p, int bound)
{
    for (int off = -1; off <= 1 && bound != 0 && bound != NEVER; off++) {
        if (p->n == 0 || bound + off > p->at[p->n - 1])
            p->at[p->n++] = bound + off;
    }
}

/* Low first, so that the other value decides alone. */
static void points_of(const struct ladder *l, struct points *systolic, struct points *diastolic)
{
    const bool is_pharmacy = is_scheme(l, "uk-pharmacy");
    *systolic = (struct points){.n = 0};
    *diastolic = (struct points){.n = 0};
    if (is_pharmacy) {
        add_around(systolic, 90);
        add_around(diastolic, 60);
    }
    systolic->at[systolic->n++] = 110;
    diastolic->at[diastolic->n++] = 65;
    for (int i = 1; i < l->count; i++) {
        add_around(systolic, l->band[i].systolic);
        add_around(diastolic, l->band[i].diastolic);
    }
}

static void check_flags(const struct ladder *l, const struct category_scheme *c, struct category where,
                        int band, int systolic, int diastolic)
{
    if (is_scheme(l, "esh-2023")) {
        outside(PUBLISHED, l->source,
                has_flag(c, where, "isolated-systolic") == (systolic >= 140 && diastolic < 90),
                "isolated systolic at %d/%d", systolic, diastolic);
    }
    if (is_scheme(l, "uk-pharmacy") && (systolic < 92 || diastolic < 62)) {
        /* The source writes below 90/60; that either value suffices, and that a high one is not called low,
         * is ours. */
        const bool is_low = (systolic < 90 || diastolic < 60) && band == 0;
        const bool is_plain = (systolic < 90) == (diastolic < 60) && band == 0;
        outside(is_plain ? PUBLISHED : JUDGEMENT, "LOW-1, UK pharmacy service, as reported",
                has_flag(c, where, "low") == is_low, "low at %d/%d", systolic, diastolic);
    }
}

START_TEST(bands_crossed_are_the_published_ones)
{
    const struct ladder *l = &LADDERS[_i];
    const struct category_scheme *c = scheme_of(l->scheme);
    struct points systolic, diastolic;
    points_of(l, &systolic, &diastolic);
    printf("\n%s (%s)\n     ", c->title, l->source);
    for (int k = 0; k < diastolic.n; k++)
        printf(" %4d", diastolic.at[k]);
    for (int i = 0; i < systolic.n; i++) {
        printf("\n %4d", systolic.at[i]);
        for (int k = 0; k < diastolic.n; k++) {
            const int s = systolic.at[i], d = diastolic.at[k];
            if (d >= s) { /* nobody is read so */
                printf("    .");
                continue;
            }
            const struct category where = category_of(c, s, d, 1);
            const int want = expected_band(l, s, d);
            printf(" %s%s", l->band[want].mark, where.flags ? "*" : " ");
            outside(PUBLISHED, l->source, strcmp(c->bands[where.band].id, l->band[want].id) == 0,
                    "%s %d/%d is %s", l->scheme, s, d, c->bands[where.band].id);
            check_flags(l, c, where, want, s, d);
        }
    }
    printf("\n      *: with a flag (isolated systolic, low)\n");
    (void)fflush(stdout);
}
END_TEST

START_TEST(each_scheme_has_just_the_published_bands)
{
    const struct ladder *l = &LADDERS[_i];
    const struct category_scheme *c = scheme_of(l->scheme);
    outside(PUBLISHED, l->source, c->band_count == l->count, "%s has %d bands", l->scheme,
            (int)c->band_count);
    for (int i = 0; i < l->count && i < c->band_count; i++) {
        const struct category_band *b = &c->bands[i];
        outside(PUBLISHED, l->source, strcmp(b->id, l->band[i].id) == 0, "%s: band %d is %s", l->scheme,
                i + 1, b->id);
        outside(PUBLISHED, l->source,
                b->origin.standing == STANDING_PUBLISHED &&
                    strncmp(b->origin.source, l->source, strlen(b->origin.source)) == 0 &&
                    b->origin.source[0] != '\0',
                "%s: %s is of %s, %s", l->scheme, b->id, b->origin.source,
                STANDING_WORDS[b->origin.standing]);
    }
}
END_TEST

/* ---- exact means ---- */

/* Whether a mean just under a bound is called by the band below is said by no source that was seen: where a
 * rounded mean would lie in another band it is this project's choice, elsewhere it follows from the bands. */
static void check_mean(const struct ladder *l, const struct category_scheme *c, int systolic_sum,
                       int diastolic_sum, int n)
{
    const double systolic = (double)systolic_sum / n, diastolic = (double)diastolic_sum / n;
    const int exact = expected_band(l, systolic, diastolic);
    const int rounded = expected_band(l, (int)(systolic + 0.5), (int)(diastolic + 0.5));
    const struct category where = category_of(c, systolic_sum, diastolic_sum, n);
    outside(exact == rounded ? CALCULATED : JUDGEMENT, l->source,
            strcmp(c->bands[where.band].id, l->band[exact].id) == 0, "%s: the mean %d:%d/%d:%d is %s",
            l->scheme, systolic_sum, n, diastolic_sum, n, c->bands[where.band].id);
    if (exact != rounded) {
        char said[24], want[24];
        category_say_average(c, 1, systolic_sum, diastolic_sum, n, said, sizeof said);
        (void)snprintf(want, sizeof want, "%d.%d/%d.%d", systolic_sum / n, systolic_sum % n * 10 / n,
                       diastolic_sum / n, diastolic_sum % n * 10 / n);
        outside(JUDGEMENT, "one decimal, cut, where a rounded mean would say another band",
                strcmp(said, want) == 0, "%s: %d:%d/%d:%d is written %s, not %s", l->scheme, systolic_sum, n,
                diastolic_sum, n, said, want);
    }
}

START_TEST(a_mean_is_not_rounded_before_it_is_named)
{
    static const int READINGS[] = {2, 3, 5, 8};
    const struct ladder *l = &LADDERS[_i];
    const struct category_scheme *c = scheme_of(l->scheme);
    for (int band = 1; band < l->count; band++) {
        for (size_t at = 0; at < ARRAY_LEN(READINGS); at++) {
            const int n = READINGS[at];
            for (int off = -1; off <= 1; off++) {
                check_mean(l, c, n * l->band[band].systolic + off, n * 65, n);
                if (l->band[band].diastolic != NEVER)
                    check_mean(l, c, n * 110, n * l->band[band].diastolic + off, n);
            }
        }
    }
}
END_TEST

START_TEST(a_mean_of_139_and_a_half_is_not_140)
{
    static const struct {
        int systolic, diastolic, n;
        const char *said, *us, *ish;
    } ROWS[] = {
        {3 * 140 - 1, 3 * 70, 3, "139.6/70.0", "stage-1", "high-normal"},
        {2 * 140 - 1, 2 * 70, 2, "139.5/70.0", "stage-1", "high-normal"},
        {2 * 140, 2 * 70, 2, "140/70", "stage-2", "grade-1"},
        {3 * 140 + 1, 3 * 70, 3, "140/70", "stage-2", "grade-1"},
        {3 * 139 + 1, 3 * 70, 3, "139/70", "stage-1", "high-normal"},
        {2 * 130 - 1, 2 * 79 + 1, 2, "129.5/79.5", "elevated", "normal"},
    };
    const struct category_scheme both[2] = {*scheme_of("us-2017"), *scheme_of("ish-2020")};
    for (size_t i = 0; i < ARRAY_LEN(ROWS); i++) {
        const int s = ROWS[i].systolic, d = ROWS[i].diastolic, n = ROWS[i].n;
        char said[24];
        category_say_average(both, 2, s, d, n, said, sizeof said);
        outside(JUDGEMENT, "one decimal, cut", strcmp(said, ROWS[i].said) == 0, "%d/%d over %d is written %s",
                s, d, n, said);
        outside(CALCULATED, "CAT-1",
                strcmp(both[0].bands[category_of(&both[0], s, d, n).band].id, ROWS[i].us) == 0,
                "%d/%d over %d", s, d, n);
        outside(CALCULATED, "CAT-4",
                strcmp(both[1].bands[category_of(&both[1], s, d, n).band].id, ROWS[i].ish) == 0,
                "%d/%d over %d", s, d, n);
    }
}
END_TEST

/* ---- one value, four bodies ---- */

static const struct {
    int systolic, diastolic;
    const char *said[4];
} BESIDE[] = {
    {118, 68, {"normal", "non-elevated", "optimal", "normal"}},
    {118, 72, {"normal", "elevated", "optimal", "normal"}},
    {120, 79, {"elevated", "elevated", "normal", "normal"}},
    {119, 80, {"stage 1", "elevated", "normal", "normal"}},
    {130, 79, {"stage 1", "elevated", "high-normal", "high-normal"}},
    {139, 89, {"stage 1", "elevated", "high-normal", "high-normal"}},
    {140, 79, {"stage 2", "range of hypertension", "grade 1, isolated systolic", "grade 1"}},
    {139, 90, {"stage 2", "range of hypertension", "grade 1", "grade 1"}},
    {160, 100, {"stage 2", "range of hypertension", "grade 2", "grade 2"}},
    {180, 110, {"stage 2", "range of hypertension", "grade 3", "grade 2"}},
};

START_TEST(one_value_is_named_as_each_body_names_it)
{
    for (int k = 0; k < 4; k++) {
        char said[200];
        const struct category_scheme *c = scheme_of(LADDERS[k].scheme);
        category_say(c, category_of(c, BESIDE[_i].systolic, BESIDE[_i].diastolic, 1), said, sizeof said);
        outside(CALCULATED, LADDERS[k].source, strcmp(said, BESIDE[_i].said[k]) == 0, "%s: %d/%d is %s",
                c->id, BESIDE[_i].systolic, BESIDE[_i].diastolic, said);
    }
}
END_TEST

int main(void)
{
    Suite *s = suite_create("categories");
    TCase *t = tcase_create("categories");
    suite_add_tcase(s, t);
    tcase_add_loop_test(t, each_scheme_has_just_the_published_bands, 0, LADDER_COUNT);
    tcase_add_loop_test(t, bands_crossed_are_the_published_ones, 0, LADDER_COUNT);
    tcase_add_loop_test(t, a_mean_is_not_rounded_before_it_is_named, 0, LADDER_COUNT);
    tcase_add_test(t, a_mean_of_139_and_a_half_is_not_140);
    tcase_add_loop_test(t, one_value_is_named_as_each_body_names_it, 0, (int)ARRAY_LEN(BESIDE));
    return bench_run(s);
}
