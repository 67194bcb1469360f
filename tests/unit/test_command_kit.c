/* SPDX-License-Identifier: GPL-3.0-or-later */
/** @file test_command_kit.c  Kit as it is typed and put into words, the verbs kit and forget, the site's procedure texts. */
#include <check.h>
#include <errno.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <sys/wait.h>
#include <unistd.h>

#include "command/kit.h"
#include "command/procedure.h"
#include "stillarm/text.h"

START_TEST(kit_due_words_warn_a_month_before)
{
    char words[80];
    kit_due_words(20261204, 20261125, words, sizeof words);
    ck_assert_str_eq(words, "calibration due 2026-12-04, in 9 days");
    kit_due_words(20261126, 20261125, words, sizeof words);
    ck_assert_str_eq(words, "calibration due 2026-11-26, in 1 day");
    kit_due_words(20261124, 20261125, words, sizeof words);
    ck_assert_str_eq(words, "calibration ended 2026-11-24");
    kit_due_words(20270125, 20261125, words, sizeof words);
    ck_assert_str_eq(words, "calibration due 2027-01-25");
}
END_TEST

static const struct {
    const char *id, *top, *due, *words; /* words NULL: taken */
} GAUGES[] = {
    { "g1", "300", "2031-09-01", NULL },
    { "g1", "200", "20310901", NULL },
    { "g1", "301", "2031-09-01", "top" },
    { "g1", "198", "2031-09-01", "top" },
    { "g1", "three hundred", "2031-09-01", "top" },
    { "g1", "300", "2031-02-29", "no day" },
    { "g1", "300", "", "no day" },
    { "", "300", "2031-09-01", "short name" },
    { "g 1", "300", "2031-09-01", "short name" },
    { "g\n1", "300", "2031-09-01", "short name" },
};

START_TEST(kit_check_gauge_names_what_will_not_do)
{
    struct gauge g;
    struct err e = { 0 };
    enum status status = kit_check_gauge(&g, GAUGES[_i].id, "", GAUGES[_i].top, GAUGES[_i].due, &e);
    ck_assert_int_eq(status, GAUGES[_i].words ? ST_USAGE : ST_OK);
    if (GAUGES[_i].words)
        ck_assert_msg(strstr(e.text, GAUGES[_i].words), "%s", e.text);
    else
        ck_assert_int_eq(g.due, 20310901);
}
END_TEST

START_TEST(kit_check_cuff_takes_centimetres_and_inches)
{
    struct stored_cuff c;
    struct err e = { 0 };
    ck_assert_int_eq(kit_check_cuff(&c, "adult", "", "25.4", "40.6", "", &e), ST_OK);
    ck_assert_int_eq(c.low_mm, 254);
    ck_assert_int_eq(c.high_mm, 406);
    ck_assert_int_eq(kit_check_cuff(&c, "adult", "", "10in", "16in", "", &e), ST_OK);
    ck_assert_int_eq(c.low_mm, 254);
    ck_assert_int_eq(c.high_mm, 406);
    ck_assert_int_eq(kit_check_cuff(&c, "adult", "", "34", "27", "", &e), ST_USAGE);
    ck_assert_int_eq(kit_check_cuff(&c, "adult", "", "34", "34", "", &e), ST_USAGE);
}
END_TEST


static const struct {
    const char *typed;
    int width, length; /* mm; 0: refused */
} BLADDERS[] = {
    { "16x30", 160, 300 },          { "16 x 30 cm", 160, 300 },    { "16cm x 30cm", 160, 300 },
    { "12.5X23,5", 125, 235 },      { "16\xC3\x97" "30", 160, 300 }, { "6.3x11.8in", 160, 300 },
    { "6.3in x 11.8in", 160, 300 }, { "3x4", 30, 40 },             { "16.05x30", 161, 300 },
    { "30x16", 0, 0 },              { "30x30", 0, 0 },             { "2.9x30", 0, 0 },
    { "16x70.1", 0, 0 },            { "16", 0, 0 },                { "16x", 0, 0 },
    { "x30", 0, 0 },                { "16x30x40", 0, 0 },          { "16x30mm", 0, 0 },
    { "-16x30", 0, 0 },             { "16.x30", 0, 0 },            { "1.234x30", 0, 0 },
    { "9999999x99999999", 0, 0 },   { "", 0, 0 },                  { "16 by 30", 0, 0 },
};

