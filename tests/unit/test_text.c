/* SPDX-License-Identifier: GPL-3.0-or-later */
#include <check.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "stillarm/text.h"

/* ---- building ---- */

START_TEST(text_add_keeps_what_fits)
{
    char buf[8];
    struct text t;
    text_init(&t, buf, sizeof buf);
    text_add(&t, "abc");
    text_addf(&t, "%d", 1234);
    ck_assert_str_eq(buf, "abc1234");
    ck_assert(!t.is_cut);
    text_add(&t, "");
    ck_assert(!t.is_cut);
    text_add(&t, "x");
    ck_assert(t.is_cut);
    ck_assert_str_eq(buf, "abc1234");
}
END_TEST

START_TEST(text_add_adds_nothing_after_a_cut)
{
    char buf[6];
    struct text t;
    text_init(&t, buf, sizeof buf);
    text_add(&t, "abcdefgh");
    ck_assert_str_eq(buf, "abcde");
    text_addf(&t, "%s", "z");
    text_add(&t, "z");
    ck_assert_str_eq(buf, "abcde");
    ck_assert_uint_eq(t.len, 5);
}
END_TEST

START_TEST(text_cuts_on_a_whole_character)
{
    static const struct { size_t cap; const char *s, *want; } ROWS[] = {
        {4, "ab\xC3\xA9", "ab"},             /* two bytes, one fits */
        {5, "ab\xC3\xA9", "ab\xC3\xA9"},
        {5, "a\xE2\x82\xAC\xE2\x82\xAC", "a\xE2\x82\xAC"},
        {6, "a\xE2\x82\xAC\xE2\x82\xAC", "a\xE2\x82\xAC"},
        {7, "a\xE2\x82\xAC\xE2\x82\xAC", "a\xE2\x82\xAC"},
        {4, "\xF0\x9F\x98\x80", ""},
        {1, "abc", ""},
    };
    for (size_t i = 0; i < ARRAY_LEN(ROWS); i++) {
        char buf[16];
        bool is_whole = text_copy(buf, ROWS[i].cap, ROWS[i].s);
        ck_assert_msg(strcmp(buf, ROWS[i].want) == 0, "row %zu: '%s'", i, buf);
        ck_assert(is_whole == (strcmp(ROWS[i].s, ROWS[i].want) == 0));
        struct text t;
        text_init(&t, buf, ROWS[i].cap);
        text_addf(&t, "%s", ROWS[i].s);
        ck_assert_msg(strcmp(buf, ROWS[i].want) == 0, "formatted, row %zu: '%s'", i, buf);
    }
}
END_TEST

START_TEST(err_set_may_wrap_its_own_text)
{
    struct err e = {0};
    ck_assert_int_eq(err_set(&e, ST_IO, "disk %d", 3), ST_IO);
    ck_assert_int_eq(err_set(&e, ST_FULL, "saving: %s", e.text), ST_FULL);
    ck_assert_str_eq(e.text, "saving: disk 3");
    ck_assert_int_eq(e.code, ST_FULL);
    ck_assert_int_eq(err_set(NULL, ST_RANGE, "%s", "nobody listens"), ST_RANGE);
}
END_TEST

START_TEST(err_set_cuts_on_a_whole_character)
{
    char big[1201];
    for (size_t i = 0; i < 600; i++)
        memcpy(big + 2 * i, "\xC3\xA9", 2);
    big[1200] = '\0';
    struct err e;
    err_set(&e, ST_IO, "%s", big);
    ck_assert_int_ge(utf8_length(e.text), 298);
    err_set(&e, ST_IO, "x%s", big);
    ck_assert_int_ge(utf8_length(e.text), 298);
}
END_TEST

/* ---- numbers ---- */

