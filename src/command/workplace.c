/* SPDX-License-Identifier: GPL-3.0-or-later */
/** @file workplace.c  Opens store and protocols; fills the booth; small parsers that several verbs share. */
#include "command/workplace.h"

#include <stdio.h>
#include <string.h>

#include "guide/chart.h"
#include "stillarm/text.h"
#include "store/signed.h"
#include "terminal/clock.h"

const char *const PHASE_WORDS[] = {
    [PHASE_EMPTY] = "open", [PHASE_OPEN] = "open", [PHASE_SEALED] = "sealed", [PHASE_STOPPED] = "stopped"
};

void workplace_say_faults(const struct protocols *ps)
{
    for (int i = 0; i < ps->fault_count; i++)
        fprintf(stderr, "stillarm: %s (left out)\n", ps->faults[i]);
}

static enum status find_path(struct workplace *w, const struct command_line *line, struct err *e)
{
    if (!line->value[OPTION_DB])
        return store_default_path(w->path, sizeof w->path, e);
    if (!line->value[OPTION_DB][0])
        return err_set(e, ST_USAGE, "--db needs the name of a file.");
    if (!text_copy(w->path, sizeof w->path, line->value[OPTION_DB]))
        return err_set(e, ST_USAGE, "The name after --db is longer than %zu bytes.", sizeof w->path - 1);
    return ST_OK;
}

enum status workplace_open(struct workplace *w, const struct command_line *line, enum store_mode mode,
                           enum workplace_needs needs, struct err *e)
{
    *w = (struct workplace){ .protocol_dir = line->value[OPTION_PROTOCOL_DIR] };
    enum status status = find_path(w, line, e);
    if (status == ST_OK && needs == WORKPLACE_STORE_AND_PROTOCOLS) {
        status = protocols_load(w->protocol_dir, &w->protocols, e);
        w->has_protocols = true;
        workplace_say_faults(&w->protocols);
        procedures_load(&w->procedures);
        if (w->procedures.fault[0])
            fprintf(stderr, "stillarm: %s\n", w->procedures.fault);
    }
    if (status == ST_OK)
        status = store_open(w->path, mode, &w->store, e);
    if (status != ST_OK)
        workplace_close(w);
    return status;
}

enum status workplace_open_kept(struct workplace *w, const struct command_line *line, struct err *e)
{
    enum status status = workplace_open(w, line, STORE_READ, WORKPLACE_STORE, e);
    if (status != ST_OK)
        return status;
    workplace_close(w);
    return workplace_open(w, line, STORE_WRITE, WORKPLACE_STORE, e);
}

void workplace_close(struct workplace *w)
{
    store_close(w->store);
    w->store = NULL;
    if (w->has_protocols)
        protocols_free(&w->protocols);
    w->has_protocols = false;
}

static bool is_offered(const struct guide_booth *b, const char *gauge)
{
    for (int i = 0; i < b->gauge_count; i++)
        if (strcmp(b->gauges[i].id, gauge) == 0)
            return true;
    return false;
}

/* A default that was retired meanwhile is none: the guide asks. */
static enum status booth_measurer(struct workplace *w, struct guide_booth *b, struct err *e)
{
    struct person who;
    if (!b->measurer[0])
        return ST_OK;
    enum status status = store_person_get(w->store, b->measurer, &who, e);
    if (status == ST_NOT_FOUND || (status == ST_OK && who.is_retired)) {
        b->measurer[0] = '\0';
        return ST_OK;
    }
    return status;
}

/* Whom a second listener may be picked from: any other id is typed. */
static enum status booth_people(struct workplace *w, struct guide_booth *b, struct err *e)
{
    struct person people[GUIDE_PEOPLE_MAX];
    int n = 0;
    enum status status = store_people(w->store, false, people, GUIDE_PEOPLE_MAX, &n, e);
    if (status != ST_OK)
        return status;
    b->person_count = n < GUIDE_PEOPLE_MAX ? n : GUIDE_PEOPLE_MAX;
    for (int i = 0; i < b->person_count; i++) {
        text_copy(b->people[i].id, sizeof b->people[i].id, people[i].id);
        text_copy(b->people[i].name, sizeof b->people[i].name, people[i].name);
    }
    return ST_OK;
}

static bool could_release(const struct ring *ring, const struct ring_key *k)
{
    return k->role == SIGNS_PRECEPTOR && k->standing != TRUST_NONE && !k->ended && !ring_has_left(ring, k->person);
}

