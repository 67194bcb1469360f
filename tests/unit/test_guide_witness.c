/* SPDX-License-Identifier: GPL-3.0-or-later */
/* A witnessed sitting by keys alone: whatever happens is written, in any order, and nothing is judged on the screen. */
#include "guide_acts.h"

static void begin_witnessed(void)
{
    begin();
    own.value[KEY_LAPSES_MAX] = 6;
    own.value[KEY_UNSEEN_MAX] = 4;
    text_copy(h.booth.default_purpose, sizeof h.booth.default_purpose, "assessment");
    h.is_seen_before = true;
    guide_begin(&h.guide, &h.booth);
    hand_watch = NULL;
}

static void open_witnessed(void)
{
    press(&h, "k7-031\n\n");
    ck_page(&h, "opening");
    press(&h, "ina\n");
    ck_page(&h, "witness");
    ck_assert(sitting_is_witnessed(&h.sitting));
    ck_assert_int_eq(h.refused, 0);
}

static int times(enum event_kind kind)
{
    return h.sitting.given[kind];
}

/* ---- the opening ---- */

START_TEST(opening_of_an_assessment_asks_who_looks_on)
{
    press(&h, "k7-031\n\n");
    ck_page(&h, "opening");
    ck_assert_int_eq(h.accepted, 0);
    ck_assert_msg(strstr(h.page.refusal, "who looks on?") != NULL, "%s", h.page.refusal);
    press(&h, "ana\n");
    ck_assert_int_eq(h.accepted, 0);
    ck_assert_msg(strstr(h.page.refusal, "ana measures") != NULL, "%s", h.page.refusal);
    press(&h, "\b\b\bina\n");
    ck_page(&h, "witness");
    ck_assert_str_eq(h.sitting.witness, "ina");
    ck_assert_int_eq(h.sitting.help, HELP_NONE);
}
END_TEST

static void only_preceptor(const char *id)
{
    h.booth.preceptor_count = 1;
    text_copy(h.booth.preceptors[0], ITEM_CAP, id);
}

START_TEST(opening_offers_the_only_preceptor)
{
    only_preceptor("ina");
    press(&h, "k7-031\n\n");
    ck_page(&h, "witness");
    ck_assert_str_eq(h.sitting.witness, "ina");
}
END_TEST

START_TEST(opening_goes_through_the_preceptors_by_one_key)
{
    press(&h, "k7-031\n\n");
    ck_assert(page_says(&h.page, "eva, ina"));
    press(&h, "  \n");
    ck_page(&h, "witness");
    ck_assert_str_eq(h.sitting.witness, "ina");
}
END_TEST

START_TEST(opening_takes_nobody_as_witness_who_is_no_preceptor)
{
    press(&h, "k7-031\n\nben\n");
    ck_page(&h, "opening");
    ck_assert_int_eq(h.accepted, 0);
    ck_assert_msg(strstr(h.page.refusal, "ben is no preceptor here, or nobody has vouched for that key") != NULL, "%s", h.page.refusal);
    ck_assert_msg(strstr(h.page.refusal, "v vouches") != NULL, "%s", h.page.refusal); /* what to do */
}
END_TEST

START_TEST(opening_says_where_there_is_no_other_preceptor)
{
    only_preceptor("ana");
    press(&h, "k7-031\n\n");
    ck_assert_msg(strstr(h.page.refusal, "ana measures, and is the only preceptor with standing") != NULL, "%s", h.page.refusal);
    ck_assert(page_says(&h.page, "Nobody else here is one with standing yet"));
    h.booth.preceptor_count = 0;
    press(&h, "\n");
    ck_assert_msg(strstr(h.page.refusal, "no preceptor here has standing yet") != NULL, "%s", h.page.refusal);
    ck_assert_int_eq(h.accepted, 0);
}
END_TEST

/* More than the booth holds: a known one may be beyond them. */
START_TEST(opening_takes_any_name_where_it_does_not_know_all)
{
    h.booth.preceptor_count = GUIDE_PRECEPTORS_MAX + 1;
    for (int n = 2; n < GUIDE_PRECEPTORS_MAX; n++)
        snprintf(h.booth.preceptors[n], ITEM_CAP, "p%d", n);
    press(&h, "k7-031\n\nzoe\n");
    ck_page(&h, "witness");
    ck_assert_str_eq(h.sitting.witness, "zoe");
}
END_TEST

