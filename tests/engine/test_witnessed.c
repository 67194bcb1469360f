/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Before a witness: the invariants that elsewhere are held by refusing are held by what counts and what is noted. */
#include <check.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "check_state.h"
#include "finisher.h"
#include "hand.h"

#define TRACE_MAX 200

static struct event trace[TRACE_MAX];
static struct sitting after[TRACE_MAX];
static int count;

static const char *const PROTOCOLS[] = {"us-adult", "europe-adult",   "uk-adult",       "international-adult",
                                        "pregnancy", "standing-adult", "irregular-adult"};

/* A diligent measurer, seen from nothing to the seal. */
static const struct protocol *make_trace(int which)
{
    static struct sitting s;
    const struct protocol *p = asset_protocol(PROTOCOLS[which]);
    ck_assert_msg(p != NULL, "%s is not there or not sound", PROTOCOLS[which]);
    sitting_init(&s);
    count = 0;
    while (s.phase != PHASE_SEALED && count < TRACE_MAX) {
        struct event ev = finisher_next(&s, p, 0);
        struct refusal no;
        if (s.phase == PHASE_OPEN && s.given[EV_WITNESS] == 0) {
            ev = make_event(s.now_ms, EV_WITNESS, "ina", 0, 0, NULL);
        }
        ck_assert_msg(sitting_apply(&s, p, &ev, &no), "refused %s at event %d", rule_id(no.rule), count + 1);
        trace[count] = ev;
        after[count++] = s;
    }
    ck_assert_int_eq(s.phase, PHASE_SEALED);
    ck_assert(sitting_is_witnessed(&s));
    return p;
}

static void apply(struct sitting *s, const struct protocol *p, const struct event *ev)
{
    struct refusal no = {.rule = RULE_NONE};
    char line[EVENT_LINE_CAP], why[600];
    (void)event_print(ev, line);
    ck_assert_msg(sitting_apply(s, p, ev, &no), "`%s` is refused %s", line, rule_id(no.rule));
    ck_assert_msg(state_holds(s, p, why, sizeof why), "`%s`: %s", line, why);
}

START_TEST(whoever_does_all_as_it_should_be_passes_without_a_lapse)
{
    const struct protocol *p = make_trace(_i);
    const struct sitting *end = &after[count - 1];
    struct assessment a;
    ck_assert(sitting_assess(end, p, &a));
    ck_assert_int_eq(a.lapses, 0);
    ck_assert_int_eq(a.critical, 0);
    ck_assert_int_eq(a.unseen, 0);
    ck_assert(a.has_passed);
    for (int i = 0; i + 1 < count; i++) {
        ck_assert(!sitting_assess(&after[i], p, &a));
    }
}
END_TEST

static bool is_listening(int i)
{
    return trace[i].kind == EV_INFLATE && strcmp(trace[i].item, "listen") == 0;
}

/* What is taken away before a listening inflation, and the rule that then speaks of it. */
static struct event taken_away(const struct sitting *s, int which, enum rule *rule)
{
    static const struct {
        enum event_kind kind;
        const char *item;
        int64_t value, value2;
        const char *text;
        enum rule rule;
    } ROWS[] = {
        {EV_MOVED, NULL, 0, 0, "stood up", RULE_REST_MISSING},
        {EV_CIRCUMFERENCE, NULL, 310, 0, NULL, RULE_STEP_NEEDS},
        {EV_CHECK, "leak", 99, 20310302, NULL, RULE_KIT_FAILED},
        {EV_INFLATE, "palpate", 0, 0, NULL, RULE_ESTIMATE_MISSING},
    };
    *rule = ROWS[which].rule;
    return make_event(s->now_ms, ROWS[which].kind, ROWS[which].item, ROWS[which].value, ROWS[which].value2,
                      ROWS[which].text);
}

