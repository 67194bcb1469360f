/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "config/category_text.h"

#include <string.h>

#include "stillarm/text.h"

#define MMHG_MAX 400

enum { F_SOURCE, F_STATUS, HEAD_ID, HEAD_TITLE };
enum { PART_SAY = F_STATUS + 1, PART_SYSTOLIC, PART_DIASTOLIC, PART_WHEN, PART_REPLACES };

#define HEAD_ROOM ((int)sizeof(((struct category_scheme *)0)->title) - 1)
#define SAY_ROOM ((int)sizeof(((struct category_band *)0)->say) - 1)

static const struct field_row FIELDS[PART_COUNT][FIELDS_MAX] = {
    [PART_HEAD] = {[F_SOURCE] = {"source", true, 0},
                   [F_STATUS] = {"status", true, 0},
                   [HEAD_ID] = {"id", true, 0},
                   [HEAD_TITLE] = {"title", true, HEAD_ROOM}},
    [PART_BAND] = {[F_SOURCE] = {"source", false, 0},
                   [F_STATUS] = {"status", false, 0},
                   [PART_SAY] = {"say", true, SAY_ROOM},
                   [PART_SYSTOLIC] = {"systolic", true, 0},
                   [PART_DIASTOLIC] = {"diastolic", true, 0}},
    [PART_FLAG] = {[F_SOURCE] = {"source", false, 0},
                   [F_STATUS] = {"status", false, 0},
                   [PART_SAY] = {"say", true, SAY_ROOM},
                   [PART_SYSTOLIC] = {"systolic", true, 0},
                   [PART_DIASTOLIC] = {"diastolic", true, 0},
                   [PART_WHEN] = {"when", true, 0},
                   [PART_REPLACES] = {"replaces", false, 0}},
};

static const char *const SIDES[] = {"systolic", "diastolic"};

static struct category_scheme *latest(struct category_reader *r)
{
    return &r->list[r->count - 1];
}

/* ---- sections begin ---- */

bool category_owns(const char *section)
{
    return strcmp(section, "categories") == 0 || behind(section, "band") || behind(section, "flag");
}

static void end_scheme(struct category_reader *r);

static bool open_scheme(struct category_reader *r, int line)
{
    end_scheme(r);
    fields_open(r->fields, FIELDS[PART_HEAD], line);
    r->part = PART_HEAD;
    if (r->count == PROTOCOL_SCHEMES_MAX) {
        UNSOUND(r->fields, line, ST_FULL, "there are more than %d category schemes.", PROTOCOL_SCHEMES_MAX);
        return false;
    }
    r->head_line[r->count++] = line;
    return true;
}

/* Line on which this id of the latest scheme stands; 0 where there is none. */
static int line_of_id(const struct category_reader *r, const char *id)
{
    const struct category_scheme *c = &r->list[r->count - 1];
    for (int i = 0; i < c->band_count; i++)
        if (strcmp(c->bands[i].id, id) == 0)
            return r->band_line[i];
    for (int i = 0; i < c->flag_count; i++)
        if (strcmp(c->flags[i].id, id) == 0)
            return r->flag_line[i];
    return 0;
}

static bool open_part(struct category_reader *r, int line, const char *id, const char *word, int count, int max)
{
    fields_open(r->fields, FIELDS[r->part], line);
    if (r->count == 0)
        UNSOUND(r->fields, line, ST_NOT_FOUND, "a %s stands below its [categories].", word);
    else if (!is_item(id))
        UNSOUND(r->fields, line, ST_SYNTAX, "a %s's id is 1 to 32 letters, digits, points or hyphens.", word);
    else if (line_of_id(r, id))
        UNSOUND(r->fields, line, ST_EXISTS, "%s is there already, on line %d.", id, line_of_id(r, id));
    else if (count == max)
        UNSOUND(r->fields, line, ST_FULL, "there are more than %d %ss.", max, word);
    else
        return true;
    return false;
}

static bool open_band(struct category_reader *r, int line, const char *id)
{
    r->part = PART_BAND;
    if (!open_part(r, line, id, "band", r->count ? latest(r)->band_count : 0, CATEGORY_BANDS_MAX))
        return false;
    struct category_scheme *c = latest(r);
    r->band_line[c->band_count] = line;
    (void)text_copy(c->bands[c->band_count++].id, ITEM_CAP, id);
    return true;
}

