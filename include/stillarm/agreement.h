/* SPDX-License-Identifier: GPL-3.0-or-later */
/**
 * @file agreement.h  How far two listeners of the same inflations agree: a measurer against a second listener.
 * Pure, no allocation. One pass: pairs are added one by one, tallies of several measurers merge into one of all, and sums
 * are exact integers, so that no offset and no order of adding changes a digit. What cannot be said of the data there are
 * is told as a lack, in words; a figure without a lack is always finite.
 */
#ifndef STILLARM_AGREEMENT_H
#define STILLARM_AGREEMENT_H

#include <stdbool.h>
#include <stdint.h>

#include "stillarm/category.h"
#include "stillarm/learning.h"
#include "stillarm/worth.h"

#define AGREE_UNIT 1000 /* values are whole thousandths of mmHg: 120.5 is 120500 */
#define AGREE_VALUE_MAX INT64_C(1000000000000) /* largest |value|, thousandths; sums stay exact up to 10^7 pairs of such */
#define AGREE_COVERAGE 0.95

__extension__ typedef __int128 agree_wide; /* gcc and clang have it; the sums of 10^7 squares do not fit 64 bits */

/** Why there is no figure, or none of its limits. */
enum lack {
    LACK_NONE,
    LACK_PAIRS,      /* too few: LACK_NEED says how many it takes */
    LACK_SPREAD,     /* all differences are the same: nothing to take limits from */
    LACK_RANGE,      /* all values of one listener are the same */
    LACK_SUBJECTS,   /* one subject only */
    LACK_REPEATS,    /* nobody was read twice */
    LACK_CATEGORIES, /* no scheme, or a listener stays in one category */
    LACK_DIGITS,     /* fewer even values than the test takes */
    LACK_NEAR,       /* no value lay near a boundary */
    LACK_BETWEEN,    /* pairs differ from each other no more than the values within a pair: no ratio of the two */
    LACK_SCATTER,    /* of limits only: nothing scatters about it, as about a correlation of 1 */
    LACK_LIMITS,     /* of limits only: the figure is told without any */
    LACK_COUNT
};
/** Its words, without a full stop: `all differences are the same`. */
extern const char *const LACK_WORDS[LACK_COUNT];

/** A statistic with its 95 % limits. value is of use without lack, low and high without limits_lack as well. */
struct figure {
    enum lack lack, limits_lack;
    int64_t need; /* with LACK_PAIRS or LACK_DIGITS: so many it takes for what is lacking; 0 else */
    double value, low, high;
};

/* ---- what is tallied ---- */

/** Exact sums over pairs; a is the measurer's value, b the listener's, thousandths. */
struct pair_sums {
    int64_t n;
    agree_wide a, b, aa, bb, ab;
};
void pair_sums_add(struct pair_sums *s, int64_t a, int64_t b);
void pair_sums_merge(struct pair_sums *into, const struct pair_sums *from);

enum ear { EAR_MEASURER, EAR_LISTENER, EAR_COUNT };
#define AGREE_NEAR_COUNT 3
extern const int32_t AGREE_NEAR_MMHG[AGREE_NEAR_COUNT]; /* 5, 10, 15: shares of |difference| at most so large */

struct digit_tally {
    int64_t even[5];   /* whole values that end in 0, 2, 4, 6, 8 */
    int64_t odd;       /* whole values on no line of a gauge graduated by two */
    int64_t not_whole;
};
void digit_tally_add(struct digit_tally *t, int64_t value);

/** Readings of the same subject that follow each other. */
struct repeat_tally {
    int64_t repeats;                       /* with a reading of the same subject before */
    int64_t same[EAR_COUNT];               /* the very same value again */
    int64_t only[EAR_COUNT];               /* the same value again by this ear alone */
};

/** Values close to the lower bounds of categories: within 2 mmHg below one, at it or within 2 above. */
struct boundary_tally {
    int64_t below[EAR_COUNT], from[EAR_COUNT];
};

/** A sum of fractions in which each term is cut at 2^-64: whole + part / 2^64. No order of adding changes it. */
struct exact_sum {
    agree_wide whole;
    uint64_t part;
};

/** What subjects read more than once say; one cell is one measurer and one subject. In thousandths and their squares. */
struct replicate_sums {
    int64_t cells, repeated;               /* repeated: with two pairs or more */
    int64_t n, n_repeated;                 /* pairs in all; in the repeated cells */
    agree_wide n_squared;                  /* sum of the squares of the cells' sizes */
    struct exact_sum reciprocal;           /* sum over the cells of 1/size */
    struct exact_sum within_a, within_b, within_d; /* sums of squares within cells, of values and of differences */
    struct exact_sum mean_d, mean_d_squares; /* sums over the cells of their mean difference, and of its square */
};

