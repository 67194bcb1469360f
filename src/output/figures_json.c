/* SPDX-License-Identifier: GPL-3.0-or-later */
/** @file figures_json.c  Agreements, yardsticks and records as JSON (docs/agreement.md, docs/progress.md).
 *  Every member is always there: what is lacking is null, and the reason stands beside it in words. */
#include "output/figures_json.h"

#include <math.h>

#include "stillarm/ground.h"

static const char *const ABOUT_WORDS[] = { [ABOUT_RECORD] = "record", [ABOUT_SIDE] = "side", [ABOUT_JOINT] = "both",
                                           [ABOUT_REACHED] = "reached" };

/* jansson has no form for what is not finite, and would give up the whole text over it. */
static json_t *real_or_null(bool has, double value)
{
    return has && isfinite(value) ? json_real(value) : json_null();
}

static json_t *text_or_null(const char *s)
{
    return s && s[0] ? json_string(s) : json_null();
}

static json_t *number(int64_t n)
{
    return json_integer((json_int_t)n);
}

static json_t *json_of_figure(const struct figure *f, const struct figure_row *row)
{
    bool has = f->lack == LACK_NONE, has_limits = has && f->limits_lack == LACK_NONE;
    return json_pack("{s:o, s:o, s:o, s:s, s:o, s:o, s:o, s:o}", "value", real_or_null(has, f->value), "low",
                     real_or_null(has_limits, f->low), "high", real_or_null(has_limits, f->high), "unit", row->unit, "source",
                     text_or_null(row->source), "lack", text_or_null(has ? NULL : LACK_WORDS[f->lack]), "limits_lack",
                     text_or_null(has_limits ? NULL : LACK_WORDS[has ? f->limits_lack : f->lack]), "need",
                     f->need > 0 ? number(f->need) : json_null());
}

static json_t *json_of_figures(const struct figure *list, const struct figure_row *rows, int count)
{
    json_t *all = json_object();
    for (int i = 0; all && i < count; i++)
        if (json_object_set_new(all, rows[i].id, json_of_figure(&list[i], &rows[i])) != 0) {
            json_decref(all);
            all = NULL;
        }
    return all;
}

static json_t *json_of_standards(const struct agreement_side *side)
{
    json_t *all = json_array();
    for (int i = 0; all && i < STANDARDS_MAX && STANDARDS[i].id; i++) {
        json_t *one = json_pack("{s:s, s:s, s:s, s:s}", "id", STANDARDS[i].id, "says", STANDARDS[i].say, "source",
                                STANDARDS[i].source, "answer", YARD_WORDS[side->standard[i]]);
        if (json_array_append_new(all, one) != 0) {
            json_decref(all);
            all = NULL;
        }
    }
    return all;
}

static json_t *json_of_side(const struct agreement_side *side)
{
    const char grade[] = { side->grade ? side->grade : '-', '\0' };
    bool has_2 = side->criterion_2 != YARD_TOO_FEW;
    return json_pack("{s:o, s:o, s:s, s:s, s:{s:s, s:o, s:o}}", "figures",
                     json_of_figures(side->figure, SIDE_FIGURES, SIDE_FIGURE_COUNT), "standards", json_of_standards(side), "grade",
                     grade, "criterion_1", YARD_WORDS[side->criterion_1], "criterion_2", "answer", YARD_WORDS[side->criterion_2],
                     "sd", real_or_null(has_2, side->criterion_2_sd), "limit", real_or_null(has_2, side->criterion_2_limit));
}

static json_t *json_of_learning(const struct learning_state *s)
{
    return json_pack("{s:o, s:o, s:o, s:o, s:o}", "answers", number(s->answers), "wrong", number(s->wrong), "height",
                     real_or_null(true, s->height), "reached_at", s->reached_at > 0 ? number(s->reached_at) : json_null(),
                     "lost_at", s->lost_at > 0 ? number(s->lost_at) : json_null());
}

json_t *json_of_agreement(const struct agreement *a)
{
    return json_pack("{s:o, s:o, s:o, s:o, s:o, s:o}", "pairs", number(a->n), "subjects", number(a->subjects),
                     SIDE_WORDS[SIDE_SYSTOLIC], json_of_side(&a->side[SIDE_SYSTOLIC]), SIDE_WORDS[SIDE_DIASTOLIC],
                     json_of_side(&a->side[SIDE_DIASTOLIC]), "both",
                     json_of_figures(a->joint, JOINT_FIGURES, JOINT_FIGURE_COUNT), "learning",
                     a->has_learning ? json_of_learning(&a->learning) : json_null());
}

/* ---- the yardstick ---- */

static const char *figure_of_criterion(const struct criterion *c)
{
    switch (c->about) {
    case ABOUT_RECORD:
        return RECORD_WORDS[c->which];
    case ABOUT_SIDE:
        return SIDE_FIGURES[c->which].id;
    case ABOUT_JOINT:
        return JOINT_FIGURES[c->which].id;
    case ABOUT_REACHED:
        return "";
    }
    return "";
}

