/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "config/protocol_text.h"

#include <string.h>

#include "config/category_text.h"
#include "config/positions.h"
#include "stillarm/text.h"

enum section_kind { SECTION_NONE, SECTION_PROTOCOL, SECTION_KEY, SECTION_ITEM, SECTION_SAYS, SECTION_BASE,
                    SECTION_CATEGORY, SECTION_KINDS };

#define ROOM(member) ((int)sizeof(((struct protocol *)0)->member) - 1)
#define ITEM_ROOM(member) ((int)sizeof(((struct protocol_item *)0)->member) - 1)

enum { HEAD_ID, HEAD_TITLE, HEAD_REGION, HEAD_BASED_ON, HEAD_WAIVABLE, HEAD_CATEGORIES, HEAD_COPIED_FROM };
enum { F_SOURCE, F_STATUS, F_VALUE }; /* source and status stand first in both keys and items */
enum { ITEM_GROUP = F_VALUE, ITEM_SAY, ITEM_COST, ITEM_COST_SOURCE, ITEM_WAIVABLE, ITEM_QUIET };

static const struct field_row FIELDS[SECTION_KINDS][FIELDS_MAX] = {
    [SECTION_PROTOCOL] = {[HEAD_ID] = {"id", true, 0},
                          [HEAD_TITLE] = {"title", true, ROOM(title)},
                          [HEAD_REGION] = {"region", true, ROOM(region)},
                          [HEAD_BASED_ON] = {"based_on", true, ROOM(based_on)},
                          [HEAD_WAIVABLE] = {"waivable", false, 0},
                          [HEAD_CATEGORIES] = {"categories", false, 0},
                          [HEAD_COPIED_FROM] = {"copied_from", false, 0}},
    [SECTION_KEY] = {[F_SOURCE] = {"source", true, 0}, [F_STATUS] = {"status", true, 0}, [F_VALUE] = {"value", true, 0}},
    [SECTION_ITEM] = {[F_SOURCE] = {"source", true, 0},
                      [F_STATUS] = {"status", true, 0},
                      [ITEM_GROUP] = {"group", true, 0},
                      [ITEM_SAY] = {"say", true, ITEM_ROOM(say)},
                      [ITEM_COST] = {"cost", false, ITEM_ROOM(cost)},
                      [ITEM_COST_SOURCE] = {"cost_source", false, 0},
                      [ITEM_WAIVABLE] = {"waivable", false, 0},
                      [ITEM_QUIET] = {"quiet", false, 0}},
};

/* What a text says itself of the key's source. */
struct inline_says {
    struct position position;
    int line; /* 0: nothing */
};

struct parser {
    struct protocol p;
    const struct known *known;
    struct fields fields;
    struct category_reader categories;
    enum section_kind kind;
    bool is_section_void; /* its own fault was told: no more about it */
    int index;            /* key or item of the section */
    int head_line, categories_line, key_line[KEY_COUNT], item_line[PROTOCOL_ITEMS_MAX];
    char scheme_id[PROTOCOL_SCHEMES_MAX][ITEM_CAP];
    int scheme_ids;
    struct position position;
    struct inline_says says[KEY_COUNT];
    char base[ITEM_CAP], left_out[PROTOCOL_LEFT_OUT_MAX * ITEM_CAP + 1]; /* a blank before each */
    int base_line, left_out_line, base_key_line[KEY_COUNT];
    struct protocol_notes notes;
};

/* ---- sections begin ---- */

static bool open_once(struct parser *x, int line, int *first, const char *name)
{
    if (*first) {
        UNSOUND(&x->fields, line, ST_EXISTS, "the section [%s] is there already, on line %d.", name, *first);
        return false;
    }
    *first = line;
    return true;
}

static bool open_key(struct parser *x, int line, const char *name)
{
    x->index = key_named(name);
    if (x->index < 0) {
        UNSOUND(&x->fields, line, ST_NOT_FOUND, "there is no key of this name; docs/protocol-files.md lists them all.");
        return false;
    }
    if (x->key_line[x->index]) {
        UNSOUND(&x->fields, line, ST_EXISTS, "the key %s is there already, on line %d.", name, x->key_line[x->index]);
        return false;
    }
    x->key_line[x->index] = line;
    return true;
}

