/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The walks. Nobody in them exists. */
#include "screens_walks.h"

#include <check.h>

#include "booth_kit.h"
#include "guide/views.h"
#include "stillarm/err.h"
#include "store/signed.h"

#define KEYS(wait, see, keys) {wait, see, keys, NULL, VIEW_AUTO, NULL}
#define SHOT(view, page, wait, see, keys, must) {wait, see, keys, page, view, must}
#define PLAIN_SHOT(page, see, keys, must) {0, see, keys, page, VIEW_AUTO, must}
#define ESC "\x1b"
#define BACK "\x7f"
#define DOWN WALK_DOWN
#define WALK_STAMP "2031-03-14T08:00:00+01:00"

#define READY                                                                                                      \
    KEYS(1000, "No caffeine", "y"), KEYS(1000, "Been to the toilet", "y"), KEYS(1000, "Ask quietly", "y"),         \
        KEYS(1000, "Agrees", "y")
#define ARM_AND_CUFF(choice)                                                                                       \
    KEYS(0, "Which arm?", choice), KEYS(0, "may be used", "y"), KEYS(0, "Arm bare", "y"),                          \
        KEYS(0, "Measure the arm", "31\r"), KEYS(0, "Which cuff goes on?", "\r"), KEYS(0, "Snug", "y")
#define POSTURE KEYS(0, "Back supported", "y"), KEYS(0, "Nobody speaks", "y")
#define RETURN_OPENING                                                                                             \
    KEYS(0, "Who is here?", "m4-118\r"), KEYS(0, "Enter opens the sitting", DOWN), KEYS(0, "change", " ")

static const struct walk_move FIRST_RUN[] = {
    PLAIN_SHOT("first-person", "Who measures here?", "ana\r", "short name place backspace erase"),
    KEYS(0, "As it should be shown", "Ana Vey\r"),
    KEYS(0, "Where readings are taken", "booth 2\r"),
    PLAIN_SHOT("first-protocol", "Which protocol is usual here?", "jjjjjjj\r", "us-adult both arms 2 readings standing enter take this one"),
    PLAIN_SHOT("first-gauge", "The gauge", "\r\r", "top of its scale calibrated on next due 6"),
    PLAIN_SHOT("first-calibrated", "nothing is assumed", "2031-03-01\r", "Never calibrated?"),
    PLAIN_SHOT("first-interval", "so many months", "\r", "Published: every 6 months"),
    PLAIN_SHOT("first-cuffs", "The cuffs", "o", "large adult Ranges after AHA"),
    PLAIN_SHOT("cuff-new", "range that is marked on it", ESC, "short name from to bladder, if known"),
    KEYS(0, "take these", "\r"),
    PLAIN_SHOT("home-empty", "start a sitting", "?", "sittings: none yet no diagnosis q quit ? help ana booth"),
    PLAIN_SHOT("home-help", "How this works", " ", "seal store.db any key back"),
    KEYS(0, "start a sitting", "k"),
    PLAIN_SHOT("kit", "new gauge", "l", "gauge g1: calibration due 2031-09-01; not checked yet cuff adult: new cuff q back"),
    PLAIN_SHOT("kit-leak", "fall in a minute", ESC, "esc leave"),
    KEYS(0, "new gauge", "d"),
    PLAIN_SHOT("kit-comparison", "largest difference", "0=0 100=102 250=254\r", "REFERENCE=READING esc leave"),
    PLAIN_SHOT("kit-failed", "beyond 3 mmHg", "z", "is refused until it is repaired differs by 4 mmHg at 250"),
    PLAIN_SHOT("kit-zero", "off zero, mmHg", "0\r", "Without pressure esc leave"),
    KEYS(0, "within", "i"),
    PLAIN_SHOT("kit-interval", "every, months", ESC, "judged yearly enough"),
    KEYS(0, "new gauge", "t"),
    PLAIN_SHOT("kit-due", "calibrated on", "soon\r\r", "next due esc leave"),
    PLAIN_SHOT("kit-due-refused", "not yet:", ESC, "soon is no date 2031-03-02"),
    KEYS(0, "new gauge", "jb"),
    PLAIN_SHOT("kit-bladder", "Width and length", "16x35\r", "bladder esc leave"),
    PLAIN_SHOT("kit-bladder-refused", "largest arm it is marked for", ESC, "bladder 16x35"),
    KEYS(0, "new gauge", "kx"),
    PLAIN_SHOT("kit-retire", "out of use", ESC, "Choose a PIN g1 esc back"),
    KEYS(0, "No PIN was given", "g"),
    PLAIN_SHOT("gauge-new", "What is written on it", ESC, "short name top of its scale"),
    KEYS(0, "new gauge", "q"),
    KEYS(0, "start a sitting", "p"),
    PLAIN_SHOT("people", "measures now", "a", "Ana Vey, technician out of use"),
    PLAIN_SHOT("person-new", "It stands in every log", ESC, "short name role technician"),
    KEYS(0, "measures now", "p"),
    PLAIN_SHOT("people-pin", "Choose a PIN", "123456\r", "from now on esc back"),
    PLAIN_SHOT("people-pin-refused", "not yet:", ESC, "Choose a PIN"),
    KEYS(0, "measures now", "q"),
    KEYS(0, "start a sitting", "l"),
    PLAIN_SHOT("sittings-empty", "No sittings yet", "q", "q back"),
    KEYS(0, "start a sitting", "b"),
    PLAIN_SHOT("booth", "This booth", ESC, "place usual protocol booth 2 us-adult"),
    KEYS(0, "start a sitting", "q"),
};