START_TEST(bladder_is_read_in_either_unit_or_refused)
{
    struct err e = { 0 };
    int32_t width = -1, length = -1;
    enum status status = kit_parse_bladder(BLADDERS[_i].typed, &width, &length, &e);
    ck_assert_msg(status == (BLADDERS[_i].width ? ST_OK : ST_USAGE), "%s: %s", BLADDERS[_i].typed, e.text);
    ck_assert_int_eq(width, BLADDERS[_i].width ? BLADDERS[_i].width : -1);
    ck_assert_int_eq(length, BLADDERS[_i].length ? BLADDERS[_i].length : -1);
}
END_TEST

START_TEST(cuff_refuses_a_bladder_longer_than_its_largest_arm)
{
    struct stored_cuff c;
    struct err e = { 0 };
    ck_assert_int_eq(kit_check_cuff(&c, "adult", "", "27", "34", "16x34", &e), ST_OK);
    ck_assert_int_eq(c.bladder_length_mm, 340);
    ck_assert_int_eq(kit_check_cuff(&c, "adult", "", "27", "34", "16x34.1", &e), ST_USAGE);
    ck_assert_ptr_nonnull(strstr(e.text, "longer than the largest arm"));
}
END_TEST

static const struct {
    const char *typed;
    int count; /* 0: refused */
} COMPARISONS[] = {
    { "50=50 150=152", 2 },
    { "  0=1   300=298 ", 2 },
    { "0=0 2=2 4=4 6=6 8=8 10=10 12=12 14=14 16=16 18=18 20=20 22=22", 12 },
    { "0=0 2=2 4=4 6=6 8=8 10=10 12=12 14=14 16=16 18=18 20=20 22=22 24=24", 0 },
    { "50=50", 0 },
    { "", 0 },
    { "50=50 151=151", 0 },
    { "50=50 302=300", 0 },
    { "50=50 100=-1", 0 },
    { "50=50 100", 0 },
    { "50=50 100=", 0 },
    { "50=50 =100", 0 },
    { "50=50 100=100=100", 0 },
    { "50=50 100=100.5", 0 },
    { "50=50 99999999999999999999=1", 0 },
};

START_TEST(points_are_read_or_refused)
{
    struct check_point points[CHECK_POINTS_MAX];
    struct err e = { 0 };
    int count = 0;
    enum status status = kit_parse_points(COMPARISONS[_i].typed, points, &count, &e);
    ck_assert_msg(status == (COMPARISONS[_i].count ? ST_OK : ST_USAGE), "%s: %s", COMPARISONS[_i].typed, e.text);
    if (COMPARISONS[_i].count)
        ck_assert_int_eq(count, COMPARISONS[_i].count);
}
END_TEST

static const struct {
    const char *on, *next;
    int due; /* 0: refused */
} DUES[] = {
    { "2025-08-31", "6", 20260228 },
    { "2025-08-31", "24", 20270831 },
    { "2025-08-31", "2025-09-01", 20250901 },
    { "", "2031-09-01", 20310901 },
    { "", "6", 0 }, /* nothing is assumed */
    { "2025-08-31", "", 0 },
    { "2025-08-31", "0", 0 },
    { "2025-08-31", "25", 0 },
    { "2025-08-31", "2025-08-31", 0 },
    { "2999-01-01", "6", 0 }, /* lies ahead */
    { "2025-02-29", "6", 0 },
    { "soon", "6", 0 },
};

