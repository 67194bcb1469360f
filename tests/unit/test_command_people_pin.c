/* SPDX-License-Identifier: GPL-3.0-or-later */
/* PINs at the command line: set, changed, reset; what is signed by who is in charge; the signature that is owed. */
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "command/command.h"
#include "command_run.h"

#define ANA "'hazel 41'"
#define EVA "'brook 52'"
#define INA "'slate 63'"
/* Lines of standard input for a verb on the store. */
#define TYPE(pins, words) "printf '%s\\n' " pins " | $S --db s.db " words
#define PEOPLE                                                                                                       \
    "$S --db s.db people add ana 'Ana Wirth' && $S --db s.db people add tia Tia --role trainee && "                  \
    "$S --db s.db people add eva Eva --role preceptor && $S --db s.db people add ina Ina --role preceptor"

static char out[60000];

static void people(void)
{
    must(PEOPLE);
    must(TYPE(ANA " " ANA, "people pin ana"));
}

/* eva is self-declared, ina vouched for by her. */
static void preceptors(void)
{
    people();
    must(TYPE(EVA " " EVA, "people pin eva"));
    must(TYPE(INA " " INA, "people pin ina"));
    must(TYPE(EVA, "keys vouch ina --by eva"));
}

static const struct run_row LINES[] = {
    { TYPE("12345 12345", "people pin tia"), EXIT_USAGE, "6" },
    { TYPE("123456 123456", "people pin tia"), EXIT_USAGE, "row" },
    { TYPE("aaaaaaa aaaaaaa", "people pin tia"), EXIT_USAGE, "again and again" },
    { TYPE("'hazel 41' 'hazel 42'", "people pin tia"), EXIT_USAGE, "not the same" },
    { TYPE("$(head -c 70 /dev/zero | tr '\\0' x)", "people pin tia"), EXIT_USAGE, "at most 60 bytes" },
    { "printf 'hazel\\377 41\\n' | $S --db s.db people pin tia", EXIT_USAGE, "cannot be a PIN" },
    { "$S --db s.db people pin tia", EXIT_USAGE, "No PIN came" },
    { "$S --db s.db people pin tia " ANA, EXIT_USAGE, "people knows" },
    { TYPE(ANA " " ANA, "people pin zoe"), EXIT_FILES, "zoe" },
    { TYPE("'hazel 42' 'willow 7' 'willow 7'", "people pin ana"), EXIT_USAGE, "not the PIN" },
    { TYPE("'hazel 42'", "people retire tia"), EXIT_USAGE, "not the PIN" },
    { TYPE(ANA, "people retire tia --by tia"), EXIT_FILES, "Those who may: ana" },
    { "$S --db s.db people role tia queen", EXIT_USAGE, "is no role" },
    { "$S --db s.db people role tia", EXIT_USAGE, "role ID ROLE" },
    { "$S --db s.db people role zoe trainee", EXIT_FILES, "zoe" },
    { "$S --db s.db people role ana preceptor", EXIT_FILES, "the role stays" },
    { TYPE(ANA, "people reset tia --by ana"), EXIT_FILES, "may not do this here" },
    { TYPE(ANA, "keys vouch eva --by ana"), EXIT_FILES, "may not do this here" },
    { "$S --db s.db keys vouch eva", EXIT_USAGE, "--course FILE" },
};

START_TEST(what_will_not_do_changes_nothing)
{
    static char before[8000], after[8000];
    people();
    ck_assert_int_eq(run("$S --db s.db people; $S --db s.db keys", before, sizeof before), 0);
    run_check(&LINES[_i]);
    ck_assert_int_eq(run("$S --db s.db people --all; $S --db s.db keys", after, sizeof after), 0);
    ck_assert_str_eq(after, before);
    must(TYPE(ANA " " ANA " " ANA, "people pin ana"));
}
END_TEST

START_TEST(a_changed_pin_opens_the_same_key_and_the_old_one_does_not)
{
    char key[200], again[200];
    people();
    ck_assert_int_eq(run("$S --db s.db keys", key, sizeof key), 0);
    must(TYPE(ANA " 'willow 7' 'willow 7'", "people pin ana"));
    ck_assert_int_eq(run("$S --db s.db keys", again, sizeof again), 0);
    ck_assert_str_eq(again, key);
    ck_assert_int_eq(run(TYPE(ANA, "people retire tia"), out, sizeof out), EXIT_USAGE);
    must(TYPE("'willow 7'", "people retire tia"));
}
END_TEST

