/* SPDX-License-Identifier: GPL-3.0-or-later */
/** @file pages.c  The pages behind home: kit, sittings. */
#include <stdio.h>
#include <string.h>

#include "command/first_run.h"
#include "command/home.h"
#include "command/held.h"
#include "command/kit.h"
#include "command/retiring.h"
#include "command/session.h"
#include "command/sit.h"
#include "guide/first_run.h"
#include "stillarm/text.h"
#include "terminal/clock.h"

enum row_kind { ROW_GAUGE, ROW_CUFF };
struct kit_rows {
    struct list list;
    enum row_kind kind[LIST_ROWS_MAX];
    char id[LIST_ROWS_MAX][ITEM_CAP];
    char checks[LIST_ROWS_MAX][LIST_ROW_CAP]; /* of a gauge: said of the row with the cursor */
    int32_t months;                           /* between calibrations */
};

#define KIT_SHOWN_MAX (LIST_ROWS_MAX / 2)

/* ---- kit ---- */

static void add_gauge_row(struct kit_rows *r, const struct gauge *g, int32_t today)
{
    int row = r->list.row_count++;
    char due[80];
    kit_due_words(g->due, today, due, sizeof due);
    kit_checks_words(g, r->checks[row], sizeof r->checks[row]);
    list_set_row(&r->list, row, "gauge %s: %s%s", g->id, due, r->checks[row][0] ? "" : "; not checked yet");
    text_copy(r->id[row], sizeof r->id[row], g->id);
    r->kind[row] = ROW_GAUGE;
}

static void add_cuff_row(struct kit_rows *r, const struct stored_cuff *c)
{
    int row = r->list.row_count++;
    char range[40], bladder[60];
    kit_range_words(c->low_mm, c->high_mm, range, sizeof range);
    kit_bladder_words(c, bladder, sizeof bladder);
    list_set_row(&r->list, row, "cuff %s: %s%s%s", c->id, range, bladder[0] ? "; " : "", bladder);
    text_copy(r->id[row], sizeof r->id[row], c->id);
    r->checks[row][0] = '\0';
    r->kind[row] = ROW_CUFF;
}

static enum status gather_kit(struct ui *ui, void *rows, struct err *e)
{
    static struct gauge gauges[KIT_SHOWN_MAX];
    static struct stored_cuff cuffs[KIT_SHOWN_MAX];
    struct kit_rows *r = rows;
    int32_t today = clock_day(clock_unix_ms());
    int n = 0, m = 0;
    enum status status = store_gauges(ui->w->store, false, gauges, KIT_SHOWN_MAX, &n, e);
    if (status == ST_OK)
        status = store_cuffs(ui->w->store, false, cuffs, KIT_SHOWN_MAX, &m, e);
    if (status == ST_OK)
        status = store_interval_get(ui->w->store, &r->months, e);
    if (status != ST_OK)
        return status;
    r->list.row_count = 0;
    for (int i = 0; i < n && i < KIT_SHOWN_MAX; i++)
        add_gauge_row(r, &gauges[i], today);
    for (int i = 0; i < m && i < KIT_SHOWN_MAX; i++)
        add_cuff_row(r, &cuffs[i]);
    list_keep_cursor(&r->list);
    r->list.note = r->list.row_count > 0 ? r->checks[r->list.at] : NULL;
    return ST_OK;
}

/* What was noted is shown where refusals stand; a form has no other way to hand it on. */
static char noted[KIT_SAID_CAP];

/* The form's id names what is stored, its title the gauge. */
static enum status save_check(struct ui *ui, const struct form *f, struct err *e)
{
    const struct protocol *p = kit_usual_protocol(ui->w->store, &ui->w->protocols);
    return kit_not_yet(kit_note_check(ui->w->store, p, f->title, f->id, f->fields[0].entry, clock_day(clock_unix_ms()),
                                      noted, e),
                       e);
}

static enum status check_its_calibration(const struct form *f, int field, struct err *e)
{
    return check_calibration(f, 0, field, e);
}

static enum status save_calibration(struct ui *ui, const struct form *f, struct err *e)
{
    int32_t due;
    char day[16];
    enum status status = kit_parse_due(f->fields[0].entry, f->fields[1].entry, &due, e);
    if (status == ST_OK)
        status = store_gauge_due(ui->w->store, f->title, due, e);
    if (status != ST_OK)
        return kit_not_yet(status, e);
    day_print(due, day);
    snprintf(noted, sizeof noted, "gauge %s is calibrated until %s", f->title, day);
    return ST_OK;
}

static enum status save_bladder(struct ui *ui, const struct form *f, struct err *e)
{
    int32_t width, length;
    enum status status = kit_parse_bladder(f->fields[0].entry, &width, &length, e);
    if (status == ST_OK)
        status = store_cuff_bladder(ui->w->store, f->title, width, length, e);
    return kit_not_yet(status, e);
}