START_TEST(no_reading_counts_that_lacked_something)
{
    const struct protocol *p = make_trace(_i);
    static struct sitting s;
    int seen = 0;
    for (int i = 1; i < count; i++) {
        for (int which = 0; is_listening(i) && which < 4; which++) {
            enum rule rule = RULE_NONE;
            s = after[i - 1];
            struct event away = taken_away(&s, which, &rule);
            struct event up = trace[i];
            struct event empty = make_event(s.now_ms + 1, EV_EMPTY, NULL, 0, 0, NULL);
            apply(&s, p, &away);
            if (away.kind == EV_INFLATE) { /* a palpation that found nothing */
                apply(&s, p, &empty);
                up.t_ms = s.now_ms + 100000;
            }
            int before = s.lapse_count;
            apply(&s, p, &up);
            const struct reading *r = &s.readings[s.reading_count - 1];
            bool is_said = false;
            for (int k = before; k < s.lapse_count; k++) {
                is_said = is_said || (s.lapses[k].rule == (int32_t)rule && s.lapses[k].reading == s.reading_count);
            }
            ck_assert_msg((r->voids & VOID_LAPSE) != 0 && is_said, "event %d, %s", i + 1, rule_id(rule));
            seen++;
        }
    }
    ck_assert_int_ge(seen, 4);
}
END_TEST

START_TEST(an_item_that_nothing_is_said_of_is_no_departure)
{
    const struct protocol *p = make_trace(_i);
    static struct sitting s;
    int seen = 0;
    for (int i = 1; i < count; i++) {
        for (int item = 0; is_listening(i) && item < p->item_count; item++) {
            s = after[i - 1];
            struct event open = make_event(s.now_ms, EV_REOPEN, p->items[item].id, 0, 0, "no longer so");
            apply(&s, p, &open);
            apply(&s, p, &trace[i]);
            ck_assert_int_eq(s.lapse_count, 0);
            ck_assert_uint_eq(s.readings[s.reading_count - 1].voids, 0);
            seen++;
        }
    }
    ck_assert_int_ge(seen, 20);
}
END_TEST

/* All items but one are answered at the end as they were at once; that one by what was seen of it. */
static void answer_late(struct sitting *s, const struct protocol *p, int one, enum event_kind kind)
{
    sitting_init(s);
    for (int i = 0; i + 1 < count; i++) {
        if (trace[i].kind != EV_CONFIRM) {
            apply(s, p, &trace[i]);
        }
    }
    for (int item = 0; item < p->item_count; item++) {
        enum event_kind answer = item == one ? kind : EV_CONFIRM;
        const char *said = answer == EV_LAPSE ? "not so" : NULL;
        struct event ev = make_event(s->now_ms, answer, p->items[item].id, 0, 0, said);
        struct refusal no;
        ck_assert(!sitting_would_accept(s, p, &trace[count - 1], &no));
        ck_assert_int_eq(no.rule, RULE_ITEM_OPEN);
        apply(s, p, &ev);
    }
    apply(s, p, &trace[count - 1]);
}

START_TEST(an_answer_tells_what_was_seen_whenever_it_is_written)
{
    const struct protocol *p = make_trace(_i);
    const struct sitting *at_once = &after[count - 1];
    static struct sitting s;
    struct assessment a;
    for (int item = 0; item < p->item_count; item++) {
        static const enum event_kind KINDS[] = {EV_CONFIRM, EV_LAPSE, EV_UNSEEN};
        enum event_kind kind = KINDS[item % 3];
        answer_late(&s, p, item, kind);
        ck_assert(sitting_assess(&s, p, &a));
        ck_assert_int_eq(a.lapses, kind == EV_LAPSE);
        ck_assert_int_eq(a.unseen, kind == EV_UNSEEN);
        if (kind == EV_LAPSE) {
            ck_assert_int_eq(s.lapses[0].rule, RULE_ITEM_OPEN);
            ck_assert_int_eq(s.lapses[0].item, item + 1);
        }
        ck_assert_int_eq(s.reading_count, at_once->reading_count);
        ck_assert_mem_eq(s.readings, at_once->readings, sizeof s.readings);
    }
}
END_TEST

