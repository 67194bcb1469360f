/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Invariants 1 to 8, watched after every event of a seeded random walk that mixes a straightforward measurer
 * with plausible and implausible events. `-DWALKS=6000` walks longer. */
#include <check.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "check_state.h"
#include "finisher.h"
#include "generate.h"
#include "hand.h"
#include "oracle.h"

#define WALK_LOG_MAX 700
#define WALK_PROTOCOLS 15
#ifndef WALKS
#define WALKS 300
#endif

/* ---- protocols to walk on ---- */

static const struct protocol *walk_protocol(int i)
{
    static struct protocol list[WALK_PROTOCOLS];
    static const char *const SHIPPED[] = {"uk-adult", "international-adult", "standing-adult", "pregnancy",
                                          "irregular-adult"};
    const struct protocol *us = asset_protocol("us-adult"), *europe = asset_protocol("europe-adult");
    if (us == NULL || europe == NULL) {
        return NULL;
    }
    for (size_t k = 0; list[0].item_count == 0 && k < ARRAY_LEN(SHIPPED); k++) {
        const struct protocol *shipped = asset_protocol(SHIPPED[k]);
        if (shipped == NULL) {
            return NULL;
        }
        list[10 + k] = *shipped;
    }
    if (list[0].item_count == 0) {
        list[0] = list[2] = list[3] = list[4] = *us;
        list[1] = list[5] = *europe;
        list[6] = list[7] = *us;
        list[8] = list[9] = *europe;
        list[2].value[KEY_USUAL] = 1;
        list[2].is_waivable[RULE_CUFF_TOO_SMALL] = list[2].is_waivable[RULE_CUFF_TOO_LARGE] = true;
        list[3].value[KEY_AVERAGE] = AVERAGE_LOWER_OF_LAST_TWO;
        list[3].value[KEY_FIRST_ARMS] = FIRST_ARMS_ONE;
        list[4].value[KEY_AVERAGE] = AVERAGE_WITHOUT_FIRST;
        list[4].value[KEY_READINGS_MAX] = 3;
        list[5].value[KEY_REST_S] = 0;
        list[5].value[KEY_READINGS_IRREGULAR] = 4;
        list[6].value[KEY_STANDING_READINGS] = 2;
        list[6].value[KEY_ALONE_BELOW_SYSTOLIC_MMHG] = 140;
        list[6].value[KEY_ALONE_BELOW_DIASTOLIC_MMHG] = 90;
        list[7].value[KEY_ARMS_REPEAT] = 1;
        list[7].value[KEY_LOW_SYSTOLIC_MMHG] = 90;
        list[7].value[KEY_LOW_DIASTOLIC_MMHG] = 60;
        list[7].value[KEY_CUFF_GAP_MM] = 30;
        list[8].value[KEY_STANDING_READINGS] = 1;
        list[8].value[KEY_STANDING_FIRST_S] = 0;
        list[8].value[KEY_FIRST_ARMS] = FIRST_ARMS_ONE;
        list[8].is_waivable[RULE_STANDING_FEW] = true;
        list[9].value[KEY_STANDING_READINGS] = 4;
        list[9].value[KEY_READINGS_MAX] = 4;
        list[9].value[KEY_ARMS_REPEAT] = 1;
        list[9].value[KEY_REST_S] = 20;
    }
    return &list[i % WALK_PROTOCOLS];
}

/* ---- the walk ---- */

struct walk {
    struct sitting s;
    struct oracle oracle;
    struct event log[WALK_LOG_MAX];
    int log_count, tried, refused, sealed, stopped, driven, drive_steps;
    int by_rule[RULE_COUNT], by_kind[EV_COUNT], most_lapses;
    char why[900];
};

