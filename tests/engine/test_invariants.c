/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What must hold whatever is pressed: one group of tests for each invariant; test_walk.c watches them all at
 * random. */
#include <check.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "check_state.h"
#include "finisher.h"
#include "generate.h"
#include "hand.h"

/* ---- a whole sitting to look at from all sides ---- */

#define TRACE_MAX 200

struct trace {
    struct event log[TRACE_MAX];
    struct sitting after[TRACE_MAX];
    int count;
};

static struct trace trace;

/* How a diligent measurer gets from nothing to the seal, state by state. */
static void make_trace(const struct protocol *p, const char *visit)
{
    static struct sitting s;
    struct refusal no;
    sitting_init(&s);
    trace.count = 0;
    while (s.phase != PHASE_SEALED && trace.count < TRACE_MAX) {
        struct event ev = finisher_next(&s, p, 0);
        if (ev.kind == EV_VISIT) {
            (void)snprintf(ev.item, sizeof ev.item, "%s", visit);
        }
        ck_assert_msg(sitting_apply(&s, p, &ev, &no), "a diligent measurer is refused %s at event %d",
                      rule_id(no.rule), trace.count + 1);
        trace.log[trace.count] = ev;
        trace.after[trace.count++] = s;
    }
    ck_assert_int_eq(s.phase, PHASE_SEALED);
}

static const struct {
    const char *protocol, *visit;
    int standing; /* readings standing that the case adds */
} CASES[] = {
    {"us-adult", "return", 0},        {"us-adult", "first", 0},
    {"europe-adult", "return", 0},    {"europe-adult", "first", 0},
    {"us-adult", "return", 2},        {"europe-adult", "first", 1},
    {"uk-adult", "first", 0},         {"international-adult", "return", 0},
    {"standing-adult", "return", 2},  {"pregnancy", "first", 0},
    {"irregular-adult", "return", 0},
};

static const struct protocol *case_protocol(int i)
{
    static struct protocol changed;
    const struct protocol *p = asset_protocol(CASES[i].protocol);
    ck_assert_msg(p != NULL, "%s is not there or not sound", CASES[i].protocol);
    changed = *p;
    changed.value[KEY_STANDING_READINGS] = CASES[i].standing;
    make_trace(&changed, CASES[i].visit);
    return &changed;
}

/* The diligent measurer's readings are 126 or so: one of them may be enough. */
static int fewest(const struct protocol *p)
{
    return p->value[KEY_ALONE_BELOW_SYSTOLIC_MMHG] > 0 ? 1 : 2;
}

/* Leave one event out: what then still goes in, and is it sealed? */
static bool seals_without(const struct protocol *p, int skip, struct sitting *s)
{
    sitting_init(s);
    for (int i = 0; i < trace.count; i++) {
        if (i != skip) {
            (void)sitting_apply(s, p, &trace.log[i], NULL);
        }
    }
    return s->phase == PHASE_SEALED;
}

static bool may_be_left_out(enum event_kind kind)
{
    return kind == EV_HELP || kind == EV_NOTE;
}

START_TEST(invariant_1_no_event_can_be_left_out)
{
    const struct protocol *p = case_protocol(_i);
    static struct sitting s;
    for (int i = 0; i < trace.count; i++) {
        char line[EVENT_LINE_CAP];
        (void)event_print(&trace.log[i], line);
        bool sealed = seals_without(p, i, &s);
        ck_assert_msg(!sealed || may_be_left_out(trace.log[i].kind), "sealed without `%s`", line);
    }
}
END_TEST

