/* SPDX-License-Identifier: GPL-3.0-or-later */
/* A whole sitting before a witness through a pseudo-terminal: what was planted is found, nothing else, and nobody but the witness
 * sees how it came out before the witness says so. Its pages are kept under docs/screens/. */
#include <check.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

#include "booth_kit.h"
#include "kept_screens.h"
#include "sitting_tour.h"
#include "stillarm/text.h"
#include "store/signed.h"

#define TIA_PIN "brook 41 hazel"
#define INA_PIN "amber 53 field"
#define ESC "\x1b"
#define LOOK_MS 1500 /* what is said to have been seen was looked at */

static struct kit k;
static char output[131072];

/* ---- setting up ---- */

static void run_well(const char *words)
{
    ck_assert_msg(booth_run(TEST_DRIVEN_PROGRAM, words, output, sizeof output) == 0, "%s: %.*s", words, BOOTH_TOLD_MAX, output);
}

/* The PIN goes in by the verb's standard input, twice. */
static void choose_pin(const char *person, const char *pin)
{
    char command[512];
    snprintf(command, sizeof command, "printf '%%s\\n' '%s' '%s' | %s --db %s people pin %s >/dev/null 2>&1", pin, pin,
             TEST_DRIVEN_PROGRAM, booth_db, person);
    ck_assert_int_eq(system(command), 0);
}

static void open_store(struct store **st)
{
    struct err e = {0};
    ck_assert_msg(store_open(booth_db, STORE_WRITE, st, &e) == ST_OK, "%s", e.text);
}

/* A trainee who measures and a preceptor who looks on, each with a PIN, and a cuff for a thick arm. */
static void open_booth(void)
{
    struct store *st = NULL;
    struct err e = {0};
    booth_open();
    run_well("people add tia \"Tia Marr\" --role trainee");
    run_well("people add ina \"Ina Roth\" --role preceptor");
    run_well("kit add cuff large 40 50");
    choose_pin("ina", INA_PIN);
    choose_pin("tia", TIA_PIN);
    open_store(&st);
    ck_assert_int_eq(store_setting_set(st, "measurer", "tia", &e), ST_OK);
    store_close(st);
}

static enum review review_now(void)
{
    struct store *st = NULL;
    struct kept_sitting kept;
    struct err e = {0};
    open_store(&st);
    ck_assert_msg(store_kept_sitting(st, 1, &kept, &e) == ST_OK, "%s", e.text);
    store_close(st);
    return kept.review;
}

/* ---- at the keys ---- */

/* What is kept as a page is kept before its keys. */
struct move {
    int64_t wait_ms;
    const char *see, *keys, *page;
};

static void see(const char *words)
{
    ck_assert_msg(kit_wait(&k, words, KIT_WAIT_MS), "'%s' did not come:\n%s", words, kit_screen(&k));
}

static bool is_key_id(const char *at)
{
    int hex = 0;
    while (hex < 9 && (hex == 4 ? at[hex] == ' ' : at[hex] != '\0' && strchr("0123456789abcdef", at[hex]) != NULL))
        hex++;
    return hex == 9 && at[9] == '\n';
}

/* A key's name is another each time: a page that is kept shows one and the same. */
static void keep(const char *page)
{
    static char text[KEPT_CAP];
    text_copy(text, sizeof text, kit_screen(&k));
    for (char *at = text; *at != '\0'; at++)
        if (is_key_id(at))
            memcpy(at, "7f3a 91c2", 9);
    kept_write(page, text);
}

static void press(const char *keys)
{
    char one[2] = "";
    for (; *keys != '\0'; keys++) {
        one[0] = *keys;
        if (*keys == 'y')
            clock_advance(LOOK_MS);
        if (*keys == TOUR_DOWN[0])
            kit_press(&k, KIT_DOWN);
        else
            kit_type(&k, one);
        kit_sync(&k);
    }
}

static void go(const struct move *moves, size_t count)
{
    for (size_t i = 0; i < count; i++) {
        if (moves[i].wait_ms > 0)
            clock_advance(moves[i].wait_ms);
        kit_sync(&k);
        see(moves[i].see);
        if (moves[i].page != NULL)
            keep(moves[i].page);
        press(moves[i].keys);
    }
}

#define GO(...)                                             \
    do {                                                    \
        static const struct move MOVES[] = {__VA_ARGS__};   \
        go(MOVES, ARRAY_LEN(MOVES));                        \
    } while (0)

static void end(int status)
{
    ck_assert_int_eq(kit_stop(&k, KIT_WAIT_MS), status);
}

