/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Words of the timeline: times, days, and every kind of act in a few words. */
#include <inttypes.h>
#include <stdio.h>
#include <string.h>

#include "guide/timeline.h"
#include "guide/views.h"
#include "stillarm/ground.h"

#define DAY_S 86400

/* ---- times and days ---- */

void say_wall(const struct timeline *t, int64_t t_ms, char out[16])
{
    int64_t s = t_ms / 1000;

    if (t->opened_unix_ms == INT64_MIN) {
        s = s > 359999 ? 359999 : s;
        snprintf(out, 16, "+%d:%02d:%02d", (int)(s / 3600), (int)(s / 60 % 60), (int)(s % 60));
        return;
    }
    /* Far beyond any year: a clock that says so is wrong, and must not overflow here. */
    s = t->opened_unix_ms / 1000 % DAY_S + (t->opened_unix_ms % 1000 + t_ms) / 1000 % DAY_S + (int64_t)t->offset_min * 60;
    s = (s % DAY_S + DAY_S) % DAY_S;
    snprintf(out, 16, "%02d:%02d:%02d", (int)(s / 3600), (int)(s / 60 % 60), (int)(s % 60));
}

void say_span(int64_t ms, char out[16])
{
    int64_t s = ms < 0 ? 0 : ms / 1000;

    s = s > 35999999 ? 35999999 : s;
    if (s < 120)
        snprintf(out, 16, "%d s", (int)s);
    else if (s < 3600)
        snprintf(out, 16, "%d:%02d", (int)(s / 60), (int)(s % 60));
    else
        snprintf(out, 16, "%d:%02d:%02d", (int)(s / 3600), (int)(s / 60 % 60), (int)(s % 60));
}

const char *month_word(int64_t yyyymmdd)
{
    static const char *const MONTHS[] = { "Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec" };

    return MONTHS[yyyymmdd / 100 % 100 - 1];
}

void say_day(int64_t yyyymmdd, char out[24])
{
    if (!date_exists(yyyymmdd))
        snprintf(out, 24, "day not known");
    else
        snprintf(out, 24, "%d %s %d", (int)(yyyymmdd % 100), month_word(yyyymmdd), (int)(yyyymmdd / 10000));
}

/* ---- names ---- */

const char *say_item(const char *id, char out[ITEM_CAP])
{
    const char *dot = strchr(id, '.');

    text_copy(out, ITEM_CAP, dot != NULL && dot[1] != '\0' ? dot + 1 : id);
    for (char *c = out; *c != '\0'; c++)
        if (*c == '-')
            *c = ' ';
    return out;
}

const char *say_rule(enum rule rule, char out[160])
{
    const struct ground *ground = ground_find(rule_id(rule));
    size_t len;

    text_copy(out, 160, ground != NULL ? ground->says : rule_id(rule));
    len = strlen(out);
    if (len > 0 && out[len - 1] == '.')
        out[len - 1] = '\0';
    return out;
}

static const char *ground_says(const char *id)
{
    const struct ground *ground = ground_find(id);

    return ground != NULL ? ground->says : id;
}

const char *say_void(int bit)
{
    return ground_says(VOID_REASON_WORDS[bit]);
}

const char *say_note(int bit)
{
    return ground_says(READING_REMARK_WORDS[bit]);
}

const char *say_seconds_short(const char *said, char out[80])
{
    const char *whole = strstr(said, ".000 s");

    if (whole != NULL)
        snprintf(out, 80, "%.*s%s", (int)(whole - said), said, whole + 4);
    else
        text_copy(out, 80, said);
    return out;
}

enum point timeline_point(const char *word)
{
    static const struct { const char *word; enum point point; } POINTS[] = {
        { "release", POINT_TARGET }, { "target", POINT_TARGET },     { "first", POINT_FIRST }, { "silent", POINT_SILENT },
        { "return", POINT_RETURN },  { "muffling", POINT_MUFFLING }, { "last", POINT_LAST },
    };