START_TEST(invariant_1_every_item_is_asked_for)
{
    const struct protocol *p = case_protocol(_i);
    static struct sitting s;
    const struct sitting *ready = &trace.after[trace.count - 2];
    for (int item = 0; item < p->item_count; item++) {
        struct event open = make_event(ready->now_ms, EV_REOPEN, p->items[item].id, 0, 0, "no longer so");
        struct event waive = make_event(ready->now_ms, EV_WAIVE, p->items[item].id, 0, 0, "no time");
        struct event seal = make_event(ready->now_ms, EV_SEAL, NULL, 0, 0, NULL);
        struct refusal no = {.rule = RULE_NONE};
        s = *ready;
        ck_assert_msg(sitting_apply(&s, p, &open, &no), "reopen %s: %s", p->items[item].id, rule_id(no.rule));
        ck_assert_msg(!sitting_would_accept(&s, p, &seal, &no), "sealed with %s open", p->items[item].id);
        ck_assert_str_eq(rule_id(no.rule), "item.open");
        bool waived = sitting_apply(&s, p, &waive, &no);
        ck_assert_msg(waived == p->items[item].is_waivable, "waive %s: %d", p->items[item].id, waived);
        ck_assert_msg(waived || no.rule == RULE_WAIVE_BARRED, "waive %s: %s", p->items[item].id,
                      rule_id(no.rule));
        ck_assert_int_eq(sitting_would_accept(&s, p, &seal, &no), waived);
    }
}
END_TEST

START_TEST(invariant_2_an_arm_that_may_not_be_used_is_never_waivable)
{
    const struct protocol *p = case_protocol(_i);
    int barred = 0;
    for (int item = 0; item < p->item_count; item++) {
        barred += p->items[item].step == STEP_ARM && !p->items[item].is_waivable;
    }
    ck_assert_int_ge(barred, 1);
    ck_assert(!p->is_waivable[RULE_KIT_FAILED] && !rule_may_be_waivable(RULE_KIT_FAILED));
}
END_TEST

/* Before each listening inflation, everything that it needs is taken away once; it must be refused. */
START_TEST(invariant_2_a_listening_inflation_needs_everything)
{
    const struct protocol *p = case_protocol(_i);
    static struct sitting s;
    int seen = 0;
    for (int i = 1; i < trace.count; i++) {
        if (trace.log[i].kind != EV_INFLATE || strcmp(trace.log[i].item, "listen") != 0) {
            continue;
        }
        const struct sitting *before = &trace.after[i - 1];
        struct event ev = trace.log[i];
        struct refusal no;
        seen++;
        ev.t_ms--;
        ck_assert_msg(!sitting_would_accept(before, p, &ev, &no), "1 ms early");
        ck_assert(no.rule == RULE_SETTLE_SHORT || no.rule == RULE_INTERVAL_SHORT ||
                  no.rule == RULE_STANDING_EARLY || no.rule == RULE_TIME_BACK);
        ev.t_ms = before->now_ms + 600001;
        ck_assert(!sitting_would_accept(before, p, &ev, &no));
        for (int item = 0; item < p->item_count; item++) {
            if (p->items[item].step == STEP_CLOSING) {
                continue;
            }
            s = *before;
            struct event open = make_event(s.now_ms, EV_REOPEN, p->items[item].id, 0, 0, "no longer so");
            ck_assert(sitting_apply(&s, p, &open, &no));
            ck_assert_msg(!sitting_would_accept(&s, p, &trace.log[i], &no), "listening with %s open",
                          p->items[item].id);
            ck_assert_str_eq(rule_id(no.rule), "step.needs");
        }
        s = *before;
        struct event moved = make_event(s.now_ms, EV_MOVED, NULL, 0, 0, "stood up");
        ck_assert(sitting_apply(&s, p, &moved, &no));
        ck_assert(!sitting_would_accept(&s, p, &trace.log[i], &no));
        ck_assert_str_eq(rule_id(no.rule), "rest.missing");
        s = *before;
        struct event measure = make_event(s.now_ms, EV_CIRCUMFERENCE, NULL, 310, 0, NULL);
        ck_assert(sitting_apply(&s, p, &measure, &no));
        ck_assert(!sitting_would_accept(&s, p, &trace.log[i], &no));
        ck_assert_str_eq(rule_id(no.rule), "step.needs");
    }
    ck_assert_int_ge(seen, fewest(p));
}
END_TEST

