/* SPDX-License-Identifier: GPL-3.0-or-later */
#include <check.h>
#include <stdlib.h>
#include <string.h>

#include "stillarm/event.h"
#include "stillarm/text.h"

static bool is_same(const struct event *a, const struct event *b)
{
    return a->t_ms == b->t_ms && a->kind == b->kind && strcmp(a->item, b->item) == 0 && a->value == b->value &&
           a->value2 == b->value2 && strcmp(a->text, b->text) == 0;
}

static enum parsed parse(const char *line, struct event *ev, struct syntax_error *why)
{
    return event_parse(line, strlen(line), ev, why);
}

/* ---- the table ---- */

/* Written down a second time, by hand: kind, form (I any item, L listed words, V value, T text). */
static const struct { const char *word, *form; int words; } KINDS[EV_COUNT] = {
    {"protocol", "I", 0}, {"date", "T", 0}, {"measurer", "I", 0}, {"subject", "I", 0}, {"visit", "L", 2},
    {"prior-arm", "L", 3}, {"purpose", "L", 3}, {"place", "T", 0}, {"help", "L", 3}, {"gauge", "IVV", 0},
    {"check", "LVV", 3}, {"cuff", "IVV", 0}, {"arm", "L", 2}, {"confirm", "I", 0}, {"reopen", "IT", 0},
    {"waive", "IT", 0}, {"circumference", "V", 0}, {"wrap", "I", 0}, {"rest", "L", 2}, {"pulse", "LV", 2},
    {"inflate", "L", 2}, {"empty", "", 0}, {"palpate", "LV", 2}, {"nopulse", "", 0}, {"usual", "V", 0},
    {"target", "V", 0}, {"mark", "L", 6}, {"value", "LV", 5}, {"listener", "I", 0}, {"pair", "LV", 3},
    {"void", "T", 0}, {"done", "", 0}, {"correct", "LVT", 4}, {"noise", "T", 0}, {"interrupt", "T", 0},
    {"moved", "T", 0}, {"told", "", 0}, {"acted", "T", 0}, {"note", "T", 0}, {"resume", "V", 0}, {"stop", "T", 0},
    {"seal", "", 0}, {"bladder", "IVV", 0}, {"barred", "LT", 2}, {"freed", "LT", 2}, {"recent", "LT", 3},
    {"stand", "", 0}, {"symptoms", "L", 2}, {"gap", "L", 2},
    {"witness", "I", 0}, {"lapse", "IT", 0}, {"unseen", "I", 0}, {"strike", "VT", 0},
};

START_TEST(event_form_has_a_row_for_every_kind)
{
    const struct event_form *f = event_form((enum event_kind)_i);
    char form[8] = "";
    int words = 0;
    ck_assert_ptr_nonnull(f->word);
    ck_assert_str_eq(f->word, KINDS[_i].word);
    if (f->has_item)
        strcat(form, f->items ? "L" : "I");
    if (f->has_value)
        strcat(form, "V");
    if (f->has_value2)
        strcat(form, "V");
    if (f->has_text)
        strcat(form, "T");
    ck_assert_str_eq(form, KINDS[_i].form);
    for (; f->items && f->items[words]; words++)
        ck_assert(is_item(f->items[words]));
    ck_assert_int_eq(words, KINDS[_i].words);
}
END_TEST

START_TEST(event_kind_named_finds_every_kind_and_nothing_else)
{
    enum event_kind kind;
    ck_assert(event_kind_named(KINDS[_i].word, &kind));
    ck_assert_int_eq((int)kind, _i);
    ck_assert(!event_kind_named("", &kind));
    ck_assert(!event_kind_named("Rest", &kind));
    ck_assert(!event_kind_named("res", &kind));
    ck_assert(!event_kind_named("restx", &kind));
}
END_TEST

START_TEST(event_form_of_no_kind_is_empty)
{
    ck_assert_str_eq(event_form(EV_COUNT)->word, "");
}
END_TEST

/* ---- what parses ---- */

