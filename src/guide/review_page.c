/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The page of a sitting that is reviewed, and the rows of the queue. */
#include <stdio.h>
#include <string.h>

#include "guide/timeline.h"

#define ROWS_BEFORE 3 /* of what came before the cursor: below it is what belongs to the act */
#define ROWS_LAST 12  /* kept in view at the end */
#define QUEUE_COLUMNS LINE_WIDTH

/* ---- the cursor ---- */

/* The first act that is shown in this direction; where there is none, the same place. */
static int stop_from(const struct timeline *t, int at, int step, int32_t unfolded)
{
    for (int i = at + step; i >= 0 && i < t->row_count; i += step)
        if (t->rows[i].is_stop && timeline_is_shown(t, i, unfolded))
            return i;
    return at;
}

/* The cursor stands on a row that is shown: where its run is folded, on the row that tells all of it. */
static int within(const struct timeline *t, const struct timeline_view *v)
{
    int at = v->at >= t->row_count ? t->row_count - 1 : v->at;

    at = at < 0 ? 0 : at;
    return timeline_is_shown(t, at, v->unfolded) ? at : timeline_head(t, at);
}

/* A single act has nothing to unfold. */
static bool is_run(const struct timeline *t, int32_t run)
{
    int acts = 0;

    for (int i = 0; run != 0 && i < t->row_count; i++)
        acts += t->rows[i].run == run && t->rows[i].when == ROW_UNFOLDED && t->rows[i].is_stop;
    return acts > 1;
}

/* Unfolded the cursor is on the first act, folded on the run. */
static bool fold(const struct timeline *t, struct timeline_view *v)
{
    int at = within(t, v);
    int32_t run = t->row_count > 0 ? t->rows[at].run : 0;

    if (!is_run(t, run))
        return false;
    at = timeline_head(t, at);
    v->unfolded = v->unfolded == run ? 0 : run;
    v->at = v->unfolded != 0 ? stop_from(t, at, 1, v->unfolded) : at;
    return true;
}

bool timeline_key(const struct timeline *t, struct timeline_view *v, const struct key *k)
{
    bool is_letter = k->code == KEY_CHARACTER;
    int step = 0, from = within(t, v);

    if (is_letter && k->character == 'f' && fold(t, v)) {
        v->refusal[0] = '\0';
        return true;
    }
    if (k->code == KEY_DOWN_ARROW || (is_letter && (k->character == 'j' || k->character == 't')))
        step = 1;
    else if (k->code == KEY_UP_ARROW || (is_letter && (k->character == 'k' || k->character == 'z')))
        step = -1;
    else
        return false;
    if (is_letter && (k->character == 'z' || k->character == 't')) /* in from beyond the end that is meant */
        from = step < 0 ? t->row_count : -1;
    v->at = stop_from(t, from, step, v->unfolded);
    v->refusal[0] = '\0';
    return true;
}

void timeline_say_at(const struct timeline *t, int at, char *out, size_t cap)
{
    char time[TIME_WIDTH + 1], words[TIMELINE_ROW_CAP];
    const char *text;
    size_t len;

    if (cap > 0)
        out[0] = '\0';
    if (at < 0 || at >= t->row_count)
        return;
    text = t->rows[at].text;
    if (at < t->overview_rows || t->rows[at].seq == 0) /* of no act, so of all of it */
        return;
    if (strlen(text) <= TIME_WIDTH) {
        text_copy(out, cap, text);
        return;
    }
    text_copy(words, sizeof words, text + TIME_WIDTH);
    memmove(words, words + strspn(words, " "), strlen(words + strspn(words, " ")) + 1);
    memcpy(time, text, TIME_WIDTH);
    time[TIME_WIDTH] = '\0';
    time[strcspn(time, " ")] = '\0';
    len = strcspn(words, ",;");
    words[len] = '\0';
    snprintf(out, cap, "%s%s%s", words, time[0] != '\0' ? " " : "", time);
    if (cap > 0)
        text_defuse(out);
}