/* To the seal, from a state that holds to one that holds. */
static const struct sitting *drive(const struct sitting *s, const struct protocol *p, int at)
{
    static struct sitting end;
    char why[600];
    int steps = 0;
    ck_assert_msg(state_holds(s, p, why, sizeof why), "at event %d: %s", at + 1, why);
    ck_assert_msg(finisher_drive(s, p, &end, &steps, why, sizeof why), "at event %d: %s", at + 1, why);
    ck_assert_msg(state_holds(&end, p, why, sizeof why), "sealed, from event %d: %s", at + 1, why);
    return &end;
}

static void go_without(struct sitting *s, const struct protocol *p, int skip)
{
    sitting_init(s);
    for (int i = 0; i + 1 < count; i++) {
        if (i != skip) {
            (void)sitting_apply(s, p, &trace[i], NULL);
        }
    }
}

/* Leave any one event out, and go on to the seal: whatever was not done is refused as a hole in the record, made good,
 * or noted; no state on the way breaks a rule. */
START_TEST(what_is_left_out_is_made_good_or_noted)
{
    const struct protocol *p = make_trace(_i);
    static struct sitting s;
    int noted = 0;
    for (int skip = 2; skip < count; skip++) {
        go_without(&s, p, skip);
        noted += drive(&s, p, skip)->lapse_count > 0;
    }
    ck_assert_int_ge(noted, 9);
}
END_TEST

/* All that was noted is taken back, whatever it was: it stays in its place and counts no more, readings stay as they
 * were, and what is still so is noted anew. */
START_TEST(what_is_struck_counts_no_more_and_saves_no_reading)
{
    const struct protocol *p = make_trace(_i);
    static struct sitting s, before;
    int seen = 0;
    for (int skip = 2; skip < count; skip++) {
        go_without(&s, p, skip);
        before = s;
        for (int i = 0; i < before.lapse_count; i++) {
            struct event strike = make_event(s.now_ms, EV_STRIKE, NULL, i + 1, 0, "a slip");
            apply(&s, p, &strike);
            ck_assert(!sitting_would_accept(&s, p, &strike, NULL));
            ck_assert_int_eq(s.lapses[i].rule, before.lapses[i].rule);
        }
        ck_assert_int_eq(s.lapse_count, before.lapse_count);
        ck_assert_int_eq(s.critical_count, 0);
        for (int i = 0; i < s.reading_count; i++) {
            ck_assert_uint_eq(s.readings[i].voids, before.readings[i].voids);
        }
        struct assessment a;
        const struct sitting *end = drive(&s, p, skip);
        ck_assert(sitting_assess(end, p, &a));
        ck_assert_int_eq(a.lapses, end->lapse_count - before.lapse_count);
        seen += before.lapse_count;
    }
    ck_assert_int_ge(seen, 5);
}
END_TEST

START_TEST(every_state_has_a_way_to_the_seal_and_a_stop)
{
    const struct protocol *p = make_trace(_i);
    static struct sitting s;
    for (int i = 0; i + 1 < count; i++) {
        s = after[i];
        struct event worst[] = {
            make_event(s.now_ms, EV_MOVED, NULL, 0, 0, "fell asleep"),
            make_event(s.now_ms, EV_CHECK, "zero", 100, 20310302, NULL),
            make_event(s.now_ms, EV_SYMPTOMS, "present", 0, 0, NULL),
            make_event(s.now_ms, EV_BARRED, "left", 0, 0, "a rash"),
            make_event(s.now_ms, EV_BARRED, "right", 0, 0, "a rash"),
            make_event(s.now_ms, EV_ARM, i % 2 == 0 ? "left" : "right", 0, 0, NULL),
            make_event(s.now_ms, EV_RESUME, NULL, 3600000, 0, NULL),
        };
        for (size_t k = 0; k < ARRAY_LEN(worst); k++) {
            (void)sitting_apply(&s, p, &worst[k], NULL);
        }
        for (int item = 0; item < p->item_count; item++) {
            struct event open = make_event(s.now_ms, EV_REOPEN, p->items[item].id, 0, 0, "no longer so");
            (void)sitting_apply(&s, p, &open, NULL);
        }
        (void)drive(&s, p, i);
        struct event stop = make_event(s.now_ms, EV_STOP, NULL, 0, 0, "must go");
        ck_assert(sitting_would_accept(&s, p, &stop, NULL));
    }
}
END_TEST

