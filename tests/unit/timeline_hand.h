/* SPDX-License-Identifier: GPL-3.0-or-later */
/** @file timeline_hand.h  Feeds the scripts of tests/engine, or lines of a log, into a timeline. Accepted events go in with
 *  their numbers, refused ones as attempts, as a store would hand them over. */
#ifndef STILLARM_TIMELINE_HAND_H
#define STILLARM_TIMELINE_HAND_H

#include <check.h>
#include <inttypes.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "config/protocols.h"
#include "guide/review.h"
#include "guide/timeline.h"

#define FED_MAX 4000
#define NO_CLOCK INT64_MIN

struct fed {
    struct protocol p;
    bool is_begun;
    struct sitting s;
    struct timeline t;
    struct event log[FED_MAX]; /* accepted, from 1 */
    int count, refused;
    int64_t time_ms;           /* of the line before */
    int64_t opened_unix_ms;    /* NO_CLOCK: the events carry no wall clock */
};

static struct fed fed; /* large */

static inline const struct protocol *fed_protocol(const char *id)
{
    static struct protocols ps; /* read once, before the tests fork */

    if (ps.count == 0 && protocols_load(TEST_SOURCE_DIR "/assets/protocols", &ps, NULL) != ST_OK)
        return NULL;
    return protocols_find(&ps, id);
}

/* False: there is none of this name. */
static inline bool fed_take_protocol(const char *id)
{
    const struct protocol *p = fed_protocol(id);

    if (p != NULL)
        fed.p = *p;
    return p != NULL;
}

static inline void fed_begin(int64_t opened_unix_ms)
{
    fed.is_begun = false;
    memset(&fed.p, 0, sizeof fed.p);
    memset(&fed.t, 0, sizeof fed.t);
    fed.count = fed.refused = 0;
    fed.time_ms = 0;
    sitting_init(&fed.s);
    fed.opened_unix_ms = opened_unix_ms;
}

static inline void fed_refused(const struct event *ev, const struct refusal *no, const char *line)
{
    struct timeline_attempt a = { .after_seq = fed.count, .t_ms = ev->t_ms, .is_slip = rule_is_slip(no->rule), .rule = rule_id(no->rule),
                                  .have = no->have, .need = no->need, .line = line };

    fed.refused++;
    if (fed.is_begun)
        timeline_attempt(&fed.t, &a);
}

/* One whole line, with its time. */
static inline bool fed_event(const char *line)
{
    struct event ev;
    struct refusal no = { .rule = RULE_NONE };

    if (event_parse(line, strlen(line), &ev, NULL) != PARSED_EVENT)
        return false;
    fed.time_ms = ev.t_ms;
    if (ev.kind == EV_PROTOCOL && !fed.is_begun && fed_take_protocol(ev.item)) {
        fed.is_begun = true;
        timeline_begin(&fed.t, &fed.p);
    }
    if (!sitting_apply(&fed.s, fed.is_begun ? &fed.p : NULL, &ev, &no)) {
        fed_refused(&ev, &no, line);
        return false;
    }
    ck_assert_int_lt(fed.count + 1, FED_MAX);
    fed.log[++fed.count] = ev;
    ck_assert_msg(timeline_event(&fed.t, &ev, fed.count, fed.opened_unix_ms == NO_CLOCK ? NO_CLOCK : fed.opened_unix_ms + ev.t_ms),
                  "the timeline refuses `%s`", line);
    return true;
}

static inline void fed_key(char *line)
{
    char name[60], word[60];

    if (sscanf(line, "protocol-key %59s %59s", name, word) != 2)
        return;
    for (int key = 0; key < KEY_COUNT; key++) {
        if (strcmp(PROTOCOL_KEYS[key].name, name) != 0)
            continue;
        fed.p.value[key] = atoi(word);
        for (int i = 0; PROTOCOL_KEYS[key].words != NULL && i <= PROTOCOL_KEYS[key].high; i++)
            if (strcmp(PROTOCOL_KEYS[key].words[i], word) == 0)
                fed.p.value[key] = i;
    }
}

static inline void fed_critical(const char *id)
{
    int item = protocol_find_item(&fed.p, id);

    if (strcmp(id, "none") == 0) {
        memset(fed.p.is_critical, 0, sizeof fed.p.is_critical);
        for (int i = 0; i < fed.p.item_count; i++)
            fed.p.items[i].is_critical = false;
    } else if (item >= 0) {
        fed.p.items[item].is_critical = true;
    } else {
        fed.p.is_critical[rule_named(id)] = true;
    }
}