static bool step_walk(struct walk *w, const struct protocol *p, const struct event *ev)
{
    static struct sitting before;
    struct refusal no;
    bool accepted = false;
    const struct protocol *known = ev->kind == EV_PROTOCOL && strcmp(ev->item, p->id) != 0 ? NULL : p;
    if (w->s.phase == PHASE_EMPTY && ev->kind != EV_PROTOCOL) {
        known = NULL;
    } else if (w->s.phase != PHASE_EMPTY) {
        known = p;
    }
    w->tried++;
    if (!apply_watched(&w->s, known, ev, &accepted, &no, &before, w->why, sizeof w->why)) {
        return false;
    }
    if (!accepted) {
        w->refused++;
        w->by_rule[no.rule]++;
        return true;
    }
    w->by_kind[ev->kind]++;
    w->most_lapses = w->s.lapse_count > w->most_lapses ? w->s.lapse_count : w->most_lapses;
    if (w->log_count < WALK_LOG_MAX) {
        w->log[w->log_count++] = *ev;
    }
    oracle_take(&w->oracle, p, ev, &before);
    return state_holds(&w->s, p, w->why, sizeof w->why) &&
           oracle_agrees(&w->oracle, p, &w->s, w->why, sizeof w->why);
}

static bool way_out(struct walk *w, const struct protocol *p)
{
    static struct sitting end;
    int steps = 0;
    if (w->s.phase == PHASE_SEALED || w->s.phase == PHASE_STOPPED) {
        return true;
    }
    if (!finisher_drive(&w->s, p, &end, &steps, w->why, sizeof w->why)) {
        return false;
    }
    w->driven++;
    w->drive_steps += steps;
    return state_holds(&end, p, w->why, sizeof w->why);
}

static bool replay_walk(struct walk *w, const struct protocol *p)
{
    static struct sitting again;
    struct refusal no;
    sitting_init(&again);
    for (int i = 0; i < w->log_count; i++) {
        char line[EVENT_LINE_CAP];
        struct event ev;
        size_t len = event_print(&w->log[i], line);
        if (event_parse(line, len, &ev, NULL) != PARSED_EVENT || !sitting_apply(&again, p, &ev, &no)) {
            (void)snprintf(w->why, sizeof w->why, "replay stumbles at event %d: %.600s", i + 1, line);
            return false;
        }
    }
    if (!sitting_equal(&again, &w->s)) {
        (void)snprintf(w->why, sizeof w->why, "replay gives another state");
        return false;
    }
    return true;
}

/* The log that led here, for whoever has to find out why. */
static void tell_walk(const struct walk *w, int seed)
{
    (void)fprintf(stderr, "walk %d: %s\n", seed, w->why);
    for (int i = 0; i < w->log_count; i++) {
        char line[EVENT_LINE_CAP];
        (void)event_print(&w->log[i], line);
        (void)fprintf(stderr, "    %s\n", line);
    }
}

static bool walk(struct walk *w, int seed, int length)
{
    struct dice d = {.x = UINT64_C(0x9E3779B97F4A7C15) * (uint64_t)(seed + 1)};
    const struct protocol *p = walk_protocol(seed);
    memset(w, 0, sizeof *w);
    sitting_init(&w->s);
    oracle_init(&w->oracle);
    int refused_in_row = 0;
    uint32_t diligence = 20 + roll(&d, 75); /* percent of events that the measurer gives */
    bool is_witnessed = seed % 3 == 0;
    for (int i = 0; i < length && w->log_count < WALK_LOG_MAX; i++) {
        bool is_over = w->s.phase == PHASE_SEALED || w->s.phase == PHASE_STOPPED;
        struct event ev;
        bool is_measurer = !is_over && roll(&d, 100) < diligence;
        if (is_measurer) {
            ev = finisher_next(&w->s, p, refused_in_row);
        } else {
            bool is_listening =
                w->s.phase == PHASE_OPEN && w->s.last_inflation != INFLATION_NONE && roll(&d, 2) == 0;
            ev = is_listening ? listening_event(&d, &w->s) : any_event(&d, &w->s, p);
        }
        if (is_witnessed && w->s.phase == PHASE_OPEN && w->s.witness[0] == '\0' && w->s.given[EV_PURPOSE] == 0) {
            ev = make_event(w->s.now_ms, EV_WITNESS, "ina", 0, 0, NULL);
        }
        int was = w->refused;
        if (!step_walk(w, p, &ev) || (i % 40 == 39 && !way_out(w, p))) {
            tell_walk(w, seed);
            return false;
        }
        refused_in_row = is_measurer ? (w->refused > was ? (refused_in_row + 1) % 4 : 0) : refused_in_row;
        if (is_over && i > length / 2) {
            break;
        }
    }
    w->sealed = w->s.phase == PHASE_SEALED;
    w->stopped = w->s.phase == PHASE_STOPPED;
    if (!way_out(w, p) || !replay_walk(w, p)) {
        tell_walk(w, seed);
        return false;
    }
    return true;
}

