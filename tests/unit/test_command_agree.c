/* SPDX-License-Identifier: GPL-3.0-or-later */
/** @file test_command_agree.c  The verb `agree`: what it prints, refuses and counts, and how it ends. */
#include <check.h>
#include <jansson.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "command/agree_rows.h"
#include "command/command.h"
#include "command_run.h"

#define HEADER "measurer,subject,measurer_systolic,measurer_diastolic,listener_systolic,listener_diastolic"
#define HEAD "echo " HEADER " > p.csv; "
/* Six pairs of ana and two of ben, who reads s1 too. */
#define PAIRS \
    HEAD "printf 'ana,s1,120,80,122,80\\nana,s1,122,80,120,78\\nana,s2,140,90,138,92\\nana,s3,110,70,110,70\\nana,s4,128,84,130,82\\n" \
         "ana,s5,134,76,134,78\\nben,s1,130,80,120,80\\nben,s2,150,96,138,92\\n' >> p.csv; "
#define WITH(row) HEAD "printf '%s\\n' 'ana,s1,120,80,122,80' '" row "' 'ana,s1,120,80,122,80' >> p.csv; "
#define REFUSED(row, says) { WITH(row) "$S agree p.csv", EXIT_USAGE, says }

static const struct run_row LINES[] = {
    { "$S agree", EXIT_USAGE, "agree needs more" },
    { "$S agree a b", EXIT_USAGE, "does not know what to do with" },
    { "$S agree nowhere.csv", EXIT_FILES, "nowhere.csv cannot be read: No such file" },
    { "$S agree .", EXIT_FILES, ". is a folder" },
    { "touch p.csv; $S agree p.csv", EXIT_USAGE, "p.csv:1: nothing stands here" },
    { "echo a,b > p.csv; $S agree p.csv", EXIT_USAGE,
      "lacks `measurer`, `subject`, `measurer_systolic`, `listener_systolic`, `measurer_diastolic`, `listener_diastolic`" },
    { "echo " HEADER ",subject > p.csv; $S agree p.csv", EXIT_USAGE, "p.csv:1:7: the header has `subject` a second time" },
    { "head -c 3000 $S > p.csv; $S agree p.csv", EXIT_USAGE, "a NUL byte" },
    { HEAD "$S agree p.csv", EXIT_FINE, "No pairs: there is nothing to say yet" },
    { HEAD "printf 'ana,s,120,80,120,80\\nben,s,124,80,120,80\\n' >> p.csv; $S agree p.csv", EXIT_FINE, "     1 sys    0.0    -" },
    { HEAD "$S agree p.csv --of ana", EXIT_USAGE, "no row of the measurer `ana`" },
    { PAIRS "$S agree p.csv", EXIT_FINE, "8 pairs of 7 subjects" },
    { PAIRS "$S agree - < p.csv", EXIT_FINE, "standard input: 8 rows, 2 measurers" },
    { PAIRS "cat p.csv | $S agree -", EXIT_FINE, "8 pairs of 7 subjects" },
    { PAIRS "mkfifo f; cat p.csv > f & $S agree f", EXIT_FINE, "8 pairs of 7 subjects" },
    { PAIRS "sed 's/$/\\r/; 1s/^/\\xef\\xbb\\xbf/' p.csv > q.csv; $S agree q.csv", EXIT_FINE, "8 pairs of 7 subjects" },
    { PAIRS "sed 's/[^,]*/\"&\"/g' p.csv > q.csv; $S agree q.csv", EXIT_FINE, "8 pairs of 7 subjects" },
    { PAIRS "awk -F, '{ print $6 \",\\\"x,\\n\\\"\\\"y\\\"\\\"\\\",\" $5 \",\" $4 \",,\" $3 \",\" $2 \",\" $1 }' p.csv | $S agree -", EXIT_FINE,
      "8 pairs of 7 subjects" },
    { PAIRS "$S agree p.csv --of ben", EXIT_FINE, "Of ben alone: 6 rows of others stay out" },
    { PAIRS "$S agree p.csv --of Ben", EXIT_USAGE, "no row of the measurer `Ben`, but 8 of others" },
    { PAIRS "$S agree p.csv --yardstick none", EXIT_USAGE, "no sound yardstick `none`" },
    { PAIRS "$S agree p.csv --graph digits", EXIT_USAGE, "--graph says which graph --plot draws" },
    { PAIRS "$S agree p.csv --plot x.pdf --graph release", EXIT_USAGE, "`release` is no graph of agree" },
    { PAIRS "$S agree p.csv --plot x.pdf --graph dig", EXIT_USAGE, "`dig` is no graph of agree" },
    { PAIRS "$S agree p.csv --plot x.txt", EXIT_USAGE, ".pdf" },
    { PAIRS "$S agree p.csv --plot x.pdf --graph learning", EXIT_USAGE, "one measurer's, and the file has 2. Name one: --of ID" },
    { PAIRS "touch x.pdf; $S agree p.csv --plot x.pdf", EXIT_FILES, "x.pdf" },
    { PAIRS "cp p.csv \"$(printf 'a\\033[31m.csv')\"; $S agree a*.csv", EXIT_FINE, "a?[31m.csv: 8 rows" },
    { PAIRS "$S agree p.csv --csv", EXIT_USAGE, "agree takes no --csv" },
    { PAIRS "$S agree p.csv > /dev/full", EXIT_FILES, "could not be written" },
    { PAIRS "$S agree p.csv --json > /dev/full", EXIT_FILES, "could not be written" },
    REFUSED("ana,s2,,80,122,80", "p.csv:3:3: measurer_systolic is empty. --skip-bad"),
    REFUSED(",s2,120,80,122,80", "p.csv:3:1: measurer is empty"),
    REFUSED("ana,s2,120,80,122,", "p.csv:3:6: listener_diastolic is empty"),
    REFUSED("ana,s2,120,80,high,80", "p.csv:3:5: listener_systolic is `high`. It must be a number"),
    REFUSED("ana,s2,120,80,12O,80", "p.csv:3:5: listener_systolic is `12O`. It must be a number"),
    REFUSED("ana,s2, 120,80,122,80", "p.csv:3:3: measurer_systolic is ` 120`"),
    REFUSED("ana,s2,120,\"80,5\",122,80", "p.csv:3:4: measurer_diastolic is `80,5`. It must be a number"),
    REFUSED("ana,s2,120,80,5,122,80", "p.csv:3:7: the row has 7 cells, the header has 6. A decimal sign is a point"),
    REFUSED("ana,s2,120,80.,122,80", "`80.`. It must be a number"),
    REFUSED("ana,s2,120,.5,122,80", "`.5`. It must be a number"),
    REFUSED("ana,s2,1e2,80,122,80", "`1e2`. It must be a number"),
    REFUSED("ana,s2,+120,80,122,80", "`+120`. It must be a number"),
    REFUSED("ana,s2,nan,80,122,80", "`nan`. It must be a number"),
    REFUSED("ana,s2,-120,80,122,80", "`-120`. It must lie from 0 to 999.999"),
    REFUSED("ana,s2,1000,80,122,80", "`1000`. It must lie from 0 to 999.999"),
    REFUSED("ana,s2,99999999999999999999999999,80,122,80", "It must lie from 0 to 999.999"),
    REFUSED("ana,s2,120.0001,80,122,80", "`120.0001`. It can have three decimals at most"),
    REFUSED("ana,s2,120,80,122", "p.csv:3:5: the row has 5 cells, the header has 6"),
    REFUSED("ana", "p.csv:3:1: the row has 1 cells"),
    REFUSED("   ,s2,120,80,122,80", "p.csv:3:1: measurer is `   `. A name has 1 to 64 bytes"),
    REFUSED("ana,a234567890123456789012345678901234567890123456789012345678901234x,1,2,3,4", "p.csv:3:2: subject is `a2345"),
    REFUSED("ana,s\x01,120,80,122,80", "p.csv:3:2: subject is `s?`. A name has"),
    REFUSED("an\xff,s1,120,80,122,80", "p.csv:3:1: measurer is `an?`. A name has"),
    REFUSED("\"ana\"x,s1,120,80,122,80", "p.csv:3:1: a quote stands inside of a cell"),
    REFUSED("ana,\"s1,120,80,122,80", "p.csv:3:2: the quote that is opened here is closed nowhere"),
    { WITH("\"ana\",\"s\"\"1\"\"\",\"120\",80.5,122.125,0") "$S agree p.csv", EXIT_FINE, "3 pairs of 2 subjects" },
    { HEAD "printf 'ana,s1,120,80,122,80\\nana,s2,1' >> p.csv; $S agree p.csv", EXIT_USAGE, "p.csv:3:3: the text ends in the middle of a row" },
    { HEAD "printf 'ana,s1,120,80,122,80' >> p.csv; $S agree p.csv", EXIT_FINE, "1 pair of 1 subject" },
    { HEAD "printf 'ana,s1,120,80,122,80\\nana,s2,12\\0000,80,122,80\\n' >> p.csv; $S agree p.csv", EXIT_USAGE, "p.csv:3:3: a NUL byte" },
    /* an open quote would leave out the rest as one row: it is refused all the same */
    { WITH("ana,\"s1,120,80,122,80") "$S agree p.csv --skip-bad", EXIT_USAGE, "closed nowhere" },
};