/* `confirm kit.*`: one event for each item; `*1` the first, `*w` the first that may be passed over, `*b` the first that may not. */
static inline void fed_star(const char *line, const char *star)
{
    const char *from = star;
    char which = star[1];
    bool is_one = which == '1' || which == 'w' || which == 'b';

    while (from > line && from[-1] != ' ')
        from--;
    for (int i = 0, n = 0; i < fed.p.item_count && !(is_one && n > 0); i++) {
        const struct protocol_item *item = &fed.p.items[i];
        char full[EVENT_LINE_CAP];

        if (strncmp(item->id, from, (size_t)(star - from)) != 0 || (which == 'w' && !item->is_waivable) || (which == 'b' && item->is_waivable))
            continue;
        n++;
        (void)snprintf(full, sizeof full, "%.*s%s%s", (int)(from - line), line, item->id, star + (is_one ? 2 : 1));
        (void)fed_event(full);
    }
}

static inline void fed_line(char *line)
{
    char full[EVENT_LINE_CAP * 2], *arrow = strstr(line, " -> "), *star;

    if (arrow != NULL)
        *arrow = '\0';
    if (line[0] == '+') {
        const char *blank = strchr(line, ' ');
        int64_t ms = fed.time_ms + (int64_t)(strtod(line + 1, NULL) * 1000.0 + 0.5);

        ck_assert_ptr_nonnull(blank);
        (void)snprintf(full, sizeof full, "%" PRId64 ".%03d%s", ms / 1000, (int)(ms % 1000), blank);
        fed.time_ms = ms;
    } else {
        (void)snprintf(full, sizeof full, "%s", line);
    }
    for (char *end = full + strlen(full); end > full && end[-1] == ' ';)
        *--end = '\0';
    star = strstr(full, ".*");
    if (star != NULL && strchr(full, '"') == NULL)
        fed_star(full, star + 1);
    else
        (void)fed_event(full);
}

static inline void fed_script(const char *path, int depth)
{
    char line[4096];
    FILE *f = depth > 8 ? NULL : fopen(path, "r");

    ck_assert_msg(f != NULL, "cannot read %s", path);
    while (fgets(line, sizeof line, f) != NULL) {
        line[strcspn(line, "\r\n")] = '\0';
        if (line[0] == '\0' || line[0] == '#' || strncmp(line, "= ", 2) == 0)
            continue;
        if (strncmp(line, "include ", 8) == 0) {
            char part[700];

            (void)snprintf(part, sizeof part, "%s/tests/engine/scripts/common/%.200s", TEST_SOURCE_DIR, line + 8);
            fed_script(part, depth + 1);
        } else if (strncmp(line, "protocol-key ", 13) == 0) {
            fed_key(line);
        } else if (strncmp(line, "allow ", 6) == 0) {
            fed.p.is_waivable[rule_named(line + 6)] = true;
        } else if (strncmp(line, "critical ", 9) == 0) {
            fed_critical(line + 9);
        } else if (line[0] == '+' || (line[0] >= '0' && line[0] <= '9')) {
            fed_line(line);
        }
    }
    (void)fclose(f);
}

/* A script of that name, whole, with the end told. */
static inline void fed_named(const char *name, int64_t opened_unix_ms)
{
    char path[700];

    fed_begin(opened_unix_ms);
    (void)snprintf(path, sizeof path, "%s/tests/engine/scripts/%s.script", TEST_SOURCE_DIR, name);
    fed_script(path, 0);
}

/* Lines of a log; each with its own time. */
static inline void fed_lines(const char *const lines[], int n)
{
    for (int i = 0; i < n; i++) {
        char line[EVENT_LINE_CAP];

        (void)snprintf(line, sizeof line, "%s", lines[i]);
        fed_line(line);
    }
}
#define FEED(...) \
    fed_lines((const char *const[]){ __VA_ARGS__ }, (int)(sizeof((const char *const[]){ __VA_ARGS__ }) / sizeof(char *)))

/* The rows from..to as one text, with single blanks; value behind each row's text. */
static inline const char *fed_text(int from, int to)
{
    static char out[TIMELINE_ROWS_MAX * 220];
    size_t len = 0;

    for (int i = from; i < to && i < fed.t.row_count; i++)
        for (int part = 0; part < 2; part++) {
            const char *c = part == 0 ? fed.t.rows[i].text : fed.t.rows[i].value;

            for (; *c != '\0'; c++)
                if (*c != ' ' || (len > 0 && out[len - 1] != ' '))
                    out[len++] = *c;
            if (len > 0 && out[len - 1] != ' ')
                out[len++] = ' ';
        }
    out[len] = '\0';
    return out;
}

/* The first row from here on that holds these words; -1 none. */
static inline int fed_row(const char *words, int from)
{
    for (int i = from; i < fed.t.row_count; i++)
        if (strstr(fed.t.rows[i].text, words) != NULL)
            return i;
    return -1;
}

/* Said in one row, or going on in the next. A failure shows the last rows. */
#define ck_row(words)                                                                                   \
    ck_assert_msg(strstr(fed_text(0, fed.t.row_count), (words)) != NULL, "no row says: %s\n...%.1500s", \
                  (words), fed_text(fed.t.row_count > 20 ? fed.t.row_count - 20 : 0, fed.t.row_count))
#define ck_no_row(words) ck_assert_msg(fed_row((words), 0) < 0, "a row says: %s", fed.t.rows[fed_row((words), 0)].text)

#endif
