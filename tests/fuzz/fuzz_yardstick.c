/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Whatever a yardstick file holds: one that passes asks for something that can be judged, within its bounds, and judges
 * a record without data as not ready; one that does not pass names a line that is there and touches nothing; what says that
 * it is published is. And whatever a list of what is published holds. */
#include <math.h>
#include <string.h>

#include "config/yardstick_asks.h"
#include "config/yardstick_file.h"
#include "config/yardstick_subject.h"
#include "fuzz/fault_seen.h"

static void look_at_plan(const struct learning_plan *p)
{
    HOLDS(p->adequate > 0 && p->adequate < p->inadequate && p->inadequate < 1);
    HOLDS(p->reach > 0 && p->lose > 0 && isfinite(p->reach) && isfinite(p->lose));
    HOLDS(p->horizon >= 1 && p->horizon <= LEARNING_HORIZON_MAX);
    HOLDS(p->right_within_mmhg >= 0);
}

/* What was worked out keeps what was asked for. */
static void look_at_rates(const struct yardstick *y)
{
    struct learning_rates r;
    learning_rates(&y->plan, &r);
    HOLDS(r.false_reach >= 0 && r.false_reach <= 1 && r.false_loss >= 0 && r.false_loss <= 1);
    HOLDS(!(y->false_reach_most > 0) || r.false_reach <= y->false_reach_most);
    HOLDS(!(y->false_loss_most > 0) || r.false_loss <= y->false_loss_most);
}

static void look_at_criterion(const struct criterion *c)
{
    static const int COUNT[] = {[ABOUT_RECORD] = RECORD_COUNT,
                                [ABOUT_SIDE] = SIDE_FIGURE_COUNT,
                                [ABOUT_JOINT] = JOINT_FIGURE_COUNT,
                                [ABOUT_REACHED] = 1};
    HOLDS(is_item(c->id) && is_plain_text(c->say, (int)sizeof c->say - 1));
    HOLDS(c->about <= ABOUT_REACHED && c->by < CRITERION_BY_COUNT);
    HOLDS(c->which >= 0 && c->which < COUNT[c->about]);
    HOLDS(isfinite(c->bound) && c->line >= 1);
}

/* Somebody with no record at all, whose figures all lack. */
static void look_at_nobody(const struct yardstick *y)
{
    static struct record r;
    static struct readiness_result out;
    memset(&r, 0, sizeof r);
    for (int side = 0; side < SIDE_COUNT; side++)
        for (int i = 0; i < SIDE_FIGURE_COUNT; i++)
            r.agreement.side[side].figure[i] = (struct figure){.lack = LACK_PAIRS, .limits_lack = LACK_PAIRS, .need = 1};
    for (int i = 0; i < JOINT_FIGURE_COUNT; i++)
        r.agreement.joint[i] = (struct figure){.lack = LACK_PAIRS, .limits_lack = LACK_PAIRS, .need = 1};
    yardstick_judge(y, &r, &out);
    for (int32_t i = 0; i < y->criterion_count; i++) {
        const struct criterion *c = &y->criteria[i];
        HOLDS(out.of[i].answer != READY_YES || c->about == ABOUT_RECORD); /* none may be few enough */
        HOLDS(out.of[i].missing >= 0);
    }
}

static void try_list(const char *text, struct ask list[ASKS_MAX], int *count)
{
    struct seen seen = seen_begin(text);
    struct faults f = {.name = "name", .add = look_at_fault, .user = &seen};
    const struct known nothing = {.sources = NULL};
    *count = 0;
    asks_parse(text, &nothing, list, count, &f);
    HOLDS(*count >= 0 && *count <= ASKS_MAX);
    for (int i = 0; i < *count; i++) {
        struct criterion c;
        HOLDS(is_item(list[i].source));
        HOLDS(list[i].is_number ? plan_part_named(list[i].subject) != PLAN_NONE : find_about(list[i].subject, &c));
    }
}

/* Held against what the text itself lists, and against a list of our own. */
static void try_published(const char *text)
{
    static struct ask list[ASKS_MAX];
    static struct yardstick y;
    struct faults f = {.name = "name"};
    int count = 0, id_line = 0;
    try_list(text, list, &count);
    try_list("[asks near-5 OBS-5]\nat-least = 0.9\n", list, &count);
    HOLDS(count == 1);
    const struct known known = {.asks = list, .ask_count = count};
    if (yardstick_text_parse(text, &known, &y, &id_line, &f) != ST_OK)
        return;
    for (int32_t i = 0; i < y.criterion_count; i++) {
        const struct criterion *c = &y.criteria[i];
        const bool is_listed = c->about == ABOUT_SIDE && c->which == FIGURE_NEAR_5 && c->by == BY_VALUE && !c->is_at_most;
        HOLDS(c->origin.standing != STANDING_PUBLISHED || (is_listed && fabs(c->bound - 0.9) < 1e-9 && !c->has_published));
        HOLDS(!c->has_published || isfinite(c->published_bound));
    }
}

static void try_text(const char *text)
{
    static struct yardstick y, before;
    struct seen seen = seen_begin(text);
    struct faults f = {.name = "name", .add = look_at_fault, .user = &seen};
    const struct known nothing = {.sources = NULL};
    int id_line = 0;
    memset(&y, 0x5A, sizeof y);
    memcpy(&before, &y, sizeof y);
    enum status st = yardstick_text_parse(text, &nothing, &y, &id_line, &f);
    HOLDS((st == ST_OK) == (seen.faults == 0));
    if (st != ST_OK) {
        HOLDS(memcmp(&y, &before, sizeof y) == 0);
        return;
    }
    HOLDS(id_line >= 1 && id_line <= seen.lines);
    HOLDS(y.criterion_count >= 1 && y.criterion_count <= CRITERIA_MAX);
    look_at_plan(&y.plan);
    look_at_rates(&y);
    for (int32_t i = 0; i < y.criterion_count; i++)
        look_at_criterion(&y.criteria[i]);
    look_at_nobody(&y);
}

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size)
{
    char *text = malloc(size + 1);
    HOLDS(text != NULL);
    memcpy(text, data, size);
    text[size] = '\0';
    try_text(text);
    try_published(text);
    free(text);
    return 0;
}
