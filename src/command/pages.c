/* SPDX-License-Identifier: GPL-3.0-or-later */
/** @file pages.c  The pages behind home: kit, people, sittings. */
#include <stdarg.h>
#include <stdio.h>
#include <string.h>

#include "command/first_run.h"
#include "command/home.h"
#include "command/kit.h"
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

static bool is_leaving(const struct key *k)
{
    return k->code == KEY_HANGUP || k->code == KEY_ESCAPE || (k->code == KEY_CHARACTER && k->character == 'q');
}

/* A row in the list's own storage; the builder cuts on a whole character what is too long. */
static void set_row(struct list *l, int row, const char *format, ...) __attribute__((format(printf, 3, 4)));
static void set_row(struct list *l, int row, const char *format, ...)
{
    char words[LIST_ROW_CAP];
    va_list args;
    va_start(args, format);
    vsnprintf(words, sizeof words, format, args);
    va_end(args);
    text_copy(l->rows[row], LIST_ROW_CAP, words);
}

static uint32_t letter(const struct key *k)
{
    return k->code == KEY_CHARACTER ? k->character : 0;
}

/* Leaves the cursor where it was, as far as there are rows. */
static void keep_cursor(struct list *l)
{
    if (l->at >= l->row_count)
        l->at = l->row_count > 0 ? l->row_count - 1 : 0;
}

/* ---- pages whose rows can be taken out of use ---- */

/** A list of things that retire; rows is the page's own, and begins nothing by itself. */
struct retiring_page {
    struct list *list;
    void *rows;
    enum status (*gather)(struct ui *ui, void *rows, struct err *e);
    const char *(*id)(const void *rows, int row);
    enum status (*retire)(struct store *store, const char *id, struct err *e);
    void (*keys)(const void *rows, struct page *pg); /* the page's own */
    bool (*take)(struct ui *ui, void *rows, const struct key *k); /* false: not one of them */
    int armed; /* row whose retiring was asked for once, -1 none */
};

/* Retiring asks twice, since a slip of the finger should not take a gauge away. */
static void take_retire(struct ui *ui, struct retiring_page *rp)
{
    struct list *l = rp->list;
    struct err e = { 0 };
    const char *id = rp->id(rp->rows, l->at);
    l->refusal[0] = '\0';
    if (rp->armed != l->at) {
        rp->armed = l->at;
        snprintf(l->refusal, sizeof l->refusal, "x again takes %s out of use; past sittings keep it", id);
        return;
    }
    rp->armed = -1;
    if (rp->retire(ui->w->store, id, &e) != ST_OK)
        text_copy(l->refusal, sizeof l->refusal, e.text);
}

static void take_retiring_key(struct ui *ui, struct retiring_page *rp, const struct key *k)
{
    if (letter(k) == 'x' && rp->list->row_count > 0) {
        take_retire(ui, rp);
        return;
    }
    rp->armed = -1;
    if (k->code != KEY_NONE && k->code != KEY_RESIZED)
        rp->list->refusal[0] = '\0';
    if (!rp->take(ui, rp->rows, k))
        list_key(rp->list, k);
}

static void retiring_page_run(struct ui *ui, struct retiring_page *rp)
{
    rp->armed = -1;
    for (;;) {
        struct page pg;
        struct err e = { 0 };
        if (rp->gather(ui, rp->rows, &e) != ST_OK)
            text_copy(rp->list->refusal, sizeof rp->list->refusal, e.text);
        list_page(rp->list, &pg);
        rp->keys(rp->rows, &pg);
        if (rp->list->row_count > 0)
            page_key(&pg, "x", "out of use");
        page_key(&pg, "q", "back");
        struct key k = ui_ask(ui, &pg, INT64_MAX);
        if (is_leaving(&k))
            return;
        take_retiring_key(ui, rp, &k);
    }
}

/* ---- kit ---- */

static void add_gauge_row(struct kit_rows *r, const struct gauge *g, int32_t today)
{
    int row = r->list.row_count++;
    char due[80];
    kit_due_words(g->due, today, due, sizeof due);
    kit_checks_words(g, r->checks[row], sizeof r->checks[row]);
    set_row(&r->list, row, "gauge %s: %s%s", g->id, due, r->checks[row][0] ? "" : "; not checked yet");
    text_copy(r->id[row], sizeof r->id[row], g->id);
    r->kind[row] = ROW_GAUGE;
}

