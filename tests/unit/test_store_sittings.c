/* SPDX-License-Identifier: GPL-3.0-or-later */
/** @file test_store_sittings.c  A sitting as it is written and read back. */
#include "fault/store_hand.h"

static struct err e;

/** One of each kind, in a form that a real sitting could hold. */
static const char *const LINES[] = {
    "0.000 protocol us-adult",
    "0.000 date \"2031-03-02T14:04:10+01:00\"",
    "0.001 measurer ana",
    "0.002 subject k7-031",
    "0.003 visit return",
    "0.004 prior-arm left",
    "0.005 purpose service",
    "0.006 place \"booth 2, \\\"upstairs\\\" \\\\ caf\xc3\xa9\"",
    "0.007 help full",
    "1.000 gauge dial-1 300 20310301",
    "1.001 check leak 2 20310301",
    "1.002 cuff adult 260 340",
    "1.003 bladder adult 160 300",
    "1.004 check zero 1 20310301",
    "1.005 barred right \"a rash\"",
    "1.006 freed right \"the other one\"",
    "1.007 recent meal \"an hour ago\"",
    "2.000 arm left",
    "2.001 confirm arm.bare",
    "2.002 reopen arm.bare \"sleeve slid down\"",
    "2.003 waive kit.overdue \"the only one here\"",
    "3.000 circumference 310",
    "3.001 wrap adult",
    "4.000 rest begin",
    "5.000 pulse regular 72",
    "6.000 inflate palpate",
    "7.000 empty",
    "7.001 palpate gone 130",
    "7.002 nopulse",
    "7.003 usual 130",
    "8.000 target 160",
    "8.001 mark first",
    "8.002 value last 0",
    "8.003 listener ben",
    "8.004 pair last 80",
    "8.005 void \"the tube slid off\"",
    "8.006 done",
    "8.007 correct first 128 \"typed wrong\"",
    "9.000 noise \"a door\"",
    "9.001 interrupt \"a question\"",
    "9.002 moved \"stood up\"",
    "9.003 told",
    "9.004 acted \"called the pharmacist\"",
    "9.005 note \"all good\"",
    "9.006 resume -5",
    "9.007 stand",
    "9.008 symptoms none",
    "9.009 gap heard",
    "9.010 witness ina",
    "9.011 lapse legs \"crossed\"",
    "9.012 unseen talking",
    "9.013 strike 1 \"a slip\"",
    "999999999.998 stop \"had to go\"",
};
#define LINE_COUNT ((int32_t)ARRAY_LEN(LINES))

struct seen {
    int32_t count;
    int32_t stop_after;
};

static bool compare_line(void *user, int32_t seq, const struct event *ev)
{
    struct seen *seen = user;
    char printed[EVENT_LINE_CAP];
    event_print(ev, printed);
    ck_assert_int_eq(seq, ++seen->count);
    ck_assert_str_eq(printed, LINES[seq - 1]);
    return seen->count != seen->stop_after;
}

static int64_t write_all_lines(struct store *st)
{
    struct sitting s = hand_state();
    int64_t id = hand_begin(st, &s);
    s.date = 20310302;
    for (int32_t i = 1; i < LINE_COUNT; i++)
        OK(hand_append(st, id, i + 1, LINES[i], &s, &e));
    return id;
}

START_TEST(events_come_back_as_they_were_whatever_the_kind)
{
    struct store *st = hand_open(STORE_WRITE);
    int64_t id = write_all_lines(st);
    struct seen seen = {0};
    bool has_kind[EV_COUNT] = {[EV_SEAL] = true};
    for (int32_t i = 0; i < LINE_COUNT; i++)
        has_kind[hand_event(LINES[i]).kind] = true;
    for (int k = 0; k < EV_COUNT; k++)
        ck_assert_msg(has_kind[k], "no line of kind %s", event_form((enum event_kind)k)->word);
    OK(store_events(st, id, compare_line, &seen, &e));
    ck_assert_int_eq(seen.count, LINE_COUNT);
    OK(store_check(st, &e));
    store_close(st);
    st = hand_open(STORE_READ); /* and in a connection that has seen nothing */
    seen.count = 0;
    OK(store_events(st, id, compare_line, &seen, &e));
    ck_assert_int_eq(seen.count, LINE_COUNT);
    store_close(st);
}
END_TEST