static json_t *json_of_criterion(const struct criterion *c, const struct criterion_result *r)
{
    bool is_reached = c->about == ABOUT_REACHED;
    return json_pack("{s:s, s:s, s:s, s:o, s:o, s:o, s:o, s:s, s:o, s:o, s:o, s:o, s:s, s:o}", "id", c->id, "says", c->say, "about",
                     ABOUT_WORDS[c->about], "figure", text_or_null(figure_of_criterion(c)), "by",
                     is_reached ? json_null() : json_string(CRITERION_BY_WORDS[c->by]), "at",
                     is_reached ? json_null() : json_string(c->is_at_most ? "most" : "least"), "bound",
                     real_or_null(!is_reached, c->bound), "answer", READINESS_WORDS[r->answer], "value",
                     real_or_null(r->has_value, r->value), "side",
                     r->side >= 0 && r->side < SIDE_COUNT ? json_string(SIDE_WORDS[r->side]) : json_null(), "missing",
                     r->missing > 0 ? number(r->missing) : json_null(), "source", text_or_null(c->origin.source), "status",
                     STANDING_WORDS[c->origin.standing], "source_has", real_or_null(c->has_published, c->published_bound));
}

json_t *json_of_readiness(const struct yardstick *y, const struct readiness_result *r, const struct record *rec)
{
    json_t *criteria = json_array(), *record = json_object();
    int failed = 0;
    for (int i = 0; i < y->criterion_count; i++)
        failed |= json_array_append_new(criteria, json_of_criterion(&y->criteria[i], &r->of[i]));
    for (int i = 0; i < RECORD_COUNT; i++) {
        const bool is_known = i != RECORD_DAYS_SINCE_PAIR || rec->count[RECORD_PAIRS] > 0;
        failed |= json_object_set_new(record, RECORD_WORDS[i], is_known ? number(rec->count[i]) : json_null());
    }
    if (failed) {
        json_decref(criteria);
        json_decref(record);
        return NULL;
    }
    return json_pack("{s:s, s:s, s:b, s:s, s:o, s:o, s:o}", "yardstick", y->id, "title", y->title, "preceptors_only",
                     y->is_preceptor_only, "answer", READINESS_WORDS[r->answer], "missing_pairs",
                     r->missing_pairs > 0 ? number(r->missing_pairs) : json_null(), "criteria", criteria, "record", record);
}

json_t *json_of_rates(const struct learning_plan *p, const struct learning_rates *r)
{
    return json_pack("{s:o, s:o, s:o, s:o, s:i, s:i, s:o, s:o, s:o, s:o, s:o}", "adequate", real_or_null(true, p->adequate),
                     "inadequate", real_or_null(true, p->inadequate), "reach", real_or_null(true, p->reach), "lose",
                     real_or_null(true, p->lose), "horizon", (int)p->horizon, "right_within", (int)p->right_within_mmhg,
                     "false_reach", real_or_null(true, r->false_reach), "true_reach", real_or_null(true, r->true_reach),
                     "usual_reach", r->usual_reach > 0 ? number(r->usual_reach) : json_null(), "false_loss",
                     real_or_null(true, r->false_loss), "true_loss", real_or_null(true, r->true_loss));
}

/* ---- a person's record ---- */

static json_t *day_or_null(int32_t day)
{
    return day > 0 ? json_sprintf("%04d-%02d-%02d", (int)(day / 10000), (int)(day / 100 % 100), (int)(day % 100)) : json_null();
}

/* mmHg/s out of tenths; 0 is not known. */
static json_t *rate_or_null(int32_t rate_x10)
{
    return rate_x10 > 0 ? json_real(rate_x10 / 10.0) : json_null();
}

static const char *ground_says(const char *id)
{
    const struct ground *g = ground_find(id);
    return g ? g->says : "";
}

static json_t *json_of_rules(const int32_t count[RULE_COUNT], bool with_slips)
{
    json_t *all = json_array();
    for (int i = RULE_NONE + 1; all && i < RULE_COUNT; i++) {
        enum rule rule = (enum rule)i;
        if (count[i] == 0)
            continue;
        json_t *one = json_pack("{s:s, s:s, s:i}", "rule", rule_id(rule), "says", ground_says(rule_id(rule)), "count", (int)count[i]);
        if (one && with_slips)
            (void)json_object_set_new(one, "slip", json_boolean(rule_is_slip(rule)));
        if (json_array_append_new(all, one) != 0) {
            json_decref(all);
            all = NULL;
        }
    }
    return all;
}

/* Which items RULE_ITEM_OPEN is about. */
static json_t *json_of_open_items(const struct progress *p)
{
    json_t *all = json_array();
    for (int i = 0; all && i < p->open_item_count; i++)
        if (json_array_append_new(all, json_pack("{s:s, s:i, s:i}", "item", p->open_items[i].id, "refused", (int)p->open_items[i].refused,
                                                 "lapsed", (int)p->open_items[i].lapsed)) != 0) {
            json_decref(all);
            all = NULL;
        }
    return all;
}

