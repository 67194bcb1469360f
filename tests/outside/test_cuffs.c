/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Published cuff tables against the program's choice of a cuff, millimetre by millimetre at every end, the
 * bladders of the same table against the published shares of the arm, and the published sizes of what a wrong
 * cuff does. */
#include <check.h>
#include <stdio.h>
#include <string.h>

#include "guide/views.h"
#include "outside/bench.h"
#include "stillarm/cuff.h"
#include "stillarm/worth.h"

#define NOBODY (-1)

struct row {
    const char *id, *source;
    int low_mm, high_mm, width_mm, length_mm;
};

/* AHA 2005, as reported by a course of Wayne State University: whole centimetres. */
static const struct row AHA[] = {
    {"small", "CUFF-1, AHA 2005, as reported", 220, 260, 120, 220},
    {"adult", "CUFF-2, AHA 2005, as reported", 270, 340, 160, 300},
    {"large", "CUFF-3, AHA 2005, as reported", 350, 440, 160, 360},
    {"thigh", "CUFF-4, AHA 2005, as reported", 450, 520, 160, 420},
};
#define AHA_COUNT ((int)ARRAY_LEN(AHA))

/* The ranges of a trial of 2023, in tenths of a centimetre and without gaps. */
static const struct row TRIAL[] = {
    {"small", "CUFF-5, trial of 2023, as reported", 200, 250, 0, 0},
    {"regular", "CUFF-5, trial of 2023, as reported", 251, 320, 0, 0},
    {"large", "CUFF-5, trial of 2023, as reported", 321, 400, 0, 0},
    {"extra", "CUFF-5, trial of 2023, as reported", 401, 550, 0, 0},
};

/** Lines that lay these cuffs out, for open_sitting. */
struct kit {
    char text[8][48];
    const char *line[8];
    int n;
};

static void lay_out(struct kit *kit, const struct row *rows, int n)
{
    kit->n = n;
    for (int i = 0; i < n; i++) {
        (void)snprintf(kit->text[i], sizeof kit->text[i], "cuff %s %d %d", rows[i].id, rows[i].low_mm,
                       rows[i].high_mm);
        kit->line[i] = kit->text[i];
    }
}

static void add_bladders(struct bench *b, const struct row *rows, int n)
{
    for (int i = 0; i < n; i++) {
        char line[60];
        (void)snprintf(line, sizeof line, "bladder %s %d %d", rows[i].id, rows[i].width_mm,
                       rows[i].length_mm);
        must(b, 10, line);
    }
}

static void measure(struct bench *b, int arm_mm)
{
    char line[40];
    (void)snprintf(line, sizeof line, "circumference %d", arm_mm);
    must(b, 10, line);
}

static bool try_wrap(struct bench *b, const char *id)
{
    char line[60];
    (void)snprintf(line, sizeof line, "wrap %s", id);
    return try_line(b, 10, line);
}

/* ---- marked ranges ---- */

START_TEST(each_marked_range_holds_its_ends_and_no_more)
{
    const struct row *r = &AHA[_i];
    const struct cuff c = {.low_mm = r->low_mm, .high_mm = r->high_mm};
    for (int off = -1; off <= 1; off++) {
        const int low = r->low_mm + off, high = r->high_mm + off;
        outside(PUBLISHED, r->source, cuff_fit(&c, low) == (off < 0 ? CUFF_TOO_LARGE : CUFF_FITS),
                "%s: %d mm", r->id, low);
        outside(PUBLISHED, r->source, cuff_fit(&c, high) == (off > 0 ? CUFF_TOO_SMALL : CUFF_FITS),
                "%s: %d mm", r->id, high);
    }
}
END_TEST

/* Which row of the table holds an arm; in a gap of the table, the larger neighbour, which is this project's
 * choice. */
static int row_for(const struct row *rows, int n, int arm_mm, bool *is_gap)
{
    *is_gap = false;
    for (int i = 0; i < n; i++) {
        if (arm_mm >= rows[i].low_mm && arm_mm <= rows[i].high_mm)
            return i;
    }
    for (int i = 1; i < n; i++) {
        if (arm_mm > rows[i - 1].high_mm && arm_mm < rows[i].low_mm) {
            *is_gap = true;
            return i;
        }
    }
    return NOBODY;
}

