/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Two arms on a first visit, and the fall on standing: the published limits, one step of the dial below, at
 * and above them. */
#include <check.h>
#include <stdio.h>
#include <string.h>

#include "outside/bench.h"

/* ---- two arms ---- */

struct pair {
    const char *protocol, *source;
    int left, right;
    bool differ;     /* over the limit */
    enum arm higher; /* the arm that goes on; ARM_NONE where either will do */
};

#define OVER_10 "ARM-5, ISH 2020, as reported: over 10"
#define OVER_15 "ARM-2, NICE NG136 1.2.1: over 15"

static const struct pair PAIRS[] = {
    {"us-adult", OVER_10, 130, 130, false, ARM_NONE},
    {"us-adult", OVER_10, 130, 138, false, ARM_RIGHT},
    {"us-adult", OVER_10, 130, 140, false, ARM_RIGHT},
    {"us-adult", OVER_10, 130, 142, true, ARM_RIGHT},
    {"us-adult", OVER_10, 142, 130, true, ARM_LEFT},
    {"europe-adult", OVER_10, 130, 140, false, ARM_RIGHT},
    {"europe-adult", OVER_10, 130, 142, true, ARM_RIGHT},
    {"international-adult", OVER_10, 150, 140, false, ARM_LEFT},
    {"international-adult", OVER_10, 152, 140, true, ARM_LEFT},
    {"pregnancy", OVER_10, 130, 140, false, ARM_RIGHT},
    {"pregnancy", OVER_10, 130, 142, true, ARM_RIGHT},
    {"uk-adult", OVER_15, 150, 164, false, ARM_RIGHT},
    {"uk-adult", OVER_15, 150, 166, true, ARM_RIGHT},
    {"uk-adult", OVER_15, 166, 150, true, ARM_LEFT},
};

static void read_arm(struct bench *b, int systolic)
{
    palpate(b, systolic);
    take_reading(b, systolic + 30, systolic, 80);
}

START_TEST(arms_differ_from_the_published_limit_on)
{
    static const char *const CUFF[] = {"cuff adult 254 406"};
    static struct bench b;
    const struct pair *r = &PAIRS[_i];
    open_first_sitting(&b, protocol_of(r->protocol), CUFF, 1);
    must(&b, 100, "circumference 300");
    must(&b, 100, "wrap adult");
    rest_through(&b);
    read_arm(&b, r->left);
    outside(PUBLISHED, "ARM-1, ACC/AHA 2017; ARM-2, NICE NG136: both arms at the first visit",
            sitting_readings_lack(&b.s, b.p) != RULE_NONE, "%s: one arm does not suffice", r->protocol);
    turn_to(&b, "right");
    must(&b, 100, "circumference 300");
    must(&b, 100, "wrap adult");
    confirm_cuff(&b);
    read_arm(&b, r->right);
    const bool differ = (sitting_remarks(&b.s, b.p) & REMARK_ARMS_DIFFER) != 0;
    outside(PUBLISHED, r->source, differ == r->differ, "%s: %d and %d", r->protocol, r->left, r->right);
    /* NICE has both read again first, and the arm in use is the right one. */
    const bool is_repeated = b.p->value[KEY_ARMS_REPEAT] && r->differ;
    if (is_repeated)
        outside(PUBLISHED, "ARM-2, NICE NG136 1.2.1: repeat both",
                sitting_readings_lack(&b.s, b.p) == RULE_ARMS_FEW, "%s: %d and %d are read again",
                r->protocol, r->left, r->right);
    else if (r->higher != ARM_NONE)
        outside(PUBLISHED, "ARM-1, ACC/AHA 2017: the higher arm", sitting_arm_to_read(&b.s, b.p) == r->higher,
                "%s: %d and %d", r->protocol, r->left, r->right);
}
END_TEST

/* ---- standing ---- */

/* Lying 150/90 twice, then standing. */
static void lie_and_stand(struct bench *b)
{
    make_ready(b, protocol_of("standing-adult"));
    palpate(b, 150);
    take_reading(b, 180, 150, 90);
    take_reading(b, 180, 150, 90);
    must(b, 1000, "stand");
}

