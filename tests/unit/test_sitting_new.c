/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Alarms at the entry, arms that may not be used, readings standing: what the engine answers when asked. */
#include <check.h>
#include <inttypes.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "config/protocols.h"
#include "stillarm/sitting.h"
#include "store/store.h"

static struct protocol p;
static struct sitting s;
static int64_t now_ms;

static void load(void)
{
    static struct protocols ps;
    if (ps.count == 0)
        ck_assert_int_eq(protocols_load(TEST_SOURCE_DIR "/assets/protocols", &ps, NULL), ST_OK);
    p = *protocols_find(&ps, "us-adult");
    for (int key = KEY_ALONE_BELOW_SYSTOLIC_MMHG; key < KEY_COUNT; key++)
        p.value[key] = PROTOCOL_KEYS[key].absent; /* as a file from before these keys */
    sitting_init(&s);
    now_ms = 0;
}

/* The event so much later than the last one: the rule that refuses it, or RULE_NONE. A refusal must change nothing. */
static enum rule at(int64_t after_ms, const char *what)
{
    static struct sitting before;
    char line[EVENT_LINE_CAP];
    struct event ev;
    struct refusal why = {.rule = RULE_NONE};
    now_ms += after_ms;
    (void)snprintf(line, sizeof line, "%" PRId64 ".%03d %s", now_ms / 1000, (int)(now_ms % 1000), what);
    ck_assert_msg(event_parse(line, strlen(line), &ev, NULL) == PARSED_EVENT, "%s", line);
    before = s;
    if (sitting_apply(&s, &p, &ev, &why))
        return RULE_NONE;
    ck_assert(sitting_equal(&before, &s));
    return why.rule;
}

static void ok(int64_t after_ms, const char *what)
{
    const enum rule rule = at(after_ms, what);
    ck_assert_msg(rule == RULE_NONE, "%s: %s", what, rule_id(rule));
}

static void no(int64_t after_ms, const char *what, enum rule want)
{
    const enum rule rule = at(after_ms, what);
    ck_assert_msg(rule == want, "%s: %s, expected %s", what, rule_id(rule), rule_id(want));
}

static void confirm(enum step step)
{
    for (int i = 0; i < p.item_count; i++) {
        char what[64];
        (void)snprintf(what, sizeof what, "confirm %s", p.items[i].id);
        if (p.items[i].step == step)
            ok(100, what);
    }
}

static void play(const char *const lines[], int n)
{
    for (int i = 0; i < n; i++)
        ok(100, lines[i]);
}
#define PLAY(...) play((const char *const[]){__VA_ARGS__}, (int)(sizeof((const char *const[]){__VA_ARGS__}) / sizeof(char *)))

static void open_sitting(const char *visit)
{
    PLAY("protocol us-adult", "date \"2031-03-02T14:04:10+01:00\"", "measurer ana", "subject K7", visit);
    if (s.is_return)
        ok(0, "prior-arm unknown");
    PLAY("purpose practice", "place \"booth 2\"", "gauge g2 300 20310401", "cuff small 200 260", "cuff adult 261 400");
    confirm(STEP_KIT);
    confirm(STEP_READINESS);
}

static void take_arm(const char *arm)
{
    char what[32];
    (void)snprintf(what, sizeof what, "arm %s", arm);
    ok(100, what);
    confirm(STEP_ARM);
    PLAY("circumference 300", "wrap adult");
    confirm(STEP_CUFF);
}

static void rest(void)
{
    ok(100, "rest begin");
    ok(p.value[KEY_REST_S] * 1000, "rest end");
    ok(100, "pulse regular 72");
}

static void palpate(void)
{
    ok(100, "inflate palpate");
    PLAY("palpate felt 110", "palpate gone 120", "empty");
    now_ms += 30000;
}

/* Up to the first reading on the left arm. */
static void prepare(const char *visit)
{
    open_sitting(visit);
    take_arm("left");
    confirm(STEP_POSTURE);
    rest();
    palpate();
}

/* A reading that is void for nothing but, perhaps, its first sound. Leaves the interval behind it. */
static void begin_reading(void)
{
    ok(60000, "inflate listen");
    ok(60000, "empty");
    ok(100, "target 220");
}

