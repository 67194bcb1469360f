/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The whole desk through pseudo-terminals: people and keys, a sitting sealed by a trainee, sent back, amended, countersigned,
 * verified, tampered with; two preceptors at once; a person retired meanwhile. Its pages are kept under docs/screens/. */
#include <check.h>
#include <sqlite3.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/wait.h>
#include <unistd.h>

#include "booth_kit.h"
#include "kept_screens.h"
#include "sitting_tour.h"
#include "stillarm/text.h"
#include "store/signed.h"

#define TIA_PIN "brook 41 hazel"
#define EVA_PIN "slate 29 under"
#define INA_PIN "amber 53 field"
#define COURSE_PIN "ledge 67 north"
#define ESC "\x1b"
#define KEYS_TO_A_SIGNATURE 6

static struct kit k, other;
static char output[65536];

static void must(enum status status, const struct err *e)
{
    ck_assert_msg(status == ST_OK, "%s", e->text);
}

/* ---- setting up ---- */

/* Run a verb that asks for PINs: they are lines of its standard input, and stand nowhere else. */
static void run_with(const char *pins, const char *words)
{
    char command[512];
    snprintf(command, sizeof command, "%s --db %s %s >%s/said 2>&1", TEST_DRIVEN_PROGRAM, booth_db, words, booth_folder);
    FILE *f = popen(command, "w");
    ck_assert_ptr_nonnull(f);
    ck_assert_int_ge(fputs(pins, f), 0);
    int status = WEXITSTATUS(pclose(f));
    if (status != 0) {
        snprintf(command, sizeof command, "cat %s/said >&2", booth_folder);
        ck_assert_int_eq(system(command), 0);
    }
    ck_assert_msg(status == 0, "stillarm %s ended with status %d", words, status);
}

static void run_well(const char *words)
{
    ck_assert_msg(booth_run(TEST_DRIVEN_PROGRAM, words, output, sizeof output) == 0, "%s: %.*s", words, BOOTH_TOLD_MAX, output);
}

static struct store *open_store(void)
{
    struct store *st = NULL;
    struct err e = {0};
    must(store_open(booth_db, STORE_WRITE, &st, &e), &e);
    return st;
}

static struct signer *unlock(struct store *st, const char *person, const char *typed)
{
    struct signer *s = NULL;
    struct pin *p = NULL;
    struct err e = {0};
    const struct moment m = {.unix_ms = INT64_C(1930226400000), .boot_ms = 1000000, .boot = "driven-by-a-test"};
    int32_t wait_s = 0;
    must(trust_init(&e), &e);
    must(pin_new(&p, &e), &e);
    for (; *typed; typed++)
        ck_assert(pin_add(p, (unsigned char)*typed));
    must(store_unlock(st, person, p, &m, &s, &wait_s, &e), &e);
    pin_free(p);
    return s;
}

/* A trainee who measures, and a preceptor for whom the course vouches. */
static void open_desk(void)
{
    struct err e = {0};
    char words[256];
    booth_open();
    run_well("people add tia \"Tia Marr\" --role trainee");
    run_well("people add eva \"Eva Lind\" --role preceptor");
    snprintf(words, sizeof words, "keys course %s/course.key", booth_folder);
    run_with(COURSE_PIN "\n" COURSE_PIN "\n", words);
    snprintf(words, sizeof words, "keys vouch eva --by eva --course %s/course.key", booth_folder);
    run_with(EVA_PIN "\n" EVA_PIN "\n", "people pin eva");
    run_with(COURSE_PIN "\n" EVA_PIN "\n", words);
    struct store *st = open_store();
    must(store_setting_set(st, "measurer", "tia", &e), &e);
    store_close(st);
}

static void add_second_preceptor(void)
{
    run_well("people add ina \"Ina Roth\" --role preceptor");
    run_with(INA_PIN "\n" INA_PIN "\n", "people pin ina");
    run_with(EVA_PIN "\n", "keys vouch ina --by eva");
}

/* ---- at the terminal ---- */

struct desk_move {
    const char *see, *keys;
    const char *page; /* NULL, or the name under which the screen is kept before the keys */
};

static void see(struct kit *kit, const char *words)
{
    ck_assert_msg(kit_wait(kit, words, KIT_WAIT_MS), "'%s' did not come:\n%s", words, kit_screen(kit));
}

static bool is_key_id(const char *at)
{
    static const char FORM[] = "xxxx xxxx";
    for (size_t i = 0; i < sizeof FORM - 1; i++)
        if (FORM[i] == ' ' ? at[i] != ' ' : strchr("0123456789abcdef", at[i]) == NULL || at[i] == '\0')
            return false;
    return at[sizeof FORM - 1] == '\n';
}

