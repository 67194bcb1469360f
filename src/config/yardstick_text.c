/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "config/yardstick_text.h"

#include <string.h>

#include "config/category_text.h"
#include "config/fields.h"
#include "config/yardstick_file.h"
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

/* ---- numbers: whole millionths, so that no bound is rounded before it is compared ---- */

#define ONE INT64_C(1000000)
#define DECIMALS 6
#define DIGITS_MAX 7 /* before the point */

struct bounds {
    int64_t low, high; /* millionths; both ends fit */
    bool is_whole;
};

static bool is_digit(char c)
{
    return c >= '0' && c <= '9';
}

static bool read_millionths(const char *s, int64_t *out)
{
    const bool is_minus = *s == '-';
    int64_t v = 0;
    int digits = 0, decimals = 0;
    s += is_minus;
    for (; is_digit(*s) && digits < DIGITS_MAX; s++, digits++)
        v = v * 10 + (*s - '0');
    if (digits == 0)
        return false;
    if (*s == '.') {
        for (s++; is_digit(*s) && decimals < DECIMALS; s++, decimals++)
            v = v * 10 + (*s - '0');
        if (decimals == 0)
            return false;
    }
    for (; decimals < DECIMALS; decimals++)
        v *= 10;
    *out = is_minus ? -v : v;
    return *s == '\0';
}

/* `0.05`, `400`, as a file has it. */
static void say_millionths(int64_t v, struct text *t)
{
    const int64_t size = v < 0 ? -v : v;
    int64_t part = size % ONE;
    int width = DECIMALS;
    text_addf(t, "%s%lld", v < 0 ? "-" : "", (long long)(size / ONE));
    if (part == 0)
        return;
    for (; part % 10 == 0; part /= 10)
        width--;
    text_addf(t, ".%0*lld", width, (long long)part);
}

static bool read_number(struct fields *x, int field, const struct bounds *b, int64_t *out)
{
    const char *name = x->rows[field].name;
    char range[64];
    struct text t;
    int64_t v = 0;
    const bool is_number = read_millionths(x->text[field], &v);
    if (is_number && v >= b->low && v <= b->high && !(b->is_whole && v % ONE != 0)) {
        *out = v;
        return true;
    }
    text_init(&t, range, sizeof range);
    say_millionths(b->low, &t);
    text_add(&t, " to ");
    say_millionths(b->high, &t);
    if (!is_number)
        UNSOUND(x, fields_where(x, field), ST_SYNTAX,
                "%s is a number such as 5 or 0.95, alone and with at most %d decimals.%s", name, DECIMALS,
                beside(x->text[field]));
    else
        UNSOUND(x, fields_where(x, field), ST_RANGE, "%s is %s%s here.", name, b->is_whole ? "a whole number, " : "",
                range);
    return false;
}

static double as_double(int64_t millionths)
{
    return (double)millionths / (double)ONE; /* both exact, so this is what the decimal itself would round to */
}

/* ---- the learning curve's numbers ---- */

enum plan_part { /* the first six in the order of plan_origin */
    PLAN_ADEQUATE, PLAN_INADEQUATE, PLAN_REACH, PLAN_LOSE, PLAN_HORIZON, PLAN_RIGHT_WITHIN,
    PLAN_FALSE_REACH, PLAN_FALSE_LOSS, PLAN_COUNT
};
#define PLAN_NONE PLAN_COUNT

static const struct plan_row {
    const char *name;
    struct bounds bounds;
    enum plan_part instead; /* stands in place of this one */
} PLAN_PARTS[PLAN_COUNT] = {
    [PLAN_ADEQUATE] = {"adequate", {ONE / 1000, ONE - ONE / 1000, false}, PLAN_NONE},
    [PLAN_INADEQUATE] = {"inadequate", {ONE / 1000, ONE - ONE / 1000, false}, PLAN_NONE},
    [PLAN_REACH] = {"reach", {ONE / 100, 1000 * ONE, false}, PLAN_FALSE_REACH},
    [PLAN_LOSE] = {"lose", {ONE / 100, 1000 * ONE, false}, PLAN_FALSE_LOSS},
    [PLAN_HORIZON] = {"horizon", {ONE, LEARNING_HORIZON_MAX * ONE, true}, PLAN_NONE},
    [PLAN_RIGHT_WITHIN] = {"right-within", {0, 40 * ONE, true}, PLAN_NONE},
    [PLAN_FALSE_REACH] = {"false-reach-most", {ONE / 10000, ONE / 2, false}, PLAN_REACH},
    [PLAN_FALSE_LOSS] = {"false-loss-most", {ONE / 10000, ONE / 2, false}, PLAN_LOSE},
};