START_TEST(agree_ends_as_documented)
{
    run_check(&LINES[_i]);
}
END_TEST

#define MANY_BAD \
    PAIRS "printf '%s\\n' 'ana,s1,x,80,122,80' 'ana,s1,1,2' 'ana,,120,80,122,80' 'ana,s1,120,80,,80' 'ana,s1,1200,80,1,80' " \
          "'ana,s1,120,80,122,80,1' 'a\"na,s1,120,80,122,80' 'ana,s1,1.2345,1,1,1' '  ,s1,120,80,122,80' >> p.csv; "

START_TEST(bad_rows_are_left_out_and_counted_by_reason)
{
    static const char *const HOLDS[] = { "9 of 17 rows were left out: 2 with another number of cells than the header, 1 with a quote inside of a cell, "
                                         "2 with an empty cell, 1 with a name that is none, 1 with something else than a number, "
                                         "1 with a number outside 0 to 999.999, 1 with more than three decimals.",
                                         "\n  p.csv:10:3: measurer_systolic is `x`", "8 pairs of 7 subjects", NULL };
    must_print(MANY_BAD "$S agree p.csv --skip-bad", HOLDS);
}
END_TEST

/* What it leaves out is said aside, too: somebody who keeps only what was printed has it there, and a script's log as well. */
START_TEST(what_was_left_out_stands_on_both_streams)
{
    char out[60000];
    ck_assert_int_eq(run(MANY_BAD "$S agree p.csv --skip-bad 2>&1 >/dev/null", out, sizeof out), EXIT_FINE);
    ck_assert_msg(strstr(out, "stillarm: 9 of 17 rows were left out"), "%s", out);
    ck_assert_int_eq(run(MANY_BAD "$S agree p.csv --skip-bad 2>/dev/null", out, sizeof out), EXIT_FINE);
    ck_assert_msg(strstr(out, "9 of 17 rows were left out:\n  2 with another number of cells than the header, first in line 11\n"
                              "  1 with a quote inside of a cell, in line 16\n"), "%s", out);
    ck_assert_int_eq(run(PAIRS "$S agree p.csv --skip-bad 2>&1 >/dev/null", out, sizeof out), EXIT_FINE);
    ck_assert_str_eq(out, "");
}
END_TEST

