/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The group: one row a person, and in which order they are looked at. */
#include <stdio.h>
#include <string.h>

#include "guide/progress.h"
#include "stillarm/text.h"

static double size_of(double x)
{
    return x < 0.0 ? -x : x;
}

static double larger(double a, double b)
{
    return a > b ? a : b;
}

const char *const ORDER_WORDS[ORDER_COUNT] = { [ORDER_PERSON] = "person", [ORDER_SITTINGS] = "sittings", [ORDER_CLEAN] = "clean",
                                               [ORDER_BIAS] = "bias",     [ORDER_NEAR] = "within 5",     [ORDER_ZERO] = "zeros",
                                               [ORDER_READY] = "ready" };

static void take_figure(const struct progress *p, enum side_figure which, bool *has, double value[SIDE_COUNT])
{
    *has = true;
    for (int side = 0; side < SIDE_COUNT; side++) {
        const struct figure *f = &p->record.agreement.side[side].figure[which];

        *has = *has && f->lack == LACK_NONE;
        value[side] = f->lack == LACK_NONE ? f->value : 0.0;
    }
}

static void take_zeros(const struct progress *p, struct progress_row *out)
{
    out->has_zero = true;
    for (int side = 0; side < SIDE_COUNT; side++) {
        int64_t even = 0;

        for (int i = 0; i < 5; i++)
            even += p->digits[side].even[i];
        out->has_zero = out->has_zero && even > 0;
        out->zero[side] = even > 0 ? (double)p->digits[side].even[0] / (double)even : 0.0;
    }
}

void progress_row_of(const struct progress *p, struct progress_row *out)
{
    memset(out, 0, sizeof *out);
    text_copy(out->person, sizeof out->person, p->person);
    text_copy(out->name, sizeof out->name, p->name);
    text_copy(out->role, sizeof out->role, p->role);
    out->sittings = p->sealed;
    out->clean = p->clean;
    out->held = p->held;
    out->pairs = p->record.agreement.n;
    take_figure(p, FIGURE_BIAS, &out->has_bias, out->bias);
    take_figure(p, FIGURE_NEAR_5, &out->has_near, out->near_5);
    take_zeros(p, out);
    out->readiness = p->result.answer;
    out->missing_pairs = p->result.missing_pairs;
    out->last_day = p->last_day;
}

/* How soon a row is to be looked at: the larger, the sooner. What is not known comes last. */
static double urgency(const struct progress_row *r, enum progress_order order)
{
    static const double OF_ANSWER[] = { [READY_NOT_YET] = 2.0, [READY_TOO_FEW] = 1.0, [READY_YES] = 0.0 };
    static const double UNKNOWN = -1e9;

    switch (order) {
    case ORDER_PERSON:
    case ORDER_COUNT:
        break;
    case ORDER_SITTINGS:
        return -(double)r->sittings;
    case ORDER_CLEAN:
        return r->sittings > 0 ? -(double)r->clean / (double)r->sittings : UNKNOWN;
    case ORDER_BIAS:
        return r->has_bias ? larger(size_of(r->bias[SIDE_SYSTOLIC]), size_of(r->bias[SIDE_DIASTOLIC])) : UNKNOWN;
    case ORDER_NEAR:
        return r->has_near ? larger(-r->near_5[SIDE_SYSTOLIC], -r->near_5[SIDE_DIASTOLIC]) : UNKNOWN;
    case ORDER_ZERO:
        return r->has_zero ? larger(r->zero[SIDE_SYSTOLIC], r->zero[SIDE_DIASTOLIC]) : UNKNOWN;
    case ORDER_READY:
        return OF_ANSWER[r->readiness];
    }
    return 0.0;
}

static bool comes_before(const struct progress_row *a, const struct progress_row *b, enum progress_order order)
{
    double one = urgency(a, order), other = urgency(b, order);

    if (one < other || one > other)
        return one > other;
    return strcmp(a->person, b->person) < 0;
}