struct agree_tally {
    struct pair_sums side[SIDE_COUNT];     /* of the subjects that are closed */
    int64_t near[SIDE_COUNT][AGREE_NEAR_COUNT];
    int64_t right;                         /* pairs right on both sides, as the plan says what right is */
    struct digit_tally digits[SIDE_COUNT][EAR_COUNT];
    struct repeat_tally repeats[SIDE_COUNT];
    struct boundary_tally boundary[SIDE_COUNT];
    struct replicate_sums replicates[SIDE_COUNT];
    int64_t category[CATEGORY_BANDS_MAX][CATEGORY_BANDS_MAX]; /* [measurer's band][listener's band] */
    int32_t category_count;                /* 0: no scheme */
    struct learning_state learning;        /* in the order of adding; of no use in a merged tally */
    bool is_merged;
};

/** One subject under one measurer, as far as its pairs were added: the caller keeps one for each. Zero to begin. */
struct agree_subject {
    struct pair_sums side[SIDE_COUNT];
    int64_t last[SIDE_COUNT][EAR_COUNT];
};

/** What a whole value says by itself: its band, how many bounds it lies just below and just from, half its end digit (5: odd). */
struct agree_mark { uint8_t band, below, from, digit; };
#define AGREE_MARKS 320 /* for 0 to 319 mmHg */

/** What all pairs are held against. scheme NULL: no categories. */
struct agree_frame {
    const struct category_scheme *scheme;
    struct learning_plan plan;
    bool has_marks;
    struct agree_mark mark[SIDE_COUNT][AGREE_MARKS];
};
/** Work out the marks of the scheme that is set, once, for many pairs: they are added faster then, and to the same end. */
void agree_frame_mark(struct agree_frame *f);

struct agree_pair { int64_t value[SIDE_COUNT][EAR_COUNT]; }; /* thousandths */

void agree_begin(struct agree_tally *t, const struct agree_frame *f);
/** Add a pair to its measurer's tally and to its subject's sums. */
void agree_add(struct agree_tally *t, struct agree_subject *s, const struct agree_frame *f, const struct agree_pair *p);
/** A subject is complete: its sums, and what its repeats say, go into the tally. Once for each, after its last pair. */
void agree_close_subject(struct agree_tally *t, const struct agree_subject *s);
/** Add another measurer's tally. The result speaks of all, its cells being a measurer and a subject each. */
void agree_merge(struct agree_tally *into, const struct agree_tally *from);

/* ---- what it says ---- */

/** The figures of one side, in the order in which they are told. */
enum side_figure {
    FIGURE_BIAS,             /* measurer less listener, mmHg; limits by Student's t */
    FIGURE_SD,               /* of the differences; limits by chi-square */
    FIGURE_LOWER, FIGURE_UPPER,                 /* limits of agreement bias -+ 1.96 SD; exact limits by non-central t */
    FIGURE_LOWER_APPROX, FIGURE_UPPER_APPROX,   /* the same, limits as Bland and Altman 1999 approximate them */
    FIGURE_SD_LINKED, FIGURE_LOWER_LINKED, FIGURE_UPPER_LINKED, /* repeats: both heard the same inflations (1999, 5.3) */
    FIGURE_SD_APART, FIGURE_LOWER_APART, FIGURE_UPPER_APART,    /* repeats: each read by himself (1999, 5.2) */
    FIGURE_NEAR_5, FIGURE_NEAR_10, FIGURE_NEAR_15,              /* shares, 0 to 1; limits by Clopper and Pearson */
    FIGURE_ICC_1_1, FIGURE_ICC_2_1, FIGURE_ICC_3_1,             /* Shrout and Fleiss 1979 */
    FIGURE_ICC_1_K, FIGURE_ICC_2_K, FIGURE_ICC_3_K,
    FIGURE_CONCORDANCE,      /* Lin 1989, corrected 2000: divisor n, limits by the z transform */
    FIGURE_CORRELATION,      /* Pearson's; limits by the z transform */
    FIGURE_REPEAT_MEASURER, FIGURE_REPEAT_LISTENER, /* SD within subjects, of one ear: intra-observer */
    FIGURE_DIGIT_CHI, FIGURE_DIGIT_P, /* even end digits of the measurer, 4 degrees of freedom */
    FIGURE_ZERO,             /* share of zeros among even values; limits by Clopper and Pearson */
    FIGURE_ZERO_P,           /* binomial chance of so many zeros or more at one in five */
    FIGURE_ODD,              /* share of odd values among whole ones; Clopper and Pearson */
    FIGURE_IDENTICAL, FIGURE_IDENTICAL_LISTENER, /* shares of repeats with the very same value; Clopper and Pearson */
    FIGURE_IDENTICAL_P,      /* chance, were both ears alike: one-sided binomial of the repeats that one ear alone repeats */
    FIGURE_BELOW,            /* share just below a boundary, of the measurer's values near one; Clopper and Pearson */
    FIGURE_BELOW_P,          /* one-sided binomial of at least so many below, at one half */
    SIDE_FIGURE_COUNT
};
/** The figures of both sides together. */
enum joint_figure {
    FIGURE_RIGHT,            /* share of pairs right on both sides; Clopper and Pearson */
    FIGURE_KAPPA, FIGURE_KAPPA_LINEAR, FIGURE_KAPPA_QUADRATIC, /* of the category; limits after Fleiss, Cohen, Everitt 1969 */
    JOINT_FIGURE_COUNT
};