/* Who may look on to an assessment: whoever could not give its result afterwards is not offered, nor taken. Where the keys
 * cannot be read there is nobody, and all other sittings go on; verify tells what is wrong. */
static void booth_preceptors(struct workplace *w, struct guide_booth *b)
{
    struct ring *ring = NULL;
    const struct ring_key *k;
    struct err ignored;
    if (store_ring(w->store, &ring, &ignored) != ST_OK)
        return;
    for (int i = 0; (k = ring_at(ring, i)) != NULL; i++) {
        if (!could_release(ring, k))
            continue;
        if (b->preceptor_count < GUIDE_PRECEPTORS_MAX)
            text_copy(b->preceptors[b->preceptor_count], ITEM_CAP, k->person);
        b->preceptor_count++;
    }
    ring_free(ring);
}

static enum status booth_kit(struct workplace *w, struct guide_booth *b, struct err *e)
{
    struct gauge gauges[GUIDE_KIT_MAX];
    struct stored_cuff cuffs[GUIDE_KIT_MAX];
    int n = 0;
    enum status status = store_gauges(w->store, false, gauges, GUIDE_KIT_MAX, &n, e);
    if (status != ST_OK)
        return status;
    b->gauge_count = n < GUIDE_KIT_MAX ? n : GUIDE_KIT_MAX;
    for (int i = 0; i < b->gauge_count; i++) {
        text_copy(b->gauges[i].id, sizeof b->gauges[i].id, gauges[i].id);
        text_copy(b->gauges[i].name, sizeof b->gauges[i].name, gauges[i].name);
        b->gauges[i].top_mmhg = gauges[i].top_mmhg;
        b->gauges[i].due = gauges[i].due;
        b->gauges[i].leak = gauges[i].leak;
        b->gauges[i].comparison = gauges[i].comparison;
        b->gauges[i].zero = gauges[i].zero;
    }
    if (!is_offered(b, b->default_gauge))
        text_copy(b->default_gauge, sizeof b->default_gauge, b->gauge_count == 1 ? b->gauges[0].id : "");
    if ((status = store_cuffs(w->store, false, cuffs, GUIDE_KIT_MAX, &n, e)) != ST_OK)
        return status;
    b->cuff_count = n < GUIDE_KIT_MAX ? n : GUIDE_KIT_MAX;
    for (int i = 0; i < b->cuff_count; i++) {
        text_copy(b->cuffs[i].id, sizeof b->cuffs[i].id, cuffs[i].id);
        text_copy(b->cuffs[i].name, sizeof b->cuffs[i].name, cuffs[i].name);
        b->cuffs[i].low_mm = cuffs[i].low_mm;
        b->cuffs[i].high_mm = cuffs[i].high_mm;
        b->cuffs[i].bladder_width_mm = cuffs[i].bladder_width_mm;
        b->cuffs[i].bladder_length_mm = cuffs[i].bladder_length_mm;
    }
    return ST_OK;
}

/* Read anew each time: the site may have edited its text while the program ran. */
static void booth_procedures(struct workplace *w, struct guide_booth *b)
{
    procedures_load(&w->procedures);
    text_copy(b->procedure_high, sizeof b->procedure_high, w->procedures.high);
    text_copy(b->procedure_low, sizeof b->procedure_low, w->procedures.low);
    b->is_high_own = w->procedures.is_high_own;
    b->is_low_own = w->procedures.is_low_own;
    const char *path = w->procedures.path;
    if (strlen(path) >= sizeof b->procedure_path) /* of a long one the end tells more */
        path += strlen(path) - sizeof b->procedure_path + 1;
    text_copy(b->procedure_path, sizeof b->procedure_path, path);
    text_defuse(b->procedure_path);
    text_copy(b->procedure_fault, sizeof b->procedure_fault, w->procedures.fault);
}