START_TEST(calibration_ends_after_its_months_or_on_the_day_of_the_label)
{
    struct err e = { 0 };
    int32_t due = 0;
    enum status status = kit_parse_due(DUES[_i].on, DUES[_i].next, &due, &e);
    ck_assert_msg(status == (DUES[_i].due ? ST_OK : ST_USAGE), "%s, %s: %s", DUES[_i].on, DUES[_i].next, e.text);
    if (DUES[_i].due)
        ck_assert_int_eq(due, DUES[_i].due);
}
END_TEST

START_TEST(failed_check_is_named_from_one_beyond_the_limit)
{
    static struct protocol p;
    struct gauge_check none = { 0 }, at = { .is_given = true, .value = 3 }, beyond = { .is_given = true, .value = 4 };
    p.value[KEY_LEAK_MAX_MMHG_PER_MIN] = p.value[KEY_ZERO_MAX_MMHG] = p.value[KEY_COMPARISON_MAX_MMHG] = 3;
    ck_assert_str_eq(kit_failed_check(&p, &none, &none, &none), "");
    ck_assert_str_eq(kit_failed_check(&p, &at, &at, &at), "");
    ck_assert_str_eq(kit_failed_check(&p, &beyond, &at, &at), "leak check");
    ck_assert_str_eq(kit_failed_check(&p, &at, &beyond, &at), "zero check");
    ck_assert_str_eq(kit_failed_check(&p, &at, &at, &beyond), "comparison");
    ck_assert_str_eq(kit_failed_check(NULL, &beyond, &beyond, &beyond), "");
}
END_TEST

START_TEST(checks_words_name_the_point_that_lies_furthest_off)
{
    struct gauge g = { .comparison = { .is_given = true, .value = 3, .date = 20260105 },
                       .points = { { 50, 51 }, { 150, 147 }, { 250, 250 } }, .point_count = 3 };
    char words[200];
    kit_checks_words(&g, words, sizeof words);
    ck_assert_str_eq(words, "differs by 3 mmHg at 150 (largest of 3 points) on 2026-01-05");
    g.zero = (struct gauge_check){ .is_given = true, .value = 1, .date = 20260106 };
    g.point_count = 0;
    kit_checks_words(&g, words, sizeof words);
    ck_assert_str_eq(words, "off zero by 1 mmHg on 2026-01-06; differs by 3 mmHg on 2026-01-05");
}
END_TEST

/* ---- the site's texts ---- */

#define TEN "0123456789"
#define HUNDRED TEN TEN TEN TEN TEN TEN TEN TEN TEN TEN
#define FIVE_HUNDRED HUNDRED HUNDRED HUNDRED HUNDRED HUNDRED

static const struct {
    const char *text, *why; /* "" taken */
} PROCEDURES[] = {
    { "Call the doctor on duty.\n", "" },
    { "1\n2\n3\n4\n5\n6\n7\n8\n9\n10\n11\n12\n", "" },
    { "1\n2\n3\n4\n5\n6\n7\n8\n9\n10\n11\n12\n13", "more than 12 lines" },
    { FIVE_HUNDRED FIVE_HUNDRED FIVE_HUNDRED, "" },
    { FIVE_HUNDRED FIVE_HUNDRED FIVE_HUNDRED "x", "longer than 1500 bytes" },
    { "R\xC3\xA9pondre\n", "" },
    { "cut \xC3", "not valid UTF-8" },
    { "latin \xE9 one", "not valid UTF-8" },
    { "a\x1b[2Jb", "control character" },
    { "a\rb", "control character" },
    { "a\xE2\x80\xAE" "b", "control character" },
    { "", "empty" },
    { " \n\t\n", "empty" },
    { "\xEF\xBB\xBF", "empty" },
};

START_TEST(procedure_text_is_taken_or_refused_in_words)
{
    char out[PROCEDURE_BYTES_MAX + 1];
    const char *why = procedure_take(PROCEDURES[_i].text, out);
    if (PROCEDURES[_i].why[0])
        ck_assert_msg(strstr(why, PROCEDURES[_i].why), "%s", why);
    else
        ck_assert_str_eq(why, "");
}
END_TEST

