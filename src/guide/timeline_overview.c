/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What a countersigner must know before she looks closer: a few rows before the first act. */
#include <stdarg.h>
#include <stdio.h>
#include <string.h>

#include "guide/timeline.h"
#include "guide/views.h"
#include "guide/worth_page.h"
#include "stillarm/ground.h"

#define ROWS_MOST 8
#define LABEL_WIDTH 12
#define ROW_WIDTH 70    /* columns that stand in one line on a screen of 80 */
#define CUT_WIDTH 8     /* of ` .. (12)` */
#define PIECE_CAP 90    /* of one thing that stands out; the act itself has all of it */
#define ANSWERS_MAX 16
#define ANSWER_CAP (OVER_CAP + 30)

/* ---- gathering ---- */

/* Add a piece where there is room for all of it, else count it. */
static void add_piece(char *out, size_t cap, int32_t *left_out, const char *piece)
{
    if (strlen(out) + 2 + strlen(piece) >= cap)
        ++*left_out;
    else
        add_words(out, cap, "%s%s", out[0] != '\0' ? "; " : "", piece);
}

void overview_say(struct timeline *t, enum over over, int64_t t_ms, const char *format, ...)
{
    struct timeline_over *o = &t->told.over[over];
    char words[SAY_CAP + 40], piece[PIECE_CAP + 24], time[16];
    va_list args;

    va_start(args, format);
    vsnprintf(words, sizeof words, format, args);
    va_end(args);
    text_defuse(words);
    text_copy(piece, PIECE_CAP, words);
    if (strlen(words) >= PIECE_CAP)
        add_words(piece, sizeof piece, " ..");
    if (t_ms >= 0) {
        say_wall(t, t_ms, time);
        add_words(piece, sizeof piece, " (%s)", time);
    }
    o->count++;
    add_piece(o->text, sizeof o->text, &o->left_out, piece);
}

void overview_answered(struct timeline *t)
{
    struct timeline_over *added = &t->told.over[OVER_ADDED], *said = &t->told.over[OVER_SAID];

    if (added->count == 0)
        return;
    said->count += added->count;
    said->left_out += added->left_out;
    add_piece(said->text, sizeof said->text, &said->left_out, added->text);
    *added = (struct timeline_over){ .count = 0 };
}

static const enum over OVER_OF[EV_COUNT] = {
    [EV_REOPEN] = OVER_CHANGED, [EV_VOID] = OVER_CHANGED, [EV_CORRECT] = OVER_CHANGED, [EV_RESUME] = OVER_CHANGED,
    [EV_STOP] = OVER_CHANGED,   [EV_NOISE] = OVER_NOTED,  [EV_INTERRUPT] = OVER_NOTED, [EV_MOVED] = OVER_NOTED,
    [EV_ACTED] = OVER_NOTED,    [EV_NOTE] = OVER_NOTED,   [EV_BARRED] = OVER_NOTED,    [EV_SYMPTOMS] = OVER_NOTED,
    [EV_NOPULSE] = OVER_NOTED,  [EV_GAP] = OVER_NOTED,    [EV_FREED] = OVER_NOTED,     [EV_RECENT] = OVER_NOTED,
    [EV_STRIKE] = OVER_CHANGED,
};

void overview_act(struct timeline *t, const struct event *ev)
{
    char words[SAY_CAP], name[160];

    if (ev->kind == EV_WAIVE) {
        enum rule rule = rule_named(ev->item);

        overview_say(t, OVER_PASSED, ev->t_ms, "%s: %s", rule != RULE_NONE ? say_rule(rule, name) : say_item(ev->item, name), ev->text);
    } else if (OVER_OF[ev->kind] != OVER_PASSED) {
        say_act(ev, words, sizeof words);
        overview_say(t, OVER_OF[ev->kind], ev->t_ms, "%s%s%s", words, ev->text[0] != '\0' ? text_prefix(ev->kind) : "", ev->text);
    }
}

static void take_span(struct timeline_span *span, int64_t ms)
{
    span->least_ms = span->count == 0 || ms < span->least_ms ? ms : span->least_ms;
    span->most_ms = span->count == 0 || ms > span->most_ms ? ms : span->most_ms;
    span->count++;
}

