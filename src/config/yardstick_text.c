/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "config/yardstick_text.h"

#include <string.h>

#include "config/category_text.h"
#include "config/fields.h"
#include "config/yardstick_asks.h"
#include "config/yardstick_file.h"
#include "config/yardstick_subject.h"
#include "stillarm/text.h"

#define SAY_ROOM ((int)sizeof(((struct criterion *)0)->say) - 1)
#define TITLE_ROOM ((int)sizeof(((struct yardstick *)0)->title) - 1)

enum section { SECTION_HEAD, SECTION_LEARNING, SECTION_CRITERION, SECTION_COUNT };
enum { F_SOURCE, F_STATUS, HEAD_ID = 0, HEAD_TITLE, HEAD_CATEGORIES, HEAD_PAIRS };
enum { LEARNING_VALUE = F_STATUS + 1 };
enum { CRITERION_SAY = F_STATUS + 1, CRITERION_OF, CRITERION_BY, CRITERION_AT_LEAST, CRITERION_AT_MOST };

static const struct field_row FIELDS[SECTION_COUNT][FIELDS_MAX] = {
    [SECTION_HEAD] = {[HEAD_ID] = {"id", true, 0},
                      [HEAD_TITLE] = {"title", true, TITLE_ROOM},
                      [HEAD_CATEGORIES] = {"categories", false, 0},
                      [HEAD_PAIRS] = {"pairs", true, 0}},
    [SECTION_LEARNING] = {[F_SOURCE] = {"source", true, 0},
                          [F_STATUS] = {"status", true, 0},
                          [LEARNING_VALUE] = {"value", true, 0}},
    [SECTION_CRITERION] = {[F_SOURCE] = {"source", true, 0},
                           [F_STATUS] = {"status", true, 0},
                           [CRITERION_SAY] = {"say", true, SAY_ROOM},
                           [CRITERION_OF] = {"of", true, 0},
                           [CRITERION_BY] = {"by", false, 0},
                           [CRITERION_AT_LEAST] = {"at-least", false, 0},
                           [CRITERION_AT_MOST] = {"at-most", false, 0}},
};

/* ---- a file ---- */

struct file {
    struct fields fields;
    const struct known *known;
    struct yardstick y;
    enum section section;
    enum plan_part part;
    bool is_open; /* the latest section has no fault of its own */
    int head_line, id_line;
    int part_line[PLAN_COUNT];
    int64_t part_value[PLAN_COUNT];
};

static bool open_head(struct file *x, int line)
{
    if (x->head_line)
        UNSOUND(&x->fields, line, ST_EXISTS, "the section [yardstick] is there already, on line %d.", x->head_line);
    else
        x->head_line = line;
    return x->head_line == line;
}

static bool open_learning(struct file *x, int line, const char *name)
{
    const enum plan_part part = plan_part_named(name);
    x->part = part;
    if (part == PLAN_NONE) {
        UNSOUND(&x->fields, line, ST_NOT_FOUND, "the learning curve has no such number; docs/yardstick-files.md lists them.");
        return false;
    }
    const enum plan_part instead = PLAN_PARTS[part].instead;
    if (x->part_line[part])
        UNSOUND(&x->fields, line, ST_EXISTS, "%s is there already, on line %d.", PLAN_PARTS[part].name, x->part_line[part]);
    else if (instead != PLAN_NONE && x->part_line[instead])
        UNSOUND(&x->fields, line, ST_EXISTS, "%s is given already, on line %d: one of the two.", PLAN_PARTS[instead].name,
                x->part_line[instead]);
    else
        x->part_line[part] = line;
    return x->part_line[part] == line;
}

static bool open_criterion(struct file *x, int line, const char *id)
{
    struct yardstick *y = &x->y;
    if (!is_item(id)) {
        UNSOUND(&x->fields, line, ST_SYNTAX, "a criterion's id is 1 to 32 letters, digits, points or hyphens.");
        return false;
    }
    for (int i = 0; i < y->criterion_count; i++)
        if (strcmp(y->criteria[i].id, id) == 0) {
            UNSOUND(&x->fields, line, ST_EXISTS, "%s is there already, on line %d.", id, (int)y->criteria[i].line);
            return false;
        }
    if (y->criterion_count == CRITERIA_MAX) {
        UNSOUND(&x->fields, line, ST_FULL, "there are more than %d criteria.", CRITERIA_MAX);
        return false;
    }
    struct criterion *c = &y->criteria[y->criterion_count++];
    (void)text_copy(c->id, sizeof c->id, id);
    c->line = line;
    return true;
}