/* A return visit, so that one arm suffices; the only preceptor is offered. */
static void open_witnessed(void)
{
    booth_start(&k, TEST_DRIVEN_PROGRAM, "sit");
    GO({0, "Who is here?", "k7-031\r", NULL}, {0, "Enter opens the sitting", TOUR_DOWN " ", NULL}, {0, "return", TOUR_DOWN TOUR_DOWN, NULL},
       {0, "practice", "  ", NULL}, {0, "assessment", "", "watched-offered"});
    ck_assert(kit_has(&k, "ina"));
    GO({0, "assessment", "\r", NULL}, {0, "tia measures, ina keeps the record", "", NULL});
}

/* One reading by its marks, then its values; back on the page of all acts. */
#define SQUEEZED(wait, see) {wait, see, "l", NULL}, {8000, "release", " ", NULL}, {14000, "first sound", " ", NULL},     \
        {18000, "last sound", " ", NULL}, {4000, "air out", " ", NULL}
#define VALUES(values) {0, "What the needle showed", values, NULL}, {0, "final", "y", NULL}
#define PALPATED {0, "squeeze, feeling", "p", NULL}, {20000, "feeling for the", "g130", NULL}, {0, "gone there", "g", NULL}, \
        {4000, "feeling for the", " ", NULL}

static void finish(void)
{
    GO({1000, "Cuff off", "y", NULL}, {1000, "finish", "f", NULL});
}

static void seal(void)
{
    GO({0, "to finish S-001", TIA_PIN "\r", "watched-pin"},
       {0, "not the PIN", INA_PIN "\r", NULL}, {0, "It is kept for ina", "\r", "watched-finished"});
    end(0);
    ck_assert_int_eq(review_now(), REVIEW_HELD);
}

/* ---- six departures ---- */

/* An item not so, a cuff too small, a rest cut short, no estimate, an interval too short, not told. */
static void plant_six(void)
{
    open_witnessed();
    GO({0, "No caffeine", "yyyyyyyyal", NULL}, {0, "left arm", "yyyo42\r", NULL}, {0, "42 cm", "w", NULL},
       {0, "adult", "1", "watched-cuff"}, {0, "adult", "yy", NULL}, {0, "Back supported", "yynlegs crossed\ryk", NULL},
       {0, "wall dial", "\r", NULL}, {0, "needle stands at zero", "yyyr", NULL}, {1000, "at rest", "b70r", NULL},
       {199000, "at rest", "", NULL}, SQUEEZED(0, "at rest"), VALUES("16012678"), SQUEEZED(30000, "1 reading"), VALUES("16012476"),
       {0, "2 readings", "w", NULL}, {0, "large", "2", NULL}, {0, "large", "r", NULL}, {300000, "at rest", "", NULL}, PALPATED,
       SQUEEZED(60000, "gone at 130"), VALUES("16012678"), SQUEEZED(60000, "correct the last"), VALUES("16012476"),
       {0, "correct the last", "", "watched-before-end"});
    finish();
    GO({0, "Noted so far: is it as it was?", "", "watched-noted"}, {0, "as it was: finish", "\r", NULL});
    seal();
}

static void must_not_tell(void)
{
    static const char *const FIGURES[] = {"126/", "124/", "/78", "/76", "125.0", "of 4", "lapse", "passed", "small", NULL};
    for (int i = 0; FIGURES[i] != NULL; i++)
        ck_assert_msg(strstr(output, FIGURES[i]) == NULL, "'%s' is told:\n%.*s", FIGURES[i], BOOTH_TOLD_MAX, output);
}

static void must_be_held(const char *words)
{
    ck_assert_msg(booth_run(TEST_DRIVEN_PROGRAM, words, output, sizeof output) != 0, "%s is answered: %.*s", words, BOOTH_TOLD_MAX,
                  output);
    ck_assert_msg(strstr(output, "held by ina") != NULL, "%s: %.*s", words, BOOTH_TOLD_MAX, output);
    must_not_tell();
}

static void screen_must_not_tell(void)
{
    text_copy(output, sizeof output, kit_screen(&k));
    must_not_tell();
}

static void is_kept_back(void)
{
    char words[200];
    must_be_held("print S-001");
    must_be_held("worth S-001");
    snprintf(words, sizeof words, "export S-001 %s/S-001.stillarm", booth_folder);
    must_be_held(words);
    snprintf(words, sizeof words, "%s/S-001.stillarm", booth_folder);
    ck_assert_int_ne(access(words, F_OK), 0);
    run_well("verify");
    must_not_tell();
    run_well("list");
    must_not_tell();
    ck_assert_ptr_nonnull(strstr(output, "held"));
    booth_start(&k, TEST_DRIVEN_PROGRAM, NULL);
    GO({0, "start a sitting", "l", NULL}, {0, "held by ina", "\r", "watched-sittings"});
    see("held by ina");
    screen_must_not_tell();
    GO({0, "held by ina", "q", NULL}, {0, "start a sitting", "q", NULL});
    end(0);
}