static void value(const char *which, int mmhg)
{
    char what[32];
    (void)snprintf(what, sizeof what, "value %s %d", which, mmhg);
    ok(100, what);
}

static void read_pressure(int first, int last)
{
    begin_reading();
    value("first", first);
    value("last", last);
    ok(100, "done");
}

static void seal(enum rule want)
{
    confirm(STEP_CLOSING);
    ok(100, "told");
    if (want == RULE_NONE)
        ok(100, "seal");
    else
        no(100, "seal", want);
}

/* ---- very high and low values ---- */

START_TEST(alarm_follows_the_value_and_goes_with_it)
{
    prepare("visit return");
    begin_reading();
    ck_assert_int_eq(sitting_alarm(&s, &p), ALARM_NONE);
    no(100, "symptoms none", RULE_READING_NONE);
    no(100, "acted \"asked\"", RULE_READING_NONE);
    value("first", 182);
    ck_assert_int_eq(sitting_alarm(&s, &p), ALARM_HIGH);
    ck_assert_int_eq(s.alarm_reading, 1);
    ck_assert(s.is_severe_open);
    value("first", 128);
    ck_assert_int_eq(s.alarm_reading, 0);
    ck_assert(!s.is_severe_open);
}
END_TEST

START_TEST(alarm_waits_for_the_muffling_where_the_last_is_zero)
{
    p.value[KEY_LOW_DIASTOLIC_MMHG] = 60;
    prepare("visit return");
    begin_reading();
    value("first", 150);
    value("last", 0);
    ck_assert_int_eq(sitting_alarm(&s, &p), ALARM_NONE);
    value("muffling", 124);
    ck_assert_int_eq(sitting_alarm(&s, &p), ALARM_HIGH);
}
END_TEST

START_TEST(acted_during_the_entry_holds_at_done_and_at_correct)
{
    prepare("visit return");
    begin_reading();
    value("first", 182);
    ok(100, "acted \"asked, no symptoms\"");
    value("last", 90);
    ok(100, "done");
    ck_assert_int_eq(s.severe_reading, 1);
    ck_assert(!s.is_severe_open);
    ok(100, "correct first 128 \"misread\"");
    ck_assert_int_eq(s.severe_reading, 0);
    ck_assert_int_eq(s.alarm_reading, 0);
    ok(100, "correct first 182 \"it was right\"");
    ck_assert_int_eq(s.severe_reading, 1);
    ck_assert(!s.is_severe_open);
}
END_TEST

START_TEST(an_answer_owed_for_an_earlier_reading_outlives_a_later_slip)
{
    prepare("visit return");
    read_pressure(182, 90);
    begin_reading();
    value("first", 190);
    value("first", 130);
    ck_assert_int_eq(s.alarm_reading, 1);
    ck_assert(s.is_severe_open);
}
END_TEST

START_TEST(acted_between_two_slips_answers_what_came_before)
{
    prepare("visit return");
    read_pressure(182, 90);
    begin_reading();
    value("first", 190);
    ok(100, "acted \"asked\"");
    value("first", 130);
    ck_assert(!s.is_severe_open);
}
END_TEST

START_TEST(a_very_high_value_then_interrupted_stays_owed)
{
    prepare("visit return");
    ok(60000, "inflate listen");
    PLAY("target 220", "value first 190", "interrupt \"the door\"", "empty");
    ck_assert(s.is_severe_open);
    ck_assert_int_eq(sitting_alarm(&s, &p), ALARM_HIGH);
    ck_assert(sitting_wants_repeat(&s, &p));
    ok(100, "acted \"asked\"");
    ck_assert(!s.is_severe_open);
}
END_TEST

START_TEST(symptoms_keep_the_alarm_and_ask_for_an_answer)
{
    prepare("visit return");
    begin_reading();
    value("first", 182);
    ok(100, "acted \"asked\"");
    ok(100, "symptoms present");
    ck_assert(s.is_severe_open);
    value("first", 128);
    ck_assert_int_eq(s.alarm_reading, 1);
    value("last", 80);
    ok(100, "done");
    read_pressure(128, 80);
    seal(RULE_SEVERE_OPEN);
    ok(100, "acted \"called for help\"");
    ok(100, "seal");
    ck_assert_uint_ne(sitting_remarks(&s, &p) & REMARK_SYMPTOMS, 0);
}
END_TEST