static void close_head(struct file *x)
{
    struct fields *f = &x->fields;
    struct yardstick *y = &x->y;
    const char *id = f->text[HEAD_ID], *scheme = f->text[HEAD_CATEGORIES], *pairs = f->text[HEAD_PAIRS];
    x->id_line = fields_where(f, HEAD_ID);
    if (!is_item(id) || !text_copy(y->id, sizeof y->id, id))
        UNSOUND(f, x->id_line, ST_SYNTAX, "id must be 1 to 32 letters, digits, points or hyphens.");
    (void)text_copy(y->title, sizeof y->title, f->text[HEAD_TITLE]);
    y->is_preceptor_only = strcmp(pairs, "preceptors") == 0;
    if (!y->is_preceptor_only && strcmp(pairs, "anybody") != 0)
        UNSOUND(f, fields_where(f, HEAD_PAIRS), ST_SYNTAX, "pairs is preceptors or anybody.%s", beside(pairs));
    if (scheme[0] == '\0')
        return;
    if (!is_item(scheme) || !text_copy(y->categories, sizeof y->categories, scheme))
        UNSOUND(f, fields_where(f, HEAD_CATEGORIES), ST_SYNTAX, "categories is the id of one category scheme.%s",
                beside(scheme));
    else if (x->known->schemes && !schemes_find(x->known->schemes, x->known->scheme_count, scheme))
        UNSOUND(f, fields_where(f, HEAD_CATEGORIES), ST_NOT_FOUND, "there is no sound category scheme %s.", scheme);
}

/* ---- published is what the source publishes ---- */

static bool is_held(const struct file *x, const struct origin *o)
{
    return x->known->asks && o->standing == STANDING_PUBLISHED && o->source[0] != '\0';
}

static void refuse_published(struct file *x, int field, const char *subject, const struct ask *ask, const struct origin *o)
{
    char said[60];
    const int line = fields_where(&x->fields, field);
    if (!ask) {
        UNSOUND(&x->fields, line, ST_NOT_FOUND, "criteria.ini has nothing that %s publishes for %s. Write status = judgement.",
                o->source, subject);
        return;
    }
    ask_say(ask, said, sizeof said);
    UNSOUND(&x->fields, line, ST_RANGE, "%s publishes %s for %s%s. Write that, or status = judgement.", o->source, said, subject,
            ask->is_number ? "" : ", by value");
}

static void close_learning(struct file *x)
{
    static const int ORIGIN[PLAN_COUNT] = {[PLAN_INADEQUATE] = 1, [PLAN_REACH] = 2,       [PLAN_LOSE] = 3,
                                           [PLAN_HORIZON] = 4,    [PLAN_RIGHT_WITHIN] = 5, [PLAN_FALSE_REACH] = 2,
                                           [PLAN_FALSE_LOSS] = 3};
    struct origin *origin = &x->y.plan_origin[ORIGIN[x->part]];
    int64_t *value = &x->part_value[x->part];
    fields_origin(&x->fields, x->known, F_SOURCE, F_STATUS, origin);
    if (!yardstick_number(&x->fields, LEARNING_VALUE, &PLAN_PARTS[x->part].bounds, value) || !is_held(x, origin))
        return;
    const struct ask *ask = asks_find(x->known, PLAN_PARTS[x->part].name, origin->source);
    if (!ask || ask->bound != *value)
        refuse_published(x, LEARNING_VALUE, PLAN_PARTS[x->part].name, ask, origin);
}

/* ---- criteria ---- */

static void read_by(struct file *x, struct criterion *c)
{
    struct fields *f = &x->fields;
    const int line = fields_where(f, CRITERION_BY);
    int32_t by = BY_VALUE;
    if (f->line[CRITERION_BY] && !find_word(f->text[CRITERION_BY], CRITERION_BY_WORDS, CRITERION_BY_COUNT, &by))
        UNSOUND(f, line, ST_SYNTAX, "by is one of: value, low, high, size.%s", beside(f->text[CRITERION_BY]));
    else if ((by == BY_LOW || by == BY_HIGH) && !has_limits(c))
        UNSOUND(f, line, ST_RANGE, "%s has no limits: by is value here.", f->text[CRITERION_OF]);
    c->by = (enum criterion_by)by;
}

