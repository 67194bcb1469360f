/* SPDX-License-Identifier: GPL-3.0-or-later */
/** @file yardstick.h  What a site takes for ready: criteria as data, each with its source, and how somebody stands to them.
 *  Pure value. Too few data never pass. It says what a preceptor goes by; it certifies nobody. */
#ifndef STILLARM_YARDSTICK_H
#define STILLARM_YARDSTICK_H

#include "stillarm/agreement.h"
#include "stillarm/standing.h"

#define CRITERIA_MAX 24

/** What a criterion can be about: a count of the person's record, or a figure of the agreement. */
enum record_count {
    RECORD_PAIRS, RECORD_SUBJECTS, RECORD_LISTENERS, RECORD_SITTINGS /* sealed */, RECORD_CLEAN_SHARE /* 0 to 1 */,
    RECORD_WITNESSED_PASSED, RECORD_DAYS_SINCE_PAIR /* whole days since the latest counted pair; of no use without one */,
    RECORD_COUNT
};
extern const char *const RECORD_WORDS[RECORD_COUNT]; /* pairs, subjects, listeners, sittings, clean-share, witnessed-passed, days-since-pair */

enum criterion_about { ABOUT_RECORD, ABOUT_SIDE /* both sides must meet it */, ABOUT_JOINT, ABOUT_REACHED /* the learning curve has signalled, and not been lost */ };
enum criterion_by { BY_VALUE, BY_LOW, BY_HIGH /* limit of the 95 % interval */, BY_SIZE /* |value| */, CRITERION_BY_COUNT };
extern const char *const CRITERION_BY_WORDS[CRITERION_BY_COUNT]; /* value, low, high, size */

struct criterion {
    char id[ITEM_CAP], say[120];
    enum criterion_about about;
    int32_t which;          /* enum record_count, side_figure or joint_figure */
    enum criterion_by by;
    bool is_at_most;        /* else at least */
    double bound;
    struct origin origin;
    bool has_published;     /* the status is not published, and the source publishes another bound: this one */
    double published_bound;
    int32_t line;           /* of its file, for messages */
};

/** What its values are counted in: `mmHg`, `share`, `p`, `count`, "" for a pure number. */
const char *criterion_unit(const struct criterion *c);

struct yardstick {
    char id[ITEM_CAP], title[80];
    char categories[ITEM_CAP];      /* id of the scheme for kappa and boundaries; "" none */
    bool is_preceptor_only;         /* pairs with preceptors alone are counted */
    struct learning_plan plan;
    double false_reach_most;        /* plan.reach was worked out from it; 0: given in the file itself */
    double false_loss_most;         /* plan.lose, likewise */
    struct origin plan_origin[6];   /* adequate, inadequate, reach, lose, horizon, right-within */
    struct criterion criteria[CRITERIA_MAX];
    int32_t criterion_count;
};

/** A person's record as criteria see it. */
struct record {
    struct agreement agreement;
    int64_t count[RECORD_COUNT]; /* RECORD_CLEAN_SHARE: clean ones; of RECORD_SITTINGS */
};

enum readiness { READY_TOO_FEW, READY_NOT_YET, READY_YES };
extern const char *const READINESS_WORDS[]; /* too few, not yet, ready */

struct criterion_result {
    enum readiness answer;
    int side;               /* the side that decides, where it is about one; else -1 */
    bool has_value;
    double value;           /* what is held against the bound (a limit where a limit is judged), on the deciding side;
                             * the answer at which the skill was reached, where it is about that */
    int64_t missing;        /* with too few: so many more pairs, subjects ... it takes at the least; 0: not known */
};
struct readiness_result {
    enum readiness answer;  /* too few while a number asked for (pairs, subjects ...) is short, or none fails and
                             * some lack data; ready: all are met; else not yet */
    struct criterion_result of[CRITERIA_MAX];
    int64_t missing_pairs;  /* the most that any criterion lacks; 0 none */
};
void yardstick_judge(const struct yardstick *y, const struct record *r, struct readiness_result *out);

#endif
