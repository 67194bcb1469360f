/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "stillarm/protocol.h"

#include <stdio.h>
#include <string.h>

#include "stillarm/text.h"

const char *const STANDING_WORDS[STANDING_COUNT] = {
    [STANDING_PUBLISHED] = "published",
    [STANDING_COMMON] = "common practice",
    [STANDING_JUDGEMENT] = "judgement",
    [STANDING_MEMORY] = "from memory",
};

static const char *const NO_YES[] = {"no", "yes"};
static const char *const AVERAGES[] = {"all", "last-two", "without-first", "lower-of-last-two"};
static const char *const ARMS[] = {"one", "both"};
static const char *const CUFF_BYS[] = {"circumference", "index"};
static const char *const SEVERE_WHENS[] = {"above", "at"};
_Static_assert(ARRAY_LEN(AVERAGES) == AVERAGE_OF_COUNT, "one word per way to average");
_Static_assert(ARRAY_LEN(ARMS) == FIRST_ARMS_COUNT, "one word per choice of arms");
_Static_assert(ARRAY_LEN(CUFF_BYS) == CUFF_BY_COUNT, "one word per way to choose a cuff");
_Static_assert(ARRAY_LEN(SEVERE_WHENS) == SEVERE_WHEN_COUNT, "one word per threshold");

#define NUMBER(lo, hi, of) .low = (lo), .high = (hi), .unit = of
#define OPTIONAL(value) .is_optional = true, .absent = (value)
#define CHOICE(list) .low = 0, .high = (int32_t)ARRAY_LEN(list) - 1, .words = list, .unit = ""