static bool open_flag(struct category_reader *r, int line, const char *id)
{
    r->part = PART_FLAG;
    if (!open_part(r, line, id, "flag", r->count ? latest(r)->flag_count : 0, CATEGORY_FLAGS_MAX))
        return false;
    struct category_scheme *c = latest(r);
    r->flag_line[c->flag_count] = line;
    (void)text_copy(c->flags[c->flag_count++].id, ITEM_CAP, id);
    return true;
}

bool category_open(struct category_reader *r, int line, const char *section)
{
    const char *band = behind(section, "band"), *flag = behind(section, "flag");
    return band ? open_band(r, line, band) : flag ? open_flag(r, line, flag) : open_scheme(r, line);
}

/* ---- sections end ---- */

static bool read_mmhg(const char *word, int32_t *out)
{
    int64_t v = 0;
    if (parse_int(word, 1, MMHG_MAX, &v, NULL) != ST_OK)
        return false;
    *out = (int32_t)v;
    return true;
}

static bool is_range(const char *text, struct range *out)
{
    char words[FIELD_CAP];
    char *at = words;
    (void)text_copy(words, sizeof words, text);
    const char *first = next_word(&at), *second = next_word(&at), *third = next_word(&at);
    if (*next_word(&at) != '\0')
        return false;
    if (strcmp(first, "-") == 0 && *second == '\0')
        return out->is_none = true;
    if (strcmp(first, "below") == 0 && *third == '\0' && read_mmhg(second, &out->high)) {
        out->high--;
        return true;
    }
    if (!read_mmhg(first, &out->low))
        return false;
    if (strcmp(second, "or") == 0 && strcmp(third, "more") == 0)
        return true;
    return strcmp(second, "to") == 0 && read_mmhg(third, &out->high);
}

static struct range read_range(struct category_reader *r, int field)
{
    struct fields *x = r->fields;
    struct range range = {.low = RANGE_OPEN, .high = RANGE_OPEN, .line = fields_where(x, field)};
    if (!is_range(x->text[field], &range)) {
        UNSOUND(x, range.line, ST_SYNTAX, "%s is written as below 120, 120 to 129, 140 or more, or -.%s",
                x->rows[field].name, beside(x->text[field]));
    } else if (range.low != RANGE_OPEN && range.high != RANGE_OPEN && range.low > range.high) {
        UNSOUND(x, range.line, ST_RANGE, "%s runs from %d down to %d.", x->rows[field].name, (int)range.low,
                (int)range.high);
    }
    return range;
}

static void read_part_origin(struct category_reader *r, struct origin *out)
{
    if (r->fields->line[F_SOURCE] || r->fields->line[F_STATUS])
        fields_origin(r->fields, r->known, F_SOURCE, F_STATUS, out);
    else
        *out = r->origin;
}

static void close_head(struct category_reader *r)
{
    struct fields *x = r->fields;
    struct category_scheme *c = latest(r);
    const char *id = x->text[HEAD_ID];
    r->id_line = fields_where(x, HEAD_ID);
    if (!is_item(id))
        UNSOUND(x, r->id_line, ST_SYNTAX, "id must be 1 to 32 letters, digits, points or hyphens.");
    else if (schemes_find(r->list, r->count - 1, id))
        UNSOUND(x, r->id_line, ST_EXISTS, "the scheme %s is there already.", id);
    (void)text_copy(c->id, sizeof c->id, is_item(id) ? id : "");
    (void)text_copy(c->title, sizeof c->title, x->text[HEAD_TITLE]);
    memset(&r->origin, 0, sizeof r->origin);
    fields_origin(x, r->known, F_SOURCE, F_STATUS, &r->origin);
}

static void close_band(struct category_reader *r)
{
    struct category_scheme *c = latest(r);
    int i = c->band_count - 1;
    struct category_band *band = &c->bands[i];
    (void)text_copy(band->say, sizeof band->say, r->fields->text[PART_SAY]);
    for (int side = 0; side < 2; side++) {
        struct range *range = &r->band_range[side][i];
        int32_t *from = side == 0 ? &band->systolic_from_mmhg : &band->diastolic_from_mmhg;
        *range = read_range(r, PART_SYSTOLIC + side);
        *from = range->is_none && i > 0 ? CATEGORY_NO_BOUND : range->low == RANGE_OPEN ? 0 : range->low;
    }
    read_part_origin(r, &band->origin);
}

