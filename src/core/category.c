/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "stillarm/category.h"

#include <string.h>

#include "stillarm/average.h"
#include "stillarm/text.h"

#define BOUND_MAX_MMHG 400

/* Sums are compared with bounds times n: nothing is rounded, so nothing can slip over a bound. */
static bool is_reached(int32_t from_mmhg, int32_t sum, int32_t n)
{
    return from_mmhg != CATEGORY_NO_BOUND && sum >= (int64_t)from_mmhg * n;
}

static bool is_within(int32_t from_mmhg, int32_t below_mmhg, int32_t sum, int32_t n)
{
    return (from_mmhg == CATEGORY_NO_BOUND || is_reached(from_mmhg, sum, n)) &&
           (below_mmhg == CATEGORY_NO_BOUND || !is_reached(below_mmhg, sum, n));
}

static bool flag_holds(const struct category_flag *f, int32_t systolic_sum, int32_t diastolic_sum, int32_t n)
{
    const bool systolic = is_within(f->systolic_from_mmhg, f->systolic_below_mmhg, systolic_sum, n);
    const bool diastolic = is_within(f->diastolic_from_mmhg, f->diastolic_below_mmhg, diastolic_sum, n);
    if (!f->is_either)
        return systolic && diastolic;
    /* A value without bounds of its own must not make `either` true of everybody. */
    const bool asks_systolic =
        f->systolic_from_mmhg != CATEGORY_NO_BOUND || f->systolic_below_mmhg != CATEGORY_NO_BOUND;
    const bool asks_diastolic =
        f->diastolic_from_mmhg != CATEGORY_NO_BOUND || f->diastolic_below_mmhg != CATEGORY_NO_BOUND;
    return (asks_systolic && systolic) || (asks_diastolic && diastolic);
}

struct category category_of(const struct category_scheme *c, int32_t systolic_sum, int32_t diastolic_sum,
                            int32_t n)
{
    struct category where = {0, 0};
    for (int i = 1; i < c->band_count; i++) {
        const struct category_band *b = &c->bands[i];
        if (is_reached(b->systolic_from_mmhg, systolic_sum, n) ||
            is_reached(b->diastolic_from_mmhg, diastolic_sum, n))
            where.band = i;
    }
    for (int i = 0; i < c->flag_count; i++) {
        const struct category_flag *f = &c->flags[i];
        if ((f->replaces < 0 || f->replaces == where.band) && flag_holds(f, systolic_sum, diastolic_sum, n))
            where.flags |= 1u << i;
    }
    return where;
}

void category_say(const struct category_scheme *c, struct category where, char *out, size_t cap)
{
    struct text t;
    int instead = -1;
    text_init(&t, out, cap);
    if (c->band_count == 0)
        return;
    for (int i = c->flag_count - 1; i >= 0; i--) {
        if ((where.flags & (1u << i)) && c->flags[i].replaces >= 0)
            instead = i; /* the first listed of them */
    }
    text_add(&t, instead >= 0 ? c->flags[instead].say : c->bands[where.band].say);
    for (int i = 0; i < c->flag_count; i++) {
        if (!(where.flags & (1u << i)) || i == instead)
            continue;
        text_addf(&t, ", %s", c->flags[i].say);
    }
}

bool category_rounding_contradicts(const struct category_scheme *c, int32_t systolic_sum,
                                   int32_t diastolic_sum, int32_t n)
{
    const struct category exact = category_of(c, systolic_sum, diastolic_sum, n);
    const struct category rounded =
        category_of(c, average_mmhg(systolic_sum, n), average_mmhg(diastolic_sum, n), 1);
    return exact.band != rounded.band || exact.flags != rounded.flags;
}

void category_say_average(const struct category_scheme *schemes, int count, int32_t systolic_sum,
                          int32_t diastolic_sum, int32_t n, char *out, size_t cap)
{
    struct text t;
    bool contradicts = false;
    for (int i = 0; i < count; i++)
        contradicts =
            contradicts || category_rounding_contradicts(&schemes[i], systolic_sum, diastolic_sum, n);
    text_init(&t, out, cap);
    if (!contradicts) {
        text_addf(&t, "%d/%d", (int)average_mmhg(systolic_sum, n), (int)average_mmhg(diastolic_sum, n));
        return;
    }
    /* Cut, not rounded: a cut tenth lies on the same side of every whole bound as the exact mean. */
    const int systolic = (int)((int64_t)systolic_sum * 10 / n),
              diastolic = (int)((int64_t)diastolic_sum * 10 / n);
    text_addf(&t, "%d.%d/%d.%d", systolic / 10, systolic % 10, diastolic / 10, diastolic % 10);
}

/* ---- checking ---- */

static bool is_bound(int32_t mmhg)
{
    return mmhg == CATEGORY_NO_BOUND || (mmhg > 0 && mmhg <= BOUND_MAX_MMHG);
}

/* The first value that no longer fits: one past the largest that may. */
static bool is_end(int32_t mmhg)
{
    return is_bound(mmhg) || mmhg == BOUND_MAX_MMHG + 1;
}

