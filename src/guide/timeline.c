/* SPDX-License-Identifier: GPL-3.0-or-later */
/* A sitting told act by act: rows, what is joined in one of them, refused attempts. */
#include <inttypes.h>
#include <stdarg.h>
#include <stdio.h>
#include <string.h>

#include "guide/timeline.h"

#define SCRATCH (TIMELINE_ROWS_MAX - 1) /* never shown: what a full timeline cannot take is written there */

/* ---- rows ---- */

static struct timeline_row *row_new(struct timeline *t, int32_t seq)
{
    int most = t->told.is_ending ? SCRATCH : TIMELINE_ROWS_MAX - ROWS_FOR_END;
    struct timeline_row *row = &t->rows[SCRATCH];

    if (t->row_count < most)
        row = &t->rows[t->row_count++];
    else
        t->is_cut = true;
    *row = (struct timeline_row){ .seq = seq, .role = LINE_ROW };
    return row;
}

size_t bytes_that_fit(const char *s, int columns)
{
    size_t at = 0, blank = 0;
    int used = 0;

    while (s[at] != '\0') {
        size_t n = 1;

        while (((unsigned char)s[at + n] & 0xC0) == 0x80)
            n++;
        if (used == columns || at + n > TIMELINE_ROW_CAP - TIME_WIDTH - 6)
            return blank > 0 ? blank : at;
        if (s[at] == ' ' && at > 0)
            blank = at;
        at += n;
        used++;
    }
    return at;
}

void row_draw(struct timeline *t, int32_t seq, const char *text)
{
    struct timeline_row *row = row_new(t, seq);

    text_copy(row->text, sizeof row->text, text);
}

void add_words(char *out, size_t cap, const char *format, ...)
{
    size_t len = strlen(out);
    va_list args;

    if (len + 1 >= cap)
        return;
    va_start(args, format);
    vsnprintf(out + len, cap - len, format, args);
    va_end(args);
    text_defuse(out + len); /* a character that was cut in half */
}

/* A head stands in one line, its value beside it; what does not fit goes on below. Other rows wrap where they are shown. */
static int width_of(bool is_head, const char *value)
{
    return !is_head ? TIMELINE_ROW_CAP : LINE_WIDTH - TIME_WIDTH - (value[0] != '\0' ? 1 + utf8_length(value) : 0);
}

void row_words(struct timeline *t, int32_t seq, bool is_stop, int64_t t_ms, const char *value, const char *words)
{
    char time[16] = "";
    bool is_first = true;

    if (t_ms >= 0)
        say_wall(t, t_ms, time);
    do {
        struct timeline_row *row = row_new(t, seq);
        size_t n = bytes_that_fit(words, width_of(is_stop && is_first, value));

        snprintf(row->text, sizeof row->text, "%-*s%s%.*s", is_first ? TIME_WIDTH : TIME_WIDTH + 2, time, "", (int)n, words);
        if (is_first) {
            row->is_stop = is_stop;
            text_copy(row->value, sizeof row->value, value);
        }
        words += n + strspn(words + n, " ");
        time[0] = '\0';
        is_first = false;
    } while (words[0] != '\0');
}

void row_add(struct timeline *t, int32_t seq, bool is_stop, int64_t t_ms, const char *value, const char *format, ...)
{
    char words[SAY_CAP + 200];
    va_list args;

    va_start(args, format);
    vsnprintf(words, sizeof words, format, args);
    va_end(args);
    text_defuse(words); /* also a character that was cut in half */
    if (is_stop) {
        t->told.join = JOIN_NONE;
        run_end(t);
    }
    row_words(t, seq, is_stop, t_ms, value, words);
}

void row_said(struct timeline *t, const struct event *ev, int32_t seq, const char *value, const char *words)
{
    const char *prefix = text_prefix(ev->kind);

    if (ev->text[0] == '\0' || utf8_length(words) + utf8_length(prefix) + utf8_length(ev->text) <= width_of(true, value)) {
        row_add(t, seq, true, ev->t_ms, value, "%s%s%s", words, ev->text[0] != '\0' ? prefix : "", ev->text);
        return;
    }
    row_add(t, seq, true, ev->t_ms, value, "%s", words);
    row_add(t, seq, false, -1, "", "%s%s", prefix + strspn(prefix, ",: "), ev->text);
}

static bool fits_behind(const struct timeline_row *row, const char *words)
{
    return utf8_length(row->text) + 2 + utf8_length(words) <= LINE_WIDTH && strlen(row->text) + 3 + strlen(words) < sizeof row->text;
}

void rows_up(struct timeline *t, int from, int to)
{
    int n = t->row_count - from;

    for (int i = 0; i < n && to < from; i++) {
        struct timeline_row row = t->rows[t->row_count - 1];

        memmove(&t->rows[to + 1], &t->rows[to], (size_t)(t->row_count - 1 - to) * sizeof row);
        t->rows[to] = row;
    }
}