/* A first visit, alone, with what can go wrong on the way to the first reading. */
static const struct walk_move FIRST_VISIT[] = {
    SHOT(VIEW_OPENING, "opening", 0, "Who is here?", "\r", "subject's code measurer protocol us-adult enter new code"),
    SHOT(VIEW_OPENING, "opening-answered", 0, "Enter opens the sitting", "\r", "first booth ana"),
    SHOT(VIEW_ITEMS, "readiness-items", 0, "No caffeine", "n", "No tobacco No exercise it is not"),
    SHOT(VIEW_ITEMS, "readiness-which", 0, "Which one?", "n", "No caffeine"),
    SHOT(VIEW_ITEM_NO, "item-not-so", 0, "Not as it should be yet", "w", "No caffeine it is now pass over esc back"),
    SHOT(VIEW_TEXT, "reason", 0, "Pass over, because", "\r", "in words enter accept esc back"),
    SHOT(VIEW_TEXT, "reason-refused", 0, "not yet:", "a cup of tea at noon\r", "a few words are needed"),
    SHOT(VIEW_ITEMS, "readiness-passed-over", 0, "passed over", "y", "No caffeine"),
    KEYS(0, "Warm and calm", "y"),
    SHOT(VIEW_ITEMS, "readiness-quietly", 0, "Ask quietly", "y", "Adult"),
    KEYS(0, "Agrees", "y"),
    SHOT(VIEW_ARM, "arm-choice", 0, "Which arm?", "l", "left arm right arm"),
    SHOT(VIEW_ITEMS, "arm-items", 0, "may be used", "y", "the other arm"),
    KEYS(0, "Arm bare", "y"),
    SHOT(VIEW_CIRCUMFERENCE, "arm-measure", 0, "Measure the arm", "long\r", "round the left arm 12.25in enter accept"),
    SHOT(VIEW_CIRCUMFERENCE, "arm-measure-refused", 0, "not yet:", BACK BACK BACK BACK "45\r", ""),
    SHOT(VIEW_WRAP, "cuff-none-fits", 0, "Which cuff goes on?", "c", "45 cm round too small"),
    KEYS(0, "Measure the arm", "31\r"),
    SHOT(VIEW_WRAP, "cuff-choice", 0, "Which cuff goes on?", "2", "31 cm round 25.4 40.6 fits this one goes on"),
    SHOT(VIEW_WRAP, "cuff-refused", 0, "not yet:", "\r", "small"),
    SHOT(VIEW_ITEMS, "cuff-items", 0, "Snug", "y", "artery"),
    SHOT(VIEW_ITEMS, "posture-items", 0, "Back supported", "y", "Legs not crossed"),
    KEYS(0, "Nobody speaks", "y"),
    SHOT(VIEW_REST, "rest-before", 0, "the rest begins", " ", "Nobody speaks"),
    SHOT(VIEW_REST, "rest", 17000, "which gauge?", " ", "left of 5:00 somebody spoke"),
    SHOT(VIEW_REST, "rest-refused", 0, "not yet:", "\r", "left of 5:00"),
    SHOT(VIEW_REST, "rest-kit", 2000, "needle stands at zero", "y", "left of 5:00"),
    KEYS(2000, "Cuff and stethoscope clean", "y"),
    SHOT(VIEW_REST, "rest-pulse", 239000, "count the pulse", "7", "left of 5:00 the pulse"),
    SHOT(VIEW_REST, "rest-pulse-typed", 0, "beats a minute", "2r", "regular irregular"),
    SHOT(VIEW_REST, "rest-waiting", 2000, "left of 5:00", "?", "somebody moved"),
    SHOT(VIEW_WHY, "why-rest", 0, "Why: rest", ESC, "REST-1 published"),
    SHOT(VIEW_ESTIMATE, "estimate-before", 60000, "Where does the pulse go?", "?", "Pump to 70 squeezing now"),
    SHOT(VIEW_WHY, "why", 0, "Why: estimate", ESC, "PALP-2 published esc back"),
    KEYS(0, "squeezing now", " "),
    SHOT(VIEW_PALPATING, "palpating", 15000, "all air out", " ", "feeling for the pulse"),
    SHOT(VIEW_ESTIMATE_ENTRY, "estimate-entry", 0, "Where did the pulse go?", "131", "pulse gone at enter accept"),
    SHOT(VIEW_ESTIMATE_ENTRY, "estimate-entry-odd", 0, "not yet:", BACK "0", "131"),
    SHOT(VIEW_LISTEN_BEFORE, "listening-wait", 1000, "to settle", " ", "Cuff empty squeezing now"),
    SHOT(VIEW_LISTEN_BEFORE, "listening-wait-refused", 0, "not yet:", "", "to settle"),
    SHOT(VIEW_LISTEN_BEFORE, "listening-before", 30000, "Pump to", " ", "130 and 30 above one line of the dial squeezing now"),
    SHOT(VIEW_LISTENING, "listening", 38000, "listening", "", "all air out"),
    KEYS(12000, "listening", " "),
    SHOT(VIEW_ENTRY, "entry", 2000, "What the needle showed", "164", "pumped to first sound last sound enter accept"),
    KEYS(0, "164", "126"),
    KEYS(0, "126", "77"),
    SHOT(VIEW_ENTRY, "entry-odd", 0, "not yet:", BACK "8", "77 164 126"),
    SHOT(VIEW_READBACK, "read-back", 0, "Is this what the needle showed?", "y", "164 126 78 final change"),
    SHOT(VIEW_ARM, "arm-other", 0, "Now the other arm", "x", "right arm"),
    SHOT(VIEW_BARRED, "arm-barred-other", 0, "right arm may not be used, because", ESC, "the left arm"),
    KEYS(0, "Now the other arm", "d"),
    SHOT(VIEW_MENU, "happened", 0, "What happened?", "o", "somebody spoke somebody moved a note esc back"),
    SHOT(VIEW_REOPEN, "reopen", 0, "No longer as it should be", ESC, "tobacco enter this one"),
    KEYS(0, "Now the other arm", "q"),
};

