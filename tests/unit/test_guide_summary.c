/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The summary of a sitting and the page of its parts: category, how exact, pulls, departures, and nothing when covered. */
#include <math.h>
#include <stdlib.h>

#include "guide/worth_page.h"
#include "guide_hand.h"
#include "terminal/layout.h"
#include "terminal/terminal.h"

#define GLUE "\xc2\xa0" /* no line ends here */

static struct hand h;
static struct protocol p;

/* Two schemes that part ways between 120 and 140, as invented bodies would. */
static const struct category_scheme NORTH = {
    .id = "north", .title = "North 1",
    .bands = { { .id = "low", .say = "calm" },
               { .id = "mid", .say = "raised", .systolic_from_mmhg = 120, .diastolic_from_mmhg = CATEGORY_NO_BOUND },
               { .id = "top", .say = "steep", .systolic_from_mmhg = 140, .diastolic_from_mmhg = 90 } },
    .band_count = 3,
};
static const struct category_scheme SOUTH = {
    .id = "south", .title = "South 2",
    .bands = { { .id = "low", .say = "usual" }, { .id = "top", .say = "marked", .systolic_from_mmhg = 150, .diastolic_from_mmhg = 95 } },
    .band_count = 2,
};

static void begin(void)
{
    hand_begin(&h, "us-adult");
    p = *h.known;
    p.schemes[0] = NORTH;
    p.schemes[1] = SOUTH;
    p.scheme_count = 2;
    memset(p.says, 0, sizeof p.says);
    h.known = &p;
}

/* Two readings on a return visit. */
static void take(const char *first_a, const char *last_a, const char *first_b, const char *last_b)
{
    prepare(&h, true, "\n");
    listen(&h, "160", first_a, last_a);
    pass(&h, 70);
    listen(&h, "160", first_b, last_b);
}

static void take_two(const char *first_a, const char *last_a, const char *first_b, const char *last_b)
{
    take(first_a, last_a, first_b, last_b);
    ck_page(&h, "result");
}

static const struct page_line *line_with(const struct page *pg, const char *words)
{
    for (int i = 0; i < pg->line_count; i++)
        if (strstr(pg->lines[i].text, words) != NULL)
            return &pg->lines[i];
    ck_abort_msg("no line says '%s'", words);
    return NULL;
}

START_TEST(summary_says_the_category_of_each_scheme)
{
    take_two("128", "78", "130", "76");
    ck_assert_str_eq(line_with(&h.page, "North 1")->text, "raised (North 1); usual (South 2)");
    line_with(&h.page, "One visit is no diagnosis.");
}
END_TEST

static void take_three(const char *first, const char *second, const char *third)
{
    p.value[KEY_READINGS_MIN] = p.value[KEY_READINGS_IRREGULAR] = 3;
    take(first, "78", second, "78");
    pass(&h, 70);
    listen(&h, "160", third, "78");
    ck_page(&h, "result");
}

START_TEST(summary_keeps_a_decimal_where_rounding_would_contradict_the_category)
{
    p.schemes[0].bands[2].systolic_from_mmhg = 139;
    take_three("138", "138", "140"); /* 138.67: below 139, which rounding would reach */
    ck_assert_str_eq(h.page.big, "138.6/78.0");
    line_with(&h.page, "raised (North 1)");
}
END_TEST

START_TEST(summary_rounds_to_whole_mmhg_where_that_keeps_the_category)
{
    p.schemes[0].bands[2].systolic_from_mmhg = 138;
    take_three("138", "138", "140");
    ck_assert_str_eq(h.page.big, "139/78");
    line_with(&h.page, "steep (North 1)");
}
END_TEST

START_TEST(summary_says_how_exact_in_one_line_that_agrees_with_the_budget)
{
    struct worth w;
    char wanted[160];

    take_two("128", "78", "130", "76");
    ck_assert(worth_of_average(&h.sitting, &p, (enum arm)h.sitting.arm, &w));
    snprintf(wanted, sizeof wanted, "how exact: %.0f to %.0f / %.0f to %.0f in 95 of 100 such sittings, with a published spread",
             floor(w.side[SIDE_SYSTOLIC].low), ceil(w.side[SIDE_SYSTOLIC].high), floor(w.side[SIDE_DIASTOLIC].low),
             ceil(w.side[SIDE_DIASTOLIC].high));
    line_with(&h.page, wanted);
    line_with(&h.page, "that this sitting's true mean reaches ");
    line_with(&h.page, "One more reading would ");
    line_with(&h.page, "From visit to visit about 13.5 (SD, treated, 65 and over).");
    press(&h, "b");
    line_with(&h.page, "From visit to visit the systolic moves by about 13.5 (SD; treated people of 65 and over, VAR-1");
}
END_TEST

