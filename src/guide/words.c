/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Words for what the engine knows by id, and figures as they are said. Sizes of errors carry the source they stand in. */
#include <stdio.h>
#include <string.h>

#include "guide/views.h"
#include "stillarm/ground.h"

static void say_seconds(char out[12], int64_t s)
{
    if (s < 0)
        s = 0;
    if (s > 359999)
        s = 359999;
    snprintf(out, 12, "%d:%02d", (int)(s / 60), (int)(s % 60));
}

void say_clock(char out[12], int64_t ms)
{
    say_seconds(out, ms / 1000);
}

void say_countdown(char out[12], int64_t ms)
{
    say_seconds(out, (ms + 999) / 1000);
}

void say_mm(char out[24], int32_t mm)
{
    if (mm % 10 == 0)
        snprintf(out, 24, "%d cm", (int)(mm / 10));
    else
        snprintf(out, 24, "%d.%d cm", (int)(mm / 10), (int)(mm % 10));
}

void say_mmhg(const struct scene *sc, char out[16], int32_t mmhg)
{
    if (sc->is_covered)
        snprintf(out, 16, "---");
    else
        snprintf(out, 16, "%d", (int)mmhg);
}

void say_reading(const struct scene *sc, const struct reading *r, char out[24])
{
    if (sc->is_covered || pair_is_unshown(r))
        snprintf(out, 24, "---/---");
    else
        reading_print(r, out, 24);
    if (out[0] == '\0')
        snprintf(out, 24, "no values");
}

void show_typed(const struct scene *sc, struct page_line *line)
{
    /* Of two listeners' figures even how many digits there are would tell something. */
    if (pair_is_blind(sc->s)) {
        text_copy(line->value, sizeof line->value, sc->entry[0] != '\0' ? "typed, not shown" : "");
        return;
    }
    text_copy(line->value, sizeof line->value, sc->entry);
    for (char *c = line->value; sc->g->is_hidden && *c != '\0'; c++)
        *c = '*';
}

void say_origin(const struct origin *origin, char *out, size_t cap)
{
    snprintf(out, cap, "%s%s%s", origin->source, origin->source[0] != '\0' ? ", " : "", STANDING_WORDS[origin->standing]);
}

const char *arm_words(int32_t arm)
{
    static const char *const WORDS[ARM_COUNT] = { "", "left arm", "right arm" };

    return arm > ARM_NONE && arm < ARM_COUNT ? WORDS[arm] : "";
}

const char *point_words(enum point point)
{
    static const char *const WORDS[POINT_COUNT] = { "pumped to", "first sound", "sounds fell silent", "sounds came back",
                                                    "sounds muffled", "last sound" };
    return WORDS[point];
}

static const struct { const char *why, *remedy; } VOIDS[VOID_REASON_COUNT] = {
    { "the cuff was not pumped far enough, so a silent stretch could hide the first sounds",
      "Take it again and pump to the figure shown." },
    { "sounds were there as soon as the valve opened, so the first may have been missed",
      "Let the wait pass; the next target is higher." },
    { "the air went out too quickly to hear every beat", "Take it again, one line of the dial a second." },
    { "it was too short for listening all the way down", "Take it again, one line of the dial a second." },
    { "the first sound lies far below where the pulse was felt", "Feel the pulse again, then listen again." },
    { "somebody spoke or moved while the cuff was up", "Take it again when all is quiet." },
    { "the program was started anew while the cuff was up", "Take it again." },
    { "it was given up", "Take it again." },
    { "something that it rests on was not as it should be", "" },
};

const char *void_words(int bit)
{
    return VOIDS[bit].why;
}

const char *void_remedy(int bit)
{
    return VOIDS[bit].remedy;
}

static const char *note_words(int bit)
{
    static const char *const WORDS[READING_REMARK_COUNT] = {
        "the target was cut to the top of the gauge",
        "pumped well above the target",
        "the air went out a little quickly",
        "the air went out a little slowly",
        "first sound well below where the pulse was felt, again",
        "the wait before it was longer than asked",
        "the cuff was up for long",
        "corrected after entry; both are on the log",
        "a silent gap: sounds were heard, lost, and came back",
        "taken later after standing up than asked",
        "the two listeners heard it further apart than the protocol's limit",
    };
    return WORDS[bit];
}

/* Which parts of the fall went so: bit 0 from the target to the first sound, bit 1 below it. */
static int parts_of_release(const struct sitting *s, const struct protocol *p, const struct reading *r, uint32_t remark)
{
    int parts = 0;

    for (int i = 0; i < 2; i++)
        if (release_remark(r->rate_x10[i], s->pulse_bpm, p) == remark)
            parts |= 1 << i;
    return parts;
}

