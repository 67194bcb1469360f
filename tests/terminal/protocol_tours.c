/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Nobody in these sittings exists. */
#include "protocol_tours.h"

#include "stillarm/text.h"
#include "tour_parts.h"

#define RETURN_OPENING {0, "Who is here?", "m4-118\r"}, {0, "Enter opens the sitting", TOUR_DOWN}, {0, "change", " \r"}
#define RETURN_ARM ONE_ARM("Which arm?", "r", "31")
#define PREPARED(gone) RETURN_OPENING, READY, RETURN_ARM, POSTURE_AND_REST, PALPATION(gone)

static const struct tour_move AS_EVER[] = {CLOSING};

/* The first two differ by 2: they are enough. */
static const struct tour_move US[] = {
    PREPARED("130"),
    READING(30000, "164", "126", "78"),
    READING(60000, "164", "124", "76"),
};

/* A first visit: one on each arm, then on the higher one to three; the last two count. */
static const struct tour_move EUROPE[] = {
    {0, "Who is here?", "\r"},
    {0, "Enter opens the sitting", "\r"},
    READY,
    ONE_ARM("Which arm?", "l", "31"),
    POSTURE_AND_REST,
    PALPATION("140"),
    READING(30000, "174", "132", "82"),
    ONE_ARM("Now the other arm", "\r", "31.5"),
    PALPATION("140"),
    READING(30000, "174", "138", "86"),
    READING(60000, "174", "134", "84"),
    READING(60000, "174", "132", "82"),
};

/* The first is at or over 140/90, the second more than 10 below it: a third; the lower of the last two. */
static const struct tour_move UK[] = {
    PREPARED("160"),
    READING(30000, "194", "150", "92"),
    READING(60000, "194", "138", "88"),
    READING(60000, "194", "136", "86"),
};

/* Below 130/85: one suffices. */
static const struct tour_move INTERNATIONAL[] = {
    PREPARED("130"),
    READING(30000, "164", "128", "82"),
};

static const struct tour_move STANDING[] = {
    RETURN_OPENING,
    READY,
    RETURN_ARM,
    {0, "Lying flat on the back", "y"},
    {0, "Nobody speaks", "y"},
    REST("72r"),
    PALPATION("140"),
    READING(30000, "174", "136", "84"),
    READING(60000, "174", "134", "82"),
    {0, "Now stand up", " "},
    {1000, "to stand, in silence", ""},
    READING(59000, "174", "114", "74"),
    {1000, "to stand, in silence", ""},
    READING(70000, "174", "118", "76"),
};

/* It does not go well at first: lying again, a whole new rest, and up once more. */
static const struct tour_move STANDING_TWICE[] = {
    RETURN_OPENING,
    READY,
    RETURN_ARM,
    {0, "Lying flat on the back", "y"},
    {0, "Nobody speaks", "y"},
    REST("72r"),
    PALPATION("140"),
    READING(30000, "174", "136", "84"),
    READING(60000, "174", "134", "82"),
    {0, "Now stand up", " "},
    {20000, "to stand, in silence", "f"},
    {0, "Let the subject sit or lie down", "y"},
    {10000, "to lie still", " "},
    {301000, "Now stand up", " "},
    {1000, "to stand, in silence", ""},
    READING(59000, "174", "124", "78"),
    {1000, "to stand, in silence", ""},
    READING(70000, "174", "126", "80"),
};

/* Sounds go on down to zero: the muffling is the diastolic. 160 is very high here, 108 is not. */
static const struct tour_move PREGNANCY[] = {
    PREPARED("160"),
    SOUNDS(30000, "194", "160"),
    {0, "Very high", "n"},
    {0, "No symptoms", "\r"},
    {0, "last sound", "0\r"},
    {0, "sounds muffled", "106"},
    READ_BACK,
    SOUNDS(60000, "194", "158"),
    {0, "last sound", "0\r"},
    {0, "sounds muffled", "108"},
    READ_BACK,
};
static const struct tour_move PREGNANCY_CLOSING[] = {
    {0, "not answered yet", "a"},
    {0, "What was done?", "repeated, the person in charge told\r"},
    CLOSING,
};