/* Keys are random: a page that is kept shows one and the same. */
static void keep(struct kit *kit, const char *page)
{
    static char text[KEPT_CAP];
    text_copy(text, sizeof text, kit_screen(kit));
    for (char *at = text; *at != '\0'; at++)
        if (is_key_id(at))
            memcpy(at, "7f3a 91c2", 9);
    kept_write(page, text);
}

static void go(struct kit *kit, const struct desk_move *moves, size_t count)
{
    for (size_t i = 0; i < count; i++) {
        see(kit, moves[i].see);
        kit_sync(kit);
        if (moves[i].page != NULL)
            keep(kit, moves[i].page);
        kit_type(kit, moves[i].keys);
        kit_sync(kit);
    }
}

#define GO(kit, ...)                                              \
    do {                                                          \
        static const struct desk_move MOVES[] = {__VA_ARGS__};    \
        go(kit, MOVES, ARRAY_LEN(MOVES));                         \
    } while (0)

static void end(struct kit *kit)
{
    int status = kit_stop(kit, KIT_WAIT_MS);
    ck_assert_msg(status == 0 || status == 1, "ended with status %d", status);
}

/* From the opening to the seal; the first PIN of whoever has none is chosen there. */
static void sit_and_seal(bool is_first)
{
    booth_start(&k, TEST_DRIVEN_PROGRAM, "sit");
    tour_drive(&k, TOUR_FIRST_VISIT, TOUR_FIRST_VISIT_COUNT);
    if (is_first)
        GO(&k, {"PIN", TIA_PIN "\r", "desk-pin-chosen"}, {"once more", TIA_PIN "\r", NULL});
    else
        GO(&k, {"PIN", TIA_PIN "\r", "desk-pin-to-finish"});
    see(&k, "good");
    kit_type(&k, "\r");
    end(&k);
}

static void start_review(struct kit *kit)
{
    booth_start(kit, TEST_DRIVEN_PROGRAM, "review");
}

static enum review review_of(int64_t id)
{
    struct store *st = open_store();
    struct kept_sitting kept;
    struct err e = {0};
    must(store_kept_sitting(st, id, &kept, &e), &e);
    store_close(st);
    return kept.review;
}

static enum status act_as(const char *person, const char *pin, const struct act *a, struct err *e)
{
    struct store *st = open_store();
    struct signer *s = unlock(st, person, pin);
    enum status status = store_act(st, a, s, e);
    signer_free(s);
    store_close(st);
    return status;
}

/* ---- changing what must not change ---- */

static void exec(sqlite3 *db, const char *sql)
{
    char *said = NULL;
    ck_assert_msg(sqlite3_exec(db, sql, NULL, NULL, &said) == SQLITE_OK, "%s: %s", sql, said);
}

static int take_text(void *user, int columns, char **values, char **names)
{
    (void)names;
    text_copy(user, 2048, columns > 0 && values[0] != NULL ? values[0] : "");
    return 0;
}

/* As somebody would who owns the file: past its triggers, which are put back. One byte of one event. */
static int change_a_byte(void)
{
    sqlite3 *db = NULL;
    static char trigger[2048], seq[2048];
    ck_assert_int_eq(sqlite3_open(booth_db, &db), SQLITE_OK);
    ck_assert_int_eq(sqlite3_exec(db, "SELECT sql FROM sqlite_master WHERE name = 'events_no_update'", take_text, trigger, NULL),
                     SQLITE_OK);
    ck_assert_int_eq(sqlite3_exec(db, "SELECT seq FROM events WHERE sitting = 1 AND kind = 'pulse'", take_text, seq, NULL),
                     SQLITE_OK);
    exec(db, "DROP TRIGGER events_no_update");
    exec(db, "UPDATE events SET value = value + 1 WHERE sitting = 1 AND kind = 'pulse'");
    exec(db, trigger);
    sqlite3_close(db);
    return atoi(seq);
}

/* ---- tests ---- */