START_TEST(procedure_text_comes_with_plain_line_ends_and_blanks)
{
    char out[PROCEDURE_BYTES_MAX + 1];
    ck_assert_str_eq(procedure_take("\xEF\xBB\xBF" "a\tb\r\nc\r\n", out), "");
    ck_assert_str_eq(out, "a b\nc\n");
}
END_TEST

static char folder[64];

static void setup(void)
{
    snprintf(folder, sizeof folder, "/tmp/stillarm-test-XXXXXX");
    ck_assert_ptr_nonnull(mkdtemp(folder));
    ck_assert_int_eq(unsetenv("STILLARM_SITE"), 0);
    ck_assert_int_eq(setenv("XDG_CONFIG_HOME", folder, 1), 0);
}

static void teardown(void)
{
    char command[100];
    snprintf(command, sizeof command, "rm -r '%s'", folder);
    ck_assert_int_eq(system(command), 0);
}

static void put(const char *name, const char *text)
{
    char path[200];
    snprintf(path, sizeof path, "%s/%s", folder, name);
    FILE *f = fopen(path, "wb");
    ck_assert_ptr_nonnull(f);
    ck_assert_int_ge(fputs(text, f), 0);
    ck_assert_int_eq(fclose(f), 0);
}

START_TEST(procedure_of_the_site_comes_before_the_shipped_one)
{
    static struct procedures ps;
    char site[200];
    procedures_load(&ps);
    ck_assert(!ps.is_high_own && !ps.is_low_own);
    ck_assert_str_eq(ps.fault, "");
    ck_assert_ptr_nonnull(strstr(ps.high, "has not written its own"));
    ck_assert_ptr_nonnull(strstr(ps.low, "has not written its own"));
    snprintf(site, sizeof site, "%s/stillarm", folder);
    ck_assert_str_eq(ps.path + strlen(site), "/very-high.txt");
    ck_assert_int_eq(strncmp(ps.path, site, strlen(site)), 0);
    ck_assert_int_eq(mkdir(site, 0700), 0);
    put("stillarm/very-high.txt", "Call 7000.\n");
    procedures_load(&ps);
    ck_assert(ps.is_high_own && !ps.is_low_own);
    ck_assert_str_eq(ps.high, "Call 7000.\n");
    ck_assert_ptr_nonnull(strstr(ps.low, "has not written its own"));
    put("low.txt", "Call 7001.\n");
    ck_assert_int_eq(setenv("STILLARM_SITE", folder, 1), 0);
    procedures_load(&ps);
    ck_assert_str_eq(ps.low, "Call 7001.\n");
    ck_assert_ptr_nonnull(strstr(ps.high, "has not written its own"));
    put("very-high.txt", "Call 7000.\n");
    procedures_load(&ps);
    ck_assert(ps.is_high_own && ps.is_low_own);
}
END_TEST

/* A file that opens and then cannot be read; dots in its path end no sentence. */
START_TEST(procedure_that_cannot_be_read_is_told_with_the_whole_reason)
{
    static struct procedures ps;
    char site[100], file[140], expected[300];
    snprintf(site, sizeof site, "%s/v1.2", folder);
    ck_assert_int_eq(mkdir(site, 0700), 0);
    snprintf(file, sizeof file, "%s/very-high.txt", site);
    ck_assert_int_eq(symlink("/proc/self/mem", file), 0);
    ck_assert_int_eq(setenv("STILLARM_SITE", site, 1), 0);
    procedures_load(&ps);
    snprintf(expected, sizeof expected, "%s is not used: it cannot be read: %s. The text that came", file, strerror(EIO));
    ck_assert_msg(strstr(ps.fault, expected), "%s", ps.fault);
}
END_TEST

