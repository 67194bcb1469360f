/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "run_script.h"

#include <inttypes.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "check_state.h"
#include "hand.h"
#include "oracle.h"
#include "script_expect.h"

#define LOG_MAX 4000

static bool starts(const char *s, const char *with)
{
    return strncmp(s, with, strlen(with)) == 0;
}

/* ---- events ---- */

static bool take_protocol(struct runner *r, const struct event *ev)
{
    if (ev->kind != EV_PROTOCOL || r->has_protocol) {
        return true;
    }
    const struct protocol *found = asset_protocol(ev->item);
    if (found != NULL) {
        r->p = *found;
        r->has_protocol = true;
    }
    return true;
}

static void note_coverage(struct runner *r)
{
    for (int i = 0; i < r->s.reading_count; i++) {
        r->cov->voids |= r->s.readings[i].voids;
        r->cov->notes |= r->s.readings[i].notes;
    }
}

static bool after_accepted(struct runner *r, const struct event *ev, const struct sitting *before)
{
    char why[400];
    if (r->log_count == LOG_MAX) {
        return script_fail(r, "script too long");
    }
    r->log[r->log_count++] = *ev;
    r->cov->events++;
    note_coverage(r);
    oracle_take(&r->oracle, &r->p, ev, before);
    if (!state_holds(&r->s, &r->p, why, sizeof why) ||
        !oracle_agrees(&r->oracle, &r->p, &r->s, why, sizeof why)) {
        return script_fail(r, "%s", why);
    }
    return true;
}

static bool one_event(struct runner *r, const char *line, const char *want)
{
    struct event ev;
    struct syntax_error bad = {.column = 0};
    struct sitting before;
    struct refusal no;
    char why[700];
    bool accepted = false;
    enum parsed parsed = event_parse(line, strlen(line), &ev, &bad);
    if (parsed != PARSED_EVENT || strcmp(want, "syntax") == 0) {
        return (parsed == PARSED_ERROR && strcmp(want, "syntax") == 0) ||
               script_fail(r, "`%s`: column %d: %s", line, bad.column,
                           parsed == PARSED_EVENT ? "parses" : bad.text);
    }
    (void)take_protocol(r, &ev);
    if (!apply_watched(&r->s, r->has_protocol ? &r->p : NULL, &ev, &accepted, &no, &before, why,
                       sizeof why)) {
        return script_fail(r, "`%s`: %s", line, why);
    }
    if (accepted) {
        if (strcmp(want, "ok") != 0) {
            return script_fail(r, "`%s` is accepted, expected: %s", line, want);
        }
        return after_accepted(r, &ev, &before);
    }
    r->cov->rules[no.rule]++;
    r->cov->refusals++;
    /* `no RULE`, or with what there is and what is needed: `no RULE (HAVE; NEED)` */
    char bare[120], full[400];
    (void)snprintf(bare, sizeof bare, "no %s", rule_id(no.rule));
    (void)snprintf(full, sizeof full, "no %s (%s; %s)", rule_id(no.rule), no.have, no.need);
    if (strcmp(want, bare) != 0 && strcmp(want, full) != 0) {
        return script_fail(r, "`%s` is refused %s (%s), expected: %s", line, full, no.sentence, want);
    }
    return true;
}

/* `confirm kit.*` and its like: one event for each item that the star stands for. */
static bool starred(struct runner *r, const char *line, const char *star, const char *want)
{
    const char *from = star;
    while (from > line && from[-1] != ' ') {
        from--;
    }
    size_t prefix = (size_t)(star - from);
    char which = star[1];
    const char *rest = which == '1' || which == 'w' || which == 'b' ? star + 2 : star + 1;
    bool is_one = rest == star + 2, done = false;
    for (int i = 0; i < r->p.item_count && !(is_one && done); i++) {
        const struct protocol_item *item = &r->p.items[i];
        bool fits = strncmp(item->id, from, prefix) == 0 && !(which == 'w' && !item->is_waivable) &&
                    !(which == 'b' && item->is_waivable);
        if (!fits) {
            continue;
        }
        char full[EVENT_LINE_CAP];
        (void)snprintf(full, sizeof full, "%.*s%s%s", (int)(from - line), line, item->id, rest);
        done = true;
        if (!one_event(r, full, want)) {
            return false;
        }
    }
    return done || strncmp(from, "close.", 6) == 0 || script_fail(r, "no item for `%s`", line);
}

static bool event_line(struct runner *r, char *line)
{
    char *arrow = strstr(line, " -> ");
    const char *want = "ok";
    if (arrow != NULL) {
        *arrow = '\0';
        want = arrow + 4;
    }
    for (char *end = line + strlen(line); end > line && end[-1] == ' ';) {
        *--end = '\0';
    }
    char full[EVENT_LINE_CAP * 2];
    if (line[0] == '+') {
        int64_t step = 0;
        char *blank = strchr(line, ' ');
        if (blank == NULL || !script_parse_ms(line + 1, &step)) {
            return script_fail(r, "not a time: %s", line);
        }
        r->time += step;
        (void)snprintf(full, sizeof full, "%" PRId64 ".%03d%s", r->time / 1000, (int)(r->time % 1000), blank);
    } else {
        (void)script_parse_ms(line, &r->time);
        (void)snprintf(full, sizeof full, "%s", line);
    }
    char *star = strstr(full, ".*");
    bool is_quoted = star != NULL && strchr(full, '"') != NULL && strchr(full, '"') < star;
    return star != NULL && !is_quoted ? starred(r, full, star + 1, want) : one_event(r, full, want);
}