static enum status save_interval(struct ui *ui, const struct form *f, struct err *e)
{
    int32_t months;
    enum status status = kit_parse_months(f->fields[0].entry, &months, e);
    if (status == ST_OK)
        status = store_interval_set(ui->w->store, months, e);
    if (status == ST_OK)
        kit_interval_words(months, noted, sizeof noted);
    return kit_not_yet(status, e);
}

/* The keys that act on the row with the cursor, and what they ask for. */
static const struct kit_key {
    uint32_t key;
    enum row_kind of;
    const char *shown, *word, *id; /* as keys and pages say it */
    const char *label, *hint;      /* of the field; NULL: the form has its own */
    ui_save_fn save;
} KIT_KEYS[] = {
    { 'z', ROW_GAUGE, "z", "zero", "zero", "off zero, mmHg", "Without pressure: how far the needle lies from zero; 0 where it "
                                                             "stands on it", save_check },
    { 'l', ROW_GAUGE, "l", "leak", "leak", "fall in a minute, mmHg",
      "Cuff round a bottle, pumped up and closed: how much it loses in a minute", save_check },
    { 'd', ROW_GAUGE, "d", "difference", "comparison", "points, or the largest difference",
      "Against a reference: REFERENCE=READING, blanks between, such as 50=50 150=152 250=251; or one number, mmHg",
      save_check },
    { 't', ROW_GAUGE, "t", "calibrated", "calibrated", NULL, NULL, save_calibration },
    { 'b', ROW_CUFF, "b", "bladder", "bladder", NULL, NULL, save_bladder },
};

static void ask_of_kit(struct ui *ui, const struct kit_rows *r, const struct kit_key *row)
{
    struct form f = { .id = row->id, .title = r->id[r->list.at], .field_count = 1 };
    if (row->save == save_calibration) {
        calibration_fields(&f.fields[0], &f.fields[1], (int)r->months);
        f.field_count = 2;
        f.check = check_its_calibration;
    } else if (row->save == save_bladder) {
        f.fields[0] = bladder_field();
    } else {
        f.fields[0] = (struct form_field){ .label = row->label, .hint = row->hint };
    }
    ui_form(ui, &f, row->save);
}

static void ask_for_interval(struct ui *ui, int32_t months)
{
    struct form f = { .id = "interval", .title = "Calibration of gauges", .field_count = 1 };
    f.fields[0] = (struct form_field){ .label = "every, months",
                                       .hint = "1 to 24. Published: 6 (HeartBEAT 2.3; JACC 2019;73:317); one field study "
                                               "judged yearly enough (Yarows 2001)." };
    snprintf(f.fields[0].entry, sizeof f.fields[0].entry, "%d", (int)months);
    ui_form(ui, &f, save_interval);
}

static bool take_kit_key(struct ui *ui, void *rows, const struct key *k)
{
    struct kit_rows *r = rows;
    uint32_t c = key_as_letter(k);
    const struct kit_key *found = NULL;
    for (size_t i = 0; i < ARRAY_LEN(KIT_KEYS); i++)
        if (r->list.row_count > 0 && c == KIT_KEYS[i].key && r->kind[r->list.at] == KIT_KEYS[i].of)
            found = &KIT_KEYS[i];
    noted[0] = '\0';
    if (found)
        ask_of_kit(ui, r, found);
    else if (c == 'g')
        ask_for_gauge(ui);
    else if (c == 'c')
        ask_for_cuff(ui);
    else if (c == 'i')
        ask_for_interval(ui, r->months);
    else
        return false;
    text_copy(r->list.refusal, sizeof r->list.refusal, noted);
    return true;
}

static void kit_keys(const void *rows, struct page *pg)
{
    const struct kit_rows *r = rows;
    page_key(pg, "g", "new gauge");
    page_key(pg, "c", "new cuff");
    for (size_t i = 0; i < ARRAY_LEN(KIT_KEYS); i++)
        if (r->list.row_count > 0 && r->kind[r->list.at] == KIT_KEYS[i].of)
            page_key(pg, KIT_KEYS[i].shown, KIT_KEYS[i].word);
    page_key(pg, "i", "interval");
}

static const char *kit_id(const void *rows, int row)
{
    return ((const struct kit_rows *)rows)->id[row];
}

void kit_page_run(struct ui *ui)
{
    static struct kit_rows r;
    r = (struct kit_rows){ .list = { .id = "kit", .title = "Kit", .empty = "Nothing yet: g adds a gauge, c a cuff." } };
    struct retiring_page rp = { .list = &r.list, .rows = &r, .gather = gather_kit, .id = kit_id,
                                .word = "kit", .keys = kit_keys, .take = take_kit_key };
    retiring_page_run(ui, &rp);
}

/* ---- sittings ---- */