START_TEST(events_stop_when_the_caller_has_enough)
{
    struct store *st = hand_open(STORE_WRITE);
    int64_t id = write_all_lines(st);
    struct seen seen = {.stop_after = 3};
    OK(store_events(st, id, compare_line, &seen, &e));
    ck_assert_int_eq(seen.count, 3);
    store_close(st);
}
END_TEST

START_TEST(events_of_the_longest_text_come_back_whole)
{
    struct store *st = hand_open(STORE_WRITE);
    struct sitting s = hand_state();
    int64_t id = hand_begin(st, &s);
    struct event note = {.t_ms = 5, .kind = EV_NOTE};
    for (int i = 0; i < EVENT_TEXT_MAX; i++)
        memcpy(note.text + 4 * i, "\xf0\x9f\xa9\xba", 4);
    OK(store_append(st, id, 2, &note, &s, &HAND_MOMENT, &e));
    ck_assert_int_eq(hand_number("SELECT length(text) FROM events WHERE seq = 2"), EVENT_TEXT_MAX);
    store_close(st);
}
END_TEST

START_TEST(head_holds_what_the_sitting_said)
{
    struct store *st = hand_open(STORE_WRITE);
    int64_t id = write_all_lines(st);
    struct sitting_head h;
    OK(store_sitting_get(st, id, &h, &e));
    ck_assert_int_eq(h.id, 1);
    ck_assert_str_eq(h.subject, "k7-031");
    ck_assert_str_eq(h.measurer, "ana");
    ck_assert_str_eq(h.protocol, "us-adult");
    ck_assert_str_eq(h.opened, "2031-03-02T14:04:10+01:00");
    ck_assert_int_eq(h.day, 20310302);
    ck_assert_int_eq(h.phase, PHASE_STOPPED);
    ck_assert_int_eq(h.event_count, LINE_COUNT);
    ck_assert_int_eq(h.last_ms, INT64_C(999999999998));
    ck_assert_int_eq(h.last_unix_ms, HAND_MOMENT.unix_ms);
    ck_assert_int_eq(h.last_boot_ms, HAND_MOMENT.boot_ms);
    ck_assert_str_eq(h.boot, HAND_MOMENT.boot);
    store_close(st);
}
END_TEST

START_TEST(sitting_that_is_not_there_is_said_so_by_all)
{
    struct store *st = hand_open(STORE_WRITE);
    struct sitting_head h;
    struct sitting s = hand_state();
    struct event ev = hand_event("1.000 told");
    struct refusal why = {.rule = RULE_STEP_NEEDS};
    struct seen seen = {0};
    char *text;
    ck_assert_int_eq(store_sitting_get(st, 7, &h, &e), ST_NOT_FOUND);
    ck_assert_ptr_nonnull(strstr(e.text, "S-007"));
    ck_assert_int_eq(store_sitting_open_latest(st, &h, &e), ST_NOT_FOUND);
    ck_assert_int_eq(store_events(st, 7, compare_line, &seen, &e), ST_NOT_FOUND);
    ck_assert_int_eq(store_protocol_text(st, 7, &text, &e), ST_NOT_FOUND);
    ck_assert_ptr_null(text);
    ck_assert_int_eq(store_append(st, 7, 1, &ev, &s, &HAND_MOMENT, &e), ST_NOT_FOUND);
    ck_assert_int_eq(store_attempt(st, 7, &ev, &why, &HAND_MOMENT, &e), ST_NOT_FOUND);
    store_close(st);
}
END_TEST