/* ---- the release ---- */

static struct signer *unlock(struct store *st, const char *person, const char *typed)
{
    const struct moment m = {.unix_ms = INT64_C(1930228000000), .boot_ms = 9000000, .boot = "driven-by-a-test"};
    struct signer *s = NULL;
    struct pin *p = NULL;
    struct err e = {0};
    int32_t wait_s = 0;
    ck_assert_int_eq(trust_init(&e), ST_OK);
    ck_assert_int_eq(pin_new(&p, &e), ST_OK);
    for (; *typed != '\0'; typed++)
        ck_assert(pin_add(p, (unsigned char)*typed));
    ck_assert_msg(store_unlock(st, person, p, &m, &s, &wait_s, &e) == ST_OK, "%s", e.text);
    pin_free(p);
    return s;
}

/* Whatever a screen offers, the store asks whose it is. */
static void cannot_be_released_by_tia(void)
{
    const struct act a = {.kind = SAYS_RELEASE, .sitting = 1, .at = "2031-03-02T15:00:00+00:00"};
    struct store *st = NULL;
    struct err e = {0};
    open_store(&st);
    struct signer *s = unlock(st, "tia", TIA_PIN);
    ck_assert_int_eq(store_act(st, &a, s, &e), ST_PERMISSION);
    signer_free(s);
    store_close(st);
    ck_assert_int_eq(review_now(), REVIEW_HELD);
}

/* Neither reading it nor giving it takes any PIN but the witness's. */
static void release(void)
{
    booth_start(&k, TEST_DRIVEN_PROGRAM, "review");
    GO({0, "held 1", "h", NULL}, {0, "Held by the witness", "", "watched-queue"});
    screen_must_not_tell();
    GO({0, "S-001", "\r", NULL}, {0, "to read S-001", TIA_PIN "\r", "watched-pin-to-read"}, {0, "not the PIN", ESC, NULL});
    see("held by ina");
    screen_must_not_tell();
    GO({0, "held by ina", "\r", NULL}, {0, "to read S-001", INA_PIN "\r", NULL}, {0, "S-001 by tia", "d", "watched-timeline"},
       {0, "S-001 by tia", "e", "watched-stands-out"},
       {0, "to give the result of S-001", TIA_PIN "\r", NULL}, {0, "not the PIN", ESC, NULL}, {0, "S-001 by tia", "", NULL});
    ck_assert_int_eq(review_now(), REVIEW_HELD);
    GO({0, "S-001 by tia", "e", NULL}, {0, "to give the result of S-001", INA_PIN "\r", NULL},
       {0, "result given by ina", "q", "watched-released"}, {0, "No result is held", "q", NULL});
    end(0);
    ck_assert_int_eq(review_now(), REVIEW_RELEASED);
}

/* ---- what is told after it ---- */

/* `lapse N TIME RULE ITEM ...`: the rules and items in their order, one a line. */
static void lapses_of(const char *replayed, char *out, size_t cap)
{
    struct text t;
    text_init(&t, out, cap);
    for (const char *line = replayed; line != NULL && *line != '\0'; line = strchr(line, '\n'), line += line != NULL) {
        char rule[64], item[64];
        if (sscanf(line, "lapse\t%*d\t%*s\t%63s\t%63s", rule, item) == 2)
            text_addf(&t, "%s %s\n", rule, item);
    }
}

/* What is printed can be replayed, and says the same. */
static void replay_printed(const char *lapses, const char *const *expected)
{
    static char told[8192];
    booth_check_record(TEST_DRIVEN_PROGRAM, "S-001", expected);
    char words[160];
    snprintf(words, sizeof words, "replay %s/S-001.log", booth_folder);
    run_well(words);
    lapses_of(output, told, sizeof told);
    ck_assert_str_eq(told, lapses);
    run_well("verify");
}

static int count_of(const char *text, const char *words)
{
    int n = 0;
    for (const char *at = text; (at = strstr(at, words)) != NULL; at++)
        n++;
    return n;
}