struct sitting_rows {
    struct store *store;
    struct list list;
    int64_t id[LIST_ROWS_MAX];
    enum phase phase[LIST_ROWS_MAX];
};

static bool add_sitting(void *user, const struct queue_entry *q)
{
    struct sitting_rows *r = user;
    const struct sitting_head *h = &q->head;
    char readings[60];
    int row = r->list.row_count++;
    if (held_is(q))
        snprintf(readings, sizeof readings, "held by %s", q->witness);
    else
        snprintf(readings, sizeof readings, "%d of %d", (int)h->counted_count, (int)h->reading_count);
    list_set_row(&r->list, row, "S-%03d %.10s %.5s %s %s %s, %s%s%s", (int)h->id, h->opened, h->opened[0] ? h->opened + 11 : "",
                 h->measurer, subject_word(r->store, h), PHASE_WORDS[h->phase], readings,
                 h->phase == PHASE_OPEN ? "" : ", ", h->phase == PHASE_OPEN ? "" : held_word(q->review));
    r->id[row] = h->id;
    r->phase[row] = h->phase;
    return r->list.row_count < LIST_ROWS_MAX;
}

/* The readings and their mean, above what the guide has to say of how they were got. */
static void reading_rows(const struct session *x, struct page *pg)
{
    const struct sitting *s = &x->sitting;
    for (int i = 0; i < s->reading_count; i++) {
        char values[16];
        reading_print(&s->readings[i], values, sizeof values);
        page_line(pg, LINE_ROW, "%d  %s arm  %s  %s", i + 1, ARM_WORDS[s->readings[i].arm], values[0] ? values : "no values",
                  reading_is_counted(&s->readings[i]) ? "counts" : "does not count");
    }
    for (int arm = ARM_LEFT; arm < ARM_COUNT; arm++) {
        struct average a;
        if (sitting_average(s, &x->protocol, (enum arm)arm, &a))
            page_line(pg, LINE_ROW, "average, %s arm: %d/%d, from %d reading%s", ARM_WORDS[arm],
                      (int)average_mmhg(a.systolic_sum_mmhg, a.n), (int)average_mmhg(a.diastolic_sum_mmhg, a.n), (int)a.n,
                      a.n == 1 ? "" : "s");
    }
    page_line(pg, LINE_GAP, "%s", "");
}

static void show_sitting(struct ui *ui, struct sitting_rows *r)
{
    static struct session x; /* large, and one at a time */
    struct err e = { 0 };
    struct page pg;
    int64_t id = r->id[r->list.at];
    if (r->phase[r->list.at] == PHASE_OPEN) {
        if (sit_resume(ui, id, &e) == SIT_FAILED)
            text_copy(r->list.refusal, sizeof r->list.refusal, e.text);
        return;
    }
    if (held_check(ui->w->store, id, &e) != ST_OK || session_load(&x, ui->w->store, &ui->w->protocols, id, &e) != ST_OK) {
        text_copy(r->list.refusal, sizeof r->list.refusal, e.text);
        return;
    }
    page_init(&pg, PAGE_OPEN, "sitting");
    snprintf(pg.left, sizeof pg.left, "S-%03d   %.40s", (int)id, x.sitting.subject);
    reading_rows(&x, &pg);
    guide_debrief(&x.sitting, &x.protocol, &x.tally, &pg);
    if (x.sitting.phase == PHASE_STOPPED)
        text_copy(pg.title, sizeof pg.title, "Stopped: no mean is given");
    page_key(&pg, "j k", "move");
    page_key(&pg, "q", "back");
    ui_show(ui, &pg);
}

void sittings_page_run(struct ui *ui)
{
    static const struct queue_filter all = { .which = QUEUE_ALL };
    static struct sitting_rows r;
    r = (struct sitting_rows){ .store = ui->w->store,
                               .list = { .id = "sittings", .title = "Sittings", .empty = "No sittings yet." } };
    for (;;) {
        struct page pg;
        struct err e = { 0 };
        r.list.row_count = 0;
        if (store_queue(ui->w->store, &all, 0, LIST_ROWS_MAX, add_sitting, &r, &e) != ST_OK)
            text_copy(r.list.refusal, sizeof r.list.refusal, e.text);
        list_keep_cursor(&r.list);
        r.list.note = r.list.row_count == LIST_ROWS_MAX ? "The newest 300; stillarm list prints them all."
                                                          : "At the end: readings that count, of all taken.";
        list_page(&r.list, &pg);
        if (r.list.row_count > 0)
            page_key(&pg, "enter", r.phase[r.list.at] == PHASE_OPEN ? "go on" : "look");
        page_key(&pg, "q", "back");
        struct key k = ui_ask(ui, &pg, INT64_MAX);
        if (key_is_leaving(&k))
            return;
        if (k.code == KEY_ENTER && r.list.row_count > 0)
            show_sitting(ui, &r);
        else
            list_key(&r.list, &k);
    }
}
