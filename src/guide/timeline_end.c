/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What was signed about a sitting, and what it came to: averages, worth, remarks, the result of a witnessed one, what is owed. */
#include <stdio.h>
#include <string.h>

#include "guide/timeline.h"
#include "guide/views.h"
#include "guide/worth_page.h"
#include "stillarm/ground.h"

/* ---- statements ---- */

static const struct { const char *word, *words, *said; bool has_open; } SIGNED[] = {
    { "seal", "signed as finished by", "said", false },
    { "stop", "signed as stopped by", "said", false },
    { "countersign", "countersigned by", "said", true },
    { "return", "sent back by", "why", true },
    { "comment", "comment by", "says", false },
    { "amend", "added by", "says", false },
    { "release", "result given by", "said", true },
};

static int signed_row(const char *word)
{
    for (size_t i = 0; i < ARRAY_LEN(SIGNED); i++)
        if (strcmp(SIGNED[i].word, word) == 0)
            return (int)i;
    return -1;
}

static const char *verdict_words(const char *verdict)
{
    if (strcmp(verdict, "reviewed") == 0)
        return "reviewed the record";
    return strcmp(verdict, "present") == 0 ? "was present" : "";
}

/* The act that an event belongs to: the last row at which the cursor stops before or on it; -1 none. */
static int act_of(const struct timeline *t, int32_t seq)
{
    int at = -1;

    for (int i = 0; i < t->told.event_rows && i < t->row_count; i++)
        if (t->rows[i].is_stop && t->rows[i].seq <= seq && (t->rows[i].when != ROW_UNFOLDED || t->rows[i].seq != t->rows[i].run))
            at = i; /* the first of a run stands for all of it */
    return at;
}

/* Signed at this time of the place; the day only where it is another than the sitting's. */
static void say_signed(const struct timeline *t, const char *at, char time[16], char day[40])
{
    int32_t yyyymmdd = 0;
    char name[24];

    time[0] = day[0] = '\0';
    if (parse_timestamp(at, &yyyymmdd, NULL) != ST_OK || strlen(at) < 16)
        return;
    snprintf(time, 16, "%.5s%.3s", at + 11, at[16] == ':' && strlen(at) >= 19 ? at + 16 : ":00");
    if (yyyymmdd == t->told.day)
        return;
    say_day(yyyymmdd, name);
    snprintf(day, 40, "on %s", name);
}

/* How long it was looked at, against what there was to look at. */
static void open_row(struct timeline *t, int64_t open_ms)
{
    int64_t look_ms = (int64_t)t->p->value[KEY_LOOK_MIN_X10] * 100;
    int acts = 0, rows = 0;
    char open[16];

    for (int i = 0; i < t->told.event_rows; i++) {
        rows += timeline_is_shown(t, i, 0);
        acts += timeline_is_shown(t, i, 0) && t->rows[i].is_stop;
    }
    bool is_quick = look_ms > 0 && open_ms < look_ms * acts;
    say_span(open_ms, open);
    row_add(t, 0, false, -1, is_quick ? "quick" : "", "the record of %d acts in %d rows was open for %s%s", acts, rows, open, is_quick ? ", less than a look at each takes" : "");
}

/* What is said about one act stands below it, too. */
static void tell_on_act(struct timeline *t, const struct timeline_statement *s)
{
    int act = act_of(t, s->event), from = t->row_count, to;
    const char *name = "", *before = "";

    if (act < 0)
        return;
    if (t->rows[act].when == ROW_UNFOLDED) { /* while its run is folded, too */
        name = t->rows[act].text + TIME_WIDTH + strspn(t->rows[act].text + TIME_WIDTH, " ");
        before = " on ";
    }
    for (to = act + 1; to < t->told.event_rows && !t->rows[to].is_stop;)
        to++;
    row_add(t, t->rows[act].seq, false, -1, strcmp(s->word, "return") == 0 ? "sent back" : "comment", "%s%s%s: %s", s->person, before,
            name, s->said);
    rows_up(t, from, to);
    t->told.event_rows += t->row_count - from;
}

/* What was said by it, about which act, on which day: as far as there is anything. */
static void detail_row(struct timeline *t, const struct timeline_statement *s, const char *day)
{
    const char *verdict = verdict_words(s->verdict);
    int act = s->event > 0 ? act_of(t, s->event) : -1;
    char words[TIMELINE_ROW_CAP] = "", about[TIMELINE_ROW_CAP];

    if (act >= 0) {
        timeline_say_at(t, act, about, sizeof about);
        snprintf(words, sizeof words, "about: %.130s", about);
    }
    if (verdict[0] != '\0')
        add_words(words, sizeof words, "%s%s", words[0] != '\0' ? ", " : "", verdict);
    if (day[0] != '\0')
        add_words(words, sizeof words, "%s%s", words[0] != '\0' ? ", " : "", day);
    if (words[0] != '\0')
        row_add(t, 0, false, -1, "", "%s", words);
}

