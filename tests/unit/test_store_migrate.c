/* SPDX-License-Identifier: GPL-3.0-or-later */
/** @file test_store_migrate.c  A store that an older version wrote: read as it is, and carried forward with everything in it. */
#include "fault/store_hand.h"
#include "store/signed.h"

static struct err e;

/* What an older version left, by its number. */
static const struct { int sittings, events, points; bool has_zero; } LEFT[] = {[1] = {2, 119, 0, false}, [2] = {3, 124, 2, false}};

struct seen { int sittings, events, gauges, cuffs; struct gauge gauge; char readings[2000]; };

static bool see_event(void *user, int32_t seq, const struct event *ev)
{
    (void)seq, (void)ev;
    ((struct seen *)user)->events++;
    return true;
}

static bool see_reading(void *user, const struct stored_reading *r)
{
    struct seen *s = user;
    size_t len = strlen(s->readings);
    snprintf(s->readings + len, sizeof s->readings - len, "%s\n", r->line);
    return true;
}

struct heads { int64_t id[8]; int count; };

static bool see_head(void *user, const struct sitting_head *h)
{
    struct heads *s = user;
    s->id[s->count++] = h->id;
    return s->count < 8;
}

static void look(struct store *st, struct seen *s)
{
    struct heads heads = {.count = 0};
    struct stored_cuff cuff;
    memset(s, 0, sizeof *s);
    OK(store_check(st, &e));
    OK(store_gauges(st, true, &s->gauge, 1, &s->gauges, &e));
    OK(store_cuffs(st, true, &cuff, 1, &s->cuffs, &e));
    OK(store_sittings(st, see_head, &heads, &e));
    s->sittings = heads.count;
    for (int i = 0; i < heads.count; i++) {
        OK(store_events(st, heads.id[i], see_event, s, &e));
        OK(store_readings(st, heads.id[i], see_reading, s, &e));
    }
}

static bool see_kept(void *user, const struct kept_sitting *kept)
{
    int *count = user;
    ck_assert_int_eq(kept->review, kept->head.phase == PHASE_OPEN ? REVIEW_OPEN : REVIEW_BEFORE);
    ck_assert(!kept->has_chain && kept->last_statement == 0 && kept->witness[0] == '\0');
    ck_assert_msg(kept->purpose[0] != '\0', "S-%03d has lost its purpose", (int)kept->head.id);
    ++*count;
    return true;
}

/** What no older version had, as it is worked out: the same whether only read or carried forward. */
static void look_at_new(struct store *st, int version)
{
    int count = 0;
    int64_t until = 0;
    bool has = true;
    OK(store_kept_sittings(st, see_kept, &count, &e));
    ck_assert_int_eq(count, LEFT[version].sittings);
    OK(store_unsigned_until(st, &until, &e));
    ck_assert_int_eq(until, hand_number("SELECT max(id) FROM sittings"));
    OK(store_key_has(st, "ana", &has, &e));
    ck_assert(!has);
    OK(store_has_preceptor(st, &has, &e));
    ck_assert(!has);
}

START_TEST(older_version_is_read_without_a_change_to_it)
{
    struct seen s;
    hand_put_version(_i);
    struct store *st = hand_open(STORE_READ);
    look(st, &s);
    ck_assert_int_eq(s.sittings, LEFT[_i].sittings);
    ck_assert_int_eq(s.events, LEFT[_i].events);
    ck_assert_int_eq(s.gauges, 2);
    ck_assert_int_eq(s.cuffs, 4);
    ck_assert(s.gauge.leak.is_given && s.gauge.comparison.value == 2 && s.gauge.zero.is_given == LEFT[_i].has_zero);
    ck_assert_int_eq(s.gauge.point_count, LEFT[_i].points);
    look_at_new(st, _i);
    store_close(st);
    ck_assert_int_eq(hand_number("PRAGMA user_version"), _i);
}
END_TEST

START_TEST(older_version_is_carried_forward_with_all_it_holds)
{
    static const char CHECKS[] = "SELECT sum(id * 1000000 + value * 10000 + date % 10000) FROM gauge_checks";
    static const char EVENTS[] = "SELECT sum(sitting * 1000 + seq + t_ms + length(kind) + coalesce(value, 7)) FROM events";
    struct seen before, after;
    hand_put_version(_i);
    const int64_t checks = hand_number(CHECKS), events = hand_number(EVENTS);
    struct store *st = hand_open(STORE_READ);
    look(st, &before);
    store_close(st);
    st = hand_open(STORE_WRITE);
    look(st, &after);
    look_at_new(st, _i);
    store_close(st);
    ck_assert_int_eq(hand_number("PRAGMA user_version"), 3);
    ck_assert_int_eq(hand_number(CHECKS), checks);
    ck_assert_int_eq(hand_number(EVENTS), events);
    ck_assert_int_eq(after.sittings, before.sittings);
    ck_assert_int_eq(after.events, before.events);
    ck_assert_str_eq(after.readings, before.readings);
    ck_assert_int_eq(after.gauges, before.gauges);
    ck_assert_int_eq(after.cuffs, before.cuffs);
    ck_assert_int_eq(after.gauge.comparison.value, before.gauge.comparison.value);
    ck_assert_int_eq(after.gauge.point_count, before.gauge.point_count);
    ck_assert_int_eq(hand_number("SELECT count(*) FROM sqlite_schema WHERE name LIKE '%gauge_checks_1%'"), 0);
}
END_TEST