START_TEST(a_pin_holds_what_alphabets_hold)
{
    people();
    must(TYPE("'høst №9 秋' 'høst №9 秋'", "people pin tia"));
    must("printf 'høst №9 秋\\r\\nhazel 41\\nhazel 41\\n' | $S --db s.db people pin tia");
}
END_TEST

START_TEST(a_reset_ends_the_key_and_the_next_pin_begins_another)
{
    static const char *const HOLDS[] = { "ana          technician", "ended", NULL };
    preceptors();
    must(TYPE(EVA, "people reset ana --by eva"));
    must_print("$S --db s.db keys | grep ^ana", HOLDS);
    ck_assert_int_eq(run(TYPE(ANA, "people pin ana"), out, sizeof out), EXIT_USAGE); /* a new one is chosen twice */
    must(TYPE("'willow 7' 'willow 7'", "people pin ana"));
    ck_assert_int_eq(run("$S --db s.db keys | grep -c ^ana", out, sizeof out), 0);
    ck_assert_str_eq(out, "2\n");
    must("$S --db s.db verify");
}
END_TEST

START_TEST(nobody_resets_her_own_and_a_preceptor_reset_needs_a_new_vouch)
{
    preceptors();
    ck_assert_int_eq(run(TYPE(EVA, "people reset eva --by eva"), out, sizeof out), EXIT_FILES);
    must(TYPE(EVA, "people reset ina --by eva"));
    must(TYPE(INA " " INA, "people pin ina"));
    must("$S --db s.db people | grep ^ina");
    ck_assert_int_eq(run(TYPE(INA, "people retire tia --by ina"), out, sizeof out), EXIT_FILES);
    must(TYPE(EVA, "keys vouch ina --by eva"));
    must(TYPE(INA, "people retire tia --by ina"));
}
END_TEST

START_TEST(with_a_preceptor_here_a_technician_is_not_in_charge)
{
    preceptors();
    must("$S --db s.db kit add cuff adult 27 34");
    ck_assert_int_eq(run(TYPE(ANA, "kit retire adult --by ana"), out, sizeof out), EXIT_FILES);
    ck_assert_ptr_nonnull(strstr(out, "eva, ina"));
    ck_assert_int_eq(run(TYPE(EVA, "kit retire adult"), out, sizeof out), EXIT_USAGE);
    ck_assert_ptr_nonnull(strstr(out, "--by who does it: one of eva, ina"));
    must(TYPE(INA, "kit retire adult --by ina"));
    must(TYPE(EVA, "people retire ina --by eva"));
    must(TYPE(EVA, "people retire tia")); /* one alone needs no --by */
    ck_assert_int_eq(run("$S --db s.db kit; $S --db s.db people", out, sizeof out), 0);
    ck_assert_ptr_null(strstr(out, "adult"));
    ck_assert_ptr_null(strstr(out, "tia"));
    must("$S --db s.db verify");
}
END_TEST

/* S-004 of the demo was stopped in a hurry and is not signed. */
START_TEST(the_signature_that_is_owed_is_given_once_by_the_measurer)
{
    run_fill_store(NULL);
    ck_assert_int_eq(run("$S --db s.db list | grep ^S-004", out, sizeof out), 0);
    ck_assert_ptr_nonnull(strstr(out, "unsigned"));
    ck_assert_int_eq(run(TYPE("dora-demo", "sign 4"), out, sizeof out), EXIT_USAGE);
    must(TYPE("ana-demo", "sign S-004"));
    ck_assert_int_eq(run("$S --db s.db list | grep ^S-004", out, sizeof out), 0);
    ck_assert_ptr_nonnull(strstr(out, "waiting"));
    ck_assert_int_eq(run(TYPE("ana-demo", "sign 4"), out, sizeof out), EXIT_FILES);
    ck_assert_ptr_nonnull(strstr(out, "signed already"));
    must("$S --db s.db verify");
}
END_TEST