START_TEST(procedure_that_cannot_be_used_is_told_and_the_shipped_one_stands_in)
{
    static struct procedures ps;
    char path[200];
    ck_assert_int_eq(setenv("STILLARM_SITE", folder, 1), 0);
    put("very-high.txt", "a\x1b[2J");
    procedures_load(&ps);
    ck_assert(!ps.is_high_own);
    ck_assert_ptr_nonnull(strstr(ps.fault, "very-high.txt is not used: it holds a control character"));
    ck_assert_ptr_nonnull(strstr(ps.high, "has not written its own"));
    snprintf(path, sizeof path, "%s/very-high.txt", folder);
    ck_assert_int_eq(unlink(path), 0);
    ck_assert_int_eq(mkdir(path, 0700), 0);
    procedures_load(&ps);
    ck_assert_msg(strstr(ps.fault, "is not used"), "%s", ps.fault);
    ck_assert_int_eq(rmdir(path), 0);
    ck_assert_int_eq(symlink("not-mounted", path), 0);
    procedures_load(&ps);
    ck_assert_msg(strstr(ps.fault, "very-high.txt is not used"), "%s", ps.fault);
    ck_assert_ptr_nonnull(strstr(ps.high, "has not written its own"));
    ck_assert_int_eq(setenv("STILLARM_SITE", "/nowhere/at/all", 1), 0);
    procedures_load(&ps);
    ck_assert_ptr_nonnull(strstr(ps.fault, "STILLARM_SITE names no folder"));
}
END_TEST

START_TEST(booth_knows_what_was_checked_measured_and_written)
{
    static struct workplace w;
    static struct guide_booth b;
    struct err e = { 0 };
    char path[200];
    const struct gauge g = { .id = "g1", .name = "g1", .top_mmhg = 300, .due = 20310301 };
    const struct stored_cuff c = { .id = "adult", .name = "adult", .low_mm = 270, .high_mm = 340, .bladder_width_mm = 160,
                                   .bladder_length_mm = 300 };
    snprintf(path, sizeof path, "%s/s.db", folder);
    const struct command_line line = { .value = { [OPTION_DB] = path,
                                                  [OPTION_PROTOCOL_DIR] = TEST_SOURCE_DIR "/assets/protocols" } };
    ck_assert_int_eq(setenv("STILLARM_SITE", folder, 1), 0);
    put("low.txt", "Call 7001.\n");
    ck_assert_int_eq(workplace_open(&w, &line, STORE_WRITE, WORKPLACE_STORE_AND_PROTOCOLS, &e), ST_OK);
    ck_assert_int_eq(store_gauge_add(w.store, &g, &e), ST_OK);
    ck_assert_int_eq(store_gauge_check(w.store, "g1", "zero", 2, 20260101, &e), ST_OK);
    ck_assert_int_eq(store_cuff_add(w.store, &c, &e), ST_OK);
    ck_assert_int_eq(workplace_booth(&w, &b, &e), ST_OK);
    ck_assert(b.gauges[0].zero.is_given && b.gauges[0].zero.value == 2 && b.gauges[0].zero.date == 20260101);
    ck_assert_int_eq(b.cuffs[0].bladder_width_mm, 160);
    ck_assert_int_eq(b.cuffs[0].bladder_length_mm, 300);
    ck_assert_str_eq(b.procedure_low, "Call 7001.\n");
    put("very-high.txt", "Call 7000.\n"); /* written while the program runs */
    ck_assert_int_eq(workplace_booth(&w, &b, &e), ST_OK);
    ck_assert_str_eq(b.procedure_high, "Call 7000.\n");
    ck_assert(b.is_high_own && b.is_low_own);
    snprintf(path, sizeof path, "%s/very-high.txt", folder);
    ck_assert_str_eq(b.procedure_path, path);
    ck_assert_str_eq(b.procedure_fault, "");
    put("low.txt", "");
    ck_assert_int_eq(workplace_booth(&w, &b, &e), ST_OK);
    ck_assert(b.is_high_own && !b.is_low_own);
    ck_assert_ptr_nonnull(strstr(b.procedure_fault, "low.txt is not used: it is empty"));
    workplace_close(&w);
}
END_TEST

