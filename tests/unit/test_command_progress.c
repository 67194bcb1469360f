/* SPDX-License-Identifier: GPL-3.0-or-later */
/** @file test_command_progress.c  The verb `progress`, as it is called: text, CSV, JSON, graphs, and what it refuses. */
#include <jansson.h>
#include <math.h>

#include "command/progress_load.h"
#include "command_run.h"
#include "config/yardstick_text.h"
#include "progress_hand.h"

static char out[400000];

/* Two of ana's sittings with pairs, one of ben's without, into s.db of the test's folder. */
static void fill(void)
{
    char command[200];
    open_store();
    struct signer *eva = key_of("eva");
    signer_free(key_of("ina"));
    OK(store_act(st, &(struct act){ .kind = SAYS_VOUCH, .of = "ina", .at = HAND_KEYS_AT }, eva, &e));
    signer_free(eva);
    for (int i = 0; i < 4; i++) {
        char subject[16], date[24];
        snprintf(subject, sizeof subject, "K%d", i);
        snprintf(date, sizeof date, "2031-0%d-02", 1 + i);
        sit_down("ana", subject, date, NULL);
        if (i == 1)
            refused("inflate listen", RULE_SETTLE_SHORT);
        hear(124 + 2 * i, 78, "eva", 120 + 4 * i, 80, false);
        hear(124 + 2 * i, 78, "ina", 122 + 2 * i, 78, false);
        seal_it();
    }
    sit_down("ben", "K9", "2031-03-02", NULL);
    say(1000, "stop \"called away\"");
    snprintf(command, sizeof command, "cp %s/s.db* %s/", hand_folder, run_folder);
    store_close(st);
    ck_assert_int_eq(system(command), 0);
    snprintf(command, sizeof command, "%s/s.db", hand_folder);
    OK(store_open(command, STORE_READ, &st, &e));
}

/* The record that the verb should tell, straight from the store. */
static void expected(const char *person, struct progress *now, struct progress_row *before)
{
    static struct yardsticks ys;
    OK(yardsticks_load(TEST_SOURCE_DIR "/assets/protocols", &ps, &ys, &e));
    const struct yardstick *y = yardsticks_find(&ys, YARDSTICK_USUAL);
    ck_assert_ptr_nonnull(y);
    const struct progress_ask ask = { .yardstick = y, .scheme = protocols_scheme(&ps, y->categories), .until_day = 20311231,
                                      .since_day = 20310301 };
    OK(progress_load(st, &ask, person, now, before, &e));
    yardsticks_free(&ys);
}

static void same_number(const json_t *j, double value)
{
    ck_assert(json_is_number(j));
    ck_assert_msg(fabs(json_number_value(j) - value) <= 0, "%.17g, not %.17g", json_number_value(j), value);
}

static void same_figure(const json_t *j, const struct figure *f)
{
    const json_t *value = json_object_get(j, "value"), *low = json_object_get(j, "low");
    if (f->lack != LACK_NONE) {
        ck_assert(json_is_null(value) && json_is_null(low));
        ck_assert_str_eq(json_string_value(json_object_get(j, "lack")), LACK_WORDS[f->lack]);
        return;
    }
    same_number(value, f->value);
    ck_assert(json_is_null(json_object_get(j, "lack")));
    if (f->limits_lack == LACK_NONE)
        same_number(low, f->low);
    else
        ck_assert(json_is_null(low));
}

START_TEST(text_of_a_person_begins_with_the_answer)
{
    fill();
    ck_assert_int_eq(run("$S --db s.db progress ana --until 2031-12-31 --since 2031-03-01", out, sizeof out), 0);
    const char *answer = strstr(out, "by the yardstick trainee; a preceptor decides");
    ck_assert_msg(answer && strstr(out, "Ana Torres (ana), trainee") == out, "%s", out);
    ck_assert(answer < strstr(out, "Sittings:"));
    ck_assert_ptr_nonnull(strstr(out, "(settle.short)"));
    ck_assert_ptr_nonnull(strstr(out, "pairs: 4, now 8"));
    ck_assert_ptr_nonnull(strstr(out, "certifies nobody"));
    ck_assert_ptr_null(strstr(out, "nan"));
    close_store();
}
END_TEST

START_TEST(group_has_a_row_for_each)
{
    fill();
    ck_assert_int_eq(run("$S --db s.db progress --until 2031-12-31", out, sizeof out), 0);
    ck_assert_ptr_nonnull(strstr(out, "\nana "));
    ck_assert_ptr_nonnull(strstr(out, "\nben "));
    ck_assert_ptr_nonnull(strstr(out, "\ntec "));
    ck_assert_ptr_null(strstr(out, "\neva "));
    close_store();
}
END_TEST