START_TEST(rows_left_out_are_said_to_be_of_the_whole_file)
{
    static const char *const HOLDS[] = { "stillarm: 9 of 17 rows of the whole file, all measurers', were left out: 2",
                                         "\n9 of 17 rows of the whole file, all measurers', were left out:\n", NULL };
    must_print(MANY_BAD "$S agree p.csv --skip-bad --of ben", HOLDS);
}
END_TEST

START_TEST(skill_is_not_denied_where_too_few_pairs_could_show_it)
{
    static const char *const HOLDS[] = { "\nskill: too few pairs   dia", "\nskill not yet          dia", "\nskill at pair 25 ", NULL };
    must_print(HEAD "row() { for i in $(seq $2); do echo $1,s$i,120,80,120,$3; done; }; "
                    "(row ana 24 80; row ben 25 90; row cem 25 80) >> p.csv; $S agree p.csv", HOLDS);
}
END_TEST

START_TEST(the_first_ten_bad_rows_are_told_each_and_the_rest_counted)
{
    char out[60000];
    int lines = 0;
    must(MANY_BAD "seq 1 4 >> p.csv");
    ck_assert_int_eq(run("$S agree p.csv --skip-bad 2>&1 >/dev/null", out, sizeof out), EXIT_FINE);
    for (const char *p = out; (p = strstr(p, "\n  p.csv:")) != NULL; p++)
        lines++;
    ck_assert_msg(lines == 10, "%d: %s", lines, out);
    ck_assert_ptr_nonnull(strstr(out, "\n  p.csv:18:1: measurer is `  `. A name has"));
    ck_assert_ptr_nonnull(strstr(out, "\n  p.csv:19:1: the row has 1 cells"));
    ck_assert_ptr_nonnull(strstr(out, "\n  and 3 more\n"));
}
END_TEST