START_TEST(begin_keeps_the_protocol_text_once)
{
    struct store *st = hand_open(STORE_WRITE);
    struct sitting s = hand_state();
    struct event first = hand_event("0.000 protocol us-adult");
    int64_t id;
    char *text;
    hand_begin(st, &s);
    hand_begin(st, &s);
    ck_assert_int_eq(hand_number("SELECT count(*) FROM protocol_texts"), 1);
    OK(store_sitting_begin(st, "another \xc3\xa9 text\n", &first, &s, &HAND_MOMENT, &id, &e));
    ck_assert_int_eq(id, 3);
    ck_assert_int_eq(hand_number("SELECT count(*) FROM protocol_texts"), 2);
    OK(store_protocol_text(st, 3, &text, &e));
    ck_assert_str_eq(text, "another \xc3\xa9 text\n");
    free(text);
    store_close(st);
}
END_TEST

START_TEST(begin_refuses_another_first_event)
{
    struct store *st = hand_open(STORE_WRITE);
    struct sitting s = hand_state();
    struct event ev = hand_event("0.000 told");
    int64_t id = 99;
    ck_assert_int_eq(store_sitting_begin(st, "x", &ev, &s, &HAND_MOMENT, &id, &e), ST_SYNTAX);
    ck_assert_int_eq(id, 99);
    ck_assert_int_eq(hand_number("SELECT count(*) FROM sittings"), 0);
    store_close(st);
}
END_TEST

START_TEST(append_refuses_an_event_that_is_not_well_formed)
{
    struct store *st = hand_open(STORE_WRITE);
    struct sitting s = hand_state();
    int64_t id = hand_begin(st, &s);
    struct event ev = hand_event("1.000 note \"x\"");
    snprintf(ev.text, sizeof ev.text, "a\nb");
    ck_assert_int_eq(store_append(st, id, 2, &ev, &s, &HAND_MOMENT, &e), ST_SYNTAX);
    ck_assert_int_eq(hand_number("SELECT count(*) FROM events"), 1);
    store_close(st);
}
END_TEST

START_TEST(append_of_a_number_that_is_taken_is_a_conflict)
{
    struct store *st = hand_open(STORE_WRITE), *other = hand_open(STORE_WRITE);
    struct sitting s = hand_state();
    int64_t id = hand_begin(st, &s);
    OK(hand_append(st, id, 2, "1.000 note \"mine\"", &s, &e));
    ck_assert_int_eq(hand_append(other, id, 2, "1.000 note \"other\"", &s, &e), ST_CONFLICT);
    ck_assert_ptr_nonnull(strstr(e.text, "S-001"));
    OK(hand_append(other, id, 3, "2.000 note \"other\"", &s, &e));
    ck_assert_int_eq(hand_append(st, id, 3, "2.000 note \"mine\"", &s, &e), ST_CONFLICT);
    OK(store_check(st, &e));
    store_close(st);
    store_close(other);
}
END_TEST

START_TEST(append_never_leaves_a_gap)
{
    struct store *st = hand_open(STORE_WRITE);
    struct sitting s = hand_state();
    int64_t id = hand_begin(st, &s);
    ck_assert_int_eq(hand_append(st, id, 3, "1.000 note \"x\"", &s, &e), ST_RANGE);
    ck_assert_int_eq(hand_append(st, id, 0, "1.000 note \"x\"", &s, &e), ST_CONFLICT);
    ck_assert_int_eq(hand_number("SELECT count(*) FROM events"), 1);
    store_close(st);
}
END_TEST

START_TEST(append_after_the_end_is_a_conflict)
{
    static const char *const ENDS[] = {"1.000 seal", "1.000 stop \"had to go\""};
    struct store *st = hand_open(STORE_WRITE);
    struct sitting s = hand_state();
    int64_t id = hand_begin(st, &s);
    OK(hand_append(st, id, 2, ENDS[_i], &s, &e));
    s.phase = PHASE_OPEN;
    ck_assert_int_eq(hand_append(st, id, 3, "2.000 note \"late\"", &s, &e), ST_CONFLICT);
    OK(store_check(st, &e));
    store_close(st);
}
END_TEST

