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
#include "stillarm/text.h"
#include "terminal/clock.h"

enum row_kind { ROW_GAUGE, ROW_CUFF };
struct kit_rows {
    struct list list;
    enum row_kind kind[LIST_ROWS_MAX];
    char id[LIST_ROWS_MAX][ITEM_CAP];
    int armed; /* row whose retiring was asked for once, -1 none */
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

/* Retiring asks twice, since a slip of the finger should not take a gauge away. */
static bool is_confirmed(int *armed, struct list *l, const char *id)
{
    if (*armed == l->at) {
        *armed = -1;
        return true;
    }
    *armed = l->at;
    snprintf(l->refusal, sizeof l->refusal, "x again takes %s out of use; past sittings keep it", id);
    return false;
}

/* Leaves the cursor where it was, as far as there are rows. */
static void keep_cursor(struct list *l)
{
    if (l->at >= l->row_count)
        l->at = l->row_count > 0 ? l->row_count - 1 : 0;
}

/* ---- kit ---- */

static enum status gather_kit(struct ui *ui, struct kit_rows *r, struct err *e)
{
    static struct gauge gauges[KIT_SHOWN_MAX];
    static struct stored_cuff cuffs[KIT_SHOWN_MAX];
    int32_t today = clock_day(clock_unix_ms());
    int n = 0, m = 0;
    enum status status = store_gauges(ui->w->store, false, gauges, KIT_SHOWN_MAX, &n, e);
    if (status == ST_OK)
        status = store_cuffs(ui->w->store, false, cuffs, KIT_SHOWN_MAX, &m, e);
    if (status != ST_OK)
        return status;
    r->list.row_count = 0;
    for (int i = 0; i < n && i < KIT_SHOWN_MAX; i++) {
        int row = r->list.row_count++;
        char due[60], checks[120];
        kit_due_words(gauges[i].due, today, due, sizeof due);
        kit_checks_words(&gauges[i], checks, sizeof checks);
        set_row(&r->list, row, "gauge %s: %s%s%s", gauges[i].id, due, checks[0] ? "; " : "", checks);
        text_copy(r->id[row], sizeof r->id[row], gauges[i].id);
        r->kind[row] = ROW_GAUGE;
    }
    for (int i = 0; i < m && i < KIT_SHOWN_MAX; i++) {
        int row = r->list.row_count++;
        char range[40];
        kit_range_words(cuffs[i].low_mm, cuffs[i].high_mm, range, sizeof range);
        set_row(&r->list, row, "cuff %s: %s", cuffs[i].id, range);
        text_copy(r->id[row], sizeof r->id[row], cuffs[i].id);
        r->kind[row] = ROW_CUFF;
    }
    keep_cursor(&r->list);
    return ST_OK;
}

/* The form's id names what is stored, its title the gauge. */
static enum status save_check(struct ui *ui, const struct form *f, struct err *e)
{
    int64_t value;
    int32_t date;
    if (strcmp(f->id, "due") == 0) {
        if (parse_day(f->fields[0].entry, &date, NULL) != ST_OK)
            return err_set(e, ST_USAGE, "not yet: write the day as 2031-09-01");
        return store_gauge_due(ui->w->store, f->title, date, e);
    }
    if (parse_int(f->fields[0].entry, 0, 100, &value, NULL) != ST_OK)
        return err_set(e, ST_USAGE, "not yet: the result is a whole number from 0 to 100");
    return store_gauge_check(ui->w->store, f->title, f->id, (int32_t)value, clock_day(clock_unix_ms()), e);
}

static void ask_for_check(struct ui *ui, const char *gauge, const char *what)
{
    static const struct { const char *what, *label, *hint; } ASKED[] = {
        { "leak", "fall in a minute, mmHg", "Cuff round a bottle, pumped up and closed: how much it loses in a minute" },
        { "comparison", "largest difference, mmHg", "Against a reference, over the whole scale, up and down" },
        { "due", "calibrated until", "From the new label, such as 2031-09-01" },
    };
    struct form f = { .id = what, .title = gauge, .field_count = 1 };
    for (size_t i = 0; i < ARRAY_LEN(ASKED); i++)
        if (strcmp(ASKED[i].what, what) == 0)
            f.fields[0] = (struct form_field){ .label = ASKED[i].label, .hint = ASKED[i].hint };
    ui_form(ui, &f, save_check);
}

static const struct { uint32_t key; const char *what; } CHECK_KEYS[] = { { 'l', "leak" }, { 'd', "comparison" }, { 't', "due" } };

static void take_kit_key(struct ui *ui, struct kit_rows *r, const struct key *k)
{
    struct err e = { 0 };
    uint32_t c = letter(k);
    int at = r->list.at;
    bool has_row = r->list.row_count > 0;
    if (c == 'x' && has_row) {
        if (is_confirmed(&r->armed, &r->list, r->id[at]) && store_kit_retire(ui->w->store, r->id[at], &e) != ST_OK)
            text_copy(r->list.refusal, sizeof r->list.refusal, e.text);
        else if (r->armed < 0)
            r->list.refusal[0] = '\0';
        return;
    }
    r->armed = -1;
    if (k->code != KEY_NONE && k->code != KEY_RESIZED)
        r->list.refusal[0] = '\0';
    if (c == 'g')
        ask_for_gauge(ui);
    else if (c == 'c')
        ask_for_cuff(ui);
    for (size_t i = 0; i < ARRAY_LEN(CHECK_KEYS); i++)
        if (c == CHECK_KEYS[i].key && has_row && r->kind[at] == ROW_GAUGE)
            ask_for_check(ui, r->id[at], CHECK_KEYS[i].what);
    list_key(&r->list, k);
}

static void kit_keys(const struct kit_rows *r, struct page *pg)
{
    page_key(pg, "g", "new gauge");
    page_key(pg, "c", "new cuff");
    if (r->list.row_count > 0 && r->kind[r->list.at] == ROW_GAUGE) {
        page_key(pg, "l", "leak");
        page_key(pg, "d", "difference");
        page_key(pg, "t", "calibrated");
    }
    if (r->list.row_count > 0)
        page_key(pg, "x", "out of use");
    page_key(pg, "q", "back");
}

void kit_page_run(struct ui *ui)
{
    static struct kit_rows r;
    r = (struct kit_rows){ .list = { .id = "kit", .title = "Kit", .empty = "Nothing yet: g adds a gauge, c a cuff." },
                           .armed = -1 };
    for (;;) {
        struct page pg;
        struct err e = { 0 };
        if (gather_kit(ui, &r, &e) != ST_OK)
            text_copy(r.list.refusal, sizeof r.list.refusal, e.text);
        list_page(&r.list, &pg);
        kit_keys(&r, &pg);
        struct key k = ui_ask(ui, &pg, INT64_MAX);
        if (is_leaving(&k))
            return;
        take_kit_key(ui, &r, &k);
    }
}

/* ---- people ---- */

struct people_rows {
    struct list list;
    struct person who[LIST_ROWS_MAX];
    int armed;
};

static enum status gather_people(struct ui *ui, struct people_rows *r, struct err *e)
{
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

static void take_people_key(struct ui *ui, struct people_rows *r, const struct key *k)
{
    struct err e = { 0 };
    uint32_t c = letter(k);
    const char *id = r->who[r->list.at].id;
    if (c == 'x' && r->list.row_count > 0) {
        if (is_confirmed(&r->armed, &r->list, id) && store_person_retire(ui->w->store, id, &e) != ST_OK)
            text_copy(r->list.refusal, sizeof r->list.refusal, e.text);
        else if (r->armed < 0)
            r->list.refusal[0] = '\0';
        return;
    }
    r->armed = -1;
    if (k->code != KEY_NONE && k->code != KEY_RESIZED)
        r->list.refusal[0] = '\0';
    if (c == 'a')
        ask_for_person(ui);
    else if (k->code == KEY_ENTER && r->list.row_count > 0 &&
             store_setting_set(ui->w->store, "measurer", id, &e) != ST_OK)
        text_copy(r->list.refusal, sizeof r->list.refusal, e.text);
    else
        list_key(&r->list, k);
}

void people_page_run(struct ui *ui)
{
    static struct people_rows r;
    r = (struct people_rows){ .list = { .id = "people", .title = "People", .empty = "Nobody yet: a adds somebody." },
                              .armed = -1 };
    for (;;) {
        struct page pg;
        struct err e = { 0 };
        if (gather_people(ui, &r, &e) != ST_OK)
            text_copy(r.list.refusal, sizeof r.list.refusal, e.text);
        list_page(&r.list, &pg);
        if (r.list.row_count > 0)
            page_key(&pg, "enter", "measures now");
        page_key(&pg, "a", "new");
        if (r.list.row_count > 0)
            page_key(&pg, "x", "out of use");
        page_key(&pg, "q", "back");
        struct key k = ui_ask(ui, &pg, INT64_MAX);
        if (is_leaving(&k))
            return;
        take_people_key(ui, &r, &k);
    }
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
            page_line(pg, LINE_ROW, "mean, %s arm: %d/%d", ARM_WORDS[arm], (int)average_mmhg(a.systolic_sum_mmhg, a.n),
                      (int)average_mmhg(a.diastolic_sum_mmhg, a.n));
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