enum status workplace_booth(struct workplace *w, struct guide_booth *b, struct err *e)
{
    *b = (struct guide_booth){ 0 };
    int64_t unix_ms = clock_unix_ms();
    const struct {
        const char *name;
        char *out;
        size_t cap;
    } settings[] = { { "measurer", b->measurer, sizeof b->measurer },
                     { "place", b->place, sizeof b->place },
                     { "protocol", b->default_protocol, sizeof b->default_protocol },
                     { "gauge", b->default_gauge, sizeof b->default_gauge },
                     { "purpose", b->default_purpose, sizeof b->default_purpose },
                     { "help", b->default_help, sizeof b->default_help } };
    for (size_t i = 0; i < ARRAY_LEN(settings); i++) {
        enum status status = store_setting_get(w->store, settings[i].name, settings[i].out, settings[i].cap, e);
        if (status != ST_OK)
            return status;
    }
    b->is_protocol_gone = b->default_protocol[0] && !protocols_find(&w->protocols, b->default_protocol);
    if (b->is_protocol_gone)
        b->default_protocol[0] = '\0'; /* its file is gone: the guide asks */
    clock_stamp(unix_ms, b->stamp, sizeof b->stamp);
    clock_hhmm(unix_ms, b->wall);
    b->today = clock_day(unix_ms);
    for (int i = 0; i < w->protocols.count && i < (int)ARRAY_LEN(b->protocols); i++) {
        text_copy(b->protocols[i].id, sizeof b->protocols[i].id, w->protocols.list[i]->id);
        text_copy(b->protocols[i].title, sizeof b->protocols[i].title, w->protocols.list[i]->title);
        b->protocols[i].whole = w->protocols.list[i];
        b->protocol_count = i + 1;
    }
    if (b->protocol_count == 1 && !b->is_protocol_gone) /* else another would stand in unasked */
        text_copy(b->default_protocol, sizeof b->default_protocol, b->protocols[0].id);
    booth_procedures(w, b);
    enum status status = booth_measurer(w, b, e);
    if (status == ST_OK)
        status = booth_people(w, b, e);
    booth_preceptors(w, b);
    return status == ST_OK ? booth_kit(w, b, e) : status;
}

enum status parse_sitting(const char *typed, int64_t *id, struct err *e)
{
    const char *digits = typed;
    int64_t found = 0;
    if ((digits[0] == 'S' || digits[0] == 's') && digits[1] == '-')
        digits += 2;
    while (digits[0] == '0' && digits[1])
        digits++;
    if (parse_int(digits, 1, INT64_C(999999999), &found, NULL) != ST_OK)
        return err_set(e, ST_USAGE, "`%.40s` names no sitting. Say it as `S-014` or `14`; stillarm list shows them.",
                       typed);
    *id = found;
    return ST_OK;
}

enum status parse_day(const char *typed, int32_t *yyyymmdd, struct err *e)
{
    if (strcmp(typed, "today") == 0) {
        *yyyymmdd = clock_day(clock_unix_ms());
        return ST_OK;
    }
    return parse_date(typed, yyyymmdd, e);
}

void day_print(int32_t yyyymmdd, char out[16])
{
    snprintf(out, 16, "%04d-%02d-%02d", (int)(yyyymmdd / 10000) % 10000, (int)(yyyymmdd / 100 % 100),
             (int)(yyyymmdd % 100));
}

int32_t day_after_months(int32_t yyyymmdd, int months)
{
    int32_t month = yyyymmdd / 10000 * 12 + yyyymmdd / 100 % 100 - 1 + months;
    int32_t day = yyyymmdd % 100;
    while (day > 28 && !date_exists(month / 12 * 10000 + (month % 12 + 1) * 100 + day))
        day--;
    return month / 12 * 10000 + (month % 12 + 1) * 100 + day;
}

int days_between(int32_t from, int32_t to)
{
    return chart_days_of(to) - chart_days_of(from);
}

static bool stop_at_subject(void *user, int32_t seq, const struct event *ev)
{
    (void)seq;
    if (ev->kind == EV_SUBJECT)
        *(bool *)user = true;
    return ev->kind != EV_SUBJECT;
}

enum subject_known subject_known(struct store *store, const struct sitting_head *h)
{
    struct err e = { 0 };
    bool was_given = false;
    if (h->subject[0])
        return SUBJECT_KNOWN;
    /* A log that cannot be read says nothing of an erasure; verify tells what is wrong with it. */
    enum status status = store_events(store, h->id, stop_at_subject, &was_given, &e);
    return status == ST_OK && was_given ? SUBJECT_ERASED : SUBJECT_NOT_GIVEN;
}

const char *subject_word(struct store *store, const struct sitting_head *h)
{
    switch (subject_known(store, h)) {
    case SUBJECT_KNOWN:
        return h->subject;
    case SUBJECT_NOT_GIVEN:
        return "-";
    case SUBJECT_ERASED:
        return "erased";
    }
    return "-";
}