static enum status check_name(const struct category_scheme *c, const char *id, const char *say, struct err *e)
{
    int same = 0;
    if (!is_item(id))
        return err_set(e, ST_SYNTAX, "%s: a band or a flag has no sound id.", c->id);
    if (!is_plain_text(say, 79))
        return err_set(e, ST_SYNTAX, "%s says nothing; say must be a text of one line.", id);
    for (int i = 0; i < c->band_count; i++)
        same += strcmp(c->bands[i].id, id) == 0;
    for (int i = 0; i < c->flag_count; i++)
        same += strcmp(c->flags[i].id, id) == 0;
    return same > 1 ? err_set(e, ST_EXISTS, "%s is there twice.", id) : ST_OK;
}

static enum status check_first(const struct category_band *b, struct err *e)
{
    if (b->systolic_from_mmhg == 0 && b->diastolic_from_mmhg == 0)
        return ST_OK;
    return err_set(e, ST_RANGE,
                   "%s is the lowest band and must begin at 0, so that no value lies below all bands.",
                   b->id);
}

/* above: the last bound of this value in the bands before, 0 where there was none. */
static enum status check_rises(const struct category_band *b, const char *which, int32_t from, int32_t above,
                               struct err *e)
{
    if (!is_bound(from))
        return err_set(e, ST_RANGE, "%s begins at %s %d; it may be 1 to %d.", b->id, which, (int)from,
                       BOUND_MAX_MMHG);
    if (from != CATEGORY_NO_BOUND && from <= above)
        return err_set(e, ST_RANGE, "%s begins at %s %d, not above %d, where a band before it begins.", b->id,
                       which, (int)from, (int)above);
    return ST_OK;
}

static enum status check_bands(const struct category_scheme *c, struct err *e)
{
    int32_t systolic = 0, diastolic = 0;
    enum status st = check_first(&c->bands[0], e);
    for (int i = 1; i < c->band_count && st == ST_OK; i++) {
        const struct category_band *b = &c->bands[i];
        if (b->systolic_from_mmhg == CATEGORY_NO_BOUND && b->diastolic_from_mmhg == CATEGORY_NO_BOUND)
            return err_set(e, ST_RANGE,
                           "%s has neither a systolic nor a diastolic bound, so nothing ever reaches it.",
                           b->id);
        st = check_rises(b, "systolic", b->systolic_from_mmhg, systolic, e);
        if (st == ST_OK)
            st = check_rises(b, "diastolic", b->diastolic_from_mmhg, diastolic, e);
        systolic = b->systolic_from_mmhg != CATEGORY_NO_BOUND ? b->systolic_from_mmhg : systolic;
        diastolic = b->diastolic_from_mmhg != CATEGORY_NO_BOUND ? b->diastolic_from_mmhg : diastolic;
    }
    return st;
}

static enum status check_flag(const struct category_scheme *c, const struct category_flag *f, struct err *e)
{
    const int32_t pairs[2][2] = {{f->systolic_from_mmhg, f->systolic_below_mmhg},
                                 {f->diastolic_from_mmhg, f->diastolic_below_mmhg}};
    bool has_bound = false;
    for (int i = 0; i < 2; i++) {
        const int32_t from = pairs[i][0], below = pairs[i][1];
        const char *which = i == 0 ? "systolic" : "diastolic";
        if (!is_bound(from) || !is_end(below))
            return err_set(e, ST_RANGE, "%s has a %s bound outside 1 to %d.", f->id, which, BOUND_MAX_MMHG);
        if (from != CATEGORY_NO_BOUND && below != CATEGORY_NO_BOUND && from >= below)
            return err_set(e, ST_RANGE, "%s asks for a %s from %d and below %d, which no value is.", f->id,
                           which, (int)from, (int)below);
        has_bound = has_bound || from != CATEGORY_NO_BOUND || below != CATEGORY_NO_BOUND;
    }
    if (!has_bound)
        return err_set(e, ST_RANGE, "%s has no bound: it would be said of everybody.", f->id);
    if (f->replaces < -1 || f->replaces >= c->band_count)
        return err_set(e, ST_NOT_FOUND, "%s replaces a band that is not there.", f->id);
    return ST_OK;
}

enum status category_check(const struct category_scheme *c, struct err *e)
{
    if (!is_item(c->id))
        return err_set(e, ST_SYNTAX, "id must be 1 to 32 letters, digits, points or hyphens.");
    if (!is_plain_text(c->title, (int)sizeof c->title - 1))
        return err_set(e, ST_SYNTAX, "title must be a text of one line.");
    if (c->band_count < 1 || c->band_count > CATEGORY_BANDS_MAX)
        return err_set(e, ST_FULL, "%s has %d bands; there may be 1 to %d.", c->id, (int)c->band_count,
                       CATEGORY_BANDS_MAX);
    if (c->flag_count < 0 || c->flag_count > CATEGORY_FLAGS_MAX)
        return err_set(e, ST_FULL, "%s has %d flags; there may be at most %d.", c->id, (int)c->flag_count,
                       CATEGORY_FLAGS_MAX);
    enum status st = ST_OK;
    for (int i = 0; i < c->band_count && st == ST_OK; i++)
        st = check_name(c, c->bands[i].id, c->bands[i].say, e);
    for (int i = 0; i < c->flag_count && st == ST_OK; i++)
        st = check_name(c, c->flags[i].id, c->flags[i].say, e);
    if (st == ST_OK)
        st = check_bands(c, e);
    for (int i = 0; i < c->flag_count && st == ST_OK; i++)
        st = check_flag(c, &c->flags[i], e);
    return st;
}