START_TEST(symptoms_are_asked_anew_for_each_reading)
{
    prepare("visit return");
    read_pressure(182, 90);
    ok(100, "symptoms present");
    read_pressure(184, 90);
    ck_assert_int_eq(s.symptoms, SYMPTOMS_NOT_ASKED);
    ck_assert(s.has_symptoms);
}
END_TEST

START_TEST(low_owes_nothing_without_symptoms_and_high_wins)
{
    p.value[KEY_LOW_SYSTOLIC_MMHG] = 90;
    p.value[KEY_LOW_DIASTOLIC_MMHG] = 60;
    prepare("visit return");
    begin_reading();
    value("first", 90);
    ck_assert_int_eq(sitting_alarm(&s, &p), ALARM_NONE);
    value("first", 88);
    ck_assert_int_eq(sitting_alarm(&s, &p), ALARM_LOW);
    ck_assert(!s.is_severe_open);
    ok(100, "symptoms present");
    ck_assert(s.is_severe_open);
    ok(100, "acted \"lay down\"");
    ck_assert(!s.is_severe_open);
    value("first", 182);
    value("last", 58);
    ck_assert_int_eq(sitting_alarm(&s, &p), ALARM_HIGH);
    ck_assert(s.is_severe_open);
}
END_TEST

START_TEST(a_very_high_value_wants_a_repeat_on_its_arm)
{
    prepare("visit first");
    read_pressure(182, 90);
    ck_assert(sitting_wants_repeat(&s, &p));
    ck_assert_int_eq(sitting_arm_to_read(&s, &p), ARM_LEFT);
    ck_assert_uint_ne(sitting_remarks(&s, &p) & REMARK_SEVERE_ALONE, 0);
    read_pressure(184, 90); /* very high as well: it is the repeat */
    ck_assert(!sitting_wants_repeat(&s, &p));
    ck_assert_int_eq(sitting_arm_to_read(&s, &p), ARM_RIGHT);
    ck_assert_uint_eq(sitting_remarks(&s, &p) & REMARK_SEVERE_ALONE, 0);
}
END_TEST

START_TEST(each_arm_repeats_its_own_very_high_value)
{
    prepare("visit first");
    read_pressure(182, 90);
    take_arm("right");
    palpate();
    read_pressure(128, 80);
    ck_assert(sitting_wants_repeat(&s, &p)); /* the other arm says nothing of this one */
    ck_assert_int_eq(sitting_arm_to_read(&s, &p), ARM_LEFT);
    read_pressure(182, 90);
    ck_assert_int_eq(sitting_arm_to_read(&s, &p), ARM_RIGHT); /* both stand alone: the arm in use first */
}
END_TEST

START_TEST(a_void_reading_repeats_nothing_and_symptoms_want_no_repeat)
{
    prepare("visit return");
    read_pressure(182, 90);
    read_pressure(80, 60); /* far below the pulse felt: void */
    ck_assert_uint_ne(s.readings[1].voids, 0);
    ck_assert(sitting_wants_repeat(&s, &p));
    ok(100, "symptoms present");
    ck_assert(!sitting_wants_repeat(&s, &p));
}
END_TEST

/* ---- arms ---- */

START_TEST(a_barred_arm_is_given_up_and_refused)
{
    struct missing first;
    prepare("visit first");
    read_pressure(128, 80);
    ok(100, "barred left \"a line\"");
    ck_assert_int_eq(s.arm, ARM_NONE);
    ck_assert_int_eq(s.wrapped, -1);
    ck_assert_int_eq(s.estimate, ESTIMATE_OPEN);
    ck_assert_int_eq(s.reading_count, 1);
    ck_assert_int_eq(sitting_arm_to_read(&s, &p), ARM_RIGHT);
    no(100, "arm left", RULE_ARM_BARRED);
    ok(100, "barred right \"a rash\"");
    ck_assert_int_eq(sitting_arm_to_read(&s, &p), ARM_NONE);
    no(100, "arm right", RULE_ARM_BARRED);
    ck_assert_int_ge(sitting_missing(&s, &p, now_ms, &first, 1), 1);
    ck_assert_str_eq(first.what, "arm");
    ok(100, "freed right \"the other one was meant\"");
    take_arm("right");
    palpate();
    read_pressure(128, 80);
    read_pressure(126, 80);
    seal(RULE_NONE); /* a barred arm lifts arms.few */
    ck_assert_uint_ne(sitting_remarks(&s, &p) & REMARK_ARM_BARRED, 0);
}
END_TEST