void overview_look(struct timeline *t, int64_t took_ms)
{
    take_span(&t->told.looks, took_ms);
}

void overview_rest(struct timeline *t, int64_t rested_ms)
{
    take_span(&t->told.rest, rested_ms);
    t->told.rest.is_odd = t->told.rest.is_odd || rested_ms < protocol_ms(t->p, KEY_REST_S);
}

/* -1: does not apply. high_s 0: no most. */
static void take_wait(struct timeline_span *span, int64_t ms, int32_t low_s, int32_t high_s)
{
    if (ms < 0)
        return;
    take_span(span, ms);
    span->is_odd = span->is_odd || ms < (int64_t)low_s * 1000 || (high_s > 0 && ms > (int64_t)high_s * 1000);
}

void overview_waits(struct timeline *t, const struct before *b)
{
    const int32_t *value = t->p->value;

    t->told.rest.is_odd = t->told.rest.is_odd || b->rest_ms < 0 || b->rest_ms > protocol_ms(t->p, KEY_REST_VALID_S);
    take_wait(&t->told.settle, b->settle_ms, value[KEY_SETTLE_S], 0);
    take_wait(&t->told.interval, b->interval_ms, value[KEY_INTERVAL_MIN_S], value[KEY_INTERVAL_MAX_S]);
    if (b->standing_wait_s > 0)
        take_wait(&t->told.stood, b->stood_ms, b->standing_wait_s, b->standing_wait_s + value[KEY_STANDING_LATE_S]);
}

/* ---- answers ---- */

struct answer { const char *label; int32_t count; char text[ANSWER_CAP]; };
struct answers { struct answer list[ANSWERS_MAX]; int count; bool is_clean; };

static struct answer *answer_new(struct answers *a, const char *label)
{
    struct answer *answer = &a->list[a->count < ANSWERS_MAX - 1 ? a->count : ANSWERS_MAX - 1];

    *answer = (struct answer){ .label = label };
    a->count += a->count < ANSWERS_MAX;
    return answer;
}

static void result_answers(const struct timeline *t, struct answers *all)
{
    const enum arm arm = guide_result_arm(&t->sitting, t->p);
    struct answer *a = answer_new(all, "result");
    struct average mean;
    struct page page;

    if (!sitting_average(&t->sitting, t->p, arm, &mean) || mean.n <= 0) {
        text_copy(a->text, sizeof a->text, "none: too few readings count for an average");
        return;
    }
    snprintf(a->text, sizeof a->text, "%s %d/%d, average of %d reading%s", arm_words((int32_t)arm),
             (int)average_mmhg(mean.systolic_sum_mmhg, mean.n), (int)average_mmhg(mean.diastolic_sum_mmhg, mean.n), (int)mean.n,
             mean.n == 1 ? "" : "s");
    page_init(&page, PAGE_OPEN, "timeline");
    guide_category_lines(&t->sitting, t->p, arm, "", &page);
    if (page.line_count > 0)
        text_copy(answer_new(all, "category")->text, ANSWER_CAP, page.lines[0].text);
}

/* What was and, behind it, what is asked. */
static void add_wait(struct answer *a, const char *what, const struct timeline_span *span, int32_t low_s, int32_t high_s)
{
    char least[16], most[16], low[16], high[16];

    if (span->count == 0)
        return;
    say_span(span->least_ms, least);
    say_span(span->most_ms, most);
    say_span((int64_t)low_s * 1000, low);
    say_span((int64_t)high_s * 1000, high);
    add_words(a->text, sizeof a->text, "%s%s%s", a->text[0] != '\0' ? ", " : "", what, least);
    if (strcmp(least, most) != 0)
        add_words(a->text, sizeof a->text, " and %s", most);
    add_words(a->text, sizeof a->text, high_s > 0 ? " of %s to %s" : " of %s", low, high);
    if (span->is_odd)
        add_words(a->text, sizeof a->text, ", not as asked");
}

