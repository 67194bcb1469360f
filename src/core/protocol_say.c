/* SPDX-License-Identifier: GPL-3.0-or-later */
/* A protocol's values in words, and how far it goes its own way. */
#include <string.h>

#include "stillarm/protocol.h"
#include "stillarm/text.h"

bool protocol_deviates(const struct protocol *p, enum protocol_key key)
{
    const struct says *says = &p->says[key];
    return says->is_known && (p->value[key] < says->low || p->value[key] > says->high);
}

bool protocol_differs_from_base(const struct protocol *p, enum protocol_key key)
{
    return p->has_base && p->value[key] != p->base_value[key];
}

static bool goes_its_own_way(const struct protocol *p, enum protocol_key key)
{
    return protocol_deviates(p, key) || protocol_differs_from_base(p, key);
}

int protocol_deviations(const struct protocol *p)
{
    int n = p->left_out_count;
    for (int key = 0; key < KEY_COUNT; key++)
        n += goes_its_own_way(p, (enum protocol_key)key);
    return n;
}

/* Files hold tenths and hundredths as whole numbers; people read a point. */
static const struct {
    const char *prefix;
    int32_t parts;
    int decimals;
} SCALES[] = {{"tenths of ", 10, 1}, {"hundredths of ", 100, 2}};

static void add_number(struct text *t, const struct protocol_key_row *row, int32_t value)
{
    for (size_t i = 0; i < ARRAY_LEN(SCALES); i++) {
        if (strncmp(row->unit, SCALES[i].prefix, strlen(SCALES[i].prefix)) == 0) {
            text_addf(t, "%d.%0*d", (int)(value / SCALES[i].parts), SCALES[i].decimals,
                      (int)(value % SCALES[i].parts));
            return;
        }
    }
    text_addf(t, "%d", (int)value);
}

static void add_unit(struct text *t, const struct protocol_key_row *row)
{
    const char *unit = row->unit;
    for (size_t i = 0; i < ARRAY_LEN(SCALES); i++) {
        if (strncmp(unit, SCALES[i].prefix, strlen(SCALES[i].prefix)) == 0)
            unit += strlen(SCALES[i].prefix);
    }
    if (unit[0] != '\0')
        text_addf(t, " %s", unit);
}

/* A word outside its list is shown as its number: a protocol that was never checked must not be read past its
 * end. */
static bool is_word(const struct protocol_key_row *row, int32_t value)
{
    return row->words && value >= row->low && value <= row->high;
}

static void add_bare(struct text *t, const struct protocol_key_row *row, int32_t value)
{
    if (is_word(row, value))
        text_add(t, row->words[value]);
    else
        add_number(t, row, value);
}

static void add_value(struct text *t, enum protocol_key key, int32_t value)
{
    add_bare(t, &PROTOCOL_KEYS[key], value);
    add_unit(t, &PROTOCOL_KEYS[key]);
}

void protocol_say_value(enum protocol_key key, int32_t value, char *out, size_t cap)
{
    struct text t;
    text_init(&t, out, cap);
    add_value(&t, key, value);
}

static void add_says(struct text *t, enum protocol_key key, const struct says *says)
{
    const struct protocol_key_row *row = &PROTOCOL_KEYS[key];
    if (says->low == says->high) {
        add_value(t, key, says->low);
        return;
    }
    add_bare(t, row, says->low);
    text_add(t, row->words ? " or " : " to ");
    add_value(t, key, says->high);
}

static void say_key(const struct protocol *p, enum protocol_key key, struct text *t)
{
    text_addf(t, "%s is ", PROTOCOL_KEYS[key].name);
    add_value(t, key, p->value[key]);
    if (protocol_deviates(p, key)) {
        text_addf(t, "; %s says ", p->origin[key].source);
        add_says(t, key, &p->says[key]);
    }
    if (protocol_differs_from_base(p, key)) {
        text_addf(t, "; %s has ", p->copied_from);
        add_value(t, key, p->base_value[key]);
    }
}

bool protocol_say_deviation(const struct protocol *p, int nth, char *out, size_t cap)
{
    struct text t;
    if (nth < 0)
        return false;
    text_init(&t, out, cap);
    for (int key = 0; key < KEY_COUNT; key++) {
        if (goes_its_own_way(p, (enum protocol_key)key) && nth-- == 0) {
            say_key(p, (enum protocol_key)key, &t);
            return true;
        }
    }
    if (nth >= p->left_out_count)
        return false;
    text_addf(&t, "leaves out %s of %s", p->left_out[nth], p->copied_from);
    return true;
}
