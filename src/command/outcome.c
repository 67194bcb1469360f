/* SPDX-License-Identifier: GPL-3.0-or-later */
/** @file outcome.c  The words of an outcome come from the engine's grounds and the guide's lines; here they are only written. */
#include "command/outcome.h"

#include <stdlib.h>

#include "command/held.h"
#include "guide/worth_page.h"
#include "stillarm/ground.h"

int outcome_of(const struct command_line *line, outcome_say_fn say)
{
    struct workplace w;
    struct err e = { 0 };
    struct sitting_head head;
    int64_t id;
    if (parse_sitting(line->words[0], &id, &e) != ST_OK)
        return command_fail(&e);
    if (workplace_open(&w, line, STORE_READ, WORKPLACE_STORE, &e) != ST_OK)
        return command_fail(&e);
    enum status status = store_sitting_get(w.store, id, &head, &e);
    if (status == ST_OK)
        status = held_check(w.store, id, &e);
    if (status == ST_OK)
        status = say(&w, &head, &e);
    workplace_close(&w);
    return status == ST_OK ? EXIT_FINE : command_fail(&e);
}

enum status outcome_check_pair(const struct sitting *s, int64_t id, struct err *e)
{
    const struct reading *r = sitting_current(s);
    if (s->phase != PHASE_OPEN || !r || !r->listener[0])
        return ST_OK;
    return err_set(e, ST_PERMISSION,
                   "S-%03d is not told just now: %s and %s listen to the same fall, and neither may know what the other typed. "
                   "Ask again once both are in.",
                   (int)id, s->measurer, r->listener);
}

void outcome_lines(const struct page *pg, const char *prefix, bool with_heads, FILE *out)
{
    for (int i = 0; i < pg->line_count; i++) {
        bool is_head = with_heads && pg->lines[i].role == LINE_INSTRUCTION;
        fprintf(out, "%s%s%s\n", is_head ? "\n" : "", prefix, pg->lines[i].text);
    }
}

bool outcome_has_readings(const struct sitting *s, enum arm arm)
{
    for (int i = 0; i < s->reading_count; i++) {
        if (s->readings[i].arm == (int32_t)arm)
            return true;
    }
    return false;
}

const char *outcome_lack(const struct sitting *s, const struct protocol *p)
{
    if (s->phase == PHASE_STOPPED)
        return "The sitting was stopped, so nothing is averaged.";
    if (s->reading_count == 0)
        return "Nothing was read yet.";
    const struct ground *g = ground_find(rule_id(sitting_readings_lack(s, p)));
    return g ? g->says : "";
}

bool outcome_average(const struct sitting *s, const struct protocol *p, enum arm arm, const char *prefix, FILE *out)
{
    struct average a;
    char said[32];
    if (!sitting_average(s, p, arm, &a) || a.n < 1) {
        const char *lack = outcome_lack(s, p);
        fprintf(out, "%sno average of the %s arm: %s\n", prefix, ARM_WORDS[arm],
                lack[0] ? lack : "Its own readings do not suffice.");
        return false;
    }
    category_say_average(p->schemes, p->scheme_count, a.systolic_sum_mmhg, a.diastolic_sum_mmhg, a.n, said, sizeof said);
    fprintf(out, "%saverage %s arm: %s mmHg, from %d reading%s (%s)\n", prefix, ARM_WORDS[arm], said, (int)a.n,
            a.n == 1 ? "" : "s", PROTOCOL_KEYS[KEY_AVERAGE].words[p->value[KEY_AVERAGE]]);
    return true;
}

static void write_gap(const struct reading *r, int number, const char *prefix, FILE *out)
{
    if (r->has_value[POINT_SILENT] && r->has_value[POINT_RETURN])
        fprintf(out, "%sreading %d: silent gap from %d to %d mmHg\n", prefix, number, (int)r->value_mmhg[POINT_SILENT],
                (int)r->value_mmhg[POINT_RETURN]);
    else if (r->has_value[POINT_SILENT] || r->has_value[POINT_RETURN])
        fprintf(out, "%sreading %d: silent gap %s %d mmHg, its other end not given\n", prefix, number,
                r->has_value[POINT_SILENT] ? "from" : "down to",
                (int)r->value_mmhg[r->has_value[POINT_SILENT] ? POINT_SILENT : POINT_RETURN]);
    else if (r->notes & NOTE_GAP_HEARD)
        fprintf(out, "%sreading %d: silent gap heard, its range not given\n", prefix, number);
    if (r->has_gap && r->has_value[POINT_FIRST])
        fprintf(out, "%sreading %d: first sound at %d mmHg, the pulse was felt at %d\n", prefix, number,
                (int)r->value_mmhg[POINT_FIRST], (int)r->gap_from_mmhg);
}

static void write_pair(const struct sitting *s, const struct protocol *p, int index, const char *prefix, FILE *out)
{
    char said[160];
    if (guide_say_pair(s, p, index, said, sizeof said))
        fprintf(out, "%sreading %d: %s\n", prefix, index + 1, said);
}

/* A fall in hundredths; a rise is a fall below zero. */
static void say_fall(int32_t x100, char *out, size_t cap)
{
    snprintf(out, cap, "%s of %d.%02d", x100 < 0 ? "rise" : "fall", abs((int)x100) / 100, abs((int)x100) % 100);
}

static void write_bits(unsigned bits, enum ground_kind kind, const char *before, const char *prefix, FILE *out)
{
    const struct ground *g;
    for (int n = 0; (g = ground_at(n)) != NULL; n++) {
        if (g->kind == kind && (bits & (1u << g->index)))
            fprintf(out, "%s%s%s: %s\n", prefix, before, g->id, g->says);
    }
}

void outcome_remarks(const struct sitting *s, const struct protocol *p, const char *prefix, FILE *out)
{
    int32_t systolic, diastolic;
    struct page pg;
    page_init(&pg, PAGE_OPEN, "alarms");
    guide_alarm_lines(s, p, &pg);
    outcome_lines(&pg, prefix, false, out);
    for (int i = 0; i < s->reading_count; i++) {
        const struct reading *r = &s->readings[i];
        char before[40];
        snprintf(before, sizeof before, "reading %d does not count, ", i + 1);
        write_pair(s, p, i, prefix, out);
        write_bits(r->voids, GROUND_VOID, before, prefix, out);
        snprintf(before, sizeof before, "reading %d, ", i + 1);
        write_bits(r->notes, GROUND_READING_REMARK, before, prefix, out);
        write_gap(r, i + 1, prefix, out);
    }
    if (sitting_drop_x100(s, p, &systolic, &diastolic)) {
        char sys[32], dia[32];
        say_fall(systolic, sys, sizeof sys);
        say_fall(diastolic, dia, sizeof dia);
        fprintf(out, "%sstanding: systolic %s, diastolic %s mmHg from the average lying\n", prefix, sys, dia);
    }
    write_bits(sitting_remarks(s, p), GROUND_SITTING_REMARK, "remark ", prefix, out);
}