START_TEST(opening_of_a_practice_asks_nobody_to_look_on)
{
    begin();
    open_return(&h);
    ck_page(&h, "readiness-items");
    ck_assert_int_eq(times(EV_WITNESS), 0);
}
END_TEST

START_TEST(opening_refuses_an_assessment_by_a_protocol_that_knows_of_none)
{
    own.value[KEY_LAPSES_MAX] = -1;
    h.booth.protocols[0].whole = &own;
    press(&h, "k7-031\n\n");
    ck_page(&h, "opening");
    ck_assert_msg(strstr(h.page.refusal, "says nothing of assessments") != NULL, "%s", h.page.refusal);
    ck_assert_int_eq(h.accepted, 0);
}
END_TEST

/* ---- a whole sitting ---- */

static void expect(const char *id, enum item_state state)
{
    int item = protocol_find_item(h.protocol, id);

    ck_assert_int_ge(item, 0);
    ck_assert_msg((int)h.sitting.items[item] == (int)state, "%s is %d, not %d", id, (int)h.sitting.items[item], (int)state);
}

static void make_ready(const char *readiness, const char *posture, const char *kit)
{
    press(&h, readiness);
    press(&h, "al");
    press(&h, "yyy");
    press(&h, "o31\n");
    press(&h, "w1");
    press(&h, "yy");
    press(&h, posture);
    press(&h, "r");
    pass(&h, 60);
    press(&h, "k\n");
    press(&h, kit);
    pass(&h, 200);
    press(&h, "b72r");
    pass(&h, 41);
}

static void take_palpation(void)
{
    press(&h, "p");
    pass(&h, 20);
    ck_page(&h, "witness");
    press(&h, "g120f");
    press(&h, "g130\n");
    pass(&h, 4);
    press(&h, " ");
    ck_assert_int_eq(h.sitting.gone_mmhg, 130);
}

static void take_reading(const char *values)
{
    press(&h, "l");
    ck_page(&h, "marks");
    pass(&h, 8);
    press(&h, " ");
    pass(&h, 14);
    press(&h, " ");
    pass(&h, 18);
    press(&h, " ");
    pass(&h, 4);
    press(&h, " ");
    ck_page(&h, "entry");
    press(&h, values);
    ck_page(&h, "read-back");
    press(&h, "y");
    ck_page(&h, "witness");
}

/* Six: not asked for coffee, legs crossed, the needle not looked at, arm not settled, too soon after, not told. */
static void plant_six(void)
{
    open_witnessed();
    make_ready("nnot asked\nyyyyyyy", "yyn\ny", "nneedle not looked at\nyy");
    take_palpation();
    pass(&h, 5);
    take_reading("16012478");
    pass(&h, 70);
    take_reading("16012478");
    pass(&h, 20);
    take_reading("16012680");
    pass(&h, 70);
    take_reading("16012276");
    press(&h, "y");
    press(&h, "f\n");
}

START_TEST(witnessed_sitting_ends_with_the_six_departures_planted)
{
    static const enum rule RULES[] = { RULE_ITEM_OPEN,    RULE_ITEM_OPEN,      RULE_ITEM_OPEN,
                                       RULE_SETTLE_SHORT, RULE_INTERVAL_SHORT, RULE_TOLD_MISSING };
    struct assessment a;

    plant_six();
    ck_assert_msg(h.sitting.phase == PHASE_SEALED, "%s", h.page.refusal);
    ck_assert_int_eq(h.refused, 0);
    for (int i = 0; i < h.sitting.lapse_count; i++)
        ck_assert_msg(i < 6 && h.sitting.lapses[i].rule == (int32_t)RULES[i], "%d: %s (%s)", i,
                      rule_id((enum rule)h.sitting.lapses[i].rule), h.sitting.lapses[i].have);
    ck_assert_int_eq(h.sitting.lapse_count, 6);
    for (int i = 0; i < 4; i++)
        ck_assert_uint_eq(h.sitting.readings[i].voids, i == 0 || i == 2 ? VOID_LAPSE : 0u);
    expect("ready.caffeine", ITEM_LAPSED);
    expect("posture.legs", ITEM_LAPSED);
    expect("kit.zero", ITEM_LAPSED);
    expect("kit.clean", ITEM_CONFIRMED);
    ck_assert(sitting_assess(&h.sitting, h.protocol, &a));
    ck_assert_int_eq(a.unseen, 0);
}
END_TEST