START_TEST(json_holds_the_very_figures)
{
    static struct progress now;
    struct progress_row before;
    json_error_t why;
    fill();
    expected("ana", &now, &before);
    ck_assert_int_eq(run("$S --db s.db progress ana --json --until 2031-12-31 --since 2031-03-01", out, sizeof out), 0);
    json_t *all = json_loads(out, JSON_REJECT_DUPLICATES, &why);
    ck_assert_msg(all != NULL, "%s at %d: %s", why.text, why.line, out);
    const json_t *one = json_array_get(json_object_get(all, "people"), 0), *a = json_object_get(one, "agreement");
    ck_assert_str_eq(json_string_value(json_object_get(one, "person")), "ana");
    ck_assert_str_eq(json_string_value(json_object_get(one, "first_day")), "2031-01-02");
    for (int side = 0; side < SIDE_COUNT; side++)
        for (int i = 0; i < SIDE_FIGURE_COUNT; i++)
            same_figure(json_object_get(json_object_get(json_object_get(a, SIDE_WORDS[side]), "figures"), SIDE_FIGURES[i].id),
                        &now.record.agreement.side[side].figure[i]);
    for (int i = 0; i < JOINT_FIGURE_COUNT; i++)
        same_figure(json_object_get(json_object_get(a, "both"), JOINT_FIGURES[i].id), &now.record.agreement.joint[i]);
    const json_t *ready = json_object_get(one, "readiness");
    ck_assert_str_eq(json_string_value(json_object_get(ready, "answer")), READINESS_WORDS[now.result.answer]);
    ck_assert_int_gt((int)json_array_size(json_object_get(ready, "criteria")), 0);
    ck_assert_int_eq(json_integer_value(json_object_get(json_object_get(one, "before"), "pairs")), before.pairs);
    ck_assert_int_eq(before.pairs, 4);
    ck_assert(json_is_number(json_object_get(json_object_get(all, "rates"), "false_reach")));
    json_decref(all);
    close_store();
}
END_TEST

/* 0 would read as today. */
START_TEST(days_since_a_pair_are_null_without_one)
{
    json_error_t why;
    fill();
    ck_assert_int_eq(run("$S --db s.db progress --json --until 2031-12-31", out, sizeof out), 0);
    json_t *all = json_loads(out, JSON_REJECT_DUPLICATES, &why);
    ck_assert_msg(all != NULL, "%s at %d: %s", why.text, why.line, out);
    for (size_t i = 0; i < 2; i++) {
        const json_t *one = json_array_get(json_object_get(all, "people"), i);
        const json_t *record = json_object_get(json_object_get(one, "readiness"), "record");
        ck_assert_str_eq(json_string_value(json_object_get(one, "person")), i == 0 ? "ana" : "ben");
        ck_assert_int_eq(json_is_null(json_object_get(record, "days-since-pair")), i == 1);
    }
    json_decref(all);
    close_store();
}
END_TEST

/* ---- CSV ---- */

/* The cells of one record of RFC 4180 out of *at, which moves past it. */
static int csv_cells(char **at, char *cells[], int cap)
{
    int n = 0;
    char *from = *at, *to = from;
    for (bool is_open = true; is_open;) {
        ck_assert_int_lt(n, cap);
        cells[n++] = to;
        if (*from == '"') {
            for (from++; *from != '"' || from[1] == '"'; from++) {
                ck_assert(*from);
                from += *from == '"';
                *to++ = *from;
            }
            from++;
        } else {
            while (*from && *from != ',' && *from != '\r')
                *to++ = *from++;
        }
        is_open = *from == ',';
        if (!is_open)
            ck_assert_msg(from[0] == '\r' && from[1] == '\n', "no CRLF at the end of a row");
        from += is_open ? 1 : 2;
        *to++ = '\0';
    }
    *at = from;
    return n;
}

static int column(char *names[], int count, const char *name)
{
    for (int i = 0; i < count; i++)
        if (strcmp(names[i], name) == 0)
            return i;
    ck_abort_msg("no column %s", name);
    return -1;
}

START_TEST(csv_parses_back_into_the_figures)
{
    static struct progress now;
    struct progress_row before;
    static char *names[400], *ana[400], *ben[400];
    fill();
    expected("ana", &now, &before);
    ck_assert_int_eq(run("$S --db s.db progress --csv --until 2031-12-31", out, sizeof out), 0);
    char *at = out;
    int n = csv_cells(&at, names, 400);
    ck_assert_int_eq(csv_cells(&at, ana, 400), n);
    ck_assert_int_eq(csv_cells(&at, ben, 400), n);
    ck_assert_str_eq(ana[0], "ana");
    ck_assert_str_eq(ben[column(names, n, "name")], "Ben, \"the second\"");
    const struct figure *f = &now.record.agreement.side[SIDE_DIASTOLIC].figure[FIGURE_BIAS];
    ck_assert_double_eq_tol(strtod(ana[column(names, n, "diastolic-bias")], NULL), f->value, 1e-15);
    ck_assert_double_eq_tol(strtod(ana[column(names, n, "diastolic-bias-low")], NULL), f->low, 1e-15);
    ck_assert_str_eq(ana[column(names, n, "pairs")], "8");
    ck_assert_str_eq(ana[column(names, n, "refused")], "1");
    ck_assert_str_eq(ana[column(names, n, "last-day")], "2031-04-02");
    ck_assert_str_eq(ben[column(names, n, "diastolic-bias")], "");
    ck_assert_str_eq(ben[column(names, n, "stopped")], "1");
    close_store();
}
END_TEST

