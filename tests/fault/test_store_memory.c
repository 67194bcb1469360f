/* SPDX-License-Identifier: GPL-3.0-or-later */
/** @file test_store_memory.c  Each allocation inside SQLite fails once: the store says so, or does without, and nothing
 *  that was acknowledged is lost or half written. */
#include "fault/store_hand.h"

enum { STRIDE = 97 }; /* every allocation in turn would take minutes; neighbours mostly belong to one step */

static struct err e;
static sqlite3_mem_methods real;
static long countdown; /* the allocation that fails; 0 or less: none */
static long made;

static bool is_due(void)
{
    made++;
    return countdown > 0 && --countdown == 0;
}

static void *scarce_malloc(int n)
{
    return is_due() ? NULL : real.xMalloc(n);
}

static void *scarce_realloc(void *p, int n)
{
    return is_due() ? NULL : real.xRealloc(p, n);
}

static void make_memory_scarce(void)
{
    ck_assert_int_eq(sqlite3_shutdown(), SQLITE_OK);
    ck_assert_int_eq(sqlite3_config(SQLITE_CONFIG_GETMALLOC, &real), SQLITE_OK);
    sqlite3_mem_methods scarce = real;
    scarce.xMalloc = scarce_malloc;
    scarce.xRealloc = scarce_realloc;
    ck_assert_int_eq(sqlite3_config(SQLITE_CONFIG_MALLOC, &scarce), SQLITE_OK);
    ck_assert_int_eq(sqlite3_initialize(), SQLITE_OK);
}

static bool keep_going(void *user, int32_t seq, const struct event *ev)
{
    (void)ev;
    *(int32_t *)user = seq;
    return true;
}

/** What a window does, start to end; how many events were acknowledged is left in *acknowledged. */
static enum status use_store(int32_t *acknowledged)
{
    struct store *st = NULL;
    struct sitting s = hand_state();
    struct sitting_head h;
    struct event first = hand_event("0.000 protocol us-adult"), ev = hand_event("1.000 note \"x\"");
    struct refusal why = {.rule = RULE_REST_SHORT};
    int64_t id = 0;
    int32_t last = 0;
    enum status status = store_open(hand_path, STORE_WRITE, &st, &e);
    if (status == ST_OK)
        status = store_sitting_begin(st, "text", &first, &s, &HAND_MOMENT, &id, &e);
    if (status == ST_OK)
        *acknowledged += 1;
    hand_reading(&s, ARM_LEFT, 130, 80);
    if (status == ST_OK)
        status = store_append(st, id, 2, &ev, &s, &HAND_MOMENT, &e);
    if (status == ST_OK)
        *acknowledged += 1;
    if (status == ST_OK)
        status = store_attempt(st, id, &ev, &why, &HAND_MOMENT, &e);
    if (status == ST_OK)
        status = store_sitting_open_latest(st, &h, &e);
    if (status == ST_OK)
        status = store_events(st, id, keep_going, &last, &e);
    store_close(st);
    return status;
}

enum found { FOUND_STORE, FOUND_NOTHING, FOUND_VERSION_1 };

/** Runs use_store with each STRIDE-th allocation failing until one run gets by without; each on a new file, or all on
 *  one store. */
static void starve(enum found found)
{
    int refused = 0;
    int32_t acknowledged = 0;
    make_memory_scarce();
    if (found == FOUND_STORE)
        store_close(hand_open(STORE_WRITE));
    for (long n = 1;; n += STRIDE) {
        if (found != FOUND_STORE) {
            snprintf(hand_path, sizeof hand_path, "%s/new-%ld.db", hand_folder, n);
            acknowledged = 0;
        }
        if (found == FOUND_VERSION_1) {
            hand_put_version(1);
            acknowledged = 119;
        }
        snprintf(e.text, sizeof e.text, "nothing said");
        made = 0;
        countdown = n;
        enum status status = use_store(&acknowledged);
        bool is_past = countdown > 0; /* the run made fewer allocations than n */
        countdown = 0;
        ck_assert_msg(status == ST_OK || status == ST_NO_MEMORY, "allocation %ld: status %d: %s", n, (int)status, e.text);
        ck_assert_msg(status == ST_OK || strstr(e.text, "memory"), "allocation %ld: %s", n, e.text);
        refused += status != ST_OK;
        if (n % 5 == 0 || is_past) {
            struct store *st = hand_open(STORE_WRITE);
            OK(store_check(st, &e));
            store_close(st);
        }
        if (access(hand_path, F_OK) == 0 && acknowledged > 0)
            ck_assert_int_ge(hand_number("SELECT count(*) FROM events"), acknowledged);
        if (is_past)
            break;
    }
    ck_assert_int_gt(refused, 10); /* else nothing was tested */
}

START_TEST(store_in_use_survives_any_failing_allocation)
{
    starve(FOUND_STORE);
}
END_TEST

START_TEST(store_being_created_survives_any_failing_allocation)
{
    starve(FOUND_NOTHING);
}
END_TEST

START_TEST(store_being_carried_forward_survives_any_failing_allocation)
{
    starve(FOUND_VERSION_1);
}
END_TEST

int main(void)
{
    Suite *suite = suite_create("store_memory");
    TCase *c = hand_case(suite, "memory");
    tcase_set_timeout(c, 300);
    tcase_add_test(c, store_in_use_survives_any_failing_allocation);
    tcase_add_test(c, store_being_created_survives_any_failing_allocation);
    tcase_add_test(c, store_being_carried_forward_survives_any_failing_allocation);
    return hand_run(suite);
}
