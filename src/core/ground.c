/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "stillarm/ground.h"

#include <string.h>

#include "core/engine.h"
#include "stillarm/text.h"

const char *const GROUND_KIND_WORDS[GROUND_KIND_COUNT] = {"refusal", "void", "remark on a reading",
                                                          "remark on a sitting"};

#define ROW(of, number, word) .id = word, .kind = of, .index = number
#define FROM_KEY(k) .key = (int)(k) + 1, .source = ""
#define PUBLISHED(from) .source = from, .standing = STANDING_PUBLISHED
#define MEMORY(from) .source = from, .standing = STANDING_MEMORY
#define COMMON .source = "", .standing = STANDING_COMMON
#define OURS .source = "", .standing = STANDING_JUDGEMENT

static const struct ground VOIDS[] = {
    {ROW(GROUND_VOID, 0, "target.low"), FROM_KEY(KEY_MARGIN_MMHG),
     .says = "The cuff was not pumped as far as asked.",
     .because = "A silent gap could hide the first sounds above the target (GAP-1)."},
    {ROW(GROUND_VOID, 1, "first.at-target"), FROM_KEY(KEY_FIRST_CLEAR_MMHG),
     .says = "Sounds were heard as soon as the valve opened.",
     .because = "The first sound may lie above the target: empty the cuff, wait, pump higher (PALP-8)."},
    {ROW(GROUND_VOID, 2, "release.fast"), FROM_KEY(KEY_RELEASE_VOID_X10),
     .says = "The air went out too quickly.",
     .because = "The needle falls too far between two beats: systolic reads low, diastolic high (DEFL-5)."},
    {ROW(GROUND_VOID, 3, "reading.brief"), FROM_KEY(KEY_RELEASE_VOID_X10),
     .says = "The cuff was up for less time than its fall takes.",
     .because = "At no release that counts could the needle have come down so far so soon."},
    {ROW(GROUND_VOID, 4, "gap.suspect"), FROM_KEY(KEY_GAP_SUSPECT_MMHG),
     .says = "The first sound lies far below the pressure at which the pulse was felt.",
     .because = "It may be the end of a silent gap of up to 40 mmHg (GAP-1). Where only its going was told, felt is a step below."},
    {ROW(GROUND_VOID, 5, "interrupted"), PUBLISHED("PREP-4"),
     .says = "Somebody spoke or moved, or something else came between, while the cuff was up.",
     .because = "Neither person talks in the rest or in the reading."},
    {ROW(GROUND_VOID, 6, "resumed"), OURS,
     .says = "The program was started anew while the cuff was up.",
     .because = "Nobody can vouch for what happened to the cuff in between."},
    {ROW(GROUND_VOID, 7, "given-up"), OURS,
     .says = "It was given up before its first value.",
     .because = "A reading without values cannot count; its reason is on the record."},
    {ROW(GROUND_VOID, 8, "lapse"), OURS,
     .says = "Before a witness, something was left out without which no reading counts.",
     .because = "A witness refuses nothing; what would have been refused to anybody alone does not count."},
};
_Static_assert(ARRAY_LEN(VOIDS) == VOID_REASON_COUNT, "one row per void reason");