START_TEST(summary_says_by_how_much_one_more_reading_would_narrow_it)
{
    take_two("128", "78", "130", "76");
    line_with(&h.page, "One more reading would narrow it by about a sixth.");
    p.value[KEY_GAUGE_LIMIT_MMHG] = 20; /* what is the same in every reading stays, however many there are */
    hand_look(&h);
    line_with(&h.page, "One more reading would hardly narrow it.");
}
END_TEST

/* Four readings lean on a published spread that the fifth lets go of. */
START_TEST(summary_says_where_one_more_reading_would_not_narrow_it)
{
    take_two("128", "78", "130", "76");
    for (int i = 0; i < 2; i++)
        h.sitting.readings[h.sitting.reading_count++] = h.sitting.readings[i];
    hand_look(&h);
    line_with(&h.page, "One more reading would not narrow it.");
}
END_TEST

/* Thin: more readings than lean on a published spread, and so far apart that their own outweighs all else. */
START_TEST(summary_says_of_readings_far_apart_why_the_margin_is_wide)
{
    take_two("128", "78", "130", "76");
    for (int i = 0; i < 3; i++) {
        h.sitting.readings[h.sitting.reading_count] = h.sitting.readings[0];
        h.sitting.readings[h.sitting.reading_count++].value_mmhg[POINT_FIRST] = 112 + 20 * i;
    }
    hand_look(&h);
    line_with(&h.page, "in 95 of 100 such sittings; readings far apart, so a wide margin");
}
END_TEST

/* As it lies on the record once the subject has stood up. */
static void stand_with(int systolic, int diastolic)
{
    struct reading *r = &h.sitting.readings[h.sitting.reading_count++];

    *r = h.sitting.readings[0];
    r->is_standing = 1;
    r->stood_for_ms = 62000;
    r->value_mmhg[POINT_FIRST] = systolic;
    r->value_mmhg[POINT_LAST] = diastolic;
    h.sitting.is_standing = 1;
    h.sitting.stood_ms = r->inflate_ms - r->stood_for_ms;
    hand_look(&h);
}

START_TEST(summary_says_standing_readings_and_the_change_apart_from_the_average)
{
    take_two("128", "78", "130", "76");
    stand_with(108, 80);
    ck_assert_str_eq(h.page.big, "129/77");
    line_with(&h.page, "left arm, standing   3:" GLUE "108/80" GLUE "at" GLUE "1:02");
    line_with(&h.page, "standing: systolic 21.0 lower, diastolic 3.0 higher");
    press(&h, "h");
    ck_assert(!page_says(&h.page, "21.0"));
    line_with(&h.page, "standing against lying: covered");
}
END_TEST

START_TEST(parts_count_the_departures_that_a_page_cannot_hold)
{
    const struct page_line *last;

    for (int key = 0; key < KEY_COUNT; key++)
        if (PROTOCOL_KEYS[key].words == NULL)
            p.says[key] = (struct says){ 1, p.value[key] + 1, p.value[key] + 1 };
    take_two("128", "78", "130", "76");
    press(&h, "b");
    last = &h.page.lines[h.page.line_count - 1];
    ck_assert_msg(strstr(last->text, " more: stillarm protocols us-adult") != NULL, "%s", last->text);
}
END_TEST

START_TEST(summary_covered_shows_no_figure_and_nothing_made_of_them)
{
    static const char *const NEVER[] = { "128", "130", "129", "raised", "how exact:", "true mean", "narrow" };

    take_two("128", "78", "130", "76");
    press(&h, "h");
    ck_assert_str_eq(h.page.big, "");
    for (size_t i = 0; i < ARRAY_LEN(NEVER); i++)
        ck_assert_msg(!page_says(&h.page, NEVER[i]), "covered, and it says %s", NEVER[i]);
    press(&h, "b");
    ck_page(&h, "worth");
    ck_assert(!page_says(&h.page, "combined"));
    press(&h, "h");
    ck_assert(page_says(&h.page, "combined"));
}
END_TEST