void row_join(struct timeline *t, int32_t seq, int64_t t_ms, enum join join, const char *prefix, const char *words)
{
    struct timeline_told *told = &t->told;
    bool is_new = told->join != (int32_t)join;

    if (!is_new && told->join_row >= 0 && fits_behind(&t->rows[told->join_row], words)) {
        add_words(t->rows[told->join_row].text, sizeof t->rows[0].text, ", %s", words);
        return;
    }
    if (is_new)
        row_add(t, seq, true, t_ms, "", "%s%s", prefix, words);
    else
        row_add(t, seq, false, -1, "", "%s", words);
    told->join = (int32_t)join;
    told->join_row = t->row_count - 1;
}

/* ---- what was before ---- */

static void waits_before(const struct sitting *s, const struct protocol *p, const struct event *ev, struct before *b)
{
    bool is_listen = strcmp(ev->item, "listen") == 0;
    int arm = s->arm > ARM_NONE && s->arm < ARM_COUNT ? s->arm : ARM_NONE;
    int64_t rested_ms = s->has_emptied && s->last_empty_ms > s->rest_ended_ms ? s->last_empty_ms : s->rest_ended_ms;

    if (s->rest == REST_ENDED)
        b->rest_ms = ev->t_ms - rested_ms;
    if (is_listen && s->has_settle[arm] && (!s->has_listened[arm] || s->palpate_empty_ms[arm] > s->listen_empty_ms[arm]))
        b->settle_ms = ev->t_ms - s->palpate_empty_ms[arm];
    if (s->has_listened[arm])
        b->interval_ms = ev->t_ms - s->listen_empty_ms[arm];
    if (is_listen && s->is_standing) {
        b->stood_ms = ev->t_ms - s->stood_ms;
        b->standing_wait_s = p->value[sitting_standing_counted(s) == 0 ? KEY_STANDING_FIRST_S : KEY_STANDING_SECOND_S];
    }
}

static void reading_before(const struct sitting *s, const struct event *ev, struct before *b)
{
    const struct reading *r = s->reading_count > 0 ? &s->readings[s->reading_count - 1] : NULL;
    enum point point = ev->kind == EV_TARGET ? POINT_TARGET : timeline_point(ev->item);

    if (r == NULL)
        return;
    b->is_counted = reading_is_counted(r);
    if (point == POINT_COUNT)
        return;
    b->has_mark = r->has_mark[point];
    b->has_pair = r->has_pair[point];
    b->has_value = r->has_value[point];
    b->value_mmhg = r->value_mmhg[point];
}

static void look_before(const struct timeline *t, const struct event *ev, struct before *b)
{
    *b = (struct before){ .settle_ms = -1, .interval_ms = -1, .stood_ms = -1, .rest_ms = -1, .lapses = t->sitting.lapse_count };
    if (ev->kind == EV_INFLATE)
        waits_before(&t->sitting, t->p, ev, b);
    else
        reading_before(&t->sitting, ev, b);
}

/* ---- events ---- */

void timeline_begin(struct timeline *t, const struct protocol *p)
{
    memset(t, 0, sizeof *t);
    sitting_init(&t->sitting);
    t->p = p;
    t->opened_unix_ms = INT64_MIN;
}

/* Two digits of a stamp that parse_timestamp() found sound. */
static int digits(const char *s)
{
    return 10 * (s[0] - '0') + (s[1] - '0');
}

/* Days from 1970-01-01 to a day of the Gregorian calendar; years start in March, so that the leap day comes last. */
static int64_t days_since_1970(int32_t yyyymmdd)
{
    int64_t month = yyyymmdd / 100 % 100, year = yyyymmdd / 10000 - (month <= 2), of_year;

    of_year = (153 * (month + (month > 2 ? -3 : 9)) + 2) / 5 + yyyymmdd % 100 - 1;
    return 365 * year + year / 4 - year / 100 + year / 400 + of_year - 719468;
}

/* The opening's stamp: the place's offset, and the wall clock where nothing else tells it. Rows before it are timed anew. */
static void take_stamp(struct timeline *t, const struct event *ev)
{
    const char *at = ev->text, *zone;
    int32_t day;
    int64_t seconds;

    if (parse_timestamp(at, &day, NULL) != ST_OK || strlen(at) < 17)
        return;
    zone = at + 16 + (at[16] == ':' ? 3 : 0);
    t->offset_min = zone[0] == 'Z' || strlen(zone) < 6 ? 0 : (60 * digits(zone + 1) + digits(zone + 4)) * (zone[0] == '-' ? -1 : 1);
    seconds = days_since_1970(day) * 86400 + 3600 * digits(at + 11) + 60 * digits(at + 14) + (at[16] == ':' ? digits(at + 17) : 0);
    if (t->opened_unix_ms == INT64_MIN)
        t->opened_unix_ms = (seconds - (int64_t)t->offset_min * 60) * 1000;
    t->told.day = day;
    t->told.has_date = true;
    for (int i = 0; i < t->row_count; i++) {
        char time[16];
        size_t len;

        if (t->rows[i].text[0] == ' ')
            continue;
        say_wall(t, 0, time); /* only the opening's own rows come before it */
        len = strlen(time);
        memcpy(t->rows[i].text, time, len < TIME_WIDTH ? len : TIME_WIDTH);
        memset(t->rows[i].text + len, ' ', TIME_WIDTH > len ? TIME_WIDTH - len : 0);
    }
}