    for (size_t i = 0; i < ARRAY_LEN(POINTS); i++)
        if (strcmp(POINTS[i].word, word) == 0)
            return POINTS[i].point;
    return POINT_COUNT;
}

/* ---- acts ----
 * In the words below: $i the item as it stands, $n an item's name, $p a point's, $v the value, $c and $C the two values
 * as lengths, $r both as a range, $d the second as a day, $g the first as a time. */

static const struct {
    const char *words, *text; /* text: what leads in the kind's text */
    enum join join;
} SAYS[EV_COUNT] = {
    [EV_PROTOCOL] = { "protocol $i", "", JOIN_OPENING },
    [EV_DATE] = { "", "", JOIN_OPENING },
    [EV_MEASURER] = { "measured by $i", "", JOIN_OPENING },
    [EV_SUBJECT] = { "subject $i", "", JOIN_OPENING },
    [EV_VISIT] = { "$i visit", "", JOIN_OPENING },
    [EV_PRIOR_ARM] = { "arm of the last visit: $i", "", JOIN_OPENING },
    [EV_PURPOSE] = { "for $i", "", JOIN_OPENING },
    [EV_PLACE] = { "at", " ", JOIN_OPENING },
    [EV_HELP] = { "help: $i", "", JOIN_OPENING },
    [EV_WITNESS] = { "watched by $i", "", JOIN_OPENING },
    [EV_GAUGE] = { "gauge $i to $v, due $d", "", JOIN_NONE },
    [EV_CHECK] = { "checked: $i $v, on $d", "", JOIN_NONE },
    [EV_CUFF] = { "$i $r", "", JOIN_NONE },
    [EV_BLADDER] = { "bladder of $i $c by $C", "", JOIN_NONE },
    [EV_ARM] = { "$i arm", "", JOIN_NONE },
    [EV_CONFIRM] = { "$n, as it should be", "", JOIN_NONE },
    [EV_REOPEN] = { "no longer as it should be: $n", ", because: ", JOIN_NONE },
    [EV_WAIVE] = { "passed over: $n", ", because: ", JOIN_NONE },
    [EV_CIRCUMFERENCE] = { "arm measured: $c", "", JOIN_NONE },
    [EV_WRAP] = { "cuff $i goes on", "", JOIN_NONE },
    [EV_REST] = { "rest $is", "", JOIN_NONE },
    [EV_PULSE] = { "pulse $v, $i", "", JOIN_NONE },
    [EV_INFLATE] = { "squeeze to $i", "", JOIN_NONE },
    [EV_EMPTY] = { "all air out", "", JOIN_MOMENTS },
    [EV_PALPATE] = { "pulse $i at $v", "", JOIN_MOMENTS },
    [EV_NOPULSE] = { "no pulse to feel", "", JOIN_NONE },
    [EV_USUAL] = { "usual systolic $v", "", JOIN_NONE },
    [EV_TARGET] = { "pumped to $v", "", JOIN_ENTRY },
    [EV_MARK] = { "$p", "", JOIN_MOMENTS },
    [EV_VALUE] = { "$p $v", "", JOIN_ENTRY },
    [EV_LISTENER] = { "second listener $i", "", JOIN_ENTRY },
    [EV_PAIR] = { "second listener's $p $v", "", JOIN_ENTRY },
    [EV_VOID] = { "reading given up", ", because: ", JOIN_NONE },
    [EV_DONE] = { "entry complete", "", JOIN_NONE },
    [EV_CORRECT] = { "corrected: $p $v", ", because: ", JOIN_NONE },
    [EV_NOISE] = { "noise", ": ", JOIN_NONE },
    [EV_INTERRUPT] = { "interrupted", ": ", JOIN_NONE },
    [EV_MOVED] = { "moved", ": ", JOIN_NONE },
    [EV_TOLD] = { "told, spoken and written", "", JOIN_NONE },
    [EV_ACTED] = { "what was done", ": ", JOIN_NONE },
    [EV_NOTE] = { "note", ": ", JOIN_NONE },
    [EV_RESUME] = { "the program was away for $g", "", JOIN_NONE },
    [EV_STOP] = { "stopped here", ", because: ", JOIN_NONE },
    [EV_SEAL] = { "sealed", "", JOIN_NONE },
    [EV_BARRED] = { "$i arm may not be used", ", because: ", JOIN_NONE },
    [EV_FREED] = { "$i arm may be used again", ", because: ", JOIN_NONE },
    [EV_RECENT] = { "before the visit: $i", ", ", JOIN_NONE },
    [EV_STAND] = { "stood up", "", JOIN_NONE },
    [EV_SYMPTOMS] = { "asked for symptoms: $i", "", JOIN_NONE },
    [EV_GAP] = { "silence: $i", "", JOIN_ENTRY },
    [EV_LAPSE] = { "not so: $n", ", seen: ", JOIN_NONE },
    [EV_UNSEEN] = { "not seen: $n", "", JOIN_NONE },
    [EV_STRIKE] = { "taken back: number $v", ", because: ", JOIN_NONE },
};