static const int ARMS[] = {219, 220, 221, 259, 260, 261, 265, 269, 270, 271, 339, 340, 341, 345,
                           349, 350, 351, 439, 440, 441, 445, 449, 450, 451, 519, 520, 521};
#define ARM_SIZES ((int)ARRAY_LEN(ARMS))

START_TEST(the_offered_cuff_is_the_one_of_the_table)
{
    static struct bench b;
    struct kit kit;
    const struct protocol *p = shipped.list[_i];
    lay_out(&kit, AHA, AHA_COUNT);
    open_sitting(&b, p, kit.line, kit.n);
    for (int i = 0; i < ARM_SIZES; i++) {
        bool is_gap;
        const int want = row_for(AHA, AHA_COUNT, ARMS[i], &is_gap), got = cuff_offer(&b.s, p, ARMS[i]);
        outside(is_gap ? JUDGEMENT : PUBLISHED,
                is_gap ? "in a gap of whole centimetres the larger" : "CUFF-1 to CUFF-4", got == want,
                "%s: %d mm is offered %s", p->id, ARMS[i], got < 0 ? "none" : b.s.cuffs[got].id);
    }
}
END_TEST

/* Every cuff on every arm: what the engine takes, what it refuses, and under which name. */
START_TEST(the_engine_takes_just_the_cuff_of_the_table)
{
    static struct bench b;
    struct kit kit;
    lay_out(&kit, AHA, AHA_COUNT);
    open_sitting(&b, protocol_of(_i == 0 ? "us-adult" : "europe-adult"), kit.line, kit.n);
    for (int i = 0; i < ARM_SIZES; i++) {
        bool is_gap;
        const int want = row_for(AHA, AHA_COUNT, ARMS[i], &is_gap);
        measure(&b, ARMS[i]);
        for (int c = 0; c < AHA_COUNT; c++) {
            const bool is_taken = try_wrap(&b, AHA[c].id);
            const enum rule why = ARMS[i] > AHA[c].high_mm ? RULE_CUFF_TOO_SMALL : RULE_CUFF_TOO_LARGE;
            outside(is_gap ? JUDGEMENT : PUBLISHED, AHA[c].source,
                    is_taken == (c == want) && (is_taken || b.no.rule == why), "%s on %d mm: %s", AHA[c].id,
                    ARMS[i], is_taken ? "taken" : rule_id(b.no.rule));
            if (!is_taken)
                continue;
            const bool is_noted = (sitting_cuff_notes(&b.s, b.p) & CUFF_NOTE_GAP) != 0;
            outside(JUDGEMENT, "the choice in a gap is remarked", is_noted == is_gap, "%s on %d mm",
                    AHA[c].id, ARMS[i]);
        }
    }
}
END_TEST

/* 26.5 and 34.5 cm lie between two rows. Too small a cuff is the worse error (WC-2 against WC-1), so the
 * larger is taken. */
START_TEST(arms_of_26_5_and_34_5_cm_get_the_larger_cuff)
{
    static const struct {
        int arm_mm;
        const char *smaller, *larger;
    } ROWS[] = {{265, "small", "adult"}, {345, "adult", "large"}, {445, "large", "thigh"}};
    static struct bench b;
    struct kit kit;
    lay_out(&kit, AHA, AHA_COUNT);
    open_sitting(&b, protocol_of("us-adult"), kit.line, kit.n);
    for (size_t i = 0; i < ARRAY_LEN(ROWS); i++) {
        measure(&b, ROWS[i].arm_mm);
        outside(JUDGEMENT, "in a gap the larger",
                !try_wrap(&b, ROWS[i].smaller) && b.no.rule == RULE_CUFF_TOO_SMALL, "%s on %d mm",
                ROWS[i].smaller, ROWS[i].arm_mm);
        outside(JUDGEMENT, "in a gap the larger", try_wrap(&b, ROWS[i].larger), "%s on %d mm", ROWS[i].larger,
                ROWS[i].arm_mm);
        outside(JUDGEMENT, "in a gap the larger", (sitting_remarks(&b.s, b.p) & REMARK_CUFF_GAP) != 0,
                "%d mm is remarked", ROWS[i].arm_mm);
    }
}
END_TEST