static const struct { const char *s; int64_t lo, hi; enum status want; int64_t value; } INTS[] = {
    {"0", 0, 9, ST_OK, 0},
    {"-1", -5, 5, ST_OK, -1},
    {"300", 0, 300, ST_OK, 300},
    {"301", 0, 300, ST_RANGE, 0},
    {"-6", -5, 5, ST_RANGE, 0},
    {"9223372036854775807", INT64_MIN, INT64_MAX, ST_OK, INT64_MAX},
    {"-9223372036854775808", INT64_MIN, INT64_MAX, ST_OK, INT64_MIN},
    {"9223372036854775808", INT64_MIN, INT64_MAX, ST_RANGE, 0},
    {"-9223372036854775809", INT64_MIN, INT64_MAX, ST_RANGE, 0},
    {"1000000000000000000000000000000", 0, 300, ST_RANGE, 0},
    {"", 0, 9, ST_SYNTAX, 0},
    {"-", 0, 9, ST_SYNTAX, 0},
    {"+1", 0, 9, ST_SYNTAX, 0},
    {" 1", 0, 9, ST_SYNTAX, 0},
    {"1 ", 0, 9, ST_SYNTAX, 0},
    {"01", 0, 9, ST_SYNTAX, 0},
    {"-0", -9, 9, ST_SYNTAX, 0},
    {"1.0", 0, 9, ST_SYNTAX, 0},
    {"1e3", 0, 9999, ST_SYNTAX, 0},
    {"twelve", 0, 99, ST_SYNTAX, 0},
    {"\xD9\xA3", 0, 9, ST_SYNTAX, 0}, /* an Arabic-Indic digit is no digit here */
};

START_TEST(parse_int_takes_whole_numbers_only)
{
    struct err e = {0};
    int64_t v = 77;
    enum status st = parse_int(INTS[_i].s, INTS[_i].lo, INTS[_i].hi, &v, &e);
    ck_assert_msg(st == INTS[_i].want, "'%s': %d", INTS[_i].s, st);
    ck_assert_int_eq(v, st == ST_OK ? INTS[_i].value : 77);
    if (st != ST_OK)
        ck_assert_int_ge(utf8_length(e.text), 10);
}
END_TEST

static const struct { const char *s; enum status want; int32_t mm; } ARMS[] = {
    {"31", ST_OK, 310},
    {"31.5", ST_OK, 315},
    {"31,5", ST_OK, 315},
    {"31 cm", ST_OK, 310},
    {" 31.5cm ", ST_OK, 315},
    {"31.25", ST_OK, 313},      /* 312.5 goes up */
    {"31.24", ST_OK, 312},
    {"12.25in", ST_OK, 311},    /* 311.15 */
    {"12.25\"", ST_OK, 311},
    {"12.25 in", ST_OK, 311},
    {"12,25\xE2\x80\xB3", ST_OK, 311},
    {"10in", ST_OK, 254},
    {"16in", ST_OK, 406},       /* 406.4 */
    {"12.5in", ST_OK, 318},     /* 317.5 goes up */
    {"10", ST_OK, 100},
    {"9.9", ST_RANGE, 0},
    {"9.95", ST_OK, 100},       /* 99.5 rounds to 100 */
    {"70", ST_OK, 700},
    {"70.04", ST_OK, 700},
    {"70.05", ST_RANGE, 0},
    {"3.93in", ST_OK, 100},     /* 99.822 rounds to 100 */
    {"3.91in", ST_RANGE, 0},
    {"27.56in", ST_OK, 700},
    {"27.58in", ST_RANGE, 0},
    {"315", ST_RANGE, 0},       /* millimetres are not asked for */
    {"0", ST_RANGE, 0},
    {"1000000000000000000000000000000", ST_RANGE, 0},
    {"", ST_SYNTAX, 0},
    {"-31", ST_SYNTAX, 0},
    {"31.", ST_SYNTAX, 0},
    {".5", ST_SYNTAX, 0},
    {"31.555", ST_SYNTAX, 0},
    {"031", ST_SYNTAX, 0},
    {"31 furlongs", ST_SYNTAX, 0},
    {"31 cm in", ST_SYNTAX, 0},
    {"thirty", ST_SYNTAX, 0},
};

START_TEST(parse_arm_mm_takes_both_units)
{
    struct err e = {0};
    int32_t mm = 7;
    enum status st = parse_arm_mm(ARMS[_i].s, &mm, &e);
    ck_assert_msg(st == ARMS[_i].want, "'%s': %d", ARMS[_i].s, st);
    ck_assert_msg(mm == (st == ST_OK ? ARMS[_i].mm : 7), "'%s': %d mm", ARMS[_i].s, mm);
    if (st != ST_OK)
        ck_assert_int_ge(utf8_length(e.text), 10);
}
END_TEST