/* Bounds keep the engine safe and catch slips of the writer; they say nothing about what is good practice. */
const struct protocol_key_row PROTOCOL_KEYS[KEY_COUNT] = {
    [KEY_REST_S] = {"rest_s", NUMBER(0, 3600, "s"), .meaning = "rest before the first reading"},
    [KEY_REST_VALID_S] = {"rest_valid_s", NUMBER(60, 7200, "s"),
                          .meaning = "how long a rest stays good until the next inflation"},
    [KEY_SETTLE_S] = {"settle_s", NUMBER(0, 600, "s"), .meaning = "wait with an empty cuff after the palpation"},
    [KEY_INTERVAL_MIN_S] = {"interval_min_s", NUMBER(0, 1800, "s"),
                            .meaning = "shortest wait between two inflations on one arm"},
    [KEY_INTERVAL_MAX_S] = {"interval_max_s", NUMBER(0, 3600, "s"),
                            .meaning = "wait between two readings above which it is noted"},
    [KEY_RENEW_AFTER_GAP_S] = {"renew_after_gap_s", NUMBER(0, 3600, "s"),
                               .meaning = "gap in the sitting after which a new rest is asked for"},
    [KEY_INFLATION_LONG_S] = {"inflation_long_s", NUMBER(30, 600, "s"),
                              .meaning = "time with the cuff up after which it is emptied at once, and that noted"},
    [KEY_MARGIN_MMHG] = {"margin_mmhg", NUMBER(0, 60, "mmHg"),
                         .meaning = "how far above the estimate the cuff is pumped"},
    [KEY_NO_ESTIMATE_FLOOR_MMHG] = {"no_estimate_floor_mmhg", NUMBER(100, 260, "mmHg"),
                                    .meaning = "lowest target where no pulse can be felt"},
    [KEY_TARGET_HIGH_MMHG] = {"target_high_mmhg", NUMBER(0, 100, "mmHg"),
                              .meaning = "height above the lowest target from which a target is noted"},
    [KEY_PALPATE_START_MMHG] = {"palpate_start_mmhg", NUMBER(20, 160, "mmHg"),
                                .meaning = "pressure at which the palpation begins"},
    [KEY_PALPATE_STEP_MMHG] = {"palpate_step_mmhg", NUMBER(2, 40, "mmHg"),
                               .meaning = "by how much the palpation rises from feel to feel"},
    [KEY_FIRST_CLEAR_MMHG] = {"first_clear_mmhg", NUMBER(0, 40, "mmHg"),
                              .meaning = "distance below the target within which a first sound does not count"},
    [KEY_GAP_SUSPECT_MMHG] = {"gap_suspect_mmhg", NUMBER(4, 100, "mmHg"),
                              .meaning = "depth of a first sound below the pulse felt that suggests a silent gap"},
    [KEY_LISTEN_ON_MMHG] = {"listen_on_mmhg", NUMBER(0, 40, "mmHg"),
                            .meaning = "how far listening goes on below the last sound"},
    [KEY_RELEASE_LOW_X10] = {"release_low_x10", NUMBER(5, 100, "tenths of mmHg/s"),
                             .meaning = "slowest release of the band"},
    [KEY_RELEASE_HIGH_X10] = {"release_high_x10", NUMBER(5, 200, "tenths of mmHg/s"),
                              .meaning = "quickest release of the band"},
    [KEY_RELEASE_SLACK_X10] = {"release_slack_x10", NUMBER(0, 50, "tenths of mmHg/s"),
                               .meaning = "distance outside the band up to which a release is not noted"},
    [KEY_RELEASE_VOID_X10] = {"release_void_x10", NUMBER(20, 500, "tenths of mmHg/s"),
                              .meaning = "release above which a reading does not count"},
    [KEY_RELEASE_SPAN_MMHG] = {"release_span_mmhg", NUMBER(2, 200, "mmHg"),
                               .meaning = "shortest fall over which a release is judged"},
    [KEY_RELEASE_BEAT_X100] = {"release_beat_x100", NUMBER(0, 1000, "hundredths of mmHg a beat"),
                               .meaning = "fall from beat to beat below which a slow release is noted"},
    [KEY_READINGS_MIN] = {"readings_min", NUMBER(1, 12, ""), .meaning = "readings that must count"},
    [KEY_READINGS_IRREGULAR] = {"readings_irregular", NUMBER(1, 12, ""),
                                .meaning = "readings that must count where the pulse is irregular"},
    [KEY_READINGS_MAX] = {"readings_max", NUMBER(1, 12, ""),
                          .meaning = "readings on one arm after which the sitting may close as it is"},
    [KEY_EXTRA_OVER_MMHG] = {"extra_over_mmhg", NUMBER(0, 100, "mmHg"),
                             .meaning = "distance of the first two readings above which more are taken"},
    [KEY_EXTRA_READINGS] = {"extra_readings", NUMBER(0, 6, ""), .meaning = "how many more are taken then"},
    [KEY_AVERAGE] = {"average", CHOICE(AVERAGES), .meaning = "which readings are averaged"},
    [KEY_FIRST_ARMS] = {"first_arms", CHOICE(ARMS), .meaning = "arms read on a first visit"},
    [KEY_ARMS_OVER_MMHG] = {"arms_over_mmhg", NUMBER(0, 60, "mmHg"),
                            .meaning = "distance of the two arms above which it is noted"},
    [KEY_PRIOR_ARM] = {"prior_arm", CHOICE(NO_YES), .meaning = "whether a return visit asks which arm was used before"},
    [KEY_USUAL] = {"usual", CHOICE(NO_YES), .meaning = "whether the usual systolic may stand for a palpation"},
    [KEY_CUFF_BY] = {"cuff_by", CHOICE(CUFF_BYS), .meaning = "what a cuff is chosen by"},
    [KEY_TOLD] = {"told", CHOICE(NO_YES), .meaning = "whether the subject must be told the result"},
    [KEY_SEVERE_SYSTOLIC_MMHG] = {"severe_systolic_mmhg", NUMBER(100, 300, "mmHg"),
                                  .meaning = "systolic that is very high"},
    [KEY_SEVERE_DIASTOLIC_MMHG] = {"severe_diastolic_mmhg", NUMBER(60, 200, "mmHg"),
                                   .meaning = "diastolic that is very high"},
    [KEY_SEVERE_WHEN] = {"severe_when", CHOICE(SEVERE_WHENS),
                         .meaning = "where the very high begins: above these values or at them"},
    [KEY_LEAK_MAX_MMHG_PER_MIN] = {"leak_max_mmhg_per_min", NUMBER(0, 20, "mmHg/min"),
                                   .meaning = "largest air leak of a gauge with its cuff"},
    [KEY_COMPARISON_MAX_MMHG] = {"comparison_max_mmhg", NUMBER(0, 20, "mmHg"),
                                 .meaning = "largest difference of a gauge from its reference"},
    [KEY_ALONE_BELOW_SYSTOLIC_MMHG] = {"alone_below_systolic_mmhg", NUMBER(0, 200, "mmHg"), OPTIONAL(0),
                                       .meaning = "systolic below which a first reading may suffice alone; 0: never"},
    [KEY_ALONE_BELOW_DIASTOLIC_MMHG] = {"alone_below_diastolic_mmhg", NUMBER(0, 140, "mmHg"), OPTIONAL(0),
                                        .meaning = "diastolic below which a first reading may suffice alone; 0: never"},
    [KEY_ARMS_REPEAT] = {"arms_repeat", CHOICE(NO_YES), OPTIONAL(0),
                         .meaning = "whether both arms are read again where they lie further apart than the limit"},
    [KEY_STANDING_READINGS] = {"standing_readings", NUMBER(0, 4, ""), OPTIONAL(0),
                               .meaning = "readings after standing up from lying; 0: nobody stands"},
    [KEY_STANDING_FIRST_S] = {"standing_first_s", NUMBER(0, 600, "s"), OPTIONAL(60),
                              .meaning = "from standing up to the first reading standing"},
    [KEY_STANDING_SECOND_S] = {"standing_second_s", NUMBER(0, 1200, "s"), OPTIONAL(180),
                               .meaning = "from standing up to the later readings standing"},
    [KEY_STANDING_LATE_S] = {"standing_late_s", NUMBER(0, 600, "s"), OPTIONAL(60),
                             .meaning = "lateness above which a reading standing is noted"},
    [KEY_DROP_SYSTOLIC_MMHG] = {"drop_systolic_mmhg", NUMBER(1, 100, "mmHg"), OPTIONAL(20),
                                .meaning = "fall of the systolic on standing from which it is noted"},
    [KEY_DROP_DIASTOLIC_MMHG] = {"drop_diastolic_mmhg", NUMBER(1, 100, "mmHg"), OPTIONAL(10),
                                 .meaning = "fall of the diastolic on standing from which it is noted"},
    [KEY_LOW_SYSTOLIC_MMHG] = {"low_systolic_mmhg", NUMBER(0, 120, "mmHg"), OPTIONAL(0),
                               .meaning = "systolic below which a value is low; 0: never"},
    [KEY_LOW_DIASTOLIC_MMHG] = {"low_diastolic_mmhg", NUMBER(0, 80, "mmHg"), OPTIONAL(0),
                                .meaning = "diastolic below which a value is low; 0: never"},
    [KEY_ZERO_MAX_MMHG] = {"zero_max_mmhg", NUMBER(0, 20, "mmHg"), OPTIONAL(0),
                           .meaning = "how far from zero the needle may stand with the cuff empty"},
    [KEY_BLADDER_WIDTH_PCT] = {"bladder_width_pct", NUMBER(0, 100, "% of the arm"), OPTIONAL(40),
                               .meaning = "width of the bladder below which it is noted"},
    [KEY_BLADDER_LENGTH_PCT] = {"bladder_length_pct", NUMBER(0, 150, "% of the arm"), OPTIONAL(80),
                                .meaning = "length of the bladder below which it is noted"},
    [KEY_CUFF_GAP_MM] = {"cuff_gap_mm", NUMBER(0, 30, "mm"), OPTIONAL(0),
                         .meaning = "widest gap between two marked ranges in which an arm takes the larger cuff; 0: none"},
    [KEY_GAUGE_LIMIT_MMHG] = {"gauge_limit_mmhg", NUMBER(0, 20, "mmHg"), OPTIONAL(3),
                              .meaning = "error that a sound gauge may have, for the worth of a reading"},
    [KEY_ARM_HEIGHT_MM] = {"arm_height_mm", NUMBER(0, 300, "mm"), OPTIONAL(25),
                           .meaning = "how far from heart level a supported arm may be, for the worth of a reading"},
    [KEY_WITHIN_SYSTOLIC_SD_X10] = {"within_systolic_sd_x10", NUMBER(1, 300, "tenths of mmHg"), OPTIONAL(62),
                                    .meaning = "published spread between systolic readings of one sitting (SD)"},
    [KEY_WITHIN_DIASTOLIC_SD_X10] = {"within_diastolic_sd_x10", NUMBER(1, 300, "tenths of mmHg"), OPTIONAL(62),
                                     .meaning = "published spread between diastolic readings of one sitting (SD)"},
    [KEY_WITHIN_SD_DF] = {"within_sd_df", NUMBER(1, 1000, "degrees of freedom"), OPTIONAL(17),
                          .meaning = "how much the published spread weighs against a sitting's own"},
    [KEY_VISIT_SD_X10] = {"visit_sd_x10", NUMBER(1, 500, "tenths of mmHg"), OPTIONAL(135),
                          .meaning = "published spread of systolic from visit to visit (SD)"},
    [KEY_LAPSES_MAX] = {"lapses_max", NUMBER(-1, 60, ""), OPTIONAL(-1),
                        .meaning = "lapses with which a witnessed sitting may still pass; -1: none is held under this protocol"},
    [KEY_UNSEEN_MAX] = {"unseen_max", NUMBER(0, 60, ""), OPTIONAL(0),
                        .meaning = "items not seen with which a witnessed sitting may still pass"},
    [KEY_LOOK_MIN_X10] = {"look_min_x10", NUMBER(0, 100, "tenths of a second"), OPTIONAL(10),
                          .meaning = "time between acts below which a confirmation is shown as quicker than anyone looks"},
    [KEY_PAIR_OVER_MMHG] = {"pair_over_mmhg", NUMBER(0, 40, "mmHg"), OPTIONAL(4),
                            .meaning = "difference between two listeners above which it is remarked"},
};