static void wait_answers(const struct timeline *t, struct answers *all)
{
    const int32_t *value = t->p->value;
    struct answer *a = answer_new(all, "rest");

    if (t->told.rest.count == 0)
        text_copy(a->text, sizeof a->text, "none that was whole");
    add_wait(a, "", &t->told.rest, value[KEY_REST_S], 0);
    add_wait(a, "settled ", &t->told.settle, value[KEY_SETTLE_S], 0);
    if (t->told.interval.count + t->told.stood.count == 0)
        return;
    a = answer_new(all, "interval");
    add_wait(a, "", &t->told.interval, value[KEY_INTERVAL_MIN_S], value[KEY_INTERVAL_MAX_S]);
    add_wait(a, "stood ", &t->told.stood, value[KEY_STANDING_FIRST_S], 0);
}

static void look_answer(const struct timeline *t, struct answers *all)
{
    const struct timeline_span *looks = &t->told.looks;
    const struct timeline_over *quick = &t->told.over[OVER_QUICK];
    struct answer *a;

    if (looks->count == 0)
        return;
    a = answer_new(all, "looks");
    snprintf(a->text, sizeof a->text, "%d, the quickest %d.%d s", (int)looks->count, (int)(looks->least_ms / 1000),
             (int)(looks->least_ms / 100 % 10));
    if (t->quick_count > 0)
        add_words(a->text, sizeof a->text, "; %d quick: %s%s", (int)t->quick_count, quick->text, quick->left_out > 0 ? " .." : "");
    all->is_clean = all->is_clean && t->quick_count == 0;
}

/* The words of each bit that is set, from the reading of that number. */
static void add_bits(struct answer *a, int reading, unsigned bits, int most, const char *(*say)(int bit))
{
    char piece[OVER_CAP];
    int32_t left_out = 0;

    for (int bit = 0; bit < most; bit++) {
        if (!(bits & (1u << bit)))
            continue;
        snprintf(piece, sizeof piece, "reading %d: %s", reading, say(bit));
        text_defuse(piece);
        if (piece[0] != '\0' && piece[strlen(piece) - 1] == '.')
            piece[strlen(piece) - 1] = '\0';
        a->count++;
        add_piece(a->text, sizeof a->text, &left_out, piece);
    }
    if (left_out > 0)
        add_words(a->text, sizeof a->text, " ..");
}

static void bits_answer(const struct timeline *t, struct answers *all, const char *label, bool is_void)
{
    struct answer a = { .label = label };

    for (int i = 0; i < t->sitting.reading_count; i++) {
        const struct reading *r = &t->sitting.readings[i];

        add_bits(&a, i + 1, is_void ? r->voids : r->notes, is_void ? (int)VOID_REASON_COUNT : (int)READING_REMARK_COUNT,
                 is_void ? say_void : say_note);
    }
    if (a.count == 0)
        return;
    all->is_clean = false;
    *answer_new(all, label) = a;
}

static void pair_answer(const struct timeline *t, struct answers *all)
{
    struct answer a = { .label = "pairs" };
    int first, last;
    int32_t left_out = 0;
    char piece[80];

    for (int i = 0; i < t->sitting.reading_count; i++) {
        const struct reading *r = &t->sitting.readings[i];

        if (r->listener[0] == '\0' || !guide_pair_differs_by(r, &first, &last))
            continue;
        snprintf(piece, sizeof piece, "reading %d %.32s %+d/%+d%s", i + 1, r->listener, first, last,
                 r->notes & NOTE_PAIR_DIFFERS ? ", further apart" : "");
        a.count++;
        add_piece(a.text, sizeof a.text, &left_out, piece);
    }
    if (a.count > 0)
        *answer_new(all, "pairs") = a;
}

static void watched_answer(const struct timeline *t, struct answers *all)
{
    struct assessment as;
    struct answer *a;

    if (!sitting_is_witnessed(&t->sitting))
        return;
    a = answer_new(all, "watched");
    snprintf(a->text, sizeof a->text, "by %.32s", t->sitting.witness);
    if (sitting_assess(&t->sitting, t->p, &as))
        add_words(a->text, sizeof a->text, ": %s; lapses %d, critical %d, not seen %d", as.has_passed ? "passed" : "not passed", as.lapses,
                  as.critical, as.unseen);
    all->is_clean = all->is_clean && t->sitting.lapse_count == 0;
}