START_TEST(rows_of_empty_cells_are_told_aside_and_are_no_fault)
{
    char out[60000];
    must(PAIRS "echo ,,,,, >> p.csv");
    ck_assert_int_eq(run("$S agree p.csv 2>&1 >/dev/null", out, sizeof out), EXIT_FINE);
    ck_assert_str_eq(out, "stillarm: Line 10 has empty cells alone and was passed over.\n");
    must("echo ,, >> p.csv; $S agree p.csv 2>/dev/null | grep -q 'p.csv: 8 rows'");
    ck_assert_int_eq(run("$S agree p.csv 2>&1 >/dev/null", out, sizeof out), EXIT_FINE);
    ck_assert_str_eq(out, "stillarm: 2 rows have empty cells alone and were passed over, the first in line 10.\n");
}
END_TEST

START_TEST(rows_that_look_mistyped_are_told_and_stay_in_the_figures)
{
    static const struct run_row TOLD[] = {
        { PAIRS "printf 'ana,s1,12,84,122,80\nana,s1,80,112,80,80\nana,s1,301,80,122,29\n' >> p.csv; $S agree p.csv", EXIT_FINE,
          "3 rows look mistyped, and are in all figures as they stand:\n  of them (a row can be of more than one kind):\n  2 with a systolic that is not above its diastolic\n"
          "  2 with a value below 30 mmHg\n  1 with a value above 300 mmHg\n  2 with measurer and listener more than 40 mmHg apart\n"
          "  line 10, ana: 12/84, listener 122/80\n  line 11, ana: 80/112, listener 80/80\n  line 12, ana: 301/80, listener 122/29\n" },
        { "$S agree p.csv", EXIT_FINE, "11 pairs of 7 subjects" },
        { PAIRS "echo ana,s1,80,80,90,70 >> p.csv; $S agree p.csv", EXIT_FINE,
          "1 row looks mistyped, and is in all figures as it stands:\n  1 with a systolic that is not above its diastolic\n  line 10, ana: 80/80, listener 90/70\n" },
        { PAIRS "echo ana,s1,212,80,122,80 >> p.csv; $S agree p.csv", EXIT_FINE,
          "1 row looks mistyped, and is in all figures as it stands:\n  1 with measurer and listener more than 40 mmHg apart\n"
          "  line 10, ana: systolic 212, listener 122\n" },
        { PAIRS "echo ana,s1,122.5,41,120,81.25 >> p.csv; $S agree p.csv", EXIT_FINE, "  line 10, ana: diastolic 41, listener 81.25\n" },
        { PAIRS "echo ana,s1,301,80,122,80 >> p.csv; $S agree p.csv", EXIT_FINE,
          "  of it (a row can be of more than one kind):\n  1 with a value above 300 mmHg\n  1 with measurer" },
        { PAIRS "for i in $(seq 1 7); do echo ana,s1,600,80,90,70; done >> p.csv; $S agree p.csv", EXIT_FINE,
          "  line 14, ana: systolic 600, listener 90\n  and 2 more\n" },
    };
    char out[60000];
    for (size_t i = 0; i < ARRAY_LEN(TOLD); i++)
        run_check(&TOLD[i]);
    ck_assert_int_eq(run(PAIRS "printf 'ana,s1,300,70,260,30\nana,s1,71,30,111,70\n' >> p.csv; $S agree p.csv", out, sizeof out), EXIT_FINE);
    ck_assert_msg(!strstr(out, "mistyped"), "%s", out);
}
END_TEST