int protocol_find_item(const struct protocol *p, const char *id)
{
    for (int i = 0; i < p->item_count; i++)
        if (strcmp(p->items[i].id, id) == 0)
            return i;
    return -1;
}

static const struct {
    const char *prefix;
    enum step step;
} PREFIXES[] = {
    {"ready.", STEP_READINESS}, {"arm.", STEP_ARM}, {"cuff.", STEP_CUFF},
    {"posture.", STEP_POSTURE}, {"kit.", STEP_KIT}, {"close.", STEP_CLOSING},
};

enum step protocol_step_of_item(const char *id)
{
    for (size_t i = 0; i < ARRAY_LEN(PREFIXES); i++)
        if (strncmp(id, PREFIXES[i].prefix, strlen(PREFIXES[i].prefix)) == 0)
            return PREFIXES[i].step;
    return STEP_NONE;
}

int64_t protocol_ms(const struct protocol *p, enum protocol_key key_s)
{
    return (int64_t)p->value[key_s] * 1000;
}

/* ---- checking the whole ----
 * The first word of every text is the key or item that it is about: loaders find its line by it. */

static enum status check_bounds(const struct protocol *p, struct err *e)
{
    for (size_t i = 0; i < KEY_COUNT; i++) {
        const struct protocol_key_row *row = &PROTOCOL_KEYS[i];
        if (p->value[i] < row->low || p->value[i] > row->high)
            return err_set(e, ST_RANGE, "%s is %d; it may be %d to %d.", row->name, (int)p->value[i], (int)row->low,
                           (int)row->high);
    }
    return ST_OK;
}

