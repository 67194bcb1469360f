/* SPDX-License-Identifier: GPL-3.0-or-later */
/** @file test_store_signed_queue.c  The queues of sittings: what each holds, in pages, and that an index gives them. */
#include "fault/store_sign_hand.h"
#include "store/internal.h" /* its connection is asked what it is going to run */

static struct err e;

struct page {
    int64_t id[20];
    struct queue_entry entry[20];
    int count;
};

static bool take(void *user, const struct queue_entry *entry)
{
    struct page *p = user;
    p->id[p->count] = entry->head.id;
    p->entry[p->count++] = *entry;
    return p->count < 20;
}

static struct page ask(struct store *st, const struct queue_filter *f, int64_t before, int most)
{
    struct page p = {.count = 0};
    int count = -1;
    OK(store_queue(st, f, before, most, take, &p, &e));
    for (int i = 1; i < p.count; i++)
        ck_assert_int_lt(p.id[i], p.id[i - 1]);
    if (!before) {
        OK(store_queue_count(st, f, most, &count, &e));
        ck_assert_int_eq(count, p.count);
    }
    return p;
}

/** 1 open, 2 owed, 3 waiting, 4 returned, 5 countersigned, 6 held, 7 waiting (ben's), 8 waiting (ina's own). */
static struct store *fill(void)
{
    struct store *st = hand_open(STORE_WRITE);
    struct sitting s;
    hand_sitting(st, &s, ANA, NULL);
    OK(hand_end(st, hand_sitting(st, &s, ANA, NULL), "9.000 stop \"had to go\"", &s, NULL, &e));
    hand_sealed(st, ANA, NULL, ANA);
    OK(hand_say(st, EVA, SAYS_RETURN, hand_sealed(st, ANA, NULL, ANA), &e));
    OK(hand_say(st, INA, SAYS_COUNTERSIGN, hand_sealed(st, BEN, NULL, BEN), &e));
    hand_sealed(st, ANA, "eva", EVA);
    hand_sealed(st, BEN, NULL, BEN);
    hand_sealed(st, INA, NULL, INA);
    return st;
}

static const struct {
    struct queue_filter f;
    int64_t ids[9];
} QUEUES[] = {
    {{.which = QUEUE_WAITING}, {8, 7, 3}},
    {{.which = QUEUE_WAITING, .not_measurer = "ina"}, {7, 3}},
    {{.which = QUEUE_WAITING, .measurer = "ben"}, {7}},
    {{.which = QUEUE_RETURNED}, {4}},
    {{.which = QUEUE_RETURNED, .measurer = "ana"}, {4}},
    {{.which = QUEUE_RETURNED, .measurer = "ben"}, {0}},
    {{.which = QUEUE_OWED}, {2}},
    {{.which = QUEUE_HELD}, {6}},
    {{.which = QUEUE_OPEN}, {1}},
    {{.which = QUEUE_ALL}, {8, 7, 6, 5, 4, 3, 2, 1}},
    {{.which = QUEUE_ALL, .measurer = "ben"}, {7, 5}},
    {{.which = QUEUE_ALL, .purpose = "assessment"}, {6}},
    {{.which = QUEUE_ALL, .purpose = "practice", .phase = "sealed"}, {8, 7, 5, 4, 3}},
    {{.which = QUEUE_ALL, .phase = "stopped"}, {2}},
    {{.which = QUEUE_ALL, .phase = "open"}, {1}},
    {{.which = QUEUE_ALL, .from_day = 20310302, .to_day = 20310302}, {8, 7, 6, 5, 4, 3, 2, 1}},
    {{.which = QUEUE_ALL, .from_day = 20310302, .to_day = 20310302, .purpose = "assessment"}, {6}},
    {{.which = QUEUE_ALL, .from_day = 20310303}, {0}},
    {{.which = QUEUE_ALL, .to_day = 20310301}, {0}},
    {{.which = QUEUE_ALL, .from_day = 20300101, .to_day = 20321231, .measurer = "ina"}, {8}},
    {{.which = QUEUE_WAITING, .from_day = 20310303, .to_day = 20310304}, {0}},
};

