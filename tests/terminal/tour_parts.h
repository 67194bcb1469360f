/* SPDX-License-Identifier: GPL-3.0-or-later */
/** @file tour_parts.h  What the tables of moves are made of. A pressure goes in by its last digit, without an Enter, as soon
 * as no further digit could follow. */
#ifndef STILLARM_TOUR_PARTS_H
#define STILLARM_TOUR_PARTS_H

#define ONE_ARM(page, choice, cm)                                                                                    \
    {0, page, choice}, {0, "may be used", "y"}, {0, "Arm bare", "y"}, {0, "Measure the arm", cm "\r"},               \
        {0, "Which cuff goes on?", "\r"},                                                                            \
    {                                                                                                                \
        0, "Snug", "y"                                                                                               \
    }
#define PALPATION(gone)                                                                                              \
    {60000, "Where does the pulse go?", " "}, {15000, "all air out", " "},                                           \
    {                                                                                                                \
        1000, "Where did the pulse go?", gone                                                                        \
    }
#define SOUNDS(wait, target, first) {wait, "Pump to", " "}, {50000, "listening", " "},                               \
        {2000, "What the needle showed", target},                                                                    \
    {                                                                                                                \
        0, "first sound", first                                                                                      \
    }
#define READ_BACK {0, "Is this what the needle showed?", "y"}
#define READING(wait, target, first, last) SOUNDS(wait, target, first), {0, "last sound", last}, READ_BACK
#define READY                                                                                                        \
    {1000, "No caffeine", "y"}, {1000, "Been to the toilet", "y"}, {1000, "Ask quietly", "y"},                       \
    {                                                                                                                \
        1000, "Agrees", "y"                                                                                          \
    }
#define REST(pulse)                                                                                                  \
    {0, "the rest begins", " "}, {2000, "Meanwhile: which gauge?", "\r"}, {2000, "needle stands at zero", "y"},      \
        {2000, "Cuff and stethoscope clean", "y"},                                                                   \
    {                                                                                                                \
        240000, "count the pulse", pulse                                                                             \
    }
#define POSTURE_AND_REST {0, "Back supported", "y"}, {0, "Nobody speaks", "y"}, REST("72r")
#define CLOSING                                                                                                      \
    {0, "Cuff off", "y"}, {2000, "told", "t"},                                                                       \
    {                                                                                                                \
        0, "finish", "f"                                                                                             \
    }

#endif