static const struct { const char *line, *printed; } GOOD[] = {
    {"0.000 protocol us-adult", NULL},
    {"0.000 date \"2031-03-02T14:04:10+01:00\"", NULL},
    {"0.001 subject K7-031", NULL},
    {"1.500 prior-arm unknown", NULL},
    {"2.000 place \"booth 2, by the \\\"blue\\\" door \\\\ left\"", NULL},
    {"3.000 gauge g2 300 20310401", NULL},
    {"4.000 cuff adult 254 406", NULL},
    {"5.000 check leak 0 20310301", NULL},
    {"299.999 rest end", NULL},
    {"999999999.999 resume -999999999999", NULL},
    {"1.000 resume 0", NULL},
    {"1.000 empty", NULL},
    {"4.500 bladder adult 130 240", NULL},
    {"5.000 check zero 2 20310301", NULL},
    {"6.000 barred left \"a rash\"", NULL},
    {"6.000 recent medicine \"this morning\"", NULL},
    {"7.000 gap none", NULL},
    {"1.000 correct target 160 \"misread\"", NULL},
    {"1.000 value last 0", NULL},
    {" \t 1.000\t\tvalue   first\t124  ", "1.000 value first 124"},
    {"1.000 seal\n", "1.000 seal"},
    {"1.000 seal\r\n", "1.000 seal"},
    {"1.000 seal\r", "1.000 seal"},
    {"1.000 note \"a\\/b\\u0041\\u00e9\\uD83D\\uDE00\"", "1.000 note \"a/bA\xC3\xA9\xF0\x9F\x98\x80\""},
    {"1.000 note \"\\u0022\\u005c\"", "1.000 note \"\\\"\\\\\""},
    {"1.000 note \"caf\xC3\xA9 \xE2\x82\xAC\"", "1.000 note \"caf\xC3\xA9 \xE2\x82\xAC\""},
    {"1.000 confirm 12345678901234567890123456789012", NULL},
};

START_TEST(event_parse_then_print_gives_the_one_form)
{
    struct event ev, back;
    struct syntax_error why = {0};
    char line[EVENT_LINE_CAP];
    ck_assert_msg(parse(GOOD[_i].line, &ev, &why) == PARSED_EVENT, "'%s': %d %s", GOOD[_i].line, why.column, why.text);
    ck_assert(event_is_well_formed(&ev));
    size_t n = event_print(&ev, line);
    ck_assert_uint_eq(n, strlen(line));
    ck_assert_str_eq(line, GOOD[_i].printed ? GOOD[_i].printed : GOOD[_i].line);
    ck_assert_int_eq(parse(line, &back, NULL), PARSED_EVENT);
    ck_assert(is_same(&ev, &back));
}
END_TEST

START_TEST(event_parse_fills_every_part)
{
    struct event ev;
    ck_assert_int_eq(parse("12.345 gauge g2 300 20310401", &ev, NULL), PARSED_EVENT);
    ck_assert_int_eq(ev.t_ms, 12345);
    ck_assert_int_eq(ev.kind, EV_GAUGE);
    ck_assert_str_eq(ev.item, "g2");
    ck_assert_int_eq(ev.value, 300);
    ck_assert_int_eq(ev.value2, 20310401);
    ck_assert_str_eq(ev.text, "");
    ck_assert_int_eq(parse("0.500 correct last 76 \"one line lower\"", &ev, NULL), PARSED_EVENT);
    ck_assert_int_eq(ev.t_ms, 500);
    ck_assert_str_eq(ev.item, "last");
    ck_assert_int_eq(ev.value, 76);
    ck_assert_int_eq(ev.value2, 0);
    ck_assert_str_eq(ev.text, "one line lower");
}
END_TEST

START_TEST(event_parse_passes_over_blanks_and_comments)
{
    static const char *const NOTHING[] = {"", "\n", "\r\n", "   \t ", "#", "# 1.000 seal", "  # indented", "#\xC3\xA9"};
    for (size_t i = 0; i < ARRAY_LEN(NOTHING); i++) {
        struct event ev = {.t_ms = 42};
        ck_assert_msg(parse(NOTHING[i], &ev, NULL) == PARSED_NOTHING, "row %zu", i);
        ck_assert_int_eq(ev.t_ms, 42);
    }
}
END_TEST