/* ---- as it is called ---- */

/* Run a shell line in the folder, where $S is the program on the store s.db; out receives both streams. */
static int run(const char *line, char *out, size_t cap)
{
    char command[2000];
    size_t len = 0, n;
    snprintf(command, sizeof command,
             "cd %s && export STILLARM_PROTOCOLS=%s/assets/protocols XDG_DATA_HOME=%s/data S='%s --db s.db'; { %s; } 2>&1",
             folder, TEST_SOURCE_DIR, folder, TEST_PROGRAM, line);
    FILE *p = popen(command, "r");
    ck_assert_ptr_nonnull(p);
    while ((n = fread(out + len, 1, cap - 1 - len, p)) > 0)
        len += n;
    out[len] = '\0';
    int status = pclose(p);
    ck_assert_msg(WIFEXITED(status), "%s: ended by a signal; %s", line, out);
    return WEXITSTATUS(status);
}

#define A_GAUGE "$S kit add gauge g1 --due 2031-03-01 >/dev/null; "
#define A_CUFF "$S kit add cuff adult 27 34 >/dev/null; "
/* A first run chooses us-adult for the usual protocol, calibrates g1 and takes the usual cuffs. */
#define FIRST_RUN "printf 'ana\\n\\n\\nj\\n\\n\\n\\ntoday\\n12\\n\\nq' | $S --plain >/dev/null; "

static const struct {
    const char *line;
    int status;
    const char *holds;
} LINES[] = {
    { "$S kit add cuff a 27 34 --bladder 16x30 && $S kit", EXIT_FINE, "27.0 to 34.0 cm; bladder 16.0 x 30.0 cm" },
    { "$S kit add cuff a 27 34 --bladder 30x16", EXIT_USAGE, "The width comes first" },
    { "$S kit add cuff a 27 34 --bladder 16x36", EXIT_USAGE, "longer than the largest arm" },
    { "$S kit add cuff a 27 34 --bladder round", EXIT_USAGE, "is no bladder" },
    { A_CUFF "$S kit bladder adult 16x30 && $S kit", EXIT_FINE, "bladder 16.0 x 30.0 cm" },
    { A_CUFF "$S kit bladder adult 16x34.5", EXIT_USAGE, "more than the largest arm" },
    { A_GAUGE "$S kit bladder g1 16x30", EXIT_FILES, "no cuff 'g1'" },
    { A_GAUGE "$S kit check g1 zero 0 && $S kit", EXIT_FINE, "off zero by 0 mmHg on " },
    { A_GAUGE "$S kit check g1 zero 0", EXIT_FINE, "No usual protocol is chosen" },
    { A_GAUGE "$S kit check g1 zero 1.5", EXIT_USAGE, "is no result of a check" },
    { A_GAUGE "$S kit check g1 comparison 50=50 150=152 250=251 && $S kit", EXIT_FINE,
      "differs by 2 mmHg at 150 (largest of 3 points)" },
    { A_GAUGE "$S kit check g1 comparison 2 && $S kit", EXIT_FINE, "differs by 2 mmHg on" },
    { A_GAUGE "$S kit check g1 comparison 50=50 150", EXIT_USAGE, "`150` is no point" },
    { A_GAUGE "$S kit check g1 leak 2 3", EXIT_USAGE, "only a comparison has points" },
    { A_GAUGE "$S kit check g1 leak 2 --date 2031-02-29", EXIT_USAGE, "no day 2031-02-29" },
    { A_GAUGE "$S kit check g1 leak 2 --date 2999-01-01", EXIT_USAGE, "lies ahead" },
    { A_GAUGE "$S kit check g1 leak", EXIT_USAGE, "A check is" },
    { A_GAUGE "$S kit check g1 leak 2 --protocol-dir /nowhere", EXIT_FINE, "leak of gauge g1 is noted" },
    { "$S kit add gauge g2 --due 2031-03-01 --top 200; $S kit check g2 comparison 50=50 202=200", EXIT_USAGE,
      "does not lie on the scale of g2" },
    { A_GAUGE "$S kit calibrated g1 --date 2025-08-31", EXIT_FINE, "until 2026-02-28 (6 months)" },
    { A_GAUGE "$S kit interval 12; $S kit calibrated g1 --date 2025-08-31", EXIT_FINE, "until 2026-08-31 (12 months)" },
    { A_GAUGE "$S kit calibrated g1 --date 2999-01-01", EXIT_USAGE, "lies ahead" },
    { A_GAUGE "$S kit calibrated g9", EXIT_FILES, "no gauge 'g9'" },
    { A_GAUGE "$S kit interval", EXIT_FINE, "every 6 months" },
    { "$S kit interval 25", EXIT_USAGE, "1 to 24" },
    { "$S kit interval 12 && $S kit interval", EXIT_FINE, "yearly was judged enough" },
    { FIRST_RUN "$S kit check g1 comparison 4", EXIT_FINE,
      "This is beyond 3 mmHg: this gauge is refused until it is repaired and checked anew." },
    { FIRST_RUN "$S kit check g1 comparison 3", EXIT_FINE, "This is within 3 mmHg." },
    { FIRST_RUN "$S kit check g1 comparison 0=0 100=104; $S kit", EXIT_FINE, "differs by 4 mmHg at 100" },
    { FIRST_RUN "$S kit interval", EXIT_FINE, "every 12 months" },
    { FIRST_RUN "$S kit check g1 leak 9 >/dev/null; echo q | $S --plain", EXIT_FINE, "gauge g1 failed its leak check" },
    { FIRST_RUN "mkdir site; printf 'a\\033b' > site/low.txt; echo q | STILLARM_SITE=site $S --plain", EXIT_FINE,
      "site/low.txt is not used" },
};