/* A group is small; its rows are put in one by one. */
void progress_sort(struct progress_row *now, struct progress_row *before, int count, enum progress_order order)
{
    for (int i = 1; i < count; i++) {
        const struct progress_row row = now[i], was = before != NULL ? before[i] : now[i];
        int at = i;

        for (; at > 0 && comes_before(&row, &now[at - 1], order); at--) {
            now[at] = now[at - 1];
            if (before != NULL)
                before[at] = before[at - 1];
        }
        now[at] = row;
        if (before != NULL)
            before[at] = was;
    }
}

/* ---- a row in words ---- */

const char *const PROGRESS_COLUMNS[WIDTH_COUNT] = {
    [WIDTH_USUAL] = "person       sealed  clean  pairs  bias, mmHg    within 5      zeros  answer",
    [WIDTH_NARROW] = "person   sealed clean bias, mmHg  in 5 %  zeros %  answer" };

/* Both sides of one thing, as whole percent. */
static void say_shares(bool has, const double share[SIDE_COUNT], const char *unit, char out[24])
{
    if (has)
        (void)snprintf(out, 24, "%3.0f %3.0f%s", 100.0 * share[SIDE_SYSTOLIC], 100.0 * share[SIDE_DIASTOLIC], unit);
    else
        (void)snprintf(out, 24, "-");
}

/* What rounds to nothing goes no way; its figure stands under the others all the same. */
static void add_bias(struct text *t, double bias)
{
    text_add(t, t->len > 0 ? " " : "");
    text_add(t, size_of(bias) < 0.05 ? " " : "");
    add_rounded(t, bias, 1, true);
}

static void say_who(const char *person, int columns, char out[16])
{
    if (strlen(person) > (size_t)columns)
        (void)snprintf(out, 16, "%.*s~", columns - 1, person);
    else
        text_copy(out, 16, person);
}

void say_progress_row(const struct progress_row *r, enum progress_width width, char out[PROGRESS_ROW_CAP])
{
    const bool is_narrow = width == WIDTH_NARROW;
    char who[16], clean[16] = "-", bias[24], near[24], zeros[24];
    struct text t;

    say_who(r->person, is_narrow ? 8 : 12, who);
    if (r->sittings > 0)
        (void)snprintf(clean, sizeof clean, "%d %%", (int)(100 * (int64_t)r->clean / r->sittings));
    text_init(&t, bias, sizeof bias);
    for (int side = 0; side < SIDE_COUNT && r->has_bias; side++)
        add_bias(&t, r->bias[side]);
    if (!r->has_bias)
        text_add(&t, "-");
    say_shares(r->has_near, r->near_5, is_narrow ? "" : " %", near);
    say_shares(r->has_zero, r->zero, is_narrow ? "" : " %", zeros);
    text_init(&t, out, PROGRESS_ROW_CAP);
    if (is_narrow)
        text_addf(&t, "%-8s %6d %5s %-11s %-7s %-8s %s", who, (int)r->sittings, clean, bias, near, zeros, READINESS_WORDS[r->readiness]);
    else
        text_addf(&t, "%-12s %6d %6s %6lld  %-12s %9s  %9s  %s", who, (int)r->sittings, clean, (long long)r->pairs, bias, near, zeros,
                  READINESS_WORDS[r->readiness]);
}

static void add_more(struct text *t, int64_t before, int64_t now, const char *one, const char *many)
{
    int64_t n = now - before;

    if (n != 0)
        text_addf(t, "%s%lld %s %s", t->len > 0 ? ", " : "", (long long)(n < 0 ? -n : n), n < 0 ? "fewer" : "more",
                  n == 1 || n == -1 ? one : many);
}

bool say_row_change(const struct progress_row *before, const struct progress_row *now, char *out, size_t cap)
{
    struct text t;

    text_init(&t, out, cap);
    if (before->readiness != now->readiness)
        text_addf(&t, "%s, now %s", READINESS_WORDS[before->readiness], READINESS_WORDS[now->readiness]);
    add_more(&t, before->sittings, now->sittings, "sitting", "sittings");
    add_more(&t, before->pairs, now->pairs, "pair", "pairs");
    return t.len > 0;
}
