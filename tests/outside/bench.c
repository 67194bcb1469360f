/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "outside/bench.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

struct protocols shipped;

int bench_run(Suite *suite)
{
    struct err e = {.code = ST_OK};
    if (protocols_load(TEST_SOURCE_DIR "/assets/protocols", &shipped, &e) != ST_OK ||
        shipped.fault_count > 0) {
        (void)fprintf(stderr, "%s\n", shipped.fault_count > 0 ? shipped.faults[0] : e.text);
        return EXIT_FAILURE;
    }
    int status = outside_run(suite);
    protocols_free(&shipped);
    return status;
}

const struct protocol *protocol_of(const char *id)
{
    const struct protocol *p = protocols_find(&shipped, id);
    ck_assert_msg(p != NULL, "%s is not there or not sound", id);
    return p;
}

bool try_line(struct bench *b, int64_t after_ms, const char *rest)
{
    char line[400];
    struct event ev;
    b->t_ms += after_ms;
    (void)snprintf(line, sizeof line, "%lld.%03d %s", (long long)(b->t_ms / 1000), (int)(b->t_ms % 1000),
                   rest);
    ck_assert_msg(event_parse(line, strlen(line), &ev, NULL) == PARSED_EVENT, "does not parse: %s", line);
    return sitting_apply(&b->s, b->p, &ev, &b->no);
}

void must(struct bench *b, int64_t after_ms, const char *rest)
{
    ck_assert_msg(try_line(b, after_ms, rest), "%s: `%s` is refused %s: %s", b->p->id, rest,
                  rule_id(b->no.rule), b->no.sentence);
}

static void confirm(struct bench *b, enum step step)
{
    for (int i = 0; i < b->p->item_count; i++) {
        if (b->p->items[i].step == step) {
            char line[80];
            (void)snprintf(line, sizeof line, "confirm %s", b->p->items[i].id);
            must(b, 100, line);
        }
    }
}

void confirm_cuff(struct bench *b)
{
    confirm(b, STEP_CUFF);
}

void turn_to(struct bench *b, const char *arm)
{
    char line[40];
    (void)snprintf(line, sizeof line, "arm %s", arm);
    must(b, 100, line);
    confirm(b, STEP_ARM);
}

static void open_visit(struct bench *b, const struct protocol *p, const char *const *visit, int visit_count,
                       const char *const *cuffs, int cuff_count)
{
    static const char *const OPENING[] = {"purpose service", "place \"booth 2\"", "gauge g2 300 20311231"};
    char line[80];
    memset(b, 0, sizeof *b);
    b->p = p;
    sitting_init(&b->s);
    (void)snprintf(line, sizeof line, "protocol %s", p->id);
    must(b, 0, line);
    must(b, 100, "date \"2031-03-02T14:04:10+01:00\"");
    must(b, 100, "measurer ana");
    must(b, 100, "subject k7-031");
    for (int i = 0; i < visit_count; i++)
        must(b, 100, visit[i]);
    for (size_t i = 0; i < ARRAY_LEN(OPENING); i++)
        must(b, 100, OPENING[i]);
    for (int i = 0; i < cuff_count; i++)
        must(b, 100, cuffs[i]);
    confirm(b, STEP_KIT);
    confirm(b, STEP_READINESS);
    confirm(b, STEP_POSTURE);
    turn_to(b, "left");
}

void open_sitting(struct bench *b, const struct protocol *p, const char *const *cuffs, int cuff_count)
{
    static const char *const RETURN[] = {"visit return", "prior-arm left"};
    open_visit(b, p, RETURN, 2, cuffs, cuff_count);
}

void open_first_sitting(struct bench *b, const struct protocol *p, const char *const *cuffs, int cuff_count)
{
    static const char *const FIRST[] = {"visit first"};
    open_visit(b, p, FIRST, 1, cuffs, cuff_count);
}

void rest_through(struct bench *b)
{
    confirm_cuff(b);
    must(b, 100, "rest begin");
    must(b, 300000, "rest end");
    must(b, 100, "pulse regular 70");
}

void make_ready(struct bench *b, const struct protocol *p)
{
    static const char *const CUFF[] = {"cuff adult 254 406"};
    open_sitting(b, p, CUFF, 1);
    must(b, 100, "circumference 300");
    must(b, 100, "wrap adult");
    rest_through(b);
}

void palpate(struct bench *b, int gone)
{
    char line[80];
    must(b, 100, "inflate palpate");
    (void)snprintf(line, sizeof line, "palpate gone %d", gone);
    must(b, 8000, line);
    must(b, 1000, "empty");
    must(b, 30000, "note \"settled\"");
}

void enter(struct bench *b, int target, int first, int last)
{
    char line[80];
    (void)snprintf(line, sizeof line, "target %d", target);
    must(b, 500, line);
    (void)snprintf(line, sizeof line, "value first %d", first);
    must(b, 500, line);
    (void)snprintf(line, sizeof line, "value last %d", last);
    must(b, 500, line);
    must(b, 500, "done");
}

void take_reading(struct bench *b, int target, int first, int last)
{
    must(b, 60000, "inflate listen");
    must(b, 60000, "empty");
    enter(b, target, first, last);
}