START_TEST(summary_lists_each_departure_of_the_protocol)
{
    p.says[KEY_REST_S] = (struct says){ 1, 360, 360 };
    p.says[KEY_INTERVAL_MIN_S] = (struct says){ 1, 90, 120 };
    take_two("128", "78", "130", "76");
    line_with(&h.page, "departs from its sources in 2 places");
    line_with(&h.page, "(rest_s) is 300 s");
    line_with(&h.page, "(interval_min_s) is 60 s");
    press(&h, "b");
    line_with(&h.page, "(rest_s) is 300 s");
}
END_TEST

START_TEST(summary_without_departures_says_nothing_of_them)
{
    take_two("128", "78", "130", "76");
    ck_assert(!page_says(&h.page, "departs"));
}
END_TEST

START_TEST(summary_says_a_silent_gap_with_its_range)
{
    struct reading *r = &h.sitting.readings[0];

    take_two("128", "78", "130", "76");
    r->notes |= NOTE_GAP_HEARD;
    hand_look(&h);
    line_with(&h.page, "reading 1: a silent gap was heard, its range not noted");
    r->has_value[POINT_SILENT] = r->has_value[POINT_RETURN] = 1;
    r->value_mmhg[POINT_SILENT] = 120;
    r->value_mmhg[POINT_RETURN] = 104;
    hand_look(&h);
    line_with(&h.page, "reading 1: a silent gap from 120 to 104");
}
END_TEST

START_TEST(summary_names_an_arm_that_may_not_be_used)
{
    take_two("128", "78", "130", "76");
    h.sitting.is_barred[ARM_RIGHT] = 1;
    hand_look(&h);
    line_with(&h.page, "note: the right arm may not be used");
}
END_TEST

START_TEST(summary_says_why_one_reading_was_enough)
{
    p.value[KEY_ALONE_BELOW_SYSTOLIC_MMHG] = 130;
    p.value[KEY_ALONE_BELOW_DIASTOLIC_MMHG] = 85;
    prepare(&h, true, "\n");
    listen(&h, "160", "124", "78");
    ck_page(&h, "result");
    ck_assert_msg(strstr(h.page.big_note, "below 130/85 it suffices") != NULL, "%s", h.page.big_note);
}
END_TEST

START_TEST(summary_names_the_lower_of_the_last_two)
{
    p.value[KEY_AVERAGE] = AVERAGE_LOWER_OF_LAST_TWO;
    take_two("128", "78", "130", "76");
    ck_assert_str_eq(h.page.big, "128/78");
    ck_assert_msg(strstr(h.page.big_note, "the lower of the last two") != NULL, "%s", h.page.big_note);
}
END_TEST

/* ---- as it stands on the screen ---- */

static char screen[20000];
static struct grid grid;

static void look(int rows, int cols, struct layout_scroll *scroll)
{
    layout_page(&h.page, rows, cols, true, scroll, &grid);
    layout_text(&grid, screen, sizeof screen);
}

static bool is_seen(const char *words)
{
    return strstr(screen, words) != NULL;
}

static void all_seen(const char *const *words)
{
    for (; *words != NULL; words++)
        ck_assert_msg(is_seen(*words), "'%s' is not on:\n%s", *words, screen);
}

/* The same two readings as they lie on the record under another protocol, all but its end confirmed. */
static void under(const char *id)
{
    take_two("128", "78", "130", "76");
    p = *hand_protocol(id);
    for (int i = 0; i < p.item_count; i++)
        h.sitting.items[i] = p.items[i].step == STEP_CLOSING ? ITEM_OPEN : ITEM_CONFIRMED;
    hand_look(&h);
}

static void add_reading(enum arm arm, int systolic, int diastolic)
{
    struct reading *r = &h.sitting.readings[h.sitting.reading_count++];

    *r = h.sitting.readings[0];
    r->arm = (int32_t)arm;
    r->value_mmhg[POINT_FIRST] = systolic;
    r->value_mmhg[POINT_LAST] = diastolic;
}