START_TEST(a_gap_wider_than_whole_centimetres_is_closed_by_nothing)
{
    static struct bench b;
    struct kit kit;
    for (int gap = 9; gap <= 12; gap++) {
        const struct row rows[] = {{"a", "", 220, 260, 0, 0}, {"b", "", 260 + gap, 340, 0, 0}};
        lay_out(&kit, rows, 2);
        open_sitting(&b, protocol_of("us-adult"), kit.line, kit.n);
        const int got = cuff_offer(&b.s, b.p, 265);
        outside(JUDGEMENT, "cuff_gap_mm = 10, the step of tables in whole cm",
                got == (gap <= 10 ? 1 : NOBODY), "ranges %d mm apart", gap);
    }
}
END_TEST

START_TEST(where_two_ranges_meet_the_larger_is_offered_and_both_are_taken)
{
    static const struct row MEET[] = {{"a", "", 220, 270, 0, 0},
                                      {"b", "", 270, 350, 0, 0},
                                      {"c", "", 350, 450, 0, 0},
                                      {"d", "", 440, 520, 0, 0}};
    static const struct {
        int arm_mm, smaller, larger;
    } ROWS[] = {{270, 0, 1}, {350, 1, 2}, {440, 2, 3}, {445, 2, 3}, {450, 2, 3}};
    static struct bench b;
    struct kit kit;
    lay_out(&kit, MEET, 4);
    open_sitting(&b, protocol_of("us-adult"), kit.line, kit.n);
    for (size_t i = 0; i < ARRAY_LEN(ROWS); i++) {
        measure(&b, ROWS[i].arm_mm);
        outside(JUDGEMENT, "of two that fit the larger",
                cuff_offer(&b.s, b.p, ROWS[i].arm_mm) == ROWS[i].larger, "%d mm", ROWS[i].arm_mm);
        outside(COMMON_PRACTICE, "the marked range decides", try_wrap(&b, MEET[ROWS[i].smaller].id),
                "%d mm: the smaller", ROWS[i].arm_mm);
        outside(COMMON_PRACTICE, "the marked range decides", try_wrap(&b, MEET[ROWS[i].larger].id),
                "%d mm: the larger", ROWS[i].arm_mm);
    }
}
END_TEST

START_TEST(ranges_in_tenths_of_a_centimetre_leave_no_gap)
{
    static const int AT[] = {199, 200, 201, 249, 250, 251, 252, 319, 320,
                             321, 322, 399, 400, 401, 402, 549, 550, 551};
    static struct bench b;
    struct kit kit;
    lay_out(&kit, TRIAL, (int)ARRAY_LEN(TRIAL));
    open_sitting(&b, protocol_of("us-adult"), kit.line, kit.n);
    for (size_t i = 0; i < ARRAY_LEN(AT); i++) {
        bool is_gap;
        const int want = row_for(TRIAL, (int)ARRAY_LEN(TRIAL), AT[i], &is_gap);
        outside(PUBLISHED, TRIAL[0].source, cuff_offer(&b.s, b.p, AT[i]) == want && !is_gap, "%d mm", AT[i]);
    }
}
END_TEST

/* ---- bladders ---- */

/* RATIO-1: 80 % of the arm long; RATIO-2: 40 % wide. The table's own bladders fall short of that on its
 * larger arms. */
START_TEST(bladders_are_judged_by_their_share_of_the_arm)
{
    static struct bench b;
    struct kit kit;
    const struct row *r = &AHA[_i];
    const int wide_to = r->width_mm * 100 / 40, long_to = r->length_mm * 100 / 80;
    const int at[] = {r->low_mm, r->low_mm + 1, r->high_mm - 1, r->high_mm, wide_to - 1,
                      wide_to,   wide_to + 1,   long_to - 1,    long_to,    long_to + 1};
    lay_out(&kit, AHA, AHA_COUNT);
    open_sitting(&b, protocol_of("us-adult"), kit.line, kit.n);
    add_bladders(&b, AHA, AHA_COUNT);
    for (size_t i = 0; i < ARRAY_LEN(at); i++) {
        if (at[i] < r->low_mm || at[i] > r->high_mm)
            continue;
        measure(&b, at[i]);
        ck_assert(try_wrap(&b, r->id));
        const unsigned notes = sitting_cuff_notes(&b.s, b.p);
        outside(CALCULATED, "RATIO-2, AHA 2005: 40 % wide",
                ((notes & CUFF_NOTE_NARROW) != 0) == (at[i] > wide_to), "%s, %d mm wide, on %d mm", r->id,
                r->width_mm, at[i]);
        outside(CALCULATED, "RATIO-1, ACC/AHA 2017: 80 % long",
                ((notes & CUFF_NOTE_SHORT) != 0) == (at[i] > long_to), "%s, %d mm long, on %d mm", r->id,
                r->length_mm, at[i]);
    }
}
END_TEST