/* Whoever measured chooses a PIN and signs. */
#define SIGNED KEYS(0, "Choose a PIN", "willow 38\r"), KEYS(0, "The same PIN again", "willow 38\r")

/* A return visit with a second person at the keys; the kit is looked at after the rest; stopped. */
static const struct walk_move SECOND_PERSON[] = {
    RETURN_OPENING,
    SHOT(VIEW_OPENING, "opening-return", 0, "arm used last time", "\r", "return unknown"),
    READY,
    SHOT(VIEW_ARM, "arm-choice-return", 0, "Which arm?", "r", "left arm right arm"),
    KEYS(0, "may be used", "y"), KEYS(0, "Arm bare", "y"), KEYS(0, "Measure the arm", "31\r"),
    KEYS(0, "Which cuff goes on?", "\r"), KEYS(0, "Snug", "y"), POSTURE, KEYS(0, "the rest begins", " "),
    SHOT(VIEW_REST, "rest-over", 301000, "The rest is whole", " ", "Now: which gauge? whole 5:00 the rest ends"),
    SHOT(VIEW_KIT, "kit-gauge", 1000, "Which gauge?", "\r", "wall dial 2031-12-31 this gauge"),
    SHOT(VIEW_KIT, "kit-items", 1000, "needle stands at zero", "y", ""),
    KEYS(1000, "Cuff and stethoscope clean", "y"),
    SHOT(VIEW_PULSE, "pulse", 1000, "Count the pulse", "72r", "beats in a minute"),
    KEYS(1000, "Where does the pulse go?", "v"),
    SHOT(VIEW_USUAL, "usual", 0, "The usual systolic", ESC, "enter accept esc back"),
    KEYS(0, "second person", "2"),
    SHOT(VIEW_ESTIMATE, "estimate-before-second", 0, "second person keeps the keys", " ", "alone squeezing now"),
    SHOT(VIEW_PALPATING_STEPS, "palpating-steps", 3000, "is the pulse there?", "   g", "still felt gone all air out"),
    SHOT(VIEW_PALPATING_STEPS, "palpating-steps-gone", 9000, "Let all air out", " ", "gone at 100 felt up to 90"),
    SHOT(VIEW_LISTEN_BEFORE, "listening-before-second", 30000, "Pump to", " ", "second person keeps the keys"),
    SHOT(VIEW_MARKS, "marks-begun", 7000, "squeeze", " ", "air out muffled"),
    KEYS(10000, "0:07", " "),
    SHOT(VIEW_MARKS, "marks", 5000, "0:17", "", "release take back all air out"),
    KEYS(15000, "0:17", " "), KEYS(5000, "0:37", " "),
    KEYS(2000, "What the needle showed", "134"), KEYS(0, "134", "110"), KEYS(0, "110", "70"),
    SHOT(VIEW_READBACK, "read-back-second", 0, "Is this what the needle showed?", "y", "134 110 70"),
    SHOT(VIEW_LISTEN_BEFORE, "listening-wait-next", 2000, "Until the next reading", "c", "110/70 counts correct"),
    SHOT(VIEW_CORRECT, "correct", 0, "Correct which one?", "2", "110 70 134 esc back"),
    SHOT(VIEW_CORRECT_VALUE, "correct-value", 0, "What should it be?", "72", "enter accept esc back"),
    SHOT(VIEW_TEXT, "correct-reason", 0, "Corrected, because", ESC, "in words"),
    KEYS(0, "Until the next reading", "s"),
    SHOT(VIEW_TEXT, "stop-reason", 0, "Stop here, because", "called away to the counter\r", "in words"),
    SHOT(VIEW_STOP_SURE, "stop-sure", 0, "Stop here?", "y", "called away to the counter no, go on"),
    SIGNED,
    SHOT(VIEW_STOPPED, "stopped", 0, "Stopped here", "\r", "110/70"),
};