/* ---- the page ---- */

static void add_count(struct text *out, int n, const char *one, const char *many)
{
    if (n > 0)
        text_addf(out, "   %d %s", n, n == 1 ? one : many);
}

/* What to look out for, before it is looked for: it stays in view. */
static void head_line(const struct timeline *t, const struct timeline_view *v, struct page *out)
{
    const struct sitting *s = &t->sitting;
    int counted = 0;
    char said[200];
    struct text text;

    for (int i = 0; i < s->reading_count; i++)
        counted += reading_is_counted(&s->readings[i]);
    text_init(&text, said, sizeof said);
    if (v->is_live)
        text_add(&text, "still open, looked on   ");
    if (s->reading_count > 0)
        text_addf(&text, "%d of %d readings count", counted, (int)s->reading_count);
    else
        text_add(&text, "no reading");
    add_count(&text, (int)t->told.skips, "tried too soon", "tried too soon");
    add_count(&text, (int)t->told.slips, "slip", "slips");
    add_count(&text, (int)t->quick_count, "quick", "quick");
    page_line(out, LINE_ROW, "%s", said);
    out->pinned = 1;
}

/* The page holds so many lines: those round the cursor, with the act that it is on in full. */
static void window(const struct timeline *t, const struct timeline_view *v, struct page *out)
{
    int list[TIMELINE_ROWS_MAX], count = 0, at = 0, from, to;

    for (int i = 0; i < t->row_count; i++) {
        at = i == within(t, v) ? count : at;
        if (timeline_is_shown(t, i, v->unfolded))
            list[count++] = i;
    }
    from = at - ROWS_BEFORE;
    if (from > count - ROWS_LAST)
        from = count - ROWS_LAST;
    if (from < 2) /* a line that says that one row is left out would take its place */
        from = 0;
    to = from + (PAGE_LINES_MAX - 6);
    if (to > count)
        to = count;
    if (from > 0)
        page_line(out, LINE_ROW, "(%d rows before)", from);
    for (int i = from; i < to; i++) {
        const struct timeline_row *row = &t->rows[list[i]];
        struct page_line *line = page_line(out, row->role, "%s", row->text);

        text_copy(line->value, sizeof line->value, row->value);
        line->is_current = i == at;
        if (list[i] + 1 == t->overview_rows)
            page_line(out, LINE_GAP, "%s", "");
    }
    if (to < count)
        page_line(out, LINE_ROW, "(%d rows more)", count - to);
}

static void keys(const struct timeline *t, const struct timeline_view *v, struct page *out)
{
    int32_t run = t->row_count > 0 ? t->rows[within(t, v)].run : 0;
    const struct { bool is_on; const char *key, *label; } KEYS[] = {
        { t->row_count > 1, "j k", "step" },         { is_run(t, run), "f", run == v->unfolded ? "fold" : "each one" },
        { v->can_comment, "enter", "comment" },
        { v->can_return, "r", "send back" },         { v->can_sign, "1", "reviewed" },
        { v->can_sign, "2", "was present" },         { v->can_amend, "m", "add to it" },
        { v->can_owe, "g", "sign what is owed" },    { v->can_release, "e", "give the result" },
        { v->has_next, "n", "next" },                { true, "q", "back" },
    };

    for (size_t i = 0; i < ARRAY_LEN(KEYS); i++)
        if (KEYS[i].is_on)
            page_key(out, KEYS[i].key, KEYS[i].label);
}

void timeline_page(const struct timeline *t, const struct timeline_view *v, struct page *out)
{
    page_init(out, PAGE_OPEN, v->is_live ? "timeline-live" : "timeline");
    text_copy(out->left, sizeof out->left, v->left != NULL ? v->left : "");
    text_copy(out->right, sizeof out->right, v->right != NULL ? v->right : "");
    text_copy(out->refusal, sizeof out->refusal, v->refusal);
    head_line(t, v, out);
    window(t, v, out);
    keys(t, v, out);
}