struct order_row {
    enum protocol_key lower, upper;
    bool is_strict;
};

static enum status check_rows(const struct protocol *p, const struct order_row *rows, size_t count, struct err *e)
{
    for (size_t i = 0; i < count; i++) {
        const int32_t low = p->value[rows[i].lower], high = p->value[rows[i].upper];
        if (low > high || (rows[i].is_strict && low == high))
            return err_set(e, ST_RANGE, "%s is %d and must lie %s %s, which is %d.", PROTOCOL_KEYS[rows[i].lower].name,
                           (int)low, rows[i].is_strict ? "below" : "at or below", PROTOCOL_KEYS[rows[i].upper].name,
                           (int)high);
    }
    return ST_OK;
}

static enum status check_order(const struct protocol *p, struct err *e)
{
    static const struct order_row ROWS[] = {
        {KEY_INTERVAL_MIN_S, KEY_INTERVAL_MAX_S, false},
        {KEY_RELEASE_LOW_X10, KEY_RELEASE_HIGH_X10, false},
        {KEY_RELEASE_HIGH_X10, KEY_RELEASE_VOID_X10, true},
        {KEY_READINGS_MIN, KEY_READINGS_IRREGULAR, false},
        {KEY_READINGS_IRREGULAR, KEY_READINGS_MAX, false},
        {KEY_SEVERE_DIASTOLIC_MMHG, KEY_SEVERE_SYSTOLIC_MMHG, true},
        /* A rest must outlast the waits behind it, else it would always be stale by the next inflation. */
        {KEY_SETTLE_S, KEY_REST_VALID_S, true},
        {KEY_INTERVAL_MIN_S, KEY_REST_VALID_S, true},
        {KEY_STANDING_FIRST_S, KEY_STANDING_SECOND_S, true},
        {KEY_STANDING_READINGS, KEY_READINGS_MAX, false},
        {KEY_LOW_SYSTOLIC_MMHG, KEY_SEVERE_SYSTOLIC_MMHG, true},
        {KEY_LOW_DIASTOLIC_MMHG, KEY_SEVERE_DIASTOLIC_MMHG, true},
    };
    const enum status st = check_rows(p, ROWS, ARRAY_LEN(ROWS), e);
    if (st != ST_OK)
        return st;
    if (p->value[KEY_READINGS_MIN] + p->value[KEY_EXTRA_READINGS] > p->value[KEY_READINGS_MAX])
        return err_set(e, ST_RANGE, "extra_readings is %d: with readings_min %d that is more than readings_max %d.",
                       (int)p->value[KEY_EXTRA_READINGS], (int)p->value[KEY_READINGS_MIN],
                       (int)p->value[KEY_READINGS_MAX]);
    return ST_OK;
}