static enum plan_part plan_part_named(const char *name)
{
    int i = 0;
    while (i < PLAN_COUNT && strcmp(PLAN_PARTS[i].name, name) != 0)
        i++;
    return (enum plan_part)i;
}

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

static void close_learning(struct file *x)
{
    static const int ORIGIN[PLAN_COUNT] = {[PLAN_INADEQUATE] = 1, [PLAN_REACH] = 2,       [PLAN_LOSE] = 3,
                                           [PLAN_HORIZON] = 4,    [PLAN_RIGHT_WITHIN] = 5, [PLAN_FALSE_REACH] = 2,
                                           [PLAN_FALSE_LOSS] = 3};
    fields_origin(&x->fields, x->known, F_SOURCE, F_STATUS, &x->y.plan_origin[ORIGIN[x->part]]);
    (void)read_number(&x->fields, LEARNING_VALUE, &PLAN_PARTS[x->part].bounds, &x->part_value[x->part]);
}

/* ---- criteria ---- */

static bool find_word(const char *word, const char *const *words, int count, int32_t *out)
{
    for (int i = 0; i < count; i++)
        if (strcmp(words[i], word) == 0) {
            *out = i;
            return true;
        }
    return false;
}

static bool find_figure(const char *word, const struct figure_row *rows, int count, int32_t *out)
{
    for (int i = 0; i < count; i++)
        if (strcmp(rows[i].id, word) == 0) {
            *out = i;
            return true;
        }
    return false;
}

static bool find_about(const char *word, struct criterion *c)
{
    c->about = ABOUT_RECORD;
    if (find_word(word, RECORD_WORDS, RECORD_COUNT, &c->which))
        return true;
    c->about = ABOUT_SIDE;
    if (find_figure(word, SIDE_FIGURES, SIDE_FIGURE_COUNT, &c->which))
        return true;
    c->about = ABOUT_JOINT;
    if (find_figure(word, JOINT_FIGURES, JOINT_FIGURE_COUNT, &c->which))
        return true;
    c->about = ABOUT_REACHED;
    return strcmp(word, "reached") == 0;
}

/* What values such a thing can have; and whether limits belong to it. */
static const struct unit_row {
    const char *unit;
    struct bounds bounds;
    bool has_limits;
} UNITS[] = {
    {"count", {0, 1000000 * ONE, true}, false},
    {"share", {0, ONE, false}, true},
    {"p", {0, ONE, false}, false},
    {"mmHg", {-300 * ONE, 300 * ONE, false}, true},
    {"", {-1000 * ONE, 1000 * ONE, false}, true},
};

static const struct unit_row *unit_row_of(const struct criterion *c)
{
    const char *unit = criterion_unit(c);
    size_t i = 0;
    while (i + 1 < ARRAY_LEN(UNITS) && strcmp(UNITS[i].unit, unit) != 0)
        i++;
    return &UNITS[i];
}

static bool has_limits(const struct criterion *c)
{
    const bool is_bare = c->about == ABOUT_SIDE && (c->which == FIGURE_DIGIT_CHI ||
                                                    (c->which >= FIGURE_SD_LINKED && c->which <= FIGURE_UPPER_APART));
    return unit_row_of(c)->has_limits && !is_bare;
}

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

static void read_bound(struct file *x, struct criterion *c)
{
    struct fields *f = &x->fields;
    const int least = f->line[CRITERION_AT_LEAST], most = f->line[CRITERION_AT_MOST];
    int64_t bound = 0;
    if (!least == !most) {
        UNSOUND(f, least ? (least > most ? least : most) : f->section_line, least ? ST_EXISTS : ST_NOT_FOUND,
                "a criterion has at-least or at-most, one of the two.");
        return;
    }
    c->is_at_most = most != 0;
    if (read_number(f, most ? CRITERION_AT_MOST : CRITERION_AT_LEAST, &unit_row_of(c)->bounds, &bound))
        c->bound = as_double(bound);
}

static void close_criterion(struct file *x)
{
    struct fields *f = &x->fields;
    struct criterion *c = &x->y.criteria[x->y.criterion_count - 1];
    (void)text_copy(c->say, sizeof c->say, f->text[CRITERION_SAY]);
    fields_origin(f, x->known, F_SOURCE, F_STATUS, &c->origin);
    if (!find_about(f->text[CRITERION_OF], c)) {
        UNSOUND(f, fields_where(f, CRITERION_OF), ST_NOT_FOUND,
                "of names nothing that can be judged; docs/yardstick-files.md lists what can.%s",
                beside(f->text[CRITERION_OF]));
    } else if (c->about != ABOUT_REACHED) {
        read_by(x, c);
        read_bound(x, c);
    } else {
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