static void depart(void)
{
    for (int key = KEY_REST_S; key <= KEY_INFLATION_LONG_S; key++)
        if (PROTOCOL_KEYS[key].words == NULL)
            p.says[key] = (struct says){ 1, p.value[key] + 1, p.value[key] + 1 };
}

static void us_return(void)
{
    under("us-adult");
}

static void us_first_departing_and_high(void)
{
    under("us-adult");
    h.sitting.is_return = 0;
    depart();
    h.sitting.readings[0].value_mmhg[POINT_FIRST] = 181;
    h.sitting.readings[1].value_mmhg[POINT_FIRST] = 178;
    h.sitting.alarm_reading = 1;
    h.sitting.symptoms = SYMPTOMS_NONE;
    h.sitting.given[EV_SYMPTOMS] = h.sitting.given[EV_ACTED] = 1;
    add_reading(ARM_RIGHT, 174, 78);
    add_reading(ARM_RIGHT, 176, 80);
    hand_look(&h);
}

static void uk_return(void)
{
    under("uk-adult");
    add_reading(ARM_LEFT, 136, 88);
    hand_look(&h);
}

static void standing(void)
{
    under("standing-adult");
    stand_with(108, 80);
    stand_with(112, 78);
    for (int i = 2; i < 4; i++)
        h.sitting.readings[i].stand = 1;
    h.sitting.given[EV_STAND] = 1;
    hand_look(&h);
}

static const struct {
    void (*make)(void);
    const char *seen[6];
} RESULTS[] = {
    { us_return, { "mean of all readings that count", "elevated (US 2017/2025); normal (ESH", "1: 128/78,  2: 130/76" } },
    { us_first_departing_and_high, { "mean of all", "stage 2 (US 2017/2025); grade 2, isolated", "how exact: " } },
    { uk_return, { "the lower of the last two", "below 140/90", "how exact: 117 to 146 / 60 to 89" } },
    { standing, { "left arm", "No category: this protocol names no bands", "The subject may sit or lie down again" } },
};
static const char *const HEAD[] = { "no diagnosis", "how exact:", "of 100 such", NULL };
static const char *const DOING[] = { "> Cuff off, the arm looked at", "Tell the subject the numbers", NULL };
static const char *const KEYS[] = { "t told", "f finish", "b the parts", "+ one more", "c correct", NULL };

START_TEST(result_shows_what_is_essential_on_arrival)
{
    RESULTS[_i].make();
    ck_page(&h, "result");
    look(24, 80, NULL);
    ck_assert_msg(is_seen("##") || is_seen(h.page.big), "no average on:\n%s", screen);
    all_seen(HEAD);
    all_seen(DOING);
    all_seen(KEYS);
    all_seen(RESULTS[_i].seen);
    look(20, 60, NULL);
    ck_assert_msg(is_seen("##") || is_seen(h.page.big), "no average on:\n%s", screen);
    all_seen(HEAD);
    all_seen(KEYS);
}
END_TEST

/* An item is the current line: it does not keep the rest from being read. */
START_TEST(result_is_paged_to_its_end_past_an_open_item)
{
    struct layout_scroll scroll = { 0 };

    RESULTS[_i].make();
    look(20, 60, &scroll);
    ck_assert_int_gt(scroll.most, 0);
    ck_assert(is_seen("(more below)"));
    scroll.is_paged = true;
    scroll.from = scroll.most;
    look(20, 60, &scroll);
    ck_assert_msg(!is_seen("(more below)"), "more below the end:\n%s", screen);
    ck_assert_msg(is_seen("(more above)"), "nothing above the end:\n%s", screen);
}
END_TEST

START_TEST(result_stays_while_what_is_below_it_is_paged)
{
    struct layout_scroll scroll = { 0 };

    us_first_departing_and_high();
    look(24, 80, &scroll);
    ck_assert_int_gt(scroll.most, 0);
    scroll.is_paged = true;
    scroll.from = scroll.most;
    look(24, 80, &scroll);
    all_seen(HEAD);
    ck_assert_msg(is_seen("(inflation_long_s)"), "the end is not on:\n%s", screen);
}
END_TEST