START_TEST(append_that_fails_leaves_everything_as_it_was)
{
    struct store *st = hand_open(STORE_WRITE);
    struct sitting s = hand_state(), bad;
    struct sitting_head before, after;
    int64_t id = hand_begin(st, &s);
    OK(store_sitting_get(st, id, &before, &e));
    bad = s;
    hand_reading(&bad, ARM_LEFT, 400, 80); /* the readings' table refuses it, after the event was written */
    ck_assert_int_eq(hand_append(st, id, 2, "1.000 done", &bad, &e), ST_CORRUPT);
    OK(store_sitting_get(st, id, &after, &e));
    ck_assert_int_eq(before.event_count, after.event_count);
    ck_assert_int_eq(hand_number("SELECT count(*) FROM events"), 1);
    OK(hand_append(st, id, 2, "1.000 done", &s, &e));
    store_close(st);
}
END_TEST

START_TEST(two_connections_write_two_sittings_in_turns)
{
    struct store *a = hand_open(STORE_WRITE), *b = hand_open(STORE_WRITE);
    struct sitting sa = hand_state(), sb = hand_state();
    int64_t ida = hand_begin(a, &sa), idb = hand_begin(b, &sb);
    ck_assert_int_ne(ida, idb);
    for (int32_t seq = 2; seq < 30; seq++) {
        OK(hand_append(a, ida, seq, "1.000 note \"a\"", &sa, &e));
        OK(hand_append(b, idb, seq, "1.000 note \"b\"", &sb, &e));
    }
    OK(store_check(a, &e));
    store_close(a);
    store_close(b);
}
END_TEST

START_TEST(two_processes_write_two_sittings_at_once)
{
    enum { EACH = 60 };
    pid_t children[2];
    store_close(hand_open(STORE_WRITE));
    for (int i = 0; i < 2; i++) {
        children[i] = fork();
        if (children[i] == 0) {
            struct store *st;
            struct sitting s = hand_state();
            if (store_open(hand_path, STORE_WRITE, &st, &e) != ST_OK)
                _exit(1);
            int64_t id = hand_begin(st, &s);
            for (int32_t seq = 2; seq <= EACH; seq++)
                if (hand_append(st, id, seq, "1.000 note \"x\"", &s, &e) != ST_OK)
                    _exit(2);
            store_close(st);
            _exit(0);
        }
    }
    for (int i = 0; i < 2; i++)
        ck_assert_int_eq(hand_wait(children[i]), 0);
    ck_assert_int_eq(hand_number("SELECT count(*) FROM events"), 2 * EACH);
    struct store *st = hand_open(STORE_READ);
    OK(store_check(st, &e));
    store_close(st);
}
END_TEST

START_TEST(open_latest_is_the_one_written_to_last)
{
    struct store *st = hand_open(STORE_WRITE);
    struct sitting one = hand_state(), two = hand_state();
    struct sitting_head h;
    int64_t first = hand_begin(st, &one), second = hand_begin(st, &two);
    OK(store_sitting_open_latest(st, &h, &e));
    ck_assert_int_eq(h.id, second);
    struct event ev = hand_event("1.000 note \"x\"");
    struct moment day_before = HAND_MOMENT; /* a wall clock set back does not mislead it */
    day_before.unix_ms -= 86400000;
    OK(store_append(st, first, 2, &ev, &one, &day_before, &e));
    OK(store_sitting_open_latest(st, &h, &e));
    ck_assert_int_eq(h.id, first);
    OK(hand_append(st, first, 3, "2.000 stop \"x\"", &one, &e));
    OK(store_sitting_open_latest(st, &h, &e));
    ck_assert_int_eq(h.id, second);
    OK(hand_append(st, second, 2, "2.000 seal", &two, &e));
    ck_assert_int_eq(store_sitting_open_latest(st, &h, &e), ST_NOT_FOUND);
    store_close(st);
}
END_TEST

