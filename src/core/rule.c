/* SPDX-License-Identifier: GPL-3.0-or-later */
#include <string.h>

#include "core/engine.h"

#define FROM_KEY(k) .key = (int)(k) + 1
#define PUBLISHED(id) .source = id, .standing = STANDING_PUBLISHED
#define COMMON .source = "", .standing = STANDING_COMMON
#define OURS .source = "", .standing = STANDING_JUDGEMENT

/* One row per rule, in the order in which the classes are asked. */
static const struct rule_row RULES[RULE_COUNT] = {
    [RULE_NONE] = {.id = "", .sentence = "", .remedy = ""},
    [RULE_CLOSED] = {.id = "closed", OURS, .sentence = "This sitting has ended.",
                     .remedy = "Nothing is changed after the end; begin a new sitting."},
    [RULE_TIME_BACK] = {.id = "time.back", OURS, .sentence = "This would lie before what was recorded last.",
                        .remedy = "Times only go forward; look at the machine's clock."},
    [RULE_OPENING_FIRST] = {.id = "opening.first", OURS, .sentence = "A sitting begins with its protocol.",
                            .remedy = "Choose the protocol first."},
    [RULE_OPENING_AGAIN] = {.id = "opening.again", OURS, .sentence = "This was already given.",
                            .remedy = "It is given once; if it is wrong, stop here and begin anew."},
    [RULE_ITEM_UNKNOWN] = {.id = "item.unknown", OURS, .sentence = "The protocol has no item of this name.",
                           .remedy = "Look at the protocol's items."},
    [RULE_PROTOCOL_UNKNOWN] = {.id = "protocol.unknown", OURS, .sentence = "No sound protocol of this name is at hand.",
                               .remedy = "Choose one that is listed, or look at the folder of protocols."},
    [RULE_CUFF_UNKNOWN] = {.id = "cuff.unknown", OURS, .sentence = "This cuff is not among the cuffs at hand.",
                           .remedy = "Name it with its marked range first."},
    [RULE_STEP_NEEDS] = {.id = "step.needs", COMMON, .sentence = "Something before this is not done.",
                         .remedy = "Do what is named first."},
    [RULE_INFLATION_OPEN] = {.id = "inflation.open", COMMON, .sentence = "The cuff is up.",
                             .remedy = "Let all air out first."},
    [RULE_INFLATION_NONE] = {.id = "inflation.none", OURS, .sentence = "The cuff is not up for this.",
                             .remedy = "Press once before the squeeze."},
    [RULE_READING_OPEN] = {.id = "reading.open", OURS, .sentence = "The last reading is not entered yet.",
                           .remedy = "Enter its values, or give it up with a reason."},
    [RULE_READING_NONE] = {.id = "reading.none", OURS, .sentence = "There is no reading that can take this now.",
                           .remedy = "Take a reading first."},
    [RULE_MARK_ORDER] = {.id = "mark.order", OURS, .sentence = "A later moment was already marked.",
                         .remedy = "Marks follow the fall of the needle; mark the later one again if it was wrong."},
    [RULE_VOID_LATE] = {.id = "void.late", OURS, .sentence = "A reading is given up before its first value, not after.",
                        .remedy = "Enter the values; the rules decide whether it counts."},
    [RULE_USUAL_BARRED] = {.id = "usual.barred", PUBLISHED("PALP-1"),
                           .sentence = "The usual systolic may not stand for the palpation here.",
                           .remedy = "Palpate the pressure at which the pulse goes."},
    [RULE_WAIVE_BARRED] = {.id = "waive.barred", OURS, .sentence = "This may not be passed over.",
                           .remedy = "Do it, or stop here."},
    [RULE_ARM_BARRED] = {.id = "arm.barred", PUBLISHED("JOB-1"), .sentence = "This arm may not be used.",
                         .remedy = "Use the other arm; where neither may be used, stop here."},
    [RULE_STAND_BARRED] = {.id = "stand.barred", FROM_KEY(KEY_STANDING_READINGS),
                           .sentence = "Standing up does not belong here.",
                           .remedy = "Go on as you are; readings standing need a protocol that has them."},
    [RULE_READINGS_FULL] = {.id = "readings.full", OURS, .sentence = "No more readings fit on this arm.",
                            .remedy = "Finish with what is there, or stop here."},
    [RULE_KIT_FULL] = {.id = "kit.full", OURS, .sentence = "No more kit fits in one sitting.",
                       .remedy = "Use one of those at hand."},
    [RULE_VALUE_ODD] = {.id = "value.odd", .is_slip = true, PUBLISHED("READ-3"),
                        .sentence = "This lies between two lines of the dial.",
                        .remedy = "Read to the nearest line: even numbers only."},
    [RULE_VALUE_RANGE] = {.id = "value.range", .is_slip = true, OURS, .sentence = "This value cannot be.",
                          .remedy = "Look again and give a value within the range."},
    [RULE_VALUE_ORDER] = {.id = "value.order", .is_slip = true, PUBLISHED("READ-1"),
                          .sentence = "The values do not follow the fall of the needle.",
                          .remedy = "From target over first sound to last sound, each not above the one before."},
    [RULE_ESTIMATE_ORDER] = {.id = "estimate.order", COMMON, .sentence = "While palpating the pressure only rises.",
                             .remedy = "Give a pressure above the last one, or let the air out and palpate again."},
    [RULE_CUFF_UNMEASURED] = {.id = "cuff.unmeasured", PUBLISHED("RATIO-1"), .sentence = "The arm is not measured.",
                              .remedy = "Measure round the middle of the upper arm."},
    [RULE_CUFF_TOO_SMALL] = {.id = "cuff.too-small", .may_be_waivable = true, PUBLISHED("WC-2"),
                             .sentence = "This cuff is too small for the arm.",
                             .remedy = "Take a larger cuff; too small a cuff reads high."},
    [RULE_CUFF_TOO_LARGE] = {.id = "cuff.too-large", .may_be_waivable = true, PUBLISHED("WC-1"),
                             .sentence = "This cuff is too large for the arm.",
                             .remedy = "Take a smaller cuff; too large a cuff reads low."},
    [RULE_KIT_OVERDUE] = {.id = "kit.overdue", .may_be_waivable = true, PUBLISHED("GAU-12"),
                          .sentence = "This gauge is overdue for calibration.",
                          .remedy = "Take another gauge."},
    [RULE_KIT_FAILED] = {.id = "kit.failed", FROM_KEY(KEY_LEAK_MAX_MMHG_PER_MIN),
                         .sentence = "This gauge failed its last check.",
                         .remedy = "Take another gauge; this one goes for repair."},
    [RULE_REST_RUNNING] = {.id = "rest.running", OURS, .sentence = "A rest is running already.",
                           .remedy = "Let it go on."},
    [RULE_REST_DONE] = {.id = "rest.done", OURS, .sentence = "The rest is done and still good.",
                        .remedy = "Go on with the next step."},
    [RULE_REST_MISSING] = {.id = "rest.missing", FROM_KEY(KEY_REST_S), .sentence = "There was no whole rest.",
                           .remedy = "Sit quietly, nobody speaks; begin the rest."},
    [RULE_REST_SHORT] = {.id = "rest.short", FROM_KEY(KEY_REST_S), .sentence = "The rest is not over.",
                         .remedy = "Sit quietly until it is; a rest cut short reads high."},
    [RULE_REST_STALE] = {.id = "rest.stale", FROM_KEY(KEY_REST_VALID_S), .sentence = "The rest lies too far back.",
                         .remedy = "Rest again."},
    [RULE_ESTIMATE_MISSING] = {.id = "estimate.missing", .may_be_waivable = true, FROM_KEY(KEY_MARGIN_MMHG),
                               .sentence = "The pressure at which the pulse goes is not known.",
                               .remedy = "Palpate first: it says how high to pump."},
    [RULE_SETTLE_SHORT] = {.id = "settle.short", FROM_KEY(KEY_SETTLE_S),
                           .sentence = "The arm has not settled since the palpation.",
                           .remedy = "Leave the cuff empty a little longer."},
    [RULE_INTERVAL_SHORT] = {.id = "interval.short", FROM_KEY(KEY_INTERVAL_MIN_S),
                             .sentence = "The last reading on this arm is too recent.",
                             .remedy = "Leave the cuff empty until the interval is over."},
    [RULE_STANDING_EARLY] = {.id = "standing.early", FROM_KEY(KEY_STANDING_FIRST_S),
                             .sentence = "The subject has not stood long enough.",
                             .remedy = "Wait, standing, with the cuff empty."},
    [RULE_TARGET_MISSING] = {.id = "target.missing", FROM_KEY(KEY_MARGIN_MMHG),
                             .sentence = "The pressure pumped to is missing.",
                             .remedy = "Say how high the needle stood before the release."},
    [RULE_VALUE_MISSING] = {.id = "value.missing", PUBLISHED("READ-1"), .sentence = "A value is missing.",
                            .remedy = "Give first and last sound."},
    [RULE_MUFFLING_MISSING] = {.id = "muffling.missing", PUBLISHED("READ-6"),
                               .sentence = "Sounds were heard down to zero, so the muffling counts.",
                               .remedy = "Give the pressure at which the sounds became muffled."},
    [RULE_PAIR_MISSING] = {.id = "pair.missing", OURS, .sentence = "The second listener's values are missing.",
                           .remedy = "Let the second listener enter theirs unseen."},
    [RULE_ITEM_OPEN] = {.id = "item.open", COMMON, .sentence = "Something that the sitting must hold is missing.",
                        .remedy = "Confirm it, or pass it over with a reason where that is allowed."},
    [RULE_READINGS_FEW] = {.id = "readings.few", FROM_KEY(KEY_READINGS_MIN),
                           .sentence = "There are too few readings that count.",
                           .remedy = "Take one more reading."},
    [RULE_ARMS_FEW] = {.id = "arms.few", .may_be_waivable = true, FROM_KEY(KEY_FIRST_ARMS),
                       .sentence = "On a first visit both arms are read.",
                       .remedy = "Read the other arm, or pass it over with the reason."},
    [RULE_STANDING_FEW] = {.id = "standing.few", .may_be_waivable = true, FROM_KEY(KEY_STANDING_READINGS),
                           .sentence = "There are too few readings standing.",
                           .remedy = "Let the subject stand and read again, or pass it over with the reason."},
    [RULE_TOLD_MISSING] = {.id = "told.missing", FROM_KEY(KEY_TOLD),
                           .sentence = "The result was not told.",
                           .remedy = "Tell it, spoken and written."},
    [RULE_SEVERE_OPEN] = {.id = "severe.open", FROM_KEY(KEY_SEVERE_SYSTOLIC_MMHG),
                          .sentence = "A very high value is not answered.",
                          .remedy = "Follow the site's procedure and write down what was done."},
};

const struct rule_row *rule_row(enum rule rule)
{
    return &RULES[rule];
}

const char *rule_id(enum rule rule)
{
    return RULES[rule].id;
}

enum rule rule_named(const char *id)
{
    for (int i = RULE_NONE + 1; i < RULE_COUNT; i++) {
        if (strcmp(RULES[i].id, id) == 0)
            return (enum rule)i;
    }
    return RULE_NONE;
}

bool rule_is_slip(enum rule rule)
{
    return RULES[rule].is_slip;
}

bool rule_may_be_waivable(enum rule rule)
{
    return RULES[rule].may_be_waivable;
}