START_TEST(result_never_breaks_a_reading)
{
    us_return();
    for (int i = 0; i < 5; i++)
        add_reading(ARM_LEFT, 130 + i, 80);
    hand_look(&h);
    for (int cols = 60; cols < 100; cols++) {
        look(40, cols, NULL);
        for (int i = 2; i < 7; i++) {
            char piece[40];

            snprintf(piece, sizeof piece, "%d: %d/80", i + 1, 128 + i);
            ck_assert_msg(is_seen(piece), "'%s' is broken on %d columns:\n%s", piece, cols, screen);
        }
    }
}
END_TEST

START_TEST(result_covered_tells_nothing_of_high_readings)
{
    us_first_departing_and_high();
    line_with(&h.page, "reading 1: very high; asked for symptoms: none");
    line_with(&h.page, "What was done is written on the record once.");
    press(&h, "h");
    ck_assert(!page_says(&h.page, "very high"));
    ck_assert(!page_says(&h.page, "What was done"));
}
END_TEST

/* Two readings raised it; the first was passed without an answer. */
START_TEST(result_says_which_high_reading_was_asked_about)
{
    us_first_departing_and_high();
    h.sitting.readings[1].value_mmhg[POINT_FIRST] = 182;
    h.sitting.readings[1].alarm_before = 1;
    h.sitting.readings[1].symptoms_before = SYMPTOMS_NOT_ASKED;
    h.sitting.alarm_reading = 2;
    hand_look(&h);
    line_with(&h.page, "reading 1: very high; symptoms not asked");
    line_with(&h.page, "reading 2: very high; asked for symptoms: none");
}
END_TEST

START_TEST(stopped_says_a_first_sound_that_was_all_there_was)
{
    us_first_departing_and_high();
    h.sitting.phase = PHASE_STOPPED;
    h.sitting.readings[1].has_value[POINT_LAST] = 0;
    h.sitting.readings[1].voids = VOID_GIVEN_UP;
    hand_look(&h);
    ck_page(&h, "stopped");
    line_with(&h.page, "2:" GLUE "first" GLUE "sound" GLUE "178 does not count");
    line_with(&h.page, "reading 1: very high; asked for symptoms: none");
}
END_TEST

START_TEST(result_says_where_the_rule_takes_no_more_readings)
{
    struct worth w;

    uk_return();
    line_with(&h.page, "One more reading would not narrow it: still one is taken.");
    ck_assert(worth_of_average(&h.sitting, &p, ARM_LEFT, &w));
    press(&h, "b");
    line_with(&h.page, "One more reading would not narrow it: still one is taken.");
    ck_assert(!page_says(&h.page, "instead of"));
}
END_TEST

START_TEST(interval_is_never_shown_narrower_than_it_is)
{
    char said[40];

    guide_say_interval(&(struct worth_budget){ .low = 123.96, .high = 138.04 }, 0, said, sizeof said);
    ck_assert_str_eq(said, "123 to 139");
    guide_say_interval(&(struct worth_budget){ .low = 123.96, .high = 138.04 }, 1, said, sizeof said);
    ck_assert_str_eq(said, "123.9 to 138.1");
}
END_TEST

START_TEST(parts_show_every_row_of_both_budgets_in_80_columns)
{
    static const char *const PARTS[WORTH_PART_COUNT] = { "gauge", "graduation", "beat", "arm height", "spread" };
    int rows = 0;

    take_two("128", "78", "130", "76");
    press(&h, "b");
    ck_page(&h, "worth");
    for (int i = 0; i < h.page.line_count; i++)
        for (int part = 0; part < WORTH_PART_COUNT; part++) {
            const struct page_line *line = &h.page.lines[i];

            if (line->role != LINE_ROW || strncmp(line->text, PARTS[part], strlen(PARTS[part])) != 0 || strchr(line->text, ':') != NULL)
                continue;
            rows++;
            ck_assert_msg(strlen(line->text) <= 75, "%zu columns: %s", strlen(line->text), line->text);
        }
    ck_assert_int_eq(rows, SIDE_COUNT * WORTH_PART_COUNT);
    ck_assert(page_says(&h.page, "systolic 129.0 mmHg"));
    ck_assert(page_says(&h.page, "diastolic 77.0 mmHg"));
}
END_TEST

START_TEST(parts_lose_no_line_on_a_full_page)
{
    take_two("128", "78", "130", "76");
    press(&h, "b");
    ck_assert_int_lt(h.page.line_count, PAGE_LINES_MAX - 1);
}
END_TEST