static void add_cuff_row(struct kit_rows *r, const struct stored_cuff *c)
{
    int row = r->list.row_count++;
    char range[40], bladder[60];
    kit_range_words(c->low_mm, c->high_mm, range, sizeof range);
    kit_bladder_words(c, bladder, sizeof bladder);
    set_row(&r->list, row, "cuff %s: %s%s%s", c->id, range, bladder[0] ? "; " : "", bladder);
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
    keep_cursor(&r->list);
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
    uint32_t c = letter(k);
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
                                .retire = store_kit_retire, .keys = kit_keys, .take = take_kit_key };
    retiring_page_run(ui, &rp);
}

/* ---- people ---- */

struct people_rows {
    struct list list;
    struct person who[LIST_ROWS_MAX];
};

static enum status gather_people(struct ui *ui, void *rows, struct err *e)
{
    struct people_rows *r = rows;
    char now[ITEM_CAP];
    int n = 0;
    enum status status = store_people(ui->w->store, false, r->who, LIST_ROWS_MAX, &n, e);
    if (status == ST_OK)
        status = store_setting_get(ui->w->store, "measurer", now, sizeof now, e);
    if (status != ST_OK)
        return status;
    r->list.row_count = n < LIST_ROWS_MAX ? n : LIST_ROWS_MAX;
    for (int i = 0; i < r->list.row_count; i++)
        set_row(&r->list, i, "%s: %.80s, %s%s", r->who[i].id, r->who[i].name, ROLE_WORDS[r->who[i].role],
                strcmp(now, r->who[i].id) == 0 ? "; measures now" : "");
    keep_cursor(&r->list);
    return ST_OK;
}

static bool take_people_key(struct ui *ui, void *rows, const struct key *k)
{
    struct people_rows *r = rows;
    struct err e = { 0 };
    if (letter(k) == 'a')
        ask_for_person(ui);
    else if (k->code != KEY_ENTER || r->list.row_count == 0)
        return false;
    else if (store_setting_set(ui->w->store, "measurer", r->who[r->list.at].id, &e) != ST_OK)
        text_copy(r->list.refusal, sizeof r->list.refusal, e.text);
    return true;
}

static void people_keys(const void *rows, struct page *pg)
{
    if (((const struct people_rows *)rows)->list.row_count > 0)
        page_key(pg, "enter", "measures now");
    page_key(pg, "a", "new");
}

static const char *person_id(const void *rows, int row)
{
    return ((const struct people_rows *)rows)->who[row].id;
}

void people_page_run(struct ui *ui)
{
    static struct people_rows r;
    r = (struct people_rows){ .list = { .id = "people", .title = "People", .empty = "Nobody yet: a adds somebody." } };
    struct retiring_page rp = { .list = &r.list, .rows = &r, .gather = gather_people, .id = person_id,
                                .retire = store_person_retire, .keys = people_keys, .take = take_people_key };
    retiring_page_run(ui, &rp);
}

/* ---- sittings ---- */

struct sitting_rows {
    struct store *store;
    struct list list;
    int64_t id[LIST_ROWS_MAX];
    enum phase phase[LIST_ROWS_MAX];
};

static bool add_sitting(void *user, const struct sitting_head *h)
{
    struct sitting_rows *r = user;
    int row = r->list.row_count++;
    set_row(&r->list, row, "S-%03d %.10s %.5s %s %s %s, %d of %d", (int)h->id, h->opened,
            h->opened[0] ? h->opened + 11 : "", h->measurer, subject_word(r->store, h),
            PHASE_WORDS[h->phase], (int)h->counted_count, (int)h->reading_count);
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
    if (session_load(&x, ui->w->store, &ui->w->protocols, id, &e) != ST_OK) {
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
    static struct sitting_rows r;
    r = (struct sitting_rows){ .store = ui->w->store,
                               .list = { .id = "sittings", .title = "Sittings", .empty = "No sittings yet." } };
    for (;;) {
        struct page pg;
        struct err e = { 0 };
        r.list.row_count = 0;
        if (store_sittings(ui->w->store, add_sitting, &r, &e) != ST_OK)
            text_copy(r.list.refusal, sizeof r.list.refusal, e.text);
        keep_cursor(&r.list);
        r.list.note = r.list.row_count == LIST_ROWS_MAX ? "The newest 300; stillarm list prints them all."
                                                          : "At the end: readings that count, of all taken.";
        list_page(&r.list, &pg);
        if (r.list.row_count > 0)
            page_key(&pg, "enter", r.phase[r.list.at] == PHASE_OPEN ? "go on" : "look");
        page_key(&pg, "q", "back");
        struct key k = ui_ask(ui, &pg, INT64_MAX);
        if (is_leaving(&k))
            return;
        if (k.code == KEY_ENTER && r.list.row_count > 0)
            show_sitting(ui, &r);
        else
            list_key(&r.list, &k);
    }
}