#define REST KEYS(0, "the rest begins", " "), KEYS(2000, "which gauge?", "\r"), KEYS(2000, "needle stands at zero", "y"),     \
        KEYS(2000, "Cuff and stethoscope clean", "y"), KEYS(240000, "count the pulse", "72r")
#define PALPATION(gone)                                                                                            \
    KEYS(60000, "Where does the pulse go?", " "), KEYS(15000, "all air out", " "),                                 \
        KEYS(1000, "Where did the pulse go?", gone)
#define PREPARED(gone)                                                                                             \
    RETURN_OPENING, KEYS(0, "arm used last time", "\r"), READY, ARM_AND_CUFF("r"), POSTURE, REST, PALPATION(gone)
#define LISTENED(wait, target)                                                                                     \
    KEYS(wait, "Pump to", " "), KEYS(50000, "listening", " "), KEYS(2000, "What the needle showed", target)
#define READ_BACK KEYS(0, "Is this what the needle showed?", "y")

/* A return visit, alone: a reading that does not count, then two very high ones, to the seal. */
static const struct walk_move VERY_HIGH[] = {
    PREPARED("190"), KEYS(30000, "Pump to", "b"),
    KEYS(0, "no pace band", " "),
    SHOT(VIEW_LISTENING, "listening-pace", 31000, "listening", "", "all air out"),
    SHOT(VIEW_LISTENING, "listening-too-long", 124000, "Let all air out now", " ", "listening"),
    KEYS(2000, "What the needle showed", "200"),
    SHOT(VIEW_ENTRY, "entry-low", 0, "will not count", "188", "200"),
    SHOT(VIEW_SEVERE, "very-high", 0, "Very high", "n",
         "188 Ask quietly chest pain none of these present a slip licensed practice come first ask later"),
    SHOT(VIEW_SEVERE, "very-high-none", 0, "No symptoms", "\r",
         "wait at least a minute same arm right what was done present after all site/very-high.txt go on"),
    KEYS(0, "last sound", "110"), READ_BACK,
    SHOT(VIEW_LISTEN_BEFORE, "listening-wait-void", 2000, "does not count", "", "Until the next reading The last one was very high same arm squeezing now"),
    LISTENED(58000, "224"), KEYS(0, "224", "190"), KEYS(0, "Very high", "n"), KEYS(0, "No symptoms", "\r"),
    SHOT(VIEW_ENTRY, "entry-later", 0, "Earlier readings stay covered", "112", "224 190"), READ_BACK,
    LISTENED(60000, "224"), KEYS(0, "224", "188"), KEYS(0, "Very high", "n"),
    SHOT(VIEW_SEVERE, "very-high-again", 0, "taken again already", "\r", "what was done go by your site's procedure"),
    KEYS(0, "last sound", "110"), READ_BACK, KEYS(2000, "The result", "a"),
    SHOT(VIEW_TEXT, "acted-text", 0, "What was done?", "asked quietly, no symptoms\r", "in words"),
    SHOT(VIEW_CLOSING, "result", 2000, "The result", "f",
         "188/110 mean of all One visit is no diagnosis how exact stage 2 (US ESH to the parts Cuff off finish"),
    SHOT(VIEW_CLOSING, "result-refused", 0, "not yet:", "?", "The result"),
    SHOT(VIEW_WHY, "why-refused", 0, "Why:", ESC, "esc back"),
    KEYS(0, "The result", "b"),
    SHOT(VIEW_WORTH, "worth", 0, "How exact, part by part", "h",
         "systolic 189.0 gauge rectangular GAU-1 spread combined effective k expanded diastolic read on esc back"),
    SHOT(VIEW_WORTH, "worth-covered", 0, "Figures are covered", "h", "show figures"),
    KEYS(0, "part by part", ESC), KEYS(0, "The result", "h"),
    SHOT(VIEW_CLOSING, "result-covered", 0, "show figures", "h", "---/--- are covered too"),
    KEYS(0, "cover figures", "y"), KEYS(2000, "told", "t"), KEYS(0, "finish", "f"), SIGNED,
    SHOT(VIEW_DEBRIEF, "finished", 0, "Finished", "\r", "good: to practise:"),
};

/* With symptoms nothing more is asked for: the site's own text, what was done, and the end. */
static void write_procedure(void)
{
    booth_write("site/very-high.txt", "Booth 2: call the nurse on duty, inside line 12.\nShe comes at once. Stay with the person.\n"
                                      "No second reading before she is here.\n");
    booth_write("site/low.txt", "Booth 2: let the person lie down, legs up. Inside line 12.\n");
}

