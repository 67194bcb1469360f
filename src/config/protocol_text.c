/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "config/protocol_text.h"

#include <string.h>

#include "config/base.h"
#include "config/category_text.h"
#include "config/positions.h"
#include "stillarm/text.h"

enum section_kind { SECTION_NONE, SECTION_PROTOCOL, SECTION_KEY, SECTION_ITEM, SECTION_SAYS, SECTION_PUBLISHED,
                    SECTION_BASE, SECTION_BASE_ITEM,
                    SECTION_CATEGORY, SECTION_KINDS };

#define ROOM(member) ((int)sizeof(((struct protocol *)0)->member) - 1)
#define ITEM_ROOM(member) ((int)sizeof(((struct protocol_item *)0)->member) - 1)

enum { HEAD_ID, HEAD_TITLE, HEAD_REGION, HEAD_BASED_ON, HEAD_WAIVABLE, HEAD_CATEGORIES, HEAD_COPIED_FROM, HEAD_CRITICAL };
enum { F_SOURCE, F_STATUS, F_VALUE }; /* source and status stand first in both keys and items */
enum { ITEM_GROUP = F_VALUE, ITEM_SAY, ITEM_COST, ITEM_COST_SOURCE, ITEM_WAIVABLE, ITEM_QUIET, ITEM_CRITICAL };

static const struct field_row FIELDS[SECTION_KINDS][FIELDS_MAX] = {
    [SECTION_PROTOCOL] = {[HEAD_ID] = {"id", true, 0},
                          [HEAD_TITLE] = {"title", true, ROOM(title)},
                          [HEAD_REGION] = {"region", true, ROOM(region)},
                          [HEAD_BASED_ON] = {"based_on", true, ROOM(based_on)},
                          [HEAD_WAIVABLE] = {"waivable", false, 0},
                          [HEAD_CATEGORIES] = {"categories", false, 0},
                          [HEAD_COPIED_FROM] = {"copied_from", false, 0},
                          [HEAD_CRITICAL] = {"critical", false, 0}},
    [SECTION_KEY] = {[F_SOURCE] = {"source", true, 0}, [F_STATUS] = {"status", true, 0}, [F_VALUE] = {"value", true, 0}},
    [SECTION_ITEM] = {[F_SOURCE] = {"source", true, 0},
                      [F_STATUS] = {"status", true, 0},
                      [ITEM_GROUP] = {"group", true, 0},
                      [ITEM_SAY] = {"say", true, ITEM_ROOM(say)},
                      [ITEM_COST] = {"cost", false, ITEM_ROOM(cost)},
                      [ITEM_COST_SOURCE] = {"cost_source", false, 0},
                      [ITEM_WAIVABLE] = {"waivable", false, 0},
                      [ITEM_QUIET] = {"quiet", false, 0},
                      [ITEM_CRITICAL] = {"critical", false, 0}},
    [SECTION_PUBLISHED] = {{"ranges", true, 0}},
    [SECTION_BASE_ITEM] = {{"say", true, ITEM_ROOM(say)}},
};

/* What a text says itself of the key's source. */
struct inline_says {
    struct position position;
    int line; /* 0: nothing */
};