START_TEST(kit_is_kept_as_it_is_called)
{
    static char out[60000];
    int status = run(LINES[_i].line, out, sizeof out);
    ck_assert_msg(status == LINES[_i].status, "%s: status %d; %s", LINES[_i].line, status, out);
    ck_assert_msg(strstr(out, LINES[_i].holds), "%s: %s", LINES[_i].line, out);
}
END_TEST

/* The keys of the kit page, after a first run: k opens it, q twice leaves. */
static const struct {
    const char *keys, *holds;
} PAGE_KEYS[] = {
    { "k\\nz\\n0\\nq\\nq\\n", "off zero by 0 mmHg" },
    { "k\\nl\\n2\\nq\\nq\\n", "leak 2 mmHg/min" },
    { "k\\nd\\n0=0 100=102\\nq\\nq\\n", "differs by 2 mmHg at 100 (largest of 2 points)" },
    { "k\\nt\\nsoon\\n\\n", "no date" },
    { "k\\nt\\n\\n2031-09-01\\nq\\nq\\n", "calibration due 2031-09-01" },
    { "k\\ni\\n6\\nq\\nq\\n", "every 6 months" },
    { "k\\nj\\nb\\n12x23\\nq\\nq\\n", "bladder 12.0 x 23.0 cm" },
};

START_TEST(kit_page_notes_what_is_typed)
{
    static char out[60000];
    char line[600];
    snprintf(line, sizeof line, FIRST_RUN "printf '%s' | $S --plain; $S kit; $S kit interval", PAGE_KEYS[_i].keys);
    run(line, out, sizeof out);
    ck_assert_msg(strstr(out, PAGE_KEYS[_i].holds), "%s: %s", PAGE_KEYS[_i].keys, out);
}
END_TEST

/* A sitting that has the code m4-100, left open. */
#define A_SITTING FIRST_RUN "printf 'm4-100\\n\\nq' | $S sit --plain >/dev/null; "