START_TEST(witnessed_sitting_shows_no_result_at_its_end)
{
    plant_six();
    ck_page(&h, "finished");
    ck_assert(page_says(&h.page, "It is kept for ina"));
    ck_assert_int_eq(h.page.line_count, 2);
    press(&h, "\n");
    ck_assert_int_eq(h.finished, 1);
}
END_TEST

START_TEST(witnessed_sitting_released_tells_each_departure)
{
    static struct page pg;

    plant_six();
    page_init(&pg, PAGE_OPEN, "finished");
    guide_debrief(&h.sitting, h.protocol, NULL, &pg);
    ck_assert(page_says(&pg, "6 lapses"));
    ck_assert(page_says(&pg, "No caffeine in the last 30 minutes"));
    ck_assert(page_says(&pg, "settle.short"));
    ck_assert(page_says(&pg, "told.missing"));
}
END_TEST

START_TEST(witnessed_sitting_stopped_is_kept_too)
{
    open_witnessed();
    press(&h, "sunwell\ny");
    ck_assert_int_eq(h.sitting.phase, PHASE_STOPPED);
    ck_assert(page_says(&h.page, "It is kept for ina"));
}
END_TEST

/* ---- the acts ---- */

/* One key and what follows on it, and the event that it writes. */
static const struct {
    const char *keys;
    enum event_kind kind;
} ACTS[] = {
    { "y", EV_CONFIRM },     { "n\n", EV_LAPSE },     { "u", EV_UNSEEN },       { "r", EV_REST },         { "rr", EV_REST },
    { "al", EV_ARM },        { "b72r", EV_PULSE },    { "k\n", EV_GAUGE },      { "dzdoor\n", EV_NOISE }, { "i", EV_INTERRUPT },
    { "m", EV_MOVED },       { "cwell done\n", EV_NOTE }, { "t", EV_TOLD },     { "alo31\n", EV_CIRCUMFERENCE },
    { "alo31\nw1", EV_WRAP }, { "alk\np", EV_INFLATE }, { "alk\nl", EV_INFLATE }, { "alk\np ", EV_EMPTY },
    { "alk\npg90f", EV_PALPATE }, { "alk\np g110g", EV_PALPATE }, { "alk\npgn", EV_NOPULSE }, { "alk\nl ", EV_MARK },
    { "alk\nle", EV_EMPTY },  { "alk\nlm", EV_MARK },  { "alk\nl2eva\n", EV_LISTENER }, { "alk\nlcloud\n", EV_NOTE },
    { "alk\nle160124", EV_VALUE }, { "alk\nle\033vgone\n", EV_VOID }, { "alk\nle16012478y", EV_DONE },
    { "alk\nle16012478yx1126\nmisread\n", EV_CORRECT }, { "dbl1", EV_BARRED }, { "dr1soup\n", EV_RECENT },
    { "z1given\n", EV_WAIVE },
    { "ydo\ntaken back\n", EV_REOPEN }, { "n\n-xslip\n", EV_STRIKE },
};

START_TEST(witnessed_act_is_reached_from_the_page)
{
    open_witnessed();
    pass(&h, 5);
    press(&h, ACTS[_i].keys);
    ck_assert_msg(times(ACTS[_i].kind) > 0, "'%s' wrote no %s: %s on %s", ACTS[_i].keys, event_form(ACTS[_i].kind)->word,
                  h.page.refusal, h.page.id);
}
END_TEST

START_TEST(witnessed_page_names_every_act)
{
    static const char *const KEYS[] = { "y", "n", "u", "down", "up", "tab", "r", "p", "l", "2", "a", "o", "w", "k", "b", "t", "z", "-",
                                        "c", "d", "i", "m", "h", "?", "f", "s", "q" };

    open_witnessed();
    for (size_t i = 0; i < ARRAY_LEN(KEYS); i++)
        ck_assert_msg(page_offers(&h.page, KEYS[i]), "%s", KEYS[i]);
    ck_assert_int_lt(h.page.key_count, PAGE_KEYS_MAX);
}
END_TEST