START_TEST(barred_waits_for_the_cuff_and_the_entry)
{
    prepare("visit first");
    ok(60000, "inflate listen");
    no(100, "barred left \"a rash\"", RULE_INFLATION_OPEN);
    ok(60000, "empty");
    no(100, "barred left \"a rash\"", RULE_READING_OPEN);
    no(100, "freed left \"none\"", RULE_READING_OPEN);
}
END_TEST

START_TEST(arms_far_apart_are_both_read_again)
{
    p.value[KEY_ARMS_REPEAT] = 1;
    prepare("visit first");
    read_pressure(140, 80);
    take_arm("right");
    palpate();
    read_pressure(126, 80);
    ck_assert_int_eq(sitting_readings_lack(&s, &p), RULE_ARMS_FEW);
    ck_assert_int_eq(sitting_arm_to_read(&s, &p), ARM_RIGHT);
    read_pressure(130, 80);
    ck_assert_int_eq(sitting_readings_lack(&s, &p), RULE_ARMS_FEW);
    ck_assert_int_eq(sitting_arm_to_read(&s, &p), ARM_LEFT);
    ck_assert_uint_ne(sitting_remarks(&s, &p) & REMARK_ARMS_DIFFER, 0);
    take_arm("left");
    palpate();
    read_pressure(136, 80); /* the second ones lie 6 apart */
    ck_assert_int_eq(sitting_readings_lack(&s, &p), RULE_NONE);
    ck_assert_uint_eq(sitting_remarks(&s, &p) & REMARK_ARMS_DIFFER, 0);
}
END_TEST

START_TEST(alone_below_needs_both_values_below_and_a_regular_pulse)
{
    static const struct {
        int first, last, needed;
        const char *pulse;
    } ROWS[] = {
        {128, 84, 1, "pulse regular 72"}, {130, 84, 2, "pulse regular 72"}, {128, 86, 2, "pulse regular 72"},
        {128, 84, 3, "pulse irregular 72"},
    };
    p.value[KEY_ALONE_BELOW_SYSTOLIC_MMHG] = 130;
    p.value[KEY_ALONE_BELOW_DIASTOLIC_MMHG] = 85;
    prepare("visit return");
    ok(100, ROWS[_i].pulse);
    ck_assert_int_gt(sitting_needed(&s, &p, ARM_LEFT), 1);
    read_pressure(ROWS[_i].first, ROWS[_i].last);
    ck_assert_int_eq(sitting_needed(&s, &p, ARM_LEFT), ROWS[_i].needed);
}
END_TEST

/* ---- standing ---- */

static void let_stand(void)
{
    p.value[KEY_STANDING_READINGS] = 2;
    p.value[KEY_INTERVAL_MIN_S] = 30;
}

/* A reading standing, begun so long after standing up. */
static void read_standing(int64_t after_ms, int first, int last)
{
    ok(s.stood_ms + after_ms - now_ms, "inflate listen");
    ok(30000, "empty");
    ok(100, "target 150");
    value("first", first);
    value("last", last);
    ok(100, "done");
}

static void lie_and_stand(void)
{
    prepare("visit return");
    no(100, "stand", RULE_STAND_BARRED);
    read_pressure(130, 80);
    read_pressure(130, 80);
    now_ms += 5000;
    ok(100, "stand");
}

START_TEST(stand_belongs_to_protocols_that_have_it)
{
    prepare("visit return");
    read_pressure(130, 80);
    read_pressure(130, 80);
    no(100, "stand", RULE_STAND_BARRED);
}
END_TEST

