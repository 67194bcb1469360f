/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "script_expect.h"

#include <inttypes.h>
#include <stdarg.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

bool script_fail(struct runner *r, const char *format, ...)
{
    char text[900];
    va_list ap;
    va_start(ap, format);
    (void)vsnprintf(text, sizeof text, format, ap);
    va_end(ap);
    (void)snprintf(r->why, r->cap, "%s: %s", r->where, text);
    return false;
}

int script_split(char *line, char *words[WORDS_MAX])
{
    int n = 0;
    for (char *w = strtok(line, " \t"); w != NULL && n < WORDS_MAX; w = strtok(NULL, " \t")) {
        words[n++] = w;
    }
    return n;
}

bool script_parse_ms(const char *s, int64_t *out)
{
    int64_t whole = 0;
    int digits = 0;
    const char *c = s;
    for (; *c >= '0' && *c <= '9'; c++) {
        whole = whole * 10 + (*c - '0');
    }
    if (*c != '.') {
        return false;
    }
    for (c++; *c >= '0' && *c <= '9'; c++, digits++) {
        whole = whole * 10 + (*c - '0');
    }
    *out = whole;
    return digits == 3 && (*c == '\0' || *c == ' ');
}

static void join_words(unsigned bits, const char *const *words, int count, char *out, size_t cap)
{
    out[0] = '\0';
    for (int i = 0; i < count; i++) {
        if ((bits & (1u << i)) != 0) {
            size_t len = strlen(out);
            (void)snprintf(out + len, cap - len, "%s%s", len > 0 ? "," : "", words[i]);
        }
    }
    if (out[0] == '\0') {
        (void)snprintf(out, cap, "-");
    }
}

static void put_value(const struct reading *r, int point, char out[12])
{
    if (r->has_value[point]) {
        (void)snprintf(out, 12, "%d", (int)r->value_mmhg[point]);
    } else {
        (void)snprintf(out, 12, "-");
    }
}

static bool expect_reading(struct runner *r, char *words[], int n)
{
    int index = n == 9 ? atoi(words[1]) - 1 : -1;
    if (index < 0 || index >= r->s.reading_count) {
        return script_fail(r, "no such reading, or not nine words");
    }
    const struct reading *x = &r->s.readings[index];
    char first[12], muffling[12], last[12], voids[200], notes[200], got[600], want[600] = "";
    const char *stance = x->is_standing ? (x->notes != 0 ? "standing," : "standing") : "";
    put_value(x, POINT_FIRST, first);
    put_value(x, POINT_MUFFLING, muffling);
    put_value(x, POINT_LAST, last);
    join_words(x->voids, VOID_REASON_WORDS, VOID_REASON_COUNT, voids, sizeof voids);
    join_words(x->notes, READING_REMARK_WORDS, READING_REMARK_COUNT, notes, sizeof notes);
    (void)snprintf(got, sizeof got, "%d %s %s %s %s %s %s %s%s", index + 1, ARM_WORDS[x->arm], first,
                   muffling, last,
                   reading_is_counted(x) ? "counted"
                   : x->is_done          ? "void"
                                         : "open",
                   voids, stance, x->is_standing && x->notes == 0 ? "" : notes);
    for (int i = 1; i < n; i++) {
        size_t len = strlen(want);
        (void)snprintf(want + len, sizeof want - len, "%s%s", i > 1 ? " " : "", words[i]);
    }
    return strcmp(got, want) == 0 || script_fail(r, "reading is `%s`, expected `%s`", got, want);
}

static int arm_named(const char *word)
{
    for (int arm = ARM_NONE; arm < ARM_COUNT; arm++) {
        if (strcmp(word, ARM_WORDS[arm]) == 0) {
            return arm;
        }
    }
    return ARM_NONE;
}

static bool expect_average(struct runner *r, char *words[], int n)
{
    struct average a = {.n = 0};
    if (!sitting_average(&r->s, &r->p, (enum arm)arm_named(words[1]), &a)) {
        return script_fail(r, "no average, expected one");
    }
    char got[80];
    int sys = average_x100(a.systolic_sum_mmhg, a.n), dia = average_x100(a.diastolic_sum_mmhg, a.n);
    (void)snprintf(got, sizeof got, "%d.%02d %d.%02d %d", sys / 100, sys % 100, dia / 100, dia % 100,
                   (int)a.n);
    char want[80];
    (void)snprintf(want, sizeof want, "%s %s %s", n > 2 ? words[2] : "", n > 3 ? words[3] : "",
                   n > 4 ? words[4] : "");
    return strcmp(got, want) == 0 || script_fail(r, "average is %s, expected %s", got, want);
}

