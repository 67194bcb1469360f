/* SPDX-License-Identifier: GPL-3.0-or-later */
/** @file standing.h  How well a number is founded, and on what. */
#ifndef STILLARM_STANDING_H
#define STILLARM_STANDING_H

#define SOURCE_CAP 64

/** How well a number or an item is founded. */
enum standing { STANDING_PUBLISHED, STANDING_COMMON, STANDING_JUDGEMENT, STANDING_MEMORY, STANDING_COUNT };

/** The words of the four standings, as files and screens write them: published, common practice, judgement, from memory. */
extern const char *const STANDING_WORDS[STANDING_COUNT];

struct origin {
    char source[SOURCE_CAP]; /* id in assets/sources.ini; "" only for judgement and common practice */
    enum standing standing;
};

#endif