START_TEST(a_sitting_goes_through_the_whole_desk)
{
    open_desk();
    sit_and_seal(true);
    ck_assert_int_eq(review_of(1), REVIEW_WAITING);

    /* The one who measured cannot sign in the preceptor's place. */
    booth_start(&k, TEST_DRIVEN_PROGRAM, NULL);
    GO(&k, {"start a sitting", "r", NULL}, {"S-001", "\r", "desk-queue"}, {"S-001 by tia", "1", "desk-timeline"},
       {"to countersign S-001", TIA_PIN "\r", "desk-pin"}, {"to countersign S-001", ESC, "desk-pin-wrong"},
       {"No PIN was given", "jjjjfjr", NULL}, {"Send back", "Was the arm bare?", NULL}, {"Was the arm", "\r", "desk-return"},
       {"to send back S-001", EVA_PIN "\r", NULL}, {"Was the arm bare?", "q", "desk-returned"}, {"Nothing waits", "r", NULL},
       {"S-001", "q", "desk-queue-returned"}, {"start a sitting", "q", NULL});
    end(&k);
    ck_assert_int_eq(review_of(1), REVIEW_RETURNED);

    start_review(&k);
    GO(&k, {"returned 1", "r", NULL}, {"S-001", "\r", NULL}, {"S-001 by tia", "m", NULL}, {"Add to S-001", "Yes, to the shoulder.\r", NULL},
       {"to amend S-001", TIA_PIN "\r", NULL}, {"to the shoulder", "q", NULL}, {"Nothing is sent back", "q", NULL});
    end(&k);
    ck_assert_int_eq(review_of(1), REVIEW_WAITING);

    /* Home, the queue, the sitting, the signature. */
    booth_start(&k, TEST_DRIVEN_PROGRAM, NULL);
    see(&k, "start a sitting");
    k.keystrokes = 0;
    GO(&k, {"start a sitting", "r", NULL}, {"S-001", "\r", NULL}, {"S-001 by tia", "", NULL});
    clock_advance(95000);
    GO(&k, {"S-001 by tia", "1", NULL}, {"to countersign S-001", EVA_PIN "\r", NULL});
    int keys = k.keystrokes - (int)strlen(EVA_PIN);
    see(&k, "countersigned");
    printf("keys from home to a countersignature, the PIN's own apart: %d (at most %d)\n", keys, KEYS_TO_A_SIGNATURE);
    ck_assert_int_le(keys, KEYS_TO_A_SIGNATURE);
    GO(&k, {"countersigned", "q", "desk-countersigned"}, {"Nothing waits", "q", "desk-queue-empty"}, {"start a sitting", "q", NULL});
    end(&k);
    ck_assert_int_eq(review_of(1), REVIEW_DONE);

    run_well("verify");
    int seq = change_a_byte();
    ck_assert_int_eq(booth_run(TEST_DRIVEN_PROGRAM, "verify", output, sizeof output), 1);
    char event[24];
    snprintf(event, sizeof event, "vent %d", seq);
    const char *const named[] = {"S-001", event, NULL};
    booth_must_hold(output, named);
}
END_TEST

START_TEST(a_role_holds_in_the_store_whatever_the_screens_say)
{
    struct err e = {0};
    open_desk();
    sit_and_seal(true);
    struct act a = {.kind = SAYS_COUNTERSIGN, .sitting = 1, .word = "reviewed", .at = "2031-03-02T15:00:00+00:00"};
    ck_assert_int_eq(act_as("tia", TIA_PIN, &a, &e), ST_PERMISSION);
    ck_assert_uint_gt(strlen(e.text), 20);
    a = (struct act){.kind = SAYS_RETIRE, .of = "g1", .word = "kit", .at = a.at};
    ck_assert_int_eq(act_as("tia", TIA_PIN, &a, &e), ST_PERMISSION);
    ck_assert_int_eq(review_of(1), REVIEW_WAITING);
}
END_TEST

START_TEST(of_two_preceptors_at_once_the_slower_is_told_who_was_quicker)
{
    open_desk();
    add_second_preceptor();
    sit_and_seal(true);
    start_review(&k);
    start_review(&other);
    GO(&k, {"S-001", "\r", NULL}, {"S-001 by tia", "1", NULL}, {"Who signs", "\r", "desk-who-signs"});
    GO(&other, {"S-001", "\r", NULL}, {"S-001 by tia", "1", NULL}, {"Who signs", "j\r", NULL});
    GO(&k, {"to countersign", EVA_PIN "\r", NULL}, {"countersigned", "q", NULL});
    GO(&other, {"to countersign", INA_PIN "\r", NULL}, {"eva countersigned S-001", "1", "desk-quicker"}, {"Who signs", "\r", NULL},
       {"to countersign", INA_PIN "\r", NULL}, {"countersigned", "q", NULL});
    GO(&k, {"Nothing waits", "q", NULL});
    GO(&other, {"Nothing waits", "q", NULL});
    end(&k);
    end(&other);
    ck_assert_int_eq(review_of(1), REVIEW_DONE);
    run_well("verify");
}
END_TEST