/* One bladder under a range wide enough to meet both bounds: 16 x 30 cm is 40 % of 40 cm and 80 % of 37.5 cm.
 */
START_TEST(a_bladder_of_16_by_30_is_short_above_37_5_and_narrow_above_40_cm)
{
    static const struct row WIDE[] = {{"wide", "", 300, 440, 160, 300}};
    static const struct {
        int arm_mm;
        unsigned notes;
    } ROWS[] = {{374, 0},
                {375, 0},
                {376, CUFF_NOTE_SHORT},
                {399, CUFF_NOTE_SHORT},
                {400, CUFF_NOTE_SHORT},
                {401, CUFF_NOTE_SHORT | CUFF_NOTE_NARROW}};
    static struct bench b;
    struct kit kit;
    lay_out(&kit, WIDE, 1);
    open_sitting(&b, protocol_of("europe-adult"), kit.line, kit.n);
    add_bladders(&b, WIDE, 1);
    for (size_t i = 0; i < ARRAY_LEN(ROWS); i++) {
        measure(&b, ROWS[i].arm_mm);
        ck_assert(try_wrap(&b, "wide"));
        outside(CALCULATED, "RATIO-1, RATIO-2", sitting_cuff_notes(&b.s, b.p) == ROWS[i].notes, "%d mm",
                ROWS[i].arm_mm);
        outside(CALCULATED, "RATIO-1, RATIO-2",
                ((sitting_remarks(&b.s, b.p) & REMARK_BLADDER_SMALL) != 0) == (ROWS[i].notes != 0),
                "%d mm is remarked", ROWS[i].arm_mm);
    }
}
END_TEST

/* ---- what a wrong cuff does ---- */

static const struct {
    const char *what;
    int arm_mm, worn; /* the cuff of the table that is put on all the same */
    const char *source, *size;
    int direction;
} WRONG[] = {
    {"a size too small", 351, 1, "WC-2", "+4.8/+1.8", +1},
    {"a size too small, the far end", 440, 1, "WC-2", "+4.8/+1.8", +1},
    {"two sizes too small", 450, 1, "WC-3", "+19.5/+7.4", +1},
    {"too large", 260, 1, "WC-1", "-3.6/-1.3", -1},
};

/* Ishigami 2023, as reported: regular cuff, by the size that the arm asked for. */
START_TEST(a_waived_cuff_is_told_with_the_published_size)
{
    static struct bench b;
    struct kit kit;
    struct worth w;
    const struct row *worn = &AHA[WRONG[_i].worn];
    lay_out(&kit, AHA, AHA_COUNT);
    open_sitting(&b, protocol_of("us-adult"), kit.line, kit.n);
    measure(&b, WRONG[_i].arm_mm);
    must(&b, 10,
         WRONG[_i].direction > 0 ? "waive cuff.too-small \"no other\"" : "waive cuff.too-large \"no other\"");
    ck_assert(try_wrap(&b, worn->id));
    rest_through(&b);
    palpate(&b, 130);
    take_reading(&b, 160, 130, 80);
    ck_assert(worth_of_reading(&b.s, b.p, 0, &w));
    ck_assert_int_eq(w.pull_count, 1);
    const struct worth_pull *pull = &w.pulls[0];
    outside(PUBLISHED, WRONG[_i].source, strncmp(pull->size, WRONG[_i].size, strlen(WRONG[_i].size)) == 0,
            "%s: %s", WRONG[_i].what, pull->size);
    outside(PUBLISHED, WRONG[_i].source,
            pull->systolic == WRONG[_i].direction && pull->diastolic == WRONG[_i].direction, "%s: direction",
            WRONG[_i].what);
    outside(PUBLISHED, WRONG[_i].source,
            strcmp(pull->origin.source, WRONG[_i].source) == 0 && pull->origin.standing == STANDING_PUBLISHED,
            "%s: %s", WRONG[_i].what, pull->origin.source);
    outside_near(COMMON_PRACTICE, "nothing corrects a reading", WRONG[_i].what, w.side[SIDE_SYSTOLIC].value,
                 130.0, 0.0);
}
END_TEST