static void take_time(struct timeline *t, const struct event *ev, int64_t unix_ms)
{
    struct timeline_told *told = &t->told;

    if (t->opened_unix_ms == INT64_MIN && unix_ms != INT64_MIN && unix_ms > 0 && unix_ms < INT64_C(1) << 52)
        t->opened_unix_ms = unix_ms - ev->t_ms;
    if (!told->is_begun || ev->t_ms > told->press_ms) {
        told->before_ms = told->is_begun ? told->press_ms : 0;
        told->press_ms = ev->t_ms;
    }
    told->is_begun = true;
}

/* Before a witness: what a rule would have said of this act. */
static void tell_lapses(struct timeline *t, int32_t seq, int32_t before)
{
    int32_t kept = sitting_lapses_kept(&t->sitting);
    char says[160], have[80], need[80];

    for (int32_t i = before; i < kept; i++) {
        const struct lapse *lapse = &t->sitting.lapses[i];

        if (lapse_item(lapse, t->p) != NULL) /* told with the act itself */
            continue;
        row_add(t, seq, false, -1, "not so", "%s: %s, asked %s", say_rule((enum rule)lapse->rule, says),
                say_seconds_short(lapse->have, have), say_seconds_short(lapse->need, need));
    }
}

static bool tell_odd(struct timeline *t, const struct event *ev, int32_t seq, const struct refusal *why)
{
    char words[SAY_CAP];

    say_act(ev, words, sizeof words);
    row_add(t, seq, true, ev->t_ms, "does not follow", "%s: does not follow from the acts before it (%s)", words, rule_id(why->rule));
    return false;
}

bool timeline_event(struct timeline *t, const struct event *ev, int32_t seq, int64_t unix_ms)
{
    struct refusal why = { .rule = RULE_NONE };
    struct before before;

    take_time(t, ev, unix_ms);
    look_before(t, ev, &before);
    if (!event_is_well_formed(ev) || !sitting_apply(&t->sitting, t->p, ev, &why)) {
        tell_odd(t, ev, seq, &why);
        t->told.event_rows = t->row_count;
        return false;
    }
    if (ev->kind == EV_DATE)
        take_stamp(t, ev);
    tell_act(t, ev, seq, &before);
    tell_lapses(t, seq, before.lapses);
    overview_act(t, ev);
    t->told.event_rows = t->row_count;
    return true;
}

/* ---- refused attempts ---- */

/* What one of two listeners typed, as long as the other has not. */
static bool is_unseen_value(const struct timeline *t, const struct event *ev)
{
    const struct reading *r = sitting_current(&t->sitting);

    return (ev->kind == EV_VALUE || ev->kind == EV_PAIR) && r != NULL && r->listener[0] != '\0';
}

void timeline_attempt(struct timeline *t, const struct timeline_attempt *a)
{
    char words[SAY_CAP + 4], time[16], raw[SAY_CAP];
    char had[80], asked[80];
    const char *have = say_seconds_short(a->have, had), *need = say_seconds_short(a->need, asked);
    struct event ev;

    if (event_parse(a->line, strlen(a->line), &ev, NULL) != PARSED_EVENT) {
        text_copy(raw, sizeof raw, a->line);
        text_defuse(raw);
        snprintf(words, sizeof words, "\"%s\"", raw);
    } else if (is_unseen_value(t, &ev)) {
        text_copy(words, sizeof words, "a value, unseen");
        have = "";
    } else {
        say_act(&ev, words, sizeof words);
    }
    t->told.slips += a->is_slip;
    t->told.skips += !a->is_slip;
    say_wall(t, a->t_ms, time);
    row_add(t, a->after_seq, false, -1, a->is_slip ? "typing slip" : "not yet", "tried %s: %s (%s%sasked %s)", time, words,
            have, have[0] != '\0' ? "; " : "", need[0] != '\0' ? need : a->rule);
    t->told.join = JOIN_NONE; /* what comes after it is told after it */
    run_end(t);
    if (!a->is_slip)
        overview_say(t, OVER_SOON, a->t_ms, "%s%s%s", words, have[0] != '\0' ? " after " : "", have);
    t->told.event_rows = t->row_count;
}