static bool try_standing(struct bench *b, int64_t after_ms, int systolic, int diastolic)
{
    if (!try_line(b, after_ms, "inflate listen"))
        return false;
    must(b, 40000, "empty");
    enter(b, 180, systolic, diastolic);
    return true;
}

static const struct {
    int systolic, diastolic;
    bool is_drop;
} DROPS[] = {{150, 90, false}, {132, 82, false}, {130, 82, true}, {128, 82, true}, {132, 80, true},
             {132, 78, true},  {130, 80, true},  {140, 80, true}, {130, 90, true}, {156, 96, false}};

START_TEST(a_fall_of_20_or_10_on_standing_is_remarked)
{
    static struct bench b;
    int32_t systolic, diastolic;
    lie_and_stand(&b);
    ck_assert(try_standing(&b, 60000, DROPS[_i].systolic, DROPS[_i].diastolic));
    ck_assert(sitting_drop_x100(&b.s, b.p, &systolic, &diastolic));
    outside(CALCULATED, "lying less standing",
            systolic == 100 * (150 - DROPS[_i].systolic) && diastolic == 100 * (90 - DROPS[_i].diastolic),
            "fell by %d/%d hundredths", (int)systolic, (int)diastolic);
    outside(PUBLISHED, "OH-1, consensus 2011 and BMJ 2021;373:n922: 20 or more, or 10 or more",
            ((sitting_remarks(&b.s, b.p) & REMARK_STANDING_DROP) != 0) == DROPS[_i].is_drop,
            "150/90 to %d/%d", DROPS[_i].systolic, DROPS[_i].diastolic);
}
END_TEST

/* Korean 2013 (OH-5): at 1 and 3 minutes; NICE (OH-3): after 1 minute at least. */
START_TEST(standing_is_read_at_one_and_three_minutes)
{
    static struct bench b;
    lie_and_stand(&b);
    outside(PUBLISHED, "OH-3, NICE NG136, OH-5, Korean 2013: after 1 min",
            !try_standing(&b, 59999, 140, 86) && b.no.rule == RULE_STANDING_EARLY, "59.999 s");
    outside(PUBLISHED, "OH-3, NICE NG136, OH-5, Korean 2013: after 1 min", try_standing(&b, 1, 140, 86),
            "60 s");
    /* 60 s, 40 s of the inflation, 2 s of entry */
    outside(PUBLISHED, "OH-2, therapeutic guideline, OH-5, Korean 2013: at 3 min",
            !try_line(&b, 180000 - 60000 - 40000 - 2000 - 1, "inflate listen") &&
                b.no.rule == RULE_STANDING_EARLY,
            "179.999 s");
    outside(PUBLISHED, "OH-2, therapeutic guideline, OH-5, Korean 2013: at 3 min",
            try_standing(&b, 1, 142, 86), "180 s");
    outside(PUBLISHED, "OH-5, Korean 2013: two", sitting_standing_counted(&b.s) == 2, "two are counted");
}
END_TEST

START_TEST(standing_comes_after_five_minutes_of_lying)
{
    static struct bench b;
    make_ready(&b, protocol_of("standing-adult"));
    outside(PUBLISHED, "OH-2, therapeutic guideline: lie 5 min first", b.p->value[KEY_REST_S] == 300,
            "5 minutes");
    palpate(&b, 150);
    take_reading(&b, 180, 150, 90);
    outside(JUDGEMENT, "two readings lying", !try_line(&b, 1000, "stand") && b.no.rule == RULE_STAND_BARRED,
            "after one reading");
    take_reading(&b, 180, 150, 90);
    outside(JUDGEMENT, "two readings lying", try_line(&b, 1000, "stand"), "after two readings");
}
END_TEST

int main(void)
{
    Suite *s = suite_create("arms and standing");
    TCase *t = tcase_create("arms and standing");
    suite_add_tcase(s, t);
    tcase_add_loop_test(t, arms_differ_from_the_published_limit_on, 0, (int)ARRAY_LEN(PAIRS));
    tcase_add_loop_test(t, a_fall_of_20_or_10_on_standing_is_remarked, 0, (int)ARRAY_LEN(DROPS));
    tcase_add_test(t, standing_is_read_at_one_and_three_minutes);
    tcase_add_test(t, standing_comes_after_five_minutes_of_lying);
    return bench_run(s);
}