START_TEST(standing_readings_wait_their_time_to_the_millisecond)
{
    let_stand();
    lie_and_stand();
    no(100, "stand", RULE_STAND_BARRED);
    ck_assert_int_eq(sitting_standing_from_ms(&s, &p), s.stood_ms + 60000);
    no(s.stood_ms + 59999 - now_ms, "inflate listen", RULE_STANDING_EARLY);
    read_standing(60000, 110, 70);
    ck_assert(s.readings[2].is_standing);
    ck_assert_int_eq(s.readings[2].stood_for_ms, 60000);
    ck_assert_uint_eq(s.readings[2].voids | s.readings[2].notes, 0); /* 110 lies far below what was felt lying */
    no(s.stood_ms + 179999 - now_ms, "inflate listen", RULE_STANDING_EARLY);
    read_standing(240001, 120, 76);
    ck_assert_uint_eq(s.readings[3].notes, NOTE_STANDING_LATE | NOTE_INTERVAL_LONG);
    ck_assert_int_eq(sitting_standing_from_ms(&s, &p), 0);
    ck_assert_int_eq(sitting_counted(&s, ARM_LEFT), 2);
    ck_assert_int_eq(sitting_standing_counted(&s), 2);
    seal(RULE_NONE);
}
END_TEST

START_TEST(a_reading_standing_says_so_first_on_its_line)
{
    char line[400];
    let_stand();
    lie_and_stand();
    read_standing(60000, 110, 70);
    read_standing(240001, 120, 76);
    store_reading_line(&s, 1, line, sizeof line);
    ck_assert_str_eq(line, "2\tleft\t130\t-\t80\tcounted\t-\ttarget.high");
    store_reading_line(&s, 2, line, sizeof line);
    ck_assert_str_eq(line, "3\tleft\t110\t-\t70\tcounted\t-\tstanding");
    store_reading_line(&s, 3, line, sizeof line);
    ck_assert_str_eq(line, "4\tleft\t120\t-\t76\tcounted\t-\tstanding,interval.long,standing.late");
}
END_TEST

START_TEST(a_fall_of_the_limit_itself_is_noted)
{
    static const struct {
        int first, last;
        bool is_noted;
        int32_t systolic, diastolic;
    } ROWS[] = {{110, 80, true, 2000, 0},   {112, 80, false, 1800, 0},     {130, 70, true, 0, 1000},
                {130, 72, false, 0, 800},   {140, 86, false, -1000, -600}};
    int32_t systolic = 7, diastolic = 7;
    let_stand();
    lie_and_stand();
    ck_assert(!sitting_drop_x100(&s, &p, &systolic, &diastolic));
    ck_assert_int_eq(systolic, 7);
    read_standing(60000, ROWS[_i].first, ROWS[_i].last);
    ck_assert(sitting_drop_x100(&s, &p, &systolic, &diastolic));
    ck_assert_int_eq(systolic, ROWS[_i].systolic);
    ck_assert_int_eq(diastolic, ROWS[_i].diastolic);
    ck_assert_int_eq((sitting_remarks(&s, &p) & REMARK_STANDING_DROP) != 0, ROWS[_i].is_noted);
}
END_TEST

START_TEST(standing_is_owed_at_seal_and_again_after_lying_down)
{
    let_stand();
    lie_and_stand();
    read_standing(60000, 128, 80);
    read_standing(180000, 128, 80);
    ok(100, "moved \"sat down\"");
    ck_assert(!s.is_standing);
    ck_assert_int_eq(sitting_standing_counted(&s), 2); /* lying again takes nothing back */
    rest();
    ok(100, "stand");
    ck_assert_int_eq(sitting_standing_counted(&s), 0);
    ck_assert_int_eq(s.reading_count, 4);
    seal(RULE_STANDING_FEW);
}
END_TEST

START_TEST(standing_closes_at_the_maximum_with_a_remark)
{
    let_stand();
    p.value[KEY_READINGS_MAX] = 3;
    lie_and_stand();
    for (int i = 0; i < 3; i++) {
        ok(60000, "inflate listen");
        ok(100, "interrupt \"spoke\"");
        ok(100, "empty");
        ck_assert_int_eq((sitting_remarks(&s, &p) & REMARK_READINGS_UNSETTLED) != 0, i == 2);
    }
    seal(RULE_NONE);
}
END_TEST

START_TEST(standing_few_may_be_passed_over_where_the_protocol_says_so)
{
    let_stand();
    p.is_waivable[RULE_STANDING_FEW] = true;
    lie_and_stand();
    ok(100, "waive standing.few \"faint\"");
    seal(RULE_NONE);
}
END_TEST