START_TEST(parse_messages_quote_no_control_characters)
{
    struct err e = {0};
    int64_t v;
    char vast[5000];
    memset(vast, 'x', sizeof vast - 1);
    vast[sizeof vast - 1] = '\0';
    ck_assert_int_eq(parse_int("\x1B[2J\xFF\n", 0, 9, &v, &e), ST_SYNTAX);
    ck_assert(is_plain_text(e.text, 599));
    ck_assert_int_eq(parse_int(vast, 0, 9, &v, &e), ST_SYNTAX);
    ck_assert(is_plain_text(e.text, 200));
}
END_TEST

/* ---- dates ---- */

START_TEST(date_exists_knows_the_calendar)
{
    static const struct { int64_t date; bool want; } ROWS[] = {
        {20260228, true}, {20260229, false}, {20280229, true}, {21000229, false}, {20000229, true},
        {20261231, true}, {20261232, false}, {20260431, false}, {20261301, false}, {20260001, false},
        {20260100, false}, {19000101, true}, {18991231, false}, {29991231, true}, {30000101, false},
        {-20260101, false}, {0, false}, {INT64_C(120260101), false}, {INT64_C(2026010100000), false},
    };
    for (size_t i = 0; i < ARRAY_LEN(ROWS); i++)
        ck_assert_msg(date_exists(ROWS[i].date) == ROWS[i].want, "row %zu", i);
}
END_TEST

START_TEST(parse_date_takes_two_forms)
{
    static const struct { const char *s; enum status want; int32_t date; } ROWS[] = {
        {"2031-03-02", ST_OK, 20310302}, {"20310302", ST_OK, 20310302}, {"2031-02-29", ST_RANGE, 0},
        {"2031-3-2", ST_SYNTAX, 0}, {"2031/03/02", ST_SYNTAX, 0}, {"2031-0302", ST_SYNTAX, 0},
        {"", ST_SYNTAX, 0}, {"2031", ST_SYNTAX, 0}, {"2031-03-0x", ST_SYNTAX, 0}, {"1899-12-31", ST_RANGE, 0},
        {"2031-03-02 ", ST_SYNTAX, 0}, {"-2310302", ST_SYNTAX, 0},
    };
    for (size_t i = 0; i < ARRAY_LEN(ROWS); i++) {
        int32_t date = 5;
        enum status st = parse_date(ROWS[i].s, &date, NULL);
        ck_assert_msg(st == ROWS[i].want, "'%s': %d", ROWS[i].s, st);
        ck_assert_int_eq(date, st == ST_OK ? ROWS[i].date : 5);
    }
}
END_TEST

START_TEST(parse_timestamp_asks_for_an_offset)
{
    static const struct { const char *s; enum status want; } ROWS[] = {
        {"2031-03-02T14:04:10+01:00", ST_OK}, {"2031-03-02T14:04Z", ST_OK}, {"2031-03-02T14:04:10-09:30", ST_OK},
        {"2031-03-02T00:00:00+00:00", ST_OK}, {"2031-03-02T23:59:59Z", ST_OK},
        {"2031-03-02T24:00Z", ST_SYNTAX}, {"2031-03-02T14:60Z", ST_SYNTAX}, {"2031-03-02T14:04:60Z", ST_SYNTAX},
        {"2031-03-02T14:04:10", ST_SYNTAX}, {"2031-03-02 14:04:10Z", ST_SYNTAX}, {"2031-03-02T14Z", ST_SYNTAX},
        {"2031-03-02T14:04:10+0100", ST_SYNTAX}, {"2031-03-02T14:04:10+01:00 ", ST_SYNTAX},
        {"2031-03-02T14:04:10-00:00", ST_SYNTAX}, {"2031-03-02T14:04:10z", ST_SYNTAX}, {"2031-03-02T", ST_SYNTAX},
        {"2031-03-02", ST_SYNTAX}, {"", ST_SYNTAX}, {"2031-02-30T14:04Z", ST_RANGE}, {"20310302T1404Z", ST_SYNTAX},
    };
    for (size_t i = 0; i < ARRAY_LEN(ROWS); i++) {
        int32_t date = 5;
        enum status st = parse_timestamp(ROWS[i].s, &date, NULL);
        ck_assert_msg(st == ROWS[i].want, "'%s': %d", ROWS[i].s, st);
        ck_assert_int_eq(date, st == ST_OK ? 20310302 : 5);
    }
}
END_TEST