static bool open_item(struct parser *x, int line, const char *id)
{
    int twin = is_item(id) ? protocol_find_item(&x->p, id) : -1;
    if (!is_item(id))
        UNSOUND(&x->fields, line, ST_SYNTAX, "an item's id is 1 to 32 letters, digits, points or hyphens.");
    else if (protocol_step_of_item(id) == STEP_NONE)
        UNSOUND(&x->fields, line, ST_SYNTAX, "the item %s begins with no step: kit. ready. posture. arm. cuff. or close.",
                id);
    else if (twin >= 0)
        UNSOUND(&x->fields, line, ST_EXISTS, "the item %s is there already, on line %d.", id, x->item_line[twin]);
    else if (x->p.item_count == PROTOCOL_ITEMS_MAX)
        UNSOUND(&x->fields, line, ST_FULL, "there are more than %d items.", PROTOCOL_ITEMS_MAX);
    else {
        x->index = x->p.item_count++;
        struct protocol_item *it = &x->p.items[x->index];
        (void)text_copy(it->id, sizeof it->id, id);
        it->step = protocol_step_of_item(id);
        x->item_line[x->index] = line;
        return true;
    }
    return false;
}

static bool open_says(struct parser *x, int line, const char *names)
{
    if (!position_open(&x->fields, x->known, line, names, &x->position))
        return false;
    int twin = x->says[x->position.key].line;
    if (twin)
        UNSOUND(&x->fields, line, ST_EXISTS, "what the source of this key says is there already, on line %d.", twin);
    return !twin;
}

static bool open_base(struct parser *x, int line, const char *id)
{
    if (!is_item(id)) {
        UNSOUND(&x->fields, line, ST_SYNTAX, "this section is [base ID].");
        return false;
    }
    if (!open_once(x, line, &x->base_line, "base ID"))
        return false;
    (void)text_copy(x->base, sizeof x->base, id);
    return true;
}

static void close_section(struct parser *x);

static enum section_kind kind_of(const char *name)
{
    return strcmp(name, "protocol") == 0 ? SECTION_PROTOCOL
           : behind(name, "key")         ? SECTION_KEY
           : behind(name, "item")        ? SECTION_ITEM
           : behind(name, "says")        ? SECTION_SAYS
           : behind(name, "base")        ? SECTION_BASE
           : category_owns(name)         ? SECTION_CATEGORY
                                         : SECTION_NONE;
}

static bool open_kind(struct parser *x, int line, const char *name)
{
    switch (x->kind) {
    case SECTION_PROTOCOL:
        return open_once(x, line, &x->head_line, "protocol");
    case SECTION_KEY:
        return open_key(x, line, behind(name, "key"));
    case SECTION_ITEM:
        return open_item(x, line, behind(name, "item"));
    case SECTION_SAYS:
        return open_says(x, line, behind(name, "says"));
    case SECTION_BASE:
        return open_base(x, line, behind(name, "base"));
    case SECTION_CATEGORY:
        return category_open(&x->categories, line, name);
    case SECTION_NONE:
    case SECTION_KINDS:
        break;
    }
    UNSOUND(&x->fields, line, ST_NOT_FOUND,
            "there is no such section; a section is [protocol], [key NAME], [item ID], [categories], [band ID] or [flag ID].");
    return false;
}

static void on_section(void *user, int line, const char *name)
{
    struct parser *x = user;
    close_section(x);
    x->kind = kind_of(name);
    fields_open(&x->fields, FIELDS[x->kind], line);
    x->is_section_void = !open_kind(x, line, name);
}

/* ---- fields ---- */

/* [base ID] has one line per key, too many to be kept as fields. */
static void take_base(struct parser *x, int line, const char *name, const char *value, bool is_more)
{
    int key = key_named(name);
    bool is_list = strcmp(name, "left_out") == 0;
    struct text t = {.buf = x->left_out, .cap = sizeof x->left_out, .len = strlen(x->left_out)};
    if (is_list && (is_more || !x->left_out_line)) {
        text_addf(&t, " %s", value);
        x->left_out_line = x->left_out_line ? x->left_out_line : line;
        if (t.is_cut)
            UNSOUND(&x->fields, line, ST_RANGE, "left_out is far too long.");
    } else if (is_list || (key >= 0 && x->base_key_line[key])) {
        UNSOUND(&x->fields, line, ST_EXISTS, "%s is given already, on line %d.", name,
                is_list ? x->left_out_line : x->base_key_line[key]);
    } else if (key < 0) {
        UNSOUND(&x->fields, line, ST_NOT_FOUND, "this section has no %s.", name);
    } else {
        x->base_key_line[key] = line;
        (void)key_read(&x->fields, line, key, value, &x->p.base_value[key]);
    }
}