START_TEST(who_is_retired_while_her_sitting_is_open_ends_and_signs_it)
{
    open_desk();
    sit_and_seal(true);
    booth_start(&k, TEST_DRIVEN_PROGRAM, "sit");
    tour_drive(&k, TOUR_RETURN_VISIT, TOUR_RETURN_VISIT_COUNT - 1);
    run_with(EVA_PIN "\n", "people retire tia --by eva");
    GO(&k, {"finish", "f", NULL}, {"PIN", TIA_PIN "\r", "desk-pin-to-finish"}, {"good", "\r", NULL});
    end(&k);
    ck_assert_int_eq(review_of(2), REVIEW_WAITING);
    run_well("verify");
}
END_TEST

START_TEST(an_open_sitting_is_watched_from_another_terminal)
{
    open_desk();
    booth_start(&k, TEST_DRIVEN_PROGRAM, "sit");
    tour_drive(&k, TOUR_FIRST_VISIT, 6);
    start_review(&other);
    GO(&other, {"open 1", "o", NULL}, {"Open now", "\r", "desk-queue-open"}, {"S-001 by tia", "", "desk-live"});
    tour_drive(&k, TOUR_FIRST_VISIT + 6, 4);
    see(&k, "Which cuff goes on?"); /* stored by then: with two programs a sync may be the other one's */
    clock_advance(1000);
    see(&other, "31 cm");
    kit_type(&other, "1r");
    tour_drive(&k, TOUR_FIRST_VISIT + 10, 5);
    see(&k, "which gauge?");
    clock_advance(20000);
    GO(&other, {"rest 0:20 of 5:00", "", "desk-live-rest"});
    GO(&other, {"S-001 by tia", "q", NULL}, {"Open now", "q", NULL});
    end(&other);
    kit_type(&k, "q");
    end(&k);
    run_well("verify");
}
END_TEST

START_TEST(on_the_smallest_screen_every_key_is_there)
{
    static const char *const QUEUE[] = {"enter read", "r returned 0", "s signatures owed 0", "h held 0", "o open 0", "a all",
                                        "f filter", "p reader", "q back", NULL};
    static const char *const SITTING[] = {"j k step", "enter comment", "r send back", "1 reviewed", "2 was present",
                                          "m add to it", "p reader", "q back", "126/78", "otherwise   all as asked, nothing passed over or noted", NULL};
    open_desk();
    sit_and_seal(true);
    const char *argv[] = {TEST_DRIVEN_PROGRAM, "--db", booth_db, "review", NULL};
    ck_assert(kit_start(&k, &(struct kit_options){.argv = argv, .rows = 20, .cols = 60, .lc_all = "C"}));
    see(&k, "S-001");
    booth_must_hold(kit_screen(&k), QUEUE);
    GO(&k, {"S-001", "\r", NULL}, {"S-001 by tia", "", NULL});
    booth_must_hold(kit_screen(&k), SITTING);
    GO(&k, {"S-001 by tia", "q", NULL}, {"Waiting", "q", NULL});
    end(&k);
}
END_TEST

/* Line by line, as with a screen reader: the same words and keys. */
START_TEST(the_desk_goes_line_by_line)
{
    open_desk();
    sit_and_seal(true);
    const char *argv[] = {TEST_DRIVEN_PROGRAM, "--db", booth_db, "--plain", "review", NULL};
    ck_assert(kit_start(&k, &(struct kit_options){.argv = argv, .rows = 60, .cols = 200}));
    GO(&k, {"S-001", "\r", NULL}, {"[1] reviewed", "1\r", NULL}, {"to countersign S-001", EVA_PIN "\r", NULL},
       {"countersigned by eva", "q\r", NULL}, {"Nothing waits", "q\r", NULL});
    end(&k);
    ck_assert_int_eq(review_of(1), REVIEW_DONE);
}
END_TEST

int main(void)
{
    Suite *s = suite_create("desk");
    TCase *tc = tcase_create("desk");
    tcase_set_timeout(tc, 180);
    tcase_add_checked_fixture(tc, NULL, booth_close);
    tcase_add_test(tc, a_sitting_goes_through_the_whole_desk);
    tcase_add_test(tc, a_role_holds_in_the_store_whatever_the_screens_say);
    tcase_add_test(tc, of_two_preceptors_at_once_the_slower_is_told_who_was_quicker);
    tcase_add_test(tc, who_is_retired_while_her_sitting_is_open_ends_and_signs_it);
    tcase_add_test(tc, an_open_sitting_is_watched_from_another_terminal);
    tcase_add_test(tc, on_the_smallest_screen_every_key_is_there);
    tcase_add_test(tc, the_desk_goes_line_by_line);
    suite_add_tcase(s, tc);
    SRunner *sr = srunner_create(s);
    srunner_run_all(sr, CK_NORMAL);
    const int failed = srunner_ntests_failed(sr);
    srunner_free(sr);
    return failed != 0;
}