const char *note_words_of(const struct sitting *s, const struct protocol *p, const struct reading *r, int bit)
{
    static const char *const QUICK[] = { NULL, "the air went out a little quickly above the first sound",
                                         "the air went out a little quickly below the first sound",
                                         "the air went out a little quickly above and below the first sound" };
    static const char *const SLOW[] = { NULL, "the air went out a little slowly above the first sound",
                                        "the air went out a little slowly below the first sound",
                                        "the air went out a little slowly above and below the first sound" };
    bool is_quick = 1u << bit == NOTE_RELEASE_QUICK, is_slow = 1u << bit == NOTE_RELEASE_SLOW;
    const char *words = NULL;

    if (is_quick || is_slow)
        words = (is_quick ? QUICK : SLOW)[parts_of_release(s, p, r, 1u << bit)];
    return words != NULL ? words : note_words(bit);
}

const char *average_words(const struct protocol *p)
{
    static const char *const WORDS[AVERAGE_OF_COUNT] = { "mean of all readings that count", "mean of the last two that count",
                                                         "mean without the first", "the lower of the last two" };
    int32_t which = p->value[KEY_AVERAGE];

    return which >= 0 && which < AVERAGE_OF_COUNT ? WORDS[which] : "";
}

const char *rule_words(const char *id)
{
    const struct ground *ground = ground_find(id);

    return ground != NULL ? ground->says : id;
}

/* Published sizes of what the rules guard, as far as there are any, with where they stand. */
static const struct rule_cost COSTS[] = {
    { RULE_REST_SHORT, "A rest cut short reads 4 to 12 mmHg high.", "Kallioinen 2017, published",
      "Let the whole rest pass in silence before the cuff is touched." },
    { RULE_REST_MISSING, "Without rest a reading is 4 to 12 mmHg high.", "Kallioinen 2017, published",
      "Begin with the rest, and use it to look at the kit." },
    { RULE_REST_STALE, "A rest too long ago does not count any more.", "our own choice; no published source is known",
      "Lay out the kit before the rest ends." },
    { RULE_CUFF_TOO_SMALL, "A cuff too small reads 2 to 11 mmHg high, two sizes too small about 20.",
      "Kallioinen 2017; Ishigami 2023, published", "Measure the arm, then choose the cuff by its marked range." },
    { RULE_CUFF_TOO_LARGE, "A cuff too large reads 1 to 4 mmHg low.", "Kallioinen 2017, published",
      "Measure the arm, then choose the cuff by its marked range." },
    { RULE_ESTIMATE_MISSING, "Without the palpated estimate a silent gap of up to 40 mmHg can hide the first sounds.",
      "nursing skills text, published", "Feel for the pressure at which the pulse goes, before listening." },
    { RULE_SETTLE_SHORT, "Between feeling and listening the cuff stays empty for 15 to 30 seconds.",
      "medical class notes, published", "Let the arm settle with an empty cuff after feeling the pulse." },
    { RULE_INTERVAL_SHORT, "Readings are taken 1 to 2 minutes apart.", "ACC/AHA 2017, published",
      "Wait out the interval between readings." },
    { RULE_READINGS_FEW, "A single reading is 3 to 10 mmHg high.", "Kallioinen 2017, from memory",
      "Take every reading that the protocol asks for." },
    { RULE_ARMS_FEW, "Arms can differ; on later visits the higher one is read.", "ACC/AHA 2017, published",
      "Read both arms on a first visit." },
};

const struct rule_cost *rule_cost_row(int n)
{
    return n >= 0 && (size_t)n < ARRAY_LEN(COSTS) ? &COSTS[n] : NULL;
}

const struct rule_cost *rule_cost(enum rule rule)
{
    for (size_t i = 0; i < ARRAY_LEN(COSTS); i++)
        if (COSTS[i].rule == rule)
            return &COSTS[i];
    return NULL;
}

void add_cost(struct page *pg, enum rule rule)
{
    const struct rule_cost *row = rule_cost(rule);

    if (row != NULL)
        page_line(pg, LINE_COST, "%s", row->cost);
}

void add_key_source(const struct scene *sc, struct page *pg, enum protocol_key key)
{
    const struct protocol_key_row *row = &PROTOCOL_KEYS[key];
    char shown[64], by[SOURCE_SAID_CAP];

    protocol_say_value(key, sc->p->value[key], shown, sizeof shown);
    protocol_say_source(sc->p, key, by, sizeof by);
    page_line(pg, LINE_ROW, "%s: %s (%s)", row->meaning, shown, by);
    if (sc->p->origin[key].standing == STANDING_JUDGEMENT && !protocol_differs_from_base(sc->p, key) &&
        protocol_why_ours(key) != NULL)
        page_line(pg, LINE_NOTE, "   %s", protocol_why_ours(key));
}