static const struct walk_move SYMPTOMS[] = {
    PREPARED("190"), LISTENED(30000, "224"), KEYS(0, "224", "186"), KEYS(0, "Very high", "p"),
    SHOT(VIEW_SEVERE, "very-high-symptoms", 0, "There are symptoms", "a",
         "call the nurse on duty No second reading before what was done Nothing more is asked stop here"),
    KEYS(0, "What was done?", "nurse called at once\r"),
    KEYS(0, "last sound", ESC "s"),
    SHOT(VIEW_TEXT, "stop-reason-symptoms", 0, "Stop here, because", "the nurse takes over\r", "in words"),
    KEYS(0, "Stop here?", "y"),
    PLAIN_SHOT("pin-choose", "Choose a PIN", "\t", "to stop S-001 Without it end it now, sign later esc back"),
    SHOT(VIEW_STOPPED, "stopped-symptoms", 0, "Stopped here", "\r", "kept Not signed yet owed"),
};

static const struct walk_move LOW[] = {
    PREPARED("100"), LISTENED(30000, "134"), KEYS(0, "134", "84"),
    SHOT(VIEW_SEVERE, "low", 0, "Low", "l", "84 Ask quietly or faint? none of these present a slip ask later"),
    KEYS(0, "last sound", "52"), READ_BACK,
    SHOT(VIEW_LISTEN_BEFORE, "listening-wait-open", 2000, "still to be asked", "a", "Until the next reading the open question"),
    KEYS(0, "Low", "n"),
    SHOT(VIEW_SEVERE, "low-none", 0, "No symptoms", "p", "lie down, legs up go on"),
    SHOT(VIEW_SEVERE, "low-symptoms", 0, "There are symptoms", "n", "lie down, legs up what was done"),
    KEYS(0, "No symptoms", "\r"), KEYS(0, "Until the next reading", "q"),
};

static const struct walk_move NO_ARM[] = {
    KEYS(0, "Who is here?", "\r"), KEYS(0, "Enter opens the sitting", "\r"), KEYS(1000, "No caffeine", "r"),
    SHOT(VIEW_RECENT, "recent", 0, "Not long ago", "3", "a meal alcohol medicine nothing is refused esc back"),
    SHOT(VIEW_TEXT, "recent-when", 0, "in words", "one tablet at 7\r", "esc back"),
    SHOT(VIEW_ITEMS, "recent-noted", 0, "No caffeine", "y", "recent is written down"),
    KEYS(1000, "Been to the toilet", "y"), KEYS(1000, "Ask quietly", "y"), KEYS(1000, "Agrees", "y"),
    KEYS(0, "Which arm?", "x"),
    SHOT(VIEW_BARRED, "arm-barred", 0, "Which arm may not be", "l", "quietly skin vessel access operated in words the left arm the right arm"),
    SHOT(VIEW_BARRED, "arm-barred-left", 0, "left arm may not be used, because", "5", "vessel esc back"),
    SHOT(VIEW_ARM, "arm-one-left", 0, "Which arm?", "\r", "right arm left arm"),
    SHOT(VIEW_ITEMS, "arm-items-one-left", 0, "may be used", "x", "may not be used"),
    KEYS(0, "right arm may not be used, because", "4"),
    SHOT(VIEW_NO_ARM, "no-arm", 0, "Not measured today", "f", "Neither arm no one's fault stop an arm may be used after all"),
    SHOT(VIEW_BARRED, "arm-freed", 0, "marked as not to be used", ESC, "it may be used after all"),
    KEYS(0, "Not measured today", "\r"),
    SHOT(VIEW_STOP_SURE, "stop-sure-no-arm", 0, "Stop here?", "y", "neither arm may be used"),
    SIGNED,
    SHOT(VIEW_STOPPED, "stopped-no-arm", 0, "Stopped here", "\r", "no average"),
};

/* Felt up to 160, heard first at 132: asked; heard above, then lost. */
static const struct walk_move SILENT_GAP[] = {
    PREPARED("170"), LISTENED(30000, "204"), KEYS(0, "first sound", "132"), KEYS(0, "last sound", "84"),
    SHOT(VIEW_GAP, "gap", 0, "Were sounds heard above", "y", "132 160 yes, then lost none heard above change a figure"),
    SHOT(VIEW_ENTRY, "gap-first", 0, "first sound", "162", "silent from sounds back at"),
    SHOT(VIEW_ENTRY, "gap-silent", 0, "silent from", "150", "162 84"),
    KEYS(0, "sounds back at", "132"),
    SHOT(VIEW_READBACK, "gap-read-back", 0, "Is this what the needle showed?", "y", "162 150 132 84"),
    SHOT(VIEW_LISTEN_BEFORE, "listening-wait-gap", 2000, "Until the next reading", "", "to wait"),
    LISTENED(58000, "204"), KEYS(0, "204", "160"), KEYS(0, "160", "82"), READ_BACK,
    SHOT(VIEW_CLOSING, "result-gap", 2000, "The result", "q", "160/82 a silent gap from 150 to 132"),
};

