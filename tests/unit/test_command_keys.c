/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The verb keys: the course's key and its file, vouching and how it is shown, the public keys as a file. */
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "command/command.h"
#include "command_run.h"

#define COURSE "'ledge 67'"
#define EVA "'brook 52'"
#define INA "'slate 63'"
#define TYPE(pins, words) "printf '%s\\n' " pins " | $S --db s.db " words

static char out[60000];

static void preceptors(void)
{
    must("$S --db s.db people add eva Eva --role preceptor && $S --db s.db people add ina Ina --role preceptor");
    must(TYPE(EVA " " EVA, "people pin eva"));
    must(TYPE(INA " " INA, "people pin ina"));
    must(TYPE(COURSE " " COURSE, "keys course c.key"));
}

static void must_list(const char *who, const char *standing)
{
    char line[100];
    snprintf(line, sizeof line, "$S --db s.db keys | grep '^%s '", who);
    ck_assert_int_eq(run(line, out, sizeof out), 0);
    ck_assert_msg(strstr(out, standing), "%s is listed as: %s", who, out);
}

START_TEST(the_course_s_key_is_made_once_and_for_its_owner_alone)
{
    must("printf 'ledge 67\\nledge 67\\n' | $S keys course c.key");
    ck_assert_int_eq(run("stat -c %a c.key && cksum c.key", out, sizeof out), 0);
    ck_assert_ptr_eq(strstr(out, "600"), out);
    must("cp c.key d.key");
    ck_assert_int_eq(run("printf 'ledge 67\\nledge 67\\n' | $S keys course c.key", out, sizeof out), EXIT_FILES);
    ck_assert_ptr_nonnull(strstr(out, "was left as it is"));
    must("cmp c.key d.key");
    ck_assert_int_eq(run("ls", out, sizeof out), 0); /* it needs no store and makes none */
    ck_assert_str_eq(out, "c.key\nd.key\n");
    ck_assert_int_eq(run("printf 'ledge 67\\nledge 68\\n' | $S keys course e.key || ls e.key", out, sizeof out), EXIT_USAGE);
}
END_TEST

/* What it says comes next does: the words that stand for people replaced. */
START_TEST(the_commands_named_after_making_it_work)
{
    must("$S --db s.db people add eva Eva --role preceptor && $S --db s.db people add ina Ina --role preceptor");
    must(TYPE(EVA " " EVA, "people pin eva"));
    must(TYPE(INA " " INA, "people pin ina"));
    must("printf 'ledge 67\\nledge 67\\n' | $S keys course \"the course's.key\" >said 2>&1");
    must("sed -n 's/^  stillarm/$S --db s.db/p' said | sed 's/PRECEPTOR/eva/' >commands");
    must("test $(wc -l <commands) = 2");
    must("printf '%s\n' " COURSE " " EVA " | sh -c \"$(sed -n '1s/PERSON/eva/p' commands)\"");
    must("printf '%s\n' " COURSE " | sh -c \"$(sed -n '2s/PERSON/ina/p' commands)\"");
    must_list("eva", "vouched for by the course");
    must_list("ina", "vouched for by the course");
}
END_TEST

START_TEST(a_line_of_vouching_is_shown_wherever_a_key_is)
{
    static const char *const BY_COURSE[] = { "vouched for by the course", NULL };
    preceptors();
    must_list("eva", "self-declared");
    must(TYPE(EVA, "keys vouch ina --by eva"));
    must_list("ina", "vouched for by eva (self-declared line)");
    must(TYPE(COURSE " " EVA, "keys vouch eva --course c.key --by eva"));
    must_list("eva", "vouched for by the course");
    must_list("ina", "eva (course)");
    must_list("course", "course");
    must_print("$S --db s.db people | grep ^eva", BY_COURSE);
    must("$S --db s.db verify");
}
END_TEST

/* Of a few digits anybody can make another key that has the same. */
START_TEST(the_course_s_key_is_shown_by_the_whole_of_its_code)
{
    char made[8000], code[80];
    must("$S --db s.db people add eva Eva --role preceptor");
    must(TYPE(EVA " " EVA, "people pin eva"));
    ck_assert_int_eq(run(TYPE(COURSE " " COURSE, "keys course c.key"), made, sizeof made), 0);
    must(TYPE(COURSE " " EVA, "keys vouch eva --course c.key --by eva"));
    ck_assert_int_eq(run("sed -n 's/^key //p' c.key | sed 's/..../& /g; s/ $//' | tr -d '\\n'", code, sizeof code), 0);
    ck_assert_uint_eq(strlen(code), 39);
    ck_assert_msg(strstr(made, code), "%s", made);
    must_list("course", code);
}
END_TEST

