/* SPDX-License-Identifier: GPL-3.0-or-later */
/** @file replay.c  The verb `replay`: an event log in, one answer a line out. */
#include "command/replay.h"

#include <errno.h>
#include <stdlib.h>
#include <string.h>

#include "command/command.h"
#include "command/workplace.h"
#include "config/protocols.h"
#include "stillarm/average.h"
#include "store/store.h"

void replay_init(struct replay *r, replay_find_fn find, const void *user)
{
    *r = (struct replay){ .find = find, .user = user };
    sitting_init(&r->sitting);
}

static const char *or_dash(const char *s)
{
    return s[0] ? s : "-";
}

static void answer_event(struct replay *r, const struct event *ev, FILE *out)
{
    struct refusal why = { 0 };
    const struct protocol *p = r->protocol;
    if (!p && ev->kind == EV_PROTOCOL && r->find)
        p = r->find(r->user, ev->item);
    if (sitting_apply(&r->sitting, p, ev, &why)) {
        char printed[EVENT_LINE_CAP];
        event_print(ev, printed);
        fprintf(out, "ok\t%ld\t%s\n", r->line, printed);
        r->protocol = p;
        return;
    }
    fprintf(out, "no\t%ld\t%s\t%s\t%s\t%s\n", r->line, rule_id(why.rule), or_dash(why.have), or_dash(why.need),
            or_dash(why.sentence));
}

void replay_line(struct replay *r, const char *line, size_t len, FILE *out)
{
    struct event ev;
    struct syntax_error why = { 0 };
    r->line++;
    switch (event_parse(line, len, &ev, &why)) {
    case PARSED_NOTHING:
        break;
    case PARSED_EVENT:
        answer_event(r, &ev, out);
        break;
    case PARSED_ERROR:
        r->has_syntax_error = true;
        fprintf(out, "no\t%ld\tsyntax\tcolumn %d\t-\t%s\n", r->line, why.column, or_dash(why.text));
        break;
    }
}

static void print_open(const struct sitting *s, const struct protocol *p, FILE *out)
{
    enum { MISSING_MAX = PROTOCOL_ITEMS_MAX + 64 };
    struct missing missing[MISSING_MAX];
    int n = sitting_missing(s, p, s->now_ms, missing, MISSING_MAX);
    for (int i = 0; i < n && i < MISSING_MAX; i++)
        fprintf(out, "open\t%s\t%s\n", step_word(missing[i].step), missing[i].what);
}

static void print_averages(const struct sitting *s, const struct protocol *p, FILE *out)
{
    for (int arm = ARM_LEFT; arm < ARM_COUNT; arm++) {
        struct average a;
        if (!sitting_average(s, p, (enum arm)arm, &a))
            continue;
        int systolic = average_x100(a.systolic_sum_mmhg, a.n), diastolic = average_x100(a.diastolic_sum_mmhg, a.n);
        fprintf(out, "average\t%s\t%d.%02d\t%d.%02d\t%d\n", ARM_WORDS[arm], systolic / 100, systolic % 100,
                diastolic / 100, diastolic % 100, (int)a.n);
    }
}

static void print_lapses(const struct sitting *s, const struct protocol *p, FILE *out)
{
    struct assessment a;
    for (int i = 0; i < s->lapse_count && i < LAPSES_MAX; i++) {
        const struct lapse *l = &s->lapses[i];
        fprintf(out, "lapse\t%d\t%lld.%03d\t%s\t%s\t%s\t%s\n", i + 1, (long long)(l->t_ms / 1000),
                (int)(l->t_ms % 1000), rule_id((enum rule)l->rule), l->item ? p->items[l->item - 1].id : "-",
                or_dash(l->have), or_dash(l->need));
        if (l->is_struck)
            fprintf(out, "struck\t%d\t%s\n", i + 1, l->why);
    }
    if (sitting_assess(s, p, &a))
        fprintf(out, "result\t%s\t%d\t%d\t%d\n", a.has_passed ? "passed" : "not-passed", a.lapses, a.critical, a.unseen);
}

static const char *state_word(const struct sitting *s, const struct protocol *p)
{
    if (s->phase == PHASE_SEALED)
        return "sealed";
    if (s->phase == PHASE_STOPPED)
        return "stopped";
    return p && sitting_is_sealable(s, p, s->now_ms) ? "sealable" : "open";
}

void replay_print_state(const struct sitting *s, const struct protocol *p, FILE *out)
{
    if (!p) {
        fprintf(out, "open\t%s\tprotocol\nstate\topen\n", step_word(STEP_OPENING));
        return;
    }
    if (s->phase == PHASE_OPEN)
        print_open(s, p, out);
    for (int i = 0; i < s->reading_count; i++) {
        char line[400];
        store_reading_line(s, i, line, sizeof line);
        fprintf(out, "reading\t%s\n", line);
    }
    print_averages(s, p, out);
    unsigned remarks = sitting_remarks(s, p);
    for (unsigned i = 0; i < SITTING_REMARK_COUNT; i++)
        if (remarks & (1u << i))
            fprintf(out, "remark\t%s\n", SITTING_REMARK_WORDS[i]);
    print_lapses(s, p, out);
    fprintf(out, "state\t%s\n", state_word(s, p));
}

int replay_end(const struct replay *r, FILE *out)
{
    replay_print_state(&r->sitting, r->protocol, out);
    if (r->has_syntax_error)
        return EXIT_USAGE;
    return strcmp(r->protocol ? state_word(&r->sitting, r->protocol) : "open", "open") == 0 ? EXIT_UNFINISHED
                                                                                             : EXIT_FINE;
}

int replay_stream(struct replay *r, const char *name, FILE *in, FILE *out)
{
    char *line = NULL;
    size_t cap = 0;
    ssize_t len;
    errno = 0;
    while ((len = getline(&line, &cap, in)) >= 0) {
        replay_line(r, line, (size_t)len, out);
        errno = 0;
    }
    int failed = ferror(in) || errno == ENOMEM ? errno : 0;
    free(line);
    int status = replay_end(r, out);
    if (!failed)
        return status;
    fflush(out);
    fprintf(stderr, "stillarm: %s: reading failed after line %ld: %s. The answer covers the lines before it.\n", name,
            r->line, strerror(failed));
    return EXIT_USAGE;
}

static const struct protocol *find_loaded(const void *user, const char *id)
{
    return protocols_find(user, id);
}

int verb_replay(const struct command_line *line)
{
    const char *name = line->word_count > 0 ? line->words[0] : "-";
    bool is_stdin = strcmp(name, "-") == 0;
    struct protocols ps = { 0 };
    struct err e = { 0 };
    struct replay r;
    int status;
    FILE *in = is_stdin ? stdin : fopen(name, "rb");
    if (!in) {
        fprintf(stderr, "stillarm: %s cannot be read: %s. Give the path of an event log, or - for standard input.\n",
                name, strerror(errno));
        return EXIT_USAGE;
    }
    if (protocols_load(line->value[OPTION_PROTOCOL_DIR], &ps, &e) != ST_OK) {
        command_fail(&e);
        status = EXIT_FILES; /* whatever was wrong, it was the protocols and not the log */
    } else {
        workplace_say_faults(&ps);
        replay_init(&r, find_loaded, &ps);
        status = replay_stream(&r, is_stdin ? "standard input" : name, in, stdout);
    }
    protocols_free(&ps);
    if (!is_stdin)
        fclose(in);
    return status;
}
