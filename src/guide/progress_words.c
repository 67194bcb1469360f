/* SPDX-License-Identifier: GPL-3.0-or-later */
/* How somebody is doing, in lines: the verdict, how often it errs, what was refused and noted, what has changed. */
#include <stdarg.h>
#include <stdio.h>
#include <string.h>

#include "guide/progress_chart.h"
#include "guide/views.h"
#include "stillarm/ground.h"
#include "stillarm/text.h"

#define SENTENCE_CAP 600

/* ---- lines ---- */

/* How much of s fits into so many columns, to the end of a word where there is one. */
static size_t fitting(const char *s, int columns)
{
    size_t at = 0, word_end = 0, len = strlen(s);

    for (int column = 0; column < columns && at < len; column++) {
        uint32_t c;
        size_t n = utf8_decode(s + at, len - at, &c);

        if (s[at] == ' ')
            word_end = at;
        at += n > 0 ? n : 1;
    }
    if (at >= len)
        return len;
    return s[at] == ' ' || word_end == 0 ? at : word_end;
}

/* Folded by words; what hangs over is set in by so many columns. */
static void lay(const struct progress_lines *out, enum line_role role, int hang, const char *format, ...) __attribute__((format(printf, 4, 5)));
static void lay(const struct progress_lines *out, enum line_role role, int hang, const char *format, ...)
{
    char all[SENTENCE_CAP], line[4 * PROGRESS_LINE_COLUMNS + 1];
    const char *rest = all;
    va_list args;

    va_start(args, format);
    (void)vsnprintf(all, sizeof all, format, args);
    va_end(args);
    for (int indent = 0; rest == all || *rest != '\0'; indent = hang) {
        size_t n = fitting(rest, out->columns - indent);

        (void)snprintf(line, sizeof line, "%*s%.*s", indent, "", (int)n, rest);
        out->say(out->user, role, line);
        rest += n;
        while (*rest == ' ')
            rest++;
    }
}

/* ---- numbers ---- */

/* A chance as a wager says it, never larger than it is where it is small. */
static void say_chance(double p, char *out, size_t cap)
{
    if (p < 0.001)
        (void)snprintf(out, cap, "less than 1 in 1,000");
    else if (p < 0.15) {
        int of = (int)(1 / p);
        of += of * p < 1 - 1e-9;
        (void)snprintf(out, cap, of < 1000 ? "1 in %d" : "1 in 1,000", of);
    } else if (p <= 0.9)
        (void)snprintf(out, cap, "%.0f in 10", 10 * p);
    else
        (void)snprintf(out, cap, "more than 9 in 10");
}

/* A value in the unit of its figure: shares as percent. */
static void say_value(double value, const char *unit, char *out, size_t cap)
{
    if (strcmp(unit, "share") == 0)
        (void)snprintf(out, cap, "%.1f %%", 100.0 * value);
    else if (strcmp(unit, "mmHg") == 0)
        (void)snprintf(out, cap, "%.1f mmHg", value);
    else if (strcmp(unit, "count") == 0)
        (void)snprintf(out, cap, "%.0f", value);
    else if (strcmp(unit, "p") == 0)
        say_chance(value, out, cap);
    else
        (void)snprintf(out, cap, "%.3g", value);
}

static const char *plural(int64_t n)
{
    return n == 1 ? "" : "s";
}

/* ---- the verdict ---- */

static const char *const ANSWERS[] = { [READY_TOO_FEW] = "too few", [READY_NOT_YET] = "not yet", [READY_YES] = "met" };

/* What more it takes, by what a criterion counts. */
static const char *more_of(const struct criterion *c, int64_t n)
{
    static const char *const OF_RECORD[RECORD_COUNT][2] = {
        [RECORD_PAIRS] = { "pair", "pairs" },
        [RECORD_SUBJECTS] = { "person", "people" },
        [RECORD_LISTENERS] = { "listener", "listeners" },
        [RECORD_SITTINGS] = { "sealed sitting", "sealed sittings" },
        [RECORD_CLEAN_SHARE] = { "sealed sitting", "sealed sittings" },
        [RECORD_WITNESSED_PASSED] = { "witnessed sitting passed", "witnessed sittings passed" },
        [RECORD_DAYS_SINCE_PAIR] = { "pair", "pairs" },
    };
    return OF_RECORD[c->about == ABOUT_RECORD ? c->which : RECORD_PAIRS][n != 1];
}