/* Eyes on the one who measures, hands on the keys of the moment: the items are typed at the end. */
START_TEST(witnessed_items_typed_at_the_end_are_no_departures)
{
    open_witnessed();
    press(&h, "alo31\n");
    press(&h, "w1");
    press(&h, "k\n");
    press(&h, "b72rr");
    pass(&h, 301);
    press(&h, "r");
    take_palpation();
    pass(&h, 41);
    take_reading("16012478");
    pass(&h, 70);
    take_reading("16012276");
    press(&h, "tf");
    ck_assert_int_eq(h.last_refusal, RULE_ITEM_OPEN);
    for (int i = 0; i < h.protocol->item_count; i++)
        press(&h, "y");
    press(&h, "f");
    ck_assert_msg(h.sitting.phase == PHASE_SEALED, "%s", h.page.refusal);
    ck_assert_msg(h.sitting.lapse_count == 0, "%s (%s)", rule_id((enum rule)h.sitting.lapses[0].rule), h.sitting.lapses[0].have);
    ck_assert_int_eq(h.refused, 1);
}
END_TEST

START_TEST(witnessed_cursor_goes_on_to_the_next_open_item)
{
    open_witnessed();
    press(&h, "y");
    hand_code(&h, KEY_DOWN_ARROW);
    press(&h, "u");
    expect("ready.caffeine", ITEM_CONFIRMED);
    expect("ready.tobacco", ITEM_OPEN);
    expect("ready.exercise", ITEM_UNSEEN);
    press(&h, "y");
    expect("ready.toilet", ITEM_CONFIRMED);
}
END_TEST

/* Else `seen` after a change of the arm would say that the cuff is off already. */
START_TEST(witnessed_cursor_comes_to_the_last_step_when_nothing_else_is_open)
{
    open_witnessed();
    make_ready("yyyyyyyy", "yyyy", "yyy");
    ck_assert(page_says(&h.page, "Cuff off"));
    press(&h, "ar");
    press(&h, "y");
    expect("arm.usable", ITEM_CONFIRMED);
    expect("close.removed", ITEM_OPEN);
}
END_TEST

START_TEST(witnessed_item_can_be_said_otherwise_after)
{
    open_witnessed();
    press(&h, "u");
    hand_code(&h, KEY_UP_ARROW);
    press(&h, "y");
    expect("ready.caffeine", ITEM_CONFIRMED);
}
END_TEST

START_TEST(witnessed_tab_goes_from_step_to_step)
{
    open_witnessed();
    hand_code(&h, KEY_TAB);
    ck_assert(page_says(&h.page, "Arm bare"));
    hand_code(&h, KEY_TAB);
    ck_assert(page_says(&h.page, "Snug"));
    for (int i = 0; i < 4; i++)
        hand_code(&h, KEY_TAB);
    ck_assert(page_says(&h.page, "No caffeine"));
}
END_TEST

START_TEST(witnessed_finish_goes_to_what_nothing_is_said_of)
{
    open_witnessed();
    press(&h, "yyy");
    hand_code(&h, KEY_TAB);
    press(&h, "f");
    ck_assert_int_eq(h.last_refusal, RULE_ITEM_OPEN);
    ck_assert_msg(h.page.refusal[0] != '\0', "said why");
    press(&h, "y");
    expect("ready.toilet", ITEM_CONFIRMED);
}
END_TEST

/* Posture, kit, cuff: seen while nobody had said a word of the readiness. */
START_TEST(witnessed_item_is_noted_when_it_is_seen)
{
    open_witnessed();
    press(&h, "al");
    while (!page_says(&h.page, "Legs not crossed"))
        hand_code(&h, KEY_TAB);
    press(&h, "yy");
    press(&h, "nlegs crossed\n");
    expect("posture.back", ITEM_CONFIRMED);
    expect("posture.legs", ITEM_LAPSED);
    expect("ready.caffeine", ITEM_OPEN);
    ck_assert_int_eq(h.refused, 0);
}
END_TEST