static const struct {
    const char *line;
    int status;
    const char *holds;
} FORGOTTEN[] = {
    { "$S forget m4-100", EXIT_FILES, "s.db" },
    { FIRST_RUN "$S forget m4-100", EXIT_FILES, "No sitting here has the code m4-100" },
    { FIRST_RUN "$S forget 'm4 100'", EXIT_USAGE, "is no code" },
    { A_SITTING "$S forget m4-100 </dev/null", EXIT_USAGE, "m4-100 is kept" },
    { A_SITTING "echo m4-101 | $S forget m4-100; $S list", EXIT_FINE, " m4-100 " },
    { A_SITTING "echo m4-100 | $S forget m4-100", EXIT_FINE, "forgotten in 1 sitting." },
    { A_SITTING "$S forget m4-100 --yes && $S list && $S verify", EXIT_FINE, " erased " },
    { A_SITTING "$S forget m4-100 --yes >/dev/null; $S forget m4-100", EXIT_FILES, "forgotten already" },
};

START_TEST(forget_takes_the_code_out_when_it_is_meant)
{
    static char out[60000];
    int status = run(FORGOTTEN[_i].line, out, sizeof out);
    ck_assert_msg(status == FORGOTTEN[_i].status, "%s: status %d; %s", FORGOTTEN[_i].line, status, out);
    ck_assert_msg(strstr(out, FORGOTTEN[_i].holds), "%s: %s", FORGOTTEN[_i].line, out);
}
END_TEST

int main(void)
{
    Suite *suite = suite_create("command_kit");
    TCase *t = tcase_create("kit");
    tcase_add_checked_fixture(t, setup, teardown);
    tcase_set_timeout(t, 60);
    tcase_add_test(t, kit_due_words_warn_a_month_before);
    tcase_add_loop_test(t, kit_check_gauge_names_what_will_not_do, 0, (int)ARRAY_LEN(GAUGES));
    tcase_add_test(t, kit_check_cuff_takes_centimetres_and_inches);
    tcase_add_loop_test(t, bladder_is_read_in_either_unit_or_refused, 0, (int)ARRAY_LEN(BLADDERS));
    tcase_add_test(t, cuff_refuses_a_bladder_longer_than_its_largest_arm);
    tcase_add_loop_test(t, points_are_read_or_refused, 0, (int)ARRAY_LEN(COMPARISONS));
    tcase_add_loop_test(t, calibration_ends_after_its_months_or_on_the_day_of_the_label, 0, (int)ARRAY_LEN(DUES));
    tcase_add_test(t, failed_check_is_named_from_one_beyond_the_limit);
    tcase_add_test(t, checks_words_name_the_point_that_lies_furthest_off);
    tcase_add_loop_test(t, procedure_text_is_taken_or_refused_in_words, 0, (int)ARRAY_LEN(PROCEDURES));
    tcase_add_test(t, procedure_text_comes_with_plain_line_ends_and_blanks);
    tcase_add_test(t, procedure_of_the_site_comes_before_the_shipped_one);
    tcase_add_test(t, procedure_that_cannot_be_read_is_told_with_the_whole_reason);
    tcase_add_test(t, procedure_that_cannot_be_used_is_told_and_the_shipped_one_stands_in);
    tcase_add_test(t, booth_knows_what_was_checked_measured_and_written);
    tcase_add_loop_test(t, kit_is_kept_as_it_is_called, 0, (int)ARRAY_LEN(LINES));
    tcase_add_loop_test(t, kit_page_notes_what_is_typed, 0, (int)ARRAY_LEN(PAGE_KEYS));
    tcase_add_loop_test(t, forget_takes_the_code_out_when_it_is_meant, 0, (int)ARRAY_LEN(FORGOTTEN));
    suite_add_tcase(suite, t);
    SRunner *runner = srunner_create(suite);
    srunner_run_all(runner, CK_ENV);
    int failed = srunner_ntests_failed(runner);
    srunner_free(runner);
    return failed != 0;
}