static void set_bounds(struct range range, int32_t *from, int32_t *below)
{
    *from = range.low == RANGE_OPEN ? CATEGORY_NO_BOUND : range.low;
    *below = range.high == RANGE_OPEN ? CATEGORY_NO_BOUND : range.high + 1;
}

static void close_flag(struct category_reader *r)
{
    struct fields *x = r->fields;
    struct category_scheme *c = latest(r);
    int i = c->flag_count - 1;
    struct category_flag *flag = &c->flags[i];
    (void)text_copy(flag->say, sizeof flag->say, x->text[PART_SAY]);
    set_bounds(read_range(r, PART_SYSTOLIC), &flag->systolic_from_mmhg, &flag->systolic_below_mmhg);
    set_bounds(read_range(r, PART_DIASTOLIC), &flag->diastolic_from_mmhg, &flag->diastolic_below_mmhg);
    flag->is_either = strcmp(x->text[PART_WHEN], "either") == 0;
    if (!flag->is_either && strcmp(x->text[PART_WHEN], "both") != 0)
        UNSOUND(x, fields_where(x, PART_WHEN), ST_SYNTAX, "when is both or either.%s", beside(x->text[PART_WHEN]));
    (void)text_copy(r->replaces[i], ITEM_CAP, x->text[PART_REPLACES]);
    r->replaces_line[i] = x->line[PART_REPLACES];
    read_part_origin(r, &flag->origin);
}

void category_close(struct category_reader *r)
{
    static void (*const CLOSE[PART_COUNT])(struct category_reader *) = {
        [PART_HEAD] = close_head, [PART_BAND] = close_band, [PART_FLAG] = close_flag};
    CLOSE[r->part](r);
}

/* ---- the ladder: every value of a side lies in one band ---- */

/* A scheme may leave one value out of account altogether. */
static bool is_side_used(const struct category_reader *r, int side, int band_count)
{
    for (int i = 0; i < band_count; i++)
        if (!r->band_range[side][i].is_none)
            return true;
    return false;
}

static void check_border(struct category_reader *r, int side, int lower, int upper)
{
    const struct category_band *bands = latest(r)->bands;
    const struct range *a = &r->band_range[side][lower], *b = &r->band_range[side][upper];
    const char *low = bands[lower].id, *high = bands[upper].id;
    int32_t a_from = a->low == RANGE_OPEN ? 0 : a->low, b_from = b->low == RANGE_OPEN ? 0 : b->low;
    if (b_from < a_from)
        UNSOUND(r->fields, b->line, ST_RANGE, "%s begins at a %s of %d, below %s before it at %d: bands rise.", high,
                SIDES[side], (int)b_from, low, (int)a_from);
    else if (a->high == RANGE_OPEN || b_from <= a->high)
        UNSOUND(r->fields, b->line, ST_RANGE, "%s overlaps %s: a %s of %d lies in both.", high, low, SIDES[side],
                (int)b_from);
    else if (b_from > a->high + 1)
        UNSOUND(r->fields, b->line, ST_RANGE, "%s leaves a gap behind %s: a %s of %d lies in no band.", high, low,
                SIDES[side], (int)a->high + 1);
}

static void check_side(struct category_reader *r, int side)
{
    const struct category_scheme *c = latest(r);
    int last = -1;
    if (!is_side_used(r, side, c->band_count))
        return;
    for (int i = 0; i < c->band_count; i++) {
        const struct range *range = &r->band_range[side][i];
        if (range->is_none && i > 0)
            continue;
        if (last >= 0)
            check_border(r, side, last, i);
        else if (range->is_none || range->low != RANGE_OPEN)
            UNSOUND(r->fields, range->line, ST_RANGE, "%s is the first band: its %s is written as below a number.",
                    c->bands[i].id, SIDES[side]);
        last = i;
    }
    if (r->band_range[side][last].high != RANGE_OPEN)
        UNSOUND(r->fields, r->band_range[side][last].line, ST_RANGE,
                "%s is the last band with a %s: it is written as a number or more.", c->bands[last].id, SIDES[side]);
}