/* A reading in the middle of its entry, on us-adult. */
static void reading_in_entry(const struct protocol *p, struct sitting *s)
{
    for (int i = 0; i < trace.count; i++) {
        if (trace.log[i].kind == EV_TARGET) {
            *s = trace.after[i - 1];
            ck_assert(sitting_current(s) != NULL);
            return;
        }
    }
    ck_abort_msg("no target in the trace of %s", p->id);
}

/* From every state: barred, an arm is neither inflated nor taken up again; freed, the sitting goes on. */
START_TEST(invariant_2_a_barred_arm_is_never_inflated)
{
    static const char *const ARMS[] = {"left", "right"}, *const INFLATIONS[] = {"palpate", "listen"};
    const struct protocol *p = case_protocol(_i);
    static struct sitting s, end;
    char why[600];
    int steps = 0, barred = 0;
    for (int i = 0; i + 1 < trace.count; i++) {
        s = trace.after[i];
        for (size_t arm = 0; arm < ARRAY_LEN(ARMS); arm++) {
            struct event bar = make_event(s.now_ms, EV_BARRED, ARMS[arm], 0, 0, "a line");
            struct refusal no = {.rule = RULE_NONE};
            if (!sitting_apply(&s, p, &bar, &no)) {
                ck_assert(no.rule == RULE_INFLATION_OPEN || no.rule == RULE_READING_OPEN);
                continue;
            }
            struct event take = make_event(s.now_ms, EV_ARM, ARMS[arm], 0, 0, NULL);
            ck_assert(!sitting_would_accept(&s, p, &take, &no));
            ck_assert(no.rule == RULE_ARM_BARRED || no.rule == RULE_STEP_NEEDS);
            ck_assert_msg(finisher_drive(&s, p, &end, &steps, why, sizeof why), "after event %d: %s", i + 1,
                          why);
        }
        if (!s.is_barred[ARM_LEFT] || !s.is_barred[ARM_RIGHT]) {
            continue;
        }
        barred++;
        for (size_t k = 0; k < ARRAY_LEN(INFLATIONS); k++) {
            struct event up = make_event(s.now_ms + 100000, EV_INFLATE, INFLATIONS[k], 0, 0, NULL);
            struct refusal no = {.rule = RULE_NONE};
            ck_assert(!sitting_would_accept(&s, p, &up, &no));
            ck_assert_str_eq(rule_id(no.rule), "step.needs");
        }
        struct event seal = make_event(s.now_ms, EV_SEAL, NULL, 0, 0, NULL);
        struct event stop = make_event(s.now_ms, EV_STOP, NULL, 0, 0, "no arm may be used");
        ck_assert(!sitting_would_accept(&s, p, &seal, NULL));
        ck_assert(sitting_would_accept(&s, p, &stop, NULL));
    }
    ck_assert_int_ge(barred, 10);
}
END_TEST