START_TEST(parse_dates_read_nothing_behind_the_end)
{
    const char *whole = "2031-03-02T14:04:10+01:00";
    for (size_t n = 0; n < strlen(whole); n++) { /* exact heap copies: the address sanitizer watches their ends */
        char *cut = malloc(n + 1);
        ck_assert_ptr_nonnull(cut);
        memcpy(cut, whole, n);
        cut[n] = '\0';
        ck_assert_int_ne(parse_timestamp(cut, NULL, NULL), ST_OK);
        free(cut);
    }
}
END_TEST

/* ---- characters ---- */

START_TEST(utf8_encode_and_decode_agree_on_every_character)
{
    for (uint32_t c = 0; c <= 0x10FFFF; c++) {
        char bytes[4];
        size_t n = utf8_encode(c, bytes);
        if (c >= 0xD800 && c <= 0xDFFF) {
            ck_assert_uint_eq(n, 0);
            continue;
        }
        uint32_t back = 0;
        if (n == 0 || utf8_decode(bytes, n, &back) != n || back != c || (n > 1 && utf8_decode(bytes, n - 1, &back) != 0))
            ck_abort_msg("U+%04X", (unsigned)c);
    }
    char bytes[4];
    ck_assert_uint_eq(utf8_encode(0x110000, bytes), 0);
}
END_TEST

START_TEST(utf8_decode_refuses_what_is_not_utf8)
{
    static const char *const BAD[] = {
        "\x80", "\xBF", "\xC0\x80", "\xC1\xBF", "\xE0\x80\x80", "\xE0\x9F\xBF", "\xF0\x80\x80\x80", "\xF0\x8F\xBF\xBF",
        "\xED\xA0\x80", "\xED\xBF\xBF", "\xF4\x90\x80\x80", "\xF5\x80\x80\x80", "\xFE", "\xFF", "\xC3", "\xC3(",
        "\xE2\x82", "\xE2\x28\xA1", "\xF0\x9F\x98",
    };
    for (size_t i = 0; i < ARRAY_LEN(BAD); i++) {
        uint32_t c;
        ck_assert_msg(utf8_decode(BAD[i], strlen(BAD[i]), &c) == 0, "row %zu", i);
        ck_assert_int_eq(utf8_length(BAD[i]), -1);
        ck_assert(!is_plain_text(BAD[i], 10));
    }
    ck_assert_int_eq(utf8_length("h\xC3\xA9\xE2\x82\xAC\xF0\x9F\x98\x80"), 4);
}
END_TEST

START_TEST(text_defuse_leaves_nothing_that_steers_a_terminal)
{
    char s[] = "a\x1B[31m\xC3\xA9\xC2\x9B\xE2\x80\xAE\xFF\xC3";
    text_defuse(s);
    ck_assert_str_eq(s, "a?[31m\xC3\xA9???????");
}
END_TEST

START_TEST(err_set_quotes_no_control_characters)
{
    struct err e = {0};
    err_set(&e, ST_IO, "%s cannot be read.", "/tmp/\x1B]0;x\x07");
    ck_assert_str_eq(e.text, "/tmp/?]0;x? cannot be read.");
}
END_TEST

START_TEST(is_control_catches_what_could_disguise)
{
    static const uint32_t YES[] = {0, 9, 0x0A, 0x1B, 0x1F, 0x7F, 0x80, 0x9F, 0x61C, 0x200E, 0x200F, 0x2028, 0x2029,
                                   0x202A, 0x202E, 0x2066, 0x2069};
    static const uint32_t NO[] = {0x20, 0x7E, 0xA0, 0x61B, 0x200D, 0x2010, 0x202F, 0x2065, 0x206A, 0x1F600};
    for (size_t i = 0; i < ARRAY_LEN(YES); i++)
        ck_assert_msg(is_control(YES[i]), "U+%04X", (unsigned)YES[i]);
    for (size_t i = 0; i < ARRAY_LEN(NO); i++)
        ck_assert_msg(!is_control(NO[i]), "U+%04X", (unsigned)NO[i]);
}
END_TEST

