/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * The error rates that are claimed beside a verdict, against 100,000 trainees each that answer at random: their answers
 * are drawn here, their weights worked out here, and the sums kept by their definition (Biau and Porcher 2010).
 */
#include <check.h>
#include <math.h>
#include <stdint.h>
#include <stdio.h>
#include <string.h>

#include "config/yardstick_text.h"
#include "outside/outside.h"

#define TRAINEES 100000
#define SEED UINT64_C(20261125)
#define WITHIN 4.0 /* standard errors of the simulation */
#define DRAWN "100,000 trainees simulated"

/* Blackman and Vigna's xoshiro256**, seeded by splitmix64: small, and the same on every machine. */
static uint64_t state[4];

static uint64_t rotated(uint64_t x, int by)
{
    return x << by | x >> (64 - by);
}

static uint64_t drawn(void)
{
    const uint64_t out = rotated(state[1] * 5, 7) * 9, t = state[1] << 17;
    state[2] ^= state[0];
    state[3] ^= state[1];
    state[1] ^= state[2];
    state[0] ^= state[3];
    state[2] ^= t;
    state[3] = rotated(state[3], 45);
    return out;
}

static void seed(uint64_t x)
{
    for (int i = 0; i < 4; i++) {
        x += UINT64_C(0x9E3779B97F4A7C15);
        uint64_t z = x;
        z = (z ^ z >> 30) * UINT64_C(0xBF58476D1CE4E5B9);
        z = (z ^ z >> 27) * UINT64_C(0x94D049BB133111EB);
        state[i] = z ^ z >> 31;
    }
}

static bool happens(double chance)
{
    return (double)(drawn() >> 11) * 0x1p-53 < chance;
}

/* ---- trainees ---- */

struct scenario {
    double share_wrong;      /* of the trainee's answers */
    double if_right, if_wrong; /* what they add */
    double height;
    int horizon;
};

/* The answer at which this one is signalled; 0 for never. */
static int signalled(const struct scenario *s)
{
    double sum = 0.0;
    for (int i = 1; i <= s->horizon; i++) {
        sum += happens(s->share_wrong) ? s->if_wrong : s->if_right;
        if (sum < 0.0)
            sum = 0.0;
        if (sum >= s->height)
            return i;
    }
    return 0;
}

struct simulated {
    double share;
    int median; /* 0: more than half were never signalled */
};

static struct simulated simulate(const struct scenario *s)
{
    static int at[LEARNING_HORIZON_MAX + 1];
    struct simulated out = {.share = 0.0};
    int so_far = 0;
    memset(at, 0, sizeof at);
    for (int i = 0; i < TRAINEES; i++)
        at[signalled(s)]++;
    for (int i = 1; i <= s->horizon; i++) {
        so_far += at[i];
        if (out.median == 0 && 2 * so_far >= TRAINEES)
            out.median = i;
    }
    out.share = (double)so_far / TRAINEES;
    return out;
}

static void compare(const char *whose, const char *what, double claimed, const struct scenario *s, struct simulated *got)
{
    char said[120];
    *got = simulate(s);
    const double error = sqrt(claimed * (1.0 - claimed) / TRAINEES);
    const double off = (got->share - claimed) / error;
    printf("%-22s %-12s claimed %.5f, simulated %.5f (%+.2f standard errors)\n", whose, what, claimed, got->share, off);
    (void)snprintf(said, sizeof said, "%s, %s: standard errors", whose, what);
    outside_near(CALCULATED, DRAWN, said, off, 0.0, WITHIN);
}

/* Each claim of a plan against trainees as bad, or as good, as the claim is about. */
static void hold(const char *whose, const struct learning_plan *p)
{
    const double right = log((1 - p->adequate) / (1 - p->inadequate)), wrong = log(p->inadequate / p->adequate);
    const struct scenario reach_bad = {p->inadequate, right, -wrong, p->reach, p->horizon},
                          reach_good = {p->adequate, right, -wrong, p->reach, p->horizon},
                          lose_good = {p->adequate, -right, wrong, p->lose, p->horizon},
                          lose_bad = {p->inadequate, -right, wrong, p->lose, p->horizon};
    struct learning_rates claimed;
    struct simulated got;
    learning_rates(p, &claimed);
    compare(whose, "false reach", claimed.false_reach, &reach_bad, &got);
    compare(whose, "false loss", claimed.false_loss, &lose_good, &got);
    compare(whose, "true loss", claimed.true_loss, &lose_bad, &got);
    compare(whose, "true reach", claimed.true_reach, &reach_good, &got);
    printf("%-22s %-12s claimed %d, simulated %d\n", whose, "usual reach", (int)claimed.usual_reach, got.median);
    /* Where one half is passed narrowly a draw may do so one answer earlier or later. */
    outside_near(CALCULATED, DRAWN, "median answers to the signal", claimed.usual_reach, got.median, 1);
}