static void say_bound(const struct criterion *c, char *out, size_t cap)
{
    static const char *const BY[CRITERION_BY_COUNT] = { [BY_LOW] = "lower limit ", [BY_HIGH] = "upper limit " };
    char bound[40];

    say_value(c->bound, criterion_unit(c), bound, sizeof bound);
    (void)snprintf(out, cap, "%sat %s %s", BY[c->by] != NULL ? BY[c->by] : "", c->is_at_most ? "most" : "least", bound);
}

/* What the criterion goes by, of one side; false: it cannot be said. */
static bool value_of_side(const struct criterion *c, const struct agreement *a, int side, double *out)
{
    const struct figure *f = &a->side[side].figure[c->which];

    if (f->lack != LACK_NONE || ((c->by == BY_LOW || c->by == BY_HIGH) && f->limits_lack != LACK_NONE))
        return false;
    *out = c->by == BY_LOW ? f->low : c->by == BY_HIGH ? f->high : f->value;
    if (c->by == BY_SIZE && *out < 0)
        *out = -*out;
    return true;
}

/* The side that decides is the worse one; the other stands beside it. */
static void add_sides(struct text *t, const struct criterion *c, int side, const char *value, const struct agreement *a)
{
    int other_side = side == SIDE_SYSTOLIC ? SIDE_DIASTOLIC : SIDE_SYSTOLIC;
    char other[40] = "not known yet";
    double x;

    if (value_of_side(c, a, other_side, &x))
        say_value(x, criterion_unit(c), other, sizeof other);
    if (strcmp(value, other) == 0)
        text_add(t, " on both sides");
    else
        text_addf(t, " %s, the worse side; %s %s", SIDE_WORDS[side], SIDE_WORDS[other_side], other);
}

static void say_there(const struct criterion *c, const struct criterion_result *r, const struct agreement *a, char *out, size_t cap)
{
    char value[40] = "not known yet";
    struct text t;

    if (r->has_value)
        say_value(r->value, criterion_unit(c), value, sizeof value);
    text_init(&t, out, cap);
    text_add(&t, value);
    if (r->side >= 0 && r->side < SIDE_COUNT && r->has_value)
        add_sides(&t, c, r->side, value, a);
    if (r->answer == READY_TOO_FEW && r->missing > 0)
        text_addf(&t, "; at least %lld more %s", (long long)r->missing, more_of(c, r->missing));
}

/* The curve's state is no number that is held against a bound. */
static void say_reached(const struct criterion_result *r, const struct record *rec, char *out, size_t cap)
{
    const struct learning_state *s = &rec->agreement.learning;
    struct text t;

    text_init(&t, out, cap);
    if (s->reached_at > 0)
        text_addf(&t, "signalled at pair %lld", (long long)s->reached_at);
    else if (s->lost_at > 0)
        text_addf(&t, "signalled, and at pair %lld no longer; it began anew", (long long)s->lost_at);
    else
        text_add(&t, "not signalled so far");
    if (r->answer == READY_TOO_FEW && r->missing > 0)
        text_addf(&t, "; at least %lld more pair%s", (long long)r->missing, plural(r->missing));
}

/* Who says so; a bound of one's own with what its source has in its place. */
static void say_who(const struct criterion *c, char *out, size_t cap)
{
    const char *source = c->origin.source, *standing = STANDING_WORDS[c->origin.standing];
    char published[40];

    if (c->has_published) {
        say_value(c->published_bound, criterion_unit(c), published, sizeof published);
        (void)snprintf(out, cap, "%s; %s has %s", standing, source, published);
    } else
        (void)snprintf(out, cap, "%s%s%s", source, source[0] != '\0' ? ", " : "", standing);
}