void timeline_statement(struct timeline *t, const struct timeline_statement *s)
{
    int row = signed_row(s->word), head;
    char time[16], day[40];

    t->told.is_ending = true; /* rows are kept free for it */
    t->told.join = JOIN_NONE;
    run_end(t);
    if (strcmp(s->word, "countersign") == 0 || strcmp(s->word, "return") == 0)
        overview_answered(t);
    if (strcmp(s->word, "amend") == 0)
        overview_say(t, OVER_ADDED, -1, "by %s: %s", s->person, s->said);
    else if (s->said[0] != '\0' || s->verdict[0] != '\0')
        overview_say(t, OVER_SAID, -1, "%s %s%s%s", row >= 0 ? SIGNED[row].words : s->word, s->person, s->said[0] != '\0' ? ": " : "", s->said);
    say_signed(t, s->at, time, day);
    if (s->event > 0 && s->said[0] != '\0')
        tell_on_act(t, s);
    head = t->row_count;
    row_add(t, 0, true, -1, s->key_short, "%s %s", row >= 0 ? SIGNED[row].words : s->word, s->person);
    if (time[0] != '\0' && head < t->row_count)
        memcpy(t->rows[head].text, time, strlen(time));
    detail_row(t, s, day);
    if (s->standing[0] != '\0')
        row_add(t, 0, false, -1, "", "%s: %s", s->person, s->standing);
    if (row >= 0 && SIGNED[row].has_open)
        open_row(t, s->open_ms);
    if (s->said[0] != '\0')
        row_add(t, 0, false, -1, "", "%s: %s", row >= 0 ? SIGNED[row].said : "says", s->said);
    t->told.is_ending = false;
}

/* ---- the end ---- */

static void page_rows(struct timeline *t, const struct page *page)
{
    for (int i = 0; i < page->line_count; i++)
        if (page->lines[i].role != LINE_GAP)
            row_add(t, 0, false, -1, "", "%s", page->lines[i].text);
}

static void average_rows(struct timeline *t)
{
    for (int arm = ARM_LEFT; arm < ARM_COUNT; arm++) {
        struct average a;

        if (!sitting_average(&t->sitting, t->p, (enum arm)arm, &a) || a.n <= 0)
            continue;
        row_add(t, 0, false, -1, "", "%s: %d/%d, %s (%d)", arm_words(arm), (int)average_mmhg(a.systolic_sum_mmhg, a.n),
                (int)average_mmhg(a.diastolic_sum_mmhg, a.n), average_words(t->p), (int)a.n);
    }
}

static void add_hundredths(struct text *out, int32_t x100)
{
    text_addf(out, "%s%d.%d", x100 < 0 ? "-" : "", (x100 < 0 ? -x100 : x100) / 100, (x100 < 0 ? -x100 : x100) / 10 % 10);
}

static void standing_row(struct timeline *t)
{
    int32_t systolic, diastolic;
    char said[60];
    struct text text;

    if (!sitting_drop_x100(&t->sitting, t->p, &systolic, &diastolic))
        return;
    text_init(&text, said, sizeof said);
    add_hundredths(&text, systolic);
    text_add(&text, "/");
    add_hundredths(&text, diastolic);
    row_add(t, 0, false, -1, "", "standing, lower than lying by %s", said);
}

static void remark_rows(struct timeline *t)
{
    unsigned remarks = sitting_remarks(&t->sitting, t->p);

    for (int bit = 0; bit < SITTING_REMARK_COUNT; bit++) {
        const struct ground *ground = ground_find(SITTING_REMARK_WORDS[bit]);

        if (remarks & (1u << bit))
            row_add(t, 0, false, -1, "", "remarked: %s", ground != NULL ? ground->says : SITTING_REMARK_WORDS[bit]);
    }
}

static void result_rows(struct timeline *t)
{
    enum arm arm = guide_result_arm(&t->sitting, t->p);
    struct page page;

    row_add(t, 0, true, -1, "", "%s", arm != ARM_NONE ? "what it came to" : t->sitting.phase == PHASE_OPEN ? "no result yet" : "no result");
    average_rows(t);
    standing_row(t);
    page_init(&page, PAGE_OPEN, "timeline");
    /* What a number is worth takes milliseconds each time: asked for the result alone, and no more often than these do. */
    if (arm != ARM_NONE) {
        guide_result_head_lines(&t->sitting, t->p, arm, &page);
        guide_result_rest_lines(&t->sitting, t->p, arm, &page);
    }
    guide_alarm_lines(&t->sitting, t->p, &page);
    page_rows(t, &page);
    remark_rows(t);
}