static void on_value(void *user, int line, const char *name, const char *value, bool is_more)
{
    struct parser *x = user;
    if (x->kind == SECTION_NONE || x->is_section_void)
        return;
    if (x->kind == SECTION_BASE)
        take_base(x, line, name, value, is_more);
    else
        fields_take(&x->fields, line, name, value, is_more);
}

/* ---- sections end ---- */

static void read_waivable_rules(struct parser *x)
{
    int line = fields_where(&x->fields, HEAD_WAIVABLE);
    char *at = x->fields.text[HEAD_WAIVABLE];
    for (const char *word = next_word(&at); *word; word = next_word(&at)) {
        enum rule rule = rule_named(word);
        if (rule == RULE_NONE || !rule_may_be_waivable(rule))
            UNSOUND(&x->fields, line, ST_RANGE, "%s is no rule that may be passed over.", is_item(word) ? word : "this");
        else if (x->p.is_waivable[rule])
            UNSOUND(&x->fields, line, ST_EXISTS, "%s is there twice.", word);
        else
            x->p.is_waivable[rule] = true;
    }
}

static void read_scheme_ids(struct parser *x)
{
    char *at = x->fields.text[HEAD_CATEGORIES];
    int line = x->categories_line = fields_where(&x->fields, HEAD_CATEGORIES);
    for (const char *word = next_word(&at); *word; word = next_word(&at)) {
        bool is_twin = false;
        for (int i = 0; i < x->scheme_ids; i++)
            is_twin = is_twin || strcmp(x->scheme_id[i], word) == 0;
        if (!is_item(word))
            UNSOUND(&x->fields, line, ST_SYNTAX, "a scheme's id is 1 to 32 letters, digits, points or hyphens.");
        else if (is_twin)
            UNSOUND(&x->fields, line, ST_EXISTS, "%s is there twice.", word);
        else if (x->scheme_ids == PROTOCOL_SCHEMES_MAX)
            UNSOUND(&x->fields, line, ST_FULL, "there are more than %d category schemes.", PROTOCOL_SCHEMES_MAX);
        else
            (void)text_copy(x->scheme_id[x->scheme_ids++], ITEM_CAP, word);
    }
}

static void close_protocol(struct parser *x)
{
    struct fields *f = &x->fields;
    const char *from = f->text[HEAD_COPIED_FROM];
    x->notes.id_line = fields_where(f, HEAD_ID);
    x->notes.copied_from_line = fields_where(f, HEAD_COPIED_FROM);
    if (!is_item(f->text[HEAD_ID]))
        UNSOUND(f, x->notes.id_line, ST_SYNTAX, "id must be 1 to 32 letters, digits, points or hyphens.");
    else
        (void)text_copy(x->p.id, sizeof x->p.id, f->text[HEAD_ID]);
    if (from[0] != '\0' && (!is_item(from) || strcmp(from, x->p.id) == 0))
        UNSOUND(f, x->notes.copied_from_line, ST_SYNTAX, "copied_from is the id of another protocol.");
    else
        (void)text_copy(x->p.copied_from, sizeof x->p.copied_from, from);
    (void)text_copy(x->p.title, sizeof x->p.title, f->text[HEAD_TITLE]);
    (void)text_copy(x->p.region, sizeof x->p.region, f->text[HEAD_REGION]);
    (void)text_copy(x->p.based_on, sizeof x->p.based_on, f->text[HEAD_BASED_ON]);
    read_waivable_rules(x);
    read_scheme_ids(x);
}

static void close_key(struct parser *x)
{
    fields_origin(&x->fields, x->known, F_SOURCE, F_STATUS, &x->p.origin[x->index]);
    (void)key_read(&x->fields, fields_where(&x->fields, F_VALUE), x->index, x->fields.text[F_VALUE],
                   &x->p.value[x->index]);
}