/* What the screens say of a cuff passed over: Kallioinen 2017, rounded to whole mmHg. */
START_TEST(screens_say_the_published_size_of_a_wrong_cuff)
{
    const struct rule_cost *small = rule_cost(RULE_CUFF_TOO_SMALL), *large = rule_cost(RULE_CUFF_TOO_LARGE);
    ck_assert(small && large);
    outside(PUBLISHED, "WC-5, Kallioinen 2017, as reported: +2.08 to +11.2",
            strstr(small->cost, "2 to 11 mmHg high") != NULL, "%s", small->cost);
    outside(PUBLISHED, "WC-3, Ishigami 2023, as reported: +19.5",
            strstr(small->cost, "two sizes too small about 20") != NULL, "%s", small->cost);
    outside(PUBLISHED, "WC-6, Kallioinen 2017, as reported: -3.7 to -1.45",
            strstr(large->cost, "1 to 4 mmHg low") != NULL, "%s", large->cost);
}
END_TEST

/* The bladder too small, on the table's own large cuff at 41 cm. */
START_TEST(a_small_bladder_is_told_with_the_published_range)
{
    static struct bench b;
    struct kit kit;
    struct worth w;
    lay_out(&kit, AHA, AHA_COUNT);
    open_sitting(&b, protocol_of("us-adult"), kit.line, kit.n);
    add_bladders(&b, AHA, AHA_COUNT);
    measure(&b, 410);
    ck_assert(try_wrap(&b, "large"));
    rest_through(&b);
    palpate(&b, 130);
    take_reading(&b, 160, 130, 80);
    ck_assert(worth_of_reading(&b.s, b.p, 0, &w));
    ck_assert_int_eq(w.pull_count, 1);
    outside(PUBLISHED, "WC-5, Kallioinen 2017, as reported: +2.08 to +11.2 / +1.61 to +6.6",
            strcmp(w.pulls[0].size, "+2.1 to +11.2/+1.6 to +6.6 mmHg") == 0, "%s", w.pulls[0].size);
}
END_TEST

int main(void)
{
    Suite *s = suite_create("cuffs");
    TCase *t = tcase_create("cuffs");
    suite_add_tcase(s, t);
    tcase_add_loop_test(t, each_marked_range_holds_its_ends_and_no_more, 0, AHA_COUNT);
    tcase_add_loop_test(t, the_offered_cuff_is_the_one_of_the_table, 0, 7);
    tcase_add_loop_test(t, the_engine_takes_just_the_cuff_of_the_table, 0, 2);
    tcase_add_test(t, arms_of_26_5_and_34_5_cm_get_the_larger_cuff);
    tcase_add_test(t, a_gap_wider_than_whole_centimetres_is_closed_by_nothing);
    tcase_add_test(t, where_two_ranges_meet_the_larger_is_offered_and_both_are_taken);
    tcase_add_test(t, ranges_in_tenths_of_a_centimetre_leave_no_gap);
    tcase_add_loop_test(t, bladders_are_judged_by_their_share_of_the_arm, 0, AHA_COUNT);
    tcase_add_test(t, a_bladder_of_16_by_30_is_short_above_37_5_and_narrow_above_40_cm);
    tcase_add_loop_test(t, a_waived_cuff_is_told_with_the_published_size, 0, (int)ARRAY_LEN(WRONG));
    tcase_add_test(t, screens_say_the_published_size_of_a_wrong_cuff);
    tcase_add_test(t, a_small_bladder_is_told_with_the_published_range);
    return bench_run(s);
}
