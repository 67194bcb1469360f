/* SPDX-License-Identifier: GPL-3.0-or-later */
/**
 * @file worth.h  What a reading, or an average, is worth: an uncertainty budget after JCGM 100 and what follows from it.
 * Pure, floating point, no state. Nothing here ever changes a reading: what is known to pull it one way widens one side
 * of the interval, or is told as a direction with its published size.
 */
#ifndef STILLARM_WORTH_H
#define STILLARM_WORTH_H

#include <stdbool.h>
#include <stdint.h>

#include "stillarm/sitting.h"

enum side { SIDE_SYSTOLIC, SIDE_DIASTOLIC, SIDE_COUNT };
extern const char *const SIDE_WORDS[SIDE_COUNT];

enum worth_part {
    WORTH_GAUGE,      /* limit of a sound gauge; the same error in every reading of the sitting */
    WORTH_GRADUATION, /* read to the nearest line */
    WORTH_BEAT,       /* fall between two beats; one-sided: systolic reads low, diastolic high */
    WORTH_HEIGHT,     /* arm above or below the heart; the same error in every reading */
    WORTH_SPREAD,     /* between readings of one sitting */
    WORTH_PART_COUNT
};

enum worth_shape { SHAPE_RECTANGULAR, SHAPE_NORMAL, SHAPE_T };
extern const char *const SHAPE_WORDS[]; /* rectangular, normal, t */

/** One row of the budget, in the unit of its quantity; times sensitivity it is in mmHg. */
struct worth_row {
    bool is_known;          /* false: nothing was observed that it could be computed from; then it counts as in `note` */
    enum worth_shape shape;
    double low, high;       /* rectangular: its limits about the reading; else low = high = 0 */
    double standard;        /* standard uncertainty, before sensitivity */
    double sensitivity;     /* mmHg per unit */
    double contribution;    /* standard uncertainty in mmHg of the result (after averaging where readings are independent) */
    double shift;           /* mean of a one-sided part, mmHg of the result; 0 else */
    double df;              /* degrees of freedom; INFINITY for limits */
    bool is_shared;         /* the same in all readings: averaging does not lessen it */
    struct origin origin;
    char note[120];         /* what was observed or assumed: `2.4 mmHg a beat at 2.0 mmHg/s, pulse 50` */
};

struct worth_budget {
    struct worth_row row[WORTH_PART_COUNT];
    double value;           /* mmHg: the reading or the exact average, as it stands */
    double combined;        /* standard uncertainty, mmHg */
    double df;              /* effective, after Welch and Satterthwaite */
    double k;               /* coverage factor for 95 %: expanded over combined */
    double expanded;        /* half-width that holds 95 %, from the convolution of the parts (docs/worth.md) */
    double shift;           /* sum of the shifts: the interval lies about value + shift */
    double low, high;       /* value + shift -+ expanded */
    bool is_pooled;         /* a published spread went in */
    bool is_thin;           /* fewer than ten effective degrees of freedom: the interval is wide for that, and the page says so */
};

/** A pull in a known direction that nothing corrects. */
struct worth_pull {
    char what[120];         /* `the cuff was too small` */
    int systolic, diastolic; /* directions: -1 reads low, 0 none, +1 reads high */
    char size[120];         /* published size in words: `+4.8/+1.8 mmHg` */
    struct origin origin;
};
#define WORTH_PULLS_MAX 12

/** How sure the category is, about the boundary that is least sure. */
struct worth_edge {
    bool is_known;          /* false: no scheme, or a scheme of one band */
    int32_t band;           /* the band that begins there */
    /* From where on each value alone brings that band or a higher one; CATEGORY_NO_BOUND where it never does. */
    int32_t systolic_from_mmhg, diastolic_from_mmhg;
    double chance[SIDE_COUNT]; /* that the sitting's true mean lies at or over it, each alone */
    double chance_either;   /* jointly: either of them */
};

struct worth {
    int32_t arm;            /* enum arm */
    int32_t n;              /* readings averaged; 1 for a single reading */
    struct worth_budget side[SIDE_COUNT];
    struct worth_edge edge;
    /* one more reading: the expected half-width then, mmHg, as the protocol would average it */
    double expanded_after[SIDE_COUNT];
    double visit_sd;        /* mmHg, from the protocol, to be said beside it */
    struct origin visit_origin;
    struct worth_pull pulls[WORTH_PULLS_MAX];
    int32_t pull_count;
};

/** Worth of one entered reading. False where first or last is missing. index into s->readings. */
bool worth_of_reading(const struct sitting *s, const struct protocol *p, int index, struct worth *out);

/** Worth of an arm's average. False where there is no average. */
bool worth_of_average(const struct sitting *s, const struct protocol *p, enum arm arm, struct worth *out);

/**
 * Chance that X >= a or Y >= b for two variables of t distribution (location, scale, degrees of freedom each), coupled
 * by a normal copula of correlation rho (-1 < rho < 1). a or b may be infinite. 0.5 where the rest makes no sense.
 */
double worth_chance_either(double a, double location_a, double scale_a, double df_a, double b, double location_b,
                           double scale_b, double df_b, double rho);

/** Effective degrees of freedom after Welch and Satterthwaite (JCGM 100, G.4). n contributions in the result's unit. */
double worth_effective_df(const double *contribution, const double *df, int n);

/** Coverage factor: the p-quantile (two-sided coverage p) of Student's t for df, not truncated to an integer. */
double worth_coverage_factor(double coverage, double df);

#endif