static void say_criterion(const struct progress_lines *out, const struct criterion *c, const struct criterion_result *r, const struct record *rec)
{
    char there[160], asked[80], who[SOURCE_CAP + 80];

    say_who(c, who, sizeof who);
    if (c->about == ABOUT_REACHED) {
        say_reached(r, rec, there, sizeof there);
        lay(out, LINE_ROW, 9, "%-8s %s: %s; asked: one that was not lost since (%s)", ANSWERS[r->answer], c->say, there, who);
        return;
    }
    say_there(c, r, &rec->agreement, there, sizeof there);
    say_bound(c, asked, sizeof asked);
    lay(out, LINE_ROW, 9, "%-8s %s: %s; asked: %s (%s)", ANSWERS[r->answer], c->say, there, asked, who);
}

/* The least number of pairs that, all of them right, shows the adequate share with 95 % confidence to one side (Clopper and
 * Pearson): all right has the chance share^n where no more are right than that. 0: no number does. */
static int64_t least_showing(double wrong)
{
    int64_t n = 0;

    if (!(wrong > 0 && wrong < 1))
        return 0;
    for (double chance = 1; chance > 0.05 && n < 1000000; n++)
        chance *= 1 - wrong;
    return n;
}

static double pairs_asked(const struct yardstick *y)
{
    double most = 0;

    for (int i = 0; i < y->criterion_count; i++) {
        const struct criterion *c = &y->criteria[i];
        if (c->about == ABOUT_RECORD && c->which == RECORD_PAIRS && !c->is_at_most && c->bound > most)
            most = c->bound;
    }
    return most;
}

static void say_thin(const struct yardstick *y, const struct progress_lines *out)
{
    double asked = pairs_asked(y);
    int64_t least = least_showing(y->plan.adequate);
    char what[60] = "no number of pairs";

    if (asked >= (double)least)
        return;
    if (asked > 0)
        (void)snprintf(what, sizeof what, "no more than %.0f pair%s", asked, plural((int64_t)asked));
    lay(out, LINE_CAUTION, 0, "This yardstick asks for %s. It takes %lld, all of them right, to show that at most %.3g %% are wrong (95 %% sure).",
        what, (long long)least, 100 * y->plan.adequate);
}

/* The most that any criterion lacks of what this one counts; 0 where an earlier one stands for it. */
static int64_t lacking_of(const struct yardstick *y, const struct readiness_result *r, int at)
{
    int64_t most = 0;

    for (int i = 0; i < y->criterion_count; i++) {
        const struct criterion_result *of = &r->of[i];
        if (of->answer != READY_TOO_FEW || of->missing <= 0 || strcmp(more_of(&y->criteria[i], 2), more_of(&y->criteria[at], 2)) != 0)
            continue;
        if (i < at)
            return 0;
        most = of->missing > most ? of->missing : most;
    }
    return most;
}

/* `: at least 3 more people, 8 more pairs` */
static void say_lacking(const struct yardstick *y, const struct readiness_result *r, char *out, size_t cap)
{
    struct text t;

    text_init(&t, out, cap);
    for (int i = 0; i < y->criterion_count && r->answer == READY_TOO_FEW; i++) {
        int64_t n = lacking_of(y, r, i);
        if (n > 0)
            text_addf(&t, "%s%lld more %s", t.len > 0 ? ", " : ": at least ", (long long)n, more_of(&y->criteria[i], n));
    }
}

/* In one line, or whose answer it is in one of its own. */
static void say_answer_by(const struct yardstick *y, const struct readiness_result *r, const struct progress_lines *out)
{
    char lacking[160], by[ITEM_CAP + 60];
    const char *answer = READINESS_WORDS[r->answer];

    say_lacking(y, r, lacking, sizeof lacking);
    (void)snprintf(by, sizeof by, "by the yardstick %s; a preceptor decides", y->id);
    if (strlen(answer) + strlen(lacking) + strlen(by) + 2 <= (size_t)out->columns) {
        lay(out, LINE_INSTRUCTION, 0, "%s%s, %s", answer, lacking, by);
        return;
    }
    lay(out, LINE_INSTRUCTION, 0, "%s%s,", answer, lacking);
    lay(out, LINE_INSTRUCTION, 0, "%s", by);
}