static void close_item(struct parser *x)
{
    struct fields *f = &x->fields;
    struct protocol_item *it = &x->p.items[x->index];
    int64_t group = 0;
    fields_origin(f, x->known, F_SOURCE, F_STATUS, &it->origin);
    (void)text_copy(it->say, sizeof it->say, f->text[ITEM_SAY]);
    (void)text_copy(it->cost, sizeof it->cost, f->text[ITEM_COST]);
    (void)text_copy(it->cost_source, sizeof it->cost_source, f->text[ITEM_COST_SOURCE]);
    if (it->cost[0] != '\0')
        (void)fields_source(f, x->known, fields_where(f, ITEM_COST_SOURCE), f->text[ITEM_COST_SOURCE]);
    else if (it->cost_source[0] != '\0')
        UNSOUND(f, fields_where(f, ITEM_COST_SOURCE), ST_SYNTAX, "there is no cost for this cost_source.");
    it->is_waivable = fields_yes(f, ITEM_WAIVABLE);
    it->is_quiet = fields_yes(f, ITEM_QUIET);
    if (parse_int(f->text[ITEM_GROUP], 1, PROTOCOL_ITEMS_MAX, &group, NULL) != ST_OK)
        UNSOUND(f, fields_where(f, ITEM_GROUP), ST_RANGE, "group must be a whole number from 1 to %d.%s", PROTOCOL_ITEMS_MAX,
                beside(f->text[ITEM_GROUP]));
    it->group = (int32_t)group;
}

static void close_says(struct parser *x)
{
    if (position_close(&x->fields, &x->position))
        x->says[x->position.key] = (struct inline_says){.position = x->position, .line = x->fields.section_line};
}

static void close_base(struct parser *x)
{
    for (int i = 0; i < KEY_COUNT; i++)
        if (!x->base_key_line[i] && PROTOCOL_KEYS[i].is_optional)
            x->p.base_value[i] = PROTOCOL_KEYS[i].absent;
        else if (!x->base_key_line[i])
            UNSOUND(&x->fields, x->base_line, ST_NOT_FOUND, "%s is missing in this section.", PROTOCOL_KEYS[i].name);
    char *at = x->left_out;
    for (const char *word = next_word(&at); *word; word = next_word(&at)) {
        if (!is_item(word) || x->p.left_out_count == PROTOCOL_LEFT_OUT_MAX) {
            UNSOUND(&x->fields, x->left_out_line, ST_RANGE, "left_out is a list of at most %d items.",
                    PROTOCOL_LEFT_OUT_MAX);
            return;
        }
        (void)text_copy(x->p.left_out[x->p.left_out_count++], ITEM_CAP, word);
    }
    x->p.has_base = true;
}

static void close_category(struct parser *x)
{
    category_close(&x->categories);
}

static void close_section(struct parser *x)
{
    static void (*const CLOSE[SECTION_KINDS])(struct parser *) = {
        [SECTION_PROTOCOL] = close_protocol, [SECTION_KEY] = close_key,   [SECTION_ITEM] = close_item,
        [SECTION_SAYS] = close_says,         [SECTION_BASE] = close_base, [SECTION_CATEGORY] = close_category};
    if (x->kind != SECTION_NONE && !x->is_section_void && fields_are_sound(&x->fields))
        CLOSE[x->kind](x);
    x->kind = SECTION_NONE;
}

/* ---- what the text leans on ---- */

static bool is_named(const struct parser *x, const char *scheme)
{
    for (int i = 0; i < x->scheme_ids; i++)
        if (strcmp(x->scheme_id[i], scheme) == 0)
            return true;
    return false;
}

/* A scheme in the text itself goes before one of that name elsewhere. */
static void find_schemes(struct parser *x)
{
    for (int i = 0; i < x->categories.count; i++)
        if (!is_named(x, x->categories.list[i].id))
            UNSOUND(&x->fields, x->categories.head_line[i], ST_NOT_FOUND,
                    "the scheme %s is not among the categories that [protocol] names.", x->categories.list[i].id);
    for (int i = 0; i < x->scheme_ids; i++) {
        const char *id = x->scheme_id[i];
        const struct category_scheme *own = schemes_find(x->categories.list, x->categories.count, id);
        const struct category_scheme *c =
            own || !x->known ? own : schemes_find(x->known->schemes, x->known->scheme_count, id);
        if (!c && x->known)
            UNSOUND(&x->fields, x->categories_line, ST_NOT_FOUND, "there is no sound category scheme %s.", id);
        if (!c)
            continue;
        x->notes.has_scheme[x->p.scheme_count] = own != NULL;
        memcpy(&x->p.schemes[x->p.scheme_count++], c, sizeof *c);
    }
}