static const struct walk_move STANDING[] = {
    KEYS(0, "Who is here?", "m4-118\r"), KEYS(0, "Enter opens the sitting", DOWN), KEYS(0, "change", " "),
    KEYS(0, "return", DOWN DOWN DOWN DOWN DOWN), KEYS(0, "change", "     "),
    SHOT(VIEW_OPENING, "opening-protocols", 0, "standing-adult", "\r", "Adult, lying and standing space change"),
    READY, ARM_AND_CUFF("r"),
    SHOT(VIEW_ITEMS, "posture-lying", 0, "Lying flat on the back", "y", "Room to stand up"), KEYS(0, "Nobody speaks", "y"),
    REST, PALPATION("140"),
    LISTENED(30000, "174"), KEYS(0, "174", "136"), KEYS(0, "136", "84"), READ_BACK,
    LISTENED(60000, "174"), KEYS(0, "174", "134"), KEYS(0, "134", "82"), READ_BACK,
    SHOT(VIEW_STAND, "stand", 0, "Now stand up", "f", "Stay close 1:00 3:00 stands now feels faint pass over"),
    SHOT(VIEW_FAINT, "faint", 0, "Let the subject sit or lie down", ESC, "All air out better: go on no more standing stop here"),
    KEYS(70000, "Now stand up", " "),
    SHOT(VIEW_LISTEN_BEFORE, "stand-wait", 2000, "Standing, until the reading", " ", "to stand, in silence Stay close feels faint"),
    SHOT(VIEW_LISTEN_BEFORE, "stand-wait-refused", 0, "not yet:", "?", "to stand"),
    SHOT(VIEW_WHY, "why-standing", 0, "Why:", ESC, "OH-5 published"),
    LISTENED(58000, "174"), KEYS(0, "174", "114"), KEYS(0, "114", "74"), READ_BACK,
    SHOT(VIEW_LISTEN_BEFORE, "stand-wait-second", 1000, "Standing, until the reading", "", "to stand 114/74 counts"),
    LISTENED(70000, "174"), KEYS(0, "174", "118"), KEYS(0, "118", "76"), READ_BACK,
    SHOT(VIEW_CLOSING, "result-standing", 1000, "The result", "q",
         "systolic 21.0 lower, diastolic 9.0 lower standing 114/74 at 1:00 118/76 at"),
};

/* A site's own protocol, made by copying one and changing three values. */
static void copy_protocol(void)
{
    booth_copy_protocol("protocols");
}

static const struct walk_move SITE_PROTOCOL[] = {
    RETURN_OPENING,
    KEYS(0, "arm used last time", "\r"),
    SHOT(VIEW_OPENING, "opening-usual-gone", 0, "not yet: which protocol?", " ", "The usual one is not offered any more"),
    KEYS(0, "our-clinic", DOWN),
    SHOT(VIEW_OPENING, "opening-departs", 0, "departs", "\r",
         "our-clinic departs from its sources in 3 places rest before the first reading (rest_s) is 180 s"),
    READY,
    ARM_AND_CUFF("r"), POSTURE, REST, PALPATION("130"),
    LISTENED(30000, "174"), KEYS(0, "174", "126"), KEYS(0, "126", "78"), READ_BACK,
    LISTENED(60000, "174"), KEYS(0, "174", "124"), KEYS(0, "124", "76"), READ_BACK,
    KEYS(2000, "The result", "y"), KEYS(2000, "told", "t"),
    SHOT(VIEW_CLOSING, "result-departs", 2000, "The result", "q",
         "The protocol departs in 3 places: (rest_s) is 180"),
};

static const struct walk_move OPEN_SITTING[] = {
    KEYS(0, "start a sitting", "\r"), KEYS(0, "Who is here?", "\r"), KEYS(0, "Enter opens the sitting", "\r"),
    KEYS(3000, "No caffeine", "y"), KEYS(3000, "Been to the toilet", "q"),
    PLAIN_SHOT("home", "go on with S-001", "l", "readiness start a sitting 1 open q quit"),
    PLAIN_SHOT("sittings", "0 of 0 count", "q", "S-001 open go on"),
    KEYS(720000, "go on with S-001", "g"),
    SHOT(VIEW_ITEMS, "resumed", 0, "Taken up again after 12:03", "", "Been to the toilet"),
    KEYS(0, "Been to the toilet", "q"), KEYS(0, "start a sitting", "q"),
};

static const struct walk_move LESS_HELP[] = {
    KEYS(0, "Who is here?", "\r"), KEYS(0, "Enter opens the sitting", "\t"), KEYS(0, "steps", "\t"),
    SHOT(VIEW_OPENING, "opening-no-help", 0, "none", "\r", "practice tab full help"),
    SHOT(VIEW_ITEMS, "readiness-no-help", 0, "ready.caffeine", "y", ""),
    KEYS(0, "ready.toilet", "q"),
};

static void begin_key(struct store *st, const char *person, struct signer **out)
{
    struct pin *pin = NULL;
    struct err e = {0};
    ck_assert_int_eq(pin_new(&pin, &e), ST_OK);
    for (const char *c = "brook 52"; *c; c++)
        ck_assert(pin_add(pin, (unsigned char)*c));
    ck_assert_msg(store_key_begin(st, person, pin, WALK_STAMP, out, &e) == ST_OK, "%s", e.text);
    pin_free(pin);
}