START_TEST(parts_are_read_on_to_the_end_and_left_by_any_other_key)
{
    take_two("128", "78", "130", "76");
    press(&h, "b");
    for (int i = 0; i < 2 * PAGE_LINES_MAX; i++)
        hand_code(&h, KEY_DOWN_ARROW);
    ck_assert(h.page.lines[h.page.line_count - 1].is_current);
    hand_code(&h, KEY_UP_ARROW);
    ck_assert(h.page.lines[h.page.line_count - 2].is_current);
    press(&h, "  ");
    ck_assert(h.page.lines[0].is_current);
    press(&h, "x");
    ck_page(&h, "result");
    ck_assert_int_eq(h.sitting.phase, PHASE_OPEN);
}
END_TEST

/* Was the line's beginning and its last word on one of the screens so far? */
static bool is_read(const char *all, const char *line)
{
    char begin[21];
    const char *end = strrchr(line, ' ');

    while (*line == ' ')
        line++;
    snprintf(begin, sizeof begin, "%s", line);
    return strstr(all, begin) != NULL && strstr(all, end != NULL ? end + 1 : line) != NULL;
}

START_TEST(parts_are_all_seen_by_leaps)
{
    static const int SIZES[][2] = { { 20, 60 }, { 24, 80 }, { 50, 132 } };
    static char all[400000];
    size_t used = 0;

    us_first_departing_and_high();
    press(&h, "b");
    do {
        terminal_render_text(&h.page, SIZES[_i][0], SIZES[_i][1], true, screen, sizeof screen);
        ck_assert_uint_lt(used + strlen(screen), sizeof all);
        memcpy(all + used, screen, strlen(screen) + 1);
        used += strlen(screen);
        press(&h, " ");
    } while (!h.page.lines[0].is_current);
    for (int i = 0; i < h.page.line_count; i++)
        ck_assert_msg(is_read(all, h.page.lines[i].text), "leapt over: %s", h.page.lines[i].text);
}
END_TEST

static const struct { double chance; const char *words; } CHANCES[] = {
    { 0.0, "fewer than 1 in 100" }, { 0.009, "fewer than 1 in 100" }, { 0.01, "about 1 in 100" },
    { 0.02, "about 1 in 50" },      { 0.034, "about 1 in 50" },       { 0.05, "about 1 in 20" },      { 0.07, "about 1 in 20" },
    { 0.98, "about 49 in 50" },     { 0.989, "about 99 in 100" },
    { 0.10, "about 1 in 10" },      { 0.68, "about 7 in 10" },        { 0.92, "about 9 in 10" },
    { 0.95, "about 19 in 20" },     { 0.995, "more than 99 in 100" }, { 1.0, "more than 99 in 100" },
};

START_TEST(chance_is_said_as_a_frequency_no_finer_than_it_is_known)
{
    struct page pg;
    struct worth w = { .n = 2, .edge = { .is_known = true, .band = 2, .systolic_from_mmhg = 140, .diastolic_from_mmhg = 90,
                                         .chance_either = CHANCES[_i].chance } };

    page_init(&pg, PAGE_OPEN, "worth");
    guide_worth_lines(&w, &h.sitting, &p, &pg);
    ck_assert_str_eq(line_with(&pg, "reaches steep")->text + strlen(CHANCES[_i].words),
                     " that this sitting's true mean reaches steep (140 or 90)");
    ck_assert_int_eq(strncmp(line_with(&pg, "reaches steep")->text, CHANCES[_i].words, strlen(CHANCES[_i].words)), 0);
}
END_TEST

START_TEST(pulls_are_told_with_direction_and_published_size_and_change_nothing)
{
    struct page pg;
    struct worth w = { .n = 2, .pull_count = 1, .pulls = { { .what = "the cuff was too small", .systolic = 1, .diastolic = 1,
                       .size = "+4.8/+1.8 mmHg", .origin = { "WC-2", STANDING_PUBLISHED } } } };

    page_init(&pg, PAGE_OPEN, "worth");
    guide_worth_lines(&w, &h.sitting, &p, &pg);
    ck_assert_str_eq(line_with(&pg, "too small")->text,
                     "the cuff was too small: reads high, not corrected for; +4.8/+1.8 mmHg (WC-2, published)");
}
END_TEST