/* A rest must also outlast the waits standing; only where anybody stands, so that older files stay sound. */
static enum status check_standing(const struct protocol *p, struct err *e)
{
    static const struct order_row ROWS[] = {
        {KEY_STANDING_FIRST_S, KEY_REST_VALID_S, true},
        {KEY_STANDING_SECOND_S, KEY_REST_VALID_S, true},
    };
    return p->value[KEY_STANDING_READINGS] > 0 ? check_rows(p, ROWS, ARRAY_LEN(ROWS), e) : ST_OK;
}

static enum status check_alone(const struct protocol *p, struct err *e)
{
    const int32_t systolic = p->value[KEY_ALONE_BELOW_SYSTOLIC_MMHG], diastolic = p->value[KEY_ALONE_BELOW_DIASTOLIC_MMHG];
    if ((systolic == 0) == (diastolic == 0))
        return ST_OK;
    const enum protocol_key zero = systolic == 0 ? KEY_ALONE_BELOW_SYSTOLIC_MMHG : KEY_ALONE_BELOW_DIASTOLIC_MMHG;
    return err_set(e, ST_RANGE, "%s is 0 and its fellow is not: give both, or 0 for both.", PROTOCOL_KEYS[zero].name);
}

/* Pressures that a needle is brought to or compared with lie on the dial's lines, 2 mmHg apart. */
static enum status check_even(const struct protocol *p, struct err *e)
{
    static const enum protocol_key KEYS[] = {KEY_MARGIN_MMHG, KEY_NO_ESTIMATE_FLOOR_MMHG, KEY_PALPATE_START_MMHG,
                                             KEY_PALPATE_STEP_MMHG};
    for (size_t i = 0; i < ARRAY_LEN(KEYS); i++)
        if (p->value[KEYS[i]] % 2 != 0)
            return err_set(e, ST_RANGE, "%s is %d and must be even, as the dial's lines are.",
                           PROTOCOL_KEYS[KEYS[i]].name, (int)p->value[KEYS[i]]);
    return ST_OK;
}

static enum status check_head(const struct protocol *p, struct err *e)
{
    if (!is_item(p->id))
        return err_set(e, ST_SYNTAX, "id must be 1 to 32 letters, digits, points or hyphens.");
    if (!is_plain_text(p->title, (int)sizeof p->title - 1))
        return err_set(e, ST_SYNTAX, "title must be a text of one line.");
    for (int r = 0; r < RULE_COUNT; r++)
        if (p->is_waivable[r] && !rule_may_be_waivable((enum rule)r))
            return err_set(e, ST_RANGE, "waivable names %s, which may never be passed over.", rule_id((enum rule)r));
    for (int r = 0; r < RULE_COUNT; r++)
        if (p->is_critical[r] && !rule_may_lapse((enum rule)r))
            return err_set(e, ST_RANGE, "critical names %s, which is never a lapse.", rule_id((enum rule)r));
    return ST_OK;
}