void say_readiness(const struct yardstick *y, const struct readiness_result *r, const struct record *rec, const struct progress_lines *out)
{
    say_answer_by(y, r, out);
    lay(out, LINE_NOTE, 0, "Yardstick %s: %s", y->id, y->title);
    say_thin(y, out);
    for (int i = 0; i < y->criterion_count; i++)
        say_criterion(out, &y->criteria[i], &r->of[i], rec);
    if (y->is_preceptor_only)
        lay(out, LINE_NOTE, 0, "Only pairs with preceptors are counted: with a PIN, and vouched for or the first one here.");
    lay(out, LINE_CAUTION, 0, "An aid to training: it certifies nobody.");
}

/* ---- what there is ---- */

static void add_count(struct text *t, int64_t n, const char *one, const char *many)
{
    if (n > 0)
        text_addf(t, "%s%lld %s", t->len > 0 ? ", " : "", (long long)n, n == 1 ? one : many);
}

static void say_sittings(const struct progress_lines *out, const struct progress *p)
{
    char said[300];
    struct text t;

    text_init(&t, said, sizeof said);
    add_count(&t, p->sealed, "sealed", "sealed");
    if (p->sealed > 0)
        text_addf(&t, " (%d clean)", (int)p->clean);
    add_count(&t, p->stopped, "stopped", "stopped");
    add_count(&t, p->open, "open and not in any figure", "open and not in any figure");
    add_count(&t, p->held, "held by its witness and not in any figure", "held by their witness and not in any figure");
    add_count(&t, p->unjudged, "that does not replay and is in no figure (stillarm verify says why)",
              "that do not replay and are in no figure (stillarm verify says why)");
    lay(out, LINE_ROW, 2, "Sittings: %s", said[0] != '\0' ? said : "none yet");
    text_init(&t, said, sizeof said);
    add_count(&t, p->unsigned_count, "whose signature is owed", "whose signature is owed");
    add_count(&t, p->witnessed, "before a witness", "before a witness");
    if (p->witnessed > 0)
        text_addf(&t, " (%d passed)", (int)p->witnessed_passed);
    if (said[0] != '\0')
        lay(out, LINE_ROW, 2, "Of those that ended: %s", said);
}

/* What a signature would add: that a preceptor has seen the record the pair stands in. */
static void say_unread(const struct progress_lines *out, const struct progress *p)
{
    char owed[80] = "";

    if (p->pairs_unread == 0)
        return;
    if (p->pairs_unsigned > 0)
        (void)snprintf(owed, sizeof owed, ", %d in sittings whose signature is owed", (int)p->pairs_unsigned);
    lay(out, LINE_ROW, 2, "Of these pairs %d in sittings that no preceptor has countersigned%s", (int)p->pairs_unread, owed);
}

static void say_pairs(const struct progress_lines *out, const struct progress *p, const struct yardstick *y)
{
    const int64_t *count = p->record.count;
    char said[300];
    struct text t;

    lay(out, LINE_ROW, 2, "Readings: %d, of which %d count", (int)p->readings, (int)p->counted);
    text_init(&t, said, sizeof said);
    text_addf(&t, "%lld of %lld subject%s with %lld listener%s", (long long)count[RECORD_PAIRS], (long long)count[RECORD_SUBJECTS],
              plural(count[RECORD_SUBJECTS]), (long long)count[RECORD_LISTENERS], plural(count[RECORD_LISTENERS]));
    add_count(&t, p->pairs_void, "on a reading that does not count, left out", "on readings that do not count, left out");
    add_count(&t, p->pairs_other, "with a listener who is no preceptor here, or for whom nobody has vouched",
              "with listeners who are no preceptors here, or for whom nobody has vouched");
    if (p->pairs_other > 0 && y->is_preceptor_only)
        text_add(&t, ", left out");
    lay(out, LINE_ROW, 2, "Pairs: %s", said);
    say_unread(out, p);
}