START_TEST(queue_holds_what_it_is_asked_for)
{
    struct store *st = fill();
    const struct page p = ask(st, &QUEUES[_i].f, 0, 20);
    int wanted = 0;
    while (QUEUES[_i].ids[wanted])
        wanted++;
    ck_assert_int_eq(p.count, wanted);
    for (int i = 0; i < wanted; i++)
        ck_assert_int_eq(p.id[i], QUEUES[_i].ids[i]);
    store_close(st);
}
END_TEST

START_TEST(queue_comes_in_pages)
{
    struct store *st = fill();
    const struct queue_filter all = {.which = QUEUE_ALL};
    struct page p = ask(st, &all, 0, 3);
    ck_assert_int_eq(p.count, 3);
    ck_assert_int_eq(p.id[2], 6);
    p = ask(st, &all, p.id[2], 3);
    ck_assert_int_eq(p.id[0], 5);
    p = ask(st, &all, 1, 3);
    ck_assert_int_eq(p.count, 0);
    store_close(st);
}
END_TEST

START_TEST(entry_says_who_spoke_last_and_what_to_take_as_seen)
{
    struct store *st = fill();
    struct page p = ask(st, &(struct queue_filter){.which = QUEUE_RETURNED}, 0, 20);
    struct kept_sitting kept;
    ck_assert_str_eq(p.entry[0].last_by, "eva");
    ck_assert_str_eq(p.entry[0].purpose, "practice");
    ck_assert_str_eq(p.entry[0].head.measurer, "ana");
    ck_assert_int_eq(p.entry[0].review, REVIEW_RETURNED);
    OK(store_kept_sitting(st, 4, &kept, &e));
    ck_assert_int_eq(p.entry[0].last_statement, kept.last_statement);
    p = ask(st, &(struct queue_filter){.which = QUEUE_OWED}, 0, 20);
    ck_assert_str_eq(p.entry[0].last_by, "");
    ck_assert_int_eq(p.entry[0].last_statement, 0);
    p = ask(st, &(struct queue_filter){.which = QUEUE_HELD}, 0, 20);
    ck_assert_str_eq(p.entry[0].witness, "eva");
    store_close(st);
}
END_TEST

START_TEST(older_store_has_queues_when_it_is_only_read)
{
    hand_teardown();
    hand_setup();
    hand_put_version(1);
    struct store *st = hand_open(STORE_READ);
    const struct page all = ask(st, &(struct queue_filter){.which = QUEUE_ALL}, 0, 20);
    ck_assert_int_eq(all.count, hand_number("SELECT count(*) FROM sittings"));
    ck_assert_int_eq(ask(st, &(struct queue_filter){.which = QUEUE_WAITING}, 0, 20).count, 0);
    ck_assert_int_eq(hand_prove(st), 0);
    store_close(st);
}
END_TEST

/* ---- many ---- */

enum { MANY = 100000 };

/** That many that wait, of many measurers, without the triggers that would make it slow. */
static void fill_many(int count)
{
    char sql[1600];
    struct store *st = hand_open(STORE_WRITE);
    struct sitting s;
    hand_sitting(st, &s, ANA, NULL);
    store_close(st);
    snprintf(sql, sizeof sql,
             "WITH RECURSIVE n(i) AS (SELECT 2 UNION ALL SELECT i + 1 FROM n WHERE i < %d)"
             "INSERT INTO sittings (id, protocol_text, phase, protocol, measurer, opened, day, event_count, last_ms,"
             " last_unix_ms, last_boot_ms, boot, touch, review, purpose) SELECT i, (SELECT hash FROM protocol_texts), 'sealed',"
             " 'us-adult', CASE i %% 50 WHEN 0 THEN 'ana' ELSE 'ben' END, '2031-01-02T09:00:00+00:00', 20300101 + i %% 28, 1, 1, i,"
             " i, 'b', i, CASE WHEN i %% 1000 = 0 THEN 'returned' WHEN i %% 2 = 0 THEN 'waiting' ELSE 'countersigned' END,"
             " CASE WHEN i %% 5000 = 0 THEN 'assessment' ELSE 'practice' END FROM n",
             count);
    hand_spoil(sql);
}

static int count_steps(void *user)
{
    ++*(int *)user;
    return 0;
}