START_TEST(invariant_3_every_value_is_tried)
{
    const struct protocol *p = case_protocol(_i);
    static struct sitting s, t;
    static const char *const WORDS[] = {"first", "silent", "return", "muffling", "last"};
    reading_in_entry(p, &s);
    for (int target = 0; target <= 310; target++) {
        struct event ev = make_event(s.now_ms, EV_TARGET, NULL, target, 0, NULL);
        struct refusal no = {.rule = RULE_NONE};
        bool is_good = target % 2 == 0 && target <= 300;
        ck_assert_int_eq(sitting_would_accept(&s, p, &ev, &no), is_good);
        ck_assert(is_good || no.rule == (target % 2 != 0 ? RULE_VALUE_ODD : RULE_VALUE_RANGE));
    }
    struct event target = make_event(s.now_ms, EV_TARGET, NULL, 160, 0, NULL);
    ck_assert(sitting_apply(&s, p, &target, NULL));
    for (size_t a = 0; a < ARRAY_LEN(WORDS); a++) {
        for (int va = 0; va <= 164; va += 2) {
            t = s;
            struct event first = make_event(s.now_ms, EV_VALUE, WORDS[a], va, 0, NULL);
            if (!sitting_apply(&t, p, &first, NULL)) {
                ck_assert_int_gt(va, 160);
                continue;
            }
            for (size_t b = 0; b < ARRAY_LEN(WORDS); b++) {
                for (int vb = va - 2; vb <= va + 2; vb += 2) {
                    if (vb < 0 || a == b) {
                        continue;
                    }
                    struct event second = make_event(s.now_ms, EV_VALUE, WORDS[b], vb, 0, NULL);
                    bool ends = (a == 0 && b == 4) || (a == 4 && b == 0),
                         gap = (a == 1 && b == 2) || (a == 2 && b == 1);
                    int upper = a < b ? va : vb, lower = a < b ? vb : va;
                    bool is_good = vb <= 160 && (ends || gap ? upper > lower : upper >= lower);
                    ck_assert_msg(sitting_would_accept(&t, p, &second, NULL) == is_good, "%s %d then %s %d",
                                  WORDS[a], va, WORDS[b], vb);
                }
            }
        }
    }
}
END_TEST

START_TEST(invariant_4_averages_leave_void_readings_out)
{
    /* After every event of a diligent sitting in which every second listening is interrupted. */
    const struct protocol *p = case_protocol(_i);
    static struct sitting s;
    char why[400];
    sitting_init(&s);
    int voids = 0, refused = 0;
    for (int n = 0; n < 1000 && s.phase != PHASE_SEALED; n++) {
        struct event ev = finisher_next(&s, p, refused);
        bool breaks =
            s.inflation == INFLATION_LISTEN && s.reading_count % 2 == 1 && sitting_current(&s) != NULL;
        if (breaks) {
            ev = make_event(s.now_ms + 1000, EV_INTERRUPT, NULL, 0, 0, "spoke");
            voids++;
        }
        refused = sitting_apply(&s, p, &ev, NULL) ? 0 : refused + 1;
        ck_assert_msg(state_holds(&s, p, why, sizeof why), "%s", why);
    }
    ck_assert_int_eq(s.phase, PHASE_SEALED);
    ck_assert_int_ge(voids, fewest(p));
}
END_TEST

START_TEST(invariant_5_no_state_before_the_last_reading_seals)
{
    const struct protocol *p = case_protocol(_i);
    int last_done = 0;
    for (int i = 0; i < trace.count; i++) {
        last_done = trace.log[i].kind == EV_DONE ? i : last_done;
    }
    for (int i = 0; i < last_done; i++) {
        struct event seal = make_event(trace.after[i].now_ms, EV_SEAL, NULL, 0, 0, NULL);
        ck_assert_msg(!sitting_would_accept(&trace.after[i], p, &seal, NULL), "sealed after event %d", i + 1);
    }
    const struct sitting *end = &trace.after[trace.count - 1];
    ck_assert_int_eq(sitting_readings_lack(end, p), RULE_NONE);
    ck_assert_uint_eq(sitting_remarks(end, p) & REMARK_READINGS_UNSETTLED, 0);
}
END_TEST

START_TEST(invariant_6_replay_rebuilds_every_state)
{
    const struct protocol *p = case_protocol(_i);
    static struct sitting s;
    sitting_init(&s);
    for (int i = 0; i < trace.count; i++) {
        char line[EVENT_LINE_CAP];
        struct event ev;
        size_t len = event_print(&trace.log[i], line);
        ck_assert_int_eq(event_parse(line, len, &ev, NULL), PARSED_EVENT);
        ck_assert(sitting_apply(&s, p, &ev, NULL));
        ck_assert(sitting_equal(&s, &trace.after[i]));
    }
}
END_TEST