static bool read_bound(struct file *x, struct criterion *c, int64_t *bound)
{
    struct fields *f = &x->fields;
    const int least = f->line[CRITERION_AT_LEAST], most = f->line[CRITERION_AT_MOST];
    if (!least == !most) {
        UNSOUND(f, least ? (least > most ? least : most) : f->section_line, least ? ST_EXISTS : ST_NOT_FOUND,
                "a criterion has at-least or at-most, one of the two.");
        return false;
    }
    c->is_at_most = most != 0;
    if (!yardstick_number(f, most ? CRITERION_AT_MOST : CRITERION_AT_LEAST, &unit_row_of(c)->bounds, bound))
        return false;
    c->bound = as_double(*bound);
    return true;
}

/* A limit or a size that is asked for is not the value that the source speaks of. */
static void hold_criterion(struct file *x, struct criterion *c, int64_t bound)
{
    const struct fields *f = &x->fields;
    if (!x->known->asks || c->origin.source[0] == '\0')
        return;
    const struct ask *ask = asks_find(x->known, f->text[CRITERION_OF], c->origin.source);
    const bool is_same = ask && c->by == BY_VALUE && ask->bound == bound && ask->is_at_most == c->is_at_most;
    if (is_held(x, &c->origin) && !is_same) {
        refuse_published(x, c->about == ABOUT_REACHED ? CRITERION_OF : c->is_at_most ? CRITERION_AT_MOST : CRITERION_AT_LEAST,
                         f->text[CRITERION_OF], ask, &c->origin);
    } else if (ask && !is_same && ask->has_bound) {
        c->has_published = true;
        c->published_bound = as_double(ask->bound);
    }
}

static void close_criterion(struct file *x)
{
    struct fields *f = &x->fields;
    struct criterion *c = &x->y.criteria[x->y.criterion_count - 1];
    int64_t bound = 0;
    (void)text_copy(c->say, sizeof c->say, f->text[CRITERION_SAY]);
    fields_origin(f, x->known, F_SOURCE, F_STATUS, &c->origin);
    if (!find_about(f->text[CRITERION_OF], c)) {
        UNSOUND(f, fields_where(f, CRITERION_OF), ST_NOT_FOUND,
                "of names nothing that can be judged; docs/yardstick-files.md lists what can.%s",
                beside(f->text[CRITERION_OF]));
    } else if (c->about != ABOUT_REACHED) {
        read_by(x, c);
        if (read_bound(x, c, &bound))
            hold_criterion(x, c, bound);
    } else {
        hold_criterion(x, c, 0);
        for (int i = CRITERION_BY; i <= CRITERION_AT_MOST; i++)
            if (f->line[i])
                UNSOUND(f, f->line[i], ST_RANGE, "reached is so or not: it has no %s.", f->rows[i].name);
    }
}

/* ---- the whole ---- */

static void close_section(struct file *x)
{
    static void (*const CLOSE[SECTION_COUNT])(struct file *) = {
        [SECTION_HEAD] = close_head, [SECTION_LEARNING] = close_learning, [SECTION_CRITERION] = close_criterion};
    if (x->is_open && fields_are_sound(&x->fields))
        CLOSE[x->section](x);
    x->is_open = false;
}

static void on_section(void *user, int line, const char *name)
{
    struct file *x = user;
    const char *learning = behind(name, "learning"), *criterion = behind(name, "criterion");
    const bool is_head = strcmp(name, "yardstick") == 0;
    close_section(x);
    x->section = learning ? SECTION_LEARNING : criterion ? SECTION_CRITERION : SECTION_HEAD;
    fields_open(&x->fields, FIELDS[x->section], line);
    if (is_head)
        x->is_open = open_head(x, line);
    else if (learning)
        x->is_open = open_learning(x, line, learning);
    else if (criterion)
        x->is_open = open_criterion(x, line, criterion);
    else
        UNSOUND(&x->fields, line, ST_NOT_FOUND,
                "there is no such section; a section is [yardstick], [learning NAME] or [criterion ID].");
}