START_TEST(six_planted_departures_are_those_that_are_told_once_the_witness_gives_the_result)
{
    static const char *const PRINTED[] = {"# not passed, before ina: 6 lapses, 3 of them critical; not seen: 0\n",
                                          "was: legs crossed (posture.legs)",
                                          "Asked: 25.4 to 40.6 cm; was: arm 42.0 cm (cuff.too-small)",
                                          "Asked: 300 s; was: 200 s (rest.short)",
                                          "(estimate.missing)",
                                          "Asked: 60 s; was: 31.500 s (interval.short)",
                                          "(told.missing)",
                                          "# reading 1 does not count, lapse",
                                          "# reading 2 does not count, lapse",
                                          "# average left arm: 125/77 mmHg, from 2 readings",
                                          NULL};
    static const char *const REPLAYED[] = {"void\tlapse", "result\tnot-passed\t6\t3\t0\n", "state\tsealed\n", NULL};
    open_booth();
    plant_six();
    is_kept_back();
    cannot_be_released_by_tia();
    release();
    run_well("print S-001");
    booth_must_hold(output, PRINTED);
    ck_assert_int_eq(count_of(output, "# lapse "), 6);
    ck_assert_int_eq(count_of(output, "does not count"), 2);
    replay_printed("cuff.too-small -\nitem.open posture.legs\nrest.short -\nestimate.missing -\ninterval.short -\ntold.missing -\n",
                   REPLAYED);
}
END_TEST

/* It is the witness's from the moment it ends, signed or not. */
START_TEST(what_ends_unsigned_is_kept_back_too)
{
    char words[200];
    open_booth();
    open_witnessed();
    GO({0, "No caffeine", "yyyyyyyyalk\r", NULL}, SQUEEZED(60000, "left arm"), VALUES("16012678"),
       {0, "1 reading", "sunwell\ry", NULL}, {0, "to stop S-001", "\t", NULL}, {0, "Not signed yet", "\r", NULL});
    end(0);
    ck_assert_int_eq(review_now(), REVIEW_UNSIGNED);
    must_be_held("print S-001");
    snprintf(words, sizeof words, "export S-001 %s/S-001.stillarm", booth_folder);
    must_be_held(words);
    run_well("list");
    must_not_tell();
    booth_start(&k, TEST_DRIVEN_PROGRAM, "review");
    GO({0, "signatures owed 1", "s", NULL}, {0, "S-001", "", NULL});
    screen_must_not_tell();
    GO({0, "S-001", "q", NULL});
    end(0);
}
END_TEST

START_TEST(a_sitting_in_which_nothing_departs_passes)
{
    static const char *const PRINTED[] = {"# passed, before ina: 0 lapses, 0 of them critical; not seen: 0\n",
                                          "# average left arm: 125/77 mmHg, from 2 readings", NULL};
    static const char *const REPLAYED[] = {"result\tpassed\t0\t0\t0\n", "state\tsealed\n", NULL};
    open_booth();
    open_witnessed();
    GO({0, "No caffeine", "yyyyyyyyal", NULL}, {0, "left arm", "yyyo31\r", NULL}, {0, "31 cm", "w1", NULL}, {0, "Snug", "yy", NULL},
       {0, "Back supported", "yyyyk\r", NULL}, {0, "needle stands at zero", "yyyr", NULL}, {299000, "at rest", "b70r", NULL},
       {1000, "at rest", "", NULL}, PALPATED, SQUEEZED(60000, "gone at 130"), VALUES("16012678"), SQUEEZED(60000, "1 reading"),
       VALUES("16012476"), {0, "2 readings", "t", NULL});
    finish();
    seal();
    must_be_held("print S-001");
    booth_start(&k, TEST_DRIVEN_PROGRAM, "review");
    GO({0, "held 1", "h", NULL}, {0, "S-001", "\r", NULL}, {0, "to read S-001", INA_PIN "\r", NULL}, {0, "S-001 by tia", "e", NULL},
       {0, "to give the result of S-001", INA_PIN "\r", NULL}, {0, "result given by ina", "q", NULL}, {0, "No result is held", "q", NULL});
    end(0);
    run_well("print S-001");
    booth_must_hold(output, PRINTED);
    ck_assert_int_eq(count_of(output, "# lapse "), 0);
    ck_assert_int_eq(count_of(output, "does not count"), 0);
    replay_printed("", REPLAYED);
}
END_TEST

int main(void)
{
    Suite *s = suite_create("witness");
    TCase *tc = tcase_create("witness");
    tcase_set_timeout(tc, 180);
    tcase_add_checked_fixture(tc, NULL, booth_close);
    tcase_add_test(tc, six_planted_departures_are_those_that_are_told_once_the_witness_gives_the_result);
    tcase_add_test(tc, a_sitting_in_which_nothing_departs_passes);
    tcase_add_test(tc, what_ends_unsigned_is_kept_back_too);
    suite_add_tcase(s, tc);
    SRunner *sr = srunner_create(s);
    srunner_run_all(sr, CK_NORMAL);
    const int failed = srunner_ntests_failed(sr);
    srunner_free(sr);
    return failed != 0;
}