START_TEST(day_counts_tell_open_sealed_and_stopped_apart)
{
    static const char *const ENDS[] = {"1.000 seal", "1.000 seal", "1.000 stop \"x\"", "1.000 note \"x\""};
    struct store *st = hand_open(STORE_WRITE);
    struct day_counts n;
    for (size_t i = 0; i < ARRAY_LEN(ENDS); i++) {
        struct sitting s = hand_state();
        int64_t id = hand_begin(st, &s);
        s.date = 20310302;
        OK(hand_append(st, id, 2, ENDS[i], &s, &e));
    }
    OK(store_day_counts(st, 20310302, &n, &e));
    ck_assert(n.open == 1 && n.sealed == 2 && n.stopped == 1);
    OK(store_day_counts(st, 20310303, &n, &e));
    ck_assert(n.open == 0 && n.sealed == 0 && n.stopped == 0);
    store_close(st);
}
END_TEST

static bool note_head(void *user, const struct sitting_head *h)
{
    int64_t *ids = user;
    ids[++ids[0]] = h->id;
    return ids[0] < 3;
}

START_TEST(sittings_are_listed_newest_first)
{
    struct store *st = hand_open(STORE_WRITE);
    int64_t ids[4] = {0};
    for (int i = 0; i < 4; i++) {
        struct sitting s = hand_state();
        hand_begin(st, &s);
    }
    OK(store_sittings(st, note_head, ids, &e));
    ck_assert_int_eq(ids[0], 3); /* the caller had enough */
    ck_assert_int_eq(ids[1], 4);
    ck_assert_int_eq(ids[3], 2);
    store_close(st);
}
END_TEST

struct kept {
    int count;
    struct attempt last;
};

static bool keep_attempt(void *user, const struct attempt *a)
{
    struct kept *kept = user;
    kept->count++;
    kept->last = *a;
    return true;
}

START_TEST(attempt_is_kept_apart_from_the_events)
{
    struct store *st = hand_open(STORE_WRITE);
    struct sitting s = hand_state();
    struct sitting_head h;
    struct kept kept = {0};
    int64_t id = hand_begin(st, &s);
    struct event ev = hand_event("299.999 rest end");
    struct refusal why = {.rule = RULE_REST_SHORT, .have = "299.999 s", .need = "300.000 s"};
    OK(store_attempt(st, id, &ev, &why, &HAND_MOMENT, &e));
    OK(store_attempts(st, id, keep_attempt, &kept, &e));
    ck_assert_int_eq(kept.count, 1);
    ck_assert_int_eq(kept.last.t_ms, 299999);
    ck_assert_str_eq(kept.last.line, "299.999 rest end");
    ck_assert_str_eq(kept.last.rule, "rest.short");
    ck_assert_str_eq(kept.last.have, "299.999 s");
    ck_assert_str_eq(kept.last.need, "300.000 s");
    ck_assert(!kept.last.is_slip);
    OK(store_sitting_get(st, id, &h, &e));
    ck_assert_int_eq(h.attempt_count, 1);
    ck_assert_int_eq(h.event_count, 1);
    OK(store_check(st, &e));
    store_close(st);
}
END_TEST

START_TEST(attempt_marks_slips_of_the_hand)
{
    static const enum rule RULES[] = {RULE_VALUE_ODD, RULE_VALUE_RANGE, RULE_VALUE_ORDER, RULE_READINGS_FEW};
    struct store *st = hand_open(STORE_WRITE);
    struct sitting s = hand_state();
    struct kept kept = {0};
    int64_t id = hand_begin(st, &s);
    struct event ev = hand_event("1.000 value first 131");
    struct refusal why = {.rule = RULES[_i]};
    OK(store_attempt(st, id, &ev, &why, &HAND_MOMENT, &e));
    OK(store_attempts(st, id, keep_attempt, &kept, &e));
    ck_assert_int_eq(kept.last.is_slip, _i < 3);
    store_close(st);
}
END_TEST

struct lines {
    int count;
    char line[8][400];
};

static bool keep_line(void *user, const struct stored_reading *r)
{
    struct lines *lines = user;
    snprintf(lines->line[lines->count++], sizeof lines->line[0], "%s", r->line);
    return true;
}