START_TEST(invariants_1_to_8_hold_in_a_random_walk)
{
    static struct walk w;
    int tried = 0, accepted = 0, sealed = 0, stopped = 0, readings = 0, counted = 0, driven = 0, steps = 0,
        rules = 0, standing = 0;
    int seen = 0, lapses = 0, spoiled = 0, taken_back = 0, struck = 0;
    static int by_rule[RULE_COUNT], by_lapse[RULE_COUNT];
    ck_assert_msg(walk_protocol(0) != NULL, "no sound protocols under assets/protocols");
    for (int seed = 0; seed < WALKS; seed++) {
        bool ok = walk(&w, seed, 400);
        ck_assert_msg(ok, "walk %d: %s", seed, w.why);
        tried += w.tried;
        accepted += w.tried - w.refused;
        sealed += w.sealed;
        seen += w.sealed && sitting_is_witnessed(&w.s);
        lapses += w.s.lapse_count;
        struck += w.s.struck_count;
        taken_back += w.by_kind[EV_LAPSE] > 0 && w.s.lapse_count < w.most_lapses;
        for (int i = 0; i < w.s.lapse_count && i < LAPSES_MAX; i++) {
            by_lapse[w.s.lapses[i].rule]++;
        }
        stopped += w.stopped;
        driven += w.driven;
        steps += w.drive_steps;
        readings += w.s.reading_count;
        for (int i = 0; i < w.s.reading_count; i++) {
            counted += reading_is_counted(&w.s.readings[i]);
            spoiled += (w.s.readings[i].voids & VOID_LAPSE) != 0;
            standing += reading_is_counted(&w.s.readings[i]) && w.s.readings[i].is_standing;
        }
        for (int rule = 0; rule < RULE_COUNT; rule++) {
            by_rule[rule] += w.by_rule[rule];
        }
    }
    int kinds_of_lapse = 0, may_lapse = 0;
    for (int rule = RULE_NONE + 1; rule < RULE_COUNT; rule++) {
        rules += by_rule[rule] > 0;
        kinds_of_lapse += by_lapse[rule] > 0;
        may_lapse += rule_may_lapse((enum rule)rule);
    }
    printf("before a witness: %d sealed, %d lapses of %d kinds of %d, %d readings spoiled, taken back in %d, %d struck\n", seen,
           lapses, kinds_of_lapse, may_lapse, spoiled, taken_back, struck);
    printf("random walk: %d sittings, %d events, %d accepted, %d of %d rules met, %d readings (%d counted, "
           "%d of them "
           "standing), "
           "%d sealed, %d stopped; way out found from %d states in %d events\n",
           WALKS, tried, accepted, rules, RULE_COUNT - 1, readings, counted, standing, sealed, stopped,
           driven, steps);
    ck_assert_int_ge(tried, 20000);
    ck_assert_int_ge(counted, 50);
    ck_assert_int_ge(standing, 10);
    ck_assert_int_ge(seen, 20);
    ck_assert_int_ge(spoiled, 50);
    ck_assert_int_ge(kinds_of_lapse, 15);
    ck_assert_int_ge(taken_back, 1);
    ck_assert_int_ge(struck, 10);
    ck_assert_int_ge(sealed, 10);
}
END_TEST

int main(void)
{
    Suite *suite = suite_create("walk");
    TCase *t = tcase_create("walk");
    tcase_set_timeout(t, 400);
    tcase_add_test(t, invariants_1_to_8_hold_in_a_random_walk);
    suite_add_tcase(suite, t);
    SRunner *runner = srunner_create(suite);
    srunner_run_all(runner, CK_NORMAL);
    int failed = srunner_ntests_failed(runner);
    srunner_free(runner);
    return failed == 0 ? EXIT_SUCCESS : EXIT_FAILURE;
}