/* ---- what does not ---- */

static const struct { const char *line; int column; const char *reason; } BAD[] = {
    {"seal", 1, "no time"},
    {"-1.000 seal", 1, "negative time"},
    {".500 seal", 1, "no second"},
    {"1 seal", 2, "no decimals"},
    {"1.0 seal", 4, "one decimal"},
    {"1.00 seal", 5, "two decimals"},
    {"1.0000 seal", 6, "four decimals"},
    {"1,000 seal", 2, "comma"},
    {"00.000 seal", 1, "two zeros"},
    {"01.000 seal", 1, "leading zero"},
    {"1234567890.000 seal", 10, "ten digits of time"},
    {"1.000seal", 6, "no blank"},
    {"1.000", 6, "no kind"},
    {"1.000   ", 9, "no kind behind blanks"},
    {"1.000 rset begin", 7, "unknown kind"},
    {"1.000 Rest begin", 7, "kinds are lower case"},
    {"1.000 caf\xC3\xA9", 7, "no such kind, not ASCII"},
    {"1.000 rest", 11, "item missing"},
    {"1.000 rest start", 12, "a word that is not listed"},
    {"1.000 rest begins", 12, "nearly a listed word"},
    {"1.000 inflate both", 15, "a word that is not listed"},
    {"1.000 correct silent 90 \"x\"", 15, "correct takes no silent"},
    {"1.000 pair silent 90", 12, "pair takes no silent"},
    {"1.000 value release 90", 13, "release has no value"},
    {"1.000 confirm", 14, "any item missing"},
    {"1.000 confirm a_b", 16, "underscore in an item"},
    {"1.000 confirm -a", 15, "item begins with a hyphen"},
    {"1.000 confirm caf\xC3\xA9", 18, "item beyond ASCII"},
    {"1.000 confirm 123456789012345678901234567890123", 47, "item of 33 characters"},
    {"1.000 confirm a b", 17, "a part too many"},
    {"1.000 seal now", 12, "a part too many"},
    {"1.000 target", 13, "value missing"},
    {"1.000 target 016", 14, "leading zero"},
    {"1.000 target 00", 14, "leading zero"},
    {"1.000 target -160", 14, "negative pressure"},
    {"1.000 target +160", 14, "plus"},
    {"1.000 target 160.0", 17, "decimals in a value"},
    {"1.000 target 16o", 16, "letter in a value"},
    {"1.000 target 1000000000000", 26, "13 digits"},
    {"1.000 target \"160\"", 14, "text for a value"},
    {"1.000 resume -0", 15, "minus zero"},
    {"1.000 resume -", 15, "minus alone"},
    {"1.000 gauge g2 300", 19, "second value missing"},
    {"1.000 gauge g2 300 -1", 20, "negative second value"},
    {"1.000 cuff a 1 2 3", 18, "third value"},
    {"1.000 note", 11, "text missing"},
    {"1.000 note abc", 12, "no quotes"},
    {"1.000 note \"abc", 16, "no closing quote"},
    {"1.000 note \"abc\\\"", 18, "the closing quote is escaped"},
    {"1.000 note \"a\"b", 15, "junk behind the text"},
    {"1.000 note \"\"", 12, "empty text"},
    {"1.000 note \"  \"", 12, "blank text"},
    {"1.000 note \"\xC2\xA0\"", 12, "blank text in no-break blanks"},
    {"1.000 note \"a\tb\"", 14, "raw tab in a text"},
    {"1.000 note \"a\\tb\"", 14, "escaped tab"},
    {"1.000 note \"a\\nb\"", 14, "escaped line end"},
    {"1.000 note \"a\\u0000b\"", 14, "escaped NUL"},
    {"1.000 note \"a\\u202Eb\"", 14, "escaped change of direction"},
    {"1.000 note \"a\\qb\"", 14, "no such escape"},
    {"1.000 note \"a\\", 14, "escape cut short"},
    {"1.000 note \"a\\u12\"", 18, "hexadecimal digits missing"},
    {"1.000 note \"\\uD83D\"", 13, "lone high surrogate"},
    {"1.000 note \"\\uDE00\"", 13, "lone low surrogate"},
    {"1.000 note \"\\uD83D\\u0041\"", 13, "high surrogate without its low"},
    {"1.000 note \"\xC3\xA9\xC3\xA9\xFF\"", 15, "invalid UTF-8, counted in characters"},
    {"1.000 note \"\xED\xA0\x80\"", 13, "surrogate in UTF-8"},
    {"1.000 rest\rbegin", 7, "a carriage return inside the line"},
    {"# \xFF", 3, "invalid UTF-8 in a comment"},
    {"\xEF\xBB\xBF" "1.000 seal", 1, "byte-order mark"},
};