START_TEST(several_measurers_are_told_to_be_pooled_and_how_far_they_lie_apart)
{
    char out[60000];
    ck_assert_int_eq(run(PAIRS "$S agree p.csv", out, sizeof out), EXIT_FINE);
    const char *told = strstr(out, "What follows pools 2 measurers"), *words = strstr(out, "the measurer reads");
    ck_assert_msg(told && words && told < words, "%s", out);
    ck_assert_ptr_nonnull(strstr(out, "  Their systolic biases lie from 0.0 to +11.0 mmHg, 11.0 apart.\n"));
    ck_assert_int_eq(run("$S agree p.csv --of ana", out, sizeof out), EXIT_FINE);
    ck_assert_ptr_null(strstr(out, "What follows pools"));
}
END_TEST

/* A long name has a mark where it was cut; those that would look alike stand in full. */
START_TEST(cut_names_are_marked_and_differ)
{
    static const char *const HOLDS[] = { "\nana                  1 sys", "\nexactly-15-long      1 sys", "\nthis-is-longer~      1 sys",
                                         "\nward-twelve-night-ana\n                     1 sys",
                                         "\nward-twelve-night-ben\n                     1 sys", NULL };
    must_print(HEAD "for m in ana exactly-15-long this-is-longer-ana ward-twelve-night-ana ward-twelve-night-ben; do "
                    "echo $m,s1,120,80,122,80; done >> p.csv; $S agree p.csv", HOLDS);
}
END_TEST

static json_t *json_from(const char *line)
{
    static char out[600000];
    json_error_t e;
    ck_assert_msg(run(line, out, sizeof out) == EXIT_FINE, "%s", out);
    json_t *j = json_loads(out, 0, &e);
    ck_assert_msg(j != NULL, "line %d: %s: %.300s", e.line, e.text, out);
    return j;
}

/* The member at a path, which must be there. */
static const json_t *at(const json_t *j, const char *path)
{
    char name[64];
    while (*path) {
        size_t n = strcspn(path, "/");
        snprintf(name, sizeof name, "%.*s", (int)n, path);
        j = json_is_array(j) ? json_array_get(j, (size_t)atoi(name)) : json_object_get(j, name);
        ck_assert_msg(j != NULL, "no `%s`", path);
        path += n + (path[n] == '/');
    }
    return j;
}

START_TEST(json_holds_all_and_each_measurer)
{
    json_t *j = json_from(MANY_BAD "$S agree p.csv --skip-bad --json 2>/dev/null");
    ck_assert_str_eq(json_string_value(at(j, "input/file")), "p.csv");
    ck_assert_int_eq(json_integer_value(at(j, "input/rows")), 17);
    ck_assert_int_eq(json_integer_value(at(j, "input/left_out/rows")), 9);
    ck_assert_int_eq(json_integer_value(at(j, "input/left_out/reasons/empty")), 2);
    ck_assert_int_eq(json_integer_value(at(j, "input/left_out/reasons/cells")), 2);
    ck_assert_ptr_nonnull(strstr(json_string_value(at(j, "input/left_out/first")), "p.csv:10:3:"));
    ck_assert_int_eq(json_integer_value(at(j, "input/empty_rows")), 0);
    ck_assert_int_eq(json_integer_value(at(j, "input/look_mistyped/rows")), 0);
    ck_assert_int_eq(json_integer_value(at(j, "all/pairs")), 8);
    ck_assert_uint_eq(json_array_size(at(j, "measurers")), 2);
    ck_assert_str_eq(json_string_value(at(j, "measurers/0/measurer")), "ana");
    ck_assert_str_eq(json_string_value(at(j, "measurers/1/measurer")), "ben");
    ck_assert_int_eq(json_integer_value(at(j, "measurers/1/pairs")), 2);
    /* ana: -2 2 2 0 -2 0; ben: 10 12 */
    ck_assert(json_real_value(at(j, "measurers/1/systolic/figures/bias/value")) - 11.0 < 1e-12);
    ck_assert(json_real_value(at(j, "all/systolic/figures/bias/value")) - 2.75 < 1e-12);
    ck_assert(json_is_null(at(j, "all/learning")) && json_is_object(at(j, "measurers/0/learning")));
    json_decref(j);
}
END_TEST