/* Every kind with every item, in every state of a whole sitting. */
START_TEST(invariant_6_a_refusal_leaves_every_byte)
{
    const struct protocol *p = case_protocol(_i);
    static struct sitting s;
    char why[700];
    int refused = 0;
    struct dice d = {.x = 77};
    for (int i = 0; i < trace.count; i++) {
        for (int kind = 0; kind < EV_COUNT; kind++) {
            const struct event_form *form = event_form((enum event_kind)kind);
            for (int item = 0; item == 0 || (form->items != NULL && form->items[item] != NULL); item++) {
                const char *word =
                    form->items != NULL ? form->items[item] : item_for(&d, form, (enum event_kind)kind, p);
                struct event ev =
                    make_event(trace.after[i].now_ms, (enum event_kind)kind, form->has_item ? word : NULL,
                               form->has_value ? value_for(&d, (enum event_kind)kind) : 0,
                               form->has_value2 ? value2_for(&d, (enum event_kind)kind) : 0,
                               !form->has_text   ? NULL
                               : kind == EV_DATE ? "2031-03-02T14:04:10+01:00"
                                                 : "x");
                struct refusal no;
                bool accepted = false;
                s = trace.after[i];
                ck_assert_msg(apply_watched(&s, p, &ev, &accepted, &no, NULL, why, sizeof why), "%s", why);
                refused += !accepted;
            }
        }
    }
    printf("%s %s: %d states, %d refusals compared byte for byte\n", CASES[_i].protocol, CASES[_i].visit,
           trace.count, refused);
    ck_assert_int_ge(refused, 1000);
}
END_TEST

START_TEST(invariant_6_equal_is_not_always_true)
{
    (void)case_protocol(_i);
    for (int i = 1; i < trace.count; i++) {
        ck_assert(!sitting_equal(&trace.after[i - 1], &trace.after[i]));
    }
}
END_TEST

START_TEST(invariant_7_every_state_has_a_way_out)
{
    const struct protocol *p = case_protocol(_i);
    static struct sitting end;
    char why[600];
    int steps = 0;
    for (int i = 0; i + 1 < trace.count; i++) {
        ck_assert_msg(finisher_drive(&trace.after[i], p, &end, &steps, why, sizeof why), "after event %d: %s",
                      i + 1, why);
        struct event stop = make_event(trace.after[i].now_ms, EV_STOP, NULL, 0, 0, "must go");
        ck_assert(sitting_would_accept(&trace.after[i], p, &stop, NULL));
    }
}
END_TEST

START_TEST(invariant_7_a_way_out_after_the_worst)
{
    /* After each event of a whole sitting: moved, every item reopened, a long suspend, the kit failed. */
    const struct protocol *p = case_protocol(_i);
    static struct sitting s, end;
    char why[600];
    int steps = 0;
    for (int i = 0; i + 1 < trace.count; i++) {
        s = trace.after[i];
        struct event worst[] = {
            make_event(s.now_ms, EV_MOVED, NULL, 0, 0, "fell asleep"),
            make_event(s.now_ms, EV_CHECK, "comparison", 100, 20310302, NULL),
            make_event(s.now_ms, EV_CHECK, "zero", 100, 20310302, NULL),
            make_event(s.now_ms, EV_SYMPTOMS, "present", 0, 0, NULL),
            make_event(s.now_ms, EV_BARRED, i % 2 == 0 ? "left" : "right", 0, 0, "a rash"),
            make_event(s.now_ms, EV_RESUME, NULL, 3600000, 0, NULL),
        };
        for (size_t k = 0; k < ARRAY_LEN(worst); k++) {
            (void)sitting_apply(&s, p, &worst[k], NULL);
        }
        for (int item = 0; item < p->item_count; item++) {
            struct event open = make_event(s.now_ms, EV_REOPEN, p->items[item].id, 0, 0, "no longer so");
            (void)sitting_apply(&s, p, &open, NULL);
        }
        ck_assert_msg(finisher_drive(&s, p, &end, &steps, why, sizeof why), "after event %d: %s", i + 1, why);
    }
}
END_TEST