/* Anybody can make a key and call it the course's: who is a preceptor here takes it in, or it stays outside. */
START_TEST(a_course_s_key_comes_in_by_a_preceptor_alone)
{
    preceptors();
    ck_assert_int_eq(run(TYPE(COURSE, "keys vouch ina --course c.key"), out, sizeof out), EXIT_FILES);
    ck_assert_msg(strstr(out, "--by PERSON"), "%s", out);
    ck_assert_int_eq(run(TYPE(COURSE " " INA, "keys vouch ina --course c.key --by ina"), out, sizeof out), EXIT_FILES);
    ck_assert_int_eq(run(TYPE(COURSE " " INA, "keys vouch ina --course c.key --by eva"), out, sizeof out), EXIT_USAGE);
    must_list("ina", "not vouched for");
    ck_assert_int_ne(run("$S --db s.db keys | grep ^course", out, sizeof out), 0);
    must(TYPE(COURSE " " EVA, "keys vouch ina --course c.key --by eva"));
    must_list("ina", "vouched for by the course");
}
END_TEST

/* Files that are no key of this course. */
static const struct run_row FILES[] = {
    { "printf 'ledge 67\\n' | $S --db s.db keys vouch ina --course none.key", EXIT_FILES, "none.key" },
    { "head -c 300 c.key > cut.key; printf 'ledge 67\\n' | $S --db s.db keys vouch ina --course cut.key", EXIT_USAGE, "cut.key" },
    { "sed s/^public.*/&0/ c.key > long.key; printf 'ledge 67\\n' | $S --db s.db keys vouch ina --course long.key", EXIT_USAGE, "long.key" },
    { "sed 's/key 1/key 2/' c.key > new.key; printf 'ledge 67\\n' | $S --db s.db keys vouch ina --course new.key", EXIT_FILES, "newer" },
    { ": > empty.key; printf 'ledge 67\\n' | $S --db s.db keys vouch ina --course empty.key", EXIT_USAGE, "empty.key" },
    { "head -c 5000 /dev/zero > zero.key; printf 'ledge 67\\n' | $S --db s.db keys vouch ina --course zero.key", EXIT_USAGE, "zero.key" },
    { "printf 'ledge 68\\n' | $S --db s.db keys vouch ina --course c.key", EXIT_USAGE, "not the PIN" },
    { "printf 'ledge 67\\nledge 67\\n' | $S keys course other.key && printf 'ledge 67\\n' | $S --db s.db keys vouch ina --course other.key",
      EXIT_FILES, "course" },
    { "printf 'ledge 67\\n' | $S --db s.db keys vouch zoe --course c.key", EXIT_FILES, "zoe" },
    { "$S --db s.db keys vouch ina --course c.key --by eva", EXIT_USAGE, "--by PERSON" },
    { "printf 'slate 63\\n' | $S --db s.db keys vouch ina --by ina", EXIT_FILES, "may not do this here" },
};

START_TEST(another_key_vouches_for_nobody)
{
    static char before[8000], after[8000];
    preceptors();
    must(TYPE(COURSE " " EVA, "keys vouch eva --course c.key --by eva"));
    ck_assert_int_eq(run("$S --db s.db keys", before, sizeof before), 0);
    run_check(&FILES[_i]);
    ck_assert_int_eq(run("$S --db s.db keys", after, sizeof after), 0);
    ck_assert_str_eq(after, before);
}
END_TEST

START_TEST(the_public_keys_go_into_a_new_file_that_holds_no_secret)
{
    preceptors();
    must("$S --db s.db keys export b.keys && $S --db s.db keys export > c.keys && cmp b.keys c.keys");
    ck_assert_int_eq(run("$S --db s.db keys export b.keys", out, sizeof out), EXIT_FILES);
    ck_assert_ptr_nonnull(strstr(out, "was left as it is"));
    ck_assert_int_ne(run("grep -i -e ^box -e salt -e nonce -e secret b.keys", out, sizeof out), 0);
    ck_assert_int_eq(run("$S --db s.db keys export nowhere/b.keys", out, sizeof out), EXIT_FILES);
    ck_assert_int_eq(run("$S --db s.db keys export > /dev/full", out, sizeof out), EXIT_FILES);
}
END_TEST

int main(void)
{
    TCase *t = run_case_new("keys at the command line", 120);
    tcase_add_test(t, the_course_s_key_is_made_once_and_for_its_owner_alone);
    tcase_add_test(t, the_commands_named_after_making_it_work);
    tcase_add_test(t, a_line_of_vouching_is_shown_wherever_a_key_is);
    tcase_add_test(t, the_course_s_key_is_shown_by_the_whole_of_its_code);
    tcase_add_test(t, a_course_s_key_comes_in_by_a_preceptor_alone);
    tcase_add_loop_test(t, another_key_vouches_for_nobody, 0, (int)(sizeof FILES / sizeof FILES[0]));
    tcase_add_test(t, the_public_keys_go_into_a_new_file_that_holds_no_secret);
    return run_case(t);
}