START_TEST(version_1_carried_forward_takes_what_version_2_knows)
{
    static const struct check_point POINTS[] = {{50, 50}, {150, 151}};
    struct gauge g;
    int count;
    int32_t largest, months;
    hand_put_version(1);
    struct store *st = hand_open(STORE_WRITE);
    OK(store_gauge_check(st, "g1", "zero", 1, 20300101, &e));
    OK(store_gauge_compare(st, "g1", POINTS, 2, 20300101, &largest, &e));
    OK(store_cuff_bladder(st, "adult", 160, 300, &e));
    OK(store_interval_set(st, 12, &e));
    OK(store_interval_get(st, &months, &e));
    OK(store_gauges(st, false, &g, 1, &count, &e));
    ck_assert_int_eq(g.zero.value, 1);
    ck_assert_int_eq(g.point_count, 2);
    ck_assert_int_eq(months, 12);
    OK(store_check(st, &e));
    store_close(st);
}
END_TEST

START_TEST(older_version_and_a_new_store_have_the_same_tables)
{
    static const char TABLES[] = "SELECT count(*) * 1000000 + sum(length(sql)) FROM sqlite_schema WHERE sql IS NOT NULL";
    store_close(hand_open(STORE_WRITE));
    const int64_t made = hand_number(TABLES);
    hand_teardown();
    hand_setup();
    hand_put_version(_i);
    store_close(hand_open(STORE_WRITE));
    ck_assert_int_eq(hand_number(TABLES), made);
}
END_TEST

START_TEST(migration_that_cannot_end_leaves_version_1_as_it_was)
{
    hand_put_version(1);
    ck_assert_int_eq(hand_sql("CREATE TABLE check_points (in_the_way)"), SQLITE_OK);
    struct store *st = NULL;
    ck_assert_int_ne(store_open(hand_path, STORE_WRITE, &st, &e), ST_OK);
    ck_assert_ptr_null(st);
    ck_assert_int_eq(hand_number("PRAGMA user_version"), 1);
    ck_assert_int_eq(hand_number("SELECT count(*) FROM gauge_checks"), 4);
    ck_assert_int_eq(hand_number("SELECT count(*) FROM sqlite_schema WHERE name = 'gauge_checks_1'"), 0);
}
END_TEST

START_TEST(migration_that_cannot_end_leaves_version_2_as_it_was)
{
    hand_put_version(2);
    ck_assert_int_eq(hand_sql("CREATE TABLE tries (in_the_way)"), SQLITE_OK);
    struct store *st = NULL;
    ck_assert_int_ne(store_open(hand_path, STORE_WRITE, &st, &e), ST_OK);
    ck_assert_ptr_null(st);
    ck_assert_int_eq(hand_number("PRAGMA user_version"), 2);
    ck_assert_int_eq(hand_number("SELECT count(*) FROM sqlite_schema WHERE name IN ('facts', 'keys', 'statements')"), 0);
    ck_assert_int_eq(hand_number("SELECT count(*) FROM events"), LEFT[2].events);
}
END_TEST

START_TEST(backup_of_an_older_version_can_be_carried_forward)
{
    char copy[sizeof hand_folder + 32];
    hand_put_version(_i);
    struct store *st = hand_open(STORE_READ);
    snprintf(copy, sizeof copy, "%s/copy.db", hand_folder);
    OK(store_backup(st, copy, &e));
    store_close(st);
    OK(store_open(copy, STORE_WRITE, &st, &e));
    OK(store_check(st, &e));
    store_close(st);
}
END_TEST

int main(void)
{
    Suite *suite = suite_create("store_migrate");
    TCase *c = hand_case(suite, "migrate");
    tcase_add_loop_test(c, older_version_is_read_without_a_change_to_it, 1, 3);
    tcase_add_loop_test(c, older_version_is_carried_forward_with_all_it_holds, 1, 3);
    tcase_add_test(c, version_1_carried_forward_takes_what_version_2_knows);
    tcase_add_loop_test(c, older_version_and_a_new_store_have_the_same_tables, 1, 3);
    tcase_add_test(c, migration_that_cannot_end_leaves_version_1_as_it_was);
    tcase_add_test(c, migration_that_cannot_end_leaves_version_2_as_it_was);
    tcase_add_loop_test(c, backup_of_an_older_version_can_be_carried_forward, 1, 3);
    return hand_run(suite);
}