START_TEST(event_parse_names_the_column_of_the_first_fault)
{
    struct event ev = {.t_ms = 42};
    struct syntax_error why = {0};
    ck_assert_msg(parse(BAD[_i].line, &ev, &why) == PARSED_ERROR, "'%s' (%s)", BAD[_i].line, BAD[_i].reason);
    ck_assert_msg(why.column == BAD[_i].column, "'%s' (%s): column %d, want %d", BAD[_i].line, BAD[_i].reason,
                  why.column, BAD[_i].column);
    ck_assert(is_plain_text(why.text, 199));
    ck_assert_int_eq(ev.t_ms, 42);
    ck_assert_int_eq(parse(BAD[_i].line, &ev, NULL), PARSED_ERROR);
}
END_TEST

START_TEST(event_parse_refuses_a_nul_anywhere)
{
    static const char line[] = "1.000 note \"abc\"";
    for (size_t i = 0; i < sizeof line - 1; i++) {
        char cut[sizeof line];
        struct event ev;
        memcpy(cut, line, sizeof line);
        cut[i] = '\0';
        ck_assert_int_eq(event_parse(cut, sizeof line - 1, &ev, NULL), PARSED_ERROR);
    }
}
END_TEST

START_TEST(event_parse_reads_nothing_behind_the_end)
{
    for (size_t i = 0; i < ARRAY_LEN(GOOD); i++) {
        size_t whole = strlen(GOOD[i].line);
        for (size_t n = 0; n <= whole; n++) { /* exact heap copies without terminator */
            struct event ev;
            char *cut = malloc(n ? n : 1);
            ck_assert_ptr_nonnull(cut);
            memcpy(cut, GOOD[i].line, n);
            if (event_parse(cut, n, &ev, NULL) == PARSED_EVENT)
                ck_assert(event_is_well_formed(&ev));
            free(cut);
        }
    }
}
END_TEST

/* ---- long texts ---- */

static size_t note_of(char *line, const char *character, int times)
{
    strcpy(line, "1.000 note \"");
    for (int i = 0; i < times; i++)
        strcat(line, character);
    strcat(line, "\"");
    return strlen(line);
}

START_TEST(event_text_holds_500_characters_of_any_width)
{
    static const char *const WIDTHS[] = {"a", "\xC3\xA9", "\xE2\x82\xAC", "\xF0\x9F\x98\x80", "\\\"", "\\u0041",
                                         "\\uD83D\\uDE00"};
    static char line[8000], out[EVENT_LINE_CAP];
    struct event ev, back;
    struct syntax_error why;
    size_t n = note_of(line, WIDTHS[_i], 500);
    ck_assert_int_eq(event_parse(line, n, &ev, NULL), PARSED_EVENT);
    ck_assert_int_eq(utf8_length(ev.text), 500);
    ck_assert_uint_lt(event_print(&ev, out), EVENT_LINE_CAP - 1);
    ck_assert_int_eq(parse(out, &back, NULL), PARSED_EVENT);
    ck_assert(is_same(&ev, &back));
    n = note_of(line, WIDTHS[_i], 501);
    ck_assert_int_eq(event_parse(line, n, &ev, &why), PARSED_ERROR);
}
END_TEST