/* A measurer is a word of the sitting; who signs has to be a person here. */
START_TEST(who_is_no_person_here_is_told_how_to_become_one)
{
    run_fill_store(NULL);
    must("sqlite3 s.db \"UPDATE sittings SET measurer = 'zoe' WHERE id = 4\"");
    ck_assert_int_eq(run(TYPE("ana-demo", "sign 4"), out, sizeof out), EXIT_FILES);
    ck_assert_msg(strstr(out, "stillarm people add zoe \"NAME\""), "%s", out);
}
END_TEST

/* S-006 of the demo is witnessed; before its release nobody sees a figure of it. */
START_TEST(a_held_sitting_shows_no_figure_and_says_who_holds_it)
{
    static const char *const LINES_OF[] = { "print 6", "worth 6" };
    run_fill_store(NULL);
    must("$S --db s.db print 6 && $S --db s.db worth 6");
    must("sqlite3 s.db \"UPDATE sittings SET review = 'held' WHERE id = 6\"");
    for (size_t i = 0; i < sizeof LINES_OF / sizeof LINES_OF[0]; i++) {
        char line[60];
        snprintf(line, sizeof line, "$S --db s.db %s", LINES_OF[i]);
        ck_assert_int_eq(run(line, out, sizeof out), EXIT_FILES);
        ck_assert_ptr_nonnull(strstr(out, "held by dora"));
        ck_assert_ptr_null(strstr(out, "122"));
    }
    ck_assert_int_eq(run("$S --db s.db list | grep ^S-006", out, sizeof out), 0);
    ck_assert_ptr_nonnull(strstr(out, "held"));
    ck_assert_ptr_null(strstr(out, " of "));
}
END_TEST

/* ---- the same on pages, line by line; dora is the only preceptor of the demo ---- */

#define KEYS_OF(lines) "printf '%s\\n' " lines " | $S --db s.db --plain"

static void must_be_usual(const char *protocol)
{
    ck_assert_int_eq(run("sqlite3 s.db \"SELECT value FROM settings WHERE name = 'protocol'\"", out, sizeof out), 0);
    out[strcspn(out, "\n")] = '\0';
    ck_assert_str_eq(out, protocol);
}

START_TEST(another_usual_protocol_takes_the_pin_of_who_is_in_charge)
{
    run_fill_store(NULL);
    run(KEYS_OF("b '' europe-adult '' '' esc esc q"), out, sizeof out);
    ck_assert_ptr_nonnull(strstr(out, "to make europe-adult the usual protocol"));
    must_be_usual("us-adult");
    run(KEYS_OF("b '' europe-adult '' '' ana-demo esc esc q"), out, sizeof out);
    ck_assert_ptr_nonnull(strstr(out, "not the PIN"));
    must_be_usual("us-adult");
    run(KEYS_OF("b '' europe-adult practice none dora-demo q"), out, sizeof out);
    must_be_usual("europe-adult");
    ck_assert_int_eq(run("sqlite3 s.db \"SELECT value FROM settings WHERE name = 'help'\"", out, sizeof out), 0);
    ck_assert_str_eq(out, "none\n");
    must("$S --db s.db verify");
}
END_TEST

START_TEST(the_help_of_the_booth_is_one_of_three)
{
    run_fill_store(NULL);
    run(KEYS_OF("b '' '' '' some steps q"), out, sizeof out);
    ck_assert_ptr_nonnull(strstr(out, "help is full, steps or none"));
    ck_assert_int_eq(run("sqlite3 s.db \"SELECT value FROM settings WHERE name = 'help'\"", out, sizeof out), 0);
    ck_assert_str_eq(out, "steps\n");
}
END_TEST