START_TEST(what_the_yardsticks_claim_is_what_happens)
{
    static struct protocols ps;
    static struct yardsticks ys;
    ck_assert_int_eq(protocols_load(TEST_SOURCE_DIR "/assets/protocols", &ps, NULL), ST_OK);
    ck_assert_int_eq(yardsticks_load(TEST_SOURCE_DIR "/assets/protocols", &ps, &ys, NULL), ST_OK);
    ck_assert_int_ge(ys.count, 1);
    seed(SEED);
    for (int i = 0; i < ys.count; i++) {
        const struct yardstick *y = &ys.list[i];
        struct learning_rates r;
        hold(y->id, &y->plan);
        learning_rates(&y->plan, &r);
        if (y->false_reach_most > 0)
            outside(JUDGEMENT, "the yardstick's own bound", r.false_reach <= y->false_reach_most, "false reach %.6f of %.3f",
                    r.false_reach, y->false_reach_most);
        if (y->false_loss_most > 0)
            outside(JUDGEMENT, "the yardstick's own bound", r.false_loss <= y->false_loss_most, "false loss %.6f of %.3f",
                    r.false_loss, y->false_loss_most);
    }
    yardsticks_free(&ys);
    protocols_free(&ps);
}
END_TEST

/* Others that a site may choose. */
static const struct {
    const char *whose;
    struct learning_plan plan;
} PLANS[] = {
    {"low heights", {.adequate = .10, .inadequate = .25, .reach = 1.25, .lose = 1.25, .horizon = 50}},
    {"closer together", {.adequate = .05, .inadequate = .15, .reach = 3.0, .lose = 4.0, .horizon = 200}},
    {"the longest horizon", {.adequate = .10, .inadequate = .20, .reach = 2.5, .lose = 4.5, .horizon = LEARNING_HORIZON_MAX}},
};

START_TEST(so_it_is_with_other_plans)
{
    seed(SEED + 1 + (uint64_t)_i);
    hold(PLANS[_i].whose, &PLANS[_i].plan);
}
END_TEST

/* Measured once in the facts, four decimals each. */
static const struct {
    double adequate, inadequate, reach, when_adequate, when_not;
} WITHIN_50[] = {{.10, .20, 1.25, .9719, .6531}, {.10, .20, 2.0, .8014, .2343}, {.10, .30, 2.0, .9987, .6229}};

START_TEST(chances_within_fifty_are_those_that_were_worked_out_before)
{
    const struct learning_plan p = {.adequate = WITHIN_50[_i].adequate, .inadequate = WITHIN_50[_i].inadequate,
                                    .reach = WITHIN_50[_i].reach, .lose = 2.0, .horizon = 50};
    struct learning_rates r;
    learning_rates(&p, &r);
    outside_near(CALCULATED, "LEARN-1", "chance when adequate", r.true_reach, WITHIN_50[_i].when_adequate, 5e-5);
    outside_near(CALCULATED, "LEARN-1", "chance when inadequate", r.false_reach, WITHIN_50[_i].when_not, 5e-5);
}
END_TEST

int main(void)
{
    Suite *suite = suite_create("learning_rates");
    TCase *core = tcase_create("core");
    tcase_set_timeout(core, 300);
    tcase_add_test(core, what_the_yardsticks_claim_is_what_happens);
    tcase_add_loop_test(core, so_it_is_with_other_plans, 0, (int)ARRAY_LEN(PLANS));
    tcase_add_loop_test(core, chances_within_fifty_are_those_that_were_worked_out_before, 0, (int)ARRAY_LEN(WITHIN_50));
    suite_add_tcase(suite, core);
    return outside_run(suite);
}