static void say_zeros(const struct progress_lines *out, const struct progress *p)
{
    struct progress_row row;

    progress_row_of(p, &row);
    if (row.has_zero)
        lay(out, LINE_ROW, 2, "Even values that end in 0, of all readings that count: %.0f %% systolic, %.0f %% diastolic; one in five expected",
            100.0 * row.zero[SIDE_SYSTOLIC], 100.0 * row.zero[SIDE_DIASTOLIC]);
}

void say_counts(const struct progress *p, const struct yardstick *y, const struct progress_lines *out)
{
    say_sittings(out, p);
    say_pairs(out, p, y);
    say_zeros(out, p);
}

/* ---- how often the curve errs ---- */

void say_rates(const struct yardstick *y, const struct learning_rates *r, const struct progress_lines *out)
{
    const struct learning_plan *p = &y->plan;
    double good = 100.0 * p->adequate, poor = 100.0 * p->inadequate;

    lay(out, LINE_INSTRUCTION, 0, "How often the learning curve errs, within %d pairs (exact)", (int)p->horizon);
    lay(out, LINE_ROW, 10, "%7.2f %%  of those who hear %.3g %% wrong are signalled as there", 100.0 * r->false_reach, poor);
    if (r->usual_reach > 0)
        lay(out, LINE_ROW, 10, "%7.2f %%  of those who hear %.3g %% wrong are; one half of them by pair %d", 100.0 * r->true_reach, good,
            (int)r->usual_reach);
    else
        lay(out, LINE_ROW, 10, "%7.2f %%  of those who hear %.3g %% wrong are", 100.0 * r->true_reach, good);
    lay(out, LINE_ROW, 10, "%7.2f %%  of those who hear %.3g %% wrong are then signalled as lost", 100.0 * r->false_loss, good);
    lay(out, LINE_ROW, 10, "%7.2f %%  of those who hear %.3g %% wrong are", 100.0 * r->true_loss, poor);
    lay(out, LINE_NOTE, 0, "Wrong is a pair of which either value lies more than %d mmHg from the second listener's.",
        (int)p->right_within_mmhg);
}

/* ---- what was refused, noted, void ---- */

#define COUNTS_MAX 64
_Static_assert(RULE_COUNT <= COUNTS_MAX && VOID_REASON_COUNT <= COUNTS_MAX, "every rule has a place");

/* The next in the order of frequency, the first of equal ones; marks it as told. -1: none is left. */
static int most_frequent(const int32_t *count, int n, bool *is_told)
{
    int most = -1;

    for (int i = 0; i < n; i++)
        if (!is_told[i] && count[i] > 0 && (most < 0 || count[i] > count[most]))
            most = i;
    if (most >= 0)
        is_told[most] = true;
    return most;
}

static bool is_any(const int32_t *count, int n, const bool *is_told)
{
    for (int i = 0; i < n; i++)
        if (count[i] > 0 && !is_told[i])
            return true;
    return false;
}

/* Which items, most frequent first; as many as a line or two hold. */
static void say_items(const struct progress_lines *out, const struct progress *p, bool is_lapsed)
{
    int32_t count[OPEN_ITEMS_MAX];
    bool is_told[OPEN_ITEMS_MAX] = { false };
    char said[400];
    struct text t;

    for (int i = 0; i < p->open_item_count; i++)
        count[i] = is_lapsed ? p->open_items[i].lapsed : p->open_items[i].refused;
    text_init(&t, said, sizeof said);
    for (int at; t.len < sizeof said - 60 && (at = most_frequent(count, p->open_item_count, is_told)) >= 0;)
        text_addf(&t, "%s%d x %s", t.len > 0 ? ", " : "", (int)count[at], p->open_items[at].id);
    if (t.len > 0)
        lay(out, LINE_ROW, 7, "       %s%s", said, most_frequent(count, p->open_item_count, is_told) >= 0 ? " and others" : "");
}