START_TEST(a_page_takes_kit_and_people_out_of_use_by_that_pin)
{
    static char rows[8000];
    run_fill_store(NULL);
    run(KEYS_OF("k x esc q p x esc q q"), out, sizeof out);
    ck_assert_ptr_nonnull(strstr(out, "No PIN was given"));
    ck_assert_int_eq(run("$S --db s.db kit --all; $S --db s.db people --all", rows, sizeof rows), 0);
    ck_assert_ptr_null(strstr(rows, "(retired)"));
    run(KEYS_OF("k x dora-demo q p x dora-demo q q"), out, sizeof out);
    ck_assert_ptr_nonnull(strstr(out, "g1 is out of use"));
    ck_assert_int_eq(run("$S --db s.db kit --all | grep g1; $S --db s.db people --all | grep ^ana", rows, sizeof rows), 0);
    ck_assert_ptr_nonnull(strstr(rows, "(retired)"));
    ck_assert_ptr_nonnull(strstr(strstr(rows, "(retired)") + 1, "(retired)"));
    must("$S --db s.db verify");
}
END_TEST

/* A folder of somebody's own under the same names: whoever reads the sitting with the usual one is told. */
START_TEST(another_text_of_its_protocol_is_told_where_a_sitting_is_read)
{
    run_fill_store(NULL);
    must("cp -r " TEST_SOURCE_DIR "/assets/protocols lax && for f in lax/*.protocol; do echo '# laxer' >> $f; done");
    ck_assert_int_eq(run("printf 'q\\n' | $S --db s.db review S-001 --plain", out, sizeof out), 0);
    ck_assert_ptr_null(strstr(out, "another text of"));
    ck_assert_int_eq(run("printf 'q\\n' | STILLARM_PROTOCOLS=$PWD/lax $S --db s.db review S-001 --plain", out, sizeof out), 0);
    ck_assert_msg(strstr(out, "judged by another text of"), "%s", out);
    ck_assert_int_eq(run("printf 'q\\n' | STILLARM_PROTOCOLS=/nowhere $S --db s.db review S-001 --plain", out, sizeof out), 0);
    ck_assert_ptr_null(strstr(out, "judged by"));
}
END_TEST

START_TEST(the_people_page_sets_changes_vouches_and_resets)
{
    run_fill_store(NULL);
    /* eva is added as a preceptor: measures now, the cursor on her row */
    run(KEYS_OF("p a eva 'Eva Lind' preceptor p 'brook 52' 'brook 52' v dora-demo q q"), out, sizeof out);
    ck_assert_int_eq(run("$S --db s.db keys | grep ^eva", out, sizeof out), 0);
    ck_assert_ptr_nonnull(strstr(out, "vouched for by dora (course)"));
    /* she, who has standing now, resets ben's; both could: she is chosen */
    run(KEYS_OF("p j r j enter 'brook 52' q q"), out, sizeof out);
    ck_assert_int_eq(run("$S --db s.db keys | grep ^ben", out, sizeof out), 0);
    ck_assert_msg(strstr(out, "ended"), "%s", out);
    must("$S --db s.db verify");
}
END_TEST

/* Whoever could not give the result afterwards does not look on: zoe, whom nobody vouched for, and then dora, retired. */
START_TEST(only_who_could_give_the_result_looks_on)
{
    run_fill_store(NULL);
    must("$S --db s.db people add zoe Zoe --role preceptor");
    must(TYPE("'mason 84' 'mason 84'", "people pin zoe"));
    run(KEYS_OF("b '' '' assessment '' enter '' down down down zoe esc q q") " | grep -v '^.enter.'", out, sizeof out);
    ck_assert_msg(strstr(out, "Known here: dora."), "%s", out);
    ck_assert_msg(strstr(out, "zoe is no preceptor here, or nobody has vouched"), "%s", out);
    must(TYPE("dora-demo", "people retire dora --by dora"));
    run(KEYS_OF("enter '' '' dora esc q q") " | grep '^not yet'", out, sizeof out);
    ck_assert_msg(strstr(out, "no preceptor here has standing yet"), "%s", out);
}
END_TEST

/* Who sets a store up is a technician, unasked. */
START_TEST(a_role_can_be_said_anew_until_there_is_a_pin)
{
    static const char *const SAID[] = { "ana is a preceptor from now on.", NULL };
    static const char *const LISTED[] = { "preceptor", "self-declared", NULL };
    must("$S --db s.db people add ana 'Ana Wirth'");
    must_print("$S --db s.db people role ana preceptor", SAID);
    must(TYPE(ANA " " ANA, "people pin ana"));
    must_print("$S --db s.db people | grep ^ana", LISTED);
    must("$S --db s.db verify");
}
END_TEST