static void add_length(struct text *out, int64_t mm)
{
    char length[24];

    say_mm(length, (int32_t)(mm > 99999 ? 99999 : mm < 0 ? 0 : mm));
    text_add(out, length);
}

void say_range(int64_t low_mm, int64_t high_mm, char out[48])
{
    char low[24], high[24];

    say_mm(low, (int32_t)low_mm);
    say_mm(high, (int32_t)high_mm);
    low[strcspn(low, " ")] = '\0';
    snprintf(out, 48, "%.16s to %.23s", low, high);
}

static void add_code(struct text *out, const struct event *ev, char code)
{
    enum point point = timeline_point(ev->item);
    char name[ITEM_CAP], rule[160], span[48];

    switch (code) {
    case 'i':
        text_add(out, ev->item);
        break;
    case 'n':
        text_add(out, rule_named(ev->item) != RULE_NONE ? say_rule(rule_named(ev->item), rule) : say_item(ev->item, name));
        break;
    case 'p':
        text_add(out, point == POINT_COUNT ? ev->item : ev->kind == EV_MARK && point == POINT_TARGET ? "release" : point_words(point));
        break;
    case 'v':
        text_addf(out, "%" PRId64, ev->value);
        break;
    case 'c':
        add_length(out, ev->value);
        break;
    case 'C':
        add_length(out, ev->value2);
        break;
    case 'r':
        say_range(ev->value, ev->value2, span);
        text_add(out, span);
        break;
    case 'd':
        say_day(ev->value2, span);
        text_add(out, span);
        break;
    case 'g':
        say_span(ev->value, span);
        text_add(out, span);
        break;
    default:
        text_addf(out, "%c", code);
        break;
    }
}

void say_act(const struct event *ev, char *out, size_t cap)
{
    const char *words = (unsigned)ev->kind < EV_COUNT ? SAYS[ev->kind].words : "";
    struct text text;

    text_init(&text, out, cap);
    for (; *words != '\0'; words++) {
        if (*words == '$' && words[1] != '\0')
            add_code(&text, ev, *++words);
        else
            text_addf(&text, "%c", *words);
    }
}

enum join act_join(enum event_kind kind)
{
    return SAYS[kind].join;
}

const char *text_prefix(enum event_kind kind)
{
    return SAYS[kind].text;
}

const char *join_prefix(enum join join)
{
    static const char *const PREFIXES[] = { [JOIN_NONE] = "",           [JOIN_OPENING] = "opened: ",
                                            [JOIN_MOMENTS] = "moments: ", [JOIN_ENTRY] = "entered: ", [JOIN_ITEMS] = "" };
    return PREFIXES[join];
}