START_TEST(invariant_8_nothing_after_the_end)
{
    const struct protocol *p = case_protocol(_i);
    static struct sitting s;
    char why[400];
    ck_assert_msg(stop_holds(&trace.after[trace.count - 1], p, why, sizeof why), "%s", why);
    for (int i = 0; i + 1 < trace.count; i++) {
        s = trace.after[i];
        struct event stop = make_event(s.now_ms, EV_STOP, NULL, 0, 0, "must go");
        ck_assert(sitting_apply(&s, p, &stop, NULL));
        ck_assert_int_eq(s.phase, PHASE_STOPPED);
        ck_assert_msg(stop_holds(&s, p, why, sizeof why), "%s", why);
    }
}
END_TEST

/* The numbers in assets/protocols are those of the specification, key by key. */
START_TEST(assets_carry_the_numbers_of_the_specification)
{
    static const char *const IDS[] = {"us-adult", "europe-adult"};
    const struct protocol *asset = asset_protocol(IDS[_i]), *hand = hand_protocol(IDS[_i]);
    ck_assert_ptr_nonnull(asset);
    for (int key = 0; key < KEY_COUNT; key++) {
        /* The specification gives no number for these. */
        bool is_open = key == KEY_READINGS_IRREGULAR || key == KEY_SEVERE_SYSTOLIC_MMHG ||
                       key == KEY_SEVERE_DIASTOLIC_MMHG || key == KEY_SEVERE_WHEN ||
                       key == KEY_LEAK_MAX_MMHG_PER_MIN || key == KEY_COMPARISON_MAX_MMHG ||
                       key == KEY_USUAL || PROTOCOL_KEYS[key].is_optional;
        ck_assert_msg(is_open || asset->value[key] == hand->value[key],
                      "%s: %s is %d, by the specification %d", IDS[_i], PROTOCOL_KEYS[key].name,
                      (int)asset->value[key], (int)hand->value[key]);
    }
}
END_TEST

int main(void)
{
    Suite *suite = suite_create("invariants");
    TCase *each = tcase_create("each");
    int n = (int)ARRAY_LEN(CASES);
    tcase_set_timeout(each, 120);
    tcase_add_loop_test(each, assets_carry_the_numbers_of_the_specification, 0, 2);
    tcase_add_loop_test(each, invariant_1_no_event_can_be_left_out, 0, n);
    tcase_add_loop_test(each, invariant_1_every_item_is_asked_for, 0, n);
    tcase_add_loop_test(each, invariant_2_an_arm_that_may_not_be_used_is_never_waivable, 0, n);
    tcase_add_loop_test(each, invariant_2_a_listening_inflation_needs_everything, 0, n);
    tcase_add_loop_test(each, invariant_2_a_barred_arm_is_never_inflated, 0, n);
    tcase_add_loop_test(each, invariant_3_every_value_is_tried, 0, n);
    tcase_add_loop_test(each, invariant_4_averages_leave_void_readings_out, 0, n);
    tcase_add_loop_test(each, invariant_5_no_state_before_the_last_reading_seals, 0, n);
    tcase_add_loop_test(each, invariant_6_replay_rebuilds_every_state, 0, n);
    tcase_add_loop_test(each, invariant_6_a_refusal_leaves_every_byte, 0, n);
    tcase_add_loop_test(each, invariant_6_equal_is_not_always_true, 0, n);
    tcase_add_loop_test(each, invariant_7_every_state_has_a_way_out, 0, n);
    tcase_add_loop_test(each, invariant_7_a_way_out_after_the_worst, 0, n);
    tcase_add_loop_test(each, invariant_8_nothing_after_the_end, 0, n);
    suite_add_tcase(suite, each);
    SRunner *runner = srunner_create(suite);
    srunner_run_all(runner, CK_NORMAL);
    int failed = srunner_ntests_failed(runner);
    srunner_free(runner);
    return failed == 0 ? EXIT_SUCCESS : EXIT_FAILURE;
}