static const struct tour_move IRREGULAR[] = {
    RETURN_OPENING,
    READY,
    RETURN_ARM,
    {0, "Back supported", "y"},
    {0, "Nobody speaks", "y"},
    REST("72i"),
    PALPATION("140"),
    READING(30000, "174", "126", "78"),
    READING(60000, "174", "134", "84"),
    READING(60000, "174", "130", "80"),
};

/* What 30 seconds of settling and a margin of 30 would refuse and void is right here. */
static const struct tour_move SITE[] = {
    PREPARED("130"),
    READING(10000, "174", "126", "78"),
    READING(60000, "174", "124", "76"),
};

#define MOVES(table) table, ARRAY_LEN(table)
#define PARTS "gauge ", "graduation ", "arm height ", "spread ", "effective df", "95 of 100"
const struct protocol_tour PROTOCOL_TOURS[] = {
    {"us-adult", 65, MOVES(US), MOVES(AS_EVER),
     {"mean of all readings that count, right arm", "elevated (US 2017/2025); normal (ESH 2023)", "One visit is no diagnosis.",
      "how exact: 116 to 137 / 65 to 86", "about 4 in 10 that this sitting's true mean reaches stage 1", "f finish"},
     {"1: 126/78,  2: 124/76", "One more reading would narrow it", "From visit to visit"},
     {"reading\t1\tright\t126\t-\t78\tcounted\t-\t-\n", "reading\t2\tright\t124\t-\t76\tcounted\t-\t-\n",
      "average\tright\t125.00\t77.00\t2\n"},
     {"average right arm: 125/77 mmHg, from 2 readings (all)", "category: elevated (US 2017/2025)", PARTS}},
    {"europe-adult", 95, MOVES(EUROPE), MOVES(AS_EVER),
     {"133/83", "mean of the last two that count, right arm", "elevated (ESC 2024); high-normal (ESH 2023)",
      "One visit is no diagnosis.", "how exact: 124 to 145 / 71 to 92", "about 2 in 10", "f finish"},
     {"1: 132/82", "2: 138/86,  3: 134/84,  4: 132/82", "One more reading", "From visit to visit"},
     {"reading\t1\tleft\t132\t-\t82\tcounted\t-\t-\n", "reading\t2\tright\t138\t-\t86\tcounted\t-\t-\n",
      "reading\t3\tright\t134\t-\t84\tcounted\t-\t-\n", "reading\t4\tright\t132\t-\t82\tcounted\t-\t-\n",
      "average\tright\t133.00\t83.00\t2\n"},
     {"average right arm: 133/83 mmHg, from 2 readings (last-two)", "category: elevated (ESC 2024)", PARTS}},
    {"uk-adult", 75, MOVES(UK), MOVES(AS_EVER),
     {"136/86", "the lower of the last two, right arm", "below 140/90 (NICE NG136); normal (UK pharmacy)",
      "One visit is no diagnosis.", "how exact: 123 to 152 / 70 to 99", "about 5 in 10", "f finish"},
     {"1: 150/92,  2: 138/88,  3: 136/86", "One more reading", "the lower of the last two was taken: systolic reads low"},
     {"reading\t1\tright\t150\t-\t92\tcounted\t-\t-\n", "reading\t3\tright\t136\t-\t86\tcounted\t-\t-\n",
      "average\tright\t136.00\t86.00\t1\n"},
     {"average right arm: 136/86 mmHg, from 1 reading (lower-of-last-two)", "category: below 140/90 (NICE NG136)", PARTS}},
    {"international-adult", 55, MOVES(INTERNATIONAL), MOVES(AS_EVER),
     {"one reading, right arm: below", "130/85 it suffices", "normal (ISH 2020)", "One visit is no diagnosis.",
      "how exact: 115 to 144 / 66 to 95", "about 6 in 10", "f finish"},
     {"1: 128/82", "One more reading would narrow it by a quarter", "From visit to visit"},
     {"reading\t1\tright\t128\t-\t82\tcounted\t-\t-\n", "average\tright\t128.00\t82.00\t1\n"},
     {"average right arm: 128/82 mmHg, from 1 reading", "category: normal (ISH 2020)", PARTS}},
    {"standing-adult", 90, MOVES(STANDING), MOVES(AS_EVER),
     {"135/83", "mean of all readings that count, right arm", "One visit is no diagnosis.", "how exact: 126 to 147 / 71 to 92",
      "standing: systolic 21.0 lower, diastolic 9.0 lower", "f finish"},
     {"1: 136/84,  2: 134/82", "right arm, standing", "3: 114/74 at 1:00,  4: 118/76 at 3:03", "(standing.drop)"},
     {"reading\t2\tright\t134\t-\t82\tcounted\t-\t-\n", "reading\t3\tright\t114\t-\t74\tcounted\t-\tstanding\n",
      "reading\t4\tright\t118\t-\t76\tcounted\t-\tstanding\n", "average\tright\t135.00\t83.00\t2\n"},
     {"average right arm: 135/83 mmHg, from 2 readings (all)", "counts, standing", PARTS}},
    {"standing-adult", 100, MOVES(STANDING_TWICE), MOVES(AS_EVER),
     {"mean of all readings that count", "standing: systolic 11.0 lower, diastolic 5.0 lower", "f finish"},
     {"3: 124/78 at 1:00,  4: 126/80 at 3:03"},
     {"reading\t3\tright\t124\t-\t78\tcounted\t-\tstanding\n", "average\tright\t135.00\t83.00\t2\n"},
     {"counts, standing", PARTS}},
    {"pregnancy", 110, MOVES(PREGNANCY), MOVES(PREGNANCY_CLOSING),
     {"159/107", "mean of all readings that count, right arm", "One visit is no diagnosis.", "how exact: 150 to 171 / 95 to 116",
      "is not answered yet: a, what was", "f finish"},
     {"1: 160/106/0,  2: 158/108/0", "One more reading would narrow it", "From visit to visit"},
     {"reading\t1\tright\t160\t106\t0\tcounted\t-\t-\n", "reading\t2\tright\t158\t108\t0\tcounted\t-\t-\n",
      "average\tright\t159.00\t107.00\t2\n"},
     {"average right arm: 159/107 mmHg, from 2 readings (all)", PARTS}},
    {"irregular-adult", 75, MOVES(IRREGULAR), MOVES(AS_EVER),
     {"mean of all readings that count, right arm", "stage 1 (US 2017/2025); elevated (ESC 2024)", "One visit is no diagnosis.",
      "how exact: 122 to 140 / 71 to 89", "about 8 in 10", "f finish"},
     {"1: 126/78,  2: 134/84,  3: 130/80", "One more reading would narrow it by about a tenth", "From visit to visit"},
     {"reading\t3\tright\t130\t-\t80\tcounted\t-\t-\n", "average\tright\t130.00\t80.67\t3\n"},
     {"average right arm: 130/81 mmHg, from 3 readings (all)", "category: stage 1 (US 2017/2025)", "irregular", PARTS}},
};
const size_t PROTOCOL_TOUR_COUNT = ARRAY_LEN(PROTOCOL_TOURS);

const struct protocol_tour SITE_TOUR = {
    "our-clinic", 65, MOVES(SITE), MOVES(AS_EVER),
    {"mean of all readings that count", "elevated (US 2017/2025)", "how exact:", "f finish"},
    {"The protocol departs from its sources in 3 places:", "(rest_s) is 180 s; REST-1", "says 300 s; us-adult has 300 s",
     "(settle_s)", "is 10 s; PALP-7 says 15 to 30 s", "(margin_mmhg)"},
    {"average\tright\t125.00\t77.00\t2\n", "state\tsealed\n"},
    {NULL},
};