/* The first is self-declared, the next vouched for; of the last nobody knows anything. */
static void add_preceptors(void)
{
    static const struct person THREE[] = {{.id = "eva", .name = "Eva Lind", .role = ROLE_PRECEPTOR},
                                          {.id = "ina", .name = "Ina Roth", .role = ROLE_PRECEPTOR},
                                          {.id = "zoe", .name = "Zoe Brandt", .role = ROLE_PRECEPTOR}};
    const struct act vouch = {.kind = SAYS_VOUCH, .of = "ina", .at = WALK_STAMP};
    struct store *st = NULL;
    struct signer *eva = NULL;
    struct err e = {0};
    ck_assert_int_eq(trust_init(&e), ST_OK);
    ck_assert_int_eq(store_open("store.db", STORE_WRITE, &st, &e), ST_OK);
    for (size_t i = 0; i < ARRAY_LEN(THREE); i++)
        ck_assert_int_eq(store_person_add(st, &THREE[i], &e), ST_OK);
    begin_key(st, "eva", &eva);
    begin_key(st, "ina", NULL);
    begin_key(st, "zoe", NULL);
    ck_assert_msg(store_act(st, &vouch, eva, &e) == ST_OK, "%s", e.text);
    signer_free(eva);
    store_close(st);
}

/* One measures, another keeps the record: whatever happens, in whatever order. */
static const struct walk_move WITNESSED[] = {
    KEYS(0, "Who is here?", "\r"), KEYS(0, "Enter opens the sitting", DOWN DOWN), KEYS(0, "change", " "),
    KEYS(0, "service", " "),
    SHOT(VIEW_OPENING, "opening-assessment", 0, "who looks on", "\r", "assessment"),
    SHOT(VIEW_OPENING, "opening-assessment-who", 0, "not yet: who looks on?", "zoe\r", "preceptor keys known eva ina"),
    SHOT(VIEW_OPENING, "opening-assessment-unvouched", 0, "zoe is no preceptor here, or nobody has vouched", BACK BACK BACK "ina\r",
         "Space picks one who may People on the home page v vouches"),
    SHOT(VIEW_WITNESS, "witness", 0, "keeps the record", "yyn", "seen not so not seen rest begins told 8 open"),
    SHOT(VIEW_TEXT, "witness-not-so", 0, "what was seen", "not asked\r", "Not so No exercise"),
    KEYS(0, "Been to the toilet", "yyyyual"),
    KEYS(0, "left arm", "yyyo31\r"),
    KEYS(0, "31 cm", "w1"),
    KEYS(0, "Snug", "yyk\r"),
    KEYS(0, "Back supported", "yynlegs crossed\ryr"),
    SHOT(VIEW_WITNESS, "witness-rest", 75000, "at rest", "p", "rest ends squeeze feeling listening"),
    SHOT(VIEW_WITNESS, "witness-feeling", 31000, "feeling for the", "g130", "all air out rest 1:15"),
    SHOT(VIEW_WITNESS_PULSE, "witness-pulse", 0, "gone there", "g ", "130 still felt there"),
    KEYS(0, "gone at 130", "l"),
    SHOT(VIEW_MARKS, "witness-marks", 3000, "all other acts", " \t", "release muffled comment"),
    SHOT(VIEW_WITNESS, "witness-listening", 5000, "cuff up, listening", "e", "next mark second listener"),
    KEYS(0, "What the needle showed", "160"), KEYS(0, "160", "124"), KEYS(0, "124", "78"),
    KEYS(0, "final", "y"),
    SHOT(VIEW_WITNESS, "witness-after", 0, "1 reading", "z", "correct the last finish"),
    SHOT(VIEW_WITNESS_PASS, "witness-pass", 0, "Passed over, with a reason", ESC, "that one, because"),
    KEYS(0, "1 reading", "-"),
    SHOT(VIEW_WITNESS_NOTED, "witness-noted", 0, "Noted so far", "x", "Legs not crossed rest noted take this one back"),
    SHOT(VIEW_TEXT, "witness-strike", 0, "Taken back, because", "wrong key\r", "wait after feeling asked noted in words"),
    KEYS(0, "1 reading", "-"),
    SHOT(VIEW_WITNESS_NOTED, "witness-noted-back", 0, "because: wrong key", ESC, "taken back noted"),
    KEYS(0, "1 reading", "q"),
};

static const struct walk_move DEMO[] = {
    PLAIN_SHOT("demo-home", "DEMO: invented data", "l", "start a sitting gone when you leave"),
    PLAIN_SHOT("demo-sittings", "m4-118", "jj\r", "DEMO: invented data sealed"),
    PLAIN_SHOT("demo-sitting", "no mean is given", " ", "DEMO: invented data"),
    KEYS(0, "m4-118", "q"),
    KEYS(0, "start a sitting", "q"),
};

static const struct walk_move DEMO_PLAY[] = {
    SHOT(VIEW_OPENING, "demo-play", 0, "the clock runs 30 times too fast", ESC, "DEMO: invented data"),
    KEYS(0, "leave", "q"),
};