START_TEST(witnessed_refusal_names_the_key_of_what_is_written_first)
{
    open_witnessed();
    hand_code(&h, KEY_TAB);
    press(&h, "y");
    ck_assert_int_eq(h.last_refusal, RULE_STEP_NEEDS);
    ck_assert_str_eq(h.page.refusal, "not yet: no arm chosen. That is written first: a.");
    press(&h, "alp");
    ck_assert_str_eq(h.page.refusal, "not yet: no gauge chosen. That is written first: k.");
}
END_TEST

/* It happened, whatever was not written yet: told once, then done. */
START_TEST(witnessed_squeeze_before_the_values_are_written_is_two_keys_away)
{
    open_witnessed();
    press(&h, "alk\nl");
    pass(&h, 40);
    press(&h, "e\033\033l");
    ck_assert_int_eq(h.sitting.inflation, INFLATION_NONE);
    ck_assert_msg(strstr(h.page.refusal, "nothing is written of reading 1") != NULL, "%s", h.page.refusal);
    press(&h, "l");
    ck_assert_int_eq(h.sitting.inflation, INFLATION_LISTEN);
    ck_assert_int_eq(h.sitting.reading_count, 2);
    ck_assert((h.sitting.readings[0].voids & VOID_GIVEN_UP) != 0);
    ck_assert_int_eq(h.refused, 0);
}
END_TEST

/* What was written of it is not given up by a key. */
START_TEST(witnessed_squeeze_gives_no_value_up)
{
    open_witnessed();
    press(&h, "alk\nl");
    pass(&h, 40);
    press(&h, "e160\033\033ll");
    ck_assert_int_eq(h.last_refusal, RULE_READING_OPEN);
    ck_assert_int_eq(h.sitting.reading_count, 1);
}
END_TEST

START_TEST(witnessed_clock_shows_how_long_the_cuff_has_been_empty)
{
    open_witnessed();
    press(&h, "alk\np");
    pass(&h, 20);
    press(&h, " ");
    pass(&h, 34);
    ck_assert_str_eq(h.page.big, "0:34");
    ck_assert_str_eq(h.page.big_note, "since all air was out");
    press(&h, "t");
    ck_assert_str_eq(h.page.big, "");
}
END_TEST

START_TEST(witnessed_squeeze_ends_a_rest_however_short)
{
    open_witnessed();
    press(&h, "alk\nr");
    pass(&h, 90);
    ck_assert_str_eq(h.page.big, "1:30"); /* how long it was, not how long it should be */
    press(&h, "p");
    ck_assert_int_eq(h.sitting.rest, REST_ENDED);
    ck_assert_int_eq(h.sitting.inflation, INFLATION_PALPATE);
    ck_assert_int_eq(h.refused, 0);
}
END_TEST

/* ---- marks and values are put by for other acts, and taken up again ---- */

START_TEST(witnessed_marks_are_put_by_and_taken_up_again)
{
    open_witnessed();
    press(&h, "alk\nl");
    pass(&h, 8);
    press(&h, "  ");
    hand_code(&h, KEY_TAB);
    ck_page(&h, "witness");
    press(&h, "n\n");
    ck_page(&h, "witness");
    ck_assert_int_eq(times(EV_LAPSE), 1);
    press(&h, " ");
    ck_assert_int_eq(h.sitting.readings[0].has_mark[POINT_LAST], 1);
    press(&h, "v");
    ck_page(&h, "marks");
    ck_assert_int_eq(h.sitting.readings[0].has_mark[POINT_FIRST], 1);
    press(&h, "e");
    ck_page(&h, "entry");
}
END_TEST

START_TEST(witnessed_esc_loses_no_value)
{
    open_witnessed();
    press(&h, "alk\nle160124");
    press(&h, "\033\033");
    ck_page(&h, "witness");
    press(&h, "cloud street\n");
    press(&h, "v");
    ck_page(&h, "entry");
    ck_assert_int_eq(h.sitting.readings[0].value_mmhg[POINT_TARGET], 160);
    ck_assert_int_eq(h.sitting.readings[0].value_mmhg[POINT_FIRST], 124);
    press(&h, "78\033");
    ck_page(&h, "witness");
    press(&h, "vy");
    ck_assert_int_eq(h.sitting.readings[0].is_entered, 1);
}
END_TEST

