/* SPDX-License-Identifier: GPL-3.0-or-later */
/* A protocol's values in words, and who says so. */
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

static bool is_published(const struct protocol *p, enum protocol_key key)
{
    const struct published *all = &p->published[key];
    for (int i = 0; i < all->count; i++)
        if (p->value[key] >= all->ranges[i].low && p->value[key] <= all->ranges[i].high)
            return true;
    return false;
}

/* No source stands with it, though others publish theirs. */
static bool is_own_beside_published(const struct protocol *p, enum protocol_key key)
{
    return p->origin[key].source[0] == '\0' && p->published[key].count > 0 && !is_published(p, key);
}

bool protocol_departs_from_published(const struct protocol *p, enum protocol_key key)
{
    const bool is_step = key == KEY_ARMS_REPEAT || key == KEY_STANDING_READINGS;
    return is_own_beside_published(p, key) && !(is_step && p->value[key] == 0);
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

/* Files hold a limit that is passed by one more; where that one is round, those who publish it say `10 or more`. */
static bool is_or_more(enum protocol_key key, int32_t value)
{
    return (key == KEY_EXTRA_OVER_MMHG || key == KEY_ARMS_OVER_MMHG) && value % 10 == 9;
}

static void add_value(struct text *t, enum protocol_key key, int32_t value)
{
    add_bare(t, &PROTOCOL_KEYS[key], value);
    add_unit(t, &PROTOCOL_KEYS[key]);
    if (is_or_more(key, value))
        text_addf(t, ", that is %d or more apart", (int)value + 1);
}

void protocol_say_value(enum protocol_key key, int32_t value, char *out, size_t cap)
{
    struct text t;
    text_init(&t, out, cap);
    add_value(&t, key, value);
}

static void say_range(struct text *t, enum protocol_key key, int32_t low, int32_t high)
{
    const struct protocol_key_row *row = &PROTOCOL_KEYS[key];
    if (low == high) {
        add_value(t, key, low);
    } else if (low <= row->low && high >= row->high) {
        text_add(t, "any");
    } else if (!row->words && high >= row->high) {
        add_value(t, key, low);
        text_add(t, " or more");
    } else if (!row->words && low <= row->low) {
        text_add(t, "at most ");
        add_value(t, key, high);
    } else {
        add_bare(t, row, low);
        text_add(t, row->words ? " or " : " to ");
        add_value(t, key, high);
    }
}

void protocol_say_range(enum protocol_key key, int32_t low, int32_t high, char *out, size_t cap)
{
    struct text t;
    text_init(&t, out, cap);
    say_range(&t, key, low, high);
}

void protocol_say_published(const struct protocol *p, enum protocol_key key, char *out, size_t cap)
{
    const struct published *all = &p->published[key];
    struct text t;
    text_init(&t, out, cap);
    for (int i = 0; i < all->count; i++) {
        text_add(&t, i > 0 ? ", or " : "");
        say_range(&t, key, all->ranges[i].low, all->ranges[i].high);
    }
}

/* ---- who says so ---- */

bool protocol_rests_on_source(const struct protocol *p, enum protocol_key key)
{
    if (p->origin[key].source[0] == '\0')
        return false;
    return p->says[key].is_known ? !protocol_deviates(p, key) : !protocol_differs_from_base(p, key);
}

struct origin protocol_origin(const struct protocol *p, enum protocol_key key)
{
    struct origin origin = p->origin[key];
    if (origin.source[0] != '\0' && !protocol_rests_on_source(p, key))
        origin = (struct origin){.source = "", .standing = STANDING_JUDGEMENT};
    return origin;
}

static void add_origin(struct text *t, const struct origin *origin)
{
    if (origin->standing == STANDING_JUDGEMENT && origin->source[0] == '\0')
        text_addf(t, "%s: our own choice; no published source is known", STANDING_WORDS[origin->standing]);
    else if (origin->standing == STANDING_JUDGEMENT)
        text_addf(t, "%s: our own choice, after %s", STANDING_WORDS[origin->standing], origin->source);
    else
        text_addf(t, "%s%s%s", origin->source, origin->source[0] != '\0' ? ", " : "", STANDING_WORDS[origin->standing]);
}

void origin_say(const struct origin *origin, char *out, size_t cap)
{
    struct text t;
    text_init(&t, out, cap);
    add_origin(&t, origin);
}

/* Reasons, not facts of the trade: what is known of these from elsewhere is not enough to name a source for the number. */
static const char *const WHY_OURS[KEY_COUNT] = {
    [KEY_REST_VALID_S] =
        "Enough to feel the pulse and take the next reading; a site may want a fresher rest, or more time for its kit.",
    [KEY_RENEW_AFTER_GAP_S] =
        "Nobody saw what happened meanwhile; a site where nobody can get up unseen may allow more.",
    [KEY_INFLATION_LONG_S] =
        "Room to let a high pressure down slowly, and an end for the arm's sake; a site with slow pulses may want more.",
    [KEY_NO_ESTIMATE_FLOOR_MMHG] =
        "Nothing felt tells how high to go, so it is set high; a site that sees higher pressures may want more.",
    [KEY_TARGET_HIGH_MMHG] =
        "A harder squeeze than needed hurts; it is only noted, so a site may be stricter or leave more room.",
    [KEY_FIRST_CLEAR_MMHG] =
        "Two lines of the dial: nearer than that it may have begun higher up; a site may ask for more.",
    [KEY_GAP_SUSPECT_MMHG] =
        "Two steps of the palpation, so that a pulse felt a little off is no gap; a site may look closer.",
    [KEY_RELEASE_SLACK_X10] =
        "Hands and stopwatches are not exact to less; a site that trains may want none.",
    [KEY_RELEASE_VOID_X10] =
        "Twice the quickest of the band (DEFL-2); a site may be stricter, as quicker is always worse.",
    [KEY_RELEASE_SPAN_MMHG] =
        "Over less the two lines that are read make the rate too unsure; a site with a recorder may take less.",
    [KEY_READINGS_MIN] =
        "As few as make a mean, as the subject stands up after; a site may want more.",
    [KEY_READINGS_MAX] =
        "Room for those that do not count, and an end for the arm's sake; a site may stop sooner or go on.",
    [KEY_EXTRA_OVER_MMHG] =
        "The source of the readings gives no figure, so a round one stands here; a site's own guideline may give one.",
    [KEY_EXTRA_READINGS] =
        "The source of the readings asks for none; a site may want another where the first two lie apart.",
    [KEY_FIRST_ARMS] =
        "Lying and standing are compared on one arm; a site may read both first.",
    [KEY_USUAL] =
        "It saves a squeeze where the person is known; a site that trains may want the palpation each time.",
    [KEY_ARMS_REPEAT] =
        "It costs two more squeezes; a site that goes by the arms' difference may want to be sure of it.",
    [KEY_STANDING_READINGS] =
        "Only the protocol of lying and standing has them; a site may want them of those whose pressure falls on standing.",
    [KEY_STANDING_LATE_S] =
        "A minute off still belongs to its time; it is only noted, so a site may be stricter.",
    [KEY_CUFF_GAP_MM] =
        "Ranges come in whole centimetres, so 26.5 cm lies between two (CUFF-1); a site without such gaps may set 0.",
    [KEY_ARM_HEIGHT_MM] =
        "What the eye judges as heart level; a site that measures the height may set less.",
    [KEY_WITHIN_DIASTOLIC_SD_X10] =
        "Taken from the systolic, for want of one of its own; a site that knows its readers' spread may give it.",
    [KEY_WITHIN_SD_DF] =
        "Fitted to how much that study's spreads differ from person to person; a site with figures of its own may give others.",
    [KEY_LAPSES_MAX] =
        "Room for a slip of the mind or two among some forty things; a course may allow none at its end, or more at its start.",
    [KEY_UNSEEN_MAX] =
        "A witness looks away now and then, but judges nothing that was not seen; a course may want all of it seen.",
    [KEY_LOOK_MIN_X10] =
        "To look at one thing and press a key takes about so long; it is only shown, so a site may set more.",
};

const char *protocol_why_ours(enum protocol_key key)
{
    return WHY_OURS[key];
}

static void add_own(const struct protocol *p, enum protocol_key key, struct text *t)
{
    const struct origin *origin = &p->origin[key];
    text_add(t, "this protocol's own; ");
    if (origin->source[0] == '\0') {
        text_add(t, "no published source is known");
        return;
    }
    text_addf(t, "%s says ", origin->source);
    if (p->says[key].is_known)
        say_range(t, key, p->says[key].low, p->says[key].high);
    else
        text_add(t, "something else, or nothing, of it");
}

void protocol_say_source(const struct protocol *p, enum protocol_key key, char *out, size_t cap)
{
    const bool is_other = protocol_differs_from_base(p, key);
    struct text t;
    text_init(&t, out, cap);
    if (is_own_beside_published(p, key)) {
        char published[160];
        protocol_say_published(p, key, published, sizeof published);
        text_addf(&t, "%s: our own choice; published: %s", STANDING_WORDS[p->origin[key].standing], published);
    } else if (protocol_rests_on_source(p, key) || (p->origin[key].source[0] == '\0' && !is_other))
        add_origin(&t, &p->origin[key]);
    else
        add_own(p, key, &t);
    if (is_other) {
        text_addf(&t, "; %s, which it was copied from, has ", p->copied_from);
        add_value(&t, key, p->base_value[key]);
    }
}

void protocol_say_asks(const struct protocol *p, char *out, size_t cap)
{
    static const char *const MEANS[AVERAGE_OF_COUNT] = {"mean of all", "mean of the last two", "mean without the first",
                                                        "lower of the last two"};
    const int32_t average = p->value[KEY_AVERAGE], readings = p->value[KEY_READINGS_MIN];
    struct text t;
    text_init(&t, out, cap);
    text_addf(&t, "%d reading%s", (int)readings, readings == 1 ? "" : "s");
    if (average >= 0 && average < AVERAGE_OF_COUNT)
        text_addf(&t, ", %s", MEANS[average]);
}