START_TEST(is_item_takes_32_plain_characters)
{
    ck_assert(is_item("a"));
    ck_assert(is_item("K7-031"));
    ck_assert(is_item("cuff.too-small"));
    ck_assert(is_item("12345678901234567890123456789012"));
    ck_assert(!is_item("123456789012345678901234567890123"));
    ck_assert(!is_item(""));
    ck_assert(!is_item(".a"));
    ck_assert(!is_item("-a"));
    ck_assert(!is_item("a b"));
    ck_assert(!is_item("a_b"));
    ck_assert(!is_item("\xC3\xA9"));
}
END_TEST

START_TEST(is_plain_text_counts_characters_not_bytes)
{
    ck_assert(is_plain_text("\xC3\xA9\xC3\xA9", 2));
    ck_assert(!is_plain_text("\xC3\xA9\xC3\xA9", 1));
    ck_assert(!is_plain_text("", 5));
    ck_assert(!is_plain_text("   ", 5));
    ck_assert(!is_plain_text("\xC2\xA0\xE3\x80\x80", 5)); /* wide and no-break blanks */
    ck_assert(!is_plain_text("a\tb", 5));
    ck_assert(!is_plain_text("a\xE2\x80\xAE" "b", 5));
    ck_assert(is_plain_text(" a ", 5));
}
END_TEST

START_TEST(numbers_print_as_the_library_prints_them)
{
    static const int64_t NUMBERS[] = { INT64_MIN, -1000, -1, 0, 7, 10, 999999999999, INT64_MAX };
    for (size_t i = 0; i < ARRAY_LEN(NUMBERS); i++) {
        char buf[NUMBER_CAP], want[40];
        snprintf(want, sizeof want, "%lld", (long long)NUMBERS[i]);
        ck_assert_str_eq(number_print(NUMBERS[i], buf), want);
    }
}
END_TEST

START_TEST(text_add_number_and_bytes_stop_at_the_end)
{
    char buf[6];
    struct text t;
    text_init(&t, buf, sizeof buf);
    text_add_bytes(&t, "abcd", 2);
    text_add_number(&t, 123);
    ck_assert_str_eq(buf, "ab123");
    ck_assert(!t.is_cut);
    text_add_number(&t, 4);
    ck_assert_str_eq(buf, "ab123");
    ck_assert(t.is_cut);
}
END_TEST

int main(void)
{
    Suite *s = suite_create("text");
    TCase *c = tcase_create("text");
    suite_add_tcase(s, c);
    tcase_set_timeout(c, 60);
    tcase_add_test(c, text_add_keeps_what_fits);
    tcase_add_test(c, text_add_adds_nothing_after_a_cut);
    tcase_add_test(c, text_cuts_on_a_whole_character);
    tcase_add_test(c, numbers_print_as_the_library_prints_them);
    tcase_add_test(c, text_add_number_and_bytes_stop_at_the_end);
    tcase_add_test(c, err_set_may_wrap_its_own_text);
    tcase_add_test(c, err_set_cuts_on_a_whole_character);
    tcase_add_loop_test(c, parse_int_takes_whole_numbers_only, 0, (int)ARRAY_LEN(INTS));
    tcase_add_loop_test(c, parse_arm_mm_takes_both_units, 0, (int)ARRAY_LEN(ARMS));
    tcase_add_test(c, parse_messages_quote_no_control_characters);
    tcase_add_test(c, date_exists_knows_the_calendar);
    tcase_add_test(c, parse_date_takes_two_forms);
    tcase_add_test(c, parse_timestamp_asks_for_an_offset);
    tcase_add_test(c, parse_dates_read_nothing_behind_the_end);
    tcase_add_test(c, utf8_encode_and_decode_agree_on_every_character);
    tcase_add_test(c, utf8_decode_refuses_what_is_not_utf8);
    tcase_add_test(c, text_defuse_leaves_nothing_that_steers_a_terminal);
    tcase_add_test(c, err_set_quotes_no_control_characters);
    tcase_add_test(c, is_control_catches_what_could_disguise);
    tcase_add_test(c, is_item_takes_32_plain_characters);
    tcase_add_test(c, is_plain_text_counts_characters_not_bytes);
    SRunner *r = srunner_create(s);
    srunner_run_all(r, CK_NORMAL);
    int failed = srunner_ntests_failed(r);
    srunner_free(r);
    return failed ? EXIT_FAILURE : EXIT_SUCCESS;
}