START_TEST(standing_ends_with_the_arm_and_with_a_new_rest)
{
    let_stand();
    lie_and_stand();
    ok(100, "interrupt \"spoke\"");
    ck_assert(s.is_standing);
    ok(100, "arm left");
    ck_assert(s.is_standing);
    ok(100, "arm right");
    ck_assert(!s.is_standing);
    ck_assert_int_eq(s.stood_ms, 0);
}
END_TEST

START_TEST(a_stale_rest_begun_anew_ends_standing)
{
    let_stand();
    lie_and_stand();
    ok((p.value[KEY_REST_VALID_S] + 1) * 1000, "note \"waited\"");
    no(0, "inflate listen", RULE_REST_STALE);
    ok(0, "rest begin");
    ck_assert(!s.is_standing);
}
END_TEST

/* ---- gaps, bladders, zero ---- */

START_TEST(gap_is_answered_until_done)
{
    prepare("visit return");
    no(100, "gap heard", RULE_READING_NONE);
    begin_reading();
    ok(100, "gap heard");
    ck_assert_uint_ne(s.readings[0].notes & NOTE_GAP_HEARD, 0);
    ok(100, "gap none");
    ck_assert_uint_eq(s.readings[0].notes & NOTE_GAP_HEARD, 0);
    value("first", 130);
    value("last", 80);
    ok(100, "done");
    ck_assert_uint_eq(s.readings[0].notes & NOTE_GAP_HEARD, 0);
    no(100, "gap heard", RULE_READING_NONE);
    begin_reading();
    ok(100, "gap none");
    value("first", 130);
    value("silent", 120);
    value("return", 110);
    value("last", 80);
    ok(100, "done");
    ck_assert_uint_ne(s.readings[1].notes & NOTE_GAP_HEARD, 0); /* the values say so */
}
END_TEST

START_TEST(bladder_is_remarked_by_width_and_length)
{
    static const struct {
        const char *bladder;
        unsigned notes;
    } ROWS[] = {{"bladder adult 120 240", 0},
                {"bladder adult 119 240", CUFF_NOTE_NARROW},
                {"bladder adult 120 239", CUFF_NOTE_SHORT},
                {"bladder adult 100 200", CUFF_NOTE_NARROW | CUFF_NOTE_SHORT}};
    open_sitting("visit return");
    take_arm("left");
    ck_assert_uint_eq(sitting_cuff_notes(&s, &p), 0);
    ok(100, ROWS[_i].bladder);
    ck_assert_uint_eq(sitting_cuff_notes(&s, &p), ROWS[_i].notes);
    ck_assert_int_eq((sitting_remarks(&s, &p) & REMARK_BLADDER_SMALL) != 0, ROWS[_i].notes != 0);
    ok(100, "circumference 280");
    ck_assert_uint_eq(sitting_cuff_notes(&s, &p), 0); /* none is on */
    ck_assert_int_eq((sitting_remarks(&s, &p) & REMARK_BLADDER_SMALL) != 0, ROWS[_i].notes != 0);
    ok(100, "cuff adult 261 401");
    ck_assert_uint_eq(sitting_remarks(&s, &p) & REMARK_BLADDER_SMALL, 0); /* another range, another bladder */
}
END_TEST

START_TEST(bladder_must_be_possible)
{
    open_sitting("visit return");
    no(100, "bladder large 120 240", RULE_CUFF_UNKNOWN);
    no(100, "bladder adult 29 240", RULE_VALUE_RANGE);
    no(100, "bladder adult 120 701", RULE_VALUE_RANGE);
    no(100, "bladder adult 240 240", RULE_VALUE_ORDER);
    no(100, "bladder adult 120 401", RULE_VALUE_ORDER);
    ok(100, "bladder adult 120 400");
}
END_TEST