/* One list of [base ID]. */
struct base_text {
    char text[PROTOCOL_LEFT_OUT_MAX * ITEM_CAP + 1]; /* a blank before each */
    int line;
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
    int published_line[KEY_COUNT];
    struct published inline_published[KEY_COUNT];
    char base[ITEM_CAP];
    struct base_text lists[BASE_LISTS];
    int base_line, base_key_line[KEY_COUNT], base_item_line[PROTOCOL_ITEMS_MAX];
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

static bool open_published(struct parser *x, int line, const char *name)
{
    x->index = key_named(name);
    if (x->index < 0)
        UNSOUND(&x->fields, line, ST_NOT_FOUND, "there is no key of this name; docs/protocol-files.md lists them all.");
    return x->index >= 0 && open_once(x, line, &x->published_line[x->index], "published KEY");
}

static bool open_base_item(struct parser *x, int line, const char *id)
{
    x->index = protocol_find_item(&x->p, id);
    if (x->index < 0)
        UNSOUND(&x->fields, line, ST_NOT_FOUND, "there is no item of this name above.");
    return x->index >= 0 && open_once(x, line, &x->base_item_line[x->index], "base-item ID");
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
           : behind(name, "published")   ? SECTION_PUBLISHED
           : behind(name, "base")        ? SECTION_BASE
           : behind(name, "base-item")   ? SECTION_BASE_ITEM
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
    case SECTION_PUBLISHED:
        return open_published(x, line, behind(name, "published"));
    case SECTION_BASE:
        return open_base(x, line, behind(name, "base"));
    case SECTION_BASE_ITEM:
        return open_base_item(x, line, behind(name, "base-item"));
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

static struct base_text *base_list_named(struct parser *x, const char *name)
{
    for (int i = 0; i < BASE_LISTS; i++)
        if (strcmp(name, BASE_LIST_NAMES[i]) == 0)
            return &x->lists[i];
    return NULL;
}

/* [base ID] has one line per key, too many to be kept as fields. */
static void take_base(struct parser *x, int line, const char *name, const char *value, bool is_more)
{
    int key = key_named(name);
    struct base_text *list = base_list_named(x, name);
    if (list && (is_more || !list->line)) {
        struct text t = {.buf = list->text, .cap = sizeof list->text, .len = strlen(list->text)};
        text_addf(&t, " %s", value);
        list->line = list->line ? list->line : line;
        if (t.is_cut)
            UNSOUND(&x->fields, line, ST_RANGE, "%s is far too long.", name);
    } else if (list || (key >= 0 && x->base_key_line[key])) {
        UNSOUND(&x->fields, line, ST_EXISTS, "%s is given already, on line %d.", name,
                list ? list->line : x->base_key_line[key]);
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

static void read_rules(struct parser *x, int head, bool (*may_be)(enum rule), const char *else_it, bool is_in[RULE_COUNT])
{
    int line = fields_where(&x->fields, head);
    char *at = x->fields.text[head];
    for (const char *word = next_word(&at); *word; word = next_word(&at)) {
        enum rule rule = rule_named(word);
        if (rule == RULE_NONE || !may_be(rule))
            UNSOUND(&x->fields, line, ST_RANGE, "%s %s.", is_item(word) ? word : "this", else_it);
        else if (is_in[rule])
            UNSOUND(&x->fields, line, ST_EXISTS, "%s is there twice.", word);
        else
            is_in[rule] = true;
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
    read_rules(x, HEAD_WAIVABLE, rule_may_be_waivable, "is no rule that may be passed over", x->p.is_waivable);
    read_rules(x, HEAD_CRITICAL, rule_may_lapse, "is no rule whose lapse a witness can see", x->p.is_critical);
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
    it->is_critical = fields_yes(f, ITEM_CRITICAL);
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
    x->p.has_base = true;
}

/* `60`, `120 to 1800`; - for an end that lies as far out as the key goes. */
static bool read_end(struct parser *x, const char *word, int32_t open, int32_t *out)
{
    *out = open;
    return strcmp(word, "-") == 0 || key_read(&x->fields, fields_where(&x->fields, 0), x->index, word, out);
}

static void close_published(struct parser *x)
{
    const struct protocol_key_row *row = &PROTOCOL_KEYS[x->index];
    char *at = x->fields.text[0];
    for (const char *word = next_word(&at); *word;) {
        int32_t low = 0, high = 0;
        if (!read_end(x, word, row->low, &low))
            return;
        high = low;
        word = next_word(&at);
        if (strcmp(word, "to") == 0) {
            if (!read_end(x, next_word(&at), row->high, &high))
                return;
            word = next_word(&at);
        }
        if (low > high)
            UNSOUND(&x->fields, fields_where(&x->fields, 0), ST_RANGE, "the low end of a range is above its high.");
        else
            published_add(&x->inline_published[x->index], low, high);
    }
}

static void close_base_item(struct parser *x)
{
    (void)text_copy(x->p.base_items[x->index].say, sizeof x->p.base_items[0].say, x->fields.text[0]);
}

static void close_category(struct parser *x)
{
    category_close(&x->categories);
}

static void close_section(struct parser *x)
{
    static void (*const CLOSE[SECTION_KINDS])(struct parser *) = {
        [SECTION_PROTOCOL] = close_protocol, [SECTION_KEY] = close_key,   [SECTION_ITEM] = close_item,
        [SECTION_SAYS] = close_says,         [SECTION_BASE] = close_base, [SECTION_CATEGORY] = close_category,
        [SECTION_PUBLISHED] = close_published, [SECTION_BASE_ITEM] = close_base_item};
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

/* What others publish counts where the file names no source; what is known from memory only is not published. */
static void find_published(struct parser *x, int key)
{
    const int line = x->published_line[key];
    struct published listed = {.count = 0};
    if (x->p.origin[key].source[0] != '\0' && line)
        UNSOUND(&x->fields, line, ST_NOT_FOUND, "the key names a source: [says KEY SOURCE] tells what that publishes.");
    if (x->p.origin[key].source[0] != '\0')
        return;
    if (x->known)
        positions_published(x->known, key, &listed);
    if (line && listed.count > 0 && memcmp(&x->inline_published[key], &listed, sizeof listed) != 0)
        UNSOUND(&x->fields, line, ST_RANGE, "positions.ini has something else published here.");
    x->p.published[key] = line ? x->inline_published[key] : listed;
    x->notes.has_published[key] = line != 0;
}

static void read_base_list(struct parser *x, enum base_list which)
{
    char *at = x->lists[which].text;
    for (const char *word = next_word(&at); *word; word = next_word(&at)) {
        if (is_item(word))
            base_take(&x->p, which, word);
        else if ((which != BASE_CATEGORIES && which != BASE_CRITICAL_RULES) || strcmp(word, "-") != 0)
            UNSOUND(&x->fields, x->lists[which].line, ST_RANGE, "%s is a list of ids.", BASE_LIST_NAMES[which]);
    }
}

static void find_base(struct parser *x)
{
    struct protocol *p = &x->p;
    x->notes.has_base = x->base_line != 0;
    if (x->base_line && strcmp(x->base, p->copied_from) != 0)
        UNSOUND(&x->fields, x->base_line, ST_NOT_FOUND, "[protocol] does not name this one in copied_from.");
    for (int i = 0; i < BASE_LISTS; i++)
        read_base_list(x, (enum base_list)i);
    p->has_base_schemes = x->lists[BASE_CATEGORIES].line != 0;
    p->has_base_critical = x->lists[BASE_CRITICAL_RULES].line != 0;
    if (p->left_out_count > PROTOCOL_LEFT_OUT_MAX)
        UNSOUND(&x->fields, x->lists[BASE_LEFT_OUT].line, ST_RANGE, "left_out is a list of at most %d items.",
                PROTOCOL_LEFT_OUT_MAX);
    if (p->base_scheme_count > PROTOCOL_SCHEMES_MAX)
        UNSOUND(&x->fields, x->lists[BASE_CATEGORIES].line, ST_RANGE, "there are more than %d category schemes.",
                PROTOCOL_SCHEMES_MAX);
    for (int i = 0; i < p->item_count; i++)
        if (x->base_item_line[i] && !x->base_line)
            UNSOUND(&x->fields, x->base_item_line[i], ST_NOT_FOUND, "there is no section [base ID].");
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
        for (int i = 0; i < KEY_COUNT; i++) {
            find_says(x, i);
            find_published(x, i);
        }
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