START_TEST(witnessed_esc_on_any_page_of_an_act_comes_back)
{
    static const char *const OPENS[] = { "n", "a", "o", "w", "k", "b", "g", "c", "d", "z", "s", "?" };

    open_witnessed();
    press(&h, OPENS[_i]);
    ck_assert(!is_same_text(h.page.id, "witness"));
    press(&h, "\033");
    ck_page(&h, "witness");
    ck_assert_int_eq(h.sitting.phase, PHASE_OPEN);
}
END_TEST

START_TEST(witnessed_sitting_comes_back_after_a_restart)
{
    open_witnessed();
    press(&h, "yyalk\np");
    guide_begin(&h.guide, &h.booth);
    hand_look(&h);
    ck_page(&h, "witness");
    press(&h, " l");
    guide_begin(&h.guide, &h.booth);
    hand_look(&h);
    ck_page(&h, "marks");
    press(&h, "e160");
    guide_begin(&h.guide, &h.booth);
    hand_look(&h);
    ck_page(&h, "entry");
}
END_TEST

/* ---- what the page may not do ---- */

static const char *const UNKIND[] = { "severe", "trainee", "lapse", "crisis", "competent", "mistake", "wrong", "assess", "fail",
                                      "does not count", "counts", "required", "below the figure" };

static void check_text(const struct hand *at, const char *text)
{
    for (size_t i = 0; i < ARRAY_LEN(UNKIND); i++)
        ck_assert_msg(strcasestr(text, UNKIND[i]) == NULL, "%s says '%s'", at->page.id, text);
}

static void check_words(const struct hand *at)
{
    if (is_same_text(at->page.id, "opening") || is_same_text(at->page.id, "why"))
        return;
    check_text(at, at->page.title);
    check_text(at, at->page.big_note);
    check_text(at, at->page.refusal);
    for (int i = 0; i < at->page.line_count; i++) {
        check_text(at, at->page.lines[i].text);
        check_text(at, at->page.lines[i].value);
    }
    for (int i = 0; i < at->page.key_count; i++)
        check_text(at, at->page.keys[i].label);
    ck_assert_int_gt(at->page.key_count, 0);
    ck_assert_int_lt(at->page.key_count, PAGE_KEYS_MAX);
}

START_TEST(witnessed_pages_neither_judge_nor_alarm)
{
    hand_watch = check_words;
    plant_six();
    begin_witnessed();
    open_witnessed();
    hand_watch = check_words;
    press(&h, "alk\nl");
    press(&h, "i"); /* spoken: it is void now, and nothing says so */
    press(&h, "e\tzdo\033");
    press(&h, "le6040 30y");
}
END_TEST

static void look_for_figures(const struct hand *at)
{
    static const char *const FIGURES[] = { "130", "160", "124", "78" };

    for (size_t i = 0; i < ARRAY_LEN(FIGURES); i++)
        ck_assert_msg(!page_says(&at->page, FIGURES[i]), "%s shows %s", at->page.id, FIGURES[i]);
}

START_TEST(witnessed_figures_are_covered_by_one_key)
{
    open_witnessed();
    press(&h, "alk\nh");
    hand_watch = look_for_figures;
    press(&h, "p");
    pass(&h, 20);
    press(&h, "g130g");
    press(&h, " ");
    press(&h, "l");
    press(&h, "e16012478");
    press(&h, "y");
    ck_assert_int_eq(h.sitting.readings[0].is_entered, 1);
}
END_TEST

START_TEST(witnessed_very_high_value_has_its_page)
{
    open_witnessed();
    press(&h, "alk\nle220192");
    ck_page(&h, "very-high");
}
END_TEST