START_TEST(no_name_in_csv_can_be_run_as_a_formula)
{
    must("$S --db f.db people add a1 '=1+1'");
    must("$S --db f.db people add a2 '@x, \"y\"'");
    must("$S --db f.db people add a3 'A = b'");
    ck_assert_int_eq(run("$S --db f.db progress --csv", out, sizeof out), 0);
    ck_assert_msg(strstr(out, "\na1,'=1+1,") != NULL, "%s", out);
    ck_assert_ptr_nonnull(strstr(out, "\na2,\"'@x, \"\"y\"\"\","));
    ck_assert_ptr_nonnull(strstr(out, "\na3,A = b,"));
    ck_assert_int_eq(run("$S --db f.db progress --json", out, sizeof out), 0);
    ck_assert_ptr_nonnull(strstr(out, "\"=1+1\""));
}
END_TEST

START_TEST(a_graph_of_each_kind_is_a_file_and_none_is_written_over)
{
    static const char *const KINDS[] = { "difference", "digits", "release", "learning" };
    fill();
    for (size_t i = 0; i < ARRAY_LEN(KINDS); i++) {
        char line[240];
        snprintf(line, sizeof line, "$S --db s.db progress ana --until 2031-12-31 --plot %s.svg --graph %s && grep -q '<svg' %s.svg", KINDS[i],
                 KINDS[i], KINDS[i]);
        must(line);
    }
    run_check(&(struct run_row){ "$S --db s.db progress ana --plot digits.svg", 3, "digits.svg" });
    run_check(&(struct run_row){ "$S --db s.db progress ana --plot d2.svg --graph digits", 0, "The graph `digits` is in d2.svg." });
    run_check(&(struct run_row){ "$S --db s.db progress ana --plot d3.svg --csv | head -c 6", 0, "person" });
    close_store();
}
END_TEST

START_TEST(what_cannot_be_told_is_said)
{
    static const struct run_row ROWS[] = {
        { "$S --db s.db progress zoe", 3, "zoe" },
        { "$S --db s.db progress ana --yardstick none", 2, "none" },
        { "$S --db s.db progress ana --csv --json", 2, "Give one" },
        { "$S --db s.db progress ana --since 2031-02-30", 2, "2031-02-30" },
        { "$S --db s.db progress ana --since 2031-03-03 --until 2031-03-02", 2, "--since" },
        { "$S --db s.db progress --plot x.pdf", 2, "PERSON" },
        { "$S --db s.db progress ana --graph digits", 2, "--plot" },
        { "$S --db s.db progress ana --plot x.pdf --graph pie", 2, "pie" },
        { "$S --db s.db progress ana --plot x.doc", 2, "x.doc" },
        { "$S --db s.db progress ana --csv > /dev/full", 3, "written" },
        { "$S --db s.db progress ana --json > /dev/full", 3, "written" },
        { "$S --db s.db progress ana > /dev/full", 3, "written" },
        { "$S --db nowhere.db progress", 3, "nowhere.db" },
    };
    fill();
    for (size_t i = 0; i < ARRAY_LEN(ROWS); i++)
        run_check(&ROWS[i]);
    close_store();
}
END_TEST

START_TEST(a_store_of_nobody_says_so_in_every_form)
{
    json_error_t why;
    must("$S --db e.db people add eva Eva --role preceptor");
    run_check(&(struct run_row){ "$S --db e.db progress", 0, "Nobody has measured yet" });
    run_check(&(struct run_row){ "$S --db e.db progress --csv", 0, "person,name,role" });
    ck_assert_int_eq(run("$S --db e.db progress --json", out, sizeof out), 0);
    json_t *all = json_loads(out, 0, &why);
    ck_assert_ptr_nonnull(all);
    ck_assert_uint_eq(json_array_size(json_object_get(all, "people")), 0);
    json_decref(all);
    run_check(&(struct run_row){ "$S --db e.db progress eva", 0, "none yet" });
}
END_TEST

int main(void)
{
    TCase *t = run_case_new("progress", 120);
    tcase_add_test(t, text_of_a_person_begins_with_the_answer);
    tcase_add_test(t, group_has_a_row_for_each);
    tcase_add_test(t, json_holds_the_very_figures);
    tcase_add_test(t, days_since_a_pair_are_null_without_one);
    tcase_add_test(t, csv_parses_back_into_the_figures);
    tcase_add_test(t, no_name_in_csv_can_be_run_as_a_formula);
    tcase_add_test(t, a_graph_of_each_kind_is_a_file_and_none_is_written_over);
    tcase_add_test(t, what_cannot_be_told_is_said);
    tcase_add_test(t, a_store_of_nobody_says_so_in_every_form);
    return run_case(t);
}