static void find_says(struct parser *x, int key)
{
    const struct inline_says *own = &x->says[key];
    const char *source = x->p.origin[key].source;
    const struct position *listed =
        x->known && *source ? positions_find(x->known->positions, x->known->position_count, key, source) : NULL;
    const struct position *position = own->line ? &own->position : listed;
    if (own->line && strcmp(own->position.source, source) != 0)
        UNSOUND(&x->fields, own->line, ST_NOT_FOUND, "this is not the source that the key names.");
    else if (own->line && listed && (own->position.low != listed->low || own->position.high != listed->high))
        UNSOUND(&x->fields, own->line, ST_RANGE, "positions.ini has %s say something else here.", source);
    else if (position)
        x->p.says[key] = (struct says){.is_known = true, .low = position->low, .high = position->high};
    x->notes.has_says[key] = own->line != 0;
}

static void find_base(struct parser *x)
{
    if (x->base_line && strcmp(x->base, x->p.copied_from) != 0)
        UNSOUND(&x->fields, x->base_line, ST_NOT_FOUND, "[protocol] does not name this one in copied_from.");
    x->notes.has_base = x->base_line != 0;
}

void protocol_set_base(struct protocol *p, const struct protocol *base)
{
    p->has_base = true;
    memcpy(p->base_value, base->value, sizeof p->base_value);
    for (int i = 0; i < base->item_count && p->left_out_count < PROTOCOL_LEFT_OUT_MAX; i++)
        if (protocol_find_item(p, base->items[i].id) < 0)
            (void)text_copy(p->left_out[p->left_out_count++], ITEM_CAP, base->items[i].id);
}

/* ---- the whole ---- */

/* protocol_check() begins its text with the key or item that it is about. */
static int line_of_text(const struct parser *x, const char *text, int last_line)
{
    char word[ITEM_CAP + 8];
    size_t n = strcspn(text, " :");
    if (n >= sizeof word)
        return last_line;
    memcpy(word, text, n);
    word[n] = '\0';
    int key = key_named(word), item = protocol_find_item(&x->p, word);
    return key >= 0 ? x->key_line[key] : item >= 0 ? x->item_line[item] : last_line;
}

static void on_end(void *user, int line)
{
    struct parser *x = user;
    close_section(x);
    category_end(&x->categories);
    if (!x->head_line)
        UNSOUND(&x->fields, line, ST_NOT_FOUND, "the section [protocol] is missing.");
    for (int i = 0; i < KEY_COUNT; i++)
        if (!x->key_line[i] && PROTOCOL_KEYS[i].is_optional) {
            x->p.value[i] = PROTOCOL_KEYS[i].absent;
            x->p.origin[i].standing = STANDING_JUDGEMENT;
        } else if (!x->key_line[i])
            UNSOUND(&x->fields, line, ST_NOT_FOUND, "the key %s is missing.", PROTOCOL_KEYS[i].name);
    if (x->fields.faults->count == 0) {
        find_schemes(x);
        find_base(x);
        for (int i = 0; i < KEY_COUNT; i++)
            find_says(x, i);
    }
    struct err e = {.code = ST_OK};
    if (x->fields.faults->count == 0 && protocol_check(&x->p, &e) != ST_OK)
        UNSOUND(&x->fields, line_of_text(x, e.text, line), e.code, "%s", e.text);
}

enum status protocol_text_parse(const char *text, const struct known *known, struct protocol *out,
                                struct protocol_notes *notes, struct faults *f)
{
    struct parser x;
    memset(&x, 0, sizeof x); /* padding too: equal protocols are equal bytes */
    x.known = known;
    x.fields.faults = f;
    x.categories.fields = &x.fields;
    x.categories.known = known;
    const struct ini_reader reader = {.user = &x, .section = on_section, .value = on_value, .end = on_end};
    ini_read(text, &reader, f);
    if (f->count > 0)
        return x.fields.status != ST_OK ? x.fields.status : ST_SYNTAX;
    memcpy(out, &x.p, sizeof *out);
    if (notes)
        *notes = x.notes;
    return ST_OK;
}