START_TEST(the_people_page_goes_through_the_roles_until_there_is_a_pin)
{
    run_fill_store(NULL);
    run(KEYS_OF("p a eva 'Eva Lind' '' c q q"), out, sizeof out);
    ck_assert_msg(strstr(out, "eva has another role now"), "%s", out);
    ck_assert_int_eq(run("$S --db s.db people | grep ^eva", out, sizeof out), 0);
    ck_assert_ptr_nonnull(strstr(out, "preceptor"));
    run(KEYS_OF("p j j j c c q q"), out, sizeof out);
    ck_assert_int_eq(run("$S --db s.db people | grep ^eva", out, sizeof out), 0);
    ck_assert_ptr_nonnull(strstr(out, "technician"));
    run(KEYS_OF("p c q q") " | grep '^ana has had'", out, sizeof out);
    ck_assert_msg(strstr(out, "the role stays"), "%s", out);
}
END_TEST

/* Whoever measures now has another row than the cursor: which one is meant is said. */
START_TEST(the_people_page_says_whose_row_the_keys_act_on)
{
    run_fill_store(NULL);
    run(KEYS_OF("p a eva 'Eva Lind' preceptor q q") " | grep 'keys act on' | tail -1", out, sizeof out);
    ck_assert_str_eq(out, "The keys act on the row of eva: no PIN yet.\n");
    run(KEYS_OF("p q q") " | grep -e 'keys act on' -e 'measures now'", out, sizeof out);
    ck_assert_msg(strstr(out, "eva: Eva Lind, preceptor, no PIN yet; measures now"), "%s", out);
    ck_assert_msg(strstr(out, "The keys act on the row of ana: key "), "%s", out);
}
END_TEST

START_TEST(a_held_sitting_opens_no_page)
{
    run_fill_store(NULL);
    must("sqlite3 s.db \"UPDATE sittings SET review = 'held' WHERE id = 6\"");
    run(KEYS_OF("l enter q q"), out, sizeof out);
    ck_assert_ptr_nonnull(strstr(out, "S-006 is held by dora"));
    ck_assert_ptr_null(strstr(out, "122/78"));
}
END_TEST

int main(void)
{
    TCase *t = run_case_new("PINs at the command line", 120);
    tcase_add_loop_test(t, what_will_not_do_changes_nothing, 0, (int)(sizeof LINES / sizeof LINES[0]));
    tcase_add_test(t, a_changed_pin_opens_the_same_key_and_the_old_one_does_not);
    tcase_add_test(t, a_pin_holds_what_alphabets_hold);
    tcase_add_test(t, a_reset_ends_the_key_and_the_next_pin_begins_another);
    tcase_add_test(t, nobody_resets_her_own_and_a_preceptor_reset_needs_a_new_vouch);
    tcase_add_test(t, with_a_preceptor_here_a_technician_is_not_in_charge);
    tcase_add_test(t, the_signature_that_is_owed_is_given_once_by_the_measurer);
    tcase_add_test(t, who_is_no_person_here_is_told_how_to_become_one);
    tcase_add_test(t, a_held_sitting_shows_no_figure_and_says_who_holds_it);
    tcase_add_test(t, another_usual_protocol_takes_the_pin_of_who_is_in_charge);
    tcase_add_test(t, the_help_of_the_booth_is_one_of_three);
    tcase_add_test(t, a_page_takes_kit_and_people_out_of_use_by_that_pin);
    tcase_add_test(t, another_text_of_its_protocol_is_told_where_a_sitting_is_read);
    tcase_add_test(t, the_people_page_sets_changes_vouches_and_resets);
    tcase_add_test(t, a_role_can_be_said_anew_until_there_is_a_pin);
    tcase_add_test(t, the_people_page_goes_through_the_roles_until_there_is_a_pin);
    tcase_add_test(t, the_people_page_says_whose_row_the_keys_act_on);
    tcase_add_test(t, only_who_could_give_the_result_looks_on);
    tcase_add_test(t, a_held_sitting_opens_no_page);
    return run_case(t);
}