/* As long as a site may write it. */
START_TEST(pull_that_is_long_is_still_said_not_to_be_corrected)
{
    struct page pg;
    struct worth w = { .n = 2, .pull_count = 1, .pulls = { { .systolic = 1, .diastolic = -1, .origin = { "WC-2", STANDING_PUBLISHED } } } };

    memset(w.pulls[0].what, 'x', sizeof w.pulls[0].what - 1);
    memset(w.pulls[0].size, 'y', sizeof w.pulls[0].size - 1);
    page_init(&pg, PAGE_OPEN, "worth");
    guide_worth_lines(&w, &h.sitting, &p, &pg);
    line_with(&pg, "xx: systolic reads high, diastolic low, not corrected for;");
    line_with(&pg, "yy (WC-2, published)");
}
END_TEST

int main(void)
{
    Suite *suite = suite_create("guide summary");
    TCase *tc = tcase_create("summary");
    SRunner *runner;
    int failed;

    tcase_add_checked_fixture(tc, begin, NULL);
    tcase_add_test(tc, summary_says_the_category_of_each_scheme);
    tcase_add_test(tc, summary_keeps_a_decimal_where_rounding_would_contradict_the_category);
    tcase_add_test(tc, summary_rounds_to_whole_mmhg_where_that_keeps_the_category);
    tcase_add_test(tc, summary_says_how_exact_in_one_line_that_agrees_with_the_budget);
    tcase_add_test(tc, summary_says_by_how_much_one_more_reading_would_narrow_it);
    tcase_add_test(tc, summary_says_where_one_more_reading_would_not_narrow_it);
    tcase_add_test(tc, summary_says_of_readings_far_apart_why_the_margin_is_wide);
    tcase_add_test(tc, summary_says_standing_readings_and_the_change_apart_from_the_average);
    tcase_add_test(tc, parts_count_the_departures_that_a_page_cannot_hold);
    tcase_add_test(tc, summary_covered_shows_no_figure_and_nothing_made_of_them);
    tcase_add_test(tc, summary_lists_each_departure_of_the_protocol);
    tcase_add_test(tc, summary_without_departures_says_nothing_of_them);
    tcase_add_test(tc, summary_says_a_silent_gap_with_its_range);
    tcase_add_test(tc, summary_names_an_arm_that_may_not_be_used);
    tcase_add_test(tc, summary_says_why_one_reading_was_enough);
    tcase_add_test(tc, summary_names_the_lower_of_the_last_two);
    tcase_add_loop_test(tc, result_shows_what_is_essential_on_arrival, 0, (int)ARRAY_LEN(RESULTS));
    tcase_add_loop_test(tc, result_is_paged_to_its_end_past_an_open_item, 0, (int)ARRAY_LEN(RESULTS));
    tcase_add_test(tc, result_stays_while_what_is_below_it_is_paged);
    tcase_add_test(tc, result_never_breaks_a_reading);
    tcase_add_test(tc, result_covered_tells_nothing_of_high_readings);
    tcase_add_test(tc, result_says_which_high_reading_was_asked_about);
    tcase_add_test(tc, stopped_says_a_first_sound_that_was_all_there_was);
    tcase_add_test(tc, result_says_where_the_rule_takes_no_more_readings);
    tcase_add_test(tc, interval_is_never_shown_narrower_than_it_is);
    tcase_add_test(tc, pull_that_is_long_is_still_said_not_to_be_corrected);
    tcase_add_test(tc, parts_show_every_row_of_both_budgets_in_80_columns);
    tcase_add_test(tc, parts_lose_no_line_on_a_full_page);
    tcase_add_test(tc, parts_are_read_on_to_the_end_and_left_by_any_other_key);
    tcase_add_loop_test(tc, parts_are_all_seen_by_leaps, 0, 3);
    tcase_add_loop_test(tc, chance_is_said_as_a_frequency_no_finer_than_it_is_known, 0, (int)ARRAY_LEN(CHANCES));
    tcase_add_test(tc, pulls_are_told_with_direction_and_published_size_and_change_nothing);
    suite_add_tcase(suite, tc);
    runner = srunner_create(suite);
    srunner_run_all(runner, CK_NORMAL);
    failed = srunner_ntests_failed(runner);
    srunner_free(runner);
    return failed == 0 ? EXIT_SUCCESS : EXIT_FAILURE;
}