static void find_replaced(struct category_reader *r, int i)
{
    struct category_scheme *c = latest(r);
    struct category_flag *flag = &c->flags[i];
    flag->replaces = -1;
    if (!r->replaces_line[i])
        return;
    for (int k = 0; k < c->band_count; k++)
        if (strcmp(c->bands[k].id, r->replaces[i]) == 0)
            flag->replaces = k;
    if (flag->replaces < 0)
        UNSOUND(r->fields, r->replaces_line[i], ST_NOT_FOUND, "replaces names no band of this scheme.");
}

/* category_check() begins its text with the id that it is about. */
static int line_of_text(const struct category_reader *r, const char *text)
{
    char word[ITEM_CAP];
    size_t n = strcspn(text, " :");
    if (n >= sizeof word)
        return r->id_line;
    memcpy(word, text, n);
    word[n] = '\0';
    int line = line_of_id(r, word);
    return line ? line : r->id_line;
}

/* Only a scheme whose sections are all sound is looked at as a whole. */
static void end_scheme(struct category_reader *r)
{
    struct err e = {.code = ST_OK};
    if (r->count == 0)
        return;
    r->id_line = r->id_line ? r->id_line : r->head_line[r->count - 1];
    if (r->fields->faults->count == 0) {
        for (int side = 0; side < 2; side++)
            check_side(r, side);
        for (int i = 0; i < latest(r)->flag_count; i++)
            find_replaced(r, i);
    }
    if (r->fields->faults->count == 0 && category_check(latest(r), &e) != ST_OK)
        UNSOUND(r->fields, line_of_text(r, e.text), e.code, "%s", e.text);
    memset(r->band_range, 0, sizeof r->band_range);
    memset(r->replaces_line, 0, sizeof r->replaces_line);
    r->id_line = 0;
}

void category_end(struct category_reader *r)
{
    end_scheme(r);
}

const struct category_scheme *schemes_find(const struct category_scheme *list, int count, const char *id)
{
    for (int i = 0; i < count; i++)
        if (strcmp(list[i].id, id) == 0)
            return &list[i];
    return NULL;
}

/* ---- a file of its own ---- */

struct file {
    struct fields fields;
    struct category_reader reader;
    bool is_open; /* the latest section has no fault of its own */
    int id_line;
};

static void close_section(struct file *x)
{
    if (x->is_open && fields_are_sound(&x->fields)) {
        category_close(&x->reader);
        if (x->reader.part == PART_HEAD)
            x->id_line = fields_where(&x->fields, HEAD_ID);
    }
    x->is_open = false;
}

static void on_section(void *user, int line, const char *name)
{
    struct file *x = user;
    close_section(x);
    if (!category_owns(name))
        UNSOUND(&x->fields, line, ST_NOT_FOUND,
                "there is no such section; a section is [categories], [band ID] or [flag ID].");
    else if (strcmp(name, "categories") == 0 && x->reader.count > 0)
        UNSOUND(&x->fields, line, ST_EXISTS, "the section [categories] is there already, on line %d.",
                x->reader.head_line[0]);
    else
        x->is_open = category_open(&x->reader, line, name);
}

static void on_value(void *user, int line, const char *name, const char *value, bool is_more)
{
    struct file *x = user;
    if (x->is_open)
        fields_take(&x->fields, line, name, value, is_more);
}

static void on_end(void *user, int line)
{
    struct file *x = user;
    close_section(x);
    if (x->reader.count == 0)
        UNSOUND(&x->fields, line, ST_NOT_FOUND, "the section [categories] is missing.");
    category_end(&x->reader);
}

enum status category_text_parse(const char *text, const struct known *known, struct category_scheme *out, int *id_line,
                                struct faults *f)
{
    struct file x;
    memset(&x, 0, sizeof x); /* padding too: equal schemes are equal bytes */
    x.fields.faults = f;
    x.reader.fields = &x.fields;
    x.reader.known = known;
    const struct ini_reader reader = {.user = &x, .section = on_section, .value = on_value, .end = on_end};
    ini_read(text, &reader, f);
    if (f->count > 0)
        return x.fields.status != ST_OK ? x.fields.status : ST_SYNTAX;
    memcpy(out, &x.reader.list[0], sizeof *out);
    if (id_line)
        *id_line = x.id_line;
    return ST_OK;
}