static void on_value(void *user, int line, const char *name, const char *value, bool is_more)
{
    struct file *x = user;
    if (x->is_open)
        fields_take(&x->fields, line, name, value, is_more);
}

static void check_whole(struct file *x)
{
    for (int i = 0; i < PLAN_COUNT; i++) {
        const enum plan_part instead = PLAN_PARTS[i].instead;
        if (i < PLAN_FALSE_REACH && !x->part_line[i] && (instead == PLAN_NONE || !x->part_line[instead]))
            UNSOUND(&x->fields, x->head_line, ST_NOT_FOUND, "the section [learning %s] is missing.", PLAN_PARTS[i].name);
    }
    if (x->part_line[PLAN_ADEQUATE] && x->part_line[PLAN_INADEQUATE] &&
        x->part_value[PLAN_ADEQUATE] >= x->part_value[PLAN_INADEQUATE])
        UNSOUND(&x->fields, x->part_line[PLAN_INADEQUATE], ST_RANGE, "inadequate must be more than adequate.");
    if (x->y.criterion_count == 0)
        UNSOUND(&x->fields, x->head_line, ST_NOT_FOUND, "there is no section [criterion ID]: it would ask nothing.");
}

static void on_end(void *user, int line)
{
    struct file *x = user;
    close_section(x);
    if (!x->head_line)
        UNSOUND(&x->fields, line, ST_NOT_FOUND, "the section [yardstick] is missing.");
    else if (x->fields.faults->count == 0)
        check_whole(x);
}

static double value_of(const struct file *x, enum plan_part part)
{
    return as_double(x->part_value[part]);
}

/* The heights that are not given follow from how often the curves may err. */
static void set_plan(struct file *x)
{
    struct yardstick *y = &x->y;
    struct learning_plan *p = &y->plan;
    struct learning_weights w;
    *p = (struct learning_plan){.adequate = value_of(x, PLAN_ADEQUATE),
                                .inadequate = value_of(x, PLAN_INADEQUATE),
                                .reach = value_of(x, PLAN_REACH),
                                .lose = value_of(x, PLAN_LOSE),
                                .horizon = (int32_t)(x->part_value[PLAN_HORIZON] / ONE),
                                .right_within_mmhg = (int32_t)(x->part_value[PLAN_RIGHT_WITHIN] / ONE)};
    y->false_reach_most = value_of(x, PLAN_FALSE_REACH);
    y->false_loss_most = value_of(x, PLAN_FALSE_LOSS);
    learning_weights(p, &w);
    if (x->part_line[PLAN_FALSE_REACH])
        p->reach = learning_height_for(w.reach_right, -w.reach_wrong, 1.0 - p->inadequate, p->horizon, y->false_reach_most);
    if (x->part_line[PLAN_FALSE_LOSS])
        p->lose = learning_height_for(w.lose_wrong, -w.lose_right, p->adequate, p->horizon, y->false_loss_most);
}

enum status yardstick_text_parse(const char *text, const struct known *known, struct yardstick *out, int *id_line,
                                 struct faults *f)
{
    struct file x;
    memset(&x, 0, sizeof x); /* padding too: equal yardsticks are equal bytes */
    x.fields.faults = f;
    x.known = known;
    const struct ini_reader reader = {.user = &x, .section = on_section, .value = on_value, .end = on_end};
    ini_read(text, &reader, f);
    if (f->count > 0)
        return x.fields.status != ST_OK ? x.fields.status : ST_SYNTAX;
    set_plan(&x);
    memcpy(out, &x.y, sizeof *out);
    *id_line = x.id_line;
    return ST_OK;
}

enum status yardstick_parse(const char *name, const char *text, const struct source *sources, int source_count,
                            struct yardstick *out, protocol_fault_fn add_fault, void *user, struct err *e)
{
    struct faults f = {.name = name, .add = add_fault, .user = user};
    const struct known known = {.sources = sources, .source_count = source_count};
    int id_line = 0;
    enum status st = yardstick_text_parse(text, &known, out, &id_line, &f);
    return st == ST_OK ? ST_OK : err_set(e, st == ST_RANGE ? ST_RANGE : ST_SYNTAX, "%s", f.first);
}