static bool expect_no_average(struct runner *r, char *words[])
{
    struct average a;
    return !sitting_average(&r->s, &r->p, (enum arm)arm_named(words[2]), &a) ||
           script_fail(r, "there is an average on that arm");
}

static bool expect_remark(struct runner *r, const char *word, bool wanted)
{
    unsigned bits = sitting_remarks(&r->s, &r->p);
    for (int i = 0; i < SITTING_REMARK_COUNT; i++) {
        if (strcmp(word, SITTING_REMARK_WORDS[i]) == 0) {
            bool has = (bits & (1u << i)) != 0;
            r->cov->remarks |= has ? 1u << i : 0;
            return has == wanted || script_fail(r, "remark %s is %sthere", word, has ? "" : "not ");
        }
    }
    return script_fail(r, "no remark is called %s", word);
}

static const char *state_word(const struct runner *r)
{
    if (r->s.phase == PHASE_SEALED) {
        return "sealed";
    }
    if (r->s.phase == PHASE_STOPPED) {
        return "stopped";
    }
    return r->s.phase == PHASE_OPEN && sitting_is_sealable(&r->s, &r->p, r->s.now_ms) ? "sealable" : "open";
}

static bool expect_state(struct runner *r, const char *want)
{
    const char *got = state_word(r);
    return strcmp(got, want) == 0 || script_fail(r, "state is %s, expected %s", got, want);
}

static bool expect_step(struct runner *r, const char *step, const char *want)
{
    static const char *const WORDS[] = {"locked", "open", "done"};
    for (int i = STEP_OPENING; i < STEP_COUNT; i++) {
        if (strcmp(step, step_word((enum step)i)) == 0) {
            const char *got = WORDS[sitting_step_state(&r->s, &r->p, (enum step)i, r->s.now_ms)];
            return strcmp(got, want) == 0 || script_fail(r, "step %s is %s, expected %s", step, got, want);
        }
    }
    return script_fail(r, "no step is called %s", step);
}

static bool expect_missing(struct runner *r, const char *step, const char *what, bool wanted)
{
    struct missing list[128];
    char all[600] = "";
    int n = sitting_missing(&r->s, &r->p, r->s.now_ms, list, 128);
    bool has = false;
    for (int i = 0; i < n && i < 128; i++) {
        has = has || (strcmp(step_word(list[i].step), step) == 0 &&
                      (*what == '*' || strcmp(list[i].what, what) == 0));
        size_t len = strlen(all);
        (void)snprintf(all + len, sizeof all - len, " %s/%s", step_word(list[i].step), list[i].what);
    }
    return has == wanted ||
           script_fail(r, "%s %s is %smissing; missing are:%s", step, what, has ? "" : "not ", all);
}

static bool expect_int(struct runner *r, const char *name, int got, const char *want)
{
    return got == atoi(want) || script_fail(r, "%s is %d, expected %s", name, got, want);
}

static bool expect_wake(struct runner *r, const char *want)
{
    int64_t wake = -1, ms = -1;
    bool has = sitting_next_wake(&r->s, &r->p, r->s.now_ms, &wake);
    if (strcmp(want, "none") == 0) {
        return !has || script_fail(r, "wakes at %" PRId64 " ms, expected never", wake);
    }
    if (!script_parse_ms(want, &ms)) {
        return script_fail(r, "not a time: %s", want);
    }
    return (has && wake == ms) || script_fail(r, "wakes at %" PRId64 " ms, expected %s", wake, want);
}

static bool expect_inflate_from(struct runner *r, const char *kind, const char *want)
{
    int64_t ms = -1;
    enum inflation_phase k = strcmp(kind, "listen") == 0 ? INFLATION_LISTEN : INFLATION_PALPATE;
    int64_t got = sitting_inflate_from_ms(&r->s, &r->p, k);
    return (script_parse_ms(want, &ms) && got == ms) ||
           script_fail(r, "%s may begin at %" PRId64 " ms, expected %s", kind, got, want);
}

/* ---- assertions that compare one answer of the engine with the rest of the line ---- */