static bool set_key(struct runner *r, char *line)
{
    char *w[WORDS_MAX] = {NULL};
    int n = script_split(line, w);
    for (int key = 0; n == 3 && key < KEY_COUNT; key++) {
        if (strcmp(PROTOCOL_KEYS[key].name, w[1]) != 0) {
            continue;
        }
        for (int i = 0; PROTOCOL_KEYS[key].words != NULL && i <= PROTOCOL_KEYS[key].high; i++) {
            if (strcmp(PROTOCOL_KEYS[key].words[i], w[2]) == 0) {
                r->p.value[key] = i;
                return true;
            }
        }
        r->p.value[key] = atoi(w[2]);
        return true;
    }
    return script_fail(r, "no protocol key is called %s", n > 1 ? w[1] : "");
}

/* `allow RULE`: the protocol of this script marks that rule waivable. */
static bool allow_rule(struct runner *r, const char *id)
{
    enum rule rule = rule_named(id);
    r->p.is_waivable[rule] = true;
    return (rule != RULE_NONE && rule_may_be_waivable(rule)) ||
           script_fail(r, "%s may never be waivable", id);
}

/* `critical ID`: before a witness a lapse of this rule or item is critical in the protocol of this script. `none`
 * first takes all back that the file has. */
static bool make_critical(struct runner *r, const char *id)
{
    if (strcmp(id, "none") == 0) {
        memset(r->p.is_critical, 0, sizeof r->p.is_critical);
        for (int i = 0; i < r->p.item_count; i++) {
            r->p.items[i].is_critical = false;
        }
        return true;
    }
    int item = protocol_find_item(&r->p, id);
    if (item >= 0) {
        r->p.items[item].is_critical = true;
    } else {
        r->p.is_critical[rule_named(id)] = true;
    }
    return item >= 0 || rule_may_lapse(rule_named(id)) || script_fail(r, "%s is never a lapse", id);
}

static bool run_file(struct runner *r, const char *path, int depth);

static bool one_line(struct runner *r, char *line, int depth)
{
    if (line[0] == '\0' || line[0] == '#') {
        return true;
    }
    if (starts(line, "= ")) {
        return script_expect(r, line + 2);
    }
    if (starts(line, "protocol-key ")) {
        return set_key(r, line);
    }
    if (starts(line, "allow ")) {
        return allow_rule(r, line + 6);
    }
    if (starts(line, "critical ")) {
        return make_critical(r, line + 9);
    }
    if (starts(line, "include ")) {
        char path[600], was[sizeof r->where];
        memcpy(was, r->where, sizeof was);
        (void)snprintf(path, sizeof path, "%s/tests/engine/scripts/common/%.200s", TEST_SOURCE_DIR, line + 8);
        bool ok = run_file(r, path, depth + 1);
        memcpy(r->where, was, sizeof was);
        return ok;
    }
    return event_line(r, line);
}

static bool run_file(struct runner *r, const char *path, int depth)
{
    char line[4096];
    const char *name = strrchr(path, '/');
    FILE *f = depth > 8 ? NULL : fopen(path, "r");
    if (f == NULL) {
        return script_fail(r, "cannot read %s", path);
    }
    bool ok = true;
    for (int n = 1; ok && fgets(line, sizeof line, f) != NULL; n++) {
        line[strcspn(line, "\r\n")] = '\0';
        (void)snprintf(r->where, sizeof r->where, "%s:%d", name == NULL ? path : name + 1, n);
        ok = one_line(r, line, depth);
    }
    (void)fclose(f);
    return ok;
}

/* Replay through the text form: what was accepted, printed, parsed and applied again must give an equal
 * state. */
static bool replays_equal(struct runner *r)
{
    struct sitting again;
    sitting_init(&again);
    for (int i = 0; i < r->log_count; i++) {
        char line[EVENT_LINE_CAP];
        struct event ev;
        struct refusal no;
        size_t len = event_print(&r->log[i], line);
        if (event_parse(line, len, &ev, NULL) != PARSED_EVENT) {
            return script_fail(r, "does not parse again: %s", line);
        }
        if (!sitting_apply(&again, &r->p, &ev, &no)) {
            return script_fail(r, "replay refuses `%s`: %s", line, rule_id(no.rule));
        }
    }
    return sitting_equal(&again, &r->s) || script_fail(r, "replay gives another state");
}

bool run_script(const char *path, struct coverage *cov, char *why, size_t cap)
{
    struct coverage own = {.events = 0};
    struct runner *r = calloc(1, sizeof *r);
    struct event *log = calloc(LOG_MAX, sizeof *log);
    bool ok = false;
    if (r != NULL && log != NULL) {
        r->log = log;
        r->cov = cov == NULL ? &own : cov;
        r->why = why;
        r->cap = cap;
        sitting_init(&r->s);
        oracle_init(&r->oracle);
        ok = run_file(r, path, 0) && replays_equal(r);
    }
    free(log);
    free(r);
    return ok;
}
