/* SPDX-License-Identifier: GPL-3.0-or-later */
/** @file pairs_words.h  What is said of a file's pairs before their figures: which look mistyped, and how many measurers they pool. */
#ifndef STILLARM_GUIDE_PAIRS_WORDS_H
#define STILLARM_GUIDE_PAIRS_WORDS_H

#include "guide/progress.h"
#include "stillarm/agreement.h"

#define SHORT_NAME_COLUMNS 15
struct short_name { char text[4 * SHORT_NAME_COLUMNS + 2]; int columns; };
/** A measurer's name as a column takes it: with a mark at the end where it was cut. */
struct short_name short_name_of(const char *name);

/* Outside of these a value looks mistyped: above what is published as the highest systolic (LIM-1); the lowest is a judgement, as is
 * that a systolic lies above its diastolic, and how far apart two who hear the same can be. */
#define DOUBT_LOW_MMHG 30
#define DOUBT_HIGH_MMHG 300
#define DOUBT_APART_MMHG 40
#define DOUBT_LINES 5 /* the first of them are told each */

enum pair_doubt { DOUBT_ORDER /* a systolic not above the diastolic, of either ear */, DOUBT_LOW, DOUBT_HIGH,
                  DOUBT_APART /* measurer and listener, on either side */, DOUBT_COUNT };
extern const char *const DOUBT_IDS[DOUBT_COUNT]; /* for JSON */

/** Rows that look mistyped, and by kind, where one may be of two. They stay in all figures, as they stand. */
struct pair_told { int64_t line; const char *measurer; struct agree_pair pair; bool is_odd[SIDE_COUNT]; };
struct pair_doubts { int64_t rows, of[DOUBT_COUNT]; struct pair_told told[DOUBT_LINES]; };

/** For every row, whether pair_doubts_add has to look at it: what would be below zero else. Where each systolic lies above its
 *  diastolic, the lowest value is a diastolic and the highest a systolic. */
static inline bool pair_has_doubt(const struct agree_pair *p)
{
    const int64_t *s = p->value[SIDE_SYSTOLIC], *d = p->value[SIDE_DIASTOLIC];
    const int64_t low = DOUBT_LOW_MMHG * AGREE_UNIT, high = DOUBT_HIGH_MMHG * AGREE_UNIT, apart = DOUBT_APART_MMHG * AGREE_UNIT;
    const int64_t more_s = s[EAR_MEASURER] - s[EAR_LISTENER], more_d = d[EAR_MEASURER] - d[EAR_LISTENER];
    return ((s[EAR_MEASURER] - d[EAR_MEASURER] - 1) | (s[EAR_LISTENER] - d[EAR_LISTENER] - 1) | (d[EAR_MEASURER] - low) |
            (d[EAR_LISTENER] - low) | (high - s[EAR_MEASURER]) | (high - s[EAR_LISTENER]) | (apart - more_s) |
            (apart + more_s) | (apart - more_d) | (apart + more_d)) < 0;
}
void pair_doubts_add(struct pair_doubts *d, const struct agree_pair *p, int64_t line, const char *measurer /* kept */);
/** A caution, what they are, and the first with their values; nothing where there are none. */
void say_pair_doubts(const struct pair_doubts *d, progress_line_fn, void *user);

/** Measurers whose pairs are told together, and between what their biases lie. Zero to begin. */
struct pair_pool { int64_t measurers; double least[SIDE_COUNT], most[SIDE_COUNT]; };
void pair_pool_add(struct pair_pool *p, const struct agree_tally *one); /* its subjects closed, with a pair */
void say_pair_pool(const struct pair_pool *p, progress_line_fn, void *user);

#endif