/* 64 are kept one by one; those behind them count all the same, and none is pushed out. */
START_TEST(more_lapses_than_are_kept_are_counted)
{
    const struct protocol *p = make_trace(_i);
    static struct sitting s;
    const int64_t cuffs = LAPSES_MAX + 8;
    int at = 0;
    while (trace[at].kind != EV_CIRCUMFERENCE) {
        at++;
        ck_assert_int_lt(at, count - 1);
    }
    s = after[at];
    struct event far = make_event(s.now_ms, EV_CIRCUMFERENCE, NULL, 700, 0, NULL);
    struct event small = make_event(s.now_ms, EV_CUFF, "tiny", 100, 120, NULL);
    struct event wrap = make_event(s.now_ms, EV_WRAP, "tiny", 0, 0, NULL);
    apply(&s, p, &small);
    for (int64_t i = 0; i < cuffs; i++) {
        far.value = 400 + i;
        apply(&s, p, &far);
        apply(&s, p, &wrap);
    }
    ck_assert_int_eq(s.lapse_count, cuffs);
    ck_assert_int_eq(s.lapses[LAPSES_MAX - 1].rule, RULE_CUFF_TOO_SMALL);
    /* behind them nothing is taken back, nor struck */
    struct event strike = make_event(s.now_ms, EV_STRIKE, NULL, LAPSES_MAX + 1, 0, "a slip");
    ck_assert(!sitting_would_accept(&s, p, &strike, NULL));
    strike.value = LAPSES_MAX;
    ck_assert(sitting_would_accept(&s, p, &strike, NULL));
    struct event note = make_event(s.now_ms, EV_LAPSE, p->items[0].id, 0, 0, "not so");
    struct event back = make_event(s.now_ms, EV_CONFIRM, p->items[0].id, 0, 0, NULL);
    bool is_noted = sitting_apply(&s, p, &note, NULL) && sitting_apply(&s, p, &back, NULL);
    ck_assert(is_noted);
    ck_assert_int_eq(s.lapse_count, cuffs + 1);
}
END_TEST

int main(void)
{
    Suite *suite = suite_create("witnessed");
    TCase *each = tcase_create("each");
    int n = (int)ARRAY_LEN(PROTOCOLS);
    tcase_set_timeout(each, 120);
    tcase_add_loop_test(each, whoever_does_all_as_it_should_be_passes_without_a_lapse, 0, n);
    tcase_add_loop_test(each, no_reading_counts_that_lacked_something, 0, n);
    tcase_add_loop_test(each, an_item_that_nothing_is_said_of_is_no_departure, 0, n);
    tcase_add_loop_test(each, an_answer_tells_what_was_seen_whenever_it_is_written, 0, n);
    tcase_add_loop_test(each, what_is_left_out_is_made_good_or_noted, 0, n);
    tcase_add_loop_test(each, what_is_struck_counts_no_more_and_saves_no_reading, 0, n);
    tcase_add_loop_test(each, every_state_has_a_way_to_the_seal_and_a_stop, 0, n);
    tcase_add_loop_test(each, more_lapses_than_are_kept_are_counted, 0, n);
    suite_add_tcase(suite, each);
    SRunner *runner = srunner_create(suite);
    srunner_run_all(runner, CK_NORMAL);
    int failed = srunner_ntests_failed(runner);
    srunner_free(runner);
    return failed == 0 ? EXIT_SUCCESS : EXIT_FAILURE;
}