static const char *yes_no(bool is)
{
    return is ? "yes" : "no";
}

static void put_alarm(const struct runner *r, char *out, size_t cap)
{
    static const char *const WORDS[] = {"none", "low", "high"};
    (void)snprintf(out, cap, "%s", WORDS[sitting_alarm(&r->s, &r->p)]);
}

static void put_owed(const struct runner *r, char *out, size_t cap)
{
    (void)snprintf(out, cap, "%s", yes_no(r->s.is_severe_open));
}

static void put_wants_repeat(const struct runner *r, char *out, size_t cap)
{
    (void)snprintf(out, cap, "%s", yes_no(sitting_wants_repeat(&r->s, &r->p)));
}

static void put_lack(const struct runner *r, char *out, size_t cap)
{
    enum rule lack = sitting_readings_lack(&r->s, &r->p);
    (void)snprintf(out, cap, "%s", lack == RULE_NONE ? "-" : rule_id(lack));
}

static void put_in_use(const struct runner *r, char *out, size_t cap)
{
    (void)snprintf(out, cap, "%s", ARM_WORDS[r->s.arm]);
}

static void put_standing(const struct runner *r, char *out, size_t cap)
{
    (void)snprintf(out, cap, "%s", yes_no(r->s.is_standing));
}

static void put_standing_counted(const struct runner *r, char *out, size_t cap)
{
    (void)snprintf(out, cap, "%d", sitting_standing_counted(&r->s));
}

static void put_standing_from(const struct runner *r, char *out, size_t cap)
{
    int64_t ms = sitting_standing_from_ms(&r->s, &r->p);
    (void)snprintf(out, cap, "%" PRId64 ".%03d", ms / 1000, (int)(ms % 1000));
}

static void put_drop(const struct runner *r, char *out, size_t cap)
{
    int32_t sys = 0, dia = 0;
    if (!sitting_drop_x100(&r->s, &r->p, &sys, &dia)) {
        (void)snprintf(out, cap, "none");
        return;
    }
    (void)snprintf(out, cap, "%s%d.%02d %s%d.%02d", sys < 0 ? "-" : "", abs(sys) / 100, abs(sys) % 100,
                   dia < 0 ? "-" : "", abs(dia) / 100, abs(dia) % 100);
}

static void put_cuff_notes(const struct runner *r, char *out, size_t cap)
{
    static const char *const WORDS[] = {"narrow", "short", "gap"};
    join_words(sitting_cuff_notes(&r->s, &r->p), WORDS, (int)ARRAY_LEN(WORDS), out, cap);
}

static void put_result(const struct runner *r, char *out, size_t cap)
{
    struct assessment a;
    if (!sitting_assess(&r->s, &r->p, &a)) {
        (void)snprintf(out, cap, "none");
        return;
    }
    (void)snprintf(out, cap, "%s %d %d %d", a.has_passed ? "passed" : "not-passed", a.lapses, a.critical,
                   a.unseen);
}

/* `3 rest.short - reading 1`: how many lapses there are, and what the latest of them says. */
static void put_lapses(const struct runner *r, char *out, size_t cap)
{
    int n = r->s.lapse_count;
    const struct lapse *l = n > 0 && n <= LAPSES_MAX ? &r->s.lapses[n - 1] : NULL;
    (void)snprintf(out, cap, "%d", n);
    if (l != NULL) {
        (void)snprintf(out, cap, "%d %s %s", n, rule_id((enum rule)l->rule),
                       l->item > 0 ? r->p.items[l->item - 1].id : "-");
    }
}

static const struct {
    const char *name;
    void (*put)(const struct runner *, char *, size_t);
} ANSWERS[] = {
    {"alarm", put_alarm},
    {"owed", put_owed},
    {"wants-repeat", put_wants_repeat},
    {"lack", put_lack},
    {"in-use", put_in_use},
    {"standing", put_standing},
    {"standing-counted", put_standing_counted},
    {"standing-from", put_standing_from},
    {"drop", put_drop},
    {"cuff-notes", put_cuff_notes},
    {"result", put_result},
    {"lapses", put_lapses},
};