START_TEST(reading_line_says_what_replay_says)
{
    struct sitting s = hand_state();
    char line[400];
    hand_reading(&s, ARM_LEFT, 130, 80);
    store_reading_line(&s, 0, line, sizeof line);
    ck_assert_str_eq(line, "1\tleft\t130\t-\t80\tcounted\t-\t-");
    struct reading *r = hand_reading(&s, ARM_RIGHT, 142, 0);
    r->has_value[POINT_MUFFLING] = 1;
    r->value_mmhg[POINT_MUFFLING] = 66;
    r->voids = VOID_TARGET_LOW | VOID_RELEASE_FAST;
    r->notes = NOTE_RELEASE_QUICK | NOTE_CORRECTED;
    store_reading_line(&s, 1, line, sizeof line);
    ck_assert_str_eq(line,
                     "2\tright\t142\t66\t0\tvoid\ttarget.low,release.fast\trelease.quick,corrected");
    r->voids = 0;
    r->is_entered = r->is_standing = 1;
    store_reading_line(&s, 1, line, sizeof line);
    ck_assert_str_eq(line, "2\tright\t142\t66\t0\tcounted\t-\tstanding,release.quick,corrected");
}
END_TEST

START_TEST(reading_with_every_reason_and_remark_is_kept_whole)
{
    struct store *st = hand_open(STORE_WRITE);
    struct sitting s = hand_state();
    struct lines lines = {.count = 0};
    char line[400];
    int64_t id = hand_begin(st, &s);
    struct reading *r = hand_reading(&s, ARM_RIGHT, 142, 80);
    r->is_standing = 1;
    r->voids = (UINT32_C(1) << VOID_REASON_COUNT) - 1;
    r->notes = (UINT32_C(1) << READING_REMARK_COUNT) - 1;
    OK(hand_append(st, id, 2, "1.000 note \"x\"", &s, &e));
    store_reading_line(&s, 0, line, sizeof line);
    OK(store_readings(st, id, keep_line, &lines, &e));
    ck_assert_int_eq(lines.count, 1);
    ck_assert_str_eq(lines.line[0], line);
    ck_assert_ptr_nonnull(strstr(line, READING_REMARK_WORDS[READING_REMARK_COUNT - 1]));
    store_close(st);
}
END_TEST

START_TEST(readings_follow_the_state_with_each_event)
{
    struct store *st = hand_open(STORE_WRITE);
    struct sitting s = hand_state();
    struct sitting_head h;
    struct lines lines = {0};
    char want[400];
    int64_t id = hand_begin(st, &s);
    hand_reading(&s, ARM_LEFT, 130, 80);
    OK(hand_append(st, id, 2, "1.000 done", &s, &e));
    struct reading *r = hand_reading(&s, ARM_LEFT, 128, 78);
    r->is_done = r->is_entered = 0; /* still listening: no line yet */
    OK(hand_append(st, id, 3, "2.000 inflate listen", &s, &e));
    OK(store_sitting_get(st, id, &h, &e));
    ck_assert_int_eq(h.reading_count, 1);
    *r = (struct reading){.arm = ARM_LEFT, .is_done = 1, .voids = VOID_INTERRUPTED}; /* void before any entry */
    OK(hand_append(st, id, 4, "3.000 interrupt \"x\"", &s, &e));
    s.readings[0].notes |= NOTE_CORRECTED;
    s.readings[0].value_mmhg[POINT_FIRST] = 132;
    OK(hand_append(st, id, 5, "4.000 correct first 132 \"x\"", &s, &e));
    OK(store_readings(st, id, keep_line, &lines, &e));
    ck_assert_int_eq(lines.count, 2);
    for (int i = 0; i < 2; i++) {
        store_reading_line(&s, i, want, sizeof want);
        ck_assert_str_eq(lines.line[i], want);
    }
    ck_assert_str_eq(lines.line[1], "2\tleft\t-\t-\t-\tvoid\tinterrupted\t-");
    OK(store_sitting_get(st, id, &h, &e));
    ck_assert_int_eq(h.reading_count, 2);
    ck_assert_int_eq(h.counted_count, 1);
    OK(store_check(st, &e));
    store_close(st);
}
END_TEST