START_TEST(a_gap_between_ranges_is_remarked_as_it_was_when_the_cuff_went_on)
{
    p.value[KEY_CUFF_GAP_MM] = 10;
    open_sitting("visit return");
    ok(100, "cuff adult 270 400");
    ok(100, "arm left");
    confirm(STEP_ARM);
    ok(100, "circumference 265");
    no(100, "wrap small", RULE_CUFF_TOO_SMALL);
    ok(100, "wrap adult");
    ck_assert_uint_eq(sitting_cuff_notes(&s, &p), CUFF_NOTE_GAP);
    ok(100, "cuff between 260 268");
    ck_assert_uint_eq(sitting_remarks(&s, &p) & REMARK_CUFF_GAP, REMARK_CUFF_GAP);
    no(100, "wrap adult", RULE_CUFF_TOO_LARGE);
}
END_TEST

START_TEST(a_gauge_off_zero_fails_at_the_squeeze)
{
    p.value[KEY_ZERO_MAX_MMHG] = 2;
    prepare("visit return");
    ok(100, "check zero 2 20310301");
    ok(60000, "inflate palpate");
    ok(100, "empty");
    ok(100, "check zero 3 20310302");
    no(100, "inflate palpate", RULE_KIT_FAILED);
    ok(100, "check leak 0 20310302");
    no(100, "inflate palpate", RULE_KIT_FAILED); /* another check does not answer for zero */
    ok(100, "check zero 0 20310302");
    ok(100, "inflate palpate");
}
END_TEST

int main(void)
{
    Suite *suite = suite_create("sitting_new");
    TCase *t = tcase_create("sitting_new");
    suite_add_tcase(suite, t);
    tcase_add_checked_fixture(t, load, NULL);
    tcase_add_test(t, alarm_follows_the_value_and_goes_with_it);
    tcase_add_test(t, alarm_waits_for_the_muffling_where_the_last_is_zero);
    tcase_add_test(t, acted_during_the_entry_holds_at_done_and_at_correct);
    tcase_add_test(t, an_answer_owed_for_an_earlier_reading_outlives_a_later_slip);
    tcase_add_test(t, acted_between_two_slips_answers_what_came_before);
    tcase_add_test(t, a_very_high_value_then_interrupted_stays_owed);
    tcase_add_test(t, symptoms_keep_the_alarm_and_ask_for_an_answer);
    tcase_add_test(t, symptoms_are_asked_anew_for_each_reading);
    tcase_add_test(t, low_owes_nothing_without_symptoms_and_high_wins);
    tcase_add_test(t, a_very_high_value_wants_a_repeat_on_its_arm);
    tcase_add_test(t, each_arm_repeats_its_own_very_high_value);
    tcase_add_test(t, a_void_reading_repeats_nothing_and_symptoms_want_no_repeat);
    tcase_add_test(t, a_barred_arm_is_given_up_and_refused);
    tcase_add_test(t, barred_waits_for_the_cuff_and_the_entry);
    tcase_add_test(t, arms_far_apart_are_both_read_again);
    tcase_add_loop_test(t, alone_below_needs_both_values_below_and_a_regular_pulse, 0, 4);
    tcase_add_test(t, stand_belongs_to_protocols_that_have_it);
    tcase_add_test(t, standing_readings_wait_their_time_to_the_millisecond);
    tcase_add_test(t, a_reading_standing_says_so_first_on_its_line);
    tcase_add_loop_test(t, a_fall_of_the_limit_itself_is_noted, 0, 5);
    tcase_add_test(t, standing_is_owed_at_seal_and_again_after_lying_down);
    tcase_add_test(t, standing_closes_at_the_maximum_with_a_remark);
    tcase_add_test(t, standing_few_may_be_passed_over_where_the_protocol_says_so);
    tcase_add_test(t, standing_ends_with_the_arm_and_with_a_new_rest);
    tcase_add_test(t, a_stale_rest_begun_anew_ends_standing);
    tcase_add_test(t, gap_is_answered_until_done);
    tcase_add_loop_test(t, bladder_is_remarked_by_width_and_length, 0, 4);
    tcase_add_test(t, bladder_must_be_possible);
    tcase_add_test(t, a_gap_between_ranges_is_remarked_as_it_was_when_the_cuff_went_on);
    tcase_add_test(t, a_gauge_off_zero_fails_at_the_squeeze);
    SRunner *runner = srunner_create(suite);
    srunner_run_all(runner, CK_NORMAL);
    int failed = srunner_ntests_failed(runner);
    srunner_free(runner);
    return failed == 0 ? EXIT_SUCCESS : EXIT_FAILURE;
}
