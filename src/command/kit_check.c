/* SPDX-License-Identifier: GPL-3.0-or-later */
/** @file kit_check.c  The checks of a gauge: stored, judged by the usual protocol, put into words. */
#include <stdio.h>
#include <string.h>

#include "command/kit.h"
#include "stillarm/text.h"
#include "terminal/clock.h"

static const struct check_row {
    const char *what, *name, *unit; /* name: as a failed one is called */
    enum protocol_key limit;
} CHECKS[] = {
    { "leak", "leak check", "mmHg/min", KEY_LEAK_MAX_MMHG_PER_MIN },
    { "zero", "zero check", "mmHg", KEY_ZERO_MAX_MMHG },
    { "comparison", "comparison", "mmHg", KEY_COMPARISON_MAX_MMHG },
};

static const struct check_row *find_check(const char *what)
{
    for (size_t i = 0; i < ARRAY_LEN(CHECKS); i++)
        if (strcmp(CHECKS[i].what, what) == 0)
            return &CHECKS[i];
    return NULL;
}

const struct protocol *kit_usual_protocol(struct store *store, const struct protocols *ps)
{
    char id[ITEM_CAP];
    if (ps->count == 1)
        return ps->list[0];
    return store_setting_get(store, "protocol", id, sizeof id, NULL) == ST_OK ? protocols_find(ps, id) : NULL;
}

const char *kit_failed_check(const struct protocol *p, const struct gauge_check *leak, const struct gauge_check *zero,
                             const struct gauge_check *comparison)
{
    const struct gauge_check *const results[] = { leak, zero, comparison };
    for (size_t i = 0; p && i < ARRAY_LEN(CHECKS); i++)
        if (results[i]->is_given && results[i]->value > p->value[CHECKS[i].limit])
            return CHECKS[i].name;
    return "";
}

static void judge(const struct protocol *p, const struct check_row *row, int32_t value, struct text *said)
{
    if (!p) {
        text_add(said, "No usual protocol is chosen here, so no limit is judged.");
        return;
    }
    const int limit = (int)p->value[row->limit];
    if (value > limit)
        text_addf(said, "This is beyond %d %s: this gauge is refused until it is repaired and checked anew.", limit,
                  row->unit);
    else
        text_addf(said, "This is within %d %s.", limit, row->unit);
}

enum status kit_note_check(struct store *store, const struct protocol *p, const char *gauge, const char *what,
                           const char *result, int32_t day, char said[KIT_SAID_CAP], struct err *e)
{
    const struct check_row *row = find_check(what);
    struct check_point points[CHECK_POINTS_MAX];
    int count = 0;
    int64_t value = 0;
    int32_t largest = 0;
    enum status status;
    if (!row)
        return err_set(e, ST_USAGE, "`%.40s` is no check. There are leak, zero and comparison.", what);
    if (strcmp(what, "comparison") == 0 && strchr(result, '=')) {
        status = kit_parse_points(result, points, &count, e);
        if (status == ST_OK)
            status = store_gauge_compare(store, gauge, points, count, day, &largest, e);
        value = largest;
    } else if (parse_int(result, 0, 100, &value, NULL) != ST_OK) {
        return err_set(e, ST_USAGE, "`%.40s` is no result of a check. It is a whole number from 0 to 100.", result);
    } else {
        status = store_gauge_check(store, gauge, what, (int32_t)value, day, e);
    }
    if (status != ST_OK)
        return status;
    struct text t;
    text_init(&t, said, KIT_SAID_CAP);
    text_addf(&t, "%s of gauge %s is noted: %s%d %s. ", what, gauge, count ? "largest difference " : "", (int)value, row->unit);
    judge(p, row, (int32_t)value, &t);
    return ST_OK;
}

enum status kit_note_calibration(struct store *store, const char *gauge, int32_t day, int32_t months,
                                 char said[KIT_SAID_CAP], struct err *e)
{
    char until[16];
    const int32_t due = day_after_months(day, months);
    enum status status = store_gauge_due(store, gauge, due, e);
    if (status != ST_OK)
        return status;
    day_print(due, until);
    snprintf(said, KIT_SAID_CAP, "Gauge %s is calibrated until %s (%d month%s).%s", gauge, until, (int)months,
             months == 1 ? "" : "s",
             days_between(clock_day(clock_unix_ms()), due) < 0 ? " That day is past: it is refused until it is calibrated "
                                                                 "anew."
                                                               : "");
    return ST_OK;
}

/* ---- wording ---- */

void kit_due_words(int32_t due, int32_t today, char *out, size_t cap)
{
    char day[16];
    int left = days_between(today, due);
    day_print(due, day);
    if (left < 0)
        snprintf(out, cap, "calibration ended %s", day);
    else if (left <= KIT_DUE_SOON_DAYS)
        snprintf(out, cap, "calibration due %s, in %d day%s", day, left, left == 1 ? "" : "s");
    else
        snprintf(out, cap, "calibration due %s", day);
}

/* Where the gauge lies furthest off, and of how many points. */
static void comparison_words(const struct gauge *g, struct text *t)
{
    text_addf(t, "differs by %d mmHg", (int)g->comparison.value);
    for (int i = 0; i < g->point_count; i++) {
        int off = g->points[i].reading_mmhg - g->points[i].reference_mmhg;
        if (off == g->comparison.value || -off == g->comparison.value) {
            text_addf(t, " at %d (largest of %d points)", (int)g->points[i].reference_mmhg, (int)g->point_count);
            return;
        }
    }
}

void kit_checks_words(const struct gauge *g, char *out, size_t cap)
{
    struct text t;
    char day[16];
    text_init(&t, out, cap);
    if (g->zero.is_given) {
        day_print(g->zero.date, day);
        text_addf(&t, "off zero by %d mmHg on %s", (int)g->zero.value, day);
    }
    if (g->leak.is_given) {
        day_print(g->leak.date, day);
        text_addf(&t, "%sleak %d mmHg/min on %s", t.len ? "; " : "", (int)g->leak.value, day);
    }
    if (g->comparison.is_given) {
        day_print(g->comparison.date, day);
        text_add(&t, t.len ? "; " : "");
        comparison_words(g, &t);
        text_addf(&t, " on %s", day);
    }
}

void kit_range_words(int32_t low_mm, int32_t high_mm, char *out, size_t cap)
{
    snprintf(out, cap, "%d.%d to %d.%d cm", (int)low_mm / 10, (int)low_mm % 10, (int)high_mm / 10, (int)high_mm % 10);
}

void kit_bladder_words(const struct stored_cuff *c, char *out, size_t cap)
{
    out[0] = '\0';
    if (c->bladder_width_mm)
        snprintf(out, cap, "bladder %d.%d x %d.%d cm", (int)c->bladder_width_mm / 10, (int)c->bladder_width_mm % 10,
                 (int)c->bladder_length_mm / 10, (int)c->bladder_length_mm % 10);
}

void kit_interval_words(int32_t months, char *out, size_t cap)
{
    snprintf(out, cap, "Calibration every %d month%s. Published: every 6 (GAU-12, GAU-13)%s.", (int)months,
             months == 1 ? "" : "s",
             months > 12  ? "; no source here goes beyond 12"
             : months > 6 ? "; yearly was judged enough in one field study (GAU-14)"
                          : "");
}