/* ---- the queue ---- */

static const char *given(const char *s)
{
    return s != NULL ? s : "";
}

/* `2031-03-02T14:04:10+01:00`: 2 Mar. */
static void say_opened(const char *at, char out[24])
{
    int32_t day;

    if (parse_timestamp(given(at), &day, NULL) != ST_OK)
        text_copy(out, 24, "-");
    else
        snprintf(out, 24, "%2d %s", (int)(day % 100), month_word(day));
}

static const char *short_of(const char *word)
{
    static const struct { const char *word, *words; } SHORT[] = {
        { "unsigned", "owed" }, { "before", "not signed" }, { "returned", "sent back" }, { "assessment", "assess." },
        { "released", "given" }, { "", "-" },
    };

    for (size_t i = 0; i < ARRAY_LEN(SHORT); i++)
        if (strcmp(SHORT[i].word, given(word)) == 0)
            return SHORT[i].words;
    return word;
}

/* Appended where there is room for all of it. */
static void add_where_it_fits(char out[LIST_ROW_CAP], const char *before, const char *words)
{
    size_t len = strlen(out), more = strlen(before) + strlen(words);

    if (words[0] != '\0' && len + more <= QUEUE_COLUMNS)
        snprintf(out + len, LIST_ROW_CAP - len, "%s%s", before, words);
}

void queue_row(const struct queue_words *q, char out[LIST_ROW_CAP])
{
    char opened[24], id[16], count[16], words[60];
    const char *review = given(q->review), *by = given(q->last_by);

    say_opened(q->opened, opened);
    snprintf(id, sizeof id, "S-%03lld", (long long)(q->id < 0 ? 0 : q->id > 99999999 ? 99999999 : q->id));
    if (given(q->witness)[0] != '\0' && strcmp(review, "released") != 0) /* how many count is a figure, too */
        text_copy(count, sizeof count, "-");
    else
        snprintf(count, sizeof count, "%d/%d", (int)q->counted % 1000, (int)q->readings % 1000);
    snprintf(out, LIST_ROW_CAP, "%-5s %-6s %-7.7s %-8.8s %-3s %.13s", id, opened, given(q->measurer), short_of(q->purpose), count,
             short_of(q->review));
    snprintf(words, sizeof words, "%d tried", (int)q->attempts);
    if (strcmp(review, "held") == 0)
        by = given(q->witness);
    else if (strcmp(review, "returned") != 0 && strcmp(review, "countersigned") != 0)
        by = "";
    text_defuse(out);
    /* In this order: what a row must tell comes first, and on the smallest screen it is one line. */
    add_where_it_fits(out, " ", given(q->subject));
    add_where_it_fits(out, ", ", strcmp(given(q->phase), "stopped") == 0 ? "stopped" : "");
    add_where_it_fits(out, ", by ", by);
    add_where_it_fits(out, ", ", q->attempts > 0 ? words : "");
    add_where_it_fits(out, ", ", given(q->protocol));
}

void queue_title(const char *which, const char *measurer, const char *purpose, const char *days, const char *phase, char *title,
                 size_t title_cap)
{
    const struct { const char *before, *value; } PARTS[] = {
        { "by ", given(measurer) }, { "", given(purpose) }, { "", given(days) }, { "", given(phase) }
    };
    struct text text;
    bool is_first = true;

    text_init(&text, title, title_cap);
    text_add(&text, given(which));
    for (size_t i = 0; i < ARRAY_LEN(PARTS); i++) {
        if (PARTS[i].value[0] == '\0')
            continue;
        text_addf(&text, "%s%s%s", is_first ? ": " : ", ", PARTS[i].before, PARTS[i].value);
        is_first = false;
    }
}