START_TEST(witnessed_sitting_survives_any_sequence_of_keys)
{
    static const char LETTERS[] = "yyyyyynuurplgv2xaowkbjtzimhfcd! \n\033\t0123456789e";

    hand_seed = (uint32_t)_i * 7919u + 1;
    open_witnessed();
    hand_watch = NULL;
    for (int n = 0; n < 3000 && h.sitting.phase == PHASE_OPEN; n++) {
        char c = LETTERS[random_below(sizeof LETTERS - 1)];

        if (c == '\t')
            hand_code(&h, KEY_TAB);
        else
            press(&h, (char[]){ c, '\0' });
        ck_assert_int_lt(h.page.key_count, PAGE_KEYS_MAX);
        if (random_below(4) == 0)
            pass(&h, random_below(40));
    }
}
END_TEST

int main(void)
{
    Suite *suite = suite_create("guide: a witnessed sitting");
    TCase *tc = tcase_create("witness");
    SRunner *runner;
    int failed;

    tcase_add_checked_fixture(tc, begin_witnessed, NULL);
    tcase_set_timeout(tc, 120);
    tcase_add_test(tc, opening_of_an_assessment_asks_who_looks_on);
    tcase_add_test(tc, opening_offers_the_only_preceptor);
    tcase_add_test(tc, opening_goes_through_the_preceptors_by_one_key);
    tcase_add_test(tc, opening_takes_nobody_as_witness_who_is_no_preceptor);
    tcase_add_test(tc, opening_says_where_there_is_no_other_preceptor);
    tcase_add_test(tc, opening_takes_any_name_where_it_does_not_know_all);
    tcase_add_test(tc, opening_of_a_practice_asks_nobody_to_look_on);
    tcase_add_test(tc, opening_refuses_an_assessment_by_a_protocol_that_knows_of_none);
    tcase_add_test(tc, witnessed_sitting_ends_with_the_six_departures_planted);
    tcase_add_test(tc, witnessed_sitting_shows_no_result_at_its_end);
    tcase_add_test(tc, witnessed_sitting_released_tells_each_departure);
    tcase_add_test(tc, witnessed_sitting_stopped_is_kept_too);
    tcase_add_loop_test(tc, witnessed_act_is_reached_from_the_page, 0, (int)ARRAY_LEN(ACTS));
    tcase_add_test(tc, witnessed_page_names_every_act);
    tcase_add_test(tc, witnessed_items_typed_at_the_end_are_no_departures);
    tcase_add_test(tc, witnessed_cursor_goes_on_to_the_next_open_item);
    tcase_add_test(tc, witnessed_cursor_comes_to_the_last_step_when_nothing_else_is_open);
    tcase_add_test(tc, witnessed_item_can_be_said_otherwise_after);
    tcase_add_test(tc, witnessed_tab_goes_from_step_to_step);
    tcase_add_test(tc, witnessed_finish_goes_to_what_nothing_is_said_of);
    tcase_add_test(tc, witnessed_item_is_noted_when_it_is_seen);
    tcase_add_test(tc, witnessed_refusal_names_the_key_of_what_is_written_first);
    tcase_add_test(tc, witnessed_squeeze_before_the_values_are_written_is_two_keys_away);
    tcase_add_test(tc, witnessed_squeeze_gives_no_value_up);
    tcase_add_test(tc, witnessed_clock_shows_how_long_the_cuff_has_been_empty);
    tcase_add_test(tc, witnessed_squeeze_ends_a_rest_however_short);
    tcase_add_test(tc, witnessed_marks_are_put_by_and_taken_up_again);
    tcase_add_test(tc, witnessed_esc_loses_no_value);
    tcase_add_loop_test(tc, witnessed_esc_on_any_page_of_an_act_comes_back, 0, 12);
    tcase_add_test(tc, witnessed_sitting_comes_back_after_a_restart);
    tcase_add_test(tc, witnessed_pages_neither_judge_nor_alarm);
    tcase_add_test(tc, witnessed_figures_are_covered_by_one_key);
    tcase_add_test(tc, witnessed_very_high_value_has_its_page);
    tcase_add_loop_test(tc, witnessed_sitting_survives_any_sequence_of_keys, 0, 8);
    suite_add_tcase(suite, tc);
    runner = srunner_create(suite);
    srunner_run_all(runner, CK_NORMAL);
    failed = srunner_ntests_failed(runner);
    srunner_free(runner);
    return failed == 0 ? EXIT_SUCCESS : EXIT_FAILURE;
}