START_TEST(json_counts_what_looks_mistyped_and_empty_rows)
{
    json_t *j = json_from(PAIRS "printf ',,,,,\nana,s1,12,84,122,80\nana,s1,320,84,122,80\n' >> p.csv; $S agree p.csv --json 2>/dev/null");
    ck_assert_int_eq(json_integer_value(at(j, "input/empty_rows")), 1);
    ck_assert_int_eq(json_integer_value(at(j, "input/rows")), 10);
    ck_assert_int_eq(json_integer_value(at(j, "input/look_mistyped/rows")), 2);
    ck_assert_int_eq(json_integer_value(at(j, "input/look_mistyped/order")), 1);
    ck_assert_int_eq(json_integer_value(at(j, "input/look_mistyped/low")), 1);
    ck_assert_int_eq(json_integer_value(at(j, "input/look_mistyped/high")), 1);
    ck_assert_int_eq(json_integer_value(at(j, "input/look_mistyped/apart")), 2);
    ck_assert_int_eq(json_integer_value(at(j, "input/look_mistyped/lines/0")), 11);
    ck_assert_int_eq(json_integer_value(at(j, "all/pairs")), 10);
    json_decref(j);
}
END_TEST

/* One measurer's pairs are in their order: then the learning curve is said of all of them, too. */
START_TEST(one_measurer_is_told_with_everything)
{
    static const char *const HOLDS[] = { "6 pairs of 5 subjects", "Learning curve, pair after pair", "systolic", NULL };
    char out[60000];
    json_t *j = json_from(PAIRS "$S agree p.csv --of ana --json");
    ck_assert_int_eq(json_integer_value(at(j, "all/pairs")), 6);
    ck_assert_int_eq(json_integer_value(at(j, "all/learning/answers")), 6);
    ck_assert_int_eq(json_integer_value(at(j, "input/rows_of_others")), 2);
    json_decref(j);
    must_print(PAIRS "$S agree p.csv --of ana", HOLDS);
    ck_assert_int_eq(run(PAIRS "$S agree p.csv --of ana", out, sizeof out), EXIT_FINE);
    ck_assert_ptr_null(strstr(out, "By measurer"));
}
END_TEST

/* Nothing of n = 0, 1, 2 or of equal values is a number that is none. */
START_TEST(degenerate_data_give_words)
{
    static const char *const DATA[] = {
        HEAD, HEAD "echo ana,s1,120,80,122,80 >> p.csv; ", HEAD "printf 'ana,s1,120,80,122,80\\nana,s2,130,80,122,80\\n' >> p.csv; ",
        HEAD "for i in 1 2 3 4 5; do echo ana,s1,120,80,120,80; done >> p.csv; ",
        HEAD "for i in 1 2 3 4 5; do echo ana,s$i,120,80,122,80; done >> p.csv; ",
        HEAD "for i in 1 2 3 4 5; do echo ana,s$i,12$i,8$i,12$i,8$i; done >> p.csv; ",
        HEAD "for i in 1 2 3 4 5; do echo a$i,s1,0,0,999.999,999.999; done >> p.csv; ",
    };
    char line[1400], out[200000];
    snprintf(line, sizeof line, "%s $S agree p.csv && $S agree p.csv --json", DATA[_i]);
    ck_assert_msg(run(line, out, sizeof out) == EXIT_FINE, "%s", out);
    for (const char *p = out; (p = strpbrk(p, "nNiI")); p++)
        ck_assert_msg(strncasecmp(p, "nan", 3) != 0 || (p > out && p[-1] >= 'a' && p[-1] <= 'z'), "%.80s", p);
    ck_assert_ptr_null(strstr(out, "inf "));
    ck_assert_ptr_null(strstr(out, "-0.0 "));
}
END_TEST

