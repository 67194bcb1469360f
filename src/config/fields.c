/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "config/fields.h"

#include <string.h>

#include "config/sources.h"
#include "stillarm/text.h"

void fields_open(struct fields *x, const struct field_row *rows, int line)
{
    x->rows = rows;
    x->section_line = line;
    memset(x->text, 0, sizeof x->text);
    memset(x->line, 0, sizeof x->line);
}

static int field_named(const struct field_row *rows, const char *name)
{
    for (int i = 0; i < FIELDS_MAX; i++)
        if (rows[i].name && strcmp(rows[i].name, name) == 0)
            return i;
    return -1;
}

void fields_take(struct fields *x, int line, const char *name, const char *value, bool is_more)
{
    int field = field_named(x->rows, name);
    if (field < 0) {
        UNSOUND(x, line, ST_NOT_FOUND, "this section has no %s.", name);
        return;
    }
    if (x->line[field] && !is_more) {
        UNSOUND(x, line, ST_EXISTS, "%s is given already, on line %d.", name, x->line[field]);
        return;
    }
    struct text t = {.buf = x->text[field], .cap = FIELD_CAP, .len = strlen(x->text[field])};
    text_addf(&t, "%s%s", is_more && t.len > 0 ? " " : "", value);
    if (t.is_cut)
        UNSOUND(x, line, ST_RANGE, "%s is far too long.", name);
    if (!x->line[field])
        x->line[field] = line;
}

int fields_where(const struct fields *x, int field)
{
    return x->line[field] ? x->line[field] : x->section_line;
}

bool fields_are_sound(struct fields *x)
{
    bool is_sound = true;
    for (int i = 0; i < FIELDS_MAX; i++) {
        const struct field_row *row = &x->rows[i];
        if (!row->name)
            continue;
        if (row->is_required && !x->line[i]) {
            UNSOUND(x, x->section_line, ST_NOT_FOUND, "%s is missing in this section.", row->name);
            is_sound = false;
        } else if (row->max && x->line[i] && (row->is_required || x->text[i][0] != '\0') &&
                   (strlen(x->text[i]) > (size_t)row->max || !is_plain_text(x->text[i], row->max))) {
            UNSOUND(x, x->line[i], ST_RANGE, "%s must be a text of 1 to %d bytes.", row->name, row->max);
            is_sound = false;
        }
    }
    return is_sound;
}

const struct source *fields_source(struct fields *x, const struct known *known, int line, const char *id)
{
    bool is_checked = known && known->sources;
    const struct source *s = is_checked ? sources_find(known->sources, known->source_count, id) : NULL;
    if (!is_item(id))
        UNSOUND(x, line, ST_SYNTAX, "a source's id is 1 to 32 letters, digits, points or hyphens.%s", beside(id));
    else if (!s && is_checked)
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

void fields_origin(struct fields *x, const struct known *known, int source, int status, struct origin *out)
{
    const char *id = x->text[source];
    int line = fields_where(x, source), standing = standing_named(x->text[status]);
    if (standing < 0) {
        UNSOUND(x, fields_where(x, status), ST_SYNTAX,
                "status is one of: published, common practice, judgement, from memory.%s", beside(x->text[status]));
        return;
    }
    out->standing = (enum standing)standing;
    (void)text_copy(out->source, sizeof out->source, id);
    if (id[0] != '\0') {
        const struct source *s = fields_source(x, known, line, id);
        if (s && source_is_memory(s) && standing == STANDING_PUBLISHED)
            UNSOUND(x, fields_where(x, status), ST_RANGE,
                    "source %s is known from memory only: the status cannot be published.", id);
    } else if (standing == STANDING_PUBLISHED || standing == STANDING_MEMORY) {
        UNSOUND(x, line, ST_NOT_FOUND, "what is %s needs a source.", STANDING_WORDS[standing]);
    }
}

bool fields_yes(struct fields *x, int field)
{
    bool is_yes = strcmp(x->text[field], "yes") == 0;
    if (x->line[field] && !is_yes && strcmp(x->text[field], "no") != 0)
        UNSOUND(x, x->line[field], ST_SYNTAX, "%s is yes or no.%s", x->rows[field].name,
                beside(x->text[field]));
    return is_yes;
}

const char *next_word(char **at)
{
    char *word = *at + strspn(*at, ", \t");
    size_t n = strcspn(word, ", \t");
    *at = word + n + (word[n] != '\0');
    word[n] = '\0';
    return word;
}

const char *behind(const char *section, const char *kind)
{
    size_t n = strlen(kind);
    if (strncmp(section, kind, n) != 0 || section[n] != ' ')
        return NULL;
    return section + n + strspn(section + n, " \t");
}

int key_named(const char *name)
{
    for (int i = 0; i < KEY_COUNT; i++)
        if (strcmp(PROTOCOL_KEYS[i].name, name) == 0)
            return i;
    return -1;
}

const char *beside(const char *value)
{
    return strpbrk(value, "#;") ? " Nothing stands behind it: a comment has a line of its own." : "";
}

static void say_words(struct fields *x, int line, const struct protocol_key_row *row, const char *value)
{
    char said[120];
    struct text t;
    text_init(&t, said, sizeof said);
    for (int i = 0; i <= row->high; i++)
        text_addf(&t, "%s%s", i ? ", " : "", row->words[i]);
    UNSOUND(x, line, ST_RANGE, "%s is one of: %s.%s", row->name, said, beside(value));
}

/* The likely slips: a unit behind the number, a comment, a sign or a point. */
static void say_number(struct fields *x, int line, const struct protocol_key_row *row, const char *value)
{
    char given[40];
    (void)text_copy(given, sizeof given, value);
    UNSOUND(x, line, ST_SYNTAX, "%s is `%s`; it must be a whole number alone, without needless zeros.%s%s%s%s", row->name, given,
            row->unit[0] ? " Its unit, " : "", row->unit, row->unit[0] ? ", is not written." : "", beside(value));
}

static bool read_word(struct fields *x, int line, const struct protocol_key_row *row, const char *value, int32_t *out)
{
    for (int i = 0; i <= row->high; i++)
        if (strcmp(row->words[i], value) == 0) {
            *out = i;
            return true;
        }
    say_words(x, line, row, value);
    return false;
}

bool key_read(struct fields *x, int line, int key, const char *value, int32_t *out)
{
    const struct protocol_key_row *row = &PROTOCOL_KEYS[key];
    int64_t v = 0;
    if (row->words)
        return read_word(x, line, row, value, out);
    enum status st = parse_int(value, row->low, row->high, &v, NULL);
    if (st == ST_SYNTAX)
        say_number(x, line, row, value);
    else if (st != ST_OK)
        UNSOUND(x, line, st, "%s is %.20s; it may be %d to %d.", row->name, value, (int)row->low, (int)row->high);
    else
        *out = (int32_t)v;
    return st == ST_OK;
}