/** How a figure is called in files and told on screens. */
struct figure_row {
    const char *id;      /* `icc-2-1`, as JSON and CSV write it */
    const char *say;     /* `ICC(2,1)`, `within 5 mmHg` */
    const char *unit;    /* `mmHg`, `share`, `p`, "" for a pure number */
    const char *source;  /* who defines it: `Bland and Altman 1999`; "" where a definition is common property */
};
extern const struct figure_row SIDE_FIGURES[SIDE_FIGURE_COUNT], JOINT_FIGURES[JOINT_FIGURE_COUNT];

/** A published standard as a yardstick: none of them is a licence to certify a person. */
enum yard_answer { YARD_TOO_FEW, YARD_MET, YARD_NOT_MET };
extern const char *const YARD_WORDS[]; /* too few, met, not met */
struct standard {
    const char *id, *say, *source;       /* source: id in assets/sources.ini */
    double share[AGREE_NEAR_COUNT];      /* at least, 0 to 1; 0: nothing is asked */
    int64_t n_min;                       /* below it there is no answer */
};
extern const struct standard STANDARDS[]; /* ended by a row without id */
#define STANDARDS_MAX 8

struct agreement_side {
    struct figure figure[SIDE_FIGURE_COUNT];
    enum yard_answer standard[STANDARDS_MAX]; /* by STANDARDS' rows */
    char grade;                              /* 'A' to 'D' of the published grades; '-' with too few */
    enum yard_answer criterion_1;            /* |bias| at most 5 and SD at most 8 mmHg, ISO 81060-2 */
    enum yard_answer criterion_2;            /* SD of the subjects' mean differences against the limit at their mean */
    double criterion_2_sd, criterion_2_limit;/* mmHg; of use unless too few */
};

struct agreement {
    int64_t n, subjects;
    struct agreement_side side[SIDE_COUNT];
    struct figure joint[JOINT_FIGURE_COUNT];
    struct learning_state learning;
    bool has_learning;                       /* one measurer's pairs in their order */
};

/** Everything that a tally says. Subjects must be closed. */
void agreement_of(const struct agree_tally *t, struct agreement *out);

/* ---- parts that stand alone ---- */

/** Clopper and Pearson's limits of x out of n, n >= 1, coverage two-sided. */
void share_limits(int64_t x, int64_t n, double coverage, double *low, double *high);

/** Shrout and Fleiss's six forms from the mean squares of n >= 2 targets by k >= 2 judges: between targets, within,
 *  between judges, residual. out in the order 1,1 2,1 3,1 1,k 2,k 3,k. */
struct icc_squares { int64_t n; int32_t k; double between, within, judges, residual; };
void icc_of(const struct icc_squares *q, struct figure out[6]);
/** Mean squares of a whole table, row by row n x k, exact: values in thousandths, k at most 8. False for n or k below 2. */
bool icc_squares_of(const int64_t *value, int64_t n, int32_t k, struct icc_squares *out);

/** Kappa of counts[k][k] (row stride `stride`), k 2 to CATEGORY_BANDS_MAX, with symmetric disagreement weights; weight(i, j, k)
 *  is 0 on the diagonal and above 0 off it, NULL: 1 off it. Limits lie within -1 to 1. */
typedef double (*kappa_weight_fn)(int i, int j, int k);
struct figure kappa_of(const int64_t *counts, int k, int stride, kappa_weight_fn weight);

/** Largest SD at which 85 % of a normal distribution of this mean lie within 10 mmHg: criterion 2's limit. |mean| < 10. */
double criterion_2_limit_of(double mean_mmhg);

/** With fewer even values digits are not held against chance: five are expected a digit then, the usual floor of chi-square. */
#define DIGITS_EVEN_MIN 25

/** Pearson's chi-square over five even end digits, and its tail at 4 degrees of freedom; false while n is 0. */
bool digit_chi_square(const int64_t even[5], double *chi, double *p);

#endif