START_TEST(lines_fit_78_columns)
{
    char out[60000];
    ck_assert_int_eq(run(MANY_BAD "echo ana,s1,1,80,301,80 >> p.csv; $S agree p.csv --skip-bad 2>/dev/null; " PAIRS
                         "$S agree p.csv; $S agree p.csv --of ben", out, sizeof out), EXIT_FINE);
    for (char *line = strtok(out, "\n"); line; line = strtok(NULL, "\n"))
        ck_assert_msg(strlen(line) <= 78, "%zu: %s", strlen(line), line);
}
END_TEST

START_TEST(a_graph_is_written_of_each_kind)
{
    must(PAIRS "$S agree p.csv --plot a.pdf | grep 'The graph `difference` is in a.pdf.' && head -c 4 a.pdf | grep PDF");
    must("$S agree p.csv --plot a.svg --graph digits --json >/dev/null && grep -q '<svg' a.svg");
    must("$S agree p.csv --plot a.png --graph learning --of ana && head -c 4 a.png | grep PNG");
    must("! $S agree p.csv --plot a.png --graph learning --of ana && head -c 4 a.png | grep PNG");
}
END_TEST

static json_t *json_of_file(const char *name)
{
    char path[128];
    snprintf(path, sizeof path, "%s/%s", run_folder, name);
    json_t *j = json_load_file(path, 0, NULL);
    ck_assert_ptr_nonnull(j);
    return j;
}

/* More of them than the tables begin with, of names short and long; in another order they come to the same. */
START_TEST(many_measurers_and_subjects_stay_apart)
{
    must(HEAD "for i in $(seq 1 350); do for s in a ab abc abcd abcdefgh abcdefghi; do "
              "echo m$i,$s$i,12$((i % 10)),80,120,80; echo measurer-$i,$s,120,80,120,80; done; done > q; "
              "(cat p.csv q) | $S agree - --json > j; (cat p.csv; sort -R q) | $S agree - --json > k");
    json_t *j = json_of_file("j"), *k = json_of_file("k");
    ck_assert_uint_eq(json_array_size(at(j, "measurers")), 700);
    ck_assert_int_eq(json_integer_value(at(j, "all/subjects")), 4200);
    ck_assert_int_eq(json_integer_value(at(j, "all/pairs")), 4200);
    for (int i = 0; i < 700; i++) {
        const json_t *m = json_array_get(at(j, "measurers"), (size_t)i);
        ck_assert_int_eq(json_integer_value(at(m, "subjects")), 6);
        ck_assert_str_eq(json_string_value(at(m, "measurer")),
                         json_string_value(at(json_array_get(at(k, "measurers"), (size_t)i), "measurer")));
    }
    ck_assert(json_equal(at(j, "all/systolic"), at(k, "all/systolic")));
    json_decref(j);
    json_decref(k);
}
END_TEST

/* Two measurers in turns, so much that it is added by a second thread; and each alone, which is not. */
#define LARGE \
    "awk 'BEGIN { for (i = 0; i < 240000; i++) print (i % 2 ? \"ana\" : \"ben\") \",s\" (i * 7 % 500) \",\" " \
    "100 + i * 31 % 60 \",\" 60 + i * 17 % 40 \",\" 101 + i * 29 % 58 \",\" 60 + i * 13 % 41 }' > rows; " HEAD \
    "cat p.csv rows > large.csv; test $(wc -c < large.csv) -gt 4194304; "

START_TEST(a_large_file_comes_to_the_same_as_its_parts)
{
    must(LARGE "for who in ana ben; do (cat p.csv; grep ^$who rows) > part.csv; $S agree part.csv --json > $who; done; "
         "test $(wc -c < part.csv) -lt 4194304; $S agree large.csv --json > both; $S agree - --json < large.csv > piped");
    json_t *both = json_of_file("both"), *piped = json_of_file("piped");
    ck_assert(json_equal(at(both, "measurers"), at(piped, "measurers")));
    ck_assert_int_eq(json_integer_value(at(both, "all/pairs")), 240000);
    static const char *const WHO[] = { "ana", "ben" };
    for (size_t i = 0; i < ARRAY_LEN(WHO); i++) {
        json_t *part = json_of_file(WHO[i]);
        ck_assert(json_equal(json_array_get(at(both, "measurers"), i), json_array_get(at(part, "measurers"), 0)));
        json_decref(part);
    }
    json_decref(both);
    json_decref(piped);
}
END_TEST