START_TEST(event_print_of_the_longest_event_fits)
{
    static struct event ev;
    static char out[EVENT_LINE_CAP];
    ev.kind = EV_CORRECT;
    ev.t_ms = EVENT_TIME_MAX_MS;
    strcpy(ev.item, "muffling");
    ev.value = INT64_C(999999999999);
    for (int i = 0; i < EVENT_TEXT_MAX; i++)
        strcat(ev.text, "\xF0\x9F\x98\x80");
    ck_assert(event_is_well_formed(&ev));
    size_t n = event_print(&ev, out);
    ck_assert_uint_lt(n, EVENT_LINE_CAP - 1);
    ck_assert_int_eq(out[n - 1], '"');
}
END_TEST

START_TEST(event_parse_counts_columns_behind_a_long_text)
{
    static char line[8000];
    struct event ev;
    struct syntax_error why;
    note_of(line, "\xF0\x9F\x98\x80", 500);
    strcat(line, " x");
    ck_assert_int_eq(parse(line, &ev, &why), PARSED_ERROR);
    ck_assert_int_eq(why.column, 12 + 500 + 1 + 2);
}
END_TEST

/* ---- the form of an event that was not parsed ---- */

START_TEST(event_is_well_formed_wants_exactly_its_parts)
{
    struct event ok, ev;
    ck_assert_int_eq(parse("1.000 correct last 76 \"why\"", &ok, NULL), PARSED_EVENT);
    ck_assert(event_is_well_formed(&ok));
#define BROKEN(change) ev = ok; change; ck_assert_msg(!event_is_well_formed(&ev), #change)
    BROKEN(ev.t_ms = -1);
    BROKEN(ev.t_ms = EVENT_TIME_MAX_MS + 1);
    BROKEN(ev.kind = EV_COUNT);
    BROKEN(ev.item[0] = '\0');
    BROKEN(strcpy(ev.item, "silent"));
    BROKEN(memset(ev.item, 'a', sizeof ev.item));
    BROKEN(ev.value = -2);
    BROKEN(ev.value = INT64_C(1000000000000));
    BROKEN(ev.value2 = 1);
    BROKEN(ev.text[0] = '\0');
    BROKEN(strcpy(ev.text, "a\nb"));
    BROKEN(strcpy(ev.text, "\xFF"));
    BROKEN(memset(ev.text, 'a', sizeof ev.text));
    ck_assert_int_eq(parse("1.000 seal", &ok, NULL), PARSED_EVENT);
    BROKEN(strcpy(ev.item, "x"));
    BROKEN(strcpy(ev.text, "x"));
    BROKEN(ev.value = 1);
    ck_assert_int_eq(parse("1.000 resume -5", &ok, NULL), PARSED_EVENT);
    BROKEN(ev.value = -INT64_C(1000000000000));
#undef BROKEN
}
END_TEST

int main(void)
{
    Suite *s = suite_create("event");
    TCase *c = tcase_create("event");
    suite_add_tcase(s, c);
    tcase_add_loop_test(c, event_form_has_a_row_for_every_kind, 0, EV_COUNT);
    tcase_add_loop_test(c, event_kind_named_finds_every_kind_and_nothing_else, 0, EV_COUNT);
    tcase_add_test(c, event_form_of_no_kind_is_empty);
    tcase_add_loop_test(c, event_parse_then_print_gives_the_one_form, 0, (int)ARRAY_LEN(GOOD));
    tcase_add_test(c, event_parse_fills_every_part);
    tcase_add_test(c, event_parse_passes_over_blanks_and_comments);
    tcase_add_loop_test(c, event_parse_names_the_column_of_the_first_fault, 0, (int)ARRAY_LEN(BAD));
    tcase_add_test(c, event_parse_refuses_a_nul_anywhere);
    tcase_add_test(c, event_parse_reads_nothing_behind_the_end);
    tcase_add_loop_test(c, event_text_holds_500_characters_of_any_width, 0, 7);
    tcase_add_test(c, event_print_of_the_longest_event_fits);
    tcase_add_test(c, event_parse_counts_columns_behind_a_long_text);
    tcase_add_test(c, event_is_well_formed_wants_exactly_its_parts);
    SRunner *r = srunner_create(s);
    srunner_run_all(r, CK_NORMAL);
    int failed = srunner_ntests_failed(r);
    srunner_free(r);
    return failed ? EXIT_FAILURE : EXIT_SUCCESS;
}