static const struct ground READING_REMARKS[] = {
    {ROW(GROUND_READING_REMARK, 0, "target.capped"), OURS,
     .says = "The target was cut to the top of the gauge.",
     .because = "The dial ends there; it cannot be pumped any higher."},
    {ROW(GROUND_READING_REMARK, 1, "target.high"), FROM_KEY(KEY_TARGET_HIGH_MMHG),
     .says = "The cuff was pumped well above the target.",
     .because = "A harder squeeze than needed is unpleasant, and tells no more."},
    {ROW(GROUND_READING_REMARK, 2, "release.quick"), FROM_KEY(KEY_RELEASE_HIGH_X10),
     .says = "The release was quicker than the band.",
     .because = "The quicker it is, the further the needle falls between two beats (DEFL-5)."},
    {ROW(GROUND_READING_REMARK, 3, "release.slow"), FROM_KEY(KEY_RELEASE_LOW_X10),
     .says = "The release was slower than the band.",
     .because = "A long squeeze is unpleasant; with a slow pulse a slow release is right and not noted (DEFL-3)."},
    {ROW(GROUND_READING_REMARK, 4, "gap.noted"), FROM_KEY(KEY_GAP_SUSPECT_MMHG),
     .says = "The first sound lies far below the pulse felt, for the second time on this arm.",
     .because = "Palpated again and found again, it is the arm and not the hand, so the reading may count."},
    {ROW(GROUND_READING_REMARK, 5, "interval.long"), FROM_KEY(KEY_INTERVAL_MAX_S),
     .says = "The wait before it was longer than asked.",
     .because = "Readings that are averaged belong to one stretch of rest."},
    {ROW(GROUND_READING_REMARK, 6, "inflation.long"), FROM_KEY(KEY_INFLATION_LONG_S),
     .says = "The cuff was up for long.",
     .because = "A long squeeze is unpleasant; the arm needs to recover from it."},
    {ROW(GROUND_READING_REMARK, 7, "corrected"), OURS,
     .says = "A value was corrected after entry.",
     .because = "Both values stay on the log, so that the change can be judged."},
    {ROW(GROUND_READING_REMARK, 8, "gap.heard"), PUBLISHED("PALP-9"),
     .says = "A silent gap: sounds were heard, lost, and came back.",
     .because = "The gap's range is written with the reading, so that the next to measure pumps above it."},
    {ROW(GROUND_READING_REMARK, 9, "standing.late"), FROM_KEY(KEY_STANDING_LATE_S),
     .says = "It was taken later after standing up than asked.",
     .because = "Readings standing are compared at agreed times."},
    {ROW(GROUND_READING_REMARK, 10, "pair.differs"), FROM_KEY(KEY_PAIR_OVER_MMHG),
     .says = "Two listeners of the same fall heard it further apart than the protocol's limit.",
     .because = "Both values stay as they were heard; which ear is nearer shows only over many pairs."},
};
_Static_assert(ARRAY_LEN(READING_REMARKS) == READING_REMARK_COUNT, "one row per remark on a reading");

static const struct ground SITTING_REMARKS[] = {
    {ROW(GROUND_SITTING_REMARK, 0, "clock.back"), OURS,
     .says = "The machine's clock went back during the sitting.",
     .because = "Waits across that moment cannot be vouched for."},
    {ROW(GROUND_SITTING_REMARK, 1, "arms.differ"), FROM_KEY(KEY_ARMS_OVER_MMHG),
     .says = "The two arms lie further apart than the protocol's limit.",
     .because = "The bodies name different limits and agree that the higher arm is used from then on."},
    {ROW(GROUND_SITTING_REMARK, 2, "arm.other"), FROM_KEY(KEY_PRIOR_ARM),
     .says = "Another arm was used than at the last visit.",
     .because = "The arms can differ, so visits are compared on the same one (ARM-1)."},
    {ROW(GROUND_SITTING_REMARK, 3, "readings.unsettled"), FROM_KEY(KEY_READINGS_MAX),
     .says = "The readings did not settle within the most that are taken.",
     .because = "More squeezes would not make the number better; the average stands with this remark."},
    {ROW(GROUND_SITTING_REMARK, 4, "standing.drop"), FROM_KEY(KEY_DROP_SYSTOLIC_MMHG),
     .says = "Standing, the pressure lay lower than lying by the protocol's limit or more.",
     .because = "A fall of 20 systolic or 10 diastolic within 3 minutes of standing is the agreed mark (OH-1)."},
    {ROW(GROUND_SITTING_REMARK, 5, "severe.alone"), COMMON,
     .says = "A very high value was not read again.",
     .because = "Before anybody acts on such a value it is read again on the same arm, after a minute at least."},
    {ROW(GROUND_SITTING_REMARK, 6, "bladder.small"), FROM_KEY(KEY_BLADDER_WIDTH_PCT),
     .says = "The bladder is narrower or shorter than the arm asks for.",
     .because = "Too small a bladder reads high; the range marked on the cuff still comes first."},
    {ROW(GROUND_SITTING_REMARK, 7, "cuff.gap"), FROM_KEY(KEY_CUFF_GAP_MM),
     .says = "The arm lies between the marked ranges of two cuffs, and the larger one was used.",
     .because = "Ranges are published in whole centimetres; too small a cuff is the worse error."},
    {ROW(GROUND_SITTING_REMARK, 8, "arms.barred"), PUBLISHED("JOB-1"),
     .says = "An arm could not be used.",
     .because = "Whoever compares this visit with another must know why that arm is missing."},
    {ROW(GROUND_SITTING_REMARK, 9, "symptoms"), MEMORY("SEV-7"),
     .says = "Asked after a very high or low value, the person had symptoms.",
     .because = "With symptoms the site's own procedure comes before any further reading."},
    {ROW(GROUND_SITTING_REMARK, 10, "symptoms.unasked"), MEMORY("SEV-7"),
     .says = "After the latest very high or low value nobody said whether the person had symptoms.",
     .because = "Whoever reads the record must know that the question was left open."},
};
_Static_assert(ARRAY_LEN(SITTING_REMARKS) == SITTING_REMARK_COUNT, "one row per remark on a sitting");

