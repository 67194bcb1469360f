/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What a tally says: the figures in their order, each from its own part, and what they are called. */
#include <string.h>

#include "stats/agree.h"

const char *const LACK_WORDS[LACK_COUNT] = {
    [LACK_NONE] = "",
    [LACK_PAIRS] = "too few pairs",
    [LACK_SPREAD] = "all differences are the same",
    [LACK_RANGE] = "all values of one listener are the same",
    [LACK_SUBJECTS] = "one subject only",
    [LACK_REPEATS] = "nobody was read twice",
    [LACK_CATEGORIES] = "no categories, or a listener stays in one of them",
    [LACK_DIGITS] = "too few even values",
    [LACK_NEAR] = "no value lay near a boundary",
    [LACK_BETWEEN] = "the subjects differ no more than the values within a pair",
    [LACK_SCATTER] = "nothing scatters about it",
    [LACK_LIMITS] = "no limits are worked out for it",
};

#define BLAND_1986 "Bland and Altman 1986"
#define BLAND_1999 "Bland and Altman 1999"
#define SHARE "Clopper and Pearson 1934"
#define SHROUT "Shrout and Fleiss 1979"
#define KAPPA "Cohen 1968"

const struct figure_row SIDE_FIGURES[SIDE_FIGURE_COUNT] = {
    [FIGURE_BIAS] = {"bias", "bias", "mmHg", BLAND_1986},
    [FIGURE_SD] = {"sd", "SD of the differences", "mmHg", BLAND_1986},
    [FIGURE_LOWER] = {"lower", "lower limit of agreement", "mmHg", BLAND_1999},
    [FIGURE_UPPER] = {"upper", "upper limit of agreement", "mmHg", BLAND_1999},
    [FIGURE_LOWER_APPROX] = {"lower-approx", "lower limit, approximate", "mmHg", BLAND_1999},
    [FIGURE_UPPER_APPROX] = {"upper-approx", "upper limit, approximate", "mmHg", BLAND_1999},
    [FIGURE_SD_LINKED] = {"sd-linked", "SD, repeats, same inflations", "mmHg", BLAND_1999},
    [FIGURE_LOWER_LINKED] = {"lower-linked", "lower limit, repeats, same inflations", "mmHg", BLAND_1999},
    [FIGURE_UPPER_LINKED] = {"upper-linked", "upper limit, repeats, same inflations", "mmHg", BLAND_1999},
    [FIGURE_SD_APART] = {"sd-apart", "SD, repeats, each apart", "mmHg", BLAND_1999},
    [FIGURE_LOWER_APART] = {"lower-apart", "lower limit, repeats, each apart", "mmHg", BLAND_1999},
    [FIGURE_UPPER_APART] = {"upper-apart", "upper limit, repeats, each apart", "mmHg", BLAND_1999},
    [FIGURE_NEAR_5] = {"near-5", "within 5 mmHg", "share", SHARE},
    [FIGURE_NEAR_10] = {"near-10", "within 10 mmHg", "share", SHARE},
    [FIGURE_NEAR_15] = {"near-15", "within 15 mmHg", "share", SHARE},
    [FIGURE_ICC_1_1] = {"icc-1-1", "ICC(1,1)", "", SHROUT},
    [FIGURE_ICC_2_1] = {"icc-2-1", "ICC(2,1)", "", SHROUT},
    [FIGURE_ICC_3_1] = {"icc-3-1", "ICC(3,1)", "", SHROUT},
    [FIGURE_ICC_1_K] = {"icc-1-k", "ICC(1,2)", "", SHROUT},
    [FIGURE_ICC_2_K] = {"icc-2-k", "ICC(2,2)", "", SHROUT},
    [FIGURE_ICC_3_K] = {"icc-3-k", "ICC(3,2)", "", SHROUT},
    [FIGURE_CONCORDANCE] = {"concordance", "concordance", "", "Lin 1989, corrected 2000"},
    [FIGURE_CORRELATION] = {"correlation", "correlation", "", "Fisher 1921"},
    [FIGURE_REPEAT_MEASURER] = {"repeat-measurer", "SD of repeats, measurer", "mmHg", BLAND_1986},
    [FIGURE_REPEAT_LISTENER] = {"repeat-listener", "SD of repeats, listener", "mmHg", BLAND_1986},
    [FIGURE_DIGIT_CHI] = {"digit-chi", "end digits, chi-square", "", ""},
    [FIGURE_DIGIT_P] = {"digit-p", "end digits, chance of that", "p", ""},
    [FIGURE_ZERO] = {"zero", "zeros among even ends", "share", SHARE},
    [FIGURE_ZERO_P] = {"zero-p", "zeros, chance of so many", "p", ""},
    [FIGURE_ODD] = {"odd", "odd ends", "share", SHARE},
    [FIGURE_IDENTICAL] = {"identical", "same value again, measurer", "share", SHARE},
    [FIGURE_IDENTICAL_LISTENER] = {"identical-listener", "same value again, listener", "share", SHARE},
    [FIGURE_IDENTICAL_P] = {"identical-p", "same again, chance of that", "p", ""},
    [FIGURE_BELOW] = {"below", "just below a boundary", "share", SHARE},
    [FIGURE_BELOW_P] = {"below-p", "below, chance of so many", "p", ""},
};

const struct figure_row JOINT_FIGURES[JOINT_FIGURE_COUNT] = {
    [FIGURE_RIGHT] = {"right", "right on both sides", "share", SHARE},
    [FIGURE_KAPPA] = {"kappa", "kappa of the category", "", "Cohen 1960"},
    [FIGURE_KAPPA_LINEAR] = {"kappa-linear", "kappa, linear weights", "", KAPPA},
    [FIGURE_KAPPA_QUADRATIC] = {"kappa-quadratic", "kappa, quadratic weights", "", KAPPA},
};

static void tell_side(const struct agree_tally *t, int side, struct agreement_side *out)
{
    struct moments m;
    struct cells c;
    stats_moments(&t->side[side], &m);
    stats_cells(&t->replicates[side], &c);
    stats_limits(&m, out->figure);
    stats_replicates(&c, &m, out->figure);
    for (int i = 0; i < AGREE_NEAR_COUNT; i++)
        out->figure[FIGURE_NEAR_5 + i] = stats_share(t->near[side][i], t->side[side].n);
    stats_icc(&t->side[side], &out->figure[FIGURE_ICC_1_1]);
    out->figure[FIGURE_CONCORDANCE] = stats_concordance(&t->side[side]);
    out->figure[FIGURE_CORRELATION] = stats_correlation(&t->side[side]);
    stats_digits(&t->digits[side][EAR_MEASURER], out->figure);
    stats_repeats(&t->repeats[side], &t->boundary[side], out->figure);
    stats_standards(t->near[side], &m, &c, out);
}

void agreement_of(const struct agree_tally *t, struct agreement *out)
{
    memset(out, 0, sizeof *out);
    out->n = t->side[SIDE_SYSTOLIC].n;
    out->subjects = t->replicates[SIDE_SYSTOLIC].cells;
    for (int side = 0; side < SIDE_COUNT; side++)
        tell_side(t, side, &out->side[side]);
    out->joint[FIGURE_RIGHT] = stats_share(t->right, out->n);
    stats_kappas(t, out->joint);
    out->learning = t->learning;
    out->has_learning = !t->is_merged;
}