static void say_rule(const struct progress_lines *out, const struct progress *p, enum rule rule, const int32_t count[RULE_COUNT])
{
    const struct rule_cost *cost = rule_cost(rule);

    lay(out, LINE_ROW, 7, "%4d x %s (%s)", (int)count[rule], rule_words(rule_id(rule)), rule_id(rule));
    if (rule == RULE_ITEM_OPEN)
        say_items(out, p, count == p->lapsed);
    if (cost != NULL)
        lay(out, LINE_COST, 7, "       %s (%s)", cost->cost, cost->source);
}

/* With slips only those, else only what is none. */
static bool say_rules(const struct progress_lines *out, const struct progress *p, const int32_t count[RULE_COUNT], bool with_slips,
                      bool with_others, const char *heading)
{
    bool is_told[COUNTS_MAX] = { false };

    is_told[RULE_NONE] = true;
    for (int i = 0; i < RULE_COUNT; i++)
        is_told[i] = is_told[i] || (rule_is_slip((enum rule)i) ? !with_slips : !with_others);
    if (!is_any(count, RULE_COUNT, is_told))
        return false;
    lay(out, LINE_INSTRUCTION, 0, "%s", heading);
    for (int at; (at = most_frequent(count, RULE_COUNT, is_told)) >= 0;)
        say_rule(out, p, (enum rule)at, count);
    return true;
}

static bool say_voids(const struct progress_lines *out, const struct progress *p)
{
    bool is_told[COUNTS_MAX] = { false };

    if (!is_any(p->voids, VOID_REASON_COUNT, is_told))
        return false;
    lay(out, LINE_INSTRUCTION, 0, "Readings that did not count, by reason, most frequent first");
    for (int at; (at = most_frequent(p->voids, VOID_REASON_COUNT, is_told)) >= 0;)
        lay(out, LINE_ROW, 7, "%4d x %s (%s)", (int)p->voids[at], rule_words(VOID_REASON_WORDS[at]), VOID_REASON_WORDS[at]);
    return true;
}

void say_releases_outside(const struct progress *p, bool is_quick, char *out, size_t cap)
{
    int32_t count = is_quick ? p->releases_quick : p->releases_slow, bound_x10 = is_quick ? p->release_high_x10 : p->release_low_x10;
    struct text t;

    text_init(&t, out, cap);
    if (count == 0)
        return;
    text_addf(&t, "%d of %d releases %s than %.1f mmHg/s", (int)count, (int)p->releases_observed, is_quick ? "quicker" : "slower",
              bound_x10 / 10.0);
    if (p->release_slack_x10 > 0)
        text_addf(&t, " by more than %.1f", p->release_slack_x10 / 10.0);
}

static bool say_releases(const struct progress_lines *out, const struct progress *p)
{
    const struct ground *fast = ground_find("release.fast");

    if (p->releases_quick + p->releases_slow == 0)
        return false;
    lay(out, LINE_INSTRUCTION, 0, "Releases outside what the protocol asks for, whether the reading counts or not");
    for (int quick = 1; quick >= 0; quick--) {
        char said[120];
        say_releases_outside(p, quick, said, sizeof said);
        if (said[0] != '\0')
            lay(out, LINE_ROW, 7, "  %s", said);
        if (said[0] != '\0' && quick && fast != NULL)
            lay(out, LINE_COST, 7, "       %s", fast->because);
    }
    return true;
}

void say_slips(const struct progress *p, const struct progress_lines *out)
{
    bool is_said = say_rules(out, p, p->refused, false, true, "Tried before its time, most frequent first");

    is_said |= say_rules(out, p, p->lapsed, true, true, "Noted by a witness, most frequent first");
    is_said |= say_releases(out, p);
    is_said |= say_voids(out, p);
    if (p->waived > 0) {
        lay(out, LINE_INSTRUCTION, 0, "Passed over: %d item%s or rule%s", (int)p->waived, plural(p->waived), plural(p->waived));
        is_said = true;
    }
    is_said |= say_rules(out, p, p->refused, true, false, "Slips of the hand at an entry, counted apart");
    if (!is_said)
        lay(out, LINE_INSTRUCTION, 0, "Nothing was refused, noted by a witness, void or passed over.");
}