/* False where the line is no question of this kind; else *holds says how it fared. */
static bool expect_answer(struct runner *r, const char *line, bool *holds)
{
    size_t len = strcspn(line, " ");
    for (size_t i = 0; i < ARRAY_LEN(ANSWERS); i++) {
        if (strlen(ANSWERS[i].name) != len || strncmp(line, ANSWERS[i].name, len) != 0) {
            continue;
        }
        char got[80];
        const char *want = line[len] == ' ' ? line + len + 1 : "";
        ANSWERS[i].put(r, got, sizeof got);
        *holds =
            strcmp(got, want) == 0 || script_fail(r, "%s is %s, expected %s", ANSWERS[i].name, got, want);
        return true;
    }
    return false;
}

/* `lapse N RULE ITEM READING (HAVE; NEED)`: the whole of one of them; ` struck (WHY)` where it was taken back. */
static bool expect_lapse(struct runner *r, const char *want)
{
    int n = atoi(want);
    if (n < 1 || n > r->s.lapse_count || n > LAPSES_MAX) {
        return script_fail(r, "there are %d lapses", (int)r->s.lapse_count);
    }
    char got[300];
    const struct lapse *l = &r->s.lapses[n - 1];
    (void)snprintf(got, sizeof got, "%d %s %s %d (%s; %s)", n, rule_id((enum rule)l->rule),
                   l->item > 0 ? r->p.items[l->item - 1].id : "-", (int)l->reading, l->have, l->need);
    if (l->is_struck) {
        size_t len = strlen(got);
        (void)snprintf(got + len, sizeof got - len, " struck (%s)", l->why);
    }
    return strcmp(got, want) == 0 || script_fail(r, "lapse is `%s`, expected `%s`", got, want);
}

bool script_expect(struct runner *r, char *line)
{
    bool holds = false;
    if (strncmp(line, "lapse ", 6) == 0) {
        return expect_lapse(r, line + 6);
    }
    if (expect_answer(r, line, &holds)) {
        return holds;
    }
    char *w[WORDS_MAX] = {NULL};
    int n = script_split(line, w);
    const char *kind = n > 0 ? w[0] : "";
    if (strcmp(kind, "reading") == 0) {
        return expect_reading(r, w, n);
    }
    if (strcmp(kind, "average") == 0 && n == 5) {
        return expect_average(r, w, n);
    }
    if (strcmp(kind, "no") == 0 && n == 3) {
        return strcmp(w[1], "average") == 0 ? expect_no_average(r, w) : expect_remark(r, w[2], false);
    }
    if (strcmp(kind, "not") == 0 && n == 4) {
        return expect_missing(r, w[2], w[3], false);
    }
    if (n == 3) {
        if (strcmp(kind, "step") == 0)
            return expect_step(r, w[1], w[2]);
        if (strcmp(kind, "missing") == 0)
            return expect_missing(r, w[1], w[2], true);
        if (strcmp(kind, "inflate-from") == 0)
            return expect_inflate_from(r, w[1], w[2]);
        enum arm arm = (enum arm)arm_named(w[1]);
        if (strcmp(kind, "counted") == 0)
            return expect_int(r, kind, sitting_counted(&r->s, arm), w[2]);
        if (strcmp(kind, "needed") == 0)
            return expect_int(r, kind, sitting_needed(&r->s, &r->p, arm), w[2]);
    }
    if (n == 2) {
        if (strcmp(kind, "remark") == 0)
            return expect_remark(r, w[1], true);
        if (strcmp(kind, "state") == 0)
            return expect_state(r, w[1]);
        if (strcmp(kind, "wake") == 0)
            return expect_wake(r, w[1]);
        if (strcmp(kind, "readings") == 0)
            return expect_int(r, kind, r->s.reading_count, w[1]);
        if (strcmp(kind, "floor") == 0)
            return expect_int(r, kind, sitting_floor_mmhg(&r->s, &r->p, NULL), w[1]);
        if (strcmp(kind, "arm-to-read") == 0) {
            const char *got = ARM_WORDS[sitting_arm_to_read(&r->s, &r->p)];
            return strcmp(got, w[1]) == 0 || script_fail(r, "arm to read is %s, expected %s", got, w[1]);
        }
        if (strcmp(kind, "rest") == 0) {
            bool is_good = sitting_rest_is_good(&r->s, &r->p, r->s.now_ms);
            return is_good == (strcmp(w[1], "good") == 0) ||
                   script_fail(r, "the rest is %s", is_good ? "good" : "lost");
        }
    }
    return script_fail(r, "not an assertion: %s", kind);
}