static void over_answer(const struct timeline *t, struct answers *all, enum over over, const char *label)
{
    const struct timeline_over *o = &t->told.over[over];
    struct answer *a;

    if (o->count == 0)
        return;
    a = answer_new(all, label);
    a->count = o->count;
    text_copy(a->text, sizeof a->text, o->text);
    if (o->left_out > 0)
        add_words(a->text, sizeof a->text, "; and %d more", (int)o->left_out);
    all->is_clean = all->is_clean && (over == OVER_SAID || over == OVER_ADDED);
}

/* ---- rows ---- */

/* In so many rows at most. */
static void answer_rows(struct timeline *t, const struct answer *a, int room)
{
    char words[ANSWER_CAP + LABEL_WIDTH + 4];
    const char *rest = a->text;

    for (int row = 0; row < room && (row == 0 || rest[0] != '\0'); row++) {
        size_t n = bytes_that_fit(rest, ROW_WIDTH - LABEL_WIDTH);
        bool is_cut = row == room - 1 && rest[n] != '\0';

        if (is_cut)
            n = bytes_that_fit(rest, ROW_WIDTH - LABEL_WIDTH - CUT_WIDTH);
        snprintf(words, sizeof words, "%-*.*s%.*s%s", LABEL_WIDTH, LABEL_WIDTH, row == 0 ? a->label : "", (int)n, rest, is_cut ? " .." : "");
        if (is_cut && a->count > 1)
            add_words(words, sizeof words, " (%d)", (int)a->count);
        row_draw(t, 0, words);
        rest += n + strspn(rest + n, " ");
    }
}

static int rows_of(const struct answer *a)
{
    return utf8_length(a->text) > ROW_WIDTH - LABEL_WIDTH ? 2 : 1;
}

/* What no row is left for is named, so that it is looked for. */
static void rest_row(struct timeline *t, const struct answers *all, int from)
{
    struct answer rest = { .label = "and more" };

    for (int i = from; i < all->count; i++)
        add_words(rest.text, sizeof rest.text, "%s%s", i > from ? ", " : "", all->list[i].label);
    answer_rows(t, &rest, 1);
}

static void take_answers(const struct timeline *t, struct answers *all)
{
    all->is_clean = t->told.rest.count > 0 && !t->told.rest.is_odd && !t->told.settle.is_odd && !t->told.interval.is_odd &&
                    !t->told.stood.is_odd;
    over_answer(t, all, OVER_ADDED, "added");
    result_answers(t, all);
    wait_answers(t, all);
    bits_answer(t, all, "not counted", true);
    watched_answer(t, all);
    over_answer(t, all, OVER_PASSED, "passed over");
    over_answer(t, all, OVER_SOON, "too soon");
    look_answer(t, all);
    over_answer(t, all, OVER_CHANGED, "changed");
    pair_answer(t, all);
    over_answer(t, all, OVER_SAID, "said of it");
    bits_answer(t, all, "remarked", false);
    over_answer(t, all, OVER_NOTED, "noted");
}

void overview_rows(struct timeline *t)
{
    struct answers all = { .count = 0 };
    int from = t->row_count, used = 0, i = 0;

    take_answers(t, &all);
    if (all.is_clean)
        text_copy(answer_new(&all, "otherwise")->text, ANSWER_CAP, "all as asked, nothing passed over or noted");
    for (; i < all.count; i++) {
        int left = all.count - i - 1, room = ROWS_MOST - used - left, rows = rows_of(&all.list[i]);

        if (used == ROWS_MOST - 1 && left > 0)
            break;
        room = room < 1 ? 1 : room; /* each has one before any has two */
        rows = rows > room ? room : rows;
        answer_rows(t, &all.list[i], rows);
        used += rows;
    }
    if (i < all.count)
        rest_row(t, &all, i);
    if (from < t->row_count)
        t->rows[from].is_stop = true;
    rows_up(t, from, 0);
    t->overview_rows = t->row_count - from;
    t->told.event_rows += t->overview_rows;
}