/* ---- what has changed ---- */

/* Two states of one thing, in words; the same words are no change. */
static bool say_change(const struct progress_lines *out, const char *what, const char *before, const char *now)
{
    if (strcmp(before, now) == 0)
        return false;
    lay(out, LINE_ROW, 2, "  %s: %s, now %s", what, before, now);
    return true;
}

static bool change_of_count(const struct progress_lines *out, const char *what, int64_t before, int64_t now)
{
    char b[24], n[24];

    (void)snprintf(b, sizeof b, "%lld", (long long)before);
    (void)snprintf(n, sizeof n, "%lld", (long long)now);
    return say_change(out, what, b, n);
}

static void say_signed(bool has, double value, bool is_share, char out[32])
{
    struct text t;

    text_init(&t, out, 32);
    if (!has) {
        text_add(&t, "not known");
        return;
    }
    add_rounded(&t, is_share ? 100.0 * value : value, is_share ? 0 : 1, !is_share);
    text_add(&t, is_share ? " %" : " mmHg");
}

struct sided { bool has; const double *value; };

static bool change_of_sides(const struct progress_lines *out, const char *what, struct sided before, struct sided now, bool is_share)
{
    bool is_said = false;

    for (int side = 0; side < SIDE_COUNT; side++) {
        char label[60], b[32], n[32];

        (void)snprintf(label, sizeof label, "%s, %s", what, SIDE_WORDS[side]);
        say_signed(before.has, before.value[side], is_share, b);
        say_signed(now.has, now.value[side], is_share, n);
        is_said |= say_change(out, label, b, n);
    }
    return is_said;
}

static void say_answer(const struct progress_row *r, char *out, size_t cap)
{
    if (r->readiness == READY_TOO_FEW && r->missing_pairs > 0)
        (void)snprintf(out, cap, "%s, at least %lld more pair%s", READINESS_WORDS[r->readiness], (long long)r->missing_pairs,
                       plural(r->missing_pairs));
    else
        (void)snprintf(out, cap, "%s", READINESS_WORDS[r->readiness]);
}

void say_changes(const struct progress_row *before, const struct progress_row *now, int32_t since_day, const struct progress_lines *out)
{
    char since[16], was[60], is[60];
    bool is_said = false;

    progress_say_day(since_day, since);
    lay(out, LINE_INSTRUCTION, 0, "Changed since %s", since);
    say_answer(before, was, sizeof was);
    say_answer(now, is, sizeof is);
    is_said |= say_change(out, "by the yardstick", was, is);
    is_said |= change_of_count(out, "sealed sittings", before->sittings, now->sittings);
    is_said |= change_of_count(out, "of these clean", before->clean, now->clean);
    is_said |= change_of_count(out, "held by a witness", before->held, now->held);
    is_said |= change_of_count(out, "pairs", before->pairs, now->pairs);
    is_said |= change_of_sides(out, "bias", (struct sided){ before->has_bias, before->bias }, (struct sided){ now->has_bias, now->bias }, false);
    is_said |= change_of_sides(out, "within 5 mmHg", (struct sided){ before->has_near, before->near_5 },
                               (struct sided){ now->has_near, now->near_5 }, true);
    is_said |= change_of_sides(out, "zeros", (struct sided){ before->has_zero, before->zero }, (struct sided){ now->has_zero, now->zero }, true);
    if (!is_said)
        lay(out, LINE_ROW, 2, "  Nothing has changed of what is compared.");
    lay(out, LINE_NOTE, 0, "Compared are the answer, sealed, clean and held sittings, pairs, bias, within 5 and zeros, as rounded here. "
                           "Of these, what is not named has not changed; the rest is not compared.");
}
