/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "config/protocol_text.h"

#include <stdio.h>
#include <string.h>

#include "config/sources.h"
#include "stillarm/text.h"

#define FIELDS_MAX 8
#define FIELD_CAP 512

enum section_kind { SECTION_NONE, SECTION_PROTOCOL, SECTION_KEY, SECTION_ITEM, SECTION_KINDS };

/* max: longest text in bytes; 0: checked by its own meaning. */
struct field_row {
    const char *name;
    bool is_required;
    int max;
};

#define ROOM(member) ((int)sizeof(((struct protocol *)0)->member) - 1)
#define ITEM_ROOM(member) ((int)sizeof(((struct protocol_item *)0)->member) - 1)

enum { HEAD_ID, HEAD_TITLE, HEAD_REGION, HEAD_BASED_ON, HEAD_WAIVABLE };
enum { F_SOURCE, F_STATUS, F_VALUE }; /* source and status stand first in both keys and items */
enum { ITEM_GROUP = F_VALUE, ITEM_SAY, ITEM_COST, ITEM_COST_SOURCE, ITEM_WAIVABLE, ITEM_QUIET };

static const struct field_row FIELDS[SECTION_KINDS][FIELDS_MAX] = {
    [SECTION_PROTOCOL] = {[HEAD_ID] = {"id", true, 0},
                          [HEAD_TITLE] = {"title", true, ROOM(title)},
                          [HEAD_REGION] = {"region", true, ROOM(region)},
                          [HEAD_BASED_ON] = {"based_on", true, ROOM(based_on)},
                          [HEAD_WAIVABLE] = {"waivable", false, 0}},
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

struct parser {
    struct protocol p;
    const struct known_sources *known;
    struct faults *faults;
    enum status status;
    enum section_kind kind;
    bool is_section_void; /* its own fault was told: no more about it */
    int index;            /* key or item of the section */
    int section_line;
    char fields[FIELDS_MAX][FIELD_CAP];
    int field_line[FIELDS_MAX]; /* 0: not given */
    int head_line, id_line, waivable_line, key_line[KEY_COUNT], item_line[PROTOCOL_ITEMS_MAX];
};

#define UNSOUND(x, line, st, ...) \
    ((x)->status = (x)->status == ST_OK ? (st) : (x)->status, fault_at((x)->faults, line, __VA_ARGS__))

/* ---- sections begin ---- */

static int key_named(const char *name)
{
    for (int i = 0; i < KEY_COUNT; i++)
        if (strcmp(PROTOCOL_KEYS[i].name, name) == 0)
            return i;
    return -1;
}

static bool open_protocol(struct parser *x, int line)
{
    if (x->head_line) {
        UNSOUND(x, line, ST_EXISTS, "the section [protocol] is there already, on line %d.", x->head_line);
        return false;
    }
    x->head_line = line;
    return true;
}

static bool open_key(struct parser *x, int line, const char *name)
{
    x->index = key_named(name);
    if (x->index < 0) {
        UNSOUND(x, line, ST_NOT_FOUND, "there is no key of this name; docs/protocol-files.md lists them all.");
        return false;
    }
    if (x->key_line[x->index]) {
        UNSOUND(x, line, ST_EXISTS, "the key %s is there already, on line %d.", name, x->key_line[x->index]);
        return false;
    }
    x->key_line[x->index] = line;
    return true;
}

static bool open_item(struct parser *x, int line, const char *id)
{
    int twin = is_item(id) ? protocol_find_item(&x->p, id) : -1;
    if (!is_item(id))
        UNSOUND(x, line, ST_SYNTAX, "an item's id is 1 to 32 letters, digits, points or hyphens.");
    else if (protocol_step_of_item(id) == STEP_NONE)
        UNSOUND(x, line, ST_SYNTAX, "the item %s begins with no step: kit. ready. posture. arm. cuff. or close.", id);
    else if (twin >= 0)
        UNSOUND(x, line, ST_EXISTS, "the item %s is there already, on line %d.", id, x->item_line[twin]);
    else if (x->p.item_count == PROTOCOL_ITEMS_MAX)
        UNSOUND(x, line, ST_FULL, "there are more than %d items.", PROTOCOL_ITEMS_MAX);
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

static void close_section(struct parser *x);

static const char *behind(const char *s, const char *prefix)
{
    size_t n = strlen(prefix);
    if (strncmp(s, prefix, n) != 0)
        return NULL;
    return s + n + strspn(s + n, " \t");
}

static void on_section(void *user, int line, const char *name)
{
    struct parser *x = user;
    const char *key = behind(name, "key "), *item = behind(name, "item ");
    close_section(x);
    memset(x->fields, 0, sizeof x->fields);
    memset(x->field_line, 0, sizeof x->field_line);
    x->section_line = line;
    x->kind = strcmp(name, "protocol") == 0 ? SECTION_PROTOCOL : key ? SECTION_KEY : item ? SECTION_ITEM : SECTION_NONE;
    bool is_open = x->kind == SECTION_PROTOCOL ? open_protocol(x, line)
                   : key                       ? open_key(x, line, key)
                   : item                      ? open_item(x, line, item)
                                               : false;
    if (x->kind == SECTION_NONE)
        UNSOUND(x, line, ST_NOT_FOUND, "there is no such section; a section is [protocol], [key NAME] or [item ID].");
    x->is_section_void = !is_open;
}

/* ---- fields ---- */

static int field_named(enum section_kind kind, const char *name)
{
    for (int i = 0; i < FIELDS_MAX; i++)
        if (FIELDS[kind][i].name && strcmp(FIELDS[kind][i].name, name) == 0)
            return i;
    return -1;
}

static void on_value(void *user, int line, const char *name, const char *value, bool is_more)
{
    struct parser *x = user;
    if (x->kind == SECTION_NONE || x->is_section_void)
        return;
    int field = field_named(x->kind, name);
    if (field < 0) {
        UNSOUND(x, line, ST_NOT_FOUND, "this section has no %s.", name);
        return;
    }
    if (x->field_line[field] && !is_more) {
        UNSOUND(x, line, ST_EXISTS, "%s is given already, on line %d.", name, x->field_line[field]);
        return;
    }
    struct text t = {.buf = x->fields[field], .cap = FIELD_CAP, .len = strlen(x->fields[field])};
    text_addf(&t, "%s%s", is_more && t.len > 0 ? " " : "", value);
    if (t.is_cut)
        UNSOUND(x, line, ST_RANGE, "%s is far too long.", name);
    if (!x->field_line[field])
        x->field_line[field] = line;
}

/* Line of a field, or of its section where it is missing. */
static int where(const struct parser *x, int field)
{
    return x->field_line[field] ? x->field_line[field] : x->section_line;
}

/* All fields there, and their texts of a length that fits; only then is their meaning asked. */
static bool are_fields_sound(struct parser *x)
{
    bool is_sound = true;
    for (int i = 0; i < FIELDS_MAX; i++) {
        const struct field_row *row = &FIELDS[x->kind][i];
        if (!row->name)
            continue;
        if (row->is_required && !x->field_line[i]) {
            UNSOUND(x, x->section_line, ST_NOT_FOUND, "%s is missing in this section.", row->name);
            is_sound = false;
        } else if (row->max && x->field_line[i] && (row->is_required || x->fields[i][0] != '\0') &&
                   (strlen(x->fields[i]) > (size_t)row->max || !is_plain_text(x->fields[i], row->max))) {
            UNSOUND(x, x->field_line[i], ST_RANGE, "%s must be a text of 1 to %d bytes.", row->name, row->max);
            is_sound = false;
        }
    }
    return is_sound;
}

/* ---- sources ---- */

static const struct source *known_source(struct parser *x, int line, const char *id)
{
    const struct source *s = x->known && x->known->list ? sources_find(x->known->list, x->known->count, id) : NULL;
    if (!is_item(id))
        UNSOUND(x, line, ST_SYNTAX, "a source's id is 1 to 32 letters, digits, points or hyphens.");
    else if (!s && x->known && x->known->list)
        UNSOUND(x, line, ST_NOT_FOUND, "there is no source %s in sources.ini.", id);
    return s;
}

static int standing_named(const char *word)
{
    for (int i = 0; i < STANDING_COUNT; i++)
        if (strcmp(STANDING_WORDS[i], word) == 0)
            return i;
    return -1;
}

static void read_origin(struct parser *x, struct origin *out)
{
    const char *id = x->fields[F_SOURCE];
    int line = where(x, F_SOURCE), standing = standing_named(x->fields[F_STATUS]);
    if (standing < 0) {
        UNSOUND(x, where(x, F_STATUS), ST_SYNTAX, "status is one of: published, common practice, judgement, from memory.");
        return;
    }
    out->standing = (enum standing)standing;
    (void)text_copy(out->source, sizeof out->source, id);
    if (id[0] != '\0') {
        const struct source *s = known_source(x, line, id);
        if (s && source_is_memory(s) && standing == STANDING_PUBLISHED)
            UNSOUND(x, where(x, F_STATUS), ST_RANGE,
                    "source %s is known from memory only: the status cannot be published.", id);
    } else if (standing == STANDING_PUBLISHED || standing == STANDING_MEMORY) {
        UNSOUND(x, line, ST_NOT_FOUND, "what is %s needs a source.", STANDING_WORDS[standing]);
    }
}

/* ---- sections end ---- */

static void read_waivable_rules(struct parser *x)
{
    char list[FIELD_CAP];
    (void)text_copy(list, sizeof list, x->fields[HEAD_WAIVABLE]);
    x->waivable_line = where(x, HEAD_WAIVABLE);
    for (char *at = list; *at;) {
        at += strspn(at, ", \t");
        size_t n = strcspn(at, ", \t");
        char *next = at + n + (at[n] != '\0');
        at[n] = '\0';
        enum rule rule = rule_named(at);
        if (*at == '\0') {
            break;
        } else if (rule == RULE_NONE || !rule_may_be_waivable(rule)) {
            UNSOUND(x, x->waivable_line, ST_RANGE, "%s is no rule that may be passed over.", is_item(at) ? at : "this");
        } else if (x->p.is_waivable[rule]) {
            UNSOUND(x, x->waivable_line, ST_EXISTS, "%s is there twice.", at);
        } else {
            x->p.is_waivable[rule] = true;
        }
        at = next;
    }
}

static void close_protocol(struct parser *x)
{
    x->id_line = where(x, HEAD_ID);
    if (!is_item(x->fields[HEAD_ID]))
        UNSOUND(x, x->id_line, ST_SYNTAX, "id must be 1 to 32 letters, digits, points or hyphens.");
    else
        (void)text_copy(x->p.id, sizeof x->p.id, x->fields[HEAD_ID]);
    (void)text_copy(x->p.title, sizeof x->p.title, x->fields[HEAD_TITLE]);
    (void)text_copy(x->p.region, sizeof x->p.region, x->fields[HEAD_REGION]);
    (void)text_copy(x->p.based_on, sizeof x->p.based_on, x->fields[HEAD_BASED_ON]);
    read_waivable_rules(x);
}

static void say_words(struct parser *x, const struct protocol_key_row *row)
{
    char said[120];
    struct text t;
    text_init(&t, said, sizeof said);
    for (int i = 0; i <= row->high; i++)
        text_addf(&t, "%s%s", i ? ", " : "", row->words[i]);
    UNSOUND(x, where(x, F_VALUE), ST_RANGE, "%s is one of: %s.", row->name, said);
}

static void close_key(struct parser *x)
{
    const struct protocol_key_row *row = &PROTOCOL_KEYS[x->index];
    const char *value = x->fields[F_VALUE];
    int64_t v = -1;
    read_origin(x, &x->p.origin[x->index]);
    if (row->words) {
        for (int i = 0; i <= row->high; i++)
            v = strcmp(row->words[i], value) == 0 ? i : v;
        if (v < 0)
            say_words(x, row);
    } else {
        enum status st = parse_int(value, row->low, row->high, &v, NULL);
        if (st == ST_SYNTAX)
            UNSOUND(x, where(x, F_VALUE), st, "%s must be a whole number without needless zeros.", row->name);
        else if (st != ST_OK)
            UNSOUND(x, where(x, F_VALUE), st, "%s is %.20s; it may be %d to %d.", row->name, value, (int)row->low,
                    (int)row->high);
    }
    x->p.value[x->index] = (int32_t)v;
}

static bool read_yes(struct parser *x, int field)
{
    bool is_yes = strcmp(x->fields[field], "yes") == 0;
    if (x->field_line[field] && !is_yes && strcmp(x->fields[field], "no") != 0)
        UNSOUND(x, where(x, field), ST_SYNTAX, "%s is yes or no.", FIELDS[x->kind][field].name);
    return is_yes;
}

static void close_item(struct parser *x)
{
    struct protocol_item *it = &x->p.items[x->index];
    int64_t group = 0;
    read_origin(x, &it->origin);
    (void)text_copy(it->say, sizeof it->say, x->fields[ITEM_SAY]);
    (void)text_copy(it->cost, sizeof it->cost, x->fields[ITEM_COST]);
    (void)text_copy(it->cost_source, sizeof it->cost_source, x->fields[ITEM_COST_SOURCE]);
    if (it->cost[0] != '\0')
        (void)known_source(x, where(x, ITEM_COST_SOURCE), x->fields[ITEM_COST_SOURCE]);
    else if (it->cost_source[0] != '\0')
        UNSOUND(x, where(x, ITEM_COST_SOURCE), ST_SYNTAX, "there is no cost for this cost_source.");
    it->is_waivable = read_yes(x, ITEM_WAIVABLE);
    it->is_quiet = read_yes(x, ITEM_QUIET);
    if (parse_int(x->fields[ITEM_GROUP], 1, PROTOCOL_ITEMS_MAX, &group, NULL) != ST_OK)
        UNSOUND(x, where(x, ITEM_GROUP), ST_RANGE, "group must be a whole number from 1 to %d.", PROTOCOL_ITEMS_MAX);
    it->group = (int32_t)group;
}

static void close_section(struct parser *x)
{
    static void (*const CLOSE[SECTION_KINDS])(struct parser *) = {
        [SECTION_PROTOCOL] = close_protocol, [SECTION_KEY] = close_key, [SECTION_ITEM] = close_item};
    if (x->kind != SECTION_NONE && !x->is_section_void && are_fields_sound(x))
        CLOSE[x->kind](x);
    x->kind = SECTION_NONE;
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
    if (!x->head_line)
        UNSOUND(x, line, ST_NOT_FOUND, "the section [protocol] is missing.");
    for (int i = 0; i < KEY_COUNT; i++)
        if (!x->key_line[i] && PROTOCOL_KEYS[i].is_optional) {
            x->p.value[i] = PROTOCOL_KEYS[i].absent;
            x->p.origin[i].standing = STANDING_JUDGEMENT;
        } else if (!x->key_line[i])
            UNSOUND(x, line, ST_NOT_FOUND, "the key %s is missing.", PROTOCOL_KEYS[i].name);
    struct err e = {.code = ST_OK};
    if (x->faults->count == 0 && protocol_check(&x->p, &e) != ST_OK)
        UNSOUND(x, line_of_text(x, e.text, line), e.code, "%s", e.text);
}

enum status protocol_text_parse(const char *text, const struct known_sources *known, struct protocol *out, int *id_line,
                                struct faults *f)
{
    struct parser x;
    memset(&x, 0, sizeof x); /* padding too: equal protocols are equal bytes */
    x.known = known;
    x.faults = f;
    const struct ini_reader reader = {.user = &x, .section = on_section, .value = on_value, .end = on_end};
    ini_read(text, &reader, f);
    if (f->count > 0)
        return x.status != ST_OK ? x.status : ST_SYNTAX;
    memcpy(out, &x.p, sizeof *out);
    if (id_line)
        *id_line = x.id_line;
    return ST_OK;
}