START_TEST(page_of_a_queue_takes_few_steps_in_a_store_of_100000)
{
    static const struct queue_filter FILTERS[] = {
        {.which = QUEUE_WAITING}, {.which = QUEUE_WAITING, .not_measurer = "ana"}, {.which = QUEUE_WAITING, .measurer = "ana"},
        {.which = QUEUE_RETURNED}, {.which = QUEUE_RETURNED, .measurer = "ana"}, {.which = QUEUE_OWED}, {.which = QUEUE_HELD},
        {.which = QUEUE_OPEN}, {.which = QUEUE_ALL}, {.which = QUEUE_ALL, .measurer = "ana"},
        {.which = QUEUE_ALL, .purpose = "assessment"}, {.which = QUEUE_ALL, .purpose = "service"},
        {.which = QUEUE_ALL, .measurer = "zoe"}, {.which = QUEUE_ALL, .from_day = 20310101},
        {.which = QUEUE_WAITING, .to_day = 20291231, .purpose = "practice"},
        {.which = QUEUE_ALL, .from_day = 20300105, .to_day = 20300105}};
    fill_many(MANY);
    struct store *st = hand_open(STORE_READ);
    for (size_t i = 0; i < ARRAY_LEN(FILTERS); i++) {
        struct page p = {.count = 0};
        int hundreds = 0;
        sqlite3_progress_handler(st->db, 100, count_steps, &hundreds);
        OK(store_queue(st, &FILTERS[i], 0, 20, take, &p, &e));
        ck_assert_msg(hundreds < 300, "queue %d: %d00 steps for %d rows", (int)i, hundreds, p.count);
    }
    sqlite3_progress_handler(st->db, 0, NULL, NULL);
    store_close(st);
}
END_TEST

static int see_plan(void *user, int columns, char **values, char **names)
{
    (void)names;
    char *all = user;
    const size_t len = strlen(all);
    snprintf(all + len, 4000 - len, "%s\n", values[columns - 1]);
    return 0;
}

static char traced[4000];

static int note_sql(unsigned what, void *user, void *statement, void *text)
{
    (void)what, (void)user, (void)text;
    const char *sql = sqlite3_sql(statement);
    if (strstr(sql, "FROM sittings AS s LEFT JOIN") != NULL)
        snprintf(traced, sizeof traced, "%s", sql);
    return 0;
}

START_TEST(page_of_a_queue_sorts_nothing)
{
    static const struct queue_filter FILTERS[] = {
        {.which = QUEUE_WAITING}, {.which = QUEUE_WAITING, .measurer = "ana"}, {.which = QUEUE_RETURNED, .not_measurer = "ana"},
        {.which = QUEUE_ALL}, {.which = QUEUE_ALL, .measurer = "ana"}, {.which = QUEUE_ALL, .purpose = "assessment"},
        {.which = QUEUE_ALL, .phase = "open"}, {.which = QUEUE_ALL, .measurer = "ana", .purpose = "practice"}};
    struct store *st = fill();
    sqlite3_trace_v2(st->db, SQLITE_TRACE_STMT, note_sql, NULL);
    for (size_t i = 0; i < ARRAY_LEN(FILTERS); i++) {
        char plan[4000] = "", explain[4200];
        traced[0] = '\0';
        ask(st, &FILTERS[i], 0, 20);
        snprintf(explain, sizeof explain, "EXPLAIN QUERY PLAN %s", traced);
        ck_assert_int_eq(sqlite3_exec(st->db, explain, see_plan, plan, NULL), SQLITE_OK);
        ck_assert_msg(strstr(plan, " s") != NULL && strstr(plan, "TEMP B-TREE") == NULL, "queue %d: %s\n%s", (int)i, traced, plan);
    }
    store_close(st);
}
END_TEST

int main(void)
{
    Suite *suite = suite_create("store_signed_queue");
    TCase *c = hand_signed_case(suite, "queue");
    tcase_add_loop_test(c, queue_holds_what_it_is_asked_for, 0, (int)ARRAY_LEN(QUEUES));
    tcase_add_test(c, queue_comes_in_pages);
    tcase_add_test(c, entry_says_who_spoke_last_and_what_to_take_as_seen);
    tcase_add_test(c, older_store_has_queues_when_it_is_only_read);
    tcase_add_test(c, page_of_a_queue_takes_few_steps_in_a_store_of_100000);
    tcase_add_test(c, page_of_a_queue_sorts_nothing);
    return hand_run(suite);
}