/* Far behind the first rows that were added. */
START_TEST(a_fault_late_in_a_large_file_ends_it_without_figures)
{
    char out[4000];
    must(LARGE "(cat large.csv; echo 'ana,s1,120,80,x,80'; cat rows) > late.csv");
    ck_assert_int_eq(run("$S agree late.csv", out, sizeof out), EXIT_USAGE);
    ck_assert_msg(strstr(out, "late.csv:240002:5: listener_systolic is `x`") && !strstr(out, "pairs"), "%s", out);
    static const struct run_row SKIPPED = { "$S agree late.csv --skip-bad", EXIT_FINE, "1 of 480001 rows was left out:\n  1 with something else than a number, in line 240002\n" };
    run_check(&SKIPPED);
}
END_TEST

START_TEST(too_many_measurers_are_refused)
{
    static const struct run_row ROW = { HEAD "seq 1 100001 | sed 's/$/,s,120,80,120,80/' >> p.csv; $S agree p.csv", EXIT_FILES,
                                        "p.csv:100002: There are more than 100000 measurers" };
    run_check(&ROW);
}
END_TEST

START_TEST(values_are_taken_in_thousandths)
{
    static const struct { const char *text; int64_t value; /* -1: none */ } VALUES[] = {
        { "0", 0 }, { "120", 120000 }, { "80.5", 80500 }, { "999.999", 999999 }, { "080", 80000 }, { "0.001", 1 }, { "7.25", 7250 },
        { "", -1 }, { "1000", -1 }, { "0120", -1 }, { "1.", -1 }, { ".1", -1 }, { "1.2345", -1 }, { "-1", -1 }, { "1 ", -1 },
        { "1,5", -1 }, { "12a", -1 }, { "1.2.3", -1 }, { "1/", -1 }, { "1:", -1 },
    };
    for (size_t i = 0; i < ARRAY_LEN(VALUES); i++) {
        int64_t value = -1;
        ck_assert_msg(agree_value(VALUES[i].text, strlen(VALUES[i].text), &value) == (VALUES[i].value >= 0), "`%s`", VALUES[i].text);
        ck_assert_int_eq(value, VALUES[i].value);
    }
}
END_TEST

int main(void)
{
    TCase *t = run_case_new("agree", 120);
    tcase_add_loop_test(t, agree_ends_as_documented, 0, ARRAY_LEN(LINES));
    tcase_add_test(t, bad_rows_are_left_out_and_counted_by_reason);
    tcase_add_test(t, what_was_left_out_stands_on_both_streams);
    tcase_add_test(t, rows_left_out_are_said_to_be_of_the_whole_file);
    tcase_add_test(t, skill_is_not_denied_where_too_few_pairs_could_show_it);
    tcase_add_test(t, the_first_ten_bad_rows_are_told_each_and_the_rest_counted);
    tcase_add_test(t, rows_of_empty_cells_are_told_aside_and_are_no_fault);
    tcase_add_test(t, rows_that_look_mistyped_are_told_and_stay_in_the_figures);
    tcase_add_test(t, several_measurers_are_told_to_be_pooled_and_how_far_they_lie_apart);
    tcase_add_test(t, cut_names_are_marked_and_differ);
    tcase_add_test(t, json_counts_what_looks_mistyped_and_empty_rows);
    tcase_add_test(t, json_holds_all_and_each_measurer);
    tcase_add_test(t, one_measurer_is_told_with_everything);
    tcase_add_loop_test(t, degenerate_data_give_words, 0, 7);
    tcase_add_test(t, lines_fit_78_columns);
    tcase_add_test(t, a_graph_is_written_of_each_kind);
    tcase_add_test(t, many_measurers_and_subjects_stay_apart);
    tcase_add_test(t, a_large_file_comes_to_the_same_as_its_parts);
    tcase_add_test(t, a_fault_late_in_a_large_file_ends_it_without_figures);
    tcase_add_test(t, too_many_measurers_are_refused);
    tcase_add_test(t, values_are_taken_in_thousandths);
    return run_case(t);
}