START_TEST(events_changed_from_outside_are_told_and_not_handed_on)
{
    struct store *st = hand_open(STORE_WRITE);
    struct sitting s = hand_state();
    struct seen seen = {.count = 0};
    int64_t id = hand_begin(st, &s);
    OK(hand_append(st, id, 2, "1.000 note \"x\"", &s, &e));
    store_close(st);
    hand_spoil("UPDATE events SET text = 'x' || char(27) || '[2J' WHERE seq = 2");
    st = hand_open(STORE_READ);
    ck_assert_int_eq(store_events(st, id, compare_line, &seen, &e), ST_CORRUPT);
    ck_assert_int_eq(seen.count, 1);
    store_close(st);
}
END_TEST

struct nested {
    struct store *st;
    int outer, inner;
};

static bool count_inner(void *user, const struct stored_reading *r)
{
    (void)r;
    ((struct nested *)user)->inner++;
    return true;
}

static bool read_again(void *user, const struct stored_reading *r)
{
    struct nested *n = user;
    ck_assert_int_eq(r->n, ++n->outer);
    OK(store_readings(n->st, 1, count_inner, n, &e));
    return true;
}

START_TEST(readings_can_be_read_while_they_are_read)
{
    struct store *st = hand_open(STORE_WRITE);
    struct sitting s = hand_state();
    struct nested n = {.st = st};
    const int64_t id = hand_begin(st, &s);
    hand_reading(&s, ARM_LEFT, 130, 80);
    hand_reading(&s, ARM_LEFT, 128, 78);
    OK(hand_append(st, id, 2, "1.000 note \"x\"", &s, &e));
    for (int i = 1; i <= 2; i++) {
        n.outer = n.inner = 0;
        OK(store_readings(st, id, read_again, &n, &e));
        ck_assert_int_eq(n.outer, 2);
        ck_assert_int_eq(n.inner, 4);
    }
    store_close(st);
}
END_TEST

int main(void)
{
    Suite *suite = suite_create("store_sittings");
    TCase *c = hand_case(suite, "sittings");
    tcase_add_test(c, events_come_back_as_they_were_whatever_the_kind);
    tcase_add_test(c, events_stop_when_the_caller_has_enough);
    tcase_add_test(c, events_of_the_longest_text_come_back_whole);
    tcase_add_test(c, events_changed_from_outside_are_told_and_not_handed_on);
    tcase_add_test(c, head_holds_what_the_sitting_said);
    tcase_add_test(c, sitting_that_is_not_there_is_said_so_by_all);
    tcase_add_test(c, begin_keeps_the_protocol_text_once);
    tcase_add_test(c, begin_refuses_another_first_event);
    tcase_add_test(c, append_refuses_an_event_that_is_not_well_formed);
    tcase_add_test(c, append_of_a_number_that_is_taken_is_a_conflict);
    tcase_add_test(c, append_never_leaves_a_gap);
    tcase_add_loop_test(c, append_after_the_end_is_a_conflict, 0, 2);
    tcase_add_test(c, append_that_fails_leaves_everything_as_it_was);
    tcase_add_test(c, two_connections_write_two_sittings_in_turns);
    tcase_add_test(c, two_processes_write_two_sittings_at_once);
    tcase_add_test(c, open_latest_is_the_one_written_to_last);
    tcase_add_test(c, day_counts_tell_open_sealed_and_stopped_apart);
    tcase_add_test(c, sittings_are_listed_newest_first);
    tcase_add_test(c, attempt_is_kept_apart_from_the_events);
    tcase_add_loop_test(c, attempt_marks_slips_of_the_hand, 0, 4);
    tcase_add_test(c, reading_line_says_what_replay_says);
    tcase_add_test(c, reading_with_every_reason_and_remark_is_kept_whole);
    tcase_add_test(c, readings_follow_the_state_with_each_event);
    tcase_add_test(c, readings_can_be_read_while_they_are_read);
    return hand_run(suite);
}