static enum status check_item(const struct protocol *p, int index, struct err *e)
{
    /* Consent, an arm that must not be squeezed, and whom the protocol is made for are nobody's to pass over. */
    static const char *const NEVER_WAIVED[] = {"arm.usable", "ready.agrees", "ready.adult", "ready.not-pregnant",
                                               "ready.pregnant-or-birth"};
    const struct protocol_item *it = &p->items[index];
    if (!is_item(it->id))
        return err_set(e, ST_SYNTAX, "item %d has no sound id.", index + 1);
    if (it->step == STEP_NONE || it->step != protocol_step_of_item(it->id))
        return err_set(e, ST_SYNTAX, "%s begins with no step: kit. ready. posture. arm. cuff. or close.", it->id);
    if (protocol_find_item(p, it->id) != index)
        return err_set(e, ST_EXISTS, "%s is there twice.", it->id);
    if (!is_plain_text(it->say, (int)sizeof it->say - 1))
        return err_set(e, ST_SYNTAX, "%s says nothing.", it->id);
    for (size_t i = 0; i < ARRAY_LEN(NEVER_WAIVED); i++)
        if (it->is_waivable && strcmp(it->id, NEVER_WAIVED[i]) == 0)
            return err_set(e, ST_RANGE, "%s may never be waivable.", it->id);
    return ST_OK;
}

/* No step is passed with one key: where items are all that a step holds, they need two groups. */
static enum status check_groups(const struct protocol *p, enum step step, const char *word, struct err *e)
{
    const struct protocol_item *first = NULL;
    for (int i = 0; i < p->item_count; i++) {
        if (p->items[i].step != step)
            continue;
        if (first && first->group != p->items[i].group)
            return ST_OK;
        first = first ? first : &p->items[i];
    }
    return err_set(e, ST_RANGE, "%s: the items of a step need at least two groups, so that no single key passes it.",
                   first ? first->id : word);
}

static enum status check_items(const struct protocol *p, struct err *e)
{
    static const char *const NEEDED[] = {"arm.usable", "ready.agrees", "kit.zero"};
    if (p->item_count < 0 || p->item_count > PROTOCOL_ITEMS_MAX)
        return err_set(e, ST_FULL, "items are %d; there may be %d.", (int)p->item_count, PROTOCOL_ITEMS_MAX);
    for (int i = 0; i < p->item_count; i++) {
        enum status st = check_item(p, i, e);
        if (st != ST_OK)
            return st;
    }
    for (size_t i = 0; i < ARRAY_LEN(PREFIXES); i++) {
        int n = 0;
        for (int k = 0; k < p->item_count; k++)
            n += p->items[k].step == PREFIXES[i].step;
        if (n == 0)
            return err_set(e, ST_NOT_FOUND, "%s items are missing: a protocol has at least one.", PREFIXES[i].prefix);
    }
    for (size_t i = 0; i < ARRAY_LEN(NEEDED); i++)
        if (protocol_find_item(p, NEEDED[i]) < 0)
            return err_set(e, ST_NOT_FOUND, "%s is missing: no protocol goes without this item.", NEEDED[i]);
    if (p->value[KEY_CUFF_BY] == CUFF_BY_INDEX && protocol_find_item(p, "cuff.index") < 0)
        return err_set(e, ST_NOT_FOUND, "cuff_by is index, and the item cuff.index is missing.");
    enum status st = check_groups(p, STEP_READINESS, "ready.", e);
    return st != ST_OK ? st : check_groups(p, STEP_POSTURE, "posture.", e);
}

static enum status check_schemes(const struct protocol *p, struct err *e)
{
    if (p->scheme_count < 0 || p->scheme_count > PROTOCOL_SCHEMES_MAX)
        return err_set(e, ST_FULL, "categories names %d schemes; there may be %d.", (int)p->scheme_count,
                       PROTOCOL_SCHEMES_MAX);
    for (int i = 0; i < p->scheme_count; i++) {
        const enum status st = category_check(&p->schemes[i], e);
        if (st != ST_OK)
            return st;
        for (int k = 0; k < i; k++)
            if (strcmp(p->schemes[i].id, p->schemes[k].id) == 0)
                return err_set(e, ST_EXISTS, "categories names %s twice.", p->schemes[i].id);
    }
    return ST_OK;
}

enum status protocol_check(const struct protocol *p, struct err *e)
{
    static enum status (*const CHECKS[])(const struct protocol *, struct err *) = {
        check_head, check_bounds, check_order, check_standing, check_alone, check_even, check_items, check_schemes};
    for (size_t i = 0; i < ARRAY_LEN(CHECKS); i++) {
        enum status st = CHECKS[i](p, e);
        if (st != ST_OK)
            return st;
    }
    return ST_OK;
}