static void count_rows(struct timeline *t)
{
    int least = (int)t->p->value[KEY_LOOK_MIN_X10];

    if (t->told.skips + t->told.slips + t->quick_count == 0)
        return;
    row_add(t, 0, true, -1, "", "along the way");
    if (t->told.skips > 0)
        row_add(t, 0, false, -1, "", "tried before its time: %d", (int)t->told.skips);
    if (t->told.slips > 0)
        row_add(t, 0, false, -1, "", "typing slips: %d", (int)t->told.slips);
    if (t->quick_count > 0)
        row_add(t, 0, false, -1, "", "confirmed less than %d.%d s after the act before (quick): %d", least / 10, least % 10, (int)t->quick_count);
}

static void lapse_row(struct timeline *t, const struct lapse *lapse)
{
    const struct protocol_item *item = lapse_item(lapse, t->p);
    const char *value = lapse->is_struck ? "taken back" : lapse_is_critical(lapse, t->p) ? "critical" : "lapse";
    char says[160], have[80], need[80], reading[150] = "";
    struct text after;

    text_init(&after, reading, sizeof reading);
    if (lapse->reading > 0)
        text_addf(&after, "; reading %d does not count", (int)lapse->reading);
    if (lapse->is_struck)
        text_addf(&after, "; taken back, because: %s", lapse->why);
    if (item != NULL)
        row_add(t, 0, false, lapse->t_ms, value, "%s%s", item->say, reading);
    else
        row_add(t, 0, false, lapse->t_ms, value, "%s: %s, asked %s%s", say_rule((enum rule)lapse->rule, says),
                say_seconds_short(lapse->have, have), say_seconds_short(lapse->need, need), reading);
}

static void unseen_items(struct timeline *t)
{
    for (int i = 0; i < t->p->item_count; i++)
        if (t->sitting.items[i] == ITEM_UNSEEN)
            row_add(t, 0, false, -1, "not seen", "%s", t->p->items[i].say);
}

/* While the subject may look on, only how much of it there is. */
static void witnessed_rows(struct timeline *t)
{
    const struct sitting *s = &t->sitting;
    struct assessment a;

    if (!sitting_is_witnessed(s))
        return;
    if (s->phase == PHASE_OPEN) {
        row_add(t, 0, true, -1, "", "watched by %s: not so, up to now %d", s->witness, (int)(s->lapse_count - s->struck_count));
        return;
    }
    if (sitting_assess(s, t->p, &a)) {
        row_add(t, 0, true, -1, a.has_passed ? "passed" : "not passed", "watched by %s", s->witness);
        row_add(t, 0, false, -1, "", "lapses %d, at most %d; critical %d, at most 0; not seen %d, at most %d", a.lapses,
                (int)t->p->value[KEY_LAPSES_MAX], a.critical, a.unseen, (int)t->p->value[KEY_UNSEEN_MAX]);
    } else {
        row_add(t, 0, true, -1, "no result", "watched by %s: lapses %d", s->witness, (int)(s->lapse_count - s->struck_count));
    }
    for (int i = 0; i < sitting_lapses_kept(s); i++)
        lapse_row(t, &s->lapses[i]);
    if (s->lapse_count > sitting_lapses_kept(s))
        row_add(t, 0, false, -1, "", "and %d more", (int)s->lapse_count - sitting_lapses_kept(s));
    unseen_items(t);
}

#define OWED_MAX 80

static void owed_rows(struct timeline *t)
{
    struct missing missing[OWED_MAX];
    const struct sitting *s = &t->sitting;
    char words[100], name[ITEM_CAP];
    int n;

    if (s->is_severe_open)
        row_add(t, 0, true, -1, "", "still owed: what was done on %s", pair_is_blind(s) ? "a value" : "a very high value, or on symptoms");
    if (s->phase != PHASE_OPEN)
        return;
    n = sitting_missing(s, t->p, s->now_ms, missing, OWED_MAX);
    for (int i = 0; i < n && i < OWED_MAX; i++) {
        snprintf(words, sizeof words, "%s: %s", step_word(missing[i].step), say_item(missing[i].what, name));
        row_join(t, 0, -1, JOIN_ITEMS, "still to do: ", words);
    }
}

void timeline_end(struct timeline *t)
{
    t->told.is_ending = true;
    t->told.join = JOIN_NONE;
    run_end(t);
    if (t->is_cut)
        row_add(t, 0, true, -1, "", "More acts than fit here: `stillarm print` tells them all. What follows is of the whole.");
    if (t->sitting.phase == PHASE_EMPTY)
        return;
    if (t->sitting.phase != PHASE_OPEN)
        tell_unseen(t, 0);
    result_rows(t);
    count_rows(t);
    witnessed_rows(t);
    owed_rows(t);
    if (t->sitting.phase != PHASE_OPEN) /* while it goes on, two listeners may not have compared yet */
        overview_rows(t);
    t->told.is_ending = false;
}
