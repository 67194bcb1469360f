/* SPDX-License-Identifier: GPL-3.0-or-later */
/** @file test_command_verify.c  The verbs verify and export: what they print, and how they end, for scripts. */
#include "command/command.h"
#include "unit/command_run.h"
#include "unit/proof_hand.h"

/* A week at the desk in s.db, one sitting that is held after it, and the keys in k.keys. */
static void make_store(void)
{
    static struct desk d;
    char path[200], *keys = NULL;
    size_t len = 0;
    snprintf(path, sizeof path, "%s/s.db", run_folder);
    desk_open(&d, path);
    desk_week(&d);
    play_witnessed(&d);
    play_whole(&d, ANA, NULL, 124);
    NEED(export_keys(d.st, &keys, &len, &hand_err));
    snprintf(path, sizeof path, "%s/k.keys", run_folder);
    FILE *f = fopen(path, "wb");
    ck_assert(f != NULL && fwrite(keys, 1, len, f) == len && fclose(f) == 0);
    free(keys);
    desk_close(&d);
}

#define V "$S --db s.db verify "
#define X "$S --db s.db export "
#define EXPORTED X "S-001 s1.sitting && "

static const struct run_row ROWS[] = {
    { V, EXIT_FINE, "6 sittings: 5 signed, 1 whose signature is owed; " },
    { V, EXIT_FINE, "shows only against a copy exported before: stillarm verify FILE." },
    { V "S-002", EXIT_FINE, "1 sitting: 1 signed; 9 events, " },
    { V "6", EXIT_FINE, "What nobody has signed is only replayed" },
    { V "S-099", EXIT_FILES, "no sitting S-099" },
    { V "1 --keys k.keys", EXIT_USAGE, "--keys goes with an exported file" },
    { V "no-such.sitting", EXIT_FILES, "no-such.sitting cannot be read" },
    { "$S --db none.db verify", EXIT_FILES, "none.db" },
    { EXPORTED V "s1.sitting", EXIT_FINE, "1 sitting: 1 signed; " },
    { EXPORTED "$S --db elsewhere.db verify s1.sitting --keys k.keys && test ! -e elsewhere.db", EXIT_FINE, "as recorded" },
    { EXPORTED "sed -i s/us-adult/uk-adult/ s1.sitting; " V "s1.sitting --keys k.keys", EXIT_UNFINISHED, "wrong" },
    { EXPORTED "sed -i s/us-adult/uk-adult/ s1.sitting; " V "s1.sitting", EXIT_UNFINISHED, "wrong" },
    { EXPORTED "head -c 4000 s1.sitting > cut; " V "cut --keys k.keys", EXIT_UNFINISHED, "line " },
    { EXPORTED "head -c 400 k.keys > cut; " V "s1.sitting --keys cut", EXIT_FILES, "line " },
    { EXPORTED "sed -i '1s/1/2/' k.keys; " V "s1.sitting --keys k.keys", EXIT_FILES, "newer" },
    { EXPORTED V "k.keys --keys k.keys", EXIT_FILES, "no file of a sitting" },
    { EXPORTED V "s1.sitting --keys s1.sitting", EXIT_FILES, "no file of keys" },
    { EXPORTED X "1 s1.sitting", EXIT_FILES, "is there already" },
    { EXPORTED X "1 > again && " X "1 - > third && cmp s1.sitting again && cmp again third && echo same", EXIT_FINE, "same" },
    { EXPORTED "stat -c %a s1.sitting", EXIT_FINE, "600" },
    { X "5", EXIT_FILES, "held by eva" },
    { X "no", EXIT_USAGE, "names no sitting" },
    { X "1 no/such/folder", EXIT_FILES, "folder" },
    { X "1 > /dev/full", EXIT_FILES, "took only a part" },
    { EXPORTED "cp s1.sitting 14; " V "./14", EXIT_FINE, "1 sitting: 1 signed; " },
};

START_TEST(verify_and_export_end_as_documented)
{
    make_store();
    run_check(&ROWS[_i]);
}
END_TEST

START_TEST(what_is_wrong_stands_on_lines_of_its_own_and_the_first_again_at_the_end)
{
    static char out[60000];
    make_store();
    ck_assert_int_eq(run("sqlite3 s.db \"UPDATE sittings SET review = 'waiting' WHERE id = 1; UPDATE sittings SET day = 20300101 WHERE id = 2\""
                         " && " V, out, sizeof out), EXIT_UNFINISHED);
    const char *first = strstr(out, "S-001: "), *second = strstr(out, "\nS-002: "), *last = strstr(out, "The first: S-001: ");
    ck_assert_msg(first && second && last && first < second && second < last, "%s", out);
    ck_assert_msg(strstr(out, "in 2 sittings."), "%s", out);
}
END_TEST

/* Whoever receives a file has to see whose word it is. */
START_TEST(who_signed_is_said_with_what_standing)
{
    static const char *const FILES[] = { "s1.sitting --keys k.keys", "s1.sitting", "S-001" };
    make_store();
    must(X "S-001 s1.sitting");
    for (size_t i = 0; i < ARRAY_LEN(FILES); i++) {
        char line[300];
        snprintf(line, sizeof line, V "%s > said; grep -Ec '^sealed by ana [0-9a-f]{4} [0-9a-f]{4}$' said;"
                 "grep -Ec '^countersigned by eva [0-9a-f]{4} [0-9a-f]{4}: reviewed the record; self-declared$' said", FILES[i]);
        must_print(line, (const char *const[]){ "1\n1\n", NULL });
    }
    must_print(V "S-002", (const char *const[]){ "stopped by ben ", "\nsent back by ina ", "; vouched for by eva (self-declared line)\n",
                                                 "\nadded to by ben ", "\ncomment by ina ", NULL });
    must_print(V "S-004", (const char *const[]){ ": was present; self-declared\n", NULL });
    must_print(V "| grep -c ' by ' || true", (const char *const[]){ "0\n", NULL });
}
END_TEST

START_TEST(what_is_wrong_is_nobody_s_word)
{
    static char out[60000];
    make_store();
    must(X "S-001 s1.sitting && sed -i 's/value first 128/value first 126/' s1.sitting");
    ck_assert_int_eq(run(V "s1.sitting --keys k.keys", out, sizeof out), EXIT_UNFINISHED);
    ck_assert_msg(!strstr(out, "sealed by ana") && !strstr(out, "countersigned by eva "), "%s", out);
}
END_TEST

START_TEST(the_course_s_key_is_shown_whole_where_it_vouches)
{
    static const char COURSE[] = "printf 'ledge 67\nledge 67\n' | $S keys course c.key && printf 'ledge 67\nlemon-92\n' | $S --db s.db"
                                 " keys vouch eva --course c.key --by eva";
    make_store();
    must(COURSE);
    must_print(V "S-001 > said; grep -c 'reviewed the record; vouched for by the course$' said;"
               " grep -Ec \"^the course's key: ([0-9a-f]{4} ){7}[0-9a-f]{4};\" said", (const char *const[]){ "1\n1\n", NULL });
}
END_TEST

int main(void)
{
    TCase *t = run_case_new("verify and export", 60);
    tcase_add_loop_test(t, verify_and_export_end_as_documented, 0, (int)ARRAY_LEN(ROWS));
    tcase_add_test(t, what_is_wrong_stands_on_lines_of_its_own_and_the_first_again_at_the_end);
    tcase_add_test(t, who_signed_is_said_with_what_standing);
    tcase_add_test(t, what_is_wrong_is_nobody_s_word);
    tcase_add_test(t, the_course_s_key_is_shown_whole_where_it_vouches);
    return run_case(t);
}