const struct ground *ground_at(int n)
{
    static const struct {
        const struct ground *rows;
        int count;
    } TABLES[] = {{VOIDS, VOID_REASON_COUNT},
                  {READING_REMARKS, READING_REMARK_COUNT},
                  {SITTING_REMARKS, SITTING_REMARK_COUNT}};
    if (n < 0)
        return NULL;
    if (n < RULE_COUNT - 1)
        return &rule_row((enum rule)(n + 1))->ground; /* past RULE_NONE */
    n -= RULE_COUNT - 1;
    for (size_t i = 0; i < ARRAY_LEN(TABLES); i++) {
        if (n < TABLES[i].count)
            return &TABLES[i].rows[n];
        n -= TABLES[i].count;
    }
    return NULL;
}

const struct ground *ground_find(const char *id)
{
    const struct ground *g;
    for (int n = 0; (g = ground_at(n)) != NULL; n++) {
        if (strcmp(g->id, id) == 0)
            return g;
    }
    return NULL;
}

struct origin ground_origin(const struct ground *g, const struct protocol *p)
{
    struct origin origin = {.source = "", .standing = STANDING_JUDGEMENT};
    if (g->key && p)
        return protocol_origin(p, (enum protocol_key)(g->key - 1));
    if (!g->key) {
        text_copy(origin.source, sizeof origin.source, g->source);
        origin.standing = g->standing;
    }
    return origin;
}

/* A ground names the key that it mostly hangs on; these stand beside that one. */
static const struct {
    enum protocol_key key;
    int count;
    enum protocol_key also[5];
} BESIDE[] = {
    {KEY_LEAK_MAX_MMHG_PER_MIN, 2, {KEY_COMPARISON_MAX_MMHG, KEY_ZERO_MAX_MMHG}},
    {KEY_SEVERE_SYSTOLIC_MMHG, 2, {KEY_SEVERE_DIASTOLIC_MMHG, KEY_SEVERE_WHEN}},
    {KEY_DROP_SYSTOLIC_MMHG, 1, {KEY_DROP_DIASTOLIC_MMHG}},
    {KEY_BLADDER_WIDTH_PCT, 1, {KEY_BLADDER_LENGTH_PCT}},
    {KEY_STANDING_FIRST_S, 1, {KEY_STANDING_SECOND_S}},
    {KEY_RELEASE_LOW_X10, 2, {KEY_RELEASE_SLACK_X10, KEY_RELEASE_BEAT_X100}},
    {KEY_RELEASE_HIGH_X10, 1, {KEY_RELEASE_SLACK_X10}},
    {KEY_RELEASE_VOID_X10, 1, {KEY_RELEASE_SPAN_MMHG}},
    {KEY_FIRST_ARMS, 2, {KEY_ARMS_REPEAT, KEY_ARMS_OVER_MMHG}},
    {KEY_READINGS_MIN,
     5,
     {KEY_READINGS_IRREGULAR, KEY_EXTRA_OVER_MMHG, KEY_EXTRA_READINGS, KEY_ALONE_BELOW_SYSTOLIC_MMHG,
      KEY_ALONE_BELOW_DIASTOLIC_MMHG}},
};

bool ground_key_of(const struct ground *g, int nth, enum protocol_key *out)
{
    if (!g->key || nth < 0)
        return false;
    *out = (enum protocol_key)(g->key - 1);
    for (size_t i = 0; nth > 0 && i < ARRAY_LEN(BESIDE); i++) {
        if (BESIDE[i].key != *out)
            continue;
        if (nth > BESIDE[i].count)
            return false;
        *out = BESIDE[i].also[nth - 1];
        return true;
    }
    return nth == 0;
}