static json_t *json_of_voids(const int32_t count[VOID_REASON_COUNT])
{
    json_t *all = json_array();
    for (int i = 0; all && i < VOID_REASON_COUNT; i++)
        if (count[i] > 0 && json_array_append_new(all, json_pack("{s:s, s:s, s:i}", "reason", VOID_REASON_WORDS[i], "says",
                                                                 ground_says(VOID_REASON_WORDS[i]), "count", (int)count[i])) != 0) {
            json_decref(all);
            all = NULL;
        }
    return all;
}

static json_t *json_of_digits(const struct digit_tally *d)
{
    return json_pack("{s:[o, o, o, o, o], s:o, s:o}", "even", number(d->even[0]), number(d->even[1]), number(d->even[2]),
                     number(d->even[3]), number(d->even[4]), "odd", number(d->odd), "not_whole", number(d->not_whole));
}

static json_t *json_of_releases(const struct progress *p)
{
    json_t *rates = json_array();
    for (int i = 0; rates && i < p->release_count; i++) {
        const struct release_point *r = &p->releases[i];
        if (json_array_append_new(rates, json_pack("{s:o, s:o, s:b}", "day", day_or_null(r->day), "rate", rate_or_null(r->rate_x10),
                                                   "counted", r->is_counted)) != 0) {
            json_decref(rates);
            rates = NULL;
        }
    }
    return json_pack("{s:o, s:o, s:o, s:i, s:i, s:i, s:o}", "low", rate_or_null(p->release_low_x10), "high",
                     rate_or_null(p->release_high_x10), "slack", json_real(p->release_slack_x10 / 10.0), "observed",
                     (int)p->releases_observed, "quick", (int)p->releases_quick, "slow", (int)p->releases_slow, "rates", rates);
}

static json_t *json_of_sides(bool has, const double value[SIDE_COUNT])
{
    return json_pack("{s:o, s:o}", SIDE_WORDS[SIDE_SYSTOLIC], real_or_null(has, value[SIDE_SYSTOLIC]), SIDE_WORDS[SIDE_DIASTOLIC],
                     real_or_null(has, value[SIDE_DIASTOLIC]));
}

static json_t *json_of_row(const struct progress_row *r)
{
    return json_pack("{s:i, s:i, s:i, s:o, s:o, s:o, s:o, s:s, s:o, s:o}", "sittings", (int)r->sittings, "clean", (int)r->clean, "held",
                     (int)r->held, "pairs", number(r->pairs), "bias", json_of_sides(r->has_bias, r->bias), "near-5",
                     json_of_sides(r->has_near, r->near_5), "zero", json_of_sides(r->has_zero, r->zero), "answer",
                     READINESS_WORDS[r->readiness], "missing_pairs", r->missing_pairs > 0 ? number(r->missing_pairs) : json_null(),
                     "last_day", day_or_null(r->last_day));
}

static json_t *json_of_counts(const struct progress *p)
{
    return json_pack("{s:{s:i, s:i, s:i, s:i, s:i, s:i, s:i, s:i, s:i}, s:{s:i, s:i}, s:{s:o, s:i, s:i, s:i, s:i}, s:i}", "sittings", "sealed",
                     (int)p->sealed, "stopped", (int)p->stopped, "open", (int)p->open, "clean", (int)p->clean, "held", (int)p->held,
                     "unsigned", (int)p->unsigned_count, "unjudged", (int)p->unjudged, "witnessed", (int)p->witnessed, "witnessed_passed", (int)p->witnessed_passed,
                     "readings", "taken", (int)p->readings, "counted", (int)p->counted, "pairs", "counted",
                     number(p->record.agreement.n), "other_listener", (int)p->pairs_other, "void", (int)p->pairs_void, "not_countersigned",
                     (int)p->pairs_unread, "unsigned", (int)p->pairs_unsigned, "passed_over",
                     (int)p->waived);
}

json_t *json_of_progress(const struct progress *p, const struct progress_row *before, const struct yardstick *y)
{
    return json_pack("{s:s, s:s, s:s, s:s, s:o, s:o, s:o, s:o, s:o, s:o, s:o, s:{s:o, s:o}, s:o, s:o, s:o, s:o}", "person", p->person,
                     "name", p->name, "role", p->role, "place", p->place, "first_day", day_or_null(p->first_day), "last_day",
                     day_or_null(p->last_day), "counts", json_of_counts(p), "refused", json_of_rules(p->refused, true), "lapsed",
                     json_of_rules(p->lapsed, false), "open_items", json_of_open_items(p), "void", json_of_voids(p->voids), "digits", SIDE_WORDS[SIDE_SYSTOLIC],
                     json_of_digits(&p->digits[SIDE_SYSTOLIC]), SIDE_WORDS[SIDE_DIASTOLIC], json_of_digits(&p->digits[SIDE_DIASTOLIC]),
                     "releases", json_of_releases(p), "readiness", json_of_readiness(y, &p->result, &p->record), "agreement",
                     json_of_agreement(&p->record.agreement), "before", before ? json_of_row(before) : json_null());
}