static const char *const HOME[] = {NULL}, *const SIT[] = {"sit", NULL}, *const SHOW_DEMO[] = {"demo", NULL},
                         *const PLAY[] = {"demo", "--play", NULL};

/* Two listeners of one fall: compared, with the result, and one in which there is something to answer. */
static const struct walk_move TWO_LISTENERS[] = {
    PREPARED("130"), KEYS(30000, "Pump to", "l"),
    SHOT(VIEW_LISTENER, "listener", 0, "Who listens too", "ana\r", "id stethoscope with two heads that one esc back"),
    SHOT(VIEW_LISTENER, "listener-refused", 0, "not yet:", BACK BACK BACK "ben\r", "ana measures another person"),
    SHOT(VIEW_LISTEN_BEFORE, "listening-before-pair", 0, "ben listens too", " ", "Each types unseen squeezing now second listener"),
    KEYS(50000, "listening", " "),
    SHOT(VIEW_ENTRY, "entry-unseen", 2000, "ana types", "164", "pumped to shown to nobody before both are in"),
    KEYS(0, "in, not shown", "127"),
    SHOT(VIEW_ENTRY, "entry-unseen-odd", 0, "not yet:", "12678", "typed, not shown even"),
    SHOT(VIEW_HANDOVER, "hand-over", 0, "Hand over to ben", " ", "Turn the screen given, not shown the other one is here give my own again"),
    SHOT(VIEW_PAIR_ENTRY, "pair-entry", 0, "ben types", "13284", "first sound last sound shown to nobody before both are in"),
    SHOT(VIEW_PAIR_READBACK, "pair-read-back", 0, "Both have typed", "y", "ana: given, not shown ben: final: show both ana again ben again"),
    SHOT(VIEW_PAIR_SHOWN, "pair-shown", 0, "What each heard", " ",
         "126/78 counts ana 126/78, ben 132/84: apart by 6 and 6, more than the limit of 4 Both stay on the record go on"),
    SHOT(VIEW_LISTEN_BEFORE, "listening-wait-pair", 2000, "Until the next reading", "",
         "126/78 counts ana 126/78, ben 132/84: apart by 6 and 6, more than the limit of 4"),
    LISTENED(58000, "160"), KEYS(0, "160", "124"), KEYS(0, "124", "76"), READ_BACK,
    SHOT(VIEW_CLOSING, "result-pair", 2000, "The result", "+", "126/78 noted 124/76"),
    KEYS(60000, "Pump to", "l"), KEYS(0, "Who listens too", DOWN "\r"), KEYS(0, "ben listens too", " "),
    KEYS(50000, "listening", " "), KEYS(2000, "ana types", "222190"),
    SHOT(VIEW_SEVERE, "very-high-unseen", 0, "A value to answer", "n", "---/--- Ask quietly This is for ana to answer none of these"),
    KEYS(0, "No symptoms", "\r"), KEYS(0, "last sound", "78"), KEYS(0, "Hand over to ben", "v"),
    KEYS(0, "Give this one up, because", "ben is called away\r"),
    SHOT(VIEW_LISTEN_BEFORE, "listening-wait-given-up", 2000, "Until the next reading", "q", "---/--- does not count given up"),
};

#define MOVES(table) table, ARRAY_LEN(table)
const struct walk WALKS[] = {
    {"first run", HOME, false, false, NULL, NULL, MOVES(FIRST_RUN)},
    {"first visit", SIT, true, false, NULL, NULL, MOVES(FIRST_VISIT)},
    {"second person", SIT, true, false, NULL, NULL, MOVES(SECOND_PERSON)},
    {"very high", SIT, true, false, NULL, NULL, MOVES(VERY_HIGH)},
    {"symptoms", SIT, true, false, write_procedure, NULL, MOVES(SYMPTOMS)},
    {"low", SIT, true, false, write_procedure, NULL, MOVES(LOW)},
    {"no arm", SIT, true, false, NULL, NULL, MOVES(NO_ARM)},
    {"silent gap", SIT, true, false, NULL, NULL, MOVES(SILENT_GAP)},
    {"standing", SIT, true, false, NULL, NULL, MOVES(STANDING)},
    {"site protocol", SIT, true, false, copy_protocol, "STILLARM_PROTOCOLS=protocols", MOVES(SITE_PROTOCOL)},
    {"open sitting", HOME, true, false, NULL, NULL, MOVES(OPEN_SITTING)},
    {"less help", SIT, true, false, NULL, NULL, MOVES(LESS_HELP)},
    {"witnessed", SIT, true, false, add_preceptors, NULL, MOVES(WITNESSED)},
    {"two listeners", SIT, true, false, NULL, NULL, MOVES(TWO_LISTENERS)},
    {"demo", SHOW_DEMO, false, true, NULL, NULL, MOVES(DEMO)},
    {"demo played", PLAY, false, true, NULL, NULL, MOVES(DEMO_PLAY)},
};
const size_t WALK_COUNT = ARRAY_LEN(WALKS);
